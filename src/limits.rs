//! Every limit that a book, a table and a print are held to, in one place, each with its reason. Knows the numbers, not
//! who asks.
//!
//! A limit that people can meet by ordinary work stands in the handbook's table as well; `tests/books/limits.rs` tries each at the
//! limit and one past it. What a limit keeps out is a slip of the pen or of the unit, or a file made to do harm: every
//! loop over a book ends, and no sum leaves the numbers a card can print.

use std::ops::RangeInclusive;

use crate::length::Length;

// Files

/// A book or a table larger than this is some other file: 60 cards take about 30 kB.
pub const MAX_FILE_BYTES: usize = 4_000_000;
/// The files that a book names together: no table of settings has a tenth of one file's limit.
pub const MAX_TABLES_BYTES: usize = 2 * MAX_FILE_BYTES;
/// What a workbook unpacks to, as far as it is read: notes of twenty seasons take a quarter of it.
pub const MAX_UNPACKED_BYTES: usize = 4 * MAX_FILE_BYTES;
/// What all workbooks unpack to that a book names: as many sheets as it has settings take a tenth of it.
pub const MAX_UNPACKED_TOGETHER: usize = 2 * MAX_UNPACKED_BYTES;
/// What is read of those, each sheet that is named twice through: the largest workbook, and as much again. The same part can stand
/// under many names.
pub const MAX_SHEET_BYTES_READ: usize = 4 * MAX_UNPACKED_BYTES;
/// Sheets that a message lists.
pub const MAX_LISTED_SHEETS: usize = 12;
/// Cells of one sheet with something in them: the most notes, with forty columns each.
pub const MAX_SHEET_CELLS: usize = 400_000;
/// Ways in which the cells of a workbook are shown: spreadsheets keep no more than 65,490 (from memory).
pub const MAX_CELL_STYLES: usize = 65_490;
/// Bytes of the format in which a spreadsheet shows numbers: they allow 255 letters.
pub const MAX_NUMBER_FORMAT_BYTES: usize = 1_024;
/// The editions of a book: 1,000 cards take about 2 MB, each of their releases 150 bytes more.
pub const MAX_EDITIONS_BYTES: usize = 16_000_000;
/// The readings of printers: a hundred take about 20 kB.
pub const MAX_READINGS_BYTES: usize = 1_000_000;
/// Lists and fields inside one another; a book needs about seven.
pub const MAX_NESTING: usize = 32;
/// Values in a book once its references are written out; a full race boat has about a thousand.
pub const MAX_VALUES: usize = 200_000;
/// Bytes of text in a book once its references are written out: one long text could stand in it a hundred thousand times.
pub const MAX_WRITTEN_BYTES: usize = 2 * MAX_FILE_BYTES;
/// Characters in one text; a card of postcard size holds about this many in all.
pub const MAX_TEXT_CHARACTERS: usize = 400;
/// Characters in an id: it becomes a file name.
pub const MAX_ID_CHARACTERS: usize = 40;
/// Problems after which references to unknown names get no suggestion: nobody reads so far before mending some.
pub const MAX_SUGGESTIONS: usize = 200;

/// Problems after which odd characters are no longer told one by one.
pub const MAX_ODD_CHARACTERS: usize = 1_000;

// How many

