//! A control that there are two of, one on each side of the boat: how the readings of one side follow from those of the other.

use super::model::{Control, Recorded, Sides, Spanned};
use crate::tuning::Side;
use crate::tuning::adjust::Offset;

/// How much higher the scale of the starboard side reads at the same place, as its book says.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// What starboard reads more than port; `None`: the two read alike.
    pub starboard: Option<Spanned<Offset>>,
}

impl Control {
    /// Whether the book says that there are two of it, one on each side.
    pub fn has_two_sides(&self) -> bool {
        self.difference.is_some() || self.strip.as_ref().is_some_and(|strip| strip.sides == Sides::Both)
    }

    /// Whether its two sides read differently at the same place.
    pub fn differs(&self) -> bool {
        self.difference.as_ref().is_some_and(|difference| difference.starboard.is_some())
    }

    /// What a side reads where one reading was written for both: that is the port side's.
    pub fn reading_on(&self, side: Side, reading: f64) -> f64 {
        let offset = self.difference.as_ref().and_then(|difference| difference.starboard.as_ref());
        match (side, offset) {
            (Side::Starboard, Some(offset)) => offset.value.moved(reading, &self.scale),
            _ => reading,
        }
    }
}

impl Recorded {
    /// The reading of a side of this control, if it was written down.
    pub fn on(&self, side: Side, control: &Control) -> Option<f64> {
        match (self, side) {
            (Recorded::Not | Recorded::NotUsed(_), _) => None,
            (Recorded::One(reading), _) => Some(control.reading_on(side, reading.value)),
            (Recorded::Sides { port, .. }, Side::Port) => Some(port.as_ref()?.value),
            (Recorded::Sides { starboard, .. }, Side::Starboard) => Some(starboard.as_ref()?.value),
        }
    }
}
