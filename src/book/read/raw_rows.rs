//! Rows of settings as they were found, in the book or in a table beside it, before it is known what they mean. Knows which
//! controls and sails there are; reads no file.

use crate::book::model::{Control, PointsOfSail, Sail, Spanned, Units};
use crate::book::number;
use crate::book::problem::{Place, Problem};
use crate::book::tree::Node;
use crate::book::words::{self, Names, Reference};
use crate::limits;
use crate::tuning::{Angle, Wind};

/// What settings can refer to.
pub struct Known<'a> {
    pub units: Units,
    pub controls: &'a [Control],
    pub control_names: Names,
    pub sails: &'a [Sail],
    pub sail_names: Names,
    pub points_of_sail: PointsOfSail,
}

impl<'a> Known<'a> {
    /// The control of a column, if it could be read.
    pub fn control(&self, column: &Column) -> Option<&'a Control> {
        column.index.and_then(|index| self.controls.get(index))
    }
}

/// A column of a table: a control as named there, and which it is if that could be read.
#[derive(Clone)]
pub struct Column {
    pub id: String,
    pub place: Place,
    pub index: Option<usize>,
}

/// A row as found in the book or in a file.
#[derive(Clone)]
pub struct RawRow {
    /// The wind it was recorded at.
    pub at: Spanned<Wind>,
    /// The true wind angle, in a table that is kept by wind and angle.
    pub angle: Option<Spanned<Angle>>,
    /// One a column; `None` is not recorded.
    pub cells: Vec<Option<Node>>,
}

/// A column by the name of its control.
pub fn column(node: &Node, what: &str, known: &Known<'_>, problems: &mut Vec<Problem>) -> Column {
    let name = words::words(node, &format!("a control of {what}"), problems);
    let found = name.and_then(|name| known.control_names.find(&name.value, &name.place, problems));
    let index = match found {
        Some(Reference::To(index)) => Some(index),
        Some(Reference::Broken) | None => None,
    };
    Column { id: words::text_of(node).unwrap_or_default().to_owned(), place: node.place.clone(), index }
}

/// Whether two items of a list stand as close as the halves of `3,5`.
pub fn touch(first: &Node, second: &Node) -> bool {
    let is_number = |text: &str| !text.is_empty() && text.bytes().all(|byte| byte.is_ascii_digit());
    words::text_of(second).is_some_and(is_number) && stands_close(first, second)
}

/// Whether there is just a comma between a digit and what follows.
pub fn stands_close(first: &Node, second: &Node) -> bool {
    let digit_last = words::text_of(first).is_some_and(|text| text.ends_with(|c: char| c.is_ascii_digit()));
    let comma = 1;
    digit_last && first.place.bytes.end + comma == second.place.bytes.start
}

/// Says so if a row has too few or too many readings, and empties it: nobody knows which of them is for which control.
/// `comma` is two neighbours that may have been meant as one number.
pub fn check_row_length(
    cells: &mut Vec<Option<Node>>,
    place: &Place,
    ids: &[&str],
    comma: Option<(&str, &str)>,
    problems: &mut Vec<Problem>,
) {
    let (found, wanted) = (cells.len(), ids.len());
    if found == wanted {
        return;
    }
    cells.clear();
    let readings = |count: usize| if count == 1 { "1 reading".to_owned() } else { format!("{count} readings") };
    let instead = match comma.filter(|_| found > wanted) {
        Some((whole, part)) => {
            let joined = format!("{whole},{part}");
            format!("was `{joined}` meant as one number? {}", number::without_comma(&joined))
        }
        None if found < wanted => {
            format!("write one for each of {}; `~` for not recorded, `none` for not used", ids.join(", "))
        }
        None => format!("write one for each of {} and no more", ids.join(", ")),
    };
    let controls = if wanted == 1 { "1 control" } else { &format!("{wanted} controls") };
    problems.push(Problem::error(place.clone(), format!("this row has {} for {controls}", readings(found)), instead));
}

/// Says so if there are no rows or too many.
pub fn check_row_count(count: usize, place: &Place, what: &str, problems: &mut Vec<Problem>) -> Option<()> {
    if (1..=limits::MAX_ROWS).contains(&count) {
        return Some(());
    }
    let (complaint, instead) = if count == 0 {
        (format!("{what} has no rows"), "write one for each wind that was sailed, like `10: [2, 12]`".to_owned())
    } else {
        (format!("{what} has more than {} rows", limits::MAX_ROWS), "keep the best of them".to_owned())
    };
    problems.push(Problem::error(place.clone(), complaint, instead));
    None
}
