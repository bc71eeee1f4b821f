//! The kind `handover`: a card to write on with a grease pencil when the watch changes; its back keeps five past
//! hand-overs.

mod layout;

use std::ops::Range;

use crate::wrong::{Wrong, shown};
use serde::Serialize;

use super::parts::comparing::{Fields, text};
use super::parts::frame;
use super::parts::hydraulics;
use super::parts::into_rows::goes_by_apparent;
use super::parts::label::Label;
use super::parts::telling::{Said, by_lines, item, optional, taken, texts};
use super::parts::words::{LimitWords, called, limit_words, narrowed_sails};
use super::{Card, Content, Kind, Stock, Usual};
use crate::book::{Book, Control, Place, Problem, Section, Settings, Table, When, suggest};
use crate::drawing::Drawing;
use crate::size::NamedSize;

pub const KIND: Kind = Kind {
    name: "handover",
    about: "To write on when the watch changes: one line a control, and five past hand-overs",
    made_of: &[Section::Watches, Section::Controls, Section::Settings],
    from_entry,
    // Who has no watches hands nothing over.
    by_default: |book| Usual::of_section("watches", book.race.watches.as_ref().map(|watches| &watches.place)),
    changes: |old, new| by_lines(old, new, lines),
};

/// A gloved hand with a grease pencil writes on no lower line, millimetres: common practice.
pub const LEAST_ROW_MM: f64 = 9.0;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Handover {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// `2 of 3` where one card does not hold all controls.
    pub part: Option<String>,
    /// The settings it is for: `J1 + Main, upwind`; `None`: every control that moves while racing.
    pub settings: Option<String>,
    /// Sails that are for less than they were made for: `J1: luff torn; 5 to 12 kn now, was 5 to 16`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub narrowed: Vec<String>,
    pub side: Side,
    /// Lines to fill in before the controls, in the order of the notes: `Wind kn`.
    pub conditions: Vec<String>,
    /// Controls in the order of the settings.
    pub controls: Vec<ControlLine>,
    /// Those of which there are two, one on each side.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub both_sides: Vec<ControlLine>,
    /// Lines to fill in after them.
    pub remarks: Vec<String>,
    /// Limits of the controls.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<LimitWords>,
}

/// A control to write the marks of down.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct ControlLine {
    pub name: String,
    /// The unit of a gauge.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
    /// What a higher number does.
    pub higher_is: Option<String>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Side {
    /// The hand-over at hand.
    Now,
    /// Columns for those before it.
    Past,
}

struct Asked<'a> {
    place: Place,
    id: Option<String>,
    size: Option<NamedSize>,
    settings: Option<&'a Settings>,
}

impl Content for Handover {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        layout::handover(self, label)
    }
}

impl Handover {
    pub fn title(&self) -> String {
        let name = if self.side == Side::Past { "Past hand-overs" } else { "Hand-over" };
        let settings = self.settings.as_ref().map(|settings| format!(", {settings}")).unwrap_or_default();
        let part = self.part.as_ref().map(|part| format!(", {part}")).unwrap_or_default();
        format!("{name}{settings}{part}")
    }
}

/// `{kind: handover, settings: j1-upwind, size: A5}`; without settings, every control that moves while racing.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let place = entry.place.clone();
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    let wanted = entry.take("settings");
    entry.finish(problems);
    let settings = match wanted {
        None => None,
        Some(node) => {
            let Some(name) = node.text("the settings of a card", problems) else { return Vec::new() };
            let Some(settings) = book.settings(name) else {
                let ids: Vec<&str> = book.settings.iter().map(|settings| settings.id.value.as_str()).collect();
                let what = format!("there are no settings {}", shown(name));
                problems.push(Problem::error(node.place.clone(), what, suggest::advice(name, ids)));
                return Vec::new();
            };
            Some(settings)
        }
    };
    cards(book, &Asked { place, id, size, settings })
}

/// The card with its back, or as few as can be read and written on, all about as full where that takes no more of them.
fn cards(book: &Book, asked: &Asked<'_>) -> Vec<Card> {
    let controls = controls(book, asked);
    let label = Label::longest(book);
    let half = frame::half_of_any_page();
    let size = asked.size.as_ref().or(half.as_ref());
    let all = controls.len();
    let sides = |range: &Range<usize>, part: Option<String>| {
        let ends = (range.start == 0, range.end == all);
        let of = |side| content(book, asked, (ends, part.clone()), &controls[range.clone()], side);
        [Side::Now, Side::Past].map(of)
    };
    // As long as the longest part there can be.
    let part = |range: &Range<usize>| (range.len() < all).then(|| format!("{all} of {all}"));
    let fits = |range: &Range<usize>, cap: f64| {
        let cards = sides(range, part(range));
        cards.iter().all(|card| size.is_none_or(|size| layout::fits(card, &label, size, cap)))
    };
    let found = [frame::MUST_CAP, frame::least_cap_mm()].into_iter().find_map(|cap| {
        let filled = filled(all, |range| fits(range, cap))?;
        let even: Vec<Range<usize>> = even(all, filled.len());
        Some(if even.iter().all(|range| fits(range, cap)) { even } else { filled })
    });
    // What no number of cards holds is refused with the words of one.
    let ranges = found.unwrap_or_else(|| even(all, 1));
    let count = ranges.len();
    let contents =
        ranges.iter().zip(1..).map(|(range, nth)| sides(range, (count > 1).then(|| format!("{nth} of {count}"))));
    let stem = asked.id.clone().unwrap_or_else(|| match asked.settings {
        Some(settings) => format!("{}-{}", KIND.name, settings.id.value),
        None => KIND.name.to_owned(),
    });
    let card = |(nth, [now, past]): (usize, [Handover; 2])| {
        let id = if nth == 0 { stem.clone() } else { format!("{stem}-{}", nth + 1) };
        let side = |content: Handover, id: String| {
            Card::new(id, KIND.name, content.title(), Stock::Card, asked.place.clone(), content)
        };
        let past = side(past, format!("{id}-past"));
        side(now, id).with_back(past, asked.place.clone())
    };
    contents.enumerate().map(card).collect()
}

