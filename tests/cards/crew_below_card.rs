//! The crew-below card prints the wind that the formulas give for the book's own numbers, and only where heel limits.

use crate::reading;

use std::collections::BTreeSet;

use cockpit_cards::book::Problem;
use cockpit_cards::cards::crew_below::{ReadCell, WindRow};
use cockpit_cards::cards::{self, Card, CrewBelow, Feel, Felt, Label};
use cockpit_cards::tuning::Wind;
use cockpit_cards::tuning::righting::Bunks;
use reading::{SOUND, complaints, load};

const CREW: &str = "
crew: {aboard: 8, mass: 80 kg, rail: {out: 1.6 m, above: 0.8 m}, bunks: {out: 1.0 m, above: 0 m}}
";
const RIGHTING: &str = "
righting: {displacement: 6000 kg, gm: 1.2 m, heel_limited: {from: 20 deg}, upwind_angle: 42 deg}
";

/// The sound book with targets for two of its winds.
fn book(crew: &str, righting: &str, card: &str) -> String {
    let targets = "    targets:\n      6: {speed: 5 kn, heel: 12 deg}\n      10: {speed: 6 kn, heel: 20 deg}\n      \
                   14: {speed: 6.8 kn, heel: 22 deg}\n";
    format!("{SOUND}{targets}{crew}{righting}cards: [{card}]\n")
}

fn cards_of(text: &str) -> (Vec<Card>, Vec<Problem>) {
    let loaded = load(text);
    let said = complaints(&loaded);
    let book = loaded.book.filter(|_| said.is_empty()).unwrap_or_else(|| panic!("{said}"));
    let mut problems = Vec::new();
    let cards = cards::cards(&book, &mut problems);
    (cards, problems)
}

/// What is printed for each row: wind and what each column says.
fn said(card: &Card) -> &CrewBelow {
    card.says().expect("a crew-below card")
}

fn rows(text: &str) -> Vec<(String, Vec<String>)> {
    rows_of(text, 0)
}

fn rows_of(text: &str, table: usize) -> Vec<(String, Vec<String>)> {
    let (cards, problems) = cards_of(text);
    assert!(problems.is_empty(), "{problems:?}");
    table_rows(&cards[0], table)
}

/// The rows of a table, each cell in one line: `read 15½`, `» read 15½`, `no change`, `past this sail: J2 + Main, read 17½`.
fn table_rows(card: &Card, table: usize) -> Vec<(String, Vec<String>)> {
    let one = |row: &WindRow| {
        let cell = |cell: &ReadCell| match (&cell.wind, &cell.past) {
            (None, _) => cell.read.clone(),
            (Some(wind), _) if cell.read == "as it is" => {
                assert_eq!(*wind, row.wind);
                "no change".to_owned()
            }
            (Some(wind), past) => {
                assert_eq!(
                    difference(&cell.read),
                    half_knots(wind) - half_knots(&row.wind),
                    "{cell:?} at {}",
                    row.wind
                );
                let sign = if cell.read.starts_with("» ") { "» " } else { "" };
                let past = past.as_ref().map(|past| format!("{past}, ")).unwrap_or_default();
                format!("{sign}{past}read {wind}")
            }
        };
        (row.wind.clone(), row.cells.iter().map(cell).collect())
    };
    said(card).tables[table].rows.iter().map(one).collect()
}

/// `12½` in halves of a knot.
fn half_knots(wind: &str) -> i32 {
    let whole = wind.trim_end_matches('½');
    2 * whole.parse::<i32>().unwrap_or_default() + i32::from(wind.ends_with('½'))
}

/// `» 2½ higher` in halves of a knot.
fn difference(read: &str) -> i32 {
    let (difference, way) = read.trim_start_matches("» ").split_once(' ').expect("a difference first");
    half_knots(difference) * if way == "higher" { 1 } else { -1 }
}

