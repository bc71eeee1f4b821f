//! Stowage against a handbook of ship stability, by hand, and against what mechanics promises of any gear.

use approx::assert_relative_eq;
use cockpit_cards::length::Length;
use cockpit_cards::rigging::Position;
use cockpit_cards::rigging::stowage::{
    Axis, Boat, BoatPlace, Change, Extent, Figure, Impossible, Item, ItemPlace, ListAngle, Plan, Saving, Stage, State,
    Stowed, work_out,
};
use proptest::prelude::*;

fn metres(x: f64, y: f64, z: f64) -> Position {
    Position::new(Length::metres(x), Length::metres(y), Length::metres(z))
}

fn in_metres(length: Length) -> f64 {
    length / Length::metres(1.0)
}

fn item(mass_kg: f64, now: Position, plan: Plan) -> Item {
    Item { mass_kg, now, plan, required: false, wet_factor: 1.0, changes: vec![] }
}

/// Of our own invention: an 11.5 m boat with everything known.
fn boat() -> Boat {
    Boat {
        displacement_kg: 6200.0,
        centre_of_gravity: Some(metres(6.1, 0.0, -0.15)),
        centre_of_flotation: Some(Length::metres(6.3)),
        moment_to_trim_kg_m_per_cm: Some(95.0),
        mass_to_sink_kg_per_cm: Some(205.0),
        metacentric_height: Some(Length::metres(1.1)),
        gyradius: Some(Length::metres(2.9)),
        extent: Extent {
            x: Some([Length::metres(-0.5), Length::metres(11.5)]),
            y: Some([Length::metres(-1.8), Length::metres(1.8)]),
            z: Some([Length::metres(-2.3), Length::metres(16.0)]),
        },
    }
}

/// A boat of which nothing is known but what a list needs.
fn heeling(displacement_t: f64, metacentric_height_m: f64) -> Boat {
    Boat {
        displacement_kg: displacement_t * 1000.0,
        centre_of_flotation: Some(Length::metres(50.0)),
        metacentric_height: Some(Length::metres(metacentric_height_m)),
        ..Boat::default()
    }
}

/// The list in degrees, to starboard positive; none if there is no figure for it.
fn list_deg(state: &State) -> Option<f64> {
    match state.list?.angle {
        ListAngle::Small { to_starboard_deg } => Some(to_starboard_deg),
        ListAngle::PastSmall { .. } => None,
    }
}

fn at_dock(boat: &Boat, items: &[Item]) -> (State, State) {
    let [dock, ..] = work_out(boat, items).unwrap().stages;
    (dock.now, dock.planned)
}

// C. B. Barrass and D. R. Derrett, Ship Stability for Masters and Mates, 6th ed., exercise 14.4: 1500 t, KG 2.7 m,
// KM 3.1 m; 10 t moved 10 m across the deck lists her 9° 27′.
#[test]
fn ten_tonnes_moved_ten_metres_across_list_a_ship_as_the_handbook_says() {
    let moved = item(10_000.0, metres(50.0, 0.0, 2.0), Plan::Move(metres(50.0, 10.0, 2.0)));
    let (now, planned) = at_dock(&heeling(1500.0, 3.1 - 2.7), &[moved]);
    assert_eq!(list_deg(&now), Some(0.0));
    let minute = 1.0 / 60.0;
    let expected = 9.0 + 27.0 * minute;
    // The handbook reads its tangent from a table, to a minute.
    assert!((list_deg(&planned).unwrap() - expected).abs() < minute, "{:?}", planned.list);
}

// The same, exercise 14.2: 4515 t, GM 0.4 m; 15 t moved 4.2 m across list her 2°.
#[test]
fn fifteen_tonnes_list_a_ship_two_degrees_when_moved_as_far_as_the_handbook_says() {
    let moved = item(15_000.0, metres(50.0, 0.0, 2.0), Plan::Move(metres(50.0, -4.2, 2.0)));
    let (_, planned) = at_dock(&heeling(4515.0, 0.4), &[moved]);
    // 4.2 m is rounded to 0.05 m, so the angle is known to 0.05/4.2 of itself.
    assert!((list_deg(&planned).unwrap() + 2.0).abs() < 2.0 * 0.05 / 4.2, "{:?}", planned.list);
}

