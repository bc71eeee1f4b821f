//! Curved strips longer than the paper: read from the pages, every mark of every piece stands where the arc has it.
use crate::common;
use crate::swap::Swap;

use std::collections::BTreeSet;

use common::content::{self, Contents};
use common::{tools, whole};
use kurbo::{Point, Rect, Size, Vec2};
use proptest::prelude::*;

const WIDTH: f64 = 25.0;
/// How far a mark may be from its place, and its ends from the radial line through it, millimetres.
const TRUE: f64 = 0.01;
const RADIAL: f64 = 0.005;
/// A mark begins within this of the pointer's edge and reaches beyond it.
const FROM_EDGE: f64 = 2.0;

/// Where the middle of the circle lies, seen from the strip.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Middle {
    Above,
    Below,
    Left,
    Right,
}

/// A way for a strip to lie: its fields, where the middle of its circle is, whether the pointer's edge is the inner one,
/// and whether its numbers grow from its left or upper end.
const WAYS: [(&str, Middle, bool, bool); 6] = [
    ("", Middle::Above, true, true),
    ("middle: near", Middle::Below, false, true),
    ("middle: left, QQQQ grows: up", Middle::Left, true, false),
    ("middle: right, QQQQ grows: down", Middle::Right, false, true),
    ("QQQQ grows: aft, reader_stands: inboard, sides: port", Middle::Above, true, false),
    (
        "middle: near, QQQQ grows: forward, reader_stands: inboard, ticks: near, sides: starboard",
        Middle::Below,
        true,
        false,
    ),
];

fn book(length: f64, spacing: f64, radius: f64, way: &str) -> String {
    let last = (length / spacing).round();
    let (arc, strip) = way.split_once("QQQQ").unwrap_or((way, ""));
    format!(
        "book: 1\nboat: {{name: Chervil}}\ncontrols:\n  lead:\n    scale: {{marks: 0..{last}, spacing: {spacing} mm, \
         halves: true}}\n    strip: {{width: {WIDTH} mm, reading_distance: 600 mm, arc: {{radius: {radius} mm, \
         {arc}}}, {strip}}}\ncards: [{{kind: strip}}]\n"
    )
}

/// A piece as it lies in its own rectangle.
struct Lie {
    size: Size,
    radius: f64,
    middle: Middle,
    pointer_inside: bool,
    /// Along the arc, of the middle of the rectangle.
    at: f64,
}

impl Lie {
    fn centre(&self) -> Point {
        let outer = self.radius + if self.pointer_inside { WIDTH } else { 0.0 };
        let (half_width, half_height) = (self.size.width / 2.0, self.size.height / 2.0);
        match self.middle {
            Middle::Above => Point::new(half_width, self.size.height - outer),
            Middle::Below => Point::new(half_width, outer),
            Middle::Left => Point::new(self.size.width - outer, half_height),
            Middle::Right => Point::new(outer, half_height),
        }
    }

    /// From the left or upper end along the arc, for a direction from the centre.
    fn along(&self, out: Vec2) -> f64 {
        let angle = match self.middle {
            Middle::Above => out.x.atan2(out.y),
            Middle::Below => out.x.atan2(-out.y),
            Middle::Left => out.y.atan2(out.x),
            Middle::Right => out.y.atan2(-out.x),
        };
        self.at + self.radius * angle
    }

    /// Places of all marks, from the left or upper end along the arc.
    fn marks(&self, strokes: &Contents) -> Vec<f64> {
        let centre = self.centre();
        let marks = strokes.segments.iter().filter(|segment| segment.layer == "print" && !segment.dashed);
        let marks = marks.filter_map(|segment| {
            let [one, other] = [segment.line.p0, segment.line.p1].map(|end| end - centre);
            let [from_edge, beyond] = [one, other].map(|out| (out.length() - self.radius).abs());
            let is_mark = from_edge.min(beyond) < FROM_EDGE && from_edge.max(beyond) > FROM_EDGE;
            // Other lines that begin at the edge lean by more than a knife's width.
            let lean = one.cross(other).abs() / one.length();
            if !is_mark || lean > 0.5 {
                return None;
            }
            assert!(lean < RADIAL, "a mark leans by {lean} mm");
            Some(self.along(one + other))
        });
        marks.collect()
    }
}

