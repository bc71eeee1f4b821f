//! What a table of settings runs along: wind speed, or the angle to the wind. Knows nothing of readings.

use std::fmt::Debug;

use super::curve::SAME_PLACE;

/// A quantity that orders the known values of a control. Curves run over its bare number; everything else holds the type.
pub trait Axis: Copy + Debug + Ord + serde::Serialize + Send + Sync + 'static {
    /// The name of a place on this axis in JSON, with its unit: `wind_kn`.
    const JSON_NAME: &'static str;

    /// The place of this number, in the unit of [`Axis::JSON_NAME`].
    fn from_number(number: f64) -> Self;

    /// The number of this place, in the unit of [`Axis::JSON_NAME`].
    fn number(self) -> f64;

    /// Halfway from one place to another.
    fn midway(self, other: Self) -> Self {
        Self::from_number(self.number() + (other.number() - self.number()) / 2.0)
    }

    /// How far apart two places are, whichever is the higher.
    fn apart(self, other: Self) -> Self {
        Self::from_number((self.number() - other.number()).abs())
    }

    /// Whether two places are one, but for what the way from one unit to another leaves of a number.
    fn is_same(self, other: Self) -> bool {
        (self.number() - other.number()).abs() <= SAME_PLACE
    }
}
