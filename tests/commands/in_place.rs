//! A file that is changed is changed whole or not at all, by one run at a time, and only once everything that the change needs
//! was looked at. Owner, permissions and a read-only mark are heeded.
#![cfg(unix)]

use std::fs;
use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, chown, symlink};
use std::process::{Child, Stdio};

use crate::desk::{Desk, PROGRAM, said};
use crate::reading::SOUND;

const PRINTERS: usize = 20;
const SET: [&str; 8] = ["printer", "set", "office", "--across", "180", "--along", "250", "--readings=printers.yaml"];
const SAIL: [&str; 6] = ["sail", "add", "--id", "j9", "--kind", "headsail"];
const NOTE: [&str; 5] = ["sailed", "add", "j1-upwind", "9", "backstay=2"];
const RELEASE: [&str; 3] = ["reissue", "--date", "2026-05-01"];
const TAKE: [&str; 5] = ["sailed", "adopt", "j1-upwind", "10", "backstay=3"];

/// A desk with a book, its notes, its editions and the reading of a printer.
fn whole() -> Desk {
    let desk = Desk::new();
    let strips = SOUND.replace("spacing: 25 mm", "spacing: 10 mm");
    desk.write("boat.yaml", &format!("{strips}sailed: {{file: sailed.csv, time_zone: Europe/Copenhagen}}\n"));
    desk.done(&[&NOTE[..], &["--when", "2026-05-12 14:02"]].concat());
    desk.done(&RELEASE);
    desk.done(&SET);
    fs::remove_dir_all(desk.path("out")).expect("a folder");
    desk
}

fn set_mode(desk: &Desk, name: &str, mode: u32) {
    fs::set_permissions(desk.path(name), fs::Permissions::from_mode(mode)).expect("a mode");
}

fn mode(desk: &Desk, name: &str) -> u32 {
    fs::metadata(desk.path(name)).expect("a file").permissions().mode() & 0o777
}

/// Changes the book so that a card is due.
fn change_book(desk: &Desk) {
    desk.write("boat.yaml", &desk.read("boat.yaml").replace("14: [4½,", "14: [4,"));
}

/// Files by what they hold, without locks, which say nothing.
fn files(desk: &Desk) -> crate::desk::Files {
    desk.files("").into_iter().filter(|(name, _)| !name.ends_with(".lock")).collect()
}

/// What changes each file of a desk.
const CHANGES: [(&str, &[&str]); 5] = [
    ("boat.yaml", &SAIL),
    ("boat.yaml", &TAKE),
    ("sailed.csv", &NOTE),
    ("boat.editions.yaml", &["reissue", "--date", "2026-06-01"]),
    ("printers.yaml", &SET),
];

#[test]
fn of_twenty_printers_set_at_once_each_is_kept() {
    let desk = Desk::new();
    let set = |number: usize| {
        let name = format!("printer-{number}");
        let mut command = desk.command(&["printer", "set", &name, "--across", "180", "--along", "250"]);
        command.arg("--readings=printers.yaml").stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
        command.spawn().expect("a run")
    };
    let runs: Vec<Child> = (0..PRINTERS).map(set).collect();
    for run in runs {
        let output = run.wait_with_output().expect("an end");
        assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    }
    let kept = desk.read("printers.yaml");
    let missing: Vec<usize> = (0..PRINTERS).filter(|n| !kept.contains(&format!("name: printer-{n}\n"))).collect();
    assert!(missing.is_empty(), "said to be kept, and not there: {missing:?}\n{kept}");
}

#[test]
fn a_new_book_is_written_whole_or_not_at_all_and_never_over_anything() {
    let desk = Desk::new();
    // In blocks of 512 bytes; the starter book has more.
    let output = desk.shell(&format!("trap '' XFSZ; ulimit -f 1; exec '{PROGRAM}' new"));
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    assert!(desk.files("").is_empty(), "{:?}", desk.files("").keys());

    symlink("nowhere.yaml", desk.path("link.yaml")).expect("a link");
    desk.write("there.yaml", "mine");
    for name in ["link.yaml", "there.yaml"] {
        let (code, said) = desk.tried(&["new", name]);
        assert!(code == Some(2) && said.contains("there already"), "{said}");
    }
    assert_eq!(desk.read("there.yaml"), "mine");
    assert!(!desk.path("nowhere.yaml").exists());
    desk.done(&["new"]);
    desk.done(&["check"]);
    let names: Vec<String> = desk.files("").into_keys().collect();
    assert_eq!(names, ["boat.yaml", "cockpit-cards.schema.json", "link.yaml", "there.yaml"]);
}

