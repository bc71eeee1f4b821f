//! Settings by wind and angle as a book has them, and the angles of the points of sail: what is read, and what is told of
//! what cannot be.
//!
//! In the texts below `«` and `»` stand around each fault; they are taken out before reading.

use crate::reading::{SOUND, complaints, load, load_with, unmarked};

use cockpit_cards::book::{Book, PointOfSail, Recorded};
use cockpit_cards::door;
use cockpit_cards::tuning::{Angle, Axis, Ground};

/// A reach of our own invention.
const REACH: &str = "  - id: j1-reach
    sails: [main, j1]
    controls: [backstay, lead]
    at:
      10: {60: [4, 13], 80: [3, 12], 100: [2½, 11]}
      16: {60: [5, 14], 90: [3½, 12]}
    angle_bands: [50, 70, 90, 110]
    targets: {10: {60: {speed: 7.2 kn}, 100: {speed: 7.6 kn}}}
";

fn book(reach: &str) -> Book {
    let text = format!("{SOUND}{reach}");
    let loaded = load(&text);
    assert_eq!(complaints(&loaded), "");
    loaded.book.expect("a book")
}

/// With a piece of the reach replaced, its one complaint stands at the mark and says this and that.
fn told(piece: &str, replacement: &str, what: &str, instead: &str) {
    assert_eq!(REACH.matches(piece).count(), 1, "the reach has `{piece}` not just once");
    let (text, places) = unmarked(&format!("{SOUND}{}", REACH.replacen(piece, replacement, 1)));
    let loaded = load(&text);
    let report = complaints(&loaded);
    let starts: Vec<usize> =
        loaded.problems.iter().filter_map(|problem| Some(problem.place.as_ref()?.bytes.start)).collect();
    assert_eq!(starts, places.iter().map(|place| place.start).collect::<Vec<_>>(), "{replacement}\n{report}");
    let says =
        |problem: &&cockpit_cards::book::Problem| problem.what.contains(what) && problem.instead.contains(instead);
    assert!(loaded.problems.iter().any(|problem| says(&problem)), "{what} / {instead}\n{report}");
}

#[test]
fn rows_bands_and_targets_are_read_with_their_angles() {
    let book = book(REACH);
    let settings = book.settings("j1-reach").expect("settings");
    let angled = settings.angled.as_ref().expect("kept by angle");
    assert!(settings.rows.is_empty() && settings.targets.is_empty());
    let rows: Vec<(f64, f64)> =
        angled.rows.iter().map(|row| (row.row.at.value.number(), row.angle.value.number())).collect();
    assert_eq!(rows, [(10.0, 60.0), (10.0, 80.0), (10.0, 100.0), (16.0, 60.0), (16.0, 90.0)]);
    let bands: Vec<(f64, f64)> = angled.bands.iter().map(|band| (band.low.number(), band.high.number())).collect();
    assert_eq!(bands, [(50.0, 70.0), (70.0, 90.0), (90.0, 110.0)]);
    assert_eq!(angled.targets.iter().map(|target| target.angle.value.number()).collect::<Vec<_>>(), [60.0, 100.0]);
    // No point of sail is named: that of the middle, 80°, and whatever the bands reach into.
    assert_eq!(settings.point_of_sail, PointOfSail::BeamReach);
    let points = &book.points_of_sail;
    let for_points = PointOfSail::ALL.map(|point| settings.are_for(point, points));
    assert_eq!(for_points, [true, true, true, false, false]);
}

