//! The wardrobe card: its cells against every range asked directly, its gaps, its hand-overs and narrowed sails.

use crate::common::{picture, whole};
use crate::swap::Swap;
use cockpit_cards::book::{self, Book, Level, Problem};
use cockpit_cards::cards::parts::sets::{SailSet, sets};
use cockpit_cards::cards::{self, wardrobe};
use cockpit_cards::drawing::Drawing;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::tuning::wardrobe::sails_for;
use cockpit_cards::tuning::{Angle, Wind};

const FULL: &str = include_str!("../../examples/full.yaml");
const ASKED: &str = "wardrobe: {wind: 5..34, angle: 38..70, angle_bands: [38, 55, 70, 80]}";

fn book(text: &str) -> Book {
    book::from_text("book", text, &whole::table, has_glyph).book.unwrap()
}

fn problems(text: &str) -> Vec<Problem> {
    let loaded = book::from_text("book", text, &whole::table, has_glyph);
    let mut problems = loaded.problems;
    if let Some(book) = &loaded.book {
        cards::cards(book, &mut problems);
    }
    problems
}

/// `11 to 14` or `38° to 55°`.
fn ends(text: &str) -> (f64, f64) {
    let (low, high) = text.split_once(" to ").unwrap();
    let number = |text: &str| text.trim_end_matches('°').parse::<f64>().unwrap();
    (number(low), number(high))
}

#[test]
fn every_cell_says_what_sampling_every_range_inside_it_says() {
    const SAMPLES: usize = 40;
    let book = book(FULL);
    let card = wardrobe::content(&book, None).unwrap();
    let (sets, ranges) = sets(&book);
    for row in &card.rows {
        for (angle, cell) in card.angles.iter().zip(&row.cells) {
            let ((w0, w1), (a0, a1)) = (ends(&row.wind), ends(angle));
            let between = |low: f64, high: f64, i: usize| low + (high - low) * (i as f64 + 0.5) / SAMPLES as f64;
            let points: Vec<Vec<usize>> = (0..SAMPLES * SAMPLES)
                .map(|i| {
                    let wind = Wind::knots(between(w0, w1, i % SAMPLES));
                    sails_for(&ranges, wind, Angle::degrees(between(a0, a1, i / SAMPLES))).collect()
                })
                .collect();
            for (index, name) in sets.iter().map(SailSet::name).enumerate() {
                let hits = points.iter().filter(|found| found.contains(&index)).count();
                let whole = cell.whole.contains(&name);
                let part = cell.part.iter().any(|text| text.starts_with(&name));
                assert_eq!(whole, hits == points.len(), "{name} at {} {angle}", row.wind);
                assert_eq!(part, hits > 0 && hits < points.len(), "{name} at {} {angle}", row.wind);
            }
            assert_eq!(cell.gap, points.iter().any(Vec::is_empty), "{} {angle}", row.wind);
        }
    }
}

#[test]
fn reefs_have_a_column_of_their_own_and_cover_nothing() {
    let card = wardrobe::content(&book(FULL), None).unwrap();
    let last = card.rows.last().unwrap();
    assert_eq!((last.cells[0].whole.as_slice(), last.reef.as_deref()), (&["J3".to_owned()][..], Some("1 reef")));
    assert_eq!(card.rows[0].reef.as_deref(), Some("full main"));
    let text = FULL.swap("j3: {kind: headsail, name: J3, wind: 20..34", "j3: {kind: headsail, name: J3, wind: 20..26");
    assert!(wardrobe::content(&book(&text), None).unwrap().rows.last().unwrap().cells[0].gap);
}

#[test]
fn a_gap_inside_the_asked_range_is_warned_of_with_its_numbers_and_one_outside_is_not() {
    assert!(problems(FULL).is_empty(), "the example asks for what it has: {:?}", problems(FULL));
    let text = FULL.swap(ASKED, "wardrobe: {wind: 4..34, angle: 38..75}");
    let said: Vec<String> =
        problems(&text).into_iter().inspect(|p| assert_eq!(p.level, Level::Warning)).map(|p| p.what).collect();
    assert!(said.iter().any(|what| what.contains("4 to 5 kn at 38° to 70°")), "{said:?}");
    assert!(said.iter().any(|what| what.contains("4 to 20 kn at 70° to 75°")), "{said:?}");
}

