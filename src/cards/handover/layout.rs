//! The looks of a hand-over: rows that a gloved hand can write in, and as few words as tell what goes where. Knows no book.

use std::rc::Rc;

use kurbo::{Point, Rect, Size};

use super::{ControlLine, Handover, LEAST_ROW_MM, Side};
use crate::cards::parts::flow;
use crate::cards::parts::frame::{self, Frame, HEAVY_RULE, LINE_PITCH, RULE, SmallPrint, Surround, Title};
use crate::cards::parts::label::Label;
use crate::cards::parts::words::{WITHIN_MAKERS_LIMITS, never};
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::{Anchor, Drawing, Shape, Text, TypeSize, Weight};
use crate::size::NamedSize;
use crate::wrong::Wrong;

/// Hand-overs kept on the back.
const PAST: usize = 5;
/// A place to write one mark in is this wide at least, millimetres.
const MARK_MM: f64 = LEAST_ROW_MM;
/// Rows spread over the card up to this height, millimetres.
const ROW_MOST_MM: f64 = 12.5;
/// Between a rule and the words beside it, millimetres.
const GAP: f64 = 1.2;
/// Between a name and what a higher number does, millimetres.
const BESIDE_NAME: f64 = 3.0;
/// The names take this part of the width at most, or the larger one if the columns have room beside them.
const NAMES_MOST: f64 = 0.42;
const LONG_NAMES_MOST: f64 = 0.56;
/// Heads of columns, with the white above and below them, in capital heights.
const HEAD_PITCH: f64 = 1.9;
/// The dashes of the line between the two sides, and the white between them, millimetres.
const DASH: f64 = 1.3;
const DASH_WHITE: f64 = 1.0;

/// Over the names of controls that there are two of.
const BOTH_SIDES: &str = "BOTH SIDES";
/// Over what a higher number does.
const HIGHER_IS: &str = "HIGHER IS";
const AS_THEY_ARE: &str = "WRITE THE MARKS AS THEY ARE, not as they should be.";

pub fn handover(card: &Handover, label: &Label) -> Result<Drawing, Wrong> {
    frame::fitted(card.size.as_ref(), label, |size, cap| {
        both_ways(card, label, size, cap).next().map(|plan| plan.draw(label))
    })
}

/// Whether it fits a size in letters of `cap` millimetres, standing or lying.
pub fn fits(card: &Handover, label: &Label, size: &NamedSize, cap: f64) -> bool {
    both_ways(card, label, size, cap).next().is_some()
}

fn both_ways<'a>(card: &'a Handover, label: &Label, size: &NamedSize, cap: f64) -> impl Iterator<Item = Plan<'a>> {
    frame::both_ways(size, label).into_iter().filter_map(move |size| Plan::of(card, label, size, cap))
}

