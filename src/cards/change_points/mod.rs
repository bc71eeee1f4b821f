//! The kind `change-points`: a ladder of wind speeds with what moves at each, for one settings table.

mod layout;
mod working;

use crate::wrong::Wrong;
use std::collections::BTreeSet;

use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::matrix::{columns, out_of_use, recorded_of};
use super::parts::moves::Move;
use super::parts::read_at::Feel;
use super::parts::sided;
use super::parts::telling::{Said, by_lines, item, optional, taken, texts};
use super::parts::words::{limit_words, narrowed_sails, point_of_sail, sail_names, signed, wind_words};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Stock, Usual, angle_changes};
use crate::book::{Book, Control, PointOfSail, Problem, Section, Settings, Spanned, Table, WindUnit, quantity};
use crate::drawing::Drawing;
use crate::limits;
use crate::size::NamedSize;
use crate::tuning::ladder::{self, Spacing};
use crate::tuning::{Band, Change, Column, Ground, Side, Sided, Span, Stretches, Wind};

pub const KIND: Kind = Kind {
    name: "change-points",
    about: "What moves next as the wind builds or eases",
    made_of: &[Section::WindBands, Section::WindSource, Section::Dark, Section::ChangePoints],
    from_entry,
    by_default: |book| Usual::of_settings(book, true),
    changes: |old, new| {
        let goes_by_angle = old.contains_key("at_wind") && new.contains_key("at_wind");
        by_lines(old, new, if goes_by_angle { angle_changes::lines } else { lines })
    },
};

/// Changes of one control past which no ladder can be read: a gauge read too finely.
const MOST_CHANGES: usize = 2_000;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChangePoints {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    pub sails: Vec<String>,
    pub point_of_sail: String,
    /// What tells it from another card of these sails: `flat water`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    pub wind: String,
    pub wind_unit: String,
    /// The wind the ladder stands on, and each control's mark there.
    pub foot: (String, Vec<StartMark>),
    /// Controls that are not used in some winds: `Tackline: not used at 14 kn; no mark is known from 10 to 18`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_used: Vec<String>,
    /// In rising order of wind.
    pub rungs: Vec<Rung>,
    /// How far apart building and easing stand: `1 kn`; `None` if they do not.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub apart: Option<String>,
    /// How much earlier to act at night: `2 kn`.
    pub earlier: Option<String>,
    /// Grounds in use, as the legend explains them.
    pub grounds: Vec<Ground>,
    /// What the winds count and what they do not.
    pub assumptions: Vec<String>,
    /// Sails that are for less than they were made for: `J1: luff torn; 5 to 12 kn now, was 5 to 16`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub narrowed: Vec<String>,
    pub cautions: Vec<String>,
    /// Every change as it is found on the curve, in rising order of wind: finer than print, so no part of the stamp.
    pub exact: Vec<ExactChange>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// Where a control stands as the ladder begins.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StartMark {
    pub control: String,
    pub mark: String,
    /// `None` where there is none to set.
    pub ground: Option<Ground>,
}

/// What moves at one printed wind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rung {
    /// The wind to act at as it builds: `13½`.
    pub wind: String,
    /// The wind to act at as it eases: `12½`.
    pub ease_at: String,
    /// When to act at night in building wind.
    pub night: Option<String>,
    pub building: Vec<Step>,
    /// Each of the same moves the other way, in the same order.
    pub easing: Vec<Step>,
}

/// A move to a mark, and what that mark is known from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    #[serde(flatten)]
    pub moved: Move,
    pub ground: Ground,
}

/// A wind at which the reading of a control changes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ExactChange {
    pub control: String,
    /// The side it changes on, where the two differ.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// Its place among the book's controls.
    #[serde(skip)]
    pub index: usize,
    /// Not rounded.
    pub wind_kn: Wind,
    pub from: f64,
    pub to: f64,
    /// Of the mark it changes to.
    pub ground: Ground,
    /// The printed rung that stands for it, counted from 0; `None` where it is too little of a move to be printed.
    pub rung: Option<usize>,
}

impl Content for ChangePoints {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        layout::ladder(self, label)
    }

    fn stamped(&self) -> serde_json::Value {
        let mut visible = self.clone();
        visible.exact.clear();
        visible.data()
    }
}

