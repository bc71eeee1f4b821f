//! Lines of words that stand under each other, large and small: how high they are together. Knows no table.

use super::content::Letters;
use crate::cards::parts::frame::LINE_PITCH;
use crate::cards::parts::label::legend_cap_mm;
use crate::drawing::line_breaks::Word;

/// From the baseline of a figure down to that of the small print that belongs to it, in capital heights of the latter.
const BENEATH_PITCH: f64 = 1.75;
/// White between the tails of a figure and the small print that belongs to it, in capital heights of the latter.
const BENEATH_GAP: f64 = 0.3;

/// One line of words.
pub struct Line<'a> {
    /// The words on it, from left to right.
    pub words: &'a [Word<'a>],
    /// Capital height, millimetres.
    pub cap: f64,
    /// Whether it is small print, which does not grow with the table and is read from closer.
    pub is_small: bool,
    /// From the baseline of the line above to its own, millimetres; of the first one, from the top.
    pub drop: f64,
}

impl Line<'_> {
    /// Millimetres.
    pub fn width(&self) -> f64 {
        Word::width_of(self.words) * self.cap
    }
}

/// Puts lines under each other. `tail` is how far the figures over small print hang below their baseline, in capital heights.
pub fn stacked<'a>(lines: impl IntoIterator<Item = (&'a [Word<'a>], Letters, f64)>, tail: f64) -> Vec<Line<'a>> {
    let mut stack: Vec<Line> = Vec::new();
    for (words, letters, cap) in lines {
        let drop = match (stack.last(), letters) {
            (None, _) => cap,
            (Some(above), Letters::Beneath) if !above.is_small => beneath(above.cap, tail),
            (Some(above), _) => above.cap * (LINE_PITCH - 1.0) + cap,
        };
        stack.push(Line { words, cap, is_small: letters.are_small(), drop });
    }
    stack
}

/// From the baseline of a figure of `cap` with this tail to that of the small print that belongs to it, millimetres.
fn beneath(cap: f64, tail: f64) -> f64 {
    let legend = legend_cap_mm();
    (legend * BENEATH_PITCH).max(cap * tail + legend * (1.0 + BENEATH_GAP))
}

/// From the top of the first line to the baseline of the last, millimetres.
pub fn height(lines: &[Line]) -> f64 {
    lines.iter().map(|line| line.drop).sum()
}

/// From the top of the first line to where a next one would begin, millimetres.
pub fn pitches(lines: &[Line]) -> f64 {
    height(lines) + lines.last().map_or(0.0, |line| line.cap * (LINE_PITCH - 1.0))
}

/// Of the widest line, millimetres.
pub fn width(lines: &[Line]) -> f64 {
    lines.iter().map(Line::width).fold(0.0, f64::max)
}
