//! What the gear aboard weighs, where its centre lies, and what stowing it elsewhere does to trim, sinkage, list and
//! pitching. Knows masses and places, not what an item is called.
//!
//! The boat's figures describe her as she floats with every item aboard, whole and dry, where it lies now. Every state
//! is worked out as a change from that one:
//!
//! - change of trim = (change of Σ m·(x − x_f)) / (moment to change trim 1 cm), about the centre of flotation x_f;
//! - sinkage = (change of Σ m) / (mass to sink 1 cm);
//! - stability: GM' = GM − (change of Σ m·(z − z_G)) / Δ', the metacentre held where it is, with Δ' the displacement
//!   then. While nothing is landed or used up this does not hang on z_G; else it is only known if G is;
//! - list: tan θ = (Δ·y_G + change of Σ m·y) / (Δ'·GM'), for small angles only: see [`SMALL_LIST_DEG`];
//! - pitch moment of inertia of the gear = Σ m·((x − x₀)² + (z − z₀)²), each item taken as a point, about an axis that
//!   stays where it is.
//!
//! Sources: trim, sinkage and list for small changes as in C. B. Barrass and D. R. Derrett, *Ship Stability for Masters
//! and Mates*, 6th ed., chapters on list, trim and tonnes per centimetre; the moment of inertia by its definition.

mod afloat;
mod faults;
mod pitching;

pub use afloat::{List, ListAngle, SMALL_LIST_DEG, Sinkage, State, Term, Trim};
pub use faults::{Axis, BoatPlace, Figure, Impossible, ItemPlace};
pub use pitching::{PitchAxis, Saving, Worth};

use super::Position;
use crate::length::Length;
use afloat::{Sums, state, terms};
use pitching::{pitch_axis, ranking};

/// The boat, as she floats with every item where it is now.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Boat {
    /// What she displaces, in kilograms.
    pub displacement_kg: f64,
    /// Where her centre of gravity is, if it is known.
    pub centre_of_gravity: Option<Position>,
    /// How far it is aft of the stem.
    pub centre_of_flotation: Option<Length>,
    /// Moment that changes the trim, bow and stern together, by 1 cm: kg·m for each cm.
    pub moment_to_trim_kg_m_per_cm: Option<f64>,
    /// Mass that sinks her by 1 cm.
    pub mass_to_sink_kg_per_cm: Option<f64>,
    /// GM, of the upright boat.
    pub metacentric_height: Option<Length>,
    /// Radius of gyration in pitch about her centre of gravity, with everything aboard.
    pub gyradius: Option<Length>,
    /// Where anything aboard can be.
    pub extent: Extent,
}

/// The least and the greatest `x`, `y` and `z` that anything aboard can have, where known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Extent {
    /// The least and the greatest distance aft of the stem.
    pub x: Option<[Length; 2]>,
    /// The least and the greatest distance to starboard of the centreline.
    pub y: Option<[Length; 2]>,
    /// The least and the greatest height above the waterline.
    pub z: Option<[Length; 2]>,
}

/// One thing that can be carried elsewhere.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What it weighs whole and dry, in kilograms.
    pub mass_kg: f64,
    /// Where it is now.
    pub now: Position,
    /// What is to happen to it.
    pub plan: Plan,
    /// Whether the rules make the boat carry it.
    pub required: bool,
    /// How many times its dry mass it weighs when wet: 1 for what does not soak.
    pub wet_factor: f64,
    /// What changes from a stage on, until a later stage changes it again.
    pub changes: Vec<(Stage, Change)>,
}

impl Item {
    /// All that is said of it up to this stage, the latest word on each.
    pub fn in_force(&self, stage: Stage) -> Change {
        let mut so_far: Vec<&(Stage, Change)> = self.changes.iter().filter(|(from, _)| *from <= stage).collect();
        so_far.sort_by_key(|(from, _)| *from);
        so_far.into_iter().fold(Change::default(), |before, (_, change)| Change {
            left: change.left.or(before.left),
            wet: change.wet.or(before.wet),
            at: change.at.or(before.at),
        })
    }

    /// Whether any stage makes it wet.
    pub fn gets_wet(&self) -> bool {
        self.changes.iter().any(|(_, change)| change.wet == Some(true))
    }
}

/// What is to happen to an item.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Plan {
    /// It stays where it is.
    Keep,
    /// It is left ashore.
    Ashore,
    /// It goes to this place.
    Move(Position),
}

/// The stages of a race, in order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Stage {
    /// She lies at the dock.
    Dock,
    /// She starts.
    Start,
    /// She is in the middle of the race.
    Middle,
    /// She finishes.
    Finish,
}

impl Stage {
    /// Every stage, in their order.
    pub const ALL: [Stage; 4] = [Stage::Dock, Stage::Start, Stage::Middle, Stage::Finish];
}

/// What is new about an item from a stage on; `None` where nothing is.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Change {
    /// The part of it not used up: 1 whole, 0 none.
    pub left: Option<f64>,
    /// Whether it is wet from then on.
    pub wet: Option<bool>,
    /// Where it is from then on, planned or not: a sail that is below once it has been taken in.
    pub at: Option<Position>,
}

/// Which way the gear is stowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stowed {
    /// Every item where it is now.
    Now,
    /// As planned.
    Planned,
}

