//! What is set before leaving goes by the wind to expect, whole rows at a time, and stands on no card used while racing.

use crate::reading;

use assert_cmd::Command;
use cockpit_cards::book::Problem;
use cockpit_cards::cards::{self, Card, DockTuneCard, Edition, Label, Readiness};
use cockpit_cards::door;
use cockpit_cards::tuning::dock_ranges::ranges;
use cockpit_cards::tuning::{Axis, Wind, WindUnit};
use proptest::prelude::*;
use reading::{SOUND, complaints, load, spoilt};

const SCREWS: &str = "  caps: {name: Cap shrouds, when: dock, higher_is: tighter, limit: {never_above: 2, why: rigger's figure}, scale: {turns: {base: gauge 38 on 2027-04-02}, halves: true}}
  lowers: {when: dock, scale: {turns: {base: gauge 24 on 2027-04-02}, halves: true}}
sails:
";
const DOCK: &str = "settings:
  - {id: rig, when: dock, controls: [caps, lowers], at: {7: [-1, ~], 13: [0, 0], 20: [1½, 1]}}
";
const RACE: &str = "watches: {start: 2027-06-12 18:00, finish: 2027-06-13 18:00, time_zone: UTC, least_on_deck: 1, lengths: 4 h, teams: {red: [Ada], blue: [Bo]}}
forecast: [{time: 2027-06-12 12:00, wind: 6..9}, {time: 2027-06-13 04:00, wind: 14..18}, {time: 2027-06-13 17:00, wind: 30}]
";

fn book(dock: &str, rest: &str) -> String {
    format!("{}{rest}", spoilt("sails:\n", SCREWS).replacen("settings:\n", dock, 1))
}

fn cards_of(text: &str) -> Vec<Card> {
    let loaded = load(text);
    let said = complaints(&loaded);
    let book = loaded.book.filter(|_| said.is_empty()).unwrap_or_else(|| panic!("{said}"));
    let mut problems: Vec<Problem> = Vec::new();
    let cards = cards::cards(&book, &mut problems);
    assert_eq!(problems, []);
    cards
}

fn said(card: &Card) -> &DockTuneCard {
    card.says().expect("a dock tune")
}

#[test]
fn a_row_holds_up_to_midway_to_the_next() {
    let cards = cards_of(&book(DOCK, "cards: [{kind: dock-tune, settings: rig}]\n"));
    let card = said(&cards[0]);
    let ranges: Vec<(&str, &str)> =
        card.ranges.iter().map(|range| (range.wind.as_str(), range.sailed.as_str())).collect();
    assert_eq!(ranges, [("up to 10 kn", "7 kn"), ("10 to 16½ kn", "13 kn"), ("from 16½ kn", "20 kn")]);
    let marks =
        |row: usize| card.controls[row].marks.iter().map(|mark| mark.as_deref().unwrap_or("?")).collect::<Vec<_>>();
    assert_eq!(marks(0), ["−1 turn", "0", "+1½ turns"]);
    assert_eq!(marks(1), ["?", "0", "+1 turn"]);
    assert_eq!(card.controls[0].base.as_deref(), Some("gauge 38 on 2027-04-02"));
    let caution = &card.cautions[0];
    assert_eq!(caution.content, "Cap shrouds: never above +2 turns (rigger's figure)");
    assert_eq!(caution.printed, "Cap shrouds NEVER PAST +2 turns");
    assert_eq!(caution.why.as_deref(), Some("Cap shrouds: rigger's figure"));
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]
    #[test]
    fn every_wind_is_of_one_row_and_of_the_nearest_within_what_can_be_printed(
        gaps in prop::collection::vec(1.0_f64..9.0, 1..8),
        wind in 0.0_f64..80.0,
        metres in any::<bool>(),
    ) {
        let unit = if metres { WindUnit::MetrePerSecond } else { WindUnit::Knot };
        let rows: Vec<Wind> = gaps.iter().scan(0.0, |at, gap| { *at += gap; Some(Wind::of(*at, unit)) }).collect();
        let wind = Wind::of(wind, unit);
        let found = ranges(&rows, unit);
        let of: Vec<usize> = (0..rows.len()).filter(|row| found[*row].holds(wind)).collect();
        prop_assert_eq!(of.len(), 1);
        let off = |row: usize| rows[row].apart(wind).number_in(unit);
        let nearest = (0..rows.len()).map(off).fold(f64::INFINITY, f64::min);
        // A border moves by half a printed step at most, a quarter of a unit, and a distance by twice that from one side to the other.
        prop_assert!(off(of[0]) <= nearest + 0.5 + 1e-9);
    }
}

