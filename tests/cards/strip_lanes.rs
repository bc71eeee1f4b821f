//! What a strip says beside its marks: pressures that were measured or worked out, and the winds that call for each.

use cockpit_cards::book::Level;
use cockpit_cards::cards::parts::matrix::columns;
use cockpit_cards::cards::strip::Strip;
use cockpit_cards::cards::{self, Card, Edition, Label};
use kurbo::{Point, Rect};
use proptest::prelude::*;

use crate::reading::load;
use crate::strip_kinds::{book, strips, whole_marks, with_control};
use crate::swap::Swap;

/// What the first lane of a strip says: where, what, and whether it was worked out.
fn lane(card: &Card) -> Vec<(f64, String, bool)> {
    let lane = &card.says::<Strip>().expect("a strip").lanes[0];
    lane.labels.iter().map(|label| (label.at_mm, label.text.clone(), label.worked_out)).collect()
}

#[test]
fn between_pressures_that_were_measured_a_strip_prints_about_what_to_look_for_and_that_the_gauge_decides() {
    let text = with_control(
        "{marks: 0..8, spacing: 20 mm}",
        "{width: 40 mm, reading_distance: 700 mm, grows: up, beside: {4: 143 bar, 0: 0 bar}}",
    );
    let (card, drawing) = strips(&book(&text)).remove(0);
    let read = lane(&card);
    let measured: Vec<(f64, &str)> =
        read.iter().filter(|(_, _, worked_out)| !worked_out).map(|(at, text, _)| (*at, text.as_str())).collect();
    assert_eq!(measured, [(0.0, "0 bar"), (80.0, "143 bar")]);
    // By hand, on the straight through two points: 35.75, 71.5 and 107.25; never rounded up.
    let about: Vec<(f64, &str)> =
        read.iter().filter(|(_, _, worked_out)| *worked_out).map(|(at, text, _)| (*at, text.as_str())).collect();
    assert_eq!(about, [(20.0, "≈ 35 bar"), (40.0, "≈ 71 bar"), (60.0, "≈ 107 bar")]);
    let printed = drawing.texts().filter(|text| text.content.ends_with(" bar")).count();
    assert_eq!(printed, 5);
    let words: Vec<&str> = drawing.texts().map(|text| text.content.as_str()).collect();
    let words = words.join(" ");
    assert!(words.contains("The gauge decides") && words.contains("≈ is worked out between two"), "{words}");
}

#[test]
fn nothing_but_pressures_of_one_unit_is_worked_out_between_marks_and_nothing_beyond_them() {
    for beside in ["{2: 0 kN, 6: 9 kN}", "{2: 0 bar, 6: 2000 psi}", "{2: 0 bar, 6: 14 kN}"] {
        let strip = format!("{{width: 40 mm, reading_distance: 700 mm, grows: up, beside: {beside}}}");
        let (card, _) = strips(&book(&with_control("{marks: 0..8, spacing: 20 mm}", &strip))).remove(0);
        assert_eq!(lane(&card).len(), 2, "{beside}");
    }
    let strip = "{width: 40 mm, reading_distance: 700 mm, grows: up, beside: {2: 300 psi, 6: 1900 psi}}";
    let (card, _) = strips(&book(&with_control("{marks: 0..8, spacing: 20 mm}", strip))).remove(0);
    // Two points, so a straight line: 400 psi from mark to mark.
    let texts: Vec<String> = lane(&card).into_iter().map(|(_, text, _)| text).collect();
    assert_eq!(texts, ["300 psi", "≈ 700 psi", "≈ 1100 psi", "≈ 1500 psi", "1900 psi"]);
    let tapes = "{tapes: [{name: red, from: 0 mm, to: 60 mm}, {name: blue, from: 60 mm, to: 120 mm}, {name: green, from: 120 mm, to: 180 mm}]}";
    let strip = "{width: 60 mm, reading_distance: 700 mm, grows: up, beside: {red: 10 bar, green: 90 bar}}";
    let (card, _) = strips(&book(&with_control(tapes, strip))).remove(0);
    assert_eq!(lane(&card).len(), 2, "there is no place between two tapes");
}

