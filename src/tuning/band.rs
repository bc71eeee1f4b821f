//! A range of wind or of angle that one row of a card stands for.

use super::{Axis, Span, Wind};

/// From `low` up to but not including `high`, unless a range that ends there has cut it short.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Band<A = Wind> {
    /// The lower edge, which belongs to it.
    pub low: A,
    /// The upper edge, where the next band begins.
    pub high: A,
    /// Whether the upper edge belongs to it, since no band follows: a sail for 5 to 16 kn is for 16 kn too.
    pub with_high: bool,
}

impl<A: Axis> Band<A> {
    /// The band between two edges of a card, which leaves its upper edge to the next.
    pub const fn new(low: A, high: A) -> Self {
        Band { low, high, with_high: false }
    }

    /// Halfway between the edges.
    pub fn middle(self) -> A {
        self.low.midway(self.high)
    }

    /// Whether it lies in the band.
    pub fn holds(self, value: A) -> bool {
        !value.is_below(self.low) && (value.is_below(self.high) || self.with_high && value.is_at(self.high))
    }

    /// The part of the band that lies within a range, if any; a range that only touches it has none.
    pub fn within(self, range: Span<A>) -> Option<Self> {
        let (low, high) = (self.low.max(range.low), self.high.min(range.high));
        let with_high = self.with_high || !range.high.is_above(self.high);
        low.is_below(high).then_some(Band { low, high, with_high })
    }
}

impl<A: Axis> From<Span<A>> for Band<A> {
    fn from(span: Span<A>) -> Self {
        Band { low: span.low, high: span.high, with_high: true }
    }
}
