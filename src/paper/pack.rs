//! Which piece goes where on how many pages. Knows rectangles only.
//!
//! The rule. Pieces are never split; a quarter turn is free. Every page is cut up by straight cuts from edge to edge
//! of what is left in the hand (a *guillotine* pattern), so a steel rule and a knife do it all.
//!
//! 1. A page begins with the largest piece left, since that is the hardest to find room for.
//! 2. The rest of the page is filled in every combination of a few plain habits: which piece is taken next
//!    ([`Order`]), which free rectangle it goes into ([`Fit`]), which way the first cut beside it runs ([`Cut`]), and
//!    how the corner taken by the page's furniture is cut off ([`FreeArea::regions`]).
//! 3. The best filling is kept ([`Aim`]) and repeated as long as its pieces last.
//! 4. "Largest" is tried as area and as length, with either aim, and the shortest stack of pages is kept, the first
//!    of equals.
//!
//! Nothing is random and pieces of one size keep their order, so the same pieces give the same pages.

use std::cmp::Ordering;

use kurbo::{Rect, Size};

use crate::size::SLACK_MM;

/// White between two pieces that are measured: room for a crop mark of 2 mm, and for the knife to slip without harm.
pub(super) const GAP_MM: f64 = 3.0;
/// Cards lie edge to edge, so that one cut parts two of them: each has a rim of its own for the knife to slip into.
pub(super) const NO_GAP_MM: f64 = 0.0;

/// The part of a page that pieces may use: an upright L upside down, as two rectangles that share their top and right.
#[derive(Clone, Copy, Debug)]
pub(super) struct FreeArea {
    /// The full width, ending above the furniture along the bottom.
    pub wide: Rect,
    /// The full height, beside the furniture along the bottom; it may be empty.
    pub tall: Rect,
    /// White between two pieces, millimetres.
    pub gap: f64,
}

/// Where a piece lies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Spot {
    /// Index into the pieces given.
    pub piece: usize,
    pub area: Rect,
    pub turned: bool,
}

/// Puts `pieces` onto pages; or says which of them no page can hold.
///
/// Pages come in the order of their first piece.
pub(super) fn pack(pieces: &[Size], free: FreeArea) -> Result<Vec<Vec<Spot>>, Vec<usize>> {
    let misfits: Vec<usize> = (0..pieces.len()).filter(|&piece| !free.holds(pieces[piece])).collect();
    if !misfits.is_empty() {
        return Err(misfits);
    }
    let kinds = Kind::sort_out(pieces);
    let stacks = [Order::Area, Order::LongSide]
        .into_iter()
        .flat_map(|largest| [Aim::Cover, Aim::Bulk].map(|aim| patterns(&kinds, free, largest, aim)));
    let best = stacks.min_by_key(Vec::len).unwrap_or_default();

    let mut queues: Vec<_> = kinds.iter().map(|kind| kind.pieces.iter().copied()).collect();
    let mut pages: Vec<Vec<Spot>> = Vec::new();
    for pattern in &best {
        let spot = |cell: &Cell| {
            let piece = queues[cell.kind].next()?;
            Some(Spot { piece, area: cell.area, turned: cell.turned })
        };
        pages.push(pattern.iter().filter_map(spot).collect());
    }
    pages.sort_by_key(|page| page.iter().map(|spot| spot.piece).min());
    Ok(pages)
}

impl FreeArea {
    /// Whether a page holds one piece of this size, either way round.
    pub(super) fn holds(&self, piece: Size) -> bool {
        [piece, Size::new(piece.height, piece.width)]
            .into_iter()
            .any(|size| size.min_side() >= 0.0 && (fits(size, self.wide.size()) || fits(size, self.tall.size())))
    }

    /// The ways to cut the L into rectangles that do not overlap, for pieces that carry their gap with them.
    ///
    /// Below the wide part only a strip is left; so for pieces longer than the wide part, columns of the full height
    /// are cut off at the right: as wide as the first such piece, the first two, and so on.
    fn regions(&self, kinds: &[Kind], left: &[usize]) -> Vec<Vec<Rect>> {
        let gap = Size::new(self.gap, self.gap);
        let wide = self.wide.with_size(self.wide.size() + gap);
        let tall = self.tall.with_size(self.tall.size() + gap);
        if self.tall.width() <= 0.0 {
            return vec![vec![wide]];
        }
        let column = |x: f64| vec![Rect { x1: x, ..wide }, Rect { x0: x, ..tall }];
        let mut regions = vec![vec![wide, Rect { y0: wide.y1, ..tall }], column(tall.x0)];
        let mut x = tall.x1;
        for (kind, &count) in kinds.iter().zip(left) {
            if fits(kind.size, self.wide.size()) || fits(kind.turned().size, self.wide.size()) {
                continue;
            }
            for _ in 0..count {
                x -= kind.size.min_side() + self.gap;
                if x <= tall.x0 {
                    return regions;
                }
                regions.push(column(x));
            }
        }
        regions
    }
}

