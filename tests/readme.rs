//! The README against the program: its books load, and nothing the program knows is missing from it.

mod reading;

use std::collections::BTreeSet;

use assert_cmd::Command;
use cockpit_cards::book::Problem;
use cockpit_cards::{cards, printing};
use reading::{complaints, load};

const README: &str = include_str!("../README.md");

/// The blocks of the README that are fenced with this word line.
fn blocks(info: &str) -> Vec<&'static str> {
    let opening = format!("\n```{info}\n");
    let found = README.split(opening.as_str()).skip(1).map(|rest| rest.split("\n```").next().unwrap_or(rest));
    found.collect()
}

/// Loads and draws a book; everything it is told.
fn problems(text: &str) -> Vec<Problem> {
    let loaded = load(text);
    let mut problems = loaded.problems;
    if let Some(book) = &loaded.book {
        printing::check(book, &mut problems);
    }
    problems
}

#[test]
fn every_whole_book_in_the_readme_prints_without_a_word_of_complaint() {
    let books = blocks("yaml book");
    assert_eq!(books.len(), 2);
    for book in books {
        let loaded = load(book);
        assert_eq!(complaints(&loaded), "", "{book}");
        assert_eq!(problems(book), [], "{book}");
    }
}

#[test]
fn every_scale_in_the_readme_reads_as_the_kind_it_is_named_after() {
    let [controls] = blocks("yaml controls")[..] else { panic!("one list of controls") };
    let loaded = load(&format!("book: 1\nboat: {{name: Chervil}}\ncontrols:\n{controls}\n"));
    assert_eq!(complaints(&loaded), "");
    let book = loaded.book.expect("a book");
    for control in &book.controls {
        use cockpit_cards::tuning::ScaleKind;
        let kind = match &control.scale.kind {
            ScaleKind::Even { purchase, .. } if *purchase != 1.0 => "purchase",
            ScaleKind::Even { first: 1, .. } => "track_holes",
            ScaleKind::Even { .. } => "even",
            ScaleKind::Around { .. } => "around",
            ScaleKind::Centre { .. } => "centre",
            ScaleKind::Measured { .. } => "measured",
            ScaleKind::Tapes(_) => "tapes",
            ScaleKind::Turns { .. } => "turns",
            ScaleKind::Gauge { .. } => "gauge",
            ScaleKind::Words(_) => "words",
        };
        assert_eq!(control.id.value, kind);
    }
}

#[test]
fn every_section_in_the_readme_reads_in_a_sound_book() {
    let sections = blocks("yaml sections");
    assert_eq!(sections.len(), 1);
    for section in sections {
        let loaded = load(&format!("{}{section}\n", reading::SOUND));
        assert_eq!(complaints(&loaded), "", "{section}");
        assert!(loaded.is_sound(), "{section}");
    }
}

#[test]
fn the_cards_with_a_back_in_the_readme_print() {
    let [cards] = blocks("yaml cards")[..] else { panic!("one list of cards") };
    let sound =
        reading::spoilt("j1: {kind: headsail, wind: 5..16}", "j1: {kind: headsail, wind: 5..16, angle: 40..60}");
    let text = format!("{sound}wardrobe: {{wind: 5..16, angle: 40..60}}\n{cards}\n");
    assert_eq!(complaints(&load(&text)), "");
    assert_eq!(problems(&text), []);
    let made = cards::cards(&load(&text).book.expect("a book"), &mut Vec::new());
    let backs: Vec<_> = made.iter().map(|card| card.back.as_ref().map(|back| back.id.as_str())).collect();
    assert_eq!(backs, [Some("change-j1-upwind"), Some("wardrobe-lines")]);
}

