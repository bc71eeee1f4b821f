//! What may stand beside the marks: the winds at which a sail was fast there, or a second quantity. Draws nothing.

use super::{Lane, LaneLabel};
use crate::book::{Book, Control, Problem, suggest};
use crate::cards::parts::matrix::columns;
use crate::cards::parts::stamp::settled_mm;
use crate::cards::parts::words::{called, narrowed_sails, sail_names};
use crate::tuning::{Column, Crossing, Rank, Span, Wind, WindUnit};
use crate::wrong::shown;

/// Digits of a wind that enter content.
const WIND_DIGITS: f64 = 1e6;

/// The lanes a control's strip asks for; reports settings that do not exist or do not move this control.
pub fn lanes(book: &Book, control: &Control, problems: &mut Vec<Problem>) -> Vec<Lane> {
    let Some(plan) = &control.strip else { return Vec::new() };
    let mut lanes = Vec::new();
    for id in &plan.winds {
        let Some(settings) = book.settings(&id.value) else {
            let ids: Vec<&str> = book.settings.iter().map(|settings| settings.id.value.as_str()).collect();
            let what = format!("there are no settings {}", shown(&id.value));
            problems.push(Problem::error(id.place.clone(), what, suggest::advice(&id.value, ids)));
            continue;
        };
        let position = settings
            .controls
            .iter()
            .position(|index| book.controls.get(*index).is_some_and(|column| column.id.value == control.id.value));
        let column = position.and_then(|position| columns(book, settings).into_iter().nth(position).flatten());
        let Some(column) = column else {
            problems.push(Problem::error(
                id.place.clone(),
                format!("the settings `{}` say nothing of {}", id.value, control.name),
                format!("name settings that have `{}` among their controls", control.id.value),
            ));
            continue;
        };
        let sails = sail_names(book, settings);
        let unit = book.units.wind;
        let narrowed: String = narrowed_sails(book, settings).into_iter().map(|words| format!(" · {words}")).collect();
        lanes.push(Lane {
            title: sails.first().cloned().unwrap_or_default(),
            explains: format!("{}: {} where it was fast{narrowed}", called(book, settings), unit.symbol()),
            labels: wind_labels(control, &column, book.range_of(settings).wind_now(), unit),
        });
    }
    if !plan.beside.is_empty() {
        let mut labels: Vec<LaneLabel> = plan
            .beside
            .iter()
            .filter_map(|(reading, words)| {
                let at_mm = settled_mm(control.scale.at(reading.value)?.to_mm());
                Some(LaneLabel { at_mm, text: words.clone(), winds: Vec::new() })
            })
            .collect();
        labels.sort_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
        lanes.push(Lane { title: String::new(), explains: "Measured beside the marks".to_owned(), labels });
    }
    lanes
}

/// At every whole mark the winds at which the curve stands there, of those that the sails are for now.
fn wind_labels(control: &Control, column: &Column, sails: Option<Span>, unit: WindUnit) -> Vec<LaneLabel> {
    let graduations = control.scale.graduations();
    let label = |graduation: &crate::tuning::Graduation| {
        let crossings = column.crossings(graduation.reading);
        let exact = |wind: Wind| Wind::knots((wind.to_knots() * WIND_DIGITS).round() / WIND_DIGITS);
        let winds: Vec<[Wind; 2]> = crossings
            .iter()
            .filter_map(|crossing| {
                let sails = sails?;
                let (from, to) = match *crossing {
                    Crossing::At(wind) => (wind, wind),
                    Crossing::Along(from, to) => (from, to),
                };
                let (from, to) = (from.max(sails.low), to.min(sails.high));
                (from <= to).then(|| [exact(from), exact(to)])
            })
            .collect();
        let text = wind_text(&winds, unit);
        (!winds.is_empty()).then(|| LaneLabel { at_mm: settled_mm(graduation.at.to_mm()), text, winds })
    };
    graduations.iter().filter(|graduation| graduation.rank == Rank::Whole).filter_map(label).collect()
}

/// `9½`, `9 to 12`, `9, 14`: each once.
fn wind_text(winds: &[[Wind; 2]], unit: WindUnit) -> String {
    let mut texts: Vec<String> = Vec::new();
    for [from, to] in winds {
        let (from, to) = (from.print(unit), to.print(unit));
        let text = if from == to { from } else { format!("{from} to {to}") };
        if !texts.contains(&text) {
            texts.push(text);
        }
    }
    texts.join(", ")
}
