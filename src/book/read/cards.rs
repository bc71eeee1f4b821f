//! Which cards to print: a list of them, or all but some. Reads the kind of each; what else an entry holds, the kind itself
//! reads, and whether there is such a card is seen when it is made.

use crate::book::model::{AllBut, CardEntry, CardList, Spanned};
use crate::book::problem::Problem;
use crate::book::table::Table;
use crate::book::tree::{Node, Value};
use crate::book::words;
use crate::limits::MAX_CARDS;
use crate::size::NamedSize;
use crate::wrong::shown;

pub fn cards(node: &Node, problems: &mut Vec<Problem>) -> CardList {
    match node.value {
        Value::Map(_) => CardList::All(all_but(node, problems).unwrap_or_default()),
        _ => CardList::Listed(entries(node, problems)),
    }
}

fn entries(node: &Node, problems: &mut Vec<Problem>) -> Vec<CardEntry> {
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

/// `{all: true, except: [stowage], sizes: {wind-settings: A5}}`.
fn all_but(node: &Node, problems: &mut Vec<Problem>) -> Option<AllBut> {
    let mut fields = Table::open(node, "`cards`", problems)?;
    fields.place = super::start_of(node);
    if let Some(node) = fields.need("all", "all: true", problems)
        && words::flag(node, "`all` of the cards", problems) == Some(false)
    {
        let instead = "write `all: true` and what to leave out under `except`, or list the cards: `[{kind: strip}]`";
        problems.push(Problem::error(node.place.clone(), "all the cards are not wanted, and none is named", instead));
    }
    let except = fields.take("except").map(|node| except(node, problems)).unwrap_or_default();
    let sizes = fields.take("sizes").map(|node| sizes(node, problems)).unwrap_or_default();
    fields.finish(problems);
    Some(AllBut { except, sizes })
}

fn except(node: &Node, problems: &mut Vec<Problem>) -> Vec<Spanned<String>> {
    let items = node.some_items("`except` of the cards", 0..=MAX_CARDS, "[stowage]", problems).unwrap_or_default();
    items.iter().filter_map(|item| words::words(item, "what to leave out", problems)).collect()
}

fn sizes(node: &Node, problems: &mut Vec<Problem>) -> Vec<(Spanned<String>, Node)> {
    let entries = node.some_entries("`sizes` of the cards", 0..=MAX_CARDS, "{wind-settings: A5}", problems);
    let mut sizes = Vec::new();
    for (key, value) in entries.unwrap_or_default() {
        let name = words::words(key, "a kind of card", problems);
        let about = format!("the size of {}", words::text_of(key).map_or_else(String::new, shown));
        let Some(size) = value.text(&about, problems) else { continue };
        match NamedSize::parse(size) {
            Ok(_) => sizes.extend(name.map(|name| (name, value.clone()))),
            Err(wrong) => problems.push(wrong.about(&about).at(&value.place)),
        }
    }
    sizes
}
