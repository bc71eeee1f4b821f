//! The readiness card lists the book's checks by deadline, and what the rest of the book shows to be open.

use crate::reading;
use crate::swap::Swap;

use cockpit_cards::book::Problem;
use cockpit_cards::cards::readiness::Item;
use cockpit_cards::cards::{self, Card, Edition, Label, Readiness};
use cockpit_cards::drawing::{Drawing, Shape};
use kurbo::Shape as _;
use reading::{SOUND, complaints, load, spoilt};

fn cards_of(text: &str) -> (Vec<Card>, Vec<Problem>) {
    let loaded = load(text);
    let said = complaints(&loaded);
    let book = loaded.book.filter(|_| said.is_empty()).unwrap_or_else(|| panic!("{said}"));
    let mut problems = Vec::new();
    let cards = cards::cards(&book, &mut problems);
    (cards, problems)
}

fn items(text: &str) -> Vec<Item> {
    let (cards, problems) = cards_of(text);
    assert!(problems.is_empty(), "{problems:?}");
    cards.iter().flat_map(|card| card.says::<Readiness>().unwrap().items.clone()).collect()
}

/// What nobody is named for, which the rest of the book shows.
fn open_things(text: &str) -> Vec<String> {
    items(text).into_iter().filter(|item| item.who.is_none()).map(|item| item.what).collect()
}

fn drawn(card: &Card) -> Drawing {
    let label =
        Label { boat: "Chervil".to_owned(), stamp: card.stamp.clone(), edition: Edition::Draft, ..Label::default() };
    let mut problems = Vec::new();
    let drawing = cards::draw(card, &label, &mut problems);
    assert!(problems.is_empty(), "{problems:?}");
    drawing.expect("it fits")
}

const CHECKS: &str = "checks:
  - {what: Jackstays rigged, who: Ada, by: Friday}
  - {what: Crew list in, who: Ada, by: Saturday, race_rule: true}
  - {what: Halyards looked at, who: Bo, by: Friday}
  - {what: Tethers tried, who: Ada, by: Friday}
  - Gas off
cards: [{kind: readiness}]
";

#[test]
fn checks_stand_by_deadline_in_the_order_these_come_up_and_what_has_none_comes_last() {
    let told = |item: &Item| {
        let [who, by] = [&item.who, &item.by].map(|words| words.clone().unwrap_or_default());
        format!("{} | {who} | {by} | {}", item.what, if item.rule { "RULE" } else { "" })
    };
    let told: Vec<String> = items(&format!("{SOUND}{CHECKS}")).iter().map(told).collect();
    let wanted = [
        "Jackstays rigged | Ada | Friday | ",
        "Halyards looked at | Bo | Friday | ",
        "Tethers tried | Ada | Friday | ",
        "Crew list in | Ada | Saturday | RULE",
        "Gas off |  |  | ",
    ];
    assert_eq!(told, wanted);
}

/// Level lines by their height, with how long and how heavy they are.
fn rules(drawing: &Drawing) -> Vec<(f64, f64, f64)> {
    let level = drawing.items.iter().filter_map(|item| match &item.shape {
        Shape::Stroke { path, width, .. } => Some((path.bounding_box(), *width)),
        _ => None,
    });
    let level = level.filter(|(area, _)| area.height() == 0.0);
    level.map(|(area, weight)| (area.y0, area.width(), weight)).collect()
}

#[test]
fn heavy_rules_part_the_deadlines_and_an_empty_who_is_a_line_to_write_on() {
    let (cards, _) = cards_of(&format!("{SOUND}{CHECKS}").swap("{kind: readiness}", "{kind: readiness, size: A5}"));
    let drawing = drawn(&cards[0]);
    let y = |words: &str| {
        let first = drawing.texts().find(|text| text.content.starts_with(words));
        first.unwrap_or_else(|| panic!("{words}")).origin.y
    };
    let across = |from: f64, to: f64| -> Vec<f64> {
        let between = rules(&drawing).into_iter().filter(|(y, length, _)| *y > from && *y < to && *length > 60.0);
        between.map(|(_, _, weight)| weight).collect()
    };
    let [thin] = across(y("Halyards"), y("Tethers"))[..] else { panic!("one rule") };
    let [heavy] = across(y("Tethers"), y("Crew"))[..] else { panic!("one rule") };
    assert!(heavy > 2.0 * thin, "{heavy} and {thin}");
    // Under WHO and under BY, at the height of the words beside it.
    let gas = y("Gas off");
    let lines: Vec<f64> =
        rules(&drawing).into_iter().filter(|(at, ..)| (at - gas).abs() < 1.0).map(|rule| rule.1).collect();
    assert_eq!(lines.len(), 2, "{lines:?}");
    assert!(lines.iter().all(|length| *length >= 12.0), "room for a name: {lines:?}");
}

