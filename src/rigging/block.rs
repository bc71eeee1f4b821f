//! What a block carries for the pull of the line through it. Knows angles and loads, not where a block stands.

/// How many times the pull of the line a block carries, for the angle between the two parts of the line: 2·cos(φ/2).
///
/// The two pulls are equal (friction left out), so their sum lies along the bisector. 0° is a line that turns right back
/// on itself, 180° one that runs straight through. `None` for an angle outside 0° to 180°.
///
/// ```
/// use cockpit_cards::rigging::block::load_factor;
///
/// assert_eq!(load_factor(0.0), Some(2.0));
/// // A block that turns a line by 60° has 120° between the parts, and carries the pull of the line once.
/// assert!((load_factor(120.0).unwrap() - 1.0).abs() < 1e-12);
/// assert_eq!(load_factor(200.0), None);
/// ```
pub fn load_factor(between_parts_deg: f64) -> Option<f64> {
    /// A line that runs straight through.
    const STRAIGHT_DEG: f64 = 180.0;
    if between_parts_deg == STRAIGHT_DEG {
        return Some(0.0);
    }
    (0.0..STRAIGHT_DEG).contains(&between_parts_deg).then(|| 2.0 * (between_parts_deg / 2.0).to_radians().cos())
}
