//! Bow lacing by hand, against sums over the line as drawn, and against what lacing promises on any rail.

use approx::assert_relative_eq;
use cockpit_cards::length::Length;
use cockpit_cards::rigging::lacing::{
    Bound, Crests, Figure, Finding, Foot, Hitch, Hull, Impossible, Pattern, Purpose, Rail, Requirement, Rig, Run, Tie,
    Worked, cut_list,
};
use proptest::prelude::*;
use std::f64::consts::PI;

/// On a boat of which nothing is known.
fn work_out(rail: &Rail, rig: &Rig) -> Result<Worked, Vec<Impossible>> {
    cockpit_cards::rigging::lacing::work_out(rail, rig, &Hull::default())
}

fn mm(millimetres: &[f64]) -> Vec<Length> {
    millimetres.iter().copied().map(Length::mm).collect()
}

/// One straight bay of 1.5 m with two wires.
fn one_bay() -> Rail {
    Rail { posts: mm(&[0.0, 1500.0]), deck_edge: Length::ZERO, wires: mm(&[300.0, 600.0]), gates: vec![], eyes: vec![] }
}

fn rig(pattern: Pattern, spacing_mm: f64) -> Rig {
    Rig {
        pattern,
        spacing: Length::mm(spacing_mm),
        line_diameter: Length::mm(4.0),
        wire_diameter: Length::mm(5.0),
        foot: Foot::Line { diameter: Length::mm(4.0), base_diameter: Length::mm(25.0) },
        hitch: Hitch::HalfHitch,
        crests: Crests::Hitched,
        hitch_takes: None,
        tail: Length::mm(300.0),
        allowance: 0.05,
        cut_to: Length::mm(100.0),
    }
}

fn only_run(rail: &Rail, rig: &Rig) -> Run {
    let mut runs = work_out(rail, rig).unwrap().runs;
    assert_eq!(runs.len(), 1);
    runs.remove(0)
}

/// Each node as level and place, rounded to a thousandth of a millimetre.
fn places(run: &Run) -> Vec<(usize, f64)> {
    run.nodes.iter().map(|node| (node.level, (node.at.to_mm() * 1000.0).round() / 1000.0)).collect()
}

#[test]
fn uprights_in_one_bay_are_as_worked_by_hand() {
    let run = only_run(&one_bay(), &rig(Pattern::Uprights, 500.0));
    let (foot, middle, top) = (0, 1, 2);
    assert_eq!(
        places(&run),
        [
            (foot, 250.0),
            (middle, 250.0),
            (top, 250.0),
            (top, 750.0),
            (middle, 750.0),
            (foot, 750.0),
            (foot, 1250.0),
            (middle, 1250.0),
            (top, 1250.0),
        ]
    );
    // Three uprights of 600 mm, one run along the top wire and one along the foot of 500 mm.
    assert_relative_eq!(run.straight.to_mm(), 3.0 * 600.0 + 2.0 * 500.0, max_relative = 1e-12);
    assert_eq!(run.stretches.iter().filter(|stretch| stretch.along).count(), 2);
    // A hitch takes √((9π)² + 4²) = 28.556 mm on a wire, √((8π)² + 4²) = 25.449 mm on the foot line.
    assert_eq!((run.hitches, run.half_turns), (9, 0));
    assert!((run.in_ties.to_mm() - (6.0 * 28.556 + 3.0 * 25.449)).abs() < 0.01, "{:?}", run.in_ties);
    // 5 % of 2800 + 247.68; two tails.
    assert!((run.allowance.to_mm() - 152.384).abs() < 0.01);
    assert!((run.line.to_mm() - 3800.07).abs() < 0.01, "{:?}", run.line);
    assert_eq!(run.cut, Length::mm(3900.0));
    // The foot line: 1500 mm and once round two bases, √((29π)² + 4²) = 91.194 mm each.
    let foot_line = run.foot_line.unwrap();
    assert_eq!(foot_line.bases, 2);
    assert!((foot_line.line.to_mm() - ((1500.0 + 2.0 * 91.194) * 1.05 + 600.0)).abs() < 0.01, "{foot_line:?}");
    assert_eq!(foot_line.cut, Length::mm(2400.0));
}

