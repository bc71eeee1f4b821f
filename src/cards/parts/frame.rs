//! What every laminated card has around its content: title, small print, rim, rounded outline; and how its size is
//! found. Knows no kind of card.

use std::cell::RefCell;
use std::rc::Rc;

use crate::wrong::Wrong;
use kurbo::{Rect, RoundedRect, Size};

pub use super::flow::LINE_PITCH;
use super::flow::{self, Line, Wrapping};
use super::label::{Label, legend_cap_mm};
use crate::card_sizes::CardSizes;
use crate::drawing::legibility::{
    CARD_ARC_MINUTES, CARD_DISTANCE, LEAST_ARC_MINUTES, LEGEND_DISTANCE, WANTED_ARC_MINUTES, cap_height,
};
use crate::drawing::{Anchor, Drawing, Shape, Text, TypeSize, Weight};
use crate::size::{NamedSize, SLACK_MM, next_size_up};

/// What one card says is parted among several as if they were of this size, whatever the paper: what a card says, and so
/// its stamp, does not hang on the printer.
pub const LARGEST_USUAL: &str = "A5";

/// The papers in most printers: what is parted among cards lies two to a page of either.
const COMMON_PAPERS: [&str; 2] = ["A4", "Letter"];

/// A card that is half a page of A4 and of Letter alike. What is parted to be read on this lies two to a page and says the same,
/// and so has the same stamp, whichever of them it is printed on.
pub fn half_of_any_page() -> Option<NamedSize> {
    let papers = COMMON_PAPERS.iter().filter_map(|name| NamedSize::known(name));
    let half = |paper: NamedSize| {
        let sizes = CardSizes::of(&paper, false, false);
        let usual = sizes.usual().into_iter().rfind(|size| !sizes.is_large(size.size));
        usual.map(|size| Size::new(size.size.width.min(size.size.height), size.size.width.max(size.size.height)))
    };
    let halves = papers.filter_map(half);
    let size = halves.reduce(|one, other| Size::new(one.width.min(other.width), one.height.min(other.height)));
    size.map(NamedSize::of)
}

/// Capitals of what must be read, in millimetres: limits, cautions, ranges, what has become of a sail, the kind of card. They
/// subtend 17 minutes of arc in the hand.
pub const MUST_CAP: f64 = 3.0;
/// The line of the box around what must be read, and the white between them, in millimetres.
const BOX_LINE: f64 = 0.4;
const BOX_ROOM: f64 = 1.4;
/// A row to write on above the small print, its lines at least this long in all, and the gap before and after them, in
/// millimetres. Common practice: a hand with a marker needs 6 mm.
const WRITE_ROW: f64 = 6.5;
const WRITE_LEAST: f64 = 25.0;
const WRITE_GAP: f64 = 2.0;
/// What the lines to write on of a card of marks are for, each with its part of the row: a correction at sea without a printer.
pub const CHANGED_ABOARD: [(&str, f64); 2] = [("CHANGED ABOARD", 2.6), ("DATE", 1.0)];
/// Between a name and what is said of it, and between the kind of a card and small print on the same line, in millimetres.
const BESIDE_GAP: f64 = 3.0;
/// Names stand in a lane of their own up to this part of the width, so that what is said of them has the rest.
const NAMES_MOST: f64 = 0.4;
/// Blank edge, a part of the shorter side: room for the pouch to seal.
const EDGE_SHARE: f64 = 0.05;
const EDGE_LEAST: f64 = 2.5;
const EDGE_MOST: f64 = 5.0;
const CORNER_RADIUS: f64 = 3.0;
const CUT_WIDTH: f64 = 0.1;
/// The title, as a part of the card's height, and its bound in millimetres.
const TITLE_SHARE: f64 = 0.085;
const TITLE_MOST: f64 = 12.0;
/// Where the body's letters have to be smaller than what reads well, the title is so much larger at most: it gives its room
/// up first.
const TIGHT_TITLE: f64 = 2.2;
/// The same of a title that makes room for the hand that writes under it: still the largest words by far.
const MODEST_TITLE_MOST: f64 = 7.5;
/// The title is this much larger than the body's text at least: the wrong card is the worst error.
pub const TITLE_OVER_BODY: f64 = 1.2;
/// From the top of the last line of the title to what stands under it: its capitals, its tails and a little.
const TITLE_DEPTH: f64 = 1.42;
/// Lines between the rows and columns of a table, millimetres, and those under its heads.
pub const RULE: f64 = 0.2;
/// The line under the heads of a table is this heavy, in millimetres.
pub const HEAVY_RULE: f64 = 0.55;
/// The heads of a table may be this much smaller than what stands under them.
pub const HEAD_SHARE: f64 = 0.8;
/// Sizes of a table's letters that are told apart, millimetres: finer than anyone sees.
const CAP_STEP: f64 = 0.05;
/// Above and below the body, in capital heights of the legend.
const BODY_GAP: f64 = 0.6;

