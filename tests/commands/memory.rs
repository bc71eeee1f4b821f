//! A large book takes no more memory than a small laptop has to spare, and leaves whole files or none.
#![cfg(target_os = "linux")]

use std::fmt::Write as _;

use crate::desk::{Desk, PROGRAM, said};

/// The most cards that a book may have.
const CARDS: usize = 1_000;
/// The memory that a run may fill, megabytes: that of its data, so that the size of the program and of the libraries it maps is
/// not counted. When all pictures waited in memory to be written, it did not fit into 256.
const MOST_MB: usize = 160;

/// The most cards of the largest book, each with its settings.
fn large_book() -> String {
    let mut text = "book: 1\nboat: {name: Glasswort}\nwind_bands: [4, 11, 17]\ncontrols:\n  \
                    backstay: {higher_is: tighter, scale: {marks: 0..10, spacing: 15 mm, halves: true}}\n  \
                    jib_lead: {higher_is: aft, scale: {marks: 0..10, spacing: 20 mm, halves: true}}\n\
                    sails:\n  main: {kind: mainsail}\n  jib: {kind: headsail, name: Jib}\n\
                    settings:\n  - {id: jib-upwind, sails: [main, jib], point_of_sail: upwind, \
                    controls: [backstay, jib_lead], at: {6: [2, 4], 15: [4, 6]}}\ncards:\n"
        .to_owned();
    for index in 0..CARDS {
        let _ = writeln!(text, "  - {{kind: wind-settings, id: c{index}, settings: jib-upwind, size: A6}}");
    }
    text
}

/// Builds the book with no more memory than this, on two cores.
fn within(desk: &Desk, megabytes: usize) -> std::process::Output {
    desk.shell(&format!(
        "ulimit -d {} && RAYON_NUM_THREADS=2 exec '{PROGRAM}' build boat.yaml --out out",
        megabytes * 1024
    ))
}

#[test]
fn a_thousand_cards_are_built_in_little_memory() {
    let desk = Desk::new();
    desk.write("boat.yaml", &large_book());
    let output = within(&desk, MOST_MB);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let files = desk.files("out");
    let svgs: usize = files.iter().filter(|(name, _)| name.ends_with(".svg")).map(|(_, bytes)| bytes.len()).sum();
    // Else it would be shown of a book whose pictures fit anyway.
    assert!(svgs > 80_000_000, "{svgs} bytes of pictures");
    assert_eq!(files.keys().filter(|name| name.ends_with(".svg")).count(), CARDS);

    // The limit binds: with a sixth of it there is no room to begin, and what was there stays.
    let output = within(&desk, MOST_MB / 6);
    assert_ne!(output.status.code(), Some(0), "{}", said(&output));
    assert!(desk.files("out").into_iter().filter(|(name, _)| !name.starts_with('.')).eq(files));
}

/// Many cards of one table that is kept by wind and angle.
fn table_by_angle() -> String {
    const CONTROLS: usize = 6;
    const CARDS: usize = 40;
    let names: Vec<String> = (0..CONTROLS).map(|nth| format!("c{nth}")).collect();
    let controls: String =
        names.iter().map(|id| format!("  {id}: {{scale: {{marks: 0..10, spacing: 15 mm}}}}\n")).collect();
    let cells = |wind: usize| -> String {
        let marks = |angle: usize| vec![(angle / 10 % 10).to_string(); CONTROLS].join(", ");
        let cells: Vec<String> = (50..=130).step_by(10).map(|angle| format!("{angle}: [{}]", marks(angle))).collect();
        format!("      {wind}: {{{}}}\n", cells.join(", "))
    };
    let rows: String = (5..25).map(cells).collect();
    let cards: String =
        (0..CARDS).map(|nth| format!("  - {{kind: wind-settings, id: r{nth}, settings: reach, size: A5}}\n")).collect();
    format!(
        "book: 1\nboat: {{name: Glasswort}}\nwind_bands: [4, 11, 17, 24]\ncontrols:\n{controls}sails:\n  main: {{kind: mainsail}}\n\
         settings:\n  - id: reach\n    sails: [main]\n    controls: [{}]\n    angle_bands: [45, 75, 105, 135]\n    at:\n{rows}cards:\n{cards}",
        names.join(", ")
    )
}

#[test]
fn no_working_is_made_of_cards_that_are_only_printed() {
    // Twice what it takes. With the working of each card even half as much again is not enough.
    const MOST_MB: usize = 90;
    let desk = Desk::new();
    desk.write("boat.yaml", &table_by_angle());
    let output = within(&desk, MOST_MB);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    assert!(desk.path("out/cards.pdf").exists(), "{}", said(&output));
}
