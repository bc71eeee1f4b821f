//! How to stick a strip, in numbered steps, on a tab that is cut off once it sticks. Knows no marks but the first.

use super::Strip;
use crate::cards::parts::flow::{self, Block, Line};
use crate::cards::parts::label::legend_cap_mm;
use crate::cards::parts::words::after_the;
use crate::drawing::legibility::LEGEND_DISTANCE;
use crate::drawing::{Anchor, Text, Weight};
use crate::tuning::Rank;

/// From a step's number to its words.
const INDENT: f64 = 4.2;
/// Capitals of the distance from the datum, which is read while the hands are busy.
const DISTANCE_CAP: f64 = 4.0;

/// One step, with what is printed large below it.
struct Step {
    words: String,
    large: Option<String>,
}

/// What a line of the tab is.
#[derive(Clone, Copy)]
enum Part {
    Heading,
    /// The first line of the step with this number, counted from 1.
    First(usize),
    More,
}

/// Whether a strip has anything to tell of how to stick it.
pub(super) fn has_steps(strip: &Strip) -> bool {
    strip.datum.is_some() || strip.second_datum.is_some() || strip.mirror || strip.around.is_some()
}

/// The directions in the narrowest block of this height; `None` if there are none. `hangs`: words keep clear of their numbers,
/// as they can where lines lie straight below each other.
pub(super) fn beside(strip: &Strip, height: f64, widths: &[f64], hangs: bool) -> Option<Block> {
    let blocks = widths.iter().filter_map(|width| directions(strip, false, *width, height, hangs));
    blocks.min_by(|a, b| a.width.total_cmp(&b.width))
}

/// The same under each other, for a label that is stuck beside its strip.
pub(super) fn below(strip: &Strip, width: f64) -> Option<Block> {
    directions(strip, true, width, f64::INFINITY, true)
}

/// The same under each other in the width of a strip that stands upright.
pub(super) fn upright(strip: &Strip, width: f64) -> Option<Block> {
    directions(strip, false, width, f64::INFINITY, true)
}

fn directions(strip: &Strip, is_apart: bool, width: f64, height: f64, hangs: bool) -> Option<Block> {
    if !has_steps(strip) {
        return None;
    }
    let heading = if strip.around.is_some() { "CUT, THEN STICK" } else { "STICK, THEN CUT OFF" };
    let indent = if hangs { INDENT } else { 0.0 };
    let small = |text: &str, weight, width| flow::wrapped(text, legend_cap_mm(), weight, LEGEND_DISTANCE, width);
    let mut paragraphs = vec![small(heading, Weight::Bold, width)];
    let mut parts: Vec<Part> = paragraphs[0].iter().map(|_| Part::Heading).collect();
    for (index, step) in steps(strip, is_apart).iter().enumerate() {
        let number = if hangs { String::new() } else { format!("{}. ", index + 1) };
        let mut lines = small(&format!("{number}{}", step.words), Weight::Regular, width - indent);
        lines.extend(step.large.iter().map(|large| Line {
            text: large.clone(),
            cap: DISTANCE_CAP,
            weight: Weight::Bold,
            distance: LEGEND_DISTANCE,
        }));
        parts.extend((0..lines.len()).map(|line| if line == 0 { Part::First(index + 1) } else { Part::More }));
        paragraphs.push(lines);
    }
    let block = flow::columns(&paragraphs, height);
    Some(if hangs { hung(block, &parts) } else { block })
}

/// A block with the number of each step before its words.
fn hung(block: Block, parts: &[Part]) -> Block {
    let mut hung = Block { height: block.height, ..Block::default() };
    let (mut columns, mut column_at) = (0.0, None);
    for (text, part) in block.texts.into_iter().zip(parts) {
        if column_at.is_none_or(|at| at != text.origin.x) {
            columns += 1.0;
            column_at = Some(text.origin.x);
        }
        let number_at = text.origin + (INDENT * (columns - 1.0), 0.0);
        if let Part::First(number) = part {
            let number = Text::new(format!("{number}."), number_at, Anchor::Start, text.cap_height(), Weight::Regular);
            hung.texts.push(number.read_from(LEGEND_DISTANCE));
        }
        let by = if matches!(part, Part::Heading) { 0.0 } else { INDENT };
        let text = Text { origin: number_at + (by, 0.0), ..text };
        hung.width = hung.width.max(text.origin.x + text.width());
        hung.texts.push(text);
    }
    hung
}

fn steps(strip: &Strip, is_apart: bool) -> Vec<Step> {
    let plain = |words: String| Step { words, large: None };
    let lay = |from: &str| format!("Lay {} from the {}:", first_mark(strip), after_the(from));
    let datum = strip.datum.iter().map(|datum| Step { words: lay(&datum.from), large: Some(datum.distance.clone()) });
    let second = strip.second_datum.iter().map(|datum| Step {
        words: format!("Check: from the {}", after_the(&datum.from)),
        large: Some(datum.distance.clone()),
    });
    let mirror = strip.mirror.then(|| plain("Behind clear acrylic: it is printed as in a mirror.".to_owned()));
    let around = strip.around.as_ref().map(|around| {
        let diameter = crate::tuning::mark::print_decimal(around.diameter_mm);
        plain(format!("Once around {diameter} mm: cut at both dashed lines, where the ends meet."))
    });
    let apart = is_apart.then(|| plain("Stick this label beside its strip.".to_owned()));
    let cut = strip.around.is_none().then(|| plain("Cut this tab off.".to_owned()));
    around.into_iter().chain(mirror).chain(datum).chain(second).chain(apart).chain(cut).collect()
}

/// What is laid at the distance from the datum.
fn first_mark(strip: &Strip) -> String {
    match strip.marks.first() {
        // Both ends of a scale with a centre may have the same number.
        Some(first) if strip.tapes.is_empty() && strip.ends.is_none() && first.rank == Rank::Whole => {
            format!("mark {}", first.label)
        }
        _ => "the line with the black corner".to_owned(),
    }
}
