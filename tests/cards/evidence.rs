//! What the notes say of a reading stands on the card as a sign, and moves no number.

use crate::common::whole;
use crate::reading;

use std::collections::BTreeMap;

use cockpit_cards::book::Book;
use cockpit_cards::cards::parts::matrix::{angled_columns, columns};
use cockpit_cards::cards::wind_settings::WindSettings;
use cockpit_cards::cards::{self, Card};
use cockpit_cards::tuning::{Ground, Sided, Stretches};
use proptest::prelude::*;
use reading::{complaints, load_with, spoilt};

const HEADER: &str = "when,settings,wind,angle,backstay,lead,vang,verdict,found\n";

fn book_of(text: &str, notes: &str) -> Book {
    let text = format!("{text}sailed: {{file: sailed.csv, time_zone: Europe/Copenhagen}}\n");
    let loaded = load_with(&text, &[("sailed.csv", &format!("{HEADER}{notes}"))]);
    assert_eq!(complaints(&loaded), "");
    loaded.book.expect("a book")
}

fn book(notes: &str) -> Book {
    book_of(reading::SOUND, notes)
}

/// The ground of each known reading of the first settings, by control and in the order of the rows.
fn grounds(book: &Book) -> Vec<Vec<Ground>> {
    let of_column =
        |column: Option<Sided<Stretches>>| Some(column?.alike()?.known().map(|known| known.ground).collect());
    columns(book, &book.settings[0]).into_iter().map(|column| of_column(column).unwrap_or_default()).collect()
}

/// The ground of the backstay at 6, 10 and 14 kn.
fn backstay(notes: &str) -> Vec<Ground> {
    grounds(&book(notes)).remove(0)
}

fn says(book: &Book) -> WindSettings {
    let made = cards::cards(book, &mut Vec::new());
    made.iter().find_map(|card| card.says::<WindSettings>()).expect("a card of settings").clone()
}

const THREE_DAYS: &str = "\
2027-05-08 15:10,j1-upwind,10.5,,2,,,fast,\n\
2027-05-15 15:10,j1-upwind,9,,2½,,,fast,\n\
2027-05-22 15:10,j1-upwind,10,,1½,,,fast,\n";

#[test]
fn three_fast_notes_of_three_days_within_a_mark_repeat_a_reading() {
    assert_eq!(backstay(THREE_DAYS), [Ground::Sailed, Ground::Repeated, Ground::Sailed]);
    let two_days = THREE_DAYS.replace("2027-05-22", "2027-05-15");
    assert_eq!(backstay(&two_days)[1], Ground::Sailed);
    // In Copenhagen the day begins two hours before it does by UTC.
    let one_evening = THREE_DAYS.replace("2027-05-22 15:10", "2027-05-14T22:30Z");
    assert_eq!(backstay(&one_evening)[1], Ground::Sailed);
    let not_fast = THREE_DAYS.replace("1½,,,fast", "1½,,,ok");
    assert_eq!(backstay(&not_fast)[1], Ground::Sailed);
    let elsewhere = THREE_DAYS.replace("j1-upwind,10,", "j1-upwind,12,");
    assert_eq!(backstay(&elsewhere)[1], Ground::Sailed, "2 kn off");
    let undated = THREE_DAYS.replace("2027-05-22 15:10", "");
    assert_eq!(backstay(&undated)[1], Ground::Sailed);
}

#[test]
fn fast_notes_more_than_a_mark_apart_dispute_a_reading_and_both_stand_beneath_it() {
    let notes = ",j1-upwind,10,,2,,,fast,\n,j1-upwind,10,,3½,,,fast,\n,j1-upwind,10,,5,,,fast,\n";
    let card = says(&book(notes));
    let row = &card.rows.iter().find(|row| row.low == "8").expect("the band of 10 kn").cells[0];
    let row = row.as_ref().expect("a reading");
    assert_eq!(row.beneath(), ["≠ 2 or 3½ at 10"], "the first two that are apart, whatever comes after");
    assert_eq!(row.text, "1 to 2½", "as without notes");
    let a_mark_apart = notes.replace("3½", "3").replace(",5,", ",2½,");
    assert_eq!(backstay(&a_mark_apart)[1], Ground::Sailed);
}

