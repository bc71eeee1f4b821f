//! What a wind-settings card says, from the book's words to the words on paper: what was sailed stands as it was written
//! down, what was not sailed says so, and an outside reader finds every word.
use crate::common;
use crate::swap::Swap;

use cockpit_cards::book::Level;
use common::tools;
use common::whole::{self, Drawn};
use serde_json::Value;

/// A book of one table: controls as `name: fields`, rows as they stand under `at:`.
fn book(bands: &str, controls: &[(&str, &str)], rows: &str) -> String {
    let list = controls.iter().map(|(name, fields)| format!("  {name}: {{{fields}}}\n")).collect::<String>();
    let names = controls.iter().map(|(name, _)| *name).collect::<Vec<_>>().join(", ");
    format!(
        "book: 1\nboat: {{name: Chervil}}\nwind_bands: [{bands}]\ncontrols:\n{list}sails:\n  main: {{kind: mainsail}}\n\
         settings:\n  - {{id: up, sails: [main], point_of_sail: upwind, controls: [{names}], at: {{{rows}}}}}\n\
         cards: [{{kind: wind-settings, settings: up, size: A5}}]\n"
    )
}

const HALVES: &str = "higher_is: tighter, scale: {marks: 0..20, spacing: 20 mm, halves: true}";

fn card(text: &str) -> Drawn {
    let (mut drawn, problems) = whole::draw(text);
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:?}");
    drawn.remove(0)
}

/// What a column says, band by band: words and ground.
fn column(card: &Drawn, index: usize) -> Vec<(String, String)> {
    let data = card.card.content.data();
    let text = |cell: &Value, field: &str| cell[field].as_str().unwrap_or_default().to_owned();
    let rows = data["rows"].as_array().expect("rows");
    rows.iter().map(|row| &row["cells"][index]).map(|cell| (text(cell, "text"), text(cell, "ground"))).collect()
}

/// What stands small beneath the figures of a column, band by band.
fn beneath(card: &Drawn, index: usize) -> Vec<String> {
    let data = card.card.content.data();
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let row = |row: &Value| format!("{} at {}, {}", text(&row["mark"]), text(&row["wind"]), text(&row["ground"]));
    let cell = |cell: &Value| cell["rows"].as_array().map(|rows| rows.iter().map(row).collect::<Vec<_>>().join("; "));
    let rows = data["rows"].as_array().expect("rows");
    rows.iter().map(|row| cell(&row["cells"][index]).unwrap_or_default()).collect()
}

fn says(cells: &[(String, String)]) -> Vec<(&str, &str)> {
    cells.iter().map(|(text, ground)| (text.as_str(), ground.as_str())).collect()
}

fn printed(card: &Drawn) -> Vec<String> {
    card.drawing.as_ref().expect("a card that fits").texts().map(|text| text.content.clone()).collect()
}

fn count(words: &[String], sign: char) -> usize {
    words.iter().flat_map(|text| text.chars()).filter(|character| *character == sign).count()
}

/// Every number in a cell's words.
fn numbers(text: &str) -> Vec<f64> {
    text.split(" to ").map(|part| cockpit_cards::tuning::mark::parse(part).expect("a mark")).collect()
}

