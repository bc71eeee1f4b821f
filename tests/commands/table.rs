//! `table`: what the rows of settings say survives the way into a spreadsheet and back, to the last stamp; and no file that is there
//! is written over.

use std::fs;
use std::path::Path;
use std::process::Command;

use cockpit_cards::book;
use cockpit_cards::cards;
use cockpit_cards::door;
use cockpit_cards::drawing::font::has_glyph;

use crate::common::books;

/// Made-up books in a run of all tests.
const BOOKS: u64 = 8;

fn program(folder: &Path, arguments: &[&str]) -> (Option<i32>, String, String) {
    let output =
        Command::new(env!("CARGO_BIN_EXE_cockpit-cards")).current_dir(folder).args(arguments).output().unwrap();
    let text = |bytes: Vec<u8>| String::from_utf8(bytes).unwrap();
    (output.status.code(), text(output.stdout), text(output.stderr))
}

/// Every card of a book with its stamp; `None` if the book is not sound.
fn stamps(path: &Path) -> Option<Vec<(String, String)>> {
    let passed = door::through(book::from_path(path, has_glyph).unwrap(), |book, problems| {
        let all = cards::cards(book, problems);
        Some(all.iter().flat_map(cards::Card::sides).map(|card| (card.id.clone(), card.stamp.clone())).collect())
    });
    passed.made
}

/// The book with a table in the place of the rows of these settings; `None` if they are written in another form than
/// made-up books have them.
fn with_table(text: &str, id: &str, table: &str) -> Option<String> {
    let item = text.find(&format!("  - id: {id}\n"))?;
    let end = text[item + 1..].find("\n  - ").map_or(text.len(), |at| item + 1 + at + 1);
    let end = text[item + 1..]
        .lines()
        .scan(item + 1, |at, line| {
            let start = *at;
            *at += line.len() + 1;
            Some((start, line))
        })
        .skip(1)
        .find(|(_, line)| !line.is_empty() && !line.starts_with("    "))
        .map_or(end, |(start, _)| start.min(end));
    let (before, after) = (&text[..item], &text[end..]);
    let mut kept = String::new();
    let mut is_of_rows = false;
    for line in text[item..end].lines() {
        is_of_rows = match line {
            line if line.starts_with("    controls:") || line.starts_with("    table:") => true,
            "    at:" => true,
            line if line.starts_with("      ") || line.is_empty() => is_of_rows,
            _ => false,
        };
        if !is_of_rows {
            kept.push_str(line);
            kept.push('\n');
        }
    }
    Some(format!("{before}{kept}    table: {table}\n{after}"))
}

#[test]
fn a_table_that_was_written_and_named_changes_no_stamp_of_any_made_up_book() {
    let books: u64 = std::env::var("TABLE_BOOKS").ok().and_then(|count| count.parse().ok()).unwrap_or(BOOKS);
    let (mut sound, mut written, mut refused, mut by_angle, mut by_side) = (0, 0, Vec::new(), 0, 0);
    for seed in 0..books {
        let made_up = books::sound(&books::row(seed));
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("boat.yaml");
        fs::write(&path, &made_up.text).unwrap();
        for (name, text) in &made_up.tables {
            fs::write(folder.path().join(name), text).unwrap();
        }
        // Some are refused for want of room on a card.
        let Some(before) = stamps(&path) else { continue };
        sound += 1;
        let ids = made_up.text.lines().filter_map(|line| line.strip_prefix("  - id: "));
        let mut text = made_up.text.clone();
        for (nth, id) in ids.enumerate() {
            let table = format!("{id}-out.{}", if (nth as u64 + seed).is_multiple_of(3) { "csv" } else { "xlsx" });
            let (code, _, said) = program(folder.path(), &["table", id, "boat.yaml", "-o", &table]);
            if code != Some(0) {
                assert_eq!(code, Some(2), "{seed}: {id}: {said}");
                refused.push(format!("{seed}: {id}: {said}"));
                continue;
            }
            let Some(changed) = with_table(&text, id, &table) else { continue };
            written += 1;
            by_angle += usize::from(made_up.text.contains("angle_bands"));
            by_side += usize::from(made_up.text.contains("{port: "));
            text = changed;
        }
        fs::write(&path, &text).unwrap();
        let after = stamps(&path)
            .unwrap_or_else(|| panic!("{seed}: {:?}\n{text}", book::from_path(&path, has_glyph).unwrap().problems));
        assert_eq!(after, before, "{seed}:\n{text}");
    }
    assert!(written > sound && sound > 0, "only {written} tables written; refused: {refused:#?}");
    assert!(by_angle > 0 && by_side > 0, "{by_angle} in books with angles, {by_side} in books with sides");
    let by_themselves = |said: &String| said.contains("carried over") || said.contains("there are no settings");
    assert!(refused.iter().all(by_themselves), "{refused:#?}");
}

