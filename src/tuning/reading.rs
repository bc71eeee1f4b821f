//! Readings in words: from what a sailor wrote to a number on a scale, and back to what a card prints. Knows no wind and
//! no place in a file.

use super::mark;
use super::scale::{Scale, ScaleKind};
use crate::wrong::{Wrong, shown};

/// Words of a scale that a complaint names.
const MOST_NAMED: usize = 12;

impl Scale {
    /// A reading as the sailor wrote it; `Err` says what is wrong and what would be right.
    ///
    /// Capitals do not matter. A quantity may leave out its unit, turns may say so or not. A reading finer than the
    /// scale can be read to is taken as written: it was sailed.
    pub fn parse(&self, text: &str) -> Result<f64, Wrong> {
        let text = text.trim();
        let reading = match &self.kind {
            ScaleKind::Even { .. } | ScaleKind::Around { .. } => parse_mark(text)?,
            ScaleKind::Centre { centre, ends, .. } => parse_from_centre(text, centre, ends)?,
            ScaleKind::Measured { unit, .. } | ScaleKind::Gauge { unit, .. } => parse_quantity(text, unit)?,
            ScaleKind::Turns { .. } => parse_mark(without_turns(text))?,
            ScaleKind::Tapes(tapes) => parse_name(text, tapes.iter().map(|tape| tape.name.as_str()))?,
            ScaleKind::Words(words) => parse_name(text, words.iter().map(String::as_str))?,
        };
        self.on_the_scale(text, reading)
    }

    /// A reading as it is printed in a table, unit included: `4½`, `W3`, `90 bar`, `+1½ turns`, `red`.
    pub fn print(&self, reading: f64) -> String {
        match &self.kind {
            ScaleKind::Even { .. } | ScaleKind::Around { .. } => mark::print(reading),
            ScaleKind::Centre { centre, ends, .. } => print_from_centre(reading, centre, ends),
            ScaleKind::Measured { unit, .. } | ScaleKind::Gauge { unit, .. } => print_quantity(reading, unit),
            ScaleKind::Turns { .. } => print_turns(reading),
            ScaleKind::Tapes(tapes) => name(tapes.iter().map(|tape| tape.name.as_str()), reading),
            ScaleKind::Words(words) => name(words.iter().map(String::as_str), reading),
        }
    }

    fn on_the_scale(&self, text: &str, reading: f64) -> Result<f64, Wrong> {
        let (least, most) = self.limits();
        if least.is_none_or(|least| least <= reading) && most.is_none_or(|most| reading <= most) {
            return Ok(reading);
        }
        let instead = match (least, most) {
            (Some(least), Some(most)) => format!("it runs from {} to {}", self.print(least), self.print(most)),
            (Some(least), None) => format!("it starts at {}", self.print(least)),
            (None, most) => format!("it ends at {}", most.map_or_else(String::new, |most| self.print(most))),
        };
        Err(Wrong { what: format!("{} is off the scale", shown(text)), instead })
    }
}

fn parse_mark(text: &str) -> Result<f64, Wrong> {
    mark::parse(text).ok_or_else(|| Wrong {
        what: format!("{} is not a number that can be read off a scale", shown(text)),
        instead: better_number(text).unwrap_or_else(|| "write it like `4`, `4.5`, `4½` or `4 1/2`".to_owned()),
    })
}

/// What a number that cannot be read was probably meant to be.
fn better_number(text: &str) -> Option<String> {
    let pointed = text.replacen(',', ".", 1);
    if pointed != text && mark::parse(&pointed).is_some() {
        return Some(format!("write it with a point: `{pointed}`"));
    }
    let (whole, denominator) = text.split_once('/')?;
    let (before, numerator) = whole.split_at_checked(whole.len().checked_sub(1)?)?;
    let gapped = format!("{before} {numerator}/{denominator}");
    let meant = mark::print(mark::parse(&gapped)?);
    Some(format!("if it is {meant}, write `{gapped}`, with the gap"))
}

fn parse_from_centre(text: &str, centre: &str, ends: &[String; 2]) -> Result<f64, Wrong> {
    if text == "0" || rest_after(text, centre) == Some("") {
        return Ok(0.0);
    }
    let sides = [(&ends[0], -1.0), (&ends[1], 1.0)];
    let marks_toward = |(end, sign): (&String, f64)| {
        let rest = rest_after(text, end).filter(|rest| *rest != text)?.trim_start();
        let unsigned = !rest.starts_with(['+', '-', mark::MINUS]);
        // 0 − 0 and not −1 × 0, which has a sign.
        mark::parse(rest).filter(|_| unsigned).map(|marks| 0.0 + sign * marks)
    };
    sides.into_iter().find_map(marks_toward).ok_or_else(|| Wrong {
        what: format!("{} does not say how far from {centre} and which way", shown(text)),
        instead: format!(
            "write `{}`, `{}` or `{centre}`",
            print_from_centre(-1.0, centre, ends),
            print_from_centre(1.0, centre, ends)
        ),
    })
}

