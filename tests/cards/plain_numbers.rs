//! Numbers as people read them: no card, working or message shows what only the arithmetic knows.

use std::collections::BTreeMap;

use cockpit_cards::cards::{self, Edition, Label};

use crate::common::books::{self, Choices, spoil};
use crate::common::inputs;

/// A card shows thousandths at most, of an inch; a working and a message ten thousandths.
const ON_CARDS: usize = 3;
const IN_WORDS: usize = 4;
/// Of a number less than 1 the zeros behind the point say how small it is: these many figures may follow them.
const FIGURES: usize = 4;

/// Every number with more decimals than these.
fn noise(text: &str, most: usize) -> Vec<String> {
    let is_part = |letter: char| letter.is_ascii_digit() || letter == '.';
    let numbers =
        text.split(|letter: char| !is_part(letter)).filter_map(|number| Some((number, number.split_once('.')?)));
    let too_many = numbers.filter(|(_, (whole, decimals))| {
        let figures = if *whole == "0" { decimals.trim_start_matches('0').len() } else { usize::MAX };
        decimals.len() > most && figures > FIGURES && decimals.bytes().all(|byte| byte.is_ascii_digit())
    });
    too_many.map(|(number, _)| number.to_owned()).collect()
}

/// What is wrong with the words of one book, under what it was found in.
fn found_in(book: &books::Book, found: &mut BTreeMap<String, String>) -> usize {
    let mut say = |text: &str, most: usize, what: String| {
        // What is quoted is what somebody wrote.
        let own: String = text.split('`').step_by(2).collect::<Vec<_>>().join(" ");
        if let Some(number) = noise(&own, most).into_iter().next() {
            found.entry(what).or_insert_with(|| format!("{number} in {text:?}"));
        }
    };
    let loaded = inputs::load(book);
    let mut problems = loaded.problems;
    let mut printed = 0;
    if let Some(book) = &loaded.book {
        for card in cards::cards(book, &mut problems) {
            for side in card.sides() {
                let label = Label::new(book, &side.stamp, Edition::Draft);
                if let Ok(drawing) = side.content.layout(&label) {
                    drawing.texts().for_each(|text| say(&text.content, ON_CARDS, format!("the card {}", side.kind)));
                }
                for passage in side.content.working() {
                    let lines = passage.lines.iter().flat_map(|line| [&line.finds, &line.how, &line.value]);
                    lines
                        .chain([&passage.of])
                        .for_each(|text| say(text, IN_WORDS, format!("the working of {}", side.kind)));
                }
                printed += 1;
            }
        }
    }
    for problem in &problems {
        // Without its numbers a message names its kind.
        let kind: String = problem.what.chars().filter(|letter| letter.is_alphabetic() || *letter == ' ').collect();
        say(&problem.what, IN_WORDS, format!("the message {kind}"));
        say(&problem.instead, IN_WORDS, format!("the remedy for {kind}"));
    }
    printed
}

/// The same book read in other units: what stands bare in it is another quantity then.
fn in_units(book: &books::Book, units: &str) -> books::Book {
    let kept = book.text.lines().filter(|line| !line.starts_with("units:"));
    let text: Vec<String> = kept
        .map(|line| if line.trim_end() == "book: 1" { format!("book: 1\nunits: {units}") } else { line.to_owned() })
        .collect();
    books::Book { text: text.join("\n") + "\n", ..book.clone() }
}

const UNITS: [&str; 5] = [
    "{length: mm, wind: kn, mass: kg, pressure: bar}",
    "{length: in, wind: kn, mass: lb, pressure: psi}",
    "{length: ft, wind: m/s, mass: lb, pressure: bar}",
    "{length: m, wind: m/s, mass: kg, pressure: psi}",
    "{length: cm, wind: m/s, mass: kg, pressure: bar}",
];

/// How many books are made up: `PLAIN_BOOKS` asks for more than the usual run has time for.
fn how_many() -> u64 {
    std::env::var("PLAIN_BOOKS").ok().and_then(|number| number.parse().ok()).unwrap_or(40)
}

fn written(text: &str) -> books::Book {
    let table = ("imperial-genoa.csv".to_owned(), include_str!("../../examples/imperial-genoa.csv").to_owned());
    books::Book { text: text.to_owned(), tables: vec![table], ..books::Book::default() }
}

