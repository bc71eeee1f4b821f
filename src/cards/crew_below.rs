//! The kind `crew-below`: the wind at which to read a settings card while part of the crew is below.

use std::borrow::Cow;

use crate::wrong::Wrong;
use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::frame::{HEAVY_RULE, LARGEST_USUAL, Surround};
use super::parts::measures;
use super::parts::read_at::{Feel, Felt, NIGHT_IS_NOT_IN_IT, PastThisSail, past_this_sail, targets_ground};
use super::parts::table::{Breaks, Cell, Column, Head, Look, Over, Paragraph, Row, Ruled, Under};
use super::parts::telling::{Said, bare, before_colon, by_lines, taken, texts};
use super::parts::words::{called, ground_legend, ground_sign, narrowed_sails, sail_names, wind_words};
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Nothing, Stock, Usual};
use crate::book::{Book, Place, PointOfSail, Problem, Section, Settings, Table, words};
use crate::drawing::{Drawing, Weight};
use crate::size::NamedSize;
use crate::tuning::air::Air;
use crate::tuning::righting::{Basis, Bunks, Lever, ReadAt};
use crate::tuning::{Angle, Axis, Ground, Wind, mark};

pub const KIND: Kind = Kind {
    name: "crew-below",
    about: "The wind to read a settings card at while part of the crew is below",
    made_of: &[
        Section::WindBands,
        Section::WindSource,
        Section::Dark,
        Section::Crew,
        Section::Righting,
        Section::Watches,
        Section::Forecast,
        Section::PointsOfSail,
        Section::Settings,
    ],
    from_entry,
    by_default: |book| match &book.race.crew {
        None => Err(Nothing::Section("crew")),
        Some(_) if Feel::of(book).is_none() => Err(Nothing::Section("righting")),
        Some(_) if book.race.watches.is_none() => Err(Nothing::Section("watches")),
        Some(_) if !has_upwind(book) => Err(Nothing::because("there are no upwind settings")),
        Some(_) if numbers_of_the_watches(book).is_empty() => Err(Nothing::because("nobody is ever below")),
        Some(crew) => Ok(vec![Usual::of(&crew.place)]),
    },
    changes: |old, new| by_lines(old, new, lines),
};

/// Most numbers below that a book asks for, and that a card is readable with.
const MOST_COLUMNS: usize = 6;
const MOST_NUMBERS: usize = 3;
/// Sizes that differ by this part are one.
const SIZE_SLACK: f64 = 1e-6;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CrewBelow {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// `true wind, masthead`.
    pub wind: String,
    pub wind_unit: String,
    /// The side of the bunks: `leeward`.
    pub bunks: String,
    /// How many are below: `4 below`.
    pub columns: Vec<String>,
    pub tables: Vec<SailTable>,
    /// What was taken for granted.
    pub assumptions: Vec<String>,
    #[serde(skip)]
    pub working: Vec<Passage>,
}

/// The rows of one set of sails.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SailTable {
    pub sails: String,
    /// Sails that are for less than they were made for: `J1: luff torn; 5 to 12 kn now, was 5 to 16`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub narrowed: Vec<String>,
    pub rows: Vec<WindRow>,
}

#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WindRow {
    pub wind: String,
    /// One a column.
    pub cells: Vec<ReadCell>,
}

/// What the card is read at in one wind.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ReadCell {
    /// The difference first: `2½ higher`, `» 2½ higher`, `as it is`; `not reckoned: no target heel`.
    pub read: String,
    /// The wind that comes to: `12½`; `None` where nothing is reckoned.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub wind: Option<String>,
    /// Where that is more than these sails are for: `past this sail: J2 + Main`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub past: Option<String>,
}

/// Where the wind that blows is the wind to read at.
const AS_IT_IS: &str = "as it is";
/// Before the wind to read a card at, on cards of earlier releases.
const READ: &str = "read ";
const NO_CHANGE: &str = "no change";
/// Between the rule over the heads and the heads, in capital heights.
const OVER_HEADS: f64 = 0.4;

struct Asked {
    numbers: Vec<u32>,
    bunks: Vec<Bunks>,
    place: Place,
}

