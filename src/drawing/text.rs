//! One line of text, placed and measured. It does not wrap and does not know what it says.

use kurbo::{Affine, BezPath, Point, Rect, Shape as _, Vec2};

use super::{Colour, Weight, font};
use crate::length::Length;

/// Which point of the text's baseline stands at the place given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The left end of the line.
    Start,
    /// The middle of the line's width.
    Middle,
    /// The right end of the line.
    End,
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
            distance: super::legibility::CARD_DISTANCE,
        }
        .anchored(anchor)
    }

    fn anchored(mut self, anchor: Anchor) -> Self {
        let share = match anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => 0.5,
            Anchor::End => 1.0,
        };
        self.origin.x -= self.width() * share;
        self
    }

    /// The same text for a reader at `distance`.
    pub fn read_from(mut self, distance: Length) -> Self {
        self.distance = distance;
        self
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
        font::width(&self.content, self.weight) * self.em
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
        let mut pen = 0.0;
        let boxes = font::glyphs(&self.content, self.weight).filter_map(|glyph| {
            let ink = font::ink(glyph, self.weight).map(|ink| ink + Vec2::new(pen, 0.0));
            pen += glyph.advance;
            ink
        });
        let ink = boxes.reduce(|all, one| all.union(one)).unwrap_or_default();
        ink.scale_from_origin(self.em) + self.origin.to_vec2()
    }

    /// The glyphs as one outline, to be filled.
    pub fn outlines(&self) -> BezPath {
        let place = Affine::translate(self.origin.to_vec2()) * Affine::rotate(self.turn) * Affine::scale(self.em);
        let mut pen = 0.0;
        let mut path = BezPath::new();
        for glyph in font::glyphs(&self.content, self.weight) {
            path.extend(place * Affine::translate((pen, 0.0)) * font::outline(glyph));
            pen += glyph.advance;
        }
        path
    }
}
