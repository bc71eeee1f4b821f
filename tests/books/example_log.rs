//! The log beside the example book: an invented afternoon with a trial in it, made here and read back.

use approx::assert_abs_diff_eq;
use cockpit_cards::logs::{self, Options};
use cockpit_cards::season::Block;
use cockpit_cards::season::steady::Why;
use jiff::tz::Offset;
use jiff::{SignedDuration, Timestamp};

const LOG: &str = include_str!("../../examples/full-log.csv");

/// Between two records.
const EVERY_SECONDS: i64 = 5;
/// 13:50 to 15:10 by the clocks aboard, two hours ahead of UTC.
const SECONDS: i64 = 80 * 60;
const TACKS: [i64; 2] = [10 * 60, 74 * 60];
/// The trial: six legs of ten minutes from 14:02, each reading's speed as a part of that of the middle one.
const TRIAL: i64 = 12 * 60;
const LEG: i64 = 10 * 60;
const LOWER: f64 = 0.990;
const MIDDLE: f64 = 1.0;
const HIGHER: f64 = 1.005;
const LEGS: [f64; 6] = [LOWER, MIDDLE, HIGHER, HIGHER, MIDDLE, LOWER];

/// Within what the book's row at 14 kn is asked in, and her target speed there.
const WIND_KN: f64 = 13.4;
const SPEED_KN: f64 = 6.87;

fn start() -> Timestamp {
    "2027-06-12T11:50:00Z".parse().expect("a time")
}

fn at(second: i64) -> Timestamp {
    start() + SignedDuration::from_secs(second)
}

/// Numbers that look random and are the same everywhere: nothing in them hangs on a machine's sine.
struct Noise {
    state: u64,
}

impl Noise {
    /// From −1 to 1, most often about 0.
    fn next(&mut self) -> f64 {
        let mut one = || {
            self.state = self.state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (self.state >> 40) as f64 / (1u64 << 24) as f64
        };
        (one() + one() + one() + one()) / 2.0 - 1.0
    }

    /// The next value of what holds a part of the last one.
    fn after(&mut self, last: f64, holds: f64, by: f64) -> f64 {
        holds * last + by * self.next()
    }
}

/// How much of her speed she has, so many seconds after a tack.
fn after_tack(second: i64) -> f64 {
    let since = TACKS.iter().map(|tack| second - tack).filter(|since| *since >= 0).min().unwrap_or(SECONDS);
    match since {
        0..40 => 0.65 + 0.35 * since as f64 / 40.0,
        _ => 1.0,
    }
}

fn made() -> String {
    let mut noise = Noise { state: 20_270_612 };
    let (mut gust, mut steering, mut waves) = (0.0, 0.0, 0.0);
    let mut log = String::from("time,tws kn,twa deg,stw kn,heel deg,heading deg\n");
    for second in (0..SECONDS).step_by(EVERY_SECONDS as usize) {
        gust = noise.after(gust, 0.95, 0.35);
        steering = noise.after(steering, 0.7, 2.2);
        waves = noise.after(waves, 0.6, 0.045);
        let is_starboard = (TACKS[0]..TACKS[1]).contains(&second);
        let side = if is_starboard { 1.0 } else { -1.0 };
        let hour = second as f64 / 3600.0;
        let leg = usize::try_from((second - TRIAL).div_euclid(LEG)).ok().and_then(|leg| LEGS.get(leg));
        let wind = WIND_KN + 0.3 * (hour - 0.7) + gust;
        // The helm tires: she is a little slower every hour, whatever is set.
        let speed =
            SPEED_KN * leg.unwrap_or(&MIDDLE) * after_tack(second) * (1.0 + 0.008 * (wind - WIND_KN) - 0.004 * hour)
                + waves;
        let heel = side * -(21.0 + 1.6 * (wind - WIND_KN) + noise.next());
        let heading = 242.0 - side * 42.0 - side * steering;
        let time = Offset::from_hours(2).expect("an offset").to_datetime(at(second));
        let values = format!("{wind:.1},{:.1},{speed:.2},{heel:.1},{heading:.0}", side * (42.0 + steering));
        log += &format!("{}+02:00,{values}\n", time.strftime("%Y-%m-%dT%H:%M:%S"));
    }
    log
}

/// `REMAKE_EXAMPLE_LOG=1 cargo test --test books example_log` writes it anew.
#[test]
fn the_example_log_is_the_one_that_is_made_here() {
    if std::env::var_os("REMAKE_EXAMPLE_LOG").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/examples/full-log.csv");
        std::fs::write(path, made()).expect("the example can be written");
        return;
    }
    assert!(LOG == made(), "examples/full-log.csv is not what this file makes");
    assert!(LOG.len() < 150_000);
}

#[test]
fn the_example_log_is_read_without_a_word_and_has_both_tacks() {
    let read = logs::read("full-log.csv", LOG.as_bytes(), &Options::default());
    assert_eq!(read.told, []);
    // Two tacks, each on a full minute; what else is dropped is gusts.
    assert_eq!(read.dropped_for(Why::NearTack), 4);
    assert!(read.blocks.len() >= 70, "{}", read.blocks.len());
    let starboard = read.blocks.iter().filter(|block| block.is_starboard_tack).count();
    assert!(starboard > 50 && read.blocks.len() - starboard > 8, "{starboard} of {}", read.blocks.len());
    let mean = |value: fn(&Block) -> f64| read.blocks.iter().map(value).sum::<f64>() / read.blocks.len() as f64;
    assert_abs_diff_eq!(mean(|block| block.wind.to_knots()), WIND_KN, epsilon = 0.5);
    assert_abs_diff_eq!(mean(|block| block.angle.to_degrees()), 42.0, epsilon = 0.5);
    assert!(read.blocks.iter().all(|block| block.heel.is_some() && block.heading_deg.is_some()));
}

#[test]
fn the_legs_of_the_examples_trial_have_their_blocks_and_differ() {
    let read = logs::read("full-log.csv", LOG.as_bytes(), &Options::default());
    let mut means = Vec::new();
    for leg in 0..LEGS.len() as i64 {
        // Two minutes to settle.
        let (from, until) = (at(TRIAL + leg * LEG + 120), at(TRIAL + (leg + 1) * LEG));
        let inside: Vec<&Block> =
            read.blocks.iter().filter(|block| from <= block.start && block.start < until).collect();
        assert!(inside.len() >= 5, "leg {leg} has {} blocks", inside.len());
        means.push(inside.iter().map(|block| block.speed.to_knots()).sum::<f64>() / inside.len() as f64);
    }
    let of = |first: usize, second: usize| (means[first] + means[second]) / 2.0;
    let (lower, middle, higher) = (of(0, 5), of(1, 4), of(2, 3));
    assert_abs_diff_eq!(lower / middle, LOWER, epsilon = 0.004);
    assert_abs_diff_eq!(higher / middle, HIGHER, epsilon = 0.004);
}
