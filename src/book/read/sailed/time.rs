//! When something was sailed, as people and spreadsheets write it. Knows one clock; reads no cell.

use jiff::civil::{DateTime, Time};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};

use crate::wrong::{Wrong, shown};

const EXAMPLE: &str = "write the day year first, then hours and minutes, like `2027-06-12 14:02`";
/// As some spreadsheets turn a day around when they save it; with dots between, it can be read in one way only.
const DAY_FIRST: [&str; 2] = ["%d.%m.%Y %H:%M", "%d.%m.%Y %H:%M:%S"];

/// A moment: `2027-06-12 14:02` on the clock of the zone, or with its own offset, `2027-06-12 14:02+02:00`.
///
/// # Errors
/// It is no day with a time, or the clock of the zone skips it or shows it twice.
pub fn moment(text: &str, zone: &TimeZone) -> Result<Timestamp, Wrong> {
    if let Ok(moment) = text.parse::<Timestamp>() {
        return Ok(moment);
    }
    let has_time = text.contains(':');
    let civil = text.parse::<DateTime>().ok().filter(|_| has_time && !text.contains('['));
    let civil = civil.or_else(|| DAY_FIRST.iter().find_map(|form| DateTime::strptime(form, text).ok()));
    let Some(civil) = civil else {
        return Err(Wrong::new(format!("{} is not a day and a time", shown(text)), EXAMPLE));
    };
    zone.to_ambiguous_zoned_datetime(civil).unambiguous().map(|zoned| zoned.timestamp()).map_err(|_| {
        Wrong::new(
            format!("the clock is changed over {}", shown(text)),
            "write its distance from UTC as well, like `2027-10-31 02:30+01:00`",
        )
    })
}

/// The end of a note: a moment, or the time alone, `14:12`, which is the next one after its beginning.
///
/// # Errors
/// As [`moment`], or it is a time alone and nobody knows of which day.
pub fn end(text: &str, from: Option<Timestamp>, zone: &TimeZone) -> Result<Timestamp, Wrong> {
    let Ok(time) = Time::strptime("%H:%M", text) else { return moment(text, zone) };
    let unknown =
        || Wrong::new(format!("{} has no day, and `when` has none that it could be of", shown(text)), EXAMPLE);
    let from = ZonedDateTime::new(from.ok_or_else(unknown)?, zone.clone());
    let on = |day: jiff::civil::Date| zone.to_zoned_datetime(day.to_datetime(time)).ok();
    let today = on(from.date()).filter(|end| *end > from);
    let next = || from.date().tomorrow().ok().and_then(on);
    today.or_else(next).map(|end| end.timestamp()).ok_or_else(unknown)
}
