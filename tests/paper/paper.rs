//! Pages: nothing overlaps, nothing is lost, the bars are true, and the paper is well used.

use crate::common;

use approx::assert_abs_diff_eq;
use cockpit_cards::drawing::{Anchor, Drawing, Layer, Shape, Text, Weight, legibility};
use cockpit_cards::length::Length;
use cockpit_cards::output::pdf::{Options, pdf};
use cockpit_cards::paper::{Heading, Layout, PaperSize, Piece, lay_out};
use common::content;
use kurbo::{Rect, Shape as _, Size};
use proptest::prelude::*;

const HEADING: Heading =
    Heading { title: "Pepperwort: strips", note: "Print on matt polyester film: paper grows in the damp." };
const PAPERS: [&str; 8] = ["A4", "A3", "A5", "Letter", "Legal", "Tabloid", "4 x 6 in", "100 x 140 mm"];
/// White that a knife needs between two pieces, millimetres.
const GAP: f64 = 3.0;

fn paper(name: &str) -> PaperSize {
    PaperSize::parse(name).unwrap_or_else(|error| panic!("{name}: {error}"))
}

fn drawings(sizes: &[(f64, f64)]) -> Vec<Drawing> {
    sizes.iter().map(|&(width, height)| Drawing::new(Size::new(width, height), "", "")).collect()
}

/// Lays rectangles out that are known to fit.
fn laid<'a>(drawings: &'a [Drawing], paper: &PaperSize) -> Layout<'a> {
    let pieces: Vec<Piece> = drawings.iter().map(|drawing| Piece::new("piece", drawing)).collect();
    lay_out(&pieces, paper, HEADING).unwrap_or_else(|misfits| panic!("{misfits:?}"))
}

/// Every area on a page, in the order of the pieces.
fn on_page(layout: &Layout, page: usize) -> Vec<Rect> {
    layout.positions.iter().filter(|position| position.page == page).map(|position| position.area).collect()
}

/// Whether `inner` lies in `outer`, but for rounding.
fn inside(inner: Rect, outer: Rect) -> bool {
    outer.inflate(1e-6, 1e-6).contains_rect(inner)
}

/// The paper a shape inks. A line's ends are square, so its width counts only across it.
fn ink(shape: &Shape) -> Rect {
    match shape {
        Shape::Stroke { path, width, .. } => match path.bounding_box() {
            upright if upright.width() == 0.0 => upright.inflate(width / 2.0, 0.0),
            level if level.height() == 0.0 => level.inflate(0.0, width / 2.0),
            other => other.inflate(width / 2.0, width / 2.0),
        },
        other => other.bounds(),
    }
}

/// The larger of the two distances between rectangles, across and along; negative where they overlap.
fn distance(a: Rect, b: Rect) -> f64 {
    (a.x0 - b.x1).max(b.x0 - a.x1).max(a.y0 - b.y1).max(b.y0 - a.y1)
}

/// Whether straight cuts from edge to edge of what is left in the hand free every piece.
fn can_be_cut_out(pieces: &[Rect]) -> bool {
    if pieces.len() < 2 {
        return true;
    }
    let splits = |low: fn(&Rect) -> f64, high: fn(&Rect) -> f64| {
        pieces.iter().map(high).find_map(|cut| {
            let (near, far): (Vec<Rect>, Vec<Rect>) = pieces.iter().partition(|piece| high(piece) <= cut + 1e-6);
            let clear = far.iter().all(|piece| low(piece) >= cut - 1e-6);
            (clear && !far.is_empty()).then_some((near, far))
        })
    };
    let found = splits(|piece| piece.x0, |piece| piece.x1).or_else(|| splits(|piece| piece.y0, |piece| piece.y1));
    found.is_some_and(|(near, far)| can_be_cut_out(&near) && can_be_cut_out(&far))
}

