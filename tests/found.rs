//! Faults that made-up and spoilt inputs have found, one test for each kind, so that none comes back.
mod common;
mod reading;

use cockpit_cards::editions::Editions;
use common::truth;
use reading::{SOUND, complaints, load};

#[test]
fn a_text_of_the_book_does_not_reach_the_terminal_as_it_is() {
    // The names of the columns stand in the remedy for a row that is too short.
    for odd in ["\\e[2J", "\\0", "\\u202E", "\\a"] {
        let text = SOUND
            .replace("controls: [backstay, lead, vang]", &format!("controls: [backstay, \"lead{odd}\", vang]"))
            .replace("[0, 13, eased]", "[0, 13]");
        let said = complaints(&load(&text));
        let raw = said.chars().find(|letter| (letter.is_control() && *letter != '\n') || *letter == '\u{202E}');
        assert_eq!(raw, None, "{odd}: {said:?}");
        assert!(said.contains('\u{FFFD}'), "{odd}: {said}");
    }
}

#[test]
fn a_word_beside_a_picture_stays_on_its_card() {
    // The block stands so far aft that the middle of its name lies near the edge of the view.
    let gear = "\
outboard_lead:
  tack: [0.5 m, 0 m, 1.25 m]
  clew: [5.0 m, 1.15 m, 2.3 m]
  track: {0: [5.3 m, 0.85 m, 1.15 m], 14: [7.4 m, 1.0 m, 1.15 m]}
  car: 8
  outboard_block: [8.1 m, 1.5 m, 1.05 m]
  pad_eye: [6.0 m, 1.5 m, 1.1 m]
  tweaker: {0: 900 mm, 2: 500 mm, 4: 350 mm}
";
    let loaded = load(&format!("{SOUND}{gear}cards: [{{kind: outboard-lead}}]\n"));
    assert_eq!(complaints(&loaded), "");
    assert_eq!(truth::over_the_edge(&loaded.book.expect("a book")), Vec::<String>::new());
}

#[test]
fn an_edition_that_nothing_can_follow_is_refused() {
    let file = |edition: u32| {
        format!(
            "editions: 1\ncards:\n  a:\n    kind: strip\n    title: A\n    releases:\n    - {{edition: {edition}, stamp: 3KQ7M, \
             digest: 3KQ7MACDEFGHJKMNPQRST, date: 2027-05-01, boat: Chervil}}\n    content: {{}}\ncards_in_all: 1\n"
        )
    };
    assert!(Editions::parse(&file(1)).is_ok());
    for edition in [0, u32::MAX] {
        let wrong = Editions::parse(&file(edition)).expect_err("no edition");
        assert!(wrong.what.contains(&edition.to_string()) && !wrong.instead.is_empty(), "{wrong:?}");
    }
}
