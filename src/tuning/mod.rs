//! Stage 2: the arithmetic of settings. Pure functions of numbers; no drawing, no files, no book.

pub mod adjust;
pub mod air;
pub mod band;
pub mod beaufort;
pub mod changes;
pub mod curve;
pub mod mark;
mod reading;
pub mod righting;
pub mod scale;
pub mod table;
pub mod wardrobe;
pub mod watches;
pub mod working;

pub use band::Band;
pub use changes::Change;
pub use curve::{Between, Crossing, Curve};
pub use scale::{Fineness, Graduation, Rank, Scale, ScaleKind, Tape};
pub use table::{BandSetting, Column, Ground, Known, Setting};
