//! Scales: how marks are written, printed and rounded, and where they stand.

use cockpit_cards::length::Length;
use cockpit_cards::tuning::{Fineness, Rank, Scale, ScaleKind, Tape, mark};
use proptest::prelude::*;

fn even(first: i32, last: i32, spacing: Length, purchase: f64, fineness: Fineness) -> Scale {
    Scale { kind: ScaleKind::Even { first, last, spacing, purchase }, fineness }
}

fn traveller(fineness: Fineness) -> Scale {
    let ends = ["W".to_owned(), "L".to_owned()];
    Scale {
        kind: ScaleKind::Centre { centre: "C".into(), marks: 6, spacing: Length::mm(75.0), purchase: 1.0, ends },
        fineness,
    }
}

fn measured(pairs: &[(f64, f64)], every: f64, fineness: Fineness) -> Scale {
    let pairs = pairs.iter().map(|(quantity, place)| (*quantity, Length::mm(*place))).collect();
    Scale { kind: ScaleKind::Measured { pairs, unit: "bar".into(), every }, fineness }
}

/// A checkstay of our own invention.
fn checkstay() -> Scale {
    measured(&[(0.0, 0.0), (60.0, 14.0), (120.0, 31.0), (180.0, 51.0)], 30.0, Fineness::Whole)
}

fn gauge(least: Option<f64>, most: Option<f64>) -> Scale {
    Scale { kind: ScaleKind::Gauge { unit: "bar".into(), least, most, every: 5.0 }, fineness: Fineness::Whole }
}

fn turns() -> Scale {
    Scale { kind: ScaleKind::Turns { base: "gauge 38 on 2027-04-02".into() }, fineness: Fineness::Halves }
}

fn words() -> Scale {
    let words = ["eased", "snug", "hard"].map(str::to_owned).to_vec();
    Scale { kind: ScaleKind::Words(words), fineness: Fineness::Whole }
}

fn tapes() -> Scale {
    let tape = |name: &str, from, to| Tape {
        name: name.into(),
        colour: name.into(),
        from: Length::mm(from),
        to: Length::mm(to),
    };
    let tapes = vec![tape("red", 100.0, 140.0), tape("white", 140.0, 180.0), tape("blue", 200.0, 240.0)];
    Scale { kind: ScaleKind::Tapes(tapes), fineness: Fineness::Whole }
}

fn every_kind() -> [Scale; 7] {
    let backstay = even(-2, 8, Length::mm(20.0), 1.0, Fineness::Halves);
    [backstay, traveller(Fineness::Halves), checkstay(), tapes(), turns(), gauge(Some(0.0), Some(200.0)), words()]
}

// Marks as written and printed.

#[test]
fn marks_are_read_the_ways_people_write_them() {
    let written = [
        ("4", 4.0),
        ("08", 8.0),
        (" 4 ", 4.0),
        ("4.5", 4.5),
        (".5", 0.5),
        ("4½", 4.5),
        ("4 ½", 4.5),
        ("4-½", 4.5),
        ("4 1/2", 4.5),
        ("4-1/2", 4.5),
        ("4  1/2", 4.5),
        ("4\u{a0}1/2", 4.5),
        ("4 1⁄2", 4.5),
        ("1/2", 0.5),
        ("-½", -0.5),
        ("-4 1/2", -4.5),
        ("-4-1/2", -4.5),
        ("+1¼", 1.25),
        ("−2", -2.0),
        ("3¾", 3.75),
        ("1⅜", 1.375),
        ("2 5/8", 2.625),
        ("0", 0.0),
        ("-0", 0.0),
    ];
    for (text, value) in written {
        assert_eq!(mark::parse(text), Some(value), "{text}");
    }
    assert!(mark::parse("-0").is_some_and(f64::is_sign_positive), "0 has no sign");
}

