//! Settings by wind and angle: against SciPy, by hand, and against what they promise.

use cockpit_cards::length::Length;
use cockpit_cards::tuning::angled::{AngledColumn, KnownAt};
use cockpit_cards::tuning::{
    Angle, Axis, Band, Between, Column, Figure, Fineness, Ground, Known, Scale, ScaleKind, Wind,
};
use proptest::prelude::*;
use serde::Deserialize;

/// As near to SciPy as `f64` arithmetic in another order can be.
const TOLERANCE: f64 = 1e-12;

#[derive(Deserialize)]
struct Reference {
    scipy: String,
    tables: Vec<Table>,
}

#[derive(Deserialize)]
struct Table {
    rows: Vec<Row>,
    /// Wind, angle, value.
    probes: Vec<(f64, f64, f64)>,
}

#[derive(Deserialize)]
struct Row {
    wind: f64,
    angles: Vec<f64>,
    readings: Vec<f64>,
}

fn marks(fineness: Fineness) -> Scale {
    let kind = ScaleKind::Even { first: -40, last: 40, spacing: Length::mm(20.0), purchase: 1.0 };
    Scale { kind, fineness }
}

fn words() -> Scale {
    let words = ["eased", "snug", "firm", "hard"].map(str::to_owned).to_vec();
    Scale { kind: ScaleKind::Words(words), fineness: Fineness::Whole }
}

const fn kn(knots: f64) -> Wind {
    Wind::knots(knots)
}

const fn deg(degrees: f64) -> Angle {
    Angle::degrees(degrees)
}

fn sailed((wind, angle, reading): (f64, f64, f64)) -> KnownAt {
    KnownAt { wind: kn(wind), known: Known { at: deg(angle), reading, ground: Ground::Sailed } }
}

fn angled(rows: &[(f64, f64, f64)], between: Between) -> AngledColumn {
    let known: Vec<KnownAt> = rows.iter().copied().map(sailed).collect();
    AngledColumn::new(marks(Fineness::Halves), &known, between).unwrap()
}

fn at(column: &AngledColumn, wind: f64, angle: f64) -> f64 {
    column.at(kn(wind), deg(angle)).unwrap().exact
}

fn cell(winds: (f64, f64), angles: (f64, f64)) -> (Band, Band<Angle>) {
    (Band::new(kn(winds.0), kn(winds.1)), Band::new(deg(angles.0), deg(angles.1)))
}

/// A jib lead of our own invention, that goes forward as the boat bears away.
const LEAD: [(f64, f64, f64); 5] =
    [(10.0, 60.0, 4.0), (10.0, 80.0, 3.0), (10.0, 100.0, 2.5), (16.0, 60.0, 5.0), (16.0, 90.0, 3.5)];

/// Tables of our own making: winds and angles on a grid, readings in quarters.
fn tables() -> impl Strategy<Value = Vec<(f64, f64, f64)>> {
    let row = (1_u32..5, proptest::collection::btree_map(6_u32..32, 0_u32..32, 1..6));
    proptest::collection::vec(row, 1..6).prop_map(|rows| {
        let mut wind = 3.0;
        let mut known = Vec::new();
        for (step, readings) in rows {
            wind += f64::from(step);
            known.extend(readings.iter().map(|(at, of)| (wind, f64::from(*at) * 5.0, f64::from(*of) / 4.0)));
        }
        known
    })
}

const WAYS: [Between; 3] = [Between::Monotone, Between::Linear, Between::Step];
const SMOOTH: [Between; 2] = [Between::Monotone, Between::Linear];

// What must equal something else.

