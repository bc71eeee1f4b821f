//! Student's distribution: how far a mean of few may lie from the truth. Knows nothing that was measured.

use statrs::distribution::{ContinuousCDF, StudentsT};
use statrs::function::beta::beta_reg;

/// How likely it is that chance alone gives a value as far from 0, to either side, as `t` on so many degrees of freedom.
pub fn two_sided(t: f64, freedom: usize) -> f64 {
    let freedom = freedom as f64;
    // Of no degrees of freedom, or of what is no number, nothing is known: chance may have made it.
    if freedom < 1.0 || t.is_nan() {
        return 1.0;
    }
    beta_reg(freedom / 2.0, 0.5, freedom / (freedom + t * t))
}

/// The value that a share `below` of the distribution lies below; `None` without a degree of freedom, or for a share that
/// is not between 0 and 1.
pub fn quantile(below: f64, freedom: usize) -> Option<f64> {
    let student = StudentsT::new(0.0, 1.0, freedom as f64).ok()?;
    (0.0 < below && below < 1.0).then(|| student.inverse_cdf(below))
}
