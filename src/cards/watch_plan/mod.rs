//! The kind `watch-plan`: who is on deck from when to when, and with a forecast what wind, sails and settings to expect.

mod layout;
mod weather;

use crate::wrong::Wrong;
use std::collections::{BTreeSet, HashMap};
use std::ops::Range;
use std::sync::Arc;

use jiff::{SignedDuration, ZonedDateTime};
use serde::Serialize;

use super::parts::comparing::{Fields, short, text};
use super::parts::expected::hours;
use super::parts::sided;
use super::parts::telling::{Said, by_lines, optional, taken, texts};
use super::parts::words::ground_legend;
use super::parts::working::Passage;
use super::{Card, Content, Kind, Label, Stock, Usual};
use crate::book::{Book, Problem, Section, Table, Watches, words};
use crate::drawing::Drawing;
use crate::size::NamedSize;
use crate::tuning::floaters::Outside;
use crate::tuning::righting::Bunks;
use crate::tuning::watches::{ClockChange, Plan, Rota, Stint, Watch, time_of};
use crate::tuning::{Ground, Wind};

pub const KIND: Kind = Kind {
    name: "watch-plan",
    about: "Who is on deck when, and the wind, sails and settings to expect",
    made_of: &[
        Section::WindSource,
        Section::PointsOfSail,
        Section::Dark,
        Section::Wardrobe,
        Section::Watches,
        Section::Forecast,
        Section::Crew,
        Section::Righting,
        Section::Sails,
        Section::Settings,
    ],
    from_entry,
    by_default: |book| Usual::of_section("watches", book.race.watches.as_ref().map(|watches| &watches.place)),
    changes: |old, new| by_lines(old, new, lines),
};

/// Watches on one card, with and without a forecast beside them.
const WATCHES_WITH_FORECAST: usize = 3;
const WATCHES: usize = 8;

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WatchPlan {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// `2 of 3` where one card does not hold them all.
    pub part: Option<String>,
    /// Start, finish and time zone.
    pub race: String,
    pub rows: Vec<PlanRow>,
    /// `Ada 13½ h`.
    pub hours: Vec<String>,
    /// Those who stand no watch: `Nora (navigator), on the rail`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub outside: Vec<String>,
    pub least_on_deck: usize,
    /// The clock is put forward or back during the race.
    pub clock_changes: Vec<String>,
    /// Sails that are for less than they were made for: `J1: luff torn; 5 to 12 kn now, was 5 to 16`.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub narrowed: Vec<String>,
    /// Grounds of the marks, as the legend explains them.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub grounds: Vec<Ground>,
    /// What was taken for granted.
    pub assumptions: Vec<String>,
    #[serde(skip)]
    pub working: Working,
}

/// What the working is told from once it is asked for: the whole plan, made once for all its cards.
#[derive(Clone, Debug, PartialEq)]
pub struct Working {
    whole: Arc<Whole>,
    watches: Range<usize>,
}

#[derive(Debug, PartialEq)]
struct Whole {
    plan: Plan,
    section: Watches,
    weathers: Vec<Option<Arc<Weather>>>,
}

impl Working {
    fn passages(&self) -> Vec<Passage> {
        let Whole { plan, section, weathers } = &*self.whole;
        let weather = |index: usize| weathers.get(index).and_then(Option::as_deref);
        let watches = self.watches.clone().map(|index| watch_working(plan, index, weather(index), section));
        watches.chain([hours_working(plan)]).collect()
    }
}

#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlanRow {
    /// A new day begins here: `Sun 13 June`.
    Midnight {
        day: String,
    },
    Watch(WatchRow),
}

/// A watch, or the part of one on this side of midnight.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WatchRow {
    pub from: String,
    /// When the watch next changes.
    pub until: String,
    /// That change is the finish.
    pub is_finish: bool,
    /// It began before the midnight above it.
    pub continues: bool,
    /// The team, or those who come up.
    pub head: String,
    pub on_deck: Vec<String>,
    pub below: usize,
    pub weather: Option<Weather>,
}

