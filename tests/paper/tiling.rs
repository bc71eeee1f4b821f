//! Drawings longer than the paper: their pieces, laid over each other at the joints, are the whole again.
use crate::common;
use crate::reading;

use approx::assert_abs_diff_eq;
use cockpit_cards::cards::{self, Edition, Label};
use cockpit_cards::drawing::{Anchor, Colour, Drawing, Joint, Layer, Shape, Text, Weight};
use cockpit_cards::paper::tile::cut;
use cockpit_cards::paper::{Heading, PaperSize, Piece, Printer, Tile, lay_out, tile};
use common::content;
use common::raster::Raster;
use common::sample::pdf_of;
use kurbo::{Affine, Circle, Point, Rect, Shape as _, Size};
use proptest::prelude::*;

const HEADING: Heading = Heading { title: "Chervil: strips", note: "" };
/// Ink before the first tick and after the last.
const ENDS: f64 = 30.0;

/// A scale of `count` numbered marks, with everything a strip may have lying across its joints.
fn scale(count: u32, spacing: f64, level: bool) -> Drawing {
    let length = f64::from(count - 1) * spacing + 2.0 * ENDS;
    let mut drawing = Drawing::new(Size::new(length, 24.0), "Scale", "");
    let mut watermark = Text::new("EXAMPLE EXAMPLE", (10.0, 20.0), Anchor::Start, 16.0, Weight::Bold);
    watermark.em *= (length - 20.0) / watermark.width();
    watermark.em = watermark.em.min(16.0);
    drawing.print(watermark.coloured(Colour::grey(0.9)));
    drawing.print(Shape::fill(Rect::new(ENDS, 20.0, length - ENDS, 22.0), Colour::rgb(0.8, 0.9, 0.1)));
    Shape::hatch(Rect::new(ENDS, 8.0, length / 2.0, 10.0), 1.7, 0.25).into_iter().for_each(|line| drawing.print(line));
    drawing.print(Shape::stroke(Circle::new((length / 3.0, 12.0), 9.0), 0.4));
    for index in 0..count {
        let at = ENDS + f64::from(index) * spacing;
        drawing.print(Shape::line((at, 0.0), (at, 8.0), 0.5));
        drawing.print(Text::new(index.to_string(), (at, 16.0), Anchor::Middle, 5.0, Weight::Bold));
    }
    drawing.cut(Shape::stroke(drawing.size.to_rect().to_rounded_rect(2.0), 0.1));
    let joint =
        |index: u32| Joint { at: ENDS + f64::from(index) * spacing, name: format!("mark {index}"), clear: spacing };
    drawing.joints = (1..count - 1).map(joint).collect();
    if !level {
        drawing = stood_up(&drawing);
    }
    drawing
}

/// The same drawing on its end: what was left is now at the top.
fn stood_up(drawing: &Drawing) -> Drawing {
    let turn = Affine::new([0.0, 1.0, -1.0, 0.0, drawing.size.height, 0.0]);
    let mut upright = Drawing::new(Size::new(drawing.size.height, drawing.size.width), "Scale", "");
    upright.joints = drawing.joints.clone();
    for item in &drawing.items {
        let shape = match item.shape.clone() {
            Shape::Fill { path, colour } => Shape::Fill { path: turn * path, colour },
            Shape::Stroke { path, colour, width, dash } => Shape::Stroke { path: turn * path, colour, width, dash },
            Shape::Text(text) => Shape::Text(text.clone().turned_about((0.0, 0.0), std::f64::consts::FRAC_PI_2)),
        };
        let shape = match shape {
            Shape::Text(text) => {
                Shape::Text(Text { origin: text.origin + kurbo::Vec2::new(drawing.size.height, 0.0), ..text })
            }
            other => other,
        };
        if item.layer == Layer::Cut { upright.cut(shape) } else { upright.print(shape) }
    }
    upright
}

fn pieces_on(whole: &Drawing, paper: &str) -> Vec<Tile> {
    let paper = PaperSize::parse(paper).expect(paper);
    tile::tiles(whole, &paper, HEADING, Printer::default()).expect("joints are near enough")
}