/// The working behind a plan of stowage.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    /// Where `x₀` and `z₀` are: the centre of gravity if known, else the centre of flotation at the waterline.
    pub pitch_axis: PitchAxis,
    /// Of the whole boat as described: Δ·k². `None` without the radius of gyration.
    pub own_inertia_kg_m2: Option<f64>,
    /// The stages, in the order of [`Stage::ALL`].
    pub stages: [StageWorked; 4],
}

/// The gear at one stage, stowed as it is and as it is planned.
#[derive(Clone, Debug, PartialEq)]
pub struct StageWorked {
    /// The stage.
    pub stage: Stage,
    /// The gear where it is now.
    pub now: State,
    /// The gear as planned.
    pub planned: State,
    /// Every item, what the plan buys with it most first: by inertia, then by height moment, then by what landing it
    /// would buy.
    pub ranking: Vec<Worth>,
}

/// The gear of `boat` now and as planned, at every stage; or everything that is wrong with it.
///
/// ```
/// use cockpit_cards::length::Length;
/// use cockpit_cards::rigging::Position;
/// use cockpit_cards::rigging::stowage::{Boat, Item, Plan, work_out};
///
/// let metres = |x, y, z| Position::new(Length::metres(x), Length::metres(y), Length::metres(z));
/// let boat = Boat {
///     displacement_kg: 6000.0,
///     centre_of_gravity: Some(metres(6.0, 0.0, 0.0)),
///     ..Boat::default()
/// };
/// // An anchor goes from the bow to a bunk beside the mast.
/// let anchor = Item {
///     mass_kg: 20.0,
///     now: metres(1.0, 0.0, 0.0),
///     plan: Plan::Move(metres(5.0, 0.0, 0.0)),
///     required: true,
///     wet_factor: 1.0,
///     changes: vec![],
/// };
/// let worked = work_out(&boat, &[anchor]).unwrap();
/// let [dock, ..] = &worked.stages;
/// // Five times nearer, so a twenty-fifth of the inertia:
/// assert_eq!((dock.now.inertia_kg_m2, dock.planned.inertia_kg_m2), (500.0, 20.0));
/// ```
pub fn work_out(boat: &Boat, items: &[Item]) -> Result<Worked, Vec<Impossible>> {
    let mut faults = faults::of_boat(boat);
    faults.extend(items.iter().enumerate().flat_map(|(index, item)| faults::of_item(boat, index, item)));
    let pitch_axis = pitch_axis(boat);
    let gear_kg: f64 = items.iter().map(|item| item.mass_kg).sum();
    if faults.is_empty() && gear_kg >= boat.displacement_kg {
        faults.push(Impossible::GearOutweighsBoat { gear_kg, displacement_kg: boat.displacement_kg });
    }
    let own_inertia_kg_m2 = boat.gyradius.map(|radius| boat.displacement_kg * in_metres(radius).powi(2));
    if own_inertia_kg_m2.is_some_and(f64::is_infinite) {
        faults.push(Impossible::TooLarge);
    }
    let Some(pitch_axis) = pitch_axis.filter(|_| faults.is_empty()) else { return Err(faults) };

    let as_described = Sums::of(&terms(items, &pitch_axis, |item| Some((item.mass_kg, item.now))));
    let stowed_so = |stowed, stage| {
        let terms = terms(items, &pitch_axis, |item| aboard(item, stowed, stage));
        state(boat, &as_described, terms)
    };
    let stages = Stage::ALL.map(|stage| {
        let (now, planned) = (stowed_so(Stowed::Now, stage), stowed_so(Stowed::Planned, stage));
        let ranking = ranking(items.len(), &now, &planned);
        StageWorked { stage, now, planned, ranking }
    });
    let faults: Vec<Impossible> = stages
        .iter()
        .flat_map(|worked| [(Stowed::Now, worked.stage, &worked.now), (Stowed::Planned, worked.stage, &worked.planned)])
        .filter_map(|(stowed, stage, state)| faults::of_state(stowed, stage, state))
        .collect();
    if faults.is_empty() { Ok(Worked { pitch_axis, own_inertia_kg_m2, stages }) } else { Err(faults) }
}

/// What is wrong with one item, whatever else is carried: `item` is what the faults call it.
pub fn faults_of_item(boat: &Boat, item: usize, facts: &Item) -> Vec<Impossible> {
    faults::of_item(boat, item, facts)
}

/// What an item weighs and where it is; `None` if it is not aboard.
fn aboard(item: &Item, stowed: Stowed, stage: Stage) -> Option<(f64, Position)> {
    let place = match (stowed, item.plan) {
        (Stowed::Planned, Plan::Ashore) => return None,
        (Stowed::Planned, Plan::Move(to)) => to,
        (Stowed::Planned, Plan::Keep) | (Stowed::Now, _) => item.now,
    };
    let in_force = item.in_force(stage);
    let wet_factor = if in_force.wet == Some(true) { item.wet_factor } else { 1.0 };
    let mass_kg = item.mass_kg * in_force.left.unwrap_or(1.0) * wet_factor;
    (mass_kg > 0.0).then(|| (mass_kg, in_force.at.unwrap_or(place)))
}

fn in_metres(length: Length) -> f64 {
    length / Length::metres(1.0)
}
