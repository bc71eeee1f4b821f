//! A drawing as an SVG document: 1 user unit = 1 mm. Knows shapes and glyphs, nothing of what they say.

use std::borrow::Cow;
use std::collections::{BTreeMap, HashMap};
use std::sync::{LazyLock, PoisonError, RwLock};

use kurbo::{Affine, BezPath, PathEl, Point};
use quick_xml::escape::escape;

use crate::drawing::font::{self, FaceId, Glyph};
use crate::drawing::{Colour, Drawing, Item, Layer, Placed, Shape, Text, Weight};

/// How a number is written.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Precision {
    /// Places and widths, to four decimals: a mark then stands within 0.00005 mm of its place.
    Place,
    /// The outlines of letters, which are most of a file: three decimals, and .5 for 0.5.
    Outline,
    /// Outlines one em high, to be drawn at any size: four decimals, and .5 for 0.5.
    Em,
}

/// The faces a reader may have, best first.
const FONT_FAMILY: &str = "B612, 'DejaVu Sans', sans-serif";
/// How an element refers to another in a file: SVG 2 takes it as well, and programs that know 1.1 alone know nothing else.
const XLINK_HREF: &str = "xlink:href";
/// A PDF's limit for mitred corners (ISO 32000-1, table 52); SVG's own is 4.
const MITRE_LIMIT: &str = "10";

/// How text is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TextAs {
    /// Outlines: the same on every machine, for cutters and printers.
    #[default]
    Outlines,
    /// The outline of each glyph once, and references to it: a file of about a quarter, for screens and browsers.
    Glyphs,
    /// Text that can be searched and changed; it looks right where the face is installed.
    Live,
}

/// How a drawing is written as SVG.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Options {
    /// Whether letters are outlines or stay text.
    pub text: TextAs,
}

/// How letters are written, and how the layers are told apart.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Style {
    /// A file of its own. Every line of text is a path, because programs that cut or engrave know paths and little else;
    /// the layers have ids, `print` and `cut`.
    File(TextAs),
    /// Part of a page, where an id may stand only once: letters refer to [`glyph_definitions`], layers have classes.
    InPage,
}

/// The drawing as an SVG document of its true size, printed ink and cutting lines in two groups.
pub fn svg(drawing: &Drawing, options: Options) -> String {
    document(drawing, Style::File(options.text))
}

/// The drawing as an element of a page that also holds the [`glyph_definitions`] of all its drawings.
pub fn svg_in_page(drawing: &Drawing) -> String {
    document(drawing, Style::InPage)
}

/// The outline of every glyph of the drawings, each once, as an element to stand anywhere in their page.
pub fn glyph_definitions<'a>(drawings: impl IntoIterator<Item = &'a Drawing>) -> String {
    let mut xml = Xml::default();
    xml.element("svg").plain("width", "0").plain("height", "0").plain("aria-hidden", "true").open();
    xml.define_glyphs(drawings.into_iter().flat_map(Drawing::texts));
    xml.close("svg");
    xml.finish()
}

/// A name for a glyph that no other in the page has.
fn name(glyph: Glyph) -> String {
    let mut name = String::new();
    push_name(&mut name, glyph);
    name
}

fn push_name(text: &mut String, glyph: Glyph) {
    text.push('g');
    push_whole(text, glyph.face as u64);
    text.push('-');
    push_whole(text, u64::from(glyph.id));
}

/// A start of a document's length, to begin with: small cards of outlines are of this size.
const USUAL_LENGTH: usize = 1 << 16;

fn document(drawing: &Drawing, style: Style) -> String {
    let (width, height) = (decimal(drawing.size.width), decimal(drawing.size.height));
    let refers = style == Style::File(TextAs::Glyphs);
    let mut xml = Xml::default();
    let mut root = xml.element("svg").plain("xmlns", "http://www.w3.org/2000/svg");
    if refers {
        root = root.plain("xmlns:xlink", "http://www.w3.org/1999/xlink");
    }
    root.plain("width", &format!("{width}mm"))
        .plain("height", &format!("{height}mm"))
        .plain("viewBox", &format!("0 0 {width} {height}"))
        .open();
    xml.element("title").holding("title", &drawing.title);
    if !drawing.description.is_empty() {
        xml.element("desc").holding("desc", &drawing.description);
    }
    if refers {
        xml.define_glyphs(drawing.texts());
    }
    for layer in [Layer::Print, Layer::Cut] {
        let told_by = if style == Style::InPage { "class" } else { "id" };
        xml.element("g").plain(told_by, layer.name()).plain("stroke-miterlimit", MITRE_LIMIT).open();
        for item in drawing.items.iter().filter(|item| item.layer == layer) {
            xml.item(item, style);
        }
        xml.close("g");
    }
    xml.close("svg");
    xml.finish()
}

