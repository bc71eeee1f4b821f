//! Adjustments: marks more or less, held at scale ends and limits, and marked where they were held.

use cockpit_cards::length::Length;
use cockpit_cards::tuning::adjust::{Adjusted, Held, Limits, Offset};
use cockpit_cards::tuning::{Fineness, Ground, Scale, ScaleKind, Setting};
use proptest::prelude::*;

const NO_LIMITS: Limits = Limits { never_below: None, never_above: None };

fn marks() -> Scale {
    let kind = ScaleKind::Even { first: 0, last: 8, spacing: Length::mm(20.0), purchase: 1.0 };
    Scale { kind, fineness: Fineness::Halves }
}

fn words() -> Scale {
    Scale { kind: ScaleKind::Words(["eased", "snug", "hard"].map(str::to_owned).to_vec()), fineness: Fineness::Whole }
}

fn gauge() -> Scale {
    let kind = ScaleKind::Gauge { unit: "bar".to_owned(), least: Some(0.0), most: None, every: 10.0 };
    Scale { kind, fineness: Fineness::Whole }
}

fn on(reading: f64, ground: Ground) -> Setting {
    Setting { exact: reading, reading, ground }
}

fn apply(offset: f64, reading: f64, scale: &Scale, limits: Limits) -> Adjusted {
    Offset::new(offset, scale).unwrap().apply(on(reading, Ground::Sailed), scale, limits)
}

#[test]
fn marks_more_or_less_move_the_setting_and_make_it_adjusted() {
    let eased = apply(-0.5, 4.0, &marks(), NO_LIMITS);
    assert_eq!(eased, Adjusted { reading: 3.5, ground: Ground::Adjusted, held: None });
    // A mark of a gauge is a step that it is read to; a word goes along the list.
    assert_eq!(apply(2.0, 120.0, &gauge(), NO_LIMITS).reading, 140.0);
    assert_eq!(words().print(apply(-1.0, 2.0, &words(), NO_LIMITS).reading), "snug");
}

#[test]
fn the_end_of_the_scale_stands_and_is_marked() {
    let most = apply(2.0, 7.5, &marks(), NO_LIMITS);
    assert_eq!(most, Adjusted { reading: 8.0, ground: Ground::Adjusted, held: Some(Held::ScaleEnd) });
    assert_eq!(apply(-2.0, 10.0, &gauge(), NO_LIMITS).held, Some(Held::ScaleEnd));
    // To the end and no further is no complaint.
    assert_eq!(apply(0.5, 7.5, &marks(), NO_LIMITS).held, None);
}

#[test]
fn a_limit_stands_before_the_end_of_the_scale_and_is_marked() {
    let limits = Limits { never_below: Some(1.0), never_above: Some(7.0) };
    assert_eq!(
        (apply(2.0, 6.0, &marks(), limits).reading, apply(2.0, 6.0, &marks(), limits).held),
        (7.0, Some(Held::NeverAbove))
    );
    assert_eq!(
        (apply(-2.0, 2.0, &marks(), limits).reading, apply(-2.0, 2.0, &marks(), limits).held),
        (1.0, Some(Held::NeverBelow))
    );
    // A limit at the end of the scale is the limit: it has a reason.
    let at_the_end = Limits { never_above: Some(8.0), ..NO_LIMITS };
    assert_eq!(apply(2.0, 7.0, &marks(), at_the_end).held, Some(Held::NeverAbove));
    // The limit on the other side is none of this adjustment's.
    assert_eq!(apply(-2.0, 6.0, &marks(), limits).held, None);
}

#[test]
fn a_setting_that_cannot_move_keeps_its_ground() {
    let limits = Limits { never_above: Some(7.0), ..NO_LIMITS };
    let stuck = apply(1.0, 7.0, &marks(), limits);
    assert_eq!(stuck, Adjusted { reading: 7.0, ground: Ground::Sailed, held: Some(Held::NeverAbove) });
    // One past its limit is not pushed further, nor moved the other way.
    assert_eq!(apply(1.0, 7.5, &marks(), limits).reading, 7.5);
    assert_eq!(apply(-0.5, 7.5, &marks(), limits).reading, 7.0);
}

#[test]
fn an_adjustment_makes_no_ground_firmer() {
    let apply = |ground| Offset::new(0.5, &marks()).unwrap().apply(on(3.0, ground), &marks(), NO_LIMITS).ground;
    assert_eq!(
        [Ground::Sailed, Ground::Between, Ground::Adjusted, Ground::CarriedOver, Ground::Outside].map(apply),
        [Ground::Adjusted, Ground::Adjusted, Ground::Adjusted, Ground::CarriedOver, Ground::Outside]
    );
}

#[test]
fn an_adjustment_that_nobody_could_set_is_refused() {
    let refused = |offset, scale: &Scale| Offset::new(offset, scale).unwrap_err();
    assert_eq!(refused(0.25, &marks()).instead, "write a multiple of ½");
    assert_eq!(refused(0.5, &words()).instead, "write a multiple of 1");
    assert!(refused(0.0, &marks()).what.contains("changes nothing"));
    assert!(Offset::new(f64::NAN, &marks()).is_err() && Offset::new(f64::INFINITY, &marks()).is_err());
}

proptest! {
    #[test]
    fn it_never_passes_a_stop_nor_goes_the_wrong_way_and_says_when_it_fell_short(
        steps in -20..=20_i32, start in 0..=16_i32, below in prop::option::of(0..=16_i32), above in prop::option::of(0..=16_i32),
    ) {
        prop_assume!(steps != 0);
        let half = |steps: i32| f64::from(steps) / 2.0;
        let limits = Limits { never_below: below.map(half), never_above: above.map(half) };
        let (least, most) = (limits.never_below.unwrap_or(0.0), limits.never_above.unwrap_or(8.0));
        prop_assume!((least..=most).contains(&half(start)));
        let adjusted = apply(half(steps), half(start), &marks(), limits);
        prop_assert!((least..=most).contains(&adjusted.reading));
        prop_assert!((adjusted.reading - half(start)) * half(steps) >= 0.0);
        prop_assert_eq!(adjusted.held.is_some(), adjusted.reading != half(start) + half(steps));
        prop_assert_eq!(adjusted.ground == Ground::Sailed, adjusted.reading == half(start));
    }
}
