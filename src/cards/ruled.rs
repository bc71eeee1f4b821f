//! A table with ruled rows, as large as the card lets it be: words, boxes to tick, room to write. Knows no kind of card.

use kurbo::{Rect, Size};

use super::flow::{self, Line};
use super::frame::{self, Frame, LINE_PITCH, Surround, good_cap_mm, line_width};
use super::label::Label;
use crate::book::problem::Wrong;
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::{Anchor, Drawing, Shape, Text, Weight};
use crate::size::NamedSize;

/// Words are as large as fits, up to this capital height, millimetres.
const CAP_MOST: f64 = 6.5;
const CAP_STEP: f64 = 0.1;
/// Above and below the words of a row, in capital heights.
const ROW_PADDING: f64 = 0.85;
/// Rows spread out into spare room, up to this much of their own height.
const SPREAD_MOST: f64 = 1.5;
/// Between columns, in capital heights.
const COLUMN_GAP: f64 = 0.9;
/// Heads may be this much smaller than the words under them.
const HEAD_SHARE: f64 = 0.75;
/// A box to tick, in capital heights.
const BOX: f64 = 1.25;
const BOX_LINE: f64 = 0.35;
const RULE: f64 = 0.2;
const HEAVY_RULE: f64 = 0.55;

/// Everything on the card.
#[derive(Clone, Debug, Default)]
pub struct Ruled {
    /// `None`: the handiest that holds it.
    pub size: Option<NamedSize>,
    pub surround: Surround,
    /// For the file: title and one sentence.
    pub name: String,
    pub description: String,
    pub columns: Vec<Column>,
    pub rows: Vec<Row>,
    /// No row is lower than this, millimetres; 0 if only read.
    pub least_row_mm: f64,
    /// Lines between the columns too, to write in.
    pub boxed_in: bool,
}

#[derive(Clone, Debug, Default)]
pub struct Column {
    pub head: String,
    /// Its part of the room that is left over; with 0 it is as wide as its words.
    pub share: f64,
    pub least_mm: f64,
}

#[derive(Clone, Debug)]
pub enum Row {
    /// One a column.
    Cells(Vec<Cell>),
    /// A heading over the whole width, with a heavy line under it.
    Heading(String),
    /// A heavy line across with words on it: midnight.
    Across(String),
}

#[derive(Clone, Debug, Default)]
pub struct Cell {
    /// Lines to be kept, each wrapped where its column shares room.
    pub lines: Vec<(String, Weight)>,
    /// A box to tick before the words.
    pub tick: bool,
}

impl Cell {
    pub fn bold(text: impl Into<String>) -> Self {
        Cell { lines: vec![(text.into(), Weight::Bold)], tick: false }
    }

    pub fn plain(text: impl Into<String>) -> Self {
        Cell { lines: vec![(text.into(), Weight::Regular)], tick: false }
    }

    pub fn ticked(text: impl Into<String>) -> Self {
        Cell { tick: true, ..Cell::plain(text) }
    }

    pub fn empty() -> Self {
        Cell::default()
    }
}

impl Column {
    pub fn narrow(head: impl Into<String>) -> Self {
        Column { head: head.into(), share: 0.0, least_mm: 0.0 }
    }

    pub fn wide(head: impl Into<String>, share: f64) -> Self {
        Column { head: head.into(), share, least_mm: 0.0 }
    }
}

impl Ruled {
    /// Draws the card at the size asked for, or at the handiest that holds it.
    pub fn draw(&self, label: &Label) -> Result<Drawing, Wrong> {
        frame::fitted(self.size.as_ref(), label, |size, least| {
            let steps = ((CAP_MOST - least) / CAP_STEP).floor() as usize;
            let caps = (0..=steps).rev().map(|step| least + step as f64 * CAP_STEP);
            let plan =
                |cap: f64| frame::both_ways(size, label).into_iter().find_map(|size| self.plan(label, size, cap));
            caps.into_iter().find_map(plan).map(|plan| plan.draw(self, label))
        })
    }