/// The whole formula by hand: RM with GM·sin φ, apparent wind through the targets and back.
fn by_hand(wind: f64, speed: f64, heel: f64, below: f64, bunk_out: f64) -> f64 {
    let (g, phi, theta) = (9.806_65, heel.to_radians(), 42_f64.to_radians());
    let hull = 6000.0 * g * 1.2 * phi.sin();
    let rail = 80.0 * g * (1.6 * phi.cos() - 0.8 * phi.sin());
    let bunk = 80.0 * g * bunk_out * phi.cos();
    let factor = ((hull + 8.0 * rail) / (hull + (8.0 - below) * rail + below * bunk)).sqrt();
    let apparent = (wind * wind + speed * speed + 2.0 * wind * speed * theta.cos()).sqrt();
    let felt = apparent * factor;
    let true_wind = (felt * felt - (speed * theta.sin()).powi(2)).sqrt() - speed * theta.cos();
    (true_wind * 2.0).round() / 2.0
}

fn printed(wind: f64) -> String {
    if wind.fract() == 0.0 { format!("{wind}") } else { format!("{}½", wind.trunc()) }
}

#[test]
fn a_row_reads_at_the_wind_that_the_formula_gives_by_hand() {
    let (cards, _) = cards_of(&book(CREW, RIGHTING, "{kind: crew-below, below: [2, 6], bunks: [windward, leeward]}"));
    let sides: Vec<(&str, &str)> = cards.iter().map(|card| (card.id.as_str(), said(card).bunks.as_str())).collect();
    assert_eq!(sides, [("crew-below", "windward"), ("crew-below-2", "leeward")], "a card for each side");
    for (card, out) in cards.iter().zip([1.0, -1.0]) {
        let rows = table_rows(card, 0);
        for (row, (wind, speed, heel)) in [(1, (10.0, 6.0, 20.0)), (2, (14.0, 6.8, 22.0))] {
            let wanted = [2.0, 6.0].map(|below| printed(by_hand(wind, speed, heel, below, out)));
            // What rounds to the wind that blows is read as it is.
            let read =
                rows[row].1.iter().map(|says| says.rsplit_once("read ").map_or(rows[row].0.as_str(), |(_, wind)| wind));
            let read: Vec<&str> = read.collect();
            assert_eq!(read, wanted, "{wind} kn");
        }
    }
}

#[test]
fn without_a_side_there_is_a_card_for_each_and_the_side_is_as_large_as_the_number_below() {
    let (cards, _) = cards_of(&book(CREW, RIGHTING, "{kind: crew-below, below: 4}"));
    let sides: Vec<&str> = cards.iter().map(|card| said(card).bunks.as_str()).collect();
    assert_eq!(sides, ["windward", "centre", "leeward"]);
    let drawing = cards::draw(&cards[2], &Label::default(), &mut Vec::new()).unwrap();
    let find = |words: &str| drawing.texts().find(|text| text.content == words).unwrap_or_else(|| panic!("{words}"));
    assert_eq!(find("4 below").cap_height(), find("LEEWARD").cap_height());
    assert!(find("4 below").cap_height() > find("higher").cap_height(), "the largest words");
}

#[test]
fn a_row_in_which_today_s_crew_does_not_reach_the_limit_changes_nothing() {
    let rows = rows(&book(CREW, RIGHTING, "{kind: crew-below, below: 2, bunks: windward}"));
    assert_eq!(rows[0], ("6".to_owned(), vec!["no change".to_owned()]));
    let more = self::rows(&book(CREW, RIGHTING, "{kind: crew-below, below: 6, bunks: leeward}"));
    assert!(more[1].1[0].starts_with("read "), "{more:?}");
}

#[test]
fn with_nobody_below_nothing_changes() {
    let rows = rows(&book(CREW, RIGHTING, "{kind: crew-below, below: 0, bunks: leeward}"));
    assert!(rows.iter().all(|(_, says)| says == &["no change"]), "{rows:?}");
}

/// A boat of our own invention with one target heel, at 14 kn, and a second jib with none.
const ONE_HEEL: &str = "
book: 1
boat: {name: Chervil}
wind_bands: [4, 8, 12, 16, 20]
controls: {backstay: {higher_is: tighter, scale: {marks: 0..9, spacing: 20 mm, halves: true}}}
sails:
  main: {kind: mainsail}
  j1: {kind: headsail, name: J1, wind: 4..18, angle: 30..60}
  j2: {kind: headsail, name: J2, wind: 14..22, angle: 30..60}
