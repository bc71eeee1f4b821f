//! The whole run: a book to the files it prints, all in memory. Joins the five stages and adds nothing of its own.

use std::collections::BTreeMap;

use crate::book::{Book, Level, Problem, SailKind, Spanned, suggest};
use crate::cards::{self, Card, Edition, Label, Stock};
use crate::drawing::Drawing;
use crate::editions::Editions;
use crate::length::Length;
use crate::output::manifest::{self, Printed};
use crate::output::svg::{self, TextAs};
use crate::output::{pdf, png, proof};
use crate::paper::{Correction, Heading, Layout, PaperSize, Piece, lay_out_within};

/// What to print and on what.
#[derive(Clone, Debug, Default)]
pub struct Options {
    pub paper: PaperSize,
    /// Ids of the cards to print; empty: all.
    pub only: Vec<String>,
    /// A PNG of each card besides its SVG.
    pub png: bool,
    /// The printer whose error is corrected: its name and what it does.
    pub printer: Option<(String, Correction)>,
    /// Whether the SVG keeps text as text.
    pub svg_text: TextAs,
    /// What was released of each card; a card that says anything else is a DRAFT.
    pub editions: Editions,
}

/// Every file of a run and what is in it.
#[derive(Debug)]
pub struct Files {
    /// Name relative to the output folder, and bytes.
    pub files: Vec<(String, Vec<u8>)>,
    pub cards: Vec<Summary>,
    /// Name, pages, and the share of the printable paper that is used, of each PDF.
    pub documents: Vec<Document>,
}

/// One card in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    pub id: String,
    pub title: String,
    pub stamp: String,
    pub edition: Edition,
    pub width_mm: f64,
    pub height_mm: f64,
}

/// One PDF in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    pub file: &'static str,
    pub pages: usize,
    /// From 0 to 1.
    pub used_share: f64,
}

/// A card with its drawing.
pub(crate) struct Drawn {
    pub card: Card,
    pub drawing: Drawing,
}

/// What goes into one PDF.
pub(crate) struct Stack {
    pub stock: Stock,
    file: &'static str,
    pub title: &'static str,
    note: &'static str,
}

pub(crate) const STACKS: [Stack; 2] = [
    Stack {
        stock: Stock::Card,
        file: "cards.pdf",
        title: "cards",
        note: "Print at 100 % on stiff paper; laminate with matt film.",
    },
    Stack {
        stock: Stock::Strip,
        file: "strips.pdf",
        title: "strips",
        note: "Print at 100 % on polyester film: paper swells with damp.",
    },
];

