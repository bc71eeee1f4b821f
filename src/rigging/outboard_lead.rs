//! A headsail sheeted to a block outboard, with a tweaker to pull the sheet down and in: where the tweaker's block rides,
//! which inboard lead pulls alike, and what each part carries. Knows places and loads, not how they are drawn.
//!
//! The clew C is held fixed: a real clew gives as the sheet pulls from elsewhere. Friction and the weight of the gear are
//! left out, and the tweaker leads from its eye straight to its block.
//!
//! - **Block.** With the tweaker let out to ℓ from its eye P, its block B may be anywhere within ℓ of P; the sheet runs from
//!   C through B to the outboard block S and pulls tight where |CB| + |BS| is least. If the straight sheet passes within ℓ
//!   of P, the tweaker is slack. Else B is on the sphere |BP| = ℓ, in the plane of C, S and P, where the tweaker lies along
//!   the bisector of the two parts of the sheet: the balance of forces at the block.
//! - **Equivalent inboard lead.** Seen from the side, the line from C through B goes on down to the track; a car there
//!   gives the sheet the same slope, and so shares its pull between leech and foot alike.
//! - **Loads.** The block carries 2·cos(φ/2) times the sheet's pull for the angle φ between the two parts, and so do the
//!   tweaker and its eye.
//! - **Angles.** The lead angle is measured at the tack, in plan, between the centreline and the line to the lead.

mod faults;
mod tweaker;

pub use faults::{Impossible, Numbers};

use super::axes::{Position, Vector};
use super::block::load_factor;
use crate::length::Length;

/// The gear for sheeting outboard, all on one side of the boat. The clew is where it stands under load.
#[derive(Clone, Debug, PartialEq)]
pub struct Gear {
    /// Where the headsail is made fast at its forward lower corner.
    pub tack: Position,
    /// Where the corner is that the sheet pulls.
    pub clew: Position,
    /// The inboard lead's track.
    pub track: Track,
    /// The mark at which the inboard lead's car stands.
    pub car: f64,
    /// Where the block stands that the sheet is led out to.
    pub outboard_block: Position,
    /// The next thing the sheet leads to after the outboard block: a winch or a turning block.
    pub leads_on_to: Option<Position>,
    /// The pad eye, or the hole in the rail, of the tweaker.
    pub pad_eye: Position,
    /// How long the tweaker is at each mark of its scale, in the order given.
    pub tweaker: Vec<TweakerMark>,
    /// The pull in the sheet that the loads are worked out for.
    pub sheet_load: SheetLoad,
    /// What the parts may carry, as far as it is known.
    pub working_loads: WorkingLoads,
    /// The edge of the hull, if the gear is to be held against it.
    pub hull_line: Option<HullLine>,
}

/// A straight track with evenly spaced marks, by its first and last.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Track {
    /// The mark at one end of the track.
    pub first: TrackMark,
    /// The mark at the other end of the track.
    pub last: TrackMark,
}

/// One mark of a track and where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TrackMark {
    /// The number of the mark.
    pub mark: f64,
    /// Where a car at that mark leads the sheet.
    pub place: Position,
}

/// How long the tweaker is, from its eye to its block, at one mark of its scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TweakerMark {
    /// The number of the mark.
    pub mark: f64,
    /// The length from the eye to the block at that mark.
    pub length: Length,
}

/// The pull that the loads are worked out for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SheetLoad {
    /// The pull is known, in kilonewtons.
    Kilonewton(f64),
    /// No load is known: everything is said for each 100 kg (kilogram-force) of it.
    PerHundredKilograms,
}

/// Newtons in a kilogram-force: standard gravity (NIST SP 811, appendix B.8).
const NEWTON_PER_KILOGRAM_FORCE: f64 = 9.806_65;
const NEWTON_PER_KILONEWTON: f64 = 1000.0;

impl SheetLoad {
    /// The pull in kilonewtons, or the pull that stands for one that is not known.
    pub fn kilonewton(self) -> f64 {
        /// What a trimmer thinks in when no load is known.
        const HUNDRED_KILOGRAMS: f64 = 100.0;
        match self {
            SheetLoad::Kilonewton(load) => load,
            SheetLoad::PerHundredKilograms => HUNDRED_KILOGRAMS * NEWTON_PER_KILOGRAM_FORCE / NEWTON_PER_KILONEWTON,
        }
    }
}

