//! Notes are written down one line at a time: nothing that stands in the file is touched, whoever else writes and whatever kills.
//!
//! ```sh
//! SAILED_KILLS=200 cargo test --test commands sailed::
//! ```
#![cfg(unix)]

use crate::reading::SOUND;

use std::fs;
use std::hash::{BuildHasher as _, Hasher as _, RandomState};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

use cockpit_cards::book::{self, Book, NoteColumn, NoteField, notes};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::season::{Note, Noted, Reading, Verdict};
use proptest::prelude::*;

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_cockpit-cards");
/// Runs that are killed in a run of all tests; `SAILED_KILLS` asks for more.
const KILLS: usize = 10;
const WHEN: [&str; 2] = ["--when", "2027-06-12 14:02"];

/// A folder with a book in it, and the program.
pub struct Aboard(pub tempfile::TempDir);

impl Aboard {
    pub fn new(book: &str, notes: Option<&str>) -> Self {
        let aboard = Aboard(tempfile::tempdir().expect("a folder"));
        fs::write(aboard.path("boat.yaml"), book).expect("a book");
        if let Some(notes) = notes {
            fs::write(aboard.path("sailed.csv"), notes).expect("notes");
        }
        aboard
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    pub fn read(&self, name: &str) -> String {
        fs::read_to_string(self.path(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(PROGRAM);
        command.arg("sailed").args(arguments).current_dir(&self.0).stdin(Stdio::null());
        command
    }

    pub fn run(&self, arguments: &[&str]) -> (Option<i32>, String) {
        said(&self.command(arguments).output().expect("a run"))
    }

    fn added(&self, arguments: &[&str]) -> String {
        let (code, said) = self.run(&[&["add"], arguments].concat());
        assert_eq!(code, Some(0), "{arguments:?}: {said}");
        said
    }

    pub fn notes(&self) -> Vec<Note> {
        let loaded = book::from_path(&self.path("boat.yaml"), has_glyph).expect("a book");
        assert!(loaded.is_sound(), "{:?}", loaded.problems);
        loaded.book.and_then(|book| book.sailed.clone()).map(|sailed| sailed.notes).unwrap_or_default()
    }
}

pub fn said(output: &Output) -> (Option<i32>, String) {
    let text = String::from_utf8_lossy(&[&output.stdout[..], &output.stderr].concat()).into_owned();
    (output.status.code(), text)
}

pub fn named() -> String {
    format!("{SOUND}sailed: {{file: sailed.csv, time_zone: Europe/Copenhagen}}\n")
}

const NOTES: &str = "settings,wind,backstay,verdict\nj1-upwind,9,2,fast\n";

#[test]
fn the_first_note_starts_the_file_with_every_column_and_names_it_in_the_book() {
    let aboard = Aboard::new(SOUND, None);
    let said = aboard.added(&[
        "j1-upwind",
        "12",
        "backstay=4½",
        "lead=12..13",
        "fast",
        "--who",
        "Bo",
        WHEN[0],
        WHEN[1],
        "--time-zone",
        "Europe/Copenhagen",
    ]);
    assert!(said.contains("sailed.csv, line 2"), "{said}");
    assert_eq!(
        aboard.read("sailed.csv"),
        "when,until,settings,wind,angle,sea,below,helm,trial,backstay,lead,vang,speed,verdict,who,note,found\n\
         2027-06-12 14:02,,j1-upwind,12,,,,,,4½,12..13,,,fast,Bo,,\n"
    );
    assert_eq!(
        aboard.read("boat.yaml"),
        format!("{SOUND}sailed:\n  file: sailed.csv\n  time_zone: Europe/Copenhagen\n")
    );
    let [note] = &aboard.notes()[..] else { panic!("one note") };
    assert_eq!((note.verdict, note.who.as_deref(), note.readings.len()), (Some(Verdict::Fast), Some("Bo"), 2));
}

#[test]
fn a_book_with_watches_lends_its_clock_and_one_without_has_to_be_told() {
    let aboard = Aboard::new(SOUND, None);
    let (code, said) = aboard.run(&["add", "j1-upwind", "12", "fast"]);
    assert_eq!(code, Some(2), "{said}");
    assert!(said.contains("--time-zone"), "{said}");
    assert!(!aboard.path("sailed.csv").exists() && aboard.read("boat.yaml") == SOUND, "nothing was written");
    let watches = "watches: {start: 2027-06-12 18:40, finish: 2027-06-13 22:00, time_zone: Europe/Lisbon, \
                   least_on_deck: 1, lengths: [4 h], teams: {red: [Ada], blue: [Bo]}}\n";
    let aboard = Aboard::new(&format!("{SOUND}{watches}"), None);
    aboard.added(&["j1-upwind", "12", "fast", WHEN[0], WHEN[1]]);
    // Lisbon keeps summer time in June, an hour before UTC.
    assert_eq!(aboard.notes()[0].when.expect("a time").to_string(), "2027-06-12T13:02:00Z");
}

#[test]
fn a_note_is_dated_to_this_minute_unless_its_time_is_given_or_left_out() {
    let aboard = Aboard::new(&named(), None);
    aboard.added(&["j1-upwind", "12", "ok"]);
    aboard.added(&["j1-upwind", "12", "ok", "--when", "-"]);
    let notes = aboard.notes();
    let ago = jiff::Timestamp::now().duration_since(notes[0].when.expect("a time"));
    assert!((0..180).contains(&ago.as_secs()), "{ago:?}");
    assert_eq!(notes[1].when, None);
}

#[test]
fn a_line_is_written_in_the_form_of_the_file() {
    let semicolons = "\u{FEFF}sep=;\r\nwind;settings;jib lead;Backstay;verdict;note\r\n9,5;j1-upwind;;2;fast;\r\n";
    let book = named().replace("  lead:\n    higher_is: aft\n", "  lead:\n    name: Jib lead\n    higher_is: aft\n");
    let aboard = Aboard::new(&book, Some(semicolons));
    aboard.added(&["j1-upwind", "12,5", "lead=14", "backstay=2½", "slow", "--note", "wet; very", "--when", "-"]);
    assert_eq!(aboard.read("sailed.csv"), format!("{semicolons}12,5;j1-upwind;14;2½;slow;\"wet; very\"\r\n"));
    // A last line without an end gets one first.
    let bare = NOTES.trim_end();
    let aboard = Aboard::new(&named(), Some(bare));
    aboard.added(&["j1-upwind", "11", "backstay=3", "--when", "-"]);
    assert_eq!(aboard.read("sailed.csv"), format!("{bare}\nj1-upwind,11,3,\n"));
}

#[test]
fn what_was_set_on_both_sides_goes_into_both_columns() {
    let lead = "  lead:\n    higher_is: aft\n";
    let book = named().replace(lead, &format!("{lead}    strip: {{place: track, sides: both}}\n"));
    let aboard = Aboard::new(&book, None);
    aboard.added(&["j1-upwind", "12", "lead=14", "--when", "-"]);
    aboard.added(&["j1-upwind", "12", "lead_port=13", "lead starboard=14", "--when", "-"]);
    let lines: Vec<String> = aboard.read("sailed.csv").lines().skip(1).map(str::to_owned).collect();
    assert!(lines[0].contains(",14,14,") && lines[1].contains(",13,14,"), "{lines:?}");
    let sided = aboard.notes().iter().all(|note| matches!(note.readings[0].1, Noted::Sides { .. }));
    assert!(sided);
}

#[test]
fn where_starboard_reads_otherwise_one_reading_is_that_of_port() {
    use cockpit_cards::book::{Difference, Offset, Place, Sections, SourceId, Spanned};
    let mut sections: Sections = (*sound()).clone();
    let place = Place { source: SourceId(0), bytes: 0..0 };
    let a_mark = Offset::new(1.0, &sections.controls[1].scale).expect("a mark");
    let higher = Spanned { value: a_mark, place };
    sections.controls[1].difference = Some(Difference { starboard: Some(higher) });
    let values = [(NoteColumn::Control(1, None), "13..14".to_owned())];
    let text = notes::with_line("", &values, &sections).expect("it has these columns");
    assert!(text.contains(",lead port,lead starboard,") && text.contains(",13..14,14..15,"), "{text}");
    let played = Reading { least: 13.0, greatest: 14.0 };
    let higher = Reading { least: 14.0, greatest: 15.0 };
    let both = notes::on_both_sides(&sections.controls[1], played);
    assert_eq!(both, Noted::Sides { port: Some(played), starboard: Some(higher) });
    assert_eq!(notes::on_both_sides(&sections.controls[0], played), Noted::One(played));
}

#[test]
fn whatever_cannot_be_noted_is_refused_and_the_file_stays_as_it_is() {
    let aboard = Aboard::new(&named(), Some(NOTES));
    for (arguments, words) in [
        (&["j1-upwnd", "12"][..], "did you mean `j1-upwind`?"),
        (&["j1-upwind", "12 bar"], "12 bar"),
        (&["j1-upwind", "12", "bakstay=4"], "did you mean `backstay`?"),
        (&["j1-upwind", "12", "backstay=9"], "it runs from 0 to 8"),
        (&["j1-upwind", "12", "quick"], "write a control with its reading"),
        (&["j1-upwind", "12", "fast", "slow"], "say each thing once"),
        (&["j1-upwind", "12", "lead=12"], "at the end of the first line"),
        (&["j1-upwind", "12", "--who", "Bo"], "no column for `who`"),
        (&["j1-upwind", "12", "--when", "yesterday"], "`when`"),
    ] {
        let undated = if arguments.contains(&"--when") { &[][..] } else { &["--when", "-"] };
        let (code, said) = aboard.run(&[&["add"], arguments, undated].concat());
        assert_eq!(code, Some(2), "{arguments:?}: {said}");
        assert!(said.contains(words), "{arguments:?}: {said}");
        assert_eq!(aboard.read("sailed.csv"), NOTES, "{arguments:?}");
    }
    // A quotation mark that is left open would swallow the line.
    let open = format!("{NOTES}j1-upwind,9,2,\"fast\n");
    let aboard = Aboard::new(&named(), Some(&open));
    let (code, said) = aboard.run(&["add", "j1-upwind", "12", "backstay=3", "--when", "-"]);
    assert_eq!(code, Some(2), "{said}");
    assert_eq!(aboard.read("sailed.csv"), open);
}

#[test]
fn a_file_that_is_there_already_goes_on_where_it_ends() {
    // Killed between the file and the book: the next note finds the one and names it in the other.
    let aboard = Aboard::new(SOUND, Some(NOTES));
    aboard.added(&["j1-upwind", "12", "backstay=3", "--when", "-", "--time-zone", "Europe/Copenhagen"]);
    assert_eq!(aboard.notes().len(), 2);
    assert!(aboard.read("sailed.csv").starts_with(NOTES));
}

#[test]
fn a_link_stays_a_link_and_permissions_stay() {
    use std::os::unix::fs::{PermissionsExt as _, symlink};
    let aboard = Aboard::new(&named(), None);
    let real = aboard.path("real.csv");
    fs::write(&real, NOTES).expect("notes");
    fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).expect("permissions");
    symlink(&real, aboard.path("sailed.csv")).expect("a link");
    aboard.added(&["j1-upwind", "12", "backstay=3", "--when", "-"]);
    assert!(fs::symlink_metadata(aboard.path("sailed.csv")).expect("a link").is_symlink());
    assert!(fs::read_to_string(&real).expect("notes").starts_with(NOTES));
    assert_eq!(fs::metadata(&real).expect("a file").permissions().mode() & 0o777, 0o640);
}

#[test]
fn of_many_at_once_each_waits_and_no_line_is_lost() {
    const AT_ONCE: usize = 12;
    let aboard = Aboard::new(SOUND, None);
    let spawn = |nth: usize| {
        let who = format!("hand {nth}");
        let arguments = ["add", "j1-upwind", "12", "ok", WHEN[0], WHEN[1], "--who", &who, "--time-zone", "Europe/Oslo"];
        aboard.command(&arguments).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().expect("a run")
    };
    let runs: Vec<Child> = (0..AT_ONCE).map(spawn).collect();
    for run in runs {
        let (code, said) = said(&run.wait_with_output().expect("an end"));
        assert_eq!(code, Some(0), "{said}");
    }
    let mut who: Vec<String> = aboard.notes().into_iter().filter_map(|note| note.who).collect();
    who.sort();
    let mut wanted: Vec<String> = (0..AT_ONCE).map(|nth| format!("hand {nth}")).collect();
    wanted.sort();
    assert_eq!(who, wanted);
    assert_eq!(aboard.read("boat.yaml").matches("sailed:").count(), 1);
}

/// What a person types on a terminal, and what comes of it.
pub fn on_a_terminal(aboard: &Aboard, arguments: &str, typed: &str) -> String {
    let command = format!("'{PROGRAM}' sailed {arguments}");
    let mut run = Command::new("script")
        .args(["-qec", &command, "/dev/null"])
        .current_dir(&aboard.0)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .spawn()
        .expect("a terminal (script, of util-linux)");
    std::io::Write::write_all(&mut run.stdin.take().expect("its keyboard"), typed.as_bytes()).expect("keys");
    let (code, said) = said(&run.wait_with_output().expect("an end"));
    assert_eq!(code, Some(0), "{said}");
    said
}

#[test]
fn on_a_terminal_each_control_is_asked_for_with_what_the_card_says_and_enter_takes_that() {
    let aboard = Aboard::new(&named(), None);
    // Enter for the backstay; a lead that is none, then one; the vang was not noted; no speed; fast; Bo; no more.
    let said = on_a_terminal(&aboard, "add j1-upwind 10 --when -", "\n99\n12..13\n-\n\nfast\nBo\n\n");
    assert!(said.contains("Backstay [2]") && said.contains("Lead [12]") && said.contains("Vang [snug]"), "{said}");
    assert!(said.contains("`99` is off the scale"), "{said}");
    let lines = aboard.read("sailed.csv");
    assert_eq!(lines.lines().nth(1), Some(",,j1-upwind,10,,,,,,2,12..13,,,fast,Bo,,"));
}

#[test]
fn the_card_to_write_on_is_printed_on_both_sides() {
    let aboard = Aboard::new(&named(), Some(NOTES));
    for arguments in [&["blank"][..], &["blank", "j1-upwind"], &["blank", "--paper", "letter", "--size", "A5"]] {
        let (code, said) = aboard.run(arguments);
        assert_eq!(code, Some(0), "{arguments:?}: {said}");
        assert!(said.starts_with("Chervil\n"), "what is printed about a boat begins with its name: {said}");
        let pdf = fs::read(aboard.path("out/notes-blank.pdf")).expect("a PDF");
        assert_eq!(crate::common::content::page_sizes(&pdf).len(), 2, "{arguments:?}");
        assert!(
            aboard.path("out/svg/notes-blank.svg").exists() && aboard.path("out/svg/notes-blank-back.svg").exists()
        );
    }
    let (code, said) = aboard.run(&["blank", "j1-upwnd"]);
    assert!(code == Some(2) && said.contains("did you mean `j1-upwind`?"), "{said}");
}

// Runs that were killed.

pub fn kills() -> usize {
    std::env::var("SAILED_KILLS").ok().and_then(|kills| kills.parse().ok()).unwrap_or(KILLS)
}

pub fn random(below: u64) -> u64 {
    RandomState::new().build_hasher().finish() % below.max(1)
}

/// Sleeping is too coarse here.
pub fn spin(time: Duration) {
    let begun = Instant::now();
    while begun.elapsed() < time {}
}

pub fn is_being_made(folder: &Path) -> bool {
    let names = fs::read_dir(folder).into_iter().flatten().flatten();
    names.into_iter().any(|entry| entry.file_name().to_string_lossy().starts_with(".cockpit-cards-"))
}

#[test]
fn a_note_killed_at_any_moment_leaves_the_old_file_or_the_new_one_whole() {
    let arguments = ["add", "j1-upwind", "12", "backstay=3", "fast", WHEN[0], WHEN[1], "--time-zone", "Europe/Oslo"];
    // With notes that the book names, and with none.
    let starts = [(named(), Some(FULL)), (SOUND.to_owned(), None)];
    let ends = starts.each_ref().map(|(book, notes)| {
        let aboard = Aboard::new(book, *notes);
        let begun = Instant::now();
        assert_eq!(aboard.run(&arguments).0, Some(0));
        (aboard.read("boat.yaml"), aboard.read("sailed.csv"), begun.elapsed())
    });
    let (mut old, mut new) = (0, 0);
    for kill in 0..kills() {
        let (book, notes) = &starts[kill % 2];
        let (new_book, new_notes, takes) = &ends[kill % 2];
        let aboard = Aboard::new(book, *notes);
        let mut run = aboard.command(&arguments).stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("a run");
        match kill % 3 {
            0 => std::thread::sleep(takes.mul_f64(random(1_000) as f64 / 1_000.0)),
            _ => {
                let begun = Instant::now();
                while begun.elapsed() < *takes && !is_being_made(aboard.0.path()) {}
                spin(Duration::from_micros(random(1_500)));
            }
        }
        let _ = run.kill();
        run.wait().expect("an end");
        let found = fs::read_to_string(aboard.path("sailed.csv")).ok();
        let is_old = found.as_deref() == *notes;
        assert!(is_old || found.as_deref() == Some(new_notes), "after {kill} kills: {found:?}");
        let book_after = aboard.read("boat.yaml");
        assert!(book_after == *book || book_after == *new_book, "after {kill} kills: {book_after}");
        // A book never names a file that is not there.
        assert!(!(is_old && notes.is_none()) || book_after == *book, "after {kill} kills");
        if is_old {
            old += 1
        } else {
            new += 1
        }
        // And the next run goes on from there.
        assert_eq!(aboard.run(&arguments).0, Some(0), "after {kill} kills");
        assert_eq!(
            aboard.notes().len(),
            if is_old { 1 } else { 2 } + usize::from(notes.is_some()),
            "after {kill} kills"
        );
    }
    eprintln!("of {} runs that were killed {old} had written nothing, {new} their line", old + new);
}

const FULL: &str = "\
when,until,settings,wind,angle,sea,below,helm,trial,backstay,lead,vang,speed,verdict,who,note,found\n\
2027-06-12 13:02,,j1-upwind,12,,,,,,4½,12..13,,,fast,Bo,,\n";

// Every other byte stays.

fn sound() -> Book {
    let loaded = book::from_text("boat.yaml", &named(), &|_| Some(NOTES.to_owned()), has_glyph);
    loaded.book.expect("a book")
}

prop_compose! {
    /// A file as people and spreadsheets leave it.
    fn a_file()(
        mark in prop_oneof![3 => Just(""), 1 => Just("\u{FEFF}")],
        separator in prop_oneof![3 => Just(""), 1 => Just("sep")],
        delimiter in prop_oneof![Just(","), Just(";"), Just("\t")],
        line in prop_oneof![Just("\n"), Just("\r\n")],
        lines in proptest::collection::vec(
            prop_oneof![
                Just("# for people"),
                Just(""),
                Just("j1-upwind|9|2|fast|a b"),
                Just("j1-upwind|9 kn|2½|\"slow\"|\"said \"\"no\"\"\""),
                Just("j1-upwind"),
                Just("j1-upwind||||||||"),
            ],
            0..6,
        ),
        ends in any::<bool>(),
    ) -> String {
        let first = if separator.is_empty() { String::new() } else { format!("sep={delimiter}{line}") };
        let header = "settings|wind|backstay|verdict|note";
        let lines: Vec<String> = std::iter::once(&header).chain(&lines).map(|cells| cells.replace('|', delimiter)).collect();
        format!("{mark}{first}{}{}", lines.join(line), if ends { line } else { "" })
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn one_more_note_leaves_every_byte_before_it_alone_and_is_read_as_it_was_meant(
        file in a_file(),
        remark in "[ -~½]{0,12}",
        wind in 5..20u32,
    ) {
        let remark = remark.trim().to_owned();
        let values = [
            (NoteColumn::Always(NoteField::Settings), "j1-upwind".to_owned()),
            (NoteColumn::Always(NoteField::Wind), wind.to_string()),
            (NoteColumn::Always(NoteField::Remark), remark.clone()),
        ];
        let changed = notes::with_line(&file, &values, &sound()).expect("it has these columns");
        prop_assert!(changed.starts_with(&file), "{:?}\n{:?}", file, changed);
        let read = |text: &str| {
            let loaded = book::from_text("boat.yaml", &named(), &|_| Some(text.to_owned()), has_glyph);
            loaded.book.expect("a book").sailed.clone().expect("notes").notes
        };
        let (before, after) = (read(&file), read(&changed));
        prop_assert_eq!(&after[..before.len()], &before[..]);
        prop_assert_eq!(after.len(), before.len() + 1);
        let last = &after[before.len()];
        prop_assert_eq!(last.remark.clone(), Some(remark).filter(|remark| !remark.is_empty() && remark != "~"));
        prop_assert_eq!(last.line, changed.lines().count());
        let line_break = if file.contains("\r\n") { "\r\n" } else { "\n" };
        prop_assert!(changed.ends_with(line_break));
    }
}
