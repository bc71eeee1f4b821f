//! Crop marks: short lines outside a piece's corners that guide a knife. Knows rectangles only.

use kurbo::{Line, Point, Rect, Vec2};

use super::pack::GAP_MM;
use crate::size::SLACK_MM;

/// White kept between a mark and whatever is printed, so that a slip of the knife never cuts into a mark's piece.
const CLEAR_MM: f64 = 0.5;
/// How far from its corner a mark reaches where nothing stands in its way: the gap between two pieces.
pub(super) const REACH_MM: f64 = GAP_MM;
/// A mark shorter than this guides no knife.
const LEAST_MM: f64 = 0.8;

/// The crop marks of all `pieces` of a page, inside `printable` and clear of the pieces and of `taken`.
///
/// Marks of two neighbours that coincide are drawn once.
pub(super) fn marks(pieces: &[Rect], taken: &[Rect], printable: Rect) -> Vec<Line> {
    let mut marks: Vec<Line> = Vec::new();
    for piece in pieces {
        for (corner, outward) in corners(*piece) {
            for direction in [Vec2::new(outward.x, 0.0), Vec2::new(0.0, outward.y)] {
                let others = pieces.iter().filter(|other| *other != piece).chain(taken);
                // A neighbour edge to edge begins where the mark does, beside it: the mark shows the cut between the two.
                let start = corner + direction * CLEAR_MM;
                let end = others
                    .map(|other| CLEAR_MM + run(start, direction, other.inflate(CLEAR_MM, CLEAR_MM)))
                    .fold(REACH_MM.min(run_inside(corner, direction, printable)), f64::min);
                let mark = Line::new(start, corner + direction * end);
                if end - CLEAR_MM >= LEAST_MM && !marks.iter().any(|other| same(*other, mark)) {
                    marks.push(mark);
                }
            }
        }
    }
    marks
}

fn corners(piece: Rect) -> [(Point, Vec2); 4] {
    [
        (Point::new(piece.x0, piece.y0), Vec2::new(-1.0, -1.0)),
        (Point::new(piece.x1, piece.y0), Vec2::new(1.0, -1.0)),
        (Point::new(piece.x0, piece.y1), Vec2::new(-1.0, 1.0)),
        (Point::new(piece.x1, piece.y1), Vec2::new(1.0, 1.0)),
    ]
}

/// How far one may go from a place before entering `obstacle`.
fn run(corner: Point, direction: Vec2, obstacle: Rect) -> f64 {
    let (along, across) = if direction.x != 0.0 {
        ((corner.x, obstacle.x0, obstacle.x1, direction.x), (corner.y, obstacle.y0, obstacle.y1))
    } else {
        ((corner.y, obstacle.y0, obstacle.y1, direction.y), (corner.x, obstacle.x0, obstacle.x1))
    };
    let (at, low, high) = across;
    if at <= low || at >= high {
        return f64::INFINITY;
    }
    let (at, low, high, sign) = along;
    let (enters, leaves) = if sign > 0.0 { (low - at, high - at) } else { (at - high, at - low) };
    if leaves <= SLACK_MM { f64::INFINITY } else { enters.max(0.0) }
}

/// How far one may go from `corner` before leaving `area`.
fn run_inside(corner: Point, direction: Vec2, area: Rect) -> f64 {
    match (direction.x, direction.y) {
        (x, _) if x > 0.0 => area.x1 - corner.x,
        (x, _) if x < 0.0 => corner.x - area.x0,
        (_, y) if y > 0.0 => area.y1 - corner.y,
        _ => corner.y - area.y0,
    }
}

fn same(one: Line, other: Line) -> bool {
    let near = |a: Point, b: Point| (a - b).hypot() <= SLACK_MM;
    (near(one.p0, other.p0) && near(one.p1, other.p1)) || (near(one.p0, other.p1) && near(one.p1, other.p0))
}
