//! The outboard lead by hand, in closed form, against a search by brute force and against SciPy.

use approx::assert_relative_eq;
use cockpit_cards::length::Length;
use cockpit_cards::rigging::Position;
use cockpit_cards::rigging::block::load_factor;
use cockpit_cards::rigging::outboard_lead::{
    Bears, Effect, Fixed, Gear, HullLine, Impossible, Part, SheetLoad, Track, TrackMark, TweakerMark, Worked,
    WorkingLoads, work_out,
};
use proptest::prelude::*;
use serde::Deserialize;

fn metres(x: f64, y: f64, z: f64) -> Position {
    Position::new(Length::metres(x), Length::metres(y), Length::metres(z))
}

fn mm([x, y, z]: [f64; 3]) -> Position {
    Position::new(Length::mm(x), Length::mm(y), Length::mm(z))
}

fn in_mm(place: Position) -> [f64; 3] {
    [place.x.to_mm(), place.y.to_mm(), place.z.to_mm()]
}

fn tweaker(lengths_m: &[f64]) -> Vec<TweakerMark> {
    let marks = lengths_m.iter().enumerate();
    marks.map(|(mark, length)| TweakerMark { mark: mark as f64, length: Length::metres(*length) }).collect()
}

/// A block at (7, 1.5, 1.5) by design: the sheet comes down to it at 45° and goes on level, so there are 135° between its
/// parts, and the tweaker, half a metre long, pulls from 67.5° below the level.
fn by_hand() -> Gear {
    let half_angle = 67.5_f64.to_radians();
    Gear {
        tack: metres(0.5, 0.0, 1.0),
        clew: metres(6.0, 1.5, 2.5),
        track: Track {
            first: TrackMark { mark: 0.0, place: metres(6.0, 0.9, 1.0) },
            last: TrackMark { mark: 20.0, place: metres(8.0, 0.9, 1.0) },
        },
        car: 10.0,
        outboard_block: metres(10.0, 1.5, 1.5),
        leads_on_to: None,
        pad_eye: metres(7.0 - 0.5 * half_angle.cos(), 1.5, 1.5 - 0.5 * half_angle.sin()),
        tweaker: tweaker(&[0.5]),
        sheet_load: SheetLoad::Kilonewton(10.0),
        working_loads: WorkingLoads::default(),
        hull_line: None,
    }
}

fn bears(worked: &Worked, mark: usize) -> Bears {
    worked.marks[mark].bears.unwrap()
}

// As rigging handbooks print them; some truncate, hence ± 0.01.
#[test]
fn block_load_factors_are_those_of_the_handbooks() {
    let table = [
        (0.0, 2.00),
        (30.0, 1.93),
        (45.0, 1.84),
        (60.0, 1.73),
        (90.0, 1.41),
        (120.0, 1.00),
        (135.0, 0.76),
        (150.0, 0.52),
        (180.0, 0.00),
    ];
    for (between_parts_deg, factor) in table {
        let found = load_factor(between_parts_deg).unwrap();
        assert!((found - factor).abs() <= 0.01, "{between_parts_deg}°: {found}");
    }
    assert_eq!(load_factor(180.0), Some(0.0));
    for nonsense in [-1.0, 180.5, f64::NAN, f64::INFINITY] {
        assert_eq!(load_factor(nonsense), None);
    }
}

#[test]
fn a_lead_worked_by_hand_comes_out_as_it_was_made() {
    let worked = work_out(&by_hand()).unwrap();
    let found = bears(&worked, 0);
    for (found, expected) in in_mm(found.block).into_iter().zip([7000.0, 1500.0, 1500.0]) {
        assert!((found - expected).abs() < 1e-6, "{found} mm");
    }
    assert_relative_eq!(found.between_parts_deg, 135.0, max_relative = 1e-9);
    assert_relative_eq!(found.load_factor, 2.0 * 67.5_f64.to_radians().cos(), max_relative = 1e-9);
    // 0.76537 of 10 kN.
    assert!((found.tweaker_kilonewton - 7.6537).abs() < 1e-4);
    assert_relative_eq!(found.sheet.to_mm(), 1000.0 * (2.0_f64.sqrt() + 3.0), max_relative = 1e-9);
    assert!((found.pull_on_eye.above_horizontal_deg - 67.5).abs() < 1e-6);
    assert!((found.pull_on_eye.relative_bearing_deg - 180.0).abs() < 1e-6);
}

