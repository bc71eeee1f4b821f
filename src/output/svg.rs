//! A drawing as an SVG document: 1 user unit = 1 mm. Knows shapes and glyphs, nothing of what they say.

use std::cell::RefCell;
use std::collections::HashMap;

use kurbo::{Affine, BezPath, PathEl, Point};
use svg::node::Text as CharacterData;
use svg::node::element::{Description, Element, Group, Path, Text as TextElement, Title};

use crate::drawing::font::{self, FaceId, Glyph};
use crate::drawing::{Colour, Drawing, Item, Layer, Shape, Text, Weight};

/// How a number is written.
struct Precision {
    /// Steps in a millimetre, a power of ten.
    steps: u64,
    /// 0.5 or .5.
    leading_nought: bool,
}

/// Places and widths: a mark then stands within 0.00005 mm of its place.
const PLACE: Precision = Precision { steps: 10_000, leading_nought: true };
/// The outlines of letters, which are most of a file.
const OUTLINE: Precision = Precision { steps: 1_000, leading_nought: false };

/// The faces a reader may have, best first.
const FONT_FAMILY: &str = "B612, 'DejaVu Sans', sans-serif";
/// A PDF's limit for mitred corners (ISO 32000-1, table 52); SVG's own is 4.
const MITRE_LIMIT: u32 = 10;

/// How text is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TextAs {
    /// Outlines: the same on every machine, for cutters and printers.
    #[default]
    Outlines,
    /// Text that can be searched and changed; it looks right where the face is installed.
    Live,
}

/// Whether the document stands in a file of its own.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Place {
    /// The layers are found by id: `print` and `cut`.
    #[default]
    File,
    /// In a page beside others, where an id may stand only once: the layers are found by class.
    InPage,
}

/// How a drawing is written as SVG.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    pub text: TextAs,
    pub place: Place,
}

/// The drawing as an SVG document of its true size, printed ink and cutting lines in two groups.
pub fn svg(drawing: &Drawing, options: Options) -> String {
    OUTLINES.with_borrow_mut(|outlines| {
        if outlines.len() > MOST_OUTLINES {
            outlines.clear();
        }
        document(drawing, options, Writer { text_as: options.text, outlines })
    })
}

fn document(drawing: &Drawing, options: Options, mut writer: Writer<'_>) -> String {
    let (width, height) = (decimal(drawing.size.width), decimal(drawing.size.height));
    let mut document = svg::Document::new()
        .set("width", format!("{width}mm"))
        .set("height", format!("{height}mm"))
        .set("viewBox", format!("0 0 {width} {height}"))
        .add(Title::new(clean(&drawing.title)));
    if !drawing.description.is_empty() {
        document = document.add(Description::new().add(CharacterData::new(clean(&drawing.description))));
    }
    for layer in [Layer::Print, Layer::Cut] {
        let key = match options.place {
            Place::File => "id",
            Place::InPage => "class",
        };
        let mut group = Group::new().set(key, layer.name()).set("stroke-miterlimit", MITRE_LIMIT);
        for item in drawing.items.iter().filter(|item| item.layer == layer) {
            group = writer.item(group, item);
        }
        document = document.add(group);
    }
    let mut text = document.to_string();
    text.push('\n');
    text
}

/// Glyphs already written, by face, glyph, size and turn. A card repeats few glyphs many times, and the cards of a book
/// repeat each other's.
type Outlines = HashMap<(FaceId, u16, u64, u64), String>;

/// A book of 60 cards writes some hundreds of glyphs; beyond this, memory is worth more than time.
const MOST_OUTLINES: usize = 4000;

thread_local! {
    static OUTLINES: RefCell<Outlines> = RefCell::default();
}

struct Writer<'a> {
    text_as: TextAs,
    outlines: &'a mut Outlines,
}

impl Writer<'_> {
    fn item(&mut self, group: Group, item: &Item) -> Group {
        match &item.shape {
            Shape::Fill { path, colour } => group.add(filled(path_data(path), *colour)),
            Shape::Stroke { path, colour, width, dash } => {
                let mut stroke = Path::new()
                    .set("d", path_data(path))
                    .set("fill", "none")
                    .set("stroke", hexadecimal(*colour))
                    .set("stroke-width", decimal(*width));
                if let Some((on, off)) = dash {
                    stroke = stroke.set("stroke-dasharray", format!("{} {}", decimal(*on), decimal(*off)));
                }
                group.add(stroke)
            }
            Shape::Text(text) => match self.text_as {
                TextAs::Outlines => group.add(self.outlined(text)),
                TextAs::Live => group.add(live(text)),
            },
        }
    }

    /// The glyphs of a line of text as one filled path that still says, for a screen reader, what it reads.
    fn outlined(&mut self, text: &Text) -> Path {
        let turn = Affine::rotate(text.turn);
        let mut data = String::new();
        let mut pen_em = 0.0;
        for glyph in font::glyphs(&text.content, text.weight) {
            let pen = text.origin + (turn * Point::new(pen_em * text.em, 0.0)).to_vec2();
            push_command(&mut data, 'M', [pen]);
            data.push_str(self.outline(glyph, text));
            pen_em += glyph.advance;
        }
        filled(data, text.colour).set("aria-label", clean(&text.content))
    }

    fn outline(&mut self, glyph: Glyph, text: &Text) -> &str {
        let key = (glyph.face, glyph.id, text.em.to_bits(), text.turn.to_bits());
        self.outlines.entry(key).or_insert_with(|| {
            let in_place = Affine::rotate(text.turn) * Affine::scale(text.em);
            relative_path_data(&(in_place * font::outline(glyph)))
        })
    }
}

