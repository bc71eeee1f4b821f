//! Crew below: righting moments, the triangle of winds, and the wind to read a card at, against cases by hand.

use approx::assert_relative_eq;
use cockpit_cards::length::Length;
use cockpit_cards::tuning::heel::{Heel, Heels};
use cockpit_cards::tuning::righting::{
    Basis, Bunks, Course, Crew, Group, GzCurve, Hull, Lever, Post, ReadAt, RightingError, Row, RowWind, Station,
    apparent_wind, righting_moment, true_wind, wind_to_read_at,
};
use cockpit_cards::tuning::{Angle, Between, BoatSpeed, Curve, Wind};
use proptest::prelude::*;

const EXACT: f64 = 1e-12;

const fn kn(knots: f64) -> Wind {
    Wind::knots(knots)
}

fn course(boat_speed_kn: f64, true_wind_angle_deg: f64) -> Course {
    Course { boat_speed: BoatSpeed::knots(boat_speed_kn), true_wind_angle: Angle::degrees(true_wind_angle_deg) }
}

fn station(to_windward_m: f64, above_m: f64) -> Station {
    Station { to_windward: Length::metres(to_windward_m), above: Length::metres(above_m) }
}

fn gm_hull(displacement_kg: f64, gm_m: f64) -> Hull {
    Hull { displacement_kg, lever: Lever::Gm(Length::metres(gm_m)) }
}

fn gz_hull(displacement_kg: f64, table: &[(f64, f64)]) -> Hull {
    let table: Vec<(f64, Length)> = table.iter().map(|(heel_deg, gz)| (*heel_deg, Length::metres(*gz))).collect();
    Hull { displacement_kg, lever: Lever::Gz(GzCurve::new(&table).unwrap()) }
}

/// A crew of our own invention.
fn crew(aboard: u32) -> Crew {
    Crew {
        aboard,
        mass_each_kg: 80.0,
        rail: station(1.6, 1.0),
        windward_bunks: station(1.0, 0.2),
        centre_bunks: station(0.0, 0.2),
        leeward_bunks: station(-1.0, 0.2),
    }
}

/// A row at the heel that is the limit.
fn limited(wind: RowWind, heel_deg: f64) -> Row {
    Row { wind, heel_deg, limit_deg: heel_deg, reached_at: None }
}

fn close_hauled(true_wind_kn: f64) -> Row {
    let course = course(6.5, 42.0);
    limited(RowWind::True { speed: kn(true_wind_kn), course: Some(course) }, 20.0)
}

fn read_at(hull: &Hull, crew: &Crew, below: u32, bunks: Bunks, row: Row) -> Result<ReadAt, RightingError> {
    wind_to_read_at(hull, &crew.all_up(), &crew.with_below(below, bunks)?, row, None)
}

fn wind_to_read(hull: &Hull, crew: &Crew, below: u32, bunks: Bunks, row: Row) -> Result<f64, RightingError> {
    read_at(hull, crew, below, bunks, row).map(|reading| reading.wind.to_knots())
}

// Righting moments.

#[test]
fn a_weight_moved_across_a_ship_lists_her_as_the_textbook_says() {
    // Barrass & Derrett, Ship Stability for Masters and Mates, 6th ed., exercise 14.4: 1500 t, KG 2.7 m, KM 3.1 m, 10 t
    // moved 10 m across list her 9° 27′. She lies where nothing rights and nothing heels: the moment changes sign there.
    let ship = gm_hull(1_500_000.0, 3.1 - 2.7);
    let moved = [Group { post: Post::Rail, people: 1.0, mass_each_kg: 10_000.0, station: station(-10.0, 0.0) }];
    let moment = |degrees, minutes| {
        righting_moment(&ship, &moved, degrees + minutes / 60.0).map(|moment| moment.total_nm()).unwrap()
    };
    // The book gives whole minutes.
    assert!(moment(9.0, 27.0) < 0.0, "{}", moment(9.0, 27.0));
    assert!(moment(9.0, 28.0) > 0.0, "{}", moment(9.0, 28.0));
}

#[test]
fn the_way_to_move_a_weight_for_a_list_is_as_the_textbook_says() {
    // The same, exercise 14.2: 4515 t, GM 0.4 m, 15 t moved to list her 2°: 4.2 m.
    let ship = gm_hull(4_515_000.0, 0.4);
    let moment = |across_m: f64| {
        let moved = [Group { post: Post::Rail, people: 1.0, mass_each_kg: 15_000.0, station: station(-across_m, 0.0) }];
        righting_moment(&ship, &moved, 2.0).unwrap().total_nm()
    };
    assert!(moment(4.15) > 0.0);
    assert!(moment(4.25) < 0.0);
}

