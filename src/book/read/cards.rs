//! The list of cards to print. Reads the kind of each; what else an entry holds, the kind itself reads.

use crate::book::model::CardEntry;
use crate::book::problem::Problem;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words;
use crate::limits::MAX_CARDS;

pub fn entries(node: &Node, problems: &mut Vec<Problem>) -> Vec<CardEntry> {
    let items = node.some_items("`cards`", 0..=MAX_CARDS, "[{kind: strip}]", problems).unwrap_or_default();
    items.iter().filter_map(|item| entry(item, problems)).collect()
}

fn entry(node: &Node, problems: &mut Vec<Problem>) -> Option<CardEntry> {
    let mut fields = Table::open(node, "a card", problems)?;
    fields.place = super::start_of(node);
    let kind = fields.need("kind", "kind: wind-settings", problems)?;
    let kind = words::words(kind, "the kind of card", problems)?;
    Some(CardEntry { kind, node: node.clone() })
}
