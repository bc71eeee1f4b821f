//! A new sail that starts from the settings of the one it replaces: rows are copied, moved by the sail's offsets and
//! marked as carried over, wherever the new sail has no rows of its own. Knows sails and settings; prints nothing.

use super::controls::within_limits;
use crate::book::model::{
    Angled, AngledRow, AngledTarget, Control, Recorded, Row, Sail, Settings, Spanned, Target, Targets, Units,
};
use crate::book::problem::Problem;
use crate::book::suggest;
use crate::book::words::Names;
use crate::limits::{MAX_DECLARED, MAX_SUGGESTIONS};
use crate::tuning::adjust::Offset;
use crate::tuning::{Axis, Band, Ground, Side, Wind};
use crate::wrong::{Wrong, shown};

/// What carrying over needs of the book.
pub struct Known<'a> {
    pub units: Units,
    pub controls: &'a [Control],
    pub control_names: &'a Names,
    pub bands: &'a [Band],
    pub sails: &'a [Sail],
    pub settings_names: &'a Names,
}

/// How far each control is moved, by index.
type Offsets = Vec<(usize, Spanned<Offset>)>;

/// Carries over what every sail's `start_from` names; reports what it cannot.
pub fn carry_over(known: &Known<'_>, settings: &mut Vec<Settings>, problems: &mut Vec<Problem>) {
    let offsets: Vec<Offsets> = known.sails.iter().map(|sail| offsets(sail, known, problems)).collect();
    let mut waiting: Vec<(usize, &Spanned<String>)> = Vec::new();
    for (index, sail) in known.sails.iter().enumerate() {
        waiting.extend(sail.start_from.iter().map(|source| (index, source)));
    }
    // A sail may start from what was itself carried over; each round takes those whose source is there.
    while !waiting.is_empty() {
        let before = waiting.len();
        waiting.retain(|(index, source)| {
            let Some(position) = settings.iter().position(|settings| settings.id.value == source.value) else {
                return true;
            };
            if settings.len() > MAX_DECLARED {
                let what = format!("with what is carried over the book has more than {MAX_DECLARED} settings");
                problems.push(Problem::error(source.place.clone(), what, "start from fewer of them"));
                return false;
            }
            match carried(&known.sails[*index], &settings[position], &offsets[*index], known) {
                Ok(copy) => join(copy, position, settings, known, problems),
                Err(wrong) => problems.push(wrong.at(&source.place)),
            }
            false
        });
        if waiting.len() == before {
            let ids: Vec<&str> = settings.iter().map(|settings| settings.id.value.as_str()).collect();
            // What is declared and could not be read has had its complaint.
            waiting.retain(|(_, source)| !known.settings_names.may_have(&source.value));
            for (index, source) in waiting {
                let instead = advice(&source.value, &ids, problems.len());
                problems.push(Problem::error(
                    source.place.clone(),
                    format!(
                        "sail \"{}\" starts from settings {}, which there are not",
                        known.sails[index].id.value,
                        shown(&source.value)
                    ),
                    instead,
                ));
            }
            return;
        }
    }
}

/// The name that was probably meant, while there are few enough problems for anyone to read so far.
fn advice(written: &str, ids: &[&str], problems: usize) -> String {
    let near = if problems > MAX_SUGGESTIONS { &[] } else { ids };
    match near {
        [] => "name one that the book has".to_owned(),
        ids => suggest::advice(written, ids.iter().copied()),
    }
}

/// The settings of another sail as this one's.
fn carried(sail: &Sail, source: &Settings, offsets: &Offsets, known: &Known<'_>) -> Result<Settings, Wrong> {
    let find = |id: &str| known.sails.iter().find(|sail| sail.id.value == id);
    let replaced = sail.replaces.as_ref().map(|replaces| replaces.value.as_str());
    let of_its_kind = |id: &&Spanned<String>| find(&id.value).is_some_and(|other| other.kind == sail.kind);
    let stands_for = source.sails.iter().find(|id| Some(id.value.as_str()) == replaced);
    let stands_for = stands_for.or_else(|| source.sails.iter().find(of_its_kind)).ok_or_else(|| {
        Wrong::new(
            format!(
                "the settings {} have no sail that \"{}\" could stand in for",
                shown(&source.id.value),
                sail.id.value
            ),
            "name settings of the sail it replaces",
        )
    })?;
    if stands_for.value == sail.id.value {
        return Err(Wrong::new(
            format!("the settings {} are those of \"{}\" itself", shown(&source.id.value), sail.id.value),
            "name settings of the sail it replaces, or take `start_from` out",
        ));
    }
    let new_id = |id: &Spanned<String>| if id == stands_for { sail.id.clone() } else { id.clone() };
    let mut copy = source.clone();
    copy.id = Spanned { value: id_for(sail, &stands_for.value, source), place: sail.id.place.clone() };
    copy.sails = source.sails.iter().map(new_id).collect();
    copy.targets = Targets::sorted(source.targets.iter().filter_map(carried_target).collect());
    if let Some(angled) = &mut copy.angled {
        let carry = |target: &AngledTarget| {
            carried_target(&target.target).map(|carried| AngledTarget { target: carried, ..target.clone() })
        };
        angled.targets = angled.targets.iter().filter_map(carry).collect();
    }
    copy.place = sail.place.clone();
    let controls = copy.controls.clone();
    for row in copy.all_rows_mut() {
        row.ground = Ground::CarriedOver;
        for (control, recorded) in controls.iter().zip(&mut row.readings) {
            let moved = offsets.iter().find(|(index, _)| index == control);
            let scale = known.controls.get(*control).map(|control| &control.scale);
            let Some(((_, offset), scale)) = moved.zip(scale) else { continue };
            for reading in recorded.written_mut() {
                reading.value = offset.value.moved(reading.value, scale);
                reading.place = offset.place.clone();
            }
        }
    }
    Ok(copy)
}

