//! What a settings table says that is keyed by wind and by angle, and on what ground. Knows no sail, no book and no card.
//!
//! **At a wind and an angle.** Along the angle first, within each known wind, on the control's own curve; at an angle beyond
//! what was recorded in that wind, its nearest known angle. Then along the wind, on the curve through what was found. So the
//! setting is just what was recorded where something was, and never leaves the recorded readings it was read from.
//!
//! **Ground.** Between only if in each neighbouring known wind the angle lies within its known angles; else outside.
//!
//! **In a cell**, a band of wind by a band of angle: all that is known in it, and what the curves do over the part of it that
//! is known; a cell of which no part is known is outside, with the nearest known values over all of it.

use std::sync::{Arc, OnceLock};

use super::table::{MOST_ROWS, Source, ground_beside};
use super::{Angle, Axis, Band, Between, Change, Column, Curve, Figure, Ground, Known, Scale, Setting, Wind};

/// Samples on a smooth piece of a curve along the angle before its turns are searched for.
const SAMPLES: usize = 8;
/// Golden-section steps that leave less than a millionth of a piece: 0.618³⁰. Where a curve turns, its value is then true to a
/// millionth of a millionth, and finer steps would compare no more than the last bits.
const GOLDEN_STEPS: u32 = 30;
/// Known winds on either side that a curve along the wind is made of at any place: its slope at a known wind goes by the
/// neighbours of that, and at the last one by the next two.
const BEARING: usize = 2;
/// The golden section, (√5 − 1) / 2.
const GOLDEN: f64 = 0.618_033_988_749_894_9;
/// Two readings this small a part of a step apart are the same.
const SAME: f64 = super::scale::SAME;

/// One control's known values by wind and angle, with the curves through them.
#[derive(Clone, Debug)]
pub struct AngledColumn {
    scale: Arc<Scale>,
    between: Between,
    /// For each known wind, in rising order, what is known at its angles.
    winds: Vec<(Wind, Column<Angle>)>,
    /// Every known angle of any wind, in rising order: between two of them all curves are smooth.
    angles: Vec<Angle>,
    /// Those at which two neighbouring winds have the same reading, in rising order, once somebody has asked.
    alike: OnceLock<Vec<Angle>>,
}

/// A recorded value with its wind and its angle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownAt {
    /// The wind it was recorded at.
    pub wind: Wind,
    /// The true wind angle it was recorded at, the reading and its ground.
    pub known: Known<Angle>,
}

/// What there is to set in a cell, and what is known there.
#[derive(Clone, Debug, PartialEq)]
pub struct CellSetting {
    /// What to set: one mark, or the least and the greatest in the order that they are met in, by wind and then by angle.
    pub figure: Figure,
    /// What that is known from.
    pub ground: Ground,
    /// The setting at its middle, held within what the curves do over the known part of it.
    pub setting: Setting,
    /// The known places of the cell: those nearest its middle, two at most, in order of wind and angle.
    pub rows: Vec<KnownAt>,
    /// How many more there are.
    pub more: usize,
}

impl CellSetting {
    /// The ground to tell beside the figure; `None` where the rows told with it tell enough, as in a band of wind alone.
    pub fn ground_of_figure(&self) -> Option<Ground> {
        ground_beside(self.ground, self.rows.iter().map(|row| row.known.ground))
    }
}

/// A place on the curves and their value there.
#[derive(Clone, Copy, Debug)]
struct Stop {
    wind: Wind,
    angle: Angle,
    exact: f64,
}

impl AngledColumn {
    /// Scales that can only step do so whatever `between` says. The known values stand in order of wind, those of one wind in
    /// order of angle; `None` if they do not, if there is none, or if a number is not finite.
    pub fn new(scale: impl Into<Arc<Scale>>, known: &[KnownAt], between: Between) -> Option<Self> {
        let scale = scale.into();
        let between = if scale.steps() { Between::Step } else { between };
        let of_one_wind = known.chunk_by(|one, next| one.wind == next.wind);
        let column = |known: &[KnownAt]| {
            let wind = known.first()?.wind;
            let along = known.iter().map(|known| known.known).collect();
            Some((wind, Column::new(scale.clone(), along, between)?))
        };
        let winds: Vec<(Wind, Column<Angle>)> = of_one_wind.map(column).collect::<Option<_>>()?;
        let rising = winds.windows(2).all(|pair| pair[0].0 < pair[1].0);
        let finite = winds.iter().all(|(wind, _)| wind.is_finite());
        let mut angles: Vec<Angle> = known.iter().map(|known| known.known.at).collect();
        angles.sort();
        angles.dedup();
        (rising && finite && !winds.is_empty()).then_some(AngledColumn {
            scale,
            between,
            winds,
            angles,
            alike: OnceLock::new(),
        })
    }

