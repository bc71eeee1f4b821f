//! The card of an outboard lead: what it says, that it is drawn in true proportion with its names apart, and that no card
//! is printed of gear that cannot be or that carries too much.

use crate::common;
use crate::swap::Swap;

use cockpit_cards::book::Level;
use cockpit_cards::drawing::Drawing;
use cockpit_cards::drawing::legibility::LEGEND_DISTANCE;
use common::gear::{self, assert_refused, book};
use common::picture::{self, joined, lines};
use common::whole::{self, draw, load};
use proptest::prelude::*;

const LEAD: &str = "outboard_lead:
  tack: [0.5 m, 0 m, 1.25 m]
  clew: [5.0 m, 1.15 m, 2.3 m]
  track: {0: [5.3 m, 0.85 m, 1.15 m], 14: [7.4 m, 1.0 m, 1.15 m]}
  car: 8
  outboard_block: [8.1 m, 1.58 m, 1.05 m]
  pad_eye: [6.0 m, 1.55 m, 1.1 m]
  tweaker: {0: 900 mm, 2: 500 mm, 6: 200 mm}
  sheet_load: 3 kN
  working_loads: {tweaker: 5 kN}
";

fn drawing(lead: &str) -> Drawing {
    gear::drawing(&book(lead), "outboard-lead")
}

