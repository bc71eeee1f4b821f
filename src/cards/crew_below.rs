//! The kind `crew-below`: the wind at which to read a settings card while part of the crew is below.

use std::borrow::Cow;

use crate::wrong::Wrong;
use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::frame::Surround;
use super::parts::measures;
use super::parts::read_at::{Feel, Felt, NIGHT_IS_NOT_IN_IT, PastThisSail, past_this_sail, targets_ground};
use super::parts::table::{Cell, Column, Row, Ruled};
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

/// Most columns of winds that a card is readable with.
const MOST_COLUMNS: usize = 6;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CrewBelow {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// `true wind, masthead`.
    pub wind: String,
    pub wind_unit: String,
    /// `4 below, windward bunks`.
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
    /// One a column, as it is printed: `read 15½`, `» read 15½`, `no change`, `not reckoned: no target heel`.
    pub read_at: Vec<String>,
}

/// Before the wind to read a card at.
const READ: &str = "read ";
const NO_CHANGE: &str = "no change";

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
        let mut rows = Vec::new();
        for table in &self.tables {
            rows.push(Row::Heading(table.sails.clone()));
            rows.extend(table.narrowed.iter().map(|words| Row::Across(words.clone())));
            for row in &table.rows {
                let read = row.read_at.iter().map(|words| {
                    if words.contains(READ) { Cell::bold(words.clone()) } else { Cell::plain(words.clone()) }
                });
                let wind = Cell::bold(format!("{} {}", row.wind, self.wind_unit));
                rows.push(Row::of(std::iter::once(wind).chain(read)));
            }
        }
        let mut foot = vec![("Read the card at this wind, once. Add nothing to it again.".to_owned(), Weight::Bold)];
        foot.extend(self.assumptions.iter().map(|words| (words.clone(), Weight::Regular)));
        let heads = std::iter::once("WIND".to_owned()).chain(self.columns.iter().cloned());
        Ruled {
            size: self.size.clone(),
            surround: Surround {
                title: vec!["Crew below".to_owned()],
                at_right: "UPWIND".to_owned(),
                subtitle: format!("{} · heads: how many below, in which bunks", self.wind),
                foot,
            },
            name: format!("{}: crew below, upwind", self.boat),
            description: "The wind to read a card at while part of the crew is below".to_owned(),
            columns: heads.enumerate().map(|(index, head)| self.column(index, head)).collect(),
            rows,
            ..Ruled::default()
        }
        .draw(label)
    }

    fn working(&self) -> Vec<Passage> {
        self.working.clone()
    }
}

