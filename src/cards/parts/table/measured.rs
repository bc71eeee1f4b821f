//! The words of a table with their widths, which are the same at every size. Lays nothing out.

use std::ops::Range;

use super::Halves;
use super::content::{Breaks, Cell, Column, Head, Letters, Over, Paragraph, Row};
use super::look::Look;
use super::stack::{Line, stacked};
use crate::cards::parts::frame::{HEAD_SHARE, good_cap_mm};
use crate::drawing::line_breaks::Words;
use crate::drawing::{Anchor, TypeSize, Weight, font};
use crate::tuning::mark::MINUS;

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
    /// Words over several heads, each with the columns under it.
    pub overs: Vec<(Range<usize>, MeasuredHead<'a>)>,
    /// The cells of each row of the grid, in the same order.
    pub rows: Vec<Vec<MeasuredCell<'a>>>,
    /// From left to right; one, or two halves.
    pub parts: Vec<Part<'a>>,
    /// How far figures with small print beneath hang below their baseline: the same for all, so that the small print of a
    /// row stands on one line.
    pub tail: Tail,
}

/// Rows that stand under each other, under one set of heads.
pub(crate) struct Part<'a> {
    /// What stands over this half, where there are two.
    pub title: Option<Words<'a>>,
    /// Which rows of the grid they are.
    pub rows: Range<usize>,
    /// What each column's cells need.
    pub breadths: Vec<Breadth>,
    /// What cells over several columns need of them together.
    pub joint: Vec<(Range<usize>, Breadth)>,
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
    /// How far its number reaches past the place of its decimal point, in capital heights; `None` of other words.
    pub past_point: Option<f64>,
    /// Over how many columns it stands; 0 and 1 are one.
    pub spans: usize,
    /// How far accents of its first paragraph stand over the capitals, and tails of its last hang under the line, in capital
    /// heights.
    pub reach: (f64, f64),
}

/// The room before and after the words of a column.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Lanes {
    /// Of boxes and signs, in capital heights.
    before: f64,
    /// The longest of the lines to write on, millimetres, and the white before it, in capital heights.
    write_mm: f64,
    write_gap: f64,
    /// What the longest decimals take, in capital heights, where numbers stand with their points under each other.
    past_point: f64,
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

    /// How far a number that reaches so far past its point ends before the right of its column, millimetres.
    pub fn hang(self, past_point: Option<f64>, cap: f64) -> f64 {
        past_point.map_or(0.0, |past| (self.past_point - past).max(0.0) * cap)
    }

    fn hold(&mut self, other: Lanes) {
        self.before = self.before.max(other.before);
        self.write_mm = self.write_mm.max(other.write_mm);
        self.write_gap = self.write_gap.max(other.write_gap);
        self.past_point = self.past_point.max(other.past_point);
    }
}

pub(crate) struct MeasuredParagraph<'a> {
    /// The words with their widths.
    pub words: Words<'a>,
    /// Which of the table's sizes they have.
    pub letters: Letters,
    /// Whether they all stand on one line.
    pub is_whole: bool,
}

/// How far figures hang below their baseline.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct Tail {
    /// Their letters, in capital heights.
    letters: f64,
    /// Whether some have fractions, which are larger than the figures where those are small.
    has_fractions: bool,
}

impl Tail {
    /// In capital heights of letters of this size.
    pub fn at(self, size: TypeSize) -> f64 {
        let fractions = if self.has_fractions { (size.fractions() - 1.0) / 2.0 } else { 0.0 };
        self.letters + fractions
    }
}

/// The widths of the cells of a column, which grow with the table's letters in part.
#[derive(Clone, Debug, Default)]
pub(crate) struct Breadth {
    /// At least, and on as few lines as there can be.
    pub least: Extent,
    /// With every paragraph on one line.
    pub wanted: Extent,
    /// What boxes, signs and lines to write on need beside the words.
    pub lanes: Lanes,
}

/// How wide words are: those that do not grow with the table in millimetres; of the others, in ems, their letters and their
/// fractions, without those that are wider in neither.
#[derive(Clone, Debug, Default)]
pub(crate) struct Extent {
    large: Vec<(f64, f64)>,
    must: Vec<(f64, f64)>,
    small_mm: f64,
}

