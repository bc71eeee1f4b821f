//! Numbers with units: `25 mm`, `3/8 in`, `5 ft 2 in`, `1800 psi`, `11 kn`. Knows how much a unit is, not what it is for.
//!
//! Every conversion is exact by definition (NIST SP 811, appendix B).

use crate::wrong::{Wrong, shown};
use std::ops::RangeInclusive;

use super::model::{LengthUnit, MassUnit, PressureUnit, Spanned, Units, WindUnit};
use super::number;
use super::problem::Problem;
use super::tree::Node;
use crate::length::{Length, MM_PER_INCH};
use crate::tuning::mark::{MINUS, print_decimal};
use crate::tuning::tolerance::is_same;
use crate::tuning::{Angle, Axis, BoatSpeed, METRES_PER_NAUTICAL_MILE, Span, Wind};

/// Significant figures of the end of what is allowed: it is a bound of reason, and nobody measures up to it.
const FIGURES: f64 = 4.0;
/// Inches in a foot.
const INCHES_PER_FOOT: f64 = 12.0;
const SECONDS_PER_HOUR: f64 = 3600.0;
const SECONDS_PER_MINUTE: f64 = 60.0;
/// The avoirdupois pound (NIST SP 811, appendix B.8).
const KG_PER_POUND: f64 = 0.453_592_37;
/// Newtons in a pound-force: the pound times standard gravity (NIST SP 811, appendix B.8).
pub(super) const NEWTON_PER_POUND_FORCE: f64 = 4.448_221_615_260_5;
/// Newtons in a kilogram-force: standard gravity (NIST SP 811, appendix B.8).
pub(super) const NEWTON_PER_KILOGRAM_FORCE: f64 = 9.806_65;
const PASCAL_PER_BAR: f64 = 1e5;
const METRES_PER_INCH: f64 = MM_PER_INCH / 1000.0;
const CM_PER_INCH: f64 = MM_PER_INCH / 10.0;
const KG_PER_TONNE: f64 = 1000.0;

/// What a number measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Dimension {
    /// Held in millimetres.
    Length,
    /// Of wind or boat; held in knots.
    Speed,
    /// Held in kilograms.
    Mass,
    /// Held in bar.
    Pressure,
    /// Held in degrees.
    Angle,
    /// Held in newtons.
    Force,
    /// Held in seconds.
    Duration,
    /// Moment that changes the trim; held in kg·m for each cm.
    MomentToTrim,
    /// Mass that sinks a boat; held in kg for each cm.
    MassToSink,
}

impl Dimension {
    const fn noun(self) -> &'static str {
        match self {
            Dimension::Length => "length",
            Dimension::Speed => "speed",
            Dimension::Mass => "mass",
            Dimension::Pressure => "pressure",
            Dimension::Angle => "angle",
            Dimension::Force => "force",
            Dimension::Duration => "duration",
            Dimension::MomentToTrim => "moment to change trim",
            Dimension::MassToSink => "mass to sink",
        }
    }

    /// With its article, as a sentence says it.
    fn article_and_noun(self) -> String {
        let article = if self == Dimension::Angle { "an" } else { "a" };
        format!("{article} {}", self.noun())
    }
}

/// One unit, by the name messages give it, with the other spellings it goes by.
#[derive(Debug, PartialEq)]
pub struct Unit {
    /// The unit's short name: `mm`.
    pub name: &'static str,
    spellings: &'static [&'static str],
    /// What a number in this unit measures.
    pub dimension: Dimension,
    /// How much of the dimension's own unit it is.
    pub factor: f64,
}

