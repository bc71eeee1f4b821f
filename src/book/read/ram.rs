//! The hydraulic ram of a control: the way it acts, its bore and rod, and the limits of everything in the line of its force.

use crate::book::model::{Limit as Limited, RamPlan, Spanned, StripPlan, Units};
use crate::book::problem::{Place, Problem};
use crate::book::quantity::{self, Dimension};
use crate::book::table::Table;
use crate::book::tree::{Node, Value};
use crate::book::words;
use crate::limits;
use crate::rigging::hydraulics::{Acts, Impossible, Limit, Ram, work_out};
use crate::tuning::Scale;
use crate::wrong::Wrong;

const NEWTON_PER_KILONEWTON: f64 = 1000.0;
/// A limit that the arithmetic leaves this part under a whole bar is that bar.
const NOISE: f64 = 1e-9;
/// No gauge in psi is read finer than to tens.
pub const PSI_STEP: f64 = 10.0;
const EXAMPLE: &str = "ram: {acts: pull, bore: 40 mm, rod: 20 mm, max: 180 bar, rig_max: 17 kN}";
const ACTS: [(&str, Acts); 2] = [("pull", Acts::Pull), ("push", Acts::Push)];
/// The same oil in the same ram pushes harder than it pulls, so nothing is taken for granted.
const SAY_WHICH: &str = "add `acts: pull` if the oil draws the rod in, as for most backstays, or `acts: push` if it drives \
                         the rod out, as for a mast jack: `ram: {acts: push, bore: 40 mm, …}`";

/// `{acts: pull, bore: 40 mm, rod: 20 mm, max: 180 bar, rig_max: 17 kN}`.
pub fn ram(node: &Node, control: &str, units: &Units, problems: &mut Vec<Problem>) -> Option<RamPlan> {
    let what = format!("the ram of {control}");
    let before = problems.len();
    let mut fields = Table::open(node, what.as_str(), problems)?;
    fields.place = super::start_of(node);
    let acts = acts(&mut fields, problems);
    let bore = diameter(&mut fields, "bore", "bore: 40 mm", units, problems);
    let rod = diameter(&mut fields, "rod", "rod: 20 mm", units, problems);
    let lever = lever(&mut fields, problems);
    let limits = limits(&mut fields, lever.as_ref(), units, problems);
    fields.finish(problems);
    let (acts, bore, rod) = (acts?, bore?, rod?);
    // A limit that could not be read might have been the lowest.
    if problems.len() > before {
        return None;
    }
    let (limits_of, limits): (Vec<Spanned<String>>, Vec<Limit>) = limits.into_iter().unzip();
    let given = Ram { bore: bore.value, rod: rod.value, acts, lever: lever.as_ref().map_or(1.0, |lever| lever.value) };
    match work_out(given, &limits) {
        Ok(worked) => Some(RamPlan { limits_of, worked, place: node.place.clone() }),
        Err(faults) => {
            let start = super::start_of(node);
            let place_of = |fault: &Impossible| match fault {
                Impossible::Bore { .. } => bore.place.clone(),
                Impossible::Rod { .. } | Impossible::RodFillsBore { .. } => rod.place.clone(),
                Impossible::Lever { .. } => lever.as_ref().map_or_else(|| start.clone(), |lever| lever.place.clone()),
                Impossible::Limit { limit, .. } => {
                    limits_of.get(*limit).map_or_else(|| start.clone(), |of| of.place.clone())
                }
                Impossible::NoLimit | Impossible::TooLarge => start.clone(),
            };
            problems.extend(faults.iter().map(|fault| wording(fault).about(&what).at(&place_of(fault))));
            None
        }
    }
}

fn wording(fault: &Impossible) -> Wrong {
    match fault {
        Impossible::RodFillsBore { .. } => Wrong::new(
            "the rod is as thick as the bore or thicker: nothing is left for the oil to press on",
            format!("measure both again, and write them like `{EXAMPLE}`"),
        ),
        Impossible::NoLimit => Wrong::new(
            "nothing says how hard is too hard",
            "give the maker's `max: 180 bar`, the rig's `rig_max: 17 kN`, or both",
        ),
        Impossible::Bore { .. }
        | Impossible::Rod { .. }
        | Impossible::Lever { .. }
        | Impossible::Limit { .. }
        | Impossible::TooLarge => {
            Wrong::new("no answer comes of these numbers", format!("write them like `{EXAMPLE}`"))
        }
    }
}

fn acts(fields: &mut Table<'_>, problems: &mut Vec<Problem>) -> Option<Acts> {
    let Some(node) = fields.need("acts", "acts: pull", problems) else {
        if let Some(missing) = problems.last_mut() {
            missing.instead = SAY_WHICH.to_owned();
        }
        return None;
    };
    words::choice(node, &format!("`acts` of {}", fields.what), &ACTS, problems)
}