/// What stands under another, from the top.
enum Line<'a> {
    /// Two things to write down beside each other.
    Pair(&'a str, &'a str),
    /// What the names are, what stands at the right of them, and what the columns are for.
    Heads([&'a str; 2], Vec<String>),
    /// Something that is written into each column.
    Row(Vec<Part>, Split),
    /// A line to write on, over the whole width.
    Across(&'a str),
}

/// Whether each column of a row has a place for port and one for starboard.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Split {
    One,
    BothSides,
}

/// Some words of a name, which stand on one line.
struct Part {
    text: String,
    weight: Weight,
    /// Which line of the name, from 0.
    line: usize,
    /// From the left edge, or from the right if it ends there, millimetres.
    x: f64,
    anchor: Anchor,
}

struct Plan<'a> {
    frame: Frame,
    card: &'a Handover,
    cap: f64,
    /// The width of the names, and of each column, millimetres.
    names: f64,
    column: f64,
    lines: Vec<(Line<'a>, f64)>,
}

impl<'a> Plan<'a> {
    /// `None` if letters of `cap` millimetres are too large.
    fn of(card: &'a Handover, label: &Label, size: Size, cap: f64) -> Option<Plan<'a>> {
        let small = Rc::new(SmallPrint::new(size, &surround(card), label));
        // The title makes way for the rows.
        [Title::Large, Title::Modest].into_iter().find_map(|how| {
            let frame = Frame::around(size, &surround(card), &small, cap, how)?;
            Plan::in_frame(card, frame, cap)
        })
    }

    fn in_frame(card: &'a Handover, frame: Frame, cap: f64) -> Option<Plan<'a>> {
        let (width, count) = (frame.body.width(), heads(card).len());
        let places = if card.both_sides.is_empty() { 1 } else { 2 };
        let names = names_width(card, width, cap);
        let column = (width - names) / count as f64;
        let is_wide_enough = column >= MARK_MM * f64::from(places);
        let lines = lines(card, names, cap)?;
        let pair = |words: &str| text_width(words, Weight::Bold, cap) + 2.0 * MARK_MM <= width / 2.0;
        let pairs_fit = lines.iter().all(|line| match line {
            Line::Pair(left, right) => pair(left) && pair(right),
            _ => true,
        });
        let heads_fit = lines.iter().all(|line| match line {
            Line::Heads(name, heads) => {
                let places = heads.len() / count;
                text_width(&name.concat(), Weight::Bold, cap) + GAP <= names
                    && heads.iter().all(|head| text_width(head, Weight::Bold, cap) + GAP <= column / places as f64)
            }
            _ => true,
        });
        if !(is_wide_enough && pairs_fit && heads_fit) {
            return None;
        }
        let high = |line: Line<'a>| {
            let height = match &line {
                Line::Heads(..) => cap * HEAD_PITCH,
                Line::Row(parts, _) => {
                    let last = parts.iter().map(|part| part.line).max().unwrap_or(0);
                    LEAST_ROW_MM.max(cap * (LINE_PITCH * (last + 1) as f64 + 0.6))
                }
                Line::Pair(..) | Line::Across(_) => LEAST_ROW_MM,
            };
            (line, height)
        };
        let mut lines: Vec<(Line, f64)> = lines.into_iter().map(high).collect();
        let spare = frame.body.height() - lines.iter().map(|(_, height)| height).sum::<f64>();
        let rows = lines.iter().filter(|(line, _)| !matches!(line, Line::Heads(..))).count();
        for (line, height) in &mut lines {
            if !matches!(line, Line::Heads(..)) {
                *height = (*height + spare / rows.max(1) as f64).min(ROW_MOST_MM.max(*height));
            }
        }
        (spare >= 0.0).then_some(Plan { frame, card, cap, names, column, lines })
    }

    fn draw(&self, label: &Label) -> Drawing {
        let name = format!("{}: {}", self.card.boat, self.card.title());
        let mut drawing = self.frame.start(name, "To write on when the watch changes".to_owned(), label);
        let body = self.frame.body;
        let mut y = body.y0;
        if !matches!(self.lines.first(), Some((Line::Heads(..), _))) {
            drawing.print(Shape::line((body.x0, y), (body.x1, y), HEAVY_RULE));
        }
        for (index, (line, height)) in self.lines.iter().enumerate() {
            let area = Rect::new(body.x0, y, body.x1, y + height);
            self.draw_line(&mut drawing, line, area);
            y = area.y1;
            let next = self.lines.get(index + 1).map(|(line, _)| line);
            let is_heavy = matches!(line, Line::Heads(..)) || matches!(next, Some(Line::Heads(..))) || next.is_none();
            let rule = if is_heavy { HEAVY_RULE } else { RULE };
            drawing.print(Shape::line((body.x0, y), (body.x1, y), rule));
        }
        drawing
    }

    fn draw_line(&self, drawing: &mut Drawing, line: &Line, area: Rect) {
        let upright = |drawing: &mut Drawing, x: f64| {
            drawing.print(Shape::line((x, area.y0), (x, area.y1), RULE));
        };
        match line {
            Line::Pair(left, right) => {
                let middle = area.center().x;
                self.print(drawing, left, Weight::Bold, Point::new(area.x0, area.center().y));
                self.print(drawing, right, Weight::Bold, Point::new(middle + GAP, area.center().y));
                upright(drawing, middle);
            }
            Line::Heads([name, beside], heads) => {
                self.print(drawing, name, Weight::Bold, Point::new(area.x0, area.center().y));
                let end = self.names - GAP - text_width(beside, Weight::Bold, self.cap);
                self.print(drawing, beside, Weight::Bold, Point::new(area.x0 + end, area.center().y));
                let each = (area.width() - self.names) / heads.len() as f64;
                for (nth, head) in heads.iter().enumerate() {
                    let x = area.x0 + self.names + nth as f64 * each + GAP;
                    self.print(drawing, head, Weight::Bold, Point::new(x, area.center().y));
                }
            }
            Line::Row(parts, split) => {
                self.draw_name(drawing, parts, area);
                for nth in 0..heads(self.card).len() {
                    let x = area.x0 + self.names + nth as f64 * self.column;
                    upright(drawing, x);
                    if *split == Split::BothSides {
                        dashed(drawing, x + self.column / 2.0, area);
                    }
                }
            }
            Line::Across(name) => {
                self.print(drawing, name, Weight::Bold, Point::new(area.x0, area.center().y));
            }
        }
    }

    fn draw_name(&self, drawing: &mut Drawing, parts: &[Part], area: Rect) {
        let last = parts.iter().map(|part| part.line).max().unwrap_or(0);
        let pitch = self.cap * LINE_PITCH;
        let first = area.center().y - last as f64 * pitch / 2.0;
        for part in parts {
            let x = if part.anchor == Anchor::End { area.x0 + self.names - part.x } else { area.x0 + part.x };
            let baseline = first + part.line as f64 * pitch + self.cap / 2.0;
            drawing.print(Text::new(&part.text, (x, baseline), part.anchor, self.cap, part.weight));
        }
    }

    /// Words that begin at `at`, in the middle of the height.
    fn print(&self, drawing: &mut Drawing, words: &str, weight: Weight, at: Point) {
        if !words.is_empty() {
            drawing.print(Text::new(words, (at.x, at.y + self.cap / 2.0), Anchor::Start, self.cap, weight));
        }
    }
}

/// A line from the top of an area to its bottom that one writes over, if need be.
fn dashed(drawing: &mut Drawing, x: f64, area: Rect) {
    let mut y = area.y0 + DASH_WHITE;
    while y < area.y1 - DASH_WHITE {
        drawing.print(Shape::line((x, y), (x, (y + DASH).min(area.y1 - DASH_WHITE / 2.0)), RULE));
        y += DASH + DASH_WHITE;
    }
}

fn text_width(words: &str, weight: Weight, cap: f64) -> f64 {
    TypeSize::in_hand(cap).width(words, weight)
}

/// What the columns are for.
fn heads(card: &Handover) -> Vec<String> {
    match card.side {
        Side::Now => ["CARD SAYS", "NOW", "TRY"].map(str::to_owned).to_vec(),
        Side::Past => (1..=PAST).map(|nth| if nth == 1 { "last".to_owned() } else { format!("{nth} ago") }).collect(),
    }
}

/// Every line; `None` if a word is wider than the names.
fn lines(card: &Handover, names: f64, cap: f64) -> Option<Vec<Line<'_>>> {
    let plain = |name: &String| {
        let parts = name_parts(&ControlLine { name: name.clone(), ..ControlLine::default() }, names, cap)?;
        Some(Line::Row(parts, Split::One))
    };
    let control = |split: Split| {
        move |control: &ControlLine| {
            // What a higher number does is told once, on the front.
            let told = match card.side {
                Side::Now => control.clone(),
                Side::Past => ControlLine { higher_is: None, ..control.clone() },
            };
            Some(Line::Row(name_parts(&told, names, cap)?, split))
        }
    };
    let columns = heads(card);
    let mut lines: Vec<Option<Line>> = Vec::new();
    let conditions = &card.conditions;
    if card.side == Side::Now {
        let pair = |pair: &'_ [String]| match pair {
            [left, right] => Some(Line::Pair(left_of(conditions, left), left_of(conditions, right))),
            [one] => Some(Line::Across(left_of(conditions, one))),
            _ => None,
        };
        lines.extend(conditions.chunks(2).map(pair));
        let has_higher = card.controls.iter().chain(&card.both_sides).any(|control| control.higher_is.is_some());
        lines.push(Some(Line::Heads(["", if has_higher { HIGHER_IS } else { "" }], columns.clone())));
    } else {
        lines.push(Some(Line::Heads(["", ""], columns.clone())));
        lines.extend(conditions.iter().map(plain));
    }
    lines.extend(card.controls.iter().map(control(Split::One)));
    if !card.both_sides.is_empty() {
        let sides = match card.side {
            Side::Now => ["PORT", "STBD"],
            Side::Past => ["P", "S"],
        };
        let sides = columns.iter().flat_map(|_| sides).map(str::to_owned).collect();
        lines.push(Some(Line::Heads([BOTH_SIDES, ""], sides)));
        lines.extend(card.both_sides.iter().map(control(Split::BothSides)));
    }
    let (across, in_columns): (Vec<&String>, Vec<&String>) =
        card.remarks.iter().partition(|name| card.side == Side::Now && *name == super::REMARK);
    lines.extend(in_columns.into_iter().map(plain));
    lines.extend(across.into_iter().map(|name| Some(Line::Across(name))));
    lines.into_iter().collect()
}

