//! What a book is printed as that does not list its cards, or that takes some out of all of them.

use std::collections::BTreeSet;

use cockpit_cards::book::Problem;
use cockpit_cards::door::{self, Passed};
use cockpit_cards::printing::Options;
use cockpit_cards::{cards, printing};

use crate::common::whole::{self, EXAMPLES};
use crate::swap::Swap;

/// The long example, with this in place of its list of cards.
fn full(cards: &str) -> String {
    let text = EXAMPLES[1].1;
    let at = text.find("cards:\n  - {kind").expect("a list of cards");
    format!("{}{cards}", &text[..at])
}

/// Ids with their kinds, in the order of print.
fn printed(text: &str) -> Vec<(String, &'static str)> {
    let book = whole::load(text).book.expect("a sound book");
    let mut problems: Vec<Problem> = Vec::new();
    let made = cards::cards(&book, &mut problems);
    assert_eq!(problems, []);
    made.iter().map(|card| (card.id.clone(), card.kind)).collect()
}

fn ids(text: &str) -> Vec<String> {
    printed(text).into_iter().map(|(id, _)| id).collect()
}

fn left_out(text: &str) -> Vec<String> {
    printing::left_out(&whole::load(text).book.expect("a sound book"))
}

fn told(text: &str) -> Vec<String> {
    let Passed { problems, .. } = door::check(whole::load(text));
    problems.into_iter().map(|problem| format!("{}; {}", problem.what, problem.instead)).collect()
}

#[test]
fn a_book_that_says_everything_has_a_card_of_every_kind() {
    let kinds: BTreeSet<&str> = printed(&full("")).into_iter().map(|(_, kind)| kind).collect();
    let all: BTreeSet<&str> = cards::KINDS.iter().map(|kind| kind.name).collect();
    assert_eq!(kinds, all);
    assert_eq!(left_out(&full("")), [""; 0]);
    assert_eq!(printed(&full("")), printed(&full("cards: {all: true}\n")));
}

#[test]
fn what_a_book_has_nothing_to_say_for_is_left_out_with_the_reason() {
    let told = left_out(EXAMPLES[0].1);
    assert!(told.iter().any(|line| line.contains("re-mark: no strip has a `datum`")), "{told:#?}");
    let sections = told.last().expect("a line");
    for section in ["crew-below", "`crew`", "lacing", "`lacing`", "`watches`"] {
        assert!(sections.contains(section), "{sections}");
    }
    // Each kind is either printed or told of.
    for (_, text) in EXAMPLES {
        let text = text.find("cards:\n  - {kind").map_or(text.to_owned(), |at| text[..at].to_owned());
        let there: BTreeSet<&str> = printed(&text).into_iter().map(|(_, kind)| kind).collect();
        let told = left_out(&text).join("\n");
        for kind in cards::KINDS.iter().filter(|kind| !there.contains(kind.name)) {
            assert!(told.contains(kind.name), "{}: {told}", kind.name);
        }
    }
}

#[test]
fn the_command_says_what_was_left_out() {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("boat.yaml"), EXAMPLES[0].1).expect("a book is written");
    for command in ["check", "build"] {
        let mut program = assert_cmd::Command::cargo_bin("cockpit-cards").expect("the program");
        let output = program.arg(command).current_dir(folder.path()).output().expect("a run");
        let said = String::from_utf8(output.stdout).expect("UTF-8").to_lowercase();
        assert!(said.contains("left out:") && said.contains("re-mark: no strip has a `datum`"), "{command}: {said}");
    }
}

