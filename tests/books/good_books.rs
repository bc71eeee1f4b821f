//! Books that are right read without a word of complaint, and mean what their author meant.

use crate::reading;

use std::path::Path;

use cockpit_cards::book::{self, Direction, PointOfSail, Recorded, Sides, Stands, TickEdge};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::length::Length;
use cockpit_cards::tuning::{Between, Fineness, ScaleKind, Wind};
use reading::{SOUND, complaints, load, spoilt};

/// Longest row of marks in the examples: it fits across a sheet of A4 with its label.
const EXAMPLE_STRIP: Length = Length::mm(200.0);

fn example(name: &str) -> book::Book {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples").join(name);
    let loaded = book::from_path(&path, has_glyph).unwrap();
    assert_eq!(complaints(&loaded), "", "{name}");
    assert!(loaded.is_sound());
    loaded.book.unwrap()
}

#[test]
fn the_examples_have_no_problem_and_say_that_they_are_examples() {
    for name in ["smallest.yaml", "full.yaml", "imperial.yaml"] {
        assert!(example(name).example, "{name}");
    }
}

#[test]
fn the_smallest_example_has_at_most_fifteen_lines() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("examples/smallest.yaml");
    assert!(std::fs::read_to_string(path).unwrap().lines().count() <= 15);
    let book = example("smallest.yaml");
    assert!(book.controls.iter().any(|control| control.strip.is_some()) && !book.settings.is_empty());
}

#[test]
fn the_full_example_uses_every_kind_of_scale() {
    let book = example("full.yaml");
    let kind = |scale: &ScaleKind| match scale {
        ScaleKind::Even { purchase: 1.0, .. } => "even",
        ScaleKind::Even { .. } => "purchase",
        ScaleKind::Around { .. } => "around",
        ScaleKind::Centre { .. } => "centre",
        ScaleKind::Measured { .. } => "measured",
        ScaleKind::Tapes(_) => "tapes",
        ScaleKind::Turns { .. } => "turns",
        ScaleKind::Gauge { .. } => "gauge",
        ScaleKind::Words(_) => "words",
    };
    let kinds: std::collections::BTreeSet<_> = book.controls.iter().map(|control| kind(&control.scale.kind)).collect();
    assert_eq!(kinds.len(), 8, "{kinds:?}");
    for control in &book.controls {
        let top = control.scale.graduations().last().map_or(Length::ZERO, |mark| mark.at);
        assert!(top <= EXAMPLE_STRIP, "{}: {top}", control.name);
    }
}

#[test]
fn a_book_is_read_into_the_numbers_it_says() {
    let book = example("full.yaml");
    assert_eq!((book.boat.name.value.as_str(), book.boat.length), ("Pepperwort", Some(Length::metres(11.5))));
    assert_eq!((book.bands[1].low, book.bands[1].high, book.bands.len()), (Wind::knots(8.0), Wind::knots(11.0), 8));
    let backstay = book.control("backstay").unwrap();
    assert_eq!(backstay.scale.fineness, Fineness::Halves);
    assert!(
        matches!(backstay.scale.kind, ScaleKind::Even { first: 0, last: 8, spacing, .. } if spacing == Length::mm(20.0))
    );
    assert_eq!(backstay.never_above.as_ref().map(|limit| limit.reading.value), Some(7.0));
    let lead = book.control("jib_lead").unwrap().strip.clone().unwrap();
    assert_eq!(
        (lead.sides, lead.grows, lead.reader_stands),
        (Sides::Both, Some(Direction::Aft), Some(Stands::Inboard))
    );
    assert_eq!((lead.width, lead.reading_distance), (Length::mm(22.0), Length::metres(1.2)));
    let outhaul = book.control("outhaul").unwrap();
    assert_eq!(outhaul.scale.at(6.0), Some(Length::mm(6.0 * 8.0 * 3.0)));
    let j1 = book.settings("j1-upwind").unwrap();
    assert_eq!(j1.point_of_sail, PointOfSail::Upwind);
    let readings: Vec<_> = j1.rows[2].readings.iter().map(|recorded| recorded.one().unwrap().value).collect();
    assert_eq!(readings, [4.5, 5.5, 4.5, 1.0, 0.0, 5.0, 25.0]);
    let traveller = book.controls.iter().position(|control| control.id.value == "traveller").unwrap();
    assert_eq!(j1.between.get(&traveller), Some(&Between::Step));
    assert_eq!(j1.targets[1].look.as_deref(), Some("leech one hand off the spreader"));
    assert_eq!(book.settings("j3-reef-upwind").unwrap().rows[1].readings[4], Recorded::Not);
}

