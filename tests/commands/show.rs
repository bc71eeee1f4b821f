//! `show` and `check` as a script meets them: the shape of their JSON, what they say to people, their exit codes.

use crate::swap::Swap;
use std::path::PathBuf;
use std::process::Output;

use assert_cmd::Command;
use serde_json::{Value, json};

fn run(arguments: &[&str]) -> Output {
    Command::cargo_bin("cockpit-cards").expect("the program").args(arguments).output().expect("it runs")
}

fn code(output: &Output) -> Option<i32> {
    output.status.code()
}

fn stdout(output: &Output) -> String {
    String::from_utf8(output.stdout.clone()).expect("text in UTF-8")
}

fn stderr(output: &Output) -> String {
    String::from_utf8(output.stderr.clone()).expect("text in UTF-8")
}

fn as_json(output: &Output) -> Value {
    serde_json::from_slice(&output.stdout).unwrap_or_else(|error| panic!("{error}: {}", stdout(output)))
}

/// A book in a folder of its own.
struct Written {
    _folder: tempfile::TempDir,
    path: PathBuf,
}

impl Written {
    fn new(text: &str) -> Self {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("boat.yaml");
        std::fs::write(&path, text).expect("a file");
        Written { _folder: folder, path }
    }

    fn path(&self) -> &str {
        self.path.to_str().expect("a path in UTF-8")
    }
}

/// Two tables, one for light wind and one for more; numbers of our own.
const BOOK: &str = "\
book: 1
boat: {name: Chervil}
wind_bands: [4, 8, 12, 16, 22]
controls:
  backstay: {higher_is: tighter, scale: {marks: 0..8, spacing: 20 mm, halves: true}}
  traveller: {scale: {centre: C, marks: 4, spacing: 50 mm, ends: [W, L]}}
  vang: {scale: {gauge: {unit: bar, least: 0, most: 120}}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, name: J1, wind: 4..15}
  j2: {kind: headsail, name: J2, wind: 13..22}
settings:
  - {id: j1-up, sails: [main, j1], point_of_sail: upwind, controls: [backstay, traveller, vang], at: {6: [0, W3, ~], 10: [2½, C, ~]}}
  - {id: j2-up, sails: [main, j2], point_of_sail: upwind, controls: [backstay, vang], at: {14: [4, 20], 18: [6, 60]}}
";

#[test]
fn show_lists_the_settings_whose_sails_are_for_the_wind() {
    let book = Written::new(BOOK);
    let ids = |wind: &str| {
        let output = run(&["show", book.path(), "--wind", wind, "--json"]);
        assert_eq!(code(&output), Some(0), "{}", stderr(&output));
        let list = as_json(&output);
        list.as_array().expect("a list").iter().map(|one| one["settings"].clone()).collect::<Vec<_>>()
    };
    assert_eq!(ids("6"), ["j1-up"]);
    assert_eq!(ids("14"), ["j1-up", "j2-up"]);
    assert_eq!(ids("20"), ["j2-up"]);
    assert_eq!(ids("40"), Vec::<Value>::new());
}

/// The settings alone: what changes where, and what held an adjustment, stand beside them.
fn without_changes(mut list: Value) -> Value {
    for control in list[0]["controls"].as_array_mut().expect("controls") {
        let control = control.as_object_mut().expect("a control");
        assert!(control.remove("changes").is_some() && control.remove("held").is_some());
    }
    list
}

#[test]
fn show_in_json_gives_each_control_its_value_mark_and_ground() {
    let book = Written::new(BOOK);
    let full = as_json(&run(&["show", book.path(), "--wind", "10", "--json", "--settings", "j1-up"]));
    // Change points are not rounded.
    assert_eq!(full[0]["controls"][0]["changes"][0], json!({"wind_kn": 6.4, "from": 0.0, "to": 0.5}));
    let sailed = without_changes(full);
    let none = json!(null);
    let at_ten = |mark: &str| json!([{"wind_kn": 10.0, "mark": mark, "ground": "sailed"}]);
    assert_eq!(
        sailed,
        json!([{"settings": "j1-up", "wind_kn": 10.0, "controls": [
            {"id": "backstay", "value": 2.5, "mark": "2½", "ground": "sailed", "known": at_ten("2½"), "more_known": 0},
            {"id": "traveller", "value": 0.0, "mark": "C", "ground": "sailed", "known": at_ten("C"), "more_known": 0},
            {"id": "vang", "value": none, "mark": none, "ground": none, "known": [], "more_known": 0},
        ]}])
    );
    // Two known winds are joined by a straight line: midway is midway.
    let setting = |wind: &str, control: usize| {
        let said = as_json(&run(&["show", book.path(), "--wind", wind, "--json", "--settings", "j2-up"]));
        let control = &said[0]["controls"][control];
        json!([control["id"], control["value"], control["mark"], control["ground"]])
    };
    assert_eq!(setting("16", 0), json!(["backstay", 5.0, "5", "between"]));
    assert_eq!(setting("16", 1), json!(["vang", 40.0, "40 bar", "between"]));
    assert_eq!(setting("21", 0), json!(["backstay", 6.0, "6", "outside"]));
}