/// A book with a field that nobody knows in each of its tables, and a word that nobody knows wherever there is a choice.
const PROBE: &str = "\
book: 1
QQQQ: 0
example: true
boat: {name: Chervil, QQQQ: 0}
units: {QQQQ: 0}
wind_bands: [4, 20]
wind_source: {kind: true, QQQQ: 0}
dark: {change_earlier: 2, QQQQ: 0}
wardrobe: {wind: 4..20, angle: 40..60, QQQQ: 0}
adjust: {chop: {even: 1}}
controls:
  even: {QQQQ: 0, scale: {marks: 0..8, spacing: 20 mm, QQQQ: 0}, limit: {never_above: 7, QQQQ: 0}, strip: {QQQQ: 0, datum: {from: eye, distance: 0, QQQQ: 0}}}
  centre: {scale: {centre: C, marks: 4, spacing: 25 mm, ends: [W, L], QQQQ: 0}}
  measured: {scale: {measured: {0: 0, 1: 10}, every: 1, QQQQ: 0}}
  holes: {scale: {track_holes: {first: 0, last: 100, count: 5, QQQQ: 0}, QQQQ: 0}}
  around: {scale: {marks: 0..8, around: {diameter: 40, thickness: 0.2, QQQQ: 0}, QQQQ: 0}}
  tapes: {scale: {tapes: [{name: red, from: 0, to: 10, QQQQ: 0}], QQQQ: 0}}
  turns: {scale: {turns: {base: on 2027-04-02, QQQQ: 0}, QQQQ: 0}}
  gauge: {scale: {gauge: {unit: bar, QQQQ: 0}, QQQQ: 0}}
  words: {scale: {words: [a, b], QQQQ: 0}}
  unknown: {scale: {QQQQ: 0}}
  chosen: {scale: {words: [a, b]}, when: QQQQ, strip: {sides: QQQQ, grows: QQQQ, reader_stands: QQQQ, ticks: QQQQ}}
  coloured: {scale: {tapes: [{name: a, colour: QQQQ, from: 0, to: 10}]}}
  driven: {scale: {gauge: {unit: bar}}, ram: {bore: 40 mm, rod: 20 mm, max: 180 bar, QQQQ: 0}}
  bent: {scale: {marks: 0..8, spacing: 20 mm}, strip: {arc: {radius: 2 m, QQQQ: 0}}}
sails:
  jib: {kind: headsail, QQQQ: 0}
  odd: {kind: QQQQ}
settings:
  - {id: a, sails: [jib], point_of_sail: upwind, controls: [even], at: {6: [1]}, targets: {6: {speed: 5, QQQQ: 0}}, QQQQ: 0}
  - {id: b, sails: [jib], point_of_sail: QQQQ, controls: [even], at: {6: [1]}, between: {even: QQQQ}}
crew: {aboard: 8, mass: 80 kg, rail: {out: 1 m, above: 1 m, QQQQ: 0}, bunks: {out: 1 m, above: 0 m, QQQQ: 0}, QQQQ: 0}
righting: {displacement: 6 t, gm: 1 m, heel_limited: {from: 20 deg, QQQQ: 0}, air: {celsius: 8, hpa: 1025, humidity: 80, QQQQ: 0}, QQQQ: 0}
watches: {start: 2027-06-12 18:40, finish: 2027-06-13 22:00, time_zone: Europe/London, least_on_deck: 1, lengths: [4 h], rolling: {people: [Ada, Bo], on_deck: 1, changing: 1, QQQQ: 0}, QQQQ: 0}
forecast: [{time: 2027-06-12 18:40, wind: 4..6, QQQQ: 0}]
checks: [{what: x, QQQQ: 0}]
outboard_lead: {working_loads: {QQQQ: 0}, QQQQ: 0}
stowage: {displacement: 6 t, items: [{what: x, mass: 3 kg, now: [1 m, 0 m, 1 m], plan: QQQQ, stages: {middle: {left: 1, QQQQ: 0}, QQQQ: {left: 1}}, QQQQ: 0}], QQQQ: 0}
lacing: {pattern: QQQQ, spacing: 350 mm, foot: {eyes: 6 mm, QQQQ: 0}, both: {posts: [0 m, 2 m], wires: [300 mm, 600 mm], QQQQ: 0}, QQQQ: 0}
cards:
  - {kind: crew-below, bunks: QQQQ, QQQQ: 0}
  - {kind: watch-plan, QQQQ: 0}
  - {kind: handover, QQQQ: 0}
  - {kind: readiness, QQQQ: 0}
  - {kind: outboard-lead, QQQQ: 0}
  - {kind: lacing, QQQQ: 0}
  - {kind: stowage, QQQQ: 0}
  - {kind: wind-settings, settings: a, QQQQ: 0}
  - {kind: change-points, settings: a, QQQQ: 0}
  - {kind: wardrobe, QQQQ: 0}
  - {kind: wardrobe, back: {QQQQ: 0}}
  - {kind: sail-change, QQQQ: 0}
  - {kind: re-mark, QQQQ: 0}
  - {kind: strip, QQQQ: 0}
  - {kind: QQQQ}
