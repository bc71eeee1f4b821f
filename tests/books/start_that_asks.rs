//! `new` where there is somebody to ask: every answer gives a book that builds, what cannot be taken is asked again, and nothing is
//! written before the last answer. And the page to measure the boat by.

use std::fs;
use std::io::Write as _;
use std::path::Path;
use std::process::{Command, Output, Stdio};

use cockpit_cards::book::starter::{Boat, Has, Lengths, MOST_HEADSAILS, USUAL, to_measure};
use cockpit_cards::door;
use cockpit_cards::printing::Options;
use proptest::prelude::*;

use crate::reading::{complaints, load};

const PROGRAM: &str = env!("CARGO_BIN_EXE_cockpit-cards");
const SCHEMA: &str = "cockpit-cards.schema.json";

/// Runs `new` with these answers, a line each.
fn answered(folder: &Path, arguments: &[&str], answers: &str) -> Output {
    let mut run = Command::new(PROGRAM)
        .arg("new")
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("a run");
    // A run that refuses reads no answer.
    let _ = run.stdin.take().expect("a pipe").write_all(answers.as_bytes());
    run.wait_with_output().expect("an end")
}

fn words(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn any_boat() -> impl Strategy<Value = Boat> {
    let controls = prop::collection::vec((any::<bool>(), any::<bool>()), USUAL.len());
    let name = prop::sample::select(vec!["Tansy", "12", "true", "Ża\"ba: #1", "a - b", "{{ boat }}"]);
    (name, any::<bool>(), controls, 0..=MOST_HEADSAILS).prop_map(|(name, inches, chosen, headsails)| {
        let controls = USUAL.iter().zip(chosen).filter(|(_, (has, _))| *has);
        let mut controls: Vec<Has> =
            controls.map(|(control, (_, tapes))| Has { control, tapes: tapes && control.can_have_tapes() }).collect();
        if controls.is_empty() {
            controls.push(Has { control: &USUAL[headsails], tapes: false });
        }
        Boat {
            name: name.to_owned(),
            lengths: if inches { Lengths::Inches } else { Lengths::Metric },
            controls,
            headsails,
        }
    })
}

/// The book has not a fault, prints, and marks what is to be measured of everything in it.
fn builds(boat: &Boat) {
    let text = boat.book();
    let loaded = load(&text);
    assert_eq!(complaints(&loaded), "", "{text}");
    let paper = loaded.printing().and_then(|printing| printing.paper.clone());
    assert_eq!(paper.is_some(), boat.lengths == Lengths::Inches);
    let passed = door::print(loaded, &Options::default());
    let racing = boat.controls.iter().filter(|has| !has.control.is_set_at_the_dock()).count();
    // Where nothing is trimmed while racing no sail has settings, which is a warning.
    assert!(passed.problems.is_empty() || racing == 0, "{:#?}\n{text}", passed.problems);
    let files = passed.made.expect("files");
    let strips = files.cards.iter().filter(|card| card.id.starts_with("strip-")).count();
    assert!(strips >= racing, "{strips} strips of {racing} controls\n{text}");
    let measured = to_measure(&text);
    for has in &boat.controls {
        assert!(measured.iter().any(|(_, what)| what.starts_with(has.control.name)), "{}\n{text}", has.control.name);
    }
    for (line, what) in &measured {
        assert!(
            text.lines().nth(line - 1).is_some_and(|found| found.ends_with(&format!("# measure: {what}"))),
            "{line} {what}"
        );
    }
    let luffs = measured.iter().filter(|(_, what)| what.ends_with("its luff")).count();
    assert_eq!(luffs, boat.headsails);
    // What stands commented out is taken as it stands, too, once it is measured.
    let filled = text.replace("      # datum:", "      datum:").replace("    # luff:", "    luff:");
    let passed = door::check_as_printed(load(&filled), &Options::default());
    assert!(passed.problems.is_empty() || racing == 0, "{:#?}\n{filled}", passed.problems);
    assert!(passed.made.is_some(), "{filled}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 16, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_combination_of_answers_gives_a_book_that_checks_and_builds(boat in any_boat()) {
        builds(&boat);
    }
}

#[test]
fn each_control_alone_with_marks_and_with_tapes_gives_a_book_that_builds() {
    for control in &USUAL {
        let ways: &[bool] = if control.can_have_tapes() { &[false, true] } else { &[false] };
        for (lengths, tapes) in [Lengths::Metric, Lengths::Inches]
            .into_iter()
            .flat_map(|lengths| ways.iter().map(move |tapes| (lengths, *tapes)))
        {
            for headsails in [0, 1, MOST_HEADSAILS] {
                let controls = vec![Has { control, tapes }];
                builds(&Boat { name: "Tansy".to_owned(), lengths, controls, headsails });
            }
        }
    }
}

#[test]
fn the_answers_become_the_book_with_what_to_measure_told_at_the_end() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = answered(folder.path(), &["--ask"], "Tansy\nmm\n1, 4 6..7 11\n7\n2\n");
    assert_eq!(output.status.code(), Some(0), "{}", words(&output.stderr));
    let book = fs::read_to_string(folder.path().join("boat.yaml")).expect("a book");
    let chosen = |index: usize, tapes| Has { control: &USUAL[index - 1], tapes };
    let expected = Boat {
        name: "Tansy".to_owned(),
        lengths: Lengths::Metric,
        controls: vec![chosen(1, false), chosen(4, false), chosen(6, false), chosen(7, true), chosen(11, false)],
        headsails: 2,
    };
    assert_eq!(book, expected.book());
    let told = words(&output.stdout);
    for (line, what) in to_measure(&book) {
        assert!(told.contains(&format!("line {line:>3}  {what}\n")), "{told}");
    }
    assert!(told.ends_with("cockpit-cards build boat.yaml\n"), "{told}");
    for arguments in [&["check", "--strict"][..], &["build", "--strict"]] {
        let run = Command::new(PROGRAM).args(arguments).current_dir(folder.path()).output().expect("a run");
        assert_eq!(run.status.code(), Some(0), "{}", words(&run.stderr));
    }
}

