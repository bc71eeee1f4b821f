//! A machine that gives less than usual: no threads, no room for a file to grow, nobody at the other end of the words. And a
//! terminal that is told names which are more than names. Whatever it is, the exit code is as promised and nothing panics.
#![cfg(unix)]

use std::fs;
use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _};
use std::process::{Command, Output, Stdio};

use crate::desk::{Desk, PROGRAM, said};
use crate::reading::SOUND;

/// Turns letters red and gives a terminal's window another title; the second is the same in one letter (ECMA-48, C1).
const ESCAPES: [&str; 2] = ["\u{1b}[31mX\u{1b}]0;mine\u{7}", "\u{9b}31mX\u{202e}"];

/// A desk with an example that has more than a few cards, its notes, and two small books.
fn desk() -> Desk {
    let desk = Desk::new();
    for file in ["full.yaml", "full-sailed.csv", "imperial.yaml", "imperial-genoa.csv"] {
        let from = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/").to_owned() + file;
        desk.write(file, &fs::read_to_string(from).expect("an example"));
    }
    desk
}

/// Runs a command with no thread but its own; the limit does not bind root.
fn without_threads(desk: &Desk, arguments: &str) -> Output {
    const NOBODY: u32 = 54_321;
    fs::set_permissions(&desk.0, fs::Permissions::from_mode(0o777)).expect("a mode");
    let is_root = fs::metadata(desk.0.path()).expect("a folder").uid() == 0;
    let drop =
        if is_root { format!("setpriv --reuid={NOBODY} --regid={NOBODY} --clear-groups") } else { String::new() };
    desk.shell(&format!("exec {drop} bash -c \"ulimit -u 1; exec '{PROGRAM}' {arguments}\""))
}

#[test]
fn a_machine_that_gives_no_threads_gets_the_same_files_and_words() {
    let desk = desk();
    for (command, folder) in [("build full.yaml --out", "one"), ("build . --out", "many")] {
        let usual: Vec<&str> = command.split(' ').collect();
        let with_threads = desk.done(&[&usual[..], &[&format!("{folder}-a")]].concat());
        let output = without_threads(&desk, &format!("{command} {folder}-b"));
        assert_eq!(output.status.code(), Some(0), "{command}: {}", said(&output));
        assert_eq!(said(&output), with_threads.replace(&format!("{folder}-a"), &format!("{folder}-b")));
        assert!(desk.files(&format!("{folder}-a")) == desk.files(&format!("{folder}-b")));
    }
    for (command, code) in
        [("check .", 0), ("reissue full.yaml --out c", 0), ("sailed compare --book full.yaml", 0), ("due full.yaml", 0)]
    {
        let output = without_threads(&desk, command);
        assert_eq!(output.status.code(), Some(code), "{command}: {}", said(&output));
        assert!(!said(&output).contains("panicked"), "{command}: {}", said(&output));
    }
}

#[test]
fn a_file_that_grows_past_its_limit_is_an_error_in_words_and_not_the_end_of_the_process() {
    let desk = desk();
    desk.write("boat.yaml", &format!("{SOUND}sailed: {{file: sailed.csv, time_zone: Europe/Copenhagen}}\n"));
    desk.done(&["sailed", "add", "j1-upwind", "9", "backstay=2"]);
    let grown = desk.read("sailed.csv") + &"# a remark\n".repeat(500);
    desk.write("sailed.csv", &grown);
    let before = desk.files("");
    for command in [
        "build full.yaml",
        "build .",
        "reissue full.yaml",
        "new other.yaml",
        "sailed add j1-upwind 10 backstay=2",
        "sailed blank",
        "printer page",
        "strip --marks 0..8 --spacing 20mm --output s.pdf",
    ] {
        // In blocks of 512 bytes.
        let output = desk.shell(&format!("ulimit -f 1; exec '{PROGRAM}' {command}"));
        assert_eq!(output.status.code(), Some(1), "{command}: {}", said(&output));
        assert!(said(&output).contains("File too large"), "{command}: {}", said(&output));
    }
    let after = desk.files("").into_iter().filter(|(name, _)| !name.ends_with(".lock") && !name.ends_with('/'));
    let before: Vec<_> = before.into_iter().filter(|(name, _)| !name.ends_with(".lock")).collect();
    assert!(after.collect::<Vec<_>>() == before, "{:?}", desk.files("").keys());
}

