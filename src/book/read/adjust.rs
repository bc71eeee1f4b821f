//! Adjustments for the sea: by name, which controls move and how far, and where that holds.

use super::controls::declarations;
use super::points_of_sail;
use super::raw_rows::Known;
use crate::book::model::{Adjustment, Control, Scope, Spanned, Units};
use crate::book::problem::Problem;
use crate::book::quantity;
use crate::book::table::Table;
use crate::book::tree::{Node, Value};
use crate::book::words::{self, Reference};
use crate::limits;
use crate::tuning::adjust::Offset;

/// The field that says where an adjustment holds; it holds fields, and so is no control of that name.
const SCOPE: &str = "for";

pub fn adjustments(node: &Node, known: &Known<'_>, problems: &mut Vec<Problem>) -> Vec<Adjustment> {
    let mut found = Vec::new();
    for (key, value) in declarations(node, "adjust", problems).unwrap_or_default() {
        let Some(id) = words::id(key, "an adjustment", problems) else { continue };
        let what = format!("adjustment \"{}\"", id.value);
        let Some(entries) = value.some_entries(&what, 0..=limits::MAX_ROWS, "{backstay: +1}", problems) else {
            continue;
        };
        let is_scope =
            |(key, value): &&(Node, Node)| words::text_of(key) == Some(SCOPE) && matches!(value.value, Value::Map(_));
        let scope = entries.iter().find(is_scope);
        let scope = scope.map(|(_, value)| scope_of(value, &what, known, problems)).unwrap_or_default();
        let entries: Vec<&(Node, Node)> = entries.iter().filter(|entry| !is_scope(entry)).collect();
        if entries.is_empty() {
            problems.push(Problem::error(
                key.place.clone(),
                format!("{what} moves nothing"),
                "write which controls it moves: {backstay: -½}",
            ));
        }
        let read = |(control, far): &(Node, Node), problems: &mut Vec<Problem>| {
            let called = words::text_of(control)?;
            let found = known.control_names.find(called, &control.place, problems)?;
            let Reference::To(index) = found else { return None };
            let offset = offset(far, known.controls.get(index)?, &what, &known.units, problems)?;
            Some((index, Spanned { value: offset, place: far.place.clone() }))
        };
        let mut moves: Vec<_> = entries.iter().filter_map(|entry| read(entry, problems)).collect();
        moves.sort_by_key(|(index, _)| *index);
        found.push(Adjustment { name: words::name_from_id(&id.value), id, scope, moves });
    }
    found
}

/// `{point_of_sail: upwind, wind: 8..20, sails: [j1]}`.
fn scope_of(node: &Node, what: &str, known: &Known<'_>, problems: &mut Vec<Problem>) -> Scope {
    let Some(mut fields) = Table::open(node, format!("`for` of {what}"), problems) else { return Scope::default() };
    let points = fields.take("point_of_sail").and_then(|node| {
        node.some_items(
            &format!("the points of sail that {what} is for"),
            1..=points_of_sail::NAMES.len(),
            "[upwind]",
            problems,
        )
    });
    let points = points.unwrap_or_default().iter();
    let points_of_sail = points
        .filter_map(|node| {
            words::choice(node, &format!("a point of sail that {what} is for"), &points_of_sail::NAMES, problems)
        })
        .collect();
    let winds = fields.take("wind").and_then(|node| {
        quantity::wind_range(node, &known.units, &format!("the wind that {what} is for"), &limits::WIND_KN, problems)
    });
    let sails = fields.take("sails").and_then(|node| {
        node.some_items(&format!("the sails that {what} is for"), 1..=limits::MAX_DECLARED, "[j1]", problems)
    });
    let mut named = Vec::new();
    for node in sails.unwrap_or_default() {
        let Some(name) = words::words(node, &format!("a sail that {what} is for"), problems) else { continue };
        // What cannot be read has had its complaint, and this goes with it.
        if known.sail_names.find(&name.value, &name.place, problems).is_some() {
            named.push(name);
        }
    }
    fields.finish(problems);
    Scope { points_of_sail, winds: winds.map(|range| range.value), sails: named }
}

fn offset(node: &Node, control: &Control, what: &str, units: &Units, problems: &mut Vec<Problem>) -> Option<Offset> {
    let about = format!("\"{}\" of {what}", control.id.value);
    let text = node.text(&about, problems)?;
    let read = super::offset::offset(text, &control.scale, units);
    read.map_err(|wrong| problems.push(wrong.about(&about).at(&node.place))).ok()
}
