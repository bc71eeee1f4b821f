//! When two numbers are the same place: the one tolerance by which winds, angles and readings are compared. Knows no unit.
//!
//! A wind written in metres per second is held in knots, and halfway between two winds is worked out from both; each way
//! leaves a number with a last digit of its own. Compared as they stand, two numbers that a sailor wrote as one would fall
//! to either side of a band's edge by chance. So places are compared with a slack that is the same in every unit, since it
//! is a part of the numbers themselves: above what the arithmetic leaves, which is some parts in 10¹⁵, and far below what
//! any instrument shows, which is a part in 10⁴.

use std::cmp::Ordering;

/// How far apart two numbers may be and still be the same: a thousand-millionth of the larger of them, or of 1 where both
/// are smaller.
pub const SAME: f64 = 1e-9;

/// Which of two numbers is the higher; equal if they are the same but for [`SAME`].
///
/// It is not for sorting: of three numbers each may be the same as the next, and the first and the last not.
///
/// ```
/// use cockpit_cards::tuning::tolerance::compare;
///
/// assert_eq!(compare(0.1 + 0.2, 0.3), std::cmp::Ordering::Equal);
/// assert_eq!(compare(0.3, 0.300_001), std::cmp::Ordering::Less);
/// ```
pub fn compare(a: f64, b: f64) -> Ordering {
    let slack = SAME * a.abs().max(b.abs()).max(1.0);
    // Endless is no more than endless, and every number is less.
    if slack.is_finite() && (a - b).abs() <= slack { Ordering::Equal } else { a.total_cmp(&b) }
}

/// Whether two numbers are the same.
pub fn is_same(a: f64, b: f64) -> bool {
    compare(a, b).is_eq()
}

/// Whether the first is less than the second, and not the same.
pub fn is_below(a: f64, b: f64) -> bool {
    compare(a, b).is_lt()
}