/// What the makers allow, in kilonewtons, where known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct WorkingLoads {
    /// What the sheet may carry.
    pub sheet_kilonewton: Option<f64>,
    /// What the outboard block may carry.
    pub outboard_block_kilonewton: Option<f64>,
    /// What the tweaker's block may carry.
    pub tweaker_block_kilonewton: Option<f64>,
    /// What the tweaker's own line may carry.
    pub tweaker_kilonewton: Option<f64>,
    /// What the eye of the tweaker may carry.
    pub pad_eye_kilonewton: Option<f64>,
}

/// A part with a working load.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// The sheet itself.
    Sheet,
    /// The block that the sheet is led out to.
    OutboardBlock,
    /// The block of the tweaker, which the sheet runs through.
    TweakerBlock,
    /// The line that pulls the sheet in.
    Tweaker,
    /// The eye that the tweaker is made fast to.
    PadEye,
}

impl Part {
    /// Every part, in the order of the sheet.
    pub const ALL: [Part; 5] = [Part::Sheet, Part::OutboardBlock, Part::TweakerBlock, Part::Tweaker, Part::PadEye];
}

/// The edge of the hull in plan, from forward aft: how far aft of the stem, and how far out from the centreline.
#[derive(Clone, Debug, PartialEq)]
pub struct HullLine {
    /// The points of the edge: how far aft of the stem, and how far out from the centreline.
    pub points: Vec<(Length, Length)>,
}

/// A fixed piece of gear.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fixed {
    /// The mark at one end of the track.
    TrackFirst,
    /// The mark at the other end of the track.
    TrackLast,
    /// The block that the sheet is led out to.
    OutboardBlock,
    /// What the sheet leads on to.
    LeadsOnTo,
    /// The eye of the tweaker.
    PadEye,
}

/// The working behind an outboard lead.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    /// At the tack, in plan, between the centreline and the line to the clew.
    pub clew_angle_deg: f64,
    /// Where the car of the inboard lead is.
    pub car: Position,
    /// The sheet as it leads to the car.
    pub inboard: Lead,
    /// The sheet straight to the outboard block.
    pub outboard: Lead,
    /// The inboard lead that the straight sheet pulls like.
    pub outboard_pulls_like: Option<EquivalentLead>,
    /// How near the straight sheet passes to the tweaker's eye: a tweaker at least this long is slack.
    pub slack_from: Length,
    /// The pull that every load here is worked out for.
    pub sheet_kilonewton: f64,
    /// The gear at each mark of the tweaker, in the order given.
    pub marks: Vec<Marked>,
}

/// How the sheet leads to one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lead {
    /// The lead angle: at the tack, in plan, between the centreline and the line to the lead; outward positive.
    pub lead_angle_deg: f64,
    /// The way of the sheet from the clew, in plan, from straight aft; outward positive.
    pub sheet_outward_deg: f64,
    /// The slope of the sheet from the clew below the horizontal, seen from the side; past 90° it leads forward.
    pub sheet_down_deg: f64,
}

/// The gear at one mark of the tweaker.
#[derive(Clone, Debug, PartialEq)]
pub struct Marked {
    /// The number of the mark on the tweaker's scale.
    pub mark: f64,
    /// The length of the tweaker at that mark.
    pub length: Length,
    /// `None` if the tweaker is slack.
    pub bears: Option<Bears>,
    /// What the outboard block carries.
    pub outboard_block: BlockLoad,
    /// Load by working load, for each part whose working load is known; none is above 1.
    pub ratios: Vec<LoadRatio>,
}

