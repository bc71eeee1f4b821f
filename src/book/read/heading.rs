//! What stands over a column: a name, and the unit of its numbers in brackets, `Backstay [bar]`. Knows no control.

use crate::book::quantity::{self, Unit};
use crate::tuning::{Scale, ScaleKind, mark};
use crate::wrong::{Wrong, shown};

/// The brackets that a unit stands in.
const BRACKETS: [(char, char); 2] = [('[', ']'), ('(', ')')];
/// What may stand in them over a control that is read in numbered marks.
const MARKS: [&str; 2] = ["mark", "marks"];
/// The same of one that is read in turns.
const TURNS: [&str; 2] = ["turn", "turns"];

/// A heading without the unit that stands in brackets at its end, and that unit.
pub fn split(heading: &str) -> (&str, Option<&str>) {
    let heading = heading.trim();
    let in_brackets = |(open, close): (char, char)| {
        let (name, unit) = heading.strip_suffix(close)?.rsplit_once(open)?;
        Some((name.trim_end(), Some(unit.trim())))
    };
    BRACKETS.into_iter().find_map(in_brackets).filter(|(name, _)| !name.is_empty()).unwrap_or((heading, None))
}

/// A heading whatever its capitals, and whether its words are joined.
pub fn plain(heading: &str) -> String {
    let spaced = heading.to_lowercase().replace(['_', '-'], " ");
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Looks whether numbers in a unit can stand in a column of quantities that without a unit are in `bare`.
///
/// # Errors
/// It is no unit, or one of something else.
pub fn check_quantity(unit: &str, bare: &'static Unit) -> Result<(), Wrong> {
    quantity::parse(&format!("1 {unit}"), bare).map(|_| ()).map_err(|_| {
        Wrong::new(
            format!("{} is no unit of what this column holds", shown(unit)),
            format!("write the unit of its numbers, such as `[{}]`, or none", bare.name),
        )
    })
}

/// Looks whether numbers in a unit can stand in the column of a control. They are read as they stand: what is
/// converted would be a reading that nobody took.
///
/// # Errors
/// The control is read in another unit, or in none.
pub fn check_reading(unit: &str, scale: &Scale) -> Result<(), Wrong> {
    let (is_its, own) = match &scale.kind {
        ScaleKind::Measured { unit: own, .. } | ScaleKind::Gauge { unit: own, .. } => {
            (unit == own || quantity::are_one_unit(unit, own), own.as_str())
        }
        ScaleKind::Even { .. } | ScaleKind::Around { .. } | ScaleKind::Centre { .. } => {
            (MARKS.contains(&unit.to_lowercase().as_str()), "marks")
        }
        ScaleKind::Turns { .. } => (TURNS.contains(&unit.to_lowercase().as_str()), "turns"),
        ScaleKind::Tapes(_) | ScaleKind::Words(_) => (false, ""),
    };
    if is_its {
        return Ok(());
    }
    let (what, instead) = match own {
        "" => ("is the unit of a column of words".to_owned(), "take it out of the heading".to_owned()),
        own => (
            format!("is not what this control is read in, which is {own}"),
            format!("write the readings in {own} and `[{own}]` over them, or no unit"),
        ),
    };
    Err(Wrong::new(format!("{} {what}", shown(unit)), instead))
}

/// A cell with the unit of its column behind it, if it is a number without one.
pub fn with_unit(cell: &str, unit: &str) -> Option<String> {
    let is_bare = mark::parse(cell).is_some() || crate::book::number::parse(cell).is_ok();
    is_bare.then(|| format!("{cell} {unit}"))
}
