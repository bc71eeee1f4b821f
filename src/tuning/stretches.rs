//! A control that is not used everywhere: the stretches in which its readings are known, parted by the places at which it is
//! not used. Knows no sail, no book and no card.
//!
//! **Not used** holds at just the place where it was written. No curve runs up to such a place or across it: each stretch of
//! known values between two of them is a curve of its own, [`Column`], which begins and ends at its own known values. From
//! the last known value on one side to the first on the other nothing is known but that one place, and nothing is made
//! up: neither a mark nor a dash. Two such places do not vouch for what lies between them either.
//!
//! **Beyond everything known** the nearest known value is told as outside, as ever; where the nearest is a place at which the
//! control is not used, nothing is known.
//!
//! **In a band** the figure is that of the stretches that reach into it, and beside it stand the places in it at which the
//! control is not used and the parts of it of which nothing is known. A band that no stretch reaches and that holds such a
//! place is told as not used, with that place; one that holds none as unknown.

use std::sync::Arc;

use super::table::{MOST_ROWS, Source};
use super::{Axis, Band, BandSetting, Between, Change, Column, Figure, Ground, Known, Scale, Setting, Wind};

/// What a table says of a control at a place: something to set, or why there is nothing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Told<T> {
    /// This is known.
    Set(T),
    /// The control is not used.
    NotUsed,
    /// Nothing is known.
    Unknown,
}

impl<T> Told<T> {
    /// What is known, if anything is.
    pub fn set(self) -> Option<T> {
        match self {
            Told::Set(told) => Some(told),
            Told::NotUsed | Told::Unknown => None,
        }
    }

    /// The same with what is known told in another way.
    pub fn map<U>(self, told: impl FnOnce(T) -> U) -> Told<U> {
        match self {
            Told::Set(known) => Told::Set(told(known)),
            Told::NotUsed => Told::NotUsed,
            Told::Unknown => Told::Unknown,
        }
    }
}

/// A place that no curve runs across.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Gap<A> {
    /// Where it is.
    pub at: A,
    /// Whether the control is known not to be used there; else nothing is known.
    pub is_not_used: bool,
}

/// One control on one side over the wind, or over another axis: what is known, and where it is not used.
///
/// ```
/// use cockpit_cards::length::Length;
/// use cockpit_cards::tuning::{Between, Fineness, Ground, Known, Scale, ScaleKind, Stretches, Told, Wind};
///
/// let kind = ScaleKind::Even { first: 0, last: 8, spacing: Length::mm(20.0), purchase: 1.0 };
/// let scale = Scale { kind, fineness: Fineness::Halves };
/// let sailed = |wind, reading| Known { at: Wind::knots(wind), reading, ground: Ground::Sailed };
/// let known = vec![sailed(6.0, 2.0), sailed(10.0, 4.0), sailed(18.0, 6.0)];
/// let tackline = Stretches::new(scale, known, vec![Wind::knots(14.0)], Between::Monotone).unwrap();
/// assert_eq!(tackline.at(Wind::knots(8.0)).set().unwrap().reading, 3.0);
/// assert_eq!(tackline.at(Wind::knots(14.0)), Told::NotUsed);
/// // Neither 4 nor 6 nor anything between them.
/// assert_eq!(tackline.at(Wind::knots(12.0)), Told::Unknown);
/// ```
#[derive(Clone, Debug)]
pub struct Stretches<A = Wind> {
    scale: Arc<Scale>,
    /// In rising order, one after the other.
    columns: Vec<Column<A>>,
    /// In rising order, none of them within a column.
    gaps: Vec<Gap<A>>,
}

/// What there is to set in a band, and what keeps it from being all that there is to say.
#[derive(Clone, Debug, PartialEq)]
pub struct InBand<A = Wind> {
    /// What to set in the band, as far as it is known.
    pub told: Told<BandSetting<A>>,
    /// The places in the band at which the control is not used, in rising order.
    pub not_used: Vec<A>,
    /// The parts of the band of which nothing is known, where something is to be set in the rest of it; in rising order.
    pub unknown: Vec<(A, A)>,
}

impl<A: Axis> Stretches<A> {
    /// What is known and where the control is not used, both in rising order. `None` if a number is not finite or places do
    /// not strictly rise.
    pub fn new(scale: impl Into<Arc<Scale>>, known: Vec<Known<A>>, not_used: Vec<A>, between: Between) -> Option<Self> {
        let known = known.into_iter().map(|known| (known, Source::recorded(known.reading))).collect();
        let gaps = not_used.into_iter().map(|at| Gap { at, is_not_used: true }).collect();
        Stretches::read_from(scale, known, gaps, between)
    }

