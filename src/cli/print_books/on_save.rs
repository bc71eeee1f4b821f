//! `build --on-save`: a book printed again each time that it, or a file it names, is saved, until it is interrupted. Looks at what
//! is in the files, so that however an editor saves, one save is one build.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::mpsc::{self, Receiver, RecvTimeoutError, Sender};
use std::time::{Duration, Instant};

use cockpit_cards::book::Level;
use cockpit_cards::disk::open::{self, Found};
use cockpit_cards::disk::real::real;
use cockpit_cards::door::{self, Passed};
use cockpit_cards::editions::store;
use cockpit_cards::limits::MAX_EDITIONS_BYTES;
use cockpit_cards::output::write::write_all;
use cockpit_cards::printing::Options;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};
use notify::{EventKind, RecommendedWatcher, RecursiveMode, Watcher as _};

use super::Run;
use super::one::UNCERTAIN;
use crate::cli::telling::say_done;
use crate::cli::{
    Outcome, Stopped, complain, complain_in_words, count_words, machine_failed, number_of, process, read,
    read_editions, stops,
};

/// Without a change for so long, a save is over: an editor writes, renames and deletes within a few milliseconds.
const QUIET: Duration = Duration::from_millis(150);
/// After so long a build is made although something in the folder still changes, such as a log of the instruments.
const LONGEST: Duration = Duration::from_secs(1);
/// So long a file may be away before it counts as gone.
const AWAY: Duration = Duration::from_secs(2);
/// The page that is opened.
const PROOF_PAGE: &str = "proof.html";
const NOT_BUILT: &str = "not built, the files of the last good build stay";

/// What may happen while nothing is built.
enum Event {
    /// Something in a folder changed.
    Changed,
    /// The run is to end.
    Interrupted,
}

/// What is in each file, or that it is not there.
type Contents = Vec<(PathBuf, Option<blake3::Hash>)>;

/// A book that is printed each time it is saved.
pub struct OnSave<'a> {
    pub book: &'a Path,
    pub run: Run<'a>,
    /// Whether the proof page is to be opened, once there is one.
    pub open: bool,
}

/// The folders that are watched.
struct Folders {
    watcher: RecommendedWatcher,
    watched: BTreeSet<PathBuf>,
}