/// Everything that must hold of any layout; says which claim is broken.
fn faults(layout: &Layout, drawings: &[Drawing], paper: &PaperSize) -> Result<(), String> {
    let claim = |holds: bool, what: String| if holds { Ok(()) } else { Err(what) };
    claim(layout.positions.len() == drawings.len(), "each piece has one position".into())?;
    let placed: Vec<_> = layout.pages.iter().flat_map(|page| &page.placed).collect();
    claim(placed.len() == drawings.len(), "as many drawings placed as pieces".into())?;
    for (drawing, position) in drawings.iter().zip(&layout.positions) {
        let held = layout.pages[position.page].placed.iter().filter(|placed| {
            let drawn = placed.to_page.transform_rect_bbox(drawing.size.to_rect());
            std::ptr::eq(placed.drawing, drawing)
                && inside(drawn, position.area)
                && inside(position.area, drawn)
                && (placed.to_page.determinant() - 1.0).abs() < 1e-12
                && (placed.to_page.as_coeffs()[0] == 1.0) != position.turned
        });
        claim(held.count() == 1, format!("{position:?} is where the drawing is drawn, once"))?;
    }
    for (number, page) in layout.pages.iter().enumerate() {
        claim(page.size == paper.size() && page.furniture.size == paper.size(), "one page size".into())?;
        let areas = on_page(layout, number);
        claim(!areas.is_empty(), "no empty page".into())?;
        claim(can_be_cut_out(&areas), format!("page {number} comes apart by straight cuts: {areas:?}"))?;
        for (index, &area) in areas.iter().enumerate() {
            claim(inside(area, layout.printable), format!("{area} inside the printable area"))?;
            for &furniture in &layout.furniture_areas {
                claim(distance(area, furniture) >= 1.0, format!("{area} clear of furniture {furniture}"))?;
            }
            for &other in &areas[..index] {
                claim(distance(area, other) >= GAP - 1e-6, format!("{area} keeps its gap to {other}"))?;
            }
        }
        for item in &page.furniture.items {
            let ink = ink(&item.shape);
            // A crop mark along the very edge of what the printer reaches may lose half its width.
            let reach = layout.printable.inflate(0.1, 0.1);
            claim(inside(ink, reach), format!("{:?} inside the printable area", item.shape))?;
            claim(item.layer == Layer::Print, "furniture is ink, not a path for a plotter's knife".into())?;
            let own = layout.furniture_areas.iter().any(|&area| inside(ink, area));
            let clear = areas.iter().chain(&layout.furniture_areas).all(|&area| distance(ink, area) > 0.2);
            claim(own || clear, format!("{:?} clear of every piece", item.shape))?;
        }
    }
    Ok(())
}

fn assert_sound(layout: &Layout, drawings: &[Drawing], paper: &PaperSize) {
    if let Err(fault) = faults(layout, drawings, paper) {
        panic!("{fault}");
    }
}

fn some_paper_and_pieces() -> impl Strategy<Value = (PaperSize, Vec<(f64, f64)>)> {
    let piece = prop_oneof![
        (20.0..60.0, 20.0..60.0),
        (15.0..30.0, 40.0..100.0),
        (40.0..105.0, 15.0..30.0),
        Just((54.0, 50.0)),
        Just((22.0, 90.0)),
    ];
    (prop::sample::select(&PAPERS[..6]), prop::collection::vec(piece, 0..24))
        .prop_map(|(name, pieces)| (paper(name), pieces))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn pieces_never_overlap_or_leave_the_page_and_none_is_lost((paper, sizes) in some_paper_and_pieces()) {
        let drawings = drawings(&sizes);
        let layout = laid(&drawings, &paper);
        prop_assert_eq!(faults(&layout, &drawings, &paper), Ok(()));
    }

    #[test]
    fn the_same_pieces_give_the_same_pages((paper, sizes) in some_paper_and_pieces()) {
        let drawings = drawings(&sizes);
        let (once, again) = (laid(&drawings, &paper), laid(&drawings, &paper));
        prop_assert_eq!(&once.positions, &again.positions);
        for (one, other) in once.pages.iter().zip(&again.pages) {
            prop_assert_eq!(&one.furniture, &other.furniture);
        }
    }

    #[test]
    fn a_piece_is_laid_out_or_named_as_a_misfit(width in 1.0_f64..450.0, height in 1.0_f64..450.0) {
        let drawings = drawings(&[(width, height)]);
        for name in PAPERS {
            let paper = paper(name);
            let piece = Piece::new("backstay", &drawings[0]);
            match lay_out(&[piece], &paper, HEADING) {
                Ok(layout) => prop_assert_eq!(faults(&layout, &drawings, &paper), Ok(())),
                Err(misfits) => {
                    prop_assert_eq!(misfits.len(), 1);
                    prop_assert_eq!((misfits[0].id.as_str(), misfits[0].size), ("backstay", drawings[0].size));
                    if let Some(larger) = &misfits[0].fits_on {
                        prop_assert!(lay_out(&[piece], larger, HEADING).is_ok(), "{} on {larger:?}", misfits[0].what());
                    }
                }
            }
        }
    }
}

