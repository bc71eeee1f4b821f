//! What the sections of a book hold: plain data with places, no arithmetic.

use std::collections::BTreeMap;

pub use super::model_angled::{Angled, AngledRow, AngledTarget, WindsOf};
pub use super::model_dock::DockTune;
pub use super::model_printing::Printing;
pub use super::model_race::{Check, CrewSection, Forecast, RaceSections, Righting, UsuallyBelow, Watches};
pub use super::model_rigging::{Lacing, LacingSide, OutboardLead, RamPlan, RiggingSections, Stowage, StowedItem};
pub use super::model_sailed::{NoteColumn, NoteField, Sailed};
use super::problem::Place;
pub use super::recorded::Recorded;
use super::sets;
pub use super::spanned::Spanned;
pub use super::targets::{Target, Targets};
use super::tree::Node;
pub use super::two_sides::Difference;
use crate::length::Length;
use crate::tuning::adjust::Offset;
use crate::tuning::range::{Area, SailRange};
use crate::tuning::{Angle, Band, Between, Ground, Scale, Span, Wind};
pub use crate::tuning::{PointOfSail, PointsOfSail, WindUnit};

/// What stands in the YAML file of one boat, section by section. What is reckoned with is a [`Book`](super::Book): the same,
/// once it is known to be sound.
#[derive(Clone, Debug)]
pub struct Sections {
    /// The book's own demonstration mark: every card says EXAMPLE.
    pub example: bool,
    /// The boat that the book is of.
    pub boat: Boat,
    /// The units of numbers that are written without one.
    pub units: Units,
    /// How it is printed, unless whoever prints it says otherwise.
    pub printing: Printing,
    /// Rows of the cards, in rising order, each starting where the one before ends.
    pub bands: Vec<Band>,
    /// What the wind of the rows is and where it is measured; `None` if the book does not say.
    pub wind_source: Option<WindSource>,
    /// Which angles each point of sail stands for.
    pub points_of_sail: PointsOfSail,
    /// What a trimmer moves, in the order that it is adjusted in.
    pub controls: Vec<Control>,
    /// The sails, in the order of the book.
    pub sails: Vec<Sail>,
    /// The tuning matrices, in the order of the book.
    pub settings: Vec<Settings>,
    /// How the rig is set before leaving, in the order of the book.
    pub dock_tunes: Vec<DockTune>,
    /// Crew, righting, watches, forecast and checks.
    pub race: RaceSections,
    /// How much earlier to act at night in building wind.
    pub dark: Option<Dark>,
    /// How far apart a change-points card prints building and easing; `None`: as far as [`crate::tuning::ladder`] has it.
    pub rungs_apart: Option<Wind>,
    /// What the boat wants to be covered by its sails.
    pub wardrobe: Option<WardrobePlan>,
    /// Moves for chop, flat water and the like.
    pub adjustments: Vec<Adjustment>,
    /// Outboard lead, lacing and stowage.
    pub rigging: RiggingSections,
    /// What was sailed, if the book names its notes.
    pub sailed: Option<Sailed>,
    /// The cards to print.
    pub cards: CardList,
}

/// The boat: what she is called, and the figures that rules for boats of a length or an age ask for.
#[derive(Clone, Debug, PartialEq)]
pub struct Boat {
    /// Her name, as it is printed on every card.
    pub name: Spanned<String>,
    /// Her length, from which the length of her hull is taken where that is not given.
    pub length: Option<Length>,
    /// Length of hull, where the book tells it apart from the length.
    pub hull: Option<Length>,
    /// The year of her primary launch.
    pub launched: Option<i32>,
}

/// What a bare number means in this book; millimetres, knots, kilograms and bar unless it says otherwise.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Units {
    /// What a bare length is in.
    pub length: LengthUnit,
    /// What a bare wind speed is in, and what winds are printed in.
    pub wind: WindUnit,
    /// What a bare mass is in, and what masses are printed in.
    pub mass: MassUnit,
    /// What a bare pressure is in.
    pub pressure: PressureUnit,
}

/// A unit in which a book can write lengths. They are held in millimetres, whichever it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LengthUnit {
    /// Written `mm`.
    #[default]
    Millimetre,
    /// Written `cm`.
    Centimetre,
    /// Written `m`.
    Metre,
    /// Written `in`: 25.4 mm.
    Inch,
    /// Written `ft`: twelve inches.
    Foot,
}

