//! Stage 1: what the sailor wrote. Reads YAML and CSV into a [`Book`] whose every value remembers its place.

pub mod load;
pub mod model;
pub mod problem;
pub mod table;
pub mod tree;

pub use load::{Loaded, from_path, from_text};
pub use model::*;
pub use problem::{Level, Place, Problem, Source, SourceId};
pub use table::Table;
pub use tree::{Node, Value};
