//! A drawing as an SVG document: 1 user unit = 1 mm. Knows shapes and glyphs, nothing of what they say.

use std::collections::HashMap;

use kurbo::{Affine, BezPath, PathEl, Point};
use svg::node::Text as CharacterData;
use svg::node::element::{Description, Group, Path, Text as TextElement, Title};

use crate::drawing::font::{self, FaceId, Glyph};
use crate::drawing::{Colour, Drawing, Item, Layer, Shape, Text, Weight};

/// Decimals of a coordinate: a mark then stands within 0.00005 mm of its place.
const DECIMALS: u32 = 4;
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
    let mut writer = Writer { text_as: options.text, outlines: HashMap::new() };
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

struct Writer {
    text_as: TextAs,
    /// Glyphs already read from their face.
    outlines: HashMap<(FaceId, u16), BezPath>,
}

impl Writer {
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
        let to_page = Affine::translate(text.origin.to_vec2()) * Affine::rotate(text.turn) * Affine::scale(text.em);
        let mut data = String::new();
        let mut pen_em = 0.0;
        for glyph in font::glyphs(&text.content, text.weight) {
            write_path(&mut data, self.outline(glyph), to_page * Affine::translate((pen_em, 0.0)));
            pen_em += glyph.advance;
        }
        filled(data, text.colour).set("aria-label", clean(&text.content))
    }

    fn outline(&mut self, glyph: Glyph) -> &BezPath {
        self.outlines.entry((glyph.face, glyph.id)).or_insert_with(|| font::outline(glyph))
    }
}

fn filled(data: String, colour: Colour) -> Path {
    let path = Path::new().set("d", data);
    if colour == Colour::BLACK { path } else { path.set("fill", hexadecimal(colour)) }
}

/// Text kept as text. `textLength` holds it to its width where another face must stand in.
fn live(text: &Text) -> TextElement {
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
    element.set("x", x).set("y", y)
}

fn path_data(path: &BezPath) -> String {
    let mut data = String::new();
    write_path(&mut data, path, Affine::IDENTITY);
    data
}

fn write_path(data: &mut String, path: &BezPath, place: Affine) {
    for element in path.elements() {
        match place * *element {
            PathEl::MoveTo(end) => push_command(data, 'M', &[end]),
            PathEl::LineTo(end) => push_command(data, 'L', &[end]),
            PathEl::QuadTo(control, end) => push_command(data, 'Q', &[control, end]),
            PathEl::CurveTo(first, second, end) => push_command(data, 'C', &[first, second, end]),
            PathEl::ClosePath => push_command(data, 'Z', &[]),
        }
    }
}

fn push_command(data: &mut String, letter: char, points: &[Point]) {
    data.push(letter);
    for (index, point) in points.iter().enumerate() {
        if index > 0 {
            data.push(' ');
        }
        push_decimal(data, point.x);
        data.push(' ');
        push_decimal(data, point.y);
    }
}

fn decimal(value: f64) -> String {
    let mut text = String::new();
    push_decimal(&mut text, value);
    text
}

/// Appends the number with [`DECIMALS`] decimals at most and no trailing noughts.
///
/// By hand, because a card holds some ten thousand of them and this is where its time goes.
fn push_decimal(text: &mut String, value: f64) {
    let unit = 10_u64.pow(DECIMALS);
    let scaled = (value.abs() * unit as f64).round() as u64;
    if value < 0.0 && scaled > 0 {
        text.push('-');
    }
    let mut digits = [0_u8; 24];
    let mut start = digits.len();
    let mut rest = scaled / unit;
    loop {
        start -= 1;
        digits[start] = b'0' + (rest % 10) as u8;
        rest /= 10;
        if rest == 0 {
            break;
        }
    }
    text.extend(digits[start..].iter().map(|&digit| char::from(digit)));
    let mut fraction = scaled % unit;
    let mut place = unit / 10;
    if fraction > 0 {
        text.push('.');
    }
    while fraction > 0 {
        text.push(char::from(b'0' + (fraction / place) as u8));
        fraction %= place;
        place /= 10;
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