/// How the boat went with the old sail, until it is known how she goes with this one. How the old sail looked is no target.
fn carried_target(target: &Target) -> Option<Target> {
    let says_more = target.speed.is_some() || target.heel_deg.is_some() || target.angle.is_some();
    says_more.then(|| Target { look: None, ground: Ground::CarriedOver, ..target.clone() })
}

/// `j2-upwind` for the old `j2` becomes `j2b-upwind` for the new `j2b`.
fn id_for(sail: &Sail, old: &str, source: &Settings) -> String {
    let new = sail.id.value.as_str();
    match source.id.value.strip_prefix(old) {
        Some(rest) if rest.is_empty() || rest.starts_with(['-', '_']) => format!("{new}{rest}"),
        _ => format!("{new}-{}", source.id.value),
    }
}

/// Puts a copy among the settings: into those the sail has, where they leave a band open, or as new ones after its source.
fn join(
    mut copy: Settings,
    source: usize,
    settings: &mut Vec<Settings>,
    known: &Known<'_>,
    problems: &mut Vec<Problem>,
) {
    let same_sails = |a: &Settings, b: &Settings| {
        a.sails.len() == b.sails.len() && a.sails.iter().all(|id| b.sails.iter().any(|other| other.value == id.value))
    };
    // Flat water and chop are two tables, and stay two; so are those by wind alone and by angle too.
    let is_own = |own: &Settings| {
        own.point_of_sail == copy.point_of_sail
            && own.title == copy.title
            && own.angled.is_some() == copy.angled.is_some()
    };
    let own = settings.iter_mut().find(|own| is_own(own) && same_sails(own, &copy));
    match own {
        Some(own) => {
            let column = |control: &usize| copy.controls.iter().position(|other| other == control);
            let in_own_columns = |row: &Row| Row {
                readings: own
                    .controls
                    .iter()
                    .map(|control| column(control).and_then(|at| row.readings.get(at)).cloned().unwrap_or_default())
                    .collect(),
                ..row.clone()
            };
            let mut rows: Vec<Row> = copy.rows.iter().map(in_own_columns).collect();
            let by_angle = copy.angled.iter().flat_map(|angled| &angled.rows);
            let by_angle: Vec<AngledRow> =
                by_angle.map(|row| AngledRow { row: in_own_columns(&row.row), angle: row.angle.clone() }).collect();
            leave_to_own(&mut rows, &own.rows, known.bands);
            check(rows.iter(), &own.controls, known, problems);
            let targets =
                own.targets.iter().chain(copy.targets.iter().filter(|target| {
                    !own.targets.iter().any(|own| same_band(known.bands, own.at.value, target.at.value))
                }));
            own.targets = Targets::sorted(targets.cloned().collect());
            own.rows.extend(rows);
            own.rows.sort_by_key(|row| row.at.value);
            if let (Some(angled), Some(carried)) = (&mut own.angled, &copy.angled) {
                let by_angle = leave_to_own_cells(by_angle, angled, known.bands);
                check(by_angle.iter().map(|row| &row.row), &own.controls, known, problems);
                join_by_angle(angled, by_angle, carried);
            }
        }
        None => {
            check(copy.all_rows(), &copy.controls, known, problems);
            while settings.iter().any(|other| other.id.value == copy.id.value) {
                copy.id.value.push_str("-carried");
            }
            settings.insert(source + 1, copy);
        }
    }
}

fn same_band(bands: &[Band], a: Wind, b: Wind) -> bool {
    a.is_at(b) || bands.iter().any(|band| band.holds(a) && band.holds(b))
}

/// Takes every carried reading out for which the same band holds one of the sail's own.
fn leave_to_own(rows: &mut Vec<Row>, own: &[Row], bands: &[Band]) {
    for row in rows.iter_mut() {
        for (position, reading) in row.readings.iter_mut().enumerate() {
            let has_own = own.iter().any(|own| {
                same_band(bands, own.at.value, row.at.value)
                    && own.readings.get(position).is_some_and(Recorded::is_something)
            });
            if has_own {
                *reading = Recorded::Not;
            }
        }
    }
    rows.retain(|row| row.readings.iter().any(Recorded::is_something));
}

