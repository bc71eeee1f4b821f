//! Stage 2: the mechanics behind the cards made before the start. Pure functions of numbers; no drawing, no files, no
//! book.
//!
//! Each `work_out` takes plain data and gives back either every step of its working or every reason why there is none:
//! nothing that is not finite ever comes out.

pub mod axes;
pub mod block;
pub mod hydraulics;
pub mod lacing;
pub mod outboard_lead;
pub mod stowage;

pub use axes::Position;

/// Whether a number is one that a mass, a diameter or a load can be.
fn is_positive(value: f64) -> bool {
    value > 0.0 && value.is_finite()
}