// From memory of the same handbook, chapter on trim: 6000 t, MCT 1 cm 240 t·m, centre of flotation 3 m abaft amidships
// of 126 m; 120 t shifted 45 m forward change the trim by 22.5 cm by the head.
#[test]
fn a_weight_shifted_forward_trims_a_ship_by_the_head_as_the_handbook_says() {
    let ship = Boat {
        displacement_kg: 6_000_000.0,
        centre_of_flotation: Some(Length::metres(66.0)),
        moment_to_trim_kg_m_per_cm: Some(240_000.0),
        ..Boat::default()
    };
    let shifted = item(120_000.0, metres(80.0, 0.0, 0.0), Plan::Move(metres(35.0, 0.0, 0.0)));
    let trim = at_dock(&ship, &[shifted]).1.trim.unwrap();
    assert_relative_eq!(trim.moment_kg_m, -5_400_000.0, max_relative = 1e-12);
    assert_relative_eq!(trim.bow_up_cm, -22.5, max_relative = 1e-12);
}

// Common practice: GM alone tells a list of up to 10° or so; past it a curve of righting levers is asked.
#[test]
fn past_ten_degrees_there_is_no_figure_of_a_list_but_only_its_side() {
    // By hand: 100 kg moved d across in 6000 kg with GM 0.5 m; tan 10° · 3000/100 = 5.2898 m.
    let moved = |across: f64| {
        let gear = [item(100.0, metres(50.0, 0.0, 0.0), Plan::Move(metres(50.0, across, 0.0)))];
        at_dock(&heeling(6.0, 0.5), &gear).1.list.unwrap().angle
    };
    assert!(matches!(moved(5.289), ListAngle::Small { to_starboard_deg } if to_starboard_deg > 9.99));
    assert_eq!(moved(5.291), ListAngle::PastSmall { to_starboard: true });
    assert_eq!(moved(-5.291), ListAngle::PastSmall { to_starboard: false });
}

#[test]
fn a_list_is_of_the_gm_that_is_left_after_the_gear_went_up() {
    // By hand: 100 kg up 1 m in 5000 kg takes 20 mm off GM 1 m; moved 1 m out as well, tan θ = 100/(5000·0.98).
    let tender = Boat { displacement_kg: 5000.0, metacentric_height: Some(Length::metres(1.0)), ..boat() };
    let raised = item(100.0, metres(6.0, 0.0, 0.0), Plan::Move(metres(6.0, 1.0, 1.0)));
    let (_, planned) = at_dock(&tender, &[raised]);
    assert_relative_eq!(in_metres(planned.list.unwrap().metacentric_height), 0.98, max_relative = 1e-12);
    let expected = (100.0_f64 / (5000.0 * 0.98)).atan().to_degrees();
    assert_relative_eq!(list_deg(&planned).unwrap(), expected, max_relative = 1e-12);
}

#[test]
fn without_the_height_of_the_centre_of_gravity_a_shift_still_changes_gm_and_a_landing_leaves_it_unknown() {
    let unweighed = Boat { centre_of_gravity: None, ..boat() };
    // By hand: 62 kg lowered by 1 m in 6200 kg.
    let lowered = item(62.0, metres(6.0, 0.0, 0.6), Plan::Move(metres(6.0, 0.0, -0.4)));
    let (_, planned) = at_dock(&unweighed, &[lowered]);
    assert_relative_eq!(in_metres(planned.list.unwrap().metacentric_height), 1.11, max_relative = 1e-12);
    let (now, planned) = at_dock(&unweighed, &[item(62.0, metres(6.0, 0.0, 0.6), Plan::Ashore)]);
    assert!(now.list.is_some());
    assert_eq!(planned.list, None);
}

#[test]
fn the_inertia_of_the_boat_is_her_mass_and_the_square_of_her_radius_of_gyration() {
    let gear = [item(20.0, metres(1.1, 0.3, 0.85), Plan::Keep)];
    // By hand: 6200·2.9².
    assert_relative_eq!(work_out(&boat(), &gear).unwrap().own_inertia_kg_m2.unwrap(), 52_142.0, max_relative = 1e-12);
    let unknown = Boat { gyradius: None, ..boat() };
    assert_eq!(work_out(&unknown, &gear).unwrap().own_inertia_kg_m2, None);
    let flat = Boat { gyradius: Some(Length::ZERO), ..boat() };
    assert_eq!(work_out(&flat, &gear), Err(vec![Impossible::Figure { figure: Figure::Gyradius, value: 0.0 }]));
}

