//! Stage 2: what was sailed, and what can be said of it. Pure functions of notes and of steady blocks; no drawing, no file,
//! no book.

mod apart;
pub mod asking;
mod block;
pub mod blocked;
mod cell;
pub mod chauvenet;
mod compare;
mod dropped;
pub mod effective_size;
pub mod evidence;
pub mod holm;
mod input;
pub mod lowess;
pub mod moment;
mod note;
pub mod performance;
pub mod plan;
pub mod propose;
pub mod question;
mod row;
pub mod sighting;
mod span;
pub mod steady;
pub mod students_t;
pub mod trial;
pub mod true_wind;
pub mod warning;

pub use asking::Asking;
pub use block::Block;
pub use cell::{Cell, Sailed, print};
pub use compare::{Compared, Comparison, compare};
pub use dropped::Dropped;
pub use input::{Control, Input, Measure, Options, Table};
pub use moment::{Moment, Quantity};
pub use note::{Found, Note, Noted, Reading, Verdict};
pub use row::{Row, reach_of, row_of};
