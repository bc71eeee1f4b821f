//! What can be wrong with a boat and the gear to be stowed in her. Knows masses, places and what she floats like then; says
//! nothing in words.

use super::afloat::{List, State};
use super::{Boat, Item, Plan, Stage, Stowed, in_metres};
use crate::length::Length;
use crate::rigging::{Position, is_positive};

/// Why there is no answer. Items are named by their place in the list.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// A figure of the boat that is 0, negative or not a number.
    Figure {
        /// The figure that is meant.
        figure: Figure,
        /// The value that was given.
        value: f64,
    },
    /// A place of the boat is not a number.
    BoatPlace {
        /// The place that is meant.
        place: BoatPlace,
    },
    /// Neither the centre of gravity nor the centre of flotation is given, so there is nothing to pitch about.
    NoPitchAxis,
    /// A mass that is 0, negative or not a number.
    Mass {
        /// The item that is meant.
        item: usize,
        /// The mass that was given, in kilograms.
        mass_kg: f64,
    },
    /// A factor below 1, or not a number: water only adds.
    WetFactor {
        /// The item that is meant.
        item: usize,
        /// The factor that was given.
        wet_factor: f64,
    },
    /// A part left that is not from 0 to 1.
    Left {
        /// The item that is meant.
        item: usize,
        /// The stage from which on it is said.
        stage: Stage,
        /// The part that was given.
        left: f64,
    },
    /// A place that is not a number.
    Place {
        /// The item that is meant.
        item: usize,
        /// The one of its places that is meant.
        place: ItemPlace,
    },
    /// A place outside the boat, on one of its axes.
    OutsideBoat {
        /// The item that is meant.
        item: usize,
        /// The one of its places that is meant.
        place: ItemPlace,
        /// The axis on which it is outside.
        axis: Axis,
        /// Where it was said to be on that axis.
        at: Length,
        /// The least that the boat reaches to.
        from: Length,
        /// The most that the boat reaches to.
        to: Length,
    },
    /// The rules make the boat carry it, and the plan lands it.
    RequiredAshore {
        /// The item that is meant.
        item: usize,
    },
    /// The gear weighs as much as the whole boat, or more.
    GearOutweighsBoat {
        /// What all the gear weighs, in kilograms.
        gear_kg: f64,
        /// What the boat displaces, in kilograms.
        displacement_kg: f64,
    },
    /// Stowed so, she would not stand upright.
    Unstable {
        /// Which way the gear is stowed then.
        stowed: Stowed,
        /// The stage at which it happens.
        stage: Stage,
        /// GM then; 0 or less.
        metacentric_height: Length,
    },
    /// The numbers are too large to work with.
    TooLarge,
}

/// A figure of the boat that must be above 0.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// What she displaces.
    Displacement,
    /// The moment that changes the trim.
    MomentToTrim,
    /// The mass that sinks her.
    MassToSink,
    /// GM.
    MetacentricHeight,
    /// The radius of gyration in pitch.
    Gyradius,
}

/// A place of the boat herself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum BoatPlace {
    /// The centre of gravity.
    CentreOfGravity,
    /// The centre of flotation.
    CentreOfFlotation,
}

/// One of the places of an item.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ItemPlace {
    /// Where it is now.
    Now,
    /// Where it is planned to go.
    MovedTo,
    /// Where it is from this stage on.
    From(Stage),
}

/// One of the axes that places are given on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Axis {
    /// The axis that runs aft from the stem.
    X,
    /// The axis that runs to starboard from the centreline.
    Y,
    /// The axis that runs up from the waterline.
    Z,
}

