//! The tuning matrix: which controls stand at which mark, for which sails, at which wind.

use crate::wrong::shown;
use std::collections::{BTreeMap, BTreeSet};

use super::csv_table;
use super::raw_rows::{Column, Known, RawRow, check_row_count, check_row_length, column, touch};
use super::recorded::recorded;
use super::tables::Tables;
use super::{angled, dock_tune, entry_place, points_of_sail, start_of};
use crate::book::model::{
    Angled, DockTune, Recorded, Row, Sail, SailKind, Settings, Spanned, Target, Targets, Units, When,
};
use crate::book::problem::{Level, Place, Problem};
use crate::book::quantity;
use crate::book::sets;
use crate::book::table::Table;
use crate::book::tree::{Node, Value};
use crate::book::words::{self, Names, Reference};
use crate::limits;
use crate::tuning::{Angle, Axis, Between, Ground, Span, Wind, WindUnit};

const BETWEEN: [(&str, Between); 3] =
    [("monotone", Between::Monotone), ("linear", Between::Linear), ("step", Between::Step)];

/// Winds closer than this are one wind to whoever sails in them: steadier it does not blow, and few sensors are truer
/// (common practice).
const SAME_WIND: Wind = Wind::knots(1.0);

/// When settings are made.
const TIMES: [(&str, When); 2] = [("racing", When::Racing), ("dock", When::Dock)];

/// The settings of a book, the ids of those that are made afloat, and what is set at the dock.
pub fn settings(
    node: &Node,
    known: &Known<'_>,
    tables: &mut Tables<'_>,
    problems: &mut Vec<Problem>,
) -> (Vec<Settings>, Names, Vec<DockTune>) {
    let example = "[{id: j1-upwind, sails: [main, j1], point_of_sail: upwind, controls: [backstay], at: {10: [2]}}]";
    let Some(items) = node.some_items("`settings`", 0..=limits::MAX_DECLARED, example, problems) else {
        return (Vec::new(), Names::unreadable("settings"), Vec::new());
    };
    let mut names = Names::new("settings");
    let (mut settings, mut tunes) = (Vec::new(), Vec::new());
    let mut at_the_dock: BTreeSet<String> = BTreeSet::new();
    for item in items {
        let Some(mut fields) = Table::open(item, "a group of settings", problems) else {
            names.lose_one();
            continue;
        };
        fields.place = start_of(item);
        let id = fields.need("id", "id: j1-upwind", problems);
        let written = id.and_then(words::text_of);
        let is_twin = written.is_some_and(|written| names.has(written) || at_the_dock.contains(written));
        let id = id.and_then(|node| words::id(node, "settings", problems));
        if let Some(id) = &id {
            if is_twin {
                problems.push(Problem::error(
                    id.place.clone(),
                    format!("there are two settings called {}", shown(&id.value)),
                    "give each an id of its own",
                ));
            }
            fields.what = format!("settings \"{}\"", id.value);
            fields.place = id.place.clone();
        }
        let when = fields.take("when");
        let when = when.map(|node| words::choice(node, &format!("`when` of {}", fields.what), &TIMES, problems));
        if when == Some(Some(When::Dock)) {
            at_the_dock.extend(written.map(str::to_owned));
            tunes.extend(dock_tune::dock_tune(id, item.place.clone(), fields, known, tables, problems));
            continue;
        }
        let has_id = id.is_some();
        let read = one(item, id, fields, known, tables, problems);
        match written.filter(|_| has_id) {
            Some(written) => names.declare(written, read.as_ref().map(|_| settings.len())),
            None => names.lose_one(),
        }
        settings.extend(read);
    }
    check_told_apart(&settings, problems);
    dock_tune::check_told_apart(&tunes, problems);
    (settings, names, tunes)
}

