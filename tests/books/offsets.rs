//! How far a control is moved has one meaning, in `adjust` and in the `offsets` of a sail, and never vanishes.

use crate::reading::load;
use cockpit_cards::book::{Book, Level, Problem, Recorded};

const ADJUSTED: &str = include_str!("found/adjusted-by-one-bar.yaml");
const CARRIED: &str = include_str!("found/carried-over-by-one-bar.yaml");

/// Controls of every kind of scale, each with a reading that can move both ways.
const SCALES: [(&str, &str, &str); 9] = [
    ("{marks: 0..9, spacing: 20 mm, halves: true}", "4", "½"),
    ("{centre: C, marks: 6, spacing: 75 mm, ends: [W, L]}", "W2", "1"),
    ("{measured: {0 bar: 0 mm, 60 bar: 40 mm, 120 bar: 90 mm}, every: 30 bar}", "60 bar", "30 bar"),
    ("{marks: 0..12, around: {diameter: 40 mm, thickness: 0.25 mm}}", "4", "1"),
    (
        "{tapes: [{name: red, from: 0 mm, to: 20 mm}, {name: green, from: 20 mm, to: 40 mm}, {name: blue, from: 40 mm, to: 60 mm}]}",
        "green",
        "1",
    ),
    ("{turns: {base: gauge 38 on 2027-04-02}, quarters: true}", "-1", "¼ turn"),
    ("{gauge: {unit: bar, least: 0, most: 120, every: 5}}", "40", "5 bar"),
    ("{gauge: {unit: kgf, every: 1}}", "40", "1"),
    ("{words: [eased, snug, hard]}", "snug", "1"),
];

fn book(scale: &str, reading: &str, offset: &str, adjust: &str) -> String {
    format!(
        "\
book: 1
boat: {{name: Chervil}}
controls: {{control: {{scale: {scale}}}}}
sails:
  main: {{kind: mainsail}}
  j1: {{kind: headsail, wind: 5..20}}
  j1b: {{kind: headsail, wind: 5..20, replaces: j1, start_from: j1-upwind, offsets: {{control: {offset}}}}}
adjust: {{chop: {{control: {adjust}}}}}
settings:
  - {{id: j1-upwind, sails: [main, j1], point_of_sail: upwind, controls: [control], at: {{8: [{reading}]}}}}
"
    )
}

fn errors(text: &str) -> Vec<Problem> {
    load(text).problems.into_iter().filter(|problem| problem.level == Level::Error).collect()
}

/// The reading that was carried over, that of the old sail, and the old one adjusted.
fn readings(book: &Book) -> (f64, f64, f64) {
    let control = &book.controls[0];
    let of = |id: &str| book.settings(id).expect("settings").rows[0].readings[0].one().expect("a reading").value;
    let (_, offset) = &book.adjustments[0].moves[0];
    (of("j1b-upwind"), of("j1-upwind"), offset.value.moved(of("j1-upwind"), &control.scale))
}

#[test]
fn on_every_scale_a_move_means_the_same_for_a_sea_and_for_a_new_sail_and_is_seen() {
    for (scale, reading, far) in SCALES {
        for sign in ["", "-"] {
            let far = format!("{sign}{far}");
            let loaded = load(&book(scale, reading, &far, &far));
            let told = crate::reading::complaints(&loaded);
            let book = loaded.book.unwrap_or_else(|| panic!("{scale}: {told}"));
            let (carried, old, adjusted) = readings(&book);
            assert_eq!(carried, adjusted, "{far} on {scale}");
            let scale = &book.controls[0].scale;
            assert_ne!(scale.print(carried), scale.print(old), "{far} vanishes");
            assert_eq!((carried - old).abs(), scale.step(), "{far} is one readable step");
            assert_eq!(carried < old, sign == "-");
        }
    }
}

#[test]
fn a_bare_number_on_a_scale_of_bar_is_refused_in_both_places_with_what_to_write() {
    let one = |text: &str| {
        let problems = errors(text);
        problems
            .into_iter()
            .map(|problem| {
                let place = problem.place.clone().expect("a place");
                (text[place.bytes].to_owned(), problem.what, problem.instead)
            })
            .collect::<Vec<_>>()
    };
    let (adjusted, carried) = (one(ADJUSTED), one(CARRIED));
    // The vang and the checkstay, in `adjust`; in the other book in `offsets` as well.
    assert_eq!((adjusted.len(), carried.len()), (2, 4), "{carried:?}");
    for (place, what, instead) in adjusted.iter().chain(&carried) {
        assert_eq!(place, "1");
        assert!(what.contains("could be 1 bar or 1 step of"), "{what}");
        assert!(instead.contains("`5 bar`") || instead.contains("`30 bar`"), "{instead}");
    }
    // What the remedy says is taken, and moves the control.
    let corrected = CARRIED.replace("vang: 1, ck: 1,", "vang: 5 bar, ck: 30 bar,");
    let book = load(&corrected).book.expect("a sound book");
    let row = &book.settings("j1b-upwind").expect("settings").rows[0];
    let carried: Vec<f64> = row.readings.iter().filter_map(Recorded::one).map(|reading| reading.value).collect();
    // From 25 bar, 30 bar and mark 3.
    assert_eq!(carried, [30.0, 60.0, 4.0]);
}

#[test]
fn a_move_that_would_vanish_or_means_nothing_is_refused_in_both_places() {
    for (scale, reading, far, says) in [
        (SCALES[0].0, "4", "¼", "finer"),
        (SCALES[0].0, "4", "3 mm", "finer"),
        (SCALES[0].0, "4", "0", "changes nothing"),
        (SCALES[0].0, "4", "5 kg", "mass"),
        (SCALES[2].0, "60 bar", "1 bar", "finer"),
        (SCALES[3].0, "4", "5 mm", "no number of marks"),
        (SCALES[5].0, "-1", "0.1", "finer"),
        (SCALES[6].0, "40", "2", "2 steps of 5 bar"),
        (SCALES[6].0, "40", "7 bar", "finer"),
        (SCALES[6].0, "40", "70 psi", "another unit"),
        (SCALES[8].0, "snug", "½", "finer"),
        (SCALES[8].0, "snug", "lots", "how far"),
    ] {
        let good = SCALES.iter().find(|(known, _, _)| *known == scale).expect("a scale").2;
        for text in [book(scale, reading, far, good), book(scale, reading, good, far)] {
            let problems = errors(&text);
            let [problem] = problems.as_slice() else { panic!("{far} on {scale}: {problems:?}") };
            assert!(problem.what.contains(says), "{far}: {problem:?}");
            assert_eq!(&text[problem.place.clone().expect("a place").bytes], far);
            assert!(problem.instead.starts_with("write"), "{problem:?}");
        }
    }
}

#[test]
fn a_length_moves_marks_by_the_travel_of_the_control_itself() {
    let text = book("{marks: 0..9, spacing: 20 mm, halves: true, purchase: 3}", "4", "-30 mm", "10 mm");
    let book = load(&text).book.expect("a sound book");
    assert_eq!(readings(&book), (2.5, 4.0, 4.5));
}
