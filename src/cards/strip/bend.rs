//! A straight strip laid along an arc: distances along the pointer's edge stay true, everything across it is radial.

use kurbo::Vec2;

use super::Bend;
use crate::book::problem::Wrong;

/// Half of the angle that a strip may span, radians: beyond it the two ends come too near each other.
const MOST_HALF_ANGLE: f64 = 1.2;

/// A bend worked out for a strip of one length and width, millimetres.
#[derive(Clone, Copy, Debug)]
pub struct Bent {
    radius: f64,
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
        let (sin, cos) = self.half_angle().sin_cos();
        if self.middle_at_ticks {
            Vec2::new(2.0 * (self.radius + self.width) * sin, self.width + self.radius * (1.0 - cos))
        } else {
            Vec2::new(2.0 * self.radius * sin, self.radius - (self.radius - self.width) * cos)
        }
    }

    /// How long a rectangle of half the strip's width fits in its middle.
    pub fn calm_length(&self) -> f64 {
        // A chord rises by a quarter of the width over this length: s = c²/8r.
        (2.0 * self.radius * self.width).sqrt().min(self.length)
    }

    /// Where a point of the straight strip comes to lie: `along` it and `across` it from the pointer's edge.
    pub fn point(&self, along: f64, across: f64) -> Vec2 {
        let (sin, cos) = ((along - self.length / 2.0) / self.radius).sin_cos();
        let size = self.size();
        if self.middle_at_ticks {
            let reach = self.radius + across;
            Vec2::new(size.x / 2.0 + reach * sin, reach * cos - self.radius * self.half_angle().cos())
        } else {
            let reach = self.radius - across;
            Vec2::new(size.x / 2.0 + reach * sin, self.radius - reach * cos)
        }
    }
}
