//! Cards with two sides: on paper each back lies behind its front, whichever way the printer turns the sheet.
use crate::common;

use approx::assert_abs_diff_eq;
use cockpit_cards::drawing::{Anchor, Drawing, Layer, Shape, Text, Weight};
use cockpit_cards::output::pdf::{Options, pdf};
use cockpit_cards::paper::printer::{BackShift, Feed, Measured, Reading};
use cockpit_cards::paper::{Correction, Flip, Heading, Layout, PaperSize, Piece, Printer, lay_out_cards, lay_out_for};
use common::content::{self, Segment};
use common::two_sides::{TRUE_MM, through_the_paper};
use kurbo::{Affine, Point, Rect, Shape as _, Size, Vec2};
use proptest::prelude::*;

const HEADING: Heading = Heading { title: "Chervil: cards", note: "" };

/// A card with an outline and a word at its upper left, where it is read from.
fn card(size: Size, word: &str) -> Drawing {
    let mut drawing = Drawing::new(size, word, "");
    drawing.print(Text::new(word, (5.0, 10.0), Anchor::Start, 3.0, Weight::Bold));
    drawing.cut(Shape::stroke(size.to_rect(), 0.1));
    drawing
}

fn cards(sizes: &[(f64, f64)], word: &str) -> Vec<Drawing> {
    sizes.iter().map(|&(width, height)| card(Size::new(width, height), word)).collect()
}

fn laid<'a>(fronts: &'a [Drawing], backs: &'a [Drawing], paper: &str, printer: Printer) -> Layout<'a> {
    let pieces: Vec<Piece> =
        fronts.iter().zip(backs).map(|(front, back)| Piece::new("card", front).with_back(back)).collect();
    let paper = PaperSize::parse(paper).expect(paper);
    lay_out_cards(&pieces, &paper, HEADING, printer).unwrap_or_else(|misfits| panic!("{misfits:?}"))
}

/// The same as pieces that are measured.
fn measured<'a>(fronts: &'a [Drawing], backs: &'a [Drawing], printer: Printer) -> Layout<'a> {
    let pieces: Vec<Piece> =
        fronts.iter().zip(backs).map(|(front, back)| Piece::new("card", front).with_back(back)).collect();
    lay_out_for(&pieces, &PaperSize::default(), HEADING, printer).unwrap_or_else(|misfits| panic!("{misfits:?}"))
}

/// Corners of the cut outlines on a page, as upright rectangles, sorted.
fn outlines(segments: &[Segment], page: usize) -> Vec<Rect> {
    let cut: Vec<&Segment> =
        segments.iter().filter(|segment| segment.page == page && segment.layer == Layer::Cut.name()).collect();
    // A rectangle is four lines in a row.
    let bounds = |lines: &[&Segment]| {
        lines.iter().map(|segment| segment.line.bounding_box()).reduce(|one, other| one.union(other)).expect("lines")
    };
    let mut found: Vec<Rect> = cut.chunks(4).map(bounds).collect();
    found.sort_by(|a, b| (a.y0, a.x0).partial_cmp(&(b.y0, b.x0)).expect("numbers"));
    found
}

fn seen_from_front(flip: Flip, page: Size, areas: Vec<Rect>) -> Vec<Rect> {
    let through = |corner: Point| through_the_paper(flip, page, corner);
    let mut areas: Vec<Rect> = areas
        .into_iter()
        .map(|area| Rect::from_points(through(area.origin()), through(Point::new(area.x1, area.y1))))
        .collect();
    areas.sort_by(|a, b| (a.y0, a.x0).partial_cmp(&(b.y0, b.x0)).expect("numbers"));
    areas
}

fn corners_apart(one: Rect, other: Rect) -> f64 {
    [one.x0 - other.x0, one.y0 - other.y0, one.x1 - other.x1, one.y1 - other.y1]
        .map(f64::abs)
        .into_iter()
        .fold(0.0, f64::max)
}

