//! The page that a printer is measured with: two long distances between fine crosses, and on its back a grid that
//! shows how far the second side is off. Knows paper and rules, nothing of who reads the result.

use std::f64::consts::FRAC_PI_2;

use kurbo::{Affine, BezPath, Point, Rect, Vec2};

use super::furniture::{LINE_MM, words, wrapped};
use super::printer::{Feed, Flip};
use super::{Page, PaperSize};
use crate::drawing::{Colour, Drawing, Shape, Text, Weight};
use crate::length::Length;
use crate::wrong::Wrong;

/// Distances that are easy to find on a rule, millimetres.
const LENGTHS_MM: [f64; 14] =
    [120.0, 150.0, 180.0, 200.0, 250.0, 300.0, 350.0, 400.0, 450.0, 500.0, 600.0, 700.0, 800.0, 900.0];
/// Left clear of what the printer reaches at either end, so that a printer that enlarges loses no cross.
const END_MM: f64 = 5.0;
const CROSS_ARM_MM: f64 = 4.0;
/// As fine as a desktop printer holds: its middle is not in doubt.
const CROSS_WIDTH_MM: f64 = 0.15;
/// White between a cross and the line that the rule lies along.
const CROSS_CLEAR_MM: f64 = 3.0;
const GUIDE_WIDTH_MM: f64 = 0.25;
const GUIDE_INK: Colour = Colour::grey(0.6);
/// From the end of one distance to the line of the other.
const APART_MM: f64 = 12.0;
/// White around the words.
const WORDS_CLEAR_MM: f64 = 8.0;
const PARAGRAPH_MM: f64 = 1.6;
const ARROW_MM: f64 = 22.0;
const ARROW_HEAD_MM: f64 = 6.0;
const ARROW_WIDTH_MM: f64 = 1.2;
/// The grid on the back reaches this far, in whole millimetres.
const GRID_MM: i32 = 5;
const GRID_WIDTH_MM: f64 = 0.1;
const GRID_GAP_MM: f64 = 0.6;
/// The two lines that the numbers count from.
const GRID_AXIS_MM: f64 = 0.25;
/// Numbers on the grid, and how far out each stands: beside each other there is no room.
const GRID_NUMBERS_MM: [(i32, f64); 4] = [(2, 1.2), (-2, 1.2), (4, 4.6), (-4, 4.6)];
/// The longest piece of a roll that is spent on measuring.
const ROLL_PIECE: Length = Length::mm(720.0);

/// The two distances of a page, between the middles of their crosses, millimetres.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Distances {
    /// Left to right.
    pub level: [Point; 2],
    /// Top to bottom.
    pub upright: [Point; 2],
    /// Square to the feed.
    pub across_mm: f64,
    /// With the feed.
    pub along_mm: f64,
}

/// The distances that a page of this paper holds.
///
/// ```
/// use cockpit_cards::paper::{PaperSize, printer::Feed, printer_page::distances};
///
/// let a4 = distances(&PaperSize::default(), Feed::ShortEdge).map(|found| (found.across_mm, found.along_mm));
/// assert_eq!(a4, Ok((180.0, 250.0)));
/// ```
///
/// # Errors
/// The paper is too small to measure a printer by.
pub fn distances(paper: &PaperSize, feed: Feed) -> Result<Distances, Wrong> {
    let paper = &piece_of(paper);
    let room = paper.printable().size();
    let longest = |room: f64| LENGTHS_MM.into_iter().rev().find(|length| *length <= room - 2.0 * END_MM);
    let (Some(level), Some(upright)) = (longest(room.width), longest(room.height)) else {
        return Err(Wrong {
            what: format!("{} is too small to measure a printer by", paper.name()),
            instead: format!("print the page on A4 or Letter; it needs {} mm between two crosses", LENGTHS_MM[0]),
        });
    };
    let middle = paper.size().to_rect().center();
    let (left, top) = (middle.x - level / 2.0, middle.y - upright / 2.0);
    let (x, y) = (left + APART_MM, top + APART_MM);
    let runs_up = paper.is_roll() || feed.runs_up(paper.size());
    Ok(Distances {
        level: [Point::new(left, y), Point::new(left + level, y)],
        upright: [Point::new(x, top), Point::new(x, top + upright)],
        across_mm: if runs_up { level } else { upright },
        along_mm: if runs_up { upright } else { level },
    })
}

/// Both sides of the page: the distances, then the grid that belongs on its back.
///
/// # Errors
/// The paper is too small to measure a printer by.
pub fn pages(paper: &PaperSize, feed: Feed, flip: Flip) -> Result<[Page<'static>; 2], Wrong> {
    let paper = &piece_of(paper);
    let distances = distances(paper, feed)?;
    let side =
        |furniture: Drawing| Page { size: paper.size(), furniture, placed: Vec::new(), to_file: Affine::IDENTITY };
    Ok([side(front(paper, feed, flip, &distances)?), side(back(paper, flip)?)])
}