/// Two cards with the same words at their heads are taken for each other.
fn check_told_apart(settings: &[Settings], problems: &mut Vec<Problem>) {
    let sails = |settings: &Settings| settings.sails.iter().map(|id| id.value.clone()).collect::<BTreeSet<String>>();
    let alike = |one: &Settings, other: &Settings| {
        let span = |settings: &Settings| settings.angled.as_ref().map(Angled::span);
        one.point_of_sail == other.point_of_sail
            && one.title == other.title
            && sails(one) == sails(other)
            && span(one) == span(other)
    };
    for (nth, one) in settings.iter().enumerate() {
        let others = settings.iter().enumerate().filter(|(other, _)| *other != nth);
        let Some((_, twin)) = others.into_iter().find(|(_, other)| alike(one, other)) else { continue };
        problems.push(Problem::warning(
            one.id.place.clone(),
            format!(
                "nothing tells the cards of {} and {} apart: the same sails on the same point of sail",
                shown(&one.id.value),
                shown(&twin.id.value)
            ),
            "give each a `title`, such as `title: flat water`, or make them one",
        ));
    }
}

fn one(
    node: &Node,
    id: Option<Spanned<String>>,
    mut fields: Table<'_>,
    known: &Known<'_>,
    tables: &mut Tables<'_>,
    problems: &mut Vec<Problem>,
) -> Option<Settings> {
    let what = fields.what.clone();
    let before = problems.len();
    let sails = fields.need("sails", &listed("sails", &known.sail_names), problems);
    let sails = sails.and_then(|node| sail_list(node, &what, known, problems));
    let title = fields.take("title").and_then(|node| words::words(node, &format!("the title of {what}"), problems));
    let sea = fields.take("sea").and_then(|node| words::id(node, "a sea", problems)).map(|id| id.value);
    let written_point = fields.take("point_of_sail").and_then(|node| {
        words::choice(node, &format!("the point of sail of {what}"), &points_of_sail::NAMES, problems)
    });
    let table = fields.take("table");
    let before_rows = problems.len();
    let (columns, raw_rows) = match table {
        Some(node) => {
            check_table_alone(&mut fields, problems);
            csv_table::read(node, &what, known, tables, problems).unwrap_or_default()
        }
        None => {
            let columns = fields.need("controls", &listed("controls", &known.control_names), problems);
            let columns = columns.and_then(|node| column_list(node, &what, known, problems));
            let example = "at: {6: [0, 13], 10: [2, 12]}";
            let rows = fields.need("at", example, problems);
            let rows = rows.and_then(|node| inline_rows(node, &what, columns.as_deref(), &known.units, problems));
            (columns.unwrap_or_default(), rows.unwrap_or_default())
        }
    };
    // Where a column or a row is missing because of an error nothing is said of what names it.
    let is_whole = problems.len() == before_rows;
    check_columns(&columns, &what, known, problems);
    let angled = angled::are_angled(&raw_rows, &what, problems);
    let angles: Vec<Spanned<Angle>> = raw_rows.iter().filter_map(|row| row.angle.clone()).collect();
    let mut rows = rows(raw_rows, &columns, known, problems);
    if let Some(node) = fields.take("on_rail") {
        on_rail(node, &mut rows, is_whole, (&what, known.units), problems);
    }
    if !angled {
        check_rising(rows.iter().map(|row| &row.at), known.units.wind, &what, problems);
    }
    // A reading that could not be read has had its complaint.
    if problems.len() == before {
        check_recorded(&rows, &columns, &what, problems);
        if !angled {
            check_jumps(&rows, &columns, known, problems);
        }
    }
    if let Some(sails) = &sails {
        check_wind(&rows, sails, &what, known, problems);
    }
    let sails_or_none = sails.as_deref().unwrap_or_default();
    let rows_are_sound = !problems[before..].iter().any(|problem| problem.level == Level::Error);
    let about = angled::About { what: &what, known, sails: sails_or_none, rows_are_sound };
    let angle_bands = fields.take("angle_bands");
    let mut angled = angled.then(|| about.rows(angle_bands, rows.split_off(0), angles, problems));
    if let (Some(node), None, true) = (angle_bands, &angled, rows_are_sound) {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{what} has `angle_bands`, and its rows go by wind alone"),
            "take them out, or write the rows by angle, like `10: {60: [4, 1], 80: [3, 2]}`",
        ));
    }
    let targets = match (fields.take("targets"), &mut angled) {
        (Some(node), Some(angled)) => {
            angled.targets = about.targets(node, angled, problems);
            Targets::default()
        }
        (Some(node), None) => targets(node, &what, &known.units, problems),
        (None, _) => Targets::default(),
    };
    let point = match (written_point, &mut angled) {
        (Some(point), Some(angled)) => {
            angled.names_point_of_sail = true;
            Some(point)
        }
        (Some(point), None) => Some(point),
        (None, Some(angled)) => Some(angled::point_of_sail(angled, &known.points_of_sail)),
        // The field was there and could not be read, or it is missing.
        (None, None) if fields.has("point_of_sail") => None,
        (None, None) => {
            fields.need("point_of_sail", "point_of_sail: upwind", problems);
            None
        }
    };
    let between = fields
        .take("between")
        .map(|node| between(node, &what, (&columns, is_whole), known, problems))
        .unwrap_or_default();
    fields.finish(problems);
    let controls: Option<Vec<usize>> = columns.iter().map(|column| column.index).collect();
    Some(Settings {
        id: id?,
        // The sea tells its cards from those of any other.
        title: title.map(|title| title.value).or_else(|| sea.as_deref().map(words::name_from_id)),
        sea,
        sails: sails?,
        point_of_sail: point?,
        controls: controls.filter(|controls| !controls.is_empty())?,
        rows,
        targets,
        angled,
        between,
        place: node.place.clone(),
    })
}

