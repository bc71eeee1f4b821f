//! Curves between known points, against SciPy and against what they promise.

use cockpit_cards::tuning::{Between, Crossing, Curve};
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
    name: String,
    x: Vec<f64>,
    y: Vec<f64>,
    at: Vec<f64>,
    value: Vec<f64>,
}

impl Table {
    fn points(&self) -> Vec<(f64, f64)> {
        self.x.iter().copied().zip(self.y.iter().copied()).collect()
    }
}

/// Values of SciPy's `PchipInterpolator`, written by `tests/reference/pchip.py`.
fn reference() -> Reference {
    serde_json::from_str(include_str!("../reference/pchip.json")).unwrap()
}

fn curve(points: &[(f64, f64)], between: Between) -> Curve {
    Curve::new(points.to_vec(), between).unwrap()
}

fn monotone(points: &[(f64, f64)]) -> Curve {
    curve(points, Between::Monotone)
}

/// Of our own invention: a lead that goes forward and aft again as the wind rises.
const LEAD: [(f64, f64); 3] = [(6.0, 13.0), (10.0, 12.0), (14.0, 13.5)];

#[test]
fn the_monotone_curve_equals_scipy_on_rpn_14_and_on_fifty_random_tables() {
    let reference = reference();
    assert_eq!(reference.tables.len(), 51, "SciPy {}", reference.scipy);
    assert_eq!(reference.tables[0].name, "RPN 14");
    let mut compared = 0;
    for table in &reference.tables {
        let curve = monotone(&table.points());
        for (x, expected) in table.at.iter().zip(&table.value) {
            let found = curve.at(*x).unwrap();
            // Relative to the value itself; a value of 0 is allowed the last bits of its table's largest.
            let allowed = TOLERANCE * expected.abs().max(table.y.iter().fold(0.0, |most, y| y.abs().max(most)) * 1e-3);
            assert!(
                (found - expected).abs() <= allowed,
                "{}, SciPy {}: at {x} {found}, not {expected}",
                table.name,
                reference.scipy
            );
            compared += 1;
        }
    }
    assert!(compared > 3000);
}

#[test]
fn the_reference_holds_every_shape_and_every_count_of_points_from_two_to_twelve() {
    let tables = &reference().tables[1..];
    for count in 2..=12 {
        assert!(tables.iter().any(|table| table.x.len() == count), "{count} points");
    }
    for shape in ["rising", "falling", "flat", "bent"] {
        assert!(tables.iter().any(|table| table.name.starts_with(shape)), "{shape}");
    }
}

#[test]
fn two_points_make_a_line_and_one_holds_at_its_own_wind_only() {
    let line = monotone(&[(8.0, 2.0), (12.0, 4.0)]);
    assert_eq!(line.at(9.0), Some(2.5));
    let point = monotone(&[(8.0, 2.0)]);
    assert_eq!([point.at(7.999), point.at(8.0), point.at(8.001)], [None, Some(2.0), None]);
}

#[test]
fn nothing_is_known_beyond_the_ends() {
    for between in [Between::Monotone, Between::Linear, Between::Step] {
        let lead = curve(&LEAD, between);
        assert_eq!(
            [lead.at(5.999), lead.at(6.0), lead.at(14.0), lead.at(14.001)],
            [None, Some(13.0), Some(13.5), None]
        );
        assert_eq!(lead.at(f64::NAN), None);
    }
}

#[test]
fn a_step_takes_the_nearer_known_value_and_changes_midway() {
    let lead = curve(&LEAD, Between::Step);
    assert_eq!([lead.at(7.9), lead.at(8.0), lead.at(8.1)], [Some(13.0), Some(13.0), Some(12.0)]);
    assert_eq!([lead.at(12.0), lead.at(12.001)], [Some(12.0), Some(13.5)]);
}

#[test]
fn a_straight_line_is_straight() {
    let lead = curve(&LEAD, Between::Linear);
    assert_eq!([lead.at(7.0), lead.at(12.0)], [Some(12.75), Some(12.75)]);
}

#[test]
fn points_out_of_order_twice_or_not_finite_make_no_curve() {
    let bad: [&[(f64, f64)]; 7] = [
        &[],
        &[(8.0, 1.0), (6.0, 2.0)],
        &[(8.0, 1.0), (8.0, 2.0)],
        &[(f64::NAN, 1.0)],
        &[(8.0, f64::INFINITY)],
        &[(8.0, f64::MAX), (9.0, f64::MIN)],
        &[(-f64::MAX, 0.0), (f64::MAX, 1.0)],
    ];
    for points in bad {
        assert_eq!(Curve::new(points.to_vec(), Between::Monotone), None, "{points:?}");
    }
}

