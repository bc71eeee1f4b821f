//! How the boat floats with her gear in one state: its sums, trim, sinkage and list. Knows masses and places; not what is
//! planned, nor what pitching costs.

use super::pitching::PitchAxis;
use super::{Boat, Item, in_metres};
use crate::length::Length;
use crate::rigging::Position;

/// Up to this list the metacentre is taken to stand still, degrees. Handbooks of stability allow as much as 15 (from
/// memory of the one named above); a broad, shallow hull stands in for less, so we stop sooner. Past it the formula
/// says too much or too little, and only a curve of righting levers can tell.
pub const SMALL_LIST_DEG: f64 = 10.0;

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

/// What each item adds that is aboard; `aboard` says what it weighs then and where it is.
pub(super) fn terms(
    items: &[Item],
    pitch_axis: &PitchAxis,
    aboard: impl Fn(&Item) -> Option<(f64, Position)>,
) -> Vec<Term> {
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
pub(super) struct Sums {
    mass_kg: f64,
    aft: f64,
    to_starboard: f64,
    /// The height moment about the pitch axis.
    above: f64,
    inertia: f64,
}

impl Sums {
    pub(super) fn of(terms: &[Term]) -> Sums {
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

/// The boat with this gear, from the change since she was described.
pub(super) fn state(boat: &Boat, as_described: &Sums, terms: Vec<Term>) -> State {
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
