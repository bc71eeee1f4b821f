//! Many books in one run: each into a folder of its own, the bytes of a run alone, told of in their order, and a bad one
//! stops no other.

use crate::swap::Swap;
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use assert_cmd::Command;

/// The program in a folder of its own.
struct Fleet(tempfile::TempDir);

/// What a run said and how it ended.
struct Said {
    code: Option<i32>,
    out: String,
    err: String,
}

impl Fleet {
    fn new() -> Self {
        Fleet(tempfile::tempdir().expect("a folder"))
    }

    /// With sound books of these names.
    fn of(names: &[&str]) -> Self {
        let fleet = Fleet::new();
        names.iter().for_each(|name| fleet.write(name, &book("Tansy", "backstay")));
        fleet
    }

    fn write(&self, name: &str, text: &str) {
        let path = self.0.path().join(name);
        fs::create_dir_all(path.parent().expect("a folder")).expect("a folder");
        fs::write(path, text).expect("a file");
    }

    fn run(&self, arguments: &[&str]) -> Said {
        self.run_on(arguments, "2")
    }

    fn run_on(&self, arguments: &[&str], threads: &str) -> Said {
        let mut command = Command::cargo_bin("cockpit-cards").expect("the program");
        let output = command.current_dir(&self.0).env("RAYON_NUM_THREADS", threads).args(arguments).output();
        let output = output.expect("a run");
        let text = |bytes: &[u8]| String::from_utf8(bytes.to_vec()).expect("UTF-8");
        Said { code: output.status.code(), out: text(&output.stdout), err: text(&output.stderr) }
    }

    /// Every file below a folder of it, by its name from there.
    fn files(&self, folder: &str) -> BTreeMap<String, Vec<u8>> {
        fn walk(root: &Path, folder: &Path, found: &mut BTreeMap<String, Vec<u8>>) {
            for entry in fs::read_dir(folder).into_iter().flatten() {
                let path = entry.expect("an entry").path();
                if path.is_dir() {
                    walk(root, &path, found);
                } else {
                    let name = path.strip_prefix(root).expect("below").to_string_lossy().replace('\\', "/");
                    found.insert(name, fs::read(&path).expect("a file"));
                }
            }
        }
        let (root, mut found) = (self.0.path().join(folder), BTreeMap::new());
        walk(&root, &root, &mut found);
        found
    }

    /// The folders with a manifest in them.
    fn printed(&self) -> Vec<String> {
        let files = self.files("out").into_keys();
        files.filter_map(|name| Some(name.strip_suffix("/manifest.json")?.to_owned())).collect()
    }
}

/// A small sound book of a boat with one control.
fn book(boat: &str, control: &str) -> String {
    format!(
        "book: 1\nboat: {{name: {boat}}}\ncontrols:\n  {control}: {{higher_is: tighter, scale: {{marks: 0..6, spacing: 20 mm}}}}\n\
         sails:\n  main: {{kind: mainsail}}\nsettings:\n  - {{id: up, sails: [main], point_of_sail: upwind, controls: [{control}], at: {{6: [0], 20: [5]}}}}\n"
    )
}

fn bad_book(boat: &str) -> String {
    book(boat, "backstay").swap("mainsail", "mainsial").swap("upwind", "upwnd")
}

