//! A trial: one hour of mirrored legs between two or three readings of one control, which is one observation. It compares
//! nothing, and says of each trial that does not count why not.

use std::fmt;

use super::sighting::{Sighting, mean};
use super::span::seconds;
use super::{Control, Input, Note, Table, row_of};
use crate::tuning::tolerance::{is_below, is_same};

/// Legs of a trial of three readings: each twice.
pub const LEGS_OF_THREE: usize = 6;
/// Legs of a trial of two readings, where a limit forbids the third: each twice.
pub const LEGS_OF_TWO: usize = 4;
/// A leg of fewer steady blocks says too little: of eight minutes that count, three may be lost.
pub const LEAST_BLOCKS: usize = 5;
/// Legs whose winds are farther apart than this, knots, were sailed in different winds.
pub const LEGS_WITHIN_KN: f64 = 3.0;
/// A trial takes an hour; what takes longer than two was not sailed in one go, and no drift in it falls out.
const LONGEST_S: f64 = 7200.0;
/// Readings whose shares of dropped blocks differ by more than this were not dropped even-handedly.
const UNEVEN_SHARE: f64 = 0.2;

/// Notes that share the name of a trial.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// The name that its legs share.
    pub name: String,
    /// Its legs in order of time: the places of their sightings.
    pub legs: Vec<usize>,
    /// What it shows, if it counts; else every reason why not.
    pub outcome: Result<Counting, Vec<Reason>>,
}

/// A trial that counts.
#[derive(Clone, Debug, PartialEq)]
pub struct Counting {
    /// The place of its settings table.
    pub table: usize,
    /// The row of that table.
    pub row: usize,
    /// The control that was moved: its place in the table.
    pub control: usize,
    /// When the first leg was set, seconds.
    pub start_s: f64,
    /// What each reading was sailed at, in rising order of the readings.
    pub ways: Vec<Way>,
    /// The sea, if a leg noted it.
    pub sea: Option<String>,
    /// Whether another helm took over.
    pub helm_changed: bool,
    /// Whether a helm wrote down a leg that they steered, and so knew the reading.
    pub helm_knew: bool,
    /// Whether more blocks were dropped under one reading than under another.
    pub is_uneven: bool,
}

/// One reading in one trial: the mean over its legs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Way {
    /// The reading.
    pub reading: f64,
    /// How well she went, percent.
    pub performance: f64,
    /// The wind, knots, in the kind of the table's rows.
    pub wind_kn: f64,
    /// The true wind angle, degrees.
    pub angle_deg: f64,
    /// The steady blocks of its legs.
    pub blocks: usize,
    /// The share of blocks that were dropped.
    pub dropped: f64,
}

/// Why a trial does not count.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// It has so many legs, neither four nor six.
    Incomplete(usize),
    /// The second half does not mirror the first.
    NotMirrored,
    /// No control was set to two or three still readings.
    NothingMoved,
    /// More than one control was moved: these.
    SeveralMoved(Vec<String>),
    /// A leg has no time.
    NoTime,
    /// It took longer than two hours.
    NotInOneGo,
    /// The leg of this number has so many steady blocks.
    FewBlocks(usize, usize),
    /// Legs were sailed under different sails.
    OtherSails,
    /// Legs were sailed in different seas.
    OtherSea,
    /// Legs were sailed on both boards.
    OtherBoard,
    /// Its mean wind or angle is not near the row that it was for.
    OutOfRow,
    /// Its legs' winds lie so many knots apart.
    WindChanged(f64),
    /// Its scale was measured anew since.
    MeasuredSince,
}