settings:
  - {id: j1-upwind, sails: [main, j1], point_of_sail: upwind, controls: [backstay], at: {5: [0], 8: [1], 14: [4], 17: [6]},
     targets: {14: {heel: 20, speed: 6.5, angle: 42}}}
  - {id: j2-upwind, sails: [main, j2], point_of_sail: upwind, controls: [backstay], at: {15: [4], 19: [6]}}
crew: {aboard: 8, mass: 82 kg, rail: {out: 1.65 m, above: 0.9 m}, bunks: {out: 1.1 m, above: 0.1 m}}
righting: {displacement: 6400 kg, gm: 1.25 m, heel_limited: {from: 18}}
cards: [{kind: crew-below, below: [4], bunks: [leeward]}]
";

const UNKNOWN: &str = "not reckoned: no target heel";

/// What the one column says, row by row.
fn column(text: &str, table: usize) -> Vec<String> {
    rows_of(text, table).into_iter().map(|(_, says)| says.concat()).collect()
}

#[test]
fn one_heel_is_not_stretched_to_lighter_winds_and_no_heel_is_not_no_change() {
    let j1 = column(ONE_HEEL, 0);
    assert_eq!(j1[..2], [UNKNOWN, UNKNOWN]);
    assert!(j1[2..].iter().all(|says| says.contains("read ")), "{j1:?}");
    assert_eq!(column(ONE_HEEL, 1), [UNKNOWN, UNKNOWN]);
}

#[test]
fn a_wind_past_the_sail_is_told_with_the_next_sail() {
    let says = column(ONE_HEEL, 0);
    // J1 is for 4 to 18 kn, J2 for 14 to 22.
    assert!(says[2].starts_with("read "), "{says:?}");
    assert_eq!(says[3], "past this sail: J2 + Main, read 20");
    let torn = ONE_HEEL.replace("wind: 4..18,", "wind: 4..18, max_now: 16,");
    assert_eq!(column(&torn, 0)[2], "past this sail: J2 + Main, read 16½");
    let alone = ONE_HEEL.replace("wind: 14..22", "wind: 14..19");
    assert_eq!(column(&alone, 0)[3], "past this sail: no other for this, read 20");
}

#[test]
fn the_wind_from_which_heel_limits_her_always_counts() {
    let limited = ONE_HEEL.replace("{from: 18}", "{from: 18, wind: 13}");
    assert_eq!(column(&limited, 0)[..2], ["no change", "no change"]);
    assert!(column(&limited, 1).iter().all(|says| says.starts_with("read ")));
    // Even where a target says less.
    let less = limited.replace("heel: 20, ", "heel: 12, ");
    assert!(column(&less, 0)[2].starts_with("read "), "{:?}", column(&less, 0));
}

#[test]
fn heel_and_speed_are_carried_over_to_a_new_sail_with_their_sign() {
    let new = ONE_HEEL.replace(
        "settings:\n",
        "  j1b: {kind: headsail, name: J1b, wind: 4..18, replaces: j1, start_from: [j1-upwind]}\nsettings:\n",
    );
    let (old, new) = (column(ONE_HEEL, 0), column(&new, 0));
    let sign = |says: &String| if says.contains("read ") { "» " } else { "" };
    let carried = |says: &String| format!("{}{says}", sign(says));
    assert_eq!(new, old.iter().map(carried).collect::<Vec<_>>());
}

#[test]
fn off_the_wind_nothing_is_reckoned_and_the_card_has_no_rows() {
    let reach = ONE_HEEL.replace(
        "point_of_sail: upwind, controls: [backstay], at: {15",
        "point_of_sail: close-reach, controls: [backstay], at: {15",
    );
    let (cards, _) = cards_of(&reach);
    assert_eq!(said(&cards[0]).tables.len(), 1);
}

