//! How a control is measured: readings, their names, and where their marks stand. Knows no wind and no paper.

use crate::length::Length;

/// The finest step a scale can be read to.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Fineness {
    #[default]
    Whole,
    Halves,
    Quarters,
}

impl Fineness {
    /// How many readable steps there are to one whole mark.
    pub const fn steps(self) -> f64 {
        match self {
            Fineness::Whole => 1.0,
            Fineness::Halves => 2.0,
            Fineness::Quarters => 4.0,
        }
    }
}

/// A control's scale. A *reading* is an `f64` in the scale's own coordinate; what that is, each kind says.
#[derive(Clone, Debug, PartialEq)]
pub struct Scale {
    pub kind: ScaleKind,
    pub fineness: Fineness,
}

/// The kinds of scale.
#[derive(Clone, Debug, PartialEq)]
pub enum ScaleKind {
    /// Evenly spaced numbered marks. A reading is the mark's number.
    ///
    /// `spacing` is the control's own travel from mark to mark; the printed spacing is `spacing × purchase`.
    Even { first: i32, last: i32, spacing: Length, purchase: f64 },
    /// Marks both ways from a centre. A reading is the mark's number, negative toward `ends[0]`: `W3` is −3, `L2` is +2.
    Centre { centre: String, marks: i32, spacing: Length, purchase: f64, ends: [String; 2] },
    /// Measured pairs of a quantity and its place, in rising order of both. A reading is the quantity, in `unit`.
    Measured { pairs: Vec<(f64, Length)>, unit: String, every: f64 },
    /// Named coloured bands along a line, in rising order. A reading is the tape's index.
    Tapes(Vec<Tape>),
    /// Turns of a screw from a dated base; a reading is the signed number of turns.
    Turns { base: String },
    /// A reading off an instrument, in `unit`; no strip.
    Gauge { unit: String, least: Option<f64>, most: Option<f64> },
    /// Words; a reading is the word's index.
    Words(Vec<String>),
}

/// A band of coloured tape.
#[derive(Clone, Debug, PartialEq)]
pub struct Tape {
    pub name: String,
    pub colour: String,
    pub from: Length,
    pub to: Length,
}

/// How heavy a mark is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rank {
    Whole,
    Half,
    Quarter,
}

/// One mark of a strip.
#[derive(Clone, Debug, PartialEq)]
pub struct Graduation {
    pub reading: f64,
    /// What stands beside it: `4`, `W3`, `90`; empty for halves and quarters.
    pub label: String,
    pub rank: Rank,
    /// Distance from the datum, the lowest mark.
    pub at: Length,
}

impl Scale {
    /// A reading as the sailor wrote it; `Err` says what is wrong and what would be right.
    pub fn parse(&self, _text: &str) -> Result<f64, ReadingError> {
        todo!()
    }

    /// A reading as it is printed in a table, unit included: `4½`, `W3`, `90 bar`, `red`.
    pub fn print(&self, _reading: f64) -> String {
        todo!()
    }

    /// The readable value nearest to `exact`; a tie goes to the one nearer `toward`.
    pub fn round(&self, _exact: f64, _toward: f64) -> f64 {
        todo!()
    }

    /// The lowest and the highest reading, where the scale has ends.
    pub fn ends(&self) -> Option<(f64, f64)> {
        todo!()
    }

    /// Where a reading stands on the strip, from the datum (the lowest mark), purchase included; `None` for scales
    /// without a strip.
    pub fn at(&self, _reading: f64) -> Option<Length> {
        todo!()
    }

    /// Every mark of the strip in rising order; empty for scales without a strip.
    pub fn graduations(&self) -> Vec<Graduation> {
        todo!()
    }

    /// Whether values can only step: turns, words, tapes.
    pub fn steps(&self) -> bool {
        todo!()
    }
}

/// Why a reading is not one of the scale's.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadingError {
    pub what: String,
    pub instead: String,
}
