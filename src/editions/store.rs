//! The editions file on the disk, beside its book, and the lock that keeps two runs apart. Knows paths, not what the
//! records mean.

use std::io;
use std::path::{Path, PathBuf};

use unicode_normalization::UnicodeNormalization as _;

use super::record::Editions;
use crate::disk::folder_of;
use crate::disk::lock::{self, Locks};
use crate::disk::open::{self, Found, NoFile};
use crate::disk::place::Place;
use crate::disk::real::{identity, real};
use crate::limits::MAX_EDITIONS_BYTES;
use crate::wrong::{Wrong, shown};

pub use crate::disk::Failure;

/// `boat.editions.yaml` for `boat.yaml`: beside the file, where the book is named by a link to it.
pub fn path_of(book: &Path) -> PathBuf {
    let book = real(book);
    let mut name = book.file_stem().unwrap_or_default().to_owned();
    name.push(".editions.yaml");
    book.with_file_name(name)
}

/// Takes the lock of a book and of its editions file. If another run holds it, tells so by calling `waiting` and waits.
///
/// # Errors
/// The folder is read-only, or the file system knows no locks.
pub fn lock(book: &Path, waiting: impl FnMut()) -> io::Result<Locks> {
    let editions = path_of(book);
    // Several books may have links to one file. Where it is to be brought back to a place that is gone, it is read by nobody.
    let behind_link = Some(real(&editions)).filter(|file| folder_of(file).is_dir());
    let files = [Some(editions), behind_link].into_iter().flatten();
    lock::take(files.map(|file| lock::beside(&file)), waiting)
}

/// The editions of a book; `None` if it has no editions file yet.
///
/// # Errors
/// The file is damaged, of a later form, another book's, or cannot be read; it is left as it is.
pub fn load(book: &Path) -> Result<Option<Editions>, Failure> {
    let path = path_of(book);
    let about = |wrong: Wrong| Failure::Bad(Wrong { what: format!("{}: {}", path.display(), wrong.what), ..wrong });
    let bytes = match open::read(&path, MAX_EDITIONS_BYTES).map_err(Failure::Machine)? {
        Found::File(bytes) => bytes,
        Found::Missing => return Ok(None),
        Found::NoFile(what) => return Err(about(no_file(&what))),
        Found::TooLarge => {
            let what = format!("it is larger than {} MB", MAX_EDITIONS_BYTES / 1_000_000);
            return Err(about(Wrong::new(what, "bring back the last good one; it was not touched")));
        }
    };
    let text = String::from_utf8(bytes).map_err(|_| {
        about(Wrong::new("it is damaged: it is no text", "bring back the last good one; it was not touched"))
    })?;
    let editions = Editions::parse(&text).map_err(about)?;
    check_book(&editions, book).map_err(about)?;
    Ok(Some(editions))
}

fn no_file(what: &NoFile) -> Wrong {
    let instead = match what {
        NoFile::LeadsNowhere(_) => "bring back the editions it leads to; if nothing was ever released, remove the link",
        _ => "bring back the editions file; if nothing was ever released, move what stands in its place away",
    };
    Wrong::new(format!("it is {}", what.words()), instead)
}

/// Whether the editions are of this book. Two books whose names differ in nothing but the ending have the same name for
/// their editions file, and only one of them can have it.
fn check_book(editions: &Editions, book: &Path) -> Result<(), Wrong> {
    let name = name_of(book);
    match &editions.book {
        Some(other) if !other.nfc().eq(name.nfc()) => Err(Wrong::new(
            format!("it holds the editions of {}, and this book is {}", shown(other), shown(&name)),
            format!(
                "give one of the two another name; if this is the same book under a new one, write `book: {name}` there"
            ),
        )),
        _ => Ok(()),
    }
}

/// The name of the book's file, as the disk has it.
fn name_of(book: &Path) -> String {
    identity(book).file_name().unwrap_or_default().to_string_lossy().into_owned()
}

/// The place of a book's editions file, to be put there.
///
/// # Errors
/// Something else is there, or it may not be written to.
pub fn place(book: &Path) -> Result<Place, Failure> {
    Place::of(&path_of(book))
}

/// Writes the editions file of a book whole: whoever reads it finds the old one or the new one.
///
/// # Errors
/// Whatever the disk reports; the old file is then as it was.
pub fn save(book: &Path, place: &Place, editions: &Editions) -> io::Result<()> {
    let mut named = editions.clone();
    named.book = Some(name_of(book));
    place.put(named.text().map_err(io::Error::other)?.as_bytes())
}