/// Controls, sails, settings, things stowed: more than any boat has, few enough that every
/// check stays quick.
pub const MAX_DECLARED: usize = 300;
/// Rows of a settings table or of a CSV file, pairs of a measured scale, tapes, words, and bands of wind: a card holds
/// about a tenth of it.
pub const MAX_ROWS: usize = 200;
/// Notes of what was sailed: a line every quarter of an hour through twenty seasons of a hundred hours each is 8,000.
pub const MAX_NOTES: usize = 10_000;
/// Sails that one sail flies with, one at a time: more headsails and gennakers than a boat carries.
pub const MAX_PARTNERS: usize = 12;
/// Sets of sails that the `flies_with` of a whole book make: each is held against each other.
pub const MAX_SETS: usize = 200;
/// Sails of one set: one that could be set alone, and one that flies under it.
pub const MAX_SET: usize = 2;
/// Cards and strips of one book, and entries of its list of cards: an entry can ask for several, and a control for two.
pub const MAX_CARDS: usize = 1_000;
/// Pages of one PDF: nobody cuts out more in one go, and a printer's tray holds half of it.
pub const MAX_PAGES: usize = 1_000;
/// Marks on one strip, halves and quarters included: past this a strip is a tape measure.
pub const MAX_MARKS: u64 = 500;
/// Marks either way on a scale with numbers; it keeps sums inside `i32`.
pub const MAX_MARK_NUMBER: i32 = 10_000;
/// Steps of its scale that the readings of one control run through in one group of settings, from row to row: two hundred rows
/// that go from end to end of a scale of 500 marks.
pub const MAX_STEPS_OF_A_COLUMN: u32 = 100_000;
/// The same of all settings of a book: 60 groups of ten gauges that go from 0 to 3,000 by ones are 1.8 million.
pub const MAX_STEPS_OF_A_BOOK: u32 = 5_000_000;
/// Characters of the name of a scale's end or centre: it stands beside every mark.
pub const MAX_END_CHARACTERS: usize = 12;
/// Lanes of wind speeds beside the marks of one strip.
pub const MAX_LANES: usize = 4;
/// People aboard.
pub const MAX_CREW: u32 = 60;
/// Teams of a watch system.
pub const TEAMS: RangeInclusive<usize> = 1..=12;
/// Times a day that a floater comes up; more is no rest.
pub const MAX_HOURS: usize = 12;
/// Spare pieces of lacing line.
pub const MAX_SPARES: i32 = 10;
/// Pixels of one picture: an A2 poster at 300 dots per inch, or 256 MB of memory while it is drawn.
pub const MAX_PIXELS: u64 = 64_000_000;

// Strips

/// The printed length of one strip. A PDF page holds 5.08 m (ISO 32000-1, annex C.2: 14,400 units).
pub const MAX_STRIP: Length = Length::mm(5000.0);
/// Printed distance between neighbouring marks: below this two lines run into one under a laminate.
pub const MIN_MARK_GAP: Length = Length::mm(1.0);
/// Between marks, of the control's own travel.
pub const SPACING: RangeInclusive<Length> = Length::mm(0.1)..=Length::mm(5000.0);
/// Parts of a purchase; cascades on a backstay reach 48, and a lead that halves the travel has ½.
pub const PURCHASE: RangeInclusive<f64> = 0.125..=48.0;
/// A place on a measured scale or an edge of a tape, from the datum.
pub const PLACE_ON_SCALE: RangeInclusive<Length> = Length::mm(-5000.0)..=Length::mm(5000.0);
/// Across a strip: a numeral and its tick need the least, a side deck gives the most.
pub const STRIP_WIDTH: RangeInclusive<Length> = Length::mm(8.0)..=Length::mm(150.0);
/// From the reader's eye to the strip.
pub const READING_DISTANCE: RangeInclusive<Length> = Length::mm(200.0)..=Length::mm(5000.0);
/// From the hard point on deck to the strip's lowest mark.
pub const DATUM_DISTANCE: RangeInclusive<Length> = Length::mm(0.0)..=Length::mm(30_000.0);
/// Radius of a curved track.
pub const ARC_RADIUS: RangeInclusive<Length> = Length::mm(150.0)..=Length::mm(50_000.0);
/// A tube or drum that a scale is laid around.
pub const TUBE_DIAMETER: RangeInclusive<Length> = Length::mm(5.0)..=Length::mm(1500.0);
/// The film of a strip laid around a tube, adhesive and laminate included.
pub const FILM_THICKNESS: RangeInclusive<Length> = Length::mm(0.0)..=Length::mm(3.0);
/// What two readings of a tape measure may be off together.
pub const TAPE_READING: Length = Length::mm(1.0);
/// What a tape measure may be off over its length, as a part of it.
pub const TAPE_SHARE: f64 = 0.002;

// Boat, sails, wind

