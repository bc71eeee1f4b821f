//! Marks and fractions as people write and read them: `4½`, `4 1/2`, `4-1/2`, `4.5`. Knows no scale.

/// Reads a mark: a whole number, optionally signed, with an optional fraction written as a decimal, a vulgar fraction
/// character, or a separate fraction. Returns `None` for anything else; `4,5` and `41/2` are not marks.
pub fn parse(_text: &str) -> Option<f64> {
    todo!()
}

/// Writes a mark the way it is printed: `4½`, `−1¼`, `0`. Eighths and finer come out as decimals.
pub fn print(_value: f64) -> String {
    todo!()
}
