//! The looks of a strip: where ticks, numerals and words go. Every tick stands where its `at_mm` says.
//!
//! Positions are *u* along the strip and *v* across it; see [`Frame`].

use crate::wrong::Wrong;
use kurbo::{Affine, BezPath, Point, Rect, Vec2};

use super::bend::Bent;
use super::lane_layout::Lanes;
use super::lie::{BACK_RIM, CUT_WIDTH, EDGE_RIM, Frame};
use super::{Strip, StripMark, ends};
use crate::cards::parts::flow::Block;
use crate::cards::parts::label::{Label, legend_cap_mm};
use crate::cards::parts::view::Screen;
use crate::drawing::legibility::{
    LEAST_ARC_MINUTES, LEGEND_DISTANCE, NUMERAL_ARC_MINUTES, WANTED_ARC_MINUTES, cap_height,
};
use crate::drawing::shape::hatch;
use crate::drawing::{Anchor, Colour, Drawing, Shape, Text, Weight, font};
use crate::length::Length;
use crate::tuning::Rank;

/// Length of the whole marks: never shorter, never longer.
const TICK_LEAST: f64 = 4.5;
const TICK_MOST: f64 = 9.0;
const NUMERAL_GAP: f64 = 1.2;
/// Between the words of two neighbouring numerals.
const NUMERAL_CLEARANCE: f64 = 1.6;
/// Room under a numeral for the line that tells 6 from 9.
const UNDERLINE_ROOM: f64 = 1.4;
const UNDERLINE_WIDTH: f64 = 0.5;
/// Round letters and digits reach this far past the straight ones, in ems.
const OVERSHOOT_EM: f64 = 0.02;
/// What a word's tails hang below its baseline, in capital heights.
const TAILS: f64 = font::DESCENT_EM / font::CAP_HEIGHT_EM;
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
/// At least this many numbers stand on a strip that has as many marks.
const NUMERALS_LEAST: usize = 3;
const BOW_LENGTH: f64 = 9.0;
const BOW_HEAD: f64 = 3.2;
/// How many marks one numeral may stand for.
const NUMERAL_STEPS: [usize; 6] = [1, 2, 5, 10, 20, 50];

