//! PDF pages and SVG drawings as pictures: a page as `mutool` reads it, which shares no code with us, and both drawn by one
//! hand, so that a difference is one of the files and not of two ideas of a soft edge.

use std::path::Path;
use std::process::Command;

use resvg::tiny_skia::{Color, Pixmap, Transform};
use resvg::usvg;

const MM_PER_INCH: f64 = 25.4;
/// Side of the square over which a difference is averaged, pixels.
const WINDOW: usize = 8;
/// Step from one square to the next, pixels.
const STRIDE: usize = 4;

/// An opaque picture.
#[derive(Clone, Debug)]
pub struct Raster {
    pub width: usize,
    pub height: usize,
    pub dots_per_inch: f64,
    /// Red, green, blue and 255 of each pixel, as the renderer leaves them: a page has nine million.
    bytes: Vec<u8>,
}

/// How far two pictures differ, of 255.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// The largest mean over any 8 × 8 window.
    pub worst_window: f64,
    /// Where that window is, millimetres from the top left.
    pub window_at: (f64, f64),
    /// The largest of any pixel.
    pub worst_pixel: u8,
    /// Where that pixel is, millimetres from the top left.
    pub pixel_at: (f64, f64),
}

impl Raster {
    /// A page of a PDF (counted from 1) as `mutool` reads it.
    pub fn of_pdf(bytes: &[u8], page: usize, dots_per_inch: f64) -> Raster {
        Raster::by_printer(bytes, page, dots_per_inch, (1.0, 1.0))
    }

    /// The same by a printer that makes everything so many times as wide and as high.
    pub fn by_printer(bytes: &[u8], page: usize, dots_per_inch: f64, stretch: (f64, f64)) -> Raster {
        let folder = tempfile::tempdir().expect("a folder");
        let pdf = folder.path().join("in.pdf");
        std::fs::write(&pdf, bytes).expect("a file");
        let said = Command::new("mutool")
            .args(["draw", "-q", "-F", "svg", "-o"])
            .arg(folder.path().join("page-%d.svg"))
            .arg(&pdf)
            .arg(page.to_string())
            .output()
            .expect("mutool is needed for this test: install mupdf-tools");
        assert!(said.status.success(), "mutool: {}", String::from_utf8_lossy(&said.stderr));
        let read = std::fs::read_to_string(folder.path().join(format!("page-{page}.svg"))).expect("a page");
        Raster::drawn(&read, dots_per_inch, stretch)
    }

    /// An SVG drawn by `resvg`.
    pub fn of_svg(source: &str, dots_per_inch: f64) -> Raster {
        Raster::drawn(source, dots_per_inch, (1.0, 1.0))
    }

    fn drawn(source: &str, dots_per_inch: f64, stretch: (f64, f64)) -> Raster {
        let tree = usvg::Tree::from_str(source, &usvg::Options::default()).expect("a readable SVG");
        let scale = |stretch: f64| (dots_per_inch / 96.0 * stretch) as f32;
        let (across, along) = (scale(stretch.0), scale(stretch.1));
        let side = |length: f32| (length.round() as u32).max(1);
        let (width, height) = (side(tree.size().width() * across), side(tree.size().height() * along));
        let mut drawn = Pixmap::new(width, height).expect("a picture");
        drawn.fill(Color::WHITE);
        resvg::render(&tree, Transform::from_scale(across, along), &mut drawn.as_mut());
        Raster { width: width as usize, height: height as usize, dots_per_inch, bytes: drawn.take() }
    }

    /// A picture from a PNG file's bytes; its resolution is what the file says.
    pub fn of_png(bytes: &[u8]) -> Raster {
        let mut reader = png::Decoder::new(std::io::Cursor::new(bytes)).read_info().expect("a PNG");
        let dots = reader.info().pixel_dims.expect("a resolution");
        assert!(dots.unit == png::Unit::Meter && dots.xppu == dots.yppu, "square pixels of a known size");
        let dots_per_inch = f64::from(dots.xppu) * MM_PER_INCH / 1000.0;
        let mut data = vec![0; reader.output_buffer_size().expect("a picture that fits in memory")];
        let frame = reader.next_frame(&mut data).expect("a whole PNG");
        let pixels: Vec<[u8; 4]> = match frame.color_type {
            png::ColorType::Grayscale => data.iter().map(|grey| [*grey, *grey, *grey, 255]).collect(),
            png::ColorType::Rgb => data.chunks_exact(3).map(|pixel| [pixel[0], pixel[1], pixel[2], 255]).collect(),
            other => panic!("{other:?}: neither grey nor colour"),
        };
        let (width, height) = (frame.width as usize, frame.height as usize);
        Raster { width, height, dots_per_inch, bytes: pixels.into_flattened() }
    }

    /// How dark a pixel is: 0 white, 255 black.
    pub fn ink(&self, x: usize, y: usize) -> f64 {
        let [red, green, blue] = self.pixel(x, y);
        255.0 - (f64::from(red) + f64::from(green) + f64::from(blue)) / 3.0
    }

