//! Where the nodes of a bow lacing fall, and how much line it takes. Knows one side of the boat as a straight elevation;
//! not which side it is.
//!
//! Places are measured along the rail from the first post, heights up from one level. Between two posts lies a bay; a
//! bay that is a gate stays open, and each row of bays between gates is laced as one run.
//!
//! **Spacing.** A bay of length L takes the fewest uprights, or vees, that stand no wider apart than asked: n = ⌈L/spacing⌉
//! at s = L/n. Uprights stand at (i + ½)·s. The feet of a vee stand at (i + c)·s and its crests half a spacing on, with c
//! such that the line passes each post midway between two of its heights: so no node falls on a post.
//!
//! **Eyes.** Where the eyes that are in the deck are known, they are the feet: an upright stands over each, and a vee has its crest
//! midway between two. What would be hitched on a post is hitched beside it.
//!
//! **Length.** Straight stretches from node to node, and what each node takes: a line wound t times round a wire runs on
//! a helix of diameter D = d_line + d_wire with a pitch of one line diameter, so it takes t·√((π·D)² + d_line²). Taken as
//! our model; a measured hitch overrides it.

mod length;
mod lifelines;
mod nodes;

pub use length::{CutList, FootLine, Piece, Purpose, Run, Stretch, cut_list};
pub use lifelines::{
    Bound, Finding, Hull, NARROW_OPENINGS_SINCE, PULPIT_OPENING, Requirement, SMALL_HULL, opening_bound,
};
pub use nodes::{Node, Opening, Tie};

use super::is_positive;
use crate::length::Length;

/// The rail of one side: what the lacing hangs between.
#[derive(Clone, Debug, PartialEq)]
pub struct Rail {
    /// Where the posts stand along the rail: the pulpit's after leg first, then each stanchion, to the shrouds.
    pub posts: Vec<Length>,
    /// How high the lacing's feet are.
    pub deck_edge: Length,
    /// How high the lifelines are, one to three of them, from the lowest up.
    pub wires: Vec<Length>,
    /// Bays that stay open: bay 0 lies between posts 0 and 1.
    pub gates: Vec<usize>,
    /// Where the eyes in the deck are, along the rail; empty if the feet are yet to be laid out.
    pub eyes: Vec<Length>,
}

/// How the lacing is to be rigged.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rig {
    /// How the line goes up and down.
    pub pattern: Pattern,
    /// The widest that uprights, or the feet of vees, may stand apart.
    pub spacing: Length,
    /// How thick the line of the lacing is.
    pub line_diameter: Length,
    /// How thick the lifelines are.
    pub wire_diameter: Length,
    /// What holds the lacing at the deck.
    pub foot: Foot,
    /// How the line is made fast where it meets a wire.
    pub hitch: Hitch,
    /// Whether the line is hitched where it turns on the top wire, or only passes over it.
    pub crests: Crests,
    /// What one hitch takes when measured, in place of the model. Half turns stay with the model.
    pub hitch_takes: Option<Length>,
    /// The length for making fast, at each end of each piece.
    pub tail: Length,
    /// Part added to the line between its tails: 0.05 is a twentieth more.
    pub allowance: f64,
    /// Pieces are cut to the next whole one of these.
    pub cut_to: Length,
}

/// How the line of the lacing goes up and down.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pattern {
    /// From the foot across to the top wire and back down, and so on aft, crossing the other wires on the way.
    Vee,
    /// Straight up and straight down by turns, with a run along the top wire or the foot to the next.
    Uprights,
}

/// What holds the lacing at the deck.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Foot {
    /// Eyes in the deck, of rod of this diameter: the line is rove through them.
    Eyes {
        /// The diameter of the rod that the eyes are made of.
        diameter: Length,
    },
    /// A line along the deck from one stanchion base to the next, once round each: the lacing is hitched to it.
    Line {
        /// The diameter of the line along the deck.
        diameter: Length,
        /// The diameter of a stanchion base, where the line goes round it.
        base_diameter: Length,
    },
}

/// How the line is made fast where it meets a wire.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hitch {
    /// Once round the wire and under its own part: modelled as one turn.
    HalfHitch,
    /// This many turns round the wire.
    Turns(f64),
}

impl Hitch {
    /// How many turns round the wire it is reckoned as.
    pub fn turns(self) -> f64 {
        match self {
            Hitch::HalfHitch => 1.0,
            Hitch::Turns(turns) => turns,
        }
    }
}

