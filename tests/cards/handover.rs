//! The hand-over card has a line for every control, in the order of the notes, each high enough for a gloved hand.

use crate::reading;

use cockpit_cards::book::NoteField;
use cockpit_cards::cards::{self, Card, Edition, LEAST_ROW_MM, Label};
use cockpit_cards::drawing::{Drawing, Shape};
use kurbo::{Point, Shape as _};
use reading::{SOUND, complaints, load};

const FULL: &str = include_str!("../../examples/full.yaml");

fn cards_of(card: &str) -> Vec<Card> {
    let loaded = load(&format!("{SOUND}cards: [{card}]\n"));
    let said = complaints(&loaded);
    let book = loaded.book.filter(|_| said.is_empty()).unwrap_or_else(|| panic!("{said}"));
    let mut problems = Vec::new();
    let cards = cards::cards(&book, &mut problems);
    assert!(problems.is_empty(), "{problems:?}");
    cards
}

fn drawn(card: &Card) -> Drawing {
    let label =
        Label { boat: "Chervil".to_owned(), stamp: card.stamp.clone(), edition: Edition::Draft, ..Label::default() };
    let mut problems = Vec::new();
    let drawing = cards::draw(card, &label, &mut problems);
    assert!(problems.is_empty(), "{problems:?}");
    drawing.unwrap()
}

/// Heights of the level lines from edge to edge.
fn rules(drawing: &Drawing) -> Vec<f64> {
    let level = drawing.items.iter().filter_map(|item| match &item.shape {
        Shape::Stroke { path, .. } => Some(path.bounding_box()).filter(|area| area.height() == 0.0),
        _ => None,
    });
    level.filter(|area| area.width() > drawing.size.width / 2.0).map(|area| area.y0).collect()
}

/// Where some words begin.
fn place(drawing: &Drawing, words: &str) -> Point {
    drawing.texts().find(|text| text.content == words).unwrap_or_else(|| panic!("{words}")).origin
}

/// Of the row that some words stand in, from rule to rule.
fn row_height(drawing: &Drawing, words: &str) -> f64 {
    let y = place(drawing, words).y;
    let above = rules(drawing).into_iter().filter(|rule| *rule < y).fold(0.0, f64::max);
    let below = rules(drawing).into_iter().filter(|rule| *rule > y).fold(f64::INFINITY, f64::min);
    below - above
}

/// A book of so many controls, and this asked of its card.
fn of_controls(count: usize, card: &str) -> String {
    let ids: Vec<String> = (0..count).map(|n| format!("c{n}")).collect();
    let scale = |id: &String| format!("  {id}: {{name: \"Control {id}\", scale: {{words: [off, on]}}}}\n");
    format!(
        "book: 1\nboat: {{name: Chervil}}\ncontrols:\n{}sails: {{j1: {{kind: headsail}}}}\nsettings:\n  - {{id: up, \
         sails: [j1], point_of_sail: upwind, controls: [{}], at: {{10: [{}]}}}}\ncards: [{card}]\n",
        ids.iter().map(scale).collect::<String>(),
        ids.join(", "),
        vec!["on"; count].join(", "),
    )
}

fn cards_in(text: &str) -> Vec<Card> {
    let loaded = load(text);
    let said = complaints(&loaded);
    let book = loaded.book.filter(|_| said.is_empty()).unwrap_or_else(|| panic!("{said}"));
    cards::cards(&book, &mut Vec::new())
}

#[test]
fn every_row_is_high_enough_for_a_gloved_hand() {
    // 9 mm: common practice for gloves.
    assert_eq!(LEAST_ROW_MM, 9.0);
    let cards = cards_of("{kind: handover, settings: j1-upwind}");
    let (front, back) = (drawn(&cards[0]), drawn(cards[0].back.as_deref().expect("a back")));
    for row in ["Time", "Sails", "Sea", "Backstay", "Lead", "Vang", "Speed kn"] {
        for drawing in [&front, &back] {
            assert!(row_height(drawing, row) >= LEAST_ROW_MM, "{row}: {}", row_height(drawing, row));
        }
    }
    for row in ["Watch", "Wind kn, true", "Angle °, true", "Below", "Helm", "Note"] {
        assert!(row_height(&front, row) >= LEAST_ROW_MM, "{row}");
    }
}

