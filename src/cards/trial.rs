//! A card to sail one trial by: legs of ten minutes with two or three readings of one control, in an order that its second half
//! mirrors. It is asked for by a question of the season and never by the book's list of cards.

use kurbo::{Line as Stretch, Rect};
use serde::Serialize;

use super::handover::LEAST_ROW_MM;
use super::parts::flow::{self, Line};
use super::parts::frame::{self, Frame, HEAVY_RULE, LINE_PITCH, RULE, Surround, draw_lines};
use super::parts::label::Label;
use super::parts::matrix::columns_at;
use super::parts::sided;
use super::parts::words::{course_words, never, sail_names, wind_words};
use super::{Card, Content, Stock};
use crate::book::{Book, Control, Limit, Settings};
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::{Anchor, Drawing, Shape, Text, Weight};
use crate::season::trial::LEGS_WITHIN_KN;
use crate::size::NamedSize;
use crate::tuning::{Angle, Wind};
use crate::wrong::Wrong;

/// How such a card is called where other cards have their kind; the book cannot ask for one.
pub const KIND_NAME: &str = "trial";

/// A row to write in is up to this many times as high as a hand needs: a higher one looks empty.
const ROW_MOST: f64 = 1.3;
/// Letters grow to this much of what has to be readable, where there is room.
const LARGEST: f64 = 1.5;
/// The marks that stay the same stand this far across their half of the width.
const SAME_AT: f64 = 0.82;
/// Marks of the legs, in capital heights of the rest.
const MARK: f64 = 1.45;
/// A box to write a time in, as a part of the row it stands in.
const BOX_SHARE: f64 = 0.8;
/// The parts of the width that the columns of a leg begin at: its number, its reading, and three boxes.
const LEG_AT: f64 = 0.0;
const READING_AT: f64 = 0.12;
const BOXES_AT: [f64; 3] = [0.38, 0.6, 0.82];
const BOX_WIDTH: f64 = 0.18;
/// The mirror in the middle of the legs, millimetres on and off.
const DASH: [f64; 2] = [2.0, 1.4];
/// Room around a heading, in capital heights.
const ROOM: f64 = 0.7;
/// The letters of the readings, the lowest first.
const LETTERS_OF_TWO: [&str; 2] = ["L", "H"];
const LETTERS_OF_THREE: [&str; 3] = ["L", "M", "H"];

/// What a trial is to compare, and in which order.
#[derive(Clone, Debug)]
pub struct Question<'a> {
    /// The settings that are sailed.
    pub settings: &'a Settings,
    /// The row round which it asks: its wind, and its angle if they go by angle too.
    pub row: (Wind, Option<Angle>),
    /// The control that moves, by its place in the book.
    pub control: usize,
    /// Its readings, in rising order.
    pub readings: Vec<f64>,
    /// The reading of each leg.
    pub legs: Vec<f64>,
    /// The winds that the mean of a trial must lie in.
    pub winds: (Wind, Wind),
    /// The angles, where the settings go by angle.
    pub angles: Option<(Angle, Angle)>,
    /// How the legs are to be named in the notes.
    pub name: String,
}

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Trial {
    /// It is looks, not content.
    #[serde(skip)]
    pub size: Option<NamedSize>,
    /// The boat's name.
    pub boat: String,
    /// `J1 + Main`.
    pub sails: String,
    /// `upwind`, `50° to 110°`.
    pub course: String,
    /// `true wind, masthead`.
    pub wind: String,
    /// The control that moves.
    pub control: String,
    /// `4, 5 or 6`.
    pub readings: String,
    /// `14 kn`, `14 kn, 80°`.
    pub at: String,
    /// In the order that they are sailed in: letter and reading.
    pub legs: Vec<(String, String)>,
    /// What the other controls stay at.
    pub same: Vec<(String, String)>,
    /// The winds and the angles of the whole trial: `12½ to 15½ kn`.
    pub within: String,
    /// How far the winds of two legs may be from each other: `3 kn`.
    pub apart: String,
    /// What the control is never set past.
    pub limits: Vec<String>,
    /// What the notes call it.
    pub name: String,
}

/// The card of a question.
pub fn card(book: &Book, question: &Question<'_>, size: Option<NamedSize>) -> Option<Card> {
    let control = book.controls.get(question.control)?;
    let content = content(book, control, question, size);
    let title = format!("Trial {}: {}", content.name, content.headline());
    let place = question.settings.place.clone();
    Some(Card::new(format!("trial-{}", question.name), KIND_NAME, title, Stock::Card, place, content))
}

