//! Stage 3: what each kind of card says, and how it is laid out.
//!
//! A card is made in two steps. Its [`Content`] is plain data: titles, cells with their ground, marks with `at_mm`,
//! notes; the stamp is a hash of it and of nothing else. Its layout turns content into a [`Drawing`]. So a prettier
//! layout makes no laminated card stale. A new kind is one file here and one line in [`KINDS`].

use crate::wrong::{Wrong, shown};
use std::any::Any;
use std::collections::BTreeSet;
use std::fmt::Debug;

use jiff::Timestamp;

use crate::book::{
    Book, CardEntry, CardList, Level, Place, Problem, Section, Settings, Table, suggest, words as words_of_book,
};
use crate::drawing::Drawing;
use crate::drawing::legibility::{CARD_ARC_MINUTES, LEAST_ARC_MINUTES, WANTED_ARC_MINUTES, arc_minutes};
use crate::length::Length;
use crate::limits::MAX_CARDS;
use crate::parallel;
use crate::size::{NamedSize, next_size_up};
use parts::back::{self, Made, Successors};
use parts::comparing::Fields;
use parts::frame;
use parts::stamp;

pub mod change_points;
pub mod crew_below;
pub mod dock_tune;
mod handover;
pub mod lacing;
pub mod measuring_page;
pub mod notes_blank;
pub mod outboard_lead;
pub mod parts;
pub mod re_mark;
pub mod readiness;
pub mod sail_change;
pub mod stowage;
pub mod strip;
pub mod trial;
mod usual;
pub mod wardrobe;
pub mod watch_plan;
pub mod wind_settings;

pub use crew_below::CrewBelow;
pub use dock_tune::DockTuneCard;
pub use handover::{Handover, LEAST_ROW_MM};
pub use parts::label::{Edition, Label, OtherSide};
pub use parts::read_at::{Feel, Felt, PastThisSail, past_this_sail};
pub use parts::sides::draw_sides;
pub use readiness::Readiness;
pub use usual::{Nothing, Usual};
pub use watch_plan::WatchPlan;

/// Every kind of card, in the order they are printed.
pub const KINDS: &[Kind] = &[
    wind_settings::KIND,
    change_points::KIND,
    wardrobe::KIND,
    sail_change::KIND,
    crew_below::KIND,
    watch_plan::KIND,
    handover::KIND,
    dock_tune::KIND,
    readiness::KIND,
    outboard_lead::KIND,
    lacing::KIND,
    stowage::KIND,
    re_mark::KIND,
    strip::KIND,
];

/// Entries whose cards are made at once: of a book that asks for too many, fewer than this are made in vain.
const AT_ONCE: usize = 32;

/// A text this much below the wanted size is arithmetic, not a choice.
const ARC_SLACK: f64 = 1e-6;

/// A kind of card: how it is asked for.
pub struct Kind {
    /// As written under `kind:`.
    pub name: &'static str,
    /// One sentence for people.
    pub about: &'static str,
    /// The sections of a book that its cards are made of as they stand. What they refer to by name is not listed.
    pub made_of: &'static [Section],
    /// The cards that one entry of the book's `cards` list asks for; reads the entry's own fields.
    pub from_entry: fn(&Book, Table, &mut Vec<Problem>) -> Vec<Card>,
    /// The entries of this kind that a book is taken to have which does not list its cards; `Err` says why there is none.
    pub by_default: fn(&Book) -> Result<Vec<Usual>, Nothing>,
    /// What differs between two contents of this kind, in a shipmate's words, the weightiest first. Takes out of both the
    /// fields it has compared; what is left is compared field by field.
    pub changes: fn(&mut Fields, &mut Fields) -> Vec<String>,
}

impl Kind {
    /// Whether a part of the book that its cards are made of was taken out because of an error.
    fn lacks_anything(&self, book: &Book) -> bool {
        self.made_of.iter().any(|section| book.lacks(*section))
    }
}

/// What a card says: plain data, made from the book and the numbers.
pub trait Content: Any + Debug + Send + Sync {
    /// The content as data.
    fn data(&self) -> serde_json::Value;

