//! The statistics behind a season, against SciPy and statsmodels, published experiments and what they promise.

use approx::assert_relative_eq;
use cockpit_cards::season::blocked::{Blocked, Scatter};
use cockpit_cards::season::{chauvenet, effective_size, holm, lowess, students_t};
use proptest::prelude::*;
use serde::Deserialize;

/// As near as two ways of the same sums come.
const SAME: f64 = 1e-10;
/// As near as two libraries come in the tails of a distribution.
const NEAR: f64 = 1e-8;

/// Values of SciPy and statsmodels, written by `tests/reference/season.py`.
#[derive(Deserialize)]
struct Reference {
    chauvenet: Vec<Chauvenet>,
    alikeness: Vec<Series>,
    students_t: StudentsT,
    holm: Vec<Holm>,
    blocks: Vec<Blocks>,
    paired: Paired,
    lowess: Vec<Lowess>,
}

#[derive(Deserialize)]
struct Chauvenet {
    values: Vec<f64>,
    stay: Vec<bool>,
}

#[derive(Deserialize)]
struct Series {
    series: Vec<Option<f64>>,
    alikeness: f64,
    size: f64,
    standard_error: f64,
}

#[derive(Deserialize)]
struct StudentsT {
    two_sided: Vec<(usize, f64, f64)>,
    quantiles: Vec<(usize, f64, f64)>,
}

#[derive(Deserialize)]
struct Holm {
    p: Vec<f64>,
    level: f64,
    hold: Vec<bool>,
}

#[derive(Deserialize)]
struct Blocks {
    name: String,
    trials: Vec<Vec<f64>>,
    freedom: usize,
    deviation: f64,
    pairs: Vec<Pair>,
}

#[derive(Deserialize)]
struct Pair {
    of: usize,
    over: usize,
    by: f64,
    standard_error: f64,
    p: f64,
    interval: (f64, f64),
}

#[derive(Deserialize)]
struct Paired {
    trials: Vec<Vec<f64>>,
    t: f64,
    p: f64,
    freedom: usize,
}

#[derive(Deserialize)]
struct Lowess {
    name: String,
    points: Vec<(f64, f64)>,
    share: f64,
    times: usize,
    apart: f64,
    line: Vec<f64>,
}

fn reference() -> Reference {
    serde_json::from_str(include_str!("../reference/season.json")).unwrap()
}

#[test]
fn chauvenets_criterion_drops_what_scipys_error_function_says() {
    let cases = reference().chauvenet;
    assert!(
        cases.iter().any(|case| case.stay.contains(&false)) && cases.iter().any(|case| !case.stay.contains(&false))
    );
    for Chauvenet { values, stay } in cases {
        assert_eq!(chauvenet::stay(&values), stay, "{values:?}");
    }
}

/// n′ = n(1 − ρ)/(1 + ρ): Zwiers & von Storch 1995, read in a public copy.
#[test]
fn alikeness_of_neighbours_equals_statsmodels_with_gaps_and_without() {
    let cases = reference().alikeness;
    assert!(cases.iter().any(|case| case.series.contains(&None)));
    for Series { series, alikeness, size, standard_error } in cases {
        assert_relative_eq!(effective_size::alikeness(&series), alikeness, epsilon = SAME);
        let known = series.iter().flatten().count();
        assert_relative_eq!(effective_size::effective_size(known, alikeness), size, epsilon = SAME);
        assert_relative_eq!(effective_size::standard_error(&series).unwrap(), standard_error, epsilon = SAME);
    }
}

#[test]
fn of_a_series_that_says_nothing_neighbours_are_not_alike() {
    assert_eq!(effective_size::alikeness(&[]), 0.0);
    assert_eq!(effective_size::alikeness(&[Some(4.0); 5]), 0.0);
    assert_eq!(effective_size::alikeness(&[Some(4.0), None, Some(5.0)]), 0.0);
    assert_eq!(
        effective_size::alikeness(&[Some(4.0), Some(5.0), Some(4.0), Some(5.0)]),
        0.0,
        "they differ more than strangers"
    );
    assert_eq!(effective_size::standard_error(&[Some(4.0)]), None);
}

#[test]
fn students_distribution_equals_scipy() {
    let StudentsT { two_sided, quantiles } = reference().students_t;
    for (freedom, t, p) in two_sided {
        assert_relative_eq!(students_t::two_sided(t, freedom), p, max_relative = NEAR);
        assert_eq!(students_t::two_sided(-t, freedom), students_t::two_sided(t, freedom));
    }
    for (freedom, below, value) in quantiles {
        assert_relative_eq!(students_t::quantile(below, freedom).unwrap(), value, max_relative = NEAR, epsilon = NEAR);
    }
    assert_eq!(students_t::two_sided(3.0, 0), 1.0);
    assert_eq!(students_t::quantile(0.95, 0), None);
}

/// Worked in the reference manual of a statistics package, from a public copy: at 0.05 the third and the last are rejected.
#[test]
fn holms_worked_example_rejects_the_third_and_the_last() {
    let p = [0.50, 0.01, 0.001, 0.69, 0.02, 0.05, 0.0025];
    assert_eq!(holm::hold(&p, 0.05), [false, false, true, false, false, false, true]);
}

#[test]
fn holms_correction_equals_statsmodels() {
    let cases = reference().holm;
    assert!(cases.iter().any(|case| case.hold.contains(&true)));
    for Holm { p, level, hold } in cases {
        assert_eq!(holm::hold(&p, level), hold, "{p:?}");
    }
    assert_eq!(holm::hold(&[f64::NAN, 0.001], 0.05), [false, true], "what is no number holds nothing");
}