#[test]
fn a_table_in_csv_is_the_same_as_rows_in_the_book() {
    let table = "wind, angle, backstay, lead\n10,60,4,13\n10,80,3,12\n10,100,2½,11\n16,60,5,14\n16,90,3½,12\n";
    let (head, rest) = REACH.split_once("    controls").expect("controls");
    let tail = &rest[rest.find("    angle_bands").expect("bands")..];
    let text = format!("{SOUND}{head}    table: reach.csv\n{tail}");
    let loaded = load_with(&text, &[("reach.csv", table)]);
    assert_eq!(complaints(&loaded), "");
    let readings = |book: &Book| {
        let angled = book.settings("j1-reach").and_then(|settings| settings.angled.clone()).expect("kept by angle");
        let row = |row: &cockpit_cards::book::AngledRow| {
            let readings =
                row.row.readings.iter().filter_map(Recorded::one).map(|reading| reading.value).collect::<Vec<f64>>();
            (row.row.at.value.number(), row.angle.value.number(), readings)
        };
        (angled.rows.iter().map(row).collect::<Vec<_>>(), angled.bands)
    };
    assert_eq!(readings(&loaded.book.expect("a book")), readings(&book(REACH)));
}

#[test]
fn without_bands_each_angle_that_was_sailed_stands_in_one_of_its_own_unless_no_helmsman_tells_them_apart() {
    let bands = |at: &str| -> Vec<(f64, f64)> {
        let book = book(&format!("  - {{id: j1-reach, sails: [main, j1], controls: [backstay], at: {at}}}\n"));
        let angled = book.settings("j1-reach").and_then(|settings| settings.angled.clone()).expect("kept by angle");
        angled.bands.iter().map(|band| (band.low.number(), band.high.number())).collect()
    };
    assert_eq!(bands("{10: {60: [4], 80: [3]}, 16: {100: [2]}}"), [(50.0, 70.0), (70.0, 90.0), (90.0, 110.0)]);
    assert_eq!(bands("{10: {60: [4], 64: [3]}, 16: {84: [2]}}"), [(50.0, 75.0), (75.0, 95.0)]);
    assert_eq!(bands("{10: {60: [4]}}"), [(50.0, 70.0)]);
    assert_eq!(bands("{10: {170: [4], 180: [2]}}"), [(165.0, 175.0), (175.0, 180.0)]);
}

#[test]
fn each_fault_of_settings_by_angle_has_its_place_and_its_remedy() {
    told("80: [3, 12]", "«60»: [3, 12]", "written twice", "keep one of the two");
    told("80: [3, 12]", "«50»: [3, 12]", "do not rise at 50° at 10 kn", "from close to broad");
    told("80: [3, 12]", "«190»: [3, 12]", "`190` is too much", "from 0 deg to 180 deg");
    told("80: [3, 12]", "80: «[3]»", "1 reading for 2 controls", "one for each of backstay, lead");
    told("      16: {60: [5, 14], 90: [3½, 12]}", "      «16»: [5, 14]", "none at this one", "16: {90: [4, 1]}");
    told("      16: {60: [5, 14], 90: [3½, 12]}", "      «16»: {}", "has no angle at 16", "each angle that was sailed");
    told("[50, 70, 90, 110]", "«[120, 150]»", "nothing was sailed there", "60°, 80°, 90°, 100°");
    told("[50, 70, 90, 110]", "«[50, 70, 95]»", "leave out 100°", "stands on no card");
    told("[50, 70, 90, 110]", "[50, 90, «70»]", "do not rise at 70°", "from close to broad");
    told("[50, 70, 90, 110]", "[50, «190»]", "`190` is too much", "from 0 deg to 180 deg");
    told("100: {speed: 7.6 kn}", "«70»: {speed: 7.6 kn}", "was not sailed at", "60°, 80°, 90°, 100°");
    told(
        "{10: {60: {speed: 7.2 kn}, 100: {speed: 7.6 kn}}}",
        "{10: {«speed»: 7.2 kn}}",
        "has no angle",
        "by angle too",
    );
    told("100: {speed: 7.6 kn}", "«100»: {speed: 7.6 kn, angle: 82}", "names another angle", "take `angle` out");
    told("    angle_bands: [50, 70, 90, 110]", "    point_of_sail: «reach»", "cannot be `reach`", "upwind");
}

