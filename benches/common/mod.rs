//! Books to measure, and the stages that they go through one at a time. Knows nothing of clocks.

use std::borrow::Cow;
use std::fmt::Write as _;

use cockpit_cards::book::{self, Book};
use cockpit_cards::cards::{self, Card, Edition, Label, Stock};
use cockpit_cards::drawing::Drawing;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::output::{pdf, png, proof, svg};
use cockpit_cards::paper::{Heading, Layout, PaperSize, Piece, Printer, lay_out, tile};

pub const FULL_EXAMPLE: &str = include_str!("../../examples/full.yaml");

/// Settings in a large book; past this its cards show some of them again, each under an id of its own.
const MOST_SETTINGS: usize = 250;
/// From mark to mark, so that the most marks make a strip of two metres.
const SPACING_MM: usize = 4;

/// Books of more and more of one thing, up to the limit.
pub struct Growth {
    pub what: &'static str,
    pub sizes: [usize; 4],
    pub book: fn(usize) -> String,
}

pub const GROWTH: [Growth; 2] = [
    Growth { what: "cards", sizes: [1, 10, 100, 1000], book: cards },
    Growth { what: "marks on a strip", sizes: [10, 50, 100, 500], book: strip },
];

/// The beginning of a race boat's book, down to its mainsail.
fn head(bands: &str) -> String {
    format!(
        "book: 1\n\
         boat: {{name: Glasswort}}\n\
         wind_bands: {bands}\n\
         controls:\n\
         \x20 backstay: {{higher_is: tighter, scale: {{marks: 0..10, spacing: 15 mm, halves: true}}}}\n\
         \x20 jib_halyard: {{higher_is: tighter, scale: {{marks: 0..10, spacing: 10 mm, halves: true}}}}\n\
         \x20 jib_lead: {{higher_is: aft, scale: {{marks: 0..10, spacing: 20 mm, halves: true}}}}\n\
         \x20 outhaul: {{higher_is: tighter, scale: {{marks: 0..10, spacing: 10 mm, halves: true}}}}\n\
         \x20 traveller: {{scale: {{centre: C, marks: 4, spacing: 25 mm, ends: [W, L]}}}}\n\
         sails:\n\
         \x20 main: {{kind: mainsail}}\n",
    )
}

/// A race boat's book with so many cards: the same five controls, another headsail and other marks.
pub fn cards(count: usize) -> String {
    let settings = count.min(MOST_SETTINGS);
    let mut text = head("[4, 8, 11, 14, 17, 20]");
    let mut write = |line: std::fmt::Arguments<'_>| text.write_fmt(line).expect("memory takes text");
    for index in 0..settings {
        write(format_args!("  h{index}: {{kind: headsail, name: H{index}, wind: 4..20}}\n"));
    }
    write(format_args!("settings:\n"));
    for index in 0..settings {
        let base = index % 5;
        write(format_args!(
            "  - id: h{index}-upwind\n    sails: [main, h{index}]\n    point_of_sail: upwind\n    \
             controls: [backstay, jib_halyard, jib_lead, outhaul, traveller]\n    at:\n"
        ));
        for (wind, mark, traveller) in
            [(6, base, "W3"), (10, base + 1, "W1"), (14, base + 3, "C"), (18, base + 5, "L2")]
        {
            write(format_args!("      {wind}: [{mark}, {mark}½, {mark}, {mark}½, {traveller}]\n"));
        }
    }
    write(format_args!("cards:\n"));
    for index in 0..count {
        let of = index % settings;
        write(format_args!("  - {{kind: wind-settings, id: c{index}, settings: h{of}-upwind, size: A6}}\n"));
    }
    text
}

/// Rows of a settings table for each of [`alike`]: by wind alone, or three winds by three angles.
const ALIKE_ROWS: usize = 9;
const ALIKE_ANGLES: [usize; 3] = [60, 80, 100];

/// A book with so many cards of settings, by wind or by wind and angle: either way five controls, nine known rows and
/// nine rows of cells on a card of A5, so that both print as many settings.
pub fn alike(count: usize, by_angle: bool) -> String {
    let bands = if by_angle { "[4, 9, 14, 19]" } else { "[2, 4, 6, 8, 10, 12, 14, 16, 18, 20]" };
    let mut text = head(bands);
    let mut write = |line: std::fmt::Arguments<'_>| text.write_fmt(line).expect("memory takes text");
    for index in 0..count {
        write(format_args!("  h{index}: {{kind: headsail, name: H{index}}}\n"));
    }
    write(format_args!("settings:\n"));
    let keyed = if by_angle { "angle_bands: [50, 70, 90, 110]" } else { "point_of_sail: upwind" };
    for index in 0..count {
        write(format_args!(
            "  - id: h{index}\n    sails: [main, h{index}]\n    {keyed}\n    \
             controls: [backstay, jib_halyard, jib_lead, outhaul, traveller]\n    at:\n"
        ));
        let base = index % 5;
        for nth in 0..ALIKE_ROWS {
            let (wind, angle) = (nth / ALIKE_ANGLES.len(), nth % ALIKE_ANGLES.len());
            let traveller = ["W3", "W2", "W1", "C", "C", "L1", "L1", "L2", "L3"][nth];
            let (tight, lead, foot) = (base + wind + angle, 5 + wind - angle, base + nth / 2);
            let row = format!("[{tight}, {tight}½, {lead}, {foot}, {traveller}]");
            match (by_angle, angle) {
                (false, _) => write(format_args!("      {}: {row}\n", 3 + 2 * nth)),
                (true, 0) => write(format_args!("      {}:\n        {}: {row}\n", 6 + 5 * wind, ALIKE_ANGLES[0])),
                (true, _) => write(format_args!("        {}: {row}\n", ALIKE_ANGLES[angle])),
            }
        }
    }
    write(format_args!("cards:\n"));
    for index in 0..count {
        write(format_args!("  - {{kind: wind-settings, id: c{index}, settings: h{index}, size: A5}}\n"));
    }
    text
}