#[test]
fn both_check_bars_are_a_hundred_millimetres_between_the_middles_of_their_ticks_on_every_page() {
    for name in &PAPERS[..6] {
        let paper = paper(name);
        let cards = drawings(&[(105.0, 74.0); 9]);
        let layout = laid(&cards, &paper);
        assert!(layout.pages.len() > 1 || *name == "A3" || *name == "Tabloid", "{name} is tried on several pages");
        let [across, up] = layout.check_bars[..] else { panic!("two bars") };
        assert_abs_diff_eq!(across.to.x - across.from.x, 100.0, epsilon = 1e-9);
        assert_eq!(across.to.y, across.from.y);
        assert_abs_diff_eq!(up.from.y - up.to.y, 100.0, epsilon = 1e-9);
        assert_eq!(up.to.x, up.from.x);
        for page in &layout.pages {
            let strokes: Vec<(Rect, f64)> = page
                .furniture
                .items
                .iter()
                .filter_map(|item| match &item.shape {
                    Shape::Stroke { path, width, .. } => Some((path.bounding_box(), *width)),
                    _ => None,
                })
                .collect();
            for bar in [across, up] {
                let drawn = Rect::from_points(bar.from, bar.to);
                let is_drawn = |line: &Rect| inside(*line, drawn) && inside(drawn, *line);
                assert_eq!(strokes.iter().filter(|(line, _)| is_drawn(line)).count(), 1, "{name}: the bar itself");
                for end in [bar.from, bar.to] {
                    let centred = |line: &Rect| (line.center() - end).hypot() < 1e-9 && !is_drawn(line);
                    let ticks: Vec<_> = strokes.iter().filter(|(line, _)| centred(line)).collect();
                    assert_eq!(ticks.len(), 1, "{name}: one tick at {end}");
                    let (tick, width) = ticks[0];
                    let (along, across) =
                        if bar == up { (tick.height(), tick.width()) } else { (tick.width(), tick.height()) };
                    assert!(
                        along == 0.0 && across >= 2.0 && *width <= 0.2,
                        "{name}: the tick is fine and square to the bar"
                    );
                }
            }
        }
    }
}

#[test]
fn a_narrow_paper_has_shorter_bars_and_says_how_long_they_are() {
    for (name, across_mm, up_mm) in [("4 x 6 in", 80.0, 100.0), ("100 x 140 mm", 80.0, 100.0)] {
        let cards = drawings(&[(40.0, 50.0)]);
        let layout = laid(&cards, &paper(name));
        let [across, up] = layout.check_bars[..] else { panic!("two bars") };
        assert_abs_diff_eq!(across.length().to_mm(), across_mm, epsilon = 1e-9);
        assert_abs_diff_eq!(up.length().to_mm(), up_mm, epsilon = 1e-9);
        let words: Vec<&str> = layout.pages[0].furniture.texts().map(|text| text.content.as_str()).collect();
        for length in [across_mm, up_mm] {
            assert!(words.iter().any(|words| words.starts_with(&format!("{length} mm"))), "{words:?}");
        }
    }
}

#[test]
fn the_words_tell_a_newcomer_what_to_measure_and_what_to_do() {
    let cards = drawings(&[(60.0, 80.0)]);
    let pages = ["A4", "Letter", "4 x 6 in"].map(|name| {
        let layout = laid(&cards, &paper(name));
        layout.pages[0].furniture.texts().map(|text| text.content.as_str()).collect::<Vec<_>>().join("\n")
    });
    insta::assert_snapshot!(pages.join("\n\n"));
}

