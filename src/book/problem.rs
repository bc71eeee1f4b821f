//! What is wrong with a book, as data: where, what, and what would be right. The words are rendered elsewhere.

use std::ops::Range;

use crate::wrong::Wrong;

/// Which file a place is in: an index into [`Loaded::sources`](super::load::Loaded).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceId(pub usize);

/// A file that was read: its name as the user gave it, and its text.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    pub name: String,
    pub text: String,
}

/// A stretch of a file, as byte offsets into its text.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Place {
    pub source: SourceId,
    pub bytes: Range<usize>,
}

/// Whether a problem stops the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    Error,
    Warning,
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Problem {
    pub level: Level,
    /// Where; `None` for a problem of the run rather than of a file (a flag, a missing book).
    pub place: Option<Place>,
    /// What is wrong: `"Backstay" has no mark 9: its scale ends at 8`.
    pub what: String,
    /// What would be right: `write a mark from 0 to 8`.
    pub instead: String,
}

impl Problem {
    pub fn error(place: impl Into<Option<Place>>, what: impl Into<String>, instead: impl Into<String>) -> Self {
        Problem { level: Level::Error, place: place.into(), what: what.into(), instead: instead.into() }
    }

    pub fn warning(place: impl Into<Option<Place>>, what: impl Into<String>, instead: impl Into<String>) -> Self {
        Problem { level: Level::Warning, ..Problem::error(place, what, instead) }
    }
}

impl Wrong {
    /// The same with its place, which makes it an error of the book.
    pub fn at(self, place: &Place) -> Problem {
        Problem::error(place.clone(), self.what, self.instead)
    }
}
