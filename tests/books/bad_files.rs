//! What can be wrong with a book as a file, and with the tables it names; and that nothing in a file makes reading panic.
//!
//! In the texts below `«` and `»` stand around each fault; they are taken out before reading.

use crate::reading;
use crate::swap::Swap;

use std::fs;
use std::path::Path;

use cockpit_cards::book::{self, Loaded, report};
use cockpit_cards::drawing::font::has_glyph;
use proptest::prelude::*;
use reading::{SOUND, complaints, load, load_with, spoilt, unmarked};
use serde_json::json;

/// Writes a file into a new directory and reads it as a book.
fn load_bytes(bytes: &[u8]) -> Loaded {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("boat.yaml");
    fs::write(&path, bytes).unwrap();
    book::from_path(&path, has_glyph).unwrap()
}

/// The one problem that a book has.
fn only_problem(loaded: &Loaded) -> &book::Problem {
    assert_eq!(loaded.problems.len(), 1, "{}", complaints(loaded));
    &loaded.problems[0]
}

#[test]
fn three_faults_in_one_book_give_three_problems_in_one_run() {
    let text = spoilt("spacing: 20 mm", "spacing: 20 kg").swap("snug]\n      14", "tight]\n      14");
    let loaded = load(&text.swap("kind: headsail", "kind: hedsail"));
    let lines: Vec<_> = report::for_machines(&loaded.problems, &loaded.sources)
        .as_array()
        .unwrap()
        .iter()
        .map(|problem| problem["line"].as_u64().unwrap())
        .collect();
    assert_eq!(lines, [5, 12, 20], "{}", complaints(&loaded));
    assert!(!loaded.is_sound());
}

#[test]
fn machines_get_the_line_and_the_column_in_characters() {
    let (text, _) = unmarked(&spoilt("6:  [0, 13, eased]", "6:  [½, «99», eased]"));
    let loaded = load(&text);
    assert_eq!(
        report::for_machines(&loaded.problems, &loaded.sources),
        json!([{
            "level": "error",
            "file": "boat.yaml",
            "line": 19,
            "column": 15,
            "what": "\"Lead\": `99` is off the scale",
            "instead": "it runs from 0 to 20",
        }])
    );
}

#[test]
fn people_get_the_same_line_and_column_as_machines() {
    let text = spoilt("6:  [0, 13, eased]", "6:  [½, 99, eased]");
    assert!(complaints(&load(&text)).contains("--> boat.yaml:19:15"), "{}", complaints(&load(&text)));
    let bom = format!("\u{FEFF}{}", SOUND.swap("book: 1", "bok: 1"));
    assert!(complaints(&load(&bom)).contains("--> boat.yaml:1:1"), "{}", complaints(&load(&bom)));
}

#[test]
fn a_fault_far_along_a_long_line_is_shown_around_its_place() {
    let text = spoilt("{name: Chervil}", &format!("{{{}name: Chervil, wibble: 1}}", " ".repeat(3000)));
    let loaded = load(&text);
    let report = complaints(&loaded);
    assert!(report.contains("boat.yaml:2:3023") && report.contains("wibble: 1"), "{report}");
    assert!(report.lines().all(|line| line.chars().count() < 200), "{report}");
}

#[test]
fn a_missing_book_a_directory_and_a_huge_file_are_told_apart() {
    let directory = tempfile::tempdir().unwrap();
    let missing = book::from_path(&directory.path().join("none.yaml"), has_glyph).unwrap();
    assert!(only_problem(&missing).what.contains("there is no book"));
    let is_directory = book::from_path(directory.path(), has_glyph).unwrap();
    assert!(only_problem(&is_directory).what.contains("is a directory"));
    let huge = load_bytes(&vec![b'#'; cockpit_cards::limits::MAX_FILE_BYTES + 1]);
    assert!(only_problem(&huge).what.contains("larger than 4 MB"));
    let huge = load(&"#".repeat(cockpit_cards::limits::MAX_FILE_BYTES + 1));
    assert!(only_problem(&huge).what.contains("larger than 4 MB"));
    for loaded in [missing, is_directory, huge] {
        assert!(!loaded.is_sound());
        assert!(complaints(&loaded).contains("help: "), "{}", complaints(&loaded));
    }
}

