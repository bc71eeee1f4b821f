//! The watch plan says who is on deck at every minute, what wind and sails to expect, and when the clock is changed.

use crate::reading;
use crate::swap::Swap;

use cockpit_cards::book::{Level, Problem};
use cockpit_cards::cards::watch_plan::{PlanRow, SailPlan, WatchRow, Weather};
use cockpit_cards::cards::{self, Card, CrewBelow, Edition, Label, WatchPlan};
use cockpit_cards::tuning::Ground;
use proptest::prelude::*;
use reading::{SOUND, complaints, load};

const TEAMS: &str = "teams: {red: [Ada, Bo], blue: [Cleo, Dan]}";
const DAY: &str = "start: 2027-06-29 19:30, finish: 2027-07-01 08:00, time_zone: Europe/London";

fn book(watches: &str, rest: &str) -> String {
    format!("{SOUND}watches: {{{watches}}}\n{rest}\ncards: [{{kind: watch-plan}}]\n")
}

fn cards_of(text: &str) -> (Vec<Card>, Vec<Problem>) {
    let loaded = load(text);
    let said = complaints(&loaded);
    let book = loaded.book.filter(|_| said.is_empty()).unwrap_or_else(|| panic!("{said}"));
    let mut problems = Vec::new();
    let cards = cards::cards(&book, &mut problems);
    (cards, problems)
}

/// The rows of all parts.
fn rows(cards: &[Card]) -> Vec<PlanRow> {
    cards.iter().flat_map(|card| said(card).rows.clone()).collect()
}

fn said(card: &Card) -> &WatchPlan {
    card.says().expect("a watch plan")
}

fn watch(row: &PlanRow) -> Option<&WatchRow> {
    match row {
        PlanRow::Midnight { .. } => None,
        PlanRow::Watch(watch) => Some(watch),
    }
}

fn watches(cards: &[Card]) -> Vec<WatchRow> {
    rows(cards).iter().filter_map(watch).cloned().collect()
}

fn marks(plan: &SailPlan) -> Vec<(&str, Ground)> {
    plan.marks.iter().map(|mark| (mark.text.as_str(), mark.ground.expect("a mark"))).collect()
}

fn weather(cards: &[Card], nth: usize) -> Weather {
    watches(cards)[nth].weather.clone().expect("a forecast for it")
}

#[test]
fn midnight_is_a_line_and_cuts_a_watch_across_a_months_end_in_two() {
    let (cards, problems) = cards_of(&book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), ""));
    assert!(problems.is_empty(), "{problems:?}");
    let rows = rows(&cards);
    // 19:30 to 01:30 is cut at midnight; so is 19:30 to 01:30 of the next day, into July.
    let midnight = |day: &str| PlanRow::Midnight { day: day.to_owned() };
    let days: Vec<&PlanRow> = rows.iter().filter(|row| watch(row).is_none()).collect();
    assert_eq!(days, [&midnight("Wed 30 June"), &midnight("Thu 1 July")]);
    let watch = |row: usize| watch(&rows[row]).expect("a watch");
    assert_eq!(watch(0).until, "01:30");
    assert_eq!((watch(2).from.as_str(), watch(2).continues), ("00:00", true));
    assert_eq!(watch(3).from, "01:30");
    let last = watch(rows.len() - 1);
    assert_eq!((last.until.as_str(), last.is_finish), ("08:00", true));
}

