//! The sail-change card: the marks of both sails in the winds that they share, in the order of work.

use crate::common::{books, whole};
use crate::swap::Swap;
use cockpit_cards::book::{self, Book, Problem, Sail, Settings};
use cockpit_cards::cards::parts::matrix;
use cockpit_cards::cards::parts::moves::direction;
use cockpit_cards::cards::parts::words::{bare_words, point_of_sail, signed};
use cockpit_cards::cards::sail_change::SailChange;
use cockpit_cards::cards::{self, Card};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::tuning::{Band, Span, Wind};
use serde_json::Value;

const ENTRY: &str =
    "{kind: sail-change, from: j1, to: j2, before: [jib_lead], during: [jib_halyard], halyard: jib_halyard}";

/// The full example, but for the change that stands on the back of another card there.
fn full() -> String {
    include_str!("../../examples/full.yaml").swap(", back: j1-to-j2-upwind", "")
}

fn read(text: &str) -> (Book, Vec<Card>, Vec<Problem>) {
    let loaded = book::from_text("book", text, &whole::table, has_glyph);
    let (book, mut problems) = (loaded.book.unwrap(), loaded.problems);
    let cards = cards::cards(&book, &mut problems);
    (book, cards.into_iter().filter(|card| card.kind == "sail-change").collect(), problems)
}

#[test]
fn the_new_marks_are_those_of_the_new_sail_in_every_wind_that_both_are_for() {
    let (book, cards, _) = read(&full());
    let data = cards[0].content.data();
    // Both sails' marks for 14½ kn are within a step of those for 13½ and 15 kn.
    assert_eq!((cards.len(), &data["winds"]), (1, &serde_json::json!("13 to 16")));
    let settings = book.settings("j2-upwind").unwrap();
    let mut seen = 0;
    for (index, column) in settings.controls.iter().zip(matrix::columns(&book, settings)) {
        let (control, column) = (&book.controls[*index], column.unwrap());
        let column = column.alike().unwrap().whole().unwrap();
        let rows = data["parts"].as_array().unwrap().iter().flat_map(|part| part["controls"].as_array().unwrap());
        let row = rows.into_iter().find(|row| row["control"] == control.name.as_str()).unwrap();
        let mark = bare_words(&control.scale, column.at(Wind::knots(14.5)).reading);
        assert!(row["to"].as_str().unwrap().contains(&mark), "{}: {row} without {mark}", control.name);
        seen += 1;
    }
    assert_eq!(seen, 7);
    assert_eq!(data["unmarked"], serde_json::json!(["J2: Inhauler, Vang"]), "what only the J1 has");
}

/// Every sail-change card that a book can have, with the settings it changes between.
fn changes(book: &Book) -> Vec<(Value, Settings, Settings)> {
    let mut problems = Vec::new();
    let cards: Vec<Card> =
        cards::cards(book, &mut problems).into_iter().filter(|card| card.kind == "sail-change").collect();
    // Made-up sails may share a name.
    let named = |name: &Value| {
        let mut same = book.sails.iter().filter(|sail| sail.name == name.as_str().unwrap_or_default());
        same.next().filter(|_| same.next().is_none())
    };
    let mut found = Vec::new();
    for card in cards.iter().flat_map(|card| [Some(card), card.back.as_deref()]).flatten() {
        let data = card.content.data();
        let (Some(old), Some(new)) = (named(&data["from"]), named(&data["to"])) else { continue };
        let of = |sail: &Sail| -> Vec<Settings> {
            let point = |settings: &&Settings| point_of_sail(settings.point_of_sail) == data["point_of_sail"];
            let all = book.settings.iter().filter(point);
            all.filter(|settings| settings.sails.iter().any(|id| id.value == sail.id.value)).cloned().collect()
        };
        // Where a sail has two tables for a point of sail, nothing on the card tells which.
        let (from, to) = (of(old), of(new));
        if let ([from], [to]) = (&from[..], &to[..]) {
            found.push((data, from.clone(), to.clone()));
        }
    }
    found
}