/// A keelboat that races, from the smallest to the largest.
pub const BOAT_LENGTH: RangeInclusive<Length> = Length::mm(3000.0)..=Length::mm(80_000.0);
/// A wind sensor above the water: lower is spray, and no mast of these boats is higher.
pub const SENSOR_HEIGHT: RangeInclusive<Length> = Length::mm(2000.0)..=Length::mm(120_000.0);
/// From her stem, her centreline or her waterline to anything aboard: no boat that races reaches further.
pub const ABOARD: RangeInclusive<Length> = Length::mm(-100_000.0)..=Length::mm(100_000.0);
/// The luff of a sail on such a boat.
pub const LUFF: RangeInclusive<Length> = Length::mm(1000.0)..=Length::mm(100_000.0);
/// A strop between a sail and where it is made fast.
pub const STROP: RangeInclusive<Length> = Length::mm(0.0)..=Length::mm(20_000.0);
/// Wind speed, knots: a calm to well past force 12.
pub const WIND_KN: RangeInclusive<f64> = 0.0..=100.0;
/// How much earlier to change at night, knots: more than a Beaufort force is another sail plan.
pub const CHANGE_EARLIER_KN: RangeInclusive<f64> = 0.5..=10.0;
/// Between building and easing on a ladder of change points, knots: 0 is none; more than a Beaufort force is another sail plan.
pub const RUNGS_APART_KN: RangeInclusive<f64> = 0.0..=5.0;
/// True wind angle, degrees off the bow.
pub const WIND_ANGLE_DEG: RangeInclusive<f64> = 0.0..=180.0;
/// True wind angle upwind, degrees: further off the wind she is not upwind.
pub const UPWIND_ANGLE_DEG: RangeInclusive<f64> = 20.0..=80.0;
/// Heel to sail at, degrees.
pub const HEEL_DEG: RangeInclusive<f64> = 0.0..=60.0;
/// Boat speed to aim for, knots.
pub const BOAT_SPEED_KN: RangeInclusive<f64> = 0.1..=50.0;

// Logs of the instruments

/// Bytes in one line of a log; a sentence has 82, a line of many columns some hundreds.
pub const MAX_LOG_LINE_BYTES: usize = 16_384;
/// Columns of a log.
pub const MAX_LOG_COLUMNS: usize = 300;
/// Records in one block of a log: ten in a second for an hour.
pub const MAX_BLOCK_RECORDS: usize = 36_000;
/// Stretches of time between which a log's clock jumps; a day logged every half minute has 2,880.
pub const MAX_LOG_STRETCHES: usize = 100_000;
/// What a log can mean by a direction, degrees: written from −180 to 180, or from 0 to 360.
pub const LOGGED_DIRECTION_DEG: RangeInclusive<f64> = -180.0..=360.0;
/// What a log can mean by speed through the water, knots; a paddlewheel at rest says 0.
pub const LOGGED_SPEED_KN: RangeInclusive<f64> = 0.0..=50.0;
/// What a log can mean by heel to either side, degrees.
pub const LOGGED_HEEL_DEG: RangeInclusive<f64> = -90.0..=90.0;
/// Seconds in a block of a log: in less no scatter shows, in more no leg of a trial has five.
pub const BLOCK_SECONDS: RangeInclusive<u32> = 10..=3600;

// Crew, watches, stability

/// A person's place from the centreline.
pub const CREW_OUT: RangeInclusive<Length> = Length::mm(0.0)..=Length::mm(15_000.0);
/// A person's place from the boat's centre of gravity, up or down.
pub const CREW_ABOVE: RangeInclusive<Length> = Length::mm(-10_000.0)..=Length::mm(10_000.0);
/// Anyone who sails, with clothes.
pub const CREW_MASS_KG: RangeInclusive<f64> = 20.0..=250.0;
/// A length of time in a watch plan, seconds: whether whole minutes, and how long a watch may be, the plan says.
pub const WATCH_SECONDS: RangeInclusive<f64> = 1.0..=604_800.0;
/// From a dinghy with a lid to the largest yacht.
pub const DISPLACEMENT_KG: RangeInclusive<f64> = 100.0..=2_000_000.0;
/// GM.
pub const METACENTRIC_HEIGHT: RangeInclusive<Length> = Length::mm(10.0)..=Length::mm(20_000.0);
/// GZ.
pub const RIGHTING_LEVER: RangeInclusive<Length> = Length::mm(-20_000.0)..=Length::mm(20_000.0);
/// Heel in a table of GZ, degrees.
pub const RIGHTING_LEVER_HEEL_DEG: RangeInclusive<f64> = 0.0..=180.0;
/// One thing stowed, or what sinks her a centimetre.
pub const STOWED_MASS_KG: RangeInclusive<f64> = 0.01..=1_000_000.0;
/// Moment that changes her trim by a centimetre, kg·m: a small keelboat's is above ten, the largest yacht's below the end.
pub const MOMENT_TO_TRIM: RangeInclusive<f64> = 0.5..=1_000_000.0;
/// Mass that sinks her a centimetre, kilograms: 10 kg for each square metre of waterplane, from a dinghy with a lid to the largest yacht.
pub const MASS_TO_SINK: RangeInclusive<f64> = 1.0..=100_000.0;
/// From her stem to her centre of gravity or of flotation, which no keelboat has at the very bow.
pub const CENTRE_AFT: RangeInclusive<Length> = Length::mm(500.0)..=Length::mm(80_000.0);
/// Across her at the widest.
pub const BEAM: RangeInclusive<Length> = Length::mm(500.0)..=Length::mm(40_000.0);
/// Radius of gyration in pitch: about a quarter of her length by common practice.
pub const GYRADIUS: RangeInclusive<Length> = Length::mm(300.0)..=Length::mm(40_000.0);
/// The year a boat was launched.
pub const LAUNCHED: RangeInclusive<i32> = 1800..=2200;
/// How many times its dry mass a wet thing weighs.
pub const WET_FACTOR: RangeInclusive<f64> = 1.0..=20.0;
/// What is left of a store, as a part of it.
pub const LOADED_PART: RangeInclusive<f64> = 0.0..=1.0;

