//! What `due` and the change slip say of each kind of card after a change of the book, as a shipmate would say it.

use crate::common::whole;
use crate::swap::Swap;
use cockpit_cards::book::{self, Book};
use cockpit_cards::cards::{self, Card, KINDS};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::editions::{Due, Editions, Why};

const FULL: &str = include_str!("../../examples/full.yaml");

fn read(text: &str) -> (Book, Vec<Card>) {
    let loaded = book::from_text("boat.yaml", text, &whole::table, has_glyph);
    assert!(loaded.is_sound(), "{:?}", loaded.problems);
    let book = loaded.book.expect("a book");
    let cards = cards::cards(&book, &mut Vec::new());
    (book, cards)
}

fn released() -> Editions {
    let (book, cards) = read(FULL);
    let due = Due::of(&book, &cards, &Editions::default(), false);
    let next = due.released(&book, &cards, &Editions::default(), "2027-05-01");
    // As they come back from the disk.
    Editions::parse(&next.text().expect("YAML")).expect("sound")
}

/// Pieces of the example, what takes their place, and the kinds of card that must have something to say of it.
const CHANGES: &[(&str, &str, &str, &[&str])] = &[
    (
        "a faster setting",
        "14: [4½,  5½, 4½,  green, C,  5, 25]",
        "14: [4,  5½, 4½,  green, C,  5, 25]",
        &["wind-settings", "sail-change"],
    ),
    (
        "the reefed sails found another mark",
        "27: [6,   8,  6½",
        "27: [6½,   8,  6½",
        &["wind-settings", "change-points"],
    ),
    (
        "a sail for less wind",
        "name: J1, wind: 5..16, angle: 36..70",
        "name: J1, wind: 5..15, angle: 36..60",
        &["wardrobe", "sail-change"],
    ),
    ("a heavier crew", "mass: 82 kg ", "mass: 95 kg ", &["crew-below"]),
    ("another start", "start: 2027-06-12 18:40", "start: 2027-06-12 19:40", &["watch-plan"]),
    ("a new name in a watch", "Ada", "Gil", &["watch-plan"]),
    ("a tighter rig for a breeze", "20: [1½, 1]", "20: [2, 1]", &["dock-tune"]),
    (
        "a control told otherwise",
        "  backstay:\n    name: Backstay\n    higher_is: tighter",
        "  backstay:\n    name: Backstay\n    higher_is: harder",
        &["handover"],
    ),
    (
        "another hard point",
        "datum: {from: ram eye, distance: 310 mm",
        "datum: {from: ram eye, distance: 330 mm",
        &["re-mark", "strip"],
    ),
    ("the lead of the sheet", "  car: 8\n", "  car: 9\n", &["outboard-lead"]),
    ("closer lacing", "spacing: 350 mm", "spacing: 320 mm", &["lacing"]),
    ("a lighter anchor", "what: anchor, mass: 16 kg", "what: anchor, mass: 12 kg", &["stowage"]),
];

#[test]
fn every_kind_of_card_tells_its_changes_as_a_shipmate_would() {
    let editions = released();
    let mut told: Vec<&str> = Vec::new();
    let mut report = String::new();
    let readiness = FULL.lines().find(|line| line.contains("- {what:") && line.contains("who:")).expect("a check");
    let more = format!("{readiness}\n  - {{what: Spare sheet on deck, who: Gil, by: the start}}");
    let own = [("one more thing to do", readiness, more.as_str(), &["readiness"][..])];
    for (name, piece, replacement, kinds) in CHANGES.iter().copied().chain(own) {
        assert!(FULL.contains(piece), "{name}: the example has no `{piece}`");
        let (book, mut cards) = read(&FULL.swap(piece, replacement));
        editions.settle_stamps(&mut cards);
        report.push_str(&format!("## {name}\n\n"));
        let mut seen = Vec::new();
        for item in Due::of(&book, &cards, &editions, false).items {
            let Why::Changed { words, .. } = &item.why else { continue };
            let card = cards.iter().find(|card| card.id == item.id).expect("a card");
            seen.push(card.kind);
            seen.extend(
                card.back.as_ref().filter(|_| words.iter().any(|it| it.starts_with("back: "))).map(|back| back.kind),
            );
            report.push_str(&format!("{}\n", item.title));
            words.iter().for_each(|words| report.push_str(&format!("    {words}\n")));
        }
        for kind in kinds {
            assert!(seen.contains(kind), "{name}: no {kind} card is due: {seen:?}");
        }
        told.extend(kinds);
        report.push('\n');
    }
    for kind in KINDS {
        assert!(told.contains(&kind.name), "no change reaches a {} card", kind.name);
    }
    // Names of fields are no words for people.
    for raw in ["_", "null", "{", "[\"", "\"]", "cells", "rungs"] {
        assert!(!report.contains(raw), "`{raw}` in\n{report}");
    }
    insta::with_settings!({omit_expression => true}, {
        insta::assert_snapshot!("told", report);
    });
}

#[test]
fn a_mark_that_moved_is_told_in_millimetres_that_a_tape_has() {
    let editions = released();
    let spacing = "higher_is: tighter\n    scale: {marks: 0..8, spacing: 20 mm, halves: true}\n    limit:";
    let (book, mut cards) = read(&FULL.swap(spacing, &spacing.replace("20 mm", "0.8123 in")));
    editions.settle_stamps(&mut cards);
    let strip = Due::of(&book, &cards, &editions, false).items.into_iter().find(|item| item.id == "strip-backstay");
    let Some(Why::Changed { words, .. }) = strip.map(|item| item.why) else { panic!("the strip is due") };
    // 8 × 0.8123 in are 165.05936 mm (1 in is 25.4 mm, NIST SP 811).
    assert_eq!(words[0], "mark 8 stands 165.059 mm from the first, not 160 mm");
}
