//! The files that the program keeps for itself, in the hands of somebody who changed them: what no run could have written is
//! refused, and in words that say nothing of what the file is read with.
#![cfg(unix)]

use crate::desk::Desk;
use crate::reading::{SOUND, complaints, load};

use cockpit_cards::editions::Editions;
use cockpit_cards::paper::readings::Readings;

/// Words of libraries and of the language, which mean nothing to whoever reads a message.
const OF_A_LIBRARY: [&str; 18] = [
    "u32",
    "u64",
    "f64",
    "i64",
    "usize",
    "scalar",
    "flow",
    "from_str",
    "literal",
    "digit found",
    "expected",
    "parsing",
    "token",
    "deserial",
    "anchor",
    "alias",
    "unexpected",
    "not in 0..",
];

fn has_library_words(words: &str) -> bool {
    OF_A_LIBRARY.iter().any(|word| words.to_lowercase().contains(word))
}

const READINGS: &str = "readings: 1\nprinters:\n- name: office\n  paper: A4\n  across: {nominal_mm: 180, measured_mm: 179.4}\n  along: \
                        {nominal_mm: 250, measured_mm: 250.9}\n  rule_step_mm: 0.5\n  back_shift: {x_mm: 1, y_mm: 0, flip: long}\n  date: 2027-04-11\n";

#[test]
fn readings_that_no_rule_shows_are_refused() {
    assert!(Readings::from_yaml(READINGS).is_ok(), "{:?}", Readings::from_yaml(READINGS));
    for (piece, replacement) in [
        ("x_mm: 1", "x_mm: .nan"),
        ("y_mm: 0", "y_mm: .NaN"),
        ("y_mm: 0", "y_mm: -.inf"),
        ("measured_mm: 179.4", "measured_mm: .nan"),
        ("nominal_mm: 250", "nominal_mm: .inf"),
        ("rule_step_mm: 0.5", "rule_step_mm: .nan"),
        ("2027-04-11", "2027-02-30"),
        ("2027-04-11", "-000001-01-01"),
        ("2027-04-11", "yesterday"),
        ("paper: A4", "paper: A99"),
        ("paper: A4", "paper: \"\""),
        ("name: office", "name: \"\""),
        ("name: office", "name: \" office\""),
        ("readings: 1", "readings: one"),
        ("rule_step_mm", "novelty"),
        ("  paper: A4\n", ""),
        ("- name", "- [1]\n- name"),
        ("across: {", "across: {{"),
        ("paper: A4", "paper: *name"),
    ] {
        let damaged = READINGS.replacen(piece, replacement, 1);
        assert_ne!(damaged, READINGS, "{piece}");
        let wrong = Readings::from_yaml(&damaged).expect_err(&damaged);
        assert!(!has_library_words(&wrong.what), "{damaged}: {}", wrong.what);
    }
}

