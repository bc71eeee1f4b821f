//! The day of an edition is the one on the calendar of whoever prints it, and never before the edition that it replaces
//! unless somebody says so. All of that is found out before anything is written.
#![cfg(unix)]

use std::process::Stdio;

use crate::desk::{Desk, said};
use crate::reading::SOUND;

/// A day apart at any moment: UTC+14 and UTC−11 (IANA time zone database), and the same as POSIX writes them, where a zone
/// east of Greenwich has a minus.
const ZONES: [&str; 4] = ["Pacific/Kiritimati", "Pacific/Niue", "EAST-14", "WEST11"];

fn boat() -> Desk {
    let desk = Desk::new();
    desk.write("boat.yaml", &SOUND.replace("spacing: 25 mm", "spacing: 10 mm"));
    desk
}

fn change_book(desk: &Desk) {
    desk.write("boat.yaml", &desk.read("boat.yaml").replace("14: [4½,", "14: [4,"));
}

/// What a calendar on the wall shows in a time zone.
fn wall(desk: &Desk, zone: &str) -> String {
    said(&desk.shell(&format!("TZ='{zone}' date +%Y-%m-%d"))).trim().to_owned()
}

fn run(desk: &Desk, zone: &str, arguments: &[&str]) -> String {
    let output = desk.command(arguments).env("TZ", zone).stdin(Stdio::null()).output().expect("a run");
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    said(&output)
}

#[test]
fn today_is_the_day_on_the_calendar_of_this_machine_and_not_that_of_greenwich() {
    for zone in ZONES {
        let desk = boat();
        let before = wall(&desk, zone);
        let told = run(&desk, zone, &["reissue"]);
        run(&desk, zone, &["printer", "set", "a", "--across", "180", "--along", "250", "--readings=p.yaml"]);
        let days = [before, wall(&desk, zone)];
        let has_day = |text: &str, key: &str| {
            days.iter()
                .any(|day| text.contains(&format!("{key}: \"{day}\"")) || text.contains(&format!("{key}: {day}")))
        };
        assert!(has_day(&desk.read("boat.editions.yaml"), "date"), "{zone} {days:?}");
        assert!(has_day(&desk.read("p.yaml"), "date"), "{zone} {days:?}: {}", desk.read("p.yaml"));
        assert!(!told.contains("yet to come"), "{told}");
    }
}

#[test]
fn a_day_before_the_last_edition_of_any_card_has_to_be_asked_for() {
    let desk = boat();
    desk.done(&["reissue", "--only", "strip-backstay", "--date", "2026-05-01"]);
    desk.done(&["reissue", "--only", "strip-lead", "--date", "2026-06-01"]);
    let before = desk.files("");
    let early = ["reissue", "--date", "2026-05-20"];
    let (code, said) = desk.tried(&early);
    assert!(code == Some(2) && said.contains("2026-06-01") && said.contains("--force-date"), "{said}");
    assert!(desk.files("") == before);
    desk.done(&[&early[..], &["--force-date"]].concat());
    assert!(desk.read("boat.editions.yaml").contains("2026-05-20"));
    assert!(desk.done(&["due"]).contains("nothing is due"));
    // Where nothing is due there is no edition that could be too early.
    desk.done(&["reissue", "--date", "2026-05-20"]);
}

#[test]
fn a_day_that_is_yet_to_come_is_told() {
    let desk = boat();
    let late = ["reissue", "--date", "2199-01-01"];
    let before = desk.files("");
    let (code, said) = desk.tried(&[&late[..], &["--strict"]].concat());
    assert!(code == Some(2) && said.contains("2199-01-01 is yet to come"), "{said}");
    assert_eq!(desk.files("").len(), before.len() + 1, "the book and its lock");
    assert!(desk.done(&late).contains("2199-01-01 is yet to come"));
    // The calendar has not come so far, which is found out before the next edition is written.
    change_book(&desk);
    assert_eq!(desk.tried(&["reissue"]).0, Some(2));
    let set = ["printer", "set", "a", "--across", "180", "--along", "250", "--readings=p.yaml", "--date", "2199-01-01"];
    assert!(desk.done(&set).contains("2199-01-01 is yet to come"));
}

#[test]
fn what_is_no_day_is_refused_wherever_a_day_is_typed() {
    let desk = boat();
    let set = ["printer", "set", "a", "--across", "180", "--along", "250", "--readings=p.yaml"];
    let before = desk.files("");
    for day in ["-000001-01-01", "2026-02-30", "12026-05-01", "+002026-05-01", "20260501", "2026-W10-1", "2026-5-1", ""]
    {
        for command in [&["reissue"][..], &set, &["sailed", "compare"]] {
            let flag = if command[0] == "sailed" { "--log-day" } else { "--date" };
            let (code, said) = desk.tried(&[command, &[&format!("{flag}={day}")]].concat());
            assert_eq!(code, Some(2), "{command:?} {day}: {said}");
            assert!(said.contains(flag) && said.contains("year first"), "{command:?} {day}: {said}");
        }
    }
    assert!(desk.files("") == before);
}

#[test]
fn a_day_left_empty_is_told_as_none_given_and_not_as_one_that_is_no_day() {
    let desk = boat();
    for day in ["", " "] {
        for (command, flag) in [("reissue", "--date"), ("sailed compare", "--log-day")] {
            let words: Vec<&str> = command.split(' ').chain([flag, day]).collect();
            let (code, said) = desk.tried(&words);
            assert_eq!(code, Some(2), "{command}: {said}");
            assert!(said.contains("no day is given"), "{command}: {said}");
            assert!(!said.contains(&format!("`{day}`")), "{command}: {said}");
        }
    }
}
