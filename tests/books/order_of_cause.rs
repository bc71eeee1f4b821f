//! What is told of a book with faults comes in order of cause: errors first, no doubt about a thing that has an error, no
//! advice that the book cannot follow, nothing twice over, and the whole of a section in one run.

use std::process::Output;

use cockpit_cards::book::{Level, Problem, report};
use cockpit_cards::door;

use crate::common::whole::{self, EXAMPLES};
use crate::swap::Swap;

fn problems(text: &str) -> Vec<Problem> {
    door::check(whole::load(text)).problems
}

/// What the command prints of a book.
fn told(text: &str) -> String {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("boat.yaml"), text).expect("a book is written");
    let mut command = assert_cmd::Command::cargo_bin("cockpit-cards").expect("the program");
    let Output { stderr, .. } = command.arg("check").current_dir(folder.path()).output().expect("a run");
    String::from_utf8(stderr).expect("UTF-8")
}

const JIB: &str = "\
book: 1
boat: {name: Purslane}
controls: {backstay: {scale: {marks: 0..8, spacing: 20 mm}}}
sails:
  main: {kind: mainsail}
  jib: {kind: headsail, wind: 8..20}
settings:
  - {id: jib-up, sails: [main, jib], point_of_sail: upwind, controls: [backstay], at: {10: [2]}}
";

#[test]
fn a_misspelt_sail_is_told_and_nothing_is_said_of_the_sail_that_was_meant() {
    assert_eq!(problems(JIB), []);
    let found = problems(&JIB.swap("[main, jib]", "[main, jibb]"));
    assert_eq!(found.len(), 1, "{found:#?}");
    assert!(found[0].what.contains("`jibb`") && found[0].instead.contains("`jib`"), "{found:#?}");
}

#[test]
fn errors_come_before_warnings_wherever_they_stand() {
    let text = JIB.swap("{10: [2]}", "{10: [2], 25: [3]}") + "cards: [{kind: wind-settings, settings: gib-up}]\n";
    let told = told(&text);
    let (error, warning) = (told.find("error: "), told.find("warning: "));
    assert!(error.is_some() && warning.is_some() && error < warning, "{told}");
}

#[test]
fn there_is_no_warning_about_a_thing_that_has_an_error() {
    let place =
        |at: std::ops::Range<usize>| cockpit_cards::book::Place { source: cockpit_cards::book::SourceId(0), bytes: at };
    // The same place, a place around it, and one beside it.
    let mut loaded = whole::load(JIB);
    loaded.problems.extend([
        Problem::error(place(100..110), "an error", ""),
        Problem::warning(place(100..104), "on it", ""),
        Problem::warning(place(90..140), "around it", ""),
        Problem::warning(place(110..120), "beside it", ""),
        Problem::warning(None, "of no place", ""),
    ]);
    let left: Vec<String> = door::check(loaded).problems.into_iter().map(|problem| problem.what).collect();
    assert_eq!(left, ["an error", "beside it", "of no place"]);
}

#[test]
fn advice_names_only_what_the_book_has() {
    let advice = |text: &str| -> String { problems(text).into_iter().map(|problem| problem.instead + "\n").collect() };
    let two = JIB.swap("  jib: {", "  storm: {kind: headsail}\n  jib: {");
    assert!(advice(&two).contains("start_from: jib-up"), "{}", advice(&two));
    // Nothing to start from: no settings of any headsail.
    let none = two.swap("sails: [main, jib]", "sails: [main]");
    assert!(!advice(&none).contains("start_from"), "{}", advice(&none));
    let offsets = JIB.swap("wind: 8..20", "wind: 8..20, offsets: {backstay: 1}");
    assert!(advice(&offsets).contains("start_from: jib-up"), "{}", advice(&offsets));
    let no_sails = JIB.swap("sails: [main, jib], ", "");
    assert!(advice(&no_sails).contains("`sails: [main, jib]`"), "{}", advice(&no_sails));
    let no_controls = JIB.swap("controls: [backstay], ", "");
    assert!(advice(&no_controls).contains("`controls: [backstay]`"), "{}", advice(&no_controls));
    let card = format!("{JIB}cards: [{{kind: wind-settings}}]\n");
    assert!(advice(&card).contains("`settings: jib-up`"), "{}", advice(&card));
}

