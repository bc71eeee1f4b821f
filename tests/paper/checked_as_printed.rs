//! `check` says of a book on a paper what `build` says of it there, with the same exit code: nobody learns at the printer what
//! the check kept to itself.

use crate::common;
use crate::reading;

use assert_cmd::Command;
use cockpit_cards::book::Problem;
use cockpit_cards::door;
use cockpit_cards::editions::{Due, Editions};
use cockpit_cards::paper::{Flip, PaperSize, PrintJob};
use cockpit_cards::printing::Options;
use common::{books, inputs};
use proptest::prelude::*;
use reading::{SOUND, load};

/// Every size that a card may be called by.
const SIZES: [&str; 12] =
    ["A8", "A7", "A6", "A5", "A4", "A3", "quarter-letter", "half-letter", "Letter", "Legal", "Tabloid", "ID-1"];
/// Papers with the least, the most and what lies between, and off a roll.
const PAPERS: [&str; 9] = ["a5", "a4", "a3", "letter", "legal", "tabloid", "100 x 140 mm", "roll-610mm", "roll-60mm"];

fn options(paper: &str) -> Options {
    let job = PrintJob { paper: PaperSize::parse(paper).expect("a paper"), ..PrintJob::default() };
    Options { job, ..Options::default() }
}

/// A card of this size, with lines on its back or without, and a strip of 400 mm.
fn book(size: &str, back: &str) -> String {
    let strip = "spacing: 20 mm, halves: true}\n";
    let long = "spacing: 50 mm, halves: true}\n    strip: {grows: aft}\n";
    let cards = format!("cards: [{{kind: handover, size: {size}{back}}}, {{kind: strip}}]\n");
    format!("{}{cards}", SOUND.replacen(strip, long, 1))
}

fn said(problems: &[Problem]) -> Vec<String> {
    problems.iter().map(|problem| format!("{:?} {} {}", problem.level, problem.what, problem.instead)).collect()
}

#[test]
fn every_size_of_card_on_every_paper_is_told_the_same() {
    let (mut refused, mut printed) = (0, 0);
    for size in SIZES.iter().flat_map(|size| [(*size).to_owned(), format!("{size} landscape")]) {
        for paper in PAPERS {
            let (text, options) = (book(&size, ""), options(paper));
            let checked = door::check_as_printed(load(&text), &options);
            let built = door::print(load(&text), &options);
            assert_eq!(said(&checked.problems), said(&built.problems), "{size} on {paper}");
            assert_eq!(checked.made.is_some(), built.made.is_some(), "{size} on {paper}");
            if built.made.is_some() { printed += 1 } else { refused += 1 }
        }
    }
    assert!(refused > 100 && printed > 30, "{refused} refused, {printed} printed");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_book_on_any_paper_is_told_the_same_as_a_draft_and_released(
        row in books::any_row(),
        paper in prop::sample::select(PAPERS.to_vec()),
        (wide, high, back) in (30_u32..500, 30_u32..500, any::<bool>()),
        short in any::<bool>(),
    ) {
        let mut options = options(paper);
        options.job.flip = if short { Flip::Short } else { Flip::Long };
        let made_up = books::sound(&row);
        let card = load(&book(&format!("{wide} x {high} mm"), if back { ", back: {lines: Notes}" } else { "" }));
        let again = || load(&book(&format!("{wide} x {high} mm"), if back { ", back: {lines: Notes}" } else { "" }));
        for (first, second) in [(inputs::load(&made_up), inputs::load(&made_up)), (card, again())] {
            if let Some(book) = &first.book {
                let cards = cockpit_cards::cards::cards(book, &mut Vec::new());
                let due = Due::of(book, &cards, &Editions::default(), false);
                if short { options.editions = due.released(book, &cards, &Editions::default(), "2027-05-01"); }
            }
            let checked = door::check_as_printed(first, &options);
            let built = door::print(second, &options);
            prop_assert_eq!(said(&checked.problems), said(&built.problems), "{}", paper);
            prop_assert_eq!(checked.made.is_some(), built.made.is_some());
        }
    }
}

/// What a command says of a book in this folder, without what it says only of its files, and its exit code.
fn run(folder: &std::path::Path, command: &str, flags: &[&str]) -> (Option<i32>, String) {
    let mut program = Command::cargo_bin("cockpit-cards").expect("the program");
    let output = program.arg(command).args(flags).current_dir(folder).output().expect("a run");
    let told = String::from_utf8(output.stderr).expect("UTF-8");
    // Build ends with the count of what was told.
    let (told, _) = told
        .rsplit_once("nothing was written")
        .map_or((told.as_str(), ""), |(told, rest)| (told.rsplit_once("error: ").map_or(told, |(told, _)| told), rest));
    (output.status.code(), told.trim().to_owned())
}

#[test]
fn both_commands_end_alike_and_say_the_same_words() {
    let folder = tempfile::tempdir().expect("a folder");
    let unused = SOUND.replacen("sails:\n", "sails:\n  j9: {kind: headsail, wind: 5..9}\n", 1);
    let nothing = "book: 1\nboat: {name: Samphire}\ncontrols: {vang: {scale: {words: [off, on]}}}\n".to_owned();
    let broken = SOUND.replace("spacing: 20 mm", "spacing: 20 kn");
    for text in [book("A3", ""), book("A6", ""), unused, nothing, broken, SOUND.to_owned()] {
        std::fs::write(folder.path().join("boat.yaml"), text).expect("a book is written");
        for flags in [
            &["--paper", "a4"][..],
            &["--paper", "a3"],
            &[],
            &["--strict"],
            &["--paper", "a5", "--strict"],
            &["--flip", "short"],
        ] {
            assert_eq!(run(folder.path(), "check", flags), run(folder.path(), "build", flags), "{flags:?}");
        }
    }
    let (code, told) = run(folder.path(), "check", &["--paper", "a9"]);
    assert!(code == Some(2) && told.contains("a9"), "{told}");
    assert_eq!(run(folder.path(), "check", &["--paper", "a9"]), run(folder.path(), "build", &["--paper", "a9"]));
    let folders = ["--printer", "none", "--readings", "printers.yaml"];
    assert_eq!(run(folder.path(), "check", &folders), run(folder.path(), "build", &folders));
    std::fs::write(folder.path().join("boat.editions.yaml"), "{").expect("a damaged file");
    assert_eq!(run(folder.path(), "check", &[]), run(folder.path(), "build", &[]));
}
