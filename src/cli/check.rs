//! `check`: what is wrong with a book, for people or for machines.

use std::path::PathBuf;

use clap::Args;
use cockpit_cards::book::report;
use cockpit_cards::printing;

use super::{Outcome, complain, count, in_order, open, say, stops};

#[derive(Args)]
pub struct Check {
    /// The book; the built-in example if none is named
    book: Option<PathBuf>,
    /// A JSON list of {level, file, line, column, what, instead} on standard output
    #[arg(long)]
    json: bool,
    /// Treat warnings as errors
    #[arg(long)]
    strict: bool,
}

impl Check {
    pub fn run(self) -> Outcome {
        let opened = match open(self.book.as_deref()) {
            Ok(opened) => opened,
            Err(outcome) => return outcome,
        };
        let mut problems = opened.loaded.problems;
        if let Some(book) = &opened.loaded.book {
            printing::check(book, &mut problems);
        }
        let said = if self.json {
            in_order(&mut problems);
            say(&format!("{:#}\n", report::for_machines(&problems, &opened.loaded.sources)))
        } else {
            complain(&mut problems, &opened.loaded.sources);
            match problems.len() {
                0 => say(&format!("{}: nothing wrong\n", opened.name)),
                _ => say(&format!("{}: {}\n", opened.name, count(&problems))),
            }
        };
        if stops(&problems, self.strict) { Outcome::BadBook } else { said }
    }
}
