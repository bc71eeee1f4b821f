//! What lies beyond a limit: hatched, with NEVER PAST 7 large across it. Ticks stay clear of the hatch, and whatever is read
//! on it stands on white. Knows no sticking and no names.

use kurbo::{Point, Rect, Vec2};

use super::lie::{BACK_RIM, EDGE_RIM, Frame};
use super::numerals::{Numeral, Numerals};
use super::{NoGo, Strip};
use crate::cards::parts::flow::LINE_PITCH;
use crate::cards::parts::frame::MUST_CAP;
use crate::drawing::legibility::{CARD_DISTANCE, WANTED_ARC_MINUTES, cap_height};
use crate::drawing::shape::hatch;
use crate::drawing::{Anchor, Drawing, Shape, Text, TypeSize, Weight, font};
use crate::length::Length;

const LIMIT_WIDTH: f64 = 0.9;
const PITCH: f64 = 1.7;
const LINE_WIDTH: f64 = 0.25;
/// Between the ticks and the hatch.
const TICK_CLEAR: f64 = 0.6;
/// Beyond the last mark the hatch begins this far from the pointer's edge, so that no end of it is taken for a mark.
const EDGE_CLEAR: f64 = 2.2;
/// White around what stands on the hatch.
const PLATE: f64 = 0.7;
/// Hatch that shows before and after the words.
const SHOWN: f64 = 2.2;
/// A capital of the words where there is room for any.
const CAP_MOST: f64 = 5.0;
/// Words stand between two numbers if their capitals are this high there; else beyond the end.
const CAP_BETWEEN: f64 = 3.6;
/// No line of a hatch on a curved strip is longer: it is straight, and the plates beside it are not.
const STRAIGHT: f64 = 4.0;

/// Every stretch beyond a limit of a strip, with its words placed.
pub(super) struct Never<'a> {
    zones: Vec<Zone<'a>>,
    /// How far the hatch reaches beyond the lowest and the highest mark; 0 where the words stand between the marks.
    pub low: f64,
    pub high: f64,
    /// Limits whose words found no room.
    pub unsaid: Vec<&'a NoGo>,
}

struct Zone<'a> {
    zone: &'a NoGo,
    /// Along the strip, rising, with what lies beyond the last mark.
    from: f64,
    to: f64,
    /// Up to which place from the limit there are marks, numbers and lanes beside the hatch.
    marked_to: f64,
    words: Option<Placed>,
}

struct Placed {
    words: Words,
    /// The middle of the words.
    at: Point,
}

/// A few short lines, measured.
#[derive(Clone)]
struct Words {
    lines: Vec<String>,
    cap: f64,
    /// They read along the strip rather than upright for the reader.
    turned: bool,
    distance: Length,
    /// What they take along the strip and across it.
    along: f64,
    across: f64,
}

/// Where the words of a limit may stand.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Room {
    /// Between two numbers, or beyond the last mark.
    Beyond,
    /// Only between two numbers.
    Between,
}

/// What is taken up beyond the marks at either end.
pub(super) struct Taken {
    pub low: f64,
    pub high: f64,
    /// Where the lanes begin, across the strip.
    pub lanes_from: f64,
}

impl<'a> Never<'a> {
    pub fn new(strip: &'a Strip, numerals: &Numerals, taken: &Taken, room: Room) -> Never<'a> {
        let mut never = Never { zones: Vec::new(), low: 0.0, high: 0.0, unsaid: Vec::new() };
        for zone in &strip.no_go {
            let room = if strip.around.is_some() { Room::Between } else { room };
            let placed = placed(strip, zone, numerals, taken, room);
            let beyond = if zone.above { placed.to - strip.span_mm() } else { -placed.from };
            let reach = if zone.above { &mut never.high } else { &mut never.low };
            *reach = reach.max(beyond);
            if placed.words.is_none() {
                never.unsaid.push(zone);
            }
            never.zones.push(placed);
        }
        never
    }

    pub fn draw(&self, drawing: &mut Drawing, strip: &Strip, frame: &Frame, numerals: &Numerals, taken: &Taken) {
        for zone in &self.zones {
            let tick = EDGE_RIM + numerals.tick;
            let limit = if zone.zone.above { zone.zone.from_mm } else { zone.zone.to_mm };
            let white = zone.white(strip, frame, numerals, taken);
            let steps = |line: (Point, Point)| if strip.arc.is_some() { in_steps(line) } else { vec![line] };
            let area = Rect::new(zone.from, EDGE_CLEAR, zone.to, frame.width - BACK_RIM);
            for line in hatch(area, PITCH).into_iter().flat_map(steps) {
                for (from, to) in outside(line, &white) {
                    drawing.print(Shape::line(frame.point(from.x, from.y), frame.point(to.x, to.y), LINE_WIDTH));
                }
            }
            drawing.print(frame.line(limit, (EDGE_RIM, tick), LIMIT_WIDTH));
            let across = (Point::new(limit, tick + TICK_CLEAR), Point::new(limit, taken.lanes_from));
            let plates: Vec<Rect> = plates(strip, numerals).collect();
            for (from, to) in outside(across, &plates) {
                drawing.print(frame.line(limit, (from.y, to.y), LIMIT_WIDTH));
            }
            if let Some(placed) = &zone.words {
                placed.draw(drawing, frame);
            }
        }
    }
}

impl Zone<'_> {
    /// What the hatch leaves white.
    fn white(&self, strip: &Strip, frame: &Frame, numerals: &Numerals, taken: &Taken) -> Vec<Rect> {
        let (from, to) = if self.zone.above { (self.from, self.marked_to) } else { (self.marked_to, self.to) };
        let ticks = Rect::new(from, 0.0, to, EDGE_RIM + numerals.tick + TICK_CLEAR);
        // The first letter of a lane's words may reach out of its own width.
        let lanes = Rect::new(from - PLATE, taken.lanes_from, to + PLATE, frame.width);
        let words = self.words.as_ref().map(|placed| placed.area(strip.stretch()).inflate(PLATE, PLATE));
        plates(strip, numerals).chain([ticks, lanes]).chain(words).collect()
    }
}

