//! The kind `readiness`: what must be done before the start, with a box for each: the book's own checks, and what the
//! rest of the book shows to be open. It says nothing that is not in the book.

use crate::wrong::Wrong;
use std::collections::BTreeMap;

use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::expected::{called, row_ranges, whole_hours};
use super::parts::frame::Surround;
use super::parts::label::Label;
use super::parts::table::{Cell, Column, Row, Ruled};
use super::parts::telling::{Said, by_lines, taken};
use super::parts::words;
use super::{Card, Content, Kind, Stock, Usual, dock_tune};
use crate::book::{Book, Control, DockTune, Place, Problem, Section, Table, When};
use crate::drawing::Drawing;
use crate::rigging::stowage::Plan;
use crate::size::NamedSize;
use crate::tuning::Ground;

pub const KIND: Kind = Kind {
    name: "readiness",
    about: "What must be done before the start, by person and deadline",
    made_of: &[
        Section::WindSource,
        Section::Controls,
        Section::Sails,
        Section::Settings,
        Section::Checks,
        Section::Watches,
        Section::Forecast,
        Section::Stowage,
        Section::Lacing,
        Section::OutboardLead,
    ],
    from_entry,
    by_default: |book| Usual::of_section("checks", book.race.checks.first().map(|first| &first.place)),
    changes: |old, new| by_lines(old, new, lines),
};

/// Lines on one side of an A5 card, and the characters that fit on one.
const LINES: usize = 18;
const LINE_CHARACTERS: usize = 44;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Readiness {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// `1 of 2` where one card does not hold them all.
    pub part: Option<String>,
    pub groups: Vec<Group>,
}

/// Lines that belong together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Group {
    /// A person and a deadline, or what part of the book the lines are from.
    pub heading: String,
    pub lines: Vec<String>,
}

impl Content for Readiness {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        let rows = self.groups.iter().flat_map(|group| {
            let lines = group.lines.iter().map(|line| Row::of([Cell::ticked(line)]));
            std::iter::once(Row::Heading(group.heading.clone())).chain(lines)
        });
        Ruled {
            size: self.size.clone(),
            surround: Surround {
                title: vec!["Before the start".to_owned()],
                at_right: self.part.clone().unwrap_or_default(),
                ..Surround::default()
            },
            name: format!("{}: before the start", self.boat),
            description: "What must be done before the start".to_owned(),
            columns: vec![Column::wide("", 1.0)],
            rows: rows.collect(),
            ..Ruled::default()
        }
        .draw(label)
    }
}

/// `{kind: readiness, size: A5}`.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let place = entry.place.clone();
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    entry.finish(problems);
    cards(book, id, size, &place, problems)
}

fn cards(
    book: &Book,
    id: Option<String>,
    size: Option<NamedSize>,
    place: &Place,
    problems: &mut Vec<Problem>,
) -> Vec<Card> {
    let groups: Vec<Group> = by_person(book).into_iter().chain(derived(book)).collect();
    if groups.is_empty() {
        problems.push(Problem::error(
            place.clone(),
            "nothing is left to do: the book has no `checks` and nothing open",
            "write `checks: [{what: Jackstays rigged, who: Ada, by: Friday}]`, or leave this card out",
        ));
        return Vec::new();
    }
    let parts = parts(groups);
    let count = parts.len();
    let card = |(index, groups): (usize, Vec<Group>)| {
        let part = (count > 1).then(|| format!("{} of {count}", index + 1));
        let title = part.as_ref().map_or("Before the start".to_owned(), |part| format!("Before the start, {part}"));
        let stem = id.clone().unwrap_or_else(|| KIND.name.to_owned());
        let id = if index == 0 { stem } else { format!("{stem}-{}", index + 1) };
        let content = Readiness { size: size.clone(), boat: book.boat.name.value.clone(), part, groups };
        Card::new(id, KIND.name, title, Stock::Card, place.clone(), content)
    };
    parts.into_iter().enumerate().map(card).collect()
}

/// Groups dealt out over cards; a group that is cut says so again on the next.
fn parts(groups: Vec<Group>) -> Vec<Vec<Group>> {
    // A heading takes a line as well.
    let mut parts: Vec<Vec<Group>> = vec![Vec::new()];
    let mut used = 0;
    for group in groups {
        for line in group.lines {
            let height = line.chars().count().div_ceil(LINE_CHARACTERS).max(1);
            let goes_on = used > 0
                && used + height <= LINES
                && parts.last().and_then(|part| part.last()).is_some_and(|last| last.heading == group.heading);
            if !goes_on && used > 0 && used + 1 + height > LINES {
                parts.push(Vec::new());
                used = 0;
            }
            let Some(part) = parts.last_mut() else { continue };
            match part.last_mut().filter(|_| goes_on) {
                Some(last) => {
                    last.lines.push(line);
                    used += height;
                }
                None => {
                    part.push(Group { heading: group.heading.clone(), lines: vec![line] });
                    used += 1 + height;
                }
            }
        }
    }
    parts
}

/// The book's own checks, a group for each person and deadline, in the order they first come up; rules of the race last.
fn by_person(book: &Book) -> Vec<Group> {
    let mut groups: Vec<Group> = Vec::new();
    let (rules, others): (Vec<_>, Vec<_>) = book.race.checks.iter().partition(|check| check.is_race_rule);
    let mut add = |heading: String, line: String| match groups.iter_mut().find(|group| group.heading == heading) {
        Some(group) => group.lines.push(line),
        None => groups.push(Group { heading, lines: vec![line] }),
    };
    for check in others.into_iter().chain(rules) {
        let who = check.who.clone().unwrap_or_else(|| "Anyone".to_owned());
        let by = check.by.as_ref().map(|by| format!(", by {by}")).unwrap_or_default();
        let rule = if check.is_race_rule { " · race safety rules" } else { "" };
        add(format!("{who}{by}{rule}"), check.what.clone());
    }
    groups
}

