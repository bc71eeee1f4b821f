//! YAML as a tree whose every node knows its place. Refuses what a book may not hold; knows nothing of boats.

use super::problem::Place;

/// A node of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    pub place: Place,
    pub value: Value,
}

/// What a node is.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// `~`, `null` or nothing at all.
    Null,
    /// A scalar as written; `plain` if it was not quoted.
    Text {
        text: String,
        plain: bool,
    },
    List(Vec<Node>),
    /// Keys in the order of the file.
    Map(Vec<(Node, Node)>),
}
