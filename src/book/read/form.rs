//! The form of a table that was saved as text: what parts its cells, where its first line begins, and which sign its decimals
//! have. Knows no column.

use std::borrow::Cow;

use super::csv_table::{BYTE_ORDER_MARK, is_for_people, lines};
use crate::tuning::mark::MINUS;
use crate::wrong::{Wrong, shown};

/// Digits between two signs that part thousands.
const THOUSAND: usize = 3;

/// What parts the cells, and where the first line with something in it begins.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Form {
    /// The byte of the text after a byte-order mark and a line `sep=;`.
    pub start: usize,
    /// What stands between two cells.
    pub delimiter: u8,
    /// Whether decimal commas are not only allowed but used, so that a point may stand between thousands.
    pub uses_commas: bool,
}

impl Form {
    /// Commas between the cells, from the first byte on.
    pub const COMMAS: Form = Form { start: 0, delimiter: b',', uses_commas: false };

    /// The form of a text. What a first line `sep=;` says, which some spreadsheets write; else whatever the header has most of: a
    /// tab wherever it has one, since no name holds any.
    pub fn of(text: &str) -> Form {
        let start = if text.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len_utf8() } else { 0 };
        let body = &text[start..];
        let first = body.split_inclusive('\n').next().unwrap_or_default();
        if let Some(delimiter) = separator(first.trim_end()) {
            return Form { start: start + first.len(), delimiter, uses_commas: uses_commas(delimiter, body) };
        }
        let header = lines(body).map(|(_, line)| line).find(|line| !is_for_people(line)).unwrap_or_default();
        let count = |wanted: char| header.matches(wanted).count();
        let delimiter = match (count('\t'), count(';'), count(',')) {
            (1.., _, _) => b'\t',
            (0, semicolons, commas) if semicolons > commas => b';',
            _ => b',',
        };
        Form { start, delimiter, uses_commas: uses_commas(delimiter, body) }
    }

    /// Whether a comma in a number is its decimal point: where semicolons part the cells, and nowhere else.
    pub fn decimal_commas(self) -> bool {
        self.delimiter == b';'
    }

    /// What is wrong with a number in which a point may stand for the decimals or between thousands, `1.200`: among decimal commas
    /// nobody can tell.
    pub fn two_ways(self, cell: &str) -> Option<Wrong> {
        let number = cell.split([' ', ',']).next().unwrap_or_default();
        let mut groups = number.split('.');
        let is_group = |group: &str| group.len() == THOUSAND && group.bytes().all(|byte| byte.is_ascii_digit());
        let first = groups.next().filter(|first| !first.is_empty() && first.len() <= THOUSAND)?;
        let rest: Vec<&str> = groups.collect();
        let is_it = first.bytes().all(|byte| byte.is_ascii_digit())
            && !rest.is_empty()
            && rest.iter().all(|group| is_group(group));
        (self.uses_commas && is_it).then(|| {
            Wrong::new(
                format!("{} can be read in two ways in a file with decimal commas", shown(cell)),
                format!("write `{}` if the point stands between thousands, else a comma", number.replace('.', "")),
            )
        })
    }

    /// A number of the book as this form writes it.
    pub fn with_its_points(self, number: &str) -> String {
        let is_number = number.starts_with(|first: char| first.is_ascii_digit() || matches!(first, '-' | '+' | MINUS));
        if self.decimal_commas() && is_number { number.replacen('.', ",", 1) } else { number.to_owned() }
    }

    /// A number as the book writes it, with a point for the comma between two of its digits.
    pub fn with_points(self, text: &str) -> Cow<'_, str> {
        let bytes = text.as_bytes();
        let is_digit = |at: usize| bytes.get(at).is_some_and(u8::is_ascii_digit);
        let is_point = |at: usize| bytes[at] == b',' && at > 0 && is_digit(at - 1) && is_digit(at + 1);
        if !self.decimal_commas() || !(0..bytes.len()).any(is_point) {
            return Cow::Borrowed(text);
        }
        text.char_indices().map(|(at, letter)| if is_point(at) { '.' } else { letter }).collect()
    }
}

/// Whether a comma stands between two digits where semicolons part the cells.
fn uses_commas(delimiter: u8, text: &str) -> bool {
    let is_number =
        |bytes: &[u8]| matches!(bytes, [before, b',', after] if before.is_ascii_digit() && after.is_ascii_digit());
    delimiter == b';' && text.as_bytes().windows(3).any(is_number)
}

fn separator(line: &str) -> Option<u8> {
    // Saved once more, the line itself may have been taken for a cell, and given empty ones after it.
    let line = line.trim_matches('"').to_lowercase();
    match line.strip_prefix("sep=")?.as_bytes() {
        [] => Some(b'\t'),
        [delimiter @ (b';' | b',' | b'\t')] => Some(*delimiter),
        [delimiter @ (b';' | b',' | b'\t'), rest @ ..]
            if rest.iter().all(|byte| matches!(byte, b'"' | b';' | b',')) =>
        {
            Some(*delimiter)
        }
        _ => None,
    }
}
