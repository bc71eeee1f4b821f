//! What cards and strips say of a hydraulic ram, and the working behind it. Lays nothing out.

use super::working::Passage;
use crate::book::quantity::{Dimension, parse};
use crate::book::{Control, PressureUnit, RamPlan, Units};
use crate::rigging::hydraulics::Limit;
use crate::tuning::mark::print_decimal;

/// A limit is never rounded up: whole bar or ten psi, and tenths of a kilonewton.
const PSI_STEP: f64 = 10.0;
const TENTHS: f64 = 10.0;
/// A limit that the arithmetic leaves this little under a step is that step.
const NOISE: f64 = 1e-9;

/// The limit of a control's ram as a caution: `Backstay ram: never above 180 bar, 16.9 kN, the limit of the rig`.
pub fn limit_words(control: &Control, units: Units) -> Option<String> {
    let ram = control.ram.as_ref()?;
    Some(format!("{} ram: {}", control.name, never_above(ram, units)))
}

/// `never above 180 bar, 16.9 kN, the limit of the rig`.
pub fn never_above(ram: &RamPlan, units: Units) -> String {
    let limit = ram.worked.limit();
    let pull = rounded_down(limit.pull_kilonewton, 1.0 / TENTHS);
    let pressure = pressures(limit.pressure_bar, units).join(", ");
    format!("never above {pressure}, {} kN, the limit of the {}", print_decimal(pull), ram.weakest())
}

/// In bar, after psi in a book of psi; each with its unit.
fn pressures(bar: f64, units: Units) -> Vec<String> {
    let in_bar = format!("{} bar", print_decimal(rounded_down(bar, 1.0)));
    match units.pressure {
        PressureUnit::Bar => vec![in_bar],
        PressureUnit::Psi => {
            let one = parse("1 psi", units.bare(Dimension::Pressure)).unwrap_or(1.0);
            vec![format!("{} psi", print_decimal(rounded_down(bar / one, PSI_STEP))), in_bar]
        }
    }
}

/// To a whole number of steps below; a limit smaller than one step stays as it is.
fn rounded_down(value: f64, step: f64) -> f64 {
    let steps = (value / step * (1.0 + NOISE)).floor();
    // Divided where that is exact, so that 16.9 does not come out as 16.900000000000002.
    if steps < 1.0 {
        value
    } else if step < 1.0 {
        steps / (1.0 / step).round()
    } else {
        steps * step
    }
}

/// How the limit of a control's ram was found.
pub fn working(control: &Control) -> Option<Passage> {
    let ram = control.ram.as_ref()?;
    let worked = &ram.worked;
    let mut passage = Passage::new(format!("{}, its ram", control.name));
    passage.input("bore", worked.ram.bore.to_string(), &ram.place);
    passage.input("rod", worked.ram.rod.to_string(), &ram.place);
    let two = |value: f64| format!("{value:.2}");
    passage.step("ring that the oil presses on", "A = π/4·(bore² − rod²)", format!("{} mm²", two(worked.ring_mm2)));
    for (of, limit) in ram.limits_of.iter().zip(&worked.limits) {
        let (given, how) = match limit.given {
            Limit::PressureBar(bar) => (format!("{} bar", two(bar)), "pull = p·A, 1 bar = 0.1 N/mm²"),
            Limit::PullKilonewton(pull) => (format!("{} kN", two(pull)), "p = pull/A, 1 bar = 0.1 N/mm²"),
        };
        passage.input(format!("limit of the {}", of.value), given, &of.place);
        let both = format!("{} bar, {} kN", two(limit.pressure_bar), two(limit.pull_kilonewton));
        passage.step(format!("the same, at the ram: {}", of.value), how, both);
    }
    let limit = worked.limit();
    let lowest = format!("{} bar, {} kN", two(limit.pressure_bar), two(limit.pull_kilonewton));
    passage.step(format!("never above: {}", ram.weakest()), "the lowest of the limits", lowest);
    Some(passage)
}