#[test]
fn the_card_says_which_lead_each_mark_pulls_like_and_what_that_does() {
    let words = joined(&drawing(LEAD));
    assert!(words.contains("6 200 mm lead 6 TIGHTER EASED 2.0 kN"), "{words}");
    assert!(words.contains("0 900 mm lead (17) EASED TIGHTER slack"), "{words}");
    for part in [
        "brackets",
        "clew held fixed",
        "bight",
        "rigger",
        "both views at one scale",
        "STARBOARD",
        "Load by working load: tweaker 0.39",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
}

/// The scale bar's length on the card over what it stands for must be the scale of both views: seen in the line from the
/// clew to the outboard block.
#[test]
fn both_views_have_the_scale_of_the_bar() {
    let drawing = drawing(LEAD);
    const WORDS: &str = " m, both views at one scale";
    let metres = drawing.texts().find_map(|text| text.content.strip_suffix(WORDS)?.parse::<f64>().ok());
    let metres = metres.expect("a bar that says how long it is");
    let (lines, per_metre) = (lines(&drawing), picture::scale_bar(&drawing, WORDS) / metres);
    // The sheet with its tweaker slack, clew to outboard block: 3.1 m aft, 0.43 m out in plan and 1.25 m down from the side.
    for (aft, up) in [(3.1, 0.43), (3.1, -1.25)] {
        let found = lines
            .iter()
            .any(|(a, b)| ((b.x - a.x) - aft * per_metre).abs() < 0.01 && ((a.y - b.y) - up * per_metre).abs() < 0.01);
        assert!(found, "{aft} by {up} at {per_metre} mm a metre");
    }
}

/// Every name of the gear stands once in each view, and nothing lies over anything.
fn names_stand_apart(drawing: &Drawing, names: &[&str]) {
    for name in names {
        // The tweaker's table speaks of leads in larger letters.
        let small = drawing.texts().filter(|text| text.distance == LEGEND_DISTANCE);
        let count = small.filter(|text| text.content == *name).count();
        assert_eq!(count, 2, "{name} in both views: {}", joined(drawing));
    }
    assert_eq!(picture::clashes(drawing), Vec::<String>::new());
}

const NAMES: [&str; 4] = ["clew", "outboard block", "pad eye", "lead 8"];

#[test]
fn names_stand_apart_wherever_the_gear_is() {
    for (what, from, to) in [
        ("as it is", "tack", "tack"),
        (
            "the block close to the pad eye",
            "outboard_block: [8.1 m, 1.58 m, 1.05 m]",
            "outboard_block: [6.7 m, 1.58 m, 1.05 m]",
        ),
        ("the pad eye under the clew", "pad_eye: [6.0 m, 1.55 m, 1.1 m]", "pad_eye: [5.3 m, 1.5 m, 1.2 m]"),
        ("the car under the clew", "track: {0: [5.3 m", "track: {0: [4.2 m"),
        ("the tack low on the stem", "tack: [0.5 m, 0 m, 1.25 m]", "tack: [0.1 m, 0 m, 0.1 m]"),
        ("the tack close to the clew", "tack: [0.5 m, 0 m, 1.25 m]", "tack: [3.9 m, 0 m, 1.6 m]"),
        ("a winch beside the block", "pad_eye", "leads_on_to: [8.3 m, 1.5 m, 1.1 m]\n  pad_eye"),
        ("a winch beside the car", "pad_eye", "leads_on_to: [6.6 m, 1.0 m, 1.2 m]\n  pad_eye"),
    ] {
        assert!(LEAD.contains(from), "{what}");
        let (drawn, problems) = draw(&book(&LEAD.replace(from, to)));
        let card = drawn.into_iter().find(|drawn| drawn.card.id == "outboard-lead");
        let card = card.unwrap_or_else(|| panic!("{what}: {problems:?}"));
        names_stand_apart(&card.drawing.unwrap_or_else(|| panic!("{what}: it fits")), &NAMES);
    }
}

#[test]
fn names_stand_apart_on_the_example_in_both_of_its_views() {
    let (drawn, _) = draw(whole::EXAMPLES[1].1);
    let card = drawn.into_iter().find(|drawn| drawn.card.kind == "outboard-lead").expect("the card");
    let drawing = card.drawing.expect("it fits");
    names_stand_apart(&drawing, &NAMES);
    // More than a hair: a third of a capital between one line of words and the next.
    let words = picture::words(&drawing);
    let views = words.iter().filter(|(text, _)| text.content.starts_with("← BOW"));
    for (caption, room) in views {
        let wide = room.inflate(0.0, caption.cap_height() / 3.0);
        let near = words
            .iter()
            .filter(|(text, ink)| text != caption && NAMES.contains(&text.content.as_str()) && ink.overlaps(wide));
        assert_eq!(near.map(|(text, _)| &text.content).collect::<Vec<_>>(), Vec::<&String>::new());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]
    #[test]
    fn names_stand_apart_on_gear_of_any_shape(
        tack in (0..3000_i32, 100..1600_i32),
        clew in (3200..6500_i32, 300..1500_i32, 1700..3200_i32),
        car in (0..2500_i32, 300..1300_i32),
        block in (700..4000_i32, 900..1900_i32, 800..1300_i32),
        eye in (0..100_i32, 900..1900_i32, 800..1300_i32),
        winch in (-2000..1500_i32, 0..1500_i32),
        port in any::<bool>(),
    ) {
        let side = if port { -1 } else { 1 };
        let place = |x: i32, y: i32, z: i32| format!("[{x} mm, {} mm, {z} mm]", y * side);
        let lead = format!(
            "outboard_lead:\n  tack: {}\n  clew: {}\n  track: {{0: {}, 14: {}}}\n  car: 8\n  outboard_block: {}\n  pad_eye: {}\n  \
             leads_on_to: {}\n  tweaker: {{0: 900 mm, 2: 500 mm, 6: 200 mm}}\n",
            place(tack.0, 0, tack.1),
            place(clew.0, clew.1, clew.2),
            place(clew.0 + car.0 - 300, car.1, 1150),
            place(clew.0 + car.0 + 1700, car.1 + 50, 1150),
            place(clew.0 + block.0, block.1, block.2),
            place(clew.0 + (block.0 - 100) * eye.0 / 100, eye.1, eye.2),
            place(clew.0 + block.0 + winch.0, winch.1, 1200),
        );
        let loaded = load(&book(&lead));
        // Gear that cannot be has no card, which other tests look at.
        prop_assume!(loaded.book.as_ref().is_some_and(|book| book.rigging.outboard_lead.is_some()));
        let (drawn, problems) = draw(&format!("{}cards: [{{kind: outboard-lead, size: A4}}]\n", book(&lead)));
        let drawing = drawn.first().and_then(|drawn| drawn.drawing.as_ref());
        let drawing = drawing.unwrap_or_else(|| panic!("A4 holds it: {problems:?}"));
        names_stand_apart(drawing, &NAMES);
    }
}

#[test]
fn without_a_load_the_card_speaks_of_each_hundred_kilograms() {
    let lead = LEAD.swap("  sheet_load: 3 kN\n  working_loads: {tweaker: 5 kN}\n", "");
    let words = joined(&drawing(&lead));
    assert!(words.contains("each 100 kgf on the sheet"), "{words}");
    assert!(words.contains("lead 6 TIGHTER EASED 66 kgf"), "{words}");
}

#[test]
fn the_card_says_that_its_loads_are_a_steady_pull_and_what_a_gust_does_to_them() {
    let words = joined(&drawing(LEAD));
    let steady = "steady pull; a gust or a flogging sail pulls several times more";
    assert!(words.contains(steady), "{words}");
    assert!(!words.contains("Too near the working load"), "{words}");
    let lead = LEAD.swap("{tweaker: 5 kN}", "{tweaker: 3.9 kN, sheet: 6.1 kN}");
    let (drawn, problems) = draw(&book(&lead));
    let card = drawn.into_iter().find(|drawn| drawn.card.id == "outboard-lead").expect("the card");
    let words = joined(&card.drawing.expect("it fits"));
    // 1.96 kN on the tweaker is half of 3.9; 3 kN on the sheet is less than half of 6.1.
    assert!(words.contains("Too near the working load: tweaker. From half of it on, a gust of 1.4 times"), "{words}");
    let [problem] = &problems[..] else { panic!("{problems:?}") };
    assert_eq!(problem.level, Level::Warning);
    assert!(problem.place.is_some() && problem.what.contains("0.50 of its working load"), "{problem:?}");
}

#[test]
fn the_card_says_beside_what_leech_and_foot_are_eased_or_tighter() {
    let words = joined(&drawing(LEAD));
    assert!(words.contains("EASED and TIGHTER: against the usual lead with its car at mark 8"), "{words}");
}

#[test]
fn forces_are_in_the_units_that_people_buy_gear_by() {
    let words = joined(&drawing(LEAD));
    // 3 kN is 305.9 kgf (1 kgf = 9.80665 N, NIST SP 811); a load is never told as less than it is.
    assert!(words.contains("Sheet 3.0 kN (310 kgf): outboard block to"), "{words}");
    let pounds = book(LEAD).replacen("controls:", "units: {length: in, mass: lb, pressure: psi}\ncontrols:", 1);
    let words = joined(&gear::drawing(&pounds, "outboard-lead"));
    // 3 kN is 674.4 lbf (1 lbf = 4.4482216152605 N, NIST SP 811); 200 mm is 7.87 in.
    assert!(words.contains("Sheet 680 lbf:") && words.contains("7.87 in"), "{words}");
    for foreign in ["kN", "kg", " mm"] {
        assert!(!words.contains(foreign), "{foreign}: {words}");
    }
}

/// Gear at 1.00 of what its makers allow was once taken in silence.
#[test]
fn a_steady_pull_at_the_working_load_is_warned_of_in_the_books_units() {
    let text = include_str!("../books/found/loads_at_their_limit.yaml");
    let problems = load(text).problems;
    let said = |part: &str| problems.iter().find(|problem| problem.what.contains(part)).expect(part);
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:?}");
    assert!(said("the sheet carries 680 lbf, 1.00 of its working load").instead.contains("1350 lbf or more"));
    assert!(said("the outboard block carries").what.contains(" of its working load, by a steady pull alone"));
    for problem in &problems {
        assert!(problem.place.is_some() && !format!("{problem:?}").contains(" kN"), "{problem:?}");
    }
}

