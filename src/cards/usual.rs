//! The cards that a book gets which does not list them one by one: one of each kind that the rest of it has something to
//! say for, less what it takes out. Knows what each kind asks for, not what its cards say.

use std::collections::BTreeSet;

use super::parts::back::Made;
use super::{AT_ONCE, Card, KINDS, Kind, Stock, strip};
use crate::book::{AllBut, Book, Level, Node, Place, Problem, Settings, Spanned, Table, Value, suggest};
use crate::parallel;
use crate::wrong::shown;

/// An entry that a book without a list is taken to have.
#[derive(Debug)]
pub struct Usual {
    /// What of the book it is about.
    pub place: Place,
    /// Its fields besides `kind`, each with a word: `("settings", "j1-upwind")`.
    pub fields: Vec<(&'static str, String)>,
    /// Whether the card is only left out, and no error, where nothing comes of it: nobody asked for it by name.
    pub or_nothing: bool,
}

impl Usual {
    /// The card of a section that was written for its sake.
    pub fn of(place: &Place) -> Usual {
        Usual { place: place.clone(), fields: Vec::new(), or_nothing: false }
    }

    /// The card of a section, if the book has it.
    pub fn of_section(name: &'static str, place: Option<&Place>) -> Result<Vec<Usual>, Nothing> {
        place.map(|place| vec![Usual::of(place)]).ok_or(Nothing::Section(name))
    }

    /// One card for each of the settings.
    pub fn of_settings(book: &Book, or_nothing: bool) -> Result<Vec<Usual>, Nothing> {
        let of = |settings: &Settings| Usual {
            place: settings.place.clone(),
            fields: vec![("settings", settings.id.value.clone())],
            or_nothing,
        };
        let all: Vec<Usual> = book.settings.iter().map(of).collect();
        if all.is_empty() { Err(Nothing::because("no settings are of sails that still sail")) } else { Ok(all) }
    }

    fn node(&self, kind: &Kind, size: Option<&Node>) -> Node {
        let mut fields = vec![(self.text("kind"), self.text(kind.name))];
        fields.extend(self.fields.iter().map(|(field, word)| (self.text(field), self.text(word))));
        fields.extend(size.map(|size| (self.text("size"), size.clone())));
        Node { place: self.place.clone(), value: Value::Map(fields) }
    }

    /// A word of the entry as if the book had it.
    fn text(&self, text: &str) -> Node {
        Node { place: self.place.clone(), value: Value::Text { text: text.to_owned(), plain: true } }
    }

    /// The cards of this entry, with what is to be said of them.
    fn made(&self, kind: &Kind, book: &Book, size: Option<&Node>) -> (Vec<Card>, Vec<Problem>) {
        let mut found = Vec::new();
        let node = self.node(kind, size);
        let Some(mut table) = Table::open(&node, format!("this {} card", kind.name), &mut found) else {
            return (Vec::new(), found);
        };
        table.take("kind");
        ((kind.from_entry)(book, table, &mut found), found)
    }

    /// The same, each card at the size that the list gives it or its kind.
    fn sized(&self, kind: &Kind, book: &Book, but: &AllBut) -> (Vec<Card>, Vec<Problem>) {
        let of_kind = but.size_of(kind.name).filter(|_| kind.name != strip::KIND.name);
        let (mut cards, mut found) = self.made(kind, book, of_kind);
        for card in &mut cards {
            if let Some(size) = but.size_of(&card.id).filter(|_| card.stock == Stock::Card) {
                let (sized, of_size) = self.made(kind, book, Some(size));
                found.extend(of_size.into_iter().filter(is_error));
                if let Some(sized) = sized.into_iter().find(|sized| sized.id == card.id) {
                    *card = sized;
                }
            }
            card.is_usual = true;
        }
        (cards, found)
    }

    /// The same, less what the list takes out, and what need not be there and comes to nothing.
    fn outcome(&self, kind: &Kind, book: &Book, but: &AllBut) -> Outcome {
        let (mut cards, found) = self.sized(kind, book, but);
        let ids = cards.iter().map(|card| (card.id.clone(), card.stock)).collect();
        if self.or_nothing && cards.is_empty() {
            let about = self.fields.first().map_or_else(String::new, |(_, word)| format!(" of {word}"));
            let why = found.into_iter().find(is_error).map_or_else(|| NOTHING_TO_SAY.to_owned(), |error| error.what);
            return Outcome::nothing(format!("{}{about}", kind.name), Nothing::because(why));
        }
        let mut left_out = Vec::new();
        cards.retain(|card| {
            let why = match but.takes_out(&card.id) {
                true => Some(TAKEN_OUT.to_owned()),
                false => self.or_nothing.then(|| super::cannot_be_drawn(book, card)).flatten(),
            };
            let is_kept = why.is_none();
            left_out.extend(why.map(|why| LeftOut { what: card.id.clone(), why: Nothing::because(why) }));
            is_kept
        });
        let is_broken = found.iter().any(is_error);
        let made = Some(Made { cards, back: None, is_broken, is_of_successor: false });
        Outcome { made, ids, left_out, found }
    }
}

fn is_error(problem: &Problem) -> bool {
    problem.level == Level::Error
}

/// Said of what `except` names.
const TAKEN_OUT: &str = "the list of cards takes it out";
/// Said where a kind makes no card and gives no reason.
const NOTHING_TO_SAY: &str = "there is nothing to say";

/// Why there is no card.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Nothing {
    /// The book does not have this section.
    Section(&'static str),
    /// Another reason, in words.
    Because(String),
}

impl Nothing {
    /// A reason in words.
    pub fn because(why: impl Into<String>) -> Nothing {
        Nothing::Because(why.into())
    }
}

/// A kind of card, or a card, that is not printed though nobody named what is.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LeftOut {
    /// The kind, or the id of the card.
    pub what: String,
    /// The reason.
    pub why: Nothing,
}

