//! Which boat a command answers for: the one whose book is named or lies in this folder, and no other unless it is asked for.

use std::fs;

use assert_cmd::Command;
use tempfile::TempDir;

/// Name of the boat in the built-in example.
const EXAMPLE_BOAT: &str = "Pepperwort";
/// Every command that is about a book, as it is typed before and after that.
const COMMANDS: [(&[&str], &[&str]); 7] = [
    (&["build"], &[]),
    (&["check"], &[]),
    (&["show"], &["--wind", "12"]),
    (&["explain", "strip"], &[]),
    (&["due"], &[]),
    (&["reissue"], &["--dry-run"]),
    (&["sail", "add"], &["--id", "j9", "--kind", "headsail"]),
];
const KNOW_THE_EXAMPLE: usize = 4;

/// A boat of our own, with a strip and settings.
fn book(boat: &str) -> String {
    format!(
        "book: 1\nboat: {{name: {boat}}}\ncontrols: {{lead: {{higher_is: aft, scale: {{marks: 0..8, spacing: 25 mm}}}}}}\n\
         sails: {{main: {{kind: mainsail}}, jib: {{kind: headsail, wind: 4..20}}}}\n\
         settings: [{{id: up, sails: [main, jib], point_of_sail: upwind, controls: [lead], at: {{6: [1], 14: [5]}}}}]\n"
    )
}

fn folder(files: &[(&str, &str)]) -> TempDir {
    let folder = tempfile::tempdir().expect("a folder");
    for (name, text) in files {
        fs::write(folder.path().join(name), text).expect("a file");
    }
    folder
}

/// Exit code, standard output, standard error.
fn run(folder: &TempDir, arguments: &[&str]) -> (Option<i32>, String, String) {
    let output = Command::cargo_bin("cockpit-cards").expect("the program").current_dir(folder).args(arguments).output();
    let output = output.expect("it runs");
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).expect("text in UTF-8");
    (output.status.code(), text(output.stdout), text(output.stderr))
}

/// Each command, typed without a book.
fn typed() -> impl Iterator<Item = Vec<&'static str>> {
    COMMANDS.iter().map(|(before, after)| [*before, *after].concat())
}

#[test]
fn without_a_book_a_command_is_about_the_one_in_this_folder() {
    // What is kept beside books, hidden files and folders are no books.
    let beside = [
        ("boat.editions.yaml", "editions: 1\n"),
        (".hidden.yaml", "x"),
        ("notes.txt", "x"),
        ("own.yaml", "readings: 1\n"),
    ];
    for name in ["boat.yaml", "pepper.yaml", "pepper.yml", "Pepper.YAML"] {
        for arguments in typed() {
            let text = book("Tansy");
            let folder = folder(&[&[(name, text.as_str())][..], &beside].concat());
            fs::remove_file(folder.path().join("boat.editions.yaml")).expect("it goes");
            fs::create_dir(folder.path().join("old.yaml")).expect("a folder");
            let (code, out, err) = run(&folder, &arguments);
            assert!(code == Some(0) || (arguments[0] == "due" && code == Some(3)), "{name} {arguments:?}: {out}{err}");
            assert!(out.contains(name) && !out.contains(EXAMPLE_BOAT), "{name} {arguments:?}: {out}");
        }
    }
}

#[test]
fn the_usual_name_comes_before_any_other_book_in_the_folder() {
    for arguments in typed() {
        let (usual, other) = (book("Tansy"), book("Samphire"));
        let folder = folder(&[("a.yaml", &other), ("boat.yaml", &usual), ("c.yml", &other)]);
        let (_, out, err) = run(&folder, &arguments);
        assert!(out.contains("boat.yaml") && !out.contains("Samphire"), "{arguments:?}: {out}{err}");
    }
}

#[test]
fn with_no_book_or_several_it_is_refused_with_what_to_type() {
    for (position, arguments) in typed().enumerate() {
        let (code, out, err) = run(&folder(&[]), &arguments);
        assert_eq!((code, out.as_str()), (Some(2), ""), "{arguments:?}: {err}");
        assert!(err.contains("no book in this folder") && err.contains("cockpit-cards new"), "{arguments:?}: {err}");
        assert_eq!(err.contains("--example"), position < KNOW_THE_EXAMPLE, "{arguments:?}: {err}");

        let text = book("Tansy");
        let several = folder(&[("a.yaml", &text), ("b two.yml", &text)]);
        let (code, out, err) = run(&several, &arguments);
        assert_eq!((code, out.as_str()), (Some(2), ""), "{arguments:?}: {err}");
        assert!(err.contains("2 books in this folder: a.yaml, b two.yml"), "{arguments:?}: {err}");
        // Up to the book and after it as this command is typed.
        let (before, _) = COMMANDS[position];
        let word = if before[0] == "explain" { "explain CARD" } else { &before.join(" ") };
        assert!(err.contains(&format!("cockpit-cards {word} a.yaml")), "{arguments:?}: {err}");
        assert_eq!(fs::read_dir(several.path()).expect("the folder").count(), 2, "{arguments:?} wrote something");
    }
}

