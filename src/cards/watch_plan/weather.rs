//! From the forecast to what a watch has to expect: wind, sails, settings, and the wind to read the card at.

use jiff::ZonedDateTime;

use super::{SailPlan, Weather};
use crate::book::{Book, Forecast, PointOfSail, SailKind, Settings};
use crate::cards::parts::matrix::{columns, shared_range};
use crate::cards::parts::read_at::{Feel, past_this_sail};
use crate::cards::parts::words::{grounded, point_of_sail, sail_names};
use crate::tuning::profile::from_forecast_to;
use crate::tuning::righting::{Bunks, RightingError};
use crate::tuning::wardrobe::{Area, SailRange, sails_for};
use crate::tuning::{Angle, Axis, Span, Wind, beaufort, mark};

/// From this true wind angle on a point of sail is meant: common practice among trimmers.
const POINTS_OF_SAIL: [(PointOfSail, Angle); 5] = [
    (PointOfSail::Upwind, Angle::AHEAD),
    (PointOfSail::CloseReach, Angle::degrees(55.0)),
    (PointOfSail::BeamReach, Angle::degrees(80.0)),
    (PointOfSail::BroadReach, Angle::degrees(110.0)),
    (PointOfSail::Downwind, Angle::degrees(150.0)),
];
/// A sail of which no range is known may be used in any wind, at any angle.
const ANY_WIND: Span<Wind> = Span { low: Wind::CALM, high: Wind::ENDLESS };
const MM_PER_METRE: f64 = 1000.0;
const PERCENT: f64 = 100.0;
const ANY_ANGLE: Span<Angle> = Span { low: Angle::AHEAD, high: Angle::ASTERN };

/// The forecast and what is needed to act on it.
pub struct Outlook<'a> {
    book: &'a Book,
    feel: Option<Feel<'a>>,
    bunks: Bunks,
    /// By how much the boat's sensor reads more than the forecast says.
    at_sensor: f64,
}

/// A set of sails over a stretch of wind.
struct Pick<'a> {
    settings: Option<&'a Settings>,
    sails: String,
    low: Wind,
    high: Wind,
}

impl<'a> Outlook<'a> {
    pub fn new(book: &'a Book, bunks: Bunks) -> Self {
        let height = book.wind_source.as_ref().and_then(|source| source.height);
        Outlook { book, feel: Feel::of(book), bunks, at_sensor: height.map_or(1.0, from_forecast_to) }
    }

    pub fn assumptions(&self) -> Vec<String> {
        let forecast = match self.book.wind_source.as_ref().and_then(|source| source.height) {
            Some(height) => format!(
                "Forecast for 10 m, told as the sensor at {} m reads it, {} % more (logarithmic profile, open sea)",
                mark::print_decimal(height.to_mm() / MM_PER_METRE),
                mark::print_decimal(((self.at_sensor - 1.0) * PERCENT).round()),
            ),
            None => "Forecast as given".to_owned(),
        };
        let mut words = vec![format!("{forecast}; marks for the middle of the winds to read at.")];
        match self.feel {
            Some(_) => words.push(format!(
                "The wind to read at counts those below, in {} bunks: add nothing to it.",
                self.bunks.word()
            )),
            None => words.push("The wind to read at is the forecast's: those below are not counted.".to_owned()),
        }
        words
    }

    /// What is expected from one time to another; `None` without a forecast for it.
    pub fn over(&self, from: &ZonedDateTime, to: &ZonedDateTime, below: u32) -> Result<Option<Weather>, RightingError> {
        let rows = in_force(&self.book.race.forecast, from, to);
        if rows.is_empty() {
            return Ok(None);
        }
        let low = rows.iter().map(|row| row.wind.0).min().unwrap_or(Wind::ENDLESS);
        let high = rows.iter().map(|row| row.wind.1).max().unwrap_or(Wind::CALM);
        let gust = rows.iter().filter_map(|row| row.gust).max();
        let mut picks: Vec<Pick<'_>> = Vec::new();
        for row in rows {
            for pick in self.picks(row) {
                match picks.last_mut() {
                    Some(last) if last.sails == pick.sails => {
                        last.low = last.low.min(pick.low);
                        last.high = last.high.max(pick.high);
                    }
                    _ => picks.push(pick),
                }
            }
        }
        let sails: Result<Vec<SailPlan>, RightingError> = picks.iter().map(|pick| self.plan(pick, below)).collect();
        Ok(Some(Weather { wind: self.wind_words(low, high, gust), sails: sails? }))
    }

    fn wind_words(&self, low: Wind, high: Wind, gust: Option<Wind>) -> String {
        let gust = gust.map(|gust| format!(", gusts {}", self.wind(gust * self.at_sensor))).unwrap_or_default();
        let force = match (beaufort::of(low), beaufort::of(high)) {
            (Some(least), Some(most)) if least == most => format!(", force {}", least.number),
            (Some(least), Some(most)) => format!(", force {} to {}", least.number, most.number),
            _ => String::new(),
        };
        let winds = self.span(low * self.at_sensor, high * self.at_sensor);
        format!("{winds} {}{force}{gust}", self.book.units.wind.symbol())
    }

    fn wind(&self, wind: Wind) -> String {
        wind.print(self.book.units.wind)
    }

