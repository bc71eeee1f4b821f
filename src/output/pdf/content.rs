//! What one page shows, as the operators of a content stream (ISO 32000-1, 7.8.2). Knows shapes and glyphs, not what they say.

use std::mem;

use kurbo::{Affine, BezPath, CubicBez, PathEl, Point, QuadBez};
use pdf_writer::{Name, Settings, Str, TextStr};

use super::fonts::{Fonts, name};
use super::{Error, LAYERS, POINTS_PER_MM};
use crate::drawing::font::{self, FaceId, Glyph};
use crate::drawing::reading::{self, Read};
use crate::drawing::{self, Colour, Drawing, Layer, Shape, Text};
use crate::length::Length;
use crate::paper::Page;

/// Widths in a PDF font are whole thousandths of an em (ISO 32000-1, 9.7.4.3).
const WIDTH_UNITS_PER_EM: f64 = 1000.0;
/// Matrix entries below this are rounding left over from a quarter turn.
const MATRIX_NOISE: f64 = 1e-9;
/// No operand is larger: far more than any page measures, and less than the whole numbers of a reader hold (ISO 32000-1, annex C).
const MOST_POINTS: f32 = 1e9;
/// A start of a page's length, to begin with.
const USUAL_LENGTH: usize = 1 << 14;

/// The graphics state last set, so that it is written only when it changes.
#[derive(Default)]
struct State {
    fill: Option<Colour>,
    stroke: Option<Colour>,
    width: Option<f32>,
    dash: Option<(f32, f32)>,
    font: Option<(FaceId, f32)>,
}

/// The content stream of one page as it grows.
pub struct Content<'a> {
    /// Counted from 1.
    page: usize,
    /// Millimetres with y down to points with y up.
    to_points: Affine,
    fonts: &'a Fonts,
    state: State,
    operators: pdf_writer::Content,
    /// The glyphs of a run, kept for its room.
    shown: Vec<u8>,
}

impl<'a> Content<'a> {
    /// The content stream of a page, counted from 1.
    ///
    /// # Errors
    /// A place or width that is not a number, a character that no bundled face has.
    pub fn of(number: usize, page: &Page, to_points: Affine, fonts: &'a Fonts) -> Result<Vec<u8>, Error> {
        let operators = pdf_writer::Content::with_settings_and_capacity(Settings { pretty: false }, USUAL_LENGTH);
        let state = State::default();
        let mut content = Content { page: number, to_points, fonts, state, operators, shown: Vec::new() };
        for layer in LAYERS {
            let mark = content.operators.begin_marked_content_with_properties(Name(b"OC"));
            mark.properties_named(Name(layer.name().as_bytes()));
            for placed in &page.placed {
                content.drawing(placed.drawing, page.to_file * placed.to_page, layer)?;
            }
            content.drawing(&page.furniture, page.to_file, layer)?;
            content.operators.end_marked_content();
        }
        Ok(content.operators.finish().into_vec())
    }

    fn drawing(&mut self, drawing: &Drawing, to_page: Affine, layer: Layer) -> Result<(), Error> {
        let place = self.to_points * to_page;
        for Read { shapes, words } in reading::in_order(drawing, layer) {
            if let Some(words) = &words {
                // Says what is written up to the end of this marked content (ISO 32000-1, 14.9.4).
                let mut mark = self.operators.begin_marked_content_with_properties(Name(b"Span"));
                mark.properties().actual_text(TextStr(words));
            }
            for shape in shapes {
                match shape {
                    Shape::Fill { path, colour } => self.fill(path, *colour, place)?,
                    Shape::Stroke { path, colour, width, dash } => self.stroke(path, *colour, *width, *dash, place)?,
                    Shape::Text(text) => self.text(text, place)?,
                }
            }
            if words.is_some() {
                self.operators.end_marked_content();
            }
        }
        Ok(())
    }