#[test]
fn three_and_fifteen_sixteenths_of_an_inch_is_a_check_bar() {
    // What the bar says on inch papers: within what a rule in sixteenths shows (NIST SP 811: 1 in = 25.4 mm).
    assert_abs_diff_eq!((3.0 + 15.0 / 16.0) * 25.4, 100.0, epsilon = 0.02);
    assert_abs_diff_eq!((3.0 + 13.0 / 16.0) * 25.4, 97.0, epsilon = 0.2);
}

#[test]
fn pages_are_numbered_and_their_count_is_told() {
    let cards = drawings(&[(105.0, 148.0); 5]);
    let layout = laid(&cards, &paper("A4"));
    for (index, page) in layout.pages.iter().enumerate() {
        let number = format!("Page {} of 3, A4, actual size", index + 1);
        assert!(page.furniture.texts().any(|text| text.content == number), "{number}");
    }
}

#[test]
fn furniture_can_be_read_at_arms_length_and_no_two_words_overlap() {
    let long_title = "Pepperwort and her sisters, all strips, all sides, ".repeat(8);
    for name in PAPERS {
        for title in ["", "Pepperwort: strips", &long_title] {
            let cards = drawings(&[(40.0, 50.0); 40]);
            let pieces: Vec<Piece> = cards.iter().map(|drawing| Piece::new("piece", drawing)).collect();
            let layout = lay_out(&pieces, &paper(name), Heading { title, ..HEADING }).expect("small pieces fit");
            assert_sound(&layout, &cards, &paper(name));
            for page in &layout.pages {
                let texts: Vec<_> = page.furniture.texts().collect();
                assert!(texts.len() >= 4, "{name}: heading, two labels, words");
                for (index, text) in texts.iter().enumerate() {
                    let angle = legibility::arc_minutes(Length::mm(text.cap_height()), text.distance);
                    assert!(angle >= legibility::WANTED_ARC_MINUTES - 1e-9, "{name}: \"{}\"", text.content);
                    assert!(text.distance >= legibility::LEGEND_DISTANCE);
                    let inked = page.furniture.items.iter().map(|item| &item.shape);
                    let lines = inked.filter(|shape| matches!(shape, Shape::Stroke { .. })).map(ink);
                    for other in texts[..index].iter().map(|text| text.bounds()).chain(lines) {
                        assert!(distance(text.bounds(), other) > 0.1, "{name}: \"{}\" runs into {other}", text.content);
                    }
                }
            }
        }
    }
}

#[test]
fn a_lone_card_has_two_crop_marks_at_every_corner_in_line_with_its_edges() {
    let cards = drawings(&[(105.0, 148.0)]);
    let layout = laid(&cards, &paper("A4"));
    let card = layout.positions[0].area;
    let marks: Vec<Rect> = layout.pages[0]
        .furniture
        .items
        .iter()
        .filter_map(|item| match &item.shape {
            Shape::Stroke { path, .. } => Some(path.bounding_box()),
            _ => None,
        })
        .filter(|line| !layout.furniture_areas.iter().any(|&area| inside(*line, area)))
        .collect();
    assert_eq!(marks.len(), 8);
    for (x, y) in [(card.x0, card.y0), (card.x1, card.y0), (card.x0, card.y1), (card.x1, card.y1)] {
        let near = |mark: &&Rect| distance(**mark, Rect::new(x, y, x, y)) < 1.0;
        let upright = marks.iter().filter(near).filter(|mark| mark.x0 == x && mark.x1 == x && mark.height() >= 1.0);
        let level = marks.iter().filter(near).filter(|mark| mark.y0 == y && mark.y1 == y && mark.width() >= 1.0);
        assert_eq!((upright.count(), level.count()), (1, 1), "at {x}, {y}");
    }
}