impl Content for CrewBelow {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        let columns = 1 + 2 * self.columns.len();
        let across = |words: &String, weight| {
            Row::Cells(Cell::from(Paragraph::must(words, weight)).over_columns(columns).collect(), Under::Line)
        };
        let mut rows = Vec::new();
        for table in &self.tables {
            rows.push(across(&table.sails, Weight::Bold));
            rows.extend(table.narrowed.iter().map(|words| across(words, Weight::Regular)));
            for (nth, row) in table.rows.iter().enumerate() {
                let under = if nth + 1 == table.rows.len() { Under::HeavyLine } else { Under::Line };
                let cells = row.cells.iter().flat_map(ReadCell::cells);
                rows.push(Row::Cells(std::iter::once(Cell::bold(&row.wind)).chain(cells).collect(), under));
            }
        }
        let below = self.columns.first().filter(|_| self.columns.len() == 1);
        Ruled {
            size: self.size.clone(),
            surround: Surround {
                title: vec![below.cloned().unwrap_or_else(|| "Crew below".to_owned())],
                at_right: self.bunks.to_uppercase(),
                kind: "CREW BELOW · UPWIND".to_owned(),
                subtitle: format!("bunks: {} · {}", self.bunks, self.wind),
                must: vec!["Read the card at this wind, once. Add nothing to it again.".to_owned()],
                foot: self.assumptions.clone(),
                ..Surround::default()
            },
            name: format!("{}: crew below, {}, upwind", self.boat, self.bunks),
            description: "The wind to read a card at while part of the crew is below".to_owned(),
            columns: self.heads(),
            rows,
            boxed_in: true,
            look: Look { top_rule: Some(HEAVY_RULE), over_heads: OVER_HEADS, ..Look::WORDS },
            ..Ruled::default()
        }
        .draw(label)
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }
}

impl CrewBelow {
    /// The wind, then for each number below the difference and what it comes to.
    fn heads(&self) -> Vec<Column> {
        let must = |words: &str| Head::from(Paragraph::must(words, Weight::Bold));
        let each = |below: &String| {
            let over = Over { paragraphs: vec![Paragraph::must(below.to_uppercase(), Weight::Bold)], columns: 2 };
            let read = Column {
                ruled_off: true,
                over: Some(over).filter(|_| self.columns.len() > 1),
                ..Column::wrapped(must("READ THE CARD"))
            };
            [read, Column::wrapped(must("USE COLUMN FOR"))]
        };
        let wind = Column::narrow(must(&format!("WIND {}", self.wind_unit)));
        std::iter::once(wind).chain(self.columns.iter().flat_map(each)).collect()
    }
}

impl ReadCell {
    /// The difference and the wind; why nothing is reckoned over both.
    fn cells(&self) -> Vec<Cell> {
        let Some(wind) = &self.wind else {
            return Cell::from(Paragraph::must(&self.read, Weight::Regular)).over_columns(2).collect();
        };
        let read = match self.read.rsplit_once(' ').filter(|_| self.read != AS_IT_IS) {
            Some((difference, way)) => Paragraph {
                runs: vec![(difference.to_owned(), Weight::Bold), (way.to_owned(), Weight::Regular)],
                breaks: Breaks::Never,
                ..Paragraph::default()
            },
            None => Paragraph::of(&self.read, Weight::Regular),
        };
        let past = self.past.iter().map(|past| Paragraph::must(past, Weight::Bold));
        let wind = std::iter::once(Paragraph::of(wind, Weight::Bold)).chain(past).collect();
        vec![read.into(), Cell { paragraphs: wind, ..Cell::default() }]
    }
}

/// How many are below, from the watches; nobody below needs no card.
fn numbers_of_the_watches(book: &Book) -> Vec<u32> {
    let Some(section) = &book.race.watches else { return Vec::new() };
    let Ok(plan) = section.plan() else { return Vec::new() };
    plan.numbers_below().into_iter().filter(|number| *number > 0).map(|number| number as u32).collect()
}