/// What is wrong with the boat's own figures.
pub(super) fn of_boat(boat: &Boat) -> Vec<Impossible> {
    let figures = [
        (Figure::Displacement, Some(boat.displacement_kg)),
        (Figure::MomentToTrim, boat.moment_to_trim_kg_m_per_cm),
        (Figure::MassToSink, boat.mass_to_sink_kg_per_cm),
        (Figure::MetacentricHeight, boat.metacentric_height.map(in_metres)),
        (Figure::Gyradius, boat.gyradius.map(in_metres)),
    ];
    let mut faults: Vec<Impossible> = figures
        .into_iter()
        .filter_map(|(figure, value)| value.map(|value| (figure, value)))
        .filter(|(_, value)| !is_positive(*value))
        .map(|(figure, value)| Impossible::Figure { figure, value })
        .collect();
    if boat.centre_of_gravity.is_some_and(|centre| !centre.is_finite()) {
        faults.push(Impossible::BoatPlace { place: BoatPlace::CentreOfGravity });
    }
    if boat.centre_of_flotation.is_some_and(|x| !x.to_mm().is_finite()) {
        faults.push(Impossible::BoatPlace { place: BoatPlace::CentreOfFlotation });
    }
    if boat.centre_of_gravity.is_none() && boat.centre_of_flotation.is_none() {
        faults.push(Impossible::NoPitchAxis);
    }
    faults
}

/// What is wrong with one item, whatever the others are.
pub(super) fn of_item(boat: &Boat, item: usize, facts: &Item) -> Vec<Impossible> {
    let mut faults = Vec::new();
    if !is_positive(facts.mass_kg) {
        faults.push(Impossible::Mass { item, mass_kg: facts.mass_kg });
    }
    if !(facts.wet_factor >= 1.0 && facts.wet_factor.is_finite()) {
        faults.push(Impossible::WetFactor { item, wet_factor: facts.wet_factor });
    }
    if facts.required && facts.plan == Plan::Ashore {
        faults.push(Impossible::RequiredAshore { item });
    }
    for (stage, change) in &facts.changes {
        if let Some(left) = change.left.filter(|left| !(0.0..=1.0).contains(left)) {
            faults.push(Impossible::Left { item, stage: *stage, left });
        }
    }
    let moved_to = match facts.plan {
        Plan::Move(to) => Some((ItemPlace::MovedTo, to)),
        Plan::Keep | Plan::Ashore => None,
    };
    let later = facts.changes.iter().filter_map(|(stage, change)| Some((ItemPlace::From(*stage), change.at?)));
    let places = std::iter::once((ItemPlace::Now, facts.now)).chain(moved_to).chain(later);
    faults.extend(places.flat_map(|(place, position)| of_place(boat, item, place, position)));
    faults
}

fn of_place(boat: &Boat, item: usize, place: ItemPlace, position: Position) -> Vec<Impossible> {
    if !position.is_finite() {
        return vec![Impossible::Place { item, place }];
    }
    let axes = [
        (Axis::X, position.x, boat.extent.x),
        (Axis::Y, position.y, boat.extent.y),
        (Axis::Z, position.z, boat.extent.z),
    ];
    axes.into_iter()
        .filter_map(|(axis, at, extent)| {
            let [from, to] = extent?;
            (!(from..=to).contains(&at)).then_some(Impossible::OutsideBoat { item, place, axis, at, from, to })
        })
        .collect()
}

/// Why the boat could not be so stowed at a stage.
pub(super) fn of_state(stowed: Stowed, stage: Stage, state: &State) -> Option<Impossible> {
    let list = state.list.filter(|list| !is_positive(list.metacentric_height.to_mm()));
    if let Some(List { metacentric_height, .. }) = list.filter(|list| list.metacentric_height.to_mm().is_finite()) {
        return Some(Impossible::Unstable { stowed, stage, metacentric_height });
    }
    let finite = state.inertia_kg_m2.is_finite()
        && state.mass_kg.is_finite()
        && state.centre.is_none_or(Position::is_finite)
        && state.trim.is_none_or(|trim| trim.moment_kg_m.is_finite() && trim.bow_up_cm.is_finite())
        && state.sinkage.is_none_or(|sinkage| sinkage.deeper.to_mm().is_finite())
        && state.list.is_none_or(|list| list.moment_kg_m.is_finite() && list.metacentric_height.to_mm().is_finite());
    (!finite).then_some(Impossible::TooLarge)
}
