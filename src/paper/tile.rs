//! A drawing longer than the paper, cut into pieces that lie over each other at its joints. Knows where it may be cut,
//! not what is drawn.
//!
//! A piece shows its part of the drawing and a little more, the lap, beyond each joint; so both neighbours show the
//! joint itself and whatever stands near it. Beyond the lap a tab says which piece it is: of two neighbours the one with the higher
//! number lies over the tab of the other, and its own tab is cut off. Pieces that are looked at through what they stick
//! to would hide each other the wrong way round: they butt, both cut at the joint. Every piece is a window on the whole, so no error adds up. A
//! curved drawing is cut along radial lines, and each piece turned to lie as flat as it can.

use kurbo::Point;

use super::PaperSize;
use super::axis::Axis;
use super::furniture::{Furniture, Heading, LINE_MM, moved, words, wrapped};
use super::printer::Printer;
use crate::drawing::{Drawing, Item, Joint, Layer, Shape, Text, Weight, font};
use crate::size::SLACK_MM;

/// How far a piece goes on beyond a joint: enough for tape, but short of the next mark where there is room.
const LAP_LEAST_MM: f64 = 4.0;
const LAP_MOST_MM: f64 = 10.0;
/// White between the end of the lap and the next mark.
const LAP_CLEAR_MM: f64 = 1.0;
/// Match marks: at the edges, where they disturb nothing.
const MATCH_MM: f64 = 1.5;
const MATCH_WIDTH_MM: f64 = 0.15;
const CUT_WIDTH_MM: f64 = 0.1;
/// White around the words of a tab.
const TAB_RIM_MM: f64 = 1.5;
/// Widths at which a tab's words are tried.
const TAB_WORDS_MM: [f64; 8] = [16.0, 20.0, 25.0, 30.0, 36.0, 44.0, 54.0, 70.0];
/// Stands for any number of pieces where only its length counts.
const WIDE_NUMBER: usize = 88;

/// One piece of a drawing.
#[derive(Clone, Debug, PartialEq)]
pub struct Tile {
    /// The piece with its tabs and the words that tell where it belongs.
    pub drawing: Drawing,
    /// Counted from 1, which is the piece that is laid first.
    pub number: usize,
    /// How many pieces the whole is cut into.
    pub count: usize,
    /// Where the piece begins along the longer side of the whole, or along its sector, its tab included, millimetres.
    pub from_mm: f64,
    /// Along the same line, its tabs included.
    pub length_mm: f64,
    /// The middle of that length lies in the middle of the piece, which is turned about it; else it is as in the whole.
    pub curved: bool,
}

/// The pieces of a drawing that this paper cannot hold whole; `None` if it can, or if no joints are near enough.
pub fn tiles(whole: &Drawing, paper: &PaperSize, heading: Heading, printer: Printer) -> Option<Vec<Tile>> {
    cut(whole, longest(whole, paper, heading, printer)?)
}

/// Whether a drawing could be cut to this paper if only its joints were nearer each other.
pub(super) fn needs_nearer_joints(whole: &Drawing, paper: &PaperSize, heading: Heading, printer: Printer) -> bool {
    longest(whole, paper, heading, printer).is_some_and(|longest| Cutter::new(whole).joints(longest).is_none())
}

/// The longest piece of a drawing that must and may be cut.
fn longest(whole: &Drawing, paper: &PaperSize, heading: Heading, printer: Printer) -> Option<f64> {
    let free = Furniture::new(paper, heading, printer.correction, None).free();
    if whole.joints.is_empty() || free.holds(whole.size) {
        return None;
    }
    Axis::of(whole).longest(free)
}

/// Cuts a drawing into as few pieces of at most `longest` millimetres as its joints allow, as even as can be.
///
/// `None` if two neighbouring joints are too far apart.
pub fn cut(whole: &Drawing, longest: f64) -> Option<Vec<Tile>> {
    let cutter = Cutter::new(whole);
    let joints = cutter.joints(longest)?;
    let count = joints.len() + 1;
    let mut tiles: Vec<Tile> = (0..count).map(|index| cutter.tile(index, &joints)).collect();
    tiles.sort_by_key(|tile| tile.number);
    Some(tiles)
}

/// The most even way found to end some number of pieces at one joint.
#[derive(Clone, Copy)]
struct Way {
    /// Sum of the squares of the stretches so far.
    unevenness: f64,
    /// The joint before.
    from: usize,
}

/// One end of a piece, at a joint.
#[derive(Clone, Copy)]
struct End<'a> {
    joint: &'a Joint,
    /// Of this piece and of the one beyond the joint.
    number: usize,
    other: usize,
    count: usize,
    /// It lies over the other one.
    covers: bool,
    /// Where the tab begins.
    edge: f64,
}

