//! Strips beyond the straight and even: around a tube, along an arc, in a mirror, over track holes, with a limit.

use crate::reading;
use crate::swap::Swap;

use std::f64::consts::PI;

use approx::assert_abs_diff_eq;
use cockpit_cards::book::{Book, Level};
use cockpit_cards::cards::{self, Card, Edition, Label};
use cockpit_cards::drawing::{Colour, Drawing, Shape, Text, Weight};
use cockpit_cards::output::png;
use kurbo::{Line, PathEl, Point, Shape as _};
use reading::{complaints, load};

/// Every mark stands within this of its true place, millimetres.
const TRUE: f64 = 0.005;
/// The line of a whole mark, millimetres wide.
const WHOLE_MARK: f64 = 0.55;

pub(crate) fn book(text: &str) -> Book {
    let loaded = load(text);
    assert_eq!(complaints(&loaded), "", "{text}");
    loaded.book.expect("a book")
}

pub(crate) fn with_control(scale: &str, strip: &str) -> String {
    format!("book: 1\nboat: {{name: Pepperwort}}\ncontrols:\n  lead: {{scale: {scale}, strip: {strip}}}\n")
}

pub(crate) fn strips(book: &Book) -> Vec<(Card, Drawing)> {
    let mut problems = Vec::new();
    let cards = cards::cards(book, &mut problems);
    let drawn = cards.into_iter().filter(|card| card.kind == "strip").map(|card| {
        let label = Label::new(book, &card.stamp, Edition::Draft);
        let drawing = cards::draw(&card, &label, &mut problems).expect("a strip that fits");
        (card, drawing)
    });
    let drawn = drawn.collect();
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:?}");
    drawn
}

/// The whole marks of a drawing, from the pointer's edge inward, in the order they were drawn: rising.
pub(crate) fn whole_marks(drawing: &Drawing) -> Vec<Line> {
    let lines = drawing.items.iter().filter_map(|item| match &item.shape {
        Shape::Stroke { path, width, .. } if *width == WHOLE_MARK => match path.elements() {
            [PathEl::MoveTo(from), PathEl::LineTo(to)] => Some(Line::new(*from, *to)),
            _ => None,
        },
        _ => None,
    });
    lines.collect()
}

/// Where the straight lines through two segments meet.
fn meeting(a: Line, b: Line) -> Point {
    let (along_a, along_b) = (a.p1 - a.p0, b.p1 - b.p0);
    a.p0 + along_a * ((b.p0 - a.p0).cross(along_b) / along_a.cross(along_b))
}

#[test]
fn a_scale_around_a_tube_is_as_long_as_the_film_is_round() {
    for (diameter, thickness) in [(40.0, 0.25), (63.5, 0.0), (120.0, 0.4)] {
        let scale = format!("{{marks: 0..12, around: {{diameter: {diameter} mm, thickness: {thickness} mm}}}}");
        let (card, drawing) = strips(&book(&with_control(&scale, "{reading_distance: 0.5 m}"))).remove(0);
        let marks = card.content.marks();
        assert_eq!(marks.len(), 13);
        let around = PI * (diameter + thickness);
        for (index, mark) in marks.iter().enumerate() {
            assert_abs_diff_eq!(mark.at_mm, around * index as f64 / 12.0, epsilon = TRUE);
        }
        let drawn = whole_marks(&drawing);
        assert_eq!(drawn.len(), 13, "the mark where the ends meet is drawn on both");
        assert_abs_diff_eq!(drawn[12].p0.x - drawn[0].p0.x, around, epsilon = TRUE);
        let numbers: Vec<&str> = drawing.texts().map(|text| text.content.as_str()).collect();
        assert!(numbers.contains(&"0") && !numbers.contains(&"12"), "one number stands where the ends meet");
    }
}

