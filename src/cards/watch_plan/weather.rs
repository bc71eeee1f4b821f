//! From the forecast to what a watch has to expect: wind, sails, settings, and the wind to read the card at.

use jiff::ZonedDateTime;

use super::{SailPlan, Weather};
use crate::book::{Book, Forecast, PointOfSail, SailKind, Settings};
use crate::cards::parts::matrix::{columns, shared_range};
use crate::cards::parts::read_at::Feel;
use crate::cards::parts::words::{grounded, point_of_sail, sail_names, to_half, wind_in, wind_unit};
use crate::tuning::righting::{Bunks, RightingError};
use crate::tuning::wardrobe::{Area, SailRange, Span, sails_for};
use crate::tuning::{beaufort, mark};

/// From this true wind angle on a point of sail is meant, degrees: common practice among trimmers.
const POINTS_OF_SAIL_DEG: [(PointOfSail, f64); 5] = [
    (PointOfSail::Upwind, 0.0),
    (PointOfSail::CloseReach, 55.0),
    (PointOfSail::BeamReach, 80.0),
    (PointOfSail::BroadReach, 110.0),
    (PointOfSail::Downwind, 150.0),
];
/// A sail of which no range is known may be used in any wind, at any angle.
const ANY_WIND_KN: Span = Span { low: 0.0, high: 100.0 };
const ANY_ANGLE_DEG: Span = Span { low: 0.0, high: 180.0 };

/// The forecast and what is needed to act on it.
pub struct Outlook<'a> {
    book: &'a Book,
    feel: Option<Feel<'a>>,
    bunks: Bunks,
}

/// A set of sails over a stretch of wind.
struct Pick<'a> {
    settings: Option<&'a Settings>,
    sails: String,
    low_kn: f64,
    high_kn: f64,
}

impl<'a> Outlook<'a> {
    pub fn new(book: &'a Book, bunks: Bunks) -> Self {
        Outlook { book, feel: Feel::of(book), bunks }
    }

    pub fn assumptions(&self) -> Vec<String> {
        let mut words = vec!["Wind as forecast; marks for the middle of the winds to read at.".to_owned()];
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
        let low_kn = rows.iter().map(|row| row.wind_kn.0).fold(f64::INFINITY, f64::min);
        let high_kn = rows.iter().map(|row| row.wind_kn.1).fold(0.0, f64::max);
        let gust_kn = rows.iter().filter_map(|row| row.gust_kn).reduce(f64::max);
        let mut picks: Vec<Pick<'_>> = Vec::new();
        for row in rows {
            for pick in self.picks(row) {
                match picks.last_mut() {
                    Some(last) if last.sails == pick.sails => {
                        last.low_kn = last.low_kn.min(pick.low_kn);
                        last.high_kn = last.high_kn.max(pick.high_kn);
                    }
                    _ => picks.push(pick),
                }
            }
        }
        let sails: Result<Vec<SailPlan>, RightingError> = picks.iter().map(|pick| self.plan(pick, below)).collect();
        Ok(Some(Weather { wind: self.wind_words(low_kn, high_kn, gust_kn), sails: sails? }))
    }

    fn wind_words(&self, low_kn: f64, high_kn: f64, gust_kn: Option<f64>) -> String {
        let gust = gust_kn.map(|gust| format!(", gusts {}", self.wind(gust))).unwrap_or_default();
        let force = match (beaufort::of(low_kn), beaufort::of(high_kn)) {
            (Some(low), Some(high)) if low == high => format!(", force {}", low.number),
            (Some(low), Some(high)) => format!(", force {} to {}", low.number, high.number),
            _ => String::new(),
        };
        format!("{} {}{force}{gust}", self.span(low_kn, high_kn), wind_unit(self.book.units.wind))
    }

    fn wind(&self, wind_kn: f64) -> String {
        mark::print(to_half(wind_in(wind_kn, self.book.units.wind)))
    }

    fn span(&self, low_kn: f64, high_kn: f64) -> String {
        let (low, high) = (self.wind(low_kn), self.wind(high_kn));
        if low == high { low } else { format!("{low} to {high}") }
    }