/// A tweaker that pulls.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bears {
    /// Where the tweaker's block comes to rest.
    pub block: Position,
    /// The sheet from the clew to that block.
    pub lead: Lead,
    /// |CB| + |BS|, where it is least.
    pub sheet: Length,
    /// φ, at the block, between its two parts of the sheet.
    pub between_parts_deg: f64,
    /// 2·cos(φ/2).
    pub load_factor: f64,
    /// The tweaker's own pull, and its eye's and its block's.
    pub tweaker_kilonewton: f64,
    /// The way that the tweaker pulls on its eye.
    pub pull_on_eye: Direction,
    /// `None` if the line runs level with the track and never meets it.
    pub pulls_like: Option<EquivalentLead>,
    /// How far the block is outside the hull line, seen from above; 0 or less is inside. `None` without a hull line
    /// there.
    pub outside_hull: Option<Length>,
}

/// A way something is pulled.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Direction {
    /// Relative bearing, seen from above: 0 ahead, 90 to starboard, 180 aft, 270 to port.
    pub relative_bearing_deg: f64,
    /// The angle above the horizontal, in degrees; below it is negative.
    pub above_horizontal_deg: f64,
}

/// An inboard lead with the same slope of the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EquivalentLead {
    /// The mark of the track, which may be beyond its ends.
    pub mark: f64,
    /// How far aft of the stem it is.
    pub x: Length,
    /// Whether the track has that mark, or ends before it.
    pub on_track: bool,
    /// How far aft of the car at its mark it is; forward is negative.
    pub aft_of_car: Length,
}

/// What a lead does to the sail, beside the car's.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Effect {
    /// Further forward: leech tighter, foot eased.
    LeechTighter,
    /// Further aft: foot tighter, leech eased.
    FootTighter,
    /// Neither further forward nor further aft: nothing changes.
    Same,
}

impl EquivalentLead {
    /// What it does beside the car's lead; the same if it is within `same_within` of it.
    pub fn effect(&self, same_within: Length) -> Effect {
        if self.aft_of_car.abs() <= same_within {
            Effect::Same
        } else if self.aft_of_car < Length::ZERO {
            Effect::LeechTighter
        } else {
            Effect::FootTighter
        }
    }
}

/// What the outboard block carries.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BlockLoad {
    /// `None` if it is not known where the sheet leads on to; then the most a block can carry is taken: twice the sheet.
    pub between_parts_deg: Option<f64>,
    /// How many times the pull of the sheet the block carries: 2·cos(φ/2).
    pub load_factor: f64,
    /// What it carries, in kilonewtons.
    pub kilonewton: f64,
}

/// From this part of its working load on, a part is told to be hard pressed by a steady pull.
///
/// The pull of a sail goes with the square of the wind, so a gust of √2 = 1.4 times the mean wind doubles it, and such a gust
/// is ordinary (common practice, from memory; no standard says where to warn). A part that is half loaded by the steady pull
/// is then at its working load.
pub const HARD_PRESSED_FROM: f64 = 0.5;

/// The steady load of one part beside what its maker allows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LoadRatio {
    /// The part that carries it.
    pub part: Part,
    /// What it carries.
    pub kilonewton: f64,
    /// Its working load.
    pub working_kilonewton: f64,
    /// The first over the second.
    pub ratio: f64,
}

impl LoadRatio {
    /// Whether an ordinary gust takes the part to its working load or beyond.
    pub fn is_hard_pressed(&self) -> bool {
        self.ratio >= HARD_PRESSED_FROM
    }
}

impl Worked {
    /// For each part whose working load is known, the mark of the tweaker at which it carries most, and that load.
    pub fn hardest(&self) -> Vec<(f64, LoadRatio)> {
        let hardest_of = |part: Part| {
            let of_part = self.marks.iter().flat_map(|marked| {
                marked.ratios.iter().filter(|ratio| ratio.part == part).map(|ratio| (marked.mark, *ratio))
            });
            of_part.max_by(|a, b| a.1.ratio.total_cmp(&b.1.ratio))
        };
        Part::ALL.into_iter().filter_map(hardest_of).collect()
    }
}

