//! `sailed add`: one more line at the end of the notes, in the file's own form. What was set comes from the command line, or is
//! asked for on the terminal, control by control in the order of the hand-over card.

use std::io::{self, IsTerminal as _};
use std::path::{Path, PathBuf};

use clap::Args;
use cockpit_cards::book::edit::{add_entry, scalar};
use cockpit_cards::book::{
    self, Book, Control, Level, Loaded, NoteColumn, NoteField, Problem, Settings, notes, suggest,
};
use cockpit_cards::cards::parts::matrix::columns_at;
use cockpit_cards::cards::parts::sided::{self, AtWind};
use cockpit_cards::disk::real::real;
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::tuning::watches::time_zone;
use cockpit_cards::tuning::{Angle, Side, Told, Wind};
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};

use super::super::chosen::{Usage, named_or_here};
use super::super::in_place::{InPlace, answer, sound};
use super::super::{Outcome, Stopped, complain, locked, locked_files, machine_failed, open, refuse, say_done};
use super::OfBook;

const USAGE: Usage = Usage { before: "sailed add j1-upwind 12 backstay=4 fast --book", after: "", has_example: false };
const SOUND_FIRST: &str = "the book has to be sound before anything is noted";
/// The notes of the book that a folder usually has.
const USUAL_BOOK: &str = "boat";
const USUAL_NOTES: &str = "sailed.csv";
/// As a person writes it; with the distance from UTC where the clock shows a time twice.
const ON_THE_CLOCK: &str = "%Y-%m-%d %H:%M";
const FROM_UTC: &str = "%Y-%m-%d %H:%M%:z";
/// What is typed for what was not noted.
const NOT_NOTED: &str = "-";
const VERDICTS: [&str; 3] = ["fast", "ok", "slow"];

/// What is not given stays blank, which says that it was not noted; without any reading they are asked for, where there is a
/// terminal to ask on.
#[derive(Args)]
pub struct Add {
    /// The id of the settings, or the sails: j1-upwind, main+j1
    settings: String,
    /// The wind, as the rows of the settings have it: 12
    wind: String,
    /// What was set, such as backstay=4½, jib_lead=3..4 or \"jib_lead port=3\", and how it went: fast, ok or slow
    #[arg(value_name = "CONTROL=READING|fast|ok|slow")]
    set: Vec<String>,
    #[command(flatten)]
    of: OfBook,
    /// When it was set: `2027-06-12 14:02`; this minute if it is left out, - for not noted
    #[arg(long, value_name = "TIME")]
    when: Option<String>,
    /// When something was changed again: 14:12
    #[arg(long, value_name = "TIME")]
    until: Option<String>,
    /// The true wind angle
    #[arg(long)]
    angle: Option<String>,
    /// The sea, in a word: flat, chop
    #[arg(long)]
    sea: Option<String>,
    /// How many were below
    #[arg(long)]
    below: Option<String>,
    /// Who steered
    #[arg(long)]
    helm: Option<String>,
    /// The trial that it is a leg of
    #[arg(long)]
    trial: Option<String>,
    /// The speed through the water, in knots
    #[arg(long)]
    speed: Option<String>,
    /// Who writes it
    #[arg(long)]
    who: Option<String>,
    /// Anything else, in words
    #[arg(long)]
    note: Option<String>,
    /// Whose clock the notes go by, for a book that has no notes and no watches yet: Europe/Copenhagen
    #[arg(long, value_name = "NAME")]
    time_zone: Option<String>,
}

/// The notes of a book: what the book calls the file, where it is, and what is in it.
pub struct File {
    pub name: String,
    pub path: PathBuf,
    pub file: InPlace,
}

