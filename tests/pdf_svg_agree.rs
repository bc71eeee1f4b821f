//! A PDF and an SVG of one drawing show the same picture, in the eyes of two programs that share no code.
mod common;

use cockpit_cards::output::svg;
use common::raster::Raster;
use common::sample;

#[test]
fn look() {
    let drawing = sample::drawing();
    let pdf = sample::pdf_of(&drawing);
    let source = svg::svg(&drawing, svg::Options::default());
    std::fs::write("/tmp/out/sample.pdf", &pdf).unwrap();
    std::fs::write("/tmp/out/sample.svg", &source).unwrap();
    let one = Raster::of_pdf(&pdf, 1, 300.0);
    let two = Raster::of_svg(&source, 300.0);
    one.save("/tmp/out/hayro.png".as_ref());
    two.save("/tmp/out/resvg.png".as_ref());
    println!("{:?}", one.difference(&two));
}