#[test]
fn over_the_wind_the_wind_to_read_at_does_not_jump() {
    const ONE: &str = "targets: {14: {heel: 20, speed: 6.5, angle: 42}}}";
    let heels = "targets: {6: {heel: 9, speed: 5.2, angle: 42}, 14: {heel: 20, speed: 6.5}}}";
    let books = [
        ONE_HEEL.replace(ONE, heels),
        ONE_HEEL.replace("{from: 18}", "{from: 18, wind: 11}"),
        ONE_HEEL.replace(ONE, heels).replace("{from: 18}", "{from: 18, wind: 9}"),
    ];
    for text in books {
        let book = load(&text).book.unwrap();
        let feel = Feel::of(&book).unwrap();
        let read = |step: u32| {
            let wind = Wind::knots(6.0 + f64::from(step) / 1000.0);
            let Felt::At(read_at) = feel.read_at(&book.settings[0], (wind, None), 5, Bunks::Leeward).unwrap() else {
                panic!("{wind:?}")
            };
            read_at.wind.to_knots()
        };
        let winds: Vec<f64> = (0..14_000).map(read).collect();
        // A thousandth of a knot of wind is worth a few thousandths on the card, never a step.
        let worst = winds.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f64::max);
        assert!(worst < 0.01, "{worst}");
        assert_eq!(winds[0], 6.0);
        assert!(winds[13_999] > 21.0);
    }
}

#[test]
fn cold_thick_air_is_told_and_counted() {
    let cold = RIGHTING.replace(
        "upwind_angle",
        "air: {celsius: -5, hpa: 1040, humidity: 50}, tuned_in: {celsius: 15, hpa: 1013.25, humidity: 0}, upwind_angle",
    );
    let text = book(CREW, &cold, "{kind: crew-below, below: 0, bunks: leeward}");
    // As an ideal gas √(1040/1013.25 · 288.15/268.15) = 1.050; the apparent wind of 19.6 kn is felt as 20.6 kn, which is
    // 15.0 kn of true wind.
    assert_eq!(rows(&text)[2].1, ["read 15"]);
    let (cards, _) = cards_of(&text);
    assert!(
        said(&cards[0]).assumptions.concat().contains("% more wind than on the day she was tuned (15 °C, 1013.25 hPa)")
    );
    // `show` with nobody below and `show` alone read at the same wind.
    let loaded = load(&text);
    let book = loaded.book.unwrap();
    let feel = Feel::of(&book).unwrap();
    let Felt::At(nobody) = feel.read_at(&book.settings[0], (Wind::knots(14.0), None), 0, Bunks::Leeward).unwrap()
    else {
        panic!()
    };
    assert!(nobody.changes());
}

#[test]
fn air_without_the_day_she_was_tuned_stays_out_and_is_asked_about() {
    let air = RIGHTING.replace("upwind_angle", "air: {celsius: -5, hpa: 1040, humidity: 50}, upwind_angle");
    let text = book(CREW, &air, "{kind: crew-below, below: 4, bunks: leeward}");
    let loaded = load(&text);
    assert!(loaded.problems.iter().any(|problem| problem.instead.contains("tuned_in")), "{:?}", loaded.problems);
    let rows = |text: &str| said(&cards::cards(load(text).book.as_ref().unwrap(), &mut Vec::new())[0]).tables.clone();
    assert_eq!(rows(&text), rows(&book(CREW, RIGHTING, "{kind: crew-below, below: 4, bunks: leeward}")));
    // On a day like the one she was tuned on nothing is added.
    let same = air.replace("upwind_angle", "tuned_in: {celsius: -5, hpa: 1040}, upwind_angle");
    assert_eq!(rows(&book(CREW, &same, "{kind: crew-below, below: 4, bunks: leeward}")), rows(&text));
}

#[test]
fn a_row_sailed_with_a_watch_below_has_it_in_its_heel() {
    let with = |on_rail: &str| {
        ONE_HEEL.replace("at: {5:", &format!("on_rail: {on_rail}, at: {{5:")).replace("[leeward]", "[windward]")
    };
    assert_eq!(column(&with("4"), 0)[2..], ["no change", "no change"]);
    let by_row = column(&with("{14: 4}"), 0);
    assert_eq!((by_row[2].as_str(), by_row[3].starts_with("read ")), ("no change", true));
    let said = |text: &str| said(&cards_of(text).0[0]).assumptions.concat();
    assert!(said(&with("{14: 4}")).contains("J1 + Main at 14 kn: 4; the others"), "{}", said(&with("{14: 4}")));
    assert!(said(ONE_HEEL).contains("sailed with all on the rail"));
}

