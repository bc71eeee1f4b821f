//! The kind `change-points`: a ladder of winds, or of angles in one wind, each rung with every mark to have from there on, for
//! one settings table.

mod by_angle;
mod climbing;
mod layout;
mod working;

use crate::wrong::Wrong;

use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::matrix::{columns, out_of_use, recorded_of};
use super::parts::read_at::Feel;
use super::parts::telling::{Said, by_lines, item, optional, taken, texts};
use super::parts::words::{LimitWords, limit_words, narrowed_sails, point_of_sail, sail_names, wind_words};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Stock, Usual};
use crate::book::{Book, Control, PointOfSail, Problem, Section, Settings, Spanned, Table, WindUnit, quantity};
use crate::drawing::Drawing;
use crate::limits;
use crate::size::NamedSize;
use crate::tuning::ladder::{self, Lane, Spacing};
use crate::tuning::{Angle, Band, Change, Ground, Side, Sided, Span, Stretches, Wind};
use climbing::{Climber, Ways};

pub const KIND: Kind = Kind {
    name: "change-points",
    about: "The marks to have as the wind builds or eases, rung by rung",
    made_of: &[Section::WindBands, Section::WindSource, Section::Dark, Section::ChangePoints],
    from_entry,
    by_default: |book| Usual::of_settings(book, true),
    changes: |old, new| by_lines(old, new, lines),
};

/// Changes of one control past which no ladder can be read: a gauge read too finely.
const MOST_CHANGES: usize = 2_000;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ChangePoints {
    /// It is looks, not content.
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    pub sails: Vec<String>,
    /// `upwind`; of a table that is kept by angle its angles, `50° to 110°`.
    pub point_of_sail: String,
    /// What tells it from another card of these sails: `flat water`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub title: Option<String>,
    /// `2 of 3`, where one card does not hold all of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// The winds or angles of this part: `6 to 14 kn`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub span: Option<String>,
    /// What the winds are.
    pub wind: String,
    pub wind_unit: String,
    /// The one wind of a ladder along the angle: `12 kn`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub at_wind: Option<String>,
    /// Where the ladder stands: the lightest wind or the closest angle that anything is known of.
    pub start: String,
    /// In the order of the settings.
    pub columns: Vec<ControlHead>,
    /// In rising order of wind, or from close to broad.
    pub rows: Vec<Row>,
    /// Controls that are not used in some winds: `Tackline: not used at 14 kn; no mark is known from 10 to 18`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub not_used: Vec<String>,
    /// How far apart the two ways of a rung stand: `1 kn`; `None` if they do not.
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
    pub cautions: Vec<LimitWords>,
    /// Every change as it is found on the curve, in rising order of wind: finer than print, so no part of the stamp. None where
    /// nobody asks for the working.
    pub exact: Vec<ExactChange>,
    /// The same along the angle.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub exact_angles: Vec<(String, Change<Angle>)>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// The control of a column.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ControlHead {
    pub control: String,
    /// What a higher mark does: `TIGHTER`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub higher: Option<String>,
    /// `bar`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub unit: Option<String>,
}

/// Every mark to have from one rung to the next.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Row {
    /// When to come here and when to go back; the lowest row has no rung.
    pub rung: Option<Rung>,
    /// One for each column.
    pub marks: Vec<Mark>,
}

/// The places to act at, as they are printed.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rung {
    /// From here on as the wind builds: `13½`.
    pub building: String,
    /// Below this as it eases: `12½`.
    pub easing: String,
    /// The same at night.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub night: Option<Night>,
}

/// The winds to act at by night.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Night {
    /// Never under the start of the ladder.
    pub building: String,
    /// Nor is this.
    pub easing: String,
}

/// A mark to have.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mark {
    /// Without its unit, which stands in the head: `4½`, `2 P, 2½ S`, `–`.
    pub mark: String,
    /// `None` where there is none to set.
    pub ground: Option<Ground>,
    /// Not as in the row before it.
    pub is_new: bool,
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
        visible.exact_angles.clear();
        visible.data()
    }
}

