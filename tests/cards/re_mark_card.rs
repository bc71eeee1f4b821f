//! The card that puts a lost strip back in its place and a new line under the old numbers.
use crate::common;

use common::whole;

const BOOK: &str = "book: 1
boat: {name: Tansy}
controls:
  jib_halyard:
    read_when: load on the clutch
    scale: {marks: 0..10, spacing: 10 mm}
    strip: {pointer: whipping on the halyard, datum: {from: aft face of the clutch, distance: 420 mm}, second_datum: {from: mast collar, distance: 1260 mm}}
  vang:
    scale: {marks: 2..8, spacing: 15 mm, purchase: 4}
    strip: {pointer: knot on the tail, datum: {from: cam cleat, distance: 12 in}}
  traveller:
    scale: {marks: 0..20, spacing: 30 mm}
    strip: {arc: {radius: 2 m}, datum: {from: port track stop, distance: 55 mm}}
  loose: {scale: {marks: 0..4, spacing: 20 mm}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, name: J1}
settings:
  - {id: up, sails: [main, j1], point_of_sail: upwind, controls: [jib_halyard], at: {6: [2], 12: [5]}}
";

/// All words of the card, and those of its rows.
fn words(book: &str) -> String {
    let run = whole::print(&format!("{book}cards: [{{kind: re-mark}}]\n"), "A4");
    let (drawn, _) = whole::draw(&format!("{book}cards: [{{kind: re-mark}}]\n"));
    assert_eq!(run.cards.len(), 1);
    let drawing = drawn[0].drawing.as_ref().expect("a card that fits");
    drawing.texts().map(|text| text.content.as_str()).collect::<Vec<_>>().join(" ")
}

#[test]
fn every_strip_has_its_hard_points_distances_pointer_load_and_sails() {
    let words = words(BOOK);
    for said in [
        "Jib halyard: 420 mm from the aft face of the clutch, 1260 mm from the mast collar",
        "0 to 10 measure 100 mm. Read at the whipping on the halyard, when load on the clutch. Used with",
        // The tail moves four times as far as the vang; a book in millimetres measures in millimetres.
        "Vang: 304.8 mm from the cam cleat 2 to 8 measure 360 mm. Read at the knot on the tail.",
        // A tape laid straight across a curve reads short.
        "Traveller: 55 mm from the port track stop 0 to 20 measure 600 mm along the curve.",
    ] {
        assert!(words.contains(said), "{said}\n{words}");
    }
    let halyard = words.split("Used with").nth(1).expect("sails");
    assert!(halyard.starts_with(" Main · J1.") || halyard.starts_with(" J1 · Main."), "{halyard}");
    assert!(!words.contains("Loose"), "a strip without a datum has no place to be put back to: {words}");
}

#[test]
fn a_strip_with_one_hard_point_leaves_room_for_the_second() {
    let words = words(BOOK);
    // Of the vang and the traveller, not of the halyard.
    assert_eq!(words.matches("Measure a second point and write it in").count(), 2, "{words}");
}

#[test]
fn a_new_line_is_whipped_so_that_the_old_numbers_hold() {
    let words = words(BOOK);
    let steps: Vec<usize> = [
        "1. Old line still on: set a mark you know",
        "2. Reeve the new line. Same sail, same load",
        "3. Whip the new line at that same mark. The strip stays where it is.",
        "4. After a day's sailing the line has stretched: check, and move the whipping, never the strip.",
    ]
    .iter()
    .map(|step| words.find(step).unwrap_or_else(|| panic!("{step}\n{words}")))
    .collect();
    assert!(steps.is_sorted());
    assert!(words.contains("Caution: lines under load") && words.contains("ask a rigger"), "{words}");
}

#[test]
fn a_control_without_a_datum_is_refused_with_the_field_to_add() {
    let text = format!("{BOOK}cards: [{{kind: re-mark, controls: [loose, jib_haliard]}}]\n");
    let said = whole::try_print(&text, "A4").err().expect("problems");
    assert!(said.contains("the strip of `loose` has no datum") && said.contains("add `datum: {from"), "{said}");
    assert!(said.contains("there is no control `jib_haliard`") && said.contains("jib_halyard"), "{said}");
}

#[test]
fn a_fault_of_the_whole_card_is_shown_at_its_entry() {
    let entry = "{kind: re-mark, size: A8}";
    let text = format!("{BOOK}cards: [{entry}]\n");
    let (drawn, problems) = whole::draw(&text);
    assert!(drawn.iter().all(|drawn| drawn.drawing.is_none()));
    let [problem] = &problems[..] else { panic!("{problems:?}") };
    let place = problem.place.clone().expect("a place");
    assert_eq!(&text[place.bytes], entry, "{problem:?}");
}
