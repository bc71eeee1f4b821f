//! How much line a run of lacing takes, step by step, and what to cut for the boat. Knows nodes, not how they were found.

use std::f64::consts::PI;
use std::ops::Range;

use super::nodes::Row;
use super::{Foot, Node, Rail, Rig, Tie, Worked};
use crate::length::Length;

/// Half a turn is what a line takes over a wire or through an eye.
const HALF_TURN: f64 = 0.5;

/// A row of bays laced with one line, and what it takes.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// The bays that the line laces, counted from 0 at the bow.
    pub bays: Range<usize>,
    /// The nodes in the order they are tied, from forward aft.
    pub nodes: Vec<Node>,
    /// The line from each node to the next.
    pub stretches: Vec<Stretch>,
    /// The stretches added up.
    pub straight: Length,
    /// How many hitches are tied in it.
    pub hitches: usize,
    /// How many times it turns half round a wire or an eye.
    pub half_turns: usize,
    /// What the hitches and half turns take.
    pub in_ties: Length,
    /// What the allowance adds to the straight and the ties.
    pub allowance: Length,
    /// The length left for making fast, at both ends together.
    pub tails: Length,
    /// The length of line that is needed, all of this together.
    pub line: Length,
    /// The line as cut: up to the next whole step.
    pub cut: Length,
    /// The line along the deck; `None` where the lacing is rove through eyes.
    pub foot_line: Option<FootLine>,
}

/// The line from one node to the next.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stretch {
    /// How long it is, pulled straight.
    pub length: Length,
    /// Along a wire or the foot, not from one height to another.
    pub along: bool,
}

/// The line along the deck of one run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FootLine {
    /// The length along the deck, pulled straight.
    pub straight: Length,
    /// Bases it goes once round.
    pub bases: usize,
    /// What the turns round the bases take.
    pub in_turns: Length,
    /// What the allowance adds to the straight and the turns.
    pub allowance: Length,
    /// What is left at both ends together for making fast.
    pub tails: Length,
    /// The length of line that is needed, all of this together.
    pub line: Length,
    /// The line as cut: up to the next whole step.
    pub cut: Length,
}

/// What a piece of line is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// It laces the bays of a run.
    Lacing,
    /// It runs along the deck, and the lacing is hitched to it.
    FootLine,
}

/// One piece to cut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Piece {
    /// What the piece is for.
    pub purpose: Purpose,
    /// The place of the side in the list, and of the run on that side; `None` for a spare, which fits any.
    pub run: Option<(usize, usize)>,
    /// How long to cut it.
    pub cut: Length,
}

/// Everything to cut for the boat.
#[derive(Clone, Debug, PartialEq)]
pub struct CutList {
    /// The pieces side by side and run by run, then the spares.
    pub pieces: Vec<Piece>,
    /// How much line all the pieces for lacing take together.
    pub lacing: Length,
    /// How much line all the pieces along the deck take together.
    pub foot_line: Length,
}

/// The pieces for all `sides`, with this many spares of each purpose, as long as the longest piece for it.
pub fn cut_list(sides: &[Worked], spares: usize) -> CutList {
    let mut pieces = Vec::new();
    for (side, worked) in sides.iter().enumerate() {
        for (index, run) in worked.runs.iter().enumerate() {
            let run_of = Some((side, index));
            pieces.push(Piece { purpose: Purpose::Lacing, run: run_of, cut: run.cut });
            let foot = run.foot_line.map(|foot| Piece { purpose: Purpose::FootLine, run: run_of, cut: foot.cut });
            pieces.extend(foot);
        }
    }
    for purpose in [Purpose::Lacing, Purpose::FootLine] {
        let longest = pieces.iter().filter(|piece| piece.purpose == purpose).map(|piece| piece.cut).reduce(Length::max);
        pieces.extend(longest.into_iter().flat_map(|cut| (0..spares).map(move |_| Piece { purpose, run: None, cut })));
    }
    let total = |purpose| pieces.iter().filter(|piece| piece.purpose == purpose).map(|piece| piece.cut).sum();
    CutList { lacing: total(Purpose::Lacing), foot_line: total(Purpose::FootLine), pieces }
}

/// What a hitch takes on something this thick: as measured, else its turns by the model.
pub(super) fn hitch(rig: &Rig, on: Length) -> Length {
    rig.hitch_takes.unwrap_or_else(|| turns(rig.hitch.turns(), rig.line_diameter, on))
}

/// Length of a line wound round something: a helix on the line's own middle, with a pitch of one line diameter.
fn turns(turns: f64, line_diameter: Length, on: Length) -> Length {
    let round = (line_diameter + on) * PI;
    Length::mm(round.to_mm().hypot(line_diameter.to_mm())) * turns
}

pub(super) fn measure(rail: &Rail, rig: &Rig, row: Row) -> Run {
    let stretches: Vec<Stretch> = row
        .nodes
        .windows(2)
        .map(|ends| {
            let (along, up) = (ends[1].at - ends[0].at, ends[1].height - ends[0].height);
            Stretch { length: Length::mm(along.to_mm().hypot(up.to_mm())), along: ends[0].level == ends[1].level }
        })
        .collect();
    let straight: Length = stretches.iter().map(|stretch| stretch.length).sum();
    let in_ties: Length = row.nodes.iter().map(|node| tie(rig, node)).sum();
    let hitches = row.nodes.iter().filter(|node| node.tie == Tie::Hitch).count();
    let half_turns = row.nodes.len() - hitches;
    let piece = piece(rig, straight + in_ties);
    let foot_line = foot_line(rail, rig, &row.bays);
    Run {
        bays: row.bays,
        nodes: row.nodes,
        stretches,
        straight,
        hitches,
        half_turns,
        in_ties,
        allowance: piece.allowance,
        tails: piece.tails,
        line: piece.line,
        cut: piece.cut,
        foot_line,
    }
}

/// What the line takes at a node.
fn tie(rig: &Rig, node: &Node) -> Length {
    let on = if node.level == 0 { rig.foot_diameter() } else { rig.wire_diameter };
    match node.tie {
        Tie::Hitch => hitch(rig, on),
        Tie::HalfTurn => turns(HALF_TURN, rig.line_diameter, on),
    }
}

fn foot_line(rail: &Rail, rig: &Rig, bays: &Range<usize>) -> Option<FootLine> {
    let Foot::Line { diameter, base_diameter } = rig.foot else { return None };
    let posts = &rail.posts[bays.start..=bays.end];
    let straight: Length = posts.windows(2).map(|ends| ends[1] - ends[0]).sum();
    let in_turns = turns(1.0, diameter, base_diameter) * posts.len() as f64;
    let Cut { allowance, tails, line, cut } = piece(rig, straight + in_turns);
    Some(FootLine { straight, bases: posts.len(), in_turns, allowance, tails, line, cut })
}

struct Cut {
    allowance: Length,
    tails: Length,
    line: Length,
    cut: Length,
}

/// What is cut for a line that takes `between_tails`.
fn piece(rig: &Rig, between_tails: Length) -> Cut {
    let allowance = between_tails * rig.allowance;
    let tails = rig.tail * 2.0;
    let line = between_tails + allowance + tails;
    let cut = rig.cut_to * (line / rig.cut_to - super::WHOLE).ceil();
    Cut { allowance, tails, line, cut }
}
