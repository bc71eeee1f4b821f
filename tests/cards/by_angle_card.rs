//! The card of settings by wind and angle, and what other cards make of such settings.

use std::collections::BTreeSet;

use cockpit_cards::book::{self, Book, Level};
use cockpit_cards::cards::{self, Card, Edition, Label};
use cockpit_cards::door;
use cockpit_cards::drawing::font::has_glyph;
use serde_json::Value;

/// A reach of our own invention.
const REACH: &str = "\
book: 1
boat: {name: Chervil}
wind_bands: [8, 12, 16, 20]
controls:
  jib_lead: {higher_is: aft, scale: {marks: 0..8, spacing: 50 mm, halves: true}}
  inhauler: {scale: {words: [red, white]}}
  backstay: {higher_is: tighter, scale: {marks: 0..8, spacing: 20 mm, halves: true}}
  vang: {scale: {gauge: {unit: bar}}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 8..18, angle: 36..115}
settings:
- id: j1-reach
  sails: [main, j1]
  controls: [jib_lead, inhauler, backstay, vang]
  at:
    10: {60: [4, red, 1, 10], 80: [3, white, ½, 15], 100: [2½, white, 0, 20]}
    16: {60: [5, red, 2½, 25], 90: [3½, white, 2, 40]}
  angle_bands: [50, 70, 90, 120]
  targets: {10: {60: {speed: 7.2 kn}, 80: {speed: 7.6 kn, look: foot just rounded}}}
";

fn load(text: &str) -> Book {
    let loaded = book::from_text("book", text, &|_| None, has_glyph);
    let errors: Vec<_> = loaded.problems.iter().filter(|problem| problem.level == Level::Error).collect();
    assert!(errors.is_empty(), "{errors:?}");
    loaded.book.expect("a book")
}

fn cards(text: &str) -> Vec<Card> {
    let mut problems = Vec::new();
    let cards = cards::cards(&load(text), &mut problems);
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:?}");
    cards
}

fn settings_card(text: &str) -> Card {
    cards(text).into_iter().find(|card| card.id == "j1-reach").expect("a card of the reach")
}

fn label(text: &str, card: &Card) -> Label {
    Label::new(&load(text), &card.stamp, Edition::Draft)
}

fn text(value: &Value) -> String {
    value.as_str().map_or_else(|| value.to_string(), str::to_owned)
}

/// Band of wind, band of angle, control: what to set, its ground, what is known there.
fn cells(card: &Card) -> Vec<([String; 3], String, String, Vec<String>)> {
    let data = card.content.data();
    let names: Vec<String> = data["controls"].as_array().unwrap().iter().map(|of| text(&of["control"])).collect();
    let mut cells = Vec::new();
    for block in data["blocks"].as_array().unwrap() {
        for angle in block["angles"].as_array().unwrap() {
            for (name, cell) in names.iter().zip(angle["cells"].as_array().unwrap()) {
                let known = cell["rows"].as_array().cloned().unwrap_or_default();
                let known =
                    known.iter().map(|row| format!("{} at {}", text(&row["mark"]), text(&row["wind"]))).collect();
                let place = [text(&block["winds"]), text(&angle["angles"]), name.clone()];
                cells.push((place, text(&cell["text"]), text(&cell["ground"]), known));
            }
        }
    }
    cells
}

fn cell(card: &Card, place: [&str; 3]) -> (String, String, Vec<String>) {
    let found = cells(card).into_iter().find(|(at, ..)| at.each_ref().map(String::as_str) == place);
    let (_, text, ground, known) = found.unwrap_or_else(|| panic!("no cell {place:?}"));
    (text, ground, known)
}