#[test]
fn a_note_that_cannot_be_wrapped_is_left_out_rather_than_run_off_the_page() {
    let cards = drawings(&[(60.0, 80.0)]);
    let piece = Piece::new("piece", &cards[0]);
    let heading = Heading { note: &"x".repeat(300), ..HEADING };
    let layout = lay_out(&[piece], &paper("A4"), heading).expect("a small piece fits");
    assert_sound(&layout, &cards, &paper("A4"));
}

#[test]
fn a_strip_as_long_as_the_printer_reaches_fits_beside_the_bars() {
    // A4 less 5 mm at both ends, whichever way the strip was drawn; and several of them on a page.
    for size in [(287.0, 22.0), (22.0, 287.0)] {
        let strips = drawings(&[size; 3]);
        let layout = laid(&strips, &paper("A4"));
        assert_sound(&layout, &strips, &paper("A4"));
        assert_eq!(layout.pages.len(), 1);
    }
}

#[test]
fn a_long_strip_leaves_the_page_to_cards() {
    let pieces = drawings(&[(287.0, 22.0), (148.0, 105.0), (105.0, 148.0)]);
    let layout = laid(&pieces, &paper("A4"));
    assert_sound(&layout, &pieces, &paper("A4"));
    assert_eq!(layout.pages.len(), 1);
}

#[test]
fn a_misfit_names_the_smallest_paper_of_its_own_family_that_holds_it() {
    for (size, on, fits_on) in [
        ((287.1, 22.0), "A4", Some("A3")),
        ((210.0, 297.0), "A4", Some("A3")),
        ((250.0, 22.0), "A5", Some("A4")),
        ((270.0, 22.0), "Letter", Some("Legal")),
        ((346.0, 22.0), "Letter", Some("Tabloid")),
        // A3 less its margins is 410 mm long, Tabloid 421.8 mm.
        ((415.0, 22.0), "A4", Some("Tabloid")),
        ((422.0, 22.0), "A4", None),
        ((300.0, 300.0), "A4", None),
    ] {
        let strip = drawings(&[size]);
        let misfits = lay_out(&[Piece::new("backstay", &strip[0])], &paper(on), HEADING).expect_err(on);
        assert_eq!(misfits[0].fits_on.as_ref().map(PaperSize::name), fits_on, "{size:?} on {on}");
    }
    let strip = drawings(&[(320.0, 22.0)]);
    let misfits = lay_out(&[Piece::new("backstay", &strip[0])], &paper("A4"), HEADING).expect_err("too long");
    assert_eq!(misfits[0].what(), "\"backstay\" is 320 mm by 22 mm: too large for A4 with its margin");
    assert_eq!(misfits[0].instead(), "print on A3, or make it smaller");
}

#[test]
fn every_misfit_is_named_in_one_run() {
    let pieces = drawings(&[(500.0, 22.0), (100.0, 22.0), (f64::NAN, 22.0), (300.0, 300.0)]);
    let ids = ["a", "b", "c", "d"];
    let pieces: Vec<Piece> = pieces.iter().zip(ids).map(|(drawing, id)| Piece::new(id, drawing)).collect();
    let misfits = lay_out(&pieces, &paper("A4"), HEADING).expect_err("three do not fit");
    assert_eq!(misfits.iter().map(|misfit| misfit.id.as_str()).collect::<Vec<_>>(), ["a", "c", "d"]);
}

#[test]
fn no_pieces_give_no_pages() {
    let layout = laid(&[], &paper("A4"));
    assert_eq!((layout.pages.len(), layout.used.pieces, layout.used.furniture), (0, 0.0, 0.0));
}

#[test]
fn papers_are_upright_and_large_enough_for_two_bars() {
    for (text, size) in [
        ("A4", Size::new(210.0, 297.0)),
        ("letter landscape", Size::new(8.5 * 25.4, 11.0 * 25.4)),
        ("300 x 200 mm", Size::new(200.0, 300.0)),
    ] {
        assert_eq!(paper(text).size(), size);
    }
    assert_eq!(paper("a4").printable(), Rect::new(5.0, 5.0, 205.0, 292.0));
    assert_eq!(PaperSize::default(), paper("A4"));
    let refused = PaperSize::parse("A7").expect_err("too small");
    assert_eq!(refused.what, "A7 is too small a paper: two check bars and their words would fill it");
    assert_eq!(refused.instead, "write A5, A4, A3, Letter, Legal, Tabloid, or at least `100 x 140 mm`");
}