/// Capital height, millimetres, of text on a card that reads well: 20 minutes of arc at 0.6 m.
pub fn good_cap_mm() -> f64 {
    cap_height(CARD_DISTANCE, WANTED_ARC_MINUTES).to_mm()
}

/// Capital height, millimetres, of the smallest text on a card that is read without trouble.
pub fn wanted_cap_mm() -> f64 {
    cap_height(CARD_DISTANCE, CARD_ARC_MINUTES).to_mm()
}

/// Capital height, millimetres, below which text on a card is refused.
pub fn least_cap_mm() -> f64 {
    cap_height(CARD_DISTANCE, LEAST_ARC_MINUTES).to_mm()
}

/// The words around a card's body.
#[derive(Clone, Debug, Default)]
pub struct Surround {
    /// The largest words, at the left, one line or several: what the card is for.
    pub title: Vec<String>,
    /// As large, at the right of the last line: the point of sail.
    pub at_right: String,
    /// Under the title, as large as what must be read: the kind of card where the title does not say it, and what it holds
    /// for: `SETTINGS · sails for 5 to 16 kn`.
    pub kind: String,
    /// Small print beside the kind or under it: where the winds are from.
    pub subtitle: String,
    /// Names and what is said of them, each pair in lines of its own under the body, as large as what must be read: the sea,
    /// and what to move for it.
    pub named: Vec<(String, String)>,
    /// What must be read, each in lines of its own, in a box above the small print at the foot: limits, cautions.
    pub must: Vec<String>,
    /// Names of lines to write on, beside each other, each with its part of the width.
    pub to_write: Vec<(&'static str, f64)>,
    /// Small print at the foot: legends, and where things are from.
    pub foot: Vec<String>,
}

/// How much of the card the title takes.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Title {
    /// As large as the card allows.
    #[default]
    Large,
    /// No larger than it need be on a card to write on.
    Modest,
}

/// A card's surround, measured for one size.
#[derive(Clone, Debug)]
pub struct Frame {
    /// The size of the whole card, in millimetres.
    pub size: Size,
    edge: f64,
    title_cap: f64,
    title: Vec<String>,
    at_right: String,
    around: Rc<SmallPrint>,
    /// Where the content goes.
    pub body: Rect,
}

/// The words over and under a card's body in lines, which are the same whatever the size of the letters in the body.
#[derive(Clone, Debug)]
pub struct SmallPrint {
    kind: Vec<Line>,
    under_kind: NamedLines,
    /// Small print at the right of the last line of the kind.
    beside: Option<Line>,
    subtitle: Vec<Line>,
    /// Under the body.
    named: NamedLines,
    must: Vec<Line>,
    foot: Vec<Line>,
    /// The label, which may share its line with lines to write on.
    label: Vec<Line>,
    to_write: Vec<(Line, f64)>,
    /// No word that must be read is longer than its line.
    fits: bool,
}

/// The small print of one card under one label, its words measured once, and broken into lines once for each size that is
/// tried.
pub struct SmallPrints<'a> {
    words: SmallWords<'a>,
    broken: RefCell<Vec<(Size, Rc<SmallPrint>)>>,
}

impl<'a> SmallPrints<'a> {
    /// Of what stands around the body, and of names under the kind: who is in which team.
    pub fn of(surround: &'a Surround, named: &'a [(String, String)]) -> Self {
        SmallPrints { words: SmallWords::of(surround, named), broken: RefCell::default() }
    }

    /// That of a size.
    pub fn at(&self, size: Size, label: &Label) -> Rc<SmallPrint> {
        let known = |(of, small): &(Size, Rc<SmallPrint>)| (*of == size).then(|| Rc::clone(small));
        if let Some(small) = self.broken.borrow().iter().find_map(known) {
            return small;
        }
        let small = Rc::new(self.words.at(size, label));
        self.broken.borrow_mut().push((size, Rc::clone(&small)));
        small
    }
}

