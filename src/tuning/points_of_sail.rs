//! The five points of sail and the angles that each stands for: the one place where an angle becomes a point of sail, or a
//! point of sail its angles. Knows no sail, no book and no card.

use super::{Angle, Band};

/// How a course lies to the wind, from the closest to the farthest off.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum PointOfSail {
    /// The boat goes as close to the wind as pays.
    Upwind,
    /// The sheets are just eased from upwind.
    CloseReach,
    /// The wind is abeam.
    BeamReach,
    /// The wind is abaft the beam.
    BroadReach,
    /// The wind is astern, at whatever angle pays.
    Downwind,
}

impl PointOfSail {
    /// All of them, from the closest to the farthest off.
    pub const ALL: [PointOfSail; 5] = [
        PointOfSail::Upwind,
        PointOfSail::CloseReach,
        PointOfSail::BeamReach,
        PointOfSail::BroadReach,
        PointOfSail::Downwind,
    ];
}

/// Where one point of sail gives way to the next; each begins at its lower edge, and downwind has its upper end as well.
///
/// ```
/// use cockpit_cards::tuning::{Angle, PointOfSail, PointsOfSail};
///
/// let usual = PointsOfSail::default();
/// assert_eq!(usual.at(Angle::degrees(54.9)), PointOfSail::Upwind);
/// assert_eq!(usual.at(Angle::degrees(55.0)), PointOfSail::CloseReach);
/// assert_eq!(usual.at(Angle::ASTERN), PointOfSail::Downwind);
/// ```
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PointsOfSail {
    edges: [Angle; 4],
}

impl PointsOfSail {
    /// From the four true wind angles at which one gives way to the next; `None` unless they rise, and lie between head to
    /// wind and right astern.
    pub fn new(edges: [Angle; 4]) -> Option<Self> {
        let [first, .., last] = edges;
        let rise = edges.windows(2).all(|pair| pair[0] < pair[1]);
        (rise && Angle::AHEAD < first && last < Angle::ASTERN).then_some(PointsOfSail { edges })
    }

    /// The angles at which one gives way to the next.
    pub fn edges(&self) -> [Angle; 4] {
        self.edges
    }

    /// The point of sail at a true wind angle.
    pub fn at(&self, angle: Angle) -> PointOfSail {
        let [close, beam, broad, down] = self.edges;
        match angle {
            _ if angle >= down => PointOfSail::Downwind,
            _ if angle >= broad => PointOfSail::BroadReach,
            _ if angle >= beam => PointOfSail::BeamReach,
            _ if angle >= close => PointOfSail::CloseReach,
            _ => PointOfSail::Upwind,
        }
    }

    /// The true wind angles that a point of sail stands for.
    pub fn of(&self, point: PointOfSail) -> Band<Angle> {
        let [close, beam, broad, down] = self.edges;
        match point {
            PointOfSail::Upwind => Band::new(Angle::AHEAD, close),
            PointOfSail::CloseReach => Band::new(close, beam),
            PointOfSail::BeamReach => Band::new(beam, broad),
            PointOfSail::BroadReach => Band::new(broad, down),
            PointOfSail::Downwind => Band { low: down, high: Angle::ASTERN, with_high: true },
        }
    }
}

impl Default for PointsOfSail {
    /// Common practice among trimmers.
    fn default() -> Self {
        PointsOfSail { edges: [55.0, 80.0, 110.0, 150.0].map(Angle::degrees) }
    }
}
