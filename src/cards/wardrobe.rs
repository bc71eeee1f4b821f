//! The kind `wardrobe`: which sail is for which wind and angle, where none is, and the winds to change at.

use crate::wrong::Wrong;
use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::frame::Surround;
use super::parts::sets::{SailSet, sets};
use super::parts::table::{Cell, Column, Paragraph, Row, Ruled};
use super::parts::telling::{Said, bare, before_colon, by_lines, taken, texts};
use super::parts::words::{narrowed_words, wind_span, wind_words};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Nothing, Stock, Usual};
use crate::book::{Book, Problem, Sail, SailKind, Section, Table};
use crate::drawing::{Drawing, Weight};
use crate::size::NamedSize;
use crate::tuning::wardrobe::{Area, Part, SailRange, cell, gaps, hand_overs};
use crate::tuning::{Angle, Axis, Span, Wind};

pub const KIND: Kind = Kind {
    name: "wardrobe",
    about: "Which sail is for which wind and angle, and where none is",
    made_of: &[Section::WindBands, Section::Wardrobe, Section::Sails],
    from_entry,
    by_default: |book| match &book.wardrobe {
        Some(_) => Ok(vec![Usual { or_nothing: true, ..Usual::of(&book.boat.name.place) }]),
        None => Err(Nothing::Section("wardrobe")),
    },
    changes: |old, new| by_lines(old, new, lines),
};

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Wardrobe {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    pub wind: String,
    pub wind_unit: String,
    /// `38° to 55°`.
    pub angles: Vec<String>,
    /// In rising order of wind.
    pub rows: Vec<WindRow>,
    /// `5 to 13 kn at 70° to 80°`.
    pub gaps: Vec<String>,
    /// `J1 to J2: both 13 to 16, middle 14½ kn`.
    pub hand_overs: Vec<String>,
    /// Sails that are not what they were: `J1: luff torn; 5 to 12 kn now, was 5 to 16`.
    pub narrowed: Vec<String>,
    /// Sails without both ranges.
    pub without_range: Vec<String>,
    /// Sails that fly with others, none of which is aboard.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub without_partner: Vec<String>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WindRow {
    pub wind: String,
    pub cells: Vec<SailCell>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SailCell {
    /// For all of the cell.
    pub whole: Vec<String>,
    /// For a part of it, with that part: `J2 from 13 kn`.
    pub part: Vec<String>,
    /// Whether some of it has no sail.
    pub gap: bool,
}

/// Reefs of the mainsail by wind; they cover nothing, but they stand in the cells, at any angle unless the book knows better.
fn reefs(book: &Book) -> (Vec<&Sail>, Vec<SailRange>) {
    let reefs = book.sails.iter().filter(|sail| sail.kind == SailKind::Mainsail && sail.reef_of.is_some());
    reefs.map(|sail| (sail, sail.range())).filter(|(_, range)| range.knows_wind()).unzip()
}

/// Warns of every gap inside what the book asks of its sails.
pub fn warn_of_gaps(book: &Book, problems: &mut Vec<Problem>) {
    let Some(plan) = book.wardrobe.as_ref().filter(|_| !book.lacks(Section::Sails)) else { return };
    let (_, ranges) = sets(book);
    for gap in gaps(&ranges, plan.asked) {
        problems.push(Problem::warning(
            plan.place.clone(),
            format!("no sail is for {}", area_words(book, gap)),
            "widen a sail's `wind` or `angle`, or ask for less under `wardrobe`",
        ));
    }
}

impl Content for Wardrobe {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        let wind = Column::narrow(format!("WIND {}", self.wind_unit));
        Ruled {
            size: self.size.clone(),
            surround: self.surround(),
            name: format!("{}: which sail", self.boat),
            description: "Sails by wind and true wind angle".to_owned(),
            columns: std::iter::once(wind).chain(self.angles.iter().map(Column::wrapped)).collect(),
            rows: self.table_rows(),
            boxed_in: true,
            ..Ruled::default()
        }
        .draw(label)
    }
}

impl Wardrobe {
    fn table_rows(&self) -> Vec<Row> {
        let cell = |cell: &SailCell| {
            let whole = cell.whole.iter().map(|name| Paragraph::of(name, Weight::Bold));
            let part = cell.part.iter().map(|name| Paragraph::of(name, Weight::Regular));
            let none = cell.whole.is_empty() && cell.part.is_empty();
            let none = none.then(|| Paragraph::of("no sail", Weight::Regular));
            Cell { paragraphs: whole.chain(part).chain(none).collect(), hatched: cell.gap, ..Cell::default() }
        };
        let row = |row: &WindRow| Row::of(std::iter::once(Cell::bold(&row.wind)).chain(row.cells.iter().map(cell)));
        self.rows.iter().map(row).collect()
    }