    /// The part of the data that a reader can see or measure; the stamp is a hash of this. A kind whose data holds more
    /// digits than it prints leaves them out here.
    fn stamped(&self) -> serde_json::Value {
        self.data()
    }

    /// Every mark, if the card is a strip.
    fn marks(&self) -> Vec<Mark> {
        Vec::new()
    }

    /// Times to be somewhere that belong into a calendar: the watches of a plan.
    fn diary(&self) -> Option<&Diary> {
        None
    }

    /// What is done to the picture once its texts have been checked: a mirrored strip is turned over here.
    #[doc(hidden)]
    fn finish(&self, drawing: Drawing) -> Drawing {
        drawing
    }

    /// What went in, by which formula, and what came out; empty where nothing is reckoned.
    #[doc(hidden)]
    fn working(&self) -> Vec<parts::working::Passage> {
        Vec::new()
    }

    /// The card as a picture.
    ///
    /// # Errors
    /// The content does not fit at a readable size.
    #[doc(hidden)]
    fn layout(&self, label: &Label) -> Result<Drawing, Wrong>;
}

/// A printed thing to laminate or to stick on deck, before it is drawn; with its back, if it has one.
#[derive(Debug)]
pub struct Card {
    /// Unique in the book: `[a-z0-9_-]+`; also the SVG's file name.
    pub id: String,
    /// The kind of card, by the name that the book's `cards` list has for it.
    pub kind: &'static str,
    /// For people, lists and file metadata: `J1 + Main, upwind`.
    pub title: String,
    /// What it is printed on.
    pub stock: Stock,
    /// What in the book asks for it.
    pub place: Place,
    /// Hash of the content, of both sides if there are two; what two contents are compared by.
    pub digest: String,
    /// Its first characters, as printed.
    pub stamp: String,
    /// What it says.
    pub content: Box<dyn Content>,
    /// What is printed on its other side, under the same digest and stamp.
    pub back: Option<Box<Card>>,
    /// What in the book asks for the back.
    pub back_place: Option<Place>,
    /// Nobody listed it: it comes of a book that leaves the list to the program.
    pub is_usual: bool,
}

/// What a card is printed on, and so which file it goes into.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Stock {
    /// Laminated: `cards.pdf`.
    Card,
    /// Stuck on deck: `strips.pdf`.
    Strip,
}

/// A mark of a strip as the manifest lists it.
#[derive(Clone, Debug, PartialEq, serde::Serialize)]
pub struct Mark {
    /// What stands beside it: `4`, `W3`; empty for halves and quarters.
    pub label: String,
    /// Distance from the datum, the lowest mark, in millimetres.
    pub at_mm: f64,
}

/// Times to be somewhere; cards of the same plan go into the same calendar.
#[derive(Clone, Debug, PartialEq)]
pub struct Diary {
    /// What the calendar's file is called, without its ending: the id of the plan's first card.
    pub name: String,
    /// In order.
    pub appointments: Vec<Appointment>,
}

/// A time to be somewhere, as a calendar keeps it.
#[derive(Clone, Debug, PartialEq)]
pub struct Appointment {
    /// When it begins.
    pub from: Timestamp,
    /// When it ends.
    pub to: Timestamp,
    /// What it is called.
    pub title: String,
    /// What else is known of it, a line each.
    pub words: Vec<String>,
}

impl Card {
    /// What it says, if its kind says it in this type: [`CrewBelow`], [`WatchPlan`].
    #[doc(hidden)]
    pub fn says<C: Content>(&self) -> Option<&C> {
        let content: &dyn Any = &*self.content;
        content.downcast_ref()
    }

    /// A card with the stamp of its content.
    pub fn new(
        id: impl Into<String>,
        kind: &'static str,
        title: impl Into<String>,
        stock: Stock,
        place: Place,
        content: impl Content + 'static,
    ) -> Self {
        let digest = stamp::digest(kind, content.stamped());
        let stamp = stamp::shortest(&digest, []);
        let content = Box::new(content);
        Card {
            id: id.into(),
            kind,
            title: title.into(),
            stock,
            place,
            digest,
            stamp,
            content,
            back: None,
            back_place: None,
            is_usual: false,
        }
    }