#[test]
fn a_gm_boat_at_thirty_degrees_comes_out_as_by_hand() {
    // sin 30° = ½: 6000 kg · 9.80665 m/s² · 1.2 m · ½ = 35 303.94 N·m. Eight of 80 kg, 1.6 m out and 1 m up:
    // 640 kg · 9.80665 · (1.6·√3/2 − ½) = 5 558.4 N·m.
    let moment = righting_moment(&gm_hull(6000.0, 1.2), &crew(8).all_up(), 30.0).unwrap();
    assert_relative_eq!(moment.hull_nm, 35_303.94, max_relative = EXACT);
    assert_relative_eq!(moment.crew_nm, 640.0 * 9.80665 * (0.8 * 3_f64.sqrt() - 0.5), max_relative = EXACT);
    assert_relative_eq!(moment.total_nm(), 40_862.4, epsilon = 1.0);
}

#[test]
fn a_gz_table_holds_at_its_points_and_between_them_never_leaves_its_neighbours() {
    let hull = gz_hull(5000.0, &[(0.0, 0.0), (10.0, 0.21), (20.0, 0.40), (30.0, 0.55), (40.0, 0.52)]);
    let lever = |heel| righting_moment(&hull, &[], heel).unwrap().total_nm() / (5000.0 * 9.80665);
    for (heel, gz) in [(0.0, 0.0), (10.0, 0.21), (30.0, 0.55), (40.0, 0.52)] {
        assert_relative_eq!(lever(heel), gz, max_relative = EXACT);
    }
    assert!((0.21..0.40).contains(&lever(15.0)) && (0.52..0.55).contains(&lever(35.0)));
}

// Winds.

#[test]
fn the_triangle_of_winds_is_right_where_everyone_knows_the_answer() {
    let on = course;
    assert_relative_eq!(apparent_wind(kn(10.0), on(6.0, 0.0)).to_knots(), 16.0, max_relative = EXACT);
    assert_relative_eq!(apparent_wind(kn(10.0), on(6.0, 180.0)).to_knots(), 4.0, max_relative = EXACT);
    assert_relative_eq!(apparent_wind(kn(4.0), on(3.0, 90.0)).to_knots(), 5.0, max_relative = EXACT);
    // Equal sides with 120° between them, tail to head.
    assert_relative_eq!(apparent_wind(kn(10.0), on(10.0, 60.0)).to_knots(), 10.0 * 3_f64.sqrt(), max_relative = EXACT);
    assert_relative_eq!(apparent_wind(kn(12.0), on(0.0, 40.0)).to_knots(), 12.0, max_relative = EXACT);
}

#[test]
fn no_true_wind_is_made_up_where_none_makes_the_apparent_one() {
    let course = course(6.0, 40.0);
    // In a calm the apparent wind is the boat speed; ahead of the beam, it cannot be less.
    assert_relative_eq!(true_wind(kn(6.0), course).unwrap().to_knots(), 0.0, epsilon = EXACT);
    assert_eq!(true_wind(kn(5.9), course), None);
    assert_eq!(true_wind(kn(1.0), course), None);
}

// The wind to read the card at.

/// A hull that rights nothing, so that the crew's arms alone make the ratio.
fn crew_alone() -> (Hull, Crew) {
    let amidships = station(0.0, 0.0);
    let crew = Crew {
        aboard: 8,
        mass_each_kg: 75.0,
        rail: station(1.5, 0.0),
        windward_bunks: station(0.75, 0.0),
        centre_bunks: amidships,
        leeward_bunks: station(-0.75, 0.0),
    };
    (gm_hull(4000.0, 0.0), crew)
}

#[test]
fn half_the_righting_moment_makes_the_apparent_wind_feel_root_two_stronger() {
    let (hull, crew) = crew_alone();
    // 3, 4, 5 across the wind: A = 5, A′ = 5·√2, W′ = √(50 − 9).
    let abeam = course(3.0, 90.0);
    let row = limited(RowWind::True { speed: kn(4.0), course: Some(abeam) }, 15.0);
    let reading = read_at(&hull, &crew, 4, Bunks::Centre, row).unwrap();
    assert_relative_eq!(reading.factor, 2_f64.sqrt(), max_relative = EXACT);
    assert_relative_eq!(reading.wind.to_knots(), 41_f64.sqrt(), max_relative = EXACT);
    assert_eq!(reading.basis, Basis::ApparentFromTargets);

    // Head to wind all is along one line: W′ = √2·(W + V) − V.
    let ahead = course(6.0, 0.0);
    let row = limited(RowWind::True { speed: kn(10.0), course: Some(ahead) }, 15.0);
    let reading = read_at(&hull, &crew, 4, Bunks::Centre, row).unwrap();
    assert_relative_eq!(reading.wind.to_knots(), 16.0 * 2_f64.sqrt() - 6.0, max_relative = EXACT);
}

