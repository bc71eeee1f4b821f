//! The kind `lacing`: an elevation of one side in true proportion, what to cut, and in which order it is tied.

use crate::wrong::Wrong;
use kurbo::{Point, Rect, Size};
use serde::Serialize;

use super::parts::comparing::{Fields, text};
use super::parts::flow;
use super::parts::frame::{self, Frame, LINE_PITCH, Surround, draw_lines, lines_height};
use super::parts::gear::{self, Steps};
use super::parts::label::legend_cap_mm;
use super::parts::measures;
use super::parts::scaled::{self, FINE, HEAVY, View, dot, note, ring};
use super::parts::stamp::settled_mm;
use super::parts::telling::{Said, before_colon, by_lines, drawn, taken, texts};
use super::parts::working::Passage;
use super::strip::tape_measure;
use super::{Card, Content, Kind, Label, Stock, Usual};
use crate::book::{Book, Lacing, LacingSide, LengthUnit, Problem, Section, Table, Units};
use crate::drawing::legibility::CARD_DISTANCE;
use crate::drawing::{Anchor, Drawing, Shape, Weight};
use crate::length::Length;
use crate::rigging::lacing::{
    Bay, Bound, Crests, Finding, Foot, Hull, NARROW_OPENINGS_SINCE, PULPIT_OPENING, Pattern, Purpose, Requirement,
    SMALL_HULL, Tie, cut_list, opening_bound,
};
use crate::size::NamedSize;
use crate::tuning::mark;

pub const KIND: Kind = Kind {
    name: "lacing",
    about: "Bow lacing: elevation with dimensions, cut list, tying order",
    made_of: &[Section::Lacing],
    from_entry,
    by_default: |book| Usual::of_section("lacing", book.rigging.lacing.as_ref().map(|lacing| &lacing.place)),
    changes: |old, new| by_lines(old, new, lines),
};

const CAUTION: &str = "Caution: lacing keeps sails aboard and is no guardrail. Nobody leans on it or clips on to it. Check it for \
                       chafe, lifelines too; follow the race's rules, and ask a rigger.";
/// The words of the regulations were not compared with the edition in force.
const RULES: &str = "World Sailing OSR 3.14 (public copies; check the edition in force)";
/// The smallest elevation that a hand can work from: 1 m aboard is this on the card.
const LEAST_SCALE: f64 = 0.015;
const MOST_SCALE: f64 = 0.1;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LacingCard {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    #[serde(skip)]
    pub units: Units,
    pub boat: String,
    pub side: &'static str,
    /// Millimetres along the rail.
    pub posts: Vec<f64>,
    /// Deck edge and wires, millimetres up.
    pub heights: Vec<f64>,
    pub runs: Vec<RunWords>,
    /// Where the feet come, to be laid out with a tape measure.
    pub set_out: Vec<String>,
    pub steps: Vec<String>,
    /// The cut list of the boat.
    pub cut: Vec<String>,
    /// The openings, the lifelines.
    pub facts: Vec<String>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RunWords {
    /// Along and up, millimetres, in tying order; whether it is hitched.
    pub nodes: Vec<(f64, f64, bool)>,
    /// `cut 9400 mm`.
    pub cut: String,
    pub foot_line: bool,
    pub from_mm: f64,
    pub to_mm: f64,
}

impl Content for LacingCard {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        // Of two ways to hold the card the one with the larger elevation.
        frame::fitted(self.size.as_ref(), label, |size, least| {
            let ways = frame::both_ways(size, label).into_iter();
            let drawn = ways.filter_map(|size| draw(self, label, size, least));
            drawn.max_by(|a, b| a.1.total_cmp(&b.1)).map(|(drawing, _)| drawing)
        })
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }
}

/// `{kind: lacing, size: A5}`.
fn from_entry(book: &Book, entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let section = ("lacing", "pattern, spacing, foot, and the rail of `both` sides");
    gear::from_entry(entry, section, book.rigging.lacing.as_ref(), problems)
        .map(|(lacing, id, size)| cards(book, lacing, id, size))
        .unwrap_or_default()
}

