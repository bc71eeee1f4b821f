//! What a settings table says at a wind or in a band, and on what ground. Knows no sail, no book and no card.
//!
//! A table may run along any [`Axis`]; what is said here of winds holds for each.
//!
//! **At a wind.** A known wind: as recorded. Between two known winds: the curve, rounded to what the scale can be read
//! to. A tie goes to the mark nearer the known value below the wind, and a mark that lies past one of the two known
//! values gives way to that value: where 3.3 and 3.4 were sailed, neither 3 nor 4 was. Beyond all known winds: the
//! nearest known value.
//!
//! **In a band.** A band that holds known winds: the value recorded nearest its middle, the lower wind if two are as
//! near. Any other band: what holds at its middle. Such a band lies whole between two known winds or whole beyond them,
//! and its middle with it.
//!
//! Turns, words and tapes only ever step, since half a word is no setting.
//!
//! **Ground.** A value read between known ones that were carried over or adjusted is itself carried over or adjusted;
//! carried over if both occur. Beyond the known winds it is outside, whatever it was read from.

use super::{Axis, Band, Between, Crossing, Curve, Scale, Wind};

/// Where a number comes from, the surest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Ground {
    /// Recorded under sail at a wind in the band (or at just this wind).
    Sailed,
    /// Read from the curve between two known winds.
    Between,
    /// Moved by an adjustment.
    Adjusted,
    /// Copied from a replaced sail and not yet sailed with this one.
    CarriedOver,
    /// The nearest known value, for a wind beyond all known ones.
    Outside,
}

/// One recorded value.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Known<A = Wind> {
    /// The wind it was recorded at.
    pub at: A,
    /// The value in the scale's own coordinate; see [`Scale`].
    pub reading: f64,
    /// [`Ground::Sailed`], [`Ground::CarriedOver`] or [`Ground::Adjusted`].
    pub ground: Ground,
}

/// One control's known values in order of wind, with the curve through them.
#[derive(Clone, Debug)]
pub struct Column<A = Wind> {
    scale: Scale,
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
}

impl Source {
    /// A value as it was recorded.
    pub fn recorded(reading: f64) -> Self {
        Source { least: reading, greatest: reading, toward: reading }
    }

    /// What two values were read from, taken together; a tie goes toward the first.
    fn and(self, other: Self, toward: f64) -> Self {
        Source { least: self.least.min(other.least), greatest: self.greatest.max(other.greatest), toward }
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

/// A setting for a band of wind.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BandSetting {
    /// The setting to print for the band.
    pub setting: Setting,
    /// The least and the greatest reading inside the band, in the order the rising wind meets them, if the control moves
    /// more than one whole mark there. Where it goes one way these are the settings at the two ends of the band; where
    /// it turns (13, 12, 13½) the turn is one of them (12 to 13½), so that a card never hides it.
    pub span: Option<(f64, f64)>,
}

impl<A: Axis> Column<A> {
    /// Scales that can only step do so whatever `between` says. `None` if there is no known value, a number is not
    /// finite, or winds do not strictly rise.
    pub fn new(scale: Scale, known: Vec<Known<A>>, between: Between) -> Option<Self> {
        let sources = known.iter().map(|known| Source::recorded(known.reading)).collect();
        Column::read_from(scale, known, sources, between)
    }

    /// The same where the known values were themselves read from recorded ones. No mark leaves the readings around it.
    pub(super) fn read_from(
        scale: Scale,
        known: Vec<Known<A>>,
        sources: Vec<Source>,
        between: Between,
    ) -> Option<Self> {
        let between = if scale.steps() { Between::Step } else { between };
        let curve = Curve::new(known.iter().map(|known| (known.at.number(), known.reading)).collect(), between)?;
        Some(Column { scale, known, sources, curve })
    }

    /// The scale that the readings are of.
    pub fn scale(&self) -> &Scale {
        &self.scale
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
        match self.curve.at(at.number()) {
            _ if self.known[above].at == at => self.as_known(above, self.known[above].ground),
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
        let alone = self.known[above].at == at || self.curve.at(at.number()).is_none();
        (setting, if alone { self.sources[above] } else { self.source(below, above) })
    }

    /// The setting a card prints for a band; the rule is in the module's words.
    pub fn in_band(&self, band: Band<A>) -> BandSetting {
        let middle = band.middle();
        let off_middle = |known: &&Known<A>| known.at.apart(middle);
        // `min_by_key` keeps the first of equals: the lower wind.
        let held = self.known.iter().filter(|known| band.holds(known.at));
        let nearest = held.min_by_key(off_middle);
        let setting = self.at(nearest.map_or(middle, |known| known.at));
        BandSetting { setting, span: self.span(band) }
    }

    fn span(&self, band: Band<A>) -> Option<(f64, f64)> {
        let [lowest, highest] = self.curve.extremes(band.low.number(), band.high.number())?;
        let [first, second] = if lowest.0 <= highest.0 { [lowest, highest] } else { [highest, lowest] };
        let readable = |(at, exact)| {
            let (below, above) = self.neighbours(A::from_number(at));
            self.readable(exact, below, above)
        };
        self.scale.moves_more_than_one_mark(lowest.1, highest.1).then(|| (readable(first), readable(second)))
    }

    /// Which known values stand at or below and at or above a wind; beyond the ends, the nearest one twice.
    fn neighbours(&self, at: A) -> (usize, usize) {
        let last = self.known.len() - 1;
        let above = self.known.partition_point(|known| known.at < at);
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
        let nearer = around[usize::from(at > below.midway(above))];
        // A step is read from the nearer value alone; from the other as well where both are the same and known.
        let is_used = |index: &usize| {
            let known = self.known[*index];
            !stepped || known.reading == exact && (known.ground != Ground::Outside || *index == nearer)
        };
        let used = around.into_iter().filter(is_used).map(|index| self.known[index].ground);
        used.filter(|ground| *ground != Ground::Sailed).max().unwrap_or(Ground::Between)
    }
}
