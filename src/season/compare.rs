//! The one door: notes, blocks and what the book says become a comparison, with everything that a page and a terminal tell of it.

use serde::Serialize;

use super::Input;
use super::blocked::Scatter;
use super::cell::{Cell, cells};
use super::dropped::{Dropped, dropped};
use super::performance::{HeldAgainst, held_against};
use super::propose::{Proposal, Settle, proposal, settle};
use super::question::{LEVEL, Question, Shown, questions, shown};
use super::sighting::{Sighting, sightings};
use super::trial::{Trial, trials};
use super::warning::{Warning, warnings};

/// What was sailed, compared. As JSON it is what scripts read: what was left out, the scatter, and a cell for each table,
/// row and control that has evidence.
#[derive(Clone, Debug, Serialize)]
pub struct Comparison {
    /// What was left out, by reason.
    pub dropped: Dropped,
    /// How much trials of this boat scatter round what reading and day explain, percent: her own repeatability. `None`
    /// before the first checkpoint of a question.
    pub scatter_percent: Option<f64>,
    /// What is known of each reading in the book.
    pub cells: Vec<Cell>,
    /// The scatter with its degrees of freedom.
    #[serde(skip)]
    pub scatter: Option<Scatter>,
    /// Each note with the blocks that it speaks for.
    #[serde(skip)]
    pub sightings: Vec<Sighting>,
    /// Each trial, whether it counts or not.
    #[serde(skip)]
    pub trials: Vec<Trial>,
    /// Each question with what its trials show.
    #[serde(skip)]
    pub questions: Vec<Compared>,
    /// What the performance in each table is held against.
    #[serde(skip)]
    pub held_against: Vec<HeldAgainst>,
}

/// A question with what its trials show.
#[derive(Clone, Debug, PartialEq)]
pub struct Compared {
    /// What was asked.
    pub question: Question,
    /// What its trials show; `None` before the first checkpoint.
    pub shown: Option<Shown>,
    /// What it says of the book's reading; `None` before the first checkpoint, or where it was asked round another reading.
    pub proposal: Option<Proposal>,
    /// What would settle it; `None` after the last checkpoint, and while no scatter is known.
    pub settle: Option<Settle>,
    /// What to know before trusting it.
    pub warnings: Vec<Warning>,
}

/// Compares what was sailed. Whatever is given, it proposes only what was sailed in trials that ask one question, and says
/// nothing of readings that those do not tell apart.
pub fn compare(input: &Input) -> Comparison {
    let sightings = sightings(input);
    let trials = trials(input, &sightings);
    let asked = questions(&trials);
    let (shown, scatter) = shown(&asked, &trials, |way| way.performance, LEVEL);
    let warnings = warnings(&asked, &trials);
    let questions: Vec<Compared> = asked
        .into_iter()
        .zip(shown)
        .zip(warnings)
        .map(|((question, shown), warnings)| compared(input, question, shown, scatter, warnings))
        .collect();
    Comparison {
        dropped: dropped(input, &trials),
        scatter_percent: scatter.map(|scatter| scatter.deviation),
        cells: cells(input, &sightings, &questions, &trials, scatter),
        scatter,
        sightings,
        trials,
        questions,
        held_against: input.tables.iter().map(held_against).collect(),
    }
}

fn compared(
    input: &Input,
    question: Question,
    shown: Option<Shown>,
    scatter: Option<Scatter>,
    warnings: Vec<Warning>,
) -> Compared {
    let control = &input.tables[question.table].controls[question.control];
    let middle = control.book_reading(question.row).and_then(|book| question.middle(book));
    let proposal =
        shown.as_ref().zip(middle).map(|(shown, middle)| proposal(&question, shown, middle, control, &input.options));
    let settle = scatter.and_then(|scatter| settle(&question, scatter));
    Compared { question, shown, proposal, settle, warnings }
}
