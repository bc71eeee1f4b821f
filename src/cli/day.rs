//! Which day it is, and days on the command line. The only place that asks the clock for a day.

use cockpit_cards::date;
use cockpit_cards::wrong::Wrong;

/// A day on the calendar, year first: `2027-05-01`. Two of them compare as they follow each other.
pub type Day = String;

/// The day on this machine's calendar, whatever day it is in Greenwich; the environment's `TZ` counts.
pub fn today() -> Day {
    jiff::ZonedDateTime::now().date().to_string()
}

/// A day as it is typed after a flag.
pub fn typed(text: &str) -> Result<Day, Wrong> {
    date::check(text).map(|()| text.to_owned())
}