    /// The scale that the readings are of.
    pub fn scale(&self) -> &Scale {
        &self.scale
    }

    /// How the control runs between known values.
    pub fn between(&self) -> Between {
        self.between
    }

    /// In order of wind, then of angle.
    pub fn known(&self) -> impl Iterator<Item = KnownAt> + '_ {
        self.winds
            .iter()
            .flat_map(|(wind, column)| column.known().iter().map(move |known| KnownAt { wind: *wind, known: *known }))
    }

    /// For each known wind, in rising order, what is known at its angles.
    pub fn winds(&self) -> &[(Wind, Column<Angle>)] {
        &self.winds
    }

    /// The settings at one angle, over the wind.
    ///
    /// ```
    /// use cockpit_cards::tuning::angled::{AngledColumn, KnownAt};
    /// use cockpit_cards::length::Length;
    /// use cockpit_cards::tuning::{Angle, Between, Fineness, Ground, Known, Scale, ScaleKind, Wind};
    ///
    /// let known = [(10.0, 60.0, 4.0), (10.0, 80.0, 3.0), (16.0, 60.0, 5.0)].map(|(wind, angle, reading)| KnownAt {
    ///     wind: Wind::knots(wind),
    ///     known: Known { at: Angle::degrees(angle), reading, ground: Ground::Sailed },
    /// });
    /// let kind = ScaleKind::Even { first: 0, last: 8, spacing: Length::mm(50.0), purchase: 1.0 };
    /// let scale = Scale { kind, fineness: Fineness::Halves };
    /// let lead = AngledColumn::new(scale, &known, Between::Monotone).unwrap();
    /// let at_70 = lead.at_angle(Angle::degrees(70.0)).unwrap();
    /// assert_eq!(at_70.at(Wind::knots(10.0)).exact, 3.5);
    /// // At 16 kn nobody knows more than 60°.
    /// assert_eq!(at_70.at(Wind::knots(13.0)).exact, 4.25);
    /// assert_eq!(at_70.at(Wind::knots(13.0)).ground, Ground::Outside);
    /// ```
    pub fn at_angle(&self, angle: Angle) -> Option<Column<Wind>> {
        self.along_the_wind(&self.winds, angle)
    }

    /// The setting at one wind and one angle.
    pub fn at(&self, wind: Wind, angle: Angle) -> Option<Setting> {
        Some(self.along_the_wind(self.bearing_on(wind), angle)?.at(wind))
    }

    /// The settings at one angle over some of the known winds.
    fn along_the_wind(&self, winds: &[(Wind, Column<Angle>)], angle: Angle) -> Option<Column<Wind>> {
        let read = |(wind, column): &(Wind, Column<Angle>)| {
            let (setting, source) = column.setting_and_source(angle);
            (Known { at: *wind, reading: setting.exact, ground: setting.ground }, source)
        };
        let (known, sources): (Vec<Known>, Vec<Source>) = winds.iter().map(read).unzip();
        Column::read_from(self.scale.clone(), known, sources, self.between)
    }

    /// The known winds that the curve along the wind is made of at this wind; all others leave it as it is there.
    fn bearing_on(&self, wind: Wind) -> &[(Wind, Column<Angle>)] {
        let above = self.winds.partition_point(|(known, _)| known.is_below(wind));
        let to = (above + BEARING).min(self.winds.len());
        &self.winds[above.saturating_sub(BEARING)..to]
    }

    /// The angles within which the setting at a wind is known: those that each neighbouring known wind has. `None` if they
    /// share none, or the wind lies beyond the known ones.
    pub fn known_angles(&self, wind: Wind) -> Option<(Angle, Angle)> {
        let (below, above) = self.neighbours(wind);
        let is_within = self.winds.first()?.0 <= wind && wind <= self.winds.last()?.0;
        let own = |index: usize| ends(&self.winds[index].1);
        let (low, high) = match self.between {
            // Of two known winds only the nearer one counts.
            Between::Step => own(self.nearest(wind, false)),
            Between::Monotone | Between::Linear => {
                let (one, other) = (own(below), own(above));
                (one.0.max(other.0), one.1.min(other.1))
            }
        };
        (is_within && low <= high).then_some((low, high))
    }

    /// Every angle at which the rounded reading changes at a wind, among those for which it is known, in rising order.
    pub fn changes_at(&self, wind: Wind) -> Vec<Change<Angle>> {
        let (below, above) = self.neighbours(wind);
        let only = match self.between {
            Between::Step => Some(self.nearest(wind, false)),
            _ if below == above || self.winds[above].0 == wind => Some(above),
            Between::Monotone | Between::Linear => None,
        };
        let Some((low, high)) = self.known_angles(wind) else { return Vec::new() };
        if let Some(only) = only {
            return self.winds[only].1.changes().collect();
        }
        self.changes_along(wind, &self.monotone_stops(wind, low, high))
    }

    /// What there is to set in a cell, and what is known there; the rule is in the module's words.
    pub fn in_cell(&self, winds: Band, angles: Band<Angle>) -> Option<CellSetting> {
        let (rows, more) = rows_in(self.known(), winds, angles);
        let is_known = self.lines(winds, angles, true).next().is_some();
        let [least, greatest] = self.extremes(winds, angles, is_known)?;
        let [low, high] = [self.at(least.wind, least.angle)?, self.at(greatest.wind, greatest.angle)?];
        let at_middle = self.at(winds.middle(), angles.middle())?;
        let setting = Setting {
            exact: at_middle.exact.clamp(least.exact, greatest.exact),
            reading: at_middle.reading.clamp(low.reading.min(high.reading), high.reading.max(low.reading)),
            ground: at_middle.ground,
        };
        let is_one = !self.scale.are_apart(low.reading, high.reading);
        let used = if is_one { vec![setting] } else { vec![low, high] };
        let ground = match is_known {
            false => Ground::Outside,
            // The figure is of the known part alone, even where the middle of the cell is not in it.
            true => {
                let used = used.into_iter().chain([low, high]).map(|setting| setting.ground);
                let known = used.filter(|ground| *ground != Ground::Outside).max();
                known.map_or(Ground::Between, |ground| ground.max(Ground::Between))
            }
        };
        let met = (least.wind, least.angle) <= (greatest.wind, greatest.angle);
        let figure = match (is_one, met) {
            (true, _) => Figure::One(setting.reading),
            (false, true) => Figure::Both(low.reading, high.reading),
            (false, false) => Figure::Both(high.reading, low.reading),
        };
        Some(CellSetting { figure, ground, setting: Setting { ground, ..setting }, rows, more })
    }

    /// The known winds at or below and at or above a wind; beyond the ends, the nearest one twice.
    fn neighbours(&self, wind: Wind) -> (usize, usize) {
        let last = self.winds.len() - 1;
        let above = self.winds.partition_point(|(known, _)| *known < wind);
        if self.winds.get(above).is_some_and(|(known, _)| known.is_at(wind)) {
            return (above, above);
        }
        (above.saturating_sub(1).min(last), above.min(last))
    }

    /// The nearer known wind; halfway the lower one, or the upper one for what follows.
    fn nearest(&self, wind: Wind, follows: bool) -> usize {
        let (below, above) = self.neighbours(wind);
        let midway = self.winds[below].0.midway(self.winds[above].0);
        if midway.is_below(wind) || follows && midway.is_at(wind) { above } else { below }
    }

    /// The unrounded reading; beyond what is known, the nearest.
    fn exact(&self, wind: Wind, angle: Angle) -> Option<f64> {
        let (bearing, mut points) = (self.bearing_on(wind), [(0.0, 0.0); 2 * BEARING]);
        for ((at, column), point) in bearing.iter().zip(&mut points) {
            *point = (at.number(), column.curve().at_or_nearest(angle.number())?);
        }
        Curve::once(&points[..bearing.len()], self.between, wind.number())
    }

    fn stop(&self, wind: Wind, angle: Angle) -> Option<Stop> {
        Some(Stop { wind, angle, exact: self.exact(wind, angle)? })
    }

    /// The winds on which the least and the greatest of a cell lie, since at one angle no curve turns between two of them:
    /// its edges and the known winds inside, each with the angles to look at. Those for which nothing is known are left out
    /// if only the known part is asked for.
    fn lines(
        &self,
        winds: Band,
        angles: Band<Angle>,
        known_only: bool,
    ) -> impl Iterator<Item = (Wind, Angle, Angle)> + '_ {
        let [first, last] = [&self.winds[0].0, &self.winds[self.winds.len() - 1].0];
        let is_beyond = winds.low > *last || winds.high < *first || winds.high == *first && !winds.with_high;
        let (low, high) = (winds.low.clamp(*first, *last), winds.high.clamp(*first, *last));
        let mut lines: Vec<Wind> = match self.between {
            Between::Step => {
                let (from, to) = (self.nearest(low, low < high), self.nearest(high, false));
                self.winds[from..=to.max(from)].iter().map(|(wind, _)| *wind).collect()
            }
            Between::Monotone | Between::Linear => {
                let inside = self.winds.iter().map(|(wind, _)| *wind).filter(|wind| low < *wind && *wind < high);
                [low, high].into_iter().chain(inside).collect()
            }
        };
        lines.sort();
        lines.dedup();
        let angles_at = move |wind: Wind| {
            if !known_only {
                return Some((wind, angles.low, angles.high));
            }
            // Where the next band begins at a known wind, this one has the angles of the winds on both sides.
            let is_next = !winds.holds(wind) && wind == winds.high && self.between != Between::Step;
            let known = self.winds.iter().position(|(known, _)| *known == wind).filter(|_| is_next);
            let below = known.and_then(|known| known.checked_sub(1));
            let inner = below.map_or(wind, |below| self.winds[below].0.midway(wind));
            let (from, to) = self.known_angles(inner).filter(|_| !is_beyond)?;
            let reaches = from < angles.high || angles.with_high && from == angles.high;
            let (from, to) = (from.max(angles.low), to.min(angles.high));
            (reaches && from <= to).then_some((wind, from, to))
        };
        lines.into_iter().filter_map(angles_at)
    }

    /// The lowest and the highest place of a cell, of the known part of it if there is one.
    fn extremes(&self, winds: Band, angles: Band<Angle>, is_known: bool) -> Option<[Stop; 2]> {
        let lines: Vec<(Wind, Angle, Angle)> = self.lines(winds, angles, is_known).collect();
        let known = |wind: Wind| self.winds.iter().find(|(known, _)| *known == wind);
        let mut stops: Vec<Stop> = Vec::new();
        for (wind, from, to) in &lines {
            match known(*wind) {
                Some((_, column)) if self.between == Between::Step => stops.extend(flats(*wind, column, *from, *to)),
                Some((_, column)) => stops.extend(known_extremes(*wind, column, *from, *to)),
                None => stops.extend([*from, *to].into_iter().filter_map(|angle| self.stop(*wind, angle))),
            }
        }
        let mut found = least_and_greatest(None, stops)?;
        for (wind, from, to) in lines.into_iter().filter(|(wind, ..)| known(*wind).is_none()) {
            if self.may_exceed(found, wind, from, to) {
                found = least_and_greatest(Some(found), self.turns(wind, from, to))?;
            }
        }
        Some(found)
    }

    /// Whether the curve along the angle at a wind can leave what was found: it stays between those of the known winds on both
    /// sides.
    fn may_exceed(&self, [least, greatest]: [Stop; 2], wind: Wind, from: Angle, to: Angle) -> bool {
        let (below, above) = self.neighbours(wind);
        let bounds = [below, above].into_iter().flat_map(|index| {
            let (known, column) = &self.winds[index];
            known_extremes(*known, column, from, to)
        });
        bounds.into_iter().any(|stop| stop.exact < least.exact || stop.exact > greatest.exact)
    }

    /// The ends and every turn of the curve along the angle at a wind, in rising order.
    fn turns(&self, wind: Wind, from: Angle, to: Angle) -> Vec<Stop> {
        let edges = self.edges(from, to);
        let piece = |pair: &[Angle]| samples(pair[0], pair[1]).map(Axis::number).collect::<Vec<f64>>();
        let places = [from.number()].into_iter().chain(edges.windows(2).flat_map(piece)).map(Angle::degrees);
        let samples: Vec<Stop> = places.filter_map(|angle| self.stop(wind, angle)).collect();
        let mut stops = Vec::new();
        for (nth, stop) in samples.iter().enumerate() {
            let beside = nth.checked_sub(1).and_then(|before| samples.get(before)).zip(samples.get(nth + 1));
            match beside {
                Some((before, after)) => {
                    let is_top = stop.exact >= before.exact && stop.exact >= after.exact;
                    let is_bottom = stop.exact <= before.exact && stop.exact <= after.exact;
                    if is_top != is_bottom {
                        stops.extend(self.turn(wind, (before.angle, after.angle), is_top));
                    }
                    stops.push(*stop);
                }
                None => stops.push(*stop),
            }
        }
        stops.sort_by_key(|stop| stop.angle);
        stops
    }

    /// The angles between which the curve at any wind is smooth: known ones, and those at which two neighbouring winds have the
    /// same reading, since there the curve along the wind begins to turn at one of them.
    fn edges(&self, from: Angle, to: Angle) -> Vec<Angle> {
        let alike = self.alike.get_or_init(|| self.found_alike());
        let inside = self.angles.iter().chain(alike).copied().filter(|at| from < *at && *at < to);
        let mut edges: Vec<Angle> = [from, to].into_iter().chain(inside).collect();
        edges.sort();
        edges.dedup();
        edges
    }

    /// Every angle between known ones at which two neighbouring winds have the same reading.
    fn found_alike(&self) -> Vec<Angle> {
        let mut found = Vec::new();
        for winds in self.winds.windows(2) {
            let apart = |at: Angle| {
                let [one, other] = [&winds[0].1, &winds[1].1].map(|column| column.curve().at_or_nearest(at.number()));
                one.zip(other).map_or(0.0, |(one, other)| other - one)
            };
            for pair in self.angles.windows(2) {
                let mut before = pair[0];
                for at in samples(pair[0], pair[1]) {
                    found.extend(zero_between(before, at, apart));
                    before = at;
                }
            }
        }
        found.sort();
        found
    }

    /// The highest, or the lowest, place between two angles around it, by golden section.
    fn turn(&self, wind: Wind, (from, to): (Angle, Angle), is_top: bool) -> Option<Stop> {
        let (mut low, mut high) = (from.number(), to.number());
        let value = |at: f64| self.exact(wind, Angle::degrees(at)).map(|exact| if is_top { exact } else { -exact });
        let (mut one, mut other) = (high - (high - low) * GOLDEN, low + (high - low) * GOLDEN);
        let (mut at_one, mut at_other) = (value(one)?, value(other)?);
        for _ in 0..GOLDEN_STEPS {
            if at_one >= at_other {
                (high, other, at_other) = (other, one, at_one);
                one = high - (high - low) * GOLDEN;
                at_one = value(one)?;
            } else {
                (low, one, at_one) = (one, other, at_other);
                other = low + (high - low) * GOLDEN;
                at_other = value(other)?;
            }
        }
        self.stop(wind, Angle::degrees(one.midpoint(other)))
    }

    /// Places between which the curve along the angle goes one way only.
    fn monotone_stops(&self, wind: Wind, low: Angle, high: Angle) -> Vec<Angle> {
        let mut stops: Vec<Angle> = self.turns(wind, low, high).into_iter().map(|stop| stop.angle).collect();
        stops.dedup();
        stops
    }

    /// The changes along places between which the curve goes one way only. What is printed at a single such place, since
    /// it was recorded finer than the scale is read, is no change.
    fn changes_along(&self, wind: Wind, stops: &[Angle]) -> Vec<Change<Angle>> {
        let reading = |at: f64| self.at(wind, Angle::degrees(at)).map(|setting| setting.reading);
        let mut changes = Vec::new();
        let mut before = None;
        for pair in stops.windows(2) {
            let margin = (pair[1].number() - pair[0].number()) * SAME;
            let (from, to) = (pair[0].number() + margin, pair[1].number() - margin);
            let (Some(first), Some(last)) = (reading(from), reading(to)) else { continue };
            let jump = before.filter(|before| *before != first);
            changes.extend(jump.map(|before| Change { at: pair[0], from: before, to: first }));
            changes.extend(changes_between((from, first), (to, last), reading));
            before = Some(last);
        }
        changes
    }
}

