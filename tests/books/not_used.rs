//! Controls that are not used in some wind: `none`, in the book and in a table, on every card and in the terminal.

use std::collections::BTreeMap;

use cockpit_cards::book::{self, Book, Level, Problem, Recorded};
use cockpit_cards::cards::{self, Card, Edition, Label};
use cockpit_cards::drawing::font::has_glyph;
use serde_json::{Value, json};

use crate::one_card::{card, load, read, rows_of};
use crate::swap::Swap;

/// A boat of our own invention, with a tackline that is led forward only in light air and in a blow.
const BORAGE: &str = "\
book: 1
boat: {name: Borage}
wind_bands: [4, 8, 11, 14, 17, 20, 24]
controls:
  backstay: {higher_is: tighter, scale: {marks: 0..8, spacing: 20 mm, halves: true}}
  tackline: {higher_is: tighter, scale: {marks: 0..8, spacing: 20 mm, halves: true}}
  vang: {scale: {words: [eased, snug, hard]}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 4..24}
settings:
- id: j1-upwind
  sails: [main, j1]
  point_of_sail: upwind
  controls: [backstay, tackline, vang]
  at:
    6: [0, 2, eased]
    10: [2, 4, none]
    14: [4½, none, ~]
    22: [6, 6, hard]
";

/// The cells of one column, each with what stands beneath it.
fn column(card: &Card, position: usize) -> Vec<(String, Vec<String>)> {
    let data = card.content.data();
    let texts = |value: &Value| {
        value
            .as_array()
            .into_iter()
            .flatten()
            .map(|text| text.as_str().unwrap_or_default().to_owned())
            .collect::<Vec<_>>()
    };
    let cell = |row: &Value| match &row["cells"][position] {
        Value::Null => ("?".to_owned(), Vec::new()),
        cell => {
            let not_used = texts(&cell["not_used"]).into_iter().map(|at| format!("– at {at}"));
            let unknown = texts(&cell["unknown"]).into_iter().map(|part| format!("? {part}"));
            (cell["text"].as_str().unwrap().to_owned(), rows_of(cell).chain(not_used).chain(unknown).collect())
        }
    };
    data["rows"].as_array().expect("rows").iter().map(cell).collect()
}

fn cell(text: &str, beneath: &[&str]) -> (String, Vec<String>) {
    (text.to_owned(), beneath.iter().map(|words| (*words).to_owned()).collect())
}

#[test]
fn a_settings_card_prints_a_dash_where_it_is_not_used_and_makes_nothing_up_beside_it() {
    let card = card(BORAGE, "j1-upwind");
    assert_eq!(
        column(&card, 1),
        [
            cell("2 to 3", &["2 at 6"]),
            cell("3 to 4", &["4 at 10", "? 10 to 11"]),
            cell("?", &[]),
            cell("–", &["– at 14"]),
            cell("?", &[]),
            cell("6", &["6 at 22", "? 20 to 22"]),
        ]
    );
    assert_eq!(
        column(&card, 2),
        [
            cell("eased", &["eased at 6", "? 6 to 8"]),
            cell("–", &["– at 10"]),
            cell("?", &[]),
            cell("?", &[]),
            cell("?", &[]),
            cell("hard", &["hard at 22", "? 20 to 22"]),
        ]
    );
    let drawn = cards::draw(&card, &Label::new(&load(BORAGE), &card.stamp, Edition::Draft), &mut Vec::new());
    let words: Vec<String> = drawn.expect("a drawing").texts().map(|text| text.content.clone()).collect();
    let words = words.join(" ");
    assert!(words.contains("– not used") && words.contains("? not recorded"), "{words}");
}

#[test]
fn a_book_without_it_has_nothing_of_it_on_its_cards() {
    let without = BORAGE.swap("none]", "eased]").swap("none, ~", "5, ~");
    for id in ["j1-upwind", "change-j1-upwind"] {
        let data = card(&without, id).content.data().to_string();
        assert!(!data.contains("not_used") && !data.contains("unknown") && !data.contains('–'), "{data}");
    }
}

#[test]
fn change_points_never_lead_across_it_and_say_where_it_is_not_used() {
    let data = card(BORAGE, "change-j1-upwind").content.data();
    assert_eq!(
        data["not_used"],
        json!([
            "Tackline: not used at 14 kn; no mark is known from 10 to 22",
            "Vang: not used at 10 kn; no mark is known from 6 to 22"
        ])
    );
    let marks = |name: &str| -> Vec<String> {
        let columns = data["columns"].as_array().unwrap();
        let column = columns.iter().position(|head| head["control"] == name).unwrap();
        let rows = data["rows"].as_array().unwrap().iter();
        let mut marks: Vec<String> =
            rows.map(|row| row["marks"][column]["mark"].as_str().unwrap().to_owned()).collect();
        marks.dedup();
        marks
    };
    // Up to the last wind at which it is known, then the place at which it is not used, with nothing known around it.
    let unknown = cockpit_cards::cards::parts::sided::UNKNOWN;
    let tackline = marks("Tackline");
    let parts: Vec<&[String]> = tackline.split(|mark| mark == unknown).collect();
    let [before, between, after] = parts[..] else { panic!("{tackline:?}") };
    assert!(before.first().is_some_and(|mark| mark == "2") && between == ["–"] && after == ["6"], "{tackline:?}");
    assert_eq!(marks("Vang")[0], "eased");
}

