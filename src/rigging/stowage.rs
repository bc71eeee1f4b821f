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

use super::{Position, is_positive};
use crate::length::Length;

/// Up to this list the metacentre is taken to stand still, degrees. Handbooks of stability allow as much as 15 (from
/// memory of the one named above); a broad, shallow hull stands in for less, so we stop sooner. Past it the formula
/// says too much or too little, and only a curve of righting levers can tell.
pub const SMALL_LIST_DEG: f64 = 10.0;

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

/// The gear stowed in one way at one stage, and how the boat floats with it.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// One for each item that is aboard, in the order of the list.
    pub terms: Vec<Term>,
    /// What the gear weighs at this stage, in kilograms.
    pub mass_kg: f64,
    /// Centre of mass of the gear; `None` when nothing is aboard.
    pub centre: Option<Position>,
    /// The moment of inertia of the gear about the pitch axis.
    pub inertia_kg_m2: f64,
    /// `None` without the centre of flotation and the moment to change trim.
    pub trim: Option<Trim>,
    /// `None` without the mass to sink.
    pub sinkage: Option<Sinkage>,
    /// `None` without GM, and where it is not known how high what was landed or used up lay above her centre of gravity.
    pub list: Option<List>,
}

/// What one item adds to the sums.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// The item, by its place in the list.
    pub item: usize,
    /// What it weighs at this stage, in kilograms.
    pub mass_kg: f64,
    /// Where it is at this stage.
    pub place: Position,
    /// m·x, about the stem.
    pub moment_aft_kg_m: f64,
    /// m·y, about the centreline.
    pub moment_to_starboard_kg_m: f64,
    /// m·(z − z₀), above the pitch axis.
    pub height_moment_kg_m: f64,
    /// m·((x − x₀)² + (z − z₀)²).
    pub inertia_kg_m2: f64,
}

/// Change of trim from the boat as described.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Trim {
    /// Change of the moment about the centre of flotation, aft positive.
    pub moment_kg_m: f64,
    /// How far bow and stern change together, in centimetres; bow up and stern down is positive.
    pub bow_up_cm: f64,
}

/// Sinkage from the boat as described.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sinkage {
    /// Mass taken aboard; negative if landed or used up.
    pub mass_kg: f64,
    /// How much deeper she floats; higher is negative.
    pub deeper: Length,
}

/// How the boat lists.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct List {
    /// Of boat and gear about the centreline, to starboard positive.
    pub moment_kg_m: f64,
    /// What boat and gear displace at this stage, in kilograms.
    pub displacement_kg: f64,
    /// How much higher her centre of gravity is than in the boat as described.
    pub rise: Length,
    /// GM then.
    pub metacentric_height: Length,
    /// The angle that this makes.
    pub angle: ListAngle,
}

/// How far she lists, where the formula for small angles can say it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ListAngle {
    /// To starboard positive.
    Small {
        /// The angle in degrees.
        to_starboard_deg: f64,
    },
    /// More than [`SMALL_LIST_DEG`], and no telling how much.
    PastSmall {
        /// Whether she lists to starboard; else to port.
        to_starboard: bool,
    },
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
    let mut faults = faults_of_boat(boat);
    faults.extend(items.iter().enumerate().flat_map(|(index, item)| faults_of_item(boat, index, item)));
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
    let state = |stowed, stage| {
        let terms = terms(items, &pitch_axis, |item| aboard(item, stowed, stage));
        state(boat, &as_described, terms)
    };
    let stages = Stage::ALL.map(|stage| {
        let (now, planned) = (state(Stowed::Now, stage), state(Stowed::Planned, stage));
        let ranking = ranking(items.len(), &now, &planned);
        StageWorked { stage, now, planned, ranking }
    });
    let faults: Vec<Impossible> = stages
        .iter()
        .flat_map(|worked| [(Stowed::Now, worked.stage, &worked.now), (Stowed::Planned, worked.stage, &worked.planned)])
        .filter_map(|(stowed, stage, state)| fault_of_state(stowed, stage, state))
        .collect();
    if faults.is_empty() { Ok(Worked { pitch_axis, own_inertia_kg_m2, stages }) } else { Err(faults) }
}