    fn span(&self, low: Wind, high: Wind) -> String {
        let (low, high) = (self.wind(low), self.wind(high));
        if low == high { low } else { format!("{low} to {high}") }
    }

    /// The first settings whose sails are all for the whole of a forecast; else those for its lighter and for its
    /// stronger half.
    fn picks(&self, row: &Forecast) -> Vec<Pick<'a>> {
        let (low, high) = (row.wind.0 * self.at_sensor, row.wind.1 * self.at_sensor);
        let pick = |low: Wind, high: Wind, settings: Option<&'a Settings>| {
            let sails = match settings {
                Some(settings) => {
                    let names = sail_names(self.book, settings).join(" + ");
                    format!("{names}, {}", point_of_sail(settings.point_of_sail))
                }
                None => self.wardrobe(low.midway(high), row.angle),
            };
            Pick { settings, sails, low, high }
        };
        if let Some(whole) = self.settings_for(low, high, row.angle) {
            return vec![pick(low, high, Some(whole))];
        }
        let middle = low.midway(high);
        vec![
            pick(low, middle, self.settings_for(low, low, row.angle)),
            pick(middle, high, self.settings_for(high, high, row.angle)),
        ]
    }

    fn settings_for(&self, low: Wind, high: Wind, angle: Option<Angle>) -> Option<&'a Settings> {
        let point = angle.map(point_at).unwrap_or(PointOfSail::Upwind);
        let fits = |settings: &&Settings| {
            let (least, most) = shared_range(self.book, settings);
            let sails = || settings.sails.iter().filter_map(|id| self.book.sail(&id.value));
            // What a sail may be used for as it is now, not as it was made.
            let most = sails().filter_map(|sail| sail.max_now.as_ref()).fold(most, |most, now| most.min(now.value));
            let mut angles = sails().filter_map(|sail| sail.angle);
            settings.point_of_sail == point
                && least <= low
                && high <= most
                && angles.all(|range| angle.is_none_or(|angle| range.holds(angle)))
        };
        self.book.settings.iter().find(fits)
    }

    fn wardrobe(&self, wind: Wind, angle: Option<Angle>) -> String {
        let forward: Vec<_> = self.book.sails.iter().filter(|sail| sail.kind != SailKind::Mainsail).collect();
        let range = |sail: &&crate::book::Sail| SailRange {
            area: Area { wind: sail.wind.unwrap_or(ANY_WIND), angle: sail.angle.unwrap_or(ANY_ANGLE) },
            max_now: sail.max_now.as_ref().map(|most| most.value),
        };
        let ranges: Vec<SailRange> = forward.iter().map(range).collect();
        let found: Vec<&str> = match angle {
            Some(angle) => sails_for(&ranges, wind, angle).map(|index| forward[index].name.as_str()).collect(),
            None => Vec::new(),
        };
        match found.as_slice() {
            [] => "no settings and no sail for this".to_owned(),
            names => format!("{}: no settings", names.join(" or ")),
        }
    }

    fn plan(&self, pick: &Pick<'_>, below: u32) -> Result<SailPlan, RightingError> {
        let Some(settings) = pick.settings else {
            return Ok(SailPlan { sails: pick.sails.clone(), read_at: None, marks: Vec::new() });
        };
        let felt = |wind: Wind| -> Result<(Wind, Option<&str>), RightingError> {
            let Some(feel) = self.feel else { return Ok((wind, None)) };
            let felt = feel.read_at(settings, wind, below, self.bunks)?;
            Ok((felt.wind_or(wind), felt.not_reckoned()))
        };
        let ((low, low_unknown), (high, high_unknown)) = (felt(pick.low)?, felt(pick.high)?);
        let unknown = low_unknown.or(high_unknown).filter(|_| below > 0);
        let unknown = unknown.map(|why| format!(" (those below {why})")).unwrap_or_default();
        let past = past_this_sail(self.book, settings, high).filter(|_| high > pick.high);
        let past = past.map(|past| format!(" ({})", past.words())).unwrap_or_default();
        let middle = low.midway(high);
        let controls = settings.controls.iter().filter_map(|index| self.book.controls.get(*index));
        let marks = controls.zip(columns(self.book, settings)).filter_map(|(control, column)| {
            let column = column?;
            let setting = column.at(middle);
            Some(format!("{} {}", control.name, grounded(&column.scale().print(setting.reading), setting.ground)))
        });
        Ok(SailPlan {
            sails: pick.sails.clone(),
            read_at: Some(self.span(low, high) + &unknown + &past),
            marks: marks.collect(),
        })
    }
}

fn point_at(angle: Angle) -> PointOfSail {
    let reached = POINTS_OF_SAIL.iter().rfind(|(_, from)| angle >= *from);
    reached.map_or(PointOfSail::Upwind, |(point, _)| *point)
}

/// The rows in force from one time to another: the last before it begins, and those that follow.
fn in_force<'a>(forecast: &'a [Forecast], from: &ZonedDateTime, to: &ZonedDateTime) -> &'a [Forecast] {
    let begun = forecast.partition_point(|row| row.from <= *from);
    let end = forecast.partition_point(|row| row.from < *to);
    &forecast[begun.saturating_sub(1)..end]
}
