//! Stage 1: what the sailor wrote. Reads YAML and CSV into a [`Book`] whose every value remembers its place.

pub(crate) mod characters;
pub(crate) mod date;
pub mod edit;
pub mod force;
pub mod load;
pub mod model;
mod model_race;
mod model_rigging;
mod number;
pub mod problem;
pub mod quantity;
mod read;
pub mod report;
mod rest;
pub mod schema;
mod sound;
mod spanned;
pub mod suggest;
mod syntax;
pub mod table;
mod targets;
pub mod tree;
pub mod words;

pub use load::{Loaded, from_path, from_path_with, from_text};
pub use model::*;
pub use problem::{Level, Place, Problem, Source, SourceId};
pub use read::TAPE_COLOURS;
pub use sound::{Book, Section};
pub use table::Table;
pub use tree::{Node, Value};
