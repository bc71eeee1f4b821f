//! What the folder of each of several books is called. Knows names, and touches no disk.

use std::collections::HashMap;
use std::ffi::OsString;
use std::path::{Component, Path};

use unicode_normalization::UnicodeNormalization as _;

use crate::cli::Stopped;
use crate::cli::books::Named;

/// The name of each book's folder in `out`: that of its file without the ending; `Err` where that is no name for a folder,
/// or another book would go there, too.
pub fn of_each(books: &[Named], out: &Path) -> Vec<Result<OsString, Stopped>> {
    let names: Vec<OsString> = books.iter().map(|book| book.path.file_stem().unwrap_or_default().to_owned()).collect();
    let mut same: HashMap<String, Vec<usize>> = HashMap::new();
    for (index, name) in names.iter().enumerate().filter(|(index, _)| books[*index].refused.is_none()) {
        same.entry(as_some_disks_see_it(name)).or_default().push(index);
    }
    let folder = |index: usize| {
        let (book, name) = (&books[index], &names[index]);
        let key = as_some_disks_see_it(name);
        let mut parts = Path::new(name).components();
        let is_one_name = matches!((parts.next(), parts.next()), (Some(Component::Normal(_)), None));
        if !is_one_name || key.is_empty() {
            return Err(Stopped::refused(
                &format!("no folder can be named after {}; it was not printed", book.path.display()),
                "give the book another name, or build it alone",
            ));
        }
        match same.get(&key).into_iter().flatten().find(|other| **other != index) {
            Some(other) => Err(Stopped::refused(
                &format!(
                    "{} would go into the same folder as {}, {}; it was not printed",
                    book.path.display(),
                    books[*other].path.display(),
                    out.join(name).display()
                ),
                "give one of them another name, or build it alone into another folder: --out DIR",
            )),
            None => Ok(name.clone()),
        }
    };
    (0..books.len()).map(folder).collect()
}

/// Names that are one and the same to a disk that does not tell capitals from small letters, or ways to write an accent,
/// or that drops dots and spaces at the end, as those of other laptops do.
fn as_some_disks_see_it(name: &OsString) -> String {
    let composed: String = name.to_string_lossy().nfc().collect();
    composed.to_lowercase().trim_end_matches(['.', ' ']).to_owned()
}
