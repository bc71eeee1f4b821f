//! Holm's correction: which of many comparisons hold when all of them are looked at together. Knows nothing of what was compared.

/// For each of many comparisons, whether it holds, so that with the given chance at most any of them holds that should not.
///
/// The smallest `p` must be under the level divided by their number, the next under the level divided by one fewer, and so
/// on until one is not (Holm 1979, *A simple sequentially rejective multiple test procedure*, Scand. J. Statist. 6, 65–70).
///
/// ```
/// use cockpit_cards::season::holm::hold;
///
/// // 0.02 alone would be under 0.05, and beside three others it is not.
/// assert_eq!(hold(&[0.02, 0.4, 0.01, 0.7], 0.05), [false, false, true, false]);
/// ```
pub fn hold(p: &[f64], level: f64) -> Vec<bool> {
    let mut rising: Vec<usize> = (0..p.len()).collect();
    rising.sort_by(|a, b| p[*a].total_cmp(&p[*b]));
    let mut holds = vec![false; p.len()];
    for (rank, &at) in rising.iter().enumerate() {
        // What is no number is under nothing.
        if p[at].is_nan() || p[at] >= level / (p.len() - rank) as f64 {
            break;
        }
        holds[at] = true;
    }
    holds
}
