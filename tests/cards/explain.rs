//! `explain` prints the working of a card: inputs with their places, formulas, and the very numbers that the card
//! prints. `show --below` gives the same numbers.

use crate::reading;

use assert_cmd::Command;
use cockpit_cards::cards::{self, Card};
use reading::{complaints, load};
use serde_json::Value;

const EXAMPLE: &str = include_str!("../../examples/full.yaml");

fn cockpit_cards(arguments: &[&str]) -> std::process::Output {
    Command::cargo_bin("cockpit-cards").unwrap().args(arguments).output().unwrap()
}

fn out(arguments: &[&str]) -> String {
    let output = cockpit_cards(arguments);
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).unwrap()
}

fn json(arguments: &[&str]) -> Value {
    serde_json::from_str(&out(arguments)).unwrap()
}

fn example_cards() -> Vec<Card> {
    let loaded = load(EXAMPLE);
    assert_eq!(complaints(&loaded), "");
    let mut problems = Vec::new();
    let cards = cards::cards(&loaded.book.unwrap(), &mut problems);
    assert!(problems.is_empty(), "{problems:?}");
    cards
}

fn lines(passage: &Value) -> Vec<(String, String)> {
    let text = |value: &Value| value.as_str().unwrap().to_owned();
    passage["lines"].as_array().unwrap().iter().map(|line| (text(&line["finds"]), text(&line["value"]))).collect()
}

fn value(passage: &Value, finds: &str) -> String {
    let found = lines(passage).into_iter().find(|(name, _)| name == finds);
    found.unwrap_or_else(|| panic!("no {finds} in {passage:#}")).1
}

#[test]
fn every_card_of_the_example_can_be_explained() {
    for card in example_cards() {
        let text = out(&["explain", "--example", &card.id]);
        let head = format!("Pepperwort  (built-in example)  EXAMPLE\n\n{}  ", card.title);
        let head = format!("{head}({}, {}, {})", card.kind, card.id, card.stamp);
        assert!(text.starts_with(&head), "{text}");
        let reckoned =
            ["wind-settings", "strip", "crew-below", "watch-plan", "change-points", "wardrobe", "sail-change"]
                .contains(&card.kind);
        assert!(!(reckoned && card.content.working().is_empty()), "{}", card.id);
        let says = "nothing is reckoned here";
        assert_eq!(text.contains(says), card.content.working().is_empty(), "{text}");
    }
}

#[test]
fn the_working_of_a_cell_ends_in_the_mark_that_the_card_prints() {
    for card in example_cards().iter().filter(|card| card.kind == "wind-settings") {
        let data = card.content.data();
        if data.get("blocks").is_some() {
            continue; // By wind and angle: `by_angle_card`.
        }
        let working = &json(&["explain", "--example", &card.id, "--json"])[0]["working"];
        let mut passages = working.as_array().unwrap().iter();
        for column in 0..data["columns"].as_array().unwrap().len() {
            for row in data["rows"].as_array().unwrap() {
                let cell = &row["cells"][column];
                let passage = passages.next().unwrap();
                let printed = cell["text"].as_str().unwrap();
                assert_eq!(value(passage, "what to set"), printed, "{passage:#}");
                for row in cell["rows"].as_array().into_iter().flatten() {
                    let known = format!("known in the band, at {} kn", row["wind"].as_str().unwrap());
                    let found = value(passage, &known);
                    assert_eq!(found.trim_end_matches(" bar"), row["mark"].as_str().unwrap(), "{passage:#}");
                }
            }
        }
        assert!(passages.next().is_none());
    }
}

#[test]
fn a_known_row_stands_with_its_place_in_the_book() {
    let working = &json(&["explain", "--example", "j1-upwind", "--about", "backstay", "--json"])[0]["working"];
    let place = working[0]["lines"][0]["place"].as_str().unwrap();
    let mut parts = place.rsplit(':');
    let (column, line): (usize, usize) =
        (parts.next().unwrap().parse().unwrap(), parts.next().unwrap().parse().unwrap());
    let row = EXAMPLE.lines().nth(line - 1).unwrap();
    assert!(row.trim_start().starts_with("6:") && row[column - 1..].starts_with("0,"), "{place}: {row}");
}

