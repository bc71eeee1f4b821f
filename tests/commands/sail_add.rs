//! A new sail goes into the book where it belongs, and not one other byte of the file changes.

use crate::reading;

use std::fs;
use std::process::{Command, Stdio};

use cockpit_cards::book::edit::{add_entry, scalar};
use proptest::prelude::*;
use serde_json::Value;

const KEY: &str = "zz";
const VALUE: &str = "{kind: headsail, wind: 20..34}";

fn add(text: &str) -> String {
    match add_entry(text, "sails", KEY, VALUE) {
        Ok(changed) => changed,
        Err(problem) => panic!("{problem:?}\n{text}"),
    }
}

/// A book as another reader of YAML sees it.
fn read(text: &str) -> Value {
    serde_saphyr::from_str(text).unwrap_or_else(|error| panic!("{error}\n{text}"))
}

/// Fails unless the text was changed by one insertion, or by one and a comma before it.
fn assert_only_inserted(old: &str, new: &str) {
    let prefix = old.bytes().zip(new.bytes()).take_while(|(a, b)| a == b).count();
    let suffix = |new: &str| old.bytes().rev().zip(new.bytes().rev()).take_while(|(a, b)| a == b).count();
    let one = |new: &str| prefix + suffix(new) >= old.len();
    let without_comma = || {
        let mut bytes = new.as_bytes().to_vec();
        let comma = bytes.remove(prefix);
        let rest = String::from_utf8(bytes).unwrap_or_default();
        let prefix = old.bytes().zip(rest.bytes()).take_while(|(a, b)| a == b).count();
        comma == b',' && prefix + suffix(&rest) >= old.len()
    };
    assert!(one(new) || without_comma(), "more was changed than inserted:\n{old}\n---\n{new}");
}

fn assert_added(old: &str) {
    let new = add(old);
    assert_only_inserted(old, &new);
    let mut wanted = read(old);
    if !wanted["sails"].is_object() {
        wanted["sails"] = serde_json::json!({});
    }
    wanted["sails"][KEY] = serde_json::json!({"kind": "headsail", "wind": "20..34"});
    assert_eq!(read(&new), wanted, "{new}");
    if old.contains("\r\n") {
        assert!(!new.replace("\r\n", "").contains('\n'), "line ends stay what they are: {new:?}");
    }
    assert_eq!(old.ends_with('\n'), new.ends_with('\n'), "so does the end of the file");
}

/// Sections of sails as people write them.
const SECTIONS: &[&str] = &[
    "sails:\n  main: {kind: mainsail}\n  j1: {kind: headsail, wind: 5..16}\n",
    "sails:\n  main: {kind: mainsail}   # new in spring\n  j1: {kind: headsail}   # patched\n",
    "sails:  # the wardrobe\n    main:\n        kind: mainsail\n    # the light one\n    j1:\n        kind: headsail\n        wind: 5..16\n\n    # nothing below\n",
    "sails: {main: {kind: mainsail}, j1: {kind: headsail}}\n",
    "sails: {main: {kind: mainsail}, j1: {kind: headsail},}\n",
    "sails: {}\n",
    "sails: { }   # none yet\n",
    "sails:\n",
    "sails:   # none yet\n",
    "sails: {\n  main: {kind: mainsail},  # a, b\n  j1: {kind: headsail}  # c, }\n}\n",
    "sails: {\n  main: {kind: mainsail},\n  j1: {kind: headsail},  # the last\n  # j0: {kind: headsail}\n}\n",
    "sails: {\n  main: {kind: mainsail},\n  j1: {kind: headsail,\n    wind: 5..16}\n  }\n",
    "sails:\n  main: {kind: mainsail}\n  j1:\n    {kind: headsail,\n     wind: 5..16,   # light\n     angle: 36..60}\n",
    "sails:\n  'main': {kind: mainsail}\n  \"j1\": {kind: headsail, name: \"J1 # not a comment\"}\n",
    "sails:\n  main: &m {kind: mainsail}\n  j1: {kind: headsail}\n",
    "sails:\n  main: {kind: mainsail}\n  j1: &j {kind: headsail}\n  j2: *j\n",
    "sails:\n  main: {kind: &k mainsail}\n  j1:\n    name: J1\n    kind: *k\n",
    "sails:\n  main: {kind: mainsail}\n  j1: {kind: headsail, name: J½ ł}\n",
    "sails:\n  main: {kind: mainsail}\n  j1:\n    name: >-\n      a long\n      name\n    kind: headsail\n",
    "\"sails\":\n main: {kind: mainsail}\n",
    "",
];

const OTHERS: &[&str] = &[
    "book: 1\n",
    "# a comment\n",
    "\n",
    "boat: {name: Chervil}\n",
    "controls:\n  backstay: {scale: {marks: 0..8, spacing: 20 mm}}  # sails: not here\n",
    "units: {length: mm}   # mm\n",
    "notes: [a, # first\n  b]\n",
    "settings:\n  - {id: up,\n     at: {6: [1,   2]}}\n",
];

