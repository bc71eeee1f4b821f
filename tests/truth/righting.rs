//! Crew below: righting moments, the triangle of winds, and the wind to read a card at, against cases by hand.

use approx::assert_relative_eq;
use cockpit_cards::length::Length;
use cockpit_cards::tuning::righting::{
    Basis, Bunks, Course, Crew, Group, GzCurve, Hull, Lever, Post, ReadAt, RightingError, Row, RowWind, Station,
    apparent_wind, righting_moment, true_wind, wind_to_read_at,
};
use cockpit_cards::tuning::{Angle, BoatSpeed, Wind};
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

fn close_hauled(true_wind_kn: f64) -> Row {
    let course = course(6.5, 42.0);
    Row { wind: RowWind::True { speed: kn(true_wind_kn), course: Some(course) }, heel_deg: 20.0 }
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
    let moved = [Group { post: Post::Rail, people: 1, mass_each_kg: 10_000.0, station: station(-10.0, 0.0) }];
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
        let moved = [Group { post: Post::Rail, people: 1, mass_each_kg: 15_000.0, station: station(-across_m, 0.0) }];
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
    let row = Row { wind: RowWind::True { speed: kn(4.0), course: Some(abeam) }, heel_deg: 15.0 };
    let reading = read_at(&hull, &crew, 4, Bunks::Centre, row).unwrap();
    assert_relative_eq!(reading.factor, 2_f64.sqrt(), max_relative = EXACT);
    assert_relative_eq!(reading.wind.to_knots(), 41_f64.sqrt(), max_relative = EXACT);
    assert_eq!(reading.basis, Basis::ApparentFromTargets);

    // Head to wind all is along one line: W′ = √2·(W + V) − V.
    let ahead = course(6.0, 0.0);
    let row = Row { wind: RowWind::True { speed: kn(10.0), course: Some(ahead) }, heel_deg: 15.0 };
    let reading = read_at(&hull, &crew, 4, Bunks::Centre, row).unwrap();
    assert_relative_eq!(reading.wind.to_knots(), 16.0 * 2_f64.sqrt() - 6.0, max_relative = EXACT);
}

#[test]
fn without_targets_the_ratio_goes_on_the_true_wind_and_the_answer_says_so() {
    let (hull, crew) = crew_alone();
    // Four of eight at half the arm: three quarters of the moment.
    let row = Row { wind: RowWind::True { speed: kn(12.0), course: None }, heel_deg: 15.0 };
    let reading = read_at(&hull, &crew, 4, Bunks::Windward, row).unwrap();
    assert_relative_eq!(reading.wind.to_knots(), 12.0 * (4.0_f64 / 3.0).sqrt(), max_relative = EXACT);
    assert_eq!(reading.basis, Basis::TrueWindOnly);
}

#[test]
fn a_table_by_apparent_wind_takes_the_ratio_as_it_is() {
    let (hull, crew) = crew_alone();
    let row = Row { wind: RowWind::Apparent { speed: kn(18.0) }, heel_deg: 15.0 };
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
    assert_relative_eq!(reading.full.total_nm(), 36_709.75, epsilon = 0.05);
    assert_relative_eq!(reading.now.total_nm(), 31_603.42, epsilon = 0.05);
    assert_relative_eq!(reading.acting.to_knots(), 19.3262, epsilon = 1e-4);
    assert_relative_eq!(reading.wind.to_knots(), 15.5395, epsilon = 1e-4);
}

#[test]
fn with_nobody_below_or_nobody_aboard_the_wind_is_the_wind() {
    let hull = gm_hull(6000.0, 1.2);
    for row in [close_hauled(14.3), Row { wind: RowWind::True { speed: kn(14.3), course: None }, heel_deg: 20.0 }] {
        for bunks in Bunks::ALL {
            assert_eq!(read_at(&hull, &crew(8), 0, bunks, row).unwrap().wind.to_knots(), 14.3);
            assert_eq!(read_at(&hull, &crew(0), 0, bunks, row).unwrap().wind.to_knots(), 14.3);
        }
    }
}

#[test]
fn thick_air_makes_the_wind_stronger_and_thin_air_takes_it_away() {
    let (hull, crew) = crew_alone();
    let row = Row { wind: RowWind::Apparent { speed: kn(20.0) }, heel_deg: 15.0 };
    let read =
        |factor| wind_to_read_at(&hull, &crew.all_up(), &crew.all_up(), row, Some(factor)).unwrap().wind.to_knots();
    assert_relative_eq!(read(1.05), 21.0, max_relative = EXACT);
    assert_relative_eq!(read(0.95), 19.0, max_relative = EXACT);
    assert_eq!(read(1.0), 20.0);
}

#[test]
fn the_working_leads_from_the_book_to_the_answer() {
    let reading = read_at(&gm_hull(6000.0, 1.2), &crew(8), 4, Bunks::Windward, close_hauled(14.0)).unwrap();
    let steps = reading.steps();
    let value = |finds: &str| steps.iter().find(|step| step.finds == finds).map(|step| step.value).unwrap();
    let hull = value("displacement, Δ") * value("acceleration of gravity, g") * 1.2 * 20_f64.to_radians().sin();
    assert_relative_eq!(value("righting moment of the hull"), hull, max_relative = EXACT);
    assert_relative_eq!(value("RM_full"), hull + value("righting moment of the crew, all up"), max_relative = EXACT);
    assert_relative_eq!(value("RM_now"), hull + value("righting moment of the crew, now"), max_relative = EXACT);
    let factor = (value("RM_full") / value("RM_now")).sqrt();
    assert_relative_eq!(value("factor on the wind"), factor, max_relative = EXACT);
    let felt = value("apparent wind, A") * factor;
    assert_relative_eq!(value("apparent wind as she feels it, A′"), felt, max_relative = EXACT);
    assert_eq!(steps.last().map(|step| (step.finds, step.value)), Some(("read the card at", reading.wind.to_knots())));
    assert!(steps.iter().any(|step| step.printed() == "9.807 m/s²"));
}

// What is refused.

#[test]
fn a_heel_beyond_the_gz_table_is_refused_with_the_table_s_ends() {
    let hull = gz_hull(6000.0, &[(5.0, 0.1), (20.0, 0.5), (30.0, 0.66)]);
    for heel_deg in [4.9, 30.1, -20.0, f64::NAN] {
        let row = Row { heel_deg, ..close_hauled(14.0) };
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
    let upright = Row { heel_deg: 0.0, ..close_hauled(14.0) };
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
    let sail = |speed_kn, boat_speed_kn, true_wind_angle_deg| Row {
        wind: RowWind::True { speed: kn(speed_kn), course: Some(course(boat_speed_kn, true_wind_angle_deg)) },
        heel_deg: 20.0,
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
        Row { wind: RowWind::True { speed: kn(speed_kn), course: Some(course) }, heel_deg }
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
        let row = Row { wind: RowWind::True { speed: kn(wind), course: Some(course) }, heel_deg };
        match read_at(&gm_hull(displacement, gm), &crew, below, Bunks::Leeward, row) {
            Ok(reading) => {
                prop_assert!(reading.wind.to_knots().is_finite(), "{reading:?}");
                prop_assert!(!reading.steps().is_empty());
            }
            Err(error) => prop_assert!(!error.what().is_empty() && !error.instead().is_empty()),
        }
    }
}
