//! Stage 2: what was sailed, and what can be said of it. Pure functions of notes and of steady blocks; no drawing, no file, no book.

mod block;
mod note;

pub use block::Block;
pub use note::{Found, Note, Noted, Reading, Verdict};
