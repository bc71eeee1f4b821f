//! What the boat should do at each wind: targets in rising order of wind, whatever order they were written in.

use std::ops::Deref;

use super::spanned::Spanned;
use crate::tuning::{Angle, Axis, Between, BoatSpeed, Curve, Ground, Wind};

/// What the boat should do at a wind.
#[derive(Clone, Debug, PartialEq)]
pub struct Target<A = Wind> {
    /// The wind it is for.
    pub at: Spanned<A>,
    /// Her speed through the water.
    pub speed: Option<BoatSpeed>,
    /// The heel, in degrees.
    pub heel_deg: Option<f64>,
    /// The angle to the true wind.
    pub angle: Option<Angle>,
    /// How it should look, in words.
    pub look: Option<String>,
    /// [`Ground::Sailed`] or [`Ground::CarriedOver`].
    pub ground: Ground,
}

/// Targets, each at a place of its own on their axis, in rising order. There are no others.
///
/// They are read like a slice.
#[derive(Clone, Debug, PartialEq)]
pub struct Targets<A = Wind>(Vec<Target<A>>);

impl<A: Axis> Targets<A> {
    /// Sorts them; of two at one place the first is kept, and one at no place is none.
    pub fn sorted(mut targets: Vec<Target<A>>) -> Self {
        targets.retain(|target| target.at.value.number().is_finite());
        targets.sort_by_key(|target| target.at.value);
        targets.dedup_by(|later, earlier| later.at.value.is_at(earlier.at.value));
        Targets(targets)
    }

    /// One of the things that targets name, anywhere on their axis: by the curve between those given, beyond them the
    /// nearest; `None` if none is given.
    pub fn at(&self, place: A, read: impl Fn(&Target<A>) -> Option<f64>) -> Option<f64> {
        let given = self.0.iter().filter_map(|target| Some((target.at.value.number(), read(target)?)));
        Curve::new(given.collect(), Between::Monotone)?.at_or_nearest(place.number())
    }
}

impl<A> Default for Targets<A> {
    fn default() -> Self {
        Targets(Vec::new())
    }
}

impl<A> Deref for Targets<A> {
    type Target = [Target<A>];

    fn deref(&self) -> &[Target<A>] {
        &self.0
    }
}
