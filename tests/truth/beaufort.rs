//! The Beaufort force of a wind, against the limits of the World Meteorological Organization.

use cockpit_cards::tuning::Wind;
use cockpit_cards::tuning::beaufort::{FORCES, of};

/// Lowest and highest whole knots of force 0 to 11, and the lowest of 12: WMO-No. 306, Manual on Codes, Beaufort scale of
/// wind.
const LIMITS_KN: [(u32, u32); 12] =
    [(0, 0), (1, 3), (4, 6), (7, 10), (11, 16), (17, 21), (22, 27), (28, 33), (34, 40), (41, 47), (48, 55), (56, 63)];
const HURRICANE_KN: u32 = 64;

#[test]
fn every_whole_knot_has_the_force_of_the_scale() {
    for knots in 0..120_u32 {
        let within = |limits: &(u32, u32)| (limits.0..=limits.1).contains(&knots);
        let expected = LIMITS_KN.iter().position(within).unwrap_or(12);
        assert_eq!(expected == 12, knots >= HURRICANE_KN);
        assert_eq!(
            of(Wind::knots(f64::from(knots))).map(|force| usize::from(force.number)),
            Some(expected),
            "{knots} kn"
        );
    }
}

#[test]
fn between_whole_knots_the_nearer_one_counts() {
    let number = |knots: f64| of(Wind::knots(knots)).map(|force| force.number);
    assert_eq!([number(10.4), number(10.5), number(16.49), number(63.6)], [Some(3), Some(4), Some(4), Some(12)]);
    assert_eq!([number(0.0), number(0.99), number(1.0)], [Some(0), Some(0), Some(1)]);
    assert_eq!([number(-0.1), number(f64::NAN)], [None, None]);
    assert_eq!(of(Wind::knots(18.0)).map(|force| force.name), Some("fresh breeze"));
}

#[test]
fn the_printed_limits_follow_each_other_without_a_gap() {
    for pair in FORCES.windows(2) {
        assert_eq!(pair[0].most_kn.map(|most| most + 1), Some(pair[1].least_kn), "{}", pair[0].name);
        assert_eq!(pair[0].number + 1, pair[1].number);
    }
}
