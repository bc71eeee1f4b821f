//! A plain table of words that fits its columns and rows to what they hold. Knows no kind of card.

use kurbo::{Point, Rect, Size};

use super::frame::{self, Frame, LINE_PITCH, Surround};
use super::label::{Label, legend_cap_mm};
use crate::book::problem::Wrong;
use crate::drawing::legibility::LEGEND_DISTANCE;
use crate::drawing::{Anchor, Drawing, Shape, Text, Weight, font};
use crate::size::NamedSize;

/// Words are as large as fits, up to this capital height, millimetres.
const CAP_MOST: f64 = 6.0;
const CAP_STEP: f64 = 0.1;
/// Room beside and above the words of a cell, in capital heights.
const PADDING: f64 = 0.45;
/// Rows are spread over the card up to this much air, in capital heights a row.
const AIR_MOST: f64 = 1.5;
const RULE: f64 = 0.2;
const HEAVY_RULE: f64 = 0.55;
const HATCH_PITCH: f64 = 2.5;
const HATCH_WIDTH: f64 = 0.12;

/// Words that are wrapped together.
#[derive(Clone, Debug, Default)]
pub struct Paragraph {
    /// Each run in its weight.
    pub runs: Vec<(String, Weight)>,
    /// Small print, read from closer.
    pub small: bool,
    /// Kept on one line.
    pub unbroken: bool,
}

#[derive(Clone, Debug, Default)]
pub struct Cell {
    pub paragraphs: Vec<Paragraph>,
    /// Drawn over with thin lines around its words: nothing is there.
    pub hatched: bool,
}

#[derive(Clone, Debug, Default)]
pub struct Row {
    pub cells: Vec<Cell>,
    /// A heavy rule stands under it.
    pub head: bool,
    /// No rule under it: the next row belongs to it.
    pub joined: bool,
}

/// A word or several of one weight with the place they start, from the left of their cell.
struct Piece {
    text: String,
    weight: Weight,
    x: f64,
}

struct Line {
    cap: f64,
    small: bool,
    pieces: Vec<Piece>,
}

/// Everything measured, nothing drawn.
struct Plan {
    frame: Frame,
    cap: f64,
    widths: Vec<f64>,
    rows: Vec<(Vec<Vec<Line>>, f64)>,
}

impl Paragraph {
    pub fn of(text: impl Into<String>, weight: Weight) -> Self {
        Paragraph { runs: vec![(text.into(), weight)], small: false, unbroken: false }
    }

    pub fn small(text: impl Into<String>) -> Self {
        Paragraph { runs: vec![(text.into(), Weight::Regular)], small: true, unbroken: false }
    }

    /// A name in bold and what is said of it.
    pub fn named(name: &str, rest: impl Into<String>) -> Self {
        let runs = vec![(name.to_owned(), Weight::Bold), (rest.into(), Weight::Regular)];
        Paragraph { runs, small: false, unbroken: false }
    }

    fn cap(&self, cap: f64) -> f64 {
        if self.small { legend_cap_mm() } else { cap }
    }

    fn words(&self) -> impl Iterator<Item = (&str, Weight)> {
        self.runs.iter().flat_map(|(text, weight)| {
            let words: Vec<&str> = if self.unbroken { vec![text.as_str()] } else { text.split_whitespace().collect() };
            words.into_iter().map(|word| (word, *weight))
        })
    }

    fn widest_word(&self, cap: f64) -> f64 {
        self.words().map(|(word, weight)| width(word, weight, self.cap(cap))).fold(0.0, f64::max)
    }

    fn whole_width(&self, cap: f64) -> f64 {
        self.lines(cap, f64::INFINITY).iter().map(Line::width).fold(0.0, f64::max)
    }

    fn lines(&self, cap: f64, room: f64) -> Vec<Line> {
        let cap = self.cap(cap);
        let line = || Line { cap, small: self.small, pieces: Vec::new() };
        let mut lines: Vec<Line> = Vec::new();
        for (word, weight) in self.words() {
            let needed = width(" ", weight, cap) + width(word, weight, cap);
            match lines.last_mut().filter(|last| last.width() + needed <= room) {
                Some(last) => last.add(word, weight),
                None => {
                    let mut next = line();
                    next.add(word, weight);
                    lines.push(next);
                }
            }
        }
        lines
    }
}