fn fits(piece: Size, room: Size) -> bool {
    piece.width <= room.width + SLACK_MM && piece.height <= room.height + SLACK_MM
}

/// Pieces of one size, in the order given.
#[derive(Clone, Debug)]
struct Kind {
    size: Size,
    pieces: Vec<usize>,
}

impl Kind {
    /// Pieces by size, in the order of their first piece.
    fn sort_out(pieces: &[Size]) -> Vec<Kind> {
        let mut kinds: Vec<Kind> = Vec::new();
        for (index, &size) in pieces.iter().enumerate() {
            match kinds.iter_mut().find(|kind| kind.size == size) {
                Some(kind) => kind.pieces.push(index),
                None => kinds.push(Kind { size, pieces: vec![index] }),
            }
        }
        kinds
    }

    fn turned(&self) -> Kind {
        Kind { size: Size::new(self.size.height, self.size.width), pieces: Vec::new() }
    }
}

/// Which piece comes first.
#[derive(Clone, Copy, Debug)]
enum Order {
    Area,
    LongSide,
    ShortSide,
}

impl Order {
    const ALL: [Order; 3] = [Order::Area, Order::LongSide, Order::ShortSide];

    /// Indices of the kinds, largest first; kinds that measure the same keep their order.
    fn sort(self, kinds: &[Kind]) -> Vec<usize> {
        let measure = |kind: usize| match self {
            Order::Area => kinds[kind].size.area(),
            Order::LongSide => kinds[kind].size.max_side(),
            Order::ShortSide => kinds[kind].size.min_side(),
        };
        let mut order: Vec<usize> = (0..kinds.len()).collect();
        order.sort_by(|&a, &b| measure(b).total_cmp(&measure(a)));
        order
    }
}

/// Which free rectangle suits a piece best.
#[derive(Clone, Copy, Debug)]
enum Fit {
    /// The one with the narrowest strip left beside the piece.
    ShortSide,
    /// The one with the shortest length left on the other side.
    LongSide,
    /// The smallest.
    Area,
}

impl Fit {
    const ALL: [Fit; 3] = [Fit::ShortSide, Fit::LongSide, Fit::Area];

    /// Less is better.
    fn waste(self, piece: Size, room: Size) -> f64 {
        let (beside, below) = (room.width - piece.width, room.height - piece.height);
        match self {
            Fit::ShortSide => beside.min(below),
            Fit::LongSide => beside.max(below),
            Fit::Area => room.area() - piece.area(),
        }
    }
}

/// How the L of paper left around a piece in the corner of a free rectangle is cut in two.
#[derive(Clone, Copy, Debug)]
enum Cut {
    /// From top to bottom: what is beside keeps the full height.
    Down,
    /// From side to side: what is below keeps the full width.
    Across,
    /// Whichever leaves the larger rectangle in one piece.
    LargestLeft,
}

impl Cut {
    const ALL: [Cut; 3] = [Cut::Down, Cut::Across, Cut::LargestLeft];

    fn remainders(self, room: Rect, piece: Size) -> [Rect; 2] {
        let (x, y) = (room.x0 + piece.width, room.y0 + piece.height);
        let down = [Rect { x0: x, ..room }, Rect { x1: x, y0: y, ..room }];
        let across = [Rect { x0: x, y1: y, ..room }, Rect { y0: y, ..room }];
        match self {
            Cut::Down => down,
            Cut::Across => across,
            Cut::LargestLeft if down[0].area() >= across[1].area() => down,
            Cut::LargestLeft => across,
        }
    }
}

/// A place on a page for any piece of a kind.
#[derive(Clone, Copy, Debug)]
struct Cell {
    kind: usize,
    /// The piece itself, without its gap.
    area: Rect,
    turned: bool,
}

/// The pages that use up all pieces, each beginning with the `largest` left.
fn patterns(kinds: &[Kind], free: FreeArea, largest: Order, aim: Aim) -> Vec<Vec<Cell>> {
    let mut left: Vec<usize> = kinds.iter().map(|kind| kind.pieces.len()).collect();
    let largest_first = largest.sort(kinds);
    let orders = Order::ALL.map(|order| order.sort(kinds));
    let mut pages = Vec::new();
    while let Some(&first) = largest_first.iter().find(|&&kind| left[kind] > 0) {
        let mut best: Option<(Worth, Vec<Cell>)> = None;
        for regions in free.regions(kinds, &left) {
            for order in &orders {
                for fit in Fit::ALL {
                    for cut in Cut::ALL {
                        let page = fill(&regions, first, kinds, &left, free.gap, (order, fit, cut));
                        let worth = Worth::of(&page);
                        if page.first().is_some_and(|cell| cell.kind == first)
                            && best.as_ref().is_none_or(|(least, _)| worth.beats(least, aim))
                        {
                            best = Some((worth, page));
                        }
                    }
                }
            }
        }
        // Every piece was seen to fit an empty page, so one of the ways has placed the first.
        let Some((_, page)) = best else { break };
        loop {
            for cell in &page {
                left[cell.kind] -= 1;
            }
            pages.push(page.clone());
            let needed = |kind: usize| page.iter().filter(|cell| cell.kind == kind).count();
            if (0..kinds.len()).any(|kind| left[kind] < needed(kind)) {
                break;
            }
        }
    }
    pages
}

