//! Chauvenet's criterion, against published examples and SciPy's error function.

use cockpit_cards::season::chauvenet::stay;
use proptest::prelude::*;

/// Taylor, *An Introduction to Error Analysis*, chapter 6: six periods in seconds, mean 3.4, deviation 0.8; the last lies
/// two deviations out, 6 × 0.05 = 0.3 so far out are expected, and it goes. From memory.
#[test]
fn of_taylors_six_periods_the_last_goes() {
    assert_eq!(stay(&[3.8, 3.5, 3.9, 3.9, 3.4, 1.8]), [true, true, true, true, true, false]);
}

/// A much printed example: of 9, 10, 10, 10, 11 and 50 the last goes (mean 16.7, deviation 16.34, 6 × 0.041). From memory.
#[test]
fn of_six_values_round_ten_the_fifty_goes() {
    assert_eq!(stay(&[9.0, 10.0, 10.0, 10.0, 11.0, 50.0]), [true, true, true, true, true, false]);
}

/// Tables of the criterion give the greatest deviation that stays as 1.73 of them for 6 measurements, 1.96 for 10, 2.24 for
/// 20 and 2.57 for 50 (Taylor, and handbooks of measurement; from memory).
#[test]
fn what_stays_ends_where_the_printed_tables_say() {
    for (count, limit) in [(6_usize, 1.73), (10, 1.96), (20, 2.24), (50, 2.57)] {
        for (out, stays) in [(limit - 0.01, true), (limit + 0.01, false)] {
            let measured = with_one_out(count, out);
            assert_eq!(stay(&measured)[0], stays, "{out} deviations among {count}");
        }
    }
}

/// As many measurements, their mean 0 and standard deviation 1, with the first one so far out and the others as near as
/// they can be: half of them on either side.
fn with_one_out(count: usize, out: f64) -> Vec<f64> {
    let rest = (count - 1) as f64;
    let mean = -out / rest;
    // Squares must add up to count − 1.
    let spread = ((rest - out * out - rest * mean * mean) / (rest - rest % 2.0)).sqrt();
    let others = (1..count).map(|at| match at {
        _ if at == count - 1 && rest % 2.0 == 1.0 => mean,
        _ if at % 2 == 0 => mean + spread,
        _ => mean - spread,
    });
    std::iter::once(out).chain(others).collect()
}

#[test]
fn of_one_two_or_equal_measurements_none_goes() {
    assert!(stay(&[]).is_empty());
    assert_eq!(stay(&[4.0]), [true]);
    assert_eq!(stay(&[4.0, 9.0]), [true, true]);
    assert_eq!(stay(&[0.1; 7]), [true; 7]);
}

proptest! {
    #[test]
    fn unit_and_place_change_nothing(measured in proptest::collection::vec(-9.0..9.0_f64, 3..40), factor in 0.1..9.0_f64) {
        let moved: Vec<f64> = measured.iter().map(|value| value * factor + 100.0).collect();
        prop_assert_eq!(stay(&measured), stay(&moved));
    }
}
