//! Wind and angle as types: one order, one way to print, no bare number of knots where another number could be taken for it.

use std::fs;
use std::path::{Path, PathBuf};

use approx::assert_relative_eq;
use cockpit_cards::length::Length;
use cockpit_cards::tuning::{
    Angle, Axis, Band, Between, Change, Column, Fineness, Ground, Known, Scale, ScaleKind, Span, Wind, WindUnit,
};
use proptest::prelude::*;

const UNITS: [WindUnit; 2] = [WindUnit::Knot, WindUnit::MetrePerSecond];

#[test]
fn a_metre_per_second_is_3600_in_1852_knots() {
    // NIST SP 811, appendix B.8: a knot is a nautical mile, 1852 m, in an hour.
    assert_relative_eq!(Wind::metres_per_second(1852.0).to_knots(), 3600.0, max_relative = 1e-15);
    assert_relative_eq!(Wind::knots(3600.0).number_in(WindUnit::MetrePerSecond), 1852.0, max_relative = 1e-15);
}

#[test]
fn knots_print_in_halves_and_metres_per_second_in_quarters_always_as_fractions() {
    let knots = [(0.0, "0"), (0.5, "½"), (12.0, "12"), (12.2, "12"), (12.3, "12½"), (12.634989, "12½"), (12.75, "13")];
    for (speed, printed) in knots {
        assert_eq!(Wind::knots(speed).print(WindUnit::Knot), printed);
    }
    let metric = [(0.25, "¼"), (2.3, "2¼"), (6.5, "6½"), (6.7, "6¾"), (6.9, "7"), (10.0, "10")];
    for (speed, printed) in metric {
        assert_eq!(Wind::metres_per_second(speed).print(WindUnit::MetrePerSecond), printed);
    }
    assert_eq!(Wind::knots(13.5).print_with_unit(WindUnit::Knot), "13½ kn");
    assert_eq!(Angle::degrees(38.0).print(), "38°");
    assert_eq!(Angle::degrees(41.3).print(), "41½°");
}

#[test]
fn halfway_between_two_printed_winds_goes_up_whatever_the_way_through_knots_leaves() {
    for eighths in (1..800).step_by(2) {
        let halfway = Wind::metres_per_second(f64::from(eighths) / 8.0);
        assert_eq!(halfway.steps(WindUnit::MetrePerSecond), i64::from(eighths / 2) + 1, "{eighths}/8 m/s");
    }
    for quarters in (1..400).step_by(2) {
        let halfway = Wind::knots(f64::from(quarters) / 4.0);
        assert_eq!(halfway.steps(WindUnit::Knot), i64::from(quarters / 2) + 1, "{quarters}/4 kn");
    }
}

#[test]
fn a_message_quotes_a_wind_as_it_was_written() {
    assert_eq!(Wind::metres_per_second(2.3).as_written(WindUnit::MetrePerSecond), "2.3 m/s");
    assert_eq!(Wind::knots(12.25).as_written(WindUnit::Knot), "12.25 kn");
    assert_eq!(Wind::knots(12.634989).as_written(WindUnit::Knot), "12.63 kn");
    assert_eq!(Angle::degrees(37.25).as_written(), "37.25°");
}

