//! A season of an invented boat, from the first card to the one that is reissued: what the handbook tells in ten lines.
#![cfg(unix)]

use crate::common::season_files::{HEADER, Trials, backstay_wants_more, lead_is_right};
use crate::sailed::{Aboard, named};

use std::collections::BTreeSet;
use std::fs;
use std::process::Command;

use serde_json::Value;

/// Runs a command of the program; what it said on both.
fn run(aboard: &Aboard, wanted: i32, arguments: &[&str]) -> String {
    let mut command = Command::new(crate::sailed::PROGRAM);
    let output = command.args(arguments).current_dir(&aboard.0).output().expect("a run");
    let said = String::from_utf8_lossy(&[&output.stdout[..], &output.stderr].concat()).into_owned();
    assert_eq!(output.status.code(), Some(wanted), "{arguments:?}: {said}");
    said
}

fn json(aboard: &Aboard, more: &[&str]) -> Value {
    let arguments = [&["sailed", "compare", "--json"], more].concat();
    let output = Command::new(crate::sailed::PROGRAM).args(arguments).current_dir(&aboard.0).output().expect("a run");
    assert_eq!(output.status.code(), Some(0));
    serde_json::from_slice(&output.stdout).expect("JSON and nothing else")
}

fn keys(value: &Value) -> BTreeSet<&str> {
    value.as_object().expect("an object").keys().map(String::as_str).collect()
}

/// Fails unless a value is null or what it has to be.
fn null_or(value: &Value, is_it: impl Fn(&Value) -> bool) {
    assert!(value.is_null() || is_it(value), "{value}");
}

fn one_of(value: &Value, words: &[&str]) -> bool {
    value.as_str().is_some_and(|value| words.contains(&value))
}

fn count(value: &Value) {
    assert!(value.is_u64(), "{value}");
}

/// Holds the JSON of a comparison to its shape: these fields and no more, of these types, null only where that may be.
fn check_shape(json: &Value) {
    assert_eq!(keys(json), BTreeSet::from(["dropped", "scatter_percent", "cells"]));
    assert_eq!(keys(&json["dropped"]), BTreeSet::from(["blocks", "notes", "trials"]));
    for reasons in ["blocks", "notes", "trials"] {
        json["dropped"][reasons].as_object().expect("reasons").values().for_each(count);
    }
    null_or(&json["scatter_percent"], Value::is_number);
    for cell in json["cells"].as_array().expect("cells") {
        let fields = [
            "settings",
            "wind_kn",
            "angle_deg",
            "control",
            "book",
            "proposed",
            "verdict",
            "basis",
            "open",
            "trials",
            "next_checkpoint",
            "effect_percent",
            "interval_percent",
            "readings",
        ];
        assert_eq!(keys(cell), BTreeSet::from(fields));
        assert!(cell["settings"].is_string() && cell["control"].is_string() && cell["wind_kn"].is_number(), "{cell}");
        null_or(&cell["angle_deg"], Value::is_number);
        null_or(&cell["book"], Value::is_string);
        null_or(&cell["proposed"], Value::is_string);
        assert!(one_of(&cell["verdict"], &["change", "keep", "not-told-apart", "too-little", "disputed"]), "{cell}");
        null_or(&cell["basis"], |basis| one_of(basis, &["told", "leaning"]));
        null_or(&cell["open"], |open| one_of(open, &["up", "down"]));
        count(&cell["trials"]);
        null_or(&cell["next_checkpoint"], |next| [4, 8, 16].map(Value::from).contains(next));
        null_or(&cell["effect_percent"], Value::is_number);
        null_or(&cell["interval_percent"], |ends| {
            ends.as_array().is_some_and(|ends| ends.len() == 2 && ends.iter().all(Value::is_number))
        });
        let proposes = one_of(&cell["verdict"], &["change", "keep"]);
        assert_eq!(cell["proposed"].is_string(), proposes, "only a change and a keep propose: {cell}");
        assert_eq!(cell["basis"].is_string(), cell["verdict"] == "change", "{cell}");
        for reading in cell["readings"].as_array().expect("readings") {
            let fields = ["reading", "notes", "trials", "blocks", "performance", "standard_error"];
            assert_eq!(keys(reading), BTreeSet::from(fields));
            assert!(reading["reading"].is_string(), "{reading}");
            ["notes", "trials", "blocks"].into_iter().for_each(|field| count(&reading[field]));
            null_or(&reading["performance"], Value::is_number);
            null_or(&reading["standard_error"], Value::is_number);
            assert!(reading["standard_error"].is_null() || reading["trials"] != 0, "outside questions: {reading}");
        }
    }
}

