//! Turns a table so that its rows are its columns: winds down or winds across. Knows no sizes.

use super::content::{Cell, Column, Head};

/// The same table with the heads of the columns at the left and the first cells of the rows on top. The head over the first
/// column stays where it is; the columns after it are made like the second one was. A row that is short has empty cells.
pub fn transposed(columns: &[Column], rows: &[Vec<Cell>]) -> (Vec<Column>, Vec<Vec<Cell>>) {
    let like = columns.get(1).cloned().unwrap_or_default();
    let over = |row: &Vec<Cell>| {
        let paragraphs = row.first().map(|cell| cell.paragraphs.clone()).unwrap_or_default();
        Column { head: Head { paragraphs, turned: false }, ..like.clone() }
    };
    let beside = |(index, column): (usize, &Column)| {
        let first = Cell { paragraphs: column.head.paragraphs.clone(), ..Cell::default() };
        let cells = rows.iter().map(|row| row.get(index).cloned().unwrap_or_default());
        std::iter::once(first).chain(cells).collect()
    };
    let turned = columns.iter().take(1).cloned().chain(rows.iter().map(over)).collect();
    (turned, columns.iter().enumerate().skip(1).map(beside).collect())
}
