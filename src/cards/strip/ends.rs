//! The words beyond the marks of a strip: at its low end how to stick it, at its high end what it is.

use std::f64::consts::FRAC_PI_2;

use kurbo::{Affine, Point, Vec2};

use super::hatch::reading_distance;
use super::lie::{BACK_RIM, EDGE_RIM, Frame};
use super::{NoGo, Strip, tab};
use crate::cards::parts::flow::{self, Block, Line};
use crate::cards::parts::frame::{MUST_CAP, line_width};
use crate::cards::parts::label::{Edition, Label, legend_cap_mm};
use crate::cards::parts::view::Screen;
use crate::cards::parts::words::after_the;
use crate::drawing::legibility::{LEGEND_DISTANCE, WANTED_ARC_MINUTES, cap_height};
use crate::drawing::{Drawing, Text, Weight};

/// Widths at which words are tried; the one that makes the shortest strip is taken.
const WORD_WIDTHS: [f64; 12] = [18.0, 20.0, 22.0, 24.0, 26.0, 28.0, 31.0, 34.0, 38.0, 42.0, 48.0, 54.0];
/// A long name is wrapped to this width.
const NAME_WIDTH: f64 = 60.0;
/// A name with its side makes no strip longer for this width, in millimetres.
const SIDE_WITHIN: f64 = 18.0;
/// A capital of the control's name, where the strip is wide enough.
const NAME_CAP: f64 = 4.4;
/// Words that stand upright on an upright strip make it longer by this at most, a part of what they take when they are turned.
const UPRIGHT_MOST: f64 = 1.6;
/// Two heights that differ by less than this hold the same words.
const SETTLED: f64 = 1e-6;

/// What the strip is, for whoever finds it loose in the bilge. `unsaid` are the limits that do not stand on its hatch.
pub(super) fn identity(strip: &Strip, label: &Label, unsaid: &[&NoGo], inner: f64) -> Block {
    let is_turned = !strip.view.along.is_horizontal();
    let words = |width: f64| identity_words(strip, label, unsaid, is_turned, (NAME_WIDTH, width));
    let turned = fitted(strip, inner, |height| Some(flow::tightest(words, height, &WORD_WIDTHS))).unwrap_or_default();
    let upright = || {
        let words = identity_words(strip, label, unsaid, false, (inner, inner));
        stood_up(strip, flow::columns(&words, f64::INFINITY), inner)
    };
    upright().filter(|block| block.width <= turned.width * UPRIGHT_MOST).unwrap_or(turned)
}

/// How to stick the strip, if that is told.
pub(super) fn directions(strip: &Strip, inner: f64) -> Option<Block> {
    let turned = fitted(strip, inner, |height| tab::beside(strip, height, &WORD_WIDTHS, strip.arc.is_none()))?;
    let upright = || stood_up(strip, tab::upright(strip, inner)?, inner);
    Some(upright().filter(|block| block.width <= turned.width * UPRIGHT_MOST).unwrap_or(turned))
}

/// A block that stands upright on an upright strip, as [`draw_block`] turns it; `None` if it is too wide for the strip, or that lies
/// level or bends.
fn stood_up(strip: &Strip, block: Block, inner: f64) -> Option<Block> {
    let widest = block.texts.iter().map(|text| text.origin.x + text.width()).fold(0.0, f64::max);
    if strip.view.along.is_horizontal() || strip.arc.is_some() || widest > inner {
        return None;
    }
    let turned = |text: Text| {
        let origin = Point::new(block.height - text.origin.y, text.origin.x);
        Text { origin, turn: text.turn + FRAC_PI_2, ..text }
    };
    Some(Block { width: block.height, height: widest, texts: block.texts.into_iter().map(turned).collect() })
}