/// Settings for which heel is reckoned, those that go by angle at one that the forecast has.
struct Reckoned<'a> {
    settings: &'a Settings,
    angle: Option<Angle>,
    /// As they are at that angle.
    seen: Cow<'a, Settings>,
}

/// On a reach more than heel limits her.
fn upwind(book: &Book) -> Vec<Reckoned<'_>> {
    let mut angles: Vec<Angle> = book.race.forecast.iter().filter_map(|row| row.angle).collect();
    angles.sort();
    angles.dedup();
    angles.retain(|angle| book.points_of_sail.at(*angle) == PointOfSail::Upwind);
    let of = |settings| -> Vec<Reckoned<'_>> {
        let settings: &Settings = settings;
        let Some(angled) = &settings.angled else {
            let is_upwind = settings.point_of_sail == PointOfSail::Upwind;
            let plain = Reckoned { settings, angle: None, seen: Cow::Borrowed(settings) };
            return is_upwind.then_some(plain).into_iter().collect();
        };
        let range = book.range_of(settings).angles();
        let holds = |angle: &&Angle| {
            range.is_some_and(|range| range.holds(**angle))
                && angled.span().is_some_and(|(low, high)| low <= **angle && **angle <= high)
        };
        let seen = |angle: &Angle| Reckoned { settings, angle: Some(*angle), seen: settings.seen_at(*angle) };
        angles.iter().filter(holds).map(seen).collect()
    };
    book.settings.iter().flat_map(of).collect()
}

fn has_upwind(book: &Book) -> bool {
    !upwind(book).is_empty()
}

/// `{kind: crew-below, below: [2, 4], bunks: [windward, leeward], size: A5}`.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let place = entry.place.clone();
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    let mut whole = true;
    let numbers = match entry.take("below") {
        Some(node) => {
            let items = node.some_items("`below`", 1..=MOST_COLUMNS, "below: [2, 4]", problems).unwrap_or_default();
            whole &= !items.is_empty();
            let read =
                items.iter().map(|item| words::whole_number(item, "a number below", "4", problems).map(|n| (item, n)));
            let read: Vec<_> = read.collect();
            let mut numbers = Vec::new();
            for number in read {
                let Some((item, number)) = number else {
                    whole = false;
                    continue;
                };
                let aboard = book.race.crew.as_ref().map_or(u32::MAX, |crew| crew.crew.aboard);
                match u32::try_from(number).ok().filter(|number| *number <= aboard) {
                    Some(number) => numbers.push(number),
                    None => {
                        whole = false;
                        problems.push(Problem::error(
                            item.place.clone(),
                            format!("{number} cannot be below: {aboard} are aboard"),
                            format!("write a number from 0 to {aboard}"),
                        ));
                    }
                }
            }
            numbers
        }
        None => numbers_of_the_watches(book),
    };
    let bunks = match entry.take("bunks") {
        Some(node) => {
            let choices = Bunks::ALL.map(|bunks| (bunks.word(), bunks));
            let items = node.some_items("`bunks`", 1..=Bunks::ALL.len(), "bunks: [windward]", problems);
            let items = items.unwrap_or_default();
            let read: Vec<Bunks> = items
                .iter()
                .filter_map(|item| words::choice(item, "the side of the bunks", &choices, problems))
                .collect();
            whole &= read.len() == items.len() && !read.is_empty();
            read
        }
        None => Bunks::ALL.to_vec(),
    };
    entry.finish(problems);
    let missing = [
        (
            book.race.crew.is_none(),
            "crew",
            "crew: {aboard: 8, mass: 82 kg, rail: {out: 1.6 m, above: 0.9 m}, bunks: {out: 1.1 m, above: 0.1 m}}",
        ),
        (
            book.race.righting.is_none(),
            "righting",
            "righting: {displacement: 6400 kg, gm: 1.25 m, heel_limited: {from: 20 deg}}",
        ),
    ];
    for (_, section, example) in missing.iter().filter(|(missing, ..)| *missing) {
        let what = format!("a crew-below card needs `{section}` of the book");
        problems.push(Problem::error(place.clone(), what, format!("write it like `{example}`")));
    }
    let Some(feel) = Feel::of(book).filter(|_| whole) else { return Vec::new() };
    if numbers.is_empty() {
        let instead = "write `below: [4]`, or `watches` in the book";
        problems.push(Problem::error(place, "nothing says how many are below", instead));
        return Vec::new();
    }
    let stem = id.unwrap_or_else(|| KIND.name.to_owned());
    cards(book, feel, &Asked { numbers, bunks, place }, (&stem, size.as_ref()), problems)
}