/// Prints a curved strip, checks every mark on every piece, and says how many pieces there are.
fn checked(length: f64, spacing: f64, radius: f64, way: usize, paper: &str) -> usize {
    let (fields, middle, pointer_inside, from_left) = WAYS[way];
    let case = format!("{length} mm on {radius} mm, {fields:?}, {paper}");
    let run = whole::try_print(&book(length, spacing, radius, fields), paper).unwrap_or_else(|e| panic!("{case}: {e}"));
    let pdf = run.file("strips.pdf");
    let sizes = content::page_sizes(pdf);
    assert!(sizes.windows(2).all(|pair| pair[0] == pair[1]), "one size: {sizes:?}");
    let pages = content::of_pdf(pdf);
    let page = Size::new(sizes[0].0, sizes[0].1);
    // A crop mark along the very edge of what the printer reaches may lose half its width.
    let reach = page.to_rect().inset(-5.0).inflate(0.1, 0.1);
    for segment in &pages.segments {
        assert!(
            reach.contains(segment.line.p0) && reach.contains(segment.line.p1),
            "{case}: {:?} on the page",
            segment
        );
    }
    for fill in &pages.fills {
        assert!(reach.union(fill.bounds) == reach, "{case}: a fill at {:?} on the page", fill.bounds);
    }
    let card = run.cards.iter().find(|card| card.kind == "strip").expect("a strip");
    let lengths = card.printed.iter().filter_map(|printed| Some(printed.piece?.length_mm));
    let (least, most) =
        lengths.fold((f64::INFINITY, 0.0_f64), |(least, most), length| (least.min(length), most.max(length)));
    assert!(least >= most / 2.0, "{case}: pieces from {least} mm to {most} mm");
    let sign = if from_left { 1.0 } else { -1.0 };
    let mut seen: Vec<(usize, f64)> = Vec::new();
    for printed in &card.printed {
        let part = printed.piece.unwrap_or_else(|| panic!("{case}: which piece it is"));
        let (width, height) = part.box_mm.expect("a piece's rectangle");
        let size = Size::new(width, height);
        let area = printed.area(size);
        assert!(
            page.to_rect().inset(-5.0).inflate(1e-4, 1e-4).union(area).area()
                <= page.to_rect().inset(-5.0).area() + 1.0
        );
        let lie = Lie { size, radius, middle, pointer_inside, at: part.from_mm + part.length_mm / 2.0 };
        let strokes = whole::within(&pages, printed, size);
        seen.extend(lie.marks(&strokes).into_iter().map(|at| (part.number, at * sign)));
    }
    let datum = seen.iter().map(|(_, at)| *at).fold(f64::INFINITY, f64::min);
    let mut pieces_of = vec![BTreeSet::new(); card.marks.len()];
    for (piece, at) in &seen {
        let near = card.marks.iter().position(|mark| (mark.at_mm - (at - datum)).abs() <= TRUE);
        let index = near.unwrap_or_else(|| panic!("{case}: piece {piece} has a mark at {} mm", at - datum));
        pieces_of[index].insert(*piece);
    }
    let times: Vec<usize> = pieces_of.iter().map(BTreeSet::len).collect();
    assert!(times.iter().all(|count| (1..=2).contains(count)), "{case}: marks on pieces {times:?}");
    let twice: Vec<usize> = (0..times.len()).filter(|index| times[*index] == 2).collect();
    assert_eq!(twice.len(), card.printed.len() - 1, "{case}: marks {twice:?} stand on two pieces");
    for index in twice {
        let label = &card.marks[index].label;
        assert!(!label.is_empty(), "{case}: joints are numbered marks");
    }
    card.printed.len()
}

