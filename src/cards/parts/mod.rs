//! What several kinds of card are made of: frame and tables, words and signs, places in a picture, stamps. Knows no kind.

pub(crate) mod back;
pub mod comparing;
pub mod evidence;
pub mod expected;
pub(crate) mod flow;
pub(crate) mod frame;
pub(crate) mod gear;
pub mod hydraulics;
pub mod into_rows;
pub mod label;
pub mod lines;
pub mod matrix;
pub mod measures;
pub mod moves;
pub(crate) mod placing;
pub(crate) mod read_at;
pub(crate) mod scaled;
pub mod sets;
pub mod sided;
pub(crate) mod sides;
pub mod stamp;
pub mod table;
pub mod telling;
pub mod view;
pub mod words;
pub mod working;
