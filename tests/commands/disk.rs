//! The disk and the process at their worst: full, read-only, shared, killed. Whatever happens, each file is the old one or
//! the new one, whole; what is not ours stays as it is; and nothing half-made is left for good.
//!
//! A limit on the size of files stands in for a full disk everywhere; where this machine lets us mount one, a disk that is
//! really full is tried as well, and the output says which was.
#![cfg(unix)]

use std::collections::BTreeSet;
use std::fs::{self, File};
use std::hash::{BuildHasher as _, Hasher as _, RandomState};
use std::io::{self, Write as _};
use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, symlink};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use cockpit_cards::output::write::write_all;

use crate::desk::{Desk, Files, PROGRAM, said};

/// Says something that shows without asking for it.
fn note(words: &str) {
    let _ = writeln!(io::stderr(), "disk: {words}");
}

/// A small sound book; the boat's name is on every card and in every file.
fn book(boat: &str) -> String {
    format!(
        "book: 1\nboat: {{name: {boat}}}\ncontrols:\n  backstay: {{higher_is: tighter, scale: {{marks: 0..6, spacing: 20 mm}}}}\n\
         sails:\n  main: {{kind: mainsail}}\nsettings:\n  - {{id: up, sails: [main], point_of_sail: upwind, controls: [backstay], at: {{6: [0], 20: [5]}}}}\n"
    )
}

fn in_the_making(files: &Files) -> BTreeSet<&String> {
    files.keys().filter(|name| name.contains(".cockpit-cards-")).collect()
}

// Runs at the same time.

const RUNS_AT_ONCE: usize = 200;

#[test]
fn of_two_hundred_builds_at_once_into_one_folder_each_file_is_whole_and_nothing_else_is_left() {
    const BOATS: usize = 5;
    let desk = Desk::new();
    for boat in 0..BOATS {
        desk.write(&format!("{boat}.yaml"), &book(&format!("Tansy {boat}")));
        desk.built(&[&format!("{boat}.yaml"), "--out", &format!("alone-{boat}")]);
    }
    let alone: Vec<Files> = (0..BOATS).map(|boat| desk.files(&format!("alone-{boat}"))).collect();
    let is_whole = |name: &String, bytes: &Vec<u8>| alone.iter().any(|files| files.get(name) == Some(bytes));
    let spawn = |run: usize| {
        let mut command = desk.command(&["build", &format!("{}.yaml", run % BOATS), "--out", "out"]);
        command.stdout(Stdio::null()).stderr(Stdio::piped()).spawn().expect("a run")
    };
    let runs: Vec<Child> = (0..RUNS_AT_ONCE).map(spawn).collect();
    for run in runs {
        let output = run.wait_with_output().expect("an end");
        assert_eq!(output.status.code(), Some(0), "no run stands in another's way: {}", said(&output));
        // Whoever looks while others write finds whole files, too.
        for name in alone[0].keys().filter(|name| !name.ends_with('/')) {
            if let Ok(bytes) = fs::read(desk.path("out").join(name)) {
                assert!(is_whole(name, &bytes), "{name}");
            }
        }
    }
    let after = desk.files("out");
    assert!(after.keys().eq(alone[0].keys()), "{:?}", after.keys());
    assert!(after.iter().all(|(name, bytes)| is_whole(name, bytes)));
}

// Runs that were killed.

/// How many runs are killed, unless `KILLS` in the environment asks for more.
const KILLS: usize = 48;

fn kills() -> usize {
    std::env::var("KILLS").ok().and_then(|number| number.parse().ok()).unwrap_or(KILLS)
}

