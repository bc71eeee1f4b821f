//! What makes an outboard lead impossible before anything is worked out. Knows where gear can be, not what it does.

use super::{Fixed, Gear, LoadRatio, Part, SheetLoad};
use crate::length::Length;
use crate::rigging::axes::Position;
use crate::rigging::is_positive;

/// Why there is no answer. Tweaker marks are named by their number on the scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Impossible {
    /// A place, a mark or a length that is not a number.
    NotANumber {
        /// The number that is meant.
        what: Numbers,
    },
    /// The clew is not aft of the tack.
    ClewAheadOfTack,
    /// The sheet could not pull the clew down to it.
    ClewNotAbove {
        /// The piece of gear that is meant.
        gear: Fixed,
        /// How high the clew is.
        clew: Length,
        /// How high the gear is.
        height: Length,
    },
    /// No lead angle can be told: the gear is not aft of the tack.
    AheadOfTack {
        /// The piece of gear that is meant.
        gear: Fixed,
    },
    /// The outboard block is not aft of the clew, so the sheet could not lead back to it.
    OutboardBlockAheadOfClew {
        /// How far aft of the stem the block is.
        block: Length,
        /// How far aft of the stem the clew is.
        clew: Length,
    },
    /// The gear is on the other side of the boat from the outboard block.
    OtherSide {
        /// The piece of gear that is meant.
        gear: Fixed,
    },
    /// The ends of the track have the same mark.
    TrackMarks,
    /// The ends of the track are as far aft as each other: its marks would not move the lead.
    TrackAthwart,
    /// The car's mark is not on the track.
    CarOffTrack {
        /// The mark that was given for the car.
        car: f64,
    },
    /// The outboard block is where the sheet leads on to.
    SheetLeadsNowhere,
    /// Gear outside the hull line, by so much; `None` if the hull line does not reach that far forward or aft.
    OutsideHull {
        /// The piece of gear that is meant.
        gear: Fixed,
        /// How far outside it is.
        by: Option<Length>,
    },
    /// Fewer than two points, or one no further aft than the one before, or a breadth below 0.
    HullLine {
        /// The place of the point in the list, counted from 0.
        point: usize,
    },
    /// No mark on the tweaker's scale.
    NoTweakerMark,
    /// A tweaker of no length, at this mark.
    TweakerLength {
        /// The mark on the tweaker's scale.
        mark: f64,
        /// The length that was given.
        length: Length,
    },
    /// The straight sheet passes this near the eye, and no mark makes the tweaker shorter.
    SlackAtEveryMark {
        /// The least length at which the tweaker is slack.
        slack_from: Length,
    },
    /// The tweaker would pull its block forward of the clew, or up to its height.
    BlockPastTheClew {
        /// The mark on the tweaker's scale.
        mark: f64,
        /// Where the block would come to rest.
        block: Position,
    },
    /// The eye lies in one line with the straight sheet, beyond its ends.
    PadEyeInLine,
    /// A load that is 0, negative or not a number.
    SheetLoad {
        /// The load that was given.
        kilonewton: f64,
    },
    /// A working load that is 0, negative or not a number.
    WorkingLoad {
        /// The part that it is of.
        part: Part,
        /// The working load that was given.
        kilonewton: f64,
    },
    /// Working loads without a load of the sheet to hold against them.
    NoLoadToCompare,
    /// A part would carry more than its maker allows.
    Overload {
        /// The mark on the tweaker's scale.
        mark: f64,
        /// The load beside what the maker allows.
        ratio: LoadRatio,
    },
    /// The numbers are too large to work with.
    TooLarge,
}

/// A number that was given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Numbers {
    /// The place of the tack.
    Tack,
    /// The place of the clew.
    Clew,
    /// The place of a fixed piece of gear.
    Fixed(Fixed),
    /// The mark at which the car stands.
    Car,
    /// The marks at the ends of the track.
    TrackMarks,
    /// One mark of the tweaker, by its place in the list.
    TweakerMark {
        /// The place of the mark in the list, counted from 0.
        index: usize,
    },
}

/// Places further from the stem than this are no part of a boat: ten kilometres.
const FURTHEST: Length = Length::metres(10_000.0);

/// The least that the outboard block is aft of the clew, for the sheet to have a direction.
const LEAST_LEAD: Length = Length::mm(1.0);
/// No scale has a mark so high, and no sheet so much load, in kilonewtons.
const MOST: f64 = 1e6;

pub(super) fn of_gear(gear: &Gear) -> Vec<Impossible> {
    let mut faults = numbers(gear);
    faults.extend(loads(gear));
    faults.extend(hull_line(gear));
    if faults.is_empty() {
        faults.extend(places(gear));
        faults.extend(track(gear));
    }
    faults
}

fn fixed(gear: &Gear) -> Vec<(Fixed, Position)> {
    let known = [
        (Fixed::TrackFirst, gear.track.first.place),
        (Fixed::TrackLast, gear.track.last.place),
        (Fixed::OutboardBlock, gear.outboard_block),
        (Fixed::PadEye, gear.pad_eye),
    ];
    known.into_iter().chain(gear.leads_on_to.map(|place| (Fixed::LeadsOnTo, place))).collect()
}

