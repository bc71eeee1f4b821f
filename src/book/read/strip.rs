//! How a control's scale stands on the boat and is printed.

use super::start_of;
use crate::book::model::{Arc, Datum, Direction, Sides, Spanned, Stands, StripPlan, TickEdge, Units, WindsOf};
use crate::book::problem::Problem;
use crate::book::quantity;
use crate::book::table::Table;
use crate::book::tree::{Node, Value};
use crate::book::words;
use crate::limits;
use crate::tuning::Scale;

const SIDES: [(&str, Sides); 3] = [("both", Sides::Both), ("port", Sides::Port), ("starboard", Sides::Starboard)];
const DIRECTIONS: [(&str, Direction); 8] = [
    ("forward", Direction::Forward),
    ("aft", Direction::Aft),
    ("outboard", Direction::Outboard),
    ("inboard", Direction::Inboard),
    ("port", Direction::Port),
    ("starboard", Direction::Starboard),
    ("up", Direction::Up),
    ("down", Direction::Down),
];
const STANDS: [(&str, Stands); 4] =
    [("inboard", Stands::Inboard), ("outboard", Stands::Outboard), ("aft", Stands::Aft), ("forward", Stands::Forward)];
const TICKS: [(&str, TickEdge); 6] = [
    ("far", TickEdge::Far),
    ("near", TickEdge::Near),
    ("left", TickEdge::Left),
    ("right", TickEdge::Right),
    ("inboard", TickEdge::Inboard),
    ("outboard", TickEdge::Outboard),
];

pub fn strip(
    node: &Node,
    scale: Option<&Scale>,
    control: &str,
    units: &Units,
    problems: &mut Vec<Problem>,
) -> Option<StripPlan> {
    let what = format!("the strip of {control}");
    let mut fields = Table::open(node, what.as_str(), problems)?;
    fields.place = start_of(node);
    let place = fields.take("place").and_then(|node| words::words(node, &format!("the place of {what}"), problems));
    let sides = choose(&mut fields, "sides", &SIDES, problems).map_or(Sides::One, |sides| sides.value);
    let grows = choose(&mut fields, "grows", &DIRECTIONS, problems).map(|grows| grows.value);
    let reader_stands = choose(&mut fields, "reader_stands", &STANDS, problems).map(|stands| stands.value);
    let ticks = choose(&mut fields, "ticks", &TICKS, problems);
    let reading_distance = fields.take("reading_distance").and_then(|node| {
        quantity::length(node, units, &format!("the reading distance of {what}"), &limits::READING_DISTANCE, problems)
    });
    let width = fields.take("width").and_then(|node| {
        quantity::length(node, units, &format!("the width of {what}"), &limits::STRIP_WIDTH, problems)
    });
    let pointer =
        fields.take("pointer").and_then(|node| words::words(node, &format!("the pointer of {what}"), problems));
    let second_datum = fields.take("second_datum").and_then(|node| datum(node, &what, units, problems));
    let datum = fields.take("datum").and_then(|node| datum(node, &what, units, problems));
    let winds = fields.take("winds").map(|node| winds(node, &what, problems)).unwrap_or_default();
    let beside = match (fields.take("beside"), scale) {
        (Some(node), Some(scale)) => beside(node, scale, &what, problems),
        _ => Vec::new(),
    };
    let arc = fields.take("arc").and_then(|node| arc(node, &what, units, problems));
    let mirror = fields.take("mirror").and_then(|node| words::flag(node, &format!("`mirror` of {what}"), problems));
    fields.finish(problems);
    if scale.is_some_and(|scale| scale.mark_count() == 0) {
        problems.push(Problem::error(
            start_of(node),
            format!("{control} has a strip, but its scale has no lengths: turns, gauges and words cannot be laid out"),
            "take `strip` out, or give it `marks` with a `spacing`, or `measured` pairs",
        ));
        return None;
    }
    Some(StripPlan {
        at: node.place.clone(),
        place: place.map(|place| place.value),
        sides,
        grows,
        reader_stands,
        ticks,
        reading_distance: reading_distance.unwrap_or(limits::DEFAULT_READING_DISTANCE),
        width: width.unwrap_or(limits::DEFAULT_STRIP_WIDTH),
        pointer: pointer.map(|pointer| pointer.value),
        datum,
        second_datum,
        winds,
        beside,
        arc,
        mirror: mirror.unwrap_or(false),
    })
}

