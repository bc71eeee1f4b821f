//! Adjustments on the wind-settings card: in words, held at limits and scale ends in every band.

use crate::common::whole;
use crate::swap::Swap;
use cockpit_cards::book::{self, Problem};
use cockpit_cards::cards;
use cockpit_cards::cards::parts::{matrix, moves};
use cockpit_cards::cards::wind_settings::{AdjustmentRow, WindSettings};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::tuning::{Setting, Side};

const FULL: &str = include_str!("../../examples/full.yaml");

fn adjustments(text: &str, id: &str) -> Vec<AdjustmentRow> {
    let book = book::from_text("book", text, &whole::table, has_glyph).book.unwrap();
    let cards = cards::cards(&book, &mut Vec::new());
    let card = cards.iter().find(|card| card.id == id).unwrap();
    card.says::<WindSettings>().unwrap().adjustments.clone()
}

#[test]
fn moves_are_in_words_and_only_of_controls_on_the_card() {
    let said = adjustments(FULL, "j3-upwind");
    let words = |row: usize| -> Vec<(String, String)> {
        said[row].moves.iter().map(|one| (one.control.clone(), one.by.clone())).collect()
    };
    let pair = |a: &str, b: &str| (a.to_owned(), b.to_owned());
    assert_eq!(words(0), [pair("Backstay", "½ less"), pair("Jib halyard", "½ less")]);
    assert_eq!(words(1)[2], pair("Traveller", "1 to windward"));
}

#[test]
fn no_band_of_any_card_is_let_past_a_limit_or_the_scale_and_each_hold_is_printed() {
    let text = FULL.swap("flat: {backstay: ½,", "flat: {backstay: 2,");
    let book = book::from_text("book", &text, &whole::table, has_glyph).book.unwrap();
    let mut holds = 0;
    // A band of wind alone has no mark where settings go by angle too.
    for settings in book.settings.iter().filter(|settings| settings.angled.is_none()) {
        let said = adjustments(&text, &settings.id.value);
        for (adjustment, row) in book.adjustments.iter().zip(&said) {
            for (index, offset) in &adjustment.moves {
                let Some(position) = settings.controls.iter().position(|of| of == index) else { continue };
                let control = &book.controls[*index];
                let column = matrix::columns(&book, settings)[position].clone().unwrap();
                let column = column.alike().expect("one side").whole().expect("used everywhere");
                let printed = row.moves.iter().find(|one| one.control == control.name).unwrap();
                let mut held = 0;
                for band in matrix::bands(&book, settings) {
                    let found = column.in_band(band);
                    let (low, high) = control.scale.ends().unwrap();
                    let most = control.never_above.as_ref().map_or(high, |limit| limit.reading.value.min(high));
                    let (first, last) = found.figure.ends();
                    let mut is_held = false;
                    for reading in [first, last] {
                        let wanted = reading + offset.value.marks() * control.scale.whole_mark();
                        is_held |= wanted > most || wanted < low;
                        let setting = Setting { reading, ..found.setting };
                        let moved = offset.value.apply(setting, &control.scale, moves::limits(control, Side::Port));
                        assert!(moved.reading <= most && moved.reading >= low, "{} in {band:?}", control.name);
                    }
                    held += usize::from(is_held);
                }
                assert_eq!(printed.held.len(), held, "{} on {}", control.name, settings.id.value);
                holds += held;
            }
        }
    }
    assert!(holds > 3, "{holds}: the test wants bands that are held");
}

#[test]
fn a_book_without_adjustments_has_none_on_its_cards() {
    let start = FULL.find("adjust:\n").unwrap();
    let end = FULL.find("# At night").unwrap();
    let text = format!("{}{}", &FULL[..start], &FULL[end..]);
    assert!(adjustments(&text, "j1-upwind").is_empty());
}

