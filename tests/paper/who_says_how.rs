//! How a book is printed: as it says itself, before that as the environment says, before that as the command line says; told in the
//! summary, known to no card and no stamp.

use std::fs;
use std::path::Path;
use std::process::{Command, Output};

use crate::reading::SOUND;

const PROGRAM: &str = env!("CARGO_BIN_EXE_cockpit-cards");
const VARIABLES: [&str; 3] = ["COCKPIT_CARDS_PAPER", "COCKPIT_CARDS_PRINTER", "COCKPIT_CARDS_FLIP"];
/// Of readings of a printer on A4, with the page's back as it comes out.
const OFFICE: [&str; 8] = ["printer", "set", "office", "--across", "179.4", "--along", "250.9", "--date"];

fn command(folder: &Path, variables: &[(&str, &str)], arguments: &str) -> Command {
    let mut command = Command::new(PROGRAM);
    command
        .current_dir(folder)
        .args(arguments.split(' '))
        .env("HOME", folder)
        .env("XDG_CONFIG_HOME", folder.join("config"));
    VARIABLES.iter().for_each(|name| {
        command.env_remove(name);
    });
    command.envs(variables.iter().copied());
    command
}

fn run(folder: &Path, variables: &[(&str, &str)], arguments: &str) -> (Option<i32>, String) {
    let Output { status, stdout, stderr } = command(folder, variables, arguments).output().expect("a run");
    (status.code(), String::from_utf8_lossy(&stdout).into_owned() + &String::from_utf8_lossy(&stderr))
}

/// The words behind "Made to print".
fn made_to_print(told: &str) -> &str {
    let at = told.find("Made to print ").unwrap_or_else(|| panic!("{told}"));
    told[at + "Made to print ".len()..].lines().next().expect("a line").trim_end_matches('.')
}

/// A folder with a book that says this of its printing, on a machine that knows the printer `office`.
fn folder(printing: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    let book = if printing.is_empty() { SOUND.to_owned() } else { format!("{SOUND}printing: {printing}\n") };
    fs::write(folder.path().join("boat.yaml"), book).expect("a book");
    let mut measured = command(folder.path(), &[], "--quiet");
    let measured = measured.args(OFFICE).arg("2026-11-01").output().expect("a run");
    assert!(measured.status.success(), "{}", String::from_utf8_lossy(&measured.stderr));
    folder
}

#[test]
fn flags_go_before_the_environment_and_that_before_the_book() {
    let of_book = folder("{paper: letter, flip: short}");
    let silent = folder("");
    let environment = [("COCKPIT_CARDS_PAPER", "a3"), ("COCKPIT_CARDS_FLIP", "long")];
    for (folder, variables, arguments, expected) in [
        (&silent, &[][..], "build", "on A4 (usual), flip on long edge (usual)"),
        (&of_book, &[], "build", "on Letter (the book), flip on short edge (the book)"),
        (&of_book, &environment, "build", "on A3 (COCKPIT_CARDS_PAPER), flip on long edge (COCKPIT_CARDS_FLIP)"),
        (&of_book, &environment, "build --paper legal --flip short", "on Legal (--paper), flip on short edge (--flip)"),
        (&of_book, &[], "build --paper a5", "on A5 (--paper), flip on short edge (the book)"),
        (&silent, &environment[..1], "build", "on A3 (COCKPIT_CARDS_PAPER), flip on long edge (usual)"),
        (&of_book, &[("COCKPIT_CARDS_PAPER", "")], "build", "on Letter (the book), flip on short edge (the book)"),
        (&of_book, &[], "reissue --date 2026-11-01", "on Letter (the book), flip on short edge (the book)"),
    ] {
        let (code, told) = run(folder.path(), variables, arguments);
        assert_eq!(code, Some(0), "{arguments}: {told}");
        assert_eq!(made_to_print(&told), expected, "{variables:?} {arguments}");
        let paper = expected.split(['(']).next().and_then(|words| words.strip_prefix("on ")).expect("a paper").trim();
        if arguments.starts_with("build") {
            assert!(told.contains(&format!("of {paper}, ")), "{told}");
        }
    }
}

