//! A book with an error: all its problems are told in one run, and none that only comes of another.

use crate::swap::Swap;
use std::collections::BTreeSet;

use cockpit_cards::book::Level;
use cockpit_cards::door;

use crate::common::whole::{self, EXAMPLES};

/// What is said of the long example, in which nothing is wrong, once pieces of it are replaced.
fn told(changes: &[(&str, &str)]) -> Vec<String> {
    let mut text = EXAMPLES[1].1.to_owned();
    for (piece, replacement) in changes {
        assert_eq!(text.matches(piece).count(), 1, "the example has `{piece}` not just once");
        text = text.replace(piece, replacement);
    }
    let passed = door::check(whole::load(&text));
    let errors = passed.problems.iter().filter(|problem| problem.level == Level::Error).count();
    assert_eq!(passed.made.is_none(), errors > 0, "{:?}", passed.problems);
    passed.problems.into_iter().map(|problem| problem.what).collect()
}

#[test]
fn the_book_that_these_tests_spoil_has_nothing_wrong_with_it() {
    assert_eq!(told(&[]), [""; 0]);
}

/// One fault in each section, and words of the only complaint there is to be.
const FAULTS: [(&str, &str, &str); 38] = [
    ("wind_bands: [4, 8,", "wind_bands: [4, 4,", "wind bands do not rise"),
    ("points_of_sail: {upwind: 0..52}", "points_of_sail: {upwind: 5..52}", "upwind starts at 5"),
    ("wind_source: {kind: true, sensor: masthead,", "wind_source: {kind: trew, sensor: masthead,", "trew"),
    (
        "scale: {marks: 0..8, spacing: 20 mm, halves: true}\n    limit",
        "scale: {marks: 0..8, spacing: 20 kg}\n    limit",
        "20 kg",
    ),
    ("  backstay:\n    name: Backstay", "  Backstay!:\n    name: Backstay", "Backstay!"),
    ("pointer: tip of the ram", "pointr: tip of the ram", "pointr"),
    ("chop: {backstay: -½,", "chop: {bakstay: -½,", "bakstay"),
    ("dark: {change_earlier: 2 kn}", "dark: {change_earlier: 2 mm}", "2 mm"),
    ("change_points: {apart: 1 kn}", "change_points: {apart: 1 bar}", "1 bar"),
    ("  main: {kind: mainsail}", "  main: {kind: mainsale}", "mainsale"),
    ("reef_of: main, wind: 24..34", "reef_of: main, wind: 34..24", "34..24"),
    ("wind: 5..16, angle: 36..70, luff: 14.95 m", "wind: 5..16, angle: 70..36, luff: 14.95 m", "70..36"),
    ("luff: 13.20 m, status", "luf: 13.20 m, status", "luf"),
    ("wardrobe: {wind: 5..34, angle: 38..70,", "wardrobe: {wind: 34..5, angle: 38..70,", "34..5"),
    ("  - id: j1-upwind\n", "  - id: J1 upwind\n", "J1 upwind"),
    ("sailed: {file: full-sailed.csv, time_zone", "sailed: {file: full-sailed.csv, tim_zone", "tim_zone"),
    ("  - id: j1-upwind\n    sails", "  - sails", "has no `id`"),
    ("      18: {speed: 7.1 kn", "      8: {speed: 7.1 kn", "do not rise"),
    ("      18: [5½,  6,", "      13: [5½,  6,", "do not rise"),
    ("      18: [5½,  6,", "      18: [9,  6,", "`9` is off the scale"),
    ("    between: {traveller: step}", "    between: {travler: step}", "travler"),
    ("  aboard: 8", "  aboard: many", "many"),
    ("  mass: 82 kg ", "  mass: 82 m  ", "82 m"),
    ("heel_limited: {from: 18 deg}", "heel_limited: {from: 18 kn}", "18 kn"),
    (
        "  displacement: 6400 kg            # what floats",
        "  displacment: 6400 kg             # what floats",
        "displacment",
    ),
    ("  start: 2027-06-12 18:40\n", "  start: 12.6.2027\n", "12.6.2027"),
    ("  least_on_deck: 3\n", "  least_on_deck: 7\n", "are on deck"),
    ("watches:\n  start", "wotches:\n  start", "wotches"),
    ("wind: 9..11, angle: 42}", "wind: 11..9, angle: 42}", "11..9"),
    ("{what: Liferaft in service date,", "{wat: Liferaft in service date,", "wat"),
    ("  car: 8\n", "  car: eight\n", "eight"),
    ("  pattern: vee ", "  pattern: wee ", "wee"),
    ("  moment_to_trim: 95 ", "  moment_to_trim: x  ", "moment to change trim"),
    ("  - {kind: wind-settings, settings: j2-upwind}", "  - {kind: wind-settings, settings: j2-upwnd}", "j2-upwnd"),
    ("  - {kind: wind-settings, settings: j2-upwind}", "  - {knd: wind-settings, settings: j2-upwind}", "knd"),
    (
        "{kind: change-points, settings: j3-reef-upwind}",
        "{kind: change-points, settings: j3-ref-upwind}",
        "j3-ref-upwind",
    ),
    ("printing: {paper: a4, flip: long}", "printing: {paper: a4, flip: round}", "round"),
    ("boat: {name: Pepperwort, length: 11.5 m}", "boat: {name: Pepperwort, length: 11.5 kg}", "11.5 kg"),
];

