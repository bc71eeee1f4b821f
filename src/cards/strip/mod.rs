//! The kind `strip`: a control's scale as a printed thing, true to length, to stick beside the part that moves.

mod bend;
mod changes;
mod ends;
mod hatch;
mod joints;
mod lane_layout;
mod lanes;
mod layout;
mod lie;
mod mirror;
mod numerals;
mod sticker;
mod tab;
mod working;

use crate::wrong::Wrong;
use serde::Serialize;

use super::parts::hydraulics;
use super::parts::stamp::settled_mm;
use super::parts::view::{self, Side, Unclear, View};
use super::parts::words::{LimitWords, never};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Mark, Nothing, Stock, Usual};
use crate::book::{Book, Control, LengthUnit, Place, Problem, Sides, Table, Units, suggest};
use crate::drawing::Drawing;
use crate::drawing::legibility::STRIP_DISTANCE;
use crate::length::Length;
use crate::limits::{MAX_MARKS, MIN_MARK_GAP};
use crate::tuning::{Ground, Rank, Scale, Wind, mark};

pub const KIND: Kind = Kind {
    name: "strip",
    about: "A control's scale, true to length, to stick on deck",
    made_of: &[],
    from_entry,
    by_default: |book| match book.controls.iter().find(|control| is_printable(control)) {
        Some(control) => Ok(vec![Usual::of(&control.place)]),
        None => {
            Err(Nothing::because("no control has a scale with places along a line, but those that say `strip: none`"))
        }
    },
    changes: changes::changes,
};

/// Width of a strip whose plan gives none.
pub const USUAL_WIDTH: Length = Length::mm(22.0);

/// What a strip says and measures. The boat's name is not in it: a deck strip outlives a new name.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Strip {
    pub control: String,
    pub side: Option<Side>,
    pub view: View,
    pub width_mm: f64,
    pub reading_distance_mm: f64,
    /// In rising order from the datum.
    pub marks: Vec<StripMark>,
    /// Coloured bands, on a scale of tapes.
    pub tapes: Vec<TapeBand>,
    /// The unit of the numbers, if they have one.
    pub unit: Option<String>,
    /// What a higher number does.
    pub higher_is: Option<String>,
    /// Stretches not to use.
    pub no_go: Vec<NoGo>,
    /// Parts that the tail moves for one part of the control itself, if that is not 1.
    pub purchase: Option<f64>,
    /// What the two ways from the centre are called, where that depends on the tack.
    pub ends: Option<[String; 2]>,
    pub read_when: Option<String>,
    pub pointer: Option<String>,
    pub datum: Option<DatumWords>,
    /// A second hard point, to put a lost strip back by.
    pub second_datum: Option<DatumWords>,
    /// Rows of words beside the marks: winds of settings, a second quantity.
    pub lanes: Vec<Lane>,
    /// Once around a tube: the last mark falls on the first.
    pub around: Option<Around>,
    /// The track is curved.
    pub arc: Option<Bend>,
    /// Printed as in a mirror.
    pub mirror: bool,
    pub place: Option<String>,
    #[serde(skip)]
    pub working: Vec<Passage>,
    /// Which way the ram that moves the control acts, and what it may hold. Left out of the data of a strip without a ram.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub ram: Option<LimitWords>,
    /// What a pressure on the strip is worth. Left out of the data of a strip without pressures.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gauge: Option<&'static str>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StripMark {
    /// Empty for a mark without a number.
    pub label: String,
    /// A mark with a number that is not whole stands where some settings ask for that reading.
    pub rank: Rank,
    /// From the datum, the lowest mark.
    pub at_mm: f64,
    /// Some settings ask for this reading of a measured quantity, so its number goes before others. It is looks: the
    /// mark and its number stand on the strip either way.
    #[serde(skip)]
    pub asked: bool,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TapeBand {
    pub name: String,
    pub colour: String,
    pub from_mm: f64,
    pub to_mm: f64,
}