#[test]
fn a_dash_by_itself_is_answered_with_what_may_stand_there() {
    for row in ["[2, -, 3]", "[-, 2]", "[2, -]", "[-]", "[2,-,3]", "[2, - , 3]"] {
        let text = JIB.swap("{10: [2]}", &format!("{{10: {row}}}"));
        let found = problems(&text);
        assert_eq!(found.len(), 1, "{row}: {found:#?}");
        let place = found[0].place.clone().expect("a place").bytes;
        assert_eq!(&text[place], "-", "{row}");
        assert!(found[0].instead.contains("`~` for not recorded, `none` for not used"), "{row}: {found:#?}");
    }
    // Real faults of brackets are still told as such.
    let found = problems(&JIB.swap("{10: [2]}", "{10: [2, ,3]}"));
    assert!(found[0].what.contains("comma"), "{found:#?}");
    assert_eq!(problems(&JIB.swap("{10: [2]}", "{10: [2], 12: [2-1/2]}")), []);
}

#[test]
fn warnings_alike_are_told_once_with_where_the_others_are() {
    let sails = ["j2", "j3", "j4", "j5", "j6", "j7", "j8"].map(|id| format!("  {id}: {{kind: headsail}}\n")).concat();
    let text = JIB.swap("  jib: {", &format!("{sails}  jib: {{"));
    assert_eq!(problems(&text).len(), 7);
    let told = told(&text);
    assert_eq!(told.matches("has no settings").count(), 1, "{told}");
    assert!(told.contains("and 6 more like it: lines 7 (`j3`), 8 (`j4`)"), "{told}");
    // Two are not worth folding, other words are another warning, and errors are never folded.
    let two = JIB.swap("  jib: {", "  j2: {kind: headsail}\n  j3: {kind: headsail}\n  jib: {");
    assert_eq!(self::told(&two).matches("has no settings").count(), 2);
    let errors = JIB.swap("{10: [2]}", "{10: [9], 11: [9], 12: [9], 13: [9]}");
    assert_eq!(self::told(&errors).matches("is off the scale").count(), 4, "{}", self::told(&errors));
    // A machine gets them all.
    let passed = door::check(whole::load(&text));
    let listed = report::for_machines(&passed.problems, &passed.sources);
    assert_eq!(listed.as_array().map(Vec::len), Some(7));
}

