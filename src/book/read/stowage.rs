//! The section `stowage`: the boat's figures and the gear that can be carried elsewhere.

use super::csv_table;
use super::places;
use super::tables::Tables;
use crate::book::model::{Boat as BookBoat, LengthUnit, MassUnit, Spanned, Stowage, StowedItem, Units};
use crate::book::problem::{Level, Place, Problem};
use crate::book::quantity::{self, Dimension};
use crate::book::table::Table;
use crate::book::tree::{Node, Value};
use crate::book::words;
use crate::length::Length;
use crate::limits;
use crate::rigging::axes::Position;
use crate::rigging::stowage::{
    Boat, Change, Extent, Figure, Impossible, Item, ListAngle, Plan, SMALL_LIST_DEG, Stage, StageWorked, Stowed,
    Worked, faults_of_item, work_out,
};
use crate::tuning::mark;
use crate::wrong::Wrong;

const STAGES: [(&str, Stage); 4] =
    [("dock", Stage::Dock), ("start", Stage::Start), ("middle", Stage::Middle), ("finish", Stage::Finish)];
const WHAT: &str = "the stowage";
const ITEM: &str =
    "{what: anchor, mass: 16 kg, now: [1 m, 0 m, 1 m], plan: move, to: [5 m, 0 m, 0.1 m], stow: under the sole}";

pub fn stowage(
    node: &Node,
    hull: Option<&BookBoat>,
    units: &Units,
    tables: &mut Tables<'_>,
    problems: &mut Vec<Problem>,
) -> Option<Stowage> {
    let before = problems.len();
    let mut fields = Table::open(node, WHAT, problems)?;
    fields.place = super::start_of(node);
    let figures = Figures::read(&mut fields, units, problems);
    let mut nodes: Vec<Node> = Vec::new();
    if !fields.has("items") && !fields.has("table") {
        problems.push(Problem::error(super::start_of(node), "nothing is stowed", format!("write `items: [{ITEM}]`")));
    }
    if let Some(list) = fields.take("items") {
        nodes.extend_from_slice(
            list.some_items("the items", 1..=limits::MAX_DECLARED, ITEM, problems).unwrap_or_default(),
        );
    }
    if let Some(table) = fields.take("table") {
        nodes.extend(
            csv_table::records(table, WHAT, units, tables, problems).unwrap_or_default().into_iter().map(from_csv),
        );
    }
    fields.finish(problems);
    let items: Vec<Option<StowedItem>> = nodes.iter().map(|node| item(node, units, problems)).collect();
    let is_error = |problem: &Problem| problem.level == Level::Error;
    if problems.iter().skip(before).any(is_error) {
        // What cannot be reckoned as a whole can be looked at piece by piece.
        let items: Vec<StowedItem> = items.into_iter().flatten().collect();
        let boat = figures.boat(hull);
        let faults = items.iter().enumerate().flat_map(|(index, item)| faults_of_item(&boat, index, &item.item));
        problems.extend(faults.map(|fault| said(&fault, &items, &super::start_of(node))));
        let told =
            figures.given.iter().any(|given| ["centre_of_gravity", "centre_of_flotation"].contains(&given.value));
        problems.extend((!told).then(|| said(&Impossible::NoPitchAxis, &items, &super::start_of(node))));
        return None;
    }
    let items: Vec<StowedItem> = items.into_iter().collect::<Option<_>>()?;
    let boat = figures.boat(hull);
    let plain: Vec<Item> = items.iter().map(|item| item.item.clone()).collect();
    match work_out(&boat, &plain) {
        Ok(worked) => {
            problems.extend(doubts(&worked, &boat, &super::start_of(node)));
            Some(Stowage { boat, given: figures.given, items, worked, place: node.place.clone() })
        }
        Err(faults) => {
            problems.extend(faults.iter().map(|fault| said(fault, &items, &super::start_of(node))));
            None
        }
    }
}

/// A fault at its place, that of its item or of the whole.
fn said(fault: &Impossible, items: &[StowedItem], whole: &Place) -> Problem {
    let (of, wrong) = wording(fault, items);
    let place = of.and_then(|item| items.get(item)).map_or(whole, |item| &item.place);
    wrong.about(WHAT).at(place)
}

/// The boat's figures as the book gives them.
struct Figures {
    displacement_kg: f64,
    gravity: Option<Position>,
    flotation: Option<Length>,
    gm: Option<Length>,
    gyradius: Option<Length>,
    beam: Option<Length>,
    to_trim: Option<f64>,
    to_sink: Option<f64>,
    given: Vec<Spanned<&'static str>>,
}

