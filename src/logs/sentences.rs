//! A log of sentences of NMEA 0183: time from RMC or ZDA, and what stands between two times is of the first. Knows no table.

use std::collections::BTreeSet;

use jiff::{SignedDuration, Timestamp};

use super::gather::Gather;
use super::lines::Line;
use super::sentence::{self, Fault, Says, Sentence, Source};
use super::told::What;
use crate::season::Quantity;

/// How often others are heard before the one that is listened to is given up: a slow one comes once among fifty fast ones.
const SILENT_FOR: u32 = 50;
/// Two receivers, or two sentences of one, differ by so little without a clock having gone back.
const JITTER: SignedDuration = SignedDuration::from_secs(2);
/// Addresses that may be remembered: more than all talkers and sentences that there are.
const MOST_SOURCES: usize = 10_000;

/// Reads the lines of such a log, one by one.
#[derive(Default)]
pub struct Sentences {
    /// Those who have ended a sentence with a check; one of theirs without it has been cut.
    with_check: BTreeSet<Source>,
    clock: Chosen,
    heard: [Chosen; Quantity::ALL.len()],
    has_time: bool,
}

/// Who is listened to where several say the same: two compasses or two clocks are never mixed.
#[derive(Clone, Copy, Default)]
struct Chosen {
    source: Option<Source>,
    others: u32,
}

impl Chosen {
    fn listens_to(&mut self, source: Source) -> bool {
        let is_chosen = self.source == Some(source);
        self.others = if is_chosen { 0 } else { self.others.saturating_add(1) };
        if self.source.is_none() || self.others > SILENT_FOR {
            (self.source, self.others) = (Some(source), 0);
            return true;
        }
        is_chosen
    }
}

/// Whether a line looks like one of such a log, though it may be spoilt.
pub fn is_sentence(bytes: &[u8]) -> bool {
    match bytes.first() {
        Some(b'!' | b'\\') => true,
        _ => behind_dollar(bytes).is_some_and(sentence::has_address),
    }
}

/// What stands behind the last `$`: tag blocks and the times of whoever wrote the log come before it, and so does the beginning
/// of a sentence whose end is lost.
fn behind_dollar(bytes: &[u8]) -> Option<&[u8]> {
    let dollar = bytes.iter().rposition(|byte| *byte == b'$')?;
    Some(&bytes[dollar + 1..])
}

impl Sentences {
    /// One line more.
    pub fn line(&mut self, line: &Line<'_>, gather: &mut Gather) {
        let Some(text) = behind_dollar(line.bytes) else {
            // Sentences of other ships, tag blocks alone, and remarks.
            let is_other = matches!(line.bytes.first(), None | Some(b'!' | b'\\' | b'#'));
            if !is_other && !line.bytes.trim_ascii().is_empty() {
                gather.told.add(What::NotWhole, line.number);
            }
            return;
        };
        if line.bytes[..line.bytes.len() - text.len() - 1].contains(&b'$') {
            gather.told.add(What::NotWhole, line.number);
        }
        match sentence::read(text) {
            Ok(sentence) if self.is_whole(&sentence, line.has_end) => self.take(&sentence, line.number, gather),
            Ok(_) | Err(Fault::NotWhole) => gather.told.add(What::NotWhole, line.number),
            Err(Fault::BrokenCheck) => gather.told.add(What::BrokenCheck, line.number),
        }
    }

    /// Without a check a sentence counts only where its talker never gives one, and where its line has an end.
    fn is_whole(&mut self, sentence: &Sentence, has_end: bool) -> bool {
        if sentence.has_check && self.with_check.len() < MOST_SOURCES {
            self.with_check.insert(sentence.source);
        }
        sentence.has_check || (has_end && !self.with_check.contains(&sentence.source))
    }

    fn take(&mut self, sentence: &Sentence, line: u64, gather: &mut Gather) {
        match sentence.says {
            Says::Nothing => {}
            Says::Time(time) if self.clock.listens_to(sentence.source) => self.time(time, line, gather),
            Says::Time(_) => {}
            Says::Values(values) => {
                for (quantity, value) in values.into_iter().flatten() {
                    self.value(quantity, value, sentence.source, line, gather);
                }
            }
        }
    }

    fn time(&mut self, time: Timestamp, line: u64, gather: &mut Gather) {
        self.has_time = true;
        let back = gather.now().map(|now| now.duration_since(time));
        let is_jitter = gather.has_time() && back.is_some_and(|back| back.is_positive() && back <= JITTER);
        if !is_jitter {
            gather.at(time, line);
        }
    }

    fn value(&mut self, quantity: Quantity, value: f64, source: Source, line: u64, gather: &mut Gather) {
        if !quantity.range().contains(&value) {
            gather.told.add(What::OutOfRange(name(source)), line);
        } else if !self.has_time {
            gather.told.add(What::BeforeTime, line);
        } else if self.heard[quantity as usize].listens_to(source) && gather.has_time() && !gather.put(quantity, value)
        {
            gather.told.add(What::ClockStandsStill, line);
        }
    }

    /// Whether any sentence told the time.
    pub fn has_time(&self) -> bool {
        self.has_time
    }
}

/// `WIMWV`.
fn name(source: Source) -> String {
    let address = &source[..source.len() - 1];
    String::from_utf8_lossy(address).into_owned()
}