#[test]
fn hand_over_winds_are_the_middle_of_what_both_are_for() {
    let card = wardrobe::content(&book(FULL), None).unwrap();
    assert_eq!(card.hand_overs, ["J1 to J2: both 13 to 16, middle 14½ kn", "J2 to J3: both 20 to 22, middle 21 kn"]);
}

#[test]
fn the_card_says_that_the_wind_to_change_at_is_the_middle_of_two_ranges_and_nothing_that_was_sailed() {
    let (drawn, _) = whole::draw(FULL);
    let card = drawn.into_iter().find(|drawn| drawn.card.kind == "wardrobe").expect("a wardrobe card");
    let words: Vec<String> = card.drawing.expect("a picture").texts().map(|text| text.content.clone()).collect();
    let words = words.join(" ");
    assert!(words.contains("the middle is of the ranges, not sailed"), "{words}");
    assert!(words.contains("both 13 to 16, middle 14½ kn"), "{words}");
    // Ranges that only meet have no middle.
    let text = FULL.swap("j2: {kind: headsail, name: J2, wind: 13..22", "j2: {kind: headsail, name: J2, wind: 16..22");
    assert_eq!(wardrobe::content(&book(&text), None).unwrap().hand_overs[0], "J1 to J2: at 16 kn, where both meet");
}

#[test]
fn a_torn_sail_is_narrowed_for_all_to_see() {
    let torn = "wind: 5..16, angle: 36..70, luff: 14.95 m, status: luff torn, max_now: 12}";
    let text = FULL.swap("wind: 5..16, angle: 36..70, luff: 14.95 m}", &torn.swap("luff torn", "\"luff torn\""));
    let card = wardrobe::content(&book(&text), None).unwrap();
    assert!(
        card.narrowed.iter().any(|line| line == "J1: luff torn; 5 to 12 kn now, was 5 to 16"),
        "{:?}",
        card.narrowed
    );
    assert!(card.gaps.iter().any(|gap| gap.starts_with("12 to 13 kn at 38°")), "{:?}", card.gaps);
    assert!(problems(&text).iter().any(|problem| problem.what.contains("12 to 13 kn")));
}

#[test]
fn bad_input_has_its_place_and_a_remedy() {
    for (from, to, place) in [
        (ASKED, "wardrobe: {wind: 34..5, angle: 38..70}", "34..5"),
        (ASKED, "wardrobe: {wind: 5..34}", "wardrobe"),
        (ASKED, "wardrobe: {wind: 5..34, angle: 38..200}", "38..200"),
        (ASKED, "wardrobe: {wind: 5..34, angle: 38..70, angle_bands: [38, 55, 50]}", "50"),
        (ASKED, "wardrobe: {wind: 5..34, angle: 38..70, angle_bands: [38, 55]}", "38, 55"),
        (ASKED, "wardrobe: {wind: 5..34, angle: 38..70, angel_bands: [38, 80]}", "angel_bands"),
        (ASKED, "", "kind: wardrobe"),
        ("luff: 14.95 m}", "luff: 14.95 m, max_now: 12 kg}", "12 kg"),
        ("luff: 14.95 m}", "luff: 14.95 m, max_now: 20}", "20"),
        ("luff: 14.95 m}", "luff: 14.95 m, status: [torn]}", "[torn]"),
        ("luff: 14.95 m}", "luff: 14.95 m, strop: -3 m}", "-3 m"),
    ] {
        let text = FULL.swap(from, to);
        assert_ne!(text, FULL, "{from}");
        let found = problems(&text);
        let at = |problem: &&Problem| {
            let bytes = problem.place.as_ref().map(|place| place.bytes.clone());
            bytes.is_some_and(|bytes| {
                text[bytes.start.saturating_sub(20)..(bytes.end + 20).min(text.len())].contains(place)
            })
        };
        let problem = found.iter().find(at).unwrap_or_else(|| panic!("{to}: {found:?}"));
        assert!(!problem.instead.is_empty(), "{to}");
    }
}

/// The wardrobe cards of a book with their pictures.
fn drawn(text: &str) -> Vec<(wardrobe::Wardrobe, Drawing)> {
    let (drawn, problems) = whole::draw(text);
    let cards = drawn.into_iter().filter(|drawn| drawn.card.kind == "wardrobe");
    let one = |drawn: whole::Drawn| {
        let says = drawn.card.says::<wardrobe::Wardrobe>().expect("a wardrobe").clone();
        (says, drawn.drawing.unwrap_or_else(|| panic!("{problems:?}")))
    };
    cards.map(one).collect()
}