#[test]
fn each_book_of_several_has_the_bytes_of_a_run_alone_on_any_number_of_threads() {
    let fleet = Fleet::new();
    let names: Vec<String> = (0..40).map(|number| format!("boat-{number}.yaml")).collect();
    for (number, name) in names.iter().enumerate() {
        fleet.write(name, &book(&format!("Tansy {number}"), "backstay"));
    }
    for name in &names {
        let alone = format!("alone/{}", name.trim_end_matches(".yaml"));
        assert_eq!(fleet.run(&["build", name, "--out", &alone]).code, Some(0));
    }
    let alone = fleet.files("alone");
    assert_eq!(alone.len(), 40 * 7, "two PDFs, three pictures, a proof and a manifest each");
    let mut said = Vec::new();
    for threads in ["1", "2", "7"] {
        let mut arguments = vec!["build", "--out", "out"];
        arguments.extend(names.iter().map(String::as_str));
        let run = fleet.run_on(&arguments, threads);
        assert_eq!((run.code, run.err.as_str()), (Some(0), ""), "nothing is drawn where there is no terminal");
        assert!(fleet.files("out") == alone, "{threads} threads");
        fs::remove_dir_all(fleet.0.path().join("out")).expect("a folder");
        said.push(run.out);
    }
    assert!(said.iter().all(|other| *other == said[0]));
}

#[test]
fn a_folder_means_the_books_right_in_it_and_nothing_else_of_yaml() {
    let fleet = Fleet::of(&["boats/a.yaml", "boats/b.yml", "boats/C.YAML", "boats/below/d.yaml", "boats/.hidden.yaml"]);
    assert_eq!(fleet.run(&["reissue", "boats/a.yaml", "--date", "2027-05-01", "--out", "released"]).code, Some(0));
    let readings = ["--across", "179.4", "--along", "250.9", "--date", "2027-05-01", "--readings", "boats/ours.yaml"];
    assert_eq!(fleet.run(&[&["printer", "set", "office"][..], &readings].concat()).code, Some(0));
    fs::copy(fleet.0.path().join("boats/a.editions.yaml"), fleet.0.path().join("boats/a copy.yaml")).expect("a copy");
    fleet.write("boats/notes.txt", "no book");
    fs::create_dir(fleet.0.path().join("boats/folder.yaml")).expect("a folder");
    let said = fleet.run(&["build", "boats"]);
    assert_eq!((said.code, said.err.as_str()), (Some(0), ""));
    assert_eq!(fleet.printed(), ["C", "a", "b"]);
    assert!(said.out.contains("Printed 3 of 3 books: 9 cards on 6 pages, 6 of them DRAFT."), "{}", said.out);
}

#[test]
fn a_folder_with_one_book_gives_it_a_folder_of_its_own_as_well() {
    let fleet = Fleet::of(&["boats/a.yaml"]);
    assert_eq!(fleet.run(&["build", "boats"]).code, Some(0));
    assert_eq!(fleet.printed(), ["a"]);
}

#[test]
fn a_bad_book_stops_no_other_and_all_is_told_in_the_order_of_the_books() {
    let fleet = Fleet::of(&["a.yaml", "c.yaml"]);
    fleet.write("b.yaml", &bad_book("Sorrel"));
    fleet.write("d.yaml", "book: [1");
    // A warning: the row beyond the wind of its sails.
    fleet.write("e.yaml", &book("Yarrow", "backstay").swap("{kind: mainsail}", "{kind: mainsail, wind: 4..15}"));
    for _ in 0..5 {
        let said = fleet.run(&["build", "e.yaml", "d.yaml", "none.yaml", "c.yaml", "b.yaml", "a.yaml"]);
        assert_eq!(said.code, Some(2), "{}", said.err);
        assert_eq!(fleet.printed(), ["a", "c", "e"], "{}", said.err);
        let at = |words: &str| said.err.find(words).unwrap_or_else(|| panic!("{words} in {}", said.err));
        let order = [
            "e.yaml:",
            "d.yaml:",
            "1 error in d.yaml; nothing of it was written",
            "there is no book `none.yaml`",
            "mainsial",
            "upwnd",
            "2 errors in b.yaml; nothing of it was written",
        ];
        assert!(order.map(at).is_sorted(), "{}", said.err);
        let lines: Vec<&str> = said.out.lines().filter(|line| line.contains(".yaml")).map(str::trim).collect();
        assert_eq!(lines.len(), 6, "{}", said.out);
        for (line, (name, end)) in lines.iter().zip([
            ("e.yaml", "1 warning"),
            ("d.yaml", "not printed: 1 error"),
            ("none.yaml", "not printed: 1 error"),
            ("c.yaml", "c"),
            ("b.yaml", "not printed: 2 errors"),
            ("a.yaml", "a"),
        ]) {
            assert!(line.starts_with(name) && line.ends_with(end), "{line}");
        }
        assert!(said.out.contains("Printed 3 of 6 books: 9 cards on 6 pages, all DRAFT; 4 errors and 1 warning."));
    }
}

