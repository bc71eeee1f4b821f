//! From drawings to pages: packs the pieces, places them, adds each page's furniture. Knows no file format.

use kurbo::{Affine, Rect, Size, Vec2};

use super::foot::Foot;
use super::furniture::{CheckBar, Furniture, Heading, Side, quarter_turn};
use super::pack::{self, FreeArea, Spot};
use super::printer::{Correction, Flip, Printer};
use super::used::Used;
use super::{Page, PaperSize, Placed, crop, tile};
use crate::drawing::Drawing;
use crate::length::Length;
use crate::size::SLACK_MM;

/// The shortest page off a roll: two check bars and their words.
const LEAST_ROLL_MM: u32 = 140;

/// A drawing to be printed and cut out, and the name it is known by.
#[derive(Clone, Copy, Debug)]
pub struct Piece<'a> {
    /// The name by which a complaint tells it from other pieces.
    pub id: &'a str,
    /// What is printed on its front, of its true size.
    pub drawing: &'a Drawing,
    /// What is printed on its other side; of the same size.
    pub back: Option<&'a Drawing>,
}

impl<'a> Piece<'a> {
    /// A piece with one side.
    pub fn new(id: &'a str, drawing: &'a Drawing) -> Self {
        Piece { id, drawing, back: None }
    }

    /// The same with something on its other side, upright when the piece is turned over like the leaf of a book.
    pub fn with_back(self, back: &'a Drawing) -> Self {
        Piece { back: Some(back), ..self }
    }
}

/// All pages of one document, of one size; where anything has a back, a front and its back by turns.
#[derive(Clone, Debug)]
pub struct Layout<'a> {
    /// The pages in the order they are printed in.
    pub pages: Vec<Page<'a>>,
    /// Where each piece went, in the order of the pieces given.
    pub positions: Vec<Position>,
    /// Across the page and up it, at the same place on every page; none on pages of cards, which are not measured.
    pub check_bars: Vec<CheckBar>,
    /// What the printer reaches, page millimetres.
    pub printable: Rect,
    /// Where bars and words stand; no piece touches them.
    pub furniture_areas: Vec<Rect>,
    /// How well the paper is used, and why not better.
    pub used: Used,
}

/// Where a piece lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// Index into the pages.
    pub page: usize,
    /// Page millimetres.
    pub area: Rect,
    /// A quarter turn, so that what read to the right reads up.
    pub turned: bool,
}

/// A piece that the paper cannot hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Misfit {
    /// The name of the piece.
    pub id: String,
    /// Millimetres.
    pub size: Size,
    /// The paper that was asked for.
    pub paper: PaperSize,
    /// The smallest common paper that holds it, of the same family if there is one.
    pub fits_on: Option<PaperSize>,
    /// It would be printed in pieces if the marks at which it may be cut were nearer each other.
    pub needs_nearer_joints: bool,
    /// It has a back, and so cannot go on a roll.
    pub two_sided: bool,
}

impl Misfit {
    /// What is wrong, in a sentence without its full stop.
    pub fn what(&self) -> String {
        let (width, height) = (Length::mm(self.size.width), Length::mm(self.size.height));
        let paper = self.paper.name();
        let joints =
            if self.needs_nearer_joints { ", and its numbers are too far apart to cut it at them" } else { "" };
        format!("\"{}\" is {width} by {height}: too large for {paper} with its margin{joints}", self.id)
    }

    /// What would be right.
    pub fn instead(&self) -> String {
        match &self.fits_on {
            Some(paper) if self.needs_nearer_joints => {
                format!("set its numbers nearer each other, or print on {}", paper.name())
            }
            None if self.needs_nearer_joints => {
                "set its numbers nearer each other, or print on larger paper or on a roll, like `--paper roll-610mm`"
                    .into()
            }
            Some(paper) => format!("print on {}, or make it smaller", paper.name()),
            None if self.two_sided => {
                "make it smaller: no common paper holds it, and a roll is printed on one side".into()
            }
            None => {
                "print it on a roll, like `--paper roll-610mm`, or make it smaller: no common paper holds it".into()
            }
        }
    }
}

/// Lays `pieces` out on as few pages as the packing rule finds, without splitting any of them.
///
/// Pieces keep 3 mm apart for the knife, may be given a quarter turn, and stay inside the printable area, clear of
/// the check bars. The same pieces give the same pages. Every piece that the paper cannot hold is reported.
///
/// ```
/// use cockpit_cards::drawing::Drawing;
/// use cockpit_cards::paper::{Heading, PaperSize, Piece, lay_out};
/// use kurbo::Size;
///
/// // A strip as long as A4 can be printed stands upright beside the bars.
/// let strip = Drawing::new(Size::new(287.0, 22.0), "Backstay", "");
/// let heading = Heading { title: "Pepperwort: strips", note: "" };
/// let layout = lay_out(&[Piece::new("backstay", &strip)], &PaperSize::default(), heading);
/// assert!(layout.is_ok_and(|layout| layout.positions[0].turned));
/// ```
pub fn lay_out<'a>(pieces: &[Piece<'a>], paper: &PaperSize, heading: Heading) -> Result<Layout<'a>, Vec<Misfit>> {
    lay_out_for(pieces, paper, heading, Printer::default())
}