/// A made-up book with a card of every sail change that it can have.
fn made_up(seed: u64) -> Option<Book> {
    let made = books::sound(&books::row(seed));
    let text: Vec<&str> = made.text.lines().collect();
    let start = text.iter().position(|line| line.starts_with("cards:"));
    let end = start.map(|start| start + 1 + text[start + 1..].iter().take_while(|line| line.starts_with(' ')).count());
    let (start, end) = (start.unwrap_or(text.len()), end.unwrap_or(text.len()));
    let text = [&text[..start], &text[end..], &["cards: [{kind: sail-change}]", ""]].concat().join("\n");
    book::from_text("book", &text, &|name| made.table(name), has_glyph).book
}

#[test]
fn every_change_of_every_made_up_book_points_the_way_both_curves_say_in_a_wind_that_both_sails_are_for() {
    const MADE_UP: u64 = 1100;
    let (mut pointed, mut stayed) = (0, 0);
    for seed in 0..MADE_UP {
        let Some(book) = made_up(seed) else { continue };
        for (data, from, to) in changes(&book) {
            let winds = [&from, &to].map(|settings| book.range_of(settings).wind_now().expect("winds"));
            let low = winds[0].low.max(winds[1].low);
            let high = winds[0].high.min(winds[1].high);
            assert!(low <= high, "{seed}: a card for no wind");
            let both = Span { low, high };
            let (first, last) = data["winds"].as_str().expect("winds").split_once(" to ").expect("two ends");
            // The card's winds are whole bands, or what is left of them.
            let ends = book.bands.iter().filter_map(|band| band.within(both)).flat_map(|band| [band.low, band.high]);
            let ends: Vec<Wind> = ends.chain([both.low, both.high]).collect();
            let find = |words: &str| ends.iter().copied().find(|end| end.print(book.units.wind) == words);
            let (Some(first), Some(last)) = (find(first), find(last)) else { panic!("{seed}: {}", data["winds"]) };
            let band = Band::from(Span { low: first, high: last });
            assert!(winds.iter().all(|winds| winds.holds(band.middle())), "{seed}: {band:?} is past a sail");
            let rows = data["parts"].as_array().expect("parts").iter();
            for row in rows.flat_map(|part| part["controls"].as_array().expect("controls")) {
                let index =
                    book.controls.iter().position(|control| control.name == row["control"].as_str().unwrap_or(""));
                let control = &book.controls[index.expect("a control")];
                let column = |settings: &Settings| {
                    let at = settings.controls.iter().position(|known| Some(*known) == index)?;
                    matrix::columns(&book, settings).into_iter().nth(at)??.alike()?.whole().cloned()
                };
                let (Some(before), Some(after)) = (column(&from), column(&to)) else { continue };
                let (before, after) = (before.at(band.middle()), after.at(band.middle()));
                let way = direction(control, after.reading > before.reading);
                let is_word = control.scale.has_only_names() && control.higher_is.is_none();
                let (goes, seen) = match before.reading == after.reading {
                    true => ("stays".to_owned(), &mut stayed),
                    false => (if is_word { "SET".to_owned() } else { way }, &mut pointed),
                };
                *seen += 1;
                assert_eq!(row["goes"], goes.as_str(), "{seed}, {row}");
                let mark = |reading: f64| bare_words(&control.scale, reading);
                assert_eq!(row["from"], mark(before.reading), "{seed}");
                assert_eq!(row["to"], signed(&mark(after.reading), after.ground), "{seed}");
                assert_eq!(row["ground"], serde_json::to_value(after.ground).expect("a ground"), "{seed}");
            }
        }
    }
    assert!(pointed > 200 && stayed > 30, "{pointed} pointed, {stayed} stayed");
}

#[test]
fn a_mainsail_for_more_wind_takes_its_part_off_the_winds_that_both_sails_are_for() {
    let (_, cards, _) = read(&full());
    assert_eq!(cards[0].content.data()["both"], "13 to 16");
    let (_, cards, _) = read(&full().swap("main: {kind: mainsail}", "main: {kind: mainsail, wind: 13.5..40}"));
    assert_eq!(cards[0].content.data()["both"], "13½ to 16");
    assert_eq!(cards[0].content.data()["winds"], "13½ to 16");
}