#[test]
fn a_cell_says_what_to_set_and_what_was_sailed_in_it_with_wind_and_angle() {
    let card = settings_card(REACH);
    // By hand: in 10 kn 3½ halfway from 60° to 80°, and at most 5 where 16 kn begins to count.
    let (set, ground, known) = cell(&card, ["8 to 12", "50° to 70°", "Jib lead"]);
    assert_eq!((set.as_str(), ground.as_str(), known), ("3½ to 4½", "null", vec!["4 at 10, 60°".to_owned()]));
    // Nothing was sailed in this cell, and each neighbouring wind has these angles.
    let (_, ground, known) = cell(&card, ["12 to 16", "70° to 90°", "Jib lead"]);
    assert_eq!((ground.as_str(), known), ("between", Vec::new()));
    // Past 90° 16 kn knows nothing: only the edge of this cell is known.
    let (set, _, known) = cell(&card, ["16 to 18", "90° to 115°", "Vang"]);
    assert_eq!((set.as_str(), known), ("40 bar", vec!["40 bar at 16, 90°".to_owned()]));
}

#[test]
fn every_reading_of_the_book_stands_in_the_cell_of_its_wind_and_angle_and_in_no_other() {
    let card = settings_card(REACH);
    let rows: [(&str, &str, [&str; 4]); 5] = [
        ("10, 60°", "8 to 12", ["4", "red", "1", "10 bar"]),
        ("10, 80°", "8 to 12", ["3", "white", "½", "15 bar"]),
        ("10, 100°", "8 to 12", ["2½", "white", "0", "20 bar"]),
        ("16, 60°", "16 to 18", ["5", "red", "2½", "25 bar"]),
        ("16, 90°", "16 to 18", ["3½", "white", "2", "40 bar"]),
    ];
    let bands = ["50° to 70°", "70° to 90°", "90° to 115°", "50° to 70°", "90° to 115°"];
    let mut expected = BTreeSet::new();
    for ((place, winds, marks), angles) in rows.into_iter().zip(bands) {
        for (control, mark) in ["Jib lead", "Inhauler", "Backstay", "Vang"].into_iter().zip(marks) {
            expected.insert(([winds, angles, control].map(str::to_owned), format!("{mark} at {place}")));
        }
    }
    let found: BTreeSet<_> = cells(&card)
        .into_iter()
        .flat_map(|(place, _, _, known)| known.into_iter().map(move |known| (place.clone(), known)))
        .collect();
    assert_eq!(found, expected);
}

#[test]
fn what_no_neighbouring_wind_has_among_its_angles_stands_in_brackets() {
    let card = settings_card(&REACH.replace("angle_bands: [50, 70, 90, 120]", "angle_bands: [50, 92, 115]"));
    let (set, ground, known) = cell(&card, ["16 to 18", "92° to 115°", "Jib lead"]);
    assert_eq!((set.as_str(), ground.as_str(), known), ("3½", "outside", Vec::new()));
    let drawing = card.content.layout(&label(REACH, &card)).expect("a drawing");
    assert!(drawing.texts().any(|text| text.content == "(3½)"));
}

#[test]
fn the_angles_are_as_large_as_the_winds_and_stand_in_the_head() {
    let card = settings_card(REACH);
    assert_eq!(card.title, "J1 + Main, 50° to 115°");
    let drawing = card.content.layout(&label(REACH, &card)).expect("a drawing");
    let cap = |words: &str| {
        let caps: Vec<f64> = drawing.texts().filter(|text| text.content == words).map(|text| text.em).collect();
        *caps.first().unwrap_or_else(|| panic!("no `{words}`"))
    };
    let head = drawing.texts().map(|text| text.em).fold(0.0, f64::max);
    assert_eq!(cap("50° to 115°"), head);
    // Ends of the winds, of the angles and of what to set.
    assert_eq!(cap("12"), cap("70°"));
    assert_eq!(cap("12"), cap("3½"));
}