/// The outboard lead at every mark of its tweaker; or everything that is wrong with it.
pub fn work_out(gear: &Gear) -> Result<Worked, Vec<Impossible>> {
    let faults = faults::of_gear(gear);
    if !faults.is_empty() {
        return Err(faults);
    }
    let car = gear.track.at(gear.car);
    let slack_from = tweaker::slack_from(gear.clew, gear.outboard_block, gear.pad_eye);
    let found: Vec<Result<Marked, Vec<Impossible>>> =
        gear.tweaker.iter().map(|mark| marked(gear, car, *mark, slack_from)).collect();
    let (mut marks, mut faults) = (Vec::new(), Vec::new());
    for result in found {
        match result {
            Ok(marked) => marks.push(marked),
            Err(found) => faults.extend(found),
        }
    }
    if faults.is_empty() && marks.iter().all(|marked| marked.bears.is_none()) {
        faults.push(Impossible::SlackAtEveryMark { slack_from });
    }
    if !faults.is_empty() {
        return Err(faults);
    }
    Ok(Worked {
        clew_angle_deg: out_from_aft_deg(gear, gear.clew - gear.tack),
        car,
        inboard: lead(gear, car),
        outboard: lead(gear, gear.outboard_block),
        outboard_pulls_like: equivalent_lead(gear, car, gear.outboard_block),
        slack_from,
        sheet_kilonewton: gear.sheet_load.kilonewton(),
        marks,
    })
}

fn marked(gear: &Gear, car: Position, mark: TweakerMark, slack_from: Length) -> Result<Marked, Vec<Impossible>> {
    let sheet_load = gear.sheet_load.kilonewton();
    let block = match tweaker::block(gear.clew, gear.outboard_block, gear.pad_eye, mark.length, slack_from) {
        tweaker::Block::Slack => None,
        tweaker::Block::At(block) => Some(block),
        tweaker::Block::InLine => return Err(vec![Impossible::PadEyeInLine]),
    };
    if let Some(block) = block.filter(|block| block.x <= gear.clew.x || block.z >= gear.clew.z) {
        return Err(vec![Impossible::BlockPastTheClew { mark: mark.mark, block }]);
    }
    let bears = match block.map(|block| bears(gear, car, block, sheet_load)) {
        None => None,
        Some(Some(bears)) => Some(bears),
        Some(None) => return Err(vec![Impossible::TooLarge]),
    };
    let outboard_block = outboard_block(gear, block.unwrap_or(gear.clew), sheet_load);
    let ratios = ratios(gear, sheet_load, outboard_block, bears.map(|bears| bears.tweaker_kilonewton));
    let overloads: Vec<Impossible> = ratios
        .iter()
        .filter(|ratio| ratio.ratio > 1.0)
        .map(|ratio| Impossible::Overload { mark: mark.mark, ratio: *ratio })
        .collect();
    if !overloads.is_empty() {
        return Err(overloads);
    }
    Ok(Marked { mark: mark.mark, length: mark.length, bears, outboard_block, ratios })
}

/// `None` if no angle can be told: the parts are too long or too short for the arithmetic.
fn bears(gear: &Gear, car: Position, block: Position, sheet_load: f64) -> Option<Bears> {
    let (to_clew, to_outboard) = (gear.clew - block, gear.outboard_block - block);
    let between_parts_deg = to_clew.angle_to(to_outboard).to_degrees();
    let load_factor = load_factor(between_parts_deg)?;
    Some(Bears {
        block,
        lead: lead(gear, block),
        sheet: Length::mm(to_clew.length() + to_outboard.length()),
        between_parts_deg,
        load_factor,
        tweaker_kilonewton: load_factor * sheet_load,
        pull_on_eye: direction(block - gear.pad_eye),
        pulls_like: equivalent_lead(gear, car, block),
        outside_hull: gear.hull_line.as_ref().and_then(|hull| hull.outside_by(block)),
    })
}

fn outboard_block(gear: &Gear, sheet_from: Position, sheet_load: f64) -> BlockLoad {
    /// A line that turns right back on itself.
    const MOST: f64 = 2.0;
    let block = gear.outboard_block;
    let between_parts_deg = gear.leads_on_to.map(|on_to| (sheet_from - block).angle_to(on_to - block).to_degrees());
    let load_factor = between_parts_deg.and_then(load_factor).unwrap_or(MOST);
    BlockLoad { between_parts_deg, load_factor, kilonewton: load_factor * sheet_load }
}

