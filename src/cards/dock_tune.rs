//! The kind `dock-tune`: how the rig is set before leaving, by the wind to expect. It is no card to use while racing.

use crate::wrong::{Wrong, shown};
use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::expected::row_ranges;
use super::parts::frame::Surround;
use super::parts::hydraulics;
use super::parts::sided::{NOT_USED, NOT_USED_LEGEND, UNKNOWN};
use super::parts::table::{Breaks, Cell, Column, Head, Paragraph, Row, Ruled};
use super::parts::telling::{Said, by_lines, taken};
use super::parts::words::{LimitWords, boxed_limits, reasons};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Nothing, Stock, Usual};
use crate::book::{Book, Control, DockTune, Place, Problem, Recorded, Section, Table, suggest};
use crate::drawing::{Anchor, Drawing, Weight};
use crate::size::NamedSize;
use crate::tuning::{Side, Sided};

pub const KIND: Kind = Kind {
    name: "dock-tune",
    about: "How the rig is set before leaving, by the wind to expect",
    made_of: &[Section::WindSource],
    from_entry,
    by_default,
    changes: |old, new| by_lines(old, new, lines),
};

/// Ranges of wind beside each other that can be told apart at arm's length on a small card; more go on in a next one.
const MOST_RANGES: usize = 4;
/// How the room that is left is shared between the names of controls and each range of wind.
const NAME_SHARE: f64 = 1.5;
const CAUTION: &str = "Set before leaving, not under way. It loads the rig for good: keep \
                       within the makers' limits, follow class and race rules, ask a rigger.";

/// How the marks of a scale of turns end.
const TURNS: [&str; 2] = [" turns", " turn"];

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DockTuneCard {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// What tells it from another: `chop`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// `1 of 2` where one card does not hold all the ranges.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// In rising order.
    pub ranges: Vec<Range>,
    pub controls: Vec<ControlRow>,
    pub cautions: Vec<LimitWords>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// The winds that a column of the card is for.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Range {
    /// `9 to 15 kn`.
    pub wind: String,
    /// The wind that the row was sailed in: `12 kn`.
    pub sailed: String,
}

/// A control and what it is set to in each range.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ControlRow {
    pub control: String,
    /// What a higher number does.
    pub higher_is: Option<String>,
    /// What turns are counted from: `gauge 38 on 2027-04-02`.
    pub base: Option<String>,
    /// One a range; `None` where nothing is recorded.
    pub marks: Vec<Option<String>>,
}

impl Content for DockTuneCard {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        let head = |range: &Range| {
            let wind = Paragraph::of(&range.wind, Weight::Bold);
            let sailed = Paragraph::small(format!("sailed at {}", range.sailed));
            Column {
                anchor: Anchor::Middle,
                ..Column::wide(Head { paragraphs: vec![wind, sailed], turned: false }, 1.0)
            }
        };
        let mut foot: Vec<String> = reasons(&self.cautions).into_iter().collect();
        if self.controls.iter().any(|control| control.marks.contains(&None)) {
            foot.push("? not recorded".to_owned());
        }
        let is_unused = |mark: &Option<String>| mark.as_deref() == Some(NOT_USED);
        if self.controls.iter().any(|control| control.marks.iter().any(is_unused)) {
            foot.push(NOT_USED_LEGEND.to_owned());
        }
        Ruled {
            size: self.size.clone(),
            surround: Surround {
                title: self.heading(),
                at_right: self.part.clone().unwrap_or_else(|| "BEFORE LEAVING".to_owned()),
                subtitle: "true wind to expect · a row is set whole, nothing is read between two".to_owned(),
                must: vec![boxed_limits(&self.cautions, CAUTION)],
                foot,
                ..Surround::default()
            },
            name: format!("{}: {}", self.boat, self.heading().join(" ")),
            description: "How the rig is set before leaving".to_owned(),
            columns: std::iter::once(Column::wide("", NAME_SHARE)).chain(self.ranges.iter().map(head)).collect(),
            rows: self.controls.iter().map(ControlRow::laid_out).collect(),
            ..Ruled::default()
        }
        .draw(label)
    }
}

