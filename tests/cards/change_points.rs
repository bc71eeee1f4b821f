//! The ladder of change points: nothing missed, nothing invented, the same marks as the settings themselves, and the rungs
//! in the order in which they are climbed.
use crate::common;
use crate::swap::Swap;

use std::sync::LazyLock;

use cockpit_cards::book::{self, Book, Level, Problem, Settings};
use cockpit_cards::cards::Content;
use cockpit_cards::cards::parts::words::{bare_words, signed};
use cockpit_cards::cards::parts::{matrix, sided};
use cockpit_cards::cards::{self, change_points};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::drawing::{Drawing, Text, Weight};
use cockpit_cards::tuning::{Ground, Sided, Told, Wind, WindUnit, ladder};
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
    // What moves by less than half a mark has no ladder.
    let Some(ladder) = change_points::content(book, settings, None, &mut Vec::new()) else { return };
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

/// A book with the ladder of each of its settings, if there is one.
type WithLadders = (Book, Vec<Option<change_points::ChangePoints>>);

/// The first made-up books, each with the ladders that it has of its settings: made once for all that is asked of them here.
static MADE_UP: LazyLock<Vec<WithLadders>> = LazyLock::new(|| {
    const BOOKS: u64 = 300;
    let books = (0..BOOKS).filter_map(|seed| inputs::load(&books::sound(&books::row(seed))).book);
    let with_ladders = books.map(|book| {
        let ladder = |settings| change_points::content(&book, settings, None, &mut Vec::new());
        let ladders = book.settings.iter().map(ladder).collect();
        (book, ladders)
    });
    with_ladders.collect()
});

/// Every ladder of the made-up books, with the book and the settings it is of.
fn made_up(seen: impl FnMut(&Book, &Settings, &change_points::ChangePoints)) {
    let all = of_the_first(usize::MAX, seen);
    assert!(all > 200, "{all}");
}

/// The same of so many books; how many ladders there were.
fn of_the_first(books: usize, mut seen: impl FnMut(&Book, &Settings, &change_points::ChangePoints)) -> usize {
    let ladders = MADE_UP.iter().take(books).flat_map(|(book, ladders)| {
        let of = book.settings.iter().zip(ladders);
        of.filter_map(move |(settings, ladder)| Some((book, settings, ladder.as_ref()?)))
    });
    ladders.map(|(book, settings, ladder)| seen(book, settings, ladder)).count()
}

/// The dead band that a book asks for, in its unit of wind.
fn apart(book: &Book) -> f64 {
    let usual = if book.units.wind == WindUnit::Knot { 1.0 } else { 0.5 };
    book.rungs_apart.map_or(usual, |apart| apart.number_in(book.units.wind))
}

/// What is left of a decimal of metres per second on the way through knots and back.
const LAST_DIGITS: f64 = 1e-6;

/// The rungs of a ladder with the numbers that are printed: building, easing.
fn rungs(ladder: &change_points::ChangePoints) -> Vec<(f64, f64)> {
    let rungs = ladder.rows.iter().filter_map(|row| row.rung.as_ref());
    rungs.map(|rung| (number(&rung.building), number(&rung.easing))).collect()
}

#[test]
fn building_stands_above_easing_by_the_dead_band_on_every_rung_of_every_made_up_book() {
    let mut seen = 0;
    made_up(|book, settings, ladder| {
        let rungs = rungs(ladder);
        assert_eq!(rungs.len() + 1, ladder.rows.len(), "only the lowest row has no rung");
        for (building, easing) in &rungs {
            let gap = building - easing;
            assert!(gap >= apart(book) - LAST_DIGITS, "{}: {building} and {easing}", settings.id.value);
            // No wider than print has to make it: a step is a half of a knot or a quarter of a metre per second.
            assert!(gap < apart(book) + 0.5, "{}: {building} and {easing}", settings.id.value);
            seen += 1;
        }
        assert!(rungs.windows(2).all(|pair| pair[0].0 < pair[1].0), "each wind once, in their order: {rungs:?}");
    });
    assert!(seen > 1_000, "{seen}");
}

