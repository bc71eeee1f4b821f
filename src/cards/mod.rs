//! Stage 3: what each kind of card says, and how it is laid out.
//!
//! A card is made in two steps. Its *content* is plain data: titles, cells with their ground, marks with `at_mm`,
//! notes; the stamp is a hash of it and of nothing else. Its *layout* turns content into a [`Drawing`]. So a prettier
//! layout makes no laminated card stale. A new kind is one file here and one line in [`KINDS`].

use std::fmt::Debug;

use crate::book::{Book, Node, Problem};
use crate::drawing::Drawing;

pub mod stamp;
pub mod strip;
pub mod wind_settings;

/// Every kind of card, in the order they are printed.
pub const KINDS: &[Kind] = &[wind_settings::KIND, strip::KIND];

/// A kind of card: how to read it from the book.
pub struct Kind {
    /// As written under `kind:`.
    pub name: &'static str,
    /// One sentence for people.
    pub about: &'static str,
    /// The cards that one entry of the book's `cards` list asks for; reads the entry's own fields.
    pub from_entry: fn(&Book, &Node, &mut Vec<Problem>) -> Vec<Card>,
    /// The cards of this kind that a book without a `cards` list gets.
    pub by_default: fn(&Book, &mut Vec<Problem>) -> Vec<Card>,
}

/// A printed thing to laminate or to stick on deck.
#[derive(Debug)]
pub struct Card {
    /// Unique in the book: `[a-z0-9_-]+`; also the SVG's file name.
    pub id: String,
    pub kind: &'static str,
    /// For people, lists and file metadata: `J1, upwind`.
    pub title: String,
    /// Cards and strips go into files of their own.
    pub stock: Stock,
    /// Short hash of the content.
    pub stamp: String,
    pub drawing: Drawing,
    /// For a strip, every mark.
    pub marks: Vec<Mark>,
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
    pub label: String,
    /// Distance from the datum, the lowest mark, in millimetres.
    pub at_mm: f64,
}