/// `{radius: 2.4 m, middle: far}`.
fn arc(node: &Node, strip: &str, units: &Units, problems: &mut Vec<Problem>) -> Option<Arc> {
    let what = format!("the arc of {strip}");
    let mut fields = Table::open(node, what.as_str(), problems)?;
    fields.place = start_of(node);
    let radius = fields.need("radius", "radius: 2.4 m", problems);
    let radius = radius.and_then(|node| {
        quantity::length(node, units, &format!("the radius of {what}"), &limits::ARC_RADIUS, problems)
    });
    let middle = choose(&mut fields, "middle", &TICKS, problems);
    fields.finish(problems);
    Some(Arc { radius: radius?, middle })
}

/// `[j1-upwind, {settings: j1-reach, angle: 80}]`; whether they exist is seen when the strip is made.
fn winds(node: &Node, strip: &str, problems: &mut Vec<Problem>) -> Vec<WindsOf> {
    let what = format!("`winds` of {strip}");
    let items = node.some_items(&what, 1..=limits::MAX_LANES, "[j1-upwind]", problems).unwrap_or_default();
    items.iter().filter_map(|item| winds_of(item, &what, problems)).collect()
}

/// `j1-upwind`, or `{settings: j1-reach, angle: 80}`.
fn winds_of(item: &Node, what: &str, problems: &mut Vec<Problem>) -> Option<WindsOf> {
    if !matches!(item.value, Value::Map(_)) {
        return Some(WindsOf { settings: words::id(item, what, problems)?, angle: None });
    }
    let mut fields = Table::open(item, what, problems)?;
    fields.place = start_of(item);
    let settings = fields.need("settings", "settings: j1-reach", problems);
    let settings = settings.and_then(|node| words::id(node, what, problems));
    let angle = fields.take("angle").and_then(|node| {
        let about = format!("the angle of {what}");
        let value = quantity::wind_angle(node, &about, &limits::WIND_ANGLE_DEG, problems)?;
        Some(Spanned { value, place: node.place.clone() })
    });
    fields.finish(problems);
    Some(WindsOf { settings: settings?, angle })
}

/// `{0: 0 bar, 4: 95 bar}`: what a gauge showed at some of the marks.
fn beside(node: &Node, scale: &Scale, strip: &str, problems: &mut Vec<Problem>) -> Vec<(Spanned<f64>, String)> {
    let what = format!("`beside` of {strip}");
    let mut pairs = Vec::new();
    for (key, value) in node.entries(&what, problems).unwrap_or_default() {
        let Some(mark) = key.text(&format!("a mark of {what}"), problems) else { continue };
        let reading = scale.parse(mark).map_err(|error| {
            problems.push(Problem::error(key.place.clone(), format!("{what}: {}", error.what), error.instead));
        });
        let Some(quantity) = words::words(value, &format!("a reading of {what}"), problems) else { continue };
        let has_unit = quantity::split(&quantity.value).is_some_and(|(_, unit)| !unit.is_empty());
        if !has_unit {
            problems.push(Problem::error(
                value.place.clone(),
                format!("{what} has no unit at mark {mark}"),
                "write the quantity with its unit, like `95 bar`",
            ));
        } else if let Ok(value) = reading {
            pairs.push((Spanned { value, place: key.place.clone() }, quantity.value));
        }
    }
    pairs
}

fn choose<T: Copy>(
    fields: &mut Table<'_>,
    field: &'static str,
    choices: &[(&str, T)],
    problems: &mut Vec<Problem>,
) -> Option<Spanned<T>> {
    let node = fields.take(field)?;
    let value = words::choice(node, &format!("`{field}` of {}", fields.what), choices, problems)?;
    Some(Spanned { value, place: node.place.clone() })
}

fn datum(node: &Node, strip: &str, units: &Units, problems: &mut Vec<Problem>) -> Option<Datum> {
    let what = format!("the datum of {strip}");
    let mut fields = Table::open(node, what.as_str(), problems)?;
    fields.place = start_of(node);
    let from = fields
        .need("from", "from: ram eye", problems)
        .and_then(|node| words::words(node, &format!("`from` of {what}"), problems));
    let distance = fields.need("distance", "distance: 310 mm", problems).and_then(|node| {
        quantity::length(node, units, &format!("the distance of {what}"), &limits::DATUM_DISTANCE, problems)
    });
    let measured =
        fields.take("measured").and_then(|node| words::day(node, &format!("`measured` of {what}"), problems));
    fields.finish(problems);
    Some(Datum { from: from?.value, distance: distance?, measured: measured.map(|day| day.value) })
}
