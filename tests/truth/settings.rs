//! What a settings table says at a wind and in a band: grounds, rounding, both ends of a band, change points.

use cockpit_cards::length::Length;
use cockpit_cards::tuning::{Band, Between, Change, Column, Figure, Fineness, Ground, Known, Scale, ScaleKind, Wind};
use proptest::prelude::*;

fn marks(fineness: Fineness) -> Scale {
    let kind = ScaleKind::Even { first: -40, last: 40, spacing: Length::mm(20.0), purchase: 1.0 };
    Scale { kind, fineness }
}

fn words() -> Scale {
    Scale {
        kind: ScaleKind::Words(["eased", "snug", "firm", "hard"].map(str::to_owned).to_vec()),
        fineness: Fineness::Whole,
    }
}

const fn kn(knots: f64) -> Wind {
    Wind::knots(knots)
}

fn known(rows: &[(f64, f64)]) -> Vec<Known> {
    rows.iter()
        .map(|(wind_kn, reading)| Known { at: kn(*wind_kn), reading: *reading, ground: Ground::Sailed })
        .collect()
}

fn column(fineness: Fineness, rows: &[(f64, f64)]) -> Column {
    Column::new(marks(fineness), known(rows), Between::Monotone).unwrap()
}

fn band(low: f64, high: f64) -> Band {
    Band::new(kn(low), kn(high))
}

/// A backstay of our own invention, read to halves.
const BACKSTAY: [(f64, f64); 3] = [(6.0, 0.0), (10.0, 2.0), (14.0, 4.5)];
/// A lead that goes forward, and aft again, as the wind rises.
const LEAD: [(f64, f64); 3] = [(6.0, 13.0), (10.0, 12.0), (14.0, 13.5)];

/// The rows told of a band, as a card tells them.
fn told(column: &Column, band: Band) -> Vec<(f64, f64, Ground)> {
    let found = column.in_band(band);
    found.rows.iter().map(|row| (row.at.to_knots(), row.reading, row.ground)).collect()
}

// What stands in a band.

#[test]
fn what_was_sailed_at_the_edge_of_a_band_is_told_and_is_not_what_to_set_in_all_of_it() {
    let backstay = column(Fineness::Halves, &[(10.0, 2.0), (14.0, 4.0), (18.0, 6.0)]);
    let found = backstay.in_band(band(14.0, 17.0));
    assert_eq!(found.figure, Figure::Both(4.0, 5.5));
    assert_eq!(told(&backstay, band(14.0, 17.0)), [(14.0, 4.0, Ground::Sailed)]);
    assert_eq!(found.ground_of_figure(), None, "the sign stands with the row");
    // A straight line over 15 kn of wind: half a mark a knot.
    assert_eq!(found.setting.exact, 4.75);
}

#[test]
fn a_known_row_is_told_as_recorded_though_the_scale_is_read_more_coarsely() {
    let lead = column(Fineness::Halves, &[(6.0, 13.25), (10.0, 12.0)]);
    assert_eq!(told(&lead, band(4.0, 8.0)), [(6.0, 13.25, Ground::Sailed)]);
    assert_eq!(lead.scale().print(lead.in_band(band(4.0, 8.0)).rows[0].reading), "13¼");
}

#[test]
fn a_sailed_value_keeps_its_sign() {
    let kind = ScaleKind::Turns { base: "gauge 38 on 2027-04-02".into() };
    let caps = Scale { kind, fineness: Fineness::Halves };
    let column = Column::new(caps, known(&[(6.0, -1.5), (14.0, 1.0)]), Between::Monotone).unwrap();
    let printed = |low, high| column.scale().print(column.in_band(band(low, high)).rows[0].reading);
    assert_eq!([printed(4.0, 8.0), printed(14.0, 17.0)], ["−1½ turns", "+1 turn"]);
}