/// What the group of a dock tune is headed by.
const DOCK_TUNE: &str = "Dock tune";
/// A screw at its base, as its scale prints it.
const NO_TURN: &str = "0";
/// The order of what is derived: dock tunes after all else, and gear after them.
const FIRST_TUNE: usize = 3;
const GEAR: usize = usize::MAX;

/// What a control set at the dock is counted or measured from.
fn base_of(control: &Control) -> Option<String> {
    let datum = control.strip.as_ref().and_then(|plan| plan.datum.as_ref());
    let of_turns = control.scale.base().map(|base| format!("base {base}"));
    of_turns.or_else(|| datum.map(|datum| format!("from {}", datum.from)))
}

/// The row that the forecast asks for as a heading, and what to set for it; without a forecast, where it stands.
fn at_the_dock(book: &Book, tune: &DockTune) -> (String, Vec<String>) {
    let title = tune.title.as_ref().map(|title| format!(", {title}")).unwrap_or_default();
    let heading = format!("{DOCK_TUNE}{title}");
    let controls: Vec<&Control> = tune.controls.iter().filter_map(|index| book.controls.get(*index)).collect();
    let Some(called) = called(book, tune) else {
        let names: Vec<&str> = controls.iter().map(|control| control.name.as_str()).collect();
        return (heading, vec![format!("{}, by the dock tune card", names.join(", "))]);
    };
    let range = row_ranges(book, tune)[called.row].print(book.units.wind);
    let [lasts, of] = [called.lasts, called.of].map(whole_hours);
    let share = if called.lasts < called.of { format!(": {lasts} of {of} h forecast") } else { String::new() };
    let line = |(nth, control): (usize, &&Control)| {
        let Some(mark) = dock_tune::mark(tune, called.row, nth, control) else {
            return format!("{}: not recorded", control.name);
        };
        let base = control.scale.base();
        let higher = control.higher_is.as_ref().filter(|_| base.is_some() && mark != NO_TURN);
        let higher = higher.map(|higher| format!(" (+ is {higher})")).unwrap_or_default();
        let from = base.map(|base| format!(" from {base}"));
        let from = from.or_else(|| base_of(control).map(|base| format!(", {base}"))).unwrap_or_default();
        format!("{}: {mark}{higher}{from}", control.name)
    };
    (format!("{heading}, {range}{share}"), controls.iter().enumerate().map(line).collect())
}

/// What the rest of the book shows to be open.
fn derived(book: &Book) -> Vec<Group> {
    let mut groups: BTreeMap<usize, Group> = BTreeMap::new();
    let mut add = |order: usize, heading: &str, line: String| {
        let group = groups.entry(order).or_insert_with(|| Group { heading: heading.to_owned(), lines: Vec::new() });
        group.lines.push(line);
    };
    let mut without_datum: Vec<&str> = Vec::new();
    for control in book.controls.iter().filter(|control| control.scale.mark_count() > 0) {
        let Some(plan) = &control.strip else { continue };
        match &plan.datum {
            None => without_datum.push(&control.name),
            Some(datum) if datum.measured.is_none() => {
                let line = format!("{}: {}, undated", control.name, datum.from);
                add(0, "Datums of strips", line);
            }
            Some(_) => {}
        }
    }
    if !without_datum.is_empty() {
        // They are one job with one tape measure, and all must fit on one side.
        add(0, "Datums of strips", format!("{}: none in the book", without_datum.join(", ")));
    }
    for settings in &book.settings {
        if !settings.all_rows().any(|row| row.ground == Ground::Sailed) {
            let line = format!("{}: no row was sailed", words::called(book, settings));
            add(1, "Settings never sailed", line);
        }
    }
    let in_a_tune = |index: &usize| book.dock_tunes.iter().any(|tune| tune.controls.contains(index));
    let alone = book.controls.iter().enumerate().filter(|(index, _)| !in_a_tune(index));
    for (_, control) in alone.filter(|(_, control)| control.when == When::Dock) {
        let from = base_of(control).unwrap_or_else(|| "no base in the book".to_owned());
        add(2, "Set at the dock", format!("{}: {from}", control.name));
    }
    for (nth, tune) in book.dock_tunes.iter().enumerate() {
        let (heading, lines) = at_the_dock(book, tune);
        lines.into_iter().for_each(|line| add(FIRST_TUNE + nth, &heading, line));
    }
    if let Some(stowage) = &book.rigging.stowage {
        for item in stowage.items.iter().filter(|item| item.item.plan == Plan::Ashore) {
            add(GEAR, "Gear", format!("Ashore: {}", item.name));
        }
    }
    if book.rigging.lacing.is_some() {
        add(GEAR, "Gear", "Bow lacing, by its card".to_owned());
    }
    if book.rigging.outboard_lead.is_some() {
        add(GEAR, "Gear", "Outboard lead, by its card".to_owned());
    }
    groups.into_values().collect()
}

/// `Ada, by Friday night: Jackstays rigged`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    for group in taken(content, "groups") {
        let mut heading = text(group.get("heading"));
        // How much of the forecast a row is for is told once, and not with each of its controls.
        let split = heading.split_once(": ").map(|(tune, share)| (tune.to_owned(), share.to_owned()));
        if let Some((tune, share)) = split.filter(|(tune, _)| tune.starts_with(DOCK_TUNE)) {
            lines.push(Said::one(tune.clone(), share));
            heading = tune;
        }
        for line in group.get("lines").and_then(serde_json::Value::as_array).into_iter().flatten() {
            lines.push(Said::among(heading.clone(), short(line)));
        }
    }
}