#[test]
fn controls_that_one_card_has_no_room_for_go_on_to_a_second_and_no_row_is_squeezed() {
    for (count, size) in [(3, ""), (14, ""), (14, ", size: A6"), (12, ", size: A5"), (30, "")] {
        let cards = cards_in(&of_controls(count, &format!("{{kind: handover{size}}}")));
        let mut told = Vec::new();
        for card in &cards {
            let drawing = drawn(card);
            let names = drawing.texts().filter(|text| text.content.starts_with("Control ")).map(|text| &text.content);
            for name in names {
                assert!(row_height(&drawing, name) >= LEAST_ROW_MM, "{count}{size}: {name}");
                told.push(name.clone());
            }
            place(&drawing, "Time");
            drawn(card.back.as_deref().expect("a back"));
        }
        let wanted: Vec<String> = (0..count).map(|n| format!("Control c{n}")).collect();
        assert_eq!(told, wanted, "{count}{size}: each once, in order");
        assert_eq!(cards.len() == 1, count <= 12, "{count}{size}: {}", cards.len());
    }
}

#[test]
fn the_lines_follow_the_notes_columns_and_nothing_is_written_in_them() {
    let cards = cards_of("{kind: handover, settings: j1-upwind}");
    let drawing = drawn(&cards[0]);
    let order = ["Time", "Sails", "Angle °, true", "Below", "Backstay", "Lead", "Vang", "Speed kn", "Note"];
    let tops: Vec<f64> = order.iter().map(|word| place(&drawing, word).y).collect();
    assert!(tops.is_sorted_by(|a, b| a < b), "{tops:?}");
    // As the columns of the notes are in order.
    let headings = NoteField::BEFORE.map(NoteField::heading);
    let notes = |word: &str| headings.iter().position(|heading| *heading == word).expect(word);
    assert!(notes("when") < notes("settings") && notes("settings") < notes("angle") && notes("angle") < notes("below"));
    for (left, right) in [("Time", "Watch"), ("Sails", "Wind kn, true"), ("Angle °, true", "Sea"), ("Below", "Helm")] {
        let (left, right) = (place(&drawing, left), place(&drawing, right));
        assert!((left.y - right.y).abs() < 1e-9 && left.x < right.x);
    }
    let heads = ["CARD SAYS", "NOW", "TRY"].map(|head| place(&drawing, head));
    assert!(heads.is_sorted_by(|a, b| a.x < b.x && a.y == b.y));
    let written = drawing.texts().filter(|text| text.origin.x >= heads[0].x && text.origin.y > heads[0].y);
    let rows = place(&drawing, "Note").y;
    assert_eq!(written.filter(|text| text.origin.y < rows - 1.0).count(), 0);
}

#[test]
fn controls_that_there_are_two_of_stand_last_with_a_place_for_each_side() {
    let cards = cards_in(FULL);
    let card = cards.iter().find(|card| card.kind == "handover").expect("a hand-over");
    let drawing = drawn(card);
    let (last, band, lead) =
        (place(&drawing, "Cunningham"), place(&drawing, "BOTH SIDES"), place(&drawing, "Jib lead"));
    assert!(last.y < band.y && band.y < lead.y);
    for side in ["PORT", "STBD"] {
        let heads: Vec<_> = drawing.texts().filter(|text| text.content == side).collect();
        assert_eq!(heads.len(), 3, "under CARD SAYS, NOW and TRY");
        assert!(heads.iter().all(|head| (head.origin.y - band.y).abs() < 1e-9));
    }
    // Each place is as wide as a row is high, at least.
    let mut edges: Vec<f64> =
        drawing.texts().filter(|text| (text.origin.y - band.y).abs() < 1e-9).map(|text| text.origin.x).collect();
    edges.sort_by(f64::total_cmp);
    assert!(edges[1..].windows(2).all(|pair| pair[1] - pair[0] >= LEAST_ROW_MM), "{edges:?}");
}

