//! A table laid out at one size of its letters: which words stand on which line, how high each row is. Draws nothing.

use std::ops::Range;
use std::rc::Rc;

use kurbo::{Rect, Size};

use super::Ruled;
use super::content::{Letters, Row, Under};
use super::look::{Look, RowHeights};
use super::measured::{Grid, Lanes, Measured, MeasuredCell, MeasuredHead, Part, Tail, head_cap};
use super::stack::{self, Line, stacked};
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
    pub grid: Grid<'a>,
    /// Capital height of its large letters, in millimetres.
    pub cap: f64,
    /// From its left edge to its right, in millimetres.
    pub width: f64,
    /// The lines of what stands over it.
    pub title: Vec<Line<'a>>,
    /// Where each column stands.
    pub columns: Widths,
    /// The room before and after the words of each column.
    pub lanes: Vec<Lanes>,
    /// The lines of each column's head.
    pub heads: Vec<Vec<Line<'a>>>,
    /// The lines over several heads, each with the columns under them.
    pub overs: Vec<(Range<usize>, Vec<Line<'a>>)>,
    /// Of the tallest head with what stands over it, millimetres.
    pub head_height: f64,
    /// The white between the heads and the first row, in millimetres.
    pub head_gap: f64,
    /// The number of its first row in the grid.
    pub first: usize,
    /// Its rows, from the top down.
    pub rows: Vec<PlannedRow<'a>>,
}

pub(crate) struct PlannedRow<'a> {
    /// One a column; of a row that runs across, one.
    pub cells: Vec<Vec<Line<'a>>>,
    /// Of each cell, how far its number reaches past the place of its decimal point, in capital heights.
    pub past_points: Vec<Option<f64>>,
    /// From the rule above it to the rule below, in millimetres.
    pub height: f64,
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
        let modest = (card.least_row_mm > 0.0).then_some(Title::Modest);
        let mut titles = std::iter::once(card.look.title).chain(modest);
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
        let (grid, look) = (measured.grid, measured.grid.look);
        let title = part.title.iter().flat_map(|title| title.lines(look.size(cap), room.width));
        let columns = Widths::of(measured, part, room.width, cap)?;
        let lanes: Vec<Lanes> = part.breadths.iter().map(|breadth| breadth.lanes).collect();
        let head_cap = head_cap(cap);
        let reach = columns.gap * look.head_reach;
        let heads = measured
            .heads
            .iter()
            .zip(columns.widths.iter().zip(grid.columns))
            // What ends at the right of its column has the tail of the head before it at its left.
            .map(|(head, (width, column))| (head, if column.anchor == Anchor::End { *width } else { width + reach }))
            .map(|(head, width)| head.lines(&measured.grid.look, head_cap, width));
        let heads: Vec<Vec<Line>> = heads.collect();
        let overs = measured.overs.iter().map(|(range, over)| {
            let width = columns.across(range.clone());
            (range.clone(), over.lines(&measured.grid.look, head_cap, width))
        });
        let overs: Vec<(Range<usize>, Vec<Line>)> = overs.collect();
        let head_height = head_height(&measured.heads, &heads, &overs);
        let mut rows = Vec::new();
        let mut height = 0.0;
        for (row, cells) in grid.rows[part.rows.clone()].iter().zip(&measured.rows[part.rows.clone()]) {
            let row = match row {
                Row::Cells(_, under) => PlannedRow::of_cells(measured, (cells, *under), (&columns, &lanes), cap),
                Row::Heading(_) => PlannedRow::over(measured, cells, room.width, cap),
                Row::Across(_) => PlannedRow::across(measured, cells, room.width, cap)?,
            };
            height += row.height;
            // What does not fit with these is not laid out to its end: of a large table most sizes of letters are tried in vain.
            if height > room.height {
                return None;
            }
            rows.push(row);
        }
        let mut table = PlannedTable {
            rows,
            grid,
            cap,
            width: room.width,
            title: stacked(title.map(|words| (words, Letters::Large, look.size(cap))), 0.0),
            columns,
            lanes,
            heads,
            overs,
            head_height,
            head_gap: if head_height > 0.0 { look.under_heads.at(head_cap, cap) } else { 0.0 },
            first: part.rows.start,
        };
        table.spread(room.height).then_some(table)
    }

    /// Gives the rows their share of a height; false if they need more.
    fn spread(&mut self, room: f64) -> bool {
        let (cap, rows, look) = (self.cap, &mut self.rows, self.grid.look);
        match look.rows {
            RowHeights::Alike { .. } => {
                let highest = rows.iter().map(|row| row.height).fold(0.0, f64::max);
                rows.iter_mut().for_each(|row| row.height = highest);
            }
            // An accent in the first row keeps clear of the heavy line over it.
            RowHeights::AsNeeded { .. } => {
                rows.iter_mut().take(1).for_each(|row| row.height += look.head_rule.unwrap_or(0.0));
            }
        }
        let spare = room - self.height();
        if spare < 0.0 {
            return false;
        }
        let each = spare / self.rows.len().max(1) as f64;
        for row in &mut self.rows {
            row.height = match look.rows {
                RowHeights::AsNeeded { air_most } => row.height + each.min(cap * air_most),
                RowHeights::Alike { most } => (row.height + each).min((cap * most).max(row.height)),
            };
        }
        true
    }

    /// From its title to what stands under it, millimetres.
    pub fn height(&self) -> f64 {
        let rows: f64 = self.rows.iter().map(|row| row.height).sum();
        let look = self.grid.look;
        stack::pitches(&self.title) + self.heads_height() + rows + self.cap * look.under_rows
    }

    /// Of the heads with the white around them.
    pub fn heads_height(&self) -> f64 {
        self.cap * self.grid.look.over_heads + self.head_height + self.head_gap
    }
}

