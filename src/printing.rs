//! The whole run: a book to the files it prints. Joins the five stages and adds nothing of its own.
//!
//! All that a file could be refused for is found out before the first of them is written. The PDFs and the lists are made then,
//! too, which are small; pictures and the proof page, which are large, are made one by one as they are written.

mod bookmarks;
mod files;
mod stacks;

use std::collections::BTreeMap;

use crate::book::{Book, Level, Problem, SailKind, Section, Source, Spanned, report, suggest};
use crate::cards::{self, Card, Diary, Label, Stock};
use crate::drawing::Drawing;
use crate::editions::Editions;
use crate::length::Length;
use crate::output::manifest::{self, Part, Printed};
use crate::output::{calendar, pdf, proof};
use crate::paper::{Heading, Piece, Tile};
use crate::parallel;
pub(crate) use bookmarks::{bookmark, bookmarks};
use files::Picture;
pub use files::{File, Files};
use stacks::two_sided_job;
pub(crate) use stacks::{STACKS, Stack, Stacked, cut_to_paper, layouts};

// What options and results hold of cards, paper and output, shown here because it is met here.
#[doc(inline)]
pub use crate::cards::Edition;
#[doc(inline)]
pub use crate::drawing::font::has_glyph;
#[doc(inline)]
pub use crate::output::svg::TextAs;
#[doc(inline)]
pub use crate::paper::printer::{BackShift, Feed, Measured, Reading};
#[doc(inline)]
pub use crate::paper::used::Reason;
#[doc(inline)]
pub use crate::paper::{Correction, Flip, PaperSize, PrintJob, Used};

/// What to print and on what.
#[derive(Clone, Debug, Default)]
pub struct Options {
    /// The paper, the printer and how it turns the paper over.
    pub job: PrintJob,
    /// The ids of the cards to print; all are printed if it is empty.
    pub only: Vec<String>,
    /// Whether each card gets a PNG besides its SVG.
    pub png: bool,
    /// Whether the SVG keeps text as text.
    pub svg_text: TextAs,
    /// What was released of each card; a card that says anything else is a DRAFT.
    pub editions: Editions,
    /// The files that the book was read from, so that the proof page can name the place of a problem; it names none without
    /// them.
    pub sources: Vec<Source>,
}

/// One side of a card in a list; a back comes after its front.
#[derive(Clone, Debug, PartialEq)]
pub struct Summary {
    /// The id, unique in the book; it names the SVG and the PNG.
    pub id: String,
    /// The id of its front, if it is a back.
    pub back_of: Option<String>,
    /// The title as printed.
    pub title: String,
    /// The stamp as printed: two cards with the same stamp say the same.
    pub stamp: String,
    /// Whether it is a draft or which release it is.
    pub edition: Edition,
    /// The true width, in millimetres.
    pub width_mm: f64,
    /// The true height, in millimetres.
    pub height_mm: f64,
    /// How many pieces it is printed in: more than one where it is longer than the paper.
    pub pieces: usize,
    /// Its label is a sticker of its own, because a page holds the strip only without words at its ends.
    pub has_label: bool,
    /// From its first mark to its last, and how far that may be off once the printer's error is made up for.
    pub marks_mm: Option<(f64, f64)>,
}

/// One PDF in a list.
#[derive(Clone, Debug, PartialEq)]
pub struct Document {
    /// The name of the file in the output folder.
    pub file: &'static str,
    /// How many pages it has.
    pub pages: usize,
    /// The name of what to print it on.
    pub paper: String,
    /// Its pages are fronts and backs by turns, for a printer that turns the paper like this.
    pub flip: Option<Flip>,
    /// How well its paper is used.
    pub used: Used,
    /// Its pages have check bars, since what lies on them has to be true to length.
    pub measured: bool,
}

/// A card with its drawing.
pub(crate) struct Drawn {
    pub card: Card,
    pub drawing: Drawing,
    /// Of the card's back, if it has one.
    pub back: Option<Drawing>,
    /// What is printed instead where the drawing is longer than the paper.
    pub tiles: Vec<Tile>,
}