#[test]
fn vees_in_one_bay_are_as_worked_by_hand() {
    let eyes = Foot::Eyes { diameter: Length::mm(6.0) };
    let rig = Rig { foot: eyes, crests: Crests::Over, ..rig(Pattern::Vee, 500.0) };
    let run = only_run(&one_bay(), &rig);
    let (foot, middle, top) = (0, 1, 2);
    // The middle wire is halfway up, so the line passes each post a quarter of the way up: an eighth of 500 mm off a foot.
    assert_eq!(
        places(&run),
        [
            (foot, 62.5),
            (middle, 187.5),
            (top, 312.5),
            (middle, 437.5),
            (foot, 562.5),
            (middle, 687.5),
            (top, 812.5),
            (middle, 937.5),
            (foot, 1062.5),
            (middle, 1187.5),
            (top, 1312.5),
        ]
    );
    // Five legs of √(250² + 600²) = 650 mm.
    assert_relative_eq!(run.straight.to_mm(), 5.0 * 650.0, max_relative = 1e-12);
    // Five hitches on the middle wire; half turns over the top and, √((10π)² + 4²)/2 = 15.834 mm each, through eyes.
    assert_eq!((run.hitches, run.half_turns), (5, 6));
    assert!((run.in_ties.to_mm() - (5.0 * 28.556 + 3.0 * 28.556 / 2.0 + 3.0 * 15.834)).abs() < 0.01);
    assert_eq!(run.foot_line, None);
    assert_eq!(run.nodes.iter().filter(|node| node.level == foot).map(|node| node.tie).next(), Some(Tie::HalfTurn));
}

#[test]
fn wires_evenly_spaced_are_so_however_their_heights_are_written() {
    // To `f64` the upper gap is the wider one, by its last bit.
    let heights = [0.06, 30.06, 60.06].map(Length::cm);
    let rail = Rail { deck_edge: heights[0], wires: heights[1..].to_vec(), ..one_bay() };
    assert_eq!(places(&only_run(&rail, &rig(Pattern::Vee, 500.0)))[0], (0, 62.5));
}

#[test]
fn a_bay_of_three_spacings_takes_three_uprights_and_not_a_fourth() {
    // To `f64` 75.06 cm is more than three times 25.02 cm, by its last bit.
    let (length, spacing) = (Length::cm(75.06), Length::cm(25.02));
    assert!(length / spacing > 3.0);
    let rail = Rail { posts: vec![Length::ZERO, length], ..one_bay() };
    let worked = work_out(&rail, &Rig { spacing, ..rig(Pattern::Uprights, 500.0) }).unwrap();
    assert_eq!(worked.bays[0].unwrap().count, 3);
}

#[test]
fn a_hitch_takes_the_length_of_a_helix_summed_step_by_step() {
    const STEPS: u32 = 100_000;
    for (turns, line, wire) in [(1.0, 4.0, 5.0), (2.5, 3.0, 8.0), (0.5, 6.0, 4.0)] {
        let at = |step: u32| {
            let turn = turns * f64::from(step) / f64::from(STEPS);
            let radius = (line + wire) / 2.0;
            [radius * (2.0 * PI * turn).cos(), radius * (2.0 * PI * turn).sin(), line * turn]
        };
        let summed: f64 = (0..STEPS)
            .map(|step| {
                let (a, b) = (at(step), at(step + 1));
                (0..3).map(|axis| (a[axis] - b[axis]).powi(2)).sum::<f64>().sqrt()
            })
            .sum();
        let rig = Rig {
            hitch: Hitch::Turns(turns),
            line_diameter: Length::mm(line),
            wire_diameter: Length::mm(wire),
            ..rig(Pattern::Uprights, 500.0)
        };
        let worked = work_out(&one_bay(), &rig).unwrap();
        assert_relative_eq!(worked.hitch_on_wire.to_mm(), summed, max_relative = 1e-8);
    }
}

#[test]
fn a_measured_hitch_stands_in_for_the_model_but_not_for_a_turn_over_the_wire() {
    let measured = Rig { hitch_takes: Some(Length::mm(40.0)), crests: Crests::Over, ..rig(Pattern::Uprights, 500.0) };
    let run = only_run(&one_bay(), &measured);
    assert_eq!((run.hitches, run.half_turns), (6, 3));
    assert!((run.in_ties.to_mm() - (6.0 * 40.0 + 3.0 * 28.556 / 2.0)).abs() < 0.01);
}

