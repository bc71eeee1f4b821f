//! What a book may say of a hydraulic ram, and what cards and strips then warn of.

use crate::common;
use crate::swap::Swap;

use cockpit_cards::book::{Book, Level};
use cockpit_cards::cards::parts::hydraulics;
use common::whole::{draw, load};

const RAM: &str = "{acts: pull, bore: 40 mm, rod: 20 mm, max: 220 bar, rig_max: 17 kN}";

fn book_with(units: &str, scale: &str, ram: &str) -> String {
    format!(
        "book: 1\nboat: {{name: Pepperwort}}\n{units}\ncontrols:\n  backstay:\n    scale: {scale}\n    ram: {ram}\n    \
         strip: {{place: beside the ram}}\n  vang: {{scale: {{gauge: {{unit: bar, least: 0, most: 300}}}}, ram: {ram}}}\n\
         sails:\n  main: {{kind: mainsail}}\nsettings:\n  - {{id: upwind, sails: [main], point_of_sail: upwind, controls: [backstay, vang], at: {{10: [2, 100]}}}}\n"
    )
}

fn read(ram: &str) -> (Option<Book>, Vec<(String, String, bool)>) {
    let loaded = load(&book_with("", "{marks: 0..8, spacing: 20 mm}", ram));
    let told = loaded.problems.iter().map(|p| (p.what.clone(), p.instead.clone(), p.place.is_some())).collect();
    (loaded.book, told)
}

fn texts(text: &str, id: &str) -> String {
    let (drawn, problems) = draw(text);
    assert!(problems.is_empty(), "{problems:?}");
    let card = drawn.iter().find(|drawn| drawn.card.id == id).expect("the card");
    let drawing = card.drawing.as_ref().expect("it fits");
    drawing.texts().map(|text| text.content.clone()).collect::<Vec<_>>().join(" ")
}

/// By hand: π/4·(40² − 20²) = 942.478 mm²; 17 000 N over it is 18.0376 N/mm², 180.376 bar. Never rounded up.
#[test]
fn the_lowest_limit_is_printed_in_bar_and_kilonewton_and_never_rounded_up() {
    let text = book_with("", "{marks: 0..8, spacing: 20 mm}", RAM);
    for id in ["strip-backstay", "upwind"] {
        let words = texts(&text, id);
        assert!(words.contains("NEVER PAST 180 bar, 17 kN"), "{id}: {words}");
        assert!(words.to_lowercase().contains("the limit of the rig"), "{id}: {words}");
        assert!(words.contains("Keep within the makers' working limits"), "{id}: {words}");
    }
    let (book, _) = read("{acts: pull, bore: 40 mm, rod: 20 mm, max: 150 bar, rig_max: 17 kN}");
    let book = book.expect("a book");
    // 150 bar on 942.478 mm² is 14 137 N.
    let words = hydraulics::limit_words(&book.controls[0], book.units).expect("a ram").content;
    assert!(words.contains("150 bar, 14.1 kN, the limit of the ram"), "{words}");
}

/// 180.376 bar is 2616 psi (1 psi = 0.0689476 bar, NIST SP 811).
#[test]
fn a_book_of_psi_gets_psi_first() {
    let text = book_with(
        "units: {pressure: psi}",
        "{marks: 0..8, spacing: 20 mm}",
        "{acts: pull, bore: 40 mm, rod: 20 mm, rig_max: 17 kN}",
    );
    assert!(texts(&text, "upwind").contains("NEVER PAST 2610 psi, 180 bar, 17 kN"), "{}", texts(&text, "upwind"));
}

#[test]
fn anything_else_in_the_line_of_the_pull_can_be_the_lowest() {
    let (book, told) =
        read("{acts: pull, bore: 40 mm, rod: 20 mm, max: 220 bar, others: {hose: 160 bar, chainplate: 14 kN}}");
    assert!(told.is_empty(), "{told:?}");
    let book = book.expect("a book");
    let words = hydraulics::limit_words(&book.controls[0], book.units).expect("a ram").content;
    assert!(words.contains("148 bar, 14 kN, the limit of the chainplate"), "{words}");
}