/// A book of one strip with so many marks.
pub fn strip(marks: usize) -> String {
    let last = marks - 1;
    format!(
        "book: 1\nboat: {{name: Glasswort}}\ncontrols:\n  \
         lead: {{higher_is: aft, scale: {{marks: 0..{last}, spacing: {SPACING_MM} mm}},
    strip: {{grows: aft, reading_distance: 0.5 m}}}}\n"
    )
}

/// The notes of the example.
pub fn table(name: &str) -> Option<String> {
    (name == "full-sailed.csv").then(|| include_str!("../../examples/full-sailed.csv").to_owned())
}

/// The book of a text. Panics if it has an error, so that no bench measures a refusal.
pub fn read(text: &str) -> Book {
    let loaded = book::from_text("bench.yaml", text, &table, has_glyph);
    loaded.book.unwrap_or_else(|| panic!("not a book: {:#?}", loaded.problems))
}

pub fn work_out(book: &Book) -> Vec<Card> {
    cards::cards(book, &mut Vec::new())
}

/// Every side of every card, one after the other.
pub fn draw(book: &Book, cards: &[Card]) -> Vec<Drawing> {
    let of = |card: &Card| {
        let label = Label::new(book, &card.stamp, Edition::Draft);
        cards::draw(card, &label, &mut Vec::new()).expect("a card that fits")
    };
    cards.iter().flat_map(Card::sides).map(of).collect()
}

/// What lies on the pages: a drawing, or a piece of a strip that is longer than the paper.
pub struct Cut<'a> {
    stock: Stock,
    id: &'a str,
    drawing: Cow<'a, Drawing>,
}

pub fn cut<'a>(cards: &'a [Card], drawings: &'a [Drawing]) -> Vec<Cut<'a>> {
    let of = |(card, drawing): (&'a Card, &'a Drawing)| -> Vec<Cut<'a>> {
        let cut = |drawing| Cut { stock: card.stock, id: &card.id, drawing };
        let tiles = match card.stock {
            Stock::Card => None,
            Stock::Strip => tile::tiles(drawing, &PaperSize::default(), Heading::default(), Printer::default()),
        };
        match tiles {
            Some(tiles) => tiles.into_iter().map(|tile| cut(Cow::Owned(tile.drawing))).collect(),
            None => vec![cut(Cow::Borrowed(drawing))],
        }
    };
    cards.iter().flat_map(Card::sides).zip(drawings).flat_map(of).collect()
}

/// Pages of cards, pages of strips.
pub fn pack<'a>(cut: &'a [Cut<'a>]) -> Vec<Layout<'a>> {
    let of = |stock: Stock| {
        let pieces: Vec<Piece> =
            cut.iter().filter(|piece| piece.stock == stock).map(|piece| Piece::new(piece.id, &piece.drawing)).collect();
        let laid = || lay_out(&pieces, &PaperSize::default(), Heading::default()).expect("pieces that fit");
        (!pieces.is_empty()).then(laid)
    };
    [Stock::Card, Stock::Strip].into_iter().filter_map(of).collect()
}

/// Each returns how many bytes it made.
pub fn pdfs(layouts: &[Layout]) -> usize {
    let of = |layout: &Layout| pdf::pdf(&layout.pages, &pdf::Options::default()).expect("a PDF").len();
    layouts.iter().map(of).sum()
}

pub fn svgs(drawings: &[Drawing]) -> usize {
    drawings.iter().map(|drawing| svg::svg(drawing, svg::Options::default()).into_bytes().len()).sum()
}

pub fn pngs(drawings: &[Drawing]) -> usize {
    let of = |drawing: &Drawing| png::png(drawing, png::most_dots_per_inch(drawing.size)).expect("a picture").len();
    drawings.iter().map(of).sum()
}

pub fn proof_page(drawings: &[Drawing]) -> usize {
    let of = |drawing| {
        let side = proof::Side { id: "", kind: "", title: "", role: "", stamp: "", links: Vec::new(), drawing };
        proof::Card { sides: vec![side] }
    };
    let cards: Vec<proof::Card> = drawings.iter().map(of).collect();
    let page = proof::proof(&proof::Proof { title: "", cards: &cards, problems: &[] }).expect("a page");
    let mut bytes = Vec::new();
    page.write(drawings, &mut bytes).expect("memory takes a page");
    bytes.len()
}