#[test]
fn show_tells_beside_the_setting_what_is_known_in_the_band_of_the_wind() {
    let book = Written::new(BOOK);
    let said = |wind: &str| stdout(&run(&["show", book.path(), "--wind", wind, "--settings", "j2-up"]));
    let line = |text: &str| text.lines().find(|line| line.contains("Vang")).expect("the vang").to_owned();
    // The bands of the card are 13 to 16 and 16 to 22 kn.
    let words = |text: &str| line(text).split_whitespace().map(str::to_owned).collect::<Vec<_>>().join(" ");
    assert_eq!(words(&said("15")), "Vang 30 bar ● 20 at 14");
    assert_eq!(words(&said("17")), "Vang 50 bar ● 60 at 18");
    assert_eq!(words(&said("18")), "Vang ● 60 bar", "known at just this wind: it is not said twice");
    assert_eq!(words(&said("12")), "Vang (20 bar)", "no band of the card holds it");
    assert!(said("15").contains("● sailed") && said("15").contains("no sign: between sailed winds"), "{}", said("15"));
    let crowded = Written::new(&BOOK.swap("18: [6, 60]", "17: [5½, 50], 18: [6, 60], 20: [6½, 70]"));
    let said = stdout(&run(&["show", crowded.path(), "--wind", "19", "--settings", "j2-up"]));
    assert_eq!(words(&said), "Vang 66 bar ● 60 at 18, ● 70 at 20, and 1 more");
}

#[test]
fn show_for_people_has_the_signs_of_the_card_and_explains_them() {
    let book = Written::new(BOOK);
    let said =
        |wind: &str, settings: &str| stdout(&run(&["show", book.path(), "--wind", wind, "--settings", settings]));
    let sailed = said("10", "j1-up");
    assert!(sailed.contains("J1 + ") && sailed.contains("● 2½") && sailed.contains("● sailed"), "{sailed}");
    assert!(sailed.contains("not recorded"), "{sailed}");
    let outside = said("21", "j2-up");
    assert!(outside.contains("(6)") && outside.contains("( ) beyond any sailed wind"), "{outside}");
    assert!(outside.contains("● 6 at 18"), "it lies in the band that holds 18 kn: {outside}");
}

#[test]
fn a_wind_is_in_the_books_own_unit_and_the_json_in_knots() {
    let metric = BOOK.swap("boat: {name: Chervil}", "boat: {name: Chervil}\nunits: {wind: m/s}");
    let book = Written::new(&metric);
    let output = as_json(&run(&["show", book.path(), "--wind", "6", "--json"]));
    // 1 kn is 1852 m in 3600 s, exactly (NIST SP 811).
    let knots = output[0]["wind_kn"].as_f64().expect("a number");
    assert!((knots - 6.0 * 3600.0 / 1852.0).abs() < 1e-9, "{knots}");
    assert_eq!(output[0]["controls"][0]["ground"], "sailed");
}

#[test]
fn show_refuses_a_wind_or_settings_that_are_none() {
    let book = Written::new(BOOK);
    for arguments in [["--wind", "0"], ["--wind", "NaN"], ["--wind", "inf"], ["--wind", "fresh"]] {
        let output = run(&["show", book.path(), arguments[0], arguments[1]]);
        assert_eq!(code(&output), Some(2), "{arguments:?}");
        assert!(output.stdout.is_empty() && !output.stderr.is_empty(), "{arguments:?}");
    }
    assert_eq!(code(&run(&["show", book.path(), "--wind=-3"])), Some(2));
    let output = run(&["show", book.path(), "--wind", "10", "--settings", "j1-pu"]);
    assert_eq!(code(&output), Some(2));
    assert!(stderr(&output).contains("j1-up"), "the nearest name is offered: {}", stderr(&output));
}

#[test]
fn the_example_is_shown_where_it_is_asked_for() {
    let output = run(&["show", "--example", "--wind", "13", "--json"]);
    assert_eq!(code(&output), Some(0));
    assert_eq!(as_json(&output)[0]["settings"], "j1-upwind");
}

/// With a reading in every column.
fn sound() -> String {
    BOOK.swap("[0, W3, ~]", "[0, W3, 10]")
}

/// A length in a unit of mass, and a pressure past the end of its gauge.
fn spoilt() -> String {
    BOOK.swap("spacing: 20 mm, halves", "spacing: 20 kg, halves").swap("18: [6, 60]", "18: [6, 600]")
}

