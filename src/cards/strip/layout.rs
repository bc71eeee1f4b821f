//! The looks of a strip: where ticks, numerals and words go. Every tick stands where its `at_mm` says.
//!
//! Positions are *u* along the strip and *v* across it; see [`Frame`].

use crate::wrong::Wrong;
use kurbo::{BezPath, Rect, Vec2};

use super::bend::Bent;
use super::lane_layout::Lanes;
use super::lie::{BACK_RIM, CUT_WIDTH, EDGE_RIM, Frame};
use super::numerals::{NUMERAL_GAP, Numeral, Numerals, UNDERLINE_ROOM, draw_numerals, numerals};
use super::{Strip, ends};
use crate::cards::parts::flow::Block;
use crate::cards::parts::label::{Label, legend_cap_mm};
use crate::cards::parts::view::Screen;
use crate::drawing::legibility::LEGEND_DISTANCE;
use crate::drawing::shape::hatch;
use crate::drawing::{Anchor, Colour, Drawing, Shape, Text, Weight};
use crate::tuning::Rank;

/// Blank film at either end, for the tape that holds the strip while it is tried.
const STICKING_MARGIN: f64 = 5.0;
/// Between the marks and the words beside them.
const BLOCK_GAP: f64 = 3.0;
/// Between the last number and the name, which is as bold: nearer, the eye takes them together.
const NAME_GAP: f64 = 6.0;
const MEETING_DASH: (f64, f64) = (2.0, 1.5);
const DATUM_WIDTH: f64 = 0.35;
/// The small black corner that points at the datum line.
const FLAG: f64 = 1.8;
const FLAG_LEAST: f64 = 1.0;
const LIMIT_WIDTH: f64 = 0.9;
const HATCH_PITCH: f64 = 1.7;
const HATCH_WIDTH: f64 = 0.25;
/// A tick is at most this part of the distance to its neighbour.
const TICK_SHARE: f64 = 0.3;
const BOW_LENGTH: f64 = 9.0;
const BOW_HEAD: f64 = 3.2;

/// Draws a strip.
pub fn strip(strip: &Strip, label: &Label) -> Result<Drawing, Wrong> {
    let lanes = Lanes::new(strip)?;
    let numerals = numerals(strip, lanes.depth())?;
    let inner = strip.width_mm - EDGE_RIM - BACK_RIM;
    let identity = ends::identity(strip, label, inner);
    let install = ends::install(strip, inner);
    let stretch = strip.stretch();
    let end_label = |numeral: Option<&Numeral>| {
        let half = |numeral: &Numeral| match strip.view.along.is_horizontal() {
            true => numerals.width(&numeral.label) / 2.0,
            false => numerals.cap / 2.0 + UNDERLINE_ROOM,
        };
        numeral.map_or(0.0, |numeral| half(numeral) * stretch)
    };
    let block_room = |block: &Block| if block.width > 0.0 { BLOCK_GAP + block.width * stretch } else { 0.0 };
    let low_room = end_label(numerals.shown.first()).max(lanes.title_room).max(BLOCK_GAP);
    let low = STICKING_MARGIN + block_room(&install) + low_room;
    // A tape is named in its middle, so nothing of it sticks out beyond its end.
    let high_label = if strip.tapes.is_empty() { end_label(numerals.shown.last()) } else { 0.0 };
    let bow_room = strip.view.bow.map_or(0.0, |_| BLOCK_GAP + BOW_LENGTH * stretch);
    let high_room = (high_label.max(lanes.end_room) + NAME_GAP - BLOCK_GAP).max(BLOCK_GAP);
    let high = STICKING_MARGIN + block_room(&identity) + bow_room + high_room;
    let bent = match strip.arc {
        Some(bend) => Some(Bent::new(bend, low + strip.span_mm() + high, strip.width_mm)?),
        None => None,
    };
    let frame = Frame {
        bent,
        along: strip.view.along,
        ticks: strip.view.ticks,
        width: strip.width_mm,
        low,
        span: strip.span_mm(),
        high,
    };

    let title = format!("{}: {}", label.boat, strip.title());
    let description = format!("Deck scale, {} mm from the first mark to the last", strip.span_mm());
    let mut drawing = Drawing::new(frame.size(), title, description);
    label.lay_example(&mut drawing, frame.calm_area());
    draw_tapes(&mut drawing, strip, &frame, &numerals);
    draw_no_go(&mut drawing, strip, &frame, &numerals);
    draw_ticks(&mut drawing, strip, &frame, &numerals);
    draw_datum(&mut drawing, strip, &frame, &numerals, &lanes);
    draw_numerals(&mut drawing, strip, &frame, &numerals);
    lanes.draw(&mut drawing, strip, &frame);
    if strip.around.is_some() {
        draw_meeting(&mut drawing, &frame);
    }
    ends::draw_block(&mut drawing, strip, &frame, &install, -low + STICKING_MARGIN);
    let identity_from = frame.span + high - STICKING_MARGIN - identity.width * stretch - bow_room;
    ends::draw_block(&mut drawing, strip, &frame, &identity, identity_from);
    if let Some(bow) = strip.view.bow {
        draw_bow(&mut drawing, &frame, bow, frame.span + high - STICKING_MARGIN - BOW_LENGTH * stretch / 2.0);
    }
    drawing.cut(frame.outline());
    drawing.joints = super::joints::joints(strip, &frame, &numerals.marks());
    drawing.called.clone_from(&label.stamp);
    drawing.sector = frame.sector();
    Ok(drawing)
}

