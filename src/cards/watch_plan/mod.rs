//! The kind `watch-plan`: who is on deck from when to when, and with a forecast what wind and sails to expect, and which bands
//! of their settings cards to use.

mod calendar;
mod layout;
mod weather;

use crate::wrong::Wrong;
use std::collections::{BTreeSet, HashMap};
use std::ops::Range;
use std::sync::Arc;

use jiff::civil::Date;
use jiff::{SignedDuration, ZonedDateTime};
use serde::Serialize;
use serde_json::Value;

use super::parts::comparing::{Fields, short, text};
use super::parts::expected::hours;
use super::parts::frame;
use super::parts::into_rows::goes_by_apparent;
use super::parts::sided;
use super::parts::telling::{Said, by_lines, item, optional, taken, texts};
use super::parts::words::ground_legend;
use super::parts::working::Passage;
use super::{Card, Content, Diary, Kind, Label, Stock, Usual};
use crate::book::{Book, Problem, Section, Table, Watches, words};
use crate::drawing::Drawing;
use crate::size::NamedSize;
use crate::tuning::floaters::Outside;
use crate::tuning::righting::Bunks;
use crate::tuning::watches::{ClockChange, Plan, Rota, Team, Watch, time_of};
use crate::tuning::{Ground, Wind};

pub const KIND: Kind = Kind {
    name: "watch-plan",
    about: "Who is on deck when, and the wind and sails to expect",
    made_of: &[
        Section::WindBands,
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

/// What the card says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WatchPlan {
    #[serde(skip)]
    pub size: Option<NamedSize>,
    pub boat: String,
    /// `2 of 3` where one card does not hold them all.
    pub part: Option<String>,
    /// `12 to 13 June`.
    pub days: String,
    /// Start, finish and time zone.
    pub race: String,
    /// The teams by name, and who is in them; one whose name is that of its only member is left out.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub teams: Vec<(String, Vec<String>)>,
    /// What winds are in: `kn`; `kn, true` where the cards are in apparent wind.
    pub wind_unit: String,
    pub rows: Vec<PlanRow>,
    /// `Red 13½ h`; of one who is in no team, `Ada 13½ h`.
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
    /// Its watches as a telephone keeps them.
    #[serde(skip)]
    pub diary: Diary,
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
    /// One a watch; `None` without a forecast for it.
    weathers: Vec<Option<Arc<Weather>>>,
}

impl Whole {
    fn weather(&self, index: usize) -> Option<&Weather> {
        self.weathers.get(index).and_then(Option::as_deref)
    }
}

impl Working {
    fn passages(&self) -> Vec<Passage> {
        let Whole { plan, section, .. } = &*self.whole;
        let of = |index: usize| watch_working(plan, index, self.whole.weather(index), section);
        self.watches.clone().map(of).chain([hours_working(plan)]).collect()
    }
}

#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum PlanRow {
    /// A new day begins here, or in the watch above: `Sun 13 June`.
    Midnight {
        day: String,
    },
    Watch(WatchRow),
    /// The end of the last watch.
    Finish {
        at: String,
    },
}

/// A watch, up to the next one's time.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WatchRow {
    pub from: String,
    /// The team, or those who come up.
    pub head: String,
    /// Who is on deck besides those that the head names, or whose team it does.
    pub on_deck: Vec<String>,
    pub below: usize,
    pub weather: Option<Weather>,
}

/// What is expected during a watch.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Weather {
    /// `12 to 14`.
    pub wind: String,
    /// `18`, where gusts are more than the wind.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub gusts: Option<String>,
    /// `force 4`.
    #[serde(skip)]
    pub force: Option<String>,
    /// What no sail is for, and gusts past a sail's range with the sail for them; read before all else.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub beyond: Vec<String>,
    /// In the order they are met.
    pub sails: Vec<SailPlan>,
}

/// A set of sails and where on their settings card to look.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct SailPlan {
    /// `J1 + Main, upwind`.
    pub sails: String,
    /// Where other sails come before them, from when or from which wind on: `02:00`, `16 kn`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub from: Option<String>,
    /// The bands of the settings card that the wind is in: `8 to 11`; none without settings.
    pub bands: Vec<String>,
    /// How many below are counted in them; `None`: they are for nobody below.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub counted: Option<u32>,
    /// With those below it is past what these sails may be used in: `past this sail: J2 + Main`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub past: Option<String>,
    /// The wind that the marks are for: `11 kn`.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub marks_at: Option<String>,
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub marks: Vec<PlannedMark>,
    /// The wind to read the card at, more closely than its bands tell it: `10½ to 12`; `None` without settings.
    #[serde(skip)]
    pub read_at: Option<String>,
}