impl ChangePoints {
    /// `J1 + Main, upwind: change points`.
    pub fn title(&self) -> String {
        let title = self.title.as_ref().map(|title| format!(", {title}")).unwrap_or_default();
        format!("{}, {}{title}: change points", self.sails.join(" + "), self.point_of_sail)
    }
}

impl Step {
    /// The mark it ends at, with its sign: `● 4`.
    pub fn mark(&self) -> String {
        signed(&self.moved.to, self.ground)
    }

    /// `3½ to ● 4, TIGHTER`.
    pub fn words(&self) -> String {
        format!("{} {}", self.moved.from, self.back_words())
    }

    /// The same move with that of the starboard side beside it.
    fn with_starboard(&self, name: &str, starboard: &Step) -> Step {
        let both = |port: &String, starboard: &String| {
            Sided::Each { port: port.clone(), starboard: starboard.clone() }.words()
        };
        let (port, other) = (&self.moved, &starboard.moved);
        let moved = Move {
            control: name.to_owned(),
            from: both(&port.from, &other.from),
            to: both(&port.to, &other.to),
            direction: port.direction.clone(),
        };
        Step { moved, ground: self.ground.max(starboard.ground) }
    }

    /// `to ● 3½, EASED`: where the way there stands beside it.
    pub fn back_words(&self) -> String {
        Move { to: self.mark(), ..self.moved.clone() }.back_words()
    }
}

/// `{kind: change-points, settings: j1-upwind, size: A6, id: ...}`.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let settings = super::entry_settings(book, &mut entry, problems);
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    let at_wind = entry.take("at_wind").and_then(|node| {
        let about = "the wind of a change-points card";
        let value = quantity::wind(node, &book.units, about, &limits::WIND_KN, problems)?;
        Some(Spanned { value, place: node.place.clone() })
    });
    entry.finish(problems);
    let Some(settings) = settings else { return Vec::new() };
    if let Some(angled) = &settings.angled {
        return angle_changes::cards(book, (settings, angled), (id, size), at_wind.as_ref(), problems);
    }
    if let Some(wind) = &at_wind {
        problems.push(Problem::error(
            wind.place.clone(),
            format!(
                "the settings `{}` go by wind alone, and their change points stand at every wind",
                settings.id.value
            ),
            "take `at_wind` out",
        ));
        return Vec::new();
    }
    let Some(content) = content(book, settings, size, problems) else { return Vec::new() };
    let id = id.unwrap_or_else(|| format!("change-{}", settings.id.value));
    vec![Card::new(id, KIND.name, content.title(), Stock::Card, settings.place.clone(), content)]
}

/// The ladder of one settings table; `None` where nothing ever moves, and says so.
pub fn content(
    book: &Book,
    settings: &Settings,
    size: Option<NamedSize>,
    problems: &mut Vec<Problem>,
) -> Option<ChangePoints> {
    if let Some(problem) = out_of_use(book, settings) {
        problems.push(problem);
        return None;
    }
    let winds = book.range_of(settings).wind_now()?;
    let columns = columns(book, settings);
    let ladders = ladders(book, (settings, &columns), winds, problems)?;
    let known = ladders.iter().filter_map(|one| one.column.known().first()).map(|known| known.at);
    let start = known.min().unwrap_or(winds.low).max(winds.low);
    let unit = book.units.wind;
    let steps_apart = Spacing::steps_for(book.rungs_apart, unit);
    let spacing = Spacing { unit, steps_apart, start, top: winds.high };
    let ladders: Vec<Ladder<'_>> = ladders.into_iter().map(|one| one.with_rungs(&spacing)).collect();
    let mut heights: Vec<i64> = ladders.iter().flat_map(|one| &one.rungs).map(|rung| rung.building).collect();
    heights.sort_unstable();
    heights.dedup();
    if heights.is_empty() {
        problems.push(nothing_moves(settings, ladders.iter().any(|one| !one.changes.is_empty())));
        return None;
    }
    let night = book.dark.map(|dark| dark.change_earlier);
    let rungs: Vec<Rung> = heights
        .iter()
        .filter_map(|building| rung(&ladders, *building, &spacing, night.map(|by| by.steps(unit))))
        .collect();
    let of_control = || recorded_of(book, settings, &columns);
    let marks: Vec<StartMark> = of_control().map(|(control, column)| at_start(control, column, start)).collect();
    let steps = rungs.iter().flat_map(|rung| rung.building.iter().chain(&rung.easing)).map(|step| step.ground);
    let grounds: BTreeSet<Ground> = steps.chain(marks.iter().filter_map(|mark| mark.ground)).collect();
    let mut exact: Vec<ExactChange> = ladders.iter().flat_map(|one| one.exact(&heights)).collect();
    exact.sort_by_key(|change| change.wind_kn);
    Some(ChangePoints {
        size,
        boat: book.boat.name.value.clone(),
        sails: sail_names(book, settings),
        point_of_sail: point_of_sail(settings.point_of_sail).to_owned(),
        title: settings.title.clone(),
        wind: wind_words(book),
        wind_unit: unit.symbol().to_owned(),
        foot: (start.print(unit), marks),
        not_used: of_control().filter_map(|(control, column)| not_used(control, column, winds, unit)).collect(),
        rungs,
        apart: (steps_apart > 0).then(|| spacing.apart().print_with_unit(unit)),
        earlier: night.map(|by| by.print_with_unit(unit)),
        grounds: grounds.into_iter().collect(),
        assumptions: assumptions(book, settings, &spacing),
        narrowed: narrowed_sails(book, settings),
        cautions: of_control().flat_map(|(control, _)| limit_words(control)).collect(),
        working: ladders.iter().map(|one| working::working(settings, one, &exact, &spacing)).collect(),
        exact,
    })
}

