//! Whatever a log holds: nothing panics, nothing that comes out is untrue on the face of it, and how the bytes arrive is of no matter.

use crate::common::inputs::sailed::faults;
use crate::common::sailed_log::{STEADY, Shown, sentences, table};

use std::io::BufReader;

use cockpit_cards::logs::{self, Options, Read};
use cockpit_cards::season::steady::Steadiness;
use jiff::SignedDuration;
use jiff::tz::TimeZone;
use proptest::prelude::*;

/// What is put in place of a piece of a log.
const PIECES: [&str; 30] = [
    "",
    ",",
    ";",
    "\t",
    "\"",
    "\n",
    "\r\n",
    "\0",
    "$",
    "*",
    "!",
    "\\",
    "-",
    "1e308",
    "-1e308",
    "NaN",
    "inf",
    "99999999999999999999",
    "9999-12-31T23:59:59Z",
    "-009999-01-01T00:00:00Z",
    "1970-01-01T00:00:00Z",
    "2027-06-12T12:00:60+99:99",
    "253402300799",
    "235960.999999999999",
    "tws kn",
    "time",
    "½",
    "°",
    "\u{FEFF}",
    "GPRMC",
];

/// Reads a log, and holds what comes out to what must be true of any.
fn read(log: &[u8], options: &Options) -> Read {
    let read = logs::read("a.log", log, options);
    assert_eq!(faults(&read), None);
    read
}

fn zoned() -> Options {
    let day = Some(jiff::civil::date(2027, 6, 12));
    Options { zone: TimeZone::get("Europe/London").ok(), day, ..Options::default() }
}

/// A log with a piece swapped here and there, lines repeated and left out.
fn spoilt(log: &str, cuts: &[(f64, f64, usize)]) -> Vec<u8> {
    let mut bytes = log.as_bytes().to_vec();
    for (place, length, piece) in cuts {
        let from = (place * bytes.len() as f64) as usize;
        let until = (from + (length * 40.0) as usize).min(bytes.len());
        let piece: Vec<u8> = match PIECES.get(*piece) {
            Some(piece) => piece.bytes().collect(),
            // A part that is there again.
            None => bytes[from.saturating_sub(500)..until].to_vec(),
        };
        bytes.splice(from..until, piece);
    }
    bytes
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(256))]

    #[test]
    fn bytes_of_every_kind_are_read_or_refused_in_words(bytes in prop::collection::vec(any::<u8>(), 0..2000)) {
        read(&bytes, &zoned());
    }

    #[test]
    fn lines_of_the_right_letters_are_read_or_refused_in_words(lines in "(time|tws kn|[0-9:TZ,;.$*A-Z\n-]){0,40}") {
        read(lines.as_bytes(), &zoned());
        read(format!("time,tws kn,twa deg,stw kn\n{lines}").as_bytes(), &zoned());
        read(format!("$GPZDA,{lines}").as_bytes(), &zoned());
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn spoilt_logs_are_read_as_far_as_they_go(
        is_table: bool, cuts in prop::collection::vec((0.0..1.0f64, 0.0..1.0f64, 0..PIECES.len() + 4), 1..12),
    ) {
        let shown = |second: i64| if second < 200 { STEADY } else { Shown { twa: -42.0, heading: 284.0, ..STEADY } };
        let log = if is_table { table(0..400, shown) } else { sentences(0..400, shown) };
        let log = spoilt(&log, &cuts);
        let whole = read(&log, &zoned());
        // In chunks of a few bytes it is the same log.
        let slow = logs::read("a.log", BufReader::with_capacity(7, &log[..]), &zoned());
        prop_assert_eq!(slow, whole);
    }

    #[test]
    fn every_way_of_asking_is_answered(
        block_seconds: u32, clear_seconds: u32, share in -1.0..2.0f64, turn in -10.0..400.0f64, offset: i64,
    ) {
        let steadiness = Steadiness {
            block_seconds, clear_seconds, least_share: share, turn_deg: turn, angle_scatter_deg: turn, wind_scatter: share,
        };
        let options = Options { clock_offset: SignedDuration::from_secs(offset), steadiness, ..zoned() };
        read(table(0..200, |_| STEADY).as_bytes(), &options);
    }
}

#[test]
fn a_line_without_an_end_takes_no_more_memory_than_a_line() {
    struct Endless(u64);
    impl std::io::Read for Endless {
        fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
            let count = into.len().min(usize::try_from(self.0).unwrap_or(usize::MAX));
            into[..count].fill(b'9');
            self.0 -= count as u64;
            Ok(count)
        }
    }
    let read = logs::read("a.log", BufReader::new(Endless(100_000_000)), &Options::default());
    assert_eq!(read.blocks, []);
}

#[test]
fn a_log_of_nothing_but_jumps_is_read_to_its_end() {
    let log: String =
        (0..150_000).map(|day: i64| format!("{},12,42,6\n", 1_000_000_000 + 86_400 * (day * 7919 % 150_000))).collect();
    let read = read(format!("time,tws kn,twa,stw kn\n{log}").as_bytes(), &Options::default());
    assert!(read.blocks.is_empty() && read.dropped.len() <= 100_000);
}