#[test]
fn impossible_gear_is_told_with_place_and_remedy_and_gets_no_card() {
    let changes = [
        ("tweaker: 5 kN", "tweaker: 1 kN", "more than its working load"),
        ("clew: [5.0 m, 1.15 m, 2.3 m]", "clew: [5.0 m, 1.15 m, 0.3 m]", "is not above"),
        ("{0: 900 mm, 2: 500 mm, 6: 200 mm}", "{0: 2 m, 2: 1.9 m}", "slack at every mark"),
        ("outboard_block: [8.1", "outboard_block: [4.1", "is not aft of the clew"),
        ("pad_eye: [6.0 m, 1.55 m", "pad_eye: [6.0 m, -1.55 m", "other side"),
        ("pad_eye: [6.0 m, 1.55 m, 1.1 m]", "pad_eye: [4.0 m, 1.55 m, 1.1 m]", "past the clew"),
        ("car: 8", "car: 20", "no mark 20"),
        ("  sheet_load: 3 kN\n", "", "no load of the sheet"),
        ("sheet_load: 3 kN", "sheet_load: 3", "no unit"),
        ("tack: [0.5 m", "tack: [nan", "tack"),
        ("car: 8\n", "car: 8\n  hull_line: [[0 m, 0 m], [12 m, 1.2 m]]\n", "outside the hull line"),
    ];
    assert_refused(LEAD, &changes, |book| book.rigging.outboard_lead.is_some());
}

