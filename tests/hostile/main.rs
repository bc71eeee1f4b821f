//! Whatever a book, a table or a file holds.

#[path = "../common/mod.rs"]
mod common;
#[path = "../reading/mod.rs"]
mod reading;

mod every_command;
mod hostile;
mod hostile_logs;
mod settings_audit;
