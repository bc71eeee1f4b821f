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
mod season_chauvenet;
mod season_evidence;
mod season_notes;
mod settings;
mod sizes;
mod steady_blocks;
mod stowage;
mod true_size;
mod true_wind;
mod units;
mod units_alike;
mod views;
mod wardrobe;
mod watches;
mod winds;