/// Off the bow, clockwise, by the working: what the words on the card round.
fn bearing_of_the_pull(lead: &str) -> f64 {
    let (drawn, _) = draw(&book(lead));
    let card = drawn.iter().find(|drawn| drawn.card.id == "outboard-lead").expect("the card");
    let working = card.card.content.working();
    let mut lines =
        working.iter().flat_map(|passage| &passage.lines).filter(|line| line.finds == "the eye is pulled toward");
    let value = &lines.next_back().expect("a mark that bears").value;
    value.split('°').next().and_then(|degrees| degrees.parse().ok()).expect("degrees")
}

#[test]
fn a_pull_is_told_as_a_hand_would_give_it() {
    for lead in [
        LEAD.to_owned(),
        LEAD.replace("1.15 m, 2.3", "-1.15 m, 2.3")
            .replace("1.58 m", "-1.58 m")
            .replace("1.55 m", "-1.55 m")
            .replace("0.85 m", "-0.85 m")
            .replace("1.0 m, 1.15", "-1.0 m, 1.15"),
    ] {
        let words = joined(&drawing(&lead));
        let bearing = bearing_of_the_pull(&lead).to_radians();
        // Of starboard gear inboard is to port; of port gear it is the mirror of that.
        let inboard = if lead.contains("-1.58") { bearing.sin() } else { -bearing.sin() };
        assert!(bearing.cos() < 0.0 && inboard > 0.0, "aft and inboard: {}", bearing.to_degrees());
        let said = words.split("The pad eye is pulled aft, ").nth(1).unwrap_or_else(|| panic!("{words}"));
        let share = inboard / -bearing.cos();
        let wanted = if share > 0.58 && share < 0.8 { "two thirds inboard" } else { "half inboard" };
        assert!(said.starts_with(wanted), "{share}: {said}");
    }
}

#[test]
fn the_views_show_clew_to_winch_with_the_tweakers_marks_and_a_key() {
    let drawing = drawing(&LEAD.replace("pad_eye", "leads_on_to: [9.5 m, 1.1 m, 1.2 m]\n  pad_eye"));
    let small: Vec<&str> =
        drawing.texts().filter(|text| text.distance == LEGEND_DISTANCE).map(|text| text.content.as_str()).collect();
    for name in ["2", "6", "to winch"] {
        assert_eq!(small.iter().filter(|said| **said == name).count(), 2, "{name} in both views: {small:?}");
    }
    for key in ["sheet, tweaker at 6", "tweaker slack", "usual sheet", "compared with lead 8"] {
        assert!(small.contains(&key), "{key}: {small:?}");
    }
    assert!(!small.contains(&"tack"), "far forward of what is rigged: {small:?}");
}

#[test]
fn the_working_follows_the_load_to_the_tweaker() {
    let (drawn, _) = draw(&book(LEAD));
    let card = drawn.iter().find(|drawn| drawn.card.id == "outboard-lead").expect("the card");
    let all: String = card
        .card
        .content
        .working()
        .iter()
        .flat_map(|passage| &passage.lines)
        .map(|line| format!("{} {} {}\n", line.finds, line.how, line.value))
        .collect();
    for part in ["2·cos(φ/2)", "pulls like lead", "least |CB| + |BS|", "slack", "/ 5.000 kN"] {
        assert!(all.contains(part), "{part}: {all}");
    }
}
