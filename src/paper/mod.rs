//! Stage 4 to 5: drawings onto pages. Packing, crop marks, check bars, the foot of a page of cards. Knows paper, not sailing.

mod axis;
mod crop;
mod foot;
pub mod furniture;
mod job;
mod layout;
mod pack;
pub mod printer;
pub mod printer_page;
pub mod readings;
pub mod tile;
pub mod used;

pub use crate::paper_size::{MARGIN, PaperSize};
pub use furniture::{CheckBar, Heading};
pub use job::PrintJob;
pub use layout::{Layout, Misfit, Piece, Position, lay_out, lay_out_cards, lay_out_for};
pub use printer::{Correction, Flip, Printer};
pub use tile::Tile;
pub use used::Used;

use kurbo::{Affine, Size};

use crate::drawing::Drawing;

/// A page: its own furniture, and drawings placed on it.
#[derive(Clone, Debug)]
pub struct Page<'a> {
    /// Millimetres.
    pub size: Size,
    /// Check bars, crop marks, words: a drawing of the page's size.
    pub furniture: Drawing,
    /// What lies on it.
    pub placed: Vec<Placed<'a>>,
    /// From places on the printed paper to places in the file: what makes up for a printer's own error.
    pub to_file: Affine,
}

/// A drawing on a page.
#[derive(Clone, Debug)]
pub struct Placed<'a> {
    /// What is printed there.
    pub drawing: &'a Drawing,
    /// From the drawing's millimetres to the page's; a move, and a quarter turn where that packs better.
    pub to_page: Affine,
}
