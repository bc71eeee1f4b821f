//! The words of a table with their widths, which are the same at every size. Lays nothing out.

use std::ops::Range;

use super::Halves;
use super::content::{Breaks, Cell, Column, Head, Letters, Paragraph, Row};
use super::look::Look;
use super::stack::{Line, stacked};
use crate::cards::parts::frame::{HEAD_SHARE, good_cap_mm};
use crate::cards::parts::label::legend_cap_mm;
use crate::drawing::line_breaks::Words;
use crate::drawing::{Weight, font};

/// The room that a box to tick takes before the words, in capital heights.
pub const BOX_ROOM: f64 = 1.75;
/// Between a sign and the words after it, in capital heights.
pub const SIGN_GAP: f64 = 0.35;
/// Between words and the box around them, in capital heights.
pub const BOXED_GAP: f64 = 0.35;
/// Between words and the line to write on after them, in capital heights.
pub const WRITE_GAP: f64 = 0.5;

/// A table as it was made up.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Grid<'a> {
    /// The columns, with their heads.
    pub columns: &'a [Column],
    /// The rows, from the top down.
    pub rows: &'a [Row],
    /// No row is lower than this, millimetres.
    pub least_row_mm: f64,
    /// Lines between all the columns.
    pub boxed_in: bool,
    /// How large and how open it is.
    pub look: Look,
}

/// A table with all its words measured.
pub(crate) struct Measured<'a> {
    /// What was measured.
    pub grid: Grid<'a>,
    /// One for each column.
    pub heads: Vec<MeasuredHead<'a>>,
    /// The cells of each row of the grid, in the same order.
    pub rows: Vec<Vec<MeasuredCell<'a>>>,
    /// From left to right; one, or two halves.
    pub parts: Vec<Part<'a>>,
    /// How far figures with small print beneath hang below their baseline, in capital heights: the same for all, so that the
    /// small print of a row stands on one line.
    pub tail: f64,
}

/// Rows that stand under each other, under one set of heads.
pub(crate) struct Part<'a> {
    /// What stands over this half, where there are two.
    pub title: Option<Words<'a>>,
    /// Which rows of the grid they are.
    pub rows: Range<usize>,
    /// What each column's cells need.
    pub breadths: Vec<Breadth>,
}

pub(crate) struct MeasuredHead<'a> {
    /// What it says, from the top down.
    pub paragraphs: Vec<MeasuredParagraph<'a>>,
    /// Whether it stands on end, to be read from the right.
    pub turned: bool,
}

pub(crate) struct MeasuredCell<'a> {
    paragraphs: Vec<MeasuredParagraph<'a>>,
    /// Of a line to write on in place of words, millimetres.
    line_mm: f64,
    lanes: Lanes,
}

/// The room before and after the words of a column.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Lanes {
    /// Of boxes and signs, in capital heights.
    before: f64,
    /// The longest of the lines to write on, millimetres, and the white before it, in capital heights.
    write_mm: f64,
    write_gap: f64,
}

impl Lanes {
    /// Millimetres.
    pub fn before(self, cap: f64) -> f64 {
        self.before * cap
    }

    /// Millimetres.
    pub fn after(self, cap: f64) -> f64 {
        self.write_gap * cap + self.write_mm
    }

    fn hold(&mut self, other: Lanes) {
        self.before = self.before.max(other.before);
        self.write_mm = self.write_mm.max(other.write_mm);
        self.write_gap = self.write_gap.max(other.write_gap);
    }
}

pub(crate) struct MeasuredParagraph<'a> {
    /// The words with their widths.
    pub words: Words<'a>,
    /// Which of the table's sizes they have.
    pub letters: Letters,
}

/// The widths of the cells of a column, which grow with the table's letters in part.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Breadth {
    /// At least, and on as few lines as there can be.
    pub least: Extent,
    /// With every paragraph on one line.
    pub wanted: Extent,
    /// What boxes, signs and lines to write on need beside the words.
    pub lanes: Lanes,
}

/// How wide words are: the large ones in capital heights, small print in millimetres.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Extent {
    caps: f64,
    small_mm: f64,
}

impl Extent {
    /// The width in millimetres, where the table's capitals are `cap` high.
    pub fn at(self, cap: f64) -> f64 {
        (self.caps * cap).max(self.small_mm)
    }

    fn hold(&mut self, letters: Letters, caps: f64) {
        match letters {
            Letters::Large => self.caps = self.caps.max(caps),
            Letters::Small | Letters::Beneath => self.small_mm = self.small_mm.max(caps * legend_cap_mm()),
        }
    }
}

/// Heads may be smaller than the words under them, but not hard to read.
pub(crate) fn head_cap(cap: f64) -> f64 {
    (cap * HEAD_SHARE).max(cap.min(good_cap_mm()))
}

impl<'a> Measured<'a> {
    /// Measures every word once; `halves` are the titles and rows of a table in two parts.
    pub fn new(grid: Grid<'a>, halves: Option<&'a Halves>) -> Self {
        let rows: Vec<Vec<MeasuredCell>> = grid.rows.iter().map(measured_row).collect();
        let heads = grid.columns.iter().map(|column| MeasuredHead::of(&column.head)).collect();
        let part = |title: Option<&'a String>, range: Range<usize>| Part {
            title: title.map(|title| Words::of([(title.as_str(), Weight::Bold)])),
            rows: range.clone(),
            breadths: breadths(&grid, &rows, range),
        };
        let parts = match halves {
            None => vec![part(None, 0..rows.len())],
            Some(Halves { second_from, titles: [left, right] }) => {
                let second_from = (*second_from).min(rows.len());
                vec![part(Some(left), 0..second_from), part(Some(right), second_from..rows.len())]
            }
        };
        Measured { tail: tail(grid.rows), grid, heads, rows, parts }
    }
}

