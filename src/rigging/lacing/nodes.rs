//! Where the line meets the wires and the foot, in the order it is tied, and how wide the gaps between are. Knows places
//! and heights, not lengths of line.

use std::ops::Range;

use super::{Bay, Crests, Foot, Impossible, Pattern, Rail, Rig};
use crate::length::Length;

/// A place where the line meets a wire, an eye or the foot line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Node {
    /// 0 at the foot, 1 on the lowest wire, and so on up.
    pub level: usize,
    /// Where it is along the rail.
    pub at: Length,
    /// How high it is, from where the rail's heights are measured.
    pub height: Length,
    /// How the line is held there.
    pub tie: Tie,
}

/// How the line is held at a node.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Tie {
    /// It is hitched.
    Hitch,
    /// It goes through an eye, or over the wire.
    HalfTurn,
}

/// A clear gap along a wire or along the foot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// 0 at the foot, 1 on the lowest wire, and so on up.
    pub level: usize,
    /// The node or post at each end, to its middle.
    pub from: Length,
    /// The other end, to the middle of the node or post there.
    pub to: Length,
    /// Between the edges of the line; a post counts as thin as a line on a drawing.
    pub clear: Length,
}

/// A row of bays laced with one line.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Row {
    pub bays: Range<usize>,
    pub nodes: Vec<Node>,
}

/// The rows of bays between the gates, with their nodes in the order they are tied.
pub(super) fn runs(rail: &Rail, rig: &Rig, bays: &[Option<Bay>]) -> Vec<Row> {
    let laced: Vec<usize> = (0..bays.len()).filter(|bay| bays[*bay].is_some()).collect();
    laced
        .chunk_by(|before, after| before + 1 == *after)
        .map(|row| {
            let bays: Vec<Bay> = row.iter().filter_map(|bay| bays[*bay]).collect();
            let eyes = eyes(rail, &bays);
            let places = match rig.pattern {
                Pattern::Vee if eyes.is_empty() => vees(rail, &bays),
                Pattern::Vee => beside_posts(vees_over(rail, &eyes), rail, rig),
                Pattern::Uprights if eyes.is_empty() => uprights(rail, middles(&bays)),
                Pattern::Uprights => beside_posts(uprights(rail, eyes), rail, rig),
            };
            let nodes = places.into_iter().map(|(level, at)| node(rail, rig, level, at)).collect();
            Row { bays: row[0]..row[0] + row.len(), nodes }
        })
        .collect()
}

fn node(rail: &Rail, rig: &Rig, level: usize, at: Length) -> Node {
    let top = rail.wires.len();
    let rove = level == 0 && matches!(rig.foot, Foot::Eyes { .. });
    let over = level == top && rig.crests == Crests::Over;
    let tie = if rove || over { Tie::HalfTurn } else { Tie::Hitch };
    Node { level, at, height: rail.height(level), tie }
}

/// Level and place of each node, from the first foot to the last crest.
fn vees(rail: &Rail, bays: &[Bay]) -> Vec<(usize, Length)> {
    let phases = phases(rail);
    let top = rail.wires.len();
    let mut nodes: Vec<(usize, Length)> = bays
        .iter()
        .flat_map(|bay| {
            let phases = &phases;
            (0..bay.count).flat_map(move |vee| {
                phases.iter().map(move |(level, phase)| (*level, bay.from + bay.spacing * (vee as f64 + phase)))
            })
        })
        .collect();
    // What comes before the first foot or after the last crest would be a leg that leads nowhere.
    let first = nodes.iter().position(|(level, _)| *level == 0).unwrap_or(0);
    let last = nodes.iter().rposition(|(level, _)| *level == top).unwrap_or(0);
    nodes.truncate(last + 1);
    nodes.drain(..first);
    nodes
}

/// The nodes of one vee in rising order: level, and place as a part of the spacing from the post.
///
/// A vee that starts at its foot meets the height that is the part g of the way up at g/2 on its way up and at 1 − g/2
/// on its way down. Moved aft by u/2, its way down meets the post at the part u of the height; u is midway in the widest
/// gap between two heights, the lowest of them if some are as wide.
fn phases(rail: &Rail) -> Vec<(usize, f64)> {
    let top = rail.wires.len();
    let whole = rail.height(top) - rail.deck_edge;
    let parts: Vec<f64> = (0..=top).map(|level| (rail.height(level) - rail.deck_edge) / whole).collect();
    let widest = parts.windows(2).fold([0.0, 0.0], |[low, high], gap| {
        // Wider by more than the last bits of the arithmetic, so that equal gaps do not turn on how they were written.
        if gap[1] - gap[0] > high - low + super::WHOLE { [gap[0], gap[1]] } else { [low, high] }
    });
    let moved = (widest[0] + widest[1]) / 2.0 / 2.0;
    let mut phases: Vec<(usize, f64)> = parts
        .iter()
        .enumerate()
        .flat_map(|(level, part)| {
            let down = (level > 0 && level < top).then_some((level, 1.0 - part / 2.0));
            std::iter::once((level, part / 2.0)).chain(down)
        })
        .map(|(level, phase)| (level, (phase + moved).rem_euclid(1.0)))
        .collect();
    phases.sort_by(|a, b| a.1.total_cmp(&b.1));
    phases
}

