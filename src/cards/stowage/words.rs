//! What the card of the stowage says in words: places, what each stage changes, heights, and the working behind its
//! figures. Knows no layout.

use super::{AtStage, Changed, Figure, figures, sinkage_figure, trim_figure};
use crate::book::{Stowage, Units};
use crate::cards::parts::measures;
use crate::cards::parts::working::Passage;
use crate::length::Length;
use crate::rigging::axes::Position;
use crate::rigging::stowage::{Change, Item, List, ListAngle, Plan, SMALL_LIST_DEG, Stage, State, Worked};
use crate::tuning::mark::print_decimal;

const PER_CENT: f64 = 100.0;

/// What the figures of pitching are, and what they are of the boat's own where that is known.
pub fn pitching(worked: &Worked) -> String {
    let [dock, ..] = &worked.stages;
    let alone = "Pitching: inertia of this gear alone";
    match worked.own_inertia_kg_m2 {
        Some(own) => {
            let [now, planned] =
                [&dock.now, &dock.planned].map(|state| measures::two_digits(state.inertia_kg_m2 / own * PER_CENT));
            format!("{alone}; of the boat's own {now} % as it was, {planned} % as planned.")
        }
        None => format!("{alone}."),
    }
}

/// A stage as the card calls it.
pub fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Dock => "Dock",
        Stage::Start => "Start",
        Stage::Middle => "Middle",
        Stage::Finish => "Finish",
    }
}

/// From when on a change holds.
fn from_stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Dock => "At the dock",
        Stage::Start => "From the start",
        Stage::Middle => "From mid-race",
        Stage::Finish => "At the finish",
    }
}

/// `5.8 m aft of the stem, 0.5 m to port, 0.1 m below the waterline`.
pub fn place(place: Position, units: Units) -> String {
    let unit = measures::long_unit(units);
    let size = |length: Length| measures::fixed(measures::in_long(length, units).abs(), 1);
    let from_zero = |length: Length, low: &str, high: &str, zero: &str| match size(length) {
        none if none == size(Length::ZERO) => zero.to_owned(),
        some if length < Length::ZERO => format!("{some} {unit} {low}"),
        some => format!("{some} {unit} {high}"),
    };
    format!(
        "{}, {}, {}",
        from_zero(place.x, "ahead of the stem", "aft of the stem", "at the stem"),
        from_zero(place.y, "to port", "to starboard", "on the centreline"),
        from_zero(place.z, "below the waterline", "above the waterline", "at the waterline"),
    )
}

/// What each stage changes about the things aboard, which the card numbers in this order.
pub fn changes(stowage: &Stowage, aboard: &[usize], units: Units) -> Vec<AtStage> {
    let mut before: Option<Stage> = None;
    let mut stages = Vec::new();
    for at in Stage::ALL {
        let changed = |(number, item): (usize, &usize)| {
            let stowed = stowage.items.get(*item).filter(|stowed| stowed.item.plan != Plan::Ashore)?;
            let earlier = before.map_or_else(Change::default, |before| stowed.item.in_force(before));
            let words = change(&stowed.item, earlier, stowed.item.in_force(at), at, units)?;
            let moves = stowed.item.in_force(at).at != earlier.at;
            Some(Changed { number, says: format!("{} {words}", stowed.name), moves })
        };
        let gear: Vec<Changed> = (1..).zip(aboard).filter_map(changed).collect();
        if !gear.is_empty() {
            stages.push(AtStage { from: from_stage(at), gear });
        }
        before = Some(at);
    }
    stages
}

/// `to 5.0 m aft of the stem, …, wet, 78 kg`; `None` if nothing is new. Where it is at the dock the card says elsewhere.
fn change(item: &Item, before: Change, now: Change, at: Stage, units: Units) -> Option<String> {
    let mut words = Vec::new();
    if let Some(to) = now.at.filter(|_| now.at != before.at && at != Stage::Dock) {
        words.push(format!("to {}", place(to, units)));
    }
    let is_wet = |change: Change| change.wet == Some(true);
    if is_wet(now) != is_wet(before) {
        words.push(if is_wet(now) { "wet" } else { "dry" }.to_owned());
    }
    let left = |change: Change| change.left.unwrap_or(1.0);
    let factor = if is_wet(now) { item.wet_factor } else { 1.0 };
    let mass = measures::mass(item.mass_kg * left(now) * factor, units);
    if left(now) == 0.0 && left(before) != 0.0 {
        words = vec!["used up".to_owned()];
    } else if left(now) != left(before) {
        words.push(format!("{mass} left"));
    } else if is_wet(now) != is_wet(before) {
        words.push(mass);
    }
    (!words.is_empty()).then(|| words.join(", "))
}

