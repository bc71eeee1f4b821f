//! What a program reads in our SVG that had no part in writing it: elements that close, and points where they were drawn.
use crate::common;

use ::svg::node::Attributes;
use ::svg::node::element::path::{Command, Data, Position};
use ::svg::node::element::tag::Type;
use ::svg::parser::Event;
use cockpit_cards::drawing::{Drawing, Layer, Shape, Text, font};
use cockpit_cards::output::svg::{self, Options, TextAs};
use common::sample;
use kurbo::{Affine, BezPath, PathEl, Point, Rect, Shape as _, Vec2};
use resvg::usvg;

/// How far a point of a shape may stand from where it was drawn, millimetres: four decimals, read in single precision.
const TRUE_MM: f64 = 0.0001;
/// The same for the outline of a letter, which has three decimals on either axis.
const TRUE_LETTER_MM: f64 = 0.0008;
/// The same for a letter that is referred to: the size of its line has four decimals, and the line is some ems long.
const TRUE_REFERENCE_MM: f64 = 0.005;
/// CSS pixels are 96 to the inch.
const MM_PER_PIXEL: f64 = 25.4 / 96.0;

/// An element that was opened, with the elements around it.
struct Opened {
    name: String,
    attributes: Attributes,
    within: Vec<String>,
}

/// Every element in order. Panics unless each is well formed and closed by its own name.
fn elements(source: &str) -> Vec<Opened> {
    let mut open: Vec<String> = Vec::new();
    let mut all = Vec::new();
    for event in ::svg::read(source).expect("a reader") {
        match event {
            Event::Tag(name, Type::End, _) => assert_eq!(open.pop().as_deref(), Some(name)),
            Event::Tag(name, kind, attributes) => {
                all.push(Opened { name: name.to_owned(), attributes, within: open.clone() });
                if kind == Type::Start {
                    open.push(name.to_owned());
                }
            }
            Event::Text(_) => {}
            other => panic!("{other:?} in {source}"),
        }
    }
    assert!(open.is_empty(), "{open:?} stay open");
    all
}

/// Every point of a path's data, control points too, from the top left corner of the drawing.
fn points_read(data: &str) -> Vec<Point> {
    let (mut start, mut current) = (Point::ZERO, Point::ZERO);
    let mut points = Vec::new();
    for command in Data::parse(data).expect("path data").iter() {
        let (position, numbers) = match command {
            Command::Move(position, numbers)
            | Command::Line(position, numbers)
            | Command::QuadraticCurve(position, numbers)
            | Command::CubicCurve(position, numbers) => (position, numbers),
            Command::Close => {
                current = start;
                continue;
            }
            other => panic!("{other:?} is none that we write"),
        };
        let from = if *position == Position::Relative { current.to_vec2() } else { Vec2::ZERO };
        let new = numbers.chunks(2).map(|pair| Point::new(pair[0].into(), pair[1].into()) + from);
        points.extend(new);
        current = points.last().copied().expect("a point");
        if matches!(command, Command::Move(..)) {
            start = current;
        }
    }
    points
}

fn points_of(path: &BezPath) -> Vec<Point> {
    let of = |element: &PathEl| match *element {
        PathEl::MoveTo(end) | PathEl::LineTo(end) => vec![end],
        PathEl::QuadTo(control, end) => vec![control, end],
        PathEl::CurveTo(first, second, end) => vec![first, second, end],
        PathEl::ClosePath => Vec::new(),
    };
    path.elements().iter().flat_map(of).collect()
}

/// Where each glyph of a text begins, and the points of its outline.
fn points_of_letters(text: &Text) -> Vec<Point> {
    let mut pen_em = 0.0;
    let mut points = Vec::new();
    for glyph in font::glyphs(&text.content, text.weight) {
        // Digits of 15 minutes of arc at 0.6 m, 2.618 mm, are six tenths of a fraction's height, whose middle is that of the
        // numerals.
        let cap = text.em * font::CAP_HEIGHT_EM;
        let larger = if "¼½⅜".contains(glyph.character) { (2.617_994 / 0.6 / cap).max(1.0) } else { 1.0 };
        let to_drawing = Affine::translate(text.origin.to_vec2())
            * Affine::rotate(text.turn)
            * Affine::translate((pen_em * text.em, cap * (larger - 1.0) / 2.0))
            * Affine::scale(text.em * larger);
        points.push(to_drawing * Point::ZERO);
        points.extend(points_of(&(to_drawing * &*font::outline(glyph))));
        pen_em += glyph.advance * larger;
    }
    points
}

