//! Many books printed in one run, each into a folder of its own: side by side, but told of in their order.

use std::collections::BTreeSet;
use std::ffi::OsString;
use std::io;
use std::path::PathBuf;

use cockpit_cards::book::{Level, suggest};
use cockpit_cards::cards::Edition;
use cockpit_cards::door::{self, Passed};
use cockpit_cards::output::write::write_all;
use cockpit_cards::paper::{Correction, Flip};
use cockpit_cards::parallel;
use cockpit_cards::printing::{self, File, Options};
use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

use super::Run;
use super::folders;
use super::one::{REMEDY, UNCERTAIN, two_sides};
use crate::cli::books::{Named, worst};
use crate::cli::telling;
use crate::cli::{
    Outcome, Stopped, complain_in_report, complain_in_words, complaint, count, count_words, number_of, read,
    read_editions, say_done, stops,
};

/// A longer name of a book is not made room for in the list.
const NAME_COLUMN: usize = 40;

/// What became of one book.
struct Report {
    name: String,
    end: End,
    /// What to tell of it on standard error, whole.
    words: String,
    errors: usize,
    warnings: usize,
    /// How it is to be printed, and by whom that is said.
    how: String,
    /// By how much its printer is corrected.
    corrected: Option<String>,
    /// The ids of its cards, as far as they were asked about.
    ids: Vec<String>,
}

enum End {
    Printed {
        folder: PathBuf,
        cards: usize,
        drafts: usize,
        pages: usize,
        /// How to turn the pages of its cards with a back, if it has any.
        flip: Option<Flip>,
    },
    /// Only some cards were asked for, and it has none of them.
    HasNone,
    Bad,
    MachineFailed,
}

/// Prints books, each into a folder of its own in `out`; one that is bad does not stop the others. The same files whatever
/// the number of threads.
pub fn build(books: &[Named], run: &Run<'_>) -> Outcome {
    let options = &run.options;
    let folders = folders::of_each(books, run.out);
    let jobs: Vec<(&Named, Result<OsString, Stopped>)> = books.iter().zip(folders).collect();
    let bar = progress_bar(books.len());
    let reports: Vec<Report> = parallel::each(&jobs, usize::MAX, |(book, folder)| {
        let report = run.print(book, folder);
        bar.inc(1);
        report
    });
    bar.finish_and_clear();

    // A blank line after each book's words, and before the summary.
    let told = reports.iter().map(|report| report.words.trim_end()).filter(|words| !words.is_empty());
    told.for_each(|words| complain_in_report(&format!("{words}\n\n")));
    let unknown = unknown_ids(&reports, &options.only);
    complain_in_words(&unknown);
    let said = say_done(&summary(&reports));
    let ends = reports.iter().map(Report::outcome);
    worst(ends.chain([said, if unknown.is_empty() { Outcome::Done } else { Outcome::BadBook }]))
}

impl Run<'_> {
    /// Prints a book into its folder.
    fn print(&self, book: &Named, folder: &Result<OsString, Stopped>) -> Report {
        let mut report = Report::new(book.path.display().to_string());
        if let Err(stopped) = self.try_print(book, folder, &mut report) {
            report.stop(stopped);
        }
        report
    }

    fn try_print(&self, book: &Named, folder: &Result<OsString, Stopped>, report: &mut Report) -> Result<(), Stopped> {
        if let Some(refused) = &book.refused {
            return Err(refused.clone());
        }
        let mut opened = read(&book.path)?;
        let chosen = self.asked.of_book(&mut opened.loaded)?;
        let editions = read_editions(&book.path)?.unwrap_or_default();
        let sources = opened.loaded.sources.clone();
        let mut options = Options { editions, sources, job: chosen.job, ..self.options.clone() };
        let is_whole = options.only.is_empty();
        let Passed { made, mut problems, sources } = door::through(opened.loaded, |book, problems| {
            if !is_whole {
                report.ids = printing::card_ids(book);
                options.only.retain(|id| report.ids.contains(id));
            }
            let is_asked_for = is_whole || !options.only.is_empty();
            is_asked_for.then(|| printing::print(book, &options, problems)).flatten()
        });
        report.words = complaint(&mut problems, &sources);
        report.errors = problems.iter().filter(|problem| problem.level == Level::Error).count();
        report.warnings = problems.len() - report.errors;
        if stops(&problems, self.strict) {
            let what = format!("{} in {}; nothing of it was written", count(&problems), report.name);
            report.words.push_str(&Stopped::refused(&what, REMEDY).words);
            return Ok(());
        }
        let Some(files) = made else {
            report.end = End::HasNone;
            return Ok(());
        };
        // Seen from `out`, so that no link in it leads a book out of it.
        let folder = PathBuf::from(folder.as_ref().map_err(Stopped::clone)?);
        let in_folder: Vec<File> = files.files().into_iter().map(|file| file.inside(&folder)).collect();
        write_all(self.out, &in_folder).map_err(|error| report.not_written(&error))?;
        let pages = files.documents.iter().map(|document| document.pages).sum();
        let fronts = || files.cards.iter().filter(|card| card.back_of.is_none());
        let drafts = fronts().filter(|card| card.edition == Edition::Draft).count();
        let flip = files.documents.iter().find_map(|document| document.flip);
        report.end = End::Printed { folder: self.out.join(folder), cards: fronts().count(), drafts, pages, flip };
        report.how = chosen.words;
        report.corrected = options.job.correction.as_ref().map(Correction::words);
        Ok(())
    }
}