#[test]
fn lacing_stops_at_a_gate_and_begins_again_after_it() {
    let rail = Rail { posts: mm(&[0.0, 1400.0, 2000.0, 3500.0, 5000.0]), gates: vec![1], ..one_bay() };
    let worked = work_out(&rail, &rig(Pattern::Vee, 450.0)).unwrap();
    assert_eq!(worked.bays.iter().map(Option::is_some).collect::<Vec<_>>(), [true, false, true, true]);
    assert_eq!(worked.runs.iter().map(|run| run.bays.clone()).collect::<Vec<_>>(), [0..1, 2..4]);
    let in_gate = |at: Length| at > Length::mm(1400.0) && at < Length::mm(2000.0);
    assert!(worked.runs.iter().flat_map(|run| &run.nodes).all(|node| !in_gate(node.at)));
    // The foot line of the second run goes round three bases.
    assert_eq!(worked.runs[1].foot_line.unwrap().bases, 3);
    assert_eq!(worked.runs[1].foot_line.unwrap().straight, Length::mm(3000.0));
}

#[test]
fn the_widest_opening_is_the_widest_gap_between_lines_or_posts() {
    // By hand from the places above: crests 500 mm apart, less one line.
    let opening = work_out(&one_bay(), &rig(Pattern::Vee, 500.0)).unwrap().widest_opening;
    assert_relative_eq!(opening.clear.to_mm(), 496.0, max_relative = 1e-12);
    // One upright in the middle: 300 mm to either post, less half a line.
    let narrow = Rail { posts: mm(&[0.0, 600.0]), ..one_bay() };
    let opening = work_out(&narrow, &rig(Pattern::Uprights, 700.0)).unwrap().widest_opening;
    assert_eq!((opening.from, opening.to, opening.clear), (Length::ZERO, Length::mm(300.0), Length::mm(298.0)));
}

fn hull(metres: Option<f64>, launched: Option<i32>) -> Hull {
    Hull { length: metres.map(Length::metres), launched }
}

/// The lifelines of a rail with these wires, on this boat.
fn lifelines(posts: &[f64], wires: &[f64], hull: &Hull) -> Vec<Finding> {
    let rail = Rail { posts: mm(posts), wires: mm(wires), ..one_bay() };
    cockpit_cards::rigging::lacing::work_out(&rail, &rig(Pattern::Vee, 450.0), hull).unwrap().lifelines
}

// World Sailing Offshore Special Regulations 3.14, from public copies of them; the words were not compared with the edition
// in force: upper lifeline at least 600 mm, intermediate at least 230 mm, openings at most 380 mm, supports at most 2.2 m
// apart.
#[test]
fn the_rail_is_reported_beside_the_offshore_special_regulations() {
    let findings = lifelines(&[0.0, 2200.0, 4450.0], &[220.0, 630.0], &hull(Some(11.5), Some(2005)));
    let finding = |requirement, measured, bound, agrees| Finding {
        requirement,
        measured: Length::mm(measured),
        bound,
        agrees: Some(agrees),
    };
    let [at_least, at_most] =
        [Bound::AtLeast as fn(Length) -> Bound, Bound::AtMost].map(|bound| move |length| bound(Length::mm(length)));
    assert_eq!(
        findings,
        [
            finding(Requirement::UpperHeight, 630.0, at_least(600.0), true),
            finding(Requirement::IntermediateHeight { wire: 0 }, 220.0, at_least(230.0), false),
            finding(Requirement::Opening { below_wire: 1 }, 410.0, at_most(380.0), false),
            finding(Requirement::Opening { below_wire: 0 }, 220.0, at_most(380.0), true),
            finding(Requirement::SupportsApart { bay: 0 }, 2200.0, at_most(2200.0), true),
            finding(Requirement::SupportsApart { bay: 1 }, 2250.0, at_most(2200.0), false),
        ]
    );
}

