//! What one printer does to a length, from two distances measured on its paper, and how to print against it. Pure.
//!
//! A printer's own error is a part of a per cent, not the same along its feed as across it. Anything larger comes from
//! the print dialogue, and is not corrected but said.

use kurbo::{Affine, Rect, Size};
use serde::{Deserialize, Serialize};

use super::PaperSize;
use crate::book::problem::Wrong;
use crate::length::Length;

/// A printer's own error stays within this, as a part of the length (common practice).
pub const MOST_ERROR: f64 = 0.015;
/// How near a measured share must be to a known one to be called by its name.
const NEAR: f64 = 0.006;
/// Finest and coarsest step that a rule can be read to, millimetres.
const RULE_STEPS: std::ops::RangeInclusive<f64> = 0.05..=1.0;
/// White between the paper's edge and the distances to measure, millimetres.
const CLEAR_MM: f64 = 12.0;
/// Distances are whole multiples of this, millimetres: easy to find on a rule.
const ROUND_MM: f64 = 10.0;

/// Two measured distances of one printer on one paper.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    /// The paper of the printer page: `A4`.
    pub paper: String,
    /// Across the feed, millimetres: what should have been [`Distances::across`].
    pub across_mm: f64,
    /// Along the feed, millimetres: what should have been [`Distances::along`].
    pub along_mm: f64,
    /// What the rule could be read to, millimetres.
    pub rule_step_mm: f64,
    /// The day it was measured: `2027-04-11`.
    pub date: String,
}

/// The true distances on the printer page of a paper, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distances {
    pub across: f64,
    pub along: f64,
}

impl Distances {
    /// As long as the paper allows, in whole centimetres.
    pub fn on(paper: &PaperSize) -> Self {
        let fitting = |side: f64| ((side - 2.0 * CLEAR_MM) / ROUND_MM).floor() * ROUND_MM;
        Distances { across: fitting(paper.size().width), along: fitting(paper.size().height) }
    }
}

/// How to print so that lengths come out true.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Correction {
    /// What the printer makes of a millimetre, across and along.
    pub makes: Size,
    /// What stays uncertain after the correction, as a part of the length, across and along.
    pub leaves: Size,
}

impl Reading {
    /// The correction that follows from the reading.
    ///
    /// The rule is read to the nearest step, so a distance is known to half a step; the correction is as uncertain as
    /// that over the distance.
    ///
    /// # Errors
    /// Distances that are not numbers, that a printer does not make by itself, or that are swapped; a rule that nobody
    /// reads that finely or that coarsely.
    pub fn correction(&self) -> Result<Correction, Wrong> {
        let paper = PaperSize::parse(&self.paper).map_err(|error| Wrong::new(error.what, error.instead))?;
        let Distances { across, along } = Distances::on(&paper);
        if !RULE_STEPS.contains(&self.rule_step_mm) {
            return Err(Wrong::new(
                format!("a rule that reads to {} mm", self.rule_step_mm),
                "give what its finest lines are apart, like 0.5 or 1",
            ));
        }
        let makes = Size::new(self.across_mm / across, self.along_mm / along);
        let swapped = Size::new(self.along_mm / across, self.across_mm / along);
        if !is_own_error(makes.width) || !is_own_error(makes.height) {
            if is_own_error(swapped.width) && is_own_error(swapped.height) {
                return Err(Wrong::new(
                    format!("{} mm across and {} mm along are the wrong way round", self.across_mm, self.along_mm),
                    format!("across is the short distance ({across} mm on {}), along the long one", paper.name()),
                ));
            }
            let (name, measured, nominal) = if is_own_error(makes.width) {
                ("along", self.along_mm, along)
            } else {
                ("across", self.across_mm, across)
            };
            return Err(not_the_printer(name, measured, nominal));
        }
        let half = self.rule_step_mm / 2.0;
        Ok(Correction { makes, leaves: Size::new(half / across, half / along) })
    }
}

impl Correction {
    /// From the page as drawn to the page as it must be sent, about the middle of what the printer reaches.
    pub fn to_printer(&self, printable: Rect) -> Affine {
        let centre = printable.center().to_vec2();
        Affine::translate(centre)
            * Affine::scale_non_uniform(1.0 / self.makes.width, 1.0 / self.makes.height)
            * Affine::translate(-centre)
    }

    /// What may be drawn on so that nothing leaves the printable area when it is enlarged.
    pub fn area(&self, printable: Rect) -> Rect {
        let share = Size::new(self.makes.width.min(1.0), self.makes.height.min(1.0));
        Rect::from_center_size(
            printable.center(),
            Size::new(printable.width() * share.width, printable.height() * share.height),
        )
    }

    /// How far a printed length may still be off, either way.
    pub fn leaves_of(&self, length: Length) -> Length {
        length * self.leaves.width.max(self.leaves.height)
    }
}

/// Whether a printer does this by itself.
fn is_own_error(makes: f64) -> bool {
    (1.0 - MOST_ERROR..=1.0 + MOST_ERROR).contains(&makes)
}

/// What the print dialogue does to a page, as the share of the true length, and what it is called.
const DIALOGUE: [(f64, &str); 5] = [
    (0.94, "A4 fitted onto Letter"),
    (0.97, "'fit to page'"),
    (1.03, "Letter fitted onto A4"),
    (0.707, "two pages on one"),
    (1.414, "A4 enlarged to A3"),
];

fn not_the_printer(way: &str, measured: f64, nominal: f64) -> Wrong {
    let makes = measured / nominal;
    if !measured.is_finite() || measured <= 0.0 {
        return Wrong::new(format!("{measured} mm {way} is no distance"), format!("measure it: about {nominal} mm"));
    }
    let known = DIALOGUE.iter().find(|(share, _)| (makes - share).abs() < NEAR * 2.0);
    let looks = match known {
        Some((_, name)) => format!("that looks like the print dialogue's {name}"),
        None => "no printer errs that much by itself".to_owned(),
    };
    Wrong::new(
        format!("{measured} mm {way} instead of {nominal} mm is {:.1} %: {looks}", makes * 100.0),
        "set actual size, 100 %, print the page again, and measure that",
    )
}