#[test]
fn a_rule_of_the_race_is_boxed_and_the_card_says_what_that_means() {
    let (cards, _) = cards_of(&format!("{SOUND}{CHECKS}"));
    let words = |drawing: &Drawing| drawing.texts().map(|text| text.content.clone()).collect::<Vec<_>>().join(" ");
    let drawing = drawn(&cards[0]);
    let boxed: Vec<_> = drawing.texts().filter(|text| text.content == "RULE").collect();
    assert_eq!(boxed.len(), 2, "the head and one");
    let around = drawing.items.iter().filter_map(|item| match &item.shape {
        Shape::Stroke { path, .. } => {
            Some(path.bounding_box()).filter(|area| area.height() > 0.0 && area.height() < 10.0)
        }
        _ => None,
    });
    let rule = boxed[1].origin - kurbo::Vec2::new(-1.0, 1.0);
    assert_eq!(around.filter(|area| area.contains(rule)).count(), 1);
    assert!(words(&drawing).contains("NO START with such a box empty"), "{}", words(&drawing));
    let (without, _) = cards_of(&format!("{SOUND}{CHECKS}").swap(", race_rule: true", ""));
    assert!(!words(&drawn(&without[0])).contains("RULE"));
}

#[test]
fn an_undated_datum_and_a_missing_one_are_open_and_a_dated_one_is_not() {
    let strip = |datum: &str| {
        let scale = "    scale: {marks: 0..8, spacing: 20 mm, halves: true}\n";
        let strip = format!("{scale}    strip: {{place: deck, pointer: car{datum}}}\n");
        format!("{}cards: [{{kind: readiness}}]\nchecks: [Gas off]\n", spoilt(scale, &strip))
    };
    let open =
        |datum: &str| open_things(&strip(datum)).into_iter().filter(|what| what != "Gas off").collect::<Vec<_>>();
    assert_eq!(open(""), ["Measure and write in: strips of Backstay"]);
    let undated = ", datum: {from: ram eye, distance: 310 mm}";
    assert_eq!(open(undated), ["Measure and date: strip of Backstay, from ram eye"]);
    assert_eq!(open(", datum: {from: ram eye, distance: 310 mm, measured: 2027-04-11}"), Vec::<String>::new());
}

#[test]
fn dock_controls_are_listed_with_their_base() {
    let caps = "  caps: {when: dock, scale: {turns: {base: \"gauge 38 on 2027-04-02\"}}}\nsails:\n";
    let text = format!("{}cards: [{{kind: readiness}}]\n", spoilt("sails:\n", caps));
    assert_eq!(open_things(&text), ["Set at the dock: Caps, base gauge 38 on 2027-04-02"]);
}

#[test]
fn the_full_example_is_one_card_and_its_own_lines_are_in_plain_words() {
    let (cards, _) = cards_of(include_str!("../../examples/full.yaml"));
    let cards: Vec<&Card> = cards.iter().filter(|card| card.kind == "readiness").collect();
    assert_eq!(cards.len(), 1);
    let said: Vec<String> = cards[0].says::<Readiness>().unwrap().items.iter().map(|item| item.what.clone()).collect();
    for line in ["Leave ashore: awning", "Rig the bow lacing by its card", "Try the outboard lead by its card"] {
        assert!(said.iter().any(|what| what == line), "{line} in {said:?}");
    }
}

#[test]
fn every_line_has_a_box_and_all_can_be_read() {
    let many: Vec<String> = (0..40).map(|n| format!("  - {{what: Look at the shackle number {n}, who: Bo}}")).collect();
    let text = format!("{SOUND}checks:\n{}\ncards: [{{kind: readiness}}]\n", many.join("\n"));
    let (cards, _) = cards_of(&text);
    assert!(cards.len() > 1);
    let mut boxes = 0;
    for card in &cards {
        let drawing = drawn(card);
        boxes += drawing.items.iter().filter(|item| is_a_box(&item.shape)).count();
    }
    assert_eq!(boxes, 40);
}

fn is_a_box(shape: &Shape) -> bool {
    let Shape::Stroke { path, .. } = shape else { return false };
    let area = path.bounding_box();
    area.width() > 0.0 && (area.width() - area.height()).abs() < 1e-9
}

#[test]
fn a_book_with_nothing_open_has_no_such_card() {
    let (cards, problems) = cards_of(&format!("{SOUND}cards: [{{kind: readiness}}]\n"));
    assert!(cards.is_empty());
    assert!(problems[0].what.contains("nothing is left to do") && problems[0].instead.contains("checks:"));
}

#[test]
fn bad_checks_are_told_at_their_place() {
    for (spoilt, place, remedy) in [
        ("checks: [{who: Ada}]", "", "what:"),
        ("checks: [{what: Gas off, when: now}]", "when", "its fields are"),
        ("checks: [{what: Gas off, race_rule: perhaps}]", "perhaps", "true"),
        ("checks: {what: Gas off}", "{what", "a list"),
    ] {
        let text = format!("{SOUND}{spoilt}\n");
        let loaded = load(&text);
        let [problem] = &loaded.problems[..] else { panic!("{spoilt}: {}", complaints(&loaded)) };
        assert!(text[problem.place.as_ref().unwrap().bytes.clone()].starts_with(place), "{spoilt}");
        assert!(problem.instead.contains(remedy), "{}", problem.instead);
    }
}
