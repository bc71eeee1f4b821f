//! How a control is measured: the kinds of scale, what they can be read to, and where their marks stand. Knows no wind
//! and no paper.

mod parts;

use super::curve::{Between, Crossing, Curve};
use super::mark;
use super::tolerance::is_below;
use crate::length::Length;

/// The finest step a scale can be read to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fineness {
    /// It is read to whole marks.
    #[default]
    Whole,
    /// It is read to half marks.
    Halves,
    /// It is read to quarter marks.
    Quarters,
}

impl Fineness {
    /// How many readable steps there are to one whole mark.
    pub const fn steps(self) -> f64 {
        match self {
            Fineness::Whole => 1.0,
            Fineness::Halves => 2.0,
            Fineness::Quarters => 4.0,
        }
    }
}

/// A control's scale. A *reading* is an `f64` in the scale's own coordinate; what that is, each kind says.
///
/// `fineness` counts in whole marks: numbered marks on even scales and centre scales, steps of `every` on measured
/// scales and gauges, turns. Tapes and words are read whole.
#[derive(Clone, Debug, PartialEq)]
pub struct Scale {
    /// How it is marked.
    pub kind: ScaleKind,
    /// How finely it can be read.
    pub fineness: Fineness,
}

/// The kinds of scale.
#[derive(Clone, Debug, PartialEq)]
pub enum ScaleKind {
    /// Evenly spaced numbered marks. A reading is the mark's number.
    ///
    /// `spacing` is the control's own travel from mark to mark; the printed spacing is `spacing × purchase`.
    Even {
        /// The number of the lowest mark.
        first: i32,
        /// The number of the highest mark.
        last: i32,
        /// How far the control itself moves from one mark to the next.
        spacing: Length,
        /// How many times as far the marked part moves as the control itself.
        purchase: f64,
    },
    /// Evenly spaced numbered marks once around a tube or drum; the last mark falls on the first. A reading is the
    /// mark's number.
    ///
    /// The strip lies on the surface, so its middle runs at half its thickness: its length is π·(d + t).
    Around {
        /// The number of the lowest mark.
        first: i32,
        /// The number of the highest mark, which falls on the lowest.
        last: i32,
        /// The outer diameter of the tube or drum.
        diameter: Length,
        /// How thick the film of the strip is.
        thickness: Length,
    },
    /// Marks both ways from a centre. A reading is the mark's number, negative toward `ends[0]`: `W3` is −3, `L2` is +2.
    Centre {
        /// What stands at the centre: `C`.
        centre: String,
        /// How many marks there are on either side of the centre.
        marks: i32,
        /// How far the control itself moves from one mark to the next.
        spacing: Length,
        /// How many times as far the marked part moves as the control itself.
        purchase: f64,
        /// What stands before the numbers on the negative and on the positive side: `W`, `L`.
        ends: [String; 2],
    },
    /// Measured pairs of a quantity and its place, in rising order of both. A reading is the quantity, in `unit`.
    ///
    /// The lowest and the highest mark are the first and the last pair; between them a mark stands at each multiple of
    /// `every`, so that a scale measured at 3, 58 and 121 bar is marked 3, 30, 60, 90, 121 bar. A multiple less than
    /// half of `every` from either end is left out: its numeral would run into the end's.
    Measured {
        /// Each measured quantity, in `unit`, and the place where it was measured.
        pairs: Vec<(f64, Length)>,
        /// The unit of the quantity: `bar`.
        unit: String,
        /// The quantity from one mark to the next, in `unit`.
        every: f64,
    },
    /// Named coloured bands along a line, in rising order. A reading is the tape's index.
    ///
    /// The mark of a tape is its lower edge.
    Tapes(Vec<Tape>),
    /// Turns of a screw from a dated base; a reading is the signed number of turns.
    Turns {
        /// What the turns are counted from, in words: `gauge 38 on 2027-04-02`.
        base: String,
    },
    /// A reading off an instrument, in `unit`; no strip. It can be read to `every`, in `unit`: 1 bar, 50 psi.
    Gauge {
        /// The unit that the instrument shows: `bar`.
        unit: String,
        /// The least that may be asked for, in `unit`, if there is one.
        least: Option<f64>,
        /// The most that may be asked for, in `unit`, if there is one.
        most: Option<f64>,
        /// What it can be read to, in `unit`.
        every: f64,
    },
    /// Words; a reading is the word's index.
    Words(Vec<String>),
}

/// A band of coloured tape.
#[derive(Clone, Debug, PartialEq)]
pub struct Tape {
    /// The name as printed, by which it is told without its colour.
    pub name: String,
    /// The colour of the tape, by its name.
    pub colour: String,
    /// Where its lower edge is along the line.
    pub from: Length,
    /// Where its upper edge is along the line.
    pub to: Length,
}

