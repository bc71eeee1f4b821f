//! The looks of a wind-settings card: the sail first, then a table to find a number in with a red lamp.

use crate::wrong::Wrong;
use kurbo::{Point, Rect, Size};

use super::{AdjustedControl, Cell, WindSettings};
use crate::cards::parts::flow::Line;
use crate::cards::parts::frame::{
    self, Frame, HEAD_SHARE, HEAVY_RULE, LINE_PITCH, RULE, Surround, good_cap_mm, line_width,
};
use crate::cards::parts::label::{Label, legend_cap_mm};
use crate::cards::parts::words::{ground_legend, ground_sign, grounded};
use crate::drawing::legibility::{CARD_DISTANCE, LEGEND_DISTANCE};
use crate::drawing::{Anchor, Drawing, Shape, Text, Weight, font};
use crate::size::NamedSize;
use crate::tuning::Ground;

/// The numbers of the table are as large as fits, up to this capital height, millimetres.
const CELL_CAP_MOST: f64 = 7.0;
/// Heights of rows in capital heights.
const ROW_LEAST: f64 = 1.9;
const ROW_MOST: f64 = 6.0;
/// Between the heads and the rule under them, in capital heights.
const HEAD_GAP: f64 = 0.5;
/// Room either side of a column's words, in capital heights.
const PADDING: f64 = 0.36;
/// From a value down to the small range under it, in capital heights of the range.
const MOVES_PITCH: f64 = 1.75;
/// White between the tails of a value and the small range, in capital heights of the range.
const MOVES_GAP: f64 = 0.3;
const SIGN_GAP: f64 = 0.35;

/// How the table saves width, the most readable first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Way {
    /// Column heads are read from below.
    upright_heads: bool,
    /// A range stands on two lines: `4 to`, `5½`.
    folded_cells: bool,
}

const WAYS: [Way; 4] = [
    Way { upright_heads: false, folded_cells: false },
    Way { upright_heads: false, folded_cells: true },
    Way { upright_heads: true, folded_cells: false },
    Way { upright_heads: true, folded_cells: true },
];

/// Draws the card at the size asked for, or at the handiest that holds it.
pub fn wind_settings(card: &WindSettings, label: &Label) -> Result<Drawing, Wrong> {
    frame::fitted(card.size.as_ref(), label, |size, least| {
        let all = |way: &Way| plans(card, label, size, *way, least);
        // With room to spare the most readable way is best; without it, whatever gives the largest numbers.
        let plan = if least >= good_cap_mm() {
            WAYS.iter().find_map(|way| largest(all(way)))
        } else {
            largest(WAYS.iter().flat_map(all))
        };
        plan.map(|plan| plan.draw(card, label))
    })
}

fn plans(card: &WindSettings, label: &Label, size: &NamedSize, way: Way, least: f64) -> impl Iterator<Item = Plan> {
    frame::both_ways(size, label).into_iter().filter_map(move |size| Plan::largest(card, label, size, way, least))
}

fn largest(plans: impl Iterator<Item = Plan>) -> Option<Plan> {
    plans.fold(None, |best: Option<Plan>, plan| match best {
        Some(best) if best.cap >= plan.cap => Some(best),
        _ => Some(plan),
    })
}

/// A column: what stands at its head and how wide its words are.
struct Column {
    head: Vec<Line>,
    upright: bool,
    width: f64,
    /// Room for the widest sign before a number.
    sign: f64,
}

/// Everything measured, nothing drawn.
struct Plan {
    frame: Frame,
    way: Way,
    cap: f64,
    columns: Vec<Column>,
    /// Of the words at the head of the columns, and with the gap under them.
    words_height: f64,
    head_height: f64,
    row_height: f64,
    /// From the baseline of a value to that of the small range under it.
    moves_pitch: f64,
}

impl Plan {
    fn largest(card: &WindSettings, label: &Label, size: Size, way: Way, least: f64) -> Option<Plan> {
        let values = card.rows.iter().flat_map(|row| row.cells.iter().flatten()).filter(|cell| cell.moves.is_some());
        let tail = values.map(|cell| font::reach(&cell.text, Weight::Bold).1).fold(0.0, f64::max) / font::CAP_HEIGHT_EM;
        frame::largest_that_fits(least, CELL_CAP_MOST, |cap| Plan::at(card, label, size, way, cap, tail))
    }