    /// The same with another card on its other side, in place of any it had; `place` is what asks for that.
    ///
    /// From here on the two are one thing to laminate: one digest is made of what both say, and so one stamp stands on
    /// both. Whichever side changes, the stamp on either tells that the card is stale, and two sides that do not belong
    /// together are seen by their stamps.
    pub fn with_back(self, back: Card, place: Place) -> Self {
        let said = serde_json::json!({
            "front": self.content.stamped(),
            "back": {"kind": back.kind, "says": back.content.stamped()},
        });
        let digest = stamp::digest(self.kind, said);
        let stamp = stamp::shortest(&digest, []);
        let back = Card { digest: digest.clone(), stamp: stamp.clone(), back: None, ..back };
        Card { digest, stamp, back: Some(Box::new(back)), back_place: Some(place), ..self }
    }

    /// The front, then the back if there is one.
    pub fn sides(&self) -> impl Iterator<Item = &Card> + Clone {
        std::iter::once(self).chain(self.back.as_deref())
    }

    /// Puts a stamp on both sides.
    pub(crate) fn stamp_with(&mut self, stamp: String) {
        if let Some(back) = &mut self.back {
            back.stamp.clone_from(&stamp);
        }
        self.stamp = stamp;
    }
}

/// Why a card cannot be drawn, or not so that it can be read.
fn cannot_be_drawn(book: &Book, card: &Card) -> Option<String> {
    let label = Label::new(book, &card.stamp, Edition::Draft);
    let mut found = Vec::new();
    draw_sides(card, &label, &mut found);
    found.into_iter().find(|problem| problem.level == Level::Error).map(|problem| problem.what)
}

/// Every card of the book, in the order of its `cards` list, or a sensible set if it has none; those that are the backs
/// of others are found on their fronts.
pub fn cards(book: &Book, problems: &mut Vec<Problem>) -> Vec<Card> {
    of_those_afloat(&book.afloat(), book, problems).cards
}

/// All that a book is printed as.
#[derive(Debug, Default)]
pub(crate) struct Printed {
    /// Every card, in order.
    pub cards: Vec<Card>,
    /// What a book that does not list its cards has no card of, each with the reason.
    pub left_out: Vec<String>,
}

/// The same to be printed: those whose working is much say nothing of it.
pub(crate) fn unexplained(book: &Book, problems: &mut Vec<Problem>) -> Printed {
    of_those_afloat(&book.afloat().unexplained(), book, problems)
}

/// Whether there are more cards than a book may have. Whoever makes cards asks this after every few entries, so that hardly
/// more is made of a book that asks for too many.
fn are_too_many(made: &[Made]) -> bool {
    made.iter().map(|made| made.cards.len()).sum::<usize>() > MAX_CARDS
}

/// The cards of what still sails, of a book whose list of cards may name more.
fn of_those_afloat(afloat: &Book, book: &Book, problems: &mut Vec<Problem>) -> Printed {
    let mut cards: Vec<Made> = Vec::new();
    let mut left_out = Vec::new();
    let successors = book.successors();
    let book = afloat;
    wardrobe::warn_of_gaps(book, problems);
    match &book.cards {
        CardList::All(but) => {
            let all = usual::all(book, but, problems);
            left_out = usual::in_words(&all.left_out);
            cards = all.made;
        }
        CardList::Listed(entries) => {
            'made: for some in entries.chunks(AT_ONCE) {
                for (made, found) in parallel::each(some, some.len(), |entry| of_entry(entry, book, &successors)) {
                    problems.extend(found);
                    cards.extend(made);
                    if are_too_many(&cards) {
                        break 'made;
                    }
                }
            }
        }
    }
    if are_too_many(&cards) {
        problems.push(Problem::error(
            book.boat.name.place.clone(),
            format!("the book asks for more than {MAX_CARDS} cards and strips"),
            "list those that are used under `cards`",
        ));
        return Printed::default();
    }
    join_successors(&mut cards, problems);
    let mut ids = BTreeSet::new();
    cards.iter_mut().for_each(|made| drop_twins(&mut made.cards, &mut ids, problems));
    let mut cards = back::join(book, cards, &successors, problems);
    // Lines on a back have been named after their front only now.
    drop_twins(&mut cards, &mut BTreeSet::new(), problems);
    let digests: Vec<String> = cards.iter().map(|card| card.digest.clone()).collect();
    for card in &mut cards {
        card.stamp_with(stamp::shortest(&card.digest, digests.iter().map(String::as_str)));
    }
    Printed { cards, left_out }
}

