//! What the sections of a book hold: plain data with places, no arithmetic.

use std::collections::BTreeMap;

pub use super::model_race::{Check, CrewSection, Forecast, RaceSections, Righting, Watches};
pub use super::model_rigging::{Lacing, LacingSide, OutboardLead, RamPlan, RiggingSections, Stowage, StowedItem};
use super::problem::Place;
pub use super::spanned::Spanned;
pub use super::targets::Targets;
use super::tree::Node;
use crate::length::Length;
pub use crate::tuning::WindUnit;
use crate::tuning::adjust::Offset;
use crate::tuning::wardrobe::Area;
use crate::tuning::{Angle, Band, Between, BoatSpeed, Ground, Scale, Span, Wind};

/// What stands in the YAML file of one boat, section by section. What is reckoned with is a [`Book`](super::Book): the same,
/// once it is known to be sound.
#[derive(Clone, Debug)]
pub struct Sections {
    /// The book's own demonstration mark: every card says EXAMPLE.
    pub example: bool,
    pub boat: Boat,
    pub units: Units,
    /// Rows of the cards, in rising order, each starting where the one before ends.
    pub bands: Vec<Band>,
    pub wind_source: Option<WindSource>,
    /// In the order a trimmer adjusts them.
    pub controls: Vec<Control>,
    pub sails: Vec<Sail>,
    pub settings: Vec<Settings>,
    /// Crew, righting, watches, forecast and checks.
    pub race: RaceSections,
    /// How much earlier to act at night in building wind.
    pub dark: Option<Dark>,
    /// What the boat wants to be covered by its sails.
    pub wardrobe: Option<WardrobePlan>,
    /// Moves for chop, flat water and the like.
    pub adjustments: Vec<Adjustment>,
    /// Outboard lead, lacing and stowage.
    pub rigging: RiggingSections,
    /// The `cards` list; `None` if the book leaves it out.
    pub cards: Option<Vec<CardEntry>>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Boat {
    pub name: Spanned<String>,
    pub length: Option<Length>,
    /// Length of hull, where the book tells it apart from the length.
    pub hull: Option<Length>,
    /// The year of her primary launch.
    pub launched: Option<i32>,
}

/// What a bare number means in this book; millimetres, knots, kilograms and bar unless it says otherwise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Units {
    pub length: LengthUnit,
    pub wind: WindUnit,
    pub mass: MassUnit,
    pub pressure: PressureUnit,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LengthUnit {
    #[default]
    Millimetre,
    Centimetre,
    Metre,
    Inch,
    Foot,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum MassUnit {
    #[default]
    Kilogram,
    Pound,
}

#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PressureUnit {
    #[default]
    Bar,
    Psi,
}

/// What the rows' wind speeds are.
#[derive(Clone, Debug, PartialEq)]
pub struct WindSource {
    pub kind: WindKind,
    pub sensor: Option<String>,
    /// The day it was last calibrated, as written: `2027-04-11`.
    pub calibrated: Option<String>,
    /// How high it stands above the water.
    pub height: Option<Length>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WindKind {
    True,
    Apparent,
}

/// Something a trimmer moves.
#[derive(Clone, Debug)]
pub struct Control {
    pub id: Spanned<String>,
    /// As printed; the id with spaces if the book gives none.
    pub name: String,
    /// What a higher number does: `tighter`, `aft`.
    pub higher_is: Option<String>,
    /// When to read it: `load on the clutch`.
    pub read_when: Option<String>,
    pub when: When,
    pub scale: Scale,
    pub never_above: Option<Limit>,
    pub never_below: Option<Limit>,
    pub strip: Option<StripPlan>,
    /// What pulls it, if that is a hydraulic ram.
    pub ram: Option<RamPlan>,
    /// The whole control in the book.
    pub place: Place,
}

/// Whether a control moves while racing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    Racing,
    /// Set before leaving; never on cards used while racing.
    Dock,
}

/// A reading not to pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    pub reading: Spanned<f64>,
    pub why: Option<String>,
}

/// How a control's scale stands on the boat and is printed.
#[derive(Clone, Debug, PartialEq)]
pub struct StripPlan {
    pub at: Place,
    /// Where it is stuck, in words: `inboard of the track`.
    pub place: Option<String>,
    pub sides: Sides,
    /// `None`: not given; the strip then reads left to right, whatever it is stuck to.
    pub grows: Option<Direction>,
    /// `None`: not given; the strip then reads left to right, whatever it is stuck to.
    pub reader_stands: Option<Stands>,
    /// The edge the pointer runs along; `None`: the usual one for the way the strip lies.
    pub ticks: Option<Spanned<TickEdge>>,
    pub reading_distance: Length,
    pub width: Length,
    pub pointer: Option<String>,
    pub datum: Option<Datum>,
    /// A second hard point, measured to the same lowest mark, to put a lost strip back by.
    pub second_datum: Option<Datum>,
    /// Ids of the settings whose winds stand beside the marks.
    pub winds: Vec<Spanned<String>>,
    /// A second quantity beside the marks it was measured at: reading and words, `95 bar`.
    pub beside: Vec<(Spanned<f64>, String)>,
    /// The track is curved: the strip is too.
    pub arc: Option<Arc>,
    /// Printed as in a mirror, to be stuck behind clear acrylic.
    pub mirror: bool,
}

