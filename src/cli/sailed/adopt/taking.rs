//! What is taken into a row: what the comparison proposes for it, or what a person chose. Nothing that the comparison did not propose,
//! unless a person typed it. Writes nothing.

use std::collections::BTreeMap;

use cockpit_cards::book::{Control, NOT_USED, NoteColumn, edit, notes, suggest};
use cockpit_cards::cards::parts::words::bare_words;
use cockpit_cards::comparing::told;
use cockpit_cards::season::propose::Answer;
use cockpit_cards::season::{Asking, Cell, Comparison, Found, Input, Note, Noted, Reading, print, row_of};
use cockpit_cards::tuning::Side;

use super::super::super::{Outcome, refuse};
use super::row::AskedRow;

/// One control's reading that is taken into the row.
#[derive(Clone, Debug, PartialEq)]
pub struct Taking {
    /// Its index among the controls of the book.
    pub control: usize,
    pub noted: Noted,
    pub found: Found,
    /// What was asked and what came of it, as the notes have it.
    pub question: String,
    /// What the reading rests on, as the remark behind the row has it.
    pub ground: String,
    /// What the comparison says of it, for who is asked.
    pub why: Vec<String>,
    /// Whether a person gave the reading, so that nobody needs to be asked.
    pub was_typed: bool,
}

impl Taking {
    /// Whether the same comes of it.
    pub fn is_as(&self, other: &Self) -> bool {
        (self.control, self.noted, self.found) == (other.control, other.noted, other.found)
    }
}

/// All that is taken, and what is told of the rest.
pub struct Taken {
    pub taken: Vec<Taking>,
    pub told: Vec<String>,
}

/// The row that is asked about, with the comparison.
pub struct Asked<'a> {
    pub row: &'a AskedRow<'a>,
    pub input: &'a Input<'a>,
    pub comparison: &'a Comparison,
}

/// A reading as it was typed for a control.
#[derive(Clone, Copy)]
enum Typed {
    Both(Noted),
    Sides { port: Option<Reading>, starboard: Option<Reading> },
}

