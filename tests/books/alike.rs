//! What could be taken for something else is warned of with both places: rows of one wind, cards with the same head.

use crate::reading;
use crate::swap::Swap;

use cockpit_cards::book::{Level, Problem};
use cockpit_cards::cards;
use cockpit_cards::cards::change_points::ChangePoints;
use cockpit_cards::cards::wind_settings::WindSettings;
use reading::{SOUND, complaints, load, spoilt};

fn warnings(text: &str) -> Vec<Problem> {
    let loaded = load(text);
    assert!(loaded.is_sound(), "{}", complaints(&loaded));
    assert!(loaded.problems.iter().all(|problem| problem.level == Level::Warning));
    loaded.problems
}

fn at<'a>(text: &'a str, problem: &Problem) -> &'a str {
    &text[problem.place.as_ref().unwrap().bytes.clone()]
}

#[test]
fn two_rows_under_a_knot_apart_that_differ_by_more_than_a_mark_are_warned_of_at_both() {
    let text = spoilt("10: [2, 12, snug]", "10: [2, 12, snug]\n      10.8: [3½, 13, snug]");
    let found = warnings(&text);
    let places: Vec<&str> = found.iter().map(|problem| at(&text, problem)).collect();
    assert_eq!(places, ["2", "3½"], "the lead moves by one mark only");
    assert!(found[0].what.contains("is 2 at 10 kn, and 3½ at 10.8 kn"), "{}", found[0].what);
    assert!(found[0].instead.contains("`title`"));
    // A knot apart they are two winds; and a mark apart they are no slip.
    assert_eq!(warnings(&text.swap("10.8:", "11:")), []);
    assert_eq!(warnings(&text.swap("[3½, 13", "[3, 13")), []);
}

#[test]
fn rows_in_metres_per_second_are_as_close_as_in_knots() {
    // 0.5 m/s are 0.97 kn (NIST SP 811: 1 kn is 1852/3600 m/s), 0.52 m/s 1.01 kn.
    let text = spoilt("10: [2, 12, snug]", "10: [2, 12, snug]\n      10.5: [4, 13, snug]")
        .swap("boat: {name: Chervil}", "boat: {name: Chervil}\nunits: {wind: m/s}");
    assert_eq!(warnings(&text).len(), 2);
    assert_eq!(warnings(&text.swap("10.5:", "10.52:")), []);
}

/// The sound book with the same sails on the same point of sail a second time.
fn twice(first: &str, second: &str) -> String {
    let text = SOUND.swap("    point_of_sail: upwind\n", &format!("    point_of_sail: upwind\n{first}"));
    format!(
        "{text}  - {{id: j1-chop, sails: [j1, main], point_of_sail: upwind, controls: [backstay], at: {{8: [3]}}{second}}}\n"
    )
}

#[test]
fn two_cards_that_nothing_tells_apart_are_warned_of_at_both() {
    let text = twice("", "");
    let found = warnings(&text);
    let places: Vec<&str> = found.iter().map(|problem| at(&text, problem)).collect();
    assert_eq!(places, ["j1-upwind", "j1-chop"]);
    assert!(found.iter().all(|problem| problem.instead.contains("title: flat water")));
    assert_eq!(warnings(&twice("    title: flat water\n", "")), []);
    assert_eq!(warnings(&twice("    title: chop\n", ", title: chop")).len(), 2, "the same title tells nothing apart");
    assert_eq!(warnings(&text.replacen("j1-chop, sails: [j1, main]", "j1-chop, sails: [main]", 1)), []);
}

#[test]
fn a_title_stands_on_the_cards_in_the_lists_and_in_the_data() {
    let entries = "cards: [{kind: wind-settings, settings: j1-upwind}, {kind: change-points, settings: j1-upwind}, \
                   {kind: handover, settings: j1-upwind}]\n";
    let text = format!("{}{entries}", twice("    title: flat water\n", ", title: chop"));
    let loaded = load(&text);
    let cards = cards::cards(loaded.book.as_ref().unwrap(), &mut Vec::new());
    let titles: Vec<&str> = cards.iter().map(|card| card.title.as_str()).collect();
    assert_eq!(
        titles,
        [
            "J1 + Main, upwind, flat water",
            "J1 + Main, upwind, flat water: change points",
            "Hand-over, J1 + Main, upwind, flat water"
        ]
    );
    for card in &cards[..2] {
        let settings = card.says::<WindSettings>().map(|said| &said.title);
        let title = settings.or(card.says::<ChangePoints>().map(|said| &said.title)).expect("one of the two");
        assert_eq!(title.as_deref(), Some("flat water"), "{}", card.id);
        let drawing = cards::draw(card, &cards::Label::default(), &mut Vec::new()).unwrap();
        let words: Vec<String> = drawing.texts().map(|text| text.content.clone()).collect();
        assert!(words.join(" ").contains("flat water"), "{words:?}");
    }
}