#[test]
fn a_known_row_stands_on_the_card_as_it_was_written_down_with_its_dot_and_its_wind() {
    let scales = [
        ("backstay", HALVES),
        ("traveller", "scale: {centre: C, marks: 6, spacing: 50 mm, ends: [W, L]}"),
        ("vang", "scale: {gauge: {unit: bar, least: 0, most: 120}}"),
        ("outhaul", "scale: {words: [off, wrinkles out, hard]}"),
        ("caps", "scale: {turns: {base: \"gauge 38 on 2027-04-02\"}, halves: true}"),
    ];
    // 4.25 is finer than the scale is read to: it was sailed, so it stands.
    let rows = "6: [0, W3, 0, off, 0], 10: [4.25, C, 15, wrinkles out, 1/2], 14: [9½, L2, 120, hard, -1]";
    let card = card(&book("4, 8, 12, 16", &scales, rows));
    let sailed = |marks: [&str; 3]| {
        let row = |(mark, wind): (&str, &str)| format!("{mark} at {wind}, sailed");
        marks.into_iter().zip(["6", "10", "14"]).map(row).collect::<Vec<_>>()
    };
    assert_eq!(beneath(&card, 0), sailed(["0", "4¼", "9½"]));
    assert_eq!(beneath(&card, 1), sailed(["W3", "C", "L2"]));
    assert_eq!(beneath(&card, 2), sailed(["0", "15", "120"]), "the unit stands with the figure");
    assert_eq!(beneath(&card, 3), sailed(["off", "wrinkles out", "hard"]));
    assert_eq!(beneath(&card, 4), sailed(["0", "+½ turn", "−1 turn"]));
    let words = printed(&card);
    assert_eq!(count(&words, '●'), 15 + 1, "one for each number and one in the legend: {words:?}");
    for wanted in ["● sailed", "● 4¼ at 10", "● wrinkles out at 10"] {
        assert!(words.iter().any(|text| text.contains(wanted)), "{wanted} in {words:?}");
    }
    assert!(!words.iter().any(|text| text.starts_with('(')), "{words:?}");
}

#[test]
fn the_large_figure_is_what_to_set_in_the_band_and_not_the_row_that_stands_in_it() {
    // Half a mark a knot, straight: 4 was sailed at 14 kn, and at 15½ kn 4¾ is what to set.
    let rows = "10: [2, 4], 14: [4, 5], 18: [6, 6]";
    let controls = [("backstay", HALVES), ("outhaul", "scale: {marks: 0..9, spacing: 20 mm}")];
    let card = card(&book("11, 14, 17, 20", &controls, rows));
    assert_eq!(says(&column(&card, 0)), [("2½ to 4", "between"), ("4 to 5½", ""), ("6", "")]);
    assert_eq!(beneath(&card, 0), ["", "4 at 14, sailed", "6 at 18, sailed"]);
    assert_eq!(
        says(&column(&card, 1)),
        [("5", "between"), ("5", ""), ("6", "")],
        "a step is no range: what holds midway"
    );
    let words = printed(&card);
    let words = words.join(" ");
    for wanted in
        ["4 to 5½", "● 4 at 14", "small: known at that wind", "large: to set, by the curve", "2½ to 4 between"]
    {
        assert!(words.contains(wanted), "{wanted} in {words}");
    }
}

#[test]
fn of_three_rows_in_a_band_two_are_told_and_the_third_is_counted() {
    let card = card(&book("4, 12, 16", &[("backstay", HALVES)], "6: [2], 8: [2½], 10: [3], 14: [4]"));
    assert_eq!(beneath(&card, 0)[0], "2 at 6, sailed; 2½ at 8, sailed");
    let words = printed(&card);
    let line =
        |wanted: &str| words.iter().position(|text| text == wanted).unwrap_or_else(|| panic!("{wanted}: {words:?}"));
    assert!(line("● 2 at 6") < line("● 2½ at 8") && line("● 2½ at 8") < line("and 1 more"));
}

#[test]
fn brackets_stand_around_what_lies_beyond_the_known_winds_and_around_nothing_else() {
    let rows = "10: [2], 18: [6]";
    let card = card(&book("2, 6, 9, 12, 16, 20, 24, 30", &[("backstay", HALVES)], rows));
    let cells = column(&card, 0);
    let grounds: Vec<&str> = cells.iter().map(|(_, ground)| ground.as_str()).collect();
    assert_eq!(grounds, ["outside", "outside", "", "between", "", "outside", "outside"]);
    assert_eq!([&beneath(&card, 0)[2], &beneath(&card, 0)[4]], ["2 at 10, sailed", "6 at 18, sailed"]);
    // The nearest known value, never one further along the curve.
    for (index, known) in [(0, "2"), (1, "2"), (2, "2 to 3"), (4, "5 to 6"), (5, "6"), (6, "6")] {
        assert_eq!(cells[index].0, known, "band {index}: {cells:?}");
    }
    let words = printed(&card);
    let bracketed = words.iter().filter(|text| text.starts_with('(') && text.ends_with(')')).count();
    assert_eq!(bracketed, 4, "{words:?}");
    assert_eq!(count(&words, '●'), 2 + 1, "{words:?}");
    assert!(words.join(" ").contains("( ) beyond any sailed wind"), "{words:?}");
}