/// A table brings its own columns and rows.
pub(super) fn check_table_alone(fields: &mut Table<'_>, problems: &mut Vec<Problem>) {
    for field in ["controls", "at"] {
        if fields.take(field).is_some() {
            problems.push(Problem::error(
                fields.place_of(field),
                format!("{} has both `table` and `{field}`", fields.what),
                "the table brings its own columns and rows: keep one of the two",
            ));
        }
    }
}

/// How a list of ids is written, with ids that the book has.
pub(super) fn listed(field: &str, names: &Names) -> String {
    let ids = names.a_few();
    if ids.is_empty() { format!("{field}: [one, two]") } else { format!("{field}: [{ids}]") }
}

/// The sails of some settings, the mainsail first.
fn sail_list(node: &Node, what: &str, known: &Known<'_>, problems: &mut Vec<Problem>) -> Option<Vec<Spanned<String>>> {
    let about = format!("the sails of {what}");
    let items = node.some_items(&about, 1..=limits::MAX_DECLARED, "[main, j1]", problems)?;
    let mut sails: Vec<(Spanned<String>, &Sail)> = Vec::new();
    let mut complete = true;
    for item in items {
        let name = words::words(item, &format!("a sail of {what}"), problems);
        let found = name.and_then(|name| Some((known.sail_names.find(&name.value, &name.place, problems)?, name)));
        let Some((Reference::To(index), name)) = found else {
            complete = false;
            continue;
        };
        let sail = &known.sails[index];
        let other_main = sails.iter().find(|(_, other)| other.kind == SailKind::Mainsail && other.kind == sail.kind);
        if sails.iter().any(|(other, _)| other.value == name.value) {
            let complaint = format!("{what} names sail {} twice", shown(&name.value));
            problems.push(Problem::error(name.place.clone(), complaint, "name each sail once"));
        } else if let Some((other, _)) = other_main {
            problems.push(Problem::error(
                name.place.clone(),
                format!("{what} has two mainsails up, {} and {}", shown(&other.value), shown(&name.value)),
                "keep the one that is set",
            ));
        }
        sails.push((name, sail));
    }
    let up: Vec<&Sail> = sails.iter().map(|(_, sail)| *sail).collect();
    let is_under = |sail: &Sail| up.iter().any(|other| sets::flies_under(sail, other, known.sails));
    if complete {
        for (name, sail) in &sails {
            check_flies(name, sail, is_under(sail), what, known.sails, problems);
        }
    }
    // What flies under another never stands before it.
    sails.sort_by_cached_key(|(_, sail)| (sail.kind != SailKind::Mainsail, is_under(sail)));
    complete.then(|| sails.into_iter().map(|(name, _)| name).collect())
}