/// A card for each side of the bunks; numbers that do not fit beside each other go on in further cards.
fn cards(
    book: &Book,
    feel: Feel<'_>,
    asked: &Asked,
    (stem, size): (&str, Option<&NamedSize>),
    problems: &mut Vec<Problem>,
) -> Vec<Card> {
    let label = Label::longest(book);
    let mut widest: Option<Vec<Card>> = None;
    for each in (1..=asked.numbers.len().min(MOST_NUMBERS)).rev() {
        let parts =
            asked.bunks.iter().flat_map(|bunks| asked.numbers.chunks(each).map(move |numbers| (numbers, *bunks)));
        let mut of_part = |(part, of): (usize, (&[u32], Bunks))| {
            let id = if part == 0 { stem.to_owned() } else { format!("{stem}-{}", part + 1) };
            card(book, feel, (of, &asked.place), (id, size), problems)
        };
        let found: Option<Vec<Card>> = parts.enumerate().map(&mut of_part).collect();
        // What is wrong with one is wrong with all.
        let Some(found) = found else { return Vec::new() };
        if found.iter().all(|card| fits(card, size, &label)) {
            return found;
        }
        widest.get_or_insert(found);
    }
    widest.unwrap_or_default()
}

/// Whether it can be drawn as it was asked for, or on a handy card.
fn fits(card: &Card, size: Option<&NamedSize>, label: &Label) -> bool {
    let usual = NamedSize::known(LARGEST_USUAL);
    let drawn = card.content.layout(label).ok();
    drawn.is_some_and(|drawing| {
        let area = drawing.size.area();
        size.is_some() || usual.is_none_or(|usual| area <= usual.size.area() * (1.0 + SIZE_SLACK))
    })
}

fn card(
    book: &Book,
    feel: Feel<'_>,
    ((numbers, bunks), place): ((&[u32], Bunks), &Place),
    (id, size): (String, Option<&NamedSize>),
    problems: &mut Vec<Problem>,
) -> Option<Card> {
    let columns: Vec<(u32, Bunks)> = numbers.iter().map(|number| (*number, bunks)).collect();
    let mut found = Found::default();
    let tables: Vec<SailTable> =
        upwind(book).iter().map(|reckoned| table(book, feel, reckoned, &columns, &mut found, problems)).collect();
    if found.failed {
        return None;
    }
    if tables.is_empty() {
        let by_angle = if book.settings.iter().any(|settings| settings.angled.is_some()) {
            " that are kept by wind alone, and the forecast no angle upwind for those by angle"
        } else {
            ""
        };
        let what = format!("the book has no settings upwind{by_angle}");
        problems.push(Problem::error(place.clone(), what, "leave this card out"));
        return None;
    }
    let content = CrewBelow {
        size: size.cloned(),
        boat: book.boat.name.value.clone(),
        wind: wind_words(book),
        wind_unit: book.units.wind.symbol().to_owned(),
        bunks: bunks.word().to_owned(),
        columns: numbers.iter().map(|below| format!("{below} below")).collect(),
        tables,
        assumptions: assumptions(feel, &found, book),
        working: found.working,
    };
    let title = format!("Crew below, {}, upwind", bunks.word());
    Some(Card::new(id, KIND.name, title, Stock::Card, place.clone(), content))
}

/// What turned up on the way.
#[derive(Default)]
struct Found {
    failed: bool,
    on_true_wind: bool,
    /// What was on the rail in other rows than those with all hands: `J1 + Main at 14 kn: 4`.
    on_rail: Vec<String>,
    carried_over: bool,
    working: Vec<Passage>,
}