const fn unit(name: &'static str, spellings: &'static [&'static str], dimension: Dimension, factor: f64) -> Unit {
    Unit { name, spellings, dimension, factor }
}

static MILLIMETRE: Unit = unit("mm", &["millimetre", "millimetres", "millimeters"], Dimension::Length, 1.0);
static CENTIMETRE: Unit = unit("cm", &["centimetre", "centimetres", "centimeters"], Dimension::Length, 10.0);
static METRE: Unit = unit("m", &["metre", "metres", "meter", "meters"], Dimension::Length, 1000.0);
static INCH: Unit = unit("in", &["inch", "inches", "\"", "″", "”"], Dimension::Length, MM_PER_INCH);
static FOOT: Unit = unit("ft", &["foot", "feet", "'", "′", "’"], Dimension::Length, MM_PER_INCH * INCHES_PER_FOOT);
static KNOT: Unit = unit("kn", &["kt", "kts", "knot", "knots"], Dimension::Speed, 1.0);
static METRE_PER_SECOND: Unit = unit("m/s", &[], Dimension::Speed, SECONDS_PER_HOUR / METRES_PER_NAUTICAL_MILE);
static KILOMETRE_PER_HOUR: Unit = unit("km/h", &[], Dimension::Speed, 1000.0 / METRES_PER_NAUTICAL_MILE);
static KILOGRAM: Unit = unit("kg", &["kilo", "kilos"], Dimension::Mass, 1.0);
static TONNE: Unit = unit("t", &["tonne", "tonnes"], Dimension::Mass, 1000.0);
static POUND: Unit = unit("lb", &["lbs", "pound", "pounds"], Dimension::Mass, KG_PER_POUND);
static BAR: Unit = unit("bar", &[], Dimension::Pressure, 1.0);
static PSI: Unit = unit(
    "psi",
    &["lbf/in²"],
    Dimension::Pressure,
    NEWTON_PER_POUND_FORCE / (METRES_PER_INCH * METRES_PER_INCH) / PASCAL_PER_BAR,
);
static DEGREE: Unit = unit("deg", &["°", "degree", "degrees"], Dimension::Angle, 1.0);
static NEWTON: Unit = unit("N", &["newton", "newtons"], Dimension::Force, 1.0);
static KILONEWTON: Unit = unit("kN", &[], Dimension::Force, 1000.0);
static KILOGRAM_FORCE: Unit = unit("kgf", &[], Dimension::Force, NEWTON_PER_KILOGRAM_FORCE);
static POUND_FORCE: Unit = unit("lbf", &[], Dimension::Force, NEWTON_PER_POUND_FORCE);
static SECOND: Unit = unit("s", &["second", "seconds"], Dimension::Duration, 1.0);
static MINUTE: Unit = unit("min", &["minute", "minutes"], Dimension::Duration, SECONDS_PER_MINUTE);
static HOUR: Unit = unit("h", &["hour", "hours"], Dimension::Duration, SECONDS_PER_HOUR);
static KILOGRAM_METRE_PER_CENTIMETRE: Unit =
    unit("kg·m/cm", &["kg m/cm", "kg*m/cm", "kgm/cm"], Dimension::MomentToTrim, 1.0);
static TONNE_METRE_PER_CENTIMETRE: Unit =
    unit("t·m/cm", &["t m/cm", "t*m/cm", "tm/cm"], Dimension::MomentToTrim, KG_PER_TONNE);
static POUND_FOOT_PER_INCH: Unit = unit(
    "lb·ft/in",
    &["lb ft/in", "lb*ft/in", "ft·lb/in", "ft lb/in", "ft*lb/in"],
    Dimension::MomentToTrim,
    KG_PER_POUND * METRES_PER_INCH * INCHES_PER_FOOT / CM_PER_INCH,
);
static KILOGRAM_PER_CENTIMETRE: Unit = unit("kg/cm", &[], Dimension::MassToSink, 1.0);
static TONNE_PER_CENTIMETRE: Unit = unit("t/cm", &[], Dimension::MassToSink, KG_PER_TONNE);
static POUND_PER_CENTIMETRE: Unit = unit("lb/cm", &["lbs/cm"], Dimension::MassToSink, KG_PER_POUND);
static POUND_PER_INCH: Unit = unit("lb/in", &["lbs/in"], Dimension::MassToSink, KG_PER_POUND / CM_PER_INCH);

/// Every unit, those of one dimension together.
static UNITS: [&Unit; 28] = [
    &MILLIMETRE,
    &CENTIMETRE,
    &METRE,
    &INCH,
    &FOOT,
    &KNOT,
    &METRE_PER_SECOND,
    &KILOMETRE_PER_HOUR,
    &KILOGRAM,
    &TONNE,
    &POUND,
    &BAR,
    &PSI,
    &DEGREE,
    &NEWTON,
    &KILONEWTON,
    &KILOGRAM_FORCE,
    &POUND_FORCE,
    &SECOND,
    &MINUTE,
    &HOUR,
    &KILOGRAM_METRE_PER_CENTIMETRE,
    &TONNE_METRE_PER_CENTIMETRE,
    &POUND_FOOT_PER_INCH,
    &KILOGRAM_PER_CENTIMETRE,
    &TONNE_PER_CENTIMETRE,
    &POUND_PER_CENTIMETRE,
    &POUND_PER_INCH,
];

impl Units {
    /// What a bare number of that dimension is in. Degrees, newtons, minutes and the figures of trim are the same in every
    /// book.
    pub fn bare(&self, dimension: Dimension) -> &'static Unit {
        match dimension {
            Dimension::Length => match self.length {
                LengthUnit::Millimetre => &MILLIMETRE,
                LengthUnit::Centimetre => &CENTIMETRE,
                LengthUnit::Metre => &METRE,
                LengthUnit::Inch => &INCH,
                LengthUnit::Foot => &FOOT,
            },
            Dimension::Speed => match self.wind {
                WindUnit::Knot => &KNOT,
                WindUnit::MetrePerSecond => &METRE_PER_SECOND,
            },
            Dimension::Mass => match self.mass {
                MassUnit::Kilogram => &KILOGRAM,
                MassUnit::Pound => &POUND,
            },
            Dimension::Pressure => match self.pressure {
                PressureUnit::Bar => &BAR,
                PressureUnit::Psi => &PSI,
            },
            Dimension::Angle => &DEGREE,
            Dimension::Force => &NEWTON,
            Dimension::Duration => &MINUTE,
            Dimension::MomentToTrim => &KILOGRAM_METRE_PER_CENTIMETRE,
            Dimension::MassToSink => &KILOGRAM_PER_CENTIMETRE,
        }
    }
}

