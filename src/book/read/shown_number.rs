//! A number of a spreadsheet as its cell shows it: as few digits as tell it, the unit that its format adds, a day or a time where
//! its format is one. Knows no cell.

use calamine::ExcelDateTime;

/// Digits that a spreadsheet keeps of a number; what lies behind them is the noise of its sums.
const DIGITS: usize = 15;
const SECONDS_PER_DAY: f64 = 86_400.0;
const SECONDS_PER_HOUR: u64 = 3_600;
const SECONDS_PER_MINUTE: u64 = 60;
const PERCENT: f64 = 100.0;

/// A number in as few digits as tell it, with what its format shows behind it: `4.5`, `12 %`, `5.2 m`.
pub fn number(value: f64, format: &str) -> String {
    let unit = unit_of(format);
    let value = if unit.contains('%') { value * PERCENT } else { value };
    // −0 has a sign, and a cell shows none.
    let text = (kept(value) + 0.0).to_string();
    if unit.is_empty() { text } else { format!("{text} {unit}") }
}

/// What a spreadsheet keeps of a number.
pub fn kept(value: f64) -> f64 {
    format!("{value:.*e}", DIGITS - 1).parse().unwrap_or(value)
}

/// What a format shows behind its number, if those are letters of a unit.
fn unit_of(format: &str) -> String {
    let mut unit = String::new();
    let mut has_digits = false;
    let mut letters = format.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            ';' => break,
            '0' | '#' | '?' => {
                has_digits = true;
                unit.clear();
            }
            '"' => unit.extend(letters.by_ref().take_while(|letter| *letter != '"')),
            '\\' => unit.extend(letters.next()),
            // The width of a letter, or a letter to fill the cell with.
            '_' | '*' => drop(letters.next()),
            '[' => letters.by_ref().take_while(|letter| *letter != ']').for_each(drop),
            '.' | ',' | '/' | ' ' if unit.is_empty() => {}
            // A number in powers of ten, or any number.
            'E' | 'e' | 'G' if unit.is_empty() => return String::new(),
            other => unit.push(other),
        }
    }
    let unit = unit.trim();
    let is_unit = unit.chars().any(|letter| letter.is_alphabetic() || matches!(letter, '%' | '°'));
    if has_digits && is_unit { unit.to_owned() } else { String::new() }
}

/// A day, a time, or both, as the notes are written: `2027-06-12 14:02`.
pub fn moment(moment: &ExcelDateTime, format: &str) -> String {
    let value = moment.as_f64();
    let seconds = (value * SECONDS_PER_DAY).round();
    if moment.is_duration() || (0.0..1.0).contains(&value) {
        return time(seconds.max(0.0) as u64);
    }
    let rounded = ExcelDateTime::new(seconds / SECONDS_PER_DAY, calamine::ExcelDateTimeType::DateTime, is_1904(moment));
    let (year, month, day, hour, minute, second, milli) = rounded.to_ymd_hms_milli();
    // Half a millisecond may be lost on the way there and back.
    let of_day = u64::from(hour) * SECONDS_PER_HOUR
        + u64::from(minute) * SECONDS_PER_MINUTE
        + u64::from(second)
        + u64::from(milli >= 500);
    let day = format!("{year:04}-{month:02}-{day:02}");
    let has_time = format.to_lowercase().contains(['h', 's']) || of_day != 0;
    if has_time { format!("{day} {}", time(of_day)) } else { day }
}

fn time(seconds: u64) -> String {
    let (hours, minutes) = (seconds / SECONDS_PER_HOUR, seconds % SECONDS_PER_HOUR / SECONDS_PER_MINUTE);
    match seconds % SECONDS_PER_MINUTE {
        0 => format!("{hours:02}:{minutes:02}"),
        seconds => format!("{hours:02}:{minutes:02}:{seconds:02}"),
    }
}

/// Whether days are counted from 1904, as they were on one kind of computer: the day that is no. 0 says so.
fn is_1904(moment: &ExcelDateTime) -> bool {
    let (year, ..) = moment.to_ymd_hms_milli();
    let by_1900 = ExcelDateTime::new(moment.as_f64(), calamine::ExcelDateTimeType::DateTime, false);
    by_1900.to_ymd_hms_milli().0 != year
}
