//! How much the gear adds to pitching, and which item buys most when it is stowed elsewhere. Knows moments of inertia about
//! one axis; not how the boat floats.

use super::afloat::State;
use super::{Boat, BoatPlace};
use crate::length::Length;

/// The line athwartships that she is taken to pitch about.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PitchAxis {
    /// How far aft of the stem it is.
    pub x: Length,
    /// How far above the waterline it is.
    pub z: Length,
    /// The place of the boat that it goes through.
    pub taken_from: BoatPlace,
}

/// What an item buys at a stage.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Worth {
    /// The item, by its place in the list.
    pub item: usize,
    /// What doing as planned saves: 0 for what is kept.
    pub planned: Saving,
    /// What landing it from where it is now saves.
    pub landed: Saving,
}

/// Taken off the boat; negative if it is more than before.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Saving {
    /// The moment of inertia about the pitch axis.
    pub inertia_kg_m2: f64,
    /// The height moment about the pitch axis.
    pub height_moment_kg_m: f64,
}

/// Through the centre of gravity if it is known, else through the centre of flotation.
pub(super) fn pitch_axis(boat: &Boat) -> Option<PitchAxis> {
    let gravity = boat.centre_of_gravity.map(|centre| PitchAxis {
        x: centre.x,
        z: centre.z,
        taken_from: BoatPlace::CentreOfGravity,
    });
    let flotation =
        boat.centre_of_flotation.map(|x| PitchAxis { x, z: Length::ZERO, taken_from: BoatPlace::CentreOfFlotation });
    gravity.or(flotation)
}

/// Every item, what the plan buys with it most first.
pub(super) fn ranking(items: usize, now: &State, planned: &State) -> Vec<Worth> {
    let cost = |state: &State, item: usize| {
        let term = state.terms.iter().find(|term| term.item == item);
        term.map_or(Saving::default(), |term| Saving {
            inertia_kg_m2: term.inertia_kg_m2,
            height_moment_kg_m: term.height_moment_kg_m,
        })
    };
    let mut ranking: Vec<Worth> = (0..items)
        .map(|item| {
            let (landed, still) = (cost(now, item), cost(planned, item));
            let planned = Saving {
                inertia_kg_m2: landed.inertia_kg_m2 - still.inertia_kg_m2,
                height_moment_kg_m: landed.height_moment_kg_m - still.height_moment_kg_m,
            };
            Worth { item, planned, landed }
        })
        .collect();
    let key = |worth: &Worth| {
        let Worth { planned, landed, .. } = worth;
        // Adding 0 makes −0 into 0, so that two savings of nothing rank as equal.
        [planned.inertia_kg_m2, planned.height_moment_kg_m, landed.inertia_kg_m2, landed.height_moment_kg_m]
            .map(|saving| saving + 0.0)
    };
    ranking.sort_by(|a, b| {
        let pairs = key(b).into_iter().zip(key(a));
        pairs.fold(std::cmp::Ordering::Equal, |so_far, (b, a)| so_far.then(b.total_cmp(&a)))
    });
    ranking
}