impl Drawn {
    /// What lies on the pages.
    pub fn pieces(&self) -> impl Iterator<Item = Piece<'_>> {
        let whole = self.tiles.is_empty().then_some(&self.drawing);
        let drawings = whole.into_iter().chain(self.tiles.iter().map(|tile| &tile.drawing)).chain(self.label());
        drawings.map(|drawing| Piece { back: self.back.as_ref(), ..Piece::new(&self.card.id, drawing) })
    }

    /// The label of a strip that is a sticker of its own.
    fn label(&self) -> Option<&Drawing> {
        self.drawing.apart.as_deref()
    }

    /// Every picture with the name of its file.
    fn pictures(&self) -> impl Iterator<Item = (String, &Drawing)> {
        let sides = self.sides().map(|(card, drawing)| (card.id.clone(), drawing));
        sides.chain(self.label().map(|label| (label_name(&self.card.id), label)))
    }

    /// The same to keep, without anything else.
    fn into_pictures(self) -> impl Iterator<Item = Picture> {
        let Drawn { card, mut drawing, back, .. } = self;
        let label = drawing.apart.take().map(|label| Picture { name: label_name(&card.id), drawing: *label });
        let back = card.back.zip(back).map(|(card, drawing)| Picture { name: card.id, drawing });
        [Some(Picture { name: card.id, drawing }), back, label].into_iter().flatten()
    }

    /// Each side with its picture, the front first.
    fn sides(&self) -> impl Iterator<Item = (&Card, &Drawing)> + Clone {
        self.card.sides().zip(std::iter::once(&self.drawing).chain(&self.back))
    }
}

/// Makes every file of a book, or none if there is an error among `problems`, which it adds to.
pub fn print(book: &Book, options: &Options, problems: &mut Vec<Problem>) -> Option<Files> {
    if options.only.is_empty() {
        check_wardrobe(book, problems);
    }
    let (drawn, left_out) = draw(book, &options.only, &options.editions, &options.job, problems);
    print_drawn(book, drawn, options, problems).map(|files| Files { left_out, ..files })
}

/// Makes every file of some cards that are not among those of a book.
pub fn print_cards(book: &Book, cards: Vec<Card>, options: &Options, problems: &mut Vec<Problem>) -> Option<Files> {
    let drawn = draw_labelled(book, cards, &|_| Edition::Loose, &options.job, problems);
    print_drawn(book, drawn, options, problems)
}

fn print_drawn(book: &Book, mut drawn: Vec<Drawn>, options: &Options, problems: &mut Vec<Problem>) -> Option<Files> {
    cut_to_paper(book, &mut drawn, &options.job);
    let layouts = layouts(book, &drawn, &options.job, problems);
    check_prints_something(book, &drawn, problems);
    if !sound(problems) {
        return None;
    }

    let documents = layouts.iter().map(|stacked| document(stacked, options)).collect();
    let places = places(&layouts);
    let entries: Vec<manifest::Entry> = drawn.iter().flat_map(|drawn| entries(drawn, &places, options)).collect();
    let (pdfs, (manifest, page)) = parallel::both(
        drawn.len(),
        || pdfs(&layouts, drawn.len(), options),
        || (manifest::manifest(&book.boat.name.value, &entries), proof_page(book, &drawn, &places, options, problems)),
    );
    let pdfs: Option<Vec<_>> = pdfs.into_iter().map(|(file, pdf)| Some((file, made(file, pdf, problems)?))).collect();
    let manifest = made(MANIFEST, manifest, problems);
    let page = made(PROOF_PAGE, page, problems);
    let cards = drawn.iter().flat_map(|drawn| summaries(drawn, &places, options)).collect();
    let (calendars, diaries) = calendars(book, &drawn)
        .into_iter()
        .map(|(file, count, text)| ((file.clone(), count), (file, text.into_bytes())))
        .unzip();
    Some(Files {
        cards,
        documents,
        calendars,
        left_out: Vec::new(),
        pdfs: pdfs?,
        manifest: manifest?,
        page: page?,
        diaries,
        pictures: drawn.into_iter().flat_map(Drawn::into_pictures).collect(),
        svg_text: options.svg_text,
        png: options.png,
    })
}