/// Which strips to print for a control.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sides {
    /// One strip, on no particular side.
    One,
    Port,
    Starboard,
    Both,
}

/// The way numbers grow along a strip, on the boat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    Forward,
    Aft,
    Outboard,
    Inboard,
    Port,
    Starboard,
    Up,
    Down,
}

/// Where the reader stands relative to the strip, and so which way they face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    Inboard,
    Outboard,
    Aft,
    Forward,
}

/// The edge of a strip that the pointer runs along, in the reader's view or on the boat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TickEdge {
    Far,
    Near,
    Left,
    Right,
    Inboard,
    Outboard,
}

/// A curved track.
#[derive(Clone, Debug, PartialEq)]
pub struct Arc {
    /// Of the edge that the pointer runs along.
    pub radius: Length,
    /// The edge of the strip that looks toward the middle of the circle; `None`: the far or the left one.
    pub middle: Option<Spanned<TickEdge>>,
}

/// The hard point a strip is laid from.
#[derive(Clone, Debug, PartialEq)]
pub struct Datum {
    pub from: String,
    /// From that point to the strip's lowest mark.
    pub distance: Length,
    /// The day it was measured: `2027-04-11`.
    pub measured: Option<String>,
}

#[derive(Clone, Debug, PartialEq)]
pub struct Sail {
    pub id: Spanned<String>,
    pub name: String,
    pub kind: SailKind,
    /// True wind speeds it is for.
    pub wind: Option<Span<Wind>>,
    /// True wind angles it is for.
    pub angle: Option<Span<Angle>>,
    pub luff: Option<Length>,
    /// Between the sail and where it is made fast.
    pub strop: Option<Length>,
    /// What is wrong with it, in words: `luff torn, max 16 kn`.
    pub status: Option<String>,
    /// The most wind it may be used in as it is now.
    pub max_now: Option<Spanned<Wind>>,
    /// The id of the sail this is a reef of.
    pub reef_of: Option<String>,
    pub since: Option<String>,
    /// The sail it was bought in place of; that one no longer sails.
    pub replaces: Option<Spanned<String>>,
    /// The day it left the boat.
    pub retired: Option<String>,
    /// Ids of the settings to go on with until it has rows of its own.
    pub start_from: Vec<Spanned<String>>,
    /// How far those are moved for this sail: control and distance, as written.
    pub offsets: Vec<(Spanned<String>, Spanned<String>)>,
    pub place: Place,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SailKind {
    Mainsail,
    Headsail,
    Staysail,
    Spinnaker,
    Gennaker,
    Other,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PointOfSail {
    Upwind,
    CloseReach,
    BeamReach,
    BroadReach,
    Downwind,
}

/// The tuning matrix for a set of sails and a point of sail.
#[derive(Clone, Debug)]
pub struct Settings {
    pub id: Spanned<String>,
    /// Ids of the sails, mainsail first if there is one.
    pub sails: Vec<Spanned<String>>,
    pub point_of_sail: PointOfSail,
    /// Indices into [`Sections::controls`], the columns in the order of `Row::readings`.
    pub controls: Vec<usize>,
    /// In rising order of wind.
    pub rows: Vec<Row>,
    pub targets: Targets,
    /// How each control runs between known winds, by index into [`Sections::controls`]; monotone where not named.
    pub between: BTreeMap<usize, Between>,
    pub place: Place,
}

/// A known wind and its readings, one a column; `None` is `~`, not recorded.
#[derive(Clone, Debug, PartialEq)]
pub struct Row<A = Wind> {
    /// The wind it was recorded at.
    pub at: Spanned<A>,
    /// In the order of the columns.
    pub readings: Vec<Option<Spanned<f64>>>,
    /// How many were on the rail when it was sailed; `None`: all hands.
    pub on_rail: Option<Spanned<u32>>,
    pub ground: Ground,
}

/// What the boat should do at a wind.
#[derive(Clone, Debug, PartialEq)]
pub struct Target<A = Wind> {
    /// The wind it is for.
    pub at: Spanned<A>,
    /// Through the water.
    pub speed: Option<BoatSpeed>,
    /// Degrees.
    pub heel_deg: Option<f64>,
    /// To the true wind.
    pub angle: Option<Angle>,
    /// How it should look, in words.
    pub look: Option<String>,
    /// [`Ground::Sailed`] or [`Ground::CarriedOver`].
    pub ground: Ground,
}

/// What changes at night.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dark {
    /// By how much less wind.
    pub change_earlier: Wind,
}

/// The winds and angles that some sail should be for.
#[derive(Clone, Debug, PartialEq)]
pub struct WardrobePlan {
    pub asked: Area,
    /// Columns of the table, in rising order.
    pub angle_bands: Vec<Span<Angle>>,
    pub place: Place,
}

/// Controls to move from their settings for a sea or a sky: `chop`, `flat`.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjustment {
    pub id: Spanned<String>,
    /// As printed; the id with spaces.
    pub name: String,
    /// Index into [`Sections::controls`] and how far to move it.
    pub moves: Vec<(usize, Spanned<Offset>)>,
}

