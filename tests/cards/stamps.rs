//! A stamp changes when, and only when, what a reader can see or measure changes.

use crate::reading;
use cockpit_cards::wrong::Wrong;

use std::collections::{BTreeMap, BTreeSet, HashMap};

use cockpit_cards::cards::parts::stamp::{ALPHABET, DIGEST_LENGTH, digest, odds_of_a_shared_stamp, shortest};
use cockpit_cards::cards::{self, Card, Content, Edition, Label};
use cockpit_cards::drawing::Drawing;
use proptest::prelude::*;
use reading::load;

/// A book with a hole, `<0>` and so on, for every value of [`HOLES`].
const TEMPLATE: &str = "\
book: 1
boat: {name: <0>, length: <1>}
wind_bands: <2>
wind_source: {kind: true, sensor: <3>}
controls:
  backstay:
    name: <4>
    higher_is: <5>
    scale: {marks: 0..<6>, spacing: <7>, halves: <8>}
    limit: {never_above: 6, why: <9>}
    strip: {place: <10>, width: <11>, reading_distance: <12>, pointer: <13>, winds: [j1-upwind], datum: {from: ram eye, distance: <14>}}
  jib_lead:
    scale: {marks: 0..8, spacing: 20 mm, purchase: <15>}
    strip: {sides: both, grows: aft, reader_stands: inboard}
  traveller:
    scale: {centre: C, marks: 4, spacing: 25 mm, ends: <16>}
  vang: {scale: {words: <17>}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, name: <18>, wind: <19>, luff: <20>}
settings:
  - id: j1-upwind
    sails: [main, j1]
    point_of_sail: <21>
    controls: [backstay, jib_lead, traveller, vang]
    at:
      6:  [<22>, 2, W3, <26>]
      10: [2, <23>, <27>, snug]
      <28>: [4½, 5, C, hard]
    targets: {10: {speed: <24>, look: <25>}}
";

/// What may stand in each hole; within a row all differ in what they say, if not in what is printed.
const HOLES: &[&[&str]] = &[
    &["Chervil", "Saltwort", "Pepperwort"],
    &["9 m", "10 m"],
    &["[4, 8, 12, 16, 20]", "[4, 9, 12, 16, 20]", "[5, 8, 12, 17, 20]"],
    &["masthead", "wand", "bent wand"],
    &["Backstay", "Ram", "Stay aft"],
    &["tighter", "harder"],
    &["7", "8", "9"],
    &["20 mm", "21 mm", "20.01 mm", "1 in"],
    &["true", "false"],
    &["gauge", "180 bar", "maker's figure"],
    &["on a batten", "at the ram"],
    &["22 mm", "26 mm"],
    &["1.2 m", "1 m", "0.9 m"],
    &["tip of the ram", "end of the ram"],
    &["310 mm", "311 mm", "340 mm"],
    &["1", "2", "3"],
    &["[W, L]", "[W, lee]"],
    &["[eased, snug, hard]", "[eased, snug, bar, hard]"],
    &["J1", "Jib 1", "No 1"],
    &["5..16", "6..16", "5..15"],
    &["14.95 m", "14.90 m"],
    &["upwind", "close-reach"],
    &["0", "½", "1"],
    &["3", "4"],
    &["6 kn", "6.1 kn"],
    &["tight leech", "open leech"],
    &["eased", "snug"],
    &["C", "W2", "W1"],
    &["14", "13.9", "14.5"],
];

type Choice = Vec<usize>;

fn text_of(choice: &Choice) -> String {
    let mut text = TEMPLATE.to_owned();
    for (hole, (values, chosen)) in HOLES.iter().zip(choice).enumerate() {
        text = text.replace(&format!("<{hole}>"), values[chosen % values.len()]);
    }
    text
}

fn cards_of(text: &str) -> BTreeMap<String, Card> {
    let loaded = load(text);
    assert!(loaded.is_sound(), "{}\n{text}", reading::complaints(&loaded));
    let mut problems = Vec::new();
    let cards = cards::cards(&loaded.book.expect("a book"), &mut problems);
    assert!(!cards.is_empty());
    cards.into_iter().map(|card| (card.id.clone(), card)).collect()
}

fn stamps_of(text: &str) -> BTreeMap<String, String> {
    cards_of(text).into_iter().map(|(id, card)| (id, card.stamp)).collect()
}

