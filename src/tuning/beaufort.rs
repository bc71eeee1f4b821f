//! The Beaufort force of a wind speed. Knows nothing of boats.

use super::Wind;

/// A force of the Beaufort scale.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Force {
    /// The number of the force, 0 to 12.
    pub number: u8,
    /// `fresh breeze`.
    pub name: &'static str,
    /// Its limits in whole knots; both belong to it. Hurricane has no upper one.
    pub least_kn: u16,
    /// The upper limit in whole knots; `None` for a hurricane.
    pub most_kn: Option<u16>,
}

const fn force(number: u8, name: &'static str, least_kn: u16, most_kn: u16) -> Force {
    Force { number, name, least_kn, most_kn: Some(most_kn) }
}

/// Mean wind at 10 m over open water, in knots: WMO-No. 306, Manual on Codes, volume I.1, section E, the Beaufort scale
/// of wind.
pub const FORCES: [Force; 13] = [
    force(0, "calm", 0, 0),
    force(1, "light air", 1, 3),
    force(2, "light breeze", 4, 6),
    force(3, "gentle breeze", 7, 10),
    force(4, "moderate breeze", 11, 16),
    force(5, "fresh breeze", 17, 21),
    force(6, "strong breeze", 22, 27),
    force(7, "near gale", 28, 33),
    force(8, "gale", 34, 40),
    force(9, "strong gale", 41, 47),
    force(10, "storm", 48, 55),
    force(11, "violent storm", 56, 63),
    Force { number: 12, name: "hurricane", least_kn: 64, most_kn: None },
];

/// The force of a wind speed, taken to the nearest whole knot (half a knot up) as the limits are given in whole knots;
/// `None` below 0 and for what is no number. Less than one knot is calm, as the table says.
pub fn of(wind: Wind) -> Option<Force> {
    let knots = wind.to_knots();
    let knots = if knots < 1.0 { knots } else { knots.round() };
    FORCES.into_iter().rfind(|force| knots >= f64::from(force.least_kn))
}
