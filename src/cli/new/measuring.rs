//! `new --measuring-page`: the page to measure a boat by, of a book that is there. Draws nothing itself.

use std::path::Path;

use cockpit_cards::book::Book;
use cockpit_cards::cards::measuring_page;
use cockpit_cards::door::{self, Passed};
use cockpit_cards::output::write::write_all;
use cockpit_cards::printing::{self, File, Files, Options};
use cockpit_cards::size::NamedSize;

use super::super::print_flags::Asked;
use super::super::{Outcome, Stopped, complain, machine_failed, open, refuse, refused};

/// What crop marks and the words on a page take of what a printer reaches, across and along, millimetres.
const AROUND_MM: (f64, f64) = (20.0, 25.0);
/// More pages than a boat with everything fills.
const MOST_PAGES: usize = 20;

/// Writes the page of a book; what was written, in words.
pub fn page(book: &Path, output: &Path, asked: &Asked) -> Result<String, Outcome> {
    let mut opened = open(book)?;
    let job = asked.of_book(&mut opened.loaded).map_err(Stopped::say)?.job;
    let Passed { made, mut problems, sources } = door::through(opened.loaded, |book, _| Some(book.clone().unmarked()));
    complain(&mut problems, &sources);
    let Some(book) = made else { return Err(refused(&problems, &opened.name)) };
    let options = Options { job, ..Options::default() };
    let files = files(&book, &options)
        .ok_or_else(|| refuse("this paper is too small to write on", "give a larger one: --paper a4"))?;
    let folder = output.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Some(name) = output.file_name() else {
        return Err(refuse("-o names no file", "name one, like -o measuring-page.pdf"));
    };
    let pdf: Vec<File> = files.files().into_iter().filter(File::is_pdf).map(|pdf| pdf.named(name)).collect();
    write_all(folder, &pdf).map_err(|error| machine_failed("nothing was written", &error))?;
    Ok(format!("wrote {}: print it, and take it to the dock with a tape measure\n", output.display()))
}

/// The page on as few papers as hold it.
fn files(book: &Book, options: &Options) -> Option<Files> {
    let room = options.job.paper.printable();
    let size = format!("{} x {} mm", (room.width() - AROUND_MM.0).floor(), (room.height() - AROUND_MM.1).floor());
    let size = NamedSize::parse(&size).ok()?;
    (1..=MOST_PAGES).find_map(|pages| {
        let cards = measuring_page::cards(book, &size, pages);
        printing::print_cards(book, cards, options, &mut Vec::new())
    })
}