/// The paper itself, or a piece off its roll.
fn piece_of(paper: &PaperSize) -> PaperSize {
    if paper.is_roll() { paper.cut(ROLL_PIECE) } else { paper.clone() }
}

fn front(paper: &PaperSize, feed: Feed, flip: Flip, distances: &Distances) -> Result<Drawing, Wrong> {
    let name = paper.name();
    let mut drawing = Drawing::new(paper.size(), "Printer page", "Two distances to measure a printer by");
    let level_is_across = distances.across_mm == distances.level[1].x - distances.level[0].x;
    let (level, upright) = if level_is_across { ("ACROSS", "ALONG") } else { ("ALONG", "ACROSS") };
    for (ends, axis, turn) in [(distances.level, level, 0.0), (distances.upright, upright, FRAC_PI_2)] {
        distance(&mut drawing, ends, axis, turn);
    }
    let middle = paper.size().to_rect().center();
    cross(&mut drawing, middle);

    let (across, along) = (distances.across_mm, distances.along_mm);
    let fed = if paper.is_roll() { "from the roll" } else { feed.words() };
    let paper_flag = format!("--paper {}", name.to_lowercase().replace(' ', ""));
    let feed_flag = if feed == Feed::LongEdge { " --feed long-edge" } else { "" };
    let first = [
        (Weight::Bold, format!("Printer page, {name}, fed {fed}")),
        (Weight::Regular, "1. Print this page at actual size, 100 %, on what you will print strips on.".to_owned()),
        (
            Weight::Regular,
            "2. Lay a steel rule along each grey line. Read it from the middle of one cross to the middle of the \
             other, to half a millimetre or finer. On film; paper moves with the damp."
                .to_owned(),
        ),
        (
            Weight::Regular,
            format!(
                "3. In the file it is {across} mm across the feed and {along} mm along it. Say what the rule shows, and \
                 give the printer a name:"
            ),
        ),
        (
            Weight::Bold,
            format!("cockpit-cards printer set NAME {paper_flag}{feed_flag} --across ______ --along ______"),
        ),
        (
            Weight::Regular,
            "From then on: cockpit-cards build --printer NAME. More than 1.5 % off is no printer's error but the print \
             dialogue's: set actual size and print again."
                .to_owned(),
        ),
    ];
    let flip_flag = if flip == Flip::Short { " --flip short" } else { "" };
    let second = [(
        Weight::Regular,
        format!(
            "Cards with two sides: print both pages on one sheet, {}. Push a pin through the cross above, turn the \
             sheet over, and read on the grid where it came out: cockpit-cards printer set NAME{flip_flag} \
             --back-shift-x ______ --back-shift-y ______",
            flip.words()
        ),
    )];
    let room = words_area(paper, distances);
    let above = Rect { y1: middle.y - CROSS_ARM_MM - WORDS_CLEAR_MM, ..room };
    let below = Rect { y0: middle.y + CROSS_ARM_MM + WORDS_CLEAR_MM, ..room };
    paragraphs(&mut drawing, above, &first, paper)?;
    let end = paragraphs(&mut drawing, below, &second, paper)?;
    let runs_up = paper.is_roll() || feed.runs_up(paper.size());
    arrow(&mut drawing, Point::new(below.x0, end + WORDS_CLEAR_MM), runs_up);
    Ok(drawing)
}

fn back(paper: &PaperSize, flip: Flip) -> Result<Drawing, Wrong> {
    let mut drawing = Drawing::new(paper.size(), "Printer page, back", "A grid that shows how far a back is off");
    let middle = paper.size().to_rect().center();
    grid(&mut drawing, middle);
    let printable = paper.printable();
    let room = printable.inset(-WORDS_CLEAR_MM);
    let above = Rect { y1: middle.y - f64::from(GRID_MM) - WORDS_CLEAR_MM, ..room };
    let said = [
        (Weight::Bold, format!("Printer page, {}, back ({})", paper.name(), flip.words())),
        (
            Weight::Regular,
            "Hold the page like this, these words upright. The pin through the cross on the front comes out on the \
             grid below. Read it there, left and right first: that is --back-shift-x; then up and down: --back-shift-y."
                .to_owned(),
        ),
    ];
    paragraphs(&mut drawing, above, &said, paper)?;
    Ok(drawing)
}

/// Where words stand: right of the upright line, below the level one.
fn words_area(paper: &PaperSize, distances: &Distances) -> Rect {
    let printable = paper.printable();
    Rect::new(
        distances.upright[0].x + LINE_MM + WORDS_CLEAR_MM,
        distances.level[0].y + LINE_MM + WORDS_CLEAR_MM,
        printable.x1 - END_MM,
        distances.upright[1].y,
    )
}

