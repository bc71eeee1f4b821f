//! Randomised blocks: several ways, each tried once in every trial, so that what a trial was like falls out. Knows no boat.
//!
//! Fisher 1935, *The Design of Experiments*. With two ways it is Student's paired test (1908, *The probable error of a mean*,
//! Biometrika 6, 1–25).

use super::students_t;

/// What one set of blocks shows: each way's mean over the trials, and what is left when ways and trials are taken out.
#[derive(Clone, Debug, PartialEq)]
pub struct Blocked {
    /// The mean of each way.
    pub means: Vec<f64>,
    /// In how many trials each was tried.
    pub trials: usize,
    /// The sum of the squares of what is left: y(t, r) − ȳ(t) − ȳ(r) + ȳ.
    pub squares: f64,
}

/// How much trials scatter round what their ways and their days explain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Scatter {
    /// The standard deviation of what is left.
    pub deviation: f64,
    /// On how many degrees of freedom it is known.
    pub freedom: usize,
}

/// How one way differs from another.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// The place of the way that is asked about, among the means.
    pub of: usize,
    /// The place of the one that it is held against.
    pub over: usize,
    /// By how much its mean is higher.
    pub by: f64,
    /// How unsure that is.
    pub standard_error: f64,
    /// How likely chance alone makes as much, for this pair by itself.
    pub p: f64,
}

/// A scatter under this is rounding, and none that was measured.
const LEAST_SCATTER: f64 = 1e-9;

impl Blocked {
    /// From one list for each trial, with as many values in each; `None` unless there are two trials and two ways.
    pub fn new(trials: &[Vec<f64>]) -> Option<Self> {
        let ways = trials.first()?.len();
        if trials.len() < 2 || ways < 2 || trials.iter().any(|trial| trial.len() != ways) {
            return None;
        }
        let of_way = |way: usize| trials.iter().map(move |trial| trial[way]);
        let means: Vec<f64> = (0..ways).map(|way| mean(of_way(way))).collect();
        let all = mean(means.iter().copied());
        let left = |trial: &[f64]| {
            let of_trial = mean(trial.iter().copied());
            trial.iter().zip(&means).map(|(value, way)| (value - of_trial - way + all).powi(2)).sum::<f64>()
        };
        Some(Blocked { trials: trials.len(), squares: trials.iter().map(|trial| left(trial)).sum(), means })
    }

    /// The degrees of freedom of what is left: (n − 1)(R − 1).
    pub fn freedom(&self) -> usize {
        (self.trials - 1) * (self.means.len() - 1)
    }

    /// Each pair of ways, the later over the earlier.
    pub fn differences(&self, scatter: Scatter) -> Vec<Difference> {
        let pairs = (0..self.means.len()).flat_map(|over| (over + 1..self.means.len()).map(move |of| (of, over)));
        pairs.map(|(of, over)| self.difference(of, over, scatter)).collect()
    }

    fn difference(&self, of: usize, over: usize, scatter: Scatter) -> Difference {
        let by = self.means[of] - self.means[over];
        let standard_error = scatter.standard_error(self.trials);
        Difference { of, over, by, standard_error, p: students_t::two_sided(by / standard_error, scatter.freedom) }
    }
}

impl Scatter {
    /// Of several sets of blocks together; `None` if they hold none, or none to speak of.
    pub fn pooled<'a>(sets: impl IntoIterator<Item = &'a Blocked>) -> Option<Self> {
        let (squares, freedom) =
            sets.into_iter().fold((0.0, 0), |(squares, freedom), set| (squares + set.squares, freedom + set.freedom()));
        let deviation = (squares / freedom as f64).sqrt();
        (deviation > LEAST_SCATTER).then_some(Scatter { deviation, freedom })
    }

    /// Of the difference of two means over so many trials: s·√(2/n).
    pub fn standard_error(&self, trials: usize) -> f64 {
        // A mean of each of two ways.
        self.deviation * (2.0 / trials as f64).sqrt()
    }

    /// How far to either side a difference over so many trials may reach, with the given share of the distribution below
    /// the upper end.
    pub fn half_width(&self, trials: usize, below: f64) -> Option<f64> {
        Some(students_t::quantile(below, self.freedom)? * self.standard_error(trials))
    }
}

fn mean(values: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = values.len() as f64;
    values.sum::<f64>() / count
}
