//! The same numbers in knots and in metres per second decide alike: at the edges of bands, at rows, halfway between.

use std::cmp::Ordering;

use cockpit_cards::book::{self, WindUnit};
use cockpit_cards::cards;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::length::Length;
use cockpit_cards::tuning::tolerance::{SAME, compare};
use cockpit_cards::tuning::wardrobe::{SailRange, gaps, hand_overs};
use cockpit_cards::tuning::{
    Angle, Axis, Band, Between, Column, Figure, Fineness, Ground, Known, Scale, ScaleKind, Span, Wind,
};
use proptest::prelude::*;

/// Winds are drawn in quarters of their unit, so that every tie that can be written is met often. In knots the arithmetic of
/// quarters leaves nothing behind.
fn quarters(count: i32, unit: WindUnit) -> Wind {
    Wind::of(f64::from(count) / 4.0, unit)
}

fn column(rows: &[(i32, i32)], between: Between, fineness: Fineness, unit: WindUnit) -> Column {
    let kind = ScaleKind::Even { first: 0, last: 20, spacing: Length::mm(20.0), purchase: 1.0 };
    let known = rows.iter().map(|(at, halves)| Known {
        at: quarters(*at, unit),
        reading: f64::from(*halves) / 2.0,
        ground: Ground::Sailed,
    });
    Column::new(Scale { kind, fineness }, known.collect(), between).expect("rising rows")
}

fn between() -> impl Strategy<Value = Between> {
    prop_oneof![Just(Between::Monotone), Just(Between::Linear), Just(Between::Step)]
}

fn fineness() -> impl Strategy<Value = Fineness> {
    prop_oneof![Just(Fineness::Whole), Just(Fineness::Halves), Just(Fineness::Quarters)]
}

/// Rows in rising order of wind, in quarters, with readings in halves.
fn rows() -> impl Strategy<Value = Vec<(i32, i32)>> {
    prop::collection::btree_map(10..60_i32, 0..40_i32, 1..6).prop_map(|rows| rows.into_iter().collect())
}

fn span(low: i32, width: i32, unit: WindUnit) -> Option<Span> {
    Span::new(quarters(low, unit), quarters(low + width, unit))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn settings_in_metres_per_second_are_those_in_knots(
        rows in rows(), between in between(), fineness in fineness(), low in 5..60_i32, width in 1..20_i32, at in 5..70_i32,
    ) {
        let said = |unit: WindUnit| {
            let column = column(&rows, between, fineness, unit);
            let band = column.in_band(Band::new(quarters(low, unit), quarters(low + width, unit)));
            let one = column.at(quarters(at, unit));
            let changes: Vec<_> = column.changes().map(|change| (change.from.to_bits(), change.to.to_bits())).collect();
            ((band.setting.reading, band.ground, band.figure), (one.reading, one.ground), changes)
        };
        prop_assert_eq!(said(WindUnit::Knot), said(WindUnit::MetrePerSecond));
    }

    #[test]
    fn what_lies_in_a_band_or_a_range_does_not_hang_on_the_unit(
        (low, width) in (5..60_i32, 1..20_i32), (other, breadth) in (5..60_i32, 1..20_i32), at in 5..80_i32,
    ) {
        let said = |unit: WindUnit| {
            // Halfway between the ends of the other range: worked out, not written.
            let (span, other) = (span(low, width, unit).expect("a span"), span(other, breadth, unit).expect("a span"));
            let band = Band::new(span.low, span.high);
            let (wind, middle) = (quarters(at, unit), other.middle());
            let part = |band: Option<Band>| band.map(|band| (number(band.low, unit), number(band.high, unit), band.with_high));
            (
                [wind, middle].map(|wind| (span.holds(wind), band.holds(wind))),
                wind.apart(middle).compare(wind.apart(span.middle())),
                span.holds_all_of(other),
                span.common(other).is_some(),
                part(band.within(other)),
            )
        };
        prop_assert_eq!(said(WindUnit::Knot), said(WindUnit::MetrePerSecond));
    }

    #[test]
    fn a_wardrobe_has_the_same_gaps_and_changes_in_either_unit(
        sails in prop::collection::vec((5..60_i32, 1..20_i32), 1..5), limit in 5..60_i32,
    ) {
        let said = |unit: WindUnit| {
            let range = |(low, width): &(i32, i32)| {
                // Every other upper end is worked out, not written: halfway to twice as far.
                let (from, far) = (quarters(*low, unit), quarters(low + 2 * width, unit));
                let high = if width % 2 == 0 { quarters(low + width, unit) } else { from.midway(far) };
                SailRange::new(Span::new(from, high), None, Some(quarters(limit, unit)))
            };
            let sails: Vec<SailRange> = sails.iter().map(range).collect();
            let asked = SailRange::new(span(5, 60, unit), None, None).made().expect("an area");
            let holes: Vec<_> = gaps(&sails, asked).iter().map(|gap| [number(gap.wind.low, unit), number(gap.wind.high, unit)]).collect();
            let changes: Vec<_> = hand_overs(&sails).iter().map(|change| (change.lighter, change.heavier, change.wind.steps(unit))).collect();
            (holes, changes.len(), sails.iter().map(SailRange::is_narrowed).collect::<Vec<_>>())
        };
        prop_assert_eq!(said(WindUnit::Knot), said(WindUnit::MetrePerSecond));
    }
}