fn draw_ticks(drawing: &mut Drawing, strip: &Strip, frame: &Frame, numerals: &Numerals) {
    for (index, mark) in strip.marks.iter().enumerate() {
        let (share, width) = match mark.rank {
            Rank::Whole => (1.0, 0.55),
            Rank::Half => (0.62, 0.4),
            Rank::Quarter => (0.4, 0.3),
        };
        let neighbours = [index.checked_sub(1), Some(index + 1)].into_iter().flatten();
        let nearest = neighbours
            .filter_map(|other| strip.marks.get(other))
            .map(|other| (other.at_mm - mark.at_mm).abs())
            .fold(f64::INFINITY, f64::min);
        let ends = (EDGE_RIM, EDGE_RIM + numerals.tick * share);
        drawing.print(frame.line(mark.at_mm, ends, f64::min(width, nearest * TICK_SHARE)));
    }
    if let Some(last) = strip.tapes.last() {
        drawing.print(frame.line(last.to_mm, (EDGE_RIM, EDGE_RIM + numerals.tick), 0.55));
    }
}

fn draw_tapes(drawing: &mut Drawing, strip: &Strip, frame: &Frame, numerals: &Numerals) {
    for tape in &strip.tapes {
        let band = || frame.band((tape.from_mm, tape.to_mm), (EDGE_RIM, EDGE_RIM + numerals.tick));
        // A colour the book did not get past its own list of names is left white: the name still stands beside it.
        drawing.print(Shape::fill(band(), Colour::named(&tape.colour).unwrap_or(Colour::WHITE)));
        drawing.print(Shape::stroke(band(), 0.25));
    }
}

fn draw_no_go(drawing: &mut Drawing, strip: &Strip, frame: &Frame, numerals: &Numerals) {
    for zone in &strip.no_go {
        let (u, v) = ((zone.from_mm, zone.to_mm), (EDGE_RIM, EDGE_RIM + numerals.tick));
        for (from, to) in hatch(Rect::new(u.0, v.0, u.1, v.1), HATCH_PITCH) {
            drawing.print(Shape::line(frame.point(from.x, from.y), frame.point(to.x, to.y), HATCH_WIDTH));
        }
        drawing.print(Shape::stroke(frame.band(u, v), HATCH_WIDTH));
        let limit = if zone.above { zone.from_mm } else { zone.to_mm };
        drawing.print(frame.line(limit, (EDGE_RIM, EDGE_RIM + numerals.tick), LIMIT_WIDTH));
    }
}

