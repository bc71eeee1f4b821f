//! Which book a command is about: the one that is named, else the one in this folder; the built-in example only where it is
//! asked for. So no command answers for a boat that nobody asked about. Knows paths and no flags but these.

use std::path::{Path, PathBuf};

use clap::Args;
use cockpit_cards::book;
use cockpit_cards::drawing::font::has_glyph;

use super::books::books_in;
use super::{Opened, Outcome, Stopped, read};

/// The book that `--example` stands for.
const EXAMPLE: &str = include_str!("../../examples/full.yaml");
/// The notes that it names.
const EXAMPLE_NOTES: (&str, &str) = ("full-sailed.csv", include_str!("../../examples/full-sailed.csv"));
/// What it is called where the name of a file would stand.
pub const EXAMPLE_NAME: &str = "built-in example";
/// The book of a folder that has one of this name, whatever else is there.
const USUAL_NAME: &str = "boat.yaml";
/// So many of the books in a folder are listed.
const MOST_LISTED: usize = 5;

/// A book, or the example in place of one.
#[derive(Args)]
pub struct ChosenBook {
    /// The book; the one in this folder if none is named
    #[arg(value_name = "BOOK")]
    book: Option<PathBuf>,
    /// The built-in example in place of a book
    #[arg(long, conflicts_with = "book")]
    example: bool,
}

/// How a command is typed, to tell what to type instead.
#[derive(Clone, Copy)]
pub struct Usage {
    /// Up to the book: `explain CARD`.
    pub before: &'static str,
    /// After the book: ` --wind 13`.
    pub after: &'static str,
    /// Whether it knows `--example`.
    pub has_example: bool,
}

impl Usage {
    /// The command about this book.
    fn of(self, book: &str) -> String {
        format!("cockpit-cards {} {book}{}", self.before, self.after)
    }
}

impl ChosenBook {
    /// Reads the book that is meant.
    pub fn open(&self, usage: Usage) -> Result<Opened, Outcome> {
        if self.example {
            return Ok(example());
        }
        let path = named_or_here(self.book.as_deref(), usage)?;
        read(&path).map_err(Stopped::say)
    }
}

/// The built-in example.
pub fn example() -> Opened {
    let (name, notes) = EXAMPLE_NOTES;
    let table = |asked: &str| (asked == name).then(|| notes.to_owned());
    Opened { loaded: book::from_text(EXAMPLE_NAME, EXAMPLE, &table, has_glyph), name: EXAMPLE_NAME.to_owned() }
}

/// The book that is named, or else the one in this folder.
pub fn named_or_here(book: Option<&Path>, usage: Usage) -> Result<PathBuf, Outcome> {
    book.map_or_else(|| here(usage).map_err(Stopped::say), |book| Ok(book.to_owned()))
}

/// The book in this folder: `boat.yaml`, or the only one there is.
fn here(usage: Usage) -> Result<PathBuf, Stopped> {
    let usual = Path::new(USUAL_NAME);
    // A link to nowhere is the book, too: its reader says what is wrong with it.
    if usual.symlink_metadata().is_ok_and(|found| !found.is_dir()) {
        return Ok(usual.to_owned());
    }
    let here = Path::new(".");
    let found = books_in(here).map_err(|error| Stopped::machine("this folder cannot be read", &error))?;
    let mut found: Vec<PathBuf> =
        found.into_iter().map(|path| path.strip_prefix(here).map(Path::to_owned).unwrap_or(path)).collect();
    match found.len() {
        0 => Err(none_here(usage)),
        1 => Ok(found.remove(0)),
        _ => Err(several_here(&found, usage)),
    }
}

fn none_here(usage: Usage) -> Stopped {
    let example = match usage.has_example {
        true => format!("; to see the built-in example: {}", usage.of("--example")),
        false => String::new(),
    };
    Stopped::refused(
        "there is no book in this folder, a file that ends in .yaml or .yml",
        &format!("name one: {}; to start one: cockpit-cards new{example}", usage.of("PATH/TO/boat.yaml")),
    )
}

fn several_here(found: &[PathBuf], usage: Usage) -> Stopped {
    let names: Vec<String> = found.iter().map(|path| path.display().to_string()).collect();
    let listed = names[..names.len().min(MOST_LISTED)].join(", ");
    let more = if names.len() > MOST_LISTED { " and more" } else { "" };
    Stopped::refused(
        &format!("there are {} books in this folder: {listed}{more}", names.len()),
        &format!("name the one you mean: {}", usage.of(&as_typed(&names[0]))),
    )
}

/// A name as the shells of this system take it for one word, so that it can be pasted.
pub fn as_typed(name: &str) -> String {
    let is_plain = |letter: char| {
        letter.is_alphanumeric()
            || matches!(letter, '.' | '_' | '-' | '/' | ':' | '+' | '½')
            || (cfg!(windows) && letter == '\\')
    };
    // No name of a file holds a double quote on Windows; elsewhere these mean something within double quotes, too.
    let needs_single = |letter: char| cfg!(not(windows)) && matches!(letter, '"' | '$' | '`' | '\\' | '!');
    // What begins like a flag would be taken for one.
    let name = if name.starts_with('-') { format!("./{name}") } else { name.to_owned() };
    if !name.is_empty() && name.chars().all(is_plain) {
        name
    } else if name.contains(needs_single) {
        format!("'{}'", name.replace('\'', r"'\''"))
    } else {
        format!("\"{name}\"")
    }
}