#[test]
fn without_targets_the_ratio_goes_on_the_true_wind_and_the_answer_says_so() {
    let (hull, crew) = crew_alone();
    // Four of eight at half the arm: three quarters of the moment.
    let row = limited(RowWind::True { speed: kn(12.0), course: None }, 15.0);
    let reading = read_at(&hull, &crew, 4, Bunks::Windward, row).unwrap();
    assert_relative_eq!(reading.wind.to_knots(), 12.0 * (4.0_f64 / 3.0).sqrt(), max_relative = EXACT);
    assert_eq!(reading.basis, Basis::TrueWindOnly);
}

#[test]
fn a_table_by_apparent_wind_takes_the_ratio_as_it_is() {
    let (hull, crew) = crew_alone();
    let row = limited(RowWind::Apparent { speed: kn(18.0) }, 15.0);
    let reading = read_at(&hull, &crew, 4, Bunks::Centre, row).unwrap();
    assert_relative_eq!(reading.wind.to_knots(), 18.0 * 2_f64.sqrt(), max_relative = EXACT);
    assert_eq!(reading.basis, Basis::Apparent);
}

#[test]
fn a_whole_case_worked_by_hand_comes_out_the_same() {
    // 6000 kg with 0.50 m of GZ at 20°, eight of 80 kg, three in the leeward bunks; 14 kn, 6.5 kn at 42°.
    // sin 20° = 0.342020, cos 20° = 0.939693; m·g = 784.532 N; hull 6000·9.80665·0.50 = 29 419.95 N·m.
    // Rail: 1.6·0.939693 − 1.0·0.342020 = 1.161488 m; leeward: −0.939693 − 0.2·0.342020 = −1.008097 m.
    // RM_full = 29 419.95 + 8·784.532·1.161488 = 36 709.75; RM_now = 29 419.95 + 784.532·(5·1.161488 − 3·1.008097)
    // = 31 603.42; √(RM_full/RM_now) = 1.077764. A² = 196 + 42.25 + 182·0.743145 = 373.5024: A = 19.3262, A′ = 20.8291;
    // V·sin 42° = 4.349349, V·cos 42° = 4.830441; W′ = √(433.8510 − 18.9168) − 4.8304 = 15.5395.
    let hull = gz_hull(6000.0, &[(0.0, 0.0), (20.0, 0.50), (30.0, 0.66)]);
    let reading = read_at(&hull, &crew(8), 3, Bunks::Leeward, close_hauled(14.0)).unwrap();
    assert_relative_eq!(reading.then.total_nm(), 36_709.75, epsilon = 0.05);
    assert_relative_eq!(reading.now.total_nm(), 31_603.42, epsilon = 0.05);
    assert_relative_eq!(reading.acting.to_knots(), 19.3262, epsilon = 1e-4);
    assert_relative_eq!(reading.wind.to_knots(), 15.5395, epsilon = 1e-4);
}

#[test]
fn with_nobody_below_or_nobody_aboard_the_wind_is_the_wind() {
    let hull = gm_hull(6000.0, 1.2);
    for row in [close_hauled(14.3), limited(RowWind::True { speed: kn(14.3), course: None }, 20.0)] {
        for bunks in Bunks::ALL {
            assert_eq!(read_at(&hull, &crew(8), 0, bunks, row).unwrap().wind.to_knots(), 14.3);
            assert_eq!(read_at(&hull, &crew(0), 0, bunks, row).unwrap().wind.to_knots(), 14.3);
        }
    }
}

#[test]
fn thick_air_makes_the_wind_stronger_and_thin_air_takes_it_away() {
    let (hull, crew) = crew_alone();
    let row = limited(RowWind::Apparent { speed: kn(20.0) }, 15.0);
    let read =
        |factor| wind_to_read_at(&hull, &crew.all_up(), &crew.all_up(), row, Some(factor)).unwrap().wind.to_knots();
    assert_relative_eq!(read(1.05), 21.0, max_relative = EXACT);
    assert_eq!(read(1.0), 20.0);
    // Thin air takes away from what those below cost, and never from the wind that blows.
    let below = crew.with_below(4, Bunks::Centre).unwrap();
    let thin = wind_to_read_at(&hull, &crew.all_up(), &below, row, Some(0.95)).unwrap().wind.to_knots();
    assert_relative_eq!(thin, 20.0 * 2_f64.sqrt() * 0.95, max_relative = EXACT);
    assert_eq!(read(0.95), 20.0);
}

