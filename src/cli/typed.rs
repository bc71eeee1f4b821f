//! Numbers as they are typed after a flag, refused in our own words.

use std::str::FromStr;

use cockpit_cards::wrong::{Wrong, shown};

/// A number with or without decimals.
pub fn number(text: &str) -> Result<f64, Wrong> {
    let parsed = text.parse::<f64>().ok().filter(|number| number.is_finite());
    parsed.ok_or_else(|| not_a_number(text, "write it with digits and a point, like 12.5"))
}

/// A whole number that is not below 0.
pub fn whole<Of: FromStr>(text: &str) -> Result<Of, Wrong> {
    text.parse().map_err(|_| not_a_number(text, "write a whole number with digits alone, like 12"))
}

fn not_a_number(text: &str, instead: &str) -> Wrong {
    Wrong::new(format!("{} is not a number that can be taken here", shown(text)), instead)
}