/// Of what is known, what to tell of a cell, and how much more there is.
pub(super) fn rows_in(known: impl Iterator<Item = KnownAt>, winds: Band, angles: Band<Angle>) -> (Vec<KnownAt>, usize) {
    let holds = |known: &KnownAt| winds.holds(known.wind) && angles.holds(known.known.at);
    let mut held: Vec<KnownAt> = known.filter(holds).collect();
    // As parts of the cell, since a knot and a degree cannot be held against each other.
    let off = |at: f64, low: f64, high: f64| (at - low.midpoint(high)).abs() / (high - low);
    let off_middle = |known: &KnownAt| {
        off(known.wind.number(), winds.low.number(), winds.high.number())
            + off(known.known.at.number(), angles.low.number(), angles.high.number())
    };
    held.sort_by(|one, other| off_middle(one).total_cmp(&off_middle(other)));
    let more = held.len().saturating_sub(MOST_ROWS);
    held.truncate(MOST_ROWS);
    held.sort_by_key(|known| (known.wind, known.known.at));
    (held, more)
}

/// The changes between two places between which a curve goes one way, each by halving; at both its reading is known.
fn changes_between(
    (mut start, mut before): (f64, f64),
    (end, last): (f64, f64),
    reading: impl Fn(f64) -> Option<f64>,
) -> Vec<Change<Angle>> {
    let mut changes = Vec::new();
    while before != last && start < end {
        let (mut low, mut high) = (start, end);
        loop {
            let middle = low.midpoint(high);
            if middle <= low || middle >= high {
                break;
            }
            if reading(middle) == Some(before) { low = middle } else { high = middle }
        }
        // Just there a reading that was recorded finer than the scale is read may stand for an instant.
        let past = (high + (end - high) * SAME).min(end);
        let Some(after) = reading(past) else { break };
        if after != before {
            changes.push(Change { at: Angle::degrees(high), from: before, to: after });
        }
        (start, before) = (past.max(high), after);
    }
    changes
}

