//! Pages as a PDF document, true to size. Knows drawings and paper sizes, nothing of what the drawings say.
//!
//! Lengths stay `f64` millimetres until an operand is written; every coordinate in the content stream is then an
//! absolute place on the page in points, so a reader can measure a mark without following any transformation.

mod about;
mod fonts;
mod outline;

use std::cell::RefCell;
use std::{fmt, io, mem};

use flate2::{Compress, Compression, FlushCompress, Status};
use kurbo::{Affine, BezPath, CubicBez, PathEl, Point, QuadBez, Rect, Size};
use printpdf::{
    Color, DictItem, Greyscale, LayerIntent, LayerInternalId, LayerSubtype, Line, LineDashPattern, LinePoint, Op,
    PdfDocument, PdfFontHandle, PdfPage, PdfSaveOptions, Polygon, PolygonRing, Pt, Rgb, TextItem, TextMatrix,
};

use crate::drawing::font::{self, FaceId, Glyph};
use crate::drawing::reading::{self, Read};
use crate::drawing::{self, Colour, Drawing, Layer, Shape, Text};
use crate::length::{Length, MM_PER_INCH, POINTS_PER_INCH};
use crate::paper::{Flip, Page, Placed};
use crate::parallel;
use crate::size::LONGEST_SIDE;
use fonts::Fonts;

pub use outline::Bookmark;

/// The version that has every viewer preference used here (ISO 32000-1, table 150).
const PDF_VERSION: &str = "1.7";
/// Two pages are of one size when their sides differ by less than this, millimetres.
const SAME_SIZE_MM: f64 = 1e-6;
/// Widths in a PDF font are whole thousandths of an em (ISO 32000-1, 9.7.4.3).
const WIDTH_UNITS_PER_EM: f64 = 1000.0;
/// Matrix entries below this are rounding left over from a quarter turn.
const MATRIX_NOISE: f64 = 1e-9;
/// Of 9: more takes a fifth more time for a five-hundredth of the size.
const COMPRESSION: u32 = 6;
/// Room for the head and tail of a compressed stream, so that a short one is written at once.
const LEAST_COMPRESSED: usize = 64;
const POINTS_PER_MM: f64 = POINTS_PER_INCH / MM_PER_INCH;

/// What the file says about itself.
#[derive(Clone, Copy, Debug, Default)]
pub struct Options<'a> {
    /// The document's title, as a viewer's window shows it.
    pub title: &'a str,
    /// One sentence on what is inside.
    pub subject: &'a str,
    /// How the printer turns the paper where pages are fronts and backs by turns; `None`: it prints one side.
    pub duplex: Option<Flip>,
    /// The list of contents that a viewer shows beside the pages.
    pub bookmarks: &'a [Bookmark],
}

/// Why pages cannot become a PDF.
#[derive(Debug)]
pub enum Error {
    /// The list of pages is empty.
    NoPages,
    /// A page (counted from 1) is not of the first page's size. Some viewers squeeze every page to the first.
    UnequalPages {
        /// The page, counted from 1.
        page: usize,
        /// The first page's size, millimetres.
        first: Size,
        /// The size of this page, millimetres.
        size: Size,
    },
    /// A side is nothing, not a number, or longer than [`LONGEST_SIDE`].
    PageSize {
        /// The page, counted from 1.
        page: usize,
        /// Its size, millimetres.
        size: Size,
    },
    /// A place or width on the page is not a finite number.
    NotFinite {
        /// The page, counted from 1.
        page: usize,
    },
    /// No bundled face has this character.
    NoGlyph {
        /// The page, counted from 1.
        page: usize,
        /// The first such character on it.
        character: char,
    },
    /// A bundled face cannot be read.
    Face(FaceId),
    /// Memory did not take what was written.
    Write(std::io::Error),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::NoPages => write!(f, "there is nothing to print"),
            Error::UnequalPages { page, first, size } => write!(
                f,
                "page {page} is {} by {} mm and the first is {} by {} mm: one file holds one size of paper",
                size.width, size.height, first.width, first.height
            ),
            Error::PageSize { page, size } => write!(
                f,
                "page {page} is {} by {} mm: a page has sides of more than 0 and at most {} mm",
                size.width,
                size.height,
                LONGEST_SIDE.to_mm()
            ),
            Error::NotFinite { page } => write!(f, "something on page {page} has no finite place or width"),
            Error::NoGlyph { page, character } => {
                write!(f, "page {page} has the character {character:?}, which no bundled face can print")
            }
            Error::Face(face) => write!(f, "the bundled face {face:?} cannot be read"),
            Error::Write(error) => write!(f, "the document could not be written: {error}"),
        }
    }
}

