//! The kind `outboard-lead`: where the gear for reaching with the headsail sheeted outboard goes, what the tweaker does,
//! what everything carries, and in which order it is rigged.

mod layout;

use crate::wrong::Wrong;
use serde::Serialize;

use super::parts::comparing::{Fields, short};
use super::parts::gear;
use super::parts::stamp::settled_mm;
use super::parts::telling::{Said, before_colon, by_lines, taken, texts};
use super::parts::working::Passage;
use super::strip::tape_measure;
use super::{Card, Content, Kind, Label, Stock, Usual};
use crate::book::{Book, OutboardLead, Problem, Section, Table, Units, force};
use crate::drawing::Drawing;
use crate::length::Length;
use crate::rigging::axes::Position;
use crate::rigging::outboard_lead::{Effect, Gear, Part, SheetLoad, Worked};
use crate::size::NamedSize;
use crate::tuning::mark;

pub const KIND: Kind = Kind {
    name: "outboard-lead",
    about: "Sheeting the headsail outboard: places, tweaker, loads, order of rigging",
    made_of: &[Section::OutboardLead],
    from_entry,
    by_default: |book| Usual::of_section("outboard_lead", book.rigging.outboard_lead.as_ref().map(|lead| &lead.place)),
    changes: |old, new| by_lines(old, new, lines),
};

/// An equivalent lead this part of a mark from the car is the car's own.
const SAME_WITHIN_MARKS: f64 = 0.25;
/// The order in which it is rigged, so that the sail always hangs on one sheet that is known to hold.
const STEPS: [&str; 6] = [
    "Both blocks on at the rail, the tweaker long.",
    "Spare sheet forward from an unused winch: outboard block, tweaker block, clew, outside all wires and rigging.",
    "Grind the spare until the usual sheet hangs loose.",
    "The usual sheet stays on the clew: the way home.",
    "Tweaker in mark by mark; it tightens the sheet: ease.",
    "To tack: usual sheet loaded, tweaker long, spare off.",
];
/// Leads are printed to half marks.
const HALVES: f64 = 2.0;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutboardLeadCard {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    #[serde(skip)]
    pub units: Units,
    pub boat: String,
    pub sail: Option<String>,
    /// `STARBOARD`.
    pub side: &'static str,
    pub places: Places,
    /// Heads first.
    pub tweaker: Vec<Vec<String>>,
    /// What the gear carries at most, in sentences.
    pub loads: Vec<String>,
    /// How the loads and the table are meant, in sentences.
    pub facts: Vec<String>,
    /// What is done first, second and so on.
    pub steps: Vec<&'static str>,
    /// Parts that a gust takes to their working load.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub cautions: Vec<String>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// Where things are, millimetres: aft of the stem, to starboard, up from the waterline.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Places {
    pub tack: [f64; 3],
    pub clew: [f64; 3],
    /// Each mark of the track with its place.
    pub track: Vec<(f64, [f64; 3])>,
    pub car: (f64, [f64; 3]),
    pub outboard_block: [f64; 3],
    pub leads_on_to: Option<[f64; 3]>,
    pub pad_eye: [f64; 3],
    /// The tweaker's block at each mark that bears.
    pub tweaker_block: Vec<(f64, [f64; 3])>,
    pub hull_line: Vec<[f64; 2]>,
}

impl Content for OutboardLeadCard {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        layout::outboard_lead(self, label)
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }
}

/// `{kind: outboard-lead, size: A5}`.
fn from_entry(book: &Book, entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let section = ("outboard_lead", "tack, clew, track, car, outboard_block, pad_eye, tweaker");
    gear::from_entry(entry, section, book.rigging.outboard_lead.as_ref(), problems)
        .map(|(lead, id, size)| vec![card(book, lead, id, size)])
        .unwrap_or_default()
}

fn card(book: &Book, lead: &OutboardLead, id: Option<String>, size: Option<NamedSize>) -> Card {
    let content = content(book, lead, size);
    let title = match &lead.sail {
        Some(sail) => format!("Outboard lead, {sail}"),
        None => "Outboard lead".to_owned(),
    };
    Card::new(id.unwrap_or_else(|| KIND.name.to_owned()), KIND.name, title, Stock::Card, lead.place.clone(), content)
}