impl Reason {
    /// The word that it is counted under.
    pub fn key(&self) -> &'static str {
        match self {
            Reason::Incomplete(_) => "incomplete",
            Reason::NotMirrored => "not-mirrored",
            Reason::NothingMoved => "nothing-moved",
            Reason::SeveralMoved(_) => "several-moved",
            Reason::NoTime => "no-time",
            Reason::NotInOneGo => "not-in-one-go",
            Reason::FewBlocks(..) => "few-steady-blocks",
            Reason::OtherSails => "other-sails",
            Reason::OtherSea => "other-sea",
            Reason::OtherBoard => "other-board",
            Reason::OutOfRow => "out-of-row",
            Reason::WindChanged(_) => "wind-changed",
            Reason::MeasuredSince => "measured-since",
        }
    }
}

impl fmt::Display for Reason {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        match self {
            Reason::Incomplete(1) => f.write_str("it has one leg, not six"),
            Reason::Incomplete(legs) => write!(f, "it has {legs} legs, not six (four where a limit forbids one side)"),
            Reason::NotMirrored => f.write_str("its second half does not mirror its first"),
            Reason::NothingMoved => f.write_str("no control was set to two or three readings that stood still"),
            Reason::SeveralMoved(ids) => write!(f, "more than one control was moved: {}", ids.join(", ")),
            Reason::NoTime => f.write_str("a leg has no time"),
            Reason::NotInOneGo => f.write_str("it took longer than two hours"),
            Reason::FewBlocks(leg, 0) => write!(f, "leg {leg} has no steady minute in the log"),
            Reason::FewBlocks(leg, blocks) => {
                write!(f, "leg {leg} has {blocks} steady minutes, and {LEAST_BLOCKS} are needed")
            }
            Reason::OtherSails => f.write_str("its legs were sailed under different sails"),
            Reason::OtherSea => f.write_str("its legs were sailed in different seas"),
            Reason::OtherBoard => f.write_str("its legs were sailed on both boards"),
            Reason::OutOfRow => f.write_str("its mean wind or angle is not near the row that it was for"),
            Reason::WindChanged(knots) => {
                write!(f, "its legs lie {knots:.1} kn of wind apart, more than {LEGS_WITHIN_KN}")
            }
            Reason::MeasuredSince => f.write_str("the scale was measured anew since"),
        }
    }
}

/// All trials, in the order of their first legs; those without a time last.
pub(super) fn trials(input: &Input, sightings: &[Sighting]) -> Vec<Trial> {
    let mut trials: Vec<Trial> = Vec::new();
    for (at, sighting) in sightings.iter().enumerate() {
        let Some(name) = &input.notes[sighting.note].trial else { continue };
        match trials.iter_mut().find(|trial| trial.name == *name) {
            Some(trial) => trial.legs.push(at),
            None => trials.push(Trial { name: name.clone(), legs: vec![at], outcome: Err(Vec::new()) }),
        }
    }
    let when = |leg: usize| input.notes[sightings[leg].note].when.map_or(f64::INFINITY, seconds);
    for trial in &mut trials {
        trial.legs.sort_by(|a, b| when(*a).total_cmp(&when(*b)));
        let legs = Legs::new(input, sightings, &trial.legs);
        trial.outcome = legs.counting();
    }
    let start = |trial: &Trial| trial.legs.first().map_or(f64::INFINITY, |leg| when(*leg));
    trials.sort_by(|a, b| start(a).total_cmp(&start(b)));
    trials
}

/// The legs of one trial with their notes.
struct Legs<'a> {
    input: &'a Input<'a>,
    legs: Vec<(&'a Sighting, &'a Note)>,
}

impl<'a> Legs<'a> {
    fn new(input: &'a Input<'a>, sightings: &'a [Sighting], legs: &[usize]) -> Self {
        let with_note = |leg: &usize| (&sightings[*leg], &input.notes[sightings[*leg].note]);
        Legs { input, legs: legs.iter().map(with_note).collect() }
    }

