//! Stage 2: what was sailed, and what can be said of it. Pure functions of notes and of steady blocks; no drawing, no file, no book.

mod apart;
mod block;
pub mod chauvenet;
pub mod evidence;
pub mod moment;
mod note;
mod row;
pub mod steady;
pub mod true_wind;

pub use block::Block;
pub use moment::{Moment, Quantity};
pub use note::{Found, Note, Noted, Reading, Verdict};
pub use row::{Row, row_of};
