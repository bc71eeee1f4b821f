//! What is no file is refused at once, wherever a file is wanted: no run waits for a pipe that nobody writes to, or reads a
//! device without end. And a file is read once, however often and however it is named.
#![cfg(unix)]

use std::fs;
use std::os::unix::fs::symlink;
use std::os::unix::net::UnixListener;
use std::path::Path;
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

use crate::desk::{Desk, PROGRAM, said};
use crate::reading::SOUND;

use cockpit_cards::book;
use cockpit_cards::drawing::font::has_glyph;

/// A run that is not at its end by then waits for something. The quickest takes a twentieth of a second.
const PATIENCE: Duration = Duration::from_secs(20);
/// As many settings as a book may have.
const SETTINGS: usize = 300;

/// Runs the program; its exit code and what it said. Fails if it waits.
fn run(desk: &Desk, arguments: &[&str]) -> (Option<i32>, String) {
    let mut command = Command::new(PROGRAM);
    command.args(arguments).current_dir(&desk.0).stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let (mut run, begun) = (command.spawn().expect("a run"), Instant::now());
    while run.try_wait().expect("a state").is_none() {
        if begun.elapsed() > PATIENCE {
            run.kill().expect("an end");
            panic!("{arguments:?} waits");
        }
        std::thread::sleep(Duration::from_millis(5));
    }
    let output = run.wait_with_output().expect("words");
    (output.status.code(), said(&output))
}

/// Makes something at a path.
type Make = fn(&Path);

/// What is no file, and how it is made in the place of one.
const NO_FILES: [(&str, Make); 3] = [
    ("a pipe", |place| assert!(Command::new("mkfifo").arg(place).status().expect("mkfifo").success())),
    ("a device", |place| symlink("/dev/zero", place).expect("a link")),
    ("a socket", |place| drop(UnixListener::bind(place).expect("a socket"))),
];

#[test]
fn a_pipe_a_device_or_a_socket_in_the_place_of_a_file_is_refused_at_once() {
    let named = SOUND.replace(
        "controls: [backstay, lead, vang]\n    at:\n      6:  [0, 13, eased]\n      10: [2, 12, snug]\n      14: [4½, 14, hard]\n",
        "table: up.csv\n",
    );
    let named = format!("{named}sailed: {{file: sailed.csv, time_zone: Europe/Copenhagen}}\n");
    let build: &[&str] = &["build", "--printer", "office", "--readings", "printers.yaml"];
    let set: &[&str] = &["printer", "set", "b", "--across", "180", "--along", "250", "--readings", "printers.yaml"];
    let places: [(&str, &[&[&str]]); 7] = [
        ("boat.yaml", &[&["check"], &["build"], &["reissue"], &["sail", "add", "--id", "j9", "--kind", "headsail"]]),
        ("up.csv", &[&["check"], &["sailed", "adopt", "j1-upwind", "10", "backstay=3"]]),
        ("sailed.csv", &[&["check"], &["sailed", "add", "j1-upwind", "9", "backstay=2"]]),
        ("boat.editions.yaml", &[&["due"], &["reissue", "--date", "2026-05-01"], &["build"]]),
        ("printers.yaml", &[build, set, &["printer", "list", "--readings", "printers.yaml"]]),
        ("day.csv", &[&["sailed", "compare", "--log", "day.csv"]]),
        (".boat.editions.lock", &[&["sail", "add", "--id", "j9", "--kind", "headsail"]]),
    ];
    for (what, make) in NO_FILES {
        for (place, commands) in places {
            let desk = Desk::new();
            desk.write("boat.yaml", &named);
            desk.write("up.csv", "wind,backstay,lead,vang\n6,0,13,eased\n10,2,12,snug\n14,4½,14,hard\n");
            desk.write("sailed.csv", "when,settings,wind,backstay,verdict\n,j1-upwind,9,2,fast\n");
            let _ = fs::remove_file(desk.path(place));
            make(&desk.path(place));
            for command in commands {
                let (code, said) = run(&desk, command);
                let expected = if place.ends_with(".lock") { Some(1) } else { Some(2) };
                assert_eq!(code, expected, "{what} as {place}, {command:?}: {said}");
                assert!(said.contains(place), "{what} as {place}, {command:?}: {said}");
                assert!(said.contains("a pipe, a socket or a device"), "{what} as {place}, {command:?}: {said}");
            }
        }
    }
}

/// A book of many settings that name these tables in turn.
fn many(names: &[&str]) -> String {
    let one = |number: usize| {
        let name = names[number % names.len()];
        format!("  - {{id: s{number}, sails: [main], point_of_sail: upwind, title: t{number}, table: {name}}}\n")
    };
    let all: String = (0..SETTINGS).map(one).collect();
    format!(
        "book: 1\nboat: {{name: Tansy}}\ncontrols:\n  backstay: {{scale: {{marks: 0..8, spacing: 20 mm}}}}\n\
         sails:\n  main: {{kind: mainsail}}\nsettings:\n{all}cards: [{{kind: strip}}]\n"
    )
}

#[test]
fn a_table_that_many_settings_name_is_read_once() {
    let opened = std::cell::Cell::new(0);
    let open = |name: &str| {
        opened.set(opened.get() + 1);
        (name == "up.csv").then(|| "wind,backstay\n6,0\n14,5\n".to_owned())
    };
    let loaded = book::from_text("boat.yaml", &many(&["up.csv"]), &open, has_glyph);
    assert!(loaded.is_sound(), "{:?}", loaded.problems);
    assert_eq!(opened.get(), 1);
}

#[test]
fn a_table_is_one_file_however_it_is_spelt_and_its_faults_are_told_once() {
    let desk = Desk::new();
    desk.write("boat.yaml", &many(&["up.csv", "./up.csv", "tables/../up.csv", "link.csv"]));
    desk.write("up.csv", "wind,backstay\n6,0\n14,9\n");
    desk.write("tables/other.csv", "");
    symlink("up.csv", desk.path("link.csv")).expect("a link");
    let loaded = book::from_path(&desk.path("boat.yaml"), has_glyph).expect("a book");
    assert_eq!(loaded.sources.len(), 2, "the book and its table");
    assert_eq!(loaded.problems.len(), 1, "{:?}", loaded.problems);
}