#[test]
fn where_all_controls_of_a_column_were_sailed_is_told_once_in_a_row_of_its_block() {
    let card = settings_card(REACH);
    let drawing = card.content.layout(&label(REACH, &card)).expect("a drawing");
    let words: Vec<&str> = drawing.texts().map(|text| text.content.as_str()).collect();
    let count = |wanted: &str| words.iter().filter(|text| **text == wanted).count();
    // Three blocks of three angles; sailed are three cells of the first and two of the last.
    assert_eq!(count("● SAILED AT"), 3);
    assert_eq!([count("10 kn 60°"), count("10 kn 80°"), count("10 kn 100°"), count("16 kn 60°")], [1; 4], "{words:?}");
    assert!(!words.iter().any(|text| text.starts_with("● 4 at")), "not under each figure as well: {words:?}");
    assert!(count("between") >= 3, "{words:?}");
    // A control that was not written down there says so under its own figure.
    let lacking = REACH.replace("60: [4, red, 1, 10], 80", "60: [4, red, ~, 10], 80");
    let card = settings_card(&lacking);
    let drawing = card.content.layout(&label(&lacking, &card)).expect("a drawing");
    let under = |drawing: &cockpit_cards::drawing::Drawing| {
        drawing.texts().filter(|text| ["between", "beyond"].contains(&text.content.as_str())).count()
    };
    assert_eq!(under(&drawing), count("between") + count("beyond") + 1);
}

/// Five winds, six angles and eight controls, all of our own invention.
fn large() -> String {
    let ids: Vec<String> = (1..=8).map(|nth| format!("control_{nth}")).collect();
    let controls: String =
        ids.iter().map(|id| format!("  {id}: {{scale: {{marks: 0..20, spacing: 20 mm, halves: true}}}}\n")).collect();
    let row = |wind: usize| {
        let at = |angle: usize| {
            let readings: Vec<String> = (0..8).map(|nth| format!("{}.5", wind + angle / 20 + nth % 3)).collect();
            format!("{angle}: [{}]", readings.join(", "))
        };
        let angles: Vec<String> = [50, 65, 80, 95, 110, 125].map(at).to_vec();
        format!("    {}: {{{}}}\n", 8 + 3 * wind, angles.join(", "))
    };
    let rows: String = (0..5).map(row).collect();
    format!(
        "book: 1\nboat: {{name: Chervil}}\nwind_bands: [6, 9, 12, 15, 18, 21]\ncontrols:\n{controls}\
         sails: {{main: {{kind: mainsail}}, j1: {{kind: headsail, wind: 6..21, angle: 36..140}}}}\n\
         settings:\n- id: j1-reach\n  sails: [main, j1]\n  controls: [{}]\n  at:\n{rows}",
        ids.join(", ")
    )
}

#[test]
fn what_one_card_does_not_hold_goes_on_to_a_next_and_every_cell_stands_just_once() {
    let text = large();
    let made: Vec<Card> = cards(&text).into_iter().filter(|card| card.kind == "wind-settings").collect();
    assert!((2..=6).contains(&made.len()), "{} cards", made.len());
    let mut places = Vec::new();
    for card in &made {
        card.content.layout(&label(&text, card)).unwrap_or_else(|wrong| panic!("{}: {wrong:?}", card.id));
        places.extend(cells(card).into_iter().map(|(place, ..)| place));
    }
    assert_eq!(places.len(), 5 * 6 * 8);
    assert_eq!(places.iter().collect::<BTreeSet<_>>().len(), places.len());
    let ids: Vec<&str> = made.iter().map(|card| card.id.as_str()).collect();
    assert_eq!(ids[..2], ["j1-reach", "j1-reach-2"]);
    assert!(made[0].title.ends_with(&format!(", 1 of {}", made.len())), "{}", made[0].title);
}

#[test]
fn how_it_should_look_stands_on_the_card_that_has_its_wind_and_angle_and_on_no_other() {
    let text = large() + "  targets: {11: {65: {look: foot just rounded}}}\n";
    let made: Vec<Card> = cards(&text).into_iter().filter(|card| card.kind == "wind-settings").collect();
    let looks = |card: &Card| card.content.data()["looks"].to_string();
    let told: Vec<&Card> = made.iter().filter(|card| looks(card).contains("foot just rounded")).collect();
    assert_eq!(told.len(), 1);
    // It is the one on which the row of that wind and angle stands.
    assert!(cells(told[0]).iter().any(|(.., known)| known.iter().any(|known| known.contains("11, 65°"))));
}

