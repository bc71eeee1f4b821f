//! Watch plans: who is up when, for how long, with enough on deck, over midnight, a month's end and a clock change.

use cockpit_cards::tuning::floaters::{Floater, Up};
use cockpit_cards::tuning::watches::{
    Pattern, Plan, Race, Rota, Shortfall, Stint, Team, Watch, WatchError, plan, time_zone,
};
use jiff::civil::{DateTime, Time, time};
use jiff::{SignedDuration, ZonedDateTime};
use proptest::prelude::*;

fn hours(hours: i64) -> SignedDuration {
    SignedDuration::from_hours(hours)
}

fn minutes(minutes: i64) -> SignedDuration {
    SignedDuration::from_mins(minutes)
}

fn clock(text: &str) -> DateTime {
    text.parse().unwrap()
}

fn race(start: &str, finish: &str, zone: &str) -> Race {
    Race::new(clock(start), clock(finish), &time_zone(zone).unwrap()).unwrap()
}

fn team(name: &str, members: &[&str]) -> Team {
    Team { name: name.to_owned(), members: members.iter().map(|member| (*member).to_owned()).collect() }
}

/// Two teams of our own invention, one larger than the other.
fn two_teams(lengths: &[SignedDuration], from: Option<Time>) -> Rota {
    let teams = vec![team("red", &["Ane", "Bo", "Cleo"]), team("green", &["Dag", "Eva"])];
    Rota::Teams { teams, pattern: Pattern { lengths: lengths.to_vec(), from } }
}

fn rolling(people: usize, on_deck: usize, changing: usize, lengths: &[SignedDuration]) -> Rota {
    let people = (0..people).map(|nth| format!("hand {nth}")).collect();
    Rota::Rolling { people, on_deck, changing, pattern: Pattern { lengths: lengths.to_vec(), from: None } }
}

/// `07-31 23:00 red`, one for each watch.
fn lines(plan: &Plan) -> Vec<String> {
    let line = |from: &ZonedDateTime, team: Option<usize>| format!("{} {team:?}", from.strftime("%m-%d %H:%M"));
    plan.watches.iter().map(|watch| line(&watch.from, watch.team)).collect()
}

fn names(plan: &Plan, people: &[usize]) -> Vec<String> {
    people.iter().map(|person| plan.people[*person].clone()).collect()
}

#[test]
fn teams_take_turns_over_midnight_and_a_month_s_end() {
    let race = race("2027-07-31T19:00", "2027-08-01T10:30", "Europe/London");
    let plan = plan(&two_teams(&[hours(4), hours(3)], None), &race).unwrap();
    assert_eq!(
        lines(&plan),
        [
            "07-31 19:00 Some(0)",
            "07-31 23:00 Some(1)",
            "08-01 02:00 Some(0)",
            "08-01 06:00 Some(1)",
            "08-01 09:00 Some(0)"
        ]
    );
    // The last is cut short by the finish.
    assert_eq!(plan.watches[4].to.datetime(), clock("2027-08-01T10:30"));
    assert_eq!(plan.midnights().iter().map(ZonedDateTime::datetime).collect::<Vec<_>>(), [clock("2027-08-01T00:00")]);
    assert_eq!(plan.time_on_deck(0), minutes((4 + 4) * 60 + 90));
    assert_eq!(plan.time_on_deck(3), hours(6));
    assert_eq!(plan.clock_changes, []);
    assert_eq!(names(&plan, &plan.below(&plan.watches[1])), ["Ane", "Bo", "Cleo"]);
    assert_eq!(plan.numbers_below(), [2, 3]);
}

