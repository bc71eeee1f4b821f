//! What is wrong with a book, as data: where, what, and what would be right. The words are rendered elsewhere.

use std::ops::Range;

use crate::wrong::Wrong;

/// Which file a place is in: an index into [`Loaded::sources`](super::load::Loaded).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct SourceId(pub usize);

/// A file that was read: its name as the user gave it, and its text.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// The name as the user gave it: `boat.yaml`.
    pub name: String,
    /// The whole text; places count its bytes.
    pub text: String,
    /// Whether it is a sheet of a workbook, whose places are called as the sheet calls them: `C4`. Each row is then a line of
    /// the text, and commas stand between its cells.
    pub is_sheet: bool,
}

/// A stretch of a file, as byte offsets into its text.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Place {
    /// The file that it is in.
    pub source: SourceId,
    /// Where in the file's text it starts and ends, in bytes.
    pub bytes: Range<usize>,
}

/// Whether a problem stops the work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Nothing is made while there is one.
    Error,
    /// The work goes on; the sailor is told.
    Warning,
}

/// One thing that is wrong.
#[derive(Clone, Debug, PartialEq, Eq, Hash)]
pub struct Problem {
    /// Whether it stops the work.
    pub level: Level,
    /// Where; `None` for a problem of the run rather than of a file (a flag, a missing book).
    pub place: Option<Place>,
    /// What is wrong: `"Backstay" has no mark 9: its scale ends at 8`.
    pub what: String,
    /// What would be right: `write a mark from 0 to 8`.
    pub instead: String,
}

impl Problem {
    /// Something that must be put right before anything is made of the book.
    pub fn error(place: impl Into<Option<Place>>, what: impl Into<String>, instead: impl Into<String>) -> Self {
        Problem { level: Level::Error, place: place.into(), what: what.into(), instead: instead.into() }
    }

    /// Something to look at, in spite of which the work goes on.
    pub fn warning(place: impl Into<Option<Place>>, what: impl Into<String>, instead: impl Into<String>) -> Self {
        Problem { level: Level::Warning, ..Problem::error(place, what, instead) }
    }
}

/// Takes out the warnings about what already has an error: once that is corrected they may be gone.
pub fn drop_doubts_of_errors(problems: &mut Vec<Problem>) {
    let errors = problems.iter().filter(|problem| problem.level == Level::Error);
    let start = |problem: &Problem| problem.place.as_ref().map(|place| (place.source, place.bytes.start));
    let mut starts: Vec<(SourceId, usize)> = errors.filter_map(start).collect();
    starts.sort_unstable();
    let has_error = |place: &Place| {
        let first = starts.partition_point(|start| *start < (place.source, place.bytes.start));
        starts.get(first).is_some_and(|start| *start < (place.source, place.bytes.end.max(place.bytes.start + 1)))
    };
    problems.retain(|problem| problem.level == Level::Error || !problem.place.as_ref().is_some_and(has_error));
}

impl Wrong {
    /// The same with its place, which makes it an error of the book.
    pub fn at(self, place: &Place) -> Problem {
        Problem::error(place.clone(), self.what, self.instead)
    }
}
