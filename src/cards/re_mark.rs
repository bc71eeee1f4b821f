//! The kind `re-mark`: how to put a lost strip back in its place, and a new line under the old numbers.

use crate::wrong::{Wrong, shown};
use kurbo::Rect;
use serde::Serialize;

use super::parts::comparing::{Fields, text};
use super::parts::flow::{self, Line};
use super::parts::frame::{self, Frame, LINE_PITCH, Surround, draw_lines, lines_height};
use super::parts::telling::{Said, by_lines, taken};
use super::parts::words::{after_the, sail_names};
use super::strip::tape_measure;
use super::{Card, Content, Kind, Label, Nothing, Stock, Usual};
use crate::book::{Book, Control, Place, Problem, Section, Table, suggest};
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::{Drawing, Shape, Weight};
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
    "Old line still on: set a mark you know, under the load named above, and note it.",
    "Reeve the new line. Same sail, same load: haul until the sail sits as it did.",
    "Whip the new line at that same mark. The strip stays where it is.",
    "After a day's sailing the line has stretched: check, and move the whipping, never the strip.",
];
const CAUTION: &str = "Caution: lines under load. Stand clear of the bight, keep within the makers' working limits; \
                       ask a rigger where you are not sure.";
/// For a strip that the book lays from one hard point: one alone may be lost with the strip.
const SECOND_POINT: &str = "Measure a second point and write it in: ____________ from the ____________________";
const RULE: f64 = 0.2;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReMark {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    pub rows: Vec<Row>,
}