#[test]
fn what_could_mean_two_things_or_nothing_is_no_mark() {
    let not_marks = [
        "", " ", "-", "+", "½½", "4,5", "41/2", "3/2", "2/2", "0/2", "4 3/2", "4 1/3", "4 1/0", "4/", "/2", "4 1/2/2",
        "1e3", "1E3", "0x1", "1_000", "1 000", "4.", ".", "4.5½", "4½.5", "4..5", "--4", "+-4", "- 4", "4 -1/2",
        "4 - 1/2", "4--1/2", "4 -½", "4-", "4-5", "½4", "½ 4", "-½-½", "NaN", "nan", "inf", "-inf", "infinity", "٤",
        "４", "4 mm", "W3", "4½ ½", "⅓",
    ];
    for text in not_marks {
        assert_eq!(mark::parse(text), None, "{text}");
    }
    assert_eq!(mark::parse(&"9".repeat(400)), None, "past every f64");
}

#[test]
fn marks_are_printed_with_fractions_and_a_true_minus() {
    let printed = [
        (4.5, "4½"),
        (0.25, "¼"),
        (-1.25, "−1¼"),
        (-0.5, "−½"),
        (3.75, "3¾"),
        (0.0, "0"),
        (-0.0, "0"),
        (10.0, "10"),
        (4.3, "4.3"),
        (1.375, "1.375"),
        (0.1 + 0.2, "0.3"),
        (-2.0, "−2"),
        (1000.0, "1000"),
        (-1e-9, "0"),
    ];
    for (value, text) in printed {
        assert_eq!(mark::print(value), text);
    }
    assert_eq!([mark::print_decimal(67.5), mark::print_decimal(-0.25)], ["67.5", "−0.25"]);
}

#[test]
fn readings_of_every_kind_are_read_and_printed() {
    let lead = even(0, 20, Length::mm(50.0), 1.0, Fineness::Halves);
    let traveller = traveller(Fineness::Halves);
    let cases: [(&Scale, &str, f64, &str); 28] = [
        (&lead, "13½", 13.5, "13½"),
        (&lead, "4.3", 4.3, "4.3"),
        (&traveller, "W3", -3.0, "W3"),
        (&traveller, "w3", -3.0, "W3"),
        (&traveller, "L 2 1/2", 2.5, "L2½"),
        (&traveller, "l½", 0.5, "L½"),
        (&traveller, "C", 0.0, "C"),
        (&traveller, "c", 0.0, "C"),
        (&traveller, "0", 0.0, "C"),
        (&traveller, "W0", 0.0, "C"),
        (&checkstay(), "90 bar", 90.0, "90 bar"),
        (&checkstay(), "90", 90.0, "90 bar"),
        (&checkstay(), "90BAR", 90.0, "90 bar"),
        (&checkstay(), "67½", 67.5, "67.5 bar"),
        (&gauge(None, None), "-3 bar", -3.0, "−3 bar"),
        (&turns(), "+1½ turns", 1.5, "+1½ turns"),
        (&turns(), "1½", 1.5, "+1½ turns"),
        (&turns(), "1 turn", 1.0, "+1 turn"),
        (&turns(), "-1", -1.0, "−1 turn"),
        (&turns(), "-½ turn", -0.5, "−½ turn"),
        (&turns(), "−2 Turns", -2.0, "−2 turns"),
        (&turns(), "0", 0.0, "0"),
        (&turns(), "0 turns", 0.0, "0"),
        (&words(), "eased", 0.0, "eased"),
        (&words(), " Hard ", 2.0, "hard"),
        (&tapes(), "white", 1.0, "white"),
        (&tapes(), "BLUE", 2.0, "blue"),
        (&even(-2, 8, Length::mm(20.0), 1.0, Fineness::Whole), "-2", -2.0, "−2"),
    ];
    for (scale, text, reading, printed) in cases {
        assert_eq!(scale.parse(text), Ok(reading), "{text}");
        assert!(scale.parse(text).is_ok_and(|reading| reading != 0.0 || reading.is_sign_positive()), "{text}");
        assert_eq!(scale.print(reading), printed);
    }
}

