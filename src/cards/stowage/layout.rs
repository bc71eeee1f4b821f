//! How a card of the stowage is laid out: a numbered list of what goes where, what moves seen from above and as heights on
//! the waterline, and how the boat floats. Knows no arithmetic of gear.

use std::rc::Rc;

use crate::wrong::Wrong;
use kurbo::{Circle, Point, Rect, Size, Vec2};

use super::heights::Heights;
use super::plan_view;
use super::sign::Sign;
use super::{Figure, Floats, STAYS, STAYS_AT_FIRST, StowageCard, Thing};
use crate::cards::parts::flow::{self, Line};
use crate::cards::parts::frame::{Frame, LINE_PITCH, MUST_CAP, SmallPrint, Surround, Title, draw_lines, lines_height};
use crate::cards::parts::gear;
use crate::cards::parts::label::{Label, legend_cap_mm};
use crate::cards::parts::scaled::{legend, note};
use crate::cards::parts::table::{
    Breaks, Cell, Column, HeadGap, Inset, Look, Measured, Paragraph, PlannedTable, Row, RowHeights, Under,
};
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::line_breaks::{Run, Word, Words};
use crate::drawing::{Anchor, Drawing, Shape, Text, TypeSize, Weight};
use crate::size::NamedSize;

/// Racing Rules of Sailing, rule 51, Movable Ballast (from memory).
const CAUTIONS: [&str; 2] = [
    "MOVABLE BALLAST: gear is not shifted for trim or stability while racing (Racing Rules of Sailing 51). Check the rules in \
     force.",
    "LASH IT: nothing heavy may come adrift in a knockdown.",
];
const HEIGHTS_FROM: &str = "Heights from the waterline";
const OUTLINE_FROM: &str = "outline from length and beam";
/// What stands in the table of stages; the figures that nobody trims by are small print.
const IN_THE_TABLE: [&str; 5] = ["gear", "centre", "GM", "trim", "list"];
/// Those of them that are a number and no more.
const PLAIN_NUMBERS: [&str; 3] = ["gear", "centre", "GM"];
/// Between two parts of the card, in capital heights of what must be read.
const PART_GAP: f64 = 0.6;
/// The line of the box around the figures, and the white inside it, in millimetres.
const BOX_LINE: f64 = 0.25;
const BOX_ROOM: f64 = 1.4;
/// The view from above is this part of the card's width at least, and where it can be.
const LEAST_VIEW: f64 = 0.55;
const GOOD_VIEW: f64 = 0.85;
const MOST_SCALE: f64 = 0.05;
/// Ahead and astern of all, millimetres aboard.
const MARGIN_MM: f64 = 300.0;
/// Above and below the view from above, millimetres.
const VIEW_RIM: f64 = 1.2;
/// Bars are no taller together than this, millimetres.
const BARS_MOST: f64 = 24.0;
/// Rows of the list, tight: the numbers carry the eye across.
const LIST: Look = Look { rows: RowHeights::AsNeeded { air_most: 0.25 }, row_padding: 0.75, ..Look::WORDS };
/// Between two columns of figures, in capital heights.
const FIGURES_GAP: f64 = 0.7;
const FIGURES: Look = Look {
    rows: RowHeights::AsNeeded { air_most: 0.0 },
    under_heads: HeadGap::OfHeads(0.4),
    gap: FIGURES_GAP,
    head_rule: None,
    ..Look::WORDS
};

/// White between the numbers of the view from above and the caption below them, whose arrow is taller than its letters,
/// millimetres.
const ABOVE_CAPTION: f64 = 0.8;

/// Draws the card at the size asked for, or at the handiest that holds it.
pub fn stowage(card: &StowageCard, label: &Label) -> Result<Drawing, Wrong> {
    let tables = Tables::of(card);
    let tables = tables.measured();
    gear::fitted(card.size.as_ref(), label, |size, least| draw((card, &tables), label, size, least))
}

/// Whether it fits a size in letters of `cap` millimetres, standing or lying.
pub fn fits(card: &StowageCard, label: &Label, size: &NamedSize, cap: f64) -> bool {
    let tables = Tables::of(card);
    let tables = tables.measured();
    let ways = crate::cards::parts::frame::both_ways(size, label);
    ways.into_iter().any(|size| draw((card, &tables), label, size, cap).is_some())
}

/// The tables of a card: the same at each size.
struct Tables {
    list: Inset,
    /// The figures; a stage is one line where the card is wide enough, and wraps else.
    figures: Vec<Inset>,
}

/// Those tables, their words measured.
struct MeasuredTables<'a> {
    list: Measured<'a>,
    figures: Vec<Measured<'a>>,
}