/// What a careful beginner gets: upright pieces in rows, in the order given, over the same free width and height.
fn pages_in_plain_rows(sizes: &[(f64, f64)], width: f64, height: f64) -> usize {
    let (mut pages, mut x, mut y, mut row) = (1, 0.0, 0.0, 0.0_f64);
    for &(piece_width, piece_height) in sizes {
        if x + piece_width > width {
            (x, y, row) = (0.0, y + row + GAP, 0.0);
        }
        if y + piece_height > height {
            (pages, x, y, row) = (pages + 1, 0.0, 0.0, 0.0);
        }
        x += piece_width + GAP;
        row = row.max(piece_height);
    }
    pages
}

/// The cards of a boat with everything: 20 of A6, 30 of A7.
fn fifty_cards() -> Vec<(f64, f64)> {
    (0..50).map(|index| if index % 5 < 2 { (105.0, 148.0) } else { (105.0, 74.0) }).collect()
}

/// Ten strips, five of them longer than the page is wide.
fn ten_strips() -> Vec<(f64, f64)> {
    (0..10).map(|index| (110.0 + 19.0 * f64::from(index), 22.0)).collect()
}

/// Lays sizes out on A4, checks the pages, and says how much of them is used.
fn used(name: &str, sizes: &[(f64, f64)]) -> (usize, f64) {
    let pieces = drawings(sizes);
    let layout = laid(&pieces, &paper("A4"));
    assert_sound(&layout, &pieces, &paper("A4"));
    let (pages, share) = (layout.pages.len(), layout.used.pieces);
    println!("{name}: {pages} pages, {:.1} % used, {:.1} % furniture", share * 100.0, layout.used.furniture * 100.0);
    let area: f64 = sizes.iter().map(|(width, height)| width * height).sum();
    assert_abs_diff_eq!(share * pages as f64 * 200.0 * 287.0, area, epsilon = 1e-6);
    (pages, share)
}

#[test]
fn fifty_cards_fill_as_few_pages_as_can_be() {
    // A page holds two A6 and one A7, or five A7; three A6 or six A7 need more than the printable 200 mm × 287 mm in
    // one direction or the other. Counting A7 as 1 and A6 as 2 that is 5 a page, and 20 A6 and 30 A7 are 70.
    let (pages, share) = used("fifty cards", &fifty_cards());
    assert_eq!(pages, 14);
    assert!(share > 0.67, "{share}");
    assert!(pages_in_plain_rows(&fifty_cards(), 188.0, 278.0) * 2 > pages * 3, "plain rows waste half as much again");
}

#[test]
fn ten_strips_cost_fifty_cards_one_page_more() {
    let all = [fifty_cards(), ten_strips()].concat();
    let (pages, share) = used("fifty cards and ten strips", &all);
    // Five strips are longer than the page is wide: each takes a column that an A7 would have had.
    assert_eq!(pages, 15);
    assert!(share > 0.68, "{share}");
}

#[test]
fn strips_lie_side_by_side_until_the_page_is_full() {
    // Sixty strips of four lengths. With its gap a strip takes (length + 3) × 25; no page has more than 191 × 282 for
    // that, so that fewer than 6 pages cannot hold them.
    let lengths = [110.0, 160.0, 210.0, 260.0];
    let strips: Vec<(f64, f64)> = (0..60).map(|index| (lengths[index % 4], 22.0)).collect();
    let (pages, share) = used("sixty strips", &strips);
    assert_eq!(pages, 6);
    assert!(share > 0.7, "{share}");
}

#[test]
fn cards_alike_keep_their_order_so_that_the_first_page_starts_the_book() {
    let cards = drawings(&[(105.0, 148.0); 12]);
    let layout = laid(&cards, &paper("A4"));
    let pages: Vec<usize> = layout.positions.iter().map(|position| position.page).collect();
    assert!(pages.is_sorted() && pages[0] == 0, "{pages:?}");
}

