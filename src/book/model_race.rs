//! What a book holds of the race itself: who sails, what rights the boat, who is on watch, what wind is expected, what
//! has to be done before the start. Plain data with places, no arithmetic.

use jiff::ZonedDateTime;

use super::problem::Place;
use crate::tuning::air::Air;
use crate::tuning::righting::{Crew, Hull};
use crate::tuning::watches::{Race, Rota};
use crate::tuning::{Angle, Wind};

/// The sections of the race; a book may have any of them.
#[derive(Clone, Debug, Default)]
pub struct RaceSections {
    pub crew: Option<CrewSection>,
    pub righting: Option<Righting>,
    pub watches: Option<Watches>,
    /// In order of time.
    pub forecast: Vec<Forecast>,
    /// In the order of the book.
    pub checks: Vec<Check>,
}

/// How many sail, how heavy they are and where they sit and sleep.
#[derive(Clone, Debug, PartialEq)]
pub struct CrewSection {
    pub crew: Crew,
    pub place: Place,
}

/// What rights the boat, and when heel is what limits her.
#[derive(Clone, Debug, PartialEq)]
pub struct Righting {
    pub hull: Hull,
    /// A row whose target heel is this or more is heel-limited, degrees.
    pub limited_from_deg: f64,
    /// For upwind rows that have no target heel: from this wind on they are heel-limited, at `limited_from_deg`. `None`:
    /// such rows are not reckoned.
    pub limited_from_wind: Option<Wind>,
    /// The true wind angle upwind where a target gives none.
    pub upwind_angle: Option<Angle>,
    /// The air to sail in.
    pub air: Option<Air>,
    /// The air she was tuned in: only beside this does the density of the other count.
    pub tuned_in: Option<Air>,
    pub place: Place,
}

/// Who is on watch when.
#[derive(Clone, Debug, PartialEq)]
pub struct Watches {
    pub rota: Rota,
    pub race: Race,
    /// The name of its time zone, as written: `Europe/London`.
    pub time_zone: String,
    /// The fewest that may be on deck.
    pub least_on_deck: usize,
    pub place: Place,
}

/// The wind expected from a time on.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    pub from: ZonedDateTime,
    /// True wind, least and most; the same if one was written.
    pub wind: (Wind, Wind),
    /// True wind angle on the course to be sailed.
    pub angle: Option<Angle>,
    /// True wind in the gusts.
    pub gust: Option<Wind>,
    pub place: Place,
}

/// Something to do before the start.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    pub what: String,
    pub who: Option<String>,
    /// A deadline in the book's words: `Friday night`, `2027-06-11 18:00`.
    pub by: Option<String>,
    /// A safety rule of the race itself.
    pub is_race_rule: bool,
    pub place: Place,
}
