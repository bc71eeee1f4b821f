//! HANDBOOK and handbook against the program: their books load, and nothing the program knows is missing from them.

use crate::reading;

use std::collections::BTreeSet;

use assert_cmd::Command;
use cockpit_cards::book::report;
use cockpit_cards::printing::Options;
use cockpit_cards::{cards, door};
use reading::probe::{PROBE, has, offers, problems, quoted};
use reading::{HANDBOOK, complaints, load};

/// The blocks of the handbook that are fenced with this word line.
fn blocks(info: &str) -> Vec<&'static str> {
    let opening = format!("\n```{info}\n");
    let found = HANDBOOK.split(opening.as_str()).skip(1).map(|rest| rest.split("\n```").next().unwrap_or(rest));
    found.collect()
}

#[test]
fn every_whole_book_in_the_readme_prints_without_a_word_of_complaint() {
    let books = blocks("yaml book");
    assert_eq!(books.len(), 3);
    for book in books {
        let loaded = load(book);
        assert_eq!(complaints(&loaded), "", "{book}");
        assert_eq!(problems(book), [], "{book}");
    }
}

#[test]
fn every_scale_in_the_readme_reads_as_the_kind_it_is_named_after() {
    let [controls] = blocks("yaml controls")[..] else { panic!("one list of controls") };
    let loaded = load(&format!("book: 1\nboat: {{name: Chervil}}\ncontrols:\n{controls}\n"));
    assert_eq!(complaints(&loaded), "");
    let book = loaded.book.expect("a book");
    for control in &book.controls {
        use cockpit_cards::tuning::ScaleKind;
        let kind = match &control.scale.kind {
            _ if control.difference.is_some() => "two_sides",
            ScaleKind::Even { purchase, .. } if *purchase != 1.0 => "purchase",
            ScaleKind::Even { first: 1, .. } => "track_holes",
            ScaleKind::Even { .. } => "even",
            ScaleKind::Around { .. } => "around",
            ScaleKind::Centre { .. } => "centre",
            ScaleKind::Measured { .. } => "measured",
            ScaleKind::Tapes(_) => "tapes",
            ScaleKind::Turns { .. } => "turns",
            ScaleKind::Gauge { .. } => "gauge",
            ScaleKind::Words(_) => "words",
        };
        assert_eq!(control.id.value, kind);
    }
}

#[test]
fn the_notes_in_the_readme_are_read_with_the_book_in_the_readme() {
    let [notes] = blocks("csv notes")[..] else { panic!("one file of notes") };
    let text = format!("{}sailed: {{file: sailed.csv, time_zone: Europe/Copenhagen}}\n", reading::SOUND);
    let loaded = reading::load_with(&text, &[("sailed.csv", notes)]);
    assert_eq!(complaints(&loaded), "");
    let book = loaded.book.expect("a book");
    let sailed = book.sailed.as_ref().expect("notes");
    assert_eq!(sailed.notes.len(), 2);
    let readings: Vec<usize> = sailed.notes.iter().map(|note| note.readings.len()).collect();
    assert_eq!(readings, [3, 3]);
    let fields = cockpit_cards::book::NoteField::all().map(|field| format!("`{}`", field.heading()));
    let missing: Vec<String> = fields.filter(|field| !HANDBOOK.contains(field)).collect();
    assert_eq!(missing, [""; 0]);
}

#[test]
fn the_signs_in_the_readme_are_those_of_the_cards() {
    use cockpit_cards::cards::parts::words::ground_sign;
    for sign in cockpit_cards::tuning::Ground::ALL.into_iter().filter_map(ground_sign) {
        assert!(HANDBOOK.contains(&format!("| {sign} 4")), "{sign}");
    }
}

#[test]
fn every_section_in_the_readme_is_printed_of_a_sound_book() {
    let sections = blocks("yaml sections");
    assert_eq!(sections.len(), 2);
    for section in sections {
        let text = format!("{}{section}\n", reading::SOUND);
        let loaded = load(&text);
        assert_eq!(complaints(&loaded), "", "{section}");
        let printed = door::print(loaded, &Options::default());
        let said = report::for_people(&printed.problems, &printed.sources, false);
        assert_eq!(said, "", "{section}");
        assert!(printed.made.is_some_and(|files| files.cards.len() > 4), "{section}");
    }
}

