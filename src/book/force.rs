//! How a force is written: in the units that people buy gear by, kilonewtons and kilogram-force, or pound-force in a book
//! of pounds. Knows no gear.

use super::model::{MassUnit, Units};
use super::quantity::{NEWTON_PER_KILOGRAM_FORCE, NEWTON_PER_POUND_FORCE};

const NEWTON_PER_KILONEWTON: f64 = 1000.0;
/// A force that arithmetic leaves this part beside a step is that step.
const NOISE: f64 = 1e-9;
/// From how many kilonewtons on they are told in how many steps each: a load on a boat is known no better.
const KILONEWTON_STEPS: [(f64, f64); 2] = [(0.1, 10.0), (0.0, 1000.0)];
/// The same for kilogram-force and pound-force, told in tens from a hundred on.
const SMALL_STEPS: [(f64, f64); 3] = [(100.0, 0.1), (1.0, 1.0), (0.0, 100.0)];

/// What something carries, never told as less than it is: `3.0 kN (310 kgf)`, or `680 lbf`.
pub fn load(kilonewton: f64, units: Units) -> String {
    written(kilonewton, units, |steps| (steps * (1.0 - NOISE)).ceil())
}

/// The same in one unit, for a narrow column: `3.0 kN`, or `680 lbf`.
pub fn load_in_brief(kilonewton: f64, units: Units) -> String {
    let both = load(kilonewton, units);
    both.split_once(" (").map_or(both.clone(), |(brief, _)| brief.to_owned())
}

/// What something may carry, never told as more than it is: `3.0 kN (300 kgf)`, or `670 lbf`.
pub fn allowed(kilonewton: f64, units: Units) -> String {
    written(kilonewton, units, |steps| (steps * (1.0 + NOISE)).floor())
}

/// To the digits that the arithmetic has, for the working behind a card: `3.000 kN`, or `674.4 lbf`.
pub fn exact(kilonewton: f64, units: Units) -> String {
    match units.mass {
        MassUnit::Kilogram => format!("{kilonewton:.3} kN"),
        MassUnit::Pound => format!("{:.1} lbf", kilonewton * NEWTON_PER_KILONEWTON / NEWTON_PER_POUND_FORCE),
    }
}

/// The unit in which a book of these units tells a pull that is only known as a part of another.
pub fn small_unit(units: Units) -> &'static str {
    match units.mass {
        MassUnit::Kilogram => "kgf",
        MassUnit::Pound => "lbf",
    }
}

fn written(kilonewton: f64, units: Units, to_step: fn(f64) -> f64) -> String {
    let small = |newton_per_unit: f64| {
        let force = kilonewton * NEWTON_PER_KILONEWTON / newton_per_unit;
        let (number, decimals) = stepped(force, &SMALL_STEPS, to_step);
        format!("{number:.decimals$} {}", small_unit(units))
    };
    match units.mass {
        MassUnit::Kilogram => {
            let (number, decimals) = stepped(kilonewton, &KILONEWTON_STEPS, to_step);
            format!("{number:.decimals$} kN ({})", small(NEWTON_PER_KILOGRAM_FORCE))
        }
        MassUnit::Pound => small(NEWTON_PER_POUND_FORCE),
    }
}

/// The force in whole steps of its size, and the decimals that shows them.
fn stepped(force: f64, sizes: &[(f64, f64)], to_step: fn(f64) -> f64) -> (f64, usize) {
    let steps = sizes.iter().find(|(from, _)| force >= *from).map_or(1.0, |(_, steps)| *steps);
    (to_step(force * steps) / steps, steps.log10().max(0.0).round() as usize)
}