#[test]
fn a_build_killed_at_any_moment_leaves_old_or_new_files_whole_and_the_next_run_clears_up() {
    let desk = Desk::new();
    let books = ["fleet/a.yaml", "fleet/b.yaml", "fleet/c.yaml"];
    let write_books = |boat: &str| books.iter().for_each(|name| desk.write(name, &book(boat)));
    write_books("Woad");
    desk.built(&["fleet", "--out", "new"]);
    let new = desk.files("new");
    write_books("Tansy");
    let begun = Instant::now();
    desk.built(&["fleet"]);
    let whole_run = begun.elapsed();
    let old = desk.files("out");
    assert!(old.keys().eq(new.keys()) && old.iter().all(|(name, bytes)| bytes.is_empty() || *bytes != new[name]));
    let (mut untouched, mut between, mut finished, mut littered) = (0, 0, 0, 0);
    let kills = kills();
    for kill in 0..kills {
        write_books("Woad");
        let littered_before = in_the_making(&desk.files("out")).into_iter().cloned().collect::<BTreeSet<_>>();
        let mut run =
            desk.command(&["build", "fleet"]).stdout(Stdio::null()).stderr(Stdio::null()).spawn().expect("run");
        let goes_on = |run: &mut Child| run.try_wait().expect("a state").is_none();
        match kill % 3 {
            // Anywhere.
            0 => std::thread::sleep(whole_run.mul_f64(random(1_000) as f64 / 1_000.0)),
            // While it writes.
            1 => {
                let is_new = |name: &String| !littered_before.contains(name);
                while goes_on(&mut run) && !in_the_making(&desk.files("out")).into_iter().any(is_new) {}
                spin(whole_run.mul_f64(random(100) as f64 / 1_000.0));
            }
            // While it puts files in their places.
            _ => {
                let number = || fs::metadata(desk.path("out/a/cards.pdf")).map(|file| file.ino()).ok();
                let before = number();
                while goes_on(&mut run) && number() == before {}
                spin(Duration::from_micros(random(400)));
            }
        }
        let _ = run.kill();
        run.wait().expect("an end");
        let after = desk.files("out");
        let (mut olds, mut news) = (0, 0);
        for (name, bytes) in old.iter().filter(|(name, _)| !name.ends_with('/')) {
            let found = &after[name];
            assert!(found == bytes || *found == new[name], "{name} after {kill} kills");
            if found == bytes { olds += 1 } else { news += 1 }
        }
        match (olds, news) {
            (_, 0) => untouched += 1,
            (0, _) => finished += 1,
            _ => between += 1,
        }
        littered += usize::from(!in_the_making(&after).is_empty());
        write_books("Tansy");
        desk.built(&["fleet"]);
        assert!(desk.files("out") == old, "the next run finishes and clears up after {kill} kills");
    }
    note(&format!(
        "of {kills} killed builds {untouched} had changed nothing, {between} something, {finished} all; {littered} left files in the making"
    ));
    assert!(untouched > 0 && between > 0 && littered > 0);
}

fn random(below: u64) -> u64 {
    RandomState::new().build_hasher().finish() % below
}

/// Sleeping is too coarse here.
fn spin(time: Duration) {
    let begun = Instant::now();
    while begun.elapsed() < time {}
}

/// Runs after which what is nobody's has to be gone.
const RUNS_TO_CLEAR: usize = 1_000;

#[test]
fn what_a_dead_run_left_is_removed_and_what_a_living_one_makes_is_not() {
    let desk = Desk::new();
    for folder in ["out/.cockpit-cards-dEad01", "out/svg/.cockpit-cards-dEad02", "out/.cockpit-cards-LiVe03"] {
        desk.write(&format!("{folder}/lock"), "");
        desk.write(&format!("{folder}/1"), "half a file");
    }
    // Killed while it cleared up, and while it began.
    desk.write("out/.cockpit-cards-dEad04/2", "half a file");
    fs::create_dir(desk.path("out/.cockpit-cards-dEad05")).expect("a folder");
    let lock = File::open(desk.path("out/.cockpit-cards-LiVe03/lock")).expect("a lock");
    lock.lock().expect("locked");
    let files = [("cards.pdf", "x"), ("svg/a.svg", "x")];
    write_all(&desk.path("out"), &files).expect("written");
    let after = desk.files("out");
    let ours = [".cockpit-cards-LiVe03/", ".cockpit-cards-LiVe03/1", ".cockpit-cards-LiVe03/lock"];
    assert_eq!(after.keys().collect::<Vec<_>>(), [&ours[..], &["cards.pdf", "svg/", "svg/a.svg"]].concat());
    assert_eq!(after[".cockpit-cards-LiVe03/1"], b"half a file");
    // Its run ends, and now it is nobody's.
    drop(lock);
    // A process that another test starts at this moment has the lock as well until it becomes its own program.
    let is_cleared = (0..RUNS_TO_CLEAR).any(|_| {
        write_all(&desk.path("out"), &files).expect("written");
        desk.files("out").keys().eq(["cards.pdf", "svg/", "svg/a.svg"])
    });
    assert!(is_cleared, "{:?}", desk.files("out").keys());
}

// What is not ours.