#[test]
fn of_many_rows_in_a_band_the_two_nearest_its_middle_are_told_and_the_others_counted() {
    let rows = [(8.0, 1.0), (9.0, 1.5), (10.0, 2.0), (12.0, 3.0)];
    let winds = |low, high| {
        let found = column(Fineness::Halves, &rows).in_band(band(low, high));
        (found.rows.iter().map(|row| row.at.to_knots()).collect::<Vec<_>>(), found.more)
    };
    assert_eq!(winds(8.0, 12.0), (vec![9.0, 10.0], 1));
    assert_eq!(winds(7.0, 13.0), (vec![9.0, 10.0], 2));
    assert_eq!(winds(9.0, 15.0), (vec![10.0, 12.0], 1), "12 is the middle, and 10 nearer than 9");
    assert_eq!(winds(9.5, 11.0), (vec![10.0], 0));
    let even = column(Fineness::Whole, &[(8.0, 1.0), (10.0, 2.0), (12.0, 3.0)]);
    let found = even.in_band(band(7.0, 13.0));
    assert_eq!((found.rows[0].at, found.rows[1].at, found.more), (kn(8.0), kn(10.0), 1), "8 and 12 are as near to 10");
}

#[test]
fn a_band_holds_its_low_end_and_not_its_high_end() {
    let backstay = column(Fineness::Halves, &BACKSTAY);
    assert_eq!(told(&backstay, band(10.0, 14.0)), [(10.0, 2.0, Ground::Sailed)]);
    assert_eq!(told(&backstay, band(10.5, 14.0)), []);
    assert_eq!(backstay.in_band(band(10.5, 14.0)).ground, Ground::Between);
    assert_eq!(told(&backstay, Band { with_high: true, ..band(10.5, 14.0) }), [(14.0, 4.5, Ground::Sailed)]);
}

#[test]
fn where_the_marks_are_a_step_apart_the_curve_is_read_at_the_middle_of_the_band() {
    let backstay = column(Fineness::Halves, &BACKSTAY);
    let found = backstay.in_band(band(11.5, 12.5));
    assert_eq!((found.figure, found.ground), (Figure::One(3.0), Ground::Between));
    assert_eq!(found.ground_of_figure(), Some(Ground::Between));
    assert_eq!(found.setting.exact, backstay.curve().at(12.0).unwrap());
}

#[test]
fn beyond_the_known_winds_the_nearest_known_value_stands_and_says_so() {
    let backstay = column(Fineness::Halves, &BACKSTAY);
    for (low, high, reading) in [(2.0, 4.0, 0.0), (4.0, 6.0, 0.0), (14.5, 17.0, 4.5), (20.0, 24.0, 4.5)] {
        let found = backstay.in_band(band(low, high));
        assert_eq!((found.figure, found.ground), (Figure::One(reading), Ground::Outside));
        assert_eq!((found.ground_of_figure(), found.rows.len()), (Some(Ground::Outside), 0));
    }
}

#[test]
fn a_band_with_a_row_at_its_edge_is_as_good_as_that_row_though_its_middle_lies_beyond() {
    let backstay = column(Fineness::Halves, &BACKSTAY);
    let found = backstay.in_band(band(14.0, 17.0));
    assert_eq!((found.figure, found.ground_of_figure()), (Figure::One(4.5), None));
    assert_eq!(found.setting.ground, Ground::Between, "nothing was sailed at 15½ kn");
    assert_eq!(told(&backstay, band(14.0, 17.0)), [(14.0, 4.5, Ground::Sailed)]);
}

#[test]
fn a_figure_that_rests_on_a_replaced_sail_says_so_unless_a_row_beside_it_does() {
    let mut rows = known(&[(6.0, 0.0), (10.0, 2.0), (14.0, 4.5), (18.0, 6.0)]);
    rows[3].ground = Ground::CarriedOver;
    let column = Column::new(marks(Fineness::Halves), rows, Between::Monotone).unwrap();
    let said = |low, high| column.in_band(band(low, high)).ground_of_figure();
    assert_eq!(said(6.0, 9.0), None, "a row that was sailed, and a curve between two such");
    assert_eq!(said(11.0, 14.0), Some(Ground::Between));
    assert_eq!(said(14.0, 17.0), Some(Ground::CarriedOver), "sailed at 14; what is above it comes from 18");
    assert_eq!(told(&column, band(14.0, 17.0)), [(14.0, 4.5, Ground::Sailed)]);
    assert_eq!(said(15.0, 18.0), Some(Ground::CarriedOver));
    assert_eq!(said(17.0, 20.0), None, "the row in the band was carried over, and says it");
    assert_eq!(told(&column, band(17.0, 20.0)), [(18.0, 6.0, Ground::CarriedOver)]);
}

// Grounds.