fn cards(book: &Book, lacing: &Lacing, id: Option<String>, size: Option<NamedSize>) -> Vec<Card> {
    let stem = id.unwrap_or_else(|| KIND.name.to_owned());
    let card = |side: &LacingSide| {
        let (id, title) = match side.side {
            "" => (stem.clone(), "Bow lacing".to_owned()),
            word => (format!("{stem}-{}", word.to_lowercase()), format!("Bow lacing, {}", word.to_lowercase())),
        };
        Card::new(id, KIND.name, title, Stock::Card, lacing.place.clone(), content(book, lacing, side, size.clone()))
    };
    lacing.sides.iter().map(card).collect()
}

fn content(book: &Book, lacing: &Lacing, side: &LacingSide, size: Option<NamedSize>) -> LacingCard {
    let (rail, worked) = (&side.rail, &side.worked);
    let mm = |length: Length| settled_mm(length.to_mm());
    let rope = |length: Length| measures::rope(length, book.units);
    let runs = worked.runs.iter().map(|run| {
        let foot = run.foot_line.map(|foot| format!(", foot line {}", rope(foot.cut))).unwrap_or_default();
        RunWords {
            nodes: run.nodes.iter().map(|node| (mm(node.at), mm(node.height), node.tie == Tie::Hitch)).collect(),
            cut: format!("cut {}{foot}", rope(run.cut)),
            foot_line: run.foot_line.is_some(),
            from_mm: mm(rail.posts[run.bays.start]),
            to_mm: mm(rail.posts[run.bays.end]),
        }
    });
    LacingCard {
        size,
        units: book.units,
        boat: book.boat.name.value.clone(),
        side: side.side,
        posts: rail.posts.iter().map(|post| mm(*post)).collect(),
        heights: std::iter::once(rail.deck_edge).chain(rail.wires.iter().copied()).map(mm).collect(),
        runs: runs.collect(),
        set_out: set_out(side, book.units),
        steps: steps(lacing),
        cut: cut(lacing, book.units),
        facts: facts(side, &lacing.hull, book.units),
        working: working(lacing, side),
    }
}

fn steps(lacing: &Lacing) -> Vec<String> {
    let rig = &lacing.rig;
    let mut steps = Vec::new();
    let foot = match rig.foot {
        Foot::Line { .. } => {
            steps.push("Foot line first: from base to base along the deck, once round each, tight.".to_owned());
            "hitch it to the foot line"
        }
        Foot::Eyes { .. } => "reeve it through the eye",
    };
    steps.push("Make fast forward at 1, leave the tail.".to_owned());
    let over = if rig.crests == Crests::Over { "pass over the top wire" } else { "hitch on the top wire" };
    steps.push(match rig.pattern {
        Pattern::Vee => {
            format!("Work aft by the numbers: up, hitch at every wire crossed, {over}, down again, {foot}.")
        }
        Pattern::Uprights => {
            format!("Straight up, hitch at every wire, {over}, along it to the next; straight down, {foot}.")
        }
    });
    steps.push("Haul each leg hand-tight before the next hitch.".to_owned());
    steps.push("Make fast at the last number; never across a gate.".to_owned());
    steps
}

/// For each laced bay how far aft of its forward post the first foot is, and how far it is from one to the next.
fn set_out(side: &LacingSide, units: Units) -> Vec<String> {
    // Nobody drills to a tenth of a millimetre.
    let tape = |length: Length| match units.length {
        LengthUnit::Inch | LengthUnit::Foot => tape_measure(length, units),
        _ => tape_measure(Length::mm(length.to_mm().round()), units),
    };
    if !side.rail.eyes.is_empty() {
        let eyes = side.rail.eyes.iter().map(|eye| tape(*eye - side.rail.posts[0]));
        return vec![format!("Feet: the eyes {} aft of the forward post.", listed(&eyes.collect::<Vec<_>>()))];
    }
    let bays: Vec<_> = side.worked.bays.iter().flatten().collect();
    let nodes = side.worked.runs.iter().flat_map(|run| &run.nodes);
    let feet: Vec<Length> = nodes.filter(|node| node.height <= side.rail.deck_edge).map(|node| node.at).collect();
    let words = |bay: &&Bay| {
        let of_bay = feet.iter().copied().filter(|at| (bay.from..=bay.to).contains(at));
        let mut told: Vec<String> = of_bay.clone().map(|at| tape(at - bay.from)).collect();
        let steps: Vec<String> = of_bay.clone().zip(of_bay.skip(1)).map(|(one, next)| tape(next - one)).collect();
        let post =
            if bays.len() > 1 { format!("the post at {}", tape(bay.from)) } else { "the forward post".to_owned() };
        told.dedup();
        match (told.as_slice(), steps.split_first()) {
            ([], _) => None,
            ([first, _, ..], Some((step, rest))) if rest.iter().all(|other| other == step) => {
                Some(format!("First foot {first} aft of {post}, then every {step}."))
            }
            ([one], _) => Some(format!("A foot {one} aft of {post}.")),
            (all, _) => Some(format!("Feet {} aft of {post}.", all.join(", "))),
        }
    };
    bays.iter().filter_map(words).collect()
}