fn diameter(
    fields: &mut Table<'_>,
    field: &'static str,
    example: &str,
    units: &Units,
    problems: &mut Vec<Problem>,
) -> Option<Spanned<crate::length::Length>> {
    let node = fields.need(field, example, problems)?;
    let what = format!("the {field} of {}", fields.what);
    let value = quantity::length(node, units, &what, &limits::RAM_DIAMETER, problems)?;
    Some(Spanned { value, place: node.place.clone() })
}

fn lever(fields: &mut Table<'_>, problems: &mut Vec<Problem>) -> Option<Spanned<f64>> {
    let node = fields.take("lever")?;
    let value = quantity::plain_number(node, &format!("`lever` of {}", fields.what), &limits::LEVER, problems)?;
    Some(Spanned { value, place: node.place.clone() })
}

/// Each limit with what it belongs to.
fn limits(
    fields: &mut Table<'_>,
    lever: Option<&Spanned<f64>>,
    units: &Units,
    problems: &mut Vec<Problem>,
) -> Vec<(Spanned<String>, Limit)> {
    let what = fields.what.clone();
    let named = |name: &str, place: &Place| Spanned { value: name.to_owned(), place: place.clone() };
    let mut limits = Vec::new();
    if let Some(node) = fields.take("max") {
        let value = quantity::pressure_bar(node, units, &format!("`max` of {what}"), &limits::PRESSURE_BAR, problems);
        limits.extend(value.map(|value| (named("ram", &node.place), Limit::PressureBar(value))));
    }
    if let Some(node) = fields.take("rig_max") {
        let value = kilonewton(node, &format!("`rig_max` of {what}"), units, problems);
        limits.extend(value.map(|value| (named("rig", &node.place), Limit::AtRigKilonewton(value))));
    }
    if let Some(node) = fields.take("others") {
        let entries =
            node.some_entries(&format!("`others` of {what}"), 0..=limits::MAX_ROWS, "{hose: 350 bar}", problems);
        for (key, value) in entries.unwrap_or_default() {
            let Some(name) = words::text_of(key) else { continue };
            let limit = other_limit(value, name, lever, units, problems);
            limits.extend(limit.map(|limit| (named(name, &value.place), limit)));
        }
    }
    limits
}

/// A pressure, or a force; beside a lever a force says on which side of it: `14 kN at the ram`.
fn other_limit(
    node: &Node,
    name: &str,
    lever: Option<&Spanned<f64>>,
    units: &Units,
    problems: &mut Vec<Problem>,
) -> Option<Limit> {
    let what = format!("the limit of the {name}");
    let text = node.text(&what, problems)?;
    let unit = quantity::split(text).map_or("", |(_, unit)| unit);
    if quantity::parse(&format!("1 {unit}"), units.bare(Dimension::Pressure)).is_ok() && !unit.is_empty() {
        return quantity::pressure_bar(node, units, &what, &limits::PRESSURE_BAR, problems).map(Limit::PressureBar);
    }
    let before = |ends: [&str; 2]| ends.into_iter().find_map(|end| text.strip_suffix(end)).map(str::trim);
    let (at_ram, at_rig) = (before(["at the ram", "at ram"]), before(["at the rig", "at rig"]));
    if at_ram.or(at_rig).is_none() && lever.is_some_and(|lever| lever.value != 1.0) {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{what}: a lever stands between ram and rig, and nothing says on which side this is"),
            format!("write `{} at the ram` or `{} at the rig`", text.trim(), text.trim()),
        ));
        return None;
    }
    let force = at_ram.or(at_rig).unwrap_or(text).to_owned();
    let bare = Node { place: node.place.clone(), value: Value::Text { text: force, plain: true } };
    let side = if at_ram.is_some() { Limit::AtRamKilonewton } else { Limit::AtRigKilonewton };
    kilonewton(&bare, &what, units, problems).map(side)
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
/// Holds a gauge, or a scale measured in pressure, to the limit of its ram: the book's own `never_above` may be lower but
/// not higher, and where it has none the ram's limit is one.
pub fn hold(ram: &RamPlan, scale: &Scale, never_above: &mut Option<Limited>, what: &str, problems: &mut Vec<Problem>) {
    let Some(one_bar) = scale.unit().and_then(bar_in) else { return };
    let exact = ram.worked.limit().pressure_bar / one_bar * (1.0 + NOISE);
    // As the words beside it print it: a limit is told once.
    let step = if one_bar == 1.0 || exact < PSI_STEP { 1.0 } else { PSI_STEP };
    let limit = (exact / step).floor() * step;
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
