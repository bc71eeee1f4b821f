//! The editions file as data: every card's releases, and what its last one said. Knows YAML and no disk.

use crate::wrong::{Wrong, shown};
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use serde::{Deserialize, Serialize};
use serde_json::Value;

use crate::book::{characters, date};
use crate::cards::parts::stamp::{self, ALPHABET};
use crate::cards::{Card, Edition};
use crate::own_yaml;

/// The form of the file that this release writes and reads.
pub const FORM: u32 = 1;
/// One a day for a thousand years; more is no count, and the next one would not fit.
const EDITIONS: RangeInclusive<u32> = 1..=365_000;
/// What stands at the top of the file.
const HEADING: &str = "\
# What was printed and released, card by card: `cockpit-cards reissue` writes this file and nothing else does.
# Keep it beside the book and under version control with it; without it no card aboard can be told from a stale one.
";

/// Everything that was released of one book.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Editions {
    /// The form of the file.
    editions: u32,
    /// The name of the book's file; files of earlier days do not say.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub book: Option<String>,
    /// The history of each card, by its id.
    pub cards: BTreeMap<String, Record>,
    /// How many there are; it stands last, so that a file that was cut short is seen for what it is.
    cards_in_all: usize,
}

/// One card's history; a card with a back is one thing, counted under the id of its front.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Record {
    /// The kind of card, as the book's `cards` list names it.
    pub kind: String,
    /// The title as last released.
    pub title: String,
    /// The day it left the book, if it has.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub withdrawn: Option<String>,
    /// Every release, the oldest first; there is at least one.
    pub releases: Vec<Release>,
    /// What the last release says, to tell in words what the next one changes.
    pub content: Value,
    /// What stood on the other side of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub back: Option<Back>,
}

/// The back of a card as last released.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Back {
    /// The kind of card, as the book's `cards` list names it.
    pub kind: String,
    /// The title as last released.
    pub title: String,
    /// What it says, as data.
    pub content: Value,
}

/// One edition of a card.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Release {
    /// The number of the edition, counted from 1.
    pub edition: u32,
    /// The stamp as printed on the card.
    pub stamp: String,
    /// The long form of the stamp, which no two contents share.
    pub digest: String,
    /// The day of the release: `2027-05-01`.
    pub date: String,
    /// The boat's name on the label; it is no part of what a strip says.
    pub boat: String,
    /// What changed from the edition before, in words; empty for the first.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub changed: Vec<String>,
}

impl Default for Editions {
    fn default() -> Self {
        Editions { editions: FORM, book: None, cards: BTreeMap::new(), cards_in_all: 0 }
    }
}

impl Record {
    /// The edition that should be aboard; `None` for a card that left the book.
    pub fn current(&self) -> Option<&Release> {
        self.releases.last().filter(|_| self.withdrawn.is_none())
    }
}

impl Release {
    /// The words that are printed beside the stamp: `edition 2, 2027-05-01`.
    pub fn words(&self) -> String {
        Edition::Released { number: self.edition, date: self.date.clone() }.words()
    }
}

impl Editions {
    /// Reads the text of an editions file.
    ///
    /// # Errors
    /// It is not YAML of this form, or holds what cannot be: an edition out of order, a stamp that is none.
    pub fn parse(text: &str) -> Result<Self, Wrong> {
        /// Only what tells the form, whatever else a later release may have added.
        #[derive(Deserialize)]
        struct FormOnly {
            editions: u32,
        }
        const REMEDY: &str =
            "correct it by hand, or bring back the last good one from version control; it was not touched";
        let damaged = |what: String| Wrong::new(format!("it is damaged: {what}"), REMEDY);
        let form: FormOnly = own_yaml::read(text).map_err(damaged)?;
        if form.editions != FORM {
            return Err(Wrong::new(
                format!("it has form {}, and this release knows form {FORM}", form.editions),
                "use the release of cockpit-cards that wrote it; it was not touched",
            ));
        }
        let editions: Editions = own_yaml::read(text).map_err(damaged)?;
        if editions.cards_in_all != editions.cards.len() {
            let (said, found) = (editions.cards_in_all, editions.cards.len());
            return Err(damaged(format!("it says that it holds {said} cards and holds {found}")));
        }
        if let Some(book) = editions.book.as_ref().filter(|book| characters::misleads(book)) {
            return Err(damaged(format!("the book {} holds a character that shows nothing", shown(book))));
        }
        for (id, record) in &editions.cards {
            check(id, record).map_err(|what| damaged(format!("card {}: {what}", shown(id))))?;
        }
        Ok(editions)
    }

