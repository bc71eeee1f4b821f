//! The line along which a long drawing is cut: its longer side, or the edge of its sector. Knows where places along
//! and across it lie, and which window on the drawing a stretch is.

use std::f64::consts::FRAC_PI_2;

use kurbo::{Affine, BezPath, Point, Size, Vec2};

use super::furniture::quarter_turn;
use super::pack::FreeArea;
use crate::drawing::clip::{Band, Side};
use crate::drawing::{Drawing, Sector, Shape};
use crate::size::SLACK_MM;

/// The most of a ring that is one piece, radians: a window between two radial lines is less than half of it.
const MOST_SWEEP: f64 = 2.4;
/// Halvings in which the longest piece is found: to well below a micron.
const HALVINGS: usize = 40;
/// A window that shows an end of a curved drawing reaches this far beyond it, so that no rounding cuts off its outline.
const BEYOND_MM: f64 = 1.0;
/// How far the straight pieces of a tab's curved edge may be off.
const EDGE_TOLERANCE_MM: f64 = 0.02;

/// Where a drawing is long.
#[derive(Clone, Copy, Debug)]
pub(super) struct Axis {
    size: Size,
    /// It lies across the drawing rather than up it.
    level: bool,
    sector: Option<Sector>,
}

/// How a stretch becomes a drawing of its own.
pub(super) struct Window {
    pub size: Size,
    pub to_tile: Affine,
    /// By how much that turns, radians.
    pub turn: f64,
}

impl Axis {
    pub fn of(drawing: &Drawing) -> Self {
        let level = drawing.sector.map_or(drawing.size.width >= drawing.size.height, |sector| sector.is_level());
        Axis { size: drawing.size, level, sector: drawing.sector }
    }

    pub fn length(&self) -> f64 {
        self.sector.map_or(self.size.max_side(), |sector| sector.length())
    }

    pub fn width(&self) -> f64 {
        self.sector.map_or(self.size.min_side(), |sector| sector.width())
    }

    /// The longest stretch that the page holds; none if it is too wide.
    pub fn longest(&self, free: FreeArea) -> Option<f64> {
        let Some(sector) = self.sector else { return straight(free, self.width()) };
        let holds = |length: f64| free.holds(sector.bounds(0.0, length).size());
        let (mut short, mut long) = (0.0, self.length().min(MOST_SWEEP * sector.radius));
        for _ in 0..HALVINGS {
            let middle = (short + long) / 2.0;
            if holds(middle) { short = middle } else { long = middle }
        }
        (short > 0.0).then_some(short)
    }

    pub fn point(&self, along: f64, across: f64) -> Point {
        match self.sector {
            Some(sector) => sector.point(along, across),
            None if self.level => Point::new(along, across),
            None => Point::new(across, along),
        }
    }

    /// What shows between two lines across; without one, as far as the drawing goes.
    pub fn shows(&self, from: Option<f64>, to: Option<f64>) -> Band {
        match self.sector {
            // Beyond half a ring its other end would show too.
            Some(sector) => {
                let side = |along: f64, sign: f64| Side::new(sector.point(along, 0.0), sector.onward(along) * sign);
                let ends = (from.unwrap_or(-BEYOND_MM), to.unwrap_or(self.length() + BEYOND_MM));
                Band::between(side(ends.0, 1.0), side(ends.1, -1.0))
            }
            None => Band::straight(from.unwrap_or(f64::NEG_INFINITY), to.unwrap_or(f64::INFINITY), self.level),
        }
    }

    /// A stretch on its own; a curved one lies as the whole does in its middle.
    pub fn window(&self, from: f64, to: f64) -> Window {
        match self.sector {
            Some(sector) => {
                let bounds = sector.bounds(from, to);
                let to_tile = Affine::translate(-bounds.origin().to_vec2()) * sector.level_out(from, to);
                Window { size: bounds.size(), to_tile, turn: -sector.turn((from + to) / 2.0) }
            }
            None => {
                let length = to - from;
                let size = if self.level { Size::new(length, self.width()) } else { Size::new(self.width(), length) };
                Window { size, to_tile: Affine::translate(self.point(0.0, 0.0) - self.point(from, 0.0)), turn: 0.0 }
            }
        }
    }

    /// A line along, at one place across.
    pub fn along(&self, from: f64, to: f64, across: f64, width: f64) -> Shape {
        let steps = self.sector.map_or(1, |sector| {
            // The rise of an arc over its chord is r·a²/8.
            ((to - from).abs() / (8.0 * EDGE_TOLERANCE_MM * sector.radius).sqrt()).ceil().max(1.0) as usize
        });
        let mut path = BezPath::new();
        path.move_to(self.point(from, across));
        for step in 1..=steps {
            path.line_to(self.point(from + (to - from) * step as f64 / steps as f64, across));
        }
        Shape::stroke(path, width)
    }

    /// A line across, at one place along.
    pub fn across(&self, at: f64, from: f64, to: f64, width: f64) -> Shape {
        Shape::line(self.point(at, from), self.point(at, to), width)
    }

    /// How long a stretch must be to hold words of this length, and how much of its width the arc takes from them.
    pub fn room_for(&self, words: f64) -> (f64, f64) {
        let Some(sector) = self.sector else { return (words, 0.0) };
        let inner = sector.radius.min(sector.other_radius);
        (words * sector.radius / inner, words * words / inner / 8.0)
    }

    /// From a rectangle `length` long that reads to the right, or up if the drawing does, to the stretch at `from`;
    /// and by how much that turns. The rectangle's origin is its upper left corner, `rim` away from the edges.
    pub fn words(&self, from: f64, length: f64, depth: f64, rim: f64) -> (Affine, f64) {
        let upright = if self.level { 0.0 } else { -FRAC_PI_2 };
        match self.sector {
            Some(sector) => {
                let middle = from + self.room_for(length + 2.0 * rim).0 / 2.0;
                let turn = upright + sector.turn(middle);
                let to_whole = Affine::translate(self.point(middle, self.width() / 2.0).to_vec2())
                    * Affine::rotate(turn)
                    * Affine::translate(Vec2::new(-length, -depth) / 2.0);
                (to_whole, turn)
            }
            None => {
                let corner = self.point(from + rim, rim);
                let to_whole = if self.level {
                    Affine::translate(corner.to_vec2())
                } else {
                    quarter_turn(corner.x, corner.y + length)
                };
                (to_whole, upright)
            }
        }
    }
}

/// The longest piece of this width that the page holds.
fn straight(free: FreeArea, width: f64) -> Option<f64> {
    let sides = [free.wide, free.tall].into_iter().flat_map(|area| {
        let (across, up) = (area.width(), area.height());
        [(across, up), (up, across)]
    });
    sides.filter(|(across, _)| width <= across + SLACK_MM).map(|(_, up)| up).max_by(f64::total_cmp)
}
