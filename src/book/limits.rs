//! Every limit that a book is held to, in one place, each with its reason. Knows the numbers, not who asks.

use std::ops::RangeInclusive;

use crate::length::Length;

/// A book or a table larger than this is some other file: 60 cards take about 30 kB.
pub const MAX_FILE_BYTES: usize = 4_000_000;
/// Lists and fields inside one another; a book needs about seven.
pub const MAX_NESTING: usize = 32;
/// Values in a book once its references are written out; a full race boat has about a thousand.
pub const MAX_VALUES: usize = 200_000;
/// Characters in one text; a card of postcard size holds about this many in all.
pub const MAX_TEXT_CHARACTERS: usize = 400;
/// Characters in an id: it becomes a file name.
pub const MAX_ID_CHARACTERS: usize = 40;

/// Controls, sails, settings: more than any boat has, few enough that every check stays quick.
pub const MAX_DECLARED: usize = 300;
/// Problems after which references to unknown names get no suggestion: nobody reads so far before mending some.
pub const MAX_SUGGESTIONS: usize = 200;
/// Rows of a settings table, and bands of wind: a card holds about a tenth of it.
pub const MAX_ROWS: usize = 200;

/// Marks on one strip, halves and quarters included: past this a strip is a tape measure.
pub const MAX_MARKS: u64 = 500;
/// The printed length of one strip. A PDF page holds 5.08 m (ISO 32000-1, annex C.2: 14,400 units).
pub const MAX_STRIP: Length = Length::mm(5000.0);
/// Printed distance between neighbouring marks: below this two lines run into one under a laminate.
pub const MIN_MARK_GAP: Length = Length::mm(1.0);
/// Between marks, of the control's own travel.
pub const SPACING: RangeInclusive<Length> = Length::mm(0.1)..=Length::mm(5000.0);
/// A place on a measured scale or an edge of a tape, from the datum.
pub const PLACE_ON_SCALE: RangeInclusive<Length> = Length::mm(-5000.0)..=Length::mm(5000.0);
/// Across a strip: a numeral and its tick need the least, a side deck gives the most.
pub const STRIP_WIDTH: RangeInclusive<Length> = Length::mm(8.0)..=Length::mm(150.0);
/// From the reader's eye to the strip.
pub const READING_DISTANCE: RangeInclusive<Length> = Length::mm(200.0)..=Length::mm(5000.0);
/// From the hard point on deck to the strip's lowest mark.
pub const DATUM_DISTANCE: RangeInclusive<Length> = Length::mm(0.0)..=Length::mm(30_000.0);
/// Parts of a purchase; cascades on a backstay reach 48, and a lead that halves the travel has ½.
/// Radius of a curved track.
pub const ARC_RADIUS: RangeInclusive<Length> = Length::mm(150.0)..=Length::mm(50_000.0);
/// Lanes of wind speeds beside the marks of one strip.
pub const MAX_LANES: usize = 4;
/// What two readings of a tape measure may be off together.
pub const TAPE_READING: Length = Length::mm(1.0);
/// What a tape measure may be off over its length, as a part of it.
pub const TAPE_SHARE: f64 = 0.002;
/// A tube or drum that a scale is laid around.
pub const TUBE_DIAMETER: RangeInclusive<Length> = Length::mm(5.0)..=Length::mm(1500.0);
/// The film of a strip laid around a tube, adhesive and laminate included.
pub const FILM_THICKNESS: RangeInclusive<Length> = Length::mm(0.0)..=Length::mm(3.0);
/// Parts of a purchase; cascades on a backstay reach 48, and a lead that halves the travel has ½.
pub const PURCHASE: RangeInclusive<f64> = 0.125..=48.0;
/// Marks either way on a scale with numbers; it keeps sums inside `i32`.
pub const MAX_MARK_NUMBER: i32 = 10_000;
/// Characters of the name of a scale's end or centre: it stands beside every mark.
pub const MAX_END_CHARACTERS: usize = 12;

/// A keelboat that races, from the smallest to the largest.
pub const BOAT_LENGTH: RangeInclusive<Length> = Length::mm(3000.0)..=Length::mm(80_000.0);
/// The luff of a sail on such a boat.
pub const LUFF: RangeInclusive<Length> = Length::mm(1000.0)..=Length::mm(100_000.0);
/// Wind speed, knots: a calm to well past force 12.
pub const WIND_KN: RangeInclusive<f64> = 0.0..=100.0;
/// How much earlier to change at night, knots: more than a Beaufort force is another sail plan.
pub const CHANGE_EARLIER_KN: RangeInclusive<f64> = 0.5..=10.0;
/// A strop between a sail and where it is made fast.
pub const STROP: RangeInclusive<Length> = Length::mm(0.0)..=Length::mm(20_000.0);
/// Columns of the wardrobe when the book gives none, degrees wide.
pub const DEFAULT_ANGLE_STEP_DEG: f64 = 20.0;
/// True wind angle, degrees off the bow.
pub const WIND_ANGLE_DEG: RangeInclusive<f64> = 0.0..=180.0;
/// Heel to sail at, degrees.
pub const HEEL_DEG: RangeInclusive<f64> = 0.0..=60.0;
/// Boat speed to aim for, knots.
pub const BOAT_SPEED_KN: RangeInclusive<f64> = 0.1..=50.0;

/// The width of a strip when the book gives none.
pub const DEFAULT_STRIP_WIDTH: Length = Length::mm(22.0);
/// From a trimmer's eye to a scale on deck when the book gives none.
pub const DEFAULT_READING_DISTANCE: Length = Length::mm(1200.0);
/// Wind bands when the book gives none, in knots: the lower limits of Beaufort forces 2 to 8 (WMO, Manual on Codes,
/// code table 1100; from memory).
pub const DEFAULT_BAND_EDGES_KN: [f64; 7] = [4.0, 7.0, 11.0, 17.0, 22.0, 28.0, 34.0];
/// What a gauge is read to when the book does not say, in its own unit.
pub const DEFAULT_GAUGE_STEP: f64 = 1.0;
/// People aboard.
pub const MAX_CREW: u32 = 60;