#[test]
fn a_number_on_the_rail_that_cannot_be_is_refused_once_at_its_place() {
    for (on_rail, place, remedy) in [
        ("9", "9", "from 0 to 8"),
        ("{14: 9}", "9", "from 0 to 8"),
        ("{13: 4}", "13", "one of its rows"),
        ("-1", "-1", "from 0"),
        ("some", "some", "4"),
    ] {
        let text = ONE_HEEL.replace("at: {5:", &format!("on_rail: {on_rail}, at: {{5:"));
        let loaded = load(&text);
        let [problem] = &loaded.problems[..] else { panic!("{on_rail}: {}", complaints(&loaded)) };
        assert_eq!(&text[problem.place.as_ref().unwrap().bytes.clone()], place);
        assert!(problem.instead.contains(remedy), "{}", problem.instead);
    }
}

#[test]
fn check_asks_where_the_crew_cannot_be_in_displacement_or_levers_as_it_should() {
    for (righting, asks) in [
        (RIGHTING.replace("6000 kg", "1200 kg"), "is the crew in the displacement?"),
        (RIGHTING.replace("gm: 1.2 m", "gz: {0: 30 mm, 40: 700 mm}"), "in it already?"),
    ] {
        let loaded = load(&book(CREW, &righting, "{kind: strip}"));
        let [problem] = &loaded.problems[..] else { panic!("{}", complaints(&loaded)) };
        assert!(problem.what.contains(asks) && loaded.is_sound(), "{}", problem.what);
    }
}

#[test]
fn numbers_below_come_from_the_watches_where_the_card_names_none() {
    let watches = "watches: {start: 2027-06-12 18:00, finish: 2027-06-13 18:00, time_zone: UTC, least_on_deck: 2, \
                   lengths: 4 h, teams: {red: [Ada, Bo], blue: [Cleo, Dan, Eve]}}\n";
    let crew = CREW.replace("aboard: 8", "aboard: 5");
    let text = book(&crew, &format!("{RIGHTING}{watches}"), "{kind: crew-below, bunks: centre}");
    let (cards, problems) = cards_of(&text);
    assert!(problems.is_empty(), "{problems:?}");
    assert_eq!(
        (said(&cards[0]).columns.as_slice(), cards.len()),
        (&["2 below".to_owned(), "3 below".to_owned()][..], 1)
    );
}

/// Two teams, one of three and one of two, with something for the others of the eight aboard.
fn with_watches(others: &str) -> String {
    let watches = format!(
        "watches: {{start: 2027-06-12 18:00, finish: 2027-06-13 18:00, time_zone: UTC, least_on_deck: 2, lengths: 4 h, \
         teams: {{red: [Ada, Bo], blue: [Cleo, Dan, Eve]}}, {others}}}\n"
    );
    book(CREW, &format!("{RIGHTING}{watches}"), "{kind: crew-below, bunks: [windward, leeward]}")
}

#[test]
fn who_is_outside_the_watches_is_below_unless_the_book_says_on_the_rail() {
    let (cards, problems) =
        cards_of(&with_watches("outside: [{who: Finn, as: skipper}, Gus, {who: Hana, on_rail: true}]"));
    assert!(problems.is_empty(), "{problems:?}");
    // Three of red and blue sleep, or two, and Finn and Gus are never on the rail.
    let sides: Vec<(&str, Vec<String>)> =
        cards.iter().map(|card| (said(card).bunks.as_str(), said(card).columns.clone())).collect();
    let numbers = || vec!["4 below".to_owned(), "5 below".to_owned()];
    assert_eq!(sides, [("windward", numbers()), ("leeward", numbers())]);
    let words = "Outside the watches: Finn, Gus, counted below; Hana, counted on the rail.";
    assert!(said(&cards[0]).assumptions.iter().any(|said| said == words), "{:?}", said(&cards[0]).assumptions);
}