impl std::error::Error for Error {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Error::Write(error) => Some(error),
            _ => None,
        }
    }
}

/// The pages as one PDF file; the same pages give the same bytes, on any day.
///
/// Printed ink and cutting lines are two layers, `print` and `cut`; on each page the cutting lines come last.
///
/// # Errors
/// An empty list, pages of more than one size, a page over 5 080 mm, a place that is not a number, a character that
/// no bundled face has.
pub fn pdf(pages: &[Page], options: &Options) -> Result<Vec<u8>, Error> {
    let size = page_size(pages)?;
    let mut document = PdfDocument::new(options.title);
    for layer in [Layer::Print, Layer::Cut] {
        let described = printpdf::Layer {
            name: layer.name().to_owned(),
            creator: env!("CARGO_PKG_NAME").to_owned(),
            intent: LayerIntent::Design,
            usage: LayerSubtype::Artwork,
        };
        document.resources.layers.map.insert(layer_id(layer), described);
    }
    for (index, page) in pages.iter().enumerate() {
        let mut content = Content::new(index + 1, size);
        content.page(page)?;
        let (width, height) = (Length::mm(size.width), Length::mm(size.height));
        document.pages.push(PdfPage::new(Pt(number(width)).into(), Pt(number(height)).into(), content.ops));
    }
    for font in Fonts::of(pages.iter().flat_map(texts)).embedded() {
        let (id, font) = font.map_err(Error::Face)?;
        document.resources.fonts.map.insert(id, font);
    }
    finish(&document, pages, size, options)
}

/// Every text on a page.
fn texts<'a>(page: &'a Page) -> impl Iterator<Item = &'a Text> {
    page.placed.iter().flat_map(|placed| placed.drawing.texts()).chain(page.furniture.texts())
}

fn page_size(pages: &[Page]) -> Result<Size, Error> {
    let first = pages.first().ok_or(Error::NoPages)?.size;
    for (index, Page { size, .. }) in pages.iter().enumerate() {
        let page = index + 1;
        let printable = |side: f64| side > 0.0 && side <= LONGEST_SIDE.to_mm();
        if !printable(size.width) || !printable(size.height) {
            return Err(Error::PageSize { page, size: *size });
        }
        let same = |one: f64, other: f64| (one - other).abs() < SAME_SIZE_MM;
        if !same(size.width, first.width) || !same(size.height, first.height) {
            return Err(Error::UnequalPages { page, first, size: *size });
        }
    }
    Ok(first)
}

/// Sets what the library has no words for, takes out what differs from run to run, and writes the file.
fn finish(document: &PdfDocument, pages: &[Page], size: Size, options: &Options) -> Result<Vec<u8>, Error> {
    let save = PdfSaveOptions { image_optimization: None, ..PdfSaveOptions::default() };
    let mut file = document.to_lopdf_document(&save, &mut Vec::new());
    file.version = PDF_VERSION.to_owned();
    plain_layers(&mut file);
    about::describe(&mut file, options)?;
    prefer(&mut file, options)?;
    set_boxes(&mut file, pages, size)?;
    let to_points = to_points(size);
    outline::attach(&mut file, options.bookmarks, |place| {
        let Point { x, y } = to_points * place;
        [x as f32 + 0.0, y as f32 + 0.0]
    })?;
    file.prune_objects();
    file.renumber_objects();
    compress(&mut file, pages.len())?;
    about::identify(&mut file)?;
    let mut bytes = Vec::new();
    file.save_modern(&mut bytes).map_err(Error::Write)?;
    Ok(bytes)
}

fn unwritable(error: lopdf::Error) -> Error {
    Error::Write(io::Error::other(error))
}

/// Leaves of each layer its name alone: what it is meant for and by whom it was made helps nobody.
fn plain_layers(file: &mut lopdf::Document) {
    let dictionaries = file.objects.values_mut().filter_map(|object| object.as_dict_mut().ok());
    for layer in dictionaries.filter(|dictionary| dictionary.has(b"Intent")) {
        layer.remove(b"Intent");
        layer.remove(b"Usage");
    }
}