#[test]
fn angles_are_measured_at_the_tack_and_at_the_clew() {
    let worked = work_out(&by_hand()).unwrap();
    let near = |found: f64, expected: f64| assert!((found - expected).abs() < 1e-3, "{found}, not {expected}");
    // By hand: atan(1.5/5.5), atan(0.9/6.5), atan(1.5/9.5), atan(1.5/6.5).
    near(worked.clew_angle_deg, 15.2551);
    near(worked.inboard.lead_angle_deg, 7.8833);
    near(worked.outboard.lead_angle_deg, 8.9726);
    near(bears(&worked, 0).lead.lead_angle_deg, 12.9946);
    // From the clew: to the car at (7, 0.9, 1), 0.6 in and 1.5 down for 1 aft; to the block, level with it and 45° down.
    near(worked.inboard.sheet_outward_deg, -30.9638);
    near(worked.inboard.sheet_down_deg, 56.3099);
    near(bears(&worked, 0).lead.sheet_outward_deg, 0.0);
    near(bears(&worked, 0).lead.sheet_down_deg, 45.0);
    near(worked.outboard.sheet_down_deg, 14.0362);
}

#[test]
fn the_equivalent_lead_has_the_same_slope_from_the_side() {
    let worked = work_out(&by_hand()).unwrap();
    // By hand: 45° down from (6, 2.5) meets the track's height of 1 m at 7.5 m: mark 15, half a metre aft of the car.
    let lead = bears(&worked, 0).pulls_like.unwrap();
    assert_relative_eq!(lead.mark, 15.0, max_relative = 1e-9);
    assert_relative_eq!(lead.aft_of_car.to_mm(), 500.0, max_relative = 1e-9);
    assert!(lead.on_track);
    assert_eq!(lead.effect(Length::mm(5.0)), Effect::FootTighter);
    assert_eq!(lead.effect(Length::mm(501.0)), Effect::Same);
    // With the car further aft the same lead is forward of it.
    let aft = work_out(&Gear { car: 18.0, ..by_hand() }).unwrap();
    assert_eq!(bears(&aft, 0).pulls_like.unwrap().effect(Length::mm(5.0)), Effect::LeechTighter);
    // The straight sheet, at 1 in 4, would need a track to 12 m: mark 60, which the track has not.
    let straight = worked.outboard_pulls_like.unwrap();
    assert_relative_eq!(straight.mark, 60.0, max_relative = 1e-9);
    assert!(!straight.on_track);
}

#[test]
fn a_track_that_rises_aft_is_met_where_it_is() {
    // By hand: z = 2.5 − (x − 6) meets z = 1 + (x − 6)/8 at x = 6 + 4/3, a third short of the end: mark 13⅓.
    let mut gear = by_hand();
    gear.track.last.place = metres(8.0, 0.9, 1.25);
    let lead = bears(&work_out(&gear).unwrap(), 0).pulls_like.unwrap();
    assert_relative_eq!(lead.mark, 40.0 / 3.0, max_relative = 1e-9);
    assert_relative_eq!(lead.x.to_mm(), 22_000.0 / 3.0, max_relative = 1e-9);
}

#[test]
fn a_sheet_that_never_comes_down_to_the_track_pulls_like_no_lead() {
    // The straight sheet falls 1 in 4 and the track below it 1 in 2: their lines meet only forward of the clew.
    let mut gear = by_hand();
    gear.track.last.place = metres(8.0, 0.9, 0.0);
    let worked = work_out(&gear).unwrap();
    assert_eq!(worked.outboard_pulls_like, None);
    assert!(bears(&worked, 0).pulls_like.is_some());
}

