//! A drawing as an SVG document: 1 user unit = 1 mm. Knows shapes and glyphs, nothing of what they say.

use std::borrow::Cow;
use std::cell::Cell;
use std::collections::BTreeMap;
use std::io::{self, Write};
use std::sync::{LazyLock, PoisonError, RwLock, RwLockReadGuard};

use kurbo::{Affine, BezPath, PathEl, Point, Size};
use quick_xml::escape::escape;
use rustc_hash::FxHashMap;

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

/// A document or an element as it is written: text, kept as the bytes of a file.
///
/// Most are only written into files; to find that megabytes of digits are text would add a twentieth to the work.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Markup(Vec<u8>);

impl Markup {
    fn of(bytes: &[u8]) -> Self {
        Markup(bytes.to_vec())
    }

    /// What goes into a file, in UTF-8.
    pub fn into_bytes(self) -> Vec<u8> {
        self.0
    }

    /// The same as text.
    pub fn into_string(self) -> String {
        // It is put together from text and digits alone, so nothing is ever replaced.
        String::from_utf8(self.0).unwrap_or_else(|error| String::from_utf8_lossy(error.as_bytes()).into_owned())
    }
}

/// The drawing as an SVG document of its true size, printed ink and cutting lines in two groups.
pub fn svg(drawing: &Drawing, options: Options) -> Markup {
    with_document(drawing, Style::File(options.text), Markup::of)
}

/// Writes the same.
///
/// # Errors
/// Whatever it is written to reports.
pub fn write(drawing: &Drawing, options: Options, to: &mut dyn Write) -> io::Result<()> {
    with_document(drawing, Style::File(options.text), |bytes| to.write_all(bytes))
}

/// The drawing as an element of a page that also holds the [`glyph_definitions`] of all its drawings.
pub fn svg_in_page(drawing: &Drawing) -> Markup {
    with_document(drawing, Style::InPage, Markup::of)
}

/// Writes the same.
///
/// # Errors
/// Whatever it is written to reports.
pub fn write_in_page(drawing: &Drawing, to: &mut dyn Write) -> io::Result<()> {
    with_document(drawing, Style::InPage, |bytes| to.write_all(bytes))
}

/// The outline of every glyph of the drawings, each once, as an element to stand anywhere in their page.
pub fn glyph_definitions<'a>(drawings: impl IntoIterator<Item = &'a Drawing>) -> Markup {
    let mut xml = Xml::default();
    xml.element("svg").plain("width", "0").plain("height", "0").plain("aria-hidden", "true").open();
    xml.define_glyphs(drawings.into_iter().flat_map(Drawing::texts));
    xml.close("svg");
    xml.end();
    Markup(xml.0)
}

/// Appends a name for a glyph that no other in the page has.
fn push_name(text: &mut Vec<u8>, glyph: Glyph) {
    text.push(b'g');
    push_whole(text, glyph.face as u64);
    text.push(b'-');
    push_whole(text, u64::from(glyph.id));
}

/// Memory of more than this is not kept: few documents are larger.
const MOST_KEPT: usize = 1 << 22;

thread_local! {
    /// The memory of the last document, for the next: new memory costs more than what is written into it.
    static KEPT: Cell<Vec<u8>> = const { Cell::new(Vec::new()) };
}

/// Shows a document to `read`, and forgets it.
fn with_document<Read>(drawing: &Drawing, style: Style, read: impl FnOnce(&[u8]) -> Read) -> Read {
    let mut xml = Xml(KEPT.take());
    document(&mut xml, drawing, style);
    let read = read(&xml.0);
    if xml.0.capacity() <= MOST_KEPT {
        xml.0.clear();
        KEPT.set(xml.0);
    }
    read
}

fn document(xml: &mut Xml, drawing: &Drawing, style: Style) {
    let Size { width, height } = drawing.size;
    let refers = style == Style::File(TextAs::Glyphs);
    let mut root = xml.element("svg").plain("xmlns", "http://www.w3.org/2000/svg");
    if refers {
        root = root.plain("xmlns:xlink", "http://www.w3.org/1999/xlink");
    }
    root.with("width", |text| push_millimetres(text, width))
        .with("height", |text| push_millimetres(text, height))
        .with("viewBox", |text| push_numbers(text, &[0.0, 0.0, width, height]))
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
    xml.end();
}