#[test]
fn the_working_leads_from_the_book_to_the_answer() {
    let reading = read_at(&gm_hull(6000.0, 1.2), &crew(8), 4, Bunks::Windward, close_hauled(14.0)).unwrap();
    let steps = reading.steps();
    let value = |finds: &str| steps.iter().find(|step| step.finds == finds).map(|step| step.value).unwrap();
    let hull = value("displacement, Δ") * value("acceleration of gravity, g") * 1.2 * 20_f64.to_radians().sin();
    assert_relative_eq!(value("righting moment of the hull, as sailed"), hull, max_relative = EXACT);
    let crew = value("righting moment of the crew, as sailed");
    assert_relative_eq!(value("RM_then"), hull + crew, max_relative = EXACT);
    assert_relative_eq!(value("heeling moment, H"), hull + crew, max_relative = EXACT);
    let now = value("righting moment of the hull, now") + value("righting moment of the crew, now");
    assert_relative_eq!(value("RM_now"), now, max_relative = EXACT);
    let factor = (value("heeling moment, H") / value("RM_now")).sqrt();
    assert_relative_eq!(value("factor on the wind"), factor, max_relative = EXACT);
    let felt = value("apparent wind, A") * factor;
    assert_relative_eq!(value("apparent wind as she feels it, A′"), felt, max_relative = EXACT);
    assert_eq!(steps.last().map(|step| (step.finds, step.value)), Some(("read the card at", reading.wind.to_knots())));
    assert!(steps.iter().any(|step| step.printed() == "9.807 m/s²"));
}

// How far she heels.

#[test]
fn a_heel_is_never_stretched_to_lighter_winds_nor_to_stronger_ones_short_of_the_limit() {
    let at = |known: &[(f64, f64)], from: Option<f64>, wind: f64| {
        let known = known.iter().map(|(wind, heel)| (kn(*wind), *heel)).collect();
        Heels::new(known, 18.0, from.map(kn)).and_then(|heels| heels.at(kn(wind)))
    };
    let known = |degrees| Some(Heel { degrees, reached_at: None });
    // One heel past the limit.
    let one = [(14.0, 20.0)];
    assert_eq!([5.0, 13.9, 14.0, 30.0].map(|wind| at(&one, None, wind)), [None, None, known(20.0), known(20.0)]);
    // Heels short of it say nothing of more wind.
    let light = [(6.0, 9.0), (10.0, 14.0)];
    assert_eq!([5.0, 6.0, 10.0, 10.1].map(|wind| at(&light, None, wind)), [None, known(9.0), known(14.0), None]);
    // The wind from which she is limited is one more known heel, and counts whatever the targets say.
    assert_eq!(at(&light, Some(13.0), 13.0), known(18.0));
    assert_eq!(at(&light, Some(13.0), 25.0), known(18.0));
    assert_eq!(at(&light, Some(8.0), 10.0), known(18.0));
    assert_eq!(at(&light, Some(13.0), 5.0), None);
    assert_eq!(at(&[], Some(12.0), 9.0), Some(Heel { degrees: 18.0, reached_at: Some(kn(12.0)) }));
    assert_eq!(at(&one, Some(12.0), 9.0), Some(Heel { degrees: 18.0, reached_at: Some(kn(12.0)) }));
    assert!(at(&one, Some(12.0), 13.0).is_some_and(|heel| heel.degrees > 18.0 && heel.degrees < 20.0));
    assert_eq!(at(&[], None, 12.0), None);
}

// From nothing to the whole correction, without a jump.

#[test]
fn a_tenth_of_a_degree_at_the_limit_is_worth_no_more_than_a_tenth_of_a_knot() {
    let hull = gm_hull(6000.0, 1.2);
    let at = |heel_deg| {
        let row = Row { heel_deg, limit_deg: 18.0, ..close_hauled(14.0) };
        wind_to_read(&hull, &crew(8), 5, Bunks::Leeward, row).unwrap()
    };
    // With a step at the limit these were two knots and more apart.
    assert!(at(18.0) - 14.0 > 2.0, "{}", at(18.0));
    assert!((at(18.0) - at(17.9)).abs() < 0.1 && (at(18.1) - at(18.0)).abs() < 0.1, "{} {}", at(17.9), at(18.0));
    assert_eq!(at(5.0), 14.0);
}

