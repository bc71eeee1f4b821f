//! How many independent values a series of neighbouring ones is worth. Knows no unit and no log.

/// How alike neighbours are: the autocorrelation at a lag of one. `None` in the series is a gap: what stands on either side
/// of it are no neighbours. 0 where nothing can be said, or where neighbours differ more than strangers.
pub fn alikeness(series: &[Option<f64>]) -> f64 {
    let values: Vec<f64> = series.iter().flatten().copied().collect();
    let mean = values.iter().sum::<f64>() / values.len() as f64;
    let squares = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / values.len() as f64;
    let pairs = series.windows(2).filter_map(|pair| Some((pair[0]? - mean) * (pair[1]? - mean)));
    let (count, sum) = pairs.fold((0.0, 0.0), |(count, sum), product| (count + 1.0, sum + product));
    let alike = sum / count / squares;
    if alike.is_finite() { alike.clamp(0.0, 1.0) } else { 0.0 }
}

/// How many independent values would leave the mean as unsure: n′ = n(1 − ρ)/(1 + ρ), at least 1 (Zwiers & von Storch 1995,
/// *Taking serial correlation into account in tests of the mean*, J. Climate 8, 336–351).
///
/// They want n′ ≥ 30 before a test of one series is to be trusted, which no note reaches; so it serves for the bar of a
/// note and for no test.
///
/// ```
/// use cockpit_cards::season::effective_size::effective_size;
///
/// // Ten minutes in which each is half like the one before are worth a third of them.
/// assert_eq!(effective_size(10, 0.5), 10.0 / 3.0);
/// ```
pub fn effective_size(count: usize, alikeness: f64) -> f64 {
    (count as f64 * (1.0 - alikeness) / (1.0 + alikeness)).max(1.0)
}

/// The standard error of the mean of a series with gaps; `None` for fewer than two values.
pub fn standard_error(series: &[Option<f64>]) -> Option<f64> {
    let values: Vec<f64> = series.iter().flatten().copied().collect();
    let (count, mean) = (values.len() as f64, values.iter().sum::<f64>() / values.len() as f64);
    let variance = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>() / (count - 1.0);
    (values.len() > 1).then(|| (variance / effective_size(values.len(), alikeness(series))).sqrt())
}
