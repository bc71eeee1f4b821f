//! Who is on watch when, the wind expected meanwhile, and what has to be done before the start.

use crate::wrong::{Wrong, shown};
use std::ops::RangeInclusive;

use jiff::civil::{DateTime, Time};
use jiff::tz::TimeZone;
use jiff::{SignedDuration, ZonedDateTime};

use super::raw_rows;
use crate::book::model::{Check, CrewSection, Forecast, Units, Watches};
use crate::book::number;
use crate::book::problem::{Place, Problem};
use crate::book::quantity::{self, Dimension};
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words;
use crate::limits;
use crate::tuning::floaters::{Floater, Outside, Up};
use crate::tuning::watches::{Pattern, Race, Rota, Team, WatchError, plan, time_zone};
use crate::tuning::{Axis, Wind};

fn refused(error: &WatchError, place: &Place) -> Problem {
    Problem::error(place.clone(), error.what(), error.instead())
}

pub fn watches(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<Watches> {
    let mut fields = Table::open(node, "`watches`", problems)?;
    fields.place = super::start_of(node);
    let zone_node = fields.need("time_zone", "time_zone: Europe/London", problems);
    let zone = zone_node.and_then(|node| {
        let name = words::words(node, "the time zone", problems)?.value;
        match time_zone(&name) {
            Ok(zone) => Some((name, zone)),
            Err(error) => {
                problems.push(refused(&error, &node.place));
                None
            }
        }
    });
    let start = fields.need("start", "start: 2027-06-12 18:40", problems);
    let start = start.and_then(|node| Some((node, date_time(node, "the start", problems)?)));
    let finish = fields.need("finish", "finish: 2027-06-14 09:00", problems);
    let finish = finish.and_then(|node| Some((node, date_time(node, "the finish", problems)?)));
    let least = fields
        .need("least_on_deck", "least_on_deck: 3", problems)
        .and_then(|node| Some((node, count(node, "`least_on_deck`", 0..=limits::MAX_CREW, problems)?)));
    let lengths = fields
        .need("lengths", "lengths: [4 h, 4 h, 3 h, 3 h]", problems)
        .and_then(|node| Some((node, lengths(node, units, problems)?)));
    let from = fields.take("from").map(|node| clock_time(node, "`from` of the watches", problems));
    let teams = fields.take("teams").map(|node| (node, teams(node, problems)));
    let rolling = fields.take("rolling").map(|node| (node, rolling(node, problems)));
    let floaters = fields.take("floaters").map(|node| (node, floaters(node, problems)));
    let outside = fields.take("outside").map(|node| (node, outside(node, problems)));
    fields.finish(problems);
    let turns = match (teams, rolling) {
        (Some((node, teams)), None) => teams.map(|teams| (node, Turns::Teams(teams))),
        (None, Some((node, rolling))) => {
            rolling.map(|(people, on_deck, changing)| (node, Turns::Rolling(people, on_deck, changing)))
        }
        (both, _) => {
            let number = if both.is_some() { "both teams and `rolling`" } else { "neither teams nor `rolling`" };
            problems.push(Problem::error(
                super::start_of(node),
                format!("the watches have {number}"),
                "write `teams: {red: [Ada, Bo], blue: [Cleo, Dan]}`, or \
                 `rolling: {people: [Ada, Bo, Cleo], on_deck: 2, changing: 1}`",
            ));
            None
        }
    };
    // Without its zone the rest is held against another, so that its own faults are told in the same run.
    let zone_is_known = zone.is_some();
    let (name, zone) = zone.unwrap_or_else(|| (String::new(), TimeZone::UTC));
    let ((start_node, start), (finish_node, finish)) = (start?, finish?);
    let race = match Race::new(start, finish, &zone) {
        Ok(race) => race,
        Err(error) => {
            // A fault of one of the two times is found by the time it names.
            let of_start = matches!(&error, WatchError::SkippedByTheClock(time) | WatchError::TwiceOnTheClock(time)
                | WatchError::NotATime(time) if *time == start);
            problems.push(refused(&error, if of_start { &start_node.place } else { &finish_node.place }));
            return None;
        }
    };
    let ((who, turns), (lengths_node, lengths), (least_node, least)) = (turns?, lengths?, least?);
    let pattern = Pattern { lengths, from: from.map_or(Some(None), |time| time.map(Some))? };
    let rota = match turns {
        Turns::Teams(teams) => Rota::Teams { teams, pattern },
        Turns::Rolling(people, on_deck, changing) => Rota::Rolling { people, on_deck, changing, pattern },
    };
    let (floats, stands_outside) = (floaters.as_ref().map(|(node, _)| *node), outside.as_ref().map(|(node, _)| *node));
    let floaters = floaters.map_or(Some(Vec::new()), |(_, floaters)| floaters)?;
    let outside = outside.map_or(Some(Vec::new()), |(_, outside)| outside)?;
    let of_length = |error: &WatchError| {
        matches!(error, WatchError::NoPattern | WatchError::BadLength(_) | WatchError::TooManyWatches)
    };
    let planned = plan(&rota, &race)
        .map_err(|error| (if of_length(&error) { lengths_node.place.clone() } else { who.place.clone() }, error))
        .and_then(|plan| {
            let place = floats.map_or_else(|| who.place.clone(), super::start_of);
            plan.with_floaters(&floaters).map_err(|error| (place, error))
        })
        .and_then(|plan| {
            let place = stands_outside.map_or_else(|| who.place.clone(), super::start_of);
            plan.with_outside(&outside).map_err(|error| (place, error))
        });
    let planned = match planned {
        Ok(plan) => plan,
        Err((place, error)) => {
            problems.push(refused(&error, &place));
            return None;
        }
    };
    let least_on_deck = least as usize;
    if let Some(short) = planned.shortfalls(least_on_deck).first() {
        problems.push(Problem::error(
            least_node.place.clone(),
            format!(
                "from {} to {} only {} on deck, not {least_on_deck}",
                short.from.strftime("%Y-%m-%d %H:%M"),
                short.to.strftime("%Y-%m-%d %H:%M"),
                if short.on_deck == 1 { "1 is".to_owned() } else { format!("{} are", short.on_deck) }
            ),
            "put more people into that watch, or lower `least_on_deck`",
        ));
    }
    zone_is_known.then(|| Watches {
        rota,
        floaters,
        outside,
        race,
        time_zone: name,
        least_on_deck,
        place: node.place.clone(),
    })
}

/// Says so where the crew that is reckoned with is not the crew that the watches name.
pub fn check_all_are_named(watches: &Watches, crew: &CrewSection, node: &Node, problems: &mut Vec<Problem>) {
    let (Ok(plan), aboard) = (watches.plan(), crew.crew.aboard) else { return };
    let named = plan.number_named();
    if named == aboard as usize {
        return;
    }
    let instead = if named < aboard as usize {
        "name the others: a floater under `floaters`, whoever stands no watch under `outside`; until then the cards count \
         them on the rail all the time"
    } else {
        "correct `aboard`, or take out who does not sail"
    };
    problems.push(Problem::warning(
        super::start_of(node),
        format!("the watches name {named}, and `crew` has {aboard} aboard"),
        instead,
    ));
}

/// `{Ida: changes, Jo: [20:00..23:00, 04:00..07:00]}`.
fn floaters(node: &Node, problems: &mut Vec<Problem>) -> Option<Vec<Floater>> {
    let entries = node.entries("the floaters", problems)?;
    if entries.len() > limits::MAX_CREW as usize {
        problems.push(Problem::error(
            super::start_of(node),
            format!("{} floaters are given", entries.len()),
            format!("write at most {}", limits::MAX_CREW),
        ));
        return None;
    }
    let floater = |(key, value): &(Node, Node)| {
        let name = words::words(key, "the name of a floater", problems)?.value;
        let up = hours_up(value, &name, problems)?;
        Some(Floater { name, up })
    };
    let read: Vec<Option<Floater>> = entries.iter().map(floater).collect();
    read.into_iter().collect()
}

/// The word of a floater who bridges the changes of the watch.
const ACROSS_CHANGES: &str = "changes";

/// `changes`, or `[20:00..23:00, 04:00..07:00]`.
fn hours_up(node: &Node, name: &str, problems: &mut Vec<Problem>) -> Option<Up> {
    if words::text_of(node) == Some(ACROSS_CHANGES) {
        return Some(Up::AcrossChanges);
    }
    let what = format!("the hours of {name}");
    let items = node.some_items(&what, 1..=limits::MAX_HOURS, "[20:00..23:00]", problems)?;
    let read: Vec<Option<(Time, Time)>> = items.iter().map(|item| hours_of(item, name, problems)).collect();
    let hours: Option<Vec<(Time, Time)>> = read.into_iter().collect();
    hours.map(Up::Daily)
}

/// `20:00..23:00`.
fn hours_of(node: &Node, name: &str, problems: &mut Vec<Problem>) -> Option<(Time, Time)> {
    let text = words::text_of(node).unwrap_or_default();
    let time = |text: &str| Time::strptime("%H:%M", text.trim()).ok();
    let read = text.split_once("..").and_then(|(from, to)| time(from).zip(time(to)));
    let hours = read.filter(|(from, to)| from != to);
    if hours.is_none() {
        problems.push(refused(&WatchError::NoHours { person: name.to_owned() }, &node.place));
    }
    hours
}

/// `[{who: Nora, as: skipper}, Otto]`.
fn outside(node: &Node, problems: &mut Vec<Problem>) -> Option<Vec<Outside>> {
    let example = "[{who: Nora, as: navigator}]";
    let items = node.some_items("those outside the watches", 0..=limits::MAX_CREW as usize, example, problems)?;
    let read: Vec<Option<Outside>> = items.iter().map(|item| stands_outside(item, problems)).collect();
    read.into_iter().collect()
}

fn stands_outside(node: &Node, problems: &mut Vec<Problem>) -> Option<Outside> {
    if let Some(text) = words::text_of(node).filter(|text| !text.is_empty()) {
        return Some(Outside { name: text.to_owned(), duty: None, on_rail: false });
    }
    let mut fields = Table::open(node, "one outside the watches", problems)?;
    fields.place = super::start_of(node);
    let who = fields.need("who", "who: Nora", problems);
    let who = who.and_then(|node| words::words(node, "a name", problems));
    let duty = fields.take("as").and_then(|node| words::words(node, "`as` of one outside the watches", problems));
    let on_rail =
        fields.take("on_rail").and_then(|node| words::flag(node, "`on_rail` of one outside the watches", problems));
    fields.finish(problems);
    Some(Outside { name: who?.value, duty: duty.map(|duty| duty.value), on_rail: on_rail.unwrap_or(false) })
}

enum Turns {
    Teams(Vec<Team>),
    Rolling(Vec<String>, usize, usize),
}

/// `{red: [Ada, Bo], blue: [Cleo, Dan]}`.
fn teams(node: &Node, problems: &mut Vec<Problem>) -> Option<Vec<Team>> {
    let entries = node.entries("the teams", problems)?;
    if !limits::TEAMS.contains(&entries.len()) {
        problems.push(Problem::error(
            super::start_of(node),
            format!("{} teams are given", entries.len()),
            format!("write {} to {} teams", limits::TEAMS.start(), limits::TEAMS.end()),
        ));
        return None;
    }
    let team = |(key, value): &(Node, Node)| {
        let name = words::words(key, "the name of a team", problems)?.value;
        let members = people(value, &format!("team \"{name}\""), problems)?;
        Some(Team { name, members })
    };
    let read: Vec<Option<Team>> = entries.iter().map(team).collect();
    read.into_iter().collect()
}

/// `{people: [Ada, Bo, Cleo], on_deck: 2, changing: 1}`.
fn rolling(node: &Node, problems: &mut Vec<Problem>) -> Option<(Vec<String>, usize, usize)> {
    let mut fields = Table::open(node, "`rolling`", problems)?;
    fields.place = super::start_of(node);
    let crew = fields
        .need("people", "people: [Ada, Bo, Cleo]", problems)
        .and_then(|node| people(node, "the people of `rolling`", problems));
    let on_deck = fields
        .need("on_deck", "on_deck: 4", problems)
        .and_then(|node| count(node, "the number on deck", 1..=limits::MAX_CREW, problems));
    let changing = fields
        .need("changing", "changing: 1", problems)
        .and_then(|node| count(node, "the number changing", 1..=limits::MAX_CREW, problems));
    fields.finish(problems);
    Some((crew?, on_deck? as usize, changing? as usize))
}

fn people(node: &Node, what: &str, problems: &mut Vec<Problem>) -> Option<Vec<String>> {
    let items = node.some_items(what, 1..=limits::MAX_CREW as usize, "[Ada, Bo]", problems)?;
    let named = |item: &Node| words::words(item, "a name", problems).map(|name| name.value);
    let read: Vec<Option<String>> = items.iter().map(named).collect();
    read.into_iter().collect()
}

/// A shorter watch is a slip of the pen rather than a plan: common practice.
const SHORTEST_USUAL_WATCH: SignedDuration = SignedDuration::from_mins(30);

/// A length without its unit, whose reader would take hours for what the program takes for minutes; it may be the half of a number
/// with a comma.
fn unitless(items: &[Node]) -> Option<Problem> {
    let is_bare =
        |item: &&Node| words::text_of(item).is_some_and(|text| !text.is_empty() && !text.contains(char::is_alphabetic));
    let at = items.iter().position(|item| is_bare(&item))?;
    let (item, text) = (&items[at], words::text_of(&items[at])?);
    let next = items.get(at + 1).filter(|next| raw_rows::stands_close(item, next)).and_then(words::text_of);
    let instead = match next.and_then(quantity::split) {
        Some((part, unit)) if part.bytes().all(|byte| byte.is_ascii_digit()) => {
            let joined = format!("{text},{part}");
            format!("was `{joined} {unit}` meant as one length? {}", number::without_comma(&joined))
        }
        _ => format!("write it with its unit, like `{text} h`"),
    };
    let what = format!("the length of a watch: {} has no unit", shown(text));
    Some(Problem::error(item.place.clone(), what, instead))
}

fn lengths(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<Vec<SignedDuration>> {
    let items = node.some_items("the lengths of the watches", 1..=limits::MAX_ROWS, "[4 h, 4 h]", problems)?;
    if let Some(problem) = unitless(items) {
        problems.push(problem);
        return None;
    }
    let read = |item: &Node| {
        let bare = units.bare(Dimension::Duration);
        let seconds = quantity::measure(item, bare, "the length of a watch", &limits::WATCH_SECONDS, problems)?;
        let length = SignedDuration::from_secs_f64(seconds);
        let whole = SignedDuration::from_mins(length.as_mins()) == length;
        if !whole || length > SignedDuration::from_hours(24) {
            problems.push(refused(&WatchError::BadLength(length), &item.place));
            return None;
        }
        if length < SHORTEST_USUAL_WATCH {
            problems.push(Problem::warning(
                item.place.clone(),
                format!("a watch of {length:#} is shorter than it takes to wake the next"),
                "write `h` if hours are meant",
            ));
        }
        Some(length)
    };
    let read: Vec<Option<SignedDuration>> = items.iter().map(read).collect();
    read.into_iter().collect()
}

/// A count of people.
pub fn count(node: &Node, what: &str, within: RangeInclusive<u32>, problems: &mut Vec<Problem>) -> Option<u32> {
    let number = words::whole_number(node, what, "4", problems)?;
    let held = u32::try_from(number).ok().filter(|number| within.contains(number));
    if held.is_none() {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{what} is {number}"),
            format!("write a number from {} to {}", within.start(), within.end()),
        ));
    }
    held
}

