//! Times to be somewhere as a calendar file (RFC 5545), for telephones. Knows moments and words, not what they are about.

use icalendar::{Calendar, Component, Event, Property};
use jiff::Timestamp;

/// An entry of a calendar.
#[derive(Clone, Debug, PartialEq)]
pub struct Entry<'a> {
    /// The same for the same entry in every run; unlike that of any other.
    pub uid: String,
    /// When it begins.
    pub from: Timestamp,
    /// When it ends.
    pub to: Timestamp,
    /// What it is called.
    pub title: &'a str,
    /// What else is known of it, a line each.
    pub words: &'a [String],
}

/// A moment in UTC as the standard writes it, which needs no table of time zones: `20270612T174000Z` (RFC 5545, 3.3.5, form 2).
///
/// ```
/// use cockpit_cards::output::calendar::utc;
///
/// let start: jiff::Timestamp = "2027-06-12T18:40:00+01:00".parse()?;
/// assert_eq!(utc(start), "20270612T174000Z");
/// # Ok::<(), jiff::Error>(())
/// ```
pub fn utc(moment: Timestamp) -> String {
    moment.strftime("%Y%m%dT%H%M%SZ").to_string()
}

/// The file. Nothing in it hangs on the day it is made: `made` stands as the moment of every entry.
pub fn calendar(name: &str, made: Timestamp, entries: &[Entry<'_>]) -> String {
    let mut calendar = Calendar::empty();
    calendar.append_property(Property::new("VERSION", "2.0"));
    let producer = concat!("-//", env!("CARGO_PKG_NAME"), "//", env!("CARGO_PKG_VERSION"), "//EN");
    calendar.append_property(Property::new("PRODID", producer));
    calendar.append_property(Property::new("CALSCALE", "GREGORIAN"));
    calendar.name(name);
    for entry in entries {
        let mut event = Event::new();
        event.uid(&entry.uid);
        event.add_property("DTSTAMP", utc(made));
        event.add_property("DTSTART", utc(entry.from));
        event.add_property("DTEND", utc(entry.to));
        event.summary(entry.title);
        event.description(&entry.words.join("\n"));
        // Whoever looks at the telephone's owner as busy need not know of a watch.
        event.add_property("TRANSP", "TRANSPARENT");
        calendar.push(event.done());
    }
    calendar.to_string()
}
