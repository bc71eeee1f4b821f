//! `reissue`: a new edition of what changed, a PDF of just those, and a slip that says what to bin.

use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use clap::Args;
use cockpit_cards::door::{self, Passed};
use cockpit_cards::editions::store;
use cockpit_cards::output::write::write_to_last;
use cockpit_cards::reissuing::{self, FILE, File, Reissue as Made, Request};

use super::chosen::{Usage, named_or_here};
use super::day::{self, Day};
use super::due::report;
use super::print_books::two_sides;
use super::print_flags::TwoSidedPrintFlags;
use super::{
    Outcome, Stopped, complain, count, editions_of, failed, locked, machine_failed, open, refuse, say, say_done, stops,
    usual_folder,
};

const USAGE: Usage = Usage { before: "reissue", after: "", has_example: false };

#[derive(Args)]
pub struct Reissue {
    /// The book; the one in this folder if none is named
    book: Option<PathBuf>,
    /// The folder to write the PDF into
    #[arg(short, long, value_name = "DIR", default_value_os_t = usual_folder())]
    out: PathBuf,
    /// Reissue only these cards, by id (may be given several times)
    #[arg(long, value_name = "ID", num_args = 1..)]
    only: Vec<String>,
    /// The day of the new editions; today if left out
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day::typed)]
    date: Option<Day>,
    /// Take that day though it is before the last edition's
    #[arg(long)]
    force_date: bool,
    /// Reprint strips whose label has an older name of the boat, too
    #[arg(long)]
    labels: bool,
    /// Say what would be done; write nothing
    #[arg(long)]
    dry_run: bool,
    #[command(flatten)]
    print: TwoSidedPrintFlags,
    /// Treat warnings as errors
    #[arg(long)]
    strict: bool,
}

impl Reissue {
    pub fn run(self) -> Outcome {
        let asked = match self.print.asked() {
            Ok(asked) => asked,
            Err(outcome) => return outcome,
        };
        let path = match named_or_here(self.book.as_deref(), USAGE) {
            Ok(path) => path,
            Err(outcome) => return outcome,
        };
        if !path.is_file() {
            // Said before a lock file is made beside a book that is not there.
            return match open(&path) {
                Ok(mut opened) => {
                    complain(&mut opened.loaded.problems, &opened.loaded.sources);
                    Outcome::BadBook
                }
                Err(outcome) => outcome,
            };
        }
        // Held from the first look at the book to the last byte written. A dry run only looks.
        let _lock = match (!self.dry_run).then(|| locked(&path)).transpose() {
            Ok(lock) => lock,
            Err(outcome) => return outcome,
        };
        let mut opened = match open(&path) {
            Ok(opened) => opened,
            Err(outcome) => return outcome,
        };
        let chosen = match asked.of_book(&mut opened.loaded).map_err(Stopped::say) {
            Ok(chosen) => chosen,
            Err(outcome) => return outcome,
        };
        let editions = match editions_of(&path) {
            Ok(editions) => editions,
            Err(outcome) => return outcome,
        };
        let place = match store::place(&path) {
            Ok(place) => place,
            Err(failure) => return failed(failure, "nothing was released"),
        };
        let today = day::today();
        let date = self.date.unwrap_or_else(|| today.clone());
        let request =
            Request { date, today, force_date: self.force_date, only: self.only, labels: self.labels, job: chosen.job };
        let released = editions.clone().unwrap_or_default();
        let Passed { made, mut problems, sources } =
            door::through(opened.loaded, |book, problems| reissuing::reissue(book, &released, &request, problems));
        complain(&mut problems, &sources);
        let made = match made {
            Some(made) if !stops(&problems, self.strict) => made,
            _ => {
                return refuse(
                    &format!("{} in {}; nothing was written", count(&problems), opened.name),
                    "correct what is listed above and reissue again",
                );
            }
        };
        let Made { due, files, next } = made;
        let mut text = report(&due, &opened.name, editions.is_some());
        if files.is_empty() {
            return say_done(&text);
        }
        if self.dry_run {
            return say(&format!("{text}\nA dry run: nothing was written.\n"));
        }
        // The editions file last: a run that is stopped before it has released nothing, and the next one starts over. Once it is
        // there nothing is due, so no later run makes the slip again: a power cut must not leave it empty.
        let written: Vec<(&str, &[u8])> =
            files.iter().map(|file| (file.name.as_str(), file.bytes.as_slice())).collect();
        if let Err(error) = write_to_last(&self.out, &written) {
            return machine_failed("nothing was released", &error);
        }
        if let Err(error) = store::save(&path, &place, &next) {
            let names: Vec<&str> = files.iter().map(|file| file.name.as_str()).collect();
            return machine_failed(&format!("nothing was released; do not use {}", names.join(", ")), &error);
        }
        text.push('\n');
        for file in &files {
            let pages = if file.pages == 1 { "1 page".to_owned() } else { format!("{} pages", file.pages) };
            let slip = if file.name == FILE { ", the change slip first" } else { "" };
            text.push_str(&format!("  {}: {pages}{slip}\n", self.out.join(&file.name).display()));
        }
        text.push_str(&format!("  {}: keep it with the book\n", store::path_of(&path).display()));
        text.push_str(&clear_away(&self.out, &files));
        for file in &files {
            if let Some(flip) = file.flip {
                text.push_str(&two_sides(&file.name, flip));
            }
        }
        text.push_str(&format!("\nMade to print {}.\n", chosen.words));
        text.push_str("Print at 100 % (actual size, no fitting), then measure the check bars on the change slip and on the pages of strips.\n");
        say_done(&text)
    }
}

/// Takes away what an earlier reissue left beside the files of this one: it would be taken for a part of this one.
fn clear_away(folder: &Path, files: &[File]) -> String {
    let mut text = String::new();
    for name in reissuing::file_names().filter(|name| files.iter().all(|file| file.name != *name)) {
        let path = folder.join(name);
        if let Err(error) = fs::remove_file(&path)
            && error.kind() != io::ErrorKind::NotFound
        {
            text.push_str(&format!("  {}: of an earlier reissue, do not print it ({error})\n", path.display()));
        }
    }
    text
}