#[test]
fn of_words_any_two_that_went_fast_are_disputed() {
    let notes = ",j1-upwind,10,,,,snug,fast,\n,j1-upwind,10,,,,eased,fast,\n";
    assert_eq!(grounds(&book(notes))[2], [Ground::Sailed, Ground::Disputed, Ground::Sailed]);
    let card = says(&book(notes));
    let cell = card.rows.iter().find(|row| row.low == "8").and_then(|row| row.cells[2].clone()).expect("a cell");
    assert_eq!(cell.beneath(), ["≠ snug or eased at 10"]);
}

#[test]
fn what_trials_keep_is_proven_until_they_change_it_or_the_book_does() {
    let keeps = ",j1-upwind,10,,2,,,,keep\n";
    assert_eq!(backstay(keeps)[1], Ground::Proven);
    assert_eq!(backstay(&keeps.replace(",2,", ",3,"))[1], Ground::Sailed, "of another reading");
    assert_eq!(backstay(&format!("{keeps},j1-upwind,10,,3,,,,change\n"))[1], Ground::Sailed);
    // Whatever notes outside trials say.
    let notes = format!("{keeps},j1-upwind,10,,2,,,fast,\n,j1-upwind,10,,5,,,fast,\n");
    assert_eq!(backstay(&notes)[1], Ground::Proven);
}

#[test]
fn notes_from_before_a_control_was_measured_are_of_another_scale() {
    let datum = "  backstay:\n    strip: {datum: {from: ram eye, distance: 310 mm, measured: 2027-05-09}}\n";
    let text = spoilt("  backstay:\n", datum);
    assert_eq!(grounds(&book_of(&text, THREE_DAYS))[0][1], Ground::Sailed);
    let earlier = text.replace("2027-05-09", "2027-05-08");
    assert_eq!(grounds(&book_of(&earlier, THREE_DAYS))[0][1], Ground::Repeated, "measured on the day of the first");
}

/// A jib that goes on with the settings of the one it replaced.
fn carried_over() -> String {
    let old = "  j1: {kind: headsail, wind: 5..16}\n";
    let new = "  j1: {kind: headsail, wind: 5..16}\n  j1b: {kind: headsail, wind: 5..16, replaces: j1, start_from: j1-upwind}\n";
    spoilt(old, new)
}

#[test]
fn what_was_carried_over_is_sailed_once_a_note_names_it_and_a_slow_one_never_makes_it_so() {
    let of_j1b = |notes: &str| {
        let book = book_of(&carried_over(), notes);
        let settings = book.settings.iter().find(|settings| settings.id.value == "j1b-upwind");
        let settings = settings
            .unwrap_or_else(|| panic!("{:?}", book.settings.iter().map(|one| &one.id.value).collect::<Vec<_>>()));
        let column = columns(&book, settings).remove(0).expect("a column");
        column.alike().expect("one side").known().map(|known| known.ground).collect::<Vec<_>>()
    };
    let note = |verdict: &str| format!("2027-06-01 12:00,j1b-upwind,10,,2,,,{verdict},\n");
    assert_eq!(of_j1b("")[1], Ground::CarriedOver);
    for (verdict, ground) in
        [("fast", Ground::Sailed), ("ok", Ground::Sailed), ("slow", Ground::CarriedOver), ("", Ground::CarriedOver)]
    {
        let grounds = of_j1b(&note(verdict));
        assert_eq!(grounds, [Ground::CarriedOver, ground, Ground::CarriedOver], "{verdict}");
    }
    assert_eq!(of_j1b(&note("fast").replace(",2,", ",3,"))[1], Ground::CarriedOver, "of another reading");
}

#[test]
fn by_angle_a_note_is_of_the_row_within_ten_degrees() {
    let text = spoilt(
        "    point_of_sail: upwind\n    controls: [backstay, lead, vang]\n    at:\n      6:  [0, 13, eased]\n      10: [2, 12, snug]\n      14: [4½, 14, hard]\n",
        "    controls: [backstay, lead, vang]\n    at:\n      10: {60: [2, 12, snug], 90: [1, 10, eased]}\n",
    );
    let notes = |angle: &str| {
        let notes = format!(",j1-upwind,10,{angle},2,,,fast,\n,j1-upwind,10,{angle},4,,,fast,\n");
        let book = book_of(&text, &notes);
        let column = angled_columns(&book, &book.settings[0]).remove(0).expect("a column");
        column.alike().expect("one side").known().map(|known| known.known.ground).collect::<Vec<_>>()
    };
    assert_eq!(notes("70"), [Ground::Disputed, Ground::Sailed]);
    assert_eq!(notes("84"), [Ground::Sailed, Ground::Disputed]);
    assert_eq!(notes("75"), [Ground::Sailed, Ground::Sailed]);
    assert_eq!(notes(""), [Ground::Sailed, Ground::Sailed], "nobody knows which of the two");
}

