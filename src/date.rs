//! A day on the calendar, written year first: `2027-04-11`. Knows no clock and not what day it is today.

use crate::wrong::{Wrong, shown};

const EXAMPLE: &str = "write a day year first, like `2027-04-11`";
const MONTHS: u32 = 12;
const FEBRUARY: u32 = 2;
/// February is last of these; the Gregorian rule decides its length.
const MONTHS_OF_THIRTY: [u32; 4] = [4, 6, 9, 11];

/// Whether `text` is a day of the Gregorian calendar in the extended form of ISO 8601.
pub fn check(text: &str) -> Result<(), Wrong> {
    if text.trim().is_empty() {
        return Err(Wrong::new("no day is given", EXAMPLE));
    }
    let Some((year, month, day)) = parts(text) else {
        return Err(Wrong::new(format!("{} is not a day", shown(text)), EXAMPLE));
    };
    if !(1..=MONTHS).contains(&month) {
        return Err(Wrong::new(format!("{} has no month {month}", shown(text)), EXAMPLE));
    }
    if !(1..=days_in(year, month)).contains(&day) {
        let what = format!("{} does not exist: that month has {} days", shown(text), days_in(year, month));
        return Err(Wrong::new(what, EXAMPLE));
    }
    Ok(())
}

/// Whether a day is named somewhere in a sentence.
pub fn is_in(sentence: &str) -> bool {
    sentence.split(|c: char| !(c.is_ascii_digit() || c == '-')).any(|word| check(word).is_ok())
}

/// The last day that is named in a sentence.
pub fn last_in(sentence: &str) -> Option<&str> {
    let words = sentence.split(|c: char| !(c.is_ascii_digit() || c == '-')).filter(|word| check(word).is_ok());
    words.max()
}

/// Year, month and day of `YYYY-MM-DD`.
fn parts(text: &str) -> Option<(u32, u32, u32)> {
    let mut parts = text.split('-').map(|part| {
        let digits = part.bytes().all(|byte| byte.is_ascii_digit());
        digits.then(|| part.parse::<u32>().ok().map(|number| (part.len(), number))).flatten()
    });
    match (parts.next()??, parts.next()??, parts.next()??, parts.next()) {
        ((4, year), (2, month), (2, day), None) => Some((year, month, day)),
        _ => None,
    }
}

fn days_in(year: u32, month: u32) -> u32 {
    let leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        FEBRUARY if leap => 29,
        FEBRUARY => 28,
        _ if MONTHS_OF_THIRTY.contains(&month) => 30,
        _ => 31,
    }
}