#[test]
fn an_inch_book_is_read_into_exact_millimetres() {
    let book = example("imperial.yaml");
    assert_eq!(book.boat.length, Some(Length::mm((37.0 * 12.0 + 8.0) * 25.4)));
    let backstay = book.control("backstay").unwrap();
    assert_eq!(backstay.scale.at(600.0), Some(Length::inches(9.0 / 16.0)));
    let datum = backstay.strip.as_ref().and_then(|strip| strip.datum.as_ref()).unwrap();
    assert_eq!(datum.distance, Length::inches(15.5));
    assert_eq!(book.control("outhaul").unwrap().scale.at(1.0), Some(Length::inches(4.0 * 1.0 / 4.0)));
    let row = &book.settings("genoa-upwind").unwrap().rows[0];
    let readings: Vec<_> = row.readings.iter().map(|recorded| recorded.one().unwrap().value).collect();
    assert_eq!(readings, [150.0, 6.5, 2.0, 5.5, -2.0]);
}

#[test]
fn line_ends_and_a_byte_order_mark_change_nothing() {
    let plain = load(SOUND).book.unwrap();
    let readings = |book: &book::Book| {
        let rows = &book.settings[0].rows;
        rows.iter()
            .map(|row| row.readings.iter().map(|recorded| recorded.one().map(|reading| reading.value)).collect())
            .collect::<Vec<Vec<_>>>()
    };
    for text in [
        SOUND.replace('\n', "\r\n"),
        format!("\u{FEFF}{SOUND}"),
        format!("---\n{SOUND}..."),
        SOUND.trim_end().to_owned(),
    ] {
        let loaded = load(&text);
        assert_eq!(complaints(&loaded), "", "{text}");
        assert_eq!(readings(loaded.book.as_ref().unwrap()), readings(&plain));
    }
}

#[test]
fn every_value_remembers_its_place() {
    let text = SOUND.replace('\n', "\r\n");
    let book = load(&text).book.unwrap();
    let reading = book.settings[0].rows[2].readings[0].one().unwrap();
    assert_eq!(&text[reading.place.bytes.clone()], "4½");
    assert_eq!(&text[book.boat.name.place.bytes.clone()], "Chervil");
    let lead = book.control("lead").unwrap();
    assert!(text[lead.place.bytes.clone()].starts_with("lead:") && text[lead.place.bytes.clone()].ends_with("25 mm}"));
}

#[test]
fn the_mainsail_comes_first_whatever_the_order() {
    let book = load(&spoilt("sails: [main, j1]", "sails: [j1, main]")).book.unwrap();
    let sails: Vec<_> = book.settings[0].sails.iter().map(|sail| sail.value.as_str()).collect();
    assert_eq!(sails, ["main", "j1"]);
}

#[test]
fn letters_are_composed_however_they_were_typed() {
    let book = load(&spoilt("Chervil", "\"Cafe\u{301} ł ½\"")).book.unwrap();
    assert_eq!(book.boat.name.value, "Café ł ½");
}

#[test]
fn a_text_over_several_lines_becomes_one() {
    let loaded =
        load(&spoilt("    higher_is: aft\n", "    read_when: >\n      the load\n      is on\n    higher_is: aft\n"));
    assert_eq!(complaints(&loaded), "");
    assert_eq!(loaded.book.unwrap().control("lead").unwrap().read_when.as_deref(), Some("the load is on"));
}

#[test]
fn a_reference_stands_for_what_it_refers_to() {
    let text = spoilt("sails: [main, j1]", "sails: &both [main, j1]");
    let more = "  - {id: again, title: chop, sails: *both, point_of_sail: upwind, controls: [lead], at: {8: [3]}}\n";
    let loaded = load(&format!("{text}{more}"));
    assert_eq!(complaints(&loaded), "");
    assert_eq!(loaded.book.unwrap().settings("again").unwrap().sails.len(), 2);
}

#[test]
fn names_come_from_ids_where_none_is_given() {
    let book = example("full.yaml");
    assert_eq!(book.control("jib_halyard").unwrap().name, "Jib halyard");
    assert_eq!(book.sail("main").unwrap().name, "Main");
}

#[test]
fn without_bands_the_rows_are_three_or_four_knots_wide_up_to_a_strong_breeze() {
    // Common practice; `tests/truth/band_rule.rs` shows what such bands are worth.
    let book = load(SOUND).book.unwrap();
    let lows: Vec<_> = book.bands.iter().map(|band| band.low.to_knots()).collect();
    assert_eq!(lows, [4.0, 8.0, 11.0, 14.0, 17.0, 20.0, 24.0, 28.0]);
    assert_eq!(book.bands.last().unwrap().high, Wind::knots(34.0));
}

#[test]
fn a_strip_says_nothing_about_its_lie_unless_the_book_does() {
    let book = load(&spoilt("    higher_is: aft\n", "    strip: {ticks: near}\n    higher_is: aft\n")).book.unwrap();
    let strip = book.control("lead").unwrap().strip.clone().unwrap();
    assert_eq!((strip.grows, strip.reader_stands, strip.sides), (None, None, Sides::One));
    assert_eq!(strip.ticks.unwrap().value, TickEdge::Near);
}