/// What a viewer is asked to do. ISO 32000-1, 12.2: no scaling in the print dialogue, the tray that holds this size, one
/// side or two, whatever the printer would do by itself: strips must not end up on the backs of strips. The window is
/// headed with the title, not with the name of the file.
fn prefer(file: &mut lopdf::Document, options: &Options) -> Result<(), Error> {
    let catalog = file.catalog_mut().map_err(unwritable)?;
    let mut preferences =
        catalog.get(b"ViewerPreferences").and_then(lopdf::Object::as_dict).cloned().unwrap_or_default();
    preferences.set("PrintScaling", "None");
    preferences.set("PickTrayByPDFSize", true);
    preferences.set("DisplayDocTitle", true);
    let duplex = match options.duplex {
        None => "Simplex",
        Some(Flip::Long) => "DuplexFlipLongEdge",
        Some(Flip::Short) => "DuplexFlipShortEdge",
    };
    preferences.set("Duplex", duplex);
    catalog.set("ViewerPreferences", preferences);
    Ok(())
}

/// The boundaries of each page (ISO 32000-1, 14.11.2): the paper, and what is left of it when it is cut.
fn set_boxes(file: &mut lopdf::Document, pages: &[Page], size: Size) -> Result<(), Error> {
    let paper = operands(size.to_rect(), size);
    for (page_id, page) in file.page_iter().collect::<Vec<_>>().into_iter().zip(pages) {
        let dictionary = file.get_object_mut(page_id).and_then(lopdf::Object::as_dict_mut).map_err(unwritable)?;
        for name in ["MediaBox", "CropBox", "BleedBox"] {
            dictionary.set(name, paper.clone());
        }
        dictionary.set("TrimBox", operands(trimmed(page), size));
        dictionary.remove(b"Annots");
    }
    Ok(())
}

/// What is cut out of a page that holds one card, page millimetres; else the page.
fn trimmed(page: &Page) -> Rect {
    let paper = page.size.to_rect();
    match page.placed.as_slice() {
        [Placed { drawing, to_page }] => {
            let card = (page.to_file * *to_page).transform_rect_bbox(drawing.size.to_rect());
            card.intersect(paper)
        }
        _ => paper,
    }
}

/// A rectangle in page millimetres as a PDF has it: two corners, the lower left one first.
fn operands(area: Rect, size: Size) -> lopdf::Object {
    let Rect { x0, y0, x1, y1 } = to_points(size).transform_rect_bbox(area);
    [x0, y0, x1, y1].map(|side| lopdf::Object::Real(side as f32 + 0.0)).to_vec().into()
}

/// Millimetres with y down to points with y up.
fn to_points(size: Size) -> Affine {
    Affine::new([POINTS_PER_MM, 0.0, 0.0, -POINTS_PER_MM, 0.0, Length::mm(size.height).to_points()])
}

/// Compresses every stream of a file of so many pages that may be compressed, each by itself.
fn compress(file: &mut lopdf::Document, pages: usize) -> Result<(), Error> {
    let streams = file.objects.values_mut().filter_map(|object| object.as_stream_mut().ok());
    let mut plain: Vec<&mut lopdf::Stream> =
        streams.filter(|stream| stream.allows_compression && !stream.dict.has(b"Filter")).collect();
    let compressed = parallel::each(&plain, pages, |stream| compressed(&stream.content));
    for (stream, compressed) in plain.iter_mut().zip(compressed) {
        stream.set_content(compressed.map_err(Error::Write)?);
        stream.dict.set("Filter", "FlateDecode");
    }
    Ok(())
}

thread_local! {
    /// Kept from stream to stream: to clear a new one's tables takes as long as to compress a short stream.
    static COMPRESSOR: RefCell<Compress> = RefCell::new(Compress::new(Compression::new(COMPRESSION), true));
}

/// The content in the zlib format, as the filter `FlateDecode` takes it (ISO 32000-1, 7.4.4).
fn compressed(content: &[u8]) -> io::Result<Vec<u8>> {
    COMPRESSOR.with_borrow_mut(|compressor| {
        compressor.reset();
        let mut bytes = Vec::with_capacity(content.len() / 2 + LEAST_COMPRESSED);
        let mut rest = content;
        while compressor.compress_vec(rest, &mut bytes, FlushCompress::Finish)? != Status::StreamEnd {
            let taken = usize::try_from(compressor.total_in()).map_err(io::Error::other)?;
            rest = content.get(taken..).unwrap_or_default();
            bytes.reserve(bytes.len() + LEAST_COMPRESSED);
        }
        Ok(bytes)
    })
}

fn layer_id(layer: Layer) -> LayerInternalId {
    LayerInternalId(layer.name().to_owned())
}

/// An operand in points. PDF readers hold operands in single precision; 2 m then stand within 0.0001 mm.
fn number(length: Length) -> f32 {
    length.to_points() as f32
}