/// `110, 410 and 1205 mm`.
fn listed(words: &[String]) -> String {
    // The unit stands once if it is the same.
    let unit = words.last().and_then(|last| last.rsplit_once(' ')).map_or("", |(_, unit)| unit);
    let bare = |word: &String| word.strip_suffix(unit).map_or(word.as_str(), str::trim_end).to_owned();
    match words {
        [some @ .., last] if !some.is_empty() => {
            let same = some.iter().all(|word| word.ends_with(&format!(" {unit}")));
            let some: Vec<String> = if same { some.iter().map(bare).collect() } else { some.to_vec() };
            format!("{} and {last}", some.join(", "))
        }
        few => few.join(", "),
    }
}

/// What to cut for the boat.
fn cut(lacing: &Lacing, units: Units) -> Vec<String> {
    let rope = |length: Length| measures::rope(length, units);
    let mut cut = Vec::new();
    let all: Vec<_> = match lacing.sides.as_slice() {
        [both] if both.side.is_empty() => vec![both.worked.clone(), both.worked.clone()],
        sides => sides.iter().map(|side| side.worked.clone()).collect(),
    };
    let list = cut_list(&all, lacing.spares);
    for (purpose, name, total) in
        [(Purpose::Lacing, "lacing", list.lacing), (Purpose::FootLine, "foot line", list.foot_line)]
    {
        let pieces: Vec<String> =
            list.pieces.iter().filter(|piece| piece.purpose == purpose).map(|piece| rope(piece.cut)).collect();
        if !pieces.is_empty() {
            let spares = if lacing.spares > 0 { format!(", {} spare", lacing.spares) } else { String::new() };
            cut.push(format!("Cut for the boat, {name}: {}{spares}; total {}.", pieces.join(", "), rope(total)));
        }
    }
    cut
}

fn facts(side: &LacingSide, hull: &Hull, units: Units) -> Vec<String> {
    let tape = |length: Length| tape_measure(length, units);
    let worked = &side.worked;
    let mut facts = Vec::new();
    let hitches: usize = worked.runs.iter().map(|run| run.hitches).sum();
    facts.push(format!(
        "{hitches} hitches this side, each takes {}. Widest clear opening along a wire {}.",
        tape(worked.hitch_on_wire),
        tape(worked.widest_opening.clear)
    ));
    facts.push(lifelines(hull, &worked.lifelines, units));
    facts.push(format!("Not looked at: an open pulpit (at most {}), tension, wire, fastenings.", tape(PULPIT_OPENING)));
    facts
}

/// The lifelines beside the regulations: for which boat, and what is apart from them. Measured and said, not judged.
fn lifelines(hull: &Hull, found: &[Finding], units: Units) -> String {
    let length = match hull.length {
        Some(length) => format!("hull {}", tape_long(length, units)),
        None => format!("a hull of {} or more", tape_long(SMALL_HULL, units)),
    };
    let launched = hull.launched.map_or_else(|| "launch year not given".to_owned(), |year| format!("launched {year}"));
    let apart = apart(found, units);
    let apart = if apart.is_empty() { agreement(hull, found, units) } else { apart.join("; ") };
    format!("Lifelines beside {RULES}, {length}, {launched}: {apart}.")
}