/// Places of the long ticks of a piece, in the whole.
fn ticks(tile: &Tile, level: bool) -> Vec<f64> {
    let along = |point: Point| if level { point.x } else { point.y };
    let across = |line: &kurbo::Line| {
        let (part, whole) = (line.p1 - line.p0, along(line.p1) - along(line.p0));
        whole == 0.0 && (part.hypot() - 8.0).abs() < 1e-9
    };
    let mut places: Vec<f64> = content::of_drawing(&tile.drawing)
        .into_iter()
        .filter(|segment| segment.layer == "print" && across(&segment.line))
        .map(|segment| along(segment.line.p0) + tile.from_mm)
        .collect();
    places.sort_by(f64::total_cmp);
    places
}

#[test]
fn every_mark_keeps_its_place_and_each_joint_stands_on_both_its_pieces() {
    for (length, spacing, level) in
        [(600.0, 20.0, true), (1200.0, 25.4, true), (3000.0, 60.0, true), (1200.0, 20.0, false)]
    {
        let count = (length / spacing) as u32 + 1;
        let whole = scale(count, spacing, level);
        for paper in ["A4", "Letter", "A3"] {
            let tiles = pieces_on(&whole, paper);
            assert!(tiles.iter().map(|tile| (tile.number, tile.count)).eq((1..=tiles.len()).map(|n| (n, tiles.len()))));
            let places: Vec<Vec<f64>> = tiles.iter().map(|tile| ticks(tile, level)).collect();
            for index in 0..count {
                let at = ENDS + f64::from(index) * spacing;
                let seen = places.iter().flatten().filter(|place| (*place - at).abs() < 1e-9).count();
                assert!(seen == 1 || seen == 2, "mark {index} of {length} mm on {paper}: {seen} times");
            }
            let all = places.iter().map(Vec::len).sum::<usize>();
            assert_eq!(
                all,
                count as usize + tiles.len() - 1,
                "one mark is shared at each joint of {length} mm on {paper}"
            );
            for pair in places.windows(2) {
                assert_eq!(pair[0].last(), pair[1].first(), "the last of one piece is the first of the next");
            }
        }
    }
}

#[test]
fn pieces_fit_the_paper_and_are_as_few_and_as_even_as_the_joints_allow() {
    let whole = scale(61, 20.0, true);
    let tiles = pieces_on(&whole, "A4");
    let paper = PaperSize::default();
    let pieces: Vec<Piece> = tiles.iter().map(|tile| Piece::new("scale", &tile.drawing)).collect();
    let layout = lay_out(&pieces, &paper, HEADING).expect("every piece fits");
    assert_eq!(layout.positions.len(), tiles.len());
    // 1260 mm; a piece has at most 287 mm, of which laps and tabs at both ends take some 60.
    assert_eq!(tiles.len(), 6);
    let lengths: Vec<f64> = tiles.iter().map(|tile| tile.length_mm).collect();
    let (least, most) =
        (lengths.iter().copied().fold(f64::INFINITY, f64::min), lengths.iter().copied().fold(0.0, f64::max));
    assert!(most <= 287.0 && least > most / 2.0, "{lengths:?}");
    assert_eq!(tiles, pieces_on(&whole, "A4"), "the same drawing gives the same pieces");
}

/// How many pieces there are if each is as long as it can be, for a `tab` at each joint.
fn fewest(whole: &Drawing, longest: f64, tab: f64) -> Option<usize> {
    let length = whole.size.max_side();
    let (mut begin, mut count) = (0.0, 1);
    while length - begin > longest {
        let reached = whole.joints.iter().map(|joint| joint.at).filter(|at| at + tab - begin <= longest + 1e-6);
        let next = reached.fold(f64::NEG_INFINITY, f64::max) - tab;
        if next <= begin {
            return None;
        }
        (begin, count) = (next, count + 1);
    }
    Some(count)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn evenly_spaced_marks_make_even_pieces_and_no_more_of_them(
        count in 4_u32..80,
        spacing in 15_u32..70,
        longest in 150_u32..1_200,
        level in any::<bool>(),
    ) {
        let whole = scale(count, f64::from(spacing), level);
        let longest = f64::from(longest);
        let Some(tiles) = cut(&whole, longest) else { return Ok(()) };
        prop_assume!(tiles.len() > 1);
        let lengths: Vec<f64> = tiles.iter().map(|tile| tile.length_mm).collect();
        prop_assert!(lengths.iter().all(|length| *length <= longest + 1e-6), "{:?}", lengths);
        // From joint to joint is what is seen of a piece once the next lies over it.
        let joints: Vec<f64> = tiles[1..].iter().map(|tile| ticks(tile, level)[0]).collect();
        let ends = [0.0].into_iter().chain(joints.iter().copied()).chain([whole.size.max_side()]);
        let ends: Vec<f64> = ends.collect();
        let seen: Vec<f64> = ends.windows(2).map(|pair| pair[1] - pair[0]).collect();
        for each in [&lengths, &seen] {
            let (least, most) = each.iter().fold((f64::INFINITY, 0.0), |(least, most): (f64, f64), length| {
                (least.min(*length), most.max(*length))
            });
            prop_assert!(least >= most / 2.0, "{:?}", each);
        }
        let tab = joints[0] - tiles[1].from_mm;
        prop_assert_eq!(Some(tiles.len()), fewest(&whole, longest, tab), "{:?}", lengths);
    }
}