#[test]
fn check_in_json_lists_every_problem_with_its_place_and_remedy() {
    let book = Written::new(&spoilt());
    let output = run(&["check", book.path(), "--json"]);
    assert_eq!(code(&output), Some(2));
    let list = as_json(&output);
    let list = list.as_array().expect("a list");
    assert!(list.len() >= 2, "{list:?}");
    for problem in list {
        let fields: Vec<_> = problem.as_object().expect("an object").keys().cloned().collect();
        assert_eq!(fields, ["level", "file", "line", "column", "what", "instead"]);
        assert!(["error", "warning"].contains(&problem["level"].as_str().expect("a level")));
        assert_eq!(problem["file"], book.path());
        let line = problem["line"].as_u64().expect("a line") as usize;
        let column = problem["column"].as_u64().expect("a column") as usize;
        let text = spoilt();
        let text = text.lines().nth(line - 1).expect("a line of the book");
        assert!((1..=text.chars().count()).contains(&column), "{problem}");
        assert!(!problem["what"].as_str().expect("words").is_empty());
        assert!(!problem["instead"].as_str().expect("words").is_empty());
    }
    let at = |words: &str| {
        let found = list.iter().find(|problem| problem["what"].as_str().is_some_and(|what| what.contains(words)));
        found.unwrap_or_else(|| panic!("{words} in {list:?}"))["line"].as_u64()
    };
    assert_eq!(at("20 kg"), Some(5));
    assert_eq!(at("600"), Some(14));
}

#[test]
fn check_of_a_sound_book_is_an_empty_list_and_exit_code_0() {
    let book = Written::new(&sound());
    let output = run(&["check", book.path(), "--json"]);
    assert_eq!((code(&output), as_json(&output)), (Some(0), json!([])));
    let output = run(&["check", book.path()]);
    assert_eq!(code(&output), Some(0));
    assert!(stdout(&output).contains("nothing wrong"), "{}", stdout(&output));
}

#[test]
fn the_examples_check_without_a_word() {
    for name in ["smallest", "full", "imperial"] {
        let path = format!("{}/examples/{name}.yaml", env!("CARGO_MANIFEST_DIR"));
        let output = run(&["check", &path, "--json", "--strict"]);
        assert_eq!((code(&output), as_json(&output)), (Some(0), json!([])), "{name}");
    }
}

#[test]
fn a_warning_is_exit_code_0_and_under_strict_2() {
    // A row that no card of these sails can show.
    let warned = sound().swap("10: [2½, C, ~]", "10: [2½, C, ~], 19: [5, L1, ~]");
    let book = Written::new(&warned);
    let list = as_json(&run(&["check", book.path(), "--json"]));
    assert_eq!(list[0]["level"], "warning", "{list}");
    assert_eq!(list.as_array().map(Vec::len), Some(1), "{list}");
    assert_eq!(code(&run(&["check", book.path()])), Some(0));
    assert_eq!(code(&run(&["check", book.path(), "--strict"])), Some(2));
}

#[test]
fn a_book_that_is_not_there_or_is_a_folder_is_a_fault_of_the_command_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let missing = folder.path().join("none.yaml");
    for command in ["check", "build"] {
        for path in [folder.path(), &missing] {
            let output = run(&[command, path.to_str().expect("a path")]);
            assert_eq!(code(&output), Some(2), "{command} {}: {}", path.display(), stderr(&output));
        }
    }
}

#[test]
fn show_adjusts_picks_a_point_of_sail_and_refuses_names_it_does_not_know() {
    let flat = String::from_utf8(
        run(&["show", "--example", "--wind", "26", "--point-of-sail", "upwind", "--adjust", "flat"]).stdout,
    );
    let flat = flat.expect("text");
    let backstay = flat.lines().find(|line| line.contains("Backstay")).expect("the backstay");
    assert!(backstay.contains(" 7 ") && backstay.ends_with("(held at its limit)"), "{flat}");
    assert!(!flat.contains("close reach"), "{flat}");
    for (arguments, remedy) in [(["--adjust", "flt"], "flat"), (["--point-of-sail", "upwnd"], "upwind")] {
        let output = run(&["show", "--example", "--wind", "14", arguments[0], arguments[1]]);
        assert_eq!(code(&output), Some(2));
        assert!(stderr(&output).contains(remedy), "{}", stderr(&output));
    }
}

#[test]
fn where_two_headsails_overlap_the_wardrobe_picks_the_first_in_the_book() {
    let text = String::from_utf8(run(&["show", "--example", "--wind", "15", "--point-of-sail", "upwind"]).stdout)
        .expect("text");
    assert!(text.contains("(j1-upwind)") && !text.contains("(j2-upwind)"), "{text}");
}

