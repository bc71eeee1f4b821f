//! A control by wind and angle that is not used everywhere: what is known, and where it is not used. Knows no sail, no book
//! and no card.
//!
//! Along the angle within each known wind, and then along the wind at that angle, no curve runs up to a place at which the
//! control is not used or across it, as in [`Stretches`]. Where in one known wind nothing is known of an angle for such a
//! place, no curve along the wind runs across that wind either.
//!
//! **In a cell** that such places touch, the figure is what the curves do at its edges, at every angle that is known in any
//! wind, and at so many angles between two of them; each is a setting that is known just there.

use std::borrow::Cow;
use std::sync::Arc;

use super::angled::{AngledColumn, CellSetting, KnownAt, rows_in, samples};
use super::stretches::Gap;
use super::{Angle, Axis, Band, BandSetting, Between, Figure, Ground, Scale, Setting, Stretches, Told, Wind};

/// Parts of a band of wind, in the order that a rising wind meets them.
const LIGHTER: u8 = 0;
const MIDDLE: u8 = 1;
const STRONGER: u8 = 2;

/// One control on one side by wind and angle.
#[derive(Clone, Debug)]
pub struct AngledStretches {
    scale: Arc<Scale>,
    between: Between,
    /// For each known wind, in rising order, what is known at its angles.
    winds: Vec<(Wind, Stretches<Angle>)>,
    /// The same where there is no place at which the control is not used.
    whole: Option<AngledColumn>,
}

/// What there is to set in a cell, and what keeps it from being all that there is to say.
#[derive(Clone, Debug, PartialEq)]
pub struct InCell {
    /// What to set in the cell, as far as it is known.
    pub told: Told<CellSetting>,
    /// The places in the cell at which the control is not used, in order of wind and angle.
    pub not_used: Vec<(Wind, Angle)>,
    /// Whether nothing is known of a part of it next to such places, where something is to be set in the rest.
    pub is_in_part: bool,
}

impl AngledStretches {
    /// What is known and where the control is not used, both in order of wind and then of angle. `None` if they are not, or
    /// if a number is not finite.
    pub fn new(
        scale: impl Into<Arc<Scale>>,
        known: &[KnownAt],
        not_used: &[(Wind, Angle)],
        between: Between,
    ) -> Option<Self> {
        let scale = scale.into();
        let between = if scale.steps() { Between::Step } else { between };
        let mut winds: Vec<Wind> = known.iter().map(|known| known.wind).chain(not_used.iter().map(|at| at.0)).collect();
        winds.sort();
        winds.dedup();
        let along = |wind: Wind| {
            let known = known.iter().filter(|known| known.wind == wind).map(|known| known.known).collect();
            let not_used = not_used.iter().filter(|at| at.0 == wind).map(|at| at.1).collect();
            Some((wind, Stretches::new(scale.clone(), known, not_used, between)?))
        };
        let whole = match known.is_empty() || !not_used.is_empty() {
            true => None,
            false => Some(AngledColumn::new(scale.clone(), known, between)?),
        };
        let winds = winds.into_iter().map(along).collect::<Option<_>>()?;
        Some(AngledStretches { scale, between, winds, whole })
    }

    /// The scale that the readings are of.
    pub fn scale(&self) -> &Scale {
        &self.scale
    }

    /// How the control runs between known values.
    pub fn between(&self) -> Between {
        self.between
    }

    /// For each known wind, in rising order, what is known at its angles.
    pub fn winds(&self) -> &[(Wind, Stretches<Angle>)] {
        &self.winds
    }