fn content(book: &Book, lead: &OutboardLead, size: Option<NamedSize>) -> OutboardLeadCard {
    let (gear, worked) = (&lead.gear, &lead.worked);
    let side = if gear.outboard_block.y < Length::ZERO { "PORT" } else { "STARBOARD" };
    OutboardLeadCard {
        size,
        units: book.units,
        boat: book.boat.name.value.clone(),
        sail: lead.sail.clone(),
        side,
        places: places(gear, worked),
        tweaker: tweaker(gear, worked, book.units),
        loads: loads(gear, worked, book.units),
        facts: facts(gear, worked, book.units),
        steps: STEPS.to_vec(),
        cautions: hard_pressed(worked).into_iter().collect(),
        working: working(lead, book.units),
    }
}

fn places(gear: &Gear, worked: &Worked) -> Places {
    /// More ticks than this run into one on a card.
    const MOST_TICKS: usize = 60;
    let xyz = |place: Position| [place.x, place.y, place.z].map(|part| settled_mm(part.to_mm()));
    let (first, last) = (gear.track.first.mark, gear.track.last.mark);
    let ticks = ((last - first).abs().floor() as usize).min(MOST_TICKS);
    let track = (0..=ticks).map(|tick| first + (last - first) * tick as f64 / ticks.max(1) as f64);
    let bears = worked.marks.iter().filter_map(|marked| Some((marked.mark, xyz(marked.bears?.block))));
    let hull = gear.hull_line.iter().flat_map(|hull| &hull.points);
    let hull: Vec<[f64; 2]> = hull.map(|(x, out)| [settled_mm(x.to_mm()), settled_mm(out.to_mm())]).collect();
    let places = Places {
        tack: xyz(gear.tack),
        clew: xyz(gear.clew),
        track: track.map(|mark| (mark, xyz(gear.track.at(mark)))).collect(),
        car: (gear.car, xyz(worked.car)),
        outboard_block: xyz(gear.outboard_block),
        leads_on_to: gear.leads_on_to.map(xyz),
        pad_eye: xyz(gear.pad_eye),
        tweaker_block: bears.collect(),
        hull_line: Vec::new(),
    };
    Places { hull_line: places.shown_of(&hull), ..places }
}

impl Places {
    /// What of the hull line lies beside the gear, with the ends of what begins or ends there.
    fn shown_of(&self, hull: &[[f64; 2]]) -> Vec<[f64; 2]> {
        let gear = [self.clew, self.car.1, self.outboard_block, self.pad_eye].into_iter().chain(self.leads_on_to);
        let along = self.track.iter().chain(&self.tweaker_block).map(|(_, place)| *place);
        let x: Vec<f64> = gear.chain(along).map(|place| place[0]).collect();
        let from = x.iter().copied().fold(f64::INFINITY, f64::min) - layout::MARGIN_MM;
        let to = x.iter().copied().fold(f64::NEG_INFINITY, f64::max) + layout::MARGIN_MM;
        let is_beside = |ends: &[[f64; 2]]| ends[0][0] < to && ends[1][0] > from;
        let mut shown: Vec<[f64; 2]> = Vec::new();
        for ends in hull.windows(2).filter(|ends| is_beside(ends)) {
            let new = ends.iter().filter(|end| shown.last() != Some(end));
            let new: Vec<[f64; 2]> = new.copied().collect();
            shown.extend(new);
        }
        shown
    }
}

/// The room between two marks of the track.
fn one_mark(gear: &Gear) -> Length {
    let marks = (gear.track.last.mark - gear.track.first.mark).abs();
    gear.track.first.place.distance_to(gear.track.last.place) / marks
}

