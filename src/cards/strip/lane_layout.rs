//! The looks of what runs beside the marks: one row or column of small words each, thinned where they would touch.

use super::lie::{BACK_RIM, Frame};
use super::{Lane, Strip};
use crate::cards::parts::flow::Line;
use crate::cards::parts::frame::{good_cap_mm, line_width};
use crate::cards::parts::label::legend_cap_mm;
use crate::cards::parts::view::Screen;
use crate::drawing::legibility::{CARD_DISTANCE, LEGEND_DISTANCE};
use crate::drawing::{Anchor, Drawing, Text, Weight, font};
use crate::wrong::Wrong;

/// Between a lane and what lies before it, millimetres: rows under each other, words beside each other.
const ROW_GAP: f64 = 1.5;
const WORD_GAP: f64 = 3.0;
/// More between rows on a curve, where words lean towards those under them.
const LEANING: f64 = 0.5;
/// Between numbers and the small name under them.
const NAME_GAP: f64 = 0.9;
/// Between the tails or the accents of words and what lies beside them, a line or other words.
const CLEAR: f64 = 0.4;
/// How far the ends of that name may be off the curve of a strip.
const NAME_RISE: f64 = 0.4;
/// Between the last lane and the black corner that points at the datum line.
const EDGE_GAP: f64 = 0.8;
/// Between a lane's title and its first label, where they stand beside each other: `J1 6` is not 16.
const TITLE_GAP: f64 = 3.0;
/// Between two labels of a lane.
const LABEL_GAP: f64 = 1.2;

/// Every lane of a strip, measured.
pub(super) struct Lanes {
    /// For each lane how deep it is across the strip, gap included.
    depths: Vec<f64>,
    /// Before each lane.
    gap: f64,
    /// For each lane the labels that are printed.
    kept: Vec<Vec<usize>>,
    /// The row in which a strip without a label at its end says what it is.
    name: Option<Line>,
    /// Room below the datum for the lanes' titles.
    pub title_room: f64,
    /// Room above the highest mark for what sticks out of the lanes' labels.
    pub end_room: f64,
}

impl Lanes {
    /// Those of a strip that has words beyond its marks, if they stay on it.
    pub fn new(strip: &Strip) -> Result<Lanes, Wrong> {
        if strip.around.is_none() {
            return Ok(Lanes::named(strip, None));
        }
        let name = back_line(strip.title());
        if line_width(&name) > strip.span_mm() {
            let wrong = format!("its name is {:.0} mm long, longer than once around", line_width(&name));
            return Err(Wrong::new(wrong, "give the control a shorter `name`"));
        }
        Ok(Lanes::named(strip, Some(name)))
    }

    /// Those of a strip that has no words beyond its marks: along its back edge stands the first of `names` that is short
    /// enough. `None` if none is.
    pub fn with_name(strip: &Strip, names: Vec<String>) -> Option<Lanes> {
        // A straight line of words leaves a curve at its ends.
        let is_flat = |width: f64| strip.arc.is_none_or(|bend| bend.rise(width, strip.width_mm) <= NAME_RISE);
        let most = strip.span_mm() / strip.stretch();
        let fits = |name: &Line| line_width(name) <= most && is_flat(line_width(name));
        let name = names.into_iter().map(back_line).find(fits)?;
        Some(Lanes::named(strip, Some(name)))
    }

    fn named(strip: &Strip, name: Option<Line>) -> Lanes {
        let horizontal = strip.view.along.is_horizontal();
        let gap = gap(strip);
        let depth = |lane: &Lane| {
            let across = if horizontal { good_cap_mm() } else { words(lane).map(width).fold(0.0, f64::max) };
            across + gap
        };
        let title_room = |lane: &Lane| {
            let first = lane.labels.first().map_or(0.0, |label| half(&label.text, horizontal));
            if lane.title.is_empty() {
                first
            } else {
                first + title_gap(horizontal) + 2.0 * half(&lane.title, horizontal)
            }
        };
        let end_room = |lane: &Lane| {
            let ends = lane.labels.iter().map(|label| label.at_mm + half(&label.text, horizontal) * strip.stretch());
            ends.fold(0.0, f64::max) - strip.span_mm()
        };
        Lanes {
            depths: strip.lanes.iter().map(depth).collect(),
            gap,
            kept: strip.lanes.iter().map(|lane| thinned(lane, horizontal, strip.stretch())).collect(),
            name,
            title_room: strip.lanes.iter().map(title_room).fold(0.0, f64::max) * strip.stretch(),
            end_room: strip.lanes.iter().map(end_room).fold(0.0, f64::max),
        }
    }

    /// All lanes together across the strip.
    pub fn depth(&self) -> f64 {
        let clear_of_flag = if self.depths.is_empty() { 0.0 } else { EDGE_GAP };
        let name_gap = if self.depths.is_empty() { NAME_GAP } else { ROW_GAP };
        clear_of_flag + self.depths.iter().sum::<f64>() + self.name.as_ref().map_or(0.0, |name| name.cap + name_gap)
    }