#[test]
fn more_numbers_below_than_fit_on_a_card_go_on_in_a_second() {
    let text = book(CREW, RIGHTING, "{kind: crew-below, below: [1, 2, 3, 4, 5, 6], bunks: [windward, leeward]}");
    let (cards, problems) = cards_of(&text);
    assert!(problems.is_empty(), "{problems:?}");
    for bunks in ["windward", "leeward"] {
        let of_side = || cards.iter().filter(|card| said(card).bunks == bunks);
        let numbers: Vec<&str> = of_side().flat_map(|card| &said(card).columns).map(String::as_str).collect();
        assert_eq!(numbers, ["1 below", "2 below", "3 below", "4 below", "5 below", "6 below"]);
        assert!(of_side().count() > 1, "{bunks}: no card is readable with six");
    }
    let ids: BTreeSet<&str> = cards.iter().map(|card| card.id.as_str()).collect();
    assert_eq!(ids.len(), cards.len());
}

#[test]
fn a_crew_that_the_watches_do_not_name_whole_is_told_of() {
    for (others, named, remedy) in [
        ("outside: [Finn]", "the watches name 6, and `crew` has 8 aboard", "floater"),
        ("outside: [Finn, Gus, Hana, Ida]", "the watches name 9, and `crew` has 8 aboard", "correct `aboard`"),
    ] {
        let loaded = load(&with_watches(others));
        let [problem] = &loaded.problems[..] else { panic!("{}", complaints(&loaded)) };
        assert!(problem.what == named && problem.instead.contains(remedy) && loaded.is_sound(), "{problem:?}");
    }
    assert_eq!(complaints(&load(&with_watches("outside: [Finn, Gus, Hana]"))), "");
}

#[test]
fn the_card_can_be_drawn_in_readable_letters() {
    let (cards, _) = cards_of(&book(CREW, RIGHTING, "{kind: crew-below, below: 4}"));
    let label = Label {
        boat: "Chervil".to_owned(),
        stamp: "ACDEF".to_owned(),
        edition: cards::Edition::Draft,
        ..Label::default()
    };
    let mut problems = Vec::new();
    let drawing = cards::draw(&cards[0], &label, &mut problems).unwrap();
    assert!(problems.is_empty(), "{problems:?}");
    assert!(drawing.texts().any(|text| text.content.starts_with("USE COLUMN")));
}

#[test]
fn impossible_input_is_refused_with_place_and_remedy() {
    let cases = [
        (CREW.to_owned(), RIGHTING.to_owned(), "below: 9", "9", "from 0 to 8"),
        // Limited at 20° with nothing in the table beyond 15°.
        (
            CREW.to_owned(),
            RIGHTING.replace("gm: 1.2 m", "gz: {0: 0 mm, 15: 300 mm}"),
            "below: 4",
            "6",
            "extend the table",
        ),
        // So little stability, and bunks so far to leeward, that nothing rights her.
        (
            CREW.replace("out: 1.0 m", "out: 15 m"),
            RIGHTING.replace("gm: 1.2", "gm: 0.01"),
            "below: 8, bunks: leeward",
            "6",
            "check the units",
        ),
    ];
    for (crew, righting, below, place, remedy) in cases {
        let text = book(&crew, &righting, &format!("{{kind: crew-below, {below}}}"));
        let (cards, problems) = cards_of(&text);
        assert!(cards.is_empty());
        let [problem] = &problems[..] else { panic!("{problems:?}") };
        assert_eq!(&text[problem.place.as_ref().unwrap().bytes.clone()], place);
        assert!(problem.instead.contains(remedy), "{}", problem.instead);
    }
}

