//! How well she went in each block, in percent of what she should. Knows no note.

use super::lowess::{self, line};
use super::{Block, Measure, Table};
use crate::tuning::Wind;
use crate::tuning::righting::{Course, apparent_wind};

/// Along the boat's own line, places this close together in wind, knots, are not told apart: no instrument does.
const WINDS_APART_KN: f64 = 0.1;
/// And in angle, degrees.
const ANGLES_APART_DEG: f64 = 1.0;
/// A whole, in percent.
const WHOLE: f64 = 100.0;

/// What performance is held against.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeldAgainst {
    /// The book's targets.
    Targets,
    /// The boat's own line through all her steady blocks with these sails, since the book has no targets.
    OwnLine,
}

impl Block {
    /// The wind of the block in the kind that a table's rows are in.
    pub fn wind_of_rows(&self, table: &Table) -> Wind {
        let course = Course { boat_speed: self.speed, true_wind_angle: self.angle };
        if table.is_apparent { apparent_wind(self.wind, course) } else { self.wind }
    }

    /// What the measure was, in knots.
    fn measured(&self, measure: Measure) -> f64 {
        let (_, along) = self.angle.sin_cos();
        match measure {
            Measure::MadeGood => self.speed.to_knots() * along.abs(),
            Measure::Speed => self.speed.to_knots(),
        }
    }
}

/// What a table's blocks are held against.
pub fn held_against(table: &Table) -> HeldAgainst {
    if table.target.is_some() { HeldAgainst::Targets } else { HeldAgainst::OwnLine }
}

/// For each block that was sailed with a table's sails, 100·(measured / expected − 1); `None` where nothing is expected.
pub fn performances(table: &Table, blocks: &[&Block]) -> Vec<Option<f64>> {
    let Some(target) = table.target else { return of_own_line(table, blocks) };
    let part = |block: &&Block| {
        let expected = target(block.wind_of_rows(table), block.angle)?;
        percent(block.measured(table.measure) / expected)
    };
    blocks.iter().map(part).collect()
}

/// Over the boat's own line along the wind; on a reach, where the angle makes as much, over one along the angle as well.
fn of_own_line(table: &Table, blocks: &[&Block]) -> Vec<Option<f64>> {
    let measured: Vec<f64> = blocks.iter().map(|block| block.measured(table.measure)).collect();
    let winds: Vec<f64> = blocks.iter().map(|block| block.wind_of_rows(table).to_knots()).collect();
    let mut parts = over_line(&winds, &measured, WINDS_APART_KN);
    if table.measure == Measure::Speed {
        let angles: Vec<f64> = blocks.iter().map(|block| block.angle.to_degrees()).collect();
        parts = over_line(&angles, &parts, ANGLES_APART_DEG);
    }
    parts.into_iter().map(percent).collect()
}

/// Each height over the line through all of them there; what has none is no number.
fn over_line(places: &[f64], heights: &[f64], apart: f64) -> Vec<f64> {
    let points: Vec<(f64, f64)> = places.iter().copied().zip(heights.iter().copied()).collect();
    let line = line(&points, lowess::Options { apart, ..lowess::Options::default() });
    heights.iter().zip(line).map(|(height, line)| line.map_or(f64::NAN, |line| height / line)).collect()
}

fn percent(part: f64) -> Option<f64> {
    part.is_finite().then_some(WHOLE * (part - 1.0))
}