/// `cargo test --test paper paper -- --ignored` writes some pages for people to open and judge, and says where.
#[test]
#[ignore = "draws pages for people to look at"]
fn pages_to_look_at() {
    let strips: Vec<(f64, f64)> = (0..9).map(|index| (287.0 - 25.0 * f64::from(index), 22.0)).collect();
    let sets = [
        ("cards", "A4", [vec![(105.0, 148.0); 3], vec![(74.0, 105.0); 5]].concat()),
        ("strips", "A4", strips),
        ("strips and a card", "A4", vec![(287.0, 22.0), (287.0, 22.0), (105.0, 148.0), (85.6, 53.98)]),
        ("a card", "A5", vec![(105.0, 148.0)]),
        ("quarters", "Letter", vec![(107.95, 139.7); 3]),
        ("a small card", "4 x 6 in", vec![(60.0, 80.0)]),
    ];
    for (name, paper_name, sizes) in sets {
        let mut pieces = drawings(&sizes);
        for piece in &mut pieces {
            let (width, height) = (piece.size.width, piece.size.height);
            piece.cut(Shape::stroke(piece.size.to_rect().to_rounded_rect(3.0), 0.1));
            let words = format!("{width} × {height}");
            piece.print(Text::new(words, (width / 2.0, height / 2.0), Anchor::Middle, 4.0, Weight::Bold));
        }
        let layout = laid(&pieces, &paper(paper_name));
        let bytes =
            pdf(&layout.pages, &Options { title: HEADING.title, subject: name, ..Options::default() }).expect(name);
        let file = format!("{}/{name}, {paper_name}.pdf", env!("CARGO_TARGET_TMPDIR"));
        std::fs::write(&file, bytes).expect(&file);
        println!("{file}");
    }
}

#[test]
fn a_roll_is_cut_as_long_as_it_needs_to_be() {
    for (roll, sizes) in [
        ("roll-610mm", vec![(1900.0, 22.0)]),
        ("roll-24in", vec![(4900.0, 22.0), (1200.0, 22.0), (600.0, 30.0)]),
        ("roll-914mm", vec![(300.0, 22.0); 40]),
        ("roll-62mm", vec![(400.0, 22.0)]),
        ("roll-610mm", vec![(105.0, 148.0); 3]),
    ] {
        let pieces = drawings(&sizes);
        let roll_paper = paper(roll);
        let layout = laid(&pieces, &roll_paper);
        assert_eq!(layout.pages.len(), 1, "{roll} {sizes:?}");
        let size = layout.pages[0].size;
        assert_eq!(size.width, roll_paper.size().width);
        let lowest = layout.positions.iter().map(|position| position.area.y1).fold(0.0, f64::max);
        let bar = layout.check_bars[0].from.y;
        // Cut to the millimetre below the last piece, the bar or the words, and the rim that no printer reaches.
        assert!(size.height - lowest.max(bar) < 30.0 || size.height < 200.0, "{roll}: {size}, last piece at {lowest}");
        for (one, other) in layout
            .positions
            .iter()
            .zip(1..)
            .flat_map(|(one, next)| layout.positions[next..].iter().map(move |other| (one, other)))
        {
            assert!(distance(one.area, other.area) >= GAP - 1e-6);
        }
        for position in &layout.positions {
            assert!(inside(position.area, size.to_rect().inset(-5.0)));
        }
        let bytes = pdf(&layout.pages, &Options { title: "Roll", subject: "", ..Options::default() }).expect("a PDF");
        let [(width, height)] = content::page_sizes(&bytes)[..] else { panic!("one page") };
        assert_abs_diff_eq!(width, size.width, epsilon = 0.001);
        assert_abs_diff_eq!(height, size.height, epsilon = 0.001);
    }
}

#[test]
fn more_than_five_metres_takes_pages_of_one_length() {
    let pieces = drawings(&[(4800.0, 40.0); 9]);
    let layout = laid(&pieces, &paper("roll-200mm"));
    assert!(layout.pages.len() > 1);
    assert!(layout.pages.iter().all(|page| page.size == Size::new(200.0, 5000.0)));
}