proptest! {
    #![proptest_config(ProptestConfig { cases: 600, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn whatever_stands_around_it_a_sail_is_inserted_and_nothing_else_changes(
        section in 0..SECTIONS.len(),
        order in Just((0..OTHERS.len()).collect::<Vec<_>>()).prop_shuffle(),
        kept in 0..OTHERS.len(),
        at in 0..OTHERS.len(),
        crlf: bool,
        mark: bool,
        cut: bool,
    ) {
        let mut parts: Vec<&str> = order.into_iter().take(kept).map(|index| OTHERS[index]).collect();
        parts.insert(at.min(parts.len()), SECTIONS[section]);
        let mut text = parts.concat();
        // A book without anything in it is no book.
        prop_assume!(text.contains(':'));
        prop_assume!(!text.lines().all(|line| line.trim_start().starts_with('#') || line.is_empty()));
        if cut {
            text.truncate(text.trim_end_matches('\n').len());
        }
        if crlf {
            text = text.replace('\n', "\r\n");
        }
        if mark {
            text.insert(0, '\u{FEFF}');
        }
        assert_added(&text);
    }
}

#[test]
fn a_form_that_cannot_be_changed_safely_is_refused_at_its_place() {
    for text in [
        "base: &s\n  main: {kind: mainsail}\nsails: *s\n",
        "sails: &s\n  main: {kind: mainsail}\nother: *s\n",
        "sails: &s {main: {kind: mainsail}}\nother: *s\n",
        "book: 1\nsails: ~\n",
        "book: 1\nsails: [main]\n",
        "book: 1\nsails: none\n",
        "{book: 1, boat: {name: Chervil}}\n",
        "book: 1\nboat: {name: Chervil}\n...\n",
    ] {
        let problem = add_entry(text, "sails", KEY, VALUE).expect_err(text);
        let place = problem.place.expect("a place");
        let at = &text[place.bytes.clone()];
        assert!(at == "sails" || place.bytes.start == 0, "{text}: {at}");
        assert!(problem.instead.contains("by hand"), "{}", problem.instead);
    }
    let twice = add_entry("sails:\n  zz: {kind: mainsail}\n", "sails", KEY, VALUE).expect_err("there already");
    assert_eq!(twice.place.expect("a place").bytes, 9..11);
    assert!(add_entry("book: [1\n", "sails", KEY, VALUE).is_err());
    assert!(add_entry("", "sails", KEY, VALUE).is_err());
}

#[test]
fn a_comment_stays_with_the_entry_it_is_about() {
    let changed = add("sails: {\n  main: {kind: mainsail},\n  j1: {kind: headsail}  # patched\n}\n");
    assert_eq!(
        changed,
        format!("sails: {{\n  main: {{kind: mainsail}},\n  j1: {{kind: headsail}},  # patched\n  {KEY}: {VALUE}\n}}\n")
    );
}

proptest! {
    #[test]
    fn any_text_as_a_value_reads_as_itself(text in "[ -~½łé]{1,30}") {
        let text = text.trim();
        prop_assume!(!text.is_empty());
        let read: std::collections::BTreeMap<String, String> =
            serde_saphyr::from_str(&format!("{{a: {}, b: x}}", scalar(text))).expect("YAML");
        prop_assert_eq!(read["a"].as_str(), text);
    }
}

fn sail_add(folder: &std::path::Path, arguments: &[&str]) -> (i32, String) {
    let output = Command::new(env!("CARGO_BIN_EXE_cockpit-cards"))
        .args(["sail", "add"])
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .expect("a run");
    let text = [output.stdout.as_slice(), output.stderr.as_slice()].concat();
    (output.status.code().unwrap_or(-1), String::from_utf8_lossy(&text).into_owned())
}

#[test]
fn the_command_adds_a_sail_and_says_what_that_makes_due() {
    let folder = tempfile::tempdir().expect("a folder");
    let book = folder.path().join("boat.yaml");
    let old = reading::SOUND.replace('\n', "\r\n");
    fs::write(&book, &old).expect("a book");
    let bought = ["--id", "j2", "--kind", "headsail", "--name", "J2: new", "--wind", "12..20", "--replaces", "j1"];
    let (code, text) =
        sail_add(folder.path(), &[&bought[..], &["--start-from", "j1-upwind", "--offset", "lead=-1"]].concat());
    assert_eq!(code, 0, "{text}");
    assert!(text.contains("j2-upwind") && text.contains("due"), "{text}");
    let new = fs::read_to_string(&book).expect("a book");
    assert_only_inserted(&old, &new);
    assert!(new.contains("  j2: {kind: headsail, name: \"J2: new\", wind: 12..20, replaces: j1, start_from: j1-upwind, offsets: {lead: \"-1\"}}\r\n"), "{new}");
}