fn pitch_axis(boat: &Boat) -> Option<PitchAxis> {
    let gravity = boat.centre_of_gravity.map(|centre| PitchAxis {
        x: centre.x,
        z: centre.z,
        taken_from: BoatPlace::CentreOfGravity,
    });
    let flotation =
        boat.centre_of_flotation.map(|x| PitchAxis { x, z: Length::ZERO, taken_from: BoatPlace::CentreOfFlotation });
    gravity.or(flotation)
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

fn terms(items: &[Item], pitch_axis: &PitchAxis, aboard: impl Fn(&Item) -> Option<(f64, Position)>) -> Vec<Term> {
    let term = |item, (mass_kg, place): (f64, Position)| {
        let (aft, above) = (in_metres(place.x - pitch_axis.x), in_metres(place.z - pitch_axis.z));
        Term {
            item,
            mass_kg,
            place,
            moment_aft_kg_m: mass_kg * in_metres(place.x),
            moment_to_starboard_kg_m: mass_kg * in_metres(place.y),
            height_moment_kg_m: mass_kg * above,
            inertia_kg_m2: mass_kg * (aft * aft + above * above),
        }
    };
    items.iter().enumerate().filter_map(|(index, item)| aboard(item).map(|found| term(index, found))).collect()
}

/// The sums over the gear, moments in kg·m.
struct Sums {
    mass_kg: f64,
    aft: f64,
    to_starboard: f64,
    /// The height moment about the pitch axis.
    above: f64,
    inertia: f64,
}

impl Sums {
    fn of(terms: &[Term]) -> Sums {
        // From 0 up: the sum of nothing is 0, where `sum` would give −0.
        let sum = |part: fn(&Term) -> f64| terms.iter().map(part).fold(0.0, |sum, part| sum + part);
        Sums {
            mass_kg: sum(|term| term.mass_kg),
            aft: sum(|term| term.moment_aft_kg_m),
            to_starboard: sum(|term| term.moment_to_starboard_kg_m),
            above: sum(|term| term.height_moment_kg_m),
            inertia: sum(|term| term.inertia_kg_m2),
        }
    }
}

/// A change of mass that is only the last bits of the arithmetic, as a part of the boat's.
const SAME_MASS: f64 = 1e-12;

fn state(boat: &Boat, as_described: &Sums, terms: Vec<Term>) -> State {
    let sums = Sums::of(&terms);
    let added_kg = sums.mass_kg - as_described.mass_kg;
    // Each axis by its own moments; the height from the places themselves, which do not hang on the pitch axis.
    let height: f64 = terms.iter().map(|term| term.mass_kg * in_metres(term.place.z)).sum();
    let centre = (sums.mass_kg > 0.0).then(|| {
        let [x, y, z] = [sums.aft, sums.to_starboard, height].map(|moment| Length::metres(moment / sums.mass_kg));
        Position::new(x, y, z)
    });
    let trim = boat.centre_of_flotation.zip(boat.moment_to_trim_kg_m_per_cm).map(|(flotation, to_trim)| {
        let moment_kg_m = (sums.aft - as_described.aft) - added_kg * in_metres(flotation);
        Trim { moment_kg_m, bow_up_cm: moment_kg_m / to_trim }
    });
    let sinkage = boat
        .mass_to_sink_kg_per_cm
        .map(|to_sink| Sinkage { mass_kg: added_kg, deeper: Length::cm(added_kg / to_sink) });
    let list =
        boat.metacentric_height.and_then(|metacentric_height| list(boat, metacentric_height, as_described, &sums));
    State { mass_kg: sums.mass_kg, centre, inertia_kg_m2: sums.inertia, trim, sinkage, list, terms }
}

/// `None` if the rise of her centre of gravity is not known.
fn list(boat: &Boat, metacentric_height: Length, as_described: &Sums, sums: &Sums) -> Option<List> {
    let added_kg = sums.mass_kg - as_described.mass_kg;
    let displacement_kg = boat.displacement_kg + added_kg;
    let off_centre_kg_m = boat.centre_of_gravity.map_or(0.0, |centre| boat.displacement_kg * in_metres(centre.y));
    let moment_kg_m = off_centre_kg_m + (sums.to_starboard - as_described.to_starboard);
    // The pitch axis is at the height of G whenever G is known. Where it is not, shifting gear still raises G by the
    // moment of the shift, from whatever height that is taken.
    let same_mass = added_kg.abs() <= SAME_MASS * boat.displacement_kg;
    let known = boat.centre_of_gravity.is_some() || same_mass;
    let rise = known.then(|| Length::metres((sums.above - as_described.above) / displacement_kg))?;
    let metacentric_height = metacentric_height - rise;
    let to_starboard_deg = moment_kg_m.atan2(displacement_kg * in_metres(metacentric_height)).to_degrees();
    let angle = if to_starboard_deg.abs() > SMALL_LIST_DEG {
        ListAngle::PastSmall { to_starboard: to_starboard_deg > 0.0 }
    } else {
        ListAngle::Small { to_starboard_deg }
    };
    Some(List { moment_kg_m, displacement_kg, rise, metacentric_height, angle })
}

fn ranking(items: usize, now: &State, planned: &State) -> Vec<Worth> {
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

fn faults_of_boat(boat: &Boat) -> Vec<Impossible> {
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

fn faults_of_item(boat: &Boat, item: usize, facts: &Item) -> Vec<Impossible> {
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
    faults.extend(places.flat_map(|(place, position)| faults_of_place(boat, item, place, position)));
    faults
}

fn faults_of_place(boat: &Boat, item: usize, place: ItemPlace, position: Position) -> Vec<Impossible> {
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

fn fault_of_state(stowed: Stowed, stage: Stage, state: &State) -> Option<Impossible> {
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

fn in_metres(length: Length) -> f64 {
    length / Length::metres(1.0)
}
