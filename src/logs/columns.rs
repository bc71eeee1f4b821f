//! What the columns of a log's table mean, from their names. Knows no record.

use std::f64::consts::PI;

use super::told::What;
use crate::limits;
use crate::season::Quantity;
use crate::tuning::METRES_PER_NAUTICAL_MILE;

/// Exact: a mile on land is 1609.344 m (NIST SP 811, appendix B.8).
const METRES_PER_MILE: f64 = 1609.344;
const METRES_PER_KILOMETRE: f64 = 1000.0;
const SECONDS_PER_HOUR: f64 = 3600.0;
const DEGREES_PER_RADIAN: f64 = 180.0 / PI;

/// What quantities are called: words of the trade and their usual short forms.
const NAMES: [(&str, Quantity); 34] = [
    ("tws", Quantity::TrueWind),
    ("true wind", Quantity::TrueWind),
    ("true wind speed", Quantity::TrueWind),
    ("wind speed true", Quantity::TrueWind),
    ("twa", Quantity::TrueAngle),
    ("true wind angle", Quantity::TrueAngle),
    ("wind angle true", Quantity::TrueAngle),
    ("true angle", Quantity::TrueAngle),
    ("aws", Quantity::ApparentWind),
    ("apparent wind", Quantity::ApparentWind),
    ("apparent wind speed", Quantity::ApparentWind),
    ("wind speed apparent", Quantity::ApparentWind),
    ("awa", Quantity::ApparentAngle),
    ("apparent wind angle", Quantity::ApparentAngle),
    ("wind angle apparent", Quantity::ApparentAngle),
    ("apparent angle", Quantity::ApparentAngle),
    ("stw", Quantity::Speed),
    ("speed", Quantity::Speed),
    ("boat speed", Quantity::Speed),
    ("boatspeed", Quantity::Speed),
    ("bsp", Quantity::Speed),
    ("speed through water", Quantity::Speed),
    ("speed through the water", Quantity::Speed),
    ("water speed", Quantity::Speed),
    ("heel", Quantity::Heel),
    ("heel angle", Quantity::Heel),
    ("roll", Quantity::Heel),
    ("heading", Quantity::Heading),
    ("hdg", Quantity::Heading),
    ("hdt", Quantity::Heading),
    ("true heading", Quantity::Heading),
    ("heading true", Quantity::Heading),
    ("magnetic heading", Quantity::Heading),
    ("heading magnetic", Quantity::Heading),
];
const TIMES: [&str; 8] = ["time", "date time", "datetime", "timestamp", "when", "clock", "local time", "record time"];
const DATES: [&str; 2] = ["date", "day"];

/// How many knots, or degrees, one of a unit is; `None` for what is no unit.
fn unit(word: &str, is_speed: bool) -> Option<f64> {
    let knots = |metres_per_second: f64| metres_per_second * SECONDS_PER_HOUR / METRES_PER_NAUTICAL_MILE;
    match (word, is_speed) {
        ("kn" | "kt" | "kts" | "knot" | "knots", true) => Some(1.0),
        ("m/s" | "mps" | "ms", true) => Some(knots(1.0)),
        ("km/h" | "kmh" | "kph", true) => Some(knots(METRES_PER_KILOMETRE / SECONDS_PER_HOUR)),
        ("mph" | "mi/h", true) => Some(knots(METRES_PER_MILE / SECONDS_PER_HOUR)),
        ("deg" | "degree" | "degrees" | "°" | "degm" | "degt" | "°m" | "°t", false) => Some(1.0),
        ("rad" | "radian" | "radians", false) => Some(DEGREES_PER_RADIAN),
        _ => None,
    }
}

/// A column that is used.
#[derive(Clone, Debug)]
pub struct Column {
    /// Its place in a line, counted from 0.
    pub index: usize,
    /// Its name as it is written.
    pub name: String,
    pub quantity: Quantity,
    /// Knots, or degrees, in one of its unit.
    pub factor: f64,
    /// Whether the head says the unit.
    has_unit: bool,
}

/// The head of a table.
#[derive(Debug)]
pub struct Columns {
    pub delimiter: u8,
    pub time: usize,
    pub date: Option<usize>,
    pub is_utc: bool,
    pub used: Vec<Column>,
    /// What there is to tell of it.
    pub told: Vec<What>,
}

impl Columns {
    /// Reads the head of a table; `None` if this line is none: it names no time, or nothing that counts here.
    pub fn read(line: &str) -> Option<Self> {
        let delimiter = [b'\t', b';', b','].into_iter().max_by_key(|delimiter| {
            let parts = line.bytes().filter(|byte| byte == delimiter).count();
            // Of as many the first: in a line with both a comma is more likely to be a decimal.
            (parts, *delimiter != b',')
        })?;
        let cells = cells(line, delimiter);
        if cells.len() > limits::MAX_LOG_COLUMNS {
            return None;
        }
        let mut columns =
            Columns { delimiter, time: usize::MAX, date: None, is_utc: false, used: Vec::new(), told: Vec::new() };
        let mut unused = Vec::new();
        for (index, cell) in cells.iter().enumerate() {
            columns.column(index, cell, &mut unused);
        }
        if columns.time == usize::MAX {
            // What is called a day may hold the time as well.
            columns.time = columns.date.take()?;
        }
        if columns.used.is_empty() {
            return None;
        }
        if !unused.is_empty() {
            columns.told.push(What::Unused(unused));
        }
        Some(columns)
    }

