//! What wind a book's forecast has for the whole race, and which row of a dock tune that asks for. Lays nothing out.

use jiff::SignedDuration;

use crate::book::{Book, DockTune};
use crate::tuning::dock_ranges::{RowRange, ranges};
use crate::tuning::profile::from_forecast_to;
use crate::tuning::{Axis, Wind, mark};

/// By how much the boat's sensor reads more than the forecast says, which is for ten metres.
pub fn at_sensor(book: &Book) -> f64 {
    let height = book.wind_source.as_ref().and_then(|source| source.height);
    height.map_or(1.0, from_forecast_to)
}

/// The rows of a dock tune with the winds they stand for.
pub fn row_ranges(book: &Book, tune: &DockTune) -> Vec<RowRange> {
    let winds: Vec<Wind> = tune.rows.iter().map(|row| row.at.value).collect();
    ranges(&winds, book.units.wind)
}

/// Which row the forecast asks for.
#[derive(Clone, Debug, PartialEq)]
pub struct Called {
    /// Its place among the rows.
    pub row: usize,
    /// How long the forecast has its winds.
    pub lasts: SignedDuration,
    /// How long the forecast is, from start to finish.
    pub of: SignedDuration,
}

/// The row whose winds the forecast has longest from start to finish, by the middle of each of its ranges; of two that last
/// as long, the one for more wind. `None` without a forecast for the race.
pub fn called(book: &Book, tune: &DockTune) -> Option<Called> {
    let (ranges, stretches) = (row_ranges(book, tune), stretches(book));
    let sum = |lasts: &mut dyn Iterator<Item = SignedDuration>| {
        lasts.fold(SignedDuration::ZERO, SignedDuration::saturating_add)
    };
    let lasts =
        |range: &RowRange| sum(&mut stretches.iter().filter(|(wind, _)| range.holds(*wind)).map(|(_, lasts)| *lasts));
    let of = sum(&mut stretches.iter().map(|(_, lasts)| *lasts));
    let (row, lasts) = ranges.iter().map(lasts).enumerate().max_by_key(|(_, lasts)| *lasts)?;
    (lasts > SignedDuration::ZERO).then_some(Called { row, lasts, of })
}

/// The forecast from start to finish: the middle of each range, as the boat's sensor reads it, and how long it holds.
fn stretches(book: &Book) -> Vec<(Wind, SignedDuration)> {
    let Some(watches) = &book.race.watches else { return Vec::new() };
    let (start, finish) = (watches.race.start(), watches.race.finish());
    let forecast = &book.race.forecast;
    let ends = forecast.iter().skip(1).map(|next| &next.from).chain([finish]);
    let stretch = |(row, end): (&crate::book::Forecast, &jiff::ZonedDateTime)| {
        let (from, to) = ((&row.from).max(start), end.min(finish));
        (from < to).then(|| (row.wind.0.midway(row.wind.1) * at_sensor(book), from.duration_until(to)))
    };
    forecast.iter().zip(ends).filter_map(stretch).collect()
}

const MINUTES_PER_HOUR: f64 = 60.0;

/// `3½ h`, `3 h 20 min`.
pub fn hours(length: SignedDuration) -> String {
    let minutes = length.as_mins();
    let halves = minutes as f64 / MINUTES_PER_HOUR * 2.0;
    if halves.fract() == 0.0 {
        return format!("{} h", mark::print(halves / 2.0));
    }
    let (whole, rest) = (minutes / MINUTES_PER_HOUR as i64, minutes % MINUTES_PER_HOUR as i64);
    if whole == 0 { format!("{rest} min") } else { format!("{whole} h {rest} min") }
}

/// The nearest number of whole hours: nobody plans a forecast more finely.
pub fn whole_hours(length: SignedDuration) -> i64 {
    (length.as_mins() as f64 / MINUTES_PER_HOUR).round() as i64
}
