//! Places aboard, `[5.2 m, 0.9 m, 1.9 m]`: aft of the stem, to starboard, up from the waterline. Knows no gear.

use std::ops::RangeInclusive;

use crate::book::model::Units;
use crate::book::problem::Problem;
use crate::book::quantity;
use crate::book::tree::Node;
use crate::length::Length;
use crate::limits;
use crate::rigging::axes::Position;

pub const EXAMPLE: &str = "[5.2 m, 0.9 m, 1.9 m]";

/// `[aft, to starboard, up]`.
pub fn position(node: &Node, what: &str, units: &Units, problems: &mut Vec<Problem>) -> Option<Position> {
    within(node, what, units, &limits::ABOARD, problems)
}

/// The same, of something that can be no closer to the stem or further aft than `aft`.
pub fn within(
    node: &Node,
    what: &str,
    units: &Units,
    aft: &RangeInclusive<Length>,
    problems: &mut Vec<Problem>,
) -> Option<Position> {
    let items = node.some_items(what, 3..=3, EXAMPLE, problems)?;
    let axes =
        [("aft of the stem", aft), ("to starboard", &limits::ABOARD), ("up from the waterline", &limits::ABOARD)];
    let read: Vec<Option<Length>> = items
        .iter()
        .zip(axes)
        .map(|(item, (axis, within))| quantity::length(item, units, &format!("{what}, {axis}"), within, problems))
        .collect();
    match read.as_slice() {
        [x, y, z] => Some(Position::new((*x)?, (*y)?, (*z)?)),
        _ => None,
    }
}
