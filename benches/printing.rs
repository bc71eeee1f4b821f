//! How long it takes from the text of a book to the bytes of every file, in memory. The first run of all also parses
//! the faces, so what a user waits for is measured in `process.rs`.

use std::fmt::Write as _;
use std::hint::black_box;

use cockpit_cards::book;
use cockpit_cards::cards::{self, Card, Edition, Label, Stock};
use cockpit_cards::drawing::Drawing;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::output::{pdf, proof, svg};
use cockpit_cards::paper::{Heading, PaperSize, Piece, lay_out};
use cockpit_cards::printing::{self, Files, Options};
use criterion::{BatchSize, Criterion, criterion_group, criterion_main};

const FULL_EXAMPLE: &str = include_str!("../examples/full.yaml");
/// The aim that was set for a large book.
const CARDS_OF_LARGE_BOOK: usize = 60;

/// Every file of a book. Panics if it has an error, so that no bench measures a refusal.
fn print(text: &str, options: &Options) -> Files {
    let loaded = book::from_text("bench.yaml", text, &|_| None, has_glyph);
    let mut problems = loaded.problems;
    let book = loaded.book.unwrap_or_else(|| panic!("not a book: {problems:#?}"));
    printing::print(&book, options, &mut problems).unwrap_or_else(|| panic!("nothing printed: {problems:#?}"))
}

/// A book of one control and nothing else.
const ONE_STRIP: &str = "\
book: 1
boat: {name: Glasswort}
controls:
  backstay:
    higher_is: tighter
    scale: {marks: 0..8, spacing: 20 mm, halves: true}
    strip: {grows: down, pointer: tip of the ram}
";

/// A race boat's book with so many cards: one headsail each, the same controls, different marks.
fn large_book(cards: usize) -> String {
    let mut text = String::from(
        "book: 1\n\
         boat: {name: Glasswort}\n\
         wind_bands: [4, 8, 11, 14, 17, 20]\n\
         controls:\n\
         \x20 backstay: {higher_is: tighter, scale: {marks: 0..10, spacing: 15 mm, halves: true}}\n\
         \x20 jib_halyard: {higher_is: tighter, scale: {marks: 0..10, spacing: 10 mm, halves: true}}\n\
         \x20 jib_lead: {higher_is: aft, scale: {marks: 0..10, spacing: 20 mm, halves: true}}\n\
         \x20 outhaul: {higher_is: tighter, scale: {marks: 0..10, spacing: 10 mm, halves: true}}\n\
         \x20 traveller: {scale: {centre: C, marks: 4, spacing: 25 mm, ends: [W, L]}}\n\
         sails:\n\
         \x20 main: {kind: mainsail}\n",
    );
    let mut write = |line: std::fmt::Arguments<'_>| text.write_fmt(line).expect("memory takes text");
    for index in 0..cards {
        write(format_args!("  h{index}: {{kind: headsail, name: H{index}, wind: 4..20}}\n"));
    }
    write(format_args!("settings:\n"));
    for index in 0..cards {
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
    for index in 0..cards {
        write(format_args!("  - {{kind: wind-settings, settings: h{index}-upwind, size: A6}}\n"));
    }
    text
}

fn printing(criterion: &mut Criterion) {
    let large = large_book(CARDS_OF_LARGE_BOOK);
    assert_eq!(print(&large, &Options::default()).cards.len(), CARDS_OF_LARGE_BOOK);

    let mut of = |name: &str, text: &str, options: Options| {
        criterion.bench_function(name, |bench| {
            bench.iter_batched(
                || options.clone(),
                |options| black_box(print(black_box(text), &options)),
                BatchSize::SmallInput,
            )
        });
    };
    of("full example, every file", FULL_EXAMPLE, Options::default());
    of("one strip", ONE_STRIP, Options::default());
    of("60 cards", &large, Options::default());
}

/// Where the time of the full example goes.
fn stages(criterion: &mut Criterion) {
    let read = || book::from_text("bench.yaml", FULL_EXAMPLE, &|_| None, has_glyph).book.expect("a book");
    let book = read();
    let cards = cards::cards(&book, &mut Vec::new());
    let draw = || -> Vec<Drawing> {
        let label = |card: &Card| Label::new(&book, &card.stamp, Edition::Draft);
        cards.iter().filter_map(|card| cards::draw(card, &label(card), &mut Vec::new())).collect()
    };
    let drawings = draw();
    assert_eq!(drawings.len(), cards.len());
    let pieces = |stock: Stock| -> Vec<Piece> {
        let drawn = cards.iter().zip(&drawings).filter(|(card, _)| card.stock == stock);
        drawn.map(|(card, drawing)| Piece::new(&card.id, drawing)).collect()
    };
    let stacks = [pieces(Stock::Card), pieces(Stock::Strip)];
    let paper = PaperSize::default();
    let lay = || stacks.each_ref().map(|stack| lay_out(stack, &paper, Heading::default()).expect("pieces that fit"));
    let layouts = lay();
    fn side(drawing: &Drawing) -> proof::Side<'_> {
        proof::Side { id: "", kind: "", title: "", stamp: "", drawing }
    }
    let proof_cards: Vec<proof::Card> =
        drawings.iter().map(|drawing| proof::Card { sides: vec![side(drawing)] }).collect();

    let mut group = criterion.benchmark_group("full example");
    group.bench_function("read the book", |bench| bench.iter(read));
    group.bench_function("work out the cards", |bench| bench.iter(|| cards::cards(&book, &mut Vec::new())));
    group.bench_function("draw the cards", |bench| bench.iter(draw));
    group.bench_function("lay out the pages", |bench| bench.iter(lay));
    group.bench_function("write the PDFs", |bench| {
        bench
            .iter(|| layouts.each_ref().map(|layout| pdf::pdf(&layout.pages, &pdf::Options::default()).expect("a PDF")))
    });
    group.bench_function("write the SVGs", |bench| {
        bench.iter(|| drawings.iter().map(|drawing| svg::svg(drawing, svg::Options::default()).len()).sum::<usize>())
    });
    group.bench_function("write the proof page", |bench| {
        bench.iter(|| proof::proof(&proof::Proof { title: "", cards: &proof_cards, problems: &[] }).expect("a page"))
    });
    group.finish();
}

criterion_group!(benches, printing, stages);
criterion_main!(benches);
