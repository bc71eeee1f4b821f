//! `build`: every card and strip of a book, into a folder; its flags, and whether one book is meant or many.

mod folders;
mod many;
mod on_save;
mod one;

pub use one::two_sides;

use std::path::{Path, PathBuf};

use clap::{Args, ValueEnum};
use cockpit_cards::output::svg::TextAs;
use cockpit_cards::printing::Options;

use super::chosen::{Usage, named_or_here};
use super::print_flags::{Asked, TwoSidedPrintFlags};
use super::{Outcome, books, refuse, usual_folder};
use on_save::OnSave;

const USAGE: Usage = Usage { before: "build", after: "", has_example: true };

#[derive(Args)]
pub struct Build {
    /// The book, several, or a folder of them; the one in this folder if none is named
    #[arg(value_name = "BOOK")]
    books: Vec<PathBuf>,
    /// The built-in example in place of a book
    #[arg(long, conflicts_with = "books")]
    example: bool,
    /// The folder to write into; of several books, or a folder of them, each gets a folder of its own there
    #[arg(short, long, value_name = "DIR", default_value_os_t = usual_folder())]
    out: PathBuf,
    /// Print only these cards, by id (may be given several times)
    #[arg(long, value_name = "ID")]
    only: Vec<String>,
    #[command(flatten)]
    print: TwoSidedPrintFlags,
    /// A PNG of each card as well, at 300 dots per inch
    #[arg(long)]
    png: bool,
    /// How the SVG holds text
    #[arg(long, value_enum, default_value_t = SvgText::Outlines)]
    svg_text: SvgText,
    /// Treat warnings as errors
    #[arg(long)]
    strict: bool,
    /// Build again each time the book, or a file that it names, is saved; Ctrl-C ends it
    #[arg(long, conflicts_with = "example")]
    on_save: bool,
    /// Open the proof page once it is there
    #[arg(long, requires = "on_save")]
    open: bool,
}

/// What all books of a run have in common.
struct Run<'a> {
    out: &'a Path,
    /// But for the job and the editions, which are of each book.
    options: Options,
    asked: Asked,
    strict: bool,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum SvgText {
    /// As shapes: the same on every machine
    Outlines,
    /// The shape of each letter once, and references to it: a quarter of the size, for screens
    Glyphs,
    /// As text that can be searched and changed
    Live,
}

impl Build {
    pub fn run(self) -> Outcome {
        self.build().unwrap_or_else(|outcome| outcome)
    }

    fn build(self) -> Result<Outcome, Outcome> {
        let asked = self.print.asked()?;
        let svg_text = match self.svg_text {
            SvgText::Outlines => TextAs::Outlines,
            SvgText::Glyphs => TextAs::Glyphs,
            SvgText::Live => TextAs::Live,
        };
        // Its editions, its files and how it is printed are put in with each book.
        let options = Options { only: self.only, png: self.png, svg_text, ..Options::default() };
        let run = Run { out: &self.out, options, asked, strict: self.strict };
        if self.on_save {
            let book = match self.books.as_slice() {
                [] => named_or_here(None, USAGE)?,
                [book] if !book.is_dir() => book.clone(),
                _ => return Err(refuse("--on-save builds one book", "name the one that is worked on")),
            };
            return OnSave { book: &book, run, open: self.open }.run();
        }
        match self.books.as_slice() {
            [] if self.example => one::build(None, run),
            [] => one::build(Some(&named_or_here(None, USAGE)?), run),
            [book] if !book.is_dir() => one::build(Some(book), run),
            several => Ok(many::build(&books::named(several), &run)),
        }
    }
}