#[test]
fn the_problems_of_a_bad_book_stand_together_word_for_word_as_in_a_run_alone() {
    let fleet = Fleet::new();
    let names: Vec<String> = (0..24).map(|number| format!("b{number:02}.yaml")).collect();
    names.iter().for_each(|name| fleet.write(name, &bad_book(name)));
    let alone = |name: &String| fleet.run(&["check", name]).err.trim_end().to_owned();
    let expected: Vec<String> = names.iter().map(alone).collect();
    let said = fleet.run_on(&[&["build"], &names.iter().map(String::as_str).collect::<Vec<_>>()[..]].concat(), "8");
    let mut rest = said.err.as_str();
    for (name, expected) in names.iter().zip(&expected) {
        rest = rest.strip_prefix(expected.as_str()).unwrap_or_else(|| panic!("{name} whole, then: {rest}"));
        let closing = format!("\n\nerror: 2 errors in {name}; nothing of it was written\n");
        rest = rest.strip_prefix(&closing).unwrap_or_else(|| panic!("{closing}: {rest}"));
        rest = rest.split_once("\n\n").expect("a blank line after each").1;
    }
    assert_eq!(rest, "");
}

#[test]
fn a_bad_book_leaves_the_files_of_its_last_run_as_they_were() {
    let fleet = Fleet::of(&["a.yaml", "b.yaml"]);
    assert_eq!(fleet.run(&["build", "a.yaml", "b.yaml"]).code, Some(0));
    let before = fleet.files("out/a");
    fleet.write("a.yaml", &bad_book("Tansy"));
    fleet.write("b.yaml", &book("Woad", "outhaul"));
    let old_b = fleet.files("out/b");
    assert_eq!(fleet.run(&["build", "a.yaml", "b.yaml"]).code, Some(2));
    assert!(fleet.files("out/a") == before);
    assert!(fleet.files("out/b")["manifest.json"] != old_b["manifest.json"]);
}

#[test]
fn two_books_that_would_share_a_folder_are_refused_and_the_others_printed() {
    let pairs = [
        ("one/boat.yaml", "two/boat.yaml"),
        // One folder to the disks of most laptops.
        ("Boat.yaml", "two/boAT.yml"),
        ("caf\u{e9}.yaml", "two/cafe\u{301}.yaml"),
        ("boat.yaml", "two/boat ..yaml"),
    ];
    for (one, other) in pairs {
        let fleet = Fleet::of(&[one, "third.yaml", other]);
        let said = fleet.run(&["build", one, "third.yaml", other]);
        assert_eq!(said.code, Some(2), "{}", said.err);
        assert_eq!(fleet.printed(), ["third"], "{}", said.err);
        assert!(said.err.contains(one) && said.err.contains(other) && said.err.contains("--out"), "{}", said.err);
    }
}

#[test]
fn a_book_whose_name_leads_out_of_the_folder_is_refused() {
    let fleet = Fleet::of(&["a.yaml", "...yaml", "..yaml"]);
    let said = fleet.run(&["build", "a.yaml", "...yaml", "..yaml", "--out", "deep/out"]);
    assert_eq!(said.code, Some(2), "{}", said.err);
    assert_eq!(said.err.matches("no folder can be named after").count(), 2, "{}", said.err);
    let files = fleet.files("deep");
    assert!(!files.is_empty() && files.keys().all(|name| name.starts_with("out/a/")), "{:?}", files.keys());
}