#[test]
fn pieces_laid_over_each_other_look_like_the_whole() {
    const DOTS_PER_INCH: f64 = 150.0;
    for level in [true, false] {
        let whole = scale(16, 30.0, level);
        let mut assembled = Drawing::new(whole.size, "", "");
        let paper = PaperSize::default();
        let tiles = pieces_on(&whole, "A4");
        assert!(tiles.len() > 1);
        for tile in &tiles {
            // Each piece covers what it lies on; tabs are under the next piece or cut off.
            let of_joint =
                |from: f64| whole.joints.iter().min_by(|a, b| (a.at - from).abs().total_cmp(&(b.at - from).abs()));
            let begin = if tile.number == 1 { 0.0 } else { of_joint(tile.from_mm + 30.0).expect("a joint").at - 10.0 };
            let cover = if level {
                Rect::new(begin, 0.0, whole.size.width, 24.0)
            } else {
                Rect::new(0.0, begin, 24.0, whole.size.height)
            };
            assembled.print(Shape::fill(cover, Colour::WHITE));
            let by =
                if level { Affine::translate((tile.from_mm, 0.0)) } else { Affine::translate((0.0, tile.from_mm)) };
            let shows = cockpit_cards::drawing::clip::Band::straight(begin, f64::INFINITY, level);
            for item in tile.drawing.items.iter().filter(|item| item.layer == Layer::Print) {
                let shape = match item.shape.clone() {
                    Shape::Fill { path, colour } => Shape::Fill { path: by * path, colour },
                    Shape::Stroke { path, colour, width, dash } => {
                        Shape::Stroke { path: by * path, colour, width, dash }
                    }
                    Shape::Text(text) => Shape::Text(Text { origin: by * text.origin, ..text }),
                };
                if let Some(part) = shows.part(&shape) {
                    assembled.print(part);
                }
            }
        }
        let plain = Drawing {
            items: whole.items.iter().filter(|item| item.layer == Layer::Print).cloned().collect(),
            ..whole.clone()
        };
        let (one, other) =
            (Raster::of_pdf(&pdf_of(&plain), 1, DOTS_PER_INCH), Raster::of_pdf(&pdf_of(&assembled), 1, DOTS_PER_INCH));
        // Match marks at the edges are all that is new: nothing differs a little way in from the edge.
        let inner = if level {
            Rect::new(0.0, 2.0, whole.size.width, 22.0)
        } else {
            Rect::new(2.0, 0.0, 22.0, whole.size.height)
        };
        let mut worst = (0.0, (0, 0));
        for y in one.to_pixels(inner.y0) as usize..one.to_pixels(inner.y1) as usize {
            for x in one.to_pixels(inner.x0) as usize..one.to_pixels(inner.x1) as usize {
                let apart = (one.ink(x, y) - other.ink(x, y)).abs();
                if apart > worst.0 {
                    worst = (apart, (x, y));
                }
            }
        }
        // Where a letter is cut, two soft edges lie over each other: 100; what is missing or a pixel off gives 255.
        assert!(worst.0 < 112.0, "level {level}: {worst:?} on {paper:?}");
    }
}

