//! The sets of sails that count as one choice: each sail that is set by itself, and with it each that flies under it. Knows
//! sails and their ranges; no kind of card.

use crate::book::{Book, Sail, SailKind};
use crate::tuning::range::SailRange;

/// Sails that are set together forward of the mainsail: the one that could be set alone, and what flies under it.
#[derive(Clone, Debug, PartialEq)]
pub struct SailSet<'a> {
    /// The sail that is set by itself, too.
    pub lead: &'a Sail,
    /// The staysail that flies under it in this set, if one does.
    pub under: Option<&'a Sail>,
}

impl<'a> SailSet<'a> {
    /// The sails of the set, the one that leads it first.
    pub fn sails(&self) -> impl Iterator<Item = &'a Sail> + use<'a> {
        std::iter::once(self.lead).chain(self.under)
    }

    /// What it is called: `A3 + Staysail`.
    pub fn name(&self) -> String {
        self.sails().map(|sail| sail.name.as_str()).collect::<Vec<_>>().join(" + ")
    }

    /// What the ids of its cards call it: `a3-with-staysail`.
    pub fn id(&self) -> String {
        self.sails().map(|sail| sail.id.value.as_str()).collect::<Vec<_>>().join("-with-")
    }

    /// Whether this sail is one of the set.
    pub fn has(&self, id: &str) -> bool {
        self.sails().any(|sail| sail.id.value == id)
    }

    fn range(&self) -> SailRange {
        SailRange::together(self.sails().map(Sail::range))
    }
}

/// Every set in the order of the book, a sail before what it makes with another, with what it is for. A set whose leading
/// sail lacks a range is left out: nothing is said to be for a wind because of what flies under it. A mainsail alone is no
/// sail plan.
pub fn sets(book: &Book) -> (Vec<SailSet<'_>>, Vec<SailRange>) {
    let is_known = |sail: &&Sail| sail.wind.is_some() && sail.angle.is_some();
    let alone = |sail: &&Sail| sail.kind != SailKind::Mainsail && !book.flies_with_others(sail);
    let sets = book.sails.iter().filter(alone).filter(is_known).flat_map(|lead| {
        let under = book.sails.iter().filter(|sail| book.flies_under(sail, lead));
        std::iter::once(SailSet { lead, under: None }).chain(under.map(|sail| SailSet { lead, under: Some(sail) }))
    });
    sets.map(|set| (set.clone(), set.range())).unzip()
}
