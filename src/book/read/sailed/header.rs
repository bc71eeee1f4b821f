//! The first line of the notes' file: which column is which. Knows the controls of the book; reads no note.

use crate::book::model::Units;
use crate::book::model::{Control, NoteColumn, NoteField};
use crate::book::model_sailed::{CONTROL, SAILS};
use crate::book::problem::Problem;
use crate::book::quantity::Dimension;
use crate::book::read::csv_table::{Cell, File};
use crate::book::read::heading::{self, plain};
use crate::book::suggest;
use crate::tuning::Side;
use crate::wrong::shown;

/// What each cell of a line is; `None` is what nobody reads.
pub fn columns(
    file: &File<'_>,
    header: &[Cell],
    controls: &[Control],
    problems: &mut Vec<Problem>,
) -> Vec<Option<NoteColumn>> {
    let mut columns: Vec<Option<NoteColumn>> = Vec::new();
    for cell in header {
        let found = (!cell.text.is_empty()).then(|| column(&cell.text, controls)).flatten();
        match found {
            None if cell.text.is_empty() => {}
            None => problems.push(unknown(file, cell, controls)),
            Some(found) if columns.iter().flatten().any(|other| are_one(*other, found)) => {
                problems.push(Problem::error(
                    file.place(cell.bytes.clone()),
                    format!("there is a second column for {}", shown(&cell.text)),
                    "keep one of the two, or call one of them otherwise",
                ));
            }
            Some(_) => {}
        }
        columns.push(found);
    }
    columns
}

/// Whether two columns say the same, or the one a part of the other.
fn are_one(one: NoteColumn, other: NoteColumn) -> bool {
    match (one, other) {
        (NoteColumn::Control(one, side), NoteColumn::Control(other, other_side)) => {
            one == other && (side.is_none() || other_side.is_none() || side == other_side)
        }
        _ => one == other,
    }
}

/// What a heading means: one of the usual ones, or a control by its id or its printed name, with the side if it has any; a unit may
/// stand behind it in brackets.
pub fn column(heading: &str, controls: &[Control]) -> Option<NoteColumn> {
    named(heading, controls).or_else(|| {
        let (name, unit) = heading::split(heading);
        let found = named(name, controls).filter(|_| unit.is_some())?;
        let has_unit = match found {
            NoteColumn::Always(field) => dimension(field).is_some(),
            NoteColumn::Control(..) => true,
        };
        has_unit.then_some(found)
    })
}

/// What a note measures.
pub fn dimension(field: NoteField) -> Option<Dimension> {
    match field {
        NoteField::Wind | NoteField::Speed => Some(Dimension::Speed),
        NoteField::Angle => Some(Dimension::Angle),
        _ => None,
    }
}

/// What a bare number of a column is in: the boat's own speed is in knots, whatever the wind is in.
pub fn bare_unit(field: NoteField, units: &Units) -> Option<&'static crate::book::Unit> {
    let units = if field == NoteField::Speed { &Units::default() } else { units };
    dimension(field).map(|dimension| units.bare(dimension))
}

/// The unit that stands over each column, where its numbers have one; says so if it cannot be theirs.
pub fn units(
    file: &File<'_>,
    header: &[Cell],
    columns: &[Option<NoteColumn>],
    known: &super::Known<'_>,
    problems: &mut Vec<Problem>,
) -> Vec<Option<String>> {
    let one = |(cell, column): (&Cell, &Option<NoteColumn>)| {
        let unit = unit_over(&cell.text, known.controls)?;
        let checked = match (*column)? {
            NoteColumn::Always(field) => heading::check_quantity(unit, bare_unit(field, &known.units)?),
            NoteColumn::Control(index, _) => heading::check_reading(unit, &known.controls.get(index)?.scale),
        };
        problems.extend(checked.err().map(|wrong| wrong.at(&file.place(cell.bytes.clone()))));
        Some(unit.to_owned())
    };
    header.iter().zip(columns).map(one).collect()
}

/// The unit in a heading's brackets, if they are not of its name.
pub fn unit_over<'a>(heading: &'a str, controls: &[Control]) -> Option<&'a str> {
    heading::split(heading).1.filter(|_| named(heading, controls).is_none())
}

fn named(heading: &str, controls: &[Control]) -> Option<NoteColumn> {
    let plain = plain(heading);
    if let Some(field) = NoteField::all().find(|field| field.heading() == plain) {
        return Some(NoteColumn::Always(field));
    }
    if plain == SAILS {
        return Some(NoteColumn::Always(NoteField::Settings));
    }
    let control = |name: &str| {
        let is_it = |id: &str| heading::plain(id) == name;
        let by_id = controls.iter().position(|control| is_it(&control.id.value));
        by_id.or_else(|| controls.iter().position(|control| is_it(&control.name)))
    };
    let with_side = |name: &str| {
        if let Some(index) = control(name) {
            return Some(NoteColumn::Control(index, None));
        }
        Side::BOTH.into_iter().find_map(|side| {
            let name = name.strip_suffix(side.name())?.trim_end();
            Some(NoteColumn::Control(control(name)?, Some(side)))
        })
    };
    with_side(&plain).or_else(|| with_side(plain.strip_prefix(CONTROL)?.trim_start()))
}

fn unknown(file: &File<'_>, cell: &Cell, controls: &[Control]) -> Problem {
    let mut names: Vec<&str> = controls.iter().map(|control| control.id.value.as_str()).collect();
    for field in NoteField::all() {
        names.push(field.heading());
    }
    let instead = match suggest::nearest(&cell.text, names) {
        Some(name) => format!("did you mean `{name}`?"),
        None => {
            "name a control by its id or its printed name; a line that starts with `#` is for people only".to_owned()
        }
    };
    let what = format!("no column of the notes is called {}: what stands in it is not read", shown(&cell.text));
    Problem::warning(file.place(cell.bytes.clone()), what, instead)
}
