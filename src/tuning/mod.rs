//! Stage 2: the arithmetic of settings. Pure functions of numbers; no drawing, no files, no book.

pub mod adjust;
pub mod air;
mod angle;
mod axis;
pub mod band;
pub mod beaufort;
mod boat_speed;
pub mod changes;
pub mod curve;
pub mod heel;
pub mod ladder;
pub mod mark;
pub mod profile;
pub mod range;
mod reading;
pub mod righting;
pub mod scale;
mod span;
pub mod table;
pub mod tolerance;
pub mod wardrobe;
pub mod watches;
mod wind;
pub mod working;

pub use angle::Angle;
pub use axis::Axis;
pub use band::Band;
pub use boat_speed::BoatSpeed;
pub use changes::Change;
pub use curve::{Between, Crossing, Curve};
pub use scale::{Fineness, Graduation, Rank, Scale, ScaleKind, Tape};
pub use span::Span;
pub use table::{BandSetting, Column, Figure, Ground, Known, Setting};
pub use wind::{METRES_PER_NAUTICAL_MILE, Wind, WindUnit};