#[test]
fn a_wind_is_its_knots_in_json_to_the_last_digit() {
    let wind = Wind::knots(13.606911447084233);
    assert_eq!(serde_json::to_value(wind).unwrap(), serde_json::json!(13.606911447084233));
    let change = Change { at: Wind::knots(6.4), from: 0.0, to: 0.5 };
    assert_eq!(serde_json::to_string(&change).unwrap(), r#"{"wind_kn":6.4,"from":0.0,"to":0.5}"#);
}

#[test]
fn a_calm_is_a_calm_with_either_sign_and_every_wind_has_its_place_in_one_order() {
    assert_eq!(Wind::knots(-0.0), Wind::CALM);
    let mut winds = [Wind::ENDLESS, Wind::knots(12.0), Wind::CALM, Wind::metres_per_second(6.0)];
    winds.sort();
    assert_eq!(winds, [Wind::CALM, Wind::metres_per_second(6.0), Wind::knots(12.0), Wind::ENDLESS]);
}

/// A table of the same numbers along any axis.
fn table<A: Axis>(rows: &[(f64, f64)]) -> Column<A> {
    let kind = ScaleKind::Even { first: 0, last: 8, spacing: Length::mm(20.0), purchase: 1.0 };
    let known =
        rows.iter().map(|(at, reading)| Known { at: A::from_number(*at), reading: *reading, ground: Ground::Sailed });
    Column::new(Scale { kind, fineness: Fineness::Halves }, known.collect(), Between::Monotone).unwrap()
}

#[test]
fn settings_run_along_an_angle_just_as_along_a_wind() {
    let rows = [(40.0, 6.0), (60.0, 4.5), (90.0, 1.0)];
    let (by_wind, by_angle) = (table::<Wind>(&rows), table::<Angle>(&rows));
    for place in 35..95 {
        let place = f64::from(place);
        assert_eq!(by_angle.at(Angle::degrees(place)), by_wind.at(Wind::knots(place)));
    }
    let wind_band = Band::new(Wind::knots(50.0), Wind::knots(70.0));
    let angle_band = Band::new(Angle::degrees(50.0), Angle::degrees(70.0));
    let (by_angle_found, by_wind_found) = (by_angle.in_band(angle_band), by_wind.in_band(wind_band));
    assert_eq!(by_angle_found.figure, by_wind_found.figure);
    assert_eq!(by_angle_found.rows[0].at.to_degrees(), by_wind_found.rows[0].at.to_knots());
    let places = |numbers: Vec<f64>| numbers;
    assert_eq!(
        places(by_angle.changes().map(|change| change.at.to_degrees()).collect()),
        places(by_wind.changes().map(|change| change.at.to_knots()).collect())
    );
    let first = serde_json::to_value(by_angle.changes().next().unwrap()).unwrap();
    assert!(first["angle_deg"].is_f64() && first.get("wind_kn").is_none(), "{first}");
}

#[test]
fn a_span_holds_both_its_ends_and_a_band_leaves_the_upper_to_the_next() {
    let (low, high) = (Angle::degrees(36.0), Angle::degrees(70.0));
    let (span, band) = (Span::new(low, high).unwrap(), Band::new(low, high));
    assert!(span.holds(low) && span.holds(high) && band.holds(low) && !band.holds(high));
    assert_eq!(Span::new(high, low), None);
    // Where a range ends inside a band or at its edge, nothing follows that the end could be left to.
    let cut = |low: f64, high: f64| band.within(Span::new(Angle::degrees(low), Angle::degrees(high)).unwrap());
    assert!(cut(40.0, 60.0).is_some_and(|part| part.holds(Angle::degrees(60.0)) && !part.holds(Angle::degrees(36.0))));
    assert!(cut(40.0, 70.0).is_some_and(|part| part.holds(high)));
    assert!(cut(40.0, 80.0).is_some_and(|part| part.high == high && !part.holds(high)));
    assert_eq!(cut(70.0, 80.0), None);
}

/// The sources in which a wind is a [`Wind`], but for those that are the types themselves.
fn sources(folder: &Path, found: &mut Vec<PathBuf>) {
    for entry in fs::read_dir(folder).unwrap().map(Result::unwrap) {
        let path = entry.path();
        let is_type = ["wind.rs", "boat_speed.rs"].iter().any(|name| path.ends_with(Path::new("tuning").join(name)));
        if path.is_dir() {
            sources(&path, found);
        } else if !is_type {
            found.push(path);
        }
    }
}

#[test]
fn no_signature_or_field_of_tuning_cards_or_editions_holds_knots_as_a_bare_number() {
    let mut files = Vec::new();
    for folder in ["tuning", "cards", "editions"] {
        sources(&Path::new(env!("CARGO_MANIFEST_DIR")).join("src").join(folder), &mut files);
    }
    assert!(files.len() > 50, "{} sources were looked at", files.len());
    for file in files {
        let text = fs::read_to_string(&file).unwrap();
        let bare: Vec<&str> = named_numbers(&text).filter(|name| says_wind(name)).collect();
        assert!(bare.is_empty(), "{}: {bare:?}", file.display());
    }
}

#[test]
fn the_look_at_signatures_sees_fields_parameters_and_results() {
    let text = "pub gust: Option<f64>, fn a(wind_kn: f64, b: (f64, f64)) -> f64 {} fn felt_kn(\n    of: Row,\n) -> Vec<f64> {}";
    let names: Vec<&str> = named_numbers(text).collect();
    assert_eq!(names, ["gust", "wind_kn", "b", "a", "felt_kn"]);
    assert!(["gust", "wind_kn", "felt_kn"].into_iter().all(says_wind) && !says_wind("b"));
}

fn says_wind(name: &str) -> bool {
    name.ends_with("_kn") || ["wind", "winds", "gust", "knots", "kn"].contains(&name.rsplit('_').next().unwrap_or(name))
}

/// The names of what holds or gives bare numbers: `name: …f64…` and `fn name(…) -> …f64…`.
fn named_numbers(text: &str) -> impl Iterator<Item = &str> {
    let is_name = |c: char| c.is_alphanumeric() || c == '_';
    let held = text.match_indices(": ").filter_map(move |(at, _)| {
        let before = &text[..at];
        let name = &before[before.trim_end_matches(is_name).len()..];
        let kind = text[at + 2..].split([';', '{', '=', '|', '\n']).next()?;
        // A pair ends at its bracket, anything else at the comma.
        let ends: &[char] = if kind.starts_with('(') { &[')'] } else { &[',', ')'] };
        let kind = kind.split(ends).next()?;
        kind.contains("f64").then_some(name)
    });
    let given = text.split("fn ").skip(1).filter_map(move |function| {
        let name = &function[..function.find(|c: char| !is_name(c))?];
        let (_, result) = function.split(['{', ';']).next()?.split_once("->")?;
        result.contains("f64").then_some(name)
    });
    held.chain(given)
}

proptest! {
    #[test]
    fn a_printed_wind_is_within_half_a_step_of_the_wind(knots in 0.0..100.0_f64) {
        for unit in UNITS {
            let wind = Wind::knots(knots);
            let step = Wind::from_steps(1, unit).to_knots();
            let printed = Wind::from_steps(wind.steps(unit), unit);
            prop_assert!((printed - wind).to_knots().abs() <= step / 2.0 * (1.0 + 1e-5), "{wind:?} as {printed:?}");
            prop_assert_eq!(printed.print(unit), wind.print(unit));
            prop_assert!(!wind.print(unit).contains('.'), "{}", wind.print(unit));
        }
    }
}