/// What was made; `None` if it could not be, which is told.
fn made<Made, Error: std::fmt::Display>(
    file: &str,
    made: Result<Made, Error>,
    problems: &mut Vec<Problem>,
) -> Option<Made> {
    made.map_err(|error| problems.push(failure(file, &error))).ok()
}

/// The PDF of each stack, with its name.
fn pdfs(layouts: &[Stacked], cards: usize, options: &Options) -> Vec<(&'static str, Result<Vec<u8>, pdf::Error>)> {
    parallel::each(layouts, cards, |Stacked { stack, title, layout, drawn }| {
        let duplex = stack.two_sided.then_some(options.job.flip);
        let bookmarks = bookmarks(&layout.pages, drawn.iter().copied());
        let options = pdf::Options { title, subject: stack.note, duplex, bookmarks: &bookmarks };
        (stack.file, pdf::pdf(&layout.pages, &options))
    })
}

/// A stack in the list of PDFs.
fn document(Stacked { stack, layout, .. }: &Stacked, options: &Options) -> Document {
    Document {
        file: stack.file,
        pages: layout.pages.len(),
        paper: stack.job(&options.job).paper.name().to_owned(),
        flip: stack.two_sided.then_some(options.job.flip),
        used: layout.used.clone(),
        measured: stack.stock == Stock::Strip,
    }
}

/// The name of a calendar's file.
fn calendar_name(diary: &Diary) -> String {
    format!("{}.ics", diary.name)
}

/// A calendar for each plan among the cards: the name of its file, how many entries it has, and the file.
fn calendars(book: &Book, drawn: &[Drawn]) -> Vec<(String, usize, String)> {
    let mut plans: Vec<(String, Vec<calendar::Entry<'_>>)> = Vec::new();
    for card in drawn.iter().flat_map(|drawn| drawn.card.sides()) {
        let Some(diary) = card.content.diary() else { continue };
        let entries = diary.appointments.iter().map(|appointment| calendar::Entry {
            uid: format!("{}-{}@{}", card.stamp, calendar::utc(appointment.from), env!("CARGO_PKG_NAME")),
            from: appointment.from,
            to: appointment.to,
            title: &appointment.title,
            words: &appointment.words,
        });
        let name = calendar_name(diary);
        match plans.iter_mut().find(|(other, _)| *other == name) {
            Some((_, plan)) => plan.extend(entries),
            None => plans.push((name, entries.collect())),
        }
    }
    let file = |(name, entries): (String, Vec<calendar::Entry<'_>>)| {
        // The same in every run: not the day it is made on, but that of the start.
        let made = entries.first().map(|entry| entry.from).unwrap_or_default();
        let text = calendar::calendar(&format!("{}, watches", book.boat.name.value), made, &entries);
        (name, entries.len(), text)
    };
    plans.into_iter().map(file).collect()
}

/// Both sides of a card as the manifest has them.
fn entries<'a>(drawn: &'a Drawn, places: &Places<'a>, options: &Options) -> impl Iterator<Item = manifest::Entry<'a>> {
    let edition = match options.editions.edition_of(&drawn.card) {
        Edition::Released { number, .. } => Some(number),
        Edition::Draft | Edition::Loose => None,
    };
    let ids: Vec<&str> = drawn.card.sides().map(|side| side.id.as_str()).collect();
    drawn.sides().enumerate().map(move |(index, (card, drawing))| manifest::Entry {
        id: &card.id,
        kind: card.kind,
        title: &card.title,
        side: (ids.len() > 1).then_some(if index == 0 { manifest::Side::Front } else { manifest::Side::Back }),
        other_side: ids.iter().copied().find(|id| *id != card.id),
        width_mm: drawing.size.width,
        height_mm: drawing.size.height,
        stamp: &card.stamp,
        edition,
        svg: Some(svg_name(&card.id)),
        calendar: card.content.diary().map(calendar_name),
        printed: places.get(card.id.as_str()).cloned().unwrap_or_default(),
        label: drawn.label().filter(|_| index == 0).map(|label| manifest::Label {
            width_mm: label.size.width,
            height_mm: label.size.height,
            svg: svg_name(&label_name(&card.id)),
            printed: places.get(label_name(&card.id).as_str()).and_then(|places| places.first().cloned()),
        }),
        marks: card
            .content
            .marks()
            .into_iter()
            .map(|mark| manifest::Mark { label: mark.label, at_mm: mark.at_mm })
            .collect(),
    })
}

/// Both sides of a card for a list that people read.
fn summaries<'a>(drawn: &'a Drawn, places: &Places<'a>, options: &Options) -> impl Iterator<Item = Summary> {
    let marks_mm = |card: &Card, drawing: &Drawing| {
        let correction = options.job.correction.as_ref()?;
        let span = Length::mm(card.content.marks().last()?.at_mm);
        let left = left(correction, drawing, span, places.get(card.id.as_str())?);
        Some((span.to_mm(), left.to_mm()))
    };
    let edition = options.editions.edition_of(&drawn.card);
    let summary = move |(index, (card, drawing)): (usize, (&Card, &Drawing))| Summary {
        id: card.id.clone(),
        back_of: (index > 0).then(|| drawn.card.id.clone()),
        title: card.title.clone(),
        stamp: card.stamp.clone(),
        edition: edition.clone(),
        width_mm: drawing.size.width,
        height_mm: drawing.size.height,
        pieces: drawn.tiles.len().max(1),
        has_label: drawn.label().is_some(),
        marks_mm: marks_mm(card, drawing),
    };
    drawn.sides().enumerate().map(summary).collect::<Vec<_>>().into_iter()
}

