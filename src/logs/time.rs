//! The time of a record as a table of a log writes it. Knows no table.

use jiff::civil::{Date, DateTime, Time};
use jiff::tz::{AmbiguousOffset, Offset, TimeZone};
use jiff::{SignedDuration, Timestamp};

use super::told::What;

/// Numbers below this count seconds since 1970, up to the year 5138; larger ones count less than seconds. Nobody logged in 1970.
const MOST_SECONDS: f64 = 1e11;
/// Numbers below this count milliseconds.
const MOST_MILLIS: f64 = 1e14;
/// Fewer seconds since 1970 than this count from something else, such as the start of the log: it would be 1973.
const LEAST_SECONDS: f64 = 1e8;
/// A clock that goes back by more than this has passed midnight.
const MIDNIGHT: SignedDuration = SignedDuration::from_hours(12);

/// What a table and whoever reads it know about its times.
#[derive(Debug)]
pub struct Reckoning {
    zone: Option<TimeZone>,
    day: Option<Date>,
    clock: Option<Time>,
}

/// A time as it is written.
#[derive(Default)]
struct Written {
    date: Option<Date>,
    time: Option<Time>,
    offset: Option<Offset>,
}

impl Reckoning {
    /// The zone of times without one, and the day that times without one begin on.
    pub fn new(zone: Option<TimeZone>, day: Option<Date>) -> Self {
        Reckoning { zone, day, clock: None }
    }

    /// The times of this table are UTC unless they say otherwise.
    pub fn is_utc(&mut self) {
        self.zone = Some(TimeZone::UTC);
    }

    /// Reads the time of a record, with its day in a cell of its own if there is one. `last`: the time of the record before.
    pub fn read(&mut self, date: Option<&str>, cell: &str, last: Option<Timestamp>) -> Result<Timestamp, What> {
        if date.is_none() && !cell.contains(':') {
            return since_1970(cell).ok_or(What::UnreadableTime);
        }
        let mut written = written(cell)?;
        if let Some(date) = date {
            written.date = Some(self::date(date.trim())?);
        }
        let time = written.time.ok_or(What::UnreadableTime)?;
        let date = match written.date {
            Some(date) => date,
            None => self.day_of(time)?,
        };
        let civil = DateTime::from_parts(date, time);
        match written.offset {
            Some(offset) => offset.to_timestamp(civil).map_err(|_| What::UnreadableTime),
            None => self.in_zone(civil, last),
        }
    }

    /// The day of a time without one.
    fn day_of(&mut self, time: Time) -> Result<Date, What> {
        let day = self.day.ok_or(What::NoDay)?;
        let has_passed_midnight = self.clock.is_some_and(|clock| clock.duration_since(time) > MIDNIGHT);
        let day = if has_passed_midnight { day.tomorrow().map_err(|_| What::UnreadableTime)? } else { day };
        (self.day, self.clock) = (Some(day), Some(time));
        Ok(day)
    }

    /// In the night when clocks go back an hour comes twice: the second time if the record before was of later in the first.
    fn in_zone(&self, civil: DateTime, last: Option<Timestamp>) -> Result<Timestamp, What> {
        let zone = self.zone.as_ref().ok_or(What::NoZone)?;
        let (offset, later) = match zone.to_ambiguous_timestamp(civil).offset() {
            AmbiguousOffset::Unambiguous { offset } => (offset, None),
            AmbiguousOffset::Gap { before, .. } => (before, None),
            AmbiguousOffset::Fold { before, after } => (before, Some(after)),
        };
        let stamp = |offset: Offset| offset.to_timestamp(civil).map_err(|_| What::UnreadableTime);
        let first = stamp(offset)?;
        match later {
            Some(later) if last.is_some_and(|last| last > first) => stamp(later),
            _ => Ok(first),
        }
    }
}

fn since_1970(cell: &str) -> Option<Timestamp> {
    const MILLI: f64 = 1e-3;
    const MICRO: f64 = 1e-6;
    let number: f64 = cell.trim().replacen(',', ".", 1).parse().ok()?;
    let seconds = match number.abs() {
        size if size < MOST_SECONDS => number,
        size if size < MOST_MILLIS => number * MILLI,
        _ => number * MICRO,
    };
    let is_since_1970 = (LEAST_SECONDS..MOST_SECONDS).contains(&seconds);
    // A cast of what is in these bounds loses nothing but less than a microsecond.
    is_since_1970.then(|| Timestamp::from_microsecond((seconds / MICRO).round() as i64).ok())?
}

