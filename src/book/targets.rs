//! What the boat should do at each wind: targets in rising order of wind, whatever order they were written in.

use std::ops::Deref;

use super::model::Target;
use crate::tuning::{Between, Curve};

/// Targets, each of a wind of its own, in rising order of wind. There are no others.
///
/// It is read like a slice.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Targets(Vec<Target>);

impl Targets {
    /// Sorts them by wind; of two at one wind the first is kept, and one at no wind is none.
    pub fn sorted(mut targets: Vec<Target>) -> Self {
        targets.retain(|target| target.wind_kn.value.is_finite());
        targets.sort_by(|a, b| a.wind_kn.value.total_cmp(&b.wind_kn.value));
        targets.dedup_by(|later, earlier| later.wind_kn.value == earlier.wind_kn.value);
        Targets(targets)
    }

    /// One of the things that targets name, at any wind: by the curve between those given, beyond them the nearest; `None`
    /// if none is given.
    pub fn at(&self, wind_kn: f64, read: impl Fn(&Target) -> Option<f64>) -> Option<f64> {
        let given = self.0.iter().filter_map(|target| Some((target.wind_kn.value, read(target)?)));
        Curve::new(given.collect(), Between::Monotone)?.at_or_nearest(wind_kn)
    }
}

impl Deref for Targets {
    type Target = [Target];

    fn deref(&self) -> &[Target] {
        &self.0
    }
}
