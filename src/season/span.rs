//! For how long a note speaks: from when its readings were set until something was changed. Knows no log.

use jiff::Timestamp;

use super::{Note, Options};

/// A stretch of time, in seconds of the clock that logs and notes share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Its first second.
    pub from: f64,
    /// Its end.
    pub to: f64,
}

/// Seconds since the clock's own beginning.
pub(super) fn seconds(moment: Timestamp) -> f64 {
    moment.as_millisecond() as f64 / 1000.0
}

impl Span {
    /// Whether a stretch that begins there and is as long lies inside.
    pub fn holds(&self, start: f64, length: f64) -> bool {
        self.from <= start && start + length <= self.to
    }

    /// How long it is; 0 if it ends before it begins.
    pub fn length(&self) -> f64 {
        (self.to - self.from).max(0.0)
    }
}

/// For each note, the stretch that it speaks for; `None` where it has no time.
///
/// What a comparison wrote says what was decided, not what was set: it speaks for nothing, and ends nothing.
///
/// From when its readings were set, and some time to settle, until it says, or until the next note of other readings, other
/// sails or a leg of a trial, and for two hours at most.
pub(super) fn spans(notes: &[Note], options: &Options) -> Vec<Option<Span>> {
    let is_sailed = |note: &Note| note.when.is_some() && note.found.is_none();
    let mut in_time: Vec<usize> = (0..notes.len()).filter(|at| is_sailed(&notes[*at])).collect();
    in_time.sort_by_key(|at| notes[*at].when);
    let mut spans = vec![None; notes.len()];
    // From the last on: where a note is followed by more of the same, what ends those ends it too.
    let mut following: Option<(usize, Option<f64>)> = None;
    for &at in in_time.iter().rev() {
        let Some(when) = notes[at].when.map(seconds) else { continue };
        let ended = following.and_then(|(next, end)| {
            if is_more_of_the_same(&notes[at], &notes[next]) { end } else { notes[next].when.map(seconds) }
        });
        let end = [notes[at].until.map(seconds), ended].into_iter().flatten().reduce(f64::min);
        let longest = when + options.longest_s;
        spans[at] = Some(Span { from: when + options.settling_s, to: end.map_or(longest, |end| end.min(longest)) });
        following = Some((at, end));
    }
    spans
}

/// Whether a note only repeats what another says was set: no other reading, no other sails, and neither a leg of a trial.
fn is_more_of_the_same(note: &Note, next: &Note) -> bool {
    let says_other = next.readings.iter().any(|(id, noted)| note.reading_of(id) != Some(*noted));
    note.settings == next.settings && note.trial.is_none() && next.trial.is_none() && !says_other
}