impl Cell {
    pub fn of(text: impl Into<String>, weight: Weight) -> Self {
        Cell { paragraphs: vec![Paragraph::of(text, weight)], hatched: false }
    }

    /// A number or a range in bold that must stay on one line.
    pub fn unbroken(text: impl Into<String>) -> Self {
        let paragraph = Paragraph { runs: vec![(text.into(), Weight::Bold)], small: false, unbroken: true };
        Cell { paragraphs: vec![paragraph], hatched: false }
    }

    fn widest(&self, measure: impl Fn(&Paragraph) -> f64) -> f64 {
        self.paragraphs.iter().map(measure).fold(0.0, f64::max)
    }
}

impl Row {
    /// Column heads, bold.
    pub fn head(heads: impl IntoIterator<Item = String>) -> Self {
        Row { cells: heads.into_iter().map(|text| Cell::of(text, Weight::Bold)).collect(), head: true, joined: false }
    }
}

impl Line {
    fn width(&self) -> f64 {
        self.pieces.last().map_or(0.0, |piece| piece.x + width(&piece.text, piece.weight, self.cap))
    }

    fn add(&mut self, word: &str, weight: Weight) {
        let end = self.width();
        match self.pieces.last_mut() {
            Some(last) if last.weight == weight => {
                last.text.push(' ');
                last.text.push_str(word);
            }
            last => {
                let gap = if last.is_some() { width(" ", weight, self.cap) } else { 0.0 };
                self.pieces.push(Piece { text: word.to_owned(), weight, x: end + gap });
            }
        }
    }
}

/// Draws a table at the size asked for, or at the handiest that holds it.
///
/// # Errors
/// It does not fit in letters that can be read.
pub fn card(
    asked: Option<&NamedSize>,
    surround: &Surround,
    [title, description]: [String; 2],
    label: &Label,
    rows: &[Row],
) -> Result<Drawing, Wrong> {
    frame::fitted(asked, label, |size, least| {
        let plans = frame::both_ways(size, label)
            .into_iter()
            .filter_map(|size| Plan::largest(rows, surround, label, size, least));
        let best = plans.max_by(|a, b| a.cap.total_cmp(&b.cap))?;
        Some(best.draw(rows, title.clone(), description.clone(), label))
    })
}

impl Plan {
    fn largest(rows: &[Row], surround: &Surround, label: &Label, size: Size, least: f64) -> Option<Plan> {
        let steps = ((CAP_MOST - least) / CAP_STEP).floor() as usize;
        (0..=steps).rev().find_map(|step| Plan::at(rows, surround, label, size, least + step as f64 * CAP_STEP))
    }

    fn at(rows: &[Row], surround: &Surround, label: &Label, size: Size, cap: f64) -> Option<Plan> {
        let frame = Frame::new(size, surround, label, cap)?;
        let widths = column_widths(rows, frame.body.width(), cap)?;
        let padding = 2.0 * cap * PADDING;
        let laid = rows.iter().map(|row| {
            let cells: Vec<Vec<Line>> = row
                .cells
                .iter()
                .zip(&widths)
                .map(|(cell, width)| {
                    cell.paragraphs.iter().flat_map(|paragraph| paragraph.lines(cap, width - padding)).collect()
                })
                .collect();
            let gap = if row.joined { cap * (LINE_PITCH - 1.0) } else { padding };
            let height = cells.iter().map(|lines| stack(lines)).fold(0.0, f64::max) + gap;
            (cells, height)
        });
        let mut laid: Vec<(Vec<Vec<Line>>, f64)> = laid.collect();
        let spare = frame.body.height() - laid.iter().map(|(_, height)| height).sum::<f64>();
        if spare < 0.0 {
            return None;
        }
        let air = (spare / rows.len().max(1) as f64).min(cap * AIR_MOST);
        for (_, height) in &mut laid {
            *height += air;
        }
        Some(Plan { frame, cap, widths, rows: laid })
    }