/// Makes every file of a book, or none if there is an error among `problems`, which it adds to.
pub fn print(book: &Book, options: &Options, problems: &mut Vec<Problem>) -> Option<Files> {
    let drawn = draw(book, &options.only, &options.editions, problems);
    let mut layouts = Vec::new();
    for stack in &STACKS {
        let in_stack: Vec<&Drawn> = drawn.iter().filter(|drawn| drawn.card.stock == stack.stock).collect();
        if in_stack.is_empty() {
            continue;
        }
        let pieces: Vec<Piece> = in_stack.iter().map(|d| Piece { id: &d.card.id, drawing: &d.drawing }).collect();
        let title = format!("{}: {}", book.boat.name.value, stack.title);
        let note = stack.note(options.printer.as_ref());
        let printable = options.paper.printable();
        let area = options.printer.as_ref().map_or(printable, |(_, correction)| correction.area(printable));
        match lay_out_within(&pieces, &options.paper, area, Heading { title: &title, note: &note }) {
            Ok(layout) => layouts.push((stack, in_stack, title, layout)),
            Err(misfits) => problems.extend(misfits.into_iter().map(|misfit| {
                let card = in_stack.iter().find(|drawn| drawn.card.id == misfit.id);
                Problem::error(card.map(|drawn| drawn.card.place.clone()), misfit.what(), misfit.instead())
            })),
        }
    }
    if drawn.is_empty() && sound(problems) {
        problems.push(Problem::error(
            book.boat.name.place.clone(),
            "this book prints nothing",
            "give it a control with a scale, or settings",
        ));
    }
    if !sound(problems) {
        return None;
    }

    let mut files = Vec::new();
    let mut documents = Vec::new();
    for (stack, _, title, layout) in &layouts {
        let printable = options.paper.printable();
        let to_printer = options.printer.as_ref().map(|(_, correction)| correction.to_printer(printable));
        let settings = pdf::Options { title, subject: stack.note, to_printer: to_printer.unwrap_or_default() };
        match pdf::pdf(&layout.pages, &settings) {
            Ok(bytes) => files.push((stack.file.to_owned(), bytes)),
            Err(error) => problems.push(failure(stack.file, &error)),
        }
        let Layout { used_share, pages, .. } = layout;
        documents.push(Document { file: stack.file, pages: pages.len(), used_share: *used_share });
    }
    for Drawn { card, drawing } in &drawn {
        files.push((
            svg_name(&card.id),
            svg::svg(drawing, svg::Options { text: options.svg_text, ..svg::Options::default() }).into_bytes(),
        ));
        if options.png {
            match png::png(drawing, png::DOTS_PER_INCH) {
                Ok(bytes) => files.push((format!("png/{}.png", card.id), bytes)),
                Err(error) => problems.push(failure(&card.id, &error)),
            }
        }
    }
    let places = places(&layouts);
    let svg_names: Vec<String> = drawn.iter().map(|drawn| svg_name(&drawn.card.id)).collect();
    let marks: Vec<Vec<cards::Mark>> = drawn.iter().map(|drawn| drawn.card.content.marks()).collect();
    let entries = drawn.iter().enumerate().map(|(index, Drawn { card, drawing })| manifest::Entry {
        id: &card.id,
        kind: card.kind,
        title: &card.title,
        width_mm: drawing.size.width,
        height_mm: drawing.size.height,
        stamp: &card.stamp,
        svg: Some(&svg_names[index]),
        printed: places.get(card.id.as_str()).cloned().into_iter().collect(),
        marks: marks[index].iter().map(|mark| manifest::Mark { label: &mark.label, at_mm: mark.at_mm }).collect(),
    });
    match manifest::manifest(&book.boat.name.value, &entries.collect::<Vec<_>>()) {
        Ok(bytes) => files.push(("manifest.json".to_owned(), bytes)),
        Err(error) => problems.push(failure("manifest.json", &error)),
    }
    match proof_page(book, &drawn, problems) {
        Ok(page) => files.push(("proof.html".to_owned(), page.into_bytes())),
        Err(error) => problems.push(failure("proof.html", &error)),
    }
    let summaries = drawn.iter().map(|Drawn { card, drawing }| Summary {
        id: card.id.clone(),
        title: card.title.clone(),
        stamp: card.stamp.clone(),
        edition: options.editions.edition_of(card),
        width_mm: drawing.size.width,
        height_mm: drawing.size.height,
    });
    let cards = summaries.collect();
    sound(problems).then_some(Files { files, cards, documents })
}

impl Stack {
    /// The material, and what a corrected printer leaves: it is a promise about the paper in the hand.
    pub fn note(&self, printer: Option<&(String, Correction)>) -> String {
        match printer {
            None => self.note.to_owned(),
            Some((name, correction)) => format!("{} {}", self.note, correction_words(name, *correction)),
        }
    }
}

/// `Corrected for office: 240 mm is good to ± 0.35 mm.`
pub fn correction_words(name: &str, correction: Correction) -> String {
    let leaves = correction.leaves_of(STATED_LENGTH);
    let stated = (leaves.to_mm() * STATED_STEPS_PER_MM).ceil() / STATED_STEPS_PER_MM;
    format!("Corrected for {name}: {STATED_LENGTH} is good to ± {stated} mm.")
}

/// The length for which a page says what a correction leaves: about a strip as long as A4 holds.
const STATED_LENGTH: Length = Length::mm(240.0);
/// It is said to a twentieth of a millimetre, rounded up.
const STATED_STEPS_PER_MM: f64 = 20.0;

/// Every problem of a book's cards, without writing anything.
pub fn check(book: &Book, problems: &mut Vec<Problem>) {
    check_wardrobe(book, problems);
    draw(book, &[], &Editions::default(), problems);
}