/// A sail that flies with others is set with one of them.
fn check_flies(
    name: &Spanned<String>,
    sail: &Sail,
    is_under: bool,
    what: &str,
    sails: &[Sail],
    problems: &mut Vec<Problem>,
) {
    let partners = sets::partners(sail, sails);
    // A partner that could not be read has had its complaint, and so have all sails that refer to it.
    let are_read = partners.iter().all(|partner| sails.iter().any(|sail| sail.id.value == partner.value));
    let Some(first) = partners.first().filter(|_| !is_under && are_read) else { return };
    let named: Vec<String> = partners.iter().map(|partner| shown(&partner.value)).collect();
    problems.push(Problem::error(
        name.place.clone(),
        format!("{what} sets {} without a sail that it flies with, {}", shown(&name.value), named.join(" or ")),
        format!("add it to the sails, such as `{}`, or take `flies_with` from {}", first.value, shown(&name.value)),
    ));
}

pub(super) fn column_list(
    node: &Node,
    what: &str,
    known: &Known<'_>,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Column>> {
    let about = format!("the controls of {what}");
    let items = node.some_items(&about, 1..=limits::MAX_DECLARED, "[backstay, jib_lead]", problems)?;
    Some(items.iter().map(|item| column(item, what, known, problems)).collect())
}

pub(super) fn check_twins(columns: &[Column], what: &str, problems: &mut Vec<Problem>) {
    for (position, column) in columns.iter().enumerate() {
        if !column.id.is_empty() && columns[..position].iter().any(|other| other.id == column.id) {
            problems.push(Problem::error(
                column.place.clone(),
                format!("{what} has two columns for {}", shown(&column.id)),
                "keep one of them",
            ));
        }
    }
}

fn check_columns(columns: &[Column], what: &str, known: &Known<'_>, problems: &mut Vec<Problem>) {
    check_twins(columns, what, problems);
    for column in columns {
        let dock = known.control(column).filter(|control| control.when == When::Dock);
        if let Some(control) = dock {
            problems.push(Problem::error(
                column.place.clone(),
                format!("\"{}\" is set at the dock and cannot be a column of {what}", control.name),
                "take the column out and put it under settings with `when: dock`, or take `when: dock` from the control",
            ));
        }
    }
}

/// The rows under `at`: winds and lists of readings.
pub(super) fn inline_rows(
    node: &Node,
    what: &str,
    columns: Option<&[Column]>,
    units: &Units,
    problems: &mut Vec<Problem>,
) -> Option<Vec<RawRow>> {
    let entries = node.entries(&format!("`at` of {what}"), problems)?;
    check_row_count(entries.len(), &start_of(node), what, problems)?;
    let mut rows = Vec::new();
    for (key, value) in entries {
        let wind = quantity::wind(key, units, &format!("a wind of {what}"), &limits::WIND_KN, problems);
        if let Value::Map(by_angle) = &value.value
            && angled::has_angles(by_angle)
        {
            let at = wind.map(|wind| Spanned { value: wind, place: key.place.clone() });
            rows.extend(angled::inline_rows((key, by_angle), at, what, columns, problems));
            continue;
        }
        let Some(items) = value.items(&format!("the row at {}", words::text_of(key).unwrap_or("this wind")), problems)
        else {
            continue;
        };
        let cells = cells(items, &value.place, columns, problems);
        let at = wind.map(|wind| Spanned { value: wind, place: key.place.clone() });
        rows.extend(at.map(|at| RawRow { at, angle: None, cells }));
    }
    if rows.len() > limits::MAX_ROWS {
        check_row_count(rows.len(), &start_of(node), what, problems)?;
    }
    Some(rows)
}

