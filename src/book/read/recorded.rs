//! What stands in one cell of a row of settings: a reading, that there is none, or that the control was not used. Knows the
//! control; not its row.

use super::controls::{reading, within_limits};
use super::start_of;
use crate::book::model::{Control, Recorded, Spanned};
use crate::book::problem::Problem;
use crate::book::table::Table;
use crate::book::tree::{Node, Value};
use crate::book::words;
use crate::tuning::Side;

/// What is written where a control is not used.
pub const NOT_USED: &str = "none";

/// Whether a text says that a control is not used, whatever its capitals: a reading's do not matter either.
pub fn says_not_used(text: &str) -> bool {
    text.trim().eq_ignore_ascii_case(NOT_USED)
}

/// The reading of a control as a cell has it; what cannot be read, or lies past a limit, is said.
pub fn recorded(node: &Node, control: &Control, problems: &mut Vec<Problem>) -> Recorded {
    let what = format!("\"{}\"", control.name);
    if words::text_of(node).is_some_and(says_not_used) {
        return Recorded::NotUsed(node.place.clone());
    }
    if matches!(node.value, Value::Map(_)) {
        return sides(node, control, &what, problems);
    }
    let Some(reading) = one(node, (control, Side::Port), &what, problems) else { return Recorded::Not };
    let starboard = control.reading_on(Side::Starboard, reading.value);
    if !control.scale.has(starboard) {
        let printed = control.scale.print(starboard);
        problems.push(Problem::error(
            node.place.clone(),
            format!("{what} at this place is off the scale to starboard: it would be {printed} there"),
            "write each side as it is read, like `{port: 2, starboard: 2½}`, or correct the `difference` of its scale",
        ));
    }
    Recorded::One(reading)
}

/// `{port: 2, starboard: 2½}`.
fn sides(node: &Node, control: &Control, what: &str, problems: &mut Vec<Problem>) -> Recorded {
    let Some(mut fields) = Table::open(node, format!("the reading of {what}"), problems) else { return Recorded::Not };
    fields.place = start_of(node);
    let written = ["port", "starboard"].map(|side| fields.take(side));
    fields.finish(problems);
    if !control.has_two_sides() {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{what} has one reading and not one for each side: the book has but one of it"),
            "write one reading, or say that there are two: `sides: both` on its strip, or `difference: {starboard: 0}` on its scale",
        ));
        return Recorded::Not;
    }
    if written.iter().all(Option::is_none) {
        problems.push(Problem::error(
            start_of(node),
            format!("the reading of {what} names no side"),
            "write `{port: 2, starboard: 2½}`",
        ));
        return Recorded::Not;
    }
    let mut read = |node: Option<&Node>, side: Side| {
        let node = node.filter(|node| node.value != Value::Null)?;
        if words::text_of(node).is_some_and(says_not_used) {
            problems.push(Problem::error(
                node.place.clone(),
                format!("{what} is not used on one side alone"),
                "write `none` for both in place of the two, or `~` for the side that nobody wrote down",
            ));
            return None;
        }
        one(node, (control, side), what, problems)
    };
    let [port, starboard] = written;
    let (port, starboard) = (read(port, Side::Port), read(starboard, Side::Starboard));
    if port.is_none() && starboard.is_none() { Recorded::Not } else { Recorded::Sides { port, starboard } }
}

/// A reading of one side within the control's limits.
fn one(
    node: &Node,
    (control, side): (&Control, Side),
    what: &str,
    problems: &mut Vec<Problem>,
) -> Option<Spanned<f64>> {
    let reading = reading(node, &control.scale, what, problems)?;
    let text = words::text_of(node).unwrap_or_default();
    if let Err(wrong) = within_limits(control, side, reading.value, text) {
        problems.push(wrong.at(&reading.place));
    }
    Some(reading)
}

/// Says so if a name on a scale is the word for a control that is not used: a reading of it could mean either.
pub fn is_free(name: &Spanned<String>, what: &str, problems: &mut Vec<Problem>) -> bool {
    let is_taken = says_not_used(&name.value);
    if is_taken {
        problems.push(Problem::error(
            name.place.clone(),
            format!("{what} cannot be called `{}`: in settings that means that the control is not used", name.value),
            "give it another name, such as `bare` or `off`",
        ));
    }
    !is_taken
}