impl Extent {
    /// The width in millimetres, where the table's letters are this high.
    pub fn at(&self, look: &Look, cap: f64) -> f64 {
        let widest = |of: &[(f64, f64)], size: TypeSize| of.iter().map(|one| size.of_widths(*one)).fold(0.0, f64::max);
        let large = widest(&self.large, look.size(cap));
        large.max(widest(&self.must, look.size_of(Letters::Must, cap))).max(self.small_mm)
    }

    fn hold(&mut self, look: &Look, letters: Letters, widths: (f64, f64)) {
        match letters {
            Letters::Large => widen(&mut self.large, widths),
            Letters::Must => widen(&mut self.must, widths),
            Letters::Small | Letters::Beneath => {
                self.small_mm = self.small_mm.max(look.size_of(letters, 0.0).of_widths(widths));
            }
        }
    }
}

impl Letters {
    /// Whether they are read from closer than the table's other words.
    pub fn are_small(self) -> bool {
        matches!(self, Letters::Small | Letters::Beneath)
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
            breadths: breadths(&grid, &rows, range.clone()),
            joint: joint(&grid, &rows, range),
        };
        let overs = grid.columns.iter().enumerate().filter_map(|(index, column)| {
            let over = column.over.as_ref()?;
            let columns = index..(index + over.columns.max(1)).min(grid.columns.len());
            Some((columns, MeasuredHead::over(over)))
        });
        let overs = overs.collect();
        let parts = match halves {
            None => vec![part(None, 0..rows.len())],
            Some(Halves { second_from, titles: [left, right] }) => {
                let second_from = (*second_from).min(rows.len());
                vec![part(Some(left), 0..second_from), part(Some(right), second_from..rows.len())]
            }
        };
        Measured { tail: tail(grid.rows), grid, heads, overs, rows, parts }
    }
}

fn measured_row(row: &Row) -> Vec<MeasuredCell<'_>> {
    match row {
        Row::Cells(cells, _) => cells.iter().map(MeasuredCell::of).collect(),
        Row::Heading(text) | Row::Across(text) => {
            let words = Words::of([(text.as_str(), Weight::Bold)]);
            vec![MeasuredCell {
                paragraphs: vec![MeasuredParagraph { words, letters: Letters::Large, is_whole: false }],
                line_mm: 0.0,
                lanes: Lanes::default(),
                past_point: None,
                spans: 0,
                reach: (0.0, 0.0),
            }]
        }
    }
}

/// What the cells of each column need in some rows.
fn breadths(grid: &Grid, rows: &[Vec<MeasuredCell>], range: Range<usize>) -> Vec<Breadth> {
    let mut breadths = vec![Breadth::default(); grid.columns.len()];
    for cells in &rows[range.clone()] {
        for ((breadth, cell), column) in breadths.iter_mut().zip(cells).zip(grid.columns) {
            let past = cell.past_point.filter(|_| column.anchor == Anchor::End).unwrap_or_default();
            breadth.lanes.past_point = breadth.lanes.past_point.max(past);
        }
    }
    for (row, cells) in grid.rows[range.clone()].iter().zip(&rows[range]) {
        if !matches!(row, Row::Cells(..)) {
            continue;
        }
        for ((breadth, cell), column) in breadths.iter_mut().zip(cells).zip(grid.columns) {
            if cell.spans <= 1 {
                breadth.hold(&grid.look, cell, column.wraps);
            }
        }
    }
    breadths
}

/// Notes some widths, unless others are as wide in both, in place of those that are wider in neither.
fn widen(known: &mut Vec<(f64, f64)>, widths: (f64, f64)) {
    let holds = |one: &(f64, f64), other: &(f64, f64)| one.0 >= other.0 && one.1 >= other.1;
    if !known.iter().any(|one| holds(one, &widths)) {
        known.retain(|one| !holds(&widths, one));
        known.push(widths);
    }
}