#[test]
fn nothing_changes_below_the_heel_at_which_today_s_crew_reaches_the_limit() {
    // By hand, with all of the crew on the centreline when below: RM = g·(4000 kg·1 m·sin φ + n·75 kg·1.5 m·cos φ). She
    // reaches the limit where eight on the rail make at the row's heel what four make at 20°, found here by halving.
    let (_, crew) = crew_alone();
    let hull = gm_hull(4000.0, 1.0);
    let moment = |heel_deg: f64, up: f64| {
        let phi = heel_deg.to_radians();
        9.806_65 * (4000.0 * phi.sin() + up * 75.0 * 1.5 * phi.cos())
    };
    let read = |heel_deg| {
        let row = Row { wind: RowWind::Apparent { speed: kn(20.0) }, heel_deg, limit_deg: 20.0, reached_at: None };
        wind_to_read(&hull, &crew, 4, Bunks::Centre, row).unwrap()
    };
    let (mut low, mut high) = (0.0, 20.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if moment(middle, 8.0) < moment(20.0, 4.0) { low = middle } else { high = middle }
    }
    assert_eq!(read(low - 1e-9), 20.0);
    assert!(read(high + 1e-9) > 20.0);
    assert_relative_eq!(read(20.0), 20.0 * (moment(20.0, 8.0) / moment(20.0, 4.0)).sqrt(), max_relative = EXACT);
    assert_relative_eq!(read(24.0), 20.0 * (moment(24.0, 8.0) / moment(24.0, 4.0)).sqrt(), max_relative = EXACT);
}

#[test]
fn under_full_sail_the_moment_goes_with_the_square_of_the_wind() {
    let (hull, crew) = crew_alone();
    // Limited from 20 kn on; half the arm is left. k² = 2·(w/20)², so k leaves 1 at 20/√2 kn.
    let read = |wind_kn: f64| {
        let reached_at = Some(RowWind::Apparent { speed: kn(20.0) });
        let row = Row { wind: RowWind::Apparent { speed: kn(wind_kn) }, heel_deg: 15.0, limit_deg: 15.0, reached_at };
        wind_to_read(&hull, &crew, 4, Bunks::Centre, row).unwrap()
    };
    let root_two = 2_f64.sqrt();
    assert_eq!(read(14.0), 14.0);
    assert_relative_eq!(read(16.0), 16.0 * root_two * 16.0 / 20.0, max_relative = EXACT);
    assert_relative_eq!(read(20.0), 20.0 * root_two, max_relative = EXACT);
}

#[test]
fn a_row_sailed_with_part_of_the_crew_on_the_rail_has_that_in_it_already() {
    let hull = gm_hull(6000.0, 1.2);
    let read = |up, below| {
        let then = crew(8).with_up(up, Bunks::Windward);
        let now = crew(8).with_below(below, Bunks::Windward).unwrap();
        wind_to_read_at(&hull, &then, &now, close_hauled(14.0), None).unwrap().wind.to_knots()
    };
    assert_eq!(read(4.0, 4), 14.0);
    assert!(read(8.0, 4) > read(6.0, 4) && read(6.0, 4) > 14.0);
    // With more on the rail than then she could carry more, and the card stays what was sailed.
    assert_eq!(read(4.0, 0), 14.0);
}

/// SciPy's curves and root finder; written by tests/reference/crew_below.py, its version in the file.
const REFERENCE: &str = include_str!("../reference/crew_below.json");
/// Knots. The root finder is asked for 1e-13.
const AGREEMENT_KN: f64 = 1e-9;

/// A pair of numbers.
fn pairs(value: &serde_json::Value) -> Vec<(f64, f64)> {
    serde_json::from_value(value.clone()).unwrap()
}

/// The row of one case at one wind, and the crew now.
struct Reference {
    hull: Hull,
    crew: Crew,
    now: Vec<Group>,
    heels: Heels,
    limit_deg: f64,
    speed: Curve,
    angle: Angle,
}

impl Reference {
    fn of(case: &serde_json::Value) -> Reference {
        let (boat, row) = (&case["boat"], &case["row"]);
        let number = |value: &serde_json::Value| value.as_f64().unwrap();
        let place = |value: &serde_json::Value| station(number(&value[0]), number(&value[1]));
        let bunks = place(&boat["bunks"]);
        let across = |sign: f64| Station { to_windward: bunks.to_windward * sign, ..bunks };
        let crew = Crew {
            aboard: number(&boat["aboard"]) as u32,
            mass_each_kg: number(&boat["mass"]),
            rail: place(&boat["rail"]),
            windward_bunks: bunks,
            centre_bunks: across(0.0),
            leeward_bunks: across(-1.0),
        };
        let side = Bunks::ALL.into_iter().find(|side| Some(side.word()) == case["bunks"].as_str()).unwrap();
        let limit_deg = number(&boat["limit"]);
        let heels = pairs(&row["heel"]).into_iter().map(|(wind, heel)| (kn(wind), heel)).collect();
        Reference {
            hull: gz_hull(number(&boat["displacement"]), &pairs(&boat["gz"])),
            crew,
            now: crew.with_below(number(&case["below"]) as u32, side).unwrap(),
            heels: Heels::new(heels, limit_deg, row["limited_from"].as_f64().map(kn)).unwrap(),
            limit_deg,
            speed: Curve::new(pairs(&row["speed"]), Between::Monotone).unwrap(),
            angle: Angle::degrees(number(&row["angle"])),
        }
    }

