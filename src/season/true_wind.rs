//! The true wind out of the apparent one, by the vector triangle. Knows no log and no boat: what it is given it takes as said.

use crate::tuning::{BoatSpeed, Wind};

/// A wind as it stands to the boat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RelativeWind {
    /// How strong it is.
    pub speed: Wind,
    /// Where it comes from, in degrees from the bow: to starboard above 0, to port below, 180 right astern.
    pub from_deg: f64,
}

/// The true wind of an apparent wind and the speed through the water.
///
/// The boat makes a wind of her own, from right ahead and as strong as she is fast; without it the apparent wind is the true one. Along
/// her that leaves AWS·cos AWA − STW, across her AWS·sin AWA. Leeway is left out, and so is whatever the mast's lean and the sails do to
/// the instrument. In a calm the angle says nothing, and is 0.
///
/// ```
/// use cockpit_cards::season::true_wind::{RelativeWind, from_apparent};
/// use cockpit_cards::tuning::{BoatSpeed, Wind};
///
/// // No wind over the deck of a boat that moves: the true wind comes from right astern, as fast as she goes.
/// let felt = RelativeWind { speed: Wind::CALM, from_deg: 0.0 };
/// let wind = from_apparent(felt, BoatSpeed::knots(6.0));
/// assert_eq!((wind.speed, wind.from_deg), (Wind::knots(6.0), 180.0));
/// ```
pub fn from_apparent(apparent: RelativeWind, boat: BoatSpeed) -> RelativeWind {
    let (sine, cosine) = apparent.from_deg.to_radians().sin_cos();
    let felt_kn = apparent.speed.to_knots();
    let along_kn = felt_kn * cosine - boat.to_knots();
    let across_kn = felt_kn * sine;
    RelativeWind { speed: Wind::knots(along_kn.hypot(across_kn)), from_deg: across_kn.atan2(along_kn).to_degrees() }
}