    /// The file's text: the same records give the same bytes.
    ///
    /// # Errors
    /// Only if YAML cannot hold a value, which no content has.
    pub fn text(&self) -> Result<String, serde_saphyr::SerializeError> {
        let counted = Editions { cards_in_all: self.cards.len(), ..self.clone() };
        Ok(format!("{HEADING}{}", serde_saphyr::to_string(&counted)?))
    }

    /// How far a card is released: DRAFT unless its content is what was released last.
    pub fn edition_of(&self, card: &Card) -> Edition {
        match self.cards.get(&card.id).and_then(Record::current) {
            Some(release) if release.digest == card.digest => {
                Edition::Released { number: release.edition, date: release.date.clone() }
            }
            _ => Edition::Draft,
        }
    }

    /// Gives each card the stamp its content was released with, and every other card one that no released content has.
    pub fn settle_stamps(&self, cards: &mut [Card]) {
        let digests: Vec<String> = cards.iter().map(|card| card.digest.clone()).collect();
        let released = || self.releases().map(|(_, _, release)| release);
        for card in cards {
            let known = released().find(|release| release.digest == card.digest);
            let stamp = match known {
                Some(release) => release.stamp.clone(),
                None => {
                    let others = released().map(|release| release.digest.as_str());
                    stamp::shortest(&card.digest, others.chain(digests.iter().map(String::as_str)))
                }
            };
            card.stamp_with(stamp);
        }
    }

    /// The day on which something was last released or withdrawn.
    pub fn last_day(&self) -> Option<&str> {
        let days = self.cards.values().flat_map(|record| {
            let releases = record.releases.iter().map(|release| release.date.as_str());
            releases.chain(record.withdrawn.as_deref())
        });
        days.max()
    }

    /// Every release of every card, with the card's id and record.
    pub fn releases(&self) -> impl Iterator<Item = (&str, &Record, &Release)> {
        self.cards
            .iter()
            .flat_map(|(id, record)| record.releases.iter().map(move |release| (id.as_str(), record, release)))
    }
}

fn check(id: &str, record: &Record) -> Result<(), String> {
    let releases = record.releases.iter().flat_map(|release| release.changed.iter().chain([&release.boat]));
    let mut texts = releases.map(String::as_str).chain([id, &record.kind, &record.title]);
    // No book that was released had such a text; it is for the terminal of whoever asks what is due.
    if let Some(text) = texts.find(|text| characters::misleads(text)).or_else(|| misleading(&record.content)) {
        return Err(format!("{} holds a character that shows nothing", shown(text)));
    }
    if record.releases.is_empty() {
        return Err("it has no releases".to_owned());
    }
    for pair in record.releases.windows(2) {
        if pair[0].edition >= pair[1].edition {
            return Err(format!("edition {} comes after edition {}", pair[1].edition, pair[0].edition));
        }
    }
    for release in &record.releases {
        if !EDITIONS.contains(&release.edition) {
            return Err(format!("there is no edition {}", release.edition));
        }
        for text in [&release.stamp, &release.digest] {
            if text.len() < stamp::STAMP_LENGTH || !text.bytes().all(|byte| ALPHABET.contains(&byte)) {
                return Err(format!("{} is no stamp", shown(text)));
            }
        }
        if !release.digest.starts_with(&release.stamp) {
            return Err(format!("the digest of edition {} does not start with its stamp", release.edition));
        }
        date::check(&release.date).map_err(|wrong| wrong.what)?;
    }
    record.withdrawn.as_deref().map_or(Ok(()), |day| date::check(day).map_err(|wrong| wrong.what))
}

/// A text of the content that no book can have.
fn misleading(content: &Value) -> Option<&str> {
    match content {
        Value::String(text) => Some(text.as_str()).filter(|text| characters::misleads(text)),
        Value::Array(items) => items.iter().find_map(misleading),
        Value::Object(fields) => fields.iter().find_map(|(key, value)| {
            Some(key.as_str()).filter(|key| characters::misleads(key)).or_else(|| misleading(value))
        }),
        Value::Null | Value::Bool(_) | Value::Number(_) => None,
    }
}
