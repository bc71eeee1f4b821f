//! What every card says about itself: boat, stamp, edition, EXAMPLE. Knows no kind of card.

use kurbo::Rect;

use crate::book::Book;
use crate::card_sizes::CardSizes;
use crate::drawing::legibility::{LEGEND_DISTANCE, WANTED_ARC_MINUTES, cap_height};
use crate::drawing::{Anchor, Colour, Drawing, Text, Weight};
use crate::size::NamedSize;

/// Light enough to read through, dark enough to see.
const EXAMPLE_INK: Colour = Colour::grey(0.9);
/// The word fills this much of the area it lies across.
const EXAMPLE_FILL: f64 = 0.72;
/// What stands in a label while it is not known: as wide as any.
const MOST_EDITIONS: u32 = 888;
const ANY_DAY: &str = "2028-08-28";
const ANY_STAMP: &str = "MMMMM";
/// Which part of how many a card is, while nobody knows: as wide as any.
pub const ANY_PART: &str = "88 of 88";

/// How far a card has been released.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Edition {
    /// Its content is not what was last released.
    #[default]
    Draft,
    /// A strip of no book, which nobody counts.
    Loose,
    /// The count of released contents and the day of this one: `2027-05-01`.
    Released {
        /// The count of releases, from 1.
        number: u32,
        /// The day of this release.
        date: String,
    },
}

impl Edition {
    /// As printed beside the stamp.
    pub fn words(&self) -> String {
        match self {
            Edition::Draft => "DRAFT".to_owned(),
            Edition::Loose => "no edition".to_owned(),
            Edition::Released { number, date } => format!("edition {number}, {date}"),
        }
    }
}

/// The identity printed on a card; none of it is content.
#[derive(Clone, Debug, Default)]
pub struct Label {
    /// The boat's name.
    pub boat: String,
    /// The stamp of the card's content.
    pub stamp: String,
    /// How far the card has been released.
    pub edition: Edition,
    /// Across every card of a demonstration book, so that nobody sails on it.
    pub example: bool,
    /// What it shares its piece of card with.
    pub other_side: Option<OtherSide>,
    /// Which sizes the card may come in.
    pub sizes: CardSizes,
    /// The words at the ends of a strip that is longer than the paper become a sticker of their own, even if they are short.
    pub words_apart: bool,
}

/// What stands on the other side of a card, as far as this side has to know.
#[derive(Clone, Debug, PartialEq)]
pub struct OtherSide {
    /// The id of the other side.
    pub id: String,
    /// The other side is the back, so this one is the front.
    pub is_back: bool,
    /// What this side has to measure, if the other one is settled.
    pub size: Option<NamedSize>,
    /// That size holds even if this side asks for another one.
    pub insists: bool,
}

impl Label {
    /// As long as any label of this boat gets: what fits beside it goes on fitting, so that a release never asks for
    /// another card.
    pub fn longest(book: &Book) -> Self {
        let edition = Edition::Released { number: MOST_EDITIONS, date: ANY_DAY.to_owned() };
        Label::new(book, ANY_STAMP, edition)
    }

    /// The label of a card of this book, with nothing on its other side, to be printed on A4.
    pub fn new(book: &Book, stamp: &str, edition: Edition) -> Self {
        let boat = book.boat.name.value.clone();
        Label { boat, stamp: stamp.to_owned(), edition, example: book.example, ..Label::default() }
    }

    /// Boat, stamp and edition on one line, and on a card with two sides what the other one is. Both sides bear the same
    /// stamp, so the words need none of their own.
    pub fn words(&self) -> String {
        let words = format!("{} · {} · {}", self.boat, self.stamp, self.edition.words());
        match &self.other_side {
            Some(OtherSide { id, is_back: true, .. }) => format!("{words} · back: {id}"),
            Some(OtherSide { id, is_back: false, .. }) => format!("{words} · front: {id}"),
            None => words,
        }
    }

    /// What this side has to measure for the sake of the other one.
    pub fn size(&self) -> Option<&NamedSize> {
        self.other_side.as_ref().and_then(|other| other.size.as_ref())
    }

    /// Whether the other side settles the size of this one whatever this one asks for.
    pub(super) fn other_side_insists(&self) -> bool {
        self.other_side.as_ref().is_some_and(|other| other.insists)
    }

    /// Lays EXAMPLE across `area`, beneath whatever is drawn after it; along the longer side.
    pub fn lay_example(&self, drawing: &mut Drawing, area: Rect) {
        if !self.example {
            return;
        }
        let (long, short) = (area.width().max(area.height()), area.width().min(area.height()));
        let word = Text::new("EXAMPLE", area.center(), Anchor::Middle, 1.0, Weight::Bold);
        let cap = (long * EXAMPLE_FILL / word.width()).min(short * EXAMPLE_FILL);
        // Strips that are longer than one word say it more than once.
        let room = word.width() * cap / EXAMPLE_FILL;
        let times = (long / room).floor().max(1.0);
        for index in 0..times as usize {
            let share = (index as f64 + 0.5) / times;
            let centre = if area.width() >= area.height() {
                (area.x0 + area.width() * share, area.center().y)
            } else {
                (area.center().x, area.y0 + area.height() * share)
            };
            let baseline = (centre.0, centre.1 + cap / 2.0);
            let mut text = Text::new("EXAMPLE", baseline, Anchor::Middle, cap, Weight::Bold).coloured(EXAMPLE_INK);
            if area.width() < area.height() {
                text = text.turned_about(centre, -std::f64::consts::FRAC_PI_2);
            }
            drawing.print(text);
        }
    }
}

/// Capital height of legends and stamps, millimetres.
pub fn legend_cap_mm() -> f64 {
    cap_height(LEGEND_DISTANCE, WANTED_ARC_MINUTES).to_mm()
}