#[test]
fn outside_what_the_sails_are_for_the_first_line_under_the_boat_says_so() {
    let book = Written::new(&BOOK.replacen("wind: 4..15}", "wind: 4..15, status: luff torn, max_now: 12}", 1));
    let show = |wind: &str| stdout(&run(&["show", book.path(), "--settings", "j1-up", "--wind", wind]));
    let (inside, outside) = (show("11"), show("14"));
    assert!(!inside.contains("OUTSIDE"), "{inside}");
    // The boat and its file stand at the head of whatever is said.
    let first = outside.lines().skip(1).find(|line| !line.is_empty()).unwrap();
    assert!(first.contains("OUTSIDE what these sails are for now, 4 to 12 kn"), "{outside}");
    for text in [inside, outside] {
        assert!(text.contains("J1: luff torn; 4 to 12 kn now, was 4 to 15"), "{text}");
    }
    let json = as_json(&run(&["show", book.path(), "--settings", "j1-up", "--wind", "14", "--json"]));
    assert!(json[0]["beyond"].as_str().unwrap().contains("OUTSIDE"), "{json}");
    // Nobody asked for these settings by name: then they are not shown at all.
    let other = stdout(&run(&["show", book.path(), "--wind", "14"]));
    assert!(!other.contains("j1-up"), "{other}");
}

/// The same book with a reach by wind and angle, and its own edges of the points of sail.
fn reach() -> Written {
    Written::new(&format!(
        "{BOOK}  - id: j1-reach
    sails: [main, j1]
    controls: [backstay, vang]
    at:
      6: {{60: [1, 10], 80: [2, 20]}}
      14: {{60: [3, 30], 90: [5, 60]}}
    angle_bands: [52, 70, 95]
points_of_sail: {{upwind: 0..52}}
"
    ))
}

#[test]
fn show_reads_settings_by_angle_at_the_angle_and_says_so() {
    let book = reach();
    let output = run(&["show", book.path(), "--wind", "10", "--angle", "70", "--settings", "j1-reach"]);
    let text = stdout(&output);
    assert!(text.contains("at 10 kn and 70°  (j1-reach)"), "{text}");
    // Halfway from 60° to 80° in 6 kn 1½; a third of the way in 14 kn 3⅔; halfway between them 2½, by the curve.
    assert!(text.contains("Backstay               2½"), "{text}");
    let json =
        as_json(&run(&["show", book.path(), "--wind", "10", "--angle", "70", "--settings", "j1-reach", "--json"]));
    assert_eq!(json[0]["angle_deg"], 70.0);
    assert_eq!(json[0]["angles_deg"], json!([60.0, 80.0, 90.0]));
    assert_eq!(json[0]["controls"][0]["mark"], "2½");
    // The nearest known where neither wind has the angle, in brackets.
    let text = stdout(&run(&["show", book.path(), "--wind", "14", "--angle", "95", "--settings", "j1-reach"]));
    assert!(text.contains("(5)"), "{text}");
}

#[test]
fn show_without_an_angle_says_what_is_missing_and_makes_no_number_up() {
    let book = reach();
    let text = stdout(&run(&["show", book.path(), "--wind", "10", "--settings", "j1-reach"]));
    assert!(text.contains("goes by angle too, sailed at 60°, 80°, 90°: add --angle"), "{text}");
    let json = as_json(&run(&["show", book.path(), "--wind", "10", "--settings", "j1-reach", "--json"]));
    assert_eq!(json[0]["angle_deg"], Value::Null);
    assert_eq!(json[0]["controls"][0]["mark"], Value::Null);
}

#[test]
fn show_at_an_angle_leaves_out_what_is_not_for_it() {
    let book = reach();
    let ids = |angle: &str| -> Vec<String> {
        let json = as_json(&run(&["show", book.path(), "--wind", "10", "--angle", angle, "--json"]));
        json.as_array().expect("a list").iter().map(|of| of["settings"].as_str().expect("an id").to_owned()).collect()
    };
    assert!(
        ids("80").contains(&"j1-reach".to_owned()) && ids("80").iter().all(|id| !id.contains("upwind")),
        "{:?}",
        ids("80")
    );
    assert!(ids("45").iter().all(|id| id != "j1-reach"), "{:?}", ids("45"));
    let output = run(&["show", book.path(), "--wind", "10", "--angle", "200"]);
    assert_eq!(code(&output), Some(2));
    assert!(stderr(&output).contains("--angle 200: no true wind angle"), "{}", stderr(&output));
}

#[test]
fn a_point_of_sail_shows_settings_by_angle_whose_bands_reach_into_it() {
    let book = reach();
    let shows = |point: &str| {
        stdout(&run(&["show", book.path(), "--wind", "10", "--point-of-sail", point])).contains("(j1-reach)")
    };
    assert_eq!(["upwind", "close-reach", "beam-reach", "broad-reach"].map(shows), [false, true, true, false]);
}
