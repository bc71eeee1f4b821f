//! The list of what was printed, for other programs: one JSON document. Knows places on paper, not what a card is.

use kurbo::{Affine, Size, Vec2};
use serde::Serialize;

/// The shape of the document; a later shape has a higher number.
const FORMAT: u32 = 1;

/// One printed thing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Entry<'a> {
    /// The name it has in the book, unique in the list.
    pub id: &'a str,
    /// What kind of card it is, as the book's list of cards asks for it.
    pub kind: &'a str,
    /// What is written largest on it.
    pub title: &'a str,
    /// Which side of a card this is, if the card has two; each side is an entry of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// The id of what is on its other side.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub other_side: Option<&'a str>,
    /// Its true width, cut out.
    pub width_mm: f64,
    /// Its true height, cut out.
    pub height_mm: f64,
    /// The short hash of its content, of both sides if there are two.
    pub stamp: &'a str,
    /// The count of its releases; `None` if it says something that was not released.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub edition: Option<u32>,
    /// The file that holds it alone, if there is one: `svg/backstay.svg`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub svg: Option<String>,
    /// The file that has its times for a calendar: `watch-plan.ics`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub calendar: Option<String>,
    /// Where to find it on paper; a strip in several pieces has several.
    pub printed: Vec<Printed<'a>>,
    /// The label of a strip, if it is a sticker of its own.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<Label<'a>>,
    /// For a scale, every mark from the lowest.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<Mark>,
}

/// A strip's label that is printed beside it, under the same id and stamp.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Label<'a> {
    /// Its true width, cut out.
    pub width_mm: f64,
    /// Its true height, cut out.
    pub height_mm: f64,
    /// The file that holds it alone: `svg/strip-lead.label.svg`.
    pub svg: String,
    /// Where to find it on paper.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub printed: Option<Printed<'a>>,
}

/// A side of a card.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Side {
    /// The side whose id the whole card goes by.
    Front,
    /// What is read when the card is turned over.
    Back,
}

/// A place in a PDF.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Printed<'a> {
    /// Relative to the manifest: `cards.pdf`.
    pub file: &'a str,
    /// Counted from 1.
    pub page: usize,
    /// From the left edge of the page to the left edge of the upright rectangle around the thing.
    pub x_mm: f64,
    /// From the top edge of the page to the top edge of that rectangle.
    pub y_mm: f64,
    /// How far it is turned clockwise on the page.
    pub turned_degrees: f64,
    /// Which part of the thing this is, if it is printed in pieces.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub piece: Option<Part>,
}

/// One of the pieces that a thing longer than the paper is printed in.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Part {
    /// Counted from 1.
    pub number: usize,
    /// How many pieces there are.
    pub of: usize,
    /// From the left or top end of the whole thing, along its longer side, to where the piece's rectangle begins; of a
    /// curved strip along the pointer's edge.
    pub from_mm: f64,
    /// Length of that rectangle, or of that stretch of the edge.
    pub length_mm: f64,
    /// The rectangle around a piece of a curved strip, width and height. The middle of the stretch lies in its middle,
    /// where it runs as the strip does in its own middle.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub box_mm: Option<[f64; 2]>,
}

/// A mark of a scale.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mark {
    /// What is printed beside it: `4½`.
    pub label: String,
    /// Distance from the lowest mark, where the strip is laid from.
    pub at_mm: f64,
}

impl<'a> Printed<'a> {
    /// The place of a drawing of `size` millimetres put on a page by `to_page`.
    ///
    /// ```
    /// use cockpit_cards::output::manifest::Printed;
    /// use kurbo::{Affine, Size};
    ///
    /// // A card 40 by 20 mm, turned a quarter to the right, its box 10 mm from the left and 30 mm from the top:
    /// let to_page = Affine::translate((30.0, 30.0)) * Affine::rotate(90_f64.to_radians());
    /// let place = Printed::at("cards.pdf", 1, Size::new(40.0, 20.0), to_page);
    /// assert_eq!((place.x_mm, place.y_mm, place.turned_degrees), (10.0, 30.0, 90.0));
    /// ```
    pub fn at(file: &'a str, page: usize, size: Size, to_page: Affine) -> Self {
        let corners = to_page.transform_rect_bbox(size.to_rect());
        // Along the drawing's own x: a matrix keeps it whatever the move.
        let along = to_page * kurbo::Point::new(1.0, 0.0) - to_page * kurbo::Point::ZERO;
        Printed {
            file,
            page,
            x_mm: rounded(corners.x0),
            y_mm: rounded(corners.y0),
            turned_degrees: rounded(Vec2::atan2(along).to_degrees()),
            piece: None,
        }
    }
}

#[derive(Serialize)]
struct Manifest<'a> {
    format: u32,
    producer: &'static str,
    boat: &'a str,
    cards: &'a [Entry<'a>],
}

/// The manifest of a boat's cards, as pretty JSON with a newline at its end.
///
/// # Errors
/// Only if a writer in memory fails.
pub fn manifest(boat: &str, entries: &[Entry]) -> Result<Vec<u8>, serde_json::Error> {
    let producer = concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION"));
    let mut bytes = serde_json::to_vec_pretty(&Manifest { format: FORMAT, producer, boat, cards: entries })?;
    bytes.push(b'\n');
    Ok(bytes)
}

/// To a hundredth of a micron, so that a quarter turn reads 90 and not 90.00000000000001.
fn rounded(value: f64) -> f64 {
    const STEPS: f64 = 1e5;
    (value * STEPS).round() / STEPS + 0.0
}
