//! When a boat tacks, gybes or turns, from the ticks of closed blocks. Knows no record.

use super::open::{Closed, Tick, direction_of, signed};
use super::{MICROS_PER_SECOND, Steadiness, TICKS};

/// The wind closer than this to the bow or to the stern, degrees, stands on neither side: a helm wanders as much.
const ON_NEITHER_SIDE_DEG: f64 = 5.0;
/// Ticks of the half block before and of the half block after that a turn shows in.
const WINDOW: usize = TICKS / 2;
/// How many of them must have a heading.
const LEAST_OF_WINDOW: usize = 2;

/// Ticks counted from the beginning of time, so that they run on from block to block; where in between, as a part of one.
type TickTime = f64;

/// Every tick of the blocks with its place in time.
fn ticks(closed: &[Closed]) -> impl Iterator<Item = (i64, &Tick)> {
    let of_block = |closed: &'_ Closed| closed.number.saturating_mul(TICKS as i64);
    closed.iter().flat_map(move |closed| (of_block(closed)..).zip(&closed.ticks))
}

/// When the wind changed sides. Between two ticks that follow each other it is known to a record; over a gap, from the end of the one
/// to the beginning of the other.
pub fn tacks(closed: &[Closed]) -> Vec<(TickTime, TickTime)> {
    let mut tacks = Vec::new();
    let mut last: Option<(i64, &Tick, bool)> = None;
    for (time, tick) in ticks(closed) {
        let Some(is_starboard) = side(tick) else { continue };
        if let Some((last_time, last_tick, _)) = last.filter(|(_, _, was_starboard)| *was_starboard != is_starboard) {
            let already = if is_starboard { last_tick.starboard } else { 1.0 - last_tick.starboard };
            let still = if is_starboard { 1.0 - tick.starboard } else { tick.starboard };
            tacks.push((last_time as f64 + 1.0 - already, time as f64 + still));
        }
        last = Some((time, tick, is_starboard));
    }
    tacks
}

/// Whether the wind of a tick comes from starboard, where it comes from a side.
fn side(tick: &Tick) -> Option<bool> {
    let angle = tick.wind_deg?;
    let off = angle.abs().min(180.0 - angle.abs());
    (off >= ON_NEITHER_SIDE_DEG).then_some(angle > 0.0)
}

/// When the mean heading turned by more than so many degrees: of the times at which it did, those at which it did most.
pub fn turns(closed: &[Closed], turn_deg: f64) -> Vec<(TickTime, TickTime)> {
    let headings: Vec<(i64, (f64, f64))> =
        ticks(closed).filter_map(|(time, tick)| Some((time, tick.heading?))).collect();
    let mut turned: Vec<(i64, f64)> = Vec::new();
    let times = headings.iter().map(|(time, _)| *time);
    for (index, time) in times.enumerate() {
        let nearby = &headings[index.saturating_sub(WINDOW)..(index + WINDOW).min(headings.len())];
        let by = turned_at(nearby, time).unwrap_or(0.0);
        turned.push((time, by));
    }
    let at = |index: Option<usize>| index.and_then(|index| turned.get(index)).map_or(0.0, |(_, by)| *by);
    let is_most = |index: usize| at(Some(index)) >= at(index.checked_sub(1)) && at(Some(index)) >= at(Some(index + 1));
    let most = turned.iter().enumerate().filter(|(index, (_, by))| *by > turn_deg && is_most(*index));
    most.map(|(_, (time, _))| (*time as f64, *time as f64)).collect()
}

/// By how much the mean heading of the half block from a time on differs from that of the half block before.
fn turned_at(headings: &[(i64, (f64, f64))], time: i64) -> Option<f64> {
    let window = WINDOW as i64;
    let mean = |from: i64, until: i64| {
        let inside = headings.iter().filter(|(at, _)| (from..until).contains(at));
        let (count, sum) =
            inside.fold((0, (0.0, 0.0)), |(count, sum), (_, one)| (count + 1, (sum.0 + one.0, sum.1 + one.1)));
        (count >= LEAST_OF_WINDOW).then(|| direction_of(sum))
    };
    let (before, after) = (mean(time.saturating_sub(window), time)?, mean(time, time.saturating_add(window))?);
    Some(signed(after - before).abs())
}

/// The blocks that are too close to a turn of some kind: ranges of their numbers, in order and apart.
pub struct Near(Vec<(i64, i64)>);

impl Near {
    /// A block is too close if what is less than `clear_seconds` from it, before or after, holds part of a turn.
    pub fn new(turns: Vec<(TickTime, TickTime)>, steadiness: &Steadiness) -> Self {
        let length = steadiness.block_micros() as f64 / MICROS_PER_SECOND as f64;
        let clear = f64::from(steadiness.clear_seconds) / length;
        let blocks = |(from, until): (TickTime, TickTime)| {
            let (from, until) = (from / TICKS as f64 - clear, until / TICKS as f64 + clear);
            // A block that ends where the clear time begins is clear, and so is one that begins where it ends.
            (from.floor() as i64, until.ceil() as i64 - 1)
        };
        let mut ranges: Vec<(i64, i64)> = turns.into_iter().map(blocks).collect();
        ranges.sort_unstable();
        let mut apart: Vec<(i64, i64)> = Vec::with_capacity(ranges.len());
        for (from, until) in ranges {
            match apart.last_mut() {
                Some(last) if from <= last.1 => last.1 = last.1.max(until),
                _ => apart.push((from, until)),
            }
        }
        Near(apart)
    }

    /// Whether a block is one of them.
    pub fn holds(&self, number: i64) -> bool {
        let after = self.0.partition_point(|(from, _)| *from <= number);
        after.checked_sub(1).is_some_and(|index| number <= self.0[index].1)
    }
}