struct Cutter<'a> {
    whole: &'a Drawing,
    axis: Axis,
    length: f64,
    width: f64,
    /// Length of every tab.
    tab: f64,
    tab_words: f64,
}

impl<'a> Cutter<'a> {
    fn new(whole: &'a Drawing) -> Self {
        let axis = Axis::of(whole);
        let (length, width) = (axis.length(), axis.width());
        let holds = |words_width: f64| {
            let room = width - 2.0 * TAB_RIM_MM - axis.room_for(words_width).1;
            whole.joints.iter().all(|joint| {
                let end = |covers| End {
                    joint,
                    number: WIDE_NUMBER,
                    other: WIDE_NUMBER,
                    count: WIDE_NUMBER,
                    covers,
                    edge: 0.0,
                };
                [end(false), end(true)]
                    .map(|end| end.said(whole))
                    .iter()
                    .all(|said| wrapped(said, words_width).is_some_and(|lines| depth(lines.len()) <= room))
            })
        };
        let widest = TAB_WORDS_MM[TAB_WORDS_MM.len() - 1];
        let tab_words = TAB_WORDS_MM.into_iter().find(|width| holds(*width)).unwrap_or(widest);
        let tab = axis.room_for(tab_words + 2.0 * TAB_RIM_MM).0;
        Cutter { whole, axis, length, width, tab, tab_words }
    }

    /// The joints at which the fewest pieces of at most `longest` end. Of all that make as few, those whose stretches
    /// from joint to joint, which are what is seen of the pieces once they lie over each other, have the least sum of
    /// squares: no other division into as many is as even.
    fn joints(&self, longest: f64) -> Option<Vec<&'a Joint>> {
        let fits = |begin: f64, end: f64| end - begin <= longest + SLACK_MM;
        if fits(0.0, self.length) {
            return Some(Vec::new());
        }
        let mut sorted: Vec<&Joint> = self.whole.joints.iter().collect();
        sorted.sort_by(|a, b| a.at.total_cmp(&b.at));
        let first =
            |joint: &&Joint| fits(0.0, self.end(joint)).then_some(Way { unevenness: joint.at * joint.at, from: 0 });
        // For each number of pieces, the ways to end the last of them at each joint.
        let mut ways: Vec<Vec<Option<Way>>> = vec![sorted.iter().map(first).collect()];
        loop {
            let last = ways.last()?;
            let ended = sorted.iter().zip(last).enumerate().filter_map(|(index, (joint, way))| {
                let rest = self.length - joint.at;
                let way = way.filter(|_| fits(self.begin(joint), self.length))?;
                Some((way.unevenness + rest * rest, index))
            });
            if let Some((_, index)) = ended.min_by(|a, b| a.0.total_cmp(&b.0)) {
                return Some(traced(&sorted, &ways, index));
            }
            let mut next: Vec<Option<Way>> = vec![None; sorted.len()];
            for (from, way) in last.iter().enumerate() {
                let Some(way) = way else { continue };
                let (before, begin) = (sorted[from], self.begin(sorted[from]));
                for (to, joint) in sorted.iter().enumerate().skip(from + 1) {
                    let stretch = joint.at - before.at;
                    if stretch > longest {
                        break;
                    }
                    let unevenness = way.unevenness + stretch * stretch;
                    let is_better = next[to].is_none_or(|other| unevenness < other.unevenness);
                    if stretch > 0.0 && is_better && fits(begin, self.end(joint)) {
                        next[to] = Some(Way { unevenness, from });
                    }
                }
            }
            if next.iter().all(Option::is_none) {
                return None;
            }
            ways.push(next);
        }
    }

    /// Where the piece before a joint ends, with its tab.
    fn end(&self, joint: &Joint) -> f64 {
        joint.at + lap(joint) + self.tab
    }

    /// Where the piece after a joint begins, with its tab.
    fn begin(&self, joint: &Joint) -> f64 {
        joint.at - lap(joint) - self.tab
    }

    fn tile(&self, index: usize, joints: &[&'a Joint]) -> Tile {
        let count = joints.len() + 1;
        let number_of = |index: usize| if self.whole.from_far_end { count - index } else { index + 1 };
        let number = number_of(index);
        let end = |joint: &'a Joint, other: usize, outward: f64| {
            let lap = if self.whole.butts { 0.0 } else { lap(joint) };
            let (other, edge) = (number_of(other), joint.at + outward * lap);
            End { joint, number, other, count, covers: number > other, edge }
        };
        let before = index.checked_sub(1).and_then(|other| Some(end(joints.get(other)?, other, -1.0)));
        let after = joints.get(index).map(|joint| end(joint, index + 1, 1.0));
        let begin = before.map_or(0.0, |before| self.begin(before.joint));
        let finish = after.map_or(self.length, |after| self.end(after.joint));
        let shows = self.axis.shows(
            before.map(|before| before.joint.at - lap(before.joint)),
            after.map(|after| after.joint.at + lap(after.joint)),
        );
        let window = self.axis.window(begin, finish);
        let title = format!("{}, piece {number} of {count}", self.whole.title);
        let mut drawing = Drawing::new(window.size, title, self.whole.description.clone());
        let mut add = |layer: Layer, shape: Shape| {
            drawing.items.push(Item { layer, shape: moved(shape, window.to_tile, window.turn) });
        };
        for item in &self.whole.items {
            if let Some(part) = shows.part(&item.shape) {
                add(item.layer, part);
            }
        }
        for (tab, tip, said_from, end) in before
            .map(|end| ((begin, end.edge), begin, begin, end))
            .into_iter()
            .chain(after.map(|end| ((end.edge, finish), finish, end.joint.at + lap(end.joint), end)))
        {
            self.match_marks(end.joint.at).into_iter().for_each(|mark| add(Layer::Print, mark));
            self.tab(tab.0, tab.1, tip).into_iter().for_each(|line| add(Layer::Cut, line));
            if end.covers || self.whole.butts {
                add(Layer::Cut, self.edge(end.edge));
            } else {
                // The edge of the piece that covers this one goes here.
                let covered_from = 2.0 * end.joint.at - end.edge;
                self.match_marks(covered_from).into_iter().for_each(|mark| add(Layer::Print, mark));
            }
            let said = end.said(self.whole);
            self.said(said_from, &said).into_iter().for_each(|text| add(Layer::Print, text.into()));
        }
        Tile { drawing, number, count, from_mm: begin, length_mm: finish - begin, curved: self.whole.sector.is_some() }
    }

    fn edge(&self, at: f64) -> Shape {
        self.axis.across(at, 0.0, self.width, CUT_WIDTH_MM)
    }

    /// The outline of a tab, open towards the piece.
    fn tab(&self, from: f64, to: f64, end: f64) -> [Shape; 3] {
        let [near, far] = [0.0, self.width].map(|across| self.axis.along(from, to, across, CUT_WIDTH_MM));
        [near, far, self.edge(end)]
    }

    fn match_marks(&self, at: f64) -> [Shape; 2] {
        [(0.0, MATCH_MM), (self.width - MATCH_MM, self.width)]
            .map(|(from, to)| self.axis.across(at, from, to, MATCH_WIDTH_MM))
    }

    /// The words of the tab that begins at `from`.
    fn said(&self, from: f64, said: &str) -> Vec<Text> {
        let lines = wrapped(said, self.tab_words).unwrap_or_default();
        let (to_whole, turn) = self.axis.words(from, self.tab_words, depth(lines.len()), TAB_RIM_MM);
        let text = |(index, line): (usize, &String)| {
            let text = words(line, Weight::Regular);
            let baseline = Point::new(0.0, text.cap_height() + LINE_MM * index as f64);
            Text { origin: to_whole * baseline, turn, ..text }
        };
        lines.iter().enumerate().map(text).collect()
    }
}