    fn plan(&self, label: &Label, size: Size, cap: f64) -> Option<Plan> {
        let frame = Frame::new(size, &self.surround, label, cap)?;
        let widths = self.widths(frame.body.width(), cap)?;
        let head_cap = (cap * HEAD_SHARE).max(cap.min(good_cap_mm()));
        let heads: Vec<Vec<Line>> = self
            .columns
            .iter()
            .zip(&widths)
            .map(|(column, width)| flow::wrapped(&column.head, head_cap, Weight::Regular, CARD_DISTANCE, *width))
            .collect();
        let head_height = heads.iter().map(|lines| frame::lines_height(lines)).fold(0.0, f64::max);
        let mut rows = Vec::new();
        for row in &self.rows {
            let (cells, height) = match row {
                Row::Heading(text) | Row::Across(text) => {
                    let lines = flow::wrapped(text, cap, Weight::Bold, CARD_DISTANCE, frame.body.width());
                    let height = frame::lines_height(&lines) + cap * ROW_PADDING;
                    (vec![lines], height)
                }
                Row::Cells(cells) => {
                    let cells: Vec<Vec<Line>> = cells
                        .iter()
                        .zip(&widths)
                        .map(|(cell, width)| cell.wrapped(cap, *width))
                        .collect::<Option<_>>()?;
                    let words = cells.iter().map(|lines| frame::lines_height(lines)).fold(0.0, f64::max);
                    (cells, (words + cap * ROW_PADDING).max(self.least_row_mm))
                }
            };
            rows.push((cells, height));
        }
        let needed: f64 = head_height + rows.iter().map(|(_, height)| height).sum::<f64>();
        let spread = (frame.body.height() - head_height) / (needed - head_height).max(cap);
        if needed > frame.body.height() {
            return None;
        }
        for (_, height) in &mut rows {
            *height *= spread.clamp(1.0, SPREAD_MOST);
        }
        Some(Plan { frame, cap, widths, heads, head_height, rows })
    }

    /// The columns' widths without the gaps; `None` if a word would stick out.
    fn widths(&self, room: f64, cap: f64) -> Option<Vec<f64>> {
        let gaps = cap * COLUMN_GAP * self.columns.len().saturating_sub(1) as f64;
        let cells = |index: usize| {
            self.rows.iter().filter_map(move |row| match row {
                Row::Cells(cells) => cells.get(index),
                Row::Heading(_) | Row::Across(_) => None,
            })
        };
        let natural = |(index, column): (usize, &Column)| {
            let words = cells(index).map(|cell| cell.natural_width(cap)).fold(0.0, f64::max);
            let head = column
                .head
                .split_whitespace()
                .map(|word| width(word, cap, Weight::Regular) * HEAD_SHARE.max(good_cap_mm().min(cap) / cap));
            if column.share > 0.0 { column.least_mm } else { head.fold(words, f64::max).max(column.least_mm) }
        };
        let mut widths: Vec<f64> = self.columns.iter().enumerate().map(natural).collect();
        let spare = room - gaps - widths.iter().sum::<f64>();
        if spare < 0.0 {
            return None;
        }
        let shares: f64 = self.columns.iter().map(|column| column.share).sum();
        for (column, width) in self.columns.iter().zip(&mut widths) {
            // With nothing that grows, what is left over is shared out evenly.
            let part = if shares > 0.0 { column.share / shares } else { 1.0 / self.columns.len() as f64 };
            *width += spare * part;
        }
        Some(widths)
    }
}

impl Cell {
    fn box_room(&self, cap: f64) -> f64 {
        if self.tick { cap * (BOX + 0.5) } else { 0.0 }
    }

    fn natural_width(&self, cap: f64) -> f64 {
        let words = self.lines.iter().map(|(text, weight)| width(text, cap, *weight)).fold(0.0, f64::max);
        words + self.box_room(cap)
    }

    fn wrapped(&self, cap: f64, room: f64) -> Option<Vec<Line>> {
        let room = room - self.box_room(cap);
        let lines = self.lines.iter().flat_map(|(text, weight)| flow::wrapped(text, cap, *weight, CARD_DISTANCE, room));
        let lines: Vec<Line> = lines.collect();
        // Arithmetic, not a choice.
        const SLACK_MM: f64 = 1e-6;
        lines.iter().all(|line| line_width(line) <= room + SLACK_MM).then_some(lines)
    }
}