#[test]
fn a_file_that_is_not_utf_8_is_told_where_it_stops_being_so() {
    let mut bytes = b"book: 1\nboat: {name: Caf".to_vec();
    bytes.extend([0xE9, b'}', b'\n']); // é in ISO 8859-1
    let loaded = load_bytes(&bytes);
    let problems = report::for_machines(&loaded.problems, &loaded.sources);
    assert_eq!((&problems[0]["line"], &problems[0]["column"]), (&json!(2), &json!(17)));
    assert!(only_problem(&loaded).instead.contains("UTF-8"));
    // UTF-16, as some editors call "Unicode".
    let utf_16: Vec<u8> = "\u{FEFF}book: 1\n".encode_utf16().flat_map(u16::to_le_bytes).collect();
    assert!(only_problem(&load_bytes(&utf_16)).instead.contains("UTF-8"));
}

#[test]
fn references_to_references_cannot_fill_the_memory() {
    let mut bomb = "a0: &a0 [x, x, x, x, x, x, x, x, x]\n".to_owned();
    for level in 1..30 {
        let before = vec![format!("*a{}", level - 1); 9].join(", ");
        bomb.push_str(&format!("a{level}: &a{level} [{before}]\n"));
    }
    let loaded = load(&bomb);
    assert!(only_problem(&loaded).instead.contains("references to references"));

    // A chain that grows deep, not wide: it would overflow the stack.
    let mut chain = "a0: &a0 [x]\n".to_owned();
    for level in 1..100_000 {
        chain.push_str(&format!("a{level}: &a{level} [*a{}]\n", level - 1));
    }
    assert!(only_problem(&load(&chain)).what.contains("deep"));
}

#[test]
fn ten_thousand_brackets_in_a_row_are_refused() {
    for open in ["[", "{", "- ", "? ", "[{"] {
        let loaded = load(&open.repeat(10_000));
        assert!(!loaded.is_sound(), "{open}");
        assert!(only_problem(&loaded).what.contains("deep"), "{open}: {}", complaints(&loaded));
    }
}

#[test]
fn a_great_many_faults_are_still_reported_at_once() {
    let keys: String = (0..20_000).map(|index| format!("wibble{index}: 1\n")).collect();
    let twice = format!("{keys}{keys}");
    let loaded = load(&twice);
    assert!(loaded.problems.len() > 40_000);
    assert!(complaints(&loaded).contains("more"));
    assert_eq!(
        report::for_machines(&loaded.problems, &loaded.sources).as_array().unwrap().len(),
        loaded.problems.len()
    );
}

/// The sound book with its rows in a file of their own.
fn with_table() -> String {
    let (start, _) = SOUND.split_once("    controls: [backstay, lead, vang]").unwrap();
    format!("{start}    table: j1.csv\n")
}

#[test]
fn a_table_in_a_file_means_the_same_as_rows_in_the_book() {
    let inline = load(SOUND).book.unwrap();
    let tables = [
        "wind,backstay,lead,vang\n6,0,13,eased\n10,2,12,snug\n14,4.5,14,hard\n",
        "\u{FEFF}wind, backstay, lead, vang\r\n6, 0, 13, eased\r\n10, 2, 12, snug\r\n14, 4½, 14, hard\r\n",
        "# sailed in spring\nWind\tbackstay\tlead\tvang\n\n6\t0\t13\teased\n10\t2\t12\t\"snug\"\n,,,\n14\t4 1/2\t14\thard",
        "wind,\"backstay\",lead,vang\n\"6\",\"0\",13,eased\n\"10 kn\",2,12,snug\n14,4-1/2,14,hard\n,,,\n",
    ];
    for table in tables {
        let table = if table.contains('\t') { table.swap(",,,\n", "\t\t\t\n") } else { table.to_owned() };
        let loaded = load_with(&with_table(), &[("j1.csv", &table)]);
        assert_eq!(complaints(&loaded), "", "{table}");
        let settings = &loaded.book.as_ref().unwrap().settings[0];
        assert_eq!(settings.controls, inline.settings[0].controls);
        let values = |row: &book::Row| {
            let readings = row.readings.iter().map(|recorded| recorded.one().map(|reading| reading.value));
            (row.at.value, readings.collect::<Vec<_>>())
        };
        let found: Vec<_> = settings.rows.iter().map(values).collect();
        assert_eq!(found, inline.settings[0].rows.iter().map(values).collect::<Vec<_>>(), "{table}");
    }
}

