//! What a book holds of loaded gear: rams, outboard leads, lacing, stowage. Plain data with places; what was worked out
//! when the book was checked is kept beside it, so that no card is ever drawn of gear that cannot be.

use super::model::Spanned;
use super::problem::Place;
use crate::rigging::hydraulics;

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