#[test]
fn along_the_angle_and_then_along_the_wind_equals_scipy_on_fifty_random_tables() {
    let reference: Reference = serde_json::from_str(include_str!("../reference/pchip_angled.json")).unwrap();
    assert_eq!(reference.tables.len(), 50, "SciPy {}", reference.scipy);
    let mut compared = 0;
    for table in &reference.tables {
        let points = |row: &Row| -> Vec<(f64, f64, f64)> {
            row.angles.iter().zip(&row.readings).map(|(angle, reading)| (row.wind, *angle, *reading)).collect()
        };
        let known: Vec<(f64, f64, f64)> = table.rows.iter().flat_map(points).collect();
        let column = angled(&known, Between::Monotone);
        let largest = known.iter().fold(0.0, |most: f64, (_, _, reading)| most.max(reading.abs()));
        for (wind, angle, expected) in &table.probes {
            let found = at(&column, *wind, *angle);
            let allowed = TOLERANCE * expected.abs().max(largest * 1e-3);
            assert!((found - expected).abs() <= allowed, "at {wind} kn and {angle}° {found}, not {expected}");
            compared += 1;
        }
    }
    assert!(compared > 2000);
}

#[test]
fn by_hand_straight_lines_both_ways_make_a_plane() {
    // 1 mark for 10° and 1 for 4 kn: on every curve a plane stays one.
    let plane = |wind: f64, angle: f64| (angle - 60.0) / 10.0 + (wind - 8.0) / 4.0;
    let grid = [8.0, 12.0, 20.0].into_iter().flat_map(|wind| [60.0, 80.0, 90.0].map(|angle| (wind, angle)));
    let rows: Vec<(f64, f64, f64)> = grid.map(|(wind, angle)| (wind, angle, plane(wind, angle))).collect();
    for between in SMOOTH {
        let column = angled(&rows, between);
        for (wind, angle) in [(8.0, 60.0), (9.0, 65.0), (13.5, 88.0), (19.0, 71.0), (20.0, 90.0)] {
            assert!((at(&column, wind, angle) - plane(wind, angle)).abs() < TOLERANCE, "{wind} kn, {angle}°");
        }
    }
}

#[test]
fn by_hand_what_depends_on_the_angle_alone_is_its_own_curve_at_every_wind() {
    let along = [(60.0, 4.0), (80.0, 3.0), (110.0, 1.0)];
    let rows: Vec<(f64, f64, f64)> =
        [8.0, 12.0, 20.0].into_iter().flat_map(|wind| along.map(|(angle, reading)| (wind, angle, reading))).collect();
    for between in WAYS {
        let known = along.map(|(at, reading)| Known { at: deg(at), reading, ground: Ground::Sailed });
        let alone = Column::new(marks(Fineness::Halves), known.to_vec(), between).unwrap();
        for angle in [60.0, 63.5, 70.0, 80.0, 99.9, 110.0] {
            for wind in [8.0, 9.0, 12.0, 17.7, 20.0] {
                assert_eq!(at(&angled(&rows, between), wind, angle), alone.at(deg(angle)).exact, "{between:?}");
            }
        }
    }
}

#[test]
fn by_hand_the_reaching_lead() {
    let lead = angled(&LEAD, Between::Linear);
    // At 70° 3½ in 10 kn; in 16 kn a third of the way from 5 to 3½, which is 4½.
    assert!((at(&lead, 10.0, 70.0) - 3.5).abs() < TOLERANCE);
    assert!((at(&lead, 16.0, 70.0) - 4.5).abs() < TOLERANCE);
    assert!((at(&lead, 13.0, 70.0) - 4.0).abs() < TOLERANCE);
    // At 100° 16 kn knows no more than 90°: 3½, and halfway to 2½ it is 3.
    assert!((at(&lead, 13.0, 100.0) - 3.0).abs() < TOLERANCE);
    let ground = |wind, angle| lead.at(kn(wind), deg(angle)).unwrap().ground;
    assert_eq!(ground(13.0, 70.0), Ground::Between);
    assert_eq!(ground(13.0, 90.0), Ground::Between);
    assert_eq!(ground(13.0, 90.1), Ground::Outside);
    assert_eq!(ground(10.0, 95.0), Ground::Between);
    assert_eq!(ground(10.0, 80.0), Ground::Sailed);
    assert_eq!(ground(9.9, 80.0), Ground::Outside);
    assert_eq!(ground(10.0, 59.0), Ground::Outside);
}

