//! The working of a wind-settings card: for each cell the known rows, the curve, the rounding and the ground.

use crate::book::{Book, Control, Row, Settings};
use crate::cards::parts::words::ground_legend;
use crate::cards::parts::working::Passage;
use crate::tuning::{Axis, Band, Between, Column, Fineness, Ground, Wind, mark};

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
    let middle = band.middle();
    let known = |row: &Row| row.readings.get(position).cloned().flatten().map(|reading| (row.at.value, reading));
    let rows: Vec<_> = settings.rows.iter().filter_map(known).collect();
    let held = rows.iter().filter(|(at, _)| band.holds(*at));
    let nearest = held.min_by_key(|(at, _)| at.apart(middle));
    let setting = found.setting;
    let taken = nearest.map_or(middle, |(at, _)| *at);
    // The known values that the answer rests on: the one in the band, or those either side.
    let used: Vec<_> = match nearest {
        Some(only) => vec![only],
        None => {
            let above = rows.iter().position(|(at, _)| *at >= taken).unwrap_or(rows.len());
            let either_side = [above.checked_sub(1), Some(above)].into_iter().flatten();
            either_side.filter_map(|index| rows.get(index)).collect()
        }
    };
    for (at, reading) in used {
        let printed = column.scale().print(reading.value);
        passage.input(format!("known at {}", wind(*at)), printed, &reading.place);
    }
    match (nearest, setting.ground) {
        (Some(_), _) => passage.step("wind taken", "the known wind nearest the middle of the band", wind(taken)),
        (None, Ground::Outside) => passage.step("wind taken", "beyond all known winds: the nearest value", wind(taken)),
        (None, _) => {
            passage.step("wind taken", "the middle of the band: no known wind is in it", wind(taken));
            let exact = (setting.exact * EXACT_STEPS).round() / EXACT_STEPS;
            passage.step("unrounded", curve_words(column.curve().between()), mark::print_decimal(exact));
        }
    }
    let fineness = match column.scale().fineness {
        Fineness::Whole => "whole marks",
        Fineness::Halves => "halves",
        Fineness::Quarters => "quarters",
    };
    let rounding = match nearest {
        Some(_) => "as recorded".to_owned(),
        None => format!("to {fineness}; a tie goes to the known value below the wind"),
    };
    passage.step("mark", rounding, column.scale().print(setting.reading));
    if let Some((low, high)) = found.span {
        let span = format!("{} to {}", column.scale().print(low), column.scale().print(high));
        passage.step("the whole band", "it moves more than one mark inside it", span);
    }
    passage.step("ground", "", ground_legend(setting.ground));
    passage
}

fn curve_words(between: Between) -> &'static str {
    match between {
        Between::Monotone => {
            "monotone cubic through the known values: Fritsch & Butland, SIAM J. Sci. Stat. Comput. 5 (1984) 300–304"
        }
        Between::Linear => "a straight line between the known values",
        Between::Step => "the nearer known value",
    }
}
