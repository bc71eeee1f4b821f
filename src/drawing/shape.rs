//! The shapes a drawing is made of.

use kurbo::{BezPath, Line, Point, Rect, Shape as _};

use super::{Colour, Text};

/// Flatness of curves turned into Béziers, millimetres: far below what a printer can show.
pub const CURVE_TOLERANCE_MM: f64 = 0.001;

/// What a shape is for: ink on the card, or a guide for the knife.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Layer {
    /// What is printed on the card.
    Print,
    /// Where the knife goes; printed thin, or not at all.
    Cut,
}

impl Layer {
    /// The layer's name in every output: the PDF's optional content group, the SVG's group.
    pub const fn name(self) -> &'static str {
        match self {
            Layer::Print => "print",
            Layer::Cut => "cut",
        }
    }
}

/// A shape in its layer.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// What it is for.
    pub layer: Layer,
    /// What is drawn.
    pub shape: Shape,
}

/// One thing drawn. Widths and coordinates are millimetres.
#[derive(Clone, Debug, PartialEq)]
pub enum Shape {
    /// A filled outline (nonzero winding).
    Fill {
        /// The outline; open pieces are closed to be filled.
        path: BezPath,
        /// The ink it is filled with.
        colour: Colour,
    },
    /// A line along a path, butt caps, mitred joins; `dash` is (on, off) in millimetres.
    Stroke {
        /// The middle of the line.
        path: BezPath,
        /// The ink of the line.
        colour: Colour,
        /// The thickness of the line.
        width: f64,
        /// Lengths of stroke and gap; `None` for a line without gaps.
        dash: Option<(f64, f64)>,
    },
    /// A line of text.
    Text(Text),
}

impl Shape {
    /// A straight black line.
    pub fn line(from: impl Into<Point>, to: impl Into<Point>, width: f64) -> Self {
        Shape::stroke(Line::new(from.into(), to.into()), width)
    }

    /// A black line along any kurbo shape.
    pub fn stroke(outline: impl kurbo::Shape, width: f64) -> Self {
        Shape::Stroke { path: outline.to_path(CURVE_TOLERANCE_MM), colour: Colour::BLACK, width, dash: None }
    }

    /// Any kurbo shape, filled.
    pub fn fill(outline: impl kurbo::Shape, colour: Colour) -> Self {
        Shape::Fill { path: outline.to_path(CURVE_TOLERANCE_MM), colour }
    }

    /// Parallel diagonal lines clipped to a rectangle, drawn; see [`hatch`].
    pub fn hatch(area: Rect, pitch: f64, width: f64) -> Vec<Shape> {
        hatch(area, pitch).into_iter().map(|(from, to)| Shape::line(from, to, width)).collect()
    }

    /// The smallest upright rectangle that holds the shape's ink (for text: its line box, not each glyph).
    pub fn bounds(&self) -> Rect {
        match self {
            Shape::Fill { path, .. } => path.bounding_box(),
            Shape::Stroke { path, width, .. } => path.bounding_box().inflate(width / 2.0, width / 2.0),
            Shape::Text(text) => text.bounds(),
        }
    }
}

/// The ends of parallel diagonal lines clipped to a rectangle: the mark of a zone to keep out of.
///
/// Lines run up to the right at 45°, `pitch` millimetres apart measured across them.
pub fn hatch(area: Rect, pitch: f64) -> Vec<(Point, Point)> {
    let step = pitch * std::f64::consts::SQRT_2;
    let mut lines = Vec::new();
    // A line of the family is x + y = c; it meets the rectangle where c lies between its two extreme corners.
    let mut sum = area.x0 + area.y0 + step / 2.0;
    while step > 0.0 && sum < area.x1 + area.y1 {
        let x_low = (sum - area.y1).max(area.x0);
        let x_high = (sum - area.y0).min(area.x1);
        lines.push((Point::new(x_low, sum - x_low), Point::new(x_high, sum - x_high)));
        sum += step;
    }
    lines
}

impl From<Text> for Shape {
    fn from(text: Text) -> Self {
        Shape::Text(text)
    }
}
