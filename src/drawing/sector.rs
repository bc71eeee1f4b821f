//! A part of a ring: what a curved drawing lies on. Pure geometry.
//!
//! Places on it are *along* its measured edge from one end, and *across* it from that edge, both in millimetres.

use std::f64::consts::{FRAC_PI_2, PI};

use kurbo::{Affine, Point, Rect, Vec2};

/// A part of a ring between two radial lines.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sector {
    /// Of both arcs.
    pub centre: Point,
    /// Of the edge along which lengths are true.
    pub radius: f64,
    /// Of the other edge.
    pub other_radius: f64,
    /// Where lengths begin: the direction from the centre, radians, clockwise from the right.
    pub start: f64,
    /// From there to the other end, clockwise if positive.
    pub sweep: f64,
}

impl Sector {
    /// Along the measured edge.
    pub fn length(&self) -> f64 {
        self.sweep.abs() * self.radius
    }

    /// Across it, from the measured edge to the other.
    pub fn width(&self) -> f64 {
        (self.radius - self.other_radius).abs()
    }

    /// ```
    /// use cockpit_cards::drawing::Sector;
    /// use kurbo::Point;
    ///
    /// // A quarter of a ring of 100 mm, from its left end to its top, 20 mm wide towards the middle.
    /// let quarter = std::f64::consts::FRAC_PI_2;
    /// let sector =
    ///     Sector { centre: Point::ZERO, radius: 100.0, other_radius: 80.0, start: -2.0 * quarter, sweep: quarter };
    /// assert!((sector.point(sector.length(), 20.0) - Point::new(0.0, -80.0)).hypot() < 1e-9);
    /// ```
    pub fn point(&self, along: f64, across: f64) -> Point {
        let reach = if self.other_radius < self.radius { self.radius - across } else { self.radius + across };
        self.centre + Vec2::from_angle(self.direction(along)) * reach
    }

    /// From the centre to a place, radians.
    pub fn direction(&self, along: f64) -> f64 {
        self.start + along / self.radius * self.sweep.signum()
    }

    /// How far a place is turned from one in the middle, radians, clockwise if positive.
    pub fn turn(&self, along: f64) -> f64 {
        (along - self.length() / 2.0) / self.radius * self.sweep.signum()
    }

    /// Whether it lies across the drawing rather than up it.
    pub fn is_level(&self) -> bool {
        let (sin, cos) = self.direction(self.length() / 2.0).sin_cos();
        sin.abs() > cos.abs()
    }

    /// Square to the radial line at a place, towards greater lengths; of length 1.
    pub fn onward(&self, along: f64) -> Vec2 {
        Vec2::from_angle(self.direction(along) + FRAC_PI_2 * self.sweep.signum())
    }

    /// What turns a stretch about the centre so that it lies as the whole lies in its middle.
    pub fn level_out(&self, from: f64, to: f64) -> Affine {
        Affine::rotate_about(-self.turn((from + to) / 2.0), self.centre)
    }

    /// The upright rectangle around a stretch of less than half a ring, once it is [levelled out](Self::level_out).
    pub fn bounds(&self, from: f64, to: f64) -> Rect {
        let level = self.level_out(from, to);
        let outer = if self.other_radius > self.radius { self.width() } else { 0.0 };
        let corners = [from, to].into_iter().flat_map(|along| [0.0, self.width()].map(|across| (along, across)));
        let places =
            corners.chain([((from + to) / 2.0, outer)]).map(|(along, across)| level * self.point(along, across));
        let around = |place: Point| Rect::from_points(place, place);
        places.map(around).reduce(|one, other| one.union(other)).unwrap_or_default()
    }

    /// The same, left for right in a drawing of this width; lengths that begin at its left end still do.
    pub fn mirrored(&self, width: f64) -> Sector {
        let centre = Point::new(width - self.centre.x, self.centre.y);
        if self.is_level() {
            Sector { centre, start: PI - self.start - self.sweep, ..*self }
        } else {
            Sector { centre, start: PI - self.start, sweep: -self.sweep, ..*self }
        }
    }
}
