//! The rows of a ladder: at which printed places a crew acts, and every mark to have from there on. Knows no book and no card.
//!
//! A crew that sets a control at 12½ kn and sets it back at 12½ kn hunts: the wind is never still. So the wind to act
//! at is higher while it builds than while it eases, by no less than the dead band. Each row holds one mark of every control
//! from its own place up to that of the next, so nobody has to add up moves.
//!
//! **How many rows.** A row is worth having where it keeps one control nearer by one readable step over the width of the dead
//! band, or more; among as many rows as one card holds, those are taken that keep the marks nearest to the table. No mark
//! is further from the table than one step of its scale, halfway through each printed step of the axis; between two words,
//! tapes or turns nothing stands, so those are as the table has them. What cannot be kept in the rows of one card takes
//! more rows, as few as can be. Readings finer than half a mark are for the card of settings: on a ladder nobody moves a
//! control by a quarter.
//!
//! Only what is printed is shifted or joined; the exact changes stay as [`Column::changes`] finds them.

use super::scale::SAME;
use super::{Axis, Column, Ground, Known, Scale, Setting, Told, Wind, WindUnit};

/// How far apart building and easing stand where nobody says: two printed steps, 1 kn or ½ m/s. About what a masthead
/// wind wanders by from one minute to the next in a steady breeze (common practice).
pub const STEPS_APART: i64 = 2;
/// Rows on one card: more are not found in at a glance.
pub const MOST_ROWS: usize = 8;
/// A trimmer moves a control by whole marks or halves.
const MOVES_IN_A_MARK: f64 = 2.0;
/// Less than this part of a step for one control is arithmetic, not a reason for a row.
const SLACK: f64 = 1e-9;

/// Where the rungs of a ladder may stand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spacing<A = Wind> {
    /// A printed step of the axis.
    pub step: A,
    /// Printed steps from acting as it falls up to acting as it rises.
    pub steps_apart: i64,
    /// Where the ladder begins: nobody goes below it.
    pub start: A,
    /// The most that the sails are for; endless if nobody says.
    pub top: A,
}

/// One control on one side, as far as a ladder has to know it.
pub struct Lane<'a, A> {
    /// The scale that its readings are of.
    pub scale: &'a Scale,
    /// What the table says at a place.
    pub told: Box<dyn Fn(A) -> Told<Setting> + 'a>,
    /// What was recorded, in rising order.
    pub recorded: Vec<Known<A>>,
    /// Where the control is known not to be used.
    pub not_used: Vec<A>,
}

/// The marks to have from one rung to the next.
#[derive(Clone, Debug, PartialEq)]
pub struct Row<A = Wind> {
    /// Where to come up to it, and where to go back below it; the first row has no rung.
    pub rung: Option<Rung>,
    /// The lower end of the places it stands for, halfway between the two ways of the rung.
    pub from: A,
    /// The upper end of them.
    pub to: A,
    /// One for each lane.
    pub marks: Vec<Told<Mark>>,
}

/// The two places to act at, in printed steps.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rung {
    /// As it rises.
    pub rising: i64,
    /// As it falls.
    pub falling: i64,
}

/// A mark to have, and what it is known from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Mark {
    /// In the scale's own coordinate.
    pub reading: f64,
    /// Sailed, if just it was recorded in the places of its row; else no better than what it was read from.
    pub ground: Ground,
}

impl Spacing {
    /// The dead band that is asked for, as wide as print has to make it to hold it; without one, the usual.
    pub fn steps_for(apart: Option<Wind>, unit: WindUnit) -> i64 {
        apart.map_or(STEPS_APART, |apart| apart.steps_no_less(unit))
    }
}

impl<A: Axis> Spacing<A> {
    /// The place of a printed step.
    pub fn place(&self, steps: i64) -> A {
        A::from_number(self.step.number() * steps as f64)
    }

    /// The dead band as it is printed.
    pub fn apart(&self) -> A {
        self.place(self.steps_apart)
    }

    /// The printed step nearest to a place; halfway goes up.
    pub fn steps(&self, place: A) -> i64 {
        (place.number() / self.step.number() + 0.5 + SAME).floor() as i64
    }