#[test]
fn every_mark_of_every_row_is_within_one_step_of_the_table_and_a_word_is_just_what_the_table_says() {
    let (mut exact, mut near) = (0, 0);
    made_up(|book, settings, ladder| {
        let unit = book.units.wind;
        let step = Wind::from_steps(1, unit).number_in(unit);
        let top = book.range_of(settings).wind_now().expect("winds").high.number_in(unit);
        let columns = matrix::columns(book, settings);
        let recorded: Vec<_> = matrix::recorded_of(book, settings, &columns).collect();
        // Halfway between the two ways of a rung the rows meet.
        let seams: Vec<f64> = rungs(ladder).iter().map(|(up, down)| (up + down) / 2.0).collect();
        for (nth, row) in ladder.rows.iter().enumerate() {
            let from = nth.checked_sub(1).map_or_else(|| number(&ladder.start), |below| seams[below]);
            let to = seams.get(nth).copied().unwrap_or(top.min(from + 5.0));
            // Printed steps are counted from the seams; what is left at either end of the ladder is less than the dead band.
            let end = if to == top { top - apart(book) } else { to };
            let middles: Vec<f64> = match (nth, seams.first()) {
                (0, Some(seam)) => {
                    let down = (0..).map(|cell| seam - step * (f64::from(cell) + 0.5));
                    down.take_while(|middle| *middle > from + apart(book)).collect()
                }
                _ => {
                    (0..).map(|cell| from + step * (f64::from(cell) + 0.5)).take_while(|middle| *middle < end).collect()
                }
            };
            for ((control, column), mark) in recorded.iter().zip(&row.marks) {
                let printed =
                    |told: &Sided<Told<f64>>| sided::words(told, |reading| bare_words(&control.scale, reading));
                for middle in &middles {
                    let told = column.map(|column| column.at(Wind::of(*middle, unit)).map(|setting| setting.reading));
                    let half = control.scale.whole_mark() / 2.0;
                    let room = if control.scale.steps() { 0.0 } else { control.scale.step().max(half) };
                    let off = |by: f64| printed(&told.map(|told| told.map(|reading| reading + by)));
                    if off(0.0) == mark.mark {
                        exact += 1;
                        continue;
                    }
                    // Between rows that do not tell of it, or by sides each of its own, it is held elsewhere.
                    if column.alike().is_none() || told.each().any(|(_, told)| told.set().is_none()) {
                        continue;
                    }
                    let steps = (room / control.scale.step()).round() as i32;
                    let finer = control.scale.step() / 4.0;
                    let is_near = (-steps * 4..=steps * 4).any(|nth| off(f64::from(nth) * finer) == mark.mark);
                    assert!(
                        is_near,
                        "{}, {} at {middle}: {} and {}; {from} to {to}, {seams:?}, {end}, {} {:?}",
                        settings.id.value,
                        control.name,
                        mark.mark,
                        off(0.0),
                        apart(book),
                        column.alike().map(|c| c.known().map(|k| (k.at.to_knots(), k.reading)).collect::<Vec<_>>())
                    );
                    near += 1;
                }
            }
        }
    });
    assert!(exact > 10_000 && near > 500, "{exact} just as in the table, {near} a step off");
}

#[test]
fn a_card_has_eight_rows_at_most_and_all_its_parts_together_have_each_row_once() {
    const BOOKS: usize = 60;
    let (mut long, mut whole) = (0, 0);
    of_the_first(BOOKS, |book, settings, ladder| {
        let parts = change_points::contents(book, settings, None, &mut Vec::new());
        let rows: Vec<_> = parts.iter().flat_map(|part| part.rows.clone()).collect();
        assert_eq!(rows, ladder.rows, "{}", settings.id.value);
        assert!(parts.iter().all(|part| (1..=ladder::MOST_ROWS).contains(&part.rows.len())), "{}", settings.id.value);
        for (nth, part) in parts.iter().enumerate() {
            let of = (parts.len() > 1).then(|| format!("{} of {}", nth + 1, parts.len()));
            assert_eq!((&part.part, part.span.is_some()), (&of, of.is_some()));
        }
        (long, whole) = (long + usize::from(parts.len() > 1), whole + usize::from(parts.len() == 1));
    });
    assert!(long > 0 && whole > 30, "{long} in parts, {whole} whole");
}