fn cell<'a>(json: &'a Value, control: &str) -> &'a Value {
    let cells = json["cells"].as_array().expect("cells").iter();
    cells.into_iter().find(|cell| cell["control"] == control && cell["wind_kn"] == 10.0).expect("a cell")
}

fn sail(aboard: &Aboard, trials: &Trials<'_>, log: &str) {
    let (notes, records) = trials.sail();
    let before = aboard.read("sailed.csv");
    fs::write(aboard.path("sailed.csv"), before + &notes).expect("notes");
    fs::write(aboard.path(log), records).expect("a log");
}

const LOGS: [&str; 3] = ["--log", "june.csv", "july.csv"];

#[test]
fn a_season_from_the_first_card_to_the_one_that_is_reissued() {
    let aboard = Aboard::new(&named(), Some(HEADER));
    run(&aboard, 0, &["build"]);
    run(&aboard, 0, &["reissue", "--date", "2027-05-30"]);
    assert!(run(&aboard, 0, &["due"]).contains("nothing is due"));

    // Two nights.
    for (when, backstay, verdict) in [
        ("2027-06-01 22:40", "2", "fast"),
        ("2027-06-01 23:30", "1½..2½", "ok"),
        ("2027-06-02 22:10", "4", "fast"),
        ("2027-06-02 23:50", "1", "slow"),
    ] {
        let backstay = format!("backstay={backstay}");
        run(
            &aboard,
            0,
            &["sailed", "add", "j1-upwind", "10", &backstay, "lead=12", verdict, "--who", "Bo", "--when", when],
        );
    }
    let notes = json(&aboard, &[]);
    check_shape(&notes);
    for cell in notes["cells"].as_array().expect("cells") {
        let wanted = if cell["control"] == "backstay" { "disputed" } else { "too-little" };
        assert_eq!(cell["verdict"], wanted);
    }
    let said = run(&aboard, 0, &["sailed", "compare"]);
    assert!(said.contains("to sail next: Backstay 1, 2 or 3 at 10 kn?"), "{said}");
    assert!(said.contains("to sail next: Lead 11, 12 or 13 at 10 kn?"), "{said}");
    let said = run(&aboard, 0, &["sailed", "plan"]);
    assert!(
        said.contains("Backstay 1, 2 or 3 at 10 kn") || said.contains("what was sailed contradicts itself"),
        "{said}"
    );
    run(&aboard, 0, &["sailed", "plan", "j1-upwind", "10", "lead"]);
    assert!(
        aboard.path("out/trial-lead-10-1.pdf").exists()
            || fs::read_dir(aboard.path("out"))
                .expect("out")
                .flatten()
                .any(|file| file.file_name().to_string_lossy().contains("trial")),
        "a card of the trial"
    );

    // Eight hours of trials, with the log of the instruments.
    sail(&aboard, &backstay_wants_more(4), "june.csv");
    sail(&aboard, &lead_is_right(4), "july.csv");
    let compared = json(&aboard, &LOGS);
    check_shape(&compared);
    let (backstay, lead) = (cell(&compared, "backstay"), cell(&compared, "lead"));
    assert_eq!(
        (&backstay["verdict"], &backstay["proposed"], &backstay["open"]),
        (&"change".into(), &"3".into(), &"up".into())
    );
    assert_eq!((&lead["verdict"], &lead["proposed"], &lead["book"]), (&"keep".into(), &"12".into(), &"12".into()));
    assert_eq!((&lead["trials"], &lead["next_checkpoint"]), (&4.into(), &8.into()));
    page_is_whole(&aboard);

    // Taken into the book, and printed anew.
    let said =
        run(&aboard, 0, &[&["sailed", "adopt", "j1-upwind", "10", "--when", "2027-07-20 18:00"], &LOGS[..]].concat());
    assert!(said.contains("j1-upwind") && said.contains("changed"), "{said}");
    let row = "10: [3, 12, snug]  # backstay 3: 4 trials, 2027-07-20; lead 12: kept, 4 trials, 2027-07-20\n";
    assert!(aboard.read("boat.yaml").contains(row), "{}", aboard.read("boat.yaml"));
    assert!(run(&aboard, 3, &["due"]).contains("j1-upwind"));
    run(&aboard, 0, &["reissue", "--date", "2027-07-20"]);
    assert!(run(&aboard, 0, &["due"]).contains("nothing is due"));
    let shown = run(&aboard, 0, &["show", "--wind", "10"]);
    assert!(shown.contains('★') && shown.contains("12"), "the lead is proven: {shown}");
    let after = json(&aboard, &LOGS);
    check_shape(&after);
    assert_eq!(cell(&after, "lead")["verdict"], "keep");
    assert_eq!(cell(&after, "backstay")["proposed"], Value::Null, "the next question is round 3");
}