/// The things of each card, as many as it holds; `None` if one does not hold a single thing.
fn filled(all: usize, fits: impl Fn(&Range<usize>) -> bool) -> Option<Vec<Range<usize>>> {
    let mut cards = Vec::new();
    let mut start = 0;
    while start < all.max(1) {
        let ends = (start + 1).min(all)..=all;
        let end = ends.rev().find(|end| fits(&(start..*end)))?;
        cards.push(start..end);
        start = end.max(start + 1);
    }
    Some(cards)
}

/// As many cards, each with about as many things as the others.
fn even(all: usize, count: usize) -> Vec<Range<usize>> {
    (0..count).map(|nth| all * nth / count..all * (nth + 1) / count).collect()
}

/// The controls to write down: those of the settings, or every one that some settings have.
fn controls<'a>(book: &'a Book, asked: &Asked<'_>) -> Vec<&'a Control> {
    let used = |index: usize| book.settings.iter().any(|settings| settings.controls.contains(&index));
    let controls: Vec<&Control> = match asked.settings {
        Some(settings) => settings.controls.iter().filter_map(|index| book.controls.get(*index)).collect(),
        None => {
            let all = book.controls.iter().enumerate();
            all.filter(|(index, _)| used(*index)).map(|(_, control)| control).collect()
        }
    };
    // Those of both sides stand under heads of their own.
    let racing = controls.into_iter().filter(|control| control.when == When::Racing);
    let (both, one): (Vec<_>, Vec<_>) = racing.partition(|control| control.has_two_sides());
    one.into_iter().chain(both).collect()
}

/// What is written on a line over the whole width.
const REMARK: &str = "Note";

/// One side of one card; the conditions stand on the first in full.
fn content(
    book: &Book,
    asked: &Asked<'_>,
    ((is_first, is_last), part): ((bool, bool), Option<String>),
    controls: &[&Control],
    side: Side,
) -> Handover {
    let line = |control: &&Control| ControlLine {
        name: control.name.clone(),
        unit: control.scale.unit().map(str::to_owned),
        higher_is: control.higher_is.clone(),
    };
    let (both, one): (Vec<&Control>, Vec<&Control>) = controls.iter().partition(|control| control.has_two_sides());
    // A gauge's own limit is that of its ram in the words of the scale.
    let limits = |control: &&Control| match limit_words(control) {
        none if none.is_empty() => hydraulics::limit_words(control, book.units).into_iter().collect(),
        limits => limits,
    };
    Handover {
        size: asked.size.clone(),
        boat: book.boat.name.value.clone(),
        part,
        settings: asked.settings.map(|settings| called(book, settings)),
        narrowed: match (asked.settings, side) {
            (Some(settings), Side::Now) => narrowed_sails(book, settings),
            _ => Vec::new(),
        },
        side,
        conditions: if is_first { conditions(book, side) } else { vec!["Time".to_owned(), "Watch".to_owned()] },
        controls: one.iter().map(line).collect(),
        both_sides: both.iter().map(line).collect(),
        remarks: if is_last { remarks(side) } else { Vec::new() },
        cautions: if side == Side::Now { controls.iter().flat_map(limits).collect() } else { Vec::new() },
    }
}

/// What is told of the moment, in the order of the notes' columns.
fn conditions(book: &Book, side: Side) -> Vec<String> {
    let kind = if goes_by_apparent(book) { "apparent" } else { "true" };
    let wind = format!("Wind {}, {kind}", book.units.wind.symbol());
    let all: &[&str] = match side {
        Side::Now => &["Time", "Watch", "Sails", &wind, "Angle °, true", "Sea", "Below", "Helm"],
        Side::Past => &["Time", "Sails", &wind, "Angle °, true", "Sea"],
    };
    all.iter().map(|word| (*word).to_owned()).collect()
}

/// What is told of how it goes, in the order of the notes' columns.
fn remarks(side: Side) -> Vec<String> {
    let last = match side {
        Side::Now => REMARK,
        Side::Past => "Fast?",
    };
    ["Speed kn", last].map(str::to_owned).to_vec()
}

/// `a line for Outhaul: TIGHTER`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    lines.extend(optional(content, "settings", "for"));
    for field in ["conditions", "remarks"] {
        lines.extend(texts(content, field).into_iter().map(|name| Said::among("a line for", name)));
    }
    // A hand-over of before had one list of controls, each a pair, and the names of those with two sides.
    lines.extend(texts(content, "sided").into_iter().map(|name| Said::among("both sides of", name)));
    for (field, about) in [("controls", "a line for"), ("both_sides", "both sides of")] {
        for control in taken(content, field) {
            let of = |field: &str, index: usize| {
                control.get(field).map_or_else(|| item(&control, index), |it| text(Some(it)))
            };
            let (name, higher_is, unit) = (of("name", 0), of("higher_is", 1), text(control.get("unit")));
            let higher_is = (!higher_is.is_empty()).then(|| format!("higher is {higher_is}"));
            let says: Vec<String> = Some(unit).filter(|unit| !unit.is_empty()).into_iter().chain(higher_is).collect();
            lines.push(Said::one(format!("{about} {name}"), says.join(", ")));
        }
    }
}
