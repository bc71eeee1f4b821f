//! The boat, its units, its bands of wind and where its wind comes from.

use crate::book::model::{
    Boat, Dark, LengthUnit, MassUnit, PressureUnit, Spanned, Units, WindKind, WindSource, WindUnit,
};
use crate::book::problem::Problem;
use crate::book::quantity;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words;
use crate::limits;
use crate::tuning::{Axis, Band, Wind};

pub fn boat(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<Boat> {
    let mut fields = Table::open(node, "the boat", problems)?;
    let name = fields
        .need("name", "name: Pepperwort", problems)
        .and_then(|node| words::words(node, "the boat's name", problems));
    let length = fields
        .take("length")
        .and_then(|node| quantity::length(node, units, "the boat's length", &limits::BOAT_LENGTH, problems));
    let hull_node = fields.take("hull");
    let hull = hull_node
        .and_then(|node| quantity::length(node, units, "the length of the hull", &limits::BOAT_LENGTH, problems));
    let launched = fields.take("launched").and_then(|node| year(node, problems));
    fields.finish(problems);
    if let Some((node, (hull, length))) = hull_node.zip(hull.zip(length)).filter(|(_, (hull, length))| hull > length) {
        problems.push(Problem::error(
            node.place.clone(),
            format!("her hull, {hull}, is longer than the boat, {length}"),
            "`length` is the boat with all that sticks out; `hull` is the hull alone",
        ));
    }
    Some(Boat { name: name?, length, hull, launched })
}

/// The year of the primary launch.
fn year(node: &Node, problems: &mut Vec<Problem>) -> Option<i32> {
    let year = words::whole_number(node, "the year she was launched", "1991", problems)?;
    let fits = limits::LAUNCHED.contains(&year);
    if !fits {
        let what = format!("{year} is no year that a boat was launched in");
        problems.push(Problem::error(node.place.clone(), what, "write the year with its four digits: `1991`"));
    }
    fits.then_some(year)
}

pub fn units(node: &Node, problems: &mut Vec<Problem>) -> Units {
    let standard = Units::default();
    let Some(mut fields) = Table::open(node, "the units", problems) else { return standard };
    let length = [
        ("mm", LengthUnit::Millimetre),
        ("cm", LengthUnit::Centimetre),
        ("m", LengthUnit::Metre),
        ("in", LengthUnit::Inch),
        ("ft", LengthUnit::Foot),
    ];
    let wind = [("kn", WindUnit::Knot), ("m/s", WindUnit::MetrePerSecond)];
    let mass = [("kg", MassUnit::Kilogram), ("lb", MassUnit::Pound)];
    let pressure = [("bar", PressureUnit::Bar), ("psi", PressureUnit::Psi)];
    let units = Units {
        length: unit(&mut fields, "length", &length, problems).unwrap_or(standard.length),
        wind: unit(&mut fields, "wind", &wind, problems).unwrap_or(standard.wind),
        mass: unit(&mut fields, "mass", &mass, problems).unwrap_or(standard.mass),
        pressure: unit(&mut fields, "pressure", &pressure, problems).unwrap_or(standard.pressure),
    };
    fields.finish(problems);
    units
}

fn unit<T: Copy>(
    fields: &mut Table<'_>,
    field: &'static str,
    choices: &[(&str, T)],
    problems: &mut Vec<Problem>,
) -> Option<T> {
    let node = fields.take(field)?;
    words::choice(node, &format!("the unit of {field}"), choices, problems)
}

/// The edges between the bands, as the rows of the cards.
pub fn wind_bands(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Vec<Band> {
    let what = "the wind bands";
    let example = "[4, 8, 11, 14, 17, 20]";
    let edges = node.some_items("the edges of the wind bands", 2..=limits::MAX_ROWS, example, problems);
    let Some(items) = edges else { return Vec::new() };
    let read = |item: &Node, problems: &mut Vec<Problem>| {
        let value = quantity::wind(item, units, what, &limits::WIND_KN, problems)?;
        Some(Spanned { value, place: item.place.clone() })
    };
    let edges: Vec<Spanned<Wind>> = items.iter().filter_map(|item| read(item, problems)).collect();
    for pair in edges.windows(2) {
        if !pair[0].value.is_below(pair[1].value) {
            problems.push(Problem::error(
                pair[1].place.clone(),
                format!(
                    "{what} do not rise: {} follows {}",
                    pair[1].value.as_written(units.wind),
                    pair[0].value.as_written(units.wind)
                ),
                "write each edge once, from light to strong",
            ));
        }
    }
    bands(&edges.iter().map(|edge| edge.value).collect::<Vec<_>>())
}

/// The bands between neighbouring edges.
pub fn bands(edges: &[Wind]) -> Vec<Band> {
    edges.windows(2).filter(|pair| pair[0].is_below(pair[1])).map(|pair| Band::new(pair[0], pair[1])).collect()
}

pub fn wind_source(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<WindSource> {
    let mut fields = Table::open(node, "the wind source", problems)?;
    let kinds = [("true", WindKind::True), ("apparent", WindKind::Apparent)];
    let kind = fields.need("kind", "kind: true", problems);
    let kind = kind.and_then(|node| words::choice(node, "the kind of wind", &kinds, problems));
    let sensor = fields.take("sensor").and_then(|node| words::words(node, "the wind sensor", problems));
    let calibrated = fields.take("calibrated").and_then(|node| words::day(node, "the day of calibration", problems));
    let height = fields.take("height").and_then(|node| {
        quantity::length(node, units, "the height of the wind sensor", &limits::SENSOR_HEIGHT, problems)
    });
    fields.finish(problems);
    Some(WindSource {
        kind: kind?,
        sensor: sensor.map(|sensor| sensor.value),
        calibrated: calibrated.map(|day| day.value),
        height,
    })
}

pub fn dark(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<Dark> {
    let mut fields = Table::open(node, "`dark`", problems)?;
    let earlier = fields.need("change_earlier", "change_earlier: 2 kn", problems);
    let earlier = earlier.and_then(|node| {
        quantity::wind(node, units, "`change_earlier` of `dark`", &limits::CHANGE_EARLIER_KN, problems)
    });
    fields.finish(problems);
    Some(Dark { change_earlier: earlier? })
}

/// `change_points: {apart: 1 kn}`: how far apart building and easing are printed.
pub fn rungs_apart(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<Wind> {
    let mut fields = Table::open(node, "`change_points`", problems)?;
    let apart = fields.need("apart", "apart: 1 kn", problems);
    let apart = apart
        .and_then(|node| quantity::wind(node, units, "`apart` of `change_points`", &limits::RUNGS_APART_KN, problems));
    fields.finish(problems);
    apart
}