#[test]
fn a_wrong_reading_says_what_is_wrong_and_what_would_be_right() {
    let lead = even(0, 20, Length::mm(50.0), 1.0, Fineness::Halves);
    let complaint = |scale: &Scale, text: &str| {
        let error = scale.parse(text).unwrap_err();
        format!("{}; {}", error.what, error.instead)
    };
    let cases = [
        (&lead, "4,5", "`4,5` is not a number that can be read off a scale; write it with a point: `4.5`"),
        (
            &lead,
            "41/2",
            "`41/2` is not a number that can be read off a scale; if it is 4½, write `4 1/2`, with the gap",
        ),
        (&lead, "mid", "`mid` is not a number that can be read off a scale; write it like `4`, `4.5`, `4½` or `4 1/2`"),
        (&lead, "21", "`21` is off the scale; it runs from 0 to 20"),
        (&lead, "-½", "`-½` is off the scale; it runs from 0 to 20"),
        (&traveller(Fineness::Halves), "3W", "`3W` does not say how far from C and which way; write `W1`, `L1` or `C`"),
        (&traveller(Fineness::Halves), "3", "`3` does not say how far from C and which way; write `W1`, `L1` or `C`"),
        (
            &traveller(Fineness::Halves),
            "W-3",
            "`W-3` does not say how far from C and which way; write `W1`, `L1` or `C`",
        ),
        (&traveller(Fineness::Halves), "L7", "`L7` is off the scale; it runs from W6 to L6"),
        (&checkstay(), "90 psi", "`90 psi` is in another unit than its scale; write it in bar"),
        (&checkstay(), "181", "`181` is off the scale; it runs from 0 bar to 180 bar"),
        (
            &checkstay(),
            "1,5 bar",
            "`1,5 bar` is not a number that can be read off a scale; write it with a point: `1.5`",
        ),
        (&checkstay(), "bar", "`bar` is not a number that can be read off a scale; write it like `4.5 bar`"),
        (&gauge(Some(10.0), None), "9", "`9` is off the scale; it starts at 10 bar"),
        (&gauge(None, Some(10.0)), "11", "`11` is off the scale; it ends at 10 bar"),
        (&words(), "tight", "`tight` is not one of the scale's words; the words are `eased`, `snug`, `hard`"),
        (&tapes(), "green", "`green` is not one of the scale's words; the words are `red`, `white`, `blue`"),
    ];
    for (scale, text, expected) in cases {
        assert_eq!(complaint(scale, text), expected);
    }
    let long = complaint(&lead, &"½".repeat(1000));
    assert!(long.chars().count() < 150, "{long}");
}

#[test]
fn ends_of_more_than_a_letter_stand_off_their_number_and_may_begin_alike() {
    let ends = ["port".to_owned(), "p".to_owned()];
    let kind = ScaleKind::Centre { centre: "mid".into(), marks: 4, spacing: Length::mm(10.0), purchase: 1.0, ends };
    let scale = Scale { kind, fineness: Fineness::Whole };
    assert_eq!(
        [scale.parse("port 3"), scale.parse("port3"), scale.parse("p3"), scale.parse("MID")],
        [Ok(-3.0), Ok(-3.0), Ok(3.0), Ok(0.0)]
    );
    assert_eq!([scale.print(-3.0), scale.print(3.0)], ["port 3", "p3"]);
}

// Where marks stand.

#[test]
fn even_marks_stand_spacing_times_purchase_apart_from_the_lowest() {
    let outhaul = even(-2, 6, Length::mm(10.0), 4.0, Fineness::Whole);
    let marks = outhaul.graduations();
    assert_eq!(marks.len(), 9);
    for (index, mark) in marks.iter().enumerate() {
        assert_eq!((mark.at, mark.rank), (Length::mm(40.0 * index as f64), Rank::Whole));
        assert_eq!(mark.reading, index as f64 - 2.0);
    }
    assert_eq!([marks[0].label.as_str(), marks[2].label.as_str()], ["−2", "0"]);
    let inches = even(0, 80, Length::inches(1.0), 1.0, Fineness::Whole).graduations();
    assert!((inches[80].at - Length::mm(2032.0)).abs() < Length::mm(1e-9));
}

