//! What notes say of a reading in the book: the classes that a card prints as signs. All notes are of our own invention.

use cockpit_cards::season::evidence::{Asked, Evidence, class};
use cockpit_cards::season::{Found, Note, Noted, Reading, Row, Verdict, reach_of, row_of};
use cockpit_cards::tuning::{Angle, Wind};
use jiff::tz::TimeZone;
use proptest::prelude::*;

use crate::season_notes::{at, fast, note, one};

const ROWS: [Row; 3] = [row(8.0), row(12.0), row(14.0)];

const fn row(kn: f64) -> Row {
    Row { wind: Wind::knots(kn), angle: None }
}

/// The reading 4 in the row of 12 knots.
fn asked(reading: Noted) -> Asked<'static> {
    Asked { settings: "upwind", control: "backstay", rows: &ROWS, row: 1, reading, mark: 1.0, measured: None }
}

fn said(notes: &[Note]) -> Evidence {
    class(&asked(one(4.0)), notes, &TimeZone::UTC)
}

fn on_days(readings: &[f64]) -> Vec<Note> {
    let days = readings.iter().enumerate();
    days.map(|(day, reading)| fast(&format!("2027-06-{:02} 14:00", day + 1), 12.0, "backstay", one(*reading))).collect()
}

#[test]
fn three_fast_notes_of_three_days_within_a_mark_repeat_a_reading() {
    assert_eq!(said(&on_days(&[4.0, 3.5])), Evidence::None);
    assert_eq!(said(&on_days(&[4.0, 3.5, 4.5])), Evidence::Repeated);
    assert_eq!(said(&on_days(&[5.0, 5.0, 4.5])), Evidence::Repeated);
}

#[test]
fn three_fast_notes_of_two_days_do_not() {
    let mut notes = on_days(&[4.0, 4.0, 4.0]);
    notes[2].when = Some(at("2027-06-02 23:00"));
    assert_eq!(said(&notes), Evidence::None);
    // Where the clock is two hours on, that is another day.
    let ahead = TimeZone::fixed(jiff::tz::offset(2));
    assert_eq!(class(&asked(one(4.0)), &notes, &ahead), Evidence::Repeated);
}

#[test]
fn a_note_that_says_ok_or_slow_or_nothing_changes_no_class() {
    for verdict in [None, Some(Verdict::Ok), Some(Verdict::Slow)] {
        let mut notes = on_days(&[4.0, 4.0, 4.0]);
        notes[1].verdict = verdict;
        assert_eq!(said(&notes), Evidence::None);
    }
}

#[test]
fn fast_notes_more_than_a_mark_apart_dispute_a_reading() {
    assert_eq!(said(&on_days(&[4.0, 5.0])), Evidence::None);
    assert_eq!(said(&on_days(&[4.0, 5.5, 5.0, 4.0])), Evidence::Disputed(one(4.0), one(5.5)));
    let played = Noted::One(Reading { least: 3.0, greatest: 5.0 });
    let mut notes = on_days(&[4.0, 6.0]);
    notes[0].readings[0].1 = played;
    assert_eq!(said(&notes), Evidence::None, "played up to 5, which is a mark from 6");
    notes[0].readings[0].1 = Noted::NotUsed;
    assert_eq!(said(&notes), Evidence::Disputed(Noted::NotUsed, one(6.0)));
}

#[test]
fn what_a_comparison_found_decides_while_the_book_still_says_so() {
    let found =
        |found, reading| Note { found: Some(found), ..note("2027-07-01 20:00", 12.0, "backstay", one(reading)) };
    let mut notes = on_days(&[4.0, 6.0]);
    notes.push(found(Found::Keep, 4.0));
    assert_eq!(said(&notes), Evidence::Proven, "the question outweighs two notes that disagree");
    notes.push(found(Found::Change, 5.0));
    assert_eq!(said(&notes), Evidence::None, "changed since");
    assert_eq!(
        class(&asked(one(5.0)), &notes, &TimeZone::UTC),
        Evidence::None,
        "changed to, and not yet held against its neighbours"
    );
    notes.push(found(Found::Keep, 5.0));
    assert_eq!(class(&asked(one(5.0)), &notes, &TimeZone::UTC), Evidence::Proven);
    assert_eq!(said(&notes), Evidence::None, "found for another reading than the book has");
}