/// The height of the gear's centre before and after: whether the weight got low.
pub fn height(stowage: &Stowage, units: Units) -> String {
    let [dock, ..] = &stowage.worked.stages;
    let unit = measures::long_unit(units);
    let height = |height: Length| measures::height(height, units);
    let centre = match (dock.now.centre, dock.planned.centre) {
        (Some(now), Some(planned)) => match (height(now.z), height(planned.z)) {
            (before, after) if before == after => format!("{before} {unit}, no change"),
            (before, after) => format!("{before} to {after} {unit}"),
        },
        (Some(now), None) => format!("{} {unit}, then none aboard", height(now.z)),
        (None, _) => "none aboard".to_owned(),
    };
    format!("Height of gear's centre: {centre}.")
}

/// Every input and formula behind the figures.
pub fn working(stowage: &Stowage, units: Units) -> Vec<Passage> {
    let told = Told { stowage, units };
    let [dock, ..] = &stowage.worked.stages;
    let mut passages = vec![told.boat(), told.state("as it was, dock", &dock.now)];
    for at in &stowage.worked.stages {
        passages.push(told.state(&format!("{}, as planned", stage(at.stage).to_lowercase()), &at.planned));
    }
    passages
}

/// A stowage whose working is told in the units of its book.
struct Told<'a> {
    stowage: &'a Stowage,
    units: Units,
}