impl Asked<'_> {
    /// What the words of the command line ask for: controls whose proposals are taken, and readings that were chosen.
    pub fn of_words(&self, words: &[String]) -> Result<Taken, Outcome> {
        let mut named = Vec::new();
        let mut typed: BTreeMap<usize, Typed> = BTreeMap::new();
        for word in words {
            match word.split_once('=') {
                Some((name, reading)) => self.add_typed(&mut typed, name.trim(), reading.trim())?,
                None => named.push(self.control(word)?.0),
            }
        }
        if let Some(twice) = named.iter().find(|control| typed.contains_key(control)) {
            let name = &self.of(*twice)?.name;
            return Err(refuse(&format!("{name} is named with a reading and without"), "say each control once"));
        }
        let mut taken = if words.is_empty() {
            self.all_proposed()?
        } else {
            let mut taken = Taken { taken: Vec::new(), told: Vec::new() };
            for control in named {
                self.add_proposed(&mut taken, control)?;
            }
            taken
        };
        for (control, typed) in typed {
            let noted = self.both(control, typed)?;
            self.add_chosen(&mut taken, control, noted, ("chosen by hand", "chosen"))?;
        }
        Ok(taken)
    }

    /// The readings of the note on a line of the notes' file.
    pub fn of_note(&self, line: usize, words: &[String]) -> Result<Taken, Outcome> {
        let note = self.note(line)?;
        let mut wanted = Vec::new();
        for word in words {
            if word.contains('=') {
                return Err(refuse(
                    &format!("`{word}` gives a reading, and so does the note"),
                    "name the control alone",
                ));
            }
            wanted.push(self.control(word)?.0);
        }
        let day = note.when.map(|when| {
            let clock = self.row.book.sailed.as_ref().map_or(jiff::tz::TimeZone::UTC, |sailed| sailed.clock.clone());
            clock.to_datetime(when).date().to_string()
        });
        let day = day.unwrap_or_else(|| format!("on line {line}"));
        let words = (format!("as in the note of {day}"), format!("as noted {day}"));
        let mut taken = Taken { taken: Vec::new(), told: Vec::new() };
        for index in &self.row.settings.controls {
            let control = self.of(*index)?;
            let is_wanted = wanted.is_empty() || wanted.contains(index);
            match note.reading_of(&control.id.value).filter(|_| is_wanted) {
                Some(noted) => {
                    self.check_still(control, noted)?;
                    self.check_measured(control, *index, note)?;
                    self.add_chosen(&mut taken, *index, settled(control, noted), (&words.0, &words.1))?;
                }
                None if wanted.contains(index) => {
                    let what = format!("the note on line {line} does not say how {} was set", control.name);
                    let instead = format!("name a control that it has, or give the reading: {}", self.typed_example());
                    return Err(refuse(&what, &instead));
                }
                None => {}
            }
        }
        if taken.taken.is_empty() && taken.told.is_empty() {
            let what = format!("the note on line {line} has no reading of a control of {}", self.row.settings.id.value);
            return Err(refuse(&what, "choose another note"));
        }
        Ok(taken)
    }

    fn note(&self, line: usize) -> Result<&Note, Outcome> {
        let sailed = self.row.book.sailed.as_ref();
        let file = sailed.map(|sailed| sailed.file.value.clone()).unwrap_or_default();
        let note = self.input.notes.iter().find(|note| note.line == line);
        let Some(note) = note.filter(|note| note.found.is_none()) else {
            let what = match note {
                None => format!("line {line} of {file} is no note"),
                Some(_) => format!(
                    "line {line} of {file} says what was taken into the book, and is no note of what was sailed"
                ),
            };
            let lines: Vec<usize> =
                self.input.notes.iter().filter(|note| self.is_here(note)).map(|note| note.line).collect();
            let instead = match lines.as_slice() {
                [] => "the file has no note of this row".to_owned(),
                lines => format!(
                    "the notes of this row: {}",
                    lines.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ")
                ),
            };
            return Err(refuse(&what, &instead));
        };
        if note.settings != self.row.settings.id.value {
            let what = format!("the note on line {line} of {file} is of {}", note.settings);
            return Err(refuse(&what, "name those settings, or another note"));
        }
        if !self.is_here(note) {
            let wind = note.wind.map(|wind| told::at(wind, note.angle, self.row.book.units.wind));
            let what = match wind {
                Some(at) => {
                    format!("the note on line {line} of {file} was sailed at {at}, too far from {}", self.row.words())
                }
                None => format!("the note on line {line} of {file} does not say in which wind it was sailed"),
            };
            let instead = "name the row that it was sailed at; or give the reading yourself";
            return Err(refuse(&what, &format!("{instead}: {}", self.typed_example())));
        }
        Ok(note)
    }

    fn is_here(&self, note: &Note) -> bool {
        let is_sailed = note.settings == self.row.settings.id.value && note.found.is_none();
        is_sailed && note.wind.is_some_and(|wind| self.row.is_nearest(wind, note.angle))
    }

    fn check_still(&self, control: &Control, noted: Noted) -> Result<(), Outcome> {
        let is_still = noted.sides().into_iter().flatten().all(|reading| reading.least == reading.greatest);
        if is_still {
            return Ok(());
        }
        let what = format!("{} was played over {}: that is no one reading", control.name, print(&control.scale, noted));
        Err(refuse(&what, &format!("choose one: {}={}", control.id.value, control.scale.print(first(noted)))))
    }

    fn check_measured(&self, control: &Control, index: usize, note: &Note) -> Result<(), Outcome> {
        let measured = self.input_control(index).and_then(|own| own.measured);
        match measured {
            Some(measured) if note.when.is_none_or(|when| when < measured) => Err(refuse(
                &format!("the scale of {} was measured anew after that note: its marks stood elsewhere", control.name),
                "choose a later note, or name the other controls alone",
            )),
            _ => Ok(()),
        }
    }

    /// All that is proposed for the row.
    fn all_proposed(&self) -> Result<Taken, Outcome> {
        self.need_row()?;
        let mut taken = Taken { taken: Vec::new(), told: Vec::new() };
        let cells: Vec<&Cell> = self.cells().collect();
        for cell in cells.iter().filter(|cell| cell.proposed.is_some() || self.was_taken(cell)) {
            let control = self.index_of(&cell.control)?;
            self.add_proposed(&mut taken, control)?;
        }
        if !taken.taken.is_empty() || !taken.told.is_empty() {
            return Ok(taken);
        }
        let what = format!("nothing is proposed for {} at {}", self.row.settings.id.value, self.row.words());
        let said = cells.iter().filter_map(|cell| self.said(cell));
        let said: Vec<String> = said
            .map(|said| {
                let ask = said.ask.map(|ask| format!("; to sail next: {ask}")).unwrap_or_default();
                format!("{}: {}{ask}", said.of, said.answer)
            })
            .collect();
        let said = if said.is_empty() { vec!["nothing was sailed there".to_owned()] } else { said };
        Err(refuse(
            &what,
            &format!(
                "{}. What you choose yourself is given with its reading: {}",
                said.join("; "),
                self.typed_example()
            ),
        ))
    }

    /// What is proposed for one control of the row.
    fn add_proposed(&self, taken: &mut Taken, control: usize) -> Result<(), Outcome> {
        self.need_row()?;
        let of = self.of(control)?;
        let at = self.row.words();
        let cell = self.cells().find(|cell| cell.control == of.id.value);
        let Some(cell) = cell else {
            let what = format!("nothing is proposed for {} at {at}: nothing was sailed there", of.name);
            return Err(refuse(
                &what,
                &format!(
                    "sail a trial: cockpit-cards sailed plan {} {} {}",
                    self.row.settings.id.value,
                    self.row.wind.written_number(self.row.book.units.wind),
                    of.id.value
                ),
            ));
        };
        if self.was_taken(cell) {
            let book = cell.book.as_deref().unwrap_or_default();
            taken.told.push(format!("{} {book} at {at} was taken into the book already", of.name));
            return Ok(());
        }
        let found = match cell.verdict {
            Answer::Change => Found::Change,
            Answer::Keep => Found::Keep,
            Answer::NotToldApart | Answer::TooLittle | Answer::Disputed => return Err(self.not_proposed(cell, of)),
        };
        let compared = cell.question.and_then(|at| self.comparison.questions.get(at));
        let (Some(reading), Some(compared)) = (cell.proposed_reading, compared) else {
            return Err(self.not_proposed(cell, of));
        };
        let trials = compared.shown.as_ref().map_or(cell.trials, |shown| shown.trials);
        let asked = Asking { readings: compared.question.readings.clone(), middle: 0 };
        let verb = if found == Found::Keep { "keep" } else { "change to" };
        let trials = told::counted(trials, "trial");
        let kept = if found == Found::Keep { "kept, " } else { "" };
        let said = self.said(cell);
        let why = said.into_iter().flat_map(|said| [vec![format!("{}: {}", said.of, said.answer)], said.why].concat());
        taken.taken.push(Taking {
            control,
            noted: settled(of, Noted::One(Reading { least: reading, greatest: reading })),
            found,
            question: format!("{} {trials}: {verb} {}", told::question(of, &asked, &at), of.scale.print(reading)),
            ground: format!("{kept}{trials}"),
            why: why.collect(),
            was_typed: false,
        });
        Ok(())
    }

    fn not_proposed(&self, cell: &Cell, of: &Control) -> Outcome {
        let said = self.said(cell);
        let answer = said.as_ref().map(|said| said.answer.clone()).unwrap_or_default();
        let what = format!("nothing is proposed for {} at {}: {answer}", of.name, self.row.words());
        let mut why = said.as_ref().map(|said| said.why.clone()).unwrap_or_default();
        why.extend(said.and_then(|said| said.ask).map(|ask| format!("to sail next: {ask}")));
        why.push(format!(
            "what you choose yourself is given with its reading: {}={}",
            of.id.value,
            cell.book.as_deref().unwrap_or("4")
        ));
        refuse(&what, &why.join("; "))
    }

    /// A person's own choice.
    fn add_chosen(
        &self,
        taken: &mut Taken,
        control: usize,
        noted: Noted,
        (question, ground): (&str, &str),
    ) -> Result<(), Outcome> {
        let of = self.of(control)?;
        if self.in_book(control) == Some(noted) {
            let words = print(&of.scale, noted);
            taken.told.push(format!("{} is {words} at {} in the book already", of.name, self.row.words()));
            return Ok(());
        }
        taken.taken.push(Taking {
            control,
            noted,
            found: Found::Change,
            question: question.to_owned(),
            ground: ground.to_owned(),
            why: Vec::new(),
            was_typed: true,
        });
        Ok(())
    }

    fn add_typed(&self, typed: &mut BTreeMap<usize, Typed>, name: &str, text: &str) -> Result<(), Outcome> {
        let (index, side) = self.control(name)?;
        let control = self.of(index)?;
        let reading = notes::reading(control, text)
            .map_err(|wrong| refuse(&format!("{name}: {}", wrong.what), &wrong.instead))?;
        if let Some(reading) = reading {
            self.check_still(control, Noted::One(reading))?;
        }
        let earlier = typed.remove(&index);
        let new = match (reading, side, earlier) {
            (Some(reading), Some(Side::Port), Some(Typed::Sides { port: None, starboard })) => {
                Typed::Sides { port: Some(reading), starboard }
            }
            (Some(reading), Some(Side::Starboard), Some(Typed::Sides { port, starboard: None })) => {
                Typed::Sides { port, starboard: Some(reading) }
            }
            (_, _, Some(_)) => {
                return Err(refuse(&format!("{name} says something that was said before"), "say each thing once"));
            }
            (Some(reading), Some(Side::Port), None) => Typed::Sides { port: Some(reading), starboard: None },
            (Some(reading), Some(Side::Starboard), None) => Typed::Sides { port: None, starboard: Some(reading) },
            (Some(reading), None, None) => Typed::Both(Noted::One(reading)),
            (None, _, None) => Typed::Both(Noted::NotUsed),
        };
        typed.insert(index, new);
        Ok(())
    }

    fn both(&self, control: usize, typed: Typed) -> Result<Noted, Outcome> {
        match typed {
            Typed::Both(noted) => Ok(settled(self.of(control)?, noted)),
            Typed::Sides { port: Some(port), starboard: Some(starboard) } => {
                Ok(settled(self.of(control)?, Noted::Sides { port: Some(port), starboard: Some(starboard) }))
            }
            Typed::Sides { .. } => {
                let id = &self.of(control)?.id.value;
                let what = format!("{id} is given on one side alone");
                Err(refuse(&what, &format!("give both: \"{id} port=3\" \"{id} starboard=3\"")))
            }
        }
    }

    /// The control of a name, with the side that is named; one of these settings.
    fn control(&self, name: &str) -> Result<(usize, Option<Side>), Outcome> {
        let own = &self.row.settings.controls;
        let found = notes::column(name, &self.row.book.controls);
        match found {
            Some(NoteColumn::Control(index, side)) if own.contains(&index) => Ok((index, side)),
            _ => {
                let ids = own.iter().filter_map(|index| self.row.book.controls.get(*index));
                let ids: Vec<&str> = ids.map(|control| control.id.value.as_str()).collect();
                let what = format!("{} have no control {name}", self.row.settings.id.value);
                Err(refuse(&what, &suggest::advice(name, ids.iter().copied())))
            }
        }
    }

    fn of(&self, control: usize) -> Result<&Control, Outcome> {
        self.row.book.controls.get(control).ok_or_else(|| refuse("the control is not in the book", "name one that is"))
    }

    fn index_of(&self, id: &str) -> Result<usize, Outcome> {
        Ok(self.control(id)?.0)
    }

    fn need_row(&self) -> Result<(), Outcome> {
        if self.row.at.is_some() {
            return Ok(());
        }
        let what = format!("{} have no row at {}", self.row.settings.id.value, self.row.words());
        Err(refuse(
            &what,
            &format!(
                "name one that there is ({}), or give the readings of a new one: {}",
                self.row.others(),
                self.typed_example()
            ),
        ))
    }

    /// A reading as it is typed, of the first control and as some row has it.
    fn typed_example(&self) -> String {
        let first = self.row.settings.controls.first().and_then(|index| self.row.book.controls.get(*index));
        let Some(control) = first else { return String::new() };
        let own = self.row.settings.controls.first().and_then(|index| self.input_control(*index));
        let reading = own.and_then(|own| own.book.iter().flatten().find_map(Noted::still));
        let reading = control.scale.print(reading.or(control.scale.ends().map(|(least, _)| least)).unwrap_or_default());
        let words = format!("{}={reading}", control.id.value);
        if words.contains(' ') { format!("\"{words}\"") } else { words }
    }

    fn cells(&self) -> impl Iterator<Item = &Cell> {
        let is_here = |cell: &&Cell| cell.settings == self.row.settings.id.value && Some(cell.row) == self.row.at;
        self.comparison.cells.iter().filter(is_here)
    }

    fn said(&self, cell: &Cell) -> Option<told::Said> {
        told::said(self.row.book, self.input, self.comparison, cell)
    }

    fn input_control(&self, control: usize) -> Option<&cockpit_cards::season::Control<'_>> {
        let id = &self.row.book.controls.get(control)?.id.value;
        let table = self.input.tables.iter().find(|table| table.id == self.row.settings.id.value)?;
        table.controls.iter().find(|own| own.id == id)
    }

    fn in_book(&self, control: usize) -> Option<Noted> {
        self.input_control(control)?.book.get(self.row.at?).copied().flatten()
    }

    /// Whether the last line of the notes that says what was found of this reading is of the very reading that the book has: kept, or
    /// changed to it with nothing proposed since.
    fn was_taken(&self, cell: &Cell) -> bool {
        let Some(table) = self.input.tables.get(cell.table) else { return false };
        let Some(own) = table.controls.get(cell.at) else { return false };
        let is_here = |note: &&Note| {
            let is_of_scale = own.measured.is_none_or(|measured| note.when.is_some_and(|when| when >= measured));
            let row = note.wind.and_then(|wind| row_of(&table.rows, wind, note.angle));
            note.settings == cell.settings && row == Some(cell.row) && is_of_scale
        };
        let found = self.input.notes.iter().rev().filter(is_here);
        let found = found.into_iter().find_map(|note| Some((note.found?, note.reading_of(own.id)?)));
        let in_book = own.book.get(cell.row).copied().flatten();
        let is_of_book = |noted: Noted| in_book.is_some_and(|book| noted.from(&book) == Some(0.0));
        match found {
            Some((Found::Keep, noted)) => cell.verdict != Answer::Change && is_of_book(noted),
            Some((Found::Change, noted)) => cell.proposed.is_none() && is_of_book(noted),
            None => false,
        }
    }
}

