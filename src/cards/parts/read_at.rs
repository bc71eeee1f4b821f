//! The wind to read a card at with part of the crew below: from the book to the arithmetic and back. Lays nothing out.

use std::borrow::Cow;

use super::words::sail_names;
use crate::book::{Book, PointOfSail, PointsOfSail, Righting, Settings, Target, WindKind};
use crate::tuning::air::Air;
use crate::tuning::heel::Heels;
use crate::tuning::righting::{Bunks, Course, Crew, ReadAt, RightingError, Row, RowWind, wind_to_read_at};
use crate::tuning::{Angle, Axis, Between, BoatSpeed, Curve, Ground, Wind};

/// Where those lie who were not on the rail when a row was sailed: a crew that sails for speed sleeps to windward.
const BUNKS_THEN: Bunks = Bunks::Windward;

/// What a card says after the wind to read at, where the book has a night of its own.
pub const NIGHT_IS_NOT_IN_IT: &str = " Night is not in it: on a change-points card NIGHT comes on top.";

/// Crew and righting of a book, which has both.
#[derive(Clone, Copy, Debug)]
pub struct Feel<'a> {
    /// Who sails.
    pub crew: &'a Crew,
    /// What rights her.
    pub righting: &'a Righting,
    kind: WindKind,
    points_of_sail: &'a PointsOfSail,
}

/// What is known of the wind to read a card at.
#[derive(Clone, Debug, PartialEq)]
pub enum Felt {
    /// It is reckoned; it may be the wind that blows.
    At(Box<ReadAt>),
    /// Her heel in this wind is not known, so nothing is.
    NoTargetHeel,
    /// Only upwind is it known what heels her.
    NotUpwind,
    /// The settings go by angle, and nobody says at which she sails.
    NoAngle,
}

impl Felt {
    /// The wind to read the card at, as far as that is known; else the wind that blows.
    pub fn wind_or(&self, wind: Wind) -> Wind {
        match self {
            Felt::At(read_at) => read_at.wind,
            Felt::NoTargetHeel | Felt::NotUpwind | Felt::NoAngle => wind,
        }
    }

    /// Why nothing is reckoned, where it is not: `not reckoned: no target heel`.
    pub const fn not_reckoned(&self) -> Option<&'static str> {
        match self {
            Felt::At(_) => None,
            Felt::NoTargetHeel => Some("not reckoned: no target heel"),
            Felt::NotUpwind => Some("not reckoned: not upwind"),
            Felt::NoAngle => Some("not reckoned: no wind angle"),
        }
    }
}

impl<'a> Feel<'a> {
    /// `None` if the book has no crew or no righting.
    pub fn of(book: &'a Book) -> Option<Self> {
        let (crew, righting) = (book.race.crew.as_ref()?, book.race.righting.as_ref()?);
        let kind = book.wind_source.as_ref().map_or(WindKind::True, |source| source.kind);
        Some(Feel { crew: &crew.crew, righting, kind, points_of_sail: &book.points_of_sail })
    }

    /// The wind to read the settings' card at; those that go by angle are read at one of them.
    ///
    /// Heel is the settings' target, as far as [`Heels`] knows it; speed and angle are their targets too, by the curve
    /// between them and beyond them the nearest.
    ///
    /// # Errors
    /// More below than aboard, or a boat that does not right herself.
    pub fn read_at(
        &self,
        settings: &Settings,
        (wind, angle): (Wind, Option<Angle>),
        below: u32,
        bunks: Bunks,
    ) -> Result<Felt, RightingError> {
        let now = self.crew.with_below(below, bunks)?;
        let is_upwind = match (&settings.angled, angle) {
            (None, _) => settings.point_of_sail == PointOfSail::Upwind,
            (Some(_), None) => return Ok(Felt::NoAngle),
            (Some(_), Some(angle)) => self.is_upwind(angle),
        };
        if !is_upwind {
            return Ok(Felt::NotUpwind);
        }
        let seen = angle.map_or(Cow::Borrowed(settings), |angle| settings.seen_at(angle));
        let settings = seen.as_ref();
        let Some(row) = self.row(settings, wind) else { return Ok(Felt::NoTargetHeel) };
        let then = self.crew.with_up(self.up_then(settings, wind), BUNKS_THEN);
        let read_at = wind_to_read_at(&self.righting.hull, &then, &now, row, self.air_factor())?;
        Ok(Felt::At(Box::new(read_at)))
    }

    /// Whether heel is what limits her at this angle.
    pub fn is_upwind(&self, angle: Angle) -> bool {
        self.points_of_sail.at(angle) == PointOfSail::Upwind
    }

