//! A stretch of a log over which wind and course held still. Knows no log's format and no settings.

use jiff::Timestamp;

use crate::tuning::{Angle, BoatSpeed, Wind};

/// Means over a steady stretch of a log.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Block {
    /// When it begins.
    pub start: Timestamp,
    /// How long it is.
    pub seconds: f64,
    /// True wind speed.
    pub wind: Wind,
    /// True wind angle off the bow, 0° to 180°.
    pub angle: Angle,
    /// Whether the wind comes over the starboard side.
    pub is_starboard_tack: bool,
    /// Speed through the water.
    pub speed: BoatSpeed,
    /// Heel, away from upright to either side, where it was logged.
    pub heel: Option<Angle>,
    /// Course that the bow points to, where it was logged, in degrees from north.
    pub heading_deg: Option<f64>,
}
