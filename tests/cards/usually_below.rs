//! The line of a settings card for the usual number below: in which winds each column is to be read then.

use crate::common::whole::{self, Drawn};
use crate::swap::Swap;
use cockpit_cards::book::Level;

const FULL: &str = include_str!("../../examples/full.yaml");
const USUAL: &str = "usually_below: {hands: 4, side: leeward}";

fn card(text: &str, id: &str) -> Drawn {
    let (drawn, problems) = whole::draw(text);
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:?}");
    drawn.into_iter().find(|drawn| drawn.card.id == id).unwrap_or_else(|| panic!("a card {id}"))
}

/// Each band with the winds to read it in.
fn line(drawn: &Drawn) -> Vec<(f64, f64, String)> {
    let data = drawn.card.content.data();
    let number = |value: &serde_json::Value| value.as_str().and_then(|text| text.parse().ok()).expect("a whole wind");
    let row = |row: &serde_json::Value| {
        let below = row["below"].as_str().unwrap_or_default().to_owned();
        (number(&row["low"]), number(&row["high"]), below)
    };
    data["rows"].as_array().expect("rows").iter().map(row).collect()
}

#[test]
fn in_the_winds_of_the_line_the_crew_below_card_says_to_read_that_column() {
    let found = line(&card(FULL, "j1-upwind"));
    let mark = |words: &str| cockpit_cards::tuning::mark::parse(words).expect("a wind");
    let mut held = 0;
    for (low, high, below) in &found {
        let Some((from, to)) = below.split_once(" to ").filter(|(from, _)| *from != "up") else { continue };
        for (blows, edge) in [(mark(from), *low), (mark(to), *high)] {
            // A row of its own in that wind, of which nothing is recorded, has the other card reckon it.
            const ROWS: &str = "      6:  [0,   2,  2,   white, W3, 2, 0]\n      10: [2,   3½, 3,   red,   W2, 4, 10]\n      14: [4½,  5½, 4½,  green, C,  5, 25]\n";
            let own = format!("      {blows}: [~, ~, ~, ~, ~, ~, 5]");
            let mut rows: Vec<&str> = ROWS.lines().collect();
            let wind = |row: &&str| row.trim().split(':').next().and_then(|wind| wind.parse::<f64>().ok()).unwrap();
            if rows.iter().all(|row| wind(row) != blows) {
                rows.push(&own);
            }
            rows.sort_by(|a, b| wind(a).total_cmp(&wind(b)));
            let asked = FULL.swap(ROWS, &(rows.join("\n") + "\n"));
            let list = asked.find("\ncards:").expect("a list");
            let text =
                format!("{}\ncards: [{{kind: crew-below, below: [4], bunks: [leeward], size: A4}}]\n", &asked[..list]);
            let data = card(&text, "crew-below").card.content.data();
            let rows = data["tables"][0]["rows"].as_array().expect("rows").clone();
            let row = rows.iter().find(|row| mark(row["wind"].as_str().unwrap()) == blows).expect("its row");
            let read = mark(row["cells"][0]["wind"].as_str().expect("a wind to read at"));
            // Both are printed to half a knot, and one knot that blows is up to 1.4 that are felt.
            assert!((read - edge).abs() <= 0.25 * 1.4 + 0.25, "{below} for {low} to {high}: at {blows} read {read}");
            held += 1;
        }
    }
    assert!(held >= 6, "{found:?}");
}

#[test]
fn one_column_ends_in_the_wind_in_which_the_next_begins() {
    for id in ["j1-upwind", "j2-upwind", "j3-upwind"] {
        let found = line(&card(FULL, id));
        let ends = |words: &str| words.rsplit(' ').next().unwrap_or_default().to_owned();
        for pair in found.windows(2).filter(|pair| pair[1].2.contains(" to ") && !pair[1].2.starts_with("up")) {
            assert_eq!(ends(&pair[0].2), pair[1].2.split(' ').next().unwrap_or_default(), "{id}: {found:?}");
        }
    }
}