/// What is expected during a watch.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Weather {
    /// What no sail is for, and gusts past a sail's range; read before all else.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub beyond: Vec<String>,
    /// `12 to 14 kn, force 4, gusts 18`.
    pub wind: String,
    /// In the order they are met.
    pub sails: Vec<SailPlan>,
}

/// A set of sails and how it is to be set.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SailPlan {
    /// `J1 + Main, upwind`.
    pub sails: String,
    /// The wind to read the card at: `10½ to 12`; `None` without settings.
    pub read_at: Option<String>,
    pub marks: Vec<PlannedMark>,
}

/// What a control is to be set to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PlannedMark {
    /// `Backstay ● 3½`.
    pub text: String,
    /// What the mark is known from; `None` where there is none to set.
    pub ground: Option<Ground>,
    /// Not rounded: the wind that the mark is for and the reading in it. Finer than print, so no part of the stamp.
    #[serde(skip)]
    pub exact: (Wind, sided::AtWind),
}

#[derive(Default)]
struct Asked {
    id: Option<String>,
    size: Option<NamedSize>,
    bunks: Option<Bunks>,
}

impl Content for WatchPlan {
    fn data(&self) -> serde_json::Value {
        serde_json::to_value(self).unwrap_or_default()
    }

    fn layout(&self, label: &Label) -> Result<Drawing, Wrong> {
        layout::watch_plan(self, label)
    }

    fn working(&self) -> Vec<Passage> {
        self.working.passages()
    }
}

/// `{kind: watch-plan, bunks: windward, size: A5}`.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let place = entry.place.clone();
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    let choices = Bunks::ALL.map(|bunks| (bunks.word(), bunks));
    let bunks = entry.take("bunks");
    let bunks = bunks.and_then(|node| words::choice(node, "the side of the bunks", &choices, problems));
    entry.finish(problems);
    match &book.race.watches {
        Some(watches) => cards(book, watches, &Asked { id, size, bunks }, problems),
        None => {
            problems.push(Problem::error(
                place,
                "a watch-plan card needs `watches` of the book",
                "write them like `watches: {start: 2027-06-12 18:40, finish: 2027-06-14 09:00, time_zone: \
                 Europe/London, least_on_deck: 3, lengths: 4 h, teams: {red: [Ada], blue: [Bo]}}`",
            ));
            Vec::new()
        }
    }
}

