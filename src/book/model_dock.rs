//! What a book holds of the rig as it is set before leaving: rows of settings by the wind to expect. Plain data with places.

use super::model::{Row, Spanned};
use super::problem::Place;

/// How the rig is set at the dock, by the wind to expect. It has no sails and no point of sail, and stands on no card used
/// while racing.
#[derive(Clone, Debug)]
pub struct DockTune {
    /// What the rest of the book calls it by: `dock`.
    pub id: Spanned<String>,
    /// What tells it from others: `chop`.
    pub title: Option<String>,
    /// The sea that it is for, if it is not for any: `chop`.
    pub sea: Option<String>,
    /// Indices into the controls of the book, the columns in the order of `Row::readings`.
    pub controls: Vec<usize>,
    /// By the wind to expect, in rising order.
    pub rows: Vec<Row>,
    /// Where all of it stands in the book.
    pub place: Place,
}