#[test]
fn a_strangers_files_are_neither_removed_nor_changed_whatever_they_are_called() {
    let desk = Desk::new();
    desk.write("a.yaml", &book("Tansy"));
    desk.write("bad.yaml", "book: [1");
    let strangers = [
        "out/notes.txt",
        "out/cards.pdf.bak",
        "out/svg/theirs.svg",
        "out/a/theirs.pdf",
        "out/.cockpit-cards-notes",
        "out/.cockpit-cards-Ab12Cd",
        "out/.cockpit-cards-toolong/1",
        "out/.cockpit-cards-Gh-6Ij/1",
        "out/.cockpit-cards-Ef34Gh/their file",
        "out/.cockpit-cards-Ij56Kl/lock/1",
        "out/lock",
        "out/1",
    ];
    strangers.iter().for_each(|name| desk.write(name, "theirs"));
    // A folder that looks like ours, but all in it lies elsewhere.
    desk.write("elsewhere/1", "theirs");
    desk.write("elsewhere/lock", "");
    symlink(desk.path("elsewhere"), desk.path("out/.cockpit-cards-Mn78Op")).expect("a link");
    fs::create_dir(desk.path("out/.cockpit-cards-Qr90St")).expect("a folder");
    symlink(desk.path("elsewhere/1"), desk.path("out/.cockpit-cards-Qr90St/1")).expect("a link");
    symlink(desk.path("elsewhere/lock"), desk.path("out/.cockpit-cards-Qr90St/lock")).expect("a link");
    let (before, elsewhere) = (desk.files("out"), desk.files("elsewhere"));
    let modified = |name: &str| fs::metadata(desk.path(name)).expect("a file").modified().expect("a time");
    let times = strangers.map(modified);
    desk.built(&["a.yaml"]);
    desk.built(&["a.yaml", "--png"]);
    assert_eq!(desk.run(&["build", "a.yaml", "bad.yaml"]).status.code(), Some(2));
    let after = desk.files("out");
    for (name, bytes) in &before {
        assert!(after.get(name) == Some(bytes), "{name}");
    }
    assert_eq!(times, strangers.map(modified));
    assert!(desk.files("elsewhere") == elsewhere);
    assert!(after.contains_key("cards.pdf") && after.contains_key("a/cards.pdf"), "and ours were written");
}

#[test]
fn links_in_the_output_folder_lead_no_byte_out_of_it() {
    let built = |prepare: &dyn Fn(&Desk)| {
        let desk = Desk::new();
        desk.write("a.yaml", &book("Tansy"));
        desk.write("elsewhere/precious.pdf", "theirs");
        fs::create_dir(desk.path("out")).expect("a folder");
        prepare(&desk);
        let before = desk.files("elsewhere");
        let output = desk.run(&["build", "a.yaml", "--png"]);
        assert!(desk.files("elsewhere") == before, "{}", said(&output));
        assert!(!desk.path("nowhere").exists());
        assert!(in_the_making(&desk.files("out")).is_empty());
        (output.status.code(), said(&output), desk)
    };
    // In a file's place the link itself is replaced.
    for target in ["elsewhere/precious.pdf", "elsewhere", "nowhere"] {
        let (code, words, desk) =
            built(&|desk| symlink(desk.path(target), desk.path("out/cards.pdf")).expect("a link"));
        assert_eq!(code, Some(0), "{target}: {words}");
        assert!(fs::symlink_metadata(desk.path("out/cards.pdf")).expect("a file").is_file(), "{target}");
    }
    // In a folder's place nothing is written at all, and it is said why.
    for (target, why) in [("elsewhere", "leads out"), ("nowhere", "leads nowhere"), ("elsewhere/precious.pdf", "png")] {
        let (code, words, desk) = built(&|desk| symlink(desk.path(target), desk.path("out/png")).expect("a link"));
        assert_eq!(code, Some(1), "{target}: {words}");
        assert!(words.contains(why) && words.contains("out/png"), "{target}: {words}");
        assert!(!desk.path("out/cards.pdf").exists(), "{target}");
    }
    // A link that stays inside is the user's own arrangement.
    let (code, words, desk) = built(&|desk| {
        fs::create_dir(desk.path("out/pictures")).expect("a folder");
        symlink("pictures", desk.path("out/png")).expect("a link");
    });
    assert_eq!(code, Some(0), "{words}");
    assert!(desk.path("out/pictures/up.png").is_file());
}