#[test]
fn on_a_crowded_strip_what_was_measured_goes_before_what_is_worked_out() {
    let strip = "{width: 30 mm, reading_distance: 500 mm, grows: starboard, reader_stands: aft, beside: {0: 0 bar, 2: 60 bar, 8: 150 bar}}";
    let (card, drawing) = strips(&book(&with_control("{marks: 0..8, spacing: 12 mm}", strip))).remove(0);
    assert_eq!(lane(&card).len(), 9);
    let printed: Vec<&str> =
        drawing.texts().map(|text| text.content.as_str()).filter(|text| text.ends_with(" bar")).collect();
    for measured in ["0 bar", "60 bar", "150 bar"] {
        assert!(printed.contains(&measured), "{measured}: {printed:?}");
    }
    assert!(printed.len() < 9, "{printed:?}");
}

#[test]
fn winds_of_settings_that_do_not_exist_or_do_not_move_the_control_are_problems() {
    let text = |winds: &str| {
        format!(
            "book: 1\nboat: {{name: Pepperwort}}\ncontrols:\n  lead: {{scale: {{marks: 0..8, spacing: 20 mm}}, strip: {{width: 32 mm, winds: [{winds}]}}}}\n  halyard: {{scale: {{marks: 0..8, spacing: 20 mm}}}}\nsails: {{j: {{kind: headsail}}}}\nsettings:\n  - {{id: up, sails: [j], point_of_sail: upwind, controls: [halyard], at: {{6: [1], 12: [4]}}}}\n"
        )
    };
    for (winds, what) in [("upp", "there are no settings"), ("up", "say nothing of Lead")] {
        let book = load(&text(winds)).book.expect("a book");
        let mut problems = Vec::new();
        cards::cards(&book, &mut problems);
        assert!(problems.iter().any(|problem| problem.what.contains(what) && problem.place.is_some()), "{problems:?}");
    }
}

fn windy(rows: &[(u32, u32)], grows: &str, spacing: u32) -> String {
    let rows: Vec<String> = rows.iter().map(|(wind, mark)| format!("{wind}: [{mark}]")).collect();
    format!(
        "book: 1\nboat: {{name: Pepperwort}}\ncontrols:\n  lead: {{scale: {{marks: 0..8, spacing: {spacing} mm}}, strip: {{grows: {grows}, reader_stands: aft, width: 150 mm, winds: [up, up]}}}}\nsails: {{j: {{kind: headsail}}}}\nsettings:\n  - {{id: up, sails: [j], point_of_sail: upwind, controls: [lead], at: {{{}}}}}\n",
        rows.join(", ")
    )
}

/// `9` or `9½`.
fn halves(text: &str) -> f64 {
    match text.strip_suffix('½') {
        Some("") => 0.5,
        Some(whole) => whole.parse::<f64>().expect("a number") + 0.5,
        None => text.parse().expect("a number"),
    }
}

/// Whether a text is also the number of a mark.
fn numeral(card: &Card, text: &str) -> bool {
    card.content.marks().iter().any(|mark| mark.label == text)
}

/// Each lane of the first strip of a book: what it says it is, and its words from the lowest mark up.
fn lanes_of(text: &str) -> Vec<(String, Vec<String>)> {
    // A row beyond what the sails are for is warned of.
    let book = load(text).book.expect("a book");
    let mut problems = Vec::new();
    let card = cards::cards(&book, &mut problems).into_iter().find(|card| card.kind == "strip").expect("a strip");
    let data = card.content.data();
    let lanes = data["lanes"].as_array().expect("lanes").iter().map(|lane| {
        let labels = lane["labels"].as_array().expect("labels").iter();
        let words = labels.map(|label| label["text"].as_str().expect("words").to_owned());
        (lane["explains"].as_str().expect("a sentence").to_owned(), words.collect())
    });
    lanes.collect()
}

#[test]
fn a_lane_calls_no_wind_fast_that_nobody_has_sailed_with_the_sail() {
    let lanes = lanes_of(include_str!("../books/found/lane-nobody-sailed.yaml"));
    let [(explains, words)] = &lanes[..] else { panic!("{lanes:?}") };
    assert_eq!(explains, "J1b + Main, upwind, kn: » carried over from another sail");
    assert_eq!(words, &["» 6", "» 8", "» 10", "» 12", "» 14", "» 16", "» 18"]);
}

