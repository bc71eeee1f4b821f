//! Whatever slips of the keys a book has, each command ends with what was asked for or with a refusal in words. Inputs go
//! in by the door that the commands go in by; some of them by the program itself.
//!
//! ```sh
//! HOSTILE_MISTYPED=20000 cargo test --profile long-run --test hostile every_command -- --ignored --nocapture
//! ```
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;

use assert_cmd::Command;
use cockpit_cards::book::Book;
use cockpit_cards::cards::parts::matrix::columns;
use cockpit_cards::cards::{self, Card, Feel};
use cockpit_cards::door;
use cockpit_cards::editions::Editions;
use cockpit_cards::paper::PrintJob;
use cockpit_cards::printing::{self, Options};
use cockpit_cards::reissuing::{self, Request};
use cockpit_cards::tuning::righting::Bunks;
use cockpit_cards::tuning::{Angle, Sided, Wind};

use crate::common::{books, inputs, whole};

/// Mistyped examples in a run of all tests, and in a long one if it is not told how many.
const MISTYPED: u64 = 500;
const MISTYPED_IN_A_LONG_RUN: u64 = 20_000;
/// One of so many is printed and released as well.
const PRINTED_OF: u64 = 16;
/// How many of each example are given to the program itself.
const BY_THE_PROGRAM: u64 = 6;
/// Targets in the wrong order, and a card that reckons with them.
const OUT_OF_ORDER: &str = include_str!("../books/found/targets-out-of-order.yaml");
/// Winds to ask about, knots: from less than any book has to more.
const WINDS_KN: [f64; 6] = [0.1, 5.5, 12.0, 17.3, 24.0, 200.0];

/// A copy of an example with a few slips in it.
fn mistyped(example: usize, seed: u64) -> books::Book {
    let whole = books::Book {
        text: whole::EXAMPLES[example].1.to_owned(),
        tables: whole::TABLES.map(|(name, text)| (name.to_owned(), text.to_owned())).to_vec(),
        ..books::Book::default()
    };
    let row = books::row(seed.wrapping_mul(whole::EXAMPLES.len() as u64) + example as u64);
    let mut choices = books::Choices::new(&row);
    // Most slips leave most of the book as it was: that is when what is left of it is looked at on.
    if choices.chance(75) { books::spoil::mistyped(&whole, &mut choices) } else { books::spoilt(&whole, &mut choices) }
}

/// Books that have broken the arithmetic once: the last is the long example with one digit lost.
fn found() -> [String; 2] {
    let (wind, lost) = ("      18: {speed: 7.1 kn", "      8: {speed: 7.1 kn");
    assert_eq!(whole::EXAMPLES[1].1.matches(wind).count(), 1);
    [OUT_OF_ORDER.to_owned(), whole::EXAMPLES[1].1.replace(wind, lost)]
}

/// Does with a book what every command does, or all but printing it if that is to be quick. `Ok` says whether it is sound.
fn every_command(book: &books::Book, prints: bool) -> Result<bool, String> {
    let load = || inputs::load(book);
    // `check`, `show` and `explain` in one go: behind the door they share the book and what is told of it.
    let mut has_a_book = false;
    let passed = door::through(load(), |book, problems| {
        has_a_book = true;
        printing::check(book, problems);
        shown(book);
        explained(book);
        Some(())
    });
    inputs::told_of(&passed)?;
    // The door is the same for whatever is done behind it, so what it refuses once it refuses always.
    if !has_a_book || !prints {
        return Ok(passed.made.is_some());
    }
    let printed = door::print(load(), &Options::default());
    inputs::told(&printed.problems, &printed.sources)?;
    if let Some(files) = &printed.made {
        files.in_memory().map_err(|error| error.to_string())?;
    }
    let request = Request {
        date: "2041-05-01".to_owned(),
        today: "2041-05-01".to_owned(),
        force_date: false,
        only: Vec::new(),
        labels: false,
        job: PrintJob::default(),
    };
    let reissued = door::through(load(), |book, problems| {
        reissuing::due(book, &Editions::default(), &[], true, problems)?;
        reissuing::reissue(book, &Editions::default(), &request, problems)
    });
    inputs::told(&reissued.problems, &reissued.sources)?;
    if printed.made.is_some() != reissued.made.is_some() {
        return Err("printed and not reissued, or the other way round".to_owned());
    }
    Ok(passed.made.is_some())
}

/// Every setting at several winds, with part of the crew below.
fn shown(book: &Book) {
    let book = &book.afloat();
    for settings in &book.settings {
        let columns = columns(book, settings);
        for (_, column) in columns.iter().flatten().flat_map(Sided::each) {
            let told = WINDS_KN.map(|wind_kn| column.at(Wind::knots(wind_kn)).set());
            let mut printed = told.iter().flatten().map(|setting| column.scale().print(setting.reading));
            assert!(printed.all(|reading| !reading.is_empty()));
            column.changes().take(1_000).for_each(drop);
        }
        for (wind_kn, below) in WINDS_KN.into_iter().zip([0, 1, 2, 4, 8, 60]) {
            let angle = (below > 1).then(|| Angle::degrees(wind_kn * 2.0));
            let read_at =
                |feel: Feel| feel.read_at(settings, (Wind::knots(wind_kn), angle), below, Bunks::Leeward).is_ok();
            let _ = Feel::of(book).map(read_at);
        }
    }
}