#[test]
fn port_mirrors_starboard() {
    let flip = |place: Position| Position::new(place.x, -place.y, place.z);
    let starboard = Gear { pad_eye: metres(6.9, 1.2, 1.0), tweaker: tweaker(&[0.4]), ..by_hand() };
    let mut port = Gear {
        tack: flip(starboard.tack),
        clew: flip(starboard.clew),
        outboard_block: flip(starboard.outboard_block),
        pad_eye: flip(starboard.pad_eye),
        ..starboard.clone()
    };
    for end in [&mut port.track.first, &mut port.track.last] {
        end.place = flip(end.place);
    }
    let (starboard, port) = (work_out(&starboard).unwrap(), work_out(&port).unwrap());
    let (s, p) = (bears(&starboard, 0), bears(&port, 0));
    assert_relative_eq!(starboard.clew_angle_deg, port.clew_angle_deg);
    assert_relative_eq!(s.lead.lead_angle_deg, p.lead.lead_angle_deg);
    assert_relative_eq!(s.lead.sheet_outward_deg, p.lead.sheet_outward_deg);
    assert_relative_eq!(s.tweaker_kilonewton, p.tweaker_kilonewton);
    let (to_starboard, to_port) = (s.pull_on_eye.relative_bearing_deg, p.pull_on_eye.relative_bearing_deg);
    assert!(to_starboard > 90.0 && to_starboard < 180.0, "outward and aft: {to_starboard}");
    assert_relative_eq!(to_starboard + to_port, 360.0, max_relative = 1e-12);
}

#[test]
fn a_symmetric_lead_has_its_block_in_the_middle() {
    // Closed form: with the eye a distance h off the middle of the straight sheet, 2a long, the block is ℓ up that
    // perpendicular, tan(φ/2) = a/(h − ℓ), and the tweaker pulls 2·(h − ℓ)/√(a² + (h − ℓ)²) times the sheet.
    let (clew, outboard) = (metres(6.0, 1.5, 2.9), metres(9.0, 1.2, 1.1));
    let middle = in_mm(clew).iter().zip(in_mm(outboard)).map(|(a, b)| (a + b) / 2.0).collect::<Vec<_>>();
    let half = clew.distance_to(outboard).to_mm() / 2.0;
    // Square to (3, −0.3, −1.8): 3·1.8 − 0.3·0 − 1.8·3 = 0.
    let down = [-1.8, 0.0, -3.0].map(|part: f64| part / (1.8_f64.powi(2) + 3.0_f64.powi(2)).sqrt());
    let off = |distance: f64| mm([0, 1, 2].map(|axis| middle[axis] + down[axis] * distance));
    let height = 1200.0;
    for length in [100.0, 500.0, 900.0, 1190.0] {
        let gear = Gear {
            clew,
            outboard_block: outboard,
            pad_eye: off(height),
            tweaker: tweaker(&[length / 1000.0]),
            ..by_hand()
        };
        let worked = work_out(&gear).unwrap();
        assert_relative_eq!(worked.slack_from.to_mm(), height, max_relative = 1e-12);
        let found = bears(&worked, 0);
        assert!(found.block.distance_to(off(height - length)).to_mm() < 1e-6, "{length}: {found:?}");
        let left = height - length;
        assert_relative_eq!(found.between_parts_deg, 2.0 * (half / left).atan().to_degrees(), max_relative = 1e-9);
        assert_relative_eq!(found.load_factor, 2.0 * left / half.hypot(left), max_relative = 1e-9);
    }
}

/// The angle between the tweaker and the bisector of the sheet's two parts, and between it and their plane, in radians.
fn off_the_bisector(gear: &Gear, block: Position) -> f64 {
    let unit = |to: Position| {
        let way: Vec<f64> = in_mm(to).iter().zip(in_mm(block)).map(|(to, from)| to - from).collect();
        let length = way.iter().map(|part| part * part).sum::<f64>().sqrt();
        [way[0] / length, way[1] / length, way[2] / length]
    };
    let (clew, outboard, eye) = (unit(gear.clew), unit(gear.outboard_block), unit(gear.pad_eye));
    let pull = [clew[0] + outboard[0], clew[1] + outboard[1], clew[2] + outboard[2]];
    let size = pull.iter().map(|part| part * part).sum::<f64>().sqrt();
    // The eye pulls against the sheet: the two directions added leave what is off.
    let off: f64 = (0..3).map(|axis| (pull[axis] / size + eye[axis]).powi(2)).sum::<f64>().sqrt();
    2.0 * (off / 2.0).asin()
}

fn sheet_length(gear: &Gear, block: Position) -> f64 {
    gear.clew.distance_to(block).to_mm() + block.distance_to(gear.outboard_block).to_mm()
}

