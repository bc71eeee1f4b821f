//! A whole run: a book in, its files out; and single cards of those files, wherever they lie on paper.

use cockpit_cards::book::{self, Loaded, Problem, report};
use cockpit_cards::cards::{self, Card, Edition, Label};
use cockpit_cards::door::{self, Passed};
use cockpit_cards::drawing::Drawing;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::paper::{PaperSize, PrintJob};
use cockpit_cards::printing::{Files, Options};
use kurbo::{Affine, Point, Rect, Size};
use serde::Deserialize;

use super::content::{Contents, Filled, Segment, Shown};

/// The examples that come with the product, with the tables that they name.
pub const EXAMPLES: [(&str, &str); 3] = [
    ("smallest", include_str!("../../examples/smallest.yaml")),
    ("full", include_str!("../../examples/full.yaml")),
    ("imperial", include_str!("../../examples/imperial.yaml")),
];
pub const TABLES: [(&str, &str); 2] = [
    ("imperial-genoa.csv", include_str!("../../examples/imperial-genoa.csv")),
    ("full-sailed.csv", include_str!("../../examples/full-sailed.csv")),
];

/// What the manifest says of a card.
#[derive(Clone, Debug, Deserialize)]
pub struct Entry {
    pub id: String,
    pub kind: String,
    pub title: String,
    pub width_mm: f64,
    pub height_mm: f64,
    pub stamp: String,
    #[serde(default)]
    pub side: Option<String>,
    #[serde(default)]
    pub other_side: Option<String>,
    #[serde(default)]
    pub edition: Option<u32>,
    pub svg: String,
    pub printed: Vec<Printed>,
    #[serde(default)]
    pub label: Option<LabelEntry>,
    #[serde(default)]
    pub marks: Vec<Mark>,
}

/// A strip's label that is a sticker of its own.
#[derive(Clone, Debug, Deserialize)]
pub struct LabelEntry {
    pub width_mm: f64,
    pub height_mm: f64,
    pub svg: String,
    pub printed: Printed,
}

#[derive(Clone, Debug, Deserialize)]
pub struct Printed {
    pub file: String,
    pub page: usize,
    pub x_mm: f64,
    pub y_mm: f64,
    pub turned_degrees: f64,
    #[serde(default)]
    pub piece: Option<Part>,
}

#[derive(Clone, Copy, Debug, Deserialize)]
pub struct Part {
    pub number: usize,
    pub of: usize,
    pub from_mm: f64,
    pub length_mm: f64,
    #[serde(default)]
    pub box_mm: Option<(f64, f64)>,
}

#[derive(Clone, Debug, Deserialize, PartialEq)]
pub struct Mark {
    pub label: String,
    pub at_mm: f64,
}

/// The files of a run.
pub struct Run {
    pub files: Vec<(String, Vec<u8>)>,
    pub cards: Vec<Entry>,
    /// Warnings only.
    pub problems: Vec<Problem>,
}

/// A table or notes of the examples.
pub fn table(name: &str) -> Option<String> {
    TABLES.iter().find(|(known, _)| *known == name).map(|(_, text)| (*text).to_owned())
}

/// Reads a book; the examples' tables can be named in it.
pub fn load(text: &str) -> Loaded {
    book::from_text("boat.yaml", text, &table, has_glyph)
}

/// Prints a book; `Err` holds the problems in the words a person gets.
pub fn try_print(text: &str, paper: &str) -> Result<Run, String> {
    try_print_some(text, paper, &[])
}

/// Prints one card of a book, with its other side if it has one.
pub fn print_only(text: &str, paper: &str, id: &str) -> Run {
    try_print_some(text, paper, &[id.to_owned()]).unwrap_or_else(|problems| panic!("{id} prints: {problems}"))
}

fn try_print_some(text: &str, paper: &str, only: &[String]) -> Result<Run, String> {
    let job = PrintJob::on(PaperSize::parse(paper).expect("a paper"));
    let options = Options { job, only: only.to_vec(), ..Options::default() };
    let Passed { made, problems, sources } = door::print(load(text), &options);
    let Some(files) = made else { return Err(report::for_people(&problems, &sources, false)) };
    Ok(Run::of(files, problems))
}

pub fn print(text: &str, paper: &str) -> Run {
    try_print(text, paper).unwrap_or_else(|problems| panic!("the book prints: {problems}"))
}