fn cards(book: &Book, section: &Watches, asked: &Asked, problems: &mut Vec<Problem>) -> Vec<Card> {
    let plan = match section.plan() {
        Ok(plan) => plan,
        Err(error) => {
            problems.push(Problem::error(section.place.clone(), error.what(), error.instead()));
            return Vec::new();
        }
    };
    let changes: Vec<String> = plan.clock_changes.iter().map(clock_words).collect();
    for words in &changes {
        problems.push(Problem::warning(
            section.place.clone(),
            format!("during the race {words}"),
            "tell every watch, or keep the race in UTC; the plan's times follow the clock",
        ));
    }
    let outlook = weather::Outlook::new(book, asked.bunks.unwrap_or(Bunks::Windward));
    // Many short watches have the same rows of the forecast and as many below.
    let mut known: HashMap<(Range<usize>, u32), Option<Arc<Weather>>> = HashMap::new();
    let mut weathers = Vec::new();
    for watch in &plan.watches {
        let (rows, below) = (outlook.in_force(&watch.from, &watch.to), plan.number_below(watch) as u32);
        if let Some(weather) = known.get(&(rows.clone(), below)) {
            weathers.push(weather.clone());
            continue;
        }
        match outlook.over(rows.clone(), below) {
            Ok(weather) => {
                let weather = weather.map(Arc::new);
                known.insert((rows, below), weather.clone());
                weathers.push(weather);
            }
            Err(error) => {
                let what = format!("the watch from {}: {}", clock(&watch.from), error.what);
                problems.push(Problem::error(section.place.clone(), what, error.instead));
                return Vec::new();
            }
        }
    }
    let forecast = weathers.iter().any(Option::is_some);
    let most = if forecast { WATCHES_WITH_FORECAST } else { WATCHES };
    let count = plan.watches.len().div_ceil(most).max(1);
    // Parts of about the same length: a last card of one watch is a waste of film.
    let each = plan.watches.len().div_ceil(count).max(1);
    let midnights = plan.midnights();
    let stints = plan.all_stints();
    let hours: Vec<String> = plan.people.iter().zip(&stints).map(|(name, stints)| hours_words(name, stints)).collect();
    let narrowed = if forecast { outlook.narrowed() } else { Vec::new() };
    let whole = Arc::new(Whole { plan, section: section.clone(), weathers });
    let Whole { plan, weathers, .. } = &*whole;
    let parts = (0..plan.watches.len()).step_by(each).enumerate().map(|(part, first)| {
        let watches = first..(first + each).min(plan.watches.len());
        let told = watches.clone().zip(weathers.get(watches.clone()).unwrap_or_default());
        let rows = told
            .clone()
            .flat_map(|(index, weather)| rows(section, plan, &midnights, index, weather.as_deref().cloned()));
        let content = WatchPlan {
            size: asked.size.clone(),
            boat: book.boat.name.value.clone(),
            part: (count > 1).then(|| format!("{} of {count}", part + 1)),
            race: race_words(section),
            rows: rows.collect(),
            hours: hours.clone(),
            outside: plan.outside.iter().map(outside_words).collect(),
            least_on_deck: section.least_on_deck,
            clock_changes: changes.clone(),
            narrowed: narrowed.clone(),
            grounds: grounds(told.filter_map(|(_, weather)| weather.as_deref())),
            assumptions: if forecast { outlook.assumptions() } else { Vec::new() },
            working: Working { whole: Arc::clone(&whole), watches },
        };
        let stem = asked.id.clone().unwrap_or_else(|| KIND.name.to_owned());
        let id = if part == 0 { stem } else { format!("{stem}-{}", part + 1) };
        let title = match &content.part {
            Some(part) => format!("Watches, {part}"),
            None => "Watches".to_owned(),
        };
        Card::new(id, KIND.name, title, Stock::Card, section.place.clone(), content)
    });
    parts.collect()
}

/// What the marks of these watches are known from, the surest first.
fn grounds<'a>(weathers: impl Iterator<Item = &'a Weather>) -> Vec<Ground> {
    let marks = weathers.flat_map(|weather| &weather.sails).flat_map(|sails| &sails.marks);
    marks.filter_map(|mark| mark.ground).collect::<BTreeSet<_>>().into_iter().collect()
}

/// A watch as it is printed: cut in two by a midnight inside it, with a line for the new day.
fn rows(
    section: &Watches,
    plan: &Plan,
    midnights: &[ZonedDateTime],
    index: usize,
    weather: Option<Weather>,
) -> Vec<PlanRow> {
    let watch = &plan.watches[index];
    let names = |people: &[usize]| people.iter().filter_map(|person| plan.people.get(*person).cloned()).collect();
    let on_deck: Vec<String> = names(&watch.on_deck);
    let head = head(section, plan, index);
    let midnights: Vec<&ZonedDateTime> =
        midnights.iter().filter(|midnight| (&watch.from..&watch.to).contains(midnight)).collect();
    let mut rows = Vec::new();
    let row = |from: &ZonedDateTime, continues: bool, weather: Option<Weather>| {
        PlanRow::Watch(WatchRow {
            from: clock(from),
            until: clock(&watch.to),
            is_finish: index + 1 == plan.watches.len(),
            continues,
            head: head.clone(),
            on_deck: on_deck.clone(),
            below: plan.number_below(watch),
            weather,
        })
    };
    let begins_at_midnight = midnights.first() == Some(&&watch.from);
    let mut weather = weather;
    if !begins_at_midnight {
        rows.push(row(&watch.from, false, weather.take()));
    }
    for midnight in midnights {
        rows.push(PlanRow::Midnight { day: midnight.strftime("%a %-d %B").to_string() });
        let continues = *midnight != watch.from;
        rows.push(row(midnight, continues, if continues { None } else { weather.take() }));
    }
    rows
}