fn width(text: &str, cap: f64, weight: Weight) -> f64 {
    line_width(&Line { text: text.to_owned(), cap, weight, distance: CARD_DISTANCE })
}

/// Everything measured, nothing drawn.
struct Plan {
    frame: Frame,
    cap: f64,
    widths: Vec<f64>,
    heads: Vec<Vec<Line>>,
    head_height: f64,
    rows: Vec<(Vec<Vec<Line>>, f64)>,
}

impl Plan {
    fn draw(&self, card: &Ruled, label: &Label) -> Drawing {
        let mut drawing = self.frame.start(card.name.clone(), card.description.clone(), label);
        let body = self.frame.body;
        let gap = self.cap * COLUMN_GAP;
        let mut lefts = Vec::new();
        let mut x = body.x0;
        for width in &self.widths {
            lefts.push(x);
            x += width + gap;
        }
        for (lines, left) in self.heads.iter().zip(&lefts) {
            let top = body.y0 + self.head_height - frame::lines_height(lines);
            frame::draw_lines(&mut drawing, lines, *left, top);
        }
        let mut y = body.y0 + self.head_height;
        drawing.print(Shape::line((body.x0, y), (body.x1, y), HEAVY_RULE));
        let top = y;
        for (index, ((cells, height), row)) in self.rows.iter().zip(&card.rows).enumerate() {
            let under = y + height;
            match row {
                Row::Cells(given) => {
                    for ((lines, left), cell) in cells.iter().zip(&lefts).zip(given) {
                        let start = y + (height - words_height(lines)) / 2.0;
                        if cell.tick {
                            let side = self.cap * BOX;
                            let box_top = start + (self.cap - side) / 2.0;
                            let outline = Rect::new(*left, box_top, left + side, box_top + side);
                            drawing.print(Shape::stroke(outline, BOX_LINE));
                        }
                        frame::draw_lines(&mut drawing, lines, left + cell.box_room(self.cap), start);
                    }
                }
                Row::Heading(_) => {
                    let lines = &cells[0];
                    frame::draw_lines(&mut drawing, lines, body.x0, under - frame::lines_height(lines));
                }
                Row::Across(_) => self.draw_across(&mut drawing, &cells[0], y, *height),
            }
            let last = index + 1 == self.rows.len();
            let before_across = matches!(card.rows.get(index + 1), Some(Row::Across(_)));
            let rule = if matches!(row, Row::Heading(_)) { HEAVY_RULE } else { RULE };
            if !(matches!(row, Row::Across(_)) || before_across || last && !card.boxed_in) {
                drawing.print(Shape::line((body.x0, under), (body.x1, under), rule));
            }
            y = under;
        }
        if card.boxed_in {
            for left in lefts.iter().skip(1) {
                drawing.print(Shape::line((left - gap / 2.0, top), (left - gap / 2.0, y), RULE));
            }
        }
        drawing
    }

    /// Words in the middle of a heavy line.
    fn draw_across(&self, drawing: &mut Drawing, lines: &[Line], y: f64, height: f64) {
        let body = self.frame.body;
        let Some(line) = lines.first() else { return };
        let (middle, centre) = (y + height / 2.0, body.center().x);
        let half = line_width(line) / 2.0 + self.cap;
        drawing.print(Shape::line((body.x0, middle), (centre - half, middle), HEAVY_RULE * 2.0));
        drawing.print(Shape::line((centre + half, middle), (body.x1, middle), HEAVY_RULE * 2.0));
        let baseline = (centre, middle + self.cap / 2.0);
        drawing.print(Text::new(&line.text, baseline, Anchor::Middle, line.cap, line.weight));
    }
}

/// From the top of the first line to the foot of the last.
fn words_height(lines: &[Line]) -> f64 {
    frame::lines_height(lines) - lines.last().map_or(0.0, |line| line.cap * (LINE_PITCH - 1.0))
}