/// What a reader gets to see, whatever the boat is called and however far the card is released.
fn picture(card: &Card) -> Option<Drawing> {
    let label =
        Label { boat: "Any".to_owned(), stamp: "AAAAA".to_owned(), edition: Edition::Draft, ..Label::default() };
    cards::draw(card, &label, &mut Vec::new())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 160, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn of_one_changed_value_exactly_the_cards_that_look_different_get_another_stamp(
        choice in proptest::collection::vec(0_usize..12, HOLES.len()),
        hole in 0..HOLES.len(),
        step in 1_usize..4,
    ) {
        let mut changed = choice.clone();
        changed[hole] += step;
        let (before, after) = (cards_of(&text_of(&choice)), cards_of(&text_of(&changed)));
        let ids: BTreeSet<&String> = before.keys().chain(after.keys()).collect();
        for id in ids {
            let (Some(old), Some(new)) = (before.get(id), after.get(id)) else {
                prop_assert!(false, "{id} came or went");
                continue;
            };
            // The boat's name is content of a card but stands on a strip's label only; `picture` hides it on both.
            let renamed = hole == 0 && old.kind != "strip" && choice[0] % 3 != changed[0] % 3;
            let looks_different = picture(old) != picture(new) || old.title != new.title;
            prop_assert_eq!(
                old.stamp != new.stamp,
                looks_different || renamed,
                "{} with {} for {}", id, HOLES[hole][changed[hole] % HOLES[hole].len()], HOLES[hole][choice[hole] % HOLES[hole].len()]
            );
        }
    }
}