#[test]
fn the_signs_differ_and_the_legend_explains_those_in_use() {
    let notes =
        format!("{THREE_DAYS},j1-upwind,10,,,12,,,keep\n,j1-upwind,14,,,14,,fast,\n,j1-upwind,14,,,11,,fast,\n");
    let book = book(&notes);
    let made = cards::cards(&book, &mut Vec::new());
    let card = made.iter().find(|card| card.kind == "wind-settings").expect("a card");
    let label = cards::Label { boat: "Chervil".to_owned(), stamp: card.stamp.clone(), ..cards::Label::default() };
    let drawing = cards::draw(card, &label, &mut Vec::new()).expect("a drawing");
    let words: String = drawing.texts().map(|text| text.content.as_str()).collect::<Vec<_>>().join(" ");
    for said in [
        "◆ 2 at 10",
        "★ 12 at 10",
        "≠ 14 or 11 at 14",
        "● sailed",
        "◆ fast on three days or more",
        "★ proven in trials",
        "≠ fast at both, more than a mark apart",
    ] {
        assert!(words.contains(said), "{said}: {words}");
    }
    let signs = Ground::ALL.into_iter().filter_map(cockpit_cards::cards::parts::words::ground_sign);
    let signs: std::collections::BTreeSet<&str> = signs.collect();
    assert_eq!(signs.len(), 6, "a sign for each but between and outside");
}

/// Grounds by settings and control, and stamps by card.
fn classes_and_stamps(book: &Book) -> (Vec<Vec<Ground>>, BTreeMap<String, String>) {
    let made: Vec<Card> = cards::cards(book, &mut Vec::new());
    (grounds(book), made.into_iter().map(|card| (card.id, card.stamp)).collect())
}

/// The large figures of the card.
fn figures(book: &Book) -> Vec<String> {
    let rows = says(book).rows;
    rows.iter()
        .flat_map(|row| &row.cells)
        .map(|cell| cell.as_ref().map_or_else(String::new, |cell| cell.text.clone()))
        .collect()
}

prop_compose! {
    fn a_note()(
        day in 1..5u32,
        wind in prop_oneof![4 => Just("10"), 2 => Just("10.5"), 1 => Just("6"), 1 => Just("14"), 1 => Just("12")],
        backstay in prop_oneof![Just(""), Just("0"), Just("2"), Just("2½"), Just("1..3"), Just("4½"), Just("7"), Just("none")],
        lead in prop_oneof![Just(""), Just("12"), Just("13"), Just("14")],
        vang in prop_oneof![Just(""), Just("eased"), Just("snug"), Just("hard")],
        verdict in prop_oneof![6 => Just("fast"), 1 => Just("ok"), 1 => Just("slow"), 1 => Just("")],
        found in prop_oneof![30 => Just(""), 1 => Just("keep"), 1 => Just("change")],
    ) -> String {
        format!("2027-05-0{day} 12:00,j1-upwind,{wind},,{backstay},{lead},{vang},{verdict},{found}\n")
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_further_note_that_changes_no_class_changes_no_stamp_and_no_note_moves_a_number(
        notes in proptest::collection::vec(a_note(), 0..12),
        more in a_note(),
    ) {
        let before = book(&notes.concat());
        let after = book(&format!("{}{more}", notes.concat()));
        let ((classes, stamps), (classes_after, stamps_after)) = (classes_and_stamps(&before), classes_and_stamps(&after));
        if classes == classes_after {
            prop_assert_eq!(stamps, stamps_after, "{} {}", notes.concat(), more);
        }
        let bare = load_with(reading::SOUND, &[]).book.expect("a book");
        prop_assert_eq!(figures(&after), figures(&bare));
        if more.contains(",slow,") && more.ends_with(",\n") {
            prop_assert_eq!(classes, classes_after, "a slow note changes no class");
        }
    }
}

#[test]
fn the_notes_of_the_example_make_one_row_repeated_and_one_disputed() {
    let book = whole::load(whole::EXAMPLES[1].1).book.expect("the example");
    let grounds = grounds(&book);
    let halyard = book.settings[0].controls.iter().position(|index| book.controls[*index].id.value == "jib_halyard");
    assert_eq!(grounds[halyard.expect("a halyard")], [Ground::Sailed, Ground::Repeated, Ground::Disputed]);
}
