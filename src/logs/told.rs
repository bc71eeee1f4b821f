//! What there is to tell of a log: as data until the last moment, and the words for all of it. Knows no reader.

use std::fmt;

use crate::wrong::{Wrong, shown};

/// How much something told matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Level {
    /// Nothing could be made of the log, or of the rest of it.
    Error,
    /// Something of it was left out, or may have been read otherwise than it was meant.
    Warning,
    /// How it was read, for who wants to know.
    Note,
}

/// What is told of a log.
#[derive(Clone, Debug, PartialEq)]
pub enum What {
    /// The machine cannot read it; what was read before counts.
    Unreadable(String),
    /// There is nothing in it.
    Empty,
    /// It is neither a table with a head that says what stands in it, nor sentences.
    NoLog,
    /// No sentence tells the time.
    NoClock,
    /// Times have no zone and none is known.
    NoZone,
    /// Times have no day and none is known.
    NoDay,
    /// It says nothing of the speed through the water.
    NoSpeed,
    /// It says nothing of the wind, or only half of it.
    NoWind,
    /// Two columns are of one quantity.
    TwoColumns(String),
    /// A column is in a unit that is not known.
    UnknownUnit(String),
    /// A column of speeds does not say its unit.
    NoUnit(String),
    /// A time that is none.
    UnreadableTime,
    /// A day that can be read in two ways.
    WhichDay,
    /// A value that is no number.
    NoNumber(String),
    /// A value that no instrument means.
    OutOfRange(String),
    /// A record of a time that there was a record of just before.
    Duplicate,
    /// A record of a time that there were records of before.
    StepBack,
    /// A record of an earlier time than the last, though of one that there was no record of.
    OutOfOrder,
    /// The clock jumps more often than it can be followed.
    TooManyJumps,
    /// Values that come before the first time.
    BeforeTime,
    /// Values that come when no time has for long.
    ClockStandsStill,
    /// A sentence whose check does not fit.
    BrokenCheck,
    /// A sentence of which a part is missing or spoilt.
    NotWhole,
    /// The last line has no end.
    CutOff,
    /// A line that is longer than any line of a log.
    TooLong,
    /// A block with more records than it has room for.
    TooManyRecords,
    /// Columns that are not used.
    Unused(Vec<String>),
    /// Time without a record; the longest of it, in seconds.
    Gaps(i64),
    /// Records come slower or faster: seconds between them, before and after.
    RateChanges(f64, f64),
    /// The true wind was worked out.
    WorkedOut,
}

impl What {
    /// How much it matters.
    pub const fn level(&self) -> Level {
        match self {
            What::Unreadable(_)
            | What::Empty
            | What::NoLog
            | What::NoClock
            | What::NoZone
            | What::NoDay
            | What::NoSpeed
            | What::NoWind => Level::Error,
            What::Unused(_) | What::Gaps(_) | What::RateChanges(..) | What::WorkedOut => Level::Note,
            _ => Level::Warning,
        }
    }