fn content(book: &Book, control: &Control, question: &Question<'_>, size: Option<NamedSize>) -> Trial {
    let (settings, unit) = (question.settings, book.units.wind);
    let print = |reading: f64| control.scale.print(reading);
    let letters: &[&str] =
        if question.readings.len() == LETTERS_OF_TWO.len() { &LETTERS_OF_TWO } else { &LETTERS_OF_THREE };
    let leg = |reading: &f64| {
        let place = question.readings.iter().position(|other| other == reading);
        let letter = place.and_then(|place| letters.get(place)).copied().unwrap_or_default();
        (letter.to_owned(), print(*reading))
    };
    let (wind, angle) = question.row;
    let at = [Some(wind.print_with_unit(unit)), angle.map(Angle::print)];
    let winds = format!("{} to {}", question.winds.0.print(unit), question.winds.1.print_with_unit(unit));
    let angles = question.angles.map(|(low, high)| format!("{} to {}", low.print(), high.print()));
    let others = settings.controls.iter().zip(columns_at(book, settings, angle));
    let same = others.filter(|(index, _)| **index != question.control).filter_map(|(index, column)| {
        let control = book.controls.get(*index)?;
        Some((control.name.clone(), sided::mark(&control.scale, &sided::at(&column?, wind))))
    });
    Trial {
        size,
        boat: book.boat.name.value.clone(),
        sails: sail_names(book, settings).join(" + "),
        course: course_words(settings),
        wind: wind_words(book),
        control: control.name.clone(),
        readings: listed(&question.readings.iter().map(|reading| print(*reading)).collect::<Vec<_>>()),
        at: at.into_iter().flatten().collect::<Vec<_>>().join(", "),
        legs: question.legs.iter().map(leg).collect(),
        same: same.collect(),
        within: std::iter::once(winds).chain(angles).collect::<Vec<_>>().join(", "),
        apart: Wind::knots(LEGS_WITHIN_KN).print_with_unit(unit),
        limits: limits(control),
        name: question.name.clone(),
    }
}

/// `NEVER PAST 7`, `NEVER BELOW 2`, with the reason if there is one.
fn limits(control: &Control) -> Vec<String> {
    let words = |is_above: bool, limit: &Limit| {
        let why = limit.why.as_ref().map(|why| format!(": {why}")).unwrap_or_default();
        format!("{}{why}", never(is_above, &control.scale.print(limit.reading.value)))
    };
    let above = control.never_above.as_ref().map(|limit| words(true, limit));
    let below = control.never_below.as_ref().map(|limit| words(false, limit));
    above.into_iter().chain(below).collect()
}

/// `4, 5 or 6`.
fn listed(readings: &[String]) -> String {
    match readings {
        [] => String::new(),
        [one] => one.clone(),
        [all @ .., last] => format!("{} or {last}", all.join(", ")),
    }
}

impl Content for Trial {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        frame::fitted(self.size.as_ref(), label, |size, least| {
            let at = |cap: f64| frame::both_ways(size, label).into_iter().find_map(|size| self.draw(label, size, cap));
            frame::largest_that_fits(least, least * LARGEST, None, at)
        })
    }
}

/// What stands under the legs, measured.
struct Below {
    how: Vec<Line>,
    same: Vec<Line>,
    /// Controls and their marks, in rows of two.
    marks: Vec<[Option<(Line, Line)>; 2]>,
    stays: Vec<Line>,
    ends: Vec<Vec<Line>>,
}

impl Trial {
    fn headline(&self) -> String {
        format!("{} {} at {}?", self.control, self.readings, self.at)
    }

    /// What nobody may miss: `NEVER PAST 7 on the backstay.`
    fn boxed(&self) -> Vec<String> {
        let bare = |words: &String| words.split_once(": ").map_or(words.clone(), |(never, _)| never.to_owned());
        let limits = self.limits.iter().map(|words| format!("{} on the {}.", bare(words), lower_first(&self.control)));
        limits.chain(["SAFETY FIRST: anyone may break off, no reason asked.".to_owned()]).collect()
    }