#[test]
fn on_a_narrow_roll_the_bar_is_shorter_and_says_so() {
    let pieces = drawings(&[(400.0, 22.0)]);
    let layout = laid(&pieces, &paper("roll-62mm"));
    let [across, up] = layout.check_bars[..] else { panic!("two bars") };
    assert_eq!((across.length(), up.length()), (Length::mm(50.0), Length::mm(100.0)));
    let narrower = laid(&pieces, &paper("roll-60mm"));
    assert_eq!(narrower.check_bars[0].length(), Length::mm(40.0));
    let says = |layout: &Layout, label: &str| layout.pages[0].furniture.texts().any(|text| text.content == label);
    assert!(says(&layout, "50 mm from end tick to end tick") && says(&narrower, "40 mm"));
    for text in layout.pages[0].furniture.texts() {
        assert!(inside(text.bounds(), layout.printable.inflate(0.5, 0.5)), "{:?} stays on the paper", text.content);
    }
}

#[test]
fn a_roll_without_a_width_is_refused() {
    for (text, words) in [
        ("roll", "has no width"),
        ("roll-", "has no width"),
        ("roll-610", "has no width"),
        ("roll-61kg", "has no width"),
        ("roll-40mm", "too narrow"),
        ("roll-9000mm", "has no width"),
        ("roll-610,5 mm", "decimal comma"),
    ] {
        let refused = PaperSize::parse(text).expect_err(text);
        assert!(refused.what.contains(words) && refused.instead.contains("roll"), "{text}: {refused}");
    }
    for text in ["roll-610mm", "roll 610 mm", "Roll-610MM"] {
        assert_eq!(paper(text).name(), "roll-610mm");
        assert_eq!(paper(text).size(), Size::new(610.0, 5000.0));
    }
}

#[test]
fn where_the_file_is_larger_than_the_print_pieces_keep_further_from_the_rim() {
    use cockpit_cards::paper::printer::{Measured, Reading};
    use cockpit_cards::paper::{Correction, Flip, Printer, lay_out_for};
    let of = |measured: f64, nominal: f64| Measured { nominal_mm: nominal, measured_mm: measured };
    for (across, along) in [(177.5, 247.0), (182.5, 253.0), (177.5, 253.0)] {
        let reading = Reading {
            name: "office".into(),
            paper: "A4".into(),
            feed: Default::default(),
            across: of(across, 180.0),
            along: of(along, 250.0),
            rule_step_mm: 0.5,
            back_shift: None,
            date: "2027-04-11".into(),
        };
        let correction = Correction::new(&reading, &paper("A4"), None, Flip::Long).expect("a correction");
        let printer = Printer { correction: Some(&correction), flip: Flip::Long };
        let cards = drawings(&[(62.0, 90.0); 12]);
        let pieces: Vec<Piece> = cards.iter().map(|drawing| Piece::new("piece", drawing)).collect();
        let layout = lay_out_for(&pieces, &paper("A4"), HEADING, printer).expect("small pieces fit");
        assert_sound(&layout, &cards, &paper("A4"));
        let bytes = pdf(&layout.pages, &Options { title: "", subject: "", ..Options::default() }).expect("a PDF");
        assert_eq!(content::page_sizes(&bytes)[0].1.round(), 297.0, "the page itself keeps its size");
        let contents = content::of_pdf(&bytes);
        for segment in &contents.segments {
            for end in [segment.line.p0, segment.line.p1] {
                let rim = Rect::new(5.0, 5.0, 205.0, 292.0).inflate(0.1, 0.1);
                assert!(rim.contains(end), "{end} is inside what the printer reaches");
            }
        }
        // The bars are longer in the file by what the printer takes away.
        let bar = |level: bool, length: f64| {
            contents.segments.iter().any(|segment| {
                let whole = segment.line.p1 - segment.line.p0;
                let along = if level { whole.x } else { whole.y };
                (along.abs() - length).abs() < 0.005 && (whole.hypot() - along.abs()).abs() < 0.001
            })
        };
        assert!(bar(true, 100.0 * 180.0 / across) && bar(false, 100.0 * 250.0 / along));
    }
}
