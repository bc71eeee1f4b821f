//! What was sailed in a sea goes before what is adjusted for it, on the card and in the terminal.

use crate::reading::{complaints, load};
use cockpit_cards::cards;
use cockpit_cards::cards::wind_settings::{AdjustmentRow, WindSettings};
use serde_json::Value;

const BOOK: &str = "\
book: 1
boat: {name: Chervil}
wind_bands: [4, 8, 12, 16]
controls:
  backstay: {name: Backstay, scale: {marks: 0..8, spacing: 20 mm, halves: true}}
  lead: {name: Lead, scale: {marks: 0..10, spacing: 20 mm, halves: true}}
adjust:
  chop: {backstay: -1, lead: -½}
  flat: {backstay: 1}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, name: J1, wind: 4..16}
settings:
  - {id: j1-chop, sea: chop, sails: [j1, main], point_of_sail: upwind, controls: [backstay], at: {10: [1½], 15: [5]}}
  - {id: j1-upwind, sails: [main, j1], point_of_sail: upwind, controls: [backstay, lead], at: {6: [1, 3], 10: [3, 4], 14: [6, 6]}}
";

fn card(id: &str) -> WindSettings {
    let loaded = load(BOOK);
    assert!(loaded.is_sound(), "{}", complaints(&loaded));
    let cards = cards::cards(loaded.book.as_ref().expect("a book"), &mut Vec::new());
    let card = cards.iter().find(|card| card.id == id).unwrap_or_else(|| panic!("no {id}"));
    card.says::<WindSettings>().expect("settings").clone()
}

fn moved(row: &AdjustmentRow) -> Vec<&str> {
    row.moves.iter().map(|one| one.control.as_str()).collect()
}

#[test]
fn a_control_that_was_sailed_in_chop_is_not_adjusted_for_it_and_the_card_says_where_it_is() {
    let card = card("j1-upwind");
    let [chop, flat] = card.adjustments.as_slice() else { panic!("{:?}", card.adjustments) };
    assert_eq!((chop.name.as_str(), moved(chop)), ("Chop", vec!["Lead"]));
    assert_eq!(chop.sailed.as_deref(), Some("J1 + Main, upwind, Chop"));
    assert_eq!((moved(flat), &flat.sailed), (vec!["Backstay"], &None));
}

#[test]
fn the_card_of_a_sea_has_it_in_its_name_and_is_adjusted_for_none() {
    let card = card("j1-chop");
    assert_eq!(card.title.as_deref(), Some("Chop"));
    assert!(card.adjustments.is_empty(), "{:?}", card.adjustments);
}

fn show(wind: &str) -> Value {
    let folder = tempfile::tempdir().expect("a folder");
    std::fs::write(folder.path().join("boat.yaml"), BOOK).expect("a book");
    let mut command = assert_cmd::Command::cargo_bin("cockpit-cards").expect("the program");
    let run = command.current_dir(folder.path()).args(["show", "--wind", wind, "--adjust", "chop", "--json"]);
    serde_json::from_slice(&run.assert().success().get_output().stdout).expect("json")
}

#[test]
fn show_takes_what_was_sailed_in_the_sea_in_its_winds_and_adjusts_the_rest() {
    let at = |wind: &str| {
        let shown = show(wind);
        assert_eq!(shown.as_array().map(Vec::len), Some(1), "the table in chop stands in for the other: {shown}");
        assert_eq!(shown[0]["settings"], "j1-upwind");
        let control =
            |nth: usize| (shown[0]["controls"][nth]["mark"].clone(), shown[0]["controls"][nth]["ground"].clone());
        (control(0), control(1))
    };
    // Sailed in chop at 10 kn; the lead was not, and comes ½ down from 4.
    assert_eq!(at("10"), (("1½".into(), "sailed".into()), ("3½".into(), "adjusted".into())));
    // At 15 kn it was, where the other table ends at 14.
    assert_eq!(at("15").0, ("5".into(), "sailed".into()));
    // Nobody sailed in chop at 6 kn: both are adjusted.
    assert_eq!(at("6"), (("0".into(), "adjusted".into()), ("2½".into(), "adjusted".into())));
}
