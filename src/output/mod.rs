//! Stage 5: pages and drawings as files. Knows formats, nothing of sailing.
//!
//! One public verb a format: [`pdf::pdf`], [`svg::svg`], [`png::png`], [`proof::proof`], [`manifest::manifest`],
//! [`calendar::calendar`], [`workbook::workbook`]; each
//! returns what goes into a file. Only [`mod@write`] touches the disk.

pub mod calendar;
pub mod manifest;
pub mod pdf;
pub mod png;
pub mod proof;
pub mod svg;
mod unless_same;
pub mod workbook;
pub mod write;
