//! The card of the bow lacing: in true proportion, with what to cut and in which order, and no guardrail.

use crate::common;
use crate::swap::Swap;

use cockpit_cards::book::Level;
use cockpit_cards::drawing::Drawing;
use common::gear::{self, assert_refused, book};
use common::picture::{self, joined, lines};
use common::whole::{draw, load};

const LACING: &str = "lacing:
  pattern: vee
  spacing: 350 mm
  foot: {line: 5 mm, bases: 25 mm}
  spares: 1
  both: {posts: [0 m, 1.5 m, 2.1 m, 3.8 m], wires: [300 mm, 710 mm], gates: [2]}
";

fn drawing(lacing: &str) -> Drawing {
    gear::drawing(&book(lacing), "lacing")
}

#[test]
fn an_opening_that_is_too_wide_is_reported_beside_the_rule() {
    let words = joined(&drawing(LACING));
    // World Sailing Offshore Special Regulations 3.14: at most 380 mm, or 560 mm with a primary launch before 1993; an
    // open pulpit at most 360 mm off the boat. From public copies, not compared with the edition in force.
    let told = [
        "opening below wire 2 410 mm, 3.14 says at most 380 mm; launched before 1993, 560 mm",
        "hull 11.5 m, launch year not given",
        "public copies",
        "edition in force",
        "open pulpit (at most 360 mm)",
    ];
    for part in told {
        assert!(words.contains(part), "{part}: {words}");
    }
    for part in [
        "no guardrail",
        "clips on",
        "chafe",
        "gate",
        "foot line",
        "Cut for the boat",
        "1 spare",
        "hitch it to the foot line",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
}

/// The words of the card in a book of this boat.
fn words_of_boat(boat: &str) -> String {
    let text = book(LACING).swap("length: 11.5 m", boat);
    assert!(text.contains(boat), "{text}");
    joined(&gear::drawing(&text, "lacing"))
}

#[test]
fn the_card_says_for_which_boat_it_compares() {
    let old = words_of_boat("length: 11.5 m, hull: 10.9 m, launched: 1988");
    assert!(old.contains("hull 10.9 m, launched 1988: heights, supports and openings (at most 560 mm) agree"), "{old}");
    let newer = words_of_boat("length: 11.5 m, launched: 1993");
    assert!(newer.contains("launched 1993: opening below wire 2 410 mm, 3.14 says at most 380 mm."), "{newer}");
    let unknown = gear::drawing(&book(LACING).swap(", length: 11.5 m", ""), "lacing");
    assert!(joined(&unknown).contains("a hull of 8.5 m or more"), "{}", joined(&unknown));
}

/// World Sailing Offshore Special Regulations 3.14.1 b, from public copies: a hull under 8.5 m may have a single line at 450
/// to 560 mm.
#[test]
fn the_rail_of_a_small_boat_is_compared_with_what_a_small_boat_may_have() {
    const BOOK: &str = include_str!("../books/found/rail-of-a-small-boat.yaml");
    let words = joined(&gear::drawing(BOOK, "lacing"));
    assert!(
        words.contains("hull 7.5 m, launch year not given: supports agree, and so does the top wire: under 8.5 m a single line at 450 mm to 560 mm"),
        "{words}"
    );
    let single = BOOK.swap("wires: [230 mm, 460 mm]", "wires: [500 mm]");
    assert_ne!(single, BOOK);
    let words = joined(&gear::drawing(&single, "lacing"));
    assert!(words.contains("so does the top wire"), "{words}");
    let low = joined(&gear::drawing(&single.swap("[500 mm]", "[400 mm]"), "lacing"));
    assert!(low.contains("top wire 400 mm, 3.14 says 450 mm to 560 mm"), "{low}");
}

#[test]
fn a_single_wire_needs_a_hull_that_may_have_one() {
    for boat in ["length: 8.5 m", "length: 8 m, hull: 8.6 m"] {
        let text = book(&LACING.swap("[300 mm, 710 mm]", "[500 mm]")).swap("length: 11.5 m", boat);
        let problems = load(&text).problems;
        let told = problems.iter().find(|problem| problem.what.contains("one wire is too few"));
        let told = told.unwrap_or_else(|| panic!("{boat}: {problems:?}"));
        assert!(told.level == Level::Error && told.instead.contains("hull: 7.5 m"), "{told:?}");
    }
}

#[test]
fn a_hull_longer_than_the_boat_or_launched_in_no_year_is_told() {
    for (boat, told) in [("length: 9 m, hull: 9.2 m", "longer than the boat"), ("launched: 91", "91 is no year")] {
        let problems = load(&book(LACING).swap("length: 11.5 m", boat)).problems;
        let problem = problems.iter().find(|problem| problem.what.contains(told));
        assert!(problem.is_some_and(|problem| problem.level == Level::Error), "{told}: {problems:?}");
    }
}

#[test]
fn rope_is_told_in_metres_or_in_feet_and_inches() {
    let metric = joined(&drawing(LACING));
    assert!(metric.contains(" m, foot line ") && metric.contains("; total "), "{metric}");
    let feet = include_str!("../books/found/pounds-and-inches.yaml");
    let start = feet.find("outboard_lead:").expect("an outboard lead");
    let (drawn, _) = draw(&feet[..start]);
    let card = drawn.into_iter().find(|drawn| drawn.card.id == "lacing").expect("the card");
    let words = joined(&card.drawing.expect("it fits"));
    let cut = words.split("cut ").nth(1).and_then(|rest| rest.split(" in").next()).expect("a cut");
    assert!(cut.contains(" ft "), "{cut}: {words}");
}

#[test]
fn the_elevation_has_the_scale_of_its_bar_along_and_up() {
    let drawing = drawing(LACING);
    let words = drawing.texts().find(|text| text.content.contains("along and up at one scale")).expect("a bar");
    let metres: f64 = words.content.split(" m").next().and_then(|number| number.parse().ok()).expect("a length");
    let per_metre = picture::scale_bar(&drawing, "along and up at one scale") / metres;
    let lines = lines(&drawing);
    let near = |found: f64, metres: f64| (found - metres * per_metre).abs() < 0.01;
    assert!(lines.iter().any(|(a, b)| near(b.x - a.x, 3.8) && a.y == b.y), "no wire of 3.8 m");
    assert_eq!(lines.iter().filter(|(a, b)| near((a.y - b.y).abs(), 0.71) && a.x == b.x).count(), 4, "posts of 0.71 m");
}

#[test]
fn each_side_that_differs_gets_a_card_of_its_own() {
    let lacing = LACING.swap("both:", "port:") + "  starboard: {posts: [0 m, 1.5 m, 3 m], wires: [300 mm, 610 mm]}\n";
    let (drawn, problems) = draw(&book(&lacing));
    assert!(problems.is_empty(), "{problems:?}");
    let ids: Vec<&str> = drawn.iter().map(|drawn| drawn.card.id.as_str()).collect();
    assert!(ids.contains(&"lacing-port") && ids.contains(&"lacing-starboard"), "{ids:?}");
}

#[test]
fn the_feet_are_set_out_from_a_post_so_that_a_tape_measure_finds_the_eyes_drawn() {
    let drawing = drawing(LACING);
    let words = joined(&drawing);
    // Bays of 1.5 and 1.7 m, five vees of 300 mm and five of 340 mm; the gate between them is not laced.
    assert!(words.contains("aft of the post at 0 mm, then every 300 mm."), "{words}");
    let first: f64 = words
        .split("First foot ")
        .nth(2)
        .and_then(|rest| rest.split_once(" mm aft of the post at 2100 mm, then every 340 mm."))
        .and_then(|(number, _)| number.parse().ok())
        .unwrap_or_else(|| panic!("{words}"));
    let card = draw(&book(LACING)).0.into_iter().find(|drawn| drawn.card.id == "lacing").expect("the card").card;
    let nodes = card.content.data()["runs"][1]["nodes"].as_array().expect("nodes").clone();
    assert!((nodes[0][0].as_f64().expect("along") - 2100.0 - first).abs() <= 0.5, "{first}: {:?}", nodes[0]);
}

#[test]
fn seen_from_on_deck_the_bow_is_at_the_left_to_starboard_and_at_the_right_to_port() {
    let lacing = LACING.swap("both:", "port:") + "  starboard: {posts: [0 m, 1.5 m, 3 m], wires: [300 mm, 610 mm]}\n";
    for (id, bow, left) in [("lacing-starboard", "← BOW", true), ("lacing-port", "BOW →", false)] {
        let drawing = gear::drawing(&book(&lacing), id);
        assert!(joined(&drawing).contains(bow), "{id}");
        let place = |words: &str| drawing.texts().find(|text| text.content == words).expect("a number").origin.x;
        assert_eq!(place("1") < place("9"), left, "{id}");
        assert_eq!(picture::clashes(&drawing), Vec::<String>::new(), "{id}");
    }
}

#[test]
fn uprights_of_an_unusual_spacing_are_warned_of() {
    let problems = load(&book(&LACING.swap("vee", "uprights").swap("350 mm", "200 mm"))).problems;
    assert!(problems.iter().any(|p| p.level == Level::Warning && p.what.contains("200 mm apart")), "{problems:?}");
    assert!(load(&book(&LACING.swap("vee", "uprights"))).problems.is_empty());
}

#[test]
fn an_impossible_rail_is_told_with_place_and_remedy_and_gets_no_card() {
    let changes = [
        ("[300 mm, 710 mm]", "[300 mm, 250 mm]", "do not rise"),
        ("1.5 m, 2.1 m", "1.5 m, 1.4 m", "no further aft"),
        ("gates: [2]", "gates: [7]", "no bay 7"),
        ("gates: [2]", "gates: [1, 2, 3]", "every bay is a gate"),
        ("spacing: 350 mm", "spacing: 20 mm\n  line: 12 mm", "less than a hitch"),
        ("wires: [300 mm, 710 mm]", "wires: [300 mm]", "at least 2"),
        ("spacing: 350 mm", "spacing: nan", "spacing"),
        ("{line: 5 mm, bases: 25 mm}", "{line: 5 mm}", "neither eyes"),
        ("  both: {", "  spare: {", "spare"),
    ];
    assert_refused(LACING, &changes, |book| book.rigging.lacing.is_some());
}

#[test]
fn the_working_adds_up_the_line() {
    let (drawn, _) = draw(&book(LACING));
    let card = drawn.iter().find(|drawn| drawn.card.id == "lacing").expect("the card");
    let lines: Vec<_> = card.card.content.working().into_iter().flat_map(|passage| passage.lines).collect();
    for part in ["straight", "ties", "tails", "line", "cut"] {
        assert!(lines.iter().any(|line| line.finds == part && line.value.ends_with(" mm")), "{part}: {lines:?}");
    }
}

/// A rail with the eyes that are in the deck, and a foot of eyes.
const EYED: &str = "lacing:
  pattern: vee
  foot: {eyes: 6 mm}
  both: {posts: [0 m, 1.5 m], wires: [300 mm, 610 mm], eyes: [0.11 m, 0.41 m, 0.77 m, 1.4 m]}
";

#[test]
fn the_eyes_that_are_there_are_told_in_place_of_a_step_and_need_no_spacing() {
    let words = joined(&drawing(EYED));
    assert!(words.contains("Feet: the eyes 110, 410, 770 and 1400 mm aft of the forward post."), "{words}");
    // By hand: legs of 630, 652 and 739 mm, each twice; ties, a twentieth more and two tails of 300 mm make it 4.9 to 5.2 m.
    let cut = words.split("cut ").nth(1).and_then(|cut| cut.split(' ').next()).expect("a cut");
    let cut: f64 = cut.parse().expect("metres");
    assert!((4.9..5.2).contains(&cut), "{cut} m");
}

#[test]
fn eyes_further_apart_than_the_spacing_are_warned_of_where_they_stand() {
    let loaded = load(&book(&EYED.swap("  foot:", "  spacing: 400 mm\n  foot:")));
    let told: Vec<String> = loaded.problems.iter().map(|problem| problem.what.clone()).collect();
    assert_eq!(told, ["this eye is 630 mm aft of the one before, and the lacing is to be spaced 400 mm at most"]);
    assert!(loaded.problems[0].level == Level::Warning && loaded.book.is_some(), "{told:?}");
}

#[test]
fn eyes_that_cannot_be_are_told_with_place_and_remedy() {
    assert_refused(
        EYED,
        &[
            ("0.77 m", "0.41 m", "eye 3 at 410 mm is no further aft than the one before"),
            ("1.4 m]", "1.6 m]", "eye 4 at 1600 mm is in no bay that is laced"),
            ("{eyes: 6 mm}", "{line: 5 mm, bases: 25 mm}", "the rail has eyes, and the foot of the lacing is a line"),
            (", eyes: [0.11 m, 0.41 m, 0.77 m, 1.4 m]", "", "spacing"),
        ],
        |book| book.rigging.lacing.is_some(),
    );
}
