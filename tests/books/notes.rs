//! The notes of what was sailed: what a spreadsheet makes of them is read, and whatever cannot be is told with its place.

use crate::reading;

use cockpit_cards::book::{Level, Loaded, report};
use cockpit_cards::season::{Found, Note, Noted, Reading, Verdict};
use cockpit_cards::tuning::{Angle, BoatSpeed, Wind};
use proptest::prelude::*;
use reading::{complaints, load_with, spoilt, unmarked};

const SECTION: &str = "sailed: {file: sailed.csv, time_zone: Europe/Copenhagen}\n";

/// The sound book with a lead on both sides and these notes.
fn book() -> String {
    let lead = "  lead:\n    higher_is: aft\n    scale: {marks: 0..20, spacing: 25 mm}\n";
    let both = format!("{lead}    name: Jib lead\n    strip: {{place: track, sides: both}}\n");
    format!("{}{SECTION}", spoilt(lead, &both))
}

fn load(notes: &str) -> Loaded {
    load_with(&book(), &[("sailed.csv", notes)])
}

fn notes(text: &str) -> Vec<Note> {
    let loaded = load(text);
    assert_eq!(complaints(&loaded), "", "{text}");
    loaded.book.expect("a book").sailed.clone().expect("notes").notes
}

/// What is wrong with notes in which `«` and `»` stand around each fault: level and words, at just those places.
fn told(marked: &str) -> Vec<(Level, String, String)> {
    let (text, faults) = unmarked(marked);
    let loaded = load(&text);
    let places: Vec<_> = loaded.problems.iter().map(|problem| problem.place.as_ref().unwrap().bytes.clone()).collect();
    assert_eq!(places, faults, "{}", complaints(&loaded));
    assert!(loaded.problems.iter().all(|problem| problem.place.as_ref().unwrap().source.0 == 1));
    loaded.problems.into_iter().map(|problem| (problem.level, problem.what, problem.instead)).collect()
}

fn at(reading: f64) -> Reading {
    Reading { least: reading, greatest: reading }
}

const FULL: &str = "\
when,until,settings,wind,angle,sea,below,helm,trial,backstay,lead port,lead starboard,vang,speed,verdict,who,note,found
2027-06-12 14:02,14:12,j1-upwind,12,42,chop,2,Ada,tr1,4½,13,13..14,snug,6.4,fast,Bo,\"quick, and dry\",
";

#[test]
fn every_column_of_the_hand_over_card_is_read() {
    let [note] = &notes(FULL)[..] else { panic!("one note") };
    let played = Reading { least: 13.0, greatest: 14.0 };
    let expected = Note {
        line: 2,
        // Copenhagen keeps summer time in June: two hours before UTC.
        when: Some("2027-06-12T12:02:00Z".parse().unwrap()),
        until: Some("2027-06-12T12:12:00Z".parse().unwrap()),
        settings: "j1-upwind".to_owned(),
        wind: Some(Wind::knots(12.0)),
        angle: Some(Angle::degrees(42.0)),
        sea: Some("chop".to_owned()),
        below: Some(2),
        helm: Some("Ada".to_owned()),
        trial: Some("tr1".to_owned()),
        readings: vec![
            ("backstay".to_owned(), Noted::One(at(4.5))),
            ("lead".to_owned(), Noted::Sides { port: Some(at(13.0)), starboard: Some(played) }),
            ("vang".to_owned(), Noted::One(at(1.0))),
        ],
        speed: Some(BoatSpeed::knots(6.4)),
        verdict: Some(Verdict::Fast),
        who: Some("Bo".to_owned()),
        remark: Some("quick, and dry".to_owned()),
        found: None,
    };
    assert_eq!(*note, expected);
}

#[test]
fn the_columns_of_a_new_file_are_those_of_the_card_in_its_order() {
    let book = load(FULL).book.expect("a book");
    let headings = book.note_columns().into_iter().map(|column| column.heading(&book.controls));
    assert_eq!(headings.collect::<Vec<_>>().join(","), FULL.lines().next().unwrap());
}

