//! What was sailed, held against the settings of a book: its notes and the steady blocks of its logs, compared. Joins the book and the
//! arithmetic of a season, and reckons nothing of its own.

pub mod figure;
pub mod page;
pub mod told;

use std::collections::BTreeMap;

use crate::book::{Book, PointOfSail, Sailed, Settings, WindKind};
use crate::cards::parts::evidence::{measured, noted, rows};
use crate::season::{Block, Control, Input, Measure, Options, Table};
use crate::tuning::{Angle, Wind};

/// What a table's measure should be in a wind, at an angle, knots.
type Target<'a> = Box<dyn Fn(Wind, Angle) -> Option<f64> + 'a>;

/// Does something with what was sailed and what the book says of it; `left_out` counts the blocks that the reading of the logs left
/// out, by reason. `None` if the book names no notes.
pub fn with_input<Made>(
    book: &Book,
    (blocks, left_out): (&[Block], BTreeMap<String, usize>),
    options: Options,
    of: impl FnOnce(&Input<'_>) -> Made,
) -> Option<Made> {
    let sailed = book.sailed.as_ref()?;
    let targets: Vec<Option<Target<'_>>> = book.settings.iter().map(|settings| target(book, settings)).collect();
    let tables = book.settings.iter().zip(&targets);
    let tables: Vec<Table<'_>> =
        tables.map(|(settings, target)| table(book, sailed, settings, target.as_ref())).collect();
    Some(of(&Input { notes: &sailed.notes, blocks, left_out, tables: &tables, options }))
}

fn table<'a>(book: &'a Book, sailed: &'a Sailed, settings: &'a Settings, target: Option<&'a Target<'a>>) -> Table<'a> {
    let controls = settings.controls.iter().enumerate().filter_map(|(column, index)| {
        let control = book.controls.get(*index)?;
        let of_row = |row: &crate::book::Row| noted(control, row.readings.get(column)?);
        Some(Control {
            id: &control.id.value,
            scale: &control.scale,
            least: control.never_below.as_ref().map(|limit| limit.reading.value),
            most: control.never_above.as_ref().map(|limit| limit.reading.value),
            measured: measured(control, sailed),
            book: settings.all_rows().map(of_row).collect(),
        })
    });
    Table {
        id: &settings.id.value,
        measure: measure(settings),
        is_apparent: book.wind_source.as_ref().is_some_and(|source| source.kind == WindKind::Apparent),
        rows: rows(settings),
        target: target.map(|target| target.as_ref() as &dyn Fn(Wind, Angle) -> Option<f64>),
        controls: controls.collect(),
    }
}

fn measure(settings: &Settings) -> Measure {
    match settings.point_of_sail {
        PointOfSail::Upwind | PointOfSail::Downwind => Measure::MadeGood,
        PointOfSail::CloseReach | PointOfSail::BeamReach | PointOfSail::BroadReach => Measure::Speed,
    }
}

/// The book's targets; toward the wind and away from it they need an angle, since a target speed alone would praise a boat that is steered
/// too low. `None` where the book has none, and the boat's own line stands for them.
fn target<'a>(book: &'a Book, settings: &'a Settings) -> Option<Target<'a>> {
    let goes_by_speed = measure(settings) == Measure::Speed;
    if let Some(angled) = &settings.angled {
        let has_speed = angled.targets.iter().any(|target| target.target.speed.is_some());
        return (has_speed && goes_by_speed)
            .then(|| -> Target<'a> { Box::new(|wind, angle| Some(angled.speed_at(wind, angle)?.to_knots())) });
    }
    let targets = &settings.targets;
    targets.iter().find(|target| target.speed.is_some())?;
    let speed = |wind| targets.at(wind, |target| Some(target.speed?.to_knots()));
    if goes_by_speed {
        return Some(Box::new(move |wind, _| speed(wind)));
    }
    let usual = book.race.righting.as_ref().and_then(|righting| righting.upwind_angle);
    let usual = usual.filter(|_| settings.point_of_sail == PointOfSail::Upwind);
    let angle = move |wind| targets.at(wind, |target| Some(target.angle?.to_degrees())).map(Angle::degrees).or(usual);
    angle(Wind::CALM)?;
    Some(Box::new(move |wind, _| {
        let (_, along) = angle(wind)?.sin_cos();
        Some(speed(wind)? * along.abs())
    }))
}