#[test]
fn halves_and_quarters_stand_between_whole_marks_without_a_label() {
    let halves = even(0, 2, Length::mm(20.0), 1.0, Fineness::Halves).graduations();
    let shown: Vec<_> =
        halves.iter().map(|mark| (mark.reading, mark.label.as_str(), mark.rank, mark.at.to_mm())).collect();
    use Rank::{Half, Quarter, Whole};
    assert_eq!(
        shown,
        [
            (0.0, "0", Whole, 0.0),
            (0.5, "", Half, 10.0),
            (1.0, "1", Whole, 20.0),
            (1.5, "", Half, 30.0),
            (2.0, "2", Whole, 40.0)
        ]
    );
    let quarters: Vec<_> =
        even(-1, 0, Length::mm(20.0), 1.0, Fineness::Quarters).graduations().iter().map(|mark| mark.rank).collect();
    assert_eq!(quarters, [Whole, Quarter, Half, Quarter, Whole]);
}

#[test]
fn a_centre_scale_is_laid_from_its_lowest_mark_on_the_first_side() {
    let marks = traveller(Fineness::Whole).graduations();
    let labels: Vec<_> = marks.iter().map(|mark| mark.label.as_str()).collect();
    assert_eq!(labels, ["W6", "W5", "W4", "W3", "W2", "W1", "C", "L1", "L2", "L3", "L4", "L5", "L6"]);
    assert_eq!([marks[0].at, marks[6].at, marks[12].at], [Length::ZERO, Length::mm(450.0), Length::mm(900.0)]);
}

#[test]
fn measured_marks_stand_on_the_curve_through_the_pairs_and_pairs_stand_where_they_were_measured() {
    let scale = checkstay();
    let labels: Vec<_> = scale.graduations().into_iter().map(|mark| mark.label).collect();
    assert_eq!(labels, ["0", "30", "60", "90", "120", "150", "180"]);
    for (quantity, place) in [(0.0, 0.0), (60.0, 14.0), (120.0, 31.0), (180.0, 51.0)] {
        assert_eq!(scale.at(quantity), Some(Length::mm(place)));
    }
    // SciPy 1.17.1: PchipInterpolator([0, 60, 120, 180], [0, 14, 31, 51])([30, 90, 150])
    for (quantity, place) in [(30.0, 6.643145161290322), (90.0, 22.12205754141238), (150.0, 40.6097972972973)] {
        assert!((scale.at(quantity).unwrap() - Length::mm(place)).abs() < Length::mm(1e-9));
    }
}

#[test]
fn measured_places_count_from_the_first_pair() {
    let scale = measured(&[(3.0, 100.0), (58.0, 114.0), (121.0, 131.0)], 30.0, Fineness::Whole);
    let marks = scale.graduations();
    let labels: Vec<_> = marks.iter().map(|mark| mark.label.as_str()).collect();
    assert_eq!(labels, ["3", "30", "60", "90", "121"], "120 would run into 121");
    assert_eq!([marks[0].at, marks[4].at], [Length::ZERO, Length::mm(31.0)]);
}

#[test]
fn a_tenth_as_the_step_loses_no_mark_to_arithmetic() {
    let scale = measured(&[(0.0, 0.0), (0.7, 70.0)], 0.1, Fineness::Halves);
    let marks = scale.graduations();
    let whole: Vec<_> = marks.iter().filter(|mark| mark.rank == Rank::Whole).map(|mark| mark.label.as_str()).collect();
    assert_eq!(whole, ["0", "0.1", "0.2", "0.3", "0.4", "0.5", "0.6", "0.7"]);
    assert_eq!(marks.len(), 15);
    // (0.1 + 0.05) / 0.05 is a little more than 3, and 0.15 a mark all the same.
    let from_a_tenth = measured(&[(0.1, 0.0), (0.7, 70.0)], 0.1, Fineness::Halves).graduations();
    assert_eq!(from_a_tenth.len(), 13);
    assert!(marks.windows(2).all(|pair| pair[0].at < pair[1].at));
}

#[test]
fn a_tape_stands_at_its_lower_edge_and_covers_places_up_to_its_upper() {
    let marks = tapes().graduations();
    let shown: Vec<_> = marks.iter().map(|mark| (mark.label.as_str(), mark.at.to_mm(), mark.rank)).collect();
    assert_eq!(shown, [("red", 0.0, Rank::Whole), ("white", 40.0, Rank::Whole), ("blue", 100.0, Rank::Whole)]);
    let covered = [-1.0, 10.0, 40.0, 90.0, 140.0, 141.0].map(|place| tapes().reading_at(Length::mm(place)));
    assert_eq!(covered, [None, Some(0.0), Some(1.0), None, Some(2.0), None]);
}