#[test]
fn a_floater_cuts_the_watches_and_is_counted_where_up() {
    let start = "start: 2027-06-12 18:00, finish: 2027-06-13 10:00, time_zone: UTC, least_on_deck: 2, lengths: 4 h";
    let text = book(&format!("{start}, {TEAMS}, floaters: {{Eve: changes, Finn: [23:00..01:00]}}, outside: [Gus]"), "");
    let (cards, problems) = cards_of(&text);
    assert!(problems.is_empty(), "{problems:?}");
    let told =
        |watch: &WatchRow| format!("{} {} | {} | {}", watch.from, watch.head, watch.on_deck.join(" "), watch.below);
    let told: Vec<String> = watches(&cards).iter().filter(|watch| !watch.continues).map(told).collect();
    // Two of four below, Gus always, and Eve and Finn while they are not up.
    let wanted = [
        "18:00 red | Ada Bo | 5",
        "20:00 red, Eve up | Ada Bo Eve | 4",
        "22:00 blue | Cleo Dan Eve | 4",
        "23:00 blue, Finn up | Cleo Dan Eve Finn | 3",
        "00:00 blue, Eve below | Cleo Dan Finn | 4",
        "01:00 blue, Finn below | Cleo Dan | 5",
        "02:00 red | Ada Bo | 5",
        "04:00 red, Eve up | Ada Bo Eve | 4",
        "06:00 blue | Cleo Dan Eve | 4",
        "08:00 blue, Eve below | Cleo Dan | 5",
    ];
    assert_eq!(told, wanted);
    assert_eq!(said(&cards[0]).hours[4..], ["Eve 8 h", "Finn 2 h"]);
    assert_eq!(said(&cards[0]).outside, ["Gus"]);
}

#[test]
fn one_who_is_a_watch_alone_is_named_once() {
    let teams = "least_on_deck: 1, lengths: 3 h, teams: {Ada: [Ada], Bo: Bo}";
    let (cards, problems) = cards_of(&book(&format!("{DAY}, {teams}"), ""));
    assert!(problems.is_empty(), "{problems:?}");
    let label =
        Label { boat: "Chervil".to_owned(), stamp: "ACDEF".to_owned(), edition: Edition::Draft, ..Label::default() };
    let drawing = cards::draw(&cards[0], &label, &mut Vec::new()).expect("a card");
    let named = drawing.texts().filter(|text| text.content == "Ada").count();
    let watches = said(&cards[0]).rows.iter().filter_map(watch).filter(|watch| watch.head == "Ada" && !watch.continues);
    assert_eq!(named, watches.count());
    let text = book(&format!("{DAY}, {}", teams.replace("least_on_deck: 1", "least_on_deck: 2")), "");
    assert!(complaints(&load(&text)).contains("only 1 is on deck, not 2"), "{}", complaints(&load(&text)));
}

#[test]
fn hours_on_deck_add_up_to_the_race() {
    let (cards, _) = cards_of(&book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), ""));
    // 36½ h from start to finish: red has 3 watches of 6 h and the last half hour, blue three of 6 h.
    assert_eq!(said(&cards[0]).hours, ["Ada 18½ h", "Bo 18½ h", "Cleo 18 h", "Dan 18 h"]);
}

#[test]
fn dog_watches_stand_at_their_clock_times_whenever_the_race_starts() {
    let lengths = "lengths: [4 h, 4 h, 4 h, 4 h, 2 h, 2 h, 4 h], from: 00:00";
    let (cards, _) = cards_of(&book(&format!("{DAY}, least_on_deck: 2, {lengths}, {TEAMS}"), ""));
    let froms: Vec<String> = watches(&cards).into_iter().map(|watch| watch.from).collect();
    assert_eq!(
        froms,
        ["19:30", "20:00", "00:00", "04:00", "08:00", "12:00", "16:00", "18:00", "20:00", "00:00", "04:00"]
    );
}

#[test]
fn a_rolling_watch_says_who_comes_up() {
    let rolling = "rolling: {people: [Ada, Bo, Cleo, Dan], on_deck: 2, changing: 1}";
    let (cards, _) = cards_of(&book(&format!("{DAY}, least_on_deck: 2, lengths: 3 h, {rolling}"), ""));
    let watches = watches(&cards);
    assert_eq!(watches[0].on_deck, ["Ada", "Bo"]);
    assert_eq!(watches[1].head, "Cleo up");
    assert_eq!(watches[1].on_deck, ["Bo", "Cleo"]);
}

#[test]
fn a_clock_change_is_warned_of_and_printed() {
    // Summer time ends in Britain at 02:00 on the last Sunday of October: 31 October 2027.
    let race = "start: 2027-10-30 20:00, finish: 2027-10-31 08:00, time_zone: Europe/London";
    let (cards, problems) = cards_of(&book(&format!("{race}, least_on_deck: 2, lengths: 4 h, {TEAMS}"), ""));
    let [problem] = &problems[..] else { panic!("{problems:?}") };
    assert_eq!(problem.level, Level::Warning);
    let change = "the clock is put back by 1 h on Sun 31 October, from 02:00 to 01:00";
    assert!(problem.what.contains(change), "{}", problem.what);
    assert_eq!(said(&cards[0]).clock_changes, [change]);
    // The watch of 4 h from 00:00 ends at 03:00 by the new clock, and 13 h pass in all.
    assert!(watches(&cards).iter().any(|watch| watch.from == "00:00" && watch.until == "03:00"));
}

