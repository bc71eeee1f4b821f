//! The page that a printer is measured by: one long distance each way between fine crosses. Knows no printer.

use kurbo::{BezPath, Point};

use super::printer::Distances;
use super::{Page, PaperSize};
use crate::drawing::legibility::{CARD_DISTANCE, WANTED_ARC_MINUTES, cap_height};
use crate::drawing::{Anchor, Colour, Drawing, Shape, Text, Weight};

/// Arms of a cross, from its middle, millimetres.
const CROSS_ARM: f64 = 5.0;
const CROSS_WIDTH: f64 = 0.15;
/// The line that a rule is laid along.
const GUIDE_WIDTH: f64 = 0.1;
const GUIDE_DASH: (f64, f64) = (0.6, 2.4);
const LINE_PITCH: f64 = 1.6;
const ARROW: f64 = 14.0;

/// The middles of the four crosses, page millimetres: left, right, upper, lower.
///
/// The two distances lie about the middle of the page, where what a printer does at its edges matters least.
pub fn crosses(paper: &PaperSize) -> [Point; 4] {
    let Distances { across, along } = Distances::on(paper);
    let middle = paper.size().to_rect().center();
    [
        Point::new(middle.x - across / 2.0, middle.y),
        Point::new(middle.x + across / 2.0, middle.y),
        Point::new(middle.x, middle.y - along / 2.0),
        Point::new(middle.x, middle.y + along / 2.0),
    ]
}

/// The page; `name` is what `printer set` will be told, if it is known yet.
pub fn printer_page(paper: &PaperSize) -> Page<'static> {
    let Distances { across, along } = Distances::on(paper);
    let mut drawing = Drawing::new(paper.size(), "Printer page", "Two distances to measure a printer by");
    let [left, right, upper, lower] = crosses(paper);
    for cross in [left, right, upper, lower] {
        drawing.print(Shape::line(cross - (CROSS_ARM, 0.0), cross + (CROSS_ARM, 0.0), CROSS_WIDTH));
        drawing.print(Shape::line(cross - (0.0, CROSS_ARM), cross + (0.0, CROSS_ARM), CROSS_WIDTH));
    }
    for (from, to) in [(left, right), (upper, lower)] {
        let along = (to - from).normalize() * CROSS_ARM;
        let mut guide = Shape::line(from + along, to - along, GUIDE_WIDTH);
        if let Shape::Stroke { dash, .. } = &mut guide {
            *dash = Some(GUIDE_DASH);
        }
        drawing.print(guide);
    }
    let cap = cap_height(CARD_DISTANCE, WANTED_ARC_MINUTES).to_mm();
    let words = |drawing: &mut Drawing, x: f64, y: f64, lines: &[String], weight| {
        for (index, line) in lines.iter().enumerate() {
            let at = (x, y + index as f64 * cap * LINE_PITCH);
            drawing.print(Text::new(line, at, Anchor::Start, cap, weight));
        }
    };
    let x = left.x + CROSS_ARM / 2.0;
    words(&mut drawing, x, upper.y + cap * 2.0, &[format!("Printer page, {}", paper.name())], Weight::Bold);
    let how = [
        "1  Print at actual size, 100 %.",
        "2  Lay a steel rule along each",
        "dotted line; measure from the",
        "middle of a cross to the middle",
        "of the other.",
    ];
    words(&mut drawing, x, upper.y + cap * 5.5, &how.map(str::to_owned), Weight::Regular);
    let what = [format!("ACROSS: true {across} mm"), "yours:".to_owned()];
    words(&mut drawing, x, left.y - cap * 4.0, &what, Weight::Bold);
    let x = upper.x + cap * 2.0;
    words(
        &mut drawing,
        x,
        lower.y - cap * 8.0,
        &[format!("ALONG: true {along} mm"), "yours:".to_owned()],
        Weight::Bold,
    );
    let then = ["3  Then:", "cockpit-cards printer set NAME", "  --across … --along …"];
    words(&mut drawing, x, left.y + cap * 6.0, &then.map(str::to_owned), Weight::Regular);
    feed_arrow(&mut drawing, Point::new(x + cap * 2.0, upper.y + cap * 3.0), cap);
    Page { size: paper.size(), furniture: drawing, placed: Vec::new() }
}

/// The short edge goes in first: along the feed is up the page.
fn feed_arrow(drawing: &mut Drawing, tip: Point, cap: f64) {
    let mut head = BezPath::new();
    head.move_to(tip);
    head.line_to(tip + (ARROW / 5.0, ARROW / 3.0));
    head.line_to(tip + (-ARROW / 5.0, ARROW / 3.0));
    head.close_path();
    drawing.print(Shape::Fill { path: head, colour: Colour::BLACK });
    drawing.print(Shape::line(tip + (0.0, ARROW / 3.0), tip + (0.0, ARROW), 0.6));
    for (index, line) in ["FEED: this short", "edge goes first"].into_iter().enumerate() {
        let at = tip + (cap * 2.0, ARROW / 3.0 + index as f64 * cap * LINE_PITCH);
        drawing.print(Text::new(line, at, Anchor::Start, cap, Weight::Regular));
    }
}