fn some_cards() -> impl Strategy<Value = Vec<(f64, f64)>> {
    prop::collection::vec(prop_oneof![(30.0..90.0, 30.0..120.0), Just((105.0, 148.0)), Just((148.0, 105.0))], 1..10)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn every_back_lies_behind_its_front(
        sizes in some_cards(),
        flip in prop::sample::select(&[Flip::Long, Flip::Short][..]),
        paper in prop::sample::select(&["A4", "Letter", "A3"][..]),
    ) {
        let (fronts, backs) = (cards(&sizes, "front"), cards(&sizes, "back"));
        let layout = laid(&fronts, &backs, paper, Printer { correction: None, flip });
        prop_assert_eq!(layout.pages.len() % 2, 0);
        let bytes = pdf(&layout.pages, &Options { title: "", subject: "", ..Options::default() }).expect("a PDF");
        let contents = content::of_pdf(&bytes);
        let size = layout.pages[0].size;
        for sheet in 0..layout.pages.len() / 2 {
            let front = outlines(&contents.segments, 2 * sheet + 1);
            let back = seen_from_front(flip, size, outlines(&contents.segments, 2 * sheet + 2));
            prop_assert_eq!(front.len(), back.len());
            prop_assert!(!front.is_empty());
            for (one, other) in front.iter().zip(&back) {
                prop_assert!(corners_apart(*one, *other) <= TRUE_MM, "{} and {}", one, other);
            }
        }
        for (index, position) in layout.positions.iter().enumerate() {
            prop_assert_eq!(position.page % 2, 0, "card {} lies on a front", index);
        }
    }
}

#[test]
fn a_back_is_upright_when_its_card_is_turned_like_the_leaf_of_a_book() {
    // The second cannot lie as it was drawn, so it is turned.
    let sizes = [(60.0, 90.0), (250.0, 60.0)];
    let (fronts, backs) = (cards(&sizes, "front"), cards(&sizes, "back"));
    for flip in [Flip::Long, Flip::Short] {
        let layout = laid(&fronts, &backs, "A4", Printer { correction: None, flip });
        assert!(layout.positions.iter().any(|position| position.turned));
        let size = layout.pages[0].size;
        for (index, position) in layout.positions.iter().enumerate() {
            let placed = |page: usize, drawing: &Drawing| {
                let placed = layout.pages[page].placed.iter().find(|placed| std::ptr::eq(placed.drawing, drawing));
                placed.expect("it is on the page").to_page
            };
            let front = placed(position.page, &fronts[index]);
            let back = placed(position.page + 1, &backs[index]);
            assert_abs_diff_eq!(back.determinant(), 1.0, epsilon = 1e-12);
            // Upper left of the back is behind the upper right of the front, and so on around.
            let (width, height) = sizes[index];
            for (on_back, on_front) in [((0.0, 0.0), (width, 0.0)), ((width, height), (0.0, height))] {
                let behind = through_the_paper(flip, size, back * Point::from(on_back));
                let apart = behind - front * Point::from(on_front);
                assert!(apart.hypot() < 1e-9, "{flip:?}, card {index}: {apart:?}");
            }
        }
    }
}

#[test]
fn both_sides_have_bars_crosses_that_meet_and_words_that_stay_off_the_cards() {
    let sizes = [(105.0, 74.0); 7];
    let (fronts, backs) = (cards(&sizes, "front"), cards(&sizes, "back"));
    for flip in [Flip::Long, Flip::Short] {
        let layout = measured(&fronts, &backs, Printer { correction: None, flip });
        let size = layout.pages[0].size;
        for (number, page) in layout.pages.iter().enumerate() {
            let words: Vec<&str> = page.furniture.texts().map(|text| text.content.as_str()).collect();
            let side = if number % 2 == 0 { "front" } else { "back" };
            let heading = format!("Page {} of {}, {side}, A4, actual size", number / 2 + 1, layout.pages.len() / 2);
            assert!(words.contains(&heading.as_str()), "{words:?}");
            assert!(words.iter().any(|words| words.contains("crosses of both")), "{words:?}");
            let segments = content::of_drawing(&page.furniture);
            for level in [true, false] {
                let bars = segments.iter().filter(|segment| {
                    let whole = segment.line.p1 - segment.line.p0;
                    let along = if level { whole.x } else { whole.y };
                    (along.abs() - 100.0).abs() < TRUE_MM && (whole.hypot() - along.abs()).abs() < TRUE_MM
                });
                assert_eq!(bars.count(), 1, "{flip:?}, page {number}, level {level}");
            }
            let reach = layout.printable.inflate(0.1, 0.1);
            for item in &page.furniture.items {
                let ink = match &item.shape {
                    Shape::Stroke { path, .. } => path.bounding_box(),
                    other => other.bounds(),
                };
                assert!(reach.contains_rect(ink), "{flip:?}, page {number}: {ink} inside what the printer reaches");
                for placed in &page.placed {
                    let card = placed.to_page.transform_rect_bbox(placed.drawing.size.to_rect());
                    let apart = (ink.x0 - card.x1).max(card.x0 - ink.x1).max(ink.y0 - card.y1).max(card.y0 - ink.y1);
                    assert!(apart > 0.2, "{flip:?}, page {number}: {ink} on card {card}");
                }
            }
        }
        // A cross is two short lines through one point.
        let crosses = |layout: &Layout, page: usize| -> Vec<Point> {
            let segments = content::of_drawing(&layout.pages[page].furniture);
            let middles: Vec<Point> = segments.iter().map(|segment| segment.line.midpoint()).collect();
            let paired = |index: &usize| {
                middles[index + 1..].iter().any(|other| (*other - middles[*index]).hypot() < 1e-9)
                    && segments[*index].line.p0 != segments[*index].line.p1
            };
            (0..middles.len()).filter(paired).map(|index| middles[index]).collect()
        };
        let of_cards = laid(&fronts, &backs, "A4", Printer { correction: None, flip });
        for layout in [&layout, &of_cards] {
            let (front, back) = (crosses(layout, 0), crosses(layout, 1));
            assert_eq!((front.len(), back.len()), (3, 3));
            for cross in back {
                let behind = through_the_paper(flip, size, cross);
                assert!(
                    front.iter().any(|front| (*front - behind).hypot() <= TRUE_MM),
                    "{flip:?}: {behind} meets none"
                );
            }
        }
    }
}

