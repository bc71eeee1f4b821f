//! A book of sixty cards on paper: nothing overlaps or leaves the page, the paper is well used, and the rest is told.
use crate::common;

use std::fmt::Write as _;

use cockpit_cards::drawing::Drawing;
use cockpit_cards::paper::used::{Reason, Used};
use cockpit_cards::paper::{Heading, PaperSize, Piece, PrintJob, lay_out};
use common::{content, whole};
use kurbo::{Rect, Size};

/// White that a knife needs between two pieces, millimetres.
const GAP: f64 = 3.0;
/// Rim that printers leave white, millimetres.
const MARGIN: f64 = 5.0;

/// A race boat with thirty headsails: for each a card of A6, for twenty another of A5, and five controls with a strip on
/// either side.
fn sixty_cards() -> String {
    let mut text = String::from("book: 1\nboat: {name: Glasswort}\nwind_bands: [4, 8, 11, 14, 17, 20]\ncontrols:\n");
    let controls = ["backstay", "halyard", "lead", "outhaul", "inhauler"];
    for (index, name) in controls.iter().enumerate() {
        let spacing = 10 + 2 * index;
        let strip = "{sides: both, grows: aft, reader_stands: inboard}";
        writeln!(text, "  {name}: {{scale: {{marks: 0..10, spacing: {spacing} mm, halves: true}}, strip: {strip}}}")
            .expect("text");
    }
    text.push_str("sails:\n  main: {kind: mainsail}\n");
    for sail in 0..30 {
        writeln!(text, "  h{sail}: {{kind: headsail, name: H{sail}, wind: 4..20}}").expect("text");
    }
    text.push_str("settings:\n");
    for sail in 0..30 {
        let base = sail % 5;
        writeln!(text, "  - id: h{sail}\n    sails: [main, h{sail}]\n    point_of_sail: upwind").expect("text");
        writeln!(text, "    controls: [{}]\n    at:", controls.join(", ")).expect("text");
        for (wind, mark) in [(6, base), (10, base + 1), (14, base + 3), (18, base + 5)] {
            writeln!(text, "      {wind}: [{mark}, {mark}½, {mark}, {mark}½, {mark}]").expect("text");
        }
    }
    text.push_str("cards:\n  - {kind: strip}\n");
    for sail in 0..30 {
        writeln!(text, "  - {{kind: wind-settings, settings: h{sail}, size: A6}}").expect("text");
    }
    for sail in 0..20 {
        writeln!(text, "  - {{kind: wind-settings, id: large-h{sail}, settings: h{sail}, size: A5}}").expect("text");
    }
    text
}

fn apart(a: Rect, b: Rect) -> f64 {
    (a.x0 - b.x1).max(b.x0 - a.x1).max(a.y0 - b.y1).max(b.y0 - a.y1)
}

#[test]
fn sixty_cards_are_all_on_paper_and_none_lies_on_another() {
    for paper in ["A4", "Letter", "A3"] {
        let run = whole::print(&sixty_cards(), paper);
        assert_eq!(run.cards.len(), 60);
        for (file, pdf) in run.pdfs() {
            let sizes = content::page_sizes(pdf);
            assert!(sizes.windows(2).all(|pair| pair[0] == pair[1]), "{file}: one size");
            let reach = Size::new(sizes[0].0, sizes[0].1).to_rect().inset(-MARGIN).inflate(1e-4, 1e-4);
            let mut pages: Vec<Vec<Rect>> = vec![Vec::new(); sizes.len()];
            for card in &run.cards {
                for printed in card.printed.iter().filter(|printed| printed.file == file) {
                    assert!(printed.piece.is_none(), "{} is not split", card.id);
                    pages[printed.page - 1].push(printed.area(card.size()));
                }
            }
            for (page, areas) in pages.iter().enumerate() {
                assert!(!areas.is_empty(), "{file}: page {} has something on it", page + 1);
                for (index, area) in areas.iter().enumerate() {
                    assert!(
                        reach.union(*area) == reach,
                        "{file}, page {}: {area} inside the printer's reach",
                        page + 1
                    );
                    for other in &areas[..index] {
                        // Cards lie edge to edge, strips keep apart for the knife.
                        let gap = if file == "strips.pdf" { GAP } else { 0.0 };
                        assert!(apart(*area, *other) >= gap - 1e-4, "{file}, page {}: {area} and {other}", page + 1);
                    }
                }
            }
        }
        let placed: usize = run.cards.iter().map(|card| card.printed.len()).sum();
        assert_eq!(placed, 60, "each card once");
    }
}

