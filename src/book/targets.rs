//! What the boat should do at each wind: targets in rising order of wind, whatever order they were written in.

use std::ops::Deref;

use super::model::Target;
use crate::tuning::{Axis, Between, Curve, Wind};

/// Targets, each of a wind of its own, in rising order of wind. There are no others.
///
/// It is read like a slice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Targets<A = Wind>(Vec<Target<A>>);

impl<A: Axis> Targets<A> {
    /// Sorts them by wind; of two at one wind the first is kept, and one at no wind is none.
    pub fn sorted(mut targets: Vec<Target<A>>) -> Self {
        targets.retain(|target| target.at.value.number().is_finite());
        targets.sort_by_key(|target| target.at.value);
        targets.dedup_by(|later, earlier| later.at.value == earlier.at.value);
        Targets(targets)
    }

    /// One of the things that targets name, at any wind: by the curve between those given, beyond them the nearest; `None`
    /// if none is given.
    pub fn at(&self, at: A, read: impl Fn(&Target<A>) -> Option<f64>) -> Option<f64> {
        let given = self.0.iter().filter_map(|target| Some((target.at.value.number(), read(target)?)));
        Curve::new(given.collect(), Between::Monotone)?.at_or_nearest(at.number())
    }
}

impl<A> Deref for Targets<A> {
    type Target = [Target<A>];

    fn deref(&self) -> &[Target<A>] {
        &self.0
    }
}