#[test]
fn every_bad_field_of_crew_and_righting_is_told_at_its_place() {
    let cases = [
        (CREW.replace("aboard: 8", "aboard: -3"), RIGHTING.to_owned(), "-3"),
        (CREW.replace("80 kg", "8 kg"), RIGHTING.to_owned(), "8 kg"),
        (CREW.replace("1.6 m", "160 m"), RIGHTING.to_owned(), "160 m"),
        (CREW.replace("0.8 m", "8 kg"), RIGHTING.to_owned(), "8 kg"),
        (CREW.replace("aboard", "abroad"), RIGHTING.to_owned(), "abroad"),
        (CREW.to_owned(), RIGHTING.replace("6000 kg", "6 kg"), "6 kg"),
        (CREW.to_owned(), RIGHTING.replace("1.2 m", "-1.2 m"), "-1.2 m"),
        (CREW.to_owned(), RIGHTING.replace("from: 20 deg", "from: 99 deg"), "99 deg"),
        (CREW.to_owned(), RIGHTING.replace("42 deg", "120 deg"), "120 deg"),
        (CREW.to_owned(), RIGHTING.replace("gm: 1.2 m", "gz: {20: 400 mm, 10: 200 mm}"), "{20: 400 mm, 10: 200 mm"),
        (CREW.to_owned(), RIGHTING.replace("gm: 1.2 m", "gz: {10: 0 mm, 200: 1 mm}"), "200"),
        (CREW.to_owned(), RIGHTING.replace("gm: 1.2 m", "air: {celsius: 90, hpa: 1000, humidity: 3}, gm: 1.2 m"), ""),
        (CREW.to_owned(), RIGHTING.replace("gm: 1.2 m, ", ""), ""),
        (CREW.to_owned(), RIGHTING.replace("gm: 1.2 m", "gm: 1.2 m, gz: {0: 0 mm, 10: 20 mm}"), ""),
    ];
    for (crew, righting, place) in cases {
        let text = book(&crew, &righting, "{kind: strip}");
        let loaded = load(&text);
        let [problem] = &loaded.problems[..] else { panic!("{place}: {}", complaints(&loaded)) };
        let shown = &text[problem.place.as_ref().unwrap().bytes.clone()];
        assert!(shown.starts_with(place), "{shown}: {}", problem.what);
        assert!(!problem.instead.is_empty());
    }
}

#[test]
fn the_mass_of_the_crew_is_told_in_the_unit_of_the_book() {
    let pounds = CREW.replace("mass: 80 kg", "mass: 180 lb");
    assert_ne!(pounds, CREW);
    let text = format!("units: {{mass: lb}}\n{}", book(&pounds, RIGHTING, "{kind: crew-below, below: [4]}"));
    let (cards, _) = cards_of(&text);
    let data = cards[0].content.data().to_string();
    assert!(data.contains("Reckoned for 8 of 180 lb"), "{data}");
    let working: Vec<_> = cards[0].content.working().into_iter().flat_map(|passage| passage.lines).collect();
    assert!(working.iter().any(|line| line.value == "8 aboard, 180 lb each"), "{working:?}");
}

/// A table by wind and angle that begins upwind, beside the sound book's upwind table. At 45° it asks for just what that one's
/// targets ask for: halfway between 40° and 50°.
const BY_ANGLE: &str = "  - id: j1-angles
    sails: [main, j1]
    controls: [backstay]
    angle_bands: [38, 52, 90]
    at: {10: {40: [1], 50: [2], 80: [2]}, 14: {40: [3], 50: [4]}}
    targets:
      10: {40: {speed: 5.5 kn, heel: 18 deg}, 50: {speed: 6.5 kn, heel: 22 deg}}
      14: {40: {speed: 6.3 kn, heel: 20 deg}, 50: {speed: 7.3 kn, heel: 24 deg}}
";
const FORECAST: &str = "
watches: {start: 2027-06-12 18:00, finish: 2027-06-13 18:00, time_zone: Europe/Brussels, least_on_deck: 3, teams: {Red: [Ada, Bo, Cleo, Dan], Blue: [Eve, Finn, Gus, Hana]}, lengths: [4 h]}
forecast:
  - {time: 2027-06-12 18:00, wind: 9..11, angle: 45}
  - {time: 2027-06-12 22:00, wind: 9..11, angle: 110}
  - {time: 2027-06-13 06:00, wind: 12..14, angle: 45}
";

/// The sound book with the table by angle.
fn with_angles(text: &str) -> String {
    text.replacen("\ncrew:", &format!("{BY_ANGLE}\ncrew:"), 1)
}

