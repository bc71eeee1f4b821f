//! A season that nobody sailed: notes and steady blocks of a boat whose best readings are known, with all that moves a boat
//! beside them. Effects are assumed, not measured on a boat.

use cockpit_cards::length::Length;
use cockpit_cards::season::{
    Asking, Block, Comparison, Control, Input, Measure, Note, Options, Row, Table, Verdict, compare,
};
use cockpit_cards::tuning::{Angle, BoatSpeed, Fineness, Scale, ScaleKind, Wind};
use jiff::{SignedDuration, Timestamp};
use proptest::prelude::Rng;
use proptest::test_runner::{RngAlgorithm, TestRng};

use crate::season_notes::{at, note, one};

/// The wind of the row that is asked about, knots.
pub const ROW_KN: f64 = 12.0;
/// The two controls of the boat.
pub const CONTROLS: [&str; 2] = ["backstay", "lead"];

/// Helms differ by this (standard deviation, percent), and one steers for an hour.
const HELM: f64 = 1.5;
/// The day and the calibration of the log.
const DAY: f64 = 1.0;
/// The wind instrument wanders by this, knots, over a quarter of an hour: 0.8 % of the target.
const WIND_ERROR_KN: f64 = 0.3;
const WIND_ERROR_MINUTES: f64 = 15.0;
/// Gusts, percent, and how alike neighbouring minutes are.
const GUSTS: f64 = 1.5;
const GUSTS_ALIKE: f64 = 0.6;
/// Chop makes her slower, percent.
const CHOP: f64 = 2.0;
/// The wind of a day lies about that of the row, knots.
const WINDS_KN: f64 = 1.0;
/// Clock of the notes against that of the log, seconds.
const CLOCK_S: f64 = 30.0;
/// One minute in ten is not steady.
const UNSTEADY: f64 = 0.1;
/// One trial in fifty was sailed with the highest and the lowest reading exchanged.
const SWAPPED: f64 = 0.02;

/// What a reading of a control really does.
#[derive(Clone, Copy, Debug)]
pub struct Hidden {
    /// The best reading in the wind of the row.
    pub best: f64,
    /// By how many marks the best moves with a knot.
    pub moves: f64,
    /// What a mark away from the best costs, percent; twice as far costs four times as much.
    pub cost: f64,
}

impl Hidden {
    /// A control that does nothing.
    pub const NOTHING: Hidden = Hidden { best: 5.0, moves: 0.0, cost: 0.0 };

    /// What a reading costs in the wind of the row, percent.
    pub fn loss(&self, reading: f64) -> f64 {
        self.loss_in(reading, ROW_KN)
    }

    fn loss_in(&self, reading: f64, wind_kn: f64) -> f64 {
        self.cost * (reading - self.best - self.moves * (wind_kn - ROW_KN)).powi(2)
    }
}

/// A seeded stream of chances.
pub struct Chance(TestRng);

impl Chance {
    pub fn new(seed: u64) -> Self {
        let mut bytes = [0; 32];
        bytes[..8].copy_from_slice(&seed.to_le_bytes());
        Chance(TestRng::from_seed(RngAlgorithm::ChaCha, &bytes))
    }

