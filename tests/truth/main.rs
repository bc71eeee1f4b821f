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
mod season_compare;
mod season_evidence;
mod season_notes;
mod season_plan;
mod season_sailed;
mod season_statistics;
mod season_trials;
mod season_world;
mod settings;
mod simulated_season;
mod sizes;
mod steady_blocks;
mod stowage;
mod stretches;
mod true_size;
mod true_wind;
mod units;
mod units_alike;
mod views;
mod wardrobe;
mod watches;
mod winds;