#[test]
fn the_ten_lines_of_the_handbook_run_as_they_stand() {
    let readme = include_str!("../../docs/src/sailed.md");
    let (_, block) = readme.split_once("**A season in ten lines.**").expect("the season in the handbook");
    let (_, block) = block.split_once("```console\n").expect("its lines");
    let (block, _) = block.split_once("```").expect("their end");
    let lines: Vec<&str> = block.lines().filter_map(|line| line.strip_prefix("$ cockpit-cards ")).collect();
    assert!((8..=10).contains(&lines.len()), "{lines:?}");
    let aboard = Aboard::new(&named(), Some(HEADER));
    let mut said = Vec::new();
    for line in lines {
        let words: Vec<&str> = line.split('#').next().unwrap_or_default().split_whitespace().collect();
        if words.contains(&"june.csv") && !aboard.path("june.csv").exists() {
            sail(&aboard, &backstay_wants_more(4), "june.csv");
        }
        let code = if words == ["due"] { 3 } else { 0 };
        said.push(run(&aboard, code, &words));
    }
    let said = said.concat();
    for words in ["TOO LITTLE", "1, 2, 3, 3, 2, 1", "CHANGE to 3", "# backstay 3: 4 trials", "cards are due"] {
        assert!(said.contains(words), "{words}: {said}");
    }
}

/// The page, with pictures, is one file that needs nothing else.
fn page_is_whole(aboard: &Aboard) {
    run(aboard, 0, &[&["sailed", "compare", "--out", "page"], &LOGS[..]].concat());
    let page = aboard.read("page/season.html");
    if let Ok(folder) = std::env::var("SHOW_PAGE") {
        fs::write(format!("{folder}/season.html"), &page).expect("a copy");
    }
    is_well_formed(&page);
    let shown = page.replace("&#x27;", "'").replace("&#39;", "'").replace("&quot;", "\"");
    for sentence in cockpit_cards::comparing::told::WHY_TRIALS {
        assert!(shown.contains(sentence), "{sentence}");
    }
    assert!(page.matches("<svg").count() >= 2, "a picture of each cell");
    let elsewhere = ["<script", "src=", "<link", "url(", "@import", "href=\"http"];
    assert!(elsewhere.iter().all(|word| !page.contains(word)), "it needs nothing else");
    assert!(page.contains("CHANGE to 3") && page.contains("KEEP 12"));
}

/// Every element is closed by its own name; those of HTML that have no end excepted.
fn is_well_formed(page: &str) {
    let mut open: Vec<String> = Vec::new();
    let body = page.strip_prefix("<!DOCTYPE html>").expect("HTML");
    for piece in body.split('<').skip(1) {
        let (tag, _) = piece.split_once('>').unwrap_or_else(|| panic!("a tag without an end: {piece}"));
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop().as_deref(), Some(name.trim()), "{open:?}");
        } else if !tag.ends_with('/') {
            let name = tag.split([' ', '\n']).next().unwrap_or_default().to_owned();
            if name != "meta" {
                open.push(name);
            }
        }
    }
    assert_eq!(open, [""; 0]);
}

#[test]
fn a_boat_called_like_a_script_is_shown_by_its_name_and_runs_nothing() {
    let book = named()
        .replace("Chervil", "\"<script>alert(1)</script>\"")
        .replace("  vang:", "  vang:\n    name: \"<b>Vang\"\n   ");
    let book = book.replace("  vang:\n    name: \"<b>Vang\"\n    {scale", "  vang: {name: \"<b>Vang\", scale");
    let aboard = Aboard::new(&book, Some(HEADER));
    run(&aboard, 0, &["sailed", "add", "j1-upwind", "10", "vang=snug", "--when", "2027-06-01 12:00"]);
    run(&aboard, 0, &["sailed", "compare", "--out", "page"]);
    let page = aboard.read("page/season.html");
    is_well_formed(&page);
    assert!(!page.contains("<script") && !page.contains("<b>"), "{page}");
    assert!(page.contains("&lt;script&gt;alert(1)&lt;"), "{page}");
}