/// A unit in which a book can write masses. They are held in kilograms, whichever it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum MassUnit {
    /// Written `kg`.
    #[default]
    Kilogram,
    /// Written `lb`: the avoirdupois pound.
    Pound,
}

/// A unit in which a book can write pressures. They are held in bar, whichever it is.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PressureUnit {
    /// Written `bar`.
    #[default]
    Bar,
    /// Written `psi`: pounds-force to the square inch.
    Psi,
}

/// What the rows' wind speeds are.
#[derive(Clone, Debug, PartialEq)]
pub struct WindSource {
    /// Whether the rows are true wind or apparent.
    pub kind: WindKind,
    /// Where the wind is measured, in words: `masthead`.
    pub sensor: Option<String>,
    /// The day it was last calibrated, as written: `2027-04-11`.
    pub calibrated: Option<String>,
    /// How high it stands above the water.
    pub height: Option<Length>,
}

/// The wind that the rows of a book are known by.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WindKind {
    /// The wind over the water, as it would be felt on a boat that does not move.
    True,
    /// The wind as it is felt on the moving boat.
    Apparent,
}

/// Something a trimmer moves.
#[derive(Clone, Debug)]
pub struct Control {
    /// What the rest of the book calls it by: `jib_halyard`.
    pub id: Spanned<String>,
    /// The name as printed; the id with spaces if the book gives none.
    pub name: String,
    /// What a higher number does: `tighter`, `aft`.
    pub higher_is: Option<String>,
    /// When to read it: `load on the clutch`.
    pub read_when: Option<String>,
    /// Whether it is moved while racing or set before leaving.
    pub when: When,
    /// What it is read by.
    pub scale: Scale,
    /// How its two sides are read, where its scale says that there are two.
    pub difference: Option<Difference>,
    /// The reading it must not go above, if there is one.
    pub never_above: Option<Limit>,
    /// The reading it must not go below, if there is one.
    pub never_below: Option<Limit>,
    /// How its scale is printed to be stuck on deck; `None` if the book does not say.
    pub strip: Option<StripPlan>,
    /// Whether the book says that it has no strip: `strip: none`.
    pub has_no_strip: bool,
    /// What pulls it, if that is a hydraulic ram.
    pub ram: Option<RamPlan>,
    /// The whole control in the book.
    pub place: Place,
}

/// Whether a control moves while racing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum When {
    /// It is moved while racing.
    Racing,
    /// Set before leaving; never on cards used while racing.
    Dock,
}

/// A reading not to pass.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// The last reading that is allowed, in the coordinate of the control's scale.
    pub reading: Spanned<f64>,
    /// The reason, in words, as it is printed beside the limit.
    pub why: Option<String>,
}

/// How a control's scale stands on the boat and is printed.
#[derive(Clone, Debug, PartialEq)]
pub struct StripPlan {
    /// Where `strip` stands in the book.
    pub at: Place,
    /// Where it is stuck, in words: `inboard of the track`.
    pub place: Option<String>,
    /// Which strips to print: one for each side of the boat, or one for both.
    pub sides: Sides,
    /// `None`: not given; the strip then reads left to right, whatever it is stuck to.
    pub grows: Option<Direction>,
    /// `None`: not given; the strip then reads left to right, whatever it is stuck to.
    pub reader_stands: Option<Stands>,
    /// The edge the pointer runs along; `None`: the usual one for the way the strip lies.
    pub ticks: Option<Spanned<TickEdge>>,
    /// How far the reader's eye is from the strip; the size of the numbers follows from it.
    pub reading_distance: Length,
    /// How wide the strip is, across the way that its numbers grow.
    pub width: Length,
    /// What is read against the marks, in words: `forward edge of the car`.
    pub pointer: Option<String>,
    /// The hard point that the strip is laid from, if the book names one.
    pub datum: Option<Datum>,
    /// A second hard point, measured to the same lowest mark, to put a lost strip back by.
    pub second_datum: Option<Datum>,
    /// The settings whose winds stand beside the marks.
    pub winds: Vec<WindsOf>,
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
    /// One strip, for the port side.
    Port,
    /// One strip, for the starboard side.
    Starboard,
    /// Two strips, one for each side, each the other's mirror image.
    Both,
}

