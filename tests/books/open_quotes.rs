//! A quotation mark that is never closed makes one cell of all that follows in a CSV file (RFC 4180, section 2): it is told where it
//! stands, and nothing is lost without a word.
//!
//! In the texts below `«` and `»` stand around what the complaint points at.

use crate::reading::{SOUND, complaints, load_with, unmarked};

/// Names the notes of what was sailed.
const SECTION: &str = "sailed: {file: sailed.csv, time_zone: Europe/Copenhagen}\n";

/// The one complaint about a file stands at the mark and is about the quotation mark.
fn told(book: &str, file: &str, marked: &str) {
    let (text, places) = unmarked(marked);
    let loaded = load_with(book, &[(file, &text)]);
    let report = complaints(&loaded);
    let starts: Vec<_> = loaded.problems.iter().filter_map(|problem| Some(problem.place.clone()?.bytes)).collect();
    assert_eq!(starts, places, "{report}");
    assert!(report.contains("never closed") && report.contains("close it at the end of its cell"), "{report}");
    assert!(!loaded.is_sound());
}

#[test]
fn a_quotation_mark_left_open_in_the_notes_takes_no_line_away_without_a_word() {
    let book = format!("{SOUND}{SECTION}");
    told(
        &book,
        "sailed.csv",
        "settings,wind,backstay,note\nj1-upwind,9,2,\"«flat, then not»\nj1-upwind,10,3,\nj1-upwind,11,3,\n",
    );
    told(&book, "sailed.csv", "settings,wind,backstay,note\nj1-upwind,9,2,\"«flat, then not»");
    told(
        &book,
        "sailed.csv",
        "settings;wind;backstay;note\r\nj1-upwind;9;2;\"«said \"\"go\"\"; went»\r\nj1-upwind;10;3;\r\n",
    );
}

#[test]
fn a_quotation_mark_left_open_in_a_table_of_settings_takes_no_row_away_without_a_word() {
    let (start, _) = SOUND.split_once("    controls: [backstay, lead, vang]").expect("controls");
    let book = format!("{start}    table: up.csv\n");
    told(&book, "up.csv", "wind,backstay,lead,vang\n6,0,13,eased\n10,2,12,\"«snug»\n14,4,14,hard\n");
}

#[test]
fn quotation_marks_that_are_closed_or_begin_no_cell_are_no_fault() {
    let notes = "settings,wind,backstay,note\nj1-upwind,9,2,\"flat, then not\"\nj1-upwind,10,3,said \"go\nj1-upwind,11,3,\"5\"\" of rain, and \"\"go\"\"\"\n";
    let loaded = load_with(&format!("{SOUND}{SECTION}"), &[("sailed.csv", notes)]);
    assert_eq!(complaints(&loaded), "");
    assert_eq!(loaded.book.expect("a book").sailed.as_ref().map(|sailed| sailed.notes.len()), Some(3));
}
