//! A reissue releases all or nothing, whatever happens to the process, the disk or the clock, and prints just what changed.

use crate::common::tools;
use crate::reading;
#[allow(dead_code)]
use crate::swap::Swap;

use std::collections::hash_map::RandomState;
use std::fs;
use std::hash::{BuildHasher, Hasher};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

use cockpit_cards::editions::Editions;
use reading::spoilt;
use tempfile::TempDir;

/// A folder with a book in it.
struct Boat(TempDir);

impl Boat {
    fn with(text: &str) -> Boat {
        let boat = Boat(tempfile::tempdir().expect("a folder"));
        boat.write(text);
        boat
    }

    fn path(&self, name: &str) -> PathBuf {
        self.0.path().join(name)
    }

    fn write(&self, text: &str) {
        // The stories below follow one card of settings and the strips.
        let few = "cards: {all: true, except: [change-points]}\n";
        let text = if text.contains("\ncards:") { text.to_owned() } else { format!("{text}{few}") };
        fs::write(self.path("boat.yaml"), text).expect("the book");
    }

    fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_cockpit-cards"));
        command.args(arguments).current_dir(self.0.path());
        command
    }

    /// Runs a command; its exit code and all it said.
    fn run(&self, arguments: &[&str]) -> (i32, String) {
        said(&self.command(arguments).output().expect("a run"))
    }

    fn reissue(&self, date: &str) -> (i32, String) {
        self.run(&["reissue", "--date", date])
    }

    fn editions(&self) -> Editions {
        Editions::parse(&fs::read_to_string(self.path("boat.editions.yaml")).expect("editions")).expect("sound")
    }

    /// The editions file and the PDF.
    fn files(&self) -> [Vec<u8>; 2] {
        ["boat.editions.yaml", "out/reissue.pdf"].map(|name| fs::read(self.path(name)).unwrap_or_default())
    }

    /// Every file there is, but the lock and what a killed run left in the making.
    fn names(&self) -> Vec<String> {
        let mut names = Vec::new();
        for folder in ["", "out"] {
            for entry in fs::read_dir(self.path(folder)).into_iter().flatten().flatten() {
                names.push(entry.file_name().to_string_lossy().into_owned());
            }
        }
        names.retain(|name| !name.starts_with('.') && name != "out");
        names.sort();
        names
    }
}

fn said(output: &Output) -> (i32, String) {
    let text = [output.stdout.as_slice(), output.stderr.as_slice()].concat();
    (output.status.code().unwrap_or(-1), String::from_utf8_lossy(&text).into_owned())
}

/// A book whose strips fit A4.
fn book() -> String {
    spoilt("spacing: 25 mm", "spacing: 10 mm")
}

fn changed() -> String {
    book().swap("14: [4½, 14, hard]", "14: [4, 14, hard]")
}

#[test]
fn a_reissue_prints_what_changed_and_counts_it_and_nothing_is_due_after_it() {
    let boat = Boat::with(&book());
    assert_eq!(boat.run(&["due"]).0, 3);
    assert_eq!(boat.reissue("2027-05-01").0, 0);
    assert_eq!(boat.names(), ["boat.editions.yaml", "boat.yaml", "reissue.pdf"]);
    assert_eq!(boat.run(&["due"]).0, 0);

    boat.write(&changed());
    let (code, text) = boat.run(&["due"]);
    assert_eq!(code, 3);
    assert!(text.contains("j1-upwind") && text.contains("Backstay 4½ to 4") && !text.contains("strip-lead"), "{text}");
    let before = boat.files();
    let (code, text) = boat.run(&["reissue", "--date", "2027-06-01", "--dry-run"]);
    assert!(code == 0 && text.contains("j1-upwind"), "{text}");
    assert_eq!(boat.files(), before, "a dry run writes nothing");
    assert_eq!(boat.reissue("2027-06-01").0, 0);
    let editions = boat.editions();
    assert_eq!(editions.cards["j1-upwind"].releases.len(), 2);
    assert_eq!(editions.cards["strip-lead"].releases.len(), 1);
    assert_eq!(boat.run(&["due"]).0, 0);

    let old = &editions.cards["j1-upwind"].releases[0].stamp;
    let (code, text) = boat.run(&["due", "--stamp", old]);
    assert!(code == 3 && text.contains("superseded") && text.contains("edition 2, 2027-06-01"), "{text}");
    let new = &editions.cards["j1-upwind"].releases[1].stamp;
    let (code, text) = boat.run(&["due", "--stamp", new]);
    assert!(code == 0 && text.contains("current"), "{text}");
}