#[test]
fn a_forecast_gives_each_watch_its_wind_sails_marks_and_the_wind_to_read_at() {
    let forecast = "forecast:\n  - {time: 2027-06-29 18:00, wind: 8..12, angle: 42, gust: 15}\n  - {time: 2027-06-30 \
                    07:30, wind: 30..35, angle: 42}\n";
    let (cards, problems) = cards_of(&book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), forecast));
    assert!(problems.is_empty(), "{problems:?}");
    let watches = watches(&cards);
    let first = weather(&cards, 0);
    assert_eq!(first.wind, "8 to 12 kn, force 3 to 4, gusts 15");
    // No crew in this book: the wind to read at is the wind; 10 kn is a row of the settings.
    assert_eq!((&*first.sails[0].sails, first.sails[0].read_at.as_deref()), ("J1 + Main, upwind", Some("8 to 12")));
    assert_eq!(marks(&first.sails[0]), ["Backstay ● 2", "Lead ● 12", "Vang ● snug"].map(|text| (text, Ground::Sailed)));
    assert_eq!(first.sails.len(), 1);
    let late = watches.iter().rev().find_map(|watch| watch.weather.clone()).unwrap();
    assert_eq!(late.beyond, ["No settings and no sail for 30 to 35 kn"]);
}

#[test]
fn a_sail_that_is_torn_is_planned_for_no_more_wind_than_it_may_be_used_in_now() {
    let forecast = "forecast: [{time: 2027-06-29 18:00, wind: 12..14, angle: 42}]\n";
    let text = book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), forecast);
    let weather = |text: &str| weather(&cards_of(text).0, 0);
    assert_eq!(weather(&text).sails[0].sails, "J1 + Main, upwind");
    let torn = text.swap("j1: {kind: headsail, wind: 5..16}", "j1: {kind: headsail, wind: 5..16, max_now: 11}");
    assert_eq!(weather(&torn).sails, []);
    assert_eq!(weather(&torn).beyond, ["No settings and no sail for 12 to 14 kn"]);
}

#[test]
fn with_hands_below_the_wind_to_read_at_is_the_crew_below_cards() {
    let rest = "forecast: [{time: 2027-06-29 18:00, wind: 14, angle: 42}]\ncrew: {aboard: 4, mass: 80 kg, rail: {out: \
                1.6 m, above: 0.8 m}, bunks: {out: 1.0 m, above: 0 m}}\nrighting: {displacement: 2000 kg, gm: 1 m, \
                heel_limited: {from: 20 deg, wind: 10 kn}, upwind_angle: 42 deg}\n";
    let (cards, problems) = cards_of(&book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), rest));
    assert!(problems.is_empty(), "{problems:?}");
    let text = book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), rest)
        .swap("{kind: watch-plan}", "{kind: crew-below, below: 2, bunks: windward}");
    let (below, _) = cards_of(&text);
    let row = &below[0].says::<CrewBelow>().unwrap().tables[0].rows[2];
    assert_eq!(row.wind, "14");
    let read_at = weather(&cards, 0).sails[0].read_at.clone().unwrap();
    assert_eq!(row.cells[0].wind.as_deref(), Some(read_at.as_str()));
    assert_ne!(read_at, "14");
}

