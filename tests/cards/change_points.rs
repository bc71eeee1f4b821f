//! The ladder of change points: nothing missed, nothing invented, the same marks as the settings themselves, and the rungs
//! in the order in which they are climbed.
use crate::common;
use crate::swap::Swap;

use cockpit_cards::book::{self, Book, Level, Problem};
use cockpit_cards::cards::parts::matrix;
use cockpit_cards::cards::{self, change_points};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::drawing::{Drawing, Text, Weight};
use cockpit_cards::tuning::Wind;
use common::{picture, whole};
use proptest::prelude::*;

const FULL: &str = include_str!("../../examples/full.yaml");

fn read(text: &str) -> (Book, Vec<Problem>) {
    let loaded = book::from_text("book", text, &|_| None, has_glyph);
    (loaded.book.unwrap_or_else(|| panic!("{:?}", loaded.problems)), loaded.problems)
}

fn ladder(book: &Book, id: &str) -> change_points::ChangePoints {
    let mut problems = Vec::new();
    change_points::content(book, book.settings(id).unwrap(), None, &mut problems).unwrap()
}

/// Walks a ladder from its foot and compares it with the table every hundredth of a knot.
fn agrees_with_a_scan(book: &Book, id: &str) {
    const STEP: f64 = 0.01;
    let settings = book.settings(id).unwrap();
    let ladder = ladder(book, id);
    for (control, column) in settings.controls.iter().zip(matrix::columns(book, settings)) {
        let column = column.unwrap();
        let (first, last) = (column.known()[0].at.to_knots(), column.known().last().unwrap().at.to_knots());
        let changes: Vec<_> =
            ladder.rungs.iter().flat_map(|rung| &rung.exact).filter(|(of, _)| of == control).map(|(_, c)| *c).collect();
        for step in 0..((last - first) / STEP) as usize {
            let wind = first + (step as f64 + 0.5) * STEP;
            // A wind that stands on a change itself belongs to either side.
            if changes.iter().any(|change| (change.at.to_knots() - wind).abs() < 1e-6)
                || column.known().iter().any(|known| (known.at.to_knots() - wind).abs() < 1e-6)
            {
                continue;
            }
            let passed = changes.iter().rev().find(|change| change.at.to_knots() < wind);
            let next = changes.iter().find(|change| change.at.to_knots() >= wind);
            let expected = passed.map(|change| change.to).or(next.map(|change| change.from));
            let reading = column.at(Wind::knots(wind)).reading;
            assert!(expected.is_none_or(|mark| mark == reading), "{id}, {control} at {wind}: {expected:?}, {reading}");
        }
    }
}

#[test]
fn no_change_of_the_full_example_is_missed_against_a_scan_at_a_hundredth_of_a_knot() {
    let (book, _) = read(FULL);
    for settings in book.settings.iter().filter(|settings| settings.angled.is_none()) {
        agrees_with_a_scan(&book, &settings.id.value);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(40))]
    #[test]
    fn no_change_of_a_random_table_is_missed(marks in prop::collection::vec(0_i32..=16, 2..6)) {
        let rows: String = marks.iter().enumerate().map(|(i, half)| format!("{}: [{}], ", 4 + 3 * i, f64::from(*half) / 2.0)).collect();
        let text = format!(
            "book: 1\nboat: {{name: Pepperwort}}\ncontrols: {{backstay: {{scale: {{marks: 0..8, spacing: 20 mm, halves: true}}}}}}\n\
             sails: {{j1: {{kind: headsail}}}}\nsettings:\n  - {{id: t, sails: [j1], point_of_sail: upwind, controls: [backstay], at: {{{rows}}}}}\n"
        );
        let (book, _) = read(&text);
        prop_assume!(marks.iter().any(|mark| *mark != marks[0]));
        agrees_with_a_scan(&book, "t");
    }
}