/// Words in a block that a strip of this inner width holds, less what its curve takes from each column.
fn fitted(strip: &Strip, inner: f64, of_height: impl Fn(f64) -> Option<Block>) -> Option<Block> {
    let mut height = inner;
    loop {
        let block = of_height(height)?;
        let Some(bend) = strip.arc else { return Some(block) };
        let widest = columns(&block).iter().map(|column| column.width).fold(0.0, f64::max);
        let left = inner - bend.rise(widest, strip.width_mm);
        if left >= height - SETTLED || left <= 0.0 {
            return Some(block);
        }
        height = left;
    }
}

/// The columns of a block, each with its place along it.
fn columns(block: &Block) -> Vec<Column<'_>> {
    let mut columns: Vec<Column> = Vec::new();
    for text in &block.texts {
        let from = text.origin.x;
        if columns.last().is_none_or(|column| column.from != from) {
            columns.push(Column { from, width: 0.0, texts: Vec::new() });
        }
        if let Some(column) = columns.last_mut() {
            column.width = column.width.max(text.width());
            column.texts.push(text);
        }
    }
    columns
}

struct Column<'a> {
    from: f64,
    width: f64,
    texts: Vec<&'a Text>,
}

/// A block from `u` upward; on an arc each column turns with the strip.
pub(super) fn draw_block(drawing: &mut Drawing, strip: &Strip, frame: &Frame, block: &Block, u: f64) {
    let inner = frame.width - EDGE_RIM - BACK_RIM;
    let columns = columns(block);
    let parts = match strip.arc {
        None => vec![Column { from: 0.0, width: block.width, texts: block.texts.iter().collect() }],
        Some(_) => columns,
    };
    for Column { from, width, texts } in parts {
        let stretch = strip.stretch();
        let (u, length) = (u + from * stretch, width * stretch);
        let to_drawing = frame.block(u, length);
        // What the curve takes, it takes at the outer edge.
        let rise = strip.arc.map_or(0.0, |bend| bend.rise(width, strip.width_mm));
        let top = if frame.outer_edge_on_top() { rise } else { 0.0 };
        let into = Vec2::new((length - width) / 2.0 - from, top + (inner - rise - block.height).max(0.0) / 2.0);
        for text in texts {
            let mut text = text.clone();
            text.origin = to_drawing * Affine::translate(into) * text.origin;
            if !frame.along.is_horizontal() {
                text.turn -= FRAC_PI_2;
            }
            text.turn += frame.tilt(u + length / 2.0);
            drawing.print(text);
        }
    }
}

