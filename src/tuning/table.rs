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
    curve: Curve,
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
        let between = if scale.steps() { Between::Step } else { between };
        let curve = Curve::new(known.iter().map(|known| (known.at.number(), known.reading)).collect(), between)?;
        Some(Column { scale, known, curve })
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
        let as_recorded = |known: Known<A>, ground| Setting { exact: known.reading, reading: known.reading, ground };
        match self.curve.at(at.number()) {
            _ if above.at.is_at(at) => as_recorded(above, above.ground),
            None => as_recorded(above, Ground::Outside),
            Some(exact) => {
                Setting { exact, reading: self.readable(exact, below, above), ground: self.ground(exact, below, above) }
            }
        }
    }

    /// The setting a card prints for a band; the rule is in the module's words.
    pub fn in_band(&self, band: Band<A>) -> BandSetting {
        let middle = band.middle();
        let off_middle = |known: &Known<A>| known.at.apart(middle);
        // `min_by` keeps the first of equals: the lower wind.
        let held = self.known.iter().filter(|known| band.holds(known.at));
        let nearest = held.min_by(|a, b| off_middle(a).compare(off_middle(b)));
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

    /// The known values at or below and at or above a wind; beyond the ends, the nearest one twice.
    fn neighbours(&self, at: A) -> (Known<A>, Known<A>) {
        let last = self.known.len() - 1;
        let above = self.known.partition_point(|known| known.at.is_below(at));
        (self.known[above.saturating_sub(1).min(last)], self.known[above.min(last)])
    }

    fn readable(&self, exact: f64, below: Known<A>, above: Known<A>) -> f64 {
        if exact == below.reading || exact == above.reading {
            return exact;
        }
        let (least, most) = (below.reading.min(above.reading), below.reading.max(above.reading));
        self.scale.round(exact, below.reading).clamp(least, most)
    }

    /// A value is only as good as what it was read from.
    fn ground(&self, exact: f64, below: Known<A>, above: Known<A>) -> Ground {
        let stepped = self.curve.between() == Between::Step;
        let used = [below, above].into_iter().filter(|known| !stepped || known.reading == exact);
        used.map(|known| known.ground).filter(|ground| *ground != Ground::Sailed).max().unwrap_or(Ground::Between)
    }
}