impl CrewBelow {
    /// The winds stand on one line, and so does what a column says unless it has to say that something is not known.
    fn column(&self, index: usize, head: String) -> Column {
        let cell = |row: &WindRow| index.checked_sub(1).and_then(|index| row.read_at.get(index)).cloned();
        let mut cells = self.tables.iter().flat_map(|table| &table.rows).filter_map(cell);
        if cells.any(|words| words.contains(':')) { Column::wrapped(head) } else { Column::narrow(head) }
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
    let below = entry.take("below");
    let of_the_watches = below.is_none();
    let numbers = match below {
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
    if of_the_watches && !numbers.is_empty() {
        return cards_of_the_watches(book, feel, &Asked { numbers, bunks, place }, id, size, problems);
    }
    if numbers.is_empty() || numbers.len() * bunks.len() > MOST_COLUMNS {
        let (what, instead) = if numbers.is_empty() {
            ("nothing says how many are below".to_owned(), "write `below: [4]`, or `watches` in the book".to_owned())
        } else {
            let columns = numbers.len() * bunks.len();
            let what = format!("{columns} columns of winds are more than {MOST_COLUMNS}");
            (what, "write fewer numbers after `below`, or `bunks: [windward, leeward]`".to_owned())
        };
        problems.push(Problem::error(place, what, instead));
        return Vec::new();
    }
    card(book, feel, &Asked { numbers, bunks, place }, id, size, problems).into_iter().collect()
}

/// Teams of many sizes and floaters make more numbers below than fit beside each other: they go on in further cards.
fn cards_of_the_watches(
    book: &Book,
    feel: Feel<'_>,
    asked: &Asked,
    id: Option<String>,
    size: Option<NamedSize>,
    problems: &mut Vec<Problem>,
) -> Vec<Card> {
    let stem = id.unwrap_or_else(|| KIND.name.to_owned());
    let mut of_part = |(part, numbers): (usize, &[u32])| {
        let id = if part == 0 { stem.clone() } else { format!("{stem}-{}", part + 1) };
        let asked = Asked { numbers: numbers.to_vec(), bunks: asked.bunks.clone(), place: asked.place.clone() };
        card(book, feel, &asked, Some(id), size.clone(), problems)
    };
    let most = (MOST_COLUMNS / asked.bunks.len().max(1)).clamp(1, asked.numbers.len().max(1));
    let label = Label::longest(book);
    let mut widest = Vec::new();
    for each in (1..=most).rev() {
        let cards: Option<Vec<Card>> = asked.numbers.chunks(each).enumerate().map(&mut of_part).collect();
        // What is wrong with one is wrong with all.
        let Some(cards) = cards else { return Vec::new() };
        if cards.iter().all(|card| card.content.layout(&label).is_ok()) {
            return cards;
        }
        if widest.is_empty() {
            widest = cards;
        }
    }
    widest
}

fn card(
    book: &Book,
    feel: Feel<'_>,
    asked: &Asked,
    id: Option<String>,
    size: Option<NamedSize>,
    problems: &mut Vec<Problem>,
) -> Option<Card> {
    let columns: Vec<(u32, Bunks)> =
        asked.numbers.iter().flat_map(|number| asked.bunks.iter().map(|bunks| (*number, *bunks))).collect();
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
        problems.push(Problem::error(asked.place.clone(), what, "leave this card out"));
        return None;
    }
    let content = CrewBelow {
        size,
        boat: book.boat.name.value.clone(),
        wind: wind_words(book),
        wind_unit: book.units.wind.symbol().to_owned(),
        columns: columns.iter().map(|(below, bunks)| format!("{below} below, {}", bunks.word())).collect(),
        tables,
        assumptions: assumptions(feel, &found, book),
        working: found.working,
    };
    let id = id.unwrap_or_else(|| KIND.name.to_owned());
    Some(Card::new(id, KIND.name, "Crew below, upwind", Stock::Card, asked.place.clone(), content))
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
        let mut read_at = Vec::new();
        for (below, bunks) in columns {
            match feel.read_at(asked.settings, (wind, asked.angle), *below, *bunks) {
                Ok(felt) => read_at.push(match (felt.not_reckoned(), felt) {
                    (_, Felt::At(reckoned)) => {
                        found.on_true_wind |= reckoned.basis == Basis::TrueWindOnly;
                        let printed = read_words(book, settings, wind, &reckoned, found);
                        let of = format!("{sails}, {at}, {below} below in {} bunks", bunks.word());
                        found.working.push(passage(book, settings, &row.at.place, of, &reckoned, &printed));
                        printed
                    }
                    (why, _) => why.unwrap_or(NO_CHANGE).to_owned(),
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
        rows.push(WindRow { wind: wind.print(unit), read_at });
    }
    SailTable { sails, narrowed: narrowed_sails(book, settings), rows }
}

/// What a cell says: `read 15½`, after » if the heel is another sail's; `past this sail: J2 + Main, read 17½`.
fn read_words(book: &Book, settings: &Settings, wind: Wind, reckoned: &ReadAt, found: &mut Found) -> String {
    if !reckoned.changes() {
        return NO_CHANGE.to_owned();
    }
    let ground = targets_ground(settings, wind);
    found.carried_over |= ground == Ground::CarriedOver;
    let sign = ground_sign(ground).filter(|_| ground != Ground::Sailed).map(|sign| format!("{sign} "));
    let (sign, read) = (sign.unwrap_or_default(), reckoned.wind.print(book.units.wind));
    match past_this_sail(book, settings, reckoned.wind) {
        None => format!("{sign}{READ}{read}"),
        Some(PastThisSail { next: Some(next) }) => format!("{sign}past this sail: {next}, {READ}{read}"),
        Some(PastThisSail { next: None }) => format!("{sign}past this sail: no other for {read}"),
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
    for table in taken(content, "tables") {
        let sails = text(table.get("sails"));
        for words in table.get("narrowed").and_then(serde_json::Value::as_array).into_iter().flatten() {
            lines.push(before_colon(&text(Some(words))));
        }
        for row in table.get("rows").and_then(serde_json::Value::as_array).into_iter().flatten() {
            let wind = text(row.get("wind"));
            for (column, read_at) in
                columns.iter().zip(row.get("read_at").and_then(serde_json::Value::as_array).into_iter().flatten())
            {
                let words = short(read_at);
                let says = match words.split_once(READ) {
                    Some((sign, wind)) => format!("{sign}read the card at {} {unit}", bare(wind, &unit)),
                    // Cards of earlier releases keep the wind alone.
                    None if words.starts_with(|first: char| first.is_ascii_digit()) => {
                        format!("read the card at {} {unit}", bare(&words, &unit))
                    }
                    None if words.is_empty() => NO_CHANGE.to_owned(),
                    None => words,
                };
                lines.push(Said::one(format!("{sails}, {} {unit}, {column}", bare(&wind, &unit)), says));
            }
        }
    }
}
