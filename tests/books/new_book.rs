//! What `new` writes is a book that prints, whatever the boat is called, and never writes over another.

use assert_cmd::Command;
use std::fs;

fn command(folder: &tempfile::TempDir) -> Command {
    let mut command = Command::cargo_bin("cockpit-cards").expect("the program");
    command.current_dir(folder);
    command
}

#[test]
fn the_starter_book_prints_as_it_stands_whatever_the_boat_is_called() {
    for name in ["Pepperwort", "Ża\"ba: #1 {x} 'y' \\ | & * !", "{{ boat }}", "~", "12", "true", "a - b"] {
        let folder = tempfile::tempdir().expect("a folder");
        command(&folder).args(["new", "boat.yaml", "--boat", name]).assert().code(0);
        let build = command(&folder).args(["build", "boat.yaml", "--strict"]).assert().code(0);
        assert!(String::from_utf8_lossy(&build.get_output().stdout).contains("strips.pdf"), "{name}");
        let manifest = fs::read_to_string(folder.path().join("out/manifest.json")).expect("a manifest");
        let manifest: serde_json::Value = serde_json::from_str(&manifest).expect("JSON");
        assert_eq!(manifest["boat"], name);
    }
}

#[test]
fn readings_that_nobody_sailed_are_never_printed_as_sailed() {
    let folder = tempfile::tempdir().expect("a folder");
    command(&folder).args(["new", "boat.yaml", "--plain"]).assert().code(0);
    command(&folder).args(["build", "--svg-text", "live"]).assert().code(0);
    let cards: Vec<_> = fs::read_dir(folder.path().join("out/svg"))
        .expect("the output folder")
        .map(|entry| entry.expect("an entry").path())
        .filter(|path| path.extension().is_some_and(|extension| extension == "svg"))
        .collect();
    assert!(cards.len() > 2, "{cards:?}");
    for card in cards {
        assert!(fs::read_to_string(&card).expect("a card").contains("EXAMPLE"), "{}", card.display());
    }
}

#[test]
fn a_book_that_is_there_is_never_written_over() {
    let folder = tempfile::tempdir().expect("a folder");
    fs::write(folder.path().join("boat.yaml"), "mine").expect("a file");
    command(&folder).args(["new", "boat.yaml"]).assert().code(2);
    assert_eq!(fs::read_to_string(folder.path().join("boat.yaml")).expect("a file"), "mine");
}

#[test]
fn one_strip_needs_no_book_and_its_flags_are_refused_in_words() {
    let folder = tempfile::tempdir().expect("a folder");
    let strip = |arguments: &[&str]| {
        let mut command = command(&folder);
        command.args(["strip", "--marks", "0..8", "--spacing", "20mm"]).args(arguments);
        command
    };
    for file in ["outhaul.pdf", "outhaul.svg", "outhaul.png"] {
        strip(&["--halves", "--title", "Outhaul", "-o", file]).assert().code(0);
        assert!(fs::metadata(folder.path().join(file)).is_ok_and(|file| file.len() > 1000), "{file}");
    }
    for (arguments, words) in [
        (vec!["--grows", "sideways", "-o", "x.svg"], "`forward`, `aft`"),
        (vec!["--width", "3mm", "-o", "x.svg"], "from 8 mm"),
        (vec!["--purchase", "none", "-o", "x.svg"], "purchase"),
        (vec!["--paper", "100 x 140 mm", "--width", "129mm", "-o", "x.pdf"], "print on"),
        (vec!["-o", "x.doc"], ".pdf, .svg or .png"),
    ] {
        let refused = strip(&arguments).assert().code(2);
        let said = String::from_utf8_lossy(&refused.get_output().stderr).into_owned();
        assert!(said.contains(words), "{arguments:?}: {said}");
    }
    assert!(fs::metadata(folder.path().join("x.svg")).is_err(), "nothing is half-written");
}