#[test]
fn nothing_aboard_weighs_0_and_not_less() {
    let (_, planned) = at_dock(&boat(), &[item(12.0, metres(9.0, 0.0, 1.0), Plan::Ashore)]);
    assert!(planned.mass_kg == 0.0 && planned.mass_kg.is_sign_positive());
    assert!(planned.inertia_kg_m2 == 0.0 && planned.inertia_kg_m2.is_sign_positive());
}

#[test]
fn landing_gear_raises_the_boat_and_lifts_the_end_it_came_from() {
    // By hand: 41 kg off at 1.3 m, 5 m forward of the centre of flotation: 205 kg·m aft over 95 kg·m/cm; 2 mm up.
    let (_, planned) = at_dock(&boat(), &[item(41.0, metres(1.3, 0.0, 0.5), Plan::Ashore)]);
    assert_relative_eq!(planned.trim.unwrap().bow_up_cm, 205.0 / 95.0, max_relative = 1e-12);
    assert_relative_eq!(planned.sinkage.unwrap().deeper.to_mm(), -2.0, max_relative = 1e-12);
    assert_eq!(planned.centre, None);
    assert_eq!(planned.terms, vec![]);
}

#[test]
fn inertia_is_taken_about_the_centre_of_gravity_or_else_the_centre_of_flotation_at_the_waterline() {
    let anchor = [item(20.0, metres(1.1, 0.3, 0.85), Plan::Keep)];
    // By hand: 20·(5² + 1²) about (6.1, −0.15).
    let (now, _) = at_dock(&boat(), &anchor);
    assert_relative_eq!(now.inertia_kg_m2, 520.0, max_relative = 1e-12);
    let unweighed = Boat { centre_of_gravity: None, ..boat() };
    let worked = work_out(&unweighed, &anchor).unwrap();
    assert_eq!(worked.pitch_axis.taken_from, BoatPlace::CentreOfFlotation);
    // By hand: 20·(5.2² + 0.85²) about (6.3, 0).
    assert_relative_eq!(worked.stages[0].now.inertia_kg_m2, 20.0 * (27.04 + 0.7225), max_relative = 1e-12);
}

#[test]
fn gear_stowed_lower_makes_the_boat_stiffer_and_landing_what_is_below_the_centre_of_gravity_does_not() {
    let metacentric_height = |item: Item| in_metres(at_dock(&boat(), &[item]).1.list.unwrap().metacentric_height);
    // By hand: 62 kg lowered by 1 m in 6200 kg lowers G by 10 mm.
    let lowered = item(62.0, metres(6.0, 0.0, 0.6), Plan::Move(metres(6.0, 0.0, -0.4)));
    assert_relative_eq!(metacentric_height(lowered), 1.11, max_relative = 1e-12);
    assert!(metacentric_height(item(62.0, metres(6.0, 0.0, 0.6), Plan::Ashore)) > 1.1);
    assert!(metacentric_height(item(62.0, metres(6.0, 0.0, -0.4), Plan::Ashore)) < 1.1);
}

#[test]
fn a_centre_of_gravity_off_the_centreline_lists_the_boat_before_anything_moves() {
    let crooked = Boat { centre_of_gravity: Some(metres(6.1, 0.02, -0.15)), ..boat() };
    let (now, _) = at_dock(&crooked, &[item(30.0, metres(6.0, 1.0, 0.0), Plan::Keep)]);
    // By hand: tan θ = 0.02/1.1.
    assert_relative_eq!(list_deg(&now).unwrap(), (0.02_f64 / 1.1).atan().to_degrees(), max_relative = 1e-12);
}