#[test]
fn a_printer_is_taken_from_the_command_line_the_environment_or_the_book() {
    let of_book = folder("{printer: office}");
    let silent = folder("");
    let variable = [("COCKPIT_CARDS_PRINTER", "office")];
    for (folder, variables, arguments, expected) in [
        (&of_book, &[][..], "build", "by printer office (the book)"),
        (&silent, &variable, "build", "by printer office (COCKPIT_CARDS_PRINTER)"),
        (&silent, &[], "build --printer office", "by printer office (--printer)"),
        (&of_book, &[], "build --printer none", "by no printer in particular (--printer)"),
        (
            &of_book,
            &[("COCKPIT_CARDS_PRINTER", "none")],
            "build",
            "by no printer in particular (COCKPIT_CARDS_PRINTER)",
        ),
    ] {
        let (code, told) = run(folder.path(), variables, arguments);
        assert_eq!(code, Some(0), "{told}");
        assert!(made_to_print(&told).contains(expected), "{told}");
        assert_eq!(told.contains("Corrected for printer office"), !expected.contains("no printer"), "{told}");
    }
    // However the printer was named, what it prints is the same.
    let strips = |folder: &tempfile::TempDir| fs::read(folder.path().join("out/strips.pdf")).expect("strips");
    run(of_book.path(), &[], "build");
    run(silent.path(), &[], "build --printer office");
    assert!(strips(&of_book) == strips(&silent));
    let (code, told) = run(silent.path(), &[], "printer set none --across 179.4 --along 250.9");
    assert!(code == Some(2) && told.contains("is no name for a printer"), "{told}");
}

#[test]
fn a_printer_that_only_the_book_knows_is_a_warning_in_large_words_and_strips_are_as_drawn() {
    let unknown = folder("{printer: chart-table}");
    let silent = folder("");
    let (code, told) = run(unknown.path(), &[], "build");
    assert_eq!(code, Some(0), "{told}");
    assert!(told.contains("warning: STRIPS ARE NOT CORRECTED: the printer `chart-table`"), "{told}");
    assert!(told.contains("boat.yaml:") && told.contains("--printer none"), "{told}");
    assert!(made_to_print(&told).contains("NOT CORRECTED: PRINTER chart-table (the book) IS NOT KNOWN HERE"), "{told}");
    run(silent.path(), &[], "build");
    for file in ["out/strips.pdf", "out/cards.pdf", "out/manifest.json"] {
        let read = |folder: &tempfile::TempDir| fs::read(folder.path().join(file)).expect("a file");
        assert!(read(&unknown) == read(&silent), "{file}");
    }
    for arguments in ["check --strict", "build --strict"] {
        let (code, told) = run(unknown.path(), &[], arguments);
        assert!(code == Some(2) && told.contains("STRIPS ARE NOT CORRECTED"), "{told}");
    }
    let (code, told) = run(unknown.path(), &[], "check --strict --printer none");
    assert_eq!(code, Some(0), "{told}");
    // Named by the environment or the command line it has to be known.
    for (variables, arguments) in [
        (&[][..], "build --printer galley"),
        (&[("COCKPIT_CARDS_PRINTER", "galley")], "check"),
        (&[], "reissue --printer galley"),
    ] {
        let (code, told) = run(unknown.path(), variables, arguments);
        assert!(code == Some(2) && told.contains("no printer called `galley` has been measured"), "{told}");
    }
}

#[test]
fn what_a_book_says_of_printing_is_in_no_content_and_no_stamp() {
    let stamps = |folder: &tempfile::TempDir| {
        let (code, told) = run(folder.path(), &[], "build");
        assert_eq!(code, Some(0), "{told}");
        let manifest = fs::read_to_string(folder.path().join("out/manifest.json")).expect("a manifest");
        let manifest: serde_json::Value = serde_json::from_str(&manifest).expect("JSON");
        let cards = manifest["cards"].as_array().expect("cards").iter();
        cards.map(|card| (card["id"].to_string(), card["stamp"].to_string())).collect::<Vec<_>>()
    };
    let usual = stamps(&folder(""));
    for printing in ["{paper: letter}", "{paper: tabloid, flip: short, printer: office}", "{paper: a5}"] {
        assert_eq!(stamps(&folder(printing)), usual, "{printing}");
    }
    // Nor does a released card become due by it.
    let folder = folder("");
    run(folder.path(), &[], "reissue --date 2026-11-01");
    fs::write(folder.path().join("boat.yaml"), format!("{SOUND}printing: {{paper: letter, flip: short}}\n"))
        .expect("a book");
    let (code, told) = run(folder.path(), &[], "due");
    assert!(code == Some(0) && told.contains("nothing is due"), "{told}");
}

#[test]
fn the_same_book_environment_and_flags_give_the_same_bytes() {
    let folder = folder("{paper: letter, printer: chart-table}");
    let variables = [("COCKPIT_CARDS_FLIP", "short")];
    let read = |out: &str| {
        let (code, told) = run(folder.path(), &variables, &format!("build --out {out}"));
        assert_eq!(code, Some(0), "{told}");
        ["strips.pdf", "cards.pdf", "manifest.json", "proof.html"]
            .map(|file| fs::read(folder.path().join(out).join(file)).ok())
    };
    assert!(read("one") == read("two"));
}