/// A book with everything that a cell can say.
const BOAT: &str = "\
book: 1
boat: {name: Chervil}
units: {wind: m/s}
controls:
  backstay: {name: Backstay, scale: {marks: 0..8, spacing: 20 mm, quarters: true}}
  ram: {name: 'Ram (aft)', scale: {gauge: {unit: bar, least: 0, most: 300}}}
  lead:
    name: Jib lead
    higher_is: aft
    scale: {marks: 0..20, spacing: 25 mm, halves: true, difference: {starboard: 1}}
    strip: {sides: both}
  traveller: {scale: {centre: C, marks: 6, spacing: 75 mm, ends: [W, L]}}
  caps: {scale: {turns: {base: gauge 38}}}
  vang: {scale: {words: [eased, '=hard', '#3, or more']}}
  wind: {name: Angle, scale: {marks: 0..4, spacing: 20 mm}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 2..9}
settings:
  - id: up
    sails: [main, j1]
    point_of_sail: upwind
    controls: [backstay, ram, lead, traveller, caps, vang, wind]
    at:
      3.3: [½, 0.1, 13, W3, -1, eased, 1]
      9.7 kn: [4¾, 33.333333, {port: 12½, starboard: 13}, C, +½, '=hard', 2]
      6.1: [~, none, {port: 11, starboard: ~}, L1.3, ~, '#3, or more', none]
    on_rail: {6.1: 4}
    between: {backstay: linear}
";

#[test]
fn all_that_a_cell_can_say_comes_back() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("boat.yaml");
    fs::write(&path, BOAT).unwrap();
    let before = stamps(&path).expect("a sound book");
    let (code, said, wrong) = program(folder.path(), &["table", "up", "-o", "up.xlsx"]);
    assert_eq!(code, Some(0), "{wrong}");
    assert!(said.contains("wrote up.xlsx: 3 rows of up") && said.contains("table: up.xlsx"), "{said}");
    let changed = with_table(BOAT, "up", "up.xlsx").unwrap();
    assert!(!changed.contains("9.7 kn") && changed.contains("on_rail"), "{changed}");
    fs::write(&path, changed).unwrap();
    assert_eq!(stamps(&path).expect("a sound book"), before);

    // One reading less, and a stamp is another: the comparison can fail.
    fs::write(&path, BOAT.replace("33.333333", "33.333334")).unwrap();
    assert_ne!(stamps(&path).expect("a sound book"), before);
}

#[test]
fn a_csv_file_holds_no_formula_of_ours() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("boat.yaml"), BOAT).unwrap();
    let (code, _, said) = program(folder.path(), &["table", "up", "-o", "up.csv"]);
    assert_eq!(code, Some(2));
    assert!(said.contains("`=hard`") && said.contains("as .xlsx"), "{said}");
    assert!(!folder.path().join("up.csv").exists());

    fs::write(folder.path().join("boat.yaml"), BOAT.replace("=hard", "hard")).unwrap();
    let (code, _, said) = program(folder.path(), &["table", "up", "-o", "up.csv"]);
    assert_eq!(code, Some(0), "{said}");
    let text = fs::read_to_string(folder.path().join("up.csv")).unwrap();
    let lines: Vec<&str> = text.split("\r\n").collect();
    assert_eq!(
        lines[0],
        "Wind [m/s],Backstay,Ram (aft) [bar],Jib lead port,Jib lead starboard,Traveller,Caps,Vang,wind"
    );
    assert_eq!(lines[1], "3.3,0.5,0.1,13,14,W3,-1,eased,1");
    assert!(lines[2].ends_with(",C,0.5,hard,2"), "{}", lines[2]);
    assert_eq!(lines[3], "6.1,,none,11,,L1.3,,\"#3, or more\",none");
    assert_eq!(lines.len(), 5);
}