#[test]
fn dog_watches_stand_at_four_and_six_in_the_afternoon_whenever_the_race_starts() {
    // Common practice: four hours, with the watch from 16:00 to 20:00 split in two so that no team has the same each day.
    let day = [4, 4, 4, 4, 2, 2, 4].map(hours);
    let race = race("2027-06-05T10:20", "2027-06-06T21:00", "UTC");
    let plan = plan(&two_teams(&day, Some(time(0, 0, 0, 0))), &race).unwrap();
    let clocks: Vec<String> = plan.watches.iter().map(|watch| watch.from.strftime("%H:%M").to_string()).collect();
    assert_eq!(
        clocks,
        ["10:20", "12:00", "16:00", "18:00", "20:00", "00:00", "04:00", "08:00", "12:00", "16:00", "18:00", "20:00"]
    );
    let at_midnight_and_next = [5, 11].map(|watch: usize| plan.watches[watch].team);
    assert_eq!(at_midnight_and_next, [Some(1), Some(1)]);
    let evenings = [4, 11].map(|watch: usize| plan.watches[watch].team);
    assert_eq!(evenings, [Some(0), Some(1)]);
}

#[test]
fn a_race_that_starts_on_a_change_of_the_watch_begins_with_a_whole_one() {
    let first_two = |lengths: &[SignedDuration], from: Time| {
        let race = race("2027-06-05T08:00", "2027-06-06T08:00", "UTC");
        let plan = plan(&two_teams(lengths, Some(from)), &race).unwrap();
        [0, 1].map(|watch| plan.watches[watch].from.strftime("%H:%M").to_string())
    };
    assert_eq!(first_two(&[hours(4)], time(0, 0, 0, 0)), ["08:00", "12:00"]);
    assert_eq!(first_two(&[hours(5), hours(2)], time(8, 0, 0, 0)), ["08:00", "13:00"]);
}

#[test]
fn a_pattern_from_a_later_clock_time_began_the_day_before() {
    let race = race("2027-06-05T10:00", "2027-06-05T22:00", "UTC");
    let plan = plan(&two_teams(&[hours(6), hours(5)], Some(time(20, 0, 0, 0))), &race).unwrap();
    // 20:00, 02:00, 07:00, 13:00, 18:00: the start cuts into the one from 07:00.
    let clocks: Vec<String> = plan.watches.iter().map(|watch| watch.from.strftime("%H:%M").to_string()).collect();
    assert_eq!(clocks, ["10:00", "13:00", "18:00"]);
    assert_eq!(plan.watches[0].team, Some(0));
}

#[test]
fn a_rolling_crew_changes_one_at_a_time_in_the_order_of_the_list() {
    let race = race("2027-06-05T18:00", "2027-06-06T00:00", "UTC");
    let plan = plan(&rolling(5, 3, 1, &[hours(1)]), &race).unwrap();
    let up: Vec<&[usize]> = plan.watches.iter().map(|watch| watch.on_deck.as_slice()).collect();
    assert_eq!(up, [&[0, 1, 2], &[1, 2, 3], &[2, 3, 4], &[3, 4, 0], &[4, 0, 1], &[0, 1, 2]]);
    assert_eq!((plan.watches[0].come_up.as_slice(), plan.watches[0].go_below.as_slice()), (&[0, 1, 2][..], &[][..]));
    assert_eq!((plan.watches[3].come_up.as_slice(), plan.watches[3].go_below.as_slice()), (&[0][..], &[2][..]));
    // The first is up for an hour at the start, and from 21:00 to midnight.
    let stints: Vec<_> = plan.stints(0).iter().map(|stint| (stint.from.hour(), stint.to.hour())).collect();
    assert_eq!(stints, [(18, 19), (21, 0)]);
    assert_eq!(plan.time_on_deck(0), hours(4));
}

#[test]
fn two_at_a_time_come_up_as_two_go_below() {
    let race = race("2027-06-05T18:00", "2027-06-06T18:00", "UTC");
    let plan = plan(&rolling(8, 4, 2, &[minutes(90)]), &race).unwrap();
    for watch in &plan.watches[1..] {
        assert_eq!((watch.come_up.len(), watch.go_below.len(), watch.on_deck.len()), (2, 2, 4));
    }
}

#[test]
fn a_small_team_is_reported_with_its_times() {
    let race = race("2027-07-31T19:00", "2027-08-01T06:00", "UTC");
    let plan = plan(&two_teams(&[hours(4)], None), &race).unwrap();
    let short = plan.shortfalls(3);
    let [only] = short.as_slice() else { panic!("{short:?}") };
    assert_eq!((only.from.datetime(), only.to.datetime()), (clock("2027-07-31T23:00"), clock("2027-08-01T03:00")));
    assert_eq!(only.on_deck, 2);
    assert_eq!(plan.shortfalls(2), []);
}

