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
    pub worked: hydraulics::Worked,
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
    pub outboard_lead: Option<OutboardLead>,
    pub lacing: Option<Lacing>,
    pub stowage: Option<Stowage>,
}

/// Sheeting a headsail outboard.
#[derive(Clone, Debug, PartialEq)]
pub struct OutboardLead {
    /// What it is for, in words: `J1, reaching`.
    pub sail: Option<String>,
    pub gear: outboard_lead::Gear,
    pub worked: outboard_lead::Worked,
    pub place: Place,
}

/// The bow lacing.
#[derive(Clone, Debug, PartialEq)]
pub struct Lacing {
    pub rig: lacing::Rig,
    /// What her lifelines are held beside.
    pub hull: lacing::Hull,
    /// One if both sides are alike.
    pub sides: Vec<LacingSide>,
    /// Of each kind of line.
    pub spares: usize,
    pub place: Place,
}

/// The rail of one side, or of both.
#[derive(Clone, Debug, PartialEq)]
pub struct LacingSide {
    /// `PORT`, `STARBOARD`; empty if both sides are alike.
    pub side: &'static str,
    pub rail: lacing::Rail,
    pub worked: lacing::Worked,
}

/// What is carried, where, and what is to happen to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Stowage {
    pub boat: stowage::Boat,
    /// Which figures of the boat the book gives, by the names of their fields.
    pub given: Vec<Spanned<&'static str>>,
    pub items: Vec<StowedItem>,
    pub worked: stowage::Worked,
    pub place: Place,
}

#[derive(Clone, Debug, PartialEq)]
pub struct StowedItem {
    pub name: String,
    /// Where it goes, in words: `under the saloon sole`.
    pub stow: Option<String>,
    pub item: stowage::Item,
    pub place: Place,
}