/// Words that run beside the marks.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Lane {
    /// What the lane is, at its lower end: `J1`, `gauge`.
    pub title: String,
    /// The same in a sentence, for the words at the end of the strip.
    pub explains: String,
    /// In rising order along the strip.
    pub labels: Vec<LaneLabel>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LaneLabel {
    pub at_mm: f64,
    pub text: String,
    /// The winds the text stands for: from and to, the same where the curve just passes.
    #[serde(rename = "winds_kn")]
    pub winds: Vec<[Wind; 2]>,
    /// What each of these winds is known from; the text has it as a sign.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub grounds: Vec<Ground>,
    /// Between two that were measured rather than measured itself.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub worked_out: bool,
}

/// A curved strip.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Bend {
    /// Of the edge that the pointer runs along.
    pub radius_mm: f64,
    /// The middle of the circle lies beyond that edge rather than beyond the other.
    pub middle_at_ticks: bool,
}

/// A tube that a strip goes once around.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Around {
    pub diameter_mm: f64,
    pub thickness_mm: f64,
}

/// A stretch beyond a limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NoGo {
    pub from_mm: f64,
    pub to_mm: f64,
    /// The mark at which it starts is its lower end (a `never_above`) rather than its upper.
    pub above: bool,
    pub words: LimitWords,
    /// The number of the limit, where no numbered mark has it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub label: Option<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DatumWords {
    pub from: String,
    pub distance_mm: f64,
    /// As a tape measure in the boat's units reads it: `310 mm`, `12.2 in`.
    pub distance: String,
}

impl Content for Strip {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn stamped(&self) -> serde_json::Value {
        let mut visible = self.clone();
        // A lane prints winds to half a knot: what the text does not show makes no strip on deck wrong.
        visible.lanes.iter_mut().flat_map(|lane| &mut lane.labels).for_each(|label| label.winds.clear());
        serde_json::to_value(visible).unwrap_or_default()
    }

    fn marks(&self) -> Vec<Mark> {
        self.marks.iter().map(|mark| Mark { label: mark.label.clone(), at_mm: mark.at_mm }).collect()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        layout::strip(self, label)
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }

    fn finish(&self, drawing: Drawing) -> Drawing {
        if self.mirror { mirror::mirrored(&drawing) } else { drawing }
    }
}

impl Strip {
    /// From the lowest to the highest mark.
    pub fn span_mm(&self) -> f64 {
        let last_mark = self.marks.last().map_or(0.0, |mark| mark.at_mm);
        self.tapes.last().map_or(last_mark, |tape| tape.to_mm)
    }

    /// How much longer words take along the pointer's edge than across the strip's inner edge; 1 if it is straight.
    fn stretch(&self) -> f64 {
        self.arc.map_or(1.0, |bend| bend.stretch(self.width_mm))
    }

    /// `Jib lead, starboard`.
    pub fn title(&self) -> String {
        match self.side {
            Some(side) => format!("{}, {}", self.control, side.word().to_lowercase()),
            None => self.control.clone(),
        }
    }
}

/// Whether a control's scale can be a strip at all.
pub(super) fn is_printable(control: &Control) -> bool {
    control.scale.mark_count() > 0 && !control.has_no_strip
}

/// `{kind: strip, control: backstay}`; without a control, the strips of all.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let wanted = entry.take("control");
    let id = super::entry_id(&mut entry, problems);
    entry.finish(problems);
    let Some(node) = wanted else {
        return book
            .controls
            .iter()
            .filter(|c| is_printable(c))
            .flat_map(|c| strips(book, c, None, problems))
            .collect();
    };
    let Some(name) = node.text("the control of a strip", problems) else { return Vec::new() };
    let Some(control) = book.control(name) else {
        let ids = book.controls.iter().filter(|control| is_printable(control)).map(|control| control.id.value.as_str());
        problems.push(Problem::error(
            node.place.clone(),
            format!("there is no control `{name}`"),
            suggest::advice(name, ids.collect::<Vec<_>>()),
        ));
        return Vec::new();
    };
    if control.has_no_strip {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{} has no strip: its control says `strip: none`", control.name),
            "take that out, or leave this card out",
        ));
        return Vec::new();
    }
    if !is_printable(control) {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{} has no strip: its scale has no places along a line", control.name),
            "give it a scale with marks, measured pairs or tapes, or leave this card out",
        ));
        return Vec::new();
    }
    strips(book, control, id.as_deref(), problems)
}

