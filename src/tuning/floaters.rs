//! Those who keep other hours than the teams: floaters, who bridge the changes of the watch or are up at hours of their
//! own, and those outside the watches. Knows no weather and no card.

use jiff::civil::Time;
use jiff::{SignedDuration, ZonedDateTime};

use super::watches::{MOST_WATCHES, Plan, Stint, Watch, WatchError};

/// Someone in the watches who is in no team.
#[derive(Clone, Debug, PartialEq)]
pub struct Floater {
    /// The name as printed.
    pub name: String,
    /// When this person is on deck.
    pub up: Up,
}

/// When a floater is on deck.
#[derive(Clone, Debug, PartialEq)]
pub enum Up {
    /// From the middle of one watch to the middle of the next, and then below as long. The second floater of a boat is up
    /// while the first is below, and so on by turns.
    AcrossChanges,
    /// At the same clock times every day; a time that is not after the one before it is of the next day.
    Daily(Vec<(Time, Time)>),
}

/// Someone aboard who stands no watch.
#[derive(Clone, Debug, PartialEq)]
pub struct Outside {
    /// The name as printed.
    pub name: String,
    /// What this person is, in words: `navigator`.
    pub duty: Option<String>,
    /// Whether this person's weight is always on the rail; else it counts as below.
    pub on_rail: bool,
}

impl Plan {
    /// The same plan with floaters, in the order of the book; a watch is cut where one of them comes up or goes below.
    ///
    /// # Errors
    /// Somebody is in a team as well, hours that are none, or more watches than there may be.
    pub fn with_floaters(mut self, floaters: &[Floater]) -> Result<Plan, WatchError> {
        let teams = self.people.len();
        for floater in floaters {
            self.name_once_more(&floater.name)?;
        }
        let up: Result<Vec<Vec<Stint>>, WatchError> =
            floaters.iter().enumerate().map(|(nth, floater)| stints_of(floater, nth, &self.watches)).collect();
        let up = up?;
        let mut cuts: Vec<ZonedDateTime> =
            up.iter().flatten().flat_map(|up| [up.from.clone(), up.to.clone()]).collect();
        cuts.sort();
        cuts.dedup();
        let mut watches: Vec<Watch> = Vec::new();
        for watch in &self.watches {
            let (begun, ended) =
                (cuts.partition_point(|cut| *cut <= watch.from), cuts.partition_point(|cut| *cut < watch.to));
            let mut edges = vec![watch.from.clone()];
            edges.extend_from_slice(&cuts[begun..ended]);
            edges.push(watch.to.clone());
            for edge in edges.windows(2) {
                if watches.len() == MOST_WATCHES {
                    return Err(WatchError::TooManyWatches);
                }
                let mut on_deck = watch.on_deck.clone();
                on_deck.extend((0..up.len()).filter(|nth| is_up(&up[*nth], &edge[0])).map(|nth| teams + nth));
                watches.push(Watch { from: edge[0].clone(), to: edge[1].clone(), on_deck, ..watch.clone() });
            }
        }
        self.watches = watches;
        self.tell_who_moves();
        Ok(self)
    }

    /// The same plan with those who stand no watch.
    ///
    /// # Errors
    /// Somebody is in the watches as well.
    pub fn with_outside(mut self, outside: &[Outside]) -> Result<Plan, WatchError> {
        for person in outside {
            let is_in_a_watch = self.people.contains(&person.name);
            if is_in_a_watch || self.outside.iter().any(|other| other.name == person.name) {
                return Err(WatchError::NamedTwice { person: person.name.clone() });
            }
            self.outside.push(person.clone());
        }
        Ok(self)
    }

    /// How many are not on the rail: those of the watches who are not on deck, and those outside the watches unless the rail
    /// is where they sit.
    pub fn number_below(&self, watch: &Watch) -> usize {
        self.below(watch).len() + self.outside.iter().filter(|person| !person.on_rail).count()
    }

    /// How many the plan names, in the watches and outside.
    pub fn number_named(&self) -> usize {
        self.people.len() + self.outside.len()
    }

    fn name_once_more(&mut self, name: &str) -> Result<(), WatchError> {
        if self.people.iter().any(|person| person == name) {
            return Err(WatchError::NamedTwice { person: name.to_owned() });
        }
        self.people.push(name.to_owned());
        Ok(())
    }
}

fn is_up(stints: &[Stint], moment: &ZonedDateTime) -> bool {
    let next = stints.partition_point(|stint| stint.to <= *moment);
    stints.get(next).is_some_and(|stint| stint.from <= *moment)
}

/// The times on deck within the race, in order, none of them touching the next.
fn stints_of(floater: &Floater, nth: usize, watches: &[Watch]) -> Result<Vec<Stint>, WatchError> {
    let ends = watches.first().zip(watches.last());
    let Some((start, finish)) = ends.map(|(first, last)| (&first.from, &last.to)) else { return Ok(Vec::new()) };
    let mut stints = match &floater.up {
        Up::AcrossChanges => across_changes(nth, watches, start, finish),
        Up::Daily(hours) => daily(&floater.name, hours, start, finish)?,
    };
    stints.sort_by(|a, b| a.from.cmp(&b.from));
    let mut joined: Vec<Stint> = Vec::new();
    for stint in stints {
        match joined.last_mut() {
            Some(last) if stint.from <= last.to => last.to = (&last.to).max(&stint.to).clone(),
            _ => joined.push(stint),
        }
    }
    Ok(joined)
}

fn across_changes(nth: usize, watches: &[Watch], start: &ZonedDateTime, finish: &ZonedDateTime) -> Vec<Stint> {
    let middle = |watch: &Watch| {
        let half = SignedDuration::from_mins(watch.from.duration_until(&watch.to).as_mins() / 2);
        watch.from.checked_add(half).unwrap_or_else(|_| watch.to.clone())
    };
    let mut edges = vec![start.clone()];
    edges.extend(watches.iter().map(middle));
    edges.push(finish.clone());
    // The first floater sleeps until the middle of the first watch.
    let spans = edges.windows(2).enumerate().filter(|(index, _)| index % 2 != nth % 2);
    spans
        .map(|(_, span)| Stint { from: span[0].clone(), to: span[1].clone() })
        .filter(|span| span.from < span.to)
        .collect()
}

fn daily(
    name: &str,
    hours: &[(Time, Time)],
    start: &ZonedDateTime,
    finish: &ZonedDateTime,
) -> Result<Vec<Stint>, WatchError> {
    let no_hours = || WatchError::NoHours { person: name.to_owned() };
    if hours.is_empty() || hours.iter().any(|(from, to)| from == to) {
        return Err(no_hours());
    }
    let zone = start.time_zone();
    let mut stints = Vec::new();
    // Hours that began on the evening before the start may reach into the race.
    let first = start.date().yesterday().map_err(|_| no_hours())?;
    for day in first.series(jiff::Span::new().days(1)).take_while(|day| *day <= finish.date()) {
        for (from, to) in hours {
            let last = if from < to { day } else { day.tomorrow().map_err(|_| no_hours())? };
            // On a day whose clock skips the time, the moment it would have been.
            let at = |day: jiff::civil::Date, time: Time| {
                zone.to_zoned_datetime(day.to_datetime(time)).map_err(|_| no_hours())
            };
            let (from, to) = (at(day, *from)?, at(last, *to)?);
            let (from, to) = ((&from).max(start).clone(), (&to).min(finish).clone());
            if from < to {
                stints.push(Stint { from, to });
            }
            if stints.len() > MOST_WATCHES {
                return Err(WatchError::TooManyWatches);
            }
        }
    }
    Ok(stints)
}
