//! Faults that made-up and spoilt inputs have found, one test for each kind, so that none comes back.
use crate::common;
use crate::reading;
use crate::swap::Swap;

use cockpit_cards::editions::Editions;
use cockpit_cards::paper::readings::Readings;
use common::truth;
use reading::{SOUND, complaints, load};

#[test]
fn a_text_of_the_book_does_not_reach_the_terminal_as_it_is() {
    // The names of the columns stand in the remedy for a row that is too short.
    for odd in ["\\e[2J", "\\0", "\\u202E", "\\a"] {
        let text = SOUND
            .swap("controls: [backstay, lead, vang]", &format!("controls: [backstay, \"lead{odd}\", vang]"))
            .swap("[0, 13, eased]", "[0, 13]");
        let said = complaints(&load(&text));
        let raw = said.chars().find(|letter| (letter.is_control() && *letter != '\n') || *letter == '\u{202E}');
        assert_eq!(raw, None, "{odd}: {said:?}");
        assert!(said.contains('\u{FFFD}'), "{odd}: {said}");
    }
}

#[test]
fn a_word_beside_a_picture_stays_on_its_card() {
    // The block stands so far aft that the middle of its name lies near the edge of the view.
    let gear = "\
outboard_lead:
  tack: [0.5 m, 0 m, 1.25 m]
  clew: [5.0 m, 1.15 m, 2.3 m]
  track: {0: [5.3 m, 0.85 m, 1.15 m], 14: [7.4 m, 1.0 m, 1.15 m]}
  car: 8
  outboard_block: [8.1 m, 1.5 m, 1.05 m]
  pad_eye: [6.0 m, 1.5 m, 1.1 m]
  tweaker: {0: 900 mm, 2: 500 mm, 4: 350 mm}
";
    let loaded = load(&format!("{SOUND}{gear}cards: [{{kind: outboard-lead}}]\n"));
    assert_eq!(complaints(&loaded), "");
    assert_eq!(truth::hard_to_read(&loaded.book.expect("a book")), Vec::<String>::new());
}

#[test]
fn an_edition_that_nothing_can_follow_is_refused() {
    let file = |edition: u32| {
        format!(
            "editions: 1\ncards:\n  a:\n    kind: strip\n    title: A\n    releases:\n    - {{edition: {edition}, stamp: 3KQ7M, \
             digest: 3KQ7MACDEFGHJKMNPQRST, date: 2027-05-01, boat: Chervil}}\n    content: {{}}\ncards_in_all: 1\n"
        )
    };
    assert!(Editions::parse(&file(1)).is_ok());
    for edition in [0, u32::MAX] {
        let wrong = Editions::parse(&file(edition)).expect_err("no edition");
        assert!(wrong.what.contains(&edition.to_string()) && !wrong.instead.is_empty(), "{wrong:?}");
    }
}

#[test]
fn a_long_text_referred_to_again_and_again_is_refused_before_it_fills_the_memory() {
    let text = format!("{SOUND}a: &a {}\nb: [{}]\n", "long ".repeat(70), "*a, ".repeat(60_000));
    let loaded = load(&text);
    assert!(loaded.book.is_none());
    assert!(complaints(&loaded).contains("8 MB"), "{}", complaints(&loaded));
    // Cut to what a text may be, however long it is written.
    let book = SOUND.swap("point_of_sail: upwind", "point_of_sail: upwnd");
    let text = format!("{book}a: &a {}\nb: [{}]\n", "long ".repeat(70_000), "*a, ".repeat(1_000));
    let loaded = load(&text);
    assert!(complaints(&loaded).contains("longer than 400 characters"), "{}", complaints(&loaded));
    assert!(complaints(&loaded).contains("did you mean `upwind`?"), "the rest is read: {}", complaints(&loaded));
}

#[test]
fn what_is_told_of_one_fault_is_of_a_length_that_people_read() {
    let words: Vec<String> = (0..200).map(|number| format!("{} {number}", "snug".repeat(90))).collect();
    let long = "x".repeat(100_000);
    let texts = [
        SOUND.swap("[eased, snug, hard]", &format!("[{}]", words.join(", "))),
        format!("{SOUND}stowage: {{items: [{{what: {long}, mass: x, now: [0, 0, 0]}}]}}\n"),
        format!("{SOUND}watches: {{teams: {{{long}: 4}}}}\n"),
        format!("{SOUND}cards: [{{kind: {long}}}, {{kind: strip, size: {long}}}]\n"),
        format!("{SOUND}{long}: {long}\n").swap("boat:", "baot:"),
    ];
    for text in texts {
        let loaded = load(&text);
        assert!(!loaded.problems.is_empty());
        for problem in &loaded.problems {
            assert!(problem.what.chars().count() < 1_000 && problem.instead.chars().count() < 1_000, "{problem:?}");
        }
    }
}

