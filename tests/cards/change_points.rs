//! The ladder of change points: nothing missed, nothing invented, the same marks as the settings themselves, and the rungs
//! in the order in which they are climbed.
use crate::common;
use crate::swap::Swap;

use cockpit_cards::book::{self, Book, Level, Problem, Settings};
use cockpit_cards::cards::Content;
use cockpit_cards::cards::parts::matrix;
use cockpit_cards::cards::parts::moves::Move;
use cockpit_cards::cards::{self, change_points};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::drawing::{Drawing, Text, Weight};
use cockpit_cards::tuning::{Ground, Sided, Wind, WindUnit};
use common::{books, inputs, picture, whole};
use proptest::prelude::*;

const FULL: &str = include_str!("../../examples/full.yaml");

fn read(text: &str) -> (Book, Vec<Problem>) {
    let loaded = book::from_text("book", text, &whole::table, has_glyph);
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
        let column = column.alike().unwrap().whole().unwrap();
        let (first, last) = (column.known()[0].at.to_knots(), column.known().last().unwrap().at.to_knots());
        let changes: Vec<_> = ladder.exact.iter().filter(|change| change.index == *control).collect();
        for step in 0..((last - first) / STEP) as usize {
            let wind = first + (step as f64 + 0.5) * STEP;
            // A wind that stands on a change itself belongs to either side.
            if changes.iter().any(|change| (change.wind_kn.to_knots() - wind).abs() < 1e-6)
                || column.known().iter().any(|known| (known.at.to_knots() - wind).abs() < 1e-6)
            {
                continue;
            }
            let passed = changes.iter().rev().find(|change| change.wind_kn.to_knots() < wind);
            let next = changes.iter().find(|change| change.wind_kn.to_knots() >= wind);
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

/// A number as a card prints it: `13½`.
fn number(text: &str) -> f64 {
    let (whole, part) = match text.char_indices().find(|(_, letter)| "¼½¾".contains(*letter)) {
        Some((at, '¼')) => (&text[..at], 0.25),
        Some((at, '½')) => (&text[..at], 0.5),
        Some((at, _)) => (&text[..at], 0.75),
        None => (text, 0.0),
    };
    part + if whole.is_empty() { 0.0 } else { whole.parse::<f64>().unwrap_or_else(|_| panic!("{text:?}")) }
}

/// Every ladder of the first made-up books, with the book and the settings it is of.
fn made_up(mut seen: impl FnMut(&Book, &Settings, &change_points::ChangePoints)) {
    const MADE_UP: u64 = 300;
    let mut ladders = 0;
    for seed in 0..MADE_UP {
        let made = books::sound(&books::row(seed));
        let Some(book) = inputs::load(&made).book else { continue };
        for settings in &book.settings {
            let Some(ladder) = change_points::content(&book, settings, None, &mut Vec::new()) else { continue };
            seen(&book, settings, &ladder);
            ladders += 1;
        }
    }
    assert!(ladders > 200, "{ladders} ladders");
}

/// The dead band that a book asks for, in its unit of wind.
fn apart(book: &Book) -> f64 {
    let usual = if book.units.wind == WindUnit::Knot { 1.0 } else { 0.5 };
    book.rungs_apart.map_or(usual, |apart| apart.number_in(book.units.wind))
}

/// What is left of a decimal of metres per second on the way through knots and back.
const LAST_DIGITS: f64 = 1e-6;

#[test]
fn building_stands_above_easing_by_the_dead_band_on_every_rung_of_every_made_up_book() {
    let mut rungs = 0;
    made_up(|book, settings, ladder| {
        for rung in &ladder.rungs {
            let gap = number(&rung.wind) - number(&rung.ease_at);
            assert!(gap >= apart(book) - LAST_DIGITS, "{}: {rung:?}", settings.id.value);
            // No wider than print has to make it: a step is a half of a knot or a quarter of a metre per second.
            assert!(gap < apart(book) + 0.5, "{}: {rung:?}", settings.id.value);
            rungs += 1;
        }
        let winds: Vec<f64> = ladder.rungs.iter().map(|rung| number(&rung.wind)).collect();
        assert!(winds.windows(2).all(|pair| pair[0] < pair[1]), "each wind once, in their order: {winds:?}");
    });
    assert!(rungs > 1_000, "{rungs}");
}

#[test]
fn no_change_is_lost_however_the_rungs_are_joined() {
    made_up(|book, settings, ladder| {
        let winds = book.range_of(settings).wind_now().expect("winds");
        let mut left = ladder.exact.clone();
        for (control, column) in settings.controls.iter().zip(matrix::columns(book, settings)) {
            let by_side = column.iter().flat_map(Sided::each);
            let changes = by_side.flat_map(|(side, column)| column.changes().map(move |change| (side, change)));
            for (side, change) in changes.filter(|(_, change)| winds.holds(change.at)) {
                let same = |known: &change_points::ExactChange| {
                    let is_same = (known.wind_kn, known.from, known.to) == (change.at, change.from, change.to);
                    (known.index, known.side) == (*control, side) && is_same
                };
                let at = left.iter().position(same);
                left.remove(at.unwrap_or_else(|| panic!("{}: {change:?} of {control}", settings.id.value)));
            }
        }
        assert!(left.is_empty(), "found nowhere: {left:?}");
        let data = ladder.data();
        let told = data["exact"].as_array().expect("a list");
        assert_eq!(told.len(), ladder.exact.len());
        for (told, exact) in told.iter().zip(&ladder.exact) {
            assert_eq!(told["wind_kn"].as_f64(), Some(exact.wind_kn.to_knots()), "to the last digit");
        }
        assert_eq!(ladder.stamped()["exact"].as_array().map(Vec::len), Some(0), "finer than print");
    });
}

#[test]
fn a_rung_stands_about_the_changes_it_is_made_of_and_each_move_begins_where_the_last_one_ended() {
    made_up(|book, settings, ladder| {
        let unit = book.units.wind;
        let step = Wind::from_steps(1, unit).number_in(unit);
        let top = book.range_of(settings).wind_now().expect("winds").high;
        let top = if top.is_finite() { number(&top.print(unit)) } else { f64::INFINITY };
        for (nth, rung) in ladder.rungs.iter().enumerate() {
            let of_rung: Vec<_> = ladder.exact.iter().filter(|change| change.rung == Some(nth)).collect();
            let winds = of_rung.iter().map(|change| change.wind_kn.number_in(unit));
            let (first, last) = winds.fold((f64::INFINITY, 0.0_f64), |(a, b), wind| (a.min(wind), b.max(wind)));
            let (up, down) = (number(&rung.wind), number(&rung.ease_at));
            let is_at_an_end = down == number(&ladder.foot.0) || up == top;
            // Half of the dead band either way, which may be half a step wider in print, and half a step of rounding.
            let room = (up - down) / 2.0 + step;
            let stands_about_them = up <= last + room && down >= first - room;
            assert!(is_at_an_end || stands_about_them, "{}: {rung:?}, {of_rung:?}", settings.id.value);
        }
        for control in &settings.controls {
            let name = &book.controls[*control].name;
            let moves: Vec<_> = ladder
                .rungs
                .iter()
                .flat_map(|rung| &rung.building)
                .filter(|step| step.moved.control == *name)
                .collect();
            // Across a wind at which a control is not used no move leads, and of two sides one may move alone in between.
            let is_sided = ladder.exact.iter().any(|change| change.index == *control && change.side.is_some());
            if is_sided || ladder.not_used.iter().any(|words| words.starts_with(&format!("{name}: "))) {
                continue;
            }
            for pair in moves.windows(2) {
                // The unit stands once, behind the second number.
                assert!(pair[0].moved.to.starts_with(&pair[1].moved.from), "{name}: {pair:?}");
            }
        }
    });
}

#[test]
fn no_rung_asks_for_more_wind_than_the_sails_are_for_or_eases_below_the_start() {
    let mut at_the_top = 0;
    made_up(|book, settings, ladder| {
        let unit = book.units.wind;
        let top = book.range_of(settings).wind_now().expect("winds").high;
        let top = if top.is_finite() { number(&top.print(unit)) } else { f64::INFINITY };
        let start = number(&ladder.foot.0);
        for rung in &ladder.rungs {
            let (up, down) = (number(&rung.wind), number(&rung.ease_at));
            assert!(down >= start, "{}: {rung:?}, from {start}", settings.id.value);
            // Sails for less than the dead band have no room for both.
            assert!(up <= top || down == start, "{}: {rung:?}, to {top}", settings.id.value);
            at_the_top += usize::from(up == top);
        }
    });
    assert!(at_the_top > 10, "{at_the_top}");
}

/// Acts on a ladder as a crew does: up from where building says so, down from where easing does.
fn moves_of_a_crew(ladder: &change_points::ChangePoints, winds: impl Iterator<Item = f64>) -> Vec<(usize, bool)> {
    let mut up = vec![false; ladder.rungs.len()];
    let mut moved = Vec::new();
    for wind in winds {
        for (nth, rung) in ladder.rungs.iter().enumerate() {
            let (build, ease) = (wind >= number(&rung.wind), wind <= number(&rung.ease_at));
            if (build && !up[nth]) || (ease && !build && up[nth]) {
                up[nth] = build;
                moved.push((nth, build));
            }
        }
    }
    moved
}

#[test]
fn in_a_wind_that_wanders_by_less_than_the_dead_band_no_crew_moves_a_control_to_and_fro() {
    let hunts = |text: &str, swing: f64| {
        let (book, _) = read(text);
        let ladder = ladder(&book, "j1-upwind");
        let starts = (10..30).map(|half| f64::from(half) / 2.0);
        let times = starts.map(|least| {
            let winds = (0..20).map(move |gust| if gust % 2 == 0 { least } else { least + swing });
            let moved = moves_of_a_crew(&ladder, winds);
            moved.iter().filter(|(rung, build)| !build && moved.contains(&(*rung, true))).count()
        });
        times.sum::<usize>()
    };
    assert_eq!(hunts(FULL, 0.9), 0);
    assert!(hunts(FULL, 1.0) > 0, "a crew that follows a wind of the whole dead band does move");
    let none = FULL.swap("change_points: {apart: 1 kn}", "change_points: {apart: 0 kn}");
    assert!(hunts(&none, 0.9) > 100, "what the dead band is for");
}

#[test]
fn night_is_earlier_by_as_much_as_the_book_says_but_never_under_the_start_of_the_ladder() {
    let (book, _) = read(FULL);
    for settings in ["j1-upwind", "j2-upwind", "j3-upwind", "j1-close-reach"] {
        let ladder = ladder(&book, settings);
        let start = number(&ladder.foot.0);
        let nights: Vec<f64> =
            ladder.rungs.iter().map(|rung| number(rung.night.as_deref().expect("a night"))).collect();
        for (rung, night) in ladder.rungs.iter().zip(&nights) {
            assert_eq!(*night, (number(&rung.wind) - 2.0).max(start), "{settings}: {rung:?}");
        }
        assert!(nights.contains(&start), "{settings}: nothing shows the end of it: {nights:?}");
    }
}

#[test]
fn changes_of_one_control_nearer_than_the_dead_band_are_one_move_and_quarters_are_none() {
    const BOOK: &str = "book: 1\nboat: {name: Pepperwort}\ncontrols:\n  \
         lead: {scale: {marks: 0..8, spacing: 40 mm, quarters: true}}\n  halyard: {scale: {marks: 0..20, spacing: 10 mm}}\n\
         sails: {j1: {kind: headsail}}\nsettings:\n  - {id: t, sails: [j1], point_of_sail: upwind, \
         controls: [lead, halyard], at: {6: [2, 0], 14: [4, 16]}}\n";
    let (book, _) = read(BOOK);
    let of = |ladder: &change_points::ChangePoints, control: &str| -> Vec<(f64, String)> {
        let steps = ladder.rungs.iter().flat_map(|rung| rung.building.iter().map(|step| (number(&rung.wind), step)));
        let steps = steps.filter(|(_, step)| step.moved.control == control);
        steps.map(|(wind, step)| (wind, format!("{} to {}", step.moved.from, step.moved.to))).collect()
    };
    let told =
        |pairs: &[(f64, &str)]| pairs.iter().map(|(wind, words)| (*wind, (*words).to_owned())).collect::<Vec<_>>();
    let ladder = ladder(&book, "t");
    // On a straight line from 2 to 4 over 8 kn the half marks lie 2 kn apart, at 7, 9, 11 and 13 kn; building half a knot up.
    assert_eq!(of(&ladder, "Lead"), told(&[(7.5, "2 to 2½"), (9.5, "2½ to 3"), (11.5, "3 to 3½"), (13.5, "3½ to 4")]));
    assert_eq!(ladder.exact.iter().filter(|change| change.control == "Lead").count(), 8, "quarters, as they are");
    // Two marks to the knot, so two to a move.
    let halyard = of(&ladder, "Halyard");
    assert_eq!(halyard.len(), 8, "{halyard:?}");
    assert_eq!((halyard[0].1.as_str(), halyard[7].1.as_str()), ("0 to 2", "14 to 16"));
    assert_eq!(ladder.exact.iter().filter(|change| change.control == "Halyard").count(), 16);
}

#[test]
fn a_card_says_of_the_night_and_of_those_below_whether_they_add_up() {
    let says = |text: &str, settings: &str| {
        let (book, _) = read(text);
        ladder(&book, settings).assumptions.join(" ")
    };
    assert!(
        says(FULL, "j1-upwind").contains("does not count the night: the two add up"),
        "{}",
        says(FULL, "j1-upwind")
    );
    assert!(says(FULL, "j1-upwind").contains("act at NIGHT, 2 kn earlier; ease 1 kn below it"));
    // Off the wind nobody reckons with those below.
    assert!(!says(FULL, "j1-close-reach").contains("below are"));
    let by_day = FULL.swap("dark: {change_earlier: 2 kn}", "");
    assert!(says(&by_day, "j1-upwind").contains("Those below are not counted"));
    assert!(!says(&by_day, "j1-upwind").to_lowercase().contains("night"));
    // And so do the cards that have the wind to read at.
    for kind in ["crew-below", "watch-plan"] {
        let whole = |text: &str| {
            let (book, mut problems) = read(text);
            let cards = cards::cards(&book, &mut problems);
            cards.iter().find(|card| card.kind == kind).expect("a card").content.data().to_string()
        };
        assert!(whole(FULL).contains("Night is not in it: on a change-points card NIGHT comes on top"), "{kind}");
        assert!(!whole(&by_day).contains("NIGHT"), "{kind}");
    }
}

#[test]
fn easing_undoes_building_and_says_so_in_words() {
    let (book, _) = read(FULL);
    for rung in &ladder(&book, "j2-upwind").rungs {
        assert!(!rung.building.is_empty());
        for (up, down) in rung.building.iter().zip(&rung.easing) {
            let (up, down) = (&up.moved, &down.moved);
            // The unit stands once, behind the second number.
            let bare = |text: &String| text.trim_end_matches(" bar").to_owned();
            assert_eq!((bare(&up.from), bare(&up.to)), (bare(&down.to), bare(&down.from)));
            assert_ne!(up.from, up.to, "no rung tells anyone to stay");
        }
        for backstay in rung.building.iter().filter(|one| one.moved.control == "Backstay") {
            assert_eq!(backstay.moved.direction, "TIGHTER");
        }
        for lead in rung.easing.iter().filter(|one| one.moved.control == "Jib lead") {
            assert_eq!(lead.moved.direction, "FORWARD");
        }
    }
}

/// All that a ladder says of the marks of a control: at the start, then above each of its rungs.
fn marks(ladder: &change_points::ChangePoints, control: &str) -> Vec<String> {
    let start = ladder.foot.1.iter().filter(|start| start.control == control).map(|start| {
        let step = change_points::Step { moved: mark_only(&start.mark), ground: start.ground.expect("a mark") };
        step.mark()
    });
    let steps = ladder.rungs.iter().flat_map(|rung| &rung.building).filter(|step| step.moved.control == control);
    start.chain(steps.map(change_points::Step::mark)).collect()
}

fn mark_only(to: &str) -> Move {
    Move { control: String::new(), from: String::new(), to: to.to_owned(), direction: String::new() }
}

#[test]
fn a_mark_of_the_ladder_has_the_sign_of_the_rows_that_it_stands_for() {
    let (book, problems) = read(include_str!("../books/found/a-control-known-later.yaml"));
    assert!(problems.iter().all(|problem| problem.level != Level::Error), "{problems:?}");
    let ladder = ladder(&book, "s1");
    // 1, 4 and 6 were sailed, and the marks between them by nobody.
    assert_eq!(marks(&ladder, "Backstay"), ["● 1", "2", "3", "● 4", "5", "● 6"]);
    // Its first row is at 14 kn: at 6 kn nobody knows it.
    assert_eq!(marks(&ladder, "Checkstay"), ["(5)", "6", "● 7"]);
    let at_14 = ladder.rungs.iter().find(|rung| rung.easing.iter().any(|step| step.moved.control == "Checkstay"));
    let back = at_14.and_then(|rung| rung.easing.iter().find(|step| step.moved.control == "Checkstay"));
    assert_eq!(back.map(change_points::Step::mark).as_deref(), Some("● 5"), "it was sailed at 14 kn all the same");
    assert_eq!(
        ladder.grounds,
        [Ground::Sailed, Ground::Between, Ground::Outside],
        "and the legend says what they mean"
    );
    // NIGHT at the lowest rung would be 6 kn, no less than the start.
    assert_eq!(ladder.rungs[0].night.as_deref(), Some("6"));
}

#[test]
fn what_was_carried_over_says_so_on_every_mark_of_the_ladder() {
    let newer =
        "  j2b: {kind: headsail, name: J2b, wind: 13..22, replaces: j2, start_from: [j2-upwind]}\n\n# What some";
    let (book, problems) = read(&FULL.swap("\n# What some", newer));
    assert!(problems.iter().all(|problem| problem.level != Level::Error), "{problems:?}");
    let carried = book.settings.iter().find(|settings| settings.sails.iter().any(|sail| sail.value == "j2b"));
    let ladder = ladder(&book, &carried.expect("settings of the new sail").id.value);
    let steps: Vec<_> = ladder.rungs.iter().flat_map(|rung| rung.building.iter().chain(&rung.easing)).collect();
    assert!(!steps.is_empty() && steps.iter().all(|step| step.mark().starts_with("» ")), "{steps:?}");
    assert!(ladder.foot.1.iter().all(|start| start.ground == Some(Ground::CarriedOver)), "{:?}", ladder.foot);
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
        ("change_points: {apart: 1 kn}", "change_points: {apart: 1 kg}", "1 kg", ""),
        ("change_points: {apart: 1 kn}", "change_points: {apart: -1 kn}", "-1 kn", ""),
        ("change_points: {apart: 1 kn}", "change_points: {appart: 1 kn}", "appart", "apart"),
        ("settings: j3-reef-upwind}   #", "settings: j3-ref-upwind}   #", "j3-ref-upwind", "j3-reef-upwind"),
    ] {
        let text = FULL.swap(from, to);
        assert_ne!(text, FULL, "{from}");
        let loaded = book::from_text("book", &text, &whole::table, has_glyph);
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
    drawn_of(FULL, settings, size)
}

/// The same of another book.
fn drawn_of(book: &str, settings: &str, size: &str) -> Result<Drawing, Vec<Problem>> {
    let entry = format!("  - {{kind: change-points, settings: {settings}, size: {size}, id: the-ladder}}\n");
    let (drawn, problems) = whole::draw(&format!("{book}{entry}"));
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
    for settings in ["j1-upwind", "j2-upwind", "j3-upwind", "j3-reef-upwind", "j1-close-reach"] {
        let drawing = drawn(settings, "A5").expect("it fits");
        let rungs = ladder(&book, settings).rungs;
        // A head may stand in two lines.
        assert!(drawing.texts().any(|text| text.content.starts_with("BUILDING:")), "{settings}");
        let head = if say(&drawing, "WIND kn") { "WIND kn" } else { "kn" };
        let columns = columns_under(&drawing, head);
        let [building, easing] = columns.try_into().unwrap_or_else(|_| panic!("{settings}: one ladder"));
        let read = |column: &[&Text]| column.iter().map(|text| text.content.clone()).collect::<Vec<_>>();
        assert_eq!(read(&building), rungs.iter().map(|rung| rung.wind.clone()).collect::<Vec<_>>(), "{settings}");
        assert_eq!(read(&easing), rungs.iter().map(|rung| rung.ease_at.clone()).collect::<Vec<_>>(), "{settings}");
        assert_eq!(picture::clashes(&drawing), Vec::<String>::new(), "{settings}");
    }
}

/// Without a dead band nothing is joined, and its 38 moves are too many for one ladder on a card of about A5.
#[test]
fn a_ladder_too_long_for_the_card_goes_on_beside_itself() {
    let text = FULL.swap("change_points: {apart: 1 kn}", "change_points: {apart: 0 kn}");
    let text = text.swap("dark: {change_earlier: 2 kn}", "");
    let (book, _) = read(&text);
    let ladder = ladder(&book, "j1-upwind");
    let drawing = drawn_of(&text, "j1-upwind", "215 x 150 mm").unwrap_or_else(|problems| panic!("{problems:?}"));
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
            let told = format!("{} {} {} {}", up.moved.control, up.mark(), up.moved.direction, down.mark());
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
