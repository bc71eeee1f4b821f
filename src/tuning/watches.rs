//! Who is on deck when: teams that take turns, or a crew that changes a few at a time. Knows no weather, no sails and no
//! card.
//!
//! **Time.** Start and finish are local clock times in one time zone. The zones are those of the IANA time zone database
//! compiled into the program, so that the same book gives the same plan on every machine, with or without a database of
//! its own. A watch lasts as long as it says, by the time that passes: after a clock change the changes of the watch stand
//! at other clock times, and the plan tells of the change.
//!
//! **Pattern.** Lengths follow each other and start again. They begin at the start of the race; or, if the pattern has a
//! clock time to begin at, at the last such time before it, and the start cuts into the watch that is then running. So
//! `4 h, 4 h, 4 h, 4 h, 2 h, 2 h, 4 h` from 00:00 has its dog watches at 16:00 and 18:00 whenever the race starts. The
//! first team, or the first of the crew, has the first watch of the race.

use jiff::civil::{DateTime, Time};
use jiff::tz::{AmbiguousOffset, Offset, TimeZone, TimeZoneDatabase};
use jiff::{SignedDuration, ZonedDateTime};

use super::floaters::Outside;

/// Who takes turns, and how.
#[derive(Clone, Debug, PartialEq)]
pub enum Rota {
    /// Whole teams take turns, one after the other.
    Teams {
        /// The teams, in the order they take turns.
        teams: Vec<Team>,
        /// How long each watch lasts.
        pattern: Pattern,
    },
    /// `on_deck` of the people at a time; at each change the `changing` who have been up longest go below, and as many come
    /// up, in the order of the list.
    Rolling {
        /// The names of the people, in the order they come up.
        people: Vec<String>,
        /// How many are on deck at a time.
        on_deck: usize,
        /// How many go below, and as many come up, at each change.
        changing: usize,
        /// How long it is from one change to the next.
        pattern: Pattern,
    },
}

/// People who go on deck and below together.
#[derive(Clone, Debug, PartialEq)]
pub struct Team {
    /// The name as printed.
    pub name: String,
    /// The names of its people.
    pub members: Vec<String>,
}

/// Lengths of watches (rolling: from change to change), repeated.
#[derive(Clone, Debug, PartialEq)]
pub struct Pattern {
    /// How long each lasts: whole minutes, at most a day each.
    pub lengths: Vec<SignedDuration>,
    /// The clock time at which the first of them begins; `None`: the start of the race.
    pub from: Option<Time>,
}

/// From start to finish.
#[derive(Clone, Debug, PartialEq)]
pub struct Race {
    start: ZonedDateTime,
    finish: ZonedDateTime,
}

/// Everyone's watches from start to finish. People are indices into `people`.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// In the order they are first named; floaters after the teams.
    pub people: Vec<String>,
    /// Those aboard who stand no watch.
    pub outside: Vec<Outside>,
    /// They follow each other without a gap.
    pub watches: Vec<Watch>,
    /// In order; empty if the clock is left alone during the race.
    pub clock_changes: Vec<ClockChange>,
}

/// A time in which nobody goes up or down.
#[derive(Clone, Debug, PartialEq)]
pub struct Watch {
    /// When the watch begins.
    pub from: ZonedDateTime,
    /// When it ends and the next begins.
    pub to: ZonedDateTime,
    /// Which watch of the race it is, or is a part of where floaters come and go, counted from 0.
    pub turn: usize,
    /// The team on deck, if teams take turns.
    pub team: Option<usize>,
    /// In the order they came up; a team in its own order, and floaters after it.
    pub on_deck: Vec<usize>,
    /// Those who were not on deck just before; everyone at the start.
    pub come_up: Vec<usize>,
    /// Those who were on deck just before and no longer are.
    pub go_below: Vec<usize>,
}

/// A time someone spends on deck without a break.
#[derive(Clone, Debug, PartialEq)]
pub struct Stint {
    /// When they come up.
    pub from: ZonedDateTime,
    /// When they go below.
    pub to: ZonedDateTime,
}

/// A time with fewer on deck than there have to be.
#[derive(Clone, Debug, PartialEq)]
pub struct Shortfall {
    /// From when there are too few.
    pub from: ZonedDateTime,
    /// Until when there are too few.
    pub to: ZonedDateTime,
    /// How many are on deck in that time.
    pub on_deck: usize,
}