/// The readings of one row, as written.
pub(super) fn cells(
    items: &[Node],
    place: &Place,
    columns: Option<&[Column]>,
    problems: &mut Vec<Problem>,
) -> Vec<Option<Node>> {
    let mut cells: Vec<Option<Node>> = items.iter().map(cell).collect();
    let comma = items.windows(2).find(|pair| touch(&pair[0], &pair[1]));
    let comma = comma.and_then(|pair| words::text_of(&pair[0]).zip(words::text_of(&pair[1])));
    if let Some(columns) = columns {
        let ids: Vec<&str> = columns.iter().map(|column| column.id.as_str()).collect();
        check_row_length(&mut cells, place, &ids, comma, problems);
    }
    cells
}

fn cell(node: &Node) -> Option<Node> {
    (node.value != Value::Null).then(|| node.clone())
}

pub(super) fn rows(raw: Vec<RawRow>, columns: &[Column], known: &Known<'_>, problems: &mut Vec<Problem>) -> Vec<Row> {
    let mut read = |cell: Option<&Option<Node>>, column: &Column| match (cell, known.control(column)) {
        (Some(Some(node)), Some(control)) => recorded(node, control, problems),
        _ => Recorded::Not,
    };
    let row = |raw: RawRow| {
        let readings = columns.iter().enumerate().map(|(index, column)| read(raw.cells.get(index), column)).collect();
        Row { at: raw.at, readings, on_rail: None, ground: Ground::Sailed }
    };
    raw.into_iter().map(row).collect()
}

/// `4` for every row, or `{14: 4}`: how many were on the rail when a row was sailed.
fn on_rail(node: &Node, rows: &mut [Row], is_whole: bool, (what, units): (&str, Units), problems: &mut Vec<Problem>) {
    let count = |node: &Node, problems: &mut Vec<Problem>| {
        let about = format!("the number on the rail of {what}");
        let value = super::watches::count(node, &about, 0..=limits::MAX_CREW, problems)?;
        Some(Spanned { value, place: node.place.clone() })
    };
    if !matches!(node.value, Value::Map(_)) {
        if let Some(up) = count(node, problems) {
            rows.iter_mut().for_each(|row| row.on_rail = Some(up.clone()));
        }
        return;
    }
    let entries = node.some_entries(&format!("`on_rail` of {what}"), 0..=limits::MAX_ROWS, "{14: 4}", problems);
    for (key, value) in entries.unwrap_or_default() {
        let wind = quantity::wind(key, &units, &format!("a wind on the rail of {what}"), &limits::WIND_KN, problems);
        let (Some(wind), Some(up)) = (wind, count(value, problems)) else { continue };
        let mut of_this_wind = rows.iter_mut().filter(|row| row.at.value.is_at(wind)).peekable();
        match of_this_wind.peek() {
            Some(_) => of_this_wind.for_each(|row| row.on_rail = Some(up.clone())),
            None if !is_whole => {}
            None => problems.push(Problem::error(
                key.place.clone(),
                format!("{what} has no row at {}", wind.as_written(units.wind)),
                "name the wind of one of its rows, or write one number for all of them",
            )),
        }
    }
}

pub(super) fn check_rising<'a>(
    winds: impl Iterator<Item = &'a Spanned<Wind>>,
    unit: WindUnit,
    what: &str,
    problems: &mut Vec<Problem>,
) {
    let mut seen: Vec<Wind> = Vec::new();
    for wind in winds {
        let shown = wind.value.as_written(unit);
        if seen.iter().any(|seen| seen.is_at(wind.value)) {
            problems.push(Problem::error(
                wind.place.clone(),
                format!("{what} has the wind {shown} twice"),
                "keep the better of the two rows",
            ));
        } else if let Some(last) = seen.last().filter(|last| **last > wind.value) {
            problems.push(Problem::error(
                wind.place.clone(),
                format!("the winds of {what} do not rise: {shown} comes after {}", last.as_written(unit)),
                "write the rows from light wind to strong",
            ));
        }
        seen.push(wind.value);
    }
}

