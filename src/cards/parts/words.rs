//! What several kinds of card say in the same words: sails, winds, limits, ends of a scale. Lays nothing out.

use serde::{Serialize, Serializer};

use crate::book::{Book, Control, PointOfSail, SailKind, Settings, WindKind, WindUnit};
use crate::tuning::range::Narrowed;
use crate::tuning::{Angle, Band, Figure, Ground, Scale, Side, Sided, Span, Wind, mark};

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

/// What to set in a band: `4½`, `4 to 5½`; the unit once.
pub fn figure_words(scale: &Scale, figure: Figure) -> String {
    match (figure, scale.unit()) {
        (Figure::One(mark), _) => scale.print(mark),
        (Figure::Both(first, last), Some(unit)) => {
            format!("{} to {} {unit}", mark::print_decimal(first), mark::print_decimal(last)).trim_end().to_owned()
        }
        (Figure::Both(first, last), None) => format!("{} to {}", scale.print(first), scale.print(last)),
    }
}

/// A reading beside another of the same control that has the unit: `90`.
pub fn bare_words(scale: &Scale, reading: f64) -> String {
    scale.unit().map_or_else(|| scale.print(reading), |_| mark::print_decimal(reading))
}

/// The words of a limit: `NEVER PAST 7`, `NEVER BELOW 2`.
pub fn never(is_above: bool, reading: &str) -> String {
    format!("NEVER {} {reading}", if is_above { "PAST" } else { "BELOW" })
}

/// A limit as it is printed. In the content it is one sentence, which says the same whatever words a card prints.
#[derive(Clone, Debug, PartialEq)]
pub struct LimitWords {
    /// The sentence that the stamp is made from.
    pub content: String,
    /// What must be read: `Backstay NEVER PAST 7`.
    pub printed: String,
    /// Small print, where the book gives a reason: `Backstay: 180 bar at mark 7`.
    pub why: Option<String>,
}

impl Serialize for LimitWords {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.content)
    }
}

/// Stands beside every limit of a control.
pub const WITHIN_MAKERS_LIMITS: &str = "Keep within the makers' working limits.";

/// What must be read of some limits and of what goes with them, in one paragraph.
pub fn boxed_limits(limits: &[LimitWords], rest: &str) -> String {
    let printed: Vec<&str> = limits.iter().map(|limit| limit.printed.as_str()).collect();
    if printed.is_empty() { rest.to_owned() } else { format!("{}. {rest}", printed.join(" · ")) }
}

/// The reasons of some limits, as small print.
pub fn reasons(limits: &[LimitWords]) -> Option<String> {
    let reasons: Vec<&str> = limits.iter().filter_map(|limit| limit.why.as_deref()).collect();
    (!reasons.is_empty()).then(|| format!("Limits: {}.", reasons.join(" · ")))
}

/// A control's limits as a caution.
pub fn limit_words(control: &Control) -> Vec<LimitWords> {
    let words = |is_above: bool, limit: &crate::book::Limit| {
        let verb = if is_above { "above" } else { "below" };
        let why = limit.why.as_ref().map(|why| format!(" ({why})")).unwrap_or_default();
        let printed = Side::BOTH.map(|side| control.scale.print(control.reading_on(side, limit.reading.value)));
        let [port, starboard] = printed;
        let mark = Sided::Each { port, starboard }.words();
        LimitWords {
            content: format!("{}: never {verb} {mark}{why}", control.name),
            printed: format!("{} {}", control.name, never(is_above, &mark)),
            why: limit.why.as_ref().map(|why| format!("{}: {why}", control.name)),
        }
    };
    let above = control.never_above.as_ref().map(|limit| words(true, limit));
    let below = control.never_below.as_ref().map(|limit| words(false, limit));
    above.into_iter().chain(below).collect()
}

/// The sails by name, most telling first: what is set forward, then the mainsail.
pub fn sail_names(book: &Book, settings: &Settings) -> Vec<String> {
    let sails = settings.sails.iter().filter_map(|id| book.sail(&id.value));
    let (main, others): (Vec<_>, Vec<_>) = sails.partition(|sail| sail.kind == SailKind::Mainsail);
    others.into_iter().chain(main).map(|sail| sail.name.clone()).collect()
}

/// What the cards of some settings are called: `J1 + Main, upwind`, and their title if they have one.
pub fn called(book: &Book, settings: &Settings) -> String {
    let title = settings.title.as_ref().map(|title| format!(", {title}")).unwrap_or_default();
    format!("{}, {}{title}", sail_names(book, settings).join(" + "), course_words(settings))
}

/// The course that settings are for: `upwind`, `50° to 110°`, `close reach, 55° to 80°`.
pub fn course_words(settings: &Settings) -> String {
    let point = point_of_sail(settings.point_of_sail);
    let Some(angled) = &settings.angled else { return point.to_owned() };
    let span = angled.span().map(|(low, high)| angle_span(low, high)).unwrap_or_default();
    if angled.names_point_of_sail { format!("{point}, {span}") } else { span }
}

