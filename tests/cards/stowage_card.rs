//! The cards of the stowage: destinations first, what stays ashore apart, what moves by its number in both views, as many
//! cards as it takes, and none of gear that cannot be.

use crate::common;
use crate::swap::Swap;

use std::collections::BTreeSet;

use cockpit_cards::book::Level;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::drawing::{Colour, Drawing, Shape, Text, Weight};
use common::gear::{assert_refused, book, drawing};
use common::picture::{self, joined};
use common::whole::{self, draw, load};
use kurbo::{PathEl, Rect, Shape as _};
use proptest::prelude::*;

const STOWAGE: &str = "stowage:
  displacement: 6400 kg
  centre_of_gravity: [6.1 m, 0 m, 0.1 m]
  gm: 1.25 m
  beam: 3.6 m
  items:
    - {what: anchor, mass: 16 kg, now: [0.8 m, 0 m, 1.0 m], plan: move, to: [5.8 m, 0 m, -0.1 m], stow: Under the sole, required: true}
    - {what: awning, mass: 12 kg, now: [10.5 m, 0.8 m, 0.9 m], plan: ashore}
";

/// A book with these items, written as in a book.
fn with_items(items: &[String]) -> String {
    let head = STOWAGE.split("    - {what").next().expect("a head");
    book(&format!("{head}{}", items.iter().map(|item| format!("    - {item}\n")).collect::<String>()))
}

/// The numbers in the view from above and in the one from port, `1 to 3, 7` taken apart: hollow ones, and solid ones.
fn numbers_in_views(drawing: &Drawing) -> [[Vec<usize>; 2]; 2] {
    let of = |content: &str| -> Option<Vec<usize>> {
        let ends = |run: &str| -> Option<Vec<usize>> { run.split(" to ").map(|end| end.parse().ok()).collect() };
        let runs: Option<Vec<Vec<usize>>> = content.split(", ").map(ends).collect();
        Some(runs?.into_iter().flat_map(|run| run[0]..=run[run.len() - 1]).collect())
    };
    let height = |caption: &str| {
        let found = drawing.texts().find(|text| text.content.contains(caption));
        found.map(|text| text.origin.y)
    };
    let foot = height("Height of gear").or_else(|| height("MOVABLE BALLAST"));
    let [above, port, foot] = [height("FROM ABOVE"), height("FROM PORT"), foot].map(|place| place.expect("a caption"));
    [(above, port), (port, foot)].map(|(from, to)| {
        [Colour::BLACK, Colour::WHITE].map(|colour| {
            let bold = drawing.texts().filter(|text| text.weight == Weight::Bold && text.colour == colour);
            let here = bold.filter(|text| text.origin.y > from && text.origin.y < to);
            let mut numbers: Vec<usize> = here.filter_map(|text| of(&text.content)).flatten().collect();
            numbers.sort_unstable();
            numbers
        })
    })
}

/// The outlines of the numbers' signs.
fn signs(drawing: &Drawing) -> Vec<Rect> {
    let sign = |shape: &Shape| match shape {
        Shape::Fill { path, colour } if [Colour::WHITE, Colour::BLACK].contains(colour) => Some(path.bounding_box()),
        _ => None,
    };
    // As high as a number of 3 mm with its white, which nothing else is.
    let all = drawing.items.iter().filter_map(|item| sign(&item.shape));
    all.filter(|sign| (sign.height() - 5.4).abs() < 0.01).collect()
}

/// Signs that lie over each other.
fn meeting(drawing: &Drawing) -> Vec<(Rect, Rect)> {
    let signs = signs(drawing);
    let pairs = signs.iter().enumerate().flat_map(|(index, one)| signs[..index].iter().map(|other| (*one, *other)));
    pairs.filter(|(one, other)| one.overlaps(*other)).collect()
}