impl SailPlan {
    /// `bands 14 to 17, 17 to 20`.
    fn bands_words(&self) -> Option<String> {
        let word = if self.bands.len() == 1 { "band" } else { "bands" };
        (!self.bands.is_empty()).then(|| format!("{word} {}", self.bands.join(", ")))
    }

    /// `4 below counted already`.
    fn counted_words(&self) -> Option<String> {
        self.counted.filter(|_| !self.bands.is_empty()).map(|below| counted_words(&below.to_string()))
    }
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
    marks: bool,
}

impl Asked {
    /// The id of the first card.
    fn stem(&self) -> String {
        self.id.clone().unwrap_or_else(|| KIND.name.to_owned())
    }
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

    fn diary(&self) -> Option<&Diary> {
        Some(&self.diary)
    }
}

/// `{kind: watch-plan, bunks: windward, marks: true, size: A5}`.
fn from_entry(book: &Book, mut entry: Table, problems: &mut Vec<Problem>) -> Vec<Card> {
    let place = entry.place.clone();
    let id = super::entry_id(&mut entry, problems);
    let size = super::entry_size(&mut entry, problems);
    let choices = Bunks::ALL.map(|bunks| (bunks.word(), bunks));
    let bunks = entry.take("bunks");
    let bunks = bunks.and_then(|node| words::choice(node, "the side of the bunks", &choices, problems));
    let marks =
        entry.take("marks").and_then(|node| words::flag(node, "`marks` of a watch plan", problems)).unwrap_or_default();
    entry.finish(problems);
    match &book.race.watches {
        Some(watches) => cards(book, watches, &Asked { id, size, bunks, marks }, problems),
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
    let outlook = weather::Outlook::new(book, asked.bunks.unwrap_or(Bunks::Windward), asked.marks);
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
    let (hours, midnights) = (time_on_deck(section, &plan), plan.midnights());
    let whole = Arc::new(Whole { plan, section: section.clone(), weathers });
    let parts = Making { book, whole, outlook: &outlook, changes, hours, midnights, asked }.parts();
    let count = parts.len();
    let card = |(nth, content): (usize, WatchPlan)| {
        let stem = asked.stem();
        let id = if nth == 0 { stem } else { format!("{stem}-{}", nth + 1) };
        let title = content.part.as_ref().filter(|_| count > 1);
        let title = title.map_or_else(|| "Watches".to_owned(), |part| format!("Watches, {part}"));
        Card::new(id, KIND.name, title, Stock::Card, section.place.clone(), content)
    };
    parts.into_iter().enumerate().map(card).collect()
}

/// What a plan's cards are made of.
struct Making<'a> {
    book: &'a Book,
    whole: Arc<Whole>,
    outlook: &'a weather::Outlook<'a>,
    /// Of the clock.
    changes: Vec<String>,
    /// How long each is on deck.
    hours: Vec<String>,
    midnights: Vec<ZonedDateTime>,
    asked: &'a Asked,
}