    fn column(&mut self, index: usize, cell: &str, unused: &mut Vec<String>) {
        let words = words(cell);
        let is_utc = words.iter().any(|word| matches!(word.as_str(), "utc" | "gmt" | "z"));
        let without_zone = || words.iter().map(String::as_str).filter(|word| !matches!(*word, "utc" | "gmt" | "z"));
        let is_time_unit =
            |word: &&str| matches!(*word, "s" | "sec" | "seconds" | "ms" | "iso" | "8601" | "epoch" | "unix");
        let name = without_zone().filter(|word| !is_time_unit(word)).collect::<Vec<_>>().join(" ");
        let is_time = TIMES.contains(&name.as_str()) || (name.is_empty() && !words.is_empty());
        if is_time && self.time == usize::MAX {
            self.time = index;
            self.is_utc |= is_utc;
        } else if DATES.contains(&name.as_str()) && self.date.is_none() {
            self.date = Some(index);
            self.is_utc |= is_utc;
        } else if let Some((quantity, unit)) = quantity(&words) {
            self.take(index, cell, quantity, unit);
        } else if !cell.is_empty() {
            unused.push(cell.to_owned());
        }
    }

    fn take(&mut self, index: usize, name: &str, quantity: Quantity, said: Option<&str>) {
        if self.used.iter().any(|column| column.quantity == quantity) {
            self.told.push(What::TwoColumns(name.to_owned()));
            return;
        }
        let is_speed = is_speed(quantity);
        let factor = match said {
            Some(said) => unit(said, is_speed),
            None => Some(1.0),
        };
        match factor {
            Some(factor) => {
                self.used.push(Column { index, name: name.to_owned(), quantity, factor, has_unit: said.is_some() });
            }
            None => self.told.push(What::UnknownUnit(name.to_owned())),
        }
    }

    /// Takes a line as one that holds the units, if it does: under the time nothing that is a time, and under a column a unit.
    pub fn take_units(&mut self, cells: &[&str]) -> bool {
        let under = |index: usize| cells.get(index).map(|cell| words(cell).join(" ")).unwrap_or_default();
        let said = |column: &Column| unit(&under(column.index), is_speed(column.quantity));
        let has_time = cells.get(self.time).is_some_and(|cell| cell.bytes().filter(u8::is_ascii_digit).count() > 1);
        if has_time || !self.used.iter().any(|column| said(column).is_some()) {
            return false;
        }
        let mut told = Vec::new();
        self.used.retain_mut(|column| match said(column) {
            Some(factor) => {
                (column.factor, column.has_unit) = (factor, true);
                true
            }
            None if under(column.index).is_empty() => true,
            None => {
                told.push(What::UnknownUnit(column.name.clone()));
                false
            }
        });
        self.told.extend(told);
        true
    }

    /// Once the units are known: what is told of those that are not. Angles are in degrees wherever nothing is said.
    pub fn without_unit(&self) -> Vec<What> {
        let is_bare = |column: &&Column| !column.has_unit && is_speed(column.quantity);
        self.used.iter().filter(is_bare).map(|column| What::NoUnit(column.name.clone())).collect()
    }
}

const fn is_speed(quantity: Quantity) -> bool {
    matches!(quantity, Quantity::TrueWind | Quantity::ApparentWind | Quantity::Speed)
}

/// The quantity that the words of a head name, and the unit that they say, whether it is one or not.
fn quantity(words: &[String]) -> Option<(Quantity, Option<&str>)> {
    let named = |words: &[String]| {
        let name = words.join(" ");
        NAMES.iter().find(|(known, _)| *known == name).map(|(_, quantity)| *quantity)
    };
    if let Some(quantity) = named(words) {
        return Some((quantity, None));
    }
    let (last, rest) = words.split_last()?;
    Some((named(rest)?, Some(last)))
}

/// The words of a head in lower case: `True wind speed [kn]` is `true`, `wind`, `speed`, `kn`; `awa_deg` is `awa`, `deg`, and so is
/// `AWA/deg`; but `m/s` is one word.
fn words(cell: &str) -> Vec<String> {
    let parts = cell.split(|c: char| !(c.is_alphanumeric() || matches!(c, '/' | '°'))).map(str::to_lowercase);
    let in_parts = |word: String| match unit(&word, true) {
        Some(_) => vec![word],
        None => word.split('/').map(str::to_owned).collect(),
    };
    parts.flat_map(in_parts).filter(|word| !word.is_empty()).collect()
}

/// The cells of a line, without the spaces around them.
pub fn cells(line: &str, delimiter: u8) -> Vec<&str> {
    line.split(delimiter as char).map(|cell| cell.trim().trim_matches('"').trim()).collect()
}