/// The same for a printer of which more is known, and for pieces with two sides.
///
/// All places in the layout are those on the printed paper; only [`Page::to_file`] knows of the printer's error. Where
/// the file must be larger than the print, pieces keep further from the rim.
pub fn lay_out_for<'a>(
    pieces: &[Piece<'a>],
    paper: &PaperSize,
    heading: Heading,
    printer: Printer,
) -> Result<Layout<'a>, Vec<Misfit>> {
    lay_out_as(Kind::Measured, pieces, paper, heading, printer)
}

/// Lays out cards, which nobody measures: their pages have no check bars but one line at the foot, and cards lie edge to
/// edge, so that one cut parts two of them. A card that is the page itself has no crop marks.
///
/// # Errors
/// Cards that no page of the paper holds.
pub fn lay_out_cards<'a>(
    pieces: &[Piece<'a>],
    paper: &PaperSize,
    heading: Heading,
    printer: Printer,
) -> Result<Layout<'a>, Vec<Misfit>> {
    lay_out_as(Kind::Cards, pieces, paper, heading, printer)
}

fn lay_out_as<'a>(
    kind: Kind,
    pieces: &[Piece<'a>],
    paper: &PaperSize,
    heading: Heading,
    printer: Printer,
) -> Result<Layout<'a>, Vec<Misfit>> {
    let duplex = pieces.iter().any(|piece| piece.back.is_some()).then_some(printer.flip);
    let sizes: Vec<Size> = pieces.iter().map(|piece| piece.drawing.size).collect();
    let pack =
        |paper: &PaperSize| pack::pack(&sizes, Around::new(kind, paper, heading, printer.correction, duplex).free());
    let mut paper = paper.clone();
    let misfits = |misfits: Vec<usize>| {
        misfits.into_iter().map(|index| misfit(kind, &pieces[index], &paper, heading, printer)).collect::<Vec<Misfit>>()
    };
    let mut spots = pack(&paper).map_err(misfits)?;
    if paper.is_roll() {
        (paper, spots) = shortest(&paper, spots, pack);
    }
    let furniture = Around::new(kind, &paper, heading, printer.correction, duplex);
    let free = furniture.free();
    spots.iter_mut().for_each(|page| draw_in(page, free, kind));

    let page_size = paper.size();
    let correction = printer.correction.map(|correction| correction.on_page(page_size));
    let to_file = correction.as_ref().map_or(Affine::IDENTITY, Correction::to_file);
    let mut pages = Vec::new();
    let mut positions = vec![None; pieces.len()];
    for (index, page) in spots.iter().enumerate() {
        let (mut fronts, mut backs) = (Vec::new(), Vec::new());
        for &Spot { piece, area, turned } in page {
            let drawing = pieces[piece].drawing;
            let to_page = to_page(drawing.size, area, turned);
            fronts.push(Placed { drawing, to_page });
            if let Some(back) = pieces[piece].back {
                let to_page = printer.flip.to_back(page_size) * to_page * turned_over(drawing.size, back.size);
                backs.push(Placed { drawing: back, to_page });
            }
            positions[piece] = Some(Position { page: pages.len(), area, turned });
        }
        let areas: Vec<Rect> = page.iter().map(|spot| spot.area).collect();
        let (number, count) = (index + 1, spots.len());
        let side = if duplex.is_some() { Side::Front } else { Side::Only };
        let furniture_of = |side: Side, areas: &[Rect]| furniture.draw(number, count, areas, side);
        pages.push(Page { size: page_size, furniture: furniture_of(side, &areas), placed: fronts, to_file });
        if let Some(flip) = duplex {
            let to_back = flip.to_back(page_size);
            let areas: Vec<Rect> = areas.iter().map(|area| to_back.transform_rect_bbox(*area)).collect();
            let to_file = correction.as_ref().map_or(Affine::IDENTITY, Correction::back_to_file);
            let furniture = furniture_of(Side::Back(flip), &areas);
            pages.push(Page { size: page_size, furniture, placed: backs, to_file });
        }
    }
    let printable = furniture.printable();
    let furniture_area = furniture.areas().iter().map(Rect::area).sum();
    Ok(Layout {
        used: Used::of(&sizes, &spots, &paper, free, printable.area(), furniture_area),
        pages,
        positions: positions.into_iter().flatten().collect(),
        check_bars: furniture.bars(),
        printable,
        furniture_areas: furniture.areas(),
    })
}

/// What lies on the pages of a document.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// What has to be true to length.
    Measured,
    Cards,
}

