//! A settings table of the book as curves and bands: the step from what was written to what can be computed. Prints nothing.

use super::evidence::OfNotes;
use crate::book::{Book, Control, Problem, Recorded, Row, Settings};
use crate::tuning::angled::KnownAt;
use crate::tuning::{Angle, AngledStretches, Band, Between, Ground, Known, Side, Sided, Stretches};

/// What a settings table says of each control, in the table's order; `None` where nothing is recorded.
pub fn columns(book: &Book, settings: &Settings) -> Vec<Option<Sided<Stretches>>> {
    let notes = OfNotes::on(book, settings);
    each_control(book, settings, |position, control, side| {
        let (mut known, mut not_used) = (Vec::new(), Vec::new());
        for (nth, row) in settings.rows.iter().enumerate() {
            match told(row, position, control, side) {
                Some(Some(reading)) => {
                    let ground = ground(notes.as_ref(), settings, (position, nth), row);
                    known.push(Known { at: row.at.value, reading, ground });
                }
                Some(None) => not_used.push(row.at.value),
                None => {}
            }
        }
        Stretches::new(control.scale.clone(), known, not_used, between(settings, position))
    })
}

/// The same of a table that is kept by wind and angle.
pub fn angled_columns(book: &Book, settings: &Settings) -> Vec<Option<Sided<AngledStretches>>> {
    let Some(angled) = &settings.angled else { return settings.controls.iter().map(|_| None).collect() };
    let notes = OfNotes::on(book, settings);
    each_control(book, settings, |position, control, side| {
        let (mut known, mut not_used) = (Vec::new(), Vec::new());
        for (nth, row) in angled.rows.iter().enumerate() {
            let (wind, angle) = (row.row.at.value, row.angle.value);
            match told(&row.row, position, control, side) {
                Some(Some(reading)) => {
                    let ground = ground(notes.as_ref(), settings, (position, nth), &row.row);
                    known.push(KnownAt { wind, known: Known { at: angle, reading, ground } });
                }
                Some(None) => not_used.push((wind, angle)),
                None => {}
            }
        }
        AngledStretches::new(control.scale.clone(), &known, &not_used, between(settings, position))
    })
}

/// What a row's reading of a control is known from: what the notes say of it, or else what the book does.
fn ground(notes: Option<&OfNotes<'_>>, settings: &Settings, (position, nth): (usize, usize), row: &Row) -> Ground {
    let control = settings.controls.get(position);
    notes.zip(control).map_or(row.ground, |(notes, control)| notes.ground(*control, nth, row.ground))
}

/// The controls of a table of which anything is recorded, each with what is.
pub fn recorded_of<'a, T>(
    book: &'a Book,
    settings: &'a Settings,
    columns: &'a [Option<T>],
) -> impl Iterator<Item = (&'a Control, &'a T)> {
    let controls = settings.controls.iter().map(|index| book.controls.get(*index));
    controls.zip(columns).filter_map(|(control, column)| Some((control?, column.as_ref()?)))
}

/// Something of each control of a table, and of each of its sides where they differ; `None` where nothing is recorded.
fn each_control<T>(
    book: &Book,
    settings: &Settings,
    of: impl Fn(usize, &Control, Side) -> Option<T>,
) -> Vec<Option<Sided<T>>> {
    let one = |(position, index): (usize, &usize)| {
        let control = book.controls.get(*index)?;
        let recorded = || settings.all_rows().filter_map(move |row| row.readings.get(position));
        if !recorded().any(Recorded::is_something) {
            return None;
        }
        if !control.differs() && !recorded().any(|recorded| matches!(recorded, Recorded::Sides { .. })) {
            return of(position, control, Side::Port).map(Sided::Alike);
        }
        let [port, starboard] = Side::BOTH.map(|side| of(position, control, side));
        Some(Sided::Each { port: port?, starboard: starboard? })
    };
    settings.controls.iter().enumerate().map(one).collect()
}

/// How a control runs between the known rows of a table.
fn between(settings: &Settings, position: usize) -> Between {
    let index = settings.controls.get(position);
    index.and_then(|index| settings.between.get(index)).copied().unwrap_or_default()
}

/// What a row says of a control on one side: its reading, or that it is not used; `None` where nothing is recorded.
fn told(row: &Row, position: usize, control: &Control, side: Side) -> Option<Option<f64>> {
    match row.readings.get(position)? {
        Recorded::Not => None,
        Recorded::NotUsed(_) => Some(None),
        recorded => recorded.on(side, control).map(Some),
    }
}

/// The columns of a table over the wind: of one that is kept by angle too, at this angle; without an angle it has none.
pub fn columns_at(book: &Book, settings: &Settings, angle: Option<Angle>) -> Vec<Option<Sided<Stretches>>> {
    match (&settings.angled, angle) {
        (None, _) => columns(book, settings),
        (Some(_), Some(angle)) => {
            let at = |column: Option<Sided<AngledStretches>>| column?.map(|column| column.at_angle(angle)).all();
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