fn outlines(drawing: &Drawing) -> String {
    svg::svg(drawing, Options::default()).into_string()
}

#[test]
fn another_reader_finds_every_element_closed_and_the_true_size() {
    let mut drawing = sample::drawing();
    drawing.description = "<b>4½ & \"5\" 'ł'</b> ]]> --".to_owned();
    for text in [TextAs::Outlines, TextAs::Glyphs, TextAs::Live] {
        let elements = elements(&svg::svg(&drawing, Options { text }).into_string());
        let root = elements.first().expect("a root");
        let said = ["width", "height", "viewBox"].map(|name| root.attributes[name].to_string());
        assert_eq!((root.name.as_str(), said), ("svg", ["177.8mm", "88.9mm", "0 0 177.8 88.9"].map(str::to_owned)));
        let groups: Vec<String> = elements
            .iter()
            .filter(|element| element.name == "g" && element.within.len() == 1)
            .map(|element| element.attributes["id"].to_string())
            .collect();
        assert_eq!(groups, ["print", "cut"]);
        assert!(elements[1..].iter().all(|element| element.within[0] == "svg"), "there is one root");
    }
}

#[test]
fn another_reader_finds_every_point_of_every_shape_and_letter_where_it_was_drawn() {
    let drawing = sample::drawing();
    let elements = elements(&outlines(&drawing));
    let paths: Vec<&Opened> = elements.iter().filter(|element| element.name == "path").collect();
    let items: Vec<_> = [Layer::Print, Layer::Cut]
        .into_iter()
        .flat_map(|layer| drawing.items.iter().filter(move |item| item.layer == layer))
        .collect();
    assert_eq!(paths.len(), items.len());
    let mut seen = 0;
    for (path, item) in paths.into_iter().zip(items) {
        let (wanted, true_mm) = match &item.shape {
            Shape::Fill { path, .. } | Shape::Stroke { path, .. } => (points_of(path), TRUE_MM),
            Shape::Text(text) => (points_of_letters(text), TRUE_LETTER_MM),
        };
        let found = points_read(&path.attributes["d"]);
        assert_eq!(found.len(), wanted.len(), "{:?}", item.shape);
        for (found, wanted) in found.iter().zip(&wanted) {
            assert!((*found - *wanted).hypot() < true_mm, "{found:?} is drawn at {wanted:?}: {:?}", item.shape);
        }
        seen += found.len();
    }
    assert!(seen > 1000, "{seen} points");
}

/// A letter's outline stands once in the file; where it is used is the sum of the transforms around it.
#[test]
fn another_reader_finds_every_letter_that_is_referred_to_where_it_was_drawn() {
    let drawing = sample::drawing();
    let source = svg::svg(&drawing, Options { text: TextAs::Glyphs }).into_string();
    let tree = usvg::Tree::from_str(&source, &usvg::Options::default()).expect("a readable SVG");
    let mut found = Vec::new();
    filled(tree.root(), &mut found);
    let letters = drawing.texts().flat_map(|text| text.placed().map(move |placed| (text, placed)));
    let wanted: Vec<Rect> = letters
        .map(|(text, placed)| {
            let place = Affine::translate(text.origin.to_vec2())
                * Affine::rotate(text.turn)
                * Affine::translate(placed.at)
                * Affine::scale(placed.em);
            (place * &*font::outline(placed.glyph)).bounding_box()
        })
        .filter(|ink| ink.area() > 0.0)
        .collect();
    assert!(wanted.len() > 100);
    for ink in wanted {
        let off = |other: &Rect| [ink.x0 - other.x0, ink.y0 - other.y0, ink.x1 - other.x1, ink.y1 - other.y1];
        let far = |other: &Rect| off(other).into_iter().map(f64::abs).fold(0.0, f64::max);
        let nearest = found.iter().map(far).fold(f64::INFINITY, f64::min);
        assert!(nearest < TRUE_REFERENCE_MM, "a letter at {ink:?} is {nearest} mm off");
    }
}

/// The boxes of everything filled, in millimetres.
fn filled(group: &usvg::Group, boxes: &mut Vec<Rect>) {
    for node in group.children() {
        match node {
            usvg::Node::Group(group) => filled(group, boxes),
            usvg::Node::Path(path) if path.fill().is_some() => {
                let area = path.abs_bounding_box();
                let [x0, y0, x1, y1] = [area.left(), area.top(), area.right(), area.bottom()].map(f64::from);
                boxes.push(Rect::new(x0, y0, x1, y1).scale_from_origin(MM_PER_PIXEL));
            }
            _ => {}
        }
    }
}
