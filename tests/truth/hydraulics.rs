//! The force of a ram, by hand both ways, through a lever and in two systems of units, and the lowest of its limits.

use approx::assert_relative_eq;
use cockpit_cards::length::Length;
use cockpit_cards::rigging::hydraulics::{Acts, Impossible, Limit, Ram, work_out};
use proptest::prelude::*;

/// NIST SP 811, appendix B.8: the pound-force.
const NEWTON_PER_POUND_FORCE: f64 = 4.448_221_615_260_5;
/// NIST SP 811, appendix B.8: a pound-force on a square inch is 6894.757 Pa; here to all digits of its definition.
const BAR_PER_PSI: f64 = 0.068_947_572_931_683_6;

fn pulls(bore_mm: f64, rod_mm: f64) -> Ram {
    Ram { bore: Length::mm(bore_mm), rod: Length::mm(rod_mm), acts: Acts::Pull, lever: 1.0 }
}

fn pushes(bore_mm: f64, rod_mm: f64) -> Ram {
    Ram { acts: Acts::Push, ..pulls(bore_mm, rod_mm) }
}

#[test]
fn a_ram_pulls_as_pressure_times_the_area_of_its_ring() {
    // By hand: 40² − 20² = 1200; × π/4 = 942.4778 mm²; 180 bar = 18 N/mm²; 16 964.6 N.
    let worked = work_out(pulls(40.0, 20.0), &[Limit::PressureBar(180.0)]).unwrap();
    assert_relative_eq!(worked.area_mm2, 942.477_796_076_938, max_relative = 1e-12);
    assert_relative_eq!(worked.limit().at_ram_kilonewton, 16.964_600_329_384_88, max_relative = 1e-12);
    assert_eq!(worked.limit().at_rig_kilonewton, worked.limit().at_ram_kilonewton);
}

#[test]
fn a_ram_pushes_as_pressure_times_the_area_of_its_whole_bore() {
    // By hand: 40² = 1600; × π/4 = 1256.6371 mm²; 180 bar = 18 N/mm²; 22 619.5 N. The rod does not count.
    for rod in [0.0, 20.0, 39.0] {
        let worked = work_out(pushes(40.0, rod), &[Limit::PressureBar(180.0)]).unwrap();
        assert_relative_eq!(worked.area_mm2, 1_256.637_061_435_917, max_relative = 1e-12);
        assert_relative_eq!(worked.limit().at_ram_kilonewton, 22.619_467_105_846_5, max_relative = 1e-12);
    }
}

#[test]
fn a_mast_jack_that_pushes_is_limited_far_below_one_that_pulls() {
    // By hand, 60 kN on a bore of 60 mm and a rod of 50 mm. Push: π/4·3600 = 2827.43 mm²; 60 000 N over it is
    // 21.2207 N/mm², 212.207 bar. Pull: π/4·(3600 − 2500) = 863.94 mm²; 69.4493 N/mm², 694.493 bar, 3.27 times as much.
    let rig = [Limit::AtRigKilonewton(60.0)];
    let [push, pull] =
        [pushes(60.0, 50.0), pulls(60.0, 50.0)].map(|ram| work_out(ram, &rig).unwrap().limit().pressure_bar);
    assert_relative_eq!(push, 212.207, max_relative = 1e-5);
    assert_relative_eq!(pull, 694.493, max_relative = 1e-5);
}

#[test]
fn a_lever_makes_the_force_at_the_rig_that_many_times_the_rams() {
    // By hand: a push on a bore of 40 mm, 1256.637 mm², through a lever of 2. A rig that bears 10 kN lets the ram push 5 kN:
    // 3.978 87 N/mm², 39.7887 bar. At 30 bar the ram has 3.769 91 kN, the rig 7.539 82 kN.
    let ram = Ram { lever: 2.0, ..pushes(40.0, 25.0) };
    let worked = work_out(ram, &[Limit::PressureBar(250.0), Limit::AtRigKilonewton(10.0)]).unwrap();
    let limit = worked.limit();
    assert_eq!(worked.lowest, 1);
    assert_relative_eq!(limit.pressure_bar, 39.788_735_772_973_83, max_relative = 1e-12);
    assert_eq!((limit.at_ram_kilonewton, limit.at_rig_kilonewton), (5.0, 10.0));
    assert_relative_eq!(worked.at_ram_kilonewton(30.0), 3.769_911_184_307_752, max_relative = 1e-12);
    assert_relative_eq!(worked.at_rig_kilonewton(30.0), 7.539_822_368_615_504, max_relative = 1e-12);
    // A pin that bears 10 kN on the ram's own side lets it push all of that, with 20 kN at the rig.
    let at_ram = work_out(ram, &[Limit::AtRamKilonewton(10.0)]).unwrap().limit();
    assert_relative_eq!(at_ram.pressure_bar, 2.0 * 39.788_735_772_973_83, max_relative = 1e-12);
    assert_eq!((at_ram.at_ram_kilonewton, at_ram.at_rig_kilonewton), (10.0, 20.0));
}

