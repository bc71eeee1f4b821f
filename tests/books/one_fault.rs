//! One fault in the long example is told as one problem, at its place: what follows from it is not told as faults of their own.

use cockpit_cards::book::report;
use cockpit_cards::door;

use crate::reading;
use crate::swap::Swap;

const EXAMPLE: &str = include_str!("../../examples/full.yaml");

/// A piece of the example and what stands there instead, one of each sort of field and of mistake.
const FAULTS: [(&str, &str); 83] = [
    ("boat: {name: Pepperwort, length: 11.5 m}", "boat: {name: Pepperwort, length: 11.5 kn}"),
    ("boat: {name: Pepperwort,", "boat: {nam: Pepperwort,"),
    ("pressure: bar}", "pressure: bars}"),
    ("wind_bands: [4, 8, 11,", "wind_bands: [4, 11, 8,"),
    ("kind: true, sensor", "kind: treu, sensor"),
    ("upwind: 0..52}", "upwind: 52..0}"),
    (
        "  backstay:\n    name: Backstay\n    higher_is: tighter\n    scale: {marks: 0..8, spacing: 20 mm",
        "  backstay:\n    name: Backstay\n    higher_is: tighter\n    scale: {marks: 0..8, spacing: 20 bar",
    ),
    (
        "  jib_halyard:\n    higher_is: tighter\n    read_when: the load is on the clutch\n    scale: {marks: 0..10,",
        "  jib_halyard:\n    higher_is: tighter\n    read_when: the load is on the clutch\n    scale: {marks: 10..0,",
    ),
    (
        "scale: {marks: 0..8, spacing: 20 mm, halves: true}\n    strip:\n      place: inboard",
        "scale: {marks: 0..8, spacing: twenty, halves: true}\n    strip:\n      place: inboard",
    ),
    ("limit: {never_above: 7,", "limit: {never_above: 9,"),
    ("limit: {never_above: 7,", "limit: {never_abov: 7,"),
    ("grows: down\n", "grows: dwn\n"),
    ("{name: green, from: 40 mm, to: 80 mm}", "{name: green, from: 30 mm, to: 80 mm}"),
    ("{name: green, from: 40 mm, to: 80 mm}", "{name: green, from: 40 mm}"),
    ("{centre: C, marks: 4, spacing: 20 mm, ends: [W, L]}", "{centre: C, marks: 0, spacing: 20 mm, ends: [W, L]}"),
    ("60 bar: 14 mm, 120 bar: 31 mm", "60 bar: 34 mm, 120 bar: 31 mm"),
    ("ram: {acts: pull, bore: 32 mm, rod: 16 mm", "ram: {acts: pull, bore: 16 mm, rod: 32 mm"),
    ("ram: {acts: pull,", "ram: {acts: pulls,"),
    ("purchase: 3,", "purchase: -3,"),
    ("{unit: bar, least: 0, most: 120, every: 5}", "{unit: bar, least: 120, most: 0, every: 5}"),
    ("scale: {words: [off, wrinkles out, hard]}", "scale: {words: [off, off, hard]}"),
    ("scale: {words: [off, wrinkles out, hard]}", "scale: {word: [off, wrinkles out, hard]}"),
    ("{turns: {base: \"gauge 38 on 2027-04-02\"}", "{turns: {bas: \"gauge 38 on 2027-04-02\"}"),
    ("chop: {backstay: -½,", "chop: {backsty: -½,"),
    ("chop: {backstay: -½,", "chop: {backstay: half,"),
    ("dark: {change_earlier: 2 kn}", "dark: {change_earlier: 2 m}"),
    ("change_points: {apart: 1 kn}", "change_points: {apart: -1 kn}"),
    ("reef_of: main, wind: 24..34}", "reef_of: mian, wind: 24..34}"),
    ("reef_of: main, wind: 24..34}", "reef_of: main, wind: 34..24}"),
    (
        "j1: {kind: headsail, name: J1, wind: 5..16, angle: 36..70, luff: 14.95 m}",
        "j1: {kind: headsail, name: J1, wind: 5..16, angle: 36..70, luff: 14.95 bar}",
    ),
    ("j2: {kind: headsail,", "j2: {kind: headsial,"),
    ("since: 2027-03-01}", "since: 2027-13-01}"),
    ("wardrobe: {wind: 5..34, angle: 38..70,", "wardrobe: {wind: 5..34, angle: 70..38,"),
    ("  - id: j1-upwind\n    sails: [main, j1]", "  - id: j1-upwind\n    sails: [main, j9]"),
    ("  - id: j1-upwind\n", "  - id: j1 upwind\n"),
    (
        "    point_of_sail: upwind\n    controls: [backstay, jib_halyard, jib_lead, inhauler",
        "    point_of_sail: up\n    controls: [backstay, jib_halyard, jib_lead, inhauler",
    ),
    ("      6:  [0,   2,  2,   white, W3, 2, 0]", "      6:  [0,   2,  2,   white, W3, 2]"),
    ("      6:  [0,   2,  2,   white, W3, 2, 0]", "      6:  [0,   2,  2,   blue, W3, 2, 0]"),
    ("      10: [2,   3½, 3,   red,", "      10: [2,   35, 3,   red,"),
    ("      14: [4½,  5½, 4½,  green, C,  5, 25]", "      10: [4½,  5½, 4½,  green, C,  5, 25]"),
    ("      14: {speed: 6.9 kn, heel: 22 deg,", "      14: {speed: 6.9 m, heel: 22 deg,"),
    ("between: {traveller: step}", "between: {traveller: stepp}"),
    (
        "controls: [backstay, jib_halyard, jib_lead, traveller, checkstay, outhaul, cunningham]",
        "controls: [backstay, jib_halyard, jib_lead, traveler, checkstay, outhaul, cunningham]",
    ),
    ("angle_bands: [44, 56, 68, 80]", "angle_bands: [44, 68, 56, 80]"),
    (
        "21: {50: [5, 5½, 4, L2, 5, 35], 65: [4, 4½, 3, L3, 4, 45], 78:",
        "21: {50: [5, 5½, 4, L2, 5, 35], 65: [4, 4½, 3, L3, 4, 45], 65:",
    ),
    ("aboard: 8\n", "aboard: eight\n"),
    ("aboard: 8\n", "aboard: 8\n  abord: 8\n"),
    ("mass: 82 kg  ", "mass: 82 m  "),
    ("usually_below: {hands: 4,", "usually_below: {hands: 9,"),
    ("gz: {0: 0 mm, 10: 215 mm", "gz: {0: 5 mm, 10: 215 mm"),
    ("displacement: 6400 kg            # what", "displacement: 6400 m            # what"),
    ("heel_limited: {from: 18 deg}", "heel_limited: {from: 18 kn}"),
    ("air: {celsius: 9, hpa: 1024, humidity: 80}", "air: {celsius: 900, hpa: 1024, humidity: 80}"),
    ("  start: 2027-06-12 18:40\n", "  start: 2027-06-32 18:40\n"),
    ("time_zone: Europe/London\n", "time_zone: Europe/Lundon\n"),
    ("  least_on_deck: 3\n", "  least_on_deck: 33\n"),
    ("lengths: [4 h, 4 h, 4 h, 4 h, 2 h, 2 h, 4 h]", "lengths: [4 h, 4 kg, 4 h, 4 h, 2 h, 2 h, 4 h]"),
    ("  from: 00:00 ", "  from: 25:00 "),
    (
        "sailed: {file: full-sailed.csv, time_zone: Europe/Copenhagen}",
        "sailed: {file: full-saild.csv, time_zone: Europe/Copenhagen}",
    ),
    (
        "sailed: {file: full-sailed.csv, time_zone: Europe/Copenhagen}",
        "sailed: {file: full-sailed.csv, time_zone: Copenhagen}",
    ),
    ("wind: 9..11, angle: 42}", "wind: 9...11, angle: 42}"),
    ("{time: 2027-06-13 00:00, wind", "{time: 2027-06-11 00:00, wind"),
    ("{what: Halyards aloft looked at, who: Bo,", "{wat: Halyards aloft looked at, who: Bo,"),
    ("tack: [0.5 m, 0 m, 1.25 m]", "tack: [0.5 m, 0 m]"),
    ("clew: [5.0 m, 1.15 m, 2.3 m]", "clew: [5.0 m, 1.15 m, 2.3 kg]"),
    ("  car: 8\n", "  car: 18\n"),
    ("sheet_load: 3 kN", "sheet_load: 3 km"),
    ("hull_line: [[0 m, 0 m], [1.5 m, 0.7 m]", "hull_line: [[0 m, 0 m], [0 m, 0.7 m]"),
    ("pattern: vee ", "pattern: wee "),
    ("  spacing: 350 mm\n  line", "  spacing: 350 mn\n  line"),
    ("posts: [0 m, 1.5 m, 3.2 m]", "posts: [0 m, 3.5 m, 3.2 m]"),
    ("wires: [300 mm, 620 mm]", "wires: [620 mm, 300 mm]"),
    ("centre_of_gravity: [6.1 m, 0 m, 0.1 m]", "centre_of_gravity: [6.1 m, 0 m, 0.1 kg]"),
    ("moment_to_trim: 95 kg·m/cm", "moment_to_trim: 95 kg/cm"),
    ("  gm: 1.25 m\n", "  gm: 1.25 kg\n"),
    ("plan: move, to: [5.8 m, 0 m, -0.1 m], stow", "plan: mve, to: [5.8 m, 0 m, -0.1 m], stow"),
    ("now: [1.2 m, 0 m, 0.6 m], plan: move, to: [5.9 m, 0 m, -0.1 m],", "now: [1.2 m, 0 m, 0.6 m], plan: move,"),
    ("middle: {left: 0.6}", "middle: {left: 6}"),
    ("- {kind: wind-settings, settings: j2-upwind}", "- {kind: wind-setings, settings: j2-upwind}"),
    ("- {kind: wind-settings, settings: j2-upwind}", "- {kind: wind-settings, settings: j7-upwind}"),
    ("- {kind: sail-change, from: j1, to: j2,", "- {kind: sail-change, from: j1, to: j4,"),
    ("- {kind: wardrobe, back: {lines: Repairs}}", "- {kind: wardrobe, size: A99}"),
    ("- {kind: re-mark}", "- {kind: re-mark, foo: bar}"),
];

