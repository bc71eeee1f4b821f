//! What stands on a card's back: reads `back:` of an entry of the list of cards, and makes one thing with two sides of
//! two cards. Knows no kind of card.

use crate::wrong::shown;
use std::collections::BTreeMap;

use super::lines::{self, Lines};
use crate::book::tree::{Node, Value};
use crate::book::{Book, Place, Problem, Table, suggest, words};
use crate::cards::{Card, Stock};

/// What an entry wants on the back of its card.
#[derive(Clone, Debug)]
pub struct Wanted {
    place: Place,
    side: Side,
}

#[derive(Clone, Debug)]
enum Side {
    /// The card of this id.
    Card(String),
    /// Lines to write on, under this title.
    Lines(String),
}

/// The cards that one entry of the list asks for.
#[derive(Debug)]
pub struct Made {
    /// The cards themselves, each without a back so far.
    pub cards: Vec<Card>,
    /// What the entry wants on the back of each of them.
    pub back: Option<Wanted>,
    /// Whether the entry has an error: then it may make other cards once that is corrected.
    pub is_broken: bool,
    /// Whether the entry names what no longer sails: then its cards are those of what does.
    pub is_of_successor: bool,
}

/// Two entries whose cards are the sides of one.
#[derive(Debug)]
struct Pair {
    front: usize,
    back: usize,
    place: Place,
}

/// What takes the place of sails and settings that no longer sail, by id; `None`: nothing does.
pub type Successors = BTreeMap<String, Option<String>>;

/// The `back:` of an entry, if it has one.
pub fn of_entry(entry: &mut Table, problems: &mut Vec<Problem>) -> Option<Wanted> {
    let node = entry.take("back")?;
    let place = node.place.clone();
    match &node.value {
        Value::Map(_) => {}
        Value::Text { text, .. } if !text.is_empty() => {
            return Some(Wanted { place, side: Side::Card(text.clone()) });
        }
        _ => {
            problems.push(Problem::error(
                place,
                "`back` is neither a card nor lines to write on",
                "write the id of another card of the list, or lines to write on: `back: {lines: Notes}`",
            ));
            return None;
        }
    }
    let mut fields = Table::open(node, "the back of a card", problems)?;
    let title = fields.need("lines", "{lines: Notes}", problems);
    fields.finish(problems);
    let title = words::words(title?, "the title over the lines", problems)?;
    Some(Wanted { place, side: Side::Lines(title.value) })
}

/// Every text in an entry but those under its `back`.
pub fn texts_but_back(entry: &Node) -> Box<dyn Iterator<Item = &str> + '_> {
    match &entry.value {
        Value::Map(fields) => {
            let is_back = |key: &Node| matches!(&key.value, Value::Text { text, .. } if text == "back");
            Box::new(fields.iter().filter(move |(key, _)| !is_back(key)).flat_map(|(_, value)| value.texts()))
        }
        _ => entry.texts(),
    }
}

/// All cards, those that are backs on their fronts; says what cannot be the two sides of one card.
pub fn join(book: &Book, mut made: Vec<Made>, successors: &Successors, problems: &mut Vec<Problem>) -> Vec<Card> {
    let asks: Vec<(usize, Wanted)> =
        made.iter_mut().enumerate().filter_map(|(index, made)| Some((index, made.back.take()?))).collect();
    let mut pairs: Vec<Pair> = Vec::new();
    for (index, wanted) in &asks {
        let Wanted { place, side } = wanted;
        if made[*index].cards.is_empty() {
            // What is wrong with the entry has been said.
            continue;
        }
        if let Some((what, instead)) = no_front(&made[*index].cards) {
            problems.push(Problem::error(place.clone(), what, instead));
            continue;
        }
        match side {
            Side::Lines(title) => {
                if let Some(front) = made[*index].cards.pop() {
                    made[*index].cards.push(with_lines(book, front, title, place));
                }
            }
            Side::Card(id) if may_be_missing(id, book, &made) => {}
            Side::Card(id) => match the_back(id, *index, &made, &asks, &pairs, successors) {
                Ok(back) => pairs.push(Pair { front: *index, back, place: place.clone() }),
                Err(problem) => problems.push(Problem { place: Some(place.clone()), ..problem }),
            },
        }
    }
    for Pair { front, back, place } in pairs {
        if let (Some(front_card), Some(back_card)) = (made[front].cards.pop(), made[back].cards.pop()) {
            made[front].cards.push(front_card.with_back(back_card, place));
        }
    }
    made.into_iter().flat_map(|made| made.cards).collect()
}

/// Whether a card that is not there may be one of those that errors have left out: there is nothing to say of it then.
fn may_be_missing(id: &str, book: &Book, made: &[Made]) -> bool {
    let is_there = made.iter().flat_map(|made| &made.cards).any(|card| card.id == id);
    !is_there && (book.lacks_anything() || made.iter().any(|made| made.is_broken))
}

fn with_lines(book: &Book, front: Card, title: &str, place: &Place) -> Card {
    let content = Lines { boat: book.boat.name.value.clone(), title: title.to_owned(), front: front.title.clone() };
    let title = format!("{title}, {}", front.title);
    let id = format!("{}-{}", front.id, lines::KIND_NAME);
    front.with_back(Card::new(id, lines::KIND_NAME, title, Stock::Card, place.clone(), content), place.clone())
}