/// Its number in hundredths.
fn number(wind: Wind, unit: WindUnit) -> i64 {
    (wind.number_in(unit) * 100.0).round() as i64
}

#[test]
fn a_place_is_the_same_within_the_tolerance_and_another_past_it() {
    for at in [0.0, 0.5, 1.0, 17.25, 5_000.0] {
        let slack = SAME * f64::max(at, 1.0);
        assert_eq!(compare(at, at + 0.9 * slack), Ordering::Equal, "{at}");
        assert_eq!(compare(at, at + 1.2 * slack), Ordering::Less, "{at}");
        assert_eq!(compare(at + 1.2 * slack, at), Ordering::Greater, "{at}");
    }
    // A range without an upper end holds every wind, and is no shorter than another.
    assert!(Wind::knots(90.0).is_below(Wind::ENDLESS) && Wind::ENDLESS.is_at(Wind::ENDLESS));
    assert!(Angle::degrees(180.0).is_at(Angle::ASTERN));
}

#[test]
fn a_mark_that_both_ends_of_a_band_have_is_met_at_its_lower_end_in_either_unit() {
    for unit in [WindUnit::Knot, WindUnit::MetrePerSecond] {
        // Down from 2 at the lower end to 1, and up to 2 again at the upper.
        let column = column(&[(39, 13), (50, 2), (51, 4)], Between::Linear, Fineness::Halves, unit);
        let found = column.in_band(Band::new(quarters(48, unit), quarters(51, unit)));
        assert_eq!(found.figure, Figure::Both(2.0, 1.0), "{unit:?}");
    }
}

/// What the settings card of a book says, with its winds in this unit.
fn settings_card(text: &str, unit: WindUnit) -> String {
    let (knots, metres) = ("wind: kn", "wind: m/s");
    let wanted = if unit == WindUnit::Knot { knots } else { metres };
    let text = text.replace(knots, wanted).replace(metres, wanted);
    let loaded = book::from_text("boat.yaml", &text, &|_| None, has_glyph);
    let book = loaded.book.expect("a sound book");
    let cards = cards::cards(&book, &mut Vec::new());
    let card = cards.iter().find(|card| card.kind == "wind-settings").expect("a settings card");
    card.content.data().to_string().replace(unit.symbol(), "UNIT")
}

#[test]
fn a_step_on_the_edge_of_a_band_gains_no_range_in_either_unit() {
    let text = include_str!("../books/found/steps-on-an-edge-in-metres-per-second.yaml");
    assert_eq!(settings_card(text, WindUnit::Knot), settings_card(text, WindUnit::MetrePerSecond));
}

#[test]
fn halfway_between_two_rows_is_decided_alike_in_either_unit() {
    let text = include_str!("../books/found/halfway-between-two-rows.yaml");
    assert_eq!(settings_card(text, WindUnit::Knot), settings_card(text, WindUnit::MetrePerSecond));
}
