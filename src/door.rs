//! The one door between a book that was read and whatever is done with it. Every command goes in here, and so do the
//! tests and fuzz targets that try what no sailor would write: a sound book is handed on, any other is only looked at.

use crate::book::{Book, Loaded, Problem, Source, problem};
use crate::printing::{self, Files, Options, sound};

/// What came of something done with a book.
#[derive(Debug)]
pub struct Passed<T> {
    /// `None` if there is an error among the problems.
    pub made: Option<T>,
    /// All that is wrong with the book, and with what was to be made of it.
    pub problems: Vec<Problem>,
    /// The files that the problems have their places in.
    pub sources: Vec<Source>,
}

/// Does something with a book, if it is sound. Of any other, what has no error and refers to nothing that has one is looked
/// at on, its cards included, so that all its problems are told in one run; nothing is made of it.
///
/// ```
/// use cockpit_cards::printing::has_glyph;
/// use cockpit_cards::{book, door};
///
/// let text = "book: 1\nboat: {name: Samphire}\ncontrols: {vang: {scale: {marks: 8..0, spacing: 20 mm}}}\n";
/// let passed = door::through(book::from_text("samphire.yaml", text, &|_| None, has_glyph), |book, _| Some(book.boat.clone()));
/// assert!(passed.made.is_none());
/// assert_eq!(passed.problems.len(), 1);
/// ```
pub fn through<T>(loaded: Loaded, work: impl FnOnce(&Book, &mut Vec<Problem>) -> Option<T>) -> Passed<T> {
    let Loaded { book, rest, mut problems, sources, .. } = loaded;
    let made = book.and_then(|book| work(&book, &mut problems));
    if let Some(rest) = rest {
        printing::check(&rest, &mut problems);
    }
    problem::drop_doubts_of_errors(&mut problems);
    let made = made.filter(|_| sound(&problems));
    Passed { made, problems, sources }
}

/// Looks a book over, its cards included; tells what is left out of a book that leaves it to the program what to print.
pub fn check(loaded: Loaded) -> Passed<Vec<String>> {
    through(loaded, |book, problems| Some(printing::check(book, problems)))
}

/// Looks a book over as it would be printed: on this paper, by this printer, with these editions. Whatever [`print()`] would
/// say of it whole is said, and nothing else.
pub fn check_as_printed(loaded: Loaded, options: &Options) -> Passed<Vec<String>> {
    through(loaded, |book, problems| Some(printing::check_as_printed(book, options, problems)))
}

/// Prints a book into memory.
pub fn print(loaded: Loaded, options: &Options) -> Passed<Files> {
    through(loaded, |book, problems| printing::print(book, options, problems))
}
