//! The kind `stowage`: where the gear goes, what stays ashore, and what that does to trim, list and pitching.

mod layout;

use crate::wrong::Wrong;
use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::gear;
use super::parts::stamp::settled_mm;
use super::parts::telling::{Said, by_lines, drawn, taken, texts};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Stock};
use crate::book::{Book, Problem, Section, Stowage, StowedItem, Table, Units};
use crate::drawing::Drawing;
use crate::length::Length;
use crate::rigging::axes::Position;
use crate::rigging::stowage::{Plan, Stage, State, Term};
use crate::size::NamedSize;

pub const KIND: Kind = Kind {
    name: "stowage",
    about: "Where the gear goes, what stays ashore, and what that does to the boat",
    made_of: &[Section::Stowage],
    from_entry,
    by_default: |book, _| book.rigging.stowage.iter().map(|stowage| card(book, stowage, None, None)).collect(),
    changes: |old, new| by_lines(old, new, lines),
};

const STAYS: &str = "Stays where it is";

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
    /// `bow up`; empty where there is no other way, and of nought.
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
    let (destinations, ashore) = sorted(stowage);
    let aboard = destinations.iter().flat_map(|(_, items)| items);
    let discs = aboard.chain(&ashore).map(|item| disc(*item, &dock.now, &dock.planned)).collect();
    let listed = |items: Vec<usize>| -> Vec<String> {
        items.into_iter().filter_map(|item| stowage.items.get(item)).map(with_mass).collect()
    };
    let content = StowageCard {
        size,
        units: book.units,
        boat: book.boat.name.value.clone(),
        destinations: destinations.into_iter().map(|(to, items)| Destination { to, gear: listed(items) }).collect(),
        ashore: listed(ashore),
        states: states(stowage),
        discs,
        length_mm: book.boat.length.map(|length| settled_mm(length.to_mm())),
        old_centre: dock.now.centre.map(xyz),
        new_centre: dock.planned.centre.map(xyz),
        working: working(stowage),
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

fn with_mass(item: &StowedItem) -> String {
    format!("{} {:.0} kg", item.name, item.item.mass_kg)
}

fn xyz(place: Position) -> [f64; 3] {
    [place.x, place.y, place.z].map(|part| settled_mm(part.to_mm()))
}

/// Items by where they go, then those that go ashore; in each, what buys most first.
fn sorted(stowage: &Stowage) -> (Vec<(String, Vec<usize>)>, Vec<usize>) {
    let [dock, ..] = &stowage.worked.stages;
    let mut destinations: Vec<(String, Vec<usize>)> = Vec::new();
    let mut ashore = Vec::new();
    for worth in &dock.ranking {
        let Some(item) = stowage.items.get(worth.item) else { continue };
        let to = match item.item.plan {
            Plan::Ashore => {
                ashore.push(worth.item);
                continue;
            }
            Plan::Keep => item.stow.clone().unwrap_or_else(|| STAYS.to_owned()),
            Plan::Move(to) => item.stow.clone().unwrap_or_else(|| place_words(to)),
        };
        match destinations.iter_mut().find(|(known, _)| *known == to) {
            Some((_, items)) => items.push(worth.item),
            None => destinations.push((to, vec![worth.item])),
        }
    }
    (destinations, ashore)
}

/// `5.8 m aft of the stem, 0.5 m to port, 0.1 m below the waterline`.
fn place_words(place: Position) -> String {
    let metres = |length: Length| format!("{:.1} m", (length / Length::metres(1.0)).abs());
    let from_nought = |length: Length, low: &str, high: &str, nought: &str| match metres(length) {
        none if none == metres(Length::ZERO) => nought.to_owned(),
        some if length < Length::ZERO => format!("{some} {low}"),
        some => format!("{some} {high}"),
    };
    format!(
        "{}, {}, {}",
        from_nought(place.x, "ahead of the stem", "aft of the stem", "at the stem"),
        from_nought(place.y, "to port", "to starboard", "on the centreline"),
        from_nought(place.z, "below the waterline", "above the waterline", "at the waterline"),
    )
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
    /// A figure whose sign is said in words, except when it prints as nought does.
    fn either_way(name: &'static str, unit: &'static str, [size, nought]: [String; 2], way: &'static str) -> Self {
        Figure { name, unit, way: if size == nought { "" } else { way }, size }
    }

    fn words(&self) -> String {
        let parts = [self.name, &self.size, self.unit, self.way];
        parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
    }
}

/// All that is known of a state.
fn figures(state: &State) -> Vec<Figure> {
    let plain = |name, unit, size: f64| Figure { name, unit, size: format!("{size:.0}"), way: "" };
    let mut figures = vec![plain("mass", "kg", state.mass_kg)];
    if let Some(trim) = state.trim {
        let way = if trim.bow_up_cm < 0.0 { "bow down" } else { "bow up" };
        figures.push(Figure::either_way("trim", "cm", [trim.bow_up_cm.abs(), 0.0].map(|cm| format!("{cm:.1}")), way));
    }
    if let Some(sinkage) = state.sinkage {
        let deeper = sinkage.deeper.to_mm();
        let way = if deeper < 0.0 { "lighter" } else { "deeper" };
        figures.push(Figure::either_way("floats", "mm", [deeper.abs(), 0.0].map(|mm| format!("{mm:.0}")), way));
    }
    if let Some(list) = state.list {
        let way = if list.to_starboard_deg < 0.0 { "to port" } else { "starboard" };
        let sizes = [list.to_starboard_deg.abs(), 0.0].map(|degrees| format!("{degrees:.1}°"));
        figures.push(Figure::either_way("list", "", sizes, way));
    }
    figures.push(plain("pitching", "kg·m²", state.inertia_kg_m2));
    figures
}

fn states(stowage: &Stowage) -> Vec<Floats> {
    let [dock, ..] = &stowage.worked.stages;
    let floats = |stage: &str, state| Floats { stage: stage.to_owned(), figures: figures(state) };
    let mut planned: Vec<Floats> =
        stowage.worked.stages.iter().map(|stage| floats(stage_name(stage.stage), &stage.planned)).collect();
    planned.dedup_by(|next, before| next.figures == before.figures);
    planned.insert(0, floats("As it was", &dock.now));
    planned
}

fn stage_name(stage: Stage) -> &'static str {
    match stage {
        Stage::Dock => "Dock",
        Stage::Start => "Start",
        Stage::Middle => "Middle",
        Stage::Finish => "Finish",
    }
}

