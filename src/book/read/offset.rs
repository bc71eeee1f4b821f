//! How far a control is moved, as a sailor writes it: for a sea or a sky in `adjust`, for a new sail in its `offsets`. Knows
//! the scale; not what is moved, nor why.

use crate::book::model::Units;
use crate::book::quantity::{self, Dimension};
use crate::tuning::adjust::Offset;
use crate::tuning::{Scale, mark};
use crate::wrong::{Wrong, shown};

/// `+½` and `−1` are marks, turns, or steps along the list of tapes or words. `150 mm` is the control's own travel, and
/// `10 bar` a quantity of the scale. A bare number on a scale of quantities is refused: 1 bar for one, a step of 5 bar for
/// the other.
pub fn offset(text: &str, scale: &Scale, units: &Units) -> Result<Offset, Wrong> {
    Offset::new(marks(text, scale, units)?, scale)
}

fn marks(text: &str, scale: &Scale, units: &Units) -> Result<f64, Wrong> {
    let text = text.trim();
    let (number, unit) = quantity::split(text).unwrap_or((text, ""));
    let plain = || {
        mark::parse(number).ok_or_else(|| {
            let instead = format!("write how far to move it, {}", example(scale, units));
            let with_comma = quantity::parse_plain(number).err().filter(|_| number.contains(','));
            with_comma.unwrap_or_else(|| Wrong::new(format!("{} does not say how far", shown(text)), instead))
        })
    };
    if let Some(spacing) = scale.spacing().filter(|_| !unit.is_empty()) {
        return Ok(quantity::parse(text, units.bare(Dimension::Length))? / spacing.to_mm());
    }
    let every = scale.whole_mark();
    match (scale.unit(), unit) {
        (Some(own), unit) if unit == own => Ok(plain()? / every),
        // Where the scale counts in ones a step and one of its unit are the same.
        (Some(_), "") if every == 1.0 => plain(),
        (Some(_), "") => Err(step_or_unit(text, plain()?, every, scale)),
        (Some(own), _) => {
            Err(Wrong::new(format!("{} is in another unit than its scale", shown(text)), format!("write it in {own}")))
        }
        (None, "turn" | "turns") if scale.base().is_some() => plain(),
        (None, "") => plain(),
        (None, _) => {
            let instead = format!("write how far to move it, {}", example(scale, units));
            Err(Wrong::new(format!("{} is no number of marks, turns or steps", shown(text)), instead))
        }
    }
}

/// How it is written for a control of this scale.
fn example(scale: &Scale, units: &Units) -> String {
    let step = scale.print(scale.whole_mark());
    match scale.spacing() {
        _ if scale.unit().is_some() => format!("such as `{step}` or `-{step}`"),
        Some(spacing) => {
            let bare = units.bare(Dimension::Length);
            let travel = mark::print_to(spacing.to_mm() / bare.factor, 2);
            format!("such as `-1`, or `{travel} {}` of its own travel", bare.name)
        }
        None => "such as `1` or `-1`".to_owned(),
    }
}

/// What is said of a bare number that could be either.
fn step_or_unit(text: &str, number: f64, every: f64, scale: &Scale) -> Wrong {
    let (size, sign) = (number.abs(), if number < 0.0 { "-" } else { "" });
    let (one, steps) = (scale.print(size), scale.print(size * every));
    Wrong::new(
        format!("{} could be {one} or {}", shown(text), steps_of(size, &scale.print(every))),
        format!("write it with its unit: `{sign}{steps}` if you mean steps"),
    )
}

/// `1 step of 5 bar`.
fn steps_of(count: f64, step: &str) -> String {
    let word = if count == 1.0 { "step" } else { "steps" };
    format!("{} {word} of {step}", mark::print(count))
}
