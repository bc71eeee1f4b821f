//! The pull of a ram, by hand in two systems of units, and the lowest of its limits.

use approx::assert_relative_eq;
use cockpit_cards::length::Length;
use cockpit_cards::rigging::hydraulics::{Impossible, Limit, Ram, work_out};
use proptest::prelude::*;

/// NIST SP 811, appendix B.8: the pound-force.
const NEWTON_PER_POUND_FORCE: f64 = 4.448_221_615_260_5;
/// NIST SP 811, appendix B.8: a pound-force on a square inch is 6894.757 Pa; here to all digits of its definition.
const BAR_PER_PSI: f64 = 0.068_947_572_931_683_6;

fn ram(bore_mm: f64, rod_mm: f64) -> Ram {
    Ram { bore: Length::mm(bore_mm), rod: Length::mm(rod_mm) }
}

#[test]
fn a_ram_pulls_as_pressure_times_the_area_of_its_ring() {
    // By hand: 40² − 20² = 1200; × π/4 = 942.4778 mm²; 180 bar = 18 N/mm²; 16 964.6 N.
    let worked = work_out(ram(40.0, 20.0), &[Limit::PressureBar(180.0)]).unwrap();
    assert_relative_eq!(worked.ring_mm2, 942.477_796_076_938, max_relative = 1e-12);
    assert_relative_eq!(worked.limit().pull_kilonewton, 16.964_600_329_384_88, max_relative = 1e-12);
}

#[test]
fn inches_and_psi_give_the_same_pull_as_millimetres_and_bar() {
    // By hand: (1.5² − 0.75²)·π/4 = 1.325359 in²; at 2600 psi, 3445.93 lbf.
    let area_in2 = (1.5_f64.powi(2) - 0.75_f64.powi(2)) * std::f64::consts::PI / 4.0;
    let by_hand_lbf = 2600.0 * area_in2;
    assert!((by_hand_lbf - 3445.93).abs() < 0.01);
    let in_inches = Ram { bore: Length::inches(1.5), rod: Length::inches(0.75) };
    let pull = work_out(in_inches, &[Limit::PressureBar(2600.0 * BAR_PER_PSI)]).unwrap().limit().pull_kilonewton;
    assert_relative_eq!(pull * 1000.0 / NEWTON_PER_POUND_FORCE, by_hand_lbf, max_relative = 1e-9);
    let in_mm = work_out(ram(38.1, 19.05), &[Limit::PressureBar(2600.0 * BAR_PER_PSI)]).unwrap();
    assert_relative_eq!(in_mm.limit().pull_kilonewton, pull, max_relative = 1e-9);
}

#[test]
fn the_lowest_limit_holds_whichever_way_it_is_given() {
    let limits = [Limit::PressureBar(250.0), Limit::PullKilonewton(17.0), Limit::PressureBar(200.0)];
    let worked = work_out(ram(40.0, 20.0), &limits).unwrap();
    assert_eq!(worked.lowest, 1);
    // By hand: 17 000 N / 942.478 mm² = 18.0376 N/mm² = 180.376 bar.
    assert!((worked.limit().pressure_bar - 180.376).abs() < 0.001);
    assert_eq!(worked.limit().pull_kilonewton, 17.0);
    assert_eq!(worked.limit().given, limits[1]);

    let softer_ram = work_out(ram(40.0, 20.0), &[Limit::PullKilonewton(17.0), Limit::PressureBar(170.0)]).unwrap();
    assert_eq!(softer_ram.lowest, 1);
}

#[test]
fn two_limits_as_low_as_each_other_are_held_by_the_first() {
    let worked = work_out(ram(40.0, 20.0), &[Limit::PressureBar(180.0), Limit::PressureBar(180.0)]).unwrap();
    assert_eq!(worked.lowest, 0);
}

#[test]
fn a_ram_that_cannot_be_is_refused_with_everything_that_is_wrong() {
    let nan = f64::NAN;
    assert_eq!(
        work_out(ram(20.0, 20.0), &[]),
        Err(vec![Impossible::RodFillsBore { bore: Length::mm(20.0), rod: Length::mm(20.0) }, Impossible::NoLimit,])
    );
    assert_eq!(
        work_out(ram(0.0, -1.0), &[Limit::PressureBar(0.0), Limit::PullKilonewton(-3.0)]),
        Err(vec![
            Impossible::Bore { bore: Length::ZERO },
            Impossible::Rod { rod: Length::mm(-1.0) },
            Impossible::Limit { limit: 0, value: 0.0 },
            Impossible::Limit { limit: 1, value: -3.0 },
        ])
    );
    let not_a_number = work_out(ram(nan, nan), &[Limit::PressureBar(nan)]).unwrap_err();
    assert_eq!(not_a_number.len(), 3, "{not_a_number:?}");
    assert_eq!(work_out(ram(1e200, 0.0), &[Limit::PressureBar(1.0)]), Err(vec![Impossible::TooLarge]));
    // A ring too thin for the arithmetic takes no pressure at all.
    assert_eq!(work_out(ram(1e-200, 0.0), &[Limit::PullKilonewton(1.0)]), Err(vec![Impossible::TooLarge]));
}

proptest! {
    #[test]
    fn pressure_and_pull_turn_into_each_other(bore in 10.0..150.0_f64, part in 0.0..0.95_f64, bar in 1.0..700.0_f64) {
        let worked = work_out(ram(bore, bore * part), &[Limit::PressureBar(bar)]).unwrap();
        let back = worked.pressure_bar(worked.pull_kilonewton(bar));
        prop_assert!((back - bar).abs() <= 1e-9 * bar);
        // A thicker rod leaves less to press on.
        let thicker = work_out(ram(bore, bore * (part + 0.04)), &[Limit::PressureBar(bar)]).unwrap();
        prop_assert!(thicker.pull_kilonewton(bar) < worked.pull_kilonewton(bar));
    }
}
