//! An SVG is of its true size, well formed whatever is written on it, and says nothing about other programs.
use crate::common;

use cockpit_cards::door;
use cockpit_cards::drawing::{Anchor, Colour, Drawing, Shape, Text, Weight};
use cockpit_cards::output::svg::{self, TextAs};
use cockpit_cards::printing::Options;
use common::{content, sample, whole};
use kurbo::Size;
use proptest::prelude::*;
use resvg::usvg::roxmltree::{Document, Node};

const AWKWARD: &str = "<b>4½ & \"5\" 'ł'</b> ]]> --";
/// Programs that sign the SVG files they write; from memory.
const OTHER_PROGRAMS: &[&str] =
    &["inkscape", "sodipodi", "illustrator", "adobe", "sketch", "figma", "cairo", "resvg", "generator"];

fn outlines(drawing: &Drawing) -> String {
    svg::svg(drawing, svg::Options::default()).into_string()
}

fn live(drawing: &Drawing) -> String {
    svg::svg(drawing, svg::Options { text: TextAs::Live }).into_string()
}

fn glyphs(drawing: &Drawing) -> String {
    svg::svg(drawing, svg::Options { text: TextAs::Glyphs }).into_string()
}

fn one<'a>(document: &'a Document, name: &str) -> Node<'a, 'a> {
    document.descendants().find(|node| node.has_tag_name(name)).unwrap_or_else(|| panic!("no {name}"))
}

#[test]
fn one_unit_is_one_millimetre() {
    for (width, height, wanted) in
        [(105.0, 148.0, ["105mm", "148mm", "0 0 105 148"]), (85.6, 53.98, ["85.6mm", "53.98mm", "0 0 85.6 53.98"])]
    {
        let source = outlines(&Drawing::new(Size::new(width, height), "Size", ""));
        let document = Document::parse(&source).expect("well-formed XML");
        let root = document.root_element();
        let found = ["width", "height", "viewBox"].map(|name| root.attribute(name).expect("an attribute"));
        assert_eq!(found, wanted);
    }
}

#[test]
fn any_words_are_escaped_and_read_back_as_they_were() {
    let mut drawing = Drawing::new(Size::new(100.0, 50.0), AWKWARD, AWKWARD);
    drawing.print(Text::new(AWKWARD, (5.0, 10.0), Anchor::Start, 3.0, Weight::Bold));
    for source in [outlines(&drawing), glyphs(&drawing), live(&drawing)] {
        let document = Document::parse(&source).expect("well-formed XML");
        assert_eq!(one(&document, "title").text(), Some(AWKWARD));
        assert_eq!(one(&document, "desc").text(), Some(AWKWARD));
    }
    let (outlined, live) = (outlines(&drawing), live(&drawing));
    assert_eq!(one(&Document::parse(&outlined).expect("XML"), "path").attribute("aria-label"), Some(AWKWARD));
    assert_eq!(said(one(&Document::parse(&live).expect("XML"), "text")), AWKWARD);
}

/// The words of a live text, those of its fractions included.
fn said(text: Node) -> String {
    text.descendants().filter(|node| node.is_text()).filter_map(|node| node.text()).collect()
}

/// XML 1.0, section 2.2: these characters cannot stand in a document, not even escaped.
#[test]
fn characters_that_xml_cannot_hold_do_not_break_the_file() {
    let drawing = Drawing::new(Size::new(10.0, 10.0), "a\u{0}b\u{b}c\u{fffe}", "");
    let source = outlines(&drawing);
    let document = Document::parse(&source).expect("well-formed XML");
    assert_eq!(one(&document, "title").text(), Some("a\u{fffd}b\u{fffd}c\u{fffd}"));
}

#[test]
fn ink_and_knife_have_a_group_each() {
    let mut drawing = Drawing::new(Size::new(100.0, 50.0), "Layers", "");
    drawing.cut(Shape::line((1.0, 1.0), (99.0, 1.0), 0.1));
    drawing.print(Shape::line((10.0, 10.0), (10.0, 20.0), 0.5));
    let found: Vec<_> =
        content::of_svg(&outlines(&drawing)).into_iter().map(|segment| (segment.line.p0.x, segment.layer)).collect();
    assert_eq!(found, [(10.0, "print".to_owned()), (1.0, "cut".to_owned())]);
}