#[test]
fn a_sign_that_is_not_on_the_card_is_not_in_its_legend() {
    let card = card(&book("4, 8, 12", &[("backstay", HALVES)], "6: [2], 10: [4]"));
    let words = printed(&card).join("\n");
    assert!(words.contains("● sailed"), "{words}");
    for unused in ["( )", "»", "±", "no sign", "?"] {
        assert!(!words.contains(unused), "{unused} in {words}");
    }
}

/// Common practice, no source: on some boats the lead goes forward in a breeze and aft again when it blows.
#[test]
fn a_lead_that_goes_forward_and_aft_again_never_leaves_its_two_neighbours() {
    let bands = (5..=17).map(|wind| wind.to_string()).collect::<Vec<_>>().join(", ");
    let card = card(&book(&bands, &[("jib_lead", HALVES)], "6: [13], 10: [12], 14: [13½]"));
    let cells = column(&card, 0);
    assert_eq!(cells.len(), 12);
    for (index, (text, _)) in cells.iter().enumerate() {
        let low = 5.0 + index as f64;
        let (least, most) = match low {
            _ if low < 6.0 => (13.0, 13.0),
            _ if low < 10.0 => (12.0, 13.0),
            _ if low < 14.0 => (12.0, 13.5),
            _ => (13.5, 13.5),
        };
        for number in numbers(text) {
            assert!((least..=most).contains(&number), "{low} kn: {text}, sailed from {least} to {most}");
        }
    }
    let known = beneath(&card, 0);
    assert_eq!([&known[1], &known[5], &known[9]], ["13 at 6, sailed", "12 at 10, sailed", "13½ at 14, sailed"]);
}

/// Common practice, no source: where 0 is two-blocked, the numbers fall as the wind rises.
#[test]
fn numbers_that_fall_as_the_wind_rises_are_printed_falling_and_their_head_says_looser() {
    let fields = "higher_is: looser, scale: {marks: 0..8, spacing: 10 mm, halves: true}";
    let card = card(&book("4, 6, 8, 10, 12, 14, 16", &[("halyard", fields)], "5: [7], 11: [3½], 15: [1]"));
    let cells = column(&card, 0);
    let ends: Vec<f64> = cells.iter().flat_map(|(text, _)| numbers(text)).collect();
    assert!(ends.windows(2).all(|pair| pair[1] <= pair[0]), "{cells:?}");
    assert_eq!((cells[0].0.as_str(), cells[5].0.as_str()), ("7", "1"));
    assert!(printed(&card).iter().any(|text| text.contains("LOOSER")));
}

#[test]
fn a_control_that_moves_more_than_a_step_inside_a_band_shows_both_ends_in_words() {
    // From 4 at 10 kn to 8 at 18 kn two marks pass in each 4 kn; straight, so that the ends can be told by head.
    let straight = book("10, 12, 16, 20", &[("backstay", HALVES)], "8: [3], 10: [4], 18: [8], 20: [9]")
        .swap(", at: {", ", between: {backstay: linear}, at: {");
    let card = card(&straight);
    assert_eq!(says(&column(&card, 0))[1], ("5 to 7", "between"));
    let words = printed(&card).join(" ");
    assert!(words.contains("5 to 7") && !words.contains('–') && !words.contains("5-7"), "{words}");
}

#[test]
fn a_wind_the_sails_are_not_for_has_no_row() {
    let text = book("4, 8, 12, 16, 20", &[("backstay", HALVES)], "9: [2], 14: [4]")
        .swap("main: {kind: mainsail}", "main: {kind: mainsail}\n  j1: {kind: headsail, name: J1, wind: 9..15}")
        .swap("sails: [main]", "sails: [main, j1]");
    let card = card(&text);
    let data = card.card.content.data();
    let rows: Vec<_> = data["rows"].as_array().expect("rows").iter().map(|row| row["low"].clone()).collect();
    assert_eq!(rows, ["9", "12"]);
    assert_eq!(data["rows"][1]["high"], "15");
}

