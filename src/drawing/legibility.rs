//! How big text must be to be read from a distance. Knows sizes and angles, not what is written.
//!
//! Character height from visual angle: H = 2·D·tan(θ/2), with 20 minutes of arc preferred and 15 the least
//! (NUREG-0700 rev. 3, guideline 11.4.1.5-1).

use crate::length::Length;

/// Visual angle of a capital that reads well, minutes of arc.
pub const WANTED_ARC_MINUTES: f64 = 20.0;
/// Visual angle of the smallest words that must be read on a card, minutes of arc: capitals of 3 mm at 0.6 m, between the
/// two of the guideline.
pub const CARD_ARC_MINUTES: f64 = 17.0;
/// Visual angle below which text is refused, minutes of arc.
pub const LEAST_ARC_MINUTES: f64 = 15.0;
/// Visual angle of a strip's numerals where there is room, minutes of arc.
pub const NUMERAL_ARC_MINUTES: f64 = 30.0;

/// A card in the hand or beside a winch.
pub const CARD_DISTANCE: Length = Length::mm(600.0);
/// A legend or stamp that one bends down to.
pub const LEGEND_DISTANCE: Length = Length::mm(350.0);
/// A strip on deck, read by someone standing over it.
pub const STRIP_DISTANCE: Length = Length::mm(1200.0);

/// Height of a capital that subtends `arc_minutes` at `distance`.
///
/// ```
/// use cockpit_cards::{drawing::legibility::cap_height, length::Length};
///
/// // At arm's length, 0.6 m, twenty minutes of arc is a capital of 3.5 mm.
/// assert!((cap_height(Length::mm(600.0), 20.0).to_mm() - 3.49).abs() < 0.01);
/// ```
pub fn cap_height(distance: Length, arc_minutes: f64) -> Length {
    distance * 2.0 * ((arc_minutes / 60.0).to_radians() / 2.0).tan()
}

/// Visual angle in minutes of arc of a capital of `height` at `distance`; the inverse of [`cap_height`].
pub fn arc_minutes(height: Length, distance: Length) -> f64 {
    (2.0 * (height / distance / 2.0).atan()).to_degrees() * 60.0
}
