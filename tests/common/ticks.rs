//! A ruler laid along a strip's pointer edge: where the marks stand, seen from the datum.

use kurbo::{Line, Point, Size};

use super::content::Segment;
use super::seamanship::Way;

/// A mark begins within this of the edge that the pointer runs along, millimetres.
const FROM_EDGE: f64 = 2.0;
/// A line is across the strip if it leans less than this over its length, millimetres.
const LEAN: f64 = 1e-3;

/// How far along the strip a point lies, growing the way the numbers grow, from wherever.
pub fn along(point: Point, way: Way) -> f64 {
    match way {
        Way::Right => point.x,
        Way::Left => -point.x,
        Way::Down => point.y,
        Way::Up => -point.y,
    }
}

/// How far a point lies from an edge of a drawing of `size`.
fn from_edge(point: Point, edge: Way, size: Size) -> f64 {
    match edge {
        Way::Up => point.y,
        Way::Down => size.height - point.y,
        Way::Left => point.x,
        Way::Right => size.width - point.x,
    }
}

/// Places of all lines across a strip that begin at the pointer's edge, in rising order, as [`along`] has them.
pub fn marks(segments: &[Segment], size: Size, way: Way, edge: Way) -> Vec<f64> {
    let inner = |line: &Line| [line.p0, line.p1].map(|end| from_edge(end, edge, size));
    let mut places: Vec<f64> = segments
        .iter()
        .filter(|segment| segment.layer == "print" && !segment.dashed)
        .filter(|segment| {
            let [one, other] = inner(&segment.line);
            let lean = (along(segment.line.p0, way) - along(segment.line.p1, way)).abs();
            lean < LEAN && one.min(other) < FROM_EDGE && one.max(other) > FROM_EDGE
        })
        .map(|segment| along(segment.line.midpoint(), way))
        .collect();
    places.sort_by(f64::total_cmp);
    places
}

/// The same, measured from the first of them.
pub fn from_datum(segments: &[Segment], size: Size, way: Way, edge: Way) -> Vec<f64> {
    let places = marks(segments, size, way, edge);
    let datum = places.first().copied().unwrap_or_default();
    places.into_iter().map(|place| place - datum).collect()
}

/// What is wrong between marks found and marks wanted: one that stands elsewhere, or one that is missing.
pub fn faults(found: &[f64], wanted: &[f64], within: f64) -> Vec<String> {
    let near = |place: f64, others: &[f64]| {
        others.iter().copied().min_by(|a, b| (a - place).abs().total_cmp(&(b - place).abs()))
    };
    let off = |place: &&f64, others: &[f64]| near(**place, others).is_none_or(|other| (other - **place).abs() > within);
    let stray = found.iter().filter(|place| off(place, wanted));
    let missing = wanted.iter().filter(|place| off(place, found));
    stray
        .map(|place| format!("a mark at {place:.4} mm, wanted {:.4?} mm", near(*place, wanted)))
        .chain(missing.map(|place| format!("no mark at {place:.4} mm, nearest {:.4?} mm", near(*place, found))))
        .collect()
}
