//! The kind `stowage`: where the gear goes, what stays ashore, and what that does to trim, list and pitching; on as many
//! cards as it takes.

mod heights;
mod layout;
mod plan_view;
mod sign;
mod words;

use std::ops::Range;

use crate::wrong::Wrong;
use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::frame;
use super::parts::gear;
use super::parts::measures;
use super::parts::stamp::settled_mm;
use super::parts::telling::{Said, before_colon, by_lines, drawn, taken};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Stock, Usual};
use crate::book::{Book, Problem, Section, Stowage, StowedItem, Table, Units};
use crate::drawing::Drawing;
use crate::length::Length;
use crate::rigging::axes::Position;
use crate::rigging::stowage::{ListAngle, Plan, SMALL_LIST_DEG, Sinkage, Stage, State, Trim};
use crate::size::NamedSize;

pub const KIND: Kind = Kind {
    name: "stowage",
    about: "Where the gear goes, what stays ashore, and what that does to the boat",
    made_of: &[Section::Stowage],
    from_entry,
    by_default: |book| Usual::of_section("stowage", book.rigging.stowage.as_ref().map(|stowage| &stowage.place)),
    changes: |old, new| by_lines(old, new, lines),
};

const TITLE: &str = "Stowage";
/// Of a thing that no stage moves, and of one that a later stage does.
const STAYS: &str = "Stays where it is";
const STAYS_AT_FIRST: &str = "Where it is, at first";

/// In place of the height of a centre, when nothing is aboard; and of a figure that cannot be told.
const NONE_ABOARD: &str = "none";
const NOT_KNOWN: &str = "unknown";

/// What the card says. Things are numbered from 1 in the order in which the cards list them: destinations, then ashore.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StowageCard {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    #[serde(skip)]
    pub units: Units,
    pub boat: String,
    /// `1 of 2` where one card does not hold them all.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// Of every mass in the list: `kg`.
    pub unit: &'static str,
    /// What buys most first.
    pub destinations: Vec<Destination>,
    /// What is taken off the boat.
    pub ashore: Vec<Thing>,
    /// What is new about what is aboard, stage by stage.
    pub changes: Vec<AtStage>,
    /// `Height of gear's centre: 0.46 to 0.12 m.`
    pub height: String,
    /// What the figures of pitching are; empty on the cards after the first, as are the height and the states.
    pub pitching: String,
    /// How the boat floats as it was, then as planned at each stage that differs from the one before.
    pub states: Vec<Floats>,
    /// The ways of what moves, at the dock.
    pub moves: Vec<Move>,
    /// Of the boat, from the stem.
    pub length_mm: Option<f64>,
    pub beam_mm: Option<f64>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// A place and what goes there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Destination {
    /// `Under the sole`.
    pub to: String,
    pub gear: Vec<Thing>,
}

/// A thing to stow.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Thing {
    /// By which every card calls it.
    pub number: usize,
    /// `chain`.
    pub what: String,
    /// `30`, in the unit of the card.
    pub mass: String,
}

/// What is new about the gear from a stage on.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AtStage {
    /// `From mid-race`.
    pub from: &'static str,
    pub gear: Vec<Changed>,
}

/// What is new about one thing.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Changed {
    /// By which the card calls it.
    pub number: usize,
    /// `J3 wet, 28.6 kg`.
    pub says: String,
    /// It is taken to another place.
    #[serde(skip)]
    pub moves: bool,
}

/// How the boat floats at one time.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Floats {
    /// `Dock`.
    pub stage: String,
    /// All that can be reckoned, the same for every stage.
    pub figures: Vec<Figure>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// `trim`.
    pub name: &'static str,
    /// `cm`.
    pub unit: &'static str,
    /// `2.7`, in the unit.
    pub size: String,
    /// `bow up`; empty where there is no other way, and of 0.
    pub way: &'static str,
}

/// Where a thing was and where it goes at the dock, in millimetres.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Move {
    /// By which the list calls it.
    pub number: usize,
    pub was: [f64; 3],
    /// `None`: ashore.
    pub to: Option<[f64; 3]>,
}

impl Content for StowageCard {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        layout::stowage(self, label)
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }
}