#[test]
fn a_lane_tells_the_winds_that_were_sailed_from_those_worked_out_between() {
    let lanes = lanes_of(include_str!("../books/found/lanes-between-sailed-winds.yaml"));
    let said = "● sailed, where it was fast; no sign: worked out between sailed winds";
    assert_eq!(lanes[0].0, format!("J1 + Main, upwind, kn: {said}"));
    // The rows are 6, 10, 14 and 20 kn; at 10 kn it was between two marks.
    assert_eq!(lanes[0].1, ["● 6", "7½", "9", "11", "12½", "● 14", "16", "18", "● 20"]);
    // Where it stayed put from one row to the next, both ends were sailed.
    assert_eq!(lanes[1].1, ["● 8 to 12", "14", "14½", "15½", "● 16"]);
    // The same with a range that ends in between, and with a control that steps: what is named was not sailed.
    let text = include_str!("../books/found/lanes-between-sailed-winds.yaml");
    let narrower = text.swap("j2: {kind: headsail}", "j2: {kind: headsail, wind: 9..30}");
    assert_eq!(lanes_of(&narrower)[1].1[0], "9 to 12");
    let steps = text.swap("at: {8: [2], 12: [2], 16: [6]}", "at: {8: [2], 12: [2], 16: [6]}, between: {a: step}");
    assert_eq!(lanes_of(&steps)[1].1, ["8 to 14", "14 to 16"]);
}

#[test]
fn where_a_lane_has_no_room_for_all_its_winds_those_that_were_sailed_stay() {
    let text = "book: 1\nboat: {name: Pepperwort}\ncontrols:\n  lead: {scale: {marks: 0..9, spacing: 8 mm}, strip: \
                {width: 40 mm, winds: [up]}}\nsails: {j: {kind: headsail}}\nsettings:\n  - {id: up, sails: [j], \
                point_of_sail: upwind, controls: [lead], at: {6: [1], 15: [4], 21: [9]}}\n";
    let (card, drawing) = strips(&book(text)).remove(0);
    let printed: Vec<&str> = drawing.texts().map(|text| text.content.as_str()).collect();
    for sailed in ["● 6", "● 15", "● 21"] {
        assert!(printed.contains(&sailed), "{sailed} of {printed:?}");
    }
    let data = card.content.data();
    let labels = data["lanes"][0]["labels"].as_array().expect("labels");
    let left_out = labels.iter().filter(|label| !printed.contains(&label["text"].as_str().expect("words"))).count();
    assert!(left_out > 0, "there is room for all: {printed:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn every_wind_beside_a_mark_gives_that_mark_back_and_no_two_words_touch(
        marks in proptest::collection::vec(0_u32..=8, 2..7),
        gaps in proptest::collection::vec(1_u32..5, 7),
        grows in prop_oneof![Just("aft"), Just("port")],
        spacing in 16_u32..34,
    ) {
        let mut wind = 3;
        let rows: Vec<(u32, u32)> = marks.iter().zip(&gaps).map(|(mark, gap)| { wind += gap; (wind, *mark) }).collect();
        let book = book(&windy(&rows, grows, spacing));
        let column = columns(&book, &book.settings[0]).remove(0).expect("readings");
        let column = column.alike().expect("one side").whole().expect("used everywhere");
        let mut problems = Vec::new();
        let card = cards::cards(&book, &mut problems).into_iter().find(|card| card.kind == "strip").expect("a strip");
        let label = Label::new(&book, &card.stamp, Edition::Draft);
        // A curve that comes back to a mark again and again needs more width than a strip may have; that is a problem.
        let drawing = cards::draw(&card, &label, &mut problems);
        prop_assert!(drawing.is_some() || problems.iter().any(|problem| problem.instead.contains("width")), "{problems:?}");
        prop_assume!(drawing.is_some());
        let drawing = drawing.expect("just seen");
        let data = card.content.data();
        let mut seen = 0;
        for label in data["lanes"][0]["labels"].as_array().expect("labels") {
            let place = cockpit_cards::length::Length::mm(label["at_mm"].as_f64().expect("a place"));
            let mark = column.scale().reading_at(place).expect("a mark");
            for winds in label["winds_kn"].as_array().expect("winds") {
                for end in winds.as_array().expect("two ends") {
                    let back = column.curve().at(end.as_f64().expect("a wind")).expect("a known wind");
                    prop_assert!((back - mark).abs() < 1e-4, "{end} kn gives {back}, not {mark}");
                    seen += 1;
                }
            }
            // A wind that is called sailed is a row, at both its ends; and a row that stands at a mark is called so.
            for (winds, ground) in label["winds_kn"].as_array().expect("winds").iter().zip(label["grounds"].as_array().expect("grounds")) {
                let is_row = |end: &serde_json::Value| rows.iter().any(|(wind, _)| end.as_f64() == Some(f64::from(*wind)));
                let all = winds.as_array().expect("two ends").iter().all(is_row);
                prop_assert_eq!(ground.as_str() == Some("sailed"), all, "{}", label);
            }
        }
        // What is printed is that wind to half a knot, and it stands at its mark.
        let along = |point: Point| if grows == "aft" { point.y } else { -point.x };
        let datum = whole_marks(&drawing)[0].p0;
        let labels = data["lanes"][0]["labels"].as_array().expect("labels");
        for label in labels {
            let said = label["text"].as_str().expect("a text");
            let printed: Vec<f64> = said.split([',', ' ']).filter(|word| !["", "to", "●"].contains(word)).map(halves).collect();
            for end in label["winds_kn"].as_array().expect("winds").iter().flat_map(|ends| ends.as_array().expect("two ends")) {
                let wind = end.as_f64().expect("a wind");
                prop_assert!(printed.iter().any(|said| (said - wind).abs() <= 0.25 + 1e-6), "{wind} kn as “{said}”");
            }
            let alike = || labels.iter().filter(|other| other["text"] == label["text"]);
            for text in drawing.texts().filter(|text| text.content == said && !numeral(&card, said)) {
                let middle = along(text.bounds().center()) - along(datum);
                // A line box has room for tails below its letters.
                let near = alike().filter_map(|other| other["at_mm"].as_f64()).any(|place| (place - middle).abs() < 1.0);
                prop_assert!(near, "“{said}” stands at {middle} mm");
            }
        }
        // Whole marks that were sailed are all there.
        prop_assert!(seen >= 1);
        let boxes: Vec<(Rect, &str)> = drawing
            .texts()
            .filter(|text| text.content != "EXAMPLE")
            .map(|text| (text.bounds().inset(-0.05), text.content.as_str()))
            .collect();
        for (index, (a, first)) in boxes.iter().enumerate() {
            for (b, second) in &boxes[index + 1..] {
                prop_assert!(a.intersect(*b).area() <= 0.0, "“{first}” lies on “{second}”");
            }
        }
    }
}