/// Settings that nobody can sail by any more, and headsails that nobody has settings for.
fn check_wardrobe(book: &Book, problems: &mut Vec<Problem>) {
    for settings in book.laid_up() {
        let sail = settings.sails.iter().find(|id| !book.still_sails(&id.value)).map_or("", |id| id.value.as_str());
        problems.push(Problem::warning(
            settings.id.place.clone(),
            format!("the settings `{}` are kept but not printed: sail \"{sail}\" no longer sails", settings.id.value),
            "leave them for the record, or take them out",
        ));
    }
    let headsails =
        book.sails.iter().filter(|sail| sail.kind == SailKind::Headsail && book.still_sails(&sail.id.value));
    for sail in headsails {
        let is_used = |id: &Spanned<String>| id.value == sail.id.value;
        if !book.settings.iter().any(|settings| settings.sails.iter().any(is_used)) {
            problems.push(Problem::warning(
                sail.id.place.clone(),
                format!("headsail \"{}\" has no settings", sail.id.value),
                "write some under `settings`, or let it go on with those of another sail: start_from: j2-upwind",
            ));
        }
    }
}

pub(crate) fn sound(problems: &[Problem]) -> bool {
    problems.iter().all(|problem| problem.level == Level::Warning)
}

/// Every card of a book with the stamp it is printed with.
pub(crate) fn stamped_cards(book: &Book, editions: &Editions, problems: &mut Vec<Problem>) -> Vec<Card> {
    let mut cards = cards::cards(book, problems);
    editions.settle_stamps(&mut cards);
    cards
}

/// Reports each id that no card has.
pub(crate) fn check_ids<'a>(only: &[String], ids: impl Iterator<Item = &'a str> + Clone, problems: &mut Vec<Problem>) {
    for id in only.iter().filter(|id| !ids.clone().any(|known| known == *id)) {
        let advice = suggest::advice(id, ids.clone());
        problems.push(Problem::error(None, format!("no card has the id `{id}`"), advice));
    }
}

fn draw(book: &Book, only: &[String], editions: &Editions, problems: &mut Vec<Problem>) -> Vec<Drawn> {
    let mut cards = stamped_cards(book, editions, problems);
    check_ids(only, cards.iter().map(|card| card.id.as_str()), problems);
    cards.retain(|card| only.is_empty() || only.contains(&card.id));
    draw_all(book, cards, editions, problems)
}

/// Draws cards, each with its edition.
pub(crate) fn draw_all(book: &Book, cards: Vec<Card>, editions: &Editions, problems: &mut Vec<Problem>) -> Vec<Drawn> {
    let drawn = cards.into_iter().filter_map(|card| {
        let label = Label::new(book, &card.stamp, editions.edition_of(&card));
        let drawing = cards::draw(&card, &label, problems)?;
        Some(Drawn { card, drawing })
    });
    drawn.collect()
}

fn svg_name(id: &str) -> String {
    format!("svg/{id}.svg")
}

type Stacked<'a> = (&'a Stack, Vec<&'a Drawn>, String, Layout<'a>);

/// Where each card lies, by id.
fn places<'a>(layouts: &'a [Stacked<'a>]) -> BTreeMap<&'a str, Printed<'a>> {
    let mut places = BTreeMap::new();
    for (stack, drawn, _, layout) in layouts {
        for (number, page) in layout.pages.iter().enumerate() {
            for placed in &page.placed {
                let of_drawing = |drawn: &&&Drawn| std::ptr::eq(&drawn.drawing, placed.drawing);
                if let Some(drawn) = drawn.iter().find(of_drawing) {
                    let place = Printed::at(stack.file, number + 1, placed.drawing.size, placed.to_page);
                    places.insert(drawn.card.id.as_str(), place);
                }
            }
        }
    }
    places
}

fn proof_page(book: &Book, drawn: &[Drawn], problems: &[Problem]) -> Result<String, tera::Error> {
    let cards = drawn.iter().map(|Drawn { card, drawing }| proof::Card {
        id: &card.id,
        kind: card.kind,
        title: &card.title,
        stamp: &card.stamp,
        drawing,
    });
    let warnings = problems.iter().map(|problem| proof::Problem {
        level: "warning",
        place: "",
        what: &problem.what,
        instead: &problem.instead,
    });
    let title = book.boat.name.value.as_str();
    proof::proof(&proof::Proof { title, cards: &cards.collect::<Vec<_>>(), problems: &warnings.collect::<Vec<_>>() })
}

pub(crate) fn failure(what: &str, error: &dyn std::fmt::Display) -> Problem {
    Problem::error(
        None,
        format!("{what} could not be made: {error}"),
        "this is a fault of the program: please report it",
    )
}
