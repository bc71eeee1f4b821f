//! The numbers beside the ticks of a strip: which marks have theirs, how large they are, and how they are drawn. Knows no
//! ticks, no lanes and no words.

use kurbo::{Affine, Point, Rect};

use super::lie::{BACK_RIM, EDGE_RIM, Frame};
use super::{NoGo, Strip};
use crate::cards::parts::view::Screen;
use crate::drawing::legibility::{LEAST_ARC_MINUTES, NUMERAL_ARC_MINUTES, WANTED_ARC_MINUTES, cap_height};
use crate::drawing::{Anchor, Colour, Drawing, Shape, Text, TypeSize, Weight, font};
use crate::length::Length;
use crate::limits;
use crate::tuning::Rank;
use crate::wrong::Wrong;

/// Length of the whole marks: never shorter, never longer.
const TICK_LEAST: f64 = 4.5;
const TICK_MOST: f64 = 9.0;
pub(super) const NUMERAL_GAP: f64 = 1.2;
/// Between the words of two neighbouring numerals.
const NUMERAL_CLEARANCE: f64 = 1.6;
/// Between two numerals in one line that are not both steps, in capital heights: nearer, 8 and 9 are read as 89.
const OFF_STEP_GAP: f64 = 0.6;
/// Room under a numeral for the line that tells 6 from 9.
pub(super) const UNDERLINE_ROOM: f64 = 1.4;
const UNDERLINE_WIDTH: f64 = 0.5;
/// Round letters and digits reach this far past the straight ones, in ems.
const OVERSHOOT_EM: f64 = 0.02;
/// What a word's tails hang below its baseline, in capital heights.
const TAILS: f64 = font::DESCENT_EM / font::CAP_HEIGHT_EM;
/// The contour of a hollow number, in capital heights.
const CONTOUR: f64 = 0.05;
/// At least this many numbers stand on a strip that has as many marks.
const NUMERALS_LEAST: usize = 3;
/// How many marks one numeral may stand for.
const NUMERAL_STEPS: [usize; 6] = [1, 2, 5, 10, 20, 50];

/// A number that stands beside the ticks.
#[derive(Clone, Debug)]
pub(super) struct Numeral {
    pub label: String,
    pub at_mm: f64,
    /// The place of its mark among the strip's; `None` for a limit between two marks.
    pub mark: Option<usize>,
    /// Beyond a limit: it is printed hollow, so that nobody takes it for one to set.
    past_limit: bool,
}

/// Which numbers stand beside the ticks, and how big.
pub(super) struct Numerals {
    /// In rising order.
    pub shown: Vec<Numeral>,
    pub cap: f64,
    pub tick: f64,
    distance: Length,
}

impl Numerals {
    /// The marks that carry their numbers, as places among the strip's.
    pub fn marks(&self) -> Vec<usize> {
        self.shown.iter().filter_map(|numeral| numeral.mark).collect()
    }

    pub fn width(&self, label: &str) -> f64 {
        TypeSize { cap: self.cap, distance: self.distance }.width(label, Weight::Bold)
    }

    /// From the top of a label to the foot of its tails or its underline.
    pub fn depth(&self, label: &str) -> f64 {
        self.cap * (1.0 + heads(label)) + UNDERLINE_ROOM.max(self.cap * TAILS)
    }

    /// Where along the strip the middle of a number stands.
    fn place(&self, strip: &Strip, numeral: &Numeral) -> f64 {
        if let Some(tape) = numeral.mark.and_then(|index| strip.tapes.get(index)) {
            return (tape.from_mm + tape.to_mm) / 2.0;
        }
        let half = if strip.view.along.is_horizontal() { self.width(&numeral.label) / 2.0 } else { self.cap / 2.0 };
        if numeral.is_beside_cut(strip) { numeral.at_mm + half + NUMERAL_GAP } else { numeral.at_mm }
    }

