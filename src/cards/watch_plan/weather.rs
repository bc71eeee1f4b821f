//! From the forecast to what a watch has to expect: wind, sails, and the bands of their cards to use.

use std::ops::Range;

use jiff::ZonedDateTime;

use super::{PlannedMark, SailPlan, Weather, clock};
use crate::book::{Book, Control, Forecast, PointOfSail, Settings};
use crate::cards::parts::expected::at_sensor;
use crate::cards::parts::into_rows::{IntoRows, goes_by_apparent};
use crate::cards::parts::matrix::{bands, columns_at};
use crate::cards::parts::read_at::{Feel, NIGHT_IS_NOT_IN_IT, past_this_sail};
use crate::cards::parts::sets::sets;
use crate::cards::parts::sided;
use crate::cards::parts::words::{called, narrowed_words, sail_names, wind_span};
use crate::tuning::range::SailRange;
use crate::tuning::righting::{Bunks, RightingError};
use crate::tuning::{Angle, Axis, Band, Sided, Span, Stretches, Wind, beaufort, mark};
use crate::wrong::Wrong;

const MM_PER_METRE: f64 = 1000.0;
const PERCENT: f64 = 100.0;

/// The forecast and what is needed to act on it.
pub struct Outlook<'a> {
    book: &'a Book,
    feel: Option<Feel<'a>>,
    bunks: Bunks,
    /// The marks are told, too, and not only the bands to look them up in.
    with_marks: bool,
    /// By how much the boat's sensor reads more than the forecast says.
    at_sensor: f64,
}

/// A set of sails over a stretch of wind.
struct Pick<'a> {
    settings: Option<Choice<'a>>,
    sails: String,
    low: Wind,
    high: Wind,
    /// Where other sails come before it, from when or from which wind on these are set: `02:00`, `16 kn`.
    from: Option<String>,
}

/// Settings that may be used on the course of a forecast, and the true winds that their sails are for now.
#[derive(Clone, Copy)]
struct Choice<'a> {
    settings: &'a Settings,
    winds: Span<Wind>,
    rows: IntoRows<'a>,
    /// The course of the forecast.
    angle: Option<Angle>,
}

impl<'a> Outlook<'a> {
    pub fn new(book: &'a Book, bunks: Bunks, with_marks: bool) -> Self {
        Outlook { book, feel: Feel::of(book), bunks, with_marks, at_sensor: at_sensor(book) }
    }

    pub fn assumptions(&self) -> Vec<String> {
        let mut words = vec![match self.book.wind_source.as_ref().and_then(|source| source.height) {
            Some(height) => format!(
                "Forecast for 10 m, told as the sensor at {} m reads it, {} % more (logarithmic profile, open sea).",
                mark::print_decimal(height.to_mm() / MM_PER_METRE),
                mark::print_decimal(((self.at_sensor - 1.0) * PERCENT).round()),
            ),
            None => "Forecast as given.".to_owned(),
        }];
        if goes_by_apparent(self.book) {
            words.push(
                "The forecast is true wind, the cards are in apparent: the bands are those of what the target speed and \
                 angle make of it, beyond the targets the nearest."
                    .to_owned(),
            );
        }
        if self.feel.is_some() {
            let night = if self.book.dark.is_some() { NIGHT_IS_NOT_IN_IT } else { "" };
            words.push(format!("Those below are counted in {} bunks.{night}", self.bunks.word()));
        }
        words
    }

    /// Every sail of the book's settings that is for less than it was made for.
    pub fn narrowed(&self) -> Vec<String> {
        let used =
            |id: &str| self.book.settings.iter().any(|settings| settings.sails.iter().any(|sail| sail.value == id));
        let sails = self.book.sails.iter().filter(|sail| used(&sail.id.value)).map(|sail| sail.range());
        let words = |range: SailRange| {
            range.narrowed().iter().map(|narrowed| narrowed_words(narrowed, self.book.units.wind)).collect::<Vec<_>>()
        };
        sails.flat_map(words).collect()
    }

