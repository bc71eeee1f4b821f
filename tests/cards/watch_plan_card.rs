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
        PlanRow::Midnight { .. } | PlanRow::Finish { .. } => None,
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
fn a_new_day_is_a_line_under_the_watch_that_it_begins_in_and_the_finish_is_the_last() {
    let (cards, problems) = cards_of(&book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), ""));
    assert!(problems.is_empty(), "{problems:?}");
    let told = |row: &PlanRow| match row {
        PlanRow::Midnight { day } => day.clone(),
        PlanRow::Watch(watch) => format!("{} {}", watch.from, watch.head),
        PlanRow::Finish { at } => format!("{at} finish"),
    };
    let told: Vec<String> = rows(&cards).iter().map(told).collect();
    let wanted = [
        "19:30 red",
        "Wed 30 June",
        "01:30 blue",
        "07:30 red",
        "13:30 blue",
        "19:30 red",
        "Thu 1 July",
        "01:30 blue",
        "07:30 red",
        "08:00 finish",
    ];
    assert_eq!(told, wanted);
    assert_eq!(said(&cards[0]).days, "29 June to 1 July");
    assert_eq!(said(&cards[0]).race, "start Tue 19:30 · finish Thu 08:00 · clock Europe/London");
}

#[test]
fn who_is_in_a_team_is_told_once_at_the_top() {
    let (cards, _) = cards_of(&book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), ""));
    let drawing = cards::draw(&cards[0], &Label::default(), &mut Vec::new()).expect("it fits");
    let texts: Vec<_> = drawing.texts().collect();
    let of =
        |words: &str| texts.iter().filter(|text| text.content == words).map(|text| text.origin.y).collect::<Vec<_>>();
    assert_eq!((of("Ada, Bo").len(), of("Cleo, Dan").len()), (1, 1));
    let first = of("FROM")[0];
    assert!(of("Ada, Bo")[0] < first && of("Cleo, Dan")[0] < first, "over the table");
    assert_eq!(of("red").len(), 1 + 4, "at the top, and at each of its watches");
}

#[test]
fn a_floater_cuts_the_watches_and_is_counted_where_up() {
    let start = "start: 2027-06-12 18:00, finish: 2027-06-13 10:00, time_zone: UTC, least_on_deck: 2, lengths: 4 h";
    let text = book(&format!("{start}, {TEAMS}, floaters: {{Eve: changes, Finn: [23:00..01:00]}}, outside: [Gus]"), "");
    let (cards, problems) = cards_of(&text);
    assert!(problems.is_empty(), "{problems:?}");
    let told =
        |watch: &WatchRow| format!("{} {} | {} | {}", watch.from, watch.head, watch.on_deck.join(" "), watch.below);
    let told: Vec<String> = watches(&cards).iter().map(told).collect();
    // Two of four below, Gus always, and Eve and Finn while they are not up.
    let wanted = [
        "18:00 red |  | 5",
        "20:00 red, Eve up |  | 4",
        "22:00 blue | Eve | 4",
        "23:00 blue, Finn up | Eve | 3",
        "00:00 blue, Eve below | Finn | 4",
        "01:00 blue, Finn below |  | 5",
        "02:00 red |  | 5",
        "04:00 red, Eve up |  | 4",
        "06:00 blue | Eve | 4",
        "08:00 blue, Eve below |  | 5",
    ];
    assert_eq!(told, wanted);
    assert_eq!(said(&cards[0]).hours, ["red 8 h", "blue 8 h", "Eve 8 h", "Finn 2 h"]);
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
    let watches = said(&cards[0]).rows.iter().filter_map(watch).filter(|watch| watch.head == "Ada");
    assert_eq!(named, watches.count());
    let text = book(&format!("{DAY}, {}", teams.replace("least_on_deck: 1", "least_on_deck: 2")), "");
    assert!(complaints(&load(&text)).contains("only 1 is on deck, not 2"), "{}", complaints(&load(&text)));
}

#[test]
fn hours_on_deck_add_up_to_the_race() {
    let (cards, _) = cards_of(&book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), ""));
    // 36½ h from start to finish: red has 3 watches of 6 h and the last half hour, blue three of 6 h.
    assert_eq!(said(&cards[0]).hours, ["red 18½ h", "blue 18 h"]);
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
    let froms: Vec<String> = watches(&cards).into_iter().map(|watch| watch.from).collect();
    assert_eq!(froms, ["20:00", "00:00", "03:00", "07:00"]);
}

