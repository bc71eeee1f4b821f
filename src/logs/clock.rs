//! One clock for all records: which times are new, and which a log has told of before. Knows no value and no format.

use std::collections::BTreeMap;

use crate::limits;

const MICROS_PER_SECOND: i64 = 1_000_000;
/// A clock that runs on by more than this, in microseconds, leaves a gap that other records may lie in.
const GAP: i64 = 10 * MICROS_PER_SECOND;

/// The stretches of time that records have been read of, by their beginning.
#[derive(Debug, Default)]
pub struct Clock {
    stretches: BTreeMap<i64, i64>,
    now: Option<i64>,
}

/// Where a time stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Placed {
    /// No record has told of it.
    New,
    /// No record has told of it, though there was one of a later time.
    OutOfOrder,
    /// It is the time of the last record.
    Same,
    /// Records have told of it before.
    Covered,
    /// There are more jumps in this log than any log has.
    NoRoom,
}

impl Clock {
    /// Takes a time, in microseconds, into account.
    pub fn place(&mut self, time: i64) -> Placed {
        if self.now == Some(time) {
            return Placed::Same;
        }
        let has_room = self.stretches.len() < limits::MAX_LOG_STRETCHES;
        let before = self.stretches.range_mut(..=time).next_back();
        match before {
            Some((_, end)) if time <= *end => return Placed::Covered,
            Some((_, end)) if time - *end <= GAP => *end = time,
            _ if !has_room => return Placed::NoRoom,
            _ => {
                self.stretches.insert(time, time);
            }
        }
        let placed = if self.now.is_some_and(|now| time < now) { Placed::OutOfOrder } else { Placed::New };
        self.now = Some(time);
        placed
    }

    /// The last time that was new.
    pub fn now(&self) -> Option<i64> {
        self.now
    }
}
