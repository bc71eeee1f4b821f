//! What a table holds: columns with their heads, rows with their cells, words that run across. Knows no sizes.

use crate::drawing::{Anchor, Weight};

/// A column. Where none asks for a share of the room, each is as wide as its words want if the card has that much, and
/// else gives up the same part of what wrapping can save.
#[derive(Clone, Debug, Default)]
pub struct Column {
    /// The words over it.
    pub head: Head,
    /// Its words may go on in a next line.
    pub wraps: bool,
    /// Its part of the room that the narrowest columns leave over.
    pub share: f64,
    /// It is no narrower than this, millimetres.
    pub least_mm: f64,
    /// Its words begin at its left, stand in its middle, or end at its right, as numbers do whose digits are compared.
    pub anchor: Anchor,
    /// A line parts it from the column before it; where all columns are parted, a heavy one.
    pub ruled_off: bool,
    /// Words over its head and over those of the columns after it.
    pub over: Option<Over>,
}

/// Words over the heads of several columns that belong together.
#[derive(Clone, Debug, Default)]
pub struct Over {
    /// One under the other.
    pub paragraphs: Vec<Paragraph>,
    /// Over how many columns they stand, from their own on.
    pub columns: usize,
}

/// The words over a column.
#[derive(Clone, Debug, Default)]
pub struct Head {
    /// One under the other.
    pub paragraphs: Vec<Paragraph>,
    /// Read from below, bottom to top: many narrow columns beside each other.
    pub turned: bool,
}

/// What stands under another in a table.
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
    /// A thin rule.
    Line,
    /// A rule that ends a group.
    HeavyLine,
    /// Nothing: the next row belongs to it.
    Nothing,
}

/// What stands where a row and a column meet.
#[derive(Clone, Debug, Default)]
pub struct Cell {
    /// One under the other.
    pub paragraphs: Vec<Paragraph>,
    /// A box to tick before the words.
    pub tick: bool,
    /// A sign before the first line, in a lane of its own: the words of its column stand under each other as if no cell
    /// had one.
    pub sign: Option<String>,
    /// A line to write on after the words, at least this long, millimetres; 0: none. Where a column has one, its words keep
    /// off all of them.
    pub write_mm: f64,
    /// Drawn over with thin lines around its words: nothing is there.
    pub hatched: bool,
    /// Over how many columns it stands, from its own on; 0 is one as well. The cells that it covers are there, and empty.
    pub spans: usize,
    /// A line under its large words, which says that they are new.
    pub underlined: bool,
    /// A box around its words.
    pub boxed: bool,
}

/// Words that are wrapped together.
#[derive(Clone, Debug, Default)]
pub struct Paragraph {
    /// Each run in its weight.
    pub runs: Vec<(String, Weight)>,
    /// How large they are.
    pub letters: Letters,
    /// Where they may go on in a next line.
    pub breaks: Breaks,
    /// Regular words among bold ones are this part as high: `to` between two marks.
    pub regular_share: Option<f64>,
}

/// How large the words of a paragraph are, and how near to those above.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Letters {
    /// As large as the table lets them be.
    #[default]
    Large,
    /// As large as what must be read, whatever the size of the table's letters; no larger than those.
    Must,
    /// Small print, read from closer.
    Small,
    /// Small print that belongs to the large figure over it: as near as its tails let it be.
    Beneath,
}

/// Where a paragraph may be broken.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Breaks {
    /// At white space, and between runs.
    #[default]
    Words,
    /// Only between its runs; one run is never broken.
    Runs,
    /// Nowhere: its runs stand on one line.
    Never,
}

impl Column {
    /// Its words stay on one line.
    pub fn narrow(head: impl Into<Head>) -> Self {
        Column { head: head.into(), ..Column::default() }
    }

    /// Its words may go on in a next line.
    pub fn wrapped(head: impl Into<Head>) -> Self {
        Column { wraps: true, ..Column::narrow(head) }
    }

    /// Its words stay on one line and end at its right: numbers.
    pub fn numbers(head: impl Into<Head>) -> Self {
        Column { anchor: Anchor::End, ..Column::narrow(head) }
    }

    /// Takes a share of the room that is left over.
    pub fn wide(head: impl Into<Head>, share: f64) -> Self {
        Column { share, ..Column::wrapped(head) }
    }
}

impl From<Paragraph> for Head {
    fn from(paragraph: Paragraph) -> Self {
        Head { paragraphs: vec![paragraph], turned: false }
    }
}

impl From<&str> for Head {
    fn from(words: &str) -> Self {
        Paragraph::of(words, Weight::Bold).into()
    }
}

impl From<String> for Head {
    fn from(words: String) -> Self {
        Paragraph::of(words, Weight::Bold).into()
    }
}

impl From<&String> for Head {
    fn from(words: &String) -> Self {
        Head::from(words.as_str())
    }
}

impl Row {
    /// Cells with a thin rule under them.
    pub fn of(cells: impl IntoIterator<Item = Cell>) -> Self {
        Row::Cells(cells.into_iter().collect(), Under::Line)
    }
}

impl Cell {
    /// Words that are looked for.
    pub fn bold(text: impl Into<String>) -> Self {
        Cell::from(Paragraph::of(text, Weight::Bold))
    }

    /// Words that are read.
    pub fn plain(text: impl Into<String>) -> Self {
        Cell::from(Paragraph::of(text, Weight::Regular))
    }

    /// A box to tick and what for.
    pub fn ticked(text: impl Into<String>) -> Self {
        Cell { tick: true, ..Cell::plain(text) }
    }

    /// Words and a line of at least `least_mm` millimetres to write on after them.
    pub fn to_write(text: impl Into<String>, least_mm: f64) -> Self {
        Cell { write_mm: least_mm, ..Cell::plain(text) }
    }

    /// Words in the same weight over several columns: the cells that it covers follow it.
    pub fn over_columns(self, columns: usize) -> impl Iterator<Item = Self> {
        let covered = std::iter::repeat_with(Cell::empty).take(columns.saturating_sub(1));
        std::iter::once(Cell { spans: columns, ..self }).chain(covered)
    }

    /// Words with a box around them.
    pub fn in_a_box(text: impl Into<String>) -> Self {
        Cell { boxed: true, ..Cell::bold(text) }
    }

    /// A line to write on in place of words, as long as the column is wide, and at least `least_mm` millimetres.
    pub fn line(least_mm: f64) -> Self {
        Cell { write_mm: least_mm, ..Cell::default() }
    }

    /// Room to write in, or nothing to say.
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
    /// Words of one weight.
    pub fn of(text: impl Into<String>, weight: Weight) -> Self {
        Paragraph { runs: vec![(text.into(), weight)], ..Paragraph::default() }
    }

    /// Words that stay on one line, whatever the width.
    pub fn whole(text: impl Into<String>, weight: Weight) -> Self {
        Paragraph { breaks: Breaks::Runs, ..Paragraph::of(text, weight) }
    }

    /// Small print.
    pub fn small(text: impl Into<String>) -> Self {
        Paragraph { letters: Letters::Small, ..Paragraph::of(text, Weight::Regular) }
    }

    /// Words as large as what must be read.
    pub fn must(text: impl Into<String>, weight: Weight) -> Self {
        Paragraph { letters: Letters::Must, ..Paragraph::of(text, weight) }
    }

    /// A name in bold and what is said of it.
    pub fn named(name: &str, rest: impl Into<String>) -> Self {
        let runs = vec![(name.to_owned(), Weight::Bold), (rest.into(), Weight::Regular)];
        Paragraph { runs, ..Paragraph::default() }
    }
}