/// `{kind: stowage, size: A5}`.
fn from_entry(book: &Book, entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let section = ("stowage", "displacement, centre_of_gravity, items");
    gear::from_entry(entry, section, book.rigging.stowage.as_ref(), problems)
        .map(|(stowage, id, size)| cards(book, stowage, id, size.as_ref()))
        .unwrap_or_default()
}

/// As few cards as can be read, each filled with what it holds; one at any size if a single thing is too much for any.
fn cards(book: &Book, stowage: &Stowage, id: Option<String>, size: Option<&NamedSize>) -> Vec<Card> {
    let whole = content(book, stowage, size);
    let label = Label::longest(book);
    let half = frame::half_of_any_page();
    let size = size.or(half.as_ref());
    let fits = |card: &StowageCard, cap: f64| size.is_none_or(|size| layout::fits(card, &label, size, cap));
    let parts =
        [frame::MUST_CAP, frame::least_cap_mm()].into_iter().find_map(|cap| parted(&whole, |card| fits(card, cap)));
    let stem = id.unwrap_or_else(|| KIND.name.to_owned());
    let card = |(index, content): (usize, StowageCard)| {
        let id = if index == 0 { stem.clone() } else { format!("{stem}-{}", index + 1) };
        let title = content.part.as_ref().map_or_else(|| TITLE.to_owned(), |part| format!("{TITLE}, {part}"));
        Card::new(id, KIND.name, title, Stock::Card, stowage.place.clone(), content)
    };
    parts.unwrap_or_else(|| vec![whole]).into_iter().enumerate().map(card).collect()
}

/// The things of a card among as few as hold them, in order; `None` if one does not hold a single thing.
fn parted(whole: &StowageCard, fits: impl Fn(&StowageCard) -> bool) -> Option<Vec<StowageCard>> {
    if fits(whole) {
        return Some(vec![whole.clone()]);
    }
    let count = whole.things().count();
    // As long as the longest there can be.
    let part = format!("{count} of {count}");
    let mut parts: Vec<StowageCard> = Vec::new();
    let mut start = 0;
    while start < count {
        let card = |end: usize| whole.only(start..end, &part);
        let end = (start + 1..=count).take_while(|end| fits(&card(*end))).last()?;
        parts.push(card(end));
        start = end;
    }
    let count = parts.len();
    for (card, nth) in parts.iter_mut().zip(1..) {
        card.part = Some(format!("{nth} of {count}"));
    }
    Some(parts)
}

impl StowageCard {
    /// All that it lists, in order.
    pub fn things(&self) -> impl Iterator<Item = &Thing> {
        self.destinations.iter().flat_map(|to| &to.gear).chain(&self.ashore)
    }

    /// The same with some of its things, counted from 0; what is said of them all stands with the first.
    fn only(&self, range: Range<usize>, part: &str) -> StowageCard {
        let is_here = |number: usize| range.contains(&(number - 1));
        let kept = |things: &[Thing]| things.iter().filter(|thing| is_here(thing.number)).cloned().collect::<Vec<_>>();
        let destinations = self.destinations.iter().map(|to| Destination { to: to.to.clone(), gear: kept(&to.gear) });
        let changes = self.changes.iter().map(|at| AtStage {
            from: at.from,
            gear: at.gear.iter().filter(|changed| is_here(changed.number)).cloned().collect(),
        });
        let is_first = range.start == 0;
        StowageCard {
            part: Some(part.to_owned()),
            destinations: destinations.filter(|to| !to.gear.is_empty()).collect(),
            ashore: kept(&self.ashore),
            changes: changes.filter(|at| !at.gear.is_empty()).collect(),
            moves: self.moves.iter().filter(|moved| is_here(moved.number)).cloned().collect(),
            height: if is_first { self.height.clone() } else { String::new() },
            pitching: if is_first { self.pitching.clone() } else { String::new() },
            states: if is_first { self.states.clone() } else { Vec::new() },
            working: if is_first { self.working.clone() } else { Vec::new() },
            ..self.clone()
        }
    }
}

