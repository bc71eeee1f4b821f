//! The section `lacing`: the rail of each side and how the bow lacing is to be rigged on it.

use crate::book::model::{Boat, Lacing, LacingSide, LengthUnit, Units};
use crate::book::problem::{Place, Problem};
use crate::book::quantity;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words;
use crate::length::Length;
use crate::limits;
use crate::rigging::lacing::{
    Crests, Figure, Foot, Hitch, Hull, Impossible, MOST_WIRES, Pattern, Rail, Rig, SMALL_HULL, USUAL_SPACING,
    faults_of_rail, work_out,
};
use crate::tuning::{mark, tolerance};
use crate::wrong::Wrong;

const USUAL_LINE: Length = Length::mm(4.0);
const USUAL_WIRE: Length = Length::mm(5.0);
const USUAL_ALLOWANCE: f64 = 0.05;
/// A tail, and what a cut is rounded up to.
const USUAL_IN_METRES: [Length; 2] = [Length::mm(300.0), Length::mm(100.0)];
/// The same in a book of inches or feet, so that pieces come out in whole inches.
const USUAL_IN_FEET: [Length; 2] = [Length::inches(12.0), Length::inches(4.0)];
const WHAT: &str = "the lacing";
const RAIL: &str = "both: {posts: [0 m, 1.5 m, 3.2 m], wires: [300 mm, 610 mm]}";

pub fn lacing(node: &Node, boat: Option<&Boat>, units: &Units, problems: &mut Vec<Problem>) -> Option<Lacing> {
    let before = problems.len();
    let hull =
        Hull { length: boat.and_then(|boat| boat.hull.or(boat.length)), launched: boat.and_then(|boat| boat.launched) };
    let [usual_tail, usual_cut] = if measures_feet(units) { USUAL_IN_FEET } else { USUAL_IN_METRES };
    let mut fields = Table::open(node, WHAT, problems)?;
    fields.place = super::start_of(node);
    let mut rails = Vec::new();
    if !["both", "port", "starboard"].iter().any(|field| fields.has(field)) {
        problems.push(Problem::error(super::start_of(node), "the lacing has no rail", format!("write `{RAIL}`")));
    }
    for (field, side) in [("both", ""), ("port", "PORT"), ("starboard", "STARBOARD")] {
        let Some(node) = fields.take(field) else { continue };
        rails.extend(rail(node, field, &hull, units, problems).map(|(rail, places)| (side, rail, places)));
        if field == "both" && (fields.has("port") || fields.has("starboard")) {
            let what = "the lacing has `both` and a side of its own";
            problems.push(Problem::error(node.place.clone(), what, "write `both`, or `port` and `starboard`"));
        }
    }
    let patterns = [("vee", Pattern::Vee), ("uprights", Pattern::Uprights)];
    let pattern = fields
        .need("pattern", "pattern: vee", problems)
        .and_then(|node| words::choice(node, "the pattern of the lacing", &patterns, problems));
    // Eyes that are there need no spacing, though they may be held against one.
    let spacing_node = match !rails.is_empty() && rails.iter().all(|(_, rail, _)| !rail.eyes.is_empty()) {
        true => fields.take("spacing"),
        false => fields.need("spacing", "spacing: 350 mm", problems),
    };
    let spacing = spacing_node
        .and_then(|node| quantity::length(node, units, "the spacing of the lacing", &limits::LACING_SPACING, problems));
    let mut length = |field, within, problems: &mut Vec<Problem>| {
        let node = fields.take(field)?;
        quantity::length(node, units, &format!("`{field}` of the lacing"), within, problems)
    };
    let line = length("line", &limits::LACING_THICKNESS, problems).unwrap_or(USUAL_LINE);
    let wire = length("wire", &limits::LACING_THICKNESS, problems).unwrap_or(USUAL_WIRE);
    let tail = length("tail", &limits::LACING_SHORT, problems).unwrap_or(usual_tail);
    let cut_to = length("cut_to", &limits::LACING_PIECE, problems).unwrap_or(usual_cut);
    let hitch_takes = length("hitch_takes", &limits::HITCH_LENGTH, problems);
    let allowance = fields.take("allowance").and_then(|node| {
        quantity::plain_number(node, "`allowance` of the lacing", &limits::CUTTING_ALLOWANCE, problems)
    });
    let foot = fields.need("foot", "foot: {eyes: 6 mm}", problems).and_then(|node| foot(node, units, problems));
    let hitch = match fields.take("hitch") {
        Some(node) if words::text_of(node) == Some("half hitch") => Hitch::HalfHitch,
        Some(node) => {
            quantity::plain_number(node, "the hitch, `half hitch` or its turns", &limits::HITCH_TURNS, problems)
                .map_or(Hitch::HalfHitch, Hitch::Turns)
        }
        None => Hitch::HalfHitch,
    };
    let crests = [("hitched", Crests::Hitched), ("over", Crests::Over)];
    let crests = fields
        .take("crests")
        .and_then(|node| words::choice(node, "the crests of the lacing", &crests, problems))
        .unwrap_or(Crests::Hitched);
    let spares = fields.take("spares").and_then(|node| {
        let count = words::whole_number(node, "the number of spares", "1", problems)?;
        let fits = (0..=limits::MAX_SPARES).contains(&count);
        if !fits {
            let instead = format!("write a number from 0 to {}", limits::MAX_SPARES);
            problems.push(Problem::error(node.place.clone(), format!("{count} spares are out of reason"), instead));
        }
        fits.then_some(count as usize)
    });
    fields.finish(problems);
    if problems.len() > before {
        // Where the line is not known its rail can be looked at all the same.
        for (_, rail, places) in &rails {
            let faults = faults_of_rail(rail);
            problems.extend(faults.iter().map(|fault| said(fault, &places.rail, places)));
        }
        return None;
    }
    let (pattern, foot) = (pattern?, foot?);
    let eyes_at = |places: &RailPlaces| places.eyes.first().cloned();
    if let (Foot::Line { .. }, Some(place)) = (foot, rails.iter().find_map(|(_, _, places)| eyes_at(places))) {
        let instead = "write `foot: {eyes: 6 mm}`, or leave the rail's `eyes` out";
        problems.push(Problem::error(place, "the rail has eyes, and the foot of the lacing is a line", instead));
        return None;
    }
    let places = spacing_node.map(|node| node.place.clone());
    let place = places.or_else(|| rails.iter().find_map(|(_, _, places)| eyes_at(places)))?;
    let spacing =
        spacing.or_else(|| rails.iter().filter_map(|(_, rail, _)| widest_of(&rail.eyes)).reduce(Length::max))?;
    let rig = Rig {
        pattern,
        spacing,
        line_diameter: line,
        wire_diameter: wire,
        foot,
        hitch,
        crests,
        hitch_takes,
        tail,
        allowance: allowance.unwrap_or(USUAL_ALLOWANCE),
        cut_to,
    };
    let mut sides = Vec::new();
    let mut eye_places = Vec::new();
    for (side, rail, places) in rails {
        match work_out(&rail, &rig, &hull) {
            Ok(worked) => {
                sides.push(LacingSide { side, rail, worked });
                eye_places.push(places.eyes);
            }
            Err(faults) => {
                problems.extend(faults.iter().map(|fault| said(fault, &place, &places)));
            }
        }
    }
    if problems.len() > before {
        return None;
    }
    problems.extend(sides.iter().zip(&eye_places).flat_map(|(side, places)| too_wide(&side.rail.eyes, places, &rig)));
    if sides.iter().any(|side| side.worked.spacing_is_usual == Some(false)) {
        let [low, high] = USUAL_SPACING.map(|length| format!("{:.0} mm", length.to_mm()));
        problems.push(Problem::warning(
            place.clone(),
            format!("uprights {:.0} mm apart are not what is usual", spacing.to_mm()),
            format!("common practice is {low} to {high}, 12 to 18 in"),
        ));
    }
    Some(Lacing { rig, hull, sides, spares: spares.unwrap_or(0), place: node.place.clone() })
}

