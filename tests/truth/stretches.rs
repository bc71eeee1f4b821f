//! Controls that are not used everywhere: what is known on one side of such a place is never told on the other.

use cockpit_cards::length::Length;
use cockpit_cards::tuning::angled::KnownAt;
use cockpit_cards::tuning::{
    Angle, AngledStretches, Axis, Band, Between, Column, Figure, Fineness, Ground, Known, Scale, ScaleKind, Setting,
    Stretches, Told, Wind,
};
use proptest::prelude::*;

/// Winds that rows stand at, knots; every scan runs past them on both sides.
const WINDS: [f64; 9] = [5.0, 7.0, 8.5, 10.0, 13.0, 16.0, 17.0, 20.0, 26.0];
const ANGLES: [f64; 5] = [50.0, 62.0, 75.0, 90.0, 120.0];
/// A tenth of a knot.
const STEP: f64 = 0.1;

fn marks() -> Scale {
    let kind = ScaleKind::Even { first: -40, last: 40, spacing: Length::mm(20.0), purchase: 1.0 };
    Scale { kind, fineness: Fineness::Halves }
}

/// What a row has: nothing, `none`, or a reading in halves.
fn recorded() -> impl Strategy<Value = Option<Option<f64>>> {
    prop_oneof![1 => Just(None), 2 => Just(Some(None)), 5 => (0_i32..30).prop_map(|halves| Some(Some(f64::from(halves) / 2.0)))]
}

fn ways() -> impl Strategy<Value = Between> {
    prop::sample::select(vec![Between::Monotone, Between::Linear, Between::Step])
}

type Rows = Vec<(f64, Option<f64>)>;

/// The rows that say something.
fn told(rows: &[Option<Option<f64>>], at: &[f64]) -> Rows {
    at.iter().zip(rows).filter_map(|(at, row)| Some((*at, (*row)?))).collect()
}

fn known<A: Axis>(rows: &Rows, of: fn(f64) -> A) -> Vec<Known<A>> {
    let known =
        |(at, reading): &(f64, Option<f64>)| Some(Known { at: of(*at), reading: (*reading)?, ground: Ground::Sailed });
    rows.iter().filter_map(known).collect()
}

fn stretches(rows: &Rows, between: Between) -> Stretches {
    let not_used = rows.iter().filter(|row| row.1.is_none()).map(|row| Wind::knots(row.0)).collect();
    Stretches::new(marks(), known(rows, Wind::knots), not_used, between).expect("rows that rise")
}

/// The rows next to a wind, a row at just it twice.
fn neighbours(rows: &Rows, wind: f64) -> (Option<usize>, Option<usize>) {
    (rows.iter().rposition(|row| row.0 <= wind + 1e-9), rows.iter().position(|row| row.0 >= wind - 1e-9))
}

/// The rows around one that are known without a `none` between them.
fn run(rows: &Rows, of: usize) -> Rows {
    let is_used = |row: &&(f64, Option<f64>)| row.1.is_some();
    let before: Rows = rows[..of].iter().rev().take_while(is_used).copied().collect();
    before.into_iter().rev().chain(rows[of..].iter().take_while(is_used).copied()).collect()
}

