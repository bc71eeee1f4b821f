//! What each kind of card says, how it is stamped, and that it can be read.

#[path = "../common/mod.rs"]
mod common;
#[path = "../reading/mod.rs"]
mod reading;
#[path = "../common/swap.rs"]
mod swap;

mod adjust_card;
mod apparent;
mod bands;
mod by_angle_card;
mod cards;
mod change_points;
mod crew_below_card;
mod dock_tune_card;
mod evidence;
mod explain;
mod handover;
mod hydraulics_card;
mod lacing_card;
mod legible;
mod measures;
mod notes_blank;
mod outboard_lead_card;
mod plain_numbers;
mod ranges;
mod re_mark_card;
mod readiness;
mod sail_change;
mod sail_sets;
mod sailed_sea;
mod season_figure;
mod seen;
mod stamps;
mod stowage_card;
mod strip_kinds;
mod strip_lanes;
mod table;
mod trial_card;
mod usual;
mod usually_below;
mod wardrobe_card;
mod watch_plan_card;
mod winds_alike;
mod words_on_arcs;