#[test]
fn marks_on_a_curved_strip_are_true_along_the_arc_and_point_at_its_middle() {
    let edges = [
        ("aft", "aft", "right", "left"),
        ("aft", "aft", "left", "left"),
        ("forward", "aft", "left", "right"),
        ("port", "aft", "far", "far"),
        ("port", "aft", "near", "far"),
        ("starboard", "aft", "far", "near"),
        ("starboard", "aft", "near", "near"),
    ];
    for (grows, reader, ticks, middle) in edges {
        let strip = format!(
            "{{grows: {grows}, reader_stands: {reader}, ticks: {ticks}, arc: {{radius: 700 mm, middle: {middle}}}}}"
        );
        let (_, drawing) = strips(&book(&with_control("{marks: 0..12, spacing: 30 mm}", &strip))).remove(0);
        let marks = whole_marks(&drawing);
        assert_eq!(marks.len(), 13);
        let centre = meeting(marks[0], marks[12]);
        for (index, mark) in marks.iter().enumerate() {
            let (outer, inner) = (mark.p0 - centre, mark.p1 - centre);
            assert_abs_diff_eq!(outer.cross(inner) / (outer.length() * inner.length()), 0.0, epsilon = 1e-9);
            let angle = (marks[0].p0 - centre).cross(outer).atan2((marks[0].p0 - centre).dot(outer)).abs();
            assert_abs_diff_eq!(700.0 * angle, 30.0 * index as f64, epsilon = TRUE);
            // Marks start a rim inside the edge whose radius was given.
            let inside = outer.length() - 700.0;
            assert_abs_diff_eq!(inside.abs(), 0.6, epsilon = TRUE);
            assert_eq!(inside > 0.0, ticks == middle, "the strip lies on the far side of its edge: {strip}");
        }
    }
}

#[test]
fn a_strip_too_long_for_its_arc_is_refused_with_the_radius() {
    let text = with_control("{marks: 0..20, spacing: 60 mm}", "{arc: {radius: 200 mm}}");
    let book = book(&text);
    let mut problems = Vec::new();
    let card = cards::cards(&book, &mut problems).remove(0);
    let label = Label::new(&book, &card.stamp, Edition::Draft);
    assert!(cards::draw(&card, &label, &mut problems).is_none());
    assert!(problems[0].what.contains("200 mm radius") && problems[0].instead.contains("radius"), "{problems:?}");
}

#[test]
fn a_mirrored_strip_is_the_plain_one_turned_over() {
    let scale = "{marks: 0..6, spacing: 20 mm, halves: true}";
    let (plain_card, plain) =
        strips(&book(&with_control(scale, "{grows: aft, reader_stands: inboard, sides: port}"))).remove(0);
    let mirrored = "{grows: aft, reader_stands: inboard, sides: port, mirror: true}";
    let (card, turned) = strips(&book(&with_control(scale, mirrored))).remove(0);
    assert_ne!(plain_card.stamp, card.stamp, "they must never be taken for one another");
    assert!(turned.texts().next().is_none(), "letters are outlines, for a mirror has no fonts");
    // The mirrored strip says that it is one, so its words are longer; its marks and numbers are the plain ones'.
    let ends = |drawing: &Drawing| {
        let marks = whole_marks(drawing);
        marks.iter().map(|mark| mark.p0.x).collect::<Vec<_>>()
    };
    let (plain_marks, turned_marks) = (ends(&plain), ends(&turned));
    for (a, b) in plain_marks.iter().zip(&turned_marks) {
        assert_abs_diff_eq!(a - plain_marks[0], turned_marks[0] - b, epsilon = TRUE);
    }
    // Pixel by pixel around the marks, at a whole number of pixels a millimetre so that both fall on the grid alike.
    let dots_per_inch = 254.0;
    let picture = |drawing: &Drawing, from: f64, to: f64| {
        let bytes = png::png(drawing, dots_per_inch).expect("a picture");
        let decoder = tiny_skia_picture(&bytes);
        (decoder, (from * 10.0).round() as usize, (to * 10.0).round() as usize)
    };
    // Cut both to the same window: 6 mm outside the lowest and highest marks.
    let (low, high) = (plain_marks[0].min(plain_marks[6]) - 6.0, plain_marks[0].max(plain_marks[6]) + 6.0);
    let (turned_low, turned_high) =
        (turned_marks[0].min(turned_marks[6]) - 6.0, turned_marks[0].max(turned_marks[6]) + 6.0);
    let ((plain_dark, plain_width), from, to) = picture(&plain, low, high);
    let ((turned_dark, turned_width), turned_from, turned_to) = picture(&turned, turned_low, turned_high);
    assert_eq!(to - from, turned_to - turned_from);
    let rows = plain_dark.len() / plain_width;
    let mut differing = 0;
    let mut dark = 0;
    // The cut line lies half outside the picture: whether its half is dark is a matter of rounding.
    for row in 1..rows - 1 {
        for column in 0..to - from {
            let a = plain_dark[row * plain_width + from + column];
            // The two grids differ by a part of a pixel, so an edge may stand one pixel further.
            let columns = (turned_to - 1 - column).saturating_sub(1)..=(turned_to - column).min(turned_width - 1);
            let mut near = (row.saturating_sub(1)..=(row + 1).min(rows - 1))
                .flat_map(|row| columns.clone().map(move |column| row * turned_width + column));
            let is_near = near.any(|at| turned_dark[at] == a);
            dark += usize::from(a);
            differing += usize::from(!is_near);
        }
    }
    assert!(dark > 10_000, "there is something in the window");
    assert!(differing * 200 < dark, "{differing} pixels of {dark} differ");
}

