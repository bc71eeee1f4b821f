//! Marks and fractions as people write and read them: `4½`, `4 1/2`, `4-1/2`, `4.5`. Knows no scale.

/// The sign of a negative number in print; the hyphen is shorter than a plus and gets lost on a wet card.
pub const MINUS: char = '\u{2212}';
/// The slash of a typeset fraction, `1⁄2`, as some keyboards and spreadsheets put it.
const FRACTION_SLASH: char = '\u{2044}';

/// The single characters for the parts of a mark, each with its value.
const VULGAR_FRACTIONS: [(char, f64); 7] = [
    ('½', 1.0 / 2.0),
    ('¼', 1.0 / 4.0),
    ('¾', 3.0 / 4.0),
    ('⅛', 1.0 / 8.0),
    ('⅜', 3.0 / 8.0),
    ('⅝', 5.0 / 8.0),
    ('⅞', 7.0 / 8.0),
];
/// The denominators that go with them.
const DENOMINATORS: [(&str, f64); 3] = [("2", 2.0), ("4", 4.0), ("8", 8.0)];

/// Decimals kept in print: finer than any scale on a boat, coarser than the noise of `f64` arithmetic.
const MOST_DECIMALS: usize = 6;

/// Reads a mark: a whole number, optionally signed, with an optional fraction written as a decimal, a vulgar fraction
/// character, or a separate fraction of halves, quarters or eighths. Returns `None` for anything else.
///
/// ```
/// use cockpit_cards::tuning::mark::parse;
///
/// assert_eq!(parse("4 1/2"), Some(4.5));
/// assert_eq!(parse("4-1/2"), Some(4.5)); // the hyphen joins, it does not subtract
/// assert_eq!(parse("−½"), Some(-0.5));
/// assert_eq!(parse("41/2"), None); // 4½ or 20½? Nobody can tell
/// assert_eq!(parse("4,5"), None);
/// ```
pub fn parse(text: &str) -> Option<f64> {
    let text = text.trim();
    let (negative, unsigned) = match text.strip_prefix(['-', MINUS]) {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let size = parse_unsigned(unsigned).filter(|size| size.is_finite())?;
    // A subtraction, because −0 has a sign and a mark at 0 has none.
    Some(if negative { 0.0 - size } else { size })
}

fn parse_unsigned(text: &str) -> Option<f64> {
    let (whole, rest) = text.split_at(text.find(|c: char| !c.is_ascii_digit()).unwrap_or(text.len()));
    if rest.is_empty() {
        return number(whole);
    }
    if let Some(decimals) = rest.strip_prefix('.') {
        number(decimals)?;
        return text.parse().ok();
    }
    if whole.is_empty() {
        return vulgar_fraction(rest);
    }
    if let Some(denominator) = rest.strip_prefix(['/', FRACTION_SLASH]) {
        return divided(whole, denominator);
    }
    let fraction = rest.strip_prefix('-').unwrap_or(rest.trim_start());
    let part = vulgar_fraction(fraction).or_else(|| {
        let (numerator, denominator) = fraction.split_once(['/', FRACTION_SLASH])?;
        divided(numerator, denominator)
    })?;
    Some(number(whole)? + part)
}

/// Digits and nothing else: `f64`'s own reader would let `inf` and `1e3` through.
fn number(digits: &str) -> Option<f64> {
    let plain = !digits.is_empty() && digits.bytes().all(|byte| byte.is_ascii_digit());
    plain.then(|| digits.parse().ok()).flatten()
}

fn vulgar_fraction(text: &str) -> Option<f64> {
    let mut characters = text.chars();
    let first = characters.next()?;
    let (_, value) = VULGAR_FRACTIONS.iter().find(|(character, _)| *character == first)?;
    characters.next().is_none().then_some(*value)
}

/// A proper fraction: an improper one is most likely a mark whose gap was left out.
fn divided(numerator: &str, denominator: &str) -> Option<f64> {
    let over = number(numerator)?;
    let (_, under) = DENOMINATORS.iter().find(|(text, _)| *text == denominator)?;
    (over > 0.0 && over < *under).then_some(over / under)
}

/// Whether a mark is printed as a whole number with at most a fraction: halves and quarters.
pub fn is_fraction(value: f64) -> bool {
    // A quarter is the finest.
    (value * 4.0).fract() == 0.0
}

/// Writes a mark the way it is printed: `4½`, `−1¼`, `0`. Eighths and finer come out as decimals.
pub fn print(value: f64) -> String {
    let size = value.abs();
    let whole = size.trunc();
    let part = match size - whole {
        0.5 => "½",
        0.25 => "¼",
        0.75 => "¾",
        _ => return print_decimal(value),
    };
    let sign = if value < 0.0 { MINUS.to_string() } else { String::new() };
    let whole = if whole == 0.0 { String::new() } else { print_decimal(whole) };
    format!("{sign}{whole}{part}")
}

/// Writes a number that has a unit: `67.5`, `−2`, `0`; never a vulgar fraction, at most six decimals. For what was written by
/// hand, or is a multiple of what was; what is worked out or converted goes through [`print_to`].
pub fn print_decimal(value: f64) -> String {
    print_to(value, MOST_DECIMALS)
}

/// Writes a number with at most so many decimals, and none that are 0.
///
/// ```
/// use cockpit_cards::tuning::mark::print_to;
///
/// assert_eq!(print_to(81.646627, 1), "81.6");
/// assert_eq!(print_to(-0.004, 2), "0");
/// ```
pub fn print_to(value: f64, decimals: usize) -> String {
    let written = format!("{:.decimals$}", value.abs());
    if decimals == 0 {
        return if value < 0.0 && written != "0" { format!("{MINUS}{written}") } else { written };
    }
    let size = written.trim_end_matches('0').trim_end_matches('.');
    if value < 0.0 && size != "0" { format!("{MINUS}{size}") } else { size.to_owned() }
}