    /// What a number takes, with the line under it: along the strip and across it.
    pub fn area(&self, strip: &Strip, numeral: &Numeral) -> Rect {
        let label = &numeral.label;
        let (half, depth) = if strip.view.along.is_horizontal() {
            (self.width(label) / 2.0, self.depth(label))
        } else {
            let line = if reads_upside_down(label) { UNDERLINE_ROOM } else { 0.0 };
            let has_letters = label.chars().any(char::is_alphabetic);
            let beyond = if has_letters { self.cap * TAILS.max(heads(label)) } else { 0.0 };
            (self.cap / 2.0 + line.max(beyond), self.width(label))
        };
        let (u, v, half) = (self.place(strip, numeral), EDGE_RIM + self.tick + NUMERAL_GAP, half * strip.stretch());
        Rect::new(u - half, v, u + half, v + depth)
    }
}

/// The largest numerals that fit; every second, fifth … mark where each would be too small to read.
pub(super) fn numerals(strip: &Strip, lanes: f64) -> Result<Numerals, Wrong> {
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
        let stepped: Vec<Numeral> =
            whole.iter().skip(first).step_by(*step).map(|index| numeral_of(strip, *index)).collect();
        if stepped.len() < NUMERALS_LEAST.min(whole.len()) {
            break;
        }
        let alone = Fit::of(strip, &stepped, across);
        let shown = with_limits_and_asked(strip, stepped, wanted.min(good).min(alone.along).min(alone.across));
        let fit = Fit::of(strip, &shown, across);
        let cap = wanted.min(fit.along).min(fit.across);
        if best.as_ref().is_none_or(|best| cap > best.cap) {
            let per_cap = if horizontal { 1.0 } else { fit.widest };
            let lacking = if fit.along >= least { (least - fit.across).max(0.0) * per_cap } else { 0.0 };
            width_wanted = strip.width_mm + lacking;
            let used = if horizontal { cap * (1.0 + fit.beyond) + fit.under } else { cap * fit.widest };
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
            wider(width_wanted.ceil(), lanes > 0.0),
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

/// What to do about a strip that is too narrow. No width is advised that the book would refuse.
fn wider(wanted_mm: f64, has_lanes: bool) -> String {
    let most = limits::STRIP_WIDTH.end().to_mm();
    match has_lanes {
        _ if wanted_mm <= most => {
            format!("give the strip `width: {wanted_mm} mm` or more, or a shorter `reading_distance`")
        }
        true => format!(
            "it would have to be {wanted_mm} mm wide, and a strip is {most} mm at most: name fewer settings under `winds`, or \
             give their sails shorter names"
        ),
        false => format!(
            "it would have to be {wanted_mm} mm wide, and a strip is {most} mm at most: use shorter names, or a shorter \
             `reading_distance`"
        ),
    }
}

/// The number of one of a strip's marks.
fn numeral_of(strip: &Strip, index: usize) -> Numeral {
    let mark = &strip.marks[index];
    // A tape has a name, not a number.
    let past = |zone: &NoGo| if zone.above { mark.at_mm > zone.from_mm } else { mark.at_mm < zone.to_mm };
    let past_limit = strip.tapes.is_empty() && strip.no_go.iter().any(past);
    Numeral { label: mark.label.clone(), at_mm: mark.at_mm, mark: Some(index), past_limit }
}

/// The numbers of the limits, the one never to go above first; none on tapes, each of which has its name.
fn limits(strip: &Strip) -> Vec<Numeral> {
    let limit = |zone: &NoGo| {
        let at_mm = if zone.above { zone.from_mm } else { zone.to_mm };
        if let Some(label) = &zone.label {
            return Some(Numeral { label: label.clone(), at_mm, mark: None, past_limit: false });
        }
        let index = strip.marks.iter().position(|mark| mark.at_mm == at_mm && !mark.label.is_empty())?;
        // Around a tube the last mark falls on the first, which has the number.
        (strip.around.is_none() || index + 1 < strip.marks.len()).then(|| numeral_of(strip, index))
    };
    let limits: Vec<&NoGo> = strip.no_go.iter().filter(|_| strip.tapes.is_empty()).collect();
    let (above, below): (Vec<&NoGo>, Vec<&NoGo>) = limits.into_iter().partition(|zone| zone.above);
    above.into_iter().chain(below).filter_map(limit).collect()
}

/// Numbers at regular steps, with the limits and the readings that settings ask for among them. Where two would touch at
/// this capital height, a limit goes before the number of the datum, that before what is asked for, and that before the steps.
fn with_limits_and_asked(strip: &Strip, stepped: Vec<Numeral>, cap: f64) -> Vec<Numeral> {
    let steps: Vec<usize> = stepped.iter().filter_map(|numeral| numeral.mark).collect();
    let is_step = |numeral: &Numeral| numeral.mark.is_some_and(|mark| steps.contains(&mark));
    let clears = |numeral: &Numeral, kept: &[Numeral]| {
        kept.iter().all(|other| {
            let gap = if is_step(numeral) && is_step(other) { 0.0 } else { OFF_STEP_GAP };
            numeral.mark_differs(other) && cap_between(strip, numeral, other, gap) >= cap
        })
    };
    // A reading between the steps first: the steps can be counted.
    let asked = (0..strip.marks.len()).filter(|index| strip.marks[*index].asked);
    let (steps, between): (Vec<usize>, Vec<usize>) = asked.partition(|index| strip.marks[*index].rank == Rank::Whole);
    let asked = between.into_iter().chain(steps).map(|index| numeral_of(strip, index));
    let mut kept: Vec<Numeral> = Vec::new();
    let datum = stepped.first().filter(|first| first.mark == Some(0)).cloned();
    for numeral in limits(strip).into_iter().chain(datum).chain(asked) {
        if clears(&numeral, &kept) {
            kept.push(numeral);
        }
    }
    let stepped: Vec<Numeral> = stepped.into_iter().filter(|numeral| clears(numeral, &kept)).collect();
    kept.extend(stepped);
    kept.sort_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
    kept
}

impl Numeral {
    /// A number on the line where the ends meet would be cut in two: it stands beside it.
    fn is_beside_cut(&self, strip: &Strip) -> bool {
        strip.around.is_some() && self.mark == Some(0)
    }

    fn mark_differs(&self, other: &Numeral) -> bool {
        self.mark.is_none() || self.mark != other.mark
    }
}

/// What numbers beside each other leave for their height.
struct Fit {
    /// The capital height that clears along the strip.
    along: f64,
    /// The capital height that fits across it.
    across: f64,
    /// The width of the widest for a capital height of 1.
    widest: f64,
    /// What stands under and beyond the capitals, millimetres and capital heights.
    under: f64,
    beyond: f64,
}

impl Fit {
    fn of(strip: &Strip, shown: &[Numeral], room: f64) -> Fit {
        let horizontal = strip.view.along.is_horizontal();
        let widest = shown.iter().map(|numeral| unit_width(&numeral.label)).fold(0.0, f64::max);
        // Under a number stands its line; under a word hang its tails, and its tall letters stand above the capitals.
        let leaves_capitals = |label: &str| {
            let (above, below) = font::reach(label, Weight::Bold);
            above > font::CAP_HEIGHT_EM + OVERSHOOT_EM || below > OVERSHOOT_EM
        };
        let has_words = shown.iter().any(|numeral| !strip.tapes.is_empty() || leaves_capitals(&numeral.label));
        let (under, beyond) = if has_words {
            (0.0, TAILS + shown.iter().map(|numeral| heads(&numeral.label)).fold(0.0, f64::max))
        } else {
            (UNDERLINE_ROOM, 0.0)
        };
        let across = if horizontal { (room - under) / (1.0 + beyond) } else { room / widest.max(f64::MIN_POSITIVE) };
        Fit { along: room_along(strip, shown, horizontal), across, widest, under, beyond }
    }
}

/// How far a label's tall letters reach above its capitals, in capital heights.
fn heads(label: &str) -> f64 {
    font::past_capitals(label, Weight::Bold).0
}

/// Width of a label for a capital height of 1, with its fraction as large as it is beside the smallest numerals.
fn unit_width(label: &str) -> f64 {
    let (letters, fractions) = font::widths(label, Weight::Bold);
    (letters + fractions / font::FRACTION_DIGITS) / font::CAP_HEIGHT_EM
}

/// The capital height at which neighbouring numerals still clear each other.
fn room_along(strip: &Strip, shown: &[Numeral], horizontal: bool) -> f64 {
    if !strip.tapes.is_empty() {
        let stretch = strip.stretch();
        let room = |tape: &super::TapeBand| {
            let length = (tape.to_mm - tape.from_mm) / stretch - 2.0 * NUMERAL_CLEARANCE;
            if horizontal { length / unit_width(&tape.name) } else { length - UNDERLINE_ROOM }
        };
        return strip.tapes.iter().map(room).fold(f64::INFINITY, f64::min);
    }
    let rooms = shown.windows(2).map(|pair| cap_between(strip, &pair[0], &pair[1], 0.0));
    rooms.fold(f64::INFINITY, f64::min)
}

/// The capital height at which two numerals still clear each other, with so many capital heights between them if they
/// stand in one line.
fn cap_between(strip: &Strip, a: &Numeral, b: &Numeral, gap: f64) -> f64 {
    let apart = (b.at_mm - a.at_mm).abs() / strip.stretch() - NUMERAL_CLEARANCE;
    let horizontal = strip.view.along.is_horizontal();
    // What stands beside the cut is nearer to the other by half of itself and the gap.
    let beside = [a, b].into_iter().find(|numeral| numeral.is_beside_cut(strip));
    let (apart, nearer) = beside.map_or((apart, 0.0), |numeral| {
        let size = if horizontal { unit_width(&numeral.label) } else { 1.0 };
        (apart - NUMERAL_GAP, size / 2.0)
    });
    match horizontal {
        true => apart / ((unit_width(&a.label) + unit_width(&b.label)) / 2.0 + gap + nearer),
        false => (apart - UNDERLINE_ROOM) / (1.0 + nearer),
    }
}

/// The numbers, upright for the reader.
pub(super) fn draw_numerals(drawing: &mut Drawing, strip: &Strip, frame: &Frame, numerals: &Numerals) {
    let v = EDGE_RIM + numerals.tick + NUMERAL_GAP;
    for numeral in &numerals.shown {
        let tape = numeral.mark.and_then(|index| strip.tapes.get(index));
        let u = numerals.place(strip, numeral);
        let at = frame.point(u, v);
        let (anchor, baseline) = match frame.ticks {
            Screen::Up if tape.is_some() => (Anchor::Middle, at + (0.0, numerals.cap * (1.0 + heads(&numeral.label)))),
            Screen::Up => (Anchor::Middle, at + (0.0, numerals.cap)),
            Screen::Down if tape.is_some() => (Anchor::Middle, at - (0.0, numerals.cap * TAILS)),
            Screen::Down => (Anchor::Middle, at - (0.0, UNDERLINE_ROOM)),
            Screen::Left => (Anchor::Start, at + (0.0, numerals.cap / 2.0)),
            Screen::Right => (Anchor::End, at + (0.0, numerals.cap / 2.0)),
        };
        let text =
            Text::new(numeral.label.clone(), baseline, anchor, numerals.cap, Weight::Bold).read_from(numerals.distance);
        if reads_upside_down(&numeral.label) {
            let y = text.origin.y + UNDERLINE_ROOM - UNDERLINE_WIDTH;
            let inset = text.width() * 0.08;
            let turned = Affine::rotate_about(frame.tilt(u), at);
            let from = turned * Point::new(text.origin.x + inset, y);
            let to = turned * Point::new(text.origin.x + text.width() - inset, y);
            drawing.print(Shape::line(from, to, UNDERLINE_WIDTH));
        }
        let text = frame.tilted(text, u, v);
        if numeral.past_limit { draw_hollow(drawing, text) } else { drawing.print(text) }
    }
}

/// A number as its contour alone: white on a black line that is twice as wide as what is left of it.
fn draw_hollow(drawing: &mut Drawing, text: Text) {
    drawing.print(Shape::stroke(text.outlines(), 2.0 * CONTOUR * text.cap_height()));
    drawing.print(text.coloured(Colour::WHITE));
}

/// Whether a number stood on its head is another number, as 6 and 9 are.
fn reads_upside_down(label: &str) -> bool {
    label.chars().all(|c| matches!(c, '0' | '1' | '6' | '8' | '9')) && label.contains(['6', '9'])
}
