//! The calendar of a watch plan: sound by RFC 5545 and to another reader, true to the plan, the same in every run.

use cockpit_cards::cards;
use cockpit_cards::printing::{self, Files, Options};
use icalendar::{Calendar, Component};

use crate::reading::{complaints, load};
use crate::swap::Swap;

const FULL: &str = include_str!("../../examples/full.yaml");
/// Octets of a line at most, without its end (RFC 5545, 3.1).
const LINE_OCTETS: usize = 75;

fn print(text: &str) -> Files {
    let loaded = load(text);
    let said = complaints(&loaded);
    let book = loaded.book.filter(|_| said.is_empty()).unwrap_or_else(|| panic!("{said}"));
    let mut problems = Vec::new();
    let options = Options { only: vec!["watch-plan".to_owned()], ..Options::default() };
    printing::print(&book, &options, &mut problems).unwrap_or_else(|| panic!("{problems:?}"))
}

fn file(files: &Files, name: &str) -> String {
    let files = files.in_memory().expect("every file can be made");
    let (_, bytes) = files.into_iter().find(|(known, _)| known == name).unwrap_or_else(|| panic!("a file {name}"));
    String::from_utf8(bytes).expect("UTF-8")
}

/// A small book with such a team and crew.
fn small(boat: &str, team: &str, watches: &str) -> String {
    format!(
        "book: 1\nboat: {{name: {boat}}}\ncontrols: {{backstay: {{scale: {{marks: 0..6, spacing: 20 mm}}}}}}\nwatches: {{{watches}, least_on_deck: 1, teams: {{{team}: [Ada, Bo], Blue: \
         [Cleo]}}}}\ncards: [{{kind: watch-plan}}]\n"
    )
}

const NIGHT: &str = "start: 2027-06-12 18:40, finish: 2027-06-13 06:40, time_zone: Europe/London, lengths: [4 h]";

/// The value of a property in each event, unfolded and without escapes, in order.
fn values(text: &str, property: &str) -> Vec<String> {
    let calendar: Calendar = text.replace("\r\n ", "").parse().expect("a calendar");
    calendar.events().map(|event| event.property_value(property).expect(property).to_owned()).collect()
}

#[test]
fn every_line_ends_in_cr_lf_and_has_at_most_75_octets() {
    let long = small("Pepperwort", "Rødgrød med fløde og jordbær", NIGHT);
    for files in [print(FULL), print(&long)] {
        let text: &str = &file(&files, "watch-plan.ics");
        assert!(text.ends_with("END:VCALENDAR\r\n"));
        for line in text.split_terminator("\r\n") {
            assert!(line.len() <= LINE_OCTETS, "{} octets: {line}", line.len());
            assert!(!line.contains(['\r', '\n']), "{line:?}");
        }
    }
}

#[test]
fn every_event_has_what_the_standard_asks_for_in_utc() {
    let files = print(FULL);
    let text: &str = &file(&files, "watch-plan.ics");
    let unfolded = text.replace("\r\n ", "");
    let lines: Vec<&str> = unfolded.split_terminator("\r\n").collect();
    assert_eq!(&lines[..2], ["BEGIN:VCALENDAR", "VERSION:2.0"], "RFC 5545, 3.4 and 3.7.4");
    assert!(lines[2].starts_with("PRODID:-//cockpit-cards//"), "3.7.3");
    let events = lines.iter().filter(|line| **line == "BEGIN:VEVENT").count();
    assert_eq!((events, lines.iter().filter(|line| **line == "END:VEVENT").count()), (9, 9));
    for name in ["UID", "DTSTAMP", "DTSTART", "DTEND", "SUMMARY"] {
        let found = lines.iter().filter(|line| line.starts_with(&format!("{name}:"))).count();
        assert_eq!(found, events, "{name} once an event: 3.6.1");
    }
    for line in lines.iter().filter(|line| line.starts_with("DT")) {
        let (_, moment) = line.split_once(':').expect("a value");
        // 3.3.5, form 2: 20270612T174000Z.
        let (date, time) = moment.strip_suffix('Z').and_then(|moment| moment.split_once('T')).expect("in UTC");
        assert_eq!((date.len(), time.len()), (8, 6), "{line}");
        assert!(date.bytes().chain(time.bytes()).all(|byte| byte.is_ascii_digit()), "{line}");
    }
}

