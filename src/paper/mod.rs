//! Stage 4 to 5: drawings onto pages. Packing, crop marks, check bars. Knows paper, not sailing.

mod crop;
pub mod furniture;
mod layout;
mod pack;
pub mod printer;
pub mod printer_page;
pub mod size;

pub use furniture::{CheckBar, Heading};
pub use layout::{Layout, Misfit, Piece, Position, lay_out, lay_out_within};
pub use printer::{Correction, Reading};
pub use size::{MARGIN, PaperSize};

use kurbo::{Affine, Size};

use crate::drawing::Drawing;

/// A page: its own furniture, and drawings placed on it.
#[derive(Clone, Debug)]
pub struct Page<'a> {
    /// Millimetres.
    pub size: Size,
    /// Check bars, crop marks, words: a drawing of the page's size.
    pub furniture: Drawing,
    pub placed: Vec<Placed<'a>>,
}

/// A drawing on a page.
#[derive(Clone, Debug)]
pub struct Placed<'a> {
    pub drawing: &'a Drawing,
    /// From the drawing's millimetres to the page's; a move, and a quarter turn where that packs better.
    pub to_page: Affine,
}