#[test]
fn every_section_of_the_book_is_spoilt_here() {
    let text = EXAMPLES[1].1;
    let section = |piece: &str| {
        let before = &text[..text.find(piece)? + piece.len()];
        let mut starts = before.lines().filter_map(|line| line.split_once(':')).map(|(field, _)| field);
        starts.rfind(|field| !field.is_empty() && field.bytes().all(|byte| byte.is_ascii_lowercase() || byte == b'_'))
    };
    let spoilt: BTreeSet<&str> = FAULTS.iter().filter_map(|(piece, ..)| section(piece)).collect();
    let schema: serde_json::Value = serde_json::from_str(cockpit_cards::book::schema::SCHEMA).expect("JSON");
    let known = schema["properties"].as_object().expect("the fields of a book").keys().map(String::as_str);
    // These say how the rest is read.
    let known: BTreeSet<&str> = known.filter(|field| !["book", "example", "units"].contains(field)).collect();
    assert_eq!(spoilt, known);
}

#[test]
fn what_has_an_error_goes_with_all_that_refers_to_it_and_nothing_more_is_said_of_it() {
    let faults = FAULTS.iter().map(|(piece, replacement, words)| (replacement, words, told(&[(piece, replacement)])));
    let wrong: Vec<_> = faults.filter(|(_, words, told)| told.len() != 1 || !told[0].contains(**words)).collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

/// Everything refers to something, and each section can be replaced.
const SMALL: &str = "\
book: 1
boat: {name: Chervil}
controls: {lead: {scale: {marks: 0..8, spacing: 20 mm}, strip: {winds: [a]}}}
sails: {main: {kind: mainsail}, j: {kind: headsail, wind: 4..20, offsets: {lead: 1}, start_from: b, replaces: old}, old: {kind: headsail}}
adjust: {chop: {lead: 1}}
settings: [{id: a, sails: [main, j], point_of_sail: upwind, controls: [lead], at: {6: [1], 12: [4]}}, {id: b, sails: [main, old], point_of_sail: downwind, controls: [lead], at: {6: [1], 9: [2]}}]
watches: {start: 2027-06-12 18:40, finish: 2027-06-13 22:00, time_zone: Europe/London, least_on_deck: 1, lengths: [4 h], teams: {red: [Ada], blue: [Bo]}}
forecast: [{time: 2027-06-12 18:40, wind: 4..6}]
cards: [{kind: strip, control: lead}, {kind: wind-settings, settings: a, back: change-a}, {kind: change-points, settings: a}, {kind: watch-plan}]
";

#[test]
fn a_section_that_cannot_be_made_out_is_told_once_whatever_refers_to_it() {
    let errors = |text: &str| {
        let problems = door::check(whole::load(text)).problems.into_iter();
        let errors = problems.filter(|problem| problem.level == Level::Error);
        errors.map(|problem| problem.what).collect::<Vec<_>>()
    };
    assert_eq!(errors(SMALL), [""; 0]);
    let (no_map, no_list) = ("[5]", "{a: 5}");
    for (section, wrong) in [
        ("controls", no_map),
        ("sails", no_map),
        ("adjust", no_map),
        ("settings", no_list),
        ("watches", no_map),
        ("forecast", no_list),
        ("cards", "5.5"),
    ] {
        let replaced = |line: &str| {
            let is_it = line.starts_with(&format!("{section}:"));
            if is_it { format!("{section}: {wrong}\n") } else { format!("{line}\n") }
        };
        let text: String = SMALL.lines().map(replaced).collect();
        assert_ne!(text, SMALL);
        let told = errors(&text);
        assert_eq!(told.len(), 1, "{section}: {told:#?}");
    }
}

#[test]
fn what_has_no_error_is_looked_at_on_in_the_same_run() {
    let told = told(&[
        // The settings of the J3, and their cards, are out; the strip that is too narrow and the lost card are not.
        ("wind: 20..34, angle: 38..80", "wind: 34..20, angle: 38..80"),
        ("{kind: wind-settings, settings: j2-upwind}", "{kind: wind-settings, settings: j2-upwnd}"),
        ("grows: up, width: 27 mm", "grows: up, width: 8 mm"),
    ]);
    assert_eq!(told.len(), 3, "{told:#?}");
    for words in ["34..20", "`j2-upwnd`", "strip-checkstay"] {
        assert!(told.iter().any(|told| told.contains(words)), "{words}: {told:#?}");
    }
}

#[test]
fn a_table_with_an_error_takes_the_settings_along_that_name_it() {
    let (text, table) = (EXAMPLES[2].1, whole::TABLES[0].1);
    let load = |table: &str| {
        let table = |_: &str| Some(table.to_owned());
        cockpit_cards::book::from_text("boat.yaml", text, &table, cockpit_cards::drawing::font::has_glyph)
    };
    assert_eq!(door::check(load(table)).problems, []);
    // Nobody knows this column: the settings cannot be read, and the card of them says nothing of that.
    let spoilt = table.swap("genoa_lead", "genoa_led");
    assert_ne!(spoilt, table);
    let told = door::check(load(&spoilt)).problems;
    assert!(told.len() == 1 && told[0].place.as_ref().is_some_and(|place| place.source.0 == 1), "{told:#?}");
}
