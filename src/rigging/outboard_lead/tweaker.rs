//! Where a block rides on a sheet when a tweaker of a given length holds it down. Knows three places and a length.

use super::super::axes::{Position, Vector};
use crate::length::Length;

/// Where the block is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Block {
    /// The straight sheet passes within reach.
    Slack,
    At(Position),
    /// The eye lies on the line of the straight sheet but beyond its ends: the sheet would run back along itself.
    InLine,
}

/// A tweaker this much too short to be slack still is: a micron, which no boat holds.
const SLACK_WITHIN: Length = Length::mm(1e-3);
/// Sine of the angle below which three places are in one line: a millimetre in ten kilometres.
const IN_LINE: f64 = 1e-7;

/// How near the straight sheet from `clew` to `outboard` passes to `eye`.
pub(super) fn slack_from(clew: Position, outboard: Position, eye: Position) -> Length {
    let sheet = outboard - clew;
    let part = (eye - clew).dot(sheet) / sheet.dot(sheet);
    eye.distance_to(clew.part_way_to(outboard, part.clamp(0.0, 1.0)))
}

/// The place on the sphere of radius `length` about `eye` from which the way to `clew` and to `outboard` is least.
///
/// The block is in the plane of the three, since any step out of it makes both parts longer; and within their triangle,
/// so its bearing from the eye is between that of the clew and that of the outboard block. There the slope of the sheet's
/// length along the arc, (from clew + from outboard)·(along the arc) of unit vectors, goes from below 0 to above it
/// and is 0 once, where the sheet's length, which is convex, is least.
pub(super) fn block(clew: Position, outboard: Position, eye: Position, length: Length, slack_from: Length) -> Block {
    if slack_from <= length + SLACK_WITHIN {
        return Block::Slack;
    }
    let (Some(to_clew), Some(to_outboard)) = ((clew - eye).unit(), (outboard - eye).unit()) else {
        return Block::InLine;
    };
    let between = to_clew.angle_to(to_outboard);
    let across = (to_outboard - to_clew * to_clew.dot(to_outboard)).unit();
    let Some(across) = across.filter(|_| between.sin() > IN_LINE) else { return Block::InLine };

    let at = |angle: f64| eye + (to_clew * angle.cos() + across * angle.sin()) * length.to_mm();
    let slope = |angle: f64| {
        let along_arc = to_clew * -angle.sin() + across * angle.cos();
        let from = |place: Position| (at(angle) - place).unit().map_or(0.0, |way: Vector| way.dot(along_arc));
        from(clew) + from(outboard)
    };
    let (mut low, mut high) = (0.0, between);
    loop {
        let middle = low + (high - low) / 2.0;
        if middle <= low || middle >= high {
            return Block::At(at(middle));
        }
        if slope(middle) < 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
}