#[test]
fn the_file_of_a_reissue_has_one_page_size_and_the_slip_before_cards_and_strips() {
    let boat = Boat::with(&book());
    boat.reissue("2027-05-01");
    let pdf = lopdf::Document::load(boat.path("out/reissue.pdf")).expect("a PDF");
    let boxes: Vec<_> = pdf
        .page_iter()
        .map(|page| format!("{:?}", pdf.get_dictionary(page).and_then(|page| page.get(b"MediaBox")).expect("a box")))
        .collect();
    assert_eq!(boxes.len(), 3, "a slip, a page of cards, a page of strips");
    assert!(boxes.iter().all(|one| *one == boxes[0]), "{boxes:?}");
    let catalog = format!("{:?}", pdf.catalog().expect("a catalogue"));
    assert!(catalog.contains("PrintScaling"), "{catalog}");
}

#[test]
fn the_slip_says_what_to_bin_then_what_changed_then_what_is_new_and_what_to_keep() {
    let boat = Boat::with(&book());
    boat.reissue("2027-05-01");
    let old = boat.editions().cards["j1-upwind"].releases[0].stamp.clone();
    let outhaul = "controls:\n  outhaul: {scale: {marks: 0..6, spacing: 20 mm}}";
    boat.write(&changed().swap("controls:\n  backstay", &format!("{outhaul}\n  backstay")));
    assert_eq!(boat.reissue("2027-06-01").0, 0);
    let pdf = fs::read(boat.path("out/reissue.pdf")).expect("a PDF");
    tools::assert_sound(&pdf);
    let text = tools::text_of(&pdf);
    let slip = text.split('\u{c}').next().expect("a page");
    let bin = format!("J1 + Main, upwind: {old} · edition 1, 2027-05-01");
    let wanted = [
        "Bin these",
        &bin,
        "Changed",
        "edition 2, 2027-06-01",
        "11 to 14 kn: Backstay was 2½ to 4½, now 2½ to 4",
        "14 to 16 kn: Backstay 4½ to 4",
        "New",
        "Strip Outhaul",
        "Keep",
        "Strip Backstay",
    ];
    let mut from = 0;
    for words in wanted {
        let at = slip[from..].find(words).unwrap_or_else(|| panic!("{words} in its place in\n{slip}"));
        from += at + words.len();
    }
}

#[test]
fn only_the_cards_named_are_released() {
    let boat = Boat::with(&book());
    assert_eq!(boat.run(&["reissue", "--date", "2027-05-01", "--only", "strip-lead"]).0, 0);
    assert_eq!(boat.editions().cards.keys().collect::<Vec<_>>(), ["strip-lead"]);
    let (code, text) = boat.run(&["reissue", "--only", "strip-led"]);
    assert!(code == 2 && text.contains("strip-lead"), "{text}");
}

#[test]
fn cards_with_a_back_have_a_file_that_says_how_to_print_it_and_goes_when_there_are_none() {
    let two_sided = format!("{}cards: [{{kind: handover, id: over}}, {{kind: strip}}]\n", book());
    let boat = Boat::with(&two_sided);
    let (code, text) = boat.run(&["reissue", "--date", "2027-05-01", "--flip", "short"]);
    let name = "reissue-cards-two-sided.pdf";
    assert!(code == 0 && text.contains(&format!("Print {name} on both sides, flip on short edge")), "{text}");
    assert_eq!(boat.names(), ["boat.editions.yaml", "boat.yaml", name, "reissue.pdf"]);
    let (code, text) = boat.run(&["build", "boat.yaml"]);
    assert!(code == 0 && text.contains("Print cards-two-sided.pdf on both sides, flip on long edge"), "{text}");
    assert!(text.contains("over-past") && text.contains("on the back of over"), "{text}");
    assert!(text.contains("All are as last released"), "{text}");

    boat.write(&two_sided.swap("spacing: 10 mm", "spacing: 11 mm"));
    let (code, text) = boat.run(&["reissue", "--date", "2027-06-01"]);
    assert!(code == 0 && !text.contains("both sides"), "{text}");
    let left: Vec<String> = boat.names().into_iter().filter(|name| name.starts_with("reissue")).collect();
    assert_eq!(left, ["reissue.pdf"], "the old backs would be taken for a part of this reissue");
    let (code, text) = boat.run(&["due", "--stamp", &boat.editions().cards["over"].releases[0].stamp]);
    assert!(code == 0 && text.contains("current"), "{text}");
}