#[test]
fn every_mark_of_a_curved_strip_keeps_its_place_along_the_arc_and_points_at_its_middle() {
    let mut ways = (0..WAYS.len()).cycle();
    for (length, spacing) in [(600.0, 20.0), (1200.0, 50.0), (3000.0, 50.0)] {
        for radius in [800.0, 2400.0, 10_000.0] {
            for paper in ["A4", "Letter"] {
                let way = ways.next().unwrap_or_default();
                let pieces = checked(length, spacing, radius, way, paper);
                let least = (length / 287.0).ceil() as usize;
                assert!(pieces >= least && pieces <= 2 * least + 1, "{pieces} pieces for {length} mm");
            }
        }
    }
}

#[test]
fn every_way_to_lie_is_cut_alike() {
    for way in 0..WAYS.len() {
        checked(600.0, 20.0, 800.0, way, "A4");
    }
}

#[test]
fn a_curved_strip_taller_than_the_roll_is_cut_along_it() {
    // 3 m on a radius of 0.8 m is more than half a circle: 1.6 m across either way.
    for (length, radius, paper) in [(3000.0, 800.0, "roll-610mm"), (1200.0, 800.0, "roll-200mm")] {
        let pieces = checked(length, 50.0, radius, 0, paper);
        let on_sheets = checked(length, 50.0, radius, 0, "A4");
        assert!(pieces > 1 && pieces < on_sheets, "{pieces} pieces off {paper}, {on_sheets} on A4");
    }
}

#[test]
fn a_mirrored_curved_strip_is_cut_too() {
    let plain = book(1200.0, 50.0, 1500.0, "");
    let mirrored = plain.swap("width: 25 mm", "width: 25 mm, mirror: true");
    let [plain, mirrored] = [plain, mirrored].map(|text| whole::print(&text, "A4"));
    let pieces = |run: &whole::Run| {
        let card = run.cards.iter().find(|card| card.kind == "strip").expect("a strip");
        card.printed.len()
    };
    assert!(pieces(&plain) > 1);
    assert!(pieces(&mirrored).abs_diff(pieces(&plain)) <= 1, "the words at its ends are wider");
    let words = tools::text_of(mirrored.file("strips.pdf"));
    assert!(words.contains("Butt"), "the words of a tab are not mirrored: {words}");
}

#[test]
fn numbers_too_far_apart_for_pieces_are_a_problem_with_a_remedy() {
    for (spacing, radius, remedy) in [(300.0, 2400.0, "set its numbers nearer each other"), (300.0, 500.0, "on a roll")]
    {
        let text = book(1200.0, spacing, radius, "").swap("halves: true", "halves: false");
        let said = whole::try_print(&text, "A4").err().expect("a problem");
        assert!(said.contains("its numbers are too far apart to cut it at them"), "{said}");
        assert!(said.contains(remedy), "{said}");
        assert!(said.contains("boat.yaml"), "it has a place: {said}");
    }
}

#[test]
fn an_arc_whose_ends_would_meet_is_a_problem_with_a_remedy() {
    let said = whole::try_print(&book(1200.0, 50.0, 200.0, ""), "A4").err().expect("a problem");
    assert!(said.contains("too long for an arc of 200 mm radius") && said.contains("check the `radius`"), "{said}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_arc_that_prints_has_every_mark_in_its_place(
        marks in 12_u32..60,
        spacing in 15_u32..60,
        radius in 150_u32..10_000,
        way in 0..WAYS.len(),
        paper in prop::sample::select(&["A4", "A3", "Letter", "roll-297mm"][..]),
    ) {
        let (length, radius) = (f64::from(marks * spacing), f64::from(radius));
        match whole::try_print(&book(length, f64::from(spacing), radius, WAYS[way].0), paper) {
            Err(said) => prop_assert!(said.contains("radius") || said.contains("nearer each other"), "{}", said),
            // A strip that fits whole is another test's.
            Ok(run) if run.cards.iter().all(|card| card.printed.iter().all(|place| place.piece.is_none())) => {}
            Ok(_) => prop_assert!(checked(length, f64::from(spacing), radius, way, paper) > 1),
        }
    }
}