fn date_time(node: &Node, what: &str, problems: &mut Vec<Problem>) -> Option<DateTime> {
    let text = node.text(what, problems)?;
    let read = DateTime::strptime("%Y-%m-%d %H:%M", text).ok();
    if read.is_none() {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{what} is {}, not a day and a time", shown(text)),
            "write the day year first, then hours and minutes, like `2027-06-12 18:40`",
        ));
    }
    read
}

fn clock_time(node: &Node, what: &str, problems: &mut Vec<Problem>) -> Option<Time> {
    let text = node.text(what, problems)?;
    let read = Time::strptime("%H:%M", text).ok();
    if read.is_none() {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{what} is {}, not a time", shown(text)),
            "write hours and minutes, like `00:00`",
        ));
    }
    read
}

/// `[{time: 2027-06-12 21:00, wind: 12..15, angle: 45, gust: 18}]`, in the time zone of the watches.
pub fn forecast(node: &Node, watches: Option<&Watches>, units: &Units, problems: &mut Vec<Problem>) -> Vec<Forecast> {
    let example = "[{time: 2027-06-12 21:00, wind: 12..15}]";
    let items = node.some_items("the forecast", 0..=limits::MAX_ROWS, example, problems).unwrap_or_default();
    // Where the watches are missing that is said once; where they are broken they have had their complaint.
    let zone = watches.map(|watches| watches.race.start().time_zone().clone());
    let rows = items.iter().filter_map(|item| forecast_row(item, zone.as_ref(), units, problems));
    let mut rows: Vec<Forecast> = rows.collect();
    for pair in 1..rows.len() {
        if rows[pair].from <= rows[pair - 1].from {
            problems.push(Problem::error(
                rows[pair].place.clone(),
                "the forecast does not go forward in time here",
                "write its rows in order, each time once",
            ));
        }
    }
    rows.sort_by(|a, b| a.from.cmp(&b.from));
    rows
}

