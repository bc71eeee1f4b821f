//! What a comparison proposed, or a person chose, goes into the row it is for, and not one other byte of the book changes.
//!
//! ```sh
//! SAILED_KILLS=200 cargo test --test commands adopt::
//! ```
#![cfg(unix)]

use crate::common::books;
use crate::common::season_files::{HEADER, Trials, backstay_wants_more, lead_is_right};
use crate::reading;
use crate::sailed::{Aboard, is_being_made, kills, named, on_a_terminal, random, said, spin};

use std::fs;
use std::process::Stdio;
use std::time::{Duration, Instant};

use cockpit_cards::book::edit::{Reading, Readings, Rows, rows_of, with_cells, with_readings};
use cockpit_cards::book::{self, Book, Settings, Units};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::season::Found;
use cockpit_cards::tuning::{Angle, Axis as _, Ground, Side, Wind};
use serde_json::Value;

/// Made-up books whose every row has a reading put in.
const SEEDS: u64 = 40;
const WHEN: [&str; 2] = ["--when", "2027-07-20 18:00"];

/// A boat that has sailed some trials.
fn after(trials: &[Trials<'_>]) -> Aboard {
    after_with(&named(), trials)
}

fn after_with(book: &str, trials: &[Trials<'_>]) -> Aboard {
    let sailed: Vec<(String, String)> = trials.iter().map(Trials::sail).collect();
    let notes: String = sailed.iter().map(|(notes, _)| notes.as_str()).collect();
    let aboard = Aboard::new(book, Some(&format!("{HEADER}{notes}")));
    for (nth, (_, log)) in sailed.iter().enumerate() {
        fs::write(aboard.path(&format!("log{nth}.csv")), log).expect("a log");
    }
    aboard
}

fn adopted(aboard: &Aboard, arguments: &[&str]) -> String {
    let (code, said) = aboard.run(&[&["adopt"], arguments, &WHEN].concat());
    assert_eq!(code, Some(0), "{arguments:?}: {said}");
    said
}

fn refused(aboard: &Aboard, arguments: &[&str]) -> String {
    let before = (aboard.read("boat.yaml"), aboard.read("sailed.csv"));
    let when = if arguments.contains(&"--when") { &[][..] } else { &WHEN };
    let (code, said) = aboard.run(&[&["adopt"], arguments, when].concat());
    assert_eq!(code, Some(2), "{arguments:?}: {said}");
    assert_eq!((aboard.read("boat.yaml"), aboard.read("sailed.csv")), before, "{arguments:?}: nothing is written");
    said
}

fn loaded(aboard: &Aboard) -> Book {
    let loaded = book::from_path(&aboard.path("boat.yaml"), has_glyph).expect("a book");
    assert!(loaded.is_sound(), "{:?}", loaded.problems);
    loaded.book.expect("a book")
}

/// The ground of what the book has at 10 kn, by control.
fn grounds(book: &Book) -> Vec<Ground> {
    let columns = cockpit_cards::cards::parts::matrix::columns(book, &book.settings[0]);
    let at_10 = |column: &cockpit_cards::tuning::Stretches| {
        column.known().find(|known| known.at.is_at(Wind::knots(10.0))).map(|known| known.ground)
    };
    columns.into_iter().flatten().filter_map(|column| at_10(column.on(Side::Port))).collect()
}

const LOG: [&str; 2] = ["--log", "log0.csv"];

#[test]
fn a_change_that_trials_propose_goes_into_its_row_with_a_remark_and_a_line_in_the_notes() {
    let aboard = after(&[backstay_wants_more(4)]);
    let notes = aboard.read("sailed.csv");
    let dry = adopted(&aboard, &["j1-upwind", "10", "--dry-run", LOG[0], LOG[1]]);
    assert!(dry.contains("  -       10: [2, 12, snug]\n  +       10: [3, 12, snug]"), "{dry}");
    assert!(dry.contains("\nnothing was written\n"), "{dry}");
    assert_eq!((aboard.read("boat.yaml"), aboard.read("sailed.csv")), (named(), notes.clone()));
    let said = adopted(&aboard, &["j1-upwind", "10", LOG[0], LOG[1]]);
    assert!(said.starts_with("Chervil\n") && said.contains("cards are due"), "{said}");
    let row = "      10: [2, 12, snug]\n";
    let changed = "      10: [3, 12, snug]  # backstay 3: 4 trials, 2027-07-20\n";
    assert_eq!(aboard.read("boat.yaml"), named().replace(row, changed));
    let line =
        "2027-07-20 18:00,,j1-upwind,10,,,,,,3,,,,,,\"Backstay 1, 2 or 3 at 10 kn? 4 trials: change to 3\",change\n";
    assert_eq!(aboard.read("sailed.csv"), format!("{notes}{line}"));
    assert_eq!(grounds(&loaded(&aboard))[0], Ground::Sailed, "changed, and not proven yet");
    // And once more.
    let again = adopted(&aboard, &["j1-upwind", "10", LOG[0], LOG[1]]);
    assert!(again.contains("nothing to do\nBackstay 3 at 10 kn was taken into the book already"), "{again}");
    let named = adopted(&aboard, &["j1-upwind", "10", "backstay", LOG[0], LOG[1]]);
    assert!(named.contains("\nnothing to do\n"), "{named}");
    assert_eq!(aboard.read("sailed.csv"), format!("{notes}{line}"));
}

#[test]
fn what_trials_keep_is_proven_on_the_card_once_it_is_taken() {
    let aboard = after(&[lead_is_right(4)]);
    assert_eq!(grounds(&loaded(&aboard))[1], Ground::Sailed);
    adopted(&aboard, &["j1-upwind", "10", "lead", LOG[0], LOG[1]]);
    let remarked = "      10: [2, 12, snug]  # lead 12: kept, 4 trials, 2027-07-20\n";
    assert_eq!(aboard.read("boat.yaml"), named().replace("      10: [2, 12, snug]\n", remarked));
    assert_eq!(grounds(&loaded(&aboard))[1], Ground::Proven);
    let last = aboard.notes().pop().expect("a note");
    assert_eq!(last.found, Some(Found::Keep));
    assert_eq!(last.reading_of("lead").and_then(|noted| noted.still()), Some(12.0));
    let again = adopted(&aboard, &["j1-upwind", "10", LOG[0], LOG[1]]);
    assert!(again.contains("Lead 12 at 10 kn was taken into the book already"), "{again}");
}

/// The stamps of the cards of settings.
fn stamps(aboard: &Aboard) -> Vec<String> {
    let cards = cockpit_cards::cards::cards(&loaded(aboard), &mut Vec::new());
    cards.iter().filter(|card| card.kind == "wind-settings").map(|card| card.stamp.clone()).collect()
}

#[test]
fn a_line_that_changes_a_class_changes_the_stamp_and_further_lines_that_change_none_do_not() {
    let aboard = after(&[lead_is_right(4)]);
    let before = stamps(&aboard);
    adopted(&aboard, &["j1-upwind", "10", LOG[0], LOG[1]]);
    let proven = stamps(&aboard);
    assert_ne!(before, proven);
    let notes = aboard.read("sailed.csv");
    let further = format!(
        "{notes}2027-07-21 12:00,,j1-upwind,10,,,,,,2,12,,,fast,,,\n2027-07-22 12:00,,j1-upwind,14,,,,,,,,,,slow,,,\n"
    );
    fs::write(aboard.path("sailed.csv"), further).expect("notes");
    assert_eq!(stamps(&aboard), proven);
}

#[test]
fn what_the_comparison_does_not_propose_is_not_taken_unless_a_person_typed_it() {
    let aboard = after(&[backstay_wants_more(3)]);
    let row = refused(&aboard, &["j1-upwind", "10", LOG[0], LOG[1]]);
    assert!(row.contains("nothing is proposed for j1-upwind at 10 kn") && row.contains("TOO LITTLE"), "{row}");
    let one = refused(&aboard, &["j1-upwind", "10", "backstay", LOG[0], LOG[1]]);
    assert!(one.contains("TOO LITTLE") && one.contains("3 trials of 4 count"), "{one}");
    assert!(one.contains("to sail next: Backstay 1, 2 or 3 at 10 kn?"), "{one}");
    // Without the log no trial counts, whatever the notes say.
    let aboard = after(&[backstay_wants_more(4)]);
    assert!(refused(&aboard, &["j1-upwind", "10", "backstay"]).contains("no trial counts"));
    adopted(&aboard, &["j1-upwind", "10", "backstay=2½"]);
    assert!(aboard.read("boat.yaml").contains("10: [2½, 12, snug]  # backstay 2½: chosen, 2027-07-20\n"));
    let last = aboard.notes().pop().expect("a note");
    assert_eq!((last.found, last.remark.as_deref()), (Some(Found::Change), Some("chosen by hand")));
}

#[test]
fn a_row_that_is_not_there_is_put_in_at_its_wind_with_nothing_it_does_not_know() {
    let aboard = after(&[]);
    adopted(&aboard, &["j1-upwind", "12", "backstay=3", "vang=hard"]);
    adopted(&aboard, &["j1-upwind", "5", "lead=14"]);
    adopted(&aboard, &["j1-upwind", "15.5", "lead=15"]);
    let rows = "    at:\n      5: [~, 14, ~]  # lead 14: chosen, 2027-07-20\n      6:  [0, 13, eased]\n      10: [2, 12, snug]\n      \
                12: [3, ~, hard]  # backstay 3: chosen, 2027-07-20; vang hard: chosen, 2027-07-20\n      14: [4½, 14, hard]\n      \
                15.5: [~, 15, ~]  # lead 15: chosen, 2027-07-20\n";
    assert!(aboard.read("boat.yaml").contains(rows), "{}", aboard.read("boat.yaml"));
    assert!(refused(&aboard, &["j1-upwind", "8"]).contains("have no row at 8 kn"));
    assert!(refused(&aboard, &["j1-upwind", "8", "lead"]).contains("name one that there is (5 kn; 6 kn; 10 kn;"));
}

#[test]
fn a_note_is_taken_by_its_line_in_the_file() {
    let aboard = after(&[]);
    let notes = format!(
        "{HEADER}# for people\n2027-06-12 14:02,,j1-upwind,10.5,,,,,,3,13,snug,,fast,Bo,,\n2027-06-12 15:02,,j1-upwind,10,,,,,,3..4,,,,,,,\n\
         2027-06-12 16:02,,j1-upwind,14,,,,,,5,,,,,,,\n2027-06-13 09:00,,j1-upwind,10,,,,,,3,,,,,,,change\n"
    );
    fs::write(aboard.path("sailed.csv"), notes).expect("notes");
    for (arguments, words) in [
        (&["--note", "1"][..], "line 1 of sailed.csv is no note"),
        (&["--note", "2"], "the notes of this row: 3, 4"),
        (&["--note", "9"], "line 9 of sailed.csv is no note"),
        (&["--note", "4"], "played over 3 to 4"),
        (&["--note", "4"], "backstay=3½"),
        (&["--note", "5"], "sailed at 14 kn, too far from 10 kn"),
        (&["--note", "6"], "is no note of what was sailed"),
        (&["--note", "4", "lead"], "does not say how Lead was set"),
        (&["--note", "3", "lead=4"], "and so does the note"),
    ] {
        let said = refused(&aboard, &[&["j1-upwind", "10"], arguments].concat());
        assert!(said.contains(words), "{arguments:?}: {said}");
    }
    let said = adopted(&aboard, &["j1-upwind", "10", "lead", "vang", "--note", "3"]);
    assert!(said.contains("Vang is snug at 10 kn in the book already"), "{said}");
    let row = "10: [2, 13, snug]  # lead 13: as noted 2027-06-12, 2027-07-20\n";
    assert!(aboard.read("boat.yaml").contains(row), "{}", aboard.read("boat.yaml"));
    assert_eq!(aboard.notes().pop().and_then(|note| note.remark).as_deref(), Some("as in the note of 2027-06-12"));
}

#[test]
fn whatever_cannot_be_taken_is_refused_in_words_and_both_files_stay() {
    let book = named()
        .replace("    scale: {marks: 0..8,", "    limit: {never_above: 6, why: measured}\n    scale: {marks: 0..8,");
    let aboard = after_with(&book, &[]);
    for (arguments, words) in [
        (&["j1-upwnd", "10", "backstay=3"][..], "did you mean `j1-upwind`?"),
        (&["j1-upwind", "10", "bakstay=3"], "did you mean `backstay`?"),
        (&["j1-upwind", "10", "bakstay"], "did you mean `backstay`?"),
        (&["j1-upwind", "10", "backstay=9"], "it runs from 0 to 8"),
        (&["j1-upwind", "10", "backstay=6½"], "`6½` is above the limit of \"Backstay\", 6 (measured)"),
        (&["j1-upwind", "10", "backstay=2..3"], "that is no one reading"),
        (&["j1-upwind", "10", "backstay=3", "backstay=4"], "say each thing once"),
        (&["j1-upwind", "10", "backstay=3", "backstay"], "say each control once"),
        (&["j1-upwind", "10", "backstay=3", "--angle", "80"], "leave --angle out"),
        (&["j1-upwind", "10", "backstay port=3"], "give both"),
        (&["j1-upwind", "10", "backstay=3", "--when", "yesterday"], "`when`"),
    ] {
        let said = refused(&aboard, arguments);
        assert!(said.contains(words), "{arguments:?}: {said}");
    }
    let angled = reading::SOUND.replace(
        "    point_of_sail: upwind\n    controls: [backstay, lead, vang]\n    at:\n      6:  [0, 13, eased]\n      10: [2, 12, snug]\n      14: [4½, 14, hard]\n",
        "    controls: [backstay, lead, vang]\n    at:\n      10: {60: [2, 12, snug], 90: [1, 10, eased]}\n",
    );
    let aboard = after_with(&format!("{angled}sailed: {{file: sailed.csv, time_zone: Europe/Oslo}}\n"), &[]);
    assert!(refused(&aboard, &["j1-upwind", "10", "backstay=3"]).contains("--angle 80"));
    adopted(&aboard, &["j1-upwind", "10", "backstay=3", "--angle", "60"]);
    adopted(&aboard, &["j1-upwind", "10", "backstay=3", "--angle", "75"]);
    adopted(&aboard, &["j1-upwind", "12", "backstay=3", "--angle", "75"]);
    let rows = "      10: {60: [3, 12, snug], 75: [3, ~, ~], 90: [1, 10, eased]}  # 60° backstay 3: chosen, 2027-07-20\n      12: {75: [3, ~, ~]}  # 75° backstay 3: chosen, 2027-07-20\n";
    assert!(aboard.read("boat.yaml").contains(rows), "{}", aboard.read("boat.yaml"));
    // A notes' file that somebody keeps without the column that says so.
    let aboard = after(&[]);
    fs::write(aboard.path("sailed.csv"), "settings,wind,backstay,when,note\n").expect("notes");
    assert!(
        refused(&aboard, &["j1-upwind", "10", "backstay=3"]).contains("write `found` at the end of the first line")
    );
}

#[test]
fn settings_that_are_only_carried_over_have_no_row_to_change() {
    let new = "  j1b: {kind: headsail, wind: 5..16, replaces: j1, start_from: j1-upwind}\n";
    let old = "  j1: {kind: headsail, wind: 5..16}\n";
    let aboard = after_with(&named().replace(old, &format!("{old}{new}")), &[]);
    let said = refused(&aboard, &["j1b-upwind", "10", "backstay=3"]);
    assert!(said.contains("carried over from the settings of another sail"), "{said}");
}

#[test]
fn a_table_has_its_cell_changed_or_a_row_put_in_and_no_remark() {
    let table = "# from the notebook\nwind, backstay, lead\n6,   0,   13\n10,\"2\",\n14,  4½,  14";
    let rows = "    controls: [backstay, lead, vang]\n    at:\n      6:  [0, 13, eased]\n      10: [2, 12, snug]\n      14: [4½, 14, hard]\n";
    let book = named().replace(rows, "    table: j1.csv\n");
    let aboard = after_with(&book, &[]);
    for (line_break, bare) in [("\n", table), ("\r\n", table)] {
        let table = bare.replace('\n', line_break);
        fs::write(aboard.path("j1.csv"), &table).expect("a table");
        adopted(&aboard, &["j1-upwind", "10", "backstay=2½", "lead=12"]);
        let said = adopted(&aboard, &["j1-upwind", "12", "lead=13"]);
        assert!(said.contains("  + 12, , 13\n"), "{said}");
        let wanted = table
            .replace("\"2\",", "\"2½\",12")
            .replace(&format!("{line_break}14,"), &format!("{line_break}12, , 13{line_break}14,"));
        assert_eq!(aboard.read("j1.csv"), wanted);
        assert_eq!(aboard.read("boat.yaml"), book);
    }
    // A table that two settings share is changed for neither.
    let other = "  - {id: j1-chop, sails: [main, j1], title: chop, point_of_sail: upwind, table: j1.csv}\n";
    let shared = book.replace("sailed:", &format!("{other}sailed:"));
    let aboard = after_with(&shared, &[]);
    fs::write(aboard.path("j1.csv"), table).expect("a table");
    let said = refused(&aboard, &["j1-upwind", "14", "backstay=5"]);
    assert!(said.contains("would change other settings of the book too"), "{said}");
    assert_eq!(aboard.read("j1.csv"), table);
}

#[test]
fn a_control_of_two_sides_is_taken_side_by_side_where_they_differ() {
    let lead = "  lead:\n    higher_is: aft\n";
    let book = named().replace(lead, &format!("{lead}    strip: {{place: track, sides: both}}\n"));
    let aboard = after_with(&book, &[]);
    fs::write(aboard.path("sailed.csv"), HEADER.replace("lead", "lead port,lead starboard")).expect("notes");
    adopted(&aboard, &["j1-upwind", "10", "lead port=11", "lead starboard=12"]);
    let remark = "# lead {port: 11, starboard: 12}: chosen, 2027-07-20";
    let row = format!("      10: [2, {{port: 11, starboard: 12}}, snug]  {remark}\n");
    assert!(aboard.read("boat.yaml").contains(&row), "{}", aboard.read("boat.yaml"));
    assert!(aboard.read("sailed.csv").contains(",11,12,"), "{}", aboard.read("sailed.csv"));
    adopted(&aboard, &["j1-upwind", "10", "lead=13", "vang=none"]);
    assert!(aboard.read("boat.yaml").contains("      10: [2, 13, none]  # "), "{}", aboard.read("boat.yaml"));
    // In a table each side has its own column.
    let rows = "    controls: [backstay, lead, vang]\n    at:\n      6:  [0, 13, eased]\n      10: [2, 12, snug]\n      14: [4½, 14, hard]\n";
    let aboard = after_with(&book.replace(rows, "    table: j1.csv\n"), &[]);
    fs::write(aboard.path("sailed.csv"), HEADER.replace("lead", "lead port,lead starboard")).expect("notes");
    fs::write(aboard.path("j1.csv"), "wind,backstay,lead port,lead starboard\n10,2,12,12\n14,4,14,15\n")
        .expect("a table");
    adopted(&aboard, &["j1-upwind", "10", "lead port=11", "lead starboard=12"]);
    adopted(&aboard, &["j1-upwind", "14", "lead=14"]);
    assert_eq!(aboard.read("j1.csv"), "wind,backstay,lead port,lead starboard\n10,2,11,12\n14,4,14,14\n");
}

#[test]
fn on_a_terminal_each_proposal_is_asked_about_and_a_dash_leaves_it() {
    let aboard = after(&[backstay_wants_more(4), lead_is_right(4)]);
    let arguments = "adopt j1-upwind 10 --when '2027-07-20 18:00' --log log0.csv log1.csv";
    let said = on_a_terminal(&aboard, arguments, "-\n\n");
    assert!(said.contains("Backstay at 10 kn: the book says 2: CHANGE to 3"), "{said}");
    assert!(said.contains("Lead at 10 kn: the book says 12: KEEP 12"), "{said}");
    let row = "10: [2, 12, snug]  # lead 12: kept, 4 trials, 2027-07-20\n";
    assert!(aboard.read("boat.yaml").contains(row), "{}", aboard.read("boat.yaml"));
}

#[test]
fn of_two_at_once_one_waits_and_finds_nothing_left_to_do() {
    let aboard = after(&[backstay_wants_more(4)]);
    let spawn = || {
        let arguments = ["adopt", "j1-upwind", "10", LOG[0], LOG[1], WHEN[0], WHEN[1]];
        aboard.command(&arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("a run")
    };
    let runs = [spawn(), spawn()];
    let said = runs.map(|run| said(&run.wait_with_output().expect("an end")));
    assert!(said.iter().all(|(code, _)| *code == Some(0)), "{said:?}");
    assert_eq!(said.iter().filter(|(_, said)| said.contains("\nnothing to do\n")).count(), 1, "{said:?}");
    assert_eq!(aboard.read("sailed.csv").matches("change to 3").count(), 1);
    assert_eq!(aboard.read("boat.yaml").matches("backstay 3:").count(), 1);
}

#[test]
fn one_killed_at_any_moment_leaves_each_file_old_or_new_and_the_book_first() {
    let arguments = ["adopt", "j1-upwind", "10", "backstay=3", WHEN[0], WHEN[1]];
    let old = (named(), HEADER.to_owned());
    let aboard = after(&[]);
    let begun = Instant::now();
    assert_eq!(aboard.run(&arguments).0, Some(0));
    let (new, takes) = ((aboard.read("boat.yaml"), aboard.read("sailed.csv")), begun.elapsed());
    let mut seen = [0; 3];
    for kill in 0..kills() {
        let aboard = after(&[]);
        let mut run = aboard.command(&arguments).stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("a run");
        match kill % 3 {
            0 => std::thread::sleep(takes.mul_f64(random(1_000) as f64 / 1_000.0)),
            _ => {
                let begun = Instant::now();
                while begun.elapsed() < takes && !is_being_made(aboard.0.path()) {}
                spin(Duration::from_micros(random(3_000)));
            }
        }
        let _ = run.kill();
        run.wait().expect("an end");
        let found = (aboard.read("boat.yaml"), aboard.read("sailed.csv"));
        assert!(found.0 == old.0 || found.0 == new.0, "after {kill} kills: {}", found.0);
        assert!(found.1 == old.1 || found.1 == new.1, "after {kill} kills: {}", found.1);
        assert!(found.1 == old.1 || found.0 == new.0, "after {kill} kills the notes speak of what is not in the book");
        seen[usize::from(found.0 == new.0) + usize::from(found.1 == new.1)] += 1;
        // And the next run goes on from there.
        assert_eq!(aboard.run(&arguments).0, Some(0), "after {kill} kills");
        assert_eq!(aboard.read("boat.yaml"), new.0, "after {kill} kills");
    }
    eprintln!(
        "of the runs that were killed {} had written nothing, {} the book alone, {} both",
        seen[0], seen[1], seen[2]
    );
}

// Forms that people write rows in.

/// A book whose settings have rows in this form, and no more.
fn with_rows(rows: &str) -> String {
    format!("settings:\n  - id: up\n    controls: [backstay, lead]\n{rows}")
}

fn wanted<'a>(
    settings: &'a str,
    at: (Wind, Option<Angle>),
    units: Units,
    readings: &[(&str, &str)],
    remark: &str,
) -> Readings<'a> {
    let reading = |(control, text): &(&str, &str)| Reading {
        control: (*control).to_owned(),
        full: (*text).to_owned(),
        bare: (*text).to_owned(),
        sides: [text, text].map(|text| (*text).to_owned()),
    };
    let remarks = if remark.is_empty() { Vec::new() } else { vec![remark.to_owned()] };
    Readings { settings, wind: at.0, angle: at.1, units, readings: readings.iter().map(reading).collect(), remarks }
}

/// The lead set to 14 at 10 kn.
fn set(rows: &str) -> Result<String, cockpit_cards::book::Problem> {
    let units = reading::load(reading::SOUND).book.expect("a book").units;
    let text = with_rows(rows);
    let changed = with_readings(&text, &wanted("up", (Wind::knots(10.0), None), units, &[("lead", "14")], "r"))?;
    Ok(changed.strip_prefix(&with_rows("")).expect("what stands before").to_owned())
}

#[test]
fn in_every_form_a_row_can_have_only_the_reading_changes_and_the_remark_stands_where_there_is_room() {
    for (old, new) in [
        ("    at:\n      10: [2, 12]\n", "    at:\n      10: [2, 14]  # r\n"),
        ("    at:\r\n      10: [2, 12]\r\n", "    at:\r\n      10: [2, 14]  # r\r\n"),
        ("    at:\n      10: [2, 12]   # windy  \n", "    at:\n      10: [2, 14]   # windy; r  \n"),
        ("    at:\n      10: [2, 12]  # r\n", "    at:\n      10: [2, 14]  # r\n"),
        ("    at:\n      10: [2, 12]", "    at:\n      10: [2, 14]  # r"),
        ("    at:\n      10 kn: [2, ~]\n", "    at:\n      10 kn: [2, 14]  # r\n"),
        ("    at:\n      \"10\": [2, null]\n", "    at:\n      \"10\": [2, 14]  # r\n"),
        ("    at:\n      10: [2, \"12\"]\n", "    at:\n      10: [2, 14]  # r\n"),
        ("    at:\n      10: [2,\n        12]\n", "    at:\n      10: [2,\n        14]  # r\n"),
        (
            "    at:\n      10:\n        - 2\n        - 12\n      14: [3, 4]\n",
            "    at:\n      10:\n        - 2\n        - 14  # r\n      14: [3, 4]\n",
        ),
        ("    at:\n      10:\n        - 2\n        -\n", "    at:\n      10:\n        - 2\n        - 14  # r\n"),
        ("    at:\n      10:\n      - 2\n      - 12 # old\n", "    at:\n      10:\n      - 2\n      - 14 # old; r\n"),
        ("    at: {6: [1, 9], 10: [2, 12]}\n", "    at: {6: [1, 9], 10: [2, 14]}\n"),
        (
            "    at: {\n      6: [1, 9],\n      10: [2, 12],\n    }\n",
            "    at: {\n      6: [1, 9],\n      10: [2, 14],  # r\n    }\n",
        ),
        ("    at:\n      ? 10\n      : [2, 12]\n", "    at:\n      ? 10\n      : [2, 14]\n"),
        // A value that another refers to is changed where it is not shared, and else left.
        (
            "    at:\n      10: [&a 2, 12]\n      14: [*a, 15]\n",
            "    at:\n      10: [&a 2, 14]  # r\n      14: [*a, 15]\n",
        ),
        ("    at:\n      10: [2, &a 12]\n", "    at:\n      10: [2, &a 14]  # r\n"),
        // A row that is not there.
        (
            "    at:\n      6: [1, 9] # six\n      14: [3, 15]\n",
            "    at:\n      6: [1, 9] # six\n      10: [~, 14]  # r\n      14: [3, 15]\n",
        ),
        (
            "    at:\n      # light\n      14: [3, 15]\n",
            "    at:\n      10: [~, 14]  # r\n      # light\n      14: [3, 15]\n",
        ),
        (
            "    at:\n      6: [1, 9]\n      # strong\n\n",
            "    at:\n      6: [1, 9]\n      10: [~, 14]  # r\n      # strong\n\n",
        ),
        (
            "    at:\n      6:\n        - 1\n        - 9\n",
            "    at:\n      6:\n        - 1\n        - 9\n      10: [~, 14]  # r\n",
        ),
        ("    at: {6: [1, 9], 14: [3, 15]}\n", "    at: {6: [1, 9], 10: [~, 14], 14: [3, 15]}\n"),
        ("    at: {6: [1, 9]}\n", "    at: {6: [1, 9], 10: [~, 14]}\n"),
        ("    at: {14: [1, 9]}\n", "    at: {10: [~, 14], 14: [1, 9]}\n"),
        (
            "    at: {\n      6: [1, 9],\n      14: [3, 15],\n    }\n",
            "    at: {\n      6: [1, 9],\n      10: [~, 14],  # r\n      14: [3, 15],\n    }\n",
        ),
        (
            "    at: {\n      6: [1, 9]  # six\n    }\n",
            "    at: {\n      6: [1, 9],  # six\n      10: [~, 14]\n    }\n",
        ),
    ] {
        match set(old) {
            Ok(changed) => assert_eq!(changed, new, "{old}"),
            Err(problem) => panic!("{problem:?}\n{old}"),
        }
    }
}

#[test]
fn a_reading_that_is_shared_with_another_place_is_refused_with_its_own_place() {
    for rows in [
        "    at:\n      6: [1, &a 12]\n      10: [2, *a]\n",
        "    at:\n      10: [2, &a 12]\n      14: [3, *a]\n",
        "    at:\n      6: &row [1, 12]\n      10: *row\n",
        "    at: &rows\n      10: [2, 12]\n  - {id: other, controls: [backstay, lead], at: *rows}\n",
    ] {
        let problem = set(rows).expect_err(rows);
        assert!(problem.what.contains("the row of up at 10 kn is written in a form"), "{problem:?}");
        assert!(problem.instead.contains("write by hand: lead 14"), "{problem:?}");
        let place = problem.place.expect("a place").bytes;
        assert_eq!(&with_rows(rows)[place], "10", "{rows}");
    }
}

/// A file as another reader of YAML sees it.
fn yaml(text: &str) -> Value {
    serde_saphyr::from_str(text).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

fn table(text: &str) -> Vec<Vec<String>> {
    let delimiter = if text.contains('\t') { b'\t' } else { b',' };
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(delimiter)
        .comment(Some(b'#'))
        .from_reader(text.as_bytes());
    let record = |record: csv::StringRecord| record.iter().map(|cell| cell.trim().to_owned()).collect::<Vec<String>>();
    reader
        .records()
        .map(|found| record(found.expect("a line")))
        .filter(|cells| cells.iter().any(|cell| !cell.is_empty()))
        .collect()
}

/// Each row that is written down of some settings: its wind, its angle, and both as they are written.
fn rows(settings: &Settings, text: &str) -> Vec<(Wind, Option<Angle>, [String; 2])> {
    let written = |bytes: &std::ops::Range<usize>| text[bytes.clone()].trim_matches(['"', '\'']).to_owned();
    let plain = settings.rows.iter().map(|row| (row, None));
    let angled = settings.angled.iter().flat_map(|angled| angled.rows.iter().map(|row| (&row.row, Some(&row.angle))));
    let own = plain.chain(angled).filter(|(row, _)| row.ground != Ground::CarriedOver);
    own.map(|(row, angle)| {
        let words = [written(&row.at.place.bytes), angle.map(|angle| written(&angle.place.bytes)).unwrap_or_default()];
        (row.at.value, angle.map(|angle| angle.value), words)
    })
    .collect()
}

/// Fails unless the new text is the old one with one stretch of a line changed.
fn assert_one_stretch(old: &str, new: &str, reading: &str) {
    let head = old.bytes().zip(new.bytes()).take_while(|(a, b)| a == b).count();
    let most = old.len().min(new.len()) - head;
    let tail = old.bytes().rev().zip(new.bytes().rev()).take(most).take_while(|(a, b)| a == b).count();
    let (gone, come) = (&old.as_bytes()[head..old.len() - tail], &new.as_bytes()[head..new.len() - tail]);
    assert!(gone.len() <= 40 && !gone.contains(&b'\n'), "{:?} went", String::from_utf8_lossy(gone));
    assert!(come.len() <= reading.len() + 4, "{:?} came for {reading}", String::from_utf8_lossy(come));
}

/// Puts the reading of another row into each row of a made-up book; how many were put in, in the book and in tables.
fn put_into(made: &books::Book, crlf: bool) -> [usize; 2] {
    let text = if crlf { made.text.replace('\n', "\r\n") } else { made.text.clone() };
    let file = |name: &str| made.table(name).or_else(|| crate::common::whole::table(name));
    let Some(book) = book::from_text("boat.yaml", &text, &file, has_glyph).book else { return [0; 2] };
    let mut put = [0; 2];
    for settings in book.settings.iter() {
        let id = &settings.id.value;
        let Some(place) = rows_of(&text, id) else { continue };
        let source = match &place {
            Rows::Inline => text.clone(),
            Rows::Table(name) => file(name).expect("a table"),
        };
        let rows = rows(settings, &source);
        for (at, (wind, angle, words)) in rows.iter().enumerate() {
            let column = at % settings.controls.len();
            let control = book.controls[settings.controls[column]].id.value.as_str();
            let from = &rows[(at + 1) % rows.len()];
            let plain = |reading: &str| wanted(id, (*wind, *angle), book.units, &[(control, reading)], "");
            match &place {
                Rows::Inline => {
                    let mut tree = yaml(&text);
                    let all = tree["settings"].as_array_mut().expect("settings");
                    let own = all.iter_mut().find(|own| own["id"] == id.as_str()).expect("these");
                    let cell = |own: &Value, words: &[String; 2]| match words[1].is_empty() {
                        true => own["at"][&words[0]][column].clone(),
                        false => own["at"][&words[0]][&words[1]][column].clone(),
                    };
                    let (old, reading) = (cell(own, words), cell(own, &from.2));
                    let reading = match &reading {
                        Value::String(text) => text.clone(),
                        Value::Number(number) => number.to_string(),
                        _ => continue,
                    };
                    let changed =
                        with_readings(&text, &plain(&reading)).unwrap_or_else(|problem| panic!("{problem:?}\n{text}"));
                    assert_one_stretch(&text, &changed, &reading);
                    let place = match words[1].is_empty() {
                        true => &mut own["at"][&words[0]][column],
                        false => &mut own["at"][&words[0]][&words[1]][column],
                    };
                    let found = cell(
                        yaml(&changed)["settings"]
                            .as_array()
                            .and_then(|all| all.iter().find(|own| own["id"] == id.as_str()))
                            .expect("these"),
                        words,
                    );
                    let same_text = |value: &Value| value.as_str().map_or_else(|| value.to_string(), str::to_owned);
                    assert_eq!(same_text(&found), reading, "was {old}");
                    *place = found;
                    assert_eq!(yaml(&changed), tree, "{text}");
                    // With a remark there is a remark more, and nothing else.
                    let mut remarked = plain(&reading);
                    remarked.remarks = vec!["a remark".to_owned()];
                    let remarked = with_readings(&text, &remarked).expect("as before");
                    let angle = angle.map(|angle| format!("{} ", angle.print())).unwrap_or_default();
                    let remarks =
                        ["  # ", "; "].map(|sign| [format!("{sign}a remark"), format!("{sign}{angle}a remark")]);
                    let mut bare = remarks.iter().flatten().map(|remark| remarked.replacen(remark, "", 1));
                    assert!(remarked == changed || bare.any(|bare| bare == changed), "{remarked}");
                    assert_eq!(yaml(&remarked), tree);
                    put[0] += 1;
                }
                Rows::Table(_) => {
                    let mut cells = table(&source);
                    // One with a column for each side has its own test.
                    let column = cells[0].iter().skip(1).position(|cell| cell == control).map(|at| at + 1);
                    let Some(column) = column else { continue };
                    let reading = cells[(at + 1) % rows.len() + 1].get(column).cloned().unwrap_or_default();
                    if reading.is_empty() || reading == "~" {
                        continue;
                    }
                    let changed =
                        with_cells(&source, &plain(&reading)).unwrap_or_else(|problem| panic!("{problem:?}\n{source}"));
                    assert_one_stretch(&source, &changed, &reading);
                    cells[at + 1][column] = reading;
                    assert_eq!(table(&changed), cells, "{source}");
                    put[1] += 1;
                }
            }
        }
    }
    put
}

#[test]
fn in_any_book_a_reading_that_is_put_in_leaves_every_other_byte_alone() {
    let mut put = [0; 2];
    for seed in 0..SEEDS {
        let made = books::sound(&books::row(seed));
        let more = put_into(&made, seed % 3 == 1);
        put = [put[0] + more[0], put[1] + more[1]];
    }
    assert!(put[0] > 2 * SEEDS as usize && put[1] as u64 > SEEDS / 4, "{put:?}");
    for (name, text) in crate::common::whole::EXAMPLES {
        let made = books::Book { text: text.to_owned(), ..books::Book::default() };
        assert!(put_into(&made, false).iter().sum::<usize>() > 0, "{name}");
    }
}
