//! What a comparison left out, and why: counted, and never in silence. It leaves nothing out itself.

use std::collections::BTreeMap;

use serde::Serialize;

use super::trial::Trial;
use super::{Input, Note};

/// What was left out, by reason.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Dropped {
    /// Blocks of the logs.
    pub blocks: BTreeMap<String, usize>,
    /// Notes, or what they say of a control whose scale was measured anew since.
    pub notes: BTreeMap<String, usize>,
    /// Trials that do not count, each under its first reason.
    pub trials: BTreeMap<String, usize>,
}

pub(super) fn dropped(input: &Input, trials: &[Trial]) -> Dropped {
    let mut dropped = Dropped { blocks: input.left_out.clone(), ..Dropped::default() };
    for reason in input.notes.iter().filter_map(|note| left_out(input, note)) {
        *dropped.notes.entry(reason.to_owned()).or_default() += 1;
    }
    for reason in trials.iter().filter_map(|trial| trial.outcome.as_ref().err()?.first()) {
        *dropped.trials.entry(reason.key().to_owned()).or_default() += 1;
    }
    dropped
}

/// Why a note, or a part of it, is of no use; what was written by a comparison was never to be.
fn left_out(input: &Input, note: &Note) -> Option<&'static str> {
    let table = input.tables.iter().find(|table| table.id == note.settings);
    let is_older = |(id, _): &(String, _)| {
        let measured = table.and_then(|table| table.controls[table.control(id)?].measured);
        measured.is_some_and(|measured| note.when.is_none_or(|when| when < measured))
    };
    match table {
        _ if note.found.is_some() => None,
        None => Some("unknown-settings"),
        Some(_) if note.when.is_none() => Some("no-time"),
        Some(_) => note.readings.iter().any(is_older).then_some("measured-since"),
    }
}
