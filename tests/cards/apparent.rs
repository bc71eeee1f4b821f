//! A forecast is true wind: where the rows go by apparent wind it is turned into it, or refused with what is missing.

use crate::reading;

use cockpit_cards::book::Problem;
use cockpit_cards::cards::watch_plan::{PlanRow, Weather};
use cockpit_cards::cards::{self, Card, WatchPlan};
use reading::load;

/// A whole jib, a crew that is not counted, and rows in apparent wind.
fn book(kind: &str) -> String {
    let text = include_str!("../books/torn-jib.yaml");
    let kept = text.lines().filter(|line| !line.starts_with("righting") && !line.contains("kind: crew-below"));
    let text: String = kept.map(|line| format!("{line}\n")).collect();
    [
        ("boat: {name: Sandwort}", format!("boat: {{name: Sandwort}}\nwind_source: {{kind: {kind}}}")),
        (", status: head torn, max_now: 16", String::new()),
        ("wind: 15..27, angle: 40", "wind: 8..12, angle: 40".to_owned()),
    ]
    .into_iter()
    .fold(text, |text, (piece, other)| with(&text, piece, &other))
}

fn with(text: &str, piece: &str, other: &str) -> String {
    assert_eq!(text.matches(piece).count(), 1, "`{piece}` stands there not just once");
    text.replacen(piece, other, 1)
}

fn planned(text: &str) -> (Option<Weather>, Vec<Problem>) {
    let loaded = load(text);
    let mut problems = loaded.problems;
    let cards = cards::cards(loaded.book.as_ref().unwrap(), &mut problems);
    let plan = cards.iter().find_map(Card::says::<WatchPlan>);
    let first = plan.and_then(|plan| match &plan.rows[0] {
        PlanRow::Watch(watch) => watch.weather.clone(),
        PlanRow::Midnight { .. } | PlanRow::Finish { .. } => None,
    });
    (first, problems)
}

fn weather(text: &str) -> Weather {
    let (weather, problems) = planned(text);
    weather.unwrap_or_else(|| panic!("{problems:?}"))
}

#[test]
fn a_true_forecast_is_read_into_apparent_rows_with_their_target_speed_and_angle() {
    // By hand: at 6.5 kn and 42° to the true wind, 8 kn are √((8·sin 42°)² + (8·cos 42° + 6.5)²) = 13.55 kn over the deck,
    // and 12 kn are 17.38.
    let apparent = weather(&book("apparent"));
    assert_eq!(read_at(&apparent), "13½ to 17½");
    assert_eq!(apparent.wind, "8 to 12");
    assert_eq!(read_at(&weather(&book("true"))), "8 to 12");
}

/// The wind to read the first sails' card at.
fn read_at(weather: &Weather) -> &str {
    weather.sails[0].read_at.as_deref().expect("settings for it")
}

#[test]
fn a_sails_apparent_range_is_held_against_the_forecast_in_true_wind() {
    // By hand: 16 kn over the deck are √(16² − (6.5·sin 42°)²) − 6.5·cos 42° = 10.57 kn of true wind.
    let text = with(&book("apparent"), "wind: 5..20, angle: 30..60", "wind: 5..20, angle: 30..60, max_now: 16");
    let weather = weather(&text);
    assert_eq!(read_at(&weather), "13½ to 16");
    assert_eq!(weather.beyond, ["No settings for 10½ to 12 kn"]);
}

#[test]
fn without_a_target_speed_or_any_angle_the_forecast_is_refused_with_the_remedy() {
    let no_speed = with(&book("apparent"), "heel: 20, speed: 6.5, angle: 42", "heel: 20, angle: 42");
    let no_angle = with(&book("apparent"), "heel: 20, speed: 6.5, angle: 42", "heel: 20, speed: 6.5");
    for (text, missing) in [(&no_speed, "speed"), (&with(&no_angle, ", angle: 40}", "}"), "angle")] {
        let (weather, problems) = planned(text);
        assert_eq!(weather, None);
        let found = problems.iter().find(|problem| problem.what.contains("go by apparent wind"));
        let found = found.unwrap_or_else(|| panic!("{problems:?}"));
        assert!(found.what.ends_with(&format!("no target {missing}")), "{}", found.what);
        assert!(found.instead.contains("targets: {14: {speed: 6.5 kn, angle: 42}}"), "{}", found.instead);
    }
    // The forecast's own angle will do.
    assert!(planned(&no_angle).0.is_some());
}

/// The same book with its only table kept by angle, with these targets.
fn by_angle(targets: &str) -> String {
    let text = with(&book("apparent"), "{winds: [j1-upwind]}", "{}");
    let start = text.find("\nsettings:").unwrap();
    let end = start + text[start..].find("crew:").unwrap();
    let settings = format!(
        "\nsettings:\n  - id: j1-upwind\n    sails: [main, j1]\n    controls: [backstay]\n    angle_bands: [35, 60]\n    \
         at: {{6: {{40: [1], 50: [2]}}, 14: {{40: [3], 50: [4]}}}}\n    targets: {targets}\n"
    );
    format!("{}{settings}{}", &text[..start], &text[end..])
}

#[test]
fn a_true_forecast_is_read_into_rows_by_angle_with_the_target_speed_at_its_angle() {
    // By hand: at 6.5 kn and the forecast's 40° to the true wind, 8 kn are
    // √((8·sin 40°)² + (8·cos 40° + 6.5)²) = 13.64 kn over the deck, and 12 kn are 17.49.
    let told = weather(&by_angle("{6: {40: {speed: 6.5}}}"));
    assert_eq!(read_at(&told), "13½ to 17½", "{told:?}");
    let between = weather(&by_angle("{14: {40: {speed: 6.5}, 50: {speed: 9}}}"));
    assert_eq!(read_at(&between), "13½ to 17½", "{between:?}");
}

#[test]
fn without_a_target_speed_rows_by_angle_refuse_the_forecast_with_a_remedy_of_their_own() {
    let (weather, problems) = planned(&by_angle("{14: {40: {heel: 20}}}"));
    assert_eq!(weather, None);
    let found = problems.iter().find(|problem| problem.what.contains("go by apparent wind"));
    let found = found.unwrap_or_else(|| panic!("{problems:?}"));
    assert!(found.what.ends_with("it has no target speed"), "{}", found.what);
    assert!(found.instead.contains("targets: {14: {60: {speed: 7.5 kn}}}"), "{}", found.instead);
}