    /// Even between 0 and 1.
    pub fn even(&mut self) -> f64 {
        (self.0.next_u64() >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.even()
    }

    /// Normal, by Box and Muller.
    pub fn normal(&mut self, deviation: f64) -> f64 {
        let radius = (-2.0 * (1.0 - self.even()).ln()).sqrt();
        deviation * radius * (std::f64::consts::TAU * self.even()).cos()
    }
}

/// A season as it goes on.
pub struct Season {
    pub chance: Chance,
    pub hidden: [Hidden; 2],
    /// What the book says in the row.
    pub book: [f64; 2],
    pub notes: Vec<Note>,
    pub blocks: Vec<Block>,
    /// Whether trials are now and then sailed with readings exchanged.
    pub may_swap: bool,
    /// By how much a helm who knows the reading steers better for each mark above the book's, percent.
    pub belief: f64,
    day: i64,
    clock_s: i64,
    trials: usize,
}

/// What moves the boat on one day, beside her readings.
struct Day {
    start: Timestamp,
    offset: f64,
    sea: &'static str,
    wind_kn: f64,
    /// Changes of helm come at this minute of the hour.
    change: usize,
    helm: f64,
    wind_error_kn: f64,
    gust: f64,
}

impl Season {
    pub fn new(seed: u64, hidden: [Hidden; 2], book: [f64; 2]) -> Self {
        let mut chance = Chance::new(seed);
        let clock_s = chance.normal(CLOCK_S) as i64;
        Season {
            chance,
            hidden,
            book,
            notes: Vec::new(),
            blocks: Vec::new(),
            may_swap: false,
            belief: 0.0,
            day: 0,
            clock_s,
            trials: 0,
        }
    }

    fn day(&mut self) -> Day {
        self.day += 1;
        let chance = &mut self.chance;
        let sea = if chance.even() < 0.5 { "flat" } else { "chop" };
        let chop = if sea == "chop" { -CHOP } else { 0.0 };
        Day {
            start: at("2027-05-01 10:00") + SignedDuration::from_hours(24 * self.day),
            offset: chance.normal(DAY) + chop,
            sea,
            wind_kn: ROW_KN + chance.normal(WINDS_KN),
            change: (chance.even() * 60.0) as usize,
            helm: chance.normal(HELM),
            wind_error_kn: chance.normal(WIND_ERROR_KN),
            gust: chance.normal(GUSTS),
        }
    }

    /// A minute of the day under two readings; it may not be steady.
    fn minute(&mut self, day: &mut Day, minute: usize, noted: [f64; 2], readings: [f64; 2]) {
        let above: f64 = noted.iter().zip(self.book).map(|(noted, book)| noted - book).sum();
        let chance = &mut self.chance;
        if minute % 60 == day.change {
            day.helm = chance.normal(HELM);
        }
        let alike = (-1.0 / WIND_ERROR_MINUTES).exp();
        day.wind_error_kn = alike * day.wind_error_kn + chance.normal(WIND_ERROR_KN * (1.0 - alike * alike).sqrt());
        day.gust = GUSTS_ALIKE * day.gust + chance.normal(GUSTS * (1.0 - GUSTS_ALIKE * GUSTS_ALIKE).sqrt());
        day.wind_kn += chance.normal(0.05);
        let loss: f64 = self.hidden.iter().zip(readings).map(|(own, reading)| own.loss_in(reading, day.wind_kn)).sum();
        let performance = day.offset + day.helm + day.gust + self.belief * above - loss;
        let angle = Angle::degrees(42.0 + chance.normal(0.8));
        let (_, along) = angle.sin_cos();
        let made_good = target(Wind::knots(day.wind_kn)) * (1.0 + performance / 100.0);
        let block = Block {
            start: day.start + SignedDuration::from_mins(minute as i64),
            seconds: 60.0,
            wind: Wind::knots(day.wind_kn + day.wind_error_kn),
            angle,
            is_starboard_tack: true,
            speed: BoatSpeed::knots(made_good / along),
            heel: None,
            heading_deg: None,
        };
        if chance.even() >= UNSTEADY {
            self.blocks.push(block);
        }
    }

    fn leg(&mut self, day: &mut Day, from: usize, minutes: usize, noted: [f64; 2], readings: [f64; 2]) -> usize {
        (from..from + minutes).for_each(|minute| self.minute(day, minute, noted, readings));
        let by_clock = |minute: usize| {
            let moment = day.start + SignedDuration::from_mins(minute as i64) + SignedDuration::from_secs(self.clock_s);
            Some(moment)
        };
        let (when, until) = (by_clock(from), by_clock(from + minutes));
        let both = CONTROLS.into_iter().zip(noted).map(|(control, reading)| (control.to_owned(), one(reading)));
        let noted = Note {
            line: self.notes.len() + 2,
            when,
            until,
            sea: Some(day.sea.to_owned()),
            readings: both.collect(),
            wind: Some(Wind::knots(ROW_KN)),
            ..note("2027-05-01 10:00", ROW_KN, "", one(0.0))
        };
        self.notes.push(noted);
        self.notes.len() - 1
    }

