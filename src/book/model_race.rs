//! What a book holds of the race itself: who sails, what rights the boat, who is on watch, what wind is expected, what
//! has to be done before the start. Plain data with places, no arithmetic.

use jiff::ZonedDateTime;

use super::problem::Place;
use crate::tuning::air::Air;
use crate::tuning::floaters::{Floater, Outside};
use crate::tuning::righting::{Bunks, Crew, Hull};
use crate::tuning::watches::{Plan, Race, Rota, WatchError, plan};
use crate::tuning::{Angle, Wind};

/// The sections of the race; a book may have any of them.
#[derive(Clone, Debug, Default)]
pub struct RaceSections {
    /// Who sails, if the book says.
    pub crew: Option<CrewSection>,
    /// What rights the boat, if the book says.
    pub righting: Option<Righting>,
    /// The watches, if the book has any.
    pub watches: Option<Watches>,
    /// The winds expected, in order of time.
    pub forecast: Vec<Forecast>,
    /// What has to be done before the start, in the order of the book.
    pub checks: Vec<Check>,
}

/// How many sail, how heavy they are and where they sit and sleep.
#[derive(Clone, Debug, PartialEq)]
pub struct CrewSection {
    /// The numbers and places that righting moments are reckoned with.
    pub crew: Crew,
    /// How many are below at most times while racing, and where: settings cards have a line for them.
    pub usually_below: Option<UsuallyBelow>,
    /// Where `crew` stands in the book.
    pub place: Place,
}

/// The usual number below, which no watch of one race changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct UsuallyBelow {
    /// How many.
    pub hands: u32,
    /// In which bunks.
    pub side: Bunks,
}

/// What rights the boat, and when heel is what limits her.
#[derive(Clone, Debug, PartialEq)]
pub struct Righting {
    /// What is known of the hull: its mass, and the lever or height that rights it.
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
    /// Where `righting` stands in the book.
    pub place: Place,
}

/// Who is on watch when.
#[derive(Clone, Debug, PartialEq)]
pub struct Watches {
    /// How the crew is divided and how long a watch lasts.
    pub rota: Rota,
    /// Those of the watches who are in no team.
    pub floaters: Vec<Floater>,
    /// Those who stand no watch.
    pub outside: Vec<Outside>,
    /// The start, the finish and the clock that they are read on.
    pub race: Race,
    /// The name of its time zone, as written: `Europe/London`.
    pub time_zone: String,
    /// The fewest that may be on deck.
    pub least_on_deck: usize,
    /// Where `watches` stands in the book.
    pub place: Place,
}

impl Watches {
    /// Everyone's watches from start to finish.
    ///
    /// # Errors
    /// None in a book that was read without an error.
    pub fn plan(&self) -> Result<Plan, WatchError> {
        plan(&self.rota, &self.race)?.with_floaters(&self.floaters)?.with_outside(&self.outside)
    }
}

/// The wind expected from a time on.
#[derive(Clone, Debug, PartialEq)]
pub struct Forecast {
    /// The time from which on it is expected.
    pub from: ZonedDateTime,
    /// The true wind, least and most; both are the same if one was written.
    pub wind: (Wind, Wind),
    /// The true wind angle on the course to be sailed.
    pub angle: Option<Angle>,
    /// The true wind in the gusts.
    pub gust: Option<Wind>,
    /// Where this entry stands in the book.
    pub place: Place,
}

/// Something to do before the start.
#[derive(Clone, Debug, PartialEq)]
pub struct Check {
    /// What is to be done, in words.
    pub what: String,
    /// Who does it, in words.
    pub who: Option<String>,
    /// A deadline in the book's words: `Friday night`, `2027-06-11 18:00`.
    pub by: Option<String>,
    /// A safety rule of the race itself.
    pub is_race_rule: bool,
    /// Where this entry stands in the book.
    pub place: Place,
}