#[test]
fn one_known_wind_is_sailed_there_and_outside_everywhere_else() {
    let column = column(Fineness::Whole, &[(10.0, 3.0)]);
    let ground = |wind| (column.at(kn(wind)).reading, column.at(kn(wind)).ground);
    assert_eq!(
        [ground(9.9), ground(10.0), ground(10.1)],
        [(3.0, Ground::Outside), (3.0, Ground::Sailed), (3.0, Ground::Outside)]
    );
    assert_eq!(column.changes().count(), 0);
}

#[test]
fn what_is_read_between_carried_over_values_is_carried_over_too() {
    let mut rows = known(&BACKSTAY);
    rows[0].ground = Ground::CarriedOver;
    let column = Column::new(marks(Fineness::Halves), rows.clone(), Between::Monotone).unwrap();
    let grounds = [5.0, 6.0, 8.0, 10.0, 12.0].map(|wind| column.at(kn(wind)).ground);
    use Ground::{Between as Read, CarriedOver, Outside, Sailed};
    assert_eq!(grounds, [Outside, CarriedOver, CarriedOver, Sailed, Read]);

    let step = Column::new(marks(Fineness::Halves), rows, Between::Step).unwrap();
    assert_eq!(
        [step.at(kn(7.0)).ground, step.at(kn(9.0)).ground],
        [CarriedOver, Read],
        "a step uses one known value only"
    );
}

#[test]
fn winds_out_of_order_or_no_rows_make_no_column() {
    assert!(Column::new(marks(Fineness::Whole), known(&[]), Between::Monotone).is_none());
    assert!(Column::new(marks(Fineness::Whole), known(&[(10.0, 1.0), (6.0, 2.0)]), Between::Monotone).is_none());
}

// Rounding.

#[test]
fn a_tie_goes_to_the_mark_nearer_the_known_value_below_the_wind() {
    // Both stand at 2½ at 8 kn, halfway in marks.
    let rising = column(Fineness::Whole, &[(6.0, 2.0), (10.0, 3.0)]);
    let falling = column(Fineness::Whole, &[(6.0, 3.0), (10.0, 2.0)]);
    assert_eq!((rising.at(kn(8.0)).exact, rising.at(kn(8.0)).reading), (2.5, 2.0));
    assert_eq!((falling.at(kn(8.0)).exact, falling.at(kn(8.0)).reading), (2.5, 3.0));
}

#[test]
fn a_tie_is_a_tie_though_arithmetic_misses_it_by_a_hair() {
    // A straight line from 0.1 to 0.3 passes 0.2 at its middle, which f64 makes 0.2 and a little.
    let kind = ScaleKind::Gauge { unit: "bar".into(), least: None, most: None, every: 0.4 };
    let gauge = Scale { kind, fineness: Fineness::Whole };
    assert_eq!([gauge.round(0.1 + 0.1 + 1e-12, 0.0), gauge.round(0.1 + 0.1 - 1e-12, 0.4)], [0.0, 0.4]);
}

#[test]
fn rounding_never_leaves_the_range_of_the_two_known_values() {
    // Where 3.3 and 3.4 were sailed, neither 3 nor 4 was.
    let tight = column(Fineness::Whole, &[(6.0, 3.3), (10.0, 3.4)]);
    assert_eq!(tight.at(kn(8.0)).reading, 3.3);
    let hard = column(Fineness::Whole, &[(6.0, 6.0), (10.0, 6.75)]);
    assert_eq!(hard.at(kn(9.9)).reading, 6.75, "7 is harder than was ever sailed");
}

#[test]
fn a_lead_that_goes_forward_and_aft_again_never_leaves_its_neighbours() {
    for between in [Between::Monotone, Between::Linear, Between::Step] {
        for fineness in [Fineness::Whole, Fineness::Halves, Fineness::Quarters] {
            let lead = Column::new(marks(fineness), known(&LEAD), between).unwrap();
            for hundredth in 600..=1400 {
                let wind = f64::from(hundredth) / 100.0;
                let range = if wind <= 10.0 { 12.0..=13.0 } else { 12.0..=13.5 };
                let setting = lead.at(kn(wind));
                assert!(range.contains(&setting.exact) && range.contains(&setting.reading), "{wind} kn: {setting:?}");
            }
        }
    }
}