#[test]
fn what_is_new_is_what_differs_from_the_row_before_and_no_row_says_just_what_the_one_before_says() {
    made_up(|_, settings, ladder| {
        assert!(ladder.rows[0].marks.iter().all(|mark| !mark.is_new), "nothing stands beneath it");
        for pair in ladder.rows.windows(2) {
            for (before, mark) in pair[0].marks.iter().zip(&pair[1].marks) {
                assert_eq!(mark.is_new, before.mark != mark.mark, "{}: {pair:?}", settings.id.value);
            }
            assert!(pair[1].marks.iter().any(|mark| mark.is_new), "{}: {pair:?}", settings.id.value);
        }
    });
}

/// Steep enough that eight rows cannot keep within a step: 40 marks in 8 kn, and a word that changes in between.
const STEEP: &str = "book: 1\nboat: {name: Pepperwort}\ncontrols:\n  \
     halyard: {scale: {marks: 0..60, spacing: 10 mm}}\n  vang: {scale: {words: [eased, snug, hard]}}\n\
     sails: {j1: {kind: headsail}}\nsettings:\n  - {id: t, sails: [j1], point_of_sail: upwind, \
     controls: [halyard, vang], at: {6: [0, eased], 14: [40, snug], 18: [40, hard]}}\n";

#[test]
fn a_ladder_that_eight_rows_do_not_hold_goes_on_to_a_second_card_that_says_which_winds_it_is_for() {
    let (book, _) = read(STEEP);
    let parts = change_points::contents(&book, book.settings("t").unwrap(), None, &mut Vec::new());
    // Three marks to the half knot at first: each printed step there has a row of its own.
    assert!(parts.len() > 1 && parts.iter().map(|part| part.rows.len()).sum::<usize>() > 8, "{}", parts.len());
    let first = parts[0].span.as_deref().expect("winds");
    let second = parts[1].span.as_deref().expect("winds");
    assert!(first.starts_with("6 to ") && second.ends_with(&first[5..]), "{first}, {second}");
    let (drawn, problems) = whole::draw(&format!("{STEEP}cards: [{{kind: change-points, settings: t}}]\n"));
    assert!(problems.is_empty(), "{problems:?}");
    let ids: Vec<&str> = drawn.iter().map(|drawn| drawn.card.id.as_str()).collect();
    assert_eq!(ids[..2], ["change-t", "change-t-2"]);
    let words =
        drawn[0].drawing.as_ref().unwrap().texts().map(|text| text.content.clone()).collect::<Vec<_>>().join(" ");
    assert!(words.contains(&format!("CHANGE POINTS · {first} · part 1 of {}", parts.len())), "{words}");
}

