//! `check`: what is wrong with a book, or with several, for people or for machines.

use std::path::{Path, PathBuf};

use clap::Args;
use cockpit_cards::book::{Problem, report};
use cockpit_cards::door::{self, Passed};
use cockpit_cards::parallel;
use cockpit_cards::printing::Options;
use serde_json::Value;

use super::books::{self, Named, worst};
use super::chosen::{Usage, example, named_or_here};
use super::print_flags::TwoSidedPrintFlags;
use super::{
    Opened, Outcome, Stopped, complain_in_report, complain_in_words, complaint, count, read, read_editions, say_done,
    say_json, stops,
};

const USAGE: Usage = Usage { before: "check", after: "", has_example: true };

#[derive(Args)]
pub struct Check {
    /// The book, several, or a folder of them; the one in this folder if none is named
    #[arg(value_name = "BOOK")]
    books: Vec<PathBuf>,
    /// The built-in example in place of a book
    #[arg(long, conflicts_with = "books")]
    example: bool,
    #[command(flatten)]
    print: TwoSidedPrintFlags,
    /// A JSON list of {level, file, line, column, what, instead} on standard output
    #[arg(long)]
    json: bool,
    /// Treat warnings as errors
    #[arg(long)]
    strict: bool,
}

/// A book's name and all that is wrong with it.
struct Checked {
    name: String,
    problems: Vec<Problem>,
    /// What has no card, and why.
    left_out: Vec<String>,
    for_people: String,
    /// Nothing, if no machine asks.
    for_machines: Value,
}

impl Check {
    pub fn run(self) -> Outcome {
        self.check().unwrap_or_else(|outcome| outcome)
    }

    fn check(self) -> Result<Outcome, Outcome> {
        let asked = self.print.asked()?;
        let one = |path: &Path| -> Result<Checked, Stopped> {
            let mut opened = read(path)?;
            let job = asked.of_book(&mut opened.loaded)?.job;
            let editions = read_editions(path)?.unwrap_or_default();
            Ok(self.looked_at(opened, &Options { job, editions, ..Options::default() }))
        };
        let checked = match self.books.as_slice() {
            [] if self.example => {
                let mut opened = example();
                let job = asked.of_book(&mut opened.loaded).map(|chosen| chosen.job);
                vec![job.map(|job| self.looked_at(opened, &Options { job, ..Options::default() }))]
            }
            [] => vec![one(&named_or_here(None, USAGE)?)],
            [book] if !book.is_dir() => vec![one(book)],
            several => {
                let books = books::named(several);
                let one = |book: &Named| book.refused.clone().map_or_else(|| one(&book.path), Err);
                parallel::each(&books, usize::MAX, one)
            }
        };
        Ok(self.tell(&checked))
    }

    fn looked_at(&self, opened: Opened, options: &Options) -> Checked {
        let Passed { made, mut problems, sources } = door::check_as_printed(opened.loaded, options);
        let for_people = complaint(&mut problems, &sources);
        let for_machines = if self.json { report::for_machines(&problems, &sources) } else { Value::Null };
        Checked { name: opened.name, problems, left_out: made.unwrap_or_default(), for_people, for_machines }
    }

    /// Says it all in the order of the books.
    fn tell(&self, books: &[Result<Checked, Stopped>]) -> Outcome {
        let outcome = |book: &Result<Checked, Stopped>| match book {
            Err(stopped) => stopped.outcome,
            Ok(book) if stops(&book.problems, self.strict) => Outcome::BadBook,
            Ok(_) => Outcome::Done,
        };
        let ends = books.iter().map(outcome);
        if books.iter().all(Result::is_err) {
            books.iter().filter_map(|book| book.as_ref().err()).for_each(|stopped| complain_in_words(&stopped.words));
            return worst(ends);
        }
        let sound = books.iter().filter_map(|book| book.as_ref().ok());
        let said = if self.json {
            let all: Value =
                sound.flat_map(|book| book.for_machines.as_array().into_iter().flatten().cloned()).collect();
            books.iter().filter_map(|book| book.as_ref().err()).for_each(|stopped| complain_in_words(&stopped.words));
            say_json(&all)
        } else {
            for book in books {
                complain_in_report(book.as_ref().map_or_else(|stopped| &stopped.words, |book| &book.for_people));
            }
            let line = |book: &Checked| {
                // Of many books, what has no card would drown what is wrong.
                if books.len() == 1 { book.line() + &book.left_out() } else { book.line() }
            };
            say_done(&sound.map(line).collect::<String>())
        };
        worst(ends.chain([said]))
    }
}

impl Checked {
    fn line(&self) -> String {
        let found = if self.problems.is_empty() { "nothing wrong".to_owned() } else { count(&self.problems) };
        format!("{}: {found}\n", self.name)
    }

    /// The cards that a book without a list does not get, each with its reason.
    fn left_out(&self) -> String {
        self.left_out.iter().map(|line| format!("  left out: {line}\n")).collect()
    }
}
