//! Draws a table that is laid out: heads, rules, cells. Decides no size.

use std::borrow::Borrow;
use std::f64::consts::FRAC_PI_2;
use std::ops::Range;
use std::rc::Rc;

use kurbo::{Point, Rect};

use super::content::{Cell, Letters, Under};
use super::measured::{BOX_ROOM, BOXED_GAP, MeasuredCell, MeasuredHead, MeasuredRow, SIGN_GAP, WRITE_GAP};
use super::plan::{GUTTER, Plan, PlannedTable};
use super::stack::{self, Line};
use crate::cards::parts::frame::{HEAVY_RULE, RULE};
use crate::cards::parts::label::Label;
use crate::drawing::line_breaks::Word;
use crate::drawing::reading::{Level, read_across};
use crate::drawing::{Anchor, Drawing, Shape, Text, Weight};

/// A box to tick, in capital heights, and its line, millimetres.
const BOX: f64 = 1.25;
const BOX_LINE: f64 = 0.35;
/// The line under what is new, and the white over it: in capital heights, but never under the tails of a reading.
const NEW_LINE: f64 = 0.11;
const NEW_GAP: f64 = 0.22;
/// Between the tails of words and the line under them, in capital heights.
const TAIL_GAP: f64 = 0.03;
/// Between boxed words and the box above and below them, in capital heights: it keeps off the rules of its row.
const BOXED_GAP_ABOVE: f64 = 0.25;
/// Hatching, millimetres.
const HATCH_PITCH: f64 = 2.5;
const HATCH_WIDTH: f64 = 0.12;

/// Where lines of words stand from left to right: the place, and which point of them is there.
#[derive(Clone, Copy, Debug)]
struct Along {
    anchor: Anchor,
    x: f64,
}

impl Along {
    /// Words that begin here.
    fn from(x: f64) -> Self {
        Along { anchor: Anchor::Start, x }
    }

    /// Words that stand between two places as their column says.
    fn between(anchor: Anchor, (left, right): (f64, f64)) -> Self {
        let x = match anchor {
            Anchor::Start => left,
            Anchor::Middle => left.midpoint(right),
            Anchor::End => right,
        };
        Along { anchor, x }
    }

    /// Where words so wide begin.
    fn left(self, width: f64) -> f64 {
        match self.anchor {
            Anchor::Start => self.x,
            Anchor::Middle => self.x - width / 2.0,
            Anchor::End => self.x - width,
        }
    }
}

/// Whether the line before a column is covered by a cell that begins left of it.
fn is_covered(cells: &[Rc<MeasuredCell>], index: usize) -> bool {
    cells.iter().enumerate().take(index).any(|(start, cell)| start + cell.cell.spans.max(1) > index)
}

impl Plan<'_> {
    /// The whole card.
    pub fn draw(&self, label: &Label) -> Drawing {
        let mut drawing = self.frame.start(self.card.name.clone(), self.card.description.clone(), label);
        for (index, (area, table)) in self.tables.iter().enumerate() {
            let foot = table.draw(&mut drawing, area.origin());
            if index > 0 {
                let between = area.x0 - self.cap * GUTTER / 2.0;
                drawing.print(Shape::line((between, area.y0), (between, foot), HEAVY_RULE));
            }
        }
        drawing
    }
}

