//! What a book holds of loaded gear: rams, outboard leads, lacing, stowage. Plain data with places; what was worked out
//! when the book was checked is kept beside it, so that no card is ever drawn of gear that cannot be.

use super::problem::Place;
use super::spanned::Spanned;
use crate::rigging::{hydraulics, lacing, outboard_lead, stowage};

/// The hydraulic ram that moves a control.
#[derive(Clone, Debug, PartialEq)]
pub struct RamPlan {
    /// What each limit of `worked` belongs to, in the same order: `ram`, `rig`, `hose`.
    pub limits_of: Vec<Spanned<String>>,
    /// Every step from the ram's sizes and limits to the pressure that is allowed.
    pub worked: hydraulics::Worked,
    /// Where `ram` stands in the book.
    pub place: Place,
}

impl RamPlan {
    /// What has the lowest limit.
    pub fn weakest(&self) -> &str {
        self.limits_of.get(self.worked.lowest).map_or("ram", |limit| &limit.value)
    }
}

/// The sections of loaded gear and stowage; a book may have any of them.
#[derive(Clone, Debug, Default)]
pub struct RiggingSections {
    /// The outboard lead of a headsail, if the book has one.
    pub outboard_lead: Option<OutboardLead>,
    /// The lacing between the lifelines, if the book has any.
    pub lacing: Option<Lacing>,
    /// What is carried and where, if the book says.
    pub stowage: Option<Stowage>,
}

/// Sheeting a headsail outboard.
#[derive(Clone, Debug, PartialEq)]
pub struct OutboardLead {
    /// What it is for, in words: `J1, reaching`.
    pub sail: Option<String>,
    /// The places and loads that the book gives.
    pub gear: outboard_lead::Gear,
    /// Every step from these to where the lead goes and what it carries.
    pub worked: outboard_lead::Worked,
    /// Where `outboard_lead` stands in the book.
    pub place: Place,
}

/// The bow lacing.
#[derive(Clone, Debug, PartialEq)]
pub struct Lacing {
    /// The line and the wires that both sides share.
    pub rig: lacing::Rig,
    /// What her lifelines are held beside.
    pub hull: lacing::Hull,
    /// The sides of the boat; one entry if both are alike.
    pub sides: Vec<LacingSide>,
    /// How many spare pieces to cut of each kind of line.
    pub spares: usize,
    /// Where `lacing` stands in the book.
    pub place: Place,
}

/// The rail of one side, or of both.
#[derive(Clone, Debug, PartialEq)]
pub struct LacingSide {
    /// `PORT`, `STARBOARD`; empty if both sides are alike.
    pub side: &'static str,
    /// The posts, wires and gates of this side.
    pub rail: lacing::Rail,
    /// Every step from these to the nodes and the lengths to cut.
    pub worked: lacing::Worked,
}

/// What is carried, where, and what is to happen to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Stowage {
    /// The figures of the boat that trim and heel are reckoned from.
    pub boat: stowage::Boat,
    /// Which figures of the boat the book gives, by the names of their fields.
    pub given: Vec<Spanned<&'static str>>,
    /// What is carried, in the order of the book.
    pub items: Vec<StowedItem>,
    /// What each stage of the race does to her trim, list and pitching.
    pub worked: stowage::Worked,
    /// Where `stowage` stands in the book.
    pub place: Place,
}

/// One thing that is carried.
#[derive(Clone, Debug, PartialEq)]
pub struct StowedItem {
    /// The name as printed.
    pub name: String,
    /// Where it goes, in words: `under the saloon sole`.
    pub stow: Option<String>,
    /// Its mass, its place now and the place it goes to, as they are reckoned with.
    pub item: stowage::Item,
    /// Where this entry stands in the book.
    pub place: Place,
}
