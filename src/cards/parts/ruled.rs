//! A table with ruled rows, its words as large as the card lets them be: to read, to tick, to write in. Knows no kind of
//! card.

use crate::wrong::Wrong;
use std::ops::Range;

use kurbo::{Point, Rect, Size};

use super::frame::{self, Frame, HEAD_SHARE, HEAVY_RULE, LINE_PITCH, RULE, Surround, good_cap_mm};
use super::label::{Label, legend_cap_mm};
use crate::drawing::legibility::LEGEND_DISTANCE;
use crate::drawing::line_breaks::{Word, Words};
use crate::drawing::{Anchor, Drawing, Shape, Text, Weight};
use crate::size::NamedSize;

/// Words are as large as fits, up to this capital height, millimetres.
const CAP_MOST: f64 = 6.5;
/// Above and below the words of a row together, in capital heights.
const ROW_PADDING: f64 = 0.9;
/// Above the words of a heading, in capital heights.
const HEADING_GAP: f64 = 0.85;
/// Between two columns, in capital heights.
const COLUMN_GAP: f64 = 1.1;
/// Between two tables, in capital heights.
const GUTTER: f64 = 2.0;
/// Rows spread over the card up to this much air, in capital heights a row.
const AIR_MOST: f64 = 1.5;
/// A box to tick and the room it takes, in capital heights.
const BOX: f64 = 1.25;
const BOX_ROOM: f64 = 1.75;
const BOX_LINE: f64 = 0.35;
const HATCH_PITCH: f64 = 2.5;
const HATCH_WIDTH: f64 = 0.12;

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
    /// No row is lower than this, millimetres; 0 if only read. On a card to write on the room goes to the writer: its
    /// letters are no larger than they need be.
    pub least_row_mm: f64,
    /// Lines between the columns too.
    pub boxed_in: bool,
    /// Set as two tables beside each other, both with all the columns.
    pub halves: Option<Halves>,
}

/// Two tables out of one.
#[derive(Clone, Debug)]
pub struct Halves {
    /// The first row of the table at the right.
    pub second_from: usize,
    /// Over each of them.
    pub titles: [String; 2],
}

/// A column. Where none asks for a share of the room, each is as wide as its words want if the card has that much, and
/// else gives up the same part of what wrapping can save.
#[derive(Clone, Debug, Default)]
pub struct Column {
    pub head: String,
    /// Its words may go on in a next line.
    pub wraps: bool,
    /// Its part of the room that the narrowest columns leave over.
    pub share: f64,
    pub least_mm: f64,
}

#[derive(Clone, Debug)]
pub enum Row {
    /// A cell for each column, and the rule under them.
    Cells(Vec<Cell>, Under),
    /// A heading over the whole width, with a heavy line under it.
    Heading(String),
    /// A heavy line across with words on it: midnight.
    Across(String),
}

/// What parts a row from the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Under {
    Line,
    HeavyLine,
    /// Nothing: the next row belongs to it.
    Nothing,
}

#[derive(Clone, Debug, Default)]
pub struct Cell {
    /// One under the other.
    pub paragraphs: Vec<Paragraph>,
    /// A box to tick before the words.
    pub tick: bool,
    /// Drawn over with thin lines around its words: nothing is there.
    pub hatched: bool,
}

/// Words that are wrapped together.
#[derive(Clone, Debug, Default)]
pub struct Paragraph {
    /// Each run in its weight.
    pub runs: Vec<(String, Weight)>,
    /// Small print, read from closer.
    pub small: bool,
}

impl Column {
    /// Its words stay on one line.
    pub fn narrow(head: impl Into<String>) -> Self {
        Column { head: head.into(), ..Column::default() }
    }

    pub fn wrapped(head: impl Into<String>) -> Self {
        Column { wraps: true, ..Column::narrow(head) }
    }

    /// Takes a share of the room that is left over.
    pub fn wide(head: impl Into<String>, share: f64) -> Self {
        Column { share, ..Column::wrapped(head) }
    }
}

impl Row {
    pub fn of(cells: impl IntoIterator<Item = Cell>) -> Self {
        Row::Cells(cells.into_iter().collect(), Under::Line)
    }
}

impl Cell {
    pub fn bold(text: impl Into<String>) -> Self {
        Cell::from(Paragraph::of(text, Weight::Bold))
    }

    pub fn plain(text: impl Into<String>) -> Self {
        Cell::from(Paragraph::of(text, Weight::Regular))
    }

    pub fn ticked(text: impl Into<String>) -> Self {
        Cell { tick: true, ..Cell::plain(text) }
    }

    pub fn empty() -> Self {
        Cell::default()
    }
}

