//! Stage 5: pages and drawings as files. Knows formats, nothing of sailing.

pub mod pdf;
pub mod png;
pub mod svg;
pub mod write;
