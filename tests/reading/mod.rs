//! What several tests share: reading a book from a text, and books with marked faults.
#![allow(dead_code)]

pub mod probe;
pub mod shape;

use cockpit_cards::book::{self, Loaded, report};
use cockpit_cards::drawing::font::has_glyph;

/// A small book without a fault, to be spoilt.
pub const SOUND: &str = "\
book: 1
boat: {name: Chervil}
controls:
  backstay:
    scale: {marks: 0..8, spacing: 20 mm, halves: true}
  lead:
    higher_is: aft
    scale: {marks: 0..20, spacing: 25 mm}
  vang: {scale: {words: [eased, snug, hard]}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 5..16}
settings:
  - id: j1-upwind
    sails: [main, j1]
    point_of_sail: upwind
    controls: [backstay, lead, vang]
    at:
      6:  [0, 13, eased]
      10: [2, 12, snug]
      14: [4½, 14, hard]
";

/// The README and every page of the handbook, in the order of its contents.
pub const HANDBOOK: &str = concat!(
    include_str!("../../README.md"),
    "\n",
    include_str!("../../docs/src/introduction.md"),
    "\n",
    include_str!("../../docs/src/safety.md"),
    "\n",
    include_str!("../../docs/src/printing.md"),
    "\n",
    include_str!("../../docs/src/signs.md"),
    "\n",
    include_str!("../../docs/src/book.md"),
    "\n",
    include_str!("../../docs/src/controls.md"),
    "\n",
    include_str!("../../docs/src/sails.md"),
    "\n",
    include_str!("../../docs/src/settings.md"),
    "\n",
    include_str!("../../docs/src/spreadsheets.md"),
    "\n",
    include_str!("../../docs/src/race.md"),
    "\n",
    include_str!("../../docs/src/sailed.md"),
    "\n",
    include_str!("../../docs/src/dock.md"),
    "\n",
    include_str!("../../docs/src/cards.md"),
    "\n",
    include_str!("../../docs/src/limits.md"),
    "\n",
    include_str!("../../docs/src/commands.md"),
    "\n",
    include_str!("../../docs/src/logs.md"),
    "\n",
);

/// The notes that the long example names.
const EXAMPLE_NOTES: [(&str, &str); 1] = [("full-sailed.csv", include_str!("../../examples/full-sailed.csv"))];

/// Reads a book that names no tables of its own.
pub fn load(text: &str) -> Loaded {
    load_with(text, &[])
}

/// Reads a book that names tables, given as file name and text.
pub fn load_with(text: &str, tables: &[(&str, &str)]) -> Loaded {
    let table = |name: &str| {
        let found = tables.iter().find(|(known, _)| *known == name);
        found.or(EXAMPLE_NOTES.iter().find(|(known, _)| *known == name)).map(|(_, text)| (*text).to_owned())
    };
    book::from_text("boat.yaml", text, &table, has_glyph)
}

/// What a person is told about a book.
pub fn complaints(loaded: &Loaded) -> String {
    report::for_people(&loaded.problems, &loaded.sources, false)
}

/// The sound book with one piece of it replaced.
pub fn spoilt(piece: &str, replacement: &str) -> String {
    assert_eq!(SOUND.matches(piece).count(), 1, "the sound book has `{piece}` not just once");
    SOUND.replacen(piece, replacement, 1)
}

/// Takes the marks `«` and `»` out of a text; the places of the faults they stand around.
pub fn unmarked(text: &str) -> (String, Vec<std::ops::Range<usize>>) {
    let (mut plain, mut faults, mut open) = (String::new(), Vec::new(), None);
    for character in text.chars() {
        match character {
            '«' => open = Some(plain.len()),
            '»' => faults.push(open.take().expect("a » without «")..plain.len()),
            other => plain.push(other),
        }
    }
    (plain, faults)
}
