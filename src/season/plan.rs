//! Which question to sail next, and why; and what it would show after how many trials. Knows no page.

use super::asking::Asking;
use super::blocked::Scatter;
use super::compare::Comparison;
use super::propose::Answer;
use super::question::{BELOW_UPPER_END, CHECKPOINTS};
use super::{Cell, Input, Verdict, reach_of, row_of};
use crate::tuning::{Angle, Wind};

/// What trials of a racing keelboat scatter by, percent, until her own have been sailed: what simulated seasons show (see
/// `tests/truth/simulated_season.rs`).
pub const USUAL_SCATTER: f64 = 1.0;

/// The next trial of a question.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The place of the settings table.
    pub table: usize,
    /// The row.
    pub row: usize,
    /// The control: its place in the table.
    pub control: usize,
    /// The winds that the mean of a trial must lie between, in the kind of the table's rows.
    pub winds: (Wind, Wind),
    /// The angles, where the table has angles.
    pub angles: Option<(Angle, Angle)>,
    /// What is asked.
    pub asking: Asking,
    /// How many trials of the question count already.
    pub sailed: usize,
    /// What to set in each leg.
    pub legs: Vec<f64>,
    /// Why this question.
    pub why: Why,
    /// What the checkpoints still to come would show.
    pub expected: Vec<Expected>,
}

/// Why a question is worth sailing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Why {
    /// A person named it.
    Named,
    /// What was sailed contradicts itself.
    Disputed,
    /// It was begun, and is not settled.
    Begun,
    /// She was sailed most in this row, so many minutes by the log, and this control has so many notes that say `slow`, and
    /// so many of another reading than the book's.
    MostSailed {
        /// Minutes of steady blocks in the row.
        minutes: f64,
        /// Notes of the control that say `slow`.
        slow: usize,
        /// Notes of the control at another reading than the book's.
        other: usize,
    },
}

/// What a checkpoint would show.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Expected {
    /// After how many trials, which are as many hours.
    pub trials: usize,
    /// What a 90 % interval would reach to either side, percent.
    pub half_width: f64,
}

/// What a person wants to ask.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wanted<'a> {
    /// The id of the settings table.
    pub settings: &'a str,
    /// The wind of the row, in the kind of its rows.
    pub wind: Wind,
    /// Its angle, where the table has angles.
    pub angle: Option<Angle>,
    /// The id of the control.
    pub control: &'a str,
}

/// Why there is nothing to plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoPlan {
    /// The book has no such settings table.
    NoSettings,
    /// The table has no row near that wind and angle.
    NoRow,
    /// The table has no such control.
    NoControl,
    /// The book has no one reading of the control there.
    NoReading,
    /// Limits leave no other reading to try.
    NoRoom,
    /// Nothing that was sailed asks for a trial.
    NothingOpen,
}

/// The next trial of the question that a person names.
pub fn plan(input: &Input, comparison: &Comparison, wanted: &Wanted) -> Result<Plan, NoPlan> {
    let table = input.tables.iter().position(|table| table.id == wanted.settings).ok_or(NoPlan::NoSettings)?;
    let own = &input.tables[table];
    let row = row_of(&own.rows, wanted.wind, wanted.angle).ok_or(NoPlan::NoRow)?;
    let control = own.control(wanted.control).ok_or(NoPlan::NoControl)?;
    let book = own.controls[control].book_reading(row).ok_or(NoPlan::NoReading)?;
    let asking = Asking::round(&own.controls[control], book).ok_or(NoPlan::NoRoom)?;
    let cell = comparison.cells.iter().find(|cell| (cell.table, cell.row, cell.at) == (table, row, control));
    Ok(planned(input, comparison, (table, row, control), asking, cell.map_or(0, |cell| cell.trials), Why::Named))
}

/// The next trial of the question most worth asking: first what contradicts itself, then what was begun, then where she was
/// sailed most, the control with most notes that say `slow` or that differ from the book. One or two questions a season are
/// as many as there are hours for.
pub fn propose(input: &Input, comparison: &Comparison) -> Result<Plan, NoPlan> {
    let is_open = |cell: &&Cell| match cell.verdict {
        Answer::Disputed | Answer::TooLittle => true,
        Answer::NotToldApart => cell.next_checkpoint.is_some(),
        Answer::Change | Answer::Keep => false,
    };
    let open = comparison.cells.iter().filter(is_open).filter_map(|cell| Some((cell, cell.asking.clone()?)));
    let worth = |cell: &Cell| {
        let (minutes, slow, other) = sailed(input, comparison, cell);
        (cell.verdict == Answer::Disputed, cell.trials > 0, minutes, slow + other)
    };
    let best = open.max_by(|(a, _), (b, _)| {
        let (a, b) = (worth(a), worth(b));
        (a.0, a.1).cmp(&(b.0, b.1)).then(a.2.total_cmp(&b.2)).then(a.3.cmp(&b.3))
    });
    let (cell, asking) = best.ok_or(NoPlan::NothingOpen)?;
    let (minutes, slow, other) = sailed(input, comparison, cell);
    let why = match cell.verdict {
        Answer::Disputed => Why::Disputed,
        _ if cell.trials > 0 => Why::Begun,
        _ => Why::MostSailed { minutes, slow, other },
    };
    Ok(planned(input, comparison, (cell.table, cell.row, cell.at), asking, cell.trials, why))
}

/// How many minutes were sailed in the row of a cell, and how many of its notes say `slow`, or another reading than the book's.
fn sailed(input: &Input, comparison: &Comparison, cell: &Cell) -> (f64, usize, usize) {
    let here = || comparison.sightings.iter().filter(|own| (own.table, own.row) == (cell.table, Some(cell.row)));
    let control = &input.tables[cell.table].controls[cell.at];
    let noted = || here().filter_map(|own| Some((own, input.notes[own.note].reading_of(control.id)?)));
    let book = control.book.get(cell.row).copied().flatten();
    let slow = noted().filter(|(own, _)| input.notes[own.note].verdict == Some(Verdict::Slow)).count();
    let other = noted().filter(|(_, noted)| book.is_some_and(|book| noted.from(&book) != Some(0.0))).count();
    (here().map(|own| own.minutes).sum(), slow, other)
}

fn planned(
    input: &Input,
    comparison: &Comparison,
    place: (usize, usize, usize),
    asking: Asking,
    sailed: usize,
    why: Why,
) -> Plan {
    let (table, row, control) = place;
    let is_begun = sailed > 0;
    let ways = asking.readings.len() - 1;
    let known = comparison.scatter;
    let expected = |trials: usize| {
        let own = (trials - 1) * ways;
        let freedom = known.map_or(own, |known| if is_begun { known.freedom.max(own) } else { known.freedom + own });
        let scatter = Scatter { deviation: known.map_or(USUAL_SCATTER, |known| known.deviation), freedom };
        Some(Expected { trials, half_width: scatter.half_width(trials, BELOW_UPPER_END)? })
    };
    let rows = &input.tables[table].rows;
    let (winds, angles) = reach_of(rows, rows[row]);
    Plan {
        winds,
        angles,
        table,
        row,
        control,
        legs: asking.legs(sailed),
        asking,
        sailed,
        why,
        expected: CHECKPOINTS.into_iter().filter(|trials| *trials > sailed).filter_map(expected).collect(),
    }
}
