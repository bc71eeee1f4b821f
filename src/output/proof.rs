//! The proof sheet for a screen: every card, and what is wrong with the book, in one page that needs nothing else.
//!
//! Knows drawings and words to show, not what a card is. A screen is not true to size, nor is the page printed; it says so.

use std::io::{self, Write};
use std::sync::OnceLock;

use kurbo::Size;
use serde::Serialize;
use tera::Tera;

use crate::drawing::Drawing;
use crate::drawing::sight::Sight;
use crate::output::svg;

/// Also the name by which the template engine knows it: one that ends in `.html`, so that it escapes every value.
const NAME: &str = "proof.html";
const TEMPLATE: &str = include_str!("../../templates/proof.html.tera");

/// Where a picture goes in the page; no text can say this, since its `<` is written `&lt;`.
const PICTURE: &str = "<!--picture-->";

/// The page but for its pictures, which are most of it: each is made as the page is written.
#[derive(Debug)]
pub struct Page {
    /// What stands before the first picture, between each two, and after the last.
    between: Vec<String>,
}

impl Page {
    /// Writes the page with its pictures: the drawings of its cards, side by side in their order.
    ///
    /// # Errors
    /// Whatever it is written to reports.
    pub fn write<'a>(&self, drawings: impl IntoIterator<Item = &'a Drawing>, to: &mut dyn Write) -> io::Result<()> {
        let mut drawings = drawings.into_iter();
        for words in &self.between {
            to.write_all(words.as_bytes())?;
            if let Some(drawing) = drawings.next() {
                svg::write_in_page(drawing, to)?;
            }
        }
        Ok(())
    }
}

/// What the page shows.
#[derive(Debug)]
pub struct Proof<'a> {
    /// The heading: the boat's name.
    pub title: &'a str,
    /// Every card, in the order of the book.
    pub cards: &'a [Card<'a>],
    /// What was found wrong with the book, told above the cards.
    pub problems: &'a [Problem<'a>],
}

/// A card: its front, and what goes with it.
#[derive(Debug)]
pub struct Card<'a> {
    /// Its front, its back if it has one, and the label that is stuck beside it.
    pub sides: Vec<Side<'a>>,
}

/// One side of a card and what is said about it.
#[derive(Debug)]
pub struct Side<'a> {
    /// The name it has in the book.
    pub id: &'a str,
    /// What kind of card it is.
    pub kind: &'a str,
    /// What is written largest on it.
    pub title: &'a str,
    /// What it is of a card with several pictures: `front`, `back`, `label`; else empty.
    pub role: &'a str,
    /// The short hash of the whole card's content.
    pub stamp: &'a str,
    /// Where else it is: files beside the page.
    pub links: Vec<Link>,
    /// What is shown.
    pub drawing: &'a Drawing,
}

/// A file beside the page.
#[derive(Clone, Debug, Serialize)]
pub struct Link {
    /// Where, relative to the page: `cards.pdf#page=2`.
    pub to: String,
    /// What it is called: `cards.pdf, page 2`.
    pub words: String,
}

impl Link {
    /// A page of a PDF, counted from 1.
    pub fn page(file: &str, page: usize) -> Self {
        // What viewers make of a fragment: RFC 8118, section 3.
        Link { to: format!("{file}#page={page}"), words: format!("{file}, page {page}") }
    }

    /// A file as it is.
    pub fn file(file: String) -> Self {
        Link { to: file.clone(), words: file }
    }
}

/// A line of the list of what is wrong.
#[derive(Clone, Debug, Serialize)]
pub struct Problem<'a> {
    /// `error` or `warning`.
    pub level: &'a str,
    /// File, line and column, as a person would type them: `boat.yaml:12:5`.
    pub place: Option<String>,
    /// What is wrong.
    pub what: &'a str,
    /// What would be right.
    pub instead: &'a str,
}

#[derive(Serialize)]
struct Said<'a> {
    title: &'a str,
    producer: &'static str,
    glyphs: String,
    cards: Vec<Vec<Shown<'a>>>,
    picture: &'static str,
    problems: &'a [Problem<'a>],
    views: Vec<View>,
    scales: [Scale; 2],
}

/// How large the cards are shown, chosen by a button of the page.
#[derive(Serialize)]
struct Scale {
    id: &'static str,
    name: &'static str,
}

const SCALES: [Scale; 2] = [Scale { id: "whole", name: "whole" }, Scale { id: "about-true", name: "about true size" }];

/// A way of seeing the cards, chosen by a button of the page and made by a filter in it.
#[derive(Serialize)]
struct View {
    id: &'static str,
    name: &'static str,
    /// What the filter does, as SVG 1.1 has it (15.10, `feColorMatrix`): four rows of five numbers.
    values: String,
}

impl View {
    fn new(sight: &Sight) -> Self {
        let row = |row: &[f64; 3]| format!("{} {} {} 0 0", row[0], row[1], row[2]);
        let rows: Vec<String> = sight.matrix.iter().map(row).collect();
        View { id: sight.id, name: sight.name, values: format!("{} 0 0 0 1 0", rows.join(" ")) }
    }
}

#[derive(Serialize)]
struct Shown<'a> {
    id: &'a str,
    kind: &'a str,
    title: &'a str,
    role: &'a str,
    stamp: &'a str,
    /// As a style sheet computes with it.
    width: String,
    height: String,
    /// As people read it.
    size: String,
    links: &'a [Link],
}

impl<'a> Shown<'a> {
    fn new(card: &'a Side<'a>) -> Self {
        let Size { width, height } = card.drawing.size;
        Shown {
            id: card.id,
            kind: card.kind,
            title: card.title,
            role: card.role,
            stamp: card.stamp,
            width: width.to_string(),
            height: height.to_string(),
            size: format!("{} × {} mm", tenths(width), tenths(height)),
            links: &card.links,
        }
    }
}

/// Millimetres to the tenth, which is more than an eye sees on a screen.
fn tenths(millimetres: f64) -> f64 {
    const TENTHS: f64 = 10.0;
    (millimetres * TENTHS).round() / TENTHS
}

/// The proof as one HTML page without scripts or anything from outside, before its pictures are made.
///
/// # Errors
/// Only if the template, which is part of the program, is damaged.
pub fn proof(proof: &Proof) -> Result<Page, tera::Error> {
    let drawings = proof.cards.iter().flat_map(|card| &card.sides).map(|side| side.drawing);
    let said = Said {
        title: proof.title,
        producer: concat!(env!("CARGO_PKG_NAME"), " ", env!("CARGO_PKG_VERSION")),
        glyphs: svg::glyph_definitions(drawings).into_string(),
        cards: proof.cards.iter().map(|card| card.sides.iter().map(Shown::new).collect()).collect(),
        picture: PICTURE,
        problems: proof.problems,
        views: Sight::ALL.iter().map(View::new).collect(),
        scales: SCALES,
    };
    let page = engine()?.render(NAME, &tera::Context::from_serialize(&said)?)?;
    Ok(Page { between: page.split(PICTURE).map(str::to_owned).collect() })
}

/// The template engine, which reads the template once in the process, however many books it prints.
fn engine() -> Result<&'static Tera, tera::Error> {
    static ENGINE: OnceLock<Tera> = OnceLock::new();
    if let Some(engine) = ENGINE.get() {
        return Ok(engine);
    }
    let mut engine = Tera::default();
    engine.add_raw_template(NAME, TEMPLATE)?;
    Ok(ENGINE.get_or_init(|| engine))
}