    /// The air to sail in and the air she was tuned in, if the book gives both.
    pub fn airs(&self) -> Option<(Air, Air)> {
        self.righting.air.zip(self.righting.tuned_in)
    }

    /// What the density of the air does to the wind, beside the day she was tuned.
    pub fn air_factor(&self) -> Option<f64> {
        // The book's reader has held both against the formula's limits.
        self.airs().and_then(|(air, tuned_in)| air.wind_factor(tuned_in).ok())
    }

    /// How many were on the rail when she was sailed in this wind; between two rows a part of the way.
    pub fn up_then(&self, settings: &Settings, wind: Wind) -> f64 {
        let all = f64::from(self.crew.aboard);
        let up = |row: &crate::book::Row| row.on_rail.as_ref().map_or(all, |up| f64::from(up.value));
        let rows = settings.rows.iter().map(|row| (row.at.value.number(), up(row))).collect();
        Curve::new(rows, Between::Linear).and_then(|curve| curve.at_or_nearest(wind.number())).unwrap_or(all)
    }

    fn row(&self, settings: &Settings, wind: Wind) -> Option<Row> {
        let known = settings.targets.iter().filter_map(|target| Some((target.at.value, target.heel_deg?)));
        let limit_deg = self.righting.limited_from_deg;
        let heel = Heels::new(known.collect(), limit_deg, self.righting.limited_from_wind)?.at(wind)?;
        let reached_at = heel.reached_at.map(|wind| self.row_wind(settings, wind));
        Some(Row { wind: self.row_wind(settings, wind), heel_deg: heel.degrees, limit_deg, reached_at })
    }

    fn row_wind(&self, settings: &Settings, wind: Wind) -> RowWind {
        if self.kind == WindKind::Apparent {
            return RowWind::Apparent { speed: wind };
        }
        let at = |read: fn(&Target) -> Option<f64>| settings.targets.at(wind, read);
        let angle = at(|target| Some(target.angle?.to_degrees())).map(Angle::degrees).or(self.righting.upwind_angle);
        let speed = at(|target| Some(target.speed?.to_knots())).map(BoatSpeed::knots);
        let course = speed.zip(angle).map(|(boat_speed, true_wind_angle)| Course { boat_speed, true_wind_angle });
        RowWind::True { speed: wind, course }
    }
}

/// A wind that is more than some sails may be used in.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PastThisSail {
    /// The sails for it on the same point of sail, if there are any.
    pub next: Option<String>,
}

impl PastThisSail {
    /// `past this sail: J2 + Main`.
    pub fn words(&self) -> String {
        format!("past this sail: {}", self.next.as_deref().unwrap_or("no other for this"))
    }
}

/// Whether a wind is more, as it is printed, than the sails of these settings may be used in now.
pub fn past_this_sail(book: &Book, settings: &Settings, wind: Wind) -> Option<PastThisSail> {
    let unit = book.units.wind;
    let is_within = |settings: &Settings| {
        let (low, high) = range_now(book, settings);
        !low.is_above(wind) && (!high.is_finite() || wind.steps(unit) <= high.steps(unit))
    };
    if is_within(settings) || wind.is_below(range_now(book, settings).0) {
        return None;
    }
    let same_point = |other: &&Settings| other.point_of_sail == settings.point_of_sail;
    let next = book.settings.iter().filter(same_point).find(|other| is_within(other));
    Some(PastThisSail { next: next.map(|next| sail_names(book, next).join(" + ")) })
}

/// The winds that all the sails of some settings may be used in, as they are now.
fn range_now(book: &Book, settings: &Settings) -> (Wind, Wind) {
    let winds = book.range_of(settings).wind_now();
    // Sails that are for no wind as they are now hold none.
    winds.map_or((Wind::ENDLESS, Wind::CALM), |winds| (winds.low, winds.high))
}

/// Where the targets that hold in a wind come from: carried over if any of those around it is.
pub fn targets_ground(settings: &Settings, wind: Wind) -> Ground {
    let targets = &settings.targets;
    let above = targets.partition_point(|target| target.at.value.is_below(wind));
    let at_it = targets.get(above).filter(|target| target.at.value.is_at(wind));
    let around = match at_it {
        Some(_) => [at_it, None],
        None => [above.checked_sub(1).and_then(|below| targets.get(below)), targets.get(above)],
    };
    around.into_iter().flatten().map(|target| target.ground).max().unwrap_or(Ground::Sailed)
}
