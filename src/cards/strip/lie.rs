//! How a strip lies on its drawing: straight or bent, and which way it runs. Knows no marks and no words.
//!
//! Positions along the strip are *u*, from the datum upward; across it *v*, from the pointer's edge inward. One function
//! maps them to the page, so a mirrored strip is the same strip.

use kurbo::{Affine, BezPath, Point, Rect, RoundedRect, Size, Vec2};

use super::bend::Bent;
use crate::cards::parts::view::Screen;
use crate::drawing::{Sector, Shape, Text};

/// Unprinted rim along the pointer's edge: what a knife may be off.
pub(super) const EDGE_RIM: f64 = 0.6;
/// Unprinted rim along the other edge.
pub(super) const BACK_RIM: f64 = 1.6;
pub(super) const CORNER_RADIUS: f64 = 2.0;
pub(super) const CUT_WIDTH: f64 = 0.1;
/// How far the straight pieces of a curved strip's edge may be off: less than a knife is.
pub(super) const EDGE_TOLERANCE: f64 = 0.02;

/// How a strip lies on its drawing.
pub(super) struct Frame {
    pub(super) bent: Option<Bent>,
    pub(super) along: Screen,
    pub(super) ticks: Screen,
    pub(super) width: f64,
    pub(super) low: f64,
    pub(super) span: f64,
    pub(super) high: f64,
}

impl Frame {
    pub(super) fn length(&self) -> f64 {
        self.low + self.span + self.high
    }

    pub(super) fn size(&self) -> Size {
        let flat = self.bent.map_or(Vec2::new(self.length(), self.width), |bent| bent.size());
        if self.along.is_horizontal() { Size::new(flat.x, flat.y) } else { Size::new(flat.y, flat.x) }
    }

    /// Where a place on the strip lies on the drawing.
    pub(super) fn point(&self, u: f64, v: f64) -> Point {
        let along = self.low + u;
        self.upright(self.bent.map_or(Vec2::new(along, v), |bent| bent.point(along, v)))
    }

    /// From a strip that grows to the right with the pointer's edge up to the drawing.
    pub(super) fn upright(&self, flat: Vec2) -> Point {
        let size = self.size();
        let (x, y) = match self.along {
            Screen::Right => (flat.x, flat.y),
            Screen::Left => (size.width - flat.x, flat.y),
            Screen::Down => (flat.y, flat.x),
            Screen::Up => (flat.y, size.height - flat.x),
        };
        match self.ticks {
            Screen::Up | Screen::Left => Point::new(x, y),
            Screen::Down => Point::new(x, size.height - y),
            Screen::Right => Point::new(size.width - x, y),
        }
    }

    /// How far along the strip a mark stands from its left or upper end.
    pub(super) fn place_along(&self, u: f64) -> f64 {
        match (self.bent, self.along) {
            (Some(_), Screen::Left | Screen::Up) => self.high + self.span - u,
            (Some(_), _) => self.low + u,
            (None, _) if self.along.is_horizontal() => self.point(u, 0.0).x,
            (None, _) => self.point(u, 0.0).y,
        }
    }

    /// The part of a ring that a curved strip is, from its left or upper end.
    pub(super) fn sector(&self) -> Option<Sector> {
        let bent = self.bent?;
        let centre = self.upright(bent.centre());
        let (low, high) = (-self.low, self.span + self.high);
        let (first, last) = match self.along {
            Screen::Right | Screen::Down => (low, high),
            Screen::Left | Screen::Up => (high, low),
        };
        let [start, middle] = [first, (first + last) / 2.0].map(|u| self.point(u, 0.0) - centre);
        let sweep = start.cross(middle).signum() * self.length() / bent.radius;
        Some(Sector { centre, radius: bent.radius, other_radius: bent.other_radius(), start: start.atan2(), sweep })
    }