#[test]
fn a_step_takes_the_nearer_wind_and_then_its_nearer_angle() {
    let lead = angled(&LEAD, Between::Step);
    assert_eq!([at(&lead, 12.9, 69.0), at(&lead, 13.0, 71.0), at(&lead, 13.1, 71.0)], [4.0, 3.0, 5.0]);
    // Only the nearer wind counts: 16 kn does not know 95°, and is not asked.
    assert_eq!(lead.at(kn(12.0), deg(95.0)).unwrap().ground, Ground::Between);
    assert_eq!(lead.at(kn(14.0), deg(95.0)).unwrap().ground, Ground::Outside);
}

#[test]
fn words_step_whatever_was_asked_for() {
    let known: Vec<KnownAt> = [(10.0, 60.0, 0.0), (10.0, 80.0, 2.0), (16.0, 60.0, 3.0)].map(sailed).to_vec();
    let vang = AngledColumn::new(words(), &known, Between::Monotone).unwrap();
    assert_eq!(vang.between(), Between::Step);
    assert_eq!(vang.scale().print(vang.at(kn(12.0), deg(72.0)).unwrap().reading), "firm");
}

#[test]
fn carried_over_and_adjusted_values_make_what_is_read_from_them_so() {
    let mut known: Vec<KnownAt> = LEAD.map(sailed).to_vec();
    known[3].known.ground = Ground::CarriedOver;
    known[1].known.ground = Ground::Adjusted;
    let lead = AngledColumn::new(marks(Fineness::Halves), &known, Between::Monotone).unwrap();
    let ground = |wind, angle| lead.at(kn(wind), deg(angle)).unwrap().ground;
    assert_eq!(ground(10.0, 60.0), Ground::Sailed);
    assert_eq!(ground(10.0, 70.0), Ground::Adjusted);
    assert_eq!(ground(16.0, 60.0), Ground::CarriedOver);
    assert_eq!(ground(13.0, 70.0), Ground::CarriedOver);
    assert_eq!(ground(13.0, 95.0), Ground::Outside);
}

#[test]
fn out_of_order_twice_or_not_finite_is_no_table() {
    let made = |rows: &[(f64, f64, f64)]| {
        let known: Vec<KnownAt> = rows.iter().copied().map(sailed).collect();
        AngledColumn::new(marks(Fineness::Halves), &known, Between::Monotone).is_some()
    };
    assert!(made(&LEAD));
    let bad: [&[(f64, f64, f64)]; 6] = [
        &[],
        &[(10.0, 60.0, 1.0), (10.0, 60.0, 2.0)],
        &[(10.0, 80.0, 1.0), (10.0, 60.0, 2.0)],
        &[(16.0, 60.0, 1.0), (10.0, 60.0, 2.0)],
        &[(f64::INFINITY, 60.0, 1.0)],
        &[(10.0, 60.0, f64::NAN)],
    ];
    for rows in bad {
        assert!(!made(rows), "{rows:?}");
    }
}

// What always holds.

/// The recorded readings around a place, as a person would find them with a finger on the table.
fn around(rows: &[(f64, f64, f64)], wind: f64, angle: f64) -> Vec<f64> {
    let mut winds: Vec<f64> = rows.iter().map(|row| row.0).collect();
    winds.dedup();
    let beside = |known: &[f64], at: f64| -> Vec<f64> {
        let below = known.iter().copied().rfind(|known| *known <= at);
        let above = known.iter().copied().find(|known| *known >= at);
        [below.or(above), above.or(below)].into_iter().flatten().collect()
    };
    let mut readings = Vec::new();
    for near in beside(&winds, wind) {
        let own: Vec<f64> = rows.iter().filter(|row| row.0 == near).map(|row| row.1).collect();
        for beside in beside(&own, angle) {
            readings.extend(rows.iter().filter(|row| (row.0, row.1) == (near, beside)).map(|row| row.2));
        }
    }
    readings
}

