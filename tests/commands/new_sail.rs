//! A new sail takes the place of an old one: it goes on with the old settings, marked as such, until it has its own.

use crate::reading;
use crate::swap::Swap;

use cockpit_cards::book::{Book, Level};
use cockpit_cards::cards;
use cockpit_cards::cards::parts::matrix;
use cockpit_cards::editions::{Due, Editions, Holding, Why};
use cockpit_cards::printing;
use cockpit_cards::tuning::{Ground, Wind};
use reading::load;

const BOOK: &str = "\
book: 1
boat: {name: Chervil}
wind_bands: [4, 8, 12, 16, 20, 24]
controls:
  backstay:
    scale: {marks: 0..8, spacing: 20 mm, halves: true}
    limit: {never_above: 7, why: gauge}
  lead: {scale: {marks: 0..10, spacing: 10 mm, halves: true}}
  vang: {scale: {words: [eased, snug, hard]}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 4..16}
  j3: {kind: headsail, wind: 14..24}
settings:
  - {id: j1-upwind, sails: [main, j1], point_of_sail: upwind, controls: [backstay, lead], at: {6: [1, 3], 14: [4, 5]}}
  - {id: j3-upwind, sails: [main, j3], point_of_sail: upwind, controls: [backstay, lead, vang], at: {14: [4, 6, snug], 18: [5½, 7, snug], 22: [7, 8, hard]}, targets: {18: {speed: 7 kn}}}
";

/// The book after a purchase: fields of the new sail besides its kind and wind, and more settings.
fn bought(fields: &str, settings: &str) -> String {
    let sail = format!("  j3b: {{kind: headsail, name: J3 light, wind: 14..24, {fields}}}\nsettings:\n");
    BOOK.swap("settings:\n", &sail) + settings
}

fn book(text: &str) -> Book {
    let loaded = load(text);
    assert!(loaded.is_sound(), "{}", reading::complaints(&loaded));
    loaded.book.expect("a book")
}

fn ids(book: &Book) -> Vec<String> {
    let of_settings = cards::cards(book, &mut Vec::new()).into_iter().filter(|card| card.kind == "wind-settings");
    of_settings.map(|card| card.id).filter(|id| id.ends_with("-upwind")).collect()
}

/// What a control's column of some settings says at a wind.
fn at(book: &Book, settings: &str, control: usize, wind_kn: f64) -> (f64, Ground) {
    let columns = matrix::columns(book, book.settings(settings).expect("settings"));
    let column = columns[control].as_ref().expect("a column").alike().expect("one side");
    let setting = column.at(Wind::knots(wind_kn)).set().expect("used");
    (setting.reading, setting.ground)
}

const REPLACES: &str = "replaces: j3, start_from: j3-upwind, offsets: {lead: -½, backstay: -10 mm}";

#[test]
fn a_new_sail_goes_on_with_the_old_settings_moved_by_its_offsets_and_marked() {
    let book = book(&bought(REPLACES, ""));
    assert_eq!(ids(&book), ["j1-upwind", "j3b-upwind"]);
    // 10 mm of travel are half a mark of 20 mm.
    assert_eq!(at(&book, "j3b-upwind", 0, 18.0), (5.0, Ground::CarriedOver));
    assert_eq!(at(&book, "j3b-upwind", 1, 18.0), (6.5, Ground::CarriedOver));
    assert_eq!(at(&book, "j3b-upwind", 2, 22.0), (2.0, Ground::CarriedOver));
    assert_eq!(at(&book, "j3b-upwind", 0, 20.0).1, Ground::CarriedOver, "and so is what lies between");
    // How she went with the old sail goes on as well, and says where it is from.
    let targets = &book.settings("j3b-upwind").expect("settings").targets;
    let speeds: Vec<_> =
        targets.iter().map(|target| (target.speed.map(|speed| speed.to_knots()), target.ground)).collect();
    assert_eq!(speeds, [(Some(7.0), Ground::CarriedOver)]);
    let cards = cards::cards(&book, &mut Vec::new());
    let card = cards.iter().find(|card| card.id == "j3b-upwind").expect("a card").content.data().to_string();
    assert!(card.contains("\"» 7\""), "{card}");
    assert_eq!(at(&book, "j3-upwind", 0, 18.0), (5.5, Ground::Sailed), "the old ones stay in the book");
}