#[test]
fn turns_gauges_and_words_have_no_strip() {
    for scale in [turns(), gauge(Some(0.0), Some(200.0)), words()] {
        assert_eq!((scale.at(0.0), scale.reading_at(Length::ZERO), scale.mark_count()), (None, None, 0));
        assert!(scale.graduations().is_empty());
    }
}

#[test]
fn nothing_stands_off_the_scale() {
    for scale in every_kind() {
        assert_eq!([scale.at(-1e6), scale.at(1e6), scale.at(f64::NAN)], [None; 3]);
        assert_eq!(scale.reading_at(Length::metres(100.0)), None);
    }
}

#[test]
fn marks_are_counted_without_being_made() {
    for scale in every_kind() {
        assert_eq!(scale.mark_count(), scale.graduations().len() as u64);
    }
    let endless = even(i32::MIN, i32::MAX, Length::mm(1.0), 1.0, Fineness::Quarters);
    assert_eq!(endless.mark_count(), 4 * u64::from(u32::MAX) + 1);
    assert!(measured(&[(0.0, 0.0), (1e300, 1.0)], 1e-300, Fineness::Whole).mark_count() > 1_000_000);
    assert_eq!(even(3, 3, Length::mm(20.0), 1.0, Fineness::Halves).mark_count(), 1);
}

#[test]
fn a_scale_that_was_never_checked_gives_no_marks_rather_than_nonsense() {
    let empty_words = Scale { kind: ScaleKind::Words(Vec::new()), fineness: Fineness::Whole };
    assert_eq!((empty_words.print(0.0), empty_words.ends()), (String::new(), None));
    assert!(even(5, 2, Length::mm(20.0), 1.0, Fineness::Whole).graduations().is_empty());
    assert!(measured(&[], 30.0, Fineness::Whole).graduations().is_empty());
    assert!(measured(&[(5.0, 1.0), (2.0, 2.0)], 30.0, Fineness::Whole).graduations().is_empty());
    for every in [0.0, -1.0, f64::NAN] {
        assert_eq!(measured(&[(0.0, 0.0), (10.0, 5.0)], every, Fineness::Whole).graduations().len(), 2);
    }
    assert_eq!(words().print(-1.0), "");
    assert_eq!(words().print(7.0), "");
}

// Rounding.

#[test]
fn readings_round_to_what_the_scale_can_be_read_to() {
    let backstay = |fineness| even(0, 8, Length::mm(20.0), 1.0, fineness);
    assert_eq!(backstay(Fineness::Whole).round(3.6, 0.0), 4.0);
    assert_eq!(backstay(Fineness::Halves).round(3.6, 0.0), 3.5);
    assert_eq!(backstay(Fineness::Quarters).round(3.65, 0.0), 3.75);
    assert_eq!(checkstay().round(70.0, 0.0), 60.0, "the marks of the strip are 30 bar apart");
    assert_eq!(measured(&[(0.0, 0.0), (180.0, 51.0)], 30.0, Fineness::Halves).round(70.0, 0.0), 75.0);
    assert_eq!(gauge(None, None).round(71.0, 0.0), 70.0, "the gauge is read to 5 bar");
    assert_eq!(words().round(0.7, 0.0), 1.0);
}

#[test]
fn a_tie_goes_toward_the_value_asked_for() {
    let scale = even(-4, 8, Length::mm(20.0), 1.0, Fineness::Halves);
    assert_eq!([scale.round(2.25, 1.0), scale.round(2.25, 4.0), scale.round(2.25, 2.25)], [2.0, 2.5, 2.0]);
    assert_eq!([scale.round(-2.25, -4.0), scale.round(-2.25, 0.0)], [-2.5, -2.0]);
}

#[test]
fn rounding_stays_on_the_scale() {
    let scale = measured(&[(3.0, 0.0), (178.0, 51.0)], 30.0, Fineness::Whole);
    assert_eq!([scale.round(175.0, 0.0), scale.round(5.0, 0.0)], [178.0, 3.0]);
    assert_eq!(gauge(Some(12.0), None).round(12.1, 0.0), 12.0);
}

