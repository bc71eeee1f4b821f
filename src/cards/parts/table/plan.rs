//! A table at one size of its letters: where each column stands, how high each row is. Most sizes are tried in vain, so lines
//! of words are laid out to be counted here, and kept only where they are drawn. Draws nothing.

use std::ops::Range;
use std::rc::Rc;

use kurbo::{Rect, Size};

use super::Ruled;
use super::content::{Letters, Under};
use super::look::{Look, RowHeights};
use super::measured::{Lanes, Measured, MeasuredCell, MeasuredHead, MeasuredParagraph, MeasuredRow, Part, head_cap};
use super::stack::{self, Ends, Line, stacked};
use super::widths::Widths;
use crate::cards::parts::frame::{Frame, LINE_PITCH, SmallPrint, Title};
use crate::drawing::Anchor;

/// White between the furthest of a word and the middle of a rule, millimetres.
const CLEAR: f64 = 0.3;
/// Above the words of a heading, in capital heights.
const HEADING_GAP: f64 = 0.85;
/// Of the line that words stand in, at either side, millimetres.
const ACROSS_LEAST_MM: f64 = 2.0;
/// Between two tables, in capital heights.
pub const GUTTER: f64 = 2.0;

/// A whole card laid out.
pub(crate) struct Plan<'a> {
    /// What is laid out.
    pub card: &'a Ruled,
    /// The title and the small print around it.
    pub frame: Frame,
    /// Capital height of the large letters, millimetres.
    pub cap: f64,
    /// Each with its place.
    pub tables: Vec<(Rect, PlannedTable<'a>)>,
}

/// A table laid out; it can be put anywhere.
pub(crate) struct PlannedTable<'a> {
    /// What it was made from.
    pub measured: &'a Measured<'a>,
    /// Which of its rows, under which title.
    pub part: &'a Part<'a>,
    /// Capital height of its large letters, in millimetres.
    pub cap: f64,
    /// From its left edge to its right, in millimetres.
    pub width: f64,
    /// Where each column stands.
    pub columns: Widths,
    /// How far its figures over small print hang below their baseline, in capital heights.
    tail: f64,
    /// Of what stands over it, millimetres.
    pub title_height: f64,
    /// Of the tallest head with what stands over it, millimetres.
    pub head_height: f64,
    /// The white between the heads and the first row, in millimetres.
    pub head_gap: f64,
    /// Of its rows, from the top down: from the rule above each to the rule below, in millimetres.
    pub heights: Vec<f64>,
}

impl<'a> Plan<'a> {
    /// `None` if letters of `cap` millimetres are too large.
    pub fn of_card(
        card: &'a Ruled,
        measured: &'a Measured,
        small: &Rc<SmallPrint>,
        size: Size,
        cap: f64,
    ) -> Option<Plan<'a>> {
        // On a card to write on the title makes way for the rows before the card becomes larger.
        let grid = &measured.grid;
        let modest = (grid.least_row_mm > 0.0).then_some(Title::Modest);
        let mut titles = std::iter::once(grid.look.title).chain(modest);
        titles.find_map(|title| {
            let frame = Frame::around(size, &card.surround, small, cap, title)?;
            Plan::in_frame(card, measured, frame, cap)
        })
    }

    fn in_frame(card: &'a Ruled, measured: &'a Measured, frame: Frame, cap: f64) -> Option<Plan<'a>> {
        let (count, gutter) = (measured.parts.len() as f64, cap * GUTTER);
        let width = (frame.body.width() - gutter * (count - 1.0)) / count;
        let tables = measured.parts.iter().enumerate().map(|(index, part)| {
            let left = frame.body.x0 + index as f64 * (width + gutter);
            let area = Rect::new(left, frame.body.y0, left + width, frame.body.y1);
            Some((area, PlannedTable::of(measured, part, area.size(), cap)?))
        });
        Some(Plan { card, tables: tables.collect::<Option<_>>()?, frame, cap })
    }
}