/// That all of it agrees, with the numbers that go by the length of the boat or her age.
fn agreement(hull: &Hull, found: &[Finding], units: Units) -> String {
    let single = found.iter().map(|finding| finding.bound).find(|bound| matches!(bound, Bound::Between(..)));
    match single {
        // Where the top wire does as the only one, nothing is asked of what is below it.
        Some(height) => {
            let (small, height) = (tape_long(SMALL_HULL, units), bound_words(height, units));
            format!("supports agree, and so does the top wire: under {small} a single line at {height} will do")
        }
        None => {
            let openings = bound_words(opening_bound(hull), units);
            format!("heights, supports and openings ({openings}) agree")
        }
    }
}

/// `at most 380 mm`.
fn bound_words(bound: Bound, units: Units) -> String {
    let tape = |length: Length| tape_measure(length, units);
    match bound {
        Bound::AtLeast(least) => format!("at least {}", tape(least)),
        Bound::AtMost(most) => format!("at most {}", tape(most)),
        Bound::Between(least, most) => format!("{} to {}", tape(least), tape(most)),
        Bound::SingleOrUpper { single: [least, most], upper } => {
            format!("{} to {} for a single line, else at least {}", tape(least), tape(most), tape(upper))
        }
        Bound::AtMostByLaunch { since, before } => {
            format!("at most {}; launched before {NARROW_OPENINGS_SINCE}, {}", tape(since), tape(before))
        }
    }
}

/// One for each measure that does not agree, or agrees only for an earlier launch.
fn apart(found: &[Finding], units: Units) -> Vec<String> {
    let words = |finding: &Finding| {
        let name = match finding.requirement {
            Requirement::UpperHeight => "top wire".to_owned(),
            Requirement::IntermediateHeight { wire } => format!("wire {}", wire + 1),
            Requirement::Opening { below_wire } => format!("opening below wire {}", below_wire + 1),
            Requirement::SupportsApart { bay } => format!("posts of bay {} apart", bay + 1),
        };
        format!("{name} {}, 3.14 says {}", tape_measure(finding.measured, units), bound_words(finding.bound, units))
    };
    found.iter().filter(|finding| finding.agrees != Some(true)).map(words).collect()
}

/// `11.5 m`, `33.5 ft`.
fn tape_long(length: Length, units: Units) -> String {
    let long = (measures::in_long(length, units) * 100.0).round() / 100.0;
    format!("{} {}", mark::print_decimal(long), measures::long_unit(units))
}

fn working(lacing: &Lacing, side: &LacingSide) -> Vec<Passage> {
    let mm = |length: Length| format!("{:.1} mm", length.to_mm());
    let worked = &side.worked;
    let mut bays = Passage::new(format!("Lacing {}: spacing", side.side.to_lowercase()));
    let has_eyes = !side.rail.eyes.is_empty();
    if has_eyes {
        let eyes: Vec<String> = side.rail.eyes.iter().map(|eye| mm(*eye)).collect();
        bays.input("eyes in the deck", eyes.join(", "), &lacing.place);
    } else {
        bays.input("spacing asked for", mm(lacing.rig.spacing), &lacing.place);
    }
    for (index, bay) in worked.bays.iter().enumerate() {
        match bay {
            Some(bay) if has_eyes => {
                let count = side.rail.eyes.iter().filter(|eye| (bay.from..bay.to).contains(eye)).count();
                bays.step(format!("bay {}", index + 1), "the eyes from its forward post on", count.to_string());
            }
            Some(bay) => bays.step(
                format!("bay {}", index + 1),
                "n = ⌈L/spacing⌉, s = L/n",
                format!("{} at {}", bay.count, mm(bay.spacing)),
            ),
            None => bays.step(format!("bay {}", index + 1), "a gate", "open"),
        }
    }
    let how =
        if lacing.rig.hitch_takes.is_some() { "as measured" } else { "t·√((π·(d_line + d_wire))² + d_line²)" };
    bays.step("a hitch on a wire takes", how, mm(worked.hitch_on_wire));
    bays.step("a hitch at the foot takes", how, mm(worked.hitch_at_foot));
    let mut passages = vec![bays];
    for (index, run) in worked.runs.iter().enumerate() {
        let mut passage = Passage::new(format!("Lacing {}: run {}", side.side.to_lowercase(), index + 1));
        passage.step("straight", format!("{} stretches from node to node", run.stretches.len()), mm(run.straight));
        passage.step("ties", format!("{} hitches, {} half turns", run.hitches, run.half_turns), mm(run.in_ties));
        passage.step("allowance", "part of straight and ties", mm(run.allowance));
        passage.step("tails", "both ends", mm(run.tails));
        passage.step("line", "straight + ties + allowance + tails", mm(run.line));
        passage.step("cut", "up to the next whole step", mm(run.cut));
        if let Some(foot) = run.foot_line {
            passage.step("foot line", format!("straight {}, {} bases", mm(foot.straight), foot.bases), mm(foot.cut));
        }
        passages.push(passage);
    }
    passages
}