fn content(book: &Book, stowage: &Stowage, size: Option<&NamedSize>) -> StowageCard {
    let [dock, ..] = &stowage.worked.stages;
    let (destinations, ashore) = sorted(stowage, book.units);
    let aboard: Vec<usize> = destinations.iter().flat_map(|(_, items)| items).copied().collect();
    let order: Vec<usize> = aboard.iter().chain(&ashore).copied().collect();
    let things = |items: &[usize]| -> Vec<Thing> {
        let number = |item: &usize| order.iter().position(|known| known == item).map(|index| index + 1);
        let numbered = items.iter().filter_map(|item| Some((number(item)?, stowage.items.get(*item)?)));
        numbered.map(|(number, item)| thing(number, item, book.units)).collect()
    };
    let moves = (1..).zip(&order).filter_map(|(number, item)| moved(number, *item, &dock.now, &dock.planned));
    StowageCard {
        size: size.cloned(),
        units: book.units,
        boat: book.boat.name.value.clone(),
        part: None,
        unit: measures::mass_unit(book.units),
        destinations: destinations
            .iter()
            .map(|(to, items)| Destination { to: to.clone(), gear: things(items) })
            .collect(),
        ashore: things(&ashore),
        changes: words::changes(stowage, &aboard, book.units),
        height: words::height(stowage, book.units),
        pitching: words::pitching(&stowage.worked),
        states: states(stowage, book.units),
        moves: moves.collect(),
        length_mm: book.boat.length.map(|length| settled_mm(length.to_mm())),
        beam_mm: stowage.boat.extent.y.map(|[port, starboard]| settled_mm((starboard - port).to_mm())),
        working: words::working(stowage, book.units),
    }
}

fn thing(number: usize, item: &StowedItem, units: Units) -> Thing {
    Thing { number, what: item.name.clone(), mass: measures::mass_number(item.item.mass_kg, units) }
}

fn xyz(place: Position) -> [f64; 3] {
    [place.x, place.y, place.z].map(|part| settled_mm(part.to_mm()))
}

/// Items by where they go, then those that go ashore; in each, what buys most first.
fn sorted(stowage: &Stowage, units: Units) -> (Vec<(String, Vec<usize>)>, Vec<usize>) {
    let [dock, ..] = &stowage.worked.stages;
    let mut destinations: Vec<(String, Vec<usize>)> = Vec::new();
    let mut ashore = Vec::new();
    for worth in &dock.ranking {
        let Some(item) = stowage.items.get(worth.item) else { continue };
        if item.item.plan == Plan::Ashore {
            ashore.push(worth.item);
            continue;
        }
        let to = destination(item, units);
        match destinations.iter_mut().find(|(known, _)| *known == to) {
            Some((_, items)) => items.push(worth.item),
            None => destinations.push((to, vec![worth.item])),
        }
    }
    (destinations, ashore)
}

/// Where a thing that stays aboard is at the dock, as planned.
fn destination(item: &StowedItem, units: Units) -> String {
    let plan = &item.item;
    if let Some(at) = plan.in_force(Stage::Dock).at {
        return words::place(at, units);
    }
    let moves_later = Stage::ALL.iter().any(|stage| plan.in_force(*stage).at.is_some());
    item.stow.clone().unwrap_or_else(|| match plan.plan {
        Plan::Move(to) => words::place(to, units),
        Plan::Keep | Plan::Ashore if moves_later => STAYS_AT_FIRST.to_owned(),
        Plan::Keep | Plan::Ashore => STAYS.to_owned(),
    })
}

/// The way of a thing; `None` if it stays where it is.
fn moved(number: usize, item: usize, now: &State, planned: &State) -> Option<Move> {
    let place = |state: &State| state.terms.iter().find(|term| term.item == item).map(|term| xyz(term.place));
    let (was, to) = (place(now)?, place(planned));
    (to != Some(was)).then_some(Move { number, was, to })
}

impl Figure {
    /// A figure whose sign is said in words, except when it prints as 0 does.
    fn either_way(name: &'static str, unit: &'static str, [size, zero]: [String; 2], way: &'static str) -> Self {
        Figure { name, unit, way: if size == zero { "" } else { way }, size }
    }

    fn words(&self) -> String {
        let parts = [self.name, &self.size, self.unit, self.way];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
    }
}