/// The least length of sheet over any block within reach of the eye, on a grid that closes in: no mechanics at all.
fn by_brute_force(gear: &Gear) -> (Position, f64) {
    const ACROSS: i32 = 24;
    let (eye, length) = (in_mm(gear.pad_eye), gear.tweaker[0].length.to_mm());
    let at = |azimuth: f64, height: f64| {
        mm([
            eye[0] + length * height.cos() * azimuth.cos(),
            eye[1] + length * height.cos() * azimuth.sin(),
            eye[2] + length * height.sin(),
        ])
    };
    let pi = std::f64::consts::PI;
    let mut best = (0.0, 0.0, f64::INFINITY);
    let mut reach = pi;
    while reach > 1e-9 {
        let (azimuth, height, _) = best;
        for across in -ACROSS..=ACROSS {
            for up in -ACROSS..=ACROSS {
                let (azimuth, height) = (
                    azimuth + reach * f64::from(across) / f64::from(ACROSS),
                    height + reach * f64::from(up) / f64::from(ACROSS),
                );
                let sheet = sheet_length(gear, at(azimuth, height));
                if sheet < best.2 {
                    best = (azimuth, height, sheet);
                }
            }
        }
        reach *= 0.3;
    }
    (at(best.0, best.1), best.2)
}

/// The block, whether or not it lies where a sheet can go; `None` if the tweaker is slack.
fn block(gear: &Gear) -> Option<Position> {
    match work_out(gear) {
        Ok(worked) => worked.marks[0].bears.map(|bears| bears.block),
        Err(faults) => match faults[..] {
            [Impossible::BlockPastTheClew { block, .. }] => Some(block),
            [Impossible::SlackAtEveryMark { .. }] => None,
            _ => panic!("{faults:?}"),
        },
    }
}

#[derive(Deserialize)]
struct Reference {
    scipy: String,
    cases: Vec<Case>,
}

#[derive(Deserialize)]
struct Case {
    clew: [f64; 3],
    outboard: [f64; 3],
    eye: [f64; 3],
    length: f64,
    slack_from: f64,
    block: Option<[f64; 3]>,
    sheet: Option<f64>,
}

#[test]
fn the_block_rides_where_scipy_finds_the_shortest_sheet() {
    // Written by tests/reference/tweaker_block.py.
    let reference: Reference = serde_json::from_str(include_str!("../reference/tweaker_block.json")).unwrap();
    let mut bearing = 0;
    for case in &reference.cases {
        let gear = Gear {
            clew: mm(case.clew),
            outboard_block: mm(case.outboard),
            pad_eye: mm(case.eye),
            tweaker: tweaker(&[case.length / 1000.0]),
            ..by_hand()
        };
        let found = block(&gear);
        assert_eq!(found.is_some(), case.block.is_some(), "SciPy {}: {}", reference.scipy, case.length);
        if let Err(faults) = work_out(&gear)
            && let [Impossible::SlackAtEveryMark { slack_from }] = faults[..]
        {
            assert!((slack_from.to_mm() - case.slack_from).abs() < 1e-5);
        }
        if let (Some(found), Some(expected), Some(sheet)) = (found, case.block, case.sheet) {
            bearing += 1;
            // SciPy's own search ends within some 1e-5 mm; the length it finds is good to the last digits.
            assert!(found.distance_to(mm(expected)).to_mm() < 1e-3, "{found:?}, SciPy {expected:?}");
            assert!((sheet_length(&gear, found) - sheet).abs() < 1e-8 * sheet);
            assert!(off_the_bisector(&gear, found) < 1e-6);
        }
    }
    assert!(bearing >= 40 && bearing < reference.cases.len(), "{bearing} of {}", reference.cases.len());
}

#[test]
fn a_tweaker_that_the_straight_sheet_does_not_reach_is_slack() {
    let straight = work_out(&by_hand()).unwrap().slack_from;
    let just = |off_mm: f64| TweakerMark { mark: 1.0, length: straight + Length::mm(off_mm) };
    let gear = Gear { tweaker: vec![just(-1.0), just(0.0), just(5.0)], ..by_hand() };
    let worked = work_out(&gear).unwrap();
    assert_eq!(worked.marks.iter().map(|mark| mark.bears.is_some()).collect::<Vec<_>>(), [true, false, false]);
    assert!(bears(&worked, 0).load_factor < 0.01);
    let slack = Gear { tweaker: vec![just(0.0), just(5.0)], ..by_hand() };
    assert_eq!(work_out(&slack), Err(vec![Impossible::SlackAtEveryMark { slack_from: straight }]));
}