/// Why these cards of one entry cannot have a back.
fn no_front(cards: &[Card]) -> Option<(String, String)> {
    match cards {
        _ if cards.iter().any(|card| card.stock == Stock::Strip) => {
            Some(("a strip has no back: it is stuck on deck".to_owned(), "take `back` out".to_owned()))
        }
        [first, second, ..] => Some((
            format!(
                "this entry makes {} cards, `{}`, `{}` and so on, and it does not say which has the back",
                cards.len(),
                first.id,
                second.id
            ),
            "take `back` out, or ask for the cards one by one, each in an entry of its own".to_owned(),
        )),
        _ => None,
    }
}

/// The entry whose card is to be the back; or why it cannot be, its place to be filled in.
fn the_back(
    id: &str,
    front: usize,
    made: &[Made],
    asks: &[(usize, Wanted)],
    pairs: &[Pair],
    successors: &Successors,
) -> Result<usize, Problem> {
    let fault = |what: String, instead: String| Err(Problem::error(None, what, instead));
    let own = |index: usize| made[index].cards.first().map_or("", |card| card.id.as_str());
    let name = shown(id);
    let of = |wanted: &str| made.iter().position(|made| made.cards.iter().any(|card| card.id == wanted));
    let all = || made.iter().flat_map(|made| &made.cards);
    let Some(index) = of(id)
        .or_else(|| of(&followed(id, successors)?))
        .or_else(|| renamed(id, successors).iter().find_map(|id| of(id)))
    else {
        if let Some(card) = all().find(|card| card.back.as_ref().is_some_and(|back| back.id == id)) {
            return fault(
                format!("{name} is the back of `{}` already", card.id),
                "name another card, or lines to write on: `back: {lines: Notes}`".to_owned(),
            );
        }
        if let Some(gone) = successors.iter().find(|(old, new)| new.is_none() && id.contains(old.as_str())) {
            return Err(Problem::warning(
                None,
                format!("`{}` is printed without its back: {} no longer sails", own(front), shown(gone.0)),
                "take `back` out, or name what sails in its place",
            ));
        }
        let ids = all().filter(|card| card.stock == Stock::Card && card.id != own(front)).map(|card| card.id.as_str());
        return fault(format!("no card has the id {name}"), suggest::advice(id, ids.collect::<Vec<_>>()));
    };
    let cards = &made[index].cards;
    if index == front {
        return fault(
            format!("{name} is its own back"),
            "name another card, or lines to write on: `back: {lines: Notes}`".to_owned(),
        );
    }
    if cards.iter().any(|card| card.stock == Stock::Strip) {
        return fault(format!("{name} is a strip, and it is stuck on deck"), "name a card as the back".to_owned());
    }
    if cards.len() > 1 {
        return fault(
            format!("{name} is one of {} cards that one entry makes", cards.len()),
            "name a card that has an entry of its own".to_owned(),
        );
    }
    if let Some(Pair { front: taken, .. }) = pairs.iter().find(|pair| pair.back == index) {
        return fault(
            format!("{name} is the back of `{}` already", own(*taken)),
            "name another card, or put it on one of them only: there is just one of each card".to_owned(),
        );
    }
    if asks.iter().any(|(asking, _)| *asking == index) || cards.iter().any(|card| card.back.is_some()) {
        return fault(
            format!("{name} has a back of its own, and a card has two sides"),
            format!("name another card, or make that one the front: give `back: {}` to its entry", own(front)),
        );
    }
    Ok(index)
}

/// The id of a card named after something that no longer sails, as it is called after what sails in its place.
fn followed(id: &str, successors: &Successors) -> Option<String> {
    let named_after = |old: &str| id.strip_suffix(old).is_some_and(|before| before.is_empty() || before.ends_with('-'));
    successors
        .iter()
        .filter(|(old, _)| named_after(old))
        .find_map(|(old, new)| Some(format!("{}{}", id.strip_suffix(old.as_str())?, new.as_ref()?)))
}

/// The id of a card with the names in it that no longer sail replaced by what sails in their place: `j1-to-j2-upwind`
/// becomes `j1b-to-j2b-upwind`. The end of it may be the name of a sail and a point of sail, or of settings: both are tried.
fn renamed(id: &str, successors: &Successors) -> [String; 2] {
    let by = |nearest: fn(usize) -> isize| {
        let (mut found, mut rest) = (String::new(), id);
        while !rest.is_empty() {
            let follows =
                |old: &str| rest.strip_prefix(old).is_some_and(|after| after.is_empty() || after.starts_with('-'));
            let gone = successors.iter().filter(|(old, _)| !old.is_empty() && follows(old));
            let gone = gone.filter_map(|(old, new)| Some((old, new.as_ref()?)));
            let gone = gone.max_by_key(|(old, _)| nearest(old.len()));
            let to_the_next = rest.find('-').unwrap_or(rest.len());
            let (name, length) =
                gone.map_or((&rest[..to_the_next], to_the_next), |(old, new)| (new.as_str(), old.len()));
            found.push_str(name);
            rest = &rest[length..];
            if let Some(after) = rest.strip_prefix('-') {
                found.push('-');
                rest = after;
            }
        }
        found
    };
    [by(|length| -length.cast_signed()), by(usize::cast_signed)]
}
