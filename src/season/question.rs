//! A question: all trials that ask the same of one control in one row, and what they show together. It proposes nothing.

use super::blocked::{Blocked, Difference, Scatter};
use super::holm;
use super::trial::{Counting, Trial, Way};
use crate::tuning::tolerance::is_same;

/// Counting trials after which a question is looked at, oldest first; those in between wait. Looking after every trial
/// would find a difference that is not there in one season of five.
pub const CHECKPOINTS: [usize; 3] = [4, 8, 16];
/// The chance that one look finds any difference that is not there, over all questions of a season. Three looks stay under
/// 0.05 (the idea is Pocock's: 1977, *Group sequential methods in the design and analysis of clinical trials*, Biometrika
/// 64, 191–199).
pub const LEVEL: f64 = 0.015;
/// An interval of 90 %: so much of the distribution lies below its upper end.
pub const BELOW_UPPER_END: f64 = 0.95;

/// All trials of one table, row, control and set of readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Question {
    /// The place of its settings table.
    pub table: usize,
    /// The row of that table.
    pub row: usize,
    /// The control: its place in the table.
    pub control: usize,
    /// The readings that were held against each other, in rising order.
    pub readings: Vec<f64>,
    /// Its trials that count, oldest first: their places among the trials.
    pub trials: Vec<usize>,
}

/// What the trials of a question show at its last checkpoint.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    /// How many of its trials were looked at.
    pub trials: usize,
    /// The mean performance of each reading, percent.
    pub means: Vec<f64>,
    /// Each pair of readings, the higher over the lower.
    pub pairs: Vec<Told>,
    /// What a 90 % interval reaches to either side.
    pub half_width: f64,
}

/// A difference, and whether the readings are told apart by it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Told {
    /// The difference, percent.
    pub difference: Difference,
    /// Whether it holds beside all others of the season.
    pub is_told: bool,
}

impl Question {
    /// The last checkpoint that it has reached.
    pub fn checkpoint(&self) -> Option<usize> {
        CHECKPOINTS.into_iter().rev().find(|checkpoint| *checkpoint <= self.trials.len())
    }

    /// The next checkpoint, if there is one.
    pub fn next_checkpoint(&self) -> Option<usize> {
        CHECKPOINTS.into_iter().find(|checkpoint| *checkpoint > self.trials.len())
    }

    fn asks(&self, counting: &Counting) -> bool {
        let is_place = (self.table, self.row, self.control) == (counting.table, counting.row, counting.control);
        let readings = self.readings.iter().zip(&counting.ways);
        is_place
            && self.readings.len() == counting.ways.len()
            && readings.clone().all(|(own, way)| is_same(*own, way.reading))
    }

    /// Its trials up to the checkpoint, those that are looked at.
    fn looked_at<'a>(&self, trials: &'a [Trial]) -> Vec<&'a Counting> {
        let first = self.trials.iter().take(self.checkpoint().unwrap_or(0));
        first.filter_map(|trial| trials[*trial].outcome.as_ref().ok()).collect()
    }

    /// Something that was measured of each way, as blocks.
    fn blocked(&self, trials: &[Trial], of: impl Fn(&Way) -> f64) -> Option<Blocked> {
        let values = |counting: &&Counting| counting.ways.iter().map(&of).collect();
        Blocked::new(&self.looked_at(trials).iter().map(values).collect::<Vec<Vec<f64>>>())
    }
}

/// The questions that the trials ask, in the order of their first trials.
pub(super) fn questions(trials: &[Trial]) -> Vec<Question> {
    let mut questions: Vec<Question> = Vec::new();
    for (at, trial) in trials.iter().enumerate() {
        let Ok(counting) = &trial.outcome else { continue };
        match questions.iter_mut().find(|question| question.asks(counting)) {
            Some(question) => question.trials.push(at),
            None => questions.push(Question {
                table: counting.table,
                row: counting.row,
                control: counting.control,
                readings: counting.ways.iter().map(|way| way.reading).collect(),
                trials: vec![at],
            }),
        }
    }
    questions
}

/// What each question shows of something that was measured of each way, and the scatter, pooled over all of them:
/// randomised blocks, and Holm's correction over all pairs of all questions. `None` for a question before its first
/// checkpoint.
pub(super) fn shown(
    questions: &[Question],
    trials: &[Trial],
    of: impl Fn(&Way) -> f64,
    level: f64,
) -> (Vec<Option<Shown>>, Option<Scatter>) {
    let blocked: Vec<Option<Blocked>> = questions.iter().map(|question| question.blocked(trials, &of)).collect();
    let Some(scatter) = Scatter::pooled(blocked.iter().flatten()) else { return (vec![None; questions.len()], None) };
    let differences: Vec<Vec<Difference>> =
        blocked.iter().map(|own| own.as_ref().map_or_else(Vec::new, |own| own.differences(scatter))).collect();
    let p: Vec<f64> = differences.iter().flatten().map(|difference| difference.p).collect();
    let mut holds = holm::hold(&p, level).into_iter();
    let mut told = |difference: &Difference| Told { difference: *difference, is_told: holds.next().unwrap_or(false) };
    let shown = blocked.into_iter().zip(differences).map(|(own, differences)| {
        let pairs = differences.iter().map(&mut told).collect();
        let own = own?;
        let half_width = scatter.half_width(own.trials, BELOW_UPPER_END)?;
        Some(Shown { trials: own.trials, means: own.means, pairs, half_width })
    });
    (shown.collect(), Some(scatter))
}

impl Shown {
    /// By how much one reading is faster than another, of their places; negative if it is slower.
    pub fn gain(&self, of: usize, over: usize) -> f64 {
        self.means[of] - self.means[over]
    }

    /// Whether one is told faster than another.
    pub fn is_told_faster(&self, of: usize, over: usize) -> bool {
        let between = |told: &&Told| {
            let (one, other) = (told.difference.of, told.difference.over);
            (one, other) == (of.max(over), of.min(over))
        };
        self.gain(of, over) > 0.0 && self.pairs.iter().find(between).is_some_and(|told| told.is_told)
    }
}