/// One control on the ladder, on one side if the two differ, and in one stretch of wind if it is not used in all of them.
struct Ladder<'a> {
    /// Its place among the book's controls.
    index: usize,
    control: &'a Control,
    side: Option<Side>,
    column: Column,
    winds: Span,
    /// As the curve has them.
    changes: Vec<Change>,
    /// As they are printed.
    rungs: Vec<ladder::Rung>,
}

impl Ladder<'_> {
    fn with_rungs(self, spacing: &Spacing) -> Self {
        Ladder { rungs: ladder::rungs(self.column.scale(), &self.changes, spacing), ..self }
    }

    /// What a mark is known from that stands from one change to another; none is the end of the ladder.
    fn ground(&self, reading: f64, from: Option<&Change>, to: Option<&Change>) -> Ground {
        let from = from.map_or(self.winds.low, |change| change.at);
        ladder::ground(&self.column, reading, from, to.map_or(self.winds.high, |change| change.at))
    }

    /// The move of one rung, up and down.
    fn steps(&self, nth: usize) -> Option<(Step, Step)> {
        let rung = self.rungs.get(nth)?;
        let before = nth.checked_sub(1).and_then(|nth| self.changes.get(self.rungs.get(nth)?.changes.start));
        let next = self.rungs.get(nth + 1).and_then(|next| self.changes[next.changes.clone()].last());
        let (first, last) = (self.changes.get(rung.changes.start), self.changes[rung.changes.clone()].last());
        // Where changes are joined a mark may stand anywhere from the first of those below it to the last above it.
        let moved = |from: f64, to: f64| {
            let control = sided::named(&self.control.name, self.side);
            Move { control, ..Move::new(self.control, from, to) }
        };
        let up = Step { moved: moved(rung.from, rung.to), ground: self.ground(rung.to, first, next) };
        let down = Step { moved: moved(rung.to, rung.from), ground: self.ground(rung.from, before, last) };
        Some((up, down))
    }

    /// Every change, with the rung that stands for it among those at these heights.
    fn exact<'a>(&'a self, heights: &'a [i64]) -> impl Iterator<Item = ExactChange> + 'a {
        self.changes.iter().enumerate().map(|(nth, change)| {
            let rung = self.rungs.iter().find(|rung| rung.changes.contains(&nth));
            ExactChange {
                control: self.control.name.clone(),
                side: self.side,
                index: self.index,
                wind_kn: change.at,
                from: change.from,
                to: change.to,
                ground: self.ground(change.to, Some(change), self.changes.get(nth + 1)),
                rung: rung.and_then(|rung| heights.binary_search(&rung.building).ok()),
            }
        })
    }
}