#[test]
fn each_fault_planted_alone_is_told_once_at_its_place_and_nothing_else_is() {
    let mut wrong = Vec::new();
    for (piece, fault) in FAULTS {
        let at = EXAMPLE.find(piece).expect(piece);
        let text = EXAMPLE.replacen(piece, fault, 1);
        let passed = door::check(reading::load(&text));
        let lines = EXAMPLE[..at].lines().count()..=text[..at + fault.len()].lines().count();
        let told = |line: usize| lines.contains(&line) || lines.contains(&(line + 1));
        let places: Vec<Option<usize>> = passed
            .problems
            .iter()
            .map(|problem| problem.place.as_ref().map(|place| text[..place.bytes.start].lines().count().max(1)))
            .collect();
        if !matches!(places[..], [Some(line)] if told(line)) {
            wrong.push(format!(
                "{fault:?} on {lines:?}, told on {places:?}:\n{}",
                report::for_people(&passed.problems, &passed.sources, false)
            ));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The example with a piece swapped: what is told of it.
fn told(piece: &str, other: &str) -> String {
    let passed = door::check(reading::load(&EXAMPLE.swap(piece, other)));
    report::for_people(&passed.problems, &passed.sources, false)
}

#[track_caller]
fn assert_told(piece: &str, other: &str, words: &[&str]) {
    let told = told(piece, other);
    assert_eq!(told.matches("error: ").count() + told.matches("warning: ").count(), 1, "{told}");
    words.iter().for_each(|words| assert!(told.contains(words), "no {words:?} in\n{told}"));
}

#[test]
fn advice_about_a_comma_names_both_numbers_where_it_may_divide_thousands() {
    // A gauge in psi goes into the thousands: what is a mark of 1 and what a limit of the rig is 1,000 times apart.
    let piece = "  - {kind: re-mark}";
    assert_eq!(told(piece, piece), "");
    let reading = "14: [4½,  5½, 4½,  green, C,  5, 25]";
    assert_told(
        reading,
        "14: [4½,  5½, 4½,  green, C,  5, 1,000]",
        &["write `1000`, or `1.000` if the comma stands for"],
    );
    assert_told(reading, "14: [4,5,  5½, 4½,  green, C,  5, 25]", &["was `4,5` meant as one number?", "write `4.5`"]);
    assert_told("moment_to_trim: 95 kg·m/cm", "moment_to_trim: \"1,095 kg·m/cm\"", &["`1095`", "or `1.095`"]);
}

#[test]
fn a_length_of_a_watch_needs_its_unit_and_one_with_a_comma_is_not_two() {
    let lengths = "lengths: [4 h, 4 h, 4 h, 4 h, 2 h, 2 h, 4 h]";
    assert_told(
        lengths,
        "lengths: [4,5 h, 4 h]",
        &["`4` has no unit", "was `4,5 h` meant as one length?", "write `4.5`"],
    );
    assert_told(lengths, "lengths: [4, 4, 3]", &["`4` has no unit", "write it with its unit, like `4 h`"]);
    assert_told(lengths, "lengths: [4 h, 10 min]", &["a watch of 10m is shorter than", "write `h` if hours are meant"]);
    assert_eq!(told(lengths, "lengths: [4.5 h, 30 min]"), "");
}

#[test]
fn a_range_with_three_points_or_without_an_end_is_no_range() {
    let wind = "wind: 5..16, angle: 36..70, luff: 14.95 m";
    assert_told(wind, "wind: 5...16, angle: 36..70, luff: 14.95 m", &["`5...16` has too many points", "like `5..16`"]);
    assert_told(wind, "wind: 0...11, angle: 36..70, luff: 14.95 m", &["`0...11` has too many points", "like `0..11`"]);
    assert_told(wind, "wind: ..22, angle: 36..70, luff: 14.95 m", &["`..22` lacks its lower end"]);
    assert_told(wind, "wind: 5.., angle: 36..70, luff: 14.95 m", &["`5..` lacks its upper end"]);
}

#[test]
fn what_is_wrong_is_said_in_true_words() {
    assert_told(
        "spacing: 8 mm, purchase",
        "spacing: 8. mm, purchase",
        &["`8.` ends with its decimal point", "write `8`"],
    );
    assert_told(
        "read_when: the load is on the clutch",
        "read_when: [year 27]",
        &["a text with brackets goes in quotes"],
    );
    let zone = "time_zone: Europe/London";
    let told = told(zone, "time_zone: BST");
    assert!(
        told.contains("there is no time zone \"BST\"") && told.contains("IANA") && !told.contains("did you mean"),
        "{told}"
    );
    assert_told(zone, "time_zone: Europe/Londn", &["did you mean Europe/London?"]);
    let j2 = "since: 2027-03-01}";
    assert_told(j2, "since: 2027-03-01, replaces: main}", &["headsail \"j2\" is said to replace mainsail \"main\""]);
}