#[test]
fn when_the_clock_goes_back_everyone_still_stands_as_long_and_the_plan_says_so() {
    // Directive 2000/84/EC: summer time ends on the last Sunday of October at 01:00 UTC, in Paris at 03:00 by the clock.
    let race = race("2027-10-30T20:00", "2027-10-31T11:00", "Europe/Paris");
    let plan = plan(&two_teams(&[hours(4)], None), &race).unwrap();
    assert_eq!(
        lines(&plan),
        ["10-30 20:00 Some(0)", "10-31 00:00 Some(1)", "10-31 03:00 Some(0)", "10-31 07:00 Some(1)"]
    );
    for watch in &plan.watches {
        assert_eq!(watch.from.duration_until(&watch.to), hours(4));
    }
    let [change] = plan.clock_changes.as_slice() else { panic!("{:?}", plan.clock_changes) };
    assert_eq!((change.at.datetime(), change.at_old_clock), (clock("2027-10-31T02:00"), clock("2027-10-31T03:00")));
    assert_eq!(change.by, -hours(1));
}

#[test]
fn when_the_clock_goes_forward_the_night_is_an_hour_shorter_by_the_clock() {
    // The same directive: summer time begins on the last Sunday of March at 01:00 UTC.
    let race = race("2027-03-27T22:00", "2027-03-28T08:00", "Europe/Paris");
    let plan = plan(&two_teams(&[hours(3)], None), &race).unwrap();
    assert_eq!(lines(&plan), ["03-27 22:00 Some(0)", "03-28 01:00 Some(1)", "03-28 05:00 Some(0)"]);
    assert_eq!(plan.clock_changes.iter().map(|change| change.by).collect::<Vec<_>>(), [hours(1)]);
    assert_eq!(plan.time_on_deck(0) + plan.time_on_deck(3), hours(9));
}

#[test]
fn a_clock_change_at_the_finish_or_before_the_start_is_none_of_this_race() {
    let changes = |start, finish| {
        let race = race(start, finish, "Europe/Paris");
        plan(&two_teams(&[hours(4)], None), &race).unwrap().clock_changes.len()
    };
    assert_eq!(changes("2027-03-27T12:00", "2027-03-28T03:00"), 0);
    assert_eq!(changes("2027-03-28T03:00", "2027-03-29T03:00"), 0);
    assert_eq!(changes("2027-03-28T01:59", "2027-03-28T03:01"), 1);
}

#[test]
fn the_watch_at_a_change_is_the_one_that_begins() {
    let race = race("2027-06-05T18:00", "2027-06-06T02:00", "UTC");
    let plan = plan(&two_teams(&[hours(4)], None), &race).unwrap();
    let team_at = |text: &str| {
        let moment = time_zone("UTC").unwrap().to_zoned_datetime(clock(text)).unwrap();
        plan.watch_at(&moment).map(|watch| watch.team)
    };
    assert_eq!(team_at("2027-06-05T18:00"), Some(Some(0)));
    assert_eq!(team_at("2027-06-05T21:59"), Some(Some(0)));
    assert_eq!(team_at("2027-06-05T22:00"), Some(Some(1)));
    assert_eq!(team_at("2027-06-05T17:59"), None);
    assert_eq!(team_at("2027-06-06T02:00"), None);
}

#[test]
fn someone_who_stands_watches_with_two_teams_is_one_person() {
    let teams = vec![team("red", &["Ane", "Bo"]), team("green", &["Dag", "Bo"])];
    let rota = Rota::Teams { teams, pattern: Pattern { lengths: vec![hours(3)], from: None } };
    let plan = plan(&rota, &race("2027-06-05T18:00", "2027-06-06T00:00", "UTC")).unwrap();
    assert_eq!(plan.people, ["Ane", "Bo", "Dag"]);
    assert_eq!((plan.stints(1).len(), plan.time_on_deck(1)), (1, hours(6)));
    assert_eq!(
        (names(&plan, &plan.watches[1].come_up), names(&plan, &plan.watches[1].go_below)),
        (vec!["Dag".to_owned()], vec!["Ane".to_owned()])
    );
}

