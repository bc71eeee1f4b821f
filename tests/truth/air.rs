//! The density of moist air, against a real-gas equation of state and the standard atmosphere.

use approx::assert_relative_eq;
use cockpit_cards::tuning::air::Air;
use proptest::prelude::*;

/// CoolProp's humid air; written by tests/reference/moist_air.py, its version in the file.
const REFERENCE: &str = include_str!("../reference/moist_air.json");
/// What the module promises in all the weather it accepts.
const AGREEMENT: f64 = 2e-4;
/// Where CIPM-2007 is meant to be used, 15 to 27 °C, the two agree as well as the constants they start from.
const AGREEMENT_INDOORS: f64 = 5e-5;

/// There, what moisture takes away: the share of the constants falls out of the ratio of moist to dry.
const AGREEMENT_ON_MOISTURE: f64 = 4e-6;

fn air(temperature_c: f64, pressure_hpa: f64, relative_humidity_percent: f64) -> Air {
    Air { temperature_c, pressure_hpa, relative_humidity_percent }
}

fn density(temperature_c: f64, pressure_hpa: f64, relative_humidity_percent: f64) -> f64 {
    air(temperature_c, pressure_hpa, relative_humidity_percent).density_kg_m3().unwrap()
}

/// Celsius, hectopascal, percent, kg/m³.
fn reference() -> Vec<[f64; 4]> {
    let reference: serde_json::Value = serde_json::from_str(REFERENCE).unwrap();
    let rows = reference["rows"].as_array().unwrap();
    rows.iter().map(|row| [0, 1, 2, 3].map(|column| row[column].as_f64().unwrap())).collect()
}

fn is_indoors(celsius: f64) -> bool {
    (15.0..=27.0).contains(&celsius)
}

#[test]
fn densities_agree_with_a_real_gas_equation_of_state() {
    assert_eq!(reference().len(), 220);
    for [celsius, hectopascal, percent, expected] in reference() {
        let bound = if is_indoors(celsius) { AGREEMENT_INDOORS } else { AGREEMENT };
        let off = (density(celsius, hectopascal, percent) / expected - 1.0).abs();
        assert!(off < bound, "{celsius} °C, {hectopascal} hPa, {percent} %: off by {off:e}");
    }
}

#[test]
fn moisture_takes_away_as_much_as_in_a_real_gas() {
    let mut dry = 0.0;
    for [celsius, hectopascal, percent, expected] in reference() {
        // The rows of one temperature and pressure begin with the dry one.
        dry = if percent == 0.0 { expected } else { dry };
        let ours = density(celsius, hectopascal, percent) / density(celsius, hectopascal, 0.0);
        let off = (ours / (expected / dry) - 1.0).abs();
        assert!(!is_indoors(celsius) || off < AGREEMENT_ON_MOISTURE, "{celsius} °C, {percent} %: off by {off:e}");
    }
}

#[test]
fn standard_air_weighs_what_the_standard_atmosphere_says() {
    // ISO 2533: 1.225 kg/m³ at 15 °C, 1013.25 hPa, dry. It takes air for a perfect gas, whose density is 0.04 % less.
    assert_relative_eq!(Air::STANDARD.density_kg_m3().unwrap(), 1.225, max_relative = 5e-4);
}

#[test]
fn a_wind_pushes_with_the_density_and_the_square_of_its_speed() {
    let cold = air(2.0, 1030.0, 70.0);
    let factor = cold.wind_factor(Air::STANDARD).unwrap();
    let push = |air: Air, wind_kn: f64| air.density_kg_m3().unwrap() * wind_kn * wind_kn;
    assert_relative_eq!(push(cold, 20.0), push(Air::STANDARD, 20.0 * factor), max_relative = 1e-12);
    assert!(factor > 1.02 && factor < 1.05, "{factor}");
    assert_eq!(cold.wind_factor(cold).unwrap(), 1.0);
}

#[test]
fn the_working_ends_in_the_factor() {
    let warm = air(30.0, 1005.0, 85.0);
    let steps = warm.steps(Air::STANDARD).unwrap();
    let [.., own, reference, factor] = steps.as_slice() else { panic!("{steps:?}") };
    assert_relative_eq!((own.value / reference.value).sqrt(), factor.value, max_relative = 1e-12);
    assert!(factor.value < 1.0);
}

#[test]
fn weather_beyond_the_formula_is_refused_with_its_limits() {
    let refused = |air: Air| air.density_kg_m3().unwrap_err();
    assert_eq!(refused(air(51.0, 1013.0, 50.0)).instead(), "write a temperature from -20 to 50 °C");
    assert_eq!(refused(air(59.0, 1013.0, 50.0)).quantity, "temperature");
    // Inches of mercury where hectopascal are asked for.
    assert_eq!(refused(air(15.0, 29.92, 50.0)).quantity, "pressure");
    assert_eq!(refused(air(15.0, 1013.0, 101.0)).quantity, "humidity");
    assert_eq!(refused(air(f64::NAN, 1013.0, 50.0)).quantity, "temperature");
    assert!(Air::STANDARD.wind_factor(air(15.0, 0.0, 0.0)).is_err());
}

proptest! {
    #[test]
    fn warm_moist_and_low_pressure_air_is_the_lighter(
        celsius in -20.0..49.0_f64, hectopascal in 850.0..1099.0_f64, percent in 0.0..99.0_f64,
    ) {
        let here = density(celsius, hectopascal, percent);
        prop_assert!(density(celsius + 1.0, hectopascal, percent) < here);
        prop_assert!(density(celsius, hectopascal, percent + 1.0) < here);
        prop_assert!(density(celsius, hectopascal + 1.0, percent) > here);
    }
}