/// All that is known of a state.
fn figures(stowage: &Stowage, state: &State, units: Units) -> Vec<Figure> {
    let plain = |name, unit, size: String| Figure { name, unit, size, way: "" };
    let height = |height: Length| measures::height(height, units);
    let mut figures = vec![plain("gear", measures::mass_unit(units), measures::mass_number(state.mass_kg, units))];
    let centre = state.centre.map_or_else(|| NONE_ABOARD.to_owned(), |centre| height(centre.z));
    figures.push(plain("centre", measures::long_unit(units), centre));
    if stowage.boat.metacentric_height.is_some() {
        let gm = state.list.map_or_else(|| NOT_KNOWN.to_owned(), |list| height(list.metacentric_height));
        figures.push(plain("GM", measures::long_unit(units), gm));
    }
    figures.extend(state.trim.map(|trim| trim_figure(&trim, units)));
    figures.extend(state.sinkage.map(|sinkage| sinkage_figure(&sinkage, units)));
    if stowage.boat.metacentric_height.is_some() {
        figures.push(list(state));
    }
    let pitching = measures::two_digits(measures::inertia(state.inertia_kg_m2, units));
    figures.push(plain("pitching", measures::inertia_unit(units), pitching));
    figures
}

fn trim_figure(trim: &Trim, units: Units) -> Figure {
    let way = if trim.bow_up_cm < 0.0 { "bow down" } else { "bow up" };
    let sizes = [trim.bow_up_cm, 0.0].map(|cm| measures::trim(Length::cm(cm), units));
    Figure::either_way("trim", measures::trim_unit(units), sizes, way)
}

fn sinkage_figure(sinkage: &Sinkage, units: Units) -> Figure {
    let way = if sinkage.deeper < Length::ZERO { "lighter" } else { "deeper" };
    let sizes = [sinkage.deeper, Length::ZERO].map(|deeper| measures::sinkage(deeper, units));
    Figure::either_way("floats", measures::sinkage_unit(units), sizes, way)
}

fn list(state: &State) -> Figure {
    let side = |to_starboard: bool| if to_starboard { "stbd" } else { "port" };
    match state.list.map(|list| list.angle) {
        Some(ListAngle::Small { to_starboard_deg }) => {
            let sizes = [to_starboard_deg, 0.0].map(|degrees| format!("{}°", measures::fixed(degrees.abs(), 1)));
            Figure::either_way("list", "", sizes, side(to_starboard_deg > 0.0))
        }
        Some(ListAngle::PastSmall { to_starboard }) => {
            Figure { name: "list", unit: "", size: format!("over {SMALL_LIST_DEG}°"), way: side(to_starboard) }
        }
        None => Figure { name: "list", unit: "", size: NOT_KNOWN.to_owned(), way: "" },
    }
}

fn states(stowage: &Stowage, units: Units) -> Vec<Floats> {
    let [dock, ..] = &stowage.worked.stages;
    let floats = |stage: &str, state| Floats { stage: stage.to_owned(), figures: figures(stowage, state, units) };
    let mut planned: Vec<Floats> =
        stowage.worked.stages.iter().map(|stage| floats(words::stage(stage.stage), &stage.planned)).collect();
    planned.dedup_by(|next, before| next.figures == before.figures);
    planned.insert(0, floats("As it was", &dock.now));
    planned
}

/// `Under the sole: anchor 16 kg`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    let list = |value: Option<&serde_json::Value>, words: &dyn Fn(&serde_json::Value) -> String| {
        value.and_then(serde_json::Value::as_array).into_iter().flatten().map(words).collect::<Vec<_>>().join(", ")
    };
    let unit = text(content.shift_remove("unit").as_ref());
    let thing = |thing: &serde_json::Value| format!("{} {} {unit}", text(thing.get("what")), text(thing.get("mass")));
    for destination in taken(content, "destinations") {
        lines.push(Said::one(text(destination.get("to")), list(destination.get("gear"), &thing)));
    }
    lines.extend(taken(content, "ashore").iter().map(|words| Said::among("ashore", thing(words))));
    for stage in taken(content, "changes") {
        let gear = list(stage.get("gear"), &|changed| text(changed.get("says")));
        lines.push(Said::one(text(stage.get("from")).to_lowercase(), gear));
    }
    for field in ["height", "pitching"] {
        let said = content.shift_remove(field).as_ref().map(short).filter(|words| !words.is_empty());
        lines.extend(said.map(|words| before_colon(&words)));
    }
    for state in taken(content, "states") {
        let figure = |figure: &serde_json::Value| {
            let parts = ["name", "size", "unit", "way"].map(|part| text(figure.get(part)));
            parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
        };
        lines.push(Said::one(text(state.get("stage")), list(state.get("figures"), &figure)));
    }
    drawn(content, &["moves", "length_mm", "beam_mm"], "the picture", lines);
}