/// What should be told at a wind, by the rows beside it alone.
fn expected(rows: &Rows, between: Between, wind: f64) -> Told<Setting> {
    let column = |of: usize| Column::new(marks(), known(&run(rows, of), Wind::knots), between).expect("a run");
    match neighbours(rows, wind) {
        (Some(below), Some(above)) if below == above && rows[below].1.is_none() => Told::NotUsed,
        (Some(below), Some(above)) if rows[below].1.is_none() || rows[above].1.is_none() => Told::Unknown,
        (Some(near), _) | (None, Some(near)) => match rows[near].1 {
            Some(_) => Told::Set(column(near).at(Wind::knots(wind))),
            None => Told::Unknown,
        },
        (None, None) => Told::Unknown,
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn a_scan_finds_just_what_the_rows_on_its_own_side_of_a_none_say(
        rows in prop::collection::vec(recorded(), WINDS.len()), between in ways(),
    ) {
        let rows = told(&rows, &WINDS);
        let stretches = stretches(&rows, between);
        for step in 0..320 {
            let wind = f64::from(step) * STEP;
            let (found, expected) = (stretches.at(Wind::knots(wind)), expected(&rows, between, wind));
            prop_assert_eq!(found, expected, "at {}: {:?}", wind, rows);
        }
    }

    #[test]
    fn whatever_was_set_across_a_none_changes_nothing_on_this_side(
        rows in prop::collection::vec(recorded(), WINDS.len()),
        others in prop::collection::vec(recorded(), WINDS.len()),
        at in 1..WINDS.len() - 1,
        between in ways(),
    ) {
        let mut rows = rows;
        rows[at] = Some(None);
        let mut changed = rows.clone();
        changed[at + 1..].clone_from_slice(&others[at + 1..]);
        let (rows, changed) = (told(&rows, &WINDS), told(&changed, &WINDS));
        let (one, other) = (stretches(&rows, between), stretches(&changed, between));
        for step in 0..=(WINDS[at] / STEP) as u32 {
            let wind = Wind::knots(f64::from(step) * STEP);
            prop_assert_eq!(one.at(wind), other.at(wind), "at {:?}", wind);
        }
        for low in [4.0, 6.0, 9.0] {
            let band = Band::new(Wind::knots(low), Wind::knots(WINDS[at].max(low + 1.0).min(low + 4.0)));
            if band.high <= Wind::knots(WINDS[at]) {
                prop_assert_eq!(one.in_band(band), other.in_band(band));
            }
        }
    }

    #[test]
    fn a_band_tells_every_none_in_it_and_every_part_of_it_that_is_not_known(
        rows in prop::collection::vec(recorded(), WINDS.len()), between in ways(), low in 0_u32..24, width in 1_u32..8,
    ) {
        let rows = told(&rows, &WINDS);
        let stretches = stretches(&rows, between);
        let band = Band::new(Wind::knots(f64::from(low)), Wind::knots(f64::from(low + width)));
        let found = stretches.in_band(band);
        let in_band = |row: &&(f64, Option<f64>)| band.holds(Wind::knots(row.0));
        let nones: Vec<Wind> =
            rows.iter().filter(in_band).filter(|row| row.1.is_none()).map(|row| Wind::knots(row.0)).collect();
        prop_assert_eq!(&found.not_used, &nones);
        let scan: Vec<(Wind, Told<Setting>)> = (0..width * 10)
            .map(|step| Wind::knots(f64::from(low) + f64::from(step) * STEP))
            .map(|wind| (wind, stretches.at(wind)))
            .collect();
        let is_known = |told: &Told<Setting>| told.set().is_some_and(|setting| setting.ground != Ground::Outside);
        let known: Vec<Setting> = scan.iter().filter(|one| is_known(&one.1)).filter_map(|one| one.1.set()).collect();
        match &found.told {
            Told::Set(setting) if setting.ground == Ground::Outside => {
                prop_assert!(known.is_empty() && scan.iter().all(|one| one.1.set().is_some()), "{:?}", rows);
            }
            Told::Set(setting) => {
                // Rounding, and what lies between two winds of the scan: no curve is steeper than three times its steepest chord.
                let chords = rows.windows(2).filter_map(|pair| Some((pair[1].1? - pair[0].1?) / (pair[1].0 - pair[0].0)));
                let steepest = chords.map(f64::abs).fold(0.0, f64::max);
                let (first, last) = setting.figure.ends();
                for mark in [first, last] {
                    let near = |setting: &Setting| (setting.exact - mark).abs() < 0.6 + 3.0 * steepest * STEP;
                    prop_assert!(known.iter().any(near), "{} of {:?} in {:?}", mark, rows, band);
                }
                for (wind, told) in &scan {
                    let is_told = found.unknown.iter().any(|(low, high)| *low <= *wind && *wind < *high);
                    let is_none = nones.iter().any(|none| none.is_at(*wind));
                    if *told == Told::Unknown {
                        prop_assert!(is_told, "{:?} of {:?} in {:?}", wind, rows, found);
                    } else if found.unknown.iter().any(|(low, high)| *low < *wind && *wind < *high) {
                        prop_assert!(is_none, "{:?} of {:?} in {:?}", wind, rows, found);
                    }
                }
            }
            Told::NotUsed => prop_assert!(known.is_empty() && !nones.is_empty(), "{:?}", rows),
            Told::Unknown => prop_assert!(known.is_empty() && nones.is_empty(), "{:?}", rows),
        }
    }

    #[test]
    fn nothing_is_told_from_across_a_none_by_wind_and_angle(
        rows in prop::collection::vec(recorded(), 3 * ANGLES.len()),
        others in prop::collection::vec(recorded(), ANGLES.len()),
        at in 1..ANGLES.len() - 1,
        between in ways(),
    ) {
        // A wall of `none` across every wind: what stands at broader angles cannot matter at closer ones.
        let mut rows: Vec<_> = rows.chunks(ANGLES.len()).map(<[_]>::to_vec).collect();
        rows.iter_mut().for_each(|row| row[at] = Some(None));
        let mut changed = rows.clone();
        changed.iter_mut().for_each(|row| row[at + 1..].clone_from_slice(&others[at + 1..]));
        let (one, other) = (angled(&rows, between), angled(&changed, between));
        for wind in [6.0, 8.0, 11.0, 14.0, 18.0].map(Wind::knots) {
            for step in 0..=100 {
                let angle = Angle::degrees(40.0 + (ANGLES[at] - 40.0) * f64::from(step) / 100.0);
                prop_assert_eq!(one.at(wind, angle), other.at(wind, angle), "{:?}, {:?}", wind, angle);
            }
            let cell = Band::new(Angle::degrees(45.0), Angle::degrees(ANGLES[at]));
            let winds = Band::new(wind, Wind::knots(wind.to_knots() + 3.0));
            prop_assert_eq!(one.in_cell(winds, cell), other.in_cell(winds, cell));
        }
    }

    #[test]
    fn every_figure_of_a_cell_is_a_setting_that_is_known_in_it(
        rows in prop::collection::vec(recorded(), 3 * ANGLES.len()), between in ways(),
        low in 5_u32..16, close in 45_u32..100,
    ) {
        let rows: Vec<_> = rows.chunks(ANGLES.len()).map(<[_]>::to_vec).collect();
        let angled = angled(&rows, between);
        let winds = Band::new(Wind::knots(f64::from(low)), Wind::knots(f64::from(low + 4)));
        let angles = Band::new(Angle::degrees(f64::from(close)), Angle::degrees(f64::from(close + 20)));
        let found = angled.in_cell(winds, angles).expect("a cell");
        let mut scan = Vec::new();
        for wind in 0..40 {
            for angle in 0..80 {
                let at = (Wind::knots(f64::from(low) + f64::from(wind) * STEP), f64::from(close) + f64::from(angle) / 4.0);
                scan.push(angled.at(at.0, Angle::degrees(at.1)).expect("finite"));
            }
        }
        let set: Vec<f64> = scan.iter().filter_map(|told| Some(told.set()?.exact)).collect();
        match found.told {
            Told::Set(setting) => {
                let (first, last) = setting.figure.ends();
                let (least, most) = set.iter().fold((f64::MAX, f64::MIN), |ends, one| (ends.0.min(*one), ends.1.max(*one)));
                for mark in [first, last] {
                    prop_assert!(least - 0.75 <= mark && mark <= most + 0.75, "{} of {}..{}", mark, least, most);
                }
            }
            Told::NotUsed | Told::Unknown => {
                // One wind of it at most is known, at the edge of what is not.
                let inside = scan.chunks(80).map(|of_wind| of_wind.iter().filter_map(|told| told.set()));
                let inside = inside.filter(|of_wind| of_wind.clone().any(|one| one.ground != Ground::Outside));
                prop_assert!(inside.count() <= 1, "{:?} in {:?}, {:?}", found, winds, angles);
                let is_held = |row: KnownAt| winds.holds(row.wind) && angles.holds(row.known.at);
                prop_assert!(!angled.known().any(is_held), "{:?} in {:?}, {:?}", rows, winds, angles);
            }
        }
    }
}

/// Rows at 8, 12 and 16 kn.
fn angled(rows: &[Vec<Option<Option<f64>>>], between: Between) -> AngledStretches {
    let (mut known, mut not_used) = (Vec::new(), Vec::new());
    for (wind, row) in [8.0, 12.0, 16.0].map(Wind::knots).into_iter().zip(rows) {
        for (angle, row) in told(row, &ANGLES) {
            let at = Angle::degrees(angle);
            match row {
                Some(reading) => known.push(KnownAt { wind, known: Known { at, reading, ground: Ground::Sailed } }),
                None => not_used.push((wind, at)),
            }
        }
    }
    AngledStretches::new(marks(), &known, &not_used, between).expect("rows that rise")
}

#[test]
fn a_control_used_everywhere_is_told_as_its_one_curve_tells_it() {
    let rows = vec![(6.0, Some(1.0)), (10.0, Some(3.0)), (16.0, Some(2.0))];
    let column = Column::new(marks(), known(&rows, Wind::knots), Between::Monotone).expect("a column");
    let stretches = stretches(&rows, Between::Monotone);
    let band = Band::new(Wind::knots(8.0), Wind::knots(12.0));
    assert_eq!(stretches.in_band(band).told, Told::Set(column.in_band(band)));
    assert_eq!(stretches.whole().expect("one curve").known(), column.known());
    assert!(stretches.changes().eq(column.changes()));
}

#[test]
fn a_wind_at_which_it_is_not_used_parts_two_curves_and_their_changes() {
    let rows = vec![(6.0, Some(1.0)), (10.0, Some(3.0)), (12.0, None), (16.0, Some(5.0)), (20.0, Some(6.0))];
    let stretches = stretches(&rows, Between::Monotone);
    assert_eq!(stretches.columns().len(), 2);
    // Nothing changes from 3 to 5: nobody knows what is between them.
    assert!(stretches.changes().all(|change| change.to <= 3.0 || change.from >= 5.0));
    let told = stretches.in_band(Band::new(Wind::knots(8.0), Wind::knots(18.0)));
    assert_eq!(told.not_used, vec![Wind::knots(12.0)]);
    assert_eq!(told.unknown, vec![(Wind::knots(10.0), Wind::knots(16.0))]);
}

#[test]
fn a_cell_is_told_by_the_part_of_its_winds_that_is_known_though_its_middle_is_not() {
    // At 8 kn nobody knows more than 75°, at 12 kn nothing from 62° to 90°: of the cell 90° alone is known, from halfway
    // between the two winds.
    let mut rows = vec![vec![None; ANGLES.len()]; 3];
    rows[0][2] = Some(Some(1.0));
    (rows[1][1], rows[1][3]) = (Some(None), Some(Some(4.0)));
    let winds = Band::new(Wind::knots(7.0), Wind::knots(11.0));
    let angles = Band::new(Angle::degrees(76.0), Angle::degrees(96.0));
    let stepped = angled(&rows, Between::Step).in_cell(winds, angles).expect("a cell");
    let setting = stepped.told.set().expect("a setting");
    assert_eq!((setting.figure, setting.ground), (Figure::One(4.0), Ground::Between));
    assert!(stepped.is_in_part);
    // A curve between what is known and what is not tells nothing of the winds between them.
    let curved = angled(&rows, Between::Linear).in_cell(winds, angles).expect("a cell");
    assert_eq!((curved.told, curved.is_in_part), (Told::Unknown, false));
}