    /// `tail` is how far a value that has a small range under it hangs below its baseline, in capital heights.
    fn at(card: &WindSettings, label: &Label, size: Size, way: Way, cap: f64, tail: f64) -> Option<Plan> {
        let inner = frame::inner_width(size);
        let padding = cap * PADDING;
        let mut columns = columns(card, cap, way);
        let needed: f64 = columns.iter().map(|column| column.width + 2.0 * padding).sum();
        if needed > inner {
            return None;
        }
        // What is left over is shared out evenly, so that the table fills the card.
        let spare = (inner - needed) / columns.len() as f64;
        for column in &mut columns {
            column.width += 2.0 * padding + spare;
        }
        let frame = Frame::new(size, &surround(card), label, cap)?;
        let legend = legend_cap_mm();
        let words_height = columns.iter().map(Column::head_height).fold(0.0, f64::max);
        // Heads may be larger than what stands under them, and their tails hang into the gap.
        let head_height = words_height + cap.max(good_cap_mm()) * HEAD_GAP;
        let row_height = ((frame.body.height() - head_height) / card.rows.len() as f64).min(cap * ROW_MOST);
        // A cell without a value keeps its place, or the others would be measured in each other's columns.
        let cells = card.rows.iter().flat_map(|row| columns.iter().skip(1).zip(&row.cells));
        let moves_pitch = (legend * MOVES_PITCH).max(cap * tail + legend * (1.0 + MOVES_GAP));
        let more = cells.filter_map(|(column, cell)| Some((column, cell.as_ref()?))).map(|(column, cell)| {
            let folded = way.lines(cell, column.room(cap), cap).len().saturating_sub(1);
            folded as f64 * cap * LINE_PITCH + if cell.moves.is_some() { moves_pitch } else { 0.0 }
        });
        let more = more.fold(0.0, f64::max);
        if row_height < cap * ROW_LEAST + more {
            return None;
        }
        Some(Plan { frame, way, cap, columns, words_height, head_height, row_height, moves_pitch })
    }

    fn draw(&self, card: &WindSettings, label: &Label) -> Drawing {
        let title = format!("{}: {}", card.boat, card.title());
        let description = format!("Settings by wind, {} controls", card.columns.len());
        let mut drawing = self.frame.start(title, description, label);
        let (left, right) = (self.frame.body.x0, self.frame.body.x1);
        let mut y = self.frame.body.y0;
        let top = y;
        let mut x = left;
        for column in &self.columns {
            self.draw_head(&mut drawing, column, Rect::new(x, y, x + column.width, y + self.words_height));
            x += column.width;
        }
        y += self.head_height;
        drawing.print(Shape::line((left, y), (right, y), HEAVY_RULE));
        for (index, row) in card.rows.iter().enumerate() {
            if index > 0 {
                drawing.print(Shape::line((left, y), (right, y), RULE));
            }
            let baseline = y + (self.row_height + self.cap) / 2.0;
            let wind = format!("{} to {}", row.low, row.high);
            let mut x = left;
            for (index, column) in self.columns.iter().enumerate() {
                let centre = x + column.width / 2.0;
                let last = index + 1 == self.columns.len();
                if index == 0 || last {
                    drawing.print(Text::new(&wind, (centre, baseline), Anchor::Middle, self.cap, Weight::Bold));
                } else if let Some(cell) = row.cells.get(index - 1) {
                    self.draw_cell(&mut drawing, column, cell.as_ref(), (centre + column.sign / 2.0, baseline).into());
                } else if let Some(target) = row.targets.get(index - 1 - row.cells.len()) {
                    drawing.print(Text::new(target, (centre, baseline), Anchor::Middle, self.cap, Weight::Regular));
                }
                x += column.width;
            }
            y += self.row_height;
        }
        drawing.print(Shape::line((left, y), (right, y), HEAVY_RULE));
        let first = left + self.columns.first().map_or(0.0, |column| column.width);
        let last = right - self.columns.last().map_or(0.0, |column| column.width);
        let targets: f64 = self.columns.iter().rev().skip(1).take(card.targets.len()).map(|column| column.width).sum();
        let rules = [first, last].into_iter().chain((!card.targets.is_empty()).then_some(last - targets));
        for x in rules {
            drawing.print(Shape::line((x, top), (x, y), RULE));
        }
        drawing
    }

    fn draw_head(&self, drawing: &mut Drawing, column: &Column, area: Rect) {
        match column.upright {
            false => {
                let mut y = area.y1 - stack_height(&column.head);
                for line in &column.head {
                    let at = (area.center().x, y + line.cap);
                    let text = Text::new(&line.text, at, Anchor::Middle, line.cap, line.weight);
                    drawing.print(text.read_from(line.distance));
                    y += line.cap * LINE_PITCH;
                }
            }
            true => {
                let mut x = area.center().x - stack_height(&column.head) / 2.0;
                for line in &column.head {
                    let at = Point::new(x + line.cap, area.y1);
                    let text = Text::new(&line.text, at, Anchor::Start, line.cap, line.weight);
                    let text = text.turned_about(at, -std::f64::consts::FRAC_PI_2);
                    drawing.print(text.read_from(line.distance));
                    x += line.cap * LINE_PITCH;
                }
            }
        }
    }

