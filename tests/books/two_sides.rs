//! Controls that there are two of: read apart in the book and in a table, and told apart where they differ.

use cockpit_cards::book::{self, Level, Problem, Recorded};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::tuning::Side;
use serde_json::{Value, json};

use crate::one_card::{card, load, read, rows_of};
use crate::swap::Swap;

/// A boat of our own invention, whose starboard inhauler was marked half a mark off.
const TANSY: &str = "\
book: 1
boat: {name: Tansy}
wind_bands: [4, 8, 11, 14, 17]
controls:
  backstay: {higher_is: tighter, scale: {marks: 0..8, spacing: 20 mm, halves: true}}
  jib_lead:
    higher_is: aft
    scale: {marks: 0..20, spacing: 50 mm, halves: true}
    strip: {sides: both, grows: aft, reader_stands: inboard, width: 40 mm, winds: [j1-upwind]}
  inhauler:
    higher_is: tighter
    scale: {marks: 0..8, spacing: 20 mm, halves: true, difference: {starboard: ½}}
    limit: {never_above: 6}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, wind: 4..17, angle: 36..60}
settings:
- id: j1-upwind
  sails: [main, j1]
  point_of_sail: upwind
  controls: [backstay, jib_lead, inhauler]
  at:
    6: [0, {port: 13, starboard: 14}, 2]
    10: [2, 12, 4]
    14: [4½, {port: 13½, starboard: ~}, 5½]
adjust: {chop: {inhauler: 1}}
watches: {start: 2027-06-12 18:40, finish: 2027-06-13 09:00, time_zone: Europe/London, least_on_deck: 1, lengths: 4 h, teams: {red: [Ada], blue: [Bo]}}
";

/// The one complaint about a book.
fn complaint(text: &str) -> Problem {
    let (_, problems) = read(text);
    let errors: Vec<Problem> = problems.into_iter().filter(|problem| problem.level == Level::Error).collect();
    assert_eq!(errors.len(), 1, "{errors:?}");
    errors.into_iter().next().expect("one")
}

#[test]
fn a_settings_card_tells_the_sides_apart_where_they_differ() {
    let data = card(TANSY, "j1-upwind").content.data();
    let cell = |row: usize, column: usize| {
        let cell = &data["rows"][row]["cells"][column];
        let rows: Vec<String> = rows_of(cell).collect();
        (cell["text"].as_str().unwrap_or_default().to_owned(), rows.join(", "))
    };
    let told = |text: &str, rows: &str| (text.to_owned(), rows.to_owned());
    assert_eq!(cell(0, 1), told("13 to 12 P, 14 to 13 S", "13 P, 14 S at 6"));
    assert_eq!(cell(1, 1), told("12 P, 13 to 12 S", "12 at 10"));
    assert_eq!(cell(3, 1).1, "13½ P at 14");
    assert_eq!(cell(1, 2), told("3 to 4½ P, 3½ to 5 S", "4 P, 4½ S at 10"));
    // The backstay has no sides.
    assert_eq!(cell(1, 0).1, "2 at 10");
    assert_eq!(data["cautions"], json!(["Inhauler: never above 6 P, 6½ S"]));
    let held = &data["adjustments"][0]["moves"][0]["held"];
    assert_eq!(*held, json!(["11 to 14: only to 6 P, only to 6½ S", "14 to 17: only to 6 P, only to 6½ S"]));
}

#[test]
fn change_points_tell_the_marks_of_both_sides_in_one_cell() {
    let data = card(TANSY, "change-j1-upwind").content.data();
    let columns = data["columns"].as_array().unwrap();
    let marks = |name: &str| -> Vec<&str> {
        let column = columns.iter().position(|head| head["control"] == name).unwrap();
        data["rows"].as_array().unwrap().iter().map(|row| row["marks"][column]["mark"].as_str().unwrap()).collect()
    };
    assert_eq!(marks("Inhauler").first(), Some(&"2 P, 2½ S"));
    assert_eq!(marks("Jib lead").first(), Some(&"13 P, 14 S"));
    assert!(marks("Jib lead").contains(&"12"), "where both are alike, once: {:?}", marks("Jib lead"));
    let exact = data["exact"].as_array().unwrap();
    assert!(exact.iter().any(|change| change["control"] == "Jib lead" && change["side"] == "starboard"));
    assert!(exact.iter().filter(|change| change["control"] == "Backstay").all(|change| change.get("side").is_none()));
}

#[test]
fn a_hand_over_has_a_place_for_each_side_of_every_control_that_the_book_has_two_of() {
    let both = |text: &str| {
        let data = card(text, "handover").content.data();
        let names = data["both_sides"].as_array().into_iter().flatten().map(|line| line["name"].clone());
        names.collect::<Vec<Value>>()
    };
    assert_eq!(both(TANSY), ["Jib lead", "Inhauler"]);
    // As the notes have a column for each, whether or not the two have ever read differently.
    let alike = TANSY.swap("{port: 13, starboard: 14}", "13").swap("{port: 13½, starboard: ~}", "13½");
    assert_eq!(both(&alike), ["Jib lead", "Inhauler"]);
}

