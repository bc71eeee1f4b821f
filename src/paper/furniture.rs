//! What a page of strips carries besides them: check bars, crop marks, and the words that go with them. Does not know what
//! lies on the page.
//!
//! A band along the left edge, read from below, and a block along the bottom edge. Only the block is as short as its
//! bar, so beside it a piece may be as long as the printer reaches.

use std::f64::consts::FRAC_PI_2;

use kurbo::{Affine, Point, Rect, Vec2};

use super::pack::{FreeArea, GAP_MM};
use super::printer::{Correction, Flip};
use super::{PaperSize, crop};
use crate::drawing::legibility::{LEGEND_DISTANCE, WANTED_ARC_MINUTES, cap_height};
use crate::drawing::line_breaks::{Word, Words};
use crate::drawing::{Anchor, Drawing, Shape, Text, TypeSize, Weight, font};
use crate::length::Length;

/// What a page is headed with.
#[derive(Clone, Copy, Debug, Default)]
pub struct Heading<'a> {
    /// What lies on these pages: `Pepperwort: strips`. Cut short where there is no room.
    pub title: &'a str,
    /// One more sentence for the person with the knife, such as the material to print on; may be empty. Beyond
    /// about 60 characters it takes a line's width from the pieces.
    pub note: &'a str,
}

/// A bar of known length: the distance between the middles of its two end ticks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CheckBar {
    /// Page millimetres: the left end, or the lower end.
    pub from: Point,
    /// The right end, or the upper end.
    pub to: Point,
}

impl CheckBar {
    /// What a rule must show.
    pub fn length(&self) -> Length {
        Length::mm((self.to - self.from).hypot())
    }
}

/// Lengths of check bars, longest first. A rule's half millimetre is half a per cent of 100 mm: longer costs room.
const BAR_LENGTHS_MM: [f64; 5] = [100.0, 80.0, 60.0, 50.0, 40.0];
/// Bar lengths that fall on a sixteenth of an inch: 3 15/16 in is 100.01 mm, 3 13/16 in is 96.8 mm.
const INCHES: [(f64, &str); 2] = [(100.0, "3 15/16"), (97.0, "3 13/16")];
/// A fine end tick, so that its middle is not in doubt.
pub(super) const TICK_WIDTH_MM: f64 = 0.15;
const TICK_HEIGHT_MM: f64 = 3.0;
const BAR_WIDTH_MM: f64 = 0.3;
/// From the end of a bar's zone to the middle of its end tick.
const BAR_INSET_MM: f64 = 0.5;
/// From one baseline to the next.
pub(super) const LINE_MM: f64 = 3.4;
/// Between the words and a bar beside them, and between band and block.
const WORDS_GAP_MM: f64 = 3.0;
/// White between furniture and pieces: room for a short crop mark. More would be lost to long strips.
const CLEAR_MM: f64 = 2.0;
/// White between the block and crop marks, so that none is taken for the end of the bar.
const BLOCK_MARK_CLEAR_MM: f64 = 1.0;
/// Arms of the crosses that show whether the two sides of the paper meet.
pub(super) const CROSS_ARM_MM: f64 = 1.3;
pub(super) const CROP_WIDTH_MM: f64 = 0.15;
/// "Fit to page" between A4 and Letter, or into a printer's margins, is about this (common practice).
const FITTED_SHARE: f64 = 0.97;

/// The furniture of every page of one document.
pub(super) struct Furniture<'a> {
    paper: &'a PaperSize,
    /// What the printer reaches and what may be used of it.
    pub printable: Rect,
    heading: Heading<'a>,
    /// Along the left edge.
    band: Rect,
    /// Along the bottom edge.
    block: Rect,
    /// Across the page, then up it.
    pub bars: [CheckBar; 2],
    /// Bars and words that are the same on every page.
    band_shapes: Vec<Shape>,
    block_shapes: Vec<Shape>,
    /// Places at which both sides of the paper have a cross, on the front; none where there is no back.
    registration: Vec<Point>,
    /// From the band's own millimetres, reading direction to the right, to the page's.
    band_to_page: Affine,
    /// Where the heading's baseline starts and how long it may be, in the band's own millimetres.
    heading_at: Point,
    heading_width: f64,
}