#[test]
fn destinations_come_first_and_what_stays_ashore_stands_apart() {
    let (drawn, problems) = draw(&book(STOWAGE));
    assert!(problems.is_empty(), "{problems:?}");
    let card = drawn.iter().find(|drawn| drawn.card.id == "stowage").expect("the card");
    let words = joined(card.drawing.as_ref().expect("it fits"));
    let parts = [
        "No. THING MASS kg PLACE 1 anchor 16 Under the sole 2 awning 12 STAYS ASHORE",
        "51",
        "rules in force",
        "LASH IT",
        "BEFORE THE START",
    ];
    for part in parts {
        assert!(words.contains(part), "{part}: {words}");
    }
    assert!(card.card.content.working().iter().any(|passage| !passage.lines.is_empty()));
}

/// By hand: 28 kg, their centre (16·1.0 + 12·0.9)/28 = 0.96 m up, and 16·(5.3² + 0.9²) + 12·(4.4² + 0.8²) = 702 kg·m² as it
/// was; 16 kg, 0.1 m under the waterline, and 16·(0.3² + 0.2²) = 2.08 kg·m² as planned. G sinks by
/// (16·1.1 + 12·0.8)/6388 = 0.004 m; tan θ = Δ(Σ m·y)/(Δ·GM) = −12·0.8/(6388·1.254), 0.07° to port.
#[test]
fn the_states_are_a_table_with_its_heads() {
    let words = joined(&drawing(&book(STOWAGE), "stowage"));
    let rows = [
        "Height of gear's centre: 0.96 to −0.10 m. STAGE GEAR kg CENTRE m GM m LIST",
        "As it was 28 0.96 1.25 0.0° Dock 16 −0.10 1.25 0.1° port",
        "Pitching, kg·m²: as it was 700, dock 2.1. Pitching: inertia of this gear alone.",
    ];
    for part in rows {
        assert!(words.contains(part), "{part}: {words}");
    }
    assert!(!words.contains("Middle") && !words.contains("mid-race"), "nothing is new then: {words}");
}

/// By hand: 6400·2.5² = 40 000 kg·m² of her own; 702 of them is 1.8 %, 2.08 is 0.0052 %.
#[test]
fn with_a_radius_of_gyration_the_inertia_of_the_gear_is_told_as_a_part_of_the_boats_own() {
    let words = joined(&drawing(&book(&with_field("gyradius: 2.5 m")), "stowage"));
    let told = "Pitching: inertia of this gear alone; of the boat's own 1.8 % as it was, 0.0052 % as planned.";
    assert!(words.contains(told), "{words}");
}

/// The stowage with one more figure of the boat.
fn with_field(field: &str) -> String {
    let changed = STOWAGE.swap("  beam:", &format!("  {field}\n  beam:"));
    assert_ne!(changed, STOWAGE);
    changed
}

fn warnings(text: &str) -> Vec<String> {
    let loaded = load(text);
    assert!(loaded.problems.iter().all(|problem| problem.level == Level::Warning), "{:?}", loaded.problems);
    loaded.problems.into_iter().map(|problem| format!("{}; {}", problem.what, problem.instead)).collect()
}

/// The words of the stowage card of a book that has warnings and no errors.
fn words_in_spite_of_warnings(text: &str) -> String {
    let (drawn, problems) = draw(text);
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:?}");
    let card = drawn.into_iter().find(|drawn| drawn.card.id == "stowage").expect("the card");
    joined(&card.drawing.expect("it fits"))
}

/// By hand: 900 kg up 2 m in 5000 kg takes 0.36 m off GM 0.5 m; moved 1.5 m out besides, tan θ = 1350/(5000·0.14): far past
/// what GM can tell.
#[test]
fn a_list_past_small_angles_is_a_warning_and_no_figure_and_gm_is_told_before_and_after() {
    const BOOK: &str = include_str!("../books/found/list-past-small-angles.yaml");
    let told = warnings(BOOK);
    assert!(told.iter().any(|words| words.contains("more than 10° to starboard")), "{told:?}");
    let words = words_in_spite_of_warnings(BOOK);
    for part in
        ["over 10° stbd", "Height of gear's centre: 0.00 to 2.00 m.", "0.00 0.50 0.0°", "2.00 0.14 over 10° stbd"]
    {
        assert!(words.contains(part), "{part}: {words}");
    }
    assert!(!words.contains("62"), "{words}");
}

