//! The files that a reading is taken into: the book or the table that holds the row, and the notes. Read, changed in memory, checked
//! and written; what is taken, the caller knows.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use cockpit_cards::book::edit::{self, Readings, Rows};
use cockpit_cards::book::{self, Book, Loaded, NoteColumn, NoteField, Problem, Source};
use cockpit_cards::comparing::with_input;
use cockpit_cards::disk::lock::Locks;
use cockpit_cards::disk::real::real;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::season::{Found, Noted, Options, Row};
use cockpit_cards::tuning::{Ground, Side};

use super::super::super::in_place::{InPlace, sound, text_of_book};
use super::super::super::{Outcome, complain, locked_files, machine_failed, refuse};
use super::super::add;
use super::row::{AskedRow, is_at};
use super::taking::{Taking, in_book};

const NOTHING: &str = "nothing was written";

/// The files as they are.
pub struct Files {
    /// The book, by the path it was named by.
    path: PathBuf,
    name: String,
    pub book: String,
}

/// The files as they are to be.
pub struct Changed {
    /// The file that holds the row: what the book calls it, where it is, its text before and after.
    row: Text,
    /// Whether that is the book itself.
    is_in_book: bool,
    notes: add::File,
    notes_after: String,
}

struct Text {
    name: String,
    path: PathBuf,
    /// `None` if it stays as it is.
    file: Option<InPlace>,
    before: String,
    after: String,
}

impl Files {
    pub fn read(path: &Path, name: &str) -> Result<Self, Outcome> {
        Ok(Files { path: path.to_owned(), name: name.to_owned(), book: text_of_book(path)? })
    }

    /// Looks whether the notes and the table of these settings can be written to; says so if not.
    pub fn check(&self, book: &Book, settings: &str) -> Result<(), Outcome> {
        add::File::check(book)?;
        let Some(Rows::Table(table)) = edit::rows_of(&self.book, settings) else { return Ok(()) };
        book::notes::check_is_text(&table).map_err(|wrong| refuse(&wrong.what, &wrong.instead))
    }

    /// Keeps every other run off the notes and the table of these settings, which other books may have, too.
    pub fn lock_others(&self, book: &Book, settings: &str) -> Result<Locks, Outcome> {
        let (_, notes) = add::File::place(book, &self.path);
        match edit::rows_of(&self.book, settings) {
            Some(Rows::Table(table)) => locked_files(&[&self.beside(&table), &notes]),
            _ => locked_files(&[&notes]),
        }
    }

    /// The path of a file that the book names.
    fn beside(&self, name: &str) -> PathBuf {
        real(&self.path).parent().unwrap_or(Path::new("")).join(name)
    }

    /// The book with this text, and with these files as they would be.
    pub fn loaded(&self, text: &str, files: &[(&str, &str)]) -> Result<Loaded, Outcome> {
        book::from_path_with_files(&self.path, text, files, has_glyph)
            .map_err(|error| machine_failed(&self.name, &error))
    }

    /// Both files with what is taken in them.
    pub fn changed(&self, book: &Book, row: &AskedRow<'_>, taken: &[Taking], when: &str) -> Result<Changed, Outcome> {
        let id = &row.settings.id.value;
        let Some(rows) = edit::rows_of(&self.book, id) else {
            return Err(refuse(
                &format!("{id} are carried over from the settings of another sail, and no row of them is in the book"),
                &format!("write settings `id: {id}` with a row of their own first; {NOTHING}"),
            ));
        };
        let wanted = wanted(book, row, taken, when);
        let book_text = || Text {
            name: self.name.clone(),
            path: self.path.clone(),
            file: None,
            before: self.book.clone(),
            after: String::new(),
        };
        let refused = |problem: Problem, name: &str, text: &str| {
            complain(&mut [problem], &[Source { name: name.to_owned(), text: text.to_owned(), is_sheet: false }]);
            refuse(NOTHING, "see above")
        };
        let (mut text, is_in_book) = match &rows {
            Rows::Inline => (book_text(), true),
            Rows::Table(name) => {
                let path = self.beside(name);
                let before = text_of_book(&path)?;
                (Text { name: name.clone(), path, file: None, before, after: String::new() }, false)
            }
        };
        let writes = taken.iter().any(|taking| taking.found == Found::Change);
        text.after = match is_in_book {
            true => edit::with_readings(&text.before, &wanted),
            // A table has no room for remarks, and what is kept stands there.
            false if !writes => Ok(text.before.clone()),
            false => edit::with_cells(&text.before, &wanted),
        }
        .map_err(|problem| refused(problem, &text.path.display().to_string(), &text.before))?;

        // Whether both may be written to is looked at before either is.
        if text.before != text.after {
            text.file = Some(InPlace::open(&text.path)?);
        }
        let notes = add::File::open(add::File::place(book, &self.path))?;
        let mut notes_after = notes.text().to_owned();
        for taking in taken {
            let values = line(book, row, taking, when);
            notes_after = book::notes::with_line(&notes_after, &values, book)
                .map_err(|wrong| refuse(&format!("{}: {}", notes.path.display(), wrong.what), &wrong.instead))?;
        }
        Ok(Changed { row: text, is_in_book, notes, notes_after })
    }
}

