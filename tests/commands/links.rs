//! A link is not the file: whatever a book, its history, its notes and the printers are called, it is the file behind the
//! name that is read, locked and written.
#![cfg(unix)]

use std::fs::{self, File};
use std::io::{BufRead as _, BufReader};
use std::os::unix::fs::symlink;
use std::process::{Child, Stdio};

use crate::desk::{Desk, said};
use crate::reading::SOUND;

use cockpit_cards::editions::Editions;

/// The first edition and one after it.
const DAYS: [&str; 2] = ["2026-05-01", "2026-06-01"];
/// Runs at once, half of them through a link.
const RUNS: usize = 24;

/// A small book; another mark is another edition of its card of settings.
fn book(boat: &str, mark: u8) -> String {
    format!(
        "book: 1\nboat: {{name: {boat}}}\ncontrols:\n  backstay: {{higher_is: tighter, scale: {{marks: 0..6, spacing: 20 mm}}}}\n\
         sails:\n  main: {{kind: mainsail}}\nsettings:\n  - {{id: up, sails: [main], point_of_sail: upwind, controls: [backstay], at: {{6: [0], 20: [{mark}]}}}}\n"
    )
}

fn reissued(desk: &Desk, book: &str, day: &str) -> String {
    desk.done(&["reissue", book, "--date", day])
}

fn is_link(desk: &Desk, name: &str) -> bool {
    fs::symlink_metadata(desk.path(name)).is_ok_and(|there| there.is_symlink())
}

fn releases(desk: &Desk, name: &str) -> usize {
    Editions::parse(&desk.read(name)).expect("editions").cards["up"].releases.len()
}

/// A book that has changed since its release, with its history behind a link.
fn with_history_elsewhere() -> Desk {
    let desk = Desk::new();
    desk.write("boat.yaml", &book("Tansy", 5));
    reissued(&desk, "boat.yaml", DAYS[0]);
    fs::create_dir(desk.path("vault")).expect("a folder");
    fs::rename(desk.path("boat.editions.yaml"), desk.path("vault/tansy.yaml")).expect("moved");
    symlink("vault/tansy.yaml", desk.path("boat.editions.yaml")).expect("a link");
    desk.write("boat.yaml", &book("Tansy", 4));
    desk
}

#[test]
fn a_link_to_the_editions_stays_a_link_and_the_history_behind_it_goes_on() {
    let desk = with_history_elsewhere();
    reissued(&desk, "boat.yaml", DAYS[1]);
    assert!(is_link(&desk, "boat.editions.yaml"));
    assert_eq!(releases(&desk, "vault/tansy.yaml"), 2);
}

#[test]
fn a_link_to_editions_that_are_gone_is_no_book_without_a_history() {
    let desk = Desk::new();
    desk.write("boat.yaml", &book("Tansy", 5));
    symlink("vault/tansy.yaml", desk.path("boat.editions.yaml")).expect("a link");
    for command in [&["due"][..], &["reissue"], &["build"], &["check"]] {
        let (code, said) = desk.tried(command);
        assert_eq!(code, Some(2), "{command:?}: {said}");
        assert!(said.contains("boat.editions.yaml") && said.contains("vault/tansy.yaml"), "{command:?}: {said}");
        assert!(said.contains("help: bring"), "{said}");
    }
    assert!(is_link(&desk, "boat.editions.yaml") && !desk.path("vault").exists() && !desk.path("out").exists());
}

#[test]
fn a_book_that_is_named_by_a_link_has_the_tables_the_notes_and_the_history_of_the_file() {
    let desk = Desk::new();
    let real = book("Tansy", 5).replace("controls: [backstay], at: {6: [0], 20: [5]}", "table: up.csv");
    desk.write("fleet/hull-7.yaml", &format!("{real}sailed: {{file: log.csv, time_zone: Europe/Copenhagen}}\n"));
    desk.write("fleet/up.csv", "wind,backstay\n6,0\n20,5\n");
    desk.write("fleet/log.csv", "when,settings,wind,backstay,verdict\n,up,9,2,fast\n");
    symlink("fleet/hull-7.yaml", desk.path("boat.yaml")).expect("a link");
    reissued(&desk, "boat.yaml", DAYS[0]);
    assert_eq!(releases(&desk, "fleet/hull-7.editions.yaml"), 1);
    assert!(!desk.path("boat.editions.yaml").exists());
    let due = desk.done(&["due", "fleet/hull-7.yaml"]);
    assert!(due.contains("nothing is due"), "{due}");
    desk.done(&["sailed", "add", "up", "12", "backstay=3", "fast", "--when", "2026-06-12 14:02"]);
    assert_eq!(desk.read("fleet/log.csv").lines().count(), 3);
    let written: Vec<String> = desk.files("").into_keys().filter(|name| !name.starts_with("out/")).collect();
    let locks = ["fleet/.hull-7.editions.lock", "fleet/.log.lock"];
    let files =
        ["boat.yaml", "fleet/", "fleet/hull-7.editions.yaml", "fleet/hull-7.yaml", "fleet/log.csv", "fleet/up.csv"];
    let mut expected: Vec<&str> = files.into_iter().chain(locks).collect();
    expected.sort_unstable();
    assert_eq!(written, expected, "nothing lies beside the link");
}

