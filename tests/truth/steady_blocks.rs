//! Which stretches of a log are steady, and what is known of them.

use crate::common::sailed_log::{STEADY, Shown, at};
use approx::assert_abs_diff_eq;
use cockpit_cards::season::steady::{Fold, Steadiness, Steady, TICKS, Why};
use cockpit_cards::season::{Block, Moment, Quantity};
use cockpit_cards::tuning::Angle;
use jiff::{SignedDuration, Timestamp};
use proptest::prelude::*;

fn moment(second: f64, shown: Shown) -> Moment {
    let time = at(0) + SignedDuration::from_secs_f64(second);
    let moment = Moment::new(time).with(Quantity::TrueWind, shown.tws).with(Quantity::TrueAngle, shown.twa);
    moment.with(Quantity::Speed, shown.stw).with(Quantity::Heading, shown.heading)
}

fn fold(moments: impl IntoIterator<Item = Moment>) -> Steady {
    fold_by(Steadiness::default(), moments)
}

fn fold_by(steadiness: Steadiness, moments: impl IntoIterator<Item = Moment>) -> Steady {
    let mut fold = Fold::new(steadiness);
    moments.into_iter().for_each(|moment| fold.add(&moment));
    fold.finish()
}

/// A log of one record a second.
fn sailed(seconds: i64, shown: impl Fn(i64) -> Shown) -> Steady {
    fold((0..seconds).map(|second| moment(second as f64, shown(second))))
}

/// The minutes from the start whose blocks were dropped, with the reason.
fn dropped(steady: &Steady) -> Vec<(i64, Why)> {
    let minute = |start: Timestamp| start.duration_since(at(0)).as_secs() / 60;
    steady.dropped.iter().map(|dropped| (minute(dropped.start), dropped.why)).collect()
}

#[test]
fn an_hour_that_holds_still_is_sixty_blocks() {
    let steady = sailed(3600, |_| STEADY);
    assert_eq!((steady.blocks.len(), dropped(&steady), steady.outliers), (60, vec![], 0));
    assert_eq!((steady.gaps, steady.rate_changes), (vec![], vec![]));
    for (minute, block) in (0..).zip(&steady.blocks) {
        assert_eq!((block.start, block.seconds), (at(60 * minute), 60.0));
        assert_abs_diff_eq!(block.wind.to_knots(), STEADY.tws, epsilon = 1e-9);
        assert_abs_diff_eq!(block.angle.to_degrees(), STEADY.twa, epsilon = 1e-9);
        assert_abs_diff_eq!(block.speed.to_knots(), STEADY.stw, epsilon = 1e-9);
        assert_abs_diff_eq!(block.heading_deg.unwrap_or_default(), STEADY.heading, epsilon = 1e-9);
        assert!(block.is_starboard_tack && block.heel.is_none());
    }
}

#[test]
fn a_block_has_its_beginning_in_it_and_not_its_end() {
    // The value of a full minute counts in the minute that it begins.
    let steady = sailed(120, |second| Shown { stw: if second < 60 { 6.0 } else { 7.0 }, ..STEADY });
    let speeds: Vec<f64> = steady.blocks.iter().map(|block| block.speed.to_knots()).collect();
    assert_eq!(speeds, [6.0, 7.0]);
}

/// Minutes that a tack at a second of a quarter of an hour costs.
fn minutes_near(tack: i64, from: Shown, to: Shown) -> Vec<(i64, Why)> {
    dropped(&sailed(900, |second| if second < tack { from } else { to }))
}

#[test]
fn blocks_within_a_minute_of_a_tack_are_dropped_and_no_others() {
    let port = Shown { twa: -42.0, heading: 284.0, ..STEADY };
    let near = |minutes: &[i64]| minutes.iter().map(|minute| (*minute, Why::NearTack)).collect::<Vec<_>>();
    // On the full minute: the block before it and the one it begins. Those a whole minute away stay.
    assert_eq!(minutes_near(600, STEADY, port), near(&[9, 10]));
    for second in [601, 604, 605, 607, 630, 645, 659] {
        assert_eq!(minutes_near(second, STEADY, port), near(&[9, 10, 11]), "tack at {second} s");
        assert_eq!(minutes_near(second, port, STEADY), near(&[9, 10, 11]), "tack at {second} s");
    }
}

#[test]
fn angles_counted_all_the_way_round_tack_at_the_same_second() {
    let port = Shown { twa: 318.0, heading: 284.0, ..STEADY };
    assert_eq!(minutes_near(600, STEADY, port), [9, 10].map(|minute| (minute, Why::NearTack)));
    assert_eq!(minutes_near(600, port, STEADY), [9, 10].map(|minute| (minute, Why::NearTack)));
}