/// The line a tape measure is laid to: across the strip at its lowest mark, broken only for the numeral there.
fn draw_datum(drawing: &mut Drawing, strip: &Strip, frame: &Frame, numerals: &Numerals, lanes: &Lanes) {
    let numeral_from = EDGE_RIM + numerals.tick;
    let on_the_line = |numeral: &&Numeral| {
        let half = if frame.along.is_horizontal() {
            numerals.width(&numeral.label) / 2.0
        } else {
            numerals.cap / 2.0 + UNDERLINE_ROOM
        };
        numeral.at_mm / strip.stretch() < half + DATUM_WIDTH
    };
    let number = match numerals.shown.first().filter(on_the_line) {
        Some(first) if frame.along.is_horizontal() => NUMERAL_GAP + numerals.depth(&first.label) + NUMERAL_GAP / 2.0,
        Some(first) => NUMERAL_GAP + numerals.width(&first.label) + NUMERAL_GAP / 2.0,
        None => 0.0,
    };
    // The name of a tape stands beside the line, not on it.
    let depth = if strip.tapes.is_empty() { number } else { 0.0 };
    drawing.print(frame.line(0.0, (0.0, numeral_from), DATUM_WIDTH));
    let lanes_from = frame.width - BACK_RIM - lanes.depth();
    if numeral_from + depth < lanes_from {
        drawing.print(frame.line(0.0, (numeral_from + depth, lanes_from), DATUM_WIDTH));
    }
    let has_lanes = lanes.depth() > 0.0;
    if !has_lanes {
        drawing.print(frame.line(0.0, (frame.width - BACK_RIM, frame.width), DATUM_WIDTH));
    }
    // Clear of a number that takes the whole width, and of what hangs or stands out of a lane, where the corner alone
    // shows the line at the edge.
    let most = if has_lanes { FLAG_LEAST } else { FLAG };
    let side = (frame.width - numeral_from - number).clamp(FLAG_LEAST, most);
    let mut flag = BezPath::new();
    flag.move_to(frame.point(0.0, frame.width));
    flag.line_to(frame.point(-side, frame.width));
    flag.line_to(frame.point(0.0, frame.width - side));
    flag.close_path();
    drawing.print(Shape::Fill { path: flag, colour: Colour::BLACK });
}

/// Where a strip that goes around a tube is cut, so that its ends meet.
fn draw_meeting(drawing: &mut Drawing, frame: &Frame) {
    for u in [0.0, frame.span] {
        let mut line = frame.line(u, (0.0, frame.width), CUT_WIDTH);
        if let Shape::Stroke { dash, .. } = &mut line {
            *dash = Some(MEETING_DASH);
        }
        drawing.cut(line);
    }
}

/// An arrow to the bow and the word, upright for the reader.
fn draw_bow(drawing: &mut Drawing, frame: &Frame, bow: Screen, u: f64) {
    let centre = frame.point(u, frame.width / 2.0);
    let cap = legend_cap_mm();
    let (dx, dy) = bow.vector();
    let middle = centre - (0.0, cap * 0.8);
    let reach = if bow.is_horizontal() { BOW_LENGTH / 2.0 } else { (BOW_LENGTH / 2.0).min(frame.width / 4.0) };
    let tip = middle + (dx * reach, dy * reach);
    let tail = middle - (dx * reach, dy * reach);
    let neck = tip - (dx * BOW_HEAD, dy * BOW_HEAD);
    let side = Vec2::new(-dy, dx) * BOW_HEAD / 2.0;
    let mut head = BezPath::new();
    head.move_to(tip);
    head.line_to(neck + side);
    head.line_to(neck - side);
    head.close_path();
    drawing.print(Shape::Fill { path: head, colour: Colour::BLACK });
    drawing.print(Shape::line(tail, neck, 0.7));
    let lowest = middle.y + if bow.is_horizontal() { BOW_HEAD / 2.0 } else { reach };
    let words = Text::new("BOW", (centre.x, lowest + cap + 0.9), Anchor::Middle, cap, Weight::Bold);
    drawing.print(words.read_from(LEGEND_DISTANCE));
}