/// The way numbers grow along a strip, on the boat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Numbers rise toward the bow.
    Forward,
    /// Numbers rise toward the stern.
    Aft,
    /// Numbers rise away from the centreline, on either side.
    Outboard,
    /// Numbers rise toward the centreline, on either side.
    Inboard,
    /// Numbers rise to port.
    Port,
    /// Numbers rise to starboard.
    Starboard,
    /// Numbers rise upward.
    Up,
    /// Numbers rise downward.
    Down,
}

/// Where the reader stands relative to the strip, and so which way they face.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Stands {
    /// The reader is nearer the centreline than the strip, and faces outboard.
    Inboard,
    /// The reader is farther from the centreline than the strip, and faces inboard.
    Outboard,
    /// The reader is aft of the strip, and faces the bow.
    Aft,
    /// The reader is forward of the strip, and faces the stern.
    Forward,
}

/// The edge of a strip that the pointer runs along, in the reader's view or on the boat.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TickEdge {
    /// The edge away from the reader.
    Far,
    /// The edge nearest the reader.
    Near,
    /// The edge on the reader's left.
    Left,
    /// The edge on the reader's right.
    Right,
    /// The edge toward the centreline of the boat.
    Inboard,
    /// The edge away from the centreline of the boat.
    Outboard,
}

/// A curved track.
#[derive(Clone, Debug, PartialEq)]
pub struct Arc {
    /// The radius of the edge that the pointer runs along.
    pub radius: Length,
    /// The edge of the strip that looks toward the middle of the circle; `None`: the far or the left one.
    pub middle: Option<Spanned<TickEdge>>,
}

/// The hard point a strip is laid from.
#[derive(Clone, Debug, PartialEq)]
pub struct Datum {
    /// The hard point, in words: `ram eye`.
    pub from: String,
    /// How far it is from that point to the strip's lowest mark.
    pub distance: Length,
    /// The day it was measured: `2027-04-11`.
    pub measured: Option<String>,
}

/// A sail, whether it is still aboard or not.
#[derive(Clone, Debug, PartialEq)]
pub struct Sail {
    /// What the rest of the book calls it by: `j1`.
    pub id: Spanned<String>,
    /// The name as printed; the id with spaces if the book gives none.
    pub name: String,
    /// Where on the boat it is set.
    pub kind: SailKind,
    /// The winds it was made for.
    pub wind: Option<Span<Wind>>,
    /// The true wind angles it was made for.
    pub angle: Option<Span<Angle>>,
    /// The length of its luff.
    pub luff: Option<Length>,
    /// The length of the strop between the sail and where it is made fast.
    pub strop: Option<Length>,
    /// What is wrong with it, in words: `luff torn, max 16 kn`.
    pub status: Option<String>,
    /// The most wind it may be used in as it is now.
    pub max_now: Option<Spanned<Wind>>,
    /// The id of the sail this is a reef of.
    pub reef_of: Option<String>,
    /// The ids of the sails that it is set with, one at a time; without any it is set by itself.
    pub flies_with: Vec<Spanned<String>>,
    /// The day it came aboard: `2027-03-01`.
    pub since: Option<String>,
    /// The sail it was bought in place of; that one no longer sails.
    pub replaces: Option<Spanned<String>>,
    /// The day it left the boat.
    pub retired: Option<String>,
    /// Ids of the settings to go on with until it has rows of its own.
    pub start_from: Vec<Spanned<String>>,
    /// How far those are moved for this sail: control and distance, as written.
    pub offsets: Vec<(Spanned<String>, Spanned<String>)>,
    /// Where the whole sail stands in the book.
    pub place: Place,
}

/// Where on the boat a sail is set, and so which sails can be set together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SailKind {
    /// Set on the mast and the boom; a reef of it is one too.
    Mainsail,
    /// Set on the forestay.
    Headsail,
    /// Set between the mast and the headsail.
    Staysail,
    /// A symmetric sail, set flying.
    Spinnaker,
    /// An asymmetric sail, set flying from its tack.
    Gennaker,
    /// Anything else.
    Other,
}