/// The card and the scale of its elevation.
fn draw(card: &LacingCard, label: &Label, size: Size, cap: f64) -> Option<(Drawing, f64)> {
    let (side, subtitle) = if card.side.is_empty() { ("STARBOARD", "port is its mirror") } else { (card.side, "") };
    let surround = Surround {
        title: vec!["Bow lacing".to_owned()],
        at_right: card.side.to_owned(),
        kind: format!("{side}, seen from on deck"),
        subtitle: subtitle.to_owned(),
        must: vec![CAUTION.to_owned()],
        foot: vec![card.facts.join(" ")],
        ..Surround::default()
    };
    let frame = Frame::new(size, &surround, label, cap)?;
    let body = frame.body;
    let steps = Steps::new(card.steps.iter().map(String::as_str), cap, body.width());
    let bold = |text: &String| flow::wrapped(text, cap, Weight::Bold, CARD_DISTANCE, body.width());
    let [set_out, cut] = [&card.set_out, &card.cut].map(|of| of.iter().flat_map(bold).collect::<Vec<_>>());
    let words = lines_height(&set_out) + steps.height() + lines_height(&cut) + cap;
    let area = Rect::new(body.x0, body.y0, body.x1, body.y1 - words - cap);
    let mut drawing = frame.start(
        format!("{}: bow lacing", card.boat),
        "Elevation of the rail in true proportion, with the lacing in tying order".to_owned(),
        label,
    );
    let scale = draw_elevation(&mut drawing, card, area)?;
    let top = draw_lines(&mut drawing, &set_out, body.x0, area.y1 + cap) + cap / 2.0;
    steps.draw(&mut drawing, body.x0, top);
    draw_lines(&mut drawing, &cut, body.x0, top + steps.height() + cap / 2.0);
    Some((drawing, scale))
}

