//! One line of what was set, in what wind, and how it went. Knows no file: whoever reads the notes makes these of its lines.

use jiff::Timestamp;

use crate::tuning::{Angle, BoatSpeed, Wind};

/// A note of what was set for a while. What was not noted is `None`, or absent from the readings, and lends no evidence.
#[derive(Clone, Debug, PartialEq)]
pub struct Note {
    /// The line of the notes' file that it stands on, counted from 1.
    pub line: usize,
    /// When the readings were set.
    pub when: Option<Timestamp>,
    /// When something was changed again.
    pub until: Option<Timestamp>,
    /// The id of the settings table that it belongs to, and so the sails.
    pub settings: String,
    /// The wind as it was read, in the kind of wind that the table's rows are in.
    pub wind: Option<Wind>,
    /// The angle to the true wind, where that was noted.
    pub angle: Option<Angle>,
    /// The sea, in words: `flat`, `chop`.
    pub sea: Option<String>,
    /// How many were below.
    pub below: Option<u32>,
    /// Who steered.
    pub helm: Option<String>,
    /// The name of the trial that it is a leg of.
    pub trial: Option<String>,
    /// The id of each control whose reading was noted, and that reading.
    pub readings: Vec<(String, Noted)>,
    /// The speed through the water, as it was read.
    pub speed: Option<BoatSpeed>,
    /// How it went.
    pub verdict: Option<Verdict>,
    /// Who wrote it.
    pub who: Option<String>,
    /// Anything else, in words.
    pub remark: Option<String>,
    /// What a comparison found when it was taken into the book; no person writes this.
    pub found: Option<Found>,
}

impl Note {
    /// What was noted of a control.
    pub fn reading_of(&self, control: &str) -> Option<Noted> {
        self.readings.iter().find(|(id, _)| id == control).map(|(_, noted)| *noted)
    }

    /// Whether it says that she went fast.
    pub fn is_fast(&self) -> bool {
        self.verdict == Some(Verdict::Fast)
    }
}

/// What was set on one control.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Noted {
    /// It was not used.
    NotUsed,
    /// The same on both sides, or a control without sides.
    One(Reading),
    /// Set differently on the two sides; `None`: that side was not noted.
    Sides {
        /// On the port side.
        port: Option<Reading>,
        /// On the starboard side.
        starboard: Option<Reading>,
    },
}

/// A reading in the coordinate of its control's scale, or the range that a trimmer played it over.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// The least of it.
    pub least: f64,
    /// The greatest of it; the same as the least where it stood still.
    pub greatest: f64,
}

/// How it went, in the words of the hand-over card.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// As fast as she goes, or faster.
    Fast,
    /// Nothing to remark.
    Ok,
    /// Slower than she should be.
    Slow,
}

/// What a comparison found of the book's reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Found {
    /// It stays.
    Keep,
    /// It was changed.
    Change,
}
