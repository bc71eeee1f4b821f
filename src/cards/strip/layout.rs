//! The looks of a strip: where ticks, numerals and words go. Every tick stands where its `at_mm` says.
//!
//! Positions are *u* along the strip and *v* across it; see [`Frame`].

use crate::wrong::Wrong;
use kurbo::{BezPath, Vec2};

use super::bend::Bent;
use super::hatch::{Never, Room, Taken};
use super::lane_layout::Lanes;
use super::lie::{BACK_RIM, CUT_WIDTH, EDGE_RIM, Frame};
use super::numerals::{NUMERAL_GAP, Numeral, Numerals, UNDERLINE_ROOM, draw_numerals, numerals};
use super::sticker::sticker;
use super::{Strip, ends};
use crate::cards::parts::flow::Block;
use crate::cards::parts::label::{Label, legend_cap_mm};
use crate::cards::parts::view::Screen;
use crate::drawing::legibility::LEGEND_DISTANCE;
use crate::drawing::{Anchor, Colour, Drawing, Shape, Text, Weight};
use crate::tuning::Rank;

/// Blank film at either end, for the tape that holds the strip while it is tried.
const STICKING_MARGIN: f64 = 5.0;
/// The words at an end of a strip in pieces take at most this part of the longest piece.
const WORDS_MOST: f64 = 0.6;
/// Between the marks and the words beside them.
const BLOCK_GAP: f64 = 3.0;
/// Between the last number and the name, which is as bold: nearer, the eye takes them together.
const NAME_GAP: f64 = 6.0;
const CUT_LATER_DASH: (f64, f64) = (2.0, 1.5);
/// Film that stays between what belongs to the marks and the cut of the tab.
const KEPT: f64 = 2.0;
/// Between that cut and the words of the tab.
const TAB_GAP: f64 = 2.0;
/// White between those words and the end.
const TAB_RIM: f64 = 2.5;
const DATUM_WIDTH: f64 = 0.35;
/// The small black corner that points at the datum line.
const FLAG: f64 = 1.8;
const FLAG_LEAST: f64 = 1.0;
/// A tick is at most this part of the distance to its neighbour.
const TICK_SHARE: f64 = 0.3;
const BOW_LENGTH: f64 = 9.0;
const BOW_HEAD: f64 = 3.2;

/// Draws a strip. Where the paper holds it whole only without the words at its ends, they become a sticker of their own; so
/// they do where they would fill a piece by themselves.
pub fn strip(strip: &Strip, label: &Label) -> Result<Drawing, Wrong> {
    let laid = Laid::new(strip, Some(label));
    let has_long_words = laid.as_ref().is_ok_and(|laid| laid.has_long_words(label));
    let whole = laid.and_then(|laid| laid.draw(label));
    let fits = |drawing: &Drawing| label.sizes.holds_measured(drawing.size);
    // What goes around a tube is cut at both ends of its marks, so its words would not stay on it either way.
    if strip.around.is_some() && !label.words_apart || whole.as_ref().is_ok_and(fits) {
        return whole;
    }
    // Words of a limit stand beyond the last mark where the page has room for that too.
    let bare = || [Room::Beyond, Room::Between].into_iter().filter_map(|room| bare(strip, label, room));
    if let Some(bare) = bare().find(fits) {
        return Ok(bare);
    }
    match whole {
        Ok(whole) if !has_long_words && !label.words_apart => Ok(whole),
        whole => bare().next().map_or(whole, Ok),
    }
}

/// The strip with its label beside it, if what it is has room along its back edge.
fn bare(strip: &Strip, label: &Label, room: Room) -> Option<Drawing> {
    let lanes = Lanes::with_name(strip, ends::back_lines(strip, label))?;
    let laid = Laid::with_lanes(strip, lanes, None, room).ok()?;
    let sticker = sticker(strip, label, &laid.never.unsaid);
    let drawing = laid.draw(label).ok()?;
    Some(Drawing { apart: Some(Box::new(sticker)), ..drawing })
}

/// Everything on a strip, measured.
struct Laid<'a> {
    strip: &'a Strip,
    lanes: Lanes,
    numerals: Numerals,
    never: Never<'a>,
    taken: Taken,
    words: Option<Beyond>,
    /// From the lowest mark to the strip's end, and from the highest.
    low: f64,
    high: f64,
}

/// The words beyond the marks.
struct Beyond {
    directions: Option<Block>,
    identity: Block,
}

