//! What a settings table says at a wind or in a band, and on what ground. Knows no sail, no book and no card.
//!
//! A table may run along any [`Axis`]; what is said here of winds holds for each.
//!
//! **At a wind.** A known wind: as recorded. Between two known winds: the curve, rounded to what the scale can be read
//! to. A tie goes to the mark nearer the known value below the wind, and a mark that lies past one of the two known
//! values gives way to that value: where 3.3 and 3.4 were sailed, neither 3 nor 4 was. Beyond all known winds: the
//! nearest known value.
//!
//! **In a band.** What to set is the curve over the whole band, as far as it runs there. Where its least and its
//! greatest mark are at most one readable step apart, the mark at the middle of the band stands for all of it; else both
//! stand, in the order in which the rising wind meets them, turns of the curve included. Words, tapes and turns of a
//! screw are both told wherever they differ: there is nothing between them. The rows known in the band stand beside
//! that, each with its own ground; the curve passes through them, so the two cannot disagree. A band without a row
//! lies whole between two known winds or whole beyond them.
//!
//! Turns, words and tapes only ever step, since half a word is no setting.
//!
//! **Ground.** A value read between known ones that were carried over or adjusted is itself carried over or adjusted;
//! carried over if both occur. Beyond the known winds it is outside, whatever it was read from; but not in a band that
//! holds a row: there it is as good as that row.

use std::sync::Arc;

use super::{Axis, Band, Between, Crossing, Curve, Scale, Wind};

/// Rows told of one band at most: more would hide what to set.
pub(super) const MOST_ROWS: usize = 2;

/// Where a number comes from, the surest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ground {
    /// Recorded under sail, and kept after trials were compared.
    Proven,
    /// Recorded under sail, and found fast again on three days or more.
    Repeated,
    /// Recorded under sail at a wind in the band (or at just this wind).
    Sailed,
    /// Recorded under sail, and notes say that it is fast at readings more than a mark apart.
    Disputed,
    /// Read from the curve between two known winds.
    Between,
    /// Moved by an adjustment.
    Adjusted,
    /// Copied from a replaced sail and not yet sailed with this one.
    CarriedOver,
    /// The nearest known value, for a wind beyond all known ones.
    Outside,
}

impl Ground {
    /// Every one of them in the order of a legend.
    pub const ALL: [Ground; 8] = [
        Ground::Sailed,
        Ground::Repeated,
        Ground::Proven,
        Ground::Disputed,
        Ground::Between,
        Ground::Outside,
        Ground::CarriedOver,
        Ground::Adjusted,
    ];

    /// Whether the number was recorded under sail with the sails it stands for, whatever else is known of it.
    pub const fn was_sailed(self) -> bool {
        matches!(self, Ground::Proven | Ground::Repeated | Ground::Sailed | Ground::Disputed)
    }
}

/// One recorded value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known<A = Wind> {
    /// The wind it was recorded at.
    pub at: A,
    /// The value in the scale's own coordinate; see [`Scale`].
    pub reading: f64,
    /// One that [was sailed](Ground::was_sailed), [`Ground::CarriedOver`] or [`Ground::Adjusted`].
    pub ground: Ground,
}

/// One control's known values in order of wind, with the curve through them.
#[derive(Clone, Debug)]
pub struct Column<A = Wind> {
    scale: Arc<Scale>,
    known: Vec<Known<A>>,
    /// What each of them was read from, in the same order.
    sources: Vec<Source>,
    curve: Curve,
}

/// The recorded readings that a known value was itself read from; of a recorded value, it alone.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Source {
    /// The least of them.
    pub least: f64,
    /// The greatest of them.
    pub greatest: f64,
    /// The one that a tie goes to.
    pub toward: f64,
    /// Whether it was recorded at just this place.
    pub is_recorded: bool,
}

impl Source {
    /// A value as it was recorded.
    pub fn recorded(reading: f64) -> Self {
        Source { least: reading, greatest: reading, toward: reading, is_recorded: true }
    }

    /// What two values were read from, taken together; a tie goes toward the first.
    fn and(self, other: Self, toward: f64) -> Self {
        let (least, greatest) = (self.least.min(other.least), self.greatest.max(other.greatest));
        Source { least, greatest, toward, is_recorded: false }
    }
}

/// A setting at one wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// The unrounded value.
    pub exact: f64,
    /// Rounded to what the scale can be read to (a sailed value: as recorded).
    pub reading: f64,
    /// What the setting is known from.
    pub ground: Ground,
}