fn tweaker(gear: &Gear, worked: &Worked, units: Units) -> Vec<Vec<String>> {
    let same_within = one_mark(gear) * SAME_WITHIN_MARKS;
    let heads = ["TWEAKER", "LENGTH", "LIKE", "LEECH", "FOOT", "PULL"].map(str::to_owned).to_vec();
    let rows = worked.marks.iter().map(|marked| {
        let like = match &marked.bears {
            Some(bears) => bears.pulls_like,
            None => worked.outboard_pulls_like,
        };
        let (lead, leech, foot) = match like {
            Some(like) => {
                let (leech, foot) = match like.effect(same_within) {
                    Effect::LeechTighter => ("TIGHTER", "EASED"),
                    Effect::FootTighter => ("EASED", "TIGHTER"),
                    Effect::Same => ("same", "same"),
                };
                let half = mark::print((like.mark * HALVES).round() / HALVES);
                let lead = if like.on_track { format!("lead {half}") } else { format!("lead ({half})") };
                (lead, leech, foot)
            }
            None => ("no lead".to_owned(), "–", "–"),
        };
        let pull = marked.bears.map_or_else(
            || "slack".to_owned(),
            |bears| match gear.sheet_load {
                SheetLoad::Kilonewton(_) => force::load_in_brief(bears.tweaker_kilonewton, units),
                SheetLoad::PerHundredKilograms => force(bears.tweaker_kilonewton, gear, units),
            },
        );
        vec![
            mark::print(marked.mark),
            tape_measure(marked.length, units),
            lead,
            leech.to_owned(),
            foot.to_owned(),
            pull,
        ]
    });
    std::iter::once(heads).chain(rows).collect()
}

/// A load in the units that gear is bought by; for a sheet of unknown load, in parts of a hundred.
fn force(kilonewton: f64, gear: &Gear, units: Units) -> String {
    match gear.sheet_load {
        SheetLoad::Kilonewton(_) => force::load(kilonewton, units),
        SheetLoad::PerHundredKilograms => {
            const HUNDRED: f64 = 100.0;
            let parts = (kilonewton / gear.sheet_load.kilonewton() * HUNDRED).ceil();
            format!("{parts:.0} {}", force::small_unit(units))
        }
    }
}

/// What the gear carries at most.
fn loads(gear: &Gear, worked: &Worked, units: Units) -> Vec<String> {
    let load = match gear.sheet_load {
        SheetLoad::Kilonewton(load) => format!("Sheet {}", force::load(load, units)),
        SheetLoad::PerHundredKilograms => format!("For each 100 {} on the sheet", force::small_unit(units)),
    };
    let mut loads = Vec::new();
    let most = worked.marks.iter().max_by(|a, b| a.outboard_block.kilonewton.total_cmp(&b.outboard_block.kilonewton));
    if let Some(most) = most {
        let taken = if most.outboard_block.between_parts_deg.is_none() { ", the most it can be" } else { "" };
        let block = force(most.outboard_block.kilonewton, gear, units);
        loads.push(format!("{load}: outboard block to {block}{taken}."));
    }
    let hardest = worked.marks.iter().filter_map(|marked| Some((marked.mark, marked.bears?)));
    if let Some((at, bears)) = hardest.max_by(|a, b| a.1.tweaker_kilonewton.total_cmp(&b.1.tweaker_kilonewton)) {
        let pull = force(bears.tweaker_kilonewton, gear, units);
        loads.push(format!("Tweaker {}: its block and eye to {pull}.", mark::print(at)));
    }
    loads
}

/// A direction as a hand would give it: `aft, a third inboard, steeply up`.
fn by_hand(relative_bearing_deg: f64, above_horizontal_deg: f64, is_port: bool) -> String {
    /// Less of one way than this part of the other is not worth a word.
    const LEAST_PART: f64 = 0.12;
    /// Up to which part of the larger each word holds.
    const PARTS: [(f64, &str); 5] =
        [(0.29, "a quarter"), (0.42, "a third"), (0.58, "half"), (0.8, "two thirds"), (1.01, "as much")];
    /// Steeper than this, degrees, is more up than along; less than this is level.
    const STEEP: f64 = 45.0;
    const LEVEL: f64 = 10.0;
    let (starboard, forward) = relative_bearing_deg.to_radians().sin_cos();
    let outward = if is_port { -starboard } else { starboard };
    let fore_and_aft = (forward.abs(), if forward > 0.0 { "forward" } else { "aft" });
    let across = (outward.abs(), if outward > 0.0 { "outboard" } else { "inboard" });
    let (more, less) = if fore_and_aft.0 >= across.0 { (fore_and_aft, across) } else { (across, fore_and_aft) };
    let share = less.0 / more.0;
    let part = PARTS.iter().find(|(most, _)| share <= *most).map_or("as much", |(_, words)| words);
    let part = if share < LEAST_PART { String::new() } else { format!(", {part} {}", less.1) };
    let up = match above_horizontal_deg {
        up if up > STEEP => ", steeply up",
        up if up > LEVEL => ", upward",
        up if up > -LEVEL => "",
        _ => ", downward",
    };
    format!("{}{part}{up}", more.1)
}