/// The words over and under a card's body, measured for every size that is tried.
struct SmallWords<'a> {
    kind: Wrapping<'a>,
    under_kind: NamedWords<'a>,
    subtitle: Wrapping<'a>,
    named: NamedWords<'a>,
    must: Vec<Wrapping<'a>>,
    foot: Vec<Wrapping<'a>>,
    to_write: &'a [(&'static str, f64)],
}

impl<'a> SmallWords<'a> {
    fn of(surround: &'a Surround, named: &'a [(String, String)]) -> Self {
        let small = |text: &'a str| Wrapping::of(text, legend_cap_mm(), Weight::Regular, LEGEND_DISTANCE);
        let large = |text: &'a str| Wrapping::of(text, MUST_CAP, Weight::Bold, CARD_DISTANCE);
        SmallWords {
            kind: large(&surround.kind),
            under_kind: NamedWords::of(named),
            subtitle: small(&surround.subtitle),
            named: NamedWords::of(&surround.named),
            must: surround.must.iter().map(|text| large(text)).collect(),
            foot: surround.foot.iter().map(|text| small(text)).collect(),
            to_write: &surround.to_write,
        }
    }

    /// Broken into lines for a card of this size.
    fn at(&self, size: Size, label: &Label) -> SmallPrint {
        let inner = inner_width(size);
        let inside = inner - 2.0 * BOX_ROOM;
        let kind = self.kind.lines(inner);
        let under_kind = self.under_kind.lines(inner);
        let must: Vec<Line> = self.must.iter().flat_map(|text| text.lines(inside)).collect();
        let mut subtitle = self.subtitle.lines(inner);
        let is_beside = match (kind.last(), subtitle.as_slice()) {
            (Some(kind), [one]) => line_width(kind) + BESIDE_GAP + line_width(one) <= inner,
            _ => false,
        };
        let beside = if is_beside { subtitle.pop() } else { None };
        let foot = self.foot.iter().flat_map(|text| text.lines(inner)).collect();
        let named = self.named.lines(inner);
        let fit = |lines: &[Line], width: f64| lines.iter().all(|line| line_width(line) <= width);
        let fits = fit(&kind, inner) && fit(&must, inside) && named.fit(inner) && under_kind.fit(inner);
        let to_write = to_write(self.to_write, inner);
        let label = flow::wrapped(&label.words(), legend_cap_mm(), Weight::Regular, LEGEND_DISTANCE, inner);
        SmallPrint { kind, under_kind, beside, subtitle, named, must, foot, label, to_write, fits }
    }
}

/// Names in bold and what is said of them, measured.
struct NamedWords<'a> {
    words: Vec<(Wrapping<'a>, Wrapping<'a>)>,
    /// The longest name on one line, millimetres.
    widest: f64,
}

impl<'a> NamedWords<'a> {
    fn of(named: &'a [(String, String)]) -> Self {
        let name = |text: &'a str| Wrapping::of(text, MUST_CAP, Weight::Bold, CARD_DISTANCE);
        let says = |text: &'a str| Wrapping::of_items(text, MUST_CAP, Weight::Regular, CARD_DISTANCE);
        let words: Vec<_> = named.iter().map(|(one, other)| (name(one), says(other))).collect();
        let whole = words.iter().flat_map(|(name, _)| name.lines(f64::INFINITY));
        NamedWords { widest: whole.map(|line| line_width(&line)).fold(0.0, f64::max), words }
    }

    /// Broken into lines of this width, in millimetres.
    fn lines(&self, width: f64) -> NamedLines {
        let is_beside = self.widest <= width * NAMES_MOST;
        let indent = if is_beside { self.widest + BESIDE_GAP } else { 0.0 };
        let row = |(name, says): &(Wrapping, Wrapping)| {
            let says = says.lines(width - indent);
            let ends = !is_beside || says.is_empty();
            let name = name.lines(width).into_iter().map(move |line| (0.0, line, ends));
            name.chain(says.into_iter().map(move |line| (indent, line, true))).collect::<Vec<_>>()
        };
        NamedLines { lines: self.words.iter().flat_map(row).collect() }
    }
}

/// Names in bold at the left and what is said of them beside them, hanging under itself; under the names, if those are long.
#[derive(Clone, Debug, Default)]
struct NamedLines {
    /// Each line, how far it is from the left, in millimetres, and whether the next one stands under it.
    lines: Vec<(f64, Line, bool)>,
}

