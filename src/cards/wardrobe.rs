//! The kind `wardrobe`: which sail is for which wind and angle, where none is, and the winds to change at.

use crate::wrong::Wrong;
use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::frame::{HEAVY_RULE, LARGEST_USUAL, Surround, wanted_cap_mm};
use super::parts::sets::{SailSet, sets};
use super::parts::table::{Cell, Column, Head, Look, Over, Paragraph, Row, Ruled};
use super::parts::telling::{Said, bare, before_colon, by_lines, optional, taken, texts};
use super::parts::words::{more_words, narrowed_words, wind_span, wind_words, winds_with_unit};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Nothing, Stock, Usual};
use crate::book::{Book, Problem, Sail, SailKind, Section, Table};
use crate::drawing::{Anchor, Drawing, Weight};
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

/// Where no reef is for a wind.
const FULL_MAIN: &str = "full main";
/// Changes that are read at a glance, and lines of a list in the small print.
const MOST_READ: usize = 4;
const MOST_LISTED: usize = 6;
/// What no handy card holds in one row is parted as if it were on a page of this size.
const PAGE: &str = "A4";
/// Between the rule over the heads and the heads, in capital heights.
const OVER_HEADS: f64 = 0.4;

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
    /// `2 of 3`, where one card does not hold all of it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part: Option<String>,
    /// The winds of this part: `5 to 14 kn`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub span: Option<String>,
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
    /// The reefs for it: `1 reef`, `1 reef from 24`, `full main`; `None` where the book has none.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reef: Option<String>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SailCell {
    /// For all of the cell, the first choice first.
    pub whole: Vec<String>,
    /// For a part of it, with that part: `J2 from 13 kn`.
    pub part: Vec<String>,
    /// Whether some of it has no sail.
    pub gap: bool,
}

/// Reefs of the mainsail by wind; they cover nothing, but they have a column of their own.
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
        self.table().draw(label)
    }
}

impl SailCell {
    /// The first choice large, the others small with their wind; where no sail is, that is said.
    fn cell(&self) -> Cell {
        let names = self.whole.iter().chain(&self.part);
        let mut paragraphs: Vec<Paragraph> = names
            .enumerate()
            .map(|(nth, name)| match nth {
                0 => Paragraph::of(name, Weight::Bold),
                _ => Paragraph::must(name, Weight::Regular),
            })
            .collect();
        if self.gap {
            let words = if paragraphs.is_empty() { "none" } else { "else none" };
            paragraphs.push(Paragraph::must(words, Weight::Bold));
        }
        Cell { paragraphs, hatched: self.gap, ..Cell::default() }
    }
}

impl WindRow {
    /// A cell once for neighbours that say the same.
    fn cells(&self) -> Vec<Cell> {
        let (low, high) = self.wind.split_once(" to ").unwrap_or((&self.wind, ""));
        let wind = Paragraph {
            runs: [(low, Weight::Bold), ("to", Weight::Regular), (high, Weight::Bold)]
                .map(|(text, weight)| (text.to_owned(), weight))
                .into_iter()
                .filter(|(text, _)| text != "to" || !high.is_empty())
                .collect(),
            ..Paragraph::default()
        };
        let sails = self.cells.chunk_by(|one, next| one == next).flat_map(|alike| {
            let cell = alike[0].cell();
            cell.over_columns(alike.len()).collect::<Vec<Cell>>()
        });
        let reef = self.reef.iter().map(|reef| {
            let weight = if reef == FULL_MAIN { Weight::Regular } else { Weight::Bold };
            Cell::from(Paragraph::must(reef, weight))
        });
        std::iter::once(Cell::from(wind)).chain(sails).chain(reef).collect()
    }
}

impl Wardrobe {
    fn table(&self) -> Ruled {
        let centred = |head: Head| Column { anchor: Anchor::Middle, ..Column::wide(head, 1.0) };
        let must = |words: &str| Head::from(Paragraph::must(words, Weight::Bold));
        let over = Over {
            paragraphs: vec![Paragraph::must("ANGLE to the true wind", Weight::Bold)],
            columns: self.angles.len(),
        };
        let angles = self
            .angles
            .iter()
            .enumerate()
            .map(|(nth, angle)| Column { over: Some(over.clone()).filter(|_| nth == 0), ..centred(must(angle)) });
        let has_reefs = self.rows.iter().any(|row| row.reef.is_some());
        let reef = has_reefs.then(|| Column { ruled_off: true, ..Column::wrapped(must("REEF")) });
        let wind = Column::narrow(must(&format!("WIND {}", self.wind_unit)));
        Ruled {
            size: self.size.clone(),
            surround: self.surround(),
            name: format!("{}: which sail", self.boat),
            description: "Sails by wind and true wind angle".to_owned(),
            columns: std::iter::once(wind).chain(angles).chain(reef).collect(),
            rows: self.rows.iter().map(|row| Row::of(row.cells())).collect(),
            boxed_in: true,
            look: Look { top_rule: Some(HEAVY_RULE), over_heads: OVER_HEADS, ..Look::WORDS },
            ..Ruled::default()
        }
    }

