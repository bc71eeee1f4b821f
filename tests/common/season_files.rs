//! A season of an invented boat as files: notes of trials, and the log that her instruments kept of them. Seeded, and assumed, not
//! measured on a boat; strong effects and little scatter, so that a few trials tell something.

use std::fmt::Write as _;

use jiff::civil::Date;
use jiff::{SignedDuration, Timestamp};

use super::sailed_log::{HEAD, Shown};

/// The first line of the notes' file of the small sound book.
pub const HEADER: &str =
    "when,until,settings,wind,angle,sea,below,helm,trial,backstay,lead,vang,speed,verdict,who,note,found\n";
/// Orders of three readings in turn, the lowest being 0: mirrored, so that what drifts steadily cancels.
const ORDERS: [[usize; 6]; 3] = [[0, 1, 2, 2, 1, 0], [1, 2, 0, 0, 2, 1], [2, 0, 1, 1, 0, 2]];
const LEG_MINUTES: i64 = 10;
/// Seconds between two records of the log.
const RECORD_S: i64 = 10;
/// What a mark from the best costs, percent; twice as far costs four times as much.
const COST: f64 = 2.0;

/// Numbers from a seed: the splitting generator of Steele, Lea and Flood (2014).
struct Chance(u64);

impl Chance {
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        ((mixed ^ (mixed >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// About normal: a dozen even chances.
    fn normal(&mut self, deviation: f64) -> f64 {
        deviation * ((0..12).map(|_| self.even()).sum::<f64>() - 6.0)
    }
}

/// Some trials of one control, one a day.
pub struct Trials<'a> {
    pub settings: &'a str,
    pub wind: f64,
    /// The id of the control, and what the others are set to: the cells of `backstay,lead,vang`.
    pub control: &'a str,
    pub cells: [&'a str; 3],
    /// The three readings that are asked about, in rising order, and the one that is best.
    pub readings: [f64; 3],
    pub best: f64,
    pub first_day: Date,
    pub count: usize,
    pub seed: u64,
}

impl Trials<'_> {
    /// The lines of the notes and the records of the log, with the head of its table.
    pub fn sail(&self) -> (String, String) {
        let (mut notes, mut log) = (String::new(), HEAD.to_owned());
        let mut chance = Chance(self.seed);
        for trial in 0..self.count {
            let day = self.first_day.checked_add(SignedDuration::from_hours(24 * trial as i64)).expect("a day");
            // 14:00 on a clock two hours ahead of UTC.
            let start: Timestamp = format!("{day}T12:00:00Z").parse().expect("a time");
            let (offset, wind) = (chance.normal(1.0), self.wind + chance.normal(0.2));
            for (leg, order) in ORDERS[trial % ORDERS.len()].into_iter().enumerate() {
                let reading = self.readings[order];
                let from = leg as i64 * LEG_MINUTES;
                self.note(&mut notes, &format!("{day}"), from, reading, trial);
                let loss = COST * (reading - self.best).powi(2);
                for second in (from * 60..(from + LEG_MINUTES) * 60).step_by(RECORD_S as usize) {
                    let drift = second as f64 / 3600.0;
                    let percent = offset + drift - loss + chance.normal(0.8);
                    let shown = Shown {
                        tws: wind + chance.normal(0.1),
                        twa: 42.0 + chance.normal(0.5),
                        stw: 6.2 * (1.0 + percent / 100.0),
                        heading: 200.0,
                    };
                    let time = start + SignedDuration::from_secs(second);
                    let Shown { tws, twa, stw, heading } = shown;
                    let _ = writeln!(log, "{time}, {tws:.3}, {twa:.3}, {stw:.4}, {heading:.2}");
                }
            }
        }
        (notes, log)
    }

    fn note(&self, notes: &mut String, day: &str, from: i64, reading: f64, trial: usize) {
        let clock = |minutes: i64| format!("{}:{:02}", 14 + minutes / 60, minutes % 60);
        let ids = ["backstay", "lead", "vang"];
        let cells = ids.iter().zip(self.cells).map(|(id, cell)| match *id == self.control {
            true => reading.to_string(),
            false => cell.to_owned(),
        });
        let cells: Vec<String> = cells.collect();
        let _ = writeln!(
            notes,
            "{day} {},{},{},{},42,flat,,Bo,{}-{}-{},{},,,,,",
            clock(from),
            clock(from + LEG_MINUTES),
            self.settings,
            self.wind,
            self.control,
            self.wind,
            trial + 1,
            cells.join(",")
        );
    }
}

/// Backstay trials of the small sound book at 10 kn, round its mark 2: 3 is faster.
pub fn backstay_wants_more(count: usize) -> Trials<'static> {
    Trials {
        settings: "j1-upwind",
        wind: 10.0,
        control: "backstay",
        cells: ["", "12", "snug"],
        readings: [1.0, 2.0, 3.0],
        best: 3.0,
        first_day: jiff::civil::date(2027, 6, 5),
        count,
        seed: 7,
    }
}

/// Trials of the lead at 10 kn, round its mark 12: that is best.
pub fn lead_is_right(count: usize) -> Trials<'static> {
    Trials {
        control: "lead",
        cells: ["2", "", "snug"],
        readings: [11.0, 12.0, 13.0],
        best: 12.0,
        first_day: jiff::civil::date(2027, 7, 3),
        seed: 11,
        ..backstay_wants_more(count)
    }
}