/// The working behind every card.
fn explained(book: &Book) {
    let cards = cards::cards(book, &mut Vec::new());
    cards.iter().flat_map(Card::sides).for_each(|side| drop(side.content.working()));
}

/// Tries mistyped copies of each example; how many were sound, and how many not.
fn tried(copies: u64) -> (u64, u64) {
    let (mut sound, mut unsound) = (0, 0);
    for example in 0..whole::EXAMPLES.len() {
        for seed in 0..copies {
            let book = mistyped(example, seed);
            let about = || format!("{} {seed}:\n{}\n{:?}", whole::EXAMPLES[example].0, book.text, book.tables);
            match catch_unwind(AssertUnwindSafe(|| every_command(&book, seed % PRINTED_OF == 0))) {
                Ok(Ok(true)) => sound += 1,
                Ok(Ok(false)) => unsound += 1,
                Ok(Err(fault)) => panic!("{fault}: {}", about()),
                Err(_) => panic!("a panic: {}", about()),
            }
        }
    }
    (sound, unsound)
}

#[test]
fn every_mistyped_example_is_taken_or_refused_in_words_by_every_command() {
    let (sound, unsound) = tried(MISTYPED / whole::EXAMPLES.len() as u64 + 1);
    // Both roads are taken often.
    assert!(sound * 10 > MISTYPED && unsound * 5 > MISTYPED, "{sound} sound, {unsound} not");
}

#[test]
#[ignore = "as long as it is asked to be: see the top of this file"]
fn a_long_run_of_mistyped_examples() {
    let asked = std::env::var("HOSTILE_MISTYPED").ok().and_then(|number| number.parse().ok());
    let books = asked.unwrap_or(MISTYPED_IN_A_LONG_RUN);
    let (sound, unsound) = tried(books / whole::EXAMPLES.len() as u64 + 1);
    println!("{books} mistyped examples: {sound} sound, {unsound} refused in words, no panic");
}

#[test]
fn books_that_once_broke_the_arithmetic_are_refused() {
    for text in found() {
        let book = books::Book { text, ..books::Book::default() };
        assert_eq!(every_command(&book, true), Ok(false), "{}", book.text);
    }
}

/// Exit codes a command may end with, a book being good or bad.
const ENDS: [Option<i32>; 3] = [Some(0), Some(2), Some(3)];

/// Runs the program in a folder with a book in it; `Err` tells of an end that it may not have.
fn by_the_program(folder: &Path, arguments: &[&str]) -> Result<Option<i32>, String> {
    let mut program = Command::cargo_bin("cockpit-cards").expect("the program");
    let output = program.current_dir(folder).args(arguments).output().expect("it runs");
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    let code = output.status.code();
    if !ENDS.contains(&code) || said.contains("panicked") || (code == Some(2) && said.is_empty()) {
        return Err(format!("{arguments:?} ends with {code:?}: {said}"));
    }
    Ok(code)
}

const COMMANDS: [&[&str]; 7] = [
    &["check", "boat.yaml"],
    &["check", "boat.yaml", "other.yaml"],
    &["build", "boat.yaml", "--out", "out"],
    &["show", "boat.yaml", "--wind", "12", "--below", "2"],
    &["explain", "crew-below", "boat.yaml"],
    &["due", "boat.yaml"],
    &["reissue", "boat.yaml", "--out", "again"],
];

/// Gives a book to each command of the program; one that is not sound is refused by each, and nothing is written.
fn by_each_command(book: &books::Book) {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("boat.yaml"), &book.text).expect("a file");
    std::fs::write(folder.path().join("other.yaml"), whole::EXAMPLES[0].1).expect("a file");
    for (name, text) in &book.tables {
        std::fs::write(folder.path().join(name), text).expect("a file");
    }
    let sound = inputs::load(book).is_sound();
    for arguments in COMMANDS {
        let code = by_the_program(folder.path(), arguments).unwrap_or_else(|fault| panic!("{fault}\n{}", book.text));
        assert!(sound || code == Some(2), "{arguments:?} takes what is not sound: {code:?}\n{}", book.text);
    }
    let is_written = ["out", "again"].iter().any(|made| folder.path().join(made).exists());
    assert!(sound || !is_written, "something is made of what is not sound\n{}", book.text);
}

#[test]
fn the_program_ends_in_words_whatever_is_mistyped() {
    for text in found() {
        by_each_command(&books::Book { text, ..books::Book::default() });
    }
    for example in 0..whole::EXAMPLES.len() {
        for seed in 0..BY_THE_PROGRAM {
            by_each_command(&mistyped(example, 1_000_000 + seed));
        }
    }
}

#[test]
fn one_bad_book_among_several_does_not_stop_the_others() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("a.yaml"), OUT_OF_ORDER).expect("a file");
    std::fs::write(folder.path().join("b.yaml"), whole::EXAMPLES[0].1).expect("a file");
    assert_eq!(by_the_program(folder.path(), &["build", "a.yaml", "b.yaml"]), Ok(Some(2)));
    assert!(folder.path().join("out/b/manifest.json").is_file() && !folder.path().join("out/a").exists());
}
