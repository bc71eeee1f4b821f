//! A value of the book with the place where it was written. Knows no field.

use super::problem::Place;

/// A value and where it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Spanned<T> {
    /// What was read.
    pub value: T,
    /// Where it stands in the book.
    pub place: Place,
}