    /// The same where the known values were themselves read from recorded ones.
    pub(super) fn read_from(
        scale: impl Into<Arc<Scale>>,
        known: Vec<(Known<A>, Source)>,
        gaps: Vec<Gap<A>>,
        between: Between,
    ) -> Option<Self> {
        let scale = scale.into();
        let is_apart = |low: A, high: A| gaps.iter().any(|gap| low <= gap.at && gap.at <= high);
        let column = |stretch: &[(Known<A>, Source)]| {
            let (known, sources) = stretch.iter().copied().unzip();
            Column::read_from(scale.clone(), known, sources, between)
        };
        let stretches = known.chunk_by(|one, next| one.0.at < next.0.at && !is_apart(one.0.at, next.0.at));
        let columns: Vec<Column<A>> = stretches.map(column).collect::<Option<_>>()?;
        let rises = gaps.windows(2).all(|pair| pair[0].at < pair[1].at);
        let in_order = known.windows(2).all(|pair| pair[0].0.at < pair[1].0.at);
        (rises && in_order).then_some(Stretches { scale, columns, gaps })
    }

    /// The scale that the readings are of.
    pub fn scale(&self) -> &Scale {
        &self.scale
    }

    /// The curves, in rising order; none runs across a place at which the control is not used.
    pub fn columns(&self) -> &[Column<A>] {
        &self.columns
    }

    /// The one curve of a control of which no place is known at which it is not used.
    pub fn whole(&self) -> Option<&Column<A>> {
        self.columns.first().filter(|_| self.gaps.is_empty())
    }

    /// Every known value, in rising order.
    pub fn known(&self) -> impl Iterator<Item = &Known<A>> {
        self.columns.iter().flat_map(Column::known)
    }

    /// Every place at which the control is not used, in rising order.
    pub fn not_used(&self) -> impl Iterator<Item = A> {
        self.gaps.iter().filter(|gap| gap.is_not_used).map(|gap| gap.at)
    }

