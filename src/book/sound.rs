//! The book of one boat once it has been read without an error: the only book that cards, printing, editions and
//! reissuing take. Nobody else can make one or change one. Reads nothing.

use std::collections::BTreeSet;
use std::ops::Deref;

use super::model::Sections;
use super::tree::Node;
use crate::tuning::WindUnit;

/// A book that is sound: what its sections hold can be reckoned with.
///
/// It is read like [`Sections`], and made by the readers of this stage alone. Either it is whole, or it is what is left of a
/// book with errors, which is looked at on for the sake of its other problems and never handed out.
#[derive(Clone, Debug)]
pub struct Book {
    sections: Sections,
    missing: Missing,
    /// Its cards are made to be printed, and nobody asks for the working behind them.
    is_unexplained: bool,
}

/// What was taken out of a book because it has an error, or refers to something that has one.
#[derive(Clone, Debug, Default)]
pub(super) struct Missing {
    pub sections: BTreeSet<Section>,
    /// The ids of controls, sails, settings and adjustments.
    pub names: BTreeSet<String>,
    /// Whether some of these have no id that could be made out: then any name may be theirs.
    pub nameless: bool,
}

/// A section of the book of which something can be missing.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Section {
    /// `wind_bands`: the rows of the cards.
    WindBands,
    /// `wind_source`: what the winds of the book are.
    WindSource,
    /// `points_of_sail`: the angles that each stands for.
    PointsOfSail,
    /// `controls`: what a trimmer moves.
    Controls,
    /// `sails`: what can be set.
    Sails,
    /// `settings`: the tuning matrices.
    Settings,
    /// `adjust`: moves for a sea or a sky.
    Adjustments,
    /// `dark`: what changes at night.
    Dark,
    /// `change_points`: how far apart building and easing rungs stand.
    ChangePoints,
    /// `wardrobe`: the winds and angles that sails should serve.
    Wardrobe,
    /// `crew`: who sails.
    Crew,
    /// `righting`: what rights the boat.
    Righting,
    /// `watches`: who is on deck when.
    Watches,
    /// `forecast`: the winds expected.
    Forecast,
    /// `checks`: what has to be done before the start.
    Checks,
    /// `outboard_lead`: a headsail sheeted outboard.
    OutboardLead,
    /// `lacing`: the line between the lifelines.
    Lacing,
    /// `stowage`: what is carried, and where.
    Stowage,
    /// `sailed`: the notes of what was sailed.
    Sailed,
    /// `cards`: the cards that are asked for.
    Cards,
}

impl Book {
    /// A book in which no error was found.
    pub(super) fn whole(sections: Sections) -> Self {
        Book { sections, missing: Missing::default(), is_unexplained: false }
    }

    /// What is left of a book; `missing` says what is not.
    pub(super) fn rest(sections: Sections, missing: Missing) -> Self {
        Book { sections, missing, is_unexplained: false }
    }

    /// Whether something was taken out of this section. Who would conclude anything from what is not there asks this first.
    pub(crate) fn lacks(&self, section: Section) -> bool {
        self.missing.sections.contains(&section)
    }

    /// Whether anything was taken out at all.
    pub(crate) fn lacks_anything(&self) -> bool {
        !self.missing.sections.is_empty()
    }

    /// Whether something in or below a node is, or may be, the name of what was taken out.
    pub(crate) fn lacks_what_is_named_in(&self, node: &Node) -> bool {
        self.missing.nameless || node.texts().any(|text| self.missing.names.contains(text))
    }

    /// The same book with its winds printed in another unit; what it says of them stays.
    pub fn with_winds_in(mut self, unit: WindUnit) -> Book {
        self.sections.units.wind = unit;
        self
    }

    /// The same book without the mark of an example, for what holds none of its numbers.
    pub fn unmarked(mut self) -> Book {
        self.sections.example = false;
        self
    }

    /// The same book to make cards of whose working nobody asks for.
    pub(crate) fn unexplained(mut self) -> Book {
        self.is_unexplained = true;
        self
    }

    /// A working behind a card, unless nobody asks for it: of a large table it is many times what stands on the card.
    pub(crate) fn explained<Working: Default>(&self, working: impl FnOnce() -> Working) -> Working {
        if self.is_unexplained { Working::default() } else { working() }
    }

    /// The book as it sails now: without the sails that do not, and without their settings.
    pub fn afloat(&self) -> Book {
        Book { sections: self.sections.afloat(), missing: self.missing.clone(), is_unexplained: self.is_unexplained }
    }
}

impl Deref for Book {
    type Target = Sections;

    fn deref(&self) -> &Sections {
        &self.sections
    }
}