#[test]
fn the_parts_stand_in_the_order_of_work() {
    let (_, cards, _) = read(&full());
    let data = cards[0].content.data();
    let parts = data["parts"].as_array().unwrap();
    let names: Vec<_> = parts.iter().map(|part| part["name"].as_str().unwrap()).collect();
    assert_eq!(names, ["BEFORE", "DURING", "AFTER"]);
    assert_eq!(parts[0]["controls"][0]["control"], "Jib lead");
    assert_eq!(parts[1]["controls"][0]["control"], "Jib halyard");
}

#[test]
fn without_from_and_to_every_change_both_ways_has_a_card() {
    let (_, cards, problems) = read(&full().swap(ENTRY, "{kind: sail-change}"));
    let ids: Vec<_> = cards.iter().map(|card| card.id.as_str()).collect();
    assert_eq!(ids, ["j1-to-j2-upwind", "j2-to-j1-upwind", "j2-to-j3-upwind", "j3-to-j2-upwind"], "{problems:?}");
}

#[test]
fn one_strip_serves_both_sails_only_with_the_luff_and_strop_that_the_card_names() {
    let luff = |text: &str| read(text).1[0].says::<SailChange>().unwrap().luff.clone();
    assert!(luff(&full()).is_none(), "the strop makes up for the shorter luff");
    let bare = luff(&full().swap(", strop: 250 mm", "")).unwrap();
    assert!(bare.contains("250 mm shorter"), "{bare}");
    let quiet = full().swap(", strop: 250 mm", "").swap(", halyard: jib_halyard", "");
    assert!(luff(&quiet).is_none(), "nobody named the halyard");
}

#[test]
fn bad_input_has_its_place_and_a_remedy() {
    for (to, place, remedy) in [
        ("{kind: sail-change, from: j9}", "j9", "j1"),
        ("{kind: sail-change, from: j1, to: j3}", "{kind: sail-change", "ranges"),
        ("{kind: sail-change, before: [jib_led]}", "jib_led", "jib_lead"),
        ("{kind: sail-change, during: [jib_halyrd]}", "jib_halyrd", "jib_halyard"),
        ("{kind: sail-change, halyard: [jib_halyrd]}", "jib_halyrd", "jib_halyard"),
    ] {
        let text = full().swap(ENTRY, to);
        let (_, _, problems) = read(&text);
        let at = |problem: &&Problem| {
            problem
                .place
                .as_ref()
                .is_some_and(|p| text[p.bytes.start..].starts_with(place) || text[p.bytes.clone()].contains(place))
        };
        let found = problems.iter().find(at).unwrap_or_else(|| panic!("{to}: {problems:?}"));
        assert!(found.instead.contains(remedy), "{to}: {}", found.instead);
    }
}

/// Two jibs that both are for 10 to 14 kn, from 50° to 100° off the wind, with a table by angle each.
const BY_ANGLE: &str = "\
book: 1
boat: {name: Glasswort}
wind_bands: [4, 10, 14, 20]
controls:
  lead: {name: Lead, higher_is: aft, scale: {marks: 0..20, spacing: 20 mm, halves: true}}
  vang: {name: Vang, higher_is: tighter, scale: {marks: 0..10, spacing: 20 mm, halves: true}}
sails:
  main: {kind: mainsail}
  h1: {kind: headsail, name: H1, wind: 4..14, angle: 40..100}
  h2: {kind: headsail, name: H2, wind: 10..20, angle: 50..120}
settings:
  - id: h1-reach
    sails: [main, h1]
    controls: [lead, vang]
    between: {lead: linear, vang: linear}
    angle_bands: [40, 70, 100]
    at:
      8:  {50: [10, 2], 90: [6, 4]}
      16: {50: [12, 4], 90: [8, 6]}
  - id: h2-reach
    sails: [main, h2]
    controls: [lead, vang]
    between: {lead: linear, vang: linear}
    angle_bands: [50, 70, 90, 110]
    at:
      8:  {50: [9, 2], 110: [3, 8]}
      16: {50: [11, 4], 110: [5, 10]}
cards: [{kind: sail-change, from: h1, to: h2}]
";