fn print_from_centre(reading: f64, centre: &str, ends: &[String; 2]) -> String {
    let marks = mark::print(reading.abs());
    let end = if reading < 0.0 { &ends[0] } else { &ends[1] };
    match marks.as_str() {
        "0" => centre.to_owned(),
        // A letter holds on to its number, `W3`; a word stands off, `port 3`.
        _ if end.chars().nth(1).is_none() => format!("{end}{marks}"),
        _ => format!("{end} {marks}"),
    }
}

fn parse_quantity(text: &str, unit: &str) -> Result<f64, Wrong> {
    let bare = before_ending(text, unit).filter(|_| !unit.is_empty()).unwrap_or(text).trim_end();
    if let Some(quantity) = mark::parse(bare) {
        return Ok(quantity);
    }
    let number_end = bare.find(|c: char| c.is_alphabetic() || c == '%' || c == '°').unwrap_or(bare.len());
    let (number, foreign) = bare.split_at(number_end);
    if !foreign.is_empty() && mark::parse(number).is_some() {
        return Err(Wrong {
            what: format!("{} is in another unit than its scale", shown(text)),
            instead: format!("write it in {unit}"),
        });
    }
    let example = print_quantity(4.5, unit);
    Err(Wrong {
        what: format!("{} is not a number that can be read off a scale", shown(text)),
        instead: better_number(number.trim_end()).unwrap_or_else(|| format!("write it like `{example}`")),
    })
}

fn print_quantity(quantity: f64, unit: &str) -> String {
    let number = mark::print_decimal(quantity);
    match unit {
        "" => number,
        // NIST SP 811, 7.2: no space before the signs for degree, minute and second of a plane angle.
        "°" | "′" | "″" => format!("{number}{unit}"),
        _ => format!("{number} {unit}"),
    }
}

fn without_turns(text: &str) -> &str {
    ["turns", "turn"].into_iter().find_map(|word| before_ending(text, word)).unwrap_or(text).trim_end()
}

fn print_turns(turns: f64) -> String {
    let number = mark::print(turns);
    let word = if turns.abs() <= 1.0 { "turn" } else { "turns" };
    match number.as_str() {
        "0" => number,
        _ if turns > 0.0 => format!("+{number} {word}"),
        _ => format!("{number} {word}"),
    }
}

fn parse_name<'a>(text: &str, names: impl Iterator<Item = &'a str> + Clone) -> Result<f64, Wrong> {
    let exactly = names.clone().position(|name| name == text);
    let index = exactly.or_else(|| names.clone().position(|name| rest_after(text, name) == Some("")));
    index.map(|index| index as f64).ok_or_else(|| Wrong {
        what: format!("{} is not one of the scale's words", shown(text)),
        instead: words_of(names),
    })
}

/// The words of a scale as far as anybody reads them.
fn words_of<'a>(names: impl Iterator<Item = &'a str> + Clone) -> String {
    let more = if names.clone().nth(MOST_NAMED).is_some() { " …" } else { "" };
    let named: Vec<String> = names.take(MOST_NAMED).map(shown).collect();
    format!("the words are {}{more}", named.join(", "))
}

fn name<'a>(mut names: impl Iterator<Item = &'a str>, index: f64) -> String {
    let nth = (index >= 0.0).then(|| names.nth(index.round() as usize)).flatten();
    nth.unwrap_or_default().to_owned()
}

/// What stands after `start`, whatever its capitals; `None` if the text starts otherwise.
fn rest_after<'a>(text: &'a str, start: &str) -> Option<&'a str> {
    let mut characters = text.chars();
    start.chars().all(|wanted| characters.next().is_some_and(|found| same_letter(found, wanted))).then_some(())?;
    Some(characters.as_str())
}

/// What stands before `end`, whatever its capitals; `None` if the text ends otherwise.
fn before_ending<'a>(text: &'a str, end: &str) -> Option<&'a str> {
    let mut characters = text.chars();
    end.chars()
        .rev()
        .all(|wanted| characters.next_back().is_some_and(|found| same_letter(found, wanted)))
        .then_some(())?;
    Some(characters.as_str())
}

fn same_letter(a: char, b: char) -> bool {
    a.to_lowercase().eq(b.to_lowercase())
}
