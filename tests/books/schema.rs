//! The schema against the readers: the same fields in the same tables, the same words in the same choices, and every book
//! that is taken here is a valid one there.

use crate::reading;
use crate::reading::shape;

use std::collections::BTreeSet;

use assert_cmd::Command;
use cockpit_cards::book::schema::SCHEMA;
use jsonschema::Validator;
use reading::probe::offers;
use serde_json::{Value, json};
use shape::{as_json, schema};

fn validator() -> Validator {
    jsonschema::draft202012::new(&schema()).unwrap()
}

/// Every object in and below a value.
fn objects(value: &Value) -> Vec<&serde_json::Map<String, Value>> {
    match value {
        Value::Object(object) => std::iter::once(object).chain(object.values().flat_map(objects)).collect(),
        Value::Array(items) => items.iter().flat_map(objects).collect(),
        _ => Vec::new(),
    }
}

/// The books that people start from.
fn good_books() -> Vec<(String, String)> {
    let examples = std::fs::read_dir("examples").unwrap().filter_map(|entry| {
        let path = entry.unwrap().path();
        let is_book = path.extension().is_some_and(|extension| extension == "yaml");
        is_book.then(|| (path.display().to_string(), std::fs::read_to_string(&path).unwrap()))
    });
    let readme = include_str!("../../README.md");
    let of_readme = readme.split("\n```yaml book\n").skip(1).map(|rest| rest.split("\n```").next().unwrap());
    let sections = readme.split("\n```yaml sections\n").skip(1).map(|rest| rest.split("\n```").next().unwrap());
    let sections = sections.map(|section| format!("{}{section}\n", reading::SOUND));
    let of_readme = of_readme.map(str::to_owned).chain(sections).map(|book| ("README".to_owned(), book));
    examples.chain(of_readme).collect()
}

/// What the schema has against a book.
fn objections(text: &str) -> Vec<String> {
    let (validator, book) = (validator(), as_json(text));
    let found = validator.iter_errors(&book).map(|error| format!("{}: {error}", error.instance_path()));
    found.collect()
}

#[test]
fn the_schema_has_the_fields_of_every_table_that_is_read_and_of_no_other() {
    let schema = schema();
    let closed =
        objects(&schema).into_iter().filter(|object| object.get("additionalProperties") == Some(&json!(false)));
    let written: BTreeSet<BTreeSet<String>> =
        closed.map(|object| object["properties"].as_object().unwrap().keys().cloned().collect()).collect();
    // A scale that does not say what it is may still become any.
    let is_of_one_kind = |names: &BTreeSet<String>| !(names.contains("marks") && names.contains("tapes"));
    let mut read: BTreeSet<BTreeSet<String>> =
        offers().into_iter().filter(|offer| offer.are_fields).map(|offer| offer.names).filter(is_of_one_kind).collect();
    // The stages of a thing stowed are a choice to its reader.
    read.insert(["dock", "start", "middle", "finish"].map(str::to_owned).into());
    let missing: Vec<_> = read.difference(&written).collect();
    let unknown: Vec<_> = written.difference(&read).collect();
    assert!(missing.is_empty() && unknown.is_empty(), "not in the schema: {missing:#?}\nread nowhere: {unknown:#?}");
}

#[test]
fn the_schema_has_the_words_of_every_choice() {
    let schema = schema();
    let choices = objects(&schema).into_iter().filter_map(|object| object.get("enum")).map(|words| {
        let words = words.as_array().unwrap().iter();
        words.map(|word| word.as_str().map_or_else(|| word.to_string(), str::to_owned)).collect::<BTreeSet<String>>()
    });
    let choices: Vec<BTreeSet<String>> = choices.collect();
    let read = reading::probe::choices();
    assert!(read.len() > 10, "{read:?}");
    for words in read {
        assert!(choices.contains(&words), "no choice in the schema has just these words: {words:?}");
    }
}

#[test]
fn the_schema_has_every_kind_of_card_in_the_order_of_the_program() {
    let schema = schema();
    let entries = schema["properties"]["cards"]["items"]["anyOf"].as_array().unwrap();
    let kinds: Vec<&str> = entries.iter().map(|entry| entry["properties"]["kind"]["const"].as_str().unwrap()).collect();
    assert_eq!(kinds, cockpit_cards::cards::KINDS.iter().map(|kind| kind.name).collect::<Vec<_>>());
}

#[test]
fn every_book_that_people_start_from_is_valid() {
    let books = good_books();
    assert!(books.len() >= 6, "{}", books.len());
    for (name, book) in books {
        assert_eq!(objections(&book), Vec::<String>::new(), "{name}");
    }
}

#[test]
fn a_slip_of_the_keys_is_seen_by_an_editor_too() {
    for (right, wrong) in [
        ("boat: {name", "boat: {nane"),
        ("book: 1", "book: 2"),
        ("kind: headsail", "kind: hedsail"),
        ("higher_is: aft", "higher_iz: aft"),
        ("    scale: {marks: 0..20, spacing: 25 mm}", "    scale: {marks: 0..20, spacing: 25 mm, words: [a, b]}"),
        ("  - id: j1-upwind", "  - id: J1 upwind"),
    ] {
        assert_ne!(objections(&reading::spoilt(right, wrong)), Vec::<String>::new(), "{wrong}");
    }
}

#[test]
fn the_schema_is_a_schema_and_the_program_prints_it() {
    jsonschema::meta::validate(&schema()).unwrap();
    let output = Command::cargo_bin("cockpit-cards").unwrap().arg("schema").output().unwrap();
    assert!(output.status.success());
    assert_eq!(String::from_utf8(output.stdout).unwrap(), SCHEMA);
}

#[test]
fn a_file_that_is_no_table_is_seen_by_an_editor_too() {
    let rows = "    controls: [backstay, lead, vang]\n    at:\n      6:  [0, 13, eased]\n      10: [2, 12, snug]\n      14: [4½, 14, hard]\n";
    let naming = |table: &str| reading::spoilt(rows, &format!("    table: '{table}'\n"));
    for table in ["j1.csv", "tables/j1.xlsx", "boat.xlsx#J1", "boat.XLSX#light air", "j1.xls.csv", "1"] {
        assert_eq!(objections(&naming(table)), Vec::<String>::new(), "{table}");
    }
    for table in ["j1.xls", "j1.ODS", "boat.xlsm#J1", "tables/j1.numbers"] {
        assert_ne!(objections(&naming(table)), Vec::<String>::new(), "{table}");
    }
}
