//! Short lines of text stacked into columns of a given height. Knows text, not what it says.

use kurbo::Point;

use crate::drawing::font;
use crate::drawing::line_breaks::{Word, Words};
use crate::drawing::{Anchor, Text, TypeSize, Weight};
use crate::length::Length;

/// From one baseline to the next, in capital heights: the deepest tail and the highest accent of the faces, which meet at
/// 1.63, and a little white.
pub const LINE_PITCH: f64 = 1.66;
/// Room between two columns, millimetres.
pub const COLUMN_GAP: f64 = 3.5;

/// One line to place.
#[derive(Clone, Debug)]
pub struct Line {
    /// The words, as short as the line they stand on.
    pub text: String,
    /// Millimetres.
    pub cap: f64,
    /// How heavy the face is.
    pub weight: Weight,
    /// How far away it is read from.
    pub distance: Length,
}

/// Lines placed from (0, 0) to (width, height).
#[derive(Clone, Debug, Default)]
pub struct Block {
    /// The widest line, or the room that was asked for, in millimetres.
    pub width: f64,
    /// Of the fullest column.
    pub height: f64,
    /// Every line at its place in the block.
    pub texts: Vec<Text>,
}

impl Line {
    fn width(&self) -> f64 {
        TypeSize { cap: self.cap, distance: self.distance }.width(&self.text, self.weight)
    }
}

/// Stacks paragraphs top to bottom, and starts a new column to the right when one is full. A paragraph's lines stay
/// together where a column can hold them.
pub fn columns(paragraphs: &[Vec<Line>], height: f64) -> Block {
    let mut block = Block::default();
    let (mut column, mut used, mut column_width) = (0.0, 0.0, 0.0_f64);
    let close = |column: &mut f64, used: &mut f64, column_width: &mut f64| {
        *column += *column_width + COLUMN_GAP;
        *used = 0.0;
        *column_width = 0.0;
    };
    for paragraph in paragraphs {
        let whole: f64 = paragraph.iter().map(|line| line.cap * LINE_PITCH).sum();
        let trailing = paragraph.last().map_or(0.0, |line| line.cap * (LINE_PITCH - 1.0 - descent_caps()));
        if used > 0.0 && used + whole - trailing > height {
            close(&mut column, &mut used, &mut column_width);
        }
        for line in paragraph {
            if used > 0.0 && used + line.cap * (1.0 + descent_caps()) > height {
                close(&mut column, &mut used, &mut column_width);
            }
            let at = Point::new(column, used + line.cap);
            let text = Text::new(line.text.clone(), at, Anchor::Start, line.cap, line.weight).read_from(line.distance);
            block.texts.push(text);
            used += line.cap * LINE_PITCH;
            block.height = block.height.max(at.y + line.cap * descent_caps());
            column_width = column_width.max(line.width());
        }
    }
    block.width = column + column_width;
    block
}

/// The narrowest block that the paragraphs make when their words are wrapped at one of `widths`.
pub fn tightest(paragraphs: impl Fn(f64) -> Vec<Vec<Line>>, height: f64, widths: &[f64]) -> Block {
    let blocks = widths.iter().map(|width| columns(&paragraphs(*width), height));
    blocks.min_by(|a, b| a.width.total_cmp(&b.width)).unwrap_or_default()
}

fn descent_caps() -> f64 {
    font::DESCENT_EM / font::CAP_HEIGHT_EM
}

/// A text that is broken between words, measured once for every width; a longer word stands alone and sticks out, and a number
/// keeps its unit.
pub struct Wrapping<'a> {
    words: Words<'a>,
    cap: f64,
    weight: Weight,
    distance: Length,
}

impl<'a> Wrapping<'a> {
    /// Measures a text.
    pub fn of(text: &'a str, cap: f64, weight: Weight, distance: Length) -> Self {
        Wrapping { words: Words::of([(text, weight)]), cap, weight, distance }
    }

    /// The same of a list whose items stand on one line each, if a line can hold them: `Backstay ½ EASED · Vang 5 bar EASED`.
    pub fn of_items(text: &'a str, cap: f64, weight: Weight, distance: Length) -> Self {
        let items = text.split_inclusive(" · ").map(|item| [(item, weight)]);
        Wrapping { words: Words::of_groups(items), cap, weight, distance }
    }

    /// Lines of at most `width` millimetres.
    pub fn lines(&self, width: f64) -> Vec<Line> {
        let Wrapping { cap, weight, distance, .. } = *self;
        let lines = self.words.lines(TypeSize { cap, distance }, width);
        lines.map(|words| Line { text: Word::joined(words), cap, weight, distance }).collect()
    }
}

/// Breaks a text into lines of at most `width` millimetres.
pub fn wrapped(text: &str, cap: f64, weight: Weight, distance: Length, width: f64) -> Vec<Line> {
    Wrapping::of(text, cap, weight, distance).lines(width)
}