impl<'a> PlannedTable<'a> {
    /// `None` if letters of `cap` millimetres do not fit `room`.
    pub fn of(measured: &'a Measured, part: &'a Part, room: Size, cap: f64) -> Option<PlannedTable<'a>> {
        let look = measured.grid.look;
        let mut table = PlannedTable {
            measured,
            part,
            cap,
            width: room.width,
            columns: Widths::of(measured, part, room.width, cap)?,
            tail: measured.tail.at(look.size(cap)),
            title_height: 0.0,
            head_height: 0.0,
            head_gap: 0.0,
            heights: Vec::with_capacity(part.rows.len()),
        };
        let mut height = 0.0;
        for row in table.rows() {
            let row = table.row_height(row)?;
            height += row;
            // What does not fit with these is not laid out to its end: of a large table most sizes of letters are tried in vain.
            if height > room.height {
                return None;
            }
            table.heights.push(row);
        }
        table.title_height = stack::pitches(table.title());
        table.head_height = table.tallest_head();
        table.head_gap = if table.head_height > 0.0 { look.under_heads.at(head_cap(cap), cap) } else { 0.0 };
        table.spread(room.height).then_some(table)
    }

    /// Its rows, from the top down.
    pub fn rows(&self) -> &'a [MeasuredRow<'a>] {
        self.measured.rows.get(self.part.rows.clone()).unwrap_or_default()
    }

    /// The lines over it.
    pub fn title(&self) -> impl Iterator<Item = Line<'a>> {
        let (size, width) = (self.measured.grid.look.size(self.cap), self.width);
        let lines = self.part.title.iter().flat_map(move |title| title.lines(size, width));
        stacked(lines.map(move |words| (words, Letters::Large, size)), 0.0)
    }

    /// The lines of the head over a column.
    pub fn head(&self, column: usize) -> impl Iterator<Item = Line<'a>> {
        let look = &self.measured.grid.look;
        let width = self.columns.widths[column];
        // What ends at the right of its column has the tail of the head before it at its left.
        let is_at_end = self.measured.grid.columns[column].anchor == Anchor::End;
        let width = if is_at_end { width } else { width + self.columns.gap * look.head_reach };
        self.measured.heads[column].lines(look, head_cap(self.cap), width)
    }

    /// The lines over the heads of several columns.
    pub fn over(&self, (columns, over): &'a (Range<usize>, MeasuredHead<'a>)) -> impl Iterator<Item = Line<'a>> {
        over.lines(&self.measured.grid.look, head_cap(self.cap), self.columns.across(columns.clone()))
    }

    /// The lines of a cell.
    pub fn cell(&self, column: usize, cell: &'a MeasuredCell<'a>) -> impl Iterator<Item = Line<'a>> {
        let width = self.columns.across(column..column + cell.cell.spans.max(1));
        let lanes = self.lanes(column);
        let wraps = self.measured.grid.columns[column].wraps;
        let room = if wraps { width - lanes.before(self.cap) - lanes.after(self.cap) } else { f64::INFINITY };
        cell.lines(&self.measured.grid.look, self.cap, (room, self.tail))
    }

    /// The lines of words over its whole width.
    pub fn across(&self, words: &'a MeasuredParagraph<'a>) -> impl Iterator<Item = Line<'a>> {
        words.lines(&self.measured.grid.look, self.cap, self.width)
    }

    /// The room before and after the words of a column.
    pub fn lanes(&self, column: usize) -> Lanes {
        self.part.breadths[column].lanes
    }

    /// What a row needs, millimetres; `None` if words in the middle of a line leave nothing of it to be seen.
    fn row_height(&self, row: &'a MeasuredRow<'a>) -> Option<f64> {
        let across = |words| stack::pitches(self.across(words)) + self.cap * HEADING_GAP;
        match row {
            MeasuredRow::Cells(cells, under) => Some(self.cells_height(cells, *under)),
            MeasuredRow::Heading(words) => Some(across(words)),
            MeasuredRow::Across(words) => self.leaves_a_line(words).then(|| across(words)),
        }
    }

    /// Whether words in the middle of a line leave enough of it at either side.
    fn leaves_a_line(&self, words: &'a MeasuredParagraph<'a>) -> bool {
        let room = self.width - 2.0 * (self.cap + ACROSS_LEAST_MM);
        let mut lines = self.across(words);
        lines.next().is_none_or(|line| line.width() <= room) && lines.next().is_none()
    }

    /// What the highest cell of a row needs, millimetres.
    fn cells_height(&self, cells: &'a [Rc<MeasuredCell<'a>>], under: Under) -> f64 {
        let row_padding = self.measured.grid.look.row_padding;
        let padding = self.cap * if under == Under::Nothing { LINE_PITCH - 1.0 } else { row_padding };
        // The usual white is enough for any accent and any tail.
        let is_tight = row_padding < Look::WORDS.row_padding;
        let cells = cells.iter().take(self.measured.grid.columns.len()).enumerate();
        let heights = cells.map(|(column, cell)| {
            let lines = Ends::of(self.cell(column, cell));
            let clear = if is_tight { clear(&lines, cell.reach()) } else { 0.0 };
            lines.height + clear.max(padding)
        });
        heights.fold(0.0, f64::max).max(self.measured.grid.least_row_mm)
    }

    /// Gives the rows their share of a height; false if they need more.
    fn spread(&mut self, room: f64) -> bool {
        let (cap, rows, look) = (self.cap, &mut self.heights, self.measured.grid.look);
        match look.rows {
            RowHeights::Alike { .. } => {
                let highest = rows.iter().copied().fold(0.0, f64::max);
                rows.fill(highest);
            }
            // An accent in the first row keeps clear of the heavy line over it.
            RowHeights::AsNeeded { .. } => {
                rows.iter_mut().take(1).for_each(|row| *row += look.head_rule.unwrap_or(0.0));
            }
        }
        let spare = room - self.height();
        if spare < 0.0 {
            return false;
        }
        let each = spare / self.heights.len().max(1) as f64;
        for row in &mut self.heights {
            *row = match look.rows {
                RowHeights::AsNeeded { air_most } => *row + each.min(cap * air_most),
                RowHeights::Alike { most } => (*row + each).min((cap * most).max(*row)),
            };
        }
        true
    }

    /// From its title to what stands under it, millimetres.
    pub fn height(&self) -> f64 {
        let rows: f64 = self.heights.iter().sum();
        self.title_height + self.heads_height() + rows + self.cap * self.measured.grid.look.under_rows
    }

    /// Of the heads with the white around them.
    pub fn heads_height(&self) -> f64 {
        self.cap * self.measured.grid.look.over_heads + self.head_height + self.head_gap
    }

    /// Of the tallest head with what stands over it, millimetres.
    fn tallest_head(&self) -> f64 {
        let height = |(column, head): (usize, &MeasuredHead)| match head.turned {
            true => stack::width(self.head(column)),
            false => stack::height(self.head(column)),
        };
        let heights: Vec<f64> = self.measured.heads.iter().enumerate().map(height).collect();
        let overs = self.measured.overs.iter();
        let with_over = overs.map(|over| stack::pitches(self.over(over)) + tallest(&heights, over.0.clone()));
        heights.iter().copied().chain(with_over).fold(0.0, f64::max)
    }
}

/// Of the columns of a range, the tallest head, millimetres.
fn tallest(heights: &[f64], range: Range<usize>) -> f64 {
    heights.get(range).unwrap_or_default().iter().copied().fold(0.0, f64::max)
}

/// Words stand in the middle of their row: what reaches furthest out of them, in capital heights, keeps clear of a rule, in
/// millimetres.
fn clear(lines: &Ends, (over, under): (f64, f64)) -> f64 {
    let out = |line: Option<Line>, caps: f64| line.map_or(0.0, |line| line.overhang().max(caps * line.cap()));
    2.0 * (out(lines.first, over).max(out(lines.last, under)) + CLEAR)
}
