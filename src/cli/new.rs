//! `new`: a small book to start from.

use std::io;
use std::path::PathBuf;

use clap::Args;
use cockpit_cards::book::report;
use cockpit_cards::disk::place::Place;

use super::chosen::as_typed;
use super::{Outcome, machine_failed, refuse, say_done};

/// A book that prints as it stands, with the comments a first reader needs.
const STARTER: &str = include_str!("../../templates/starter.yaml.tera");

#[derive(Args)]
pub struct New {
    /// The file to write
    #[arg(default_value = "boat.yaml")]
    book: PathBuf,
    /// The boat's name
    #[arg(long, default_value = "My boat")]
    boat: String,
}

impl New {
    pub fn run(self) -> Outcome {
        // Whatever a disk takes for a name, a comment in a book is one line.
        let book = as_typed(&report::safe_words(&self.book.display().to_string()));
        let text = match starter(&self.boat, &book) {
            Ok(text) => text,
            Err(error) => return machine_failed("the starter book", &error),
        };
        // A book someone wrote is never written over.
        match Place::start(&self.book, text.as_bytes()) {
            Ok(()) => say_done(&format!(
                "wrote {book}\nNext: put your own numbers into it, then\n  cockpit-cards build {book}\n"
            )),
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => refuse(
                &format!("{} is there already", self.book.display()),
                "name another file: cockpit-cards new other.yaml",
            ),
            Err(error) => machine_failed("nothing was written", &error),
        }
    }
}

fn starter(boat: &str, book: &str) -> Result<String, tera::Error> {
    let mut engine = tera::Tera::default();
    engine.add_raw_template("starter.yaml", STARTER)?;
    let mut context = tera::Context::new();
    // JSON's quoting is also YAML's, so any name stays one value.
    context.insert("boat", &serde_json::Value::String(boat.to_owned()).to_string());
    context.insert("book", book);
    engine.render("starter.yaml", &context)
}