#[test]
fn readiness_says_which_row_the_forecast_asks_for_and_the_turns_from_the_base() {
    let group = |rest: &str| {
        let cards = cards_of(&book(DOCK, &format!("{rest}cards: [{{kind: readiness}}]\n")));
        let items = cards.iter().flat_map(|card| card.says::<Readiness>().expect("readiness").items.clone());
        let (of, lines): (Vec<String>, Vec<String>) = items.filter_map(|item| Some((item.of?, item.what))).unzip();
        assert!(of.iter().all(|heading| *heading == of[0] && heading.starts_with("Dock tune")), "{of:?}");
        (of[0].clone(), lines)
    };
    // 10 h about 7½ kn, 13 h about 16 kn, 1 h of 30 kn.
    let (heading, lines) = group(RACE);
    assert_eq!(heading, "Dock tune, 10 to 16½ kn: 13 of 24 h forecast");
    let caps = "Cap shrouds: 0 from gauge 38 on 2027-04-02";
    assert_eq!(lines, [caps, "Lowers: 0 from gauge 24 on 2027-04-02"]);
    let (_, gale) = group(&RACE.replace("04:00, wind: 14..18", "04:00, wind: 24..30"));
    assert_eq!(gale[0], "Cap shrouds: +1½ turns (+ is tighter) from gauge 38 on 2027-04-02");
    let (heading, calm) = group(&RACE.replace("14..18", "4..6").replace("wind: 30", "wind: 3"));
    assert_eq!((heading.as_str(), calm[1].as_str()), ("Dock tune, up to 10 kn", "Lowers: not recorded"));
    assert_eq!(group(""), ("Dock tune".to_owned(), vec!["Cap shrouds, Lowers, by the dock tune card".to_owned()]));
}

#[test]
fn a_sensor_high_up_reads_more_than_the_forecast_and_may_ask_for_the_next_row() {
    // 16 kn at ten metres are 16.8 kn at 17 m: ln(17/0.0002)/ln(10/0.0002) = 1.049.
    let text = book(DOCK, &format!("wind_source: {{kind: true, height: 17 m}}\n{RACE}cards: [{{kind: readiness}}]\n"));
    let cards = cards_of(&text);
    let said = cards[0].says::<Readiness>().expect("readiness");
    let heading = Some("Dock tune, from 16½ kn: 14 of 24 h forecast");
    assert!(said.items.iter().any(|item| item.of.as_deref() == heading), "{said:?}");
}

#[test]
fn no_card_used_while_racing_and_no_list_of_show_has_it() {
    let text = book(DOCK, RACE);
    for card in cards_of(&text) {
        let words = card.content.data().to_string();
        let is_before_the_start = ["dock-tune", "readiness"].contains(&card.kind);
        assert_eq!(words.contains("Cap shrouds"), is_before_the_start, "{}: {words}", card.id);
    }
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("boat.yaml"), &text).expect("a book is written");
    let show = |wind: &str, more: &[&str]| {
        let mut program = Command::cargo_bin("cockpit-cards").expect("the program");
        let output =
            program.args(["show", "--wind", wind]).args(more).current_dir(folder.path()).output().expect("a run");
        (
            output.status.code(),
            String::from_utf8_lossy(&output.stdout).into_owned() + &String::from_utf8_lossy(&output.stderr),
        )
    };
    let (_, racing) = show("13", &[]);
    assert!(racing.contains("Backstay") && !racing.contains("Cap shrouds"), "{racing}");
    let (code, dock) = show("16.5", &["--settings", "rig"]);
    assert!(code == Some(0) && dock.contains("row for from 16½ kn, sailed at 20 kn"), "{dock}");
    assert!(dock.contains("Cap shrouds          +1½ turns    from gauge 38 on 2027-04-02"), "{dock}");
    let (_, json) = show("16.5", &["--settings", "rig", "--json"]);
    let json: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(json[0]["controls"][0]["value"], 1.5);
    assert_eq!((json[0]["row_kn"].as_f64(), json[0]["from_kn"].as_f64()), (Some(20.0), Some(16.5)));
    assert!(json[0]["to_kn"].is_null());
    let (code, refused) = show("16.5", &["--settings", "rig", "--below", "2"]);
    assert!(code == Some(2) && refused.contains("made at the dock"), "{refused}");
}

#[test]
fn more_ranges_than_fit_go_on_in_a_second_card_and_all_can_be_read() {
    let rows: Vec<String> = (1..=7).map(|n| format!("{}: [{}, 0]", 4 * n, n - 5)).collect();
    let dock = format!(
        "settings:\n  - {{id: rig, when: dock, sea: chop, controls: [caps, lowers], at: {{{}}}}}\n",
        rows.join(", ")
    );
    let cards = cards_of(&book(&dock, "cards: [{kind: dock-tune, settings: rig}]\n"));
    let shape: Vec<(&str, usize)> = cards.iter().map(|card| (card.id.as_str(), said(card).ranges.len())).collect();
    assert_eq!(shape, [("rig", 4), ("rig-2", 3)]);
    assert_eq!(said(&cards[0]).title.as_deref(), Some("Chop"));
    for card in &cards {
        let label = Label {
            boat: "Chervil".to_owned(),
            stamp: card.stamp.clone(),
            edition: Edition::Draft,
            ..Label::default()
        };
        let mut problems = Vec::new();
        let drawing = cards::draw(card, &label, &mut problems).expect("a card");
        assert_eq!(problems, []);
        assert!(drawing.texts().any(|text| text.content.contains("ask a rigger")));
    }
}