#[test]
fn an_empty_cell_is_not_recorded() {
    let table = "wind,backstay,lead,vang\n6,,13,eased\n10,~,12,snug\n14,4,14,hard\n";
    let loaded = load_with(&with_table(), &[("j1.csv", table)]);
    assert_eq!(complaints(&loaded), "");
    let book = loaded.book.unwrap();
    let backstay = |row: &book::Row| row.readings[0].one().map(|reading| reading.value);
    assert_eq!(book.settings[0].rows.iter().map(backstay).collect::<Vec<_>>(), [None, None, Some(4.0)]);
}

#[test]
fn a_fault_in_a_table_is_reported_in_its_own_file() {
    let tables = [
        ("no winds", "«backstay»,lead,vang\n0,13,eased\n", "`wind` first"),
        ("winds only", "«wind»\n6\n", "over each column"),
        ("unknown control", "wind,backstay,«leed»,vang\n6,0,13,eased\n", "did you mean `lead`?"),
        ("empty", "«»", "wind, backstay"),
        ("no rows", "«wind,backstay,lead,vang»\n", "each wind that was sailed"),
        ("row too short", "wind,backstay,lead,vang\n«6,0,13»\n", "`none` for not used"),
        ("row too long", "wind,backstay,lead,vang\n«6,4,5,13,eased»\n", "write `4.5`"),
        ("quoted decimal comma", "wind,backstay,lead,vang\n6,\"«4,5»\",13,eased\n", "`4.5`"),
        ("off the scale", "wind,backstay,lead,vang\n6,  «9» ,13,eased\n", "0 to 8"),
        ("after a quoted cell", "wind,backstay,lead,vang\n\"6\",0,«99»,eased\n", "0 to 20"),
        ("winds that fall", "wind,backstay,lead,vang\n10,0,13,eased\n# note\n\n«6»,0,13,eased\n", "light wind"),
        ("no number for a wind", "wind,backstay,lead,vang\n«calm»,0,13,eased\n", "25 kn"),
        ("after a byte-order mark", "\u{FEFF}wind,backstay,lead,vang\r\n6,0,«99»,eased\r\n", "0 to 20"),
        ("unprintable", "wind,backstay,lead,vang\n6,0,13,eased\n10,0,13,«快»\n", "another way"),
    ];
    let mut reports = String::new();
    for (name, table, remedy) in tables {
        let (table, faults) = unmarked(table);
        let loaded = load_with(&with_table(), &[("j1.csv", &table)]);
        let report = complaints(&loaded);
        let problem = loaded.problems.first().unwrap_or_else(|| panic!("{name}: no problem"));
        let place = problem.place.clone().unwrap();
        assert_eq!((place.source.0, place.bytes), (1, faults[0].clone()), "{name}\n{report}");
        assert!(loaded.problems.iter().any(|problem| problem.instead.contains(remedy)), "{name}\n{report}");
        assert!(report.contains("--> j1.csv:"), "{name}\n{report}");
        reports.push_str(&format!("## {name}\n\n{report}\n\n"));
    }
    insta::with_settings!({omit_expression => true}, {
        insta::assert_snapshot!("tables", reports);
    });
}

#[test]
fn a_heading_of_composed_letters_is_pointed_at_whole() {
    // Written as a letter and the two points over it, which are one letter once they are composed (Unicode, forms NFD and NFC).
    for heading in ["«a\u{308}»", "«fa\u{308}ll»", "\" «la\u{308}d»\"", "«fa\u{308}ll (mm)»", "«la\u{308}d port»"]
    {
        let (table, faults) = unmarked(&format!("wind,{heading}\n6,0\n"));
        let loaded = load_with(&with_table(), &[("j1.csv", &table)]);
        let place = only_problem(&loaded).place.clone().unwrap();
        assert_eq!((place.source.0, &place.bytes), (1, &faults[0]), "{heading}: {}", complaints(&loaded));
        assert!(table.get(place.bytes).is_some(), "{heading}: in the middle of a letter");
    }
}

#[test]
fn an_empty_cell_at_the_end_of_a_row_is_no_half_of_a_number() {
    let (table, faults) = unmarked("wind,vang,lead\n«6,eased,13,»\n«10,snug,12,5»\n");
    let loaded = load_with(&with_table(), &[("j1.csv", &table)]);
    let told: Vec<_> = loaded.problems.iter().map(|problem| problem.place.clone().unwrap().bytes).collect();
    assert_eq!(told, faults, "{}", complaints(&loaded));
    assert_eq!(loaded.problems[0].instead, "write one for each of vang, lead and no more");
    assert!(loaded.problems[1].instead.contains("write `12.5`"), "{}", complaints(&loaded));
}

