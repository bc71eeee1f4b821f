//! A settings table of the book as curves and bands: the step from what was written to what can be computed. Prints nothing.

use super::evidence::OfNotes;
use crate::book::{Book, Problem, Settings};
use crate::tuning::angled::{AngledColumn, KnownAt};
use crate::tuning::{Angle, Band, Column, Known};

/// The columns of a settings table as curves, in the table's order; `None` where nothing is recorded.
pub fn columns(book: &Book, settings: &Settings) -> Vec<Option<Column>> {
    let notes = OfNotes::on(book, settings);
    let column = |(position, control): (usize, &usize)| {
        let known = settings.rows.iter().enumerate().filter_map(|(nth, row)| {
            let reading = row.readings.get(position)?.as_ref()?.value;
            let of_notes = notes.as_ref().map(|notes| notes.ground(*control, nth, reading, row.ground));
            Some(Known { at: row.at.value, reading, ground: of_notes.unwrap_or(row.ground) })
        });
        let between = settings.between.get(control).copied().unwrap_or_default();
        Column::new(book.controls.get(*control)?.scale.clone(), known.collect(), between)
    };
    settings.controls.iter().enumerate().map(column).collect()
}

/// The columns of a table that is kept by wind and angle, in the table's order; `None` where nothing is recorded.
pub fn angled_columns(book: &Book, settings: &Settings) -> Vec<Option<AngledColumn>> {
    let Some(angled) = &settings.angled else { return settings.controls.iter().map(|_| None).collect() };
    let notes = OfNotes::on(book, settings);
    let column = |(position, control): (usize, &usize)| {
        let known = angled.rows.iter().enumerate().filter_map(|(nth, row)| {
            let reading = row.row.readings.get(position)?.as_ref()?.value;
            let of_notes = notes.as_ref().map(|notes| notes.ground(*control, nth, reading, row.row.ground));
            let known = Known { at: row.angle.value, reading, ground: of_notes.unwrap_or(row.row.ground) };
            Some(KnownAt { wind: row.row.at.value, known })
        });
        let between = settings.between.get(control).copied().unwrap_or_default();
        AngledColumn::new(book.controls.get(*control)?.scale.clone(), &known.collect::<Vec<_>>(), between)
    };
    settings.controls.iter().enumerate().map(column).collect()
}

/// The columns of a table over the wind: of one that is kept by angle too, at this angle; without an angle it has none.
pub fn columns_at(book: &Book, settings: &Settings, angle: Option<Angle>) -> Vec<Option<Column>> {
    match (&settings.angled, angle) {
        (None, _) => columns(book, settings),
        (Some(_), Some(angle)) => {
            let at = |column: Option<AngledColumn>| column?.at_angle(angle);
            angled_columns(book, settings).into_iter().map(at).collect()
        }
        (Some(_), None) => settings.controls.iter().map(|_| None).collect(),
    }
}

/// The bands of angle of a table that is kept by angle, as far as all the sails are for them.
pub fn angle_bands(book: &Book, settings: &Settings) -> Vec<Band<Angle>> {
    let Some((angled, range)) = settings.angled.as_ref().zip(book.range_of(settings).angles()) else {
        return Vec::new();
    };
    angled.bands.iter().filter_map(|band| band.within(range)).collect()
}

/// The book's bands as far as all the sails are for them now.
pub fn bands(book: &Book, settings: &Settings) -> Vec<Band> {
    let range = book.range_of(settings);
    book.bands.iter().filter_map(|band| range.part_of(*band)).collect()
}

/// What is said in place of a card whose sails are for no wind as they are now; `None` while they are for some.
pub fn out_of_use(book: &Book, settings: &Settings) -> Option<Problem> {
    let range = book.range_of(settings);
    let worn: Vec<&str> = range.narrowed().iter().map(|narrowed| narrowed.sail.as_str()).collect();
    (range.wind_now().is_none() && !worn.is_empty()).then(|| {
        Problem::warning(
            settings.place.clone(),
            format!(
                "the settings `{}` have no card: {} is for no wind as it is now",
                settings.id.value,
                worn.join(", ")
            ),
            "write `retired` for a sail that is past use, or correct its `max_now`",
        )
    })
}
