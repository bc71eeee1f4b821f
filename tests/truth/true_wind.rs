//! The true wind worked out of the apparent one, held to cases in closed form and to a sum of vectors on the compass.

use approx::assert_abs_diff_eq;
use cockpit_cards::season::true_wind::{RelativeWind, from_apparent};
use cockpit_cards::tuning::{BoatSpeed, Wind};
use proptest::prelude::*;

/// Twelve figures are more than any instrument has.
const EXACT: f64 = 1e-12;

fn true_wind(felt_kn: f64, from_deg: f64, boat_kn: f64) -> (f64, f64) {
    let felt = RelativeWind { speed: Wind::knots(felt_kn), from_deg };
    let wind = from_apparent(felt, BoatSpeed::knots(boat_kn));
    (wind.speed.to_knots(), wind.from_deg)
}

#[test]
fn a_boat_that_is_stopped_feels_the_true_wind() {
    for (speed, angle) in [(12.0, 42.0), (7.5, -95.0), (20.0, 180.0), (3.0, 0.0)] {
        let (wind, from) = true_wind(speed, angle, 0.0);
        assert_abs_diff_eq!(wind, speed, epsilon = EXACT);
        assert_abs_diff_eq!(from, angle, epsilon = EXACT);
    }
}

#[test]
fn no_wind_over_the_deck_is_a_wind_from_astern_as_fast_as_the_boat() {
    let (wind, from) = true_wind(0.0, 0.0, 6.4);
    assert_abs_diff_eq!(wind, 6.4, epsilon = EXACT);
    assert_abs_diff_eq!(from.abs(), 180.0, epsilon = EXACT);
}

#[test]
fn dead_downwind_speeds_add_up() {
    let (wind, from) = true_wind(8.0, 180.0, 6.0);
    assert_abs_diff_eq!(wind, 14.0, epsilon = EXACT);
    assert_abs_diff_eq!(from.abs(), 180.0, epsilon = EXACT);
}

#[test]
fn head_to_wind_and_making_way_the_boats_speed_comes_off() {
    let (wind, from) = true_wind(8.0, 0.0, 6.0);
    assert_abs_diff_eq!(wind, 2.0, epsilon = EXACT);
    assert_abs_diff_eq!(from, 0.0, epsilon = EXACT);
}

#[test]
fn a_wind_abeam_makes_the_triangle_of_3_4_and_5() {
    // 5 kn felt, of which 4 are the boat's own from ahead and 3 come from abeam.
    for side in [1.0, -1.0] {
        let (wind, from) = true_wind(5.0, side * 3.0f64.atan2(4.0).to_degrees(), 4.0);
        assert_abs_diff_eq!(wind, 3.0, epsilon = EXACT);
        assert_abs_diff_eq!(from, side * 90.0, epsilon = EXACT);
    }
}

#[test]
fn a_calm_that_a_boat_motors_through_is_no_wind() {
    assert_abs_diff_eq!(true_wind(5.0, 0.0, 5.0).0, 0.0, epsilon = EXACT);
}

/// A vector on the compass: north and east.
fn towards(bearing_deg: f64, length: f64) -> (f64, f64) {
    (length * bearing_deg.to_radians().cos(), length * bearing_deg.to_radians().sin())
}

proptest! {
    /// The wind over the deck is the wind over the water less the boat's way, each as a vector on the compass.
    #[test]
    fn the_wind_that_was_on_the_compass_comes_back(
        wind_kn in 0.5..60.0f64, wind_from in 0.0..360.0f64, boat_kn in 0.0..25.0f64, heading in 0.0..360.0f64,
    ) {
        let wind = towards(wind_from + 180.0, wind_kn);
        let boat = towards(heading, boat_kn);
        let felt = (wind.0 - boat.0, wind.1 - boat.1);
        let felt_kn = (felt.0 * felt.0 + felt.1 * felt.1).sqrt();
        prop_assume!(felt_kn > 0.01);
        let felt_from = felt.1.atan2(felt.0).to_degrees() + 180.0;
        let (speed, from) = true_wind(felt_kn, felt_from - heading, boat_kn);
        prop_assert!((speed - wind_kn).abs() < 1e-9, "{speed} kn for {wind_kn}");
        let off = (from - (wind_from - heading)).rem_euclid(360.0);
        prop_assert!(off.min(360.0 - off) < 1e-6, "{from}° on {heading}° in a wind from {wind_from}°");
    }

    /// The law of cosines, which the square of the true wind also follows.
    #[test]
    fn the_square_follows_the_law_of_cosines(felt in 0.0..60.0f64, angle in -180.0..180.0f64, boat in 0.0..25.0f64) {
        let square = felt * felt + boat * boat - 2.0 * felt * boat * angle.to_radians().cos();
        prop_assert!((true_wind(felt, angle, boat).0.powi(2) - square).abs() < 1e-9);
    }
}