impl NamedLines {
    /// Whether no word is longer than its line.
    fn fit(&self, width: f64) -> bool {
        self.lines.iter().all(|(indent, line, _)| indent + line_width(line) <= width)
    }

    fn height(&self) -> f64 {
        self.lines.iter().filter(|(_, _, ends)| *ends).map(|(_, line, _)| line.cap * LINE_PITCH).sum()
    }

    /// Draws them from the top `y`; gives the next top.
    fn draw(&self, drawing: &mut Drawing, left: f64, mut y: f64) -> f64 {
        for (indent, line, ends) in &self.lines {
            draw_lines(drawing, std::slice::from_ref(line), left + indent, y);
            y += if *ends { line.cap * LINE_PITCH } else { 0.0 };
        }
        y
    }
}

impl SmallPrint {
    /// Breaks it into lines for a card of this size.
    pub fn new(size: Size, surround: &Surround, label: &Label) -> SmallPrint {
        SmallWords::of(surround, &[]).at(size, label)
    }

    /// Of the rows of names, and the white under them.
    fn named_height(&self) -> f64 {
        let height = self.named.height();
        if height > 0.0 { height + legend_cap_mm() * BODY_GAP } else { 0.0 }
    }

    /// Whether the label leaves room for the lines to write on at its right.
    fn label_shares(&self, inner: f64) -> bool {
        let names: f64 = self.to_write.iter().map(|(name, _)| line_width(name) + 2.0 * WRITE_GAP).sum();
        let label = self.label.first().map_or(0.0, line_width);
        self.label.len() == 1 && !self.to_write.is_empty() && label + names + WRITE_LEAST * 2.0 <= inner
    }

    /// Of the label and the lines to write on.
    fn label_height(&self, inner: f64) -> f64 {
        let label = lines_height(&self.label);
        match (self.to_write.is_empty(), self.label_shares(inner)) {
            (true, _) => label,
            (false, true) => WRITE_ROW + legend_cap_mm() * (LINE_PITCH - 1.0),
            (false, false) => WRITE_ROW + legend_cap_mm() * (LINE_PITCH - 1.0) + label,
        }
    }

    /// Names and lines to write on, along a baseline.
    fn draw_to_write(&self, drawing: &mut Drawing, (left, right): (f64, f64), baseline: f64) {
        let names: f64 = self.to_write.iter().map(|(name, _)| line_width(name) + 2.0 * WRITE_GAP).sum();
        let shares: f64 = self.to_write.iter().map(|(_, share)| share).sum();
        let each = (right - left - names + WRITE_GAP) / shares;
        let mut x = left;
        for (name, share) in &self.to_write {
            let text = Text::new(&name.text, (x, baseline), Anchor::Start, name.cap, name.weight);
            drawing.print(text.read_from(name.distance));
            x += line_width(name) + WRITE_GAP;
            drawing.print(Shape::line((x, baseline), (x + each * share, baseline), RULE));
            x += each * share + WRITE_GAP;
        }
    }

    /// What stands between the title and the body, in millimetres.
    fn head_height(&self) -> f64 {
        lines_height(&self.kind) + self.under_kind.height() + lines_height(&self.subtitle)
    }

    /// Of the box with what must be read, its lines and the white around them; 0 if there is none.
    fn box_height(&self) -> f64 {
        if self.must.is_empty() { 0.0 } else { lines_height(&self.must) + BOX_ROOM }
    }

    /// From the top of what stands under the body to the lower rim, on a card with so much room inside its rim.
    fn foot_height(&self, inner: f64) -> f64 {
        let gap = if self.must.is_empty() { 0.0 } else { legend_cap_mm() * BODY_GAP };
        self.named_height() + self.box_height() + gap + lines_height(&self.foot) + self.label_height(inner)
    }

    fn draw_head(&self, drawing: &mut Drawing, (left, right): (f64, f64), top: f64) {
        let y = draw_lines(drawing, &self.kind, left, top);
        if let Some(line) = &self.beside {
            let baseline = y - MUST_CAP * (LINE_PITCH - 1.0);
            let text = Text::new(&line.text, (right, baseline), Anchor::End, line.cap, line.weight);
            drawing.print(text.read_from(line.distance));
        }
        let y = self.under_kind.draw(drawing, left, y);
        draw_lines(drawing, &self.subtitle, left, y);
    }