impl Tables {
    fn of(card: &StowageCard) -> Self {
        let figures = [false, true].into_iter().filter_map(|wraps| figures_table(card, wraps));
        Tables { list: list(card), figures: figures.collect() }
    }

    fn measured(&self) -> MeasuredTables<'_> {
        MeasuredTables { list: self.list.measured(), figures: self.figures.iter().map(Inset::measured).collect() }
    }
}

/// What the card says, and its tables.
type Said<'a> = (&'a StowageCard, &'a MeasuredTables<'a>);

fn draw((card, tables): Said, label: &Label, size: Size, cap: f64) -> Option<Drawing> {
    let surround = surround(card);
    let small = Rc::new(SmallPrint::new(size, &surround, label));
    // The title gives its room up before the picture does.
    let ways = [GOOD_VIEW, LEAST_VIEW].map(|view| [Title::Large, Title::Modest].map(|title| (title, view)));
    ways.into_iter().flatten().find_map(|(title, view)| {
        let frame = Frame::around(size, &surround, &small, cap, title)?;
        in_frame((card, tables), label, &frame, (cap, view))
    })
}

fn surround(card: &StowageCard) -> Surround {
    let from = (!card.moves.is_empty()).then(|| match is_outlined(card) {
        true => format!("{HEIGHTS_FROM}; {OUTLINE_FROM}."),
        false => format!("{HEIGHTS_FROM}."),
    });
    let by_stage = small_figures(card);
    let sentences: Vec<String> = by_stage.into_iter().chain(from).collect();
    Surround {
        title: vec!["Stowage".to_owned()],
        at_right: card.part.clone().unwrap_or_default(),
        kind: "BEFORE THE START".to_owned(),
        must: CAUTIONS.map(str::to_owned).to_vec(),
        foot: if sentences.is_empty() { Vec::new() } else { vec![sentences.join(" ")] },
        ..Surround::default()
    }
}

/// Whether there is an outline of the hull to draw.
fn is_outlined(card: &StowageCard) -> bool {
    card.length_mm.is_some() && card.beam_mm.is_some()
}

fn in_frame((card, tables): Said, label: &Label, frame: &Frame, (cap, view): (f64, f64)) -> Option<Drawing> {
    let body = frame.body;
    let list = tables.list.laid_out(cap, body.width())?;
    let inside = body.width() - 2.0 * BOX_ROOM;
    let figures = tables.figures.iter().find_map(|table| table.laid_out(MUST_CAP, inside));
    let figures = figures.map(|table| Figures::new(card, table, inside));
    if figures.is_none() && !tables.figures.is_empty() {
        return None;
    }
    let mut drawing =
        frame.start(format!("{}: stowage", card.boat), "Where the gear goes, and what moves".to_owned(), label);
    let gap = MUST_CAP * PART_GAP;
    let mut top = list.draw(&mut drawing, body.origin()) + gap;
    for at in &card.changes {
        let things: Vec<_> = at.gear.iter().map(|changed| (changed.says.as_str(), changed.number)).collect();
        top = draw_change(&mut drawing, at.from, &things, (body, top));
    }
    let foot = body.y1 - figures.as_ref().map_or(0.0, |figures| figures.height() + gap);
    if top > foot + gap {
        return None;
    }
    if !card.moves.is_empty() {
        draw_views(&mut drawing, card, (Rect::new(body.x0, top, body.x1, foot), view))?;
    }
    if let Some(figures) = figures {
        figures.draw(&mut drawing, Rect::new(body.x0, foot + gap, body.x1, body.y1));
    }
    Some(drawing)
}

/// A row for each thing: by its number, with its mass and its place; what stays ashore under a rule of its own.
fn list(card: &StowageCard) -> Inset {
    let columns = vec![
        Column::numbers("No."),
        Column::wrapped("THING"),
        Column::numbers(Paragraph {
            breaks: Breaks::Never,
            ..Paragraph::of(format!("MASS {}", card.unit), Weight::Bold)
        }),
        Column::wrapped("PLACE"),
    ];
    let row = |thing: &Thing, place: Cell, under: Under| {
        let number = Paragraph::whole(thing.number.to_string(), Weight::Bold);
        let mass = Paragraph::whole(&thing.mass, Weight::Bold);
        Row::Cells(vec![number.into(), Cell::bold(&thing.what), mass.into(), place], under)
    };
    let mut rows = Vec::new();
    let aboard: usize = card.destinations.iter().map(|to| to.gear.len()).sum();
    for to in &card.destinations {
        for thing in &to.gear {
            let is_last = rows.len() + 1 == aboard && !card.ashore.is_empty();
            let under = if is_last { Under::HeavyLine } else { Under::Nothing };
            rows.push(row(thing, Cell::plain(place(card, &to.to, thing.number)), under));
        }
    }
    rows.extend(card.ashore.iter().map(|thing| row(thing, Cell::bold("STAYS ASHORE"), Under::Nothing)));
    Inset { columns, rows, look: Look { foot_rule: Some(crate::cards::parts::frame::RULE), ..LIST } }
}

