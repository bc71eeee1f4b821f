//! Pages of cards: how many papers they take, what stands on them, where they are cut, and that advice on sizes holds.
use crate::common;

use cockpit_cards::card_sizes::CardSizes;
use cockpit_cards::cards::Stock;
use cockpit_cards::drawing::{Drawing, Layer, Shape, legibility};
use cockpit_cards::length::Length;
use cockpit_cards::paper::{Flip, Heading, Layout, PaperSize, Piece, PrintJob};
use cockpit_cards::printing::{self, Files, Options};
use common::whole;
use kurbo::{Rect, Size};

/// The full example with the list of cards it had when its one-sided cards took 14 papers of A4 and the others 4.
const WHOLE_BOAT: &str = include_str!("whole-boat.yaml");
const HEADING: Heading = Heading { title: "Pepperwort: cards", note: "" };
/// Printers leave 4.2 to 5 mm white and shift by up to 1.5 mm (common practice): 8 mm from every edge is safe.
const EDGE: f64 = 8.0;
const TINY: f64 = 1e-6;

fn paper(name: &str) -> PaperSize {
    PaperSize::parse(name).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn print(text: &str, paper_name: &str) -> Result<Files, Vec<String>> {
    let loaded = whole::load(text);
    let mut problems = loaded.problems;
    let options = Options { job: PrintJob::on(paper(paper_name)), ..Options::default() };
    let book = loaded.book.unwrap_or_else(|| panic!("a book: {problems:?}"));
    printing::print(&book, &options, &mut problems)
        .ok_or_else(|| problems.iter().map(|problem| format!("{} | {}", problem.what, problem.instead)).collect())
}

fn papers(files: &Files, measured: bool) -> usize {
    let documents = files.documents.iter().filter(|document| document.measured == measured);
    documents.map(|document| if document.flip.is_some() { document.pages / 2 } else { document.pages }).sum()
}

fn pieces(size: Size, count: usize) -> Vec<Drawing> {
    vec![Drawing::new(size, "", ""); count]
}

fn laid<'a>(drawings: &'a [Drawing], paper_name: &str) -> Layout<'a> {
    let pieces: Vec<Piece> = drawings.iter().map(|drawing| Piece::new("card", drawing)).collect();
    let layout = PrintJob::on(paper(paper_name)).lay_out_cards(&pieces, HEADING);
    layout.unwrap_or_else(|misfits| panic!("{misfits:?}"))
}

/// Crop marks and crosses: every line that is drawn beside the cards.
fn lines(page: &Drawing) -> Vec<Rect> {
    let strokes = page.items.iter().filter_map(|item| match &item.shape {
        Shape::Stroke { path, .. } => Some(kurbo::Shape::bounding_box(path)),
        _ => None,
    });
    strokes.collect()
}

#[test]
fn the_cards_of_a_whole_boat_take_nine_papers_of_a4() {
    let files = print(WHOLE_BOAT, "A4").expect("files");
    let cards = files.cards.iter().filter(|card| card.marks_mm.is_none() && !card.id.starts_with("strip"));
    assert_eq!(cards.count(), 22, "22 sides, 4 of them backs, and one for each side of the bunks");
    assert_eq!(papers(&files, false), 9);
    assert_eq!(papers(&files, true), 2, "strips as before");
}

#[test]
fn on_half_a_page_no_text_is_smaller_than_its_rule() {
    let (drawn, problems) = whole::draw(WHOLE_BOAT);
    assert!(problems.is_empty(), "{problems:?}");
    let mut seen = 0;
    for card in drawn.iter().filter(|card| card.card.stock == Stock::Card) {
        let drawing = card.drawing.as_ref().unwrap_or_else(|| panic!("{} is drawn", card.card.id));
        for text in drawing.texts().filter(|text| !text.content.trim().is_empty()) {
            // Capitals of 3 mm at 0.6 m are 17 minutes of arc; small print is read from nearer by, at 20.
            let rule = if text.distance == legibility::CARD_DISTANCE { 17.0 } else { 20.0 };
            let arc = legibility::arc_minutes(Length::mm(text.cap_height()), text.distance);
            assert!(arc >= rule - TINY, "{}: “{}” is {arc:.1}′, less than {rule}′", card.card.id, text.content);
            seen += 1;
        }
    }
    assert!(seen > 500, "{seen} texts");
}