fn forecast_row(node: &Node, zone: Option<&TimeZone>, units: &Units, problems: &mut Vec<Problem>) -> Option<Forecast> {
    let mut fields = Table::open(node, "a row of the forecast", problems)?;
    fields.place = super::start_of(node);
    let time = fields
        .need("time", "time: 2027-06-12 21:00", problems)
        .and_then(|node| Some((node, date_time(node, "the time of a forecast", problems)?)));
    let wind = fields.need("wind", "wind: 12..15 kn", problems).and_then(|node| wind_range(node, units, problems));
    let angle = fields
        .take("angle")
        .and_then(|node| quantity::wind_angle(node, "the wind angle of a forecast", &limits::WIND_ANGLE_DEG, problems));
    let gust = fields.take("gust");
    let gust = gust.and_then(|node| {
        let gust = quantity::wind(node, units, "the gust of a forecast", &limits::WIND_KN, problems)?;
        if let Some((_, most)) = wind.filter(|(_, most)| gust.is_below(*most)) {
            problems.push(Problem::error(
                node.place.clone(),
                format!("the gust is less than the wind, {}", most.as_written(units.wind)),
                "write the gust's own speed, not what it adds",
            ));
        }
        Some(gust)
    });
    fields.finish(problems);
    let (time_node, time) = time?;
    let from: ZonedDateTime = match zone?.to_ambiguous_zoned_datetime(time).unambiguous() {
        Ok(from) => from,
        Err(_) => {
            let error = WatchError::NotATime(time);
            let what = format!("{}: the clock is changed over it", error.what());
            problems.push(Problem::error(time_node.place.clone(), what, "write a time before or after the change"));
            return None;
        }
    };
    Some(Forecast { from, wind: wind?, angle, gust, place: node.place.clone() })
}

