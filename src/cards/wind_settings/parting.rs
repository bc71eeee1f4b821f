//! How a table that one card does not hold is parted among several. Knows numbers of rows and columns, not what they say.

use std::cmp::Reverse;
use std::ops::Range;

use crate::cards::parts::frame;
use crate::size::NamedSize;

/// More cards than this of one table are of no use to anyone: then it is told that it does not fit.
const MOST_CARDS: usize = 12;

/// One card's part of the rows and of the columns.
pub type Page = (Range<usize>, Range<usize>);

/// The size that a card is parted for: the one asked for, or the largest usual one, whatever the paper.
pub fn room(asked: Option<&NamedSize>) -> Option<NamedSize> {
    asked.cloned().or_else(|| NamedSize::known(frame::LARGEST_USUAL))
}

/// How many rows and columns stand on one card, so that there are as few cards as can be read, all about as full; of two ways
/// the one that keeps the columns together. All of them, if no way `fits`.
pub fn each((rows, columns): (usize, usize), fits: impl Fn((usize, usize)) -> bool) -> (usize, usize) {
    let even = |count: usize| (1..=count).map(move |parts| count.div_ceil(parts));
    let cards = |(each_row, each_column): (usize, usize)| rows.div_ceil(each_row) * columns.div_ceil(each_column);
    let mut ways: Vec<(usize, usize)> =
        even(rows).flat_map(|row| even(columns).map(move |column| (row, column))).collect();
    ways.retain(|way| cards(*way) <= MOST_CARDS);
    ways.sort_by_key(|way| (cards(*way), Reverse(way.1)));
    ways.dedup();
    // What does not fit does not fit with more on it either.
    let mut too_much: Vec<(usize, usize)> = Vec::new();
    for way in ways {
        if too_much.iter().any(|least| least.0 <= way.0 && least.1 <= way.1) {
            continue;
        }
        if fits(way) {
            return way;
        }
        too_much.push(way);
    }
    (rows, columns)
}

/// The rows and columns of each card, so many on one.
pub fn pages((rows, columns): (usize, usize), (each_row, each_column): (usize, usize)) -> Vec<Page> {
    let chunks =
        |count: usize, each: usize| (0..count).step_by(each.max(1)).map(move |from| from..(from + each).min(count));
    let of_columns = chunks(columns, each_column);
    chunks(rows, each_row).flat_map(|rows| of_columns.clone().map(move |columns| (rows.clone(), columns))).collect()
}

/// The id of a part: the first has that of the whole.
pub fn id(stem: &str, index: usize) -> String {
    if index == 0 { stem.to_owned() } else { format!("{stem}-{}", index + 1) }
}

/// What a part is called: what it holds, as far as that is not all, and which of how many it is.
pub fn words(holds: impl IntoIterator<Item = String>, index: usize, count: usize) -> String {
    holds.into_iter().chain([format!("{} of {count}", index + 1)]).collect::<Vec<_>>().join(", ")
}
