//! What the commands that change a file in place have in common: a sound book before and after, one answer from the terminal, the
//! new text in the place of the old. Knows no section of a book.

use std::fs;
use std::io::{self, BufRead as _, Write as _};
use std::path::{Path, PathBuf};

use cockpit_cards::book::{Book, Loaded, Problem};
use cockpit_cards::door::{self, Passed};
use cockpit_cards::editions::store::folder_of;
use cockpit_cards::output::write::write_all;
use cockpit_cards::printing;

use super::{Outcome, complain, count, refuse};

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

/// Puts the new text in the place of the old, with the permissions it had.
pub fn write_back(place: &Path, text: String) -> io::Result<()> {
    let permissions = fs::metadata(place)?.permissions();
    write_all(folder_of(place), &[(PathBuf::from(place.file_name().unwrap_or_default()), text)])?;
    fs::set_permissions(place, permissions)
}
