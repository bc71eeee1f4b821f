//! A drawing with one of everything that cards and strips are made of.

use cockpit_cards::drawing::{Anchor, Colour, Drawing, Shape, Text, Weight};
use cockpit_cards::output::pdf;
use cockpit_cards::paper::{Page, Placed};
use kurbo::{Affine, BezPath, Circle, Rect, RoundedRect, Size, Vec2};

/// 7 by 3½ inches: a whole number of pixels at 300 to the inch, so a picture of it can be turned.
pub const SIZE: Size = Size::new(177.8, 88.9);
/// Where the ticks stand along the drawing, from `TICKS.0` to `TICKS.1` down it.
pub const TICKS: (f64, f64) = (24.0, 32.0);
pub const TICK_WIDTH: f64 = 0.5;

/// Places of the sample's ticks: a step that is a whole number of neither pixels nor points.
pub fn tick_places() -> Vec<f64> {
    (0..21).map(|index| 10.0 + 7.37 * f64::from(index)).collect()
}

/// The sample, with the tick at `moved.0` (if any) pushed along by `moved.1` millimetres.
pub fn drawing_with(moved: Option<(usize, f64)>) -> Drawing {
    let mut drawing = Drawing::new(SIZE, "Sample", "One of everything");
    let red = Colour::rgb(0.8, 0.1, 0.1);
    drawing.print(Shape::fill(Rect::new(10.0, 8.0, 40.0, 18.0), Colour::rgb(1.0, 0.85, 0.2)));
    drawing.print(Shape::fill(Circle::new((50.0, 13.0), 5.0), Colour::grey(0.6)));
    drawing.print(Shape::stroke(RoundedRect::new(60.0, 8.0, 90.0, 18.0, 2.0), 0.4));
    drawing.print(Shape::Stroke {
        path: kurbo::Shape::to_path(&Circle::new((100.0, 13.0), 5.0), 0.001),
        colour: red,
        width: 0.7,
        dash: None,
    });
    let mut needle = BezPath::new();
    needle.move_to((110.0, 18.0));
    needle.quad_to((115.0, 2.0), (120.0, 18.0));
    needle.close_path();
    drawing.print(Shape::fill(needle, red));
    for shape in Shape::hatch(Rect::new(130.0, 8.0, 170.0, 18.0), 2.5, 0.3) {
        drawing.print(shape);
    }
    for (index, place) in tick_places().into_iter().enumerate() {
        let at = place + moved.filter(|moved| moved.0 == index).map_or(0.0, |moved| moved.1);
        drawing.print(Shape::line((at, TICKS.0), (at, TICKS.1), TICK_WIDTH));
        drawing.print(Text::new(index.to_string(), (place, 37.0), Anchor::Middle, 3.0, Weight::Bold));
    }
    drawing.print(Text::new("Backstay 4½ to 13¾ TIGHTER → ≥ 12°", (10.0, 50.0), Anchor::Start, 5.0, Weight::Bold));
    drawing.print(Text::new("Miłosz, żagiel 3¼ 5½ ⅜ – Ελλάδα – Ж", (10.0, 58.0), Anchor::Start, 4.0, Weight::Regular));
    drawing.print(Text::new("EXAMPLE", (174.0, 58.0), Anchor::End, 6.0, Weight::Bold).coloured(Colour::grey(0.7)));
    let turned = Text::new("upright 69½", (132.0, 84.0), Anchor::Start, 3.5, Weight::Regular);
    drawing.print(turned.turned_about((132.0, 84.0), -std::f64::consts::FRAC_PI_2));
    let slanted = Text::new("slanted text", (95.0, 80.0), Anchor::Middle, 3.5, Weight::Bold).coloured(red);
    drawing.print(slanted.turned_about((95.0, 80.0), 0.4));
    drawing.print(Shape::Stroke {
        path: kurbo::Shape::to_path(&kurbo::Line::new((10.0, 66.0), (80.0, 66.0)), 0.001),
        colour: Colour::BLACK,
        width: 0.5,
        dash: Some((3.0, 1.5)),
    });
    drawing.cut(Shape::stroke(RoundedRect::new(2.0, 2.0, SIZE.width - 2.0, SIZE.height - 2.0, 3.0), 0.1));
    drawing
}

pub fn drawing() -> Drawing {
    drawing_with(None)
}

/// A page with a drawing in its top left corner and nothing else.
pub fn page_of(drawing: &Drawing) -> Page<'_> {
    placed_on(drawing.size, drawing, Affine::IDENTITY)
}

pub fn placed_on(size: Size, drawing: &Drawing, to_page: Affine) -> Page<'_> {
    Page {
        size,
        furniture: Drawing::new(size, "", ""),
        placed: vec![Placed { drawing, to_page }],
        to_file: Affine::IDENTITY,
    }
}

/// A drawing as a PDF of its own size.
pub fn pdf_of(drawing: &Drawing) -> Vec<u8> {
    pdf::pdf(
        &[page_of(drawing)],
        &pdf::Options { title: "Sample", subject: "One of everything", ..pdf::Options::default() },
    )
    .expect("a PDF")
}

/// A strip of ticks at the places given, for tests of length.
pub fn ticks(places: &[f64], length: f64) -> Drawing {
    let mut drawing = Drawing::new(Size::new(length, 30.0), "Ticks", "");
    for place in places {
        drawing.print(Shape::line((*place, 5.0), (*place, 15.0), 0.4));
    }
    drawing
}

pub fn moved(x: f64, y: f64) -> Affine {
    Affine::translate(Vec2::new(x, y))
}