fn working(stowage: &Stowage) -> Vec<Passage> {
    let axis = stowage.worked.pitch_axis;
    let metres = |length: Length| length / Length::metres(1.0);
    let mut passages = Vec::new();
    for stage in &stowage.worked.stages {
        let mut passage = Passage::new(format!("Stowage, {}, as planned", stage_name(stage.stage).to_lowercase()));
        for term in &stage.planned.terms {
            let Some(item) = stowage.items.get(term.item) else { continue };
            passage.input(
                item.name.clone(),
                format!("{:.1} kg at {:.2} m aft", term.mass_kg, metres(term.place.x)),
                &item.place,
            );
            passage.step("its pitch inertia", "m·((x − x₀)² + (z − z₀)²)", format!("{:.1} kg·m²", term.inertia_kg_m2));
        }
        passage.step("pitch axis", "x₀, z₀", format!("{:.2} m aft, {:.2} m up", metres(axis.x), metres(axis.z)));
        let how =
            "sums; trim = Δ(Σ m·x) about the centre of flotation / moment to trim 1 cm; tan list = Σ m·y / (Δ·GM)";
        let all: Vec<String> = figures(&stage.planned).iter().map(Figure::words).collect();
        passage.step("all of it", how, all.join(", "));
        passages.push(passage);
    }
    passages
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
    for state in taken(content, "states") {
        let figure = |figure: &serde_json::Value| {
            let parts = ["name", "size", "unit", "way"].map(|part| text(figure.get(part)));
            parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
        };
        lines.push(Said::one(text(state.get("stage")), list(state.get("figures"), figure)));
    }
    drawn(content, &["discs", "length_mm", "old_centre", "new_centre"], "the weights in the picture", lines);
}
