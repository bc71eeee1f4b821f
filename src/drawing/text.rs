//! One line of text, placed and measured. It does not wrap and does not know what it says.

use kurbo::{Affine, BezPath, Point, Rect, Shape as _, Vec2};

use super::font::Glyph;
use super::legibility::{CARD_DISTANCE, LEAST_ARC_MINUTES, cap_height};
use super::reading::InRow;
use super::{Colour, Weight, font};
use crate::length::Length;

/// Which point of the text's baseline stands at the place given.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Anchor {
    /// The left end of the line.
    #[default]
    Start,
    /// The middle of the line's width.
    Middle,
    /// The right end of the line.
    End,
}

/// How large a text is set, and from how far away it is read.
///
/// A fraction's digits are smaller than the numerals beside it, and count as text: where they would be too small to be
/// read, the fraction alone is set larger, in the middle of the height of its numerals.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TypeSize {
    /// Capital height, millimetres.
    pub cap: f64,
    /// The distance from which it must be readable.
    pub distance: Length,
}

impl TypeSize {
    /// Of a text on a card in the hand.
    pub fn in_hand(cap: f64) -> Self {
        TypeSize { cap, distance: CARD_DISTANCE }
    }

    /// How many times as large as the other characters fractions are set.
    pub fn fractions(self) -> f64 {
        let least = cap_height(self.distance, LEAST_ARC_MINUTES).to_mm() / font::FRACTION_DIGITS;
        if self.cap > 0.0 { (least / self.cap).max(1.0) } else { 1.0 }
    }

    /// Advance width of a line of text, millimetres.
    pub fn width(self, text: &str, weight: Weight) -> f64 {
        self.of_widths(font::widths(text, weight))
    }

    /// The same of [`font::widths`].
    pub fn of_widths(self, (letters, fractions): (f64, f64)) -> f64 {
        let em = self.cap / font::CAP_HEIGHT_EM;
        // Most words have none, and how large they are set takes a tangent.
        let fractions = if fractions > 0.0 { fractions * self.fractions() } else { 0.0 };
        (letters + fractions) * em
    }
}

/// A glyph of a line of text, placed from the line's origin before it is turned.
#[derive(Clone, Copy, Debug)]
pub struct Placed {
    /// What is shown.
    pub glyph: Glyph,
    /// Where it begins, to the right and down, millimetres.
    pub at: Vec2,
    /// Size of its em square, millimetres.
    pub em: f64,
}

/// A line of text with its baseline origin in millimetres.
#[derive(Clone, Debug, PartialEq)]
pub struct Text {
    /// The characters, on one line.
    pub content: String,
    /// The left end of the baseline.
    pub origin: Point,
    /// Size of the em square, millimetres.
    pub em: f64,
    /// Which of the two weights it is set in.
    pub weight: Weight,
    /// The ink it is printed in.
    pub colour: Colour,
    /// Clockwise turn about `origin` as seen on the page, radians.
    pub turn: f64,
    /// The distance from which it must be readable; what the size rule is checked against.
    pub distance: Length,
    /// Which point of it stands still where it becomes wider.
    pub anchor: Anchor,
    /// Where it stands in a row of cells, which are read line by line across them.
    pub in_row: Option<InRow>,
}

impl Text {
    /// Text of the given cap height, its baseline starting, centred or ending at `at`.
    pub fn new(
        content: impl Into<String>,
        at: impl Into<Point>,
        anchor: Anchor,
        cap_height: f64,
        weight: Weight,
    ) -> Self {
        Text {
            content: content.into(),
            origin: at.into(),
            em: cap_height / font::CAP_HEIGHT_EM,
            weight,
            colour: Colour::BLACK,
            turn: 0.0,
            distance: CARD_DISTANCE,
            anchor,
            in_row: None,
        }
        .moved_along(-1.0)
    }

    /// Moved by so many times what stands before its anchor.
    fn moved_along(mut self, times: f64) -> Self {
        let share = match self.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => 0.5,
            Anchor::End => 1.0,
        };
        self.origin += Vec2::new(self.turn.cos(), self.turn.sin()) * self.width() * share * times;
        self
    }

    /// The same text for a reader at `distance`.
    pub fn read_from(self, distance: Length) -> Self {
        let anchored = self.moved_along(1.0);
        Text { distance, ..anchored }.moved_along(-1.0)
    }

    /// The same text in another ink.
    pub fn coloured(mut self, colour: Colour) -> Self {
        self.colour = colour;
        self
    }

    /// The same text turned clockwise about `pivot` by `radians`.
    pub fn turned_about(mut self, pivot: impl Into<Point>, radians: f64) -> Self {
        self.origin = Affine::rotate_about(radians, pivot.into()) * self.origin;
        self.turn += radians;
        self
    }

    /// Advance width in millimetres.
    pub fn width(&self) -> f64 {
        self.size().width(&self.content, self.weight)
    }

    /// Its capitals and the distance it is read from.
    pub fn size(&self) -> TypeSize {
        TypeSize { cap: self.cap_height(), distance: self.distance }
    }

    /// Its glyphs from left to right, each at its place.
    pub fn placed(&self) -> impl Iterator<Item = Placed> {
        let (fractions, cap) = (self.size().fractions(), self.cap_height());
        let mut pen = 0.0;
        font::glyphs(&self.content, self.weight).map(move |glyph| {
            let larger = if glyph.is_fraction() { fractions } else { 1.0 };
            let placed = Placed { glyph, at: Vec2::new(pen, cap * (larger - 1.0) / 2.0), em: self.em * larger };
            pen += glyph.advance * placed.em;
            placed
        })
    }

    /// Height of the smallest characters that must be told apart, millimetres: of its capitals, or of a fraction's digits.
    pub fn least_height(&self) -> f64 {
        let digits = self.placed().filter(|placed| placed.glyph.is_fraction());
        let digits = digits.map(|placed| placed.em * font::CAP_HEIGHT_EM * font::FRACTION_DIGITS);
        digits.fold(self.cap_height(), f64::min)
    }

    /// Height of its capital letters in millimetres, which is what legibility is judged by.
    pub fn cap_height(&self) -> f64 {
        self.em * font::CAP_HEIGHT_EM
    }

    /// The line box from descender to cap height, as an upright rectangle.
    pub fn bounds(&self) -> Rect {
        let line = Rect::new(0.0, -self.cap_height(), self.width(), font::DESCENT_EM * self.em);
        Affine::translate(Vec2::new(self.origin.x, self.origin.y))
            .then_rotate_about(self.turn, self.origin)
            .transform_rect_bbox(line)
    }

    /// The box around the letters themselves; of no size, at its origin, for words without ink.
    pub fn ink(&self) -> Rect {
        if self.turn != 0.0 {
            return self.outlines().bounding_box();
        }
        let boxes = self.placed().filter_map(|Placed { glyph, at, em }| {
            font::ink(glyph, self.weight).map(|ink| ink.scale_from_origin(em) + at)
        });
        boxes.reduce(|all, one| all.union(one)).unwrap_or_default() + self.origin.to_vec2()
    }

    /// The glyphs as one outline, to be filled.
    pub fn outlines(&self) -> BezPath {
        let place = Affine::translate(self.origin.to_vec2()) * Affine::rotate(self.turn);
        let mut path = BezPath::new();
        for Placed { glyph, at, em } in self.placed() {
            path.extend(place * Affine::translate(at) * Affine::scale(em) * &*font::outline(glyph));
        }
        path
    }
}