/// By hand: π/4·40² = 1256.637 mm²; 17 000 N over it is 13.5282 N/mm², 135.28 bar, where the same ram pulls at 180.
#[test]
fn a_ram_that_pushes_has_its_limit_at_its_full_bore_and_says_so_on_strip_and_card() {
    let push = RAM.swap("acts: pull", "acts: push");
    let text = book_with("", "{marks: 0..8, spacing: 20 mm}", &push);
    for (id, way) in
        [("strip-backstay", "Ram pushes"), ("upwind", "Backstay ram pushes"), ("upwind", "Vang ram pushes")]
    {
        let words = texts(&text, id);
        let wanted = format!("{way}: NEVER PAST 135 bar, 17 kN");
        assert!(words.contains(&wanted), "{id}: {words}");
    }
    let pulls = texts(&book_with("", "{marks: 0..8, spacing: 20 mm}", RAM), "strip-backstay");
    assert!(pulls.contains("Ram pulls: NEVER PAST 180 bar"), "{pulls}");
}

/// Two books of jacks that push, each with what its rig bears: 10 kN on a bore of 40 mm (10 000 N / 1256.637 mm² = 79.58 bar)
/// and 60 kN on one of 60 mm (212.2 bar). Taken as pulls they would stand at 130 and 694 bar.
#[test]
fn a_vang_and_a_mast_jack_that_push_are_never_let_past_what_the_rig_bears() {
    let text = include_str!("../books/found/rams_that_push.yaml");
    let words = texts(text, "up");
    assert!(words.contains("ram pushes: NEVER PAST 79 bar, 10 kN"), "{words}");
    assert!(words.contains("Mast jack ram pushes: NEVER PAST 212 bar, 60 kN"), "{words}");
    assert!(text.contains("[20, 100]"));
    let problems = load(&text.swap("[20, 100]", "[80, 213]")).problems;
    assert_eq!(problems.iter().filter(|problem| problem.level == Level::Error).count(), 2, "{problems:?}");
}

#[test]
fn a_book_that_does_not_say_which_way_a_ram_acts_is_told_what_to_add() {
    let (book, told) = read("{bore: 40 mm, rod: 20 mm, max: 220 bar, rig_max: 17 kN}");
    let [(what, instead, true), ..] = &told[..] else { panic!("{told:?}") };
    assert!(what.contains("the ram of control \"backstay\" has no `acts`"), "{what}");
    assert!(instead.contains("`acts: pull`") && instead.contains("`acts: push`"), "{instead}");
    assert!(book.is_none_or(|book| book.controls.iter().all(|control| control.ram.is_none())));
}

/// By hand: through a lever of 2 a rig that bears 10 kN lets the ram push 5 kN: 5000 N / 1256.637 mm² = 39.79 bar; a pin of the
/// ram's own that bears 4 kN, 31.83 bar, with 8 kN at the rig.
#[test]
fn through_a_lever_both_forces_are_printed_and_a_limit_says_where_it_is() {
    let ram = |others: &str| format!("{{acts: push, lever: 2, bore: 40 mm, rod: 20 mm, rig_max: 10 kN{others}}}");
    let words = |others: &str| {
        let text = book_with("", "{marks: 0..8, spacing: 20 mm}", &ram(others)).swap("[2, 100]", "[2, 20]");
        let loaded = load(&text);
        assert!(loaded.problems.is_empty(), "{:?}", loaded.problems);
        let book = loaded.book.expect("a book");
        hydraulics::limit_words(&book.controls[0], book.units).expect("a ram").content
    };
    assert!(words("").ends_with("39 bar, 5 kN at the ram, 10 kN at the rig, the limit of the rig"), "{}", words(""));
    let pin = words(", others: {pin: 4 kN at the ram, tang: 12 kN at rig, hose: 350 bar}");
    assert!(pin.ends_with("31 bar, 4 kN at the ram, 8 kN at the rig, the limit of the pin"), "{pin}");
    let (book, told) = read(&ram(", others: {pin: 4 kN}"));
    assert!(told[0].0.contains("on which side") && told[0].1.contains("`4 kN at the ram`"), "{told:?}");
    assert!(book.is_none_or(|book| book.controls.iter().all(|control| control.ram.is_none())));
    let (_, told) = read(&ram("").swap("lever: 2", "lever: 0"));
    assert!(told[0].0.contains("lever"), "{told:?}");
}