#[test]
fn the_working_of_a_list_shows_every_input_and_the_formula_that_was_used() {
    let figures =
        with_field("gyradius: 2.5 m\n  moment_to_trim: 95\n  mass_to_sink: 190 kg\n  centre_of_flotation: 6.3 m");
    let (drawn, problems) = draw(&book(&figures));
    assert_eq!(problems, vec![]);
    let card = &drawn.iter().find(|drawn| drawn.card.id == "stowage").expect("the card").card;
    let lines: Vec<_> = card.content.working().into_iter().flat_map(|passage| passage.lines).collect();
    let inputs = [
        ("displacement Δ", "6400 kg"),
        ("centre of gravity G", "6.10 m aft, 0.00 m to starboard, 0.10 m up"),
        ("centre of flotation x_f", "6.30 m aft"),
        ("GM", "1.25 m"),
        ("radius of gyration k", "2.50 m"),
        ("beam", "3.60 m"),
        ("moment to change trim", "95.0 kg·m/cm"),
        ("mass to sink", "190 kg/cm"),
    ];
    for (finds, value) in inputs {
        let line = lines.iter().find(|line| line.finds == finds).unwrap_or_else(|| panic!("no {finds}: {lines:?}"));
        assert!(line.value == value && line.place.is_some(), "{line:?}");
    }
    let list = lines.iter().rfind(|line| line.finds == "list θ").expect("the list");
    // By hand: −12·0.8; 6400 − 12; 1.25 + (16·1.1 + 12·0.8)/6388.
    assert_eq!(list.how, "tan θ = (Δ·y_G + change of Σ m·y) / (Δ′·GM′) = −9.6 / (6388 · 1.2543)");
    assert_eq!(list.value, "0.07° to port");
    let trim = lines.iter().rfind(|line| line.finds == "change of trim").expect("the trim");
    // By hand: 16·5.0 − 12·(10.5 − 6.3).
    assert_eq!(trim.how, "change of Σ m·(x − x_f) / moment to change trim = 29.6 / 95.0");
}

