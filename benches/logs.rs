//! How long it takes to read a log of 24 hours at one record a second, as a table and as sentences, and in how much memory.

#[path = "../tests/common/sailed_log.rs"]
#[allow(dead_code, reason = "the tests take more of it")]
mod sailed_log;

use std::hint::black_box;
use std::io::{BufReader, Read};

use cockpit_cards::logs::{self, Options};
use criterion::{Criterion, criterion_group, criterion_main};
use sailed_log::{Shown, sentence, sentences, table};

const DAY: i64 = 24 * 60 * 60;
/// Nine minutes out of ten are to be steady.
const LEAST_BLOCKS: usize = 1_200;

/// On the wind, with a tack every half hour.
fn shown(second: i64) -> Shown {
    let side = if second / 1800 % 2 == 0 { 1.0 } else { -1.0 };
    let ripple = (second % 7) as f64;
    Shown {
        tws: 12.0 + ripple / 10.0,
        twa: side * (42.0 + ripple / 3.0),
        stw: 6.5 + ripple / 50.0,
        heading: 242.0 - side * 42.0,
    }
}

/// What instruments send in a second: what is used here, and as much again that is not.
fn second_of_sentences(second: i64) -> String {
    let others =
        ["GPGLL,,,,,120201.00,A,A", "GPVTG,200.0,T,,M,6.40,N,11.9,K,A", "SDDPT,12.3,0.5", "IIXDR,A,-18.5,D,HEEL"];
    others.iter().fold(sentences([second], shown), |log, body| log + &sentence(body))
}

/// A log that is made while it is read, so that memory is the reader's alone.
struct Made {
    seconds: std::ops::Range<i64>,
    rest: std::io::Cursor<Vec<u8>>,
}

impl Read for Made {
    fn read(&mut self, into: &mut [u8]) -> std::io::Result<usize> {
        match self.rest.read(into)? {
            0 => match self.seconds.next() {
                Some(second) => {
                    self.rest = std::io::Cursor::new(second_of_sentences(second).into_bytes());
                    self.read(into)
                }
                None => Ok(0),
            },
            count => Ok(count),
        }
    }
}

/// The most memory that this process has had, where the system tells it.
fn most_memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM")).unwrap_or("memory is not told here");
    line.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn day(criterion: &mut Criterion) {
    let made = Made { seconds: 0..DAY, rest: std::io::Cursor::default() };
    let read = logs::read("made", BufReader::new(made), &Options::default());
    assert!(read.blocks.len() > LEAST_BLOCKS && read.told.is_empty(), "{} blocks, {:?}", read.blocks.len(), read.told);
    println!("24 h of sentences, not held in memory: {}", most_memory());

    let mut group = criterion.benchmark_group("24 h at one record a second");
    group.sample_size(10);
    for (name, log) in [("table", table(0..DAY, shown)), ("sentences", (0..DAY).map(second_of_sentences).collect())] {
        group.bench_function(name, |bench| {
            bench.iter(|| logs::read(name, black_box(log.as_bytes()), &Options::default()))
        });
    }
    group.finish();
}

criterion_group!(benches, day);
criterion_main!(benches);