    /// Between the two ways of a rung.
    fn middle_of(&self, falling: i64) -> A {
        A::from_number(self.step.number() * (falling as f64 + self.steps_apart as f64 / 2.0))
    }

    /// Where a rung may stand, by its falling way, the lowest and the highest; `last` is where the last thing changes.
    fn falling(&self, last: A) -> (i64, i64) {
        let start = self.steps(self.start);
        let lowest = if self.middle_of(start).is_above(self.start) { start } else { start + 1 };
        // Past the top nobody has these sails up; and where there is not room for both ways, it is the start that counts.
        (lowest, (self.steps(self.end(last)) - self.steps_apart).max(lowest))
    }

    /// Where the ladder ends; of endless sails where the last thing that is known holds by itself.
    fn end(&self, last: A) -> A {
        if self.top.number().is_finite() {
            self.top
        } else {
            A::from_number(last.number() + self.apart().number() + self.step.number())
        }
    }
}

/// The part of the axis between two places at which rungs may stand, and what each lane says in the middle of it.
struct Cell<A> {
    from: A,
    to: A,
    told: Vec<Told<Setting>>,
}

/// The rows of a ladder from its start up; one alone where nothing moves. `last` is the last place that anything is known of.
pub fn rows<A: Axis>(lanes: &[&Lane<'_, A>], spacing: &Spacing<A>, last: A) -> Vec<Row<A>> {
    let (lowest, highest) = spacing.falling(last);
    let cells = cells(lanes, spacing, (lowest, highest), last);
    let seams = seams(lanes, &cells);
    let cut = Cutting { lanes, cells: &cells, seams: &seams, step: spacing.step.number() };
    let parts = cut.best(spacing.steps_apart as f64);
    let mut rows: Vec<Row<A>> = Vec::new();
    for (from, to) in parts {
        let row = Row {
            rung: from.checked_sub(1).map(|nth| {
                let falling = lowest + nth as i64;
                Rung { rising: falling + spacing.steps_apart, falling }
            }),
            from: cells[from].from,
            to: cells[to - 1].to,
            marks: lanes.iter().enumerate().map(|(nth, lane)| cut.mark(nth, lane, from, to)).collect(),
        };
        match rows.last_mut().filter(|below| same_readings(below, &row)) {
            Some(below) => below.to = row.to,
            None => rows.push(row),
        }
    }
    rows
}

fn same_readings<A>(one: &Row<A>, other: &Row<A>) -> bool {
    one.marks
        .iter()
        .zip(&other.marks)
        .all(|(one, other)| one.map(|mark| mark.reading) == other.map(|mark| mark.reading))
}

/// From the start over every place at which a rung may stand to the end.
fn cells<A: Axis>(lanes: &[&Lane<'_, A>], spacing: &Spacing<A>, (low, high): (i64, i64), last: A) -> Vec<Cell<A>> {
    let end = spacing.end(last);
    // Sails for less than the dead band have one rung all the same.
    let beyond = A::from_number(spacing.middle_of(high).number() + spacing.step.number());
    let end = if end.is_above(spacing.middle_of(high)) { end } else { beyond };
    let places: Vec<A> =
        std::iter::once(spacing.start).chain((low..=high).map(|steps| spacing.middle_of(steps))).chain([end]).collect();
    let cell = |ends: &[A]| {
        let (from, to) = (ends[0], ends[1]);
        Cell { from, to, told: lanes.iter().map(|lane| (lane.told)(from.midway(to))).collect() }
    };
    places.windows(2).map(cell).collect()
}

/// The cells with which a row may begin: those that say something else than the cell before; with the end of the last one.
fn seams<A>(lanes: &[&Lane<'_, A>], cells: &[Cell<A>]) -> Vec<usize> {
    let says = |cell: usize, lane: usize| cells[cell].told[lane].map(|setting| setting.reading);
    let differs = |cell: &usize| (0..lanes.len()).any(|lane| says(*cell, lane) != says(*cell - 1, lane));
    let inner = (1..cells.len()).filter(differs);
    std::iter::once(0).chain(inner).chain([cells.len()]).collect()
}

/// What a mark is known from that stands over a stretch of winds: sailed, if just it was recorded there; else no better
/// than the rows it was read between.
pub fn ground<A: Axis>(column: &Column<A>, reading: f64, from: A, to: A) -> Ground {
    let known = column.known();
    let here = known.iter().filter(|known| from <= known.at && known.at <= to && known.reading == reading);
    if let Some(surest) = here.map(|known| known.ground).min() {
        return surest;
    }
    let below = known.partition_point(|known| known.at <= from).saturating_sub(1);
    let above = known.partition_point(|known| known.at < to);
    let around = known.iter().skip(below).take(above.saturating_sub(below) + 1).map(|known| known.ground);
    around.filter(|ground| !ground.was_sailed()).max().unwrap_or(Ground::Between)
}

/// The search for where to part the cells into rows.
struct Cutting<'a, A> {
    lanes: &'a [&'a Lane<'a, A>],
    cells: &'a [Cell<A>],
    seams: &'a [usize],
    step: f64,
}

/// The least that some rows cost, and where the last of them begins.
#[derive(Clone, Copy)]
struct Best {
    cost: f64,
    from: usize,
}

impl<A: Axis> Cutting<'_, A> {
    /// The first and the last cell of each row, where one more row has to be worth `row_costs` steps of a control over a printed
    /// step of the axis.
    fn best(&self, row_costs: f64) -> Vec<(usize, usize)> {
        let ends = self.seams.len() - 1;
        let costs = self.costs();
        // What moves has a rung, however little it moves.
        let fewest = if ends > 1 && (0..self.lanes.len()).any(|lane| self.moves(lane)) { 2 } else { 1 };
        // By the number of rows, then by the seam that they reach to.
        let mut layers: Vec<Vec<Option<Best>>> = Vec::new();
        let mut chosen: Option<(usize, f64)> = None;
        for rows in 1..=ends {
            let below = layers.last();
            let layer: Vec<Option<Best>> = (0..=ends).map(|to| best_to(to, below, &costs)).collect();
            if let Some(Best { cost, .. }) = layer[ends].filter(|_| rows >= fewest) {
                let whole = cost + row_costs * rows as f64;
                if chosen.is_none_or(|(_, least)| whole < least - SLACK) {
                    chosen = Some((rows, whole));
                }
            }
            layers.push(layer);
            if rows >= MOST_ROWS && chosen.is_some() {
                break;
            }
        }
        let mut parts = Vec::new();
        let mut to = ends;
        for layer in layers[..chosen.map_or(0, |(rows, _)| rows)].iter().rev() {
            let Some(best) = layer[to] else { break };
            parts.push((self.seams[best.from], self.seams[to]));
            to = best.from;
        }
        parts.reverse();
        parts
    }

    /// Whether a lane moves by what a hand is sent for, or is not always known.
    fn moves(&self, nth: usize) -> bool {
        let lane = self.lanes[nth];
        let told = || self.cells.iter().map(|cell| cell.told[nth].map(|setting| setting.reading));
        let readings = || told().filter_map(Told::set);
        let greatest = readings().fold(f64::NEG_INFINITY, f64::max);
        let is_apart =
            |reading: f64| greatest - reading > SLACK && greatest - reading >= lane.half_mark() * (1.0 - SAME);
        readings().any(is_apart) || readings().count() < told().count() && readings().count() > 0
    }

    /// What one row costs from each seam to each later one, as far as one row can stand there.
    fn costs(&self) -> Vec<Vec<f64>> {
        let from = |from: usize| {
            let first = self.seams[from];
            let mut stretches: Vec<Stretch<'_, A>> =
                self.lanes.iter().enumerate().map(|(nth, lane)| Stretch::new(nth, lane, self.cells, first)).collect();
            let cost = |to: usize| stretches.iter_mut().map(|stretch| stretch.cost_to(self.seams[to], self.step)).sum();
            (from + 1..self.seams.len()).map_while(cost).collect()
        };
        // At the last of them everything ends.
        (0..self.seams.len() - 1).map(from).collect()
    }

    /// The one reading for some cells; `None` where one of them has none.
    fn reading(&self, nth: usize, lane: &Lane<'_, A>, from: usize, to: usize) -> Option<f64> {
        let mut stretch = Stretch::new(nth, lane, self.cells, from);
        stretch.grow(to);
        stretch.reading()
    }

    /// Whether a place lies in some cells.
    fn holds(&self, at: A, from: usize, to: usize) -> bool {
        !at.is_below(self.cells[from].from) && !at.is_above(self.cells[to - 1].to)
    }

    /// What one row says of a lane.
    fn mark(&self, nth: usize, lane: &Lane<'_, A>, from: usize, to: usize) -> Told<Mark> {
        let cells = &self.cells[from..to];
        if let Some(reading) = self.reading(nth, lane, from, to) {
            return Told::Set(Mark { reading, ground: lane.ground(nth, reading, cells) });
        }
        // Where the ladder stands, what is known there is to be had.
        let start = self.cells[0].from;
        if let Some(known) = lane.recorded.iter().find(|known| from == 0 && known.at.is_at(start)) {
            return Told::Set(Mark { reading: known.reading, ground: known.ground });
        }
        // As on a card of settings: of a band in which nothing else is known.
        if lane.not_used.iter().any(|at| self.holds(*at, from, to)) { Told::NotUsed } else { Told::Unknown }
    }
}

/// The cells of one lane from a first one on, and the one reading for them, as they become more one by one.
struct Stretch<'a, A> {
    nth: usize,
    lane: &'a Lane<'a, A>,
    tolerance: f64,
    cells: &'a [Cell<A>],
    from: usize,
    to: usize,
    /// Whether all of them say the same, be it that nothing is known.
    is_alike: bool,
    /// Of each cell, if all of them have one.
    readings: Option<Vec<f64>>,
    least: f64,
    greatest: f64,
    /// What was recorded in them, each reading once, in the order of the first place that has it.
    recorded: Vec<f64>,
    /// How many of the lane's recorded places lie before the end of them.
    passed: usize,
    /// How far one reading is from the first so many cells.
    off: Option<Off>,
}

