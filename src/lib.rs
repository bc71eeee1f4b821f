//! Cockpit cards and deck scales from one book, true to length.
#![forbid(unsafe_code)]

pub mod book;
pub mod cards;
pub mod drawing;
pub mod editions;
pub mod length;
pub mod output;
pub mod paper;
pub mod printing;
pub mod rigging;
pub mod size;
pub mod tuning;