fn of_lead(card: &Card) -> Vec<String> {
    let content = card.says::<SailChange>().unwrap();
    let rows = content.parts.iter().flat_map(|part| &part.controls);
    let lead = rows.into_iter().find(|row| row.control == "Lead").unwrap();
    vec![format!("{} to {}, {}", lead.from, lead.to, lead.goes)]
}

#[test]
fn tables_by_angle_meet_in_each_band_of_angle_that_both_sails_and_tables_are_for() {
    let (_, cards, problems) = read(BY_ANGLE);
    let told = cards.iter().map(|card| card.says::<SailChange>().unwrap()).collect::<Vec<_>>();
    let courses: Vec<&str> = told.iter().map(|card| card.point_of_sail.as_str()).collect();
    assert_eq!(courses, ["50° to 70°", "70° to 90°", "90° to 100°"], "{problems:?}");
    assert_eq!(
        cards.iter().map(|card| card.id.as_str()).collect::<Vec<_>>(),
        ["h1-reach-to-h2-reach", "h1-reach-to-h2-reach-2", "h1-reach-to-h2-reach-3"]
    );
    for card in &told {
        assert_eq!((card.both.as_str(), card.angles.as_deref()), ("10 to 14", Some("50° to 100°")));
        assert_eq!(card.winds, "10 to 14");
    }
    assert_eq!(told[1].at_angle.as_deref(), Some("80°"));
    // By hand, at 12 kn, halfway from 8 to 16: the old sail 11 less a tenth for each degree past 50, the new one 10 less as
    // much; the old one's table ends at 90°.
    assert_eq!(of_lead(&cards[0]), ["10 to 9, FORWARD"]);
    assert_eq!(of_lead(&cards[1]), ["8 to 7, FORWARD"]);
    assert_eq!(of_lead(&cards[2]), ["7 to 5½, FORWARD"]);
    let words = format!("{:?}", cards[1].content.working());
    assert!(words.contains("12 kn and 80°") && words.contains("50° to 100°"), "{words}");
}

#[test]
fn a_table_by_point_of_sail_meets_one_by_angle_over_the_angles_that_it_stands_for() {
    let table = &BY_ANGLE[BY_ANGLE.find("  - id: h1-reach").unwrap()..BY_ANGLE.find("  - id: h2-reach").unwrap()];
    let plain = "  - {id: h1-beam, sails: [main, h1], point_of_sail: beam-reach, controls: [lead, vang], \
                 at: {8: [7, 3], 16: [9, 5]}}\n";
    let (_, cards, problems) = read(&BY_ANGLE.swap(table, plain));
    let told = cards.iter().map(|card| card.says::<SailChange>().unwrap()).collect::<Vec<_>>();
    // A beam reach is from 80° to 110° where a book does not say otherwise, and the old sail is for no more than 100°.
    let courses: Vec<&str> = told.iter().map(|card| card.point_of_sail.as_str()).collect();
    assert_eq!(courses, ["80° to 90°", "90° to 100°"], "{problems:?}");
    assert_eq!(told[0].angles.as_deref(), Some("80° to 100°"));
    // At 12 kn and 85° the new sail has 10 − 3½; the old one has 8 at any angle.
    assert_eq!(of_lead(&cards[0]), ["8 to 6½, FORWARD"]);
    // The other way as well, by the bands of the table that has them.
    let other_way = BY_ANGLE.swap(table, plain).swap("from: h1, to: h2", "from: h2, to: h1");
    let (_, cards, _) = read(&other_way);
    assert_eq!(of_lead(&cards[0]), ["6½ to 8, AFT"]);
}

#[test]
fn a_table_by_angle_stands_back_where_both_sails_have_one_for_the_point_of_sail() {
    let plain = |sail: &str, mark: u8| {
        format!(
            "  - {{id: {sail}-beam, sails: [main, {sail}], point_of_sail: beam-reach, controls: [lead], at: {{8: [{mark}], 16: [9]}}}}\n"
        )
    };
    let text = BY_ANGLE.swap("cards:", &format!("{}{}cards:", plain("h1", 3), plain("h2", 4)));
    let (_, cards, problems) = read(&text);
    let ids: Vec<&str> = cards.iter().map(|card| card.id.as_str()).collect();
    let by_angle = ["h1-reach-to-h2-reach", "h1-reach-to-h2-reach-2", "h1-reach-to-h2-reach-3"];
    assert_eq!(ids, [&by_angle[..], &["h1-to-h2-beam-reach"]].concat(), "{problems:?}");
}

