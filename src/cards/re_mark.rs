//! The kind `re-mark`: how to put a lost strip back in its place, and a new line under the old numbers.

use crate::wrong::{Wrong, shown};
use kurbo::Point;
use serde::Serialize;

use super::parts::comparing::{Fields, text};
use super::parts::flow;
use super::parts::frame::{self, Frame, MUST_CAP, Surround, draw_lines, lines_height};
use super::parts::gear::Steps;
use super::parts::table::{Cell, Column, Inset, Look, Paragraph, Row as TableRow, RowHeights};
use super::parts::telling::{Said, by_lines, taken};
use super::parts::view::{self, Side};
use super::parts::words::after_the;
use super::strip::{is_printable, tape_measure};
use super::{Card, Content, Kind, Label, Nothing, Stock, Usual};
use crate::book::{Book, Control, Datum, LengthUnit, Place, Problem, Section, Table, suggest};
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::{Drawing, Weight};
use crate::size::NamedSize;

pub const KIND: Kind = Kind {
    name: "re-mark",
    about: "Where each strip lies and how a new line takes over the old numbers",
    made_of: &[Section::Controls],
    from_entry,
    by_default: |book| match book.controls.iter().find(|control| has_datum(control)) {
        Some(control) => Ok(vec![Usual::of(&control.place)]),
        None => Err(Nothing::because("no strip has a `datum`")),
    },
    changes: |old, new| by_lines(old, new, lines),
};

/// The order of work for a new line, in words that hold for a halyard as for a sheet.
const NEW_LINE: [&str; 4] = [
    "Old line still on: set a mark you know, under its load.",
    "New line, same sail, same load: haul until the sail sits as it did.",
    "Whip the new line at that same mark. The strip stays where it is.",
    "After a day it has stretched: move the whipping, never the strip.",
];
const CAUTION: &str = "LINES UNDER LOAD: stand clear of the bight. Ask a rigger where you are not sure.";
const WITHIN_LIMITS: &str = "Keep within the makers' working limits.";
/// What the two lengths are.
const EXPLAINED: &str = "Mark at: the lowest mark, from that point. Length: first mark to last.";
/// What is not in the book is measured once and written in.
const TO_WRITE: &str = "A line to write on: not measured yet.";
/// More strips than these go on to a second card.
const ROWS_MOST: usize = 10;
/// Lines to write a place and a distance on.
const PLACE_LINE: &str = "_______";
const DISTANCE_LINE: &str = "_____";
/// Between two columns, in capital heights.
const COLUMN_GAP: f64 = 0.5;
/// Rows spread over the card up to this much air, in capital heights a row.
const AIR_MOST: f64 = 1.2;
/// Above the steps, in capital heights.
const STEPS_GAP: f64 = 1.0;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReMark {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// `1 of 2` where one card does not hold them all.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// Of every length on it: `mm`.
    pub unit: &'static str,
    pub rows: Vec<Row>,
}

/// One strip and the points it is measured from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    pub control: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// What the strip is laid from, to its lowest mark; not measured yet if it is missing, like the one below.
    pub first_point: Option<HardPoint>,
    pub second_point: Option<HardPoint>,
    /// What stands at the lowest mark.
    pub lowest_mark: String,
    /// From the lowest mark to the highest: what shows a strip that was printed at the wrong size.
    pub span: String,
    /// That length runs along a curve.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub along_curve: bool,
    pub pointer: Option<String>,
    pub read_when: Option<String>,
}

/// A place on the boat that does not move, and how far from it the lowest mark is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HardPoint {
    pub from: String,
    pub distance: String,
}

impl Content for ReMark {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        frame::fitted(self.size.as_ref(), label, |size, least| {
            frame::both_ways(size, label).into_iter().find_map(|size| draw(self, label, size, least))
        })
    }
}

fn has_datum(control: &Control) -> bool {
    control.scale.mark_count() > 0 && control.strip.as_ref().is_some_and(|strip| strip.datum.is_some())
}

