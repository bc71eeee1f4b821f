//! `new`: a book to start from, by what the boat has where there is somebody to ask; and the page to measure her by.

mod asking;
mod measuring;

use std::io::{self, IsTerminal as _};
use std::path::{Path, PathBuf};

use clap::Args;
use cockpit_cards::book::schema::SCHEMA;
use cockpit_cards::book::{report, starter};
use cockpit_cards::disk::folder_of;
use cockpit_cards::disk::place::Place;

use self::asking::Talk;
use super::chosen::as_typed;
use super::print_flags::PrintFlags;
use super::{Outcome, complain_in_words, machine_failed, refuse, say_done};

/// A book that prints as it stands, with the comments a first reader needs.
const STARTER: &str = include_str!("../../../templates/starter.yaml.tera");
/// Who is not asked and gives no name has a boat of this one.
const NAME: &str = "My boat";

/// On a terminal it asks what the boat has.
#[derive(Args)]
pub struct New {
    /// The file to write
    #[arg(default_value = "boat.yaml")]
    book: PathBuf,
    /// The boat's name
    #[arg(long)]
    boat: Option<String>,
    /// Ask nothing, and write the same small book for every boat, as where there is no terminal to ask on
    #[arg(long, conflicts_with = "ask")]
    plain: bool,
    /// Ask, also where there is no terminal.
    #[arg(long, hide = true)]
    ask: bool,
    /// A page to fill in on the dock with a tape measure, with a line for each length that the book wants; of a BOOK that is there, just
    /// the page
    #[arg(long)]
    measuring_page: bool,
    /// The PDF of that page
    #[arg(short, long, value_name = "FILE", default_value = "measuring-page.pdf", requires = "measuring_page")]
    output: PathBuf,
    #[command(flatten)]
    print: PrintFlags,
}

impl New {
    pub fn run(self) -> Outcome {
        self.start().unwrap_or_else(|outcome| outcome)
    }

    fn start(self) -> Result<Outcome, Outcome> {
        let asked = self.print.asked()?;
        if self.book.symlink_metadata().is_ok() {
            // A book someone wrote is never written over, and nobody is asked in vain.
            return if self.measuring_page {
                let written = measuring::page(&self.book, &self.output, &asked)?;
                Ok(say_done(&written))
            } else {
                Err(is_there(&self.book))
            };
        }
        let name = as_typed(&report::safe_words(&self.book.display().to_string()));
        let text = self.text(&name)?;
        // The book last: a run that is stopped before it has started none, and the next one does.
        let missed = put_schema_beside(&self.book);
        match Place::start(&self.book, text.as_bytes()) {
            Ok(()) => {}
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => return Err(is_there(&self.book)),
            Err(error) => return Err(machine_failed("nothing was written", &error)),
        }
        if let Some(warning) = missed {
            complain_in_words(&warning);
        }
        let mut told = format!("wrote {name}\n");
        told.push_str(&measure_words(&text, &name));
        if self.measuring_page {
            told.push_str(&measuring::page(&self.book, &self.output, &asked)?);
        }
        Ok(say_done(&format!("{told}Next: put your own numbers into it, then\n  cockpit-cards build {name}\n")))
    }

    /// The text of the book.
    fn text(&self, book: &str) -> Result<String, Outcome> {
        let can_ask = io::stdin().is_terminal() && io::stderr().is_terminal();
        if !(self.ask || can_ask && !self.plain) {
            // Whatever a disk takes for a name, a comment in a book is one line.
            let boat = self.boat.as_deref().unwrap_or(NAME);
            let text = plain(boat, book).map_err(|error| machine_failed("the starter book", &error))?;
            return Ok(starter::schema_line() + &text);
        }
        let mut talk = Talk { input: &mut io::stdin().lock(), output: &mut io::stderr() };
        let boat =
            asking::ask(&mut talk, self.boat.as_deref()).map_err(|error| machine_failed("the terminal", &error))?;
        let boat = boat.ok_or_else(|| {
            refuse(
                "the answers ended before all was said; nothing was written",
                "answer each question, or give --plain",
            )
        })?;
        Ok(boat.book())
    }
}

fn is_there(book: &Path) -> Outcome {
    refuse(&format!("{} is there already", book.display()), "name another file: cockpit-cards new other.yaml")
}

/// Puts the shape of a book beside it, where its first line says that editors find it. One that is there is left as it is. What is to
/// be said where it cannot be.
fn put_schema_beside(book: &Path) -> Option<String> {
    let path = folder_of(book).join(starter::SCHEMA_FILE);
    match Place::start(&path, SCHEMA.as_bytes()) {
        Ok(()) => None,
        Err(error) if error.kind() == io::ErrorKind::AlreadyExists => None,
        Err(error) => Some(format!(
            "warning: {} was not written: {error}\n  help: editors help less without it; the book needs it for nothing\n",
            path.display()
        )),
    }
}

/// What is to be measured, with its line in the book.
fn measure_words(text: &str, book: &str) -> String {
    let lines = starter::to_measure(text);
    if lines.is_empty() {
        return String::new();
    }
    let list: String = lines.iter().map(|(line, what)| format!("  line {line:>3}  {what}\n")).collect();
    format!(
        "\nTo measure on the boat (marked `{}` in the book):\n{list}A page to do it on: cockpit-cards new --measuring-page {book}\n\n",
        starter::MEASURE
    )
}

fn plain(boat: &str, book: &str) -> Result<String, tera::Error> {
    let mut engine = tera::Tera::default();
    engine.add_raw_template("starter.yaml", STARTER)?;
    let mut context = tera::Context::new();
    // JSON's quoting is also YAML's, so any name stays one value.
    context.insert("boat", &serde_json::Value::String(boat.to_owned()).to_string());
    context.insert("book", book);
    engine.render("starter.yaml", &context)
}