/// One entry of `cards`, still as written: its kind reads the rest.
#[derive(Clone, Debug)]
pub struct CardEntry {
    pub kind: Spanned<String>,
    pub node: Node,
}

impl Sections {
    pub fn control(&self, id: &str) -> Option<&Control> {
        self.controls.iter().find(|control| control.id.value == id)
    }

    pub fn sail(&self, id: &str) -> Option<&Sail> {
        self.sails.iter().find(|sail| sail.id.value == id)
    }

    pub fn adjustment(&self, id: &str) -> Option<&Adjustment> {
        self.adjustments.iter().find(|adjustment| adjustment.id.value == id)
    }

    pub fn settings(&self, id: &str) -> Option<&Settings> {
        self.settings.iter().find(|settings| settings.id.value == id)
    }

    /// Whether a sail is still aboard: neither retired nor replaced, and if a reef, that of such a sail.
    pub fn still_sails(&self, id: &str) -> bool {
        let is_replaced =
            |id: &str| self.sails.iter().any(|sail| sail.replaces.as_ref().is_some_and(|old| old.value == id));
        self.sail(id).is_some_and(|sail| {
            let whole = sail.reef_of.as_ref().filter(|whole| **whole != sail.id.value);
            sail.retired.is_none()
                && !is_replaced(&sail.id.value)
                && whole.is_none_or(|whole| {
                    !is_replaced(whole) && self.sail(whole).is_none_or(|whole| whole.retired.is_none())
                })
        })
    }

    /// Settings of which some sail no longer sails.
    pub fn laid_up(&self) -> impl Iterator<Item = &Settings> {
        self.settings.iter().filter(|settings| settings.sails.iter().any(|id| !self.still_sails(&id.value)))
    }

    /// The sail that sails in the place of one that no longer does, if there is one.
    fn successor(&self, id: &str) -> Option<&str> {
        let newer = |id: &&str| {
            let found = self.sails.iter().find(|sail| sail.replaces.as_ref().is_some_and(|old| old.value == **id));
            found.map(|sail| sail.id.value.as_str())
        };
        let mut newer = std::iter::successors(Some(self.sail(id)?.id.value.as_str()), newer).take(self.sails.len() + 1);
        newer.find(|id| self.still_sails(id))
    }

    /// For the id of every sail and of all settings that no longer sail, what does in their place, if anything.
    pub fn successors(&self) -> BTreeMap<String, Option<String>> {
        let sails = self.sails.iter().map(|sail| sail.id.value.as_str()).filter(|id| !self.still_sails(id));
        let sails = sails.map(|id| (id.to_owned(), self.successor(id).map(str::to_owned)));
        let settings = self.laid_up().map(|old| {
            let wanted: Option<Vec<&str>> = old.sails.iter().map(|id| self.successor(&id.value)).collect();
            let is_next = |settings: &&Settings| {
                let has = |id: &&str| settings.sails.iter().any(|sail| sail.value == **id);
                settings.point_of_sail == old.point_of_sail
                    && wanted
                        .as_ref()
                        .is_some_and(|wanted| wanted.len() == settings.sails.len() && wanted.iter().all(has))
            };
            let next = self.settings.iter().find(is_next);
            (old.id.value.clone(), next.map(|settings| settings.id.value.clone()))
        });
        sails.chain(settings).collect()
    }

    /// What sails now: all but the sails that do not, and their settings.
    pub(super) fn afloat(&self) -> Sections {
        let gone: Vec<&str> = self.laid_up().map(|settings| settings.id.value.as_str()).collect();
        let successors = self.successors();
        let mut book = self.clone();
        book.sails.retain(|sail| self.still_sails(&sail.id.value));
        book.settings.retain(|settings| !gone.contains(&settings.id.value.as_str()));
        for plan in book.controls.iter_mut().filter_map(|control| control.strip.as_mut()) {
            for id in &mut plan.winds {
                if let Some(Some(next)) = successors.get(&id.value) {
                    id.value = next.clone();
                }
            }
            plan.winds.retain(|id| !gone.contains(&id.value.as_str()));
        }
        book
    }
}