/// Two sides as the book would have them where one reading says both.
fn settled(control: &Control, noted: Noted) -> Noted {
    match noted {
        Noted::One(both) => notes::on_both_sides(control, both),
        Noted::Sides { port: Some(port), .. } if is_one(control, noted, port) => notes::on_both_sides(control, port),
        other => other,
    }
}

/// Whether one reading, which is that of the port side where the two read differently, says both.
fn is_one(control: &Control, noted: Noted, port: Reading) -> bool {
    let both = notes::on_both_sides(control, port);
    noted.sides() == both.sides()
}

fn first(noted: Noted) -> f64 {
    noted.sides().into_iter().flatten().map(|reading| reading.middle()).next().unwrap_or_default()
}

/// A reading as the book has it.
pub fn in_book(control: &Control, noted: Noted) -> edit::Reading {
    let bare = |reading: f64| {
        let words = bare_words(&control.scale, reading);
        words.trim_end_matches(" turns").trim_end_matches(" turn").to_owned()
    };
    let on_sides = noted.sides().map(|side| side.map_or_else(|| NOT_USED.to_owned(), |reading| bare(reading.least)));
    let (full, bare) = match noted {
        Noted::NotUsed => (NOT_USED.to_owned(), NOT_USED.to_owned()),
        Noted::One(reading) => (control.scale.print(reading.least), bare(reading.least)),
        Noted::Sides { port: Some(port), .. } if is_one(control, noted, port) => {
            (control.scale.print(port.least), bare(port.least))
        }
        Noted::Sides { port, starboard } => {
            let side = |(side, reading): (Side, Option<Reading>)| {
                reading.map(|reading| format!("{}: {}", side.name(), edit::scalar(&bare(reading.least))))
            };
            let sides = Side::BOTH.into_iter().zip([port, starboard]).filter_map(side);
            let map = format!("{{{}}}", sides.collect::<Vec<_>>().join(", "));
            (map.clone(), map)
        }
    };
    edit::Reading { control: control.id.value.clone(), full, bare, sides: on_sides }
}