#[test]
fn each_strip_has_the_winds_of_its_own_side() {
    let winds = |side: &str| {
        let data = card(TANSY, &format!("strip-jib_lead-{side}")).content.data();
        data["lanes"][0]["labels"].as_array().unwrap().iter().map(|label| label["text"].clone()).collect::<Vec<Value>>()
    };
    assert_eq!(winds("starboard").last(), Some(&json!("● 6")));
    assert_ne!(winds("port"), winds("starboard"));
}

#[test]
fn a_reading_written_once_is_the_port_sides_where_the_scales_differ() {
    let book = load(TANSY);
    let (inhauler, recorded) = (&book.controls[2], &book.settings[0].rows[1].readings[2]);
    assert_eq!(Side::BOTH.map(|side| recorded.on(side, inhauler)), [Some(4.0), Some(4.5)]);
    let apart = load(&TANSY.swap("10: [2, 12, 4]", "10: [2, 12, {port: 4, starboard: 4}]"));
    assert_eq!(Side::BOTH.map(|side| apart.settings[0].rows[1].readings[2].on(side, inhauler)), [Some(4.0); 2]);
}

#[test]
fn a_table_has_a_column_for_each_side() {
    let text = TANSY.swap("  controls: [backstay, jib_lead, inhauler]\n  at:\n", "  table: j1.csv\n");
    let text: String = text
        .lines()
        .filter(|line| !line.starts_with("    6:") && !line.starts_with("    1"))
        .map(|line| format!("{line}\n"))
        .collect();
    let read = |table: &str| {
        let table = table.to_owned();
        let loaded = book::from_text("book", &text, &|_| Some(table.clone()), has_glyph);
        (loaded.book, loaded.problems)
    };
    let sound = "wind,backstay,jib_lead port,Inhauler,jib_lead STARBOARD\n6,0,13,2,14\n10,2,12,4,12\n14,4½,13½,5½,\n"
        .replace("Inhauler", "inhauler");
    let (book, problems) = read(&sound);
    let book = book.unwrap_or_else(|| panic!("{problems:?}"));
    let (lead, other) = (&book.controls[1], load(TANSY));
    assert_eq!(book.settings[0].controls, other.settings[0].controls);
    for (row, inline) in book.settings[0].rows.iter().zip(&other.settings[0].rows) {
        for side in Side::BOTH {
            assert_eq!(row.readings[1].on(side, lead), inline.readings[1].on(side, lead));
        }
    }
    let nones = sound.replace("10,2,12,4,12", "10,2,none,4,none");
    assert!(matches!(read(&nones).0.expect("a book").settings[0].rows[1].readings[1], Recorded::NotUsed(_)));
    for (table, says) in [
        (sound.replace("10,2,12,4,12", "10,2,12,4,none"), "not used on one side alone"),
        (sound.replace("STARBOARD", "port"), "two columns for port"),
        (sound.replace("jib_lead STARBOARD", "jib_lead"), "a column for both sides and one for a side"),
        (sound.replace("backstay", "backstay port"), "one reading and not one for each side"),
    ] {
        let (_, problems) = read(&table);
        assert!(problems.iter().any(|problem| problem.what.contains(says)), "{says}: {problems:?}");
    }
}

#[test]
fn what_cannot_have_two_sides_is_told_what_to_write() {
    let backstay = complaint(&TANSY.swap("10: [2,", "10: [{port: 2, starboard: 2},"));
    assert!(
        backstay.what.contains("the book has but one of it") && backstay.instead.contains("sides: both"),
        "{backstay:?}"
    );
    let across = TANSY.swap("  inhauler:", "  traveller: {scale: {centre: C, marks: 4, spacing: 25 mm, ends: [W, L], difference: {starboard: 1}}}\n  inhauler:");
    let traveller = complaint(&across);
    assert!(traveller.what.contains("lies across the boat"), "{traveller:?}");
    let port = complaint(&TANSY.swap("{starboard: ½}", "{port: ½}"));
    assert!(port.instead.contains("{starboard: -½}"), "{port:?}");
    let one_side = complaint(&TANSY.swap("starboard: 14}", "starboard: none}"));
    assert!(one_side.what.contains("not used on one side alone"), "{one_side:?}");
    let nobody = complaint(&TANSY.swap("{port: 13, starboard: 14}", "{}"));
    assert!(nobody.instead.contains("{port: 2, starboard: 2½}"), "{nobody:?}");
    let past = complaint(&TANSY.swap("{port: 13, starboard: 14}", "{port: 13, starboard: 21}"));
    assert!(past.what.contains("off the scale"), "{past:?}");
    let off = complaint(&TANSY.swap("limit: {never_above: 6}", "limit: {never_below: 0}").swap("5½]", "8]"));
    assert!(off.what.contains("off the scale to starboard"), "{off:?}");
    let limit = complaint(&TANSY.swap("5½]", "{port: 6, starboard: 7}]"));
    assert!(limit.what.contains("above the limit") && limit.what.contains("6½"), "{limit:?}");
}

#[test]
fn an_offset_moves_both_sides() {
    let text = TANSY.swap(
        "angle: 36..60}",
        "angle: 36..60}\n  j1b: {kind: headsail, wind: 4..17, angle: 36..60, replaces: j1, start_from: j1-upwind, offsets: {jib_lead: -1}}",
    );
    let book = load(&text).afloat();
    let lead = &book.settings[0].rows[0].readings[1];
    let written: Vec<f64> = lead.written().map(|(_, reading)| reading.value).collect();
    assert_eq!(written, [12.0, 13.0]);
}
