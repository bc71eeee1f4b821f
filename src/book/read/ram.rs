//! The hydraulic ram of a control: its bore and rod, and the limits of everything in the line of its pull.

use crate::book::model::{Limit as Limited, RamPlan, Spanned, StripPlan, Units};
use crate::book::problem::Problem;
use crate::book::quantity::{self, Dimension};
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words;
use crate::limits;
use crate::rigging::hydraulics::{Impossible, Limit, Ram, work_out};
use crate::tuning::Scale;
use crate::wrong::Wrong;

const NEWTON_PER_KILONEWTON: f64 = 1000.0;
/// A limit that the arithmetic leaves this part under a whole bar is that bar.
const NOISE: f64 = 1e-9;
const EXAMPLE: &str = "ram: {bore: 40 mm, rod: 20 mm, max: 180 bar, rig_max: 17 kN}";

pub fn ram(node: &Node, control: &str, units: &Units, problems: &mut Vec<Problem>) -> Option<RamPlan> {
    let what = format!("the ram of {control}");
    let before = problems.len();
    let mut fields = Table::open(node, what.as_str(), problems)?;
    fields.place = super::start_of(node);
    let diameter = |fields: &mut Table<'_>, field: &'static str, example: &str, problems: &mut Vec<Problem>| {
        let node = fields.need(field, example, problems)?;
        let value = quantity::length(node, units, &format!("the {field} of {what}"), &limits::RAM_DIAMETER, problems)?;
        Some(Spanned { value, place: node.place.clone() })
    };
    let bore = diameter(&mut fields, "bore", "bore: 40 mm", problems);
    let rod = diameter(&mut fields, "rod", "rod: 20 mm", problems);
    let mut limits: Vec<(Spanned<String>, Limit)> = Vec::new();
    if let Some(node) = fields.take("max") {
        let value = quantity::pressure_bar(node, units, &format!("`max` of {what}"), &limits::PRESSURE_BAR, problems);
        limits.extend(value.map(|value| (named("ram", node), Limit::PressureBar(value))));
    }
    if let Some(node) = fields.take("rig_max") {
        limits.extend(pull(node, &format!("`rig_max` of {what}"), units, problems).map(|l| (named("rig", node), l)));
    }
    if let Some(node) = fields.take("others") {
        for (key, value) in node
            .some_entries(&format!("`others` of {what}"), 0..=limits::MAX_ROWS, "{hose: 350 bar}", problems)
            .unwrap_or_default()
        {
            let Some(name) = words::text_of(key) else { continue };
            let limit = pressure_or_pull(value, &format!("the limit of the {name}"), units, problems);
            limits.extend(limit.map(|limit| (Spanned { value: name.to_owned(), place: value.place.clone() }, limit)));
        }
    }
    fields.finish(problems);
    let (bore, rod) = (bore?, rod?);
    // A limit that could not be read might have been the lowest.
    if problems.len() > before {
        return None;
    }
    let (limits_of, limits): (Vec<Spanned<String>>, Vec<Limit>) = limits.into_iter().unzip();
    match work_out(Ram { bore: bore.value, rod: rod.value }, &limits) {
        Ok(worked) => Some(RamPlan { limits_of, worked, place: node.place.clone() }),
        Err(faults) => {
            for fault in faults {
                let (place, wrong) = match fault {
                    Impossible::RodFillsBore { .. } => (
                        rod.place.clone(),
                        Wrong::new(
                            "the rod is as thick as the bore or thicker: nothing is left for the oil to press on",
                            format!("measure both again, and write them like `{EXAMPLE}`"),
                        ),
                    ),
                    Impossible::NoLimit => (
                        super::start_of(node),
                        Wrong::new(
                            "nothing says how hard is too hard",
                            "give the maker's `max: 180 bar`, the rig's `rig_max: 17 kN`, or both",
                        ),
                    ),
                    Impossible::Bore { .. } => (bore.place.clone(), too_odd()),
                    Impossible::Rod { .. } => (rod.place.clone(), too_odd()),
                    Impossible::Limit { limit, .. } => {
                        let place = limits_of.get(limit).map_or_else(|| node.place.clone(), |of| of.place.clone());
                        (place, too_odd())
                    }
                    Impossible::TooLarge => (super::start_of(node), too_odd()),
                };
                problems.push(wrong.about(&what).at(&place));
            }
            None
        }
    }
}