/// The strips of one control, one for each side it has.
fn strips(book: &Book, control: &Control, id: Option<&str>, problems: &mut Vec<Problem>) -> Vec<Card> {
    let mut cards = Vec::new();
    if let Some(plan) = control.strip.as_ref().filter(|plan| plan.sides == Sides::Both && plan.grows.is_none()) {
        problems.push(Problem::warning(
            plan.at.clone(),
            format!(
                "the two strips of {} are alike: nothing says which way the numbers grow on the boat",
                control.name
            ),
            "add `grows: aft` and `reader_stands: inboard`, so that each is right on its side",
        ));
    }
    for (nth, side) in view::sides(control.strip.as_ref()).into_iter().enumerate() {
        // What is wrong with a lane is said once.
        let mut told = Vec::new();
        let lanes = lanes::lanes(book, control, side, if nth == 0 { problems } else { &mut told });
        let asked = asked(book, control, side);
        let content = match content(control, side, &asked, &lanes, book.units) {
            Ok(content) => content,
            Err((place, wrong)) => {
                problems.push(wrong.about(&format!("the strip of {}", control.name)).at(&place));
                break;
            }
        };
        let stem = id.map_or_else(|| format!("strip-{}", control.id.value), str::to_owned);
        let id = match side {
            Some(side) => format!("{stem}-{}", side.word().to_lowercase()),
            None => stem,
        };
        cards.push(Card::new(id, KIND.name, content.title(), Stock::Strip, control.place.clone(), content));
    }
    cards
}

/// The sides that a strip is for.
fn sides_of(side: Option<Side>) -> impl Iterator<Item = Side> {
    Side::BOTH.into_iter().filter(move |of| side.is_none_or(|side| side == *of))
}

/// The readings of a measured quantity that settings ask for, rising: no step of `every` need fall on them.
fn asked(book: &Book, control: &Control, side: Option<Side>) -> Vec<f64> {
    if control.scale.pairs().is_empty() {
        return Vec::new();
    }
    let is_this = |index: &usize| book.controls.get(*index).is_some_and(|other| other.id.value == control.id.value);
    let mut asked: Vec<f64> = book
        .settings
        .iter()
        .filter_map(|settings| Some((settings, settings.controls.iter().position(is_this)?)))
        .flat_map(|(settings, column)| settings.all_rows().filter_map(move |row| row.readings.get(column)))
        .flat_map(|recorded| sides_of(side).filter_map(|side| recorded.on(side, control)))
        .collect();
    asked.sort_by(f64::total_cmp);
    asked.dedup();
    asked
}

/// The scale's marks, and the readings that are asked for among them: each that has a mark has its number too, and each
/// other has a mark of its own unless it would run into a neighbour.
fn marks(control: &Control, asked: &[f64], tack_ends: Option<&[String; 2]>) -> Vec<StripMark> {
    let scale = &control.scale;
    let mut marks: Vec<StripMark> = scale
        .graduations()
        .into_iter()
        .map(|graduation| StripMark {
            label: match tack_ends {
                Some(_) if graduation.rank == Rank::Whole => numeral(scale, graduation.reading, tack_ends),
                _ => graduation.label,
            },
            rank: graduation.rank,
            at_mm: settled_mm(graduation.at.to_mm()),
            asked: false,
        })
        .collect();
    for (reading, at) in asked.iter().filter_map(|reading| Some((*reading, scale.at(*reading)?))) {
        let at_mm = settled_mm(at.to_mm());
        let index = marks.partition_point(|mark| mark.at_mm < at_mm);
        let gap = |mark: Option<&StripMark>| mark.map_or(f64::INFINITY, |mark| (mark.at_mm - at_mm).abs());
        let nearest = gap(marks.get(index)).min(gap(index.checked_sub(1).and_then(|before| marks.get(before))));
        let label = numeral(scale, reading, tack_ends);
        let has_room = nearest >= MIN_MARK_GAP.to_mm() && (marks.len() as u64) < MAX_MARKS;
        match marks.get_mut(index) {
            Some(mark) if mark.at_mm == at_mm => (mark.label, mark.asked) = (label, true),
            _ if has_room => marks.insert(index, StripMark { label, rank: Rank::Half, at_mm, asked: true }),
            _ => {}
        }
    }
    marks
}

