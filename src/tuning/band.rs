//! A range of wind or of angle that one row of a card stands for.

use super::{Axis, Wind};

/// From `low` up to but not including `high`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band<A = Wind> {
    /// The lower edge, which belongs to it.
    pub low: A,
    /// The upper edge, where the next band begins.
    pub high: A,
}

impl<A: Axis> Band<A> {
    /// Halfway between the edges.
    pub fn middle(self) -> A {
        self.low.midway(self.high)
    }

    /// Whether it lies in the band.
    pub fn holds(self, value: A) -> bool {
        (self.low..self.high).contains(&value)
    }

    /// The part of the band that lies within `low` to `high`, if any.
    pub fn within(self, low: A, high: A) -> Option<Self> {
        let part = Band { low: self.low.max(low), high: self.high.min(high) };
        (part.low < part.high).then_some(part)
    }
}
