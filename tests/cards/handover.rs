//! The hand-over card has a line for every control, in the order of the settings, each high enough for a gloved hand.

use crate::reading;

use cockpit_cards::cards::{self, Card, Edition, LEAST_ROW_MM, Label};
use cockpit_cards::drawing::{Drawing, Shape};
use kurbo::Shape as _;
use reading::{SOUND, complaints, load};

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

#[test]
fn every_row_is_high_enough_for_a_gloved_hand() {
    for card in cards_of("{kind: handover, settings: j1-upwind}").iter().flat_map(Card::sides) {
        let rules = rules(&drawn(card));
        let rows: Vec<f64> = rules.windows(2).map(|pair| pair[1] - pair[0]).collect();
        // Wind, sails, heading, speed, target, three controls and at least one remark.
        assert!(rows.len() >= 9, "{rows:?}");
        assert!(rows.iter().all(|row| *row >= LEAST_ROW_MM), "{rows:?}");
        // 9 mm: common practice for gloves.
        assert_eq!(LEAST_ROW_MM, 9.0);
    }
}

#[test]
fn a_card_too_small_for_such_rows_is_refused_rather_than_squeezed() {
    let mut refused = 0;
    for controls in 1..=12 {
        let ids: Vec<String> = (0..controls).map(|n| format!("c{n}")).collect();
        let scales: Vec<String> = ids.iter().map(|id| format!("  {id}: {{scale: {{words: [off, on]}}}}\n")).collect();
        let text = format!(
            "book: 1\nboat: {{name: Chervil}}\ncontrols:\n{}sails: {{j1: {{kind: headsail}}}}\nsettings:\n  - {{id: up, \
             sails: [j1], point_of_sail: upwind, controls: [{}], at: {{10: [{}]}}}}\ncards: [{{kind: handover, size: A6}}]\n",
            scales.concat(),
            ids.join(", "),
            vec!["on"; controls].join(", "),
        );
        let loaded = load(&text);
        assert_eq!(complaints(&loaded), "");
        let cards = cards::cards(&loaded.book.unwrap(), &mut Vec::new());
        for card in cards.iter().flat_map(Card::sides) {
            let label = Label {
                boat: "Chervil".to_owned(),
                stamp: card.stamp.clone(),
                edition: Edition::Draft,
                ..Label::default()
            };
            match card.content.layout(&label) {
                Ok(drawing) => {
                    let rules = rules(&drawing);
                    assert!(rules.windows(2).all(|pair| pair[1] - pair[0] >= LEAST_ROW_MM), "{controls}: {rules:?}");
                }
                Err(wrong) => {
                    refused += 1;
                    assert!(wrong.instead.contains("size: "), "{}", wrong.instead);
                }
            }
        }
    }
    assert!((1..24).contains(&refused), "{refused}");
}

#[test]
fn controls_stand_in_the_order_of_the_settings_with_nothing_beside_them() {
    let cards = cards_of("{kind: handover, settings: j1-upwind}");
    let drawing = drawn(&cards[0]);
    let order = ["Wind kn", "Sails", "Heading", "Speed", "Target", "Backstay", "Lead", "Vang", "Tried", "What it did"];
    let tops: Vec<f64> = order
        .iter()
        .map(|word| drawing.texts().find(|text| text.content == *word).unwrap_or_else(|| panic!("{word}")).origin.y)
        .collect();
    assert!(tops.is_sorted_by(|a, b| a < b), "{tops:?}");
    let right = drawing.size.width * 0.6;
    let written = drawing.texts().filter(|text| text.origin.x > right && text.origin.y > tops[0] - 1.0);
    assert_eq!(written.count(), 0);
}

#[test]
fn the_back_has_five_columns_for_past_hand_overs() {
    let cards = cards_of("{kind: handover}");
    assert_eq!(cards.len(), 1, "one thing to laminate");
    let drawing = drawn(cards[0].back.as_ref().expect("a back"));
    // Where columns are narrow a head stands on two lines.
    let has = |head: &str| drawing.texts().any(|text| text.content.split(' ').next() == Some(head));
    for head in ["last", "2", "3", "4", "5"] {
        assert!(has(head), "{head}");
    }
    assert!(!has("6"));
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
