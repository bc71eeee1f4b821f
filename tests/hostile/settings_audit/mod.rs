//! Settings cards read back from the SVG they are printed in, and held against what is worked out here from the rows of the
//! book: curve, rounding, bands, signs and words are all done once more, in another way. Nothing of `tuning` but its types is
//! asked.
//!
//! ```sh
//! AUDIT_BOOKS=300 cargo test --test hostile settings_audit -- --nocapture
//! ```
mod expected;
mod known;
mod made_up;
mod read_back;
mod words;

use std::collections::BTreeMap;

use cockpit_cards::book::{Book, Settings, WindUnit};
use cockpit_cards::cards::{self, Card, Edition, Label};
use cockpit_cards::output::svg::{self, Options, TextAs};

use crate::common::{books, inputs};
use expected::worked_out;
use made_up::made_up;
use read_back::read_back;

/// Books in a run of all tests.
const BOOKS: u64 = 40;
/// Two numbers so near are one: far more than either way of working leaves, far less than a mark.
const SAME: f64 = 1e-7;

/// What a cell says: its sign, the figure, and what stands small beneath it.
type Cell = (String, String, String);

/// The winds of a row and its cells.
type PrintedRow = (String, Vec<Cell>);

/// What the books had in them.
#[derive(Default)]
struct Seen(BTreeMap<String, usize>);

impl Seen {
    fn add(&mut self, what: &str) {
        *self.0.entry(what.to_owned()).or_default() += 1;
    }
}

/// A card and its SVG, if any size holds it.
type Printed = (Card, Option<String>);

/// The settings cards of a book, each in a size that holds it.
fn settings_cards(book: &books::Book) -> Option<(Book, Vec<Printed>)> {
    let model = inputs::load(book).book?;
    let entry = |settings: &Settings, size: &str| {
        format!("  - {{kind: wind-settings, settings: {}{size}}}\n", settings.id.value)
    };
    let svgs = |size: &str| {
        let list: String = model.settings.iter().map(|settings| entry(settings, size)).collect();
        let text = if list.is_empty() { "cards: []\n".to_owned() } else { format!("cards:\n{list}") };
        let asked = books::Book { text: format!("{}{text}", book.text), ..book.clone() };
        let model = inputs::load(&asked).book.expect("the same book with its cards named");
        let cards = cards::cards(&model, &mut Vec::new());
        let drawn = cards.into_iter().map(|card| {
            let drawing = card.content.layout(&Label::new(&model, &card.stamp, Edition::Draft)).ok();
            let svg = drawing.map(|drawing| svg::svg(&drawing, Options { text: TextAs::Live }).into_string());
            (card, svg)
        });
        drawn.collect::<Vec<_>>()
    };
    let handiest = svgs("");
    let larger = if handiest.iter().all(|(_, svg)| svg.is_some()) { Vec::new() } else { svgs(", size: A3") };
    let of_a_size = |(card, svg): (Card, Option<String>)| {
        let again = || larger.iter().find(|(other, _)| other.id == card.id).and_then(|(_, svg)| svg.clone());
        let svg = svg.or_else(again);
        (card, svg)
    };
    let printed = handiest.into_iter().map(of_a_size).collect();
    Some((model, printed))
}

#[test]
fn every_cell_of_every_settings_card_is_what_the_rows_of_its_book_say() {
    let books = std::env::var("AUDIT_BOOKS").ok().and_then(|number| number.parse().ok()).unwrap_or(BOOKS);
    let mut seen = Seen::default();
    let mut mismatches = Vec::new();
    let mut cells = 0;
    for seed in 0..books {
        let unit = if seed % 2 == 0 { WindUnit::Knot } else { WindUnit::MetrePerSecond };
        let made_up = made_up(seed, unit);
        let Some((book, printed)) = settings_cards(&made_up) else {
            seen.add("books not read");
            continue;
        };
        assert_eq!(book.units.wind, unit, "seed {seed}");
        for settings in &book.settings {
            let stem = &settings.id.value;
            let is_of = |id: &str| {
                id.strip_prefix(stem.as_str()).is_some_and(|rest| {
                    rest.is_empty() || rest.strip_prefix('-').is_some_and(|nth| nth.parse::<usize>().is_ok())
                })
            };
            let is_other = |id: &str| book.settings.iter().any(|of| of.id.value == id && of.id.value != *stem);
            let parts: Vec<_> = printed.iter().filter(|(card, _)| is_of(&card.id) && !is_other(&card.id)).collect();
            if parts.is_empty() {
                // Of sails that are ashore, or in no band of the book.
                seen.add("settings without a card");
                continue;
            }
            if parts.iter().any(|(_, svg)| svg.is_none()) {
                seen.add("cards too small for their words");
                continue;
            }
            seen.add("cards");
            if parts.len() > 1 {
                seen.add("parted");
            }
            if settings.angled.is_some() {
                seen.add("cards by wind and angle");
                continue; // Their cells are held to a scan in `truth::angled`.
            }
            let expected = worked_out(&book, settings, &mut seen);
            let winds: Vec<String> = expected.iter().map(|row| row.0.clone()).collect();
            let mut found: Vec<PrintedRow> = Vec::new();
            for (card, svg) in parts {
                let controls = card.content.data()["columns"].as_array().map_or(0, Vec::len);
                for (wind, mut cells) in read_back(svg.as_deref().unwrap_or_default(), &winds) {
                    // Under the controls there may be a target.
                    cells.truncate(controls);
                    match found.iter_mut().find(|row| row.0 == wind) {
                        Some(row) => row.1.append(&mut cells),
                        None => found.push((wind, cells)),
                    }
                }
            }
            cells += expected.iter().map(|(_, cells)| cells.len()).sum::<usize>();
            let differs = |(expected, found): &(&(String, Vec<Option<Cell>>), &PrintedRow)| {
                let cells = expected.1.iter().zip(&found.1);
                expected.1.len() != found.1.len()
                    || cells.into_iter().any(|(of, is)| of.as_ref().is_some_and(|of| of != is))
            };
            if found.len() != expected.len() || expected.iter().zip(&found).any(|pair| differs(&pair)) {
                let first = expected.iter().zip(&found).find(differs);
                mismatches.push(format!("seed {seed}, {}: {first:#?}", settings.id.value));
            }
        }
    }
    println!("{cells} cells of {books} books: {:?}", seen.0);
    assert!(mismatches.is_empty(), "{} cards of {books} books: {}", mismatches.len(), mismatches[0]);
    let of = |what: &str| seen.0.get(what).copied().unwrap_or_default();
    for what in [
        "Even",
        "Centre",
        "Measured",
        "Gauge",
        "Tapes",
        "Words",
        "Around",
        "Turns",
        "figure Outside",
        "figure Between",
        "kn",
        "m/s",
        "ranges",
        "rows",
        "no row",
        "more",
        "not used",
        "unknown",
        "one side of a none",
        "two sides",
        "parted",
    ] {
        assert!(of(what) > 0, "no {what}: {:?}", seen.0);
    }
    assert!(
        of("cards too small for their words") * 20 < of("cards") && of("books not read") * 10 < books as usize,
        "{:?}",
        seen.0
    );
}