/// How the line turns back on the top wire.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Crests {
    /// It is hitched to the wire.
    Hitched,
    /// Over the wire and down again: half a turn.
    Over,
}

/// Uprights stand this far apart by common practice: 12 to 18 in, or what a metric book writes for it. No source is known.
pub const USUAL_SPACING: [Length; 2] = [Length::mm(300.0), Length::mm(460.0)];

/// Lifelines that a rail may have.
pub const MOST_WIRES: usize = 3;

/// Why there is no answer. Posts, wires and bays are named by their place in the rail, from 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// A number of the rig that it cannot have.
    Figure {
        /// The number that is meant.
        figure: Figure,
        /// The value that was given.
        value: f64,
    },
    /// Fewer than two posts: nothing to lace between.
    TooFewPosts {
        /// How many posts were given.
        posts: usize,
    },
    /// A post is no further aft than the one before, or not a number.
    PostsNotRising {
        /// The post that is meant.
        post: usize,
        /// Where the post was said to be, along the rail.
        at: Length,
    },
    /// None, or more than three lifelines.
    Wires {
        /// How many lifelines were given.
        wires: usize,
    },
    /// A wire is no higher than what is below it (the deck edge, for the lowest), or not a number.
    HeightsNotRising {
        /// The wire that is meant.
        wire: usize,
        /// The height that was given.
        at: Length,
        /// The height of what is below it.
        below: Length,
    },
    /// A gate between posts that are not there.
    NoSuchGate {
        /// Which bay was said to be a gate.
        gate: usize,
        /// How many bays there are.
        bays: usize,
    },
    /// Every bay is a gate.
    OnlyGates,
    /// An eye is no further aft than the one before, or not a number.
    EyesNotRising {
        /// The eye that is meant.
        eye: usize,
        /// Where the eye was said to be, along the rail.
        at: Length,
    },
    /// An eye is ahead of the first post, abaft the last, or in a gate.
    EyeOutside {
        /// The eye that is meant.
        eye: usize,
        /// Where the eye was said to be, along the rail.
        at: Length,
    },
    /// From this bay to the next gate there are fewer than two eyes.
    TooFewEyes {
        /// The first bay of those that one line laces.
        bay: usize,
        /// How many there are.
        eyes: usize,
    },
    /// In this bay two hitches on one wire, or a hitch and a post, stand closer than a hitch is wide.
    HitchesCrowd {
        /// The bay that is meant.
        bay: usize,
        /// How far the two stand apart.
        apart: Length,
        /// How wide a hitch is.
        hitch: Length,
    },
    /// More nodes in this bay than anyone ties.
    TooMany {
        /// The bay that is meant.
        bay: usize,
    },
    /// The numbers are too large to work with.
    TooLarge,
}

/// A number of the rig. Lengths are in millimetres.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figure {
    /// The widest that uprights or feet may stand apart.
    Spacing,
    /// The diameter of the line.
    LineDiameter,
    /// The diameter of the lifelines.
    WireDiameter,
    /// The diameter of the eyes' rod, or of the line along the deck.
    FootDiameter,
    /// The diameter of a stanchion base.
    BaseDiameter,
    /// The number of turns in a hitch.
    Turns,
    /// The length of line that one hitch takes.
    HitchTakes,
    /// The length left at each end for making fast.
    Tail,
    /// The part that is added to the line.
    Allowance,
    /// The step that pieces are cut to.
    CutTo,
}

/// The working behind the lacing of one side.
#[derive(Clone, Debug, PartialEq)]
pub struct Worked {
    /// Each bay as it is divided; `None` for a gate.
    pub bays: Vec<Option<Bay>>,
    /// The rows of bays between gates, from forward aft; each is laced with one line.
    pub runs: Vec<Run>,
    /// What one hitch takes, by the model or as measured, on a wire and on the foot.
    pub hitch_on_wire: Length,
    /// What one hitch takes at the foot.
    pub hitch_at_foot: Length,
    /// The widest clear gap along any wire or along the foot, between two nodes or a node and a post.
    pub widest_opening: Opening,
    /// Whether the spacing asked for is what common practice uses for uprights; `None` for vees.
    pub spacing_is_usual: Option<bool>,
    /// The rail beside what the Offshore Special Regulations say of lifelines: to report, not to judge by.
    pub lifelines: Vec<Finding>,
}

/// How a bay is divided.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bay {
    /// Where its forward post stands, along the rail.
    pub from: Length,
    /// Where its after post stands, along the rail.
    pub to: Length,
    /// How many uprights or vees are in it.
    pub count: usize,
    /// How far it is from one to the next.
    pub spacing: Length,
}