#[test]
fn a_card_without_a_size_is_half_a_page_that_keeps_off_the_edges_and_two_share_one_cut() {
    // Half of what 8 mm at the edges and a line of 4 mm leave: (297 - 16 - 4) / 2 = 138.5, (279.4 - 20) / 2 = 129.7.
    for (name, width, height) in [("A4", 194.0, 138.5), ("Letter", 199.9, 129.7), ("Legal", 199.9, 167.8)] {
        let usual = paper(name).card_sizes(false).usual();
        let half = usual[1].size;
        assert!((half - Size::new(width, height)).to_vec2().hypot() < TINY, "{name}: {half}");
        let drawings = pieces(half, 4);
        let layout = laid(&drawings, name);
        assert_eq!(layout.pages.len(), 2, "{name}: two on a page");
        let page = layout.pages[0].size;
        let on_first: Vec<Rect> = layout.positions[..2].iter().map(|position| position.area).collect();
        for area in &on_first {
            let edges = [area.x0, area.y0, page.width - area.x1, page.height - area.y1];
            assert!(edges.iter().all(|edge| *edge >= EDGE - TINY), "{name}: {edges:?}");
        }
        assert!((on_first[0].y1 - on_first[1].y0).abs() < TINY, "{name}: edge to edge");
        let middle = on_first[0].y1;
        let at_cut = lines(&layout.pages[0].furniture).into_iter().filter(|line| (line.y0 - middle).abs() < 3.0);
        let at_cut: Vec<Rect> = at_cut.collect();
        assert_eq!(at_cut.len(), 2, "{name}: one mark at each end of the cut: {at_cut:?}");
        assert!(at_cut.iter().all(|mark| (mark.y0 - middle).abs() < TINY && mark.height() < TINY));
        assert_eq!(lines(&layout.pages[0].furniture).len(), 4 + 2 + 4, "{name}: corners, and the cut between");
    }
}

#[test]
fn large_paper_is_halved_until_it_is_a_card_and_small_paper_is_one_card() {
    let sizes = |name: &str| {
        let usual = paper(name).card_sizes(false).usual();
        usual.iter().map(|size| size.name.clone()).collect::<Vec<_>>()
    };
    assert_eq!(sizes("A3"), ["A6", "140.5 × 200 mm", "281 × 200 mm"]);
    assert_eq!(laid(&pieces(Size::new(140.5, 200.0), 4), "A3").pages.len(), 1);
    assert_eq!(sizes("A5"), ["A6", "132 × 190 mm"]);
    assert_eq!(sizes("4 x 6 in"), ["85.6 × 132.4 mm"]);
    assert_eq!(sizes("roll-610mm"), ["A6", "A5"]);
}

#[test]
fn a_card_that_is_the_page_is_not_cut_and_any_other_is() {
    let whole_page = Size::new(194.0, 277.0);
    assert!(CardSizes::default().is_uncut(whole_page));
    let layout_of = |size: Size| lines(&laid(&pieces(size, 1), "A4").pages[0].furniture).len();
    assert_eq!((layout_of(whole_page), layout_of(Size::new(277.0, 194.0))), (0, 0));
    assert!(layout_of(Size::new(194.0, 276.0)) >= 4);
    // Fifteen controls and other rows of 9 mm are more than half a page is high.
    let ids: Vec<String> = (1..=15).map(|nth| format!("c{nth}")).collect();
    let scales: String = ids.iter().map(|id| format!("  {id}: {{scale: {{words: [off, on]}}}}\n")).collect();
    let settings = format!("controls: [{}], at: {{10: [{}]}}", ids.join(", "), vec!["on"; 15].join(", "));
    let text = format!(
        "book: 1\nboat: {{name: Chervil}}\ncontrols:\n{scales}sails: {{j1: {{kind: headsail}}}}\nsettings:\n  - {{id: up, sails: \
         [j1], point_of_sail: upwind, {settings}}}\ncards: [{{kind: handover, size: 194 x 277 mm}}, {{kind: handover, id: large, size: A4}}]\n"
    );
    let (drawn, problems) = whole::draw(&text);
    assert!(problems.is_empty(), "{problems:?}");
    let of = |index: usize| drawn[index].drawing.as_ref().expect("it fits");
    let cuts = |drawing: &Drawing| drawing.items.iter().filter(|item| item.layer == Layer::Cut).count();
    assert_eq!((of(0).size.min_side(), of(0).size.max_side(), cuts(of(0))), (194.0, 277.0, 0));
    assert_eq!(cuts(of(2)), 1, "its back comes between");
}

