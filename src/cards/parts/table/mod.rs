//! A card that is one table, or two beside each other, its words as large as the card lets them be: to read, to tick, to
//! write in. Knows no kind of card.

mod content;
mod look;
mod measured;
mod paint;
mod plan;
mod stack;
mod transposed;
mod widths;

use std::rc::Rc;

use crate::wrong::Wrong;
use kurbo::Size;

pub use content::{Breaks, Cell, Column, Head, Letters, Over, Paragraph, Row, Under};
pub use look::{HeadGap, Look, RowHeights};
pub(crate) use measured::{Grid, Measured, MeasuredCell, MeasuredRow};
pub(crate) use plan::{Plan, PlannedTable};
pub use transposed::transposed;

use super::frame::{self, SmallPrints, Surround, good_cap_mm};
use super::label::Label;
use crate::drawing::Drawing;
use crate::size::NamedSize;

/// Everything on the card.
#[derive(Clone, Debug, Default)]
pub struct Ruled {
    /// `None`: the handiest that holds it.
    pub size: Option<NamedSize>,
    /// The words around the table.
    pub surround: Surround,
    /// Names in bold over the table, and what is said of each: who is in which team.
    pub named: Vec<(String, String)>,
    /// The title of the file.
    pub name: String,
    /// One sentence on the file.
    pub description: String,
    /// From left to right.
    pub columns: Vec<Column>,
    /// From the top down.
    pub rows: Vec<Row>,
    /// No row is lower than this, millimetres; 0 if only read. On a card to write on the room goes to the writer: its
    /// letters are no larger than they need be.
    pub least_row_mm: f64,
    /// Lines between the columns too.
    pub boxed_in: bool,
    /// The white and the rules.
    pub look: Look,
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

impl Ruled {
    /// Draws the card at the size asked for, or at the handiest that holds it.
    ///
    /// # Errors
    /// It does not fit in letters that can be read.
    pub fn draw(&self, label: &Label) -> Result<Drawing, Wrong> {
        let measured = self.measured();
        frame::fitted(self.size.as_ref(), label, |size, least| {
            measured.largest(label, size, least).map(|plan| plan.draw(label))
        })
    }

    /// The card with its words measured, once for every size that is tried.
    pub(crate) fn measured(&self) -> MeasuredCard<'_> {
        self.measured_with(&Rc::new(self.small_prints()))
    }

    /// The same of one of several ways to set a card, whose small print is the same.
    pub(crate) fn measured_with<'a>(&'a self, small: &Rc<SmallPrints<'a>>) -> MeasuredCard<'a> {
        let rows = self.rows.iter().map(MeasuredRow::of).collect();
        MeasuredCard::new(self, Measured::new(self.grid(), rows, self.halves.as_ref()), small)
    }

    /// What stands around the table but the title.
    pub(crate) fn small_prints(&self) -> SmallPrints<'_> {
        SmallPrints::of(&self.surround, &self.named)
    }

    fn grid(&self) -> Grid<'_> {
        Grid { columns: &self.columns, least_row_mm: self.least_row_mm, boxed_in: self.boxed_in, look: self.look }
    }
}

/// A table among other things on a card, in letters of a given size.
#[derive(Clone, Debug)]
pub struct Inset {
    /// From left to right.
    pub columns: Vec<Column>,
    /// From the top down.
    pub rows: Vec<Row>,
    /// The white and the rules.
    pub look: Look,
}

impl Inset {
    /// The table with its words measured.
    pub(crate) fn measured(&self) -> Measured<'_> {
        let Inset { columns, rows, look } = self;
        let grid = Grid { columns, look: *look, least_row_mm: 0.0, boxed_in: false };
        Measured::new(grid, rows.iter().map(MeasuredRow::of).collect(), None)
    }
}

impl Measured<'_> {
    /// Laid out in letters of `cap` and a width, both in millimetres, as high as it needs. `None` if it is wider.
    pub fn laid_out(&self, cap: f64, width: f64) -> Option<PlannedTable<'_>> {
        PlannedTable::of(self, self.parts.first()?, Size::new(width, f64::INFINITY), cap)
    }
}

/// A card whose words are measured.
pub(crate) struct MeasuredCard<'a> {
    card: &'a Ruled,
    table: Measured<'a>,
    small: Rc<SmallPrints<'a>>,
}

impl<'a> MeasuredCard<'a> {
    /// A card with a table that it does not hold itself: one of several ways to set a card, whose small print is the same.
    pub fn new(card: &'a Ruled, table: Measured<'a>, small: &Rc<SmallPrints<'a>>) -> Self {
        MeasuredCard { card, table, small: Rc::clone(small) }
    }

    /// Whether it fits a size in letters of `cap` millimetres, standing or lying.
    pub fn fits(&self, label: &Label, size: &NamedSize, cap: f64) -> bool {
        let fits = |size: Size| {
            let small = self.small.at(size, label);
            Plan::of_card(self.card, &self.table, &small, size, cap).is_some()
        };
        frame::both_ways(size, label).into_iter().any(fits)
    }

    /// The plan with the largest letters, standing or lying; of two that are alike, the card as it was asked for rather
    /// than turned. `None` if letters of `least` millimetres do not fit.
    pub fn largest(&self, label: &Label, size: &NamedSize, least: f64) -> Option<Plan<'_>> {
        self.larger_than(None, label, size, least)
    }

    /// The same, if its letters are larger than `beaten` millimetres.
    fn larger_than(&self, beaten: Option<f64>, label: &Label, size: &NamedSize, least: f64) -> Option<Plan<'_>> {
        let card = self.card;
        let look = self.table.grid.look;
        let most = if self.table.grid.least_row_mm > 0.0 { good_cap_mm() } else { look.most_mm };
        frame::both_ways(size, label).into_iter().fold(None, |best: Option<Plan<'_>>, size| {
            let beaten = best.as_ref().map(|best| best.cap).or(beaten);
            let small = self.small.at(size, label);
            let least = least.max(look.least_mm);
            let at = |cap| Plan::of_card(card, &self.table, &small, size, cap);
            frame::largest_that_fits(least, most, beaten, at).or(best)
        })
    }
}

/// Of some ways to set a card, the plan with the largest letters; of two that are alike, the first. `None` if letters of
/// `least` millimetres fit in none.
pub(crate) fn largest_of<'a, 'b: 'a>(
    ways: impl IntoIterator<Item = &'a MeasuredCard<'b>>,
    label: &Label,
    size: &NamedSize,
    least: f64,
) -> Option<Plan<'a>> {
    ways.into_iter().fold(None, |best: Option<Plan<'a>>, way| {
        way.larger_than(best.as_ref().map(|best| best.cap), label, size, least).or(best)
    })
}
