//! A settings table of the book as curves and bands: the step from what was written to what can be computed. Prints nothing.

use crate::book::{Book, Settings};
use crate::tuning::{Band, Column, Known, Wind};

/// The columns of a settings table as curves, in the table's order; `None` where nothing is recorded.
pub fn columns(book: &Book, settings: &Settings) -> Vec<Option<Column>> {
    let column = |(position, control): (usize, &usize)| {
        let known = settings.rows.iter().filter_map(|row| {
            let reading = row.readings.get(position)?.as_ref()?.value;
            Some(Known { at: row.at.value, reading, ground: row.ground })
        });
        let between = settings.between.get(control).copied().unwrap_or_default();
        Column::new(book.controls.get(*control)?.scale.clone(), known.collect(), between)
    };
    settings.controls.iter().enumerate().map(column).collect()
}

/// The winds that every sail of the settings is for: from a calm and without end where no sail says more.
pub fn shared_range(book: &Book, settings: &Settings) -> (Wind, Wind) {
    let ranges = settings.sails.iter().filter_map(|id| book.sail(&id.value)?.wind);
    ranges.fold((Wind::CALM, Wind::ENDLESS), |(low, high), range| (low.max(range.low), high.min(range.high)))
}

/// The book's bands that the ranges of all the sails reach into.
pub fn bands(book: &Book, settings: &Settings) -> Vec<Band> {
    let (low, high) = shared_range(book, settings);
    book.bands.iter().copied().filter(|band| band.within(low, high).is_some()).collect()
}