#[test]
fn nothing_is_written_into_a_workbook() {
    let folder = tempfile::tempdir().unwrap();
    let text = "\
book: 1
boat: {name: Chervil}
controls: {lead: {scale: {marks: 0..20, spacing: 25 mm}}}
sails: {main: {kind: mainsail}, j1: {kind: headsail, wind: 4..16}}
settings:
  - id: up
    sails: [main, j1]
    point_of_sail: upwind
    controls: [lead]
    at:
      6: [12]
      12: [14]
";
    let path = folder.path().join("boat.yaml");
    fs::write(&path, text).unwrap();
    assert_eq!(program(folder.path(), &["table", "up", "-o", "up.xlsx"]).0, Some(0));
    let before = fs::read(folder.path().join("up.xlsx")).unwrap();
    let notes = |file: &str| format!("sailed: {{file: '{file}', time_zone: Europe/London}}\n");
    let add: &[&str] = &["sailed", "add", "up", "9", "lead=13", "fast"];
    let adopt: &[&str] = &["sailed", "adopt", "up", "6", "lead=13"];
    let in_table = with_table(text, "up", "up.xlsx").unwrap();
    fs::write(folder.path().join("sailed.csv"), "when,settings,wind,lead,verdict\n,up,9,13,fast\n").unwrap();
    for (book, command) in [
        (format!("{text}{}", notes("up.xlsx#log")), add),
        (format!("{in_table}{}", notes("sailed.csv")), adopt),
        (format!("{text}{}", notes("sailed.xlsx")), adopt),
    ] {
        // The sheets of the notes are empty but for their first line.
        for name in ["up.xlsx", "sailed.xlsx"] {
            let mut workbook = rust_xlsxwriter::Workbook::new();
            for (sheet, heads) in [("up", ["wind", "lead"]), ("log", ["settings", "lead"])] {
                let page = workbook.add_worksheet().set_name(sheet).unwrap();
                page.write_row(0, 0, heads).unwrap();
                if sheet == "up" {
                    page.write_row(1, 0, [6, 12]).unwrap();
                } else if name == "sailed.xlsx" {
                    page.set_hidden(true);
                }
            }
            fs::write(folder.path().join(name), workbook.save_to_buffer().unwrap()).unwrap();
        }
        if book.contains("sailed.xlsx") {
            let mut workbook = rust_xlsxwriter::Workbook::new();
            workbook.add_worksheet().write_row(0, 0, ["when", "settings", "wind", "lead"]).unwrap();
            fs::write(folder.path().join("sailed.xlsx"), workbook.save_to_buffer().unwrap()).unwrap();
        }
        let book = if command == add { book } else { book.replace("table: up.xlsx", "table: up.xlsx#up") };
        fs::write(&path, &book).unwrap();
        let files = || ["up.xlsx", "sailed.xlsx", "boat.yaml"].map(|name| fs::read(folder.path().join(name)).unwrap());
        let there = files();
        let (code, _, said) = program(folder.path(), command);
        assert_eq!(code, Some(2), "{book}\n{said}");
        assert!(said.contains("is a workbook") && said.contains("save the sheet as CSV"), "{book}\n{said}");
        assert!(files() == there, "{book}");
    }
    assert!(!before.is_empty());
}

#[test]
fn a_file_that_is_there_is_not_written_over() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("boat.yaml"), BOAT).unwrap();
    fs::write(folder.path().join("up.xlsx"), "mine").unwrap();
    let (code, _, said) = program(folder.path(), &["table", "up", "-o", "up.xlsx"]);
    assert_eq!(code, Some(2));
    assert!(said.contains("up.xlsx is there already"), "{said}");
    assert_eq!(fs::read_to_string(folder.path().join("up.xlsx")).unwrap(), "mine");
    for (arguments, remedy) in [
        (["table", "down", "-o", "down.xlsx"], "`up`"),
        (["table", "up", "-o", "up.ods"], "end its name in .xlsx or .csv"),
    ] {
        let (code, _, said) = program(folder.path(), &arguments);
        assert!(code == Some(2) && said.contains(remedy), "{said}");
    }
}

#[test]
fn the_same_settings_make_the_same_bytes_in_no_name_but_ours() {
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("boat.yaml"), BOAT).unwrap();
    let make = |name: &str| {
        assert_eq!(program(folder.path(), &["table", "up", "-o", name]).0, Some(0));
        fs::read(folder.path().join(name)).unwrap()
    };
    let first = make("one.xlsx");
    // Times in the file are kept to two seconds.
    std::thread::sleep(std::time::Duration::from_millis(2_100));
    assert!(first == make("two.xlsx"), "the second workbook differs from the first");
    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(first)).unwrap();
    let mut part = archive.by_name("docProps/app.xml").unwrap();
    let mut text = String::new();
    std::io::Read::read_to_string(&mut part, &mut text).unwrap();
    assert!(text.contains("<Application>cockpit-cards</Application>"), "{text}");
}

#[test]
fn what_is_carried_over_is_written_with_the_settings_that_it_comes_from() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("boat.yaml");
    let text = "\
book: 1
boat: {name: Chervil}
controls: {lead: {scale: {marks: 0..20, spacing: 25 mm}}, vang: {scale: {words: [eased, hard]}}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 4..16, retired: 2027-03-01}
  j1b: {kind: headsail, wind: 4..16, replaces: j1, start_from: [j1-up], offsets: {lead: 25 mm}}
  j1c: {kind: headsail, wind: 4..16, replaces: j1, start_from: [j1-up]}
settings:
  - id: j1-up
    sails: [main, j1]
    point_of_sail: upwind
    controls: [lead, vang]
    at:
      6: [12, eased]
      12: [14, hard]
  - id: j1b-up
    sails: [main, j1b]
    point_of_sail: upwind
    controls: [lead]
    at:
      9: [15]
";
    fs::write(&path, text).unwrap();
    let before = stamps(&path).expect("a sound book");
    let (code, _, said) = program(folder.path(), &["table", "j1c-up", "-o", "j1c.xlsx"]);
    assert_eq!(code, Some(2));
    assert!(said.contains("carried over"), "{said}");
    let (code, said, _) = program(folder.path(), &["table", "j1b-up", "-o", "j1b.xlsx"]);
    assert_eq!(code, Some(0));
    assert!(said.contains("1 row of j1b-up"), "{said}");
    fs::write(&path, with_table(text, "j1b-up", "j1b.xlsx").unwrap()).unwrap();
    assert_eq!(stamps(&path).expect("a sound book"), before);
}
