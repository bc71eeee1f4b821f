//! Views in true proportion: from places aboard to places on a card, and the scale bar that lets a ruler check them.
//! Knows no gear.

use kurbo::{Circle, Point, Rect};

use super::label::legend_cap_mm;
use crate::book::{LengthUnit, Units};
use crate::drawing::legibility::LEGEND_DISTANCE;
use crate::drawing::{Anchor, Colour, Drawing, Shape, Text, Weight};
use crate::length::Length;
use crate::tuning::mark::print_decimal;

/// Lengths that a scale bar may stand for.
const METRIC_BARS_MM: [f64; 8] = [50.0, 100.0, 200.0, 500.0, 1000.0, 2000.0, 5000.0, 10_000.0];
const FOOT_BARS: [f64; 6] = [0.5, 1.0, 2.0, 5.0, 10.0, 20.0];
const INCHES_PER_FOOT: f64 = 12.0;
const MM_PER_METRE: f64 = 1000.0;
/// From end tick to end tick height.
const BAR_TICK: f64 = 2.0;
const BAR_WIDTH: f64 = 0.5;
/// White between a word and the card's edge: what a knife may be off, and a little more.
const NOTE_RIM: f64 = 1.5;
/// The line of the hull, of rings and of what is only there for orientation, in millimetres.
pub const FINE: f64 = 0.2;
/// The line of what the picture is about, such as a track or a lifeline, in millimetres.
pub const HEAVY: f64 = 0.7;
/// Dash and gap of a line that nobody can see aboard, or that could be there instead, in millimetres.
pub const DASH: (f64, f64) = (2.0, 1.2);

/// A view at one scale, the same along and across; `u` to the right and `v` up, both in millimetres aboard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct View {
    /// Millimetres on the card for one aboard.
    pub scale: f64,
    /// Where u = 0, v = 0 falls on the card.
    pub origin: Point,
}

impl View {
    /// The largest view of `world` (`u0..u1`, `v0..v1`, millimetres) inside `area`, at most `most` to one.
    pub fn fitting(world: Rect, area: Rect, most: f64) -> View {
        let across = area.width() / world.width().max(f64::MIN_POSITIVE);
        let up = area.height() / world.height().max(f64::MIN_POSITIVE);
        View::at(across.min(up).min(most), world, area)
    }

    /// `world` at a given scale, in the middle of `area`.
    pub fn at(scale: f64, world: Rect, area: Rect) -> View {
        let (middle, centre) = (world.center(), area.center());
        View { scale, origin: Point::new(centre.x - middle.x * scale, centre.y + middle.y * scale) }
    }

    /// Where a place aboard falls on the card.
    pub fn point(&self, u: Length, v: Length) -> Point {
        Point::new(self.origin.x + u.to_mm() * self.scale, self.origin.y - v.to_mm() * self.scale)
    }
}

/// Room that a scale bar takes from its top down, millimetres.
pub fn bar_height() -> f64 {
    BAR_TICK + legend_cap_mm() * 2.0
}

/// A scale bar with its left end at `at`, at most `room` wide: the longest of the usual lengths.
pub fn scale_bar(drawing: &mut Drawing, scale: f64, at: Point, room: f64, units: Units, holds: &str) {
    let candidates: Vec<(f64, String)> = match units.length {
        LengthUnit::Inch | LengthUnit::Foot => FOOT_BARS
            .iter()
            .map(|feet| (Length::inches(feet * INCHES_PER_FOOT).to_mm(), format!("{} ft", print_decimal(*feet))))
            .collect(),
        _ => METRIC_BARS_MM
            .iter()
            .map(|mm| {
                let words = if *mm < MM_PER_METRE {
                    format!("{} mm", print_decimal(*mm))
                } else {
                    format!("{} m", print_decimal(mm / MM_PER_METRE))
                };
                (*mm, words)
            })
            .collect(),
    };
    let longest = candidates.iter().rev().find(|(mm, _)| mm * scale <= room).or(candidates.first());
    let Some((mm, words)) = longest else { return };
    let end = Point::new(at.x + mm * scale, at.y);
    drawing.print(Shape::line(at, end, BAR_WIDTH));
    for x in [at.x, (at.x + end.x) / 2.0, end.x] {
        drawing.print(Shape::line((x, at.y - BAR_TICK / 2.0), (x, at.y + BAR_TICK / 2.0), BAR_WIDTH));
    }
    note(drawing, &format!("{words}, {holds}"), (end.x + BAR_TICK, at.y + legend_cap_mm() / 2.0), Anchor::Start);
}

/// A word for a picture, read from as near as a legend.
pub fn legend(words: &str) -> Text {
    Text::new(words, Point::ZERO, Anchor::Start, legend_cap_mm(), Weight::Regular).read_from(LEGEND_DISTANCE)
}

/// A word in a drawing; one that would reach over the card's edge is moved in. Gives the room it takes.
pub fn note(drawing: &mut Drawing, words: &str, at: impl Into<Point>, anchor: Anchor) -> Rect {
    let mut text = Text::new(words, at, anchor, legend_cap_mm(), Weight::Regular).read_from(LEGEND_DISTANCE);
    let most = drawing.size.width - NOTE_RIM - text.width();
    text.origin.x = text.origin.x.min(most).max(NOTE_RIM);
    let room = text.bounds();
    drawing.print(text);
    room
}

/// A black disc, where a line ends or is made fast.
pub fn dot(drawing: &mut Drawing, at: Point, radius: f64) {
    drawing.print(Shape::fill(Circle::new(at, radius), Colour::BLACK));
}

/// A white disc with a black rim, which covers the line under it: where a line only passes, as through a block.
pub fn ring(drawing: &mut Drawing, at: Point, radius: f64) {
    drawing.print(Shape::fill(Circle::new(at, radius), Colour::WHITE));
    drawing.print(Shape::stroke(Circle::new(at, radius), FINE * 2.0));
}

/// A dashed line.
pub fn dashed(from: Point, to: Point, width: f64) -> Shape {
    match Shape::line(from, to, width) {
        Shape::Stroke { path, colour, width, .. } => Shape::Stroke { path, colour, width, dash: Some(DASH) },
        other => other,
    }
}
