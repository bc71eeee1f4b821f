//! What cannot be made again is flushed to the disk, and what can is not: seen in the system calls of the program.
#![cfg(target_os = "linux")]

use std::io::ErrorKind;
use std::path::Path;
use std::process::{Command, Stdio};

use crate::desk::{Desk, PROGRAM};

/// Every call by which a program makes something safe on the disk.
const CALLS: &str = "trace=fsync,fdatasync,sync,syncfs,sync_file_range,msync";
/// How the name of the folder begins in which a file is made before it is moved to its place.
const IN_THE_MAKING: &str = ".cockpit-cards-";

/// What a run flushed: files in their order, named by the folder they were to be moved into, and folders.
#[derive(Debug, Default)]
struct Flushed {
    files: Vec<String>,
    folders: Vec<String>,
}

/// What a command flushes, relative to the desk; `None`, and it is said, if there is no strace to see it by.
fn flushed(desk: &Desk, arguments: &[&str]) -> Option<Flushed> {
    let run = Command::new("strace")
        .args(["-f", "-qq", "-y", "-e", CALLS, "-o", "trace", PROGRAM])
        .args(arguments)
        .current_dir(&desk.0)
        .stdin(Stdio::null())
        .output();
    let output = match run {
        Err(error) if error.kind() == ErrorKind::NotFound => {
            eprintln!("SKIPPED, NOTHING IS SHOWN: there is no strace on this machine");
            return None;
        }
        output => output.expect("a run"),
    };
    assert_eq!(output.status.code(), Some(0), "{arguments:?}: {}", crate::desk::said(&output));
    let root = desk.0.path().canonicalize().expect("a folder");
    let mut flushed = Flushed::default();
    for line in desk.read("trace").lines().filter(|line| line.contains("sync(")) {
        let path = line.split_once('<').and_then(|(_, rest)| rest.split_once('>')).expect("the path of a descriptor").0;
        // The folder in which it was made is gone by now.
        let path = Path::new(path.trim_end_matches(" (deleted)")).strip_prefix(&root).expect("on the desk");
        let parts: Vec<String> = path.iter().map(|part| part.to_string_lossy().into_owned()).collect();
        match parts.iter().position(|part| part.starts_with(IN_THE_MAKING)) {
            Some(at) => flushed.files.push(parts[..at].join("/")),
            None => flushed.folders.push(parts.join("/")),
        }
    }
    flushed.folders.sort();
    flushed.folders.dedup();
    Some(flushed)
}

/// A desk with a boat's book, an example with notes, and two small books.
fn desk() -> Desk {
    let desk = Desk::new();
    for file in ["full.yaml", "full-sailed.csv", "smallest.yaml"] {
        let from = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(file);
        desk.write(file, &std::fs::read_to_string(from).expect("an example"));
    }
    desk.done(&["new", "boat.yaml", "--boat", "Tansy"]);
    desk.write("fleet/one.yaml", &desk.read("smallest.yaml"));
    desk.write("fleet/two.yaml", &desk.read("smallest.yaml"));
    desk
}

#[test]
fn what_can_be_built_again_is_not_flushed() {
    let desk = desk();
    for command in [
        "build full.yaml --png --out out",
        "build fleet --out fleet-out",
        "strip --marks 0..8 --spacing 20mm --output outhaul.pdf",
        "sailed blank --book full.yaml --out blank",
    ] {
        let arguments: Vec<&str> = command.split(' ').collect();
        let Some(flushed) = flushed(&desk, &arguments) else { return };
        assert!(flushed.files.is_empty() && flushed.folders.is_empty(), "{command}: {flushed:?}");
    }
}

#[test]
fn a_reissue_is_on_the_disk_before_its_editions_say_so() {
    let desk = desk();
    let arguments = ["reissue", "boat.yaml", "--date", "2027-05-01", "--out", "new/print"];
    let Some(flushed) = flushed(&desk, &arguments) else { return };
    assert_eq!(flushed.files, ["new/print", ""], "the PDF, and then the editions beside the book");
    assert_eq!(flushed.folders, ["", "new", "new/print"], "and each folder that something new is in");
}

#[test]
fn what_was_written_by_hand_is_flushed_with_its_folder() {
    let desk = desk();
    for command in [
        "sail add boat.yaml --id j9 --kind headsail --wind 20..34",
        "sailed add j1-upwind 12 backstay=2 fast --book full.yaml",
        "sailed adopt j1-upwind 10 jib_halyard=3 --book full.yaml",
        "printer set office --across 179.4 --along 250.9 --readings printers.yaml",
        "new another.yaml --boat Tansy",
    ] {
        let arguments: Vec<&str> = command.split(' ').collect();
        let Some(flushed) = flushed(&desk, &arguments) else { return };
        assert!(!flushed.files.is_empty() && flushed.files.iter().all(String::is_empty), "{command}: {flushed:?}");
        assert_eq!(flushed.folders, [""], "{command}: the renaming lasts, too");
    }
}