impl Making<'_> {
    /// The whole plan on as few cards as can be read, all about as full; what must be read is as large as that has to be where it
    /// can be.
    fn parts(&self) -> Vec<WatchPlan> {
        let watches = self.whole.plan.watches.len();
        let label = Label::longest(self.book);
        let half = frame::half_of_any_page();
        let size = self.asked.size.as_ref().or(half.as_ref());
        let fits =
            |card: &WatchPlan, cap: f64| size.is_none_or(|size| layout::table(card).measured().fits(&label, size, cap));
        let found = [frame::MUST_CAP, frame::least_cap_mm()].into_iter().find_map(|cap| {
            let filled = self.filled(&|card| fits(card, cap))?;
            // As many cards that are all about as full, if they hold it: a last card of one watch is a waste of film.
            let even = even(watches, filled.len());
            Some(if self.cards(&even).iter().all(|card| fits(card, cap)) { even } else { filled })
        });
        // Where a single watch is more than half a page, each has a page; what no number of cards of the size that was asked for
        // holds is refused once.
        let count = if self.asked.size.is_none() { watches.max(1) } else { 1 };
        self.cards(&found.unwrap_or_else(|| even(watches, count)))
    }

    /// The watches of each card, as many as it holds; `None` if one does not hold a single watch.
    fn filled(&self, fits: &dyn Fn(&WatchPlan) -> bool) -> Option<Vec<Range<usize>>> {
        let watches = self.whole.plan.watches.len();
        // As long as the longest part there can be.
        let part = |range: &Range<usize>| (range.len() < watches).then(|| format!("{watches} of {watches}"));
        let fits = |range: Range<usize>| {
            let part = part(&range);
            fits(&self.content(range, part))
        };
        let mut cards = Vec::new();
        let mut start = 0;
        while start < watches {
            let held = (start + 1..=watches).take_while(|end| fits(start..*end)).last()?;
            cards.push(start..held);
            start = held;
        }
        Some(cards)
    }

    /// A card for each of these ranges of watches.
    fn cards(&self, ranges: &[Range<usize>]) -> Vec<WatchPlan> {
        let count = ranges.len();
        let part = |nth: usize| (count > 1).then(|| format!("{} of {count}", nth + 1));
        ranges.iter().enumerate().map(|(nth, range)| self.content(range.clone(), part(nth))).collect()
    }

    fn content(&self, indices: Range<usize>, part: Option<String>) -> WatchPlan {
        let Making { book, whole, outlook, .. } = self;
        let Whole { plan, section, weathers } = &**whole;
        let forecast = weathers.iter().any(Option::is_some);
        let row = |index: usize| rows(section, plan, &self.midnights, index, whole.weather(index).cloned());
        let mut rows: Vec<PlanRow> = indices.clone().flat_map(row).collect();
        if indices.end == plan.watches.len() {
            rows.push(PlanRow::Finish { at: clock(section.race.finish()) });
        }
        let kind = if goes_by_apparent(book) { ", true" } else { "" };
        WatchPlan {
            size: self.asked.size.clone(),
            boat: book.boat.name.value.clone(),
            part,
            days: days(plan, &indices),
            race: race_words(section),
            teams: teams(section),
            wind_unit: format!("{}{kind}", book.units.wind.symbol()),
            rows,
            hours: self.hours.clone(),
            outside: plan.outside.iter().map(outside_words).collect(),
            least_on_deck: section.least_on_deck,
            clock_changes: self.changes.clone(),
            narrowed: if forecast { outlook.narrowed() } else { Vec::new() },
            grounds: grounds(indices.clone().filter_map(|index| whole.weather(index))),
            assumptions: if forecast { outlook.assumptions() } else { Vec::new() },
            diary: Diary {
                name: self.asked.stem(),
                appointments: indices.clone().map(|index| calendar::appointment(self, index)).collect(),
            },
            working: Working { whole: Arc::clone(whole), watches: indices },
        }
    }
}

/// So many watches in so many parts, all about as long.
fn even(watches: usize, count: usize) -> Vec<Range<usize>> {
    let each = watches.div_ceil(count).max(1);
    (0..watches).step_by(each).map(|start| start..(start + each).min(watches)).collect()
}

/// What the marks of these watches are known from, the surest first.
fn grounds<'a>(weathers: impl Iterator<Item = &'a Weather>) -> Vec<Ground> {
    let marks = weathers.flat_map(|weather| &weather.sails).flat_map(|sails| &sails.marks);
    marks.filter_map(|mark| mark.ground).collect::<BTreeSet<_>>().into_iter().collect()
}

/// A watch as it is printed, with a line for a new day before it or, if that begins in it, after it.
fn rows(
    section: &Watches,
    plan: &Plan,
    midnights: &[ZonedDateTime],
    index: usize,
    weather: Option<Weather>,
) -> Vec<PlanRow> {
    let watch = &plan.watches[index];
    let in_it = midnights.iter().filter(|midnight| (&watch.from..&watch.to).contains(midnight)).cloned();
    let (at_once, later): (Vec<_>, Vec<_>) = in_it.partition(|midnight| *midnight == watch.from);
    let line = |midnight: ZonedDateTime| PlanRow::Midnight { day: midnight.strftime("%a %-d %B").to_string() };
    let row = PlanRow::Watch(WatchRow {
        from: clock(&watch.from),
        head: head(section, plan, index),
        on_deck: besides(section, plan, index),
        below: plan.number_below(watch),
        weather,
    });
    at_once.into_iter().map(line).chain([row]).chain(later.into_iter().map(line)).collect()
}