    /// Every known value, in order of wind and then of angle.
    pub fn known(&self) -> impl Iterator<Item = KnownAt> + '_ {
        self.winds.iter().flat_map(|(wind, along)| along.known().map(|known| KnownAt { wind: *wind, known: *known }))
    }

    /// Every place at which the control is not used, in order of wind and then of angle.
    pub fn not_used(&self) -> impl Iterator<Item = (Wind, Angle)> + '_ {
        self.winds.iter().flat_map(|(wind, along)| along.not_used().map(|angle| (*wind, angle)))
    }

    /// The settings at one angle, over the wind.
    pub fn at_angle(&self, angle: Angle) -> Option<Stretches> {
        if let Some(whole) = &self.whole {
            return whole.at_angle(angle).map(Stretches::from);
        }
        let (mut known, mut gaps) = (Vec::new(), Vec::new());
        for (wind, along) in &self.winds {
            match along.setting_and_source(angle) {
                Told::Set((Setting { exact, ground, .. }, source)) => {
                    known.push((super::Known { at: *wind, reading: exact, ground }, source));
                }
                Told::NotUsed => gaps.push(Gap { at: *wind, is_not_used: true }),
                Told::Unknown => gaps.push(Gap { at: *wind, is_not_used: false }),
            }
        }
        Stretches::read_from(self.scale.clone(), known, gaps, self.between)
    }

    /// What is to be set at one wind and one angle.
    pub fn at(&self, wind: Wind, angle: Angle) -> Option<Told<Setting>> {
        if let Some(whole) = &self.whole {
            return whole.at(wind, angle).map(Told::Set);
        }
        Some(self.at_angle(angle)?.at(wind))
    }

    /// The control along the angle at a wind, where no place at which it is not used stands in the known winds around it.
    pub fn around(&self, wind: Wind) -> Option<Cow<'_, AngledColumn>> {
        if let Some(whole) = &self.whole {
            return Some(Cow::Borrowed(whole));
        }
        let groups = self.winds.chunk_by(|one, next| one.1.whole().is_some() && next.1.whole().is_some());
        let holds = |group: &&[(Wind, Stretches<Angle>)]| {
            let ends = group.first().zip(group.last());
            ends.is_some_and(|(first, last)| {
                !wind.is_below(first.0) && !wind.is_above(last.0) && first.1.whole().is_some()
            })
        };
        let known = groups
            .into_iter()
            .find(holds)?
            .iter()
            .flat_map(|(wind, along)| along.known().map(|known| KnownAt { wind: *wind, known: *known }));
        AngledColumn::new(self.scale.clone(), &known.collect::<Vec<_>>(), self.between).map(Cow::Owned)
    }

    /// What there is to set in a cell; the rule is in the module's words.
    pub fn in_cell(&self, winds: Band, angles: Band<Angle>) -> Option<InCell> {
        if let Some(whole) = &self.whole {
            let told = Told::Set(whole.in_cell(winds, angles)?);
            return Some(InCell { told, not_used: Vec::new(), is_in_part: false });
        }
        let not_used = self.not_used().filter(|at| winds.holds(at.0) && angles.holds(at.1)).collect::<Vec<_>>();
        let mut is_in_part = false;
        let (mut inside, mut beyond) = (Vec::new(), Vec::new());
        for angle in self.looked_at(angles) {
            let along = self.at_angle(angle)?;
            let found = along.in_band(winds);
            is_in_part |= found.told == Told::Unknown || !found.unknown.is_empty();
            match found.told {
                // The figure is of the known part alone, even where the middle of the winds is not in it.
                Told::Set(setting) if setting.ground == Ground::Outside => match along.known_part_of(winds) {
                    Some(known) => inside.push((angle, known)),
                    None => beyond.push((angle, setting)),
                },
                Told::Set(setting) => inside.push((angle, setting)),
                Told::NotUsed | Told::Unknown => {}
            }
        }
        let holds_a_row = self.known().any(|row| winds.holds(row.wind) && angles.holds(row.known.at));
        let told = match (inside.is_empty(), not_used.is_empty()) {
            (false, _) => Told::Set(self.joined(&inside, winds, angles)),
            (true, _) if holds_a_row && !beyond.is_empty() => Told::Set(self.joined(&beyond, winds, angles)),
            (true, false) => Told::NotUsed,
            (true, true) if is_in_part || beyond.is_empty() => Told::Unknown,
            (true, true) => Told::Set(self.joined(&beyond, winds, angles)),
        };
        let is_in_part = is_in_part && matches!(told, Told::Set(_));
        Some(InCell { told, not_used, is_in_part })
    }

    /// The angles to look at in a cell: its edges, what was written of any wind, and some between two of these.
    fn looked_at(&self, angles: Band<Angle>) -> Vec<Angle> {
        let written = self.known().map(|known| known.known.at).chain(self.not_used().map(|at| at.1));
        let inside = written.filter(|angle| angles.low < *angle && *angle < angles.high);
        let mut edges: Vec<Angle> = inside.chain([angles.low, angles.high]).collect();
        edges.sort();
        edges.dedup();
        let between = edges.windows(2).flat_map(|pair| samples(pair[0], pair[1]));
        std::iter::once(angles.low).chain(between).filter(|angle| angles.holds(*angle)).collect()
    }

    /// What some angles of a cell say together.
    fn joined(&self, found: &[(Angle, BandSetting)], winds: Band, angles: Band<Angle>) -> CellSetting {
        // Each mark with where it is met: whether in the lighter or the stronger part of the winds, and the angle.
        let met = |(angle, setting): &(Angle, BandSetting)| match setting.figure {
            Figure::One(mark) => vec![(mark, (MIDDLE, *angle))],
            Figure::Both(first, last) => vec![(first, (LIGHTER, *angle)), (last, (STRONGER, *angle))],
        };
        let marks: Vec<(f64, (u8, Angle))> = found.iter().flat_map(met).collect();
        let least = marks.iter().map(|(mark, _)| *mark).fold(f64::INFINITY, f64::min);
        let greatest = marks.iter().map(|(mark, _)| *mark).fold(f64::NEG_INFINITY, f64::max);
        let middle = angles.middle();
        let nearest = found.iter().min_by_key(|(angle, _)| angle.apart(middle));
        let mut setting = nearest
            .map_or(Setting { exact: least, reading: least, ground: Ground::Between }, |(_, setting)| setting.setting);
        let ground = found.iter().map(|(_, setting)| setting.ground).max().unwrap_or(Ground::Between);
        let first_met = |wanted: f64| marks.iter().filter(|(mark, _)| *mark == wanted).map(|(_, at)| *at).min();
        let falls = first_met(greatest) < first_met(least);
        let figure = match (self.scale.are_apart(least, greatest), falls) {
            (false, _) => Figure::One(setting.reading),
            (true, false) => Figure::Both(least, greatest),
            (true, true) => Figure::Both(greatest, least),
        };
        setting.ground = ground;
        let (rows, more) = rows_in(self.known(), winds, angles);
        CellSetting { figure, ground, setting, rows, more }
    }
}
