//! From drawings to pages: packs the pieces, places them, adds each page's furniture. Knows no file format.

use kurbo::{Affine, Rect, Size, Vec2};

use super::furniture::{CheckBar, Furniture, Heading, quarter_turn};
use super::pack::{self, FreeArea, Spot};
use super::{Page, PaperSize, Placed, crop};
use crate::drawing::Drawing;
use crate::length::Length;
use crate::size::SLACK_MM;

/// A drawing to be printed and cut out, and the name it is known by.
#[derive(Clone, Copy, Debug)]
pub struct Piece<'a> {
    pub id: &'a str,
    pub drawing: &'a Drawing,
}

/// All pages of one document; every page has the size of the paper.
#[derive(Clone, Debug)]
pub struct Layout<'a> {
    pub pages: Vec<Page<'a>>,
    /// Where each piece went, in the order of the pieces given.
    pub positions: Vec<Position>,
    /// Across the page and up it, at the same place on every page.
    pub check_bars: [CheckBar; 2],
    /// What the printer reaches, page millimetres.
    pub printable: Rect,
    /// Where bars and words stand; no piece touches them.
    pub furniture_areas: [Rect; 2],
    /// Share of all printable area that is covered by pieces; 0 for no pages.
    pub used_share: f64,
    /// Share of all printable area that bars and words take. What is left is gaps and offcuts.
    pub furniture_share: f64,
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
    pub id: String,
    /// Millimetres.
    pub size: Size,
    pub paper: PaperSize,
    /// The smallest common paper that holds it, of the same family if there is one.
    pub fits_on: Option<PaperSize>,
}

impl Misfit {
    /// What is wrong, in a sentence without its full stop.
    pub fn what(&self) -> String {
        let (width, height) = (Length::mm(self.size.width), Length::mm(self.size.height));
        format!("\"{}\" is {width} by {height}: too large for {} with its margin", self.id, self.paper.name())
    }

    /// What would be right.
    pub fn instead(&self) -> String {
        match &self.fits_on {
            Some(paper) => format!("print on {}, or make it smaller", paper.name()),
            None => "make it smaller: no common paper holds it".into(),
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
/// let layout = lay_out(&[Piece { id: "backstay", drawing: &strip }], &PaperSize::default(), heading);
/// assert!(layout.is_ok_and(|layout| layout.positions[0].turned));
/// ```
pub fn lay_out<'a>(pieces: &[Piece<'a>], paper: &PaperSize, heading: Heading) -> Result<Layout<'a>, Vec<Misfit>> {
    lay_out_within(pieces, paper, paper.printable(), heading)
}

/// The same on a part of the paper: a printer whose error is corrected by enlarging has less room.
///
/// # Errors
/// As [`lay_out`].
pub fn lay_out_within<'a>(
    pieces: &[Piece<'a>],
    paper: &PaperSize,
    printable: Rect,
    heading: Heading,
) -> Result<Layout<'a>, Vec<Misfit>> {
    let furniture = Furniture::new(paper, printable, heading);
    let free = furniture.free();
    let sizes: Vec<Size> = pieces.iter().map(|piece| piece.drawing.size).collect();
    let mut spots = pack::pack(&sizes, free).map_err(|misfits| {
        misfits.into_iter().map(|index| misfit(&pieces[index], paper, heading)).collect::<Vec<Misfit>>()
    })?;
    spots.iter_mut().for_each(|page| draw_in(page, free));

    let mut pages = Vec::new();
    let mut positions = vec![None; pieces.len()];
    for (number, page) in spots.iter().enumerate() {
        let mut placed = Vec::new();
        for &Spot { piece, area, turned } in page {
            let drawing = pieces[piece].drawing;
            placed.push(Placed { drawing, to_page: to_page(drawing.size, area, turned) });
            positions[piece] = Some(Position { page: number, area, turned });
        }
        let areas: Vec<Rect> = page.iter().map(|spot| spot.area).collect();
        pages.push(Page { size: paper.size(), furniture: furniture.draw(number + 1, spots.len(), &areas), placed });
    }
    let all = printable.area() * pages.len().max(1) as f64;
    Ok(Layout {
        used_share: sizes.iter().map(|size| size.area()).sum::<f64>() / all,
        furniture_share: furniture.areas().iter().map(Rect::area).sum::<f64>() * pages.len() as f64 / all,
        pages,
        positions: positions.into_iter().flatten().collect(),
        check_bars: furniture.bars,
        printable,
        furniture_areas: furniture.areas(),
    })
}

fn misfit(piece: &Piece, paper: &PaperSize, heading: Heading) -> Misfit {
    let size = piece.drawing.size;
    // The paper itself may hold it, but not what is left of it for this printer.
    let mut others = paper.common().filter(|other| other != paper);
    let fits_on = others.find(|other| Furniture::new(other, other.printable(), heading).free().holds(size));
    Misfit { id: piece.id.to_owned(), size, paper: paper.clone(), fits_on }
}

/// From a drawing's millimetres to its area on the page.
fn to_page(drawing: Size, area: Rect, turned: bool) -> Affine {
    if turned { quarter_turn(area.x0, area.y0 + drawing.width) } else { Affine::translate(area.origin().to_vec2()) }
}

/// Moves a page's pieces together off the top and left, where they were packed, as far as the other edges allow, so
/// that their outer crop marks find room.
fn draw_in(page: &mut [Spot], free: FreeArea) {
    let slack = |spot: &Spot| {
        let beside_block = spot.area.x0 >= free.tall.x0 - SLACK_MM;
        let bottom = if beside_block { free.tall.y1 } else { free.wide.y1 };
        Vec2::new(free.wide.x1 - spot.area.x1, bottom - spot.area.y1)
    };
    let least = |along: fn(Vec2) -> f64| page.iter().map(|spot| along(slack(spot))).fold(f64::INFINITY, f64::min);
    let share = |slack: f64| (slack / 2.0).clamp(0.0, crop::REACH_MM);
    let by = Vec2::new(share(least(|slack| slack.x)), share(least(|slack| slack.y)));
    for spot in page {
        spot.area = spot.area + by;
    }
}