    /// How far the strip is turned at `u` from where it would lie if it were straight, radians clockwise.
    pub(super) fn tilt(&self, u: f64) -> f64 {
        if self.bent.is_none() {
            return 0.0;
        }
        let across = self.point(u, self.width) - self.point(u, 0.0);
        let straight = match self.ticks {
            Screen::Up => Vec2::new(0.0, 1.0),
            Screen::Down => Vec2::new(0.0, -1.0),
            Screen::Left => Vec2::new(1.0, 0.0),
            Screen::Right => Vec2::new(-1.0, 0.0),
        };
        straight.cross(across).atan2(straight.dot(across))
    }

    /// A text turned with the strip about the place it belongs to.
    pub(super) fn tilted(&self, text: Text, u: f64, v: f64) -> Text {
        let tilt = self.tilt(u);
        if tilt == 0.0 { text } else { text.turned_about(self.point(u, v), tilt) }
    }

    /// The outline of a stretch of the strip.
    pub(super) fn band(&self, u: (f64, f64), v: (f64, f64)) -> BezPath {
        let steps = self.bent.map_or(1, |bent| {
            // The rise of an arc over its chord is r·a²/8.
            let step = (8.0 * EDGE_TOLERANCE / bent.radius).sqrt();
            ((u.1 - u.0).abs() / bent.radius / step).ceil().max(1.0) as usize
        });
        let at = |step: usize| u.0 + (u.1 - u.0) * step as f64 / steps as f64;
        let there = (0..=steps).map(|step| self.point(at(step), v.0));
        let back = (0..=steps).rev().map(|step| self.point(at(step), v.1));
        let mut path = BezPath::new();
        for (index, point) in there.chain(back).enumerate() {
            if index == 0 { path.move_to(point) } else { path.line_to(point) }
        }
        path.close_path();
        path
    }

    /// Whether the longer arc of a curved strip is the edge at the top of its words.
    pub(super) fn outer_edge_on_top(&self) -> bool {
        let ticks_on_top = matches!(self.ticks, Screen::Up | Screen::Left);
        self.bent.is_some_and(|bent| ticks_on_top == (bent.other_radius() < bent.radius))
    }

    /// The line to cut along.
    pub(super) fn outline(&self) -> Shape {
        match self.bent {
            None => Shape::stroke(RoundedRect::from_rect(self.size().to_rect(), CORNER_RADIUS), CUT_WIDTH),
            Some(_) => Shape::stroke(self.band((-self.low, self.span + self.high), (0.0, self.width)), CUT_WIDTH),
        }
    }

    /// An upright rectangle that lies wholly on the strip.
    pub(super) fn calm_area(&self) -> Rect {
        let Some(bent) = self.bent else { return self.size().to_rect() };
        let middle = self.point((self.span + self.high - self.low) / 2.0, self.width / 2.0);
        let calm = bent.calm_length();
        let (x, y) = if self.along.is_horizontal() { (calm, self.width / 2.0) } else { (self.width / 2.0, calm) };
        Rect::from_center_size(middle, (x, y))
    }

    pub(super) fn line(&self, u: f64, v: (f64, f64), width: f64) -> Shape {
        Shape::line(self.point(u, v.0), self.point(u, v.1), width)
    }

    /// From a block's own frame (x to the right, y down) to the drawing, for a block that takes `length` along the
    /// strip from `u`. Words on an upright strip read upward.
    pub(super) fn block(&self, u: f64, length: f64) -> Affine {
        let middle = u + length / 2.0;
        let centre = self.point(middle, self.width / 2.0);
        let upright = if self.along.is_horizontal() { 0.0 } else { -std::f64::consts::FRAC_PI_2 };
        let inset = match self.ticks {
            Screen::Up | Screen::Left => EDGE_RIM,
            Screen::Down | Screen::Right => BACK_RIM,
        };
        Affine::translate(centre.to_vec2())
            * Affine::rotate(upright + self.tilt(middle))
            * Affine::translate((-length / 2.0, inset - self.width / 2.0))
    }
}