/// Dark pixels of a PNG, row by row, and its width.
fn tiny_skia_picture(bytes: &[u8]) -> (Vec<bool>, usize) {
    let picture = resvg::tiny_skia::Pixmap::decode_png(bytes).expect("a PNG");
    let dark = picture.pixels().iter().map(|pixel| pixel.red() < 128).collect();
    (dark, picture.width() as usize)
}

#[test]
fn the_measured_span_decides_where_track_holes_are() {
    // Common practice: tracks are drilled at 25 mm or at 1 in, and the two look alike.
    let holes = |pitch: &str| {
        with_control(&format!("{{track_holes: {{first: 12 mm, last: 1028 mm, count: 41{pitch}}}}}"), "{}")
    };
    let loaded = book(&holes(""));
    let (first, last) = (loaded.controls[0].scale.at(1.0), loaded.controls[0].scale.at(41.0));
    assert_eq!(first.map(|place| place.to_mm()), Some(0.0));
    assert_abs_diff_eq!(last.expect("a last hole").to_mm(), 1016.0, epsilon = TRUE);
    assert_abs_diff_eq!(loaded.controls[0].scale.at(14.0).expect("a hole").to_mm(), 13.0 * 25.4, epsilon = TRUE);
    assert_eq!(complaints(&load(&holes(", pitch: 1 in"))), "");
    let wrong = complaints(&load(&holes(", pitch: 25 mm")));
    assert!(wrong.contains("1000 mm") && wrong.contains("1016 mm") && wrong.contains("the span decides"), "{wrong}");
}

#[test]
fn new_fields_of_a_strip_are_refused_with_their_place_and_remedy() {
    let cases = [
        ("{track_holes: {first: 9 mm, last: 3 mm, count: 5}}", "{}", "not beyond the first", "measure from one end"),
        ("{track_holes: {first: 0 mm, last: 90 mm, count: 1}}", "{}", "has 1 holes", "count them"),
        ("{marks: 0..4, around: {diameter: 40 kg, thickness: 0.2 mm}}", "{}", "mass", "25 mm"),
        ("{marks: 0..4, around: {diameter: 40 mm}}", "{}", "thickness", "thickness"),
        ("{marks: 0..4, spacing: 20 mm}", "{beside: {2: 95}}", "no unit", "95 bar"),
        ("{marks: 0..4, spacing: 20 mm}", "{beside: {9: 95 bar}}", "9", "0 to 4"),
        ("{marks: 0..4, spacing: 20 mm}", "{arc: {radius: 0 mm}}", "radius", "150 mm"),
        ("{marks: 0..4, spacing: 20 mm}", "{mirror: maybe}", "maybe", "true"),
    ];
    for (scale, strip, what, instead) in cases {
        let said = complaints(&load(&with_control(scale, strip)));
        assert!(
            said.contains(what) && said.contains(instead) && said.contains("boat.yaml:4:"),
            "{scale} {strip}\n{said}"
        );
    }
}