#[test]
fn what_a_stage_moves_or_wets_is_told_with_its_stage() {
    const BOOK: &str = include_str!("../books/found/kite-below-and-wet.yaml");
    let words = words_in_spite_of_warnings(BOOK);
    for part in [
        "1 kite 60 Where it is, at first",
        "FROM MID-RACE: 1 kite to 5.0 m aft of the stem, 1.2 m to port, at the waterline, wet, 120 kg",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
    assert!(!words.contains("Stays where it is"), "{words}");
}

#[test]
fn stores_that_are_used_up_are_told_stage_by_stage() {
    let stages = "stages: {start: {left: 0.75}, middle: {left: 0.5, wet: true}, finish: {left: 0}}";
    let item = format!("{{what: potatoes, mass: 10 kg, now: [6 m, 0 m, 0 m], wet: 1.5, {stages}}}");
    let words = joined(&drawing(&with_items(&[item]), "stowage"));
    let told = "FROM THE START: 1 potatoes 7.5 kg left FROM MID-RACE: 1 potatoes wet, 7.5 kg left \
                AT THE FINISH: 1 potatoes used up";
    assert!(words.contains(told), "{words}");
}

#[test]
fn a_wet_mass_that_no_stage_sets_is_warned_of() {
    let item = |more: &str| with_items(&[format!("{{what: J3, mass: 22 kg, now: [2 m, 0 m, 0 m], wet: 1.3{more}}}")]);
    let told = warnings(&item(""));
    assert!(told.len() == 1 && told[0].contains("the J3") && told[0].contains("wet: true"), "{told:?}");
    assert_eq!(warnings(&item(", stages: {middle: {wet: true}}")), Vec::<String>::new());
    assert_eq!(warnings(&item(", stages: {middle: {wet: false}}")).len(), 1);
}

#[test]
fn with_everything_ashore_nothing_is_less_than_0() {
    let words = joined(&drawing(include_str!("../books/found/everything-ashore.yaml"), "stowage"));
    assert!(words.contains("Dock 0 none"), "{words}");
    assert!(words.contains("Height of gear's centre: 1.00 m, then none aboard."), "{words}");
    assert!(!words.contains("-0") && !words.contains("−0"), "{words}");
}

#[test]
fn masses_are_whole_in_the_unit_of_the_book() {
    let items = [
        "{what: kedge, mass: 18.5 kg, now: [2 m, 0 m, 0 m]}".to_owned(),
        "{what: flares, mass: 0.9 kg, now: [3 m, 0 m, 0 m]}".to_owned(),
    ];
    let words = joined(&drawing(&with_items(&items), "stowage"));
    for part in ["kedge 18.5 Stays", "flares 0.9 Stays", "As it was 19.4 "] {
        assert!(words.contains(part), "{part}: {words}");
    }
}

/// By hand: 35 lb moved 16 ft aft is 560 lb·ft; over 500 lb·ft/in 1.1 in. 35·(16² + 3²) lb·ft² about the centre of flotation.
#[test]
fn a_book_in_pounds_and_inches_is_told_in_them() {
    const BOOK: &str = include_str!("../books/found/pounds-and-inches.yaml");
    let told = warnings(BOOK);
    for part in ["read as 60 kg·m/cm", "for 1 cm", "the kite has a wet mass"] {
        assert!(told.iter().any(|words| words.contains(part)), "{part}: {told:?}");
    }
    let items = "items: [{what: anchor, mass: 35 lb, now: [2 ft, 0 ft, 3 ft], plan: move, to: [18 ft, 0 ft, 0 ft]}, \
                 {what: flares, mass: 0.9 lb, now: [18 ft, 0 ft, 0 ft], plan: ashore}]";
    let stowage = format!(
        "units: {{length: in, mass: lb, pressure: psi}}\nstowage: {{displacement: 11000 lb, centre_of_flotation: 18 ft, \
         moment_to_trim: 500 lb·ft/in, mass_to_sink: 9 lb/in, gm: 4 ft, {items}}}\n"
    );
    let words = words_in_spite_of_warnings(&book(&stowage));
    let parts = [
        "MASS lb",
        "anchor 35 18.0 ft aft of the stem, on the centreline, at the waterline",
        "flares 0.9",
        "STAGE GEAR lb CENTRE ft GM ft TRIM in LIST",
        "As it was 35.9 2.92 4.00 0.0 0.0°",
        "Dock 35 0.00 unknown 1.1 bow up unknown",
        "Floats, in: as it was 0.0, dock 0.1 lighter. Pitching, lb·ft²: as it was 9300, dock 0.",
    ];
    for part in parts {
        assert!(words.contains(part), "{part}: {words}");
    }
    assert!(!words.contains("kg") && !words.contains(" cm"), "{words}");
}

#[test]
fn metres_written_bare_in_a_book_of_millimetres_are_told_with_their_unit() {
    let problems = load(include_str!("../books/found/metres-written-bare.yaml")).problems;
    for what in
        ["`gm` of the stowage", "`centre_of_flotation` of the stowage", "the centre of gravity, aft of the stem"]
    {
        let problem = problems.iter().find(|problem| problem.what.contains(what));
        let problem = problem.unwrap_or_else(|| panic!("{what}: {problems:?}"));
        assert!(problem.level == Level::Error && problem.instead.contains("without a unit is in mm"), "{problem:?}");
    }
}

#[test]
fn the_figures_of_trim_take_their_units() {
    let boat = |figures: &str| {
        let loaded = load(&book(&with_field(figures)));
        assert!(loaded.problems.is_empty(), "{:?}", loaded.problems);
        loaded.book.expect("a book").rigging.stowage.clone().expect("a stowage").boat
    };
    // NIST SP 811: 1 lb = 0.453 592 37 kg, 1 ft = 0.3048 m, 1 in = 2.54 cm.
    let moments = [("95", 95.0), ("95 kg·m/cm", 95.0), ("0.095 t·m/cm", 95.0), ("500 lb·ft/in", 27.215_542_2)];
    for (written, wanted) in moments {
        let found = boat(&format!("moment_to_trim: {written}")).moment_to_trim_kg_m_per_cm.expect("a moment");
        assert!((found - wanted).abs() < 1e-6, "{written}: {found}");
    }
    for (written, wanted) in [("190 kg", 190.0), ("190 kg/cm", 190.0), ("1064 lb/in", 190.008_77)] {
        let found = boat(&format!("mass_to_sink: {written}")).mass_to_sink_kg_per_cm.expect("a mass");
        assert!((found - wanted).abs() < 1e-4, "{written}: {found}");
    }
}

#[test]
fn gm_that_cannot_be_told_is_unknown_on_the_card_and_warned_of() {
    let unweighed = STOWAGE.swap("centre_of_gravity: [6.1 m, 0 m, 0.1 m]", "centre_of_flotation: 6.3 m");
    assert_ne!(unweighed, STOWAGE);
    let text = book(&unweighed);
    let told = warnings(&text);
    assert!(told.len() == 1 && told[0].contains("GM and list cannot be told"), "{told:?}");
    assert!(words_in_spite_of_warnings(&text).contains("−0.10 unknown"));
}

#[test]
fn what_moves_in_the_example_is_hollow_where_it_was_and_solid_where_it_goes_in_both_views_of_half_a_page() {
    let (drawn, problems) = draw(whole::EXAMPLES.iter().find(|(name, _)| name.contains("full")).expect("it").1);
    assert_eq!(problems, vec![]);
    let cards: Vec<_> = drawn.into_iter().filter(|drawn| drawn.card.kind == "stowage").collect();
    assert_eq!(cards.len(), 1, "five things go on one card");
    let drawing = cards[0].drawing.as_ref().expect("it fits");
    // Half of A4 less 8 mm at its edges and a foot of 4 mm.
    assert_eq!((drawing.size.width, drawing.size.height), (138.5, 194.0));
    // The water, number 4, does not move, and the awning, number 5, goes ashore.
    for view in numbers_in_views(drawing) {
        assert_eq!(view, [vec![1, 2, 3, 5], vec![1, 2, 3]]);
    }
    let words = joined(drawing);
    assert!(words.contains("4 water 80 Tank: does not move"), "{words}");
    assert_eq!(meeting(drawing), vec![]);
}

#[test]
fn a_dashed_line_runs_from_where_a_thing_was_to_where_it_goes_and_bars_are_as_high_as_things_lie() {
    let drawing = drawing(&book(&STOWAGE.swap(", plan: ashore", "")), "stowage");
    // The two dots of the anchor, which goes from 0.8 m to 5.8 m aft along the centreline.
    let dot = |shape: &Shape| match shape {
        Shape::Fill { path, colour } => {
            let area = path.bounding_box();
            ((area.width() - 1.9).abs() < 0.01 && (area.height() - 1.9).abs() < 0.01)
                .then_some((area.center(), *colour))
        }
        _ => None,
    };
    // The first two explain the signs.
    let dots: Vec<_> = drawing.items.iter().filter_map(|item| dot(&item.shape)).skip(2).collect();
    let [(was, Colour::WHITE), (to, Colour::BLACK)] = dots[..] else { panic!("{dots:?}") };
    assert!((was.y - to.y).abs() < 1e-6, "both on the centreline");
    // Of 11.5 m the outline shows the true part of the way.
    let outline = drawing.items.iter().filter_map(|item| match &item.shape {
        Shape::Stroke { path, .. } if path.elements().len() > 100 => Some(path.bounding_box()),
        _ => None,
    });
    let outline = outline.max_by(|one, other| one.width().total_cmp(&other.width())).expect("an outline");
    assert!(((to.x - was.x) / outline.width() - 5.0 / 11.5).abs() < 1e-3, "{was:?} to {to:?} in {outline:?}");
    assert!((outline.height() / outline.width() - 3.6 / 11.5).abs() < 1e-3, "beam and length at one scale");
    // Bars: 1.0 m up and hollow, 0.1 m down and solid.
    let bar = |shape: &Shape| match shape {
        Shape::Fill { path, colour } => {
            let is_straight = path.elements().iter().all(|part| !matches!(part, PathEl::CurveTo(..)));
            let area = path.bounding_box();
            ((area.width() - 1.9).abs() < 0.01 && is_straight).then_some((area.height(), *colour))
        }
        _ => None,
    };
    let bars: Vec<_> = drawing.items.iter().filter_map(|item| bar(&item.shape)).collect();
    let [(high, Colour::WHITE), (low, Colour::BLACK)] = bars[..] else { panic!("{bars:?}") };
    assert!((high / low - 10.0).abs() < 0.01, "{bars:?}");
}

#[test]
fn a_place_without_a_name_is_told_from_stem_centreline_and_waterline() {
    let unnamed =
        STOWAGE.swap(", stow: Under the sole", "").swap("to: [5.8 m, 0 m, -0.1 m]", "to: [5.8 m, -0.4 m, -0.1 m]");
    let words = joined(&drawing(&book(&unnamed), "stowage"));
    assert!(words.contains("1 anchor 16 5.8 m aft of the stem, 0.4 m to port, 0.1 m below the waterline"), "{words}");
    let words = joined(&drawing(&book(&unnamed.swap("5.8 m, -0.4 m, -0.1 m", "5.8 m, 0 m, 0.02 m")), "stowage"));
    assert!(words.contains("1 anchor 16 5.8 m aft of the stem, on the centreline, at the waterline"), "{words}");
}

#[test]
fn things_in_one_place_bear_their_numbers_together() {
    let item = |index| format!("{{what: lead {index}, mass: 10 kg, now: [6 m, 0 m, 0 m], plan: ashore}}");
    let items: Vec<String> = (0..9).map(item).collect();
    let drawing = drawing(&with_items(&items), "stowage");
    assert_eq!(drawing.texts().filter(|text| text.content == "1 to 9").count(), 2, "once in each view");
    assert_eq!(picture::clashes(&drawing), Vec::<String>::new());
}

#[test]
fn what_does_not_move_is_listed_and_not_drawn() {
    let items = ["{what: kedge, mass: 18 kg, now: [2 m, 0 m, 0 m], stow: Bow locker}".to_owned()];
    let words = joined(&drawing(&with_items(&items), "stowage"));
    assert!(words.contains("1 kedge 18 Bow locker: does not move"), "{words}");
    assert!(!words.contains("FROM ABOVE") && !words.contains("FROM PORT"), "{words}");
}

#[test]
fn a_thing_of_a_long_name_is_wrapped_and_a_short_one_keeps_to_one_line() {
    let long = "the spare mainsail with its battens, rolled, in the long grey bag that has a broken zip";
    let items = [
        format!("{{what: \"{long}\", mass: 31 kg, now: [3 m, 0 m, 0 m], plan: ashore}}"),
        "{what: storm jib, mass: 9 kg, now: [2 m, 0 m, 0 m], plan: ashore}".to_owned(),
        "{what: a kedge of some size, mass: 8 kg, now: [2 m, 0 m, 0 m], plan: ashore}".to_owned(),
    ];
    let drawing = drawing(&with_items(&items), "stowage");
    assert_eq!(picture::clashes(&drawing), Vec::<String>::new());
    let words = joined(&drawing);
    assert!(words.contains(long), "{words}");
    let whole = ["storm jib", "a kedge of some size"];
    assert!(whole.iter().all(|name| drawing.texts().any(|text| text.content == *name)), "{words}");
}

/// Thirty things with long names, most of which move to places without a name.
fn thirty_things() -> Vec<String> {
    let item = |index: i32| {
        let now =
            format!("[{} mm, {} mm, {} mm]", 600 + 340 * index, (index * 370) % 2000 - 1000, (index * 170) % 1100);
        let to = format!("[{} mm, {} mm, -100 mm]", 4500 + 70 * index, (index * 530) % 1800 - 900);
        let plan = match index % 4 {
            0 => String::new(),
            1 => ", plan: ashore".to_owned(),
            _ => format!(", plan: move, to: {to}"),
        };
        format!("{{what: a bag of gear that nobody opens {index}, mass: {}.5 kg, now: {now}{plan}}}", 3 + index)
    };
    (0..30).map(item).collect()
}

#[test]
fn thirty_things_go_on_to_further_cards_of_half_a_page_each_with_the_numbers_of_its_own_list() {
    let (drawn, problems) = draw(&with_items(&thirty_things()));
    assert_eq!(problems, vec![]);
    let cards: Vec<_> = drawn.iter().filter(|drawn| drawn.card.kind == "stowage").collect();
    assert!(cards.len() > 1, "more than one card");
    let mut listed = 0;
    for (card, nth) in cards.iter().zip(1..) {
        assert!(card.card.id == if nth == 1 { "stowage".to_owned() } else { format!("stowage-{nth}") });
        let drawing = card.drawing.as_ref().expect("it fits");
        assert!(drawing.size.width <= 148.5 && drawing.size.height <= 210.0, "{:?}", drawing.size);
        let words = joined(drawing);
        assert!(words.contains(&format!("{nth} of {}", cards.len())), "{words}");
        assert_eq!(words.contains("Height of gear's centre"), nth == 1, "what is said of all stands once");
        assert_eq!((picture::clashes(drawing), meeting(drawing)), (vec![], vec![]));
        // All that is drawn is listed on the same card.
        let here: Vec<usize> = (listed + 1..=30).take_while(|number| is_listed(drawing, *number)).collect();
        listed += here.len();
        if words.contains("FROM ABOVE") {
            for number in numbers_in_views(drawing).as_flattened().concat() {
                assert!(here.contains(&number), "{number} on card {nth}: {here:?}");
            }
        }
    }
    assert_eq!(listed, 30, "every thing is on one card");
}

/// Whether a number stands in the first column.
fn is_listed(drawing: &Drawing, number: usize) -> bool {
    let heads = drawing.texts().find(|text| text.content == "THING").expect("a list").origin;
    let in_list = |text: &&Text| text.origin.x < heads.x && text.origin.y > heads.y && text.colour == Colour::BLACK;
    drawing.texts().filter(in_list).any(|text| text.content == number.to_string())
}

/// Anything anywhere aboard: its mass, where it is, where it goes if it is moved, whether it stays ashore if not.
type AnyItem = (u32, [i32; 3], Option<[i32; 3]>, bool);

fn any_item() -> impl Strategy<Value = AnyItem> {
    let place = || [500..11_000, -1500..1500, -300..1300];
    (1_u32..80, place(), prop::option::of(place()), any::<bool>())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]
    #[test]
    fn wherever_things_lie_what_moves_is_numbered_once_in_each_view_and_no_words_or_signs_meet(
        items in prop::collection::vec(any_item(), 1..16)
    ) {
        let place = |[x, y, z]: [i32; 3]| format!("[{x} mm, {y} mm, {z} mm]");
        let item = |(index, (mass, now, to, ashore)): (usize, &AnyItem)| {
            let plan = match to {
                Some(to) => format!(", plan: move, to: {}, stow: Locker {}", place(*to), index % 3),
                None if *ashore => ", plan: ashore".to_owned(),
                None => String::new(),
            };
            format!("{{what: thing {index}, mass: {mass} kg, now: {}{plan}}}", place(*now))
        };
        let book = with_items(&items.iter().enumerate().map(item).collect::<Vec<_>>());
        let (drawn, problems) = draw(&format!("{book}cards: [{{kind: stowage, size: A4}}]\n"));
        prop_assert_eq!(problems, vec![]);
        let mut found = [vec![], vec![]];
        for card in &drawn {
            let drawing = card.drawing.as_ref().expect("A4 holds it");
            prop_assert_eq!(picture::clashes(drawing), Vec::<String>::new());
            prop_assert_eq!(meeting(drawing), vec![]);
            if joined(drawing).contains("FROM ABOVE") {
                let [above, port] = numbers_in_views(drawing);
                prop_assert_eq!(&above, &port);
                above.into_iter().zip(&mut found).for_each(|(numbers, all)| all.extend(numbers));
            }
        }
        let leave = items.iter().filter(|(_, now, to, ashore)| to.map_or(*ashore, |to| to != *now)).count();
        let arrive = items.iter().filter(|(_, now, to, _)| to.is_some_and(|to| to != *now)).count();
        prop_assert_eq!(found.clone().map(|numbers| numbers.len()), [leave, arrive]);
        for numbers in found {
            prop_assert_eq!(numbers.iter().collect::<BTreeSet<_>>().len(), numbers.len());
        }
    }
}