#[test]
fn a_sail_change_tells_a_dash_for_a_dash() {
    let two = BORAGE
        .swap("wind: 4..24}", "wind: 4..16, angle: 36..60}\n  j2: {kind: headsail, wind: 8..24, angle: 36..60}")
        + "- {id: j2-upwind, sails: [main, j2], point_of_sail: upwind, controls: [backstay, tackline, vang],\n   at: {9.5: [1, none, hard], 12.5: [2, 3, none], 20: [4, 4, none]}}\n";
    let cards = ["j1-to-j2-upwind", "j1-to-j2-upwind-2", "j1-to-j2-upwind-3"].map(|id| card(&two, id).content.data());
    let of = |data: &Value, name: &str| -> String {
        let mut rows = data["parts"].as_array().unwrap().iter().flat_map(|part| part["controls"].as_array().unwrap());
        let row = rows.find(|row| row["control"] == name);
        row.map_or_else(
            || "none".to_owned(),
            |row| format!("{} to {}, {}", row["from"], row["to"], row["goes"]).replace('"', ""),
        )
    };
    let row = |name: &str| cards.each_ref().map(|data| of(data, name));
    assert_eq!(cards.each_ref().map(|data| data["winds"].as_str().unwrap()), ["8 to 11", "11 to 14", "14 to 16"]);
    let unknown = cockpit_cards::cards::parts::sided::UNKNOWN;
    assert_eq!(
        row("Tackline"),
        ["3½ to –, OFF".to_owned(), format!("{unknown} to ● 3, SET"), format!("{unknown} to 3½, SET")]
    );
    assert_eq!(row("Vang"), [format!("{unknown} to ● hard, SET"), format!("{unknown} to –, "), "none".to_owned()]);
    assert_eq!(cards[2]["unmarked"], json!(["J2: Vang"]));
}

#[test]
fn explain_names_the_row_that_says_so() {
    let working: Vec<String> = card(BORAGE, "j1-upwind").content.working().iter().map(|of| format!("{of:?}")).collect();
    let of = |name: &str| working.iter().find(|passage| passage.contains(name)).expect("a passage");
    assert!(of("Tackline, 14 kn to 17").contains("not used at 14 kn"), "{}", of("Tackline, 14"));
    assert!(of("Tackline, 11 kn to 14").contains("nothing is known"), "{}", of("Tackline, 11"));
}

#[test]
fn a_table_in_a_file_may_say_it_too() {
    let text = BORAGE.swap("  controls: [backstay, tackline, vang]\n  at:\n", "  table: j1.csv\n");
    let text = text.lines().filter(|line| !line.starts_with("    ")).collect::<Vec<_>>().join("\n");
    let table = "wind,backstay,tackline,vang\n6,0,2,eased\n10,2,4,NONE\n14,4½,none,\n22,6,6,hard\n";
    let files = BTreeMap::from([("j1.csv", table)]);
    let loaded = book::from_text("book", &text, &|name| Some(files.get(name)?.to_string()), has_glyph);
    assert!(loaded.problems.iter().all(|problem| problem.level == Level::Warning), "{:?}", loaded.problems);
    let (one, other) = (loaded.book.expect("a book"), load(BORAGE));
    let kinds = |book: &Book| {
        let row = |row: &book::Row| {
            row.readings.iter().map(|recorded| matches!(recorded, Recorded::NotUsed(_))).collect::<Vec<_>>()
        };
        book.settings[0].rows.iter().map(row).collect::<Vec<_>>()
    };
    assert_eq!(kinds(&one), kinds(&other));
    assert!(kinds(&one)[1][2] && kinds(&one)[2][1]);
}

#[test]
fn it_cannot_be_the_name_of_a_word_a_tape_or_an_end() {
    let scales = [
        ("{words: [none, snug]}", "a word of the scale"),
        ("{tapes: [{name: None, colour: red, from: 0 mm, to: 30 mm}]}", "a tape on the scale"),
        ("{centre: none, marks: 4, spacing: 20 mm, ends: [W, L]}", "a place on the scale"),
    ];
    for (scale, about) in scales {
        let (_, problems) = read(&BORAGE.swap("{words: [eased, snug, hard]}", scale));
        let found: Vec<&Problem> = problems.iter().filter(|problem| problem.what.contains("is not used")).collect();
        assert_eq!(found.len(), 1, "{scale}: {problems:?}");
        assert!(found[0].what.starts_with(about) && found[0].instead.contains("another name"), "{:?}", found[0]);
    }
}

#[test]
fn a_bare_dash_is_told_how_to_say_either() {
    let (_, problems) = read(&BORAGE.swap("10: [2, 4, none]", "10: [2, -, none]"));
    assert_eq!(problems.len(), 1, "{problems:?}");
    assert_eq!(problems[0].instead, "write `~` for not recorded, `none` for not used; a text goes in quotes");
}

#[test]
fn what_was_carried_over_is_not_used_where_it_was_not() {
    let text = BORAGE.swap("wind: 4..24}", "wind: 4..24}\n  j1b: {kind: headsail, wind: 4..24, replaces: j1, start_from: j1-upwind, offsets: {tackline: 1}}");
    let book = load(&text).afloat();
    let settings = &book.settings[0];
    assert_eq!(settings.id.value, "j1b-upwind");
    assert!(matches!(settings.rows[2].readings[1], Recorded::NotUsed(_)));
    assert_eq!(settings.rows[1].readings[1].one().map(|reading| reading.value), Some(5.0));
}