impl Add {
    pub fn run(self) -> Result<Outcome, Outcome> {
        let path = named_or_here(self.of.book.as_deref(), USAGE)?;
        let opened = open(&path)?;
        let name = opened.name;
        let (before, _) = sound(opened.loaded, &name, SOUND_FIRST)?;
        File::check(&before)?;
        let mut values = self.said(&before)?;
        if self.set.is_empty() && io::stdin().is_terminal() && io::stderr().is_terminal() {
            self.ask(&before, &mut values)?;
        }

        let _lock = locked(&path)?;
        let (book_file, text) = InPlace::open_book(&path)?;
        let now = reread(&path, &text, &name)?;
        let clock = self.clock(&now)?;
        self.date(&clock, &mut values);
        // Two books may have their notes in one file.
        let place = File::place(&now, &path);
        let _lock_of_notes = locked_files(&[&place.1])?;
        let file = File::open(place)?;
        let named = self.naming(&now, &text, &file)?;
        // Read anew under the lock of the notes: another book's run may have added to them.
        let now = reread(&path, &text, &name)?;
        let changed = file.with_line(&now, &values).map_err(Stopped::say)?;
        let book_text = named.as_deref().unwrap_or(&text);
        let after = book::from_path_with_files(&path, book_text, &[(&file.name, &changed)], has_glyph);
        let after = after.map_err(|error| machine_failed(&name, &error))?;
        let line = adds_one(&now, after, &name)?;

        // The notes first: a book names no file that is not there.
        let failed = |error: io::Error| machine_failed("nothing was written", &error);
        file.file.put(&changed).map_err(failed)?;
        if let Some(named) = named {
            book_file.put(&named).map_err(|error| machine_failed("the book was not changed", &error))?;
        }
        let written = changed.lines().last().unwrap_or_default();
        Ok(say_done(&format!(
            "{}\n\nadded to {}, line {line}:\n  {written}\n",
            now.boat.name.value,
            file.path.display()
        )))
    }

    /// What the command line says, by column.
    fn said(&self, book: &Book) -> Result<Vec<(NoteColumn, String)>, Outcome> {
        let given = [
            (NoteField::When, self.when.as_ref()),
            (NoteField::Until, self.until.as_ref()),
            (NoteField::Settings, Some(&self.settings)),
            (NoteField::Wind, Some(&self.wind)),
            (NoteField::Angle, self.angle.as_ref()),
            (NoteField::Sea, self.sea.as_ref()),
            (NoteField::Below, self.below.as_ref()),
            (NoteField::Helm, self.helm.as_ref()),
            (NoteField::Trial, self.trial.as_ref()),
            (NoteField::Speed, self.speed.as_ref()),
            (NoteField::Who, self.who.as_ref()),
            (NoteField::Remark, self.note.as_ref()),
        ];
        let given = given.into_iter().filter_map(|(field, text)| Some((NoteColumn::Always(field), text?.clone())));
        let mut values: Vec<(NoteColumn, String)> = given.collect();
        for word in &self.set {
            let value = match word.split_once('=') {
                Some((control, reading)) => set(control.trim(), reading.trim(), book)?,
                None => verdict(word)?,
            };
            if values.iter().any(|(column, _)| *column == value.0) {
                let what = format!("`{word}` says something that was said before");
                return Err(refuse(&what, "say each thing once"));
            }
            values.push(value);
        }
        Ok(values)
    }

    /// Asks for what was set, in the order of the hand-over card, and for how it went.
    fn ask(&self, book: &Book, values: &mut Vec<(NoteColumn, String)>) -> Result<(), Outcome> {
        let failed = |error: io::Error| machine_failed("the terminal", &error);
        let settings = book.settings(&self.settings);
        let on_card = settings.map(|settings| self.on_card(book, settings)).unwrap_or_default();
        complain_in_words("Enter: as the card says. -: not noted. none: not used. 4..5: played between the two.\n");
        for column in book.note_columns() {
            let NoteColumn::Control(index, side) = column else { continue };
            let Some(control) = book.controls.get(index) else { continue };
            // Of other sails nobody asks.
            if settings.is_some_and(|settings| !settings.controls.contains(&index)) {
                continue;
            }
            let card = on_card.iter().find(|(of, _)| *of == index).and_then(|(_, told)| card_says(control, told, side));
            let side = side.map(|side| format!(" {}", side.name())).unwrap_or_default();
            let question = match &card {
                Some(card) => format!("{}{side} [{card}]", control.name),
                None => format!("{}{side} [not on the card]", control.name),
            };
            if let Some(reading) = asked_reading(control, &question, card).map_err(failed)? {
                values.push((column, reading));
            }
        }
        let more = [
            (NoteField::Speed, "speed in knots", self.speed.is_some()),
            (NoteField::Verdict, "how did it go: fast, ok or slow", false),
            (NoteField::Who, "who writes this", self.who.is_some()),
            (NoteField::Remark, "anything else", self.note.is_some()),
        ];
        for (field, question, _) in more.into_iter().filter(|(.., given)| !given) {
            if let Some(text) = answer(question).map_err(failed)?.filter(|text| text != NOT_NOTED) {
                values.push((NoteColumn::Always(field), text));
            }
        }
        Ok(())
    }