#[test]
fn where_nobody_can_be_told_the_exit_code_says_it() {
    let desk = desk();
    for command in [
        "--help",
        "--version",
        "build --help",
        "schema",
        "completions bash",
        "check full.yaml",
        "check --json full.yaml",
    ] {
        let output = desk.shell(&format!("exec '{PROGRAM}' {command} >/dev/full"));
        assert_eq!(output.status.code(), Some(1), "{command}: {}", said(&output));
        assert!(said(&output).contains("standard output"), "{command}: {}", said(&output));
        let output = desk.shell(&format!("exec '{PROGRAM}' {command} >/dev/full 2>&1"));
        assert_eq!(output.status.code(), Some(1), "{command}");
        let output = desk.shell(&format!("exec '{PROGRAM}' {command} >&- 2>&- <&-"));
        assert_eq!(output.status.code(), Some(0), "{command}");
        // A reader who has seen enough.
        let output = desk.shell(&format!("('{PROGRAM}' {command}; echo $? >code) | true"));
        assert!(output.status.success());
        assert_eq!(desk.read("code"), "0\n", "{command}");
    }
    for command in ["bogus", "check --bogus", "check nowhere.yaml"] {
        let output = desk.shell(&format!("exec '{PROGRAM}' {command} 2>/dev/full"));
        assert_eq!(output.status.code(), Some(2), "{command}");
    }
}

/// Everything that stands in the way of a terminal's own: escapes, and what shows nothing.
fn upsets(bytes: &[u8]) -> Option<char> {
    let text = String::from_utf8_lossy(bytes);
    text.chars().find(|c| (c.is_control() && !matches!(c, '\n' | '\t')) || *c == '\u{202e}')
}

#[test]
fn no_name_and_no_path_reaches_a_terminal_with_more_in_it_than_letters() {
    for escape in ESCAPES {
        let desk = desk();
        let book = format!("{escape}.yaml");
        desk.write(&book, &SOUND.replace("spacing: 25 mm", "spacing: 10 mm"));
        let bad = format!("all/bad{escape}.yaml");
        desk.write(&bad, &format!("{SOUND}oops: 1\n"));
        desk.write(&format!("all/good{escape}.yaml"), SOUND);
        let (out, flag) = (format!("out{escape}"), format!("--{escape}"));
        let commands: [&[&str]; 30] = [
            &["check", &book],
            &["check", &bad],
            &["check", "all"],
            &["check", &bad, "--json"],
            &["check", escape],
            &["build", &book, "--out", &out],
            &["build", "all", "--out", &out],
            &["build", "full.yaml", "--only", escape],
            &["build", "--paper", escape],
            &["due", &book],
            &["due", &book, "--stamp", escape],
            &["show", &book, "--wind", "12"],
            &["show", &book, "--wind", escape],
            &["explain", "strip", &book],
            &["explain", escape, &book],
            &["reissue", &book, "--out", &out, "--dry-run"],
            &["reissue", &book, "--out", &out],
            &["reissue", "--date", escape],
            &["sail", "add", &book, "--id", "j9", "--kind", "headsail"],
            &["sail", "add", &book, "--id", escape, "--kind", "headsail"],
            &["sailed", "add", "j1-upwind", escape, "--book", &book],
            &["sailed", "compare", "--book", "full.yaml", "--log", escape],
            &["sailed", "blank", "--book", &book, "--out", &out],
            &["printer", "page", "-o", &out],
            &["printer", "set", escape, "--across", "180", "--along", "250", "--readings", &out],
            &["printer", "list", "--readings", &book],
            &["new", &book],
            &["new", &out],
            &["strip", "--marks", escape, "--spacing", "20 mm"],
            &["check", &flag],
        ];
        for command in commands {
            let output = desk.command(command).stdin(Stdio::null()).output().expect("a run");
            let bytes = [&output.stdout[..], &output.stderr].concat();
            assert_eq!(upsets(&bytes), None, "{command:?}: {}", said(&output).escape_debug());
            assert!(matches!(output.status.code(), Some(0..=3)), "{command:?}: {}", said(&output));
        }
        // On a terminal there are colours, and they are ours: none is the name's, and no title.
        for command in [&["check", &bad][..], &["build", "all", "--out", &out], &["check", &flag], &["bogus", escape]] {
            let words: Vec<String> = command.iter().map(|word| format!("'{word}'")).collect();
            let run = format!("'{PROGRAM}' {}", words.join(" "));
            let mut terminal = Command::new("script");
            terminal.args(["-qec", &run, "/dev/null"]).current_dir(&desk.0).stdin(Stdio::null());
            let output = terminal.output();
            let text = said(&output.expect("a terminal (script, of util-linux)"));
            let told = text.contains("mine\u{7}")
                || text.contains("[31mX\u{1b}")
                || text.contains('\u{9b}')
                || text.contains('\u{202e}');
            assert!(!told, "{command:?}: {}", text.escape_debug());
        }
    }
}