#[test]
fn a_gybe_is_the_wind_changing_sides_as_well() {
    let (starboard, port) = (Shown { twa: 150.0, ..STEADY }, Shown { twa: -150.0, ..STEADY });
    assert_eq!(minutes_near(630, starboard, port), [9, 10, 11].map(|minute| (minute, Why::NearTack)));
}

#[test]
fn a_run_that_wanders_about_dead_downwind_is_no_row_of_gybes() {
    let wander = |second: i64| if second / 20 % 2 == 0 { 178.0 } else { -178.0 };
    assert_eq!(dropped(&sailed(900, |second| Shown { twa: wander(second), ..STEADY })), []);
}

#[test]
fn a_tack_in_a_gap_of_the_log_drops_the_blocks_beside_it() {
    let shown = |second| if second < 600 { STEADY } else { Shown { twa: -42.0, ..STEADY } };
    let seconds = (0..600).chain(780..1500);
    let steady = fold(seconds.map(|second| moment(second as f64, shown(second))));
    assert_eq!(dropped(&steady), [9, 13].map(|minute| (minute, Why::NearTack)));
    assert_eq!(steady.gaps, [at(600)..at(780)]);
}

#[test]
fn a_turn_of_more_than_fifteen_degrees_drops_what_is_within_a_minute_and_a_smaller_one_nothing() {
    let turned = |by: f64| minutes_near(630, STEADY, Shown { heading: STEADY.heading + by, ..STEADY });
    for by in [16.0, -16.0, 90.0] {
        assert_eq!(turned(by), [9, 10, 11].map(|minute| (minute, Why::NearTurn)), "{by}°");
    }
    assert_eq!(turned(14.0), []);
    // Through north a few degrees are a few degrees.
    let shown = |second| Shown { heading: if second % 600 < 300 { 355.0 } else { 3.0 }, ..STEADY };
    assert_eq!(dropped(&sailed(1800, shown)), []);
}

#[test]
fn a_helm_who_wanders_is_not_turning() {
    // Twelve degrees to either side every nine seconds.
    let wander = |second: i64| 12.0 * (second as f64 / 9.0 * std::f64::consts::TAU).sin();
    let steady = sailed(1800, |second| Shown { heading: 200.0 + wander(second), ..STEADY });
    assert_eq!(dropped(&steady), []);
}

#[test]
fn one_wrong_wind_angle_costs_one_value_and_no_block() {
    let steady = sailed(1800, |second| if second == 917 { Shown { twa: -30.0, ..STEADY } } else { STEADY });
    assert_eq!((steady.blocks.len(), steady.outliers), (30, 1));
    assert_abs_diff_eq!(steady.blocks[15].angle.to_degrees(), 42.0, epsilon = 1e-9);
}

/// A value that jumps between two, every second; its standard deviation is half their distance, by n − 1 a little more.
fn jumping(second: i64, middle: f64, by: f64) -> f64 {
    if second % 2 == 0 { middle - by } else { middle + by }
}

#[test]
fn a_wind_angle_that_scatters_by_more_than_five_degrees_drops_the_block() {
    let steady = |by: f64| dropped(&sailed(60, |second| Shown { twa: jumping(second, 42.0, by), ..STEADY }));
    assert_eq!(steady(5.1), [(0, Why::AngleScatters)]);
    assert_eq!(steady(4.9), []);
}

#[test]
fn a_wind_that_scatters_by_more_than_a_seventh_drops_the_block() {
    let steady =
        |share: f64| dropped(&sailed(60, |second| Shown { tws: jumping(second, 12.0, 12.0 * share), ..STEADY }));
    assert_eq!(steady(0.152), [(0, Why::WindScatters)]);
    assert_eq!(steady(0.147), []);
}

#[test]
fn three_quarters_of_the_records_are_enough() {
    // In the sixth minute only so many seconds were logged.
    let kept = |count: i64| {
        dropped(&fold((0..720).filter(|s| s / 60 != 5 || s % 60 < count).map(|s| moment(s as f64, STEADY))))
    };
    assert_eq!(kept(45), []);
    assert_eq!(kept(44), [(5, Why::FewRecords)]);
    // Every second one is half of what is usual around.
    let thinned = (0..720).filter(|s| s / 60 != 5 || s % 2 == 0).map(|s| moment(s as f64, STEADY));
    assert_eq!(dropped(&fold(thinned)), [(5, Why::FewRecords)]);
}

#[test]
fn each_quantity_must_have_its_records() {
    let without_speed = |second: i64| {
        let time = at(second);
        let moment = Moment::new(time).with(Quantity::TrueWind, 12.0).with(Quantity::TrueAngle, 42.0);
        if (300..360).contains(&second) && second % 3 != 0 { moment } else { moment.with(Quantity::Speed, 6.5) }
    };
    assert_eq!(dropped(&fold((0..720).map(without_speed))), [(5, Why::FewRecords)]);
}

