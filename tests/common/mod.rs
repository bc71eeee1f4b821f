//! Readers that judge what the product wrote: other people's rasterisers and tools, and a ruler for PDF and SVG.
//!
//! Lengths are millimetres, y down from the top left corner of the page or drawing, as in a drawing.
#![allow(dead_code)] // each test file uses its own part

pub mod books;
pub mod clear;
pub mod content;
pub mod gear;
pub mod inputs;
pub mod picture;
pub mod raster;
pub mod sailed_log;
pub mod sample;
pub mod seamanship;
pub mod season_files;
pub mod ticks;
pub mod tools;
pub mod truth;
pub mod two_sides;
pub mod whole;