#[test]
fn bad_input_has_its_place_and_a_remedy() {
    for (to, place, remedy) in [
        ("chop: {backsaty: -½}", "backsaty", "backstay"),
        ("chop: {backstay: lots}", "lots", "-1"),
        ("chop: {backstay: 0}", "0", "leave"),
        ("chop: {backstay: ¼}", "¼", "multiple of ½"),
        ("chop: {}", "chop", "backstay"),
        ("chop: [backstay]", "[backstay]", ""),
        ("\"Chop sea\": {backstay: -½}", "\"Chop sea\"", ""),
    ] {
        let text = FULL.swap("chop: {backstay: -½, jib_halyard: -½, outhaul: -½}", to);
        assert_ne!(text, FULL);
        let problems = book::from_text("book", &text, &whole::table, has_glyph).problems;
        let at = |problem: &&Problem| problem.place.as_ref().is_some_and(|p| text[p.bytes.clone()].contains(place));
        let found = problems.iter().find(at).unwrap_or_else(|| panic!("{to}: {problems:?}"));
        assert!(!found.instead.is_empty() && found.instead.contains(remedy), "{to}: {}", found.instead);
    }
}

/// The names of the adjustments on a card of the example, with where the chop is for.
fn names(scope: &str, id: &str) -> Vec<String> {
    let text = FULL.swap("chop: {backstay: -½,", &format!("chop: {{for: {{{scope}}}, backstay: -½,"));
    adjustments(&text, id).into_iter().map(|row| row.name).collect()
}

#[test]
fn a_card_outside_what_an_adjustment_is_for_does_not_have_it() {
    assert_eq!(names("point_of_sail: upwind", "j1-upwind"), ["Chop", "Flat"]);
    assert_eq!(names("point_of_sail: upwind", "j1-close-reach"), ["Flat"]);
    assert_eq!(names("point_of_sail: [upwind, close-reach]", "j1-close-reach"), ["Chop", "Flat"]);
    assert_eq!(names("sails: [j1, main_r1]", "j1-upwind"), ["Chop", "Flat"]);
    assert_eq!(names("sails: [j1, main_r1]", "j2-upwind"), ["Flat"]);
    assert_eq!(names("sails: [j1, main_r1]", "j3-reef-upwind"), ["Chop", "Flat"]);
    // The winds stand beside the name; the J1 is for 5 to 16 kn, and where both only touch there is no wind for it.
    assert_eq!(names("wind: 8..20", "j1-upwind"), ["Chop, 8 to 20 kn", "Flat"]);
    assert_eq!(names("wind: 16..20", "j1-upwind"), ["Flat"]);
    // A sail that another took the place of hands on what is for it.
    let bought = "chop: {for: {sails: [j1]}, backstay: -½,";
    let text = FULL.swap("chop: {backstay: -½,", bought).swap(
        "\n# What some sail should be for",
        "  j1b: {kind: headsail, wind: 5..16, angle: 36..70, replaces: j1, start_from: [j1-upwind, j1-close-reach]}\n\n# What some sail should be for",
    );
    let after: Vec<String> = adjustments(&text, "j1b-upwind").into_iter().map(|row| row.name).collect();
    assert_eq!(after, ["Chop", "Flat"]);
}

#[test]
fn a_hold_outside_the_winds_of_an_adjustment_is_not_told() {
    let with = |scope: &str| {
        let text = FULL.swap("flat: {backstay: ½,", &format!("flat: {{{scope}backstay: 2,"));
        let flat = adjustments(&text, "j3-upwind").into_iter().find(|row| row.name.starts_with("Flat")).unwrap();
        flat.moves[0].held.clone()
    };
    let (all, some) = (with(""), with("for: {wind: 20..24}, "));
    assert!(all.len() > some.len() && all.starts_with(&some), "{all:?} {some:?}");
}

#[test]
fn what_is_wrong_with_where_an_adjustment_holds_has_its_place_and_a_remedy() {
    for (scope, what, instead) in [
        ("point_of_sail: upwnd", "cannot be `upwnd`", "upwind"),
        ("wind: 20..8", "the wind that adjustment \"chop\" is for: `20..8` does not rise", "lower end first"),
        ("sails: [j9]", "there is no sail `j9`", "did you mean"),
        ("sail: [j1]", "`sail` is no field", "`sails`"),
    ] {
        let text = FULL.swap("chop: {backstay: -½,", &format!("chop: {{for: {{{scope}}}, backstay: -½,"));
        let problems = book::from_text("book", &text, &whole::table, has_glyph).problems;
        let found = problems.iter().find(|problem| problem.what.contains(what));
        let found = found.unwrap_or_else(|| panic!("{scope}: {problems:?}"));
        assert!(found.instead.contains(instead) && found.place.is_some(), "{scope}: {found:?}");
    }
}
