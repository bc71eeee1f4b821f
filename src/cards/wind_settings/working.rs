//! The working of a wind-settings card: for each cell the known rows, the curve, the rounding and the ground.

use crate::book::{Book, Control, Row, Settings};
use crate::cards::parts::words::{figure_words, ground_legend};
use crate::cards::parts::working::Passage;
use crate::tuning::{Axis, Band, Between, Column, Figure, Fineness, Ground, Scale, Wind, mark};

/// Digits of an unrounded value that anybody checks.
const EXACT_STEPS: f64 = 1e4;

/// One passage a cell.
pub fn working(book: &Book, settings: &Settings, columns: &[Option<Column>], bands: &[Band]) -> Vec<Passage> {
    let controls: Vec<&Control> = settings.controls.iter().filter_map(|index| book.controls.get(*index)).collect();
    let mut passages = Vec::new();
    for (position, (control, column)) in controls.iter().zip(columns).enumerate() {
        let Some(column) = column else { continue };
        for band in bands {
            passages.push(cell(book, settings, (control, position), column, *band));
        }
    }
    passages
}

fn cell(
    book: &Book,
    settings: &Settings,
    (control, position): (&Control, usize),
    column: &Column,
    band: Band,
) -> Passage {
    let wind = |wind: Wind| wind.as_written(book.units.wind);
    let mut passage = Passage::new(format!("{}, {} to {}", control.name, wind(band.low), wind(band.high)));
    let found = column.in_band(band);
    let known = |row: &Row| row.readings.get(position).cloned().flatten().map(|reading| (row.at.value, reading));
    let rows: Vec<_> = settings.rows.iter().filter_map(known).collect();
    // What the answer rests on: the rows in the band, and those either side of it.
    let above = rows.iter().position(|(at, _)| *at >= band.high).unwrap_or(rows.len());
    let below = rows.iter().rposition(|(at, _)| *at < band.low).unwrap_or(0);
    for (at, reading) in rows.iter().take(above + 1).skip(below) {
        let printed = column.scale().print(reading.value);
        passage.input(format!("known at {}", wind(*at)), printed, &reading.place);
    }
    let print = |reading: f64| column.scale().print(reading);
    let setting = found.setting;
    if column.curve().at(band.middle().number()).is_none() {
        let middle = format!("beyond all known winds at the middle of the band, {}", wind(band.middle()));
        passage.step(middle, "the nearest known value", print(setting.reading));
    } else {
        let exact = (setting.exact * EXACT_STEPS).round() / EXACT_STEPS;
        let middle = format!("unrounded at the middle of the band, {}", wind(band.middle()));
        passage.step(middle, curve_words(column.curve().between()), mark::print_decimal(exact));
    }
    let rule = match found.ground {
        Ground::Outside => "no row reaches into the band".to_owned(),
        _ => figure_rule(column, found.figure),
    };
    passage.step("what to set", rule, figure_words(column.scale(), found.figure));
    for row in &found.rows {
        let words = format!("known in the band, at {}", wind(row.at));
        passage.step(words, ground_legend(row.ground), print(row.reading));
    }
    if found.more > 0 {
        passage.step("more known in the band", "the two nearest its middle are told", found.more.to_string());
    }
    match found.ground_of_figure() {
        Some(ground) => passage.step("ground", "", ground_legend(ground)),
        None => passage.step("ground", "", "the curve passes through what is known in the band; the signs stand there"),
    }
    passage
}

/// How the figure comes from the curve.
fn figure_rule(column: &Column, figure: Figure) -> String {
    let fineness = fineness_words(column.scale());
    let rounding = format!("rounded to {fineness}; a tie goes to the known value below the wind");
    match (figure, column.scale().steps()) {
        (Figure::One(_), true) => "the same all over the band".to_owned(),
        (Figure::Both(..), true) => {
            "it changes inside the band: both, in the order the rising wind meets them".to_owned()
        }
        (Figure::One(_), false) => {
            format!("the curve over the band stays within one step: the mark at its middle, {rounding}")
        }
        (Figure::Both(..), false) => format!(
            "the curve over the band goes through more than one step: least and greatest in the order the rising wind \
             meets them, {rounding}"
        ),
    }
}

/// How finely a scale is read.
pub fn fineness_words(scale: &Scale) -> &'static str {
    match scale.fineness {
        Fineness::Whole => "whole marks",
        Fineness::Halves => "halves",
        Fineness::Quarters => "quarters",
    }
}

pub fn curve_words(between: Between) -> &'static str {
    match between {
        Between::Monotone => {
            "monotone cubic through the known values: Fritsch & Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300–304"
        }
        Between::Linear => "a straight line between the known values",
        Between::Step => "the nearer known value",
    }
}
