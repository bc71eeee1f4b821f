//! The card of the bow lacing: in true proportion, with what to cut and in which order, and no guardrail.

use crate::common;

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
    // World Sailing Offshore Special Regulations 3.14: at most 380 mm.
    assert!(words.contains("opening below wire 2 410 mm, 3.14 says at most 380 mm"), "{words}");
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

#[test]
fn the_elevation_has_the_scale_of_its_bar_along_and_up() {
    let drawing = drawing(LACING);
    let words = drawing.texts().find(|text| text.content.contains("along and up at one scale")).expect("a bar");
    assert!(words.content.starts_with("1 m"), "{}", words.content);
    let per_metre = picture::scale_bar(&drawing, "along and up at one scale");
    let lines = lines(&drawing);
    let near = |found: f64, metres: f64| (found - metres * per_metre).abs() < 0.01;
    assert!(lines.iter().any(|(a, b)| near(b.x - a.x, 3.8) && a.y == b.y), "no wire of 3.8 m");
    assert_eq!(lines.iter().filter(|(a, b)| near((a.y - b.y).abs(), 0.71) && a.x == b.x).count(), 4, "posts of 0.71 m");
}

#[test]
fn each_side_that_differs_gets_a_card_of_its_own() {
    let lacing =
        LACING.replace("both:", "port:") + "  starboard: {posts: [0 m, 1.5 m, 3 m], wires: [300 mm, 610 mm]}\n";
    let (drawn, problems) = draw(&book(&lacing));
    assert!(problems.is_empty(), "{problems:?}");
    let ids: Vec<&str> = drawn.iter().map(|drawn| drawn.card.id.as_str()).collect();
    assert!(ids.contains(&"lacing-port") && ids.contains(&"lacing-starboard"), "{ids:?}");
}

#[test]
fn uprights_of_an_unusual_spacing_are_warned_of() {
    let problems = load(&book(&LACING.replace("vee", "uprights").replace("350 mm", "200 mm"))).problems;
    assert!(problems.iter().any(|p| p.level == Level::Warning && p.what.contains("200 mm apart")), "{problems:?}");
    assert!(load(&book(&LACING.replace("vee", "uprights"))).problems.is_empty());
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