/// What the cells that stand over several columns need of them.
fn joint(grid: &Grid, rows: &[Vec<MeasuredCell>], range: Range<usize>) -> Vec<(Range<usize>, Breadth)> {
    let mut joint = Vec::new();
    for (row, cells) in grid.rows[range.clone()].iter().zip(&rows[range]) {
        if !matches!(row, Row::Cells(..)) {
            continue;
        }
        for (index, cell) in cells.iter().enumerate().filter(|(_, cell)| cell.spans > 1) {
            let mut breadth = Breadth::default();
            breadth.hold(&grid.look, cell, grid.columns.get(index).is_some_and(|column| column.wraps));
            joint.push((index..(index + cell.spans).min(grid.columns.len()), breadth));
        }
    }
    joint
}

impl Breadth {
    fn hold(&mut self, look: &Look, cell: &MeasuredCell, wraps: bool) {
        self.lanes.hold(cell.lanes);
        for extent in [&mut self.least, &mut self.wanted] {
            extent.small_mm = extent.small_mm.max(cell.line_mm);
        }
        for MeasuredParagraph { words, letters, is_whole } in &cell.paragraphs {
            let hang = self.lanes.hang(cell.past_point, font::CAP_HEIGHT_EM);
            let whole = words.whole();
            let whole = (whole.0 + hang, whole.1);
            match wraps && !is_whole {
                true => words.each().for_each(|word| self.least.hold(look, *letters, word)),
                false => self.least.hold(look, *letters, whole),
            }
            self.wanted.hold(look, *letters, whole);
        }
    }

    /// At least and at most, millimetres, where the table's capitals are `cap` high.
    pub fn widths(&self, look: &Look, cap: f64) -> (f64, f64) {
        let lanes = self.lanes.before(cap) + self.lanes.after(cap);
        (self.least.at(look, cap) + lanes, self.wanted.at(look, cap) + lanes)
    }
}

/// Of the figures with small print beneath, the longest tail.
fn tail(rows: &[Row]) -> Tail {
    let cells = rows.iter().flat_map(|row| match row {
        Row::Cells(cells, _) => cells.as_slice(),
        Row::Heading(_) | Row::Across(_) => &[],
    });
    let has_beneath = |cell: &&Cell| cell.paragraphs.iter().any(|paragraph| paragraph.letters == Letters::Beneath);
    let figures = cells.filter(has_beneath).flat_map(|cell| &cell.paragraphs);
    let runs = figures.filter(|paragraph| paragraph.letters == Letters::Large).flat_map(|paragraph| &paragraph.runs);
    runs.fold(Tail::default(), |tail, (text, weight)| Tail {
        letters: tail.letters.max(font::reach(text, *weight).1 / font::CAP_HEIGHT_EM),
        has_fractions: tail.has_fractions || font::widths(text, *weight).1 > 0.0,
    })
}

impl<'a> MeasuredParagraph<'a> {
    fn of(paragraph: &'a Paragraph) -> Self {
        let runs = paragraph.runs.iter().map(|(text, weight)| (text.as_str(), *weight));
        let words = match paragraph.breaks {
            Breaks::Words => Words::of(runs),
            Breaks::Runs | Breaks::Never => Words::of_whole(runs),
        };
        let words = match paragraph.regular_share {
            Some(share) => words.with_regular(share),
            None => words,
        };
        MeasuredParagraph { words, letters: paragraph.letters, is_whole: paragraph.breaks == Breaks::Never }
    }
}

impl<'a> MeasuredHead<'a> {
    fn of(head: &'a Head) -> Self {
        MeasuredHead { paragraphs: head.paragraphs.iter().map(MeasuredParagraph::of).collect(), turned: head.turned }
    }

    fn over(over: &'a Over) -> Self {
        MeasuredHead { paragraphs: over.paragraphs.iter().map(MeasuredParagraph::of).collect(), turned: false }
    }