#[test]
fn a_mark_of_a_strip_is_spacing_times_purchase_times_n() {
    let working = &json(&["explain", "--example", "strip-outhaul", "--json"])[0]["working"][0];
    let line = working["lines"].as_array().unwrap().iter().find(|line| line["finds"] == "mark 5").unwrap();
    // 8 mm of the clew, 3 of the tail for 1 of the clew, the fifth mark.
    assert_eq!((line["how"].as_str(), line["value"].as_str()), (Some("8 mm × 3 × 5"), Some("120 mm")));
    let card = example_cards().into_iter().find(|card| card.id == "strip-outhaul").unwrap();
    for mark in card.content.marks().iter().filter(|mark| !mark.label.is_empty()) {
        assert_eq!(value(working, &format!("mark {}", mark.label)), format!("{} mm", mark.at_mm));
    }
}

#[test]
fn crew_below_is_worked_from_righting_moments_to_the_printed_wind() {
    let working = json(&["explain", "--example", "crew-below-3", "--json"]);
    let passages = working[0]["working"].as_array().unwrap();
    let passage = passages.iter().find(|it| it["of"] == "J1 + Main, 14 kn, 4 below in leeward bunks").unwrap();
    let number = |finds: &str| -> f64 { value(passage, finds).split(' ').next().unwrap().parse().unwrap() };
    let air = number("factor of the air");
    assert!((number("RM_then") * air * air / number("heeling moment, H") - 1.0).abs() < 2e-3);
    let factor = (number("heeling moment, H") / number("RM_now")).sqrt();
    // Four figures are printed.
    assert!((factor - number("factor on the wind")).abs() < 2e-3, "{factor}");
    assert!((number("apparent wind, A") * factor - number("apparent wind as she feels it, A′")).abs() < 0.05);
    assert_eq!(value(passage, "printed"), "3 higher: 17, past this sail: J2 + Main");
    let shown = json(&[
        "show",
        "--example",
        "--wind",
        "14",
        "--below",
        "4",
        "--bunks",
        "leeward",
        "--settings",
        "j1-upwind",
        "--json",
    ]);
    assert!((shown[0]["read_at_kn"].as_f64().unwrap() - number("read the card at")).abs() < 0.01);
}

#[test]
fn show_reads_the_settings_at_the_wind_with_hands_below_and_says_why() {
    let text =
        out(&["show", "--example", "--wind", "11", "--below", "4", "--bunks", "leeward", "--settings", "j1-upwind"]);
    assert!(text.contains("read at 14 kn: 4 below in leeward bunks"), "{text}");
    // The same boat without the day she was tuned in: there the wind to read at is a wind like any other.
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("boat.yaml");
    std::fs::write(&path, include_str!("../../examples/full.yaml").replace("  tuned_in:", "  # tuned_in:")).unwrap();
    let path = path.to_str().unwrap();
    let exact = json(&[
        "show",
        path,
        "--wind",
        "11",
        "--below",
        "4",
        "--bunks",
        "leeward",
        "--settings",
        "j1-upwind",
        "--json",
    ]);
    let wind = exact[0]["read_at_kn"].to_string();
    let there = json(&["show", path, "--wind", &wind, "--settings", "j1-upwind", "--json"]);
    assert_eq!(exact[0]["controls"], there[0]["controls"]);
    // With nobody below it says what it says alone, whatever the air does.
    for wind in ["6", "12", "14"] {
        let alone = ["show", "--example", "--wind", wind, "--settings", "j1-upwind", "--json"];
        let nobody = json(&[&alone[..], &["--below", "0"]].concat());
        assert_eq!(json(&alone)[0]["controls"], nobody[0]["controls"], "{wind} kn");
    }
    let heavy = out(&["show", "--example", "--wind", "14", "--settings", "j1-upwind"]);
    assert!(heavy.contains("read at 14½ kn: the air is heavier than on the day she was tuned"), "{heavy}");
    let reaching = out(&["show", "--example", "--wind", "11", "--below", "4", "--settings", "j1-close-reach"]);
    assert!(!reaching.contains("read at"), "{reaching}");
    let light = out(&["show", "--example", "--wind", "6", "--below", "2", "--settings", "j1-upwind"]);
    assert!(light.contains("read at 6 kn: 2 below in windward bunks: no change, heel is not the limit"), "{light}");
    let unknown = ["show", "--example", "--wind", "22", "--below", "4", "--settings", "j3-upwind"];
    assert!(out(&unknown).contains("4 below in windward bunks: not reckoned: no target heel"), "{}", out(&unknown));
    let unknown = json(&[&unknown[..], &["--json"]].concat());
    assert!(unknown[0]["read_at_kn"].is_null() && !unknown[0]["controls"][0]["mark"].is_null(), "{unknown}");
    assert!(reaching.contains("4 below in windward bunks: not reckoned: not upwind"), "{reaching}");
}