/// A column that nothing is recorded in prints as an empty one.
pub(super) fn check_recorded(rows: &[Row], columns: &[Column], what: &str, problems: &mut Vec<Problem>) {
    for (index, column) in columns.iter().enumerate() {
        let empty = rows.iter().all(|row| row.readings.get(index).is_none_or(|recorded| !recorded.is_something()));
        if empty && !rows.is_empty() && column.index.is_some() {
            problems.push(Problem::warning(
                column.place.clone(),
                format!("{what} has no reading of {} at any wind", shown(&column.id)),
                "record one, or take the column out",
            ));
        }
    }
}

/// Two rows so close that no helmsman tells their winds apart, with marks so far apart that one of them is a slip.
fn check_jumps(rows: &[Row], columns: &[Column], known: &Known<'_>, problems: &mut Vec<Problem>) {
    let unit = known.units.wind;
    for pair in rows.windows(2).filter(|pair| pair[0].at.value.apart(pair[1].at.value).is_below(SAME_WIND)) {
        for (index, column) in columns.iter().enumerate() {
            let reading = |row: &Row| Some(row.readings.get(index)?.written().next()?.1.clone());
            let (Some(control), Some(low), Some(high)) = (known.control(column), reading(&pair[0]), reading(&pair[1]))
            else {
                continue;
            };
            if !control.scale.moves_more_than_one_mark(low.value, high.value) {
                continue;
            }
            for (own, row, other, other_row) in [(&low, &pair[0], &high, &pair[1]), (&high, &pair[1], &low, &pair[0])] {
                problems.push(Problem::warning(
                    own.place.clone(),
                    format!(
                        "\"{}\" is {} at {}, and {} at {}: more than a mark for less than a knot of wind",
                        control.name,
                        control.scale.print(own.value),
                        row.at.value.as_written(unit),
                        control.scale.print(other.value),
                        other_row.at.value.as_written(unit),
                    ),
                    "keep the row that was faster, or put them under two settings, each with its `title`",
                ));
            }
        }
    }
}

/// The winds in which all the sails are used, and the rows that lie outside.
fn check_wind(rows: &[Row], sails: &[Spanned<String>], what: &str, known: &Known<'_>, problems: &mut Vec<Problem>) {
    let ranges = sails.iter().filter_map(|name| {
        let sail = known.sails.iter().find(|sail| sail.id.value == name.value)?;
        Some((name, sail.wind?))
    });
    let ranges: Vec<_> = ranges.collect();
    let Some(low) = ranges.iter().map(|(_, wind)| wind.low).max() else { return };
    let Some(high) = ranges.iter().map(|(_, wind)| wind.high).min() else { return };
    let unit = known.units.wind;
    let (from, to) = (low.as_written(unit), high.as_written(unit));
    let Some(shared) = Span::new(low, high) else {
        let place = ranges.last().map(|(name, _)| name.place.clone());
        problems.push(Problem::error(
            place,
            format!("the sails of {what} share no wind: one starts at {from}, another ends at {to}"),
            "correct the `wind` of one of them, or take one out",
        ));
        return;
    };
    // Kept by angle too, one wind has several rows.
    let of_its_wind = rows.chunk_by(|one, next| one.at.value == next.at.value).filter_map(<[Row]>::first);
    for row in of_its_wind.filter(|row| !shared.holds(row.at.value)) {
        problems.push(Problem::warning(
            row.at.place.clone(),
            format!(
                "{} is outside the wind of these sails, {} to {to}",
                row.at.value.as_written(unit),
                low.written_number(unit)
            ),
            "correct the row or the `wind` of the sail; no card prints a band out there",
        ));
    }
}