/// Two crosses and the line between them that the rule lies along; `turn` is the line's own.
fn distance(drawing: &mut Drawing, [from, to]: [Point; 2], axis: &str, turn: f64) {
    cross(drawing, from);
    cross(drawing, to);
    let along = (to - from).normalize() * (CROSS_ARM_MM + CROSS_CLEAR_MM);
    drawing.print(grey(Shape::line(from + along, to - along, GUIDE_WIDTH_MM)));
    let label = format!("{axis}: lay the rule here, from cross to cross. It shows ____________ mm");
    let label = words(&label, Weight::Regular);
    // On the right hand of the line as it runs, so that level words stand below it and upright ones beside it.
    let middle = from.midpoint(to);
    let start = middle + Vec2::new(-label.width() / 2.0, LINE_MM);
    let (start, turn) = if turn == 0.0 {
        (start, 0.0)
    } else {
        // Read from below, right of the line.
        (middle + Vec2::new(LINE_MM, label.width() / 2.0), -turn)
    };
    drawing.print(Text { origin: start, turn, ..label });
}

fn cross(drawing: &mut Drawing, at: Point) {
    for arm in [Vec2::new(CROSS_ARM_MM, 0.0), Vec2::new(0.0, CROSS_ARM_MM)] {
        drawing.print(Shape::line(at - arm, at + arm, CROSS_WIDTH_MM));
    }
}

/// A mesh of millimetres around `middle`, numbered so that the place of a point on it says how far the mesh itself is
/// off: left of the middle is positive, because there the paper's middle shows on a mesh that has moved right.
fn grid(drawing: &mut Drawing, middle: Point) {
    let reach = f64::from(GRID_MM);
    for line in -GRID_MM..=GRID_MM {
        let width = if line == 0 { GRID_AXIS_MM } else { GRID_WIDTH_MM };
        let at = f64::from(line);
        drawing.print(Shape::line(middle + Vec2::new(at, -reach), middle + Vec2::new(at, reach), width));
        drawing.print(Shape::line(middle + Vec2::new(-reach, at), middle + Vec2::new(reach, at), width));
    }
    for (shift, out) in GRID_NUMBERS_MM {
        let at = -f64::from(shift);
        let text = words(&shift.to_string().replace('-', "−"), Weight::Regular);
        let (cap, half_width) = (text.cap_height(), text.width() / 2.0);
        let end = reach + out;
        // Each number with its own hair: a level scale is numbered below it, an upright one to its right.
        for (from, to, origin) in [
            (Vec2::new(at, reach), Vec2::new(at, end), Vec2::new(at - half_width, end + GRID_GAP_MM + cap)),
            (Vec2::new(reach, at), Vec2::new(end, at), Vec2::new(end + GRID_GAP_MM, at + cap / 2.0)),
        ] {
            drawing.print(grey(Shape::line(middle + from, middle + to, GRID_WIDTH_MM)));
            drawing.print(Text { origin: middle + origin, ..text.clone() });
        }
    }
}

fn grey(shape: Shape) -> Shape {
    match shape {
        Shape::Stroke { path, width, dash, .. } => Shape::Stroke { path, width, dash, colour: GUIDE_INK },
        other => other,
    }
}

/// The way the paper runs.
fn arrow(drawing: &mut Drawing, corner: Point, runs_up: bool) {
    let half = ARROW_HEAD_MM / 2.0;
    let (tail, way) = if runs_up {
        (corner + Vec2::new(half, ARROW_MM), Vec2::new(0.0, -1.0))
    } else {
        (corner + Vec2::new(0.0, half), Vec2::new(1.0, 0.0))
    };
    let tip = tail + way * ARROW_MM;
    let neck = tip - way * ARROW_HEAD_MM;
    let side = Vec2::new(-way.y, way.x) * half;
    drawing.print(Shape::line(tail, neck, ARROW_WIDTH_MM));
    let mut head = BezPath::new();
    head.move_to(tip);
    head.line_to(neck + side);
    head.line_to(neck - side);
    head.close_path();
    drawing.print(Shape::Fill { path: head, colour: Colour::BLACK });
    let label = words("The paper runs this way through the printer.", Weight::Regular);
    let origin = if runs_up {
        corner + Vec2::new(ARROW_HEAD_MM + LINE_MM, ARROW_MM / 2.0)
    } else {
        corner + Vec2::new(0.0, ARROW_HEAD_MM + LINE_MM)
    };
    drawing.print(Text { origin, ..label });
}

/// Writes paragraphs from the top of `room`; gives the baseline they end at.
fn paragraphs(
    drawing: &mut Drawing,
    room: Rect,
    paragraphs: &[(Weight, String)],
    paper: &PaperSize,
) -> Result<f64, Wrong> {
    let mut y = room.y0;
    for (weight, text) in paragraphs {
        // Bold runs wider than the regular face that lines are measured in.
        let width = if *weight == Weight::Bold { room.width() * 0.92 } else { room.width() };
        let lines = wrapped(text, width).unwrap_or_default();
        for line in lines {
            y += LINE_MM;
            drawing.print(Text { origin: Point::new(room.x0, y), ..words(&line, *weight) });
        }
        y += PARAGRAPH_MM;
    }
    if y > room.y1 {
        return Err(Wrong {
            what: format!("{} is too small for the words of the printer page", paper.name()),
            instead: "print the page on A4 or Letter".to_owned(),
        });
    }
    Ok(y)
}
