//! A smooth line through scattered points, that a few wild ones do not bend. Knows nothing of what they are.
//!
//! Cleveland 1979, *Robust locally weighted regression and smoothing scatterplots*, J. Am. Stat. Assoc. 74, 829–836.

/// How the line is drawn.
#[derive(Clone, Copy, Debug)]
pub struct Options {
    /// The share of the points that the line at one place is drawn through.
    pub share: f64,
    /// How often points far off the line are given less weight and the line drawn anew.
    pub times: usize,
    /// Places closer than this together are not fitted one by one: the line is straight between those that are.
    pub apart: f64,
}

impl Default for Options {
    /// As Cleveland has it where nothing else is known: two thirds of the points, and three times anew.
    fn default() -> Self {
        Options { share: 2.0 / 3.0, times: 3, apart: 0.0 }
    }
}

/// Residuals of so many medians have no weight (Cleveland 1979).
const MEDIANS: f64 = 6.0;
/// A weight under this is none.
const LEAST_WEIGHT: f64 = 1e-12;
/// Parts of the highest point that are rounding, and no distance from the line.
const ROUNDING: f64 = 1e-12;
/// A spread of places under this is none, and the line level.
const LEAST_SPREAD: f64 = 1e-12;

/// The height of the line at each of the points, in their order. Points that are no numbers have none, and give none.
pub fn line(points: &[(f64, f64)], options: Options) -> Vec<Option<f64>> {
    let mut rising: Vec<usize> = (0..points.len()).collect();
    rising.retain(|at| points[*at].0.is_finite() && points[*at].1.is_finite());
    rising.sort_by(|a, b| points[*a].0.total_cmp(&points[*b].0));
    let (places, heights): (Vec<f64>, Vec<f64>) = rising.iter().map(|at| points[*at]).unzip();
    let fitted = Fit { places: &places, heights: &heights, options }.line();
    let mut line = vec![None; points.len()];
    rising.into_iter().zip(fitted).for_each(|(at, height)| line[at] = Some(height));
    line
}

/// Points in rising order of their places.
struct Fit<'a> {
    places: &'a [f64],
    heights: &'a [f64],
    options: Options,
}

impl Fit<'_> {
    fn line(&self) -> Vec<f64> {
        let mut trust = vec![1.0; self.places.len()];
        let mut line = self.once(&trust);
        for _ in 0..self.options.times {
            trust = self.trust_in(&line);
            line = self.once(&trust);
        }
        line
    }

    /// How many points one place looks at.
    fn near(&self) -> usize {
        // The slack keeps 0.3 of 10 from being two.
        let count = (self.options.share * self.places.len() as f64 + 1e-10) as usize;
        count.clamp(1, self.places.len().max(1))
    }

    fn once(&self, trust: &[f64]) -> Vec<f64> {
        let mut line = vec![0.0; self.places.len()];
        let (mut window, mut fitted) = (0, None);
        let mut at = 0;
        while at < self.places.len() {
            window = self.window(window, at);
            line[at] = self.height(at, window, trust);
            if let Some(before) = fitted {
                self.straight(&mut line, before, at);
            }
            let (last, next) = self.next(&mut line, at);
            fitted = Some(last);
            at = next;
        }
        line
    }

    /// The first of the points nearest to one, no lower than that of the point before it.
    fn window(&self, mut first: usize, at: usize) -> usize {
        let near = self.near();
        while first + near < self.places.len()
            && self.places[at] > self.places[first].midpoint(self.places[first + near])
        {
            first += 1;
        }
        first
    }

    /// The weighted straight line through the nearest points, at one of them.
    fn height(&self, at: usize, first: usize, trust: &[f64]) -> f64 {
        let here = self.places[at];
        let near = first..first + self.near();
        let radius = (here - self.places[near.start]).max(self.places[near.end - 1] - here);
        let weigh = |other: usize| trust[other] * by_distance((self.places[other] - here).abs(), radius);
        let weights: Vec<(usize, f64)> = near.map(|other| (other, weigh(other))).collect();
        let all: f64 = weights.iter().map(|(_, weight)| weight).sum();
        // Two points make a line; with fewer that count the point stands for itself.
        if weights.iter().filter(|(_, weight)| *weight > LEAST_WEIGHT).count() < 2 {
            return self.heights[at];
        }
        let sum = |of: &dyn Fn(usize) -> f64| weights.iter().map(|(other, weight)| weight * of(*other)).sum::<f64>();
        let middle = sum(&|other| self.places[other]) / all;
        let spread = (sum(&|other| (self.places[other] - middle).powi(2)) / all).max(LEAST_SPREAD);
        let pull = (here - middle) / spread;
        sum(&|other| (1.0 + pull * (self.places[other] - middle)) * self.heights[other]) / all
    }

    /// Fills in a straight line between two fitted points.
    fn straight(&self, line: &mut [f64], from: usize, to: usize) {
        let (low, high) = (line[from], line[to]);
        let span = self.places[to] - self.places[from];
        let between = from + 1..to;
        for (height, place) in line[between.clone()].iter_mut().zip(&self.places[between]) {
            *height = low + (place - self.places[from]) / span * (high - low);
        }
    }

    /// The last point at the same place as a fitted one, all of which have its height, and the next to fit: the last that
    /// is not too far on.
    fn next(&self, line: &mut [f64], at: usize) -> (usize, usize) {
        let (here, mut last) = (self.places[at], at);
        while last + 1 < self.places.len() && self.places[last + 1] == here {
            last += 1;
            line[last] = line[at];
        }
        let reach = self.places.partition_point(|place| *place <= here + self.options.apart);
        (last, (reach - 1).max(last + 1))
    }

    /// How much each point is to be trusted, by how far off the line it lies: Tukey's biweight of six medians.
    fn trust_in(&self, line: &[f64]) -> Vec<f64> {
        let off: Vec<f64> = self.heights.iter().zip(line).map(|(height, line)| (height - line).abs()).collect();
        let scale = MEDIANS * median(&off);
        // Where half of the points lie on the line but for rounding, there is no telling what is far off it.
        let highest = self.heights.iter().fold(0.0, |highest: f64, height| highest.max(height.abs()));
        if scale <= ROUNDING * highest {
            return vec![1.0; off.len()];
        }
        off.into_iter().map(|off| by_residual(off, scale)).collect()
    }
}

/// The tricube weight; all that counts at one place counts alike.
fn by_distance(distance: f64, radius: f64) -> f64 {
    if radius > 0.0 { (1.0 - (distance / radius).min(1.0).powi(3)).powi(3) } else { 1.0 }
}

/// The biweight.
fn by_residual(off: f64, scale: f64) -> f64 {
    (1.0 - (off / scale).min(1.0).powi(2)).powi(2)
}

fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let half = sorted.len() / 2;
    match sorted.len() {
        0 => 0.0,
        count if count % 2 == 1 => sorted[half],
        _ => sorted[half - 1].midpoint(sorted[half]),
    }
}