    /// What the card says at this wind, and angle, of each control by its index.
    fn on_card(&self, book: &Book, settings: &Settings) -> Vec<(usize, AtWind)> {
        let number = |text: &str| text.trim_end_matches(|c: char| !c.is_ascii_digit()).parse::<f64>().ok();
        let Some(wind) = number(&self.wind).map(|wind| Wind::of(wind, book.units.wind)) else { return Vec::new() };
        let angle = self.angle.as_deref().and_then(number).map(Angle::degrees);
        let columns = settings.controls.iter().zip(columns_at(book, settings, angle));
        columns.filter_map(|(index, column)| Some((*index, sided::at(&column?, wind)))).collect()
    }

    /// The clock that the notes go by.
    fn clock(&self, book: &Book) -> Result<TimeZone, Outcome> {
        if let Some(sailed) = &book.sailed {
            return Ok(sailed.clock.clone());
        }
        if let Some(name) = &self.time_zone {
            return time_zone(name).map_err(|error| refuse(&error.what(), &error.instead()));
        }
        let watches = book.race.watches.as_ref().map(|watches| watches.race.start().time_zone().clone());
        watches.ok_or_else(|| {
            refuse(
                "nothing says which clock the notes go by: the book has no `watches`",
                "give it once, and it is written into the book: --time-zone Europe/Copenhagen",
            )
        })
    }

    /// Dates the note to this minute, unless its time was given.
    fn date(&self, clock: &TimeZone, values: &mut Vec<(NoteColumn, String)>) {
        let column = NoteColumn::Always(NoteField::When);
        match self.when.as_deref() {
            Some(NOT_NOTED) => values.retain(|(of, _)| *of != column),
            Some(_) => {}
            None => values.push((column, moment_on(clock))),
        }
    }

    /// The text of the book once it names the notes; `None` if it does.
    fn naming(&self, book: &Book, text: &str, file: &File) -> Result<Option<String>, Outcome> {
        if book.sailed.is_some() {
            return Ok(None);
        }
        let mut entries = vec![format!("file: {}", scalar(&file.name))];
        if let Some(name) = &self.time_zone {
            entries.push(format!("time_zone: {}", quoted(name)));
        }
        let changed = entries.iter().try_fold(text.to_owned(), |text, entry| {
            let (key, value) = entry.split_once(": ").unwrap_or((entry, ""));
            add_entry(&text, "sailed", key, value)
        });
        changed.map(Some).map_err(|problem| refuse(&problem.what, &problem.instead))
    }
}

/// This minute, as a note has it.
pub fn moment_on(clock: &TimeZone) -> String {
    let now = ZonedDateTime::new(Timestamp::now(), clock.clone());
    let is_twice = clock.to_ambiguous_timestamp(now.datetime()).is_ambiguous();
    now.strftime(if is_twice { FROM_UTC } else { ON_THE_CLOCK }).to_string()
}

/// What the card says of a column of the notes, as it would be noted; `None` where it says nothing, or has two marks for one
/// column.
fn card_says(control: &Control, told: &AtWind, side: Option<Side>) -> Option<String> {
    let told = match (side, told.settled()) {
        (Some(Side::Port), told) => *told.on(Side::Port),
        (Some(Side::Starboard), told) => *told.on(Side::Starboard),
        (None, told) => *told.alike()?,
    };
    match told {
        Told::Set(setting) => Some(control.scale.print(setting.reading)),
        Told::NotUsed => Some(book::NOT_USED.to_owned()),
        Told::Unknown => None,
    }
}

/// A zone's name has a slash in it, which no bare word of ours has.
fn quoted(name: &str) -> String {
    let is_plain = name.chars().all(|letter| letter.is_ascii_alphanumeric() || matches!(letter, '/' | '_' | '-' | '+'));
    if is_plain { name.to_owned() } else { scalar(name) }
}

/// `backstay=4½`: the column, and the reading as it was typed.
fn set(control: &str, reading: &str, book: &Book) -> Result<(NoteColumn, String), Outcome> {
    let found = notes::column(control, &book.controls);
    let Some(column @ NoteColumn::Control(index, _)) = found else {
        let ids = book.controls.iter().map(|control| control.id.value.as_str());
        return Err(refuse(&format!("there is no control {control}"), &suggest::advice(control, ids)));
    };
    let checked = book.controls.get(index).map(|control| notes::reading(control, reading));
    match checked {
        Some(Err(wrong)) => Err(refuse(&format!("{control}: {}", wrong.what), &wrong.instead)),
        _ => Ok((column, reading.to_owned())),
    }
}