    /// The first settings whose sails are all for the whole of a forecast; else those for its lighter and for its
    /// stronger half.
    fn picks(&self, row: &Forecast) -> Vec<Pick<'a>> {
        let (low_kn, high_kn) = row.wind_kn;
        let pick = |low_kn: f64, high_kn: f64, settings: Option<&'a Settings>| {
            let sails = match settings {
                Some(settings) => {
                    let names = sail_names(self.book, settings).join(" + ");
                    format!("{names}, {}", point_of_sail(settings.point_of_sail))
                }
                None => self.wardrobe(low_kn + (high_kn - low_kn) / 2.0, row.angle_deg),
            };
            Pick { settings, sails, low_kn, high_kn }
        };
        if let Some(whole) = self.settings_for(low_kn, high_kn, row.angle_deg) {
            return vec![pick(low_kn, high_kn, Some(whole))];
        }
        let middle_kn = low_kn + (high_kn - low_kn) / 2.0;
        vec![
            pick(low_kn, middle_kn, self.settings_for(low_kn, low_kn, row.angle_deg)),
            pick(middle_kn, high_kn, self.settings_for(high_kn, high_kn, row.angle_deg)),
        ]
    }

    fn settings_for(&self, low_kn: f64, high_kn: f64, angle_deg: Option<f64>) -> Option<&'a Settings> {
        let point = angle_deg.map(point_at).unwrap_or(PointOfSail::Upwind);
        let fits = |settings: &&Settings| {
            let (least, most) = shared_range(self.book, settings);
            let sails = || settings.sails.iter().filter_map(|id| self.book.sail(&id.value));
            // What a sail may be used for as it is now, not as it was made.
            let most = sails().filter_map(|sail| sail.max_now_kn.as_ref()).fold(most, |most, now| most.min(now.value));
            let mut angles = sails().filter_map(|sail| sail.angle_deg);
            settings.point_of_sail == point
                && least <= low_kn
                && high_kn <= most
                && angles.all(|(least, most)| angle_deg.is_none_or(|angle| (least..=most).contains(&angle)))
        };
        self.book.settings.iter().find(fits)
    }

    fn wardrobe(&self, wind_kn: f64, angle_deg: Option<f64>) -> String {
        let forward: Vec<_> = self.book.sails.iter().filter(|sail| sail.kind != SailKind::Mainsail).collect();
        let span =
            |range: Option<(f64, f64)>, any: Span| range.and_then(|(low, high)| Span::new(low, high)).unwrap_or(any);
        let range = |sail: &&crate::book::Sail| SailRange {
            area: Area { wind: span(sail.wind_kn, ANY_WIND_KN), angle: span(sail.angle_deg, ANY_ANGLE_DEG) },
            max_now: sail.max_now_kn.as_ref().map(|most| most.value),
        };
        let ranges: Vec<SailRange> = forward.iter().map(range).collect();
        let found: Vec<&str> = match angle_deg {
            Some(angle) => sails_for(&ranges, wind_kn, angle).map(|index| forward[index].name.as_str()).collect(),
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
        let felt = |wind_kn: f64| -> Result<f64, RightingError> {
            let Some(feel) = self.feel else { return Ok(wind_kn) };
            Ok(feel.read_at(settings, wind_kn, below, self.bunks)?.map_or(wind_kn, |read_at| read_at.wind_kn))
        };
        let (low_kn, high_kn) = (felt(pick.low_kn)?, felt(pick.high_kn)?);
        let middle_kn = low_kn + (high_kn - low_kn) / 2.0;
        let controls = settings.controls.iter().filter_map(|index| self.book.controls.get(*index));
        let marks = controls.zip(columns(self.book, settings)).filter_map(|(control, column)| {
            let column = column?;
            let setting = column.at(middle_kn);
            Some(format!("{} {}", control.name, grounded(&column.scale().print(setting.reading), setting.ground)))
        });
        Ok(SailPlan { sails: pick.sails.clone(), read_at: Some(self.span(low_kn, high_kn)), marks: marks.collect() })
    }
}

fn point_at(angle_deg: f64) -> PointOfSail {
    let reached = POINTS_OF_SAIL_DEG.iter().rfind(|(_, from_deg)| angle_deg >= *from_deg);
    reached.map_or(PointOfSail::Upwind, |(point, _)| *point)
}

/// The rows in force from one time to another: the last before it begins, and those that follow.
fn in_force<'a>(forecast: &'a [Forecast], from: &ZonedDateTime, to: &ZonedDateTime) -> &'a [Forecast] {
    let begun = forecast.partition_point(|row| row.from <= *from);
    let end = forecast.partition_point(|row| row.from < *to);
    &forecast[begun.saturating_sub(1)..end]
}
