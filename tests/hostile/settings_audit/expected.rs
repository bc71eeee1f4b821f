//! All that the card of some settings should say, row by row, in the unit of the book.

use cockpit_cards::book::{Book, Recorded, Settings, WindUnit};
use cockpit_cards::tuning::{Axis, Between};

use super::known::Known;
use super::words::print_wind;
use super::{Cell, SAME, Seen};

/// NIST SP 811, appendix B.8.
const KNOTS_PER_METRE_PER_SECOND: f64 = 3600.0 / 1852.0;

/// A band in the unit of the book, cut to what the sails are for now.
pub(super) struct Band {
    pub(super) low: f64,
    pub(super) high: f64,
    with_high: bool,
}

impl Band {
    pub(super) fn holds(&self, wind: f64) -> bool {
        self.low - SAME < wind && (wind < self.high - SAME || self.with_high && wind < self.high + SAME)
    }
}

fn in_unit(wind: cockpit_cards::tuning::Wind, unit: WindUnit) -> f64 {
    match unit {
        WindUnit::Knot => wind.number(),
        WindUnit::MetrePerSecond => wind.number() / KNOTS_PER_METRE_PER_SECOND,
    }
}

fn bands(book: &Book, settings: &Settings) -> Vec<Band> {
    let unit = book.units.wind;
    let (mut low, mut high) = (0.0_f64, f64::INFINITY);
    for sail in settings.sails.iter().filter_map(|id| book.sails.iter().find(|sail| sail.id.value == id.value)) {
        if let Some(winds) = sail.wind {
            (low, high) = (low.max(in_unit(winds.low, unit)), high.min(in_unit(winds.high, unit)));
        }
        high = sail.max_now.as_ref().map_or(high, |most| high.min(in_unit(most.value, unit)));
    }
    let cut = |band: &cockpit_cards::tuning::Band| {
        let (from, to) = (in_unit(band.low, unit), in_unit(band.high, unit));
        let band = Band { low: from.max(low), high: to.min(high), with_high: high < to + SAME };
        (band.low < band.high - SAME).then_some(band)
    };
    book.bands.iter().filter_map(cut).collect()
}

/// All that the card of some settings should say.
pub(super) fn worked_out(book: &Book, settings: &Settings, seen: &mut Seen) -> Vec<(String, Vec<Option<Cell>>)> {
    let unit = book.units.wind;
    let column = |(position, control): (usize, &usize)| {
        let scale = book.controls[*control].scale.clone();
        let points = settings
            .rows
            .iter()
            .filter_map(|row| Some((in_unit(row.at.value, unit), row.readings[position].one()?.value, row.ground)));
        let between = settings.between.get(control).copied().unwrap_or(Between::Monotone);
        let nones = settings.rows.iter().filter(|row| matches!(row.readings[position], Recorded::NotUsed(_)));
        let nones = nones.map(|row| in_unit(row.at.value, unit)).collect();
        Known { points: points.collect(), nones, between, fineness: scale.fineness, scale }
    };
    let columns: Vec<Known> = settings.controls.iter().enumerate().map(column).collect();
    // What two sides say together is held in `books::two_sides`.
    let is_sided: Vec<bool> = (0..columns.len())
        .map(|position| settings.rows.iter().any(|row| matches!(row.readings[position], Recorded::Sides { .. })))
        .collect();
    let row = |band: &Band| {
        let winds = format!("{} to {}", print_wind(band.low, unit), print_wind(band.high, unit));
        let cells = columns.iter().zip(&is_sided).map(|(column, is_sided)| {
            if *is_sided {
                seen.add("two sides");
                return None;
            }
            let kind = format!("{:?}", column.scale.kind);
            seen.add(kind.split([' ', '(']).next().unwrap_or_default());
            seen.add(unit.symbol());
            match column.points.is_empty() && column.nones.is_empty() {
                true => Some((String::new(), "?".to_owned(), String::new())),
                false => column.cell_with_nones(band, unit, seen),
            }
        });
        (winds, cells.collect())
    };
    bands(book, settings).iter().map(row).collect()
}