/// What a book that leaves it to the program what to print has no card of, each with the reason.
pub fn left_out(book: &Book) -> Vec<String> {
    cards::unexplained(book, &mut Vec::new()).left_out
}

/// The ids of all cards of a book, in its order.
pub fn card_ids(book: &Book) -> Vec<String> {
    let cards = cards::unexplained(book, &mut Vec::new()).cards;
    cards.iter().flat_map(|card| card.sides().map(|side| side.id.clone())).collect()
}

/// Every problem of a book's cards, without writing anything. Gives what is [`left_out`].
pub fn check(book: &Book, problems: &mut Vec<Problem>) -> Vec<String> {
    check_wardrobe(book, problems);
    draw(book, &[], &Editions::default(), &PrintJob::default(), problems).1
}

/// Every problem that printing a book whole would tell, on this paper and with these editions, without making a file. Gives
/// what is [`left_out`].
pub fn check_as_printed(book: &Book, options: &Options, problems: &mut Vec<Problem>) -> Vec<String> {
    check_wardrobe(book, problems);
    let (mut drawn, left_out) = draw(book, &[], &options.editions, &options.job, problems);
    cut_to_paper(book, &mut drawn, &options.job);
    layouts(book, &drawn, &options.job, problems);
    check_prints_something(book, &drawn, problems);
    left_out
}

fn check_prints_something(book: &Book, drawn: &[Drawn], problems: &mut Vec<Problem>) {
    if drawn.is_empty() && sound(problems) {
        problems.push(Problem::error(
            book.boat.name.place.clone(),
            "this book prints nothing",
            "give it a control with a scale, or settings",
        ));
    }
}

/// Settings that nobody can sail by any more, and headsails that nobody has settings for.
fn check_wardrobe(book: &Book, problems: &mut Vec<Problem>) {
    if book.lacks(Section::Settings) || book.lacks(Section::Sails) {
        return;
    }
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
            let is_headsail =
                |id: &Spanned<String>| book.sail(&id.value).is_some_and(|other| other.kind == SailKind::Headsail);
            let others = book.settings.iter().find(|settings| settings.sails.iter().any(is_headsail));
            let instead = match others {
                Some(other) => {
                    let id = &other.id.value;
                    format!("write some under `settings`, or let it go on with those of another sail: start_from: {id}")
                }
                None => "write some under `settings`".to_owned(),
            };
            problems.push(Problem::warning(
                sail.id.place.clone(),
                format!("headsail \"{}\" has no settings", sail.id.value),
                instead,
            ));
        }
    }
}