fn table(
    book: &Book,
    feel: Feel<'_>,
    reckoned: &Reckoned<'_>,
    columns: &[(u32, Bunks)],
    found: &mut Found,
    problems: &mut Vec<Problem>,
) -> SailTable {
    let (settings, asked) = (reckoned.seen.as_ref(), reckoned);
    let unit = book.units.wind;
    let title = settings.title.as_ref().map(|title| format!(", {title}")).unwrap_or_default();
    let angle = reckoned.angle.map(|angle| format!(", at {}", angle.print())).unwrap_or_default();
    let sails = format!("{}{title}{angle}", sail_names(book, settings).join(" + "));
    let mut rows = Vec::new();
    // Nobody reads a card in a wind that its sails are not for.
    let winds = book.range_of(settings).wind_now();
    for row in settings.rows.iter().filter(|row| winds.is_some_and(|winds| winds.holds(row.at.value))) {
        let wind = row.at.value;
        let at = wind.as_written(unit);
        let up = feel.up_then(settings, wind);
        if up < f64::from(feel.crew.aboard) {
            found.on_rail.push(format!("{sails} at {at}: {}", mark::print_decimal(up)));
        }
        let mut cells = Vec::new();
        for (below, bunks) in columns {
            match feel.read_at(asked.settings, (wind, asked.angle), *below, *bunks) {
                Ok(felt) => cells.push(match (felt.not_reckoned(), felt) {
                    (_, Felt::At(reckoned)) => {
                        found.on_true_wind |= reckoned.basis == Basis::TrueWindOnly;
                        let cell = read_cell(book, settings, wind, &reckoned, found);
                        let of = format!("{sails}, {at}, {below} below in {} bunks", bunks.word());
                        found.working.push(passage(book, settings, &row.at.place, of, &reckoned, &cell.words()));
                        cell
                    }
                    (why, _) => ReadCell { read: why.unwrap_or(AS_IT_IS).to_owned(), wind: None, past: None },
                }),
                Err(error) => {
                    if !found.failed {
                        let what = format!("the crew below, {sails} at {at}: {}", error.what());
                        problems.push(Problem::error(row.at.place.clone(), what, error.instead()));
                    }
                    found.failed = true;
                }
            }
        }
        rows.push(WindRow { wind: wind.print(unit), cells });
    }
    SailTable { sails, narrowed: narrowed_sails(book, settings), rows }
}

/// What a cell says: `2½ higher`, after » if the heel is another sail's, and the wind that comes to.
fn read_cell(book: &Book, settings: &Settings, wind: Wind, reckoned: &ReadAt, found: &mut Found) -> ReadCell {
    let unit = book.units.wind;
    let steps = if reckoned.changes() { reckoned.wind.steps(unit) - wind.steps(unit) } else { 0 };
    let read_at = if reckoned.changes() { reckoned.wind } else { wind };
    let past = past_this_sail(book, settings, reckoned.wind).filter(|_| reckoned.changes());
    let past = past.map(|PastThisSail { next }| {
        format!("past this sail: {}", next.unwrap_or_else(|| "no other for this".to_owned()))
    });
    if steps == 0 {
        return ReadCell { read: AS_IT_IS.to_owned(), wind: Some(read_at.print(unit)), past };
    }
    let ground = targets_ground(settings, wind);
    found.carried_over |= ground == Ground::CarriedOver;
    let sign = ground_sign(ground).filter(|_| ground != Ground::Sailed).map(|sign| format!("{sign} "));
    let difference = Wind::from_steps(steps.abs(), unit).print(unit);
    let way = if steps > 0 { "higher" } else { "lower" };
    let read = format!("{}{difference} {way}", sign.unwrap_or_default());
    ReadCell { read, wind: Some(read_at.print(unit)), past }
}

impl ReadCell {
    /// `2½ higher: 12½, past this sail: J2 + Main`.
    fn words(&self) -> String {
        let wind = self.wind.as_ref().map(|wind| format!(": {wind}")).unwrap_or_default();
        let past = self.past.as_ref().map(|past| format!(", {past}")).unwrap_or_default();
        format!("{}{wind}{past}", self.read)
    }
}