fn ratios(gear: &Gear, sheet_load: f64, outboard_block: BlockLoad, tweaker: Option<f64>) -> Vec<LoadRatio> {
    let allowed = &gear.working_loads;
    let parts = [
        (Part::Sheet, Some(sheet_load), allowed.sheet_kilonewton),
        (Part::OutboardBlock, Some(outboard_block.kilonewton), allowed.outboard_block_kilonewton),
        (Part::TweakerBlock, tweaker, allowed.tweaker_block_kilonewton),
        (Part::Tweaker, tweaker, allowed.tweaker_kilonewton),
        (Part::PadEye, tweaker, allowed.pad_eye_kilonewton),
    ];
    parts
        .into_iter()
        .filter_map(|(part, load, allowed)| {
            let (kilonewton, working_kilonewton) = load.zip(allowed)?;
            Some(LoadRatio { part, kilonewton, working_kilonewton, ratio: kilonewton / working_kilonewton })
        })
        .collect()
}

fn lead(gear: &Gear, to: Position) -> Lead {
    let sheet = to - gear.clew;
    Lead {
        lead_angle_deg: out_from_aft_deg(gear, to - gear.tack),
        sheet_outward_deg: out_from_aft_deg(gear, sheet),
        sheet_down_deg: (-sheet.z).atan2(sheet.x).to_degrees(),
    }
}

/// The angle of a way in plan from straight aft, outward positive.
fn out_from_aft_deg(gear: &Gear, way: Vector) -> f64 {
    (way.y * gear.outward()).atan2(way.x).to_degrees()
}

fn direction(way: Vector) -> Direction {
    const FULL_CIRCLE_DEG: f64 = 360.0;
    Direction {
        relative_bearing_deg: way.y.atan2(-way.x).to_degrees().rem_euclid(FULL_CIRCLE_DEG),
        above_horizontal_deg: way.z.atan2(way.x.hypot(way.y)).to_degrees(),
    }
}

/// Where the line from the clew through `through`, seen from the side, meets the track.
fn equivalent_lead(gear: &Gear, car: Position, through: Position) -> Option<EquivalentLead> {
    let Track { first, last } = gear.track;
    let (track, sheet) = (last.place - first.place, through - gear.clew);
    let from_clew = first.place - gear.clew;
    let turn = sheet.z * track.x - sheet.x * track.z;
    let (down_the_sheet, along_track) = (
        (from_clew.z * track.x - from_clew.x * track.z) / turn,
        (from_clew.z * sheet.x - from_clew.x * sheet.z) / turn,
    );
    let x = first.place.part_way_to(last.place, along_track).x;
    let mark = first.mark + along_track * (last.mark - first.mark);
    if !(down_the_sheet > 0.0 && down_the_sheet.is_finite() && x.to_mm().is_finite() && mark.is_finite()) {
        return None;
    }
    Some(EquivalentLead { mark, x, on_track: (0.0..=1.0).contains(&along_track), aft_of_car: x - car.x })
}

impl Gear {
    /// Which way is outward: 1 to starboard, −1 to port, as the outboard block stands.
    fn outward(&self) -> f64 {
        if self.outboard_block.y < self.tack.y { -1.0 } else { 1.0 }
    }
}

impl Track {
    /// Where a mark stands.
    pub fn at(&self, mark: f64) -> Position {
        let part = (mark - self.first.mark) / (self.last.mark - self.first.mark);
        self.first.place.part_way_to(self.last.place, part)
    }
}

impl HullLine {
    /// How far outside a place is, seen from above; `None` forward of the first point or abaft the last.
    pub fn outside_by(&self, place: Position) -> Option<Length> {
        let ends = self.points.windows(2).find(|ends| (ends[0].0..=ends[1].0).contains(&place.x))?;
        let ((x0, out0), (x1, out1)) = (ends[0], ends[1]);
        let half_breadth = out0 + (out1 - out0) * ((place.x - x0) / (x1 - x0));
        Some(place.y.abs() - half_breadth)
    }
}
