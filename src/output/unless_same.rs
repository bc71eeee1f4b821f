//! A file in the making, which is not begun before it differs from the one in its place: most files of a build say what they
//! said before. Knows paths, not what is in the files.

use std::fs::{self, File};
use std::io::{self, Read as _, Seek as _, Write};
use std::path::Path;

/// So much of the old file is looked at in one go, bytes.
const LOOK: usize = 64 * 1024;

/// What is written to it, as far as it does not stand in its place already.
#[derive(Debug)]
pub(super) struct UnlessSame<'a> {
    made: &'a Path,
    /// The file in its place, as long as both say the same.
    old: Option<Old>,
    new: Option<File>,
}

#[derive(Debug)]
struct Old {
    file: File,
    /// How much of it was seen, bytes.
    length: u64,
    /// Where it is read to.
    seen: Vec<u8>,
}

impl<'a> UnlessSame<'a> {
    /// One to be made at `made` and to be put at `place` then.
    pub fn new(made: &'a Path, place: &'a Path) -> Self {
        // A link is replaced itself, whatever it leads to; what cannot be read counts as another file.
        let is_file = fs::symlink_metadata(place).is_ok_and(|there| there.is_file());
        let old = is_file.then(|| File::open(place).ok()).flatten();
        UnlessSame { made, old: old.map(|file| Old { file, length: 0, seen: vec![0; LOOK] }), new: None }
    }

    /// Ends it: the file that was made, or `None` if that in its place says the same.
    ///
    /// # Errors
    /// Whatever the disk reports.
    pub fn finish(mut self) -> io::Result<Option<File>> {
        if self.old.as_mut().is_some_and(Old::is_at_end) {
            return Ok(None);
        }
        self.begin()?;
        Ok(self.new)
    }

    /// Makes the file, with what it has in common with the old one, unless it is made.
    fn begin(&mut self) -> io::Result<&mut File> {
        let new = match self.new.take() {
            Some(new) => new,
            None => {
                let mut new = File::create_new(self.made)?;
                self.old.take().map_or(Ok(()), |old| old.copy(&mut new))?;
                new
            }
        };
        Ok(self.new.insert(new))
    }
}

impl Write for UnlessSame<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let next = &bytes[..bytes.len().min(LOOK)];
        if self.old.as_mut().is_some_and(|old| old.goes_on_with(next)) {
            return Ok(next.len());
        }
        self.begin()?.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.new.as_mut().map_or(Ok(()), File::flush)
    }
}

impl Old {
    fn goes_on_with(&mut self, bytes: &[u8]) -> bool {
        let seen = &mut self.seen[..bytes.len()];
        let is_same = self.file.read_exact(seen).is_ok() && seen == bytes;
        if is_same {
            self.length += bytes.len() as u64;
        }
        is_same
    }

    fn is_at_end(&mut self) -> bool {
        self.file.read(&mut self.seen).is_ok_and(|more| more == 0)
    }

    /// Copies what was seen of it.
    fn copy(mut self, to: &mut File) -> io::Result<()> {
        self.file.rewind()?;
        let copied = io::copy(&mut self.file.take(self.length), to)?;
        if copied == self.length { Ok(()) } else { Err(io::ErrorKind::UnexpectedEof.into()) }
    }
}