    fn draw_cell(&self, drawing: &mut Drawing, column: &Column, cell: Option<&Cell>, at: Point) {
        let Some(cell) = cell else {
            drawing.print(Text::new("~", at, Anchor::Middle, self.cap, Weight::Regular));
            return;
        };
        let lines = self.way.lines(cell, column.room(self.cap), self.cap);
        let small = legend_cap_mm();
        let below = if cell.moves.is_some() { self.moves_pitch } else { 0.0 };
        let lift = (lines.len().saturating_sub(1) as f64 * self.cap * LINE_PITCH + below) / 2.0;
        let widest = lines.iter().map(|line| width(line, self.cap)).fold(0.0, f64::max);
        let mut baseline = at.y - lift;
        for line in &lines {
            drawing.print(Text::new(line, (at.x, baseline), Anchor::Middle, self.cap, Weight::Bold));
            baseline += self.cap * LINE_PITCH;
        }
        if let Some(sign) = ground_sign(cell.ground) {
            let before = (at.x - widest / 2.0 - self.cap * SIGN_GAP, at.y - lift);
            drawing.print(Text::new(sign, before, Anchor::End, self.cap, Weight::Regular));
        }
        if let Some(moves) = &cell.moves {
            let under = (at.x, baseline - self.cap * LINE_PITCH + below);
            let text = Text::new(moves, under, Anchor::Middle, small, Weight::Regular);
            drawing.print(text.read_from(LEGEND_DISTANCE));
        }
    }
}

impl Way {
    /// A cell's words as they stand one under the other; folded only where they must be.
    fn lines(self, cell: &Cell, room: f64, cap: f64) -> Vec<String> {
        let text = grounded(&cell.text, cell.ground);
        if !self.folded_cells || width(&text, cap) <= room {
            return vec![text];
        }
        let folded = match text.split_once(" to ") {
            Some((low, high)) => Some((format!("{low} to"), high)),
            None => text.split_once(' ').map(|(first, rest)| (first.to_owned(), rest)),
        };
        match folded {
            Some((first, rest)) => vec![first, rest.to_owned()],
            None => vec![text],
        }
    }
}

impl Column {
    fn new(head: Vec<Line>, upright: bool, cells: f64, sign: f64) -> Self {
        let head_width = if upright { stack_height(&head) } else { widest(&head) };
        Column { width: head_width.max(cells + sign), head, upright, sign }
    }

    /// For the words of a cell, once the room either side of them is part of the column.
    fn room(&self, cap: f64) -> f64 {
        self.width - self.sign - 2.0 * cap * PADDING
    }

    fn head_height(&self) -> f64 {
        if self.upright { widest(&self.head) } else { stack_height(&self.head) }
    }
}

/// The heads and widths of all columns: wind, controls, targets, wind.
fn columns(card: &WindSettings, cap: f64, way: Way) -> Vec<Column> {
    let least = cap.min(good_cap_mm());
    let head_cap = (cap * HEAD_SHARE).max(least);
    let big = |text: &str, weight| Line { text: text.to_owned(), cap: head_cap, weight, distance: CARD_DISTANCE };
    let small = |text: &str| Line {
        text: text.to_owned(),
        cap: legend_cap_mm(),
        weight: Weight::Regular,
        distance: LEGEND_DISTANCE,
    };
    let upright = way.upright_heads;
    // Level heads break between words; upright ones run on.
    let broken = |text: &str, weight| -> Vec<Line> {
        if upright { vec![big(text, weight)] } else { text.split_whitespace().map(|word| big(word, weight)).collect() }
    };
    let winds = card.rows.iter().map(|row| width(&format!("{} to {}", row.low, row.high), cap)).fold(0.0, f64::max);
    let wind =
        || Column::new(vec![big("WIND", Weight::Bold), big(&card.wind_unit, Weight::Regular)], false, winds, 0.0);
    let controls = card.columns.iter().enumerate().map(|(index, column)| {
        let mut head = broken(&column.control, Weight::Bold);
        if let Some(higher) = &column.higher_is {
            head.push(small("higher is"));
            head.extend(broken(&higher.to_uppercase(), Weight::Regular));
        }
        if let Some(ends) = &column.ends {
            head.extend(ends.iter().map(|end| small(end)));
        }
        // A folded cell need not be narrower than its head.
        let head_room = if upright { stack_height(&head) } else { widest(&head) };
        let cells = || card.rows.iter().filter_map(|row| row.cells.get(index)?.as_ref());
        let lines = cells().flat_map(|cell| way.lines(cell, head_room, cap)).map(|line| width(&line, cap));
        let moves = cells().filter_map(|cell| cell.moves.as_ref()).map(|moves| line_width(&small(moves)));
        let words = lines.chain(moves).fold(0.0, f64::max);
        let sign =
            cells().filter_map(|cell| ground_sign(cell.ground)).map(|sign| sign_width(sign, cap)).fold(0.0, f64::max);
        Column::new(head, upright, words, sign)
    });
    let targets = card.targets.iter().enumerate().map(|(index, name)| {
        let mut head = vec![small("target")];
        head.extend(broken(name, Weight::Regular));
        let cells = card.rows.iter().filter_map(|row| row.targets.get(index)).map(|text| width(text, cap));
        Column::new(head, upright, cells.fold(0.0, f64::max), 0.0)
    });
    std::iter::once(wind()).chain(controls).chain(targets).chain(std::iter::once(wind())).collect()
}

