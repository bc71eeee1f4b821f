//! What the adjustments of a book do to one table of settings, worked out once for all the cards that it may be parted among.
//! Lays nothing out.

use std::cell::OnceCell;

use super::{AdjustedControl, AdjustmentRow, adjusted, adjustment_name, called, has_readings, held_words};
use crate::book::{Adjustment, Book, Settings, Spanned};
use crate::cards::parts::words::wind_span;
use crate::tuning::adjust::Offset;
use crate::tuning::{Band, Figure, Setting, Sided, Span, Stretches, Told};

/// An adjustment as it bears on a table; `P` is a place of the table: a band, or a cell.
pub struct Adjusting<'a, P> {
    pub adjustment: &'a Adjustment,
    /// All of it, but for where anything is held.
    whole: AdjustmentRow,
    /// For each control that it moves, the places in which it is held, in their order, each in words.
    held: Vec<Vec<(P, String)>>,
}

impl<'a, P: Copy> Adjusting<'a, P> {
    /// An adjustment that moves nothing yet.
    pub fn new(book: &Book, adjustment: &'a Adjustment, sailed: Option<String>) -> Self {
        let whole = AdjustmentRow { name: adjustment_name(adjustment, book.units.wind), moves: Vec::new(), sailed };
        Adjusting { adjustment, whole, held: Vec::new() }
    }

    /// The same with one control of it, if the table has it and anything is known of it; `held` finds the places from the
    /// control's place among those of the table.
    pub fn with(
        mut self,
        (book, settings): (&Book, &Settings),
        one: &(usize, Spanned<Offset>),
        held: impl FnOnce(&crate::book::Control, usize) -> Option<Vec<(P, String)>>,
    ) -> Self {
        let mut places = Vec::new();
        let moved = adjusted(book, settings, one, |control, position| {
            places = held(control, position)?;
            Some(Vec::new())
        });
        if let Some(moved) = moved {
            self.whole.moves.push(moved);
            self.held.push(places);
        }
        self
    }

    /// What a card says of it that has some of the places; `None` if nothing.
    pub fn row(&self, is_here: impl Fn(P) -> bool) -> Option<AdjustmentRow> {
        let moves = self.whole.moves.iter().zip(&self.held).map(|(moved, held)| AdjustedControl {
            held: held.iter().filter(|(place, _)| is_here(*place)).map(|(_, words)| words.clone()).collect(),
            ..moved.clone()
        });
        let AdjustmentRow { name, sailed, .. } = &self.whole;
        let row = AdjustmentRow { name: name.clone(), moves: moves.collect(), sailed: sailed.clone() };
        (!row.moves.is_empty() || row.sailed.is_some()).then_some(row)
    }
}

/// The book's adjustments of a table that is kept by wind alone, checked in every band; the places are the bands.
pub fn by_wind<'a>(
    book: &'a Book,
    settings: &Settings,
    columns: &[Option<Sided<Stretches>>],
    bands: &[Band],
) -> Vec<Adjusting<'a, usize>> {
    // What was sailed in one sea is not moved for another.
    if settings.sea.is_some() {
        return Vec::new();
    }
    type InBands = Vec<Sided<Told<(Figure, Setting)>>>;
    let in_bands: Vec<OnceCell<InBands>> = columns.iter().map(|_| OnceCell::new()).collect();
    let found = |position: usize| -> Option<&InBands> {
        let column = columns.get(position)?.as_ref()?;
        let in_band =
            |band: &Band| column.map(|column| column.in_band(*band).told.map(|found| (found.figure, found.setting)));
        Some(in_bands.get(position)?.get_or_init(|| bands.iter().map(in_band).collect()))
    };
    let one = |adjustment: &'a Adjustment| {
        let sailed = book.sailed_in(settings, &adjustment.id.value);
        let is_sailed = |index: usize| sailed.is_some_and(|sailed| has_readings(sailed, index));
        let moves = adjustment.moves.iter().filter(|(index, _)| !is_sailed(*index));
        let adjusting = Adjusting::new(book, adjustment, sailed.map(|sailed| called(book, sailed)));
        moves.fold(adjusting, |adjusting, one| {
            adjusting.with((book, settings), one, |control, position| {
                let reached = bands.iter().zip(found(position)?).enumerate();
                let held = reached.filter(|(_, (band, _))| adjustment.scope.reaches(**band)).filter_map(
                    |(nth, (band, found))| {
                        let words = held_words(control, one.1.value, found)?;
                        Some((nth, format!("{}: {words}", wind_span(Span::from(*band), book.units.wind))))
                    },
                );
                Some(held.collect())
            })
        })
    };
    let is_for = |adjustment: &&Adjustment| {
        book.is_adjusted_by(settings, adjustment) && bands.iter().any(|band| adjustment.scope.reaches(*band))
    };
    book.adjustments.iter().filter(is_for).map(one).collect()
}
