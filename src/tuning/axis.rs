//! What a table of settings runs along: wind speed, or the angle to the wind. Knows nothing of readings.

use std::cmp::Ordering;
use std::fmt::Debug;

use super::tolerance;

/// A quantity that orders the known values of a control. Curves run over its bare number; everything else holds the type.
///
/// Its own order, with `<` and `==`, is that of the bare numbers, for sorting. Whether a place lies on an edge, before it or
/// past it is asked of [`Axis::compare`] and its kin, which take two numbers for one place if only arithmetic tells them
/// apart.
pub trait Axis: Copy + Debug + Ord + serde::Serialize + Send + Sync + 'static {
    /// The name of a place on this axis in JSON, with its unit: `wind_kn`.
    const JSON_NAME: &'static str;

    /// The place of this number, in the unit of [`Axis::JSON_NAME`].
    fn from_number(number: f64) -> Self;

    /// The number of this place, in the unit of [`Axis::JSON_NAME`].
    fn number(self) -> f64;

    /// Which of two places is the higher; equal if they are the same place. Not for sorting; see [`tolerance`].
    fn compare(self, other: Self) -> Ordering {
        tolerance::compare(self.number(), other.number())
    }

    /// Whether two places are the same.
    fn is_at(self, other: Self) -> bool {
        self.compare(other).is_eq()
    }

    /// Whether it is lower than another place.
    fn is_below(self, other: Self) -> bool {
        self.compare(other).is_lt()
    }

    /// Whether it is higher than another place.
    fn is_above(self, other: Self) -> bool {
        self.compare(other).is_gt()
    }

    /// Halfway from one place to another.
    fn midway(self, other: Self) -> Self {
        Self::from_number(self.number() + (other.number() - self.number()) / 2.0)
    }

    /// How far apart two places are, whichever is the higher.
    fn apart(self, other: Self) -> Self {
        Self::from_number((self.number() - other.number()).abs())
    }
}
