//! From the true wind of a forecast to the wind that rows go by: by the target speed and angle of the settings. Lays nothing
//! out.

use crate::book::{Book, PointOfSail, Settings, WindKind};
use crate::tuning::righting::{Course, apparent_wind, true_wind};
use crate::tuning::{Angle, Axis, BoatSpeed, Span, Wind};
use crate::wrong::Wrong;

/// Halvings that leave nothing of any wind but the last digit of an `f64`.
const HALVINGS: u32 = 64;

/// How a true wind is read into the rows of some settings.
#[derive(Clone, Copy, Debug)]
pub enum IntoRows<'a> {
    /// The rows go by true wind.
    AsItIs,
    /// The rows go by apparent wind: the one that goes with the targets there.
    ByTargets {
        /// Whose targets.
        settings: &'a Settings,
        /// The true wind angle where a target gives none.
        angle: Option<Angle>,
    },
}

impl<'a> IntoRows<'a> {
    /// For a course at a true wind angle, if it is known; a target's own angle comes first.
    ///
    /// # Errors
    /// The rows go by apparent wind, and nothing says how fast or at what angle she sails in them.
    pub fn of(book: &Book, settings: &'a Settings, course: Option<Angle>) -> Result<Self, Wrong> {
        if !goes_by_apparent(book) {
            return Ok(IntoRows::AsItIs);
        }
        let upwind = book.race.righting.as_ref().filter(|_| settings.point_of_sail == PointOfSail::Upwind);
        let angle = course.or_else(|| upwind?.upwind_angle);
        let rows = IntoRows::ByTargets { settings, angle };
        if rows.course(Wind::CALM).is_some() {
            return Ok(rows);
        }
        if settings.angled.is_some() {
            return Err(Wrong::new(
                format!(
                    "a true wind cannot be read into `{}`: its rows go by apparent wind, and it has no target speed",
                    settings.id.value
                ),
                "write how fast she is at some wind and angle of it, like `targets: {14: {60: {speed: 7.5 kn}}}`",
            ));
        }
        let has_speed = settings.targets.iter().any(|target| target.speed.is_some());
        let missing = if has_speed { "angle" } else { "speed" };
        Err(Wrong::new(
            format!(
                "a true wind cannot be read into `{}`: its rows go by apparent wind, and it has no target {missing}",
                settings.id.value
            ),
            "write what she does at some wind of it, like `targets: {14: {speed: 6.5 kn, angle: 42}}`",
        ))
    }

    /// How she sails where the rows have this wind; beyond the targets as at the nearest.
    fn course(self, rows: Wind) -> Option<Course> {
        let IntoRows::ByTargets { settings, angle } = self else { return None };
        if let Some(angled) = &settings.angled {
            let true_wind_angle = angle?;
            return Some(Course { boat_speed: angled.speed_at(rows, true_wind_angle)?, true_wind_angle });
        }
        let boat_speed = settings.targets.at(rows, |target| Some(target.speed?.to_knots())).map(BoatSpeed::knots)?;
        let own = settings.targets.at(rows, |target| Some(target.angle?.to_degrees())).map(Angle::degrees);
        Some(Course { boat_speed, true_wind_angle: own.or(angle)? })
    }

    /// The wind of the rows in which this true wind blows: the apparent wind A with A = |W + V(A)|, by halving.
    pub fn read(self, wind: Wind) -> Wind {
        let IntoRows::ByTargets { settings, .. } = self else { return wind };
        // No boat feels more than the wind and all of her own speed together.
        let (mut low, mut high) = (Wind::CALM, wind + Wind::knots(settings.fastest().to_knots()));
        for _ in 0..HALVINGS {
            let middle = low.midway(high);
            match self.course(middle) {
                Some(course) if apparent_wind(wind, course) > middle => low = middle,
                _ => high = middle,
            }
        }
        high
    }

    /// The true winds in which the rows' wind lies within a span; `None` if none does.
    pub fn true_winds(self, rows: Span) -> Option<Span> {
        let IntoRows::ByTargets { .. } = self else { return Some(rows) };
        let at = |wind: Wind| true_wind(wind, self.course(wind)?);
        // Less than she makes herself is felt in no wind at all: the span then begins with a calm.
        let high = if rows.high.is_finite() { at(rows.high)? } else { rows.high };
        Span::new(at(rows.low).unwrap_or(Wind::CALM), high)
    }
}

/// Whether the book's rows, bands and sails' ranges are in apparent wind.
pub fn goes_by_apparent(book: &Book) -> bool {
    book.wind_source.as_ref().is_some_and(|source| source.kind == WindKind::Apparent)
}