#[test]
fn a_bent_curve_is_crossed_twice_and_touched_once_at_its_turn() {
    let lead = monotone(&LEAD);
    let [Crossing::At(down), Crossing::At(up)] = lead.crossings(12.5)[..] else { panic!("{:?}", lead.crossings(12.5)) };
    assert!((6.0..10.0).contains(&down) && (10.0..14.0).contains(&up));
    assert!((lead.at(down).unwrap() - 12.5).abs() < TOLERANCE && (lead.at(up).unwrap() - 12.5).abs() < TOLERANCE);
    assert_eq!(lead.crossings(12.0), [Crossing::At(10.0)]);
    assert_eq!(lead.crossings(13.5), [Crossing::At(14.0)]);
    assert_eq!(lead.crossings(11.9), []);
}

#[test]
fn a_flat_stretch_is_one_crossing_from_end_to_end() {
    let points = [(4.0, 1.0), (6.0, 2.0), (8.0, 2.0), (11.0, 2.0), (14.0, 3.0)];
    for between in [Between::Monotone, Between::Linear] {
        assert_eq!(curve(&points, between).crossings(2.0), [Crossing::Along(6.0, 11.0)]);
    }
    let step = curve(&points, Between::Step);
    assert_eq!(step.crossings(2.0), [Crossing::Along(5.0, 12.5)]);
    assert_eq!(step.crossings(1.5), [], "a jump is never at a value it jumps over");
    assert_eq!(monotone(&points[..1]).crossings(1.0), [Crossing::At(4.0)]);
}

#[test]
fn the_extremes_of_a_stretch_include_a_turn_inside_it() {
    let lead = monotone(&LEAD);
    assert_eq!(lead.extremes(0.0, 20.0), Some([(10.0, 12.0), (14.0, 13.5)]));
    let [lowest, highest] = lead.extremes(7.0, 9.0).unwrap();
    assert_eq!((lowest.0, highest.0), (9.0, 7.0));
    assert_eq!(lead.extremes(14.5, 20.0), None);
    let step = curve(&LEAD, Between::Step);
    assert_eq!(step.extremes(8.0, 11.0), Some([(8.0, 12.0), (8.0, 12.0)]), "at 8 the jump has been made");
}

fn any_between() -> impl Strategy<Value = Between> {
    prop_oneof![Just(Between::Monotone), Just(Between::Linear), Just(Between::Step)]
}

fn any_points() -> impl Strategy<Value = Vec<(f64, f64)>> {
    // Whole eighths make flats and exact ties likely; the widths go from very near to far apart.
    let value = prop_oneof![-8i32..=8, -160i32..=160].prop_map(|eighths| f64::from(eighths) / 8.0);
    let width = prop_oneof![0.01..0.1f64, 0.5..8.0f64, 50.0..500.0f64];
    prop::collection::vec((width, value), 1..=12).prop_map(|steps| {
        let mut x = 0.0;
        steps
            .into_iter()
            .map(|(width, y)| {
                x += width;
                (x, y)
            })
            .collect()
    })
}

proptest! {
    #[test]
    fn a_curve_never_leaves_the_range_of_its_two_known_neighbours(
        points in any_points(), between in any_between(), part in 0.0..=1.0f64,
    ) {
        let curve = curve(&points, between);
        for pair in points.windows(2) {
            let x = pair[0].0 + part * (pair[1].0 - pair[0].0);
            let value = curve.at(x.min(pair[1].0)).unwrap();
            prop_assert!(value >= pair[0].1.min(pair[1].1) && value <= pair[0].1.max(pair[1].1));
        }
    }

    #[test]
    fn a_curve_goes_one_way_only_between_two_known_points(
        points in any_points(), between in any_between(), a in 0.0..=1.0f64, b in 0.0..=1.0f64,
    ) {
        let curve = curve(&points, between);
        for pair in points.windows(2) {
            let at = |part: f64| curve.at((pair[0].0 + part * (pair[1].0 - pair[0].0)).min(pair[1].0)).unwrap();
            let rise = (pair[1].1 - pair[0].1).signum() * (at(a.max(b)) - at(a.min(b)));
            prop_assert!(rise >= -1e-12, "{pair:?} runs back by {rise}");
        }
    }

    #[test]
    fn known_points_come_back_as_they_are(points in any_points(), between in any_between()) {
        let curve = curve(&points, between);
        for (x, y) in &points {
            prop_assert_eq!(curve.at(*x), Some(*y));
        }
    }

    #[test]
    fn every_crossing_stands_at_its_level_and_none_is_missed(points in any_points(), level in -10.0..10.0f64) {
        let curve = monotone(&points);
        let found = curve.crossings(level);
        for crossing in &found {
            let Crossing::At(x) = crossing else { continue };
            prop_assert!((curve.at(*x).unwrap() - level).abs() < 1e-9);
        }
        let passed = points.windows(2).filter(|pair| (pair[0].1 < level) != (pair[1].1 < level)).count();
        prop_assert!(found.len() >= passed, "{} of {passed}", found.len());
    }
}
