//! The card of the stowage: destinations first, what stays ashore apart, and no card of gear that cannot be.

mod common;

use cockpit_cards::book::{self, Level};
use cockpit_cards::drawing::font::has_glyph;
use common::whole::{draw, load};

const STOWAGE: &str = "stowage:
  displacement: 6400 kg
  centre_of_gravity: [6.1 m, 0 m, 0.1 m]
  gm: 1.25 m
  beam: 3.6 m
  items:
    - {what: anchor, mass: 16 kg, now: [0.8 m, 0 m, 1.0 m], plan: move, to: [5.8 m, 0 m, -0.1 m], stow: Under the sole, required: true}
    - {what: awning, mass: 12 kg, now: [10.5 m, 0.8 m, 0.9 m], plan: ashore}
";

fn book(stowage: &str) -> String {
    format!(
        "book: 1\nboat: {{name: Pepperwort, length: 11.5 m}}\ncontrols: {{backstay: {{scale: {{marks: 0..8, spacing: 20 mm}}}}}}\n{stowage}"
    )
}

#[test]
fn destinations_come_first_and_what_stays_ashore_stands_apart() {
    let (drawn, problems) = draw(&book(STOWAGE));
    assert!(problems.is_empty(), "{problems:?}");
    let card = drawn.iter().find(|drawn| drawn.card.id == "stowage").expect("the card");
    let drawing = card.drawing.as_ref().expect("it fits");
    let words = drawing.texts().map(|text| text.content.clone()).collect::<Vec<_>>().join(" ");
    // By hand: 16·(0.3² + 0.2²) = 2.08 kg·m² as planned.
    for part in [
        "Under the sole: anchor 16 kg STAYS ASHORE: awning 12 kg",
        "pitch inertia 2 kg·m²",
        "51",
        "rules in force",
        "one scale",
    ] {
        assert!(words.contains(part), "{part}: {words}");
    }
    assert!(card.card.content.working().iter().any(|passage| !passage.lines.is_empty()));
}

#[test]
fn a_list_of_items_comes_from_a_table() {
    let csv = "what,mass,aft,starboard,up,plan,to_aft,to_starboard,to_up,required\nchain,30 kg,1.2 m,0 m,0.6 m,move,5.9 m,0 m,-0.1 m,true\n";
    let text = book(STOWAGE.split("  items:").next().expect("a head")) + "  table: gear.csv\n";
    let table = |name: &str| (name == "gear.csv").then(|| csv.to_owned());
    let loaded = book::from_text("boat.yaml", &text, &table, has_glyph);
    assert!(loaded.problems.is_empty(), "{:?}", loaded.problems);
    let stowage = loaded.book.expect("a book").rigging.stowage.expect("a stowage");
    assert_eq!(
        (stowage.items[0].name.as_str(), stowage.items[0].item.mass_kg, stowage.items[0].item.required),
        ("chain", 30.0, true)
    );
}

#[test]
fn impossible_stowage_is_told_with_place_and_remedy_and_gets_no_card() {
    for (from, to, told) in [
        ("plan: move, to: [5.8 m, 0 m, -0.1 m], stow: Under the sole", "plan: ashore", "stay ashore"),
        ("mass: 12 kg", "mass: 0 kg", "mass of the awning"),
        ("mass: 12 kg", "mass: -3 kg", "mass of the awning"),
        ("now: [10.5 m", "now: [12.5 m", "outside the boat"),
        ("now: [10.5 m, 0.8 m", "now: [10.5 m, 2.8 m", "outside the boat"),
        ("  centre_of_gravity: [6.1 m, 0 m, 0.1 m]\n", "", "pitches about"),
        ("mass: 12 kg", "mass: 7 t", "as much as the boat"),
        (", to: [5.8 m, 0 m, -0.1 m]", "", "not where to"),
        ("mass: 12 kg", "mass: nan", "mass"),
    ] {
        assert!(STOWAGE.contains(from), "{from}");
        let loaded = load(&book(&STOWAGE.replace(from, to)));
        let errors: Vec<_> = loaded.problems.iter().filter(|problem| problem.level == Level::Error).collect();
        assert!(errors.iter().any(|problem| problem.what.contains(told)), "{told}: {errors:?}");
        for problem in errors {
            assert!(problem.place.is_some() && !problem.instead.is_empty(), "{problem:?}");
            assert!(!format!("{problem:?}").contains("NaN"), "{problem:?}");
        }
        assert!(loaded.book.is_none_or(|book| book.rigging.stowage.is_none()), "{told}");
    }
}