/// What a page carries besides its pieces.
enum Around<'a> {
    Bars(Box<Furniture<'a>>),
    Foot(Foot<'a>),
}

impl<'a> Around<'a> {
    fn new(
        kind: Kind,
        paper: &'a PaperSize,
        heading: Heading<'a>,
        correction: Option<&Correction>,
        duplex: Option<Flip>,
    ) -> Self {
        match kind {
            Kind::Measured => Around::Bars(Box::new(Furniture::new(paper, heading, correction, duplex))),
            Kind::Cards => Around::Foot(Foot::new(paper, heading, correction, duplex)),
        }
    }

    fn free(&self) -> FreeArea {
        match self {
            Around::Bars(furniture) => furniture.free(),
            Around::Foot(foot) => foot.free(),
        }
    }

    fn printable(&self) -> Rect {
        match self {
            Around::Bars(furniture) => furniture.printable,
            Around::Foot(foot) => foot.printable,
        }
    }

    fn areas(&self) -> Vec<Rect> {
        match self {
            Around::Bars(furniture) => furniture.areas().to_vec(),
            Around::Foot(foot) => vec![foot.area()],
        }
    }

    fn bars(&self) -> Vec<CheckBar> {
        match self {
            Around::Bars(furniture) => furniture.bars.to_vec(),
            Around::Foot(_) => Vec::new(),
        }
    }

    fn draw(&self, number: usize, count: usize, pieces: &[Rect], side: Side) -> Drawing {
        match self {
            Around::Bars(furniture) => furniture.draw(number, count, pieces, side),
            Around::Foot(foot) => foot.draw(number, count, pieces, side),
        }
    }
}

/// The shortest length of a roll that holds on one page what its full length holds on one page.
fn shortest(
    roll: &PaperSize,
    mut spots: Vec<Vec<Spot>>,
    pack: impl Fn(&PaperSize) -> Result<Vec<Vec<Spot>>, Vec<usize>>,
) -> (PaperSize, Vec<Vec<Spot>>) {
    let mut paper = roll.clone();
    if spots.len() > 1 {
        return (paper, spots);
    }
    // Whole millimetres between a length that is too short and one that will do.
    let (mut short, mut long) = (LEAST_ROLL_MM - 1, roll.size().height.floor() as u32);
    while short + 1 < long {
        let middle = (short + long) / 2;
        let tried = roll.cut(Length::mm(middle.into()));
        match pack(&tried) {
            Ok(page) if page.len() <= 1 => (paper, spots, long) = (tried, page, middle),
            _ => short = middle,
        }
    }
    (paper, spots)
}

fn misfit(kind: Kind, piece: &Piece, paper: &PaperSize, heading: Heading, printer: Printer) -> Misfit {
    let size = piece.drawing.size;
    let duplex = piece.back.map(|_| printer.flip);
    // The paper itself may hold it, but not what is left of it for this printer.
    let mut others = paper.common().filter(|other| other != paper);
    let fits_on = others.find(|other| Around::new(kind, other, heading, None, duplex).free().holds(size));
    let needs_nearer_joints = tile::needs_nearer_joints(piece.drawing, paper, heading, printer);
    let two_sided = duplex.is_some();
    Misfit { id: piece.id.to_owned(), size, paper: paper.clone(), fits_on, needs_nearer_joints, two_sided }
}

/// From the back of a piece, seen upright, to the same places on its front: turned over like the leaf of a book. A
/// back that lies where its front stands, or the other way round, reads up; one of another size lies in the middle.
fn turned_over(front: Size, back: Size) -> Affine {
    let alike = |a: f64, b: f64| (a - b).abs() <= SLACK_MM;
    if alike(front.width, back.height) && alike(front.height, back.width) && !alike(front.width, back.width) {
        return turned_over(front, front) * quarter_turn(0.0, back.width);
    }
    let middle = (front - back) * 0.5;
    Affine::new([-1.0, 0.0, 0.0, 1.0, back.width + middle.width, middle.height])
}

/// From a drawing's millimetres to its area on the page.
fn to_page(drawing: Size, area: Rect, turned: bool) -> Affine {
    if turned { quarter_turn(area.x0, area.y0 + drawing.width) } else { Affine::translate(area.origin().to_vec2()) }
}

/// Moves a page's pieces together off the top and left, where they were packed, as far as the other edges allow, so
/// that their outer crop marks find room.
fn draw_in(page: &mut [Spot], free: FreeArea, kind: Kind) {
    let slack = |spot: &Spot| {
        let beside_block = spot.area.x0 >= free.tall.x0 - SLACK_MM;
        let bottom = if beside_block { free.tall.y1 } else { free.wide.y1 };
        Vec2::new(free.wide.x1 - spot.area.x1, bottom - spot.area.y1)
    };
    let least = |along: fn(Vec2) -> f64| page.iter().map(|spot| along(slack(spot))).fold(f64::INFINITY, f64::min);
    let share = |slack: f64| (slack / 2.0).clamp(0.0, crop::REACH_MM);
    // Cards come down all the way, so that they are as far from the upper edge as from the others.
    let down = match kind {
        Kind::Measured => share(least(|slack| slack.y)),
        Kind::Cards => least(|slack| slack.y).clamp(0.0, crop::REACH_MM),
    };
    let by = Vec2::new(share(least(|slack| slack.x)), down);
    for spot in page {
        spot.area = spot.area + by;
    }
}