/// The tuning matrix for a set of sails and a point of sail.
#[derive(Clone, Debug)]
pub struct Settings {
    /// What the rest of the book calls them by: `j1-upwind`.
    pub id: Spanned<String>,
    /// What tells them from others with the same sails on the same point of sail: `flat water`.
    pub title: Option<String>,
    /// The sea that they were sailed in, if it was not any: `chop`. An adjustment of this id is not needed with them.
    pub sea: Option<String>,
    /// The ids of the sails, the mainsail first if there is one.
    pub sails: Vec<Spanned<String>>,
    /// The course that they are for.
    pub point_of_sail: PointOfSail,
    /// Indices into [`Sections::controls`], the columns in the order of `Row::readings`.
    pub controls: Vec<usize>,
    /// The known winds with their readings, in rising order of wind.
    pub rows: Vec<Row>,
    /// What the boat should do at some winds, in rising order of wind.
    pub targets: Targets,
    /// Rows and targets by wind and angle; then there are none in `rows` and `targets`.
    pub angled: Option<Angled>,
    /// How each control runs between known winds, by index into [`Sections::controls`]; monotone where not named.
    pub between: BTreeMap<usize, Between>,
    /// Where all of it stands in the book.
    pub place: Place,
}

/// A known wind and its readings, one a column.
#[derive(Clone, Debug, PartialEq)]
pub struct Row<A = Wind> {
    /// The wind it was recorded at.
    pub at: Spanned<A>,
    /// The readings, one for each column and in the order of the columns.
    pub readings: Vec<Recorded>,
    /// How many were on the rail when it was sailed; `None`: all hands.
    pub on_rail: Option<Spanned<u32>>,
    /// What the row is known from: sailed, carried over and so on.
    pub ground: Ground,
}

/// What changes at night.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dark {
    /// How much less wind than by day it takes to change sails.
    pub change_earlier: Wind,
}

/// The winds and angles that some sail should be for.
#[derive(Clone, Debug, PartialEq)]
pub struct WardrobePlan {
    /// The winds and angles between which some sail should serve.
    pub asked: Area,
    /// Columns of the table, in rising order.
    pub angle_bands: Vec<Span<Angle>>,
    /// Where `wardrobe` stands in the book.
    pub place: Place,
}

/// Controls to move from their settings for a sea or a sky: `chop`, `flat`.
#[derive(Clone, Debug, PartialEq)]
pub struct Adjustment {
    /// What the rest of the book calls it by: `chop`.
    pub id: Spanned<String>,
    /// The name as printed: the id with spaces.
    pub name: String,
    /// Where it holds.
    pub scope: Scope,
    /// Index into [`Sections::controls`] and how far to move it.
    pub moves: Vec<(usize, Spanned<Offset>)>,
}

/// Where an adjustment holds; what is left out sets no bounds to it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scope {
    /// The courses it is for; all of them if there are none.
    pub points_of_sail: Vec<PointOfSail>,
    /// The winds it is for, as the rows are written in.
    pub winds: Option<Span<Wind>>,
    /// The ids of the sails of which one has to be set; any if there are none.
    pub sails: Vec<Spanned<String>>,
}

impl Scope {
    /// Whether it holds in this wind.
    pub fn holds_in(&self, wind: Wind) -> bool {
        self.winds.is_none_or(|winds| winds.holds(wind))
    }

    /// Whether it holds in some wind of a band, and not just at its edge.
    pub fn reaches(&self, band: Band) -> bool {
        self.winds.is_none_or(|winds| band.within(winds).is_some())
    }
}

/// Which cards a book asks for.
#[derive(Clone, Debug)]
pub enum CardList {
    /// One of each kind that the rest of the book has something to say for, less what is taken out.
    All(AllBut),
    /// These, in their order.
    Listed(Vec<CardEntry>),
}

/// What a book changes in the cards that it would have without a list: nothing, if it has none.
#[derive(Clone, Debug, Default)]
pub struct AllBut {
    /// Kinds and ids of cards that are not printed.
    pub except: Vec<Spanned<String>>,
    /// Sizes by kind or by id, as written; each is one that there is.
    pub sizes: Vec<(Spanned<String>, Node)>,
}

impl AllBut {
    /// Whether a kind, or the card with an id, is not printed.
    pub fn takes_out(&self, name: &str) -> bool {
        self.except.iter().any(|taken| taken.value == name)
    }

    /// The size that a kind, or the card with an id, is to have.
    pub fn size_of(&self, name: &str) -> Option<&Node> {
        self.sizes.iter().find(|(sized, _)| sized.value == name).map(|(_, size)| size)
    }
}

