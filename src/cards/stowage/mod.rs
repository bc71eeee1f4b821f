//! The kind `stowage`: where the gear goes, what stays ashore, and what that does to trim, list and pitching.

mod layout;
mod words;

use crate::wrong::Wrong;
use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::gear;
use super::parts::measures;
use super::parts::stamp::settled_mm;
use super::parts::telling::{Said, before_colon, by_lines, drawn, taken, texts};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Stock, Usual};
use crate::book::{Book, Problem, Section, Stowage, StowedItem, Table, Units};
use crate::drawing::Drawing;
use crate::length::Length;
use crate::rigging::axes::Position;
use crate::rigging::stowage::{ListAngle, Plan, SMALL_LIST_DEG, Sinkage, Stage, State, Term, Trim};
use crate::size::NamedSize;

pub const KIND: Kind = Kind {
    name: "stowage",
    about: "Where the gear goes, what stays ashore, and what that does to the boat",
    made_of: &[Section::Stowage],
    from_entry,
    by_default: |book| Usual::of_section("stowage", book.rigging.stowage.as_ref().map(|stowage| &stowage.place)),
    changes: |old, new| by_lines(old, new, lines),
};

/// Of a thing that no stage moves, and of one that a later stage does.
const STAYS: &str = "Stays where it is";
const STAYS_AT_FIRST: &str = "Where it is, at first";

/// In place of the height of a centre, when nothing is aboard; and of a figure that cannot be told.
const NONE_ABOARD: &str = "none";
const NOT_KNOWN: &str = "unknown";

/// What the card says. Items are numbered from 1 in the order in which it lists them: destinations, then ashore.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StowageCard {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    #[serde(skip)]
    pub units: Units,
    pub boat: String,
    /// What buys most first.
    pub destinations: Vec<Destination>,
    /// `awning 12 kg`.
    pub ashore: Vec<String>,
    /// What is new about what is aboard, stage by stage.
    pub changes: Vec<AtStage>,
    /// `Height of gear's centre: 0.46 to 0.12 m.`, `GM: 1.25 to 1.26 m.`
    pub heights: Vec<String>,
    /// What the figures of pitching are.
    pub pitching: String,
    /// How the boat floats as it was, then as planned at each stage that differs from the one before.
    pub states: Vec<Floats>,
    /// One for each number.
    pub discs: Vec<Disc>,
    /// Of the boat, from the stem.
    pub length_mm: Option<f64>,
    pub old_centre: Option<[f64; 3]>,
    pub new_centre: Option<[f64; 3]>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// A place and what goes there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Destination {
    /// `Under the sole`.
    pub to: String,
    /// `chain 30 kg`.
    pub gear: Vec<String>,
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

/// An item in the picture, at the dock: its mass in kilograms, its places in millimetres.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Disc {
    pub mass_kg: f64,
    /// `None`: ashore.
    pub at: Option<[f64; 3]>,
    /// Where it was, if that is somewhere else.
    pub was: Option<[f64; 3]>,
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
        .map(|(stowage, id, size)| vec![card(book, stowage, id, size)])
        .unwrap_or_default()
}

fn card(book: &Book, stowage: &Stowage, id: Option<String>, size: Option<NamedSize>) -> Card {
    let [dock, ..] = &stowage.worked.stages;
    let (destinations, ashore) = sorted(stowage, book.units);
    let aboard = destinations.iter().flat_map(|(_, items)| items);
    let discs = aboard.chain(&ashore).map(|item| disc(*item, &dock.now, &dock.planned)).collect();
    let listed = |items: Vec<usize>| -> Vec<String> {
        items.into_iter().filter_map(|item| stowage.items.get(item)).map(|item| with_mass(item, book.units)).collect()
    };
    let listed_order: Vec<usize> = destinations.iter().flat_map(|(_, items)| items).copied().collect();
    let content = StowageCard {
        size,
        units: book.units,
        boat: book.boat.name.value.clone(),
        destinations: destinations.into_iter().map(|(to, items)| Destination { to, gear: listed(items) }).collect(),
        ashore: listed(ashore),
        changes: words::changes(stowage, &listed_order, book.units),
        heights: words::heights(stowage, book.units),
        pitching: words::pitching(&stowage.worked),
        states: states(stowage, book.units),
        discs,
        length_mm: book.boat.length.map(|length| settled_mm(length.to_mm())),
        old_centre: dock.now.centre.map(xyz),
        new_centre: dock.planned.centre.map(xyz),
        working: words::working(stowage, book.units),
    };
    Card::new(
        id.unwrap_or_else(|| KIND.name.to_owned()),
        KIND.name,
        "Stowage",
        Stock::Card,
        stowage.place.clone(),
        content,
    )
}

fn with_mass(item: &StowedItem, units: Units) -> String {
    format!("{} {}", item.name, measures::mass(item.item.mass_kg, units))
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

fn disc(item: usize, now: &State, planned: &State) -> Disc {
    let term = |state: &State| state.terms.iter().find(|term| term.item == item).copied();
    let place = |term: Term| xyz(term.place);
    let (now, planned) = (term(now), term(planned));
    let at = planned.map(place);
    Disc {
        mass_kg: planned.or(now).map_or(0.0, |term| term.mass_kg),
        at,
        was: now.map(place).filter(|was| at.as_ref() != Some(was)),
    }
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
    let mut figures = vec![plain("mass", measures::mass_unit(units), measures::mass_number(state.mass_kg, units))];
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
    let list = |value: Option<&serde_json::Value>, words: fn(&serde_json::Value) -> String| {
        value.and_then(serde_json::Value::as_array).into_iter().flatten().map(words).collect::<Vec<_>>().join(", ")
    };
    for destination in taken(content, "destinations") {
        lines.push(Said::one(text(destination.get("to")), list(destination.get("gear"), short)));
    }
    lines.extend(texts(content, "ashore").into_iter().map(|words| Said::among("ashore", words)));
    for stage in taken(content, "changes") {
        let gear = list(stage.get("gear"), |changed| text(changed.get("says")));
        lines.push(Said::one(text(stage.get("from")).to_lowercase(), gear));
    }
    lines.extend(texts(content, "heights").iter().map(|words| before_colon(words)));
    lines.extend(content.shift_remove("pitching").as_ref().map(|words| before_colon(&short(words))));
    for state in taken(content, "states") {
        let figure = |figure: &serde_json::Value| {
            let parts = ["name", "size", "unit", "way"].map(|part| text(figure.get(part)));
            parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
        };
        lines.push(Said::one(text(state.get("stage")), list(state.get("figures"), figure)));
    }
    drawn(content, &["discs", "length_mm", "old_centre", "new_centre"], "the weights in the picture", lines);
}