fn targets(node: &Node, what: &str, units: &Units, problems: &mut Vec<Problem>) -> Targets {
    let Some(entries) =
        node.some_entries(&format!("`targets` of {what}"), 0..=limits::MAX_ROWS, "{10: {speed: 6.5 kn}}", problems)
    else {
        return Targets::default();
    };
    if check_row_count(entries.len(), &start_of(node), &format!("`targets` of {what}"), problems).is_none() {
        return Targets::default();
    }
    let targets: Vec<Target> =
        entries.iter().filter_map(|(key, value)| target(key, value, what, units, problems)).collect();
    let winds = targets.iter().map(|target| &target.at);
    check_rising(winds, units.wind, &format!("`targets` of {what}"), problems);
    Targets::sorted(targets)
}

fn target(key: &Node, value: &Node, settings: &str, units: &Units, problems: &mut Vec<Problem>) -> Option<Target> {
    let wind = quantity::wind(key, units, &format!("a target wind of {settings}"), &limits::WIND_KN, problems);
    let what = format!("the target at {}", words::text_of(key).unwrap_or("this wind"));
    let at = wind.map(|wind| Spanned { value: wind, place: key.place.clone() });
    target_at(at, key, value, &what, problems)
}

/// What the boat should do at a wind that has been read.
pub(super) fn target_at(
    at: Option<Spanned<Wind>>,
    key: &Node,
    value: &Node,
    what: &str,
    problems: &mut Vec<Problem>,
) -> Option<Target> {
    let mut fields = Table::open(value, what, problems)?;
    fields.place = key.place.clone();
    let speed = fields.take("speed").and_then(|node| {
        quantity::boat_speed(node, &format!("the boat speed of {what}"), &limits::BOAT_SPEED_KN, problems)
    });
    let heel = fields
        .take("heel")
        .and_then(|node| quantity::angle_deg(node, &format!("the heel of {what}"), &limits::HEEL_DEG, problems));
    let angle = fields.take("angle").and_then(|node| {
        quantity::wind_angle(node, &format!("the wind angle of {what}"), &limits::WIND_ANGLE_DEG, problems)
    });
    let look = fields.take("look").and_then(|node| words::words(node, &format!("the look of {what}"), problems));
    let empty = ["speed", "heel", "angle", "look"].iter().all(|field| !fields.has(field));
    if empty {
        problems.push(Problem::error(
            entry_place(key, value),
            format!("{what} names no target"),
            "write `speed`, `heel`, `angle` or `look`",
        ));
    }
    fields.finish(problems);
    Some(Target { at: at?, speed, heel_deg: heel, angle, look: look.map(|look| look.value), ground: Ground::Sailed })
}

fn between(
    node: &Node,
    what: &str,
    (columns, is_whole): (&[Column], bool),
    known: &Known<'_>,
    problems: &mut Vec<Problem>,
) -> BTreeMap<usize, Between> {
    let mut chosen = BTreeMap::new();
    let entries = node
        .some_entries(&format!("`between` of {what}"), 0..=limits::MAX_DECLARED, "{traveller: step}", problems)
        .unwrap_or_default();
    for (key, value) in entries {
        let about = format!("`between` of {what}");
        let name = words::words(key, &about, problems);
        let way = words::choice(value, &about, &BETWEEN, problems);
        let Some(name) = name else { continue };
        let Some(reference) = known.control_names.find(&name.value, &name.place, problems) else { continue };
        let Some(column) = columns.iter().find(|column| column.id == name.value) else {
            if columns.is_empty() && !is_whole {
                continue;
            }
            problems.push(Problem::error(
                name.place,
                format!("{} is no column of {what}", shown(&name.value)),
                "add it to `controls`, or take it out here",
            ));
            continue;
        };
        let (Reference::To(index), Some(way)) = (reference, way) else { continue };
        let steps_anyway = known.control(column).is_some_and(|control| control.scale.steps());
        if steps_anyway && way != Between::Step {
            problems.push(Problem::error(
                value.place.clone(),
                format!("{} can only step: there is nothing between two of its readings", shown(&name.value)),
                "write `step`, or take it out here",
            ));
            continue;
        }
        chosen.insert(index, way);
    }
    chosen
}
