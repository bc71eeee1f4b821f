//! A ruler for PDF and SVG files: where every stroked line stands, in millimetres.

use std::collections::BTreeMap;

use cockpit_cards::drawing::{Drawing, Shape as DrawnShape};
use kurbo::{Affine, BezPath, Line, PathSeg, Point, Rect, Shape as _};
use lopdf::content::Operation;
use lopdf::{Dictionary, Document, Object, ObjectId};
use resvg::usvg::roxmltree;

const MM_PER_POINT: f64 = 25.4 / 72.0;

/// A straight piece of a stroked path.
#[derive(Clone, Debug, PartialEq)]
pub struct Segment {
    /// Counted from 1; 1 for an SVG.
    pub page: usize,
    pub line: Line,
    pub width: f64,
    pub dashed: bool,
    /// `print`, `cut`, or empty outside any layer.
    pub layer: String,
}

/// The outline of a filled shape, as the rectangle around it.
#[derive(Clone, Debug, PartialEq)]
pub struct Filled {
    pub page: usize,
    pub bounds: Rect,
    /// Grey or red, green, blue, as in the file.
    pub colour: Vec<f64>,
    pub layer: String,
}

/// A piece of text: where its baseline starts and which way it runs.
#[derive(Clone, Debug, PartialEq)]
pub struct Shown {
    pub page: usize,
    pub origin: Point,
    /// Size of the em along the line.
    pub em: f64,
    /// Clockwise as seen on the page, radians.
    pub turn: f64,
    pub colour: Vec<f64>,
    pub layer: String,
}

/// What a PDF's pages draw.
#[derive(Debug, Default)]
pub struct Contents {
    pub segments: Vec<Segment>,
    pub fills: Vec<Filled>,
    pub texts: Vec<Shown>,
}

/// Everything stroked, filled and written on the pages of a PDF.
///
/// Panics on a file it cannot follow: that file is then a fault.
pub fn of_pdf(bytes: &[u8]) -> Contents {
    let document = Document::load_mem(bytes).expect("a readable PDF");
    let mut contents = Contents::default();
    for (number, id) in document.get_pages() {
        PageReader::new(&document, number as usize, id).read(&mut contents);
    }
    contents
}

/// Width and height of each page's MediaBox.
pub fn page_sizes(bytes: &[u8]) -> Vec<(f64, f64)> {
    let document = Document::load_mem(bytes).expect("a readable PDF");
    let pages = document.get_pages();
    let sides = pages.values().map(|&id| page_box(&document, id, b"MediaBox"));
    sides.map(|area| (area.width() * MM_PER_POINT, area.height() * MM_PER_POINT)).collect()
}

/// One of a page's boxes, in points.
pub fn page_box(document: &Document, page: ObjectId, name: &[u8]) -> Rect {
    let page = document.get_dictionary(page).expect("a page");
    let values = page.get(name).and_then(Object::as_array).expect("a box of four numbers");
    let side = |index: usize| number(&values[index]);
    Rect::new(side(0), side(1), side(2), side(3))
}

/// Every straight piece of a stroked path in an SVG of this product.
pub fn of_svg(source: &str) -> Vec<Segment> {
    let document = roxmltree::Document::parse(source).expect("well-formed XML");
    let root = document.root_element();
    let view_box: Vec<f64> = floats(root.attribute("viewBox").expect("a viewBox"));
    let width: f64 = root
        .attribute("width")
        .and_then(|side| side.strip_suffix("mm"))
        .expect("a width in mm")
        .parse()
        .expect("a number");
    let scale = width / view_box[2];
    let mut segments = Vec::new();
    for path in root.descendants().filter(|node| node.has_tag_name("path") && node.attribute("stroke").is_some()) {
        assert!(
            path.ancestors().all(|node| node.attribute("transform").is_none()),
            "outlines stand where they say, without a transform"
        );
        let data = BezPath::from_svg(path.attribute("d").expect("path data")).expect("path data");
        let layer = path.ancestors().find_map(|node| node.attribute("id")).unwrap_or_default();
        let width = floats(path.attribute("stroke-width").expect("a width"))[0] * scale;
        let dashed = path.attribute("stroke-dasharray").is_some();
        for line in straight(&data) {
            segments.push(Segment {
                page: 1,
                line: Affine::scale(scale) * line,
                width,
                dashed,
                layer: layer.to_owned(),
            });
        }
    }
    segments
}