impl From<Paragraph> for Cell {
    fn from(paragraph: Paragraph) -> Self {
        Cell { paragraphs: vec![paragraph], ..Cell::default() }
    }
}

impl Paragraph {
    pub fn of(text: impl Into<String>, weight: Weight) -> Self {
        Paragraph { runs: vec![(text.into(), weight)], small: false }
    }

    pub fn small(text: impl Into<String>) -> Self {
        Paragraph { small: true, ..Paragraph::of(text, Weight::Regular) }
    }

    /// A name in bold and what is said of it.
    pub fn named(name: &str, rest: impl Into<String>) -> Self {
        Paragraph { runs: vec![(name.to_owned(), Weight::Bold), (rest.into(), Weight::Regular)], small: false }
    }
}

impl Ruled {
    /// Draws the card at the size asked for, or at the handiest that holds it.
    ///
    /// # Errors
    /// It does not fit in letters that can be read.
    pub fn draw(&self, label: &Label) -> Result<Drawing, Wrong> {
        let measured = Measured::of(self);
        let most = if self.least_row_mm > 0.0 { good_cap_mm() } else { CAP_MOST };
        frame::fitted(self.size.as_ref(), label, |size, least| {
            let plans = frame::both_ways(size, label)
                .into_iter()
                .filter_map(|size| frame::largest_that_fits(least, most, |cap| measured.plan(label, size, cap)));
            // Of two that are alike, the card as it was asked for rather than turned.
            let best = plans.reduce(|best, plan| if plan.cap > best.cap { plan } else { best })?;
            Some(best.draw(label))
        })
    }
}

/// The words of a card with their widths, which are the same at every size.
struct Measured<'a> {
    card: &'a Ruled,
    heads: Vec<Words<'a>>,
    rows: Vec<Vec<MeasuredCell<'a>>>,
    /// From left to right; one, or two halves.
    tables: Vec<MeasuredTable<'a>>,
}

/// Rows that stand under each other, under one set of heads.
struct MeasuredTable<'a> {
    title: Option<Words<'a>>,
    rows: Range<usize>,
    /// What each column's cells need at least and want at most.
    least: Vec<Breadth>,
    wanted: Vec<Breadth>,
}

struct MeasuredCell<'a> {
    paragraphs: Vec<MeasuredParagraph<'a>>,
    /// Before the words, in capital heights.
    box_room: f64,
}

struct MeasuredParagraph<'a> {
    words: Words<'a>,
    small: bool,
}

/// A width that grows with the card's letters in part.
#[derive(Clone, Copy, Default)]
struct Breadth {
    /// Of words, in capital heights; of heads, in theirs; of small print and room to write, millimetres.
    caps: f64,
    head_caps: f64,
    fixed_mm: f64,
}

impl Breadth {
    fn at(self, cap: f64) -> f64 {
        (self.caps * cap).max(self.head_caps * head_cap(cap)).max(self.fixed_mm)
    }
}

/// Heads may be smaller than the words under them, but not hard to read.
fn head_cap(cap: f64) -> f64 {
    (cap * HEAD_SHARE).max(cap.min(good_cap_mm()))
}

