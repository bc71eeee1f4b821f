//! Stage 2: what was sailed, and what can be said of it. Pure functions of notes and of steady blocks; no drawing, no file, no book.

mod apart;
mod block;
pub mod blocked;
pub mod chauvenet;
pub mod effective_size;
pub mod evidence;
pub mod holm;
pub mod lowess;
mod note;
mod row;
pub mod students_t;

pub use block::Block;
pub use note::{Found, Note, Noted, Reading, Verdict};
pub use row::{Row, row_of};