/// One entry of `cards`, still as written: its kind reads the rest.
#[derive(Clone, Debug)]
pub struct CardEntry {
    /// The kind of card, as written under `kind:`.
    pub kind: Spanned<String>,
    /// The entry itself, with the fields that its kind reads.
    pub node: Node,
}

impl Sail {
    /// What it is for, as made and as it is now.
    pub fn range(&self) -> SailRange {
        let max_now = self.max_now.as_ref().map(|max| max.value);
        SailRange::new(self.wind, self.angle, max_now).because(&self.name, self.status.as_deref())
    }
}

impl Sections {
    /// What the sails of some settings are for together, as made and as they are now.
    pub fn range_of(&self, settings: &Settings) -> SailRange {
        SailRange::together(settings.sails.iter().filter_map(|id| self.sail(&id.value)).map(Sail::range))
    }

    /// The control of this id, if the book has one.
    pub fn control(&self, id: &str) -> Option<&Control> {
        self.controls.iter().find(|control| control.id.value == id)
    }

    /// The sail of this id, if the book has one.
    pub fn sail(&self, id: &str) -> Option<&Sail> {
        self.sails.iter().find(|sail| sail.id.value == id)
    }

    /// The adjustment of this id, if the book has one.
    pub fn adjustment(&self, id: &str) -> Option<&Adjustment> {
        self.adjustments.iter().find(|adjustment| adjustment.id.value == id)
    }

    /// Whether an adjustment is for these settings, in some wind at least.
    pub fn is_adjusted_by(&self, settings: &Settings, adjustment: &Adjustment) -> bool {
        let Scope { points_of_sail, sails, .. } = &adjustment.scope;
        let has = |id: &Spanned<String>| settings.sails.iter().any(|sail| sail.value == id.value);
        let is_for = |point: &PointOfSail| settings.are_for(*point, &self.points_of_sail);
        (points_of_sail.is_empty() || points_of_sail.iter().any(is_for)) && (sails.is_empty() || sails.iter().any(has))
    }

    /// What was sailed in a sea with the sails and on the course of these settings, by wind alone; `None` if nothing was.
    pub fn sailed_in(&self, settings: &Settings, sea: &str) -> Option<&Settings> {
        let same_sails = |other: &Settings| {
            let has = |id: &Spanned<String>| other.sails.iter().any(|sail| sail.value == id.value);
            other.sails.len() == settings.sails.len() && settings.sails.iter().all(has)
        };
        self.settings.iter().filter(|_| settings.sea.is_none()).find(|other| {
            other.sea.as_deref() == Some(sea)
                && other.point_of_sail == settings.point_of_sail
                && other.angled.is_none()
                && same_sails(other)
        })
    }

    /// The settings of this id, if the book has them.
    pub fn settings(&self, id: &str) -> Option<&Settings> {
        self.settings.iter().find(|settings| settings.id.value == id)
    }

    /// What is set at the dock under this id, if the book has it.
    pub fn dock_tune(&self, id: &str) -> Option<&DockTune> {
        self.dock_tunes.iter().find(|tune| tune.id.value == id)
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
                    && settings.sea == old.sea
                    && settings.angled.is_some() == old.angled.is_some()
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
        for (sail, now) in book.sails.iter_mut().zip(&self.sails) {
            // A staysail whose sails have all left the boat still does not fly by itself: it keeps their names.
            sail.flies_with = sets::partners(now, &self.sails).to_vec();
            for id in &mut sail.flies_with {
                if let Some(Some(next)) = successors.get(&id.value) {
                    id.value = next.clone();
                }
            }
        }
        for id in book.adjustments.iter_mut().flat_map(|adjustment| &mut adjustment.scope.sails) {
            if let Some(Some(next)) = successors.get(&id.value) {
                id.value = next.clone();
            }
        }
        book.sails.retain(|sail| self.still_sails(&sail.id.value));
        book.settings.retain(|settings| !gone.contains(&settings.id.value.as_str()));
        for plan in book.controls.iter_mut().filter_map(|control| control.strip.as_mut()) {
            for id in plan.winds.iter_mut().map(|winds| &mut winds.settings) {
                if let Some(Some(next)) = successors.get(&id.value) {
                    id.value = next.clone();
                }
            }
            plan.winds.retain(|winds| !gone.contains(&winds.settings.value.as_str()));
        }
        book
    }
}
