//! Logs of an invented boat, made up second by second, as a table and as sentences.

use std::fmt::Write as _;

use jiff::{SignedDuration, Timestamp};

/// What the instruments show; the wind from port has an angle below 0.
#[derive(Clone, Copy, Debug)]
pub struct Shown {
    pub tws: f64,
    pub twa: f64,
    pub stw: f64,
    pub heading: f64,
}

/// On the wind in 12 kn, starboard tack.
pub const STEADY: Shown = Shown { tws: 12.0, twa: 42.0, stw: 6.5, heading: 200.0 };

/// 2027-06-12 14:00 in a zone two hours ahead of UTC.
pub fn start() -> Timestamp {
    "2027-06-12T12:00:00Z".parse().expect("a time")
}

/// So many seconds after the start.
pub fn at(second: i64) -> Timestamp {
    start() + SignedDuration::from_secs(second)
}

pub const HEAD: &str = "time, tws kn, twa deg, stw kn, heading deg\n";

/// A line of a table.
pub fn row(second: i64, shown: Shown) -> String {
    format!("{}, {:.3}, {:.3}, {:.4}, {:.2}\n", at(second), shown.tws, shown.twa, shown.stw, shown.heading)
}

/// A table.
pub fn table(seconds: impl IntoIterator<Item = i64>, shown: impl Fn(i64) -> Shown) -> String {
    let rows = seconds.into_iter().map(|second| row(second, shown(second)));
    std::iter::once(HEAD.to_owned()).chain(rows).collect()
}

/// A sentence with its check and its line end.
pub fn sentence(body: &str) -> String {
    let check = body.bytes().fold(0, |sum, byte| sum ^ byte);
    format!("${body}*{check:02X}\r\n")
}

/// The sentence that tells a time.
pub fn rmc(second: i64) -> String {
    let time = jiff::tz::Offset::UTC.to_datetime(at(second));
    sentence(&format!("GPRMC,{},A,,,,,,,{},,", time.strftime("%H%M%S"), time.strftime("%d%m%y")))
}

/// Sentences: the time, then the wind, the speed and the heading.
pub fn sentences(seconds: impl IntoIterator<Item = i64>, shown: impl Fn(i64) -> Shown) -> String {
    let mut log = String::new();
    for second in seconds {
        let Shown { tws, twa, stw, heading } = shown(second);
        log += &rmc(second);
        log += &sentence(&format!("WIMWV,{:.2},T,{tws:.3},N,A", twa.rem_euclid(360.0)));
        log += &sentence(&format!("VWVHW,,T,,M,{stw:.4},N,,K"));
        let _ = write!(log, "{}", sentence(&format!("HCHDT,{heading:.2},T")));
    }
    log
}