/// Glyphs already written, by face, glyph, size, turn and precision. A card repeats few glyphs many times, and the
/// cards of a book repeat each other's.
type Outlines = FxHashMap<OutlineKey, Box<[u8]>>;
type OutlineKey = (FaceId, u16, u64, u64, Precision);

/// A book of 60 cards writes some hundreds of glyphs; beyond this, memory is worth more than time.
const MOST_OUTLINES: usize = 4000;

/// Of all threads, since what one has written the others need too.
static OUTLINES: LazyLock<RwLock<Outlines>> = LazyLock::new(RwLock::default);

/// The same, to be read; nothing is added while this is held.
type Known = RwLockReadGuard<'static, Outlines>;

fn known_outlines() -> Known {
    OUTLINES.read().unwrap_or_else(PoisonError::into_inner)
}

fn keep_outline(key: OutlineKey, outline: &[u8]) {
    let mut outlines = OUTLINES.write().unwrap_or_else(PoisonError::into_inner);
    if outlines.len() > MOST_OUTLINES {
        outlines.clear();
    }
    outlines.insert(key, outline.into());
}

/// An element as it is written: its name, then its attributes, then what it holds.
struct Element<'a>(&'a mut Vec<u8>);

impl Element<'_> {
    /// A value of our own making, in which nothing could be taken for markup.
    fn plain(self, name: &str, value: &str) -> Self {
        self.with(name, |text| push_words(text, value))
    }

    /// The same, written by `write`.
    fn with(self, name: &str, write: impl FnOnce(&mut Vec<u8>)) -> Self {
        self.0.push(b' ');
        push_words(self.0, name);
        push_words(self.0, "=\"");
        write(self.0);
        self.0.push(b'"');
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
        self.with(name, |text| {
            text.push(b'#');
            for channel in [red, green, blue] {
                text.extend_from_slice(&hexadecimal(channel));
            }
        })
    }

    /// Black is what SVG fills with unless told otherwise.
    fn fill(self, colour: Colour) -> Self {
        if colour == Colour::BLACK { self } else { self.colour("fill", colour) }
    }

    /// It holds nothing.
    fn empty(self) {
        push_words(self.0, "/>");
    }

    /// It holds others, and has to be closed.
    fn open(self) {
        self.0.push(b'>');
    }

    /// It holds words alone.
    fn holding(self, name: &str, words: &str) {
        let words = escape(held_by_xml(words));
        for piece in [">", &words, "</", name, ">"] {
            push_words(self.0, piece);
        }
    }
}

/// A document as it grows, an element a line.
#[derive(Default)]
struct Xml(Vec<u8>);