fn filled(data: String, colour: Colour) -> Path {
    let path = Path::new().set("d", data);
    if colour == Colour::BLACK { path } else { path.set("fill", hexadecimal(colour)) }
}

/// Text kept as text. `textLength` holds it to its width where another face must stand in.
fn live(text: &Text) -> Element {
    let (x, y) = (decimal(text.origin.x), decimal(text.origin.y));
    let mut element = TextElement::new(clean(&text.content))
        .set("xml:space", "preserve")
        .set("font-family", FONT_FAMILY)
        .set("font-size", decimal(text.em))
        .set("textLength", decimal(text.width()))
        .set("lengthAdjust", "spacingAndGlyphs");
    if text.weight == Weight::Bold {
        element = element.set("font-weight", "bold");
    }
    if text.colour != Colour::BLACK {
        element = element.set("fill", hexadecimal(text.colour));
    }
    if text.turn != 0.0 {
        element = element.set("transform", format!("rotate({} {x} {y})", decimal(text.turn.to_degrees())));
    }
    // As a plain element, because the typed one breaks the line around its words, and the break would be shown.
    Element::from(element.set("x", x).set("y", y))
}

/// A shape's path in absolute coordinates, to be read and measured by people too.
fn path_data(path: &BezPath) -> String {
    let mut data = String::new();
    for element in path.elements() {
        let (letter, points) = command(element);
        push_command(&mut data, letter, points);
    }
    data
}

fn push_command(data: &mut String, letter: char, points: impl IntoIterator<Item = Point>) {
    data.push(letter);
    for (index, coordinate) in points.into_iter().flat_map(|point| [point.x, point.y]).enumerate() {
        if index > 0 {
            data.push(' ');
        }
        PLACE.push(data, PLACE.to_steps(coordinate));
    }
}

/// A path in steps from point to point, the first from where the pen is. Points are rounded, not steps, so no error
/// adds up along it.
fn relative_path_data(path: &BezPath) -> String {
    let mut data = String::new();
    let (mut start, mut current) = ((0, 0), (0, 0));
    for element in path.elements() {
        let (letter, points) = command(element);
        data.push(letter.to_ascii_lowercase());
        let from = current;
        for (index, point) in points.enumerate() {
            current = (OUTLINE.to_steps(point.x), OUTLINE.to_steps(point.y));
            for (axis, steps) in [current.0 - from.0, current.1 - from.1].into_iter().enumerate() {
                if index + axis > 0 && steps >= 0 {
                    data.push(' ');
                }
                OUTLINE.push(&mut data, steps);
            }
        }
        match element {
            PathEl::MoveTo(_) => start = current,
            PathEl::ClosePath => current = start,
            _ => {}
        }
    }
    data
}

/// A piece of path as its letter in SVG and its points.
fn command(element: &PathEl) -> (char, impl Iterator<Item = Point>) {
    let (letter, points) = match *element {
        PathEl::MoveTo(end) => ('M', [Some(end), None, None]),
        PathEl::LineTo(end) => ('L', [Some(end), None, None]),
        PathEl::QuadTo(control, end) => ('Q', [Some(control), Some(end), None]),
        PathEl::CurveTo(first, second, end) => ('C', [Some(first), Some(second), Some(end)]),
        PathEl::ClosePath => ('Z', [None; 3]),
    };
    (letter, points.into_iter().flatten())
}

fn decimal(value: f64) -> String {
    let mut text = String::new();
    PLACE.push(&mut text, PLACE.to_steps(value));
    text
}

impl Precision {
    fn to_steps(&self, millimetres: f64) -> i64 {
        (millimetres * self.steps as f64).round() as i64
    }

    /// Appends a number of steps as millimetres, exactly and without trailing noughts.
    ///
    /// By hand, because a card holds some ten thousand numbers and this is where its time goes.
    fn push(&self, text: &mut String, steps: i64) {
        const TEN: u64 = 10;
        let mut rest = steps.unsigned_abs();
        let mut decimals = self.steps.ilog10();
        while decimals > 0 && rest.is_multiple_of(TEN) {
            rest /= TEN;
            decimals -= 1;
        }
        let least_digits = decimals + u32::from(self.leading_nought || decimals == 0);
        // Written from the last digit to the first; the 20 digits of any u64, a point, a nought and a sign.
        let mut digits = [b'0'; 23];
        let mut start = digits.len();
        let mut written = 0;
        while rest > 0 || written < least_digits {
            start -= 1;
            digits[start] = b'0' + (rest % TEN) as u8;
            rest /= TEN;
            written += 1;
            if written == decimals {
                start -= 1;
                digits[start] = b'.';
            }
        }
        if steps < 0 {
            start -= 1;
            digits[start] = b'-';
        }
        text.push_str(str::from_utf8(&digits[start..]).unwrap_or_default());
    }
}

fn hexadecimal(colour: Colour) -> String {
    let byte = |channel: f32| (channel.clamp(0.0, 1.0) * 255.0).round() as u8;
    format!("#{:02x}{:02x}{:02x}", byte(colour.red), byte(colour.green), byte(colour.blue))
}

/// The text with what XML 1.0 cannot hold (section 2.2, production Char) replaced.
fn clean(text: &str) -> String {
    let allowed = |character: char| matches!(character, '\t' | '\n' | '\r' | ' '..='\u{FFFD}' | '\u{10000}'..);
    text.chars().map(|character| if allowed(character) { character } else { char::REPLACEMENT_CHARACTER }).collect()
}
