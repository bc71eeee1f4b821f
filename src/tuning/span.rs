//! A range of wind or of angle that something is for, with both its ends. Knows nothing of what it is for.

use super::{Axis, Band, Wind};

/// From `low` to `high`, both of which belong to it; `low < high`. Unlike a [`Band`], a row of a card, which leaves its
/// upper end to the next.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Span<A = Wind> {
    /// The lower end.
    pub low: A,
    /// The upper end.
    pub high: A,
}

impl<A: Axis> Span<A> {
    /// `None` unless `low` is less than `high`.
    pub fn new(low: A, high: A) -> Option<Self> {
        low.is_below(high).then_some(Span { low, high })
    }

    /// Halfway between the ends.
    pub fn middle(self) -> A {
        self.low.midway(self.high)
    }

    /// Both ends belong to it.
    pub fn holds(self, value: A) -> bool {
        !value.is_below(self.low) && !value.is_above(self.high)
    }

    /// Whether no part of the other lies outside it.
    pub fn holds_all_of(self, other: Self) -> bool {
        !other.low.is_below(self.low) && !other.high.is_above(self.high)
    }

    /// Whether both ends are those of the other.
    pub fn is_at(self, other: Self) -> bool {
        self.low.is_at(other.low) && self.high.is_at(other.high)
    }

    /// What two spans have in common; `None` if they only touch.
    pub fn common(self, other: Self) -> Option<Self> {
        Span::new(self.low.max(other.low), self.high.min(other.high))
    }
}

impl<A> From<Band<A>> for Span<A> {
    fn from(band: Band<A>) -> Self {
        Span { low: band.low, high: band.high }
    }
}
