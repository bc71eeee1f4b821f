//! What a comparison is made of: notes, steady blocks, and what the book says, as plain data. Knows no book and no file.

use std::collections::BTreeMap;

use jiff::Timestamp;

use super::{Block, Note, Noted, Row};
use crate::tuning::{Angle, Scale, Wind};

/// Everything that is compared, and what it is held against.
#[derive(Clone)]
pub struct Input<'a> {
    /// What was written down, in the order of the file.
    pub notes: &'a [Note],
    /// Steady stretches of the logs, in any order.
    pub blocks: &'a [Block],
    /// How many blocks the reading of the logs left out, by reason.
    pub left_out: BTreeMap<String, usize>,
    /// The settings tables of the book.
    pub tables: &'a [Table<'a>],
    /// Numbers that a person may change.
    pub options: Options,
}

/// One settings table: some sails on a point of sail.
#[derive(Clone)]
pub struct Table<'a> {
    /// Its id.
    pub id: &'a str,
    /// What makes her fast there.
    pub measure: Measure,
    /// Whether the winds of its rows, and of its notes, are apparent. Angles are true in any case.
    pub is_apparent: bool,
    /// Its rows, in the order of the book.
    pub rows: Vec<Row>,
    /// What the measure should be in a wind (of the rows' kind) at a true wind angle, in knots: the book's targets, if it
    /// has any.
    pub target: Option<&'a dyn Fn(Wind, Angle) -> Option<f64>>,
    /// Its controls, in the order that they are adjusted in.
    pub controls: Vec<Control<'a>>,
}

/// One control of a table.
#[derive(Clone)]
pub struct Control<'a> {
    /// Its id.
    pub id: &'a str,
    /// Its scale, by which readings are told and whole marks counted.
    pub scale: &'a Scale,
    /// The least that it may be set to in this table.
    pub least: Option<f64>,
    /// The most that it may be set to in this table.
    pub most: Option<f64>,
    /// When its datum, base or line was last measured: older notes were read off another scale.
    pub measured: Option<Timestamp>,
    /// What the book says in each row of the table; `None`: not recorded there.
    pub book: Vec<Option<Noted>>,
}

/// What makes a boat fast.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Upwind and downwind: the part of her speed that gains toward the wind or away from it.
    MadeGood,
    /// On a reach: her speed through the water.
    Speed,
}

/// Numbers that a person may change; the page shows them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Options {
    /// How long she takes to settle after something was set, seconds.
    pub settling_s: f64,
    /// How long a note speaks for what comes after it at most, seconds.
    pub longest_s: f64,
    /// Gains under this are not worth a change, percent: what no other reading may beat the book's by if that is to be kept.
    pub worth_percent: f64,
}

impl Default for Options {
    /// Two minutes to settle and two hours at most (common practice); 1 % is what a season can show.
    fn default() -> Self {
        Options { settling_s: 120.0, longest_s: 7200.0, worth_percent: 1.0 }
    }
}

impl Table<'_> {
    /// The place of one of its controls.
    pub fn control(&self, id: &str) -> Option<usize> {
        self.controls.iter().position(|control| control.id == id)
    }
}

impl Control<'_> {
    /// What the book says in a row, if it is one reading for both sides.
    pub fn book_reading(&self, row: usize) -> Option<f64> {
        self.book.get(row).copied().flatten()?.still()
    }

    /// Whether it may be set so.
    pub fn allows(&self, reading: f64) -> bool {
        self.scale.has(reading)
            && self.least.is_none_or(|least| reading >= least)
            && self.most.is_none_or(|most| reading <= most)
    }
}