impl DockTuneCard {
    fn heading(&self) -> Vec<String> {
        let title = self.title.iter().map(|title| format!("· {title}"));
        std::iter::once("Dock tune".to_owned()).chain(title).collect()
    }
}

impl ControlRow {
    fn laid_out(&self) -> Row {
        let mut name = Cell::bold(&self.control);
        let higher = self.higher_is.as_ref().map(|higher| format!("higher is {}", higher.to_uppercase()));
        let base = self.base.as_ref().map(|base| format!("turns from {base}"));
        name.paragraphs.extend(higher.into_iter().chain(base).map(|words| Paragraph::must(words, Weight::Regular)));
        let mark = |mark: &Option<String>| {
            let words = mark.as_deref().unwrap_or(UNKNOWN);
            // The unit stands once, with what the turns are counted from.
            let bare = self.base.as_ref().and_then(|_| TURNS.iter().find_map(|unit| words.strip_suffix(unit)));
            Cell::from(Paragraph { breaks: Breaks::Runs, ..Paragraph::of(bare.unwrap_or(words), Weight::Bold) })
        };
        let marks = self.marks.iter().map(mark);
        Row::of(std::iter::once(name).chain(marks))
    }
}

/// A card for each dock tune of the book.
fn by_default(book: &Book) -> Result<Vec<Usual>, Nothing> {
    let usual = |tune: &DockTune| Usual {
        place: tune.place.clone(),
        fields: vec![("settings", tune.id.value.clone())],
        or_nothing: false,
    };
    let all: Vec<Usual> = book.dock_tunes.iter().map(usual).collect();
    if all.is_empty() { Err(Nothing::because("no settings are `when: dock`")) } else { Ok(all) }
}

/// `{kind: dock-tune, settings: dock, size: A6}`.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let tune = tune_of(book, &mut entry, problems);
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    entry.finish(problems);
    tune.map(|tune| cards(book, tune, id, size)).unwrap_or_default()
}

/// The dock tune that an entry names.
fn tune_of<'a>(book: &'a Book, entry: &mut Table, problems: &mut Vec<Problem>) -> Option<&'a DockTune> {
    let example = book.dock_tunes.first().map_or("dock", |tune| tune.id.value.as_str());
    let node = entry.need("settings", &format!("settings: {example}"), problems)?;
    let name = node.text("the settings of a card", problems)?;
    let found = book.dock_tune(name);
    if found.is_none() {
        let (what, instead) = match book.settings(name) {
            Some(_) => (
                format!("the settings {} are made while racing, and a dock tune is set before", shown(name)),
                "write `kind: wind-settings`, or name settings with `when: dock`".to_owned(),
            ),
            None => {
                let ids: Vec<&str> = book.dock_tunes.iter().map(|tune| tune.id.value.as_str()).collect();
                let instead = if ids.is_empty() {
                    "write them under `settings`, like `{id: dock, when: dock, controls: [caps], at: {6: [-1], 12: [0]}}`".to_owned()
                } else {
                    suggest::advice(name, ids)
                };
                (format!("no settings {} are set at the dock", shown(name)), instead)
            }
        };
        problems.push(Problem::error(node.place.clone(), what, instead));
    }
    found
}

fn cards(book: &Book, tune: &DockTune, id: Option<String>, size: Option<NamedSize>) -> Vec<Card> {
    let count = tune.rows.len().div_ceil(MOST_RANGES).max(1);
    // Parts of about the same length.
    let each = tune.rows.len().div_ceil(count).max(1);
    let stem = id.unwrap_or_else(|| tune.id.value.clone());
    let rows: Vec<usize> = (0..tune.rows.len()).collect();
    let card = |(part, rows): (usize, &[usize])| {
        let part_words = (count > 1).then(|| format!("{} of {count}", part + 1));
        let id = if part == 0 { stem.clone() } else { format!("{stem}-{}", part + 1) };
        let content = content(book, tune, rows, part_words, size.clone());
        let mut title = content.heading().join(" ");
        title.extend(content.part.iter().map(|part| format!(", {part}")));
        Card::new(id, KIND.name, title, Stock::Card, tune.place.clone(), content)
    };
    rows.chunks(each).enumerate().map(card).collect()
}