impl Told<'_> {
    fn mass(&self, kilograms: f64) -> String {
        measures::mass(kilograms, self.units)
    }

    fn long(&self, length: Length) -> String {
        format!("{} {}", measures::height(length, self.units), measures::long_unit(self.units))
    }

    /// A moment, in kilogram metres, as a mass times a length of the book's.
    fn moment(&self, kg_m: f64) -> String {
        measures::fixed(self.moment_number(kg_m), 1)
    }

    fn moment_number(&self, kg_m: f64) -> f64 {
        let one_metre = measures::in_long(Length::metres(1.0), self.units);
        measures::mass_in(kg_m, self.units) * one_metre
    }

    fn place(&self, place: Position) -> String {
        let [x, y, z] = [place.x, place.y, place.z].map(|part| self.long(part));
        format!("{x} aft, {y} to starboard, {z} up")
    }

    /// The figures of the boat that the book gives.
    fn boat(&self) -> Passage {
        let boat = &self.stowage.boat;
        let mut passage = Passage::new("Stowage, the boat as she floats with every thing where it is now");
        let of = |field: &str| -> Option<(&'static str, String)> {
            Some(match field {
                "displacement" => ("displacement Δ", self.mass(boat.displacement_kg)),
                "centre_of_gravity" => ("centre of gravity G", self.place(boat.centre_of_gravity?)),
                "centre_of_flotation" => {
                    ("centre of flotation x_f", format!("{} aft", self.long(boat.centre_of_flotation?)))
                }
                "gm" => ("GM", self.long(boat.metacentric_height?)),
                "gyradius" => ("radius of gyration k", self.long(boat.gyradius?)),
                "beam" => ("beam", self.long(boat.extent.y.map(|[port, starboard]| starboard - port)?)),
                "moment_to_trim" => ("moment to change trim", self.moment_to_trim(boat.moment_to_trim_kg_m_per_cm?)),
                "mass_to_sink" => ("mass to sink", self.mass_to_sink(boat.mass_to_sink_kg_per_cm?)),
                _ => return None,
            })
        };
        for field in &self.stowage.given {
            if let Some((finds, value)) = of(field.value) {
                passage.input(finds, value, &field.place);
            }
        }
        let axis = self.stowage.worked.pitch_axis;
        let above = format!("{} aft, {} up", self.long(axis.x), self.long(axis.z));
        passage.step("pitch axis x₀, z₀", "G, else the centre of flotation at the waterline", above);
        if let Some(own) = self.stowage.worked.own_inertia_kg_m2 {
            passage.step("the boat's own pitch inertia", "Δ·k²", self.inertia(own));
        }
        passage
    }

    /// Of 1 cm, or of 1 in.
    fn per_trim(&self, for_one_cm: f64) -> f64 {
        for_one_cm * (measures::trim_length(self.units) / Length::cm(1.0))
    }

    fn moment_to_trim(&self, kg_m_per_cm: f64) -> String {
        let per = self.per_trim(self.moment_number(kg_m_per_cm));
        let (mass, long) = (measures::mass_unit(self.units), measures::long_unit(self.units));
        format!("{} {mass}·{long}/{}", measures::fixed(per, 1), measures::trim_unit(self.units))
    }

    fn mass_to_sink(&self, kg_per_cm: f64) -> String {
        format!("{}/{}", self.mass(self.per_trim(kg_per_cm)), measures::trim_unit(self.units))
    }

    fn inertia(&self, kg_m2: f64) -> String {
        let unit = measures::inertia_unit(self.units);
        format!("{} {unit}", measures::fixed(measures::inertia(kg_m2, self.units), 1))
    }

    /// The gear at one stage, thing by thing, and what comes of it.
    fn state(&self, of: &str, state: &State) -> Passage {
        let mut passage = Passage::new(format!("Stowage, {of}"));
        for term in &state.terms {
            let Some(item) = self.stowage.items.get(term.item) else { continue };
            let where_it_is = format!("{} at {}", self.mass(term.mass_kg), self.place(term.place));
            passage.input(item.name.clone(), where_it_is, &item.place);
            passage.step("its pitch inertia", "m·((x − x₀)² + (z − z₀)²)", self.inertia(term.inertia_kg_m2));
        }
        self.sums(&mut passage, state);
        let all: Vec<String> = figures(self.stowage, state, self.units).iter().map(Figure::words).collect();
        passage.step("on the card", "rounded", all.join(", "));
        passage
    }

    fn sums(&self, passage: &mut Passage, state: &State) {
        if let Some(centre) = state.centre {
            passage.step("centre of the gear", "Σ m·(x, y, z) / Σ m", self.place(centre));
        }
        if let Some((trim, to_trim)) = state.trim.zip(self.stowage.boat.moment_to_trim_kg_m_per_cm) {
            let how = format!(
                "change of Σ m·(x − x_f) / moment to change trim = {} / {}",
                self.moment(trim.moment_kg_m),
                measures::fixed(self.per_trim(self.moment_number(to_trim)), 1)
            );
            passage.step("change of trim", how, trim_figure(&trim, self.units).words());
        }
        if let Some((sinkage, to_sink)) = state.sinkage.zip(self.stowage.boat.mass_to_sink_kg_per_cm) {
            let added = measures::fixed(measures::mass_in(sinkage.mass_kg, self.units), 1);
            let how = format!("change of Σ m / mass to sink = {added} / {}", self.mass_to_sink(to_sink));
            passage.step("change of draught", how, sinkage_figure(&sinkage, self.units).words());
        }
        if let Some((list, gm)) = state.list.zip(self.stowage.boat.metacentric_height) {
            self.list(passage, &list, gm);
        }
    }

    fn list(&self, passage: &mut Passage, list: &List, gm: Length) {
        let height = |length: Length| measures::height_fine(length, self.units);
        passage.step("displacement then, Δ′", "Δ + change of Σ m", self.mass(list.displacement_kg));
        let raised = list.rise / Length::metres(1.0) * list.displacement_kg;
        passage.step(
            "rise of G",
            format!("change of Σ m·(z − z_G) / Δ′ = {} / Δ′", self.moment(raised)),
            format!("{} {}", height(list.rise), measures::long_unit(self.units)),
        );
        passage.step(
            "GM then, GM′",
            format!("GM − rise of G = {} − ({})", height(gm), height(list.rise)),
            self.long(list.metacentric_height),
        );
        let how = format!(
            "tan θ = (Δ·y_G + change of Σ m·y) / (Δ′·GM′) = {} / ({} · {})",
            self.moment(list.moment_kg_m),
            print_decimal((measures::mass_in(list.displacement_kg, self.units) * 10.0).round() / 10.0),
            height(list.metacentric_height)
        );
        let value = match list.angle {
            ListAngle::Small { to_starboard_deg } => {
                let side = if to_starboard_deg < 0.0 { "to port" } else { "to starboard" };
                let size = measures::fixed(to_starboard_deg.abs(), 2);
                if size == measures::fixed(0.0, 2) { format!("{size}°") } else { format!("{size}° {side}") }
            }
            ListAngle::PastSmall { .. } => {
                format!("more than {SMALL_LIST_DEG}°: the formula holds for less, so there is no figure")
            }
        };
        passage.step("list θ", how, value);
    }
}