/// A fault at its place; `rig` is where one of the line and its spacing stands.
fn said(fault: &Impossible, rig: &Place, places: &RailPlaces) -> Problem {
    let (of, wrong) = wording(fault);
    let place = match of {
        Of::Rig => rig,
        Of::Rail => &places.rail,
        Of::Post(post) => places.posts.get(post).unwrap_or(&places.rail),
        Of::Wire(wire) => places.wires.get(wire).unwrap_or(&places.rail),
        Of::Eye(eye) => places.eyes.get(eye).unwrap_or(&places.rail),
        Of::Gate => places.gates.first().unwrap_or(&places.rail),
    };
    wrong.about(WHAT).at(place)
}

struct RailPlaces {
    rail: Place,
    posts: Vec<Place>,
    wires: Vec<Place>,
    gates: Vec<Place>,
    eyes: Vec<Place>,
}

/// The widest gap between two eyes that follow each other.
fn widest_of(eyes: &[Length]) -> Option<Length> {
    eyes.windows(2).map(|ends| ends[1] - ends[0]).reduce(Length::max)
}

/// Eyes that are further apart than the lacing is to be spaced.
fn too_wide(eyes: &[Length], places: &[Place], rig: &Rig) -> Vec<Problem> {
    let mm = |length: Length| mark::print_decimal((length.to_mm() * 10.0).round() / 10.0);
    let wide = eyes.windows(2).zip(places.iter().skip(1)).filter(|(ends, _)| {
        // Lengths that were written alike may differ in their last bits.
        (ends[1] - ends[0]) / rig.spacing > 1.0 + tolerance::SAME
    });
    let told = wide.map(|(ends, place)| {
        let (gap, spacing) = (mm(ends[1] - ends[0]), mm(rig.spacing));
        let what =
            format!("this eye is {gap} mm aft of the one before, and the lacing is to be spaced {spacing} mm at most");
        Problem::warning(place.clone(), what, "fit an eye between them, or write the `spacing` that is there")
    });
    told.collect()
}

