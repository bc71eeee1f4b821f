//! What is known of one reading in the book: a settings table, a row and a control, with everything that was sailed there.

use std::collections::BTreeSet;

use serde::Serialize;

use super::asking::Asking;
use super::blocked::Scatter;
use super::compare::Compared;
use super::propose::{Answer, Basis, Side};
use super::question::{CHECKPOINTS, Shown};
use super::sighting::{Sighting, mean};
use super::trial::Trial;
use super::{Control, Input, Noted, Row, evidence};
use crate::tuning::Scale;
use crate::tuning::tolerance::is_same;

/// What is known of one reading in the book.
#[derive(Clone, Debug, Serialize)]
pub struct Cell {
    /// The id of the settings table.
    pub settings: String,
    /// The wind of the row, knots.
    pub wind_kn: f64,
    /// Its true wind angle, degrees, where the table runs along that as well.
    pub angle_deg: Option<f64>,
    /// The id of the control.
    pub control: String,
    /// What the book says, as a card prints it.
    pub book: Option<String>,
    /// What is proposed: another reading, or the book's own to be kept.
    pub proposed: Option<String>,
    /// What is to be done.
    pub verdict: Answer,
    /// What a change rests on.
    pub basis: Option<Basis>,
    /// Where the best may lie beyond what was asked.
    pub open: Option<Side>,
    /// How many trials of the question round the book's reading count.
    pub trials: usize,
    /// After how many it is looked at next.
    pub next_checkpoint: Option<usize>,
    /// By how much the proposed reading, or else the best of the others, is faster than the book's.
    pub effect_percent: Option<f64>,
    /// The ends of a 90 % interval of that.
    pub interval_percent: Option<[f64; 2]>,
    /// Everything that it was set to.
    pub readings: Vec<Sailed>,
    /// The place of the table, for who shows it.
    #[serde(skip)]
    pub table: usize,
    /// The row.
    #[serde(skip)]
    pub row: usize,
    /// The place of the control in the table.
    #[serde(skip)]
    pub at: usize,
    /// The question round the book's reading, among the questions of the comparison.
    #[serde(skip)]
    pub question: Option<usize>,
    /// The number of the proposed reading.
    #[serde(skip)]
    pub proposed_reading: Option<f64>,
    /// The question to sail round the book's reading.
    #[serde(skip)]
    pub asking: Option<Asking>,
    /// The first two fast notes that lie more than a mark apart, where no question was asked.
    #[serde(skip)]
    pub apart: Option<(Noted, Noted)>,
}

/// One thing that a control was set to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Sailed {
    /// The reading, as a card prints it.
    pub reading: String,
    /// How many notes say so.
    pub notes: usize,
    /// How many trials of the question round the book's reading hold it.
    pub trials: usize,
    /// How many steady blocks.
    pub blocks: usize,
    /// How well she went, percent: by the trials of the question, or else by the notes, which are not to be compared.
    pub performance: Option<f64>,
    /// How unsure that is, by the scatter of trials; `None` outside the question.
    pub standard_error: Option<f64>,
    /// What was noted.
    #[serde(skip)]
    pub noted: Noted,
}

/// Where a cell is, and what was seen there.
struct Place<'a> {
    input: &'a Input<'a>,
    table: usize,
    row: usize,
    control: usize,
    seen: Vec<(&'a Sighting, Noted)>,
}

/// A cell for each table, row and control that has evidence, in the order of the book.
pub(super) fn cells(
    input: &Input,
    sightings: &[Sighting],
    questions: &[Compared],
    trials: &[Trial],
    scatter: Option<Scatter>,
) -> Vec<Cell> {
    let mut cells = Vec::new();
    for (table, own) in input.tables.iter().enumerate() {
        for row in 0..own.rows.len() {
            let here: Vec<&Sighting> =
                sightings.iter().filter(|sighting| (sighting.table, sighting.row) == (table, Some(row))).collect();
            for (control, of_table) in own.controls.iter().enumerate() {
                let seen = here.iter().filter_map(|sighting| Some((*sighting, counted(input, sighting, of_table)?)));
                let place = Place { input, table, row, control, seen: seen.collect() };
                cells.extend(place.cell(questions, trials, scatter));
            }
        }
    }
    cells
}

/// What a sighting says of a control, unless its scale was measured anew since.
fn counted(input: &Input, sighting: &Sighting, control: &Control) -> Option<Noted> {
    let note = &input.notes[sighting.note];
    let is_older = control.measured.is_some_and(|measured| note.when.is_none_or(|when| when < measured));
    note.reading_of(control.id).filter(|_| !is_older)
}