/// Places from one angle to another, evenly; not the first of them.
pub(super) fn samples(from: Angle, to: Angle) -> impl Iterator<Item = Angle> {
    let (start, width) = (from.number(), to.number() - from.number());
    (1..=SAMPLES)
        .map(move |nth| if nth == SAMPLES { to } else { Angle::degrees(start + width * nth as f64 / SAMPLES as f64) })
}

/// Where something changes its sign between two angles, by halving.
fn zero_between(from: Angle, to: Angle, of: impl Fn(Angle) -> f64) -> Option<Angle> {
    let (start, end) = (of(from), of(to));
    if start * end >= 0.0 {
        return None;
    }
    let (mut low, mut high) = (from.number(), to.number());
    loop {
        let middle = low.midpoint(high);
        if middle <= low || middle >= high {
            return Some(Angle::degrees(high));
        }
        if of(Angle::degrees(middle)) * start > 0.0 { low = middle } else { high = middle }
    }
}

/// The lowest and the highest of some places, and of what was found before; the first of those that are alike.
fn least_and_greatest(before: Option<[Stop; 2]>, stops: Vec<Stop>) -> Option<[Stop; 2]> {
    let first = before.or_else(|| stops.first().map(|stop| [*stop; 2]))?;
    Some(stops.into_iter().fold(first, |[least, greatest], stop| {
        [if stop.exact < least.exact { stop } else { least }, if stop.exact > greatest.exact { stop } else { greatest }]
    }))
}

