//! Named sizes of paper and cards. Knows what they measure, not what is on them.

use kurbo::Size;

/// A width and a height in millimetres with the name people call it by.
#[derive(Clone, Debug, PartialEq)]
pub struct NamedSize {
    /// `A6`, `Letter`, `120 × 80 mm`.
    pub name: String,
    /// Millimetres; portrait for the named ones.
    pub size: Size,
}