#[test]
fn a_log_that_changes_its_rate_loses_nothing() {
    let seconds = (0..1200).chain((1200..3600).step_by(5));
    let steady = fold(seconds.map(|second| moment(second as f64, STEADY)));
    assert_eq!((steady.blocks.len(), dropped(&steady)), (60, vec![]));
    let [change] = steady.rate_changes[..] else { panic!("{:?}", steady.rate_changes) };
    assert_eq!((change.at, change.from_seconds, change.to_seconds), (at(1200), 1.0, 5.0));
}

#[test]
fn quantities_may_come_at_rates_of_their_own() {
    let mut moments = Vec::new();
    for tenth in 0..6000 {
        let mut moment = Moment::new(at(0) + SignedDuration::from_millis(100 * tenth));
        if tenth % 2 == 0 {
            moment = moment.with(Quantity::TrueWind, 12.0).with(Quantity::TrueAngle, -42.0);
        }
        if tenth % 20 == 7 {
            moment = moment.with(Quantity::Speed, 6.5);
        }
        if tenth % 10 == 3 {
            moment = moment.with(Quantity::Heading, 100.0).with(Quantity::Heel, -20.0);
        }
        moments.push(moment);
    }
    let steady = fold(moments);
    assert_eq!((steady.blocks.len(), dropped(&steady)), (10, vec![]));
    assert_eq!(steady.blocks[3].heel, Some(Angle::degrees(20.0)));
}

#[test]
fn directions_are_averaged_as_directions() {
    let jump = |second: i64, one, other| if second % 2 == 0 { one } else { other };
    let shown = |second| Shown { twa: jump(second, 178.0, -178.0), heading: jump(second, 359.0, 1.0), ..STEADY };
    // Right before the wind the angle changes its sign with every wave; she is not gybing.
    let steady = sailed(300, shown);
    assert_eq!(dropped(&steady), []);
    assert_abs_diff_eq!(steady.blocks[0].angle.to_degrees(), 180.0, epsilon = 1e-9);
    let heading = steady.blocks[0].heading_deg.unwrap_or_default();
    assert_abs_diff_eq!(heading.min(360.0 - heading), 0.0, epsilon = 1e-9);
}

#[test]
fn without_a_logged_true_wind_it_is_worked_out_with_the_speed_closest_in_time() {
    // Wind every second, speed every third: 5 kn from ahead to starboard in the triangle of 3, 4 and 5.
    let from = 3.0f64.atan2(4.0).to_degrees();
    let felt = |second: i64| {
        let moment = Moment::new(at(second)).with(Quantity::ApparentWind, 5.0).with(Quantity::ApparentAngle, from);
        if second % 3 == 1 { moment.with(Quantity::Speed, 4.0) } else { moment }
    };
    let steady = fold((0..300).map(felt));
    assert_eq!((steady.blocks.len(), steady.worked_out), (5, 5));
    assert_abs_diff_eq!(steady.blocks[2].wind.to_knots(), 3.0, epsilon = 1e-9);
    assert_abs_diff_eq!(steady.blocks[2].angle.to_degrees(), 90.0, epsilon = 1e-9);
}

#[test]
fn a_speed_of_long_ago_makes_no_true_wind() {
    let two_minutes = Steadiness { block_seconds: 120, ..Steadiness::default() };
    let felt = |second: i64, every: i64| {
        let moment = Moment::new(at(second)).with(Quantity::ApparentWind, 17.0).with(Quantity::ApparentAngle, 28.0);
        if second % every == 0 { moment.with(Quantity::Speed, 6.5) } else { moment }
    };
    let blocks = |every| fold_by(two_minutes, (0..1200).map(|second| felt(second, every))).blocks.len();
    // Five seconds to either side of each speed: all of ten seconds, and eleven of fifteen.
    assert_eq!((blocks(10), blocks(15)), (10, 0));
}

#[test]
fn a_true_wind_that_was_logged_is_not_worked_out_again() {
    let both = |second: i64| {
        let moment = Moment::new(at(second)).with(Quantity::ApparentWind, 17.0).with(Quantity::ApparentAngle, 28.0);
        let moment = moment.with(Quantity::Speed, 6.5);
        moment.with(Quantity::TrueWind, 12.0).with(Quantity::TrueAngle, 42.0)
    };
    let steady = fold((0..120).map(both));
    assert_eq!((steady.blocks.len(), steady.worked_out), (2, 0));
    assert_eq!(steady.blocks[0].wind.to_knots(), 12.0);
}