#[test]
fn tables_whose_angles_only_touch_have_no_sail_change() {
    let (_, cards, problems) = read(&BY_ANGLE.swap("angle: 50..120", "angle: 100..120"));
    assert!(cards.is_empty());
    assert!(problems.iter().any(|problem| problem.instead.contains("angles that overlap")), "{problems:?}");
}

/// Two jibs with a control that runs six marks over the winds that both are for.
const FAST: &str = "\
book: 1
boat: {name: Glasswort}
wind_bands: [4, 10, 12, 14, 20]
controls:
  lead: {name: Lead, higher_is: aft, scale: {marks: 0..20, spacing: 20 mm}}
  vang: {name: Vang, higher_is: tighter, scale: {marks: 0..40, spacing: 5 mm}}
  outhaul: {name: Outhaul, scale: {words: [eased, hard]}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, name: J1, wind: 4..14, angle: 30..60}
  j2: {kind: headsail, name: J2, wind: 10..20, angle: 30..60}
settings:
  - {id: j1-up, sails: [main, j1], point_of_sail: upwind, controls: [lead, vang, outhaul], at: {8: [2, 20, eased], 16: [14, 20, eased]}}
  - {id: j2-up, sails: [main, j2], point_of_sail: upwind, controls: [lead, vang, outhaul], at: {8: [4, none, hard], 11: [~, none, ~], 13: [~, none, ~], 16: [10, none, hard]}}
cards: [{kind: sail-change, from: j1, to: j2, before: [lead]}]
";

#[test]
fn winds_for_which_no_one_mark_serves_have_a_card_each() {
    let (_, cards, problems) = read(FAST);
    let winds: Vec<String> = cards.iter().map(|card| card.says::<SailChange>().unwrap().winds.clone()).collect();
    assert_eq!(winds, ["10 to 12", "12 to 14"], "{problems:?}");
    let ids: Vec<&str> = cards.iter().map(|card| card.id.as_str()).collect();
    assert_eq!(ids, ["j1-to-j2-upwind", "j1-to-j2-upwind-2"]);
    let slow =
        FAST.swap("16: [14, 20, eased]", "16: [4, 20, eased]").swap("16: [10, none, hard]", "16: [5, none, hard]");
    let slow = slow.replace("none", "20");
    assert_eq!(read(&slow).1.len(), 1, "a quarter of a mark to the knot is one card");
}

#[test]
fn a_control_that_is_not_used_with_the_new_sail_goes_off_and_a_word_is_set() {
    let (_, cards, problems) = read(FAST);
    let card = cards.first().unwrap_or_else(|| panic!("{problems:?}")).says::<SailChange>().unwrap();
    let told: Vec<[&str; 4]> = card
        .parts
        .iter()
        .flat_map(|part| &part.controls)
        .map(|row| [row.control.as_str(), row.from.as_str(), row.to.as_str(), row.goes.as_str()])
        .collect();
    assert_eq!(told[1], ["Vang", "20", "–", "OFF"], "a dash only where the book says none");
    assert_eq!(told[2], ["Outhaul", "eased", "hard", "SET"]);
    assert!(card.unmarked.is_empty());
}

#[test]
fn the_new_sail_s_mark_is_the_biggest_of_its_row_and_the_state_of_the_sails_is_said_over_each_part() {
    let (drawn, problems) = whole::draw(FAST);
    let drawing = drawn[0].drawing.as_ref().unwrap_or_else(|| panic!("{problems:?}"));
    let find = |words: &str| drawing.texts().find(|text| text.content == words).unwrap_or_else(|| panic!("{words}"));
    assert!(find("hard").cap_height() > find("eased").cap_height());
    assert!(find("hard").cap_height() > find("Outhaul").cap_height());
    assert!(find("BEFORE · J1 still up").origin.y < find("Lead").origin.y);
    assert!(find("Lead").origin.y < find("AFTER · J2 set and sheeted").origin.y);
}