#[test]
fn settings_by_angle_without_a_forecast_upwind_are_named_on_the_card_as_not_reckoned() {
    let text = book(CREW, RIGHTING, "{kind: crew-below, below: 4, bunks: windward}");
    let without = |text: &str| said(&cards_of(text).0[0]).assumptions.join(" ");
    assert!(!without(&text).contains("by angle"), "{}", without(&text));
    let words = without(&with_angles(&text));
    let wanted = "Not reckoned: J1 + Main, 38° to 90°, for which the forecast has no angle upwind. Read that card at the wind that blows.";
    assert!(words.contains(wanted), "{words}");
    // Their own rows stand on no card, and nothing else on it has changed.
    assert_eq!(words.replacen(&format!(" {wanted}"), "", 1), without(&text));
}

#[test]
fn settings_by_angle_are_reckoned_at_the_angles_upwind_of_the_forecast() {
    let text = book(CREW, RIGHTING, "{kind: crew-below, below: [2, 4], bunks: leeward}")
        .replace("upwind_angle: 42", "upwind_angle: 45");
    let text = format!("{}{FORECAST}", with_angles(&text));
    let (cards, problems) = cards_of(&text);
    assert!(problems.is_empty(), "{problems:?}");
    let card = said(&cards[0]);
    let heads: Vec<&str> = card.tables.iter().map(|table| table.sails.as_str()).collect();
    assert_eq!(heads, ["J1 + Main", "J1 + Main, at 45°"]);
    // What the plain table reads at 10 and 14 kn, since halfway between its angles the other asks for the same.
    assert_eq!(card.tables[1].rows, card.tables[0].rows[1..]);
    assert!(card.tables[1].rows.iter().all(|row| row.cells[1].read.ends_with(" higher")), "{:?}", card.tables[1].rows);
    assert!(!card.assumptions.join(" ").contains("Not reckoned"), "{:?}", card.assumptions);
}

#[test]
fn a_heel_at_an_angle_beyond_the_known_ones_is_not_made_up() {
    let text = book(CREW, RIGHTING, "{kind: crew-below, below: 4, bunks: windward}");
    let text = format!("{}{}", with_angles(&text), FORECAST.replace("angle: 45", "angle: 39"));
    let (cards, _) = cards_of(&text);
    let rows = table_rows(&cards[0], 1);
    assert!(rows.iter().all(|(_, says)| says == &["not reckoned: no target heel"]), "{rows:?}");
}

#[test]
fn a_book_with_nothing_upwind_but_settings_by_angle_is_told_why_it_has_no_such_card() {
    let text = book(CREW, RIGHTING, "{kind: crew-below, below: 4}");
    let start = text.find("  - id: j1-upwind").unwrap();
    let end = text.find("\ncrew:").unwrap();
    let (cards, problems) = cards_of(&format!("{}{BY_ANGLE}{}", &text[..start], &text[end..]));
    assert!(cards.is_empty());
    let problem = problems.iter().find(|problem| problem.what.contains("no settings upwind")).expect("a problem");
    assert!(
        problem.what.ends_with("kept by wind alone, and the forecast no angle upwind for those by angle"),
        "{}",
        problem.what
    );
}

#[test]
fn a_difference_and_its_way_stand_on_one_line_however_narrow_the_cell() {
    let text = book(CREW, RIGHTING, "{kind: crew-below, below: [2, 4], bunks: leeward, size: A6}");
    let (cards, _) = cards_of(&text);
    for card in &cards {
        let drawing = card.content.layout(&Label::default()).expect("it fits");
        let texts: Vec<_> = drawing.texts().collect();
        let ways: Vec<_> = texts.iter().filter(|text| ["higher", "lower"].contains(&text.content.trim())).collect();
        assert!(!ways.is_empty(), "some wind is read higher");
        for way in ways {
            let beside = texts.iter().any(|text| {
                let end = text.origin.x + text.width();
                (text.origin.y - way.origin.y).abs() < 0.01
                    && end < way.origin.x
                    && way.origin.x - end < way.cap_height()
            });
            assert!(beside, "{} at {:?} has its difference before it", way.content, way.origin);
        }
    }
}