#[test]
fn each_fault_of_a_table_by_angle_has_its_place_and_its_remedy() {
    let told = |table: &str, what: &str, instead: &str| {
        let (table, places) = unmarked(table);
        let text = format!("{SOUND}  - {{id: j1-reach, sails: [main, j1], table: reach.csv}}\n");
        let loaded = load_with(&text, &[("reach.csv", &table)]);
        let report = complaints(&loaded);
        let [problem] = &loaded.problems[..] else { panic!("one problem\n{report}") };
        assert_eq!(problem.place.as_ref().map(|place| place.bytes.start), Some(places[0].start), "{report}");
        assert!(problem.what.contains(what) && problem.instead.contains(instead), "{report}");
    };
    told("wind,angle,lead\n10,60,13\n10,«»,12\n", "has no angle", "such as `80`");
    told("wind,angle,lead\n10,60,13\n10,«190»,12\n", "`190` is too much", "from 0 deg to 180 deg");
    told("wind,angle,lead\n10,60,13\n10,«60»,12\n", "60° at 10 kn twice", "keep the better");
    told("wind,angle,lead\n16,60,13\n«10»,80,12\n", "winds of settings", "from light wind to strong");
}

#[test]
fn a_control_called_angle_is_a_control() {
    let text = SOUND
        .replace("  lead:\n", "  angle:\n")
        .replace("controls: [backstay, lead, vang]", "controls: [backstay, angle, vang]");
    let text =
        format!("{text}  - {{id: j1-cut, sails: [main, j1], point_of_sail: upwind, title: cut, table: cut.csv}}\n");
    let loaded = load_with(&text, &[("cut.csv", "wind,angle\n10,13\n12,14\n")]);
    assert_eq!(complaints(&loaded), "");
    let book = loaded.book.expect("a book");
    assert!(book.settings("j1-cut").expect("settings").angled.is_none());
}

#[test]
fn bands_of_angle_without_angles_are_told() {
    let loaded =
        load(&SOUND.replace("    point_of_sail: upwind\n", "    point_of_sail: upwind\n    angle_bands: [40, 60]\n"));
    let [problem] = &loaded.problems[..] else { panic!("{}", complaints(&loaded)) };
    assert!(problem.what.contains("rows go by wind alone"), "{}", problem.what);
}

#[test]
fn settings_that_go_by_wind_alone_still_need_a_point_of_sail() {
    let loaded = load(&SOUND.replace("    point_of_sail: upwind\n", ""));
    let [problem] = &loaded.problems[..] else { panic!("{}", complaints(&loaded)) };
    assert!(problem.what.contains("has no `point_of_sail`"), "{}", problem.what);
}

#[test]
fn a_new_sail_starts_from_settings_by_angle_moved_and_marked() {
    let sails = "  j1: {kind: headsail, wind: 5..16}\n";
    let new = "  j1b: {kind: headsail, wind: 5..16, replaces: j1, start_from: j1-reach, offsets: {backstay: +½}}\n";
    let text = format!("{}{REACH}", SOUND.replace(sails, &format!("{sails}{new}")));
    let loaded = load(&text);
    let book = loaded.book.as_ref().unwrap_or_else(|| panic!("{}", complaints(&loaded)));
    let carried = book.settings("j1b-reach").expect("carried over");
    let angled = carried.angled.as_ref().expect("kept by angle");
    assert!(angled.rows.iter().all(|row| row.row.ground == Ground::CarriedOver));
    let backstay: Vec<f64> = angled.rows.iter().filter_map(|row| Some(row.row.readings[0].one()?.value)).collect();
    assert_eq!(backstay, [4.5, 3.5, 3.0, 5.5, 4.0]);
    assert!(angled.targets.iter().all(|target| target.target.ground == Ground::CarriedOver));

    // What the new sail has of its own in a cell stays, and nothing is carried into that cell.
    let own = "  - {id: j1b-own, sails: [main, j1b], controls: [backstay, lead], at: {10: {62: [1, 10]}}, angle_bands: [50, 70, 90, 110]}\n";
    let loaded = load(&format!("{text}{own}"));
    let book = loaded.book.as_ref().unwrap_or_else(|| panic!("{}", complaints(&loaded)));
    let angled = book.settings("j1b-own").and_then(|settings| settings.angled.as_ref()).expect("kept by angle");
    let places: Vec<(f64, f64, Ground)> =
        angled.rows.iter().map(|row| (row.row.at.value.number(), row.angle.value.number(), row.row.ground)).collect();
    let (own, carried) = (Ground::Sailed, Ground::CarriedOver);
    assert_eq!(
        places,
        [
            (10.0, 62.0, own),
            (10.0, 80.0, carried),
            (10.0, 100.0, carried),
            (16.0, 60.0, carried),
            (16.0, 90.0, carried)
        ]
    );
}

