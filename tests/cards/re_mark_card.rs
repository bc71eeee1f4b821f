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
  words: {scale: {words: [off, hard]}}
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

/// What the card says of one strip, in the order of its cells.
fn row(words: &str, from: &str, to: &str) -> String {
    let rest = words.split(from).nth(1).unwrap_or_else(|| panic!("{from} in {words}"));
    rest.split(to).next().unwrap_or_default().trim().to_owned()
}

#[test]
fn every_strip_has_a_row_with_its_hard_points_distances_pointer_and_load() {
    let words = words(BOOK);
    let halyard = row(&words, "Jib halyard", "Vang");
    for said in [
        "aft face of the clutch",
        "420",
        "100",
        "whipping on the halyard",
        "when load on the clutch",
        "1260",
        "mast collar",
    ] {
        assert!(halyard.contains(said), "{said}\n{halyard}");
    }
    // The tail moves four times as far as the vang; a book in millimetres measures in millimetres.
    let vang = row(&words, "Vang", "Traveller");
    for said in ["cam cleat", "304.8", "mark 2", "360", "knot on the tail"] {
        assert!(vang.contains(said), "{said}\n{vang}");
    }
    // A tape laid straight across a curve reads short.
    let traveller = row(&words, "Traveller", "Loose");
    assert!(traveller.contains("port track stop") && traveller.contains("600 along the curve"), "{traveller}");
}

#[test]
fn what_is_not_measured_is_a_line_to_write_on() {
    let words = words(BOOK);
    let lines = |row: &str| row.split_whitespace().filter(|word| word.starts_with("___")).count();
    assert_eq!(lines(&row(&words, "Jib halyard", "Vang")), 0, "both points are in the book");
    assert_eq!(lines(&row(&words, "Vang", "Traveller")), 1, "the second point");
    assert_eq!(lines(&row(&words, "Loose", "A NEW LINE")), 3, "where from, how far, and a second point");
    assert!(words.contains("A line to write on: not measured yet."), "{words}");
}

#[test]
fn port_and_starboard_have_a_row_each() {
    let text = BOOK
        .replace("strip: {arc: {radius: 2 m}, datum", "strip: {sides: both, grows: aft, reader_stands: inboard, datum");
    let words = words(&text);
    assert!(
        words.contains("Traveller PORT port track stop 55") && words.contains("Traveller STBD port track stop 55"),
        "{words}"
    );
}

#[test]
fn ten_strips_with_long_names_fit_an_a5_and_more_go_on_to_a_second_card() {
    let book = |count: usize| {
        let control = |index: usize| {
            format!(
                "  control_{index}:\n    name: Halyard number {index}\n    scale: {{marks: 0..10, spacing: 10 mm}}\n    strip: {{pointer: whipping on the halyard, datum: {{from: aft face of the clutch, distance: 1420 mm}}, second_datum: {{from: after end of the mast collar, distance: 12600 mm}}}}\n"
            )
        };
        let controls: String = (0..count).map(control).collect();
        format!("book: 1\nboat: {{name: Tansy}}\ncontrols:\n{controls}cards: [{{kind: re-mark, size: A5}}]\n")
    };
    for (count, cards) in [(10, 1), (11, 2), (30, 3)] {
        let (drawn, problems) = whole::draw(&book(count));
        assert!(drawn.len() == cards && drawn.iter().all(|drawn| drawn.drawing.is_some()), "{count}: {problems:?}");
        let said = drawn.iter().filter_map(|drawn| drawn.drawing.as_ref()).flat_map(|drawing| drawing.texts());
        let said = said.map(|text| text.content.as_str()).collect::<Vec<_>>().join(" ");
        assert_eq!(said.matches("1420").count(), count);
        assert_eq!(said.contains("1 of"), cards > 1);
    }
}

#[test]
fn a_new_line_is_whipped_so_that_the_old_numbers_hold() {
    let words = words(BOOK);
    let steps: Vec<usize> = [
        "1. Old line still on: set a mark you know",
        "2. New line, same sail, same load",
        "3. Whip the new line at that same mark. The strip stays where it is.",
        "4. After a day it has stretched: move the whipping, never the strip.",
    ]
    .iter()
    .map(|step| words.find(step).unwrap_or_else(|| panic!("{step}\n{words}")))
    .collect();
    assert!(steps.is_sorted());
    assert!(
        words.contains("LINES UNDER LOAD")
            && words.contains("Ask a rigger")
            && words.contains("makers' working limits"),
        "{words}"
    );
}

#[test]
fn a_control_without_a_strip_is_refused() {
    let text = format!("{BOOK}cards: [{{kind: re-mark, controls: [words, jib_haliard]}}]\n");
    let said = whole::try_print(&text, "A4").err().expect("problems");
    assert!(said.contains("`words` has no strip to put back"), "{said}");
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