#[test]
fn a_build_prints_released_editions_and_lists_the_drafts_and_never_writes_the_record() {
    let boat = Boat::with(&book());
    boat.reissue("2027-05-01");
    boat.write(&changed());
    let before = boat.files();
    let (code, text) = boat.run(&["build", "boat.yaml", "--svg-text", "live"]);
    assert!(code == 0 && text.contains("DRAFT, not as last released: j1-upwind\n"), "{text}");
    assert_eq!(boat.files(), before);
    let svg = |id: &str| fs::read_to_string(boat.path(&format!("out/svg/{id}.svg"))).expect("an SVG");
    assert!(svg("j1-upwind").contains("DRAFT"));
    // A strip's words may be broken over lines.
    assert!(svg("strip-lead").contains("2027-05-01") && !svg("strip-lead").contains("DRAFT"));
}

#[test]
fn a_day_before_the_last_release_is_refused() {
    let boat = Boat::with(&book());
    boat.reissue("2027-05-01");
    boat.write(&changed());
    let before = boat.files();
    let (code, text) = boat.reissue("2026-05-01");
    assert!(code == 2 && text.contains("2027-05-01") && text.contains("--date"), "{text}");
    assert_eq!(boat.files(), before);
}

#[test]
fn the_same_inputs_give_the_same_bytes_wherever_the_clock_stands() {
    let made = |zone: &str| {
        let boat = Boat::with(&book());
        let output = boat.command(&["reissue", "--date", "2027-05-01"]).env("TZ", zone).output().expect("a run");
        assert_eq!(said(&output).0, 0);
        boat.files()
    };
    // A day apart at any moment: UTC+14 and UTC−11 (IANA time zone database).
    assert_eq!(made("Pacific/Kiritimati"), made("Pacific/Niue"));
}

#[test]
fn a_bad_editions_file_stops_every_command_and_is_kept() {
    for (damage, complaint) in [("editions: 1", "editions: 2"), ("releases:", "releases: ["), ("cards_in_all: 3", "")] {
        let boat = Boat::with(&book());
        boat.reissue("2027-05-01");
        let path = boat.path("boat.editions.yaml");
        let bad = fs::read_to_string(&path).expect("editions").replacen(damage, complaint, 1);
        fs::write(&path, &bad).expect("damaged");
        boat.write(&changed());
        for arguments in [&["due"][..], &["reissue"], &["build", "boat.yaml"], &["due", "--stamp", "AAAAA"]] {
            let (code, text) = boat.run(arguments);
            assert!(code == 2 && text.contains("boat.editions.yaml") && text.contains("not touched"), "{text}");
        }
        assert_eq!(fs::read_to_string(&path).expect("kept"), bad);
    }
}

#[test]
fn without_an_editions_file_no_stamp_is_called_unknown() {
    let boat = Boat::with(&book());
    let (code, text) = boat.run(&["due", "--stamp", "AAAAA"]);
    assert!(code == 2 && text.contains("boat.editions.yaml") && !text.contains("unknown"), "{text}");
    let (code, text) = boat.run(&["due", "--stamp", "AAAA0"]);
    assert!(code == 2, "{text}");
}

#[test]
fn where_nothing_can_be_written_nothing_is_released_and_it_is_said_so() {
    let boat = Boat::with(&book());
    boat.reissue("2027-05-01");
    boat.write(&changed());
    let before = boat.files();
    fs::write(boat.path("file"), "no folder").expect("a file");
    let (code, text) = boat.run(&["reissue", "--date", "2027-06-01", "--out", "file/below"]);
    assert!(code == 1 && text.contains("nothing was released"), "{text}");
    assert_eq!(boat.files(), before);

    // The lock cannot be taken: as in a folder that cannot be written to, also for whoever may write everywhere.
    fs::remove_file(boat.path(".boat.editions.lock")).expect("the lock");
    fs::create_dir(boat.path(".boat.editions.lock")).expect("a folder in its place");
    let (code, text) = boat.run(&["reissue"]);
    assert!(code == 1 && text.contains(".boat.editions.lock"), "{text}");
    assert_eq!(boat.files(), before);
    assert_eq!(boat.run(&["due"]).0, 3, "to look needs no lock");
}