/// The controls of a table with their changes inside the sails' winds; `None` if one has too many to be read.
fn ladders<'a>(
    book: &'a Book,
    (settings, columns): (&'a Settings, &[Option<Sided<Stretches>>]),
    winds: Span,
    problems: &mut Vec<Problem>,
) -> Option<Vec<Ladder<'a>>> {
    let mut found = Vec::new();
    let stretches = settings.controls.iter().zip(columns).flat_map(|(index, column)| {
        let by_side = column.iter().flat_map(Sided::each);
        by_side.flat_map(move |(side, column)| column.columns().iter().map(move |column| (index, side, column)))
    });
    for (index, side, column) in stretches {
        let Some(control) = book.controls.get(*index) else { continue };
        let inside = column.changes().filter(|change| winds.holds(change.at));
        let changes: Vec<Change> = inside.take(MOST_CHANGES + 1).collect();
        if changes.len() > MOST_CHANGES {
            problems.push(Problem::error(
                settings.place.clone(),
                format!("\"{}\" changes at more than {MOST_CHANGES} winds", control.name),
                "let its scale be read to coarser steps: `every`",
            ));
            return None;
        }
        let column = column.clone();
        found.push(Ladder { index: *index, control, side, column, winds, changes, rungs: Vec::new() });
    }
    Some(found)
}

fn nothing_moves(settings: &Settings, a_little: bool) -> Problem {
    let id = &settings.id.value;
    Problem::error(
        settings.place.clone(),
        match a_little {
            true => {
                format!("nothing moves by half a mark or more in the settings `{id}`, so they have no change points")
            }
            false => format!("nothing moves in the settings `{id}`, so they have no change points"),
        },
        "leave the card out, or record a second wind",
    )
}