#[test]
fn the_working_tells_what_was_read_in_each_known_wind() {
    let card = settings_card(REACH);
    let working = card.content.working();
    let passage =
        working.iter().find(|passage| passage.of == "Jib lead, 12 kn to 16 kn, 50° to 70°").expect("a passage");
    let found: Vec<(&str, &str)> =
        passage.lines.iter().map(|line| (line.finds.as_str(), line.value.as_str())).collect();
    assert!(found.contains(&("known at 10 kn, 80°", "3")), "{found:?}");
    assert!(found.contains(&("at 16 kn and 60°", "5")), "{found:?}");
    // 4 in 10 kn and 5 in 16: two thirds of the way at 14.
    assert!(found.contains(&("at the middle of the cell, 14 kn and 60°", "4.6667")), "{found:?}");
}

#[test]
fn what_changed_is_told_with_wind_and_angle() {
    let old = settings_card(REACH);
    let new = settings_card(&REACH.replace("80: [3, white, ½, 15]", "80: [2, white, ½, 15]"));
    let kind = cards::KINDS.iter().find(|kind| kind.name == "wind-settings").expect("the kind");
    let fields = |card: &Card| card.content.data().as_object().cloned().expect("fields");
    let said = (kind.changes)(&mut fields(&old), &mut fields(&new));
    assert!(said.iter().any(|line| line.contains("8 to 12 kn at 70° to 90°, Jib lead")), "{said:?}");
    assert!(said.iter().all(|line| line.contains("Jib lead")), "{said:?}");
    assert_ne!(old.stamp, new.stamp);
}

#[test]
fn a_table_by_angle_changes_no_other_card() {
    let plain = "\
- {id: j1-upwind, sails: [main, j1], point_of_sail: upwind, controls: [backstay], at: {10: [1], 14: [3]}}
cards: [{kind: wind-settings, settings: j1-upwind}]
";
    let (head, _) = REACH.split_once("- id: j1-reach").expect("the reach");
    let without = cards(&format!("{head}{plain}"));
    let (plain, list) = plain.split_once("cards:").expect("a list");
    let with = cards(&format!("{}{plain}cards:{list}", REACH));
    let stamps = |cards: &[Card]| cards.iter().map(|card| (card.id.clone(), card.stamp.clone())).collect::<Vec<_>>();
    assert_eq!(stamps(&without), stamps(&with));
}

#[test]
fn a_watch_plan_reads_a_table_by_angle_at_the_angle_of_the_forecast() {
    let race = |angle: &str| {
        format!(
            "{REACH}watches: {{start: 2027-06-12 18:00, finish: 2027-06-13 02:00, time_zone: UTC, least_on_deck: 1, \
             lengths: [4 h], teams: {{Red: [Ada], Blue: [Bo]}}}}\n\
             forecast: [{{time: 2027-06-12 18:00, wind: 12..14, angle: {angle}}}]\ncards: [{{kind: watch-plan, marks: true}}]\n"
        )
    };
    let words = |angle: &str| cards(&race(angle))[0].content.data().to_string();
    // In the middle, 13 kn, by hand: halfway from 3 to about 4 at 80°, from 4 to 5 at 60°.
    assert!(words("60").contains("Jib lead 4½"), "{}", words("60"));
    assert!(words("80").contains("Jib lead 3½"), "{}", words("80"));
    assert!(words("80").contains("50° to 120°, at 80°"), "{}", words("80"));
    // Past its bands it is not for this course.
    assert!(words("130").contains("No settings"), "{}", words("130"));
}

#[test]
fn every_card_of_a_book_with_settings_by_angle_is_drawn() {
    let passed = door::check(book::from_text("book", REACH, &|_| None, has_glyph));
    assert!(passed.made.is_some(), "{:?}", passed.problems);
}

// Change points.

/// The cards that say what moves with the angle.
fn changes(entry: &str) -> Vec<Card> {
    cards(&format!("{REACH}cards: [{{kind: change-points, settings: j1-reach{entry}}}]\n"))
}

