//! A drawing as a PNG picture on a white ground. Knows pixels, nothing of what they show.

use std::fmt;
use std::io::Write as _;

use kurbo::Size;
use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg;

use crate::drawing::Drawing;
use crate::length::MM_PER_INCH;
use crate::limits::MAX_PIXELS;
use crate::output::svg;
use crate::parallel::Room;

/// Dots per inch of a preview that is sharp at arm's length.
pub const DOTS_PER_INCH: f64 = 300.0;
/// Pixels in an inch of SVG (CSS Values and Units 3, 5.2).
const SVG_PIXELS_PER_INCH: f64 = 96.0;
const MM_PER_METRE: f64 = 1000.0;
/// The pixels of all pictures in the making: one of the largest, or many small ones.
static IN_THE_MAKING: Room = Room::of(MAX_PIXELS);

/// Why a drawing cannot become a picture.
#[derive(Debug)]
pub enum Error {
    /// Not a positive number of dots per inch.
    Resolution(f64),
    /// More than [`MAX_PIXELS`], or none at all.
    Pixels {
        /// Pixels across.
        width: f64,
        /// Pixels down.
        height: f64,
    },
    /// The SVG it is drawn from could not be read.
    Draw(usvg::Error),
    /// The picture could not be compressed.
    Write(png::EncodingError),
}

impl fmt::Display for Error {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Error::Resolution(dots) => write!(f, "a picture cannot have {dots} dots per inch: 300 is usual"),
            Error::Pixels { width, height } => write!(
                f,
                "a picture of {width} by {height} pixels is more than {MAX_PIXELS} or none: ask for fewer dots per inch"
            ),
            Error::Draw(error) => write!(f, "the picture could not be drawn: {error}"),
            Error::Write(error) => write!(f, "the picture could not be written: {error}"),
        }
    }
}

impl std::error::Error for Error {
    fn source(&self) -> Option<&(dyn std::error::Error + 'static)> {
        match self {
            Error::Draw(error) => Some(error),
            Error::Write(error) => Some(error),
            _ => None,
        }
    }
}

/// [`DOTS_PER_INCH`], or for a drawing too large for that, as many whole dots as a picture of it may have.
///
/// ```
/// use cockpit_cards::output::png::most_dots_per_inch;
/// use kurbo::Size;
///
/// assert_eq!(most_dots_per_inch(Size::new(2000.0, 25.0)), 300.0);
/// // A strip that goes three quarters around a wheel:
/// assert!(most_dots_per_inch(Size::new(1600.0, 1400.0)) < 150.0);
/// ```
pub fn most_dots_per_inch(size: Size) -> f64 {
    // Each side may be rounded up to a whole pixel.
    let most = (MAX_PIXELS as f64 / size.area()).sqrt() * MM_PER_INCH;
    DOTS_PER_INCH.min((most - 1.0).floor().max(1.0))
}

/// The drawing as a PNG of `dots_per_inch` that says its resolution, so that it opens at its true size.
///
/// Pictures may be made at once, on as many threads as there are: those that together have more than [`MAX_PIXELS`] wait for
/// one another.
///
/// # Errors
/// A resolution that is not a positive number, or a picture of more than [`MAX_PIXELS`].
pub fn png(drawing: &Drawing, dots_per_inch: f64) -> Result<Vec<u8>, Error> {
    let (width, height) = pixels(drawing, dots_per_inch)?;
    let _room = IN_THE_MAKING.take(u64::from(width) * u64::from(height));
    encode(&picture(drawing, (width, height), dots_per_inch)?, dots_per_inch).map_err(Error::Write)
}

/// How many pixels a picture has across and down.
fn pixels(drawing: &Drawing, dots_per_inch: f64) -> Result<(u32, u32), Error> {
    if !dots_per_inch.is_finite() || dots_per_inch <= 0.0 {
        return Err(Error::Resolution(dots_per_inch));
    }
    let width = (drawing.size.width / MM_PER_INCH * dots_per_inch).round();
    let height = (drawing.size.height / MM_PER_INCH * dots_per_inch).round();
    if width >= 1.0 && height >= 1.0 && width * height <= MAX_PIXELS as f64 {
        Ok((width as u32, height as u32))
    } else {
        Err(Error::Pixels { width, height })
    }
}

fn picture(drawing: &Drawing, (width, height): (u32, u32), dots_per_inch: f64) -> Result<Pixmap, Error> {
    let too_big = || Error::Pixels { width: f64::from(width), height: f64::from(height) };
    let mut pixmap = Pixmap::new(width, height).ok_or_else(too_big)?;
    pixmap.fill(Color::WHITE);
    let source = svg::svg(drawing, svg::Options::default()).into_string();
    let tree = usvg::Tree::from_str(&source, &usvg::Options::default()).map_err(Error::Draw)?;
    let scale = (dots_per_inch / SVG_PIXELS_PER_INCH) as f32;
    resvg::render(&tree, Transform::from_scale(scale, scale), &mut pixmap.as_mut());
    Ok(pixmap)
}

fn encode(pixmap: &Pixmap, dots_per_inch: f64) -> Result<Vec<u8>, png::EncodingError> {
    // The ground is opaque, so every pixel is; its fourth channel says nothing. Most cards have no colour either.
    let pixels = pixmap.pixels();
    let is_grey = pixels.iter().all(|pixel| pixel.red() == pixel.green() && pixel.green() == pixel.blue());
    let colour_type = if is_grey { png::ColorType::Grayscale } else { png::ColorType::Rgb };
    let per_metre = (dots_per_inch * MM_PER_METRE / MM_PER_INCH).round() as u32;
    let mut bytes = Vec::new();
    let mut encoder = png::Encoder::new(&mut bytes, pixmap.width(), pixmap.height());
    encoder.set_color(colour_type);
    encoder.set_depth(png::BitDepth::Eight);
    encoder.set_pixel_dims(Some(png::PixelDimensions { xppu: per_metre, yppu: per_metre, unit: png::Unit::Meter }));
    let mut writer = encoder.write_header()?;
    // Row by row: all channels at once would take half as much memory again as the picture.
    let mut rows = writer.stream_writer()?;
    let mut row: Vec<u8> = Vec::new();
    for pixels in pixels.chunks(pixmap.width() as usize) {
        row.clear();
        match is_grey {
            true => row.extend(pixels.iter().map(|pixel| pixel.red())),
            false => row.extend(pixels.iter().flat_map(|pixel| [pixel.red(), pixel.green(), pixel.blue()])),
        }
        rows.write_all(&row)?;
    }
    rows.finish()?;
    writer.finish()?;
    Ok(bytes)
}