// The same, 3.14.1 b and g: under 8.5 m of hull a single line at 450 to 560 mm will do; with a primary launch before 1993
// openings up to 560 mm.
#[test]
fn what_the_regulations_say_of_a_rail_goes_by_the_length_of_the_boat_and_her_age() {
    let (two, wide, low, single) = (&[300.0, 620.0][..], &[240.0, 780.0][..], &[230.0, 460.0][..], &[500.0][..]);
    let (yes, no, by_age) = (Some(true), Some(false), None);
    let table = [
        // Wires, length of hull, launched; whether the top wire and the widest opening agree (none: not asked for).
        (two, Some(11.5), Some(2005), yes, Some(yes)),
        (two, None, None, yes, Some(yes)),
        (wide, Some(11.5), Some(1993), yes, Some(no)),
        (wide, Some(11.5), Some(1992), yes, Some(yes)),
        (wide, Some(11.5), None, yes, Some(by_age)),
        (wide, Some(8.49), Some(2005), yes, Some(no)),
        (&[230.0, 800.0][..], Some(11.5), None, yes, Some(no)),
        (low, Some(11.5), Some(1980), no, Some(yes)),
        (low, Some(8.5), Some(2005), no, Some(yes)),
        (low, Some(8.49), Some(2005), yes, None),
        (low, None, Some(2005), no, Some(yes)),
        (single, Some(7.5), None, yes, None),
        (&[450.0][..], Some(7.5), None, yes, None),
        (&[560.0][..], Some(7.5), None, yes, None),
        (&[440.0][..], Some(7.5), None, no, None),
        (&[570.0][..], Some(7.5), None, no, None),
        (&[290.0, 580.0][..], Some(7.5), Some(2005), no, Some(yes)),
    ];
    for (wires, length, launched, top, opening) in table {
        let found = lifelines(&[0.0, 1500.0], wires, &hull(length, launched));
        let of = |wanted: fn(&Requirement) -> bool| {
            let all = found.iter().filter(move |finding| wanted(&finding.requirement));
            all.max_by(|a, b| a.measured.to_mm().total_cmp(&b.measured.to_mm())).map(|finding| finding.agrees)
        };
        let case = format!("{wires:?}, {length:?} m, {launched:?}: {found:?}");
        assert_eq!(of(|requirement| *requirement == Requirement::UpperHeight), Some(top), "{case}");
        assert_eq!(of(|requirement| matches!(requirement, Requirement::Opening { .. })), opening, "{case}");
    }
}

#[test]
fn a_single_line_is_laced_from_foot_to_line() {
    let rail = Rail { wires: mm(&[500.0]), ..one_bay() };
    let run = only_run(&rail, &rig(Pattern::Vee, 500.0));
    // By hand: legs of √(250² + 500²), a quarter of the spacing from either post.
    assert_eq!(places(&run)[..3], [(0, 125.0), (1, 375.0), (0, 625.0)]);
    assert_relative_eq!(run.straight.to_mm(), 5.0 * 250.0_f64.hypot(500.0), max_relative = 1e-12);
}

#[test]
fn a_height_that_is_just_enough_is_not_lost_to_arithmetic() {
    // Less than 600 mm by the last bit: 60.12 cm and 0.12 cm are not exact as `f64`.
    let (deck_edge, top) = (Length::cm(0.12), Length::cm(60.12));
    assert!(top - deck_edge < Length::mm(600.0));
    let rail = Rail { deck_edge, wires: vec![Length::cm(30.0), top], ..one_bay() };
    assert!(
        work_out(&rail, &rig(Pattern::Vee, 450.0))
            .unwrap()
            .lifelines
            .iter()
            .all(|finding| finding.agrees == Some(true))
    );
}

// Common practice: uprights stand 12 to 18 in apart.
#[test]
fn a_spacing_of_uprights_outside_common_practice_is_noticed() {
    let usual = |pattern, spacing| work_out(&one_bay(), &rig(pattern, spacing)).unwrap().spacing_is_usual;
    for spacing in [300.0, 12.0 * 25.4, 18.0 * 25.4] {
        assert_eq!(usual(Pattern::Uprights, spacing), Some(true), "{spacing} mm");
    }
    assert_eq!(usual(Pattern::Uprights, 250.0), Some(false));
    assert_eq!(usual(Pattern::Uprights, 500.0), Some(false));
    assert_eq!(usual(Pattern::Vee, 500.0), None);
}