/// How far a reading is from some cells, in steps of a control over a printed step of the axis.
#[derive(Clone, Copy)]
struct Off {
    reading: f64,
    cells: usize,
    cost: f64,
}

impl<'a, A: Axis> Stretch<'a, A> {
    fn new(nth: usize, lane: &'a Lane<'a, A>, cells: &'a [Cell<A>], from: usize) -> Self {
        let start = cells[from].from;
        Stretch {
            nth,
            lane,
            tolerance: lane.tolerance() * (1.0 + SAME),
            cells,
            from,
            to: from,
            is_alike: true,
            readings: Some(Vec::new()),
            least: f64::INFINITY,
            greatest: f64::NEG_INFINITY,
            recorded: Vec::new(),
            passed: lane.recorded.partition_point(|known| known.at.is_below(start)),
            off: None,
        }
    }

    fn told(&self, cell: usize) -> Told<f64> {
        self.cells[cell].told[self.nth].map(|setting| setting.reading)
    }

    /// Takes in the cells up to this one, which it leaves out.
    fn grow(&mut self, to: usize) {
        for cell in self.to..to {
            let told = self.told(cell);
            self.is_alike &= told == self.told(self.from);
            match (told.set(), &mut self.readings) {
                (Some(reading), Some(readings)) => {
                    readings.push(reading);
                    self.least = self.least.min(reading);
                    self.greatest = self.greatest.max(reading);
                }
                _ => self.readings = None,
            }
        }
        self.to = self.to.max(to);
        let Some(last) = self.to.checked_sub(1).and_then(|last| self.cells.get(last)) else { return };
        let rest = &self.lane.recorded[self.passed..];
        for known in rest.iter().take_while(|known| !known.at.is_above(last.to)) {
            self.passed += 1;
            if !self.recorded.contains(&known.reading) {
                self.recorded.push(known.reading);
            }
        }
    }