/// The lacing of one side; or everything that is wrong with it.
///
/// ```
/// use cockpit_cards::length::Length;
/// use cockpit_cards::rigging::lacing::{Crests, Foot, Hitch, Hull, Pattern, Rail, Rig, work_out};
///
/// let rail = Rail {
///     posts: vec![Length::ZERO, Length::metres(1.5)],
///     deck_edge: Length::ZERO,
///     wires: vec![Length::mm(300.0), Length::mm(610.0)],
///     gates: vec![],
///     eyes: vec![],
/// };
/// let rig = Rig {
///     pattern: Pattern::Uprights,
///     spacing: Length::mm(400.0),
///     line_diameter: Length::mm(4.0),
///     wire_diameter: Length::mm(5.0),
///     foot: Foot::Line { diameter: Length::mm(4.0), base_diameter: Length::mm(25.0) },
///     hitch: Hitch::HalfHitch,
///     crests: Crests::Hitched,
///     hitch_takes: None,
///     tail: Length::mm(300.0),
///     allowance: 0.05,
///     cut_to: Length::mm(100.0),
/// };
/// let worked = work_out(&rail, &rig, &Hull::default()).unwrap();
/// let bay = worked.bays[0].unwrap();
/// // 400 mm does not go into 1.5 m, so the uprights stand a little closer:
/// assert_eq!((bay.count, bay.spacing), (4, Length::mm(375.0)));
/// ```
pub fn work_out(rail: &Rail, rig: &Rig, hull: &Hull) -> Result<Worked, Vec<Impossible>> {
    let mut faults = faults_of_rig(rig);
    faults.extend(faults_of_rail(rail));
    if !faults.is_empty() {
        return Err(faults);
    }
    let bays = divide(rail, rig)?;
    let runs = nodes::runs(rail, rig, &bays);
    let crowded: Vec<Impossible> = nodes::crowded(rail, rig, &bays, &runs);
    let Some(widest_opening) = nodes::widest_opening(rail, rig, &runs).filter(|_| crowded.is_empty()) else {
        return Err(crowded);
    };
    let runs: Vec<Run> = runs.into_iter().map(|run| length::measure(rail, rig, run)).collect();
    let cuts = runs.iter().flat_map(|run| [run.cut, run.foot_line.map_or(Length::ZERO, |foot| foot.cut)]);
    if !cuts.sum::<Length>().to_mm().is_finite() {
        return Err(vec![Impossible::TooLarge]);
    }
    let [low, high] = USUAL_SPACING;
    Ok(Worked {
        runs,
        bays,
        hitch_on_wire: length::hitch(rig, rig.wire_diameter),
        hitch_at_foot: length::hitch(rig, rig.foot_diameter()),
        widest_opening,
        spacing_is_usual: (rig.pattern == Pattern::Uprights).then(|| (low..=high).contains(&rig.spacing)),
        lifelines: lifelines::findings(rail, hull),
    })
}

impl Rail {
    /// The height of a line: 0 is the foot, 1 the lowest wire, and so on up.
    pub(super) fn height(&self, level: usize) -> Length {
        level.checked_sub(1).and_then(|wire| self.wires.get(wire)).copied().unwrap_or(self.deck_edge)
    }
}

impl Rig {
    pub(super) fn foot_diameter(&self) -> Length {
        let (Foot::Eyes { diameter } | Foot::Line { diameter, .. }) = self.foot;
        diameter
    }
}

/// A whole number of spacings that `f64` arithmetic misses by this part still counts as whole.
const WHOLE: f64 = 1e-9;

fn divide(rail: &Rail, rig: &Rig) -> Result<Vec<Option<Bay>>, Vec<Impossible>> {
    /// More than a hand ties; it keeps a slip of the pen from filling the memory.
    const MOST_IN_A_BAY: f64 = 1000.0;
    let mut faults = Vec::new();
    let mut bays = Vec::new();
    for (bay, ends) in rail.posts.windows(2).enumerate() {
        let (from, to) = (ends[0], ends[1]);
        if rail.gates.contains(&bay) {
            bays.push(None);
            continue;
        }
        let count = match rail.eyes.as_slice() {
            [] => ((to - from) / rig.spacing - WHOLE).ceil(),
            eyes => eyes.iter().filter(|eye| (from..to).contains(eye)).count() as f64,
        };
        let count = count.max(1.0);
        if count > MOST_IN_A_BAY {
            faults.push(Impossible::TooMany { bay });
        }
        bays.push(Some(Bay { from, to, count: count as usize, spacing: (to - from) / count }));
    }
    if faults.is_empty() { Ok(bays) } else { Err(faults) }
}