#[test]
fn what_is_not_known_of_the_boat_is_left_out_and_not_made_up() {
    let bare = Boat { displacement_kg: 6200.0, centre_of_gravity: Some(metres(6.0, 0.0, 0.0)), ..Boat::default() };
    let (now, planned) = at_dock(&bare, &[item(30.0, metres(2.0, 1.0, 0.0), Plan::Ashore)]);
    assert_eq!((planned.trim, planned.sinkage, planned.list), (None, None, None));
    assert_eq!(now.inertia_kg_m2, 480.0);
}

/// A sail that goes below at the start and is wet by the finish; water that is drunk; an anchor that goes to the mast.
fn race() -> Vec<Item> {
    let sail = Item {
        wet_factor: 1.4,
        changes: vec![
            (Stage::Finish, Change { wet: Some(true), ..Change::default() }),
            (Stage::Start, Change { at: Some(metres(5.0, 0.0, -0.2)), ..Change::default() }),
        ],
        ..item(40.0, metres(1.5, 0.0, 1.1), Plan::Keep)
    };
    let water = Item {
        changes: vec![
            // Out of order, as a book may have them.
            (Stage::Finish, Change { left: Some(0.0), ..Change::default() }),
            (Stage::Middle, Change { left: Some(0.5), ..Change::default() }),
        ],
        ..item(80.0, metres(7.0, 0.5, -0.1), Plan::Move(metres(6.0, 0.0, -0.3)))
    };
    let anchor = Item { required: true, ..item(16.0, metres(0.9, 0.0, 0.7), Plan::Move(metres(5.6, 0.0, -0.3))) };
    vec![sail, water, anchor]
}

#[test]
fn each_stage_carries_on_from_the_one_before() {
    let worked = work_out(&boat(), &race()).unwrap();
    let masses = worked.stages.each_ref().map(|stage| stage.planned.mass_kg);
    // By hand: 40 + 80 + 16; the same; 40 + 40 + 16; 56 + 0 + 16.
    assert_eq!(masses, [136.0, 136.0, 96.0, 72.0]);
    let sail_at = worked.stages.each_ref().map(|stage| in_metres(stage.planned.terms[0].place.x));
    assert_eq!(sail_at, [1.5, 5.0, 5.0, 5.0]);
    assert_eq!(worked.stages[3].planned.terms.iter().map(|term| term.item).collect::<Vec<_>>(), [0, 2]);
    assert_eq!(worked.stages.each_ref().map(|stage| stage.stage), Stage::ALL);
}

#[test]
fn a_stage_has_the_sums_of_its_terms_and_the_steps_from_stage_to_stage_add_up() {
    let worked = work_out(&boat(), &race()).unwrap();
    for state in worked.stages.iter().flat_map(|stage| [&stage.now, &stage.planned]) {
        let sum = |part: fn(&cockpit_cards::rigging::stowage::Term) -> f64| state.terms.iter().map(part).sum::<f64>();
        let centre = state.centre.unwrap();
        assert_relative_eq!(sum(|term| term.mass_kg), state.mass_kg, max_relative = 1e-12);
        assert_relative_eq!(sum(|term| term.inertia_kg_m2), state.inertia_kg_m2, max_relative = 1e-12);
        assert_relative_eq!(
            sum(|term| term.moment_aft_kg_m),
            state.mass_kg * in_metres(centre.x),
            max_relative = 1e-12
        );
        // z₀ is −0.15 m.
        let about_axis = state.mass_kg * (in_metres(centre.z) + 0.15);
        assert_relative_eq!(sum(|term| term.height_moment_kg_m), about_axis, epsilon = 1e-9);
    }
    // Trim is linear: from the dock to the finish is the sum of what each stage's own gear does to it, by hand about the
    // centre of flotation, with no state of the boat in between.
    let steps: f64 = worked
        .stages
        .windows(2)
        .map(|pair| {
            let moment = |state: &State| {
                state.terms.iter().map(|term| term.mass_kg * (in_metres(term.place.x) - 6.3)).sum::<f64>()
            };
            (moment(&pair[1].planned) - moment(&pair[0].planned)) / 95.0
        })
        .sum();
    let trim = |stage: usize| worked.stages[stage].planned.trim.unwrap().bow_up_cm;
    assert_relative_eq!(trim(3) - trim(0), steps, max_relative = 1e-9);
}