/// Numbers of a strip as they are printed, in the order of the marks: hollow ones are white on a contour.
fn numbers(drawing: &Drawing) -> Vec<(String, bool)> {
    let is_number =
        |text: &&Text| text.weight == Weight::Bold && text.content.starts_with(|c: char| c.is_ascii_digit());
    let numbers = drawing.texts().filter(is_number).filter(|text| !text.content.contains(' '));
    numbers.map(|text| (text.content.clone(), text.colour == Colour::WHITE)).collect()
}

fn limited(scale: &str, limit: &str, rest: &str) -> String {
    format!(
        "book: 1\nboat: {{name: Pepperwort}}\ncontrols:\n  lead: {{scale: {scale}, limit: {limit}, strip: {{width: 30 mm, reading_distance: 700 mm, grows: up}}}}\n{rest}"
    )
}

fn listed(numbers: &[(&str, bool)]) -> Vec<(String, bool)> {
    numbers.iter().map(|(number, hollow)| ((*number).to_owned(), *hollow)).collect()
}

#[test]
fn a_limit_is_always_numbered_and_numbers_past_it_are_hollow_on_every_strip() {
    const BAR: &str = "{measured: {0 bar: 0 mm, 60 bar: 40 mm, 120 bar: 80 mm, 180 bar: 120 mm}, every: 30 bar}";
    let (solid, hollow) = (false, true);
    let cases = [
        // Between two marks the limit has a number all the same.
        (
            BAR,
            "{never_above: 110 bar}",
            vec![
                ("0", solid),
                ("30", solid),
                ("60", solid),
                ("90", solid),
                ("110", solid),
                ("150", hollow),
                ("180", hollow),
            ],
        ),
        (
            "{marks: 0..6, spacing: 20 mm}",
            "{never_above: 4}",
            vec![("0", solid), ("1", solid), ("2", solid), ("3", solid), ("4", solid), ("5", hollow), ("6", hollow)],
        ),
        (
            "{marks: 0..4, spacing: 20 mm, halves: true}",
            "{never_above: 2½}",
            vec![("0", solid), ("1", solid), ("2", solid), ("2½", solid), ("3", hollow), ("4", hollow)],
        ),
        (
            "{marks: 0..4, spacing: 20 mm}",
            "{never_below: 1, never_above: 3}",
            vec![("0", hollow), ("1", solid), ("2", solid), ("3", solid), ("4", hollow)],
        ),
        // Where every second mark has a number, so has the limit between them, and what would touch it goes.
        ("{marks: 0..20, spacing: 5 mm}", "{never_above: 13}", vec![]),
    ];
    for (scale, limit, wanted) in cases {
        let (_, drawing) = strips(&book(&limited(scale, limit, ""))).remove(0);
        let found = numbers(&drawing);
        if wanted.is_empty() {
            assert!(found.contains(&("13".to_owned(), solid)), "{found:?}");
            assert!(!found.iter().any(|(number, _)| number == "12" || number == "14"), "{found:?}");
            for (number, is_hollow) in &found {
                assert_eq!(*is_hollow, number.parse::<u32>().expect("a number") > 13, "{number}");
            }
        } else {
            assert_eq!(found, listed(&wanted), "{scale} {limit}");
        }
    }
}

