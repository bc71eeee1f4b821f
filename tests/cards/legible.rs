//! What a tired person with a red lamp can read: sizes against distances, nothing over anything else, and a card that is
//! too small for its words says so and names one that holds them.
//!
//! Character height from visual angle: H = 2·D·tan(θ/2), 20 minutes of arc wanted, 15 the least (NUREG-0700 rev. 3,
//! guideline 11.4.1.5-1).
use crate::common;

use std::collections::BTreeSet;
use std::sync::LazyLock;

use cockpit_cards::book::{Level, Problem};
use cockpit_cards::cards::Stock;
use cockpit_cards::drawing::legibility::CARD_DISTANCE;
use cockpit_cards::drawing::{Drawing, font};
use common::books;
use common::clear::{around, clashes, ink, words};
use common::whole::{self, Drawn};

const WANTED_ARC: f64 = 20.0;
const LEAST_ARC: f64 = 15.0;
/// What must be read on a card, minutes of arc in the hand, and the same in millimetres of its capitals.
const CARD_ARC: f64 = 17.0;
const MUST_MM: f64 = 3.0;
/// From which a card is read, and its legend, millimetres: in the hand or beside a winch; bent down to.
const CARD_MM: f64 = 600.0;
const LEGEND_MM: f64 = 350.0;

fn arc_minutes(height: f64, distance: f64) -> f64 {
    (2.0 * (height / 2.0 / distance).atan()).to_degrees() * 60.0
}

