//! Work is counted before it is done: a book of a size that is taken takes seconds, and one that is refused is refused before the
//! rest of it is worked out. What takes longer, or more memory, dies of its limit. The limits are several times what a run takes
//! without optimisation.
#![cfg(target_os = "linux")]

use std::fmt::Write as _;

use crate::desk::{Desk, PROGRAM, said};

/// Runs a command on a book within some seconds of the processor's own; its exit code and what it said.
fn within(seconds: u32, command: &str, book: &str) -> (Option<i32>, String) {
    let desk = Desk::new();
    desk.write("boat.yaml", book);
    let output = desk.shell(&format!("ulimit -t {seconds}; exec '{PROGRAM}' {command} boat.yaml"));
    (output.status.code(), said(&output))
}

/// A boat with so many controls and a jib, up to her settings.
fn boat(controls: usize) -> String {
    let scale = "{higher_is: tighter, scale: {marks: 0..20, spacing: 15 mm, halves: true}, strip: none}";
    let controls: String = (0..controls).map(|nth| format!("  c{nth}: {scale}\n")).collect();
    format!(
        "book: 1\nboat: {{name: Tansy}}\ncontrols:\n{controls}sails:\n  main: {{kind: mainsail}}\n  \
         jib: {{kind: headsail, name: Jib}}\nsettings:\n"
    )
}

/// The ids of so many controls in a list.
fn all(controls: usize) -> String {
    (0..controls).map(|nth| format!("c{nth}")).collect::<Vec<_>>().join(", ")
}

/// Settings by wind alone, a row for each of some winds, two to the knot.
fn settings(rows: usize, controls: usize, reading: impl Fn(usize, usize) -> String) -> String {
    let mut text = format!(
        "{}  - id: s\n    sails: [main, jib]\n    point_of_sail: upwind\n    controls: [{}]\n    at:\n",
        boat(controls),
        all(controls)
    );
    for row in 1..=rows {
        let readings: Vec<String> = (0..controls).map(|control| reading(row, control)).collect();
        let _ = writeln!(text, "      {}: [{}]", row as f64 / 2.0, readings.join(", "));
    }
    text
}

#[test]
fn the_rows_of_a_ladder_are_found_in_a_second_where_any_of_them_could_be_one() {
    // Everything stands within half a mark, so each of 20,000 stretches of wind is looked at with every control.
    let book = settings(199, 12, |row, control| ["4", "4½"][(row + control * row / 7) % 2].to_owned());
    let (code, said) = within(3, "check", &book);
    assert_eq!(code, Some(0), "{said}");
}

#[test]
fn the_fewest_cards_for_a_long_ladder_are_found_in_a_second() {
    // Twenty columns are wider than any card, so every number of cards is tried.
    let book = settings(140, 20, |row, control| ((row * 3 + control) % 20).to_string());
    let (code, said) = within(4, "check", &book);
    assert_eq!(code, Some(0), "{said}");
}

/// Settings by twelve winds and nine angles; `bands` of wind.
fn by_angle(bands: usize) -> String {
    let edges: Vec<String> = (0..=bands).map(|edge| (4 + edge).to_string()).collect();
    let mut text = format!(
        "{}  - id: s\n    sails: [main, jib]\n    controls: [c0, c1]\n    at:\n",
        boat(2).replace("controls:\n", &format!("wind_bands: [{}]\ncontrols:\n", edges.join(", ")))
    );
    for wind in 0..12 {
        let at = |angle: usize| {
            let reading = (wind * 5 + angle * 3 + wind * angle % 5) % 20;
            format!("{}: [{reading}, {}]", 40 + angle * 14, (reading + 11) % 20)
        };
        let _ = writeln!(text, "      {}: {{{}}}", 4 + wind * 20 / 12, (0..9).map(at).collect::<Vec<_>>().join(", "));
    }
    text
}

#[test]
fn the_cards_of_settings_by_wind_and_angle_take_a_second() {
    let (code, said) = within(4, "check", &by_angle(20));
    assert_eq!(code, Some(0), "{said}");
}