#[test]
fn the_cut_list_has_every_piece_of_the_boat_and_spares_as_long_as_the_longest() {
    let rig = rig(Pattern::Uprights, 500.0);
    let port = work_out(&one_bay(), &rig).unwrap();
    let longer = Rail { posts: mm(&[0.0, 1500.0, 3000.0]), ..one_bay() };
    let starboard = work_out(&longer, &rig).unwrap();
    let list = cut_list(&[port.clone(), starboard.clone()], 2);
    let cuts = |purpose| {
        list.pieces.iter().filter(|piece| piece.purpose == purpose).map(|piece| piece.cut.to_mm()).collect::<Vec<_>>()
    };
    let (short, long) = (port.runs[0].cut.to_mm(), starboard.runs[0].cut.to_mm());
    assert!(long > short);
    assert_eq!(cuts(Purpose::Lacing), [short, long, long, long]);
    assert_eq!(list.lacing.to_mm(), short + 3.0 * long);
    assert_eq!(cuts(Purpose::FootLine).len(), 4);
    assert_eq!(list.pieces[2].run, Some((1, 0)));
    assert_eq!(list.pieces[4].run, None);
    assert_eq!(cut_list(&[], 3).pieces, []);
}

#[test]
fn a_line_that_is_a_whole_number_of_steps_is_not_cut_one_longer() {
    let whole = Rig {
        hitch_takes: Some(Length::mm(10.0)),
        allowance: 0.0,
        tail: Length::mm(305.0),
        ..rig(Pattern::Uprights, 500.0)
    };
    // 2800 + 9·10 + 2·305 = 3500.
    assert_eq!(only_run(&one_bay(), &whole).cut, Length::mm(3500.0));
}

#[test]
fn a_rail_that_cannot_be_is_refused_with_everything_that_is_wrong() {
    let rail = Rail {
        posts: mm(&[0.0, 1500.0, 1500.0, f64::NAN]),
        deck_edge: Length::mm(50.0),
        wires: mm(&[40.0, 300.0, 290.0, 600.0]),
        gates: vec![7],
        eyes: vec![],
    };
    let faults = work_out(&rail, &rig(Pattern::Vee, 450.0)).unwrap_err();
    let expected = [
        Impossible::PostsNotRising { post: 2, at: Length::mm(1500.0) },
        Impossible::PostsNotRising { post: 3, at: Length::mm(f64::NAN) },
        Impossible::Wires { wires: 4 },
        Impossible::HeightsNotRising { wire: 0, at: Length::mm(40.0), below: Length::mm(50.0) },
        Impossible::HeightsNotRising { wire: 2, at: Length::mm(290.0), below: Length::mm(300.0) },
        Impossible::NoSuchGate { gate: 7, bays: 3 },
    ];
    // Compared as text, since no number equals NaN.
    assert_eq!(format!("{faults:?}"), format!("{expected:?}"));
    let all_gates = Rail { gates: vec![0], ..one_bay() };
    assert_eq!(work_out(&all_gates, &rig(Pattern::Vee, 450.0)), Err(vec![Impossible::OnlyGates]));
    let nothing = Rail { posts: vec![], wires: vec![], ..one_bay() };
    let too_few = vec![Impossible::TooFewPosts { posts: 0 }, Impossible::Wires { wires: 0 }];
    assert_eq!(work_out(&nothing, &rig(Pattern::Vee, 450.0)), Err(too_few));
}

#[test]
fn a_rig_that_cannot_be_is_refused_with_everything_that_is_wrong() {
    let bad = Rig {
        spacing: Length::ZERO,
        line_diameter: Length::mm(-4.0),
        foot: Foot::Line { diameter: Length::mm(4.0), base_diameter: Length::ZERO },
        hitch: Hitch::Turns(0.0),
        tail: Length::mm(-1.0),
        allowance: f64::INFINITY,
        ..rig(Pattern::Vee, 450.0)
    };
    let figure = |figure, value| Impossible::Figure { figure, value };
    assert_eq!(
        work_out(&one_bay(), &bad).unwrap_err(),
        [
            figure(Figure::Spacing, 0.0),
            figure(Figure::LineDiameter, -4.0),
            figure(Figure::BaseDiameter, 0.0),
            figure(Figure::Turns, 0.0),
            figure(Figure::Tail, -1.0),
            figure(Figure::Allowance, f64::INFINITY),
        ]
    );
}

