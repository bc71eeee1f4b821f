//! Lines of words that stand under each other, large and small: how high they are together. Knows no table.

use std::borrow::Borrow;

use super::content::Letters;
use crate::cards::parts::frame::LINE_PITCH;
use crate::drawing::line_breaks::Word;
use crate::drawing::{TypeSize, font};

/// From the baseline of a figure down to that of the small print that belongs to it, in capital heights of the latter.
const BENEATH_PITCH: f64 = 1.75;
/// White between the tails of a figure and the small print that belongs to it, in capital heights of the latter.
const BENEATH_GAP: f64 = 0.3;

/// Between fractions over each other, in capital heights.
const CLEAR: f64 = 0.15;

/// One line of words.
#[derive(Clone, Copy)]
pub struct Line<'a> {
    /// The words on it, from left to right.
    pub words: &'a [Word<'a>],
    /// How large they are.
    pub size: TypeSize,
    /// Which of the table's sizes it has.
    pub letters: Letters,
    /// From the baseline of the line above to its own, millimetres; of the first one, from the top.
    pub drop: f64,
}

impl Line<'_> {
    /// Millimetres.
    pub fn width(&self) -> f64 {
        Word::width_of(self.words, self.size)
    }

    /// Capital height, millimetres.
    pub fn cap(&self) -> f64 {
        self.size.cap
    }

    /// How far its fractions reach above its capitals and as far below their feet, millimetres.
    pub fn overhang(&self) -> f64 {
        overhang(self.words, self.size)
    }

    /// How far its letters reach above its capitals and below its baseline, in capital heights of its size.
    pub fn past_capitals(&self) -> (f64, f64) {
        let runs = Word::runs(self.words, self.size).into_iter();
        let reaches = runs.map(|run| font::past_capitals(&run.text, run.weight));
        reaches.fold((0.0, 0.0), |most, one| (f64::max(most.0, one.0), f64::max(most.1, one.1)))
    }
}

/// How far the fractions of a line reach above its capitals and as far below their feet, millimetres.
fn overhang(words: &[Word], size: TypeSize) -> f64 {
    if Word::have_fractions(words) { size.cap * (size.fractions() - 1.0) / 2.0 } else { 0.0 }
}

/// Puts lines under each other. `tail` is how far the figures over small print hang below their baseline, in capital heights.
pub fn stacked<'a>(
    lines: impl Iterator<Item = (&'a [Word<'a>], Letters, TypeSize)>,
    tail: f64,
) -> impl Iterator<Item = Line<'a>> {
    lines.scan(None, move |above: &mut Option<Line>, (words, letters, size)| {
        let cap = size.cap;
        let drop = match (&above, letters) {
            (None, _) => cap,
            (Some(above), Letters::Beneath) if above.letters == Letters::Large => beneath(above.cap(), tail, cap),
            (Some(above), _) => {
                let between = above.overhang() + overhang(words, size) + cap * CLEAR;
                cap + between.max(above.cap() * (LINE_PITCH - 1.0))
            }
        };
        *above = Some(Line { words, size, letters, drop });
        *above
    })
}

/// From the baseline of a figure of `cap` with this tail to that of the words of `small` that belong to it, millimetres.
fn beneath(cap: f64, tail: f64, small: f64) -> f64 {
    (small * BENEATH_PITCH).max(cap * tail + small * (1.0 + BENEATH_GAP))
}

/// From the top of the first line to the baseline of the last, millimetres.
pub fn height<'a>(lines: impl IntoIterator<Item = impl Borrow<Line<'a>>>) -> f64 {
    lines.into_iter().map(|line| line.borrow().drop).sum()
}

/// From the top of the first line to where a next one would begin, millimetres.
pub fn pitches<'a>(lines: impl IntoIterator<Item = impl Borrow<Line<'a>>>) -> f64 {
    let Ends { height, last, .. } = Ends::of(lines);
    height + last.map_or(0.0, |line| line.cap() * (LINE_PITCH - 1.0))
}

/// Of the widest line, millimetres.
pub fn width<'a>(lines: impl IntoIterator<Item = impl Borrow<Line<'a>>>) -> f64 {
    lines.into_iter().map(|line| line.borrow().width()).fold(0.0, f64::max)
}

/// What the height of a row is found from: lines are laid out for many sizes of letters, and kept for none but the last.
#[derive(Default)]
pub struct Ends<'a> {
    /// From the top of the first line to the baseline of the last, millimetres.
    pub height: f64,
    /// The line on top.
    pub first: Option<Line<'a>>,
    /// The lowest line.
    pub last: Option<Line<'a>>,
}

impl<'a> Ends<'a> {
    /// Of lines under each other.
    pub fn of(lines: impl IntoIterator<Item = impl Borrow<Line<'a>>>) -> Self {
        lines.into_iter().fold(Ends::default(), |ends, line| {
            let line = *line.borrow();
            Ends { height: ends.height + line.drop, first: ends.first.or(Some(line)), last: Some(line) }
        })
    }
}
