//! Chauvenet's criterion: which of a few measurements of one thing are too far out to be of it. Knows no unit.

use statrs::function::erf::erfc;

/// Fewer measurements than this say nothing of how far one may lie from the rest.
const FEWEST: usize = 3;
/// A measurement goes if fewer than half a one so far out would be expected among as many (Chauvenet; also ISO 19030-2).
const EXPECTED: f64 = 0.5;

/// For each measurement, whether it stays.
///
/// It goes if among as many of a normal distribution, with their mean and standard deviation, fewer than half a measurement
/// would be as far from the mean or farther. The criterion is applied once: of what stays nothing is asked again. For
/// directions give how far each is from their mean direction, so that 359° and 1° lie together.
///
/// ```
/// use cockpit_cards::season::chauvenet;
///
/// let speeds = [6.8, 6.9, 6.8, 6.7, 6.9, 9.4];
/// assert_eq!(chauvenet::stay(&speeds), [true, true, true, true, true, false]);
/// ```
pub fn stay(measured: &[f64]) -> Vec<bool> {
    let count = measured.len() as f64;
    let mean = measured.iter().sum::<f64>() / count;
    let deviation = (measured.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (count - 1.0)).sqrt();
    let is_expected = |value: &f64| {
        let as_far_out = erfc((value - mean).abs() / (deviation * std::f64::consts::SQRT_2));
        // Where all are alike, none is out: the comparison with what is no number must keep it.
        measured.len() < FEWEST || deviation == 0.0 || as_far_out * count >= EXPECTED
    };
    measured.iter().map(is_expected).collect()
}