fn too_odd() -> Wrong {
    Wrong::new("no answer comes of these numbers", format!("write them like `{EXAMPLE}`"))
}

fn named(name: &str, node: &Node) -> Spanned<String> {
    Spanned { value: name.to_owned(), place: node.place.clone() }
}

/// A force with its unit.
pub fn kilonewton(node: &Node, what: &str, units: &Units, problems: &mut Vec<Problem>) -> Option<f64> {
    let text = node.text(what, problems)?;
    // A bare newton is what nobody means on a boat, and a thousand times too little.
    if quantity::split(text).is_some_and(|(_, unit)| unit.is_empty()) {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{what} has no unit"),
            "write the force with its unit: kN, N, kgf or lbf, like `17 kN`",
        ));
        return None;
    }
    let newton = quantity::measure(node, units.bare(Dimension::Force), what, &limits::FORCE_NEWTON, problems)?;
    Some(newton / NEWTON_PER_KILONEWTON)
}

fn pull(node: &Node, what: &str, units: &Units, problems: &mut Vec<Problem>) -> Option<Limit> {
    kilonewton(node, what, units, problems).map(Limit::PullKilonewton)
}

fn pressure_or_pull(node: &Node, what: &str, units: &Units, problems: &mut Vec<Problem>) -> Option<Limit> {
    let text = node.text(what, problems)?;
    let unit = quantity::split(text).map_or("", |(_, unit)| unit);
    if quantity::parse(&format!("1 {unit}"), units.bare(Dimension::Pressure)).is_ok() && !unit.is_empty() {
        quantity::pressure_bar(node, units, what, &limits::PRESSURE_BAR, problems).map(Limit::PressureBar)
    } else {
        pull(node, what, units, problems)
    }
}

/// Holds a gauge, or a scale measured in pressure, to the limit of its ram: the book's own `never_above` may be lower but
/// not higher, and where it has none the ram's limit is one.
pub fn hold(ram: &RamPlan, scale: &Scale, never_above: &mut Option<Limited>, what: &str, problems: &mut Vec<Problem>) {
    let Some(one_bar) = scale.unit().and_then(bar_in) else { return };
    let limit = (ram.worked.limit().pressure_bar / one_bar * (1.0 + NOISE)).floor();
    match never_above {
        Some(given) if given.reading.value > limit => problems.push(Problem::error(
            given.reading.place.clone(),
            format!("the limit of {what} is higher than its ram allows: the {} stands {limit}", ram.weakest()),
            format!("write `never_above: {limit}` or less"),
        )),
        Some(_) => {}
        None => {
            let past = scale.ends().is_none_or(|(_, most)| most > limit);
            if past {
                let reading = Spanned { value: limit, place: ram.place.clone() };
                *never_above = Some(Limited { reading, why: Some(format!("limit of the {}", ram.weakest())) });
            }
        }
    }
}

/// Says which pressures beside the marks of a strip are past the limit of the ram.
pub fn check_beside(ram: &RamPlan, strip: &StripPlan, what: &str, problems: &mut Vec<Problem>) {
    let limit = ram.worked.limit().pressure_bar;
    for (reading, words) in &strip.beside {
        let Some((number, unit)) = quantity::split(words) else { continue };
        let Some(bar) = (!unit.is_empty()).then(|| in_bar(words)).flatten() else { continue };
        if bar > limit * (1.0 + NOISE) {
            problems.push(Problem::error(
                reading.place.clone(),
                format!("{what} showed {number} {unit} at this mark, more than its {} stands", ram.weakest()),
                "take the mark off the strip, or limit the control below it with `never_above`",
            ));
        }
    }
}

/// A pressure with its unit; `None` for anything else.
fn in_bar(text: &str) -> Option<f64> {
    quantity::parse(text, Units::default().bare(Dimension::Pressure)).ok()
}

/// How many bar one of a unit is; `None` if it is no unit of pressure.
fn bar_in(unit: &str) -> Option<f64> {
    in_bar(&format!("1 {unit}"))
}