#[test]
fn what_is_blank_was_not_noted_and_lines_may_end_early() {
    let [blank, short] = &notes("settings,wind,backstay,lead,verdict\nj1-upwind,,~,,\nj1-upwind,9 kn\n")[..] else {
        panic!("two notes")
    };
    assert_eq!((blank.wind, blank.verdict, blank.readings.len()), (None, None, 0));
    assert_eq!((short.wind, short.line), (Some(Wind::knots(9.0)), 3));
}

#[test]
fn a_control_goes_by_its_id_or_its_printed_name_whatever_the_capitals() {
    for heading in ["lead", "Jib lead", "JIB LEAD", "jib_lead", "control lead"] {
        let [note] = &notes(&format!("settings,{heading}\nj1-upwind,14\n"))[..] else { panic!("one note") };
        assert_eq!(note.readings, [("lead".to_owned(), Noted::One(at(14.0)))], "{heading}");
    }
    let [note] = &notes("settings,Jib lead starboard\nj1-upwind,14\n")[..] else { panic!("one note") };
    let starboard = Noted::Sides { port: None, starboard: Some(at(14.0)) };
    assert_eq!(note.readings, [("lead".to_owned(), starboard)]);
    let [note] = &notes("settings,backstay\nj1-upwind,none\n")[..] else { panic!("one note") };
    assert_eq!(note.readings, [("backstay".to_owned(), Noted::NotUsed)]);
}

#[test]
fn sails_stand_for_the_only_settings_that_have_them() {
    for sails in ["j1 + main", "Main+J1", "main+j1"] {
        let [note] = &notes(&format!("sails,wind\n{sails},9\n"))[..] else { panic!("one note") };
        assert_eq!(note.settings, "j1-upwind", "{sails}");
    }
    let (level, what, _) = told("sails,wind\n«main»,9\n").remove(0);
    assert_eq!((level, what.as_str()), (Level::Error, "there are no settings `main`"));
}

/// What spreadsheets make of one and the same file.
#[test]
fn a_spreadsheets_idea_of_a_csv_is_read() {
    let plain = "when,settings,wind,backstay,speed,verdict,note\n2027-06-12 14:02,j1-upwind,11.5,4½,6.4,fast,a b\n";
    let expected = notes(plain);
    let semicolons = plain.replace(',', ";").replace("11.5", "11,5").replace("6.4", "6,4").replace("4½", "4,5");
    let quoted = "\"when\";\"settings\";\"wind\";\"backstay\";\"speed\";\"verdict\";\"note\"\n\"2027-06-12 14:02\";\"j1-upwind\";\"11,5\";\"4½\";\"6,4\";\"FAST\";\"a b\"\n";
    let day_first = semicolons.replace("2027-06-12 14:02", "12.06.2027 14:02");
    for (name, text) in [
        ("semicolons and decimal commas", semicolons.clone()),
        ("a mark at its beginning", format!("\u{FEFF}{semicolons}")),
        ("carriage returns", semicolons.replace('\n', "\r\n")),
        ("quotes", quoted.to_owned()),
        ("tabs", plain.replace(',', "\t")),
        ("empty columns", semicolons.replace('\n', ";;;\n")),
        ("empty lines", format!("{semicolons};;;;;;\n\n")),
        ("the day first", day_first),
        ("spaces", semicolons.replace(';', " ; ")),
        ("no last line break", semicolons.trim_end().to_owned()),
    ] {
        assert_eq!(notes(&text), expected, "{name}: {text}");
    }
    for (name, text) in [
        ("sep", format!("sep=;\r\n{}", semicolons.replace('\n', "\r\n"))),
        ("sep after a mark", format!("\u{FEFF}sep=;\n{semicolons}")),
        ("sep in quotes", format!("\"sep=;\"\n{semicolons}")),
        ("a comma that is told", format!("sep=,\n{plain}")),
    ] {
        let found = notes(&text);
        assert_eq!(found[0].line, 3, "{name}: the line that an editor shows");
        assert_eq!(Note { line: 2, ..found[0].clone() }, expected[0], "{name}: {text}");
    }
}