#[test]
fn editions_that_no_run_wrote_are_refused_in_words_of_our_own() {
    let desk = Desk::new();
    desk.write("boat.yaml", &SOUND.replace("spacing: 25 mm", "spacing: 10 mm"));
    desk.done(&["reissue", "--date", "2026-05-01"]);
    let sound = desk.read("boat.editions.yaml");
    let number = sound.lines().find(|line| line.contains("at_mm: ")).expect("a mark").to_owned();
    let mark = |value: &str| format!("{}{value}", &number[..number.find("at_mm: ").expect("a mark") + "at_mm: ".len()]);
    let (nan, inf) = (mark(".nan"), mark("-.inf"));
    let damages: [(&str, &str); 22] = [
        (&number, &nan),
        (&number, &inf),
        ("date: \"2026-05-01\"", "date: \"2026-02-30\""),
        ("date: \"2026-05-01\"", "date: \"-000001-01-01\""),
        ("editions: 1", "editions: one"),
        ("editions: 1", "editions: 99999999999999999999"),
        ("editions: 1", "editions: 1\neditions: 1"),
        ("cards_in_all: ", "cards_in_all: x"),
        ("cards_in_all: ", "in_all: "),
        ("cards:", "cards: ["),
        ("cards:", "\"cards: "),
        ("cards:", "cards: !!binary x"),
        ("- edition: 1", "- edition: -1"),
        ("- edition: 1", "- edition: 1.5"),
        ("- edition: 1", "- novelty: 1"),
        ("kind: strip", "kind: [strip]"),
        ("kind: strip", "kind: {a: b}"),
        ("kind: strip", "kind: &a strip"),
        ("book: boat.yaml", "book: [boat.yaml]"),
        ("book: boat.yaml", "book: \"boat\\e.yaml\""),
        ("book: boat.yaml", "  book: boat.yaml"),
        ("book: boat.yaml", "book: boat.yaml\n---\n"),
    ];
    for (piece, replacement) in damages {
        let damaged = sound.replacen(piece, replacement, 1);
        assert_ne!(damaged, sound, "{piece}");
        match Editions::parse(&damaged) {
            Err(wrong) => assert!(!has_library_words(&wrong.what), "{replacement}: {}", wrong.what),
            // A name for a place to refer to, to which nothing refers, changes nothing.
            Ok(editions) => {
                assert_eq!(replacement, "kind: &a strip");
                assert_eq!(editions.cards, Editions::parse(&sound).expect("sound").cards);
            }
        }
    }
    for end in (0..sound.len()).step_by(61).filter(|end| sound.is_char_boundary(*end)) {
        let wrong = Editions::parse(&sound[..end]).expect_err("cut short");
        assert!(!has_library_words(&wrong.what), "cut at {end}: {}", wrong.what);
    }
}

#[test]
fn a_flag_that_wants_a_number_says_so_in_words_of_our_own() {
    let desk = Desk::new();
    desk.write("boat.yaml", SOUND);
    for word in ["abc", "1,5", "nan", "inf", "99999999999999999999999", "-x"] {
        for command in [
            &["show", "--wind"][..],
            &["show", "--wind=12", "--angle"],
            &["show", "--wind=12", "--below"],
            &["sailed", "adopt", "j1-upwind", "12", "--note"],
            &["sailed", "compare", "--block"],
            &["sailed", "compare", "--turn"],
        ] {
            let (last, first) = command.split_last().expect("a flag");
            let is_whole = ["--below", "--note", "--block"].contains(last);
            if word.starts_with('9') && !is_whole {
                continue;
            }
            let flag = format!("{last}={word}");
            let (code, said) = desk.tried(&[first, &[flag.as_str()]].concat());
            assert_eq!(code, Some(2), "{command:?} {word}: {said}");
            assert!(!has_library_words(&said), "{command:?} {word}: {said}");
            let is_whole = is_whole && *last != "--block";
            let expected = match word {
                "1,5" if !is_whole => "write `1.5`",
                "-x" if !is_whole => "`x` is no unit of ",
                "abc" if !is_whole => "is not a ",
                "nan" | "inf" if !is_whole => "no number that can be measured",
                _ => "is not a number",
            };
            assert!(said.contains(expected), "{command:?} {word}: {said}");
        }
    }
}

#[test]
fn letters_that_run_from_right_to_left_are_told_where_a_card_would_turn_them_round() {
    for word in ["שלום", "سلام", "Jib שלום"] {
        let named = SOUND.replace("name: Chervil", &format!("name: \"{word}\""));
        let loaded = load(&named);
        assert!(loaded.is_sound(), "{}", complaints(&loaded));
        assert_eq!(loaded.problems.len(), 1, "{}", complaints(&loaded));
        assert!(loaded.problems[0].what.contains("right to left"), "{}", complaints(&loaded));
        let remarked = format!("{SOUND}# {word}\n");
        assert!(load(&remarked).problems.is_empty(), "{}", complaints(&load(&remarked)));
    }
    // What no card prints is nobody's business.
    let desk = Desk::new();
    desk.write("boat.yaml", &format!("{SOUND}sailed: {{file: sailed.csv, time_zone: UTC}}\n"));
    desk.write("sailed.csv", "when,settings,wind,backstay,verdict,note\n,j1-upwind,9,2,fast,שלום\n");
    let (code, said) = desk.tried(&["check", "--strict"]);
    assert!(code == Some(0) && !said.contains("right to left"), "{said}");
}