#[test]
fn the_first_choice_is_large_the_others_small_with_their_wind_and_equal_neighbours_stand_once() {
    let cards = drawn(FULL);
    let [(card, drawing)] = &cards[..] else { panic!("{} cards", cards.len()) };
    let find = |words: &str| drawing.texts().filter(|text| text.content == words).collect::<Vec<_>>();
    let (first, other) = (find("J1"), find("J2 from 13"));
    assert!(first[0].cap_height() > other[0].cap_height() * 1.2 && other[0].cap_height() >= 3.0 - 1e-6);
    assert_eq!(other.len(), 1, "38° to 55° and 55° to 70° say the same");
    // The upper edge of J2 and the lower of J3, and J1 three times, J2 twice, J3 once for two angles and once for the third.
    let same = |row: &wardrobe::WindRow| row.cells.windows(2).filter(|pair| pair[0] != pair[1]).count() + 1;
    let told: usize = card.rows.iter().map(same).sum();
    let names = ["J1", "J2", "J3", "none"].map(|name| find(name).len());
    assert_eq!(names.iter().sum::<usize>(), told, "{names:?}");
}

#[test]
fn only_what_has_no_sail_is_hatched_and_no_line_runs_through_its_words() {
    let cards = drawn(FULL);
    let (card, drawing) = &cards[0];
    let none: Vec<_> = drawing.texts().filter(|text| text.content == "none").collect();
    assert_eq!(none.len(), card.rows.iter().flat_map(|row| &row.cells).filter(|cell| cell.gap).count());
    assert_eq!(picture::clashes(drawing), Vec::<String>::new());
    // The lines of the hatching slope; every one lies in the last column of angles, beside one of these words.
    let slanted = drawing.items.iter().map(|item| item.shape.bounds());
    let slanted: Vec<_> =
        slanted.filter(|area| area.width() > 0.4 && area.height() > 0.4 && area.width() < 9.0).collect();
    let left = none.iter().map(|text| text.origin.x).fold(f64::INFINITY, f64::min) - 20.0;
    let hatching = slanted.iter().filter(|area| (area.width() - area.height()).abs() < 0.01 && area.width() > 1.0);
    let hatching: Vec<_> = hatching.collect();
    assert!(hatching.len() > 20 && hatching.iter().all(|area| area.x0 > left), "{}", hatching.len());
}

#[test]
fn twenty_sails_go_on_to_a_second_card_and_each_wind_stands_once() {
    let mut sails = String::new();
    for nth in 0..20 {
        let (low, high) = (4 + nth, 4 + nth + 7);
        let angle = 38 + nth % 4 * 20;
        sails += &format!(
            "  s{nth}: {{kind: headsail, name: Working sail {nth}, wind: {low}..{high}, angle: {angle}..{}}}\n",
            angle + 50
        );
    }
    let text = format!(
        "book: 1\nboat: {{name: Pepperwort}}\nwind_bands: [4, 8, 11, 14, 17, 20, 24, 28]\n\
         controls: {{backstay: {{scale: {{marks: 0..8, spacing: 20 mm}}}}}}\nsails:\n{sails}\
         wardrobe: {{wind: 4..28, angle: 38..140, angle_bands: [38, 60, 80, 100, 140]}}\ncards: [{{kind: wardrobe}}]\n"
    );
    let cards = drawn(&text);
    assert!(cards.len() > 1);
    let winds: Vec<&str> = cards.iter().flat_map(|(card, _)| &card.rows).map(|row| row.wind.as_str()).collect();
    assert_eq!(winds, ["4 to 8", "8 to 11", "11 to 14", "14 to 17", "17 to 20", "20 to 24", "24 to 28"]);
    for (nth, (card, drawing)) in cards.iter().enumerate() {
        assert_eq!(picture::clashes(drawing), Vec::<String>::new());
        let words: Vec<String> = drawing.texts().map(|text| text.content.clone()).collect();
        let (span, part) = (card.span.as_deref().expect("winds"), format!("part {} of {}", nth + 1, cards.len()));
        assert!(words.iter().any(|text| *text == format!("WARDROBE · {span} · {part}")), "{words:?}");
        assert_eq!(card.hand_overs.is_empty(), nth + 1 < cards.len(), "once, on the last");
    }
}
