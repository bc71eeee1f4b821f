//! The kind `change-points`: a ladder of wind speeds with what moves at each, for one settings table.

use crate::wrong::Wrong;
use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::frame::Surround;
use super::parts::matrix::{columns, out_of_use};
use super::parts::moves::Move;
use super::parts::table::{Cell, Column as Ruling, Halves, Paragraph, Row, Ruled, Under};
use super::parts::telling::{Said, by_lines, item, optional, taken};
use super::parts::words::{limit_words, narrowed_sails, point_of_sail, sail_names, wind_words};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Stock, angle_changes};
use crate::book::{Book, Control, Problem, Section, Settings, Spanned, Table, WindUnit, quantity};
use crate::drawing::{Drawing, Weight};
use crate::limits;
use crate::size::NamedSize;
use crate::tuning::{Change, Column, Wind};

pub const KIND: Kind = Kind {
    name: "change-points",
    about: "What moves next as the wind builds or eases",
    made_of: &[Section::WindBands, Section::WindSource, Section::Dark],
    from_entry,
    by_default: |_, _| Vec::new(),
    changes: |old, new| {
        let goes_by_angle = old.contains_key("at_wind") && new.contains_key("at_wind");
        by_lines(old, new, if goes_by_angle { angle_changes::lines } else { lines })
    },
};

/// Words that need more room may make another seam than the most even the better one.
const SEAMS_TRIED: usize = 3;
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
    pub foot: (String, Vec<(String, String)>),
    /// In rising order of wind.
    pub rungs: Vec<Rung>,
    /// How much earlier to act at night: `2 kn`.
    pub earlier: Option<String>,
    /// Sails that are for less than they were made for: `J1: luff torn; 5 to 12 kn now, was 5 to 16`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub narrowed: Vec<String>,
    pub cautions: Vec<String>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// What moves at one printed wind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rung {
    /// `13½`.
    pub wind: String,
    /// When to act at night in building wind.
    pub night: Option<String>,
    pub building: Vec<Move>,
    /// Each of the same moves the other way, in the same order.
    pub easing: Vec<Move>,
    /// Control, by index into the book's, and each change in it. Finer than print, so it is no content.
    #[serde(skip)]
    pub exact: Vec<(usize, Change)>,
}

impl Content for ChangePoints {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        self.ladder().draw(label).or_else(|refusal| {
            let mut seams = self.seams().into_iter().take(SEAMS_TRIED);
            seams.find_map(|seam| self.halves(seam)?.draw(label).ok()).ok_or(refusal)
        })
    }
}

impl ChangePoints {
    /// `J1 + Main, upwind: change points`.
    pub fn title(&self) -> String {
        let title = self.title.as_ref().map(|title| format!(", {title}")).unwrap_or_default();
        format!("{}, {}{title}: change points", self.sails.join(" + "), self.point_of_sail)
    }

    /// One ladder of all the rungs.
    fn ladder(&self) -> Ruled {
        let night = self.earlier.is_some().then(|| Ruling::narrow("NIGHT"));
        let moves = ["BUILDING: read up", "EASING: down"].map(Ruling::wrapped);
        let wind = Ruling::narrow(format!("WIND {}", self.wind_unit));
        Ruled {
            size: self.size.clone(),
            surround: self.surround(),
            name: format!("{}: {}", self.boat, self.title()),
            description: format!("What moves at which wind, {} winds", self.rungs.len()),
            columns: std::iter::once(wind).chain(night).chain(moves).collect(),
            rows: self.rows(&self.rungs, |up, down| {
                vec![Paragraph::named(&up.control, up.words()).into(), Cell::plain(down.back_words())]
            }),
            boxed_in: true,
            ..Ruled::default()
        }
    }

    /// Two ladders beside each other, the lighter winds at the left, the rung numbered `seam` the first at the right. Each
    /// move is told in fewer words: the marks above and below the rung, and which way it is to the one above.
    fn halves(&self, seam: usize) -> Option<Ruled> {
        let (low, high) = self.rungs.split_at_checked(seam)?;
        let told = |up: &Move, down: &Move| {
            let above = format!("{} {}", up.to, up.direction);
            vec![Cell::bold(&up.control), Cell::plain(above.trim_end()), Cell::plain(&down.to)]
        };
        let mut ladder = self.ladder();
        // The unit stands in the titles.
        let night = self.earlier.is_some().then(|| Ruling::narrow("NIGHT"));
        let moves = [Ruling::narrow(""), Ruling::wrapped("BUILDING"), Ruling::wrapped("EASING")];
        ladder.columns = std::iter::once(Ruling::narrow("WIND")).chain(night).chain(moves).collect();
        ladder.surround.subtitle = format!("Change points: building, read up; easing, read down · {}", self.wind);
        ladder.rows = self.rows(low, told);
        let titles = [self.span(low), format!("then {}", self.span(high))];
        ladder.halves = Some(Halves { second_from: ladder.rows.len(), titles });
        ladder.rows.extend(self.rows(high, told));
        Some(ladder)
    }