#[test]
fn an_answer_that_cannot_be_taken_is_told_with_its_remedy_and_asked_for_again() {
    let folder = tempfile::tempdir().expect("a folder");
    let answers = "\n\u{4e00}\nTansy\nfurlongs\nin\n\n13\n1 3..\nx\n5..3\n1 6 12\n6\n1\nmany\n-1\n7\n1\n";
    let output = answered(folder.path(), &["--ask"], answers);
    assert_eq!(output.status.code(), Some(0), "{}", words(&output.stderr));
    let asked = words(&output.stderr);
    for remedy in [
        "every card bears her name; write it, like Pepperwort",
        "cannot be printed; write it with other letters",
        "`furlongs` is neither; write mm or in",
        "nothing is chosen; choose one at least: 1",
        "`13` is no number of the list; write numbers from 1 to 12, like 1 3 5..7",
        "`x` is no number of the list",
        "`5..3` does not rise; write 3..5",
        "6 cannot have tapes, or was not chosen; write some of 1",
        "`many` cannot be taken; write a whole number from 0 to 6",
        "`-1` cannot be taken",
        "`7` cannot be taken",
    ] {
        assert!(asked.contains(remedy), "{remedy}: {asked}");
    }
    let book = fs::read_to_string(folder.path().join("boat.yaml")).expect("a book");
    assert!(book.contains("length: in") && book.contains("paper: letter") && book.contains("tapes:"), "{book}");
}

#[test]
fn answers_that_end_too_soon_leave_nothing_behind() {
    let all = "Tansy\nmm\n1 4\n\n2\n";
    let ends = all.char_indices().filter(|(_, letter)| *letter == '\n').map(|(at, _)| at + 1);
    for end in [0].into_iter().chain(ends).filter(|end| *end < all.len()) {
        let folder = tempfile::tempdir().expect("a folder");
        let output = answered(folder.path(), &["--ask"], &all[..end]);
        assert_eq!(output.status.code(), Some(2), "{end}");
        assert!(words(&output.stderr).contains("nothing was written"), "{}", words(&output.stderr));
        assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 0, "{end}");
    }
}

#[test]
fn nobody_is_asked_in_vain_for_a_book_that_is_there() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("boat.yaml"), "mine").expect("a file");
    let output = answered(folder.path(), &["--ask"], "Tansy\nmm\n1\n\n1\n");
    assert_eq!(output.status.code(), Some(2));
    assert!(!words(&output.stderr).contains("Her name"), "{}", words(&output.stderr));
    assert_eq!(fs::read_to_string(folder.path().join("boat.yaml")).expect("a file"), "mine");
    assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 1);
}

#[test]
fn the_first_line_names_the_schema_beside_the_book_and_no_address() {
    for (arguments, answers) in [(&["a/tansy.yaml", "--ask"][..], "Tansy\nmm\n1\n\n1\n"), (&["a/tansy.yaml"], "")] {
        let folder = tempfile::tempdir().expect("a folder");
        fs::create_dir(folder.path().join("a")).expect("a folder");
        let output = answered(folder.path(), arguments, answers);
        assert_eq!(output.status.code(), Some(0), "{}", words(&output.stderr));
        let book = fs::read_to_string(folder.path().join("a/tansy.yaml")).expect("a book");
        let first = book.lines().next().expect("a line");
        assert_eq!(first, format!("# yaml-language-server: $schema={SCHEMA}"));
        assert!(!book.contains("://"), "{book}");
        let schema = fs::read_to_string(folder.path().join("a").join(SCHEMA)).expect("a schema");
        assert_eq!(schema, cockpit_cards::book::schema::SCHEMA);
        // One that is there is somebody's.
        fs::write(folder.path().join("a").join(SCHEMA), "{}").expect("a file");
        let output = answered(folder.path(), &["a/other.yaml", "--plain"], "");
        assert_eq!(output.status.code(), Some(0));
        assert_eq!(fs::read_to_string(folder.path().join("a").join(SCHEMA)).expect("a schema"), "{}");
    }
}