    /// What is wrong and what would be right, of so many.
    fn words(&self, count: u64) -> Wrong {
        let some = |one: &str, many: &str| if count == 1 { one.to_owned() } else { format!("{count} {many}") };
        match self {
            What::Unreadable(why) => {
                Wrong::new(format!("it cannot be read on: {why}"), "look at the file; what was read counts")
            }
            What::Empty => Wrong::new("there is nothing in this log", "name another file"),
            What::NoLog => Wrong::new(
                "this is no log that can be read: it has no line that names its columns, and no sentence that begins with `$`",
                "save it as CSV with a first line such as `time, tws kn, twa deg, stw kn`, or as NMEA 0183 text",
            ),
            What::NoClock => Wrong::new(
                "no sentence of this log tells the time and the day",
                "log RMC or ZDA as well: the GPS sends them",
            ),
            What::NoZone => {
                Wrong::new("the times of this log have no time zone", "name the zone, such as `Europe/London`")
            }
            What::NoDay => {
                Wrong::new("the times of this log have no day", "name the day it begins on, such as `2027-06-12`")
            }
            What::NoSpeed => Wrong::new(
                "this log does not have the speed through the water",
                "log it: a column `stw kn`, or the sentence VHW",
            ),
            What::NoWind => Wrong::new(
                "this log does not have the wind, its speed and its angle",
                "log `tws kn` with `twa deg`, or `aws kn` with `awa deg`, or the sentence MWV",
            ),
            What::TwoColumns(column) => {
                Wrong::new(format!("{} is there twice", shown(column)), "the first of them counts; take the other out")
            }
            What::UnknownUnit(column) => Wrong::new(
                format!("the unit of {} is not known, so it is left out", shown(column)),
                "write speeds in `kn`, `m/s`, `km/h` or `mph`, and angles in `deg` or `rad`",
            ),
            What::NoUnit(column) => Wrong::new(
                format!("{} does not say its unit; it is taken as knots", shown(column)),
                "write the unit behind the name, such as `stw kn`",
            ),
            What::UnreadableTime => Wrong::new(
                some("a record has no time that can be read", "records have no time that can be read"),
                "write it like `2027-06-12T14:02:00+02:00`",
            ),
            What::WhichDay => Wrong::new(
                some("a day can be read in two ways", "days can be read in two ways"),
                "write the year first, such as `2027-06-12`",
            ),
            What::NoNumber(column) => Wrong::new(
                format!("{} under {}", some("a value is no number", "values are no numbers"), shown(column)),
                "leave a cell blank where nothing is known",
            ),
            What::OutOfRange(column) => Wrong::new(
                format!("{} under {}", some("no boat has this value", "values that no boat has"), shown(column)),
                "look at the instrument, or at the unit of the column; they are left out",
            ),
            What::Duplicate => Wrong::new(
                some("a record has the time of the one before", "records have the time of the one before"),
                "the first of a time counts, the others are left out",
            ),
            What::StepBack => Wrong::new(
                some(
                    "a record is of a time that has been logged already",
                    "records are of times that have been logged already",
                ),
                "the clock went back, or a part is there twice; the first counts, the rest is left out",
            ),
            What::OutOfOrder => Wrong::new(
                format!("the clock goes back {}, to a time not yet logged", some("once", "times")),
                "nothing is left out; look whether the times are right",
            ),
            What::TooManyJumps => Wrong::new(
                some(
                    "a record is left out: the clock jumps too often",
                    "records are left out: the clock jumps too often",
                ),
                "look at how the log was made",
            ),
            What::BeforeTime => Wrong::new(
                some("a value comes before the first time", "values come before the first time"),
                "nothing to do: they are left out",
            ),
            What::ClockStandsStill => Wrong::new(
                some("a value comes while the clock stands still", "values come while the clock stands still"),
                "look whether the GPS had lost its time; they are left out",
            ),
            What::BrokenCheck => Wrong::new(
                some("a sentence has a check that does not fit", "sentences have a check that does not fit"),
                "nothing to do: they are left out",
            ),
            What::NotWhole => Wrong::new(
                some("a sentence is not whole", "sentences are not whole"),
                "nothing to do: they are left out",
            ),
            What::CutOff => Wrong::new(
                "the last line has no end, so it was cut off",
                "nothing to do: it is left out; if it was not cut, end it with a line break",
            ),
            What::TooLong => Wrong::new(
                some("a line is longer than any line of a log", "lines are longer than any line of a log"),
                "they are left out; look at how the log was made",
            ),
            What::TooManyRecords => Wrong::new(
                some("a record is one too many of its block", "records are too many of their blocks"),
                "they are left out; take shorter blocks, or a log of ten records a second at most",
            ),
            What::Unused(columns) => {
                let names: Vec<String> = columns.iter().map(|column| shown(column)).collect();
                Wrong::new(format!("not used: {}", names.join(", ")), "nothing to do")
            }
            What::Gaps(longest) => Wrong::new(
                format!(
                    "{} without a record; the longest is of {}",
                    some("a stretch", "stretches"),
                    duration(*longest)
                ),
                "nothing to do: the rest counts",
            ),
            What::RateChanges(from, to) => Wrong::new(
                format!(
                    "records come at another rate {}; at first {} s apart, then {} s",
                    some("from some time on", "times"),
                    rounded(*from),
                    rounded(*to)
                ),
                "nothing to do: each block is held to the rate around it",
            ),
            What::WorkedOut => Wrong::new(
                format!(
                    "the true wind of {} was worked out from the apparent wind and the speed through the water",
                    some("a block", "blocks")
                ),
                "leeway is left out; log the true wind if the instruments have it",
            ),
        }
    }
}

fn duration(seconds: i64) -> String {
    const MINUTE: i64 = 60;
    const HOUR: i64 = 60 * MINUTE;
    match seconds {
        ..MINUTE => format!("{seconds} s"),
        MINUTE..HOUR => format!("{} min", seconds / MINUTE),
        _ => format!("{} h {} min", seconds / HOUR, seconds % HOUR / MINUTE),
    }
}

/// To tenths.
fn rounded(seconds: f64) -> f64 {
    const TENTHS: f64 = 10.0;
    (seconds * TENTHS).round() / TENTHS
}

/// One thing told of a log, as often as it was met.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// The name of the log, as the user gave it.
    pub log: String,
    /// The line where it was met first, counted from 1, where it belongs to a line.
    pub line: Option<u64>,
    /// How often it was met.
    pub count: u64,
    /// What it is.
    pub what: What,
}

impl Told {
    /// How much it matters.
    pub const fn level(&self) -> Level {
        self.what.level()
    }

    /// What is wrong and what would be right, in words.
    pub fn words(&self) -> Wrong {
        self.what.words(self.count)
    }
}

impl fmt::Display for Told {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}", self.log)?;
        match self.line {
            Some(line) if self.count > 1 => write!(f, ", first in line {line}")?,
            Some(line) => write!(f, ", line {line}")?,
            None => {}
        }
        write!(f, ": {}", self.words())
    }
}

/// Counts what there is to tell, each thing once.
#[derive(Debug, Default)]
pub struct Tally {
    log: String,
    told: Vec<Told>,
}

impl Tally {
    /// What is told from now on is of this log.
    pub fn of(&mut self, log: &str) {
        self.log = log.to_owned();
    }

    /// Met in a line.
    pub fn add(&mut self, what: What, line: u64) {
        self.count(what, Some(line), 1);
    }

    /// Met so often in the whole.
    pub fn count(&mut self, what: What, line: Option<u64>, count: u64) {
        match self.told.iter_mut().rev().find(|told| told.what == what && told.log == self.log) {
            Some(told) => told.count += count,
            None => self.told.push(Told { log: self.log.clone(), line, count, what }),
        }
    }

    /// All of it: errors first, then warnings, then notes.
    pub fn all(mut self) -> Vec<Told> {
        self.told.sort_by_key(Told::level);
        self.told
    }
}