/// `{kind: re-mark, controls: [jib_halyard, backstay]}`; without `controls`, all that have a datum.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    let wanted = entry.take("controls");
    let place = entry.place.clone();
    entry.finish(problems);
    let known: Vec<&Control> = book.controls.iter().filter(|control| is_printable(control)).collect();
    let mut controls = Vec::new();
    for node in wanted.and_then(|node| node.items("the controls to re-mark", problems)).unwrap_or_default() {
        let Some(name) = node.text("a control", problems) else { continue };
        match known.iter().find(|control| control.id.value == name) {
            Some(control) => controls.push(*control),
            None if book.control(name).is_some() => problems.push(Problem::error(
                node.place.clone(),
                format!("{} has no strip to put back", shown(name)),
                "leave it out, or give its control a scale with places along a line",
            )),
            None => {
                let ids: Vec<&str> = known.iter().map(|control| control.id.value.as_str()).collect();
                let what = format!("there is no control {}", shown(name));
                problems.push(Problem::error(node.place.clone(), what, suggest::advice(name, ids)));
            }
        }
    }
    if wanted.is_none() {
        if known.iter().any(|control| has_datum(control)) {
            controls = known;
        } else {
            problems.push(Problem::error(
                place.clone(),
                "there is nothing to re-mark: no strip has a datum",
                "add `datum: {from: ram eye, distance: 310 mm}` to a strip",
            ));
        }
    }
    if controls.is_empty() {
        return Vec::new();
    }
    cards(book, &controls, id.as_deref(), size.as_ref(), &place)
}

/// As few cards as hold all strips, each with as many as the others.
fn cards(book: &Book, controls: &[&Control], id: Option<&str>, size: Option<&NamedSize>, place: &Place) -> Vec<Card> {
    let rows: Vec<Row> = controls.iter().flat_map(|control| rows(book, control)).collect();
    let count = rows.len().div_ceil(ROWS_MOST);
    let each = rows.len().div_ceil(count.max(1)).max(1);
    let card = |(index, rows): (usize, &[Row])| {
        let part = (count > 1).then(|| format!("{} of {count}", index + 1));
        let title = "Re-mark lines and strips";
        let title = part.as_ref().map_or_else(|| title.to_owned(), |part| format!("{title}, {part}"));
        let (boat, size) = (book.boat.name.value.clone(), size.cloned());
        let content = ReMark { size, boat, part, unit: unit(book), rows: rows.to_vec() };
        let id = id.unwrap_or(KIND.name);
        let id = if index == 0 { id.to_owned() } else { format!("{id}-{}", index + 1) };
        Card::new(id, KIND.name, title, Stock::Card, place.clone(), content)
    };
    rows.chunks(each).enumerate().map(card).collect()
}

/// The unit of a tape measure.
fn unit(book: &Book) -> &'static str {
    match book.units.length {
        LengthUnit::Inch | LengthUnit::Foot => "in",
        LengthUnit::Millimetre | LengthUnit::Centimetre | LengthUnit::Metre => "mm",
    }
}

/// Each strip of a control.
fn rows(book: &Book, control: &Control) -> Vec<Row> {
    let plan = control.strip.as_ref();
    // The unit stands once in the heads.
    let number = |length| {
        let words = tape_measure(length, book.units);
        words.strip_suffix(unit(book)).map_or(words.as_str(), str::trim_end).to_owned()
    };
    let point = |datum: &Datum| HardPoint { from: after_the(&datum.from).to_owned(), distance: number(datum.distance) };
    let marks = control.scale.graduations();
    let span = marks.first().zip(marks.last()).map(|(first, last)| number(last.at - first.at));
    let row = |side| Row {
        control: control.name.clone(),
        side,
        first_point: plan.and_then(|plan| plan.datum.as_ref()).map(point),
        second_point: plan.and_then(|plan| plan.second_datum.as_ref()).map(point),
        lowest_mark: marks.first().map(|mark| mark.label.clone()).unwrap_or_default(),
        span: span.clone().unwrap_or_default(),
        along_curve: plan.is_some_and(|plan| plan.arc.is_some()),
        pointer: plan.and_then(|plan| plan.pointer.as_deref()).map(|pointer| after_the(pointer).to_owned()),
        read_when: control.read_when.clone(),
    };
    view::sides(plan).into_iter().map(row).collect()
}

fn draw(card: &ReMark, label: &Label, size: kurbo::Size, cap: f64) -> Option<Drawing> {
    let surround = Surround {
        title: vec!["Re-mark".to_owned()],
        at_right: card.part.clone().unwrap_or_default(),
        kind: "PUT A STRIP BACK".to_owned(),
        must: vec![CAUTION.to_owned()],
        foot: vec![format!("{EXPLAINED} {TO_WRITE} {WITHIN_LIMITS}")],
        ..Surround::default()
    };
    let frame = Frame::new(size, &surround, label, cap)?;
    let body = frame.body;
    let heading = flow::wrapped("A NEW LINE, THE OLD NUMBERS", MUST_CAP, Weight::Bold, CARD_DISTANCE, body.width());
    let steps = Steps::new(NEW_LINE, cap, body.width());
    let below = cap * STEPS_GAP + lines_height(&heading) + steps.height();
    let tight = table(card, 0.0);
    let spare = body.height() - below - tight.measured().laid_out(cap, body.width())?.height();
    if spare < 0.0 {
        return None;
    }
    let table = table(card, (spare / card.rows.len() as f64 / cap).min(AIR_MOST));
    let measured = table.measured();
    let laid_out = measured.laid_out(cap, body.width())?;
    let title = format!("{}: lines and strips to re-mark", card.boat);
    let mut drawing = frame.start(title, format!("Datums of {} strips", card.rows.len()), label);
    laid_out.draw(&mut drawing, Point::new(body.x0, body.y0));
    let foot = draw_lines(&mut drawing, &heading, body.x0, body.y1 - below + cap * STEPS_GAP);
    steps.draw(&mut drawing, body.x0, foot);
    Some(drawing)
}

