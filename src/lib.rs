//! Cockpit cards and deck scales from one book, true to length.
//!
//! A book is read, worked out, turned into cards, laid on paper and written as files. Each of these is a stage with one
//! direction: nothing points back, and a later stage does not know what an earlier one was about.
//!
//! | stage | module | what it knows |
//! |---|---|---|
//! | 1 | [`book`] | what the sailor wrote; every value remembers its file, line and column |
//! | 2 | `tuning`, `rigging`, `season` | numbers: settings at any wind, marks, lengths, loads, what was sailed. They stand below the book, which reads into their types, and know no drawing and no file |
//! | | `logs` | beside the book: what the instruments logged, read into the steady blocks of `season`. No book and no card |
//! | 3 | `cards` | one file for each kind of card: a book and numbers become content, content becomes a drawing |
//! | 4 | `drawing`, `paper` | shapes and text in millimetres; then pages, packing, crop marks, check bars |
//! | 5 | `output` | PDF, SVG, PNG, the proof page, the manifest. Nothing of sailing |
//!
//! [`printing`] and [`reissuing`] join them, [`editions`] remembers what was released, and whatever is done with a book goes in
//! by the [`door`], which hands on none that is not sound. The PDF and the SVG are written from the same drawing, so they
//! cannot disagree.
//!
//! These five modules are what the library promises. The others are its inside: they can be named, because the program
//! and its tests are built on them, and are not shown here. Their types that the five take or return are shown where they are
//! met, such as [`book::Scale`] and [`printing::PrintJob`].
//!
//! The whole way, from a text to files in memory:
//!
//! ```
//! use cockpit_cards::book::Length;
//! use cockpit_cards::{book, door, printing};
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
//! let loaded = book::from_text("samphire.yaml", text, &|_| None, printing::has_glyph);
//! let printed = door::through(loaded, |book, problems| {
//!     // Here is a book that is sound: no other comes through. What is wrong from here on is added to the problems.
//!
//!     // Stage 2. Any reading of a scale, as it is printed and where it stands on the strip.
//!     let backstay = book.control("backstay")?;
//!     assert_eq!(backstay.scale.print(2.5), "2½");
//!     assert_eq!(backstay.scale.at(2.5), Some(Length::mm(50.0)));
//!
//!     // Stages 3 to 5: a card, a strip, and the files that hold them.
//!     printing::print(book, &printing::Options::default(), problems)
//! });
//! # let Some(files) = printed.made else { panic!("{:?}", printed.problems) };
//! // Each is made as it is written; here they are wanted at once.
//! let files = files.in_memory()?;
//! let names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
//! assert!(names.contains(&"cards.pdf") && names.contains(&"svg/strip-backstay.svg"));
//! # Ok::<(), std::io::Error>(())
//! ```
//!
//! Lengths are [`Length`](book::Length) or plain `f64` with `_mm` in the name, until the last moment: a mark stands within
//! 0.005 mm of its place over two metres. What is wrong with a book is a [`Problem`](book::Problem) with its place and its remedy, never a panic.

pub mod book;
pub mod door;
pub mod editions;
pub mod printing;
pub mod reissuing;

// The inside. It is hidden from the documentation and not from the compiler, so that `missing_docs` holds for it too; the
// kinds of card are let off, since next to nothing of them is shown.
#[doc(hidden)]
pub mod card_sizes;
#[doc(hidden)]
pub mod cards;
#[cfg_attr(doc, doc(hidden))]
pub mod comparing;
#[cfg_attr(doc, doc(hidden))]
pub mod date;
#[cfg_attr(doc, doc(hidden))]
pub mod disk;
#[cfg_attr(doc, doc(hidden))]
pub mod drawing;
#[cfg_attr(doc, doc(hidden))]
pub mod flip;
#[cfg_attr(doc, doc(hidden))]
pub mod length;
#[cfg_attr(doc, doc(hidden))]
pub mod limits;
#[cfg_attr(doc, doc(hidden))]
pub mod lines;
#[cfg_attr(doc, doc(hidden))]
pub mod logs;
#[cfg_attr(doc, doc(hidden))]
pub mod output;
mod own_yaml;
#[cfg_attr(doc, doc(hidden))]
pub mod paper;
#[cfg_attr(doc, doc(hidden))]
pub mod paper_size;
#[doc(hidden)]
pub mod parallel;
#[cfg_attr(doc, doc(hidden))]
pub mod rigging;
#[cfg_attr(doc, doc(hidden))]
pub mod season;
#[cfg_attr(doc, doc(hidden))]
pub mod size;
#[cfg_attr(doc, doc(hidden))]
pub mod tuning;
#[cfg_attr(doc, doc(hidden))]
pub mod wrong;
