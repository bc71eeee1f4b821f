//! Lines of words that stand under each other, large and small: how high they are together. Knows no table.

use super::content::Letters;
use crate::cards::parts::frame::LINE_PITCH;
use crate::drawing::TypeSize;
use crate::drawing::line_breaks::Word;

/// From the baseline of a figure down to that of the small print that belongs to it, in capital heights of the latter.
const BENEATH_PITCH: f64 = 1.75;
/// White between the tails of a figure and the small print that belongs to it, in capital heights of the latter.
const BENEATH_GAP: f64 = 0.3;

/// Between fractions over each other, in capital heights.
const CLEAR: f64 = 0.15;

/// One line of words.
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
}

/// How far the fractions of a line reach above its capitals and as far below their feet, millimetres.
fn overhang(words: &[Word], size: TypeSize) -> f64 {
    if Word::have_fractions(words) { size.cap * (size.fractions() - 1.0) / 2.0 } else { 0.0 }
}

/// Puts lines under each other. `tail` is how far the figures over small print hang below their baseline, in capital heights.
pub fn stacked<'a>(lines: impl IntoIterator<Item = (&'a [Word<'a>], Letters, TypeSize)>, tail: f64) -> Vec<Line<'a>> {
    let mut stack: Vec<Line> = Vec::new();
    for (words, letters, size) in lines {
        let cap = size.cap;
        let drop = match (stack.last(), letters) {
            (None, _) => cap,
            (Some(above), Letters::Beneath) if above.letters == Letters::Large => beneath(above.cap(), tail, cap),
            (Some(above), _) => {
                let between = above.overhang() + overhang(words, size) + cap * CLEAR;
                cap + between.max(above.cap() * (LINE_PITCH - 1.0))
            }
        };
        stack.push(Line { words, size, letters, drop });
    }
    stack
}

/// From the baseline of a figure of `cap` with this tail to that of the words of `small` that belong to it, millimetres.
fn beneath(cap: f64, tail: f64, small: f64) -> f64 {
    (small * BENEATH_PITCH).max(cap * tail + small * (1.0 + BENEATH_GAP))
}

/// From the top of the first line to the baseline of the last, millimetres.
pub fn height(lines: &[Line]) -> f64 {
    lines.iter().map(|line| line.drop).sum()
}

/// From the top of the first line to where a next one would begin, millimetres.
pub fn pitches(lines: &[Line]) -> f64 {
    height(lines) + lines.last().map_or(0.0, |line| line.cap() * (LINE_PITCH - 1.0))
}

/// Of the widest line, millimetres.
pub fn width(lines: &[Line]) -> f64 {
    lines.iter().map(Line::width).fold(0.0, f64::max)
}
