//! A piece of an example put in place of another, so that a test says what it changes.

/// Texts of which a piece is swapped.
pub trait Swap {
    /// The same with each `piece` swapped for `other`.
    ///
    /// # Panics
    /// If there is no such piece: the example has changed, and the test would hold of nothing.
    fn swap(&self, piece: &str, other: &str) -> String;
}

impl Swap for str {
    #[track_caller]
    fn swap(&self, piece: &str, other: &str) -> String {
        assert!(self.contains(piece), "there is no `{piece}` to swap");
        self.replace(piece, other)
    }
}