    fn fill(&mut self, path: &BezPath, colour: Colour, place: Affine) -> Result<(), Error> {
        self.fill_colour(colour);
        self.path(path, place)?;
        self.operators.fill_nonzero();
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
            match as_grey(colour) {
                Some(grey) => self.operators.set_stroke_gray(grey),
                None => self.operators.set_stroke_rgb(colour.red, colour.green, colour.blue),
            };
        }
        let width = self.finite(width * scale)?;
        if self.state.width != Some(width) {
            self.state.width = Some(width);
            self.operators.set_line_width(width);
        }
        let dash = match dash {
            Some((on, off)) => Some((self.finite(on * scale)?, self.finite(off * scale)?)),
            None => None,
        };
        if self.state.dash != dash {
            self.state.dash = dash;
            self.operators.set_dash_pattern(dash.into_iter().flat_map(|(on, off)| [on, off]), 0.0);
        }
        self.path(path, place)?;
        self.operators.stroke();
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
        self.operators.begin_text();
        let to_page = place * Affine::translate(text.origin.to_vec2()) * Affine::rotate(text.turn);
        let placed: Vec<drawing::Placed> = text.placed().collect();
        for run in placed.chunk_by(|one, next| one.glyph.face == next.glyph.face) {
            let drawing::Placed { glyph: Glyph { face, .. }, at, em } = run[0];
            if self.state.font != Some((face, size)) {
                self.state.font = Some((face, size));
                self.operators.set_font(Name(name(face).as_bytes()), size);
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
            self.operators.set_text_matrix(matrix);
            self.run(run)?;
        }
        self.operators.end_text();
        Ok(())
    }

    /// The glyphs of a run and, after each whose width in the font is rounded down, what is left to its advance.
    fn run(&mut self, run: &[drawing::Placed]) -> Result<(), Error> {
        let mut glyphs = mem::take(&mut self.shown);
        glyphs.clear();
        let left = |glyph: &Glyph| {
            let advance = glyph.advance * WIDTH_UNITS_PER_EM;
            ((advance + MATRIX_NOISE).floor() - advance) as f32
        };
        if run.iter().all(|placed| left(&placed.glyph) == 0.0) {
            for placed in run {
                glyphs.extend(self.fonts.number(placed.glyph)?.to_be_bytes());
            }
            self.operators.show(Str(&glyphs));
        } else {
            let mut operator = self.operators.show_positioned();
            let mut items = operator.items();
            for placed in run {
                glyphs.extend(self.fonts.number(placed.glyph)?.to_be_bytes());
                let left = left(&placed.glyph);
                if left != 0.0 {
                    items.show(Str(&glyphs)).adjust(left);
                    glyphs.clear();
                }
            }
            if !glyphs.is_empty() {
                items.show(Str(&glyphs));
            }
        }
        self.shown = glyphs;
        Ok(())
    }

    fn fill_colour(&mut self, colour: Colour) {
        if self.state.fill != Some(colour) {
            self.state.fill = Some(colour);
            match as_grey(colour) {
                Some(grey) => self.operators.set_fill_gray(grey),
                None => self.operators.set_fill_rgb(colour.red, colour.green, colour.blue),
            };
        }
    }

    /// A path in points on the page, quadratic curves raised to cubic, the only kind a PDF has.
    fn path(&mut self, path: &BezPath, place: Affine) -> Result<(), Error> {
        let mut current = Point::ZERO;
        for element in path.elements() {
            match place * *element {
                PathEl::MoveTo(end) => {
                    let [x, y] = self.corner(end)?;
                    self.operators.move_to(x, y);
                    current = end;
                }
                PathEl::LineTo(end) => {
                    let [x, y] = self.corner(end)?;
                    self.operators.line_to(x, y);
                    current = end;
                }
                PathEl::QuadTo(control, end) => {
                    self.curve(QuadBez::new(current, control, end).raise())?;
                    current = end;
                }
                PathEl::CurveTo(first, second, end) => {
                    self.curve(CubicBez::new(current, first, second, end))?;
                    current = end;
                }
                PathEl::ClosePath => {
                    self.operators.close_path();
                }
            }
        }
        Ok(())
    }

    fn curve(&mut self, curve: CubicBez) -> Result<(), Error> {
        let ([x1, y1], [x2, y2], [x3, y3]) = (self.corner(curve.p1)?, self.corner(curve.p2)?, self.corner(curve.p3)?);
        self.operators.cubic_to(x1, y1, x2, y2, x3, y3);
        Ok(())
    }

    fn corner(&self, point: Point) -> Result<[f32; 2], Error> {
        Ok([self.finite(point.x)?, self.finite(point.y)?])
    }

    /// The number as an operand, without a negative 0. PDF readers hold operands in single precision; 2 m then stand within
    /// 0.0001 mm.
    fn finite(&self, exact: f64) -> Result<f32, Error> {
        let operand = exact as f32;
        if operand.abs() <= MOST_POINTS { Ok(operand + 0.0) } else { Err(Error::NotFinite { page: self.page }) }
    }
}

/// Greys as grey, so that black text is black ink alone.
fn as_grey(colour: Colour) -> Option<f32> {
    (colour.red == colour.green && colour.green == colour.blue).then_some(colour.red)
}