impl<'a> Measured<'a> {
    fn of(card: &'a Ruled) -> Self {
        let measure = |row: &'a Row| match row {
            Row::Cells(cells, _) => cells.iter().map(MeasuredCell::of).collect(),
            Row::Heading(text) | Row::Across(text) => {
                let words = Words::of([(text.as_str(), Weight::Bold)]);
                vec![MeasuredCell { paragraphs: vec![MeasuredParagraph { words, small: false }], box_room: 0.0 }]
            }
        };
        let rows: Vec<Vec<MeasuredCell>> = card.rows.iter().map(measure).collect();
        let heads: Vec<Words> =
            card.columns.iter().map(|column| Words::of([(column.head.as_str(), Weight::Bold)])).collect();
        let table = |title, range: Range<usize>| {
            let (least, wanted) = breadths(card, &heads, &rows, range.clone());
            MeasuredTable { title, rows: range, least, wanted }
        };
        let tables = match &card.halves {
            None => vec![table(None, 0..rows.len())],
            Some(Halves { second_from, titles: [left, right] }) => {
                let second_from = (*second_from).min(rows.len());
                let title = |title: &'a String| Some(Words::of([(title.as_str(), Weight::Bold)]));
                vec![table(title(left), 0..second_from), table(title(right), second_from..rows.len())]
            }
        };
        Measured { card, heads, rows, tables }
    }

    /// The columns' widths without the gaps between them; `None` if a word would stick out.
    fn widths(&self, table: &MeasuredTable, room: f64, cap: f64) -> Option<Vec<f64>> {
        let columns = &self.card.columns;
        let room = room - cap * COLUMN_GAP * columns.len().saturating_sub(1) as f64;
        let at = |breadths: &[Breadth]| -> Vec<f64> { breadths.iter().map(|breadth| breadth.at(cap)).collect() };
        let (least, wanted) = (at(&table.least), at(&table.wanted));
        let (all_least, all_wanted): (f64, f64) = (least.iter().sum(), wanted.iter().sum());
        if all_least > room {
            return None;
        }
        let shares: f64 = columns.iter().map(|column| column.share).sum();
        let (from, more): (&[f64], Vec<f64>) = if shares > 0.0 {
            (&least, columns.iter().map(|column| (room - all_least) * column.share / shares).collect())
        } else if all_wanted > room {
            let part = (room - all_least) / (all_wanted - all_least);
            (&least, least.iter().zip(&wanted).map(|(least, wanted)| (wanted - least) * part).collect())
        } else {
            (&wanted, vec![(room - all_wanted) / columns.len() as f64; columns.len()])
        };
        Some(from.iter().zip(more).map(|(width, more)| width + more).collect())
    }

    fn plan(&self, label: &Label, size: Size, cap: f64) -> Option<Plan<'_>> {
        let frame = Frame::new(size, &self.card.surround, label, cap)?;
        let (count, gutter) = (self.tables.len() as f64, cap * GUTTER);
        let width = (frame.body.width() - gutter * (count - 1.0)) / count;
        let tables = self.tables.iter().enumerate().map(|(index, table)| {
            let left = frame.body.x0 + index as f64 * (width + gutter);
            self.plan_table(table, Rect::new(left, frame.body.y0, left + width, frame.body.y1), cap)
        });
        Some(Plan { card: self.card, tables: tables.collect::<Option<_>>()?, frame, cap })
    }

    fn plan_table<'b>(&'b self, table: &'b MeasuredTable, area: Rect, cap: f64) -> Option<PlannedTable<'b>> {
        let title: Vec<Line> = table
            .title
            .iter()
            .flat_map(|title| {
                title.lines(area.width() / cap).into_iter().map(|words| Line { words, cap, small: false })
            })
            .collect();
        let widths = self.widths(table, area.width(), cap)?;
        let head_cap = head_cap(cap);
        let line = |words| Line { words, cap: head_cap, small: false };
        let heads: Vec<Vec<Line>> = self
            .heads
            .iter()
            .zip(&widths)
            .map(|(head, width)| head.lines(width / head_cap).into_iter().map(line).collect())
            .collect();
        let head_height = heads.iter().map(|lines| pitches(lines)).fold(0.0, f64::max);
        let (first, rows) = (table.rows.start, table.rows.clone());
        let laid = self.card.rows[rows.clone()].iter().zip(&self.rows[rows]).map(|(row, cells)| match row {
            Row::Cells(_, under) => {
                let columns = widths.iter().zip(&self.card.columns);
                let cells: Vec<Vec<Line>> = cells
                    .iter()
                    .zip(columns)
                    .map(|(cell, (width, column))| cell.lines(cap, if column.wraps { *width } else { f64::INFINITY }))
                    .collect();
                let padding = if *under == Under::Nothing { LINE_PITCH - 1.0 } else { ROW_PADDING };
                let height = cells.iter().map(|lines| stack(lines)).fold(0.0, f64::max) + cap * padding;
                (cells, height.max(self.card.least_row_mm))
            }
            Row::Heading(_) | Row::Across(_) => {
                let lines: Vec<Line> = cells.iter().flat_map(|cell| cell.lines(cap, area.width())).collect();
                let height = pitches(&lines) + cap * HEADING_GAP;
                (vec![lines], height)
            }
        });
        let mut rows: Vec<(Vec<Vec<Line>>, f64)> = laid.collect();
        // An accent in the first row keeps clear of the heavy line over it.
        if let Some((_, height)) = rows.first_mut() {
            *height += HEAVY_RULE;
        }
        let spare = area.height() - pitches(&title) - head_height - rows.iter().map(|(_, height)| height).sum::<f64>();
        if spare < 0.0 {
            return None;
        }
        let air = (spare / rows.len().max(1) as f64).min(cap * AIR_MOST);
        for (_, height) in &mut rows {
            *height += air;
        }
        Some(PlannedTable { area, title, first, widths, heads, head_height, rows })
    }
}