/// `Tank: does not move`.
fn place(card: &StowageCard, to: &str, number: usize) -> String {
    let moves = card.moves.iter().any(|moved| moved.number == number);
    let moves_later =
        card.changes.iter().flat_map(|at| &at.gear).any(|changed| changed.number == number && changed.moves);
    let says_so = to == STAYS || to == STAYS_AT_FIRST;
    if moves || moves_later || says_so { to.to_owned() } else { format!("{to}: does not move") }
}

/// What a stage changes, a thing and its number on one line where it fits; gives where the last line ends.
fn draw_change(drawing: &mut Drawing, head: &str, things: &[(&str, usize)], (body, mut top): (Rect, f64)) -> f64 {
    let last = things.len().saturating_sub(1);
    let things = things.iter().enumerate().map(|(index, (thing, number))| {
        let end = if index < last { ";" } else { "" };
        (number.to_string(), format!("{thing}{end}"))
    });
    let (head, things): (String, Vec<_>) = (format!("{}:", head.to_uppercase()), things.collect());
    let groups =
        things.iter().map(|(number, thing)| vec![(number.as_str(), Weight::Bold), (thing.as_str(), Weight::Regular)]);
    let head = head.split_whitespace().map(|word| vec![(word, Weight::Bold)]);
    let size = TypeSize::in_hand(MUST_CAP);
    for line in Words::of_groups(head.chain(groups)).lines(size, body.width()) {
        for Run { x, text: words, weight, .. } in Word::runs(line, size) {
            drawing.print(Text::new(words, (body.x0 + x, top + MUST_CAP), Anchor::Start, MUST_CAP, weight));
        }
        top += MUST_CAP * LINE_PITCH;
    }
    top
}

/// What moves, from above in true proportion and from port as heights, both along the same line.
fn draw_views(drawing: &mut Drawing, card: &StowageCard, (area, least): (Rect, f64)) -> Option<()> {
    let places = || card.moves.iter().flat_map(|moved| std::iter::once(moved.was).chain(moved.to));
    let span = |axis: usize, low: f64, high: f64| {
        let values = places().map(|place| place[axis]);
        (values.clone().fold(low, f64::min), values.fold(high, f64::max))
    };
    let half = card.beam_mm.unwrap_or_default() / 2.0;
    let (x, y) = (span(0, 0.0, card.length_mm.unwrap_or_default()), span(1, -half, half));
    let x = (x.0 - MARGIN_MM, x.1 + MARGIN_MM);
    let caption = MUST_CAP * LINE_PITCH;
    let widths = area.width() - Heights::lane(card.units);
    let heights = Heights::of(card, (x.0, widths / (x.1 - x.0)), widths)?;
    let room = area.height() - 2.0 * caption - ABOVE_CAPTION - heights.least();
    let full = (widths / (x.1 - x.0)).min(MOST_SCALE);
    let scale = full.min((room - 2.0 * VIEW_RIM) / (y.1 - y.0).max(f64::MIN_POSITIVE));
    if room <= 2.0 * VIEW_RIM + Sign::HEIGHT || scale < full * least {
        return None;
    }
    // A view of little breadth has room for its numbers all the same.
    let spare = room - (y.1 - y.0) * scale - 2.0 * VIEW_RIM;
    let to_bars = (spare / 2.0).clamp(0.0, (BARS_MOST - Heights::LEAST_BARS).max(0.0));
    let to_plan = if is_outlined(card) { 0.0 } else { (spare - to_bars).clamp(0.0, 4.0 * Sign::HEIGHT) };
    let spare = (spare - to_bars - to_plan).max(0.0);
    let mut top = area.y0 + spare / 3.0;
    draw_caption(drawing, "FROM ABOVE, ← BOW", (area, top));
    draw_legend(drawing, (area, top));
    top += caption;
    let above = Rect::new(area.x0, top, area.x0 + widths, top + (y.1 - y.0) * scale + 2.0 * VIEW_RIM + to_plan);
    plan_view::draw(drawing, card, (scale, Rect::new(x.0, y.0, x.1, y.1), above))?;
    top = above.y1 + ABOVE_CAPTION + spare / 3.0;
    draw_caption(drawing, "FROM PORT, ← BOW", (area, top));
    top += caption;
    // Both views lie along the same line, whatever width the one from above gave up.
    let heights = Heights::of(card, (x.0 - (widths / scale - (x.1 - x.0)) / 2.0, scale), widths)?;
    heights.draw(drawing, Point::new(area.x0, top), Heights::LEAST_BARS + to_bars);
    Some(())
}