// Rams, lacing, outboard lead

/// Rams on a sailing boat, from a small vang to the largest backstay.
pub const RAM_DIAMETER: RangeInclusive<Length> = Length::mm(1.0)..=Length::mm(500.0);
/// Between a ram and what it moves on the rig: from a ram far out on a boom to one close to its heel.
pub const LEVER: RangeInclusive<f64> = 0.05..=20.0;
/// A hand pump on deck reaches about a third of the upper end.
pub const PRESSURE_BAR: RangeInclusive<f64> = 0.1..=1000.0;
/// The limit of a part of the rig.
pub const FORCE_NEWTON: RangeInclusive<f64> = 1.0..=10_000_000.0;
/// Between two crests of the bow lacing.
pub const LACING_SPACING: RangeInclusive<Length> = Length::mm(20.0)..=Length::mm(3000.0);
/// Across a line, a wire, a tube or an eye.
pub const LACING_THICKNESS: RangeInclusive<Length> = Length::mm(0.5)..=Length::mm(100.0);
/// A tail of the lacing.
pub const LACING_SHORT: RangeInclusive<Length> = Length::mm(0.0)..=Length::mm(5000.0);
/// What the cut of a lacing line is rounded up to.
pub const LACING_PIECE: RangeInclusive<Length> = Length::mm(1.0)..=Length::mm(5000.0);
/// Line that one hitch takes.
pub const HITCH_LENGTH: RangeInclusive<Length> = Length::mm(1.0)..=Length::mm(1000.0);
/// Turns of a hitch.
pub const HITCH_TURNS: RangeInclusive<f64> = 0.5..=10.0;
/// What is added to a cut, as a part of it.
pub const CUTTING_ALLOWANCE: RangeInclusive<f64> = 0.0..=1.0;
/// How far a tweaker is eased, and what else of the outboard lead is a length of line.
pub const TWEAKER: RangeInclusive<Length> = Length::mm(1.0)..=Length::mm(50_000.0);

// Where the book says nothing

/// The width of a strip.
pub const DEFAULT_STRIP_WIDTH: Length = Length::mm(22.0);
/// From a trimmer's eye to a scale on deck.
pub const DEFAULT_READING_DISTANCE: Length = Length::mm(1200.0);
/// Wind bands, in knots: three or four wide up to 24, as is common practice, and wider where gusts are. A control that
/// moves half a mark a knot stays within a mark of what is right at the middle: half a mark times half of four knots.
pub const DEFAULT_BAND_EDGES_KN: [f64; 9] = [4.0, 8.0, 11.0, 14.0, 17.0, 20.0, 24.0, 28.0, 34.0];
/// Columns of the wardrobe, degrees wide.
pub const DEFAULT_ANGLE_STEP_DEG: f64 = 20.0;
/// What a gauge is read to, in its own unit.
pub const DEFAULT_GAUGE_STEP: f64 = 1.0;