/// Lines of two points, those that slant, which no mark does, apart from the others.
fn slanting_and_others(drawing: &Drawing) -> (Vec<Line>, Vec<Line>) {
    let lines = drawing.items.iter().filter_map(|item| match &item.shape {
        Shape::Stroke { path, .. } => match path.elements() {
            [PathEl::MoveTo(from), PathEl::LineTo(to)] => Some(Line::new(*from, *to)),
            _ => None,
        },
        _ => None,
    });
    lines.partition(|line| (line.p0.x - line.p1.x).abs() > 0.01 && (line.p0.y - line.p1.y).abs() > 0.01)
}

#[test]
fn never_past_stands_large_on_the_hatch_and_leaves_ticks_and_numbers_white() {
    // Upright with a long stretch to keep out of, upright with a short one, across the view, and from below.
    let cases = [
        ("{marks: 0..6, spacing: 40 mm}", "{never_above: 4}", "grows: up", "NEVER PAST 4"),
        ("{marks: 0..8, spacing: 20 mm, halves: true}", "{never_above: 7}", "grows: up", "NEVER PAST 7"),
        ("{marks: 0..8, spacing: 20 mm}", "{never_above: 8}", "grows: aft, reader_stands: aft", "NEVER PAST 8"),
        ("{marks: 0..8, spacing: 20 mm}", "{never_below: 2}", "grows: starboard, reader_stands: aft", "NEVER BELOW 2"),
        ("{marks: 0..8, spacing: 20 mm}", "{never_above: 7}", "grows: up, width: 14 mm", "NEVER PAST 7"),
    ];
    for (scale, limit, way, words) in cases {
        let width = if way.contains("width") { "" } else { "width: 30 mm, " };
        let text = limited(scale, limit, "").replace("grows: up", way).replace("width: 30 mm, ", width);
        let (_, drawing) = strips(&book(&text)).remove(0);
        let said: Vec<&Text> =
            drawing.texts().filter(|text| words.contains(&text.content) && text.content.len() > 2).collect();
        let joined = said.iter().map(|text| text.content.as_str()).collect::<Vec<_>>().join(" ");
        assert_eq!(joined, words, "{way}");
        // Must be read: capitals of 3 mm at the least.
        assert!(said.iter().all(|text| text.cap_height() >= 3.0), "{words}");
        let (hatched, others) = slanting_and_others(&drawing);
        assert!(hatched.len() > 5, "{words}: {} lines", hatched.len());
        let area = hatched.iter().map(|line| line.bounding_box()).reduce(|all, next| all.union(next)).expect("lines");
        for text in &said {
            let ink = text.outlines().bounding_box();
            // Around the words the hatch leaves a little white.
            let area = area.inflate(1.0, 1.0);
            assert_eq!(area.union(ink), area, "{words}: {:?} does not stand on the hatch", text.content);
        }
        // A tick and what is beside it: no line of the hatch begins, ends or passes there.
        let from_the_edge = drawing.size.to_rect().inset(-1.0);
        let is_tick = |line: &&Line| !(from_the_edge.contains(line.p0) && from_the_edge.contains(line.p1));
        let ticks = others.iter().filter(is_tick).filter(|line| line.length() > 4.4 && line.length() < 9.1);
        for tick in ticks.map(|line| line.bounding_box().inflate(0.3, 0.3)) {
            let over =
                hatched.iter().find(|line| [line.p0, line.midpoint(), line.p1].iter().any(|at| tick.contains(*at)));
            assert!(over.is_none(), "{words}: {over:?} of the hatch lies on the tick {tick:?}");
        }
    }
}

#[test]
fn a_limit_between_the_steps_never_reads_as_one_number_with_its_neighbour() {
    // Every second mark has its number.
    for never_above in [1, 3, 5, 7, 9, 11] {
        let text = limited("{marks: 0..12, spacing: 10 mm}", &format!("{{never_above: {never_above}}}"), "");
        let text = text.swap("grows: up", "grows: starboard, reader_stands: aft").swap("700 mm", "1.2 m");
        let (_, drawing) = strips(&book(&text)).remove(0);
        let is_number = |text: &&Text| text.weight == Weight::Bold && text.content.parse::<u32>().is_ok();
        let mut numbers: Vec<&Text> = drawing.texts().filter(is_number).collect();
        numbers.sort_by(|a, b| a.bounds().x0.total_cmp(&b.bounds().x0));
        assert!(numbers.iter().any(|text| text.content == never_above.to_string()), "{never_above}");
        let is_limit = |text: &&Text| text.content == never_above.to_string();
        for pair in numbers.windows(2).filter(|pair| pair.iter().any(is_limit)) {
            let gap = pair[1].bounds().x0 - pair[0].bounds().x1;
            assert!(gap > 0.5 * pair[0].cap_height(), "{} and {}: {gap} mm", pair[0].content, pair[1].content);
        }
    }
}