";

/// What stands between backticks.
fn quoted(text: &str) -> impl Iterator<Item = &str> {
    text.split('`').skip(1).step_by(2)
}

/// What the program offers in place of a name nobody knows, apart for fields and for words of a choice.
fn offered() -> [BTreeSet<String>; 2] {
    let mut offered = [BTreeSet::new(), BTreeSet::new()];
    // A name unlike any other, so that all are listed and none is suggested.
    for problem in problems(&PROBE.replace("QQQQ", "qqqqqqqqqqqq")) {
        let set = if problem.instead.starts_with("its fields are") { &mut offered[0] } else { &mut offered[1] };
        set.extend(quoted(&problem.instead).map(str::to_owned));
    }
    offered
}

#[test]
fn every_field_that_the_program_knows_is_in_the_readme() {
    let [fields, _] = offered();
    // One from each table, so that this test fails when the probe no longer reaches one.
    for field in [
        "wind_bands",
        "length",
        "mass",
        "calibrated",
        "read_when",
        "spacing",
        "never_below",
        "reader_stands",
        "distance",
        "ends",
        "every",
        "pitch",
        "thickness",
        "colour",
        "base",
        "most",
        "words",
        "reef_of",
        "point_of_sail",
        "look",
        "size",
        "control",
        "back",
        "lines",
    ] {
        assert!(fields.contains(field), "the probe does not reach `{field}`: {fields:?}");
    }
    let sections =
        problems("book: 1\nqqqqqqqqqqqq: 0\n").into_iter().find(|problem| problem.instead.contains("its fields are"));
    for section in quoted(&sections.expect("a list of sections").instead) {
        assert!(
            PROBE.contains(&format!("\n{section}: "))
                || PROBE.contains(&format!("\n{section}:\n"))
                || PROBE.starts_with(section),
            "extend the probe by `{section}`"
        );
    }
    let missing: Vec<&String> = fields.iter().filter(|field| !README.contains(&format!("`{field}`"))).collect();
    assert_eq!(missing, [] as [&String; 0]);
}

#[test]
fn every_word_of_a_choice_is_in_the_readme() {
    let known: BTreeSet<&str> =
        README.split(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '/'))).collect();
    let [_, words] = offered();
    for word in ["dock", "starboard", "up", "near", "gennaker", "beam-reach", "linear", "strip"] {
        assert!(words.contains(word), "the probe does not reach `{word}`: {words:?}");
    }
    // Suggestions for a whole field, like `marks: 0..8`, are no words.
    let missing: Vec<&String> =
        words.iter().filter(|word| !word.contains([' ', ':']) && !known.contains(word.as_str())).collect();
    assert_eq!(missing, [] as [&String; 0]);
    for kind in cards::KINDS {
        assert!(PROBE.contains(&format!("kind: {}", kind.name)), "extend the probe by `{}`", kind.name);
        assert!(README.contains(&format!("`{}`", kind.name)), "{}", kind.name);
    }
}

fn help(arguments: &[&str]) -> String {
    let output =
        Command::cargo_bin("cockpit-cards").expect("the program").args(arguments).arg("--help").output().expect("help");
    String::from_utf8(output.stdout).expect("help in UTF-8")
}

#[test]
fn every_command_and_every_flag_is_in_the_readme() {
    let overview = help(&[]);
    let list =
        overview.split("Commands:\n").nth(1).and_then(|rest| rest.split("\n\n").next()).expect("a list of commands");
    let commands: Vec<&str> =
        list.lines().filter_map(|line| line.split_whitespace().next()).filter(|name| *name != "help").collect();
    assert!(commands.len() >= 5, "{commands:?}");
    for command in commands {
        assert!(README.contains(&format!("\ncockpit-cards {command}")), "{command}");
        for flag in help(&[command]).split([' ', '\n']).filter(|word| word.starts_with("--") && *word != "--help") {
            assert!(
                README.contains(&format!(" {flag} ")) || README.contains(&format!(" {flag}\n")),
                "{command} {flag}"
            );
        }
    }
}
