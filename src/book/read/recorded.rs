//! What stands in one cell of a row of settings: a reading, that there is none, or that the control was not used. Knows the
//! control; not its row.

use super::controls::{reading, within_limits};
use crate::book::model::{Control, Recorded, Spanned};
use crate::book::problem::Problem;
use crate::book::tree::Node;
use crate::book::words;

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
    one(node, control, &what, problems).map_or(Recorded::Not, Recorded::One)
}

/// A reading within the control's limits.
fn one(node: &Node, control: &Control, what: &str, problems: &mut Vec<Problem>) -> Option<Spanned<f64>> {
    let reading = reading(node, &control.scale, what, problems)?;
    let text = words::text_of(node).unwrap_or_default();
    if let Err(wrong) = within_limits(control, reading.value, text) {
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