#[test]
fn odd_characters_without_end_are_told_up_to_a_number() {
    // Each of these stands nowhere else in its text, and none can be printed.
    let odd: String = (0..390).filter_map(|step| char::from_u32(0x4E00 + step)).collect();
    let text = format!("{SOUND}x: [{}]\n", format!("{odd}, ").repeat(2_000));
    assert!(load(&text).problems.len() < 2_000);
    let table = format!("wind, backstay\n{}", format!("7, {odd}\n").repeat(150));
    let text = SOUND.swap("    controls: [backstay, lead, vang]\n", "    table: t.csv\n");
    let text = &text[..text.find("    at:").expect("rows")];
    assert!(reading::load_with(text, &[("t.csv", &table)]).problems.len() < 2_000);
}

#[test]
fn a_table_of_millions_of_cells_is_one_problem() {
    let text = SOUND.swap("    controls: [backstay, lead, vang]\n", "    table: t.csv\n");
    let text = &text[..text.find("    at:").expect("rows")];
    for table in [
        format!("wind{}\n7, 3\n", ",x".repeat(1_000_000)),
        format!("wind, backstay\n7{}\n", ",".repeat(1_000_000) + "3"),
    ] {
        let loaded = reading::load_with(text, &[("t.csv", &table)]);
        let about: Vec<_> = loaded.problems.iter().filter(|problem| problem.what.contains("cells")).collect();
        assert_eq!(about.len(), 1, "{:?}", loaded.problems);
        assert!(loaded.problems.len() < 4, "{:?}", loaded.problems);
    }
}

#[test]
fn a_name_too_long_to_be_a_slip_is_not_compared() {
    let long = format!("boat{}", "t".repeat(100));
    assert_eq!(cockpit_cards::book::suggest::nearest("boat", [long.as_str()]), None);
    assert_eq!(cockpit_cards::book::suggest::nearest("boat", ["boats"]), Some("boats"));
}

#[test]
fn columns_of_many_problems_in_one_line_are_those_of_each_alone() {
    let line: Vec<String> = (0..300).map(|number| format!("{}½{number}: 1", "é".repeat(number % 7))).collect();
    let loaded = load(&format!("{SOUND}units: {{{}}}\n", line.join(", ")));
    let text = &loaded.sources[0].text;
    let listed = cockpit_cards::book::report::for_machines(&loaded.problems, &loaded.sources);
    assert!(loaded.problems.len() >= 300);
    for (problem, found) in loaded.problems.iter().zip(listed.as_array().expect("a list")) {
        let at = problem.place.as_ref().expect("a place").bytes.start;
        let start = text[..at].rfind('\n').map_or(0, |newline| newline + 1);
        assert_eq!(found["column"].as_u64(), Some(text[start..at].chars().count() as u64 + 1));
    }
}

#[test]
fn a_file_of_editions_or_readings_with_characters_for_a_terminal_is_refused() {
    let editions = |id: &str, title: &str, boat: &str, word: &str| {
        format!(
            "editions: 1\ncards:\n  \"{id}\":\n    kind: strip\n    title: \"{title}\"\n    releases:\n    - {{edition: 1, stamp: 3KQ7M, \
             digest: 3KQ7MACDEFGHJKMNPQRST, date: 2027-05-01, boat: \"{boat}\"}}\n    content: {{rows: [{{cell: \"{word}\"}}]}}\n\
             cards_in_all: 1\n"
        )
    };
    assert!(Editions::parse(&editions("a", "A", "Chervil", "4½")).is_ok());
    for odd in ["\\e[2J", "\\u202E", "\\0"] {
        for file in [
            editions(odd, "A", "B", "4"),
            editions("a", odd, "B", "4"),
            editions("a", "A", odd, "4"),
            editions("a", "A", "B", odd),
        ] {
            let wrong = Editions::parse(&file).expect_err(&file);
            assert!(wrong.what.contains("shows nothing") && !wrong.what.chars().any(char::is_control), "{wrong:?}");
        }
    }
    let readings = |name: &str| {
        format!(
            "readings: 1\nprinters:\n- {{name: \"{name}\", paper: A4, across: {{nominal_mm: 180, measured_mm: 179.4}}, \
             along: {{nominal_mm: 250, measured_mm: 250.9}}, rule_step_mm: 0.5, date: 2027-04-11}}\n"
        )
    };
    assert!(Readings::from_yaml(&readings("office")).is_ok());
    for odd in ["\\e[2J", "\\0", "\\uE000"] {
        let refusal = Readings::from_yaml(&readings(odd)).expect_err(odd);
        assert!(refusal.what.contains("cannot be printed"), "{refusal:?}");
    }
}