// What is refused.

#[test]
fn a_time_zone_is_known_by_its_name_and_a_slip_gets_the_nearest() {
    assert_eq!(time_zone("Europe/London").unwrap().iana_name(), Some("Europe/London"));
    let slip = time_zone("Europe/Londn").unwrap_err();
    assert_eq!(slip.instead(), "did you mean Europe/London?");
    assert!(time_zone("the usual").unwrap_err().instead().contains("such as Europe/London"));
    assert!(time_zone("").is_err());
}

#[test]
fn times_that_the_clock_skips_or_shows_twice_are_refused() {
    let paris = time_zone("Europe/Paris").unwrap();
    let refused = |start, finish| Race::new(clock(start), clock(finish), &paris).unwrap_err();
    let skipped = clock("2027-03-28T02:30");
    assert_eq!(refused("2027-03-28T02:30", "2027-03-29T10:00"), WatchError::SkippedByTheClock(skipped));
    let twice = clock("2027-10-31T02:30");
    assert_eq!(refused("2027-10-30T10:00", "2027-10-31T02:30"), WatchError::TwiceOnTheClock(twice));
    assert_eq!(refused("2027-10-30T10:00", "2027-10-30T10:00"), WatchError::FinishNotAfterStart);
    let seconds = clock("2027-10-30T10:00:30");
    assert_eq!(refused("2027-10-30T10:00:30", "2027-10-31T10:00"), WatchError::NotATime(seconds));
    assert!(WatchError::SkippedByTheClock(skipped).what().starts_with("2027-03-28 02:30 is never on the clock"));
}

#[test]
fn rotas_that_cannot_be_stood_are_refused() {
    let race = race("2027-06-05T18:00", "2027-06-06T18:00", "UTC");
    let refused = |rota: Rota| plan(&rota, &race).unwrap_err();
    let teams = |teams: Vec<Team>| Rota::Teams { teams, pattern: Pattern { lengths: vec![hours(4)], from: None } };
    assert_eq!(refused(teams(vec![])), WatchError::NoTeam);
    assert_eq!(refused(teams(vec![team("red", &[])])), WatchError::EmptyTeam { team: "red".to_owned() });
    assert_eq!(refused(teams(vec![team("red", &["Bo", "Bo"])])), WatchError::NamedTwice { person: "Bo".to_owned() });
    assert_eq!(refused(two_teams(&[], None)), WatchError::NoPattern);
    for length in [minutes(0), minutes(-60), hours(25), SignedDuration::from_secs(90)] {
        assert_eq!(refused(two_teams(&[hours(4), length], None)), WatchError::BadLength(length));
    }
    assert_eq!(refused(rolling(5, 0, 1, &[hours(1)])), WatchError::BadNumberOnDeck { on_deck: 0, people: 5 });
    assert_eq!(refused(rolling(5, 6, 1, &[hours(1)])), WatchError::BadNumberOnDeck { on_deck: 6, people: 5 });
    for (on_deck, changing, most) in [(3, 0, "2"), (4, 2, "1"), (2, 3, "2")] {
        let error = refused(rolling(5, on_deck, changing, &[hours(1)]));
        assert_eq!(error, WatchError::BadNumberChanging { changing, on_deck, people: 5 });
        assert_eq!(error.instead(), format!("write a number from 1 to {most}"));
    }
    assert_eq!(refused(rolling(3, 3, 1, &[hours(1)])).instead(), "leave someone below who can come up");
}

#[test]
fn a_plan_that_nobody_could_read_is_refused_at_once() {
    let for_ages = race("2027-06-05T18:00", "9000-06-06T18:00", "UTC");
    assert_eq!(plan(&two_teams(&[minutes(1)], None), &for_ages), Err(WatchError::TooManyWatches));
}

// Random plans, held against a count minute by minute.