impl Place<'_> {
    fn control(&self) -> &Control<'_> {
        &self.input.tables[self.table].controls[self.control]
    }

    fn is_of(&self, own: &Compared) -> bool {
        let question = &own.question;
        (question.table, question.row, question.control) == (self.table, self.row, self.control)
    }

    fn cell(&self, questions: &[Compared], trials: &[Trial], scatter: Option<Scatter>) -> Option<Cell> {
        let own: Vec<usize> = (0..questions.len()).filter(|at| self.is_of(&questions[*at])).collect();
        if self.seen.is_empty() && own.is_empty() {
            return None;
        }
        let control = self.control();
        let book = control.book_reading(self.row);
        let current = book.and_then(|book| current(questions, &own, book));
        let compared = current.map(|at| &questions[at]);
        let apart = if own.is_empty() { self.fast_apart() } else { None };
        let proposal = compared.and_then(|compared| compared.proposal);
        let is_disputed = apart.is_some() || contradict(questions, &own);
        let verdict = match proposal {
            _ if is_disputed => Answer::Disputed,
            Some(proposal) => proposal.answer,
            None => Answer::TooLittle,
        };
        let proposal = proposal.filter(|_| !is_disputed);
        let proposed = proposal.and_then(|proposal| proposal.reading);
        let effect = compared.zip(book).and_then(|(compared, book)| effect(compared, book, proposed));
        let Row { wind, angle } = self.input.tables[self.table].rows[self.row];
        Some(Cell {
            settings: self.input.tables[self.table].id.to_owned(),
            wind_kn: wind.to_knots(),
            angle_deg: angle.map(|angle| angle.to_degrees()),
            control: control.id.to_owned(),
            book: control.book.get(self.row).copied().flatten().map(|noted| print(control.scale, noted)),
            proposed: proposed.map(|reading| control.scale.print(reading)),
            verdict,
            basis: proposal.and_then(|proposal| proposal.basis),
            open: proposal.and_then(|proposal| proposal.open),
            trials: compared.map_or(0, |compared| compared.question.trials.len()),
            next_checkpoint: compared.map_or(Some(CHECKPOINTS[0]), |compared| compared.question.next_checkpoint()),
            effect_percent: effect.map(|(by, _)| by),
            interval_percent: effect.map(|(by, half)| [by - half, by + half]),
            readings: self.readings(compared, trials, scatter),
            table: self.table,
            row: self.row,
            at: self.control,
            question: current,
            proposed_reading: proposed,
            asking: book.and_then(|book| Asking::round(control, book)),
            apart,
        })
    }

    /// The first two fast notes that are more than a mark apart.
    fn fast_apart(&self) -> Option<(Noted, Noted)> {
        let scale = self.control().scale;
        // Between two words or tapes nothing stands.
        let mark = if scale.has_only_names() { 0.0 } else { scale.whole_mark() };
        let fast = self.seen.iter().filter(|(sighting, _)| self.input.notes[sighting.note].is_fast());
        evidence::apart(&fast.map(|(_, noted)| *noted).collect::<Vec<Noted>>(), mark)
    }

    /// Everything that the control was set to, in rising order.
    fn readings(&self, compared: Option<&Compared>, trials: &[Trial], scatter: Option<Scatter>) -> Vec<Sailed> {
        let mut different: Vec<Noted> = Vec::new();
        for (_, noted) in &self.seen {
            if !different.contains(noted) {
                different.push(*noted);
            }
        }
        different.sort_by(|a, b| place(*a).total_cmp(&place(*b)));
        different.into_iter().map(|noted| self.sailed(noted, compared, trials, scatter)).collect()
    }

    fn sailed(&self, noted: Noted, compared: Option<&Compared>, trials: &[Trial], scatter: Option<Scatter>) -> Sailed {
        let seen = || self.seen.iter().filter(|(_, own)| *own == noted).map(|(sighting, _)| *sighting);
        // Two notes of the same readings may speak for the same blocks.
        let blocks: BTreeSet<usize> = seen().flat_map(|sighting| &sighting.blocks).map(|seen| seen.block).collect();
        let asked = noted.still().zip(compared).and_then(|(still, compared)| in_question(compared, still, trials));
        Sailed {
            reading: print(self.control().scale, noted),
            notes: seen().count(),
            trials: asked.map_or(0, |(trials, _)| trials),
            blocks: blocks.len(),
            performance: asked
                .map_or_else(|| mean(seen().filter_map(|sighting| sighting.mean)), |(_, mean)| Some(mean)),
            standard_error: asked.zip(scatter).map(|((trials, _), scatter)| scatter.deviation / (trials as f64).sqrt()),
            noted,
        }
    }
}