/// What to set in a band, and what is known there.
///
/// ```
/// use cockpit_cards::length::Length;
/// use cockpit_cards::tuning::{Band, Between, Column, Figure, Fineness, Ground, Known, Scale, ScaleKind, Wind};
///
/// let kind = ScaleKind::Even { first: 0, last: 8, spacing: Length::mm(20.0), purchase: 1.0 };
/// let sailed = |wind, reading| Known { at: Wind::knots(wind), reading, ground: Ground::Sailed };
/// let rows = vec![sailed(14.0, 4.0), sailed(18.0, 6.0)];
/// let column = Column::new(Scale { kind, fineness: Fineness::Halves }, rows, Between::Monotone).unwrap();
/// let band = column.in_band(Band::new(Wind::knots(14.0), Wind::knots(17.0)));
/// // 4 was sailed at the lower edge of the band, and is not what to set in all of it.
/// assert_eq!(band.figure, Figure::Both(4.0, 5.5));
/// assert_eq!(band.rows[0].reading, 4.0);
/// ```
#[derive(Clone, Debug, PartialEq)]
pub struct BandSetting<A = Wind> {
    /// What to set in the band.
    pub figure: Figure,
    /// What the marks of the figure are known from; of two, the weaker.
    pub ground: Ground,
    /// The setting at the middle of the band.
    pub setting: Setting,
    /// The rows known in the band: those nearest its middle, two at most, in rising order of wind.
    pub rows: Vec<Known<A>>,
    /// How many more rows are known in the band.
    pub more: usize,
}

/// What to set in a band: one mark for all of it, or two.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Figure {
    /// One mark serves.
    One(f64),
    /// The least and the greatest mark, in the order in which the rising wind meets them.
    Both(f64, f64),
}

impl Figure {
    /// Its marks in order, the same one twice if there is one.
    pub const fn ends(self) -> (f64, f64) {
        match self {
            Figure::One(mark) => (mark, mark),
            Figure::Both(first, last) => (first, last),
        }
    }
}

impl<A> BandSetting<A> {
    /// The ground to tell beside the figure. `None` where the rows told with it tell enough: they have a ground as weak,
    /// or the figure rests on nothing weaker than what was sailed.
    pub fn ground_of_figure(&self) -> Option<Ground> {
        ground_beside(self.ground, self.rows.iter().map(|row| row.ground))
    }
}

/// The ground of a figure, if the rows told with it do not tell enough.
pub(super) fn ground_beside(figure: Ground, rows: impl Iterator<Item = Ground>) -> Option<Ground> {
    let told = rows.map(|ground| ground.max(Ground::Between)).max();
    told.is_none_or(|told| figure > told).then_some(figure)
}

impl<A: Axis> Column<A> {
    /// Scales that can only step do so whatever `between` says. `None` if there is no known value, a number is not
    /// finite, or winds do not strictly rise.
    pub fn new(scale: impl Into<Arc<Scale>>, known: Vec<Known<A>>, between: Between) -> Option<Self> {
        let sources = known.iter().map(|known| Source::recorded(known.reading)).collect();
        Column::read_from(scale, known, sources, between)
    }

    /// The same where the known values were themselves read from recorded ones. No mark leaves the readings around it.
    pub(super) fn read_from(
        scale: impl Into<Arc<Scale>>,
        known: Vec<Known<A>>,
        sources: Vec<Source>,
        between: Between,
    ) -> Option<Self> {
        let scale = scale.into();
        let between = if scale.steps() { Between::Step } else { between };
        let curve = Curve::new(known.iter().map(|known| (known.at.number(), known.reading)).collect(), between)?;
        Some(Column { scale, known, sources, curve })
    }

    /// The scale that the readings are of.
    pub fn scale(&self) -> &Scale {
        &self.scale
    }

    /// The same, for another curve of this control.
    pub(super) fn shared_scale(&self) -> Arc<Scale> {
        self.scale.clone()
    }

    /// In rising order of wind.
    pub fn known(&self) -> &[Known<A>] {
        &self.known
    }

    /// The unrounded reading over the bare numbers of the axis.
    pub fn curve(&self) -> &Curve {
        &self.curve
    }

    /// Where the unrounded reading is just this one: the winds that belong beside a mark. In rising order.
    pub fn crossings(&self, reading: f64) -> Vec<Crossing<A>> {
        self.curve.crossings(reading).into_iter().map(|crossing| crossing.map(A::from_number)).collect()
    }

    /// The setting at one wind: sailed where a known wind is just this one, outside beyond the known ones.
    pub fn at(&self, at: A) -> Setting {
        let (below, above) = self.neighbours(at);
        if let Some(index) = [above, below].into_iter().find(|index| self.known[*index].at.is_at(at)) {
            return self.as_known(index, self.known[index].ground);
        }
        match self.curve.at(at.number()) {
            None => self.as_known(above, Ground::Outside),
            Some(exact) => Setting {
                exact,
                reading: self.readable(exact, below, above),
                ground: self.ground(at, exact, [below, above]),
            },
        }
    }

    fn as_known(&self, index: usize, ground: Ground) -> Setting {
        Setting { exact: self.known[index].reading, reading: self.known_reading(index), ground }
    }

    /// What is printed at a known value: as recorded, or rounded if it was read from others.
    pub(super) fn known_reading(&self, index: usize) -> f64 {
        self.rounded(self.known[index].reading, self.sources[index])
    }