#[test]
fn the_events_are_the_watches_of_the_plan() {
    let files = print(FULL);
    let text: &str = &file(&files, "watch-plan.ics");
    let starts = values(text, "DTSTART");
    // By hand: British Summer Time is an hour before UTC; 18:40, 20:00, 00:00, 04:00, 08:00, 12:00, 16:00, 18:00, 20:00.
    let wanted = ["1740", "1900", "2300", "0300", "0700", "1100", "1500", "1700", "1900"];
    assert_eq!(starts.iter().map(|start| &start[9..13]).collect::<Vec<_>>(), wanted);
    assert_eq!(values(text, "DTEND")[..8], starts[1..], "they follow each other");
    assert_eq!(values(text, "DTEND")[8], "20270613T210000Z");
    let titles = values(text, "SUMMARY");
    assert_eq!(titles[..2], ["Pepperwort: Red on deck", "Pepperwort: Blue on deck"]);
    let words = values(text, "DESCRIPTION");
    assert!(words[0].contains("On deck: Ada, Bo, Cleo, Dan"), "{}", words[0]);
    assert!(words[0].contains("J1 + Main, upwind: bands 8 to 11, 11 to 14, 4 below counted already"), "{}", words[0]);
    // In full even where the card says that it is as before.
    assert!(words[5].contains("Gusts 25: J2 only to 22 kn, then J3 + Main"), "{}", words[5]);
}

#[test]
fn the_names_of_events_come_of_the_cards_stamp_and_their_start_and_the_bytes_are_the_same_in_every_run() {
    let (files, again) = (print(FULL), print(FULL));
    let text: &str = &file(&files, "watch-plan.ics");
    assert_eq!(text, file(&again, "watch-plan.ics"));
    let stamp = &files.cards[0].stamp;
    let uids = values(text, "UID");
    assert_eq!(uids[0], format!("{stamp}-20270612T174000Z@cockpit-cards"));
    let mut once = uids.clone();
    once.dedup();
    assert_eq!(once, uids);
    // Moments of the book, none of the clock on the wall.
    assert!(values(text, "DTSTAMP").iter().all(|moment| moment == "20270612T174000Z"));
    let later = print(&FULL.swap("start: 2027-06-12 18:40", "start: 2027-06-12 18:50"));
    assert!(values(&file(&later, "watch-plan.ics"), "UID").iter().all(|uid| !uids.contains(uid)), "another plan");
}

#[test]
fn the_manifest_and_the_summary_name_the_calendar() {
    let files = print(FULL);
    assert_eq!(files.calendars, [("watch-plan.ics".to_owned(), 9)]);
    let manifest: serde_json::Value = serde_json::from_str(&file(&files, "manifest.json")).expect("JSON");
    assert_eq!(manifest["cards"][0]["calendar"], "watch-plan.ics");
}

#[test]
fn a_plan_on_several_cards_is_one_calendar() {
    let week = "start: 2027-06-12 18:00, finish: 2027-06-17 18:00, time_zone: UTC, lengths: [2 h]";
    let loaded = load(&small("Pepperwort", "Red", week));
    let book = loaded.book.expect("a book");
    let count = cards::cards(&book, &mut Vec::new()).len();
    assert!(count > 1);
    let files = printing::print(&book, &Options::default(), &mut Vec::new()).expect("files");
    assert_eq!(files.calendars, [("watch-plan.ics".to_owned(), 60)]);
}

#[test]
fn no_name_breaks_out_of_its_line() {
    let sharp = r#""Salt; pepper, \\ \"and\": END:VEVENT""#;
    let files = print(&small(sharp, sharp, NIGHT));
    let text: &str = &file(&files, "watch-plan.ics");
    let calendar: Calendar = text.replace("\r\n ", "").parse().expect("a calendar");
    assert_eq!(calendar.events().count(), 3);
    assert_eq!(calendar.get_name(), Some(r#"Salt; pepper, \ "and": END:VEVENT, watches"#));
    let name = r#"Salt; pepper, \ "and": END:VEVENT"#;
    assert_eq!(values(text, "SUMMARY")[0], format!("{name}: {name} on deck"));
}

#[test]
fn where_the_clock_is_put_back_the_watches_still_follow_each_other() {
    // Summer time ends in Britain at 02:00 on the last Sunday of October: 31 October 2027.
    let race = "start: 2027-10-30 20:00, finish: 2027-10-31 08:00, time_zone: Europe/London, lengths: [4 h]";
    let files = {
        let loaded = load(&small("Pepperwort", "Red", race));
        printing::print(&loaded.book.expect("a book"), &Options::default(), &mut Vec::new()).expect("files")
    };
    let text: &str = &file(&files, "watch-plan.ics");
    let times = |property: &str| values(text, property).iter().map(|at| at[9..13].to_owned()).collect::<Vec<_>>();
    // 13 h pass: from 19:00 UTC to 08:00 UTC.
    assert_eq!(times("DTSTART"), ["1900", "2300", "0300", "0700"]);
    assert_eq!(times("DTEND"), ["2300", "0300", "0700", "0800"]);
}