#[test]
fn a_forecast_is_told_as_the_sensor_at_its_height_reads_it_or_as_given() {
    let forecast = "forecast: [{time: 2027-06-29 18:00, wind: 10..12, angle: 42, gust: 15}]\n";
    let text = book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), forecast);
    let said = |text: &str| {
        let (cards, problems) = cards_of(text);
        assert!(problems.is_empty(), "{problems:?}");
        (weather(&cards, 0), said(&cards[0]).assumptions[0].clone())
    };
    let (weather, words) = said(&text);
    assert_eq!(weather.wind, "10 to 12 kn, force 3 to 4, gusts 15");
    assert!(words.starts_with("Forecast as given; "), "{words}");
    // ln(30/0.0002)/ln(10/0.0002) = 11.918/10.820 = 1.1015; the force is that of the forecast, at 10 m.
    let (weather, words) = said(&format!("{text}wind_source: {{kind: true, height: 30 m}}\n"));
    // A gust past the sail's range is told above all else, and not twice.
    assert_eq!(weather.wind, "11 to 13 kn, force 3 to 4");
    assert_eq!(weather.beyond[0], "Gusts 16½: J1 only to 16 kn");
    assert_eq!(weather.sails[0].read_at.as_deref(), Some("11 to 13"));
    assert!(words.starts_with("Forecast for 10 m, told as the sensor at 30 m reads it, 10 % more"), "{words}");
    let low = load(&format!("{text}wind_source: {{kind: true, height: 17 mm}}\n"));
    assert!(low.problems[0].what.contains("the height of the wind sensor"), "{}", low.problems[0].what);
}

#[test]
fn every_part_can_be_drawn_in_readable_letters() {
    let forecast = "forecast: [{time: 2027-06-29 18:00, wind: 8..12, angle: 42, gust: 15}]\n";
    for rest in ["", forecast] {
        let (cards, _) = cards_of(&book(&format!("{DAY}, least_on_deck: 2, lengths: 3 h, {TEAMS}"), rest));
        for card in &cards {
            let label = Label {
                boat: "Chervil".to_owned(),
                stamp: card.stamp.clone(),
                edition: Edition::Draft,
                ..Label::default()
            };
            let mut problems = Vec::new();
            assert!(cards::draw(card, &label, &mut problems).is_some(), "{problems:?}");
            assert!(problems.is_empty(), "{problems:?}");
        }
    }
}

#[test]
fn every_bad_field_of_watches_and_forecast_is_told_at_its_place() {
    let good = format!("{DAY}, least_on_deck: 2, lengths: [6 h], {TEAMS}");
    let forecast = "forecast: [{time: 2027-06-29 18:00, wind: 8..12, gust: 15}]";
    let cases = [
        ("2027-06-29 19:30", "2027-06-31 19:30", "2027-06-31 19:30", "year first"),
        ("2027-06-29 19:30", "2027-07-29 19:30", "2027-07-01 08:00", "finish after the start"),
        ("Europe/London", "Europe/Lundon", "Europe/Lundon", "Europe/London"),
        ("least_on_deck: 2", "least_on_deck: 3", "3", "put more people"),
        ("6 h", "25 h", "25 h", "1 min to 24 h"),
        ("6 h", "20 s", "20 s", "1 min to 24 h"),
        ("6 h", "6 kn", "6 kn", "min"),
        ("[Cleo, Dan]", "[]", "[]", "[Ada, Bo]"),
        ("Bo]", "Ada]", "{red", "name everyone once"),
        ("teams:", "teems:", "teems", "teams"),
        ("[6 h]", "[6 h], from: noon", "noon", "00:00"),
        ("[6 h]", "[6 h], floaters: {Eve: nights}", "nights", "`changes`"),
        ("[6 h]", "[6 h], floaters: {Eve: [20:00..20:00]}", "20:00..20:00", "20:00..23:00"),
        ("[6 h]", "[6 h], floaters: {Ada: changes}", "", "name everyone once"),
        ("[6 h]", "[6 h], outside: [Eve, Bo]", "", "name everyone once"),
        ("[6 h]", "[6 h], outside: [{who: Eve, role: cook}]", "role", "its fields are"),
        ("[6 h]", "[6 h], outside: [{as: cook}]", "", "who: Nora"),
        ("[6 h]", "[6 h], rolling: {people: [Ada, Bo], on_deck: 1, changing: 1}", "", "teams"),
        ("2027-06-29 18:00", "yesterday", "yesterday", "year first"),
        ("8..12", "12..8", "12..8", "lower end first"),
        ("gust: 15", "gust: 9", "9", "own speed"),
        ("gust", "squall", "squall", "its fields are"),
    ];
    let sound = book(&good, forecast);
    assert_eq!(complaints(&load(&sound)), "");
    for (piece, spoilt, place, remedy) in cases {
        assert!(sound.contains(piece), "{piece}");
        let text = sound.replacen(piece, spoilt, 1);
        let loaded = load(&text);
        let found = loaded.problems.iter().find(|problem| {
            text[problem.place.as_ref().unwrap().bytes.clone()].starts_with(place) && problem.instead.contains(remedy)
        });
        assert!(found.is_some(), "{spoilt}: {}", complaints(&loaded));
    }
    let no_clock = format!("{SOUND}{forecast}\n");
    assert!(complaints(&load(&no_clock)).contains("no time zone"));
}

