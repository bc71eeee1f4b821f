//! A PDF and an SVG of one drawing show the same picture, the PDF as a reader reads it that shares no code with us.
use crate::common;

use cockpit_cards::drawing::Drawing;
use cockpit_cards::output::{pdf, png, svg};
use common::raster::{Difference, Raster};
use common::sample;
use kurbo::{Affine, Size};

const DOTS_PER_INCH: f64 = 300.0;
/// Largest mean of any 8 × 8 window between two ideas of one edge; a tick moved by 0.05 mm gives 20 to 40.
const WINDOW_LIMIT: f64 = 12.0;
/// Largest difference of one pixel, of 255: a curved edge through its middle.
const PIXEL_LIMIT: u8 = 96;

fn svg_of(drawing: &Drawing) -> String {
    svg::svg(drawing, svg::Options::default()).into_string()
}

fn agree(difference: Difference) -> bool {
    difference.worst_window <= WINDOW_LIMIT && difference.worst_pixel <= PIXEL_LIMIT
}

#[test]
fn the_pdf_and_the_svg_show_the_same_picture() {
    let drawing = sample::drawing();
    let in_pdf = Raster::of_pdf(&sample::pdf_of(&drawing), 1, DOTS_PER_INCH);
    let in_svg = Raster::of_svg(&svg_of(&drawing), DOTS_PER_INCH);
    let difference = in_pdf.difference(&in_svg);
    assert!(agree(difference), "{difference:?}");
}

#[test]
fn letters_that_are_referred_to_are_the_same_picture() {
    let drawing = sample::drawing();
    let in_glyphs = svg::svg(&drawing, svg::Options { text: svg::TextAs::Glyphs }).into_string();
    let in_glyphs = Raster::of_svg(&in_glyphs, DOTS_PER_INCH);
    let in_outlines = Raster::of_svg(&svg_of(&drawing), DOTS_PER_INCH);
    let in_pdf = Raster::of_pdf(&sample::pdf_of(&drawing), 1, DOTS_PER_INCH);
    for other in [in_outlines, in_pdf] {
        let difference = in_glyphs.difference(&other);
        assert!(agree(difference), "{difference:?}");
    }
}

#[test]
fn one_tick_moved_by_a_twentieth_of_a_millimetre_is_another_picture() {
    let in_pdf = Raster::of_pdf(&sample::pdf_of(&sample::drawing()), 1, DOTS_PER_INCH);
    for tick in [0, 7, 20] {
        let moved = svg_of(&sample::drawing_with(Some((tick, 0.05))));
        let difference = in_pdf.difference(&Raster::of_svg(&moved, DOTS_PER_INCH));
        assert!(difference.worst_window > 1.5 * WINDOW_LIMIT, "tick {tick}: {difference:?}");
        let place = sample::tick_places()[tick];
        assert!((difference.window_at.0 - place).abs() < 1.5, "seen where it is: {difference:?}");
    }
}

#[test]
fn a_drawing_turned_a_quarter_on_its_page_is_the_same_picture() {
    let drawing = sample::drawing();
    let turned = Size::new(sample::SIZE.height, sample::SIZE.width);
    // A quarter to the right about the corner, then back onto the page.
    let to_page = Affine::translate((turned.width, 0.0)) * Affine::rotate(std::f64::consts::FRAC_PI_2);
    let page = sample::placed_on(turned, &drawing, to_page);
    let bytes = pdf::pdf(&[page], &pdf::Options::default()).expect("a PDF");
    let in_pdf = Raster::of_pdf(&bytes, 1, DOTS_PER_INCH).turned_left();
    let difference = in_pdf.difference(&Raster::of_svg(&svg_of(&drawing), DOTS_PER_INCH));
    assert!(agree(difference), "{difference:?}");
}

#[test]
fn ticks_in_the_drawn_pdf_stand_within_a_pixel_of_their_places() {
    let raster = Raster::of_pdf(&sample::pdf_of(&sample::drawing()), 1, DOTS_PER_INCH);
    let pixel = 25.4 / DOTS_PER_INCH;
    for place in sample::tick_places() {
        let inside = (sample::TICKS.0 + 1.0, sample::TICKS.1 - 1.0);
        let centre = raster.ink_centre((place - 2.0, place + 2.0), inside).expect("ink where the tick is");
        assert!((centre - place).abs() < pixel, "a tick for {place} mm stands at {centre} mm");
    }
}

#[test]
fn the_png_is_the_svg_drawn_at_the_resolution_it_states() {
    let drawing = sample::drawing();
    let picture = Raster::of_png(&png::png(&drawing, DOTS_PER_INCH).expect("a picture"));
    assert!((picture.dots_per_inch - DOTS_PER_INCH).abs() < 0.01, "{}", picture.dots_per_inch);
    let difference = picture.difference(&Raster::of_svg(&svg_of(&drawing), DOTS_PER_INCH));
    assert_eq!(difference.worst_pixel, 0, "{difference:?}");
    assert_eq!(picture.pixel(0, 0), [255; 3], "the ground is white");
}

#[test]
fn a_picture_too_big_or_of_no_resolution_is_refused() {
    let drawing = Drawing::new(Size::new(5000.0, 30.0), "Long", "");
    assert!(matches!(png::png(&drawing, 2400.0), Err(png::Error::Pixels { .. })));
    for dots in [0.0, -300.0, f64::NAN, f64::INFINITY] {
        assert!(matches!(png::png(&drawing, dots), Err(png::Error::Resolution(_))), "{dots}");
    }
    let nothing = Drawing::new(Size::new(0.0, 30.0), "Nothing", "");
    assert!(matches!(png::png(&nothing, 300.0), Err(png::Error::Pixels { .. })));
}