#[test]
fn a_forecast_gives_each_watch_its_wind_sails_and_the_bands_of_their_card() {
    let forecast = "wind_bands: [4, 8, 11, 14, 17]\nforecast:\n  - {time: 2027-06-29 18:00, wind: 8..12, angle: 42, gust: \
                    15}\n  - {time: 2027-06-30 07:30, wind: 30..35, angle: 42}\n";
    let (cards, problems) = cards_of(&book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), forecast));
    assert!(problems.is_empty(), "{problems:?}");
    let watches = watches(&cards);
    let first = weather(&cards, 0);
    assert_eq!((first.wind.as_str(), first.gusts.as_deref()), ("8 to 12", Some("15")));
    // No crew in this book: the wind to read at is the wind.
    let sails = &first.sails[0];
    assert_eq!((&*sails.sails, sails.read_at.as_deref()), ("J1 + Main, upwind", Some("8 to 12")));
    assert_eq!((sails.bands.join(", ").as_str(), sails.counted), ("8 to 11, 11 to 14", None));
    assert!(sails.marks.is_empty(), "they stand on the settings card");
    assert_eq!(first.sails.len(), 1);
    let late = watches.iter().rev().find_map(|watch| watch.weather.clone()).unwrap();
    assert_eq!(late.beyond, ["No settings and no sail for 30 to 35 kn"]);
}

#[test]
fn every_band_that_the_wind_is_in_is_named_and_none_that_it_only_touches() {
    let bands = |wind: &str| {
        let forecast = format!(
            "wind_bands: [4, 8, 11, 14, 17]\nforecast: [{{time: 2027-06-29 18:00, wind: {wind}, angle: 42}}]\n"
        );
        let text = book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), &forecast);
        weather(&cards_of(&text).0, 0).sails[0].bands.join(", ")
    };
    // The sail is for 5 to 16 kn, and so the last band of its card ends there.
    for (wind, wanted) in [
        ("9..11", "8 to 11"),
        ("8", "8 to 11"),
        ("11", "11 to 14"),
        ("7..15", "5 to 8, 8 to 11, 11 to 14, 14 to 16"),
        ("16", "14 to 16"),
        ("14..16", "14 to 16"),
    ] {
        assert_eq!(bands(wind), wanted, "{wind}");
    }
}

#[test]
fn marks_are_told_where_the_book_asks_for_them() {
    let forecast = "forecast: [{time: 2027-06-29 18:00, wind: 8..12, angle: 42}]\n";
    let text = book(&format!("{DAY}, least_on_deck: 2, lengths: 6 h, {TEAMS}"), forecast);
    let (cards, _) = cards_of(&text.swap("{kind: watch-plan}", "{kind: watch-plan, marks: true}"));
    let first = weather(&cards, 0);
    // 10 kn is a row of the settings.
    assert_eq!(first.sails[0].marks_at.as_deref(), Some("10 kn"));
    assert_eq!(marks(&first.sails[0]), ["Backstay ● 2", "Lead ● 12", "Vang ● snug"].map(|text| (text, Ground::Sailed)));
    let spoilt = load(&text.swap("{kind: watch-plan}", "{kind: watch-plan, marks: perhaps}"));
    let mut problems = Vec::new();
    cards::cards(&spoilt.book.expect("the entry is read with the cards"), &mut problems);
    assert!(problems[0].instead.contains("true"), "{problems:?}");
}

#[test]
fn what_a_watch_changes_is_in_bold_and_what_it_does_not_is_as_before() {
    let (cards, _) = cards_of(include_str!("../../examples/full.yaml"));
    let card = cards.iter().find(|card| card.kind == "watch-plan").expect("a plan");
    let drawing = cards::draw(card, &Label::default(), &mut Vec::new()).expect("it fits");
    let row = |from: &str| {
        let at = drawing.texts().find(|text| text.content == from).expect(from).origin.y;
        // Words of the same row, at the right of the wind.
        let near = |text: &&cockpit_cards::drawing::Text| (text.origin.y - at).abs() < 1.0 && text.origin.x > 40.0;
        drawing.texts().filter(near).map(|text| text.content.clone()).collect::<Vec<String>>()
    };
    assert_eq!(row("20:00")[0], "9 to 11");
    for from in ["20:00", "04:00", "18:00"] {
        assert_eq!(row(from).last().map(String::as_str), Some("as before"), "{from}");
    }
    let weights =
        |words: &str| drawing.texts().filter(|text| text.content == words).map(|text| text.weight).collect::<Vec<_>>();
    use cockpit_cards::drawing::Weight::{Bold, Regular};
    // New at first, and the same sail in other bands at midnight.
    assert_eq!(weights("J1 + Main, upwind"), [Bold, Regular]);
    assert_eq!(weights("bands 8 to 11, 11 to 14"), [Regular]);
    assert_eq!(weights("bands 11 to 14, 14 to 16"), [Bold]);
    assert_eq!(weights("gusts 25"), [Bold, Bold]);
    assert!(drawing.texts().any(|text| text.content.starts_with("Gusts 25: J2 only to 22 kn,") && text.weight == Bold));
}