#[test]
fn damaged_editions_are_told_before_a_book_is_changed_and_not_after() {
    let desk = whole();
    desk.write("boat.editions.yaml", "editions: 1\n");
    let before = files(&desk);
    for change in [&SAIL[..], &TAKE] {
        let (code, said) = desk.tried(change);
        assert!(
            code == Some(2) && said.contains("boat.editions.yaml") && !said.contains("added"),
            "{change:?}: {said}"
        );
        assert!(files(&desk) == before, "{change:?}");
    }
}

#[test]
fn a_file_that_is_marked_read_only_is_not_replaced_whoever_runs_this() {
    let desk = whole();
    change_book(&desk);
    for (name, change) in CHANGES {
        set_mode(&desk, name, 0o444);
        let before = files(&desk);
        let (code, said) = desk.tried(change);
        assert_eq!(code, Some(2), "{change:?}: {said}");
        assert!(said.contains(&format!("{name} is marked read-only")), "{change:?}: {said}");
        assert!(files(&desk) == before, "{change:?}");
        set_mode(&desk, name, 0o644);
    }
}

#[test]
fn a_file_keeps_who_may_read_it_and_whose_it_is() {
    const ANYBODY: u32 = 12_345;
    let desk = whole();
    change_book(&desk);
    let is_root = fs::metadata(desk.0.path()).expect("a folder").uid() == 0;
    for (name, change) in CHANGES {
        set_mode(&desk, name, 0o600);
        if is_root {
            chown(desk.path(name), Some(ANYBODY), Some(ANYBODY)).expect("an owner");
        }
        let before = desk.read(name);
        desk.done(change);
        assert!(desk.read(name) != before || name == "printers.yaml", "{change:?}");
        assert_eq!(mode(&desk, name), 0o600, "{change:?}");
        if is_root {
            let now = fs::metadata(desk.path(name)).expect("a file");
            assert_eq!((now.uid(), now.gid()), (ANYBODY, ANYBODY), "{change:?}");
        }
    }
}

#[test]
fn a_dry_run_makes_no_lock_and_ends_as_the_run_itself_would() {
    let desk = Desk::new();
    desk.write("boat.yaml", &SOUND.replace("spacing: 25 mm", "spacing: 10 mm"));
    let dry = [&RELEASE[..], &["--dry-run"]].concat();
    let said = desk.done(&dry);
    assert!(said.contains("A dry run: nothing was written"), "{said}");
    let names: Vec<String> = desk.files("").into_keys().collect();
    assert_eq!(names, ["boat.yaml"]);

    // Where no lock can be had, it has no need of one.
    fs::create_dir(desk.path(".boat.editions.lock")).expect("a folder");
    let said = desk.done(&dry);
    assert!(!said.contains("error"), "{said}");
    fs::remove_dir(desk.path(".boat.editions.lock")).expect("a folder");

    desk.done(&RELEASE);
    set_mode(&desk, "boat.editions.yaml", 0o444);
    change_book(&desk);
    for release in [&["reissue", "--date", "2026-06-01"][..], &["reissue", "--date", "2026-04-01"]] {
        let (code, said) = desk.tried(&[release, &["--dry-run"]].concat());
        assert_eq!((code, said), desk.tried(release));
        assert_eq!(code, Some(2));
    }
}

#[test]
fn a_dry_run_is_refused_the_day_that_the_run_itself_is_refused() {
    let desk = whole();
    change_book(&desk);
    let early = ["reissue", "--date", "2026-04-01"];
    let (code, said) = desk.tried(&[&early[..], &["--dry-run"]].concat());
    assert!(code == Some(2) && said.contains("--force-date"), "{said}");
    assert_eq!((code, said), desk.tried(&early));
}