    fn surround(&self) -> Surround {
        let mut foot = Vec::new();
        let mut list = |title: &str, items: &[String]| {
            if !items.is_empty() {
                foot.push(format!("{title}: {}.", items.join(" · ")));
            }
        };
        list("As the wind builds (eases: the other way; the middle is of the ranges, not sailed)", &self.hand_overs);
        list("No sail (hatched)", &self.gaps);
        list("Not in the table, since the book gives no wind or angle", &self.without_range);
        list("Not in the table, since nothing that they fly with is aboard", &self.without_partner);
        foot.push("Bold: for all of the cell. Several: the first is the first choice.".to_owned());
        Surround {
            title: vec!["Which sail".to_owned()],
            at_right: String::new(),
            subtitle: format!("{} · true wind angle across", self.wind),
            must: self.narrowed.iter().map(|words| format!("{words}.")).collect(),
            foot,
            ..Surround::default()
        }
    }
}

/// `{kind: wardrobe, size: A5, id: ...}`.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let place = entry.place.clone();
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    entry.finish(problems);
    let Some(content) = content(book, size) else {
        problems.push(Problem::error(
            place,
            "a wardrobe card needs the winds and angles to show",
            "add to the book: wardrobe: {wind: 4..30, angle: 40..170}",
        ));
        return Vec::new();
    };
    let id = id.unwrap_or_else(|| KIND.name.to_owned());
    vec![Card::new(id, KIND.name, "Which sail", Stock::Card, place, content)]
}

/// The table; `None` if the book does not say over which winds and angles.
pub fn content(book: &Book, size: Option<NamedSize>) -> Option<Wardrobe> {
    let plan = book.wardrobe.as_ref()?;
    let (sets, ranges) = sets(book);
    let (reefs, reef_ranges) = reefs(book);
    let names: Vec<String> = sets.iter().map(SailSet::name).collect();
    let reef_names: Vec<String> = reefs.iter().map(|sail| sail.name.clone()).collect();
    let winds = wind_rows(book, plan.asked.wind);
    let shown = |wind: Span<Wind>, angle: Span<Angle>| {
        let area = Area { wind, angle };
        let (of_sails, of_reefs) = (cell(&ranges, area), cell(&reef_ranges, area));
        let chosen = |names: &[String], whole: &[usize]| -> Vec<String> {
            whole.iter().filter_map(|index| names.get(*index).cloned()).collect()
        };
        let parts = |names: &[String], parts: &[Part]| -> Vec<String> {
            let words = |part: &Part| Some(format!("{}{}", names.get(part.sail)?, part_words(book, part.area, area)));
            parts.iter().filter_map(words).collect()
        };
        SailCell {
            whole: [chosen(&names, &of_sails.whole), chosen(&reef_names, &of_reefs.whole)].concat(),
            part: [parts(&names, &of_sails.part), parts(&reef_names, &of_reefs.part)].concat(),
            gap: !of_sails.gaps.is_empty(),
        }
    };
    let whole_table = Area {
        wind: plan.asked.wind,
        angle: Span { low: plan.angle_bands.first()?.low, high: plan.angle_bands.last()?.high },
    };
    let unit = book.units.wind;
    let changes = hand_overs(&ranges).into_iter().filter(|change| change.neighbours).filter_map(|change| {
        let (lighter, heavier) = (names.get(change.lighter)?, names.get(change.heavier)?);
        let (at, from, to) = (change.wind.print_with_unit(unit), change.from.print(unit), change.to.print(unit));
        let pair = format!("{lighter} to {heavier}");
        // Where the ranges only touch there is no middle to speak of.
        Some(if from == to {
            format!("{pair}: at {at}, where both meet")
        } else {
            format!("{pair}: both {from} to {to}, middle {at}")
        })
    });
    let placed = |sail: &Sail| sets.iter().any(|set| set.has(&sail.id.value));
    let in_table = book.sails.iter().filter(|sail| placed(sail)).chain(reefs.iter().copied());
    let narrowed = in_table.flat_map(|sail| {
        let range = sail.range();
        // One that is for all it was for may still not be what it was.
        let whole = sail.status.as_ref().filter(|_| !range.is_narrowed());
        let whole = whole.map(|status| format!("{}: {status}", sail.name));
        range.narrowed().iter().map(|narrowed| narrowed_words(narrowed, unit)).chain(whole).collect::<Vec<_>>()
    });
    let unplaced = book.sails.iter().filter(|sail| sail.kind != SailKind::Mainsail && !placed(sail));
    let (without_partner, without_range): (Vec<&Sail>, Vec<&Sail>) = unplaced.partition(|sail| {
        book.flies_with_others(sail) && !book.sails.iter().any(|other| book.flies_under(sail, other))
    });
    let named = |sails: Vec<&Sail>| sails.into_iter().map(|sail| sail.name.clone()).collect();
    let mut working = Passage::new("Which sail");
    let words = |area: Option<Area>| area.map_or_else(|| "nothing".to_owned(), |area| area_words(book, area));
    for ((set, name), range) in sets.iter().zip(&names).zip(&ranges) {
        let place = &set.under.unwrap_or(set.lead).place;
        working.input(format!("{name} is for"), words(range.made()), place);
        if range.is_narrowed() {
            working.step(format!("{name} now"), "its winds up to `max_now`", words(range.now()));
        }
    }
    let hand_overs: Vec<String> = changes.collect();
    for change in &hand_overs {
        let how = "the middle of the winds that both are for, at angles that both are for";
        working.step("as the wind builds", how, change.clone());
    }
    let gaps: Vec<String> = gaps(&ranges, whole_table).into_iter().map(|gap| area_words(book, gap)).collect();
    for gap in &gaps {
        working.step("no sail", "what is asked for, less what every sail is for now", gap.clone());
    }
    Some(Wardrobe {
        working: vec![working],
        size,
        boat: book.boat.name.value.clone(),
        wind: wind_words(book),
        wind_unit: unit.symbol().to_owned(),
        angles: plan.angle_bands.iter().map(|angle| degrees(*angle)).collect(),
        rows: winds
            .iter()
            .map(|wind| WindRow {
                wind: wind_span(*wind, unit),
                cells: plan.angle_bands.iter().map(|angle| shown(*wind, *angle)).collect(),
            })
            .collect(),
        gaps,
        hand_overs,
        narrowed: narrowed.collect(),
        without_range: named(without_range),
        without_partner: named(without_partner),
    })
}