    /// Sails one trial of a control round the book's reading; it counts or not, as the day is.
    pub fn trial(&mut self, control: usize, sailed: usize) {
        let asking = round(control, self.book[control]);
        let legs = asking.legs(sailed);
        self.trial_of(control, &legs);
    }

    /// Sails one trial with these readings in its legs.
    pub fn trial_of(&mut self, control: usize, legs: &[f64]) {
        let mut day = self.day();
        self.trials += 1;
        let is_swapped = self.may_swap && self.chance.even() < SWAPPED;
        let ends =
            legs.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), leg| (low.min(*leg), high.max(*leg)));
        for (number, leg) in legs.iter().enumerate() {
            let (mut noted, mut readings) = (self.book, self.book);
            noted[control] = *leg;
            readings[control] = if is_swapped { ends.0 + ends.1 - leg } else { *leg };
            let added = self.leg(&mut day, 10 * number, 10, noted, readings);
            self.notes[added].trial = Some(format!("t{}", self.trials));
        }
    }

    /// An hour without a trial: the crew sets what it sails by what the last note said, more in chop, and judges by the log.
    pub fn hour(&mut self) {
        let mut day = self.day();
        let last = self.notes.last().map_or(self.book, |last| {
            let reading = |control: usize| last.reading_of(CONTROLS[control]).and_then(|noted| noted.still());
            [0, 1].map(|control| reading(control).unwrap_or(self.book[control]))
        });
        let was_slow = self.notes.last().is_some_and(|last| last.verdict == Some(Verdict::Slow));
        let chop = if day.sea == "chop" { 1.0 } else { 0.0 };
        let set = last.map(|reading| {
            let moved = if was_slow { self.chance.between(-1.5, 1.5).round() } else { 0.0 };
            (reading + moved + chop * self.chance.even().round()).clamp(1.0, 9.0)
        });
        let added = self.leg(&mut day, 0, 55, set, set);
        let felt = day.offset + day.helm + self.chance.normal(1.0);
        self.notes[added].verdict = Some(match felt {
            _ if felt > 1.0 => Verdict::Fast,
            _ if felt < -1.0 => Verdict::Slow,
            _ => Verdict::Ok,
        });
    }

    /// Compares everything so far.
    pub fn compare(&self) -> Comparison {
        let scale = scale();
        let target = |wind: Wind, _: Angle| Some(target(wind));
        let controls = [0, 1].map(|at| control(&scale, at, self.book[at]));
        let table = Table {
            id: "upwind",
            measure: Measure::MadeGood,
            is_apparent: false,
            rows: vec![Row { wind: Wind::knots(ROW_KN), angle: None }],
            target: Some(&target),
            controls: controls.to_vec(),
        };
        compare(&Input {
            notes: &self.notes,
            blocks: &self.blocks,
            left_out: Default::default(),
            tables: &[table],
            options: Options::default(),
        })
    }
}

/// What she should make good in a wind, knots.
fn target(wind: Wind) -> f64 {
    4.0 + 0.15 * wind.to_knots()
}

/// Marks 0 to 10, read to halves.
pub fn scale() -> Scale {
    let kind = ScaleKind::Even { first: 0, last: 10, spacing: Length::mm(20.0), purchase: 1.0 };
    Scale { kind, fineness: Fineness::Halves }
}

fn control(scale: &Scale, at: usize, book: f64) -> Control<'_> {
    Control { id: CONTROLS[at], scale, least: None, most: None, measured: None, book: vec![Some(one(book))] }
}

/// The question round a reading.
pub fn round(at: usize, book: f64) -> Asking {
    Asking::round(&control(&scale(), at, book), book).unwrap()
}