#[cfg(unix)]
#[test]
fn a_book_that_cannot_be_read_counts_as_one() {
    for arguments in typed() {
        let text = book("Tansy");
        let folder = folder(&[("a.yaml", &text)]);
        std::os::unix::fs::symlink("nowhere", folder.path().join("b.yaml")).expect("a link");
        let (code, out, err) = run(&folder, &arguments);
        assert_eq!((code, out.as_str()), (Some(2), ""), "{arguments:?}: {err}");
        assert!(err.contains("2 books in this folder"), "{arguments:?}: {err}");
        // Alone it is the book that is meant, and what is wrong with it is told.
        fs::remove_file(folder.path().join("a.yaml")).expect("it goes");
        let (code, _, err) = run(&folder, &arguments);
        assert!(code == Some(2) && err.contains("b.yaml"), "{arguments:?}: {code:?} {err}");
    }
}

#[test]
fn the_built_in_example_is_only_for_those_who_ask_for_it() {
    let text = book("Tansy");
    for (position, (before, after)) in COMMANDS.iter().enumerate() {
        let folder = folder(&[("boat.yaml", &text)]);
        let arguments = [*before, &["--example"], *after].concat();
        let (code, out, err) = run(&folder, &arguments);
        if position < KNOW_THE_EXAMPLE {
            assert_eq!(code, Some(0), "{arguments:?}: {err}");
            assert!(out.contains("built-in example") && !out.contains("Tansy"), "{arguments:?}: {out}");
        } else {
            assert!(code == Some(2) && err.contains("--example"), "{arguments:?}: {err}");
        }
        // A book and the example at once are a slip.
        let (code, _, err) = run(&folder, &[*before, &["boat.yaml", "--example"], *after].concat());
        assert!(code == Some(2) && err.contains("--example"), "{arguments:?}: {err}");
    }
}

#[test]
fn what_is_printed_of_a_boat_begins_with_its_name_and_its_book() {
    let text = book("Tansy");
    let boat = folder(&[("boat.yaml", &text)]);
    for arguments in [&["show", "--wind", "12"][..], &["show", "--wind", "90"], &["explain", "up"]] {
        let (_, out, err) = run(&boat, arguments);
        assert_eq!(out.lines().next(), Some("Tansy  (boat.yaml)"), "{arguments:?}: {out}{err}");
    }
    // Made-up readings are told as made up, in the terminal as on the cards.
    let made_up = folder(&[("boat.yaml", &text.replacen("book: 1\n", "book: 1\nexample: true\n", 1))]);
    for arguments in [&["show", "--wind", "12"][..], &["show", "--wind", "90"], &["explain", "up"]] {
        let (_, out, err) = run(&made_up, arguments);
        assert_eq!(out.lines().next(), Some("Tansy  (boat.yaml)  EXAMPLE"), "{arguments:?}: {out}{err}");
    }
    let (_, out, _) = run(&boat, &["show", "--example", "--wind", "12"]);
    assert_eq!(out.lines().next(), Some("Pepperwort  (built-in example)  EXAMPLE"));
    // For a script the list is the whole of it.
    for arguments in [&["show", "--wind", "12", "--json"][..], &["explain", "up", "--json"], &["check", "--json"]] {
        let (_, out, err) = run(&boat, arguments);
        let json: serde_json::Value = serde_json::from_str(&out).unwrap_or_else(|error| panic!("{error}: {out}{err}"));
        assert!(json.is_array(), "{arguments:?}: {out}");
    }
    let (_, examples, _) = run(&boat, &["show", "--example", "--wind", "12", "--json"]);
    assert!(examples.contains("j1-upwind"), "{examples}");
}

#[test]
fn the_top_of_a_new_book_gives_the_command_that_prints_it() {
    for name in ["boat.yaml", "pepper.yml", "my boat.yaml", "fleet/third.yaml"] {
        let folder = folder(&[]);
        fs::create_dir(folder.path().join("fleet")).expect("a folder");
        assert_eq!(run(&folder, &["new", name]).0, Some(0), "{name}");
        let text = fs::read_to_string(folder.path().join(name)).expect("a book");
        // The line above it is for editors.
        assert!(text.starts_with("# yaml-language-server: "), "{text}");
        let command = text.lines().nth(1).and_then(|line| line.split("cockpit-cards ").nth(1)).expect("a command");
        let (verb, book) = command.split_once(' ').expect("a verb and a book");
        let (code, out, err) = run(&folder, &[verb, book.trim_matches('"')]);
        assert_eq!(code, Some(0), "{command}: {out}{err}");
    }
    // A name that would end the comment is told as something on one line.
    #[cfg(unix)]
    {
        let folder = folder(&[]);
        assert_eq!(run(&folder, &["new", "a\nbook: 2 #.yaml"]).0, Some(0));
        let (code, out, err) = run(&folder, &["check"]);
        assert_eq!(code, Some(0), "{out}{err}");
    }
}