/// Reads a number with or without a unit into the dimension's own unit; a bare number is in `bare`.
///
/// ```
/// use cockpit_cards::book::quantity::{Dimension, parse};
/// use cockpit_cards::book::Units;
///
/// let bare = Units::default().bare(Dimension::Length);
/// assert_eq!(parse("1/4 in", bare), Ok(6.35));
/// assert_eq!(parse("5 ft 2 in", bare), Ok(62.0 * 25.4));
/// assert_eq!(parse("4 1/2", bare), Ok(4.5)); // millimetres; never forty-one halves
/// assert!(parse("25 kg", bare).is_err());
/// ```
pub fn parse(text: &str, bare: &'static Unit) -> Result<f64, Wrong> {
    let value = match terms(text).as_slice() {
        [(number, "")] => Ok(number::parse(number)? * bare.factor),
        [(number, name)] => {
            let unit = find(name, number, text, bare)?;
            Ok(number::parse(number)? * unit.factor)
        }
        [(feet, foot), (inches, inch)] if bare.dimension == Dimension::Length => {
            let (foot, inch) = (find(foot, feet, text, bare)?, find(inch, inches, text, bare)?);
            if (foot, inch) != (&FOOT, &INCH) {
                return Err(not_one_number(text, bare));
            }
            let (sign, feet) = match feet.strip_prefix(['-', MINUS]) {
                Some(feet) => (-1.0, feet),
                None => (1.0, *feet),
            };
            Ok(sign * (number::parse(feet)? * INCHES_PER_FOOT + number::parse(inches)?) * INCH.factor)
        }
        _ => Err(not_one_number(text, bare)),
    }?;
    if value.is_finite() { Ok(value) } else { Err(not_one_number(text, bare)) }
}

/// Reads a number that has no unit, with or without decimals.
pub fn parse_plain(text: &str) -> Result<f64, Wrong> {
    number::parse(text)
}

/// What a bare number of seconds is in, where nobody counts in minutes.
pub fn seconds() -> &'static Unit {
    &SECOND
}

fn not_one_number(text: &str, bare: &Unit) -> Wrong {
    Wrong::new(format!("{} is not one number", shown(text)), format!("write it like `{}`", example(bare)))
}

/// A number and the unit behind it, whatever unit that is: `60 bar`, `12 %`. `None` if there is no number, or two.
pub fn split(text: &str) -> Option<(&str, &str)> {
    match terms(text).as_slice() {
        [(number, name)] if !number.is_empty() => Some((number, name)),
        _ => None,
    }
}