#[test]
fn bad_asking_is_refused_with_what_would_be_right() {
    for (arguments, remedy) in [
        (&["explain", "--example", "j1-upwnd"][..], "j1-upwind"),
        (&["show", "--example", "--wind", "14", "--below", "9"][..], "from 0 to 8"),
        (&["show", "--example", "--wind", "14", "--bunks", "leeward"][..], "--below"),
    ] {
        let output = cockpit_cards(arguments);
        assert_eq!(output.status.code(), Some(2), "{arguments:?}");
        assert!(String::from_utf8_lossy(&output.stderr).contains(remedy), "{arguments:?}");
    }
}

/// The numbers as they are, of every line that has some.
fn exact(working: &Value) -> Vec<&Value> {
    let passages = working.as_array().unwrap().iter();
    let lines = passages.flat_map(|passage| passage["lines"].as_array().unwrap());
    lines.filter_map(|line| line.get("exact")).collect()
}

#[test]
fn the_working_of_a_ladder_has_every_crossing_to_the_last_digit_whatever_its_rungs_print() {
    let ladder = json(&["explain", "--example", "change-j3-reef-upwind", "--json"]);
    let numbers = |change: &Value| ["wind_kn", "from", "to"].map(|field| change[field].as_f64().unwrap());
    let mut told: Vec<[f64; 3]> = exact(&ladder[0]["working"]).into_iter().map(numbers).collect();
    let shown = json(&["show", "--example", "--wind", "29", "--point-of-sail", "upwind", "--json"]);
    let shown = shown.as_array().unwrap().iter().find(|one| one["settings"] == "j3-reef-upwind").unwrap().clone();
    let controls = shown["controls"].as_array().unwrap();
    let mut found: Vec<[f64; 3]> =
        controls.iter().flat_map(|control| control["changes"].as_array().unwrap()).map(numbers).collect();
    let order = |a: &[f64; 3], b: &[f64; 3]| a.partial_cmp(b).unwrap();
    told.sort_by(order);
    found.sort_by(order);
    assert!(told.len() > 8);
    assert_eq!(told, found);
    let text = out(&["explain", "--example", "change-j3-reef-upwind", "--about", "backstay"]);
    // On the straight line from 6 at 27 kn to 7 at 31 kn it rounds to 6½ at 28 kn.
    assert!(text.contains("6½ from 28½ kn on, back below 27½ kn"), "{text}");
}

#[test]
fn the_working_of_every_mark_says_what_it_is_known_from() {
    let grounds = ["sailed", "between", "adjusted", "carried-over", "outside"];
    for (card, least) in [("change-j3-reef-upwind", 9), ("j1-to-j2-upwind", 12)] {
        let working = json(&["explain", "--example", card, "--json"]);
        let found = exact(&working[0]["working"]);
        assert!(found.len() >= least, "{card}: {}", found.len());
        for line in found {
            let ground = line["ground"].as_str().unwrap();
            assert!(grounds.contains(&ground), "{card}: {line}");
        }
    }
    let lanes = load(include_str!("../books/found/lane-nobody-sailed.yaml"));
    let strip =
        cards::cards(&lanes.book.unwrap(), &mut Vec::new()).into_iter().find(|card| card.kind == "strip").unwrap();
    let passages = strip.content.working();
    let winds = passages.iter().find(|passage| passage.of.starts_with("Winds beside the marks")).unwrap();
    assert_eq!(winds.lines.len(), 7);
    for line in &winds.lines {
        assert_eq!(line.exact["grounds"], serde_json::json!(["carried-over"]));
        assert!(line.how.ends_with("» carried over from another sail") && line.value.starts_with("» "), "{line:?}");
    }
}