    /// The one reading for the cells: one that was recorded in them, else that in the middle of them, or if that is too far from
    /// one of them, the nearest to the middle of all readings. `None` where one of them has none.
    fn reading(&self) -> Option<f64> {
        let Stretch { lane, least, greatest, .. } = *self;
        let readings = self.readings.as_ref()?;
        let is_near = |mark: f64| (mark - least).max(greatest - mark) <= self.tolerance;
        let centre = least.midpoint(greatest);
        // What was sailed there is surer than what was read from it.
        let near = |one: &f64, other: &f64| (one - centre).abs().total_cmp(&(other - centre).abs());
        let sailed = self.recorded.iter().copied().filter(|mark| is_near(*mark)).min_by(near);
        let in_the_middle = readings.get(readings.len() / 2).copied().map(|mark| lane.moved_to(mark, least, greatest));
        let nearest = || readings.iter().copied().min_by(near).map(|mark| lane.moved_to(mark, least, greatest));
        sailed.or_else(|| in_the_middle.filter(|mark| is_near(*mark))).or_else(nearest)
    }

    /// How far one row over the cells up to this one is from what the table says; `None` where it would be too far from it.
    fn cost_to(&mut self, to: usize, step: f64) -> Option<f64> {
        self.grow(to);
        if self.is_alike {
            return Some(0.0);
        }
        let reading = self.reading()?;
        let readings = self.readings.as_ref()?;
        // The cells before are no further from the reading that they were held against before.
        let before = self.off.filter(|off| off.reading == reading);
        let mut sum = before.unwrap_or(Off { reading, cells: 0, cost: 0.0 });
        let tolerance = self.lane.tolerance();
        for (cell, told) in self.cells[self.from..to].iter().zip(readings).skip(sum.cells) {
            let off = (told - reading).abs();
            if off > self.tolerance {
                return None;
            }
            // Of a scale that steps none is off.
            sum.cost += if off > 0.0 { off / tolerance * cell.to.apart(cell.from).number() / step } else { 0.0 };
            sum.cells += 1;
        }
        self.off = Some(sum);
        Some(sum.cost)
    }
}

