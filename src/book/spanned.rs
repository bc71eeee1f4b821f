//! A value of the book with the place where it was written. Knows no field.

use super::problem::Place;

/// A value and where it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Spanned<T> {
    pub value: T,
    pub place: Place,
}