fn races() -> impl Strategy<Value = Race> {
    // Any hour of any day from autumn into spring, so that some races cross midnights, month's ends and clock changes;
    // up to four days.
    let starts = 0..(200 * 24 * 60_i64);
    (starts, 30..(4 * 24 * 60_i64), prop::sample::select(vec!["UTC", "Europe/Paris", "America/St_Johns"]))
        .prop_filter_map("a time that the clock skips or shows twice", |(start, length, zone)| {
            let start = clock("2027-09-20T00:00").checked_add(minutes(start)).ok()?;
            Race::new(start, start.checked_add(minutes(length)).ok()?, &time_zone(zone).ok()?).ok()
        })
}

fn patterns() -> impl Strategy<Value = Pattern> {
    let lengths = prop::collection::vec((15..600_i64).prop_map(minutes), 1..6);
    let from = prop::option::of((0..24_i8, 0..60_i8).prop_map(|(hour, minute)| time(hour, minute, 0, 0)));
    (lengths, from).prop_map(|(lengths, from)| Pattern { lengths, from })
}

fn rotas() -> impl Strategy<Value = Rota> {
    let sizes = prop::collection::vec(1..5_usize, 1..4);
    let teams = (sizes, patterns()).prop_map(|(sizes, pattern)| {
        let member = |team: usize, nth: usize| format!("{team}-{nth}");
        let team = |(team, size): (usize, &usize)| Team {
            name: format!("team {team}"),
            members: (0..*size).map(|nth| member(team, nth)).collect(),
        };
        Rota::Teams { teams: sizes.iter().enumerate().map(team).collect(), pattern }
    });
    let rolling = (1..5_usize, 1..3_usize, 0..4_usize, patterns()).prop_map(|(on_deck, changing, more, pattern)| {
        let changing = changing.min(on_deck);
        let people = (0..on_deck + changing + more).map(|nth| format!("hand {nth}")).collect();
        Rota::Rolling { people, on_deck, changing, pattern }
    });
    prop_oneof![teams, rolling]
}

/// How many are on deck in each minute of the race, by their stints.
fn by_the_minute(plan: &Plan, race: &Race) -> Vec<usize> {
    let start = race.start();
    let length = start.duration_until(race.finish()).as_mins() as usize;
    let mut on_deck = vec![0; length];
    for person in 0..plan.people.len() {
        for stint in plan.stints(person) {
            let minute = |moment: &ZonedDateTime| start.duration_until(moment).as_mins() as usize;
            on_deck[minute(&stint.from)..minute(&stint.to)].iter_mut().for_each(|count| *count += 1);
        }
    }
    on_deck
}

fn reported(short: &[Shortfall], race: &Race, minute: usize) -> Option<usize> {
    let moment = race.start().checked_add(minutes(minute as i64)).unwrap();
    short.iter().find(|short| short.from <= moment && moment < short.to).map(|short| short.on_deck)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn no_minute_has_fewer_on_deck_than_the_minimum_unless_it_is_reported(
        rota in rotas(), race in races(), minimum in 0..6_usize,
    ) {
        let plan = plan(&rota, &race).unwrap();
        let short = plan.shortfalls(minimum);
        for (minute, on_deck) in by_the_minute(&plan, &race).into_iter().enumerate() {
            let expected = (on_deck < minimum).then_some(on_deck);
            prop_assert_eq!(reported(&short, &race, minute), expected, "minute {}", minute);
        }
    }

    #[test]
    fn hours_add_up_to_the_race_times_those_on_deck(rota in rotas(), race in races()) {
        let plan = plan(&rota, &race).unwrap();
        let people: i64 = (0..plan.people.len()).map(|person| plan.time_on_deck(person).as_mins()).sum();
        let minutes: usize = by_the_minute(&plan, &race).into_iter().sum();
        prop_assert_eq!(people, minutes as i64);
        let watches: i64 = plan.watches.iter()
            .map(|watch| watch.from.duration_until(&watch.to).as_mins() * watch.on_deck.len() as i64).sum();
        prop_assert_eq!(people, watches);
    }

    #[test]
    fn watches_follow_each_other_from_start_to_finish_as_the_pattern_says(rota in rotas(), race in races()) {
        let plan = plan(&rota, &race).unwrap();
        let (first, last) = (&plan.watches[0], &plan.watches[plan.watches.len() - 1]);
        prop_assert_eq!((&first.from, &last.to), (race.start(), race.finish()));
        prop_assert!(plan.watches.windows(2).all(|pair| pair[0].to == pair[1].from));
        // All but the first and the last are whole: somewhere in the pattern their lengths follow each other.
        let (Rota::Teams { pattern, .. } | Rota::Rolling { pattern, .. }) = &rota;
        let inner: Vec<SignedDuration> = plan.watches.iter().skip(1).rev().skip(1).rev()
            .map(|watch| watch.from.duration_until(&watch.to)).collect();
        let count = pattern.lengths.len();
        let fits = (0..count).any(|shift| inner.iter().enumerate().all(|(nth, length)| *length == pattern.lengths[(nth + shift) % count]));
        prop_assert!(fits, "{:?} in {:?}", inner, pattern.lengths);
    }

    #[test]
    fn a_rolling_crew_is_always_as_many_and_only_the_longest_up_go_below(rota in rotas(), race in races()) {
        let Rota::Rolling { on_deck, changing, .. } = rota else { return Ok(()) };
        let plan = plan(&rota, &race).unwrap();
        for pair in plan.watches.windows(2) {
            prop_assert_eq!(pair[1].on_deck.len(), on_deck);
            prop_assert_eq!(&pair[1].go_below[..], &pair[0].on_deck[..changing]);
            prop_assert_eq!(pair[1].come_up.len(), changing);
            prop_assert!(pair[1].come_up.iter().all(|person| !pair[0].on_deck.contains(person)));
        }
    }
}

