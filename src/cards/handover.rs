//! The kind `handover`: a card to write on with a grease pencil when the watch changes; its back keeps five past
//! hand-overs.

use crate::wrong::{Wrong, shown};
use serde::Serialize;

use super::parts::comparing::Fields;
use super::parts::frame::Surround;
use super::parts::label::Label;
use super::parts::sided;
use super::parts::table::{Cell, Column, Row, Ruled};
use super::parts::telling::{Said, by_lines, item, optional, taken, texts};
use super::parts::words::{called, narrowed_sails};
use super::{Card, Content, Kind, Stock, Usual};
use crate::book::{Book, Control, Place, Problem, Section, Settings, Table, When, suggest};
use crate::drawing::Drawing;
use crate::size::NamedSize;
use crate::tuning;

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
/// Hand-overs kept on the back.
const PAST: usize = 5;
/// A column to write one mark in, millimetres.
const MARK_MM: f64 = 14.0;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Handover {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// The settings it is for: `J1 + Main, upwind`; `None`: every control that moves while racing.
    pub settings: Option<String>,
    /// Sails that are for less than they were made for: `J1: luff torn; 5 to 12 kn now, was 5 to 16`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub narrowed: Vec<String>,
    pub side: Side,
    /// Lines to fill in before the controls: `Wind kn`.
    pub conditions: Vec<String>,
    /// Controls in the order of the settings: name, and what a higher number does.
    pub controls: Vec<(String, Option<String>)>,
    /// Lines to fill in after them.
    pub remarks: Vec<String>,
    /// Names of those controls of which the two sides are written down apart.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sided: Vec<String>,
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
        let past = self.side == Side::Past;
        let blanks = if past { PAST } else { 1 };
        let has_sides = !past && !self.sided.is_empty();
        let row = |name: Cell, higher_is: Option<&String>, is_sided: bool| {
            let higher_is = higher_is.map_or_else(Cell::empty, |words| Cell::plain(words.to_uppercase()));
            let second = (!past).then_some(higher_is);
            // A control without sides is written in the first of the two.
            let starboard = has_sides.then(|| Cell { hatched: !is_sided, ..Cell::empty() });
            Row::of(std::iter::once(name).chain(second).chain(vec![Cell::empty(); blanks]).chain(starboard))
        };
        let named = |words: &String| row(Cell::plain(words), None, false);
        let mut rows: Vec<Row> = self.conditions.iter().map(named).collect();
        for (control, higher_is) in &self.controls {
            let is_sided = self.sided.contains(control);
            let sides = if past && is_sided {
                vec![Some(tuning::Side::Port), Some(tuning::Side::Starboard)]
            } else {
                vec![None]
            };
            let names = sides.into_iter().map(|side| sided::named(control, side));
            rows.extend(names.map(|name| row(Cell::bold(name), higher_is.as_ref(), is_sided)));
        }
        rows.extend(self.remarks.iter().map(named));
        let head = |text: String| Column { least_mm: MARK_MM, ..Column::wide(text, 1.0) };
        let columns: Vec<Column> = if past {
            (1..=PAST).map(|nth| head(if nth == 1 { "last".to_owned() } else { format!("{nth} back") })).collect()
        } else {
            let now = if has_sides { vec!["now, or port", "starboard"] } else { vec!["as it is now"] };
            let now = now.into_iter().map(|text| head(text.to_owned()));
            std::iter::once(Column::narrow("higher is")).chain(now).collect()
        };
        let narrowed = self.narrowed.iter().map(|words| format!("{words}."));
        let note = if past {
            "Copy each hand-over here before wiping the card."
        } else {
            "Matt film, grease pencil. Write the marks as they are, not as they should be."
        };
        Ruled {
            size: self.size.clone(),
            surround: Surround {
                title: vec![if past { "Past hand-overs" } else { "Hand-over" }.to_owned()],
                at_right: String::new(),
                kind: self.settings.clone().unwrap_or_else(|| "every control that moves while racing".to_owned()),
                must: narrowed.collect(),
                foot: vec![note.to_owned()],
                ..Surround::default()
            },
            name: format!("{}: {}", self.boat, self.title()),
            description: "To write on when the watch changes".to_owned(),
            columns: std::iter::once(Column::narrow("")).chain(columns).collect::<Vec<_>>(),
            rows,
            least_row_mm: LEAST_ROW_MM,
            boxed_in: true,
            ..Ruled::default()
        }
        .draw(label)
    }
}