fn passage(book: &Book, settings: &Settings, row: &Place, of: String, reckoned: &ReadAt, printed: &str) -> Passage {
    let mut passage = Passage::new(of);
    passage.input("row of the settings", settings.id.value.clone(), row);
    for target in settings.targets.iter().filter(|target| target.at.value.is_at(reckoned.row.wind.speed())) {
        let heel = target.heel_deg.map_or_else(|| "no heel".to_owned(), |heel| format!("heel {heel}°"));
        passage.input("its targets", heel, &target.at.place);
    }
    if let Some(crew) = &book.race.crew {
        let each = measures::mass(crew.crew.mass_each_kg, book.units);
        let words = format!("{} aboard, {each} each", crew.crew.aboard);
        passage.input("crew", words, &crew.place);
    }
    if let Some(righting) = &book.race.righting {
        passage.input("righting", "displacement, lever, limit of heel", &righting.place);
        let airs = righting.air.zip(righting.tuned_in);
        if let Some(steps) = airs.and_then(|(air, tuned_in)| air.steps(tuned_in).ok()) {
            // The last of them, the factor, is a step of the righting as well.
            passage.steps(&steps[..steps.len().saturating_sub(1)]);
        }
    }
    passage.step(
        "heel of the row",
        "its target, or by the curve between targets; past the strongest, as there",
        format!("{}°", mark::print_to(reckoned.row.heel_deg, 2)),
    );
    passage.steps(&reckoned.steps());
    passage.step("printed", "as the card prints winds", printed);
    passage
}

fn assumptions(feel: Feel<'_>, found: &Found, book: &Book) -> Vec<String> {
    let (righting, units) = (feel.righting, book.units);
    let lever = match righting.hull.lever {
        Lever::Gm(_) => "GZ from GM·sin heel: good at small heel",
        Lever::Gz(_) => "GZ from the boat's table",
    };
    let mut words = vec![format!(
        "Reckoned for {} of {}, {lever}; heel-limited from {}° on. {}",
        feel.crew.aboard,
        measures::mass(feel.crew.mass_each_kg, units),
        mark::print_decimal(righting.limited_from_deg),
        match found.on_rail.as_slice() {
            [] => "The settings were sailed with all on the rail.".to_owned(),
            rows => format!(
                "Sailed with all on the rail but for {}; the others are taken to have been in the windward bunks.",
                rows.join("; ")
            ),
        },
    )];
    words.extend(outside_words(book));
    words.extend(by_angle(book));
    words.extend(book.dark.map(|_| NIGHT_IS_NOT_IN_IT.trim_start().to_owned()));
    if found.carried_over {
        words.push(format!("{}: heel and speed too.", ground_legend(Ground::CarriedOver)));
    }
    if found.on_true_wind {
        words.push(
            "Without target speed and angle the true wind stands for the apparent: it reads a little low.".to_owned(),
        );
    }
    if let (Some((air, tuned_in)), Some(factor)) = (feel.airs(), feel.air_factor()) {
        const PERCENT: f64 = 100.0;
        let change = (factor - 1.0) * PERCENT;
        let weather = |air: Air| {
            format!("{} °C, {} hPa", mark::print_decimal(air.temperature_c), mark::print_decimal(air.pressure_hpa))
        };
        words.push(format!(
            "Air of {} is as {} % {} wind than on the day she was tuned ({}). This is in the numbers.",
            weather(air),
            three_digits(change.abs()),
            if change < 0.0 { "less" } else { "more" },
            weather(tuned_in),
        ));
    } else if righting.air.is_some() {
        words.push("The air does not count: the book does not say in what air she was tuned.".to_owned());
    }
    words
}

