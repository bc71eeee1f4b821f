//! Stage 4: one scene of shapes and text in millimetres, whatever it is printed as. Knows nothing of sailing.
//!
//! Coordinates are [`kurbo`] points, 1 unit = 1 mm, x to the right and y **down**, origin at the top left corner of
//! the drawing. PDF, SVG and PNG are all written from the same [`Drawing`], so they cannot disagree.

pub mod clip;
pub mod colour;
pub mod font;
pub mod legibility;
pub mod line_breaks;
pub mod reading;
pub mod sector;
pub mod shape;
pub mod sight;
pub mod text;

pub use colour::Colour;
pub use font::Weight;
pub use sector::Sector;
pub use shape::{Item, Layer, Shape};
pub use text::{Anchor, Placed, Text, TypeSize};

use kurbo::Size;

/// A picture of fixed true size.
#[derive(Clone, Debug, PartialEq)]
pub struct Drawing {
    /// Width and height in millimetres.
    pub size: Size,
    /// A short name for readers of the file: the SVG's `<title>`.
    pub title: String,
    /// One sentence on what it shows: the SVG's `<desc>`.
    pub description: String,
    /// What is drawn, in painting order.
    pub items: Vec<Item>,
    /// Where it may be cut in two if it is longer than the paper; none for a drawing that must stay whole.
    pub joints: Vec<Joint>,
    /// What its pieces are told by from those of other drawings, as printed on the whole; empty if there is no other.
    pub called: String,
    /// What it lies on if it is curved; it is then cut along radial lines.
    pub sector: Option<Sector>,
    /// Its pieces are counted from the right or from below, where the first of them is laid.
    pub from_far_end: bool,
    /// Its pieces butt: they are looked at through what they stick to.
    pub butts: bool,
    /// What belongs to it and is cut out as a piece of its own: the label of a long strip.
    pub apart: Option<Box<Drawing>>,
}

/// A place where a drawing may be cut across, to be put together again.
#[derive(Clone, Debug, PartialEq)]
pub struct Joint {
    /// Millimetres along the longer side, from the left or from the top; on a curved drawing along its sector.
    pub at: f64,
    /// What stands there, for the person who puts the pieces together: `mark 12`.
    pub name: String,
    /// To the nearest other thing of the kind, either way.
    pub clear: f64,
}

impl Drawing {
    /// An empty drawing of `size` millimetres.
    pub fn new(size: Size, title: impl Into<String>, description: impl Into<String>) -> Self {
        Drawing {
            size,
            title: title.into(),
            description: description.into(),
            items: Vec::new(),
            joints: Vec::new(),
            called: String::new(),
            sector: None,
            from_far_end: false,
            butts: false,
            apart: None,
        }
    }

    /// Adds something that is printed.
    pub fn print(&mut self, shape: impl Into<Shape>) {
        self.items.push(Item { layer: Layer::Print, shape: shape.into() });
    }

    /// Adds a line to cut along; it goes into a layer of its own, which is painted after everything printed.
    pub fn cut(&mut self, shape: impl Into<Shape>) {
        self.items.push(Item { layer: Layer::Cut, shape: shape.into() });
    }

    /// Every text in the drawing, in painting order.
    pub fn texts(&self) -> impl Iterator<Item = &Text> {
        self.items.iter().filter_map(|item| match &item.shape {
            Shape::Text(text) => Some(text),
            _ => None,
        })
    }
}