/// `12..15 kn`, or one speed.
fn wind_range(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> Option<(Wind, Wind)> {
    let what = "the wind of a forecast";
    if words::text_of(node).is_some_and(|text| text.contains("..")) {
        let range = quantity::wind_range(node, units, what, &limits::WIND_KN, problems);
        return range.map(|range| (range.value.low, range.value.high));
    }
    quantity::wind(node, units, what, &limits::WIND_KN, problems).map(|wind| (wind, wind))
}

/// `[{what: Jackstays rigged, who: Ada, by: Friday}]`, or just the words.
pub fn checks(node: &Node, problems: &mut Vec<Problem>) -> Vec<Check> {
    let items = node.some_items("the checks", 0..=limits::MAX_ROWS, "[{what: Jackstays rigged}]", problems);
    items.unwrap_or_default().iter().filter_map(|item| check(item, problems)).collect()
}

fn check(node: &Node, problems: &mut Vec<Problem>) -> Option<Check> {
    let place = node.place.clone();
    if let Some(text) = words::text_of(node).filter(|text| !text.is_empty()) {
        return Some(Check { what: text.to_owned(), who: None, by: None, is_race_rule: false, place });
    }
    let mut fields = Table::open(node, "a check", problems)?;
    fields.place = super::start_of(node);
    let what = fields.need("what", "what: Jackstays rigged", problems);
    let what = what.and_then(|node| words::words(node, "a check", problems));
    let who = fields.take("who").and_then(|node| words::words(node, "`who` of a check", problems));
    let by = fields.take("by").and_then(|node| words::words(node, "`by` of a check", problems));
    let rule = fields.take("race_rule").and_then(|node| words::flag(node, "`race_rule` of a check", problems));
    fields.finish(problems);
    Some(Check {
        what: what?.value,
        who: who.map(|who| who.value),
        by: by.map(|by| by.value),
        is_race_rule: rule.unwrap_or(false),
        place,
    })
}

/// A forecast without watches has no clock to go by.
pub fn check_forecast_has_a_clock(node: &Node, problems: &mut Vec<Problem>) {
    let wrong = Wrong::new(
        "the forecast has no time zone: the book has no `watches`",
        "write `watches`, with their time zone, or leave the forecast out",
    );
    problems.push(wrong.at(&super::start_of(node)));
}
