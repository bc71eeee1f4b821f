//! `sailed blank`: the card to write notes on, front and back, with the columns of the notes' file.

use std::path::PathBuf;

use clap::Args;
use cockpit_cards::book::{Book, Settings, suggest};
use cockpit_cards::cards::notes_blank::{self, Spread};
use cockpit_cards::door::{self, Passed};
use cockpit_cards::output::write::write_all;
use cockpit_cards::paper::PaperSize;
use cockpit_cards::printing::{self, Options};
use cockpit_cards::size::NamedSize;

use super::super::chosen::{Usage, named_or_here};
use super::super::print_flags::TwoSidedPrintFlags;
use super::super::{Outcome, Stopped, complain, machine_failed, open, refuse, refused, say_done, usual_folder};
use super::OfBook;

const USAGE: Usage = Usage { before: "sailed blank --book", after: "", has_example: false };
/// A5 upright, the size that it has if that holds it; else it is as large as the paper lets it be.
const USUAL_SIZE: &str = "148 x 210 mm";
/// What the crop marks and the words on the page take of what the printer reaches, across and along, millimetres.
const AROUND_MM: (f64, f64) = (20.0, 25.0);
/// What it is called where the cards of a book are `cards.pdf`.
const FILE: &str = "notes-blank.pdf";

#[derive(Args)]
pub struct Blank {
    /// The id of settings: with their controls alone
    settings: Option<String>,
    #[command(flatten)]
    of: OfBook,
    /// The size of the card: A5, `120 x 250 mm`; the handiest that holds it if none is given
    #[arg(long)]
    size: Option<String>,
    #[command(flatten)]
    print: TwoSidedPrintFlags,
    /// The folder it is written into
    #[arg(short, long, value_name = "DIR", default_value_os_t = usual_folder())]
    out: PathBuf,
}

impl Blank {
    pub fn run(self) -> Result<Outcome, Outcome> {
        let asked_for = self.print.asked()?;
        let wrong = |wrong: cockpit_cards::wrong::Wrong| refuse(&format!("--size: {}", wrong.what), &wrong.instead);
        let asked = self.size.as_deref().map(NamedSize::parse).transpose().map_err(wrong)?;
        let mut opened = open(&named_or_here(self.of.book.as_deref(), USAGE)?)?;
        let job = asked_for.of_book(&mut opened.loaded).map_err(Stopped::say)?.job;
        let options = Options { job, ..Options::default() };
        let Passed { made, mut problems, sources } = door::through(opened.loaded, |book, _| Some(book.clone()));
        complain(&mut problems, &sources);
        let Some(book) = made else { return Err(refused(&problems, &opened.name)) };
        let settings = self.settings(&book)?;
        let sizes: Vec<NamedSize> = asked.map_or_else(
            || {
                [USUAL_SIZE.to_owned(), largest(&options.job.paper)]
                    .iter()
                    .flat_map(|size| NamedSize::parse(size))
                    .collect()
            },
            |asked| vec![asked],
        );
        let mut problems = Vec::new();
        let ways = sizes.iter().flat_map(|size| [Spread::OneSide, Spread::BothSides].map(|spread| (size, spread)));
        let made = ways.into_iter().find_map(|(size, spread)| {
            problems.clear();
            let card = notes_blank::card(&book, settings, size, spread);
            printing::print_cards(&book, vec![card], &options, &mut problems)
        });
        let Some(files) = made else {
            complain(&mut problems, &sources);
            return Err(refuse("the card to write on was not printed", "see above"));
        };
        let files = files.of_one_card(FILE);
        write_all(&self.out, &files).map_err(|error| machine_failed("nothing was written", &error))?;
        let words = "print it on both sides, and copy what was written into the notes line by line";
        Ok(say_done(&format!("{}\n\nwrote {}: {words}\n", book.boat.name.value, self.out.join(FILE).display())))
    }

    fn settings<'a>(&self, book: &'a Book) -> Result<Option<&'a Settings>, Outcome> {
        let Some(id) = &self.settings else { return Ok(None) };
        book.settings(id).map(Some).ok_or_else(|| {
            let ids = book.settings.iter().map(|settings| settings.id.value.as_str());
            refuse(&format!("there are no settings {id}"), &suggest::advice(id, ids))
        })
    }
}

/// The largest card that a paper holds.
fn largest(paper: &PaperSize) -> String {
    let room = paper.printable();
    format!("{} x {} mm", (room.width() - AROUND_MM.0).floor(), (room.height() - AROUND_MM.1).floor())
}
