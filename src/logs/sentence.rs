//! One sentence of NMEA 0183: whether it is whole, and what it says. Knows no other sentence and no clock.
//!
//! Which fields a sentence has is from memory of the standard (NMEA 0183, version 4) and of the descriptions that makers of
//! instruments print of it.

use jiff::Timestamp;
use jiff::civil::{Date, DateTime, Time};
use jiff::tz::Offset;

use crate::season::Quantity;
use crate::tuning::METRES_PER_NAUTICAL_MILE;

/// Two letters for who talks and three for what of.
const ADDRESS_BYTES: usize = 5;
const TALKER_BYTES: usize = 2;
/// Starts the address of a maker's own sentences.
const PROPRIETARY: u8 = b'P';
/// Years of two digits from here on are of the last century: clocks of receivers that have not yet heard a satellite.
const LAST_CENTURY: i16 = 80;
const SECONDS_PER_HOUR: f64 = 3600.0;
const METRES_PER_KILOMETRE: f64 = 1000.0;
/// Exact: a mile on land is 1609.344 m (NIST SP 811, appendix B.8).
const METRES_PER_MILE: f64 = 1609.344;

/// Who says it, and in which sentence: `WIMWV`, and for winds which of the two.
pub type Source = [u8; ADDRESS_BYTES + 1];

/// What a sentence says.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Says {
    /// The time.
    Time(Timestamp),
    /// Values; `None` is blank.
    Values([Option<(Quantity, f64)>; 2]),
    /// Nothing that counts here.
    Nothing,
}

/// Why a sentence is left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fault {
    /// A part is missing or spoilt.
    NotWhole,
    /// The check does not fit.
    BrokenCheck,
}

/// A sentence that is whole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sentence {
    pub source: Source,
    pub has_check: bool,
    pub says: Says,
}

/// Whether it begins as sentences do, with who talks and what of.
pub fn has_address(text: &[u8]) -> bool {
    let address = text.split(|byte| *byte == b',').next().unwrap_or_default();
    address.len() < text.len() && is_address(address)
}

fn is_address(address: &[u8]) -> bool {
    address.len() == ADDRESS_BYTES && address.iter().all(u8::is_ascii_alphanumeric)
}

/// Reads what stands behind the `$`.
pub fn read(text: &[u8]) -> Result<Sentence, Fault> {
    let text = text.trim_ascii();
    let (body, has_check) = match text.iter().position(|byte| *byte == b'*') {
        Some(star) if is_check(&text[..star], &text[star + 1..]) => (&text[..star], true),
        Some(_) => return Err(Fault::BrokenCheck),
        None => (text, false),
    };
    let comma = body.iter().position(|byte| *byte == b',').ok_or(Fault::NotWhole)?;
    let (address, fields) = (&body[..comma], &body[comma + 1..]);
    let mut source = Source::default();
    if address.first() == Some(&PROPRIETARY) {
        return Ok(Sentence { source, has_check, says: Says::Nothing });
    }
    if !is_address(address) {
        return Err(Fault::NotWhole);
    }
    source[..ADDRESS_BYTES].copy_from_slice(address);
    let fields = Fields::new(fields).ok_or(Fault::NotWhole)?;
    let says = says(&address[TALKER_BYTES..], &fields).ok_or(Fault::NotWhole)?;
    if matches!(says, Says::Values([Some((Quantity::TrueWind, _)), _])) {
        source[ADDRESS_BYTES] = b'T';
    }
    Ok(Sentence { source, has_check, says })
}

/// Two digits of base 16: all bytes of the body, one over the other by exclusive or.
fn is_check(body: &[u8], check: &[u8]) -> bool {
    let sum = body.iter().fold(0, |sum, byte| sum ^ byte);
    let digits = std::str::from_utf8(check).ok().filter(|check| check.len() == 2 && !check.starts_with('+'));
    digits.and_then(|digits| u8::from_str_radix(digits, 16).ok()) == Some(sum)
}

/// `None`: it is not whole.
fn says(kind: &[u8], fields: &Fields<'_>) -> Option<Says> {
    match kind {
        b"RMC" => rmc(fields),
        b"ZDA" => zda(fields),
        b"MWV" => mwv(fields),
        b"VWR" => sided_wind(fields, Quantity::ApparentWind, Quantity::ApparentAngle),
        b"VWT" => sided_wind(fields, Quantity::TrueWind, Quantity::TrueAngle),
        b"VHW" => vhw(fields),
        b"HDG" => hdg(fields),
        b"HDT" => hd(fields, b"T"),
        b"HDM" => hd(fields, b"M"),
        b"XDR" => xdr(fields),
        _ => Some(Says::Nothing),
    }
}

