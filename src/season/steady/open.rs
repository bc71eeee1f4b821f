//! One block while it fills, and what is left of it when it is full: a handful of numbers. Knows no other block.

use super::{MICROS_PER_SECOND, TICKS, median};
use crate::limits;
use crate::season::chauvenet;
use crate::season::moment::{Moment, Quantity};
use crate::season::true_wind::{RelativeWind, from_apparent};
use crate::tuning::{BoatSpeed, Wind};

/// Quantities that a block needs: wind speed, wind angle, speed through the water.
pub const NEEDED: usize = 3;
/// A boat's speed that is older or younger than this, in seconds, does not go with an apparent wind: in it she gains or loses a tenth.
const TOGETHER_SECONDS: f64 = 5.0;

/// A block that fills.
#[derive(Debug)]
pub struct Open {
    /// Its place on the grid.
    pub number: i64,
    /// Microseconds from its beginning, and what was known then.
    moments: Vec<(i64, Moment)>,
}

/// Values of one quantity, each with its second of the block.
type Series = Vec<(f64, f64)>;

/// A mean, and the standard deviation around it.
#[derive(Clone, Copy, Debug)]
pub struct Spread {
    pub mean: f64,
    pub scatter: f64,
}

/// What a tick says of sides and of the heading.
#[derive(Clone, Copy, Debug, Default)]
pub struct Tick {
    /// The mean of the wind's angle, degrees.
    pub wind_deg: Option<f64>,
    /// The part of its records with the wind from starboard.
    pub starboard: f64,
    /// The mean heading, as a vector that is as long as the records are many.
    pub heading: Option<(f64, f64)>,
}

/// What is left of a block.
#[derive(Debug)]
pub struct Closed {
    pub number: i64,
    /// Records of the wind's speed, of its angle, of the boat's speed.
    pub counts: [usize; NEEDED],
    /// The middle one of the times between two of them, in seconds; no number where there are none.
    pub intervals: [f64; NEEDED],
    pub wind: Spread,
    pub angle: Spread,
    pub speed: Spread,
    pub heel: Option<f64>,
    pub heading: Option<f64>,
    pub outliers: usize,
    pub is_worked_out: bool,
    pub ticks: [Tick; TICKS],
}

impl Open {
    pub fn new(number: i64) -> Self {
        Open { number, moments: Vec::new() }
    }

    /// `false` if there is no room.
    pub fn add(&mut self, into_block: i64, moment: &Moment) -> bool {
        let has_room = self.moments.len() < limits::MAX_BLOCK_RECORDS;
        if has_room {
            self.moments.push((into_block, *moment));
        }
        has_room
    }

    pub fn close(mut self, length: i64) -> Closed {
        self.moments.sort_by_key(|(micros, _)| *micros);
        let speeds = self.series(Quantity::Speed);
        let logged = (self.series(Quantity::TrueWind), self.series(Quantity::TrueAngle));
        let is_worked_out = logged.0.is_empty() || logged.1.is_empty();
        let (winds, angles) = if is_worked_out { self.worked_out(&speeds) } else { logged };
        let needed = [&winds, &angles, &speeds];
        let counts = needed.map(Vec::len);
        let intervals = needed.map(interval);
        let ((wind, wind_out), (speed, speed_out)) = (spread(&winds), spread(&speeds));
        let (angle, angle_out) = direction_spread(&angles);
        let heels = self.series(Quantity::Heel);
        let heel = (!heels.is_empty()).then(|| mean(heels.iter().map(|(_, heel)| *heel)));
        let headings = self.series(Quantity::Heading);
        let heading = (!headings.is_empty()).then(|| mean_direction(headings.iter().map(|(_, heading)| *heading)));
        Closed {
            number: self.number,
            counts,
            intervals,
            wind,
            angle,
            speed,
            heel,
            heading,
            outliers: wind_out + angle_out + speed_out,
            is_worked_out,
            ticks: self.ticks(length, &angles, &headings),
        }
    }

    fn series(&self, quantity: Quantity) -> Series {
        let value = |(micros, moment): &(i64, Moment)| Some((seconds(*micros), moment.get(quantity)?));
        self.moments.iter().filter_map(value).collect()
    }

    /// True wind speeds and angles of the apparent ones, each with the boat's speed that was logged closest to it.
    fn worked_out(&self, speeds: &Series) -> (Series, Series) {
        let apparent_angles = self.series(Quantity::ApparentAngle);
        let true_wind = |(time, wind_kn): (f64, f64)| {
            let from_deg = nearest(&apparent_angles, time)?;
            let boat = BoatSpeed::knots(nearest(speeds, time)?);
            let wind = from_apparent(RelativeWind { speed: Wind::knots(wind_kn), from_deg }, boat);
            Some(((time, wind.speed.to_knots()), (time, wind.from_deg)))
        };
        self.series(Quantity::ApparentWind).into_iter().filter_map(true_wind).unzip()
    }