/// Barley: Immer, Hayes and Powers 1934, *Statistical determination of barley varietal adaptation*, J. Am. Soc. Agron. 26,
/// as the data sets of R carry it (its title from memory). Sleep: Student 1908, likewise. The analysis is Fisher's of 1935
/// (from memory).
#[test]
fn randomised_blocks_equal_ordinary_least_squares_on_barley_sleep_and_made_up_trials() {
    let cases = reference().blocks;
    assert_eq!((cases[0].name.as_str(), cases[0].trials.len(), cases[0].pairs.len()), ("barley", 6, 10));
    for Blocks { name, trials, freedom, deviation, pairs } in cases {
        let blocked = Blocked::new(&trials).unwrap();
        let scatter = Scatter::pooled([&blocked]).unwrap();
        assert_eq!(scatter.freedom, freedom, "{name}");
        assert_relative_eq!(scatter.deviation, deviation, max_relative = SAME);
        let half = scatter.half_width(trials.len(), 0.95).unwrap();
        for pair in pairs {
            let differences = blocked.differences(scatter);
            let ours = differences.iter().find(|ours| (ours.of, ours.over) == (pair.of, pair.over)).unwrap();
            assert_relative_eq!(ours.by, pair.by, max_relative = NEAR);
            assert_relative_eq!(ours.standard_error, pair.standard_error, max_relative = NEAR);
            assert_relative_eq!(ours.p, pair.p, max_relative = NEAR);
            assert_relative_eq!(ours.by - half, pair.interval.0, max_relative = NEAR);
            assert_relative_eq!(ours.by + half, pair.interval.1, max_relative = NEAR);
        }
    }
}

/// Student's own ten patients: t = 4.0621 on 9 degrees of freedom, p = 0.002833, as the manual of R prints it (from memory).
#[test]
fn two_ways_make_students_paired_test() {
    let Paired { trials, t, p, freedom } = reference().paired;
    let blocked = Blocked::new(&trials).unwrap();
    let scatter = Scatter::pooled([&blocked]).unwrap();
    let difference = blocked.differences(scatter)[0];
    assert_eq!((scatter.freedom, freedom), (9, 9));
    assert_relative_eq!(difference.by / difference.standard_error, t, max_relative = SAME);
    assert_relative_eq!(difference.p, p, max_relative = NEAR);
    assert_relative_eq!(t, 4.0621, epsilon = 5e-5);
    assert_relative_eq!(p, 0.002833, epsilon = 5e-7);
}

#[test]
fn one_trial_or_one_way_or_a_gap_is_no_experiment() {
    assert_eq!(Blocked::new(&[]), None);
    assert_eq!(Blocked::new(&[vec![1.0, 2.0]]), None);
    assert_eq!(Blocked::new(&[vec![1.0], vec![2.0]]), None);
    assert_eq!(Blocked::new(&[vec![1.0, 2.0], vec![1.0]]), None);
    let without_scatter = Blocked::new(&[vec![1.0, 2.0], vec![3.0, 4.0]]).unwrap();
    assert_eq!(Scatter::pooled([&without_scatter]), None, "no scatter was measured, so nothing can be held against it");
}

/// Cars: Ezekiel 1930, *Methods of Correlation Analysis*, as the data sets of R carry it (its title from memory, and
/// Cleveland 1979 as well).
#[test]
fn the_smooth_line_equals_statsmodels_on_cars_and_on_made_up_winds() {
    for Lowess { name, points, share, times, apart, line } in reference().lowess {
        let ours = lowess::line(&points, lowess::Options { share, times, apart });
        for (ours, theirs) in ours.into_iter().zip(line) {
            assert!((ours.unwrap() - theirs).abs() <= NEAR * theirs.abs(), "{name}: {ours:?} for {theirs}");
        }
    }
}

#[test]
fn the_smooth_line_of_few_points_or_none_is_still_a_line() {
    let line = |points: &[(f64, f64)]| lowess::line(points, lowess::Options::default());
    assert!(line(&[]).is_empty());
    assert_eq!(line(&[(4.0, 7.0)]), [Some(7.0)]);
    assert_eq!(line(&[(4.0, 7.0), (f64::NAN, 9.0)]), [Some(7.0), None]);
    assert_eq!(line(&[(4.0, 7.0); 6]), [Some(7.0); 6]);
}

proptest! {
    /// What a day or a helm adds to every way alike is no difference between them.
    #[test]
    fn what_moves_a_whole_trial_changes_no_difference(
        trials in proptest::collection::vec(proptest::array::uniform3(-5.0..5.0_f64), 2..12),
        days in proptest::array::uniform12(-40.0..40.0_f64),
    ) {
        let plain: Vec<Vec<f64>> = trials.iter().map(|trial| trial.to_vec()).collect();
        let moved: Vec<Vec<f64>> = plain.iter().zip(days).map(|(trial, day)| trial.iter().map(|y| y + day).collect()).collect();
        let [plain, moved] = [plain, moved].map(|trials| Blocked::new(&trials).unwrap());
        prop_assert!((plain.squares - moved.squares).abs() < 1e-6);
        prop_assert!(((plain.means[2] - plain.means[0]) - (moved.means[2] - moved.means[0])).abs() < 1e-9);
    }

    /// A straight line is its own smooth line, wild points left out of it.
    #[test]
    fn the_smooth_line_through_a_straight_one_is_that(
        places in proptest::collection::vec(0.0..20.0_f64, 4..40), level in -5.0..5.0_f64, slope in -2.0..2.0_f64,
    ) {
        let points: Vec<(f64, f64)> = places.iter().map(|place| (*place, level + slope * place)).collect();
        for (height, (_, own)) in lowess::line(&points, lowess::Options::default()).into_iter().zip(points) {
            prop_assert!((height.unwrap() - own).abs() < 1e-6);
        }
    }
}
