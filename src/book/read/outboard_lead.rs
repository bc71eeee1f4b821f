//! The section `outboard_lead`: where the gear for sheeting outboard stands and what it may carry.

use crate::wrong::Wrong;
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

use super::places;
use super::ram::kilonewton;
use crate::book::force;
use crate::book::model::{LengthUnit, OutboardLead, Units};
use crate::book::problem::{Place, Problem};
use crate::book::quantity;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words;
use crate::length::Length;
use crate::limits;
use crate::rigging::outboard_lead::{
    Fixed, Gear, HARD_PRESSED_FROM, HullLine, Impossible, LoadRatio, Numbers, Part, SheetLoad, Track, TrackMark,
    TweakerMark, WorkingLoads, work_out,
};
use crate::tuning::mark;

const MARK: RangeInclusive<f64> = 0.0..=limits::MAX_MARK_NUMBER as f64;
const TRACK_EXAMPLE: &str = "track: {0: [6.0 m, 0.9 m, 1.1 m], 12: [7.2 m, 1.0 m, 1.1 m]}";

pub fn outboard_lead(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<OutboardLead> {
    const WHAT: &str = "the outboard lead";
    let before = problems.len();
    let mut fields = Table::open(node, WHAT, problems)?;
    fields.place = super::start_of(node);
    let mut at: BTreeMap<&'static str, Place> = BTreeMap::new();
    let sail = fields.take("sail").and_then(|node| words::words(node, "the sail of the outboard lead", problems));
    let mut place = |fields: &mut Table<'_>, field: &'static str, name: &str, problems: &mut Vec<Problem>| {
        let node = fields.need(field, &format!("{field}: {}", places::EXAMPLE), problems)?;
        at.insert(field, node.place.clone());
        places::position(node, name, units, problems)
    };
    let tack = place(&mut fields, "tack", "the tack", problems);
    let clew = place(&mut fields, "clew", "the clew", problems);
    let outboard_block = place(&mut fields, "outboard_block", "the outboard block", problems);
    let pad_eye = place(&mut fields, "pad_eye", "the pad eye", problems);
    let leads_on_to = if fields.has("leads_on_to") {
        place(&mut fields, "leads_on_to", "what the sheet leads on to", problems)
    } else {
        fields.take("leads_on_to");
        None
    };
    let [track, car, tweaker] =
        [("track", TRACK_EXAMPLE), ("car", "car: 10"), ("tweaker", "tweaker: {0: 1200 mm, 4: 700 mm}")].map(
            |(field, example)| {
                let node = fields.need(field, example, problems)?;
                at.insert(field, node.place.clone());
                Some(node)
            },
        );
    let track = track.and_then(|node| self::track(node, units, problems));
    let car = car.and_then(|node| quantity::plain_number(node, "the mark of the car", &MARK, problems));
    let tweaker = tweaker.map(|node| self::tweaker(node, units, problems));
    let sheet_load = fields.take("sheet_load").map(|node| {
        at.insert("sheet_load", node.place.clone());
        kilonewton(node, "the load of the sheet", units, problems)
    });
    let working_loads = fields.take("working_loads").map(|node| {
        at.insert("working_loads", node.place.clone());
        working_loads(node, units, &mut at, problems)
    });
    let hull_line = fields.take("hull_line").map(|node| {
        at.insert("hull_line", node.place.clone());
        hull_line(node, units, problems)
    });
    fields.finish(problems);
    let (tweaker, tweaker_places) = tweaker.unwrap_or_default();
    let (tack, clew, outboard_block, pad_eye) = (tack?, clew?, outboard_block?, pad_eye?);
    let (track, car) = (track?, car?);
    if problems.len() > before {
        return None;
    }
    let gear = Gear {
        tack,
        clew,
        track,
        car,
        outboard_block,
        leads_on_to,
        pad_eye,
        tweaker,
        sheet_load: match sheet_load.flatten() {
            Some(load) => SheetLoad::Kilonewton(load),
            None => SheetLoad::PerHundredKilograms,
        },
        working_loads: working_loads.unwrap_or_default(),
        hull_line: hull_line.flatten(),
    };
    match work_out(&gear) {
        Ok(worked) => {
            problems.extend(worked.hardest().iter().filter(|(_, ratio)| ratio.is_hard_pressed()).map(
                |(mark, ratio)| {
                    let wrong = hard_pressed(*mark, ratio, *units).about(WHAT);
                    let place = at.get(part(ratio.part).1).unwrap_or(&node.place);
                    Problem::warning(place.clone(), wrong.what, wrong.instead)
                },
            ));
            Some(OutboardLead { sail: sail.map(|sail| sail.value), gear, worked, place: node.place.clone() })
        }
        Err(faults) => {
            let whole = super::start_of(node);
            for fault in faults {
                let (field, wrong) = wording(&fault, *units);
                let of_mark = mark_of(&fault).and_then(|mark| tweaker_places.iter().find(|(at, _)| *at == mark));
                let place = of_mark.map(|(_, place)| place).or_else(|| at.get(field)).unwrap_or(&whole);
                problems.push(wrong.about(WHAT).at(place));
            }
            None
        }
    }
}

fn track(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<Track> {
    let entries = node.entries("the track", problems)?;
    let mut ends = Vec::new();
    for (key, value) in entries {
        let mark = quantity::plain_number(key, "a mark of the track", &MARK, problems);
        let at = mark.map_or_else(String::new, |mark| format!(" at mark {}", mark::print(mark)));
        let place = places::position(value, &format!("the track{at}"), units, problems);
        ends.push(mark.zip(place).map(|(mark, place)| TrackMark { mark, place }));
    }
    match ends.as_slice() {
        [first, last] => Some(Track { first: (*first)?, last: (*last)? }),
        _ => {
            let what = format!("the track has {} marks with places; its first and its last are wanted", ends.len());
            problems.push(Problem::error(node.place.clone(), what, format!("write it like `{TRACK_EXAMPLE}`")));
            None
        }
    }
}

type Tweaker = (Vec<TweakerMark>, Vec<(f64, Place)>);

fn tweaker(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Tweaker {
    let mut found = Tweaker::default();
    for (key, value) in
        node.some_entries("the tweaker", 0..=limits::MAX_ROWS, "{0: 1.2 m}", problems).unwrap_or_default()
    {
        let Some(mark) = quantity::plain_number(key, "a mark of the tweaker", &MARK, problems) else { continue };
        let what = format!("the tweaker's length at mark {}", mark::print(mark));
        let Some(length) = quantity::length(value, units, &what, &limits::TWEAKER, problems) else { continue };
        found.0.push(TweakerMark { mark, length });
        found.1.push((mark, value.place.clone()));
    }
    found
}

fn working_loads(
    node: &Node,
    units: &Units,
    at: &mut BTreeMap<&'static str, Place>,
    problems: &mut Vec<Problem>,
) -> WorkingLoads {
    let Some(mut fields) = Table::open(node, "the working loads", problems) else { return WorkingLoads::default() };
    let mut load = |of: Part, field: &'static str, problems: &mut Vec<Problem>| {
        let node = fields.take(field)?;
        let (name, key) = part(of);
        at.insert(key, node.place.clone());
        kilonewton(node, &format!("the working load of the {name}"), units, problems)
    };
    let loads = WorkingLoads {
        sheet_kilonewton: load(Part::Sheet, "sheet", problems),
        outboard_block_kilonewton: load(Part::OutboardBlock, "outboard_block", problems),
        tweaker_block_kilonewton: load(Part::TweakerBlock, "tweaker_block", problems),
        tweaker_kilonewton: load(Part::Tweaker, "tweaker", problems),
        pad_eye_kilonewton: load(Part::PadEye, "pad_eye", problems),
    };
    fields.finish(problems);
    loads
}

/// `[[0 m, 0 m], [2 m, 0.9 m]]`: aft of the stem, out from the centreline.
fn hull_line(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<HullLine> {
    const EXAMPLE: &str = "hull_line: [[0 m, 0 m], [3 m, 1.1 m], [11 m, 1.4 m]]";
    let mut points = Vec::new();
    for item in node.some_items("the hull line", 2..=limits::MAX_ROWS, EXAMPLE, problems)? {
        let pair = item.some_items("a point of the hull line", 2..=2, "[3 m, 1.1 m]", problems).unwrap_or_default();
        let read: Vec<Option<Length>> = pair
            .iter()
            .map(|item| quantity::length(item, units, "a point of the hull line", &limits::ABOARD, problems))
            .collect();
        if let [Some(x), Some(out)] = read.as_slice() {
            points.push((*x, *out));
        }
    }
    Some(HullLine { points })
}

fn mark_of(fault: &Impossible) -> Option<f64> {
    match fault {
        Impossible::TweakerLength { mark, .. } | Impossible::BlockPastTheClew { mark, .. } => Some(*mark),
        _ => None,
    }
}

/// What the gear is called, and the field it stands under.
fn gear(fixed: Fixed) -> (&'static str, &'static str) {
    match fixed {
        Fixed::TrackFirst => ("the first mark of the track", "track"),
        Fixed::TrackLast => ("the last mark of the track", "track"),
        Fixed::OutboardBlock => ("the outboard block", "outboard_block"),
        Fixed::LeadsOnTo => ("what the sheet leads on to", "leads_on_to"),
        Fixed::PadEye => ("the pad eye", "pad_eye"),
    }
}

/// What a part is called, and what its working load is noted under: the gear itself has the plain name.
pub fn part(part: Part) -> (&'static str, &'static str) {
    match part {
        Part::Sheet => ("sheet", "load of sheet"),
        Part::OutboardBlock => ("outboard block", "load of outboard block"),
        Part::TweakerBlock => ("tweaker block", "load of tweaker block"),
        Part::Tweaker => ("tweaker", "load of tweaker"),
        Part::PadEye => ("pad eye", "load of pad eye"),
    }
}

/// What a crew should know of a part that its maker would still allow.
fn hard_pressed(mark: f64, ratio: &LoadRatio, units: Units) -> Wrong {
    let (name, _) = part(ratio.part);
    let at = match ratio.part {
        Part::Sheet => String::new(),
        _ => format!("at tweaker {} ", mark::print(mark)),
    };
    Wrong::new(
        format!(
            "{at}the {name} carries {}, {:.2} of its working load, by a steady pull alone",
            force::load(ratio.kilonewton, units),
            ratio.ratio
        ),
        format!(
            "fit gear of {} or more, or sail with less: a gust of 1.4 times the wind pulls twice as hard, a flogging sail harder",
            force::load(ratio.kilonewton / HARD_PRESSED_FROM, units)
        ),
    )
}

/// The field to point at, and the words.
fn wording(fault: &Impossible, units: Units) -> (&'static str, Wrong) {
    const MEASURE: &str = "measure the place again: aft of the stem, to starboard, up from the waterline";
    let tape = |length: Length| match units.length {
        LengthUnit::Inch | LengthUnit::Foot => format!("{:.1} in", length / Length::inches(1.0)),
        LengthUnit::Millimetre | LengthUnit::Centimetre | LengthUnit::Metre => format!("{:.0} mm", length.to_mm()),
    };
    match *fault {
        Impossible::NotANumber { what } => {
            let field = match what {
                Numbers::Tack => "tack",
                Numbers::Clew => "clew",
                Numbers::Fixed(fixed) => gear(fixed).1,
                Numbers::Car => "car",
                Numbers::TrackMarks => "track",
                Numbers::TweakerMark { .. } => "tweaker",
            };
            (field, Wrong::new("this is not a number", MEASURE))
        }
        Impossible::ClewAheadOfTack => ("clew", Wrong::new("the clew is not aft of the tack", MEASURE)),
        Impossible::ClewNotAbove { gear: fixed, clew, height } => {
            let (name, _) = gear(fixed);
            let what = format!("the clew, at {}, is not above {name}, at {}", tape(clew), tape(height));
            ("clew", Wrong::new(what, "give the height of the clew under load, up from the waterline"))
        }
        Impossible::AheadOfTack { gear: fixed } => {
            let (name, field) = gear(fixed);
            (field, Wrong::new(format!("{name} is not aft of the tack"), MEASURE))
        }
        Impossible::OutboardBlockAheadOfClew { block, clew } => {
            let what = format!(
                "the outboard block, {} aft of the stem, is not aft of the clew, at {}",
                tape(block),
                tape(clew)
            );
            ("outboard_block", Wrong::new(what, "the sheet leads aft from the clew: check both places"))
        }
        Impossible::OtherSide { gear: fixed } => {
            let (name, field) = gear(fixed);
            let what = format!("{name} is on the other side of the boat from the outboard block");
            (field, Wrong::new(what, "to starboard is above 0, to port below"))
        }
        Impossible::TrackMarks => ("track", Wrong::new("both ends of the track have the same mark", MEASURE)),
        Impossible::TrackAthwart => (
            "track",
            Wrong::new("both ends of the track are as far aft as each other", "give its forward and its after end"),
        ),
        Impossible::CarOffTrack { car } => {
            let what = format!("the track has no mark {}", mark::print(car));
            ("car", Wrong::new(what, "give a mark between the first and the last of the track"))
        }
        Impossible::SheetLeadsNowhere => {
            let what = "the sheet leads on to the outboard block itself";
            ("leads_on_to", Wrong::new(what, "give the place of the winch or of the next block, or leave it out"))
        }
        Impossible::OutsideHull { gear: fixed, by } => {
            let (name, field) = gear(fixed);
            let what = match by {
                Some(by) => format!("{name} is {} outside the hull line", tape(by)),
                None => format!("{name} is ahead of the hull line's first point or abaft its last"),
            };
            (field, Wrong::new(what, "bring it inboard, or correct `hull_line`: rules limit where sheets may lead"))
        }
        Impossible::HullLine { point } => {
            let what =
                format!("point {} of the hull line is not further aft than the one before, or not outboard", point + 1);
            ("hull_line", Wrong::new(what, "write its points from forward aft, out from the centreline"))
        }
        Impossible::NoTweakerMark => {
            ("tweaker", Wrong::new("the tweaker has no mark", "write `tweaker: {0: 1200 mm, 4: 700 mm}`"))
        }
        Impossible::TweakerLength { mark, .. } => {
            let what = format!("the tweaker has no length at mark {}", mark::print(mark));
            ("tweaker", Wrong::new(what, "measure from its eye to its block"))
        }
        Impossible::SlackAtEveryMark { slack_from } => {
            let what = format!(
                "the tweaker is slack at every mark: the straight sheet passes {} from its eye",
                tape(slack_from)
            );
            ("tweaker", Wrong::new(what, "give a mark at which it is shorter than that"))
        }
        Impossible::BlockPastTheClew { mark, .. } => {
            let what = format!("at mark {} the tweaker would pull its block past the clew", mark::print(mark));
            (
                "tweaker",
                Wrong::new(what, "a tweaker this short cannot be hauled in: leave the mark out, or check the eye"),
            )
        }
        Impossible::PadEyeInLine => {
            let what = "the pad eye lies in one line with the sheet: the tweaker would pull along it";
            ("pad_eye", Wrong::new(what, MEASURE))
        }
        Impossible::SheetLoad { .. } => {
            ("sheet_load", Wrong::new("the load of the sheet is no load", "write it like `sheet_load: 3 kN`"))
        }
        Impossible::WorkingLoad { part: of, .. } => {
            let (name, field) = part(of);
            (field, Wrong::new(format!("the working load of the {name} is no load"), "take it from the maker"))
        }
        Impossible::NoLoadToCompare => {
            let what = "there are working loads, but no load of the sheet to hold against them";
            ("working_loads", Wrong::new(what, "add `sheet_load: 3 kN`, measured or from your sailmaker"))
        }
        Impossible::Overload { mark, ratio } => {
            let (name, field) = part(ratio.part);
            let what = format!(
                "at tweaker {} the {name} carries {}, more than its working load of {}",
                mark::print(mark),
                force::load(ratio.kilonewton, units),
                force::allowed(ratio.working_kilonewton, units)
            );
            (
                field,
                Wrong::new(what, "fit a stronger one, or leave that mark out; no card is printed of it. Ask a rigger"),
            )
        }
        Impossible::TooLarge => ("clew", Wrong::new("the numbers are too large to work with", MEASURE)),
    }
}