#[test]
fn hitches_that_would_lie_on_one_another_are_refused() {
    // Vees 37.5 mm apart put a foot 4.7 mm off the post; three turns of 4 mm reach 6 mm to either side.
    let three_turns = Rig { hitch: Hitch::Turns(3.0), ..rig(Pattern::Vee, 40.0) };
    let faults = work_out(&one_bay(), &three_turns).unwrap_err();
    assert!(
        matches!(faults[..], [Impossible::HitchesCrowd { bay: 0, apart, hitch }]
        if apart < hitch && hitch == Length::mm(12.0)),
        "{faults:?}"
    );
    assert!(work_out(&one_bay(), &Rig { hitch: Hitch::Turns(3.0), ..rig(Pattern::Vee, 100.0) }).is_ok());
    assert_eq!(work_out(&one_bay(), &rig(Pattern::Vee, 0.001)), Err(vec![Impossible::TooMany { bay: 0 }]));
}

#[test]
fn numbers_too_large_to_work_with_are_refused() {
    let rail = Rail { posts: mm(&[0.0, 1e300]), ..one_bay() };
    let rig = Rig { allowance: 1e10, ..rig(Pattern::Vee, 1e300) };
    assert_eq!(work_out(&rail, &rig), Err(vec![Impossible::TooLarge]));
}

prop_compose! {
    /// Two to six bays and two or three wires, of the sizes that boats have.
    fn any_rail()(
        bays in prop::collection::vec(500.0..2300.0_f64, 1..6),
        steps in prop::collection::vec(120.0..400.0_f64, 2..4),
        deck_edge in -50.0..150.0_f64,
    ) -> Rail {
        let posts = bays.iter().scan(0.0, |at, bay| { *at += bay; Some(*at) });
        let wires = steps.iter().scan(deck_edge, |at, step| { *at += step; Some(*at) });
        Rail {
            posts: std::iter::once(0.0).chain(posts).map(Length::mm).collect(),
            wires: wires.map(Length::mm).collect(),
            deck_edge: Length::mm(deck_edge),
            gates: vec![],
            eyes: vec![],
        }
    }
}

fn any_pattern() -> impl Strategy<Value = Pattern> {
    prop_oneof![Just(Pattern::Vee), Just(Pattern::Uprights)]
}