    /// Rungs at which the ladder can be parted; first that which leaves the most even number of moves on either side.
    fn seams(&self) -> Vec<usize> {
        let moves = |rungs: &[Rung]| rungs.iter().map(|rung| rung.building.len()).sum::<usize>();
        let mut seams: Vec<usize> = (1..self.rungs.len()).collect();
        seams.sort_by_key(|seam| moves(&self.rungs[..*seam]).abs_diff(moves(&self.rungs[*seam..])));
        seams
    }

    /// `8 to 12½ kn`.
    fn span(&self, rungs: &[Rung]) -> String {
        let (first, last) = (rungs.first().map(|rung| &rung.wind), rungs.last().map(|rung| &rung.wind));
        let winds = [first, last.filter(|last| Some(*last) != first)];
        let winds: Vec<&str> = winds.into_iter().flatten().map(String::as_str).collect();
        format!("{} {}", winds.join(" to "), self.wind_unit)
    }

    /// Strongest wind at the top, so that a building wind climbs.
    fn rows(&self, rungs: &[Rung], moved: impl Fn(&Move, &Move) -> Vec<Cell>) -> Vec<Row> {
        let night = self.earlier.is_some();
        let rung = |rung: &Rung| -> Vec<Row> {
            let count = rung.building.len();
            let pairs = rung.building.iter().zip(&rung.easing).enumerate();
            let row = |(index, (up, down)): (usize, (&Move, &Move))| {
                let once = |text: &str| if index == 0 { Cell::bold(text) } else { Cell::empty() };
                let mut cells = vec![once(&rung.wind)];
                cells.extend(night.then(|| once(rung.night.as_deref().unwrap_or_default())));
                cells.extend(moved(up, down));
                Row::Cells(cells, if index + 1 < count { Under::Nothing } else { Under::Line })
            };
            pairs.map(row).collect()
        };
        rungs.iter().rev().flat_map(rung).collect()
    }

    fn surround(&self) -> Surround {
        let sails = self.sails.iter().enumerate();
        let marks: Vec<String> = self.foot.1.iter().map(|(control, mark)| format!("{control} {mark}")).collect();
        let start = format!("Start at {} {}: {}.", self.foot.0, self.wind_unit, marks.join(" · "));
        let mut foot = vec![(start, Weight::Bold)];
        if let Some(earlier) = &self.earlier {
            let words = format!("Night: in building wind act {earlier} earlier. Easing: as by day.");
            foot.push((words, Weight::Regular));
        }
        foot.extend(self.narrowed.iter().map(|words| (format!("{words}."), Weight::Bold)));
        if !self.cautions.is_empty() {
            let words = format!("Caution: {}. Keep within the makers' working limits.", self.cautions.join("; "));
            foot.push((words, Weight::Bold));
        }
        Surround {
            title: sails
                .map(|(index, sail)| if index == 0 { sail.clone() } else { format!("+ {sail}") })
                .chain(self.title.iter().map(|title| format!("· {title}")))
                .collect(),
            at_right: self.point_of_sail.to_uppercase(),
            subtitle: format!("Change points · {}", self.wind),
            foot,
        }
    }
}

