//! A length that knows its unit; what it measures is its user's business.

use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Div, Mul, Neg, Sub};

/// Millimetres in an inch, exact by definition (NIST SP 811, appendix B.8).
pub const MM_PER_INCH: f64 = 25.4;
/// PostScript points in an inch (ISO 32000-1, 8.3.2.3: default user space unit, 1/72 inch).
pub const POINTS_PER_INCH: f64 = 72.0;

/// A length, held as millimetres in an `f64` until the last moment.
///
/// ```
/// use cockpit_cards::length::Length;
///
/// assert_eq!(Length::inches(1.0), Length::mm(25.4));
/// // A ratio of two lengths is a plain number:
/// assert_eq!(Length::cm(2.0) / Length::mm(5.0), 4.0);
/// // 210 mm is not a whole number of points; it is rounded only where it is written down.
/// assert!((Length::mm(210.0).to_points() - 595.2756).abs() < 1e-4);
/// ```
#[derive(Clone, Copy, Default, PartialEq, PartialOrd)]
pub struct Length(f64);

impl Length {
    /// No length at all.
    pub const ZERO: Length = Length(0.0);

    /// A length given in millimetres.
    pub const fn mm(millimetres: f64) -> Self {
        Length(millimetres)
    }
    /// A length given in centimetres.
    pub const fn cm(centimetres: f64) -> Self {
        Length(centimetres * 10.0)
    }
    /// A length given in metres.
    pub const fn metres(metres: f64) -> Self {
        Length(metres * 1000.0)
    }
    /// A length given in inches of 25.4 mm.
    pub const fn inches(inches: f64) -> Self {
        Length(inches * MM_PER_INCH)
    }
    /// The length in millimetres.
    pub const fn to_mm(self) -> f64 {
        self.0
    }
    /// The length in PostScript points.
    pub const fn to_points(self) -> f64 {
        self.0 * POINTS_PER_INCH / MM_PER_INCH
    }
    /// The length without its sign.
    pub const fn abs(self) -> Self {
        Length(self.0.abs())
    }
    /// The longer of the two.
    pub const fn max(self, other: Self) -> Self {
        Length(self.0.max(other.0))
    }
    /// The shorter of the two.
    pub const fn min(self, other: Self) -> Self {
        Length(self.0.min(other.0))
    }
}

impl Add for Length {
    type Output = Length;
    fn add(self, other: Length) -> Length {
        Length(self.0 + other.0)
    }
}
impl AddAssign for Length {
    fn add_assign(&mut self, other: Length) {
        self.0 += other.0;
    }
}
impl Sub for Length {
    type Output = Length;
    fn sub(self, other: Length) -> Length {
        Length(self.0 - other.0)
    }
}
impl Neg for Length {
    type Output = Length;
    fn neg(self) -> Length {
        Length(-self.0)
    }
}
impl Mul<f64> for Length {
    type Output = Length;
    fn mul(self, factor: f64) -> Length {
        Length(self.0 * factor)
    }
}
impl Div<f64> for Length {
    type Output = Length;
    fn div(self, divisor: f64) -> Length {
        Length(self.0 / divisor)
    }
}
impl Div for Length {
    type Output = f64;
    fn div(self, other: Length) -> f64 {
        self.0 / other.0
    }
}
impl Sum for Length {
    fn sum<I: Iterator<Item = Length>>(lengths: I) -> Length {
        Length(lengths.map(|length| length.0).sum())
    }
}
impl fmt::Debug for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", self.0)
    }
}
impl fmt::Display for Length {
    /// Millimetres to two decimals at most, without trailing zeros: `20 mm`, `25.4 mm`.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} mm", (self.0 * 100.0).round() / 100.0)
    }
}