#[test]
fn the_strip_of_a_measured_scale_numbers_what_the_settings_ask_for() {
    const BAR: &str = "{measured: {0 bar: 0 mm, 60 bar: 40 mm, 120 bar: 80 mm, 180 bar: 120 mm}, every: 60 bar}";
    let rest = |rows: &str| {
        format!(
            "sails: {{main: {{kind: mainsail}}}}\nsettings:\n  - {{id: up, sails: [main], point_of_sail: upwind, controls: [lead], at: {{{rows}}}}}\n"
        )
    };
    // 61 bar would run into 60: two thirds of a millimetre.
    let text = limited(BAR, "{never_above: 150 bar}", &rest("8: [25 bar], 12: [61 bar], 16: [100 bar], 20: [150 bar]"));
    let (card, drawing) = strips(&book(&text)).remove(0);
    let numbers = numbers(&drawing);
    assert_eq!(
        numbers,
        listed(&[
            ("0", false),
            ("25", false),
            ("60", false),
            ("100", false),
            ("120", false),
            ("150", false),
            ("180", true)
        ])
    );
    let marks: Vec<f64> = card.content.marks().iter().map(|mark| mark.at_mm).collect();
    // On the straight through evenly measured pairs: two thirds of a millimetre to the bar.
    for (found, wanted) in marks.iter().zip([0.0, 25.0 / 1.5, 40.0, 100.0 / 1.5, 80.0, 100.0, 120.0]) {
        assert_abs_diff_eq!(*found, wanted, epsilon = TRUE);
    }
    assert_eq!(marks.len(), 7);
    // Numbered marks keep to what is asked: a book without settings has the steps alone.
    let (plain, _) = strips(&book(&limited(BAR, "{never_above: 150 bar}", ""))).remove(0);
    assert_eq!(plain.content.marks().len(), 4);
}

/// An upright strip of this width.
fn upright(width: &str) -> String {
    format!(
        "book: 1\nboat: {{name: Chervil}}\ncontrols:\n  backstay:\n    higher_is: tighter\n    scale: {{marks: 0..6, spacing: 15 mm}}\n    \
         strip: {{place: on a batten, grows: down, width: {width}, reading_distance: 0.6 m, pointer: tip of the ram, datum: {{from: ram eye, distance: 310 mm}}}}\n\
         cards: [{{kind: strip}}]\n"
    )
}

#[test]
fn on_an_upright_strip_that_is_wide_enough_its_words_stand_upright_too() {
    for (width, stand) in [("40 mm", true), ("22 mm", false)] {
        let (drawn, problems) = crate::common::whole::draw(&upright(width));
        assert_eq!(problems, vec![]);
        let drawing = drawn[0].drawing.as_ref().expect("it fits");
        for words in ["Backstay", "STICK, THEN CUT OFF", "DRAFT"] {
            let text =
                drawing.texts().find(|text| text.content == words).unwrap_or_else(|| panic!("{words} at {width}"));
            assert_eq!(text.turn.abs() < 1e-9, stand, "{words} at {width}: turned {}", text.turn);
        }
        // The arrow points the way the numbers grow.
        let arrow = if stand { "↓ TIGHTER" } else { "← TIGHTER" };
        assert!(drawing.texts().any(|text| text.content == arrow), "{width}");
        assert_eq!(crate::common::clear::clashes(drawing), Vec::<String>::new(), "{width}");
    }
}
