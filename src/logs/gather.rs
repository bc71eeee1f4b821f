//! Puts what a log says on one clock and folds it into blocks, whatever the format. Knows no line.

use jiff::{SignedDuration, Timestamp};

use super::clock::{Clock, Placed};
use super::told::{Tally, What};
use crate::season::steady::{Fold, Steadiness, Steady};
use crate::season::{Moment, Quantity};

/// Values of one quantity that go with one time; of more the clock has stood still.
const MOST_AT_ONCE: u32 = 200;

/// What has been read so far.
pub struct Gather {
    clock: Clock,
    fold: Fold,
    offset: SignedDuration,
    current: Option<Current>,
    seen: [bool; Quantity::ALL.len()],
    /// What there is to tell.
    pub told: Tally,
}

/// What is known of the time that is now.
struct Current {
    time: Timestamp,
    sums: [Sum; Quantity::ALL.len()],
}

#[derive(Clone, Copy, Default)]
struct Sum {
    count: u32,
    /// The last value, which is the only one of one.
    only: f64,
    along: f64,
    across: f64,
}

impl Gather {
    pub fn new(steadiness: Steadiness, offset: SignedDuration) -> Self {
        Gather {
            clock: Clock::default(),
            fold: Fold::new(steadiness),
            offset,
            current: None,
            seen: [false; Quantity::ALL.len()],
            told: Tally::default(),
        }
    }

    /// What is put from now on is of this time. `false`: it is to be left out, as has been told.
    pub fn at(&mut self, time: Timestamp, line: u64) -> bool {
        let Ok(time) = time.checked_add(self.offset) else {
            self.told.add(What::UnreadableTime, line);
            return false;
        };
        let placed = self.clock.place(time.as_microsecond());
        if placed != Placed::Same {
            self.close_moment();
        }
        match placed {
            Placed::Same if self.current.is_some() => return true,
            // The clock has stepped back in between, and is where it was.
            Placed::Same => self.told.add(What::StepBack, line),
            Placed::New => {}
            Placed::OutOfOrder => self.told.add(What::OutOfOrder, line),
            Placed::Covered => self.told.add(What::StepBack, line),
            Placed::NoRoom => self.told.add(What::TooManyJumps, line),
        }
        let is_new = matches!(placed, Placed::New | Placed::OutOfOrder);
        self.current = is_new.then(|| Current { time, sums: Default::default() });
        is_new
    }

    /// Whether a value of the quantity has been put for the time that is now.
    pub fn has(&self, quantity: Quantity) -> bool {
        self.current.as_ref().is_some_and(|current| current.sums[quantity as usize].count > 0)
    }

    /// Whether there is a time that values can be put for.
    pub fn has_time(&self) -> bool {
        self.current.is_some()
    }

    /// A value for the time that is now; of several the mean counts. `false` if the clock has stood still for too long.
    pub fn put(&mut self, quantity: Quantity, value: f64) -> bool {
        let Some(current) = &mut self.current else { return false };
        let sum = &mut current.sums[quantity as usize];
        if sum.count >= MOST_AT_ONCE {
            return false;
        }
        self.seen[quantity as usize] = true;
        sum.count += 1;
        sum.only = value;
        let (across, along) = if quantity.is_direction() { value.to_radians().sin_cos() } else { (0.0, value) };
        sum.across += across;
        sum.along += along;
        true
    }

    /// No more comes for the time that is now.
    pub fn close_moment(&mut self) {
        let Some(current) = self.current.take() else { return };
        let mut moment = Moment::new(current.time);
        for quantity in Quantity::ALL {
            let sum = current.sums[quantity as usize];
            if sum.count == 0 {
                continue;
            }
            let mean = match (sum.count, quantity.is_direction()) {
                (1, _) => sum.only,
                (_, true) => sum.across.atan2(sum.along).to_degrees(),
                (count, false) => sum.along / f64::from(count),
            };
            moment = moment.with(quantity, mean);
        }
        self.fold.add(&moment);
    }

    /// The last time that was new, if any, as the log's own clock says it.
    pub fn now(&self) -> Option<Timestamp> {
        Timestamp::from_microsecond(self.clock.now()?).ok()?.checked_sub(self.offset).ok()
    }

    /// Whether any value of the quantity was put.
    pub fn has_seen(&self, quantity: Quantity) -> bool {
        self.seen[quantity as usize]
    }

    /// The blocks, and what there is to tell.
    pub fn finish(mut self) -> (Steady, Tally) {
        self.close_moment();
        (self.fold.finish(), self.told)
    }
}