#[test]
fn a_page_of_cards_has_one_upright_sentence_at_its_foot_and_no_check_bar() {
    for name in ["A4", "A3", "Letter", "Legal", "A5", "4 x 6 in", "100 x 140 mm"] {
        for flip in [None, Some(Flip::Long), Some(Flip::Short)] {
            let drawings = pieces(Size::new(54.0, 86.0), 9);
            let card = |drawing| match flip {
                None => Piece::new("card", drawing),
                Some(_) => Piece::new("card", drawing).with_back(drawing),
            };
            let cards: Vec<Piece> = drawings.iter().map(card).collect();
            let job = PrintJob { flip: flip.unwrap_or_default(), ..PrintJob::on(paper(name)) };
            let layout = job.lay_out_cards(&cards, HEADING).unwrap_or_else(|misfits| panic!("{misfits:?}"));
            assert!(layout.check_bars.is_empty());
            for (number, page) in layout.pages.iter().enumerate() {
                let said = format!("{name}, {flip:?}, page {}", number + 1);
                let texts: Vec<_> = page.furniture.texts().collect();
                let sentence = texts.iter().filter(|text| text.content.contains("actual size, 100 %"));
                assert_eq!(sentence.count(), 1, "{said}");
                let cards: Vec<Rect> =
                    page.placed.iter().map(|at| at.to_page.transform_rect_bbox(at.drawing.size.to_rect())).collect();
                for (index, text) in texts.iter().enumerate() {
                    let bounds = text.bounds();
                    assert_eq!(text.turn, 0.0, "{said}: upright");
                    assert!(
                        layout.printable.inflate(TINY, TINY).contains_rect(bounds),
                        "{said}: {bounds} on the paper"
                    );
                    let apart = |other: Rect| bounds.intersect(other).is_zero_area();
                    assert!(cards.iter().all(|card| apart(*card)), "{said}: “{}” off the cards", text.content);
                    assert!(texts[..index].iter().all(|other| apart(other.bounds())), "{said}: “{}”", text.content);
                }
                for line in lines(&page.furniture) {
                    let line = line.inflate(0.1, 0.1);
                    let apart = |other: Rect| line.intersect(other).is_zero_area();
                    assert!(
                        cards.iter().all(|card| apart(*card)) && texts.iter().all(|text| apart(text.bounds())),
                        "{said}: {line}"
                    );
                    assert!(line.width() < 4.0 && line.height() < 4.0, "{said}: no bar");
                }
            }
        }
    }
}

#[test]
fn cards_alike_lie_edge_to_edge_and_never_over_each_other() {
    for (name, size, pages) in
        [("A4", Size::new(105.0, 74.0), 8), ("A4", Size::new(100.0, 140.0), 10), ("Letter", Size::new(100.0, 65.0), 5)]
    {
        let drawings = pieces(size, 40);
        let layout = laid(&drawings, name);
        assert_eq!(layout.pages.len(), pages, "{name} {size}");
        for (index, one) in layout.positions.iter().enumerate() {
            assert!(layout.printable.inflate(TINY, TINY).contains_rect(one.area));
            for other in layout.positions[..index].iter().filter(|other| other.page == one.page) {
                assert!(
                    one.area.inset(-TINY).intersect(other.area.inset(-TINY)).is_zero_area(),
                    "{} {}",
                    one.area,
                    other.area
                );
            }
        }
    }
}

/// One entry of each kind of card of the whole boat.
const KINDS: [&str; 13] = [
    "kind: wind-settings, settings: j2-upwind",
    "kind: wind-settings, settings: j3-reach",
    "kind: change-points, settings: j3-reef-upwind",
    "kind: wardrobe",
    "kind: sail-change, from: j1, to: j2, before: [jib_lead], during: [jib_halyard], halyard: jib_halyard",
    "kind: re-mark",
    "kind: crew-below",
    "kind: watch-plan",
    "kind: handover",
    "kind: readiness",
    "kind: outboard-lead",
    "kind: lacing",
    "kind: stowage",
];

/// The entry and the paper once the advice is taken; none if it names neither a size nor a paper.
fn advised(advice: &str, entry: &str, on: &str) -> Option<(String, String)> {
    let (kind, size) = entry.split_once(", size: ").unwrap_or((entry, ""));
    let after = |word: &str| {
        let rest = advice.split_once(word)?.1;
        Some(rest.split(['`', ',']).next().unwrap_or_default().trim().to_owned())
    };
    let size = match after("write `size: ") {
        Some(size) => format!(", size: {size}"),
        None if size.is_empty() => String::new(),
        None => format!(", size: {size}"),
    };
    let paper = after("--paper ").or_else(|| after("print on ")).unwrap_or_else(|| on.to_owned());
    let taken = (format!("{kind}{size}"), paper);
    (taken != (entry.to_owned(), on.to_owned())).then_some(taken)
}

#[test]
fn every_size_and_paper_that_is_offered_holds_the_card_and_prints() {
    let book = WHOLE_BOAT.split("\ncards:").next().unwrap_or_default();
    let with = |entry: &str, paper: &str| print(&format!("{book}\ncards: [{{{entry}}}]\n"), paper);
    let (mut refused, mut at_a_loss) = (0, Vec::new());
    for kind in KINDS {
        for size in ["", ", size: A7", ", size: A6", ", size: A4"] {
            for paper in ["A4", "Letter", "A5"] {
                let entry = format!("{kind}{size}");
                let Err(problems) = with(&entry, paper) else { continue };
                refused += 1;
                let Some((entry, other)) = advised(&problems[0], &entry, paper) else {
                    at_a_loss.push(format!("{entry} on {paper}: {problems:?}"));
                    continue;
                };
                let taken = with(&entry, &other);
                assert!(taken.is_ok(), "{kind}{size} on {paper}: {problems:?}\n{entry} on {other}: {:?}", taken.err());
            }
        }
    }
    assert!(refused > 40, "{refused} refused");
    assert_eq!(at_a_loss, [""; 0], "what these cards say does fit some paper");
}
