//! Settings that are made before leaving: which turns and marks of the rig for which wind to expect. Knows no sails.

use super::csv_table;
use super::raw_rows::{Column, Known};
use super::settings::{check_recorded, check_rising, check_twins, column_list, inline_rows, listed, rows};
use super::tables::Tables;
use crate::book::model::{DockTune, Spanned, When};
use crate::book::problem::{Place, Problem};
use crate::book::table::Table;
use crate::book::words;
use crate::wrong::shown;

/// What settings afloat have, and why these have none.
const AFLOAT: [(&str, &str); 6] = [
    ("sails", "the rig is set before any sail is"),
    ("point_of_sail", "the rig is set for all of them"),
    ("targets", "they are of the boat under sail"),
    ("on_rail", "nobody is on the rail at the dock"),
    ("between", "a row is set whole, and nothing is read between two"),
    ("angle_bands", "the rig is set for all angles"),
];

/// `{id: dock, when: dock, controls: [caps, lowers], at: {6: [-1, 0], 12: [0, 0]}}`, its id and `when` already taken.
pub fn dock_tune(
    id: Option<Spanned<String>>,
    place: Place,
    mut fields: Table<'_>,
    known: &Known<'_>,
    tables: &mut Tables<'_>,
    problems: &mut Vec<Problem>,
) -> Option<DockTune> {
    let what = fields.what.clone();
    for (field, why) in AFLOAT {
        if fields.take(field).is_some() {
            problems.push(Problem::error(
                fields.place_of(field),
                format!("{what} are set at the dock and have no `{field}`"),
                format!("take it out: {why}; or take out `when: dock`"),
            ));
        }
    }
    let before = problems.len();
    let title = fields.take("title").and_then(|node| words::words(node, &format!("the title of {what}"), problems));
    let sea = fields.take("sea").and_then(|node| words::id(node, "a sea", problems)).map(|id| id.value);
    let (columns, raw_rows) = match fields.take("table") {
        Some(node) => {
            super::settings::check_table_alone(&mut fields, problems);
            csv_table::read(node, &what, known, tables, problems).unwrap_or_default()
        }
        None => {
            let dock = known.controls.iter().filter(|control| control.when == When::Dock);
            let ids: Vec<&str> = dock.map(|control| control.id.value.as_str()).take(2).collect();
            let example = if ids.is_empty() {
                listed("controls", &known.control_names)
            } else {
                format!("controls: [{}]", ids.join(", "))
            };
            let columns = fields.need("controls", &example, problems);
            let columns = columns.and_then(|node| column_list(node, &what, known, problems));
            let rows = fields.need("at", "at: {6: [-1, 0], 12: [0, 0]}", problems);
            let rows = rows.and_then(|node| inline_rows(node, &what, columns.as_deref(), &known.units, problems));
            (columns.unwrap_or_default(), rows.unwrap_or_default())
        }
    };
    check_twins(&columns, &what, problems);
    check_at_the_dock(&columns, &what, known, problems);
    if let Some(row) = raw_rows.iter().find(|row| row.angle.is_some()) {
        problems.push(Problem::error(
            row.at.place.clone(),
            format!("{what} are set at the dock, and their rows go by angle"),
            "write one row of readings for each wind to expect, like `12: [0, 1]`",
        ));
    }
    let rows = rows(raw_rows, &columns, known, problems);
    check_rising(rows.iter().map(|row| &row.at), known.units.wind, &what, problems);
    if problems.len() == before {
        check_recorded(&rows, &columns, &what, problems);
    }
    fields.finish(problems);
    let controls: Option<Vec<usize>> = columns.iter().map(|column| column.index).collect();
    Some(DockTune {
        id: id?,
        title: title.map(|title| title.value).or_else(|| sea.as_deref().map(words::name_from_id)),
        sea,
        controls: controls.filter(|controls| !controls.is_empty())?,
        rows,
        place,
    })
}

/// Controls that are moved afloat do not stay where the dock left them.
fn check_at_the_dock(columns: &[Column], what: &str, known: &Known<'_>, problems: &mut Vec<Problem>) {
    for column in columns {
        let Some(control) = known.control(column).filter(|control| control.when == When::Racing) else { continue };
        problems.push(Problem::error(
            column.place.clone(),
            format!("{} is moved while racing and cannot be a column of {what}", shown(&control.name)),
            "take the column out, or write `when: dock` for the control",
        ));
    }
}

/// Two cards with the same words at their heads are taken for each other.
pub fn check_told_apart(tunes: &[DockTune], problems: &mut Vec<Problem>) {
    for (nth, one) in tunes.iter().enumerate() {
        let mut others = tunes.iter().enumerate().filter(|(other, _)| *other != nth);
        let Some((_, twin)) = others.find(|(_, other)| other.title == one.title) else { continue };
        problems.push(Problem::warning(
            one.id.place.clone(),
            format!("nothing tells the dock tunes {} and {} apart", shown(&one.id.value), shown(&twin.id.value)),
            "give each a `title` or a `sea`, or make them one",
        ));
    }
}