/// Time, status, latitude, N/S, longitude, E/W, speed, course, date, and more. A receiver without a fix may still know the time.
fn rmc(fields: &Fields<'_>) -> Option<Says> {
    const DATE: usize = 8;
    const STATUS: usize = 1;
    fields.at_least(DATE + 1)?;
    fields.is_one_of(STATUS, &[b"A", b"V", b""])?;
    let date = fields.get(DATE);
    if fields.get(0).is_empty() || date.is_empty() {
        return Some(Says::Nothing);
    }
    let [day, month, year] = pairs(date)?;
    let year = i16::from(year);
    let century = if year >= LAST_CENTURY { 1900 } else { 2000 };
    stamp(fields.get(0), (century + year, month, day))
}

/// Time, day, month, year, and the zone of the ship's clocks, which is of no matter here.
fn zda(fields: &Fields<'_>) -> Option<Says> {
    fields.at_least(4)?;
    if (0..4).any(|field| fields.get(field).is_empty()) {
        return Some(Says::Nothing);
    }
    let number = |field: usize| std::str::from_utf8(fields.get(field)).ok();
    let (day, month, year) = (number(1)?.parse().ok()?, number(2)?.parse().ok()?, number(3)?.parse().ok()?);
    stamp(fields.get(0), (year, month, day))
}

fn stamp(clock: &[u8], (year, month, day): (i16, i8, i8)) -> Option<Says> {
    const DIGITS: usize = 6;
    const NANO_DIGITS: usize = 9;
    let (whole, fraction) = clock.split_at_checked(DIGITS)?;
    let [hour, minute, second] = pairs(whole)?;
    let fraction = match fraction.split_first() {
        None => "",
        Some((b'.', digits)) if digits.iter().all(u8::is_ascii_digit) => std::str::from_utf8(digits).ok()?,
        Some(_) => return None,
    };
    let mut nanos = 0;
    for place in 0..NANO_DIGITS {
        let digit = fraction.as_bytes().get(place).map_or(0, |digit| i32::from(digit - b'0'));
        nanos = nanos * 10 + digit;
    }
    let date = Date::new(year, month, day).ok()?;
    let civil = DateTime::from_parts(date, Time::new(hour, minute, second, nanos).ok()?);
    Offset::UTC.to_timestamp(civil).ok().map(Says::Time)
}

/// Three numbers of two digits each.
fn pairs(text: &[u8]) -> Option<[i8; 3]> {
    let is_whole = text.len() == 6 && text.iter().all(u8::is_ascii_digit);
    let pair = |at: usize| ((text[at] - b'0') * 10 + text[at + 1] - b'0') as i8;
    is_whole.then(|| [pair(0), pair(2), pair(4)])
}

/// Angle clockwise from the bow, relative or true, speed, its unit, and whether it is valid.
fn mwv(fields: &Fields<'_>) -> Option<Says> {
    fields.at_least(5)?;
    fields.is_one_of(4, &[b"A", b"V"])?;
    fields.is_one_of(1, &[b"R", b"T"])?;
    let (angle, speed) = (fields.number(0)?, fields.number(2)?);
    let knots = match fields.get(3) {
        b"N" => 1.0,
        b"M" => SECONDS_PER_HOUR / METRES_PER_NAUTICAL_MILE,
        b"K" => METRES_PER_KILOMETRE / METRES_PER_NAUTICAL_MILE,
        b"S" => METRES_PER_MILE / METRES_PER_NAUTICAL_MILE,
        b"" if speed.is_none() => 1.0,
        _ => return None,
    };
    if fields.get(4) == b"V" {
        return Some(Says::Nothing);
    }
    let is_true = fields.get(1) == b"T";
    let quantities = if is_true {
        (Quantity::TrueWind, Quantity::TrueAngle)
    } else {
        (Quantity::ApparentWind, Quantity::ApparentAngle)
    };
    wind(speed.map(|speed| speed * knots), angle, quantities)
}

/// Angle to either side, L or R, and the speed in knots, metres per second and kilometres per hour, each with its letter.
fn sided_wind(fields: &Fields<'_>, speed: Quantity, angle: Quantity) -> Option<Says> {
    fields.at_least(8)?;
    let off = fields.number(0)?;
    let sign = match fields.get(1) {
        b"R" => 1.0,
        b"L" => -1.0,
        b"" if off.is_none() => 1.0,
        _ => return None,
    };
    let metres = (2, b"N".as_slice(), METRES_PER_NAUTICAL_MILE);
    let units = [metres, (4, b"M", SECONDS_PER_HOUR), (6, b"K", METRES_PER_KILOMETRE)];
    wind(speed_in_one_of(fields, &units)?, off.map(|off| off * sign), (speed, angle))
}

/// Without one of the two there is no wind.
fn wind(speed: Option<f64>, angle: Option<f64>, quantities: (Quantity, Quantity)) -> Option<Says> {
    let (Some(speed), Some(angle)) = (speed, angle) else { return Some(Says::Nothing) };
    Some(Says::Values([Some((quantities.0, speed)), Some((quantities.1, angle))]))
}

