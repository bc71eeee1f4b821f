//! The working behind a card: what went in and from where in the book, by which formula, and what came out. Lays
//! nothing out and is never part of what a stamp is made from.

use serde_json::Value;

use crate::book::Place;
use crate::tuning::working::Step;

/// The working of one part of a card: a cell, a mark, a watch.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Passage {
    /// `Backstay, 11 to 14 kn`.
    pub of: String,
    /// In the order they are worked out, inputs first.
    pub lines: Vec<Line>,
}

/// One step: what is found, how, and the value.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What the line finds: `unrounded`.
    pub finds: String,
    /// A formula with its source, or in words where the value is from. Empty for what stands in the book.
    pub how: String,
    /// What came out, as it is printed, unit included.
    pub value: String,
    /// Where an input stands in the book.
    pub place: Option<Place>,
    /// The same in numbers that nothing has rounded, for programs; null where the words say it all.
    pub exact: Value,
}

impl Passage {
    /// A passage without a line.
    pub fn new(of: impl Into<String>) -> Self {
        Passage { of: of.into(), lines: Vec::new() }
    }

    /// Adds something that stands in the book.
    pub fn input(&mut self, finds: impl Into<String>, value: impl Into<String>, place: &Place) {
        let (finds, value) = (finds.into(), value.into());
        self.lines.push(Line { finds, how: String::new(), value, place: Some(place.clone()), exact: Value::Null });
    }

    /// Adds something that is reckoned.
    pub fn step(&mut self, finds: impl Into<String>, how: impl Into<String>, value: impl Into<String>) {
        self.exactly(finds, how, value, Value::Null);
    }

    /// Adds something that is reckoned, with its numbers as they are.
    pub fn exactly(
        &mut self,
        finds: impl Into<String>,
        how: impl Into<String>,
        value: impl Into<String>,
        exact: Value,
    ) {
        self.lines.push(Line { finds: finds.into(), how: how.into(), value: value.into(), place: None, exact });
    }

    /// Adds steps of the arithmetic as they are.
    pub fn steps(&mut self, steps: &[Step]) {
        for step in steps {
            self.step(step.finds, step.formula.clone(), step.printed());
        }
    }
}
