//! How far two noted readings of one control are from each other. Knows no scale: it counts in the scale's own coordinate.

use super::{Noted, Reading};
use crate::tuning::tolerance::is_same;

impl Reading {
    /// The middle of what it was played over.
    pub fn middle(&self) -> f64 {
        self.least.midpoint(self.greatest)
    }

    /// How far it is from another; 0 where one was played over some of the other.
    pub fn from(&self, other: &Reading) -> f64 {
        (self.least - other.greatest).max(other.least - self.greatest).max(0.0)
    }
}

impl Noted {
    /// The readings on the port and on the starboard side; `None`: the side was not noted, or the control not used.
    pub fn sides(&self) -> [Option<Reading>; 2] {
        match *self {
            Noted::NotUsed => [None, None],
            Noted::One(reading) => [Some(reading), Some(reading)],
            Noted::Sides { port, starboard } => [port, starboard],
        }
    }

    /// How far it is from another, on the side where they differ more.
    ///
    /// Endless between a control that is used and one that is not; `None` where no side was noted in both.
    pub fn from(&self, other: &Noted) -> Option<f64> {
        match (self, other) {
            (Noted::NotUsed, Noted::NotUsed) => Some(0.0),
            (Noted::NotUsed, _) | (_, Noted::NotUsed) => Some(f64::INFINITY),
            _ => {
                let sides = self.sides().into_iter().zip(other.sides());
                sides.filter_map(|(own, other)| Some(own?.from(&other?))).reduce(f64::max)
            }
        }
    }
}

impl Noted {
    /// The one reading that it stood at: the same on both sides, or noted on one of them only. `None` if it was played, or
    /// the sides differ, or it was not used.
    pub fn still(&self) -> Option<f64> {
        let [port, starboard] = self.sides();
        let reading = port.or(starboard)?;
        let is_one = starboard.is_none_or(|other| other == reading) && is_same(reading.least, reading.greatest);
        is_one.then_some(reading.least)
    }
}