#[test]
fn in_json_a_name_stays_what_it_is_and_has_no_more_in_it_than_letters() {
    let desk = Desk::new();
    for escape in ESCAPES {
        let bad = format!("bad{escape}.yaml");
        desk.write(&bad, &format!("{SOUND}oops: 1\n"));
        let output = desk.run(&["check", &bad, "--json"]);
        assert_eq!(upsets(&output.stdout), None);
        let problems: serde_json::Value = serde_json::from_slice(&output.stdout).expect("JSON");
        assert_eq!(problems[0]["file"], bad);
    }
}

/// A race of so many watches of a minute, with sixty people who take turns.
fn minutes(watches: usize) -> String {
    let people: Vec<String> = (0..60).map(|nth| format!("P{nth}")).collect();
    let finish = format!("2027-06-{:02} {:02}:{:02}", 1 + watches / 1_440, watches / 60 % 24, watches % 60);
    format!(
        "book: 1\nboat: {{name: Tansy}}\ncontrols: {{}}\nwatches: {{start: 2027-06-01 00:00, finish: {finish}, time_zone: UTC, \
         least_on_deck: 1, lengths: [1 min], rolling: {{people: [{}], on_deck: 30, changing: 1}}}}\n",
        people.join(", ")
    )
}

#[test]
fn the_longest_watch_plan_is_worked_out_once_and_a_longer_one_not_at_all() {
    // Of the processor's own seconds and of memory, several times what it takes without optimisation; each card with a plan of its own
    // takes ten times that.
    const BOUNDS: &str = "ulimit -t 30; ulimit -v 700000";
    let desk = Desk::new();
    desk.write("longest.yaml", &minutes(3_000));
    desk.write("longer.yaml", &minutes(3_001));
    let output = desk.shell(&format!("{BOUNDS}; exec '{PROGRAM}' check longest.yaml"));
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    let output = desk.shell(&format!("{BOUNDS}; exec '{PROGRAM}' check longer.yaml"));
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(said(&output).contains("more than 3000 watches"), "{}", said(&output));
}

/// What a refusal may take of the processor's own seconds and of memory, in kilobytes; it takes a twentieth of that without optimisation.
const QUICKLY: &str = "ulimit -t 4; ulimit -v 700000";

#[test]
fn watches_are_counted_before_anyone_is_put_into_them() {
    let desk = Desk::new();
    let two_years = minutes(3_000).replace("finish: 2027-06-03 02:00", "finish: 2029-06-01 00:00");
    assert!(two_years.contains("finish: 2029"), "{two_years}");
    desk.write("boat.yaml", &two_years);
    let output = desk.shell(&format!("{QUICKLY}; exec '{PROGRAM}' check"));
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(said(&output).contains("more than 3000 watches"), "{}", said(&output));
}

#[test]
fn cards_are_counted_as_they_are_asked_for_and_not_once_all_are_made() {
    let desk = Desk::new();
    let controls: String =
        (0..300).map(|nth| format!("  c{nth}: {{scale: {{marks: 0..4, spacing: 20 mm}}}}\n")).collect();
    let cards = "  - {kind: strip}\n".repeat(1_000);
    desk.write("boat.yaml", &format!("book: 1\nboat: {{name: Tansy}}\ncontrols:\n{controls}cards:\n{cards}"));
    let output = desk.shell(&format!("{QUICKLY}; exec '{PROGRAM}' check"));
    assert_eq!(output.status.code(), Some(2), "{}", said(&output));
    assert!(said(&output).contains("more than 1000 cards and strips"), "{}", said(&output));
}
