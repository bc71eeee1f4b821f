//! How a printer turns the paper for its second side. Does not know what is printed.

use kurbo::{Affine, Size};
use serde::{Deserialize, Serialize};

/// About which edge the second side of the paper is turned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Flip {
    /// Like the leaf of a book.
    #[default]
    Long,
    /// Like the leaf of a wall calendar.
    Short,
}

impl Flip {
    /// From a place on the front of a page to the same place of the paper on its back, millimetres.
    pub fn to_back(self, page: Size) -> Affine {
        match self {
            Flip::Long => Affine::new([-1.0, 0.0, 0.0, 1.0, page.width, 0.0]),
            Flip::Short => Affine::new([1.0, 0.0, 0.0, -1.0, 0.0, page.height]),
        }
    }

    /// As print dialogues say it.
    pub const fn words(self) -> &'static str {
        match self {
            Flip::Long => "flip on long edge",
            Flip::Short => "flip on short edge",
        }
    }
}