    /// Every place at which the rounded reading changes, in rising order; see [`Column::changes`].
    pub fn changes(&self) -> impl Iterator<Item = Change<A>> + '_ {
        self.columns.iter().flat_map(Column::changes)
    }

    /// What is to be set at one place.
    pub fn at(&self, at: A) -> Told<Setting> {
        self.setting_and_source(at).map(|(setting, _)| setting)
    }

    /// The same, with the recorded readings that it is read from.
    pub(super) fn setting_and_source(&self, at: A) -> Told<(Setting, Source)> {
        match (self.gaps.iter().find(|gap| gap.at.is_at(at)), self.column_of(at)) {
            (Some(Gap { is_not_used: true, .. }), _) => Told::NotUsed,
            (None, Some(column)) => Told::Set(column.setting_and_source(at)),
            (Some(_), _) | (None, None) => Told::Unknown,
        }
    }

    /// The stretch that tells of a place: the one that holds it or, beyond everything known, the nearest.
    fn column_of(&self, at: A) -> Option<&Column<A>> {
        self.columns.iter().find(|column| {
            let (low, high) = ends(column);
            let is_past = |gap: &Gap<A>| low < gap.at;
            let begins = !at.is_below(low) || self.gaps.iter().all(is_past);
            begins && (!at.is_above(high) || self.gaps.iter().all(|gap| gap.at < high))
        })
    }

    /// What to set in a band, and what is known there; the rule is in the module's words.
    pub fn in_band(&self, band: Band<A>) -> InBand<A> {
        if let Some(column) = self.whole() {
            return InBand { told: Told::Set(column.in_band(band)), not_used: Vec::new(), unknown: Vec::new() };
        }
        let not_used: Vec<A> = self.not_used().filter(|at| band.holds(*at)).collect();
        let reaches = |column: &&Column<A>| {
            let (low, high) = ends(column);
            !high.is_below(band.low) && (low.is_below(band.high) || band.holds(low))
        };
        let reached: Vec<&Column<A>> = self.columns.iter().filter(reaches).collect();
        if !reached.is_empty() {
            return InBand { told: Told::Set(self.joined(band, &reached)), not_used, unknown: self.unknown_in(band) };
        }
        let told = match (not_used.is_empty(), self.column_of(band.middle())) {
            (false, _) => Told::NotUsed,
            (true, Some(beyond)) => Told::Set(beyond.in_band(band)),
            (true, None) => Told::Unknown,
        };
        InBand { told, not_used, unknown: Vec::new() }
    }

    /// What is known of a band where it is known: of the parts of it between two known values, or around one where the
    /// control steps, that lie between what is known. `None` if none does.
    pub(super) fn known_part_of(&self, band: Band<A>) -> Option<BandSetting<A>> {
        let known: Vec<A> = self.known().map(|known| known.at).collect();
        let halfway = known.windows(2).map(|pair| pair[0].midway(pair[1]));
        let inside = known.iter().copied().chain(halfway).filter(|at| at.is_above(band.low) && at.is_below(band.high));
        let mut edges: Vec<A> = inside.chain([band.low, band.high]).collect();
        edges.sort();
        let part = |pair: &[A]| {
            let part = Band::new(pair[0], pair[1]);
            let ground = self.at(part.middle()).set()?.ground;
            let told = self.in_band(part).told.set().filter(|_| ground != Ground::Outside)?;
            Some((part, BandSetting { ground: ground.max(Ground::Between), ..told }))
        };
        let (parts, found): (Vec<Band<A>>, Vec<_>) = edges.windows(2).filter_map(part).unzip();
        let off = |index: &usize| parts[*index].middle().apart(band.middle());
        let nearest = (0..parts.len()).min_by_key(off)?;
        Some(self.together(found, nearest, band.middle()))
    }

    /// What the stretches that reach into a band say of it together.
    fn joined(&self, band: Band<A>, reached: &[&Column<A>]) -> BandSetting<A> {
        let middle = band.middle();
        let off = |column: &Column<A>| {
            let (low, high) = ends(column);
            middle.apart(middle.max(low).min(high))
        };
        let nearest = (0..reached.len()).min_by_key(|index| off(reached[*index])).unwrap_or_default();
        let found = reached.iter().map(|column| reached_in(column, band)).collect();
        self.together(found, nearest, middle)
    }

    /// What is said of several parts of a band, in the order in which the rising wind meets them, as one.
    fn together(&self, mut found: Vec<BandSetting<A>>, nearest: usize, middle: A) -> BandSetting<A> {
        let marks: Vec<f64> = found.iter().flat_map(|one| <[f64; 2]>::from(one.figure.ends())).collect();
        let place = |is_nearer: fn(f64, f64) -> bool| {
            let better = |best: usize, next: usize| if is_nearer(marks[next], marks[best]) { next } else { best };
            (0..marks.len()).reduce(better).unwrap_or_default()
        };
        let (least, greatest) = (place(|next, best| next < best), place(|next, best| next > best));
        let ground = found.iter().map(|one| one.ground).max();
        let mut rows: Vec<Known<A>> = found.iter().flat_map(|one| one.rows.iter().copied()).collect();
        rows.sort_by_key(|row| row.at.apart(middle));
        let more = found.iter().map(|one| one.more).sum::<usize>() + rows.len().saturating_sub(MOST_ROWS);
        rows.truncate(MOST_ROWS);
        rows.sort_by_key(|row| row.at);
        let mut told = found.swap_remove(nearest);
        if self.scale.are_apart(marks[least], marks[greatest]) {
            told.figure = Figure::Both(marks[least.min(greatest)], marks[least.max(greatest)]);
        }
        BandSetting { ground: ground.unwrap_or(told.ground), rows, more, ..told }
    }

    /// The parts of a band that lie next to a place that no curve runs across: as far as the known values on both sides.
    pub fn unknown_in(&self, band: Band<A>) -> Vec<(A, A)> {
        let mut parts: Vec<(A, A)> = Vec::new();
        for gap in &self.gaps {
            let below = self.known().map(|known| known.at).filter(|at| *at < gap.at).max();
            let above = self.known().map(|known| known.at).find(|at| gap.at < *at);
            let low = below.map_or(band.low, |below| below.max(band.low));
            let high = above.map_or(band.high, |above| above.min(band.high));
            if low.is_below(high) && parts.last() != Some(&(low, high)) {
                parts.push((low, high));
            }
        }
        parts
    }
}

impl<A: Axis> From<Column<A>> for Stretches<A> {
    fn from(column: Column<A>) -> Self {
        Stretches { scale: column.shared_scale(), columns: vec![column], gaps: Vec::new() }
    }
}

/// What a stretch that reaches into a band says of it: as sure as the place nearest the middle that it does know.
fn reached_in<A: Axis>(column: &Column<A>, band: Band<A>) -> BandSetting<A> {
    let (low, high) = ends(column);
    let mut found = column.in_band(band);
    let nearest = column.at(band.middle().max(low).min(high)).ground;
    if found.ground == Ground::Outside && nearest != Ground::Outside {
        found.ground = nearest.max(Ground::Between);
        found.setting.ground = found.ground;
    }
    found
}

/// The first and the last place that a curve knows.
fn ends<A: Axis>(column: &Column<A>) -> (A, A) {
    let known = column.known();
    (known[0].at, known[known.len() - 1].at)
}