fn measures_feet(units: &Units) -> bool {
    matches!(units.length, LengthUnit::Inch | LengthUnit::Foot)
}

fn rail(
    node: &Node,
    side: &str,
    hull: &Hull,
    units: &Units,
    problems: &mut Vec<Problem>,
) -> Option<(Rail, RailPlaces)> {
    let what = format!("the rail, {side}");
    let mut fields = Table::open(node, what.as_str(), problems)?;
    fields.place = super::start_of(node);
    let lengths = |node: &Node, name: &str, count, problems: &mut Vec<Problem>| {
        let items = node.some_items(name, count, "[300 mm, 610 mm]", problems)?;
        let read: Vec<Option<Length>> =
            items.iter().map(|item| quantity::length(item, units, name, &limits::ABOARD, problems)).collect();
        let lengths: Option<Vec<Length>> = read.into_iter().collect();
        Some((lengths?, items.iter().map(|item| item.place.clone()).collect::<Vec<Place>>()))
    };
    let posts = fields
        .need("posts", "posts: [0 m, 1.5 m, 3.2 m]", problems)
        .and_then(|node| lengths(node, &format!("the posts of {what}"), 2..=limits::MAX_ROWS, problems));
    let wires = fields
        .need("wires", "wires: [300 mm, 610 mm]", problems)
        .and_then(|node| lengths(node, &format!("the wires of {what}"), 1..=MOST_WIRES, problems))
        .filter(|(wires, places)| enough_wires(wires.len(), places, hull, problems));
    let deck_edge = fields
        .take("deck_edge")
        .and_then(|node| quantity::length(node, units, &format!("the deck edge of {what}"), &limits::ABOARD, problems));
    let (mut gates, mut gate_places) = (Vec::new(), Vec::new());
    for item in fields
        .take("gates")
        .and_then(|node| node.some_items("the gates", 0..=limits::MAX_ROWS, "[2, 3]", problems))
        .unwrap_or_default()
    {
        let Some(bay) = words::whole_number(item, "a gate, counted in bays from forward", "2", problems) else {
            continue;
        };
        match usize::try_from(bay).ok().and_then(|bay| bay.checked_sub(1)) {
            Some(gate) => {
                gates.push(gate);
                gate_places.push(item.place.clone());
            }
            None => problems.push(Problem::error(
                item.place.clone(),
                format!("there is no bay {bay}"),
                "bays are counted from forward, the first is 1",
            )),
        }
    }
    let before = problems.len();
    let eyes = fields
        .take("eyes")
        .and_then(|node| lengths(node, &format!("the eyes of {what}"), 2..=limits::MAX_ROWS, problems));
    let eyes_are_known = problems.len() == before;
    fields.finish(problems);
    let ((posts, post_places), (wires, wire_places)) = (posts?, wires?);
    let (eyes, eye_places) = eyes.unwrap_or_default();
    let places = RailPlaces {
        rail: super::start_of(node),
        posts: post_places,
        wires: wire_places,
        gates: gate_places,
        eyes: eye_places,
    };
    let rail = Rail { posts, deck_edge: deck_edge.unwrap_or(Length::ZERO), wires, gates, eyes };
    eyes_are_known.then_some((rail, places))
}

/// Two lifelines, or the one that a small boat may have.
fn enough_wires(wires: usize, places: &[Place], hull: &Hull, problems: &mut Vec<Problem>) -> bool {
    let enough = wires > 1 || hull.is_small();
    if let Some(place) = places.first().filter(|_| !enough) {
        let small = mark::print_decimal(SMALL_HULL / Length::metres(1.0));
        problems.push(Problem::error(
            place.clone(),
            format!("one wire is too few for a hull of {small} m or more, or of unknown length: at least 2 wanted"),
            format!("give two or three heights; a hull under {small} m may have one: `boat: {{name: …, hull: 7.5 m}}`"),
        ));
    }
    enough
}