/// The words of a condition, for as long as its card lives.
fn left_of<'a>(conditions: &'a [String], wanted: &str) -> &'a str {
    conditions.iter().find(|name| *name == wanted).map_or("", String::as_str)
}

/// As wide as the widest name with what a higher number does, up to a part of the width.
fn names_width(card: &Handover, width: f64, cap: f64) -> f64 {
    let of_control = |control: &ControlLine| {
        let higher = control.higher_is.as_ref().filter(|_| card.side == Side::Now);
        let beside = higher.map_or(0.0, |words| BESIDE_NAME + text_width(&words.to_uppercase(), Weight::Regular, cap));
        name_width(control, cap) + beside
    };
    let controls = card.controls.iter().chain(&card.both_sides).map(of_control);
    let in_columns = if card.side == Side::Past { card.conditions.as_slice() } else { &[] };
    let others = in_columns.iter().chain(&card.remarks).map(|name| text_width(name, Weight::Bold, cap));
    let head = if card.both_sides.is_empty() { HIGHER_IS } else { BOTH_SIDES };
    let others = others.chain([text_width(head, Weight::Bold, cap)]);
    let widest = controls.chain(others).fold(0.0, f64::max) + GAP;
    let places = if card.both_sides.is_empty() { 1 } else { 2 };
    let beside_columns = width - MARK_MM * (heads(card).len() * places) as f64;
    widest.min((width * LONG_NAMES_MOST).min(beside_columns).max(width * NAMES_MOST))
}