#[test]
fn words_step_whatever_the_book_says_between() {
    let vang = Column::new(words(), known(&[(6.0, 0.0), (14.0, 3.0)]), Between::Monotone).unwrap();
    assert_eq!([vang.at(kn(10.0)).reading, vang.at(kn(10.1)).reading], [0.0, 3.0]);
}

// Both ends of a band.

#[test]
fn a_control_that_moves_more_than_a_readable_step_inside_a_band_shows_both_ends() {
    let figure = |fineness, low, high| column(fineness, &BACKSTAY).in_band(band(low, high)).figure;
    assert_eq!(figure(Fineness::Halves, 11.0, 17.0), Figure::Both(2.5, 4.5));
    // From 6 to 8 kn the curve goes from 0 to 0.9: two halves, one whole mark, four quarters.
    assert_eq!(figure(Fineness::Halves, 6.0, 8.0), Figure::Both(0.0, 1.0));
    assert_eq!(figure(Fineness::Whole, 6.0, 8.0), Figure::One(0.0));
    assert_eq!(figure(Fineness::Quarters, 6.0, 8.0), Figure::Both(0.0, 1.0));
    assert_eq!(figure(Fineness::Halves, 6.0, 7.0), Figure::One(0.0), "0 and ½; at 6½ kn it is 0.2");
}

#[test]
fn only_the_part_of_a_band_within_known_winds_counts() {
    let backstay = column(Fineness::Halves, &BACKSTAY);
    assert_eq!(backstay.in_band(band(13.4, 17.0)).figure, Figure::One(4.5));
    assert_eq!(backstay.in_band(band(0.0, 30.0)).figure, Figure::Both(0.0, 4.5));
}

#[test]
fn numbers_that_fall_as_the_wind_rises_are_printed_falling() {
    // Common practice, no source: on some boats a higher number is looser, and the card follows the book.
    let halyard = column(Fineness::Halves, &[(6.0, 8.0), (10.0, 5.5), (14.0, 3.0)]);
    assert_eq!(halyard.in_band(band(6.0, 10.0)).figure, Figure::Both(8.0, 5.5));
    let setting = halyard.in_band(band(11.0, 13.0)).setting;
    assert_eq!((setting.reading, setting.ground), (4.5, Ground::Between), "4¼ is a tie, and 5½ stands below the wind");
}

#[test]
fn a_turn_inside_a_band_is_not_hidden_between_its_ends() {
    let lead = column(Fineness::Halves, &LEAD);
    assert_eq!(lead.in_band(band(5.0, 20.0)).figure, Figure::Both(12.0, 13.5));
    let whole = column(Fineness::Whole, &[(6.0, 13.0), (10.0, 12.0), (14.0, 13.0)]);
    assert_eq!(whole.in_band(band(7.0, 13.0)).figure, Figure::One(12.0), "13, 12, 13: a step");
    let over = column(Fineness::Halves, &[(6.0, 2.0), (10.0, 5.0), (14.0, 3.0)]);
    assert_eq!(over.in_band(band(6.0, 14.0)).figure, Figure::Both(2.0, 5.0));
    assert_eq!(over.in_band(band(9.5, 14.0)).figure, Figure::Both(5.0, 3.0));
}

#[test]
fn a_step_at_the_edge_of_a_band_is_not_inside_it() {
    let vang = Column::new(words(), known(&[(6.0, 0.0), (10.0, 3.0)]), Between::Step).unwrap();
    assert_eq!(vang.in_band(band(8.0, 11.0)).figure, Figure::One(3.0), "hard from 8 kn on");
    assert_eq!(vang.in_band(band(4.0, 8.0)).figure, Figure::One(0.0), "eased up to 8 kn");
    assert_eq!(vang.in_band(band(7.0, 9.0)).figure, Figure::Both(0.0, 3.0));
}