/// The rail as one sees it from on deck, and its scale: the bow is at the left to starboard and at the right to port.
fn draw_elevation(drawing: &mut Drawing, card: &LacingCard, area: Rect) -> Option<f64> {
    const DOT: f64 = 0.7;
    /// Room for the heights at the left, in capital heights of a legend.
    const HEIGHTS: f64 = 6.5;
    let (cap, tape) = (legend_cap_mm(), |mm: f64| tape_measure(Length::mm(mm), card.units));
    let row = cap * LINE_PITCH;
    let (first, last) = (*card.posts.first()?, *card.posts.last()?);
    let (deck, top) = (*card.heights.first()?, *card.heights.last()?);
    // Above: cut lengths and numbers; below: numbers, dimensions, the bar.
    let below = row * 3.0 + scaled::bar_height();
    let room = Rect::new(area.x0 + cap * HEIGHTS, area.y0 + row * 3.0, area.x1 - cap, area.y1 - below);
    if room.width() <= 0.0 || room.height() <= 0.0 {
        return None;
    }
    let view = View::fitting(Rect::new(first, deck, last, top), room, MOST_SCALE);
    if view.scale < LEAST_SCALE {
        return None;
    }
    let is_mirrored = card.side == "PORT";
    let at = |along: f64, up: f64| {
        let along = if is_mirrored { first + last - along } else { along };
        view.point(Length::mm(along), Length::mm(up))
    };
    let (words, x, anchor) =
        if is_mirrored { ("BOW →", area.x1, Anchor::End) } else { ("← BOW", area.x0, Anchor::Start) };
    note(drawing, words, (x, area.y0 + cap), anchor);
    for (index, height) in card.heights.iter().enumerate() {
        drawing.print(Shape::line(at(first, *height), at(last, *height), if index == 0 { FINE } else { FINE * 2.0 }));
        let left = at(if is_mirrored { last } else { first }, *height);
        note(drawing, &tape(*height), (left.x - cap, left.y + cap / 2.0), Anchor::End);
    }
    let dimensions = at(first, deck).y + row * 2.0;
    for post in &card.posts {
        drawing.print(Shape::line(at(*post, deck), at(*post, top), HEAVY));
        let foot = at(*post, deck);
        drawing.print(Shape::line((foot.x, foot.y + row * 1.2), (foot.x, dimensions + cap), FINE));
    }
    // Words between two wires stand in the middle of the widest gap.
    let gaps = card.heights.windows(2).map(|pair| (pair[1] - pair[0], (pair[0] + pair[1]) / 2.0));
    let between_wires = gaps.fold((0.0, deck), |widest, gap| if gap.0 > widest.0 { gap } else { widest }).1;
    for ends in card.posts.windows(2) {
        let (from, to) = (at(ends[0], deck).x, at(ends[1], deck).x);
        note(drawing, &tape(ends[1] - ends[0]), ((from + to) / 2.0, dimensions + cap / 2.0), Anchor::Middle);
        let laced = card.runs.iter().any(|run| run.from_mm <= ends[0] && ends[1] <= run.to_mm);
        if !laced {
            let middle = at(first, between_wires).y + cap / 2.0;
            note(drawing, "gate", ((from + to) / 2.0, middle), Anchor::Middle);
        }
    }
    for run in &card.runs {
        for ends in run.nodes.windows(2) {
            drawing.print(Shape::line(at(ends[0].0, ends[0].1), at(ends[1].0, ends[1].1), FINE * 2.0));
        }
        if run.foot_line {
            drawing.print(Shape::line(at(run.from_mm, deck), at(run.to_mm, deck), HEAVY));
        }
        let mut told: [Option<(f64, f64)>; 2] = [None; 2];
        for (index, (along, up, hitched)) in run.nodes.iter().enumerate() {
            let node = at(*along, *up);
            if *hitched {
                dot(drawing, node, DOT)
            } else {
                ring(drawing, node, DOT)
            }
            let edge = if *up == top { 0 } else { 1 };
            let number = (index + 1).to_string();
            let half = cap * 0.45 * number.len() as f64;
            let end = index == 0 || index + 1 == run.nodes.len();
            let is_free = told[edge].is_none_or(|(x, other)| (node.x - x).abs() > half + other + cap / 2.0);
            if (*up == top || *up == deck) && (end || is_free) {
                let baseline = if edge == 0 { node.y - cap / 2.0 } else { node.y + row };
                note(drawing, &number, (node.x, baseline), Anchor::Middle);
                told[edge] = Some((node.x, half));
            }
        }
        let middle = (at(run.from_mm, top).x + at(run.to_mm, top).x) / 2.0;
        note(drawing, &run.cut, (middle, at(first, top).y - row * 1.4), Anchor::Middle);
    }
    let bar = Point::new(area.x0, dimensions + row * 1.2 + scaled::bar_height() / 2.0);
    scaled::scale_bar(drawing, view.scale, bar, area.width() / 3.0, card.units, "along and up at one scale");
    Some(view.scale)
}

/// `cut list …`; knots and posts are a picture.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    for (index, run) in taken(content, "runs").into_iter().enumerate() {
        let number = index + 1;
        lines.push(Said::one(format!("line {number}"), text(run.get("cut"))));
        let picture = [run.get("nodes"), run.get("from_mm"), run.get("to_mm"), run.get("foot_line")];
        lines.push(Said::Drawn { about: format!("the run of line {number}"), says: format!("{picture:?}") });
    }
    lines.extend(texts(content, "set_out").into_iter().map(|words| Said::among("set out", words)));
    lines.extend(texts(content, "steps").into_iter().map(|words| Said::among("step", words)));
    lines.extend(texts(content, "cut").iter().map(|words| before_colon(words)));
    lines.extend(texts(content, "facts").iter().map(|words| before_colon(words)));
    drawn(content, &["posts", "heights"], "posts, deck edge and wires", lines);
}