#[test]
fn outlines_are_paths_and_live_text_is_text_of_the_same_place_and_width() {
    let drawing = sample::drawing();
    let source = outlines(&drawing);
    let document = Document::parse(&source).expect("well-formed XML");
    assert!(document.descendants().all(|node| !node.has_tag_name("text")));

    let source = live(&drawing);
    let document = Document::parse(&source).expect("well-formed XML");
    let found: Vec<_> = document.descendants().filter(|node| node.has_tag_name("text")).collect();
    let wanted: Vec<_> = drawing.texts().collect();
    assert_eq!(found.len(), wanted.len());
    for (found, wanted) in found.iter().zip(wanted) {
        let number = |name: &str| found.attribute(name).expect("an attribute").parse::<f64>().expect("a number");
        assert_eq!(said(*found), wanted.content);
        assert!((number("x") - wanted.origin.x).abs() < 1e-4 && (number("y") - wanted.origin.y).abs() < 1e-4);
        assert!((number("font-size") - wanted.em).abs() < 1e-4);
        assert!((number("textLength") - wanted.width()).abs() < 1e-4);
        assert_eq!(found.attribute("font-weight") == Some("bold"), wanted.weight == Weight::Bold);
        assert_eq!(found.attribute("transform").is_some(), wanted.turn != 0.0);
        assert!(found.attribute("font-family").is_some_and(|families| families.ends_with("sans-serif")));
    }
}

#[test]
fn no_number_has_more_than_four_decimals() {
    for source in [outlines(&sample::drawing()), glyphs(&sample::drawing()), live(&sample::drawing())] {
        let mut decimals = 0;
        let mut after_point = false;
        for character in source.chars() {
            match character {
                '.' => (after_point, decimals) = (true, 0),
                '0'..='9' if after_point => decimals += 1,
                _ => after_point = false,
            }
            assert!(decimals <= 4);
        }
    }
}

#[test]
fn numbers_are_written_as_they_are() {
    let mut drawing = Drawing::new(Size::new(100.0, 50.0), "Numbers", "");
    for (x, y) in [(0.0, 0.5), (-0.00001, 12.0), (-3.25, 1000.0), (0.12344, 0.12346), (99.99999, 10.01)] {
        drawing.print(Shape::line((x, y), (1.0, 2.0), 0.1));
    }
    let source = outlines(&drawing);
    for data in ["M0 0.5L1 2", "M0 12L1 2", "M-3.25 1000L1 2", "M0.1234 0.1235L1 2", "M100 10.01L1 2"] {
        assert!(source.contains(data), "{data} is not in {source}");
    }
}

/// The ends are what 64 bits hold in steps of a ten-thousandth: no paper is as large, and no number may stop the program.
#[test]
fn of_two_numbers_as_near_the_one_farther_from_zero_is_written_and_none_is_too_large() {
    let numbers = [
        (0.031_25, "0.0313"),
        (-0.031_25, "-0.0313"),
        (0.093_75, "0.0938"),
        (-1.031_25, "-1.0313"),
        (f64::MAX, "922337203685477.5807"),
        (f64::MIN, "-922337203685477.5808"),
        (f64::NAN, "0"),
    ];
    for (number, wanted) in numbers {
        let mut drawing = Drawing::new(Size::new(100.0, 50.0), "Numbers", "");
        drawing.print(Shape::line((number, 0.0), (1.0, 2.0), 0.1));
        let (source, data) = (outlines(&drawing), format!("M{wanted} 0L1 2"));
        assert!(source.contains(&data), "{data} is not in {source}");
    }
}