#[test]
fn an_empty_reading_beside_a_number_is_no_half_of_it() {
    let said = complaints(&load(&spoilt("[0, 13, eased]", "[13,\"\"]")));
    assert!(said.contains("controls") && !said.contains("one number"), "{said}");
}

#[test]
fn a_fault_is_told_alike_whatever_ends_the_lines() {
    let told = |text: String| {
        let loaded = load(&text);
        cockpit_cards::book::report::for_people(&loaded.problems, &loaded.sources, false)
    };
    let faulty = spoilt("controls: [backstay, lead, vang]", "controls: [backstya, lead, vang]");
    let with_feeds = told(faulty.clone());
    assert!(with_feeds.contains("backstya"), "{with_feeds}");
    for ends in ["\r\n", "\r"] {
        assert_eq!(told(faulty.replace('\n', ends)), with_feeds, "{ends:?}");
    }
}

#[test]
fn a_text_with_a_backtick_is_not_told_in_backticks() {
    assert_eq!(cockpit_cards::wrong::shown("`six"), "\"`six\"");
    assert_eq!(cockpit_cards::wrong::shown("six"), "`six`");
}

#[test]
fn a_table_that_cannot_be_opened_is_reported_where_it_is_named() {
    let (book, faults) = unmarked(&with_table().swap("j1.csv", "«j1.csv»"));
    let missing = load(&book);
    let problem = only_problem(&missing);
    assert_eq!(problem.place.as_ref().map(|place| place.bytes.clone()), Some(faults[0].clone()));
    assert!(problem.what.contains("there is no file") && problem.instead.contains("directory"));

    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("boat.yaml");
    fs::write(&path, &book).unwrap();
    fs::create_dir(directory.path().join("j1.csv")).unwrap();
    assert!(only_problem(&book::from_path(&path, has_glyph).unwrap()).what.contains("a directory"));
    fs::remove_dir(directory.path().join("j1.csv")).unwrap();
    fs::write(directory.path().join("j1.csv"), b"wind,backstay\n\xC3\xA9,\xFF\n").unwrap();
    let not_utf_8 = book::from_path(&path, has_glyph).unwrap();
    assert!(only_problem(&not_utf_8).instead.contains("UTF-8"));
    assert!(complaints(&not_utf_8).contains("j1.csv:2:3"), "{}", complaints(&not_utf_8));
}

#[test]
fn a_path_that_can_be_no_file_is_a_fault_of_the_book() {
    let directory = tempfile::tempdir().unwrap();
    let path = directory.path().join("boat.yaml");
    for name in ["boat.yaml/j1.csv", "\"j1\\0.csv\"", &"j".repeat(300), "../none/j1.csv"] {
        fs::write(&path, with_table().swap("j1.csv", name)).unwrap();
        let loaded = book::from_path(&path, has_glyph).unwrap();
        assert!(complaints(&loaded).contains("there is no file"), "{name}: {}", complaints(&loaded));
    }
}

#[test]
fn a_table_used_twice_has_its_faults_told_once() {
    let book = with_table();
    let again = "  - {id: again, sails: [j1], point_of_sail: upwind, table: j1.csv}\n";
    let loaded = load_with(&format!("{book}{again}"), &[("j1.csv", "wind,lead\n8,99\n")]);
    only_problem(&loaded);
    assert_eq!(loaded.sources.len(), 2);
}

#[test]
fn a_table_without_end_is_refused() {
    let rows: String = (0..100_000).map(|row| format!("{row},1\n")).collect();
    let loaded = load_with(&with_table(), &[("j1.csv", &format!("wind,lead\n{rows}"))]);
    assert!(only_problem(&loaded).what.contains("more than 200 rows"));
}

#[test]
fn a_table_is_looked_for_beside_its_book() {
    let directory = tempfile::tempdir().unwrap();
    fs::create_dir(directory.path().join("tables")).unwrap();
    fs::write(directory.path().join("tables/j1.csv"), "wind,lead\n8,13\n").unwrap();
    let path = directory.path().join("boat.yaml");
    fs::write(&path, with_table().swap("j1.csv", "tables/j1.csv")).unwrap();
    let loaded = book::from_path(&path, has_glyph).unwrap();
    assert!(loaded.is_sound(), "{}", complaints(&loaded));
    assert_eq!(loaded.sources[1].name, directory.path().join("tables/j1.csv").display().to_string());
}