impl Run {
    /// What was printed, with its manifest read.
    pub fn of(files: Files, problems: Vec<Problem>) -> Run {
        #[derive(Deserialize)]
        struct Manifest {
            cards: Vec<Entry>,
        }
        let files = files.in_memory().expect("every file can be made");
        let (_, manifest) = files.iter().find(|(name, _)| name == "manifest.json").expect("a manifest");
        let manifest: Manifest = serde_json::from_slice(manifest).expect("a manifest of the known shape");
        Run { files, cards: manifest.cards, problems }
    }

    pub fn file(&self, name: &str) -> &[u8] {
        &self.files.iter().find(|(known, _)| known == name).unwrap_or_else(|| panic!("a file {name}")).1
    }

    pub fn text(&self, name: &str) -> &str {
        std::str::from_utf8(self.file(name)).expect("text in UTF-8")
    }

    pub fn card(&self, id: &str) -> &Entry {
        self.cards.iter().find(|card| card.id == id).unwrap_or_else(|| panic!("a card {id}"))
    }

    /// The PDFs by name.
    pub fn pdfs(&self) -> impl Iterator<Item = (&str, &[u8])> {
        self.files.iter().filter(|(name, _)| name.ends_with(".pdf")).map(|(name, bytes)| (&name[..], &bytes[..]))
    }
}

impl Entry {
    pub fn size(&self) -> Size {
        Size::new(self.width_mm, self.height_mm)
    }

    /// Of what is printed there: the whole, or a piece of it.
    pub fn size_of(&self, printed: &Printed) -> Size {
        match printed.piece {
            None => self.size(),
            Some(Part { box_mm: Some(size), .. }) => Size::from(size),
            Some(part) if self.width_mm >= self.height_mm => Size::new(part.length_mm, self.height_mm),
            Some(part) => Size::new(self.width_mm, part.length_mm),
        }
    }
}

impl Printed {
    /// From the page to the card's own drawing.
    pub fn to_card(&self, size: Size) -> Affine {
        let turn = self.turned_degrees.to_radians();
        let corner = Affine::rotate(turn).transform_rect_bbox(size.to_rect()).origin();
        (Affine::translate((self.x_mm - corner.x, self.y_mm - corner.y)) * Affine::rotate(turn)).inverse()
    }

    /// The upright rectangle it takes on the page.
    pub fn area(&self, size: Size) -> Rect {
        self.to_card(size).inverse().transform_rect_bbox(size.to_rect())
    }
}

/// What a page draws inside one card, in the card's own millimetres.
pub fn within(page: &Contents, printed: &Printed, size: Size) -> Contents {
    // A crop mark never touches the card; a card's own cut line is as wide as the knife.
    const RIM: f64 = 0.2;
    let to_card = printed.to_card(size);
    let card = size.to_rect().inflate(RIM, RIM);
    let inside = |point: Point| card.contains(point);
    let segments = page.segments.iter().filter(|segment| segment.page == printed.page);
    let fills = page.fills.iter().filter(|fill| fill.page == printed.page);
    let texts = page.texts.iter().filter(|text| text.page == printed.page);
    Contents {
        segments: segments
            .map(|segment| Segment { line: to_card * segment.line, ..segment.clone() })
            .filter(|segment| inside(segment.line.p0) && inside(segment.line.p1))
            .collect(),
        fills: fills
            .map(|fill| Filled { bounds: to_card.transform_rect_bbox(fill.bounds), ..fill.clone() })
            .filter(|fill| inside(fill.bounds.center()))
            .collect(),
        texts: texts
            .map(|text| Shown {
                origin: to_card * text.origin,
                turn: text.turn - printed.turned_degrees.to_radians(),
                ..text.clone()
            })
            .filter(|text| inside(text.origin))
            .collect(),
    }
}

/// A card as the book asks for it, and its picture if it fits.
pub struct Drawn {
    pub card: Card,
    pub drawing: Option<Drawing>,
}

/// Both sides of every card of a book with its picture, and all that is wrong with them.
pub fn draw(text: &str) -> (Vec<Drawn>, Vec<Problem>) {
    let loaded = load(text);
    let book = loaded.book.unwrap_or_else(|| panic!("a book: {:?}", loaded.problems));
    let mut problems = loaded.problems;
    let cards = cards::cards(&book, &mut problems);
    let drawn = cards.into_iter().flat_map(|mut card| {
        let label = Label::new(&book, &card.stamp, Edition::Draft);
        let (drawing, behind) = cards::draw_sides(&card, &label, &mut problems).unzip();
        let back = card.back.take().map(|back| Drawn { card: *back, drawing: behind.flatten() });
        [Drawn { card, drawing }].into_iter().chain(back)
    });
    (drawn.collect(), problems)
}