    fn draw_foot(&self, drawing: &mut Drawing, (left, right): (f64, f64), lower_rim: f64) {
        let inner = right - left;
        let mut top = lower_rim - self.foot_height(inner);
        self.named.draw(drawing, left, top);
        top += self.named_height();
        if !self.must.is_empty() {
            let outline = Rect::new(left, top, right, top + self.box_height()).inset(-BOX_LINE / 2.0);
            drawing.print(Shape::stroke(outline, BOX_LINE));
            draw_lines(drawing, &self.must, left + BOX_ROOM, top + BOX_ROOM);
        }
        let label = lower_rim - self.label_height(inner);
        draw_lines(drawing, &self.foot, left, label - lines_height(&self.foot));
        // With lines to write on the last words stand on their baseline.
        let under = lower_rim - lines_height(&self.label);
        let beside = self.label.first().map_or(0.0, |line| line_width(line) + 2.0 * WRITE_GAP);
        match (self.to_write.is_empty(), self.label_shares(inner)) {
            (true, _) => {}
            (false, true) => self.draw_to_write(drawing, (left + beside, right), label + WRITE_ROW),
            (false, false) => self.draw_to_write(drawing, (left, right), label + WRITE_ROW),
        }
        draw_lines(drawing, &self.label, left, under);
    }
}