    /// What is known at one place, and the recorded readings it is read from.
    pub(super) fn setting_and_source(&self, at: A) -> (Setting, Source) {
        let (setting, (below, above)) = (self.at(at), self.neighbours(at));
        let known = [above, below].into_iter().find(|index| self.known[*index].at.is_at(at));
        let source = match known {
            Some(index) => self.sources[index],
            None if self.curve.at(at.number()).is_none() => Source { is_recorded: false, ..self.sources[above] },
            None => self.source(below, above),
        };
        (setting, source)
    }

    /// What to set in a band, and what is known there; the rule is in the module's words.
    pub fn in_band(&self, band: Band<A>) -> BandSetting<A> {
        let (rows, more) = self.rows_in(band);
        let mut setting = self.at(band.middle());
        if setting.ground == Ground::Outside
            && let Some(known) = rows.iter().find(|known| known.reading == setting.reading)
        {
            setting.ground = known.ground.max(Ground::Between);
        }
        let (figure, ground) = match self.ends_in(band) {
            Some([first, last]) if self.scale.are_apart(first.reading, last.reading) => {
                (Figure::Both(first.reading, last.reading), first.ground.max(last.ground))
            }
            _ => (Figure::One(setting.reading), setting.ground),
        };
        BandSetting { figure, ground, setting, rows, more }
    }

    /// The rows to tell of a band, and how many more there are.
    fn rows_in(&self, band: Band<A>) -> (Vec<Known<A>>, usize) {
        let known = self.known.iter().zip(&self.sources).filter(|(_, source)| source.is_recorded);
        let mut held: Vec<Known<A>> = known.map(|(known, _)| *known).filter(|known| band.holds(known.at)).collect();
        let middle = band.middle();
        let mut told = Vec::new();
        while told.len() < MOST_ROWS
            && let Some(nearest) = nearest(&held, middle)
        {
            told.push(held.remove(nearest));
        }
        told.sort_by_key(|known| known.at);
        (told, held.len())
    }

    /// The lowest and the highest setting of the curve over a band, in the order in which the rising wind meets them.
    fn ends_in(&self, band: Band<A>) -> Option<[Setting; 2]> {
        let [lowest, highest] = self.curve.extremes(band.low.number(), band.high.number())?;
        let in_order = if lowest.0 <= highest.0 { [lowest, highest] } else { [highest, lowest] };
        Some(in_order.map(|(at, exact)| {
            let at = A::from_number(at);
            // Where a curve steps, the value holds just above the place; else it is that of the place.
            if self.curve.between() != Between::Step {
                return self.at(at);
            }
            let (below, above) = self.neighbours(at);
            Setting { exact, reading: exact, ground: self.ground(at, exact, [below, above]) }
        }))
    }

    /// Which known values stand at or below and at or above a wind; beyond the ends, the nearest one twice.
    fn neighbours(&self, at: A) -> (usize, usize) {
        let last = self.known.len() - 1;
        let above = self.known.partition_point(|known| known.at.is_below(at));
        (above.saturating_sub(1).min(last), above.min(last))
    }

    /// The recorded readings that everything between two neighbours is read from.
    pub(super) fn source(&self, below: usize, above: usize) -> Source {
        self.sources[below].and(self.sources[above], self.known[below].reading)
    }

    fn readable(&self, exact: f64, below: usize, above: usize) -> f64 {
        let as_recorded = |index: usize| exact == self.sources[index].least || exact == self.sources[index].greatest;
        if as_recorded(below) || as_recorded(above) { exact } else { self.rounded(exact, self.source(below, above)) }
    }

    fn rounded(&self, exact: f64, source: Source) -> f64 {
        if exact == source.least || exact == source.greatest {
            return exact;
        }
        self.scale.round(exact, source.toward).clamp(source.least, source.greatest)
    }

    /// A value is only as good as what it was read from.
    fn ground(&self, at: A, exact: f64, around: [usize; 2]) -> Ground {
        let stepped = self.curve.between() == Between::Step;
        let [below, above] = around.map(|index| self.known[index].at);
        let nearer = around[usize::from(below.midway(above).is_below(at))];
        // A step is read from the nearer value alone; from the other as well where both are the same and known.
        let is_used = |index: &usize| {
            let known = self.known[*index];
            !stepped || known.reading == exact && (known.ground != Ground::Outside || *index == nearer)
        };
        let used = around.into_iter().filter(is_used).map(|index| self.known[index].ground);
        used.filter(|ground| !ground.was_sailed()).max().unwrap_or(Ground::Between)
    }
}

/// Of some known values the one nearest a place; the lower of two that are as near.
fn nearest<A: Axis>(known: &[Known<A>], place: A) -> Option<usize> {
    let off = |index: usize| known[index].at.apart(place);
    (0..known.len()).reduce(|best, next| if off(next) < off(best) && !off(next).is_at(off(best)) { next } else { best })
}