/// The clock is put forward or back during the race.
#[derive(Clone, Debug, PartialEq)]
pub struct ClockChange {
    /// By the new clock.
    pub at: ZonedDateTime,
    /// By the old one.
    pub at_old_clock: DateTime,
    /// More than 0: put forward.
    pub by: SignedDuration,
}

/// Why there is no plan.
#[derive(Clone, Debug, PartialEq)]
pub enum WatchError {
    /// No time zone has this name.
    UnknownTimeZone {
        /// The name that was given.
        name: String,
        /// The zone that was probably meant, if one is near.
        nearest: Option<String>,
    },
    /// The clock is put forward over this time.
    SkippedByTheClock(DateTime),
    /// The clock is put back over this time, so it comes twice.
    TwiceOnTheClock(DateTime),
    /// Not a whole minute, or beyond the years that a calendar here can reckon.
    NotATime(DateTime),
    /// The race would end before it starts, or at once.
    FinishNotAfterStart,
    /// There is no length of a watch.
    NoPattern,
    /// A watch cannot last this long: not a whole minute, or over a day.
    BadLength(SignedDuration),
    /// There is no team.
    NoTeam,
    /// A team has nobody in it.
    EmptyTeam {
        /// The name of the team.
        team: String,
    },
    /// Somebody is named in two places, or twice in one.
    NamedTwice {
        /// The name of that person.
        person: String,
    },
    /// A floater with no hours, or with some that end when they begin.
    NoHours {
        /// The name of that person.
        person: String,
    },
    /// Nobody on deck, or more than there are people.
    BadNumberOnDeck {
        /// How many are to be on deck.
        on_deck: usize,
        /// How many people there are.
        people: usize,
    },
    /// None change, more than are on deck, or more than are below to come up.
    BadNumberChanging {
        /// How many are to change at a time.
        changing: usize,
        /// How many are to be on deck.
        on_deck: usize,
        /// How many people there are.
        people: usize,
    },
    /// The race would have more than [`MOST_WATCHES`] watches.
    TooManyWatches,
}

/// Watches of an hour for four months. A card holds three of them beside a forecast, and a book has a thousand cards at most: more
/// could not be printed, so they are counted before anyone is put into them.
pub const MOST_WATCHES: usize = 3_000;
const LONGEST_WATCH: SignedDuration = SignedDuration::from_hours(24);
const SHORTEST_WATCH: SignedDuration = SignedDuration::from_mins(1);

/// A time zone by its name in the IANA database: `Europe/London`, `UTC`.
pub fn time_zone(name: &str) -> Result<TimeZone, WatchError> {
    /// Further off than this it is no slip of the keys.
    const MOST_SLIPS: usize = 3;
    // A place has a slash. Short forms mean one clock here and another there: BST is summer time in London, and standard time in
    // Bougainville.
    let is_place = |known: &String| known.contains('/');
    let database = TimeZoneDatabase::bundled();
    database.get(name).map_err(|_| {
        let slips = |known: &String| strsim::damerau_levenshtein(&known.to_lowercase(), &name.to_lowercase());
        let known = database.available().map(|known| known.as_str().to_owned());
        let nearest = known.filter(is_place).map(|known| (slips(&known), known)).min();
        let nearest = nearest.filter(|(slips, _)| *slips <= MOST_SLIPS).map(|(_, known)| known);
        WatchError::UnknownTimeZone { name: name.to_owned(), nearest }
    })
}

impl Race {
    /// From two clock times in one zone, whole minutes.
    pub fn new(start: DateTime, finish: DateTime, zone: &TimeZone) -> Result<Self, WatchError> {
        let (start, finish) = (on_the_clock(start, zone)?, on_the_clock(finish, zone)?);
        if start < finish { Ok(Race { start, finish }) } else { Err(WatchError::FinishNotAfterStart) }
    }

    /// When the race starts, by the clock of its time zone.
    pub fn start(&self) -> &ZonedDateTime {
        &self.start
    }

    /// When the race ends, by the clock of its time zone.
    pub fn finish(&self) -> &ZonedDateTime {
        &self.finish
    }

    fn clock_changes(&self) -> Vec<ClockChange> {
        let zone = self.start.time_zone();
        let mut before: Offset = self.start.offset();
        let mut found = Vec::new();
        for transition in zone.following(self.start.timestamp()) {
            if transition.timestamp() >= self.finish.timestamp() {
                break;
            }
            let by = transition.offset().duration_since(before);
            if !by.is_zero() {
                let at = ZonedDateTime::new(transition.timestamp(), zone.clone());
                found.push(ClockChange { at, at_old_clock: before.to_datetime(transition.timestamp()), by });
            }
            before = transition.offset();
        }
        found
    }
}