fn faults_of_rig(rig: &Rig) -> Vec<Impossible> {
    let base_diameter = match rig.foot {
        Foot::Line { base_diameter, .. } => Some(base_diameter.to_mm()),
        Foot::Eyes { .. } => None,
    };
    let positive = [
        (Figure::Spacing, Some(rig.spacing.to_mm())),
        (Figure::LineDiameter, Some(rig.line_diameter.to_mm())),
        (Figure::WireDiameter, Some(rig.wire_diameter.to_mm())),
        (Figure::FootDiameter, Some(rig.foot_diameter().to_mm())),
        (Figure::BaseDiameter, base_diameter),
        (Figure::Turns, Some(rig.hitch.turns())),
        (Figure::HitchTakes, rig.hitch_takes.map(Length::to_mm)),
        (Figure::CutTo, Some(rig.cut_to.to_mm())),
    ];
    let not_negative = [(Figure::Tail, rig.tail.to_mm()), (Figure::Allowance, rig.allowance)];
    let small = positive
        .into_iter()
        .filter_map(|(figure, value)| value.map(|value| (figure, value)))
        .filter(|(_, value)| !is_positive(*value));
    let negative = not_negative.into_iter().filter(|(_, value)| !(*value >= 0.0 && value.is_finite()));
    small.chain(negative).map(|(figure, value)| Impossible::Figure { figure, value }).collect()
}

/// What is wrong with a rail, however it is to be laced.
pub fn faults_of_rail(rail: &Rail) -> Vec<Impossible> {
    let mut faults = Vec::new();
    let posts = &rail.posts;
    if posts.len() < 2 {
        faults.push(Impossible::TooFewPosts { posts: posts.len() });
    }
    let rising = |at: Length, before: Length| is_positive((at - before).to_mm());
    faults.extend(
        (0..posts.len())
            .filter(
                |post| if *post == 0 { !posts[0].to_mm().is_finite() } else { !rising(posts[*post], posts[post - 1]) },
            )
            .map(|post| Impossible::PostsNotRising { post, at: posts[post] }),
    );
    if !(1..=MOST_WIRES).contains(&rail.wires.len()) {
        faults.push(Impossible::Wires { wires: rail.wires.len() });
    }
    faults.extend((0..rail.wires.len()).filter_map(|wire| {
        let (at, below) = (rail.wires[wire], rail.height(wire));
        (!rising(at, below)).then_some(Impossible::HeightsNotRising { wire, at, below })
    }));
    let bays = posts.len().saturating_sub(1);
    let missing = rail.gates.iter().filter(|gate| **gate >= bays);
    faults.extend(missing.map(|gate| Impossible::NoSuchGate { gate: *gate, bays }));
    if bays > 0 && (0..bays).all(|bay| rail.gates.contains(&bay)) {
        faults.push(Impossible::OnlyGates);
    }
    if faults.is_empty() {
        faults = faults_of_eyes(rail);
    }
    faults
}

/// What is wrong with the eyes of a rail whose posts and gates are sound.
fn faults_of_eyes(rail: &Rail) -> Vec<Impossible> {
    let eyes = &rail.eyes;
    let is_rising = |eye: usize| eye == 0 || is_positive((eyes[eye] - eyes[eye - 1]).to_mm());
    let is_laced = |bay: &usize| !rail.gates.contains(bay);
    let bays: Vec<usize> = (0..rail.posts.len().saturating_sub(1)).filter(is_laced).collect();
    let is_in = |bay: &usize, at: Length| (rail.posts[*bay]..=rail.posts[bay + 1]).contains(&at);
    let mut faults = Vec::new();
    for (eye, at) in eyes.iter().copied().enumerate() {
        if !is_rising(eye) || !at.to_mm().is_finite() {
            faults.push(Impossible::EyesNotRising { eye, at });
        } else if !bays.iter().any(|bay| is_in(bay, at)) {
            faults.push(Impossible::EyeOutside { eye, at });
        }
    }
    if !eyes.is_empty() && faults.is_empty() {
        for row in bays.chunk_by(|before, after| before + 1 == *after) {
            let count = eyes.iter().filter(|at| row.iter().any(|bay| is_in(bay, **at))).count();
            if count < 2 {
                faults.push(Impossible::TooFewEyes { bay: row[0], eyes: count });
            }
        }
    }
    faults
}
