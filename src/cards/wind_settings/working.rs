//! The working of a wind-settings card: for each cell the known rows, the curve, the rounding and the ground.

use std::ops::Range;

use crate::book::{Book, Control, Place, Settings};
use crate::cards::parts::evidence::{disputed, disputed_words};
use crate::cards::parts::sided;
use crate::cards::parts::words::{figure_words, ground_legend};
use crate::cards::parts::working::Passage;
use crate::tuning::{
    Axis, Band, Between, Column, Figure, Fineness, Ground, Scale, Side, Sided, Stretches, Told, Wind, mark,
};

/// Digits of an unrounded value that anybody checks.
const EXACT_STEPS: f64 = 1e4;

/// One passage a cell.
pub fn working(
    book: &Book,
    settings: &Settings,
    (columns, here): (&[Option<Sided<Stretches>>], &Range<usize>),
    bands: &[Band],
) -> Vec<Passage> {
    let controls: Vec<&Control> = settings.controls.iter().filter_map(|index| book.controls.get(*index)).collect();
    let mut passages = Vec::new();
    for (position, (control, column)) in
        controls.iter().zip(columns).enumerate().filter(|(position, _)| here.contains(position))
    {
        let Some(column) = column else { continue };
        for (side, column) in column.each() {
            passages.extend(bands.iter().map(|band| cell(book, settings, (control, position, side), column, *band)));
        }
    }
    passages
}

fn cell(
    book: &Book,
    settings: &Settings,
    (control, position, side): (&Control, usize, Option<Side>),
    column: &Stretches,
    band: Band,
) -> Passage {
    let wind = |wind: Wind| wind.as_written(book.units.wind);
    let name = sided::named(&control.name, side);
    let mut passage = Passage::new(format!("{name}, {} to {}", wind(band.low), wind(band.high)));
    let found = column.in_band(band);
    let known = settings
        .rows
        .iter()
        .filter_map(|row| Some((row.at.value, sided::recorded(row.readings.get(position)?, control, side)?)));
    let rows: Vec<(Wind, (Option<String>, &Place))> = known.collect();
    // What the answer rests on: the rows in the band, and those either side of it.
    let above = rows.iter().position(|(at, _)| *at >= band.high).unwrap_or(rows.len());
    let below = rows.iter().rposition(|(at, _)| *at < band.low).unwrap_or(0);
    for (at, (printed, place)) in rows.iter().take(above + 1).skip(below) {
        let (finds, printed) = match printed {
            Some(printed) => ("known at", printed.clone()),
            None => ("not used at", sided::NOT_USED.to_owned()),
        };
        passage.input(format!("{finds} {}", wind(*at)), printed, place);
    }
    let parts = found.unknown.iter().map(|(low, high)| format!("{} to {}", wind(*low), wind(*high)));
    let unknown: Vec<String> = parts.collect();
    let found = match found.told {
        Told::Set(setting) => setting,
        Told::NotUsed => {
            passage.step("what to set", "not used in the band, and no known reading reaches into it", sided::NOT_USED);
            return passage;
        }
        Told::Unknown => {
            let why = "between a wind at which it is not used and the next that is known nothing is known";
            passage.step("what to set", why, sided::UNKNOWN);
            return passage;
        }
    };
    let print = |reading: f64| column.scale().print(reading);
    let setting = found.setting;
    let at_middle = column.columns().iter().find(|column| column.curve().at(band.middle().number()).is_some());
    let Some(column) = at_middle.or_else(|| nearest(column, band.middle())) else { return passage };
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
        let both = (row.ground == Ground::Disputed)
            .then(|| disputed(book, settings, &control.id.value, (row.at, None)))
            .flatten();
        let value = both.map_or_else(|| print(row.reading), |both| disputed_words(&both));
        passage.step(words, ground_legend(row.ground), value);
    }
    if !unknown.is_empty() {
        let why = "next to a wind at which it is not used: nothing is known as far as the next known reading";
        passage.step("not known in the band", why, unknown.join(", "));
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

/// The stretch nearest a wind that none holds.
fn nearest(column: &Stretches, wind: Wind) -> Option<&Column> {
    let off = |column: &&Column| column.known().iter().map(|known| known.at.apart(wind)).min();
    column.columns().iter().min_by_key(off)
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
