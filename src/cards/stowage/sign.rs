//! The numbers of things in the pictures of the stowage: a ring where they were, a black disc where they go. Knows no boat.

use kurbo::{BezPath, Point, Size, Vec2};
use std::f64::consts::TAU;

use crate::cards::parts::frame::MUST_CAP;
use crate::drawing::{Anchor, Colour, Drawing, Shape, Text, Weight};

/// Between a number and the end of its sign at either side, millimetres.
const BESIDE: f64 = 1.1;
/// The line of a ring, millimetres.
const RING: f64 = 0.35;
/// Straight pieces to a round end: renderers agree on the edges of straight lines to the pixel, not on those of curved
/// ones; none is off by more than a printer shows.
const CORNERS: u32 = 24;
/// From this many numbers in a row on they are told by the first and the last.
const LEAST_RUN: usize = 3;

/// One number, or those of the things in one place.
#[derive(Clone, Debug)]
pub struct Sign {
    text: Text,
    /// Whether its things go here, and are not those that were here.
    is_new: bool,
}

impl Sign {
    /// Of every sign, millimetres: a number and the white around it.
    pub const HEIGHT: f64 = MUST_CAP + 2.4;

    /// The sign of some things.
    pub fn of(numbers: &[usize], is_new: bool) -> Self {
        let colour = if is_new { Colour::WHITE } else { Colour::BLACK };
        let text = Text::new(words(numbers), Point::ZERO, Anchor::Start, MUST_CAP, Weight::Bold).coloured(colour);
        Sign { text, is_new }
    }

    /// The room it takes.
    pub fn size(&self) -> Size {
        Size::new((self.text.ink().width() + 2.0 * BESIDE).max(Sign::HEIGHT), Sign::HEIGHT)
    }

    /// Draws it about a place.
    pub fn draw(&self, drawing: &mut Drawing, middle: Point) {
        let outline = rounded(middle, self.size());
        drawing.print(Shape::fill(outline.clone(), if self.is_new { Colour::BLACK } else { Colour::WHITE }));
        drawing.print(Shape::stroke(outline, RING));
        let mut text = self.text.clone();
        text.origin += middle - self.text.ink().center();
        drawing.print(text);
    }
}

/// A bar with round ends, a disc if it is as wide as high.
fn rounded(middle: Point, size: Size) -> BezPath {
    let (radius, half) = (size.height / 2.0, (size.width - size.height) / 2.0);
    let corner = |index: u32| {
        let turn = Vec2::from_angle(f64::from(index) * TAU / f64::from(2 * CORNERS) - TAU / 4.0);
        let side = if index <= CORNERS { half } else { -half };
        middle + turn * radius + Vec2::new(side, 0.0)
    };
    let mut path = BezPath::new();
    path.move_to(corner(0));
    (1..=CORNERS).for_each(|index| path.line_to(corner(index)));
    // The other end begins where this one ends, on the other side.
    path.line_to(corner(CORNERS) - Vec2::new(2.0 * half, 0.0));
    (CORNERS + 1..2 * CORNERS).for_each(|index| path.line_to(corner(index)));
    path.line_to(corner(0) - Vec2::new(2.0 * half, 0.0));
    path.close_path();
    path
}

/// `1, 4 to 7, 9`.
fn words(numbers: &[usize]) -> String {
    let mut numbers = numbers.to_vec();
    numbers.sort_unstable();
    let runs = numbers.chunk_by(|a, b| a + 1 == *b).flat_map(|run| match run {
        [first, .., last] if run.len() >= LEAST_RUN => vec![format!("{first} to {last}")],
        few => few.iter().map(usize::to_string).collect(),
    });
    runs.collect::<Vec<_>>().join(", ")
}