#[test]
fn a_row_of_its_own_takes_over_in_its_band_and_nowhere_else() {
    let own = "  - {id: light-upwind, sails: [main, j3b], point_of_sail: upwind, controls: [lead, backstay], at: {17: [6, ~]}}\n";
    let book = book(&bought(REPLACES, own));
    assert_eq!(ids(&book), ["j1-upwind", "light-upwind"]);
    assert_eq!(at(&book, "light-upwind", 0, 17.0), (6.0, Ground::Sailed));
    assert_eq!(at(&book, "light-upwind", 0, 14.0), (5.5, Ground::CarriedOver));
    // 18 kn is in the band of the row at 17, and the lead was sailed there; the backstay was not.
    let light = book.settings("light-upwind").expect("settings");
    let lead: Vec<f64> =
        light.rows.iter().filter(|row| row.readings[0].is_something()).map(|row| row.at.value.to_knots()).collect();
    let backstay: Vec<f64> =
        light.rows.iter().filter(|row| row.readings[1].is_something()).map(|row| row.at.value.to_knots()).collect();
    assert_eq!((lead, backstay), (vec![14.0, 17.0, 22.0], vec![14.0, 18.0, 22.0]));
}

#[test]
fn the_sail_after_the_next_goes_on_with_what_was_carried_over() {
    let text = bought(REPLACES, "").swap(
        "settings:\n",
        "  j3c: {kind: headsail, wind: 14..24, replaces: j3b, start_from: j3b-upwind, offsets: {lead: +1}}\nsettings:\n",
    );
    let book = book(&text);
    assert_eq!(ids(&book), ["j1-upwind", "j3c-upwind"]);
    assert_eq!(at(&book, "j3c-upwind", 1, 18.0), (7.5, Ground::CarriedOver));
}

#[test]
fn a_retired_sail_leaves_the_cards_and_stays_in_the_book() {
    let text = BOOK.swap("j3: {kind: headsail,", "j3: {kind: headsail, retired: 2027-05-01,");
    let book = book(&text);
    assert_eq!(ids(&book), ["j1-upwind"]);
    assert!(book.settings("j3-upwind").is_some() && book.sail("j3").is_some());
    assert!(book.afloat().sail("j3").is_none());
    // A reef goes with its sail.
    let reefed = BOOK.swap(
        "  j1: ",
        "  old: {kind: mainsail, retired: 2027-05-01}\n  old_r1: {kind: mainsail, reef_of: old}\n  j1: ",
    );
    assert!(!self::book(&reefed).still_sails("old_r1"));
}

#[test]
fn a_list_of_cards_goes_on_with_the_sail_that_replaces_another() {
    let list = "cards:\n  - {kind: wind-settings, settings: j3-upwind}\n  - {kind: strip, control: lead}\n";
    let replaced = book(&bought(REPLACES, list));
    let all: Vec<String> = cards::cards(&replaced, &mut Vec::new()).into_iter().map(|card| card.id).collect();
    assert_eq!(all, ["j3b-upwind", "strip-lead"]);

    let retired = BOOK.swap("j3: {kind: headsail,", "j3: {kind: headsail, retired: 2027-05-01,") + list;
    let mut problems = Vec::new();
    let all = cards::cards(&book(&retired), &mut problems);
    assert_eq!(all.len(), 1);
    assert!(problems.iter().any(|p| p.level == Level::Warning && p.what.contains("j3-upwind")), "{problems:?}");
}

#[test]
fn check_tells_settings_without_a_sail_and_headsails_without_settings() {
    let warnings = |text: &str| {
        let mut problems = Vec::new();
        printing::check(&book(text), &mut problems);
        problems.into_iter().map(|problem| problem.what).collect::<Vec<String>>().join("\n")
    };
    assert!(!warnings(BOOK).contains("no longer sails") && !warnings(BOOK).contains("has no settings"));
    let all = warnings(&bought("replaces: j3", ""));
    assert!(all.contains("`j3-upwind` are kept but not printed") && all.contains("\"j3b\" has no settings"), "{all}");
    assert!(!warnings(&bought(REPLACES, "")).contains("has no settings"));
}