impl Handover {
    pub fn title(&self) -> String {
        let name = if self.side == Side::Past { "Past hand-overs" } else { "Hand-over" };
        self.settings.as_ref().map_or_else(|| name.to_owned(), |settings| format!("{name}, {settings}"))
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
    vec![card(book, &Asked { place, id, size, settings })]
}

/// The card with its back.
fn card(book: &Book, asked: &Asked<'_>) -> Card {
    let stem = asked.id.clone().unwrap_or_else(|| match asked.settings {
        Some(settings) => format!("{}-{}", KIND.name, settings.id.value),
        None => KIND.name.to_owned(),
    });
    let side = |side: Side, id: String| {
        let content = content(book, asked, side);
        Card::new(id, KIND.name, content.title(), Stock::Card, asked.place.clone(), content)
    };
    let past = side(Side::Past, format!("{stem}-past"));
    side(Side::Now, stem).with_back(past, asked.place.clone())
}

fn content(book: &Book, asked: &Asked<'_>, side: Side) -> Handover {
    let used = |index: usize| match asked.settings {
        Some(settings) => settings.controls.contains(&index),
        None => book.settings.iter().any(|settings| settings.controls.contains(&index)),
    };
    let is_sided = |control: &&&Control| {
        let index = book.controls.iter().position(|other| other.id.value == control.id.value);
        control.when == When::Racing && index.is_some_and(|index| sided::tells_sides_apart(book, index))
    };
    let line = |control: &Control| (control.name.clone(), control.higher_is.clone());
    let controls: Vec<&Control> = match asked.settings {
        Some(settings) => settings.controls.iter().filter_map(|index| book.controls.get(*index)).collect(),
        None => {
            let all = book.controls.iter().enumerate();
            all.filter(|(index, _)| used(*index)).map(|(_, control)| control).collect()
        }
    };
    let wind = format!("Wind {}", book.units.wind.symbol());
    let words = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>();
    let mut conditions = vec![wind];
    conditions.extend(words(&["Sails", "Heading", "Speed", "Target"]));
    let goes_by_angle = match asked.settings {
        Some(settings) => settings.angled.is_some(),
        None => book.settings.iter().any(|settings| settings.angled.is_some()),
    };
    if goes_by_angle {
        conditions.insert(1, "Wind angle".to_owned());
    }
    if side == Side::Past {
        conditions.insert(0, "Time".to_owned());
    }
    Handover {
        size: asked.size.clone(),
        boat: book.boat.name.value.clone(),
        settings: asked.settings.map(|settings| called(book, settings)),
        narrowed: match (asked.settings, side) {
            (Some(settings), Side::Now) => narrowed_sails(book, settings),
            _ => Vec::new(),
        },
        side,
        conditions,
        controls: controls.iter().filter(|control| control.when == When::Racing).map(|control| line(control)).collect(),
        sided: controls.iter().filter(|control| is_sided(control)).map(|control| control.name.clone()).collect(),
        remarks: match side {
            Side::Now => words(&["Tried", "What it did"]),
            Side::Past => words(&["Fast?"]),
        },
    }
}

/// `a line for Outhaul: TIGHTER`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    lines.extend(optional(content, "settings", "for"));
    for field in ["conditions", "remarks"] {
        lines.extend(texts(content, field).into_iter().map(|name| Said::among("a line for", name)));
    }
    lines.extend(texts(content, "sided").into_iter().map(|name| Said::among("both sides of", name)));
    for control in taken(content, "controls") {
        let higher_is = item(&control, 1);
        let says = if higher_is.is_empty() { String::new() } else { format!("higher is {higher_is}") };
        lines.push(Said::one(format!("a line for {}", item(&control, 0)), says));
    }
}