fn measured_row(row: &Row) -> Vec<MeasuredCell<'_>> {
    match row {
        Row::Cells(cells, _) => cells.iter().map(MeasuredCell::of).collect(),
        Row::Heading(text) | Row::Across(text) => {
            let words = Words::of([(text.as_str(), Weight::Bold)]);
            vec![MeasuredCell {
                paragraphs: vec![MeasuredParagraph { words, letters: Letters::Large }],
                line_mm: 0.0,
                lanes: Lanes::default(),
            }]
        }
    }
}

/// What the cells of each column need in some rows.
fn breadths(grid: &Grid, rows: &[Vec<MeasuredCell>], range: Range<usize>) -> Vec<Breadth> {
    let mut breadths = vec![Breadth::default(); grid.columns.len()];
    for (row, cells) in grid.rows[range.clone()].iter().zip(&rows[range]) {
        if !matches!(row, Row::Cells(..)) {
            continue;
        }
        for ((breadth, cell), column) in breadths.iter_mut().zip(cells).zip(grid.columns) {
            breadth.lanes.hold(cell.lanes);
            for extent in [&mut breadth.least, &mut breadth.wanted] {
                extent.small_mm = extent.small_mm.max(cell.line_mm);
            }
            for MeasuredParagraph { words, letters } in &cell.paragraphs {
                let whole = words.whole();
                breadth.least.hold(*letters, if column.wraps { words.widest() } else { whole });
                breadth.wanted.hold(*letters, whole);
            }
        }
    }
    breadths
}

/// Of the figures with small print beneath, the longest tail, in capital heights.
fn tail(rows: &[Row]) -> f64 {
    let cells = rows.iter().flat_map(|row| match row {
        Row::Cells(cells, _) => cells.as_slice(),
        Row::Heading(_) | Row::Across(_) => &[],
    });
    let has_beneath = |cell: &&Cell| cell.paragraphs.iter().any(|paragraph| paragraph.letters == Letters::Beneath);
    let figures = cells.filter(has_beneath).flat_map(|cell| &cell.paragraphs);
    let runs = figures.filter(|paragraph| paragraph.letters == Letters::Large).flat_map(|paragraph| &paragraph.runs);
    runs.map(|(text, weight)| font::reach(text, *weight).1).fold(0.0, f64::max) / font::CAP_HEIGHT_EM
}

impl<'a> MeasuredParagraph<'a> {
    fn of(paragraph: &'a Paragraph) -> Self {
        let runs = paragraph.runs.iter().map(|(text, weight)| (text.as_str(), *weight));
        let words = match paragraph.breaks {
            Breaks::Words => Words::of(runs),
            Breaks::Runs => Words::of_whole(runs),
        };
        MeasuredParagraph { words, letters: paragraph.letters }
    }
}

impl<'a> MeasuredHead<'a> {
    fn of(head: &'a Head) -> Self {
        MeasuredHead { paragraphs: head.paragraphs.iter().map(MeasuredParagraph::of).collect(), turned: head.turned }
    }

    /// Its lines over a column of this width; a turned head is not broken.
    pub fn lines(&self, head_cap: f64, width: f64) -> Vec<Line<'_>> {
        lines(&self.paragraphs, head_cap, if self.turned { f64::INFINITY } else { width }, 0.0)
    }

    /// What it takes of its column's width at least, and on as few lines as there can be.
    pub fn widths(&self, head_cap: f64) -> (f64, f64) {
        if self.turned {
            let across = super::stack::height(&self.lines(head_cap, f64::INFINITY));
            return (across, across);
        }
        let (mut least, mut wanted) = (Extent::default(), Extent::default());
        for MeasuredParagraph { words, letters } in &self.paragraphs {
            least.hold(*letters, words.widest());
            wanted.hold(*letters, words.whole());
        }
        (least.at(head_cap), wanted.at(head_cap))
    }
}

impl<'a> MeasuredCell<'a> {
    fn of(cell: &'a Cell) -> Self {
        let sign =
            cell.sign.as_ref().map_or(0.0, |sign| font::width(sign, Weight::Regular) / font::CAP_HEIGHT_EM + SIGN_GAP);
        let boxed = if cell.boxed { BOXED_GAP } else { 0.0 };
        // A line alone takes the place of words, and needs no room beside them.
        let (line_mm, write_mm) = if cell.paragraphs.is_empty() { (cell.write_mm, 0.0) } else { (0.0, cell.write_mm) };
        let lanes = Lanes {
            before: sign + boxed + if cell.tick { BOX_ROOM } else { 0.0 },
            write_mm,
            write_gap: boxed + if write_mm > 0.0 { WRITE_GAP } else { 0.0 },
        };
        MeasuredCell { paragraphs: cell.paragraphs.iter().map(MeasuredParagraph::of).collect(), line_mm, lanes }
    }

    /// Its lines in `room` millimetres, without what stands before and after them.
    pub fn lines(&self, cap: f64, room: f64, tail: f64) -> Vec<Line<'_>> {
        lines(&self.paragraphs, cap, room, tail)
    }
}

fn lines<'a>(paragraphs: &'a [MeasuredParagraph<'a>], cap: f64, room: f64, tail: f64) -> Vec<Line<'a>> {
    let lines = paragraphs.iter().flat_map(|MeasuredParagraph { words, letters }| {
        let cap = if *letters == Letters::Large { cap } else { legend_cap_mm() };
        words.lines(room / cap).into_iter().map(move |words| (words, *letters, cap))
    });
    stacked(lines, tail)
}