/// Floaters by name.
fn up(name: &str, up: Up) -> Floater {
    Floater { name: name.to_owned(), up }
}

#[test]
fn two_floaters_across_the_changes_are_up_by_turns_and_share_the_race() {
    let race = race("2027-06-12T18:00", "2027-06-14T09:30", "UTC");
    let pattern = Pattern { lengths: vec![hours(3), minutes(125)], from: None };
    let rota = Rota::Teams { teams: vec![team("red", &["Ada"]), team("green", &["Bo"])], pattern };
    let floaters = [up("Eve", Up::AcrossChanges), up("Finn", Up::AcrossChanges)];
    let plan = plan(&rota, &race).expect("a plan").with_floaters(&floaters).expect("floaters");
    assert!(plan.watches.iter().all(|watch| watch.on_deck.len() == 2), "one of a team and one floater");
    let change = |pair: &[Watch]| pair[0].turn != pair[1].turn && pair[0].on_deck[1] != pair[1].on_deck[1];
    assert!(!plan.watches.windows(2).any(change), "a floater is up across every change");
    let all = plan.time_on_deck(2) + plan.time_on_deck(3);
    assert_eq!(all, race.start().duration_until(race.finish()));
}

#[test]
fn hours_of_a_floater_stand_on_the_clock_across_midnight_and_a_clock_change() {
    // The clock is put back on 31 October 2027 at 02:00 (IANA time zone database).
    let race = race("2027-10-30T01:00", "2027-11-01T12:00", "Europe/London");
    let pattern = Pattern { lengths: vec![hours(6)], from: None };
    let people = ["Ada", "Bo"].map(str::to_owned).to_vec();
    let rota = Rota::Rolling { people, on_deck: 1, changing: 1, pattern };
    let nights = vec![(time(22, 0, 0, 0), time(3, 0, 0, 0)), (time(2, 0, 0, 0), time(4, 0, 0, 0))];
    let plan = plan(&rota, &race).expect("a plan").with_floaters(&[up("Eve", Up::Daily(nights))]).expect("a floater");
    let clock = |stint: &Stint| format!("{} to {}", stint.from.strftime("%-d %H:%M"), stint.to.strftime("%-d %H:%M"));
    let stints: Vec<String> = plan.stints(2).iter().map(clock).collect();
    assert_eq!(stints, ["30 01:00 to 30 04:00", "30 22:00 to 31 04:00", "31 22:00 to 1 04:00"]);
    // 3 h, 6 h and the hour that comes twice, 6 h.
    assert_eq!(plan.time_on_deck(2), hours(16));
}