#[test]
fn a_step_at_the_edge_of_a_band_in_metres_per_second_is_not_inside_it() {
    // Edges and rows at every quarter: the way to knots and back makes some of them a last digit more, some less.
    let quarters = |number: u32| Wind::metres_per_second(f64::from(number) / 4.0);
    for edge in 9..80 {
        for apart in 1..8 {
            let known = [(edge - apart, 0.0), (edge + apart, 3.0)];
            let known = known.map(|(at, reading)| Known { at: quarters(at), reading, ground: Ground::Sailed });
            let vang = Column::new(words(), known.to_vec(), Between::Step).unwrap();
            let figure = |low, high| vang.in_band(Band::new(quarters(low), quarters(high))).figure;
            assert_eq!(figure(edge - 1, edge), Figure::One(0.0), "up to {edge} quarters, from {apart} off");
            assert_eq!(figure(edge, edge + 1), Figure::One(3.0), "from {edge} quarters on, from {apart} off");
        }
    }
}

#[test]
fn rows_as_near_to_the_middle_in_metres_per_second_are_as_near_in_knots() {
    let quarters = |number: u32| Wind::metres_per_second(f64::from(number) / 4.0);
    for middle in 12..80 {
        for apart in 1..4 {
            let rows = [middle - apart, middle, middle + apart];
            let known = rows.map(|at| Known { at: quarters(at), reading: f64::from(at), ground: Ground::Sailed });
            let found = Column::new(marks(Fineness::Whole), known.to_vec(), Between::Linear)
                .unwrap()
                .in_band(Band::new(quarters(middle - 4), quarters(middle + 4)));
            let told: Vec<f64> = found.rows.iter().map(|row| row.reading).collect();
            assert_eq!(told, [f64::from(middle - apart), f64::from(middle)], "the lower of two as near");
            assert_eq!(found.setting.ground, Ground::Sailed, "the middle is a known wind, last digit or not");
        }
    }
}

#[test]
fn words_tapes_and_turns_are_both_told_wherever_they_differ() {
    let next = Column::new(words(), known(&[(6.0, 0.0), (10.0, 1.0)]), Between::Step).unwrap();
    assert_eq!(next.in_band(band(7.0, 9.0)).figure, Figure::Both(0.0, 1.0), "one word further");
    let kind = ScaleKind::Turns { base: "gauge 38 on 2027-04-02".into() };
    let caps = Scale { kind, fineness: Fineness::Halves };
    let caps = Column::new(caps, known(&[(6.0, 1.0), (10.0, 0.5)]), Between::Step).unwrap();
    assert_eq!(caps.in_band(band(7.0, 9.0)).figure, Figure::Both(1.0, 0.5), "half a turn back");
    let stepped = Column::new(marks(Fineness::Halves), known(&[(6.0, 1.0), (10.0, 0.5)]), Between::Step).unwrap();
    assert_eq!(stepped.in_band(band(7.0, 9.0)).figure, Figure::One(1.0), "numbered marks have one to print");
}

#[test]
fn a_gauge_shows_both_ends_when_it_moves_more_than_it_can_be_read_to() {
    let kind = ScaleKind::Gauge { unit: "psi".into(), least: Some(0.0), most: Some(3000.0), every: 50.0 };
    let gauge = Scale { kind, fineness: Fineness::Whole };
    let backstay = Column::new(gauge, known(&[(8.0, 1210.0), (16.0, 1850.0)]), Between::Linear).unwrap();
    assert_eq!(backstay.in_band(band(9.0, 9.5)).figure, Figure::One(1300.0));
    let found = backstay.in_band(band(10.0, 12.0));
    assert_eq!((found.setting.reading, found.figure), (1450.0, Figure::Both(1350.0, 1550.0)));
    assert_eq!(backstay.in_band(band(8.0, 9.0)).rows[0].reading, 1210.0, "as recorded");
}

// Change points.

#[test]
fn change_points_stand_where_the_straight_line_passes_half_marks() {
    let column = column(Fineness::Halves, &[(6.0, 2.0), (10.0, 4.0)]);
    let changes: Vec<Change> = column.changes().collect();
    let expected = [(6.5, 2.0, 2.5), (7.5, 2.5, 3.0), (8.5, 3.0, 3.5), (9.5, 3.5, 4.0)];
    assert_eq!(changes.len(), expected.len());
    for (change, (wind_kn, from, to)) in changes.iter().zip(expected) {
        assert!((change.at.to_knots() - wind_kn).abs() < 1e-12);
        assert_eq!((change.from, change.to), (from, to));
    }
}

#[test]
fn a_control_that_stays_put_has_no_change_points() {
    assert_eq!(column(Fineness::Whole, &[(6.0, 2.5), (10.0, 2.5), (14.0, 2.5)]).changes().count(), 0);
}