/// Draws a strip.
pub fn strip(strip: &Strip, label: &Label) -> Result<Drawing, Wrong> {
    let lanes = Lanes::new(strip)?;
    let numerals = numerals(strip, lanes.depth())?;
    let inner = strip.width_mm - EDGE_RIM - BACK_RIM;
    let identity = ends::identity(strip, label, inner);
    let install = ends::install(strip, inner);
    let stretch = strip.stretch();
    let end_label = |index: Option<&usize>| {
        let half = |mark: &StripMark| match strip.view.along.is_horizontal() {
            true => numerals.width(&mark.label) / 2.0,
            false => numerals.cap / 2.0 + UNDERLINE_ROOM,
        };
        index.map_or(0.0, |index| half(&strip.marks[*index]) * stretch)
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
    drawing.joints = super::joints::joints(strip, &frame, &numerals.shown);
    drawing.called.clone_from(&label.stamp);
    drawing.sector = frame.sector();
    Ok(drawing)
}

/// Which marks carry their number, and how big.
struct Numerals {
    /// Indices into the strip's marks.
    shown: Vec<usize>,
    cap: f64,
    tick: f64,
    distance: Length,
}

impl Numerals {
    fn width(&self, label: &str) -> f64 {
        font::width(label, Weight::Bold) * self.cap / font::CAP_HEIGHT_EM
    }

    /// From the top of a label to the foot of its tails or its underline.
    fn depth(&self, label: &str) -> f64 {
        self.cap * (1.0 + heads(label)) + UNDERLINE_ROOM.max(self.cap * TAILS)
    }
}

/// The largest numerals that fit; every second, fifth … mark where each would be too small to read.
fn numerals(strip: &Strip, lanes: f64) -> Result<Numerals, Wrong> {
    let distance = Length::mm(strip.reading_distance_mm);
    let [wanted, good, least] =
        [NUMERAL_ARC_MINUTES, WANTED_ARC_MINUTES, LEAST_ARC_MINUTES].map(|arc| cap_height(distance, arc).to_mm());
    let whole: Vec<usize> = (0..strip.marks.len()).filter(|index| strip.marks[*index].rank == Rank::Whole).collect();
    let horizontal = strip.view.along.is_horizontal();
    let across = strip.width_mm - EDGE_RIM - TICK_LEAST - NUMERAL_GAP - BACK_RIM - lanes;
    // Around a tube the last mark falls on the first, which has the number.
    let whole = if strip.around.is_some() { whole[..whole.len().saturating_sub(1)].to_vec() } else { whole };
    // On a two-way scale the numbers to show are counted from the centre.
    let centre = whole.len() / 2;
    let two_way = whole.get(centre).is_some_and(|index| !strip.marks[*index].label.chars().any(|c| c.is_ascii_digit()));
    let mut best: Option<Numerals> = None;
    let mut width_wanted = strip.width_mm;
    let steps = if strip.tapes.is_empty() { &NUMERAL_STEPS[..] } else { &NUMERAL_STEPS[..1] };
    for step in steps {
        let first = if two_way { centre % step } else { 0 };
        let shown: Vec<usize> = whole.iter().skip(first).step_by(*step).copied().collect();
        if shown.len() < NUMERALS_LEAST.min(whole.len()) {
            break;
        }
        let along = room_along(strip, &shown, horizontal);
        let widest = shown.iter().map(|index| unit_width(&strip.marks[*index].label)).fold(0.0, f64::max);
        // Under a number stands its line; under a word hang its tails, and its tall letters stand above the capitals.
        let leaves_capitals = |label: &str| {
            let (above, below) = font::reach(label, Weight::Bold);
            above > font::CAP_HEIGHT_EM + OVERSHOOT_EM || below > OVERSHOOT_EM
        };
        let has_words =
            shown.iter().any(|index| !strip.tapes.is_empty() || leaves_capitals(&strip.marks[*index].label));
        let (under, beyond) = if has_words {
            (0.0, TAILS + shown.iter().map(|index| heads(&strip.marks[*index].label)).fold(0.0, f64::max))
        } else {
            (UNDERLINE_ROOM, 0.0)
        };
        let room_across =
            if horizontal { (across - under) / (1.0 + beyond) } else { across / widest.max(f64::MIN_POSITIVE) };
        let cap = wanted.min(along).min(room_across);
        if best.as_ref().is_none_or(|best| cap > best.cap) {
            let per_cap = if horizontal { 1.0 } else { widest };
            width_wanted = strip.width_mm + if along >= least { (least - room_across).max(0.0) * per_cap } else { 0.0 };
            let used = if horizontal { cap * (1.0 + beyond) + under } else { cap * widest };
            let tick = (strip.width_mm - EDGE_RIM - NUMERAL_GAP - BACK_RIM - lanes - used).clamp(TICK_LEAST, TICK_MOST);
            best = Some(Numerals { shown, cap, tick, distance });
        }
        if best.as_ref().is_some_and(|best| best.cap >= good) {
            break;
        }
    }
    match best {
        Some(numerals) if numerals.cap >= least => Ok(numerals),
        _ if width_wanted > strip.width_mm => Err(Wrong::new(
            format!(
                "its numerals are too wide for {} mm: from {} m they must be {least:.1} mm high at least",
                strip.width_mm,
                strip.reading_distance_mm / 1000.0
            ),
            format!("give the strip `width: {} mm` or more, or a shorter `reading_distance`", width_wanted.ceil()),
        )),
        _ => Err(Wrong::new(
            format!(
                "its numerals would be {:.1} mm high; from {} m they must be {least:.1} mm at least",
                best.map_or(0.0, |numerals| numerals.cap.max(0.0)),
                strip.reading_distance_mm / 1000.0
            ),
            "set the marks further apart, use shorter names, or a shorter `reading_distance`",
        )),
    }
}

/// How far a label's tall letters reach above its capitals, in capital heights.
fn heads(label: &str) -> f64 {
    (font::reach(label, Weight::Bold).0 / font::CAP_HEIGHT_EM - 1.0).max(0.0)
}

/// Width of a label for a capital height of 1.
fn unit_width(label: &str) -> f64 {
    font::width(label, Weight::Bold) / font::CAP_HEIGHT_EM
}

/// The capital height at which neighbouring numerals still clear each other.
fn room_along(strip: &Strip, shown: &[usize], horizontal: bool) -> f64 {
    let stretch = strip.stretch();
    if !strip.tapes.is_empty() {
        let room = |tape: &super::TapeBand| {
            let length = (tape.to_mm - tape.from_mm) / stretch - 2.0 * NUMERAL_CLEARANCE;
            if horizontal { length / unit_width(&tape.name) } else { length - UNDERLINE_ROOM }
        };
        return strip.tapes.iter().map(room).fold(f64::INFINITY, f64::min);
    }
    let room = |pair: &[usize]| {
        let (a, b) = (&strip.marks[pair[0]], &strip.marks[pair[1]]);
        let apart = (b.at_mm - a.at_mm) / stretch - NUMERAL_CLEARANCE;
        if horizontal { apart / ((unit_width(&a.label) + unit_width(&b.label)) / 2.0) } else { apart - UNDERLINE_ROOM }
    };
    shown.windows(2).map(room).fold(f64::INFINITY, f64::min)
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
    let number = match strip.marks.first().filter(|_| numerals.shown.first() == Some(&0)) {
        Some(mark) if frame.along.is_horizontal() => NUMERAL_GAP + numerals.depth(&mark.label) + NUMERAL_GAP / 2.0,
        Some(mark) => NUMERAL_GAP + numerals.width(&mark.label) + NUMERAL_GAP / 2.0,
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

fn draw_numerals(drawing: &mut Drawing, strip: &Strip, frame: &Frame, numerals: &Numerals) {
    let v = EDGE_RIM + numerals.tick + NUMERAL_GAP;
    for index in &numerals.shown {
        let mark = &strip.marks[*index];
        let tape = strip.tapes.get(*index);
        let u = tape.map_or(mark.at_mm, |tape| (tape.from_mm + tape.to_mm) / 2.0);
        // A number on the line where the ends meet would be cut in two.
        let beside_cut = strip.around.is_some() && *index == 0;
        let half = if frame.along.is_horizontal() { numerals.width(&mark.label) / 2.0 } else { numerals.cap / 2.0 };
        let u = if beside_cut { u + half + NUMERAL_GAP } else { u };
        let at = frame.point(u, v);
        let (anchor, baseline) = match frame.ticks {
            Screen::Up if tape.is_some() => (Anchor::Middle, at + (0.0, numerals.cap * (1.0 + heads(&mark.label)))),
            Screen::Up => (Anchor::Middle, at + (0.0, numerals.cap)),
            Screen::Down if tape.is_some() => (Anchor::Middle, at - (0.0, numerals.cap * TAILS)),
            Screen::Down => (Anchor::Middle, at - (0.0, UNDERLINE_ROOM)),
            Screen::Left => (Anchor::Start, at + (0.0, numerals.cap / 2.0)),
            Screen::Right => (Anchor::End, at + (0.0, numerals.cap / 2.0)),
        };
        let text =
            Text::new(mark.label.clone(), baseline, anchor, numerals.cap, Weight::Bold).read_from(numerals.distance);
        if reads_upside_down(&mark.label) {
            let y = text.origin.y + UNDERLINE_ROOM - UNDERLINE_WIDTH;
            let inset = text.width() * 0.08;
            let turned = Affine::rotate_about(frame.tilt(u), at);
            let from = turned * Point::new(text.origin.x + inset, y);
            let to = turned * Point::new(text.origin.x + text.width() - inset, y);
            drawing.print(Shape::line(from, to, UNDERLINE_WIDTH));
        }
        drawing.print(frame.tilted(text, u, v));
    }
}

/// Whether a number stood on its head is another number, as 6 and 9 are.
fn reads_upside_down(label: &str) -> bool {
    label.chars().all(|c| matches!(c, '0' | '1' | '6' | '8' | '9')) && label.contains(['6', '9'])
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