/// The joints of the way that ends at one of them, from the first.
fn traced<'a>(sorted: &[&'a Joint], ways: &[Vec<Option<Way>>], last: usize) -> Vec<&'a Joint> {
    let mut index = last;
    let mut joints = Vec::new();
    for ways in ways.iter().rev() {
        joints.extend(sorted.get(index));
        index = ways.get(index).copied().flatten().map_or(0, |way| way.from);
    }
    joints.reverse();
    joints
}

/// From the top of the first line to below the last, in millimetres.
fn depth(lines: usize) -> f64 {
    let cap = words("", Weight::Regular).cap_height();
    cap + LINE_MM * (lines.max(1) - 1) as f64 + cap / font::CAP_HEIGHT_EM * font::DESCENT_EM
}

fn lap(joint: &Joint) -> f64 {
    (joint.clear - LAP_CLEAR_MM).clamp(LAP_LEAST_MM, LAP_MOST_MM)
}

impl End<'_> {
    /// On the tab: which piece it is and of what, and what is done with it.
    fn said(&self, whole: &Drawing) -> String {
        let End { number, other, count, .. } = self;
        let of = if whole.called.is_empty() { String::new() } else { format!(" of {}", whole.called) };
        let (which, name) = (format!("Piece {number} of {count}{of}."), &self.joint.name);
        match self.covers {
            _ if whole.butts => format!("{which} Cut through {name}. Butt it against {name} of piece {other}."),
            true => format!("{which} Cut this off. Lay {name} on {name} of piece {other}."),
            false => format!("{which} Piece {other} goes over this, {name} on {name}."),
        }
    }
}