fn content(
    book: &Book,
    tune: &DockTune,
    rows: &[usize],
    part: Option<String>,
    size: Option<NamedSize>,
) -> DockTuneCard {
    let unit = book.units.wind;
    let ranges = row_ranges(book, tune);
    let controls: Vec<&Control> = tune.controls.iter().filter_map(|index| book.controls.get(*index)).collect();
    let control = |(position, control): (usize, &&Control)| ControlRow {
        control: control.name.clone(),
        higher_is: control.higher_is.clone(),
        base: control.scale.base().map(str::to_owned),
        marks: rows.iter().map(|row| mark(tune, *row, position, control)).collect(),
    };
    let range =
        |row: &usize| Range { wind: ranges[*row].print(unit), sailed: tune.rows[*row].at.value.print_with_unit(unit) };
    DockTuneCard {
        size,
        boat: book.boat.name.value.clone(),
        title: tune.title.clone(),
        part,
        ranges: rows.iter().map(range).collect(),
        controls: controls.iter().enumerate().map(control).collect(),
        cautions: hydraulics::all_limits(controls.iter().copied(), book.units),
        working: rows.iter().map(|row| passage(book, tune, *row)).collect(),
    }
}

/// What a control is set to in a row, as its scale prints it, by side where the sides differ; `None` where nothing is recorded.
pub fn mark(tune: &DockTune, row: usize, position: usize, control: &Control) -> Option<String> {
    let recorded = tune.rows.get(row)?.readings.get(position)?;
    let on = |side: Side| {
        let reading = recorded.on(side, control);
        reading.map_or_else(|| UNKNOWN.to_owned(), |reading| control.scale.print(reading))
    };
    match recorded {
        Recorded::Not => None,
        Recorded::NotUsed(_) => Some(NOT_USED.to_owned()),
        Recorded::One(_) if !control.differs() => Some(on(Side::Port)),
        Recorded::One(_) | Recorded::Sides { .. } => {
            Some(Sided::Each { port: on(Side::Port), starboard: on(Side::Starboard) }.words())
        }
    }
}

/// Where what is recorded of a control stands in the book.
fn place_of(recorded: &Recorded) -> Option<&Place> {
    match recorded {
        Recorded::NotUsed(place) => Some(place),
        _ => recorded.written().next().map(|(_, reading)| &reading.place),
    }
}

fn passage(book: &Book, tune: &DockTune, row: usize) -> Passage {
    let unit = book.units.wind;
    let range = row_ranges(book, tune)[row];
    let mut passage = Passage::new(format!("Row of {}", tune.rows[row].at.value.as_written(unit)));
    for (position, index) in tune.controls.iter().enumerate() {
        let Some(control) = book.controls.get(*index) else { continue };
        let place = tune.rows[row].readings.get(position).and_then(place_of);
        if let (Some(mark), Some(place)) = (mark(tune, row, position, control), place) {
            passage.input(control.name.clone(), mark, place);
        }
    }
    let how =
        "up to midway to the next row's wind, rounded as winds are printed; where two rows meet, the stronger one's";
    passage.step("for a wind to expect of", how, range.print(unit));
    passage
}

/// `9 to 15 kn, Cap shrouds: +1 turn`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    let ranges = taken(content, "ranges");
    for range in &ranges {
        let [wind, sailed] = ["wind", "sailed"].map(|field| text(range.get(field)));
        lines.push(Said::one(wind, format!("sailed at {sailed}")));
    }
    for row in taken(content, "controls") {
        let name = text(row.get("control"));
        for (field, about) in [("higher_is", "higher is"), ("base", "turns from")] {
            let says = text(row.get(field));
            lines.extend((!says.is_empty()).then(|| Said::one(format!("{name}, {about}"), says)));
        }
        let marks = row.get("marks").and_then(serde_json::Value::as_array).into_iter().flatten();
        for (range, mark) in ranges.iter().zip(marks) {
            let says = if mark.is_null() { "not recorded".to_owned() } else { short(mark) };
            lines.push(Said::one(format!("{}, {name}", text(range.get("wind"))), says));
        }
    }
}
