//! The angle between the bow and the wind as a type, and the one way to print it. Knows no sail, no book and no card.

use std::cmp::Ordering;

use super::Axis;
use super::mark;
use super::tolerance::SAME;

/// Printed steps in a degree: nobody steers finer than half a degree.
const STEPS_PER_DEGREE: f64 = 2.0;
/// What a message quotes of a number that someone wrote.
const HUNDREDTHS: f64 = 100.0;

/// An angle off the bow, true or apparent; held exactly, rounded only where it is printed.
///
/// ```
/// use cockpit_cards::tuning::Angle;
///
/// assert_eq!(Angle::degrees(41.0).print(), "41°");
/// assert_eq!(Angle::degrees(41.4).print(), "41½°");
/// ```
#[derive(Clone, Copy, Debug, Default, serde::Serialize)]
pub struct Angle(f64);

impl Angle {
    /// Head to wind.
    pub const AHEAD: Angle = Angle(0.0);
    /// The wind from right astern.
    pub const ASTERN: Angle = Angle(180.0);

    /// An angle of so many degrees.
    pub const fn degrees(degrees: f64) -> Self {
        // −0 + 0 is 0: no angle has no sign, and so no order before another.
        Angle(degrees + 0.0)
    }

    /// Its number in degrees.
    pub const fn to_degrees(self) -> f64 {
        self.0
    }

    /// Its sine and its cosine: the parts across and along.
    pub fn sin_cos(self) -> (f64, f64) {
        self.0.to_radians().sin_cos()
    }

    /// As every card and the terminal print it, without the sign: `41½`. Halfway goes up.
    pub fn print_number(self) -> String {
        // Halfway is half a step.
        mark::print((self.0 * STEPS_PER_DEGREE + 0.5 + SAME).floor() / STEPS_PER_DEGREE)
    }

    /// As every card and the terminal print it: `41½°`.
    pub fn print(self) -> String {
        format!("{}°", self.print_number())
    }

    /// As a message or a working quotes it, so that whoever wrote it knows it again: `41.3°`, to hundredths.
    pub fn as_written(self) -> String {
        format!("{}°", mark::print_decimal((self.0 * HUNDREDTHS).round() / HUNDREDTHS))
    }
}

impl Axis for Angle {
    const JSON_NAME: &'static str = "angle_deg";

    fn from_number(number: f64) -> Self {
        Angle::degrees(number)
    }

    fn number(self) -> f64 {
        self.0
    }
}

impl PartialEq for Angle {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Angle {}

impl PartialOrd for Angle {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Angle {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}