/// What was left out in words, a line for each reason; the sections that a book does not have are one.
pub fn in_words(left_out: &[LeftOut]) -> Vec<String> {
    let (mut kinds, mut sections, mut lines): (Vec<&str>, Vec<String>, Vec<String>) = Default::default();
    for LeftOut { what, why } in left_out {
        match why {
            Nothing::Section(section) => {
                kinds.push(what);
                let section = format!("`{section}`");
                if !sections.contains(&section) {
                    sections.push(section);
                }
            }
            Nothing::Because(why) => lines.push(format!("{what}: {why}")),
        }
    }
    if let Some((last, first)) = sections.split_last() {
        let and = if first.is_empty() { String::new() } else { format!("{} and no ", first.join(", ")) };
        lines.push(format!("{}: the book has no {and}{last}", kinds.join(", ")));
    }
    lines
}

/// The cards with what was left out.
pub(super) struct All {
    pub made: Vec<Made>,
    pub left_out: Vec<LeftOut>,
}

/// What is asked of a kind that nobody lists.
enum Asked {
    /// A card, or some.
    Entry(Usual, &'static Kind),
    /// Nothing, for this reason.
    Nothing(&'static Kind, Nothing),
}

/// What that came to, with all that is to be said of it.
#[derive(Default)]
struct Outcome {
    /// `None` where there is no card and nobody asked for it by name.
    made: Option<Made>,
    /// The ids of all its cards, those that are taken out too, and what they are printed on.
    ids: Vec<(String, Stock)>,
    left_out: Vec<LeftOut>,
    found: Vec<Problem>,
}

/// The usual cards of a book, less what its list takes out; no more of them once they are too many.
pub(super) fn all(book: &Book, but: &AllBut, problems: &mut Vec<Problem>) -> All {
    let mut all = All { made: Vec::new(), left_out: Vec::new() };
    let mut named = Named::default();
    let asked: Vec<Asked> =
        KINDS.iter().filter(|kind| !kind.lacks_anything(book)).flat_map(|kind| asked_of(kind, book, but)).collect();
    for some in asked.chunks(AT_ONCE) {
        let entries = some.iter().filter(|asked| matches!(asked, Asked::Entry(..))).count();
        for outcome in parallel::each(some, entries, |asked| asked.outcome(book, but)) {
            all.add(outcome, &mut named, problems);
            if super::are_too_many(&all.made) {
                return all;
            }
        }
    }
    named.check(book, but, problems);
    all
}

/// The entries of a kind, or why there is none.
fn asked_of(kind: &'static Kind, book: &Book, but: &AllBut) -> Vec<Asked> {
    if but.takes_out(kind.name) {
        return vec![Asked::Nothing(kind, Nothing::because(TAKEN_OUT))];
    }
    match (kind.by_default)(book) {
        Ok(entries) => entries.into_iter().map(|entry| Asked::Entry(entry, kind)).collect(),
        Err(why) => vec![Asked::Nothing(kind, why)],
    }
}

impl Asked {
    fn outcome(&self, book: &Book, but: &AllBut) -> Outcome {
        match self {
            Asked::Entry(entry, kind) => entry.outcome(kind, book, but),
            Asked::Nothing(kind, why) => Outcome::nothing(kind.name.to_owned(), why.clone()),
        }
    }
}

impl Outcome {
    fn nothing(what: String, why: Nothing) -> Outcome {
        Outcome { left_out: vec![LeftOut { what, why }], ..Outcome::default() }
    }
}

impl All {
    fn add(&mut self, outcome: Outcome, named: &mut Named, problems: &mut Vec<Problem>) {
        let Outcome { made, ids, left_out, found } = outcome;
        ids.into_iter().for_each(|(id, stock)| named.see(id, stock));
        self.made.extend(made);
        self.left_out.extend(left_out);
        problems.extend(found);
    }
}

/// The kinds and ids that there are, for a list that takes some of them out.
#[derive(Default)]
struct Named {
    ids: BTreeSet<String>,
    strips: BTreeSet<String>,
}

impl Named {
    fn see(&mut self, id: String, stock: Stock) {
        if stock == Stock::Strip {
            self.strips.insert(id.clone());
        }
        self.ids.insert(id);
    }

    /// Says so of each name in the list that is neither a kind nor a card.
    fn check(&self, book: &Book, but: &AllBut, problems: &mut Vec<Problem>) {
        if book.lacks_anything() {
            return;
        }
        let kinds = || KINDS.iter().map(|kind| kind.name);
        let is_known = |name: &str| kinds().any(|kind| kind == name) || self.ids.contains(name);
        let names = but.except.iter().chain(but.sizes.iter().map(|(name, _)| name));
        for Spanned { value, place } in names.filter(|name| !is_known(&name.value)) {
            let known: Vec<&str> = kinds().chain(self.ids.iter().map(String::as_str)).collect();
            let what = format!("there is no kind of card and no card called {}", shown(value));
            problems.push(Problem::error(place.clone(), what, suggest::advice(value, known)));
        }
        let is_strip = |name: &str| name == strip::KIND.name || self.strips.contains(name);
        for (Spanned { value, place }, _) in but.sizes.iter().filter(|(name, _)| is_strip(&name.value)) {
            problems.push(Problem::error(
                place.clone(),
                format!("{} has no size: a strip is as long as its scale", shown(value)),
                "take it out, or give its control `strip: {width: 30 mm}`",
            ));
        }
    }
}