pub(crate) fn sound(problems: &[Problem]) -> bool {
    problems.iter().all(|problem| problem.level == Level::Warning)
}

/// Every card of a book with the stamp it is printed with, and what is left out.
pub(crate) fn stamped(book: &Book, editions: &Editions, problems: &mut Vec<Problem>) -> cards::Printed {
    let mut printed = cards::unexplained(book, problems);
    editions.settle_stamps(&mut printed.cards);
    printed
}

/// Reports each id that no card has.
pub(crate) fn check_ids<'a>(only: &[String], ids: impl Iterator<Item = &'a str> + Clone, problems: &mut Vec<Problem>) {
    for id in only.iter().filter(|id| !ids.clone().any(|known| known == *id)) {
        let advice = suggest::advice(id, ids.clone());
        problems.push(Problem::error(None, format!("no card has the id `{id}`"), advice));
    }
}

/// The cards of a book, or some of them, with their pictures; and what is left out of all.
fn draw(
    book: &Book,
    only: &[String],
    editions: &Editions,
    job: &PrintJob,
    problems: &mut Vec<Problem>,
) -> (Vec<Drawn>, Vec<String>) {
    let cards::Printed { mut cards, left_out } = stamped(book, editions, problems);
    check_ids(only, cards.iter().flat_map(Card::sides).map(|side| side.id.as_str()), problems);
    cards.retain(|card| only.is_empty() || card.sides().any(|side| only.contains(&side.id)));
    let left_out = if only.is_empty() { left_out } else { Vec::new() };
    (draw_all(book, cards, editions, job, problems), left_out)
}

/// Draws cards, each with its edition and at a size that suits the paper.
pub(crate) fn draw_all(
    book: &Book,
    cards: Vec<Card>,
    editions: &Editions,
    job: &PrintJob,
    problems: &mut Vec<Problem>,
) -> Vec<Drawn> {
    draw_labelled(book, cards, &|card| editions.edition_of(card), job, problems)
}

fn draw_labelled(
    book: &Book,
    cards: Vec<Card>,
    edition: &(dyn Fn(&Card) -> Edition + Sync),
    job: &PrintJob,
    problems: &mut Vec<Problem>,
) -> Vec<Drawn> {
    let strips = STACKS.iter().find(|stack| stack.stock == Stock::Strip);
    let title = strips.map(|stack| stack.title_of(book)).unwrap_or_default();
    let heading = Heading { title: &title, note: strips.map_or("", |stack| stack.note) };
    let one_sided = job.card_sizes(false).with_measured(job.measured_room(heading));
    let sizes = [one_sided, two_sided_job(job).card_sizes(true)];
    let drawings = parallel::each(&cards, cards.len(), |card| {
        let sizes = &sizes[usize::from(card.back.is_some())];
        let label = Label { sizes: sizes.clone(), ..Label::new(book, &card.stamp, edition(card)) };
        let draw = |label: &Label| {
            let mut found = Vec::new();
            (cards::draw_sides(card, label, &mut found), found)
        };
        let is_too_long = |(drawn, _): &(Option<(Drawing, _)>, _)| {
            drawn.as_ref().is_some_and(|(drawing, _)| job.cannot_cut(drawing, heading))
        };
        let drawn = draw(&label);
        if card.stock != Stock::Strip || !is_too_long(&drawn) {
            return drawn;
        }
        // The words beyond its marks make its last piece too long; without them it may be cut.
        let apart = draw(&Label { words_apart: true, ..label });
        if is_too_long(&apart) { drawn } else { apart }
    });
    let drawn = cards.into_iter().zip(drawings).filter_map(|(card, (drawings, found))| {
        problems.extend(found);
        let (drawing, back) = drawings?;
        Some(Drawn { card, drawing, back, tiles: Vec::new() })
    });
    drawn.collect()
}

/// The name of a strip's label among its files: no card's id has a full stop.
fn label_name(id: &str) -> String {
    format!("{id}.label")
}

const MANIFEST: &str = "manifest.json";
const PROOF_PAGE: &str = "proof.html";

fn svg_name(id: &str) -> String {
    format!("svg/{id}.svg")
}

fn png_name(id: &str) -> String {
    format!("png/{id}.png")
}

