//! A plain number as people write it: `4.5`, `3/8`, `5 1/2`, `−½`. Knows no unit.

use crate::tuning::mark;
use crate::wrong::{Wrong, shown};

/// Denominators beyond those of a mark: thirds, and the parts of an inch on a tape measure.
const FINE_DENOMINATORS: [&str; 4] = ["3", "16", "32", "64"];
/// Thirds in one character, and how many they are.
const THIRDS: [(char, f64); 2] = [('⅓', 1.0), ('⅔', 2.0)];
/// Digits after a comma that divides thousands rather than a decimal.
const THOUSANDS_DIGITS: usize = 3;

/// Reads a number; `Err` says what is wrong with it and how it would be written.
pub fn parse(text: &str) -> Result<f64, Wrong> {
    let text = text.trim();
    if let Some(number) = mark::parse(text).or_else(|| fine_fraction(text)) {
        return Ok(number);
    }
    let lower = text.trim_start_matches(['+', '-', mark::MINUS, '.']).to_lowercase();
    if matches!(lower.as_str(), "nan" | "inf" | "infinity") {
        return Err(Wrong::new(
            format!("{} is no number that can be measured", shown(text)),
            "write the number itself",
        ));
    }
    if text.contains(',') {
        return Err(Wrong::new(format!("{} has a comma", shown(text)), without_comma(text)));
    }
    if let Some(instead) = gapped(text) {
        return Err(Wrong::new(format!("{} can be read in two ways", shown(text)), instead));
    }
    if let Some(number) = text.strip_suffix('.').filter(|number| mark::parse(number).is_some()) {
        return Err(Wrong::new(
            format!("{} ends with its decimal point", shown(text)),
            format!("write `{number}`, or the decimals as well"),
        ));
    }
    if text.parse::<f64>().is_ok() {
        return Err(Wrong::new(format!("{} is written with an exponent", shown(text)), "write it out in digits"));
    }
    Err(Wrong::new(format!("{} is not a number", shown(text)), "write it like `4`, `4.5` or `4 1/2`"))
}

/// `3/16`, `5 7/32`, `2⅓`: what [`mark::parse`] leaves out, since no mark is so fine.
fn fine_fraction(text: &str) -> Option<f64> {
    let (sign, unsigned) = match text.strip_prefix(['-', mark::MINUS]) {
        Some(rest) => (-1.0, rest),
        None => (1.0, text),
    };
    let third = THIRDS.iter().find_map(|(third, over)| Some((unsigned.strip_suffix(*third)?.trim_end(), over)));
    if let Some((whole, over)) = third {
        let whole = if whole.is_empty() { Some(0.0) } else { mark::parse(whole).filter(|whole| whole.fract() == 0.0) };
        return whole.filter(|whole| *whole >= 0.0).map(|whole| sign * (whole + over / 3.0));
    }
    let (rest, denominator) = unsigned.rsplit_once('/').filter(|(_, under)| FINE_DENOMINATORS.contains(under))?;
    let (whole, numerator) = rest.rsplit_once([' ', '-']).unwrap_or(("0", rest));
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    if !digits(whole.trim_end()) || !digits(numerator) {
        return None;
    }
    let (whole, over): (f64, f64) = (whole.trim_end().parse().ok()?, numerator.parse().ok()?);
    let under: f64 = denominator.parse().ok()?;
    (0.0 < over && over < under).then(|| sign * (whole + over / under))
}

/// What to write in place of a number with a comma: with a point, and both readings where the comma may divide thousands, since
/// they are a thousand times apart.
pub fn without_comma(text: &str) -> String {
    let pointed = text.replacen(',', ".", 1);
    let joined = text.replace(',', "");
    let after = text.rsplit(',').next().unwrap_or_default();
    let thousands = after.len() == THOUSANDS_DIGITS && mark::parse(&joined).is_some();
    match mark::parse(&pointed) {
        Some(_) if thousands => format!("write `{joined}`, or `{pointed}` if the comma stands for the decimal point"),
        Some(_) => format!("the decimal point is a point: write `{pointed}`"),
        None if thousands => format!("write `{joined}`"),
        None => "write one number, with a point for the decimals".to_owned(),
    }
}

/// `41/2`: either four and a half or twenty and a half.
fn gapped(text: &str) -> Option<String> {
    let (whole, denominator) = text.split_once('/')?;
    let (before, numerator) = whole.split_at_checked(whole.len().checked_sub(1)?)?;
    let spaced = format!("{before} {numerator}/{denominator}");
    mark::parse(&spaced).or_else(|| fine_fraction(&spaced))?;
    Some(format!("if a whole number comes first, leave a gap: `{spaced}`"))
}
