//! Each command that changes what cannot be made again, killed at any moment: every file is the old one or the new one, whole; no lock
//! stays in the way; and the next run comes to the same end and clears away what the dead one left.
//!
//! ```sh
//! KILLS=500 cargo test --test commands killed_at -- --nocapture
//! ```
#![cfg(unix)]

use std::io::{self, Write as _};
use std::process::{Child, Stdio};
use std::time::{Duration, Instant};

use crate::common::season_files::{HEADER, backstay_wants_more};
use crate::desk::{Desk, Files, said};
use crate::reading::SOUND;
use crate::sailed::{is_being_made, named, random, spin};

/// How many runs of each command are killed, unless `KILLS` in the environment asks for more.
const KILLS: usize = 4;
/// Microseconds after the first sign of a file in the making: most are in their places by then.
const WRITING_US: u64 = 1_500;

/// A command and the folder that it is run in.
struct Case {
    name: &'static str,
    arguments: &'static [&'static str],
    before: Vec<(&'static str, String)>,
    /// Of two files, the one that is never new while the other is old.
    last: Option<&'static str>,
    /// Whether a run that died between two files leaves nothing to do: the reading is in the book with its remark, and the notes get no
    /// line of it any more.
    finds_it_done: bool,
}

fn cases() -> Vec<Case> {
    let book = || vec![("boat.yaml", SOUND.to_owned())];
    let (notes, log) = backstay_wants_more(4).sail();
    let sailed = |notes: String| vec![("boat.yaml", named()), ("sailed.csv", notes)];
    let note = format!("{HEADER}2027-06-12 13:02,,j1-upwind,12,,,,,,4½,12..13,,,fast,Bo,,\n");
    let mut with_log = sailed(format!("{HEADER}{notes}"));
    with_log.push(("log.csv", log));
    let sail_add = &["sail", "add", "boat.yaml", "--id", "j9", "--kind", "headsail", "--wind", "8..18"];
    let sailed_add = &["sailed", "add", "j1-upwind", "12", "backstay=3", "fast", "--when", "2027-06-12 14:02"];
    // What a person chose: of a change that trials proposed nothing is proposed any more once the book has it.
    let adopt = &["sailed", "adopt", "j1-upwind", "10", "backstay=3", "--log", "log.csv", "--when", "2027-07-20 18:00"];
    let set = &["printer", "set", "loft", "--across", "179.4", "--along", "250", "--readings", "printers.yaml"];
    vec![
        Case { name: "sail add", arguments: sail_add, before: book(), last: None, finds_it_done: false },
        Case { name: "sailed add", arguments: sailed_add, before: sailed(note), last: None, finds_it_done: false },
        Case {
            name: "sailed adopt",
            arguments: adopt,
            before: with_log,
            last: Some("sailed.csv"),
            finds_it_done: true,
        },
        Case {
            name: "printer set",
            arguments: set,
            before: vec![("printers.yaml", "readings: 1\nprinters: []\n".to_owned())],
            last: None,
            finds_it_done: false,
        },
        Case {
            name: "new",
            arguments: &["new", "boat.yaml"],
            before: Vec::new(),
            last: Some("boat.yaml"),
            finds_it_done: false,
        },
        Case {
            name: "reissue",
            arguments: &["reissue", "boat.yaml", "--date", "2026-05-01"],
            before: book(),
            last: Some("boat.editions.yaml"),
            finds_it_done: false,
        },
    ]
}

/// What a person has in a folder: without locks, which stay empty beside their files, and without folders.
fn theirs(desk: &Desk) -> Files {
    let mut files = desk.files("");
    files.retain(|name, _| !name.ends_with('/') && !name.ends_with(".lock") && !name.contains(".cockpit-cards-"));
    files
}

fn is_littered(desk: &Desk) -> bool {
    desk.files("").keys().any(|name| name.contains(".cockpit-cards-"))
}

impl Case {
    /// Puts the folder back to where it was; what a dead run left stays.
    fn restore(&self, desk: &Desk) {
        for name in theirs(desk).keys() {
            std::fs::remove_file(desk.path(name)).expect("removed");
        }
        for (name, text) in &self.before {
            desk.write(name, text);
        }
    }

    fn run(&self, desk: &Desk) {
        let (code, said) = desk.tried(self.arguments);
        assert_eq!(code, Some(0), "{}: {said}", self.name);
    }

    fn kill(&self, desk: &Desk, kill: usize, takes: Duration) {
        let mut command = desk.command(self.arguments);
        let silent = command.stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        let mut run = silent.spawn().expect("a run");
        let goes_on = |run: &mut Child| run.try_wait().expect("a state").is_none();
        match kill % 3 {
            0 => std::thread::sleep(takes.mul_f64(random(1_000) as f64 / 1_000.0)),
            _ => {
                let being_made = || is_being_made(desk.0.path()) || is_being_made(&desk.path("out"));
                while goes_on(&mut run) && !being_made() {}
                spin(Duration::from_micros(random(WRITING_US)));
            }
        }
        let _ = run.kill();
        run.wait().expect("an end");
    }