/// Faults of one section with words of what is told of each: all of them stand in one run.
type Faults<'a> = &'a [(&'a str, &'a str, &'a str)];

fn are_told_in_one_run(faults: Faults<'_>) {
    let text = faults.iter().fold(EXAMPLES[1].1.to_owned(), |text, (piece, spoilt, _)| {
        assert_eq!(text.matches(piece).count(), 1, "the example has `{piece}` not just once");
        text.replace(piece, spoilt)
    });
    let told: Vec<Problem> = problems(&text);
    for (piece, _, words) in faults {
        assert!(told.iter().any(|problem| problem.what.contains(words)), "{piece}: {words}: {told:#?}");
    }
    let errors: Vec<&Problem> = told.iter().filter(|problem| problem.level == Level::Error).collect();
    assert_eq!(errors.len(), faults.len(), "some comes of another: {errors:#?}");
}

#[test]
fn every_fault_of_the_stowage_is_told_in_one_run() {
    are_told_in_one_run(&[
        ("  displacement: 6400 kg\n  centre_of_g", "  displacement: 6400 mm\n  centre_of_g", "6400 mm"),
        ("  gyradius: 2.9 m ", "  giradius: 2.9 m ", "giradius"),
        ("{what: anchor, mass: 16 kg,", "{what: anchor, mass: 16 lbf,", "16 lbf"),
        ("now: [0.8 m, 0 m, 1.0 m], plan: move,", "now: [0.8 m, 0 kn, 1.0 m], plan: move,", "0 kn"),
        ("to: [5.9 m, 0 m, -0.1 m], stow: Under the sole}", "stow: Under the sole}", "but not where to"),
        ("now: [2 m, 0.4 m, 0.6 m], plan: move,", "now: [200 m, 0.4 m, 0.6 m], plan: move,", "the place of the J3"),
        ("{middle: {left: 0.6},", "{middel: {left: 0.6},", "middel"),
    ]);
    // What is found by the place and the plan of a thing is found beside an error of another thing.
    let text = EXAMPLES[1].1;
    let text = text
        .swap("{what: anchor, mass: 16 kg,", "{what: anchor, mass: heavy,")
        .swap("0.9 m], plan: ashore}", "0.9 m], plan: ashore, required: true}")
        .swap("now: [1.2 m, 0 m, 0.6 m]", "now: [1.2 m, 3 m, 0.6 m]");
    let told: Vec<String> = problems(&text).into_iter().map(|problem| problem.what).collect();
    assert!(told.len() == 3 && told.iter().any(|told| told.contains("awning: the rules")), "{told:#?}");
    assert!(told.iter().any(|told| told.contains("chain: it lies outside the boat")), "{told:#?}");
}

#[test]
fn every_fault_of_the_lacing_is_told_in_one_run() {
    are_told_in_one_run(&[
        ("  pattern: vee ", "  pattern: wee ", "wee"),
        ("  spacing: 350 mm\n  line", "  spacing: 350 kg\n  line", "350 kg"),
        ("  wire: 5 mm\n", "  wire: 5 bar\n", "5 bar"),
        ("  foot: {eyes: 6 mm} ", "  foot: {eyes: 6 kn} ", "6 kn"),
        ("  spares: 1\n", "  spares: one\n", "one"),
        ("posts: [0 m, 1.5 m, 3.2 m]", "posts: [0 m, 3.5 m, 3.2 m]", "post 3 at"),
        ("wires: [300 mm, 620 mm]", "wires: [620 mm, 300 mm]", "the heights do not rise"),
    ]);
    let no_rail = EXAMPLES[1].1.swap("  both: {posts: [0 m, 1.5 m, 3.2 m], wires: [300 mm, 620 mm]}\n", "");
    let told = problems(&no_rail.swap("  pattern: vee ", "  pattern: wee "));
    assert!(told.len() == 2 && told.iter().any(|problem| problem.what.contains("no rail")), "{told:#?}");
}

#[test]
fn every_fault_of_the_outboard_lead_is_told_in_one_run() {
    are_told_in_one_run(&[
        ("  tack: [0.5 m, 0 m, 1.25 m]", "  tack: [0.5 m, 0 bar, 1.25 m]", "0 bar"),
        ("  car: 8\n", "  car: eight\n", "eight"),
        ("{0: 900 mm, 2: 500 mm,", "{0: 900 kn, 2: 500 mm,", "900 kn"),
        ("  sheet_load: 3 kN", "  sheet_load: 3 kg", "3 kg"),
        ("{sheet: 9 kN,", "{sheet: 9 kW,", "kW"),
    ]);
    let text = EXAMPLES[1]
        .1
        .swap("track: {0: [5.3 m, 0.85 m, 1.15 m], 14: [7.4 m,", "track: {x: [5.3 m, 0.85 bar, 1.15 m], 14: [7.4 kn,");
    let text = text.swap("[1.5 m, 0.7 m], [4 m, 1.4 m],", "[1.5 m], [4 m, 1.4 kg],");
    let told = problems(&text);
    for words in ["`x`", "0.85 bar", "7.4 kn", "1.4 kg", "a point of the hull line"] {
        assert!(told.iter().any(|problem| problem.what.contains(words)), "{words}: {told:#?}");
    }
}

#[test]
fn every_fault_of_the_watches_is_told_in_one_run() {
    are_told_in_one_run(&[
        ("  finish: 2027-06-13 22:00 ", "  finish: 2027-06-11 22:00 ", "finish"),
        ("  least_on_deck: 3\n", "  least_on_deck: some\n", "some"),
        ("    Red: [Ada, Bo, Cleo, Dan]\n", "    Red: []\n", "team \"Red\""),
        ("lengths: [4 h, 4 h, 4 h, 4 h, 2 h, 2 h, 4 h]", "lengths: [4 h, 4 kg]", "4 kg"),
        ("  from: 00:00 ", "  from: midnight ", "midnight"),
    ]);
}

#[test]
fn every_fault_of_some_settings_is_told_in_one_run() {
    are_told_in_one_run(&[
        ("      14: [4,   4,  3½, W1, 30,", "      14 kg: [4,   4,  3½, W1, 30,", "14 kg"),
        ("      18: {speed: 7.1 kn, heel: 23 deg}", "      18: {speed: 7.1 bar, heel: 23 deg}", "7.1 bar"),
        ("      25: {speed: 7.2 kn,", "      25: {spead: 7.2 kn,", "spead"),
        // Neither the row that is missing nor the columns that are draw a word of their own.
        (
            "    between: {traveller: step}\n\n  - id: j2-upwind\n",
            "    between: {traveller: stop}\n\n  - id: j2-upwind\n    on_rail: {14: 3}\n",
            "stop",
        ),
    ]);
}