#[test]
fn a_limit_is_a_caution_on_the_card_and_leaves_what_was_sailed_alone() {
    let fields = format!("{HALVES}, limit: {{never_above: 7, why: \"180 bar at mark 7\"}}");
    let card = card(&book("4, 8, 12", &[("backstay", &fields)], "6: [2], 10: [6½]"));
    let words = printed(&card).join(" ");
    for wanted in ["NEVER PAST 7", "180 bar at mark 7", "makers' working limits"] {
        assert!(words.contains(wanted), "{wanted} in {words}");
    }
}

#[test]
fn a_card_keeps_its_stamp_when_only_its_size_changes_and_loses_it_when_a_number_does() {
    let text = book("4, 8, 12", &[("backstay", HALVES)], "6: [2], 10: [4]");
    let stamp = |text: &str| card(text).card.stamp;
    assert_eq!(stamp(&text), stamp(&text.swap("size: A5", "size: A4")));
    assert_ne!(stamp(&text), stamp(&text.swap("10: [4]", "10: [4½]")));
}

#[test]
fn a_control_set_at_the_dock_is_not_on_a_card_used_while_racing() {
    let fields = format!("{HALVES}, when: dock");
    let text = book("4, 8, 12", &[("backstay", HALVES), ("caps", &fields)], "6: [2, 3], 10: [4, 5]");
    let refused = whole::try_print(&text, "A4").err().expect("a column set at the dock is refused");
    assert!(refused.contains("Caps") && refused.contains("dock"), "{refused}");
    let without = text.swap("controls: [backstay, caps]", "controls: [backstay]").swap(", 3]", "]").swap(", 5]", "]");
    let words = printed(&card(&without)).join(" ");
    assert!(words.contains("Backstay") && !words.contains("Caps"), "{words}");
}

/// Words as they are compared: an outside reader may put white anywhere.
fn words(text: &str) -> Vec<String> {
    text.split_whitespace().map(str::to_owned).collect()
}

fn assert_extractable(text: &str) {
    let run = whole::print(text, "A4");
    let (drawn, _) = whole::draw(text);
    for (name, bytes) in run.pdfs() {
        tools::assert_sound(bytes);
        let found = words(&tools::text_of(bytes));
        for drawn in &drawn {
            if !run.card(&drawn.card.id).printed.iter().any(|printed| printed.file == name) {
                continue;
            }
            for wanted in printed(drawn).iter().flat_map(|text| words(text)) {
                // Words of two lines may meet: a reader of turned text sets them close.
                let is_there = found.iter().any(|word| word.contains(&wanted));
                assert!(is_there, "{name}, {}: {wanted:?} is not found", drawn.card.id);
            }
        }
    }
}

#[test]
fn an_outside_reader_finds_every_word_of_every_card_of_the_examples() {
    for (_, text) in whole::EXAMPLES {
        assert_extractable(text);
    }
}

#[test]
fn an_outside_reader_finds_fractions_and_the_letters_of_many_languages() {
    let controls = [
        ("fal", "name: Fał, higher_is: tighter, scale: {marks: 0..6, spacing: 20 mm, halves: true}"),
        ("schot", "name: Žabka, scale: {marks: 0..6, spacing: 20 mm, quarters: true}"),
        ("shkot", "name: Шкот, scale: {marks: 0..6, spacing: 20 mm}"),
    ];
    let text = book("4, 8, 12", &controls, "6: [1½, 2¼, 3], 10: [4½, 5¾, 6]")
        .swap("Chervil", "Łódź")
        .swap("size: A5}", "size: A5}, {kind: strip}");
    assert_extractable(&text);
    let run = whole::print(&text, "A4");
    let found = tools::text_of(run.file("cards.pdf"));
    for wanted in ["1½", "4½", "2¼", "5¾", "Fał", "Žabka", "Шкот", "Łódź"] {
        assert!(found.contains(wanted), "{wanted} in {found}");
    }
}