    /// How far its name reaches out of the lanes, towards the marks: with tails, where the back edge is above the marks or at
    /// their left, else with accents; and with its ends, since a straight name leaves a curve.
    pub fn hang(&self, strip: &Strip) -> f64 {
        let Some(name) = self.name.as_ref().filter(|_| self.depths.is_empty()) else { return 0.0 };
        let (over, under) = font::past_capitals(&name.text, name.weight);
        let letters = name.cap * if matches!(strip.view.ticks, Screen::Down | Screen::Right) { under } else { over };
        let rise = strip.arc.map_or(0.0, |bend| bend.rise(line_width(name), strip.width_mm));
        (letters + rise + CLEAR - NAME_GAP).max(0.0)
    }

    pub fn draw(&self, drawing: &mut Drawing, strip: &Strip, frame: &Frame) {
        let horizontal = frame.along.is_horizontal();
        let mut v = frame.width - BACK_RIM - self.depth();
        for ((lane, depth), kept) in strip.lanes.iter().zip(&self.depths).zip(&self.kept) {
            v += self.gap;
            for label in kept.iter().filter_map(|index| lane.labels.get(*index)) {
                draw_word(drawing, frame, &label.text, label.at_mm, v, Weight::Regular);
            }
            let stretch = strip.stretch();
            let first = lane.labels.first().map_or(0.0, |label| half(&label.text, horizontal) - label.at_mm / stretch);
            let u = -(first + title_gap(horizontal) + half(&lane.title, horizontal)) * stretch;
            draw_word(drawing, frame, &lane.title, u, v, Weight::Bold);
            v += depth - self.gap;
        }
        if let Some(name) = &self.name {
            self.draw_name(drawing, frame, name);
        }
    }

    /// Along the back edge, in the middle: where the ends meet there is no room for it.
    fn draw_name(&self, drawing: &mut Drawing, frame: &Frame, name: &Line) {
        let middle = frame.point(frame.span / 2.0, frame.width - BACK_RIM);
        let into = match frame.ticks {
            Screen::Up | Screen::Left => 0.0,
            Screen::Down | Screen::Right => name.cap,
        };
        let text = if frame.along.is_horizontal() {
            Text::new(&name.text, (middle.x, middle.y + into), Anchor::Middle, name.cap, name.weight)
        } else {
            let at = (middle.x + into, middle.y);
            Text::new(&name.text, at, Anchor::Middle, name.cap, name.weight)
                .turned_about(at, -std::f64::consts::FRAC_PI_2)
        };
        drawing.print(frame.tilted(text.read_from(name.distance), frame.span / 2.0, frame.width - BACK_RIM));
    }
}

/// The small words along the back edge.
fn back_line(text: String) -> Line {
    Line { text, cap: legend_cap_mm(), weight: Weight::Regular, distance: LEGEND_DISTANCE }
}

/// Everything that stands in a lane.
fn words(lane: &Lane) -> impl Iterator<Item = &str> {
    lane.labels.iter().map(|label| label.text.as_str()).chain([lane.title.as_str()])
}

fn gap(strip: &Strip) -> f64 {
    if !strip.view.along.is_horizontal() {
        return WORD_GAP;
    }
    let reaches = strip.lanes.iter().flat_map(words).map(|text| font::past_capitals(text, Weight::Bold));
    let (over, under) = reaches.fold((0.0, 0.0), |most, one| (f64::max(most.0, one.0), f64::max(most.1, one.1)));
    let leaning = if strip.arc.is_some() { LEANING } else { 0.0 };
    ROW_GAP.max((over + under) * good_cap_mm() + CLEAR) + leaning
}

fn title_gap(horizontal: bool) -> f64 {
    if horizontal { TITLE_GAP } else { LABEL_GAP }
}

/// Which labels are printed: each that clears those before it; what was measured goes before what is worked out between.
fn thinned(lane: &Lane, horizontal: bool, stretch: f64) -> Vec<usize> {
    let mut kept: Vec<usize> = Vec::new();
    for worked_out in [false, true] {
        for (index, label) in lane.labels.iter().enumerate().filter(|(_, label)| label.worked_out == worked_out) {
            let clears = |other: &usize| {
                let other = &lane.labels[*other];
                let room = (half(&label.text, horizontal) + half(&other.text, horizontal) + LABEL_GAP) * stretch;
                (label.at_mm - other.at_mm).abs() >= room
            };
            if kept.iter().all(clears) {
                kept.push(index);
            }
        }
    }
    kept.sort_unstable();
    kept
}

fn width(text: &str) -> f64 {
    line_width(&Line { text: text.to_owned(), cap: good_cap_mm(), weight: Weight::Bold, distance: CARD_DISTANCE })
}

/// Half of what a word takes along the strip.
fn half(text: &str, horizontal: bool) -> f64 {
    if horizontal { width(text) / 2.0 } else { good_cap_mm() * 0.65 }
}

fn draw_word(drawing: &mut Drawing, frame: &Frame, word: &str, u: f64, v: f64, weight: Weight) {
    if word.is_empty() {
        return;
    }
    let cap = good_cap_mm();
    let at = frame.point(u, v);
    let (anchor, dy) = match frame.ticks {
        Screen::Up => (Anchor::Middle, cap),
        Screen::Down => (Anchor::Middle, 0.0),
        Screen::Left => (Anchor::Start, cap / 2.0),
        Screen::Right => (Anchor::End, cap / 2.0),
    };
    let text = Text::new(word, (at.x, at.y + dy), anchor, cap, weight).read_from(CARD_DISTANCE);
    drawing.print(frame.tilted(text, u, v));
}
