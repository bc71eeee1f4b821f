//! A settings table of the book as curves and bands: the step from what was written to what can be computed. Prints nothing.

use crate::book::{Book, Settings};
use crate::tuning::{Band, Column, Known};

/// The columns of a settings table as curves, in the table's order; `None` where nothing is recorded.
pub fn columns(book: &Book, settings: &Settings) -> Vec<Option<Column>> {
    let column = |(position, control): (usize, &usize)| {
        let known = settings.rows.iter().filter_map(|row| {
            let reading = row.readings.get(position)?.as_ref()?.value;
            Some(Known { wind_kn: row.wind_kn.value, reading, ground: row.ground })
        });
        let between = settings.between.get(control).copied().unwrap_or_default();
        Column::new(book.controls.get(*control)?.scale.clone(), known.collect(), between)
    };
    settings.controls.iter().enumerate().map(column).collect()
}

/// The winds that every sail of the settings is for, knots.
pub fn shared_range(book: &Book, settings: &Settings) -> (f64, f64) {
    let ranges = settings.sails.iter().filter_map(|id| book.sail(&id.value)?.wind_kn);
    ranges.fold((0.0, f64::INFINITY), |(low, high), range| (f64::max(low, range.0), f64::min(high, range.1)))
}

/// The book's bands that the ranges of all the sails reach into.
pub fn bands(book: &Book, settings: &Settings) -> Vec<Band> {
    let (low, high) = shared_range(book, settings);
    book.bands.iter().copied().filter(|band| band.within(low, high).is_some()).collect()
}