    /// Whether all files are old or new and whole; how many are new.
    fn new_ones(&self, found: &Files, old: &Files, new: &Files) -> usize {
        for (name, bytes) in found {
            let is_whole = old.get(name) == Some(bytes) || new.get(name) == Some(bytes);
            assert!(is_whole, "{}: {name} is neither the old one nor the new one", self.name);
        }
        for name in old.keys().filter(|name| new.contains_key(*name)) {
            assert!(found.contains_key(name), "{}: {name} is gone", self.name);
        }
        let is_new = |name: &&String| found.get(*name) == new.get(*name) && found.get(*name) != old.get(*name);
        let count = new.keys().filter(is_new).count();
        let changed = new.iter().filter(|(name, bytes)| old.get(*name) != Some(bytes)).count();
        if let Some(last) = self.last
            && is_new(&&last.to_owned())
        {
            assert_eq!(count, changed, "{}: {last} is the new one before all others are", self.name);
        }
        count
    }
}

#[test]
fn each_command_killed_at_any_moment_leaves_whole_files_and_no_lock_and_the_next_run_ends_the_same() {
    let kills = std::env::var("KILLS").ok().and_then(|number| number.parse().ok()).unwrap_or(KILLS);
    for case in cases() {
        let desk = Desk::new();
        case.restore(&desk);
        let old = theirs(&desk);
        let begun = Instant::now();
        case.run(&desk);
        let takes = begun.elapsed();
        let new = theirs(&desk);
        let changed = new.iter().filter(|(name, bytes)| old.get(*name) != Some(bytes)).count();
        assert!(changed > 0, "{} changes something", case.name);
        let (mut untouched, mut between, mut finished, mut littered) = (0, 0, 0, 0);
        for kill in 0..kills {
            case.restore(&desk);
            case.kill(&desk, kill, takes);
            let count = case.new_ones(&theirs(&desk), &old, &new);
            littered += usize::from(is_littered(&desk));
            match count {
                0 => untouched += 1,
                count if count == changed => finished += 1,
                _ => between += 1,
            }
            if count > 0 && count < changed && case.finds_it_done {
                case.run(&desk);
                assert!(theirs(&desk).get("boat.yaml") == new.get("boat.yaml"), "{}: the book stays", case.name);
                case.restore(&desk);
            }
            // What was done whole is done; anything less is done by the next run.
            if count == changed {
                case.restore(&desk);
            }
            case.run(&desk);
            let ended = theirs(&desk);
            let other = ended.iter().find(|(name, bytes)| new.get(*name) != Some(bytes));
            let other = other.map(|(name, bytes)| (name, String::from_utf8_lossy(bytes)));
            assert!(ended == new, "{}: the next run ends the same: {other:?}", case.name);
            assert!(!is_littered(&desk), "{}: the next run clears up", case.name);
        }
        let _ = writeln!(
            io::stderr(),
            "{}: of {kills} killed runs {untouched} had changed nothing, {between} something, {finished} all; {littered} left files in the making",
            case.name
        );
    }
}

#[test]
fn a_book_is_not_started_before_all_that_belongs_to_it_is_there() {
    let desk = Desk::new();
    // The name of the schema is taken by a folder: it is told, and the book is started all the same.
    std::fs::create_dir(desk.path("cockpit-cards.schema.json")).expect("a folder");
    let output = desk.run(&["new", "boat.yaml"]);
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    // Of a book that cannot be started it is told once, and no file is named that nobody has heard of.
    let output = desk.run(&["new", "nowhere/boat.yaml"]);
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    assert!(said(&output).contains("nowhere: No such file or directory"), "{}", said(&output));
    assert!(said(&output).lines().count() < 3 && !said(&output).contains(".cockpit-cards-"), "{}", said(&output));
}

#[test]
fn a_pipe_or_a_device_in_the_place_of_a_file_is_never_replaced() {
    use std::os::unix::fs::FileTypeExt as _;
    let desk = Desk::new();
    desk.write("boat.yaml", SOUND);
    let made = desk.shell("mkfifo page.pdf && mkdir out && mkfifo out/cards.pdf");
    assert!(made.status.success(), "{}", said(&made));
    for command in [
        &["printer", "page", "-o", "page.pdf"][..],
        &["strip", "--marks", "0..8", "--spacing", "20 mm", "-o", "page.pdf"],
        &["build"],
    ] {
        let output = desk.run(command);
        assert_eq!(output.status.code(), Some(1), "{command:?}: {}", said(&output));
        assert!(said(&output).contains("a pipe, a socket or a device stands in its place"), "{}", said(&output));
    }
    for place in ["page.pdf", "out/cards.pdf"] {
        assert!(std::fs::symlink_metadata(desk.path(place)).expect("still there").file_type().is_fifo(), "{place}");
    }
}
