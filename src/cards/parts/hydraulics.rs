//! What cards and strips say of a hydraulic ram, and the working behind it. Lays nothing out.

use super::words::{self, LimitWords, never};
use super::working::Passage;
use crate::book::force::allowed;
use crate::book::quantity::{Dimension, parse, split};
use crate::book::{Control, MassUnit, PressureUnit, RamPlan, Units};
use crate::rigging::hydraulics::{Acts, Limit, WorkedLimit};
use crate::tuning::mark::print_decimal;

/// A limit is never rounded up: whole bar or ten psi, and tenths of a kilonewton.
const PSI_STEP: f64 = 10.0;
const TENTHS: f64 = 10.0;
/// A limit that the arithmetic leaves this little under a step is that step.
const NOISE: f64 = 1e-9;

/// The way a control's ram acts and its limit, as a caution: `Backstay ram pulls: never above 180 bar, 16.9 kN, the limit of
/// the rig`.
pub fn limit_words(control: &Control, units: Units) -> Option<LimitWords> {
    let ram = control.ram.as_ref()?;
    let LimitWords { content, printed, why } = acts_and_limit(ram, units);
    let of_ram = |words: String| format!("{} ram {words}", control.name);
    let why = why.map(|why| format!("{} ram: {why}", control.name));
    Some(LimitWords { content: of_ram(content), printed: of_ram(printed), why })
}

/// Every limit of some controls in their order, each with that of its ram if it has one.
pub fn all_limits<'a>(controls: impl IntoIterator<Item = &'a Control>, units: Units) -> Vec<LimitWords> {
    let of = |control| words::limit_words(control).into_iter().chain(limit_words(control, units));
    controls.into_iter().flat_map(of).collect()
}

/// `pulls: never above 180 bar, 16.9 kN, the limit of the rig`.
pub fn acts_and_limit(ram: &RamPlan, units: Units) -> LimitWords {
    let limit = ram.worked.limit();
    let way = match ram.worked.ram.acts {
        Acts::Pull => "pulls",
        Acts::Push => "pushes",
    };
    let pressure = pressures(limit.pressure_bar, units).join(", ");
    let at_ram = force(limit.at_ram_kilonewton, units);
    let forces = match ram.worked.ram.lever {
        1.0 => at_ram,
        _ => format!("{at_ram} at the ram, {} at the rig", force(limit.at_rig_kilonewton, units)),
    };
    let (limit, why) = (format!("{pressure}, {forces}"), format!("the limit of the {}", ram.weakest()));
    LimitWords {
        content: format!("{way}: never above {limit}, {why}"),
        printed: format!("{way}: {}", never(true, &limit)),
        why: Some(why),
    }
}

/// In kilonewtons, or in pound-force in a book of pounds.
fn force(kilonewton: f64, units: Units) -> String {
    match units.mass {
        MassUnit::Kilogram => format!("{} kN", print_decimal(rounded_down(kilonewton, 1.0 / TENTHS))),
        MassUnit::Pound => allowed(kilonewton, units),
    }
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

/// What a strip with pressures on it says of them; `None` for any other.
pub fn gauge_decides(control: &Control) -> Option<&'static str> {
    let has_unit = control.scale.unit().is_some_and(|unit| in_bar(&format!("1 {unit}")).is_some());
    let beside = control.strip.iter().flat_map(|plan| &plan.beside);
    let has_pressure = has_unit || beside.into_iter().any(|(_, words)| in_bar(words).is_some());
    has_pressure.then_some("The gauge decides: no place on a strip fixes a pressure.")
}

/// A pressure with its unit, in bar; `None` for anything else.
pub fn in_bar(text: &str) -> Option<f64> {
    let (_, unit) = split(text)?;
    (!unit.is_empty()).then(|| parse(text, Units::default().bare(Dimension::Pressure)).ok()).flatten()
}

/// A pressure in whole bar or tens of psi, as `unit` is, never rounded up.
pub fn whole_steps(pressure: f64, unit: &str) -> String {
    let step = if in_bar(&format!("1 {unit}")) == Some(1.0) { 1.0 } else { PSI_STEP };
    print_decimal((pressure / step * (1.0 + NOISE)).floor() * step)
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
    let (area, how) = match worked.ram.acts {
        Acts::Pull => ("ring that the oil presses on: it pulls", "A = π/4·(bore² − rod²)"),
        Acts::Push => ("full bore that the oil presses on: it pushes", "A = π/4·bore²"),
    };
    passage.step(area, how, format!("{} mm²", two(worked.area_mm2)));
    let has_lever = worked.ram.lever != 1.0;
    if has_lever {
        passage.input("lever, force at the rig over force at the ram", print_decimal(worked.ram.lever), &ram.place);
    }
    let felt = |limit: &WorkedLimit| match has_lever {
        false => format!("{} bar, {} kN", two(limit.pressure_bar), two(limit.at_ram_kilonewton)),
        true => format!(
            "{} bar, {} kN at the ram, {} kN at the rig",
            two(limit.pressure_bar),
            two(limit.at_ram_kilonewton),
            two(limit.at_rig_kilonewton)
        ),
    };
    for (of, limit) in ram.limits_of.iter().zip(&worked.limits) {
        let (given, how) = match limit.given {
            Limit::PressureBar(bar) => (format!("{} bar", two(bar)), "F = p·A, 1 bar = 0.1 N/mm²"),
            Limit::AtRamKilonewton(force) => (format!("{} kN", two(force)), "p = F/A, 1 bar = 0.1 N/mm²"),
            Limit::AtRigKilonewton(force) if has_lever => {
                (format!("{} kN", two(force)), "p = F/(lever·A), 1 bar = 0.1 N/mm²")
            }
            Limit::AtRigKilonewton(force) => (format!("{} kN", two(force)), "p = F/A, 1 bar = 0.1 N/mm²"),
        };
        passage.input(format!("limit of the {}", of.value), given, &of.place);
        passage.step(format!("the same, at the ram: {}", of.value), how, felt(limit));
    }
    passage.step(format!("never above: {}", ram.weakest()), "the lowest of the limits", felt(&worked.limit()));
    Some(passage)
}