/// A range of angles: `50° to 70°`.
pub fn angle_span(low: Angle, high: Angle) -> String {
    format!("{} to {}", low.print(), high.print())
}

/// As cards print it and `--point-of-sail` takes it, with a hyphen for the gap: `close reach`.
pub fn point_of_sail(point: PointOfSail) -> &'static str {
    match point {
        PointOfSail::Upwind => "upwind",
        PointOfSail::CloseReach => "close reach",
        PointOfSail::BeamReach => "beam reach",
        PointOfSail::BroadReach => "broad reach",
        PointOfSail::Downwind => "downwind",
    }
}

/// A range of winds as it is printed, without the unit: `13 to 16½`.
pub fn wind_span(winds: impl Into<Span>, unit: WindUnit) -> String {
    let winds = winds.into();
    format!("{} to {}", winds.low.print(unit), winds.high.print(unit))
}

/// A range of winds with its unit: `13 to 16½ kn`.
pub fn winds_with_unit(winds: impl Into<Span>, unit: WindUnit) -> String {
    format!("{} {}", wind_span(winds, unit), unit.symbol())
}

/// The winds of bands that follow each other, from the lowest to the highest, with their unit; nothing of no band.
pub fn winds_of_bands(bands: &[Band], unit: WindUnit) -> Option<String> {
    let (first, last) = bands.first().zip(bands.last())?;
    Some(winds_with_unit(Span { low: first.low, high: last.high }, unit))
}

/// A range of winds with its unit, as far as its ends are known: `5 to 16 kn`, `from 20 kn`; nothing where neither is.
pub fn open_span(winds: Span, unit: WindUnit) -> Option<String> {
    match (winds.low > Wind::CALM, winds.high.is_finite()) {
        (true, true) => Some(winds_with_unit(winds, unit)),
        (false, true) => Some(format!("up to {}", winds.high.print_with_unit(unit))),
        (true, false) => Some(format!("from {}", winds.low.print_with_unit(unit))),
        (false, false) => None,
    }
}

/// What a sail that is not what it was is for now: `J1: luff torn; 5 to 12 kn now, was 5 to 16`.
pub fn narrowed_words(narrowed: &Narrowed, unit: WindUnit) -> String {
    let now = narrowed.now.map_or_else(|| Some("no use".to_owned()), |now| open_span(now, unit)).unwrap_or_default();
    let was = match (narrowed.made, narrowed.now) {
        (Some(made), Some(_)) => format!(", was {}", wind_span(made, unit)),
        (Some(made), None) => format!(", was {}", winds_with_unit(made, unit)),
        (None, _) => String::new(),
    };
    let status = narrowed.status.as_ref().map(|status| format!(" {status};")).unwrap_or_default();
    format!("{}:{status} {now} now{was}", narrowed.sail)
}

/// Of some settings, each sail that is for less than it was made for.
pub fn narrowed_sails(book: &Book, settings: &Settings) -> Vec<String> {
    book.range_of(settings).narrowed().iter().map(|narrowed| narrowed_words(narrowed, book.units.wind)).collect()
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
        Ground::Repeated => Some("◆"),
        Ground::Proven => Some("★"),
        Ground::Disputed => Some("≠"),
        Ground::CarriedOver => Some("»"),
        Ground::Adjusted => Some("±"),
        Ground::Between | Ground::Outside => None,
    }
}

/// A known row beside what to set: `● 4 at 14`.
pub fn known_words(mark: &str, wind: &str, ground: Ground) -> String {
    let sign = ground_sign(ground).map(|sign| format!("{sign} ")).unwrap_or_default();
    format!("{sign}{mark} at {wind}")
}

/// How many more rows are known than are told.
pub fn more_words(more: usize) -> Option<String> {
    (more > 0).then(|| format!("and {more} more"))
}

/// A number as its ground lets it be printed, without the sign: brackets where nothing was sailed.
pub fn grounded(text: &str, ground: Ground) -> String {
    if ground == Ground::Outside { format!("({text})") } else { text.to_owned() }
}

/// A number with its sign or its brackets: `● 4`, `(4)`.
pub fn signed(text: &str, ground: Ground) -> String {
    let sign = ground_sign(ground).map(|sign| format!("{sign} ")).unwrap_or_default();
    format!("{sign}{}", grounded(text, ground))
}

/// What a legend says of a ground.
pub fn ground_legend(ground: Ground) -> &'static str {
    match ground {
        Ground::Sailed => "● sailed",
        Ground::Repeated => "◆ fast on three days or more",
        Ground::Proven => "★ proven in trials",
        Ground::Disputed => "≠ fast at both, more than a mark apart",
        Ground::Between => "no sign: between sailed winds",
        Ground::Outside => "( ) beyond any sailed wind",
        Ground::CarriedOver => "» carried over from another sail",
        Ground::Adjusted => "± adjusted, not sailed",
    }
}

/// Someone's words for a thing, ready to stand after `the`.
pub fn after_the(words: &str) -> &str {
    words.strip_prefix("the ").unwrap_or(words)
}