fn sign_width(sign: &str, cap: f64) -> f64 {
    (font::width(sign, Weight::Regular) / font::CAP_HEIGHT_EM + SIGN_GAP) * cap
}

fn width(text: &str, cap: f64) -> f64 {
    font::width(text, Weight::Bold) / font::CAP_HEIGHT_EM * cap
}

fn widest(lines: &[Line]) -> f64 {
    lines.iter().map(line_width).fold(0.0, f64::max)
}

/// From the top of the first line to the foot of the last.
fn stack_height(lines: &[Line]) -> f64 {
    let pitches: f64 = lines.iter().map(|line| line.cap * LINE_PITCH).sum();
    pitches - lines.last().map_or(0.0, |line| line.cap * (LINE_PITCH - 1.0))
}

/// The words around the table.
fn surround(card: &WindSettings) -> Surround {
    let range = card.range.as_ref().map(|range| format!(" · sails for {range}")).unwrap_or_default();
    let mut foot = Vec::new();
    if !card.looks.is_empty() {
        foot.push((format!("Look: {}", card.looks.join(" · ")), Weight::Regular));
    }
    for adjustment in &card.adjustments {
        let one = |control: &AdjustedControl| {
            let held = control.held.iter().map(|held| format!(" ({held})")).collect::<String>();
            format!("{} {}{held}", control.control, control.by)
        };
        let moves: Vec<String> = adjustment.moves.iter().map(one).collect();
        foot.push((format!("± {}: {}", adjustment.name, moves.join(" · ")), Weight::Bold));
    }
    foot.push((legend_words(card), Weight::Regular));
    if !card.cautions.is_empty() {
        let words = format!("Caution: {}. Keep within the makers' working limits.", card.cautions.join("; "));
        foot.push((words, Weight::Bold));
    }
    let sails = card.sails.iter().enumerate();
    Surround {
        title: sails.map(|(index, sail)| if index == 0 { sail.clone() } else { format!("+ {sail}") }).collect(),
        at_right: card.point_of_sail.to_uppercase(),
        subtitle: format!("{}{range}", card.wind),
        foot,
    }
}

/// One line that explains the signs in use.
fn legend_words(card: &WindSettings) -> String {
    let all = [Ground::Sailed, Ground::Between, Ground::Outside, Ground::CarriedOver, Ground::Adjusted];
    let used = |ground: &Ground| {
        let sign = ground_sign(*ground).unwrap_or("no sign");
        let of_a_target = card.rows.iter().flat_map(|row| &row.targets).any(|target| target.starts_with(sign));
        of_a_target || card.rows.iter().flat_map(|row| row.cells.iter().flatten()).any(|cell| cell.ground == *ground)
    };
    let mut words: Vec<&str> = all.into_iter().filter(used).map(ground_legend).collect();
    if card.rows.iter().any(|row| row.cells.iter().any(Option::is_none)) {
        words.push("~ not recorded");
    }
    if card.rows.iter().any(|row| row.cells.iter().flatten().any(|cell| cell.moves.is_some())) {
        words.push("small: the whole band, by the curve");
    }
    if !card.adjustments.is_empty() {
        words.push("± adjusted from the table, not sailed; a limit stands");
    }
    words.join(" · ")
}
