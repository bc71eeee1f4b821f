//! How far the readings of settings run along their scales: counted before any curve is drawn, since a change is looked for at
//! every step of a scale that a curve runs through. A control that can only step has no such curve. Knows no card.

use crate::book::model::{Control, Row, Settings};
use crate::book::problem::{Place, Problem};
use crate::limits::{MAX_STEPS_OF_A_BOOK, MAX_STEPS_OF_A_COLUMN};
use crate::tuning::Side;

/// What a control of some settings comes to.
struct Travel {
    /// Of its scale, on both sides.
    steps: f64,
    /// Where the reading stands behind which most of them lie.
    place: Option<Place>,
}

/// Says so of a control that runs through more steps of its scale than anybody reads, and of the settings with which all
/// together do.
pub fn check(settings: &[Settings], controls: &[Control], problems: &mut Vec<Problem>) {
    let (most, most_together) = (f64::from(MAX_STEPS_OF_A_COLUMN), f64::from(MAX_STEPS_OF_A_BOOK));
    let mut together = 0.0;
    for settings in settings {
        let mut own = 0.0;
        for (column, control) in settings.controls.iter().enumerate() {
            let Some(control) = controls.get(*control).filter(|control| !control.scale.steps()) else { continue };
            let travel = travel(settings, column, control);
            if travel.steps > most {
                problems.push(Problem::error(
                    travel.place.unwrap_or_else(|| settings.id.place.clone()),
                    format!(
                        "\"{}\" runs through {:.0} steps of its scale in settings \"{}\", more than {MAX_STEPS_OF_A_COLUMN}",
                        control.name, travel.steps, settings.id.value
                    ),
                    "correct the reading, or say on a gauge how finely it is read, like `every: 10`",
                ));
            } else {
                own += travel.steps;
            }
        }
        if together <= most_together && together + own > most_together {
            problems.push(Problem::error(
                settings.id.place.clone(),
                format!(
                    "up to settings \"{}\" the readings of the book run through {:.0} steps of their scales, more than \
                     {MAX_STEPS_OF_A_BOOK}",
                    settings.id.value,
                    together + own
                ),
                "say on the gauges how finely they are read, like `every: 10`, or write fewer rows",
            ));
        }
        together += own;
    }
}

/// Of a control: through all rows in their order, by wind and angle from each wind to the next as well.
fn travel(settings: &Settings, column: usize, control: &Control) -> Travel {
    let rows: Vec<&Row> = match &settings.angled {
        Some(angled) => angled.rows.iter().map(|row| &row.row).collect(),
        None => settings.rows.iter().collect(),
    };
    let mut found = Travel { steps: 0.0, place: None };
    let mut longest = 0.0;
    for side in [Side::Port, Side::Starboard].into_iter().take(if control.has_two_sides() { 2 } else { 1 }) {
        let mut before = None;
        for recorded in rows.iter().filter_map(|row| row.readings.get(column)) {
            let Some(reading) = recorded.on(side, control) else { continue };
            let steps = before.map_or(0.0, |before: f64| (reading - before).abs() / control.scale.step());
            if steps > longest {
                longest = steps;
                found.place = recorded.written().last().map(|(_, reading)| reading.place.clone());
            }
            found.steps += steps;
            before = Some(reading);
        }
    }
    found
}