impl Figures {
    /// What cannot be read is left out, which has had its complaint.
    fn read(fields: &mut Table<'_>, units: &Units, problems: &mut Vec<Problem>) -> Figures {
        let mut given = Vec::new();
        let mut note =
            |field: &'static str, node: &Node| given.push(Spanned { value: field, place: node.place.clone() });
        let displacement = fields.need("displacement", "displacement: 6400 kg", problems).and_then(|node| {
            note("displacement", node);
            quantity::mass_kg(node, units, "the displacement", &limits::DISPLACEMENT_KG, problems)
        });
        let gravity = fields.take("centre_of_gravity").and_then(|node| {
            note("centre_of_gravity", node);
            places::within(node, "the centre of gravity", units, &limits::CENTRE_AFT, problems)
        });
        let mut length = |field, within, problems: &mut Vec<Problem>| {
            let node = fields.take(field)?;
            note(field, node);
            quantity::length(node, units, &format!("`{field}` of the stowage"), within, problems)
        };
        let flotation = length("centre_of_flotation", &limits::CENTRE_AFT, problems);
        let gm = length("gm", &limits::METACENTRIC_HEIGHT, problems);
        let beam = length("beam", &limits::BEAM, problems);
        let gyradius = length("gyradius", &limits::GYRADIUS, problems);
        let to_trim = fields.take("moment_to_trim").and_then(|node| {
            note("moment_to_trim", node);
            moment_to_trim(node, units, problems)
        });
        let to_sink = fields.take("mass_to_sink").and_then(|node| {
            note("mass_to_sink", node);
            mass_to_sink(node, units, problems)
        });
        let displacement_kg = displacement.unwrap_or_default();
        Figures { displacement_kg, gravity, flotation, gm, gyradius, beam, to_trim, to_sink, given }
    }

    fn boat(&self, hull: Option<&BookBoat>) -> Boat {
        Boat {
            displacement_kg: self.displacement_kg,
            centre_of_gravity: self.gravity,
            centre_of_flotation: self.flotation,
            moment_to_trim_kg_m_per_cm: self.to_trim,
            mass_to_sink_kg_per_cm: self.to_sink,
            metacentric_height: self.gm,
            gyradius: self.gyradius,
            extent: Extent {
                x: hull.and_then(|hull| hull.length).map(|length| [Length::ZERO, length]),
                y: self.beam.map(|beam| [beam * -0.5, beam * 0.5]),
                z: None,
            },
        }
    }
}

/// Whether a figure of trim without its unit may well be meant in other units than those it is read in.
fn thinks_in_inches(units: &Units) -> bool {
    matches!(units.length, LengthUnit::Inch | LengthUnit::Foot) || units.mass == MassUnit::Pound
}