/// The question round the book's reading: of several the one that is farthest, then the one with most readings.
fn current(questions: &[Compared], own: &[usize], book: f64) -> Option<usize> {
    let round = own.iter().copied().filter(|at| questions[*at].question.middle(book).is_some());
    round.max_by_key(|at| {
        let question = &questions[*at].question;
        (question.checkpoint(), question.readings.len(), question.trials.len())
    })
}

/// How many trials of a question were looked at for a reading, all of them before its first checkpoint, and the mean performance.
fn in_question(compared: &Compared, reading: f64, trials: &[Trial]) -> Option<(usize, f64)> {
    let question = &compared.question;
    let at = question.readings.iter().position(|own| is_same(*own, reading))?;
    if let Some(shown) = &compared.shown {
        return Some((shown.trials, shown.means[at]));
    }
    let counting = question.trials.iter().filter_map(|trial| trials[*trial].outcome.as_ref().ok());
    Some((question.trials.len(), mean(counting.map(|counting| counting.ways[at].performance))?))
}

/// By how much the proposed reading, else the best of the others, is faster than the book's, and what an interval reaches
/// to either side.
fn effect(compared: &Compared, book: f64, proposed: Option<f64>) -> Option<(f64, f64)> {
    let (question, shown) = (&compared.question, compared.shown.as_ref()?);
    let middle = question.middle(book)?;
    let asked = proposed.filter(|reading| !is_same(*reading, book));
    let others = (0..question.readings.len()).filter(|other| *other != middle);
    let of = match asked {
        Some(reading) => question.readings.iter().position(|own| is_same(*own, reading))?,
        None => others.max_by(|a, b| shown.means[*a].total_cmp(&shown.means[*b]))?,
    };
    Some((shown.gain(of, middle), shown.half_width))
}

/// Whether two questions of one control and row contradict each other: one says that more is faster where the other says
/// that less is, which no boat with one best reading does.
fn contradict(questions: &[Compared], own: &[usize]) -> bool {
    // Told pairs: whether the higher reading is the faster, the lower and the higher.
    let told = |at: &usize| {
        let (question, shown) = (&questions[*at].question, questions[*at].shown.as_ref());
        let pairs = shown.into_iter().flat_map(|shown: &Shown| &shown.pairs).filter(|told| told.is_told);
        let reading = |at: usize| question.readings[at];
        pairs.map(move |told| (told.difference.by > 0.0, reading(told.difference.over), reading(told.difference.of)))
    };
    let all: Vec<(usize, bool, f64, f64)> =
        own.iter().flat_map(|at| told(at).map(move |(rises, low, high)| (*at, rises, low, high))).collect();
    let rising = all.iter().filter(|(_, rises, ..)| *rises);
    rising.into_iter().any(|(one, _, low, high)| {
        // The best lies above `low`, and below the higher reading of a pair that falls.
        let against = |(other, rises, from, to): &(usize, bool, f64, f64)| {
            !rises && other != one && (to <= low || (is_same(*from, *low) && is_same(*to, *high)))
        };
        all.iter().any(against)
    })
}

/// Where a reading stands among others.
fn place(noted: Noted) -> f64 {
    noted.sides().into_iter().flatten().map(|reading| reading.middle()).next().unwrap_or(f64::NEG_INFINITY)
}

/// A reading as a card prints it: `4½`, `4 to 5`, `4 port, 5 starboard`, `none`.
pub fn print(scale: &Scale, noted: Noted) -> String {
    let one = |reading: super::Reading| {
        let [least, greatest] = [reading.least, reading.greatest].map(|reading| scale.print(reading));
        if least == greatest { least } else { format!("{least} to {greatest}") }
    };
    match (noted, noted.sides()) {
        (Noted::One(reading), _) => one(reading),
        (_, [Some(port), Some(starboard)]) if port == starboard => one(port),
        (_, [Some(port), Some(starboard)]) => format!("{} port, {} starboard", one(port), one(starboard)),
        (_, [Some(port), None]) => format!("{} port", one(port)),
        (_, [None, Some(starboard)]) => format!("{} starboard", one(starboard)),
        (_, [None, None]) => "none".to_owned(),
    }
}
