//! What settings cards say of bands that are hard to tell: rows on an edge, rows as near, rows that lack a control. Each in
//! knots and, where the numbers decide, in metres per second.

use crate::common::whole;
use crate::swap::Swap;

use serde_json::{Value, json};

/// What the settings card says of a control, band by band: the figure, its ground, and the rows known there.
fn cells(text: &str, control: usize) -> Vec<Value> {
    let (drawn, problems) = whole::draw(text);
    let card = drawn.iter().find(|drawn| drawn.card.kind == "wind-settings").unwrap_or_else(|| panic!("{problems:?}"));
    assert!(card.drawing.is_some(), "it fits: {problems:?}");
    let data = card.card.content.data();
    let row = |row: &Value| format!("{} at {}", row["mark"].as_str().unwrap(), row["wind"].as_str().unwrap());
    let cell = |cell: &Value| {
        let rows: Vec<String> = cell["rows"].as_array().into_iter().flatten().map(row).collect();
        json!([cell["text"], cell["ground"], rows])
    };
    data["rows"].as_array().unwrap().iter().map(|row| cell(&row["cells"][control])).collect()
}

fn in_metres_per_second(text: &str) -> String {
    text.swap("units: {wind: kn}", "units: {wind: m/s}")
}

#[test]
fn two_rows_as_near_to_the_middle_of_a_band_are_both_told_and_neither_is_what_to_set() {
    const BOOK: &str = include_str!("../books/found/two-rows-as-near-to-the-middle.yaml");
    let expected = [json!(["2", "outside", []]), json!(["2 to 7", null, ["2 at 8", "7 at 10"]])];
    assert_eq!(cells(BOOK, 0), expected);
    assert_eq!(cells(&in_metres_per_second(BOOK), 0), expected);
}

#[test]
fn a_step_on_the_edge_of_a_band_lies_in_neither_in_knots_and_in_metres_per_second() {
    const BOOK: &str = include_str!("../books/found/step-on-the-edge-of-a-band.yaml");
    for text in [BOOK.to_owned(), in_metres_per_second(BOOK)] {
        let caps = [json!(["−½ turn", null, ["−½ turn at 9½"]]), json!(["−3½ turns", "between", []])];
        assert_eq!(cells(&text, 0), caps);
        assert_eq!(cells(&text, 1), [json!(["2", null, ["2 at 9½"]]), json!(["7", "between", []])]);
    }
    // Half a knot lower the edge lies before the step, and the band above it holds both.
    let moved = BOOK.swap("[9, 11, 12.5]", "[9, 10.5, 12.5]");
    assert_eq!(cells(&moved, 0)[1], json!(["−½ turn to −3½ turns", "between", []]));
}

#[test]
fn a_tie_in_metres_per_second_goes_where_it_goes_in_knots() {
    const BOOK: &str = include_str!("../books/found/rows-at-fifths-of-a-metre.yaml");
    let expected = [
        json!(["2", "outside", []]),
        json!(["2", null, ["2 at 5¼"]]),
        json!(["3 to 5", null, ["5 at 7¼"]]),
        json!(["5", "outside", []]),
    ];
    assert_eq!(cells(BOOK, 0), expected);
    // A straight line of 1½ marks for each unit of wind: bands about 6.2 have 3½ in the middle, and 3 is nearer to the row below.
    for (unit, at) in [("m/s", "6¼"), ("kn", "6")] {
        let text = BOOK.swap("units: {wind: m/s}", &format!("units: {{wind: {unit}}}"));
        let narrow = text.swap("[2, 4, 6, 8, 10]", "[6.1, 6.3]");
        assert_eq!(cells(&narrow, 0), [json!(["3", "between", []])], "about {at} {unit}");
    }
}

#[test]
fn what_was_not_written_down_in_light_wind_stands_in_brackets_on_the_settings_card() {
    const BOOK: &str = include_str!("../books/found/control-not-written-down-at-first.yaml");
    let checkstay = cells(BOOK, 1);
    assert_eq!(checkstay[..2], [json!(["5", "outside", []]), json!(["5", "outside", []])]);
    assert_eq!(checkstay[2..], [json!(["5", null, ["5 at 14"]]), json!(["7", null, ["7 at 18"]])]);
    let backstay = cells(BOOK, 0);
    assert_eq!(backstay[..2], [json!(["1", null, ["1 at 6"]]), json!(["2 to 4", "between", []])]);
}