/// The graphics state last set, so that it is written only when it changes.
#[derive(Default)]
struct State {
    fill: Option<Colour>,
    stroke: Option<Colour>,
    width: Option<f32>,
    dash: Option<Option<(f32, f32)>>,
    font: Option<(FaceId, f32)>,
}

/// The content stream of one page as it grows.
struct Content {
    page: usize,
    /// Millimetres with y down to points with y up.
    to_points: Affine,
    state: State,
    ops: Vec<Op>,
}

impl Content {
    fn new(page: usize, size: Size) -> Self {
        Content { page, to_points: to_points(size), state: State::default(), ops: Vec::new() }
    }

    fn page(&mut self, page: &Page) -> Result<(), Error> {
        for layer in [Layer::Print, Layer::Cut] {
            self.ops.push(Op::BeginLayer { layer_id: layer_id(layer) });
            for placed in &page.placed {
                self.drawing(placed.drawing, page.to_file * placed.to_page, layer)?;
            }
            self.drawing(&page.furniture, page.to_file, layer)?;
            self.ops.push(Op::EndLayer);
        }
        Ok(())
    }

    fn drawing(&mut self, drawing: &Drawing, to_page: Affine, layer: Layer) -> Result<(), Error> {
        let place = self.to_points * to_page;
        for Read { shapes, words } in reading::in_order(drawing, layer) {
            if let Some(words) = &words {
                self.begin_words(words);
            }
            for shape in shapes {
                match shape {
                    Shape::Fill { path, colour } => self.fill(path, *colour, place)?,
                    Shape::Stroke { path, colour, width, dash } => self.stroke(path, *colour, *width, *dash, place)?,
                    Shape::Text(text) => self.text(text, place)?,
                }
            }
            if words.is_some() {
                self.ops.push(Op::EndMarkedContent);
            }
        }
        Ok(())
    }

    /// Says what is written up to the end of this marked content (ISO 32000-1, 14.9.4).
    fn begin_words(&mut self, words: &str) {
        let lopdf::Object::String(data, _) = lopdf::text_string(words) else { return };
        let words = DictItem::String { data, literal: false };
        let properties = DictItem::Dict { map: [("ActualText".to_owned(), words)].into() };
        self.ops.push(Op::BeginMarkedContentWithProperties { tag: "Span".to_owned(), properties });
    }

    fn fill(&mut self, path: &BezPath, colour: Colour, place: Affine) -> Result<(), Error> {
        self.fill_colour(colour);
        let rings = self.subpaths(path, place)?.into_iter().map(|line| PolygonRing { points: line.points }).collect();
        self.ops.push(Op::DrawPolygon { polygon: Polygon { rings, ..Polygon::default() } });
        Ok(())
    }

    fn stroke(
        &mut self,
        path: &BezPath,
        colour: Colour,
        width: f64,
        dash: Option<(f64, f64)>,
        place: Affine,
    ) -> Result<(), Error> {
        // The pen is round in both directions; a printer's correction of a percent shows in places, not in widths.
        let scale = place.determinant().abs().sqrt();
        if self.state.stroke != Some(colour) {
            self.state.stroke = Some(colour);
            self.ops.push(Op::SetOutlineColor { col: ink(colour) });
        }
        let width = self.finite(width * scale)?;
        if self.state.width != Some(width) {
            self.state.width = Some(width);
            self.ops.push(Op::SetOutlineThickness { pt: Pt(width) });
        }
        let dash = match dash {
            Some((on, off)) => Some((self.finite(on * scale)?, self.finite(off * scale)?)),
            None => None,
        };
        if self.state.dash.unwrap_or(None) != dash {
            let pattern = dash.map_or_else(LineDashPattern::solid, |(on, off)| LineDashPattern::new(0.0, &[on, off]));
            self.ops.push(Op::SetLineDashPattern { dash: pattern });
        }
        self.state.dash = Some(dash);
        for line in self.subpaths(path, place)? {
            self.ops.push(Op::DrawLine { line });
        }
        Ok(())
    }