#[test]
fn items_rank_by_the_inertia_they_save_then_by_height_then_by_what_landing_them_would() {
    let axis_x = 6.1;
    let items = [
        item(10.0, metres(axis_x, 0.0, 0.0), Plan::Keep),
        item(10.0, metres(2.0, 0.0, 0.0), Plan::Keep),
        item(10.0, metres(axis_x - 1.0, 0.0, -0.15), Plan::Move(metres(axis_x + 1.0, 0.0, -0.15))),
        item(16.0, metres(0.9, 0.0, 0.7), Plan::Ashore),
        // From over the axis to as far below it: no inertia saved, 10·2 kg·m lower.
        item(10.0, metres(axis_x, 0.0, 0.85), Plan::Move(metres(axis_x, 0.0, -1.15))),
        item(10.0, metres(axis_x, 0.0, -0.15), Plan::Move(metres(1.0, 0.0, -0.15))),
    ];
    let [dock, ..] = work_out(&boat(), &items).unwrap().stages;
    let order: Vec<usize> = dock.ranking.iter().map(|worth| worth.item).collect();
    assert_eq!(order, [3, 4, 1, 2, 0, 5]);
    let anchor = dock.ranking[0];
    assert_eq!(anchor.planned, anchor.landed);
    assert_relative_eq!(anchor.planned.inertia_kg_m2, 16.0 * (5.2 * 5.2 + 0.85 * 0.85), max_relative = 1e-12);
    assert_relative_eq!(anchor.planned.height_moment_kg_m, 16.0 * 0.85, max_relative = 1e-12);
    assert_eq!(dock.ranking[2].planned, Saving::default());
    assert!(dock.ranking[5].planned.inertia_kg_m2 < 0.0);
}

#[test]
fn gear_that_cannot_be_is_refused_with_everything_that_is_wrong() {
    let outside = Item { required: true, wet_factor: 0.5, ..item(0.0, metres(12.0, 0.0, 0.0), Plan::Ashore) };
    let strange = Item {
        changes: vec![
            (Stage::Start, Change { left: Some(1.5), ..Change::default() }),
            (Stage::Middle, Change { at: Some(metres(f64::NAN, 0.0, 0.0)), ..Change::default() }),
        ],
        ..item(-5.0, metres(2.0, 0.0, 0.0), Plan::Move(metres(2.0, 1.9, 0.0)))
    };
    let (beam, length) = (Length::metres(1.8), Length::metres(11.5));
    let expected = vec![
        Impossible::Mass { item: 0, mass_kg: 0.0 },
        Impossible::WetFactor { item: 0, wet_factor: 0.5 },
        Impossible::RequiredAshore { item: 0 },
        Impossible::OutsideBoat {
            item: 0,
            place: ItemPlace::Now,
            axis: Axis::X,
            at: Length::metres(12.0),
            from: Length::metres(-0.5),
            to: length,
        },
        Impossible::Mass { item: 1, mass_kg: -5.0 },
        Impossible::Left { item: 1, stage: Stage::Start, left: 1.5 },
        Impossible::OutsideBoat {
            item: 1,
            place: ItemPlace::MovedTo,
            axis: Axis::Y,
            at: Length::metres(1.9),
            from: -beam,
            to: beam,
        },
        Impossible::Place { item: 1, place: ItemPlace::From(Stage::Middle) },
    ];
    assert_eq!(work_out(&boat(), &[outside, strange]).unwrap_err(), expected);
}

#[test]
fn a_boat_that_cannot_be_is_refused() {
    let gear = [item(20.0, metres(2.0, 0.0, 0.0), Plan::Keep)];
    let unknown = Boat { displacement_kg: f64::NAN, mass_to_sink_kg_per_cm: Some(0.0), ..Boat::default() };
    let faults = work_out(&unknown, &gear).unwrap_err();
    assert_eq!(faults.len(), 3, "{faults:?}");
    assert!(matches!(faults[0], Impossible::Figure { figure: Figure::Displacement, .. }));
    assert_eq!(faults[1], Impossible::Figure { figure: Figure::MassToSink, value: 0.0 });
    assert_eq!(faults[2], Impossible::NoPitchAxis);

    let dinghy = Boat { displacement_kg: 15.0, ..boat() };
    let heavier = Impossible::GearOutweighsBoat { gear_kg: 20.0, displacement_kg: 15.0 };
    assert_eq!(work_out(&dinghy, &gear).unwrap_err(), [heavier]);
}

