//! What may stand beside the marks: the winds at which a sail was fast there, or a second quantity. Draws nothing.

use super::{Lane, LaneLabel};
use crate::book::{Book, Control, Problem, Settings, Spanned, StripPlan, WindsOf, quantity, suggest};
use crate::cards::parts::hydraulics;
use crate::cards::parts::matrix::columns_at;
use crate::cards::parts::stamp::settled_mm;
use crate::cards::parts::words::{called, ground_legend, narrowed_sails, sail_names, signed};
use crate::tuning::{
    Angle, Axis, Between, Column, Crossing, Curve, Ground, Rank, Side, Span, Stretches, Wind, WindUnit,
};
use crate::wrong::{Wrong, shown};
use std::collections::BTreeSet;

/// Digits of a wind that enter content.
const WIND_DIGITS: f64 = 1e6;

/// The lanes that the strip of a control asks for on one side; reports settings that do not exist or do not move this control.
pub fn lanes(book: &Book, control: &Control, side: Option<Side>, problems: &mut Vec<Problem>) -> Vec<Lane> {
    let Some(plan) = &control.strip else { return Vec::new() };
    let mut lanes = Vec::new();
    for WindsOf { settings: id, angle } in &plan.winds {
        let Some(settings) = book.settings(&id.value) else {
            let ids: Vec<&str> = book.settings.iter().map(|settings| settings.id.value.as_str()).collect();
            let what = format!("there are no settings {}", shown(&id.value));
            problems.push(Problem::error(id.place.clone(), what, suggest::advice(&id.value, ids)));
            continue;
        };
        if let Some(wrong) = wrong_angle(settings, angle.as_ref()) {
            problems.push(wrong.at(angle.as_ref().map_or(&id.place, |angle| &angle.place)));
            continue;
        }
        let angle = angle.as_ref().map(|angle| angle.value);
        let position = settings
            .controls
            .iter()
            .position(|index| book.controls.get(*index).is_some_and(|column| column.id.value == control.id.value));
        let column =
            position.and_then(|position| columns_at(book, settings, angle).into_iter().nth(position).flatten());
        let side = side.unwrap_or(Side::Port);
        let Some(column) = column.as_ref().map(|column| column.on(side)) else {
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
        let at = angle.map(|angle| format!(", at {}", angle.print())).unwrap_or_default();
        let name = sails.first().cloned().unwrap_or_default();
        let labels = wind_labels(control, column, book.range_of(settings).wind_now(), unit);
        lanes.push(Lane {
            title: angle.map_or(name.clone(), |angle| format!("{name} {}", angle.print())),
            explains: format!(
                "{}{at}, {}: {}{narrowed}",
                called(book, settings),
                unit.symbol(),
                grounds_words(&labels)
            ),
            labels,
        });
    }
    lanes.extend((!plan.beside.is_empty()).then(|| beside(control, plan)));
    lanes
}

/// What is wrong with the angle that settings are to be read at.
fn wrong_angle(settings: &Settings, angle: Option<&Spanned<Angle>>) -> Option<Wrong> {
    let id = &settings.id.value;
    match (&settings.angled, angle) {
        (None, None) => None,
        (None, Some(_)) => Some(Wrong::new(
            format!("the settings `{id}` go by wind alone"),
            format!("name them without an angle: `{id}`"),
        )),
        (Some(angled), None) => {
            let first = angled.angles().first().map_or_else(|| "80".to_owned(), |angle| angle.print_number());
            Some(Wrong::new(
                format!("the settings `{id}` go by angle too, and beside a mark there is room for the wind alone"),
                format!("say at which angle: `{{settings: {id}, angle: {first}}}`"),
            ))
        }
        (Some(angled), Some(angle)) => {
            let (low, high) = angled.span()?;
            let is_within = low <= angle.value && angle.value <= high;
            (!is_within).then(|| {
                Wrong::new(
                    format!("the bands of `{id}` do not reach {}", angle.value.as_written()),
                    format!("choose an angle from {} to {}", low.as_written(), high.as_written()),
                )
            })
        }
    }
}

/// A second quantity where it was measured. A pressure also stands at the whole marks between, worked out and printed as
/// such: the ram's stroke does not fix it, but the pairs that were measured say about where to look on the gauge.
fn beside(control: &Control, plan: &StripPlan) -> Lane {
    let label = |reading: f64, text: String, worked_out: bool| {
        let at_mm = settled_mm(control.scale.at(reading)?.to_mm());
        Some(LaneLabel { at_mm, text, winds: Vec::new(), grounds: Vec::new(), worked_out })
    };
    let measured = plan.beside.iter().filter_map(|(reading, words)| label(reading.value, words.clone(), false));
    let between = pressures_between(control, plan);
    let explains = match between.is_empty() {
        false => "Measured beside the marks; ≈ is worked out between two that were",
        true => "Measured beside the marks",
    };
    let between = between.into_iter().filter_map(|(reading, words)| label(reading, words, true));
    let mut labels: Vec<LaneLabel> = measured.chain(between).collect();
    labels.sort_by(|a, b| a.at_mm.total_cmp(&b.at_mm));
    Lane { title: String::new(), explains: explains.to_owned(), labels }
}

/// The whole marks between the first and the last pressure that were measured and that have none, each with what the
/// curve through them says, never rounded up. Empty if anything but pressures of one unit was measured.
fn pressures_between(control: &Control, plan: &StripPlan) -> Vec<(f64, String)> {
    let unit = plan.beside.first().and_then(|(_, words)| Some(quantity::split(words)?.1));
    let Some(one) = unit.and_then(|unit| hydraulics::in_bar(&format!("1 {unit}"))) else { return Vec::new() };
    let unit = unit.unwrap_or_default();
    let read = |(reading, words): &(Spanned<f64>, String)| {
        let is_same = quantity::split(words).is_some_and(|(_, other)| other == unit);
        is_same.then(|| Some((reading.value, hydraulics::in_bar(words)? / one))).flatten()
    };
    let pairs: Option<Vec<(f64, f64)>> = plan.beside.iter().map(read).collect();
    let Some(mut pairs) = pairs.filter(|_| !control.scale.steps()) else { return Vec::new() };
    pairs.sort_by(|a, b| a.0.total_cmp(&b.0));
    let measured: Vec<f64> = pairs.iter().map(|(reading, _)| *reading).collect();
    let Some(curve) = Curve::new(pairs, Between::Monotone) else { return Vec::new() };
    let whole = control.scale.graduations().into_iter().filter(|graduation| graduation.rank == Rank::Whole);
    whole
        .filter(|graduation| !measured.contains(&graduation.reading))
        .filter_map(|graduation| Some((graduation.reading, curve.at(graduation.reading)?)))
        .map(|(reading, pressure)| (reading, format!("≈ {} {unit}", hydraulics::whole_steps(pressure, unit))))
        .collect()
}

/// What the signs of a lane stand for. Only a wind that was sailed is said to have been fast.
fn grounds_words(labels: &[LaneLabel]) -> String {
    let grounds: BTreeSet<Ground> = labels.iter().flat_map(|label| &label.grounds).copied().collect();
    let words = grounds.into_iter().map(|ground| match ground {
        Ground::Sailed => "● sailed, where it was fast",
        Ground::Between => "no sign: worked out between sailed winds",
        other => ground_legend(other),
    });
    words.collect::<Vec<_>>().join("; ")
}

/// At every whole mark the winds at which the curve stands there, of those that the sails are for now.
fn wind_labels(control: &Control, column: &Stretches, sails: Option<Span>, unit: WindUnit) -> Vec<LaneLabel> {
    let whole = control.scale.graduations().into_iter().filter(|graduation| graduation.rank == Rank::Whole);
    let label = |graduation: crate::tuning::Graduation| {
        let crossings = column.columns().iter().flat_map(|column| {
            column.crossings(graduation.reading).into_iter().map(move |crossing| (column, crossing))
        });
        let stretches: Vec<([Wind; 2], Ground)> = crossings
            .filter_map(|(column, crossing)| {
                let sails = sails?;
                let (from, to) = match crossing {
                    Crossing::At(wind) => (wind, wind),
                    Crossing::Along(from, to) => (from, to),
                };
                let (from, to) = (from.max(sails.low), to.min(sails.high));
                (!from.is_above(to)).then(|| ([from, to.max(from)], stretch_ground(column, from, to)))
            })
            .collect();
        let exact = |wind: Wind| Wind::knots((wind.to_knots() * WIND_DIGITS).round() / WIND_DIGITS);
        let (winds, grounds): (Vec<_>, Vec<_>) =
            stretches.iter().map(|([from, to], ground)| ([exact(*from), exact(*to)], *ground)).unzip();
        (!winds.is_empty()).then(|| LaneLabel {
            at_mm: settled_mm(graduation.at.to_mm()),
            text: wind_text(&winds, &grounds, unit),
            winds,
            // Where there is no room for all, a wind that was sailed goes before one that was not.
            worked_out: !grounds.iter().any(|ground| ground.was_sailed()),
            grounds,
        })
    };
    whole.filter_map(label).collect()
}

/// A stretch in which a control stays put is sailed if both winds it is told by were; else it is no surer than what it was
/// read from.
fn stretch_ground(column: &Column, from: Wind, to: Wind) -> Ground {
    let inside = column
        .known()
        .iter()
        .filter(|known| !known.at.is_below(from) && !known.at.is_above(to))
        .map(|known| known.ground);
    let ends = [from, to].map(|wind| column.at(wind).ground);
    inside.chain(ends).max().unwrap_or(Ground::Between)
}

/// `● 9½`, `9 to 12`, `9, ● 14`: each once, with the surest of its signs.
fn wind_text(winds: &[[Wind; 2]], grounds: &[Ground], unit: WindUnit) -> String {
    let mut texts: Vec<(String, Ground)> = Vec::new();
    for ([from, to], ground) in winds.iter().zip(grounds) {
        let (from, to) = (from.print(unit), to.print(unit));
        let text = if from == to { from } else { format!("{from} to {to}") };
        match texts.iter_mut().find(|(known, _)| *known == text) {
            Some((_, surest)) => *surest = (*surest).min(*ground),
            None => texts.push((text, *ground)),
        }
    }
    let words: Vec<String> = texts.iter().map(|(text, ground)| signed(text, *ground)).collect();
    words.join(", ")
}