/// `{kind: change-points, settings: j1-upwind, size: A6, id: ...}`; of settings by angle also `at_wind: 12 kn`.
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
    let named: Vec<(usize, &Control, &Column)> = settings
        .controls
        .iter()
        .zip(&columns)
        .filter_map(|(index, column)| Some((*index, book.controls.get(*index)?, column.as_ref()?)))
        .collect();
    let unit = book.units.wind;
    let mut changes: Vec<(i64, usize, Change)> = Vec::new();
    for (index, control, column) in &named {
        let inside = column.changes().filter(|change| winds.holds(change.at));
        let found: Vec<Change> = inside.take(MOST_CHANGES + 1).collect();
        if found.len() > MOST_CHANGES {
            problems.push(Problem::error(
                settings.place.clone(),
                format!("\"{}\" changes at more than {MOST_CHANGES} winds", control.name),
                "let its scale be read to coarser steps: `every`",
            ));
            return None;
        }
        changes.extend(found.into_iter().map(|change| (change.at.steps(unit), *index, change)));
    }
    changes.sort_by_key(|(step, _, change)| (*step, change.at));
    if changes.is_empty() {
        problems.push(Problem::error(
            settings.place.clone(),
            format!("nothing moves in the settings `{}`, so they have no change points", settings.id.value),
            "leave the card out, or record a second wind",
        ));
        return None;
    }
    let earlier = book.dark.map(|dark| dark.change_earlier);
    let rungs = changes.chunk_by(|a, b| a.0 == b.0).map(|rung| {
        let exact: Vec<(usize, Change)> = rung.iter().map(|(_, index, change)| (*index, *change)).collect();
        let step = rung[0].0;
        let wind = Wind::from_steps(step, unit).print(unit);
        // Never below a calm.
        let night = earlier.map(|by| Wind::from_steps((step - by.steps(unit)).max(0), unit).print(unit));
        let moves = |building: bool| {
            let each = named.iter().flat_map(|(index, control, _)| {
                let path = path(exact.iter().filter(|(of, _)| of == index).map(|(_, change)| change));
                let mut pairs: Vec<(f64, f64)> = path.windows(2).map(|ends| (ends[0], ends[1])).collect();
                if !building {
                    pairs = pairs.into_iter().map(|(from, to)| (to, from)).collect();
                }
                pairs.into_iter().map(|(from, to)| Move::new(control, from, to)).collect::<Vec<_>>()
            });
            each.collect::<Vec<Move>>()
        };
        Rung { wind, night, building: moves(true), easing: moves(false), exact: exact.clone() }
    });
    let rungs: Vec<Rung> = rungs.collect();
    let known = named.iter().filter_map(|(_, _, column)| column.known().first()).map(|known| known.at);
    let start = known.min().unwrap_or(winds.low).max(winds.low);
    let at_start = |(_, control, column): &(usize, &Control, &Column)| {
        (control.name.clone(), control.scale.print(column.at(start).reading))
    };
    Some(ChangePoints {
        size,
        boat: book.boat.name.value.clone(),
        sails: sail_names(book, settings),
        point_of_sail: point_of_sail(settings.point_of_sail).to_owned(),
        title: settings.title.clone(),
        wind: wind_words(book),
        wind_unit: unit.symbol().to_owned(),
        foot: (start.print(unit), named.iter().map(at_start).collect()),
        rungs,
        earlier: earlier.map(|by| by.print_with_unit(unit)),
        narrowed: narrowed_sails(book, settings),
        cautions: named.iter().flat_map(|(_, control, _)| limit_words(control)).collect(),
        working: named
            .iter()
            .map(|(index, control, column)| working(settings, unit, *index, control, column))
            .collect(),
    })
}

/// How a control's change points follow from its known rows.
fn working(settings: &Settings, unit: WindUnit, index: usize, control: &Control, column: &Column) -> Passage {
    let mut passage = Passage::new(format!("{}, where it changes", control.name));
    let position = settings.controls.iter().position(|known| *known == index);
    for row in &settings.rows {
        let Some(reading) = position.and_then(|position| row.readings.get(position)?.as_ref()) else { continue };
        let found = format!("known at {}", row.at.value.as_written(unit));
        passage.input(found, control.scale.print(reading.value), &reading.place);
    }
    let how = "the wind at which the curve through the known rows (Fritsch & Butland 1984) rounds to the next mark; \
               the card prints it to the half knot, or the quarter of a metre per second";
    for change in column.changes().take(MOST_CHANGES) {
        let (from, to) = (control.scale.print(change.from), control.scale.print(change.to));
        passage.step(format!("{from} to {to}"), how, change.at.as_written(unit));
    }
    passage
}

/// The readings a control passes through inside one rung: only those where it turns, and the two ends.
fn path<'a>(changes: impl Iterator<Item = &'a Change>) -> Vec<f64> {
    let mut path: Vec<f64> = Vec::new();
    for change in changes {
        if path.is_empty() {
            path.push(change.from);
        }
        if let [.., before, last] = path[..]
            && (last - before).signum() == (change.to - last).signum()
        {
            path.pop();
        }
        path.push(change.to);
    }
    path
}

/// `Backstay 4 to 4½, TIGHTER: at 12½ kn`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    let unit = text(content.get("wind_unit"));
    if let Some(serde_json::Value::Array(foot)) = content.shift_remove("foot") {
        let wind = foot.first().map(short).unwrap_or_default();
        for pair in foot.get(1).and_then(serde_json::Value::as_array).into_iter().flatten() {
            lines.push(Said::one(format!("{} at {wind} {unit}", item(pair, 0)), item(pair, 1)));
        }
    }
    for rung in taken(content, "rungs") {
        let wind = text(rung.get("wind"));
        let night = text(rung.get("night"));
        let night = if night.is_empty() { night } else { format!(", at night {night}") };
        for (way, word) in [("building", "building"), ("easing", "easing")] {
            for step in rung.get(way).and_then(serde_json::Value::as_array).into_iter().flatten() {
                let [control, from, to, direction] =
                    ["control", "from", "to", "direction"].map(|field| text(step.get(field)));
                let direction = if direction.is_empty() { direction } else { format!(", {direction}") };
                let night = if way == "building" { night.as_str() } else { "" };
                let about = format!("{word}, {control} {from} to {to}{direction}");
                lines.push(Said::one(about, format!("at {wind} {unit}{night}")));
            }
        }
    }
    lines.extend(optional(content, "earlier", "act earlier at night"));
}
