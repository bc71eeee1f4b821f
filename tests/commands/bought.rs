//! The story of buying sails of every kind: whatever is bought, the book passes `check` afterwards, or nothing was written.

use std::fs;
use std::path::Path;
use std::process::{Command, Stdio};

const FULL: &str = include_str!("../../examples/full.yaml");

fn run(folder: &Path, arguments: &[&str]) -> (i32, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_cockpit-cards"))
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .expect("a run");
    let text = [output.stdout.as_slice(), output.stderr.as_slice()].concat();
    (output.status.code().unwrap_or(-1), String::from_utf8_lossy(&text).into_owned())
}

/// Buys a sail, whose arguments stand on one line; then the book has to pass.
fn buy(folder: &Path, line: &str) -> String {
    let arguments: Vec<&str> = ["sail", "add", "boat.yaml"].into_iter().chain(line.split_whitespace()).collect();
    let (code, text) = run(folder, &arguments);
    assert_eq!(code, 0, "{line}: {text}");
    let (code, checked) = run(folder, &["check", "boat.yaml"]);
    assert_eq!(code, 0, "after {line}: {checked}");
    fs::read_to_string(folder.join("boat.yaml")).expect("the book")
}

fn boat(text: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("boat.yaml"), text).expect("a book");
    let notes = include_str!("../../examples/full-sailed.csv");
    fs::write(folder.path().join("full-sailed.csv"), notes).expect("its notes");
    folder
}

#[test]
fn after_each_sail_of_a_whole_wardrobe_bought_one_by_one_the_book_passes_check() {
    let folder = boat(FULL);
    for line in [
        // One of every kind, by itself and in the place of another.
        "--id j15 --kind headsail --name J1½ --wind 9..18 --angle 36..70 --start-from j1-upwind",
        "--id j1b --kind headsail --replaces j1",
        "--id j2b --kind headsail --replaces j2 --offset jib_lead=-½ --offset outhaul=-½",
        "--id j2c --kind headsail --replaces j2b",
        "--id j3b --kind headsail --replaces j3 --wind 19..34 --own-settings",
        "--id main_b --kind mainsail --name Main --replaces main",
        "--id a2 --kind gennaker --wind 5..14 --angle 85..150",
        "--id a3 --kind gennaker --wind 10..22 --angle 85..150",
        "--id stay --kind staysail --flies-with a3 j1b --wind 8..16 --angle 60..120",
        "--id a3b --kind gennaker --replaces a3",
        "--id stay_b --kind staysail --replaces stay",
        "--id s2 --kind spinnaker --wind 5..20 --angle 110..170",
        "--id s2b --kind spinnaker --replaces s2",
        "--id trysail --kind other",
    ] {
        buy(folder.path(), line);
    }
}

#[test]
fn what_is_not_said_of_a_sail_is_as_with_the_one_it_replaces() {
    let folder = boat(FULL);
    let book = buy(folder.path(), "--id j1b --kind headsail --replaces j1");
    let line =
        "j1b: {kind: headsail, wind: 5..16, angle: 36..70, replaces: j1, start_from: [j1-upwind, j1-close-reach]}";
    assert!(book.contains(line), "{book}");
    // What is said counts, and so does that it goes on with nothing.
    let book = buy(folder.path(), "--id j3b --kind headsail --replaces j3 --wind 19..30 --own-settings");
    assert!(book.contains("j3b: {kind: headsail, wind: 19..30, angle: 38..80, replaces: j3}"), "{book}");
}

#[test]
fn offset_may_be_given_again_for_another_control_and_is_refused_for_the_same() {
    let folder = boat(FULL);
    let bought = "--id j1b --kind headsail --replaces j1 --offset jib_lead=-½ --offset jib_halyard=½ outhaul=1";
    let book = buy(folder.path(), bought);
    assert!(book.contains("offsets: {jib_lead: \"-½\", jib_halyard: ½, outhaul: 1}"), "{book}");
    let folder = boat(FULL);
    let twice = "sail add boat.yaml --id j1b --kind headsail --replaces j1 --offset jib_lead=-½ --offset jib_lead=1";
    let (code, text) = run(folder.path(), &twice.split(' ').collect::<Vec<_>>());
    assert!(code == 2 && text.contains("--offset moves jib_lead twice"), "{text}");
    assert!(!text.contains("no entry of a book"), "{text}");
    assert_eq!(fs::read_to_string(folder.path().join("boat.yaml")).expect("the book"), FULL);
}

#[test]
fn two_entries_whose_sails_came_to_be_replaced_by_one_make_one_card() {
    let folder = boat(FULL);
    buy(folder.path(), "--id j3b --kind headsail --replaces j3");
    // The list now names the settings of both the first sail and the second.
    let path = folder.path().join("boat.yaml");
    let book = fs::read_to_string(&path).expect("the book");
    let listed = "  - {kind: wind-settings, settings: j3-upwind}\n";
    assert!(book.contains(listed));
    let both =
        "  - {kind: wind-settings, settings: j3-upwind, id: heavy}\n  - {kind: wind-settings, settings: j3b-upwind}\n";
    fs::write(&path, book.replace(listed, both)).expect("a book");
    assert_eq!(run(folder.path(), &["check", "boat.yaml"]).0, 0);
    fs::write(&path, fs::read_to_string(&path).expect("the book").replace(", id: heavy", "")).expect("a book");
    buy(folder.path(), "--id j3c --kind headsail --replaces j3b");
    let (code, text) = run(folder.path(), &["check", "boat.yaml"]);
    assert!(code == 0 && text.contains("the card `j3c-upwind` is printed once"), "{text}");
}

#[test]
fn tables_of_one_sail_that_differ_in_title_stay_apart_with_the_sail_that_replaces_it() {
    let book = "\
book: 1
boat: {name: Chervil}
controls:
  lead: {scale: {marks: 0..10, spacing: 20 mm}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 4..16}
settings:
  - {id: flat, title: flat water, sails: [main, j1], point_of_sail: upwind, controls: [lead], at: {6: [1], 14: [4]}}
  - {id: chop, title: chop, sails: [main, j1], point_of_sail: upwind, controls: [lead], at: {6: [3], 14: [7]}}
";
    let folder = boat(book);
    buy(folder.path(), "--id j1b --kind headsail --replaces j1");
    let (_, text) = run(folder.path(), &["show", "boat.yaml", "--wind", "14", "--json"]);
    for id in ["j1b-flat", "j1b-chop"] {
        assert!(text.contains(id), "{id}: {text}");
    }
}

#[test]
fn a_sail_that_would_leave_a_card_with_an_error_is_not_written_down() {
    // Without settings of its own there is no change from the J1 to the new sail, which the list of cards asks for.
    let folder = boat(FULL);
    let line = "sail add boat.yaml --id j2b --kind headsail --replaces j2 --own-settings";
    let (code, text) = run(folder.path(), &line.split(' ').collect::<Vec<_>>());
    assert!(code == 2 && text.contains("no such sail change") && text.contains("nothing was written"), "{text}");
    assert_eq!(fs::read_to_string(folder.path().join("boat.yaml")).expect("the book"), FULL);
}