fn add_sail(desk: &Desk, number: usize) -> Child {
    let book = if number.is_multiple_of(2) { "boat.yaml" } else { "fleet/hull-7.yaml" };
    let mut command = desk.command(&["sail", "add", book, "--id", &format!("j{number}"), "--kind", "headsail"]);
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("a run")
}

#[test]
fn of_many_sails_added_at_once_by_the_link_and_by_the_file_none_is_lost() {
    let desk = Desk::new();
    desk.write("fleet/hull-7.yaml", &book("Tansy", 5));
    symlink("fleet/hull-7.yaml", desk.path("boat.yaml")).expect("a link");
    let runs: Vec<Child> = (0..RUNS).map(|number| add_sail(&desk, number)).collect();
    for run in runs {
        let output = run.wait_with_output().expect("an end");
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    }
    let text = desk.read("fleet/hull-7.yaml");
    let missing: Vec<usize> = (0..RUNS).filter(|number| !text.contains(&format!("  j{number}: "))).collect();
    assert!(missing.is_empty(), "added, and not there: {missing:?}\n{text}");
    assert!(is_link(&desk, "boat.yaml"));
}

#[test]
fn a_run_waits_for_one_that_is_at_the_history_behind_a_link() {
    let desk = with_history_elsewhere();
    let other = File::create(desk.path("vault/.tansy.lock")).expect("a lock file");
    other.lock().expect("a lock");
    let mut command = desk.command(&["reissue", "boat.yaml", "--date", DAYS[1]]);
    let mut run = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::piped()).spawn().expect("a run");
    let mut first = String::new();
    BufReader::new(run.stderr.take().expect("words")).read_line(&mut first).expect("a line");
    let before = releases(&desk, "vault/tansy.yaml");
    other.unlock().expect("let go of");
    assert_eq!(run.wait().expect("an end").code(), Some(0), "{first}");
    assert!(first.contains("another run is at work"), "{first:?}");
    assert_eq!([before, releases(&desk, "vault/tansy.yaml")], [1, 2]);
}

#[test]
fn of_notes_that_two_books_share_no_line_is_lost() {
    let desk = Desk::new();
    let named = |notes: &str| format!("{SOUND}sailed: {{file: {notes}, time_zone: Europe/Copenhagen}}\n");
    desk.write("a.yaml", &named("sailed.csv"));
    desk.write("b.yaml", &named("other.csv"));
    desk.write("sailed.csv", "when,settings,wind,backstay,verdict\n,j1-upwind,9,2,fast\n");
    symlink("sailed.csv", desk.path("other.csv")).expect("a link");
    let add = |number: usize| {
        let book = if number.is_multiple_of(2) { "a.yaml" } else { "b.yaml" };
        let wind = format!("{}", 6 + number % 8);
        let mut command = desk.command(&["sailed", "add", "j1-upwind", &wind, "backstay=2", "--book", book]);
        command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("a run")
    };
    let runs: Vec<Child> = (0..RUNS).map(add).collect();
    for run in runs {
        let output = run.wait_with_output().expect("an end");
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    }
    assert_eq!(desk.read("sailed.csv").lines().count(), 2 + RUNS);
}