/// `{eyes: 6 mm}` or `{line: 5 mm, bases: 25 mm}`.
fn foot(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<Foot> {
    const WHAT: &str = "the foot of the lacing";
    let before = problems.len();
    let mut fields = Table::open(node, WHAT, problems)?;
    fields.place = super::start_of(node);
    let mut length = |field, problems: &mut Vec<Problem>| {
        let node = fields.take(field)?;
        quantity::length(node, units, &format!("`{field}` of {WHAT}"), &limits::LACING_THICKNESS, problems)
    };
    let (eyes, line, bases) = (length("eyes", problems), length("line", problems), length("bases", problems));
    let place = fields.place.clone();
    fields.finish(problems);
    match (eyes, line, bases) {
        (Some(diameter), None, None) => Some(Foot::Eyes { diameter }),
        (None, Some(diameter), Some(base_diameter)) => Some(Foot::Line { diameter, base_diameter }),
        // What could not be read has had its complaint.
        _ if problems.len() > before => None,
        _ => {
            let instead = "write `foot: {eyes: 6 mm}`, or `foot: {line: 5 mm, bases: 25 mm}`, thicknesses of each";
            problems.push(Problem::error(place, format!("{WHAT} is neither eyes nor a line round the bases"), instead));
            None
        }
    }
}

/// What a fault is found at.
enum Of {
    Rig,
    Rail,
    Post(usize),
    Wire(usize),
    Gate,
    Eye(usize),
}

fn wording(fault: &Impossible) -> (Of, Wrong) {
    let mm = |length: Length| format!("{} mm", mark::print_decimal((length.to_mm() * 10.0).round() / 10.0));
    match fault {
        Impossible::Figure { figure, .. } => {
            let name = match figure {
                Figure::Spacing => "spacing",
                Figure::LineDiameter => "line",
                Figure::WireDiameter => "wire",
                Figure::FootDiameter => "foot",
                Figure::BaseDiameter => "bases",
                Figure::Turns => "hitch",
                Figure::HitchTakes => "hitch_takes",
                Figure::Tail => "tail",
                Figure::Allowance => "allowance",
                Figure::CutTo => "cut_to",
            };
            (Of::Rig, Wrong::new(format!("`{name}` is 0 or less"), "measure it and write it with its unit"))
        }
        Impossible::TooFewPosts { .. } => {
            (Of::Rail, Wrong::new("there is nothing to lace between", "give at least two posts"))
        }
        Impossible::PostsNotRising { post, at } => (
            Of::Post(*post),
            Wrong::new(
                format!("post {} at {} is no further aft than the one before", post + 1, mm(*at)),
                "measure along the rail from the pulpit's after leg, from forward aft",
            ),
        ),
        Impossible::Wires { wires } => {
            (Of::Rail, Wrong::new(format!("{wires} wires cannot be laced"), "give one to three heights"))
        }
        Impossible::HeightsNotRising { wire, at, below } => (
            Of::Wire(*wire),
            Wrong::new(
                format!("the heights do not rise: {} is not above {}", mm(*at), mm(*below)),
                "write the lifelines from the lowest up, above the deck edge",
            ),
        ),
        Impossible::NoSuchGate { gate, bays } => {
            let what = format!("there is no bay {}: the rail has {bays}", gate + 1);
            (Of::Rail, Wrong::new(what, "bays are counted from forward, the first is 1"))
        }
        Impossible::OnlyGates => (Of::Gate, Wrong::new("every bay is a gate", "leave at least one bay to lace")),
        Impossible::EyesNotRising { eye, at } => (
            Of::Eye(*eye),
            Wrong::new(
                format!("eye {} at {} is no further aft than the one before", eye + 1, mm(*at)),
                "measure along the rail from the first post, from forward aft",
            ),
        ),
        Impossible::EyeOutside { eye, at } => (
            Of::Eye(*eye),
            Wrong::new(
                format!("eye {} at {} is in no bay that is laced", eye + 1, mm(*at)),
                "measure along the rail from where the posts are measured, and leave out eyes in a gate",
            ),
        ),
        Impossible::TooFewEyes { bay, eyes } => {
            let (from, eyes) = (bay + 1, if *eyes == 0 { "no eye" } else { "only one eye" });
            let what = format!("there is {eyes} from bay {from} to the next gate or the last post");
            (
                Of::Rail,
                Wrong::new(what, "give all eyes from the first post to the last; a line goes through two at least"),
            )
        }
        Impossible::HitchesCrowd { bay, apart, hitch } => (
            Of::Rig,
            Wrong::new(
                format!(
                    "in bay {} hitches stand {} apart, less than a hitch is wide, {}",
                    bay + 1,
                    mm(*apart),
                    mm(*hitch)
                ),
                "space the lacing wider, or use a thinner line",
            ),
        ),
        Impossible::TooMany { bay } => (
            Of::Rig,
            Wrong::new(format!("bay {} takes more nodes than anyone ties", bay + 1), "space the lacing wider"),
        ),
        Impossible::TooLarge => (Of::Rail, Wrong::new("the numbers are too large to work with", "check their units")),
    }
}