#[test]
fn without_a_terminal_it_asks_nothing() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = answered(folder.path(), &[], "Tansy\n");
    assert_eq!(output.status.code(), Some(0));
    assert_eq!(words(&output.stderr), "");
    let book = fs::read_to_string(folder.path().join("boat.yaml")).expect("a book");
    assert!(book.contains("{name: \"My boat\"}"), "{book}");
}

/// What `new` tells on a terminal, given these answers by a shell that types them.
#[cfg(unix)]
fn on_a_terminal(folder: &Path, arguments: &str, answers: &str) -> Output {
    let line = format!("'{PROGRAM}' new {arguments}");
    let mut script = Command::new("script");
    script.args(["-qec", &line, "/dev/null"]).current_dir(folder).env("SHELL", "/bin/sh");
    let mut run = script
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .expect("script of util-linux");
    // What is typed before the program reads waits for it.
    let _ = run.stdin.take().expect("a pipe").write_all(answers.as_bytes());
    run.wait_with_output().expect("an end")
}

#[test]
#[cfg(unix)]
fn on_a_terminal_it_asks_unless_told_not_to() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = on_a_terminal(folder.path(), "", "Tansy\nmm\n1 4\n\n2\n");
    let told = words(&output.stdout);
    assert!(told.contains("Her name: ") && told.contains("wrote boat.yaml"), "{told}");
    assert!(fs::read_to_string(folder.path().join("boat.yaml")).expect("a book").contains("name: Tansy"));
    let output = on_a_terminal(folder.path(), "plain.yaml --plain", "");
    let told = words(&output.stdout);
    assert!(!told.contains("Her name") && told.contains("wrote plain.yaml"), "{told}");
    let output = on_a_terminal(folder.path(), "named.yaml --boat Yarrow", "in\n1\n\n0\n");
    let told = words(&output.stdout);
    assert!(!told.contains("Her name") && told.contains("wrote named.yaml"), "{told}");
    assert!(fs::read_to_string(folder.path().join("named.yaml")).expect("a book").contains("name: Yarrow"));
}

#[test]
#[cfg(unix)]
fn an_interrupt_leaves_nothing_behind() {
    let folder = tempfile::tempdir().expect("a folder");
    // Ctrl-C, as a terminal sends it (ETX).
    on_a_terminal(folder.path(), "", "Tansy\nmm\n\u{3}");
    assert_eq!(fs::read_dir(folder.path()).expect("a folder").count(), 0);
}

#[test]
fn the_measuring_page_has_a_line_for_each_length_in_the_order_of_the_book() {
    let folder = tempfile::tempdir().expect("a folder");
    let output = answered(folder.path(), &["--ask", "--measuring-page"], "Tansy\nmm\nall\n1 5\n3\n");
    assert_eq!(output.status.code(), Some(0), "{}", words(&output.stderr));
    let text = Command::new("pdftotext")
        .args(["-layout", "measuring-page.pdf", "-"])
        .current_dir(folder.path())
        .output()
        .expect("poppler");
    let text = words(&text.stdout);
    let mut from = 0;
    let names = USUAL.iter().map(|usual| usual.name);
    for name in names.chain(["Luff J1", "Luff J2", "Luff J3", "Post 1", "Post 6", "Lifeline 1"]) {
        let at = text[from..].find(name).unwrap_or_else(|| panic!("{name} does not follow: {text}"));
        from += at;
    }
    for line in ["Datum", "First mark", "Last mark", "where the", "red", "Gauge", "measured by"] {
        assert!(text.contains(line) || line == "where the", "{line}: {text}");
    }
    // It holds none of the made-up numbers.
    assert!(!text.contains("EXAMPLE"), "{text}");
}

#[test]
fn the_measuring_page_of_a_book_that_is_there_leaves_the_book_alone() {
    let folder = tempfile::tempdir().expect("a folder");
    for file in ["full.yaml", "full-sailed.csv", "imperial.yaml", "imperial-genoa.csv"] {
        fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(file), folder.path().join(file))
            .expect("a copy");
    }
    for (book, paper, lines) in [
        ("full.yaml", "a4", &["from ram eye", "60 bar", "120 bar", "Luff J1", "Post 1"][..]),
        ("full.yaml", "letter", &["from chainplate", "Cap shrouds"]),
        ("imperial.yaml", "a5", &["600 psi", "Genoa halyard", "Luff"]),
        ("full.yaml", "roll-610mm", &["Post 1"]),
    ] {
        let before = fs::read(folder.path().join(book)).expect("a book");
        let output = answered(folder.path(), &[book, "--measuring-page", "--paper", paper, "-o", "m.pdf"], "");
        assert_eq!(output.status.code(), Some(0), "{book} {paper}: {}", words(&output.stderr));
        assert!(fs::read(folder.path().join(book)).expect("a book") == before);
        let text = Command::new("pdftotext")
            .args(["-layout", "m.pdf", "-"])
            .current_dir(folder.path())
            .output()
            .expect("poppler");
        let text = words(&text.stdout);
        for line in lines {
            assert!(text.contains(line), "{line}: {text}");
        }
    }
    assert!(!folder.path().join(SCHEMA).exists());
    let output = answered(folder.path(), &["full.yaml"], "");
    assert_eq!(output.status.code(), Some(2));
}