impl<'a> Furniture<'a> {
    pub fn new(
        paper: &'a PaperSize,
        heading: Heading<'a>,
        correction: Option<&Correction>,
        duplex: Option<Flip>,
    ) -> Self {
        let correction = correction.map(|correction| correction.on_page(paper.size()));
        let printable = usable(paper, correction.as_ref(), duplex);
        let inch = paper.is_inch();
        let across = Bar::new(printable.width(), inch);
        let block = Rect::new(printable.x0, printable.y1 - Bar::DEPTH, printable.x0 + across.zone(), printable.y1);
        let band_length = block.y0 - WORDS_GAP_MM - printable.y0;
        let up = Bar::new(band_length, inch);

        let instruction = instruction(&across, &up, heading.note, correction.as_ref(), duplex);
        let beside_bar = up.zone() + WORDS_GAP_MM;
        // A word longer than the band would leave the page: then the bars' own labels must do.
        let lines = wrapped(&instruction, band_length).unwrap_or_default();
        let below = Said::new(lines, Point::new(0.0, Bar::DEPTH + LINE_MM / 2.0));
        let words = match wrapped(&instruction, band_length - beside_bar) {
            Some(lines) => Said::new(lines, Point::new(beside_bar, 0.0)).shallower(below),
            None => below,
        };

        let band = Rect::new(
            printable.x0,
            printable.y0,
            printable.x0 + words.depth.max(Bar::DEPTH),
            printable.y0 + band_length,
        );
        let band_to_page = quarter_turn(band.x0, band.y1);
        let block_to_page = Affine::translate(block.origin().to_vec2());
        let block_shapes = across.shapes().into_iter().map(|shape| moved(shape, block_to_page, 0.0)).collect();
        let band_shapes = up.shapes().into_iter().chain(words.shapes());
        let band_shapes = band_shapes.map(|shape| moved(shape, band_to_page, -FRAC_PI_2)).collect();
        let registration = match duplex {
            None => Vec::new(),
            Some(_) => vec![
                Point::new(band.x1 + CLEAR_MM + CROSS_ARM_MM, printable.y0 + CROSS_ARM_MM),
                Point::new(printable.x1 - CROSS_ARM_MM, printable.y0 + CROSS_ARM_MM),
                Point::new(printable.x0 + CROSS_ARM_MM, block.y0 - WORDS_GAP_MM / 2.0),
            ],
        };
        Furniture {
            paper,
            printable,
            heading,
            band,
            block,
            bars: [across.on_page(block_to_page), up.on_page(band_to_page)],
            band_shapes,
            block_shapes,
            registration,
            band_to_page,
            heading_at: words.at,
            heading_width: band_length - words.at.x,
        }
    }

    /// The parts of the page that no piece may touch.
    pub fn areas(&self) -> [Rect; 2] {
        [self.band, self.block]
    }

    /// What is left for pieces.
    pub fn free(&self) -> FreeArea {
        let x0 = self.band.x1 + CLEAR_MM;
        let crosses = if self.registration.is_empty() { 0.0 } else { 2.0 * CROSS_ARM_MM + CLEAR_MM };
        let reach = Rect { y0: self.printable.y0 + crosses, ..self.printable };
        let wide = Rect { x0, y1: self.block.y0 - CLEAR_MM, ..reach };
        FreeArea { wide, tall: Rect { x0: x0.max(self.block.x1 + CLEAR_MM), ..reach }, gap: GAP_MM }
    }