fn name_width(control: &ControlLine, cap: f64) -> f64 {
    let unit = control.unit.as_ref().map_or(0.0, |unit| cap / 2.0 + text_width(unit, Weight::Regular, cap));
    text_width(&control.name, Weight::Bold, cap) + unit
}

/// A name with its unit, and what a higher number does at the right of it or, where that has no room, beneath. `None` if a
/// word of it is too wide.
fn name_parts(control: &ControlLine, width: f64, cap: f64) -> Option<Vec<Part>> {
    let room = width - GAP;
    let part = |text: &str, weight, line, x| Part { text: text.to_owned(), weight, line, x, anchor: Anchor::Start };
    let lines = flow::wrapped(&control.name, cap, Weight::Bold, CARD_DISTANCE, room);
    if lines.iter().any(|line| frame::line_width(line) > room) {
        return None;
    }
    let mut parts: Vec<Part> =
        lines.iter().enumerate().map(|(nth, line)| part(&line.text, Weight::Bold, nth, 0.0)).collect();
    let mut last = lines.len().saturating_sub(1);
    let mut end = lines.last().map_or(0.0, frame::line_width);
    if let Some(unit) = &control.unit {
        let unit_width = text_width(unit, Weight::Regular, cap);
        if end + cap / 2.0 + unit_width > room {
            last += 1;
            end = -cap / 2.0;
        }
        parts.push(part(unit, Weight::Regular, last, end + cap / 2.0));
        end += cap / 2.0 + unit_width;
    }
    if let Some(higher) = control.higher_is.as_ref().map(|words| words.to_uppercase()) {
        let higher_width = text_width(&higher, Weight::Regular, cap);
        if end + BESIDE_NAME + higher_width <= room {
            parts.push(Part { text: higher, weight: Weight::Regular, line: last, x: GAP, anchor: Anchor::End });
        } else {
            let beneath = flow::wrapped(&higher, cap, Weight::Regular, CARD_DISTANCE, room);
            if beneath.iter().any(|line| frame::line_width(line) > room) {
                return None;
            }
            let beneath = beneath.iter().enumerate();
            parts.extend(beneath.map(|(nth, line)| part(&line.text, Weight::Regular, last + 1 + nth, 0.0)));
        }
    }
    Some(parts)
}