#[test]
fn the_line_stands_under_the_wind_large_enough_and_the_legend_says_not_to_count_twice() {
    let drawn = card(FULL, "j1-upwind");
    let drawing = drawn.drawing.as_ref().expect("a picture");
    let find = |words: &str| drawing.texts().find(|text| text.content == words).unwrap_or_else(|| panic!("{words}"));
    let (wind, line, control) = (find("TRUE WIND"), find("up to 7"), find("Jib halyard"));
    assert!(wind.origin.y < line.origin.y && line.origin.y < control.origin.y);
    assert!(line.cap_height() >= 3.0 - 1e-9);
    let words = drawing.texts().map(|text| text.content.as_str()).collect::<Vec<_>>().join(" ");
    assert!(words.contains("4 BELOW LEEWARD: use column from"), "{words}");
    let legend = words.contains("4 below leeward: never on top of a wind that says “counted already”");
    assert!(legend, "{words}");
}

#[test]
fn where_heel_is_not_the_limit_or_not_known_there_is_no_line() {
    let data = |text: &str, id: &str| card(text, id).card.content.data();
    let reach = data(FULL, "j1-close-reach");
    assert!(reach["below"].is_null() && reach["below_says"].is_null(), "more than heel limits her on a reach");
    let without = FULL.swap(
        "      14: {speed: 6.9 kn, heel: 20 deg}\n      18: {speed: 7.1 kn, heel: 23 deg}\n",
        "      14: {speed: 6.9 kn}\n",
    );
    let unknown = data(&without, "j2-upwind");
    assert_eq!(unknown["below_says"], "4 below, leeward: not reckoned: no target heel in these winds");
    assert!(unknown["below"].is_null());
    // In light winds she is nowhere near the limit.
    let stiff = FULL.swap("heel_limited: {from: 18 deg}", "heel_limited: {from: 35 deg}");
    assert_eq!(data(&stiff, "j1-upwind")["below_says"], "4 below, leeward: no change as far as her heel is known");
    let none = FULL.swap(USUAL, "");
    assert!(data(&none, "j1-upwind")["below_says"].is_null());
}

#[test]
fn what_is_wrong_with_the_usual_number_has_its_place_and_a_remedy() {
    for (usual, what, instead) in [
        ("usually_below: {hands: 9, side: leeward}", "9", "from 1 to 8"),
        ("usually_below: {hands: 4, side: starboard}", "starboard", "leeward"),
        ("usually_below: {hands: 4}", "side", "side: leeward"),
        ("usually_below: 4", "the usual number below", ""),
    ] {
        let loaded = whole::load(&FULL.swap(USUAL, usual));
        let found = loaded.problems.iter().find(|problem| problem.level == Level::Error);
        let found = found.unwrap_or_else(|| panic!("{usual}: {:?}", loaded.problems));
        assert!(found.what.contains(what) && found.instead.contains(instead), "{usual}: {found:?}");
        assert!(found.place.is_some());
    }
}

#[test]
fn a_column_beside_one_of_which_nothing_is_known_is_not_for_all_the_winds_below() {
    // Targets at 14 and 18 kn: nobody knows in which winds the first two columns are read, and so where the third begins.
    let data = card(FULL, "j2-upwind").card.content.data();
    let said: Vec<&str> =
        data["rows"].as_array().expect("rows").iter().map(|row| row["below"].as_str().expect("words")).collect();
    assert_eq!(said, ["?", "?", "? to 16½", "16½ to 18½"]);
}

#[test]
fn a_target_between_two_is_worked_out_and_one_beyond_them_is_not_known() {
    let data = card(FULL, "j1-upwind").card.content.data();
    let targets = |row: usize| data["rows"][row]["targets"].clone();
    // Given at 6, 10 and 14 kn: 6.6 kn and 18° at 10, 6.9 kn and 22° at 14. A monotone curve stays between them.
    assert_eq!(targets(1), serde_json::json!(["6.6", "18"]));
    let words = targets(2)[0].as_str().unwrap().to_owned();
    let speed: f64 = words.strip_suffix(" between").expect("worked out").parse().unwrap();
    assert!((6.6..=6.9).contains(&speed), "{words}");
    let data = card(FULL, "j2-upwind").card.content.data();
    // Given at 14 and 18 kn only: not in 13 to 14, and not from 20 on.
    for row in [0, 3] {
        assert_eq!(data["rows"][row]["targets"], serde_json::json!(["?", "?"]), "band {row}");
    }
}