impl ChangePoints {
    /// `J1 + Main, upwind: change points`, `J1 + Main, 50° to 110°: change points at 12 kn, 2 of 3`.
    pub fn title(&self) -> String {
        let title = self.title.as_ref().map(|title| format!(", {title}")).unwrap_or_default();
        let at = self.at_wind.as_ref().map(|wind| format!(" at {wind}")).unwrap_or_default();
        let part = self.part.as_ref().map(|part| format!(", {part}")).unwrap_or_default();
        format!("{}, {}{title}: change points{at}{part}", self.sails.join(" + "), self.point_of_sail)
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
    let found = match (&settings.angled, &at_wind) {
        (Some(angled), _) => by_angle::contents(book, (settings, angled), size, at_wind.as_ref(), problems),
        (None, Some(wind)) => {
            problems.push(Problem::error(
                wind.place.clone(),
                format!(
                    "the settings `{}` go by wind alone, and their change points stand at every wind",
                    settings.id.value
                ),
                "take `at_wind` out",
            ));
            Vec::new()
        }
        (None, None) => contents(book, settings, size, problems),
    };
    let stem = id.unwrap_or_else(|| format!("change-{}", settings.id.value));
    let card = |(index, content): (usize, ChangePoints)| {
        let id = if index == 0 { stem.clone() } else { format!("{stem}-{}", index + 1) };
        Card::new(id, KIND.name, content.title(), Stock::Card, settings.place.clone(), content)
    };
    found.into_iter().enumerate().map(card).collect()
}

/// The ladder of one settings table, on as many cards as it takes to be read; none where nothing ever moves, which it says.
pub fn contents(
    book: &Book,
    settings: &Settings,
    size: Option<NamedSize>,
    problems: &mut Vec<Problem>,
) -> Vec<ChangePoints> {
    let label = Label::longest(book);
    content(book, settings, size, problems).map(|whole| climbing::parted(whole, &label)).unwrap_or_default()
}

/// The ladder of one settings table, however long; `None` where nothing ever moves, and says so.
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
    let exact = exact(book, (settings, &columns), winds, problems)?;
    let known = || {
        let sides = recorded_of(book, settings, &columns).flat_map(|(_, column)| column.each());
        sides.flat_map(|(_, column)| column.known()).map(|known| known.at)
    };
    let start = known().min().unwrap_or(winds.low).max(winds.low);
    let last = known().max().unwrap_or(start).max(start);
    let unit = book.units.wind;
    let steps_apart = Spacing::steps_for(book.rungs_apart, unit);
    let spacing = Spacing { step: Wind::from_steps(1, unit), steps_apart, start, top: winds.high };
    let climbers: Vec<Climber<'_, Wind>> =
        recorded_of(book, settings, &columns).map(|(control, column)| climber(control, column)).collect();
    let rows = climbing::rows(&climbers, &spacing, last);
    if rows.len() < 2 {
        problems.push(nothing_moves(settings, !exact.is_empty()));
        return None;
    }
    let night = book.dark.map(|dark| dark.change_earlier);
    let ways = Ways {
        print: Box::new(move |steps| Wind::from_steps(steps, unit).print(unit)),
        lowest: start.steps(unit),
        earlier: night.map(|by| by.steps(unit)),
    };
    let of_control = || recorded_of(book, settings, &columns);
    Some(
        ChangePoints {
            size,
            boat: book.boat.name.value.clone(),
            sails: sail_names(book, settings),
            point_of_sail: point_of_sail(settings.point_of_sail).to_owned(),
            title: settings.title.clone(),
            part: None,
            span: None,
            wind: wind_words(book),
            wind_unit: unit.symbol().to_owned(),
            at_wind: None,
            start: start.print(unit),
            columns: climbers.iter().map(Climber::head).collect(),
            rows: climbing::told(&climbers, &rows, &ways),
            not_used: of_control().filter_map(|(control, column)| not_used(control, column, winds, unit)).collect(),
            apart: (steps_apart > 0).then(|| spacing.apart().print_with_unit(unit)),
            earlier: night.map(|by| by.print_with_unit(unit)),
            grounds: Vec::new(),
            assumptions: assumptions(book, settings, &spacing),
            narrowed: narrowed_sails(book, settings),
            cautions: of_control().flat_map(|(control, _)| limit_words(control)).collect(),
            working: book.explained(|| working::by_wind(book, (settings, &climbers), (&rows, &spacing), &exact)),
            exact: book.explained(|| exact),
            exact_angles: Vec::new(),
        }
        .with_grounds(),
    )
}

impl ChangePoints {
    /// The legend explains the grounds of its own rows.
    fn with_grounds(mut self) -> Self {
        let marks = self.rows.iter().flat_map(|row| &row.marks);
        let grounds: std::collections::BTreeSet<Ground> = marks.filter_map(|mark| mark.ground).collect();
        self.grounds = grounds.into_iter().collect();
        self
    }
}

/// A control over the wind.
fn climber<'a>(control: &'a Control, column: &'a Sided<Stretches>) -> Climber<'a, Wind> {
    let lane = |column: &'a Stretches| Lane {
        scale: &control.scale,
        told: Box::new(move |wind| column.at(wind)),
        recorded: column.known().copied().collect(),
        not_used: column.not_used().collect(),
    };
    let lanes = match column {
        Sided::Alike(both) => Sided::Alike(lane(both)),
        Sided::Each { port, starboard } => Sided::Each { port: lane(port), starboard: lane(starboard) },
    };
    Climber { control, lanes }
}