#[test]
fn loads_are_said_for_each_hundred_kilograms_when_none_is_known() {
    let gear = Gear { sheet_load: SheetLoad::PerHundredKilograms, ..by_hand() };
    // Standard gravity (NIST SP 811): 100 kgf = 0.980665 kN.
    let worked = work_out(&gear).unwrap();
    assert_relative_eq!(worked.sheet_kilonewton, 0.980_665, max_relative = 1e-12);
    assert_relative_eq!(bears(&worked, 0).tweaker_kilonewton, 0.980_665 * 0.765_366_865, max_relative = 1e-9);
    let compared = WorkingLoads { pad_eye_kilonewton: Some(20.0), ..WorkingLoads::default() };
    let gear = Gear { working_loads: compared, ..gear };
    assert_eq!(work_out(&gear), Err(vec![Impossible::NoLoadToCompare]));
}

#[test]
fn the_outboard_block_carries_what_its_own_angle_makes_it() {
    // The sheet comes in level from forward and goes on level forward at 60° to it.
    let on = metres(10.0 - 60.0_f64.to_radians().cos(), 1.5 - 60.0_f64.to_radians().sin(), 1.5);
    let worked = work_out(&Gear { leads_on_to: Some(on), ..by_hand() }).unwrap();
    let carried = worked.marks[0].outboard_block;
    assert_relative_eq!(carried.between_parts_deg.unwrap(), 60.0, max_relative = 1e-9);
    assert_relative_eq!(carried.kilonewton, 17.320_508_075_688_77, max_relative = 1e-9);
    // Not knowing where it leads on to, twice the sheet is taken.
    let unknown = work_out(&by_hand()).unwrap().marks[0].outboard_block;
    assert_eq!((unknown.between_parts_deg, unknown.load_factor, unknown.kilonewton), (None, 2.0, 20.0));
}

#[test]
fn a_load_above_a_makers_working_load_is_refused() {
    let allowed = |pad_eye| WorkingLoads {
        sheet_kilonewton: Some(20.0),
        pad_eye_kilonewton: Some(pad_eye),
        ..WorkingLoads::default()
    };
    let worked = work_out(&Gear { working_loads: allowed(10.0), ..by_hand() }).unwrap();
    let ratios: Vec<(Part, f64)> = worked.marks[0].ratios.iter().map(|ratio| (ratio.part, ratio.ratio)).collect();
    assert_eq!(ratios[0], (Part::Sheet, 0.5));
    assert_eq!(ratios[1].0, Part::PadEye);
    assert_relative_eq!(ratios[1].1, 0.765_366_865, max_relative = 1e-9);
    let faults = work_out(&Gear { working_loads: allowed(7.6), ..by_hand() }).unwrap_err();
    assert!(
        matches!(faults[..], [Impossible::Overload { mark: 0.0, ratio }]
            if ratio.part == Part::PadEye && ratio.ratio > 1.0 && ratio.working_kilonewton == 7.6),
        "{faults:?}"
    );
}

#[test]
fn from_half_of_its_working_load_on_a_part_is_hard_pressed() {
    // The sheet carries 10 kN; the eye 2·cos(67.5°) = 0.765 of it, 7.65 kN.
    let hardest = |sheet, pad_eye| {
        let working_loads = WorkingLoads {
            sheet_kilonewton: Some(sheet),
            pad_eye_kilonewton: Some(pad_eye),
            ..WorkingLoads::default()
        };
        let gear = Gear { working_loads, tweaker: tweaker(&[0.5, 0.8]), ..by_hand() };
        work_out(&gear).unwrap().hardest()
    };
    let told = |sheet, pad_eye| -> Vec<(f64, Part, bool)> {
        hardest(sheet, pad_eye).into_iter().map(|(mark, ratio)| (mark, ratio.part, ratio.is_hard_pressed())).collect()
    };
    let both = told(20.0, 15.4);
    assert_eq!(both[0].1, Part::Sheet);
    assert!(both[0].2, "half is too much");
    assert_eq!(both[1], (0.0, Part::PadEye, false), "the shorter tweaker is the harder one");
    assert!(!told(20.1, 15.4)[0].2);
    assert!(told(20.1, 15.3)[1].2);
}