#[test]
fn bearing_away_says_what_moves_at_which_angle_and_heading_up_the_way_back() {
    let made = changes(", at_wind: 10 kn");
    let [card] = &made[..] else { panic!("{} cards", made.len()) };
    assert_eq!(
        (card.id.as_str(), card.title.as_str()),
        ("change-j1-reach", "J1 + Main, 50° to 120°: change points at 10 kn")
    );
    let data = card.content.data();
    let columns = data["columns"].as_array().unwrap();
    let marks = |control: &str| -> Vec<(String, String)> {
        let column = columns.iter().position(|head| head["control"] == control).unwrap();
        let rows = data["rows"].as_array().unwrap().iter();
        let new = rows.filter(|row| row["rung"].is_null() || row["marks"][column]["is_new"] == true);
        new.map(|row| (text(&row["rung"]["building"]), text(&row["marks"][column]["mark"]))).collect()
    };
    // Of our own making: words change midway between 60° and 80°, told two degrees to either side.
    let inhauler = marks("Inhauler");
    assert_eq!(inhauler.iter().map(|(_, mark)| mark.as_str()).collect::<Vec<_>>(), ["red", "white"]);
    assert_eq!(inhauler[1].0, "72°");
    // The lead goes from 4 to 2½ on halves, each time forward.
    let lead: Vec<String> = marks("Jib lead").into_iter().map(|(_, mark)| mark).collect();
    assert!(lead.first().is_some_and(|mark| mark == "4") && lead.last().is_some_and(|mark| mark == "2½"), "{lead:?}");
    card.content.layout(&label(REACH, card)).expect("a drawing");
}

#[test]
fn without_a_wind_there_is_a_card_for_the_middle_of_each_band_in_which_something_moves() {
    let titles: Vec<String> = changes("").into_iter().map(|card| card.title).collect();
    // 8 to 12, 12 to 16 and 16 to 18 kn: past 16 kn nothing is known, so nothing is said.
    assert_eq!(titles.len(), 2, "{titles:?}");
    assert!(titles[0].ends_with("at 10 kn") && titles[1].ends_with("at 14 kn"), "{titles:?}");
}

#[test]
fn a_ladder_that_one_card_does_not_hold_goes_on_to_a_next_and_every_rung_stands_just_once() {
    let of = |size: &str| {
        cards(&format!(
            "{}cards: [{{kind: change-points, settings: j1-reach, at_wind: 10 kn, size: {size}}}]\n",
            large()
        ))
    };
    let (whole, parts) = (of("A3"), of("A6"));
    assert_eq!(whole.len(), 1);
    assert!(parts.len() > 1, "one card of A6 holds all of it");
    let rungs = |cards: &[Card]| -> Vec<Value> {
        cards.iter().flat_map(|card| card.content.data()["rows"].as_array().cloned().expect("rows")).collect()
    };
    assert_eq!(rungs(&parts), rungs(&whole));
    let book = large();
    for (nth, card) in parts.iter().enumerate() {
        assert!(card.title.ends_with(&format!(", {} of {}", nth + 1, parts.len())), "{}", card.title);
        card.content.layout(&label(&book, card)).expect("a drawing");
    }
}

#[test]
fn a_change_point_that_moves_is_told_with_its_angle() {
    let old = changes(", at_wind: 10 kn");
    let moved = REACH.replace("60: [4, red, 1, 10], 80", "60: [4, red, 1, 10], 84");
    let moved = moved.replace("80: {speed: 7.6 kn, look: foot just rounded}", "84: {speed: 7.6 kn}");
    let new = cards(&format!("{moved}cards: [{{kind: change-points, settings: j1-reach, at_wind: 10 kn}}]\n"));
    let kind = cards::KINDS.iter().find(|kind| kind.name == "change-points").expect("the kind");
    let fields = |card: &Card| card.content.data().as_object().cloned().expect("fields");
    let said = (kind.changes)(&mut fields(&old[0]), &mut fields(&new[0]));
    assert!(said.iter().any(|words| words.contains("Inhauler from 74°, back below 70°: white")), "{said:?}");
}