fn verdict(word: &str) -> Result<(NoteColumn, String), Outcome> {
    if VERDICTS.contains(&word.to_lowercase().as_str()) {
        return Ok((NoteColumn::Always(NoteField::Verdict), word.to_lowercase()));
    }
    let what = format!("`{word}` is neither what was set nor how it went");
    Err(refuse(
        &what,
        &format!("write a control with its reading, like backstay=4, or {}", suggest::advice(word, VERDICTS)),
    ))
}

/// One reading from the terminal, asked for until it is one; `None` if it was not noted.
fn asked_reading(control: &Control, question: &str, card: Option<String>) -> io::Result<Option<String>> {
    loop {
        let Some(text) = answer(question)? else { return Ok(card) };
        if text == NOT_NOTED {
            return Ok(None);
        }
        match notes::reading(control, &text) {
            Ok(_) => return Ok(Some(text)),
            Err(wrong) => complain_in_words(&format!("  {}: {}\n", wrong.what, wrong.instead)),
        }
    }
}

impl File {
    /// What the book calls its notes, or is to call them, and where they are.
    pub fn place(book: &Book, path: &Path) -> (String, PathBuf) {
        let path = real(path);
        let stem = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let new = if stem == USUAL_BOOK { USUAL_NOTES.to_owned() } else { format!("{stem}-{USUAL_NOTES}") };
        let name = book.sailed.as_ref().map_or(new, |sailed| sailed.file.value.clone());
        let path = path.parent().unwrap_or(Path::new("")).join(&name);
        (name, path)
    }

    /// Looks whether the notes of a book can be written to; says so if not.
    pub fn check(book: &Book) -> Result<(), Outcome> {
        let Some(sailed) = &book.sailed else { return Ok(()) };
        notes::check_is_text(&sailed.file.value).map_err(|wrong| refuse(&wrong.what, &wrong.instead))
    }

    /// The notes at their place, as they are now.
    pub fn open((name, path): (String, PathBuf)) -> Result<Self, Outcome> {
        let file = InPlace::open(&path)?;
        Ok(File { name, path, file })
    }

    /// What is in the file; nothing if it is yet to be started.
    pub fn text(&self) -> &str {
        self.file.text.as_deref().unwrap_or_default()
    }

    fn with_line(&self, book: &Book, values: &[(NoteColumn, String)]) -> Result<String, Stopped> {
        notes::with_line(self.text(), values, book)
            .map_err(|wrong| Stopped::refused(&format!("{}: {}", self.path.display(), wrong.what), &wrong.instead))
    }
}

/// The book as it is on the disk, once nobody else changes it.
fn reread(path: &Path, text: &str, name: &str) -> Result<Book, Outcome> {
    let now = book::from_path_with(path, text, has_glyph).map_err(|error| machine_failed(name, &error))?;
    Ok(sound(now, name, SOUND_FIRST)?.0)
}

/// Whether the book with the new text has the notes that it had, and just one more; its line. Says so if not.
fn adds_one(before: &Book, after: Loaded, name: &str) -> Result<usize, Outcome> {
    let Loaded { book, mut problems, sources, .. } = after;
    let Some(after) = book else {
        complain(&mut problems, &sources);
        return Err(refuse("nothing was written: the note cannot be read", "see above"));
    };
    let old = before.sailed.as_ref().map_or(&[][..], |sailed| sailed.notes.as_slice());
    let new = after.sailed.as_ref().map_or(&[][..], |sailed| sailed.notes.as_slice());
    match new.split_last() {
        // A file that stood there unnamed has notes that the book knew nothing of.
        Some((last, others)) if before.sailed.is_none() || others == old => {
            let mut told: Vec<Problem> =
                problems.into_iter().filter(|problem| problem.level == Level::Warning).collect();
            complain(&mut told, &sources);
            Ok(last.line)
        }
        _ => Err(refuse(
            &format!("nothing was written: a line at the end of the notes of {name} would not be read as one"),
            "look for a quotation mark that is left open near the end of the file",
        )),
    }
}

fn complain_in_words(words: &str) {
    super::super::complain_in_words(words);
}
