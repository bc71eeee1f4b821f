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
    let readme = reading::HANDBOOK;
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

/// A field's own description, or that of what it refers to.
fn description<'a>(schema: &'a Value, field: &'a Value) -> Option<&'a str> {
    let own = field["description"].as_str();
    own.or_else(|| schema.pointer(field["$ref"].as_str()?.strip_prefix('#')?)?["description"].as_str())
}

#[test]
fn an_editor_has_something_to_say_of_every_field() {
    let schema = schema();
    let mut fields = 0;
    for object in objects(&schema) {
        for (name, field) in object.get("properties").and_then(Value::as_object).into_iter().flatten() {
            let words = description(&schema, field).unwrap_or_default();
            assert!(words.len() > 3, "`{name}` has no description: {field}");
            fields += 1;
        }
    }
    assert!(fields > 200, "{fields}");
}

#[test]
fn every_form_that_a_thing_can_have_has_a_title_to_choose_it_by() {
    let schema = schema();
    let forms = objects(&schema).into_iter().filter_map(|object| object.get("anyOf")?.as_array());
    let tables = forms.flatten().filter(|form| form.get("properties").is_some());
    let untitled: Vec<&Value> = tables
        .chain(schema["$defs"].as_object().unwrap().values())
        .filter(|form| form["title"].as_str().is_none_or(str::is_empty))
        .collect();
    assert_eq!(untitled, Vec::<&Value>::new());
}

/// What the pattern of a definition makes of a text.
fn takes(name: &str) -> impl Fn(&str) -> bool {
    let schema = json!({"$defs": schema()["$defs"], "$ref": format!("#/$defs/{name}")});
    let validator = jsonschema::draft202012::new(&schema).unwrap();
    move |text| validator.is_valid(&json!(text))
}

/// Ways to write a number that people use, and some that nobody should.
const NUMBERS: [&str; 34] = [
    "0", "4", "12", "4.5", "0.25", ".5", "4½", "½", "4 ½", "4-½", "4 1/2", "4-1/2", "1/2", "3/8", "5 7/32", "2⅓", "⅔",
    "1⁄2", "-2", "−2", "+3", "-½", "−4 1/2", "007", "4,5", "1e3", "41/2", "--4", "4..5", "four", "", "½4", "nan",
    "4 5",
];

#[test]
fn an_editor_takes_every_quantity_that_the_program_takes_and_few_others() {
    use cockpit_cards::book::Units;
    use cockpit_cards::book::quantity::{Dimension, parse};
    let units: [(&str, Dimension, &[&str]); 9] = [
        (
            "length",
            Dimension::Length,
            &["mm", "MM", "cm", "m", "metres", "in", "inches", "\"", "″", "ft", "'", "feet", "kg"],
        ),
        ("speed", Dimension::Speed, &["kn", "KN", "kt", "kts", "Knots", "m/s", "km/h", "mph", "mm"]),
        ("mass", Dimension::Mass, &["kg", "Kilos", "t", "tonnes", "lb", "lbs", "pounds", "st", "kgf"]),
        ("pressure", Dimension::Pressure, &["bar", "Bar", "psi", "lbf/in²", "kPa"]),
        ("angle", Dimension::Angle, &["deg", "°", "degrees", "rad"]),
        ("force", Dimension::Force, &["N", "kN", "newtons", "kgf", "lbf", "kg"]),
        ("duration", Dimension::Duration, &["s", "seconds", "min", "Minutes", "h", "hours", "d"]),
        (
            "moment_to_trim",
            Dimension::MomentToTrim,
            &["kg·m/cm", "kg m/cm", "kg*m/cm", "kgm/cm", "t·m/cm", "lb·ft/in", "ft*lb/in"],
        ),
        ("mass_to_sink", Dimension::MassToSink, &["kg/cm", "t/cm", "lb/cm", "lbs/in", "kg"]),
    ];
    let (mut taken, mut refused, mut let_by) = (0, 0, Vec::new());
    for (name, dimension, units) in units {
        let takes = takes(name);
        for number in NUMBERS {
            // A bare newton is refused further on.
            let bare = if dimension == Dimension::Force { None } else { Some(String::new()) };
            let with = units.iter().flat_map(|unit| [format!("{number} {unit}"), format!("{number}{unit}")]);
            let feet = (dimension == Dimension::Length).then(|| format!("5 ft {number} in"));
            for text in bare.map(|_| number.to_owned()).into_iter().chain(with).chain(feet) {
                match parse(&text, Units::default().bare(dimension)) {
                    Ok(_) => {
                        assert!(takes(&text), "{name}: the program takes {text:?}");
                        taken += 1;
                    }
                    Err(_) if takes(&text) => let_by.push(text),
                    Err(_) => refused += 1,
                }
            }
        }
    }
    assert!(taken > 1000, "{taken}");
    assert!(let_by.len() * 10 < refused, "{refused} refused, and let by: {let_by:?}");
}

#[test]
fn an_editor_takes_every_size_that_the_program_takes_and_no_other() {
    use cockpit_cards::size::NamedSize;
    let takes = takes("size");
    for text in [
        "A6",
        "a6",
        "A6 landscape",
        "a6-landscape",
        "A4 portrait",
        "Letter",
        "letter",
        "LEGAL",
        "Tabloid",
        "half-letter",
        "Half Letter",
        "quarter_letter landscape",
        "ID-1",
        "id1",
        "120 x 80 mm",
        "120x80mm",
        "4×6in",
        "4.25 X 5.5 in",
        "12 cm x 80 mm",
        "A9",
        "A66",
        "B5",
        "leter",
        "120 x 80",
        "120 mm",
        "x 80 mm",
        "120,5 x 80 mm",
        "A6 sideways",
        "",
    ] {
        assert_eq!(takes(text), NamedSize::parse(text).is_ok(), "{text:?}");
    }
}

#[test]
fn an_editor_takes_every_paper_that_the_program_takes_and_no_other() {
    use cockpit_cards::paper::PaperSize;
    let takes = takes("paper");
    for text in [
        "a4",
        "A3",
        "A5",
        "a6",
        "letter",
        "Legal",
        "TABLOID",
        "half-letter",
        "297 x 600 mm",
        "12x18in",
        "roll-610mm",
        "roll 24 in",
        "Roll_610 mm",
        "A7",
        "ID-1",
        "quarter-letter",
        "roll",
        "roll-610",
        "role-610mm",
        "B4",
        "",
        "610mm",
    ] {
        assert_eq!(takes(text), PaperSize::parse(text).is_ok(), "{text:?}");
    }
}

#[test]
fn an_editor_takes_every_range_that_the_program_takes() {
    for (name, right, wrong) in [
        ("wind_range", ["5..16", "5 .. 16 kn", "5 kn..16 kn", "4½..9 m/s"], ["5-16", "5..", "5 to 16", "5..sixteen"]),
        ("angle_range", ["36..70", "36..70 deg", "36°..70°", "0..180"], ["36-70", "..70", "36..70 kn", "36,70"]),
        ("marks", ["0..8", "-4..4", "0 .. 12", "−2..2"], ["0-8", "0..8.5", "0..", "8"]),
    ] {
        let takes = takes(name);
        assert_eq!(right.map(&takes), [true; 4], "{name}: {right:?}");
        assert_eq!(wrong.map(&takes), [false; 4], "{name}: {wrong:?}");
    }
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
