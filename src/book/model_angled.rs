//! What settings hold that are kept by wind and angle: plain data with places, no arithmetic.

use std::borrow::Cow;

use super::model::{PointOfSail, PointsOfSail, Row, Settings};
use super::spanned::Spanned;
use super::targets::{Target, Targets};
use crate::tuning::{Angle, Axis, Band, Between, BoatSpeed, Curve, Wind};

/// Rows and targets by wind and angle.
#[derive(Clone, Debug, PartialEq)]
pub struct Angled {
    /// In rising order of wind, those of one wind in rising order of angle; never empty.
    pub rows: Vec<AngledRow>,
    /// The bands of angle inside each band of wind, in rising order.
    pub bands: Vec<Band<Angle>>,
    /// What the boat should do, in the order of the rows.
    pub targets: Vec<AngledTarget>,
    /// Whether the book names the point of sail; else it is that of the middle of the angles.
    pub names_point_of_sail: bool,
}

/// A row with the angle that it was recorded at.
#[derive(Clone, Debug, PartialEq)]
pub struct AngledRow {
    /// The true wind angle.
    pub angle: Spanned<Angle>,
    /// The wind and the readings.
    pub row: Row,
}

/// A target with the angle that it is for.
#[derive(Clone, Debug, PartialEq)]
pub struct AngledTarget {
    /// The true wind angle.
    pub angle: Spanned<Angle>,
    /// The wind and what the boat should do.
    pub target: Target,
}

/// Settings whose winds stand beside the marks of a strip.
#[derive(Clone, Debug, PartialEq)]
pub struct WindsOf {
    /// Their id.
    pub settings: Spanned<String>,
    /// The true wind angle to read them at, if they go by angle too.
    pub angle: Option<Spanned<Angle>>,
}

impl Angled {
    /// Every recorded angle once, in rising order.
    pub fn angles(&self) -> Vec<Angle> {
        let mut angles: Vec<Angle> = self.rows.iter().map(|row| row.angle.value).collect();
        angles.sort();
        angles.dedup();
        angles
    }

    /// The least and the greatest angle of its bands.
    pub fn span(&self) -> Option<(Angle, Angle)> {
        Some((self.bands.first()?.low, self.bands.last()?.high))
    }

    /// The target speed at a wind and an angle: along the angle within each wind that has any, then along the wind, and beyond
    /// the targets the nearest. `None` if no target has a speed.
    pub fn speed_at(&self, wind: Wind, angle: Angle) -> Option<BoatSpeed> {
        let given = self.targets.iter().filter_map(|target| {
            let place = (target.target.at.value.number(), target.angle.value.number());
            Some((place.0, (place.1, target.target.speed?.to_knots())))
        });
        let given: Vec<(f64, (f64, f64))> = given.collect();
        let of_wind = |given: &[(f64, (f64, f64))]| {
            let along = given.iter().map(|(_, speed)| *speed).collect();
            let speed = Curve::new(along, Between::Monotone)?.at_or_nearest(angle.number())?;
            Some((given.first()?.0, speed))
        };
        let speeds = given.chunk_by(|one, next| one.0 == next.0).filter_map(of_wind).collect();
        Curve::new(speeds, Between::Monotone)?.at_or_nearest(wind.number()).map(BoatSpeed::knots)
    }

    /// What the boat should do at one angle, over the wind. Heel and angle trimmed to are those between the angles that the
    /// targets of a wind know and of none beyond; speed is beyond them that of the nearest.
    pub fn targets_at(&self, angle: Angle) -> Targets {
        let of_wind = |targets: &[AngledTarget]| {
            let along = |read: fn(&Target) -> Option<f64>| {
                let given =
                    targets.iter().filter_map(|target| Some((target.angle.value.number(), read(&target.target)?)));
                Curve::new(given.collect(), Between::Monotone)
            };
            let speed = along(|target| Some(target.speed?.to_knots()));
            let nearest = nearest(targets, angle, |target| target.angle.value)?;
            Some(Target {
                at: nearest.target.at.clone(),
                speed: speed.and_then(|curve| curve.at_or_nearest(angle.number())).map(BoatSpeed::knots),
                heel_deg: along(|target| target.heel_deg).and_then(|curve| curve.at(angle.number())),
                angle: Some(angle),
                look: None,
                ground: targets.iter().map(|target| target.target.ground).max().unwrap_or(nearest.target.ground),
            })
        };
        let of_one_wind = self.targets.chunk_by(|one, next| one.target.at.value.is_at(next.target.at.value));
        Targets::sorted(of_one_wind.filter_map(of_wind).collect())
    }

    /// For each wind the row sailed nearest to one angle.
    pub fn rows_nearest(&self, angle: Angle) -> Vec<Row> {
        let of_one_wind = self.rows.chunk_by(|one, next| one.row.at.value.is_at(next.row.at.value));
        let nearest = of_one_wind.filter_map(|rows| nearest(rows, angle, |row| row.angle.value));
        nearest.map(|row| row.row.clone()).collect()
    }
}

/// The one of some things by angle that is nearest to an angle; of two alike the closer to the wind.
fn nearest<T>(things: &[T], angle: Angle, at: impl Fn(&T) -> Angle) -> Option<&T> {
    let away = |thing: &&T| (at(thing).number() - angle.number()).abs();
    things.iter().min_by(|one, other| away(one).total_cmp(&away(other)))
}

impl Settings {
    /// The fastest of the target speeds, whether they go by angle or not; 0 if there is none.
    pub fn fastest(&self) -> BoatSpeed {
        let by_angle = self.angled.iter().flat_map(|angled| &angled.targets).map(|target| target.target.speed);
        let speeds = self.targets.iter().map(|target| target.speed).chain(by_angle).flatten();
        BoatSpeed::knots(speeds.map(BoatSpeed::to_knots).fold(0.0, f64::max))
    }

    /// What is to be done at one angle, as in settings by wind alone: for each wind the targets there and the hands on the rail.
    /// The readings are those of the nearest angle and no settings to sail by. Settings by wind alone are as they are.
    pub fn seen_at(&self, angle: Angle) -> Cow<'_, Settings> {
        let Some(angled) = &self.angled else { return Cow::Borrowed(self) };
        let (rows, targets) = (angled.rows_nearest(angle), angled.targets_at(angle));
        Cow::Owned(Settings { rows, targets, angled: None, ..self.clone() })
    }

    /// Every row, whether it has an angle or not.
    pub fn all_rows(&self) -> impl Iterator<Item = &Row> {
        self.rows.iter().chain(self.angled.iter().flat_map(|angled| angled.rows.iter().map(|row| &row.row)))
    }

    /// Every row, to be changed.
    pub(super) fn all_rows_mut(&mut self) -> impl Iterator<Item = &mut Row> {
        let angled = self.angled.iter_mut().flat_map(|angled| angled.rows.iter_mut().map(|row| &mut row.row));
        self.rows.iter_mut().chain(angled)
    }

    /// Whether they are for a point of sail: theirs, or, kept by angle, one that has any of their bands.
    pub fn are_for(&self, point: PointOfSail, points: &PointsOfSail) -> bool {
        let span = self.angled.as_ref().filter(|angled| !angled.names_point_of_sail).and_then(Angled::span);
        span.map_or(self.point_of_sail == point, |(low, high)| {
            let range = points.of(point);
            low < range.high && range.low < high
        })
    }
}