/// What is to stand in the row.
fn wanted<'a>(book: &Book, row: &AskedRow<'a>, taken: &[Taking], when: &str) -> Readings<'a> {
    let day = when.split([' ', 'T']).next().unwrap_or_default();
    let mut readings = Vec::new();
    let mut remarks = Vec::new();
    for taking in taken {
        let Some(control) = book.controls.get(taking.control) else { continue };
        let reading = in_book(control, taking.noted);
        remarks.push(format!("{} {}: {}, {day}", reading.control, reading.full, taking.ground));
        // What is kept stays as it is written.
        if taking.found == Found::Change {
            readings.push(reading);
        }
    }
    let settings = &row.settings.id.value;
    Readings { settings, wind: row.wind, angle: row.angle, units: book.units, readings, remarks }
}

/// The line of the notes that says what was taken.
fn line(book: &Book, row: &AskedRow<'_>, taking: &Taking, when: &str) -> Vec<(NoteColumn, String)> {
    let found = match taking.found {
        Found::Keep => "keep",
        Found::Change => "change",
    };
    let mut values = vec![
        (NoteColumn::Always(NoteField::When), when.to_owned()),
        (NoteColumn::Always(NoteField::Settings), row.settings.id.value.clone()),
        (NoteColumn::Always(NoteField::Wind), row.wind.written_number(book.units.wind)),
        (NoteColumn::Always(NoteField::Remark), taking.question.clone()),
        (NoteColumn::Always(NoteField::Found), found.to_owned()),
    ];
    let angle = row.angle.map(|angle| angle.as_written().trim_end_matches('°').to_owned());
    values.extend(angle.map(|angle| (NoteColumn::Always(NoteField::Angle), angle)));
    let Some(control) = book.controls.get(taking.control) else { return values };
    match taking.noted {
        Noted::Sides { port, starboard } => {
            for (side, reading) in Side::BOTH.into_iter().zip([port, starboard]) {
                let column = NoteColumn::Control(taking.control, Some(side));
                values.extend(reading.map(|reading| (column, control.scale.print(reading.least))));
            }
        }
        noted => values.push((NoteColumn::Control(taking.control, None), in_book(control, noted).full)),
    }
    values
}

impl Changed {
    /// The book as it would be, if it is sound and differs from what it is in nothing else.
    pub fn checked(&self, files: &Files, before: &Book, row: &AskedRow<'_>, taken: &[Taking]) -> Result<Book, Outcome> {
        let text = if self.is_in_book { &self.row.after } else { &files.book };
        let mut others = vec![(self.notes.name.as_str(), self.notes_after.as_str())];
        if !self.is_in_book {
            others.push((&self.row.name, &self.row.after));
        }
        let after = files.loaded(text, &others)?;
        let (after, _) = sound(after, &files.name, "nothing was written: with this reading the book has errors")?;
        let old = before.sailed.as_ref().map_or(&[][..], |sailed| sailed.notes.as_slice());
        let new = after.sailed.as_ref().map_or(&[][..], |sailed| sailed.notes.as_slice());
        if new.len() != old.len() + taken.len() || new.get(..old.len()) != Some(old) {
            return Err(refuse(
                &format!("{NOTHING}: a line at the end of {} would not be read as one", self.notes.path.display()),
                "look for a quotation mark that is left open near the end of the file",
            ));
        }
        if !differs_only_so(before, &after, row, taken) {
            return Err(refuse(
                &format!("{NOTHING}: {} would change other settings of the book too", self.row.path.display()),
                "give these settings rows or a table of their own, or change it by hand",
            ));
        }
        Ok(after)
    }