/// `2027-06-12T14:02:00.5+02:00`, `2027-06-12 14:02`, `14:02:00 UTC`, `12.06.2027 14:02`.
fn written(text: &str) -> Result<Written, What> {
    let text = text.trim();
    // What stands in brackets repeats the zone by its name.
    let text = text.split('[').next().unwrap_or(text);
    let first_colon = text.find(':').ok_or(What::UnreadableTime)?;
    let gap = text[..first_colon].find(['T', 't', ' ']);
    let (day, clock) = match gap {
        Some(gap) => (Some(&text[..gap]), &text[gap + 1..]),
        None => (None, text),
    };
    let date = day.map(|day| date(day.trim())).transpose()?;
    let (clock, offset) = zone(clock.trim()).ok_or(What::UnreadableTime)?;
    Ok(Written { date, time: Some(time(clock).ok_or(What::UnreadableTime)?), offset })
}

fn date(text: &str) -> Result<Date, What> {
    let separator = text.find(['-', '/', '.']).map(|at| text.as_bytes()[at] as char).ok_or(What::UnreadableTime)?;
    let mut parts = text.split(separator);
    let mut next = || parts.next().filter(|part| is_digits(part)).ok_or(What::UnreadableTime);
    let (first, second, third) = (next()?, next()?, next()?);
    if parts.next().is_some() {
        return Err(What::UnreadableTime);
    }
    let (year, month, day) = match (first.len(), separator) {
        (4, _) => (first, second, third),
        // With points the day comes first wherever days are written so.
        (_, '.') if third.len() == 4 => (third, second, first),
        _ if third.len() == 4 => return Err(What::WhichDay),
        _ => return Err(What::UnreadableTime),
    };
    let number = |text: &str| text.parse::<i8>().map_err(|_| What::UnreadableTime);
    let year = year.parse::<i16>().map_err(|_| What::UnreadableTime)?;
    Date::new(year, number(month)?, number(day)?).map_err(|_| What::UnreadableTime)
}

/// What is left of a time of day without its zone, and the zone.
fn zone(text: &str) -> Option<(&str, Option<Offset>)> {
    for suffix in ["Z", "z", "UTC", "GMT"] {
        if let Some(clock) = text.strip_suffix(suffix) {
            return Some((clock.trim_end(), Some(Offset::UTC)));
        }
    }
    let Some(at) = text.find(['+', '-', '−']) else { return Some((text, None)) };
    let (clock, offset) = text.split_at(at);
    let sign = if offset.starts_with('+') { 1 } else { -1 };
    let digits: String = offset.chars().skip(1).filter(|character| *character != ':').collect();
    if !is_digits(&digits) || !matches!(digits.len(), 2 | 4) {
        return None;
    }
    let hours: i32 = digits[..2].parse().ok()?;
    let minutes: i32 = digits.get(2..4).filter(|rest| !rest.is_empty()).map_or(Some(0), |rest| rest.parse().ok())?;
    const MINUTE: i32 = 60;
    let offset = Offset::from_seconds(sign * (hours * MINUTE + minutes) * MINUTE).ok()?;
    Some((clock.trim_end(), Some(offset)))
}

/// `14:02`, `14:02:00`, `14:02:00.25`.
fn time(text: &str) -> Option<Time> {
    let (whole, fraction) = text.split_once(['.', ',']).unwrap_or((text, "0"));
    let mut parts = whole.split(':');
    let mut next = || parts.next().map(|part| if is_digits(part) { part.parse::<i8>().ok() } else { None });
    let (hour, minute, second) = (next()??, next()??, next().unwrap_or(Some(0))?);
    if parts.next().is_some() || !is_digits(fraction) {
        return None;
    }
    const NANO_DIGITS: usize = 9;
    let digits = &fraction[..fraction.len().min(NANO_DIGITS)];
    let nanos: i32 = format!("{digits:0<NANO_DIGITS$}").parse().ok()?;
    // A second that is put in between is told as the one before.
    const LAST_SECOND: i8 = 59;
    let second = if second == LAST_SECOND + 1 { LAST_SECOND } else { second };
    Time::new(hour, minute, second, nanos).ok()
}

fn is_digits(text: &str) -> bool {
    !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit())
}