/// The team of a watch, if teams take turns.
fn team_of<'a>(section: &'a Watches, watch: &Watch) -> Option<&'a Team> {
    match &section.rota {
        Rota::Teams { teams, .. } => teams.get(watch.team?),
        Rota::Rolling { .. } => None,
    }
}

/// Whether a watch is a part of the same turn as the one before it: someone came or went inside it.
fn goes_on(plan: &Plan, index: usize) -> bool {
    index.checked_sub(1).is_some_and(|before| plan.watches[before].turn == plan.watches[index].turn)
}

/// Who is on deck besides the team, and besides those whom the head of the watch names; of a crew without teams, everyone.
fn besides(section: &Watches, plan: &Plan, index: usize) -> Vec<String> {
    let watch = &plan.watches[index];
    let team = team_of(section, watch);
    let is_told = |person: &usize| {
        let in_team = |team: &Team| plan.people.get(*person).is_some_and(|name| team.members.contains(name));
        team.is_some_and(|team| in_team(team) || (goes_on(plan, index) && watch.come_up.contains(person)))
    };
    let told = watch.on_deck.iter().filter(|person| !is_told(person));
    told.filter_map(|person| plan.people.get(*person).cloned()).collect()
}

/// The teams with their names; one whose only member has the same name tells itself.
fn teams(section: &Watches) -> Vec<(String, Vec<String>)> {
    let Rota::Teams { teams, .. } = &section.rota else { return Vec::new() };
    let is_one = |team: &&Team| !matches!(team.members.as_slice(), [one] if *one == team.name);
    teams.iter().filter(is_one).map(|team| (team.name.clone(), team.members.clone())).collect()
}