/// One page: the first piece, then whatever still fits, in order.
fn fill(
    regions: &[Rect],
    first: usize,
    kinds: &[Kind],
    left: &[usize],
    gap: f64,
    (order, fit, cut): (&[usize], Fit, Cut),
) -> Vec<Cell> {
    let narrowest = gap
        + kinds
            .iter()
            .zip(left)
            .filter(|(_, left)| **left > 0)
            .map(|(kind, _)| kind.size.min_side())
            .fold(f64::INFINITY, f64::min)
        - SLACK_MM;
    let mut rooms = regions.to_vec();
    let mut page = Vec::new();
    let mut place = |kind: usize| {
        let size = kinds[kind].size;
        let Some((room, turned)) = best_room(&rooms, size + Size::new(gap, gap), fit) else { return false };
        let size = if turned { Size::new(size.height, size.width) } else { size };
        let room = rooms.remove(room);
        page.push(Cell { kind, area: Rect::from_origin_size(room.origin(), size), turned });
        let with_gap = size + Size::new(gap, gap);
        rooms.extend(cut.remainders(room, with_gap).into_iter().filter(|rest| rest.size().min_side() >= narrowest));
        true
    };
    if !place(first) {
        return page;
    }
    for &kind in order {
        let count = if kind == first { left[kind] - 1 } else { left[kind] };
        for _ in 0..count {
            if !place(kind) {
                break;
            }
        }
    }
    page
}

/// The index of the room that suits a piece with its gap best, and whether the piece is turned in it.
fn best_room(rooms: &[Rect], upright: Size, fit: Fit) -> Option<(usize, bool)> {
    let lying = Size::new(upright.height, upright.width);
    let mut best: Option<(f64, usize, bool)> = None;
    for (index, room) in rooms.iter().enumerate() {
        for (size, turned) in [(upright, false), (lying, true)] {
            let waste = fit.waste(size, room.size());
            if fits(size, room.size()) && best.is_none_or(|(least, ..)| waste < least - SLACK_MM) {
                best = Some((waste, index, turned));
            }
        }
    }
    best.map(|(_, index, turned)| (index, turned))
}

/// What makes one filling of a page better than another; among equals the one with fewer different cut lines.
#[derive(Clone, Copy, Debug)]
enum Aim {
    /// More paper covered, then larger pieces gone.
    Cover,
    /// Larger pieces gone, then more paper covered.
    Bulk,
}

/// What a filled page is worth.
struct Worth {
    covered: f64,
    /// Sum of squared areas: of two pages that cover the same, the one with larger pieces has more.
    bulk: f64,
    cut_lines: usize,
}

impl Worth {
    fn of(page: &[Cell]) -> Self {
        let areas = || page.iter().map(|cell| cell.area.area());
        Worth {
            covered: areas().sum(),
            bulk: areas().map(|area| area * area).sum(),
            cut_lines: distinct(page.iter().flat_map(|cell| [cell.area.x0, cell.area.x1]))
                + distinct(page.iter().flat_map(|cell| [cell.area.y0, cell.area.y1])),
        }
    }

    fn beats(&self, other: &Worth, aim: Aim) -> bool {
        let covered = compare(self.covered, other.covered);
        let bulk = compare(self.bulk, other.bulk);
        let better = match aim {
            Aim::Cover => covered.then(bulk),
            Aim::Bulk => bulk.then(covered),
        };
        better.then(other.cut_lines.cmp(&self.cut_lines)).is_gt()
    }
}

/// Which is more, but for rounding: sums of the same areas in another order are equal.
fn compare(one: f64, other: f64) -> Ordering {
    if (one - other).abs() <= SLACK_MM * one.max(other) { Ordering::Equal } else { one.total_cmp(&other) }
}

/// How many different places there are among these.
fn distinct(places: impl Iterator<Item = f64>) -> usize {
    let mut sorted: Vec<f64> = places.collect();
    sorted.sort_by(f64::total_cmp);
    sorted.dedup_by(|a, b| (*a - *b).abs() <= SLACK_MM);
    sorted.len()
}