/// Every limit, those of a kind under one word: `NEVER PAST: Backstay 7 · Vang 100 bar.`
fn limits(card: &Handover) -> Vec<String> {
    let printed = || card.cautions.iter().map(|limit| limit.printed.as_str());
    let (above, below) = (never(true, ""), never(false, ""));
    let of_kind = |never: &str| -> Vec<String> {
        let reading = |words: &str| {
            words
                .split_once(never)
                .map(|(name, reading)| format!("{} {reading}", name.trim_end().trim_end_matches(':')))
        };
        printed().filter_map(reading).collect()
    };
    let told = [above.as_str(), below.as_str()].map(|never| (never, of_kind(never)));
    let told = told.into_iter().filter(|(_, limits)| !limits.is_empty());
    let told = told.map(|(never, limits)| format!("{}: {}.", never.trim_end(), limits.join(" · ")));
    let is_other = |words: &&str| !words.contains(&above) && !words.contains(&below);
    told.chain(printed().filter(is_other).map(|words| format!("{words}."))).collect()
}

fn surround(card: &Handover) -> Surround {
    let is_past = card.side == Side::Past;
    let narrowed = card.narrowed.iter().map(|words| format!("{words}."));
    // In one: a line of its own for each would take the place of a control.
    let last: Vec<String> = limits(card).into_iter().chain((!is_past).then(|| AS_THEY_ARE.to_owned())).collect();
    let last = (!last.is_empty()).then(|| last.join(" "));
    let within = if card.cautions.is_empty() { String::new() } else { format!(" {WITHIN_MAKERS_LIMITS}") };
    let note = if is_past { "Copy each hand-over here before wiping the card." } else { "Matt film, grease pencil." };
    Surround {
        title: vec![if is_past { "Past hand-overs" } else { "Hand-over" }.to_owned()],
        at_right: card.part.clone().unwrap_or_default(),
        kind: card.settings.clone().unwrap_or_default(),
        must: narrowed.chain(last).collect(),
        foot: vec![format!("{note}{within}")],
        ..Surround::default()
    }
}