#[test]
fn notes_of_other_rows_sails_controls_and_scales_say_nothing() {
    let notes = on_days(&[4.0, 4.0, 4.0]);
    let but = |change: fn(&mut Note)| {
        let mut others = notes.clone();
        others.iter_mut().for_each(change);
        said(&others)
    };
    assert_eq!(but(|_| ()), Evidence::Repeated);
    assert_eq!(but(|note| note.wind = Some(Wind::knots(10.5))), Evidence::Repeated);
    assert_eq!(but(|note| note.wind = Some(Wind::knots(10.4))), Evidence::None);
    assert_eq!(but(|note| note.wind = Some(Wind::knots(13.1))), Evidence::None, "nearer to 14");
    assert_eq!(but(|note| note.wind = None), Evidence::None);
    assert_eq!(but(|note| note.settings = "reaching".to_owned()), Evidence::None);
    assert_eq!(but(|note| note.readings[0].0 = "outhaul".to_owned()), Evidence::None);
    let measured = Asked { measured: Some(at("2027-06-02 00:00")), ..asked(one(4.0)) };
    assert_eq!(class(&measured, &notes, &TimeZone::UTC), Evidence::None, "the first was read off the old scale");
}

#[test]
fn each_side_is_held_against_its_own() {
    let sides = |port: Option<f64>, starboard: Option<f64>| {
        let reading = |at: f64| Reading { least: at, greatest: at };
        Noted::Sides { port: port.map(reading), starboard: starboard.map(reading) }
    };
    let with = |noted: [Noted; 3]| {
        let mut notes = on_days(&[4.0; 3]);
        notes.iter_mut().zip(noted).for_each(|(note, noted)| note.readings[0].1 = noted);
        class(&asked(sides(Some(4.0), Some(6.0))), &notes, &TimeZone::UTC)
    };
    assert_eq!(with([sides(Some(4.0), Some(6.0)); 3]), Evidence::Repeated);
    assert_eq!(with([sides(Some(4.0), None), sides(None, Some(6.0)), sides(Some(4.0), Some(5.0))]), Evidence::Repeated);
    assert_eq!(with([one(4.0); 3]), Evidence::None, "starboard stands two marks off");
    let (low, high) = (sides(None, Some(4.5)), sides(Some(1.0), Some(6.0)));
    assert_eq!(with([low, high, one(5.0)]), Evidence::Disputed(low, high));
}

#[test]
fn a_note_without_an_angle_speaks_for_no_row_that_has_one() {
    let by_angle = [80.0, 100.0].map(|deg| Row { wind: Wind::knots(12.0), angle: Some(Angle::degrees(deg)) });
    assert_eq!(row_of(&by_angle, Wind::knots(12.0), None), None);
    assert_eq!(row_of(&by_angle, Wind::knots(12.0), Some(Angle::degrees(90.0))), Some(0));
    assert_eq!(row_of(&by_angle, Wind::knots(12.0), Some(Angle::degrees(91.0))), Some(1));
    assert_eq!(row_of(&by_angle, Wind::knots(12.0), Some(Angle::degrees(110.5))), None);
}

proptest! {
    /// Whatever else stands in the notes, one that does not say `fast` leaves each class as it was.
    #[test]
    fn a_note_without_fast_changes_no_class(
        readings in proptest::collection::vec(0.0..8.0_f64, 0..8),
        more in 0.0..8.0_f64,
        verdict in proptest::option::of(prop_oneof![Just(Verdict::Ok), Just(Verdict::Slow)]),
    ) {
        let mut notes = on_days(&readings);
        let before = said(&notes);
        notes.push(Note { verdict, ..note("2027-08-01 10:00", 12.0, "backstay", one(more)) });
        prop_assert_eq!(said(&notes), before);
    }
}

proptest! {
    /// What a trial card says and what a comparison takes are one rule: of rows by wind, a wind in the reach of one speaks
    /// for it.
    #[test]
    fn a_row_reaches_as_far_as_it_is_spoken_for(winds in proptest::collection::btree_set(12_u32..60, 1..8), at in 0.0..32.0_f64) {
        let rows: Vec<Row> = winds.iter().map(|half| row(f64::from(*half) / 2.0)).collect();
        let spoken_for = row_of(&rows, Wind::knots(at), None);
        let reached = rows.iter().position(|row| {
            let ((low, high), _) = reach_of(&rows, *row);
            (low..=high).contains(&Wind::knots(at))
        });
        prop_assert_eq!(spoken_for, reached);
    }
}

#[test]
fn a_row_by_angle_reaches_ten_degrees_or_half_way_to_the_next() {
    let rows = [(12.0, 80.0), (12.0, 94.0), (16.0, 94.0), (12.0, 175.0)];
    let rows = rows.map(|(kn, deg)| Row { wind: Wind::knots(kn), angle: Some(Angle::degrees(deg)) });
    let degrees = |low, high| Some((Angle::degrees(low), Angle::degrees(high)));
    assert_eq!(reach_of(&rows, rows[0]), ((Wind::knots(10.5), Wind::knots(13.5)), degrees(70.0, 87.0)));
    assert_eq!(reach_of(&rows, rows[3]).1, degrees(165.0, 180.0));
}