#[test]
fn a_link_in_the_place_of_a_books_folder_leads_none_of_many_books_out() {
    let desk = Desk::new();
    for name in ["fleet/a.yaml", "fleet/b.yaml", "fleet/c.yaml"] {
        desk.write(name, &book("Tansy"));
    }
    desk.write("elsewhere/cards.pdf", "theirs");
    fs::create_dir(desk.path("out")).expect("a folder");
    symlink(desk.path("elsewhere"), desk.path("out/a")).expect("a link");
    symlink(desk.path("nowhere"), desk.path("out/b")).expect("a link");
    let elsewhere = desk.files("elsewhere");
    let output = desk.run(&["build", "fleet"]);
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    assert!(said(&output).contains("out/a: a link here leads out of the output folder"), "{}", said(&output));
    assert!(said(&output).contains("out/b: a link here leads nowhere"), "{}", said(&output));
    assert!(desk.files("elsewhere") == elsewhere && !desk.path("nowhere").exists());
    assert!(desk.path("out/c/cards.pdf").is_file());
}

// A disk that takes nothing more.

#[test]
fn on_a_full_disk_the_old_files_stay_whole_and_the_message_says_where() {
    let desk = Desk::new();
    desk.write("a.yaml", &book("Tansy"));
    desk.built(&["a.yaml"]);
    let before = desk.files("out");
    desk.write("a.yaml", &book("Woad"));
    let smallest = before.values().map(Vec::len).filter(|length| *length > 0).min().expect("files");
    assert!(smallest < 4096 && before["cards.pdf"].len() > 8192, "some files find room and some do not");
    // A block is 512 or 1024 bytes, as the shell has it.
    for blocks in [0, 1, 4, 8] {
        let script = format!("trap '' XFSZ; ulimit -f {blocks}; exec '{PROGRAM}' build a.yaml");
        let output = desk.shell(&script);
        assert_eq!(output.status.code(), Some(1), "{}", said(&output));
        assert!(said(&output).contains("nothing is certain to be written: out/"), "{}", said(&output));
        assert!(desk.files("out") == before, "{blocks} blocks");
    }
    note("a full disk as a limit on the size of files");
}

#[test]
fn on_a_full_disk_the_books_that_find_room_are_printed_all_the_same() {
    let desk = Desk::new();
    desk.write("fleet/small.yaml", &book("Tansy"));
    fs::copy(concat!(env!("CARGO_MANIFEST_DIR"), "/examples/full.yaml"), desk.path("fleet/full.yaml")).expect("a copy");
    desk.built(&["fleet", "--out", "room"]);
    let largest = |book: &str| desk.files(&format!("room/{book}")).values().map(Vec::len).max().expect("files");
    // Enough for the one in blocks of 512, too little for the other in blocks of 1024.
    let blocks = largest("small").div_ceil(512);
    assert!(blocks * 1024 < largest("full"));
    let output = desk.shell(&format!("trap '' XFSZ; ulimit -f {blocks}; exec '{PROGRAM}' build fleet"));
    assert_eq!(output.status.code(), Some(1), "{}", said(&output));
    assert!(said(&output).contains("error: fleet/full.yaml: nothing is certain"), "{}", said(&output));
    assert!(desk.files("out/small") == desk.files("room/small"));
    assert!(in_the_making(&desk.files("out")).is_empty());
    assert!(!desk.path("out/full/cards.pdf").exists());
}

/// 256 is what a process may hold open by default on macOS (from memory); Linux gives more.
#[test]
fn many_books_are_printed_with_no_more_files_open_than_the_leanest_system_allows() {
    const MAY_BE_OPEN: usize = 256;
    let desk = Desk::new();
    (0..40).for_each(|boat| desk.write(&format!("fleet/{boat}.yaml"), &book(&format!("Tansy {boat}"))));
    let output = desk.shell(&format!("ulimit -n {MAY_BE_OPEN}; exec '{PROGRAM}' build fleet"));
    assert_eq!(output.status.code(), Some(0), "{}", said(&output));
    assert!(said(&output).contains("Printed 40 of 40 books"), "{}", said(&output));
    let written = desk.files("out").len();
    assert!(written > MAY_BE_OPEN, "{written} files could all be open");
}