/// Minutes since midnight.
fn minutes(clock: &str) -> i64 {
    let (hours, minutes) = clock.split_once(':').unwrap();
    hours.parse::<i64>().unwrap() * 60 + minutes.parse::<i64>().unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn printed_watches_follow_each_other_and_fewer_than_the_least_is_a_problem(
        lengths in prop::collection::vec(30_i64..400, 1..5),
        start in 0_i64..1440,
        sizes in prop::collection::vec(1_usize..5, 1..4),
        least in 1_usize..5,
    ) {
        let lengths: Vec<String> = lengths.iter().map(|minutes| format!("{minutes} min")).collect();
        let team = |(nth, size): (usize, &usize)| {
            let members: Vec<String> = (0..*size).map(|person| format!("P{nth}x{person}")).collect();
            format!("t{nth}: [{}]", members.join(", "))
        };
        let teams: Vec<String> = sizes.iter().enumerate().map(team).collect();
        let text = book(
            &format!(
                "start: 2027-06-29 {:02}:{:02}, finish: 2027-07-01 08:00, time_zone: UTC, least_on_deck: {least}, \
                 lengths: [{}], teams: {{{}}}",
                start / 60, start % 60, lengths.join(", "), teams.join(", ")
            ),
            "",
        );
        let loaded = load(&text);
        // Whether a team that is too small ever has a watch depends on the race: within 32 h all of four come up.
        let short = sizes.iter().any(|size| *size < least);
        prop_assert_eq!(!loaded.problems.is_empty(), short, "{}", complaints(&loaded));
        if short {
            prop_assert!(loaded.problems[0].what.contains("from 2027-0"));
            return Ok(());
        }
        let (cards, _) = cards_of(&text);
        let watches = watches(&cards);
        let mut clock = start;
        for watch in &watches {
            let from = minutes(&watch.from);
            prop_assert!(from == clock || watch.continues && from == 0);
            prop_assert!(watch.on_deck.len() >= least);
            clock = minutes(&watch.until);
        }
        prop_assert_eq!(clock, 8 * 60);
    }
}

#[test]
fn a_mark_of_the_plan_has_its_sign_and_the_plan_says_what_that_means() {
    let (cards, _) = cards_of(include_str!("../books/found/jib-torn-below-the-gale.yaml"));
    let grounds = said(&cards[0]).grounds.clone();
    let first = weather(&cards, 0);
    assert_eq!(first.beyond, ["No settings and no sail for 16 to 22 kn"]);
    // With four below she is to be read past the last row of the jib, 18 kn; the J3's rows are 24 and 28 kn.
    assert_eq!(marks(&first.sails[0])[0], ("Backstay (6)", Ground::Outside));
    assert_eq!(first.sails[1].marks[0].ground, Some(Ground::Between));
    assert_eq!(grounds, [Ground::Between, Ground::Outside]);
    let (mut cards, _) = cards_of(include_str!("../books/found/a-control-known-later.yaml"));
    cards.retain(|card| card.kind == "watch-plan");
    // At 7 kn: between its rows of 6 and 14 kn, and below the first row of the other.
    let both = [("Backstay 1", Ground::Between), ("Checkstay (5)", Ground::Outside)];
    assert_eq!(marks(&weather(&cards, 0).sails[0])[..2], both);
    let drawing = cards::draw(&cards[0], &Label::default(), &mut Vec::new()).expect("it fits");
    let words: Vec<&str> = drawing.texts().map(|text| text.content.as_str()).collect();
    assert!(
        words.join(" ").contains("Marks: no sign: between sailed winds · ( ) beyond any sailed wind."),
        "{words:?}"
    );
}