/// The same as words, the names of one width and the rest of another; `is_turned` if they read upward.
pub(super) fn identity_words(
    strip: &Strip,
    label: &Label,
    unsaid: &[&NoGo],
    is_turned: bool,
    (names, width): (f64, f64),
) -> Vec<Vec<Line>> {
    let distance = reading_distance(strip);
    let wanted = cap_height(distance, WANTED_ARC_MINUTES).to_mm();
    let big = |text: &str, cap: f64| flow::wrapped(text, cap, Weight::Bold, distance, names);
    let name_cap = NAME_CAP.max(wanted);
    // A side stands beside its name where both are one line.
    let joined = strip.side.map(|side| big(&format!("{} {}", strip.control, side.word()), name_cap));
    let joined = joined.filter(|lines| matches!(lines.as_slice(), [one] if line_width(one) <= width.max(SIDE_WITHIN)));
    let apart =
        || std::iter::once(big(&strip.control, name_cap)).chain(strip.side.map(|side| big(side.word(), wanted)));
    let mut paragraphs: Vec<Vec<Line>> = joined.map_or_else(|| apart().collect(), |line| vec![line]);
    if let Some(unit) = &strip.unit {
        paragraphs.push(big(unit, wanted));
    }
    paragraphs.extend(growth_words(strip, is_turned).iter().map(|words| big(words, wanted)));
    let must = |text: &str| flow::wrapped(text, wanted.max(MUST_CAP), Weight::Bold, distance, width);
    paragraphs.extend(unsaid.iter().map(|zone| must(&zone.words.printed)));
    paragraphs.extend(strip.ram.iter().map(|limit| must(&format!("Ram {}", limit.printed))));
    let reads = strip.pointer.iter().map(|pointer| format!("Read at the {}", after_the(pointer)));
    let when = strip.read_when.iter().map(|when| format!("Read when {when}"));
    let reading = reads.chain(when).collect::<Vec<_>>().join(". ");
    let mut small = Vec::new();
    match &label.edition {
        Edition::Draft => {
            paragraphs.push(big("DRAFT", wanted));
            small.push(label.stamp.clone());
        }
        released => small.push(format!("{} · {}", label.stamp, released.words())),
    }
    if !label.boat.is_empty() {
        small.push(label.boat.clone());
    }
    small.extend(Some(reading).filter(|reading| !reading.is_empty()));
    let whys = strip.no_go.iter().map(|zone| &zone.words).chain(&strip.ram).filter_map(|limit| limit.why.as_deref());
    small.extend(whys.map(|why| format!("{}.", capitalised(why))));
    small.extend(strip.ram.iter().map(|_| "Ask a rigger before changing it.".to_owned()));
    small.extend(strip.gauge.map(str::to_owned));
    if !strip.no_go.is_empty() || strip.ram.is_some() {
        small.push("Keep within the makers' working limits.".to_owned());
    }
    if let Some([one, other]) = &strip.ends {
        small.push(format!("{one} or {other} from the centre, as the tack says"));
    }
    if let Some(purchase) = strip.purchase {
        small.push(format!("Marks are on the tail, {}:1", crate::tuning::mark::print_decimal(purchase)));
    }
    small.extend(strip.lanes.iter().map(|lane| lane.explains.clone()));
    small.extend(strip.place.as_deref().map(capitalised));
    let wrapped = |text: &String| flow::wrapped(text, legend_cap_mm(), Weight::Regular, LEGEND_DISTANCE, width);
    paragraphs.extend(small.iter().map(wrapped));
    paragraphs
}

/// An arrow within words, that points this way once they are in their place.
pub(super) fn arrow(way: Screen, is_turned: bool) -> &'static str {
    match (way, is_turned) {
        (Screen::Right, false) | (Screen::Up, true) => "→",
        (Screen::Left, false) | (Screen::Down, true) => "←",
        (Screen::Up, false) | (Screen::Left, true) => "↑",
        (Screen::Down, false) | (Screen::Right, true) => "↓",
    }
}

/// What a higher number does, and which way that is: `→ TIGHTER`.
pub(super) fn growth_words(strip: &Strip, is_turned: bool) -> Option<String> {
    let growth = arrow(strip.view.along, is_turned);
    strip.higher_is.as_ref().map(|higher| format!("{growth} {}", higher.to_uppercase()))
}

/// What the strip is, in small type along its back edge, from the most words to the least: for one whose label is a sticker of its own.
pub(super) fn back_lines(strip: &Strip, label: &Label) -> Vec<String> {
    let side = strip.side.map(|side| format!(" {}", side.word())).unwrap_or_default();
    let name = format!("{}{side}", strip.control);
    let is_turned = !strip.view.along.is_horizontal();
    let growth = growth_words(strip, is_turned);
    let bow = strip.view.bow.map(|bow| format!("{} BOW", arrow(bow, is_turned)));
    let edition = label.edition.words();
    let boat = Some(label.boat.clone()).filter(|boat| !boat.is_empty());
    let line = |parts: [Option<&String>; 6]| parts.into_iter().flatten().cloned().collect::<Vec<_>>().join(" · ");
    vec![
        line([Some(&name), growth.as_ref(), bow.as_ref(), Some(&label.stamp), boat.as_ref(), Some(&edition)]),
        line([Some(&name), growth.as_ref(), None, Some(&label.stamp), None, Some(&edition)]),
        line([Some(&name), None, None, Some(&label.stamp), None, None]),
    ]
}

/// As the beginning of a sentence.
fn capitalised(text: &str) -> String {
    let mut characters = text.chars();
    characters.next().map(|first| first.to_uppercase().chain(characters).collect()).unwrap_or_default()
}