#[test]
fn a_row_costs_more_than_a_step_of_one_control_over_the_dead_band() {
    let of = |second: f64| {
        let text = format!(
            "book: 1\nboat: {{name: Pepperwort}}\ncontrols:\n  a: {{scale: {{marks: 0..8, spacing: 20 mm}}}}\n  \
             b: {{scale: {{marks: 0..8, spacing: 20 mm}}}}\nsails: {{j1: {{kind: headsail}}}}\nsettings:\n  - {{id: t, \
             sails: [j1], point_of_sail: upwind, controls: [a, b], between: {{a: step, b: step}}, \
             at: {{4: [1, 1], 16: [3, ~], {second}: [~, 3]}}}}\n"
        );
        let (book, _) = read(&text);
        ladder(&book, "t").rows.len()
    };
    // One jumps at 10 kn, the other at 10 and half of what its second row is beyond 16.
    assert_eq!(of(17.0), 3, "half a knot apart, but neither may be two marks off for so long");
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
fn no_rung_asks_for_more_wind_than_the_sails_are_for_or_eases_below_the_start() {
    let mut at_the_top = 0;
    made_up(|book, settings, ladder| {
        let unit = book.units.wind;
        let top = book.range_of(settings).wind_now().expect("winds").high;
        let top = if top.is_finite() { number(&top.print(unit)) } else { f64::INFINITY };
        let start = number(&ladder.start);
        for (up, down) in rungs(ladder) {
            assert!(down >= start, "{}: {down}, from {start}", settings.id.value);
            // Sails for less than the dead band have no room for both.
            assert!(up <= top || down <= start + 0.5, "{}: {up}, to {top}", settings.id.value);
            at_the_top += usize::from(up == top);
        }
    });
    assert!(at_the_top > 10, "{at_the_top}");
}

/// Acts on a ladder as a crew does: up from where building says so, down from where easing does.
fn moves_of_a_crew(ladder: &change_points::ChangePoints, winds: impl Iterator<Item = f64>) -> Vec<(usize, bool)> {
    let rungs = rungs(ladder);
    let mut up = vec![false; rungs.len()];
    let mut moved = Vec::new();
    for wind in winds {
        for (nth, (building, easing)) in rungs.iter().enumerate() {
            let (build, ease) = (wind >= *building, wind < *easing);
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
    assert!(hunts(FULL, 1.5) > 0, "a crew that follows a wind of more than the dead band does move");
    let none = FULL.swap("change_points: {apart: 1 kn}", "change_points: {apart: 0 kn}");
    assert!(hunts(&none, 0.9) > 20, "what the dead band is for");
}

#[test]
fn night_is_earlier_by_as_much_as_the_book_says_both_ways_but_never_under_the_start_of_the_ladder() {
    let (book, _) = read(FULL);
    for settings in ["j1-upwind", "j2-upwind", "j3-upwind", "j1-close-reach"] {
        let ladder = ladder(&book, settings);
        let start = number(&ladder.start);
        let mut lowest = 0;
        for rung in ladder.rows.iter().filter_map(|row| row.rung.as_ref()) {
            let night = rung.night.as_ref().expect("a night");
            for (day, night) in [(&rung.building, &night.building), (&rung.easing, &night.easing)] {
                assert_eq!(number(night), (number(day) - 2.0).max(start), "{settings}: {rung:?}");
                lowest += usize::from(number(night) == start);
            }
        }
        assert!(lowest > 0, "{settings}: nothing shows the end of it");
    }
}

#[test]
fn a_ladder_moves_by_half_marks_where_the_scale_is_read_in_quarters_and_the_exact_changes_stay() {
    const BOOK: &str = "book: 1\nboat: {name: Pepperwort}\ncontrols:\n  \
         lead: {scale: {marks: 0..8, spacing: 40 mm, quarters: true}}\n\
         sails: {j1: {kind: headsail}}\nsettings:\n  - {id: t, sails: [j1], point_of_sail: upwind, \
         controls: [lead], at: {6: [2], 14: [4]}}\n";
    let (book, _) = read(BOOK);
    let ladder = ladder(&book, "t");
    let marks: Vec<&str> = ladder.rows.iter().map(|row| row.marks[0].mark.as_str()).collect();
    assert!(marks.iter().all(|mark| ["2", "2½", "3", "3½", "4"].contains(mark)) && marks.len() > 1, "{marks:?}");
    assert_eq!(ladder.exact.len(), 8, "quarters, as they are");
}

#[test]
fn a_card_says_of_the_night_and_of_those_below_whether_they_add_up() {
    let says = |text: &str, settings: &str| {
        let (book, _) = read(text);
        ladder(&book, settings).assumptions.join(" ")
    };
    assert!(
        says(FULL, "j1-upwind").contains("go by the wind of the crew-below card, and NIGHT on top of it"),
        "{}",
        says(FULL, "j1-upwind")
    );
    assert!(says(FULL, "j1-upwind").contains("NIGHT: 2 kn earlier both ways, never under 6"));
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

/// All that a ladder says of the marks of a control, from the lowest row up, each with its sign.
fn marks(ladder: &change_points::ChangePoints, control: &str) -> Vec<String> {
    let column = ladder.columns.iter().position(|head| head.control == control).expect("a column");
    let marks = ladder.rows.iter().map(|row| &row.marks[column]);
    marks.map(|mark| mark.ground.map_or_else(|| mark.mark.clone(), |ground| signed(&mark.mark, ground))).collect()
}

#[test]
fn a_mark_of_the_ladder_has_the_sign_of_the_rows_that_it_stands_for() {
    let (book, problems) = read(include_str!("../books/found/a-control-known-later.yaml"));
    assert!(problems.iter().all(|problem| problem.level != Level::Error), "{problems:?}");
    let ladder = ladder(&book, "s1");
    let backstay = marks(&ladder, "Backstay");
    // 1, 4 and 6 were sailed, and the marks between them by nobody.
    for mark in &backstay {
        assert!(["● 1", "2", "3", "● 4", "5", "● 6"].contains(&mark.as_str()), "{backstay:?}");
    }
    for sailed in ["● 1", "● 4", "● 6"] {
        assert!(backstay.iter().any(|mark| mark == sailed), "{backstay:?}");
    }
    // Its first row is at 14 kn: at 6 kn nobody knows it.
    let checkstay = marks(&ladder, "Checkstay");
    assert_eq!(checkstay[0], "(5)", "{checkstay:?}");
    assert_eq!(checkstay.last().map(String::as_str), Some("● 7"), "{checkstay:?}");
    assert!(ladder.grounds.contains(&Ground::Outside), "and the legend says what brackets mean: {:?}", ladder.grounds);
    // NIGHT at the lowest rung is no less than the start.
    let night = ladder.rows[1].rung.as_ref().and_then(|rung| rung.night.as_ref()).expect("a night");
    assert_eq!((night.building.as_str(), night.easing.as_str()), ("6", "6"));
}

#[test]
fn what_was_carried_over_says_so_on_every_mark_of_the_ladder() {
    let newer =
        "  j2b: {kind: headsail, name: J2b, wind: 13..22, replaces: j2, start_from: [j2-upwind]}\n\n# What some";
    let (book, problems) = read(&FULL.swap("\n# What some", newer));
    assert!(problems.iter().all(|problem| problem.level != Level::Error), "{problems:?}");
    let carried = book.settings.iter().find(|settings| settings.sails.iter().any(|sail| sail.value == "j2b"));
    let ladder = ladder(&book, &carried.expect("settings of the new sail").id.value);
    let grounds: Vec<_> = ladder.rows.iter().flat_map(|row| &row.marks).map(|mark| mark.ground).collect();
    assert!(!grounds.is_empty() && grounds.iter().all(|ground| *ground == Some(Ground::CarriedOver)), "{grounds:?}");
}

#[test]
fn without_dark_there_is_no_night_column() {
    let (book, _) = read(&FULL.swap("dark: {change_earlier: 2 kn}", ""));
    assert!(
        ladder(&book, "j2-upwind").rows.iter().filter_map(|row| row.rung.as_ref()).all(|rung| rung.night.is_none())
    );
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

/// The one text that says this.
fn find<'a>(drawing: &'a Drawing, words: &str) -> &'a Text {
    drawing.texts().find(|text| text.content == words).unwrap_or_else(|| panic!("{words:?} is printed"))
}

#[test]
fn the_strongest_wind_stands_on_top_with_building_at_the_left_and_easing_at_the_right() {
    let (book, _) = read(FULL);
    for settings in ["j1-upwind", "j2-upwind", "j3-upwind", "j3-reef-upwind", "j1-close-reach"] {
        let drawing = drawn(settings, "A5").unwrap_or_else(|problems| panic!("{problems:?}"));
        let ladder = ladder(&book, settings);
        assert_eq!(picture::clashes(&drawing), Vec::<String>::new(), "{settings}");
        let (left, right) = (find(&drawing, "BUILDING kn"), find(&drawing, "EASING kn"));
        let lowest = find(&drawing, "LIGHTEST");
        let winds = |head: &Text, is_left: bool| -> Vec<String> {
            let bold = drawing.texts().filter(|text| text.weight == Weight::Bold);
            let middle = drawing.size.width / 2.0;
            let inside = |text: &&Text| {
                let x = text.origin.x + text.width() / 2.0;
                let is_day = if is_left {
                    x < head.origin.x + head.width() / 2.0
                } else {
                    x < head.origin.x + head.width() / 2.0 && x > head.origin.x - 1.0
                };
                is_day && (x < middle) == is_left && text.origin.y > head.origin.y && text.origin.y < lowest.origin.y
            };
            let mut found: Vec<&Text> = bold.filter(inside).collect();
            found.sort_by(|a, b| b.origin.y.total_cmp(&a.origin.y));
            found.iter().map(|text| text.content.clone()).filter(|text| text != "DAY").collect()
        };
        let rungs = || ladder.rows.iter().filter_map(|row| row.rung.as_ref());
        assert_eq!(winds(left, true), rungs().map(|rung| rung.building.clone()).collect::<Vec<_>>(), "{settings}");
        assert_eq!(winds(right, false), rungs().map(|rung| rung.easing.clone()).collect::<Vec<_>>(), "{settings}");
        assert!(drawing.texts().filter(|text| text.content == "NIGHT").count() == 2, "{settings}: night both ways");
    }
}

#[test]
fn what_is_new_in_a_row_is_bold_and_underlined_and_nothing_else_is() {
    let (book, _) = read(FULL);
    for settings in ["j1-upwind", "j2-upwind", "j1-close-reach"] {
        let drawing = drawn(settings, "A5").unwrap_or_else(|problems| panic!("{problems:?}"));
        let ladder = ladder(&book, settings);
        let new = ladder.rows.iter().flat_map(|row| &row.marks).filter(|mark| mark.is_new).count();
        // The table's lines are thinner or go across all of it.
        let cap = find(&drawing, &ladder.rows[1].rung.as_ref().expect("a rung").building).cap_height();
        let lines = drawing.items.iter().map(|item| item.shape.bounds());
        let under: Vec<_> = lines
            .filter(|area| {
                (cap * 0.1..cap * 0.12 + 0.2).contains(&area.height()) && area.width() < 25.0 && area.width() > 1.0
            })
            .filter(|area| area.height() > 0.25)
            .collect();
        assert_eq!(under.len(), new, "{settings}: {under:?}");
    }
}

#[test]
fn a_ladder_that_a_size_does_not_hold_is_refused_with_one_that_holds_it() {
    let problems = drawn("j1-upwind", "A7").expect_err("too much for A7");
    let error = problems.iter().find(|problem| problem.level == Level::Error).expect("an error");
    assert!(error.what.contains("does not fit A7"), "{error:?}");
    let size = error.instead.split("`size: ").nth(1).and_then(|rest| rest.split('`').next()).expect("a size");
    assert!(drawn("j1-upwind", size).is_ok(), "{size}");
}

#[test]
fn a_correction_at_sea_has_a_line_to_be_written_on() {
    let (drawn, _) = whole::draw(FULL);
    let card = drawn.iter().find(|drawn| drawn.card.kind == "change-points").expect("change points");
    let words = picture::joined(card.drawing.as_ref().expect("it fits"));
    assert!(words.contains("CHANGED ABOARD") && words.contains("DATE"), "{words}");
}