/// The cards of one entry of a book's list, `None` where it asks for none that can be made; with all that is to be said of it.
fn of_entry(entry: &CardEntry, book: &Book, successors: &Successors) -> (Option<Made>, Vec<Problem>) {
    let mut found = Vec::new();
    let Some(kind) = KINDS.iter().find(|kind| kind.name == entry.kind.value) else {
        return (None, vec![unknown_kind(&entry.kind.value, entry.kind.place.clone())]);
    };
    if kind.lacks_anything(book) || book.lacks_what_is_named_in(&entry.node) {
        return (None, found);
    }
    let gone = |text: &&str| successors.get(*text).is_some_and(Option::is_none);
    if let Some(name) = back::texts_but_back(&entry.node).find(gone) {
        found.push(Problem::warning(
            entry.kind.place.clone(),
            format!("this card is left out: {} no longer sails", shown(name)),
            "take the card out of the list, or name what sails in its place",
        ));
        return (None, found);
    }
    let node = entry.node.with_texts(&|text| successors.get(text).cloned().flatten());
    let Some(mut table) = Table::open(&node, format!("this {} card", kind.name), &mut found) else {
        return (None, found);
    };
    table.take("kind");
    let before = found.len();
    let back = back::of_entry(&mut table, &mut found);
    let cards = (kind.from_entry)(book, table, &mut found);
    let is_broken = found[before..].iter().any(|problem| problem.level == Level::Error);
    let is_of_successor = node != entry.node;
    (Some(Made { cards, back, is_broken, is_of_successor }), found)
}

/// Takes out every card that another entry makes too since one sail took the place of both of theirs.
fn join_successors(made: &mut [Made], problems: &mut Vec<Problem>) {
    for nth in 0..made.len() {
        let (before, rest) = made.split_at_mut(nth);
        let Some(entry) = rest.first_mut() else { return };
        let is_of_successor = entry.is_of_successor;
        entry.cards.retain(|card| {
            let is_same = |other: &Card| other.id == card.id && other.digest == card.digest;
            let joins = |other: &&Made| other.is_of_successor || is_of_successor;
            let is_twin = before.iter().filter(joins).any(|other| other.cards.iter().any(is_same));
            if is_twin {
                problems.push(Problem::warning(
                    card.place.clone(),
                    format!(
                        "the card `{}` is printed once: the sails of two entries were replaced by the same",
                        card.id
                    ),
                    "take one of the two entries out of the list",
                ));
            }
            !is_twin
        });
    }
}

/// Reports and takes out each card with an id among `ids`, on either side; adds all the ids to them.
fn drop_twins(cards: &mut Vec<Card>, ids: &mut BTreeSet<String>, problems: &mut Vec<Problem>) {
    cards.retain(|card| {
        let twin = card.sides().find(|side| ids.contains(&side.id));
        if let Some(side) = twin {
            problems.push(Problem::error(
                card.place.clone(),
                format!("two cards have the id `{}`", side.id),
                "give one of them an id of its own: id: another-name",
            ));
        }
        ids.extend(card.sides().map(|side| side.id.clone()));
        twin.is_none()
    });
}

fn unknown_kind(name: &str, place: Place) -> Problem {
    let what = format!("there is no kind of card called {}", shown(name));
    Problem::error(place, what, suggest::advice(name, KINDS.iter().map(|kind| kind.name)))
}

/// Draws one side of a card; reports what does not fit or is too small to read from its distance.
pub fn draw(card: &Card, label: &Label, problems: &mut Vec<Problem>) -> Option<Drawing> {
    match card.content.layout(label) {
        Ok(drawing) => Some(finished(card, drawing, label, problems)),
        Err(cramped) => {
            problems.push(does_not_fit(card, card, cramped));
            None
        }
    }
}