#[test]
fn a_book_that_is_named_twice_is_printed_once() {
    let fleet = Fleet::of(&["boats/a.yaml", "boats/b.yaml"]);
    let said = fleet.run(&["build", "boats/b.yaml", "boats", "./boats/a.yaml"]);
    assert_eq!((said.code, said.err.as_str()), (Some(0), ""));
    assert!(said.out.starts_with("2 books\n\n  boats/b.yaml"), "{}", said.out);
}

#[test]
fn only_prints_what_each_book_has_and_refuses_what_none_has() {
    let fleet = Fleet::of(&["a.yaml"]);
    fleet.write("b.yaml", &book("Woad", "outhaul"));
    let said = fleet.run(&["build", "a.yaml", "b.yaml", "--only", "strip-outhaul"]);
    assert_eq!((said.code, said.err.as_str()), (Some(0), ""));
    assert_eq!(fleet.printed(), ["b"]);
    assert!(said.out.contains("a.yaml  has none of these cards"), "{}", said.out);

    let said = fleet.run(&["build", "a.yaml", "b.yaml", "--only", "up", "--only", "strip-outhual"]);
    assert_eq!(said.code, Some(2));
    assert!(said.err.contains("no card of these books has the id `strip-outhual`"), "{}", said.err);
    assert!(said.err.contains("did you mean `strip-outhaul`?"), "{}", said.err);
    assert_eq!(fleet.printed(), ["a", "b"]);
}

#[test]
fn a_machine_that_fails_for_one_book_fails_for_that_one_and_counts_for_more_than_a_bad_book() {
    let fleet = Fleet::of(&["a.yaml", "c.yaml"]);
    fleet.write("b.yaml", &bad_book("Sorrel"));
    // Nobody can make a folder out of a file.
    fleet.write("out/a", "theirs");
    let said = fleet.run(&["build", "a.yaml", "b.yaml", "c.yaml"]);
    assert_eq!(said.code, Some(1), "{}", said.err);
    assert_eq!(fleet.printed(), ["c"]);
    assert!(said.err.contains("error: a.yaml: nothing is certain to be written: out/a"), "{}", said.err);
    assert!(
        said.out.contains("not written: the machine failed") && said.out.contains("Printed 1 of 3"),
        "{}",
        said.out
    );
    assert_eq!(fs::read(fleet.0.path().join("out/a")).expect("a file"), b"theirs");
}

#[test]
fn a_folder_without_books_is_refused_in_words() {
    let fleet = Fleet::of(&["a.yaml"]);
    fs::create_dir(fleet.0.path().join("empty")).expect("a folder");
    for command in ["build", "check"] {
        let said = fleet.run(&[command, "empty"]);
        assert_eq!(said.code, Some(2));
        assert!(said.err.contains("there is no book in empty") && said.err.contains("help"), "{}", said.err);
    }
    assert_eq!(fleet.run(&["build", "empty", "a.yaml"]).code, Some(2));
    assert_eq!(fleet.printed(), ["a"]);
}

#[test]
fn many_books_are_checked_in_their_order_too() {
    let fleet = Fleet::of(&["boats/a.yaml", "boats/c.yaml"]);
    fleet.write("boats/b.yaml", &bad_book("Sorrel"));
    let said = fleet.run(&["check", "boats"]);
    assert_eq!(said.code, Some(2));
    assert_eq!(said.out, "boats/a.yaml: nothing wrong\nboats/b.yaml: 2 errors\nboats/c.yaml: nothing wrong\n");
    let said = fleet.run(&["check", "boats", "--json"]);
    let problems: serde_json::Value = serde_json::from_str(&said.out).expect("JSON");
    let files: Vec<_> = problems.as_array().expect("a list").iter().map(|problem| problem["file"].clone()).collect();
    assert_eq!(files, ["boats/b.yaml", "boats/b.yaml"]);
    assert_eq!(said.code, Some(2));
}
