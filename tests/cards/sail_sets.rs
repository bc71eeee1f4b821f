//! Sails that fly together count as one choice: on the wardrobe card, at a sail change, in a watch, in settings.

use crate::common::books;
use crate::reading::{complaints, load, load_with};
use cockpit_cards::book::{Book, Level, Sail, SailKind};
use cockpit_cards::cards::parts::sets::sets;
use cockpit_cards::cards::{self, Card};
use cockpit_cards::tuning::wardrobe::{Area, gaps, sails_for};
use cockpit_cards::tuning::{Angle, Span, Wind};
use serde_json::{Value, json};

const STAYSAIL: &str = include_str!("../books/staysail.yaml");

/// A text with one piece of it replaced, which stands there just once.
fn with(piece: &str, replacement: &str) -> String {
    assert_eq!(STAYSAIL.matches(piece).count(), 1, "`{piece}` stands there not just once");
    STAYSAIL.replacen(piece, replacement, 1)
}

fn cards_of(text: &str) -> Vec<Card> {
    let loaded = load(text);
    let book = loaded.book.as_ref().filter(|_| loaded.is_sound()).unwrap_or_else(|| panic!("{}", complaints(&loaded)));
    let mut problems = Vec::new();
    let cards = cards::cards(book, &mut problems);
    assert!(problems.iter().all(|problem| problem.level == Level::Warning), "{problems:?}");
    cards
}

fn data(text: &str, kind: &str) -> Value {
    let cards = cards_of(text);
    cards.iter().find(|card| card.kind == kind).unwrap_or_else(|| panic!("no {kind}")).content.data()
}

fn ids(text: &str, kind: &str) -> Vec<String> {
    cards_of(text).iter().filter(|card| card.kind == kind).map(|card| card.id.clone()).collect()
}

/// Whether one sail is for a wind and angle by what the book says of it; a range it does not give rules nothing out.
fn allows(sail: &Sail, wind: f64, angle: f64) -> bool {
    let most = sail.max_now.as_ref().map_or(f64::INFINITY, |max| max.value.to_knots());
    wind <= most
        && sail.wind.is_none_or(|span| span.low.to_knots() <= wind && wind <= span.high.to_knots())
        && sail.angle.is_none_or(|span| span.low.to_degrees() <= angle && angle <= span.high.to_degrees())
}

/// What can be set in a wind at an angle, sail by sail, with no help from the code under test.
fn by_hand(book: &Book, wind: f64, angle: f64) -> Vec<String> {
    let mut found = Vec::new();
    let alone = |sail: &&Sail| sail.kind != SailKind::Mainsail && sail.flies_with.is_empty();
    for lead in book.sails.iter().filter(alone).filter(|sail| sail.wind.is_some() && sail.angle.is_some()) {
        if allows(lead, wind, angle) {
            found.push(lead.name.clone());
        }
        for other in &book.sails {
            let fly_together = other.flies_with.iter().any(|id| id.value == lead.id.value);
            if fly_together && allows(lead, wind, angle) && allows(other, wind, angle) {
                found.push(format!("{} + {}", lead.name, other.name));
            }
        }
    }
    found
}

#[test]
fn in_every_wind_and_at_every_angle_a_made_up_wardrobe_offers_the_sets_that_a_direct_look_finds() {
    let (mut with_sets, mut looked_at) = (0, 0);
    for seed in 0..200 {
        let made = books::sound(&books::row(seed));
        let tables: Vec<(&str, &str)> = made.tables.iter().map(|(name, text)| (name.as_str(), text.as_str())).collect();
        let loaded = load_with(&made.text, &tables);
        let Some(book) = loaded.book.as_ref().filter(|_| loaded.is_sound()).map(Book::afloat) else { continue };
        let (sets, ranges) = sets(&book);
        with_sets += usize::from(sets.iter().any(|set| set.under.is_some()));
        // A hair off the whole numbers that ranges end at.
        for wind in (0..45).map(|knots| f64::from(knots) + 0.25) {
            for angle in (30..150).step_by(7).map(|degrees| f64::from(degrees) + 0.25) {
                let found = sails_for(&ranges, Wind::knots(wind), Angle::degrees(angle));
                let found: Vec<String> = found.map(|index| sets[index].name()).collect();
                assert_eq!(found, by_hand(&book, wind, angle), "seed {seed}, {wind} kn at {angle}°:\n{}", made.text);
                looked_at += found.len();
            }
        }
        // What flies under another closes no gap, since the other is for all of it.
        let asked = Area {
            wind: Span::new(Wind::knots(2.0), Wind::knots(40.0)).unwrap(),
            angle: Span::new(Angle::degrees(30.0), Angle::degrees(170.0)).unwrap(),
        };
        let leads = sets.iter().zip(&ranges).filter(|(set, _)| set.under.is_none()).map(|(_, range)| range.clone());
        assert_eq!(gaps(&ranges, asked), gaps(&leads.collect::<Vec<_>>(), asked), "seed {seed}");
    }
    assert!(with_sets >= 10 && looked_at > 10_000, "{with_sets} books with sets, {looked_at} offers");
}