/// By hand: 2000 psi on 1.5² · π/4 = 1.767146 in² is 3534.3 lbf; rounded down to tens.
#[test]
fn a_book_of_pounds_gets_its_limit_in_psi_and_pound_force() {
    let text = book_with(
        "units: {pressure: psi, mass: lb, length: in}",
        "{marks: 0..8, spacing: 20 mm}",
        "{acts: push, bore: 1.5 in, rod: 3/4 in, max: 2000 psi}",
    );
    let words = texts(&text, "upwind");
    assert!(words.contains("pushes: NEVER PAST 2000 psi, 137 bar, 3530 lbf"), "{words}");
}

/// By hand: 17 000 N on the ring of 942.478 mm² is 180.376 bar, 2616 psi.
#[test]
fn the_same_limit_has_one_number_wherever_it_stands() {
    let text = book_with("units: {pressure: psi}", "{gauge: {unit: psi, least: 0, most: 4000, every: 50}}", RAM);
    let text = text.swap("    strip: {place: beside the ram}\n", "").swap("[2, 100]", "[2000, 100]");
    let words = texts(&text, "upwind");
    assert_eq!(words.matches("NEVER PAST 2610 psi").count(), 3, "{words}");
    assert!(!words.contains("2616"), "{words}");
}

#[test]
fn a_gauge_is_held_to_the_limit_of_its_ram() {
    let over = book_with("", "{marks: 0..8, spacing: 20 mm}", RAM).swap("[2, 100]", "[2, 181]");
    let problems = load(&over).problems;
    assert!(problems.iter().any(|p| p.level == Level::Error && p.what.contains("181")), "{problems:?}");
    let higher = book_with("", "{marks: 0..8, spacing: 20 mm}", RAM)
        .swap("most: 300}}", "most: 300}}, limit: {never_above: 200}");
    let problems = load(&higher).problems;
    assert!(problems.iter().any(|p| p.what.contains("higher than its ram allows")), "{problems:?}");
}

#[test]
fn a_pressure_beside_a_mark_is_not_past_the_limit() {
    let beside = |bar: u32| {
        book_with("", "{marks: 0..8, spacing: 20 mm}", RAM)
            .swap("{place: beside the ram}", &format!("{{place: beside the ram, beside: {{0: 0 bar, 8: {bar} bar}}}}"))
    };
    assert!(load(&beside(180)).problems.is_empty(), "{:?}", load(&beside(180)).problems);
    let problems = load(&beside(190)).problems;
    assert!(problems.iter().any(|p| p.what.contains("190 bar")), "{problems:?}");
}

#[test]
fn every_bad_ram_gets_a_place_and_a_remedy_and_no_card() {
    for (ram, what) in [
        ("{acts: pull, bore: 40 mm, rod: 40 mm, max: 180 bar}", "as thick as the bore"),
        ("{acts: pull, bore: 40 mm, rod: 20 mm}", "how hard is too hard"),
        ("{acts: pull, bore: 0 mm, rod: 20 mm, max: 180 bar}", "bore"),
        ("{acts: pull, bore: 40 mm, rod: 20 mm, max: -5 bar}", "max"),
        ("{acts: pull, bore: 40 mm, rod: 20 mm, max: 180 bar, rig_max: 17}", "no unit"),
        ("{acts: pull, bore: nan, rod: 20 mm, max: 180 bar}", "bore"),
        ("{acts: pull, rod: 20 mm, max: 180 bar}", "bore"),
        ("{acts: pull, bore: 40 mm, rod: 20 mm, max: 180 bar, others: {hose: lots}}", "hose"),
    ] {
        let (book, told) = read(ram);
        assert!(told.iter().any(|(said, _, _)| said.contains(what)), "{ram}: {told:?}");
        for (said, remedy, placed) in &told {
            assert!(*placed && !remedy.is_empty(), "{ram}: {said}");
            assert!(!said.contains("NaN") && !remedy.contains("NaN"), "{ram}: {said}");
        }
        assert!(book.is_none_or(|book| book.controls.iter().all(|control| control.ram.is_none())), "{ram}");
    }
}

#[test]
fn the_working_names_every_limit_and_the_lowest() {
    let (book, _) = read(RAM);
    let passage = hydraulics::working(&book.expect("a book").controls[0]).expect("a ram");
    let lines: Vec<String> =
        passage.lines.iter().map(|line| format!("{} {} {}", line.finds, line.how, line.value)).collect();
    let all = lines.join("\n");
    for part in ["π/4·(bore² − rod²)", "942.48 mm²", "220.00 bar", "17.00 kN", "180.38 bar", "never above: rig"]
    {
        assert!(all.contains(part), "{part} in\n{all}");
    }
}