/// One control's strip and the points it is measured from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    pub control: String,
    /// `310 mm from the ram eye`, once for each hard point.
    pub lowest_mark: Vec<String>,
    /// `0 to 8 measure 160 mm`: what shows a strip that was printed at the wrong size.
    pub span: String,
    pub pointer: Option<String>,
    pub read_when: Option<String>,
    /// The sails whose settings use this control.
    pub sails: Vec<String>,
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
    let all: Vec<&Control> = book.controls.iter().filter(|control| has_datum(control)).collect();
    let mut controls = Vec::new();
    for node in wanted.and_then(|node| node.items("the controls to re-mark", problems)).unwrap_or_default() {
        let Some(name) = node.text("a control", problems) else { continue };
        match all.iter().find(|control| control.id.value == name) {
            Some(control) => controls.push(*control),
            None if book.control(name).is_some() => problems.push(Problem::error(
                node.place.clone(),
                format!("the strip of {} has no datum", shown(name)),
                "add `datum: {from: ram eye, distance: 310 mm}` to its strip",
            )),
            None => {
                let ids: Vec<&str> = all.iter().map(|control| control.id.value.as_str()).collect();
                let what = format!("there is no control {}", shown(name));
                problems.push(Problem::error(node.place.clone(), what, suggest::advice(name, ids)));
            }
        }
    }
    if wanted.is_none() {
        controls = all;
        if controls.is_empty() {
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
    vec![card(book, &controls, id, size, &place)]
}

fn card(book: &Book, controls: &[&Control], id: Option<String>, size: Option<NamedSize>, place: &Place) -> Card {
    let rows = controls.iter().map(|control| row(book, control)).collect();
    let content = ReMark { size, boat: book.boat.name.value.clone(), rows };
    let id = id.unwrap_or_else(|| KIND.name.to_owned());
    Card::new(id, KIND.name, "Re-mark lines and strips", Stock::Card, place.clone(), content)
}

fn row(book: &Book, control: &Control) -> Row {
    let plan = control.strip.as_ref();
    let data = plan.into_iter().flat_map(|plan| [plan.datum.as_ref(), plan.second_datum.as_ref()]).flatten();
    let marks = control.scale.graduations();
    let span = match (marks.first(), marks.last()) {
        (Some(first), Some(last)) => {
            let along = if plan.is_some_and(|plan| plan.arc.is_some()) { " along the curve" } else { "" };
            let length = tape_measure(last.at - first.at, book.units);
            format!("{} to {} measure {length}{along}", first.label, last.label)
        }
        _ => String::new(),
    };
    let index = book.controls.iter().position(|other| other.id.value == control.id.value);
    let mut sails: Vec<String> = Vec::new();
    for settings in
        book.settings.iter().filter(|settings| index.is_some_and(|index| settings.controls.contains(&index)))
    {
        let new = sail_names(book, settings).into_iter().filter(|sail| !sails.contains(sail));
        let new: Vec<String> = new.collect();
        sails.extend(new);
    }
    Row {
        control: control.name.clone(),
        lowest_mark: data
            .map(|datum| format!("{} from the {}", tape_measure(datum.distance, book.units), after_the(&datum.from)))
            .collect(),
        span,
        pointer: plan.and_then(|plan| plan.pointer.clone()),
        read_when: control.read_when.clone(),
        sails,
    }
}

fn draw(card: &ReMark, label: &Label, size: kurbo::Size, cap: f64) -> Option<Drawing> {
    let surround = Surround {
        title: vec!["Re-mark".to_owned()],
        subtitle: "Measure to the lowest mark of each strip".to_owned(),
        must: vec![CAUTION.to_owned()],
        ..Surround::default()
    };
    let frame = Frame::new(size, &surround, label, cap)?;
    let inner = frame.body.width();
    let text = |text: &str, weight| flow::wrapped(text, cap, weight, CARD_DISTANCE, inner);
    let mut blocks: Vec<Vec<Line>> = Vec::new();
    for row in &card.rows {
        let mut lines = text(&format!("{}: {}", row.control, row.lowest_mark.join(", ")), Weight::Bold);
        let pointer = row.pointer.as_ref().map(|pointer| format!(". Read at the {}", after_the(pointer)));
        let when = row.read_when.as_ref().map(|when| format!(", when {when}"));
        let sails =
            if row.sails.is_empty() { String::new() } else { format!(". Used with {}", row.sails.join(" · ")) };
        let details = format!("{}{}{}{sails}.", row.span, pointer.unwrap_or_default(), when.unwrap_or_default());
        lines.extend(text(&details, Weight::Regular));
        if row.lowest_mark.len() == 1 {
            lines.extend(text(SECOND_POINT, Weight::Regular));
        }
        blocks.push(lines);
    }
    let mut steps = text("A new line, the old numbers", Weight::Bold);
    for (index, step) in NEW_LINE.iter().enumerate() {
        steps.extend(text(&format!("{}. {step}", index + 1), Weight::Regular));
    }
    blocks.push(steps);
    let gap = cap * (LINE_PITCH - 1.0) * 2.0;
    let needed: f64 = blocks.iter().map(|lines| lines_height(lines) + gap).sum();
    if needed > frame.body.height() {
        return None;
    }
    let title = format!("{}: lines and strips to re-mark", card.boat);
    let mut drawing = frame.start(title, format!("Datums of {} strips", card.rows.len()), label);
    let spare = ((frame.body.height() - needed) / blocks.len() as f64).min(cap * 2.0);
    let Rect { x0, x1, mut y0, .. } = frame.body;
    for lines in &blocks {
        drawing.print(Shape::line((x0, y0), (x1, y0), RULE));
        y0 = draw_lines(&mut drawing, lines, x0, y0 + (gap + spare) / 2.0) + (gap + spare) / 2.0;
    }
    Some(drawing)
}

/// `Backstay, lowest mark: 310 mm from the ram eye`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    const FIELDS: [(&str, &str); 5] = [
        ("lowest_mark", "lowest mark"),
        ("span", "length"),
        ("pointer", "read against"),
        ("read_when", "read when"),
        ("sails", "used with"),
    ];
    for row in taken(content, "rows") {
        let control = text(row.get("control"));
        for (field, words) in FIELDS {
            let says = text(row.get(field));
            if !says.is_empty() {
                lines.push(Said::one(format!("{control}, {words}"), says));
            }
        }
    }
}