/// What the columns of some rows need at least and want at most.
fn breadths<'a>(
    card: &Ruled,
    heads: &[Words<'a>],
    rows: &[Vec<MeasuredCell>],
    range: Range<usize>,
) -> (Vec<Breadth>, Vec<Breadth>) {
    let of_heads = |head_caps: fn(&Words<'a>) -> f64| -> Vec<Breadth> {
        let of = |(column, head): (&Column, &Words<'a>)| Breadth {
            caps: 0.0,
            head_caps: head_caps(head),
            fixed_mm: column.least_mm,
        };
        card.columns.iter().zip(heads).map(of).collect()
    };
    let (mut least, mut wanted) = (of_heads(Words::widest), of_heads(Words::whole));
    for (row, cells) in card.rows[range.clone()].iter().zip(&rows[range]) {
        if !matches!(row, Row::Cells(..)) {
            continue;
        }
        for (index, (cell, column)) in cells.iter().zip(&card.columns).enumerate() {
            for paragraph in &cell.paragraphs {
                let whole = paragraph.words.whole();
                let kept = if column.wraps { paragraph.words.widest() } else { whole };
                for (breadth, caps) in [(&mut least[index], kept), (&mut wanted[index], whole)] {
                    if paragraph.small {
                        breadth.fixed_mm = breadth.fixed_mm.max(caps * legend_cap_mm());
                    } else {
                        breadth.caps = breadth.caps.max(caps + cell.box_room);
                    }
                }
            }
        }
    }
    (least, wanted)
}

impl<'a> MeasuredCell<'a> {
    fn of(cell: &'a Cell) -> Self {
        let measure = |paragraph: &'a Paragraph| MeasuredParagraph {
            words: Words::of(paragraph.runs.iter().map(|(text, weight)| (text.as_str(), *weight))),
            small: paragraph.small,
        };
        let box_room = if cell.tick { BOX_ROOM } else { 0.0 };
        MeasuredCell { paragraphs: cell.paragraphs.iter().map(measure).collect(), box_room }
    }

    fn lines(&self, cap: f64, room: f64) -> Vec<Line<'_>> {
        let room = room - self.box_room * cap;
        let lines = self.paragraphs.iter().flat_map(|MeasuredParagraph { words, small }| {
            let cap = if *small { legend_cap_mm() } else { cap };
            words.lines(room / cap).into_iter().map(move |words| Line { words, cap, small: *small })
        });
        lines.collect()
    }
}

/// One line of a cell.
struct Line<'a> {
    words: &'a [Word<'a>],
    cap: f64,
    small: bool,
}

impl Line<'_> {
    fn width(&self) -> f64 {
        Word::width_of(self.words) * self.cap
    }
}

/// From the top of the first line to where a next one would begin.
fn pitches(lines: &[Line]) -> f64 {
    lines.iter().map(|line| line.cap * LINE_PITCH).sum()
}

/// From the top of the first line to the foot of the last.
fn stack(lines: &[Line]) -> f64 {
    pitches(lines) - lines.last().map_or(0.0, |line| line.cap * (LINE_PITCH - 1.0))
}

/// Everything laid out, nothing drawn.
struct Plan<'a> {
    card: &'a Ruled,
    frame: Frame,
    cap: f64,
    tables: Vec<PlannedTable<'a>>,
}

struct PlannedTable<'a> {
    area: Rect,
    title: Vec<Line<'a>>,
    /// The number of its first row on the card.
    first: usize,
    widths: Vec<f64>,
    heads: Vec<Vec<Line<'a>>>,
    head_height: f64,
    /// Cells, and height.
    rows: Vec<(Vec<Vec<Line<'a>>>, f64)>,
}