impl<'a> Laid<'a> {
    /// With the words of this label beyond the marks.
    fn new(strip: &'a Strip, label: Option<&Label>) -> Result<Laid<'a>, Wrong> {
        Laid::with_lanes(strip, Lanes::new(strip)?, label, Room::Beyond)
    }

    fn with_lanes(strip: &'a Strip, lanes: Lanes, label: Option<&Label>, room: Room) -> Result<Laid<'a>, Wrong> {
        let numerals = numerals(strip, lanes.depth())?;
        let stretch = strip.stretch();
        let end_label = |numeral: Option<&Numeral>| {
            let half = |numeral: &Numeral| match strip.view.along.is_horizontal() {
                true => numerals.width(&numeral.label) / 2.0,
                false => numerals.cap / 2.0 + UNDERLINE_ROOM,
            };
            numeral.map_or(0.0, |numeral| half(numeral) * stretch)
        };
        // A tape is named in its middle, so nothing of it sticks out beyond its end.
        let high_label = if strip.tapes.is_empty() { end_label(numerals.shown.last()) } else { 0.0 };
        let taken = Taken {
            low: end_label(numerals.shown.first()).max(lanes.title_room).max(BLOCK_GAP),
            high: high_label.max(lanes.end_room),
            lanes_from: strip.width_mm - BACK_RIM - lanes.depth() - lanes.hang(strip),
        };
        let never = Never::new(strip, &numerals, &taken, room);
        let inner = strip.width_mm - EDGE_RIM - BACK_RIM;
        let words = label.map(|label| Beyond {
            directions: ends::directions(strip, inner),
            identity: ends::identity(strip, label, &never.unsaid, inner),
        });
        let mut laid = Laid { strip, lanes, numerals, never, taken, words, low: 0.0, high: 0.0 };
        laid.low = laid.kept_low()
            + laid.directions().map_or(STICKING_MARGIN, |block| KEPT + TAB_GAP + block.width * stretch + TAB_RIM);
        laid.high = laid.kept_high()
            + laid.identity().map_or(0.0, |block| laid.block_room(block))
            + laid.bow_room()
            + STICKING_MARGIN;
        Ok(laid)
    }

    /// Whether an end of it takes so much of the longest piece that no joint may be near enough.
    fn has_long_words(&self, label: &Label) -> bool {
        self.low.max(self.high) > label.sizes.longest_measured() * WORDS_MOST
    }

    fn directions(&self) -> Option<&Block> {
        self.words.as_ref().and_then(|words| words.directions.as_ref())
    }

    fn identity(&self) -> Option<&Block> {
        self.words.as_ref().map(|words| &words.identity)
    }

    fn block_room(&self, block: &Block) -> f64 {
        if block.width > 0.0 { BLOCK_GAP + block.width * self.strip.stretch() } else { 0.0 }
    }

    /// What is taken below the lowest mark by what belongs to the marks.
    fn kept_low(&self) -> f64 {
        self.taken.low.max(self.never.low)
    }

    /// The same above the highest mark, with the white before a name.
    fn kept_high(&self) -> f64 {
        let to_name = if self.words.is_some() { NAME_GAP - BLOCK_GAP } else { 0.0 };
        if self.never.high > 0.0 { self.never.high } else { (self.taken.high + to_name).max(BLOCK_GAP) }
    }

    /// The arrow is among the words, on the strip or on its label.
    fn bow_room(&self) -> f64 {
        let has_arrow = self.strip.view.bow.is_some() && self.words.is_some();
        if has_arrow { BLOCK_GAP + BOW_LENGTH * self.strip.stretch() } else { 0.0 }
    }

    fn frame(&self) -> Result<Frame, Wrong> {
        let (strip, low, high) = (self.strip, self.low, self.high);
        let bent = match strip.arc {
            Some(bend) => Some(Bent::new(bend, low + strip.span_mm() + high, strip.width_mm)?),
            None => None,
        };
        let (along, ticks) = (strip.view.along, strip.view.ticks);
        Ok(Frame { bent, along, ticks, width: strip.width_mm, low, span: strip.span_mm(), high })
    }

    fn draw(&self, label: &Label) -> Result<Drawing, Wrong> {
        let Laid { strip, lanes, numerals, never, taken, .. } = self;
        let frame = &self.frame()?;
        let title = format!("{}: {}", label.boat, strip.title());
        let description = format!("Deck scale, {} mm from the first mark to the last", strip.span_mm());
        let mut drawing = Drawing::new(frame.size(), title, description);
        label.lay_example(&mut drawing, frame.calm_area());
        draw_tapes(&mut drawing, strip, frame, numerals);
        never.draw(&mut drawing, strip, frame, numerals, taken);
        draw_ticks(&mut drawing, strip, frame, numerals);
        draw_datum(&mut drawing, strip, frame, numerals, lanes);
        draw_numerals(&mut drawing, strip, frame, numerals);
        lanes.draw(&mut drawing, strip, frame);
        if strip.around.is_some() {
            draw_meeting(&mut drawing, frame);
        }
        self.draw_words(&mut drawing, frame);
        drawing.cut(frame.outline());
        drawing.joints = super::joints::joints(strip, frame, &numerals.marks());
        drawing.called.clone_from(&label.stamp);
        drawing.sector = frame.sector();
        // They are laid from the datum, the lowest mark.
        drawing.from_far_end = matches!(strip.view.along, Screen::Left | Screen::Up);
        drawing.butts = strip.mirror;
        Ok(drawing)
    }

    fn draw_words(&self, drawing: &mut Drawing, frame: &Frame) {
        let (strip, stretch) = (self.strip, self.strip.stretch());
        let end = frame.span + self.high - STICKING_MARGIN;
        if let Some(block) = self.directions() {
            ends::draw_block(drawing, strip, frame, block, -self.low + TAB_RIM);
            // What goes around a tube is cut where its ends meet.
            if strip.around.is_none() {
                let at = -self.kept_low() - KEPT;
                drawing.cut(dashed(frame.line(at, (0.0, frame.width), CUT_WIDTH)));
            }
        }
        if let Some(block) = self.identity() {
            ends::draw_block(drawing, strip, frame, block, end - self.bow_room() - block.width * stretch);
        }
        if let Some(bow) = strip.view.bow.filter(|_| self.words.is_some()) {
            draw_bow(drawing, frame, bow, end - BOW_LENGTH * stretch / 2.0);
        }
    }
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
        drawing.cut(dashed(frame.line(u, (0.0, frame.width), CUT_WIDTH)));
    }
}

/// A line to cut along once the strip sticks.
pub(super) fn dashed(mut line: Shape) -> Shape {
    if let Shape::Stroke { dash, .. } = &mut line {
        *dash = Some(CUT_LATER_DASH);
    }
    line
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
