//! The wind to read a card at with part of the crew below: from the book to the arithmetic and back. Lays nothing out.

use crate::book::{Book, PointOfSail, Righting, Settings, Target, WindKind};
use crate::tuning::air::Air;
use crate::tuning::righting::{Bunks, Course, Crew, ReadAt, RightingError, Row, RowWind, wind_to_read_at};
use crate::tuning::{Angle, Axis, Between, BoatSpeed, Curve, Wind};

/// Crew and righting of a book, which has both.
#[derive(Clone, Copy, Debug)]
pub struct Feel<'a> {
    pub crew: &'a Crew,
    pub righting: &'a Righting,
    kind: WindKind,
}

impl<'a> Feel<'a> {
    /// `None` if the book has no crew or no righting.
    pub fn of(book: &'a Book) -> Option<Self> {
        let (crew, righting) = (book.race.crew.as_ref()?, book.race.righting.as_ref()?);
        let kind = book.wind_source.as_ref().map_or(WindKind::True, |source| source.kind);
        Some(Feel { crew: &crew.crew, righting, kind })
    }

    /// The wind to read the settings' card at; `Ok(None)` where the boat is not heel-limited, so nothing changes.
    ///
    /// Heel, speed and angle are the settings' targets, by the curve between them and beyond them the nearest.
    ///
    /// # Errors
    /// More below than aboard, or a boat that does not right herself.
    pub fn read_at(
        &self,
        settings: &Settings,
        wind: Wind,
        below: u32,
        bunks: Bunks,
    ) -> Result<Option<ReadAt>, RightingError> {
        let now = self.crew.with_below(below, bunks)?;
        let Some(row) = self.limited_row(settings, wind) else { return Ok(None) };
        let factor = self.air_factor();
        wind_to_read_at(&self.righting.hull, &self.crew.all_up(), &now, row, factor).map(Some)
    }

    /// What the density of the air does to the wind, if the book gives the air.
    pub fn air_factor(&self) -> Option<f64> {
        // The book's reader has held the air against the formula's limits.
        self.righting.air.and_then(|air| air.wind_factor(Air::STANDARD).ok())
    }

    fn limited_row(&self, settings: &Settings, wind: Wind) -> Option<Row> {
        if settings.point_of_sail != PointOfSail::Upwind {
            return None;
        }
        let at = |read: fn(&Target) -> Option<f64>| target_at(settings, wind, read);
        let heel_deg = match at(|target| target.heel_deg) {
            Some(heel_deg) => (heel_deg >= self.righting.limited_from_deg).then_some(heel_deg)?,
            None => {
                let from = self.righting.limited_from_wind?;
                (wind >= from).then_some(self.righting.limited_from_deg)?
            }
        };
        let angle = at(|target| Some(target.angle?.to_degrees())).map(Angle::degrees).or(self.righting.upwind_angle);
        let wind = match self.kind {
            WindKind::Apparent => RowWind::Apparent { speed: wind },
            WindKind::True => {
                let speed = at(|target| Some(target.speed?.to_knots())).map(BoatSpeed::knots);
                let course = speed.zip(angle);
                let course = course.map(|(boat_speed, true_wind_angle)| Course { boat_speed, true_wind_angle });
                RowWind::True { speed: wind, course }
            }
        };
        Some(Row { wind, heel_deg })
    }
}

/// A target at any wind: by the curve between those given, beyond them the nearest; `None` if none is given.
pub(super) fn target_at(settings: &Settings, wind: Wind, read: fn(&Target) -> Option<f64>) -> Option<f64> {
    let given = settings.targets.iter().filter_map(|target| Some((target.at.value.number(), read(target)?)));
    let points: Vec<(f64, f64)> = given.collect();
    let (first, last) = (*points.first()?, *points.last()?);
    let held = wind.number().clamp(first.0, last.0);
    Curve::new(points, Between::Monotone)?.at(held)
}
