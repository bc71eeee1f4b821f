//! Which row of a table something sailed belongs to. Knows no control and no reading.

use crate::tuning::tolerance::compare;
use crate::tuning::{Angle, Wind};

/// A note speaks for a row this close in wind, knots: half of what a mean of some minutes and a hand-held instrument leave
/// unsure (common practice).
const NEAR_KN: f64 = 1.5;
/// And this close in angle, degrees: what a helm wanders over (common practice).
const NEAR_DEG: f64 = 10.0;

/// A known row of a table of settings: a wind, and an angle where the table runs along that as well.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
pub struct Row {
    /// The wind that it is for, in the kind of wind that the table is in.
    pub wind: Wind,
    /// The true wind angle that it is for.
    pub angle: Option<Angle>,
}

impl Row {
    /// How far something sailed lies from it, 1 being as far as it may; `None` if that is too far, or if the row is for an
    /// angle and none is known.
    fn distance(&self, wind: Wind, angle: Option<Angle>) -> Option<f64> {
        let by_wind = (wind.to_knots() - self.wind.to_knots()).abs() / NEAR_KN;
        let by_angle = match self.angle {
            None => 0.0,
            Some(own) => (angle?.to_degrees() - own.to_degrees()).abs() / NEAR_DEG,
        };
        let is_near = compare(by_wind, 1.0).is_le() && compare(by_angle, 1.0).is_le();
        is_near.then(|| by_wind.hypot(by_angle))
    }
}

/// The row that something sailed in a wind, and at an angle, speaks for: the nearest within 1½ knots and 10°, so that between
/// two rows that stand closer each has half the gap; halfway, the first of them. `None` if none is near.
///
/// ```
/// use cockpit_cards::season::{Row, row_of};
/// use cockpit_cards::tuning::Wind;
///
/// let rows = [10.0, 12.0, 18.0].map(|kn| Row { wind: Wind::knots(kn), angle: None });
/// assert_eq!(row_of(&rows, Wind::knots(11.2), None), Some(1));
/// assert_eq!(row_of(&rows, Wind::knots(15.0), None), None);
/// ```
pub fn row_of(rows: &[Row], wind: Wind, angle: Option<Angle>) -> Option<usize> {
    let near = rows.iter().enumerate().filter_map(|(at, row)| Some((at, row.distance(wind, angle)?)));
    near.min_by(|(_, a), (_, b)| compare(*a, *b)).map(|(at, _)| at)
}