#[test]
fn a_flat_between_two_rises_changes_before_and_after_it() {
    let column = column(Fineness::Whole, &[(6.0, 1.0), (10.0, 2.5), (12.0, 2.5), (16.0, 4.0)]);
    let changes: Vec<_> = column.changes().map(|change| (change.from, change.to)).collect();
    assert_eq!(changes, [(1.0, 2.0), (2.0, 2.5), (2.5, 3.0), (3.0, 4.0)]);
    let at_the_flat: Vec<_> = column.changes().map(|change| change.at.to_knots()).skip(1).take(2).collect();
    assert_eq!(at_the_flat, [10.0, 12.0]);
}

#[test]
fn a_step_changes_midway() {
    let vang =
        Column::new(words(), known(&[(6.0, 0.0), (10.0, 1.0), (14.0, 1.0), (20.0, 3.0)]), Between::Step).unwrap();
    let changes: Vec<_> = vang.changes().map(|change| (change.at.to_knots(), change.from, change.to)).collect();
    assert_eq!(changes, [(8.0, 0.0, 1.0), (17.0, 1.0, 3.0)]);
}

#[test]
fn a_lead_that_turns_changes_down_and_up_again() {
    let changes: Vec<_> = column(Fineness::Halves, &LEAD).changes().map(|change| (change.from, change.to)).collect();
    assert_eq!(changes, [(13.0, 12.5), (12.5, 12.0), (12.0, 12.5), (12.5, 13.0), (13.0, 13.5)]);
}

#[test]
fn change_points_of_a_very_fine_gauge_come_one_at_a_time() {
    let count = |every, first: usize| {
        let kind = ScaleKind::Gauge { unit: "psi".into(), least: None, most: None, every };
        let gauge = Scale { kind, fineness: Fineness::Whole };
        let column = Column::new(gauge, known(&[(6.0, 1.0), (10.0, 1e6)]), Between::Linear).unwrap();
        column.changes().take(first).count()
    };
    assert_eq!(count(1e-9, 3), 3);
    assert_eq!([count(1e-300, 3), count(0.0, 3), count(f64::NAN, 3)], [0; 3], "no such gauge can be read");
}

fn any_column() -> impl Strategy<Value = Column> {
    let fineness = prop_oneof![Just(Fineness::Whole), Just(Fineness::Halves), Just(Fineness::Quarters)];
    let between = prop_oneof![Just(Between::Monotone), Just(Between::Linear), Just(Between::Step)];
    let reading = prop_oneof![(-12i32..=12).prop_map(|eighths| f64::from(eighths) / 8.0), -10.0..10.0f64];
    let rows = prop::collection::vec((0.5..6.0f64, reading), 1..=7);
    (fineness, between, rows).prop_map(|(fineness, between, rows)| {
        let mut wind = 0.0;
        let rows: Vec<_> = rows
            .into_iter()
            .map(|(width, reading)| {
                wind += width;
                (wind, reading)
            })
            .collect();
        Column::new(marks(fineness), known(&rows), between).unwrap()
    })
}

/// The winds a scan tries, a hundredth of a knot apart, strictly between the first and the last known one.
fn scan(column: &Column) -> impl Iterator<Item = f64> {
    let (first, last) = (column.known()[0].at.to_knots(), column.known()[column.known().len() - 1].at.to_knots());
    let hundredths = ((first * 100.0).floor() as i32 + 1)..((last * 100.0).ceil() as i32);
    hundredths.map(|hundredth| f64::from(hundredth) / 100.0).filter(move |wind| first < *wind && *wind < last)
}

/// Whether a wind is so near a tie between two marks, a jump, or a known wind, that neither side of it is wrong. (A cubic
/// can set out from a known value so flat that over the first ten-thousandths of a knot `f64` holds that very value.)
fn is_on_the_edge(column: &Column, wind_kn: f64) -> bool {
    let halves = column.at(kn(wind_kn)).exact / column.scale().step() * 2.0;
    let tie = (halves - halves.round()).abs() < 1e-6 && halves.round().rem_euclid(2.0) == 1.0;
    let near = |other: f64| (other - wind_kn).abs() < 1e-3;
    let midway = column.known().windows(2).any(|pair| near((pair[0].at.to_knots() + pair[1].at.to_knots()) / 2.0));
    tie || midway || column.known().iter().any(|known| near(known.at.to_knots()))
}

