//! The speed of wind as a type, and the one way to print it. Knows no sail, no book and no card.

use std::cmp::Ordering;
use std::ops::{Add, Mul, Sub};

use super::Axis;
use super::mark;
use super::tolerance::SAME;

/// Metres in a nautical mile, and so in an hour's run at one knot (NIST SP 811, appendix B.8).
pub const METRES_PER_NAUTICAL_MILE: f64 = 1852.0;
/// Exact: a knot is a nautical mile in 3600 s (NIST SP 811, appendix B.8).
const KNOTS_PER_METRE_PER_SECOND: f64 = 3600.0 / METRES_PER_NAUTICAL_MILE;

/// What a message quotes of a number that someone wrote: nobody reads a wind finer.
const HUNDREDTHS: f64 = 100.0;

/// What wind speeds are written and printed in.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum WindUnit {
    /// Printed in halves.
    #[default]
    Knot,
    /// Printed in quarters: a quarter of a metre per second is about half a knot.
    MetrePerSecond,
}

impl WindUnit {
    /// `kn` or `m/s`.
    pub const fn symbol(self) -> &'static str {
        match self {
            WindUnit::Knot => "kn",
            WindUnit::MetrePerSecond => "m/s",
        }
    }

    /// Printed steps in one of it.
    const fn steps(self) -> f64 {
        match self {
            WindUnit::Knot => 2.0,
            WindUnit::MetrePerSecond => 4.0,
        }
    }

    const fn in_knots(self) -> f64 {
        match self {
            WindUnit::Knot => 1.0,
            WindUnit::MetrePerSecond => KNOTS_PER_METRE_PER_SECOND,
        }
    }
}

/// A wind speed, true or apparent, or the difference of two; held exactly, rounded only where it is printed.
///
/// ```
/// use cockpit_cards::tuning::{Wind, WindUnit};
///
/// // Half a knot is what a crew reads off an instrument, and a quarter of a metre per second is about as much.
/// assert_eq!(Wind::knots(13.3).print(WindUnit::Knot), "13½");
/// assert_eq!(Wind::metres_per_second(2.3).print(WindUnit::MetrePerSecond), "2¼");
/// // Halfway goes up, even where the way through knots has left a last digit short.
/// assert_eq!(Wind::metres_per_second(6.625).print(WindUnit::MetrePerSecond), "6¾");
/// // A message quotes what was written more closely.
/// assert_eq!(Wind::metres_per_second(2.3).as_written(WindUnit::MetrePerSecond), "2.3 m/s");
/// ```
#[derive(Clone, Copy, Debug, Default, serde::Serialize)]
pub struct Wind(f64);

impl Wind {
    /// No wind.
    pub const CALM: Wind = Wind(0.0);
    /// More than any wind: the upper end of a range that has none.
    pub const ENDLESS: Wind = Wind(f64::INFINITY);

    /// A wind of so many knots.
    pub const fn knots(knots: f64) -> Self {
        // −0 + 0 is 0: a calm has no sign, and so no order before another calm.
        Wind(knots + 0.0)
    }

    /// A wind of so many metres per second.
    pub const fn metres_per_second(speed: f64) -> Self {
        Wind::of(speed, WindUnit::MetrePerSecond)
    }

    /// A wind of so many of a unit.
    pub const fn of(number: f64, unit: WindUnit) -> Self {
        Wind::knots(number * unit.in_knots())
    }

    /// Its number in knots.
    pub const fn to_knots(self) -> f64 {
        self.0
    }

    /// Its number in a unit.
    pub const fn number_in(self, unit: WindUnit) -> f64 {
        self.0 / unit.in_knots()
    }

    /// Whether it is a speed, neither endless nor what is no number.
    pub const fn is_finite(self) -> bool {
        self.0.is_finite()
    }

    /// The nearest printed step, counted from a calm: halves of a knot, or quarters of a metre per second. Halfway goes up.
    pub fn steps(self, unit: WindUnit) -> i64 {
        // Halfway is half a step.
        (self.number_in(unit) * unit.steps() + 0.5 + SAME).floor() as i64
    }

    /// The fewest printed steps that are no less than it.
    pub fn steps_no_less(self, unit: WindUnit) -> i64 {
        (self.number_in(unit) * unit.steps() - SAME).ceil() as i64
    }

    /// The wind of so many printed steps.
    pub fn from_steps(steps: i64, unit: WindUnit) -> Self {
        Wind::of(steps as f64 / unit.steps(), unit)
    }

    /// As every card and the terminal print it, without the unit: `13½`.
    pub fn print(self, unit: WindUnit) -> String {
        mark::print(self.steps(unit) as f64 / unit.steps())
    }

    /// As every card and the terminal print it: `13½ kn`.
    pub fn print_with_unit(self, unit: WindUnit) -> String {
        format!("{} {}", self.print(unit), unit.symbol())
    }

    /// As a message or a working quotes it, so that whoever wrote it knows it again: `12.3 kn`, to hundredths.
    pub fn as_written(self, unit: WindUnit) -> String {
        format!("{} {}", self.written_number(unit), unit.symbol())
    }

    /// As [`Wind::as_written`], without the unit: for the lower end of a range.
    pub fn written_number(self, unit: WindUnit) -> String {
        mark::print_decimal((self.number_in(unit) * HUNDREDTHS).round() / HUNDREDTHS)
    }
}

impl Axis for Wind {
    const JSON_NAME: &'static str = "wind_kn";

    fn from_number(number: f64) -> Self {
        Wind::knots(number)
    }

    fn number(self) -> f64 {
        self.0
    }
}

impl PartialEq for Wind {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Wind {}

impl PartialOrd for Wind {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Wind {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.total_cmp(&other.0)
    }
}

impl Add for Wind {
    type Output = Wind;
    fn add(self, other: Wind) -> Wind {
        Wind::knots(self.0 + other.0)
    }
}

impl Sub for Wind {
    type Output = Wind;
    fn sub(self, other: Wind) -> Wind {
        Wind::knots(self.0 - other.0)
    }
}

impl Mul<f64> for Wind {
    type Output = Wind;
    fn mul(self, factor: f64) -> Wind {
        Wind::knots(self.0 * factor)
    }
}
