//! What a sail is for is one answer on every card: as it is now, clipped to it, with the reason; outside it is said first.

use crate::reading;

use cockpit_cards::book::Level;
use cockpit_cards::cards::{self, Card};
use reading::{SOUND, complaints, load, spoilt};
use serde_json::{Value, json};

const TORN: &str = include_str!("../books/torn-jib.yaml");
const WHY: &str = "J1: head torn; 5 to 16 kn now, was 5 to 20";

fn cards_of(text: &str) -> Vec<Card> {
    let loaded = load(text);
    let book = loaded.book.as_ref().filter(|_| loaded.is_sound()).unwrap_or_else(|| panic!("{}", complaints(&loaded)));
    let mut problems = Vec::new();
    let cards = cards::cards(book, &mut problems);
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:?}");
    cards
}

fn data(text: &str, kind: &str) -> Value {
    let cards = cards_of(text);
    cards.iter().find(|card| card.kind == kind).unwrap_or_else(|| panic!("no {kind}")).content.data()
}

/// A text with one piece of it replaced, which stands there just once.
fn with(text: &str, piece: &str, replacement: &str) -> String {
    assert_eq!(text.matches(piece).count(), 1, "`{piece}` stands there not just once");
    text.replacen(piece, replacement, 1)
}

fn weather(text: &str) -> Value {
    data(text, "watch-plan")["rows"][0]["watch"]["weather"].clone()
}

fn sails_planned(weather: &Value) -> Vec<String> {
    let sails = weather["sails"].as_array().unwrap().iter();
    sails.map(|plan| plan["sails"].as_str().unwrap().to_owned()).collect()
}

#[test]
fn a_band_is_cut_to_what_the_sails_are_for_now() {
    let rows = data(TORN, "wind-settings")["rows"].clone();
    let bands: Vec<_> = rows.as_array().unwrap().iter().map(|row| (row["low"].clone(), row["high"].clone())).collect();
    assert_eq!(bands, [("5", "9"), ("9", "13"), ("13", "16")].map(|(low, high)| (json!(low), json!(high))));
}

#[test]
fn a_row_at_the_upper_end_of_a_sails_range_stands_in_its_last_band() {
    let text = spoilt("14: [4½, 14, hard]", "16: [5, 14, hard]");
    let rows = data(&text, "wind-settings")["rows"].clone();
    let last = rows.as_array().unwrap().last().unwrap();
    assert_eq!((&last["high"], &last["cells"][0]["text"]), (&json!("16"), &json!("4 to 5")));
    assert_eq!(last["cells"][0]["rows"], json!([{"mark": "5", "wind": "16", "ground": "sailed"}]));
}

#[test]
fn a_narrowed_sail_says_so_on_each_of_its_cards() {
    for kind in ["wind-settings", "change-points", "watch-plan", "handover"] {
        assert_eq!(data(TORN, kind)["narrowed"], json!([WHY]), "{kind}");
    }
    assert_eq!(data(TORN, "crew-below")["tables"][0]["narrowed"], json!([WHY]));
    let lane = data(TORN, "strip")["lanes"][0]["explains"].clone();
    assert!(lane.as_str().unwrap().ends_with(WHY), "{lane}");
    // And one that is whole says nothing.
    let whole = with(TORN, ", status: head torn, max_now: 16", "");
    for kind in ["wind-settings", "change-points", "watch-plan", "handover"] {
        assert_eq!(data(&whole, kind).get("narrowed"), None, "{kind}");
    }
}

#[test]
fn both_sails_of_a_change_say_what_they_are_for_now_and_the_bands_are_what_they_share() {
    let text = with(TORN, "wind: 22..34", "wind: 12..34");
    let text = with(&text, "{kind: watch-plan, bunks: leeward}", "{kind: sail-change, from: j1, to: j3}");
    let card = data(&text, "sail-change");
    assert_eq!(card["winds"], "12 to 16");
    assert_eq!(card["narrowed"], json!([WHY]));
}

#[test]
fn no_card_has_a_mark_for_more_wind_than_a_torn_sail_may_be_used_in() {
    let number = |text: &Value| text.as_str().unwrap().replace('½', ".5").parse::<f64>().unwrap();
    let rungs = data(TORN, "change-points")["rows"].clone();
    let mut winds = rungs.as_array().unwrap().iter().skip(1).map(|row| number(&row["rung"]["building"]));
    assert!(winds.all(|wind| wind <= 16.0), "{rungs}");
    let whole = with(TORN, ", status: head torn, max_now: 16", "");
    let more = data(&whole, "change-points")["rows"].clone();
    assert!(more.as_array().unwrap().len() > rungs.as_array().unwrap().len(), "the whole sail has further rungs");

    let winds = |text: &str| data(text, "strip")["lanes"][0]["labels"].as_array().unwrap().len();
    // Of the marks 1 to 6, met from 6 to 18 kn, 5 and 6 are met past 16 kn.
    assert_eq!((winds(TORN), winds(&whole)), (4, 6));
    let rows = |text: &str| data(text, "crew-below")["tables"][0]["rows"].as_array().unwrap().len();
    assert_eq!((rows(TORN), rows(&whole)), (2, 3));
}

