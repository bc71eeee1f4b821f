//! A note with the steady blocks that it speaks for: what was seen while its readings stood. It compares nothing.

use std::collections::BTreeMap;

use super::effective_size::standard_error;
use super::performance::performances;
use super::span::{Span, seconds, spans};
use super::{Block, Input, row_of};
use crate::tuning::{Angle, Wind};

const SECONDS_IN_A_MINUTE: f64 = 60.0;
/// Blocks whose starts lie this much farther apart than one is long are no neighbours.
const GAP: f64 = 1.5;

/// What was seen under one note.
#[derive(Clone, Debug, PartialEq)]
pub struct Sighting {
    /// The place of its note among the notes.
    pub note: usize,
    /// The place of its settings table.
    pub table: usize,
    /// The row that it speaks for, if it is near one.
    pub row: Option<usize>,
    /// The steady blocks that it speaks for.
    pub blocks: Vec<Seen>,
    /// How many blocks would fit into its time, were all of them steady.
    pub could_be: usize,
    /// The mean of the performance, percent.
    pub mean: Option<f64>,
    /// How unsure the mean is by what is inside this note alone, percent. Never to compare notes by: helm, day and
    /// calibration do not average out inside one (Hurlbert 1984, *Pseudoreplication and the design of ecological field
    /// experiments*, Ecol. Monogr. 54, 187–211).
    pub bar: Option<f64>,
    /// How many minutes of steady blocks it holds.
    pub minutes: f64,
}

/// A steady block under a note.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// Its place among the blocks in order of time.
    pub block: usize,
    /// The wind in the kind of the table's rows.
    pub wind: Wind,
    /// The true wind angle.
    pub angle: Angle,
    /// How well she went, percent.
    pub performance: Option<f64>,
    /// Whether the wind came over the starboard side.
    pub is_starboard_tack: bool,
}

impl Sighting {
    /// The mean wind, in the kind of the table's rows.
    pub fn wind(&self) -> Option<Wind> {
        mean(self.blocks.iter().map(|seen| seen.wind.to_knots())).map(Wind::knots)
    }

    /// The mean true wind angle.
    pub fn angle(&self) -> Option<Angle> {
        mean(self.blocks.iter().map(|seen| seen.angle.to_degrees())).map(Angle::degrees)
    }

    /// How many of its blocks have a performance.
    pub fn counted(&self) -> usize {
        self.blocks.iter().filter(|seen| seen.performance.is_some()).count()
    }
}

/// The mean of some numbers; `None` of none.
pub(super) fn mean(numbers: impl Iterator<Item = f64>) -> Option<f64> {
    let (count, sum) = numbers.fold((0, 0.0), |(count, sum), number| (count + 1, sum + number));
    (count > 0).then(|| sum / f64::from(count))
}

/// One sighting for each note of a table that the book has, in the order of the notes. What was written by a comparison is
/// no sighting.
pub(super) fn sightings(input: &Input) -> Vec<Sighting> {
    let mut blocks: Vec<&Block> = input.blocks.iter().collect();
    blocks.sort_by_key(|block| block.start);
    let spans = spans(input.notes, &input.options);
    let mut sightings: Vec<Sighting> =
        (0..input.notes.len()).filter_map(|note| sighting(input, note, spans[note], &blocks)).collect();
    for table in 0..input.tables.len() {
        perform(input, table, &blocks, &mut sightings);
    }
    sightings.iter_mut().for_each(|sighting| sum_up(sighting, &blocks));
    sightings
}

fn sighting(input: &Input, at: usize, span: Option<Span>, blocks: &[&Block]) -> Option<Sighting> {
    let note = &input.notes[at];
    let table = input.tables.iter().position(|table| table.id == note.settings)?;
    if note.found.is_some() {
        return None;
    }
    let length = blocks.first().map(|block| block.seconds);
    let blocks = span.map_or_else(Vec::new, |span| owned(span, blocks));
    let seen = |(block, own): &(usize, &Block)| Seen {
        block: *block,
        wind: own.wind_of_rows(&input.tables[table]),
        angle: own.angle,
        performance: None,
        is_starboard_tack: own.is_starboard_tack,
    };
    let could_be = span.zip(length).map_or(0, |(span, length)| (span.length() / length) as usize);
    let mut sighting = Sighting {
        note: at,
        table,
        row: None,
        blocks: blocks.iter().map(seen).collect(),
        could_be,
        mean: None,
        bar: None,
        minutes: blocks.iter().map(|(_, block)| block.seconds).sum::<f64>() / SECONDS_IN_A_MINUTE,
    };
    let (wind, angle) = (note.wind.or(sighting.wind()), note.angle.or(sighting.angle()));
    sighting.row = wind.and_then(|wind| row_of(&input.tables[table].rows, wind, angle));
    Some(sighting)
}

/// The blocks that lie in a span whole.
fn owned<'a>(span: Span, blocks: &[&'a Block]) -> Vec<(usize, &'a Block)> {
    let first = blocks.partition_point(|block| seconds(block.start) < span.from);
    let last = blocks.partition_point(|block| seconds(block.start) <= span.to).max(first);
    let inside = (first..last).map(|at| (at, blocks[at]));
    inside.filter(|(_, block)| span.holds(seconds(block.start), block.seconds)).collect()
}

/// Tells each block of a table how well she went, all blocks of the table taken together.
fn perform(input: &Input, table: usize, blocks: &[&Block], sightings: &mut [Sighting]) {
    let own = || sightings.iter().filter(|sighting| sighting.table == table);
    let mut places: Vec<usize> = own().flat_map(|sighting| &sighting.blocks).map(|seen| seen.block).collect();
    places.sort_unstable();
    places.dedup();
    let of_table: Vec<&Block> = places.iter().map(|place| blocks[*place]).collect();
    let performances: BTreeMap<usize, Option<f64>> =
        places.into_iter().zip(performances(&input.tables[table], &of_table)).collect();
    for seen in sightings.iter_mut().filter(|sighting| sighting.table == table).flat_map(|own| &mut own.blocks) {
        seen.performance = performances.get(&seen.block).copied().flatten();
    }
}

fn sum_up(sighting: &mut Sighting, blocks: &[&Block]) {
    let performances = || sighting.blocks.iter().filter_map(|seen| seen.performance);
    let mut series: Vec<Option<f64>> = Vec::new();
    let mut before: Option<&Block> = None;
    for seen in &sighting.blocks {
        let block = blocks[seen.block];
        let is_gap = before.is_some_and(|before| seconds(block.start) - seconds(before.start) > GAP * before.seconds);
        series.extend(is_gap.then_some(None));
        series.push(seen.performance);
        before = Some(block);
    }
    (sighting.mean, sighting.bar) = (mean(performances()), standard_error(&series));
}