proptest! {
    #[test]
    fn the_straight_line_is_the_sum_over_the_line_as_drawn(
        rail in any_rail(), pattern in any_pattern(), spacing in 250.0..700.0_f64,
    ) {
        let run = only_run(&rail, &rig(pattern, spacing));
        let drawn: Vec<(f64, f64)> = run.nodes.iter().map(|node| (node.at.to_mm(), node.height.to_mm())).collect();
        let summed: f64 = drawn.windows(2).map(|ends| {
            ((ends[1].0 - ends[0].0).powi(2) + (ends[1].1 - ends[0].1).powi(2)).sqrt()
        }).sum();
        prop_assert!((run.straight.to_mm() - summed).abs() <= 1e-9 * summed);
        prop_assert_eq!(run.stretches.len() + 1, run.nodes.len());
        let parts = run.straight + run.in_ties + run.allowance + run.tails;
        prop_assert!((run.line - parts).to_mm().abs() < 1e-9 * run.line.to_mm());
        prop_assert!(run.cut.to_mm() >= run.line.to_mm() - 1e-6 && run.cut.to_mm() < run.line.to_mm() + 100.0);
    }

    #[test]
    fn nodes_are_evenly_spaced_in_each_bay_and_never_fall_on_a_post(
        rail in any_rail(), pattern in any_pattern(), spacing in 250.0..700.0_f64,
    ) {
        let worked = work_out(&rail, &rig(pattern, spacing)).unwrap();
        let nodes = &worked.runs[0].nodes;
        // A vee passes a post midway in a gap of at least a third of the height, and half a spacing is its whole height.
        let share = 1.0 / 3.0 / 2.0 / 2.0;
        for bay in worked.bays.iter().flatten() {
            prop_assert!(bay.spacing.to_mm() <= spacing + 1e-6);
            prop_assert!(bay.count == 1 || (bay.to - bay.from).to_mm() / (bay.count as f64 - 1.0) > spacing - 1e-6);
            for level in [0, rail.wires.len()] {
                let places: Vec<f64> = nodes.iter()
                    .filter(|node| node.level == level && bay.from < node.at && node.at < bay.to)
                    .map(|node| node.at.to_mm())
                    .collect();
                prop_assert_eq!(places.len(), bay.count, "level {}", level);
                for pair in places.windows(2) {
                    prop_assert!((pair[1] - pair[0] - bay.spacing.to_mm()).abs() < 1e-6);
                }
            }
            for node in nodes.iter().filter(|node| bay.from <= node.at && node.at <= bay.to) {
                let off = (node.at - bay.from).min(bay.to - node.at);
                prop_assert!(off.to_mm() >= share * bay.spacing.to_mm() - 1e-6, "{:?} in {:?}", node, bay);
            }
        }
    }

    #[test]
    fn vees_meet_every_line_by_turns_and_go_aft_all_the_way(rail in any_rail(), spacing in 250.0..700.0_f64) {
        let run = only_run(&rail, &rig(Pattern::Vee, spacing));
        for pair in run.nodes.windows(2) {
            prop_assert_eq!(pair[0].level.abs_diff(pair[1].level), 1);
            prop_assert!(pair[0].at < pair[1].at);
        }
        prop_assert_eq!(run.nodes.first().map(|node| node.level), Some(0));
        prop_assert_eq!(run.nodes.last().map(|node| node.level), Some(rail.wires.len()));
        // Within a bay, from foot to crest in one straight line.
        for legs in run.nodes.windows(3).filter(|nodes| nodes[0].level != nodes[2].level) {
            let inside = rail.posts.iter().all(|post| !(legs[0].at..=legs[2].at).contains(post));
            let slope = |a: usize, b: usize| (legs[b].height - legs[a].height) / (legs[b].at - legs[a].at);
            prop_assert!(!inside || (slope(0, 1) - slope(1, 2)).abs() < 1e-6);
        }
    }

    #[test]
    fn line_grows_with_height(rail in any_rail(), pattern in any_pattern(), taller in 1.01..1.6_f64) {
        let rig = rig(pattern, 420.0);
        let raised = Rail {
            deck_edge: rail.deck_edge * taller,
            wires: rail.wires.iter().map(|wire| *wire * taller).collect(),
            ..rail.clone()
        };
        prop_assert!(only_run(&raised, &rig).line > only_run(&rail, &rig).line);
    }

    #[test]
    fn line_grows_when_the_top_wire_alone_is_raised(
        length in 500.0..2300.0_f64, pattern in any_pattern(), raise in 1.0..200.0_f64,
    ) {
        let rail = Rail { posts: mm(&[0.0, length]), ..one_bay() };
        let raised = Rail { wires: mm(&[300.0, 600.0 + raise]), ..rail.clone() };
        let rig = rig(pattern, 420.0);
        prop_assert!(only_run(&raised, &rig).line > only_run(&rail, &rig).line);
    }

    #[test]
    fn line_never_grows_with_spacing(
        rail in any_rail(), pattern in any_pattern(), spacing in 250.0..700.0_f64, wider in 1.0..2.0_f64,
    ) {
        let close = only_run(&rail, &rig(pattern, spacing));
        let wide = only_run(&rail, &rig(pattern, spacing * wider));
        prop_assert!(wide.line.to_mm() <= close.line.to_mm() + 1e-6);
        if wide.nodes.len() < close.nodes.len() {
            prop_assert!(wide.line < close.line);
        }
    }
}

proptest! {
    #[test]
    fn whatever_one_number_is_nothing_comes_out_that_is_not_finite(
        which in 0..10_usize, wild in prop::num::f64::ANY, pattern in any_pattern(),
    ) {
        let (mut rail, mut rig) = (one_bay(), rig(pattern, 450.0));
        let length = Length::mm(wild);
        match which {
            0 => rail.posts[0] = length,
            1 => rail.posts[1] = length,
            2 => rail.deck_edge = length,
            3 => rail.wires[0] = length,
            4 => rail.wires[1] = length,
            5 => rig.spacing = length,
            6 => rig.line_diameter = length,
            7 => rig.hitch = Hitch::Turns(wild),
            8 => rig.allowance = wild,
            _ => rig.cut_to = length,
        }
        if let Ok(worked) = work_out(&rail, &rig) {
            let text = format!("{worked:?}");
            prop_assert!(!text.contains("NaN") && !text.contains("inf"), "{}", text);
        }
    }
}