/// The name of an example, its cards with their pictures, and what is said of it.
type Example = (&'static str, Vec<Drawn>, Vec<Problem>);

/// What the examples look like and what is said of them, drawn once for all that is asked here.
static EXAMPLES: LazyLock<Vec<Example>> = LazyLock::new(|| {
    let drawn = whole::EXAMPLES.iter().map(|(name, text)| {
        let (drawn, problems) = whole::draw(text);
        (*name, drawn, problems)
    });
    drawn.collect()
});

/// The same of made-up books, by their seeds. Tables lie beside a book, so those that name any are left out.
static MADE_UP: LazyLock<Vec<(String, Vec<Drawn>)>> = LazyLock::new(|| {
    let books = (0..how_many()).map(|seed| (seed, books::sound(&books::row(seed))));
    let drawn = books.filter(|(_, book)| book.tables.is_empty());
    drawn.map(|(seed, book)| (format!("book {seed}"), whole::draw(&book.text).0)).collect()
});

/// Cards of the examples with their pictures; every one of them has one.
fn examples() -> impl Iterator<Item = (&'static str, &'static Drawn, &'static Drawing)> {
    EXAMPLES.iter().flat_map(|(name, drawn, problems)| {
        assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{name}: {problems:?}");
        drawn.iter().map(|drawn| (*name, drawn, drawn.drawing.as_ref().expect("an example's card fits")))
    })
}

#[test]
fn every_word_of_the_examples_is_large_enough_for_its_distance() {
    let mut seen = 0;
    for (example, drawn, drawing) in examples() {
        for text in words(drawing) {
            let arc = arc_minutes(text.cap_height(), text.distance.to_mm());
            assert!(arc >= LEAST_ARC - 1e-6, "{example}, {}: {:?} at {arc:.1}′", drawn.card.id, text.content);
            seen += 1;
        }
    }
    assert!(seen > 500, "{seen} texts measured");
}

#[test]
fn the_examples_print_without_a_word_smaller_than_wanted() {
    for (name, drawn, problems) in &*EXAMPLES {
        assert_eq!(*problems, vec![], "{name}");
        for drawn in drawn {
            for text in words(drawn.drawing.as_ref().expect("a picture")) {
                let arc = arc_minutes(text.cap_height(), text.distance.to_mm());
                let is_read_on_card = drawn.card.stock == Stock::Card && text.distance == CARD_DISTANCE;
                // Capitals of 3 mm at 0.6 m; small print is read from nearer by.
                let wanted = if is_read_on_card { CARD_ARC } else { WANTED_ARC };
                assert!(arc >= wanted - 1e-6, "{name}, {}: {:?} at {arc:.1}′", drawn.card.id, text.content);
            }
        }
    }
}

/// What must be read on a card, by what it says: the kind, limits, ranges, what has become of a sail, chop and flat.
fn must_be_read(drawn: &Drawn) -> Vec<String> {
    let data = drawn.card.content.data();
    let listed = |field: &str| strings(data[field].as_array().into_iter().flatten());
    let mut must: Vec<String> = Vec::new();
    must.extend(match drawn.card.kind {
        "wind-settings" => Some("SETTINGS".to_owned()),
        "change-points" => Some("CHANGE POINTS".to_owned()),
        "sail-change" => Some("SAIL CHANGE".to_owned()),
        _ => None,
    });
    if drawn.card.kind == "wind-settings" {
        must.extend(data["range"].as_str().map(|range| format!("sails for {range}")));
        let adjustments = data["adjustments"].as_array().into_iter().flatten();
        // The winds that it is for stand as they are.
        let shouted = |name: String| match name.split_once(", ") {
            Some((name, winds)) => format!("{}, {winds}", name.to_uppercase()),
            None => name.to_uppercase(),
        };
        must.extend(strings(adjustments.map(|of| &of["name"])).into_iter().map(shouted));
    }
    // The wind of a crew-below card's table is read with its sails, in the table.
    if drawn.card.kind != "crew-below" {
        must.extend(listed("narrowed"));
    }
    let never = |words: &str| {
        let (before, limit) = words.split_once(" above ").map_or_else(
            || words.split_once(" below ").map(|(before, limit)| (before, format!("NEVER BELOW {limit}"))),
            |(before, limit)| Some((before, format!("NEVER PAST {limit}"))),
        )?;
        before.to_lowercase().ends_with("never").then_some(limit)
    };
    let cautions = listed("cautions");
    // The reason is small print.
    let bare = |limit: String| limit.split([' ', ',', ';', ':']).take(3).collect::<Vec<_>>().join(" ");
    if drawn.card.kind == "handover" {
        // Limits of a kind stand under one word: NEVER PAST: Backstay 7 · Vang 100 bar.
        for (words, limit) in cautions.iter().filter_map(|words| Some((words, bare(never(words)?)))) {
            let (name, _) = words.split_once(": never").or_else(|| words.split_once(" never")).expect("a name");
            let (kind, reading) = limit.rsplit_once(' ').expect("a reading");
            must.extend([format!("{kind}:"), format!("{} {reading}", name.trim_end_matches(':'))]);
        }
    } else {
        must.extend(cautions.iter().filter_map(|words| never(words)).map(bare));
    }
    let zones = data["no_go"].as_array().into_iter().flatten();
    must.extend(strings(zones.map(|zone| &zone["words"])).iter().filter_map(|words| never(words)).map(bare));
    must
}

/// The words that are at least so high, or all that are less, each line after the other.
fn words_by_height(drawing: &Drawing, is_large: bool) -> String {
    let texts = words(drawing).into_iter().filter(|text| (text.cap_height() >= MUST_MM - 1e-6) == is_large);
    one_spaced(&texts.map(|text| text.content.clone()).collect::<Vec<_>>().join(" "))
}

fn one_spaced(words: &str) -> String {
    words.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn assert_what_must_be_read_is_large(book: &str, drawn: &[Drawn]) -> usize {
    let mut seen = 0;
    for drawn in drawn {
        let Some(drawing) = &drawn.drawing else { continue };
        let (large, small) = (words_by_height(drawing, true), words_by_height(drawing, false));
        // Words along an arc are no lines of text.
        let is_bent = large.is_empty() && small.is_empty();
        for must in must_be_read(drawn).into_iter().filter(|_| !is_bent) {
            let must = one_spaced(&must);
            assert!(large.contains(&must), "{book}, {}: “{must}” in “{large}”, not in “{small}”", drawn.card.id);
            seen += 1;
        }
        for word in ["NEVER", "Caution"] {
            assert!(!small.contains(word), "{book}, {}: {word} in “{small}”", drawn.card.id);
        }
    }
    seen
}

/// How many books are made up: `LEGIBLE_BOOKS` asks for more than the usual run has time for.
fn how_many() -> u64 {
    std::env::var("LEGIBLE_BOOKS").ok().and_then(|number| number.parse().ok()).unwrap_or(60)
}

/// Each fraction's digits on what was drawn, with the arc they subtend.
fn fractions(drawn: &[Drawn]) -> Vec<(String, f64)> {
    let drawings = drawn.iter().filter_map(|one| Some((one, one.drawing.as_ref()?)));
    let texts = drawings.flat_map(|(one, drawing)| words(drawing).into_iter().map(move |text| (one, text)));
    let found = texts.flat_map(|(one, text)| {
        let placed: Vec<_> = text.placed().filter(|placed| "½¼¾⅓⅔⅛⅜⅝⅞".contains(placed.glyph.character)).collect();
        // Digits of a fraction are six tenths of its capitals.
        let digits = |em: f64| em * font::CAP_HEIGHT_EM * 0.6;
        let arc = |em: f64| arc_minutes(digits(em), text.distance.to_mm());
        placed
            .into_iter()
            .map(move |placed| (format!("{}: {}", one.card.id, text.content), arc(placed.em)))
            .collect::<Vec<_>>()
    });
    found.collect()
}

#[test]
fn the_digits_of_every_fraction_subtend_fifteen_minutes_in_the_examples_and_in_made_up_books() {
    let mut seen = 0;
    let of_examples = EXAMPLES.iter().map(|(_, drawn, _)| drawn);
    for drawn in of_examples.chain(MADE_UP.iter().map(|(_, drawn)| drawn)) {
        for (what, arc) in fractions(drawn) {
            assert!(arc >= LEAST_ARC - 1e-6, "{what}: {arc:.1}′");
            seen += 1;
        }
    }
    assert!(seen > 500, "{seen} fractions");
}

#[test]
fn what_must_be_read_on_the_examples_has_capitals_of_three_millimetres() {
    let seen = EXAMPLES.iter().map(|(name, drawn, _)| assert_what_must_be_read_is_large(name, drawn));
    let seen: usize = seen.sum();
    assert!(seen > 40, "{seen}");
}

#[test]
fn what_must_be_read_in_a_hundred_made_up_books_has_capitals_of_three_millimetres() {
    let seen = MADE_UP.iter().map(|(name, drawn)| assert_what_must_be_read_is_large(name, drawn));
    let seen: usize = seen.sum();
    assert!(seen > 200, "{seen}");
}

#[test]
fn no_word_is_measured_from_nearer_than_people_read_it() {
    for (example, drawn, drawing) in examples() {
        let data = drawn.card.content.data();
        let (content, nearest) = match drawn.card.kind {
            "strip" => {
                let labels = data["marks"].as_array().into_iter().flatten();
                let distance = data["reading_distance_mm"].as_f64().expect("a distance");
                (strings(labels.map(|mark| &mark["label"])), distance)
            }
            _ => {
                let cells = data["rows"].as_array().into_iter().flatten();
                let cells = cells.flat_map(|row| row["cells"].as_array().into_iter().flatten());
                (strings(cells.map(|cell| &cell["text"])), CARD_MM)
            }
        };
        for text in words(drawing) {
            let distance = text.distance.to_mm();
            assert!(distance >= LEGEND_MM, "{example}, {}: {:?} from {distance} mm", drawn.card.id, text.content);
            if content.contains(&text.content) {
                assert!(distance >= nearest, "{example}, {}: {:?} from {distance} mm", drawn.card.id, text.content);
            }
        }
    }
}

fn strings<'a>(values: impl Iterator<Item = &'a serde_json::Value>) -> Vec<String> {
    values.filter_map(|value| value.as_str()).filter(|text| !text.is_empty()).map(str::to_owned).collect()
}

#[test]
fn nothing_on_the_examples_lies_over_anything_else_or_too_near_the_cut() {
    for (example, drawn, drawing) in examples() {
        assert_eq!(clashes(drawing), Vec::<String>::new(), "{example}, {}", drawn.card.id);
    }
}

#[test]
fn no_tail_of_a_letter_is_cut_off() {
    for (example, drawn, drawing) in examples() {
        for text in words(drawing) {
            let ink = around(&ink(text));
            let card = drawing.size.to_rect();
            assert_eq!(card.union(ink), card, "{example}, {}: {:?}", drawn.card.id, text.content);
        }
    }
}

#[test]
fn the_sail_is_the_largest_thing_to_read() {
    for (example, drawn, drawing) in examples().filter(|(_, drawn, _)| drawn.card.kind == "wind-settings") {
        let data = drawn.card.content.data();
        let sail = data["sails"][0].as_str().expect("a sail").to_owned();
        let size = words(drawing).into_iter().map(|text| text.em).fold(0.0, f64::max);
        let (largest, rest): (Vec<_>, Vec<_>) = words(drawing).into_iter().partition(|text| text.em > size - 1e-9);
        let next = rest.iter().map(|text| text.em).fold(0.0, f64::max);
        let titles: Vec<&str> = largest.iter().map(|text| text.content.as_str()).collect();
        assert!(titles[0].contains(&sail), "{example}, {}: {titles:?}", drawn.card.id);
        assert!(size > 1.1 * next, "{example}, {}: {size} against {next}", drawn.card.id);
    }
}

/// A book with one card of `size`.
fn sized(size: &str, controls: usize, winds: usize) -> String {
    let ids: Vec<String> = (1..=controls).map(|index| format!("control_{index}")).collect();
    let mut text = "book: 1\nboat: {name: Chervil}\nwind_bands: [".to_owned();
    text.push_str(&(0..=winds).map(|index| (4 + 3 * index).to_string()).collect::<Vec<_>>().join(", "));
    text.push_str("]\ncontrols:\n");
    for id in &ids {
        text.push_str(&format!(
            "  {id}: {{higher_is: tighter, scale: {{marks: 0..12, spacing: 20 mm, halves: true}}}}\n"
        ));
    }
    text.push_str("sails:\n  main: {kind: mainsail}\nsettings:\n");
    text.push_str(&format!(
        "  - {{id: up, sails: [main], point_of_sail: upwind, controls: [{}], at: {{",
        ids.join(", ")
    ));
    let row = |wind: usize| format!("{}: [{}]", 5 + 3 * wind, vec![format!("{}½", wind % 12); controls].join(", "));
    text.push_str(&(0..winds).map(row).collect::<Vec<_>>().join(", "));
    text.push_str(&format!("}}}}\ncards: [{{kind: wind-settings, settings: up, size: {size}}}]\n"));
    text
}

#[test]
fn a_card_too_small_for_its_words_names_a_size_that_holds_them() {
    let mut named = 0;
    // No part of a table fits the first sizes; the last would take more cards than anyone sorts through.
    for (size, controls, winds) in [
        ("30 x 50 mm", 3, 4),
        ("25 x 90 mm", 5, 5),
        ("40 x 45 mm", 2, 2),
        ("A8", 8, 8),
        ("A8", 14, 12),
        ("ID-1", 12, 9),
    ] {
        let (drawn, problems) = whole::draw(&sized(size, controls, winds));
        let errors: Vec<_> = problems.iter().filter(|problem| problem.level == Level::Error).collect();
        let [error] = errors.as_slice() else { panic!("{size}, {controls} × {winds}: {} errors", errors.len()) };
        assert!(drawn[0].drawing.is_none(), "nothing is shrunk in silence");
        let Some(next) = error.instead.split("`size: ").nth(1).and_then(|rest| rest.split('`').next()) else {
            panic!("{size}: {} / {}", error.what, error.instead);
        };
        let (drawn, problems) = whole::draw(&sized(next, controls, winds));
        assert_eq!(problems, vec![], "{size}, {controls} × {winds}: {next} was offered");
        let drawing = drawn[0].drawing.as_ref().expect("the size offered holds it");
        assert_eq!(clashes(drawing), Vec::<String>::new(), "{next}");
        named += 1;
    }
    assert_eq!(named, 6);
}

#[test]
fn a_table_too_large_for_its_card_goes_on_to_others_that_say_which_winds_or_controls_they_hold() {
    let mut parted = BTreeSet::new();
    for (size, controls, winds) in
        [("A7", 6, 6), ("A6", 10, 8), ("quarter-letter", 9, 9), ("A6", 6, 12), ("A5", 14, 8), ("A7", 12, 2)]
    {
        let (drawn, problems) = whole::draw(&sized(size, controls, winds));
        assert_eq!(problems, vec![], "{size}, {controls} × {winds}");
        assert!(drawn.len() > 1, "{size}, {controls} × {winds}");
        let mut seen = BTreeSet::new();
        for (nth, Drawn { card, drawing }) in drawn.iter().enumerate() {
            let part = format!(", {} of {}", nth + 1, drawn.len());
            assert!(card.title.ends_with(&part), "{}", card.title);
            let drawing = drawing.as_ref().expect("a card that fits");
            assert_eq!(clashes(drawing), Vec::<String>::new(), "{size}, {controls} × {winds}, {}", card.id);
            let data = card.content.data();
            let rows = data["rows"].as_array().expect("rows");
            let names = data["columns"].as_array().expect("columns");
            let (first, last) = (&rows[0], &rows[rows.len() - 1]);
            if rows.len() < winds {
                let span = format!(", {} to {} kn", first["low"].as_str().unwrap(), last["high"].as_str().unwrap());
                assert!(card.title.contains(&span), "{} holds {span}", card.title);
                parted.insert("winds");
            }
            if names.len() < controls {
                assert!(card.title.contains(names[0]["control"].as_str().unwrap()), "{}", card.title);
                parted.insert("controls");
            }
            let large = words_by_height(drawing, true);
            assert!(large.contains(part.trim_start_matches(", ")), "{large}");
            for row in rows {
                for name in names {
                    assert!(seen.insert((row["low"].to_string(), name["control"].to_string())), "{row} twice");
                }
            }
        }
        assert_eq!(seen.len(), controls * winds, "{size}: every figure stands on one card");
    }
    assert_eq!(parted.len(), 2, "{parted:?}");
}

#[test]
fn what_no_card_holds_is_said_plainly() {
    let (drawn, problems) = whole::draw(&sized("A6", 40, 30));
    assert!(drawn[0].drawing.is_none());
    assert!(problems[0].instead.contains("no common paper holds"), "{problems:?}");
}

#[test]
fn a_strip_too_narrow_for_its_numbers_is_refused_with_the_width_it_needs() {
    let strip = |width: &str| {
        format!(
            "book: 1\nboat: {{name: Chervil}}\ncontrols:\n  lead: {{scale: {{marks: 0..12, spacing: 20 mm}}, \
             strip: {{width: {width}, reading_distance: 2 m}}}}\n"
        )
    };
    let (drawn, problems) = whole::draw(&strip("12 mm"));
    assert!(drawn[0].drawing.is_none());
    let error = problems.iter().find(|problem| problem.level == Level::Error).expect("a problem");
    let needed = error.instead.split("width: ").nth(1).and_then(|rest| rest.split(['`', ',', ')']).next());
    let needed = needed.unwrap_or_else(|| panic!("a width to write: {} / {}", error.what, error.instead));
    let (drawn, problems) = whole::draw(&strip(needed));
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{needed}: {problems:?}");
    let drawing = drawn[0].drawing.as_ref().expect("a strip that fits");
    assert_eq!(clashes(drawing), Vec::<String>::new());
}

/// Fourteen controls, long names in three scripts, halves everywhere.
fn ugly(size: &str, winds: usize) -> String {
    let names = [
        "Achterstagspanner, großer",
        "Fał genui, górny bloczek",
        "Обтяжка грота",
        "Přítah zadního stěhu",
        "Žabka vozíku",
        "Inhauler starboard side",
        "Tweaker",
        "Mainsheet fine tune",
        "Traveller",
        "Υπερμεγέθης σκότα",
        "Outhaul",
        "Cunningham",
        "Checkstay",
        "Mast jack at the partners",
    ];
    let mut text =
        "book: 1\nboat: {name: \"Łódź z długą nazwą, Żółw\"}\nwind_bands: [4, 7, 11, 16, 22]\ncontrols:\n".to_owned();
    for (index, name) in names.iter().enumerate() {
        text.push_str(&format!(
            "  c{index}: {{name: \"{name}\", higher_is: further forward, scale: {{marks: 0..20, spacing: 15 mm, halves: true}}, \
             limit: {{never_above: 19½, why: \"nobody has tried, and the rigger says not to\"}}, \
             strip: {{pointer: \"the knot nearest the block\", place: \"under the winch, starboard coaming\"}}}}\n"
        ));
    }
    text.push_str("sails:\n  g: {kind: mainsail, name: \"Grot z refem, duży\"}\n  j: {kind: headsail, name: \"Большая генуя № 1\"}\n");
    let ids: Vec<String> = (0..names.len()).map(|index| format!("c{index}")).collect();
    text.push_str(&format!(
        "settings:\n  - id: u\n    sails: [g, j]\n    point_of_sail: close-reach\n    controls: [{}]\n    at:\n",
        ids.join(", ")
    ));
    for wind in 0..winds {
        text.push_str(&format!(
            "      {}: [{}]\n",
            9 + 5 * wind,
            vec![format!("{}½", 9 + 4 * wind); names.len()].join(", ")
        ));
    }
    text.push_str(&format!("cards:\n  - {{kind: wind-settings, settings: u, size: {size}}}\n  - {{kind: strip}}\n"));
    text
}

#[test]
fn an_ugly_book_is_printed_cleanly_or_refused_clearly() {
    let mut printed = 0;
    for size in ["A7", "A5", "A4", "Letter", "330 x 120 mm"] {
        for winds in [1, 3] {
            let (drawn, problems) = whole::draw(&ugly(size, winds));
            for problem in &problems {
                assert!(problem.place.is_some() && !problem.instead.is_empty(), "{size}: {problem:?}");
            }
            for Drawn { card, drawing } in &drawn {
                match drawing {
                    Some(drawing) => {
                        assert_eq!(clashes(drawing), Vec::<String>::new(), "{size}, {winds} rows, {}", card.id);
                        printed += usize::from(card.kind == "wind-settings");
                    }
                    None => {
                        let about = format!("card `{}`", card.id);
                        let told = |problem: &&Problem| problem.level == Level::Error && problem.what.contains(&about);
                        assert_eq!(problems.iter().filter(told).count(), 1, "{size}: {} is refused once", card.id);
                    }
                }
            }
        }
    }
    assert!(printed >= 2, "some size holds it: {printed}");
}

/// Every side of every card of a book, held to stand clear of everything else on it.
fn assert_clear(book: &str) {
    let (drawn, problems) = whole::draw(book);
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:#?}");
    assert!(!drawn.is_empty());
    for drawn in drawn {
        let drawing = drawn.drawing.expect("a card that fits");
        assert_eq!(clashes(&drawing), Vec::<String>::new(), "{}", drawn.card.id);
    }
}

#[test]
fn the_point_of_sail_stands_clear_of_a_title_in_two_lines() {
    for last in ["J1", "Number one heavy weather", "Number one heavy weather genoa with reef points of the older cut"] {
        assert_clear(&format!(
            "book: 1\nboat: {{name: Samphire}}\nwind_bands: [4, 8, 12]\ncontrols:\n  \
             backstay: {{higher_is: tighter, scale: {{marks: 0..8, spacing: 15 mm}}}}\nsails:\n  \
             main: {{kind: mainsail, name: {last}}}\n  \
             genoa: {{kind: headsail, name: Light weather genoa of the old suit, wind: 4..12, angle: 36..60}}\n\
             settings:\n  - {{id: up, sails: [main, genoa], point_of_sail: upwind, controls: [backstay], at: {{6: [1], \
             11: [3]}}}}\ncards:\n  - {{kind: change-points, settings: up, size: A4}}\n"
        ));
    }
}

#[test]
fn the_line_of_the_datum_stops_short_of_its_number_whichever_edge_has_the_marks() {
    for ticks in ["near", "far"] {
        for marks in ["0..8", "6..14", "centre: C, marks: 4, ends: [A, B]"] {
            let marks = if marks.contains(':') { marks.to_owned() } else { format!("marks: {marks}") };
            assert_clear(&format!(
                "book: 1\nboat: {{name: Samphire}}\ncontrols:\n  lead: {{higher_is: aft, scale: {{{marks}, spacing: 30 mm}}, \
                 strip: {{grows: aft, reader_stands: inboard, sides: port, ticks: {ticks}, width: 30 mm, reading_distance: 0.5 m}}}}\n"
            ));
        }
    }
}

#[test]
fn a_value_with_tails_stands_clear_of_the_range_under_it() {
    assert_clear(
        "book: 1\nboat: {name: Samphire}\nwind_bands: [4, 8, 16]\ncontrols:\n  \
         vang: {higher_is: tighter, scale: {gauge: {unit: psi, least: 0, most: 80, every: 5}}}\n  \
         lead: {scale: {words: [\"ça va\", snug, very hard]}}\nsails:\n  main: {kind: mainsail}\n\
         settings:\n  - {id: up, sails: [main], point_of_sail: upwind, controls: [vang, lead], \
         at: {5: [10 psi, \"ça va\"], 7: [40 psi, snug], 12: [60 psi, very hard]}}\n\
         cards:\n  - {kind: wind-settings, settings: up, size: A5}\n",
    );
}

#[test]
fn a_value_that_folds_keeps_its_row_where_another_is_not_recorded() {
    let book = |halyard: &str| {
        format!(
            "book: 1\nboat: {{name: Samphire}}\nwind_bands: [7, 11, 17, 22]\ncontrols:\n  \
             backstay: {{higher_is: looser, scale: {{marks: 0..80, spacing: 4 mm}}, limit: {{never_above: 75, why: splice \
             in the line}}}}\n  \
             halyard: {{name: Yarrow halyard, higher_is: tighter, scale: {{gauge: {{unit: bar, least: 0, most: 35, every: \
             5}}}}}}\n  \
             c3: {{higher_is: further in, scale: {{centre: C, marks: 1, spacing: 28 mm, ends: [up, down]}}}}\n  \
             inhauler: {{scale: {{gauge: {{unit: bar, least: 20, most: 100, every: 10}}}}}}\n  \
             checkstay: {{higher_is: aft, scale: {{centre: C, marks: 8, spacing: 44 mm, halves: true, ends: [P, S]}}}}\n\
             sails:\n  main: {{kind: mainsail}}\n  j2: {{kind: headsail, name: J2 thyme, wind: 9..20}}\nsettings:\n  \
             - id: up\n    sails: [main, j2]\n    point_of_sail: upwind\n    \
             controls: [backstay, halyard, c3, inhauler, checkstay]\n    at:\n      11: [75, {halyard}, C, 60, C]\n\
             cards:\n  - {{kind: wind-settings, settings: up, size: A6}}\n"
        )
    };
    ["~", "20"].into_iter().for_each(|halyard| assert_clear(&book(halyard)));
}
