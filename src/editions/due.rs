//! A book's cards against what was released: which are due and why, and what a card in the hand is worth. Pure; knows no
//! file.

use super::changes::changes;
use super::record::{Back, Editions, Record, Release};
use crate::book::Book;
use crate::cards::parts::stamp::{self, ALPHABET};
use crate::cards::{Card, Stock, strip};

/// What a reissue would do.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Due {
    /// The cards that are due, in the order of the book; those that left it come last.
    pub items: Vec<Item>,
    /// Cards that stay as they are: id and title.
    pub unchanged: Vec<(String, String)>,
}

/// One card to do something about.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// The card's id, which names its record and its files.
    pub id: String,
    /// The title as lists show it: that of a strip begins with the word.
    pub title: String,
    /// What makes the card due.
    pub why: Why,
}

/// The reason why a card is due.
#[derive(Clone, Debug, PartialEq)]
pub enum Why {
    /// Never released, or back in the book after it had left.
    New,
    /// It says something else than its last release.
    Changed {
        /// The last release, which becomes waste.
        old: Release,
        /// The title that the last release bears.
        old_title: String,
        /// What it says otherwise than before, one sentence each, the weightiest first.
        words: Vec<String>,
    },
    /// It says the same, but its label has an older name of the boat.
    Label {
        /// The last release, whose label has the older name.
        old: Release,
    },
    /// It is no longer in the book, or no longer by itself.
    Withdrawn {
        /// The last release, which becomes waste.
        old: Release,
        /// The title of the card that it is now the back of.
        now_on: Option<String>,
    },
}

impl Why {
    /// The release that becomes waste.
    pub fn replaces(&self) -> Option<&Release> {
        match self {
            Why::New => None,
            Why::Changed { old, .. } | Why::Label { old } | Why::Withdrawn { old, .. } => Some(old),
        }
    }
}

impl Due {
    /// Compares. `labels`: strips whose label has an older name of the boat are due too, though they measure the same.
    pub fn of(book: &Book, cards: &[Card], editions: &Editions, labels: bool) -> Due {
        let mut due = Due::default();
        for card in cards {
            let current = editions.cards.get(&card.id).and_then(|record| Some((record, record.current()?)));
            let why = match current {
                None => Why::New,
                Some((_, old)) if old.digest == card.digest => {
                    if !labels || card.stock != Stock::Strip || old.boat == book.boat.name.value {
                        due.unchanged.push((card.id.clone(), called(card.kind, &card.title)));
                        continue;
                    }
                    Why::Label { old: old.clone() }
                }
                Some((record, old)) => {
                    let words = changed(record, card);
                    Why::Changed { old: old.clone(), old_title: called(&record.kind, &record.title), words }
                }
            };
            due.items.push(Item { id: card.id.clone(), title: called(card.kind, &card.title), why });
        }
        for (id, record) in &editions.cards {
            if let Some(old) = record.current().filter(|_| cards.iter().all(|card| card.id != *id)) {
                let why = Why::Withdrawn { old: old.clone(), now_on: now_on(id, cards) };
                due.items.push(Item { id: id.clone(), title: called(&record.kind, &record.title), why });
            }
        }
        due
    }

    /// Whether nothing is due.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    /// The editions once all of this is printed.
    pub fn released(&self, book: &Book, cards: &[Card], editions: &Editions, date: &str) -> Editions {
        let mut next = editions.clone();
        for item in &self.items {
            let record = next.cards.get_mut(&item.id);
            let card = cards.iter().find(|card| card.id == item.id);
            match (&item.why, record, card) {
                (Why::Withdrawn { .. }, Some(record), _) => record.withdrawn = Some(date.to_owned()),
                (Why::Label { .. }, Some(record), _) => {
                    if let Some(last) = record.releases.last_mut() {
                        last.boat = book.boat.name.value.clone();
                    }
                }
                (_, record, Some(card)) => {
                    let words = match &item.why {
                        Why::Changed { words, .. } => words.clone(),
                        _ => Vec::new(),
                    };
                    let number = record.as_ref().and_then(|record| record.releases.last()).map_or(0, |old| old.edition);
                    let release = Release {
                        edition: number + 1,
                        stamp: card.stamp.clone(),
                        digest: card.digest.clone(),
                        date: date.to_owned(),
                        boat: book.boat.name.value.clone(),
                        changed: words,
                    };
                    let before = record.map(|record| std::mem::take(&mut record.releases)).unwrap_or_default();
                    let record = Record {
                        kind: card.kind.to_owned(),
                        title: card.title.clone(),
                        withdrawn: None,
                        releases: before.into_iter().chain([release]).collect(),
                        content: stamp::canonical(card.content.stamped()),
                        back: card.back.as_ref().map(|back| Back {
                            kind: back.kind.to_owned(),
                            title: back.title.clone(),
                            content: stamp::canonical(back.content.stamped()),
                        }),
                    };
                    next.cards.insert(item.id.clone(), record);
                }
                _ => {}
            }
        }
        next
    }
}

