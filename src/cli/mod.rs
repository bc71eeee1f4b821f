//! The commands and what they have in common: reading a book, saying what is wrong, exit codes.

mod books;
mod check;
mod chosen;
mod day;
mod due;
mod examples;
mod explain;
mod feed;
mod in_place;
mod manuals;
mod new;
mod print_books;
mod print_flags;
mod printer;
mod process;
mod readings;
mod reissue;
mod sail;
mod sailed;
mod show;
mod show_dock;
mod strip;
mod table;
mod telling;
mod typed;

use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::error::ErrorKind;
use clap::{CommandFactory as _, FromArgMatches as _, Parser, Subcommand};
use cockpit_cards::book::{self, Book, Level, Loaded, Problem, Source, report};
use cockpit_cards::disk::Failure;
use cockpit_cards::disk::lock::{self, Locks};
use cockpit_cards::disk::real::real;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::editions::Editions;
use cockpit_cards::editions::store;

use self::telling::{answer_command_line, complain_in_report, complain_in_words, say, say_data, say_done, say_json};

/// Laminated cockpit cards and deck scales, true to length, from one YAML book of the boat.
#[derive(Parser)]
#[command(version, about)]
struct Arguments {
    #[command(subcommand)]
    command: Command,
    #[command(flatten)]
    telling: telling::TellingFlags,
}

#[derive(Subcommand)]
enum Command {
    /// Print every card and strip: PDF, SVG, a proof page and a manifest
    Build(print_books::Build),
    /// Say what is wrong with a book; write nothing
    Check(check::Check),
    /// Show the settings at a wind speed in the terminal
    Show(show::Show),
    /// Print the working behind a card: inputs, formulas, results
    Explain(explain::Explain),
    /// Say which cards aboard are stale, or what a card in the hand is worth; write nothing
    Due(due::Due),
    /// Give what changed its next edition, and print just that
    Reissue(reissue::Reissue),
    /// Put a new sail into the book
    Sail(sail::Sail),
    /// Write down what was sailed
    Sailed(Box<sailed::Sailed>),
    /// Print one strip, without a book
    Strip(Box<strip::Strip>),
    /// Measure a printer once, so that prints on it come out true
    Printer(printer::Printer),
    /// Write the rows of some settings as a table of a spreadsheet
    Table(table::Table),
    /// Write a small book to start from
    New(new::New),
    /// Write the shape of a book to standard output, for editors that check while one writes (JSON Schema)
    Schema,
    /// Write the tab completions of a shell to standard output
    Completions(manuals::Completions),
    /// Write all manual pages and tab completions into a folder
    Manuals(manuals::Manuals),
}

/// How a command ended; every variant is an exit code that scripts may rely on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    Done = 0,
    /// The machine failed: a full disk, no permission.
    MachineFailed = 1,
    /// The book or the command line is wrong.
    BadBook = 2,
    /// Something is due.
    Due = 3,
}

/// Runs the command line of this process.
pub fn run() -> ExitCode {
    process::prepare();
    let read = read_command_line(Arguments::command()).or_else(|answer| match answer.kind() {
        ErrorKind::DisplayVersion => Err(answer),
        // Examples are for those who ask for help, or need it.
        _ => read_command_line(command_line()),
    });
    let arguments = match read {
        Ok(arguments) => arguments,
        Err(answer) => return ExitCode::from(answer_command_line(&answer) as u8),
    };
    arguments.telling.set();
    let outcome = match arguments.command {
        Command::Build(build) => build.run(),
        Command::Check(check) => check.run(),
        Command::Show(show) => show.run(),
        Command::Explain(explain) => explain.run(),
        Command::Due(due) => due.run(),
        Command::Reissue(reissue) => reissue.run(),
        Command::Sail(sail) => sail.run(),
        Command::Sailed(sailed) => sailed.run(),
        Command::Strip(strip) => strip.run(),
        Command::Printer(printer) => printer.run(),
        Command::Table(table) => table.run().unwrap_or_else(|outcome| outcome),
        Command::New(new) => new.run(),
        Command::Schema => say_data(book::schema::SCHEMA),
        Command::Completions(completions) => completions.run(),
        Command::Manuals(manuals) => manuals.run(),
    };
    ExitCode::from(outcome as u8)
}

/// What the command line of this process asks for, or how it is answered.
fn read_command_line(command: clap::Command) -> Result<Arguments, Box<clap::Error>> {
    let mut command = telling::prepare(command, std::env::args_os());
    let matches = command.try_get_matches_from_mut(std::env::args_os());
    matches
        .and_then(|matches| Arguments::from_arg_matches(&matches))
        .map_err(|answer| answer.format(&mut command).into())
}

/// Every command with its flags and examples.
fn command_line() -> clap::Command {
    examples::with_examples(Arguments::command())
}

/// A book that was read, with everything said about it so far.
pub struct Opened {
    pub loaded: Loaded,
    /// As the user named it.
    pub name: String,
}

/// Why work ended early: its words for standard error, not said yet, and the exit code.
#[derive(Clone, Debug)]
pub struct Stopped {
    pub outcome: Outcome,
    /// With a newline at the end.
    pub words: String,
}

impl Stopped {
    pub fn machine(what: &str, error: &dyn std::fmt::Display) -> Self {
        let (what, error) = (report::safe_words(what), report::safe_words(&error.to_string()));
        Stopped { outcome: Outcome::MachineFailed, words: format!("error: {what}: {error}\n") }
    }