/// Of the tallest head with what stands over it, millimetres.
fn head_height(heads: &[MeasuredHead], lines: &[Vec<Line>], overs: &[(Range<usize>, Vec<Line>)]) -> f64 {
    let height = |(head, lines): (&MeasuredHead, &Vec<Line>)| match head.turned {
        true => stack::width(lines),
        false => stack::height(lines),
    };
    let heights: Vec<f64> = heads.iter().zip(lines).map(height).collect();
    let with_over = overs.iter().map(|(range, over)| stack::pitches(over) + tallest(&heights, range.clone()));
    heights.iter().copied().chain(with_over).fold(0.0, f64::max)
}

/// Of the columns of a range, the tallest head, millimetres.
fn tallest(heights: &[f64], range: Range<usize>) -> f64 {
    heights.get(range).unwrap_or_default().iter().copied().fold(0.0, f64::max)
}

impl<'a> PlannedRow<'a> {
    /// A row of cells as high as the highest needs, the columns as wide as they are and with these lanes.
    fn of_cells(
        measured: &Measured,
        (cells, under): (&'a [MeasuredCell<'a>], Under),
        (widths, lanes): (&Widths, &[Lanes]),
        cap: f64,
    ) -> PlannedRow<'a> {
        let row_padding = measured.grid.look.row_padding;
        let padding = if under == Under::Nothing { LINE_PITCH - 1.0 } else { row_padding };
        // The usual white is enough for any accent and any tail.
        let is_tight = row_padding < Look::WORDS.row_padding;
        let columns = lanes.iter().zip(measured.grid.columns).enumerate();
        let mut height = 0.0_f64;
        let lines = cells.iter().zip(columns).map(|(cell, (index, (lanes, column)))| {
            let width = widths.across(index..index + cell.spans.max(1));
            let room = if column.wraps { width - lanes.before(cap) - lanes.after(cap) } else { f64::INFINITY };
            let lines = cell.lines(&measured.grid.look, cap, (room, measured.tail));
            // Words stand in the middle of their row: what reaches furthest out of them keeps clear of a rule.
            let out = |line: &Line, caps: f64| line.overhang().max(caps * line.cap());
            let over = lines.first().map_or(0.0, |line| out(line, cell.reach.0));
            let under = lines.last().map_or(0.0, |line| out(line, cell.reach.1));
            let clear = if is_tight { 2.0 * (over.max(under) + CLEAR) } else { 0.0 };
            height = height.max(stack::height(&lines) + clear.max(cap * padding));
            lines
        });
        let past_points = cells.iter().map(|cell| cell.past_point).collect();
        let cells: Vec<Vec<Line>> = lines.collect();
        PlannedRow { cells, past_points, height: height.max(measured.grid.least_row_mm) }
    }

    /// Words in the middle of a line; `None` if they leave nothing of it to be seen.
    fn across(measured: &Measured, cells: &'a [MeasuredCell<'a>], width: f64, cap: f64) -> Option<PlannedRow<'a>> {
        let row = PlannedRow::over(measured, cells, width, cap);
        let lines = row.cells.iter().flatten();
        let is_one = lines.clone().count() < 2;
        let room = width - 2.0 * (cap + ACROSS_LEAST_MM);
        (is_one && lines.map(Line::width).all(|words| words <= room)).then_some(row)
    }

    /// Words over the whole width.
    fn over(measured: &Measured, cells: &'a [MeasuredCell<'a>], width: f64, cap: f64) -> PlannedRow<'a> {
        let look = &measured.grid.look;
        let lines: Vec<Line> = cells.iter().flat_map(|cell| cell.lines(look, cap, (width, Tail::default()))).collect();
        let height = stack::pitches(&lines) + cap * HEADING_GAP;
        PlannedRow { cells: vec![lines], past_points: Vec::new(), height }
    }
}