proptest! {
    #[test]
    fn change_points_agree_with_a_scan_every_hundredth_of_a_knot(column in any_column()) {
        let changes: Vec<Change> = column.changes().collect();
        for pair in changes.windows(2) {
            prop_assert!(pair[0].at.to_knots() <= pair[1].at.to_knots());
            prop_assert_eq!(pair[0].to, pair[1].from);
        }
        prop_assert!(changes.iter().all(|change| change.from != change.to));
        for wind in scan(&column).filter(|wind| !is_on_the_edge(&column, *wind)) {
            let passed = changes.iter().take_while(|change| change.at.to_knots() < wind).count();
            let expected = match passed.checked_sub(1) {
                Some(last) => Some(changes[last].to),
                None => changes.first().map(|change| change.from),
            };
            let found = column.at(kn(wind)).reading;
            prop_assert!(expected.is_none_or(|expected| expected == found), "{} kn: {}, not {:?}", wind, found, expected);
        }
        if changes.is_empty() {
            let mut readings: Vec<f64> =
                scan(&column).filter(|wind| !is_on_the_edge(&column, *wind)).map(|wind| column.at(kn(wind)).reading).collect();
            readings.dedup();
            prop_assert!(readings.len() <= 1, "{:?}", readings);
        }
    }

    #[test]
    fn no_setting_ever_leaves_the_range_of_its_two_known_neighbours(column in any_column(), wind in -5.0..50.0f64) {
        let setting = column.at(kn(wind));
        let known = column.known();
        let above = known.partition_point(|known| known.at.to_knots() < wind);
        let below = known[above.saturating_sub(1).min(known.len() - 1)].reading;
        let above = known[above.min(known.len() - 1)].reading;
        for value in [setting.exact, setting.reading] {
            prop_assert!(below.min(above) <= value && value <= below.max(above), "{value} is not from {below} to {above}");
        }
        let within = known[0].at.to_knots() <= wind && wind <= known[known.len() - 1].at.to_knots();
        prop_assert_eq!(setting.ground == Ground::Outside, !within);
    }

    #[test]
    fn a_band_tells_the_rows_it_holds_and_its_figure_has_a_sign_only_where_it_holds_none(
        column in any_column(), low in -5.0..50.0f64, width in 0.1..20.0f64,
    ) {
        let band = band(low, low + width);
        let found = column.in_band(band);
        let known = column.known();
        let held = known.iter().filter(|known| band.holds(known.at)).count();
        let beyond = band.high <= known[0].at || band.low > known[known.len() - 1].at;
        let expected = match (held, beyond) {
            (0, true) => Some(Ground::Outside),
            (0, false) => Some(Ground::Between),
            _ => None,
        };
        prop_assert_eq!(found.ground_of_figure(), expected);
        prop_assert_eq!(found.rows.len() + found.more, held);
        prop_assert_eq!(found.rows.len(), held.min(2));
        // The curve passes through what is told, so the figure holds it, but for what it is rounded by.
        let (first, last) = found.figure.ends();
        let slack = column.scale().step();
        for row in &found.rows {
            let (least, most) = (first.min(last) - slack, first.max(last) + slack);
            prop_assert!(least <= row.reading && row.reading <= most, "{row:?} beside {:?}", found.figure);
        }
    }

    #[test]
    fn what_to_set_in_a_band_covers_every_reading_inside_it(
        column in any_column(), low in 0.0..30.0f64, width in 0.1..20.0f64,
    ) {
        let band = band(low, low + width);
        let inside: Vec<f64> = scan(&column)
            .filter(|wind| band.holds(kn(*wind)) && !is_on_the_edge(&column, *wind))
            .map(|wind| column.at(kn(wind)).reading)
            .collect();
        // One mark serves for those a step to either side. The end of a band may be a tie, rounded to one side, while the
        // winds beside it round to the other.
        let slack = column.scale().step() * (1.0 + 1e-6);
        let (first, last) = column.in_band(band).figure.ends();
        let (least, most) = (first.min(last) - slack, first.max(last) + slack);
        for reading in inside {
            prop_assert!(least <= reading && reading <= most, "{reading} is not in {first} to {last}");
        }
    }
}
