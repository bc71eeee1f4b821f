//! Change points: the winds at which the reading of a control changes. Found on the curve itself, not by trying winds.

use super::scale::SAME;
use super::table::Column;
use super::{Axis, Between, Known, Scale, Wind};
use serde::ser::{Serialize, SerializeStruct, Serializer};

/// Past 2⁵³ steps from 0 `f64` can no longer tell one from the next, and neither can anyone read them.
const MOST_STEPS: f64 = (1_u64 << f64::MANTISSA_DIGITS) as f64;

/// A wind at which the rounded reading changes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Change<A = Wind> {
    /// Not rounded.
    pub at: A,
    /// The reading in the winds just below.
    pub from: f64,
    /// The reading in the winds just above.
    pub to: f64,
}

impl<A: Axis> Serialize for Change<A> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut fields = serializer.serialize_struct("Change", 3)?;
        fields.serialize_field(A::JSON_NAME, &self.at)?;
        fields.serialize_field("from", &self.from)?;
        fields.serialize_field("to", &self.to)?;
        fields.end()
    }
}

impl<A: Axis> Column<A> {
    /// Every wind between the first and the last known one at which the rounded reading changes, in rising order.
    ///
    /// A reading that holds at a single wind only is no change: where 13¼ was recorded on a scale read to halves, and
    /// the winds on both sides round to 13, nobody moves the control. The changes come one at a time as they are asked
    /// for, since a gauge read to 1 psi may have thousands.
    pub fn changes(&self) -> impl Iterator<Item = Change<A>> + '_ {
        let pieces = self.known().windows(2).enumerate();
        pieces.flat_map(move |(index, ends)| {
            let before = index.checked_sub(1).map(|before| self.piece(before).last_reading());
            let piece = self.piece(index);
            let at_known = before.and_then(|from| change(ends[0].at, from, piece.first_reading()));
            at_known.into_iter().chain(piece.changes())
        })
    }

    fn piece(&self, index: usize) -> Piece<'_, A> {
        Piece { column: self, index, below: self.known()[index], above: self.known()[index + 1] }
    }
}

fn change<A>(at: A, from: f64, to: f64) -> Option<Change<A>> {
    (from != to).then_some(Change { at, from, to })
}

/// The part of a column from one known wind to the next. On it the curve goes one way only.
#[derive(Clone, Copy)]
struct Piece<'a, A> {
    column: &'a Column<A>,
    index: usize,
    below: Known<A>,
    above: Known<A>,
}

impl<'a, A: Axis> Piece<'a, A> {
    fn scale(self) -> &'a Scale {
        self.column.scale()
    }

    fn steps(self) -> bool {
        self.column.curve().between() == Between::Step
    }

    fn is_flat(self) -> bool {
        self.below.reading == self.above.reading
    }

    /// Whether it runs through readable steps one after the other.
    fn rounds(self) -> bool {
        let countable = |known: Known<A>| (known.reading / self.scale().step()).abs() < MOST_STEPS;
        !self.steps() && !self.is_flat() && countable(self.below) && countable(self.above)
    }

    /// 1 where the reading rises with the wind, −1 where it falls.
    fn way(self) -> f64 {
        if self.above.reading > self.below.reading { 1.0 } else { -1.0 }
    }

    /// The readable step, counted from 0, that holds just inside the piece next to a known value: `inward` is the
    /// way the reading goes from there.
    fn step_beside(self, known: Known<A>, inward: f64) -> i64 {
        let steps = known.reading / self.scale().step();
        let nearest = if inward > 0.0 { (steps + 0.5 + SAME).floor() } else { (steps - 0.5 - SAME).ceil() };
        nearest as i64
    }

    fn first_step(self) -> i64 {
        self.step_beside(self.below, self.way())
    }

    fn last_step(self) -> i64 {
        self.step_beside(self.above, -self.way())
    }

    /// What is printed where the curve is nearest to this step; see [`Column::at`].
    fn reading(self, step: i64) -> f64 {
        let source = self.column.source(self.index, self.index + 1);
        (step as f64 * self.scale().step()).clamp(source.least, source.greatest)
    }

    fn first_reading(self) -> f64 {
        if self.rounds() { self.reading(self.first_step()) } else { self.column.known_reading(self.index) }
    }

    fn last_reading(self) -> f64 {
        if self.rounds() { self.reading(self.last_step()) } else { self.column.known_reading(self.index + 1) }
    }

    fn changes(self) -> impl Iterator<Item = Change<A>> + 'a {
        let (below, above) = (self.below, self.above);
        let midway = below.at.midway(above.at);
        let jump = self.steps().then(|| change(midway, below.reading, above.reading)).flatten();
        let (first, last, way) =
            if self.rounds() { (self.first_step(), self.last_step(), self.way()) } else { (0, 0, 1.0) };
        let count = if way > 0.0 { last.saturating_sub(first) } else { first.saturating_sub(last) };
        let rounded = (0..count.max(0)).filter_map(move |nth| {
            let step = if way > 0.0 { first + nth } else { first - nth };
            let next = if way > 0.0 { step + 1 } else { step - 1 };
            let halfway = (step as f64 + way / 2.0) * self.scale().step();
            let at = self.column.curve().crossing_in_piece(self.index, halfway)?;
            change(A::from_number(at), self.reading(step), self.reading(next))
        });
        jump.into_iter().chain(rounded)
    }
}