/// Whom the numbers below count, though they stand no watch, and whom they do not.
fn outside_words(book: &Book) -> Option<String> {
    let outside = &book.race.watches.as_ref()?.outside;
    let names = |on_rail: bool| -> Option<String> {
        let names = outside.iter().filter(|person| person.on_rail == on_rail).map(|person| person.name.as_str());
        let names: Vec<&str> = names.collect();
        (!names.is_empty()).then(|| names.join(", "))
    };
    match (names(false), names(true)) {
        (None, None) => None,
        (Some(below), None) => Some(format!("Outside the watches, counted below: {below}.")),
        (None, Some(rail)) => Some(format!("Outside the watches, counted on the rail: {rail}.")),
        (Some(below), Some(rail)) => {
            Some(format!("Outside the watches: {below}, counted below; {rail}, counted on the rail."))
        }
    }
}

/// Which cards the crew below is not reckoned for, since they go by angle and the forecast has none of theirs upwind.
fn by_angle(book: &Book) -> Option<String> {
    let reckoned = upwind(book);
    let is_told = |settings: &&Settings| reckoned.iter().any(|told| told.settings.id.value == settings.id.value);
    let is_left = |settings: &&Settings| {
        settings.angled.is_some() && settings.are_for(PointOfSail::Upwind, &book.points_of_sail) && !is_told(settings)
    };
    let named: Vec<String> = book.settings.iter().filter(is_left).map(|settings| called(book, settings)).collect();
    let cards = match named.len() {
        0 => return None,
        1 => "that card",
        _ => "those cards",
    };
    let named = named.join("; ");
    Some(format!(
        "Not reckoned: {named}, for which the forecast has no angle upwind. Read {cards} at the wind that blows."
    ))
}

/// A percentage to a tenth: no barometer tells more.
fn three_digits(percent: f64) -> String {
    const TENTHS: f64 = 10.0;
    mark::print_decimal((percent * TENTHS).round() / TENTHS)
}

/// `J1 + Main, 11 to 14 kn, 4 below, windward bunks: read the card at 12½ kn`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    let unit = text(content.get("wind_unit"));
    let columns = texts(content, "columns");
    let bunks = text(content.shift_remove("bunks").as_ref());
    let bunks = if bunks.is_empty() { bunks } else { format!(", {bunks}") };
    for table in taken(content, "tables") {
        let sails = text(table.get("sails"));
        for words in table.get("narrowed").and_then(serde_json::Value::as_array).into_iter().flatten() {
            lines.push(before_colon(&text(Some(words))));
        }
        for row in table.get("rows").and_then(serde_json::Value::as_array).into_iter().flatten() {
            let wind = text(row.get("wind"));
            let listed = |field: &str| row.get(field).and_then(serde_json::Value::as_array).into_iter().flatten();
            let told =
                listed("cells").map(|cell| told(cell, &unit)).chain(listed("read_at").map(|cell| was(cell, &unit)));
            for (column, says) in columns.iter().zip(told) {
                lines.push(Said::one(format!("{sails}, {} {unit}, {column}{bunks}", bare(&wind, &unit)), says));
            }
        }
    }
}

/// `read the card at 12½ kn, past this sail: J2 + Main`.
fn told(cell: &serde_json::Value, unit: &str) -> String {
    let [read, wind, past] = ["read", "wind", "past"].map(|field| text(cell.get(field)));
    let past = if past.is_empty() { past } else { format!(", {past}") };
    match (read.as_str(), wind.as_str()) {
        (_, "") => read,
        (AS_IT_IS, _) => format!("{NO_CHANGE}{past}"),
        _ => {
            let sign = read.split_once(' ').map(|(sign, _)| sign);
            let sign = sign.filter(|sign| !sign.starts_with(|first: char| first.is_numeric()));
            let sign = sign.map(|sign| format!("{sign} ")).unwrap_or_default();
            format!("{sign}read the card at {wind} {unit}{past}")
        }
    }
}

/// The same of a card of an earlier release.
fn was(read_at: &serde_json::Value, unit: &str) -> String {
    let words = short(read_at);
    match words.split_once(READ) {
        Some((sign, wind)) => format!("{sign}read the card at {} {unit}", bare(wind, unit)),
        // Cards of earlier releases keep the wind alone.
        None if words.starts_with(|first: char| first.is_ascii_digit()) => {
            format!("read the card at {} {unit}", bare(&words, unit))
        }
        None if words.is_empty() => NO_CHANGE.to_owned(),
        None => words,
    }
}
