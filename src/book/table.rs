//! Reads one map of the book field by field and reports what is missing, unknown or of the wrong kind.

use super::problem::{Place, Problem};
use super::tree::Node;

/// A map being read. Every field asked for is ticked off; [`Table::finish`] reports those nobody asked for.
pub struct Table<'a> {
    /// What it is, for messages: `control "backstay"`.
    pub what: String,
    pub place: Place,
    fields: Vec<(&'a str, &'a Node, &'a Node, bool)>,
    asked: Vec<&'static str>,
}

impl<'a> Table<'a> {
    /// Opens `node` as a map; if it is none, says so and returns `None`. `what` names it in messages.
    pub fn open(_node: &'a Node, _what: impl Into<String>, _problems: &mut Vec<Problem>) -> Option<Self> {
        todo!()
    }

    /// The value of a field that may be left out (or be null).
    pub fn take(&mut self, _field: &'static str) -> Option<&'a Node> {
        todo!()
    }

    /// The value of a field that must be there; says so if it is not. `example` shows how it is written.
    pub fn need(&mut self, _field: &'static str, _example: &str, _problems: &mut Vec<Problem>) -> Option<&'a Node> {
        todo!()
    }

    /// Reports every field that was not asked for, with the nearest name that was.
    pub fn finish(self, _problems: &mut Vec<Problem>) {
        todo!()
    }
}

impl Node {
    /// The text of a scalar; says what was found otherwise. `what` names it in the message.
    pub fn text(&self, _what: &str, _problems: &mut Vec<Problem>) -> Option<&str> {
        todo!()
    }

    /// The items of a list; a single scalar is a list of one.
    pub fn items(&self, _what: &str, _problems: &mut Vec<Problem>) -> Option<&[Node]> {
        todo!()
    }
}