/// Glyphs already written, by face, glyph, size, turn and precision. A card repeats few glyphs many times, and the
/// cards of a book repeat each other's.
type Outlines = HashMap<(FaceId, u16, u64, u64, Precision), String>;

/// A book of 60 cards writes some hundreds of glyphs; beyond this, memory is worth more than time.
const MOST_OUTLINES: usize = 4000;

/// Of all threads, since what one has written the others need too.
static OUTLINES: LazyLock<RwLock<Outlines>> = LazyLock::new(RwLock::default);

/// Room for the outline of a letter and where it begins.
const USUAL_OUTLINE: usize = 512;

/// An element as it is written: its name, then its attributes, then what it holds.
struct Element<'a>(&'a mut String);

impl Element<'_> {
    /// A value of our own making, in which nothing could be taken for markup.
    fn plain(self, name: &str, value: &str) -> Self {
        self.with(name, |text| text.push_str(value))
    }

    /// The same, written by `write`.
    fn with(self, name: &str, write: impl FnOnce(&mut String)) -> Self {
        self.0.push(' ');
        self.0.push_str(name);
        self.0.push_str("=\"");
        write(self.0);
        self.0.push('"');
        self
    }

    /// Words that people wrote.
    fn words(self, name: &str, words: &str) -> Self {
        // Else they would be read as spaces (XML 1.0, section 3.3.3).
        let value = escape(held_by_xml(words));
        if value.contains(['\t', '\n']) {
            return self.plain(name, &value.replace('\t', "&#9;").replace('\n', "&#10;"));
        }
        self.plain(name, &value)
    }

    fn number(self, name: &str, value: f64) -> Self {
        self.with(name, |text| Precision::Place.push_units(text, value))
    }

    fn colour(self, name: &str, colour: Colour) -> Self {
        let [red, green, blue] = [colour.red, colour.green, colour.blue]
            .map(|channel| (channel.clamp(0.0, 1.0) * f32::from(u8::MAX)).round() as u8);
        self.plain(name, &format!("#{red:02x}{green:02x}{blue:02x}"))
    }

    /// Black is what SVG fills with unless told otherwise.
    fn fill(self, colour: Colour) -> Self {
        if colour == Colour::BLACK { self } else { self.colour("fill", colour) }
    }

    /// It holds nothing.
    fn empty(self) {
        self.0.push_str("/>");
    }

    /// It holds others, and has to be closed.
    fn open(self) {
        self.0.push('>');
    }

    /// It holds words alone.
    fn holding(self, name: &str, words: &str) {
        let words = escape(held_by_xml(words));
        for piece in [">", &words, "</", name, ">"] {
            self.0.push_str(piece);
        }
    }
}

/// A document as it grows, an element a line.
struct Xml(String);

impl Default for Xml {
    fn default() -> Self {
        Xml(String::with_capacity(USUAL_LENGTH))
    }
}