proptest! {
    #[test]
    fn a_number_is_written_to_the_nearest_of_its_fourth_decimals_and_without_zeros_behind_them(
        number in prop_oneof![-1.0_f64..1.0, -2000.0..2000.0, -1e6..1e6],
    ) {
        let mut drawing = Drawing::new(Size::new(100.0, 50.0), "Numbers", "");
        drawing.print(Shape::line((number, 0.0), (1.0, 2.0), 0.1));
        let source = outlines(&drawing);
        let data = one(&Document::parse(&source).expect("XML"), "path").attribute("d").expect("data").to_owned();
        let written = &data[1..data.find(' ').expect("two numbers")];
        let difference = (written.parse::<f64>().expect("a number") - number).abs();
        prop_assert!(difference <= 0.000_05 + 1e-9, "{number} is written {written}");
        prop_assert!(!written.contains('.') || !written.ends_with(['0', '.']), "{number} is written {written}");
    }
}

#[test]
fn colours_and_dashes_are_kept() {
    let mut drawing = Drawing::new(Size::new(100.0, 50.0), "Inks", "");
    let path = kurbo::Shape::to_path(&kurbo::Line::new((0.0, 1.0), (9.0, 1.0)), 0.1);
    drawing.print(Shape::Stroke { path, colour: Colour::rgb(1.0, 0.0, 0.5), width: 0.7, dash: Some((3.0, 1.5)) });
    let source = outlines(&drawing);
    let document = Document::parse(&source).expect("well-formed XML");
    let path = one(&document, "path");
    assert_eq!(path.attribute("stroke"), Some("#ff0080"));
    assert_eq!(path.attribute("stroke-dasharray"), Some("3 1.5"));
    assert_eq!(path.attribute("stroke-width"), Some("0.7"));
}

#[test]
fn no_other_program_is_named() {
    for source in [outlines(&sample::drawing()), glyphs(&sample::drawing()), live(&sample::drawing())] {
        let source = source.to_lowercase();
        let found: Vec<_> = OTHER_PROGRAMS.iter().filter(|name| source.contains(**name)).collect();
        assert!(found.is_empty(), "{found:?}");
    }
}

#[test]
fn a_letter_is_drawn_once_and_referred_to_wherever_it_stands() {
    let mut drawing = Drawing::new(Size::new(100.0, 50.0), "Letters", "");
    drawing.print(Text::new("tatter", (5.0, 10.0), Anchor::Start, 3.0, Weight::Bold));
    drawing.print(Text::new("4½", (5.0, 20.0), Anchor::Start, 1.5, Weight::Bold));
    let source = glyphs(&drawing);
    let document = Document::parse(&source).expect("well-formed XML");
    let defined: Vec<&str> = one(&document, "defs").children().filter_map(|node| node.attribute("id")).collect();
    // t, a, e, r, 4 and the half.
    assert_eq!(defined.len(), 6, "{source}");
    let reference = |node: Node| node.attribute(("http://www.w3.org/1999/xlink", "href")).expect("one").to_owned();
    let used: Vec<String> = document.descendants().filter(|node| node.has_tag_name("use")).map(reference).collect();
    assert_eq!(used.len(), "tatter4½".chars().count());
    assert!(used.iter().all(|name| defined.contains(&name.trim_start_matches('#'))), "{source}");
    let read: Vec<&str> = document.descendants().filter_map(|node| node.attribute("aria-label")).collect();
    assert_eq!(read, ["tatter", "4½"], "what a screen reader reads");
}

#[test]
fn a_card_of_glyphs_is_about_a_quarter_of_one_of_outlines() {
    let bytes = |svg_text| {
        let options = Options { svg_text, ..Options::default() };
        let made = door::print(whole::load(whole::EXAMPLES[1].1), &options).made.expect("a sound book");
        let files = made.in_memory().expect("every file can be made");
        let svgs = files.iter().filter(|(name, _)| name.ends_with(".svg"));
        svgs.map(|(_, bytes)| bytes.len()).sum::<usize>()
    };
    let (of_glyphs, of_outlines) = (bytes(TextAs::Glyphs), bytes(TextAs::Outlines));
    assert!(of_glyphs * 3 < of_outlines, "{of_glyphs} of {of_outlines} bytes");
}