impl OnSave<'_> {
    pub fn run(mut self) -> Result<Outcome, Outcome> {
        let (tell, told) = mpsc::channel();
        let interrupt = tell.clone();
        process::on_interrupt(move || drop(interrupt.send(Event::Interrupted)));
        let mut folders = Folders::new(tell)?;
        let mut files = self.of_the_book();
        loop {
            // Watched before it is read: what is saved from here on is seen. A book that cannot be read names no files; those of the
            // last good one are looked at on.
            folders.watch(&files)?;
            files.extend(read(self.book).map(|opened| opened.loaded.files).unwrap_or_default());
            folders.watch(&files)?;
            let contents = contents_of(&files);
            let there: Vec<PathBuf> = files.iter().filter(|file| has_something(file)).cloned().collect();
            self.build();
            while contents_of(&files) == contents {
                if let Ok(Event::Interrupted) | Err(_) = told.recv() {
                    return Ok(Outcome::Done);
                }
            }
            if let Event::Interrupted = self.wait_for_the_end(&told, &there) {
                return Ok(Outcome::Done);
            }
        }
    }

    /// The book, the file behind it if it is a link, and its editions.
    fn of_the_book(&self) -> BTreeSet<PathBuf> {
        [self.book.to_owned(), real(self.book), store::path_of(&real(self.book))].into()
    }

    /// Waits until a save is over, and what it took away is back.
    fn wait_for_the_end(&self, told: &Receiver<Event>, there: &[PathBuf]) -> Event {
        let (first, mut was_told) = (Instant::now(), false);
        loop {
            let is_quiet = match told.recv_timeout(QUIET) {
                Ok(Event::Interrupted) | Err(RecvTimeoutError::Disconnected) => return Event::Interrupted,
                Ok(Event::Changed) => first.elapsed() > LONGEST,
                Err(RecvTimeoutError::Timeout) => true,
            };
            let is_back = has_something(self.book);
            let are_back = is_back && there.iter().all(|file| has_something(file));
            let is_gone = first.elapsed() > AWAY;
            if is_quiet && (are_back || is_gone && is_back) {
                return Event::Changed;
            }
            if is_gone && !was_told && !is_back {
                complain_in_words(&format!("{} is gone or empty: waiting for it to come back\n", self.book.display()));
                was_told = true;
            }
        }
    }

    /// Builds once and says so in a line.
    fn build(&mut self) {
        let started = Instant::now();
        let end = self.built().unwrap_or_else(|stopped| {
            stopped.say();
            NOT_BUILT.to_owned()
        });
        let time = ZonedDateTime::new(Timestamp::now(), TimeZone::system()).strftime("%H:%M:%S").to_string();
        say_done(&format!("{time}  {end}, {} ms\n", started.elapsed().as_millis()));
        let page = self.run.out.join(PROOF_PAGE);
        if self.open && page.exists() {
            self.open = false;
            if let Err(error) = ::open::that_detached(&page) {
                complain_in_words(&format!("warning: the proof page could not be opened: {error}\n"));
            }
        }
    }

    /// Builds once: what came of it.
    fn built(&self) -> Result<String, Stopped> {
        let mut opened = read(self.book)?;
        let job = self.run.asked.of_book(&mut opened.loaded)?.job;
        let editions = read_editions(self.book)?.unwrap_or_default();
        let sources = opened.loaded.sources.clone();
        let options = Options { job, editions, sources, ..self.run.options.clone() };
        let Passed { made, mut problems, sources } = door::print(opened.loaded, &options);
        complain(&mut problems, &sources);
        let errors = problems.iter().filter(|problem| problem.level == Level::Error).count();
        let found = count_words(errors, problems.len() - errors);
        match made.filter(|_| !stops(&problems, self.run.strict)) {
            Some(files) => {
                write_all(self.run.out, &files.files()).map_err(|error| Stopped::machine(UNCERTAIN, &error))?;
                let cards = number_of(files.cards.iter().filter(|card| card.back_of.is_none()).count(), "card");
                Ok(if problems.is_empty() { cards } else { format!("{cards}, {found}") })
            }
            None => Ok(format!("{NOT_BUILT}: {found}")),
        }
    }
}

impl Folders {
    fn new(tell: Sender<Event>) -> Result<Self, Outcome> {
        // To read a file is an event, too, and no change.
        let is_change = |event: &notify::Event| !matches!(event.kind, EventKind::Access(_));
        let handler = move |event: notify::Result<notify::Event>| {
            if event.as_ref().map_or(true, is_change) {
                // The run has ended if nobody listens.
                let _ = tell.send(Event::Changed);
            }
        };
        let watcher = notify::recommended_watcher(handler).map_err(|error| not_watched(&error))?;
        Ok(Folders { watcher, watched: BTreeSet::new() })
    }

    /// Watches the folders of these files, and not the files: whoever saves one may put another in its place.
    fn watch(&mut self, files: &BTreeSet<PathBuf>) -> Result<(), Outcome> {
        for file in files {
            let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
            let Ok(folder) = folder.canonicalize() else { continue };
            if !self.watched.contains(&folder) {
                self.watcher.watch(&folder, RecursiveMode::NonRecursive).map_err(|error| not_watched(&error))?;
                self.watched.insert(folder);
            }
        }
        Ok(())
    }
}

fn not_watched(error: &notify::Error) -> Outcome {
    machine_failed("the folder of the book cannot be watched", error)
}

/// Whether a file is there, and not just emptied to be written anew.
fn has_something(file: &Path) -> bool {
    file.metadata().is_ok_and(|metadata| metadata.len() > 0)
}

/// What is in these files now.
fn contents_of(files: &BTreeSet<PathBuf>) -> Contents {
    let content = |file: &PathBuf| match open::read(file, MAX_EDITIONS_BYTES) {
        Ok(Found::File(bytes)) => Some(blake3::hash(&bytes)),
        _ => None,
    };
    files.iter().map(|file| (file.clone(), content(file))).collect()
}
