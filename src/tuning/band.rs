//! A range of wind speed that one row of a card stands for.

/// Wind speeds from `low` up to but not including `high`, knots.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band {
    pub low: f64,
    pub high: f64,
}

impl Band {
    pub fn middle(self) -> f64 {
        (self.low + self.high) / 2.0
    }

    pub fn holds(self, wind_kn: f64) -> bool {
        (self.low..self.high).contains(&wind_kn)
    }

    /// The part of the band that lies within `low` to `high`, if any.
    pub fn within(self, low: f64, high: f64) -> Option<Band> {
        let part = Band { low: self.low.max(low), high: self.high.min(high) };
        (part.low < part.high).then_some(part)
    }
}