/// Words after `a` that begin with a vowel's letter and not with its sound, and words after `an` the other way round.
const SOUNDS_OTHERWISE: [&str; 4] = ["one", "used", "unit", "hour"];

#[test]
fn no_message_has_a_before_a_vowel_or_an_before_a_consonant() {
    let said = |text: &str| {
        let problems = reading::probe::problems(text).into_iter();
        problems.flat_map(|problem| [problem.what, problem.instead]).collect::<Vec<_>>()
    };
    let probes = reading::probe::told("qqqqqqqqqqqq");
    let mut all: Vec<String> = probes.into_iter().flat_map(|problem| [problem.what, problem.instead]).collect();
    // Each kind of card without what it needs, and with a field that is empty.
    for kind in cockpit_cards::cards::KINDS {
        all.extend(said(&format!("{SOUND}cards: [{{kind: {}, settings: ~, qqqq: 0}}]\n", kind.name)));
    }
    assert!(all.iter().any(|words| words.contains("outboard-lead card")), "{all:?}");
    for words in &all {
        let words: Vec<&str> = words.split([' ', '\n']).map(|word| word.trim_matches(['`', '"', '(', ')'])).collect();
        for pair in words.windows(2) {
            let vowel = pair[1].starts_with(['a', 'e', 'i', 'o', 'u']) != SOUNDS_OTHERWISE.contains(&pair[1]);
            assert!(
                pair != ["", ""] && !(pair[0] == "a" && vowel || pair[0] == "an" && !vowel),
                "{pair:?} of {words:?}"
            );
        }
    }
}

/// Ten references in each of six lines stand for a million values; no such file is written by this program.
#[test]
fn a_file_of_editions_or_readings_that_refers_to_itself_is_refused_at_its_first_reference() {
    let mut bomb = "{head}: 1\n{list}:\n".to_owned();
    bomb.push_str("- &a0 {name: x}\n");
    for level in 1..=6 {
        bomb.push_str(&format!("- &a{level} [{}]\n", vec![format!("*a{}", level - 1); 10].join(", ")));
    }
    let of = |head: &str, list: &str| bomb.replace("{head}", head).replace("{list}", list);
    let wrong = Editions::parse(&of("editions", "cards")).expect_err("a reference");
    assert!(wrong.what.contains("refers to another place"), "{wrong:?}");
    let refusal = Readings::from_yaml(&of("readings", "printers")).expect_err("a reference");
    assert!(!refusal.what.is_empty());
    // Nor is a harmless one taken.
    let one = |name: &str, paper: &str| {
        format!(
            "- {{name: {name}, paper: {paper}, across: {{nominal_mm: 180, measured_mm: 179.4}}, \
             along: {{nominal_mm: 250, measured_mm: 250.9}}, rule_step_mm: 0.5, date: 2027-04-11}}\n"
        )
    };
    let two = |first: &str, second: &str| format!("readings: 1\nprinters:\n{}{}", one("a", first), one("b", second));
    assert!(Readings::from_yaml(&two("A4", "A4")).is_ok());
    assert!(Readings::from_yaml(&two("&paper A4", "*paper")).is_err());
}

#[test]
fn a_gauge_read_in_billions_of_steps_is_refused_before_a_change_is_looked_for_at_each() {
    let book = |scale: &str, rows: &str| {
        format!(
            "book: 1\nboat: {{name: Sedge}}\ncontrols: {{load: {{higher_is: tighter, scale: {{{scale}}}}}}}\n\
             sails: {{j1: {{kind: headsail, wind: 4..12}}}}\n\
             settings: [{{id: a, sails: [j1], point_of_sail: upwind, controls: [load], at: {rows}}}]\n"
        )
    };
    // By its number, by what starboard reads more than port, by the step it is read to, and by wind and angle.
    for (scale, rows, at) in [
        ("gauge: {unit: kg}", "{6: [3], 10: [2147483648]}", "2147483648"),
        ("gauge: {unit: psi}, difference: {starboard: 2147483648}", "{6: [{port: 2, starboard: 2}], 10: [3]}", "3"),
        ("gauge: {unit: kg, every: 0.000001}", "{6: [1], 10: [2]}", "2"),
        ("gauge: {unit: kg}", "{6: {50: [3], 70: [2147483648]}, 10: {50: [5]}}", "2147483648"),
    ] {
        let text = book(scale, rows);
        let text = if rows.contains("50:") { text.swap("point_of_sail: upwind, ", "") } else { text };
        let loaded = load(&text);
        assert!(complaints(&loaded).contains("steps of its scale in settings"), "{text}: {}", complaints(&loaded));
        let place = loaded.problems.iter().find_map(|problem| problem.place.clone()).expect("a place");
        assert_eq!(&text[place.bytes], at);
    }
}