    /// The apparent wind stands on the same side as the true one, and serves where there is no boat's speed to work it out with.
    fn ticks(&self, length: i64, angles: &Series, headings: &Series) -> [Tick; TICKS] {
        let apparent;
        let sides = if angles.is_empty() {
            apparent = self.series(Quantity::ApparentAngle);
            &apparent
        } else {
            angles
        };
        let edge = |tick: usize| seconds(length) * tick as f64 / TICKS as f64;
        std::array::from_fn(|tick| {
            let sides = between(sides, edge(tick), edge(tick + 1));
            let headings = between(headings, edge(tick), edge(tick + 1));
            let starboard = sides.iter().filter(|(_, angle)| signed(*angle) >= 0.0).count();
            Tick {
                wind_deg: (!sides.is_empty()).then(|| mean_direction(sides.iter().map(|(_, angle)| *angle))),
                starboard: starboard as f64 / sides.len().max(1) as f64,
                heading: (!headings.is_empty()).then(|| sum_of_directions(headings.iter().map(|(_, value)| *value))),
            }
        })
    }
}

fn seconds(micros: i64) -> f64 {
    micros as f64 / MICROS_PER_SECOND as f64
}

/// The values from one second on and before another.
fn between(series: &Series, from: f64, until: f64) -> &[(f64, f64)] {
    let start = series.partition_point(|(time, _)| *time < from);
    let end = series.partition_point(|(time, _)| *time < until);
    &series[start..end.max(start)]
}

/// The value logged closest to a time, the earlier of two, if it is close enough.
fn nearest(series: &Series, time: f64) -> Option<f64> {
    let after = series.partition_point(|(other, _)| *other < time);
    let close = |index: usize| series.get(index).map(|(other, value)| ((other - time).abs(), *value));
    let before = after.checked_sub(1).and_then(close);
    let nearest = match (before, close(after)) {
        (Some(before), Some(after)) if after.0 < before.0 => Some(after),
        (Some(before), _) => Some(before),
        (None, after) => after,
    };
    nearest.filter(|(apart, _)| *apart <= TOGETHER_SECONDS).map(|(_, value)| value)
}

fn interval(series: &Series) -> f64 {
    median(series.windows(2).map(|pair| pair[1].0 - pair[0].0).collect()).unwrap_or(f64::NAN)
}

fn mean(values: impl Iterator<Item = f64> + Clone) -> f64 {
    let count = values.clone().count();
    values.sum::<f64>() / count as f64
}

/// Mean and scatter of what Chauvenet's criterion leaves, and how many it takes.
fn spread(series: &Series) -> (Spread, usize) {
    let values: Vec<f64> = series.iter().map(|(_, value)| *value).collect();
    let stays = chauvenet::stay(&values);
    let kept: Vec<f64> = values.iter().zip(&stays).filter(|(_, stays)| **stays).map(|(value, _)| *value).collect();
    let mean = mean(kept.iter().copied());
    let squares: f64 = kept.iter().map(|value| (value - mean).powi(2)).sum();
    let scatter = (squares / (kept.len() as f64 - 1.0)).sqrt();
    (Spread { mean, scatter }, values.len() - kept.len())
}

/// The same of directions: how far each is from their mean direction is what is held to the criterion and what scatters.
fn direction_spread(series: &Series) -> (Spread, usize) {
    let middle = mean_direction(series.iter().map(|(_, angle)| *angle));
    let off: Series = series.iter().map(|(time, angle)| (*time, signed(angle - middle))).collect();
    let (spread, outliers) = spread(&off);
    (Spread { mean: signed(middle + spread.mean), ..spread }, outliers)
}

/// The same direction, above −180° and up to 180°.
pub fn signed(degrees: f64) -> f64 {
    let turned = degrees.rem_euclid(360.0);
    if turned > 180.0 { turned - 360.0 } else { turned }
}

/// Directions laid end to end, each as long as 1.
fn sum_of_directions(degrees: impl Iterator<Item = f64>) -> (f64, f64) {
    let vectors = degrees.map(|value| value.to_radians().sin_cos());
    vectors.fold((0.0, 0.0), |sum, (sine, cosine)| (sum.0 + sine, sum.1 + cosine))
}

/// The mean of directions, from −180° to 180°.
fn mean_direction(degrees: impl Iterator<Item = f64>) -> f64 {
    direction_of(sum_of_directions(degrees))
}

/// The direction of a vector of sine and cosine.
pub fn direction_of((sine, cosine): (f64, f64)) -> f64 {
    sine.atan2(cosine).to_degrees()
}