fn draw_caption(drawing: &mut Drawing, words: &str, (area, top): (Rect, f64)) {
    drawing.print(Text::new(words, (area.x0, top + MUST_CAP), Anchor::Start, MUST_CAP, Weight::Bold));
}

/// What hollow and solid signs are, at the right of a caption.
fn draw_legend(drawing: &mut Drawing, (area, top): (Rect, f64)) {
    let mut right = area.x1;
    for (words, is_new) in [("where it goes", true), ("where it was", false)] {
        let width = legend(words).width();
        note(drawing, words, (right - width, top + MUST_CAP), Anchor::Start);
        let at = Point::new(right - width - legend_cap_mm() - plan_view::DOT, top + MUST_CAP - legend_cap_mm() / 2.0);
        plan_view::draw_dot(drawing, Circle::new(at, plan_view::DOT), is_new);
        right = at.x - plan_view::DOT - 2.0 * legend_cap_mm();
    }
}

/// The heights of the centre and the stages in a box.
struct Figures<'a> {
    heights: Vec<Line>,
    table: PlannedTable<'a>,
}

impl<'a> Figures<'a> {
    /// In a box with so much room inside it, in millimetres.
    fn new(card: &StowageCard, table: PlannedTable<'a>, inside: f64) -> Self {
        let wrapped = |words: &str| flow::wrapped(words, MUST_CAP, Weight::Bold, CARD_DISTANCE, inside);
        let heights = wrapped(&card.height);
        Figures { heights, table }
    }

    fn height(&self) -> f64 {
        lines_height(&self.heights) + self.table.height() + 2.0 * BOX_ROOM
    }

    fn draw(&self, drawing: &mut Drawing, area: Rect) {
        drawing.print(Shape::stroke(area.inset(-BOX_LINE / 2.0), BOX_LINE));
        let inside = area.origin() + Vec2::new(BOX_ROOM, BOX_ROOM);
        let top = draw_lines(drawing, &self.heights, inside.x, inside.y);
        self.table.draw(drawing, Point::new(inside.x, top));
    }
}

/// The stages as rows, whose words may go on in a next line; `None` on a card that does not tell them.
fn figures_table(card: &StowageCard, wraps: bool) -> Option<Inset> {
    let first = card.states.first()?;
    let is_in = |figure: &&Figure| IN_THE_TABLE.contains(&figure.name);
    let column = |figure: &Figure| {
        let head = format!("{} {}", figure.name.to_uppercase(), figure.unit).trim_end().to_owned();
        if PLAIN_NUMBERS.contains(&figure.name) {
            Column::numbers(head)
        } else {
            Column { wraps, ..Column::narrow(head) }
        }
    };
    let columns = std::iter::once(Column::narrow("STAGE")).chain(first.figures.iter().filter(is_in).map(column));
    let cell = |figure: &Figure| -> Cell {
        let weight = if PLAIN_NUMBERS.contains(&figure.name) { Weight::Bold } else { Weight::Regular };
        Paragraph::of(figure_words(figure), weight).into()
    };
    let row = |state: &Floats| {
        let cells = state.figures.iter().filter(is_in).map(cell);
        Row::Cells(std::iter::once(Cell::bold(&state.stage)).chain(cells).collect(), Under::Nothing)
    };
    Some(Inset { columns: columns.collect(), rows: card.states.iter().map(row).collect(), look: FIGURES })
}

/// `2.7 bow up`.
fn figure_words(figure: &Figure) -> String {
    format!("{} {}", figure.size, figure.way).trim_end().to_owned()
}

/// The other figures, stage by stage, and what they are: `Pitching kg·m²: as it was 1800, dock 7.2.`
fn small_figures(card: &StowageCard) -> Vec<String> {
    let Some(first) = card.states.first() else { return Vec::new() };
    let others = first.figures.iter().enumerate().filter(|(_, figure)| !IN_THE_TABLE.contains(&figure.name));
    let told = others.map(|(index, figure)| {
        let stages = card.states.iter().filter_map(|state| {
            let figure = state.figures.get(index)?;
            Some(format!("{} {}", state.stage.to_lowercase(), figure_words(figure)))
        });
        let mut name = figure.name.to_owned();
        name.get_mut(..1).map(str::make_ascii_uppercase);
        format!("{name}, {}: {}.", figure.unit, stages.collect::<Vec<_>>().join(", "))
    });
    told.chain((!card.pitching.is_empty()).then(|| card.pitching.clone())).collect()
}