/// The same of rows by wind and angle: what is left is in cells that hold none of the sail's own.
fn leave_to_own_cells(mut rows: Vec<AngledRow>, own: &Angled, bands: &[Band]) -> Vec<AngledRow> {
    for AngledRow { angle, row } in &mut rows {
        for (position, reading) in row.readings.iter_mut().enumerate() {
            let same_cell = |other: &AngledRow| {
                let same_angle = angle.value == other.angle.value
                    || own.bands.iter().any(|band| band.holds(angle.value) && band.holds(other.angle.value));
                same_angle && same_band(bands, other.row.at.value, row.at.value)
            };
            let has_own = own
                .rows
                .iter()
                .any(|other| same_cell(other) && other.row.readings.get(position).is_some_and(Recorded::is_something));
            if has_own {
                *reading = Recorded::Not;
            }
        }
    }
    rows.retain(|row| row.row.readings.iter().any(Recorded::is_something));
    rows
}

/// Puts carried rows and targets among the sail's own; of two at one place its own stays.
fn join_by_angle(own: &mut Angled, rows: Vec<AngledRow>, carried: &Angled) {
    let place = |row: &AngledRow| (row.row.at.value, row.angle.value);
    // One place has one row: what was sailed says more than what was carried to fill it up.
    let free: Vec<AngledRow> =
        rows.into_iter().filter(|row| own.rows.iter().all(|own| place(own) != place(row))).collect();
    own.rows.extend(free);
    own.rows.sort_by_key(place);
    let at = |target: &AngledTarget| (target.target.at.value, target.angle.value);
    let free = carried.targets.iter().filter(|target| own.targets.iter().all(|own| at(own) != at(target)));
    let free: Vec<AngledTarget> = free.cloned().collect();
    own.targets.extend(free);
    own.targets.sort_by_key(at);
}

/// Whether a reading is one of the scale; one that was written for both sides, on each.
fn is_on_the_scale(control: &Control, side: Option<Side>, reading: f64) -> bool {
    let on_both = Side::BOTH.iter().all(|of| control.scale.has(control.reading_on(*of, reading)));
    if side.is_some() { control.scale.has(reading) } else { on_both }
}

/// Says where an offset takes a control past its limit or off its scale: such a mark must never be printed.
fn check<'a>(rows: impl Iterator<Item = &'a Row>, controls: &[usize], known: &Known<'_>, problems: &mut Vec<Problem>) {
    for row in rows {
        let all = controls.iter().zip(&row.readings);
        let written = all.flat_map(|(control, recorded)| recorded.written().map(move |written| (control, written)));
        for (control, (side, reading)) in written {
            let Some(control) = known.controls.get(*control) else { continue };
            let printed = control.scale.print(reading.value);
            // Past the last tape or word there is nothing to print.
            let stand = if printed.is_empty() { "go too far".to_owned() } else { format!("stand at {printed}") };
            let wrong = match within_limits(control, side.unwrap_or(Side::Port), reading.value, &printed) {
                _ if !is_on_the_scale(control, side, reading.value) => {
                    Some(Wrong::new("it is off the scale", "make the offset smaller"))
                }
                Err(wrong) => Some(wrong),
                Ok(()) => None,
            };
            if let Some(wrong) = wrong {
                let wind = row.at.value.as_written(known.units.wind);
                let about = format!("carried over at {wind} \"{}\" would {stand}", control.name);
                let instead = "make the offset smaller, or give the new sail rows of its own there".to_owned();
                problems.push(Wrong { instead, ..wrong }.about(&about).at(&reading.place));
            }
        }
    }
}

fn offsets(sail: &Sail, known: &Known<'_>, problems: &mut Vec<Problem>) -> Offsets {
    let mut offsets = Offsets::new();
    for (control, text) in &sail.offsets {
        let Some(index) = known.controls.iter().position(|known| known.id.value == control.value) else {
            if known.control_names.may_have(&control.value) {
                continue;
            }
            let ids: Vec<&str> = known.controls.iter().map(|control| control.id.value.as_str()).collect();
            let what = format!("there is no control {}", shown(&control.value));
            let instead = advice(&control.value, &ids, problems.len());
            problems.push(Problem::error(control.place.clone(), what, instead));
            continue;
        };
        match super::offset::offset(&text.value, &known.controls[index].scale, &known.units) {
            Ok(value) => offsets.push((index, Spanned { value, place: text.place.clone() })),
            Err(wrong) => problems.push(wrong.about(&format!("the offset of {}", control.value)).at(&text.place)),
        }
    }
    if let (Some((first, _)), true) = (sail.offsets.first(), sail.start_from.is_empty()) {
        let instead = match known.settings_names.a_few().split(", ").next() {
            Some(id) if !id.is_empty() => format!("add the settings that it moves, like `start_from: {id}`"),
            _ => "add `start_from` and the settings that it moves".to_owned(),
        };
        problems.push(Problem::error(
            first.place.clone(),
            format!("sail \"{}\" has `offsets` but nothing to start from", sail.id.value),
            format!("{instead}, or take `offsets` out"),
        ));
    }
    offsets
}