#[test]
fn many_large_tables_are_refused_before_the_last_is_read() {
    let large = format!("wind,lead\n8,13\n#{}\n", " ".repeat(3_000_000));
    let names = ["a.csv", "b.csv", "c.csv"];
    let settings = names.map(|name| {
        format!("  - {{id: {}1, sails: [j1], point_of_sail: upwind, title: {name}, table: {name}}}\n", &name[..1])
    });
    let book = |count: usize| format!("{}{}", with_table(), settings[..count].concat());
    let tables = [("j1.csv", "wind,lead\n8,13\n"), ("a.csv", &large), ("b.csv", &large), ("c.csv", &large)];
    assert!(load_with(&book(2), &tables).is_sound());
    assert!(only_problem(&load_with(&book(3), &tables)).what.contains("more than 8 MB"));
}

#[test]
fn settings_that_all_name_one_long_table_are_counted_before_they_are_read() {
    let rows: String =
        (0..200).map(|row| format!("{}.{},{}\n", row / 10, row % 10, "1,".repeat(10).trim_end_matches(','))).collect();
    let controls: String = (0..10).map(|n| format!("  c{n}: {{scale: {{words: [\"1\", \"2\"]}}}}\n")).collect();
    let header: String = (0..10).map(|n| format!(",c{n}")).collect();
    let settings = |count: usize| -> String {
        (0..count)
            .map(|n| format!("  - {{id: s{n}, sails: [j1], point_of_sail: upwind, title: t{n}, table: j1.csv}}\n"))
            .collect()
    };
    let book = |count: usize| {
        format!(
            "book: 1\nboat: {{name: Tansy}}\ncontrols:\n{controls}sails: {{j1: {{kind: headsail}}}}\nsettings:\n{}",
            settings(count)
        )
    };
    let table = format!("wind{header}\n{rows}");
    let read = |count| load_with(&book(count), &[("j1.csv", table.as_str())]);
    // Each takes 2,000 readings.
    assert!(read(100).is_sound(), "{}", complaints(&read(100)));
    assert!(only_problem(&read(101)).what.contains("more than 200000 readings"));
}

/// Reading and both reports: whatever comes of it, they come to an end.
fn read_and_report(text: &str) {
    let loaded = load_with(text, &[("imperial-genoa.csv", "wind,lead\n8,13\n")]);
    let people = report::for_people(&loaded.problems, &loaded.sources, true);
    assert_eq!(loaded.problems.is_empty(), people.is_empty());
    report::for_machines(&loaded.problems, &loaded.sources);
    for problem in &loaded.problems {
        assert!(!problem.what.is_empty() && !problem.instead.is_empty(), "{problem:?}");
        assert!(!problem.what.contains(char::is_control) && !problem.instead.contains(char::is_control), "{problem:?}");
    }
}

fn examples() -> Vec<String> {
    let directory = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples");
    ["smallest.yaml", "full.yaml", "imperial.yaml"].map(|name| fs::read_to_string(directory.join(name)).unwrap()).into()
}

proptest! {
    #[test]
    fn any_text_can_be_read(text in any::<String>()) {
        read_and_report(&text);
    }

    #[test]
    fn any_bytes_can_be_read_from_a_file(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        let loaded = load_bytes(&bytes);
        report::for_people(&loaded.problems, &loaded.sources, false);
    }

    #[test]
    fn any_table_can_be_read(table in "[0-9,;\t\n\r\" #½a-c./~-]{0,80}") {
        let loaded = load_with(&with_table(), &[("j1.csv", &format!("wind,lead\n{table}"))]);
        report::for_people(&loaded.problems, &loaded.sources, false);
        let loaded = load_with(&with_table(), &[("j1.csv", &table)]);
        report::for_people(&loaded.problems, &loaded.sources, false);
    }

    #[test]
    fn an_example_with_a_piece_cut_out_or_put_in_can_be_read(
        which in 0_usize..3,
        at in any::<prop::sample::Index>(),
        cut in 0_usize..12,
        piece in "[-\\[\\]{}:,#&*!|>'\"%@` \n\t0-9a-z½\u{0}\u{FEFF}.]{0,6}",
    ) {
        let characters: Vec<char> = examples().swap_remove(which).chars().collect();
        let at = at.index(characters.len());
        let end = (at + cut).min(characters.len());
        let mutated: String = characters[..at].iter().chain(piece.chars().collect::<Vec<_>>().iter()).chain(&characters[end..]).collect();
        read_and_report(&mutated);
    }
}