impl Xml {
    /// Begins an element on a line of its own.
    fn element(&mut self, name: &str) -> Element<'_> {
        if !self.0.is_empty() {
            self.0.push(b'\n');
        }
        self.on_this_line(name)
    }

    /// Begins an element where white space is kept, and a line break would be seen.
    fn on_this_line(&mut self, name: &str) -> Element<'_> {
        self.0.push(b'<');
        push_words(&mut self.0, name);
        Element(&mut self.0)
    }

    fn close(&mut self, name: &str) {
        self.0.push(b'\n');
        self.close_on_this_line(name);
    }

    fn close_on_this_line(&mut self, name: &str) {
        for piece in ["</", name, ">"] {
            push_words(&mut self.0, piece);
        }
    }

    fn end(&mut self) {
        self.0.push(b'\n');
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
                    element = element.with("stroke-dasharray", |text| push_numbers(text, &[*on, *off]));
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
        // Thousands, of which few differ: only these are worth putting in order.
        let each: FxHashMap<(FaceId, u16), Glyph> = glyphs.map(|glyph| ((glyph.face, glyph.id), glyph)).collect();
        let each: BTreeMap<(FaceId, u16), Glyph> = each.into_iter().collect();
        self.element("defs").open();
        for glyph in each.into_values() {
            let em = |data: &mut Vec<u8>| drop(push_outline(data, known_outlines(), glyph, 1.0, 0.0, Precision::Em));
            self.element("path").with("id", |text| push_name(text, glyph)).with("d", em).empty();
        }
        self.close("defs");
    }

    /// The glyphs of a line of text as one filled path that still says, for a screen reader, what it reads.
    fn outlined(&mut self, text: &Text) {
        let element = self.element("path").words("aria-label", &text.content).fill(text.colour);
        element.with("d", |data| push_outlines(data, text)).empty();
    }

    /// The glyphs of a line of text as references to outlines one em high.
    fn referred(&mut self, text: &Text, reference: &str) {
        if text.content.trim().is_empty() {
            return;
        }
        // Whoever cannot see the page is read these words out, and not the letters that make them up.
        let element = self.element("g").plain("role", "img").words("aria-label", &text.content).fill(text.colour);
        let in_place = |value: &mut Vec<u8>| {
            push_transform(value, "translate", &[text.origin.x, text.origin.y]);
            if text.turn != 0.0 {
                push_transform(value, "rotate", &[text.turn.to_degrees()]);
            }
            push_transform(value, "scale", &[text.em]);
        };
        element.with("transform", in_place).open();
        for Placed { glyph, at, em } in text.placed() {
            let at = at / text.em;
            let mut element = self.element("use").with(reference, |value| {
                value.push(b'#');
                push_name(value, glyph);
            });
            if em != text.em {
                element = element.with("transform", |value| {
                    push_transform(value, "translate", &[at.x, at.y]);
                    push_transform(value, "scale", &[em / text.em]);
                });
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
            let turn = [text.turn.to_degrees(), text.origin.x, text.origin.y];
            element = element.with("transform", |value| push_transform(value, "rotate", &turn));
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
fn push_path(data: &mut Vec<u8>, path: &BezPath) {
    for element in path.iter() {
        spell(element, |letter, points| push_command(data, letter, points));
    }
}

fn push_command(data: &mut Vec<u8>, letter: u8, points: &[Point]) {
    data.push(letter);
    for (index, point) in points.iter().enumerate() {
        if index > 0 {
            data.push(b' ');
        }
        push_numbers(data, &[point.x, point.y]);
    }
}

/// The outlines of a line of text, each from where its pen stands.
fn push_outlines(data: &mut Vec<u8>, text: &Text) {
    let turn = Affine::rotate(text.turn);
    let mut known = known_outlines();
    for Placed { glyph, at, em } in text.placed() {
        push_command(data, b'M', &[text.origin + (turn * at.to_point()).to_vec2()]);
        known = push_outline(data, known, glyph, em, text.turn, Precision::Outline);
    }
}

/// A glyph's outline in steps from the pen, from those that are known or new among them. The lock on these goes from glyph
/// to glyph, since threads that take it for each would wait for one another.
fn push_outline(data: &mut Vec<u8>, known: Known, glyph: Glyph, em: f64, turn: f64, precision: Precision) -> Known {
    let key = (glyph.face, glyph.id, em.to_bits(), turn.to_bits(), precision);
    if let Some(outline) = known.get(&key) {
        data.extend_from_slice(outline);
        return known;
    }
    drop(known);
    let start = data.len();
    let in_place = Affine::rotate(turn) * Affine::scale(em);
    push_steps(data, font::outline(glyph).iter().map(|element| in_place * element), precision);
    keep_outline(key, &data[start..]);
    known_outlines()
}

/// A path in steps from point to point, the first from where the pen is. Points are rounded, not steps, so no error
/// adds up along it.
fn push_steps(data: &mut Vec<u8>, path: impl Iterator<Item = PathEl>, precision: Precision) {
    let (mut start, mut current) = ((0, 0), (0, 0));
    for element in path {
        spell(element, |letter, points| {
            data.push(letter.to_ascii_lowercase());
            let from = current;
            for (index, point) in points.iter().enumerate() {
                current = (precision.to_steps(point.x), precision.to_steps(point.y));
                push_step(data, current.0 - from.0, index > 0, precision);
                push_step(data, current.1 - from.1, true, precision);
            }
        });
        match element {
            PathEl::MoveTo(_) => start = current,
            PathEl::ClosePath => current = start,
            _ => {}
        }
    }
}

/// Appends one number of an outline, apart from the one before it: a sign does that as well as a space.
fn push_step(data: &mut Vec<u8>, steps: i64, is_after_another: bool, precision: Precision) {
    if is_after_another && steps >= 0 {
        data.push(b' ');
    }
    precision.push(data, steps);
}

/// Tells a piece of path to `write`: its letter in SVG and its points.
fn spell(element: PathEl, mut write: impl FnMut(u8, &[Point])) {
    match element {
        PathEl::MoveTo(end) => write(b'M', &[end]),
        PathEl::LineTo(end) => write(b'L', &[end]),
        PathEl::QuadTo(control, end) => write(b'Q', &[control, end]),
        PathEl::CurveTo(first, second, end) => write(b'C', &[first, second, end]),
        PathEl::ClosePath => write(b'Z', &[]),
    }
}

/// Appends a transformation and the numbers it takes: `translate(10 20)`.
fn push_transform(text: &mut Vec<u8>, name: &str, numbers: &[f64]) {
    push_words(text, name);
    text.push(b'(');
    push_numbers(text, numbers);
    text.push(b')');
}

fn push_millimetres(text: &mut Vec<u8>, length: f64) {
    push_numbers(text, &[length]);
    push_words(text, "mm");
}

/// Appends numbers with a space between each two.
fn push_numbers(text: &mut Vec<u8>, numbers: &[f64]) {
    for (index, number) in numbers.iter().enumerate() {
        if index > 0 {
            text.push(b' ');
        }
        Precision::Place.push_units(text, *number);
    }
}

fn push_words(text: &mut Vec<u8>, words: &str) {
    text.extend_from_slice(words.as_bytes());
}

/// Two digits of the base 16.
fn hexadecimal(byte: u8) -> [u8; 2] {
    const DIGITS: &[u8; 16] = b"0123456789abcdef";
    [DIGITS[usize::from(byte >> 4)], DIGITS[usize::from(byte & 0xf)]]
}

impl Precision {
    fn to_steps(self, units: f64) -> i64 {
        let steps = match self {
            Precision::Place | Precision::Em => 10_000.0,
            Precision::Outline => 1_000.0,
        };
        (units * steps).round() as i64
    }

    fn push_units(self, text: &mut Vec<u8>, units: f64) {
        self.push(text, self.to_steps(units));
    }

    /// Appends a number of steps as a decimal, exactly and without trailing zeros.
    ///
    /// By hand, because a card holds some ten thousand numbers and this is where its time goes; each precision by itself,
    /// because to divide by a number that is known beforehand takes a tenth of the time.
    fn push(self, text: &mut Vec<u8>, steps: i64) {
        if steps < 0 {
            text.push(b'-');
        }
        let rest = steps.unsigned_abs();
        let (whole, tenths_of_thousandths) = match self {
            Precision::Place | Precision::Em => (rest / 10_000, rest % 10_000),
            Precision::Outline => (rest / 1_000, rest % 1_000 * 10),
        };
        if whole > 0 || tenths_of_thousandths == 0 || self == Precision::Place {
            push_whole(text, whole);
        }
        push_decimals(text, tenths_of_thousandths as usize);
    }
}

/// Appends a whole number, two digits at a time.
fn push_whole(text: &mut Vec<u8>, number: u64) {
    if number < 10 {
        return text.push(b'0' + number as u8);
    }
    if number >= 100 {
        push_whole(text, number / 100);
    }
    text.extend_from_slice(&TWO_DIGITS[(number % 100) as usize]);
}

/// Appends four decimals behind their point, without trailing zeros; nothing if all of them are.
fn push_decimals(text: &mut Vec<u8>, tenths_of_thousandths: usize) {
    let [tenths, hundredths] = TWO_DIGITS[tenths_of_thousandths / 100 % 100];
    let [thousandths, last] = TWO_DIGITS[tenths_of_thousandths % 100];
    let decimals = [b'.', tenths, hundredths, thousandths, last];
    let kept = decimals.iter().rposition(|character| !matches!(character, b'0' | b'.')).map_or(0, |index| index + 1);
    // All of them and then fewer: so many bytes at a time are one step, a number of them that is found out is several.
    let end = text.len() + kept;
    text.extend_from_slice(&decimals);
    text.truncate(end);
}

/// The numbers under a hundred as they are written, with a zero in front of those under ten.
const TWO_DIGITS: [[u8; 2]; 100] = {
    let mut all = [[b'0'; 2]; 100];
    let mut number = 0;
    while number < all.len() {
        all[number] = [b'0' + (number / 10) as u8, b'0' + (number % 10) as u8];
        number += 1;
    }
    all
};