#[test]
fn a_race_of_a_night_and_a_day_is_one_card_that_can_be_read_and_five_days_are_more() {
    let (cards, _) = cards_of(include_str!("../../examples/full.yaml"));
    assert_eq!(cards.iter().filter(|card| card.kind == "watch-plan").count(), 1, "27 h and a forecast");
    let forecast = "forecast: [{time: 2027-06-29 18:00, wind: 8..12, angle: 42, gust: 15}]\n";
    let days = "start: 2027-06-29 19:30, finish: 2027-07-04 19:30, time_zone: UTC, least_on_deck: 2, lengths: 3 h";
    let (cards, _) = cards_of(&book(&format!("{days}, {TEAMS}"), forecast));
    assert!(cards.len() > 1);
    for (nth, card) in cards.iter().enumerate() {
        assert_eq!(said(card).part, Some(format!("{} of {}", nth + 1, cards.len())));
        // The first watch of a card says all, for nothing stands before it.
        let first = said(card).rows.iter().find_map(watch).expect("a watch");
        let drawing = cards::draw(card, &Label::default(), &mut Vec::new()).expect("it fits");
        let at = |words: &str| drawing.texts().filter(|text| text.content == words).count();
        assert_eq!(at("J1 + Main, upwind"), 1, "{}", first.from);
        // Table and head are as large as what must be read has to be.
        let small = drawing.texts().filter(|text| text.cap_height() < 3.0 && text.content.contains("8 to 12"));
        assert_eq!(small.count(), 0);
    }
}

#[test]
fn crowded_watches_leave_the_other_cards_as_full_as_they_can_be() {
    // Floaters cut the watches of this race; the fullest pair of them is more than half a page.
    let text: String = include_str!("../books/large-boat.yaml")
        .split_inclusive('\n')
        .filter(|line| !line.trim_start().starts_with("sizes:"))
        .collect();
    let (cards, _) = cards_of(&text);
    let plan: Vec<Card> = cards.into_iter().filter(|card| card.kind == "watch-plan").collect();
    assert_eq!(watches(&plan).len(), 24);
    assert!(plan.len() <= 8, "{} cards", plan.len());
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
    let sails = weather(&cards, 0).sails[0].clone();
    assert_eq!(sails.counted, Some(2));
    let read_at = sails.read_at.unwrap();
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
    assert_eq!((weather.wind.as_str(), weather.gusts.as_deref()), ("10 to 12", Some("15")));
    assert_eq!(weather.force.as_deref(), Some("force 3 to 4"));
    assert_eq!(words, "Forecast as given.");
    // ln(30/0.0002)/ln(10/0.0002) = 11.918/10.820 = 1.1015; the force is that of the forecast, at 10 m.
    let (weather, words) = said(&format!("{text}wind_source: {{kind: true, height: 30 m}}\n"));
    assert_eq!((weather.wind.as_str(), weather.force.as_deref()), ("11 to 13", Some("force 3 to 4")));
    // A gust past the sail's range is told above all else, with what there is for it.
    assert_eq!(weather.beyond[0], "Gusts 16½: J1 only to 16 kn, then no sail");
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
        let lasting: Vec<String> = lengths.iter().map(|minutes| format!("{minutes} min")).collect();
        let team = |(nth, size): (usize, &usize)| {
            let members: Vec<String> = (0..*size).map(|person| format!("P{nth}x{person}")).collect();
            format!("t{nth}: [{}]", members.join(", "))
        };
        let teams: Vec<String> = sizes.iter().enumerate().map(team).collect();
        let text = book(
            &format!(
                "start: 2027-06-29 {:02}:{:02}, finish: 2027-07-01 08:00, time_zone: UTC, least_on_deck: {least}, \
                 lengths: [{}], teams: {{{}}}",
                start / 60, start % 60, lasting.join(", "), teams.join(", ")
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
        let mut clock = start;
        for (watch, length) in watches(&cards).iter().zip(lengths.iter().cycle()) {
            prop_assert_eq!(minutes(&watch.from), clock % (24 * 60));
            clock += length;
        }
        // The last watch is cut by the finish, 08:00 two days later.
        prop_assert!(clock >= (2 * 24 + 8) * 60);
        let rows = rows(&cards);
        prop_assert_eq!(rows.last(), Some(&PlanRow::Finish { at: "08:00".to_owned() }));
    }
}

#[test]
fn a_mark_of_the_plan_has_its_sign_and_the_plan_says_what_that_means() {
    let with_marks = |text: &str| {
        let (cards, _) = cards_of(&text.swap("kind: watch-plan", "kind: watch-plan, marks: true"));
        cards
    };
    let cards = with_marks(include_str!("../books/found/jib-torn-below-the-gale.yaml"));
    let grounds = said(&cards[0]).grounds.clone();
    let first = weather(&cards, 0);
    assert_eq!(first.beyond, ["No settings and no sail for 16 to 22 kn"]);
    // With four below she is to be read past the last row of the jib, 18 kn; the J3's rows are 24 and 28 kn.
    assert_eq!(marks(&first.sails[0])[0], ("Backstay (6)", Ground::Outside));
    assert_eq!(first.sails[1].marks[0].ground, Some(Ground::Between));
    assert_eq!(grounds, [Ground::Between, Ground::Outside]);
    // And past what a torn jib may be used in: where those below are counted, it says what comes next.
    assert_eq!(first.sails[0].counted, Some(4));
    assert_eq!(first.sails[0].past.as_deref(), Some("past this sail: no other for this"));
    assert_eq!(first.sails[1].from.as_deref(), Some("22 kn"));
    let mut cards = with_marks(include_str!("../books/found/a-control-known-later.yaml"));
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