    /// The rows of the forecast in force from one time to another: the last before it begins, and those that follow.
    pub fn in_force(&self, from: &ZonedDateTime, to: &ZonedDateTime) -> Range<usize> {
        let forecast = &self.book.race.forecast;
        let begun = forecast.partition_point(|row| row.from <= *from);
        let end = forecast.partition_point(|row| row.from < *to);
        begun.saturating_sub(1)..end
    }

    /// What is expected while these rows of the forecast are in force; `None` where none are.
    pub fn over(&self, rows: Range<usize>, below: u32) -> Result<Option<Weather>, Wrong> {
        let rows = self.book.race.forecast.get(rows).unwrap_or_default();
        if rows.is_empty() {
            return Ok(None);
        }
        let low = rows.iter().map(|row| row.wind.0).min().unwrap_or(Wind::ENDLESS);
        let high = rows.iter().map(|row| row.wind.1).max().unwrap_or(Wind::CALM);
        let gust = rows.iter().filter_map(|row| row.gust).max();
        // The gust of one row may be less than the wind of another.
        let gust = gust.filter(|gust| !gust.is_below(high));
        let mut picks: Vec<Pick<'_>> = Vec::new();
        let mut beyond: Vec<String> = Vec::new();
        for row in rows {
            let chosen = self.picks(row)?;
            beyond.extend(self.gusts_beyond(row, &chosen));
            for (nth, pick) in chosen.into_iter().enumerate() {
                match picks.last_mut() {
                    Some(last) if last.sails == pick.sails => {
                        last.low = last.low.min(pick.low);
                        last.high = last.high.max(pick.high);
                    }
                    Some(_) if nth == 0 => picks.push(Pick { from: Some(clock(&row.from)), ..pick }),
                    _ => picks.push(pick),
                }
            }
        }
        let (holes, picks): (Vec<Pick<'_>>, Vec<Pick<'_>>) = picks.into_iter().partition(|pick| pick.sails.is_empty());
        let mut warnings: Vec<String> = holes.iter().map(|hole| self.hole_words(hole)).collect();
        warnings.extend(beyond);
        warnings.dedup();
        let sails: Result<Vec<SailPlan>, Wrong> = picks.iter().map(|pick| self.plan(pick, below)).collect();
        Ok(Some(Weather {
            wind: self.span(low * self.at_sensor, high * self.at_sensor),
            gusts: gust.map(|gust| self.wind(gust * self.at_sensor)),
            force: force_words(low, high),
            beyond: warnings,
            sails: sails?,
        }))
    }

    /// What is said of a stretch of wind that no sail is known to be for.
    fn hole_words(&self, hole: &Pick<'_>) -> String {
        let sails = if goes_by_apparent(self.book) { "" } else { " and no sail" };
        format!("No settings{sails} for {} {}", self.span(hole.low, hole.high), self.book.units.wind.symbol())
    }

