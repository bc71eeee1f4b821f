//! The working of a ladder: from the rows of a table to where a control changes, and from there to the rungs. Lays
//! nothing out.

use serde_json::json;

use super::{ExactChange, Ladder, MOST_CHANGES};
use crate::book::{Control, Settings};
use crate::cards::parts::sided;
use crate::cards::parts::words::{ground_legend, signed};
use crate::cards::parts::working::Passage;
use crate::tuning::ladder::{Rung, Spacing};
use crate::tuning::{Axis, Wind};

/// How a control's change points and rungs follow from its known rows.
pub(super) fn working(settings: &Settings, ladder: &Ladder<'_>, exact: &[ExactChange], spacing: &Spacing) -> Passage {
    let (control, unit) = (ladder.control, spacing.unit);
    let mut passage = Passage::new(format!("{}, where it changes", sided::named(&control.name, ladder.side)));
    let position = settings.controls.iter().position(|known| *known == ladder.index);
    for row in &settings.rows {
        let recorded = position.and_then(|position| row.readings.get(position));
        let Some((printed, place)) = recorded.and_then(|recorded| sided::recorded(recorded, control, ladder.side))
        else {
            continue;
        };
        let found = format!("known at {}", row.at.value.as_written(unit));
        passage.input(found, printed.map_or_else(|| sided::NOT_USED.to_owned(), |of| signed(&of, row.ground)), place);
    }
    let how = "the wind at which the curve through the known rows (Fritsch & Butland 1984) rounds to the next mark";
    let known = ladder.column.known();
    let is_here = |change: &&ExactChange| {
        let ends = known.first().zip(known.last());
        (change.index, change.side) == (ladder.index, ladder.side)
            && ends.is_some_and(|(first, last)| first.at <= change.wind_kn && change.wind_kn <= last.at)
    };
    for change in exact.iter().filter(is_here).take(MOST_CHANGES) {
        let (from, to) = (control.scale.print(change.from), control.scale.print(change.to));
        let how = format!("{how}; {to}: {}", ground_legend(change.ground));
        passage.exactly(format!("{from} to {to}"), how, change.wind_kn.as_written(unit), json!(change));
    }
    for rung in &ladder.rungs {
        let changes = &ladder.changes[rung.changes.clone()];
        let first_and_last = [changes.first(), changes.last()].map(|change| change.map(|change| change.at));
        passage.step(finds(control, rung), how_placed(first_and_last, spacing), placed(rung, spacing));
    }
    passage
}

/// `rung, 4 to 4½`.
fn finds(control: &Control, rung: &Rung) -> String {
    format!("rung, {} to {}", control.scale.print(rung.from), control.scale.print(rung.to))
}

/// `building 13 kn, easing 12 kn`.
fn placed(rung: &Rung, spacing: &Spacing) -> String {
    let [building, easing] =
        [rung.building, rung.easing].map(|steps| Wind::from_steps(steps, spacing.unit).print_with_unit(spacing.unit));
    format!("building {building}, easing {easing}")
}

fn how_placed(changes: [Option<Wind>; 2], spacing: &Spacing) -> String {
    let (apart, unit) = (spacing.apart(), spacing.unit);
    let about = match changes {
        [Some(first), Some(last)] if first < last => format!(
            "halfway between the changes it joins, {} ({} to {})",
            first.midway(last).as_written(unit),
            first.written_number(unit),
            last.written_number(unit)
        ),
        _ => "the change".to_owned(),
    };
    format!(
        "{about}, half of {} either way, printed to the half knot or the quarter of a metre per second and kept between \
         the start of the ladder and the most that the sails are for",
        apart.print_with_unit(unit)
    )
}