    /// On one card, or on as many as it takes to be read, the light winds first.
    fn parted(mut self, label: &Label) -> Vec<Wardrobe> {
        let rows = std::mem::take(&mut self.rows);
        let (count, whole) = (rows.len().max(1), (&self, rows.as_slice()));
        let in_parts = |parts: usize| {
            let cut = move |cut: usize| whole.1.len() * cut / parts;
            (0..parts).map(move |nth| part(whole, (cut(nth), cut(nth + 1)), (nth, parts)))
        };
        let usual = [LARGEST_USUAL, PAGE].iter().filter_map(|name| NamedSize::known(name));
        let sizes: Vec<NamedSize> = self.size.clone().map_or_else(|| usual.collect(), |size| vec![size]);
        // Made one by one: the first that does not fit is the last that is made.
        let fit = |parts: usize, size: &NamedSize| {
            in_parts(parts).all(|card| card.table().measured().fits(label, size, wanted_cap_mm()))
        };
        let readable = sizes.iter().find_map(|size| (1..=count).find(|parts| fit(*parts, size)));
        // What no number of cards holds takes a larger size, or is refused with the words of the first.
        in_parts(readable.unwrap_or(1)).collect()
    }

    fn surround(&self) -> Surround {
        let list = |title: &str, items: &[String]| {
            (!items.is_empty()).then(|| format!("{title}: {}.", told(items, MOST_LISTED)))
        };
        // What to read at a glance may not push the table off its card.
        let (read, listed) = match self.hand_overs.len() {
            0..=MOST_READ => (list("CHANGE as it builds", &self.hand_overs), None),
            _ => (None, list("As the wind builds", &self.hand_overs)),
        };
        let middle = (!self.hand_overs.is_empty())
            .then(|| "As it eases, the other way; the middle is of the ranges, not sailed.".to_owned());
        let foot = listed
            .into_iter()
            .chain(middle)
            .chain(list("No sail (hatched)", &self.gaps))
            .chain(list("Not in the table, since the book gives no wind or angle", &self.without_range))
            .chain(list("Not in the table, since nothing that they fly with is aboard", &self.without_partner))
            .chain(
                self.part
                    .as_ref()
                    .filter(|part| !is_last(part))
                    .map(|_| "Changes and gaps: on the last part.".to_owned()),
            )
            .chain(["Large: the first choice. Small: the others, with their wind where that is less.".to_owned()]);
        let kind = ["WARDROBE".to_owned()].into_iter().chain(self.span.clone());
        let kind = kind.chain(self.part.iter().map(|part| format!("part {part}")));
        Surround {
            title: vec!["Which sail".to_owned()],
            at_right: String::new(),
            kind: kind.collect::<Vec<String>>().join(" · "),
            subtitle: self.wind.clone(),
            must: read.into_iter().chain(self.narrowed.iter().map(|words| format!("{words}."))).collect(),
            foot: foot.collect(),
            ..Surround::default()
        }
    }
}

/// Some of the rows of a wardrobe; `whole` is what its parts have in common.
fn part((whole, rows): (&Wardrobe, &[WindRow]), (from, to): (usize, usize), (nth, parts): (usize, usize)) -> Wardrobe {
    let rows = rows[from..to].to_vec();
    if parts == 1 {
        return Wardrobe { rows, ..whole.clone() };
    }
    let end = |row: Option<&WindRow>, is_low: bool| {
        let ends = row.and_then(|row| row.wind.split_once(" to "));
        ends.map(|(low, high)| if is_low { low } else { high }.to_owned()).unwrap_or_default()
    };
    let span = format!("{} to {} {}", end(rows.first(), true), end(rows.last(), false), whole.wind_unit);
    let mut part = Wardrobe { part: Some(format!("{} of {parts}", nth + 1)), span: Some(span), rows, ..whole.clone() };
    // What is of the whole wardrobe stands once, on the last of its cards.
    if nth + 1 < parts {
        for list in [&mut part.hand_overs, &mut part.gaps, &mut part.without_range, &mut part.without_partner] {
            list.clear();
        }
    }
    part
}