/// What a book uses of its paper, file by file.
fn used(text: &str, paper: &str) -> Vec<(&'static str, usize, Used)> {
    let loaded = whole::load(text);
    let mut problems = loaded.problems;
    let options = cockpit_cards::printing::Options {
        job: PrintJob::on(PaperSize::parse(paper).expect("a paper")),
        ..Default::default()
    };
    let book = loaded.book.expect("a book");
    let files = cockpit_cards::printing::print(&book, &options, &mut problems).expect("files");
    files.documents.into_iter().map(|document| (document.file, document.pages, document.used)).collect()
}

#[test]
fn sixty_cards_use_the_paper_as_well_as_their_sizes_allow_and_say_why_it_is_not_more() {
    let documents = used(&sixty_cards(), "A4");
    let [("cards.pdf", pages, cards), ("strips.pdf", strip_pages, strips)] = &documents[..] else {
        panic!("two files: {documents:?}")
    };
    // Two A5 are as large as A4 itself (ISO 216), and so are four A6: within a printer's rim a page holds one A5, or two
    // A6, of which three would be 3 × 105 mm or 148 + 2 × 105 mm one way or the other. 20 A5 and 30 A6 are 35 pages.
    assert_eq!(*pages, 35);
    assert!((cards.pieces - 35.0 * 148.0 * 210.0 / (35.0 * 200.0 * 287.0)).abs() < 1e-9, "{cards:?}");
    let words = cards.words();
    assert!(words.starts_with("54 % of the paper used, "), "{words}");
    assert!(words.ends_with("a page of A4 holds 1 of 210 x 148 mm"), "{words}");
    // Ten strips of 22 mm side by side are wider than a page.
    assert_eq!(*strip_pages, 2);
    assert!(matches!(strips.reason, Some(Reason::RoomOnPage(_))), "{strips:?}");
}

#[test]
fn a_reason_is_true() {
    let laid = |sizes: &[(f64, f64)], paper: &str| {
        let drawings: Vec<Drawing> = sizes.iter().map(|size| Drawing::new(Size::new(size.0, size.1), "", "")).collect();
        let pieces: Vec<Piece> = drawings.iter().map(|drawing| Piece::new("piece", drawing)).collect();
        let layout = lay_out(&pieces, &PaperSize::parse(paper).expect("a paper"), Heading::default()).expect("it fits");
        (layout.pages.len(), layout.used)
    };
    // As many as it says fit on one page, and one more does not.
    for (size, paper) in
        [((105.0, 148.0), "A4"), ((90.0, 60.0), "A4"), ((22.0, 250.0), "Letter"), ((74.0, 105.0), "A3")]
    {
        let (pages, used) = laid(&[size; 40], paper);
        let Some(Reason::Holds { count, size: told, .. }) = used.reason else { panic!("{pages} pages: {used:?}") };
        assert_eq!((told.min_side(), told.max_side()), (f64::min(size.0, size.1), f64::max(size.0, size.1)));
        assert_eq!(laid(&vec![size; count], paper).0, 1);
        assert_eq!(laid(&vec![size; count + 1], paper).0, 2);
        assert_eq!(pages, 40_usize.div_ceil(count));
    }
    // One lone card, and one too many for a page.
    assert_eq!(laid(&[(60.0, 90.0)], "A4").1.reason, Some(Reason::RoomOnPage(1)));
    assert_eq!(laid(&[(74.0, 105.0); 6], "A4").1.reason, Some(Reason::RoomOnPage(2)));
    assert_eq!(laid(&[(105.0, 148.0); 3], "roll-610mm").1.reason, None, "a roll is cut as long as it needs to be");
    assert_eq!(laid(&[], "A4").1, Used::default());
}
