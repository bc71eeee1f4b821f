//! The boat's own speed as a type, so that none is taken for a wind. Knows no book and no card.

use super::mark;

/// No log shows a speed finer.
const DECIMALS: usize = 2;

/// A boat's speed through the water.
#[derive(Clone, Copy, Debug, Default, PartialEq, PartialOrd, serde::Serialize)]
pub struct BoatSpeed(f64);

impl BoatSpeed {
    /// A speed of so many knots.
    pub const fn knots(knots: f64) -> Self {
        BoatSpeed(knots)
    }

    /// Its number in knots.
    pub const fn to_knots(self) -> f64 {
        self.0
    }

    /// As every card prints it, in knots and without the unit: `6.85`. Speed is read in decimals, unlike wind and marks.
    pub fn print(self) -> String {
        mark::print_to(self.0, DECIMALS)
    }
}