/// The team, or those who come up; inside a watch, who of the floaters comes and goes.
fn head(section: &Watches, plan: &Plan, index: usize) -> String {
    let watch = &plan.watches[index];
    let names = |people: &[usize], where_to: &str| -> Option<String> {
        let names: Vec<&str> =
            people.iter().filter_map(|person| plan.people.get(*person).map(String::as_str)).collect();
        (!names.is_empty()).then(|| format!("{} {where_to}", names.join(", ")))
    };
    let goes_on = index.checked_sub(1).is_some_and(|before| plan.watches[before].turn == watch.turn);
    let come_up = names(&watch.come_up, "up").filter(|_| index > 0);
    let go_below = names(&watch.go_below, "below").filter(|_| goes_on);
    let team = match (&section.rota, watch.team) {
        (Rota::Teams { teams, .. }, Some(team)) => teams.get(team).map(|team| team.name.clone()),
        _ => None,
    };
    // Where a team takes over, its name says who comes up.
    let moves = if team.is_some() && !goes_on { [None, None] } else { [come_up, go_below] };
    team.into_iter().chain(moves.into_iter().flatten()).collect::<Vec<String>>().join(", ")
}

/// `Nora (navigator), on the rail`.
fn outside_words(person: &Outside) -> String {
    let duty = person.duty.as_ref().map(|duty| format!(" ({duty})")).unwrap_or_default();
    format!("{}{duty}{}", person.name, if person.on_rail { ", on the rail" } else { "" })
}

fn clock(time: &ZonedDateTime) -> String {
    time.strftime("%H:%M").to_string()
}

fn race_words(section: &Watches) -> String {
    let (start, finish) = (section.race.start(), section.race.finish());
    let same_clock = start.offset() == finish.offset();
    let name = |time: &ZonedDateTime| time.strftime("%Z").to_string();
    let clock = if same_clock { name(start) } else { format!("{}, then {}", name(start), name(finish)) };
    let at = |time: &ZonedDateTime| time.strftime("%a %-d %B %H:%M").to_string();
    format!("Start {} · finish {} · {} ({clock})", at(start), at(finish), section.time_zone)
}

/// `the clock is put forward by 1 h on 27 March at 01:00, to 02:00`.
fn clock_words(change: &ClockChange) -> String {
    let way = if change.by > SignedDuration::ZERO { "forward" } else { "back" };
    format!(
        "the clock is put {way} by {} on {}, from {} to {}",
        hours(change.by.abs()),
        change.at.strftime("%a %-d %B"),
        change.at_old_clock.strftime("%H:%M"),
        clock(&change.at),
    )
}

fn hours_words(name: &str, stints: &[Stint]) -> String {
    format!("{name} {}", hours(time_of(stints)))
}

fn watch_working(plan: &Plan, index: usize, weather: Option<&Weather>, section: &Watches) -> Passage {
    let watch: &Watch = &plan.watches[index];
    let at = |time: &ZonedDateTime| time.strftime("%a %-d %B %H:%M %Z").to_string();
    let mut passage = Passage::new(format!("Watch {} from {}", index + 1, at(&watch.from)));
    passage.input("start, finish, pattern, people", section.time_zone.clone(), &section.place);
    let length = watch.from.duration_until(&watch.to);
    passage.step("length", "by the time that passes, whatever the clock does", hours(length));
    passage.step("on deck", format!("at least {} wanted", section.least_on_deck), watch.on_deck.len().to_string());
    let how = match plan.outside.as_slice() {
        [] => "aboard in the watches, less those on deck".to_owned(),
        outside => {
            let words: Vec<String> = outside.iter().map(outside_words).collect();
            let how =
                "aboard in the watches, less those on deck; with those outside the watches who are not on the rail";
            format!("{how}: {}", words.join("; "))
        }
    };
    passage.step("below", how, plan.number_below(watch).to_string());
    if let Some(weather) = weather {
        passage.step("wind", "least and most of the forecast in force; force by WMO-No. 306", weather.wind.clone());
        for words in &weather.beyond {
            passage.step("caution", "the forecast against what every sail is for now", words.clone());
        }
        for sails in &weather.sails {
            let how = "first settings of the book whose sails are for this wind and angle";
            passage.step("sails", how, sails.sails.clone());
            if let Some(read_at) = &sails.read_at {
                passage.step(
                    "read the card at",
                    "as on the crew-below card, for both ends of the wind",
                    read_at.clone(),
                );
            }
            for mark in &sails.marks {
                let (wind, value) = &mark.exact;
                let ground = mark.ground.map_or("no mark is known", ground_legend);
                let how = format!("the curve at the middle of the winds to read at: {ground}");
                passage.exactly("mark", how, mark.text.clone(), sided::exact_json(*wind, value));
            }
        }
    }
    passage
}

