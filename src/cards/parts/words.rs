//! What several kinds of card say in the same words: sails, winds, limits, ends of a scale. Lays nothing out.

use crate::book::quantity::METRES_PER_NAUTICAL_MILE;
use crate::book::{Book, Control, PointOfSail, SailKind, Settings, WindKind, WindUnit};
use crate::tuning::{Ground, Scale, mark};

/// A letter of a two-way scale and the word it stands for, where it is one of the trade's: `W windward`.
pub fn end_words(end: &str) -> String {
    let word = match end {
        "W" => "windward",
        "L" => "leeward",
        "P" => "port",
        "S" => "starboard",
        _ => return end.to_owned(),
    };
    format!("{end} {word}")
}

/// Both ends of what a control does inside a band; the unit once.
pub fn span_words(scale: &Scale, low: f64, high: f64) -> String {
    match scale.unit() {
        Some(unit) => format!("{} to {} {unit}", mark::print_decimal(low), mark::print_decimal(high)),
        None => format!("{} to {}", scale.print(low), scale.print(high)),
    }
}

/// A control's limits as a caution.
pub fn limit_words(control: &Control) -> Vec<String> {
    let words = |verb: &str, limit: &crate::book::Limit| {
        let why = limit.why.as_ref().map(|why| format!(" ({why})")).unwrap_or_default();
        format!("{}: never {verb} {}{why}", control.name, control.scale.print(limit.reading.value))
    };
    let above = control.never_above.as_ref().map(|limit| words("above", limit));
    let below = control.never_below.as_ref().map(|limit| words("below", limit));
    above.into_iter().chain(below).collect()
}

/// The sails by name, most telling first: what is set forward, then the mainsail.
pub fn sail_names(book: &Book, settings: &Settings) -> Vec<String> {
    let sails = settings.sails.iter().filter_map(|id| book.sail(&id.value));
    let (main, others): (Vec<_>, Vec<_>) = sails.partition(|sail| sail.kind == SailKind::Mainsail);
    others.into_iter().chain(main).map(|sail| sail.name.clone()).collect()
}

pub fn point_of_sail(point: PointOfSail) -> &'static str {
    match point {
        PointOfSail::Upwind => "upwind",
        PointOfSail::CloseReach => "close reach",
        PointOfSail::BeamReach => "beam reach",
        PointOfSail::BroadReach => "broad reach",
        PointOfSail::Downwind => "downwind",
    }
}

pub fn wind_unit(unit: WindUnit) -> &'static str {
    match unit {
        WindUnit::Knot => "kn",
        WindUnit::MetrePerSecond => "m/s",
    }
}

/// Knots in a metre per second, exact: a knot is a nautical mile in 3600 s (NIST SP 811, appendix B.8).
const KNOTS_PER_METRE_PER_SECOND: f64 = 3600.0 / METRES_PER_NAUTICAL_MILE;
/// Digits that survive a conversion there and back.
const WIND_STEPS: f64 = 1e6;

/// A wind speed as a number in the book's unit.
pub fn wind_number(wind_kn: f64, unit: WindUnit) -> String {
    mark::print_decimal((wind_in(wind_kn, unit) * WIND_STEPS).round() / WIND_STEPS)
}

/// A wind speed in the book's unit.
pub fn wind_in(wind_kn: f64, unit: WindUnit) -> f64 {
    match unit {
        WindUnit::Knot => wind_kn,
        WindUnit::MetrePerSecond => wind_kn / KNOTS_PER_METRE_PER_SECOND,
    }
}

/// What the rows' winds are: `true wind, masthead, calibrated 2027-04-11`.
pub fn wind_words(book: &Book) -> String {
    let Some(source) = &book.wind_source else { return "true wind".to_owned() };
    let kind = match source.kind {
        WindKind::True => "true wind",
        WindKind::Apparent => "apparent wind",
    };
    let sensor = source.sensor.as_ref().map(|sensor| format!(", {sensor}")).unwrap_or_default();
    let calibrated = source.calibrated.as_ref().map(|day| format!(", calibrated {day}")).unwrap_or_default();
    format!("{kind}{sensor}{calibrated}")
}

/// The sign that stands before a number of this ground, if it has one.
pub fn ground_sign(ground: Ground) -> Option<&'static str> {
    match ground {
        Ground::Sailed => Some("●"),
        Ground::CarriedOver => Some("»"),
        Ground::Adjusted => Some("±"),
        Ground::Between | Ground::Outside => None,
    }
}

/// A number as its ground lets it be printed, without the sign: brackets where nothing was sailed.
pub fn grounded(text: &str, ground: Ground) -> String {
    if ground == Ground::Outside { format!("({text})") } else { text.to_owned() }
}

/// What a legend says of a ground.
pub fn ground_legend(ground: Ground) -> &'static str {
    match ground {
        Ground::Sailed => "● sailed",
        Ground::Between => "no sign: between sailed winds",
        Ground::Outside => "( ) beyond any sailed wind",
        Ground::CarriedOver => "» carried over from another sail",
        Ground::Adjusted => "± adjusted, not sailed",
    }
}

/// A wind speed of the book's unit in knots.
pub fn wind_kn(wind: f64, unit: WindUnit) -> f64 {
    match unit {
        WindUnit::Knot => wind,
        WindUnit::MetrePerSecond => wind * KNOTS_PER_METRE_PER_SECOND,
    }
}

/// Someone's words for a thing, ready to stand after `the`.
pub fn after_the(words: &str) -> &str {
    words.strip_prefix("the ").unwrap_or(words)
}

/// A wind rounded to half a unit of the book's, as a crew reads it.
pub fn to_half(wind: f64) -> f64 {
    (wind * 2.0).round() / 2.0
}
