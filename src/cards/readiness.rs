//! The kind `readiness`: what must be done before the start, with a box for each: the book's own checks, and what the
//! rest of the book shows to be open. It says nothing that is not in the book.

use crate::wrong::Wrong;
use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::expected::{called, row_ranges, whole_hours};
use super::parts::frame::{self, Surround};
use super::parts::label::Label;
use super::parts::table::{Cell, Column, Look, Row, Ruled, Under};
use super::parts::telling::{Said, by_lines, taken};
use super::parts::words;
use super::{Card, Content, Kind, Stock, Usual, dock_tune};
use crate::book::{Book, Check, Control, DockTune, Place, Problem, Section, Settings, Table, When};
use crate::drawing::Drawing;
use crate::rigging::stowage::Plan;
use crate::size::NamedSize;
use crate::tuning::Ground;

pub const KIND: Kind = Kind {
    name: "readiness",
    about: "What must be done before the start, by deadline",
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

/// A place to write who does something, or by when, is this wide at least, millimetres.
const WRITE_MM: f64 = 13.0;
/// Of the room that is left over, what is to be done has so much more than who does it and by when.
const WHAT_SHARE: f64 = 6.0;

/// Letters that are larger break every line in two, millimetres.
const LETTERS_MOST: f64 = 4.4;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Readiness {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// `1 of 2` where one card does not hold them all.
    pub part: Option<String>,
    /// In the order of the deadlines, then what has none.
    pub items: Vec<Item>,
}

/// Something to do, with a box to tick.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Item {
    pub what: String,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub who: Option<String>,
    /// The deadline, in the book's words.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// The safety rules of the race ask for it.
    #[serde(skip_serializing_if = "is_false")]
    pub rule: bool,
    /// What it belongs to where that must be said: `Dock tune, 10 to 16½ kn: 19 of 27 h forecast`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
}

fn is_false(flag: &bool) -> bool {
    !*flag
}

impl Content for Readiness {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        self.table().draw(label)
    }
}

impl Item {
    /// What the book's own words do not say who does or by when.
    fn derived(what: impl Into<String>) -> Item {
        Item { what: what.into(), ..Item::default() }
    }

    /// Whether a heavy rule parts it from another.
    fn is_apart(&self, next: &Item) -> bool {
        (&self.by, &self.of) != (&next.by, &next.of)
    }
}

impl Readiness {
    /// The card before it has a size.
    fn table(&self) -> Ruled {
        let has_rules = self.items.iter().any(|item| item.rule);
        let mut rows = Vec::new();
        for (nth, item) in self.items.iter().enumerate() {
            let (before, next) =
                (nth.checked_sub(1).and_then(|before| self.items.get(before)), self.items.get(nth + 1));
            if let Some(of) = item.of.as_ref().filter(|_| before.is_none_or(|before| before.is_apart(item))) {
                rows.push(Row::Heading(of.clone()));
            }
            let has_heading = next.is_some_and(|next| next.of.is_some());
            let under = match next.is_some_and(|next| item.is_apart(next)) {
                true if has_heading => Under::Nothing,
                true => Under::HeavyLine,
                false => Under::Line,
            };
            rows.push(Row::Cells(item.cells(has_rules), under));
        }
        let mut columns = vec![Column::wide("WHAT", WHAT_SHARE), Column::wide("WHO", 1.0), Column::wide("BY", 1.0)];
        columns.extend(has_rules.then(|| Column::narrow("RULE")));
        let has_lines = self.items.iter().any(|item| item.who.is_none() || item.by.is_none());
        let foot = has_lines.then(|| "Write in who does it and by when where there is only a line.".to_owned());
        Ruled {
            size: self.size.clone(),
            surround: Surround {
                title: vec!["Before the start".to_owned()],
                at_right: self.part.clone().unwrap_or_default(),
                must: has_rules.then(|| RULE_WORDS.to_owned()).into_iter().collect(),
                foot: foot.into_iter().collect(),
                ..Surround::default()
            },
            name: format!("{}: before the start", self.boat),
            description: "What must be done before the start".to_owned(),
            columns,
            rows,
            look: Look { most_mm: LETTERS_MOST, ..Look::WORDS },
            ..Ruled::default()
        }
    }
}