#[test]
fn the_settings_by_angle_in_the_readme_read_in_a_sound_book() {
    let [reach] = blocks("yaml reach")[..] else { panic!("one list of settings") };
    let text = format!("{}{reach}\n", reading::SOUND);
    assert_eq!(complaints(&load(&text)), "");
    assert_eq!(problems(&text), []);
    let book = load(&text).book.expect("a book");
    let angled = book.settings("j1-reach").and_then(|settings| settings.angled.as_ref()).expect("kept by angle");
    assert_eq!((angled.rows.len(), angled.bands.len(), angled.targets.len()), (5, 3, 2));
}

#[test]
fn the_settings_in_the_readme_that_are_more_than_plain_rows_print() {
    let (sound, _) = reading::SOUND.split_once("settings:\n").expect("settings");
    let (before, lead) = sound.split_once("  lead:").expect("a lead");
    let twin = lead.replacen("scale: {", "scale: {difference: {starboard: 0}, ", 1);
    let sound = format!("{before}  lead:{twin}");
    for block in blocks("yaml settings") {
        let text = format!("{sound}settings:\n{block}\n");
        assert_eq!(complaints(&load(&text)), "", "{block}");
        assert_eq!(problems(&text), [], "{block}");
        assert!(!cards::cards(&load(&text).book.expect("a book"), &mut Vec::new()).is_empty(), "{block}");
    }
}

#[test]
fn the_points_of_sail_in_the_readme_are_those_of_the_program() {
    use cockpit_cards::tuning::{Axis, PointOfSail, PointsOfSail};
    let names = ["upwind", "close-reach", "beam-reach", "broad-reach", "downwind"];
    for (name, point) in names.into_iter().zip(PointOfSail::ALL) {
        let range = PointsOfSail::default().of(point);
        let row = format!("| `{name}` | {}° | {}° |", range.low.number(), range.high.number());
        assert!(HANDBOOK.contains(&row), "{row}");
    }
}

#[test]
fn the_dock_tune_in_the_readme_prints_in_a_sound_book() {
    let [dock] = blocks("yaml dock")[..] else { panic!("one list of settings") };
    let screws = "  caps: {when: dock, scale: {turns: {base: gauge 38 on 2027-04-02}, halves: true}}
  lowers: {when: dock, scale: {turns: {base: gauge 24 on 2027-04-02}, halves: true}}
sails:
";
    let text = reading::spoilt("sails:\n", screws).replacen("settings:\n", &format!("settings:\n{dock}\n"), 1);
    assert_eq!(complaints(&load(&text)), "");
    assert_eq!(problems(&text), []);
    let made = cards::cards(&load(&text).book.expect("a book"), &mut Vec::new());
    assert!(made.iter().any(|card| card.kind == "dock-tune" && card.id == "dock"));
}

#[test]
fn the_cards_with_a_back_in_the_readme_print() {
    let [_, cards] = blocks("yaml cards")[..] else { panic!("all cards but some, and a list of cards") };
    let sound =
        reading::spoilt("j1: {kind: headsail, wind: 5..16}", "j1: {kind: headsail, wind: 5..16, angle: 40..60}");
    let text = format!("{sound}wardrobe: {{wind: 5..16, angle: 40..60}}\n{cards}\n");
    assert_eq!(complaints(&load(&text)), "");
    assert_eq!(problems(&text), []);
    let made = cards::cards(&load(&text).book.expect("a book"), &mut Vec::new());
    let backs: Vec<_> = made.iter().map(|card| card.back.as_ref().map(|back| back.id.as_str())).collect();
    assert_eq!(backs, [Some("change-j1-upwind"), Some("wardrobe-lines")]);
}

#[test]
fn the_cards_less_some_in_the_readme_print() {
    let [cards, _] = blocks("yaml cards")[..] else { panic!("all cards but some, and a list of cards") };
    let text = format!("{}{}\n{cards}\n", reading::SOUND, blocks("yaml sections").join("\n"));
    assert_eq!(complaints(&load(&text)), "", "{text}");
    assert_eq!(problems(&text), []);
}

/// What the program offers in place of a name nobody knows, apart for fields and for words of a choice.
fn offered() -> [BTreeSet<String>; 2] {
    let of = |are_fields| {
        let offers = offers().into_iter().filter(move |offer| offer.are_fields == are_fields);
        offers.flat_map(|offer| offer.names).collect()
    };
    [of(true), of(false)]
}

