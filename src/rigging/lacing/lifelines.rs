//! The rail beside the numbers that the Offshore Special Regulations give for lifelines. Reports; does not judge.

use super::Rail;
use crate::length::Length;

/// World Sailing Offshore Special Regulations 3.14: height of the upper lifeline, at least.
const UPPER_HEIGHT: Length = Length::mm(600.0);
/// The same: height of an intermediate lifeline, at least.
const INTERMEDIATE_HEIGHT: Length = Length::mm(230.0);
/// The same: vertical opening, at most.
const OPENING: Length = Length::mm(380.0);
/// The same: from one support to the next, at most.
const SUPPORTS_APART: Length = Length::mm(2200.0);
/// Nobody measures a lifeline finer, and the last bits of the arithmetic are far below it.
const AS_GOOD_AS: Length = Length::mm(0.01);

/// What is measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Requirement {
    /// Height of the top wire above the deck edge.
    UpperHeight,
    /// Height of a wire below it, by its place in the rail.
    IntermediateHeight { wire: usize },
    /// From a wire down to what is below it: the next wire, or the deck edge.
    Opening { below_wire: usize },
    /// From the post at this bay's forward end to the one at its after end.
    SupportsApart { bay: usize },
}

/// One measure of the rail beside the one in the regulations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Finding {
    pub requirement: Requirement,
    pub measured: Length,
    /// The least, for a height; else the most.
    pub regulation: Length,
    pub agrees: bool,
}

/// All that can be measured, wires from the top down, then the posts from forward aft.
pub(super) fn findings(rail: &Rail) -> Vec<Finding> {
    let top = rail.wires.len().saturating_sub(1);
    let at_least = |requirement, measured, regulation| Finding {
        requirement,
        measured,
        regulation,
        agrees: measured + AS_GOOD_AS >= regulation,
    };
    let at_most = |requirement, measured, regulation| Finding {
        requirement,
        measured,
        regulation,
        agrees: measured <= regulation + AS_GOOD_AS,
    };
    let heights = rail.wires.iter().enumerate().rev().map(|(wire, height)| {
        let above_deck = *height - rail.deck_edge;
        if wire == top {
            at_least(Requirement::UpperHeight, above_deck, UPPER_HEIGHT)
        } else {
            at_least(Requirement::IntermediateHeight { wire }, above_deck, INTERMEDIATE_HEIGHT)
        }
    });
    let openings =
        rail.wires.iter().enumerate().rev().map(|(wire, height)| {
            at_most(Requirement::Opening { below_wire: wire }, *height - rail.height(wire), OPENING)
        });
    let supports = rail
        .posts
        .windows(2)
        .enumerate()
        .map(|(bay, ends)| at_most(Requirement::SupportsApart { bay }, ends[1] - ends[0], SUPPORTS_APART));
    heights.chain(openings).chain(supports).collect()
}