impl PlannedTable<'_> {
    /// With its upper left corner at `at`; gives where it ends.
    pub fn draw(&self, drawing: &mut Drawing, at: Point) -> f64 {
        let (left, right) = (at.x, at.x + self.width);
        let rule = |drawing: &mut Drawing, y: f64, width: Option<f64>| {
            if let Some(width) = width {
                drawing.print(Shape::line((left, y), (right, y), width));
            }
        };
        self.draw_lines(drawing, self.title(), at);
        let top = at.y + self.title_height;
        rule(drawing, top, self.measured.grid.look.top_rule);
        let mut y = top + self.heads_height();
        self.draw_heads(drawing, Point::new(left, y - self.head_gap));
        rule(drawing, y, self.measured.grid.look.head_rule);
        for (index, (row, height)) in self.rows().iter().zip(&self.heights).enumerate() {
            let area = Rect::new(left, y, right, y + height);
            self.draw_row(drawing, row, area);
            y = area.y1;
            if index + 1 < self.heights.len() {
                rule(drawing, y, self.rule_under(index));
            }
        }
        y += self.cap * self.measured.grid.look.under_rows;
        rule(drawing, y, self.foot_rule());
        self.draw_verticals(drawing, left, (top, y));
        y
    }

    /// The lines between the columns, from `top` to `foot`, but for where words stand over several of them.
    fn draw_verticals(&self, drawing: &mut Drawing, left: f64, (top, foot): (f64, f64)) {
        for (index, (column, start)) in self.measured.grid.columns.iter().zip(&self.columns.lefts).enumerate().skip(1) {
            let width = match (self.measured.grid.boxed_in, column.ruled_off) {
                (true, true) => HEAVY_RULE,
                (true, false) | (false, true) => RULE,
                (false, false) => continue,
            };
            let x = left + start - self.columns.gap / 2.0;
            for (from, to) in self.open(index, (top, foot)) {
                drawing.print(Shape::line((x, from), (x, to), width));
            }
        }
    }

    /// From where to where the line before a column runs.
    fn open(&self, index: usize, (top, foot): (f64, f64)) -> Vec<(f64, f64)> {
        let is_over = |(range, _): &(Range<usize>, MeasuredHead)| range.start < index && index < range.end;
        let mut from = Some(top + if self.measured.overs.iter().any(is_over) { self.overs_height() } else { 0.0 });
        let mut open = Vec::new();
        let mut y = top + self.heads_height();
        for (row, height) in self.rows().iter().zip(&self.heights) {
            match row {
                MeasuredRow::Cells(cells, _) if !is_covered(cells, index) => from = from.or(Some(y)),
                _ => open.extend(from.take().map(|from| (from, y))),
            }
            y += height;
        }
        open.extend(from.map(|from| (from, foot)));
        open
    }

    /// From the top of the heads to where the rules between the columns under those words begin, millimetres.
    fn overs_height(&self) -> f64 {
        let over = self.measured.overs.iter().map(|over| stack::pitches(self.over(over))).fold(0.0, f64::max);
        self.cap * self.measured.grid.look.over_heads + over
    }

    /// Heads from `at` up, at its right.
    fn draw_heads(&self, drawing: &mut Drawing, at: Point) {
        let columns = self.measured.grid.columns;
        for over in &self.measured.overs {
            let (start, width) = (at.x + self.columns.lefts[over.0.start], self.columns.across(over.0.clone()));
            let along = Along::between(columns[over.0.start].anchor, (start, start + width));
            self.draw_anchored(drawing, self.over(over), along, at.y - self.head_height);
        }
        let mut printed = Vec::new();
        for (index, column) in columns.iter().enumerate() {
            let first = drawing.items.len();
            let (start, width) = (at.x + self.columns.lefts[index], self.columns.widths[index]);
            let height = stack::height(self.head(index));
            if column.head.turned {
                let x = Along::between(column.anchor, (start, start + width)).left(height);
                self.draw_turned(drawing, self.head(index), Point::new(x, at.y));
            } else {
                let along = Along::between(column.anchor, (start, start + width));
                self.draw_anchored(drawing, self.head(index), along, at.y - height);
            }
            printed.push(first..drawing.items.len());
        }
        read_across(drawing, &printed, Level::Foot);
    }

    fn draw_row(&self, drawing: &mut Drawing, row: &MeasuredRow, area: Rect) {
        match row {
            MeasuredRow::Cells(cells, _) => {
                let mut printed = Vec::new();
                for (column, cell) in cells.iter().enumerate().take(self.measured.grid.columns.len()) {
                    if !is_covered(cells, column) {
                        let first = drawing.items.len();
                        self.draw_cell(drawing, cell, column, area);
                        printed.push(first..drawing.items.len());
                    }
                }
                read_across(drawing, &printed, Level::Top);
            }
            MeasuredRow::Heading(words) => {
                let top = area.y1 - stack::pitches(self.across(words));
                self.draw_lines(drawing, self.across(words), Point::new(area.x0, top));
            }
            MeasuredRow::Across(words) => {
                if let Some(line) = self.across(words).next() {
                    self.draw_across(drawing, line, area);
                }
            }
        }
    }

    fn rule_under(&self, index: usize) -> Option<f64> {
        if matches!(self.measured.rows.get(self.part.rows.start + index + 1), Some(MeasuredRow::Across(_))) {
            return None;
        }
        match self.rows().get(index)? {
            MeasuredRow::Cells(_, Under::Line) => Some(RULE),
            MeasuredRow::Cells(_, Under::HeavyLine) | MeasuredRow::Heading(_) => Some(HEAVY_RULE),
            MeasuredRow::Cells(_, Under::Nothing) | MeasuredRow::Across(_) => None,
        }
    }

    fn foot_rule(&self) -> Option<f64> {
        match self.heights.len().checked_sub(1) {
            Some(last) if self.measured.grid.boxed_in => self.rule_under(last),
            _ => self.measured.grid.look.foot_rule,
        }
    }

    fn draw_cell(&self, drawing: &mut Drawing, measured: &MeasuredCell, index: usize, area: Rect) {
        let (cell, column, lanes) = (measured.cell, &self.measured.grid.columns[index], self.lanes(index));
        let lines: Vec<Line> = self.cell(index, measured).collect();
        let left = area.x0 + self.columns.lefts[index];
        let width = self.columns.across(index..index + cell.spans.max(1));
        let place = Rect::new(left, area.y0, left + width, area.y1);
        if cell.hatched {
            self.hatch(drawing, (place, area), (&lines, column.anchor));
        }
        let place = Rect { x1: place.x1 - lanes.hang(measured.past_point, self.cap), ..place };
        // A box alone stands where words would.
        let height = if lines.is_empty() { self.cap } else { stack::height(&lines) };
        let top = place.center().y - height / 2.0;
        let (before, after) = (lanes.before(self.cap), lanes.after(self.cap));
        let along = Along::between(column.anchor, (place.x0 + before, place.x1 - after));
        let large = lines.iter().filter(|line| line.letters == Letters::Large).map(Line::width).fold(0.0, f64::max);
        let left = along.left(large);
        self.draw_anchored(drawing, &lines, along, top);
        self.draw_before(drawing, cell, Point::new(left, top));
        if cell.underlined {
            self.underline(drawing, &lines, along, top);
        }
        if cell.boxed && !lines.is_empty() {
            let (beside, above) = (self.cap * BOXED_GAP, self.cap * BOXED_GAP_ABOVE);
            let around = Rect::new(left, top, left + stack::width(&lines), top + height).inset((beside, above));
            drawing.print(Shape::stroke(around, BOX_LINE));
        }
        if cell.write_mm > 0.0 {
            let from = lines
                .last()
                .map_or(place.x0 + before, |line| along.left(line.width()) + line.width() + self.cap * WRITE_GAP);
            drawing.print(Shape::line((from, top + height), (place.x1, top + height), RULE));
        }
    }

    /// A line under the last of the large lines, which stand as [`Self::draw_anchored`] puts them.
    fn underline(&self, drawing: &mut Drawing, lines: &[Line], along: Along, top: f64) {
        let Some(last) = lines.iter().rposition(|line| !line.letters.are_small()) else { return };
        let (baseline, width) = (top + stack::height(&lines[..=last]), lines[last].width());
        let (from, line) = (along.left(width), self.cap * NEW_LINE);
        let y = baseline + self.cap * NEW_GAP.max(lines[last].past_capitals().1 + TAIL_GAP) + line / 2.0;
        drawing.print(Shape::line((from, y), (from + width, y), line));
    }

    /// The sign and the box of a cell, before the words that begin at `words`.
    fn draw_before(&self, drawing: &mut Drawing, cell: &Cell, words: Point) {
        let mut right = words.x;
        if let Some(sign) = &cell.sign {
            let at = Point::new(right - self.cap * SIGN_GAP, words.y + self.cap);
            let text = Text::new(sign, at, Anchor::End, self.cap, Weight::Regular);
            right = text.origin.x;
            drawing.print(text.read_from(self.measured.grid.look.distance));
        }
        if cell.tick {
            let side = self.cap * BOX;
            let corner = Point::new(right - self.cap * BOX_ROOM, words.y + (self.cap - side) / 2.0);
            drawing.print(Shape::stroke(Rect::from_origin_size(corner, (side, side)), BOX_LINE));
        }
    }

    /// Lines around the words, never through them.
    fn hatch(&self, drawing: &mut Drawing, (words, body): (Rect, Rect), (lines, anchor): (&[Line], Anchor)) {
        let gap = self.columns.gap / 2.0;
        let (left, right) = ((words.x0 - gap).max(body.x0), (words.x1 + gap).min(body.x1));
        let (width, middle) = (stack::width(lines), words.center());
        let clear = if lines.is_empty() { 0.0 } else { stack::height(lines) / 2.0 + gap };
        let start = Along::between(anchor, (words.x0, words.x1)).left(width);
        let (from, to) = ((start - gap).max(left), (start + width + gap).min(right));
        for part in [
            Rect::new(left, words.y0, from, words.y1),
            Rect::new(to, words.y0, right, words.y1),
            Rect::new(from, words.y0, to, middle.y - clear),
            Rect::new(from, middle.y + clear, to, words.y1),
        ] {
            if part.height() > 0.0 && part.width() > 0.0 {
                Shape::hatch(part, HATCH_PITCH, HATCH_WIDTH).into_iter().for_each(|shape| drawing.print(shape));
            }
        }
    }

    /// Words in the middle of a heavy line.
    fn draw_across(&self, drawing: &mut Drawing, line: Line, area: Rect) {
        let (centre, middle) = (area.center().x, area.center().y);
        let half = line.width() / 2.0 + self.cap;
        drawing.print(Shape::line((area.x0, middle), (centre - half, middle), HEAVY_RULE * 2.0));
        drawing.print(Shape::line((centre + half, middle), (area.x1, middle), HEAVY_RULE * 2.0));
        let at = Point::new(centre - line.width() / 2.0, middle - self.cap / 2.0);
        self.draw_lines(drawing, [line], at);
    }

    /// Lines under each other from the upper left corner `at`.
    fn draw_lines<'a>(&self, drawing: &mut Drawing, lines: impl IntoIterator<Item = impl Borrow<Line<'a>>>, at: Point) {
        self.draw_anchored(drawing, lines, Along::from(at.x), at.y);
    }

    /// Lines under each other from the top down, each at its place along the line.
    fn draw_anchored<'a>(
        &self,
        drawing: &mut Drawing,
        lines: impl IntoIterator<Item = impl Borrow<Line<'a>>>,
        along: Along,
        top: f64,
    ) {
        let mut baseline = top;
        for line in lines {
            let line = line.borrow();
            baseline += line.drop;
            texts(line, Point::new(along.left(line.width()), baseline)).for_each(|text| drawing.print(text));
        }
    }

    /// Lines beside each other, from the lower left corner `at`, read from the right.
    fn draw_turned<'a>(&self, drawing: &mut Drawing, lines: impl Iterator<Item = Line<'a>>, mut at: Point) {
        for line in lines {
            at.x += line.drop;
            texts(&line, at).for_each(|text| drawing.print(text.turned_about(at, -FRAC_PI_2)));
        }
    }
}

/// A line's words by weight, its baseline beginning at `at`.
fn texts(line: &Line, at: Point) -> impl Iterator<Item = Text> + use<> {
    let size = line.size;
    Word::runs(line.words, size).into_iter().map(move |run| {
        let start = (at.x + run.x, at.y);
        Text::new(run.text, start, Anchor::Start, size.cap * run.share, run.weight).read_from(size.distance)
    })
}
