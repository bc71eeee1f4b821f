//! Stage 1: what the sailor wrote. Reads YAML and CSV into a [`Book`] whose every value remembers its place.

pub mod as_table;
pub(crate) mod characters;
pub(crate) use crate::date;
pub mod edit;
#[cfg_attr(doc, doc(hidden))]
pub mod force;
pub(crate) mod load;
pub(crate) mod model;
mod model_angled;
mod model_dock;
mod model_printing;
mod model_race;
mod model_rigging;
mod model_sailed;
pub mod notes;
mod number;
pub(crate) mod problem;
#[cfg_attr(doc, doc(hidden))]
pub mod quantity;
mod read;
mod recorded;
pub mod report;
mod rest;
pub mod schema;
mod sets;
mod sound;
mod spanned;
#[cfg_attr(doc, doc(hidden))]
pub mod starter;
#[cfg_attr(doc, doc(hidden))]
pub mod suggest;
mod syntax;
#[cfg_attr(doc, doc(hidden))]
pub mod table;
mod targets;
#[cfg_attr(doc, doc(hidden))]
pub mod tree;
mod two_sides;
#[cfg_attr(doc, doc(hidden))]
pub mod words;

pub use load::{Loaded, from_memory, from_path, from_path_with, from_path_with_files, from_text};
pub use model::*;
pub use problem::{Level, Place, Problem, Source, SourceId};
#[doc(inline)]
pub use quantity::{Dimension, Unit};
#[doc(hidden)]
pub use read::{NOT_USED, TAPE_COLOURS};
pub use sound::{Book, Section};
#[doc(hidden)]
pub use table::Table;
pub use tree::{Node, Value};

// What the sections hold of the stages below, shown here because it is met here.
#[doc(inline)]
pub use crate::length::Length;
#[doc(inline)]
pub use crate::rigging::{Position, hydraulics, lacing, outboard_lead, stowage};
#[doc(inline)]
pub use crate::tuning::adjust::{Adjusted, Held, Limits, Offset};
#[doc(inline)]
pub use crate::tuning::air::{Air, AirError};
#[doc(inline)]
pub use crate::tuning::floaters::{Floater, Outside, Up};
#[doc(inline)]
pub use crate::tuning::range::{Area, Narrowed, SailRange};
#[doc(inline)]
pub use crate::tuning::righting::{Bunks, Crew, Group, GzCurve, Hull, Lever, Post, RightingError, Station};
#[doc(inline)]
pub use crate::tuning::watches::{Pattern, Race, Rota, Team, WatchError};
#[doc(inline)]
pub use crate::tuning::working::Step;
#[doc(inline)]
pub use crate::tuning::{
    Angle, Axis, Band, Between, BoatSpeed, Fineness, Graduation, Ground, Rank, Scale, ScaleKind, Span, Tape, Wind,
    WindUnit,
};
#[doc(inline)]
pub use crate::wrong::Wrong;