/// A row for each strip, with so much air in it, in capital heights.
fn table(card: &ReMark, air: f64) -> Inset {
    let unit = card.unit;
    let columns = vec![
        Column::wrapped("STRIP"),
        Column::wrapped("FROM"),
        Column::numbers(format!("MARK AT {unit}")),
        Column::numbers(format!("LENGTH {unit}")),
        Column::wrapped("READ AT"),
        Column { wraps: true, ..Column::numbers(format!("2ND POINT {unit}")) },
    ];
    let look = Look { rows: RowHeights::AsNeeded { air_most: air }, gap: COLUMN_GAP, ..Look::WORDS };
    Inset { columns, rows: card.rows.iter().map(table_row).collect(), look }
}

fn table_row(row: &Row) -> TableRow {
    let bold = |words: &str| Paragraph::of(words, Weight::Bold);
    let strip = Cell {
        paragraphs: std::iter::once(bold(&row.control)).chain(row.side.map(|side| bold(short(side)))).collect(),
        ..Cell::empty()
    };
    let (from, at) = match &row.first_point {
        Some(point) => {
            let at = Cell { paragraphs: vec![Paragraph::whole(&point.distance, Weight::Bold)], ..Cell::empty() };
            let is_zero = row.lowest_mark == "0" || row.lowest_mark.is_empty();
            let mark = (!is_zero).then(|| Paragraph::small(format!("mark {}", row.lowest_mark)));
            (Cell::plain(&point.from), Cell { paragraphs: at.paragraphs.into_iter().chain(mark).collect(), ..at })
        }
        None => (to_write(PLACE_LINE), to_write(DISTANCE_LINE)),
    };
    let curve = row.along_curve.then(|| Paragraph::small("along the curve"));
    let span = std::iter::once(Paragraph::whole(&row.span, Weight::Bold)).chain(curve).collect();
    let pointer = row.pointer.iter().map(|pointer| Paragraph::of(pointer, Weight::Regular));
    let when = row.read_when.iter().map(|when| Paragraph::small(format!("when {}", after_when(when))));
    let second = match &row.second_point {
        Some(point) => Cell {
            paragraphs: vec![Paragraph::whole(&point.distance, Weight::Bold), Paragraph::small(&point.from)],
            ..Cell::empty()
        },
        None => to_write(PLACE_LINE),
    };
    TableRow::of([
        strip,
        from,
        at,
        Cell { paragraphs: span, ..Cell::empty() },
        Cell { paragraphs: pointer.chain(when).collect(), ..Cell::empty() },
        second,
    ])
}

/// The side in as few letters as the trade does with.
fn short(side: Side) -> &'static str {
    match side {
        Side::Port => "PORT",
        Side::Starboard => "STBD",
    }
}

fn to_write(line: &str) -> Cell {
    Paragraph::whole(line, Weight::Regular).into()
}

/// What follows the word when.
fn after_when(words: &str) -> &str {
    words.strip_prefix("when ").unwrap_or(words)
}

/// `Backstay, laid from: ram eye, 310`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    const FIELDS: [(&str, &str); 4] =
        [("lowest_mark", "lowest mark"), ("span", "length"), ("pointer", "read against"), ("read_when", "read when")];
    const POINTS: [(&str, &str); 2] = [("first_point", "laid from"), ("second_point", "second point")];
    let unit = text(content.shift_remove("unit").as_ref());
    for row in taken(content, "rows") {
        let side = text(row.get("side"));
        let side = if side.is_empty() { side } else { format!(" {side}") };
        let control = format!("{}{side}", text(row.get("control")));
        for (field, words) in POINTS {
            if let Some(point) = row.get(field).filter(|point| !point.is_null()) {
                let says = format!("{} {unit} from the {}", text(point.get("distance")), text(point.get("from")));
                lines.push(Said::one(format!("{control}, {words}"), says));
            }
        }
        for (field, words) in FIELDS {
            let says = text(row.get(field));
            if !says.is_empty() {
                lines.push(Said::one(format!("{control}, {words}"), says));
            }
        }
    }
}
