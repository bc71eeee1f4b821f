//! What a book may say of a hydraulic ram, and what cards and strips then warn of.

use crate::common;

use cockpit_cards::book::{Book, Level};
use cockpit_cards::cards::parts::hydraulics;
use common::whole::{draw, load};

const RAM: &str = "{bore: 40 mm, rod: 20 mm, max: 220 bar, rig_max: 17 kN}";

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
        assert!(words.contains("never above 180 bar, 17 kN, the limit of the rig"), "{id}: {words}");
        assert!(words.contains("Keep within the makers' working limits"), "{id}: {words}");
    }
    let (book, _) = read("{bore: 40 mm, rod: 20 mm, max: 150 bar, rig_max: 17 kN}");
    let book = book.expect("a book");
    // 150 bar on 942.478 mm² is 14 137 N.
    let words = hydraulics::limit_words(&book.controls[0], book.units).expect("a ram");
    assert!(words.contains("150 bar, 14.1 kN, the limit of the ram"), "{words}");
}

/// 180.376 bar is 2616 psi (1 psi = 0.0689476 bar, NIST SP 811).
#[test]
fn a_book_of_psi_gets_psi_first() {
    let text = book_with(
        "units: {pressure: psi}",
        "{marks: 0..8, spacing: 20 mm}",
        "{bore: 40 mm, rod: 20 mm, rig_max: 17 kN}",
    );
    assert!(texts(&text, "upwind").contains("never above 2610 psi, 180 bar, 17 kN"), "{}", texts(&text, "upwind"));
}

#[test]
fn anything_else_in_the_line_of_the_pull_can_be_the_lowest() {
    let (book, told) = read("{bore: 40 mm, rod: 20 mm, max: 220 bar, others: {hose: 160 bar, chainplate: 14 kN}}");
    assert!(told.is_empty(), "{told:?}");
    let book = book.expect("a book");
    let words = hydraulics::limit_words(&book.controls[0], book.units).expect("a ram");
    assert!(words.contains("148 bar, 14 kN, the limit of the chainplate"), "{words}");
}

#[test]
fn a_gauge_is_held_to_the_limit_of_its_ram() {
    let over = book_with("", "{marks: 0..8, spacing: 20 mm}", RAM).replace("[2, 100]", "[2, 181]");
    let problems = load(&over).problems;
    assert!(problems.iter().any(|p| p.level == Level::Error && p.what.contains("181")), "{problems:?}");
    let higher = book_with("", "{marks: 0..8, spacing: 20 mm}", RAM)
        .replace("most: 300}}", "most: 300}}, limit: {never_above: 200}");
    let problems = load(&higher).problems;
    assert!(problems.iter().any(|p| p.what.contains("higher than its ram allows")), "{problems:?}");
}

#[test]
fn a_pressure_beside_a_mark_is_not_past_the_limit() {
    let beside = |bar: u32| {
        book_with("", "{marks: 0..8, spacing: 20 mm}", RAM).replace(
            "{place: beside the ram}",
            &format!("{{place: beside the ram, beside: {{0: 0 bar, 8: {bar} bar}}}}"),
        )
    };
    assert!(load(&beside(180)).problems.is_empty(), "{:?}", load(&beside(180)).problems);
    let problems = load(&beside(190)).problems;
    assert!(problems.iter().any(|p| p.what.contains("190 bar")), "{problems:?}");
}

#[test]
fn every_bad_ram_gets_a_place_and_a_remedy_and_no_card() {
    for (ram, what) in [
        ("{bore: 40 mm, rod: 40 mm, max: 180 bar}", "as thick as the bore"),
        ("{bore: 40 mm, rod: 20 mm}", "how hard is too hard"),
        ("{bore: 0 mm, rod: 20 mm, max: 180 bar}", "bore"),
        ("{bore: 40 mm, rod: 20 mm, max: -5 bar}", "max"),
        ("{bore: 40 mm, rod: 20 mm, max: 180 bar, rig_max: 17}", "no unit"),
        ("{bore: nan, rod: 20 mm, max: 180 bar}", "bore"),
        ("{rod: 20 mm, max: 180 bar}", "bore"),
        ("{bore: 40 mm, rod: 20 mm, max: 180 bar, others: {hose: lots}}", "hose"),
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
