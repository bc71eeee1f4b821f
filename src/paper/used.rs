//! How well the paper of one document is used, and where the rest of it went. Knows rectangles only.

use kurbo::Size;

use super::PaperSize;
use super::pack::{self, FreeArea, Spot};
use crate::size::SLACK_MM;

/// Where more than this share of all that is left over lies on one page, that page is the reason.
const MOST_OF_WASTE: f64 = 0.5;

/// Shares of all printable area, from 0 to 1; what is left is gaps for the knife and offcuts.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Used {
    /// Covered by pieces.
    pub pieces: f64,
    /// Taken by check bars and words.
    pub furniture: f64,
    /// Why it is not more; none off a roll.
    pub reason: Option<Reason>,
}

/// Why paper is left over.
#[derive(Clone, Debug, PartialEq)]
pub enum Reason {
    /// One page is less full than the rest, because there is nothing more to put on it; counted from 1.
    RoomOnPage(usize),
    /// A page holds no more than so many pieces of the size that takes most of the paper.
    Holds {
        /// How many pieces could lie on such a page.
        count: usize,
        /// How large such a piece is, in millimetres.
        size: Size,
        /// The name of the paper.
        paper: String,
    },
}

impl Used {
    /// For `pieces` that lie where `pages` say; `printable` and `furniture` are areas of one page.
    pub(super) fn of(
        pieces: &[Size],
        pages: &[Vec<Spot>],
        paper: &PaperSize,
        free: FreeArea,
        printable: f64,
        furniture: f64,
    ) -> Used {
        if pages.is_empty() {
            return Used::default();
        }
        let all = printable * pages.len() as f64;
        let covered: f64 = pieces.iter().map(|size| size.area()).sum();
        let left = |page: &Vec<Spot>| printable - furniture - page.iter().map(|spot| spot.area.area()).sum::<f64>();
        let emptiest = (0..pages.len()).map(|index| (index, left(&pages[index]))).max_by(|a, b| a.1.total_cmp(&b.1));
        let most =
            emptiest.filter(|(_, left)| *left > MOST_OF_WASTE * (all - covered - furniture * pages.len() as f64));
        let reason = match most {
            // It is cut as long as it needs to be.
            _ if paper.is_roll() => None,
            Some((page, _)) => Some(Reason::RoomOnPage(page + 1)),
            None => most_paper(pieces).map(|size| {
                let count = most_on_a_page(size, free);
                Reason::Holds { count, size, paper: paper.name().to_owned() }
            }),
        };
        Used { pieces: covered / all, furniture: furniture * pages.len() as f64 / all, reason }
    }

    /// `54 % of the paper used, 14 % bars and words; a page of A4 holds 1 of 148 x 210 mm`.
    pub fn words(&self) -> String {
        let percent = |share: f64| (share * 100.0).round();
        let shares =
            format!("{} % of the paper used, {} % bars and words", percent(self.pieces), percent(self.furniture));
        match &self.reason {
            None => shares,
            Some(Reason::RoomOnPage(page)) => format!("{shares}; room left on page {page}"),
            Some(Reason::Holds { count, size, paper }) => {
                let [width, height] = [size.width, size.height].map(|side| (side * 10.0).round() / 10.0);
                format!("{shares}; a page of {paper} holds {count} of {width} x {height} mm")
            }
        }
    }
}

/// The size that takes most of the paper, the first of equals; turned or not, it is one.
fn most_paper(pieces: &[Size]) -> Option<Size> {
    let alike = |a: Size, b: Size| {
        (a.min_side() - b.min_side()).abs() <= SLACK_MM && (a.max_side() - b.max_side()).abs() <= SLACK_MM
    };
    let mut kinds: Vec<(Size, f64)> = Vec::new();
    for &size in pieces {
        match kinds.iter_mut().find(|(kind, _)| alike(*kind, size)) {
            Some((_, area)) => *area += size.area(),
            None => kinds.push((size, size.area())),
        }
    }
    kinds.into_iter().rev().max_by(|a, b| a.1.total_cmp(&b.1)).map(|(size, _)| size)
}

/// How many of one size fit on a page: one more than a page holds makes a second.
fn most_on_a_page(size: Size, free: FreeArea) -> usize {
    let mut count = 1;
    while pack::pack(&vec![size; count + 1], free).is_ok_and(|pages| pages.len() == 1) {
        count += 1;
    }
    count
}