/// The cheapest way to one seam with one more row than `below`, if there is one.
fn best_to(to: usize, below: Option<&Vec<Option<Best>>>, costs: &[Vec<f64>]) -> Option<Best> {
    let ways = (0..to).filter_map(|from| {
        let before = match below {
            Some(layer) => layer.get(from).copied().flatten()?.cost,
            None if from == 0 => 0.0,
            None => return None,
        };
        Some(Best { cost: before + costs.get(from)?.get(to - from - 1)?, from })
    });
    ways.min_by(|one, other| one.cost.total_cmp(&other.cost))
}

impl<A: Axis> Lane<'_, A> {
    /// How far a row's mark may be from the table: a step that can be read, half a mark where it is read finer.
    fn tolerance(&self) -> f64 {
        if self.scale.steps() { 0.0 } else { self.scale.step().max(self.half_mark()) }
    }

    fn half_mark(&self) -> f64 {
        self.scale.whole_mark() / MOVES_IN_A_MARK
    }

    /// A reading as a hand is sent to it: to half a mark, if that is still among the readings of the row.
    fn moved_to(&self, reading: f64, least: f64, greatest: f64) -> f64 {
        let half = self.half_mark();
        if self.scale.steps() || self.scale.step() >= half * (1.0 - SAME) {
            return reading;
        }
        let halves = [(reading / half).floor() * half, (reading / half).ceil() * half];
        let held = halves.into_iter().filter(|even| (least..=greatest).contains(even));
        held.min_by(|one, other| (one - reading).abs().total_cmp(&(other - reading).abs())).unwrap_or(reading)
    }

    /// What a mark is known from that stands over some cells.
    fn ground(&self, nth: usize, reading: f64, cells: &[Cell<A>]) -> Ground {
        let Some((first, last)) = cells.first().zip(cells.last()) else { return Ground::Between };
        let is_here = |known: &&Known<A>| {
            known.reading == reading && !known.at.is_below(first.from) && !known.at.is_above(last.to)
        };
        if let Some(surest) = self.recorded.iter().filter(is_here).map(|known| known.ground).min() {
            return surest;
        }
        let of = |cell: &Cell<A>| cell.told[nth].set();
        let same: Vec<Setting> = cells.iter().filter_map(of).filter(|setting| setting.reading == reading).collect();
        let settings = if same.is_empty() { cells.iter().filter_map(of).collect() } else { same };
        let grounds = settings.iter().map(|setting| setting.ground);
        grounds.filter(|ground| !ground.was_sailed()).max().unwrap_or(Ground::Between)
    }
}