#[test]
fn what_cannot_be_carried_over_is_said_at_its_place() {
    for (fields, place, complaint) in [
        ("replaces: j9", "j9", "j9"),
        ("replaces: j3b", "j3b", "itself"),
        ("start_from: j9-upwind", "j9-upwind", "there are not"),
        ("replaces: j3, start_from: j3-upwind, offsets: {backstay: +½}", "+½", "limit"),
        ("replaces: j3, start_from: j3-upwind, offsets: {lead: +3}", "+3", "off the scale"),
        ("replaces: j3, start_from: j3-upwind, offsets: {vang: +2}", "+2", "off the scale"),
        ("replaces: j3, start_from: j3-upwind, offsets: {lead: 3 mm}", "3 mm", "finer"),
        ("replaces: j3, start_from: j3-upwind, offsets: {lead: 0}", "0", "changes nothing"),
        ("replaces: j3, start_from: j3-upwind, offsets: {lead: 1 kg}", "1 kg", "mass"),
        ("replaces: j3, start_from: j3-upwind, offsets: {leed: 1}", "leed", "leed"),
        ("replaces: j3, offsets: {lead: 1}", "lead", "nothing to start from"),
        ("retired: yesterday", "yesterday", "day"),
    ] {
        let text = bought(fields, "");
        let loaded = load(&text);
        let found = loaded.problems.iter().find(|problem| problem.what.contains(complaint));
        let found = found.unwrap_or_else(|| panic!("{fields}: {:?}", loaded.problems));
        assert_eq!(found.level, Level::Error);
        let bytes = found.place.clone().expect("a place").bytes;
        assert_eq!(&text[bytes], place, "{fields}");
    }
    let ring = bought("replaces: j3", "").swap("j3: {kind: headsail,", "j3: {kind: headsail, replaces: j3b,");
    assert!(!load(&ring).is_sound());
}

/// The first edition of everything; a J3 is bought; just the cards it touches are due; they are reissued; the stamps on
/// the old ones answer "superseded".
#[test]
fn a_headsail_is_bought() {
    let cards_of = |text: &str, editions: &Editions| {
        let book = book(text);
        let mut cards = cards::cards(&book, &mut Vec::new());
        editions.settle_stamps(&mut cards);
        let due = Due::of(&book, &cards, editions, false);
        (book, cards, due)
    };
    let (book, cards, due) = cards_of(BOOK, &Editions::default());
    assert!(due.items.iter().all(|item| item.why == Why::New) && due.items.len() == cards.len());
    let first = due.released(&book, &cards, &Editions::default(), "2027-05-01");

    let (book, cards, due) = cards_of(&bought(REPLACES, ""), &first);
    let about = |why: fn(&Why) -> bool| {
        due.items.iter().filter(|item| why(&item.why)).map(|item| item.id.as_str()).collect::<Vec<_>>()
    };
    assert_eq!(about(|why| *why == Why::New)[0], "j3b-upwind");
    assert!(about(|why| matches!(why, Why::Withdrawn { .. })).contains(&"j3-upwind"));
    let touched = |id: &str| due.items.iter().any(|item| item.id == id);
    for id in ["j1-upwind", "strip-backstay", "strip-lead"] {
        assert!(!touched(id), "{id} says nothing of the J3");
    }
    let next = due.released(&book, &cards, &first, "2027-06-01");
    let (_, cards, due) = cards_of(&bought(REPLACES, ""), &next);
    assert!(due.is_empty(), "{due:?}");
    let old = &first.cards["j3-upwind"].releases[0].stamp;
    match Holding::of(old, &cards, &next).as_slice() {
        [Holding::Superseded { withdrawn, .. }] => assert_eq!(withdrawn.as_deref(), Some("2027-06-01")),
        other => panic!("{other:?}"),
    }
    let kept = &first.cards["j1-upwind"].releases[0].stamp;
    assert!(Holding::of(kept, &cards, &next).iter().all(Holding::is_good));
}