/// One bay of 1.5 m with eyes that nobody spaced evenly.
fn with_eyes() -> Rail {
    Rail { eyes: mm(&[110.0, 410.0, 770.0, 1400.0]), ..one_bay() }
}

#[test]
fn a_vee_is_rove_through_every_eye_once_with_a_crest_midway_between_two() {
    let run = only_run(&with_eyes(), &rig(Pattern::Vee, 450.0));
    let at = |level: usize| -> Vec<f64> {
        run.nodes.iter().filter(|node| node.level == level).map(|node| node.at.to_mm()).collect()
    };
    assert_eq!(at(0), [110.0, 410.0, 770.0, 1400.0]);
    // By hand: halfway between two eyes, and on the wire at half height a quarter and three quarters of the way.
    assert_eq!(at(2), [260.0, 590.0, 1085.0]);
    assert_eq!(at(1), [185.0, 335.0, 500.0, 680.0, 927.5, 1242.5]);
    assert_eq!((run.nodes.first().map(|node| node.level), run.nodes.last().map(|node| node.level)), (Some(0), Some(0)));
}

#[test]
fn the_straight_line_of_a_vee_through_eyes_is_the_sum_of_its_legs() {
    let run = only_run(&with_eyes(), &rig(Pattern::Vee, 450.0));
    // By hand: two legs a vee, each 600 mm up and half the way to the next eye along.
    let legs: f64 = [300.0, 360.0, 630.0].iter().map(|apart: &f64| 2.0 * 600.0_f64.hypot(apart / 2.0)).sum();
    assert!((run.straight.to_mm() - legs).abs() < 1e-9, "{} beside {legs}", run.straight.to_mm());
}

#[test]
fn uprights_stand_over_the_eyes() {
    let run = only_run(&with_eyes(), &rig(Pattern::Uprights, 450.0));
    let at = |level: usize| -> Vec<f64> {
        run.nodes.iter().filter(|node| node.level == level).map(|node| node.at.to_mm()).collect()
    };
    assert!((0..=2).all(|level| at(level) == [110.0, 410.0, 770.0, 1400.0]), "{:?}", run.nodes);
}

#[test]
fn what_would_be_hitched_on_a_post_is_hitched_beside_it_and_eyes_stay_where_they_are() {
    // A crest midway between 1300 and 1700 mm would be on the post at 1500 mm, and an eye is right at the one at 3000 mm.
    let rail = Rail {
        posts: mm(&[0.0, 1500.0, 3000.0, 4500.0]),
        eyes: mm(&[900.0, 1300.0, 1700.0, 3000.0, 4000.0]),
        ..one_bay()
    };
    let worked = work_out(&rail, &rig(Pattern::Vee, 450.0)).expect("it can be tied");
    let nodes = &worked.runs[0].nodes;
    // The line of the rig is 4 mm thick, and a half hitch as wide as it.
    assert!(nodes.iter().any(|node| node.level == 2 && node.at == Length::mm(1504.0)), "{nodes:?}");
    assert!(nodes.iter().any(|node| node.level == 0 && node.at == Length::mm(3000.0)), "{nodes:?}");
}

#[test]
fn eyes_that_cannot_be_are_refused_each_with_its_number() {
    let faults = |eyes: &[f64], gates: Vec<usize>| {
        let rail = Rail { posts: mm(&[0.0, 1500.0, 2000.0, 3500.0]), gates, eyes: mm(eyes), ..one_bay() };
        work_out(&rail, &rig(Pattern::Vee, 450.0)).unwrap_err()
    };
    let falls = Impossible::EyesNotRising { eye: 2, at: Length::mm(400.0) };
    assert_eq!(faults(&[100.0, 400.0, 400.0], vec![]), [falls]);
    let outside = |eye, at| Impossible::EyeOutside { eye, at: Length::mm(at) };
    assert_eq!(faults(&[-10.0, 400.0, 3600.0], vec![]), [outside(0, -10.0), outside(2, 3600.0)]);
    assert_eq!(faults(&[100.0, 400.0, 1700.0, 2100.0, 2500.0], vec![1]), [outside(2, 1700.0)]);
    assert_eq!(faults(&[100.0, 400.0, 2100.0], vec![1]), [Impossible::TooFewEyes { bay: 2, eyes: 1 }]);
}