/// What the program prints in a folder. Panics unless it is satisfied.
fn printed(folder: &std::path::Path, arguments: &[&str]) -> String {
    let run = Command::new(env!("CARGO_BIN_EXE_cockpit-cards"))
        .args(arguments)
        .current_dir(folder)
        .stdin(Stdio::null())
        .output()
        .expect("a run");
    assert!(run.status.success(), "{}", String::from_utf8_lossy(&run.stderr));
    String::from_utf8(run.stdout).expect("text")
}

#[test]
fn a_sail_that_starts_from_a_table_by_angle_has_its_marks_moved_and_marked_at_each_angle() {
    let folder = tempfile::tempdir().expect("a folder");
    let book = folder.path().join("boat.yaml");
    let reach = "  - id: j1-reach
    sails: [main, j1]
    controls: [backstay, lead]
    angle_bands: [50, 70, 90]
    at: {10: {60: [4, 13], 80: [3, 12]}, 14: {60: [5, 14]}}
    targets: {10: {60: {speed: 7.2 kn}}}
";
    let old = format!("{}{reach}", reading::SOUND);
    fs::write(&book, &old).expect("a book");
    let bought = ["--id", "j2", "--kind", "headsail", "--name", "J2", "--wind", "8..16", "--replaces", "j1"];
    let (code, text) =
        sail_add(folder.path(), &[&bought[..], &["--start-from", "j1-reach", "--offset", "lead=-1"]].concat());
    assert_eq!(code, 0, "{text}");
    assert!(text.contains("j2-reach") && text.contains("due"), "{text}");
    assert_only_inserted(&old, &fs::read_to_string(&book).expect("a book"));
    for (wind, angle, lead, backstay) in [("10", "60", 12.0, 4.0), ("10", "80", 11.0, 3.0), ("14", "60", 13.0, 5.0)] {
        let asked = ["show", "--wind", wind, "--angle", angle, "--settings", "j2-reach", "--json"];
        let shown: Value = serde_json::from_str(&printed(folder.path(), &asked)).expect("JSON");
        let of = |name: &str| {
            let controls = shown[0]["controls"].as_array().expect("controls").iter();
            controls.into_iter().find(|control| control["id"] == name).expect("a control").clone()
        };
        for (control, reading) in [(of("lead"), lead), (of("backstay"), backstay)] {
            assert_eq!(control["value"], reading, "{wind} kn, {angle}°: {control}");
            assert_eq!(control["ground"], "carried-over", "{wind} kn, {angle}°: {control}");
        }
    }
}

#[test]
fn what_would_spoil_the_book_is_refused_and_the_book_is_kept() {
    let folder = tempfile::tempdir().expect("a folder");
    let book = folder.path().join("boat.yaml");
    for (arguments, complaint) in [
        (&["--id", "j2"][..], "--kind"),
        (&["--id", "j2", "--kind", "hedsail"], "headsail"),
        (&["--id", "j1", "--kind", "headsail"], "already"),
        (&["--id", "j2", "--kind", "headsail", "--replaces", "j9"], "j9"),
        (&["--id", "j2", "--kind", "headsail", "--start-from", "j9"], "j9"),
        (&["--id", "j2: {", "--kind", "headsail"], "id"),
        (&["--id", "j2", "--kind", "headsail", "--offset", "lead"], "--offset"),
    ] {
        fs::write(&book, reading::SOUND).expect("a book");
        let (code, text) = sail_add(folder.path(), arguments);
        assert!(code == 2 && text.contains(complaint), "{arguments:?}: {code} {text}");
        assert_eq!(fs::read_to_string(&book).expect("a book"), reading::SOUND);
    }
    let (code, text) = sail_add(folder.path(), &["other.yaml", "--id", "j2", "--kind", "headsail"]);
    assert!(code == 2 && text.contains("other.yaml"), "{text}");
}

#[cfg(unix)]
#[test]
fn a_book_keeps_its_permissions_and_a_link_stays_a_link() {
    use std::os::unix::fs::PermissionsExt;
    let folder = tempfile::tempdir().expect("a folder");
    let real = folder.path().join("real.yaml");
    fs::write(&real, reading::SOUND).expect("a book");
    fs::set_permissions(&real, fs::Permissions::from_mode(0o640)).expect("permissions");
    let link = folder.path().join("boat.yaml");
    std::os::unix::fs::symlink(&real, &link).expect("a link");
    assert_eq!(sail_add(folder.path(), &["--id", "j2", "--kind", "headsail"]).0, 0);
    assert!(fs::symlink_metadata(&link).expect("a link").is_symlink());
    assert!(fs::read_to_string(&real).expect("a book").contains("j2:"));
    assert_eq!(fs::metadata(&real).expect("a book").permissions().mode() & 0o777, 0o640);
}
