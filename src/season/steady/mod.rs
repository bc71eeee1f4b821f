//! Steady blocks out of what the instruments showed: moments go in one by one, in any order; blocks come out, and why the others were
//! dropped. Knows no log's format and no settings, and never holds more of the log than the few blocks that are open.
//!
//! Blocks lie on a grid of the clock, not of the log: those of a minute begin at every full minute of UTC. So a log that is cut loses
//! the blocks that are cut, and no other block moves; and a leg that began on a full minute begins with a whole block. A block has its
//! beginning in it and not its end. Each block is cut into [`TICKS`] equal ticks, by which turns are found.

mod open;
mod turns;

use std::collections::VecDeque;
use std::ops::Range;

use jiff::Timestamp;

use super::{Block, Moment};
use crate::tuning::{Angle, BoatSpeed, Wind};
use open::{Closed, NEEDED, Open};

/// Ticks in a block: of a minute, ten seconds, in which a crew is through the wind and waves have come and gone.
pub const TICKS: usize = 6;
/// Fewer records of one quantity than this have no scatter to speak of, however slow a log is.
const FEWEST_RECORDS: usize = 5;
/// Blocks that are open at one time: one, and one where a clock has jumped to, and one in between.
const MOST_OPEN: usize = 3;
/// Blocks to either side whose rate of records says what is usual there: most of eleven, so that it changes with the log's rate.
const AROUND: usize = 5;
/// Two rates closer than this factor are the same: records are lost, and a rate of 1½ s makes intervals of 1 and 2 s.
const SAME_RATE: f64 = 1.6;

pub(crate) const MICROS_PER_SECOND: i64 = 1_000_000;

/// What makes a block steady. The defaults are rules of the trade and of this program, not of a standard.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Steadiness {
    /// How long a block is, in seconds; see [`limits::BLOCK_SECONDS`](crate::limits::BLOCK_SECONDS).
    pub block_seconds: u32,
    /// The least part of its records that a block must hold, of those usual around it.
    pub least_share: f64,
    /// How far it must be clear of a tack, a gybe or a turn, before and after, in seconds.
    pub clear_seconds: u32,
    /// A turn: the mean headings of the half block before and the half block after differ by more than so many degrees.
    pub turn_deg: f64,
    /// The standard deviation of the true wind angle that is still steady, in degrees.
    pub angle_scatter_deg: f64,
    /// The standard deviation of the true wind speed that is still steady, as a part of its mean.
    pub wind_scatter: f64,
}

impl Default for Steadiness {
    fn default() -> Self {
        Steadiness {
            block_seconds: 60,
            least_share: 0.75,
            clear_seconds: 60,
            turn_deg: 15.0,
            angle_scatter_deg: 5.0,
            wind_scatter: 0.15,
        }
    }
}

/// Why a block was dropped: the first that holds, in this order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Why {
    /// It holds too few records of the wind's speed, of its angle or of the boat's speed.
    FewRecords,
    /// It is close to a tack or a gybe: the wind changes sides.
    NearTack,
    /// It is close to a turn.
    NearTurn,
    /// The wind angle scatters too much.
    AngleScatters,
    /// The wind speed scatters too much.
    WindScatters,
}

impl Why {
    /// All of them, in the order in which they are asked.
    pub const ALL: [Why; 5] = [Why::FewRecords, Why::NearTack, Why::NearTurn, Why::AngleScatters, Why::WindScatters];

    /// What it is called where a program reads it.
    pub const fn key(self) -> &'static str {
        match self {
            Why::FewRecords => "few-records",
            Why::NearTack => "near-tack",
            Why::NearTurn => "near-turn",
            Why::AngleScatters => "angle-scatters",
            Why::WindScatters => "wind-scatters",
        }
    }
}

/// A block that was dropped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct DroppedBlock {
    /// When it begins.
    pub start: Timestamp,
    /// Why.
    pub why: Why,
}

/// Where the time between two records changes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RateChange {
    /// The beginning of the first block with the new one.
    pub at: Timestamp,
    /// Seconds between records before.
    pub from_seconds: f64,
    /// Seconds between records from then on.
    pub to_seconds: f64,
}

/// What came of all moments.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Steady {
    /// The steady blocks, in order of time.
    pub blocks: Vec<Block>,
    /// The others, in order of time. Time without a single record is in neither.
    pub dropped: Vec<DroppedBlock>,
    /// Stretches of at least a whole block without a record, from block to block.
    pub gaps: Vec<Range<Timestamp>>,
    /// Where records begin to come slower or faster.
    pub rate_changes: Vec<RateChange>,
    /// Values that went by Chauvenet's criterion, in the steady blocks.
    pub outliers: usize,
    /// Steady blocks whose true wind was worked out from the apparent one.
    pub worked_out: usize,
    /// Moments that a block had no room for: see [`limits::MAX_BLOCK_RECORDS`](crate::limits::MAX_BLOCK_RECORDS).
    pub without_room: usize,
}

/// Folds moments into blocks as they come.
#[derive(Debug)]
pub struct Fold {
    steadiness: Steadiness,
    open: VecDeque<Open>,
    closed: Vec<Closed>,
    without_room: usize,
}

impl Fold {
    /// Nothing folded yet.
    pub fn new(steadiness: Steadiness) -> Self {
        Fold { steadiness, open: VecDeque::new(), closed: Vec::new(), without_room: 0 }
    }

