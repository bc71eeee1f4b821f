//! Which sails are set together: a staysail under the sail that it flies with. Knows sails and what replaced them; no card.

use super::model::{Sail, Sections};
use super::spanned::Spanned;

/// Whether the second sail is one that the first flies with, or one that was bought in its place. `sails` are all of the book.
pub(super) fn flies_under(sail: &Sail, other: &Sail, sails: &[Sail]) -> bool {
    let partners = partners(sail, sails);
    line_of(other, sails).any(|older| partners.iter().any(|partner| partner.value == older.id.value))
}

/// What a sail flies with: as the book says of it or, where it says nothing, of the sail that it replaces.
pub(super) fn partners<'a>(sail: &'a Sail, sails: &'a [Sail]) -> &'a [Spanned<String>] {
    let written = line_of(sail, sails).map(|sail| sail.flies_with.as_slice());
    written.into_iter().find(|partners| !partners.is_empty()).unwrap_or_default()
}

/// A sail, the one that it replaces, the one that that one replaced, and so on.
fn line_of<'a>(sail: &'a Sail, sails: &'a [Sail]) -> impl Iterator<Item = &'a Sail> {
    let older = move |sail: &&'a Sail| {
        let old = sail.replaces.as_ref()?;
        sails.iter().find(|other| other.id.value == old.value)
    };
    // Sails that replace one another in a ring have had their complaint.
    std::iter::successors(Some(sail), older).take(sails.len() + 1)
}

impl Sections {
    /// Whether the first sail is only set together with others.
    pub fn flies_with_others(&self, sail: &Sail) -> bool {
        !partners(sail, &self.sails).is_empty()
    }

    /// Whether the first sail is set under the second.
    pub fn flies_under(&self, sail: &Sail, other: &Sail) -> bool {
        flies_under(sail, other, &self.sails)
    }
}