const RULE_WORDS: &str = "RULE: the race's safety rules ask for it; read them. NO START with such a box empty.";

impl Item {
    fn cells(&self, has_rules: bool) -> Vec<Cell> {
        let who = self.who.as_ref().map_or_else(|| Cell::line(WRITE_MM), Cell::bold);
        let by = self.by.as_ref().map_or_else(|| Cell::line(WRITE_MM), Cell::plain);
        let rule = has_rules.then(|| if self.rule { Cell::in_a_box("RULE") } else { Cell::empty() });
        [Cell::ticked(&self.what), who, by].into_iter().chain(rule).collect()
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
    let items: Vec<Item> = by_deadline(book).into_iter().chain(derived(book)).collect();
    if items.is_empty() {
        problems.push(Problem::error(
            place.clone(),
            "nothing is left to do: the book has no `checks` and nothing open",
            "write `checks: [{what: Jackstays rigged, who: Ada, by: Friday}]`, or leave this card out",
        ));
        return Vec::new();
    }
    let parts = parts(book, &items, size.as_ref());
    let card = |(nth, content): (usize, Readiness)| {
        let part = content.part.as_ref().map(|part| format!(", {part}")).unwrap_or_default();
        let title = format!("Before the start{part}");
        let stem = id.clone().unwrap_or_else(|| KIND.name.to_owned());
        let id = if nth == 0 { stem } else { format!("{stem}-{}", nth + 1) };
        Card::new(id, KIND.name, title, Stock::Card, place.clone(), content)
    };
    parts.into_iter().enumerate().map(card).collect()
}

/// Everything on as few cards as can be read, all about as full.
fn parts(book: &Book, items: &[Item], size: Option<&NamedSize>) -> Vec<Readiness> {
    let label = Label::longest(book);
    let half = frame::half_of_any_page();
    let room = size.or(half.as_ref());
    let cards = |each: usize| -> Vec<Readiness> {
        let count = items.len().div_ceil(each);
        let part = |nth: usize| (count > 1).then(|| format!("{} of {count}", nth + 1));
        let card = |(nth, items): (usize, &[Item])| Readiness {
            size: size.cloned(),
            boat: book.boat.name.value.clone(),
            part: part(nth),
            items: items.to_vec(),
        };
        items.chunks(each).enumerate().map(card).collect()
    };
    let fits = |card: &Readiness, cap: f64| room.is_none_or(|room| card.table().measured().fits(&label, room, cap));
    let mut ways: Vec<usize> = (1..=items.len()).map(|count| items.len().div_ceil(count)).collect();
    ways.dedup();
    let readable =
        |cap: f64| ways.iter().map(|each| cards(*each)).find(|cards| cards.iter().all(|card| fits(card, cap)));
    let found = readable(frame::MUST_CAP).or_else(|| readable(frame::least_cap_mm()));
    // What no number of cards holds is refused with the words of the first.
    found.unwrap_or_else(|| cards(items.len().max(1)))
}

/// The book's own checks by their deadlines, in the order these first come up; what has none comes last.
fn by_deadline(book: &Book) -> Vec<Item> {
    let checks = || book.race.checks.iter();
    let first = |by: &Option<String>| checks().position(|check| check.by == *by).unwrap_or_default();
    let item = |check: &Check| Item {
        what: check.what.clone(),
        who: check.who.clone(),
        by: check.by.clone(),
        rule: check.is_race_rule,
        of: None,
    };
    let mut items: Vec<Item> = checks().map(item).collect();
    items.sort_by_key(|item| (item.by.is_none(), first(&item.by)));
    items
}

/// What the group of a dock tune is headed by.
const DOCK_TUNE: &str = "Dock tune";
/// A screw at its base, as its scale prints it.
const NO_TURN: &str = "0";

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

/// What the rest of the book shows to be open, in words for whoever has to do it.
fn derived(book: &Book) -> Vec<Item> {
    let mut items = datums(book);
    let is_sailed = |settings: &&Settings| settings.all_rows().any(|row| row.ground == Ground::Sailed);
    let never = book.settings.iter().filter(|settings| !is_sailed(settings));
    items
        .extend(never.map(|settings| {
            Item::derived(format!("Sail and write in a first row: {}", words::called(book, settings)))
        }));
    let in_a_tune = |index: &usize| book.dock_tunes.iter().any(|tune| tune.controls.contains(index));
    let alone = book.controls.iter().enumerate().filter(|(index, _)| !in_a_tune(index));
    items.extend(alone.filter(|(_, control)| control.when == When::Dock).map(|(_, control)| {
        let from = base_of(control).unwrap_or_else(|| "no base in the book".to_owned());
        Item::derived(format!("Set at the dock: {}, {from}", control.name))
    }));
    for tune in &book.dock_tunes {
        let (heading, lines) = at_the_dock(book, tune);
        items.extend(lines.into_iter().map(|what| Item { of: Some(heading.clone()), ..Item::derived(what) }));
    }
    items.extend(gear(book));
    items
}

/// Strips of which nobody knows where they begin, or since when.
fn datums(book: &Book) -> Vec<Item> {
    let mut items = Vec::new();
    let mut without: Vec<&str> = Vec::new();
    for control in book.controls.iter().filter(|control| control.scale.mark_count() > 0) {
        let Some(plan) = &control.strip else { continue };
        match &plan.datum {
            None => without.push(&control.name),
            Some(datum) if datum.measured.is_none() => {
                let words = format!("Measure and date: strip of {}, from {}", control.name, datum.from);
                items.push(Item::derived(words));
            }
            Some(_) => {}
        }
    }
    if !without.is_empty() {
        // They are one job with one tape measure.
        items.push(Item::derived(format!("Measure and write in: strips of {}", without.join(", "))));
    }
    items
}

/// What other cards say of gear.
fn gear(book: &Book) -> Vec<Item> {
    let stowed = book.rigging.stowage.iter().flat_map(|stowage| &stowage.items);
    let ashore =
        stowed.filter(|item| item.item.plan == Plan::Ashore).map(|item| format!("Leave ashore: {}", item.name));
    let lacing = book.rigging.lacing.as_ref().map(|_| "Rig the bow lacing by its card".to_owned());
    let lead = book.rigging.outboard_lead.as_ref().map(|_| "Try the outboard lead by its card".to_owned());
    ashore.chain(lacing).chain(lead).map(Item::derived).collect()
}

/// `Ada, by Friday night: Jackstays rigged`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    // A card of before had its lines in groups.
    for group in taken(content, "groups") {
        let heading = text(group.get("heading"));
        for line in group.get("lines").and_then(serde_json::Value::as_array).into_iter().flatten() {
            lines.push(Said::among(heading.clone(), short(line)));
        }
    }
    let mut tunes: Vec<String> = Vec::new();
    for item in taken(content, "items") {
        let [what, who, by, of] = ["what", "who", "by", "of"].map(|field| text(item.get(field)));
        // How much of the forecast a row is for is told once, and not with each of its controls.
        let (of, share) = of.split_once(": ").unwrap_or((&of, ""));
        if !of.is_empty() && !tunes.iter().any(|tune| tune == of) {
            tunes.push(of.to_owned());
            lines.push(Said::one(of, share));
        }
        let who = if who.is_empty() { "Anyone" } else { &who };
        let by = if by.is_empty() { by } else { format!(", by {by}") };
        let is_rule = item.get("rule").and_then(serde_json::Value::as_bool) == Some(true);
        let rule = if is_rule { " · race safety rules" } else { "" };
        let about = if of.is_empty() { format!("{who}{by}{rule}") } else { of.to_owned() };
        lines.push(Said::among(about, what));
    }
}
