//! The card of the stowage: destinations first, what stays ashore apart, each thing by its number in both views, and no
//! card of gear that cannot be.

use crate::common;

use std::collections::BTreeSet;

use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::drawing::{Drawing, Shape, Text, Weight};
use common::gear::{assert_refused, book, drawing};
use common::picture::{self, joined, lines};
use common::whole::{self, draw};
use kurbo::{Rect, Shape as _};
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

/// The bold numbers in the view under each caption, `1 to 3, 7` taken apart, with the words they come from.
fn numbers_in_views(drawing: &Drawing) -> [Vec<(usize, &Text)>; 2] {
    let of = |content: &str| -> Option<Vec<usize>> {
        let ends = |run: &str| -> Option<Vec<usize>> { run.split(" to ").map(|end| end.parse().ok()).collect() };
        let runs: Option<Vec<Vec<usize>>> = content.split(", ").map(ends).collect();
        Some(runs?.into_iter().flat_map(|run| run[0]..=run[run.len() - 1]).collect())
    };
    let captions = ["From port", "From above", "Disc: as planned"];
    let height = |caption: &str| {
        let found = drawing.texts().find(|text| text.content.contains(caption));
        found.unwrap_or_else(|| panic!("no words {caption}")).origin.y
    };
    let [port, above, foot] = captions.map(height);
    [(port, above), (above, foot)].map(|(from, to)| {
        let bold = drawing.texts().filter(|text| text.weight == Weight::Bold && (from..to).contains(&text.origin.y));
        let numbers = bold.filter_map(|text| Some((text, of(&text.content)?)));
        numbers.flat_map(|(text, all)| all.into_iter().map(move |number| (number, text))).collect()
    })
}

/// From end to end of the scale bar, over the metres it stands for.
fn per_metre(drawing: &Drawing) -> f64 {
    let words = drawing.texts().find(|text| text.content.contains("both views at one scale")).expect("a bar");
    let metres: f64 = words.content.split(" m,").next().and_then(|number| number.parse().ok()).expect("metres");
    picture::scale_bar(drawing, "both views at one scale") / metres
}

/// The boxes around what is filled in the grey of a disc.
fn discs(drawing: &Drawing) -> Vec<Rect> {
    let disc = |shape: &Shape| match shape {
        Shape::Fill { path, colour } if (0.8..0.9).contains(&colour.red) => Some(path.bounding_box()),
        _ => None,
    };
    drawing.items.iter().filter_map(|item| disc(&item.shape)).collect()
}

#[test]
fn destinations_come_first_and_what_stays_ashore_stands_apart() {
    let (drawn, problems) = draw(&book(STOWAGE));
    assert!(problems.is_empty(), "{problems:?}");
    let card = drawn.iter().find(|drawn| drawn.card.id == "stowage").expect("the card");
    let words = joined(card.drawing.as_ref().expect("it fits"));
    for part in
        ["Under the sole: 1 anchor 16 kg STAYS ASHORE: 2 awning 12 kg", "51", "rules in force", "one scale", "Lash"]
    {
        assert!(words.contains(part), "{part}: {words}");
    }
    assert!(card.card.content.working().iter().any(|passage| !passage.lines.is_empty()));
}

/// By hand: 28 kg and 16·(5.3² + 0.9²) + 12·(4.4² + 0.8²) = 702 kg·m² as it was; 16 kg and 16·(0.3² + 0.2²) = 2 kg·m² as
/// planned; tan θ = Δ(Σ m·y)/(Δ·GM) = −12·0.8/(6388·1.25), 0.07° to port.
#[test]
fn the_states_are_a_table_with_its_heads() {
    let words = joined(&drawing(&book(STOWAGE), "stowage"));
    for part in ["STAGE MASS kg LIST PITCHING kg·m²", "As it was 28 0.0° 702", "Dock 16 0.1° to port 2"] {
        assert!(words.contains(part), "{part}: {words}");
    }
    assert!(!words.contains("Middle"), "nothing is new then: {words}");
}

#[test]
fn every_thing_of_the_example_has_its_number_in_both_views_of_a_card_in_a6() {
    let (drawn, problems) = draw(whole::EXAMPLES.iter().find(|(name, _)| name.contains("full")).expect("it").1);
    assert_eq!(problems, vec![]);
    let card = drawn.into_iter().find(|drawn| drawn.card.kind == "stowage").expect("the card");
    let drawing = card.drawing.expect("it fits");
    // ISO 216.
    assert_eq!((drawing.size.width, drawing.size.height), (105.0, 148.0));
    for view in numbers_in_views(&drawing) {
        let mut numbers: Vec<usize> = view.iter().map(|(number, _)| *number).collect();
        numbers.sort_unstable();
        assert_eq!(numbers, [1, 2, 3, 4, 5]);
        // 20 minutes of arc from 0.6 m (NUREG-0700 rev. 3, guideline 11.4.1.5-1).
        assert!(view.iter().all(|(_, text)| text.cap_height() > 3.49 && text.distance.to_mm() == 600.0));
    }
}