#[test]
fn a_forecast_is_cut_where_a_sails_range_ends_and_the_hole_is_named_first() {
    let weather = weather(TORN);
    assert_eq!(weather["beyond"], json!(["No settings and no sail for 16 to 22 kn"]));
    assert_eq!(sails_planned(&weather), ["J1 + Main, upwind", "J3 + Main, upwind"]);
    // Without a crew the bands are those of the wind.
    let bare = with(TORN, "  - {kind: crew-below, below: [4], bunks: [leeward]}\n", "");
    let bare: String =
        bare.lines().filter(|line| !line.starts_with("righting")).map(|line| format!("{line}\n")).collect();
    let read: Vec<Value> =
        self::weather(&bare)["sails"].as_array().unwrap().iter().map(|plan| plan["bands"].clone()).collect();
    assert_eq!(read, [json!(["13 to 16"]), json!(["22 to 25", "25 to 29"])]);
}

#[test]
fn gusts_past_a_sails_range_are_said_first() {
    let text = with(TORN, "wind: 15..27, angle: 40", "wind: 10..14, angle: 40, gust: 18");
    let weather = weather(&text);
    assert_eq!(weather["beyond"], json!(["Gusts 18: J1 only to 16 kn, then no sail"]));
    assert_eq!((&weather["wind"], &weather["gusts"]), (&json!("10 to 14"), &json!("18")));
    let borne = self::weather(&with(&text, "gust: 18", "gust: 16"));
    assert_eq!((borne.get("beyond"), &borne["gusts"]), (None, &json!("16")));
    // Where there is a sail for them, it is named.
    let next = self::weather(&with(&text, "wind: 22..34", "wind: 14..34"));
    assert_eq!(next["beyond"], json!(["Gusts 18: J1 only to 16 kn, then J3 + Main"]));
    // As the sail was made, it would have borne them.
    assert_eq!(self::weather(&with(&text, ", status: head torn, max_now: 16", "")).get("beyond"), None);
}

#[test]
fn the_gust_of_one_row_is_not_printed_under_the_wind_of_another() {
    let rows = "[{time: 2027-06-12 18:00, wind: 6..8, angle: 40, gust: 10}, {time: 2027-06-12 20:00, wind: 12..15, \
                angle: 40}]";
    let text = with(TORN, "[{time: 2027-06-12 18:00, wind: 15..27, angle: 40}]", rows);
    let weather = weather(&text);
    assert_eq!((&weather["wind"], weather.get("gusts")), (&json!("6 to 15"), None));
}

#[test]
fn a_range_that_nobody_wrote_down_bounds_nothing_and_claims_nothing() {
    let text = with(TORN, "name: J3, wind: 22..34, angle: 30..60", "name: J3");
    // Its settings are for any wind...
    assert_eq!(sails_planned(&weather(&text)), ["J3 + Main, upwind"]);
    // ...but without settings it is named for none.
    let line = text.lines().find(|line| line.contains("id: j3-upwind")).unwrap();
    let none = weather(&with(&text, line, ""));
    assert_eq!(none["beyond"], json!(["No settings and no sail for 16 to 27 kn"]));
    assert_eq!(sails_planned(&none), ["J1 + Main, upwind"]);
    let settings = data(&format!("{SOUND}cards: [{{kind: wind-settings, settings: j1-upwind}}]"), "wind-settings");
    assert_eq!(settings["range"], "5 to 16 kn", "the mainsail's unknown range leaves the jib its own");
}

#[test]
fn a_sail_past_use_has_no_card_and_the_warning_says_what_to_write() {
    let loaded = load(&with(TORN, "max_now: 16", "max_now: 5"));
    let mut problems = Vec::new();
    let cards = cards::cards(loaded.book.as_ref().unwrap(), &mut problems);
    assert!(cards.iter().all(|card| card.kind != "wind-settings" && card.kind != "change-points"));
    let found = problems.iter().find(|problem| problem.what.contains("J1 is for no wind as it is now")).unwrap();
    assert_eq!(found.level, Level::Warning);
    assert!(found.instead.contains("`retired`"), "{}", found.instead);
}