#[test]
fn limits_stand_in_the_box_so_that_nobody_writes_a_try_past_them() {
    let cards = cards_in(FULL);
    let card = cards.iter().find(|card| card.kind == "handover").expect("a hand-over");
    let drawing = drawn(card);
    let words: Vec<&str> = drawing.texts().map(|text| text.content.as_str()).collect();
    let words = words.join(" ");
    assert!(words.contains("NEVER PAST: Backstay 7 · Checkstay 150 bar · Vang 100 bar."), "{words}");
    assert!(words.contains("WRITE THE MARKS AS THEY ARE"), "{words}");
    let limit = drawing.texts().find(|text| text.content.starts_with("NEVER PAST")).expect("the limits");
    assert!(limit.cap_height() >= 3.0, "{}", limit.cap_height());
}

#[test]
fn the_back_has_five_columns_for_past_hand_overs() {
    let cards = cards_of("{kind: handover}");
    assert_eq!(cards.len(), 1, "one thing to laminate");
    let drawing = drawn(cards[0].back.as_ref().expect("a back"));
    let has = |head: &str| drawing.texts().any(|text| text.content == head);
    for head in ["last", "2 ago", "3 ago", "4 ago", "5 ago"] {
        assert!(has(head), "{head}");
    }
    assert!(!has("6 ago"));
}

#[test]
fn unknown_settings_are_told_with_the_nearest() {
    let text = format!("{SOUND}cards: [{{kind: handover, settings: j2-upwind}}]\n");
    let book = load(&text).book.unwrap();
    let mut problems = Vec::new();
    assert!(cards::cards(&book, &mut problems).is_empty());
    assert_eq!(&text[problems[0].place.as_ref().unwrap().bytes.clone()], "j2-upwind");
    assert!(problems[0].instead.contains("j1-upwind"));
}

#[test]
fn a_card_takes_as_many_controls_as_it_holds_whether_they_have_one_side_or_two() {
    let names = [
        "Backstay",
        "Outboard lead tweaker of the genoa",
        "Jib halyard tension line",
        "Jib lead",
        "Inhauler",
        "Traveller",
        "Checkstay upper",
        "Outhaul",
        "Cunningham",
        "Vang",
        "Mainsheet fine tune",
        "Runner tails, both of them",
        "Barber hauler",
        "Jib sheet to the coachroof",
    ];
    let control = |(nth, name): (usize, &&str)| {
        let sides = if nth % 3 == 0 { ", strip: {place: deck, sides: both}" } else { "" };
        format!(
            "  c{nth}: {{name: \"{name}\", higher_is: tighter, scale: {{marks: 0..12, spacing: 20 mm}}, limit: {{never_above: 11}}{sides}}}\n"
        )
    };
    let controls: String = names.iter().enumerate().map(control).collect();
    let ids: Vec<String> = (0..names.len()).map(|nth| format!("c{nth}")).collect();
    let text = format!(
        "book: 1\nboat: {{name: Chervil}}\nwind_bands: [4, 8, 14]\ncontrols:\n{controls}sails:\n  j1: {{kind: headsail, wind: 5..14}}\nsettings:\n- {{id: up, sails: [j1], point_of_sail: upwind, controls: [{}], at: {{6: [{}]}}}}\ncards: [{{kind: handover, settings: up}}]\n",
        ids.join(", "),
        vec!["4"; names.len()].join(", "),
    );
    let cards = cards_in(&text);
    // As large a part for each of them as for the fullest took four.
    assert_eq!(cards.len(), 3);
    for name in names {
        let has = |card: &&Card| card.content.data().to_string().contains(&format!("\"{name}\""));
        assert_eq!(cards.iter().filter(has).count(), 1, "{name}");
    }
    cards.iter().for_each(|card| drop(drawn(card)));
}