/// The team, or those who come up; inside a watch, who of the floaters comes and goes.
fn head(section: &Watches, plan: &Plan, index: usize) -> String {
    let watch = &plan.watches[index];
    let names = |people: &[usize], where_to: &str| -> Option<String> {
        let names: Vec<&str> =
            people.iter().filter_map(|person| plan.people.get(*person).map(String::as_str)).collect();
        (!names.is_empty()).then(|| format!("{} {where_to}", names.join(", ")))
    };
    let goes_on = goes_on(plan, index);
    let come_up = names(&watch.come_up, "up").filter(|_| index > 0);
    let go_below = names(&watch.go_below, "below").filter(|_| goes_on);
    let team = team_of(section, watch).map(|team| team.name.clone());
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

/// The days that some watches are on: `12 June`, `12 to 13 June`, `30 June to 1 July`.
fn days(plan: &Plan, indices: &Range<usize>) -> String {
    let watches = plan.watches.get(indices.clone()).unwrap_or_default();
    let Some((first, last)) = watches.first().zip(watches.last()) else { return String::new() };
    let (from, to) = (first.from.date(), last.to.date());
    let (whole, day) =
        (|date: Date| date.strftime("%-d %B").to_string(), |date: Date| date.strftime("%-d").to_string());
    match (from == to, from.first_of_month() == to.first_of_month()) {
        (true, _) => whole(to),
        (false, true) => format!("{} to {}", day(from), whole(to)),
        (false, false) => format!("{} to {}", whole(from), whole(to)),
    }
}

/// Said of winds that the settings card has no band for.
const NO_BAND: &str = "none";
const HOURS_PER_DAY: i64 = 24;
/// A race of so many days names no day of the week twice.
const DAYS_OF_A_WEEK: i64 = 7;

/// `start Sat 18:40 · finish Sun 22:00 · clock Europe/London`.
fn race_words(section: &Watches) -> String {
    let (start, finish) = (section.race.start(), section.race.finish());
    let is_short = start.duration_until(finish).as_hours() < (DAYS_OF_A_WEEK - 1) * HOURS_PER_DAY;
    let at = |time: &ZonedDateTime| time.strftime(if is_short { "%a %H:%M" } else { "%-d %B %H:%M" }).to_string();
    format!("start {} · finish {} · clock {}", at(start), at(finish), section.time_zone)
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

/// How long each is on deck in all: a team together, and everyone else by name.
fn time_on_deck(section: &Watches, plan: &Plan) -> Vec<String> {
    let person = |name: &String| plan.people.iter().position(|person| person == name);
    let of = |name: &str, person: usize| format!("{name} {}", hours(plan.time_on_deck(person)));
    let Rota::Teams { teams, .. } = &section.rota else {
        return plan.people.iter().enumerate().map(|(nth, name)| of(name, nth)).collect();
    };
    let of_teams = teams.iter().filter_map(|team| Some(of(&team.name, person(team.members.first()?)?)));
    let in_a_team = |name: &String| teams.iter().any(|team| team.members.contains(name));
    let alone = plan.people.iter().enumerate().filter(|(_, name)| !in_a_team(name));
    of_teams.chain(alone.map(|(nth, name)| of(name, nth))).collect()
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
        let force = weather.force.as_ref().map(|force| format!(", {force}")).unwrap_or_default();
        let gusts = weather.gusts.as_ref().map(|gusts| format!(", gusts {gusts}")).unwrap_or_default();
        let wind = format!("{}{force}{gusts}", weather.wind);
        passage.step("wind", "least and most of the forecast in force; force by WMO-No. 306", wind);
        for words in &weather.beyond {
            passage.step("caution", "the forecast against what every sail is for now", words.clone());
        }
        for sails in &weather.sails {
            let how = "first settings of the book whose sails are for this wind and angle";
            passage.step("sails", how, sails.sails.clone());
            if let Some(read_at) = &sails.read_at {
                let how = match sails.counted {
                    Some(_) => "as on the crew-below card, for both ends of the wind",
                    None => "the wind as it is: nobody is counted below",
                };
                passage.step("read the card at", how, read_at.clone());
                let how = "those of the settings card that these winds are in, as winds are printed";
                let bands = if sails.bands.is_empty() { NO_BAND.to_owned() } else { sails.bands.join(", ") };
                passage.step("bands", how, bands);
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
        if let Some(finish) = row.get("finish") {
            lines.push(Said::one("finish", format!("{day}{}", text(finish.get("at")))));
        }
        let Some(watch) = row.get("watch") else { continue };
        let [from, head] = ["from", "head"].map(|field| text(watch.get(field)));
        let about = |what: &str| format!("{day}{from}, {what}");
        let list = |of: &Value, field: &str| -> Vec<String> {
            of.get(field).and_then(Value::as_array).into_iter().flatten().map(short).collect()
        };
        let besides = list(watch, "on_deck");
        let who: Vec<String> = std::iter::once(head).filter(|head| !head.is_empty()).chain(besides).collect();
        lines.push(Said::one(about("on deck"), who.join(", ")));
        let Some(weather) = watch.get("weather").filter(|weather| !weather.is_null()) else { continue };
        lines.extend(list(weather, "beyond").into_iter().map(|words| Said::among(about("caution"), words)));
        lines.push(Said::one(about("wind"), text(weather.get("wind"))));
        let gusts = text(weather.get("gusts"));
        lines.extend((!gusts.is_empty()).then(|| Said::one(about("gusts"), gusts)));
        for plan in weather.get("sails").and_then(Value::as_array).into_iter().flatten() {
            let [sails, start, counted, past] = ["sails", "from", "counted", "past"].map(|field| text(plan.get(field)));
            let mut says: Vec<String> = Vec::new();
            says.extend((!start.is_empty()).then(|| format!("from {start}")));
            let bands = list(plan, "bands");
            // With a word between them they are one part, told whole if one of them changes.
            says.extend((!bands.is_empty()).then(|| format!("bands {}", bands.join(" and "))));
            says.extend((!counted.is_empty()).then(|| counted_words(&counted)));
            says.extend((!past.is_empty()).then_some(past));
            let marks = plan.get("marks").and_then(Value::as_array).into_iter().flatten();
            says.extend(marks.map(|mark| text(mark.get("text"))));
            lines.push(Said::one(about(&sails), says.join(", ")));
        }
    }
    for team in taken(content, "teams") {
        let names = team.get(1).and_then(Value::as_array).into_iter().flatten().map(short);
        lines.push(Said::one(format!("in {}", item(&team, 0)), names.collect::<Vec<_>>().join(", ")));
    }
    lines.extend(optional(content, "days", "days"));
    lines.extend(optional(content, "wind_unit", "winds in"));
    lines.extend(texts(content, "hours").iter().map(|words| match words.split_once(' ') {
        Some((name, hours)) => Said::one(format!("{name} on deck"), hours),
        None => Said::among("", words.clone()),
    }));
    lines.extend(texts(content, "outside").into_iter().map(|words| Said::among("outside the watches", words)));
    lines.extend(optional(content, "least_on_deck", "least on deck"));
    content.shift_remove("grounds");
    lines.extend(texts(content, "clock_changes").into_iter().map(|words| Said::among("", words)));
}

/// `4 below counted already`.
fn counted_words(below: &str) -> String {
    format!("{below} below counted already")
}