/// A card's picture as it is printed, once it is seen that its texts can be read from their distance.
fn finished(card: &Card, drawing: Drawing, label: &Label, problems: &mut Vec<Problem>) -> Drawing {
    let smallest = drawing
        .texts()
        .chain(drawing.apart.iter().flat_map(|apart| apart.texts()))
        .filter(|text| !text.content.trim().is_empty())
        .map(|text| (arc_minutes(Length::mm(text.cap_height()), text.distance), text))
        .min_by(|a, b| a.0.total_cmp(&b.0));
    if let Some((arc, text)) = smallest {
        let what = format!(
            "card `{}`: “{}” is {:.1} mm high, {arc:.0} minutes of arc from {} m away",
            card.id,
            text.content,
            text.cap_height(),
            text.distance.to_mm() / 1000.0,
        );
        let instead = match larger(card, &drawing, label) {
            Some(size) => format!("{}, or give it fewer columns", sized_in_the_list(card, &size.name)),
            None => "give it a larger size or fewer columns; a strip wants more width or wider spacing".to_owned(),
        };
        let wanted = match card.stock {
            Stock::Card => CARD_ARC_MINUTES,
            Stock::Strip => WANTED_ARC_MINUTES,
        };
        if arc < LEAST_ARC_MINUTES - ARC_SLACK {
            problems.push(Problem::error(card.place.clone(), what, instead));
        } else if arc < wanted - ARC_SLACK {
            problems.push(Problem::warning(card.place.clone(), what, instead));
        }
    }
    card.content.finish(drawing)
}

/// What is said of a side that does not fit; the size is written where its card was asked for.
fn does_not_fit(card: &Card, side: &Card, mut cramped: Wrong) -> Problem {
    if card.is_usual
        && let Some((size, rest)) = frame::size_to_write(&cramped.instead)
    {
        cramped.instead = format!("{}{rest}", sized_in_the_list(card, size));
    }
    cramped.about(&format!("card `{}`", side.id)).at(&side.place)
}

/// How a card that nobody listed is given a size.
fn sized_in_the_list(card: &Card, size: &str) -> String {
    format!("write `cards: {{all: true, sizes: {{{}: {size}}}}}`", card.id)
}

/// The next size up of a card that nobody listed, if there is one that is still a card.
fn larger(card: &Card, drawing: &Drawing, label: &Label) -> Option<NamedSize> {
    let a_little = kurbo::Size::new(1.0, 1.0);
    let size = Some(drawing.size).filter(|_| card.is_usual && card.stock == Stock::Card)?;
    let next = |size: &NamedSize| next_size_up(size.size + a_little, size);
    std::iter::successors(next(&NamedSize::of(size)), next).find(|size| label.sizes.holds(size.size))
}

/// The `size:` of a card entry, if it gives one that is known.
fn entry_size(entry: &mut Table, problems: &mut Vec<Problem>) -> Option<NamedSize> {
    let node = entry.take("size")?;
    match NamedSize::parse(node.text("the size of a card", problems)?) {
        Ok(size) => Some(size),
        Err(error) => {
            problems.push(Problem::error(node.place.clone(), error.what, error.instead));
            None
        }
    }
}

/// The `id:` of a card entry, if it gives one.
fn entry_id(entry: &mut Table, problems: &mut Vec<Problem>) -> Option<String> {
    let node = entry.take("id")?;
    words_of_book::id(node, "a card", problems).map(|id| id.value)
}

/// The settings table that a card entry names under `settings:`.
fn entry_settings<'a>(book: &'a Book, entry: &mut Table, problems: &mut Vec<Problem>) -> Option<&'a Settings> {
    let example = book.settings.first().map_or("j1-upwind", |settings| settings.id.value.as_str());
    let node = entry.need("settings", &format!("settings: {example}"), problems)?;
    let name = node.text("the settings of a card", problems)?;
    let found = book.settings(name);
    if found.is_none() {
        let ids: Vec<&str> = book.settings.iter().map(|settings| settings.id.value.as_str()).collect();
        let (what, instead) = match book.dock_tune(name) {
            Some(_) => (
                format!("the settings {} are set at the dock, and on no card used while racing", shown(name)),
                "write `kind: dock-tune` for them".to_owned(),
            ),
            None => (format!("there are no settings {}", shown(name)), suggest::advice(name, ids)),
        };
        problems.push(Problem::error(node.place.clone(), what, instead));
    }
    found
}