    fn wind(&self, speed: Wind) -> RowWind {
        let boat_speed = BoatSpeed::knots(self.speed.at_or_nearest(speed.to_knots()).unwrap());
        RowWind::True { speed, course: Some(Course { boat_speed, true_wind_angle: self.angle }) }
    }

    fn read_at(&self, wind_kn: f64) -> ReadAt {
        let heel = self.heels.at(kn(wind_kn)).unwrap();
        let reached_at = heel.reached_at.map(|wind| self.wind(wind));
        let row = Row { wind: self.wind(kn(wind_kn)), heel_deg: heel.degrees, limit_deg: self.limit_deg, reached_at };
        wind_to_read_at(&self.hull, &self.crew.all_up(), &self.now, row, None).unwrap()
    }
}

#[test]
fn winds_to_read_at_are_the_roots_that_scipy_finds() {
    let reference: serde_json::Value = serde_json::from_str(REFERENCE).unwrap();
    let (mut winds, mut starts) = (0, 0);
    for case in reference["cases"].as_array().unwrap() {
        let known = Reference::of(case);
        for (wind, expected) in pairs(&case["read_at"]) {
            let off = (known.read_at(wind).wind.to_knots() - expected).abs();
            assert!(off < AGREEMENT_KN, "{case} at {wind} kn: off by {off:e}");
            winds += 1;
        }
        let Some(starts_at) = case["starts_at"].as_f64() else { continue };
        assert!(!known.read_at(starts_at - AGREEMENT_KN).changes(), "{case}");
        assert!(known.read_at(starts_at + AGREEMENT_KN).changes(), "{case}");
        starts += 1;
    }
    assert_eq!((winds, starts > 20), (1170, true), "{starts}");
}

// What is refused.

#[test]
fn a_heel_beyond_the_gz_table_is_refused_with_the_table_s_ends() {
    let hull = gz_hull(6000.0, &[(5.0, 0.1), (20.0, 0.5), (30.0, 0.66)]);
    for heel_deg in [30.1, -20.0, f64::NAN] {
        let row = Row { heel_deg, limit_deg: heel_deg, ..close_hauled(14.0) };
        let error = read_at(&hull, &crew(8), 2, Bunks::Centre, row).unwrap_err();
        assert!(matches!(error, RightingError::HeelBeyondTable { first_deg: 5.0, last_deg: 30.0, .. }), "{error:?}");
        assert!(error.what().contains("from 5 to 30°"), "{}", error.what());
    }
}

#[test]
fn a_boat_that_nothing_rights_is_refused() {
    let heavy_to_leeward = read_at(&gm_hull(300.0, 0.1), &crew(8), 8, Bunks::Leeward, close_hauled(14.0));
    assert!(
        matches!(heavy_to_leeward, Err(RightingError::NothingRights { people_below: 8, moment_nm, .. }) if moment_nm < 0.0)
    );
    let upright = Row { heel_deg: 0.0, limit_deg: 0.0, ..close_hauled(14.0) };
    let nobody = read_at(&gm_hull(6000.0, 1.2), &crew(0), 0, Bunks::Centre, upright);
    assert!(matches!(nobody, Err(RightingError::NothingRights { moment_nm: 0.0, .. })), "{nobody:?}");
}

#[test]
fn more_below_than_aboard_is_refused() {
    let error = crew(6).with_below(7, Bunks::Centre).unwrap_err();
    assert_eq!(error, RightingError::MoreBelowThanAboard { below: 7, aboard: 6 });
    assert_eq!(error.instead(), "write a number from 0 to 6");
}

