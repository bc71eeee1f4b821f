//! The rail beside the numbers that the Offshore Special Regulations give for lifelines. Reports; does not judge.
//!
//! The numbers are those of World Sailing's Offshore Special Regulations 3.14 as reprinted in public copies (3.14.1 b and
//! g for small and for older boats, from memory of such copies). The words were not compared with the edition in force.

use super::Rail;
use crate::length::Length;

/// Height of the upper of two lifelines, at least.
const UPPER_HEIGHT: Length = Length::mm(600.0);
/// Height of an intermediate lifeline, at least.
const INTERMEDIATE_HEIGHT: Length = Length::mm(230.0);
/// Vertical opening, at most.
const OPENING: Length = Length::mm(380.0);
/// The same, for a boat of an earlier launch than [`NARROW_OPENINGS_SINCE`].
const OPENING_BEFORE: Length = Length::mm(560.0);
/// The year of the primary launch from which on openings are held to the narrower number.
pub const NARROW_OPENINGS_SINCE: i32 = 1993;
/// Height of the only lifeline that a small boat may have.
const SINGLE_HEIGHT: [Length; 2] = [Length::mm(450.0), Length::mm(560.0)];
/// A hull that is shorter counts as small.
pub const SMALL_HULL: Length = Length::mm(8500.0);
/// From one support to the next, at most.
const SUPPORTS_APART: Length = Length::mm(2200.0);
/// The opening between an open pulpit and the boat, at most: nothing in a rail says how wide it is.
pub const PULPIT_OPENING: Length = Length::mm(360.0);
/// Nobody measures a lifeline finer, and the last bits of the arithmetic are far below it.
const AS_GOOD_AS: Length = Length::mm(0.01);

/// What the regulations ask about the boat, as far as it is known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Hull {
    /// Length of hull; unknown counts as not small.
    pub length: Option<Length>,
    /// The year of her primary launch.
    pub launched: Option<i32>,
}

impl Hull {
    /// Whether she is so short that one lifeline will do.
    pub fn is_small(&self) -> bool {
        self.length.is_some_and(|length| length < SMALL_HULL)
    }
}

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Requirement {
    /// Height of the top wire above the deck edge.
    UpperHeight,
    /// Height of a wire below it, by its place in the rail.
    IntermediateHeight {
        /// The place of the wire, counted from 0 at the lowest.
        wire: usize,
    },
    /// From a wire down to what is below it: the next wire, or the deck edge.
    Opening {
        /// The place of the wire above the opening, counted from 0 at the lowest.
        below_wire: usize,
    },
    /// From the post at this bay's forward end to the one at its after end.
    SupportsApart {
        /// The place of the bay, counted from 0 at the bow.
        bay: usize,
    },
}

/// What the regulations allow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Bound {
    /// The measure must be this or more.
    AtLeast(Length),
    /// The measure must be this or less.
    AtMost(Length),
    /// The height of the only lifeline must lie between these, both allowed.
    Between(Length, Length),
    /// Of the top wire of a small boat: a single lifeline from `single[0]` to `single[1]`, or the upper of two.
    SingleOrUpper {
        /// The lowest and the highest that is allowed where there is one lifeline.
        single: [Length; 2],
        /// The lowest that is allowed for the upper of two.
        upper: Length,
    },
    /// The year of the launch is not known: at most `since`, or at most `before` for a boat of an earlier one.
    AtMostByLaunch {
        /// The most that is allowed if she was launched in the year of the change or later.
        since: Length,
        /// The most that is allowed if she was launched before.
        before: Length,
    },
}

impl Bound {
    /// Whether a measure agrees; `None` if it hangs on the year of the launch.
    pub fn admits(self, measured: Length) -> Option<bool> {
        let at_least = |least: Length| measured + AS_GOOD_AS >= least;
        let at_most = |most: Length| measured <= most + AS_GOOD_AS;
        match self {
            Bound::AtLeast(least) => Some(at_least(least)),
            Bound::AtMost(most) => Some(at_most(most)),
            Bound::Between(least, most) => Some(at_least(least) && at_most(most)),
            Bound::SingleOrUpper { single: [least, most], upper } => {
                Some(at_least(upper) || (at_least(least) && at_most(most)))
            }
            Bound::AtMostByLaunch { since, before } => match (at_most(since), at_most(before)) {
                (true, _) => Some(true),
                (false, true) => None,
                (false, false) => Some(false),
            },
        }
    }
}

/// One measure of the rail beside the one in the regulations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finding {
    /// What was measured.
    pub requirement: Requirement,
    /// What it measures on this rail.
    pub measured: Length,
    /// What the regulations allow.
    pub bound: Bound,
    /// `None` if it hangs on the year of the launch.
    pub agrees: Option<bool>,
}

/// The opening that this boat may have between two of her lines.
pub fn opening_bound(hull: &Hull) -> Bound {
    match hull.launched {
        Some(year) if year < NARROW_OPENINGS_SINCE => Bound::AtMost(OPENING_BEFORE),
        Some(_) => Bound::AtMost(OPENING),
        None => Bound::AtMostByLaunch { since: OPENING, before: OPENING_BEFORE },
    }
}

/// All that can be measured, wires from the top down, then the posts from forward aft.
pub(super) fn findings(rail: &Rail, hull: &Hull) -> Vec<Finding> {
    let finding =
        |requirement, measured, bound: Bound| Finding { requirement, measured, bound, agrees: bound.admits(measured) };
    let top = rail.wires.len().saturating_sub(1);
    let top_height = rail.height(top + 1) - rail.deck_edge;
    let single = Bound::Between(SINGLE_HEIGHT[0], SINGLE_HEIGHT[1]);
    // The top wire does as the only lifeline: what is below it is more than is asked for.
    let is_single = hull.is_small() && (top == 0 || single.admits(top_height) == Some(true));
    let upper = match (is_single, hull.is_small()) {
        (true, _) => single,
        (false, true) => Bound::SingleOrUpper { single: SINGLE_HEIGHT, upper: UPPER_HEIGHT },
        (false, false) => Bound::AtLeast(UPPER_HEIGHT),
    };
    let lower = (0..top).rev().filter(|_| !is_single).map(|wire| {
        let above_deck = rail.height(wire + 1) - rail.deck_edge;
        finding(Requirement::IntermediateHeight { wire }, above_deck, Bound::AtLeast(INTERMEDIATE_HEIGHT))
    });
    let openings = rail.wires.iter().enumerate().rev().filter(|_| !is_single).map(|(wire, height)| {
        finding(Requirement::Opening { below_wire: wire }, *height - rail.height(wire), opening_bound(hull))
    });
    let supports = rail.posts.windows(2).enumerate().map(|(bay, ends)| {
        finding(Requirement::SupportsApart { bay }, ends[1] - ends[0], Bound::AtMost(SUPPORTS_APART))
    });
    let upper = finding(Requirement::UpperHeight, top_height, upper);
    std::iter::once(upper).chain(lower).chain(openings).chain(supports).collect()
}