#[test]
fn gear_outside_the_hull_line_is_refused() {
    let hull = |half_breadth_m: f64| HullLine {
        points: vec![
            (Length::metres(5.0), Length::metres(half_breadth_m)),
            (Length::metres(11.0), Length::metres(half_breadth_m - 0.6)),
        ],
    };
    let with = |hull_line| work_out(&Gear { hull_line: Some(hull_line), ..by_hand() });
    // At 10 m the hull line is 0.5 m in from its half breadth at 5 m, so the block at 1.5 m stands on its edge.
    let worked = with(hull(2.0)).unwrap();
    // By hand: 1.8 m at the tweaker's block, which is at 1.5 m.
    assert!((bears(&worked, 0).outside_hull.unwrap().to_mm() + 300.0).abs() < 1e-6);
    let faults = with(hull(1.9)).unwrap_err();
    assert!(
        matches!(faults[..], [Impossible::OutsideHull { gear: Fixed::OutboardBlock, by: Some(by) }]
            if (by.to_mm() - 100.0).abs() < 1e-6),
        "{faults:?}"
    );
    let mut short = hull(3.0);
    short.points[1].0 = Length::metres(9.0);
    assert_eq!(with(short), Err(vec![Impossible::OutsideHull { gear: Fixed::OutboardBlock, by: None }]));
    let mut backwards = hull(3.0);
    backwards.points.reverse();
    assert_eq!(with(backwards), Err(vec![Impossible::HullLine { point: 1 }]));
}

#[test]
fn a_lead_that_cannot_be_is_refused_with_everything_that_is_wrong() {
    let on_deck = Gear { clew: metres(6.0, 1.5, 1.0), ..by_hand() };
    let below =
        |gear, height_m| Impossible::ClewNotAbove { gear, clew: Length::metres(1.0), height: Length::metres(height_m) };
    let faults = work_out(&on_deck).unwrap_err();
    assert_eq!(
        faults[..3],
        [below(Fixed::TrackFirst, 1.0), below(Fixed::TrackLast, 1.0), below(Fixed::OutboardBlock, 1.5),]
    );
    assert_eq!(faults.len(), 4);

    let elsewhere = Gear { outboard_block: metres(5.9, -1.5, 1.2), car: 21.0, ..by_hand() };
    assert_eq!(
        work_out(&elsewhere).unwrap_err(),
        [
            Impossible::OutboardBlockAheadOfClew { block: Length::metres(5.9), clew: Length::metres(6.0) },
            Impossible::OtherSide { gear: Fixed::TrackFirst },
            Impossible::OtherSide { gear: Fixed::TrackLast },
            Impossible::OtherSide { gear: Fixed::PadEye },
            Impossible::CarOffTrack { car: 21.0 },
        ]
    );

    let ahead = Gear { tack: metres(7.5, 0.0, 1.0), ..by_hand() };
    assert!(work_out(&ahead).unwrap_err().contains(&Impossible::ClewAheadOfTack));
    assert!(work_out(&ahead).unwrap_err().contains(&Impossible::AheadOfTack { gear: Fixed::PadEye }));

    let no_scale = Gear { tweaker: vec![], sheet_load: SheetLoad::Kilonewton(-1.0), ..by_hand() };
    let expected = [Impossible::NoTweakerMark, Impossible::SheetLoad { kilonewton: -1.0 }];
    assert_eq!(work_out(&no_scale).unwrap_err(), expected);
    let no_length = Impossible::TweakerLength { mark: 1.0, length: Length::ZERO };
    assert_eq!(work_out(&Gear { tweaker: tweaker(&[0.5, 0.0]), ..by_hand() }).unwrap_err(), [no_length]);
}

#[test]
fn a_block_pulled_past_the_clew_is_refused() {
    let gear = Gear { pad_eye: metres(5.0, 1.5, 1.0), tweaker: tweaker(&[0.3]), ..by_hand() };
    let faults = work_out(&gear).unwrap_err();
    assert!(
        matches!(faults[..], [Impossible::BlockPastTheClew { mark: 0.0, block }] if block.x < gear.clew.x),
        "{faults:?}"
    );
}