#[test]
fn numbers_that_no_boat_has_are_refused_by_name() {
    let good = (gm_hull(6000.0, 1.2), crew(8), close_hauled(14.0));
    let refused = |hull: &Hull, crew: &Crew, row: Row| {
        let error = read_at(hull, crew, 2, Bunks::Centre, row).unwrap_err();
        match error {
            RightingError::Bad { quantity, .. } => quantity,
            other => panic!("{other:?}"),
        }
    };
    let sail = |speed_kn, boat_speed_kn, true_wind_angle_deg| {
        let course = Some(course(boat_speed_kn, true_wind_angle_deg));
        limited(RowWind::True { speed: kn(speed_kn), course }, 20.0)
    };
    assert_eq!(refused(&gm_hull(0.0, 1.2), &good.1, good.2), "displacement");
    assert_eq!(refused(&gm_hull(f64::INFINITY, 1.2), &good.1, good.2), "displacement");
    assert_eq!(refused(&gm_hull(6000.0, f64::NAN), &good.1, good.2), "GM");
    assert_eq!(refused(&good.0, &Crew { mass_each_kg: -1.0, ..good.1 }, good.2), "mass of a person");
    assert_eq!(refused(&good.0, &Crew { rail: station(f64::NAN, 0.0), ..good.1 }, good.2), "distance of a person");
    assert_eq!(refused(&good.0, &good.1, Row { heel_deg: 90.0, ..good.2 }), "heel");
    assert_eq!(refused(&good.0, &good.1, sail(0.0, 6.0, 40.0)), "wind");
    assert_eq!(refused(&good.0, &good.1, sail(14.0, -1.0, 40.0)), "boat speed");
    assert_eq!(refused(&good.0, &good.1, sail(14.0, 6.0, 91.0)), "true wind angle");
}

#[test]
fn a_gz_table_out_of_order_or_upside_down_is_refused() {
    let table = |points: &[(f64, f64)]| {
        let points: Vec<(f64, Length)> = points.iter().map(|(heel, gz)| (*heel, Length::metres(*gz))).collect();
        GzCurve::new(&points)
    };
    assert_eq!(table(&[(0.0, 0.0), (20.0, 0.5), (20.0, 0.6)]), Err(RightingError::TableOutOfOrder));
    assert_eq!(table(&[(30.0, 0.5), (20.0, 0.6)]), Err(RightingError::TableOutOfOrder));
    assert_eq!(table(&[]), Err(RightingError::TableOutOfOrder));
    assert!(matches!(table(&[(0.0, 0.0), (200.0, 0.6)]), Err(RightingError::Bad { quantity: "heel", .. })));
    assert_eq!(table(&[(0.0, 0.0), (20.0, f64::NAN)]), Err(RightingError::TableOutOfOrder));
}

prop_compose! {
    /// Hulls and crews as there are. The rail is so much further out than any bunk that it rights more, high as it is.
    fn boats()(
        displacement_kg in 1500.0..20_000.0_f64,
        gm_m in 0.8..2.0_f64,
        aboard in 1..16_u32,
        mass_each_kg in 50.0..110.0_f64,
        further_out_m in 0.5..1.0_f64,
        bunk_m in 0.2..1.1_f64,
        rail_up_m in 0.4..1.1_f64,
        bunk_up_m in 0.0..0.4_f64,
    ) -> (Hull, Crew) {
        let crew = Crew {
            aboard,
            mass_each_kg,
            rail: station(bunk_m + further_out_m, rail_up_m),
            windward_bunks: station(bunk_m, bunk_up_m),
            centre_bunks: station(0.0, bunk_up_m),
            leeward_bunks: station(-bunk_m, bunk_up_m),
        };
        (gm_hull(displacement_kg, gm_m), crew)
    }
}

prop_compose! {
    /// Upwind, at the heel of a keelboat that is sailed well.
    fn rows()(speed_kn in 6.0..30.0_f64, boat_speed_kn in 4.0..9.0_f64, angle in 32.0..60.0_f64, heel_deg in 5.0..20.0_f64)
        -> Row
    {
        let course = course(boat_speed_kn, angle);
        limited(RowWind::True { speed: kn(speed_kn), course: Some(course) }, heel_deg)
    }
}