impl Plan<'_> {
    fn draw(&self, label: &Label) -> Drawing {
        let mut drawing = self.frame.start(self.card.name.clone(), self.card.description.clone(), label);
        for (index, table) in self.tables.iter().enumerate() {
            let foot = self.draw_table(&mut drawing, table);
            if index > 0 {
                let between = table.area.x0 - self.cap * GUTTER / 2.0;
                drawing.print(Shape::line((between, table.area.y0), (between, foot), HEAVY_RULE));
            }
        }
        drawing
    }

    /// Gives where its last row ends.
    fn draw_table(&self, drawing: &mut Drawing, table: &PlannedTable) -> f64 {
        let body = table.area;
        let gap = self.cap * COLUMN_GAP;
        let mut lefts = Vec::new();
        let mut x = body.x0;
        for width in &table.widths {
            lefts.push(x);
            x += width + gap;
        }
        draw_lines(drawing, &table.title, body.x0, body.y0);
        let top = body.y0 + pitches(&table.title);
        let mut y = top + table.head_height;
        for (lines, left) in table.heads.iter().zip(&lefts) {
            draw_lines(drawing, lines, *left, y - pitches(lines));
        }
        drawing.print(Shape::line((body.x0, y), (body.x1, y), HEAVY_RULE));
        let last = table.rows.len().saturating_sub(1);
        for (index, ((cells, height), row)) in table.rows.iter().zip(&self.card.rows[table.first..]).enumerate() {
            let under = y + height;
            match row {
                Row::Cells(given, _) => {
                    for (((lines, cell), left), width) in cells.iter().zip(given).zip(&lefts).zip(&table.widths) {
                        self.draw_cell(drawing, cell, lines, (Rect::new(*left, y, left + width, under), body));
                    }
                }
                Row::Heading(_) => draw_lines(drawing, &cells[0], body.x0, under - pitches(&cells[0])),
                Row::Across(_) => self.draw_across(drawing, &cells[0], (body, y + height / 2.0)),
            }
            if let Some(rule) = self.rule_under(table.first + index, index == last) {
                drawing.print(Shape::line((body.x0, under), (body.x1, under), rule));
            }
            y = under;
        }
        if self.card.boxed_in {
            for left in lefts.iter().skip(1) {
                drawing.print(Shape::line((left - gap / 2.0, top), (left - gap / 2.0, y), RULE));
            }
        }
        y
    }

    fn rule_under(&self, index: usize, is_last: bool) -> Option<f64> {
        let next = self.card.rows.get(index + 1);
        if matches!(next, Some(Row::Across(_))) || is_last && !self.card.boxed_in {
            return None;
        }
        match self.card.rows.get(index)? {
            Row::Cells(_, Under::Line) => Some(RULE),
            Row::Cells(_, Under::HeavyLine) | Row::Heading(_) => Some(HEAVY_RULE),
            Row::Cells(_, Under::Nothing) | Row::Across(_) => None,
        }
    }

    fn draw_cell(&self, drawing: &mut Drawing, cell: &Cell, lines: &[Line], (area, body): (Rect, Rect)) {
        if cell.hatched {
            self.hatch(drawing, (area, body), lines);
        }
        let top = area.center().y - stack(lines) / 2.0;
        let mut left = area.x0;
        if cell.tick {
            let side = self.cap * BOX;
            let box_top = top + (self.cap - side) / 2.0;
            drawing.print(Shape::stroke(Rect::new(left, box_top, left + side, box_top + side), BOX_LINE));
            left += self.cap * BOX_ROOM;
        }
        draw_lines(drawing, lines, left, top);
    }

    /// Lines around the words, never through them.
    fn hatch(&self, drawing: &mut Drawing, (words, body): (Rect, Rect), lines: &[Line]) {
        let gap = self.cap * COLUMN_GAP / 2.0;
        let (left, right) = ((words.x0 - gap).max(body.x0), (words.x1 + gap).min(body.x1));
        let middle = words.center().y;
        let clear = if lines.is_empty() { 0.0 } else { stack(lines) / 2.0 + gap };
        let beside = (words.x0 + lines.iter().map(Line::width).fold(0.0, f64::max) + gap).min(right);
        for part in [
            Rect::new(beside, words.y0, right, words.y1),
            Rect::new(left, words.y0, beside, middle - clear),
            Rect::new(left, middle + clear, beside, words.y1),
        ] {
            if part.height() > 0.0 && part.width() > 0.0 {
                Shape::hatch(part, HATCH_PITCH, HATCH_WIDTH).into_iter().for_each(|shape| drawing.print(shape));
            }
        }
    }

    /// Words in the middle of a heavy line.
    fn draw_across(&self, drawing: &mut Drawing, lines: &[Line], (body, middle): (Rect, f64)) {
        let Some(line) = lines.first() else { return };
        let centre = body.center().x;
        let half = line.width() / 2.0 + self.cap;
        drawing.print(Shape::line((body.x0, middle), (centre - half, middle), HEAVY_RULE * 2.0));
        drawing.print(Shape::line((centre + half, middle), (body.x1, middle), HEAVY_RULE * 2.0));
        draw_lines(drawing, &lines[..1], centre - line.width() / 2.0, middle - self.cap / 2.0);
    }
}

fn draw_lines(drawing: &mut Drawing, lines: &[Line], left: f64, mut top: f64) {
    for line in lines {
        for (x, text, weight) in Word::runs(line.words) {
            let at = Point::new(left + x * line.cap, top + line.cap);
            let text = Text::new(text, at, Anchor::Start, line.cap, weight);
            drawing.print(if line.small { text.read_from(LEGEND_DISTANCE) } else { text });
        }
        top += line.cap * LINE_PITCH;
    }
}