/// A limit on the size of files stands in for a full disk: writing fails part of the way in, as there.
#[cfg(unix)]
#[test]
fn on_a_full_disk_the_old_files_stay_whole() {
    let boat = Boat::with(&book());
    boat.reissue("2027-05-01");
    boat.write(&changed());
    let before = boat.files();
    let binary = env!("CARGO_BIN_EXE_cockpit-cards");
    let with_room_for = |blocks: usize| {
        let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec '{binary}' reissue --date 2027-06-01");
        said(&Command::new("sh").args(["-c", &script]).current_dir(boat.0.path()).output().expect("a run"))
    };
    // Blocks are of 512 or 1024 bytes, as the shell has it: too few for the PDF.
    let (code, text) = with_room_for(8);
    assert!(code == 1 && text.contains("nothing was released"), "{code} {text}");
    assert_eq!(boat.files(), before);

    // A long history makes the editions file the larger of the two: now the PDF finds room and the record does not.
    let mut long = boat.editions();
    let mut past = long.cards["j1-upwind"].clone();
    past.withdrawn = Some("2027-05-01".to_owned());
    past.content = serde_json::json!(vec!["what it said of old"; 40_000]);
    long.cards.insert("past".to_owned(), past);
    let record = long.text().expect("YAML").into_bytes();
    assert!(record.len() > 600_000 && before[1].len() < 100_000);
    fs::write(boat.path("boat.editions.yaml"), &record).expect("editions");
    let (code, text) = with_room_for(400);
    assert!(code == 1 && text.contains("do not use reissue.pdf"), "{code} {text}");
    let [after, pdf] = boat.files();
    assert!(after == record && pdf != before[1], "the record is the old one, whole");
    assert_eq!(boat.reissue("2027-06-01").0, 0, "with room again, the job is done");
}

#[test]
fn of_two_runs_at_once_one_waits_and_nothing_is_counted_twice() {
    let boat = Boat::with(&book());
    boat.reissue("2027-05-01");
    boat.write(&changed());
    let spawn = |_| boat.command(&["reissue", "--date", "2027-06-01"]).stdout(Stdio::null()).spawn().expect("a run");
    let runs: Vec<Child> = (0..4).map(spawn).collect();
    for mut run in runs {
        assert!(run.wait().expect("an end").success());
    }
    assert_eq!(boat.editions().cards["j1-upwind"].releases.len(), 2);
    assert_eq!(boat.run(&["due"]).0, 0);
}

/// How many runs are killed, unless `KILLS` in the environment asks for more.
const KILLS: usize = 60;

#[test]
fn a_run_killed_at_any_moment_leaves_old_or_new_files_whole_and_the_next_one_finishes() {
    let boat = Boat::with(&book());
    boat.reissue("2027-05-01");
    let old = boat.files();
    boat.write(&changed());
    let started = Instant::now();
    boat.reissue("2027-06-01");
    let whole_run = started.elapsed();
    let new = boat.files();
    assert_ne!(old, new);
    let kills = std::env::var("KILLS").ok().and_then(|number| number.parse().ok()).unwrap_or(KILLS);
    let (mut kept, mut finished) = (0, 0);
    for kill in 0..kills {
        fs::write(boat.path("boat.editions.yaml"), &old[0]).expect("the old editions");
        fs::write(boat.path("out/reissue.pdf"), &old[1]).expect("the old PDF");
        let mut run = boat
            .command(&["reissue", "--date", "2027-06-01"])
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("a run");
        // Every other kill aims at the writing itself: it waits until a file in the making shows.
        if kill % 2 == 1 {
            while run.try_wait().expect("a state").is_none() && !is_writing(&boat) {}
            spin(Duration::from_micros(random() % 4_000));
        } else {
            std::thread::sleep(whole_run.mul_f64((random() % 1_000) as f64 / 900.0));
        }
        let _ = run.kill();
        run.wait().expect("an end");
        let [editions, pdf] = boat.files();
        assert!(editions == old[0] || editions == new[0], "after {kill} kills");
        assert!(pdf == old[1] || pdf == new[1], "after {kill} kills");
        assert!(editions == old[0] || pdf == new[1], "the record never runs ahead of the print");
        if editions == old[0] {
            kept += 1
        } else {
            finished += 1
        }
        if kill % 20 == 0 {
            assert_eq!(boat.reissue("2027-06-01").0, 0);
            assert_eq!(boat.files(), new, "the next run finishes the job");
        }
        sweep(&boat);
    }
    println!("{kept} runs killed before the release, {finished} at or after it");
    assert!(kept > 0);
}

fn is_writing(boat: &Boat) -> bool {
    ["", "out"].iter().any(|folder| {
        fs::read_dir(boat.path(folder)).into_iter().flatten().flatten().any(|entry| is_in_the_making(&entry.path()))
    })
}

fn is_in_the_making(path: &Path) -> bool {
    path.file_name().is_some_and(|name| name.to_string_lossy().starts_with(".cockpit-cards-"))
}

fn sweep(boat: &Boat) {
    for folder in ["", "out"] {
        for entry in fs::read_dir(boat.path(folder)).into_iter().flatten().flatten() {
            if is_in_the_making(&entry.path()) {
                let _ = fs::remove_dir_all(entry.path());
            }
        }
    }
}

/// Sleeping is too coarse here.
fn spin(time: Duration) {
    let begun = Instant::now();
    while begun.elapsed() < time {}
}

fn random() -> u64 {
    RandomState::new().build_hasher().finish()
}