#[test]
fn a_plan_that_would_turn_her_over_is_refused() {
    let up_the_mast = item(600.0, metres(6.0, 0.0, -0.3), Plan::Move(metres(5.5, 0.0, 15.0)));
    let faults = work_out(&boat(), &[up_the_mast]).unwrap_err();
    assert!(
        matches!(faults[0], Impossible::Unstable { stowed: Stowed::Planned, stage: Stage::Dock, metacentric_height }
            if metacentric_height < Length::ZERO),
        "{faults:?}"
    );
}

#[test]
fn numbers_too_large_to_work_with_are_refused() {
    let boundless = Boat { extent: Extent::default(), ..boat() };
    let far = item(20.0, Position::new(Length::mm(1e200), Length::ZERO, Length::ZERO), Plan::Keep);
    assert!(work_out(&boundless, &[far]).unwrap_err().contains(&Impossible::TooLarge));
}

prop_compose! {
    fn any_place()(x in 0.0..11.5_f64, y in -1.7..1.7_f64, z in -1.0..4.0_f64) -> Position { metres(x, y, z) }
}

prop_compose! {
    fn any_item()(mass in 0.5..60.0_f64, now in any_place(), to in any_place(), plan in 0..3_u8) -> Item {
        item(mass, now, [Plan::Keep, Plan::Ashore, Plan::Move(to)][usize::from(plan)])
    }
}

fn any_gear() -> impl Strategy<Value = Vec<Item>> {
    prop::collection::vec(any_item(), 1..12)
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-9 * a.abs().max(b.abs()).max(1.0)
}

/// The working at the dock without the numbers of the items.
fn same_floating(a: &State, b: &State) -> bool {
    near(a.trim.unwrap().bow_up_cm, b.trim.unwrap().bow_up_cm)
        && near(a.sinkage.unwrap().deeper.to_mm(), b.sinkage.unwrap().deeper.to_mm())
        && near(list_deg(a).unwrap_or(0.0), list_deg(b).unwrap_or(0.0))
}