/// The known angles of one wind, from the least to the greatest.
fn ends(column: &Column<Angle>) -> (Angle, Angle) {
    let known = column.known();
    (known[0].at, known[known.len() - 1].at)
}

/// The lowest and the highest place at a known wind; beyond its known angles the nearest.
fn known_extremes(wind: Wind, column: &Column<Angle>, from: Angle, to: Angle) -> Vec<Stop> {
    let (first, last) = ends(column);
    let (low, high) = (from.clamp(first, last), to.clamp(first, last));
    let found = column.curve().extremes(low.number(), high.number());
    let stop = |(at, exact): (f64, f64)| Stop { wind, angle: Angle::degrees(at), exact };
    found.map(|stops| stops.map(stop).to_vec()).unwrap_or_default()
}

/// Each level stretch of steps that reaches into some angles, by a place well inside it; at its end the jump has been made.
fn flats(wind: Wind, column: &Column<Angle>, from: Angle, to: Angle) -> Vec<Stop> {
    let known = column.known();
    let edge = |index: usize| known[index].at.midway(known[index + 1].at);
    let flat = |(index, known_here): (usize, &Known<Angle>)| {
        let start = if index == 0 { from } else { edge(index - 1).max(from) };
        let end = if index + 1 == known.len() { to } else { edge(index).min(to) };
        let at_one_place = from == to && start == end && (index == 0 || edge(index - 1) < from);
        (start < end || at_one_place).then(|| Stop { wind, angle: start.midway(end), exact: known_here.reading })
    };
    known.iter().enumerate().filter_map(flat).collect()
}
