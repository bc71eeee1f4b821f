//! Which sizes cards come in on a paper, and which a card may ask for there. Knows cards and papers by their sizes alone.

use kurbo::{Rect, Size};

use crate::length::Length;
use crate::size::{NamedSize, SLACK_MM};

/// The largest card that lies well in a hand.
const HAND_SIZE: &str = "A5";
/// Rim that a printer leaves white. Common practice: most desktop printers reach to 4.2 mm or nearer.
pub const MARGIN: Length = Length::mm(5.0);
/// A card that asks for no size keeps this far from the paper's edges: printers leave 4.2 to 5 mm white and shift what
/// they print by up to 1.5 mm (common practice), so its rim stays even.
pub const EDGE: Length = Length::mm(8.0);
/// Height of the line of words under the cards of a page.
pub const FOOT: Length = Length::mm(4.0);
/// Height of the line of crosses over cards with two sides.
pub const CROSSES: Length = Length::mm(3.0);

/// The handiest size, for a card that holds it.
const HANDIEST: &str = "A6";
/// A part of a page is halved again while it is more than this many times A5: half of A4 or of Legal is a card, half of
/// A3 is a board.
const MOST_OF_A5: f64 = 1.25;
/// Off a roll there is no page to halve.
const OFF_A_ROLL: [&str; 2] = [HANDIEST, "A5"];
/// The papers that are offered to someone whose own is too small.
pub(crate) const COMMON_PAPERS: [&str; 6] = ["A5", "A4", "A3", "Letter", "Legal", "Tabloid"];

/// What a paper leaves for cards.
///
/// ```
/// use cockpit_cards::card_sizes::CardSizes;
///
/// // Half of A4 less 8 mm at its edges and a line of words; then the whole of it, which is not cut.
/// let names: Vec<String> = CardSizes::default().usual().into_iter().map(|size| size.name).collect();
/// assert_eq!(names, ["A6", "194 × 138.5 mm", "194 × 277 mm"]);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct CardSizes {
    /// The paper, upright.
    paper: NamedSize,
    /// It is as long as needed.
    roll: bool,
    /// Each card takes a place on both sides of the paper.
    two_sided: bool,
    /// Where cards may lie, millimetres.
    room: Size,
    /// Where on a page what has to be true to length may lie, beside the check bars; without end if nothing is known of the page.
    measured: [Size; 2],
}

impl Default for CardSizes {
    /// Those of A4.
    fn default() -> Self {
        CardSizes::of(&NamedSize { name: "A4".into(), size: Size::new(210.0, 297.0) }, false, false)
    }
}

impl CardSizes {
    /// Those of a paper, by a printer that has no error to make up for.
    pub fn of(paper: &NamedSize, roll: bool, two_sided: bool) -> Self {
        let paper = if roll { paper.clone() } else { paper.portrait() };
        let room = room(paper.size.to_rect().inset(-MARGIN.to_mm()), paper.size, two_sided).size();
        CardSizes { paper, roll, two_sided, room, measured: [Size::new(f64::INFINITY, f64::INFINITY); 2] }
    }

    /// The same where a printer leaves another room than most.
    pub fn with_room(self, room: Size) -> Self {
        CardSizes { room, ..self }
    }

    /// The same with the two places that a page has for what has to be true to length.
    pub fn with_measured(self, measured: [Size; 2]) -> Self {
        CardSizes { measured, ..self }
    }

    /// Whether something of this size that has to be true to length can be printed in one piece.
    pub fn holds_measured(&self, size: Size) -> bool {
        self.measured.iter().any(|room| lies_in(size, *room))
    }

    /// The longest side of anything that has to be true to length and is printed in one piece, millimetres.
    pub fn longest_measured(&self) -> f64 {
        self.measured.iter().map(|room| room.max_side()).fold(0.0, f64::max)
    }