#[test]
fn a_cell_that_spreads_by_more_than_a_mark_along_the_angle_asks_for_a_narrower_band() {
    let warned = |bands: &str| -> Vec<book::Problem> {
        let text = REACH.replace("angle_bands: [50, 70, 90, 120]", &format!("angle_bands: [{bands}]"));
        let mut problems = Vec::new();
        cards::cards(&load(&text), &mut problems);
        problems.into_iter().filter(|problem| problem.what.contains("where a hand wants a mark")).collect()
    };
    // By hand: in 16 kn the lead goes from 5 at 60° to 3½ at 90°, half a mark in 10°.
    let found = warned("50, 90, 120");
    let [wide] = &found[..] else { panic!("{found:?}") };
    assert!(wide.what.starts_with("Jib lead of `j1-reach` moves by 1.5 marks from 50° to 90°"), "{wide:?}");
    assert!(wide.place.is_some() && wide.instead.contains("no wider than 26°"), "{wide:?}");
    assert_eq!(warned("50, 70, 90, 120"), vec![]);
}

/// A close reach with her heel, and a crew of which four are usually below.
const CLOSE: &str = "\
book: 1
boat: {name: Chervil}
wind_bands: [8, 12, 16, 20]
controls: {jib_lead: {higher_is: aft, scale: {marks: 0..8, spacing: 50 mm, halves: true}}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 8..20, angle: 36..115}
crew: {aboard: 10, mass: 80 kg, rail: {out: 1.65 m, above: 0.9 m}, bunks: {out: 1.1 m, above: 0.1 m}, usually_below: {hands: 4, side: leeward}}
righting: {displacement: 6400 kg, gm: 1.25 m, heel_limited: {from: 14}, upwind_angle: 42}
settings:
- id: j1-reach
  sails: [main, j1]
  controls: [jib_lead]
  at:
    10: {40: [4], 80: [3]}
    16: {40: [5], 80: [3½]}
  angle_bands: [36, 50, 100]
  targets: {10: {40: {speed: 6.2 kn, heel: 18}}, 16: {40: {speed: 6.5 kn, heel: 24}}}
";

#[test]
fn upwind_a_cell_says_in_which_winds_it_is_read_with_the_usual_number_below_and_off_the_wind_that_nobody_knows() {
    let card = settings_card(CLOSE);
    let data = card.content.data();
    let below = |block: usize, angle: usize| text(&data["blocks"][block]["angles"][angle]["below"]);
    // As the crew-below card reckons it: with fewer on the rail 16 kn are felt from less than that on.
    let (last, unknown) = (below(2, 0), below(2, 1));
    let from = last.split(" to ").next().and_then(cockpit_cards::tuning::mark::parse).expect("a wind");
    assert!((13.0..16.0).contains(&from), "{last}");
    assert_eq!(unknown, "null", "heel is not the limit at 50° to 100°");
    let drawing = card.content.layout(&label(CLOSE, &card)).expect("it fits");
    let words = drawing.texts().map(|text| text.content.as_str()).collect::<Vec<_>>().join(" ");
    assert!(words.contains(&format!("4 BELOW: use from {last} ?")), "{words}");
    assert!(words.contains("4 below leeward: never on top") && words.contains("reckoned upwind alone"), "{words}");
}

#[test]
fn a_target_that_a_cell_does_not_have_is_told_with_the_sign_of_what_is_not_known() {
    let card = settings_card(CLOSE);
    let drawing = card.content.layout(&label(CLOSE, &card)).expect("it fits");
    let words = drawing.texts().map(|text| text.content.as_str()).collect::<Vec<_>>().join(" ");
    assert!(words.contains("TARGET kn, heel ● 6.2, 18° ?") && words.contains("? not recorded"), "{words}");
    let none = CLOSE.split("  targets:").next().expect("a head");
    let card = settings_card(none);
    let drawing = card.content.layout(&label(none, &card)).expect("it fits");
    assert!(!drawing.texts().any(|text| text.content.contains("TARGET")), "no targets, no row");
}