#[test]
fn rungs_stand_at_half_knots_each_once_with_the_night_wind_two_knots_below() {
    let (book, _) = read(FULL);
    let ladder = ladder(&book, "j2-upwind");
    let number = |text: &str| text.replace('½', ".5").parse::<f64>().unwrap();
    let winds: Vec<f64> = ladder.rungs.iter().map(|rung| number(&rung.wind)).collect();
    assert!(winds.windows(2).all(|pair| pair[0] < pair[1]), "{winds:?}");
    for (rung, wind) in ladder.rungs.iter().zip(&winds) {
        assert_eq!(number(rung.night.as_deref().unwrap()), wind - 2.0);
        for (_, change) in &rung.exact {
            assert!((change.at.to_knots() - wind).abs() <= 0.25, "{:?} on the rung at {wind}", change.at);
        }
    }
}

#[test]
fn easing_undoes_building_and_says_so_in_words() {
    let (book, _) = read(FULL);
    for rung in ladder(&book, "j2-upwind").rungs {
        assert!(!rung.building.is_empty());
        for (up, down) in rung.building.iter().zip(&rung.easing) {
            // The unit stands once, behind the second number.
            let bare = |text: &String| text.trim_end_matches(" bar").to_owned();
            assert_eq!((bare(&up.from), bare(&up.to)), (bare(&down.to), bare(&down.from)));
            assert_ne!(up.from, up.to, "no rung tells anyone to stay");
        }
        for backstay in rung.building.iter().filter(|one| one.control == "Backstay") {
            assert_eq!(backstay.direction, "TIGHTER");
        }
        for lead in rung.easing.iter().filter(|one| one.control == "Jib lead") {
            assert_eq!(lead.direction, "FORWARD");
        }
    }
}

#[test]
fn without_dark_there_is_no_night_column() {
    let (book, _) = read(&FULL.swap("dark: {change_earlier: 2 kn}", ""));
    assert!(ladder(&book, "j2-upwind").rungs.iter().all(|rung| rung.night.is_none()));
}

#[test]
fn bad_input_has_its_place_and_a_remedy() {
    for (from, to, place, remedy) in [
        ("change_earlier: 2 kn", "change_earlier: 2 kg", "2 kg", ""),
        ("change_earlier: 2 kn", "change_earlier: -3 kn", "-3 kn", ""),
        ("change_earlier: 2 kn", "change_erlier: 2 kn", "change_erlier", "change_earlier"),
        ("settings: j3-reef-upwind}   #", "settings: j3-ref-upwind}   #", "j3-ref-upwind", "j3-reef-upwind"),
    ] {
        let text = FULL.swap(from, to);
        assert_ne!(text, FULL, "{from}");
        let loaded = book::from_text("book", &text, &|_| None, has_glyph);
        let mut problems = loaded.problems;
        if let Some(book) = &loaded.book {
            cards::cards(book, &mut problems);
        }
        let at = |problem: &&Problem| problem.place.as_ref().is_some_and(|p| text[p.bytes.clone()].contains(place));
        let found = problems.iter().find(at).unwrap_or_else(|| panic!("{to}: {problems:?}"));
        assert!(!found.instead.is_empty() && found.instead.contains(remedy), "{to}: {}", found.instead);
    }
}

/// The card of a settings table of the full example at this size, or all that is wrong with it.
fn drawn(settings: &str, size: &str) -> Result<Drawing, Vec<Problem>> {
    let entry = format!("  - {{kind: change-points, settings: {settings}, size: {size}, id: the-ladder}}\n");
    let (drawn, problems) = whole::draw(&format!("{FULL}{entry}"));
    let card = drawn.into_iter().find(|drawn| drawn.card.id == "the-ladder").expect("the card");
    card.drawing.ok_or(problems)
}

/// The texts under each head of this name, from the lowest up.
fn columns_under<'a>(drawing: &'a Drawing, head: &str) -> Vec<Vec<&'a Text>> {
    let heads = drawing.texts().filter(|text| text.content == head);
    let mut heads: Vec<&Text> = heads.collect();
    heads.sort_by(|a, b| a.origin.x.total_cmp(&b.origin.x));
    let under = |head: &Text| {
        let below = |text: &&Text| text.origin.x == head.origin.x && text.origin.y > head.origin.y + 1.0;
        let mut texts: Vec<&Text> = drawing.texts().filter(|text| text.weight == Weight::Bold).filter(below).collect();
        texts.sort_by(|a, b| b.origin.y.total_cmp(&a.origin.y));
        // What stands under the ladder says where to start, and more.
        texts.retain(|text| text.content.replace('½', "").parse::<u32>().is_ok());
        texts
    };
    heads.into_iter().map(under).collect()
}