/// Knots from the first of some fields that has a number. `None`: a number or its letter is spoilt.
fn speed_in_one_of(fields: &Fields<'_>, units: &[(usize, &[u8], f64)]) -> Option<Option<f64>> {
    for (field, letter, metres_in_an_hour) in units {
        let Some(speed) = fields.number(*field)? else { continue };
        fields.is_one_of(field + 1, &[letter])?;
        return Some(Some(speed * metres_in_an_hour / METRES_PER_NAUTICAL_MILE));
    }
    Some(None)
}

/// Heading true, T, heading magnetic, M, speed through the water in knots, N, in kilometres per hour, K.
fn vhw(fields: &Fields<'_>) -> Option<Says> {
    fields.at_least(8)?;
    fields.is_one_of(7, &[b"K", b""])?;
    let (of_north, magnetic) = (fields.number(0)?, fields.number(2)?);
    let units = [(4, b"N".as_slice(), METRES_PER_NAUTICAL_MILE), (6, b"K", METRES_PER_KILOMETRE)];
    let speed = speed_in_one_of(fields, &units)?;
    let heading = of_north.or(magnetic).map(|heading| (Quantity::Heading, heading));
    Some(Says::Values([speed.map(|speed| (Quantity::Speed, speed)), heading]))
}

/// What the compass shows, deviation, E/W, variation, E/W: together the heading from north.
fn hdg(fields: &Fields<'_>) -> Option<Says> {
    fields.at_least(5)?;
    let east = |number: usize| {
        let degrees = fields.number(number)?.unwrap_or(0.0);
        match fields.get(number + 1) {
            b"E" => Some(degrees),
            b"W" => Some(-degrees),
            b"" => Some(0.0),
            _ => None,
        }
    };
    let (deviation, variation) = (east(1)?, east(3)?);
    let heading = fields.number(0)?.map(|shown| (Quantity::Heading, (shown + deviation + variation).rem_euclid(360.0)));
    Some(Says::Values([heading, None]))
}

/// The heading and its letter.
fn hd(fields: &Fields<'_>, letter: &[u8]) -> Option<Says> {
    fields.is_one_of(1, &[letter])?;
    Some(Says::Values([fields.number(0)?.map(|heading| (Quantity::Heading, heading)), None]))
}

/// Four fields for each transducer: kind, value, unit, name. Heel is an angle in degrees under a name that says so.
fn xdr(fields: &Fields<'_>) -> Option<Says> {
    const OF_EACH: usize = 4;
    if !fields.count.is_multiple_of(OF_EACH) {
        return None;
    }
    let is_heel = |name: &[u8]| {
        let name = name.to_ascii_uppercase();
        [b"HEEL".as_slice(), b"ROLL"].iter().any(|word| name.windows(word.len()).any(|part| part == *word))
    };
    let mut heel = None;
    for first in (0..fields.count).step_by(OF_EACH) {
        let is_angle = fields.get(first) == b"A" && fields.get(first + 2) == b"D";
        if heel.is_none() && is_angle && is_heel(fields.get(first + 3)) {
            heel = fields.number(first + 1)?.map(|heel| (Quantity::Heel, heel));
        }
    }
    Some(Says::Values([heel, None]))
}

/// The most fields of a sentence: 82 bytes hold no more, and instruments that write longer ones stay far below.
const MOST_FIELDS: usize = 80;

/// The fields behind the address.
struct Fields<'a> {
    fields: [&'a [u8]; MOST_FIELDS],
    count: usize,
}

impl<'a> Fields<'a> {
    /// `None` if there are more than any sentence has.
    fn new(text: &'a [u8]) -> Option<Self> {
        let mut fields: [&[u8]; MOST_FIELDS] = [b""; MOST_FIELDS];
        let mut count = 0;
        for field in text.split(|byte| *byte == b',') {
            *fields.get_mut(count)? = field;
            count += 1;
        }
        Some(Fields { fields, count })
    }

    fn at_least(&self, count: usize) -> Option<()> {
        (self.count >= count).then_some(())
    }

    /// A field; blank where there is none.
    fn get(&self, field: usize) -> &'a [u8] {
        self.fields.get(field).copied().unwrap_or_default()
    }

    fn is_one_of(&self, field: usize, letters: &[&[u8]]) -> Option<()> {
        letters.contains(&self.get(field)).then_some(())
    }

    /// `Some(None)`: the field is blank. `None`: it holds no number.
    fn number(&self, field: usize) -> Option<Option<f64>> {
        let text = self.get(field);
        if text.is_empty() {
            return Some(None);
        }
        let is_plain = text.iter().all(|byte| byte.is_ascii_digit() || matches!(byte, b'.' | b'-' | b'+'));
        let number = std::str::from_utf8(text).ok().filter(|_| is_plain)?.parse().ok()?;
        Some(Some(number))
    }
}