/// The eyes of a row of bays.
fn eyes(rail: &Rail, bays: &[Bay]) -> Vec<Length> {
    let is_in = |at: &&Length| bays.iter().any(|bay| (bay.from..=bay.to).contains(*at));
    rail.eyes.iter().filter(is_in).copied().collect()
}

/// Level and place of each node, from the first eye to the last, with a crest midway between two.
fn vees_over(rail: &Rail, eyes: &[Length]) -> Vec<(usize, Length)> {
    let top = rail.wires.len();
    let whole = rail.height(top) - rail.deck_edge;
    let part = |level: usize| (rail.height(level) - rail.deck_edge) / whole;
    let vee = |ends: &[Length]| {
        let (foot, next) = (ends[0], ends[1]);
        let half = (next - foot) / 2.0;
        let up = (0..=top).map(|level| (level, foot + half * part(level)));
        let down = (1..top).rev().map(|level| (level, next - half * part(level)));
        up.chain(down).collect::<Vec<_>>()
    };
    eyes.windows(2).flat_map(vee).chain(eyes.last().map(|last| (0, *last))).collect()
}

/// What would be hitched on a post, moved a hitch away from it; eyes are where they are.
fn beside_posts(mut nodes: Vec<(usize, Length)>, rail: &Rail, rig: &Rig) -> Vec<(usize, Length)> {
    let away = rig.line_diameter * rig.hitch.turns().max(1.0);
    for (_, at) in nodes.iter_mut().filter(|(level, _)| *level > 0) {
        let near = rail.posts.iter().find(|post| (*at - **post).to_mm().abs() < away.to_mm());
        if let Some(post) = near {
            // Abaft the post if it is right on it.
            *at = if *at < *post { *post - away } else { *post + away };
        }
    }
    nodes
}

/// Where uprights stand in bays that are divided.
fn middles(bays: &[Bay]) -> Vec<Length> {
    /// An upright stands in the middle of its share of the bay.
    const MIDDLE: f64 = 0.5;
    let of = |bay: &Bay| {
        let Bay { from, spacing, .. } = *bay;
        (0..bay.count).map(move |upright| from + spacing * (upright as f64 + MIDDLE))
    };
    bays.iter().flat_map(of).collect()
}

/// Level and place of each node: up the first, down the next.
fn uprights(rail: &Rail, places: Vec<Length>) -> Vec<(usize, Length)> {
    let levels = rail.wires.len() + 1;
    places
        .into_iter()
        .enumerate()
        .flat_map(|(upright, at)| {
            let goes_up = upright % 2 == 0;
            (0..levels).map(move |step| (if goes_up { step } else { levels - 1 - step }, at))
        })
        .collect()
}

/// The places on one level, nodes and posts, in order along the rail; with whether it is a post.
fn along(level: usize, row: &Row, posts: &[Length]) -> Vec<(Length, bool)> {
    let nodes = row.nodes.iter().filter(|node| node.level == level).map(|node| (node.at, false));
    let mut places: Vec<(Length, bool)> = nodes.chain(posts.iter().map(|post| (*post, true))).collect();
    places.sort_by(|a, b| a.0.to_mm().total_cmp(&b.0.to_mm()));
    places
}

pub(super) fn widest_opening(rail: &Rail, rig: &Rig, rows: &[Row]) -> Option<Opening> {
    let mut widest: Option<Opening> = None;
    for row in rows {
        let posts = &rail.posts[row.bays.start..=row.bays.end];
        for level in 0..=rail.wires.len() {
            for ends in along(level, row, posts).windows(2) {
                let ((from, from_is_post), (to, to_is_post)) = (ends[0], ends[1]);
                let lines = f64::from(u8::from(!from_is_post) + u8::from(!to_is_post));
                let clear = (to - from) - rig.line_diameter * (lines / 2.0);
                if widest.is_none_or(|widest| clear > widest.clear) {
                    widest = Some(Opening { level, from, to, clear });
                }
            }
        }
    }
    widest
}

/// Bays in which hitches stand closer than they are wide: on one wire, or to a post.
pub(super) fn crowded(rail: &Rail, rig: &Rig, bays: &[Option<Bay>], rows: &[Row]) -> Vec<Impossible> {
    let hitch = rig.line_diameter * rig.hitch.turns().max(1.0);
    let in_bay = |bay: &Bay, row: &Row, level: usize| {
        let mut places: Vec<(Length, bool)> = along(level, row, &[bay.from, bay.to]);
        places.retain(|(at, _)| (bay.from..=bay.to).contains(at));
        let gaps = places.windows(2).map(|ends| {
            // A hitch beside a post reaches half its width towards it.
            let room = if ends[0].1 || ends[1].1 { 2.0 } else { 1.0 };
            (ends[1].0 - ends[0].0) * room
        });
        gaps.reduce(Length::min)
    };
    bays.iter()
        .enumerate()
        .filter_map(|(index, bay)| bay.as_ref().map(|bay| (index, bay)))
        .filter_map(|(index, bay)| {
            let row = rows.iter().find(|row| row.bays.contains(&index))?;
            let levels = row.nodes.iter().map(|node| node.level).max()?;
            // Eyes that are there are as far apart as they are.
            let lowest = if rail.eyes.is_empty() { 0 } else { 1 };
            let apart = (lowest..=levels).filter_map(|level| in_bay(bay, row, level)).reduce(Length::min)?;
            (apart < hitch).then_some(Impossible::HitchesCrowd { bay: index, apart, hitch })
        })
        .collect()
}