/// Every straight piece of a stroked path in a drawing, before it becomes a file.
pub fn of_drawing(drawing: &Drawing) -> Vec<Segment> {
    let strokes = drawing.items.iter().filter_map(|item| match &item.shape {
        DrawnShape::Stroke { path, width, dash, .. } => Some((item.layer, path, *width, dash.is_some())),
        _ => None,
    });
    strokes
        .flat_map(|(layer, path, width, dashed)| {
            straight(path).map(move |line| Segment { page: 1, line, width, dashed, layer: layer.name().to_owned() })
        })
        .collect()
}

fn straight(path: &BezPath) -> impl Iterator<Item = Line> {
    path.segments().filter_map(|segment| match segment {
        PathSeg::Line(line) => Some(line),
        _ => None,
    })
}

fn floats(text: &str) -> Vec<f64> {
    text.split_whitespace().map(|part| part.parse().expect("a number")).collect()
}

fn number(object: &Object) -> f64 {
    match object {
        Object::Integer(value) => *value as f64,
        // A PDF reader takes the decimal digits of the file; an f32 printed in full gives them back.
        Object::Real(value) => value.to_string().parse().expect("a number"),
        other => panic!("{other:?} is not a number"),
    }
}

#[derive(Clone)]
struct State {
    to_page: Affine,
    width: f64,
    dashed: bool,
    stroke: Vec<f64>,
    fill: Vec<f64>,
    font_size: f64,
}

struct PageReader<'a> {
    document: &'a Document,
    id: ObjectId,
    page: usize,
    state: State,
    saved: Vec<State>,
    path: BezPath,
    text: Affine,
    layers: Vec<String>,
}

impl<'a> PageReader<'a> {
    fn new(document: &'a Document, page: usize, id: ObjectId) -> Self {
        let media = page_box(document, id, b"MediaBox");
        let to_page =
            Affine::scale_non_uniform(MM_PER_POINT, -MM_PER_POINT) * Affine::translate((-media.x0, -media.y1));
        let state = State { to_page, width: 1.0, dashed: false, stroke: vec![0.0], fill: vec![0.0], font_size: 0.0 };
        PageReader {
            document,
            id,
            page,
            state,
            saved: Vec::new(),
            path: BezPath::new(),
            text: Affine::IDENTITY,
            layers: Vec::new(),
        }
    }

    fn read(&mut self, contents: &mut Contents) {
        let content = self.document.get_and_decode_page_content(self.id).expect("a readable content stream");
        let layer_names = self.layer_names();
        for operation in &content.operations {
            self.operation(operation, &layer_names, contents);
        }
        assert!(self.layers.is_empty(), "every layer is closed");
        assert!(self.saved.is_empty(), "every saved state is restored");
    }

    /// Resource names of optional content groups and what people see them called.
    fn layer_names(&self) -> BTreeMap<Vec<u8>, String> {
        let page = self.document.get_dictionary(self.id).expect("a page");
        let follow = |dictionary: &Dictionary, key: &[u8]| {
            dictionary
                .get(key)
                .and_then(|object| self.document.dereference(object))
                .map(|(_, object)| object.clone())
                .ok()
        };
        let resources =
            follow(page, b"Resources").and_then(|object| object.as_dict().cloned().ok()).unwrap_or_default();
        let properties =
            follow(&resources, b"Properties").and_then(|object| object.as_dict().cloned().ok()).unwrap_or_default();
        let keys: Vec<Vec<u8>> = properties.iter().map(|(key, _)| key.clone()).collect();
        keys.into_iter()
            .filter_map(|key| {
                let group = follow(&properties, &key)?;
                let name = group.as_dict().ok()?.get(b"Name").and_then(Object::as_str).ok()?;
                Some((key, String::from_utf8_lossy(name).into_owned()))
            })
            .collect()
    }