#[test]
fn an_eye_in_line_with_the_straight_sheet_but_past_its_end_is_refused() {
    // On from (6, 1.5, 2.5) through (10, 1.5, 1.5).
    let gear = Gear { pad_eye: metres(11.0, 1.5, 1.25), tweaker: tweaker(&[0.5]), ..by_hand() };
    assert_eq!(work_out(&gear), Err(vec![Impossible::PadEyeInLine]));
}

#[test]
fn numbers_that_are_none_are_refused() {
    let nan = Length::mm(f64::NAN);
    let mut gear = by_hand();
    gear.clew.z = nan;
    gear.tweaker[0].mark = f64::INFINITY;
    assert_eq!(work_out(&gear).unwrap_err().len(), 2);
    let mut far = by_hand();
    far.outboard_block.x = Length::mm(1e300);
    assert_eq!(work_out(&far), Err(vec![Impossible::TooLarge]));
}

prop_compose! {
    /// Of the sizes that boats have, some of them slack and some with the eye forward of the clew.
    fn any_gear()(
        clew in (5.0..6.5_f64, 0.8..2.4_f64, 1.8..3.2_f64),
        outboard in (8.0..11.0_f64, 1.0..2.0_f64, 0.9..1.3_f64),
        eye in (4.8..7.8_f64, 0.7..2.0_f64, 0.9..1.3_f64),
        length in 0.05..1.6_f64,
    ) -> Gear {
        Gear {
            clew: metres(clew.0, clew.1, clew.2),
            outboard_block: metres(outboard.0, outboard.1, outboard.2),
            pad_eye: metres(eye.0, eye.1, eye.2),
            tweaker: tweaker(&[length]),
            ..by_hand()
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn no_place_within_reach_makes_a_shorter_sheet(gear in any_gear()) {
        if let Some(block) = block(&gear) {
            let (place, shortest) = by_brute_force(&gear);
            let found = sheet_length(&gear, block);
            prop_assert!(found <= shortest + 1e-9 * shortest, "{} against {} at {:?}", found, shortest, place);
            prop_assert!(shortest - found < 1e-6, "{} against {}", found, shortest);
        }
    }
}

proptest! {
    #[test]
    fn the_tweaker_lies_along_the_bisector(gear in any_gear()) {
        if let Some(block) = block(&gear) {
            prop_assert!((block.distance_to(gear.pad_eye) - gear.tweaker[0].length).to_mm().abs() < 1e-6);
            prop_assert!(off_the_bisector(&gear, block) < 1e-6, "{} rad", off_the_bisector(&gear, block));
        }
    }

    #[test]
    fn a_shorter_tweaker_pulls_harder_and_is_never_slack_where_a_longer_one_is_not(
        gear in any_gear(), shorter in 0.2..0.95_f64,
    ) {
        let length = gear.tweaker[0].length;
        let with = |length| {
            work_out(&Gear { tweaker: vec![TweakerMark { mark: 0.0, length }], ..gear.clone() })
        };
        if let (Ok(long), Ok(short)) = (with(length), with(length * shorter)) {
            prop_assert!(bears(&short, 0).load_factor > bears(&long, 0).load_factor);
            prop_assert!(bears(&short, 0).sheet > bears(&long, 0).sheet);
        }
    }
}

proptest! {
    #[test]
    fn whatever_one_number_is_nothing_comes_out_that_is_not_finite(
        which in 0..9_usize, axis in 0..3_usize, wild in prop::num::f64::ANY,
    ) {
        let mut gear = by_hand();
        gear.leads_on_to = Some(metres(9.0, 0.8, 1.6));
        let length = Length::mm(wild);
        let place = match which {
            0 => Some(&mut gear.tack),
            1 => Some(&mut gear.clew),
            2 => Some(&mut gear.track.first.place),
            3 => Some(&mut gear.outboard_block),
            4 => Some(&mut gear.pad_eye),
            5 => gear.leads_on_to.as_mut(),
            _ => None,
        };
        if let Some(place) = place {
            *[&mut place.x, &mut place.y, &mut place.z][axis] = length;
        }
        match which {
            6 => gear.tweaker[0].length = length,
            7 => gear.track.last.mark = wild,
            8 => gear.sheet_load = SheetLoad::Kilonewton(wild),
            _ => {}
        }
        if let Ok(worked) = work_out(&gear) {
            let text = format!("{worked:?}");
            prop_assert!(!text.contains("NaN") && !text.contains("inf"), "{}", text);
        }
    }
}