#[test]
fn every_field_that_the_program_knows_is_in_the_readme() {
    let [fields, _] = offered();
    // One from each table, so that this test fails when the probe no longer reaches one.
    for field in [
        "wind_bands",
        "length",
        "mass",
        "calibrated",
        "read_when",
        "spacing",
        "never_below",
        "reader_stands",
        "distance",
        "ends",
        "every",
        "pitch",
        "thickness",
        "colour",
        "base",
        "most",
        "words",
        "reef_of",
        "point_of_sail",
        "look",
        "size",
        "control",
        "back",
        "lines",
    ] {
        assert!(fields.contains(field), "the probe does not reach `{field}`: {fields:?}");
    }
    let sections =
        problems("book: 1\nqqqqqqqqqqqq: 0\n").into_iter().find(|problem| problem.instead.contains("its fields are"));
    for section in quoted(&sections.expect("a list of sections").instead) {
        assert!(
            has(&format!("\n{section}: ")) || has(&format!("\n{section}:\n")) || PROBE.starts_with(section),
            "extend the probe by `{section}`"
        );
    }
    let missing: Vec<&String> = fields.iter().filter(|field| !HANDBOOK.contains(&format!("`{field}`"))).collect();
    assert_eq!(missing, [] as [&String; 0]);
}

#[test]
fn every_word_of_a_choice_is_in_the_readme() {
    let known: BTreeSet<&str> =
        HANDBOOK.split(|c: char| !(c.is_ascii_alphanumeric() || matches!(c, '-' | '_' | '/'))).collect();
    let [_, words] = offered();
    for word in ["dock", "starboard", "up", "near", "gennaker", "beam-reach", "linear", "strip"] {
        assert!(words.contains(word), "the probe does not reach `{word}`: {words:?}");
    }
    // Suggestions for a whole field, like `marks: 0..8`, are no words.
    let missing: Vec<&String> =
        words.iter().filter(|word| !word.contains([' ', ':']) && !known.contains(word.as_str())).collect();
    assert_eq!(missing, [] as [&String; 0]);
    for kind in cards::KINDS {
        assert!(has(&format!("kind: {}", kind.name)), "extend the probe by `{}`", kind.name);
        assert!(HANDBOOK.contains(&format!("`{}`", kind.name)), "{}", kind.name);
    }
}

fn help(arguments: &[&str]) -> String {
    let output =
        Command::cargo_bin("cockpit-cards").expect("the program").args(arguments).arg("--help").output().expect("help");
    String::from_utf8(output.stdout).expect("help in UTF-8")
}

/// The commands of a command, as its help lists them.
fn commands_of(help: &str) -> Vec<&str> {
    let list = help.split("Commands:\n").nth(1).and_then(|rest| rest.split("\n\n").next()).unwrap_or_default();
    // What a command does may go on in a line that begins further in.
    let names = list.lines().filter(|line| line.starts_with("  ") && !line.starts_with("   "));
    names.filter_map(|line| line.split_whitespace().next()).filter(|name| *name != "help").collect()
}

#[test]
fn every_command_and_every_flag_is_in_the_readme() {
    let overview = help(&[]);
    let first = commands_of(&overview);
    assert!(first.len() >= 5, "{first:?}");
    let mut waiting: Vec<Vec<String>> = first.iter().map(|name| vec![(*name).to_owned()]).collect();
    let mut seen = 0;
    while let Some(command) = waiting.pop() {
        let words: Vec<&str> = command.iter().map(String::as_str).collect();
        assert!(HANDBOOK.contains(&format!("\ncockpit-cards {}", words.join(" "))), "{words:?}");
        let help = help(&words);
        let further = commands_of(&help).into_iter().map(|name| [&command[..], &[name.to_owned()]].concat());
        waiting.extend(further);
        seen += 1;
        for flag in help.split([' ', '\n']).filter(|word| word.starts_with("--") && *word != "--help") {
            assert!(
                HANDBOOK.contains(&format!(" {flag} ")) || HANDBOOK.contains(&format!(" {flag}\n")),
                "{words:?} {flag}"
            );
        }
    }
    assert!(seen > first.len() + 5, "those of `sailed` and `printer` too");
}
