//! One card of a book that is read from its text, and the rows that a cell of it names. Knows no kind of card but settings.

use cockpit_cards::book::{self, Book, Level, Problem};
use cockpit_cards::cards::{self, Card};
use cockpit_cards::drawing::font::has_glyph;
use serde_json::Value;

/// A book with all that is wrong with it.
pub(crate) fn read(text: &str) -> (Option<Book>, Vec<Problem>) {
    let loaded = book::from_text("book", text, &|_| None, has_glyph);
    (loaded.book, loaded.problems)
}

/// A book that is at most doubted.
pub(crate) fn load(text: &str) -> Book {
    let (book, problems) = read(text);
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:?}");
    book.expect("a book")
}

/// One card of it.
pub(crate) fn card(text: &str, id: &str) -> Card {
    let mut problems = Vec::new();
    let cards = cards::cards(&load(text), &mut problems);
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:?}");
    cards.into_iter().find(|card| card.id == id).unwrap_or_else(|| panic!("no card {id}"))
}

/// The rows that stand beneath the figure of a cell: `4 at 14`.
pub(crate) fn rows_of(cell: &Value) -> impl Iterator<Item = String> {
    let rows = cell["rows"].as_array().into_iter().flatten();
    rows.map(|row| format!("{} at {}", row["mark"].as_str().unwrap(), row["wind"].as_str().unwrap()))
}