/// A shell that may mount, in a world of its own that goes with it; `None` where this machine allows that to nobody here.
#[cfg(target_os = "linux")]
fn mounting_shell() -> Option<&'static [&'static str]> {
    const WAYS: [&[&str]; 2] = [&["unshare", "--mount"], &["unshare", "--user", "--map-root-user", "--mount"]];
    let works = |way: &&&[&str]| {
        let script = "mount -t tmpfs -o size=64k tmpfs /mnt && ! head -c 100000 /dev/zero >/mnt/full 2>/dev/null";
        let mut command = Command::new(way[0]);
        command.args(&way[1..]).args(["sh", "-c", script]);
        command.stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok_and(|status| status.success())
    };
    WAYS.iter().find(works).copied()
}

#[cfg(target_os = "linux")]
#[test]
fn on_a_disk_that_is_really_full_the_old_files_stay_and_what_a_dead_run_left_makes_room() {
    let Some(way) = mounting_shell() else {
        note("no disk could be mounted here: a really full one was NOT tried");
        return;
    };
    let desk = Desk::new();
    desk.write("old.yaml", &book("Tansy"));
    desk.write("new.yaml", &book("Woad"));
    fs::create_dir(desk.path("small disk")).expect("a folder");
    desk.built(&["old.yaml", "--out", "expected-old"]);
    desk.built(&["new.yaml", "--out", "expected-new"]);
    // Each step's files are copied out, for the disk is gone with the shell.
    let script = format!(
        "set -e
         program='{PROGRAM}'
         mount -t tmpfs -o size=1m tmpfs 'small disk'
         \"$program\" build old.yaml --out 'small disk/out' >/dev/null
         mkdir 'small disk/out/.cockpit-cards-dEad00'
         touch 'small disk/out/.cockpit-cards-dEad00/lock'
         cp -r 'small disk/out' before
         (cat /dev/zero >'small disk/ballast') 2>/dev/null || true
         code=0; \"$program\" build new.yaml --out 'small disk/out' >/dev/null 2>said || code=$?
         echo $code >code
         cp -r 'small disk/out' full
         rm 'small disk/ballast'
         mkdir 'small disk/out/.cockpit-cards-dEad01'
         touch 'small disk/out/.cockpit-cards-dEad01/lock'
         (cat /dev/zero >'small disk/out/.cockpit-cards-dEad01/1') 2>/dev/null || true
         \"$program\" build new.yaml --out 'small disk/out' >/dev/null
         cp -r 'small disk/out' after"
    );
    let output = Command::new(way[0]).args(&way[1..]).args(["sh", "-c", &script]).current_dir(&desk.0).output();
    let output = output.expect("a shell");
    assert!(output.status.success(), "{}", said(&output));
    assert_eq!(fs::read_to_string(desk.path("code")).expect("a code").trim(), "1");
    let words = fs::read_to_string(desk.path("said")).expect("words");
    assert!(words.contains("small disk/out") && words.contains("No space left on device"), "{words}");
    let old = desk.files("expected-old");
    assert!(desk.files("full") == old, "{:?}", desk.files("full").keys());
    assert!(desk.files("after") == desk.files("expected-new"), "{:?}", desk.files("after").keys());
    note("a disk that is really full");
}

#[test]
fn into_a_read_only_folder_nothing_is_written_and_it_says_so() {
    let desk = Desk::new();
    desk.write("a.yaml", &book("Tansy"));
    desk.built(&["a.yaml"]);
    let before = desk.files("out");
    desk.write("a.yaml", &book("Woad"));
    let set_mode = |folder: &str, mode: u32| {
        fs::set_permissions(desk.path(folder), fs::Permissions::from_mode(mode)).expect("a mode");
    };
    // Permissions stop root only without the power to pass them over.
    let is_root = fs::metadata(desk.0.path()).expect("a folder").uid() == 0;
    let drop = if is_root { "setpriv --bounding-set=-dac_override,-dac_read_search --" } else { "" };
    for folder in ["out", "out/svg"] {
        set_mode(folder, 0o555);
        let probe = desk.shell(&format!("exec {drop} touch '{folder}/probe'"));
        assert!(!probe.status.success() && said(&probe).contains("touch"), "the folder is read-only: {}", said(&probe));
        let output = desk.shell(&format!("exec {drop} '{PROGRAM}' build a.yaml"));
        assert_eq!(output.status.code(), Some(1), "{folder}: {}", said(&output));
        assert!(said(&output).contains(&format!("{folder}: Permission denied")), "{}", said(&output));
        set_mode(folder, 0o755);
        assert!(desk.files("out") == before, "{folder}");
    }
}