#[test]
fn a_thin_line_runs_from_where_a_thing_was_to_where_it_goes() {
    let drawing = drawing(&book(&STOWAGE.replace(", plan: ashore", "")), "stowage");
    let (scale, heaviest) = (per_metre(&drawing), discs(&drawing)[0]);
    // From (0.8, 1.0) to (5.8, −0.1), seen from port, and from 0.8 to 5.8 along the centreline: between the two rims.
    let radius = heaviest.width() / 2.0;
    for (aft, down) in [(5.0_f64, 1.1_f64), (5.0, 0.0)] {
        let rims = 1.0 - 2.0 * radius / (aft.hypot(down) * scale);
        let near = |found: f64, wanted: f64| (found - wanted).abs() < 0.02;
        let found = lines(&drawing)
            .into_iter()
            .any(|(from, to)| near(to.x - from.x, aft * scale * rims) && near(to.y - from.y, down * scale * rims));
        assert!(found, "no line {aft} m aft and {down} m down at {scale} mm a metre");
    }
}

#[test]
fn a_place_without_a_name_is_told_from_stem_centreline_and_waterline() {
    let unnamed = STOWAGE
        .replace(", stow: Under the sole", "")
        .replace("to: [5.8 m, 0 m, -0.1 m]", "to: [5.8 m, -0.4 m, -0.1 m]");
    let words = joined(&drawing(&book(&unnamed), "stowage"));
    assert!(
        words.contains("5.8 m aft of the stem, 0.4 m to port, 0.1 m below the waterline: 1 anchor 16 kg"),
        "{words}"
    );
    let words = joined(&drawing(&book(&unnamed.replace("5.8 m, -0.4 m, -0.1 m", "5.8 m, 0 m, 0.02 m")), "stowage"));
    assert!(words.contains("5.8 m aft of the stem, on the centreline, at the waterline: 1 anchor 16 kg"), "{words}");
}

#[test]
fn things_in_one_place_bear_their_numbers_together() {
    let item = |index| format!("{{what: lead {index}, mass: 10 kg, now: [6 m, 0 m, 0 m]}}");
    let items: Vec<String> = (0..40).map(item).collect();
    let drawing = drawing(&with_items(&items), "stowage");
    assert_eq!(drawing.texts().filter(|text| text.content == "1 to 40").count(), 2, "once in each view");
    assert_eq!(picture::clashes(&drawing), Vec::<String>::new());
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
    let whole = ["storm jib 9 kg", "a kedge of some size 8 kg"];
    assert!(whole.iter().all(|name| drawing.texts().any(|text| text.content.contains(name))), "{words}");
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
    fn wherever_things_lie_each_is_numbered_once_in_each_view_and_no_words_meet(
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
        let drawing = drawn[0].drawing.as_ref().expect("A4 holds it");
        prop_assert_eq!(picture::clashes(drawing), Vec::<String>::new());
        for view in numbers_in_views(drawing) {
            prop_assert_eq!(view.len(), items.len());
            let numbers: BTreeSet<usize> = view.into_iter().map(|(number, _)| number).collect();
            prop_assert_eq!(numbers, (1..=items.len()).collect::<BTreeSet<_>>());
        }
    }
}

#[test]
fn a_list_of_items_comes_from_a_table() {
    let csv = "what,mass,aft,starboard,up,plan,to_aft,to_starboard,to_up,required\nchain,30 kg,1.2 m,0 m,0.6 m,move,5.9 m,0 m,-0.1 m,true\n";
    let text = book(STOWAGE.split("  items:").next().expect("a head")) + "  table: gear.csv\n";
    let table = |name: &str| (name == "gear.csv").then(|| csv.to_owned());
    let loaded = cockpit_cards::book::from_text("boat.yaml", &text, &table, has_glyph);
    assert!(loaded.problems.is_empty(), "{:?}", loaded.problems);
    let stowage = loaded.book.expect("a book").rigging.stowage.clone().expect("a stowage");
    assert_eq!(
        (stowage.items[0].name.as_str(), stowage.items[0].item.mass_kg, stowage.items[0].item.required),
        ("chain", 30.0, true)
    );
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
    ];
    assert_refused(STOWAGE, &changes, |book| book.rigging.stowage.is_some());
}
