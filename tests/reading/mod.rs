//! What several tests share: reading a book from a text.
#![allow(dead_code)]

use cockpit_cards::book::{self, Loaded, report};
use cockpit_cards::drawing::font::has_glyph;

/// Reads a book that names no tables.
pub fn load(text: &str) -> Loaded {
    load_with(text, &[])
}

/// Reads a book that names tables, given as file name and text.
pub fn load_with(text: &str, tables: &[(&str, &str)]) -> Loaded {
    let table = |name: &str| tables.iter().find(|(known, _)| *known == name).map(|(_, text)| (*text).to_owned());
    book::from_text("boat.yaml", text, &table, has_glyph)
}

/// What a person is told about a book.
pub fn complaints(text: &str) -> String {
    let loaded = load(text);
    report::for_people(&loaded.problems, &loaded.sources, false)
}