#[test]
fn a_staysail_written_above_the_sail_it_flies_under_stands_in_the_wardrobe_only_below_it_and_in_a_set() {
    let card = data(STAYSAIL, "wardrobe");
    let row = |wind: &str| {
        let rows = card["rows"].as_array().unwrap().iter();
        rows.clone().find(|row| row["wind"] == wind).unwrap_or_else(|| panic!("no row {wind}"))["cells"].clone()
    };
    assert_eq!(row("8 to 12")[1]["whole"], json!(["J1", "J1 + Staysail"]));
    assert_eq!(row("8 to 12")[2]["whole"], json!(["A3", "A3 + Staysail"]));
    assert_eq!(row("8 to 12")[0]["whole"], json!(["J1"]), "closer than the staysail is for");
    assert_eq!(row("16 to 20")[2]["whole"], json!(["A3"]), "more wind than the staysail is for");
    assert_eq!(row("4 to 8")[2]["part"], json!(["A3 from 6"]));
    assert_eq!(card["without_range"], json!([]));
    assert_eq!(card["without_partner"], Value::Null);
}

#[test]
fn a_staysail_changes_with_the_sail_that_it_flies_under() {
    // Both the A3 alone and with the staysail take over from the A2; the settings say which is which.
    let expected = [
        "a2-to-a3-broad-reach",
        "a3-to-a2-broad-reach",
        "a2-to-a3-with-stay-broad-reach",
        "a3-with-stay-to-a2-broad-reach",
    ];
    assert_eq!(ids(STAYSAIL, "sail-change"), expected);
    let card = data(&with("{kind: sail-change}", "{kind: sail-change, from: a2, to: [a3, stay]}"), "sail-change");
    assert_eq!((&card["from"], &card["to"]), (&json!("A2"), &json!("A3 + Staysail")));
    assert_eq!(card["both"], "8 to 10");
    // At 9 kn the staysail's own row says 2, the A3's by itself a line from 1 at 8 to 6 at 18 kn.
    let row = &card["parts"][0]["controls"][0];
    assert_eq!([&row["from"], &row["to"], &row["goes"]], ["1", "● 2", "UP"]);
    // A sail that never flies alone needs no other to name its set.
    let named_alone = with("{kind: sail-change}", "{kind: sail-change, from: a2, to: stay}");
    assert_eq!(ids(&named_alone, "sail-change"), ["a2-to-a3-with-stay-broad-reach"]);
    let lead_alone = with("{kind: sail-change}", "{kind: sail-change, from: a2, to: a3}");
    assert_eq!(ids(&lead_alone, "sail-change"), ["a2-to-a3-broad-reach"]);
}

#[test]
fn a_watch_without_settings_for_a_set_is_told_the_set_and_never_the_staysail_alone() {
    let card = data(STAYSAIL, "watch-plan");
    let sails = &card["rows"][0]["watch"]["weather"]["sails"];
    assert_eq!(sails[0]["sails"], "J1 or J1 + Staysail: no settings");
}

#[test]
fn settings_name_the_staysail_after_the_sail_that_it_flies_under() {
    let card = data(STAYSAIL, "wind-settings");
    assert_eq!(card["sails"], json!(["A3", "Staysail", "Main"]));
}