impl Report {
    fn new(name: String) -> Self {
        Report {
            name,
            end: End::Bad,
            words: String::new(),
            errors: 0,
            warnings: 0,
            how: String::new(),
            corrected: None,
            ids: Vec::new(),
        }
    }

    fn stop(&mut self, stopped: Stopped) {
        self.words.push_str(&stopped.words);
        self.end = match stopped.outcome {
            Outcome::MachineFailed => End::MachineFailed,
            _ => {
                self.errors += 1;
                End::Bad
            }
        };
    }

    /// Why its files are not there.
    fn not_written(&self, error: &io::Error) -> Stopped {
        Stopped::machine(&format!("{}: {UNCERTAIN}", self.name), error)
    }

    fn outcome(&self) -> Outcome {
        match self.end {
            End::Printed { .. } | End::HasNone => Outcome::Done,
            End::Bad => Outcome::BadBook,
            End::MachineFailed => Outcome::MachineFailed,
        }
    }

    /// Its line of the summary.
    fn line(&self, name_column: usize) -> String {
        let found =
            if self.errors + self.warnings == 0 { String::new() } else { count_words(self.errors, self.warnings) };
        let end = match &self.end {
            End::Printed { folder, cards, pages, .. } => {
                let found = if found.is_empty() { found } else { format!("   {found}") };
                let (cards, pages) = (number_of(*cards, "card"), number_of(*pages, "page"));
                format!("{cards:>9} {pages:>9}   {}{found}", folder.display())
            }
            End::HasNone => "has none of these cards".to_owned(),
            End::Bad => format!("not printed: {found}"),
            End::MachineFailed => "not written: the machine failed, see above".to_owned(),
        };
        format!("  {:<name_column$}  {end}\n", self.name)
    }
}

/// A line a book, then what they come to.
fn summary(reports: &[Report]) -> String {
    let name_column = reports.iter().map(|report| report.name.chars().count()).max().unwrap_or_default();
    let mut text = format!("{}\n\n", number_of(reports.len(), "book"));
    reports.iter().for_each(|report| text.push_str(&report.line(name_column.min(NAME_COLUMN))));
    let (mut printed, mut all_cards, mut all_drafts, mut all_pages) = (0, 0, 0, 0);
    for report in reports {
        if let End::Printed { cards, drafts, pages, .. } = &report.end {
            printed += 1;
            all_cards += cards;
            all_drafts += drafts;
            all_pages += pages;
        }
    }
    let drafts = match all_drafts {
        0 => "all as last released".to_owned(),
        number if number == all_cards => "all DRAFT".to_owned(),
        number => format!("{number} of them DRAFT"),
    };
    let (cards, pages) = (number_of(all_cards, "card"), number_of(all_pages, "page"));
    let errors = reports.iter().map(|report| report.errors).sum();
    let warnings = reports.iter().map(|report| report.warnings).sum();
    let found = if errors + warnings == 0 { String::new() } else { format!("; {}", count_words(errors, warnings)) };
    let of_books = number_of(reports.len(), "book");
    if printed == 0 {
        text.push_str(&format!("\nPrinted none of {of_books}{found}.\n"));
        return text;
    }
    text.push_str(&format!("\nPrinted {printed} of {of_books}: {cards} on {pages}, {drafts}{found}.\n"));
    text.push_str("Look at each proof.html before printing.\n");
    text.push_str(&how_to_print(reports));
    let flip = reports.iter().find_map(|report| match report.end {
        End::Printed { flip, .. } => flip,
        _ => None,
    });
    if let Some(flip) = flip {
        text.push_str(&two_sides("every cards-two-sided.pdf", flip));
    }
    text.push_str("\nPrint at 100 % (actual size, no fitting), then measure the check bars on the pages of strips.\n");
    text
}

/// How the books are to be printed: once, if it is the same for all, else of each.
fn how_to_print(reports: &[Report]) -> String {
    let printed: Vec<&Report> = reports.iter().filter(|report| !report.how.is_empty()).collect();
    let corrected: BTreeSet<&str> = printed.iter().filter_map(|report| report.corrected.as_deref()).collect();
    let corrected: String =
        corrected.iter().map(|words| format!("\n{words} Print it on no other printer.\n")).collect();
    let are_alike = printed.windows(2).all(|pair| pair[0].how == pair[1].how);
    match printed.first() {
        Some(first) if are_alike => format!("{corrected}\nMade to print {}.\n", first.how),
        _ => {
            let lines = printed.iter().map(|report| format!("  {}: {}\n", report.name, report.how));
            format!("{corrected}\nMade to print\n{}", lines.collect::<String>())
        }
    }
}

/// What to say of ids that no card of any of the books has.
fn unknown_ids(reports: &[Report], only: &[String]) -> String {
    let known: BTreeSet<&str> = reports.iter().flat_map(|report| &report.ids).map(String::as_str).collect();
    if known.is_empty() {
        return String::new();
    }
    let refuse = |id: &String| {
        let advice = suggest::advice(id, known.iter().copied());
        Stopped::refused(&format!("no card of these books has the id `{id}`"), &advice).words
    };
    only.iter().filter(|id| !known.contains(id.as_str())).map(refuse).collect()
}

/// On a terminal; where standard error goes elsewhere nothing is drawn.
fn progress_bar(books: usize) -> ProgressBar {
    // Characters that every terminal has.
    let style = ProgressStyle::with_template("[{bar:40}] {pos} of {len} books")
        .unwrap_or_else(|_| ProgressStyle::default_bar());
    let target = if telling::may_draw() { ProgressDrawTarget::stderr() } else { ProgressDrawTarget::hidden() };
    ProgressBar::with_draw_target(Some(books as u64), target).with_style(style.progress_chars("=> "))
}