/// Every change inside the sails' winds, in rising order; `None` if a control has too many to be read.
fn exact(
    book: &Book,
    (settings, columns): (&Settings, &[Option<Sided<Stretches>>]),
    winds: Span,
    problems: &mut Vec<Problem>,
) -> Option<Vec<ExactChange>> {
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
        for (nth, change) in changes.iter().enumerate() {
            let to = changes.get(nth + 1).map_or(winds.high, |next| next.at);
            found.push(ExactChange {
                control: control.name.clone(),
                side,
                index: *index,
                wind_kn: change.at,
                from: change.from,
                to: change.to,
                ground: ladder::ground(column, change.to, change.at, to),
            });
        }
    }
    found.sort_by_key(|change| change.wind_kn);
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
    let unit = book.units.wind;
    let mut words = Vec::new();
    words.extend(book.dark.map(|dark| {
        let by = dark.change_earlier.print_with_unit(unit);
        format!("NIGHT: {by} earlier both ways, never under {}.", spacing.start.print(unit))
    }));
    if settings.point_of_sail != PointOfSail::Upwind {
        return words;
    }
    match (Feel::of(book), book.dark) {
        (Some(_), Some(_)) => words.push(
            "Those below are not counted: go by the wind of the crew-below card, and NIGHT on top of it.".to_owned(),
        ),
        (Some(_), None) => {
            words.push("Those below are not counted: go by the wind of the crew-below card.".to_owned());
        }
        (None, Some(_)) => words.push("Those below are not counted, not at NIGHT either.".to_owned()),
        (None, None) => {}
    }
    words
}

/// `Backstay from 12½ kn: 4½`: each mark where it is new. A card of an earlier release, which tells moves, is told in the same
/// words.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    let unit = text(content.get("wind_unit"));
    let unit = if content.contains_key("at_wind") { String::new() } else { format!(" {unit}") };
    lines.extend(texts(content, "not_used").into_iter().map(|words| Said::among("", words)));
    lines.extend(optional(content, "span", "winds of this part"));
    let heads = taken(content, "columns");
    let controls: Vec<String> = heads.iter().map(|head| text(head.get("control"))).collect();
    for (head, control) in heads.iter().zip(&controls) {
        let higher = head.get("higher").map(|higher| Said::one(format!("a higher mark of {control}"), short(higher)));
        lines.extend(higher);
    }
    let start = content.shift_remove("start").map(|start| short(&start));
    for row in taken(content, "rows") {
        let rung = row.get("rung").filter(|rung| rung.is_object());
        let words = rung.map(|rung| rung_words(rung, &unit));
        let marks = row.get("marks").and_then(serde_json::Value::as_array).into_iter().flatten();
        for (control, mark) in controls.iter().zip(marks) {
            let is_new = mark.get("is_new").and_then(serde_json::Value::as_bool).unwrap_or_default();
            let at = match &words {
                Some(words) => words.clone(),
                None => format!("at {}{unit}", start.as_deref().unwrap_or_default()),
            };
            if is_new || words.is_none() {
                lines.push(Said::one(format!("{control} {at}"), text(mark.get("mark"))));
            }
        }
    }
    earlier_release(content, &unit, lines);
    // How far apart they stand is taken for granted.
    for field in ["grounds", "exact", "exact_angles", "apart"] {
        content.shift_remove(field);
    }
    lines.extend(optional(content, "earlier", "act earlier at night"));
}

/// `from 13 kn building, below 12 kn easing, at night 11 and 10`.
fn rung_words(rung: &serde_json::Value, unit: &str) -> String {
    let way = |field: &str| text(rung.get(field));
    let night = rung
        .get("night")
        .map(|night| format!(", at night {} and {}", text(night.get("building")), text(night.get("easing"))));
    format!("from {}{unit}, back below {}{unit}{}", way("building"), way("easing"), night.unwrap_or_default())
}

/// What a card says that was released before each row held every mark.
fn earlier_release(content: &mut Fields, unit: &str, lines: &mut Vec<Said>) {
    for field in ["foot", "start"] {
        let Some(serde_json::Value::Array(start)) = content.shift_remove(field) else { continue };
        let at = start.first().map(short).unwrap_or_default();
        for pair in start.get(1).and_then(serde_json::Value::as_array).into_iter().flatten() {
            let [control, mark] = [("control", 0), ("mark", 1)].map(|(field, nth)| match pair.get(field) {
                Some(said) => text(Some(said)),
                None => item(pair, nth),
            });
            lines.push(Said::one(format!("{control} at {at}{unit}"), mark));
        }
    }
    for rung in taken(content, "rungs") {
        let at = ["wind", "angle"].iter().find_map(|field| rung.get(*field)).map(short).unwrap_or_default();
        for step in ["building", "away"].iter().filter_map(|way| rung.get(*way)?.as_array()).flatten() {
            let [control, to] = [("control", 0), ("to", 1)].map(|(field, nth)| match step.get(field) {
                Some(said) => text(Some(said)),
                None => item(step, nth),
            });
            lines.push(Said::one(format!("{control} from {at}{unit}"), to));
        }
    }
}