    /// Its lines over a column of this width; a turned head is not broken.
    pub fn lines(&self, look: &Look, head_cap: f64, width: f64) -> Vec<Line<'_>> {
        let room = if self.turned { f64::INFINITY } else { width };
        lines(&self.paragraphs, look, head_cap, (room, Tail::default()))
    }

    /// What it takes of its column's width at least, and on as few lines as there can be.
    pub fn widths(&self, look: &Look, head_cap: f64) -> (f64, f64) {
        if self.turned {
            let across = super::stack::height(&self.lines(look, head_cap, f64::INFINITY));
            return (across, across);
        }
        let (mut least, mut wanted) = (Extent::default(), Extent::default());
        for MeasuredParagraph { words, letters, is_whole } in &self.paragraphs {
            match is_whole {
                true => least.hold(look, *letters, words.whole()),
                false => words.each().for_each(|word| least.hold(look, *letters, word)),
            }
            wanted.hold(look, *letters, words.whole());
        }
        (least.at(look, head_cap), wanted.at(look, head_cap))
    }
}

impl<'a> MeasuredCell<'a> {
    fn of(cell: &'a Cell) -> Self {
        let caps = |sign: &String| font::widths(sign, Weight::Regular).0 / font::CAP_HEIGHT_EM;
        let sign = cell.sign.as_ref().map_or(0.0, |sign| caps(sign) + SIGN_GAP);
        let boxed = if cell.boxed { BOXED_GAP } else { 0.0 };
        // A line alone takes the place of words, and needs no room beside them.
        let (line_mm, write_mm) = if cell.paragraphs.is_empty() { (cell.write_mm, 0.0) } else { (0.0, cell.write_mm) };
        let lanes = Lanes {
            before: sign + boxed + if cell.tick { BOX_ROOM } else { 0.0 },
            write_mm,
            write_gap: boxed + if write_mm > 0.0 { WRITE_GAP } else { 0.0 },
            past_point: 0.0,
        };
        let reach = |paragraph: Option<&Paragraph>| {
            let runs = paragraph.into_iter().flat_map(|paragraph| &paragraph.runs);
            runs.map(|(text, weight)| font::reach(text, *weight))
                .fold((0.0, 0.0), |most: (f64, f64), one| (most.0.max(one.0), most.1.max(one.1)))
        };
        let over = reach(cell.paragraphs.first()).0 / font::CAP_HEIGHT_EM - 1.0;
        let under = reach(cell.paragraphs.last()).1 / font::CAP_HEIGHT_EM;
        MeasuredCell {
            paragraphs: cell.paragraphs.iter().map(MeasuredParagraph::of).collect(),
            line_mm,
            lanes,
            past_point: past_point(cell),
            spans: cell.spans,
            reach: (over.max(0.0), under.max(0.0)),
        }
    }

    /// Its lines in `room` millimetres, without what stands before and after them.
    pub fn lines(&self, look: &Look, cap: f64, (room, tail): (f64, Tail)) -> Vec<Line<'_>> {
        lines(&self.paragraphs, look, cap, (room, tail))
    }
}

/// Of a cell that is a number and no more: what its decimals with their point take, in capital heights.
fn past_point(cell: &Cell) -> Option<f64> {
    let [paragraph] = cell.paragraphs.as_slice() else { return None };
    let [(number, weight)] = paragraph.runs.as_slice() else { return None };
    let is_number =
        !number.is_empty() && number.chars().all(|sign| sign.is_ascii_digit() || matches!(sign, '.' | MINUS));
    if !is_number || paragraph.letters != Letters::Large {
        return None;
    }
    let decimals = number.find('.').map_or("", |point| &number[point..]);
    Some(font::widths(decimals, *weight).0 / font::CAP_HEIGHT_EM)
}

fn lines<'a>(
    paragraphs: &'a [MeasuredParagraph<'a>],
    look: &Look,
    cap: f64,
    (room, tail): (f64, Tail),
) -> Vec<Line<'a>> {
    let lines = paragraphs.iter().flat_map(|MeasuredParagraph { words, letters, is_whole }| {
        let size = look.size_of(*letters, cap);
        let room = if *is_whole { f64::INFINITY } else { room };
        words.lines(size, room).into_iter().map(move |words| (words, *letters, size))
    });
    stacked(lines, tail.at(look.size(cap)))
}
