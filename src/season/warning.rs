//! What a person should know before they trust what a question says. Warnings correct nothing.

use std::fmt;

use super::question::{Question, Shown, shown};
use super::trial::{Counting, Trial, Way};

/// The chance that the check of the instruments errs in one season: it guards, and need not be as strict as a claim.
const LEVEL: f64 = 0.05;

/// What to know before trusting a question.
#[derive(Clone, Debug, PartialEq)]
pub enum Warning {
    /// The readings differ in what the instrument showed as well: of this.
    MovesInstrument(Instrument),
    /// The helm wrote down a leg of so many of its trials, and so knew the reading.
    HelmKnew(usize),
    /// In so many of its trials more steady blocks were lost under one reading than under another.
    Uneven(usize),
    /// Its trials were sailed in more than one sea: each with its trials and the gain of the highest reading over the
    /// lowest, percent.
    Seas(Vec<InSea>),
}

/// What the wind instrument shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Instrument {
    /// The speed of the wind.
    Speed,
    /// Its angle.
    Angle,
}

/// The trials of a question in one sea.
#[derive(Clone, Debug, PartialEq)]
pub struct InSea {
    /// The sea, in the words of the notes.
    pub sea: String,
    /// How many of its trials were sailed in it.
    pub trials: usize,
    /// The mean performance of each reading, percent, in rising order of the readings.
    pub means: Vec<f64>,
}

impl fmt::Display for Warning {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Warning::MovesInstrument(Instrument::Speed) => {
                f.write_str("the reading moves the wind speed that is measured; its gain is not to be trusted")
            }
            Warning::MovesInstrument(Instrument::Angle) => {
                f.write_str("the reading moves the wind angle that is measured; its gain is not to be trusted")
            }
            Warning::HelmKnew(1) => f.write_str("in one trial the helm wrote a leg down, and so knew the reading"),
            Warning::HelmKnew(trials) => {
                write!(f, "in {trials} trials the helm wrote a leg down, and so knew the reading")
            }
            Warning::Uneven(1) => f.write_str("in one trial more was left out under one reading than under another"),
            Warning::Uneven(trials) => {
                write!(f, "in {trials} trials more was left out under one reading than under another")
            }
            Warning::Seas(seas) => {
                let told: Vec<String> = seas.iter().map(|own| format!("{} in {}", own.trials, own.sea)).collect();
                write!(f, "its trials were sailed in more than one sea ({}); look at each by itself", told.join(", "))
            }
        }
    }
}

/// The warnings of each question.
pub(super) fn warnings(questions: &[Question], trials: &[Trial]) -> Vec<Vec<Warning>> {
    let (speeds, _) = shown(questions, trials, |way: &Way| way.wind_kn, LEVEL);
    let (angles, _) = shown(questions, trials, |way: &Way| way.angle_deg, LEVEL);
    let moves = |shown: &Option<Shown>, of| {
        let is_told = shown.iter().flat_map(|shown| &shown.pairs).any(|told| told.is_told);
        is_told.then_some(Warning::MovesInstrument(of))
    };
    let of_question = |(at, question): (usize, &Question)| {
        let counting = || question.trials.iter().filter_map(|trial| trials[*trial].outcome.as_ref().ok());
        let count =
            |is: fn(&Counting) -> bool| Some(counting().filter(|trial| is(trial)).count()).filter(|count| *count > 0);
        let all = [
            moves(&speeds[at], Instrument::Speed),
            moves(&angles[at], Instrument::Angle),
            count(|trial| trial.helm_knew).map(Warning::HelmKnew),
            count(|trial| trial.is_uneven).map(Warning::Uneven),
            Some(seas(counting())).filter(|seas| seas.len() > 1).map(Warning::Seas),
        ];
        all.into_iter().flatten().collect()
    };
    questions.iter().enumerate().map(of_question).collect()
}

/// The trials by the sea that they note.
fn seas<'a>(counting: impl Iterator<Item = &'a Counting>) -> Vec<InSea> {
    let mut seas: Vec<InSea> = Vec::new();
    for trial in counting {
        let Some(sea) = &trial.sea else { continue };
        let performances = trial.ways.iter().map(|way| way.performance);
        match seas.iter_mut().find(|own| own.sea == *sea) {
            Some(own) => {
                own.trials += 1;
                // A running mean.
                let share = 1.0 / own.trials as f64;
                own.means.iter_mut().zip(performances).for_each(|(mean, new)| *mean += (new - *mean) * share);
            }
            None => seas.push(InSea { sea: sea.clone(), trials: 1, means: performances.collect() }),
        }
    }
    seas
}