#[test]
fn spelling_comments_order_and_units_of_the_book_change_no_stamp() {
    let plain = "\
book: 1
boat: {name: Chervil, length: 9 m}
controls:
  backstay:
    higher_is: tighter
    scale: {marks: 0..8, spacing: 20 mm, halves: true}
    strip: {pointer: tip of the ram, width: 1 in, datum: {from: ram eye, distance: 310 mm}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 5..16}
settings:
  - {id: up, sails: [main, j1], point_of_sail: upwind, controls: [backstay], at: {6: [½], 14: [4½]}}
";
    let respelt = "\u{FEFF}\
# A comment at the top.
settings:
  # another
  - point_of_sail: 'upwind'
    id: \"up\"
    at:
      6 kn: [0.5]   # light
      14.0: [4 1/2]
    controls:
      - backstay
    sails: [j1, main]
sails:
  j1:
    wind: 5 .. 16
    kind: headsail
  main: {kind: mainsail}
boat: {length: 900 cm, name: Chervil}
controls:
  backstay:
    strip:
      datum: {distance: 31 cm, from: \"ram eye\"}
      width: 25.4 mm
      pointer: tip of the ram
    scale: {halves: true, spacing: 2 cm, marks: 0..8}
    higher_is: tighter
book: 1";
    assert_eq!(stamps_of(plain), stamps_of(respelt));
    assert_eq!(stamps_of(plain), stamps_of(&plain.replace('\n', "\r\n")));
}

/// Stamps of a book as this release gives them. They stand on laminated cards: if this test fails, every card aboard
/// every boat goes stale with the next release, so make sure that the change is worth it.
#[test]
fn stamps_given_once_stay() {
    let stamps = stamps_of(reading::SOUND);
    let found: Vec<String> = stamps.iter().map(|(id, stamp)| format!("{id} {stamp}")).collect();
    assert_eq!(found, ["change-j1-upwind VCKUA", "j1-upwind NFHZC", "strip-backstay ZKHAY", "strip-lead A5TCT"]);
}

/// The same words in another layout.
#[derive(Debug)]
struct Prettier(Box<dyn Content>);

impl Content for Prettier {
    fn data(&self) -> serde_json::Value {
        self.0.data()
    }

    fn stamped(&self) -> serde_json::Value {
        self.0.stamped()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        let mut drawing = self.0.layout(label)?;
        drawing.size.height += 3.0;
        drawing.items.reverse();
        Ok(drawing)
    }
}

#[test]
fn another_layout_of_the_same_content_keeps_the_stamp() {
    for (_, card) in cards_of(reading::SOUND) {
        let (stamp, before) = (card.stamp.clone(), picture(&card));
        let prettier = Card::new(card.id, card.kind, card.title, card.stock, card.place, Prettier(card.content));
        assert_ne!(before, picture(&prettier));
        assert_eq!(stamp, prettier.stamp);
    }
}

#[test]
fn a_new_name_for_the_boat_changes_every_card_and_no_strip() {
    let renamed = reading::spoilt("Chervil", "Saltwort");
    let (before, after) = (cards_of(reading::SOUND), cards_of(&renamed));
    for (id, card) in before {
        assert_eq!(card.stamp == after[&id].stamp, card.kind == "strip", "{id}");
    }
}

#[test]
fn a_stamp_has_no_characters_that_look_alike() {
    for twins in ["0O", "1IL", "8B"] {
        assert!(twins.bytes().all(|twin| !ALPHABET.contains(&twin)), "{twins}");
    }
    let distinct: BTreeSet<&u8> = ALPHABET.iter().collect();
    assert_eq!(distinct.len(), ALPHABET.len());
}

/// The exact odds are 1 − Π (1 − k/N), k from 0 to n − 1: the birthday problem (Feller, An Introduction to Probability
/// Theory, chapter II.3; from memory).
#[test]
fn the_odds_of_a_shared_stamp_are_those_of_the_birthday_problem() {
    let stamps = 29_f64.powi(5);
    for contents in [1_u32, 2, 60, 1_000, 5_000] {
        let apart: f64 = (0..contents).map(|k| 1.0 - f64::from(k) / stamps).product();
        approx::assert_relative_eq!(odds_of_a_shared_stamp(contents), 1.0 - apart, max_relative = 1e-3);
    }
    assert!((0.024..0.025).contains(&odds_of_a_shared_stamp(1_000)));
}

/// Hashes numbers until two share five characters, as some two of about 5,700 do.
#[test]
fn two_contents_that_would_share_a_stamp_get_longer_ones_that_differ() {
    let mut seen: HashMap<String, String> = HashMap::new();
    let twins = (0..100_000_u32).find_map(|number| {
        let digest = digest("card", serde_json::json!({ "number": number }));
        assert_eq!(digest.len(), DIGEST_LENGTH);
        let stamp = shortest(&digest, []);
        seen.insert(stamp, digest.clone()).map(|twin| (twin, digest))
    });
    let (one, other) = twins.expect("two that share five characters");
    let stamps = [shortest(&one, [other.as_str()]), shortest(&other, [one.as_str()])];
    assert_ne!(stamps[0], stamps[1]);
    assert!(stamps.iter().all(|stamp| stamp.len() > 5), "{stamps:?}");
    assert!(one.starts_with(&stamps[0]) && other.starts_with(&stamps[1]));
}

#[test]
fn a_field_that_says_nothing_changes_no_stamp_but_an_item_of_a_list_does() {
    let plain = digest("card", serde_json::json!({"a": 1, "list": [null, "x"]}));
    let wordier = digest("card", serde_json::json!({"z": null, "list": [null, "x"], "more": [], "no": false, "a": 1}));
    assert_eq!(plain, wordier);
    assert_ne!(plain, digest("card", serde_json::json!({"a": 1, "list": ["x"]})));
    assert_ne!(plain, digest("strip", serde_json::json!({"a": 1, "list": [null, "x"]})));
}

/// The example with one of its numbers one higher, for every so many numbers: kinds of card that the small book lacks.
#[test]
fn of_one_changed_number_of_the_example_exactly_the_cards_that_look_different_get_another_stamp() {
    let example = include_str!("../../examples/full.yaml");
    // Both sides of a card are one thing to laminate.
    let sides = |card: &Card| (picture(card), card.back.as_deref().and_then(picture));
    let pictures = |cards: &BTreeMap<String, Card>| -> BTreeMap<String, _> {
        cards.iter().map(|(id, card)| (id.clone(), (sides(card), card.title.clone()))).collect()
    };
    let before = cards_of(example);
    let before_pictures = pictures(&before);
    let mut tried = 0;
    for (at, number) in numbers(example).into_iter().step_by(EVERY_NUMBER) {
        let higher = (number.parse::<u64>().unwrap_or_default() + 1).to_string();
        let changed = [&example[..at], &higher, &example[at + number.len()..]].concat();
        let loaded = load(&changed);
        let mut problems = Vec::new();
        let Some(book) = loaded.is_sound().then_some(loaded.book).flatten() else { continue };
        let after: BTreeMap<String, Card> =
            cards::cards(&book, &mut problems).into_iter().map(|card| (card.id.clone(), card)).collect();
        tried += 1;
        for (id, (drawing, title)) in pictures(&after) {
            let Some((old_drawing, old_title)) = before_pictures.get(&id) else { continue };
            let line = example[..at].lines().count();
            assert_eq!(
                before[&id].stamp != after[&id].stamp,
                drawing != *old_drawing || title != *old_title,
                "{id}: {number} to {higher} in line {line}"
            );
        }
    }
    assert!(tried > 10, "{tried}");
}

/// A prime, so that every column of a table gets its turn.
const EVERY_NUMBER: usize = 23;

/// Every run of digits in the values of a book, with its place.
fn numbers(text: &str) -> Vec<(usize, &str)> {
    let mut found = Vec::new();
    let mut line_start = 0;
    for line in text.split_inclusive('\n') {
        let value = line.split(" #").next().unwrap_or_default();
        let mut at = 0;
        while let Some(start) = value[at..].find(|c: char| c.is_ascii_digit()).map(|start| at + start) {
            let end = value[start..].find(|c: char| !c.is_ascii_digit()).map_or(value.len(), |end| start + end);
            let free = !value[..start].ends_with(|c: char| c.is_alphanumeric() || c == '_');
            if free {
                found.push((line_start + start, &text[line_start + start..line_start + end]));
            }
            at = end;
        }
        line_start += line.len();
    }
    found
}
