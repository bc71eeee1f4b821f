//! `sailed`: what was sailed, written down and made use of. One file a command; what they share is which book they are about.

mod add;
mod adopt;
mod blank;
mod compare;
mod logs;
mod plan;

use std::path::PathBuf;

use clap::{Args, Subcommand};

use super::Outcome;

/// The book that every one of these commands is about.
#[derive(Args)]
struct OfBook {
    /// The book; the one in this folder if none is named
    #[arg(long, value_name = "FILE")]
    book: Option<PathBuf>,
}

#[derive(Args)]
pub struct Sailed {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Add a line to the notes of what was sailed; nothing that stands there is touched
    Add(Box<add::Add>),
    /// Take what was proposed for a row, or what you chose, into the book in place, and say so in the notes
    Adopt(Box<adopt::Adopt>),
    /// Print the card to write notes on, front and back, with the columns of the notes' file
    Blank(blank::Blank),
    /// Say what was sailed says of the settings, and what it cannot say
    Compare(compare::Compare),
    /// Print the card of the next trial: of a question that is named, or of the one most worth asking
    Plan(plan::Plan),
}

impl Sailed {
    pub fn run(self) -> Outcome {
        let done = match self.command {
            Command::Add(add) => add.run(),
            Command::Adopt(adopt) => adopt.run(),
            Command::Blank(blank) => blank.run(),
            Command::Compare(compare) => compare.run(),
            Command::Plan(plan) => plan.run(),
        };
        done.unwrap_or_else(|outcome| outcome)
    }
}