/// White around every number.
fn plates<'a>(strip: &'a Strip, numerals: &'a Numerals) -> impl Iterator<Item = Rect> + 'a {
    numerals.shown.iter().map(|numeral| plate(strip, numerals, numeral))
}

fn plate(strip: &Strip, numerals: &Numerals, numeral: &Numeral) -> Rect {
    numerals.area(strip, numeral).inflate(PLATE, PLATE)
}

/// Where the words of a limit stand: in the longest room between two numbers beyond it, or beyond the last mark.
fn placed<'a>(strip: &Strip, zone: &'a NoGo, numerals: &Numerals, taken: &Taken, room: Room) -> Zone<'a> {
    let tick = EDGE_RIM + numerals.tick + TICK_CLEAR;
    let stretch = strip.stretch();
    let (room_from, room_to) = longest_room(strip, zone, numerals);
    let across = taken.lanes_from - tick - PLATE;
    let between = Words::fitted(strip, zone, (room_to - room_from - 2.0 * PLATE) / stretch, across)
        .filter(|words| words.cap >= CAP_BETWEEN || room == Room::Between);
    let (mut from, mut to) = (zone.from_mm, zone.to_mm);
    let marked_to = if zone.above { strip.span_mm() + taken.high } else { -taken.low };
    if let Some(words) = between {
        let at = Point::new((room_from + room_to) / 2.0, (tick + taken.lanes_from) / 2.0);
        return Zone { zone, from, to, marked_to, words: Some(Placed { words, at }) };
    }
    let (near, far) = (EDGE_CLEAR + PLATE, strip.width_mm - BACK_RIM - PLATE);
    let beyond = Words::fitted(strip, zone, f64::INFINITY, far - near).filter(|_| room == Room::Beyond);
    let words = beyond.map(|words| {
        let length = words.along * stretch + 2.0 * SHOWN;
        let middle = if zone.above { marked_to + length / 2.0 } else { marked_to - length / 2.0 };
        if zone.above {
            to = marked_to + length;
        } else {
            from = marked_to - length;
        }
        Placed { words, at: Point::new(middle, (near + far) / 2.0) }
    });
    Zone { zone, from, to, marked_to, words }
}

/// The longest stretch beyond a limit that has no number on it.
fn longest_room(strip: &Strip, zone: &NoGo, numerals: &Numerals) -> (f64, f64) {
    let mut rooms = Vec::new();
    let mut from = zone.from_mm;
    for plate in plates(strip, numerals).filter(|plate| plate.x1 > zone.from_mm && plate.x0 < zone.to_mm) {
        rooms.push((from, plate.x0));
        from = from.max(plate.x1);
    }
    rooms.push((from, zone.to_mm));
    rooms.into_iter().max_by(|a, b| (a.1 - a.0).total_cmp(&(b.1 - b.0))).unwrap_or_default()
}