    /// Why the limits are what they are, small: ` · limit: 180 bar at mark 7, measured 2027-04-11`
    fn reasons(&self) -> String {
        let why =
            self.limits.iter().filter_map(|words| words.split_once(": ")).map(|(_, why)| format!(" · limit: {why}"));
        why.collect()
    }

    fn draw(&self, label: &Label, size: kurbo::Size, cap: f64) -> Option<Drawing> {
        let surround = Surround {
            title: vec![self.control.clone(), self.readings.clone(), format!("at {}?", self.at)],
            kind: format!("TRIAL · HELM NOT TOLD · {}, {}", self.sails, self.course.to_uppercase()),
            must: self.boxed(),
            foot: vec![format!("{} · notes: trial {} · ten minutes a leg{}", self.wind, self.name, self.reasons())],
            ..Surround::default()
        };
        let frame = Frame::new(size, &surround, label, cap)?;
        let Rect { x0, x1, y0, y1 } = frame.body;
        let below = self.below(cap, x1 - x0);
        let head = cap * LINE_PITCH;
        let legs_height = y1 - y0 - head - below.height(cap);
        let row = legs_height / self.legs.len().max(1) as f64;
        if row < LEAST_ROW_MM {
            return None;
        }
        let row = row.min(LEAST_ROW_MM * ROW_MOST);
        let mut drawing = frame.start(
            format!("{}: trial, {}", self.boat, self.headline()),
            format!("{} legs to sail and to time", self.legs.len()),
            label,
        );
        let mut y = self.draw_head(&mut drawing, frame.body, cap);
        y = self.draw_legs(&mut drawing, (x0, x1), y, (row, cap));
        below.draw(&mut drawing, Rect::new(x0, y, x1, y1), cap);
        Some(drawing)
    }

    fn draw_head(&self, drawing: &mut Drawing, body: Rect, cap: f64) -> f64 {
        let width = body.width();
        let head = (cap * frame::HEAD_SHARE).max(frame::wanted_cap_mm().min(cap));
        let columns = [(LEG_AT, "LEG"), (READING_AT, self.control.as_str())];
        let boxes = BOXES_AT.into_iter().zip(["SET AT", "FROM", "TO"]);
        for (at, words) in columns.into_iter().chain(boxes) {
            let words = words.to_uppercase();
            let place = (body.x0 + at * width, body.y0 + head);
            drawing.print(Text::new(words, place, Anchor::Start, head, Weight::Bold));
        }
        let y = body.y0 + cap * LINE_PITCH;
        drawing.print(Shape::line((body.x0, y), (body.x1, y), HEAVY_RULE));
        y
    }

    fn draw_legs(&self, drawing: &mut Drawing, (left, right): (f64, f64), top: f64, (row, cap): (f64, f64)) -> f64 {
        let width = right - left;
        let mark = cap * MARK;
        for (nth, (letter, reading)) in self.legs.iter().enumerate() {
            let y = top + nth as f64 * row;
            let base = y + (row + mark) / 2.0;
            let number = (nth + 1).to_string();
            drawing.print(Text::new(number, (left + LEG_AT * width, base), Anchor::Start, mark, Weight::Regular));
            let read_at = left + READING_AT * width;
            drawing.print(Text::new(letter, (read_at, base), Anchor::Start, mark, Weight::Bold));
            drawing.print(Text::new(reading, (read_at + 2.2 * mark, base), Anchor::Start, mark, Weight::Bold));
            for at in BOXES_AT {
                let (x, high) = (left + at * width, row * BOX_SHARE);
                let outline = Rect::new(x, y + (row - high) / 2.0, x + BOX_WIDTH * width, y + (row + high) / 2.0);
                drawing.print(Shape::stroke(outline, RULE * 2.0));
            }
            let under = y + row;
            match (nth + 1) * 2 {
                halfway if halfway == self.legs.len() => draw_mirror(drawing, (left, right), under),
                all if all == self.legs.len() * 2 => {
                    drawing.print(Shape::line((left, under), (right, under), HEAVY_RULE));
                }
                _ => drawing.print(Shape::line((left, under), (left + BOXES_AT[0] * width - mark, under), RULE)),
            }
        }
        top + self.legs.len() as f64 * row
    }