#[test]
fn lines_are_counted_as_an_editor_counts_them() {
    let text = "# of this summer\nsettings,note\n\n# the first night\nj1-upwind,\"two\nlines\"\nj1-upwind,last\n";
    let lines: Vec<usize> = notes(text).iter().map(|note| note.line).collect();
    assert_eq!(lines, [5, 7]);
}

#[test]
fn a_time_of_day_ends_the_note_on_the_day_it_began_or_past_midnight() {
    let end = |when: &str, until: &str| {
        let text = format!("when,until,settings\n{when},{until},j1-upwind\n");
        notes(&text)[0].until.unwrap().to_string()
    };
    assert_eq!(end("2027-06-12 23:50", "23:59"), "2027-06-12T21:59:00Z");
    assert_eq!(end("2027-06-12 23:50", "00:10"), "2027-06-12T22:10:00Z");
    assert_eq!(end("2027-06-12 23:50", "2027-06-13 01:00"), "2027-06-12T23:00:00Z");
    // The clock goes back over this hour: its distance from UTC tells which of the two is meant.
    assert_eq!(end("2027-10-31 01:50", "2027-10-31T02:30+01:00"), "2027-10-31T01:30:00Z");
}

#[test]
fn every_cell_that_cannot_be_read_is_told_at_its_place_in_one_run() {
    let errors = told(
        "when,until,settings,wind,angle,below,backstay,lead,vang,speed,verdict,found\n\
         «12/06/2027 14:02»,,j1-upwind,«12 bar»,«200»,«many»,«9»,«13.x»,«tight»,«99»,«quick»,«kept»\n\
         2027-06-12 14:02,«13:60»,«j9-upwind»,,,,«4..9»,«-»,,,,\n\
         2027-06-12 14:02,«2027-06-12 14:00»,j1-upwind,,,,,,,,,\n\
         «2027-10-31 02:30»,,j1-upwind,,,,,,,,,\n\
         «2027-06-12»,,j1-upwind,9,,,,,,,,\n",
    );
    assert!(errors.iter().all(|(level, _, instead)| *level == Level::Error && !instead.is_empty()), "{errors:#?}");
    let says = |index: usize, words: &str| {
        let (_, what, instead) = &errors[index];
        assert!(format!("{what}; {instead}").contains(words), "{index}: {what}; {instead}");
    };
    says(0, "like `2027-06-12 14:02`");
    says(4, "`9` is off the scale; it runs from 0 to 8");
    says(6, "the words are `eased`, `snug`, `hard`");
    says(8, "write `fast`, `ok` or `slow`");
    says(9, "write `keep` or `change`");
    says(11, "did you mean `j1-upwind`?");
    says(12, "`9` is off the scale");
    says(13, "leave it empty for not noted, write `none` for not used");
    says(14, "ends before it begins");
    says(15, "the clock is changed over");
    says(16, "is not a day and a time");
}

#[test]
fn a_note_without_settings_is_told_with_its_line() {
    let (_, what, instead) = told("wind,settings\n«9»,\n").remove(0);
    assert_eq!(what, "this note does not say which settings it is for");
    assert!(instead.contains("j1-upwind"), "{instead}");
}

#[test]
fn a_column_that_nobody_knows_is_told_and_the_rest_is_read() {
    let text = "settings,«bakstay»,«moon»,wind\nj1-upwind,4,full,9\n";
    let problems = told(text);
    assert!(problems.iter().all(|(level, ..)| *level == Level::Warning));
    assert_eq!(problems[0].2, "did you mean `backstay`?");
    let book = load(&unmarked(text).0).book.expect("a warning stops nothing");
    assert_eq!(book.sailed.as_ref().unwrap().notes[0].wind, Some(Wind::knots(9.0)));
}

