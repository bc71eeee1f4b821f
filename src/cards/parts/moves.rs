//! How a control goes from one reading to another, in words. Lays nothing out.

use serde::Serialize;

use super::words::end_words;
use crate::book::Control;
use crate::tuning::adjust::{Limits, Offset};
use crate::tuning::{Side, mark};

/// What the trade says for the other way.
const OPPOSITES: [(&str, &str); 8] = [
    ("tighter", "eased"),
    ("harder", "softer"),
    ("aft", "forward"),
    ("up", "down"),
    ("further in", "further out"),
    ("in", "out"),
    ("windward", "leeward"),
    ("more", "less"),
];

/// A control's way from one reading to another.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Move {
    /// The name of the control.
    pub control: String,
    /// The reading it leaves, without the unit that follows in `to`.
    pub from: String,
    /// The reading it comes to, unit included.
    pub to: String,
    /// `TIGHTER`; empty where the scale's own words say it.
    pub direction: String,
}

impl Move {
    /// From one reading to another, in the coordinate of the control's scale.
    pub fn new(control: &Control, from: f64, to: f64) -> Self {
        let print = |reading| control.scale.print(reading);
        // The unit once: `90 to 120 bar`.
        let bare = |reading| match control.scale.unit() {
            Some(_) => mark::print_decimal(reading),
            None => print(reading),
        };
        Move {
            control: control.name.clone(),
            from: bare(from),
            to: print(to),
            direction: direction(control, to > from),
        }
    }

    /// `3½ to 4, TIGHTER`.
    pub fn words(&self) -> String {
        if self.direction.is_empty() {
            format!("{} to {}", self.from, self.to)
        } else {
            format!("{} to {}, {}", self.from, self.to, self.direction)
        }
    }

    /// `to 3½, EASED`: where the way there stands beside it.
    pub fn back_words(&self) -> String {
        if self.direction.is_empty() {
            format!("to {}", self.to)
        } else {
            format!("to {}, {}", self.to, self.direction)
        }
    }
}

/// What a reading that rises or falls does, in capitals.
pub fn direction(control: &Control, rises: bool) -> String {
    if let Some(ends) = control.scale.sides() {
        let end = end_words(&ends[usize::from(rises)]);
        let word = end.rsplit(' ').next().unwrap_or_default();
        return format!("TO {}", word.to_uppercase());
    }
    let Some(higher) = &control.higher_is else {
        return if control.scale.has_only_names() {
            String::new()
        } else {
            if rises { "UP" } else { "DOWN" }.to_owned()
        };
    };
    if rises {
        return higher.to_uppercase();
    }
    let pairs = OPPOSITES.iter().flat_map(|(a, b)| [(a, b), (b, a)]);
    let opposite =
        pairs.into_iter().find(|(word, _)| word.eq_ignore_ascii_case(higher)).map(|(_, other)| other.to_uppercase());
    opposite.unwrap_or_else(|| format!("LESS {}", higher.to_uppercase()))
}

/// An adjustment in words: `½ less`, `1 more`; on a two-way scale `1 to windward`.
pub fn offset_words(control: &Control, offset: Offset) -> String {
    let marks = offset.marks();
    let (size, rises) = (marks.abs(), marks > 0.0);
    let amount = match control.scale.unit() {
        Some(unit) => format!("{} {unit}", mark::print_decimal(size * control.scale.whole_mark())),
        None => mark::print(size),
    };
    match control.scale.sides() {
        Some(_) => format!("{amount} {}", direction(control, rises).to_lowercase()),
        None => format!("{amount} {}", if rises { "more" } else { "less" }),
    }
}

/// The control's limits on one side, as the arithmetic of adjustments takes them.
pub fn limits(control: &Control, side: Side) -> Limits {
    let reading = |limit: &Option<crate::book::Limit>| Some(control.reading_on(side, limit.as_ref()?.reading.value));
    Limits { never_below: reading(&control.never_below), never_above: reading(&control.never_above) }
}