/// `3 of 3`.
fn is_last(part: &str) -> bool {
    part.split_once(" of ").is_some_and(|(nth, parts)| nth == parts)
}

/// So many of some words, and how many more there are.
fn told(items: &[String], most: usize) -> String {
    let more = more_words(items.len().saturating_sub(most));
    items.iter().take(most).cloned().chain(more).collect::<Vec<String>>().join(" · ")
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
    let stem = id.unwrap_or_else(|| KIND.name.to_owned());
    let card = |(index, content): (usize, Wardrobe)| {
        let id = if index == 0 { stem.clone() } else { format!("{stem}-{}", index + 1) };
        let part = content.part.as_ref().map(|part| format!(", {part}")).unwrap_or_default();
        Card::new(id, KIND.name, format!("Which sail{part}"), Stock::Card, place.clone(), content)
    };
    content.parted(&Label::longest(book)).into_iter().enumerate().map(card).collect()
}

/// The table; `None` if the book does not say over which winds and angles.
pub fn content(book: &Book, size: Option<NamedSize>) -> Option<Wardrobe> {
    let plan = book.wardrobe.as_ref()?;
    let (sets, ranges) = sets(book);
    let (reefs, reef_ranges) = reefs(book);
    let names: Vec<String> = sets.iter().map(SailSet::name).collect();
    let winds = wind_rows(book, plan.asked.wind);
    let shown = |wind: Span<Wind>, angle: Span<Angle>| {
        let area = Area { wind, angle };
        let of_sails = cell(&ranges, area);
        let part = |part: &Part| Some(format!("{}{}", names.get(part.sail)?, part_words(book, part.area, area)));
        SailCell {
            whole: of_sails.whole.iter().filter_map(|index| names.get(*index).cloned()).collect(),
            part: of_sails.part.iter().filter_map(part).collect(),
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
        part: None,
        span: None,
        rows: winds
            .iter()
            .map(|wind| WindRow {
                wind: wind_span(*wind, unit),
                cells: plan.angle_bands.iter().map(|angle| shown(*wind, *angle)).collect(),
                reef: reef_words(book, (&reefs, &reef_ranges), Area { wind: *wind, angle: whole_table.angle }),
            })
            .collect(),
        gaps,
        hand_overs,
        narrowed: narrowed.collect(),
        without_range: named(without_range),
        without_partner: named(without_partner),
    })
}

/// The reefs for some winds, each with its winds and angles if it is for a part of them alone: `1 reef from 24`.
fn reef_words(book: &Book, (reefs, ranges): (&[&Sail], &[SailRange]), area: Area) -> Option<String> {
    let name = |index: usize| {
        let reef = *reefs.get(index)?;
        let of = reef.reef_of.as_ref().and_then(|main| book.sail(main));
        // `Main, 1 reef` in a column of reefs is `1 reef`.
        let bare = of.and_then(|main| reef.name.strip_prefix(&main.name)?.strip_prefix(", "));
        Some(bare.unwrap_or(&reef.name).to_owned())
    };
    let found = cell(ranges, area);
    let whole = found.whole.iter().filter_map(|index| name(*index));
    let part = |part: &Part| Some(format!("{}{}", name(part.sail)?, part_words(book, part.area, area)));
    let told: Vec<String> = whole.chain(found.part.iter().filter_map(part)).collect();
    (!reefs.is_empty()).then(|| if told.is_empty() { FULL_MAIN.to_owned() } else { told.join(", ") })
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
    format!("{} at {}", winds_with_unit(area.wind, unit), degrees(area.angle))
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
        let reef = row.get("reef").map(|reef| Said::one(format!("{} {unit}, reef", bare(&wind, &unit)), short(reef)));
        lines.extend(reef);
    }
    lines.extend(optional(content, "span", "winds of this part"));
    lines.extend(texts(content, "gaps").into_iter().map(|gap| Said::among("no sail for", gap)));
    lines.extend(texts(content, "hand_overs").iter().map(|words| before_colon(words)));
    lines.extend(texts(content, "narrowed").iter().map(|words| before_colon(words)));
    lines.extend(texts(content, "without_range").into_iter().map(|sail| Said::among("without winds or angles", sail)));
    lines.extend(texts(content, "without_partner").into_iter().map(|sail| Said::among("nothing to fly with", sail)));
}
