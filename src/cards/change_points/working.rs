//! The working of a ladder: from the rows of a table to where a control changes, and from there to the mark of each rung. Lays
//! nothing out.

use serde_json::json;

use super::climbing::Climber;
use super::{ExactChange, MOST_CHANGES};
use crate::book::{Angled, Book, Control, Settings};
use crate::cards::parts::sided;
use crate::cards::parts::words::{ground_legend, signed};
use crate::cards::parts::working::Passage;
use crate::tuning::ladder::{Mark, Row, Spacing};
use crate::tuning::{Angle, Axis, Change, Side, Told, Wind, WindUnit, mark};

/// How each control's changes and marks follow from its known rows.
pub(super) fn by_wind(
    book: &Book,
    (settings, climbers): (&Settings, &[Climber<'_, Wind>]),
    (rows, spacing): (&[Row], &Spacing),
    exact: &[ExactChange],
) -> Vec<Passage> {
    let unit = book.units.wind;
    let print = |wind: Wind| wind.print_with_unit(unit);
    let mut found = Vec::new();
    for (lane, (control, side)) in sides(climbers).into_iter().enumerate() {
        let mut passage = Passage::new(format!("{}, where it changes", sided::named(&control.name, side)));
        inputs(book, (settings, control, side), unit, &mut passage);
        let how = "the wind at which the curve through the known rows (Fritsch & Butland 1984) rounds to the next mark";
        let is_here = |change: &&ExactChange| change.control == control.name && change.side == side;
        for change in exact.iter().filter(is_here).take(MOST_CHANGES) {
            let (from, to) = (control.scale.print(change.from), control.scale.print(change.to));
            let how = format!("{how}; {to}: {}", ground_legend(change.ground));
            passage.exactly(format!("{from} to {to}"), how, change.wind_kn.as_written(unit), json!(change));
        }
        marks(control, lane, (rows, spacing), &print, &mut passage);
        found.push(passage);
    }
    found
}

/// The same along the angle in one wind.
pub(super) fn by_angle(
    book: &Book,
    (settings, angled, climbers): (&Settings, &Angled, &[Climber<'_, Angle>]),
    (rows, spacing): (&[Row<Angle>], &Spacing<Angle>),
    exact: &[(String, Change<Angle>)],
) -> Vec<Passage> {
    let mut found = Vec::new();
    for (lane, (control, side)) in sides(climbers).into_iter().enumerate() {
        let name = sided::named(&control.name, side);
        let mut passage = Passage::new(format!("{name}, where it changes with the angle"));
        let position = position(book, settings, control);
        for row in &angled.rows {
            let recorded = position.and_then(|position| row.row.readings.get(position));
            let Some((printed, place)) = recorded.and_then(|of| sided::recorded(of, control, side)) else { continue };
            let at = row.row.at.value.as_written(book.units.wind);
            let found = format!("known at {at}, {}", row.angle.value.as_written());
            passage.input(found, printed.unwrap_or_else(|| sided::NOT_USED.to_owned()), place);
        }
        let how = "the angle at which what is read along the angle in each known wind, and then along the wind, rounds to the next mark";
        for (_, change) in exact.iter().filter(|(of, _)| *of == name).take(MOST_CHANGES) {
            let (from, to) = (control.scale.print(change.from), control.scale.print(change.to));
            let at = format!("{}°", mark::print_decimal((change.at.number() * 100.0).round() / 100.0));
            passage.step(format!("{from} to {to}"), how, at);
        }
        marks(control, lane, (rows, spacing), &|angle: Angle| angle.print(), &mut passage);
        found.push(passage);
    }
    found
}

/// Each lane of the ladder by its control and side.
fn sides<'a, A>(climbers: &[Climber<'a, A>]) -> Vec<(&'a Control, Option<Side>)> {
    let each = |climber: &Climber<'a, A>| {
        let control = climber.control;
        climber.lanes.each().map(|(side, _)| (control, side)).collect::<Vec<_>>()
    };
    climbers.iter().flat_map(each).collect()
}

fn position(book: &Book, settings: &Settings, control: &Control) -> Option<usize> {
    let is_this = |index: &usize| book.controls.get(*index).is_some_and(|other| other.id.value == control.id.value);
    settings.controls.iter().position(is_this)
}

fn inputs(
    book: &Book,
    (settings, control, side): (&Settings, &Control, Option<Side>),
    unit: WindUnit,
    passage: &mut Passage,
) {
    let position = position(book, settings, control);
    for row in &settings.rows {
        let recorded = position.and_then(|position| row.readings.get(position));
        let Some((printed, place)) = recorded.and_then(|recorded| sided::recorded(recorded, control, side)) else {
            continue;
        };
        let found = format!("known at {}", row.at.value.as_written(unit));
        passage.input(found, printed.map_or_else(|| sided::NOT_USED.to_owned(), |of| signed(&of, row.ground)), place);
    }
}

/// The mark of each row in which it is another than in the one before.
fn marks<A: Axis>(
    control: &Control,
    lane: usize,
    (rows, spacing): (&[Row<A>], &Spacing<A>),
    print: &impl Fn(A) -> String,
    passage: &mut Passage,
) {
    let words = |told: Option<&Told<Mark>>| match told {
        Some(Told::Set(mark)) => signed(&control.scale.print(mark.reading), mark.ground),
        Some(Told::NotUsed) => sided::NOT_USED.to_owned(),
        Some(Told::Unknown) | None => sided::UNKNOWN.to_owned(),
    };
    let mut before = None;
    for row in rows {
        let mark = words(row.marks.get(lane));
        if before.as_ref() == Some(&mark) {
            continue;
        }
        let how = format!(
            "within a step of the scale from {} to {}, at most {} rows a card if that can be; between two words or turns as the \
             table has it",
            print(row.from),
            print(row.to),
            crate::tuning::ladder::MOST_ROWS
        );
        let at = match row.rung {
            None => format!("{mark} from {} on", print(row.from)),
            Some(rung) => {
                let [rising, falling] = [rung.rising, rung.falling].map(|steps| print(spacing.place(steps)));
                format!("{mark} from {rising} on, back below {falling}")
            }
        };
        passage.step("have", how, at);
        before = Some(mark);
    }
}