/// How heavy a mark is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rank {
    /// It stands at a whole mark.
    Whole,
    /// It stands halfway between two whole marks.
    Half,
    /// It stands a quarter of the way from one whole mark to another.
    Quarter,
}

/// One mark of a strip.
#[derive(Clone, Debug, PartialEq)]
pub struct Graduation {
    /// The reading that it stands for, in the coordinate of the scale.
    pub reading: f64,
    /// What stands beside it: `4`, `W3`, `90` (the strip states the unit once), `red`; empty for halves and quarters.
    pub label: String,
    /// How heavy it is drawn.
    pub rank: Rank,
    /// Distance from the datum, the lowest mark.
    pub at: Length,
}

/// Two readings this small a part of a mark apart are the same.
pub(super) use super::tolerance::SAME;

impl Scale {
    /// The readable value nearest to `exact`, on the scale; a tie goes to the one nearer `toward`, or to the lower one
    /// if both are as near.
    pub fn round(&self, exact: f64, toward: f64) -> f64 {
        let step = self.step();
        let steps = exact / step;
        let (lower, upper) = (steps.floor(), steps.ceil());
        let over = (steps - lower) - (upper - steps);
        let up =
            if over.abs() <= SAME { (upper * step - toward).abs() < (lower * step - toward).abs() } else { over > 0.0 };
        self.held_on((if up { upper } else { lower }) * step)
    }

    /// The lowest and the highest reading, where the scale has ends.
    pub fn ends(&self) -> Option<(f64, f64)> {
        let (least, most) = self.limits();
        least.zip(most)
    }

    /// The finest step that can be read, in the scale's own coordinate.
    pub fn step(&self) -> f64 {
        if self.has_only_names() { 1.0 } else { self.whole_mark() / self.fineness.steps() }
    }

    /// Whether it is more than one whole mark from `a` to `b`.
    pub fn moves_more_than_one_mark(&self, a: f64, b: f64) -> bool {
        (a - b).abs() > self.whole_mark() * (1.0 + SAME)
    }

    /// Whether one mark is too far from another for a mark between them to stand for both: more than a step that can be
    /// read. Between two words, tapes or turns of a screw nothing stands.
    pub fn are_apart(&self, a: f64, b: f64) -> bool {
        if self.steps() { a != b } else { (a - b).abs() > self.step() * (1.0 + SAME) }
    }

    /// Where a reading stands on the strip, from the datum (the lowest mark), purchase included; `None` off the scale
    /// and for scales without a strip.
    pub fn at(&self, reading: f64) -> Option<Length> {
        let (first, last) = self.ends()?;
        if !(first..=last).contains(&reading) {
            return None;
        }
        match &self.kind {
            ScaleKind::Even { spacing, purchase, .. } | ScaleKind::Centre { spacing, purchase, .. } => {
                Some(*spacing * *purchase * (reading - first))
            }
            ScaleKind::Around { diameter, thickness, .. } => {
                Some((*diameter + *thickness) * std::f64::consts::PI * ((reading - first) / (last - first)))
            }
            ScaleKind::Measured { pairs, .. } => {
                let (_, datum) = *pairs.first()?;
                Some(Length::mm(places(pairs)?.at(reading)?) - datum)
            }
            ScaleKind::Tapes(tapes) => {
                let tape = tapes.iter().enumerate().find(|(index, _)| *index as f64 == reading);
                Some(tape?.1.from - tapes.first()?.from)
            }
            ScaleKind::Turns { .. } | ScaleKind::Gauge { .. } | ScaleKind::Words(_) => None,
        }
    }

    /// The reading at a distance from the datum: the inverse of [`Scale::at`], by the same curve. On tapes, the tape
    /// that covers the place. `None` beyond the lowest and highest mark and for scales without a strip.
    pub fn reading_at(&self, place: Length) -> Option<f64> {
        let (first, last) = self.ends()?;
        if let Some(lowest) = self.tapes().first() {
            let place = place + lowest.from;
            let tape = self.tapes().iter().rposition(|tape| tape.from <= place && place <= tape.to);
            return tape.map(|index| index as f64);
        }
        let top = self.at(last)?;
        let slack = top * SAME;
        if !(-slack <= place && place <= top + slack) {
            return None;
        }
        let place = place.max(Length::ZERO).min(top);
        let Some(((_, datum), (_, end))) = self.pairs().first().zip(self.pairs().last()) else {
            return Some(if top > Length::ZERO { first + (last - first) * (place / top) } else { first });
        };
        match *places(self.pairs())?.crossings((place + *datum).min(*end).to_mm()).first()? {
            Crossing::At(reading) | Crossing::Along(reading, _) => Some(reading),
        }
    }