#[test]
fn each_of_several_books_is_printed_as_it_says() {
    let folder = folder("{paper: letter}");
    fs::write(folder.path().join("other.yaml"), format!("{SOUND}printing: {{paper: a3}}\n")).expect("a book");
    let (code, told) = run(folder.path(), &[], "build boat.yaml other.yaml");
    assert_eq!(code, Some(0), "{told}");
    assert!(told.contains("  boat.yaml: on Letter (the book), flip on long edge (usual)\n"), "{told}");
    assert!(told.contains("  other.yaml: on A3 (the book), flip on long edge (usual)\n"), "{told}");
    let alone = |book: &str, out: &str| {
        let (code, told) = run(folder.path(), &[], &format!("build {book}.yaml --out {out}"));
        assert_eq!(code, Some(0), "{told}");
        let read = |path: std::path::PathBuf| fs::read(path).expect("a file");
        assert!(
            read(folder.path().join(out).join("strips.pdf"))
                == read(folder.path().join("out").join(book).join("strips.pdf"))
        );
    };
    alone("boat", "a");
    alone("other", "b");
    let (_, told) = run(folder.path(), &[], "build boat.yaml other.yaml --paper a4");
    assert_eq!(made_to_print(&told), "on A4 (--paper), flip on long edge (usual)");
}

#[test]
fn a_check_is_of_the_paper_that_the_book_is_printed_on() {
    let big = |printing: &str| {
        let folder = folder("");
        let text = format!("{SOUND}cards: [{{kind: handover, size: 250 x 350 mm}}]\n{printing}");
        fs::write(folder.path().join("boat.yaml"), text).expect("a book");
        folder
    };
    let (small, large) = (big(""), big("printing: {paper: a3}\n"));
    assert_eq!(run(small.path(), &[], "check").0, Some(2));
    assert_eq!(run(large.path(), &[], "check").0, Some(0));
    assert_eq!(run(small.path(), &[("COCKPIT_CARDS_PAPER", "a3")], "check").0, Some(0));
    assert_eq!(run(large.path(), &[], "check --paper a4").0, Some(2));
    assert_eq!(run(large.path(), &[], "build").0, Some(0));
}

#[test]
fn what_cannot_be_said_of_printing_is_refused_where_it_stands() {
    for (printing, words) in [
        ("{paper: a9}", "the paper"),
        ("{paper: '297,5 x 600 mm'}", "write it with a point: `297.5`"),
        ("{flip: round}", "the edge that the paper is turned about cannot be"),
        ("{papier: a4}", "did you mean `paper`?"),
        ("a4", "printing"),
    ] {
        let folder = folder("");
        fs::write(folder.path().join("boat.yaml"), format!("{SOUND}printing: {printing}\n")).expect("a book");
        let (code, told) = run(folder.path(), &[], "check");
        assert!(code == Some(2) && told.contains(words) && told.contains("--> boat.yaml:"), "{printing}: {told}");
    }
    let folder = folder("");
    for (name, value, words) in [
        ("COCKPIT_CARDS_PAPER", "a99", "COCKPIT_CARDS_PAPER: "),
        ("COCKPIT_CARDS_FLIP", "round", "set it to long or short"),
        ("COCKPIT_CARDS_PRINTER", "nobody's", "COCKPIT_CARDS_PRINTER: no printer called `nobody's`"),
    ] {
        let (code, told) = run(folder.path(), &[(name, value)], "build");
        assert!(code == Some(2) && told.contains(words) && told.contains(name), "{told}");
    }
    let (code, told) = run(folder.path(), &[], "build --feed long-edge");
    assert!(code == Some(2) && told.contains("--printer NAME"), "{told}");
}

#[test]
fn where_there_is_no_book_the_environment_is_asked() {
    let folder = folder("");
    let variables = [("COCKPIT_CARDS_PAPER", "letter")];
    let (code, told) = run(folder.path(), &variables, "strip --marks 0..8 --spacing 20mm -o s.pdf");
    assert_eq!(code, Some(0), "{told}");
    let (_, told_of_a4) = run(folder.path(), &[], "strip --marks 0..8 --spacing 20mm -o a4.pdf");
    let read = |name: &str| fs::read(folder.path().join(name)).expect("a file");
    assert!(read("s.pdf") != read("a4.pdf"), "{told_of_a4}");
    run(folder.path(), &[], "strip --marks 0..8 --spacing 20mm -o flag.pdf --paper letter");
    assert!(read("s.pdf") == read("flag.pdf"));
    run(folder.path(), &variables, "printer page -o p.pdf");
    run(folder.path(), &[], "printer page -o q.pdf --paper letter");
    assert!(read("p.pdf") == read("q.pdf"));
}