    /// One moment more. No two may have the same time: whoever reads a log sees to that.
    pub fn add(&mut self, moment: &Moment) {
        let length = self.steadiness.block_micros();
        let micros = moment.time.as_microsecond();
        let number = micros.div_euclid(length);
        let into_block = micros.rem_euclid(length);
        let open = match self.open.iter().position(|open| open.number == number) {
            Some(place) => &mut self.open[place],
            None => {
                if self.open.len() >= MOST_OPEN {
                    self.closed.extend(self.open.pop_front().map(|open| open.close(length)));
                }
                self.open.push_back(Open::new(number));
                let last = self.open.len() - 1;
                &mut self.open[last]
            }
        };
        if !open.add(into_block, moment) {
            self.without_room += 1;
        }
    }

    /// What came of them.
    pub fn finish(mut self) -> Steady {
        let length = self.steadiness.block_micros();
        self.closed.extend(self.open.drain(..).map(|open| open.close(length)));
        // Stable: of one block that a jumping clock has torn in two, the first part stays the first.
        self.closed.sort_by_key(|closed| closed.number);
        let usual = usual_intervals(&self.closed);
        let tacks = turns::Near::new(turns::tacks(&self.closed), &self.steadiness);
        let headings = turns::Near::new(turns::turns(&self.closed, self.steadiness.turn_deg), &self.steadiness);
        let mut steady = Steady {
            gaps: gaps(&self.closed, length),
            rate_changes: rate_changes(&self.closed, &usual, length),
            without_room: self.without_room,
            ..Steady::default()
        };
        for (closed, usual) in self.closed.iter().zip(&usual) {
            let near = (tacks.holds(closed.number), headings.holds(closed.number));
            match self.steadiness.judge(closed, usual, near) {
                Ok(block) => {
                    steady.outliers += closed.outliers;
                    steady.worked_out += usize::from(closed.is_worked_out);
                    steady.blocks.push(block);
                }
                Err(why) => steady.dropped.push(DroppedBlock { start: start(closed.number, length), why }),
            }
        }
        steady
    }
}

impl Steadiness {
    fn block_micros(&self) -> i64 {
        i64::from(self.block_seconds.max(1)) * MICROS_PER_SECOND
    }

    fn judge(&self, closed: &Closed, usual: &[f64; NEEDED], (tack, turn): (bool, bool)) -> Result<Block, Why> {
        let seconds = f64::from(self.block_seconds);
        let is_short = |count: usize, usual: f64| {
            // Where there is no interval to go by there are too few records anyway.
            count < FEWEST_RECORDS || (count as f64) < self.least_share * seconds / usual
        };
        if closed.counts.iter().zip(usual).any(|(count, usual)| is_short(*count, *usual)) {
            return Err(Why::FewRecords);
        }
        if tack {
            return Err(Why::NearTack);
        }
        if turn {
            return Err(Why::NearTurn);
        }
        if closed.angle.scatter > self.angle_scatter_deg {
            return Err(Why::AngleScatters);
        }
        if closed.wind.scatter > self.wind_scatter * closed.wind.mean {
            return Err(Why::WindScatters);
        }
        Ok(Block {
            start: start(closed.number, self.block_micros()),
            seconds,
            wind: Wind::knots(closed.wind.mean),
            angle: Angle::degrees(closed.angle.mean.abs()),
            is_starboard_tack: closed.angle.mean >= 0.0,
            speed: BoatSpeed::knots(closed.speed.mean),
            heel: closed.heel.map(|heel| Angle::degrees(heel.abs())),
            heading_deg: closed.heading.map(|heading| heading.rem_euclid(360.0)),
        })
    }
}

/// When a block begins. The grid reaches a block past the ends of time, and there it ends with it.
fn start(number: i64, length: i64) -> Timestamp {
    let micros = number.saturating_mul(length);
    let end_of_time = if micros < 0 { Timestamp::MIN } else { Timestamp::MAX };
    Timestamp::from_microsecond(micros).unwrap_or(end_of_time)
}

/// Seconds between two records as is usual around each block, for each quantity that a block needs.
fn usual_intervals(closed: &[Closed]) -> Vec<[f64; NEEDED]> {
    let around = |index: usize, quantity: usize| {
        let number = closed[index].number;
        let near = &closed[index.saturating_sub(AROUND)..(index + AROUND + 1).min(closed.len())];
        let is_near = |other: &&Closed| other.number.abs_diff(number) <= AROUND as u64;
        let intervals = near.iter().filter(is_near).map(|other| other.intervals[quantity]);
        median(intervals.filter(|interval| interval.is_finite()).collect()).unwrap_or(f64::NAN)
    };
    (0..closed.len()).map(|index| std::array::from_fn(|quantity| around(index, quantity))).collect()
}

fn rate_changes(closed: &[Closed], usual: &[[f64; NEEDED]], length: i64) -> Vec<RateChange> {
    let slowest = |intervals: &[f64; NEEDED]| intervals.iter().copied().fold(f64::NAN, f64::max);
    let mut changes = Vec::new();
    let mut last = f64::NAN;
    for (closed, usual) in closed.iter().zip(usual) {
        let interval = slowest(usual);
        let has_changed = interval > last * SAME_RATE || interval * SAME_RATE < last;
        if has_changed {
            let at = start(closed.number, length);
            changes.push(RateChange { at, from_seconds: last, to_seconds: interval });
        }
        if has_changed || last.is_nan() {
            last = interval;
        }
    }
    changes
}

fn gaps(closed: &[Closed], length: i64) -> Vec<Range<Timestamp>> {
    let apart = |pair: &[Closed]| {
        let (before, after) = (pair[0].number.saturating_add(1), pair[1].number);
        (after > before).then(|| start(before, length)..start(after, length))
    };
    closed.windows(2).filter_map(apart).collect()
}

/// The middle value, the lower one of two.
pub(super) fn median(mut values: Vec<f64>) -> Option<f64> {
    let middle = values.len().checked_sub(1)? / 2;
    let (_, median, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    Some(*median)
}