    /// The furniture of page `number` of `count`, with crop marks around the pieces on it. On a back it takes the
    /// same parts of the paper as on the front, so that pieces have the same room on both.
    pub fn draw(&self, number: usize, count: usize, pieces: &[Rect], side: Side) -> Drawing {
        let size = self.paper.size();
        let to_back = match side {
            Side::Back(flip) => flip.to_back(size),
            Side::Only | Side::Front => Affine::IDENTITY,
        };
        let over = |area: Rect| to_back.transform_rect_bbox(area);
        let [band, block] = self.areas().map(over);
        let [by_band, by_block] =
            [(band, self.band), (block, self.block)].map(|(to, from)| to.origin() - from.origin());
        let side_words = match side {
            Side::Only => "",
            Side::Front => ", front",
            Side::Back(_) => ", back",
        };
        let page = format!("Page {number} of {count}{side_words}, {}, actual size", self.paper.name());
        let mut drawing = Drawing::new(size, self.heading.title, format!("{page}."));
        let end = Text { origin: self.heading_at, ..words(&page, Weight::Regular) };
        let room = self.heading_width - end.width() - WORDS_GAP_MM;
        let title = Text { origin: self.heading_at, ..words(&shortened(self.heading.title, room), Weight::Bold) };
        let indent = if title.content.is_empty() { 0.0 } else { title.width() + WORDS_GAP_MM };
        let end = Text { origin: self.heading_at + Vec2::new(indent, 0.0), ..end };
        let band_to_page = Affine::translate(by_band) * self.band_to_page;
        for text in [title, end].into_iter().filter(|text| !text.content.is_empty()) {
            drawing.print(moved(text.into(), band_to_page, -FRAC_PI_2));
        }
        for (shapes, by) in [(&self.block_shapes, by_block), (&self.band_shapes, by_band)] {
            for shape in shapes {
                drawing.print(moved(shape.clone(), Affine::translate(by), 0.0));
            }
        }
        let mut taken = vec![band, block.inflate(BLOCK_MARK_CLEAR_MM, BLOCK_MARK_CLEAR_MM)];
        for &cross in &self.registration {
            let cross = to_back * cross;
            for arm in [Vec2::new(CROSS_ARM_MM, 0.0), Vec2::new(0.0, CROSS_ARM_MM)] {
                drawing.print(Shape::line(cross - arm, cross + arm, TICK_WIDTH_MM));
            }
            taken.push(Rect::from_center_size(cross, (2.0 * CROSS_ARM_MM, 2.0 * CROSS_ARM_MM)));
        }
        for mark in crop::marks(pieces, &taken, over(self.printable)) {
            drawing.print(Shape::line(mark.p0, mark.p1, CROP_WIDTH_MM));
        }
        drawing
    }
}

/// Which side of the paper a page is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// Nothing has a back.
    Only,
    Front,
    Back(Flip),
}

/// What the printer reaches, less what it takes to make up for its error, on both sides if there are two.
pub(super) fn usable(paper: &PaperSize, correction: Option<&Correction>, duplex: Option<Flip>) -> Rect {
    let Some(correction) = correction else { return paper.printable() };
    let usable = correction.usable(paper.printable());
    // The middle of the paper stays the middle, so that a place has its partner on the other side.
    let shift = if duplex.is_some() { correction.back_shift } else { Vec2::ZERO };
    Rect::new(
        usable.x0 + shift.x.abs(),
        usable.y0 + shift.y.abs(),
        usable.x1 - shift.x.abs(),
        usable.y1 - shift.y.abs(),
    )
}

fn instruction(across: &Bar, up: &Bar, note: &str, correction: Option<&Correction>, duplex: Option<Flip>) -> String {
    let alike = across.length == up.length;
    let must =
        if alike { format!("must measure {}", up.named(up.length)) } else { "must measure what it says,".into() };
    let which = if alike { "a bar" } else { "an upright bar" };
    let fitted = up.named((up.length * FITTED_SHARE).round());
    let own_error = match correction {
        Some(correction) => correction.words(),
        None => "Off by a millimetre or less every time? That is the printer itself: measure it once with \
                 cockpit-cards printer page."
            .to_owned(),
    };
    let sides = match duplex {
        Some(flip) => {
            format!(" Two sides, {}: against the light the crosses of both fall on each other.", flip.words())
        }
        None => String::new(),
    };
    format!(
        "Before you cut, lay a steel rule along both bars: each {must} from end tick to end tick. If not, print again \
         at actual size, 100 %: {which} of {fitted} means that the print dialogue fitted the page. {own_error}{sides} \
         {note}"
    )
}

/// A check bar with its label, in its own millimetres: label above, reading direction to the right.
struct Bar {
    length: f64,
    /// For people whose rule may be in inches.
    inch: bool,
}

impl Bar {
    /// Label, then ticks.
    const DEPTH: f64 = LINE_MM + TICK_HEIGHT_MM;

    /// The longest that `room` millimetres hold.
    fn new(room: f64, inch: bool) -> Self {
        let holds = |length: &f64| length + 2.0 * BAR_INSET_MM <= room;
        let shortest = room - 2.0 * BAR_INSET_MM;
        Bar { length: BAR_LENGTHS_MM.into_iter().find(holds).unwrap_or(shortest), inch }
    }

    /// A length in words, with inches where they come out even on a rule.
    fn named(&self, millimetres: f64) -> String {
        match INCHES.iter().find(|(length, _)| self.inch && *length == millimetres) {
            Some((_, inches)) => format!("{millimetres} mm ({inches} in)"),
            None => format!("{millimetres} mm"),
        }
    }

    fn zone(&self) -> f64 {
        self.length + 2.0 * BAR_INSET_MM
    }