proptest! {
    #[test]
    fn what_was_recorded_is_printed_as_recorded(rows in tables()) {
        for between in WAYS {
            let column = angled(&rows, between);
            for (wind, angle, reading) in &rows {
                let setting = column.at(kn(*wind), deg(*angle)).unwrap();
                prop_assert_eq!((setting.exact, setting.reading), (*reading, *reading));
                prop_assert_eq!(setting.ground, Ground::Sailed);
            }
        }
    }

    #[test]
    fn no_setting_leaves_the_recorded_readings_around_it(
        rows in tables(), wind in 2.0..26.0_f64, angle in 20.0..175.0_f64,
    ) {
        for between in WAYS {
            let setting = angled(&rows, between).at(kn(wind), deg(angle)).unwrap();
            let around = around(&rows, wind, angle);
            let least = around.iter().copied().fold(f64::INFINITY, f64::min);
            let most = around.iter().copied().fold(f64::NEG_INFINITY, f64::max);
            prop_assert!(least <= setting.exact && setting.exact <= most, "{} of {:?}", setting.exact, around);
            prop_assert!(least <= setting.reading && setting.reading <= most, "{} of {:?}", setting.reading, around);
        }
    }

    #[test]
    fn a_hundredth_of_a_knot_or_of_a_degree_moves_no_mark_far(
        rows in tables(), wind in 2.0..26.0_f64, angle in 20.0..175.0_f64,
    ) {
        // Readings lie within 8 marks, winds at least 1 kn and angles at least 5° apart, and no monotone cubic is steeper than
        // three times its chord: at most 3 · 8 marks for a knot and 3 · 8/5 for a degree. A change of the angle moves the
        // readings that the curve over the wind runs through; by how much more it moves is bounded by that curve's slopes: a
        // tenth of a mark is ten times what any of these tables showed.
        const MOST: f64 = 0.3;
        for between in SMOOTH {
            let column = angled(&rows, between);
            let here = at(&column, wind, angle);
            prop_assert!((at(&column, wind + 0.01, angle) - here).abs() < MOST);
            prop_assert!((at(&column, wind, angle + 0.01) - here).abs() < MOST);
        }
    }

    #[test]
    fn one_angle_for_each_wind_gives_the_table_of_the_wind_alone_to_the_bit(
        rows in tables(), wind in 2.0..26.0_f64, angle in 20.0..175.0_f64,
    ) {
        let mut rows = rows;
        rows.dedup_by_key(|row| row.0);
        let known = rows.iter().map(|row| Known { at: kn(row.0), reading: row.2, ground: Ground::Sailed });
        for between in WAYS {
            let plain = Column::new(marks(Fineness::Halves), known.clone().collect(), between).unwrap();
            let column = angled(&rows, between);
            let (found, expected) = (column.at(kn(wind), deg(angle)).unwrap(), plain.at(kn(wind)));
            prop_assert_eq!(found.exact.to_bits(), expected.exact.to_bits());
            prop_assert_eq!(found.reading.to_bits(), expected.reading.to_bits());
            let changes: Vec<_> = column.at_angle(deg(angle)).unwrap().changes().collect();
            prop_assert_eq!(changes, plain.changes().collect::<Vec<_>>());
        }
    }

    #[test]
    fn the_same_row_at_every_angle_is_constant_in_angle(
        rows in tables(), wind in 2.0..26.0_f64, angle in 20.0..175.0_f64,
    ) {
        let mut readings: Vec<(f64, f64)> = rows.iter().map(|row| (row.0, row.2)).collect();
        readings.dedup_by_key(|row| row.0);
        let reading = |wind: f64| readings.iter().find(|row| row.0 == wind).unwrap().1;
        let same: Vec<(f64, f64, f64)> = rows.iter().map(|row| (row.0, row.1, reading(row.0))).collect();
        for between in WAYS {
            let column = angled(&same, between);
            prop_assert_eq!(at(&column, wind, angle), at(&column, wind, 90.0));
            prop_assert!(column.changes_at(kn(wind)).is_empty());
        }
    }

    // Change points.

    #[test]
    fn bearing_away_at_any_wind_misses_no_change_that_a_scan_finds(rows in tables(), wind in 4.0..20.0_f64) {
        for between in WAYS {
            let column = angled(&rows, between);
            let Some((low, high)) = column.known_angles(kn(wind)) else { continue };
            let changes = column.changes_at(kn(wind));
            // Each change is one: just before it the one reading, just after it the other.
            let mark = |angle: f64| column.at(kn(wind), deg(angle)).unwrap().reading;
            for (nth, change) in changes.iter().enumerate() {
                let beside = [nth.checked_sub(1), Some(nth + 1)].into_iter().flatten().filter_map(|nth| changes.get(nth));
                let at_an_end = change.at.apart(low) < deg(1e-4) || change.at.apart(high) < deg(1e-4);
                // Where a curve only just dips over a half, two changes stand closer than anyone looks.
                if at_an_end || beside.into_iter().any(|other| other.at.apart(change.at) < deg(1e-3)) {
                    continue;
                }
                prop_assert_eq!(mark(change.at.number() - 1e-6), change.from);
                prop_assert_eq!(mark(change.at.number() + 1e-6), change.to);
            }
            let steps = ((high.number() - low.number()) / 0.1) as usize;
            let places: Vec<f64> = (0..=steps).map(|nth| low.number() + nth as f64 * 0.1).collect();
            for place in &places {
                let is_known = rows.iter().any(|row| (row.1 - place).abs() < 1e-6);
                let is_change = changes.iter().any(|change| (change.at.number() - place).abs() < 1e-6);
                if is_known || is_change {
                    continue;
                }
                let before = changes.iter().rev().find(|change| change.at.number() < *place);
                let after = changes.iter().find(|change| change.at.number() > *place);
                let expected = before.map(|change| change.to).or(after.map(|change| change.from));
                if let Some(expected) = expected {
                    prop_assert_eq!(mark(*place), expected, "{} kn, {}°", wind, place);
                }
            }
        }
    }

    // Cells.

    #[test]
    fn a_cell_tells_both_ends_of_what_a_scan_finds_and_what_was_recorded_in_it(
        rows in tables(), wind in 3.0..20.0_f64, width in 1.0..6.0_f64, angle in 30.0..150.0_f64, breadth in 5.0..40.0_f64,
    ) {
        let (winds, angles) = cell((wind, wind + width), (angle, angle + breadth));
        for between in WAYS {
            let column = angled(&rows, between);
            let found = column.in_cell(winds, angles).unwrap();
            let held = rows.iter().filter(|row| winds.holds(kn(row.0)) && angles.holds(deg(row.1)));
            prop_assert_eq!(found.rows.len() + found.more, held.count());
            // Thirty places each way, and the known winds and angles.
            let mut across: Vec<f64> = rows.iter().map(|row| row.0).filter(|wind| winds.holds(kn(*wind))).collect();
            let inner = |low: f64, width: f64, nth: usize| low + (width - 2e-6) * nth as f64 / 29.0 + 1e-6;
            across.extend((0..30).map(|nth| inner(wind, width, nth)));
            let mut along: Vec<f64> = rows.iter().map(|row| row.1).filter(|angle| angles.holds(deg(*angle))).collect();
            along.extend((0..30).map(|nth| inner(angle, breadth, nth)));
            let scanned = across.iter().flat_map(|wind| along.iter().map(|angle| column.at(kn(*wind), deg(*angle))));
            let scanned: Vec<_> = scanned.flatten().collect();
            let inside: Vec<_> = scanned.iter().filter(|setting| setting.ground != Ground::Outside).collect();
            prop_assert_eq!(inside.is_empty(), found.ground == Ground::Outside);
            let of = if inside.is_empty() { scanned.iter().collect() } else { inside };
            let marks = of.iter().map(|setting| setting.reading);
            let (least, most) =
                marks.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), mark| (low.min(mark), high.max(mark)));
            match found.figure {
                Figure::Both(one, other) => {
                    let (low, high) = (one.min(other), one.max(other));
                    prop_assert!(low <= least && most <= high, "{low} to {high}, scan {least} to {most}");
                    // The scan may step over the place itself: no more than a step of the scale lies between them.
                    prop_assert!(least - low <= 0.5 && high - most <= 0.5, "{low} to {high}, scan {least} to {most}");
                }
                Figure::One(one) => {
                    prop_assert!(most - least <= 0.5, "scan {least} to {most}, no range");
                    prop_assert!(least - 0.5 <= one && one <= most + 0.5, "{one}, scan {least} to {most}");
                }
            }
        }
    }
}