#[test]
fn a_staysail_flies_on_with_the_sail_that_was_bought_in_the_place_of_its_own_and_a_new_one_with_those_of_the_old() {
    let renewed = "  a3b: {kind: gennaker, name: A3b, replaces: a3, wind: 6..22, angle: 80..150, start_from: [stay-broad, a3-broad]}\n";
    let text = with("settings:\n", &format!("{renewed}settings:\n"));
    let card = data(&text, "wardrobe");
    assert_eq!(card["rows"][1]["cells"][2]["whole"], json!(["A3b", "A3b + Staysail"]));
    let text = with(
        "settings:\n",
        "  stay_b: {kind: staysail, name: Stay B, replaces: stay, start_from: stay-broad}\nsettings:\n",
    );
    let card = data(&text, "wardrobe");
    assert_eq!(card["rows"][1]["cells"][2]["whole"], json!(["A3", "A3 + Stay B"]));
    // With its own sail ashore it does not become a choice by itself.
    let alone = with("flies_with: [a3, j1]", "flies_with: [a3]").replacen(
        "angle: 80..150}\nsettings",
        "angle: 80..150, retired: 2027-05-01}\nsettings",
        1,
    );
    let card = data(
        &alone.replacen("  - {kind: wind-settings, settings: stay-broad}\n", "", 1).replacen(
            "  - {kind: sail-change}\n",
            "",
            1,
        ),
        "wardrobe",
    );
    assert_eq!(card["without_partner"], json!(["Staysail"]));
    assert!(!card["rows"].to_string().contains("Staysail"), "{card}");
}

#[test]
fn what_is_wrong_with_a_set_is_said_at_its_place_with_a_remedy() {
    let flies = "flies_with: [a3, j1]";
    for (piece, replacement, what, instead) in [
        (flies, "flies_with: [a33]", "there is no sail `a33`", "did you mean"),
        (flies, "flies_with: [stay]", "fly with itself", "set with"),
        (flies, "flies_with: [main]", "mainsail", "leave mainsails out"),
        (flies, "flies_with: [a3, a3]", "twice", "once"),
        (flies, "flies_with: []", "at least 1 wanted", "[a3]"),
        ("  j1: {", "  top: {kind: staysail, flies_with: stay}\n  j1: {", "itself flies with another", "set alone"),
        (
            "sails: [stay, main, a3]",
            "sails: [stay, main, a2]",
            "sets `stay` without a sail that it flies with, `a3` or `j1`",
            "`a3`",
        ),
    ] {
        let loaded = load(&with(piece, replacement));
        let found = loaded.problems.iter().find(|problem| problem.what.contains(what));
        let found = found.unwrap_or_else(|| panic!("{replacement}: {}", complaints(&loaded)));
        assert_eq!(found.level, Level::Error, "{replacement}");
        let errors = loaded.problems.iter().filter(|problem| problem.level == Level::Error).count();
        assert_eq!(errors, 1, "one fault, told once: {}", complaints(&loaded));
        assert!(found.instead.contains(instead) && found.place.is_some(), "{replacement}: {found:?}");
    }
    let loaded = load(&with(
        "name: Staysail, flies_with: [a3, j1], wind: 8..16",
        "name: Staysail, flies_with: [a3, j1], wind: 24..30",
    ));
    assert_eq!(complaints(&loaded).matches("no wind and angle is for both").count(), 2, "{}", complaints(&loaded));
}

#[test]
fn a_staysail_of_which_nothing_says_what_it_flies_with_is_told_with_the_line_to_add() {
    let alone = |text: &str| {
        let loaded = load(text);
        let told = loaded.problems.iter().filter(|problem| problem.what.contains("counts as set by itself"));
        told.map(|problem| problem.instead.clone()).collect::<Vec<_>>()
    };
    assert_eq!(alone(STAYSAIL), [""; 0]);
    let bare = STAYSAIL.replace(", flies_with: [a3, j1]", "").replace("sails: [stay, main, a3]", "sails: [main, stay]");
    // Of the sails that it could fly with the last in the book, whose winds and angles it shares.
    assert_eq!(alone(&bare), ["add `flies_with: [a3]`; a sail that is set alone there is `kind: headsail`"]);
    assert_eq!(alone(&bare.replace("angle: 60..120}", "angle: 60..120, retired: 2027-05-01}")), [""; 0]);
    let successor = STAYSAIL.replace("settings:\n", "  stay_b: {kind: staysail, replaces: stay}\nsettings:\n");
    assert_eq!(alone(&successor), [""; 0], "it flies with what the old one flew with");
}