#[test]
fn an_offset_past_a_limit_is_told_of_settings_by_angle_too() {
    let sails = "  j1: {kind: headsail, wind: 5..16}\n";
    let new = "  j1b: {kind: headsail, wind: 5..16, replaces: j1, start_from: j1-reach, offsets: {backstay: +4}}\n";
    let loaded = load(&format!("{}{REACH}", SOUND.replace(sails, &format!("{sails}{new}"))));
    assert!(complaints(&loaded).contains("\"Backstay\" would stand at 9"), "{}", complaints(&loaded));
}

// The points of sail.

/// The angles of each point of sail under this section, or what is told of it.
fn edges(section: &str) -> Result<[f64; 4], String> {
    let (text, places) = unmarked(&format!("{SOUND}points_of_sail: {section}\n"));
    let loaded = load(&text);
    match &loaded.problems[..] {
        [] => Ok(loaded.book.expect("a book").points_of_sail.edges().map(Angle::number)),
        [problem] => {
            let start = problem.place.as_ref().map(|place| place.bytes.start);
            assert_eq!(start, places.first().map(|place| place.start), "{}", complaints(&loaded));
            Err(problem.what.clone())
        }
        _ => panic!("{}", complaints(&loaded)),
    }
}

#[test]
fn a_book_sets_the_angles_of_the_points_of_sail_and_what_it_leaves_out_fits_on() {
    assert_eq!(edges("{}"), Ok([55.0, 80.0, 110.0, 150.0]));
    assert_eq!(edges("{upwind: 0..52}"), Ok([52.0, 80.0, 110.0, 150.0]));
    assert_eq!(edges("{beam-reach: 75..120, downwind: 160..180}"), Ok([55.0, 75.0, 120.0, 160.0]));
}

#[test]
fn points_of_sail_that_gape_overlap_or_do_not_reach_the_ends_are_told() {
    assert_eq!(edges("{upwind: «5..52»}"), Err("upwind starts at 5°".to_owned()));
    assert_eq!(edges("{downwind: «150..170»}"), Err("downwind ends at 170°".to_owned()));
    assert!(edges("{upwind: 0..52, close-reach: «50..80»}").unwrap_err().contains("starts at 50°"));
    assert!(edges("{upwind: «0..85»}").unwrap_err().contains("do not rise"));
}

#[test]
fn a_card_that_has_no_room_for_angles_says_so_and_prints_nothing() {
    let told = |entry: &str| {
        let passed = door::check(load(&format!("{SOUND}{REACH}cards:\n  - {entry}\n")));
        passed.problems.into_iter().map(|problem| problem.what).collect::<Vec<String>>().join("; ")
    };
    assert_eq!(told("{kind: change-points, settings: j1-reach, at_wind: 12 kn}"), "");
    assert!(told("{kind: change-points, settings: j1-reach, at_wind: 40 kn}").contains("nothing moves with the angle"));
    assert!(told("{kind: change-points, settings: j1-upwind, at_wind: 12 kn}").contains("go by wind alone"));
    let lanes = SOUND.replace(
        "scale: {marks: 0..20, spacing: 25 mm}",
        "scale: {marks: 0..20, spacing: 25 mm}\n    strip: {winds: [j1-reach]}",
    );
    let passed = door::check(load(&format!("{lanes}{REACH}cards: [{{kind: strip}}]\n")));
    assert!(
        passed.problems.iter().any(|problem| problem.what.contains("room for the wind alone")),
        "{:?}",
        passed.problems
    );
}