    /// The lines that change, with the sign of what goes and of what comes.
    pub fn shown(&self, files: &Files, is_dry: bool) -> String {
        let mut text = String::new();
        if self.row.before != self.row.after {
            let verb = if is_dry { "would change in" } else { "changed in" };
            let name = if self.is_in_book { files.name.clone() } else { self.row.path.display().to_string() };
            text.push_str(&format!("{verb} {name}:\n{}", differing(&self.row.before, &self.row.after)));
        }
        let verb = if is_dry { "would be added to" } else { "added to" };
        let before = self.notes.text();
        text.push_str(&format!("{verb} {}:\n{}", self.notes.path.display(), differing(before, &self.notes_after)));
        text
    }

    /// Writes what holds the row first and the notes second. A run that is killed in between leaves the book with the reading that was
    /// decided on, which every card then shows as sailed; without the line in the notes none shows it as proven. So the card says less
    /// than is known, never more. What was kept changes nothing in the book, and is proposed again.
    pub fn write(&self, files: &Files) -> Result<(), Outcome> {
        let failed = |error: std::io::Error| machine_failed(NOTHING, &error);
        if let Some(file) = &self.row.file {
            file.put(&self.row.after).map_err(failed)?;
        }
        self.notes.file.put(&self.notes_after).map_err(|error| {
            machine_failed(
                &format!("{} is changed, and {} could not be", files.name, self.notes.path.display()),
                &error,
            )
        })
    }
}

/// The readings of each row that is written and not carried over, by table and in the order of its controls.
type Known = BTreeMap<(String, Row), Vec<(String, Option<Noted>)>>;

fn known(book: &Book) -> Known {
    let mut known = Known::new();
    let all = with_input(book, (&[], BTreeMap::new()), Options::default(), |input| {
        for (settings, table) in book.settings.iter().zip(input.tables) {
            let own = settings.all_rows().zip(&table.rows).enumerate();
            for (at, (_, row)) in own.filter(|(_, (of_book, _))| of_book.ground != Ground::CarriedOver) {
                let reading = |control: &cockpit_cards::season::Control<'_>| {
                    (control.id.to_owned(), control.book.get(at).copied().flatten())
                };
                known.insert((table.id.to_owned(), *row), table.controls.iter().map(reading).collect());
            }
        }
    });
    all.map_or_else(Known::new, |()| known)
}

/// Whether a book has what was taken, and all else as it was.
fn differs_only_so(before: &Book, after: &Book, row: &AskedRow<'_>, taken: &[Taking]) -> bool {
    let (before, after) = (known(before), known(after));
    let taken: Vec<(&str, Noted)> = taken
        .iter()
        .filter_map(|taking| Some((row.book.controls.get(taking.control)?.id.value.as_str(), taking.noted)))
        .collect();
    let is_it = |(settings, own): &(String, Row)| *settings == row.settings.id.value && is_at(own, row.wind, row.angle);
    let is_right = |place: &(String, Row), control: &str, now: Option<Noted>| {
        let old = || before.get(place).and_then(|own| own.iter().find(|(id, _)| id == control)?.1);
        match taken.iter().find(|(id, _)| is_it(place) && *id == control) {
            Some((_, noted)) => now.is_some_and(|now| now == *noted || now.from(noted) == Some(0.0)),
            None => now == old(),
        }
    };
    let are_right = after.iter().all(|(place, own)| own.iter().all(|(id, now)| is_right(place, id, *now)));
    let is_there = after.keys().any(is_it);
    let are_kept = before.keys().all(|place| after.contains_key(place));
    let more = after.len() - before.len().min(after.len());
    are_right && is_there && are_kept && more <= usize::from(!before.keys().any(is_it))
}

/// The lines that go and those that come.
fn differing(before: &str, after: &str) -> String {
    let (old, new): (Vec<&str>, Vec<&str>) = (before.lines().collect(), after.lines().collect());
    let head = old.iter().zip(&new).take_while(|(a, b)| a == b).count();
    let rest = old.len().min(new.len()) - head;
    let tail = old.iter().rev().zip(new.iter().rev()).take(rest).take_while(|(a, b)| a == b).count();
    let (old, new) = (&old[head..old.len() - tail], &new[head..new.len() - tail]);
    // As many of each: line by line, without those that stay between two that change.
    let changes = |at: usize| old.len() != new.len() || old.get(at) != new.get(at);
    let of = |sign: char, lines: &[&str]| {
        let lines = lines.iter().enumerate().filter(|(at, _)| changes(*at));
        lines.map(|(_, line)| format!("  {sign} {line}\n")).collect::<String>()
    };
    of('-', old) + &of('+', new)
}