#[test]
fn what_changed_is_told_by_wind_and_control() {
    let before = cards_of(&book(DOCK, "cards: [{kind: dock-tune, settings: rig}]\n"));
    let after =
        cards_of(&book(&DOCK.replace("13: [0, 0]", "14: [½, 0]"), "cards: [{kind: dock-tune, settings: rig}]\n"));
    assert_ne!(before[0].stamp, after[0].stamp);
    let kind = cards::KINDS.iter().find(|kind| kind.name == "dock-tune").expect("the kind");
    let fields = |card: &Card| card.content.data().as_object().cloned().expect("fields");
    let told = (kind.changes)(&mut fields(&before[0]), &mut fields(&after[0]));
    assert!(told.iter().any(|line| line.contains("10½ to 17 kn, Cap shrouds: +½ turn")), "{told:#?}");
}

#[test]
fn what_is_wrong_is_told_at_its_place() {
    let cases = [
        ("when: dock,", "when: harbour,", "harbour", "`dock`"),
        ("when: dock,", "when: dock, sails: [main],", "sails", "take it out"),
        ("when: dock,", "when: dock, point_of_sail: upwind,", "point_of_sail", "take it out"),
        ("[caps, lowers]", "[caps, lead]", "lead", "write `when: dock`"),
        ("[caps, lowers]", "[caps, caps]", "caps", "keep one"),
        ("13: [0, 0]", "6: [0, 0]", "6:", "from light wind to strong"),
        ("1½, 1]", "2½, 1]", "2½", "+2 turns"),
        ("13: [0, 0]", "13: [0]", "[0]", "write one for each"),
        ("20: [1½, 1]", "20: {60: [1, 1]}", "20", "one row of readings"),
        ("id: rig", "id: j1-upwind", "j1-upwind", "an id of its own"),
    ];
    for (piece, spoilt, place, remedy) in cases {
        let text = book(&DOCK.replacen(piece, spoilt, 1), "");
        let loaded = load(&text);
        let found = loaded.problems.iter().find(|problem| {
            text[problem.place.as_ref().expect("a place").bytes.clone()].starts_with(place)
                && problem.instead.contains(remedy)
        });
        assert!(
            found.is_some() || (place == "6:" && complaints(&loaded).contains(remedy)),
            "{spoilt}: {}",
            complaints(&loaded)
        );
    }
    for (entry, remedy) in [
        ("{kind: dock-tune, settings: j1-upwind}", "write `kind: wind-settings`"),
        ("{kind: wind-settings, settings: rig}", "write `kind: dock-tune`"),
        ("{kind: dock-tune, settings: rigg}", "did you mean"),
        ("{kind: dock-tune}", "settings: rig"),
    ] {
        let problems = door::check(load(&book(DOCK, &format!("cards: [{entry}]\n")))).problems;
        assert!(problems.iter().any(|problem| problem.instead.contains(remedy)), "{entry}: {problems:?}");
    }
    // With an error elsewhere a dock tune whose screw is broken goes, without a word of its own.
    let broken = book(DOCK, "cards: [{kind: dock-tune, settings: rig}]\n").replacen(
        "halves: true}}\nsails",
        "halves: maybe}}\nsails",
        1,
    );
    let told = door::check(load(&broken)).problems;
    assert_eq!(told.len(), 1, "{told:#?}");
    assert!(
        complaints(&load(&SOUND.replace("settings:\n", "settings:\n  - {id: x, when: dock, at: {6: [1]}}\n")))
            .contains("controls:")
    );
}

#[test]
fn the_unit_of_turns_stands_once_beside_what_they_are_counted_from_and_no_mark_is_broken() {
    let text = book(DOCK, "cards: [{kind: dock-tune, settings: rig, size: A6}]\n")
        .replace("Cap shrouds", "Turnbuckles of the outermost shrouds");
    let card = cards_of(&text).remove(0);
    let drawing = card.content.layout(&Label::default()).expect("it fits");
    let words: Vec<&str> = drawing.texts().map(|text| text.content.as_str()).collect();
    for mark in ["−1", "0", "+1½"] {
        assert!(words.contains(&mark), "{mark}: {words:?}");
    }
    let joined = words.join(" ");
    assert!(joined.contains("turns from gauge 38 on 2027-04-02"), "{joined}");
    assert_eq!(joined.matches(" turn ").count(), 0, "{joined}");
}