#[test]
fn a_move_of_one_mark_is_not_more_than_one() {
    let lead = even(0, 20, Length::mm(50.0), 1.0, Fineness::Halves);
    assert!(!lead.moves_more_than_one_mark(4.0, 5.0) && !lead.moves_more_than_one_mark(0.3, 0.1 + 0.2 + 1.0));
    assert!(lead.moves_more_than_one_mark(4.0, 5.5) && lead.moves_more_than_one_mark(5.5, 4.0));
    assert!(!checkstay().moves_more_than_one_mark(60.0, 90.0) && checkstay().moves_more_than_one_mark(60.0, 91.0));
    assert!(words().moves_more_than_one_mark(0.0, 2.0) && !words().moves_more_than_one_mark(0.0, 1.0));
}

#[test]
fn only_turns_words_and_tapes_step() {
    assert_eq!(every_kind().map(|scale| scale.steps()), [false, false, false, true, true, false, true]);
}

proptest! {
    #[test]
    fn a_printed_mark_reads_back_as_the_same_mark(eighths in -4000i32..4000) {
        let value = f64::from(eighths) / 8.0;
        prop_assert_eq!(mark::parse(&mark::print(value)), Some(value));
        prop_assert_eq!(mark::parse(&mark::print_decimal(value)), Some(value));
    }

    #[test]
    fn a_printed_reading_reads_back_on_every_kind_of_scale(kind in 0usize..7, eighths in -1600i32..1600) {
        let scale = &every_kind()[kind];
        let reading = scale.round(f64::from(eighths) / 8.0, 0.0);
        prop_assert_eq!(scale.parse(&scale.print(reading)), Ok(reading), "{}", scale.print(reading));
    }

    #[test]
    fn no_text_makes_a_reading_off_the_scale_or_a_panic(kind in 0usize..7, text in "[-+−0-9½¼ ./,WLCbartunsdef]{0,12}|\\PC*") {
        let scale = &every_kind()[kind];
        if let Ok(reading) = scale.parse(&text) {
            prop_assert!(reading.is_finite());
            prop_assert!(scale.ends().is_none_or(|(least, most)| least <= reading && reading <= most));
        }
    }

    #[test]
    fn a_place_read_off_a_strip_is_the_place_of_its_reading(
        steps in prop::collection::vec((0.5..40.0f64, 0.5..40.0f64), 1..8), start in -50.0..50.0f64, part in 0.0..=1.0f64,
    ) {
        let mut pairs = vec![(start, 20.0)];
        for (quantity, place) in steps {
            let (last_quantity, last_place) = pairs[pairs.len() - 1];
            pairs.push((last_quantity + quantity, last_place + place));
        }
        for scale in [measured(&pairs, 5.0, Fineness::Whole), traveller(Fineness::Whole)] {
            let (least, most) = scale.ends().unwrap();
            let length = scale.at(most).unwrap();
            let place = length * part;
            let reading = scale.reading_at(place).unwrap();
            prop_assert!((scale.at(reading).unwrap() - place).abs() < Length::mm(1e-9));
            prop_assert_eq!([scale.reading_at(Length::ZERO), scale.reading_at(length)], [Some(least), Some(most)]);
        }
    }

    #[test]
    fn marks_rise_from_the_datum_and_stand_at_their_readings(
        steps in prop::collection::vec((0.5..40.0f64, 0.5..40.0f64), 1..8), start in -50.0..50.0f64, every in 0.3..20.0f64,
    ) {
        let mut pairs = vec![(start, 20.0)];
        for (quantity, place) in steps {
            let (last_quantity, last_place) = pairs[pairs.len() - 1];
            pairs.push((last_quantity + quantity, last_place + place));
        }
        let scale = measured(&pairs, every, Fineness::Halves);
        let marks = scale.graduations();
        prop_assert_eq!(marks[0].at, Length::ZERO);
        prop_assert!(marks.windows(2).all(|pair| pair[0].at < pair[1].at && pair[0].reading < pair[1].reading));
        prop_assert!(marks.iter().all(|mark| scale.at(mark.reading) == Some(mark.at)));
        prop_assert_eq!(scale.mark_count(), marks.len() as u64);
    }
}