fn facts(gear: &Gear, worked: &Worked, units: Units) -> Vec<String> {
    let mut facts =
        vec![format!("EASED and TIGHTER: against the usual lead with its car at mark {}.", mark::print(gear.car))];
    facts.push("Loads: steady pull; a gust or a flogging sail pulls several times more.".to_owned());
    let hardest = worked.marks.iter().filter_map(|marked| marked.bears);
    if let Some(bears) = hardest.max_by(|a, b| a.tweaker_kilonewton.total_cmp(&b.tweaker_kilonewton)) {
        let pull = bears.pull_on_eye;
        let is_port = gear.outboard_block.y < Length::ZERO;
        let way = by_hand(pull.relative_bearing_deg, pull.above_horizontal_deg, is_port);
        facts.push(format!("The pad eye is pulled {way}."));
    }
    if let Some(outside) = worked.marks.iter().filter_map(|marked| marked.bears?.outside_hull).reduce(Length::max)
        && outside > Length::ZERO
    {
        facts.push(format!(
            "The tweaker block rides up to {} outside the hull line: check the rules in force.",
            tape_measure(outside, units)
        ));
    }
    facts.extend(load_by_working_load(worked));
    let likes =
        worked.marks.iter().map(|marked| marked.bears.map_or(worked.outboard_pulls_like, |bears| bears.pulls_like));
    if likes.flatten().any(|like| !like.on_track) {
        facts.push("Leads in brackets: beyond the track.".to_owned());
    }
    facts.push("Reckoned with the clew held fixed, without friction: the real clew gives a little.".to_owned());
    facts
}

/// How near the steady loads come to what the makers allow.
fn load_by_working_load(worked: &Worked) -> Option<String> {
    let hardest = worked.hardest();
    let ratios: Vec<String> =
        hardest.iter().map(|(_, hardest)| format!("{} {:.2}", part_name(hardest.part), hardest.ratio)).collect();
    (!ratios.is_empty()).then(|| format!("Load by working load: {}.", ratios.join(", ")))
}

/// The parts that an ordinary gust takes to their working load.
fn hard_pressed(worked: &Worked) -> Option<String> {
    let hardest = worked.hardest();
    let pressed: Vec<&str> = hardest
        .iter()
        .filter(|(_, hardest)| hardest.is_hard_pressed())
        .map(|(_, hardest)| part_name(hardest.part))
        .collect();
    (!pressed.is_empty()).then(|| {
        format!(
            "Too near the working load: {}. From half of it on, a gust of 1.4 times the wind reaches it: fit stronger gear.",
            pressed.join(", ")
        )
    })
}

fn part_name(part: Part) -> &'static str {
    match part {
        Part::Sheet => "sheet",
        Part::OutboardBlock => "outboard block",
        Part::TweakerBlock => "tweaker block",
        Part::Tweaker => "tweaker",
        Part::PadEye => "pad eye",
    }
}