impl Xml {
    /// Begins an element on a line of its own.
    fn element(&mut self, name: &str) -> Element<'_> {
        if !self.0.is_empty() {
            self.0.push('\n');
        }
        self.on_this_line(name)
    }

    /// Begins an element where white space is kept, and a line break would be seen.
    fn on_this_line(&mut self, name: &str) -> Element<'_> {
        self.0.push('<');
        self.0.push_str(name);
        Element(&mut self.0)
    }

    fn close(&mut self, name: &str) {
        self.0.push('\n');
        self.close_on_this_line(name);
    }

    fn close_on_this_line(&mut self, name: &str) {
        for piece in ["</", name, ">"] {
            self.0.push_str(piece);
        }
    }

    fn finish(self) -> String {
        self.0 + "\n"
    }

    fn item(&mut self, item: &Item, style: Style) {
        match &item.shape {
            Shape::Fill { path, colour } => {
                self.element("path").with("d", |data| push_path(data, path)).fill(*colour).empty();
            }
            Shape::Stroke { path, colour, width, dash } => {
                let mut element = self
                    .element("path")
                    .with("d", |data| push_path(data, path))
                    .plain("fill", "none")
                    .colour("stroke", *colour)
                    .number("stroke-width", *width);
                if let Some((on, off)) = dash {
                    element = element.plain("stroke-dasharray", &format!("{} {}", decimal(*on), decimal(*off)));
                }
                element.empty();
            }
            Shape::Text(text) => match style {
                Style::File(TextAs::Outlines) => self.outlined(text),
                Style::File(TextAs::Live) => self.live(text),
                Style::File(TextAs::Glyphs) => self.referred(text, XLINK_HREF),
                Style::InPage => self.referred(text, "href"),
            },
        }
    }

    /// The outline of every glyph of some texts, one em high, each once.
    fn define_glyphs<'a>(&mut self, texts: impl Iterator<Item = &'a Text>) {
        let glyphs = texts.flat_map(|text| font::glyphs(&text.content, text.weight));
        let each: BTreeMap<(FaceId, u16), Glyph> = glyphs.map(|glyph| ((glyph.face, glyph.id), glyph)).collect();
        self.element("defs").open();
        for glyph in each.into_values() {
            let outline = |data: &mut String| push_outline(data, glyph, 1.0, 0.0, Precision::Em);
            self.element("path").plain("id", &name(glyph)).with("d", outline).empty();
        }
        self.close("defs");
    }

    /// The glyphs of a line of text as one filled path that still says, for a screen reader, what it reads.
    fn outlined(&mut self, text: &Text) {
        let turn = Affine::rotate(text.turn);
        let element = self.element("path").words("aria-label", &text.content).fill(text.colour);
        element.0.reserve(text.content.len() * USUAL_OUTLINE);
        let outlines = |data: &mut String| {
            for Placed { glyph, at, em } in text.placed() {
                let pen = text.origin + (turn * at.to_point()).to_vec2();
                push_command(data, 'M', [pen]);
                push_outline(data, glyph, em, text.turn, Precision::Outline);
            }
        };
        element.with("d", outlines).empty();
    }

    /// The glyphs of a line of text as references to outlines one em high.
    fn referred(&mut self, text: &Text, reference: &str) {
        if text.content.trim().is_empty() {
            return;
        }
        let [x, y, em] = [text.origin.x, text.origin.y, text.em].map(decimal);
        let turn =
            if text.turn == 0.0 { String::new() } else { format!("rotate({})", decimal(text.turn.to_degrees())) };
        // Whoever cannot see the page is read these words out, and not the letters that make them up.
        let element = self.element("g").plain("role", "img").words("aria-label", &text.content).fill(text.colour);
        element.plain("transform", &format!("translate({x} {y}){turn}scale({em})")).open();
        for Placed { glyph, at, em } in text.placed() {
            let at = at / text.em;
            let mut element = self.element("use").with(reference, |value| {
                value.push('#');
                push_name(value, glyph);
            });
            if em != text.em {
                let [x, y, larger] = [at.x, at.y, em / text.em].map(decimal);
                element = element.plain("transform", &format!("translate({x} {y})scale({larger})"));
            } else if at.x > 0.0 {
                element = element.number("x", at.x);
            }
            element.empty();
        }
        self.close("g");
    }

    /// Text kept as text. `textLength` holds it to its width where another face must stand in.
    fn live(&mut self, text: &Text) {
        let mut element = self
            .element("text")
            .plain("xml:space", "preserve")
            .number("x", text.origin.x)
            .number("y", text.origin.y)
            .words("font-family", FONT_FAMILY)
            .number("font-size", text.em)
            .number("textLength", text.width())
            .plain("lengthAdjust", "spacingAndGlyphs");
        if text.weight == Weight::Bold {
            element = element.plain("font-weight", "bold");
        }
        element = element.fill(text.colour);
        if text.turn != 0.0 {
            let [degrees, x, y] = [text.turn.to_degrees(), text.origin.x, text.origin.y].map(decimal);
            element = element.plain("transform", &format!("rotate({degrees} {x} {y})"));
        }
        let larger = text.size().fractions();
        let is_fraction = |character| font::glyph(character, text.weight).is_some_and(Glyph::is_fraction);
        if larger == 1.0 || !text.content.contains(is_fraction) {
            return element.holding("text", &text.content);
        }
        // Larger, in the middle of the height of its numerals, and back to the baseline after it.
        let drop = text.cap_height() * (larger - 1.0) / 2.0;
        element.open();
        let mut down = 0.0;
        for run in runs(&text.content, is_fraction) {
            let is_larger = run.starts_with(is_fraction);
            let lower = if is_larger { drop } else { 0.0 };
            let size = if is_larger { text.em * larger } else { text.em };
            let element = self.on_this_line("tspan").number("dy", lower - down);
            element.number("font-size", size).holding("tspan", run);
            down = lower;
        }
        self.close_on_this_line("text");
    }
}

/// A text in runs of characters that are something, and that are not.
fn runs(text: &str, is: impl Fn(char) -> bool) -> impl Iterator<Item = &str> {
    let mut rest = text;
    std::iter::from_fn(move || {
        let first = is(rest.chars().next()?);
        let end = rest.find(|character| is(character) != first).unwrap_or(rest.len());
        let (run, after) = rest.split_at(end);
        rest = after;
        Some(run)
    })
}