fn say(drawing: &Drawing, words: &str) -> bool {
    drawing.texts().any(|text| text.content == words)
}

#[test]
fn a_ladder_that_fits_stands_in_one() {
    let (book, _) = read(FULL);
    for settings in ["j2-upwind", "j3-upwind", "j3-reef-upwind", "j1-close-reach"] {
        let drawing = drawn(settings, "A5").expect("it fits");
        let rungs = ladder(&book, settings).rungs;
        assert!(say(&drawing, "BUILDING: read up") && say(&drawing, "EASING: down"), "{settings}");
        let head = if say(&drawing, "WIND kn") { "WIND kn" } else { "kn" };
        let [column] = columns_under(&drawing, head).try_into().unwrap_or_else(|_| panic!("{settings}: one ladder"));
        let climbed: Vec<&String> = column.iter().map(|text| &text.content).collect();
        assert_eq!(climbed, rungs.iter().map(|rung| &rung.wind).collect::<Vec<_>>(), "{settings}");
    }
}

/// Its 38 moves are too many for one ladder in A5.
#[test]
fn a_ladder_too_long_for_the_card_goes_on_beside_itself() {
    let (book, _) = read(FULL);
    let ladder = ladder(&book, "j1-upwind");
    let drawing = drawn("j1-upwind", "A5").unwrap_or_else(|problems| panic!("{problems:?}"));
    let [left, right] = columns_under(&drawing, "WIND").try_into().unwrap_or_else(|_| panic!("two ladders"));
    let climbed: Vec<&str> = left.iter().chain(&right).map(|text| text.content.as_str()).collect();
    let winds: Vec<&str> = ladder.rungs.iter().map(|rung| rung.wind.as_str()).collect();
    assert_eq!(climbed, winds, "up the left one, then up the right one");
    let (ends, goes_on) = (left.len() - 1, left.len());
    assert!(say(&drawing, &format!("{} to {} kn", winds[0], winds[ends])));
    assert!(say(&drawing, &format!("then {} to {} kn", winds[goes_on], winds[winds.len() - 1])));
    // Each rung holds its own moves: their controls, in their order, from its wind down to the next.
    let seam = right[0].origin.x;
    for (index, rung) in ladder.rungs.iter().enumerate() {
        let here = left.iter().chain(&right).nth(index).expect("a wind");
        let below = if index == 0 || index == left.len() { None } else { left.iter().chain(&right).nth(index - 1) };
        let foot = below.map_or(f64::INFINITY, |below| below.origin.y - 0.5);
        let beside = drawing.texts().filter(|text| (text.origin.x < seam) == (here.origin.x < seam));
        let mut rows: Vec<&Text> = beside.filter(|text| (here.origin.y - 0.5..foot).contains(&text.origin.y)).collect();
        rows.sort_by(|a, b| a.origin.y.total_cmp(&b.origin.y).then(a.origin.x.total_cmp(&b.origin.x)));
        let words = rows.iter().map(|text| text.content.as_str()).collect::<Vec<_>>().join(" ");
        let mut from = 0;
        for (up, down) in rung.building.iter().zip(&rung.easing) {
            let told = format!("{} {} {} {}", up.control, up.to, up.direction, down.to);
            let at = words[from..].find(&told);
            from += at.unwrap_or_else(|| panic!("at {}: {told}, in {words}", rung.wind)) + told.len();
        }
    }
    assert_eq!(picture::clashes(&drawing), Vec::<String>::new());
}

#[test]
fn a_ladder_that_does_not_fit_in_two_either_is_refused_with_a_size_that_holds_it() {
    let problems = drawn("j1-upwind", "A6").expect_err("too much for A6");
    let error = problems.iter().find(|problem| problem.level == Level::Error).expect("an error");
    assert!(error.what.contains("does not fit A6"), "{error:?}");
    let size = error.instead.split("`size: ").nth(1).and_then(|rest| rest.split('`').next()).expect("a size");
    assert!(drawn("j1-upwind", size).is_ok(), "{size}");
}