    /// What is said where the gusts of a forecast are past what the sails for its strongest wind are for, and which sails are
    /// for them.
    fn gusts_beyond(&self, row: &Forecast, picks: &[Pick<'_>]) -> Option<String> {
        let (gust, last) = (row.gust? * self.at_sensor, picks.last()?.settings?);
        let most = last.winds.high;
        let sail = sail_names(self.book, last.settings).into_iter().next().filter(|_| gust.is_above(most))?;
        let next = self.choices(row.angle).0.into_iter().find(|choice| choice.winds.holds(gust));
        let next = next.map_or_else(|| "no sail".to_owned(), |next| sail_names(self.book, next.settings).join(" + "));
        let unit = self.book.units.wind;
        Some(format!("Gusts {}: {sail} only to {}, then {next}", gust.print(unit), most.print_with_unit(unit)))
    }

    fn wind(&self, wind: Wind) -> String {
        wind.print(self.book.units.wind)
    }

    fn span(&self, low: Wind, high: Wind) -> String {
        let (low, high) = (self.wind(low), self.wind(high));
        if low == high { low } else { format!("{low} to {high}") }
    }

    /// The first settings whose sails are all for the whole of a forecast; else it is cut where a sail's range ends, and
    /// each part has the first settings for it, or none.
    ///
    /// # Errors
    /// Some wind has no sail among those that it could be read for, and there are others that it could not.
    fn picks(&self, row: &Forecast) -> Result<Vec<Pick<'a>>, Wrong> {
        let (low, high) = (row.wind.0 * self.at_sensor, row.wind.1 * self.at_sensor);
        let (choices, unread) = self.choices(row.angle);
        let first = |low: Wind, high: Wind| {
            choices.iter().find(|choice| choice.winds.holds(low) && choice.winds.holds(high)).copied()
        };
        if let Some(whole) = first(low, high) {
            return Ok(vec![self.pick(low, high, row.angle, Some(whole))]);
        }
        let ends = choices.iter().flat_map(|choice| [choice.winds.low, choice.winds.high]);
        let mut edges: Vec<Wind> =
            ends.filter(|end| low.is_below(*end) && end.is_below(high)).chain([low, high]).collect();
        edges.sort();
        let mut picks: Vec<Pick<'a>> = Vec::new();
        for part in edges.windows(2).filter(|part| part[0].is_below(part[1]) || low.is_at(high)) {
            let pick = self.pick(part[0], part[1], row.angle, first(part[0], part[1]));
            match picks.last_mut() {
                Some(last) if last.sails == pick.sails => last.high = pick.high,
                Some(_) => picks.push(Pick { from: Some(part[0].print_with_unit(self.book.units.wind)), ..pick }),
                None => picks.push(pick),
            }
        }
        let has_hole = picks.iter().any(|pick| pick.settings.is_none());
        unread.filter(|_| has_hole).map_or(Ok(picks), Err)
    }

    fn pick(&self, low: Wind, high: Wind, angle: Option<Angle>, settings: Option<Choice<'a>>) -> Pick<'a> {
        let sails = match settings {
            Some(Choice { settings, angle: Some(angle), .. }) if settings.angled.is_some() => {
                format!("{}, at {}", called(self.book, settings), angle.print())
            }
            Some(choice) => called(self.book, choice.settings),
            None => self.sails_without_settings(low, high, angle),
        };
        Pick { settings, sails, low, high, from: None }
    }

    /// The settings for a course, in the order of the book, and why the first of them that no forecast can be read into
    /// is not among them. A range that nobody wrote down rules nothing out.
    fn choices(&self, angle: Option<Angle>) -> (Vec<Choice<'a>>, Option<Wrong>) {
        let mut unread = None;
        let point = angle.map_or(PointOfSail::Upwind, |angle| self.book.points_of_sail.at(angle));
        let on_course = self.book.settings.iter().filter(|settings| match (&settings.angled, angle) {
            (None, _) => settings.point_of_sail == point,
            // What goes by angle is for a course within its angles, and for no course that nobody knows.
            (Some(_), None) => false,
            (Some(angled), Some(angle)) => angled.span().is_some_and(|(low, high)| low <= angle && angle <= high),
        });
        let choice = |settings: &'a Settings| {
            let rows = match IntoRows::of(self.book, settings, angle) {
                Ok(rows) => rows,
                Err(wrong) => {
                    unread.get_or_insert(wrong);
                    return None;
                }
            };
            let range = self.book.range_of(settings);
            let angles = range.angles()?;
            let winds = rows.true_winds(range.wind_now()?)?;
            angle.is_none_or(|angle| angles.holds(angle)).then_some(Choice { settings, winds, rows, angle })
        };
        let mut choices: Vec<Choice<'a>> = on_course.filter_map(choice).collect();
        // A forecast of wind says nothing of the sea.
        choices.sort_by_key(|choice| choice.settings.sea.is_some());
        (choices, unread)
    }