#[test]
fn a_tab_says_which_piece_it_is_and_what_goes_over_it() {
    let tiles = pieces_on(&scale(31, 20.0, true), "A4");
    let words = |tile: &Tile| tile.drawing.texts().map(|text| text.content.clone()).collect::<Vec<_>>().join(" ");
    let first = words(&tiles[0]);
    assert!(first.contains("Piece 1 of 3. Piece 2 goes over this, mark"), "{first}");
    let second = words(&tiles[1]);
    assert!(second.contains("Piece 2 of 3. Cut this off. Lay mark"), "{second}");
    for tile in &tiles {
        for item in &tile.drawing.items {
            let bounds = item.shape.bounds();
            assert!(tile.drawing.size.to_rect().inflate(0.3, 0.3).contains_rect(bounds), "{bounds} stays on its piece");
        }
    }
}

/// Where along the whole a piece is cut, from its own left or upper end, without the ends of its tabs.
fn cut_across(tile: &Tile, level: bool) -> Vec<f64> {
    let lines = tile.drawing.items.iter().filter(|item| item.layer == Layer::Cut).map(|item| item.shape.bounds());
    let across = lines.filter(|line| if level { line.width() < 1.0 } else { line.height() < 1.0 });
    let places = across.map(|line| tile.from_mm + if level { line.center().x } else { line.center().y });
    let ends = [tile.from_mm, tile.from_mm + tile.length_mm];
    places.filter(|at| ends.iter().all(|end| (at - end).abs() > 0.5)).collect()
}

#[test]
fn pieces_are_numbered_from_the_datum_and_each_next_one_lies_over_the_one_before() {
    for level in [true, false] {
        let whole = Drawing { from_far_end: true, ..scale(31, 20.0, level) };
        let tiles = pieces_on(&whole, "A4");
        let count = tiles.len();
        assert!(count > 2);
        assert!(tiles.windows(2).all(|pair| pair[0].number < pair[1].number && pair[0].from_mm > pair[1].from_mm));
        let words = |tile: &Tile| tile.drawing.texts().map(|text| text.content.clone()).collect::<Vec<_>>().join(" ");
        let (first, last) = (words(&tiles[0]), words(&tiles[count - 1]));
        assert!(first.contains(&format!("Piece 1 of {count}. Piece 2 goes over this, mark")), "{first}");
        assert!(last.contains(&format!("Piece {count} of {count}. Cut this off. Lay mark")), "{last}");
        assert!(last.contains(&format!("of piece {}", count - 1)), "{last}");
        // The first is not cut at its joint; the last is, a lap beyond it.
        assert_eq!(cut_across(&tiles[0], level), Vec::<f64>::new());
        assert_eq!(cut_across(&tiles[count - 1], level).len(), 1);
    }
}

#[test]
fn pieces_that_are_seen_through_what_they_stick_to_butt_at_the_joint() {
    for level in [true, false] {
        let whole = Drawing { butts: true, ..scale(31, 20.0, level) };
        let tiles = pieces_on(&whole, "A4");
        for pair in tiles.windows(2) {
            let [cuts, next] = [&pair[0], &pair[1]].map(|tile| cut_across(tile, level));
            let (end, begin) = (cuts[cuts.len() - 1], next[0]);
            assert!((end - begin).abs() < 1e-9, "{end} and {begin}");
            assert!(whole.joints.iter().any(|joint| (joint.at - end).abs() < 1e-9), "{end} is a joint");
        }
        let words = tiles[0].drawing.texts().map(|text| text.content.clone()).collect::<Vec<_>>().join(" ");
        assert!(words.contains("Cut through mark") && words.contains("Butt it against mark"), "{words}");
        assert!(!words.contains("goes over"), "{words}");
    }
}

#[test]
fn joints_too_far_apart_make_no_pieces() {
    let whole = scale(4, 400.0, true);
    assert!(tile::tiles(&whole, &PaperSize::default(), HEADING, Printer::default()).is_none());
    assert!(
        tile::tiles(&scale(5, 20.0, true), &PaperSize::default(), HEADING, Printer::default()).is_none(),
        "it fits whole"
    );
    assert!(cut(&whole, 10.0).is_none());
}