    /// Sizes for a card that asks for none, the handiest first; every one can be printed on the paper.
    pub fn usual(&self) -> Vec<NamedSize> {
        if self.roll {
            return OFF_A_ROLL.iter().filter_map(|name| NamedSize::known(name)).collect();
        }
        let (mut larger, mut part) = (None, self.page());
        while self.is_large(part) {
            larger = Some(part);
            part = halved(part);
        }
        let handiest = NamedSize::known(HANDIEST).filter(|size| size.size.area() < part.area());
        let parts = [Some(part), larger].into_iter().flatten().map(NamedSize::of);
        handiest.into_iter().chain(parts).filter(|size| self.holds(size.size)).collect()
    }

    /// A5, where the paper holds it and it is more than the part of the page that is usual: a little more to a card than that, for one
    /// that would need the whole page otherwise.
    pub fn before_the_page(&self) -> Option<NamedSize> {
        let usual = self.usual();
        let is_more = |a5: &NamedSize| {
            usual.iter().any(|size| size.size.area() < a5.size.area())
                && usual.iter().any(|size| self.is_large(size.size))
        };
        NamedSize::known(HAND_SIZE).filter(|a5| self.holds(a5.size) && is_more(a5))
    }

    /// Whether a size is larger than a card that asks for none should be.
    pub fn is_large(&self, size: Size) -> bool {
        let a5 = NamedSize::known(HAND_SIZE).map_or(f64::INFINITY, |size| size.size.area());
        size.area() > a5 * MOST_OF_A5
    }

    /// Whether a card of this size is the page as it comes out of the printer, and so is not cut.
    pub fn is_uncut(&self, size: Size) -> bool {
        let page = self.page();
        let alike = |a: Size, b: Size| (a - b).to_vec2().hypot() <= SLACK_MM;
        !self.roll && (alike(size, page) || alike(Size::new(size.height, size.width), page))
    }

    /// Whether a card of this size can be printed on the paper, one way round or the other.
    pub fn holds(&self, size: Size) -> bool {
        lies_in(size, self.room)
    }

    /// The common papers that have more room, this one's family first, each smallest first.
    pub fn on_larger_paper(&self) -> Vec<CardSizes> {
        let common = self.paper.cousins().into_iter().filter(|size| COMMON_PAPERS.contains(&size.name.as_str()));
        let sizes = common.map(|paper| CardSizes::of(&paper, false, self.two_sided));
        sizes.filter(|sizes| !self.holds(sizes.room)).collect()
    }

    /// What people call the paper.
    pub fn paper(&self) -> &str {
        &self.paper.name
    }

    /// The whole page but for its edges and its foot.
    fn page(&self) -> Size {
        let edges = 2.0 * EDGE.to_mm();
        Size::new(self.paper.size.width - edges, self.paper.size.height - edges - FOOT.to_mm())
    }
}

/// Whether something lies in a room, one way round or the other.
fn lies_in(size: Size, room: Size) -> bool {
    let fits = |width: f64, height: f64| width <= room.width + SLACK_MM && height <= room.height + SLACK_MM;
    fits(size.width, size.height) || fits(size.height, size.width)
}

/// Where cards may lie on a page of which a printer reaches `reach`: over the foot and, if they have two sides, under
/// the crosses.
pub(crate) fn room(reach: Rect, page: Size, two_sided: bool) -> Rect {
    let crosses = if two_sided { CROSSES.to_mm() } else { 0.0 };
    Rect { y0: reach.y0 + crosses, y1: foot(reach, page).y0, ..reach }
}

/// The line under the cards: as far from the edge as they are, or further where the printer asks for that.
pub(crate) fn foot(reach: Rect, page: Size) -> Rect {
    let y1 = reach.y1.min(page.height - EDGE.to_mm());
    Rect { y0: y1 - FOOT.to_mm(), y1, ..reach }
}

/// One of two that the longer side is cut into.
fn halved(size: Size) -> Size {
    if size.width > size.height {
        Size::new(size.width / 2.0, size.height)
    } else {
        Size::new(size.width, size.height / 2.0)
    }
}
