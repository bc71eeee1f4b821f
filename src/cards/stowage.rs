//! The kind `stowage`: where the gear goes, what stays ashore, and what that does to trim, list and pitching.

use kurbo::{Circle, Point, Rect, Size};
use serde::Serialize;

use super::flow::{self, Line};
use super::frame::{self, Frame, LINE_PITCH, Surround, draw_lines};
use super::label::legend_cap_mm;
use super::scaled::{self, FINE, View, dashed, dot, note, ring};
use super::stamp::settled_mm;
use super::working::Passage;
use super::{Card, Content, Kind, Label, Stock};
use crate::book::problem::Wrong;
use crate::book::{Book, Problem, Stowage, Table, Units};
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::{Anchor, Colour, Drawing, Shape, Weight};
use crate::length::Length;
use crate::rigging::axes::Position;
use crate::rigging::stowage::{Plan, Stage, State};
use crate::size::NamedSize;

pub const KIND: Kind = Kind {
    name: "stowage",
    about: "Where the gear goes, what stays ashore, and what that does to the boat",
    from_entry,
    by_default: |book, _| book.rigging.stowage.iter().map(|stowage| card(book, stowage, None, None)).collect(),
};

/// Racing Rules of Sailing, rule 51, Movable Ballast (from memory).
const CAUTION: &str = "Shifting gear for trim or stability while racing is restricted: Racing Rules of Sailing 51, Movable \
                       Ballast. Check the rules in force. Lash heavy gear: it must not come adrift in a knockdown.";
/// The largest disc, millimetres across.
const LARGEST_DISC: f64 = 9.0;
const LEAST_SCALE: f64 = 0.005;
const MOST_SCALE: f64 = 0.05;
const MARGIN_MM: f64 = 300.0;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StowageCard {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    #[serde(skip)]
    pub units: Units,
    pub boat: String,
    /// `Under the sole: anchor 16 kg`, what buys most first.
    pub destinations: Vec<String>,
    pub ashore: Vec<String>,
    pub totals: Vec<String>,
    /// As planned, at the dock: mass in kilograms, place in millimetres.
    pub discs: Vec<(f64, [f64; 3])>,
    /// Of the boat, from the stem.
    pub length_mm: Option<f64>,
    pub old_centre: Option<[f64; 3]>,
    pub new_centre: Option<[f64; 3]>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

impl Content for StowageCard {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        frame::fitted(self.size.as_ref(), label, |size, least| {
            frame::both_ways(size, label).into_iter().find_map(|size| draw(self, label, size, least))
        })
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }
}

/// `{kind: stowage, size: A5}`.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let place = entry.place.clone();
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    entry.finish(problems);
    let Some(stowage) = &book.rigging.stowage else {
        let instead = "describe it under `stowage`: displacement, centre_of_gravity, items";
        problems.push(Problem::error(place, "the book says nothing usable of the stowage", instead));
        return Vec::new();
    };
    vec![card(book, stowage, id, size)]
}

fn card(book: &Book, stowage: &Stowage, id: Option<String>, size: Option<NamedSize>) -> Card {
    let worked = &stowage.worked;
    let [dock, ..] = &worked.stages;
    let mut destinations: Vec<(String, Vec<String>)> = Vec::new();
    let mut ashore = Vec::new();
    for worth in &dock.ranking {
        let Some(item) = stowage.items.get(worth.item) else { continue };
        let said = format!("{} {:.0} kg", item.name, item.item.mass_kg);
        let to = match item.item.plan {
            Plan::Ashore => {
                ashore.push(said);
                continue;
            }
            Plan::Keep => item.stow.clone().unwrap_or_else(|| "Stays where it is".to_owned()),
            Plan::Move(to) => item.stow.clone().unwrap_or_else(|| {
                format!("{:.1} m aft, {:.1} m up", to.x / Length::metres(1.0), to.z / Length::metres(1.0))
            }),
        };
        match destinations.iter_mut().find(|(known, _)| *known == to) {
            Some((_, gear)) => gear.push(said),
            None => destinations.push((to, vec![said])),
        }
    }
    let xyz = |place: Position| [place.x, place.y, place.z].map(|part| settled_mm(part.to_mm()));
    let content = StowageCard {
        size,
        units: book.units,
        boat: book.boat.name.value.clone(),
        destinations: destinations.into_iter().map(|(to, gear)| format!("{to}: {}", gear.join(", "))).collect(),
        ashore,
        totals: totals(stowage),
        discs: dock.planned.terms.iter().map(|term| (term.mass_kg, xyz(term.place))).collect(),
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

fn stage_name(stage: Stage) -> &'static str {
    match stage {
        Stage::Dock => "Dock",
        Stage::Start => "Start",
        Stage::Middle => "Middle",
        Stage::Finish => "Finish",
    }
}

fn state_words(state: &State) -> String {
    let mut words = vec![format!("{:.0} kg", state.mass_kg)];
    if let Some(trim) = state.trim {
        let way = if trim.bow_up_cm < 0.0 { "bow down" } else { "bow up" };
        words.push(format!("{way} {:.1} cm", trim.bow_up_cm.abs()));
    }
    if let Some(sinkage) = state.sinkage {
        let mm = sinkage.deeper.to_mm();
        words.push(format!("{:.0} mm {}", mm.abs(), if mm < 0.0 { "lighter" } else { "deeper" }));
    }
    if let Some(list) = state.list {
        let side = if list.to_starboard_deg < 0.0 { "port" } else { "starboard" };
        words.push(format!("list {:.1}° to {side}", list.to_starboard_deg.abs()));
    }
    words.push(format!("pitch inertia {:.0} kg·m²", state.inertia_kg_m2));
    words.join(", ")
}

fn totals(stowage: &Stowage) -> Vec<String> {
    let [dock, ..] = &stowage.worked.stages;
    let mut totals = vec![format!("As it was: {}.", state_words(&dock.now))];
    let mut last = String::new();
    for stage in &stowage.worked.stages {
        let words = state_words(&stage.planned);
        if words != last {
            totals.push(format!("{}, as planned: {words}.", stage_name(stage.stage)));
        }
        last = words;
    }
    totals
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
        passage.step("all of it", how, state_words(&stage.planned));
        passages.push(passage);
    }
    passages
}