#[test]
fn of_a_book_that_asks_for_too_many_cards_no_more_are_worked_out() {
    // Twelve thousand ladders, forty to each of the settings: what is past the limit takes ten times what is before it.
    let edges: Vec<String> = (2..=42).map(|edge| edge.to_string()).collect();
    let mut book = boat(1).replace("controls:\n", &format!("wind_bands: [{}]\ncontrols:\n", edges.join(", ")));
    for nth in 0..300 {
        let _ = writeln!(
            book,
            "  - {{id: s{nth}, title: t{nth}, sails: [main, jib], controls: [c0], angle_bands: [30, 50, 70], \
             at: {{2: {{30: [2], 70: [5]}}, 42: {{30: [8], 70: [18]}}}}}}"
        );
    }
    let (code, said) = within(15, "check", &format!("{book}cards: {{all: true, except: [wind-settings]}}\n"));
    assert_eq!(code, Some(2), "{said}");
    assert!(said.contains("more than 1000 cards and strips"), "{said}");
}

#[test]
fn twenty_thousand_warnings_in_one_line_of_a_book_are_told_in_a_second() {
    const SIDE: usize = 100;
    let controls: String =
        (0..SIDE).map(|nth| format!(", c{nth}: {{scale: {{marks: 0..20, spacing: 15 mm}}}}")).collect();
    let row = |row: usize| {
        let readings: Vec<String> = (0..SIDE).map(|control| ((row * 3 + control) % 20).to_string()).collect();
        format!("{}: [{}]", 1.0 + row as f64 / 4.0, readings.join(", "))
    };
    let rows: Vec<String> = (0..SIDE).map(row).collect();
    let book = format!(
        "{{book: 1, boat: {{name: Tansy}}, controls: {{lead: {{scale: {{marks: 0..4, spacing: 20 mm}}}}{controls}}}, \
         sails: {{main: {{kind: mainsail}}}}, settings: [{{id: s, sails: [main], point_of_sail: upwind, controls: [{}], \
         at: {{{}}}}}], cards: [{{kind: strip, control: lead}}]}}\n",
        all(SIDE),
        rows.join(", ")
    );
    // A run that builds tells them twice: in the terminal, and on the proof page.
    let (code, said) = within(5, "build --out out", &book);
    assert_eq!(code, Some(0), "{said}");
    assert!(said.contains("19799 more like it"), "{said}");
}

#[test]
fn two_thousand_notes_are_looked_at_once_for_a_table_and_not_for_each_of_its_readings() {
    const ROWS: usize = 60;
    const CONTROLS: usize = 20;
    let mut book = settings(ROWS, CONTROLS, |row, control| ((row + control) % 20).to_string());
    book.push_str("sailed: {file: notes.csv, time_zone: UTC}\n");
    let mut notes = format!("when,settings,wind,verdict,{}\n", all(CONTROLS).replace(' ', ""));
    for nth in 0..2_000 {
        let (day, hour, minute) = (1 + nth / 90 % 28, nth / 6 % 15, nth % 6 * 10);
        let readings: Vec<String> = (0..CONTROLS).map(|control| ((nth + control) % 20).to_string()).collect();
        let wind = (1 + nth % ROWS) as f64 / 2.0;
        let _ = writeln!(notes, "2026-05-{day:02} {hour:02}:{minute:02},s,{wind},fast,{}", readings.join(","));
    }
    let desk = Desk::new();
    desk.write("boat.yaml", &book);
    desk.write("notes.csv", &notes);
    let output = desk.shell(&format!("ulimit -t 5; exec '{PROGRAM}' check boat.yaml"));
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
}

#[test]
fn two_pictures_that_are_large_together_are_drawn_one_after_the_other() {
    // Two of 38 million pixels: 150 MB each, and as much again for both at once does not fit.
    const MOST_MB: usize = 250;
    let wheel = "{scale: {marks: 0..20, spacing: 60 mm}, strip: {width: 40 mm, arc: {radius: 225 mm, middle: far}}}";
    let desk = Desk::new();
    desk.write(
        "boat.yaml",
        &format!("book: 1\nboat: {{name: Tansy}}\ncontrols:\n  port: {wheel}\n  starboard: {wheel}\n"),
    );
    let output = desk.shell(&format!(
        "ulimit -d {} && RAYON_NUM_THREADS=2 exec '{PROGRAM}' build boat.yaml --png --out out",
        MOST_MB * 1024
    ));
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    assert_eq!(desk.files("out").keys().filter(|name| name.ends_with(".png")).count(), 2);
}
