//! The signs and numbers of a settings card, written once more by other rules than the program's.

use cockpit_cards::book::WindUnit;
use cockpit_cards::tuning::Ground;

use super::SAME;

pub(super) fn sign_of(ground: Ground) -> &'static str {
    match ground {
        Ground::Sailed => "●",
        Ground::Repeated => "◆",
        Ground::Proven => "★",
        Ground::Disputed => "≠",
        Ground::CarriedOver => "»",
        Ground::Adjusted => "±",
        Ground::Between | Ground::Outside => "",
    }
}

pub(super) fn print_mark(mark: f64) -> String {
    let quarters = (mark.abs() * 4.0).round() as i64;
    if (mark.abs() * 4.0 - quarters as f64).abs() > SAME {
        return print_decimal(mark);
    }
    let part = ["", "¼", "½", "¾"][(quarters % 4) as usize];
    let whole = if quarters >= 4 || part.is_empty() { (quarters / 4).to_string() } else { String::new() };
    format!("{}{whole}{part}", if mark < 0.0 { "−" } else { "" })
}

pub(super) fn print_decimal(number: f64) -> String {
    let text = format!("{:.6}", number.abs());
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{}{text}", if number < 0.0 { "−" } else { "" })
}

/// Halves of a knot, quarters of a metre per second; halfway goes up.
pub(super) fn print_wind(wind: f64, unit: WindUnit) -> String {
    let parts = match unit {
        WindUnit::Knot => 2.0,
        WindUnit::MetrePerSecond => 4.0,
    };
    print_mark((wind * parts + 0.5 + SAME).floor() / parts)
}