fn draw(card: &StowageCard, label: &Label, size: Size, cap: f64) -> Option<Drawing> {
    let surround = Surround {
        title: vec!["Stowage".to_owned()],
        foot: vec![(card.totals.join(" "), Weight::Regular), (CAUTION.to_owned(), Weight::Bold)],
        ..Surround::default()
    };
    let frame = Frame::new(size, &surround, label, cap)?;
    let body = frame.body;
    let text = |text: &str, weight| flow::wrapped(text, cap, weight, CARD_DISTANCE, body.width());
    let mut lines: Vec<Line> = card.destinations.iter().flat_map(|words| text(words, Weight::Regular)).collect();
    if !card.ashore.is_empty() {
        lines.extend(text(&format!("STAYS ASHORE: {}", card.ashore.join(", ")), Weight::Bold));
    }
    let mut drawing =
        frame.start(format!("{}: stowage", card.boat), "Where the gear goes, with views to scale".to_owned(), label);
    let top = draw_lines(&mut drawing, &lines, body.x0, body.y0);
    draw_views(&mut drawing, card, Rect::new(body.x0, top + cap, body.x1, body.y1.max(top + cap)))?;
    Some(drawing)
}

fn draw_views(drawing: &mut Drawing, card: &StowageCard, area: Rect) -> Option<()> {
    let all: Vec<[f64; 3]> =
        card.discs.iter().map(|disc| disc.1).chain(card.old_centre).chain(card.new_centre).collect();
    let span = |axis: usize| {
        let values = all.iter().map(|place| place[axis]);
        (values.clone().fold(0.0, f64::min) - MARGIN_MM, values.fold(0.0, f64::max) + MARGIN_MM)
    };
    let (mut x, y, z) = (span(0), span(1), span(2));
    // The whole boat, so that an eye can place the discs.
    x.1 = x.1.max(card.length_mm.unwrap_or(0.0));
    let row = legend_cap_mm() * LINE_PITCH;
    // A disc stands out over the place of what it weighs.
    let around = LARGEST_DISC / 2.0;
    let room = area.height() - 3.0 * row - scaled::bar_height() - 4.0 * around;
    let scale = (area.width() / (x.1 - x.0)).min(room / (y.1 - y.0 + z.1 - z.0)).min(MOST_SCALE);
    if scale < LEAST_SCALE {
        return None;
    }
    let heaviest = card.discs.iter().map(|disc| disc.0).fold(f64::MIN_POSITIVE, f64::max);
    let mut top = area.y0;
    for (axis, span, words) in [(2, z, "← BOW. From port"), (1, y, "← BOW. From above")] {
        note(drawing, words, (area.x0, top + legend_cap_mm()), Anchor::Start);
        let upper = top + row + around;
        let view_area = Rect::new(area.x0, upper, area.x1, upper + (span.1 - span.0) * scale);
        let view = View::at(scale, Rect::new(x.0, span.0, x.1, span.1), view_area);
        let at = |place: [f64; 3]| view.point(Length::mm(place[0]), Length::mm(place[axis]));
        let nought = at([0.0; 3]).y;
        drawing.print(dashed(Point::new(area.x0, nought), Point::new(area.x1, nought), FINE));
        note(drawing, if axis == 1 { "centreline" } else { "waterline" }, (area.x0, nought - 1.0), Anchor::Start);
        for (mass, place) in &card.discs {
            // Area, not width, goes with mass.
            let radius = (mass / heaviest).sqrt() * LARGEST_DISC / 2.0;
            // Two fills rather than a stroke: renderers agree on those to the pixel.
            drawing.print(Shape::fill(Circle::new(at(*place), radius + FINE / 2.0), Colour::BLACK));
            drawing.print(Shape::fill(Circle::new(at(*place), radius - FINE / 2.0), Colour::grey(0.75)));
        }
        if let Some(old) = card.old_centre {
            ring(drawing, at(old), 1.0);
        }
        if let Some(new) = card.new_centre {
            dot(drawing, at(new), 1.0);
        }
        top = view_area.y1 + around;
    }
    note(drawing, "○ centre of the gear before, ● after; discs: mass by area", (area.x0, top + row), Anchor::Start);
    let bar = Point::new(area.x0, top + row * 1.5 + scaled::bar_height() / 2.0);
    scaled::scale_bar(drawing, scale, bar, area.width() / 3.0, card.units, "both views at one scale");
    Some(())
}