    fn below(&self, cap: f64, width: f64) -> Below {
        let text = |words: &str, weight| flow::wrapped(words, cap, weight, CARD_DISTANCE, width);
        let plain = |words: &str| text(words, Weight::Regular);
        let middle = if self.legs.len() > 4 { "L low, M middle, H high" } else { "L low, H high" };
        let mark = |(control, mark): &(String, String)| {
            let line = |text: &str, weight| Line { text: text.to_owned(), cap, weight, distance: CARD_DISTANCE };
            (line(control, Weight::Regular), line(mark, Weight::Bold))
        };
        let mut marks = self.same.iter().map(mark);
        let mut rows = Vec::new();
        while let Some(first) = marks.next() {
            rows.push([Some(first), marks.next()]);
        }
        let ends = [
            "the sails change, she tacks or gybes, or the sea changes,".to_owned(),
            format!(
                "the wind leaves {} for good, or the winds of two legs are over {} apart,",
                self.within, self.apart
            ),
            "anything that must stay the same has moved, or anyone asks for it.".to_owned(),
        ];
        let bullets = ends.iter().map(|words| {
            let narrower = flow::wrapped(words, cap, Weight::Regular, CARD_DISTANCE, width - cap * 2.0);
            narrower.into_iter().collect()
        });
        Below {
            how: plain(&format!(
                "{middle}; the second half mirrors the first. SET AT: the reading is set. FROM: two minutes on. TO: eight minutes after that. Clock times, with seconds. Nobody says the mark aloud."
            )),
            same: text("MUST STAY THE SAME", Weight::Bold),
            marks: rows,
            stays: plain(
                "One board, one sea; the same hands in the same places; nothing else touched. Another helm is noted.",
            ),
            ends: std::iter::once(text("IT IS OVER, AND DOES NOT COUNT, WHEN", Weight::Bold)).chain(bullets).collect(),
        }
    }
}

/// A name amid a sentence: `backstay`, but `J1 sheet`.
fn lower_first(name: &str) -> String {
    let mut letters = name.chars();
    let Some(first) = letters.next() else { return String::new() };
    let rest = letters.as_str();
    let is_plain = rest.starts_with(|letter: char| letter.is_lowercase());
    if is_plain { first.to_lowercase().chain(rest.chars()).collect() } else { name.to_owned() }
}

/// Past here the legs come back in the opposite order.
fn draw_mirror(drawing: &mut Drawing, (left, right): (f64, f64), y: f64) {
    let mut x = left;
    while x < right {
        drawing.print(Shape::stroke(Stretch::new((x, y), ((x + DASH[0]).min(right), y)), HEAVY_RULE));
        x += DASH[0] + DASH[1];
    }
}

impl Below {
    fn height(&self, cap: f64) -> f64 {
        let lines: usize = self.ends.iter().map(Vec::len).sum();
        let all = self.how.len() + self.same.len() + self.marks.len() + self.stays.len() + lines;
        all as f64 * cap * LINE_PITCH + cap * ROOM * 4.0
    }

    fn draw(&self, drawing: &mut Drawing, area: Rect, cap: f64) {
        let Rect { x0, x1, y0, .. } = area;
        let (room, pitch) = (cap * ROOM, cap * LINE_PITCH);
        let mut y = draw_lines(drawing, &self.how, x0, y0 + room);
        drawing.print(Shape::line((x0, y + room / 2.0), (x1, y + room / 2.0), RULE));
        y = draw_lines(drawing, &self.same, x0, y + room * 1.5);
        for row in &self.marks {
            for (side, pair) in row.iter().enumerate() {
                let Some((control, mark)) = pair else { continue };
                let (left, half) = (x0 + side as f64 * (x1 - x0) / 2.0, (x1 - x0) / 2.0);
                draw_lines(drawing, std::slice::from_ref(control), left, y);
                let place = (left + half * SAME_AT, y + cap);
                drawing.print(Text::new(&mark.text, place, Anchor::End, cap, Weight::Bold));
            }
            y += pitch;
        }
        y = draw_lines(drawing, &self.stays, x0, y);
        drawing.print(Shape::line((x0, y + room / 2.0), (x1, y + room / 2.0), RULE));
        y += room * 1.5;
        for (nth, lines) in self.ends.iter().enumerate() {
            if nth > 0 {
                drawing.print(Text::new("•", (x0, y + cap), Anchor::Start, cap, Weight::Regular));
            }
            y = draw_lines(drawing, lines, if nth > 0 { x0 + cap * 2.0 } else { x0 }, y);
        }
    }
}
