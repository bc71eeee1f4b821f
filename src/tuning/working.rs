//! One line of the working behind a number, for whoever wants to check it by hand. Computes nothing itself.

use super::mark;

/// A step from known numbers to a new one.
#[derive(Clone, Debug, PartialEq)]
pub struct Step {
    /// What is found: `righting moment, all on the rail`.
    pub finds: &'static str,
    /// In symbols, or where the number is from: `RM = Δ·g·GZ + Σ m·g·(y·cos φ − z·sin φ)`.
    pub formula: String,
    /// The result, in `unit`.
    pub value: f64,
    /// Empty for a plain number.
    pub unit: &'static str,
}

impl Step {
    pub(super) fn new(finds: &'static str, formula: impl Into<String>, value: f64, unit: &'static str) -> Self {
        Step { finds, formula: formula.into(), value, unit }
    }

    /// The value as it is printed in a working, unit included: `30 100 N·m` needs no decimals, `1.049` does.
    pub fn printed(&self) -> String {
        let number = mark::print_decimal(self.rounded());
        if self.unit.is_empty() { number } else { format!("{number} {}", self.unit) }
    }

    /// To four significant figures or to whole numbers: enough to follow the working with a pocket calculator.
    fn rounded(&self) -> f64 {
        const FIGURES: i32 = 4;
        const MOST_DECIMALS: i32 = 6;
        const TEN: f64 = 10.0;
        if self.value == 0.0 || !self.value.is_finite() {
            return self.value;
        }
        let decimals = (FIGURES - 1 - self.value.abs().log10().floor() as i32).clamp(0, MOST_DECIMALS);
        let shift = TEN.powi(decimals);
        (self.value * shift).round() / shift
    }
}