/// What is said about the strip of a book with so many lanes of winds beside the marks, of sails with names so long.
fn with_lanes(lanes: usize, letters: usize, width_mm: f64) -> String {
    let lane =
        |count: &mut dyn Iterator<Item = usize>, words: &dyn Fn(usize) -> String| count.map(words).collect::<Vec<_>>();
    let sails =
        lane(&mut (0..lanes), &|nth| format!("  j{nth}: {{kind: headsail, name: {}{nth}}}\n", "J".repeat(letters)));
    let settings = lane(&mut (0..lanes), &|nth| {
        format!(
            "  - {{id: s{nth}, sails: [j{nth}], point_of_sail: upwind, controls: [lead], at: {{6: [0], 10: [4], 14: [8]}}}}\n"
        )
    });
    let winds: Vec<String> = (0..lanes).map(|nth| format!("s{nth}")).collect();
    let strip = format!("{{grows: up, winds: [{}], width: {width_mm} mm}}", winds.join(", "));
    let text = with_control("{marks: 0..8, spacing: 20 mm}", &strip)
        + "cards: [{kind: strip}]\nsails:\n"
        + &sails.concat()
        + "settings:\n"
        + &settings.concat();
    let loaded = load(&text);
    let mut problems = Vec::new();
    cockpit_cards::printing::check(loaded.book.as_ref().expect("a book"), &mut problems);
    problems.retain(|problem| problem.level == Level::Error);
    problems.iter().map(|problem| format!("{}: {}\n", problem.what, problem.instead)).collect()
}

#[test]
fn a_strip_too_narrow_for_its_lanes_asks_for_a_width_that_the_book_may_give_or_for_less_to_hold() {
    // What `strip` may be at most, millimetres, as the handbook says.
    const WIDEST: f64 = 150.0;
    let (mut widened, mut too_much) = (0, 0);
    for lanes in 1..=4 {
        for letters in [1, 4, 9, 16, 24] {
            let said = with_lanes(lanes, letters, 22.0);
            if let Some((_, rest)) = said.split_once("`width: ") {
                let advised: f64 = rest.split_once(" mm").and_then(|(width, _)| width.parse().ok()).expect("a width");
                assert!(advised <= WIDEST, "{said}");
                assert_eq!(with_lanes(lanes, letters, advised), "", "what was advised is enough");
                widened += 1;
            } else if !said.is_empty() {
                assert!(said.contains("name fewer settings under `winds`"), "{said}");
                assert_ne!(with_lanes(lanes, letters, WIDEST), "", "the widest strip would have held it");
                too_much += 1;
            }
        }
    }
    assert!(widened > 3 && too_much > 1, "{widened} {too_much}");
}