fn hours_working(plan: &Plan) -> Passage {
    let mut passage = Passage::new("Time on deck");
    for (name, stints) in plan.people.iter().zip(plan.all_stints()) {
        let times: Vec<String> =
            stints.iter().map(|stint| format!("{} to {}", clock(&stint.from), clock(&stint.to))).collect();
        passage.step(name.clone(), format!("sum of {}", times.join(", ")), hours(time_of(&stints)));
    }
    passage
}

/// `Sun 13 June 02:00, on deck: Ada, Bo`.
fn lines(content: &mut Fields, lines: &mut Vec<Said>) {
    if let Some(Said::One { about, says }) = optional(content, "race", "race") {
        lines.push(Said::one(about, says.replace(" · ", ", ")));
    }
    let mut day = String::new();
    for row in taken(content, "rows") {
        if let Some(midnight) = row.get("midnight") {
            day = format!("{} ", text(midnight.get("day")));
        }
        let Some(watch) = row.get("watch") else { continue };
        let [from, until, head] = ["from", "until", "head"].map(|field| text(watch.get(field)));
        let about = |what: &str| format!("{day}{from}, {what}");
        lines.push(Said::one(
            about("watch"),
            if head.is_empty() { format!("to {until}") } else { format!("{head}, to {until}") },
        ));
        let on_deck: Vec<String> =
            watch.get("on_deck").and_then(serde_json::Value::as_array).into_iter().flatten().map(short).collect();
        lines.push(Said::one(about("on deck"), on_deck.join(", ")));
        let Some(weather) = watch.get("weather").filter(|weather| !weather.is_null()) else { continue };
        for words in weather.get("beyond").and_then(serde_json::Value::as_array).into_iter().flatten() {
            lines.push(Said::among(about("caution"), text(Some(words))));
        }
        lines.push(Said::one(about("wind"), text(weather.get("wind"))));
        for plan in weather.get("sails").and_then(serde_json::Value::as_array).into_iter().flatten() {
            let [sails, read_at] = ["sails", "read_at"].map(|field| text(plan.get(field)));
            // A plan of before the signs has the words alone.
            let words =
                |mark: &serde_json::Value| mark.get("text").map_or_else(|| short(mark), |said| text(Some(said)));
            let marks = plan.get("marks").and_then(serde_json::Value::as_array).into_iter().flatten();
            let marks: Vec<String> = marks.map(words).collect();
            let read_at = if read_at.is_empty() { read_at } else { format!("read the card at {read_at}") };
            let says: Vec<String> = std::iter::once(read_at).chain(marks).filter(|words| !words.is_empty()).collect();
            lines.push(Said::one(about(&sails), says.join(", ")));
        }
    }
    lines.extend(texts(content, "hours").iter().map(|words| match words.split_once(' ') {
        Some((name, hours)) => Said::one(format!("{name} on deck"), hours),
        None => Said::among("", words.clone()),
    }));
    lines.extend(texts(content, "outside").into_iter().map(|words| Said::among("outside the watches", words)));
    lines.extend(optional(content, "least_on_deck", "least on deck"));
    content.shift_remove("grounds");
    lines.extend(texts(content, "clock_changes").into_iter().map(|words| Said::among("", words)));
}