#[test]
fn a_curve_across_a_joint_is_cut_where_it_crosses() {
    let mut whole = scale(31, 20.0, true);
    whole.print(Shape::fill(Circle::new((330.0, 12.0), 60.0), Colour::grey(0.5)));
    let tiles = pieces_on(&whole, "A4");
    let area = |tile: &Tile| {
        let fills = tile.drawing.items.iter().filter_map(|item| match &item.shape {
            Shape::Fill { path, colour } if *colour == Colour::grey(0.5) => Some(path.area().abs()),
            _ => None,
        });
        fills.sum::<f64>()
    };
    // Parts in two laps are there twice; the sum is the circle and those laps again.
    let circle = Circle::new((330.0, 12.0), 60.0).area();
    let sum: f64 = tiles.iter().map(area).sum();
    assert!(sum > circle && sum < circle * 1.5, "{sum} of {circle}");
    let joints: Vec<f64> = tiles[1..].iter().map(|tile| ticks(tile, true)[0]).collect();
    let lap = |at: f64| {
        let half = |x: f64| {
            let t = (x - 330.0) / 60.0;
            if t.abs() >= 1.0 { t.signum() * std::f64::consts::FRAC_PI_2 } else { t * (1.0 - t * t).sqrt() + t.asin() }
        };
        60.0 * 60.0 * (half(at + 10.0) - half(at - 10.0))
    };
    assert_abs_diff_eq!(sum, circle + joints.iter().map(|at| lap(*at)).sum::<f64>(), epsilon = circle * 1e-4);
}

#[test]
fn a_strip_in_pieces_is_corrected_for_its_printer_like_any_other() {
    use cockpit_cards::paper::Correction;
    use cockpit_cards::paper::printer::{Feed, Flip, Measured, Reading};
    let reading = Reading {
        name: "office".into(),
        paper: "A4".into(),
        feed: Feed::ShortEdge,
        across: Measured { nominal_mm: 180.0, measured_mm: 182.0 },
        along: Measured { nominal_mm: 250.0, measured_mm: 247.0 },
        rule_step_mm: 0.5,
        back_shift: None,
        date: "2027-04-11".into(),
    };
    let paper = PaperSize::default();
    let correction = Correction::new(&reading, &paper, None, Flip::Long).expect("a correction");
    let printer = Printer { correction: Some(&correction), flip: Flip::Long };
    let tiles = tile::tiles(&scale(61, 20.0, true), &paper, HEADING, printer).expect("pieces");
    let pieces: Vec<Piece> = tiles.iter().map(|tile| Piece::new("scale", &tile.drawing)).collect();
    assert!(cockpit_cards::paper::lay_out_for(&pieces, &paper, HEADING, printer).is_ok(), "pieces fit what is left");
    let room = 287.0 * 247.0 / 250.0;
    assert!(tiles.iter().all(|tile| tile.length_mm <= room), "no piece is longer than {room} mm");
}

#[test]
fn no_piece_of_a_strip_can_be_taken_for_one_of_another_strip() {
    let strip = "{scale: {marks: 0..40, spacing: 20 mm}}";
    let curved = "{scale: {marks: 0..40, spacing: 20 mm}, strip: {arc: {radius: 2 m}}}";
    let text = format!(
        "book: 1\nboat: {{name: Chervil}}\ncontrols:\n  inhauler: {strip}\n  outhaul: {strip}\n  lead: {curved}\n"
    );
    let book = reading::load(&text).book.expect("a book");
    let mut stamps = Vec::new();
    for card in cards::cards(&book, &mut Vec::new()) {
        let label = Label::new(&book, &card.stamp, Edition::Draft);
        let whole = cards::draw(&card, &label, &mut Vec::new()).expect("a strip");
        let tiles = tile::tiles(&whole, &PaperSize::default(), HEADING, Printer::default()).expect("pieces");
        let count = tiles.len();
        assert!(count > 2, "{}", card.id);
        for tile in tiles {
            let words: Vec<&str> = tile.drawing.texts().map(|text| text.content.as_str()).collect();
            let which = format!("Piece {} of {count} of {}.", tile.number, card.stamp);
            assert!(words.join(" ").contains(&which), "{}: {words:?}", card.id);
        }
        stamps.push(card.stamp);
    }
    stamps.sort();
    stamps.dedup();
    assert_eq!(stamps.len(), 3);
}
