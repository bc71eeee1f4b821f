//! The words of a table with their widths, which are the same at every size. Lays nothing out.

use std::cell::OnceCell;
use std::ops::Range;
use std::rc::Rc;

use super::Halves;
use super::content::{Breaks, Cell, Column, Head, Letters, Over, Paragraph, Row, Under};
use super::look::Look;
use super::stack::{Ends, Line, stacked};
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

/// A table as it was made up, but for its rows.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Grid<'a> {
    /// The columns, with their heads.
    pub columns: &'a [Column],
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
    /// From the top down.
    pub rows: Vec<MeasuredRow<'a>>,
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
    /// Which rows of the table they are.
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

/// What stands under another in a table, its words measured.
pub(crate) enum MeasuredRow<'a> {
    /// A cell for each column, and the rule under them. Tables that differ in other things share their cells.
    Cells(Vec<Rc<MeasuredCell<'a>>>, Under),
    /// A heading over the whole width.
    Heading(MeasuredParagraph<'a>),
    /// A heavy line across with words on it.
    Across(MeasuredParagraph<'a>),
}

pub(crate) struct MeasuredCell<'a> {
    /// What was measured.
    pub cell: &'a Cell,
    paragraphs: Vec<MeasuredParagraph<'a>>,
    /// Of a line to write on in place of words, millimetres.
    line_mm: f64,
    lanes: Lanes,
    /// How far its number reaches past the place of its decimal point, in capital heights; `None` of other words.
    pub past_point: Option<f64>,
    /// How far a figure with small print beneath hangs below its baseline.
    tail: Tail,
    /// Found when a row is so tight that it counts.
    reach: OnceCell<(f64, f64)>,
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

    /// Of the figures of a cell, if there is small print beneath them.
    fn of(cell: &Cell) -> Self {
        if !cell.paragraphs.iter().any(|paragraph| paragraph.letters == Letters::Beneath) {
            return Tail::default();
        }
        let figures = cell.paragraphs.iter().filter(|paragraph| paragraph.letters == Letters::Large);
        figures.flat_map(|paragraph| &paragraph.runs).fold(Tail::default(), |tail, (text, weight)| {
            tail.or(Tail {
                letters: font::past_capitals(text, *weight).1,
                has_fractions: font::widths(text, *weight).1 > 0.0,
            })
        })
    }

    /// What hangs lower of both.
    fn or(self, other: Tail) -> Self {
        Tail { letters: self.letters.max(other.letters), has_fractions: self.has_fractions || other.has_fractions }
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
    /// Measures what its rows do not hold; `halves` are the titles and rows of a table in two parts.
    pub fn new(grid: Grid<'a>, rows: Vec<MeasuredRow<'a>>, halves: Option<&'a Halves>) -> Self {
        let heads = grid.columns.iter().map(|column| MeasuredHead::of(&column.head)).collect();
        let part = |title: Option<&'a String>, range: Range<usize>| Part {
            title: title.map(|title| Words::of([(title.as_str(), Weight::Bold)])),
            rows: range.clone(),
            breadths: breadths(&grid, &rows[range.clone()]),
            joint: joint(&grid, &rows[range]),
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
        let tail = cells(&rows).flatten().fold(Tail::default(), |tail, cell| tail.or(cell.tail));
        Measured { grid, heads, overs, rows, parts, tail }
    }
}

impl<'a> MeasuredRow<'a> {
    /// Measures every word of a row.
    pub fn of(row: &'a Row) -> Self {
        let across = |text: &'a String| MeasuredParagraph {
            words: Words::of([(text.as_str(), Weight::Bold)]),
            letters: Letters::Large,
            is_whole: false,
        };
        match row {
            Row::Cells(cells, under) => {
                MeasuredRow::Cells(cells.iter().map(MeasuredCell::of).map(Rc::new).collect(), *under)
            }
            Row::Heading(text) => MeasuredRow::Heading(across(text)),
            Row::Across(text) => MeasuredRow::Across(across(text)),
        }
    }
}

/// Of each row that has cells, its cells.
fn cells<'b, 'a>(rows: &'b [MeasuredRow<'a>]) -> impl Iterator<Item = &'b [Rc<MeasuredCell<'a>>]> {
    rows.iter().filter_map(|row| match row {
        MeasuredRow::Cells(cells, _) => Some(cells.as_slice()),
        MeasuredRow::Heading(_) | MeasuredRow::Across(_) => None,
    })
}