    pub fn refused(what: &str, instead: &str) -> Self {
        // A damaged file or a flag may be repeated as it is.
        let (what, instead) = (report::safe_words(what), report::safe_words(instead));
        Stopped { outcome: Outcome::BadBook, words: format!("error: {what}\n  help: {instead}\n") }
    }

    /// Tells the user.
    pub fn say(self) -> Outcome {
        complain_in_words(&self.words);
        self.outcome
    }
}

/// Reads a book, and says so if the machine fails at that.
pub fn open(path: &Path) -> Result<Opened, Outcome> {
    read(path).map_err(Stopped::say)
}

/// Reads a book and says nothing.
pub fn read(path: &Path) -> Result<Opened, Stopped> {
    match book::from_path(path, has_glyph) {
        Ok(loaded) => Ok(Opened { loaded, name: path.display().to_string() }),
        Err(error) => Err(Stopped::machine(&format!("{} cannot be read", path.display()), &error)),
    }
}

/// What was released of a book; `None` if it has no editions file.
pub fn editions_of(book: &Path) -> Result<Option<Editions>, Outcome> {
    read_editions(book).map_err(Stopped::say)
}

/// As [`editions_of`], and says nothing.
pub fn read_editions(book: &Path) -> Result<Option<Editions>, Stopped> {
    store::load(book).map_err(|failure| stopped(failure, "the editions file cannot be read"))
}

/// Says why a file could not be used; `machine` what that means if it was the machine.
pub fn failed(failure: Failure, machine: &str) -> Outcome {
    stopped(failure, machine).say()
}

fn stopped(failure: Failure, machine: &str) -> Stopped {
    match failure {
        Failure::Bad(wrong) => Stopped::refused(&wrong.what, &wrong.instead),
        Failure::Machine(error) => Stopped::machine(machine, &error),
    }
}

/// Keeps every other run off a book and its editions; waits for one that is at it.
pub fn locked(book: &Path) -> Result<Locks, Outcome> {
    store::lock(book, || waiting(book)).map_err(|error| machine_failed("nothing was written", &error))
}

/// Keeps every other run off files that several books may share; waits for one that is at it.
pub fn locked_files(files: &[&Path]) -> Result<Locks, Outcome> {
    let locks = files.iter().map(|file| lock::beside(&real(file)));
    let what = files.first().copied().unwrap_or(Path::new(""));
    lock::take(locks, || waiting(what)).map_err(|error| machine_failed("nothing was written", &error))
}

fn waiting(file: &Path) {
    complain_in_words(&format!("another run is at work on {}: waiting for it to end\n", file.display()));
}

/// Prints problems to standard error, for people, errors first.
pub fn complain(problems: &mut [Problem], sources: &[Source]) {
    complain_in_report(&complaint(problems, sources));
}

/// What [`complain`] prints.
pub fn complaint(problems: &mut [Problem], sources: &[Source]) -> String {
    if problems.is_empty() {
        return String::new();
    }
    in_order(problems);
    format!("{}\n\n", report::for_terminal(problems, sources, telling::look()))
}

/// Sorts problems: errors first, since warnings may come of them; then by place, those of no place last.
pub fn in_order(problems: &mut [Problem]) {
    let place = |problem: &Problem| problem.place.as_ref().map(|place| (place.source, place.bytes.start));
    problems.sort_by_key(|problem| (problem.level, problem.place.is_none(), place(problem)));
}

/// `2 errors and 1 warning`.
pub fn count(problems: &[Problem]) -> String {
    let of = |level| problems.iter().filter(|problem| problem.level == level).count();
    count_words(of(Level::Error), of(Level::Warning))
}

/// As [`count`] says it.
pub fn count_words(errors: usize, warnings: usize) -> String {
    match (errors, warnings) {
        (errors, 0) => number_of(errors, "error"),
        (0, warnings) => number_of(warnings, "warning"),
        (errors, warnings) => format!("{} and {}", number_of(errors, "error"), number_of(warnings, "warning")),
    }
}

/// `1 page`, `2 pages`.
pub fn number_of(number: usize, word: &str) -> String {
    if number == 1 { format!("1 {word}") } else { format!("{number} {word}s") }
}

/// Whether problems stop the work: any error, or any problem at all if warnings count.
pub fn stops(problems: &[Problem], strict: bool) -> bool {
    problems.iter().any(|problem| strict || problem.level == Level::Error)
}

pub fn machine_failed(what: &str, error: &dyn std::fmt::Display) -> Outcome {
    Stopped::machine(what, error).say()
}

pub fn refuse(what: &str, instead: &str) -> Outcome {
    Stopped::refused(what, instead).say()
}

/// The first line of what is printed about a boat. It says EXAMPLE as each card of an example does: nobody sailed its readings.
pub fn headed(book: &Book, name: &str) -> String {
    let example = if book.example { "  EXAMPLE" } else { "" };
    format!("{}  ({}){example}\n\n", book.boat.name.value, report::safe_words(name))
}

/// Refuses a book whose problems have been told.
pub fn refused(problems: &[Problem], name: &str) -> Outcome {
    refuse(&format!("{} in {name}", count(problems)), "correct what is listed above")
}

/// The folder a book prints into if none is named.
pub fn usual_folder() -> PathBuf {
    PathBuf::from("out")
}