impl Words {
    /// The words of a limit as large as they become in this room, upright for the reader if they can be.
    fn fitted(strip: &Strip, zone: &NoGo, along: f64, across: f64) -> Option<Words> {
        let distance = reading_distance(strip);
        let least = cap_height(distance, WANTED_ARC_MINUTES).to_mm().max(MUST_CAP);
        let smallest = TypeSize { cap: least, distance };
        let said = zone.words.printed.as_str();
        let splits = [said.splitn(2, ' ').map(str::to_owned).collect::<Vec<_>>(), vec![said.to_owned()]];
        let horizontal = strip.view.along.is_horizontal();
        let ways: &[bool] = if horizontal { &[false] } else { &[false, true] };
        let of = |turned: bool| {
            let tried =
                splits.iter().map(|lines| Words::largest(lines, horizontal || turned, (along, across), smallest));
            let fits = tried.map(|words| Words { turned, distance, ..words }).filter(|words| words.cap >= least);
            fits.max_by(|a, b| a.cap.total_cmp(&b.cap).then(b.along.total_cmp(&a.along)))
        };
        ways.iter().find_map(|turned| of(*turned))
    }

    /// Of lines that are wide enough for their fractions in type of the smallest size.
    fn largest(lines: &[String], reads_along: bool, (along, across): (f64, f64), smallest: TypeSize) -> Words {
        let (length, depth) = if reads_along { (along, across) } else { (across, along) };
        let caps = |line: &String| smallest.width(line, Weight::Bold) / smallest.cap;
        let widest = lines.iter().map(caps).fold(0.0, f64::max);
        let pitches = 1.0 + (lines.len().saturating_sub(1)) as f64 * LINE_PITCH;
        // What hangs below the last line, left free above the first too.
        let tails = lines.last().map_or(0.0, |line| font::past_capitals(line, Weight::Bold).1);
        let cap = CAP_MOST.min(length / widest).min(depth / (pitches + 2.0 * tails)).max(0.0);
        let (length, depth) = (cap * widest, cap * (pitches + 2.0 * tails));
        let (along, across) = if reads_along { (length, depth) } else { (depth, length) };
        Words { lines: lines.to_vec(), cap, turned: false, distance: CARD_DISTANCE, along, across }
    }
}

impl Placed {
    fn area(&self, stretch: f64) -> Rect {
        Rect::from_center_size(self.at, (self.words.along * stretch, self.words.across))
    }

    fn draw(&self, drawing: &mut Drawing, frame: &Frame) {
        let Words { lines, cap, turned, distance, .. } = &self.words;
        let middle = frame.point(self.at.x, self.at.y);
        let turn = if *turned { -std::f64::consts::FRAC_PI_2 } else { 0.0 } + frame.tilt(self.at.x);
        let pitch = cap * LINE_PITCH;
        let first = cap - (cap + pitch * (lines.len().saturating_sub(1)) as f64) / 2.0;
        for (index, line) in lines.iter().enumerate() {
            let baseline = middle + Vec2::new(0.0, first + pitch * index as f64);
            let text = Text::new(line.clone(), baseline, Anchor::Middle, *cap, Weight::Bold).read_from(*distance);
            drawing.print(text.turned_about(middle, turn));
        }
    }
}

/// Words are read no further away than a card is.
pub(super) fn reading_distance(strip: &Strip) -> Length {
    CARD_DISTANCE.min(Length::mm(strip.reading_distance_mm))
}

/// A line in pieces that are short beside the radius of any strip.
fn in_steps((from, to): (Point, Point)) -> Vec<(Point, Point)> {
    let steps = ((to - from).hypot() / STRAIGHT).ceil().max(1.0) as usize;
    let at = |step: usize| from.lerp(to, step as f64 / steps as f64);
    (0..steps).map(|step| (at(step), at(step + 1))).collect()
}

/// What of a line lies outside every one of some rectangles.
fn outside(line: (Point, Point), areas: &[Rect]) -> Vec<(Point, Point)> {
    let mut left = vec![line];
    for area in areas {
        left = left.into_iter().flat_map(|line| outside_of(line, *area)).collect();
    }
    left
}

fn outside_of((from, to): (Point, Point), area: Rect) -> Vec<(Point, Point)> {
    let along = to - from;
    let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
    for (start, step, low, high) in [(from.x, along.x, area.x0, area.x1), (from.y, along.y, area.y0, area.y1)] {
        if step == 0.0 {
            if start <= low || start >= high {
                return vec![(from, to)];
            }
            continue;
        }
        let (one, other) = ((low - start) / step, (high - start) / step);
        enters = enters.max(one.min(other));
        leaves = leaves.min(one.max(other));
    }
    if enters >= leaves {
        return vec![(from, to)];
    }
    let at = |share: f64| from.lerp(to, share);
    let before = (enters > 0.0).then(|| (from, at(enters)));
    let after = (leaves < 1.0).then(|| (at(leaves), to));
    before.into_iter().chain(after).collect()
}
