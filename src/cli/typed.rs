//! Numbers as they are typed after a flag: in the grammar of the book, by the reader of the book, and refused in its words.

use cockpit_cards::book::Units;
use cockpit_cards::book::quantity::{self, Dimension};
use cockpit_cards::tuning::Wind;
use cockpit_cards::wrong::{Wrong, shown};

/// Beyond it not every whole number is one that a number with decimals can be.
const MOST_WHOLE: f64 = 9_007_199_254_740_992.0;

/// A number with or without decimals.
pub fn number(text: &str) -> Result<f64, Wrong> {
    quantity::parse_plain(text)
}

/// A whole number that is not below 0.
pub fn whole<Of: TryFrom<u64>>(text: &str) -> Result<Of, Wrong> {
    let number = number(text).ok().filter(|number| number.fract() == 0.0 && (0.0..MOST_WHOLE).contains(number));
    let whole = number.map(|number| number as u64);
    whole.and_then(|whole| Of::try_from(whole).ok()).ok_or_else(|| {
        Wrong::new(
            format!("{} is not a number that can be taken here", shown(text)),
            "write a whole number with digits alone, like 12",
        )
    })
}

/// A share: `75` or `75 %`.
pub fn percent(text: &str) -> Result<f64, Wrong> {
    number(text.trim_end().strip_suffix('%').unwrap_or(text))
}

/// An angle: `80`, `80 deg` or `80°`.
pub fn degrees(text: &str) -> Result<f64, Wrong> {
    quantity::parse(text, Units::default().bare(Dimension::Angle))
}

/// A time in seconds: `10`, `10 s` or `2 min`.
pub fn seconds(text: &str) -> Result<f64, Wrong> {
    quantity::parse(text, quantity::seconds())
}

/// A time in whole seconds, not below 0: `60`, `60 s` or `1 min`.
pub fn whole_seconds(text: &str) -> Result<u32, Wrong> {
    let seconds = seconds(text)?;
    let is_whole = seconds.fract() == 0.0 && (0.0..=f64::from(u32::MAX)).contains(&seconds);
    is_whole.then_some(seconds as u32).ok_or_else(|| {
        Wrong::new(
            format!("{} is not a number of seconds that can be taken here", shown(text)),
            "write whole seconds, like 60 or `1 min`",
        )
    })
}

/// A wind speed as it was typed: a bare number is in the unit of a book that is read only afterwards.
#[derive(Clone, Debug)]
pub struct WindSpeed(String);

/// A wind speed: `13`, `13 kn` or `6.5 m/s`.
pub fn wind(text: &str) -> Result<WindSpeed, Wrong> {
    quantity::parse(text, Units::default().bare(Dimension::Speed)).map(|_| WindSpeed(text.to_owned()))
}

impl WindSpeed {
    /// The wind, a bare number being in the unit of this book.
    pub fn of(&self, units: &Units) -> Result<Wind, Wrong> {
        quantity::parse(&self.0, units.bare(Dimension::Speed)).map(Wind::knots)
    }

    /// As it was typed.
    pub fn as_typed(&self) -> &str {
        &self.0
    }
}