/// What the cells of each column need in some rows.
fn breadths(grid: &Grid, rows: &[MeasuredRow]) -> Vec<Breadth> {
    let mut breadths = vec![Breadth::default(); grid.columns.len()];
    for cells in cells(rows) {
        for ((breadth, cell), column) in breadths.iter_mut().zip(cells).zip(grid.columns) {
            let past = cell.past_point.filter(|_| column.anchor == Anchor::End).unwrap_or_default();
            breadth.lanes.past_point = breadth.lanes.past_point.max(past);
        }
    }
    for cells in cells(rows) {
        for ((breadth, cell), column) in breadths.iter_mut().zip(cells).zip(grid.columns) {
            if cell.cell.spans <= 1 {
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
fn joint(grid: &Grid, rows: &[MeasuredRow]) -> Vec<(Range<usize>, Breadth)> {
    let mut joint = Vec::new();
    for cells in cells(rows) {
        for (index, cell) in cells.iter().enumerate().filter(|(_, cell)| cell.cell.spans > 1) {
            let mut breadth = Breadth::default();
            breadth.hold(&grid.look, cell, grid.columns.get(index).is_some_and(|column| column.wraps));
            joint.push((index..(index + cell.cell.spans).min(grid.columns.len()), breadth));
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
    pub fn lines(&self, look: &Look, head_cap: f64, width: f64) -> impl Iterator<Item = Line<'_>> {
        let room = if self.turned { f64::INFINITY } else { width };
        lines(&self.paragraphs, look, head_cap, (room, 0.0))
    }

    /// How far the accents of its first line and the tails of its last reach into the gaps beside its column, millimetres: none
    /// of one that does not stand on end.
    pub fn hang(&self, look: &Look, head_cap: f64) -> f64 {
        if !self.turned {
            return 0.0;
        }
        let Ends { first, last, .. } = Ends::of(self.lines(look, head_cap, f64::INFINITY));
        let over = first.map_or(0.0, |line| line.past_capitals().0 * line.cap());
        last.map_or(over, |line| over.max(line.past_capitals().1 * line.cap()))
    }

    /// What it takes of its column's width at least, and on as few lines as there can be.
    pub fn widths(&self, look: &Look, head_cap: f64) -> (f64, f64) {
        if self.turned {
            let across = super::stack::height(self.lines(look, head_cap, f64::INFINITY));
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
    /// Measures every word of a cell.
    pub fn of(cell: &'a Cell) -> Self {
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
        MeasuredCell {
            cell,
            paragraphs: cell.paragraphs.iter().map(MeasuredParagraph::of).collect(),
            line_mm,
            lanes,
            past_point: past_point(cell),
            tail: Tail::of(cell),
            reach: OnceCell::new(),
        }
    }

    /// Its lines in `room` millimetres, without what stands before and after them; `tail` is how far figures with small print
    /// beneath hang below their baseline, in capital heights.
    pub fn lines(&self, look: &Look, cap: f64, (room, tail): (f64, f64)) -> impl Iterator<Item = Line<'_>> {
        lines(&self.paragraphs, look, cap, (room, tail))
    }

    /// How far accents of its first paragraph stand over the capitals, and tails of its last hang under the line, in capital
    /// heights.
    pub fn reach(&self) -> (f64, f64) {
        *self.reach.get_or_init(|| {
            let paragraphs = &self.cell.paragraphs;
            (past_capitals(paragraphs.first()).0, past_capitals(paragraphs.last()).1)
        })
    }
}

/// How far the letters of a paragraph reach above its capitals and below its baseline, in capital heights.
fn past_capitals(paragraph: Option<&Paragraph>) -> (f64, f64) {
    let runs = paragraph.into_iter().flat_map(|paragraph| &paragraph.runs);
    runs.map(|(text, weight)| font::past_capitals(text, *weight))
        .fold((0.0, 0.0), |most: (f64, f64), one| (most.0.max(one.0), most.1.max(one.1)))
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

impl MeasuredParagraph<'_> {
    /// Its lines over a whole table.
    pub fn lines(&self, look: &Look, cap: f64, width: f64) -> impl Iterator<Item = Line<'_>> {
        lines(std::slice::from_ref(self), look, cap, (width, 0.0))
    }
}

/// Paragraphs under each other in so much room, millimetres, the figures among them with a tail in capital heights.
fn lines<'a>(
    paragraphs: &'a [MeasuredParagraph<'a>],
    look: &Look,
    cap: f64,
    (room, tail): (f64, f64),
) -> impl Iterator<Item = Line<'a>> {
    let lines = paragraphs.iter().flat_map(move |MeasuredParagraph { words, letters, is_whole }| {
        let size = look.size_of(*letters, cap);
        let room = if *is_whole { f64::INFINITY } else { room };
        words.lines(size, room).map(move |words| (words, *letters, size))
    });
    stacked(lines, tail)
}
