//! A setting as a curve over wind speed, through the winds where it is known. Knows nothing of scales or bands.

/// How a control runs between two known winds.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Between {
    #[default]
    Monotone,
    Linear,
    Step,
}

/// A curve through known points; never outside the range of the two known values around any wind.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    points: Vec<(f64, f64)>,
    slopes: Vec<f64>,
    between: Between,
}

impl Curve {
    /// `None` if there is no point, a number is not finite, or the abscissae do not strictly rise.
    pub fn new(_points: Vec<(f64, f64)>, _between: Between) -> Option<Self> {
        todo!()
    }

    /// The value at `x`; `None` beyond the first and last point.
    pub fn at(&self, _x: f64) -> Option<f64> {
        todo!()
    }
}