#[test]
fn a_pieces_rectangle_is_all_that_it_inks() {
    use cockpit_cards::drawing::{Drawing, Sector};
    use cockpit_cards::paper::tile::cut;
    use std::f64::consts::PI;
    // Half a ring and a bit, with a tick every fiftieth of it.
    let sweep = 1.2 * PI;
    let sector = Sector {
        centre: Point::new(500.0, 500.0),
        radius: 500.0,
        other_radius: 470.0,
        start: -PI / 2.0 - sweep / 2.0,
        sweep,
    };
    let mut whole = Drawing::new(Size::new(1000.0, 900.0), "", "");
    for index in 0..=50 {
        let at = sector.length() * f64::from(index) / 50.0;
        whole.print(cockpit_cards::drawing::Shape::line(sector.point(at, 0.0), sector.point(at, 30.0), 0.3));
        if index > 0 && index < 50 {
            whole.joints.push(cockpit_cards::drawing::Joint { at, name: format!("mark {index}"), clear: 30.0 });
        }
    }
    whole.sector = Some(sector);
    let tiles = cut(&whole, 400.0).expect("pieces");
    assert!(tiles.len() > 4);
    let lines = |tile: &cockpit_cards::paper::Tile| {
        tile.drawing.items.iter().filter(|item| item.shape.bounds().area() > 0.0).count()
    };
    for tile in &tiles {
        let words = tile.drawing.texts().map(|text| text.content.as_str()).collect::<Vec<_>>().join(" ");
        let (number, count) = (tile.number, tiles.len());
        assert!(words.contains(&format!("Piece {number} of {count}.")), "{words}");
        let over = words.contains(&format!("Piece {} goes over this, mark", number + 1));
        let cut_off = words.contains("Cut this off. Lay mark");
        assert_eq!((over, cut_off), (number < count, number > 1), "{words}");
        assert!(lines(tile) > 5, "a far part of the ring is not taken for this one");
        for item in &tile.drawing.items {
            let bounds: Rect = item.shape.bounds();
            assert!(
                tile.drawing.size.to_rect().inflate(0.3, 0.3).union(bounds).area()
                    < tile.drawing.size.to_rect().inflate(0.31, 0.31).area(),
                "{bounds} on {}",
                tile.drawing.size
            );
        }
    }
}

#[test]
fn what_a_printer_leaves_of_a_curve_is_the_worse_of_both_ways() {
    use cockpit_cards::paper::printer::{Feed, Flip, Measured, Reading};
    use cockpit_cards::paper::{Correction, PaperSize, PrintJob};
    use cockpit_cards::printing::{self, Options};
    let paper = PaperSize::default();
    let reading = Reading {
        name: "office".into(),
        paper: "A4".into(),
        feed: Feed::ShortEdge,
        across: Measured { nominal_mm: 180.0, measured_mm: 181.0 },
        along: Measured { nominal_mm: 250.0, measured_mm: 249.0 },
        rule_step_mm: 0.5,
        back_shift: None,
        date: "2027-04-11".into(),
    };
    let correction = Correction::new(&reading, &paper, None, Flip::Long).expect("a correction");
    let left = |text: &str| {
        let loaded = whole::load(text);
        let mut problems = loaded.problems;
        let options = Options {
            job: PrintJob { correction: Some(correction.clone()), ..PrintJob::default() },
            ..Options::default()
        };
        let files = printing::print(&loaded.book.expect("a book"), &options, &mut problems).expect("files");
        assert!(files.cards[0].pieces > 1);
        files.cards[0].marks_mm
    };
    let curved = book(600.0, 20.0, 2400.0, "");
    // Half a step of the rule over 180 mm and over 250 mm, on 600 mm; and a dot.
    assert_eq!(left(&curved), Some((600.0, 0.9)));
    let (before, after) = curved.split_once("arc: {").expect("an arc");
    let straight = format!("{before}{}", after.split_once("}, ").expect("its end").1);
    assert_eq!(left(&straight), Some((600.0, 0.7)));
}