proptest! {
    #[test]
    fn true_wind_and_apparent_wind_lead_back_to_each_other(
        wind in 0.0..60.0_f64, boat_speed_kn in 0.0..20.0_f64, true_wind_angle_deg in 0.0..90.0_f64,
    ) {
        let course = course(boat_speed_kn, true_wind_angle_deg);
        let back = true_wind(apparent_wind(kn(wind), course), course).unwrap_or(Wind::CALM).to_knots();
        // Near a calm the last bits of the boat speed are all there is.
        prop_assert!((back - wind).abs() < 1e-6, "{wind} came back as {back}");
    }

    #[test]
    fn the_more_sleep_below_the_more_wind_she_feels((hull, crew) in boats(), row in rows()) {
        for bunks in Bunks::ALL {
            let winds: Result<Vec<f64>, _> =
                (0..=crew.aboard).map(|below| wind_to_read(&hull, &crew, below, bunks, row)).collect();
            // A light boat with a heavy crew to leeward may not right herself: then there is nothing to compare.
            let Ok(winds) = winds else { prop_assume!(false); unreachable!() };
            prop_assert!(winds.windows(2).all(|pair| pair[0] < pair[1]), "{bunks:?}: {winds:?}");
        }
    }

    #[test]
    fn the_wind_to_read_at_never_jumps_over_wind_heel_or_crew(
        (hull, crew) in boats(), row in rows(), limit_deg in 5.0..25.0_f64, part in 0.0..1.0_f64, which in 0..4_usize,
        full_sail in any::<bool>(),
    ) {
        /// A step so small that whatever is continuous cannot move by more than a thousandth of a knot over it.
        const STEP: f64 = 1e-7;
        let reached_at = full_sail.then_some(RowWind::True { speed: kn(30.0), course: None });
        let row = Row { limit_deg, reached_at, ..row };
        let read = |step: f64| {
            let grow = |index: usize| if index == which { step } else { 0.0 };
            let RowWind::True { speed, course } = row.wind else { unreachable!() };
            let row = Row {
                wind: RowWind::True { speed: kn(speed.to_knots() + grow(0)), course },
                heel_deg: row.heel_deg + grow(1),
                limit_deg: row.limit_deg + grow(2),
                ..row
            };
            let now = crew.with_up(f64::from(crew.aboard) * part + grow(3), Bunks::Leeward);
            wind_to_read_at(&hull, &crew.all_up(), &now, row, None).map(|reading| reading.wind.to_knots())
        };
        let (Ok(before), Ok(after)) = (read(0.0), read(STEP)) else { prop_assume!(false); unreachable!() };
        // A boat that hardly rights herself feels any wind without bound.
        prop_assume!(before < 100.0);
        prop_assert!((after - before).abs() < 1e-3, "{before} and {after}");
        let RowWind::True { speed, .. } = row.wind else { unreachable!() };
        prop_assert!(before >= speed.to_knots());
    }

    #[test]
    fn windward_bunks_cost_least_and_leeward_bunks_most((hull, crew) in boats(), row in rows(), part in 0.0..1.0_f64) {
        let below = 1 + (part * f64::from(crew.aboard - 1)) as u32;
        let winds: Result<Vec<f64>, _> =
            Bunks::ALL.into_iter().map(|bunks| wind_to_read(&hull, &crew, below, bunks, row)).collect();
        let Ok(winds) = winds else { prop_assume!(false); unreachable!() };
        prop_assert!(winds[0] < winds[1] && winds[1] < winds[2], "{winds:?}");
    }

    #[test]
    fn without_targets_the_wind_to_read_at_is_never_higher((hull, crew) in boats(), row in rows()) {
        let RowWind::True { speed, .. } = row.wind else { unreachable!() };
        let bare = Row { wind: RowWind::True { speed, course: None }, ..row };
        let read = |row| read_at(&hull, &crew, crew.aboard / 2, Bunks::Windward, row).map(|reading| reading.wind.to_knots());
        let (Ok(with), Ok(without)) = (read(row), read(bare)) else { prop_assume!(false); unreachable!() };
        prop_assert!(without <= with + 1e-9, "{without} without, {with} with targets");
    }

    #[test]
    fn no_number_makes_it_panic_or_answer_with_a_number_that_is_none(
        numbers in prop::array::uniform8(prop_oneof![prop::num::f64::ANY, prop::num::f64::POSITIVE, 0.0..90.0_f64]),
        below in 0..20_u32,
    ) {
        let [displacement, gm, mass, out, up, wind, boat_speed_kn, heel_deg] = numbers;
        let at = station(out, up);
        let crew = Crew {
            aboard: 12, mass_each_kg: mass, rail: at, windward_bunks: at, centre_bunks: at, leeward_bunks: at,
        };
        let course = course(boat_speed_kn, heel_deg);
        let row = limited(RowWind::True { speed: kn(wind), course: Some(course) }, heel_deg);
        match read_at(&gm_hull(displacement, gm), &crew, below, Bunks::Leeward, row) {
            Ok(reading) => {
                prop_assert!(reading.wind.to_knots().is_finite(), "{reading:?}");
                prop_assert!(!reading.steps().is_empty());
            }
            Err(error) => prop_assert!(!error.what().is_empty() && !error.instead().is_empty()),
        }
    }
}
