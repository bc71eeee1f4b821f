//! Whatever a book, a table or a file holds.

#[path = "../common/mod.rs"]
mod common;
#[path = "../reading/mod.rs"]
mod reading;

mod every_command;
mod fuzz_targets;
mod hostile;
mod hostile_logs;
mod settings_audit;