/// Where each picture of each card lies, by its name; its pieces in order.
type Places<'a> = BTreeMap<String, Vec<Printed<'a>>>;

fn places(layouts: &[Stacked]) -> Places<'static> {
    let mut places: Places = BTreeMap::new();
    for Stacked { stack, drawn, layout, .. } in layouts {
        for (number, page) in layout.pages.iter().enumerate() {
            for placed in &page.placed {
                let is_here = |drawing: &Drawing| std::ptr::eq(drawing, placed.drawing);
                let place = Printed::at(stack.file, number + 1, placed.drawing.size, placed.to_page);
                for drawn in drawn {
                    let tile = drawn.tiles.iter().find(|tile| is_here(&tile.drawing));
                    let name = drawn.pictures().find(|(_, drawing)| is_here(drawing)).map(|(name, _)| name);
                    if let Some(name) = name.or(tile.map(|_| drawn.card.id.clone())) {
                        let printed = Printed { piece: tile.map(part), ..place.clone() };
                        places.entry(name).or_default().push(printed);
                    }
                }
            }
        }
    }
    for places in places.values_mut() {
        places.sort_by_key(|place| place.piece.map(|piece| piece.number));
    }
    places
}

/// How far the marks of a strip may be off on paper: a curve runs both ways, and its pieces may lie either way.
fn left(correction: &Correction, drawing: &Drawing, span: Length, places: &[Printed]) -> Length {
    let upright = drawing.size.height > drawing.size.width;
    let is_curved = drawing.sector.is_some();
    let runs_up = |place: &Printed| upright != (place.turned_degrees != 0.0);
    let up = places.iter().any(|place| is_curved || runs_up(place)).then(|| correction.left_up(span));
    let across = places.iter().any(|place| is_curved || !runs_up(place)).then(|| correction.left_across(span));
    up.into_iter().chain(across).fold(Length::ZERO, Length::max)
}

fn part(tile: &Tile) -> Part {
    let Tile { drawing, number, count, from_mm, length_mm, curved } = tile;
    let box_mm = curved.then_some([drawing.size.width, drawing.size.height]);
    Part { number: *number, of: *count, from_mm: *from_mm, length_mm: *length_mm, box_mm }
}

/// The files beside the proof page that one side of a card is in.
fn links(card: &Card, name: &str, places: &Places, options: &Options) -> Vec<proof::Link> {
    let printed: &[Printed] = places.get(name).map_or(&[], Vec::as_slice);
    let mut pages: Vec<(&str, usize)> = printed.iter().map(|place| (place.file, place.page)).collect();
    pages.dedup();
    let mut links: Vec<proof::Link> = pages.into_iter().map(|(file, page)| proof::Link::page(file, page)).collect();
    links.push(proof::Link::file(svg_name(name)));
    if options.png {
        links.push(proof::Link::file(png_name(name)));
    }
    links.extend(card.content.diary().map(calendar_name).map(proof::Link::file));
    links
}

fn proof_page<'a>(
    book: &Book,
    drawn: &'a [Drawn],
    places: &Places,
    options: &Options,
    problems: &[Problem],
) -> Result<proof::Page, tera::Error> {
    let side = |role, name: &str, (card, drawing): (&'a Card, &'a Drawing)| proof::Side {
        id: &card.id,
        kind: card.kind,
        title: &card.title,
        role,
        stamp: &card.stamp,
        links: links(card, name, places, options),
        drawing,
    };
    let cards = drawn.iter().map(|drawn| {
        let roles = if drawn.back.is_some() { ["front", "back"] } else { [""; 2] };
        let sides = roles.into_iter().zip(drawn.sides()).map(|(role, shown)| side(role, &shown.0.id, shown));
        let label = drawn.label().map(|label| side("label", &label_name(&drawn.card.id), (&drawn.card, label)));
        proof::Card { sides: sides.chain(label).collect() }
    });
    let lookup = report::Lookup::new(&options.sources);
    let warnings = problems.iter().map(|problem| proof::Problem {
        level: "warning",
        place: problem.place.as_ref().and_then(|place| lookup.words(place)),
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
