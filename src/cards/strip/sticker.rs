//! A strip's label as a sticker of its own, for a strip whose words would make it longer than the paper. Knows no marks.

use kurbo::{RoundedRect, Size, Vec2};

use super::layout::dashed;
use super::lie::{CORNER_RADIUS, CUT_WIDTH};
use super::{NoGo, Strip, ends, tab};
use crate::cards::parts::flow::{self, Block};
use crate::cards::parts::label::{Label, legend_cap_mm};
use crate::drawing::legibility::LEGEND_DISTANCE;
use crate::drawing::{Drawing, Shape, Text, Weight};

/// Width of the words: what lies beside a strip without being in the way.
const WORDS_WIDTH: f64 = 64.0;
/// A long name is wrapped to this width.
const NAME_WIDTH: f64 = WORDS_WIDTH;
/// White around the words.
const RIM: f64 = 3.0;
/// Either side of the line along which the tab is cut off.
const TAB_GAP: f64 = 2.5;

/// The label of a strip, with the directions for sticking both on a tab below it.
pub(super) fn sticker(strip: &Strip, label: &Label, unsaid: &[&NoGo]) -> Drawing {
    let says = words(strip, label, unsaid);
    let tab = tab::below(strip, WORDS_WIDTH);
    let width = tab.iter().map(|tab| tab.width).fold(says.width.max(WORDS_WIDTH), f64::max) + 2.0 * RIM;
    let cut_at = RIM + says.height + TAB_GAP;
    let height = tab.as_ref().map_or(RIM + says.height + RIM, |tab| cut_at + TAB_GAP + tab.height + RIM);
    let size = Size::new(width, height);
    let title = format!("{}: {}, label", label.boat, strip.title());
    let mut drawing = Drawing::new(size, title, "What a deck scale is and how to stick it, to be stuck beside it");
    label.lay_example(&mut drawing, size.to_rect());
    place(&mut drawing, says, Vec2::new(RIM, RIM));
    if let Some(tab) = tab {
        place(&mut drawing, tab, Vec2::new(RIM, cut_at + TAB_GAP));
        drawing.cut(dashed(Shape::line((0.0, cut_at), (width, cut_at), CUT_WIDTH)));
    }
    drawing.cut(Shape::stroke(RoundedRect::from_rect(size.to_rect(), CORNER_RADIUS), CUT_WIDTH));
    drawing
}

/// What it says, with the arrow to the bow: the label lies as its strip does.
fn words(strip: &Strip, label: &Label, unsaid: &[&NoGo]) -> Block {
    let mut paragraphs = ends::identity_words(strip, label, unsaid, false, (NAME_WIDTH, WORDS_WIDTH));
    paragraphs.extend(strip.view.bow.map(|bow| {
        let words = format!("{} BOW", ends::arrow(bow, false));
        flow::wrapped(&words, legend_cap_mm(), Weight::Bold, LEGEND_DISTANCE, WORDS_WIDTH)
    }));
    flow::columns(&paragraphs, f64::INFINITY)
}

fn place(drawing: &mut Drawing, block: Block, by: Vec2) {
    for text in block.texts {
        drawing.print(Text { origin: text.origin + by, ..text });
    }
}
