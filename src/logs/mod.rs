//! Reads logs of the instruments, tables and sentences, into steady blocks. Knows no book, no settings and no card.
//!
//! A log is read line by line and folded as it comes, so that the longest takes no more memory than its blocks. What is wrong with it is
//! told with the line where it was met first and how often; nothing that is wrong with one record costs another.
//!
//! ```
//! use cockpit_cards::logs;
//!
//! let mut log = String::from("time, tws kn, twa deg, stw kn\n");
//! for second in 0..60 {
//!     log += &format!("2027-06-12T14:02:{second:02}+02:00, 12.1, -42, 6.7\n");
//! }
//! let read = logs::read("night.csv", log.as_bytes(), &logs::Options::default());
//! assert_eq!(read.blocks.len(), 1);
//! // To port the angle is below 0.
//! assert!(!read.blocks[0].is_starboard_tack);
//! assert_eq!(read.told, []);
//! ```

mod clock;
mod columns;
mod gather;
mod lines;
mod sentence;
mod sentences;
mod table;
mod time;
mod told;

use std::io::BufRead;

use jiff::civil::Date;
use jiff::tz::TimeZone;
use jiff::{SignedDuration, Timestamp};

pub use told::{Level, Told, What};

use crate::season::steady::{DroppedBlock, Steadiness, Steady, Why};
use crate::season::{Block, Quantity};
use gather::Gather;
use lines::{Line, Lines};
use sentences::Sentences;
use table::Table;
use time::Reckoning;

/// Lines among which the head of a table is looked for: some instruments write who they are first.
const LINES_BEFORE_HEAD: u64 = 50;

/// What a log does not say by itself.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// The time zone of times that are written without one. Sentences are always in UTC.
    pub zone: Option<TimeZone>,
    /// The day on which times begin that are written without one; after midnight it is the next.
    pub day: Option<Date>,
    /// Added to every time: an instrument clock that is ten seconds slow wants 10 s.
    pub clock_offset: SignedDuration,
    /// What makes a block steady.
    pub steadiness: Steadiness,
}

/// What was read.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Read {
    /// The steady blocks, in order of time.
    pub blocks: Vec<Block>,
    /// The blocks that were dropped, in order of time, each with its reason.
    pub dropped: Vec<DroppedBlock>,
    /// Values that went by Chauvenet's criterion, in the steady blocks.
    pub outliers: usize,
    /// What there is to tell: errors, then warnings, then notes.
    pub told: Vec<Told>,
}

impl Read {
    /// How many blocks were dropped for a reason.
    pub fn dropped_for(&self, why: Why) -> usize {
        self.dropped.iter().filter(|dropped| dropped.why == why).count()
    }
}

/// Reads one log. `name` is what it is called in what is told.
pub fn read(name: &str, log: impl BufRead, options: &Options) -> Read {
    read_all([(name, log)], options)
}

/// Reads several logs as one, such as those of a night that were begun anew every hour: what stands in two counts once, and a block may
/// begin in one and end in the next. Give them in order of time; in another order the blocks that lie across two of them are lost.
pub fn read_all<'a, R: BufRead>(logs: impl IntoIterator<Item = (&'a str, R)>, options: &Options) -> Read {
    let mut gather = Gather::new(options.steadiness, options.clock_offset);
    for (name, log) in logs {
        gather.told.of(name);
        if let Err(what) = one(log, options, &mut gather) {
            gather.told.count(what, None, 1);
        }
        gather.close_moment();
    }
    tell_what_is_missing(&mut gather);
    let (steady, mut told) = gather.finish();
    tell(&steady, &mut told);
    Read { blocks: steady.blocks, dropped: steady.dropped, outliers: steady.outliers, told: told.all() }
}

/// How the lines of a log are to be read.
enum Format {
    Unknown,
    Table(Table),
    Sentences(Sentences),
}

fn one(log: impl BufRead, options: &Options, gather: &mut Gather) -> Result<(), What> {
    let mut lines = Lines::new(log);
    let mut format = Format::Unknown;
    let mut is_empty = true;
    while let Some(line) = lines.next().map_err(|error| What::Unreadable(error.to_string()))? {
        is_empty &= line.bytes.trim_ascii().is_empty();
        if line.is_too_long {
            gather.told.add(What::TooLong, line.number);
            continue;
        }
        match &mut format {
            Format::Unknown if line.number > LINES_BEFORE_HEAD => return Err(What::NoLog),
            Format::Unknown => format = begin(&line, options, gather),
            Format::Table(table) => table.line(&line, gather)?,
            Format::Sentences(sentences) => sentences.line(&line, gather),
        }
    }
    match format {
        Format::Unknown if is_empty => Err(What::Empty),
        Format::Unknown => Err(What::NoLog),
        Format::Sentences(sentences) if !sentences.has_time() => Err(What::NoClock),
        Format::Table(_) | Format::Sentences(_) => Ok(()),
    }
}

/// What a line says of the format of its log.
fn begin(line: &Line<'_>, options: &Options, gather: &mut Gather) -> Format {
    if sentences::is_sentence(line.bytes) {
        let mut sentences = Sentences::default();
        sentences.line(line, gather);
        return Format::Sentences(sentences);
    }
    let reckoning = || Reckoning::new(options.zone.clone(), options.day);
    Table::new(line, reckoning).map_or(Format::Unknown, Format::Table)
}

/// Without the boat's speed and the wind there is no block, which is not the fault of any record.
fn tell_what_is_missing(gather: &mut Gather) {
    if gather.now().is_none() {
        return;
    }
    let has = |speed, angle| gather.has_seen(speed) && gather.has_seen(angle);
    let has_wind = has(Quantity::TrueWind, Quantity::TrueAngle) || has(Quantity::ApparentWind, Quantity::ApparentAngle);
    if !gather.has_seen(Quantity::Speed) {
        gather.told.count(What::NoSpeed, None, 1);
    }
    if !has_wind {
        gather.told.count(What::NoWind, None, 1);
    }
}

/// What shows only once all blocks are known.
fn tell(steady: &Steady, told: &mut told::Tally) {
    let seconds = |gap: &std::ops::Range<Timestamp>| gap.end.duration_since(gap.start).as_secs();
    if let Some(longest) = steady.gaps.iter().map(seconds).max() {
        told.count(What::Gaps(longest), None, steady.gaps.len() as u64);
    }
    if let Some(first) = steady.rate_changes.first() {
        let what = What::RateChanges(first.from_seconds, first.to_seconds);
        told.count(what, None, steady.rate_changes.len() as u64);
    }
    if steady.worked_out > 0 {
        told.count(What::WorkedOut, None, steady.worked_out as u64);
    }
    if steady.without_room > 0 {
        told.count(What::TooManyRecords, None, steady.without_room as u64);
    }
}
