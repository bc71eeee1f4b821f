//! What a print is made on and by what, the same for everything that is printed. Knows paper and printers, not what is on it.

use kurbo::Size;

use super::foot::Foot;
use super::furniture::Furniture;
use super::tile::{self, Tile};
use super::{Correction, Flip, Heading, Layout, Misfit, PaperSize, Piece, Printer, lay_out_cards, lay_out_for};
use crate::card_sizes::CardSizes;
use crate::drawing::Drawing;

/// How a run prints.
#[derive(Clone, Debug, Default)]
pub struct PrintJob {
    /// What is in the printer.
    pub paper: PaperSize,
    /// What makes up for the printer's own error, in the PDFs alone.
    pub correction: Option<Correction>,
    /// How the printer turns the paper for the back.
    pub flip: Flip,
}

impl PrintJob {
    /// On this paper, by a printer of which nothing is known.
    pub fn on(paper: PaperSize) -> Self {
        PrintJob { paper, ..PrintJob::default() }
    }

    /// What it knows of its printer.
    #[doc(hidden)]
    pub fn printer(&self) -> Printer<'_> {
        Printer { correction: self.correction.as_ref(), flip: self.flip }
    }

    /// The pieces of a drawing that is longer than the paper; none if it is not, or cannot be cut.
    #[doc(hidden)]
    pub fn cut(&self, drawing: &Drawing, heading: Heading) -> Vec<Tile> {
        tile::tiles(drawing, &self.paper, heading, self.printer()).unwrap_or_default()
    }

    /// Whether a drawing is longer than the paper and has no places near enough to each other to cut it at.
    pub(crate) fn cannot_cut(&self, drawing: &Drawing, heading: Heading) -> bool {
        tile::needs_nearer_joints(drawing, &self.paper, heading, self.printer())
    }

    /// The pages of a document.
    ///
    /// # Errors
    /// Pieces that no page holds.
    #[doc(hidden)]
    pub fn lay_out<'a>(&self, pieces: &[Piece<'a>], heading: Heading) -> Result<Layout<'a>, Vec<Misfit>> {
        lay_out_for(pieces, &self.paper, heading, self.printer())
    }

    /// The pages of a document of cards.
    ///
    /// # Errors
    /// Cards that no page holds.
    #[doc(hidden)]
    pub fn lay_out_cards<'a>(&self, pieces: &[Piece<'a>], heading: Heading) -> Result<Layout<'a>, Vec<Misfit>> {
        lay_out_cards(pieces, &self.paper, heading, self.printer())
    }

    /// The two places on a page with this heading for what has to be true to length: one as wide as the page, one as high.
    #[doc(hidden)]
    pub fn measured_room(&self, heading: Heading) -> [Size; 2] {
        let free = Furniture::new(&self.paper, heading, self.correction.as_ref(), None).free();
        [free.wide.size(), free.tall.size()]
    }

    /// Which sizes cards come in on this paper by this printer.
    #[doc(hidden)]
    pub fn card_sizes(&self, two_sided: bool) -> CardSizes {
        let duplex = two_sided.then_some(self.flip);
        let room = Foot::new(&self.paper, Heading::default(), self.correction.as_ref(), duplex).free().wide;
        self.paper.card_sizes(two_sided).with_room(room.size())
    }
}
