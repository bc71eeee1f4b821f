//! The sail-change card: the marks of both sails in the winds that they share, in the order of work.

use crate::swap::Swap;
use cockpit_cards::book::{self, Book, Problem};
use cockpit_cards::cards::parts::matrix;
use cockpit_cards::cards::sail_change::SailChange;
use cockpit_cards::cards::{self, Card};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::tuning::{Span, Wind};

const ENTRY: &str =
    "{kind: sail-change, from: j1, to: j2, before: [jib_lead], during: [jib_halyard], halyard: jib_halyard}";

/// The full example, but for the change that stands on the back of another card there.
fn full() -> String {
    include_str!("../../examples/full.yaml").swap(", back: j1-to-j2-upwind", "")
}

fn read(text: &str) -> (Book, Vec<Card>, Vec<Problem>) {
    let loaded = book::from_text("book", text, &|_| None, has_glyph);
    let (book, mut problems) = (loaded.book.unwrap(), loaded.problems);
    let cards = cards::cards(&book, &mut problems);
    (book, cards.into_iter().filter(|card| card.kind == "sail-change").collect(), problems)
}

#[test]
fn the_new_marks_are_those_of_the_new_sail_in_every_wind_that_both_are_for() {
    let (book, cards, _) = read(&full());
    let data = cards[0].content.data();
    assert_eq!(data["winds"], serde_json::json!(["13 to 14", "14 to 16"]));
    let settings = book.settings("j2-upwind").unwrap();
    let both = Span::new(Wind::knots(13.0), Wind::knots(16.0)).unwrap();
    let bands: Vec<_> = book.bands.iter().filter_map(|band| band.within(both)).collect();
    let mut seen = 0;
    for (index, column) in settings.controls.iter().zip(matrix::columns(&book, settings)) {
        let (control, column) = (&book.controls[*index], column.unwrap());
        let rows = data["parts"].as_array().unwrap().iter().flat_map(|part| part["controls"].as_array().unwrap());
        let row = rows.into_iter().find(|row| row["control"] == control.name.as_str()).unwrap();
        for (band, cell) in bands.iter().zip(row["cells"].as_array().unwrap()) {
            let mark = control.scale.print(column.in_band(*band).setting.reading);
            assert!(cell["text"].as_str().unwrap().contains(&mark), "{}: {cell} without {mark}", control.name);
            seen += 1;
        }
    }
    assert_eq!(seen, 14);
}

#[test]
fn the_parts_stand_in_the_order_of_work() {
    let (_, cards, _) = read(&full());
    let data = cards[0].content.data();
    let parts = data["parts"].as_array().unwrap();
    let names: Vec<_> = parts.iter().map(|part| part["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["BEFORE", "DURING", "AFTER"]);
    assert_eq!(parts[0]["controls"][0]["control"], "Jib lead");
    assert_eq!(parts[1]["controls"][0]["control"], "Jib halyard");
}

#[test]
fn without_from_and_to_every_change_both_ways_has_a_card() {
    let (_, cards, problems) = read(&full().swap(ENTRY, "{kind: sail-change}"));
    let ids: Vec<_> = cards.iter().map(|card| card.id.as_str()).collect();
    assert_eq!(ids, ["j1-to-j2-upwind", "j2-to-j1-upwind", "j2-to-j3-upwind", "j3-to-j2-upwind"], "{problems:?}");
}

#[test]
fn one_strip_serves_both_sails_only_with_the_luff_and_strop_that_the_card_names() {
    let luff = |text: &str| read(text).1[0].says::<SailChange>().unwrap().luff.clone();
    assert!(luff(&full()).is_none(), "the strop makes up for the shorter luff");
    let bare = luff(&full().swap(", strop: 250 mm", "")).unwrap();
    assert!(bare.contains("250 mm shorter"), "{bare}");
    let quiet = full().swap(", strop: 250 mm", "").swap(", halyard: jib_halyard", "");
    assert!(luff(&quiet).is_none(), "nobody named the halyard");
}

#[test]
fn bad_input_has_its_place_and_a_remedy() {
    for (to, place, remedy) in [
        ("{kind: sail-change, from: j9}", "j9", "j1"),
        ("{kind: sail-change, from: j1, to: j3}", "{kind: sail-change", "ranges"),
        ("{kind: sail-change, before: [jib_led]}", "jib_led", "jib_lead"),
        ("{kind: sail-change, during: [jib_halyrd]}", "jib_halyrd", "jib_halyard"),
        ("{kind: sail-change, halyard: [jib_halyrd]}", "jib_halyrd", "jib_halyard"),
    ] {
        let text = full().swap(ENTRY, to);
        let (_, _, problems) = read(&text);
        let at = |problem: &&Problem| {
            problem
                .place
                .as_ref()
                .is_some_and(|p| text[p.bytes.start..].starts_with(place) || text[p.bytes.clone()].contains(place))
        };
        let found = problems.iter().find(at).unwrap_or_else(|| panic!("{to}: {problems:?}"));
        assert!(found.instead.contains(remedy), "{to}: {}", found.instead);
    }
}