    pub fn pixel(&self, x: usize, y: usize) -> [u8; 3] {
        let at = (y * self.width + x) * 4;
        [self.bytes[at], self.bytes[at + 1], self.bytes[at + 2]]
    }

    /// The first so many pixels of a row.
    fn row(&self, y: usize, width: usize) -> &[u8] {
        &self.bytes[y * self.width * 4..][..width * 4]
    }

    /// Millimetres to pixels.
    pub fn to_pixels(&self, millimetres: f64) -> f64 {
        millimetres / MM_PER_INCH * self.dots_per_inch
    }

    /// Centre of the ink, across the page in millimetres, between two heights and between two sides.
    pub fn ink_centre(&self, x_mm: (f64, f64), y_mm: (f64, f64)) -> Option<f64> {
        let columns =
            self.to_pixels(x_mm.0).round() as usize..(self.to_pixels(x_mm.1).round() as usize).min(self.width);
        let rows = self.to_pixels(y_mm.0).round() as usize..(self.to_pixels(y_mm.1).round() as usize).min(self.height);
        let (mut moment, mut total) = (0.0, 0.0);
        for y in rows {
            for x in columns.clone() {
                moment += self.ink(x, y) * (x as f64 + 0.5);
                total += self.ink(x, y);
            }
        }
        (total > 0.0).then(|| moment / total / self.dots_per_inch * MM_PER_INCH)
    }

    /// The picture turned a quarter to the left, anticlockwise.
    pub fn turned_left(&self) -> Raster {
        self.turned(|x, y| (self.width - 1 - y, x))
    }

    /// The picture turned a quarter to the right, clockwise.
    pub fn turned_right(&self) -> Raster {
        self.turned(|x, y| (y, self.height - 1 - x))
    }

    /// The picture lying on its side, each of its pixels fetched from a place of this one.
    fn turned(&self, from: impl Fn(usize, usize) -> (usize, usize)) -> Raster {
        let (width, height) = (self.height, self.width);
        let mut bytes = Vec::with_capacity(self.bytes.len());
        for y in 0..height {
            for x in 0..width {
                let (across, down) = from(x, y);
                let at = (down * self.width + across) * 4;
                bytes.extend_from_slice(&self.bytes[at..at + 4]);
            }
        }
        Raster { width, height, dots_per_inch: self.dots_per_inch, bytes }
    }

    /// Compares two pictures of one scene; their sides may differ by the pixel that rounding costs.
    pub fn difference(&self, other: &Raster) -> Difference {
        assert!(self.width.abs_diff(other.width) <= 1 && self.height.abs_diff(other.height) <= 1, "of one size");
        let (width, height) = (self.width.min(other.width), self.height.min(other.height));
        let to_mm = |pixels: usize| pixels as f64 / self.dots_per_inch * MM_PER_INCH;
        // What each square of a stride's side adds to a window; most of two pictures that agree is alike, byte by byte.
        let across = width.div_ceil(STRIDE);
        let mut squares = vec![0_u32; across * height.div_ceil(STRIDE)];
        let mut worst = Difference { worst_window: 0.0, window_at: (0.0, 0.0), worst_pixel: 0, pixel_at: (0.0, 0.0) };
        for y in 0..height {
            let (one, other) = (self.row(y, width), other.row(y, width));
            if one == other {
                continue;
            }
            for (square, (one, other)) in one.chunks(STRIDE * 4).zip(other.chunks(STRIDE * 4)).enumerate() {
                if one == other {
                    continue;
                }
                for (index, (one, other)) in one.chunks(4).zip(other.chunks(4)).enumerate() {
                    let apart = (0..3).map(|channel| one[channel].abs_diff(other[channel])).max().unwrap_or(0);
                    squares[y / STRIDE * across + square] += u32::from(apart);
                    if apart > worst.worst_pixel {
                        worst.worst_pixel = apart;
                        worst.pixel_at = (to_mm(square * STRIDE + index), to_mm(y));
                    }
                }
            }
        }
        const SQUARES: usize = WINDOW / STRIDE;
        for top in 0..(height / STRIDE + 1).saturating_sub(SQUARES) {
            for left in 0..(width / STRIDE + 1).saturating_sub(SQUARES) {
                let row = |row: usize| (top + row) * across + left;
                let sum: u32 = (0..SQUARES).flat_map(|of| &squares[row(of)..row(of) + SQUARES]).sum();
                let mean = f64::from(sum) / (WINDOW * WINDOW) as f64;
                if mean > worst.worst_window {
                    worst = Difference {
                        worst_window: mean,
                        window_at: (to_mm(left * STRIDE), to_mm(top * STRIDE)),
                        ..worst
                    };
                }
            }
        }
        worst
    }

    /// Writes the picture for a person to look at.
    pub fn save(&self, path: &Path) {
        let file = std::fs::File::create(path).expect("a file");
        let mut encoder = png::Encoder::new(file, self.width as u32, self.height as u32);
        encoder.set_color(png::ColorType::Rgba);
        let mut writer = encoder.write_header().expect("a header");
        writer.write_image_data(&self.bytes).expect("a picture");
    }
}