    fn draw(&self, rows: &[Row], title: String, description: String, label: &Label) -> Drawing {
        let mut drawing = self.frame.start(title, description, label);
        let (left, right, mut y) = (self.frame.body.x0, self.frame.body.x1, self.frame.body.y0);
        let top = y;
        for (row, (cells, height)) in rows.iter().zip(&self.rows) {
            let mut x = left;
            for ((cell, lines), width) in row.cells.iter().zip(cells).zip(&self.widths) {
                let area = Rect::new(x, y, x + width, y + height);
                if cell.hatched {
                    self.hatch(&mut drawing, area, lines);
                }
                self.words(&mut drawing, lines, area);
                x += width;
            }
            y += height;
            if !row.joined {
                let rule = if row.head { HEAVY_RULE } else { RULE };
                drawing.print(Shape::line((left, y), (right, y), rule));
            }
        }
        let mut x = left;
        for width in self.widths.iter().take(self.widths.len().saturating_sub(1)) {
            x += width;
            drawing.print(Shape::line((x, top), (x, y), RULE));
        }
        drawing
    }

    fn words(&self, drawing: &mut Drawing, lines: &[Line], area: Rect) {
        let left = area.x0 + self.cap * PADDING;
        let mut y = area.center().y - stack(lines) / 2.0;
        for line in lines {
            for piece in &line.pieces {
                let at = Point::new(left + piece.x, y + line.cap);
                let text = Text::new(&piece.text, at, Anchor::Start, line.cap, piece.weight);
                drawing.print(if line.small { text.read_from(LEGEND_DISTANCE) } else { text });
            }
            y += line.cap * LINE_PITCH;
        }
    }

    /// Lines around the words, never through them.
    fn hatch(&self, drawing: &mut Drawing, area: Rect, lines: &[Line]) {
        let gap = self.cap * PADDING;
        let middle = area.center().y;
        let clear = if lines.is_empty() { 0.0 } else { stack(lines) / 2.0 + gap };
        let words = lines.iter().map(Line::width).fold(0.0, f64::max);
        let beside = (area.x0 + words + 2.0 * gap).min(area.x1);
        for part in [
            Rect::new(beside, area.y0, area.x1, area.y1),
            Rect::new(area.x0, area.y0, beside, middle - clear),
            Rect::new(area.x0, middle + clear, beside, area.y1),
        ] {
            if part.height() > 0.0 && part.width() > 0.0 {
                Shape::hatch(part, HATCH_PITCH, HATCH_WIDTH).into_iter().for_each(|shape| drawing.print(shape));
            }
        }
    }
}

/// Each column as wide as its words want; where that is too much, each gives up the same part of what wrapping can save.
fn column_widths(rows: &[Row], room: f64, cap: f64) -> Option<Vec<f64>> {
    let count = rows.iter().map(|row| row.cells.len()).max()?;
    let padding = 2.0 * cap * PADDING;
    let widest = |measure: fn(&Paragraph, f64) -> f64| -> Vec<f64> {
        let cells = |index: usize| rows.iter().filter_map(move |row| row.cells.get(index));
        (0..count)
            .map(|i| cells(i).map(|cell| cell.widest(|p| measure(p, cap))).fold(0.0, f64::max) + padding)
            .collect()
    };
    let (wanted, least) = (widest(Paragraph::whole_width), widest(Paragraph::widest_word));
    let (all_wanted, all_least): (f64, f64) = (wanted.iter().sum(), least.iter().sum());
    if all_least > room {
        return None;
    }
    if all_wanted <= room {
        let spare = (room - all_wanted) / count as f64;
        return Some(wanted.iter().map(|width| width + spare).collect());
    }
    let share = (room - all_least) / (all_wanted - all_least);
    Some(least.iter().zip(&wanted).map(|(least, wanted)| least + (wanted - least) * share).collect())
}

fn width(text: &str, weight: Weight, cap: f64) -> f64 {
    font::width(text, weight) / font::CAP_HEIGHT_EM * cap
}

/// From the top of the first line to the foot of the last.
fn stack(lines: &[Line]) -> f64 {
    let all: f64 = lines.iter().map(|line| line.cap * LINE_PITCH).sum();
    all - lines.last().map_or(0.0, |line| line.cap * (LINE_PITCH - 1.0))
}
