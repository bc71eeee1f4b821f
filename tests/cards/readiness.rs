//! The readiness card lists the book's checks by person and deadline, and what the rest of the book shows to be open.

use crate::reading;

use cockpit_cards::book::Problem;
use cockpit_cards::cards::{self, Card, Edition, Label, Readiness};
use reading::{SOUND, complaints, load, spoilt};

fn cards_of(text: &str) -> (Vec<Card>, Vec<Problem>) {
    let loaded = load(text);
    let said = complaints(&loaded);
    let book = loaded.book.filter(|_| said.is_empty()).unwrap_or_else(|| panic!("{said}"));
    let mut problems = Vec::new();
    let cards = cards::cards(&book, &mut problems);
    (cards, problems)
}

/// Heading and lines of every group on all cards.
fn groups(text: &str) -> Vec<(String, Vec<String>)> {
    let (cards, problems) = cards_of(text);
    assert!(problems.is_empty(), "{problems:?}");
    let groups = cards.iter().flat_map(|card| &card.says::<Readiness>().unwrap().groups);
    groups.map(|group| (group.heading.clone(), group.lines.clone())).collect()
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
fn checks_stand_by_person_and_deadline_with_the_races_rules_last() {
    let wanted = [
        ("Ada, by Friday", vec!["Jackstays rigged", "Tethers tried"]),
        ("Bo, by Friday", vec!["Halyards looked at"]),
        ("Anyone", vec!["Gas off"]),
        ("Ada, by Saturday · race safety rules", vec!["Crew list in"]),
    ];
    let wanted = wanted.map(|(heading, lines)| (heading.to_owned(), lines.into_iter().map(str::to_owned).collect()));
    assert_eq!(groups(&format!("{SOUND}{CHECKS}")), wanted);
}

#[test]
fn an_undated_datum_and_a_missing_one_are_open_and_a_dated_one_is_not() {
    let strip = |datum: &str| {
        let scale = "    scale: {marks: 0..8, spacing: 20 mm, halves: true}\n";
        let strip = format!("{scale}    strip: {{place: deck, pointer: car{datum}}}\n");
        format!("{}cards: [{{kind: readiness}}]\nchecks: [Gas off]\n", spoilt(scale, &strip))
    };
    let open = |datum: &str| {
        let group = groups(&strip(datum)).into_iter().find(|(heading, _)| heading == "Datums of strips");
        group.map(|(_, lines)| lines.join("; "))
    };
    assert_eq!(open(""), Some("Backstay: none in the book".to_owned()));
    let undated = ", datum: {from: ram eye, distance: 310 mm}";
    assert_eq!(open(undated), Some("Backstay: ram eye, undated".to_owned()));
    assert_eq!(open(", datum: {from: ram eye, distance: 310 mm, measured: 2027-04-11}"), None);
}

#[test]
fn dock_controls_are_listed_with_their_base() {
    let caps = "  caps: {when: dock, scale: {turns: {base: \"gauge 38 on 2027-04-02\"}}}\nsails:\n";
    let text = format!("{}cards: [{{kind: readiness}}]\n", spoilt("sails:\n", caps));
    assert_eq!(groups(&text), [("Set at the dock".to_owned(), vec!["Caps: base gauge 38 on 2027-04-02".to_owned()])]);
}

#[test]
fn every_line_has_a_box_and_all_can_be_read() {
    let many: Vec<String> = (0..40).map(|n| format!("  - {{what: Look at the shackle number {n}, who: Bo}}")).collect();
    let text = format!("{SOUND}checks:\n{}\ncards: [{{kind: readiness}}]\n", many.join("\n"));
    let (cards, _) = cards_of(&text);
    assert!(cards.len() > 1);
    let mut boxes = 0;
    for card in &cards {
        let label = Label {
            boat: "Chervil".to_owned(),
            stamp: card.stamp.clone(),
            edition: Edition::Draft,
            ..Label::default()
        };
        let mut problems = Vec::new();
        let drawing = cards::draw(card, &label, &mut problems).unwrap();
        assert!(problems.is_empty(), "{problems:?}");
        boxes += drawing.items.iter().filter(|item| is_a_box(&item.shape)).count();
    }
    assert_eq!(boxes, 40);
}

fn is_a_box(shape: &cockpit_cards::drawing::Shape) -> bool {
    use kurbo::Shape as _;
    let cockpit_cards::drawing::Shape::Stroke { path, .. } = shape else { return false };
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
