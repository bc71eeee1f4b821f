//! A made-up season to ask about: trials on a reach in 12 knots, notes, blocks and what the book says. Knows no answer.

use std::collections::BTreeMap;

use cockpit_cards::season::trial::Reason;
use cockpit_cards::season::{
    Asking, Block, Cell, Comparison, Control, Input, Measure, Note, Noted, Options, Row, Table, compare,
};
use cockpit_cards::tuning::{Angle, BoatSpeed, Wind};
use jiff::{SignedDuration, Timestamp};

use crate::season_notes::{at, note, one};
use crate::season_world::scale;

/// What she should do on a reach in any wind, knots.
pub(crate) const TARGET_KN: f64 = 8.0;

/// What was sailed, and what the book says: a reach in 12 knots with the lead at 5.
#[derive(Clone)]
pub(crate) struct Sailed {
    pub(crate) notes: Vec<Note>,
    pub(crate) blocks: Vec<Block>,
    pub(crate) book: [Option<Noted>; 2],
    pub(crate) limits: (Option<f64>, Option<f64>),
    pub(crate) measured: Option<Timestamp>,
    pub(crate) has_targets: bool,
    pub(crate) options: Options,
}

pub(crate) const CONTROLS: [&str; 2] = ["lead", "outhaul"];

pub(crate) fn nothing() -> Sailed {
    let book = [Some(one(5.0)), Some(one(3.0))];
    Sailed {
        notes: Vec::new(),
        blocks: Vec::new(),
        book,
        limits: (None, None),
        measured: None,
        has_targets: true,
        options: Options::default(),
    }
}

pub(crate) fn block(start: Timestamp, wind_kn: f64, speed_kn: f64) -> Block {
    Block {
        start,
        seconds: 60.0,
        wind: Wind::knots(wind_kn),
        angle: Angle::degrees(100.0),
        is_starboard_tack: false,
        speed: BoatSpeed::knots(speed_kn),
        heel: None,
        heading_deg: None,
    }
}

impl Sailed {
    /// Legs of ten minutes one after the other, each with a reading and how well she goes, percent.
    pub(crate) fn trial(&mut self, name: &str, when: &str, legs: &[(f64, f64)]) {
        for (number, (reading, percent)) in legs.iter().enumerate() {
            let start = at(when) + SignedDuration::from_mins(10 * number as i64);
            let minutes = (0..10).map(|minute| start + SignedDuration::from_mins(minute));
            self.blocks.extend(minutes.map(|start| block(start, 12.0, TARGET_KN * (1.0 + percent / 100.0))));
            let until = Some(start + SignedDuration::from_mins(10));
            let own = note(when, 12.0, "lead", one(*reading));
            self.notes.push(Note { when: Some(start), until, trial: Some(name.to_owned()), ..own });
        }
    }

    /// So many trials round 5, each with the gains of 4, 5 and 6, and a scatter that is the same whatever they are.
    pub(crate) fn trials(&mut self, count: usize, gains: [f64; 3]) {
        (0..count).for_each(|number| self.trial_round_five(number, gains, 0.3));
    }

    pub(crate) fn trial_round_five(&mut self, number: usize, gains: [f64; 3], scatter: f64) {
        let asking = Asking { readings: vec![4.0, 5.0, 6.0], middle: 1 };
        // Of each three trials one reading after the other is luckier, and the day lifts all of them.
        let lucky = |way: usize| if (way + number).is_multiple_of(3) { scatter } else { 0.0 };
        let day = number as f64;
        let percent = |reading: &f64| {
            let way = (*reading - 4.0) as usize;
            gains[way] + lucky(way) + day
        };
        let legs: Vec<(f64, f64)> = asking.legs(number).iter().map(|leg| (*leg, percent(leg))).collect();
        self.trial(&format!("t{number}"), &format!("2027-06-{:02} 10:00", number + 1), &legs);
    }

    pub(crate) fn with<T>(&self, then: impl FnOnce(&Input) -> T) -> T {
        let scale = scale();
        let target = |_: Wind, _: Angle| Some(TARGET_KN);
        let (least, most) = self.limits;
        let control = |at: usize| Control {
            id: CONTROLS[at],
            scale: &scale,
            least,
            most,
            measured: self.measured,
            book: vec![self.book[at], None],
        };
        let table = Table {
            id: "upwind",
            measure: Measure::Speed,
            is_apparent: false,
            rows: [12.0, 14.0].map(|kn| Row { wind: Wind::knots(kn), angle: None }).to_vec(),
            target: if self.has_targets { Some(&target) } else { None },
            controls: [0, 1].map(control).to_vec(),
        };
        then(&Input {
            notes: &self.notes,
            blocks: &self.blocks,
            left_out: BTreeMap::from([("few-records".to_owned(), 7)]),
            tables: &[table],
            options: self.options,
        })
    }

    pub(crate) fn compared(&self) -> Comparison {
        self.with(compare)
    }

    pub(crate) fn lead(&self) -> Cell {
        self.compared().cells.into_iter().find(|cell| cell.control == "lead").unwrap()
    }

    /// The reasons why its one trial does not count.
    pub(crate) fn reasons(&self) -> Vec<Reason> {
        let comparison = self.compared();
        assert_eq!(comparison.trials.len(), 1);
        comparison.trials[0].outcome.clone().err().unwrap_or_default()
    }
}

pub(crate) const GOOD: [(f64, f64); 6] = [(4.0, -1.0), (5.0, 0.0), (6.0, 1.0), (6.0, 1.0), (5.0, 0.0), (4.0, -1.0)];

pub(crate) fn one_trial() -> Sailed {
    let mut sailed = nothing();
    sailed.trial("t", "2027-06-12 14:00", &GOOD);
    sailed
}