/// Lines to write on with their names; none on a card that is too narrow for them.
fn to_write(asked: &[(&'static str, f64)], inner: f64) -> Vec<(Line, f64)> {
    let line = |text: &str| Line {
        text: text.to_owned(),
        cap: legend_cap_mm(),
        weight: Weight::Bold,
        distance: LEGEND_DISTANCE,
    };
    let lines: Vec<(Line, f64)> = asked.iter().map(|(name, share)| (line(name), *share)).collect();
    let names: f64 = lines.iter().map(|(name, _)| line_width(name) + 2.0 * WRITE_GAP).sum();
    if names + WRITE_LEAST <= inner { lines } else { Vec::new() }
}

/// Room inside the rim of a card of this width and height.
pub fn inner_width(size: Size) -> f64 {
    size.width - 2.0 * edge(size)
}

fn edge(size: Size) -> f64 {
    (size.width.min(size.height) * EDGE_SHARE).clamp(EDGE_LEAST, EDGE_MOST)
}

impl Frame {
    /// Measures the surround of a card whose body's text is `body_cap` high; `None` if nothing is left for the body.
    pub fn new(size: Size, surround: &Surround, label: &Label, body_cap: f64) -> Option<Frame> {
        Frame::around(size, surround, &Rc::new(SmallPrint::new(size, surround, label)), body_cap, Title::Large)
    }

    /// The same, with the small print broken into lines already.
    pub fn around(size: Size, surround: &Surround, small: &Rc<SmallPrint>, body_cap: f64, how: Title) -> Option<Frame> {
        let edge = edge(size);
        let (title_cap, title) = title(surround, size, inner_width(size), body_cap, how)?;
        let gap = legend_cap_mm() * BODY_GAP;
        let title_height = (title.len().saturating_sub(1) as f64 * LINE_PITCH + TITLE_DEPTH) * title_cap;
        let top = edge + title_height + small.head_height() + gap;
        let bottom = size.height - edge - small.foot_height(inner_width(size)) - gap;
        let body = Rect::new(edge, top, size.width - edge, bottom);
        let at_right = surround.at_right.clone();
        let around = Rc::clone(small);
        (small.fits && top < bottom).then_some(Frame { size, edge, title_cap, title, at_right, around, body })
    }

    /// The card with everything but its body.
    pub fn start(&self, title: String, description: String, label: &Label) -> Drawing {
        let mut drawing = Drawing::new(self.size, title, description);
        label.lay_example(&mut drawing, self.size.to_rect().inset(-self.edge));
        let (left, right) = (self.body.x0, self.body.x1);
        let mut y = self.edge;
        for (index, line) in self.title.iter().enumerate() {
            let baseline = y + self.title_cap;
            drawing.print(Text::new(line, (left, baseline), Anchor::Start, self.title_cap, Weight::Bold));
            let last = index + 1 == self.title.len();
            if last {
                drawing.print(Text::new(&self.at_right, (right, baseline), Anchor::End, self.title_cap, Weight::Bold));
            }
            y += self.title_cap * if last { TITLE_DEPTH } else { LINE_PITCH };
        }
        self.around.draw_head(&mut drawing, (left, right), y);
        self.around.draw_foot(&mut drawing, (left, right), self.size.height - self.edge);
        if !label.sizes.is_uncut(self.size) {
            let outline = RoundedRect::from_rect(self.size.to_rect(), CORNER_RADIUS);
            drawing.cut(Shape::stroke(outline, CUT_WIDTH));
        }
        drawing
    }
}

/// Title and words at the right, on one line if they fit, as large as the card allows.
fn title(surround: &Surround, size: Size, inner: f64, body_cap: f64, how: Title) -> Option<(f64, Vec<String>)> {
    let most = match how {
        Title::Large => TITLE_MOST,
        Title::Modest => MODEST_TITLE_MOST,
    };
    let least_size = TypeSize::in_hand(least_cap_mm());
    let unit = |text: &str| least_size.width(text, Weight::Bold) / least_size.cap;
    let right = if surround.at_right.is_empty() { 0.0 } else { unit("  ") + unit(&surround.at_right) };
    let least = body_cap * TITLE_OVER_BODY;
    let most = if body_cap < good_cap_mm() - CAP_STEP { most.min(body_cap * TIGHT_TITLE) } else { most };
    let wanted = (size.height * TITLE_SHARE).clamp(least, most.max(least));
    let whole = surround.title.join(" ");
    let together = (inner / (unit(&whole) + right)).min(wanted);
    if together >= least {
        return Some((together, vec![whole]));
    }
    let mut lines = surround.title.clone();
    let last_with_right = |lines: &[String]| lines.last().map_or(0.0, |line| unit(line)) + right;
    if inner / last_with_right(&lines) < least {
        lines.push(String::new());
    }
    let widest = lines.iter().map(|line| unit(line)).fold(last_with_right(&lines), f64::max);
    let cap = (inner / widest).min(wanted);
    (cap >= least).then_some((cap, lines))
}

/// A card at the size asked for, or at the handiest of the usual ones of its paper: first comfortably, then just readable.
///
/// `draw` gets a width and a height, tried both standing and lying by itself, and the least capital height of its
/// text; it answers `None` if the content does not fit. A side that has to match its other side is tried as that one
/// lies, then turned, unless another size is asked for.
///
/// # Errors
/// It fits none of them: names the next size up that holds it and can be printed, or the paper to take for that.
pub fn fitted(
    asked: Option<&NamedSize>,
    label: &Label,
    draw: impl Fn(&NamedSize, f64) -> Option<Drawing>,
) -> Result<Drawing, Wrong> {
    let (good, least) = (good_cap_mm(), least_cap_mm());
    let tried: Vec<NamedSize> = match (asked, label.size()) {
        (Some(asked), Some(other)) if !label.other_side_insists() && !same_size(asked.size, other.size) => {
            vec![asked.clone(), asked.turned()]
        }
        (_, Some(other)) => vec![other.clone(), other.turned()],
        (Some(asked), None) => vec![asked.clone()],
        (None, None) => label.sizes.usual(),
    };
    // What can be read without trouble on a handy card does not take a whole page.
    let is_page = |size: &NamedSize| asked.is_none() && label.sizes.is_large(size.size);
    let (pages, handy): (Vec<&NamedSize>, Vec<&NamedSize>) = tried.iter().partition(|size| is_page(size));
    let on = |sizes: &[&NamedSize], cap: f64| sizes.iter().find_map(|size| draw(size, cap));
    let well = |sizes: &[&NamedSize]| on(sizes, good).or_else(|| on(sizes, wanted_cap_mm()));
    let is_free = asked.is_none() && label.size().is_none();
    let before_the_page = || well(&[&label.sizes.before_the_page().filter(|_| is_free)?]);
    let at_all = || on(&handy, least).or_else(|| on(&pages, least));
    well(&handy).or_else(before_the_page).or_else(|| well(&pages)).or_else(at_all).ok_or_else(|| {
        let size = match (asked, tried.last()) {
            (Some(size), _) => size.name.clone(),
            (None, Some(size)) if label.sizes.is_uncut(size.size) => format!("a page of {}", label.sizes.paper()),
            (None, Some(size)) => size.name.clone(),
            (None, None) => label.sizes.paper().to_owned(),
        };
        let metres = CARD_DISTANCE.to_mm() / 1000.0;
        let what = format!("it does not fit {size} in letters that can be read from {metres} m");
        Wrong::new(what, larger(asked, &tried, label, &|size| draw(size, good).is_some()))
    })
}

/// What to do about a card that fits none of the sizes `tried`. Every size it names holds the card and can be printed on the
/// paper, or on the one that is named with it.
fn larger(
    asked: Option<&NamedSize>,
    tried: &[NamedSize],
    label: &Label,
    holds_it: &impl Fn(&NamedSize) -> bool,
) -> String {
    let a_little = Size::new(1.0, 1.0);
    let next = |size: &NamedSize| next_size_up(size.size + a_little, size);
    let named: Vec<NamedSize> = std::iter::successors(tried.last().and_then(next), next).collect();
    let on = |paper: &CardSizes| {
        let sizes = named.iter().filter(|size| paper.holds(size.size)).cloned().chain(paper.usual());
        sizes.into_iter().find(holds_it)
    };
    if let Some(size) = on(&label.sizes) {
        return format!("{WRITE_SIZE}{}`, which holds it", size.name);
    }
    for paper in label.sizes.on_larger_paper() {
        let name = paper.paper();
        if asked.is_none() && paper.usual().iter().any(holds_it) {
            return format!("print on {name}, which holds it: `--paper {name}`");
        }
        if let Some(size) = on(&paper) {
            return format!("{WRITE_SIZE}{}`, which holds it, and print on {name}: `--paper {name}`", size.name);
        }
    }
    "put less on it: no common paper holds this much".to_owned()
}

/// How the advice on a card that needs a larger size begins.
const WRITE_SIZE: &str = "write `size: ";

/// The size that such an advice names, for a card that has no entry to write it in, and what follows it.
pub fn size_to_write(instead: &str) -> Option<(&str, &str)> {
    instead.strip_prefix(WRITE_SIZE)?.split_once('`')
}

/// What `at` makes of the largest letters that fit, between two capital heights in millimetres and larger than `beaten`,
/// which another way has; `None` if not even the least of them do.
///
/// Larger letters never need less room, so they are found by halving.
pub fn largest_that_fits<Plan>(
    least: f64,
    most: f64,
    beaten: Option<f64>,
    at: impl Fn(f64) -> Option<Plan>,
) -> Option<Plan> {
    let at = |step: usize| at(least + step as f64 * CAP_STEP);
    // Letters of all ways are told apart by the same steps.
    let first = beaten.map_or(0, |beaten| ((beaten - least) / CAP_STEP).round().max(0.0) as usize + 1);
    let mut too_large = ((most - least) / CAP_STEP).floor() as usize + 1;
    if first >= too_large {
        return None;
    }
    let mut best = (first, at(first)?);
    while best.0 + 1 < too_large {
        let middle = best.0.midpoint(too_large);
        match at(middle) {
            Some(plan) => best = (middle, plan),
            None => too_large = middle,
        }
    }
    Some(best.1)
}

/// A size as it is and turned on its side; a side that has to match its other side, just as it is.
pub fn both_ways(size: &NamedSize, label: &Label) -> Vec<Size> {
    match label.size() {
        Some(_) => vec![size.size],
        None => vec![size.size, Size::new(size.size.height, size.size.width)],
    }
}

/// Whether two sides can be one card, perhaps with a quarter turn.
pub fn same_size(one: Size, other: Size) -> bool {
    let alike = |a: Size, b: Size| (a.width - b.width).abs() <= SLACK_MM && (a.height - b.height).abs() <= SLACK_MM;
    alike(one, other) || alike(one, Size::new(other.height, other.width))
}

/// Width of a line of text, millimetres.
pub fn line_width(line: &Line) -> f64 {
    TypeSize { cap: line.cap, distance: line.distance }.width(&line.text, line.weight)
}

/// From the top of the first line to the next line after the last.
pub fn lines_height(lines: &[Line]) -> f64 {
    lines.iter().map(|line| line.cap * LINE_PITCH).sum()
}

/// Draws lines one under the other from the top `y`; gives the next top.
pub fn draw_lines(drawing: &mut Drawing, lines: &[Line], left: f64, mut y: f64) -> f64 {
    for line in lines {
        let text = Text::new(&line.text, (left, y + line.cap), Anchor::Start, line.cap, line.weight);
        drawing.print(text.read_from(line.distance));
        y += line.cap * LINE_PITCH;
    }
    y
}