#[test]
fn kinds_and_single_cards_are_taken_out_of_all() {
    let all = ids(&full(""));
    let some = full("cards: {all: true, except: [stowage, strip-backstay, change-j1-upwind, strip-jib_lead-port]}\n");
    let gone = ["stowage", "strip-backstay", "change-j1-upwind", "strip-jib_lead-port"];
    assert!(gone.iter().all(|id| all.iter().any(|known| known == id)), "{all:?}");
    let wanted: Vec<String> = all.into_iter().filter(|id| !gone.contains(&id.as_str())).collect();
    assert_eq!(ids(&some), wanted);
    let told = left_out(&some);
    assert!(gone.iter().all(|id| told.contains(&format!("{id}: the list of cards takes it out"))), "{told:#?}");
    let no_strips = printed(&full("cards: {all: true, except: [strip]}\n"));
    assert!(no_strips.iter().all(|(_, kind)| *kind != "strip") && no_strips.len() > 10);
}

#[test]
fn sizes_are_given_by_kind_or_by_card_and_change_no_stamp() {
    let sized = full("cards: {all: true, sizes: {wind-settings: A5, j3-upwind: A4, j2-to-j3-upwind: A5}}\n");
    let made = |text: &str| {
        let options = Options {
            job: printing::PrintJob::on(printing::PaperSize::parse("a3").expect("a paper")),
            ..Options::default()
        };
        let passed = door::print(whole::load(text), &options);
        passed.made.unwrap_or_else(|| panic!("{:#?}", passed.problems)).cards
    };
    let (plain, sized) = (made(&full("")), made(&sized));
    let size = |id: &str| {
        let card = sized.iter().find(|card| card.id == id).expect("a card");
        let (width, height) = (card.width_mm.min(card.height_mm), card.width_mm.max(card.height_mm));
        (width.round() as u32, height.round() as u32)
    };
    // ISO 216: A4 is 210 by 297 mm, A5 148 by 210 mm, A6 105 by 148 mm.
    assert_eq!([size("j3-reef-upwind"), size("j3-upwind")], [(148, 210), (210, 297)]);
    assert_eq!([size("j2-to-j3-upwind"), size("j3-to-j2-upwind")], [(148, 210), (105, 148)]);
    for (one, other) in plain.iter().zip(&sized) {
        assert_eq!((&one.id, &one.stamp), (&other.id, &other.stamp));
    }
}

#[test]
fn a_list_that_takes_out_what_there_is_not_says_so() {
    for (cards, words) in [
        ("{all: true, except: [stowadge]}", "did you mean `stowage`?"),
        ("{all: true, except: [change-j1-upwnd]}", "did you mean `change-j1-upwind`?"),
        ("{all: true, sizes: {wardrob: A5}}", "did you mean `wardrobe`?"),
        ("{all: true, sizes: {wardrobe: A55}}", "A55"),
        ("{all: true, sizes: {strip: A5}}", "`strip` has no size"),
        ("{all: true, sizes: {strip-backstay: A5}}", "`strip-backstay` has no size"),
        ("{all: false}", "none is named"),
        ("{except: [stowage]}", "`cards` has no `all`"),
        ("{all: true, exept: [stowage]}", "did you mean `except`?"),
    ] {
        let told = told(&full(&format!("cards: {cards}\n")));
        assert!(told.iter().any(|told| told.contains(words)), "{cards}: {told:#?}");
    }
}

#[test]
fn a_control_that_has_no_strip_says_so() {
    let with = full("").swap(
        "    strip:\n      place: on a batten beside the ram",
        "    strip: none\n    other:\n      place: on a batten beside the ram",
    );
    let start = with.find("    other:\n").expect("the old strip");
    let end = start + with[start..].find("\n  jib_halyard").expect("the next control");
    let none = format!("{}{}", &with[..start], &with[end + 1..]);
    let (before, after) = (ids(&full("")), ids(&none));
    assert_eq!(before.len(), after.len() + 1);
    assert!(!after.contains(&"strip-backstay".to_owned()), "{after:?}");
    let asked = told(&format!("{none}cards: [{{kind: strip, control: backstay}}]\n"));
    assert!(asked.iter().any(|told| told.contains("its control says `strip: none`")), "{asked:#?}");
}