#[test]
fn inches_and_psi_give_the_same_force_as_millimetres_and_bar() {
    // By hand, at 2600 psi: pull, (1.5² − 0.75²)·π/4 = 1.325359 in², 3445.93 lbf; push, 1.5²·π/4 = 1.767146 in², 4594.58 lbf.
    for (acts, by_hand_lbf) in [(Acts::Pull, 3_445.93), (Acts::Push, 4_594.58)] {
        let in_inches = Ram { bore: Length::inches(1.5), rod: Length::inches(0.75), acts, lever: 1.0 };
        let limit = [Limit::PressureBar(2600.0 * BAR_PER_PSI)];
        let force = work_out(in_inches, &limit).unwrap().limit().at_ram_kilonewton;
        assert!((force * 1000.0 / NEWTON_PER_POUND_FORCE - by_hand_lbf).abs() < 0.01, "{acts:?}: {force}");
        let in_mm = work_out(Ram { acts, ..pulls(38.1, 19.05) }, &limit).unwrap();
        assert_relative_eq!(in_mm.limit().at_ram_kilonewton, force, max_relative = 1e-9);
    }
}

#[test]
fn the_lowest_limit_holds_whichever_way_it_is_given() {
    let limits = [Limit::PressureBar(250.0), Limit::AtRigKilonewton(17.0), Limit::PressureBar(200.0)];
    let worked = work_out(pulls(40.0, 20.0), &limits).unwrap();
    assert_eq!(worked.lowest, 1);
    // By hand: 17 000 N / 942.478 mm² = 18.0376 N/mm² = 180.376 bar.
    assert!((worked.limit().pressure_bar - 180.376).abs() < 0.001);
    assert_eq!(worked.limit().at_rig_kilonewton, 17.0);
    assert_eq!(worked.limit().given, limits[1]);

    let softer_ram = work_out(pulls(40.0, 20.0), &[Limit::AtRigKilonewton(17.0), Limit::PressureBar(170.0)]).unwrap();
    assert_eq!(softer_ram.lowest, 1);
}

#[test]
fn two_limits_as_low_as_each_other_are_held_by_the_first() {
    let worked = work_out(pulls(40.0, 20.0), &[Limit::PressureBar(180.0), Limit::PressureBar(180.0)]).unwrap();
    assert_eq!(worked.lowest, 0);
}

#[test]
fn a_ram_that_cannot_be_is_refused_with_everything_that_is_wrong() {
    let nan = f64::NAN;
    for acts in [Acts::Pull, Acts::Push] {
        let ram = |bore, rod| Ram { acts, ..pulls(bore, rod) };
        assert_eq!(
            work_out(ram(20.0, 20.0), &[]),
            Err(vec![Impossible::RodFillsBore { bore: Length::mm(20.0), rod: Length::mm(20.0) }, Impossible::NoLimit,])
        );
        assert_eq!(
            work_out(ram(0.0, -1.0), &[Limit::PressureBar(0.0), Limit::AtRigKilonewton(-3.0)]),
            Err(vec![
                Impossible::Bore { bore: Length::ZERO },
                Impossible::Rod { rod: Length::mm(-1.0) },
                Impossible::Limit { limit: 0, value: 0.0 },
                Impossible::Limit { limit: 1, value: -3.0 },
            ])
        );
        assert_eq!(
            work_out(Ram { lever: 0.0, ..ram(40.0, 20.0) }, &[Limit::AtRamKilonewton(-1.0)]),
            Err(vec![Impossible::Lever { lever: 0.0 }, Impossible::Limit { limit: 0, value: -1.0 }])
        );
        let not_a_number = work_out(Ram { lever: nan, ..ram(nan, nan) }, &[Limit::PressureBar(nan)]).unwrap_err();
        assert_eq!(not_a_number.len(), 4, "{not_a_number:?}");
        assert_eq!(work_out(ram(1e200, 0.0), &[Limit::PressureBar(1.0)]), Err(vec![Impossible::TooLarge]));
        // An area too small for the arithmetic takes no pressure at all.
        assert_eq!(work_out(ram(1e-200, 0.0), &[Limit::AtRigKilonewton(1.0)]), Err(vec![Impossible::TooLarge]));
    }
}

proptest! {
    #[test]
    fn pressure_and_force_turn_into_each_other(
        bore in 10.0..150.0_f64, part in 0.0..0.95_f64, bar in 1.0..700.0_f64, lever in 0.1..10.0_f64, push in any::<bool>(),
    ) {
        let acts = if push { Acts::Push } else { Acts::Pull };
        let ram = |part: f64| Ram { acts, lever, ..pulls(bore, bore * part) };
        let worked = work_out(ram(part), &[Limit::PressureBar(bar)]).unwrap();
        let back = worked.pressure_bar(worked.at_ram_kilonewton(bar));
        prop_assert!((back - bar).abs() <= 1e-9 * bar);
        let through_the_lever = work_out(ram(part), &[Limit::AtRigKilonewton(worked.limit().at_rig_kilonewton)]).unwrap();
        prop_assert!((through_the_lever.limit().pressure_bar - bar).abs() <= 1e-9 * bar);
        // A thicker rod leaves less to press on for a pull, and makes no odds to a push.
        let thicker = work_out(ram(part + 0.04), &[Limit::PressureBar(bar)]).unwrap();
        let (thick, thin) = (thicker.at_ram_kilonewton(bar), worked.at_ram_kilonewton(bar));
        prop_assert_eq!(thick < thin, !push);
        prop_assert!(thick <= thin);
    }

    #[test]
    fn at_one_pressure_a_ram_pushes_harder_than_it_pulls(
        bore in 10.0..150.0_f64, part in 0.05..0.95_f64, bar in 1.0..700.0_f64,
    ) {
        let limit = [Limit::PressureBar(bar)];
        let [push, pull] = [pushes(bore, bore * part), pulls(bore, bore * part)].map(|ram| work_out(ram, &limit).unwrap());
        prop_assert!(push.limit().at_ram_kilonewton > pull.limit().at_ram_kilonewton);
    }
}
