//! The flags of whatever prints: the paper, the printer, and the way it turns the paper. Knows no book.

use clap::Args;
use cockpit_cards::paper::{Flip, PrintJob};

use super::Outcome;
use super::printer::{FlipFlag, parse_paper};
use super::readings::MeasuredPrinter;

/// What is printed on, and by which printer.
#[derive(Args)]
pub struct PrintFlags {
    /// What is in the printer: a4, a3, a5, letter, legal, tabloid, `297 x 600 mm`, or roll-610mm
    #[arg(long, default_value = "a4")]
    paper: String,
    #[command(flatten)]
    measured: MeasuredPrinter,
}

impl PrintFlags {
    /// What they ask for, for backs that are printed about this edge.
    pub fn job(&self, flip: Flip) -> Result<PrintJob, Outcome> {
        let paper = parse_paper(&self.paper)?;
        let correction = self.measured.correction(&paper, flip)?;
        Ok(PrintJob { paper, correction, flip })
    }
}

/// The same, where what is printed may have a back.
#[derive(Args)]
pub struct TwoSidedPrintFlags {
    #[command(flatten)]
    print: PrintFlags,
    /// The edge about which the printer turns the paper for the backs of cards
    #[arg(long, value_enum, default_value_t = FlipFlag::Long)]
    flip: FlipFlag,
}

impl TwoSidedPrintFlags {
    /// What they ask for.
    pub fn job(&self) -> Result<PrintJob, Outcome> {
        self.print.job(self.flip.into())
    }
}