fn numbers(gear: &Gear) -> Vec<Impossible> {
    let named = [(Numbers::Tack, gear.tack), (Numbers::Clew, gear.clew)];
    let fixed = fixed(gear).into_iter().map(|(what, place)| (Numbers::Fixed(what), place));
    let places = named.into_iter().chain(fixed).filter_map(|(what, place)| {
        if !place.is_finite() {
            return Some(Impossible::NotANumber { what });
        }
        let too_far = [place.x, place.y, place.z].into_iter().any(|part| part.abs() > FURTHEST);
        too_far.then_some(Impossible::TooLarge)
    });
    let marks = [
        (Numbers::Car, gear.car),
        (Numbers::TrackMarks, gear.track.first.mark),
        (Numbers::TrackMarks, gear.track.last.mark),
    ];
    let marks = marks
        .into_iter()
        .chain(gear.tweaker.iter().enumerate().map(|(index, mark)| (Numbers::TweakerMark { index }, mark.mark)))
        .filter(|(_, value)| !value.is_finite() || value.abs() > MOST)
        .map(|(what, value)| if value.is_finite() { Impossible::TooLarge } else { Impossible::NotANumber { what } });
    let lengths = gear
        .tweaker
        .iter()
        .filter(|mark| !is_positive(mark.length.to_mm()))
        .map(|mark| Impossible::TweakerLength { mark: mark.mark, length: mark.length });
    let none = gear.tweaker.is_empty().then_some(Impossible::NoTweakerMark);
    places.chain(marks).chain(lengths).chain(none).collect()
}

fn loads(gear: &Gear) -> Vec<Impossible> {
    let allowed = &gear.working_loads;
    let allowed = [
        (Part::Sheet, allowed.sheet_kilonewton),
        (Part::OutboardBlock, allowed.outboard_block_kilonewton),
        (Part::TweakerBlock, allowed.tweaker_block_kilonewton),
        (Part::Tweaker, allowed.tweaker_kilonewton),
        (Part::PadEye, allowed.pad_eye_kilonewton),
    ];
    let given: Vec<(Part, f64)> =
        allowed.into_iter().filter_map(|(part, load)| load.map(|load| (part, load))).collect();
    let mut faults: Vec<Impossible> = given
        .iter()
        .filter(|(_, load)| !is_positive(*load))
        .map(|(part, load)| Impossible::WorkingLoad { part: *part, kilonewton: *load })
        .collect();
    match gear.sheet_load {
        SheetLoad::Kilonewton(kilonewton) if !is_positive(kilonewton) => {
            faults.push(Impossible::SheetLoad { kilonewton });
        }
        SheetLoad::Kilonewton(kilonewton) if kilonewton > MOST => faults.push(Impossible::TooLarge),
        SheetLoad::PerHundredKilograms if !given.is_empty() => faults.push(Impossible::NoLoadToCompare),
        _ => {}
    }
    faults
}

fn hull_line(gear: &Gear) -> Vec<Impossible> {
    let Some(hull) = &gear.hull_line else { return Vec::new() };
    if hull.points.len() < 2 {
        return vec![Impossible::HullLine { point: hull.points.len().saturating_sub(1) }];
    }
    let bad = |point: &usize| {
        let (x, out) = hull.points[*point];
        let aft = *point == 0 || is_positive((x - hull.points[point - 1].0).to_mm());
        !(aft && x.to_mm().is_finite() && out.to_mm().is_finite() && out >= Length::ZERO)
    };
    (0..hull.points.len()).filter(bad).map(|point| Impossible::HullLine { point }).collect()
}

fn places(gear: &Gear) -> Vec<Impossible> {
    let mut faults = Vec::new();
    if gear.clew.x <= gear.tack.x {
        faults.push(Impossible::ClewAheadOfTack);
    }
    let outward = gear.outward();
    if gear.outboard_block.x < gear.clew.x + LEAST_LEAD {
        faults.push(Impossible::OutboardBlockAheadOfClew { block: gear.outboard_block.x, clew: gear.clew.x });
    }
    for (what, place) in fixed(gear) {
        // Where the sheet goes after its block is free: to a winch at any height, on either side.
        if what != Fixed::LeadsOnTo {
            if place.z >= gear.clew.z {
                faults.push(Impossible::ClewNotAbove { gear: what, clew: gear.clew.z, height: place.z });
            }
            if place.x <= gear.tack.x {
                faults.push(Impossible::AheadOfTack { gear: what });
            }
            if place.y * outward < gear.tack.y * outward {
                faults.push(Impossible::OtherSide { gear: what });
            }
        }
        if let Some(hull) = &gear.hull_line {
            match hull.outside_by(place) {
                None => faults.push(Impossible::OutsideHull { gear: what, by: None }),
                Some(by) if by > ON_THE_EDGE => faults.push(Impossible::OutsideHull { gear: what, by: Some(by) }),
                Some(_) => {}
            }
        }
    }
    if gear.leads_on_to.is_some_and(|place| place == gear.outboard_block) {
        faults.push(Impossible::SheetLeadsNowhere);
    }
    faults
}

/// A place this little outside the hull line is on it: the last bits of the arithmetic, far below a tape measure.
const ON_THE_EDGE: Length = Length::mm(0.01);

fn track(gear: &Gear) -> Vec<Impossible> {
    let (first, last) = (gear.track.first, gear.track.last);
    let mut faults = Vec::new();
    if first.mark == last.mark {
        faults.push(Impossible::TrackMarks);
    } else if !(first.mark.min(last.mark)..=first.mark.max(last.mark)).contains(&gear.car) {
        faults.push(Impossible::CarOffTrack { car: gear.car });
    }
    if first.place.x == last.place.x {
        faults.push(Impossible::TrackAthwart);
    }
    faults
}