    fn counting(&self) -> Result<Counting, Vec<Reason>> {
        let mut reasons = self.conditions();
        let moved = self.moved().map_err(|reason| reasons.push(reason)).ok();
        let row = self.row().ok_or_else(|| reasons.push(Reason::OutOfRow)).ok();
        if let Some((control, readings)) = &moved {
            reasons.extend(self.layout(readings));
            reasons.extend(self.is_older(*control).then_some(Reason::MeasuredSince));
        }
        match (moved, row) {
            (Some((control, readings)), Some(row)) if reasons.is_empty() => {
                self.counted(control, row, &readings).ok_or_else(|| vec![Reason::FewBlocks(1, 0)])
            }
            _ => Err(reasons),
        }
    }

    fn table(&self) -> &'a Table<'a> {
        &self.input.tables[self.legs[0].0.table]
    }

    /// Everything that all legs must share.
    fn conditions(&self) -> Vec<Reason> {
        let notes = || self.legs.iter().map(|(_, note)| *note);
        let sails = |note: &Note| Some(note.settings.clone());
        let mut reasons = Vec::new();
        reasons.extend(self.without_time());
        reasons.extend(differ(notes().map(sails)).then_some(Reason::OtherSails));
        reasons.extend(differ(notes().map(|note| note.sea.clone())).then_some(Reason::OtherSea));
        let boards =
            self.legs.iter().flat_map(|(sighting, _)| &sighting.blocks).map(|seen| Some(seen.is_starboard_tack));
        reasons.extend(differ(boards).then_some(Reason::OtherBoard));
        let few = self.legs.iter().enumerate().find(|(_, (sighting, _))| sighting.counted() < LEAST_BLOCKS);
        // Legs are numbered from 1.
        reasons.extend(few.map(|(leg, (sighting, _))| Reason::FewBlocks(leg + 1, sighting.counted())));
        reasons.extend(self.wind_changed());
        reasons
    }

    fn without_time(&self) -> Option<Reason> {
        let starts: Option<Vec<f64>> = self.legs.iter().map(|(_, note)| note.when.map(seconds)).collect();
        let Some(starts) = starts else { return Some(Reason::NoTime) };
        let whole = starts.first().zip(starts.last()).map(|(first, last)| last - first);
        whole.is_some_and(|whole| whole > LONGEST_S).then_some(Reason::NotInOneGo)
    }

    fn wind_changed(&self) -> Option<Reason> {
        let winds = || self.legs.iter().filter_map(|(sighting, _)| sighting.wind()).map(|wind| wind.to_knots());
        let apart = winds().fold(f64::NEG_INFINITY, f64::max) - winds().fold(f64::INFINITY, f64::min);
        is_below(LEGS_WITHIN_KN, apart).then_some(Reason::WindChanged(apart))
    }

    /// The one control that was moved, and what it was set to in each leg.
    fn moved(&self) -> Result<(usize, Vec<f64>), Reason> {
        let controls = self.table().controls.iter().enumerate();
        let readings =
            |control: &Control| -> Vec<_> { self.legs.iter().map(|(_, note)| note.reading_of(control.id)).collect() };
        let is_moved = |control: &Control| differ(readings(control).into_iter());
        let moved: Vec<(usize, &Control)> = controls.filter(|(_, control)| is_moved(control)).collect();
        match moved.as_slice() {
            [] => Err(Reason::NothingMoved),
            [(at, control)] => {
                let still: Option<Vec<f64>> = readings(control).into_iter().map(|noted| noted?.still()).collect();
                still.map(|still| (*at, still)).ok_or(Reason::NothingMoved)
            }
            several => Err(Reason::SeveralMoved(several.iter().map(|(_, control)| control.id.to_owned()).collect())),
        }
    }