/// Splits `5 ft 2 in` into its numbers, each with the unit that follows it.
fn terms(text: &str) -> Vec<(&str, &str)> {
    let mut terms = Vec::new();
    let mut rest = text.trim();
    while !rest.is_empty() {
        let (number, after) = rest.split_at(number_end(rest));
        let ends = |(at, character): (usize, char)| (at > 0 && starts_number(character)).then_some(at);
        let (name, next) = after.split_at(after.char_indices().find_map(ends).unwrap_or(after.len()));
        terms.push((number.trim(), name.trim()));
        rest = next.trim_start();
    }
    terms
}

/// Where the number ends that a text starts with. Words such as `nan` are numbers to whoever wrote them.
fn number_end(text: &str) -> usize {
    let word_end = text.find(|c: char| !c.is_ascii_alphabetic() && !matches!(c, '+' | '.')).unwrap_or(text.len());
    let word = text[..word_end].trim_start_matches(['+', '.']).to_lowercase();
    if matches!(word.as_str(), "nan" | "inf" | "infinity") {
        return word_end;
    }
    let exponent = |at: usize| {
        text[..at].ends_with(|c: char| c.is_ascii_digit())
            && text[at..]
                .trim_start_matches(['e', 'E'])
                .starts_with(|c: char| c.is_ascii_digit() || matches!(c, '+' | '-'))
    };
    let is_number = |at: usize, c: char| {
        starts_number(c)
            || c.is_whitespace()
            || matches!(c, '/' | ',' | '-' | MINUS | '⁄')
            || (matches!(c, 'e' | 'E') && exponent(at))
    };
    text.char_indices().find(|(at, c)| !is_number(*at, *c)).map_or(text.len(), |(at, _)| at)
}

fn starts_number(character: char) -> bool {
    character.is_ascii_digit() || matches!(character, '.' | '+' | '½' | '¼' | '¾' | '⅓' | '⅔' | '⅛' | '⅜' | '⅝' | '⅞')
}

