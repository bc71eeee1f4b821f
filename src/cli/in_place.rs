//! What the commands that change a file in place have in common: a sound book before and after, one answer from the terminal, the
//! new text in the place of the old. Knows no section of a book.

use std::io::{self, BufRead as _, Write as _};
use std::path::Path;

use cockpit_cards::book::{Book, Loaded, Problem};
use cockpit_cards::disk::Failure;
use cockpit_cards::disk::open::{self, Found};
use cockpit_cards::disk::place::Place;
use cockpit_cards::door::{self, Passed};
use cockpit_cards::editions::Editions;
use cockpit_cards::limits::MAX_FILE_BYTES;
use cockpit_cards::{printing, reissuing};

use super::due::report;
use super::{Outcome, complain, count, failed, machine_failed, refuse};

const NOTHING: &str = "nothing was written";

/// One line from the terminal; `None` if nothing was said.
pub fn answer(question: &str) -> io::Result<Option<String>> {
    let mut terminal = io::stderr();
    write!(terminal, "{question}: ")?;
    terminal.flush()?;
    let mut line = String::new();
    io::stdin().lock().read_line(&mut line)?;
    Ok(Some(line.trim().to_owned()).filter(|line| !line.is_empty()))
}

/// The book if neither it nor any of its cards has an error, with its warnings; says what is wrong otherwise.
pub fn sound(loaded: Loaded, name: &str, otherwise: &str) -> Result<(Book, Vec<Problem>), Outcome> {
    let Passed { made, mut problems, sources } = door::through(loaded, |book, problems| {
        printing::check(book, problems);
        Some(book.clone())
    });
    match made {
        Some(book) => Ok((book, problems)),
        None => {
            complain(&mut problems, &sources);
            Err(refuse(&format!("{} in {name}", count(&problems)), otherwise))
        }
    }
}

/// What a change of a book makes due, in words; says what is wrong if nothing can be told, for then the book has errors.
pub fn report_due(
    book: &Book,
    editions: Option<&Editions>,
    name: &str,
    problems: &mut Vec<Problem>,
) -> Result<String, Outcome> {
    let released = editions.cloned().unwrap_or_default();
    match reissuing::due(book, &released, &[], false, problems) {
        Some((_, due)) => Ok(report(&due, name, editions.is_some())),
        None => {
            complain(problems, &[]);
            Err(refuse(&format!("{NOTHING}: {} in {name} as it would be", count(problems)), "see above"))
        }
    }
}

/// The text of a file; `None` if it is not there.
fn text_of(path: &Path) -> Result<Option<String>, Outcome> {
    match open::read(path, MAX_FILE_BYTES).map_err(|error| machine_failed(NOTHING, &error))? {
        Found::File(bytes) => String::from_utf8(bytes).map(Some).map_err(|_| {
            let what = format!("{} is not UTF-8 text", path.display());
            refuse(&what, "save it again from the editor with the encoding UTF-8")
        }),
        Found::Missing => Ok(None),
        Found::NoFile(what) => Err(failed(Failure::Bad(what.wrong(path)), NOTHING)),
        Found::TooLarge => {
            let what = format!("{} is larger than {} MB", path.display(), MAX_FILE_BYTES / 1_000_000);
            Err(refuse(&what, "begin a new file, and keep the old one"))
        }
    }
}

/// The text of a file that was there when the book was read.
pub fn text_of_book(path: &Path) -> Result<String, Outcome> {
    text_of(path)?.ok_or_else(|| refuse(&format!("{} is no longer there", path.display()), "bring it back"))
}

/// A file that is to be changed: its text, and its place, which was found to take a new one.
pub struct InPlace {
    place: Place,
    /// `None` if the file is yet to be started.
    pub text: Option<String>,
}

impl InPlace {
    /// Reads a file and looks whether it may be changed; says why if not.
    pub fn open(path: &Path) -> Result<Self, Outcome> {
        let place = Place::of(path).map_err(|failure| failed(failure, NOTHING))?;
        Ok(InPlace { place, text: text_of(path)? })
    }

    /// As [`open`](Self::open), of a file that has to be there.
    pub fn open_book(path: &Path) -> Result<(Self, String), Outcome> {
        Ok((InPlace::open(path)?, text_of_book(path)?))
    }

    /// Puts the new text in the place of the old, with the owner and the permissions it had.
    pub fn put(&self, text: &str) -> io::Result<()> {
        self.place.put(text.as_bytes())
    }
}
