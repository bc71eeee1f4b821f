//! What a book says of how it is printed. It is about the paper and the printer, and nothing on a card is made of it.

use super::spanned::Spanned;
use crate::flip::Flip;
use crate::paper_size::PaperSize;

/// How the book is printed where neither the environment nor the command line says otherwise. No card and no stamp knows it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Printing {
    /// What is in the printer.
    pub paper: Option<Spanned<PaperSize>>,
    /// The name of a printer that was measured, on this machine or on another.
    pub printer: Option<Spanned<String>>,
    /// About which edge the printer turns the paper for the backs of cards.
    pub flip: Option<Spanned<Flip>>,
}