fn reading(back_shift: Option<BackShift>) -> Reading {
    Reading {
        name: "office".into(),
        paper: "A4".into(),
        feed: Feed::ShortEdge,
        across: Measured { nominal_mm: 180.0, measured_mm: 178.2 },
        along: Measured { nominal_mm: 250.0, measured_mm: 252.5 },
        rule_step_mm: 0.5,
        back_shift,
        date: "2027-04-11".into(),
    }
}

#[test]
fn a_printer_that_shifts_its_second_side_puts_it_where_it_belongs() {
    let sizes = [(105.0, 74.0); 5];
    let (fronts, backs) = (cards(&sizes, "front"), cards(&sizes, "back"));
    let size = Size::new(210.0, 297.0);
    let middle = size.to_rect().center().to_vec2();
    // The printer's own doing, seen on the back of an upright page turned over its long edge.
    let shift = Vec2::new(1.5, -0.5);
    let stretch = Affine::translate(middle)
        * Affine::scale_non_uniform(178.2 / 180.0, 252.5 / 250.0)
        * Affine::translate(-middle);
    let measured = BackShift { x_mm: shift.x, y_mm: shift.y, flip: Flip::Long };
    for (known, flip, off) in [
        (Some(measured), Flip::Long, 0.0),
        // Turned over the short edge the driver prints the back upside down, and the sheet is shifted as ever.
        (Some(measured), Flip::Short, 0.0),
        (None, Flip::Long, 1.5),
    ] {
        let paper = PaperSize::default();
        let correction = Correction::new(&reading(known), &paper, None, flip).expect("a correction");
        let layout = laid(&fronts, &backs, "A4", Printer { correction: Some(&correction), flip });
        let bytes = pdf(&layout.pages, &Options { title: "", subject: "", ..Options::default() }).expect("a PDF");
        let contents = content::of_pdf(&bytes);
        let printed = |page: usize, by: Vec2| -> Vec<Rect> {
            let moved = Affine::translate(by) * stretch;
            outlines(&contents.segments, page).into_iter().map(|area| moved.transform_rect_bbox(area)).collect()
        };
        let by = if flip == Flip::Long { shift } else { -shift };
        let front = printed(1, Vec2::ZERO);
        let back = seen_from_front(flip, size, printed(2, by));
        for (one, other) in front.iter().zip(&back) {
            let sides = [one.width(), one.height()].map(|side| (side - 105.0).abs().min((side - 74.0).abs()));
            assert!(sides.iter().all(|off| *off <= TRUE_MM), "{one} is 105 mm by 74 mm on paper");
            assert_abs_diff_eq!(corners_apart(*one, *other), off, epsilon = TRUE_MM);
        }
        // What is moved for the printer's sake still lies on what it reaches.
        for segment in contents.segments.iter() {
            for end in [segment.line.p0, segment.line.p1] {
                assert!(paper.printable().inflate(0.1, 0.1).contains(end), "{flip:?}: {end}");
            }
        }
    }
}

#[test]
fn cards_without_a_back_keep_the_pages_they_had() {
    let fronts = cards(&[(105.0, 148.0), (105.0, 74.0)], "front");
    let pieces: Vec<Piece> = fronts.iter().map(|front| Piece::new("card", front)).collect();
    for flip in [Flip::Long, Flip::Short] {
        let printer = Printer { correction: None, flip };
        let layout = lay_out_for(&pieces, &PaperSize::default(), HEADING, printer).expect("they fit");
        assert_eq!(layout.pages.len(), 1);
        assert!(layout.pages[0].furniture.texts().all(|text| !text.content.contains("front")));
    }
}