#[test]
fn two_books_of_one_folder_whose_names_differ_in_their_ending_have_no_history_in_common() {
    let desk = Desk::new();
    desk.write("boat.yaml", &book("Tansy", 5));
    desk.write("boat.yml", &book("Woad", 5));
    reissued(&desk, "boat.yaml", DAYS[0]);
    let before = desk.read("boat.editions.yaml");
    for command in [&["due", "boat.yml"][..], &["reissue", "boat.yml"], &["build", "boat.yml"], &["check", "boat.yml"]]
    {
        let (code, said) = desk.tried(command);
        assert_eq!(code, Some(2), "{command:?}: {said}");
        assert!(said.contains("boat.editions.yaml") && said.contains("boat.yaml"), "{command:?}: {said}");
        assert!(said.contains("another name") && said.contains("book: boat.yml"), "{command:?}: {said}");
    }
    assert_eq!(desk.read("boat.editions.yaml"), before);
    assert!(desk.done(&["due", "boat.yaml"]).contains("nothing is due"));
}

#[test]
fn a_book_that_got_another_name_goes_on_with_its_history_once_that_says_so() {
    let desk = Desk::new();
    desk.write("boat.yaml", &book("Tansy", 5));
    reissued(&desk, "boat.yaml", DAYS[0]);
    fs::rename(desk.path("boat.yaml"), desk.path("tansy.yaml")).expect("moved");
    fs::remove_file(desk.path("boat.yaml")).expect_err("it was moved");
    let history = desk.read("boat.editions.yaml");
    assert!(history.contains("\nbook: boat.yaml\n"), "{history}");
    desk.write("tansy.editions.yaml", &history);
    assert_eq!(desk.tried(&["due", "tansy.yaml"]).0, Some(2));
    desk.write("tansy.editions.yaml", &history.replace("book: boat.yaml", "book: tansy.yaml"));
    assert!(desk.done(&["due", "tansy.yaml"]).contains("nothing is due"));
}

#[test]
fn editions_that_name_no_book_are_read_and_name_it_from_the_next_release_on() {
    let desk = Desk::new();
    desk.write("boat.yaml", &book("Tansy", 5));
    reissued(&desk, "boat.yaml", DAYS[0]);
    let without = desk.read("boat.editions.yaml").replace("\nbook: boat.yaml\n", "\n");
    desk.write("boat.editions.yaml", &without);
    assert!(desk.done(&["due"]).contains("nothing is due"));
    // A boat may change her name: it is the file that has the history.
    desk.write("boat.yaml", &book("Woad", 4));
    reissued(&desk, "boat.yaml", DAYS[1]);
    assert!(desk.read("boat.editions.yaml").contains("\nbook: boat.yaml\n"));
    assert_eq!(releases(&desk, "boat.editions.yaml"), 2);
}

#[test]
fn readings_and_notes_behind_a_link_to_nowhere_are_missed_and_not_begun_anew() {
    let desk = Desk::new();
    symlink("stick/printers.yaml", desk.path("printers.yaml")).expect("a link");
    let set = ["printer", "set", "office", "--across", "180", "--along", "250", "--readings", "printers.yaml"];
    let (code, said) = desk.tried(&set);
    assert!(code == Some(2) && said.contains("stick/printers.yaml"), "{said}");
    assert!(is_link(&desk, "printers.yaml"));

    desk.write("boat.yaml", &format!("{SOUND}sailed: {{file: sailed.csv, time_zone: Europe/Copenhagen}}\n"));
    symlink("stick/sailed.csv", desk.path("sailed.csv")).expect("a link");
    let (code, said) = desk.tried(&["sailed", "add", "j1-upwind", "9", "backstay=2"]);
    assert!(code == Some(2) && said.contains("stick/sailed.csv"), "{said}");
    assert!(is_link(&desk, "sailed.csv"));

    symlink("stick/boat.yaml", desk.path("other.yaml")).expect("a link");
    let (code, said) = desk.tried(&["check", "other.yaml"]);
    assert!(code == Some(2) && said.contains("stick/boat.yaml"), "{said}");
}

#[test]
fn links_that_lead_in_a_circle_are_told_as_what_they_are() {
    let desk = Desk::new();
    symlink("b.yaml", desk.path("a.yaml")).expect("a link");
    symlink("a.yaml", desk.path("b.yaml")).expect("a link");
    for command in [
        &["check", "a.yaml"][..],
        &["reissue", "a.yaml"],
        &["sail", "add", "a.yaml", "--id", "j9", "--kind", "headsail"],
    ] {
        let (code, said) = desk.tried(command);
        assert_eq!(code, Some(2), "{command:?}: {said}");
        assert!(said.contains("circle"), "{command:?}: {said}");
    }
}
