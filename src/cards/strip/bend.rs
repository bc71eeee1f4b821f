//! A straight strip laid along an arc: distances along the pointer's edge stay true, everything across it is radial.

use crate::wrong::Wrong;
use kurbo::Vec2;

use super::Bend;

/// Half of the angle that a strip may span, radians: beyond it its two ends run into each other.
const MOST_HALF_ANGLE: f64 = 2.9;

impl Bend {
    /// Of the inner edge of a strip of this width.
    fn inner_radius(self, width: f64) -> f64 {
        if self.middle_at_ticks { self.radius_mm } else { self.radius_mm - width }
    }

    /// How much longer words take along the pointer's edge than along the edge where there is least room for them.
    pub fn stretch(self, width: f64) -> f64 {
        self.radius_mm / self.inner_radius(width)
    }

    /// How much of a strip's width its curve takes from words of this length: the rise of an arc over its chord.
    pub fn rise(self, length: f64, width: f64) -> f64 {
        length * length / self.inner_radius(width) / 8.0
    }
}

/// A bend worked out for a strip of one length and width, millimetres.
#[derive(Clone, Copy, Debug)]
pub struct Bent {
    pub radius: f64,
    middle_at_ticks: bool,
    length: f64,
    width: f64,
}

impl Bent {
    /// # Errors
    /// The strip reaches too far around, or its inner edge would have no radius.
    pub fn new(bend: Bend, length: f64, width: f64) -> Result<Bent, Wrong> {
        let bent = Bent { radius: bend.radius_mm, middle_at_ticks: bend.middle_at_ticks, length, width };
        if bent.half_angle() > MOST_HALF_ANGLE || bend.radius_mm <= width {
            return Err(Wrong::new(
                format!("{length:.0} mm with its words is too long for an arc of {} mm radius", bend.radius_mm),
                "check the `radius` of the track; it is measured along the edge that the pointer runs along",
            ));
        }
        Ok(bent)
    }

    fn half_angle(&self) -> f64 {
        self.length / self.radius / 2.0
    }

    /// Width and height of the upright rectangle that holds the strip with the pointer's edge up.
    pub fn size(&self) -> Vec2 {
        let outer = self.radius + if self.middle_at_ticks { self.width } else { 0.0 };
        // Beyond half a ring it gets no wider.
        let widest = self.half_angle().min(std::f64::consts::FRAC_PI_2).sin();
        let height = if self.middle_at_ticks { outer + self.centre_y() } else { outer - self.ends_y() };
        Vec2::new(2.0 * outer * widest, height)
    }

    /// How far the strip's ends reach, from the circle's middle towards the strip's; negative beyond half a ring.
    fn ends_y(&self) -> f64 {
        let (inner, outer) = if self.middle_at_ticks {
            (self.radius, self.radius + self.width)
        } else {
            (self.radius - self.width, self.radius)
        };
        let cos = self.half_angle().cos();
        if cos < 0.0 { outer * cos } else { inner * cos }
    }

    fn centre_y(&self) -> f64 {
        if self.middle_at_ticks { -self.ends_y() } else { self.radius }
    }

    /// The middle of the circle, where the rectangle's corner is the origin.
    pub fn centre(&self) -> Vec2 {
        Vec2::new(self.size().x / 2.0, self.centre_y())
    }

    /// Of the other edge.
    pub fn other_radius(&self) -> f64 {
        if self.middle_at_ticks { self.radius + self.width } else { self.radius - self.width }
    }

    /// How long a rectangle of half the strip's width fits in its middle.
    pub fn calm_length(&self) -> f64 {
        // A chord rises by a quarter of the width over this length: s = c²/8r.
        (2.0 * self.radius * self.width).sqrt().min(self.length)
    }

    /// Where a point of the straight strip comes to lie: `along` it and `across` it from the pointer's edge.
    pub fn point(&self, along: f64, across: f64) -> Vec2 {
        let (sin, cos) = ((along - self.length / 2.0) / self.radius).sin_cos();
        let centre = self.centre();
        if self.middle_at_ticks {
            let reach = self.radius + across;
            Vec2::new(centre.x + reach * sin, reach * cos + centre.y)
        } else {
            let reach = self.radius - across;
            Vec2::new(centre.x + reach * sin, centre.y - reach * cos)
        }
    }
}