    /// The sails that are for all of these winds at this angle; empty if none is, or if nobody knows.
    fn sails_without_settings(&self, low: Wind, high: Wind, angle: Option<Angle>) -> String {
        // Without settings nothing says what a sail's range in apparent wind is in true.
        let Some(angle) = angle.filter(|_| !goes_by_apparent(self.book)) else { return String::new() };
        let (sets, ranges) = sets(self.book);
        let holds = |range: &SailRange| range.now().is_some_and(|now| now.holds(low, angle) && now.holds(high, angle));
        let found: Vec<String> =
            sets.iter().zip(&ranges).filter(|(_, range)| holds(range)).map(|(set, _)| set.name()).collect();
        if found.is_empty() { String::new() } else { format!("{}: no settings", found.join(" or ")) }
    }

    fn plan(&self, pick: &Pick<'_>, below: u32) -> Result<SailPlan, Wrong> {
        let (sails, from) = (pick.sails.clone(), pick.from.clone());
        let Some(Choice { settings, rows, angle, .. }) = pick.settings else {
            return Ok(SailPlan { sails, from, ..SailPlan::default() });
        };
        let as_it_is = [pick.low, pick.high].map(|wind| rows.read(wind));
        let felt = self.felt(settings, as_it_is, angle, below)?;
        let [low, high] = felt.unwrap_or(as_it_is);
        let past = past_this_sail(self.book, settings, high).filter(|_| high.is_above(as_it_is[1]));
        let middle = low.midway(high);
        let marks = if self.with_marks { self.marks(settings, middle, angle) } else { Vec::new() };
        Ok(SailPlan {
            sails,
            from,
            bands: self.bands(settings, low, high),
            counted: felt.map(|_| below).filter(|below| *below > 0),
            past: past.map(|past| past.words()),
            marks_at: (!marks.is_empty()).then(|| middle.print_with_unit(self.book.units.wind)),
            marks,
            read_at: Some(self.span(low, high)),
        })
    }

    /// The winds to read the card at where those below are counted; `None` where that is not known.
    fn felt(
        &self,
        settings: &Settings,
        winds: [Wind; 2],
        angle: Option<Angle>,
        below: u32,
    ) -> Result<Option<[Wind; 2]>, Wrong> {
        let Some(feel) = self.feel else { return Ok(None) };
        let felt = |wind: Wind| feel.read_at(settings, (wind, angle), below, self.bunks).map_err(told);
        let (low, high) = (felt(winds[0])?, felt(winds[1])?);
        let is_reckoned = low.not_reckoned().or(high.not_reckoned()).is_none();
        Ok(is_reckoned.then(|| [low.wind_or(winds[0]), high.wind_or(winds[1])]))
    }

    /// The bands of the settings' own card that these winds are in; one that they only touch at its lower edge is not named.
    fn bands(&self, settings: &Settings, low: Wind, high: Wind) -> Vec<String> {
        let unit = self.book.units.wind;
        let [least, most] = [low, high].map(|wind| wind.steps(unit));
        let is_met = |band: &Band| {
            let [from, to] = [band.low, band.high].map(|wind| wind.steps(unit));
            let begins = from < most || from == least;
            let ends = least < to || (band.with_high && least == to);
            begins && ends
        };
        bands(self.book, settings).into_iter().filter(is_met).map(|band| wind_span(band, unit)).collect()
    }

    /// What the settings have for one wind.
    fn marks(&self, settings: &Settings, wind: Wind, angle: Option<Angle>) -> Vec<PlannedMark> {
        let controls = settings.controls.iter().filter_map(|index| self.book.controls.get(*index));
        let mark = |(control, column): (&Control, Option<Sided<Stretches>>)| {
            let setting = sided::at(&column?, wind);
            let text = format!("{} {}", control.name, sided::signed_mark(&control.scale, &setting));
            Some(PlannedMark { text, ground: sided::ground(&setting), exact: (wind, setting) })
        };
        controls.zip(columns_at(self.book, settings, angle)).filter_map(mark).collect()
    }
}

/// `force 4`, `force 3 to 4`.
fn force_words(low: Wind, high: Wind) -> Option<String> {
    let (least, most) = (beaufort::of(low)?.number, beaufort::of(high)?.number);
    Some(if least == most { format!("force {least}") } else { format!("force {least} to {most}") })
}

fn told(error: RightingError) -> Wrong {
    Wrong::new(error.what(), error.instead())
}
