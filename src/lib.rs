//! Cockpit cards and deck scales from one book, true to length.
//!
//! A book is read, worked out, turned into cards, laid on paper and written as files. Each of these is a stage with one
//! direction: nothing points back, and a later stage does not know what an earlier one was about.
//!
//! | stage | module | what it knows |
//! |---|---|---|
//! | 1 | [`book`] | what the sailor wrote; every value remembers its file, line and column |
//! | 2 | [`tuning`], [`rigging`] | numbers: settings at any wind, marks, lengths, loads. No drawing, no files |
//! | 3 | [`cards`] | one file for each kind of card: a book and numbers become [content](cards::Content), content becomes a drawing |
//! | 4 | [`drawing`], [`paper`] | shapes and text in millimetres; then pages, packing, crop marks, check bars |
//! | 5 | [`output`] | PDF, SVG, PNG, the proof page, the manifest. Nothing of sailing |
//!
//! [`printing`] and [`reissuing`] join them, and whatever is done with a book goes in by the [`door`], which hands on none that
//! is not sound. The PDF and the SVG are written from the same [`Drawing`](drawing::Drawing), so they cannot disagree.
//!
//! The whole way, from a text to files in memory:
//!
//! ```
//! use cockpit_cards::drawing::font::has_glyph;
//! use cockpit_cards::{book, cards, door, printing};
//!
//! let text = "
//! book: 1
//! boat: {name: Samphire}
//! controls:
//!   backstay: {higher_is: tighter, scale: {marks: 0..6, spacing: 20 mm, halves: true}}
//! sails:
//!   main: {kind: mainsail}
//!   jib: {kind: headsail, wind: 4..16}
//! settings:
//!   - {id: upwind, sails: [main, jib], point_of_sail: upwind, controls: [backstay], at: {6: [0], 14: [5]}}
//! ";
//! // Stage 1. A book may name tables; this one names none. `has_glyph` says what can be printed.
//! let loaded = book::from_text("samphire.yaml", text, &|_| None, has_glyph);
//! let printed = door::through(loaded, |book, problems| {
//!     // Here is a book that is sound: no other comes through. What is wrong from here on is added to the problems.
//!
//!     // Stage 2. Any wind, not only those that were sailed.
//!     let columns = cards::parts::matrix::columns(book, &book.settings[0]);
//!     let backstay = columns[0].as_ref()?;
//!     assert_eq!(backstay.scale().print(backstay.at(10.0).reading), "2½");
//!
//!     // Stages 3 to 5: a card, a strip, and the files that hold them.
//!     printing::print(book, &printing::Options::default(), problems)
//! });
//! # let Some(files) = printed.made else { panic!("{:?}", printed.problems) };
//! let names: Vec<&str> = files.files.iter().map(|(name, _)| name.as_str()).collect();
//! assert!(names.contains(&"cards.pdf") && names.contains(&"svg/strip-backstay.svg"));
//! ```
//!
//! Lengths are [`Length`](length::Length) or plain `f64` with `_mm` in the name, until the last moment: a mark stands within 0.005 mm of its
//! place over two metres. What is wrong with a book is a [`Problem`](book::Problem) with its place and its remedy, never a panic.
#![forbid(unsafe_code)]

pub mod book;
pub mod cards;
pub mod door;
pub mod drawing;
pub mod editions;
pub mod length;
pub mod limits;
pub mod output;
mod own_yaml;
pub mod paper;
mod parallel;
pub mod printing;
pub mod reissuing;
pub mod rigging;
pub mod size;
pub mod tuning;
pub mod wrong;