/// What moves at one height, of every control in its order; `earlier` is what night takes off, in printed steps.
fn rung(ladders: &[Ladder<'_>], building: i64, spacing: &Spacing, earlier: Option<i64>) -> Option<Rung> {
    let here = ladders.iter().filter_map(|one| {
        let nth = one.rungs.iter().position(|rung| rung.building == building)?;
        Some((one, one.rungs.get(nth)?.easing, one.steps(nth)?))
    });
    let here: Vec<(&Ladder<'_>, i64, (Step, Step))> = here.collect();
    let easing = here.iter().map(|(_, easing, _)| *easing).min()?;
    let (up, down) = both_sides(here).into_iter().unzip();
    let print = |steps: i64| Wind::from_steps(steps, spacing.unit).print(spacing.unit);
    Some(Rung {
        wind: print(building),
        ease_at: print(easing),
        // Under the start of the ladder there is nothing to go back to.
        night: earlier.map(|by| print((building - by).max(spacing.start.steps(spacing.unit)))),
        building: up,
        easing: down,
    })
}

/// The moves of one height, those of the two sides of a control as one where both go the same way at the same winds.
fn both_sides(here: Vec<(&Ladder<'_>, i64, (Step, Step))>) -> Vec<(Step, Step)> {
    let mut told: Vec<(&Ladder<'_>, i64, (Step, Step))> = Vec::new();
    for (ladder, easing, steps) in here {
        let is_other_side = |before: &(&Ladder<'_>, i64, (Step, Step))| {
            let (other, other_easing, (up, _)) = before;
            (other.index, *other_easing, &up.moved.direction) == (ladder.index, easing, &steps.0.moved.direction)
                && (other.side, ladder.side) == (Some(Side::Port), Some(Side::Starboard))
        };
        match told.last_mut().filter(|before| is_other_side(before)) {
            Some((port, _, (up, down))) => {
                let name = &port.control.name;
                (*up, *down) = (up.with_starboard(name, &steps.0), down.with_starboard(name, &steps.1));
            }
            None => told.push((ladder, easing, steps)),
        }
    }
    told.into_iter().map(|(_, _, steps)| steps).collect()
}

/// Where a control stands as the ladder begins.
fn at_start(control: &Control, column: &Sided<Stretches>, start: Wind) -> StartMark {
    let setting = sided::at(column, start);
    let mark = sided::mark(&control.scale, &setting);
    StartMark { control: control.name.clone(), mark, ground: sided::ground(&setting) }
}

/// In which of some winds a control is not used, and in which nothing is known of it for that; `None` where it is used in all.
fn not_used(control: &Control, column: &Sided<Stretches>, winds: Span, unit: WindUnit) -> Option<String> {
    let winds = Band::from(winds);
    // It is not used on either side, or on both.
    let column = column.on(Side::Port);
    let at: Vec<String> = column.not_used().filter(|at| winds.holds(*at)).map(|at| at.print(unit)).collect();
    let part = |(low, high): (Wind, Wind)| match high.is_finite() {
        true => format!("from {} to {}", low.print(unit), high.print(unit)),
        false => format!("above {}", low.print(unit)),
    };
    let unknown: Vec<String> = column.unknown_in(winds).into_iter().map(part).collect();
    (!at.is_empty() || !unknown.is_empty()).then(|| {
        let at = if at.is_empty() { String::new() } else { format!("not used at {} {}", at.join(", "), unit.symbol()) };
        let unknown =
            if unknown.is_empty() { String::new() } else { format!("no mark is known {}", unknown.join(", ")) };
        let said: Vec<String> = [at, unknown].into_iter().filter(|words| !words.is_empty()).collect();
        format!("{}: {}", control.name, said.join("; "))
    })
}

/// What the winds of the ladder count and what they do not.
fn assumptions(book: &Book, settings: &Settings, spacing: &Spacing) -> Vec<String> {
    let unit = spacing.unit;
    let apart = (spacing.steps_apart > 0).then(|| spacing.apart().print_with_unit(unit));
    let mut words = Vec::new();
    words.extend(apart.as_ref().map(|apart| format!("Building and easing stand {apart} apart, so that nobody hunts.")));
    words.extend(book.dark.map(|dark| {
        let by = dark.change_earlier.print_with_unit(unit);
        let ease = apart.map_or_else(|| "ease at it too".to_owned(), |apart| format!("ease {apart} below it"));
        format!("Night: in building wind act at NIGHT, {by} earlier; {ease}.")
    }));
    if settings.point_of_sail != PointOfSail::Upwind {
        return words;
    }
    match (Feel::of(book), book.dark) {
        (Some(_), Some(_)) => words.push(
            "Those below are not counted: go by the wind that the crew-below card says to read at. It does not count the \
             night: the two add up."
                .to_owned(),
        ),
        (Some(_), None) => {
            words.push("Those below are not counted: go by the wind that the crew-below card says to read at.".to_owned());
        }
        (None, Some(_)) => words.push("Those below are not counted, not at NIGHT either.".to_owned()),
        (None, None) => {}
    }
    words
}

/// `Backstay 4 to 4½, TIGHTER: at 12½ kn`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    let unit = text(content.get("wind_unit"));
    if let Some(serde_json::Value::Array(foot)) = content.shift_remove("foot") {
        let wind = foot.first().map(short).unwrap_or_default();
        for pair in foot.get(1).and_then(serde_json::Value::as_array).into_iter().flatten() {
            // A card of before the signs has pairs.
            let [control, mark] = [("control", 0), ("mark", 1)].map(|(field, nth)| match pair.get(field) {
                Some(said) => text(Some(said)),
                None => item(pair, nth),
            });
            lines.push(Said::one(format!("{control} at {wind} {unit}"), mark));
        }
    }
    lines.extend(texts(content, "not_used").into_iter().map(|words| Said::among("", words)));
    for rung in taken(content, "rungs") {
        let wind = text(rung.get("wind"));
        // A card of before the dead band has one wind for both.
        let ease_at = rung.get("ease_at").map_or_else(|| wind.clone(), |wind| text(Some(wind)));
        let night = text(rung.get("night"));
        let night = if night.is_empty() { night } else { format!(", at night {night}") };
        for (way, wind, night) in [("building", &wind, night.as_str()), ("easing", &ease_at, "")] {
            for step in rung.get(way).and_then(serde_json::Value::as_array).into_iter().flatten() {
                let [control, from, to, direction] =
                    ["control", "from", "to", "direction"].map(|field| text(step.get(field)));
                let direction = if direction.is_empty() { direction } else { format!(", {direction}") };
                let about = format!("{way}, {control} {from} to {to}{direction}");
                lines.push(Said::one(about, format!("at {wind} {unit}{night}")));
            }
        }
    }
    // How far apart they stand is taken for granted.
    for field in ["grounds", "exact", "apart"] {
        content.shift_remove(field);
    }
    lines.extend(optional(content, "earlier", "act earlier at night"));
}