/// What stands beside a reading: its number, without the unit that the strip states once.
fn numeral(scale: &Scale, reading: f64, tack_ends: Option<&[String; 2]>) -> String {
    match tack_ends {
        _ if !scale.pairs().is_empty() => mark::print_decimal(reading),
        Some(_) if reading != 0.0 => mark::print(reading.abs()),
        _ => scale.print(reading),
    }
}

/// What the strip of a control says on one side. `asked` are the readings that settings ask for.
fn content(
    control: &Control,
    side: Option<Side>,
    asked: &[f64],
    lanes: &[Lane],
    units: Units,
) -> Result<Strip, (Place, Wrong)> {
    let plan = control.strip.as_ref();
    let view = view::view(plan, side).map_err(|unclear| {
        let place = plan.map_or(&control.place, |plan| plan.ticks.as_ref().map_or(&plan.at, |ticks| &ticks.place));
        (place.clone(), words_for(unclear))
    })?;
    let bend = match plan.and_then(|plan| plan.arc.as_ref().map(|arc| (plan, arc))) {
        None => None,
        Some((plan, arc)) => {
            let place = arc.middle.as_ref().map_or(&plan.at, |middle| &middle.place);
            let middle =
                view::middle_at_ticks(plan, side, view).map_err(|unclear| (place.clone(), words_for(unclear)))?;
            Some(Bend { radius_mm: settled_mm(arc.radius.to_mm()), middle_at_ticks: middle })
        }
    };
    let scale = &control.scale;
    // Windward and leeward change with the tack, so a strip that says W on the left is wrong half the time.
    let tack_ends = scale.sides().cloned().filter(depends_on_tack);
    let datum = scale.tapes().first().map_or(Length::ZERO, |tape| tape.from);
    let band = |tape: &crate::tuning::Tape| TapeBand {
        name: tape.name.clone(),
        colour: tape.colour.clone(),
        from_mm: settled_mm((tape.from - datum).to_mm()),
        to_mm: settled_mm((tape.to - datum).to_mm()),
    };
    let marks = marks(control, asked, tack_ends.as_ref());
    let datum_words = |datum: &crate::book::Datum| DatumWords {
        from: datum.from.clone(),
        distance: tape_measure(datum.distance, units),
        distance_mm: settled_mm(datum.distance.to_mm()),
    };
    let mut strip = Strip {
        control: control.name.clone(),
        side,
        view,
        width_mm: settled_mm(plan.map_or(USUAL_WIDTH, |plan| plan.width).to_mm()),
        reading_distance_mm: settled_mm(plan.map_or(STRIP_DISTANCE, |plan| plan.reading_distance).to_mm()),
        marks,
        tapes: scale.tapes().iter().map(band).collect(),
        unit: scale.unit().map(str::to_owned),
        higher_is: control.higher_is.clone(),
        no_go: Vec::new(),
        purchase: scale.purchase().filter(|by| *by != 1.0),
        ends: tack_ends,
        read_when: control.read_when.clone(),
        pointer: plan.and_then(|plan| plan.pointer.clone()),
        datum: plan.and_then(|plan| plan.datum.as_ref()).map(datum_words),
        second_datum: plan.and_then(|plan| plan.second_datum.as_ref()).map(datum_words),
        lanes: lanes.to_vec(),
        around: scale.tube().map(|(diameter, thickness)| Around {
            diameter_mm: settled_mm(diameter.to_mm()),
            thickness_mm: settled_mm(thickness.to_mm()),
        }),
        arc: bend,
        mirror: plan.is_some_and(|plan| plan.mirror),
        place: plan.and_then(|plan| plan.place.clone()),
        working: working::working(control, asked)
            .into_iter()
            .chain(working::of_lanes(control, lanes))
            .chain(hydraulics::working(control))
            .collect(),
        ram: control.ram.as_ref().map(|ram| hydraulics::acts_and_limit(ram, units)),
        gauge: hydraulics::gauge_decides(control),
    };
    strip.no_go = no_go(control, &strip);
    Ok(strip)
}

