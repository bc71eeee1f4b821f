//! A book in metres per second: every kind of card prints its winds in quarters, and one wind in one way.
use crate::common::whole;

use std::collections::{BTreeMap, BTreeSet};

use cockpit_cards::book::{self, Book, Level, WindUnit};
use cockpit_cards::cards::{self, Card, Edition};
use cockpit_cards::drawing::font::has_glyph;
use serde_json::Value;

const FULL: &str = include_str!("../../examples/full.yaml");

/// The full example with winds beside the marks of a strip, and the same winds in another unit: 4 kn are 2.0577… m/s.
fn full(unit: WindUnit) -> Book {
    let pointer = "pointer: tip of the ram\n";
    assert_eq!(FULL.matches(pointer).count(), 1);
    let text = FULL.replace(pointer, &format!("{pointer}      winds: [j1-upwind]\n      width: 60 mm\n"));
    let loaded = book::from_text("book", &text, &whole::table, has_glyph);
    loaded.book.expect("a sound book").with_winds_in(unit)
}

/// Every card with its back behind it.
fn cards(book: &Book) -> Vec<Card> {
    let mut problems = Vec::new();
    let mut cards = cards::cards(book, &mut problems);
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:?}");
    let backs: Vec<Card> = cards.iter_mut().filter_map(|card| card.back.take()).map(|back| *back).collect();
    cards.extend(backs);
    cards
}

/// The words on a card, and those of its working.
fn words(book: &Book, card: &Card) -> (Vec<String>, Vec<String>) {
    let label = cards::Label::new(book, &card.stamp, Edition::Draft);
    let drawing = card.content.layout(&label).unwrap_or_else(|wrong| panic!("{}: {wrong:?}", card.id));
    let split = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
    let on_card = drawing.texts().flat_map(|text| split(&text.content)).collect();
    let working = card.content.working().iter().flat_map(|passage| split(&format!("{passage:?}"))).collect();
    (on_card, working)
}

fn with_a_point(words: &[String]) -> BTreeSet<String> {
    let number = |word: &&String| {
        word.as_bytes()
            .windows(3)
            .any(|three| three[1] == b'.' && three[0].is_ascii_digit() && three[2].is_ascii_digit())
    };
    words.iter().filter(number).cloned().collect()
}

#[test]
fn no_card_of_any_kind_prints_a_wind_in_metres_per_second_with_a_decimal_point() {
    let (knots, metric) = (full(WindUnit::Knot), full(WindUnit::MetrePerSecond));
    // Winds with quarters may take a card more, so that it is kinds which are held against each other.
    let of_kinds = |book: &Book| {
        let mut kinds: BTreeMap<&'static str, BTreeSet<String>> = BTreeMap::new();
        for card in cards(book) {
            kinds.entry(card.kind).or_default().extend(with_a_point(&words(book, &card).0));
        }
        // Only a back may be of lines, which are the book's own words.
        kinds.remove("lines");
        kinds
    };
    let (before, after) = (of_kinds(&knots), of_kinds(&metric));
    for (kind, words) in &after {
        // Boat speeds, weights and lengths may have one: they are the same in both books.
        let new: Vec<&String> = words.difference(&before[kind]).collect();
        assert!(new.is_empty(), "{kind}: {new:?}");
    }
    let kinds: BTreeSet<&str> = after.into_keys().collect();
    let all: BTreeSet<&str> = cards::KINDS.iter().map(|kind| kind.name).collect();
    assert_eq!(kinds, all, "the full example has a card of every kind");
}

#[test]
fn a_working_in_metres_per_second_quotes_no_wind_finer_than_hundredths() {
    let metric = full(WindUnit::MetrePerSecond);
    for card in cards(&metric) {
        let (_, working) = words(&metric, &card);
        for pair in working.windows(2).filter(|pair| pair[1].starts_with("m/s") && !pair[1].starts_with("m/s²")) {
            let decimals = pair[0].split_once('.').map_or("", |(_, decimals)| decimals);
            assert!(decimals.len() <= 2, "{}: {} m/s", card.id, pair[0]);
        }
    }
}

#[test]
fn one_wind_is_printed_in_one_way_on_every_card_that_has_it() {
    let metric = full(WindUnit::MetrePerSecond);
    let unit = WindUnit::MetrePerSecond;
    let bands = metric.bands.iter().flat_map(|band| [band.low, band.high]);
    let ends = metric.sails.iter().filter_map(|sail| sail.wind).flat_map(|range| [range.low, range.high]);
    let printed: BTreeSet<String> = bands.chain(ends).map(|edge| edge.print(unit)).collect();
    let of = |kind: &str| {
        cards(&metric)
            .into_iter()
            .filter(|card| card.kind == kind)
            .map(|card| card.content.data())
            .collect::<Vec<Value>>()
    };
    let text = |value: &Value| value.as_str().expect("a text").to_owned();
    let mut edges = BTreeSet::new();
    for settings in of("wind-settings") {
        for row in settings["rows"].as_array().into_iter().flatten() {
            edges.extend([text(&row["low"]), text(&row["high"])]);
        }
        for block in settings["blocks"].as_array().into_iter().flatten() {
            edges.extend(text(&block["winds"]).split(" to ").map(str::to_owned));
        }
    }
    assert!(!edges.is_empty() && edges.is_subset(&printed), "{edges:?}, not {printed:?}");
    for change in of("sail-change") {
        let band = text(&change["winds"]);
        let (low, high) = band.split_once(" to ").expect("two ends");
        assert!(printed.contains(low) && printed.contains(high), "{band}");
    }
    // The J2 is for 13 to 22 kn: 6.69 to 11.32 m/s.
    let range =
        of("wind-settings").iter().filter_map(|card| card["range"].as_str().map(str::to_owned)).collect::<Vec<_>>();
    assert!(range.contains(&"6¾ to 11¼ m/s".to_owned()), "{range:?}");
    let both = of("sail-change").iter().map(|card| text(&card["both"])).collect::<Vec<_>>();
    assert!(both.iter().any(|both| both == "6¾ to 8¼"), "{both:?}");
    let wardrobe = of("wardrobe")
        .iter()
        .flat_map(|card| card["hand_overs"].as_array().expect("changes").iter().map(text).collect::<Vec<_>>())
        .collect::<Vec<_>>();
    assert!(wardrobe.iter().any(|change| change.contains("both 6¾ to 8¼, middle 7½ m/s")), "{wardrobe:?}");
}