/// The title of the card that has this one on its back.
fn now_on(id: &str, cards: &[Card]) -> Option<String> {
    let front = cards.iter().find(|card| card.back.as_ref().is_some_and(|back| back.id == id));
    front.map(|front| front.title.clone())
}

/// Where a card went that is not printed by itself any more.
pub fn left_the_book(now_on: Option<&str>) -> String {
    match now_on {
        Some(front) => format!("now on the back of {front}"),
        None => "no longer in the book".to_owned(),
    }
}

/// A card's title where cards and strips stand in one list: a strip is named after its control alone.
fn called(kind: &str, title: &str) -> String {
    if kind == strip::KIND.name { format!("Strip {title}") } else { title.to_owned() }
}

fn changed(record: &Record, card: &Card) -> Vec<String> {
    let mut words = changes(card.kind, &record.content, &card.content.stamped());
    if record.kind != card.kind {
        words = vec![format!("another kind of card: was `{}`, now `{}`", record.kind, card.kind)];
    }
    words.extend(changed_back(record.back.as_ref(), card.back.as_deref()));
    if words.is_empty() {
        words.push("what it says".to_owned());
    }
    words
}

/// The same of the other side.
fn changed_back(old: Option<&Back>, new: Option<&Card>) -> Vec<String> {
    match (old, new) {
        (None, None) => Vec::new(),
        (None, Some(new)) => vec![format!("now with a back: {}", new.title)],
        (Some(old), None) => vec![format!("no longer with a back: {}", old.title)],
        (Some(old), Some(new)) if old.kind != new.kind || old.title != new.title => {
            vec![format!("on the back {}, no longer {}", new.title, old.title)]
        }
        (Some(old), Some(new)) => {
            let words = changes(new.kind, &old.content, &new.content.stamped());
            words.into_iter().map(|words| format!("back: {words}")).collect()
        }
    }
}

/// What a card in the hand is worth.
#[derive(Clone, Debug, PartialEq)]
pub enum Holding {
    /// What was last released of this card; `due` says what the book has changed since.
    Current {
        /// The card's id.
        id: String,
        /// The title as lists show it.
        title: String,
        /// The release that is held.
        release: Release,
        /// What the book says otherwise by now, one sentence each; `None` if it still says the same.
        due: Option<Vec<String>>,
    },
    /// What the book says now, but never released.
    Draft {
        /// The card's id.
        id: String,
        /// The title as lists show it.
        title: String,
    },
    /// Replaced: by these releases, the oldest first; by none if the card has left the book.
    Superseded {
        /// The card's id.
        id: String,
        /// The title as lists show it.
        title: String,
        /// The release that is held.
        held: Release,
        /// The releases that came after it.
        by: Vec<Release>,
        /// The day the card left the book, if it has: `2027-05-01`.
        withdrawn: Option<String>,
    },
    /// No card of this book ever had this stamp.
    Unknown,
}

impl Holding {
    /// What the card with this stamp is worth. Small letters are taken for capitals.
    pub fn of(stamp: &str, cards: &[Card], editions: &Editions) -> Vec<Holding> {
        let stamp = stamp.trim().to_uppercase();
        let mut found = Vec::new();
        for (id, record) in &editions.cards {
            let Some(position) = record.releases.iter().rposition(|release| release.stamp == stamp) else { continue };
            let held = record.releases[position].clone();
            let (id, title) = (id.clone(), called(&record.kind, &record.title));
            let is_last = position + 1 == record.releases.len();
            if is_last && record.withdrawn.is_none() {
                let card = cards.iter().find(|card| card.id == id);
                let due = match card {
                    Some(card) if card.digest == held.digest => None,
                    Some(card) => Some(changed(record, card)),
                    None => Some(vec![left_the_book(now_on(&id, cards).as_deref())]),
                };
                found.push(Holding::Current { id, title, release: held, due });
            } else {
                let by = record.releases[position + 1..].to_vec();
                found.push(Holding::Superseded { id, title, held, by, withdrawn: record.withdrawn.clone() });
            }
        }
        let is_known = |card: &&Card| {
            editions
                .cards
                .get(&card.id)
                .is_some_and(|record| record.releases.iter().any(|release| release.digest == card.digest))
        };
        let drafts = cards.iter().filter(|card| card.stamp == stamp && !is_known(card));
        found.extend(drafts.map(|card| Holding::Draft { id: card.id.clone(), title: called(card.kind, &card.title) }));
        if found.is_empty() {
            found.push(Holding::Unknown);
        }
        found
    }

    /// Whether the card can stay aboard as it is.
    pub fn is_good(&self) -> bool {
        matches!(self, Holding::Current { due: None, .. })
    }
}

/// Whether a text can be a stamp at all: `Err` names a character that no stamp has.
pub fn check_stamp(text: &str) -> Result<(), char> {
    let foreign =
        |character: &char| !u8::try_from(character.to_ascii_uppercase()).is_ok_and(|byte| ALPHABET.contains(&byte));
    text.trim().chars().find(foreign).map_or(Ok(()), Err)
}