fn on_the_clock(time: DateTime, zone: &TimeZone) -> Result<ZonedDateTime, WatchError> {
    if time.second() != 0 || time.subsec_nanosecond() != 0 {
        return Err(WatchError::NotATime(time));
    }
    let zoned = zone.to_ambiguous_zoned_datetime(time);
    match zoned.offset() {
        AmbiguousOffset::Unambiguous { .. } => zoned.unambiguous().map_err(|_| WatchError::NotATime(time)),
        AmbiguousOffset::Gap { .. } => Err(WatchError::SkippedByTheClock(time)),
        AmbiguousOffset::Fold { .. } => Err(WatchError::TwiceOnTheClock(time)),
    }
}

/// The watches of a race.
pub fn plan(rota: &Rota, race: &Race) -> Result<Plan, WatchError> {
    let (pattern, people) = match rota {
        Rota::Teams { teams, pattern } => (pattern, people_of(teams)?),
        Rota::Rolling { people, on_deck, changing, pattern } => {
            check_rolling(people, *on_deck, *changing)?;
            (pattern, people.clone())
        }
    };
    let turns = turns(pattern, race)?;
    let mut watches: Vec<Watch> = Vec::with_capacity(turns.len());
    for (turn, (from, to)) in turns.into_iter().enumerate() {
        let (team, on_deck) = on_deck_in(rota, &people, turn);
        watches.push(Watch { from, to, turn, team, on_deck, come_up: Vec::new(), go_below: Vec::new() });
    }
    let mut plan = Plan { people, outside: Vec::new(), watches, clock_changes: race.clock_changes() };
    plan.tell_who_moves();
    Ok(plan)
}

/// Everyone in the teams, once. Someone may stand watches with two teams, but not be twice in one.
fn people_of(teams: &[Team]) -> Result<Vec<String>, WatchError> {
    if teams.is_empty() {
        return Err(WatchError::NoTeam);
    }
    let mut people: Vec<String> = Vec::new();
    for team in teams {
        if team.members.is_empty() {
            return Err(WatchError::EmptyTeam { team: team.name.clone() });
        }
        check_named_once(&team.members)?;
        for member in &team.members {
            if !people.contains(member) {
                people.push(member.clone());
            }
        }
    }
    Ok(people)
}

fn check_rolling(people: &[String], on_deck: usize, changing: usize) -> Result<(), WatchError> {
    check_named_once(people)?;
    let people = people.len();
    if on_deck == 0 || on_deck > people {
        return Err(WatchError::BadNumberOnDeck { on_deck, people });
    }
    if changing == 0 || changing > on_deck || changing > people - on_deck {
        return Err(WatchError::BadNumberChanging { changing, on_deck, people });
    }
    Ok(())
}

fn check_named_once(people: &[String]) -> Result<(), WatchError> {
    let again = people.iter().enumerate().find(|(nth, person)| people[..*nth].contains(person));
    again.map_or(Ok(()), |(_, person)| Err(WatchError::NamedTwice { person: person.clone() }))
}

fn on_deck_in(rota: &Rota, people: &[String], turn: usize) -> (Option<usize>, Vec<usize>) {
    match rota {
        Rota::Teams { teams, .. } => {
            let team = turn % teams.len();
            let index = |member: &String| people.iter().position(|person| person == member);
            (Some(team), teams[team].members.iter().filter_map(index).collect())
        }
        Rota::Rolling { on_deck, changing, .. } => {
            let longest_up = turn * changing;
            (None, (longest_up..longest_up + on_deck).map(|nth| nth % people.len()).collect())
        }
    }
}

