//! How far the boat heels in a wind, from the heels she is sailed at and from the wind in which heel begins to limit her.
//! Knows no crew, no book and no card.
//!
//! What is not known is not made up. In less wind than the lightest known heel she heels less, and nobody knows by how much.
//! In more wind than the strongest one the heel stays where it was if it was past the limit, since the crew holds it there;
//! else nobody knows when she reached it. The wind from which she is limited is a known heel too: that of the limit.

use super::curve::{Between, Curve};
use super::{Axis, Wind};

/// The heels of one set of sails, over the wind.
#[derive(Clone, Debug)]
pub struct Heels {
    curve: Curve,
    limit_deg: f64,
    limited_from: Option<Wind>,
}

/// A heel in a wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heel {
    /// Degrees; in the wind asked for, or else in `reached_at`.
    pub degrees: f64,
    /// A stronger wind in which she heels so; up to there she is under full sail.
    pub reached_at: Option<Wind>,
}

impl Heels {
    /// From heels in degrees, in rising order of wind, and the wind from which on she is limited at `limit_deg`, if that is
    /// known. `None` if there is neither, or a number is not finite.
    pub fn new(mut known: Vec<(Wind, f64)>, limit_deg: f64, limited_from: Option<Wind>) -> Option<Self> {
        if let Some(from) = limited_from {
            let before = curve(&known).and_then(|curve| at(&curve, limit_deg, from));
            if before.is_none_or(|heel_deg| heel_deg < limit_deg) {
                known.retain(|(wind, _)| !wind.is_at(from));
                let index = known.partition_point(|(wind, _)| wind.is_below(from));
                known.insert(index, (from, limit_deg));
            }
        }
        Some(Heels { curve: curve(&known)?, limit_deg, limited_from })
    }

    /// How far she heels in this wind; `None` where that is not known.
    ///
    /// ```
    /// use cockpit_cards::tuning::Wind;
    /// use cockpit_cards::tuning::heel::Heels;
    ///
    /// let heels = Heels::new(vec![(Wind::knots(14.0), 20.0)], 18.0, None).unwrap();
    /// // One heel says nothing of lighter winds; in stronger ones the crew holds her there, for it is past the limit.
    /// assert_eq!(heels.at(Wind::knots(5.0)), None);
    /// assert_eq!(heels.at(Wind::knots(17.0)).unwrap().degrees, 20.0);
    /// ```
    pub fn at(&self, wind: Wind) -> Option<Heel> {
        let first = self.curve.points().first()?;
        let first = (Wind::from_number(first.0), first.1);
        if wind.is_below(first.0) {
            // The lightest known wind may be the one from which she is limited.
            let reached_at = self.limited_from.filter(|from| from.is_at(first.0))?;
            return Some(Heel { degrees: first.1, reached_at: Some(reached_at) });
        }
        let is_limited = self.limited_from.is_some_and(|from| !from.is_above(wind));
        let least_deg = if is_limited { self.limit_deg } else { 0.0 };
        at(&self.curve, self.limit_deg, wind).map(|degrees| Heel { degrees: degrees.max(least_deg), reached_at: None })
    }
}

fn curve(known: &[(Wind, f64)]) -> Option<Curve> {
    Curve::new(known.iter().map(|(wind, heel_deg)| (wind.number(), *heel_deg)).collect(), Between::Monotone)
}

/// By the curve; past its last point the heel stays, if it is past the limit.
fn at(curve: &Curve, limit_deg: f64, wind: Wind) -> Option<f64> {
    let held = curve.points().last().filter(|last| !Wind::from_number(last.0).is_above(wind) && last.1 >= limit_deg);
    curve.at(wind.number()).or(held.map(|last| last.1))
}