/// The book's bands, cut to the winds asked for; winds beyond all bands have a row of their own.
fn wind_rows(book: &Book, asked: Span) -> Vec<Span<Wind>> {
    let inner = book.bands.iter().flat_map(|band| [band.low, band.high]).filter(|edge| asked.holds(*edge));
    let mut edges: Vec<Wind> = inner.chain([asked.low, asked.high]).collect();
    edges.sort();
    edges.dedup_by(|higher, lower| higher.is_at(*lower));
    edges.windows(2).filter_map(|ends| Span::new(ends[0], ends[1])).collect()
}

fn degrees(angle: Span<Angle>) -> String {
    format!("{} to {}", angle.low.print(), angle.high.print())
}

fn area_words(book: &Book, area: Area) -> String {
    let unit = book.units.wind;
    format!("{} {} at {}", wind_span(area.wind, unit), unit.symbol(), degrees(area.angle))
}

/// What a sail is for of a cell, where that is not all: ` from 13`, ` to 16, to 70°`.
fn part_words(book: &Book, part: Area, cell: Area) -> String {
    let wind = limits_words(part.wind, cell.wind, |wind| wind.print(book.units.wind));
    let angle = limits_words(part.angle, cell.angle, Angle::print);
    let words: Vec<String> = wind.into_iter().chain(angle).collect();
    if words.is_empty() { String::new() } else { format!(" {}", words.join(", ")) }
}

/// The ends of a part that lie inside the cell; `None` if neither does.
fn limits_words<A: Axis>(part: Span<A>, cell: Span<A>, say: impl Fn(A) -> String) -> Option<String> {
    match (part.low.is_above(cell.low), part.high.is_below(cell.high)) {
        (false, false) => None,
        (true, false) => Some(format!("from {}", say(part.low))),
        (false, true) => Some(format!("to {}", say(part.high))),
        (true, true) => Some(format!("{} to {}", say(part.low), say(part.high))),
    }
}

/// `11 to 14 kn, 38° to 55°: J1, J2 from 13`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    let unit = text(content.get("wind_unit"));
    let angles = texts(content, "angles");
    for row in taken(content, "rows") {
        let wind = text(row.get("wind"));
        for (angle, cell) in
            angles.iter().zip(row.get("cells").and_then(serde_json::Value::as_array).into_iter().flatten())
        {
            let named =
                |field: &str| cell.get(field).and_then(serde_json::Value::as_array).into_iter().flatten().map(short);
            let sails: Vec<String> = named("whole").chain(named("part")).collect();
            let says = if sails.is_empty() { "no sail".to_owned() } else { sails.join(", ") };
            lines.push(Said::one(format!("{} {unit}, {angle}", bare(&wind, &unit)), says));
        }
    }
    lines.extend(texts(content, "gaps").into_iter().map(|gap| Said::among("no sail for", gap)));
    lines.extend(texts(content, "hand_overs").iter().map(|words| before_colon(words)));
    lines.extend(texts(content, "narrowed").iter().map(|words| before_colon(words)));
    lines.extend(texts(content, "without_range").into_iter().map(|sail| Said::among("without winds or angles", sail)));
    lines.extend(texts(content, "without_partner").into_iter().map(|sail| Said::among("nothing to fly with", sail)));
}