/// A book that writes everything in other units than its own.
const CONVERTED: &str = "\
book: 1
boat: {name: Chervil, length: 33 ft 5 in}
wind_bands: [2.3 m/s, 5.1 m/s, 7.7 m/s, 11.3 m/s]
controls:
  vang: {scale: {gauge: {unit: bar, least: 0, most: 120, every: 5}}}
  lead: {scale: {marks: 0..9, spacing: 13/16 in, halves: true}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, name: J1, wind: 2.1..8.9 m/s, angle: 36..60}
  j2: {kind: headsail, name: J2, wind: 8.3..13.7 m/s, angle: 36..60}
settings:
  - id: j1-upwind
    sails: [main, j1]
    point_of_sail: upwind
    controls: [vang, lead]
    at: {3.1 m/s: [25, 3], 5.9 m/s: [40, 5], 8.7 m/s: [60, 7]}
    targets: {3.1 m/s: {heel: 16, speed: 3.1 m/s}, 8.7 m/s: {heel: 24, speed: 3.7 m/s, angle: 42}}
  - id: j2-upwind
    sails: [main, j2]
    point_of_sail: upwind
    controls: [vang, lead]
    at: {8.7 m/s: [55, 6], 12.1 m/s: [80, 9]}
crew: {aboard: 8, mass: 180 lb, rail: {out: 5 ft 5 in, above: 3 ft}, bunks: {out: 3 ft 7 in, above: 4 in}}
righting: {displacement: 14100 lb, gm: 4 ft 1 in, heel_limited: {from: 18}, upwind_angle: 42}
stowage:
  displacement: 14100 lb
  centre_of_gravity: [20 ft 1 in, 0 ft, 5 in]
  gyradius: 8 ft 3 in
  gm: 3 ft 11 in
  items:
    - {what: Anchor, mass: 35 lb, now: [1 ft, 0 ft, 3 ft], plan: move, to: [15 ft 7 in, 1 ft, 1 ft], stow: Bilge}
wardrobe: {wind: 2.3..13.7 m/s, angle: 36..60}
cards:
  - {kind: wind-settings, settings: j1-upwind}
  - {kind: wind-settings, settings: j2-upwind}
  - {kind: change-points, settings: j1-upwind}
  - {kind: crew-below, below: [2, 4]}
  - {kind: sail-change, from: j1, to: j2}
  - {kind: stowage}
  - {kind: wardrobe}
  - {kind: strip, control: lead}
";

#[test]
fn no_card_working_or_message_shows_a_number_that_nobody_reads_in_any_unit() {
    let texts = [
        include_str!("../../examples/full.yaml"),
        include_str!("../../examples/imperial.yaml"),
        include_str!("../../examples/smallest.yaml"),
        CONVERTED,
        include_str!("../books/found/ranges-in-another-unit.yaml"),
        include_str!("../books/found/steps-on-an-edge-in-metres-per-second.yaml"),
        include_str!("../books/found/pounds-and-inches.yaml"),
        include_str!("../books/found/loads_at_their_limit.yaml"),
        include_str!("../books/found/metres-written-bare.yaml"),
        include_str!("../books/found/list-past-small-angles.yaml"),
        include_str!("../books/found/rams_that_push.yaml"),
        include_str!("../books/found/rail-of-a-small-boat.yaml"),
    ];
    let all: Vec<books::Book> = texts.into_iter().map(written).collect();
    // A made-up book, sound and spoilt, is read in its own units and in some others: each kind of units has its turn.
    let made_up = (0..how_many()).zip(UNITS.iter().cycle()).flat_map(|(seed, units)| {
        let sound = books::sound(&books::row(seed));
        let spoilt = spoil::spoilt(&sound, &mut Choices::new(&books::row(seed + 1_000_000)));
        [sound, spoilt].map(|book| (in_units(&book, units), book))
    });
    let (mut found, mut printed) = (BTreeMap::new(), 0);
    let converted = found_in(&written(CONVERTED), &mut found);
    assert!(converted > 5, "{converted} cards of the book in other units");
    for book in &all {
        printed += found_in(book, &mut found);
        for units in UNITS {
            printed += found_in(&in_units(book, units), &mut found);
        }
    }
    for (in_others, book) in made_up {
        printed += found_in(&book, &mut found) + found_in(&in_others, &mut found);
    }
    assert!(found.is_empty(), "{found:#?}");
    assert!(printed > 1_000, "{printed} cards are no test");
}

#[test]
fn the_look_at_numbers_sees_noise_and_leaves_small_numbers_alone() {
    assert_eq!(noise("the card at 12.634989 kn, 81.646627 kg", ON_CARDS), ["12.634989", "81.646627"]);
    assert_eq!(noise("6.4252", ON_CARDS), ["6.4252"]);
    assert!(noise("6.4252 0.002375 1.2.3456 π 3.125", IN_WORDS).is_empty());
}
