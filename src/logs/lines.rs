//! A log line by line, in as much memory as one line may take. Knows no format.

use std::io::{self, BufRead};

use crate::limits;

/// Reads lines and counts them.
pub struct Lines<R> {
    log: R,
    number: u64,
    bytes: Vec<u8>,
}

/// One line.
pub struct Line<'a> {
    /// Counted from 1.
    pub number: u64,
    /// Without its end.
    pub bytes: &'a [u8],
    /// Whether it has an end; the last line of a log that was cut has none.
    pub has_end: bool,
    /// Whether the rest of it was left out, since it is longer than any line of a log.
    pub is_too_long: bool,
}

impl<R: BufRead> Lines<R> {
    pub fn new(log: R) -> Self {
        Lines { log, number: 0, bytes: Vec::new() }
    }

    /// The next line, if there is one.
    pub fn next(&mut self) -> io::Result<Option<Line<'_>>> {
        self.bytes.clear();
        let (mut is_too_long, mut has_end, mut has_begun) = (false, false, false);
        while !has_end {
            let chunk = match self.log.fill_buf() {
                Ok(chunk) => chunk,
                Err(error) if error.kind() == io::ErrorKind::Interrupted => continue,
                Err(error) => return Err(error),
            };
            if chunk.is_empty() {
                break;
            }
            has_begun = true;
            let end = chunk.iter().position(|byte| *byte == b'\n');
            let (part, used) = match end {
                Some(end) => (&chunk[..end], end + 1),
                None => (chunk, chunk.len()),
            };
            let room = limits::MAX_LOG_LINE_BYTES - self.bytes.len();
            is_too_long |= part.len() > room;
            self.bytes.extend_from_slice(&part[..part.len().min(room)]);
            has_end = end.is_some();
            self.log.consume(used);
        }
        if !has_begun {
            return Ok(None);
        }
        self.number += 1;
        let bytes = self.bytes.strip_suffix(b"\r").unwrap_or(&self.bytes);
        Ok(Some(Line { number: self.number, bytes, has_end, is_too_long }))
    }
}
