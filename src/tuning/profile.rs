//! How the wind grows with height over the sea: from the ten metres that forecasts are for to the sensor at the masthead.
//! Knows no boat and no book.
//!
//! The logarithmic profile of air that is as warm as the water: u(z)/u(10 m) = ln(z/z₀)/ln(10 m/z₀), with the roughness length
//! z₀ of the open sea (WMO-No. 8, Guide to Instruments and Methods of Observation, measurement of surface wind; the formula
//! and the class of the open sea from memory). Over colder or warmer water the wind grows more or less than this.

use crate::length::Length;

/// Winds are forecast and observed for this height, millimetres (WMO-No. 8).
const FORECAST_HEIGHT_MM: f64 = 10_000.0;
/// Roughness length of the open sea, millimetres: 0.0002 m (WMO-No. 8).
const ROUGHNESS_MM: f64 = 0.2;

/// By how much a sensor at this height reads more than a forecast says; 1 at ten metres. The height is well above the
/// roughness length.
///
/// ```
/// use cockpit_cards::length::Length;
/// use cockpit_cards::tuning::profile::from_forecast_to;
///
/// // ln(17/0.0002)/ln(10/0.0002) = 11.350/10.820.
/// assert!((from_forecast_to(Length::metres(17.0)) - 1.049).abs() < 5e-4);
/// assert_eq!(from_forecast_to(Length::metres(10.0)), 1.0);
/// ```
pub fn from_forecast_to(height: Length) -> f64 {
    (height.to_mm() / ROUGHNESS_MM).ln() / (FORECAST_HEIGHT_MM / ROUGHNESS_MM).ln()
}
