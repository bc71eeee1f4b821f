//! Pages as a PDF document, true to size. Knows drawings and paper sizes, nothing of what the drawings say.
//!
//! Lengths stay `f64` millimetres until an operand is written; every coordinate in the content stream is then an
//! absolute place on the page in points, so a reader can measure a mark without following any transformation.

mod about;
mod content;
mod file;
mod fonts;
mod outline;

use std::fmt;

use kurbo::{Affine, Point, Rect, Size};
use pdf_writer::types::PageLayout;
use pdf_writer::writers::{Catalog, Resources};
use pdf_writer::{Name, Ref, TextStr};

use crate::drawing::font::FaceId;
use crate::drawing::{Layer, Text};
use crate::length::{Length, MM_PER_INCH, POINTS_PER_INCH};
use crate::paper::{Flip, Page, Placed};
use crate::parallel;
use crate::size::LONGEST_SIDE;
use content::Content;
use file::{File, compressed};
use fonts::Fonts;

pub use outline::Bookmark;

/// Two pages are of one size when their sides differ by less than this, millimetres.
const SAME_SIZE_MM: f64 = 1e-6;
/// A place on the paper nearer to its edge than this is at its edge: what is left over from rounding, points.
const PLACE_NOISE: f64 = 1e-9;
const POINTS_PER_MM: f64 = POINTS_PER_INCH / MM_PER_INCH;
/// Layers in the order in which they lie on a page: ink first, then the lines to cut along.
const LAYERS: [Layer; 2] = [Layer::Print, Layer::Cut];

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
    let fonts = Fonts::of(pages.iter().flat_map(texts));
    let numbered: Vec<(usize, &Page)> = (1..).zip(pages).collect();
    let content = |(number, page): &(usize, &Page)| {
        compressed(&Content::of(*number, page, to_points(size), &fonts)?).map_err(Error::Write)
    };
    let (contents, faces) =
        parallel::both(pages.len(), || parallel::each(&numbered, pages.len(), content), || fonts.cut(pages.len()));

    let mut file = File::new();
    let catalog = file.number();
    let layers = layers(&mut file);
    let fonts = fonts.write(faces?, &mut file)?;
    let resources = resources(&mut file, &layers, &fonts);
    let (tree, page_ids) = write_pages(&mut file, pages, contents, size, resources)?;
    let outline = outline::write(&mut file, options.bookmarks, &page_ids, |place| {
        let Point { x, y } = to_points(size) * place;
        [x as f32 + 0.0, y as f32 + 0.0]
    });
    let information = about::information(&mut file, options);
    let metadata = about::metadata(&mut file, options)?;
    file.object(catalog, |objects| {
        let mut catalog = objects.indirect(catalog).start::<Catalog>();
        catalog.pages(tree).page_layout(PageLayout::OneColumn).metadata(metadata).lang(TextStr(about::LANGUAGE));
        if let Some(outline) = outline {
            catalog.outlines(outline);
        }
        describe_layers(&mut catalog, &layers.map(|(_, id)| id));
        prefer(&mut catalog, options);
    });
    file.finish(catalog, information)
}

/// Writes the layers (ISO 32000-1, 8.11.2.1), each under its name alone; the name of each and its number.
fn layers(file: &mut File) -> [(Name<'static>, Ref); LAYERS.len()] {
    LAYERS.map(|layer| {
        let (id, name) = (file.number(), layer.name());
        file.object(id, |objects| {
            objects.indirect(id).dict().pair(Name(b"Type"), Name(b"OCG")).pair(Name(b"Name"), TextStr(name));
        });
        (Name(name.as_bytes()), id)
    })
}

/// Writes what all pages call by a name.
fn resources(file: &mut File, layers: &[(Name<'static>, Ref)], fonts: &[(&'static str, Ref)]) -> Ref {
    let id = file.number();
    file.object(id, |objects| {
        let mut resources = objects.indirect(id).start::<Resources>();
        resources.insert(Name(b"Properties")).dict().pairs(layers.iter().copied());
        resources.fonts().pairs(fonts.iter().map(|(name, id)| (Name(name.as_bytes()), *id)));
    });
    id
}

/// Writes the pages with what they show; their tree and the number of each.
fn write_pages(
    file: &mut File,
    pages: &[Page],
    contents: Vec<Result<Vec<u8>, Error>>,
    size: Size,
    resources: Ref,
) -> Result<(Ref, Vec<Ref>), Error> {
    let tree = file.number();
    let mut ids = Vec::with_capacity(pages.len());
    for (page, content) in pages.iter().zip(contents) {
        let stream = file.number();
        file.compressed_stream(stream, &content?, |_| {})?;
        let id = file.number();
        file.object(id, |objects| {
            let mut written = objects.page(id);
            let paper = operands(size.to_rect(), size);
            // The boundaries of a page (ISO 32000-1, 14.11.2): the paper, and what is left of it when it is cut.
            written.media_box(paper).crop_box(paper).bleed_box(paper).trim_box(operands(trimmed(page), size));
            written.parent(tree).contents(stream).pair(Name(b"Resources"), resources);
        });
        ids.push(id);
    }
    let count = i32::try_from(ids.len()).unwrap_or(i32::MAX);
    file.object(tree, |objects| {
        objects.pages(tree).kids(ids.iter().copied()).count(count);
    });
    Ok((tree, ids))
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

/// Lists the layers, all of them shown (ISO 32000-1, 8.11.4).
fn describe_layers(catalog: &mut Catalog, layers: &[Ref]) {
    let mut properties = catalog.insert(Name(b"OCProperties")).dict();
    properties.insert(Name(b"OCGs")).array().items(layers);
    let mut shown = properties.insert(Name(b"D")).dict();
    shown.insert(Name(b"ON")).array().items(layers);
    shown.insert(Name(b"Order")).array().items(layers);
}

/// What a viewer is asked to do. ISO 32000-1, 12.2: no scaling in the print dialogue, the tray that holds this size, one
/// side or two, whatever the printer would do by itself: strips must not end up on the backs of strips. The window is
/// headed with the title, not with the name of the file.
fn prefer(catalog: &mut Catalog, options: &Options) {
    let duplex: &[u8] = match options.duplex {
        None => b"Simplex",
        Some(Flip::Long) => b"DuplexFlipLongEdge",
        Some(Flip::Short) => b"DuplexFlipShortEdge",
    };
    let mut preferences = catalog.viewer_preferences();
    preferences.display_doc_title(true);
    preferences.pair(Name(b"PrintScaling"), Name(b"None"));
    preferences.pair(Name(b"PickTrayByPDFSize"), true);
    preferences.pair(Name(b"Duplex"), Name(duplex));
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
fn operands(area: Rect, size: Size) -> pdf_writer::Rect {
    let Rect { x0, y0, x1, y1 } = to_points(size).transform_rect_bbox(area);
    let [x0, y0, x1, y1] = [x0, y0, x1, y1].map(|side| if side.abs() < PLACE_NOISE { 0.0 } else { side as f32 });
    pdf_writer::Rect::new(x0, y0, x1, y1)
}

/// Millimetres with y down to points with y up.
fn to_points(size: Size) -> Affine {
    Affine::new([POINTS_PER_MM, 0.0, 0.0, -POINTS_PER_MM, 0.0, Length::mm(size.height).to_points()])
}