/// `95`, `95 kg·m/cm`, `530 lb·ft/in`.
fn moment_to_trim(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<f64> {
    const WHAT: &str = "the moment to change trim";
    let read = quantity::measure(node, units.bare(Dimension::MomentToTrim), WHAT, &limits::MOMENT_TO_TRIM, problems)?;
    let bare = words::text_of(node).and_then(quantity::split).is_some_and(|(_, unit)| unit.is_empty());
    if bare && thinks_in_inches(units) {
        problems.push(Problem::warning(
            node.place.clone(),
            format!("{WHAT} has no unit and is read as {} kg·m/cm", mark::print_decimal(read)),
            format!("write `{} kg·m/cm` if you mean that, else its unit: `1100 lb·ft/in`", mark::print_decimal(read)),
        ));
    }
    Some(read)
}

/// `190 kg`, for 1 cm; `190 kg/cm`, `1060 lb/in`.
fn mass_to_sink(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<f64> {
    const WHAT: &str = "the mass to sink";
    let for_what = words::text_of(node).and_then(quantity::split).is_some_and(|(_, unit)| unit.contains('/'));
    if for_what {
        return quantity::measure(node, units.bare(Dimension::MassToSink), WHAT, &limits::MASS_TO_SINK, problems);
    }
    let read = quantity::mass_kg(node, units, "the mass to sink 1 cm", &limits::MASS_TO_SINK, problems)?;
    if thinks_in_inches(units) {
        problems.push(Problem::warning(
            node.place.clone(),
            format!("{WHAT} does not say how deep, and is read as the mass for 1 cm"),
            format!(
                "write `{}/cm` if you mean that, else its unit: `900 lb/in`",
                words::text_of(node).unwrap_or_default()
            ),
        ));
    }
    Some(read)
}

/// What the plan does that a skipper should think about, and what cannot be told of it.
fn doubts(worked: &Worked, boat: &Boat, place: &Place) -> Vec<Problem> {
    let states = || {
        let each = |stage: &'_ StageWorked| {
            [(Stowed::Now, stage.stage, stage.now.list), (Stowed::Planned, stage.stage, stage.planned.list)]
        };
        worked.stages.iter().flat_map(each)
    };
    let when = |stowed: Stowed, stage: Stage| {
        let how = if stowed == Stowed::Now { "stowed as now" } else { "stowed as planned" };
        let stage = STAGES.iter().find(|(_, known)| *known == stage).map_or("", |(name, _)| name);
        format!("{how}, stage `{stage}`")
    };
    let mut doubts = Vec::new();
    let past = states().find_map(|(stowed, stage, list)| match list?.angle {
        ListAngle::PastSmall { to_starboard } => Some((stowed, stage, to_starboard)),
        ListAngle::Small { .. } => None,
    });
    if let Some((stowed, stage, to_starboard)) = past {
        let (side, most) = (if to_starboard { "starboard" } else { "port" }, mark::print_decimal(SMALL_LIST_DEG));
        doubts.push(Problem::warning(
            place.clone(),
            format!("{}: she lists more than {most}° to {side}, more than GM alone can tell", when(stowed, stage)),
            "shift weight to the other side or lower; no figure is printed, since it takes her curve of righting levers",
        ));
    }
    let unknown = states().find(|(_, _, list)| boat.metacentric_height.is_some() && list.is_none());
    if let Some((stowed, stage, _)) = unknown {
        doubts.push(Problem::warning(
            place.clone(),
            format!(
                "{}: GM and list cannot be told, for the gear weighs more or less than it did",
                when(stowed, stage)
            ),
            "say how high her centre of gravity is: `centre_of_gravity: [6 m, 0 m, 0.2 m]`",
        ));
    }
    doubts
}

/// A line of a CSV list as an item of the book: `aft, starboard, up` and `to_aft, to_starboard, to_up` are its places,
/// `wet_from` the stage from which it is wet.
fn from_csv(record: Vec<(Node, Node)>) -> Node {
    let place = record
        .first()
        .map_or_else(|| Place { source: crate::book::SourceId(0), bytes: 0..0 }, |(_, value)| value.place.clone());
    let cell = |name: &str| {
        let found = record.iter().find(|(key, _)| words::text_of(key) == Some(name));
        found.map(|(_, value)| value.clone()).filter(|value| words::text_of(value).is_some_and(|text| !text.is_empty()))
    };
    let mut fields: Vec<(Node, Node)> = Vec::new();
    for (field, parts) in [("now", ["aft", "starboard", "up"]), ("to", ["to_aft", "to_starboard", "to_up"])] {
        let parts: Vec<Node> = parts.iter().filter_map(|part| cell(part)).collect();
        if let Some(first) = parts.first() {
            let place = first.place.clone();
            let key = Node { place: place.clone(), value: Value::Text { text: field.to_owned(), plain: true } };
            fields.push((key, Node { place, value: Value::List(parts) }));
        }
    }
    if let Some(stage) = cell("wet_from") {
        let text = |text: &str| Value::Text { text: text.to_owned(), plain: true };
        let at = |value| Node { place: stage.place.clone(), value };
        let wet = at(Value::Map(vec![(at(text("wet")), at(text("true")))]));
        fields.push((at(text("stages")), at(Value::Map(vec![(stage.clone(), wet)]))));
    }
    let places = ["aft", "starboard", "up", "to_aft", "to_starboard", "to_up", "wet_from"];
    let rest = record.into_iter().filter(|(key, value)| {
        let name = words::text_of(key).unwrap_or_default();
        !places.contains(&name) && words::text_of(value).is_some_and(|text| !text.is_empty())
    });
    fields.extend(rest);
    Node { place, value: Value::Map(fields) }
}

fn item(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<StowedItem> {
    let mut fields = Table::open(node, "an item", problems)?;
    fields.place = super::start_of(node);
    let name = fields.need("what", "what: anchor", problems).and_then(|node| words::words(node, "an item", problems));
    let what = name.as_ref().map_or_else(|| "an item".to_owned(), |name| format!("the {}", name.value));
    let place = name.as_ref().map_or_else(|| fields.place.clone(), |name| name.place.clone());
    fields.what.clone_from(&what);
    let mass = fields.need("mass", "mass: 16 kg", problems).and_then(|node| {
        quantity::mass_kg(node, units, &format!("the mass of {what}"), &limits::STOWED_MASS_KG, problems)
    });
    let now = fields
        .need("now", "now: [1 m, 0 m, 1 m]", problems)
        .and_then(|node| places::position(node, &format!("the place of {what}"), units, problems));
    let plans = [("keep", 0), ("ashore", 1), ("move", 2)];
    let plan = fields
        .take("plan")
        .map_or(Some(0), |node| words::choice(node, &format!("the plan for {what}"), &plans, problems));
    let to = fields.take("to");
    if plan == Some(2) && to.is_none() {
        let instead = "write `to: [5 m, 0 m, 0.1 m]`";
        problems.push(Problem::error(place.clone(), format!("{what} is to move, but not where to"), instead));
    }
    if plan.is_some_and(|plan| plan != 2) && to.is_some() {
        let instead = "write `plan: move`, or take `to` out";
        problems.push(Problem::error(
            place.clone(),
            format!("{what} has a place to go to but is not to move"),
            instead,
        ));
    }
    let to = to.and_then(|node| places::position(node, &format!("the new place of {what}"), units, problems));
    let stow = fields.take("stow").and_then(|node| words::words(node, &format!("where to stow {what}"), problems));
    let required = fields
        .take("required")
        .and_then(|node| words::flag(node, &format!("`required` of {what}"), problems))
        .unwrap_or(false);
    let wet = fields.take("wet");
    let wet_factor = wet
        .and_then(|node| {
            quantity::plain_number(node, &format!("the wet factor of {what}"), &limits::WET_FACTOR, problems)
        })
        .unwrap_or(1.0);
    let mut changes = Vec::new();
    for (key, value) in fields
        .take("stages")
        .and_then(|node| {
            node.some_entries(&format!("the stages of {what}"), 0..=limits::MAX_ROWS, "{start: 1}", problems)
        })
        .unwrap_or_default()
    {
        let Some(stage) = words::choice(key, "a stage", &STAGES, problems) else { continue };
        let Some(mut of) = Table::open(value, format!("a stage of {what}"), problems) else { continue };
        let left = of
            .take("left")
            .and_then(|node| quantity::plain_number(node, "the part left", &limits::LOADED_PART, problems));
        let wet = of.take("wet").and_then(|node| words::flag(node, "`wet`", problems));
        let at: Option<Position> = of.take("at").and_then(|node| places::position(node, "the place", units, problems));
        of.finish(problems);
        changes.push((stage, Change { left, wet, at }));
    }
    fields.finish(problems);
    let plan = match plan? {
        0 => Plan::Keep,
        1 => Plan::Ashore,
        _ => Plan::Move(to?),
    };
    let item = Item { mass_kg: mass?, now: now?, plan, required, wet_factor, changes };
    if let Some(node) = wet.filter(|_| !item.gets_wet()) {
        problems.push(Problem::warning(
            node.place.clone(),
            format!("{what} has a wet mass, but no stage in which it is wet: it counts as dry"),
            "write `stages: {middle: {wet: true}}` (`wet_from: middle` in a table), or take `wet` out",
        ));
    }
    Some(StowedItem { name: name?.value, stow: stow.map(|stow| stow.value), item, place })
}

/// Which item, and the words.
fn wording(fault: &Impossible, items: &[StowedItem]) -> (Option<usize>, Wrong) {
    let name = |item: usize| items.get(item).map_or("item", |item| item.name.as_str());
    let say = |item: usize, what: &str, instead: &str| {
        (Some(item), Wrong::new(format!("the {}: {what}", name(item)), instead))
    };
    match fault {
        Impossible::Figure { figure, .. } => {
            let field = match figure {
                Figure::Displacement => "displacement",
                Figure::MomentToTrim => "moment_to_trim",
                Figure::MassToSink => "mass_to_sink",
                Figure::MetacentricHeight => "gm",
                Figure::Gyradius => "gyradius",
            };
            (None, Wrong::new(format!("`{field}` is 0 or less"), "take it from the boat's papers or her designer"))
        }
        Impossible::NoPitchAxis => {
            let what = "nothing says what she pitches about";
            (None, Wrong::new(what, "give `centre_of_gravity: [6 m, 0 m, 0.2 m]` or `centre_of_flotation: 6.3 m`"))
        }
        Impossible::Mass { item, .. } => say(*item, "its mass is 0 or less", "weigh it"),
        Impossible::WetFactor { item, .. } => say(*item, "water makes it lighter", "write 1 or more"),
        Impossible::Left { item, .. } => say(*item, "the part left is not from 0 to 1", "1 is whole, 0 is used up"),
        Impossible::OutsideBoat { item, at, from, to, .. } => {
            let mm = |length: &Length| format!("{:.0} mm", length.to_mm());
            let what =
                format!("it lies outside the boat: {}, where she reaches from {} to {}", mm(at), mm(from), mm(to));
            say(*item, &what, "measure aft of the stem, to starboard of the centreline, up from the waterline")
        }
        Impossible::RequiredAshore { item } => {
            say(*item, "the rules make you carry it, so it cannot stay ashore", "write `plan: keep` or `plan: move`")
        }
        Impossible::GearOutweighsBoat { .. } => {
            (None, Wrong::new("the gear weighs as much as the boat", "check the masses and the displacement"))
        }
        Impossible::Unstable { .. } => {
            (None, Wrong::new("she would not stand up: GM is used up", "check `gm` and the heights"))
        }
        _ => (None, Wrong::new("no answer comes of these numbers", "check their units")),
    }
}