fn working(lead: &OutboardLead, units: Units) -> Vec<Passage> {
    let (gear, worked) = (&lead.gear, &lead.worked);
    let at = |place: Position| {
        let [x, y, z] = [place.x, place.y, place.z].map(|part| tape_measure(part, units));
        format!("{x} aft, {y} to starboard, {z} up")
    };
    let mut places = Passage::new("Outboard lead: the gear");
    for (name, place) in
        [("tack", gear.tack), ("clew", gear.clew), ("outboard block", gear.outboard_block), ("pad eye", gear.pad_eye)]
    {
        places.input(name, at(place), &lead.place);
    }
    places.step(
        format!("car at mark {}", mark::print(gear.car)),
        "along the track, evenly between its ends",
        at(worked.car),
    );
    for (name, angle) in [
        ("clew angle", worked.clew_angle_deg),
        ("inboard lead angle", worked.inboard.lead_angle_deg),
        ("outboard lead angle", worked.outboard.lead_angle_deg),
    ] {
        places.step(name, "at the tack, in plan: atan(Δy/Δx)", format!("{angle:.2}°"));
    }
    for (name, lead) in [("inboard", &worked.inboard), ("outboard, tweaker slack", &worked.outboard)] {
        let way = if lead.sheet_outward_deg < 0.0 { "inward" } else { "outward" };
        let value = format!("{:.0}° {way}, {:.0}° down", lead.sheet_outward_deg.abs(), lead.sheet_down_deg);
        places.step(format!("sheet from the clew, {name}"), "from the clew to its first block", value);
    }
    places.step(
        "tweaker slack from",
        "least distance from its eye to the straight sheet",
        tape_measure(worked.slack_from, units),
    );
    let mut passages = vec![places];
    for marked in &worked.marks {
        let mut passage = Passage::new(format!("Outboard lead: tweaker {}", mark::print(marked.mark)));
        passage.input("eye to block, ℓ", tape_measure(marked.length, units), &lead.place);
        match &marked.bears {
            None => passage.step("block", "the straight sheet passes within ℓ of the eye", "slack"),
            Some(bears) => {
                passage.step(
                    "block B",
                    "least |CB| + |BS| on |BP| = ℓ: the tweaker bisects the sheet",
                    at(bears.block),
                );
                passage.step(
                    "angle between the parts, φ",
                    "at B, from C to S",
                    format!("{:.2}°", bears.between_parts_deg),
                );
                passage.step("load factor", "2·cos(φ/2)", format!("{:.3}", bears.load_factor));
                let eye = bears.pull_on_eye;
                let way = format!("{:.0}° off the bow, {:.0}° up", eye.relative_bearing_deg, eye.above_horizontal_deg);
                passage.step("the eye is pulled toward", "from the eye to B; clockwise", way);
                let pull = force::exact(bears.tweaker_kilonewton, units);
                passage.step(
                    "pull of the tweaker",
                    format!("factor × {} of sheet", force::exact(worked.sheet_kilonewton, units)),
                    pull,
                );
                if let Some(like) = bears.pulls_like {
                    let how = "where the line from C through B, seen from the side, meets the track";
                    passage.step("pulls like lead", how, format!("{:.2}", like.mark));
                }
            }
        }
        for ratio in &marked.ratios {
            let value = format!("{:.3}", ratio.ratio);
            let [load, allowed] = [ratio.kilonewton, ratio.working_kilonewton].map(|load| force::exact(load, units));
            let how = format!("{load} / {allowed}");
            passage.step(format!("{}, load by working load", part_name(ratio.part)), how, value);
        }
        passages.push(passage);
    }
    passages
}

/// `tweaker mark 2: …`; places are a picture.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    let mut rows = taken(content, "tweaker").into_iter();
    let heads: Vec<String> =
        rows.next().as_ref().and_then(serde_json::Value::as_array).into_iter().flatten().map(short).collect();
    for row in rows {
        let cells: Vec<String> = row.as_array().into_iter().flatten().map(short).collect();
        let Some((mark, cells)) = cells.split_first() else { continue };
        for (head, cell) in heads.iter().skip(1).zip(cells) {
            lines.push(Said::one(format!("tweaker {mark}, {head}"), cell.clone()));
        }
    }
    lines.extend(texts(content, "steps").into_iter().map(|words| Said::among("step", words)));
    lines.extend(texts(content, "loads").iter().map(|words| before_colon(words)));
    lines.extend(texts(content, "facts").iter().map(|words| before_colon(words)));
    if let Some(serde_json::Value::Object(places)) = content.shift_remove("places") {
        for (place, at) in places {
            let about = format!("the place of the {}", place.replace('_', " "));
            lines.push(Said::Drawn { about, says: at.to_string() });
        }
    }
}
