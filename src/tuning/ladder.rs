//! The rungs of a ladder: change points as a crew can act on them, with a dead band between building and easing. Knows no
//! book and no card.
//!
//! A crew that sets a control at 12½ kn and sets it back at 12½ kn hunts: the wind is never still. So the wind to act
//! at is higher while it builds than while it eases, by no less than the dead band; the two stand as evenly as print
//! allows about the wind at which the reading changes. Changes of one control that lie nearer than the dead band are
//! one move, halfway between the first and the last of them, and one that undoes another within it is no move at all.
//! Readings finer than half a mark are for the card of settings: on a ladder nobody moves a control by a quarter.
//!
//! Only what is printed is shifted or joined; the exact changes stay as [`Column::changes`] finds them.

use std::ops::Range;

use super::scale::SAME;
use super::{Axis, Change, Column, Ground, Scale, Wind, WindUnit};

/// How far apart building and easing stand where nobody says: two printed steps, 1 kn or ½ m/s. About what a masthead
/// wind wanders by from one minute to the next in a steady breeze (common practice).
pub const STEPS_APART: i64 = 2;
/// How far short of the dead band two changes still count as that far apart: above what the way to knots and back leaves
/// of a wind, far below what any sensor tells apart.
const SLACK: Wind = Wind::knots(1e-6);
/// A trimmer moves a control by whole marks or halves.
const MOVES_IN_A_MARK: f64 = 2.0;

/// Where the rungs of a ladder may stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spacing {
    /// What the winds are printed in.
    pub unit: WindUnit,
    /// Printed steps from easing up to building.
    pub steps_apart: i64,
    /// The wind that the ladder begins at: nobody eases to less.
    pub start: Wind,
    /// The strongest wind that the sails are for; endless if nobody says.
    pub top: Wind,
}

/// A move of one control on a ladder.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    /// The wind to act at while it builds, in printed steps.
    pub building: i64,
    /// The wind to act at while it eases, in printed steps.
    pub easing: i64,
    /// The reading below the rung.
    pub from: f64,
    /// The reading above it.
    pub to: f64,
    /// Which of the exact changes it stands for, by their places in the list.
    pub changes: Range<usize>,
}

impl Spacing {
    /// The dead band that is asked for, as wide as print has to make it to hold it; without one, the usual.
    pub fn steps_for(apart: Option<Wind>, unit: WindUnit) -> i64 {
        apart.map_or(STEPS_APART, |apart| apart.steps_no_less(unit))
    }

    /// The dead band as it is printed.
    pub fn apart(&self) -> Wind {
        Wind::from_steps(self.steps_apart, self.unit)
    }

    /// The printed winds to act at, easing and building, about the wind of a change.
    fn place(&self, wind: Wind) -> (i64, i64) {
        let easing = (wind - self.apart() * 0.5).steps(self.unit);
        let start = self.start.steps(self.unit);
        // Past the top nobody has these sails up; and where there is not room for both, it is the start that counts.
        let highest = if self.top.is_finite() { self.top.steps(self.unit) - self.steps_apart } else { easing };
        let easing = easing.min(highest).max(start);
        (easing, easing + self.steps_apart)
    }
}

/// The rungs that stand for some changes of one control, which are in rising order of wind.
pub fn rungs(scale: &Scale, changes: &[Change], spacing: &Spacing) -> Vec<Rung> {
    let mut found: Vec<Rung> = Vec::new();
    for one in nearer_than_apart(moves(scale, changes), spacing) {
        let (easing, building) = spacing.place(one.first.midway(one.last));
        match found.last_mut().filter(|below| below.building == building) {
            Some(below) => (below.to, below.changes.end) = (one.to, one.changes.end),
            None => found.push(Rung { building, easing, from: one.from, to: one.to, changes: one.changes }),
        }
    }
    found.retain(|rung| rung.from != rung.to);
    found
}

/// What a mark is known from that stands over a stretch of winds: sailed, if just it was recorded there; else no better
/// than the rows it was read between.
pub fn ground(column: &Column, reading: f64, from: Wind, to: Wind) -> Ground {
    let known = column.known();
    let here = known.iter().filter(|known| from <= known.at && known.at <= to && known.reading == reading);
    if let Some(surest) = here.map(|known| known.ground).min() {
        return surest;
    }
    let below = known.partition_point(|known| known.at <= from).saturating_sub(1);
    let above = known.partition_point(|known| known.at < to);
    let around = known.iter().skip(below).take(above.saturating_sub(below) + 1).map(|known| known.ground);
    around.filter(|ground| !ground.was_sailed()).max().unwrap_or(Ground::Between)
}

/// Changes that follow each other, taken as one.
#[derive(Clone, Debug)]
struct Joined {
    first: Wind,
    last: Wind,
    from: f64,
    to: f64,
    changes: Range<usize>,
}

impl Joined {
    fn take_in(&mut self, next: &Joined) {
        (self.last, self.to, self.changes.end) = (next.last, next.to, next.changes.end);
    }
}

/// The changes joined to moves that end at a whole or a half mark. What is left over above the last of them is a move only
/// if it is half a mark or more.
fn moves(scale: &Scale, changes: &[Change]) -> Vec<Joined> {
    let half_mark = scale.whole_mark() / MOVES_IN_A_MARK;
    let is_even = |reading: f64| ((reading / half_mark).round() * half_mark - reading).abs() <= SAME * half_mark;
    let mut found: Vec<Joined> = Vec::new();
    let mut open: Option<Joined> = None;
    for (index, change) in changes.iter().enumerate() {
        let (from, to) = (change.from, change.to);
        let one = Joined { first: change.at, last: change.at, from, to, changes: index..index + 1 };
        let joined = match open.take() {
            None => one,
            Some(mut before) => {
                before.take_in(&one);
                before
            }
        };
        if is_even(to) { found.push(joined) } else { open = Some(joined) }
    }
    let is_a_move = |left: &Joined| (left.to - left.from).abs() >= half_mark * (1.0 - SAME);
    found.extend(open.filter(is_a_move));
    found
}

/// Moves nearer to each other than the dead band, or printed at one wind, made one: each of the moves that come out
/// begins at least that far from where the one before it began, so that a control that runs fast is not all one move.
fn nearer_than_apart(moves: Vec<Joined>, spacing: &Spacing) -> Vec<Joined> {
    let mut found: Vec<Joined> = Vec::new();
    for one in moves {
        let is_near = |before: &&mut Joined| {
            let same_print = before.first.steps(spacing.unit) == one.last.steps(spacing.unit);
            same_print || one.last - before.first + SLACK < spacing.apart()
        };
        match found.last_mut().filter(is_near) {
            Some(before) => before.take_in(&one),
            None => found.push(one),
        }
    }
    found
}