    /// Whether the legs are as many as they should be, and mirrored.
    fn layout(&self, readings: &[f64]) -> Option<Reason> {
        let expected = match rising(readings).len() {
            2 => LEGS_OF_TWO,
            3 => LEGS_OF_THREE,
            _ => return Some(Reason::NothingMoved),
        };
        if readings.len() != expected {
            return Some(Reason::Incomplete(readings.len()));
        }
        let is_mirrored = readings.iter().zip(readings.iter().rev()).all(|(leg, mirror)| is_same(*leg, *mirror));
        let each_once = rising(&readings[..expected / 2]).len() == expected / 2;
        (!is_mirrored || !each_once).then_some(Reason::NotMirrored)
    }

    fn is_older(&self, control: usize) -> bool {
        let measured = self.table().controls[control].measured;
        measured.is_some_and(|measured| self.legs.iter().any(|(_, note)| note.when.is_none_or(|when| when < measured)))
    }

    /// The row that it was for, if its mean wind and angle are near that one; where no leg says, the one that they are near.
    fn row(&self) -> Option<usize> {
        let rows = &self.table().rows;
        let seen = || self.legs.iter().flat_map(|(sighting, _)| &sighting.blocks);
        let wind = crate::tuning::Wind::knots(mean(seen().map(|seen| seen.wind.to_knots()))?);
        let angle = mean(seen().map(|seen| seen.angle.to_degrees())).map(crate::tuning::Angle::degrees);
        let row = row_of(rows, wind, angle)?;
        let (_, first) = self.legs.first()?;
        let meant = first.wind.map(|wind| row_of(rows, wind, first.angle.or(angle)));
        meant.is_none_or(|meant| meant == Some(row)).then_some(row)
    }

    fn counted(&self, control: usize, row: usize, readings: &[f64]) -> Option<Counting> {
        let ways: Option<Vec<Way>> = rising(readings).into_iter().map(|reading| self.way(reading, readings)).collect();
        let ways = ways?;
        let shares = || ways.iter().map(|way| way.dropped);
        let (least, most) = (shares().fold(1.0, f64::min), shares().fold(0.0, f64::max));
        let (first, note) = self.legs.first()?;
        let knew = |note: &Note| note.helm.is_some() && note.helm == note.who;
        Some(Counting {
            table: first.table,
            row,
            control,
            start_s: seconds(note.when?),
            sea: self.legs.iter().find_map(|(_, note)| note.sea.clone()),
            helm_changed: differ(self.legs.iter().map(|(_, note)| note.helm.clone())),
            helm_knew: self.legs.iter().any(|(_, note)| knew(note)),
            is_uneven: is_below(UNEVEN_SHARE, most - least),
            ways,
        })
    }

    /// One reading: the mean of the means of its legs, so that a leg with fewer blocks counts as much.
    fn way(&self, reading: f64, readings: &[f64]) -> Option<Way> {
        let legs =
            || self.legs.iter().zip(readings).filter(|(_, own)| is_same(**own, reading)).map(|((leg, _), _)| *leg);
        let (blocks, could_be) =
            legs().fold((0, 0), |(blocks, could_be), leg| (blocks + leg.blocks.len(), could_be + leg.could_be));
        Some(Way {
            reading,
            performance: mean(legs().map(|leg| leg.mean).collect::<Option<Vec<f64>>>()?.into_iter())?,
            wind_kn: mean(legs().filter_map(Sighting::wind).map(|wind| wind.to_knots()))?,
            angle_deg: mean(legs().filter_map(Sighting::angle).map(|angle| angle.to_degrees()))?,
            blocks,
            dropped: 1.0 - blocks as f64 / could_be.max(blocks) as f64,
        })
    }
}

/// The different readings, in rising order.
pub(super) fn rising(readings: &[f64]) -> Vec<f64> {
    let mut rising = readings.to_vec();
    rising.sort_by(f64::total_cmp);
    rising.dedup_by(|a, b| is_same(*a, *b));
    rising
}

/// Whether two of those that are known differ.
fn differ<T: PartialEq>(known: impl Iterator<Item = Option<T>>) -> bool {
    let mut known = known.flatten();
    let Some(first) = known.next() else { return false };
    known.any(|other| other != first)
}
