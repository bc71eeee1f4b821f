//! How long it takes from the text of a book to the bytes of every file, in memory, and how that grows with the book. The
//! first run of all also parses the faces, so what a user waits for is measured in `process.rs`.

use std::hint::black_box;
use std::time::Duration;

use cockpit_cards::book;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::printing::{self, Options};
use common::{FULL_EXAMPLE, Growth};
use criterion::{BenchmarkId, Criterion, Throughput, criterion_group, criterion_main};

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

/// The aim that was set for a large book.
const CARDS_OF_LARGE_BOOK: usize = 60;

/// Every file of a book, and how many cards. Panics if it has an error, so that no bench measures a refusal.
fn print(text: &str) -> (Vec<(String, Vec<u8>)>, usize) {
    let loaded = book::from_text("bench.yaml", text, &common::table, has_glyph);
    let mut problems = loaded.problems;
    let book = loaded.book.unwrap_or_else(|| panic!("not a book: {problems:#?}"));
    let files = printing::print(&book, &Options::default(), &mut problems)
        .unwrap_or_else(|| panic!("nothing printed: {problems:#?}"));
    (files.in_memory().expect("every file can be made"), files.cards.len())
}

fn aims(criterion: &mut Criterion) {
    let large = common::cards(CARDS_OF_LARGE_BOOK);
    assert_eq!(print(&large).1, CARDS_OF_LARGE_BOOK);
    let mut of = |name: &str, text: &str| {
        criterion.bench_function(name, |bench| bench.iter(|| print(black_box(text))));
    };
    of("full example, every file", FULL_EXAMPLE);
    of("one strip", ONE_STRIP);
    of("60 cards", &large);
}

/// What settings by wind and angle cost beside as many by wind alone.
fn by_angle(criterion: &mut Criterion) {
    let mut group = criterion.benchmark_group("60 cards of nine rows");
    group.sample_size(10).measurement_time(Duration::from_secs(4));
    for (name, by_angle) in [("by wind", false), ("by wind and angle", true)] {
        let text = common::alike(CARDS_OF_LARGE_BOOK, by_angle);
        assert_eq!(print(&text).1, CARDS_OF_LARGE_BOOK);
        group.bench_function(name, |bench| bench.iter(|| print(black_box(&text))));
    }
    group.finish();
}

/// Time for a card, and for a mark, of small and of large books: near-linear growth is one number all the way down.
fn growth(criterion: &mut Criterion) {
    for Growth { what, sizes, book } in common::GROWTH {
        let mut group = criterion.benchmark_group(what);
        group.sample_size(10).measurement_time(Duration::from_secs(4));
        for size in sizes {
            let text = book(size);
            group.throughput(Throughput::Elements(size as u64));
            group.bench_function(BenchmarkId::from_parameter(size), |bench| bench.iter(|| print(black_box(&text))));
        }
        group.finish();
    }
}

criterion_group!(benches, aims, by_angle, growth);
criterion_main!(benches);
