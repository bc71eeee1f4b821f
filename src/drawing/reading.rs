//! In which order the words of a drawing are read out where they stand in rows of cells: line by line across the row. Moves
//! nothing and knows no format.

use std::cmp::Ordering;
use std::ops::Range;

use super::{Drawing, Item, Layer, Shape, Text};

/// Baselines nearer than this are one line, millimetres.
const SAME_LINE_MM: f64 = 0.01;
/// What parts two cells that are read as one line: a spreadsheet takes it for the next column.
const BETWEEN_CELLS: &str = "\t";

/// Where a text stands among the cells of a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct InRow {
    /// The row, by a number that no other row of the drawing has.
    pub row: usize,
    /// The line, of those that are read across the row.
    pub line: isize,
    /// The cell, from left to right.
    pub cell: usize,
}

/// Which lines of the cells of a row stand beside each other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Level {
    /// The first lines of all.
    Top,
    /// The last lines of all.
    Foot,
}

/// Says of the words of a row's cells how they are read: the first line of each cell, then the next one of each. Each cell
/// is where its items are; turned words belong to no line.
pub fn read_across(drawing: &mut Drawing, cells: &[Range<usize>], level: Level) {
    let Some(row) = cells.first().map(|cell| cell.start) else { return };
    for (cell, range) in cells.iter().enumerate() {
        let Some(items) = drawing.items.get_mut(range.clone()) else { continue };
        let mut texts: Vec<&mut Text> = items.iter_mut().filter_map(upright).collect();
        let mut baselines: Vec<f64> = texts.iter().map(|text| text.origin.y).collect();
        baselines.sort_by(f64::total_cmp);
        baselines.dedup_by(|one, other| (*one - *other).abs() < SAME_LINE_MM);
        let first = if level == Level::Foot { -(baselines.len() as isize) } else { 0 };
        for text in &mut texts {
            let above = baselines.iter().filter(|baseline| **baseline < text.origin.y - SAME_LINE_MM).count();
            text.in_row = Some(InRow { row, line: first + above as isize, cell });
        }
    }
}

/// The text of something printed, if it is one and reads to the right.
fn upright(item: &mut Item) -> Option<&mut Text> {
    match &mut item.shape {
        Shape::Text(text) if text.turn == 0.0 => Some(text),
        _ => None,
    }
}

/// What is printed together, and the words of it if they are to be taken out as one line.
pub struct Read<'a> {
    /// In the order in which it is painted.
    pub shapes: Vec<&'a Shape>,
    /// The line, where it is more than one text of one size.
    pub words: Option<String>,
}

/// What one layer of a drawing prints, in the order in which it is painted and read. Within a row lines and boxes come
/// before the words; they never cover any.
pub fn in_order(drawing: &Drawing, layer: Layer) -> Vec<Read<'_>> {
    let mut shapes: Vec<&Shape> =
        drawing.items.iter().filter(|item| item.layer == layer).map(|item| &item.shape).collect();
    let mut rest = shapes.as_mut_slice();
    while let Some(start) = rest.iter().position(|shape| row(shape).is_some()) {
        let from = &mut rest[start..];
        let this = from.first().and_then(|shape| row(shape)).map(|place| place.row);
        let is_of_it = |shape: &&Shape| row(shape).map(|place| place.row) == this;
        let length = from.iter().rposition(is_of_it).map_or(1, |last| last + 1);
        let (of_row, after) = from.split_at_mut(length);
        of_row.sort_by(|one, other| across(one, other));
        rest = after;
    }
    let line = |shape: &Shape| row(shape).map(|place| (place.row, place.line));
    let lines = shapes.chunk_by(|one, next| line(one).is_some() && line(one) == line(next));
    lines.map(|shapes| Read { shapes: shapes.to_vec(), words: words(shapes) }).collect()
}

fn row(shape: &Shape) -> Option<InRow> {
    match shape {
        Shape::Text(text) => text.in_row,
        Shape::Fill { .. } | Shape::Stroke { .. } => None,
    }
}

/// What is no text first, then line by line, cell by cell, from left to right.
fn across(one: &Shape, other: &Shape) -> Ordering {
    let left = |shape: &Shape| if let Shape::Text(text) = shape { text.origin.x } else { 0.0 };
    row(one).cmp(&row(other)).then(if row(one).is_some() { left(one).total_cmp(&left(other)) } else { Ordering::Equal })
}

/// The words of a line of cells, or of a text with fractions of another size. Programs that take the words out of a file see
/// only where characters stand: to them each column is a story of its own, and a larger fraction a word of its own.
fn words(shapes: &[&Shape]) -> Option<String> {
    let mut line = String::new();
    let mut before = None;
    for shape in shapes {
        let Shape::Text(text) = shape else { continue };
        if let (Some(before), Some(this)) = (before, text.in_row) {
            line.push_str(if before == this { " " } else { BETWEEN_CELLS });
        }
        line.push_str(&text.content);
        before = text.in_row;
    }
    let is_set_larger = |shape: &&Shape| match shape {
        Shape::Text(text) => text.placed().any(|placed| placed.em != text.em),
        Shape::Fill { .. } | Shape::Stroke { .. } => false,
    };
    (shapes.len() > 1 || shapes.iter().any(is_set_larger)).then_some(line)
}