#[test]
fn a_list_of_items_comes_from_a_table() {
    let csv = "what,mass,aft,starboard,up,plan,to_aft,to_starboard,to_up,required,wet,wet_from\n\
               chain,30 kg,1.2 m,0 m,0.6 m,move,5.9 m,0 m,-0.1 m,true,,\n\
               jib,20 kg,1.2 m,0 m,0.6 m,keep,,,,,1.4,middle\n";
    let text = book(STOWAGE.split("  items:").next().expect("a head")) + "  table: gear.csv\n";
    let table = |name: &str| (name == "gear.csv").then(|| csv.to_owned());
    let loaded = cockpit_cards::book::from_text("boat.yaml", &text, &table, has_glyph);
    assert!(loaded.problems.is_empty(), "{:?}", loaded.problems);
    let stowage = loaded.book.expect("a book").rigging.stowage.clone().expect("a stowage");
    assert_eq!(
        (stowage.items[0].name.as_str(), stowage.items[0].item.mass_kg, stowage.items[0].item.required),
        ("chain", 30.0, true)
    );
    // By hand: 30 + 20·1.4.
    assert!((stowage.worked.stages[2].planned.mass_kg - 58.0).abs() < 1e-9);
}

#[test]
fn impossible_stowage_is_told_with_place_and_remedy_and_gets_no_card() {
    let changes = [
        ("plan: move, to: [5.8 m, 0 m, -0.1 m], stow: Under the sole", "plan: ashore", "stay ashore"),
        ("mass: 12 kg", "mass: 0 kg", "mass of the awning"),
        ("mass: 12 kg", "mass: -3 kg", "mass of the awning"),
        ("now: [10.5 m", "now: [12.5 m", "outside the boat"),
        ("now: [10.5 m, 0.8 m", "now: [10.5 m, 2.8 m", "outside the boat"),
        ("  centre_of_gravity: [6.1 m, 0 m, 0.1 m]\n", "", "pitches about"),
        ("mass: 12 kg", "mass: 7 t", "as much as the boat"),
        (", to: [5.8 m, 0 m, -0.1 m]", "", "not where to"),
        ("mass: 12 kg", "mass: nan", "mass"),
        ("gm: 1.25 m", "gm: 1.25", "too little"),
        ("beam: 3.6 m", "beam: 3.6", "too little"),
        ("gm: 1.25 m", "gm: 1.25 m\n  gyradius: 0 m", "too little"),
        ("gm: 1.25 m", "gm: 1.25 m\n  moment_to_trim: 95 kg", "not a moment"),
    ];
    assert_refused(STOWAGE, &changes, |book| book.rigging.stowage.is_some());
}