    /// Every mark of the strip in rising order; empty for scales without a strip.
    ///
    /// It holds them all in memory: where the scale comes from outside, ask [`Scale::mark_count`] first.
    pub fn graduations(&self) -> Vec<Graduation> {
        let Some((first, last)) = self.ends() else { return Vec::new() };
        let steps = self.inner_steps().into_iter().flatten().map(|step| self.numbered(step));
        let end = |reading| self.graduation(reading, Rank::Whole);
        let all = std::iter::once(end(first)).chain(steps).chain((first < last).then(|| end(last)));
        all.flatten().collect()
    }

    /// How many marks the strip has, halves and quarters included; at once, however many they are.
    pub fn mark_count(&self) -> u64 {
        let Some((first, last)) = self.ends().filter(|_| self.has_strip()) else { return 0 };
        let between =
            self.inner_steps().map_or(0, |steps| steps.end().saturating_sub(*steps.start()).saturating_add(1));
        between.max(0).unsigned_abs() + 1 + u64::from(first < last)
    }

    /// Whether values can only step: turns, words, tapes.
    pub fn steps(&self) -> bool {
        self.base().is_some() || self.has_only_names()
    }

    /// The lowest and the highest reading, each if there is one.
    pub(super) fn limits(&self) -> (Option<f64>, Option<f64>) {
        let indices = |count: usize| (count > 0).then(|| (0.0, (count - 1) as f64)).unzip();
        match &self.kind {
            ScaleKind::Even { first, last, .. } | ScaleKind::Around { first, last, .. } => {
                (Some(f64::from(*first)), Some(f64::from(*last)))
            }
            ScaleKind::Centre { marks, .. } => (Some(-f64::from(*marks)), Some(f64::from(*marks))),
            ScaleKind::Measured { pairs, .. } => {
                (pairs.first().map(|(first, _)| *first), pairs.last().map(|(last, _)| *last))
            }
            ScaleKind::Gauge { least, most, .. } => (*least, *most),
            ScaleKind::Turns { .. } => (None, None),
            ScaleKind::Tapes(tapes) => indices(tapes.len()),
            ScaleKind::Words(words) => indices(words.len()),
        }
    }

    /// Whether it has such a reading: one that is not past its ends.
    pub fn has(&self, reading: f64) -> bool {
        let (least, most) = self.limits();
        least.is_none_or(|least| !is_below(reading, least)) && most.is_none_or(|most| !is_below(most, reading))
    }

    fn held_on(&self, reading: f64) -> f64 {
        let (least, most) = self.limits();
        reading.min(most.unwrap_or(f64::INFINITY)).max(least.unwrap_or(f64::NEG_INFINITY))
    }

    /// The marks between the lowest and the highest, counted in steps from 0.
    fn inner_steps(&self) -> Option<std::ops::RangeInclusive<i64>> {
        let (first, last) = self.ends().filter(|_| self.has_strip())?;
        let step = self.step();
        // A numeral less than half a step from that of a measured end would run into it.
        let clear = if self.pairs().is_empty() { step } else { self.whole_mark() / 2.0 };
        let lowest = ((first + clear) / step - SAME).ceil();
        let highest = ((last - clear) / step + SAME).floor();
        (step > 0.0 && first < last).then_some(lowest as i64..=highest as i64)
    }

    fn numbered(&self, step: i64) -> Option<Graduation> {
        let steps = self.fineness.steps();
        let rank = match (step as f64).rem_euclid(steps) / steps {
            _ if self.has_only_names() => Rank::Whole,
            0.0 => Rank::Whole,
            0.5 => Rank::Half,
            _ => Rank::Quarter,
        };
        // Multiplied, not added up: the thousandth mark is as true as the first.
        self.graduation(step as f64 * self.step(), rank)
    }

    fn graduation(&self, reading: f64, rank: Rank) -> Option<Graduation> {
        let label = match rank {
            Rank::Half | Rank::Quarter => String::new(),
            Rank::Whole if self.pairs().is_empty() => self.print(reading),
            Rank::Whole => mark::print_decimal(reading),
        };
        Some(Graduation { reading, label, rank, at: self.at(reading)? })
    }
}

/// Places in millimetres over quantities: the monotone curve through the measured pairs.
fn places(pairs: &[(f64, Length)]) -> Option<Curve> {
    Curve::new(pairs.iter().map(|(quantity, place)| (*quantity, place.to_mm())).collect(), Between::Monotone)
}