#[test]
fn what_makes_a_block_steady_can_be_asked_otherwise() {
    let tack = |second: i64| if second < 600 { STEADY } else { Shown { twa: -42.0, ..STEADY } };
    let moments = || (0..1200).map(|second| moment(second as f64, tack(second)));
    let default = Steadiness::default();
    let count = |steadiness: Steadiness| {
        let steady = fold_by(steadiness, moments());
        (steady.blocks.len(), steady.dropped.len())
    };
    assert_eq!(count(default), (18, 2));
    assert_eq!(count(Steadiness { block_seconds: 30, ..default }), (36, 4));
    assert_eq!(count(Steadiness { clear_seconds: 300, ..default }), (10, 10));
}

#[test]
fn the_defaults_are_those_that_are_told() {
    let Steadiness { block_seconds, least_share, clear_seconds, turn_deg, angle_scatter_deg, wind_scatter } =
        Steadiness::default();
    assert_eq!((block_seconds, least_share, clear_seconds), (60, 0.75, 60));
    assert_eq!((turn_deg, angle_scatter_deg, wind_scatter, TICKS), (15.0, 5.0, 0.15, 6));
}

/// A night with tacks, gusts, a gap and a slow stretch, out of a seed.
fn night(seed: u64, seconds: i64) -> Vec<(i64, Shown)> {
    let mut state = seed | 1;
    let mut random = move || {
        state ^= state << 13;
        state ^= state >> 7;
        state ^= state << 17;
        (state >> 11) as f64 / (1u64 << 53) as f64
    };
    let mut side = 1.0;
    let mut night = Vec::new();
    for second in 0..seconds {
        if random() < 0.001 {
            side = -side;
        }
        let heading = if side > 0.0 { 200.0 } else { 284.0 };
        let shown = Shown {
            tws: 12.0 + 2.0 * (random() - 0.5),
            twa: side * (42.0 + 8.0 * (random() - 0.5)),
            stw: 6.5 + 0.4 * (random() - 0.5),
            heading: heading + 10.0 * (random() - 0.5),
        };
        if random() > 0.05 && second % 1500 > 100 {
            night.push((second, shown));
        }
    }
    night
}

fn moments(night: &[(i64, Shown)], shift: i64) -> Vec<Moment> {
    night.iter().map(|(second, shown)| moment((second + shift) as f64, *shown)).collect()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]

    #[test]
    fn by_whole_blocks_a_log_can_be_moved_in_time(seed: u64, minutes in -100_000i64..100_000) {
        let night = night(seed, 4000);
        let here = fold(moments(&night, 0));
        let there = fold(moments(&night, 60 * minutes));
        let back = |time: Timestamp| time - SignedDuration::from_mins(minutes);
        let moved: Vec<Block> = there.blocks.iter().map(|block| Block { start: back(block.start), ..*block }).collect();
        prop_assert_eq!(moved, here.blocks);
        let moved: Vec<_> = there.dropped.iter().map(|dropped| (back(dropped.start), dropped.why)).collect();
        prop_assert_eq!(moved, here.dropped.iter().map(|dropped| (dropped.start, dropped.why)).collect::<Vec<_>>());
    }

    /// Whatever order the records of a minute or two come in.
    #[test]
    fn the_order_of_records_is_of_no_matter(seed: u64, swap in 1usize..50) {
        let night = moments(&night(seed, 3000), 0);
        let mut shuffled = night.clone();
        for chunk in shuffled.chunks_mut(swap) {
            chunk.reverse();
        }
        prop_assert_eq!(fold(shuffled), fold(night));
    }

    #[test]
    fn a_log_that_is_cut_loses_only_what_is_cut(seed: u64, from in 0i64..2000, length in 600i64..2000) {
        let night = night(seed, 4000);
        let part: Vec<(i64, Shown)> =
            night.iter().copied().filter(|(second, _)| (from..from + length).contains(second)).collect();
        let (whole, part) = (fold(moments(&night, 0)), fold(moments(&part, 0)));
        // What a turn beyond the cut would have dropped, and what half a block beyond it would have shown to be a turn.
        let margin = SignedDuration::from_secs(60 + 30 + 60);
        let is_inside = |block: &&Block| at(from) + margin <= block.start && block.start + margin <= at(from + length);
        let inside = |steady: &Steady| steady.blocks.iter().filter(is_inside).copied().collect::<Vec<_>>();
        prop_assert_eq!(inside(&part), inside(&whole));
        // And nothing is made of a cut block that the whole one would not have been.
        let whole_starts: Vec<Timestamp> = whole.blocks.iter().map(|block| block.start).collect();
        let beside = part.blocks.iter().filter(|block| !whole_starts.contains(&block.start)).count();
        prop_assert!(beside <= 4, "{beside} blocks that the whole log has dropped");
    }
}