/// The unit called `name`, if it measures what `bare` does.
fn find(name: &str, number: &str, text: &str, bare: &'static Unit) -> Result<&'static Unit, Wrong> {
    if name.is_empty() {
        return Err(not_one_number(text, bare));
    }
    let called = |unit: &&&Unit, name: &str| unit.name == name || unit.spellings.contains(&name);
    let exact = UNITS.iter().find(|unit| called(unit, name));
    let lower = name.to_lowercase();
    let loose = || UNITS.iter().find(|unit| unit.dimension == bare.dimension && called(unit, &lower));
    match exact.or_else(loose) {
        Some(unit) if unit.dimension == bare.dimension => Ok(unit),
        Some(unit) => Err(Wrong::new(
            format!(
                "{} is {}, not {}",
                shown(text),
                unit.dimension.article_and_noun(),
                bare.dimension.article_and_noun()
            ),
            format!("write it like `{}`", example(bare)),
        )),
        None if number.is_empty() => {
            Err(Wrong::new(format!("{} is not a number", shown(text)), format!("write it like `{}`", example(bare))))
        }
        None => {
            let known: Vec<&str> =
                UNITS.iter().filter(|unit| unit.dimension == bare.dimension).map(|unit| unit.name).collect();
            Err(Wrong::new(
                format!("{} is no unit of {}", shown(name), bare.dimension.noun()),
                format!("it is written in {}", known.join(", ")),
            ))
        }
    }
}

/// Whether two spellings mean one unit: `psi` and `lbf/in²`.
pub fn are_one_unit(one: &str, other: &str) -> bool {
    let called = |name: &str| UNITS.iter().find(|unit| unit.name == name || unit.spellings.contains(&name));
    let loose = |name: &str| called(name).or_else(|| called(&name.to_lowercase()));
    matches!((loose(one), loose(other)), (Some(one), Some(other)) if one == other)
}

/// How a quantity is written, in the book's own unit.
fn example(unit: &Unit) -> String {
    match unit.name {
        "in" => "3/8 in".to_owned(),
        "ft" => "5 ft 2 in".to_owned(),
        "psi" => "1800 psi".to_owned(),
        name => format!("25 {name}"),
    }
}

/// A quantity in its dimension's own unit; says so if it is none or lies outside `within`.
pub fn measure(
    node: &Node,
    bare: &'static Unit,
    what: &str,
    within: &RangeInclusive<f64>,
    problems: &mut Vec<Problem>,
) -> Option<f64> {
    let text = node.text(what, problems)?;
    match parse(text, bare).and_then(|value| allowed(value, text, bare, within)) {
        Ok(value) => Some(value),
        Err(wrong) => {
            problems.push(wrong.about(what).at(&node.place));
            None
        }
    }
}

/// A length; a bare number is in the book's own unit.
pub fn length(
    node: &Node,
    units: &Units,
    what: &str,
    within: &RangeInclusive<Length>,
    problems: &mut Vec<Problem>,
) -> Option<Length> {
    let within = within.start().to_mm()..=within.end().to_mm();
    measure(node, units.bare(Dimension::Length), what, &within, problems).map(Length::mm)
}

/// A wind speed; a bare number is in the book's own unit. `within` is knots.
pub fn wind(
    node: &Node,
    units: &Units,
    what: &str,
    within: &RangeInclusive<f64>,
    problems: &mut Vec<Problem>,
) -> Option<Wind> {
    measure(node, units.bare(Dimension::Speed), what, within, problems).map(Wind::knots)
}

/// The boat's own speed; a bare number is knots, whatever the wind is given in. `within` is knots.
pub fn boat_speed(
    node: &Node,
    what: &str,
    within: &RangeInclusive<f64>,
    problems: &mut Vec<Problem>,
) -> Option<BoatSpeed> {
    measure(node, &KNOT, what, within, problems).map(BoatSpeed::knots)
}

/// A mass in kilograms; a bare number is in the book's own unit.
pub fn mass_kg(
    node: &Node,
    units: &Units,
    what: &str,
    within: &RangeInclusive<f64>,
    problems: &mut Vec<Problem>,
) -> Option<f64> {
    measure(node, units.bare(Dimension::Mass), what, within, problems)
}

/// A pressure in bar; a bare number is in the book's own unit.
pub fn pressure_bar(
    node: &Node,
    units: &Units,
    what: &str,
    within: &RangeInclusive<f64>,
    problems: &mut Vec<Problem>,
) -> Option<f64> {
    measure(node, units.bare(Dimension::Pressure), what, within, problems)
}

/// An angle to the wind. `within` is degrees.
pub fn wind_angle(node: &Node, what: &str, within: &RangeInclusive<f64>, problems: &mut Vec<Problem>) -> Option<Angle> {
    angle_deg(node, what, within, problems).map(Angle::degrees)
}

/// An angle in degrees.
pub fn angle_deg(node: &Node, what: &str, within: &RangeInclusive<f64>, problems: &mut Vec<Problem>) -> Option<f64> {
    measure(node, &DEGREE, what, within, problems)
}

/// A number without a unit.
pub fn plain_number(node: &Node, what: &str, within: &RangeInclusive<f64>, problems: &mut Vec<Problem>) -> Option<f64> {
    let text = node.text(what, problems)?;
    let held = |value: f64| {
        let ends =
            format!("write a number from {} to {}", print_decimal(*within.start()), print_decimal(*within.end()));
        if within.contains(&value) {
            Ok(value)
        } else {
            Err(Wrong::new(format!("{} is out of reason", shown(text)), ends))
        }
    };
    match number::parse(text).and_then(held) {
        Ok(value) => Some(value),
        Err(wrong) => {
            problems.push(wrong.about(what).at(&node.place));
            None
        }
    }
}

/// A range such as `5..16`, `5..16 kn`, `36..55 deg`: its lower and its upper end, which must be above the lower.
pub fn range(
    node: &Node,
    bare: &'static Unit,
    what: &str,
    within: &RangeInclusive<f64>,
    problems: &mut Vec<Problem>,
) -> Option<Spanned<(f64, f64)>> {
    let text = node.text(what, problems)?;
    let read = || {
        let form = format!("write both ends with two points between them, like `5..16 {}`", bare.name);
        let (low, high) =
            text.split_once("..").ok_or_else(|| Wrong::new(format!("{} is no range", shown(text)), form))?;
        ends(low, high, text)?;
        // A unit behind the upper end holds for both.
        let unit = terms(high).last().and_then(|(_, name)| UNITS.iter().find(|unit| unit.name == *name));
        let low_bare = unit.filter(|unit| unit.dimension == bare.dimension).copied().unwrap_or(bare);
        let low = parse(low, low_bare).and_then(|value| allowed(value, low, bare, within))?;
        let high = parse(high, bare).and_then(|value| allowed(value, high, bare, within))?;
        if low < high {
            return Ok((low, high));
        }
        Err(Wrong::new(format!("{} does not rise", shown(text)), "write the lower end first"))
    };
    match read() {
        Ok(value) => Some(Spanned { value, place: node.place.clone() }),
        Err(wrong) => {
            problems.push(wrong.about(what).at(&node.place));
            None
        }
    }
}

/// Both ends are there, and two points between them: of three, one might be a decimal point.
fn ends(low: &str, high: &str, text: &str) -> Result<(), Wrong> {
    let (low, high) = (low.trim(), high.trim());
    let missing = match (low.is_empty(), high.is_empty()) {
        (true, true) => Some("its ends"),
        (true, false) => Some("its lower end"),
        (false, true) => Some("its upper end"),
        (false, false) => None,
    };
    if let Some(missing) = missing {
        let what = format!("{} lacks {missing}", shown(text));
        return Err(Wrong::new(what, "write both ends with two points between them, like `5..16`"));
    }
    if high.starts_with('.') {
        let instead = format!("write two points between the ends, like `{low}..{}`", high.trim_start_matches('.'));
        return Err(Wrong::new(format!("{} has too many points", shown(text)), instead));
    }
    Ok(())
}

/// A range of wind speeds such as `5..16` or `5..16 kn`. `within` is knots.
pub fn wind_range(
    node: &Node,
    units: &Units,
    what: &str,
    within: &RangeInclusive<f64>,
    problems: &mut Vec<Problem>,
) -> Option<Spanned<Span<Wind>>> {
    range(node, units.bare(Dimension::Speed), what, within, problems).and_then(span)
}

/// A range of angles to the wind such as `36..55`. `within` is degrees.
pub fn angle_range(
    node: &Node,
    units: &Units,
    what: &str,
    within: &RangeInclusive<f64>,
    problems: &mut Vec<Problem>,
) -> Option<Spanned<Span<Angle>>> {
    range(node, units.bare(Dimension::Angle), what, within, problems).and_then(span)
}

fn span<A: Axis>(read: Spanned<(f64, f64)>) -> Option<Spanned<Span<A>>> {
    let value = Span::new(A::from_number(read.value.0), A::from_number(read.value.1))?;
    Some(Spanned { value, place: read.place })
}

/// A value if it lies within reason.
fn allowed(value: f64, text: &str, bare: &Unit, within: &RangeInclusive<f64>) -> Result<f64, Wrong> {
    if within.contains(&value) {
        return Ok(value);
    }
    let what = match value {
        value if value < 0.0 && *within.start() >= 0.0 => "is negative",
        value if value < *within.start() => "is too little",
        _ => "is too much",
    };
    let (low, high) = (in_words(*within.start(), bare, f64::ceil), in_words(*within.end(), bare, f64::floor));
    let noun = bare.dimension.article_and_noun();
    let is_bare = terms(text).last().is_some_and(|(_, name)| name.is_empty());
    let hint = if is_bare { format!("; a number without a unit is in {}", bare.name) } else { String::new() };
    Err(Wrong::new(format!("{} {what}", shown(text.trim())), format!("write {noun} from {low} to {high}{hint}")))
}

/// An end of what is allowed as a message writes it: in `bare`, or the larger unit that goes with it, to [`FIGURES`] and never
/// past the end: `inward` is the way to what is allowed.
fn in_words(value: f64, bare: &Unit, inward: fn(f64) -> f64) -> String {
    let larger = match bare.name {
        "mm" | "cm" => &METRE,
        "in" => &FOOT,
        _ => bare,
    };
    let unit = if value.abs() >= larger.factor { larger } else { bare };
    let number = value / unit.factor;
    let step = if number == 0.0 { 1.0 } else { 10.0_f64.powf(number.abs().log10().floor() + 1.0 - FIGURES) };
    let steps = number / step;
    let steps = if is_same(steps, steps.round()) { steps.round() } else { inward(steps) };
    format!("{} {}", print_decimal(steps * step), unit.name)
}