/// From when to when each watch of the race lasts.
fn turns(pattern: &Pattern, race: &Race) -> Result<Vec<(ZonedDateTime, ZonedDateTime)>, WatchError> {
    if pattern.lengths.is_empty() {
        return Err(WatchError::NoPattern);
    }
    let whole_minutes = |length: &SignedDuration| SignedDuration::from_mins(length.as_mins()) == *length;
    let fits = |length: &SignedDuration| (SHORTEST_WATCH..=LONGEST_WATCH).contains(length) && whole_minutes(length);
    if let Some(length) = pattern.lengths.iter().find(|length| !fits(length)) {
        return Err(WatchError::BadLength(*length));
    }
    let mut begin = pattern_begin(pattern, race)?;
    let mut found: Vec<(ZonedDateTime, ZonedDateTime)> = Vec::new();
    for length in pattern.lengths.iter().cycle() {
        let end = begin.checked_add(*length).map_err(|_| WatchError::TooManyWatches)?;
        if end > race.start {
            if found.len() == MOST_WATCHES {
                return Err(WatchError::TooManyWatches);
            }
            found.push(((&begin).max(&race.start).clone(), (&end).min(&race.finish).clone()));
        }
        if end >= race.finish {
            break;
        }
        begin = end;
    }
    Ok(found)
}

fn pattern_begin(pattern: &Pattern, race: &Race) -> Result<ZonedDateTime, WatchError> {
    let Some(from) = pattern.from else { return Ok(race.start.clone()) };
    let (today, zone) = (race.start.date(), race.start.time_zone());
    let on = |date: jiff::civil::Date| {
        // On a day whose clock skips the time, the moment it would have been.
        zone.to_zoned_datetime(date.to_datetime(from)).map_err(|_| WatchError::NotATime(date.to_datetime(from)))
    };
    let begin = on(today)?;
    if begin <= race.start {
        return Ok(begin);
    }
    on(today.yesterday().map_err(|_| WatchError::NotATime(race.start.datetime()))?)
}

impl Plan {
    /// Fills in who comes up and who goes below at each change.
    pub(super) fn tell_who_moves(&mut self) {
        let missing_from = |there: &[usize], from: &[usize]| -> Vec<usize> {
            there.iter().copied().filter(|person| !from.contains(person)).collect()
        };
        let mut before: Vec<usize> = Vec::new();
        for watch in &mut self.watches {
            watch.come_up = missing_from(&watch.on_deck, &before);
            watch.go_below = missing_from(&before, &watch.on_deck);
            before.clone_from(&watch.on_deck);
        }
    }

    /// The watch at a moment; at a change, the one that begins. `None` before the start and from the finish on.
    pub fn watch_at(&self, moment: &ZonedDateTime) -> Option<&Watch> {
        let after = self.watches.partition_point(|watch| watch.to <= *moment);
        self.watches.get(after).filter(|watch| watch.from <= *moment)
    }

    /// Those of the watches who are not on deck, in the order of `people`.
    pub fn below(&self, watch: &Watch) -> Vec<usize> {
        (0..self.people.len()).filter(|person| !watch.on_deck.contains(person)).collect()
    }

    /// Everyone's times on deck, by the numbers of the people.
    pub fn all_stints(&self) -> Vec<Vec<Stint>> {
        let mut all: Vec<Vec<Stint>> = vec![Vec::new(); self.people.len()];
        for watch in &self.watches {
            for person in &watch.on_deck {
                let Some(stints) = all.get_mut(*person) else { continue };
                match stints.last_mut() {
                    Some(stint) if stint.to == watch.from => stint.to = watch.to.clone(),
                    _ => stints.push(Stint { from: watch.from.clone(), to: watch.to.clone() }),
                }
            }
        }
        all
    }

    /// How many are below, each number that occurs once, the smallest first; see [`Plan::number_below`].
    pub fn numbers_below(&self) -> Vec<usize> {
        let mut numbers: Vec<usize> = self.watches.iter().map(|watch| self.number_below(watch)).collect();
        numbers.sort_unstable();
        numbers.dedup();
        numbers
    }

    /// Someone's times on deck; watches that follow each other are one.
    pub fn stints(&self, person: usize) -> Vec<Stint> {
        self.all_stints().into_iter().nth(person).unwrap_or_default()
    }

    /// How long someone is on deck in all.
    pub fn time_on_deck(&self, person: usize) -> SignedDuration {
        time_of(&self.stints(person))
    }

    /// Every time in the race with fewer than `minimum` on deck, in order. Since nobody comes or goes within a watch, this
    /// holds for every minute.
    pub fn shortfalls(&self, minimum: usize) -> Vec<Shortfall> {
        let mut found: Vec<Shortfall> = Vec::new();
        for watch in self.watches.iter().filter(|watch| watch.on_deck.len() < minimum) {
            let on_deck = watch.on_deck.len();
            match found.last_mut() {
                Some(last) if last.to == watch.from && last.on_deck == on_deck => last.to = watch.to.clone(),
                _ => found.push(Shortfall { from: watch.from.clone(), to: watch.to.clone(), on_deck }),
            }
        }
        found
    }

