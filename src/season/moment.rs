//! What the instruments showed at one time. Knows no log's format.

use std::ops::RangeInclusive;

use jiff::Timestamp;

use crate::limits;

/// What an instrument can show that counts here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Quantity {
    /// True wind speed, knots.
    TrueWind,
    /// True wind angle, degrees from the bow clockwise: to port below 0, or above 180.
    TrueAngle,
    /// Apparent wind speed, knots.
    ApparentWind,
    /// Apparent wind angle, degrees from the bow clockwise: to port below 0, or above 180.
    ApparentAngle,
    /// Speed through the water, knots.
    Speed,
    /// Heel to starboard, degrees; below 0 to port. Which is which does not matter here.
    Heel,
    /// Where the bow points, degrees from north.
    Heading,
}

impl Quantity {
    /// All of them, in the order of [`Moment`]'s values.
    pub const ALL: [Quantity; 7] = [
        Quantity::TrueWind,
        Quantity::TrueAngle,
        Quantity::ApparentWind,
        Quantity::ApparentAngle,
        Quantity::Speed,
        Quantity::Heel,
        Quantity::Heading,
    ];

    /// Whether it goes round: 359 and 1 are neighbours.
    pub const fn is_direction(self) -> bool {
        matches!(self, Quantity::TrueAngle | Quantity::ApparentAngle | Quantity::Heading)
    }

    /// What an instrument can mean by it; more is a sign for "not known", or a fault.
    pub const fn range(self) -> RangeInclusive<f64> {
        match self {
            Quantity::TrueWind | Quantity::ApparentWind => limits::WIND_KN,
            Quantity::TrueAngle | Quantity::ApparentAngle | Quantity::Heading => limits::LOGGED_DIRECTION_DEG,
            Quantity::Speed => limits::LOGGED_SPEED_KN,
            Quantity::Heel => limits::LOGGED_HEEL_DEG,
        }
    }
}

/// What was known at one time; of most logs, one record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Moment {
    /// The time.
    pub time: Timestamp,
    values: [Option<f64>; Quantity::ALL.len()],
}

impl Moment {
    /// Nothing known yet of this time.
    pub const fn new(time: Timestamp) -> Self {
        Moment { time, values: [None; Quantity::ALL.len()] }
    }

    /// The same, with one thing more that is known.
    pub const fn with(mut self, quantity: Quantity, value: f64) -> Self {
        self.values[quantity as usize] = Some(value);
        self
    }

    /// What is known of a quantity.
    pub const fn get(&self, quantity: Quantity) -> Option<f64> {
        self.values[quantity as usize]
    }
}