    fn ends(&self) -> [Point; 2] {
        let y = LINE_MM + TICK_HEIGHT_MM / 2.0;
        [Point::new(BAR_INSET_MM, y), Point::new(BAR_INSET_MM + self.length, y)]
    }

    fn on_page(&self, to_page: Affine) -> CheckBar {
        let [from, to] = self.ends().map(|end| to_page * end);
        CheckBar { from, to }
    }

    fn shapes(&self) -> Vec<Shape> {
        let [from, to] = self.ends();
        let half = Vec2::new(0.0, TICK_HEIGHT_MM / 2.0);
        let label = format!("{} from end tick to end tick", self.named(self.length));
        let label = words(&label, Weight::Regular);
        // On a narrow roll the bar is shorter than its words.
        let label = if label.width() > self.zone() { words(&self.named(self.length), Weight::Regular) } else { label };
        let middle = from.midpoint(to).x - label.width() / 2.0;
        let cap = label.cap_height();
        vec![
            Shape::line(from, to, BAR_WIDTH_MM),
            Shape::line(from - half, from + half, TICK_WIDTH_MM),
            Shape::line(to - half, to + half, TICK_WIDTH_MM),
            Text { origin: Point::new(middle, cap), ..label }.into(),
        ]
    }
}

/// The heading's place and the instruction under it, in the band's own millimetres.
struct Said {
    /// Where the heading's baseline starts.
    at: Point,
    lines: Vec<String>,
    /// From the band's edge to below the last line.
    depth: f64,
}

impl Said {
    /// Said whose upper left corner is `corner`.
    fn new(lines: Vec<String>, corner: Point) -> Self {
        let cap = cap_mm();
        let descent = cap / font::CAP_HEIGHT_EM * font::DESCENT_EM;
        let depth = corner.y + cap + LINE_MM * lines.len() as f64 + descent;
        Said { at: corner + Vec2::new(0.0, cap), lines, depth }
    }

    /// This, unless the other makes the band narrower.
    fn shallower(self, other: Said) -> Said {
        if self.depth.max(Bar::DEPTH) <= other.depth { self } else { other }
    }

    fn shapes(&self) -> impl Iterator<Item = Shape> {
        let baselines = (1..).map(|line| self.at + Vec2::new(0.0, LINE_MM * f64::from(line)));
        self.lines.iter().zip(baselines).map(|(line, origin)| Text { origin, ..words(line, Weight::Regular) }.into())
    }
}

fn cap_mm() -> f64 {
    cap_height(LEGEND_DISTANCE, WANTED_ARC_MINUTES).to_mm()
}

pub(super) fn words(content: &str, weight: Weight) -> Text {
    Text::new(content, Point::ZERO, Anchor::Start, cap_mm(), weight).read_from(LEGEND_DISTANCE)
}

/// The text in lines of at most `width` millimetres, broken between words; `None` if a word is longer.
pub(super) fn wrapped(text: &str, width: f64) -> Option<Vec<String>> {
    let size = TypeSize { cap: cap_mm(), distance: LEGEND_DISTANCE };
    let words = Words::of([(text, Weight::Regular)]);
    (words.widest(size) <= width).then(|| words.lines(size, width).map(Word::joined).collect())
}

/// As much of a title as `width` millimetres hold.
pub(super) fn shortened(title: &str, width: f64) -> String {
    let fits = |text: &str| words(text, Weight::Bold).width() <= width;
    let mut kept: String = title.to_owned();
    while !kept.is_empty() && !fits(&kept) {
        let stem = kept.strip_suffix('…').unwrap_or(&kept);
        let mut characters = stem.chars();
        characters.next_back();
        let stem = characters.as_str().trim_end();
        kept = if stem.is_empty() { String::new() } else { format!("{stem}…") };
    }
    kept
}

/// A quarter turn against the clock as seen on the page: what reads to the right then reads up. The origin comes to
/// lie at the lower left, (`x`, `y`).
pub(super) fn quarter_turn(x: f64, y: f64) -> Affine {
    Affine::new([0.0, -1.0, 1.0, 0.0, x, y])
}

/// The shape moved by a transform that turns by `turn` radians and neither scales nor mirrors.
pub(super) fn moved(shape: Shape, by: Affine, turn: f64) -> Shape {
    match shape {
        Shape::Fill { path, colour } => Shape::Fill { path: by * path, colour },
        Shape::Stroke { path, colour, width, dash } => Shape::Stroke { path: by * path, colour, width, dash },
        Shape::Text(text) => Text { origin: by * text.origin, turn: text.turn + turn, ..text }.into(),
    }
}