    /// The beginnings of new days between start and finish, by the local clock.
    pub fn midnights(&self) -> Vec<ZonedDateTime> {
        let ends = self.watches.first().zip(self.watches.last());
        let Some((start, finish)) = ends.map(|(first, last)| (&first.from, &last.to)) else { return Vec::new() };
        let next = |day: &ZonedDateTime| day.tomorrow().and_then(|day| day.start_of_day()).ok();
        std::iter::successors(next(start), next).take_while(|midnight| midnight < finish).collect()
    }
}

/// How long all of these times on deck are together.
pub fn time_of(stints: &[Stint]) -> SignedDuration {
    let lengths = stints.iter().map(|stint| stint.from.duration_until(&stint.to));
    lengths.fold(SignedDuration::ZERO, SignedDuration::saturating_add)
}

impl WatchError {
    /// What is wrong, for people.
    pub fn what(&self) -> String {
        match self {
            WatchError::UnknownTimeZone { name, .. } => format!("there is no time zone \"{name}\""),
            WatchError::SkippedByTheClock(time) => {
                format!("{} is never on the clock: it is put forward over that time", printed(*time))
            }
            WatchError::TwiceOnTheClock(time) => {
                format!("{} comes twice: the clock is put back over it", printed(*time))
            }
            WatchError::NotATime(time) => format!("{time} is not a time to start or finish at"),
            WatchError::FinishNotAfterStart => "the race finishes before it starts".to_owned(),
            WatchError::NoPattern => "the watches have no length".to_owned(),
            WatchError::BadLength(length) => format!("a watch of {length:#} is not one"),
            WatchError::NoTeam => "there is no team to stand a watch".to_owned(),
            WatchError::EmptyTeam { team } => format!("nobody is in the team \"{team}\""),
            WatchError::NamedTwice { person } => format!("{person} is named twice"),
            WatchError::NoHours { person } => format!("{person} has no hours on deck"),
            WatchError::BadNumberOnDeck { on_deck, people } => format!("{on_deck} of {people} cannot be on deck"),
            WatchError::BadNumberChanging { changing, on_deck, people } => {
                format!("{changing} cannot change with {on_deck} of {people} on deck")
            }
            WatchError::TooManyWatches => format!("there are more than {MOST_WATCHES} watches"),
        }
    }

    /// What would be right.
    pub fn instead(&self) -> String {
        match self {
            WatchError::UnknownTimeZone { nearest: Some(nearest), .. } => format!("did you mean {nearest}?"),
            WatchError::UnknownTimeZone { nearest: None, .. } => {
                "write its name in the IANA database, such as Europe/London, or UTC".to_owned()
            }
            WatchError::SkippedByTheClock(_) | WatchError::TwiceOnTheClock(_) => {
                "write a time before or after the clock change, or use the time zone UTC".to_owned()
            }
            WatchError::NotATime(_) => "write a date and a time in whole minutes".to_owned(),
            WatchError::FinishNotAfterStart => "write a finish after the start; a long guess is better".to_owned(),
            WatchError::NoPattern => "write one length or more, such as `4 h`".to_owned(),
            WatchError::BadLength(_) => "write a length in whole minutes, from 1 min to 24 h".to_owned(),
            WatchError::NoTeam => "write at least one team".to_owned(),
            WatchError::EmptyTeam { .. } => "write who is in it, or leave the team out".to_owned(),
            WatchError::NamedTwice { .. } => "name everyone once; tell two of a name apart".to_owned(),
            WatchError::NoHours { .. } => {
                "write hours like `20:00..23:00`, or `changes` for from the middle of one watch to the middle of the next"
                    .to_owned()
            }
            WatchError::BadNumberOnDeck { people, .. } => format!("write a number from 1 to {people}"),
            WatchError::BadNumberChanging { on_deck, people, .. } => {
                match (*on_deck).min(people.saturating_sub(*on_deck)) {
                    0 => "leave someone below who can come up".to_owned(),
                    most => format!("write a number from 1 to {most}"),
                }
            }
            WatchError::TooManyWatches => "write longer watches, or check the finish".to_owned(),
        }
    }
}

fn printed(time: DateTime) -> String {
    time.strftime("%Y-%m-%d %H:%M").to_string()
}
