//! Notes for the tests of what was sailed: of our own invention, and short to write.

use cockpit_cards::season::{Note, Noted, Reading, Verdict};
use cockpit_cards::tuning::Wind;
use jiff::Timestamp;

/// A moment on the clock of the tests: `2027-06-12 14:02`.
pub fn at(moment: &str) -> Timestamp {
    format!("{}Z", moment.replace(' ', "T") + ":00").parse().unwrap()
}

/// A reading that stood still.
pub fn one(reading: f64) -> Noted {
    Noted::One(Reading { least: reading, greatest: reading })
}

/// A note of `upwind` with one control, and nothing else noted.
pub fn note(when: &str, wind_kn: f64, control: &str, reading: Noted) -> Note {
    Note {
        line: 1,
        when: Some(at(when)),
        until: None,
        settings: "upwind".to_owned(),
        wind: Some(Wind::knots(wind_kn)),
        angle: None,
        sea: None,
        below: None,
        helm: None,
        trial: None,
        readings: vec![(control.to_owned(), reading)],
        speed: None,
        verdict: None,
        who: None,
        remark: None,
        found: None,
    }
}

/// The same with the verdict `fast`.
pub fn fast(when: &str, wind_kn: f64, control: &str, reading: Noted) -> Note {
    Note { verdict: Some(Verdict::Fast), ..note(when, wind_kn, control, reading) }
}