    fn layer(&self) -> String {
        self.layers.last().cloned().unwrap_or_default()
    }

    fn operation(&mut self, operation: &Operation, layer_names: &BTreeMap<Vec<u8>, String>, contents: &mut Contents) {
        let operands = &operation.operands;
        let value = |index: usize| number(&operands[index]);
        let point = |index: usize| Point::new(value(index), value(index + 1));
        let matrix = || Affine::new([value(0), value(1), value(2), value(3), value(4), value(5)]);
        let colour = || operands.iter().map(number).collect::<Vec<f64>>();
        match operation.operator.as_str() {
            "q" => self.saved.push(self.state.clone()),
            "Q" => self.state = self.saved.pop().expect("a saved state"),
            "cm" => self.state.to_page *= matrix(),
            "w" => self.state.width = value(0),
            "d" => self.state.dashed = !operands[0].as_array().expect("a dash array").is_empty(),
            "G" | "RG" => self.state.stroke = colour(),
            "g" | "rg" => self.state.fill = colour(),
            "m" => self.path.move_to(point(0)),
            "l" => self.path.line_to(point(0)),
            "c" => self.path.curve_to(point(0), point(2), point(4)),
            "h" => self.path.close_path(),
            "re" => {
                self.path.extend(&Rect::new(value(0), value(1), value(0) + value(2), value(1) + value(3)).to_path(0.1))
            }
            "S" => self.stroked(contents),
            "f" => self.filled(contents),
            "BDC" => {
                let layer = match operands[0].as_name().expect("what is marked") {
                    b"OC" => {
                        let key = operands[1].as_name().expect("a layer by name");
                        layer_names.get(key).expect("the layer is described").clone()
                    }
                    b"Span" => {
                        let said = operands[1].as_dict().and_then(|said| said.get(b"ActualText"));
                        let words = lopdf::decode_text_string(said.expect("its words")).expect("text");
                        assert!(!words.trim().is_empty(), "words are marked that say nothing");
                        self.layer()
                    }
                    other => panic!("the ruler does not know the mark {other:?}"),
                };
                self.layers.push(layer);
            }
            "EMC" => {
                self.layers.pop().expect("an open layer");
            }
            "BT" => self.text = Affine::IDENTITY,
            "Tf" => self.state.font_size = value(1),
            "Tm" => self.text = matrix(),
            "Tj" | "TJ" => self.shown(contents),
            "ET" | "i" | "j" | "J" | "M" => {}
            other => panic!("the ruler does not know the operator {other}"),
        }
    }

    fn stroked(&mut self, contents: &mut Contents) {
        let to_page = self.state.to_page;
        let width = self.state.width * to_page.determinant().abs().sqrt();
        let path = std::mem::take(&mut self.path);
        contents.segments.extend(straight(&path).map(|line| Segment {
            page: self.page,
            line: to_page * line,
            width,
            dashed: self.state.dashed,
            layer: self.layer(),
        }));
    }

    fn filled(&mut self, contents: &mut Contents) {
        let path = self.state.to_page * std::mem::take(&mut self.path);
        contents.fills.push(Filled {
            page: self.page,
            bounds: path.bounding_box(),
            colour: self.state.fill.clone(),
            layer: self.layer(),
        });
    }

    fn shown(&self, contents: &mut Contents) {
        let to_page = self.state.to_page * self.text;
        let along = to_page * Point::new(1.0, 0.0) - to_page * Point::ZERO;
        contents.texts.push(Shown {
            page: self.page,
            origin: to_page * Point::ZERO,
            em: along.hypot() * self.state.font_size,
            turn: along.atan2(),
            colour: self.state.fill.clone(),
            layer: self.layer(),
        });
    }
}
