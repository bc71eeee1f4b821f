//! What a question says of the book's reading: change it, keep it, or not told apart. Knows no note: what was not sailed in
//! the question is never proposed.

use super::blocked::Scatter;
use super::question::{BELOW_UPPER_END, Question, Shown};
use super::{Control, Options};
use crate::tuning::tolerance::{is_below, is_same};

/// Leaning to one side needs a gain over the book's reading of so many standard errors, beside the two sides being told apart.
const LEANING: f64 = 1.5;
/// How long one trial takes.
const HOURS_A_TRIAL: f64 = 1.0;

/// What is to be done with the book's reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Answer {
    /// Another reading is faster.
    Change,
    /// No other reading that was sailed is faster by what is worth a change.
    Keep,
    /// The trials so far cannot say.
    NotToldApart,
    /// Too few trials count to say anything.
    TooLittle,
    /// What was sailed contradicts itself.
    Disputed,
}

/// What a change rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// The reading is told faster than the book's.
    Told,
    /// The two sides are told apart, and the faster one leads the book's reading: right if the boat has one best reading
    /// and is slower the farther from it.
    Leaning,
}

/// One side of a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// Toward higher readings.
    Up,
    /// Toward lower ones.
    Down,
}

/// What a question says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Proposal {
    /// What is to be done.
    pub answer: Answer,
    /// The reading that is proposed: the new one, or the book's own where it is kept.
    pub reading: Option<f64>,
    /// What a change rests on.
    pub basis: Option<Basis>,
    /// A change lies at the end of what was asked: where it may go on.
    pub open: Option<Side>,
}

/// What would settle a question that has not told its readings apart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Settle {
    /// Trials that are still to be sailed, to the next checkpoint.
    pub trials: usize,
    /// Hours that they take.
    pub hours: f64,
    /// What an interval would then reach to either side, percent.
    pub half_width: f64,
}

impl Question {
    /// The place of the book's reading among its own, if it asks around that: the middle one of three, or one of two.
    pub fn middle(&self, book: f64) -> Option<usize> {
        let at = self.readings.iter().position(|reading| is_same(*reading, book))?;
        // Of three the middle one is the second.
        (self.readings.len() == 2 || at == 1).then_some(at)
    }
}

/// What a question says of the book's reading, which is one of its own.
pub(super) fn proposal(
    question: &Question,
    shown: &Shown,
    middle: usize,
    control: &Control,
    options: &Options,
) -> Proposal {
    let others = (0..question.readings.len()).filter(|other| *other != middle);
    let faster = others.filter(|other| control.allows(question.readings[*other]));
    let faster = faster.filter_map(|other| Some((other, basis(shown, other, middle)?)));
    if let Some((at, basis)) = faster.max_by(|(a, _), (b, _)| shown.means[*a].total_cmp(&shown.means[*b])) {
        let open = if at > middle { Side::Up } else { Side::Down };
        return Proposal {
            answer: Answer::Change,
            reading: Some(question.readings[at]),
            basis: Some(basis),
            open: Some(open),
        };
    }
    let is_kept = is_bracketed(question, middle, control) && no_other_is_worth_it(shown, middle, options);
    Proposal {
        answer: if is_kept { Answer::Keep } else { Answer::NotToldApart },
        reading: is_kept.then_some(question.readings[middle]),
        basis: None,
        open: None,
    }
}

/// What a change from the middle reading to another would rest on.
fn basis(shown: &Shown, other: usize, middle: usize) -> Option<Basis> {
    if shown.is_told_faster(other, middle) {
        return Some(Basis::Told);
    }
    // Of three readings the one across the middle.
    let across = (2 * middle).checked_sub(other).filter(|across| *across < shown.means.len())?;
    let standard_error = shown.pairs.first()?.difference.standard_error;
    let leads = shown.gain(other, middle) >= LEANING * standard_error;
    (leads && shown.is_told_faster(other, across)).then_some(Basis::Leaning)
}

/// Whether both sides were asked, or the one that was not is forbidden.
fn is_bracketed(question: &Question, middle: usize, control: &Control) -> bool {
    let mark = control.scale.whole_mark();
    let book = question.readings[middle];
    let below = middle > 0 || !control.allows(book - mark);
    let above = middle + 1 < question.readings.len() || !control.allows(book + mark);
    below && above
}

/// Whether the upper ends of the others' gains over the middle one all lie under what is worth a change.
fn no_other_is_worth_it(shown: &Shown, middle: usize, options: &Options) -> bool {
    let others = (0..shown.means.len()).filter(|other| *other != middle);
    others.into_iter().all(|other| is_below(shown.gain(other, middle) + shown.half_width, options.worth_percent))
}

/// What the next checkpoint of a question would show; `None` after the last.
pub(super) fn settle(question: &Question, scatter: Scatter) -> Option<Settle> {
    let next = question.next_checkpoint()?;
    let more = next - question.checkpoint().unwrap_or(0);
    // The first trials of a question have no degree of freedom to spare: n − 1 of them.
    let more = if question.checkpoint().is_none() { more - 1 } else { more };
    let freedom = scatter.freedom + more * (question.readings.len() - 1);
    let trials = next - question.trials.len();
    let half_width = Scatter { freedom, ..scatter }.half_width(next, BELOW_UPPER_END)?;
    Some(Settle { trials, hours: trials as f64 * HOURS_A_TRIAL, half_width })
}