proptest! {
    #[test]
    fn an_item_moved_away_and_back_changes_nothing(gear in any_gear(), away in any_place()) {
        let boat = boat();
        let kept: Vec<Item> = gear.iter().map(|item| Item { plan: Plan::Keep, ..item.clone() }).collect();
        let moved = Item { plan: Plan::Move(away), ..kept[0].clone() };
        // Moved away at the dock, as planned; brought back from the start on.
        let back = Item { changes: vec![(Stage::Start, Change { at: Some(kept[0].now), ..Change::default() })], ..moved };
        let mut gear = kept;
        gear[0] = back;
        let [dock, start, ..] = work_out(&boat, &gear).unwrap().stages;
        prop_assert!(same_floating(&dock.now, &start.planned));
        prop_assert_eq!(dock.now.mass_kg, start.planned.mass_kg);
        prop_assert_eq!(dock.now.inertia_kg_m2, start.planned.inertia_kg_m2);
        prop_assert_eq!(dock.now.centre, start.planned.centre);
    }

    #[test]
    fn an_item_added_and_taken_off_again_changes_nothing(gear in any_gear(), added in any_item()) {
        // The boat is described with the added item aboard, and it is landed: as she was before it came.
        let with = |plan| {
            let extra = Item { plan, ..added.clone() };
            gear.iter().cloned().map(|item| Item { plan: Plan::Keep, ..item }).chain([extra]).collect::<Vec<_>>()
        };
        let kept = |gear: &[Item]| {
            gear.iter().cloned().map(|item| Item { plan: Plan::Keep, ..item }).collect::<Vec<_>>()
        };
        let (_, without) = at_dock(&boat(), &with(Plan::Ashore));
        let (before, _) = at_dock(&boat(), &kept(&gear));
        prop_assert!(near(without.mass_kg, before.mass_kg));
        prop_assert!(near(without.inertia_kg_m2, before.inertia_kg_m2));
        prop_assert_eq!(without.centre, before.centre);
        // What landing it does to trim and sinkage is the opposite of what taking it aboard does.
        let sinkage = without.sinkage.unwrap().deeper.to_mm();
        prop_assert!(near(sinkage, -added.mass_kg / 205.0 * 10.0));
        let moment = without.trim.unwrap().moment_kg_m;
        prop_assert!(near(moment, -added.mass_kg * (in_metres(added.now.x) - 6.3)));
    }

    #[test]
    fn moving_everything_by_one_vector_moves_the_centre_by_it(
        gear in any_gear(), x in -3.0..3.0_f64, y in -1.0..1.0_f64, z in -1.0..1.0_f64,
    ) {
        let boundless = Boat { extent: Extent::default(), ..boat() };
        let shifted: Vec<Item> = gear
            .iter()
            .map(|item| {
                let to = Position::new(
                    item.now.x + Length::metres(x), item.now.y + Length::metres(y), item.now.z + Length::metres(z),
                );
                Item { plan: Plan::Move(to), ..item.clone() }
            })
            .collect();
        let (now, planned) = at_dock(&boundless, &shifted);
        let (from, to) = (now.centre.unwrap(), planned.centre.unwrap());
        prop_assert!(near(in_metres(to.x - from.x), x));
        prop_assert!(near(in_metres(to.y - from.y), y));
        prop_assert!(near(in_metres(to.z - from.z), z));
    }

    #[test]
    fn inertia_about_another_axis_differs_as_the_parallel_axis_theorem_says(
        gear in any_gear(), axis_x in 3.0..9.0_f64, axis_z in -1.0..1.0_f64,
    ) {
        // I₀ = I_c + M·d², for the axis through the gear's own centre and any other.
        let about = |x: f64, z: f64| {
            let weighed = Boat { centre_of_gravity: Some(metres(x, 0.0, z)), metacentric_height: None, ..boat() };
            at_dock(&weighed, &gear).0
        };
        let centre = about(6.0, 0.0).centre.unwrap();
        let own = about(in_metres(centre.x), in_metres(centre.z));
        let other = about(axis_x, axis_z);
        let distance2 = (in_metres(centre.x) - axis_x).powi(2) + (in_metres(centre.z) - axis_z).powi(2);
        prop_assert!(near(other.inertia_kg_m2, own.inertia_kg_m2 + own.mass_kg * distance2));
    }

    #[test]
    fn whatever_the_plan_what_it_buys_is_what_the_totals_lose(gear in any_gear()) {
        let [dock, ..] = work_out(&boat(), &gear).unwrap().stages;
        let bought: f64 = dock.ranking.iter().map(|worth| worth.planned.inertia_kg_m2).sum();
        prop_assert!(near(bought, dock.now.inertia_kg_m2 - dock.planned.inertia_kg_m2));
        let falling = dock.ranking.windows(2).all(|pair| pair[0].planned.inertia_kg_m2 >= pair[1].planned.inertia_kg_m2);
        prop_assert!(falling);
        prop_assert_eq!(dock.ranking.len(), gear.len());
    }
}

proptest! {
    #[test]
    fn whatever_one_number_is_nothing_comes_out_that_is_not_finite(
        which in 0..9_usize, wild in prop::num::f64::ANY, unbound in any::<bool>(),
    ) {
        let mut boat = boat();
        if unbound {
            boat.extent = Extent::default();
        }
        let mut gear = race();
        let place = Position::new(Length::mm(wild), Length::mm(wild), Length::mm(wild));
        match which {
            0 => boat.displacement_kg = wild,
            1 => boat.centre_of_gravity = Some(place),
            2 => boat.centre_of_flotation = Some(Length::mm(wild)),
            3 => boat.moment_to_trim_kg_m_per_cm = Some(wild),
            4 => boat.mass_to_sink_kg_per_cm = Some(wild),
            5 => boat.metacentric_height = Some(Length::mm(wild)),
            6 => gear[0].mass_kg = wild,
            7 => gear[0].now = place,
            _ => gear[0].wet_factor = wild,
        }
        if let Ok(worked) = work_out(&boat, &gear) {
            let text = format!("{worked:?}");
            prop_assert!(!text.contains("NaN") && !text.contains("inf"), "{}", text);
        }
    }
}
