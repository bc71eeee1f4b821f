//! Arithmetic, lengths and shapes, held to published values, reference libraries and each other.

#[path = "../common/mod.rs"]
mod common;

mod adjust;
mod air;
mod angled;
mod band_rule;
mod beaufort;
mod curves;
mod hydraulics;
mod ink;
mod lacing;
mod outboard_lead;
mod parallel;
mod righting;
mod scales;
mod settings;
mod sizes;
mod stowage;
mod stretches;
mod true_size;
mod units;
mod units_alike;
mod views;
mod wardrobe;
mod watches;
mod winds;