/// A distance in words, to a tenth of a millimetre or a sixteenth of an inch's neighbourhood: hundredths.
pub fn tape_measure(distance: Length, units: Units) -> String {
    let rounded = |value: f64, steps: f64| mark::print_decimal((value * steps).round() / steps);
    match units.length {
        LengthUnit::Inch | LengthUnit::Foot => format!("{} in", rounded(distance / Length::inches(1.0), 100.0)),
        LengthUnit::Millimetre | LengthUnit::Centimetre | LengthUnit::Metre => {
            format!("{} mm", rounded(distance.to_mm(), 10.0))
        }
    }
}

/// The stretches beyond a control's limits.
fn no_go(control: &Control, strip: &Strip) -> Vec<NoGo> {
    let scale = &control.scale;
    let zone = |above: bool, limit: &crate::book::Limit| {
        let verb = if above { "above" } else { "below" };
        let at = control.reading_on(strip.side.unwrap_or(Side::Port), limit.reading.value);
        let reading = scale.print(at);
        let why = limit.why.as_ref().map(|why| format!(": {why}")).unwrap_or_default();
        let words = LimitWords {
            content: format!("Never {verb} {reading}{why}"),
            printed: never(above, &reading),
            why: limit.why.clone(),
        };
        let at_mm = settled_mm(scale.at(at)?.to_mm());
        let (from_mm, to_mm) = if above { (at_mm, strip.span_mm()) } else { (0.0, at_mm) };
        let is_numbered = strip.marks.iter().any(|mark| mark.at_mm == at_mm && !mark.label.is_empty());
        let label = (!is_numbered).then(|| numeral(scale, at, strip.ends.as_ref()));
        Some(NoGo { from_mm, to_mm, above, words, label })
    };
    let above = control.never_above.as_ref().and_then(|limit| zone(true, limit));
    let below = control.never_below.as_ref().and_then(|limit| zone(false, limit));
    above.into_iter().chain(below).collect()
}

/// Words for to windward and to leeward; a letter or more of one will do.
const TACK_WORDS: [&str; 5] = ["windward", "weather", "leeward", "up", "down"];

/// Whether the names of the two ways mean windward and leeward.
fn depends_on_tack(ends: &[String; 2]) -> bool {
    let is = |name: &str, word: &str| !name.is_empty() && word.starts_with(&name.to_lowercase());
    // Both: an L beside an R is the left.
    ends.iter().all(|end| TACK_WORDS.iter().any(|word| is(end, word)))
}

fn words_for(unclear: Unclear) -> Wrong {
    match unclear {
        Unclear::SideNeeded => Wrong::new(
            "inboard and outboard need a side of the boat",
            "add `sides: port`, `sides: starboard` or `sides: both`, or say port, starboard, forward or aft",
        ),
        Unclear::EdgeOfOtherKind { horizontal: true } => Wrong::new(
            "it lies across the reader's view, so the pointer runs along its far or its near edge",
            "write `ticks: far` or `ticks: near`",
        ),
        Unclear::EdgeOfOtherKind { horizontal: false } => Wrong::new(
            "it stands up and down in the reader's view, so the pointer runs along its left or its right edge",
            "write `ticks: left` or `ticks: right`",
        ),
        Unclear::EdgeNeeded { faces_bow_or_stern } => Wrong::new(
            "it stands up and down in the reader's view, so its left and right edges change with the side of the boat",
            match faces_bow_or_stern {
                true => "say which one the pointer runs along: write `ticks: inboard` or `ticks: outboard`",
                false => "say which one the pointer runs along: write `ticks: left` or `ticks: right`",
            },
        ),
    }
}