#[test]
fn a_heading_of_composed_letters_is_pointed_at_whole() {
    // A letter and the two points over it, which are one letter once they are composed (Unicode, forms NFD and NFC).
    assert_eq!(told("settings,«a\u{308}»,wind\nj1-upwind,4,9\n").len(), 1);
    assert_eq!(told("settings,\"«la\u{308}d port» \",wind\nj1-upwind,4,9\n").len(), 1);
}

#[test]
fn two_columns_for_one_thing_are_told() {
    assert_eq!(told("settings,backstay,«Backstay»\n").len(), 1);
    assert_eq!(told("settings,lead,«lead port»\n").len(), 1);
    assert_eq!(told("settings,wind,«sails»\n").len(), 1);
}

#[test]
fn a_decimal_comma_in_a_file_with_commas_says_how_to_write_it() {
    let (_, _, instead) = told("settings,backstay\nj1-upwind,\"«4,5»\"\n").remove(0);
    assert!(instead.contains("`4.5`"), "{instead}");
}

#[test]
fn a_notes_file_that_is_not_there_yet_stops_no_card() {
    let loaded = load_with(&book(), &[]);
    assert!(loaded.is_sound());
    let [problem] = &loaded.problems[..] else { panic!("{}", complaints(&loaded)) };
    assert_eq!(problem.level, Level::Warning);
    assert!(problem.instead.contains("sailed add"), "{}", problem.instead);
    assert!(!load("").is_sound(), "an empty file was something else once");
}

#[test]
fn notes_need_a_clock_which_the_watches_can_lend() {
    let bare = book().replace(", time_zone: Europe/Copenhagen", "");
    let loaded = load_with(&bare, &[("sailed.csv", FULL)]);
    assert!(complaints(&loaded).contains("nothing says which clock"), "{}", complaints(&loaded));
    let watches = "watches: {start: 2027-06-12 18:40, finish: 2027-06-13 22:00, time_zone: Europe/Lisbon, \
                   least_on_deck: 1, lengths: [4 h], teams: {red: [Ada], blue: [Bo]}}\n";
    let loaded = load_with(&format!("{bare}{watches}"), &[("sailed.csv", FULL)]);
    let sailed = loaded.book.expect("a book").sailed.clone().unwrap();
    assert_eq!(sailed.time_zone, "Europe/Lisbon");
    assert_eq!(sailed.notes[0].when.unwrap().to_string(), "2027-06-12T13:02:00Z");
    let wrong = book().replace("Copenhagen", "Copenhagn");
    let said = complaints(&load_with(&wrong, &[("sailed.csv", FULL)]));
    assert!(said.contains("Europe/Copenhagen"), "{said}");
}

#[test]
fn what_a_comparison_found_is_read() {
    let text = "settings,wind,backstay,trial,found\nj1-upwind,10,2,,keep\nj1-upwind,10,3,,change\n";
    let found: Vec<_> = notes(text).iter().map(|note| note.found).collect();
    assert_eq!(found, [Some(Found::Keep), Some(Found::Change)]);
}

#[test]
fn more_notes_than_twenty_seasons_make_are_refused_before_they_fill_the_memory() {
    use cockpit_cards::limits::MAX_NOTES;
    let lines = |count: usize| format!("settings\n{}", "j1-upwind\n".repeat(count));
    assert_eq!(notes(&lines(MAX_NOTES)).len(), MAX_NOTES);
    let said = complaints(&load(&lines(MAX_NOTES + 1)));
    assert!(said.contains("more than 10000 notes"), "{said}");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_notes_make_the_reader_panic(
        cells in proptest::collection::vec("[ -~½\u{FEFF}\r\n\t;,\"#]{0,9}|none|4\\.\\.5|fast|14:02|2027-06-12 14:02|j1-upwind", 0..40),
        delimiter in prop_oneof![Just(";"), Just(","), Just("\t")],
        header in prop_oneof![Just(""), Just("settings,wind,backstay\n"), Just("sep=;\nwhen;until;settings;lead port;found\n")],
    ) {
        let text = format!("{header}{}", cells.join(delimiter));
        let loaded = load(&text);
        // Every place can be shown.
        let _ = report::for_people(&loaded.problems, &loaded.sources, false);
    }
}
