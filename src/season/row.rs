//! Which row of a table something sailed belongs to. Knows no control and no reading.

use std::cmp::Ordering;

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

/// The winds, and the angles where it has one, that a row of a table speaks for: 1½ knots and 10° to either side, and half
/// the gap where the next row is closer. A trial's means must lie there.
///
/// ```
/// use cockpit_cards::season::{Row, reach_of};
/// use cockpit_cards::tuning::Wind;
///
/// let rows = [10.0, 12.0, 18.0].map(|kn| Row { wind: Wind::knots(kn), angle: None });
/// let (winds, angles) = reach_of(&rows, rows[1]);
/// assert_eq!((winds, angles), ((Wind::knots(11.0), Wind::knots(13.5)), None));
/// ```
pub fn reach_of(rows: &[Row], row: Row) -> ((Wind, Wind), Option<(Angle, Angle)>) {
    let wind_kn = row.wind.to_knots();
    let beside = rows.iter().filter(|other| other.angle == row.angle).map(|other| other.wind.to_knots());
    let (low, high) = between(wind_kn, NEAR_KN, beside);
    let angles = row.angle.map(|angle| {
        let beside = rows.iter().filter(|other| other.wind == row.wind).filter_map(|other| other.angle);
        let (low, high) = between(angle.to_degrees(), NEAR_DEG, beside.map(Angle::to_degrees));
        (Angle::degrees(low.max(0.0)), Angle::degrees(high.min(Angle::ASTERN.to_degrees())))
    });
    ((Wind::knots(low.max(0.0)), Wind::knots(high)), angles)
}

/// So far to either side of a place, and halfway to the next one where that is closer.
fn between(place: f64, near: f64, others: impl Iterator<Item = f64>) -> (f64, f64) {
    others.fold((place - near, place + near), |(low, high), other| match compare(other, place) {
        Ordering::Less => (low.max(other.midpoint(place)), high),
        Ordering::Greater => (low, high.min(other.midpoint(place))),
        Ordering::Equal => (low, high),
    })
}