    /// One line of text, as runs of glyphs of one face, each run placed by the exact sum of the advances before it.
    fn text(&mut self, text: &Text, place: Affine) -> Result<(), Error> {
        if let Some(character) = text.content.chars().find(|one| font::glyph(*one, text.weight).is_none()) {
            return Err(Error::NoGlyph { page: self.page, character });
        }
        if text.content.is_empty() {
            return Ok(());
        }
        self.fill_colour(text.colour);
        let size = self.finite(Length::mm(text.em).to_points())?;
        self.ops.push(Op::StartTextSection);
        let to_page = place * Affine::translate(text.origin.to_vec2()) * Affine::rotate(text.turn);
        let placed: Vec<drawing::Placed> = text.placed().collect();
        for run in placed.chunk_by(|one, next| one.glyph.face == next.glyph.face) {
            let drawing::Placed { glyph: Glyph { face, .. }, at, em } = run[0];
            if self.state.font != Some((face, size)) {
                self.state.font = Some((face, size));
                let font = PdfFontHandle::External(fonts::id(face));
                self.ops.push(Op::SetFont { font, size: Pt(size) });
            }
            // Text space is points with y up about the run's start (ISO 32000-1, 9.4.4).
            let to_page = to_page
                * Affine::translate(at)
                * Affine::scale(em / text.em)
                * Affine::scale_non_uniform(POINTS_PER_MM.recip(), -POINTS_PER_MM.recip());
            let mut matrix = [0.0; 6];
            for (entry, exact) in matrix.iter_mut().zip(to_page.as_coeffs()) {
                *entry = self.finite(if exact.abs() < MATRIX_NOISE { 0.0 } else { exact })?;
            }
            self.ops.push(Op::SetTextMatrix { matrix: TextMatrix::Raw(matrix) });
            self.ops.push(Op::ShowText { items: shown(run) });
        }
        self.ops.push(Op::EndTextSection);
        Ok(())
    }

    fn fill_colour(&mut self, colour: Colour) {
        if self.state.fill != Some(colour) {
            self.state.fill = Some(colour);
            self.ops.push(Op::SetFillColor { col: ink(colour) });
        }
    }

    /// The path's pieces in points on the page, quadratic curves raised to cubic, the only kind a PDF has.
    fn subpaths(&self, path: &BezPath, place: Affine) -> Result<Vec<Line>, Error> {
        let mut lines = Vec::new();
        for piece in path.elements().chunk_by(|_, next| !matches!(next, PathEl::MoveTo(_))) {
            let mut line = Line::default();
            let mut current = Point::ZERO;
            for element in piece {
                match place * *element {
                    PathEl::MoveTo(end) | PathEl::LineTo(end) => {
                        line.points.push(self.corner(end, false)?);
                        current = end;
                    }
                    PathEl::QuadTo(control, end) => {
                        let cubic = QuadBez::new(current, control, end).raise();
                        self.curve(&mut line, cubic)?;
                        current = end;
                    }
                    PathEl::CurveTo(first, second, end) => {
                        self.curve(&mut line, CubicBez::new(current, first, second, end))?;
                        current = end;
                    }
                    PathEl::ClosePath => line.is_closed = true,
                }
            }
            lines.push(line);
        }
        Ok(lines)
    }

    fn curve(&self, line: &mut Line, curve: CubicBez) -> Result<(), Error> {
        for (point, handle) in [(curve.p1, true), (curve.p2, true), (curve.p3, false)] {
            line.points.push(self.corner(point, handle)?);
        }
        Ok(())
    }

    fn corner(&self, point: Point, bezier: bool) -> Result<LinePoint, Error> {
        let p = printpdf::Point { x: Pt(self.finite(point.x)?), y: Pt(self.finite(point.y)?) };
        Ok(LinePoint { p, bezier })
    }

    /// The number as an operand, without a negative 0.
    fn finite(&self, exact: f64) -> Result<f32, Error> {
        let operand = exact as f32;
        if operand.is_finite() { Ok(operand + 0.0) } else { Err(Error::NotFinite { page: self.page }) }
    }
}

/// The characters of a run and, after each glyph whose width in the font is rounded down, what is left to its advance.
fn shown(run: &[drawing::Placed]) -> Vec<TextItem> {
    let mut items = Vec::new();
    let mut characters = String::new();
    for drawing::Placed { glyph, .. } in run {
        characters.push(glyph.character);
        let advance = glyph.advance * WIDTH_UNITS_PER_EM;
        let left = ((advance + MATRIX_NOISE).floor() - advance) as f32;
        if left != 0.0 {
            items.extend([TextItem::Text(mem::take(&mut characters)), TextItem::Offset(left)]);
        }
    }
    if !characters.is_empty() {
        items.push(TextItem::Text(characters));
    }
    items
}

/// Greys as grey, so that black text is black ink alone.
fn ink(colour: Colour) -> Color {
    if colour.red == colour.green && colour.green == colour.blue {
        Color::Greyscale(Greyscale::new(colour.red, None))
    } else {
        Color::Rgb(Rgb::new(colour.red, colour.green, colour.blue, None))
    }
}