/// Words with what XML 1.0 cannot hold (section 2.2, production Char) replaced.
fn held_by_xml(words: &str) -> Cow<'_, str> {
    let held = |character| matches!(character, '\t' | '\n' | '\r' | ' '..='\u{FFFD}' | '\u{10000}'..);
    if words.chars().all(held) {
        return words.into();
    }
    words.chars().map(|character| if held(character) { character } else { char::REPLACEMENT_CHARACTER }).collect()
}

/// A shape's path in absolute coordinates, to be read and measured by people too.
fn push_path(data: &mut String, path: &BezPath) {
    for element in path.elements() {
        let (letter, points) = command(element);
        push_command(data, letter, points);
    }
}

fn push_command(data: &mut String, letter: char, points: impl IntoIterator<Item = Point>) {
    data.push(letter);
    for (index, coordinate) in points.into_iter().flat_map(|point| [point.x, point.y]).enumerate() {
        if index > 0 {
            data.push(' ');
        }
        Precision::Place.push_units(data, coordinate);
    }
}

/// A glyph's outline in steps from the pen.
fn push_outline(data: &mut String, glyph: Glyph, em: f64, turn: f64, precision: Precision) {
    let key = (glyph.face, glyph.id, em.to_bits(), turn.to_bits(), precision);
    if let Some(outline) = OUTLINES.read().unwrap_or_else(PoisonError::into_inner).get(&key) {
        return data.push_str(outline);
    }
    let in_place = Affine::rotate(turn) * Affine::scale(em);
    let outline = relative_path_data(&(in_place * &*font::outline(glyph)), precision);
    data.push_str(&outline);
    let mut outlines = OUTLINES.write().unwrap_or_else(PoisonError::into_inner);
    if outlines.len() > MOST_OUTLINES {
        outlines.clear();
    }
    outlines.insert(key, outline);
}

/// A path in steps from point to point, the first from where the pen is. Points are rounded, not steps, so no error
/// adds up along it.
fn relative_path_data(path: &BezPath, precision: Precision) -> String {
    let mut data = String::with_capacity(USUAL_OUTLINE);
    let (mut start, mut current) = ((0, 0), (0, 0));
    for element in path.elements() {
        let (letter, points) = command(element);
        data.push(letter.to_ascii_lowercase());
        let from = current;
        for (index, point) in points.enumerate() {
            current = (precision.to_steps(point.x), precision.to_steps(point.y));
            for (axis, steps) in [current.0 - from.0, current.1 - from.1].into_iter().enumerate() {
                if index + axis > 0 && steps >= 0 {
                    data.push(' ');
                }
                precision.push(&mut data, steps);
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
    Precision::Place.push_units(&mut text, value);
    text
}

impl Precision {
    fn to_steps(self, units: f64) -> i64 {
        let steps = match self {
            Precision::Place | Precision::Em => 10_000.0,
            Precision::Outline => 1_000.0,
        };
        (units * steps).round() as i64
    }

    fn push_units(self, text: &mut String, units: f64) {
        self.push(text, self.to_steps(units));
    }

    /// Appends a number of steps as a decimal, exactly and without trailing zeros.
    ///
    /// By hand, because a card holds some ten thousand numbers and this is where its time goes; each precision by itself,
    /// because to divide by a number that is known beforehand takes a tenth of the time.
    fn push(self, text: &mut String, steps: i64) {
        if steps < 0 {
            text.push('-');
        }
        let rest = steps.unsigned_abs();
        let (whole, tenths_of_thousandths) = match self {
            Precision::Place | Precision::Em => (rest / 10_000, rest % 10_000),
            Precision::Outline => (rest / 1_000, rest % 1_000 * 10),
        };
        if whole > 0 || tenths_of_thousandths == 0 || self == Precision::Place {
            push_whole(text, whole);
        }
        push_decimals(text, tenths_of_thousandths);
    }
}

/// Appends four decimals behind their point, without trailing zeros; nothing if all of them are.
fn push_decimals(text: &mut String, tenths_of_thousandths: u64) {
    let digit = |place: u64| char::from(b'0' + (tenths_of_thousandths / place % 10) as u8);
    let mut rest = tenths_of_thousandths;
    if rest > 0 {
        text.push('.');
    }
    for place in [1_000, 100, 10, 1] {
        if rest == 0 {
            return;
        }
        text.push(digit(place));
        rest %= place;
    }
}

/// Appends a whole number.
fn push_whole(text: &mut String, number: u64) {
    if number >= 10 {
        push_whole(text, number / 10);
    }
    text.push(char::from(b'0' + (number % 10) as u8));
}
