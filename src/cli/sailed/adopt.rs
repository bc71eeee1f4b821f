//! `sailed adopt`: what a comparison proposed for one row of settings, or what a person chose, taken into the book in place, with a
//! line in the notes that says so. Writes both files; what is taken is found out in the files beside this one.

mod files;
mod row;
mod taking;

use std::io::{self, IsTerminal as _};

use clap::Args;
use cockpit_cards::book::Book;
use cockpit_cards::tuning::Angle;

use self::files::Files;
use self::row::AskedRow;
use self::taking::{Taken, Taking};
use super::super::chosen::{Usage, named_or_here};
use super::super::in_place::{answer, report_due, sound};
use super::super::typed;
use super::super::{Outcome, complain_in_words, editions_of, locked, machine_failed, open, refuse, say, say_done};
use super::OfBook;
use super::add::moment_on;
use super::compare::{sailed, with_comparison};
use super::logs::{Logged, Logs};

const USAGE: Usage = Usage { before: "sailed adopt j1-upwind 14 --book", after: "", has_example: false };
const SOUND_FIRST: &str = "the book has to be sound before anything is taken into it";
/// What is typed to leave a proposal where it is.
const LEAVE: &str = "-";

/// Without controls it takes all that the comparison with the same logs and flags proposes for the row. On a terminal each proposal is
/// asked about.
#[derive(Args)]
pub struct Adopt {
    /// The id of the settings
    settings: String,
    /// The wind of the row, as the rows have it: 14
    #[arg(value_parser = typed::wind)]
    wind: typed::WindSpeed,
    /// A control whose proposal is taken, or one with the reading that was chosen: backstay, jib_lead=13½, \"jib_lead port=3\"
    #[arg(value_name = "CONTROL|CONTROL=READING")]
    controls: Vec<String>,
    #[command(flatten)]
    of: OfBook,
    /// The true wind angle of the row, where the settings go by angle
    #[arg(long, value_name = "DEGREES", value_parser = typed::degrees)]
    angle: Option<f64>,
    /// Take the readings of the note on this line of the notes' file, of all controls or of those that are named
    #[arg(long, value_name = "LINE", value_parser = typed::whole::<usize>)]
    note: Option<usize>,
    /// When it was decided: `2027-06-20 18:00`; this minute if it is left out
    #[arg(long, value_name = "TIME")]
    when: Option<String>,
    #[command(flatten)]
    logs: Logs,
    /// Show the lines that would change, and write nothing
    #[arg(long)]
    dry_run: bool,
}

impl Adopt {
    pub fn run(self) -> Result<Outcome, Outcome> {
        let path = named_or_here(self.of.book.as_deref(), USAGE)?;
        let opened = open(&path)?;
        let name = opened.name;
        let (before, _) = sound(opened.loaded, &name, SOUND_FIRST)?;
        let logged = self.logs.read(&sailed(&before)?.clock)?;
        let found = self.found(&before, &logged)?;
        let accepted = self.accepted(found.taken)?;

        let _lock = if self.dry_run { None } else { Some(locked(&path)?) };
        let files = Files::read(&path, &name)?;
        let (now, _) = sound(files.loaded(&files.book, &[])?, &name, SOUND_FIRST)?;
        files.check(&now, &self.settings)?;
        let _lock_of_others = if self.dry_run { None } else { Some(files.lock_others(&now, &self.settings)?) };
        let (now, _) = sound(files.loaded(&files.book, &[])?, &name, SOUND_FIRST)?;
        // Another run may have been at work while this one asked or waited.
        let Taken { taken, told } = self.found(&now, &logged)?;
        let is_accepted = |taking: &Taking| accepted.iter().any(|accepted| accepted.is_as(taking));
        let taken: Vec<Taking> = taken.into_iter().filter(is_accepted).collect();
        let told: String = told.iter().map(|line| format!("{line}\n")).collect();
        let boat = &now.boat.name.value;
        if taken.is_empty() {
            return Ok(say_done(&format!("{boat}\n\nnothing to do\n{told}")));
        }
        let row = self.row(&now)?;
        let clock = &sailed(&now)?.clock;
        let when = self.when.clone().unwrap_or_else(|| moment_on(clock));
        let changed = files.changed(&now, &row, &taken, &when)?;
        let after = changed.checked(&files, &now, &row, &taken)?;
        let editions = editions_of(&path)?;
        let due = report_due(&after, editions.as_ref(), &name, &mut Vec::new())?;
        let shown = changed.shown(&files, self.dry_run);
        if self.dry_run {
            return Ok(say(&format!("{boat}\n\n{shown}{told}\nnothing was written\n")));
        }
        changed.write(&files)?;
        Ok(say_done(&format!("{boat}\n\n{shown}{told}\n{due}")))
    }

    fn row<'a>(&self, book: &'a Book) -> Result<AskedRow<'a>, Outcome> {
        let wind = self.wind.of(&book.units).map_err(|wrong| refuse(&wrong.what, &wrong.instead))?;
        AskedRow::of(book, &self.settings, wind, self.angle.map(Angle::degrees))
    }

    /// What there is to take, by what is known of this book.
    fn found(&self, book: &Book, logged: &Logged) -> Result<Taken, Outcome> {
        let row = self.row(book)?;
        with_comparison(book, logged, |input, comparison| {
            let asked = taking::Asked { row: &row, input, comparison };
            match self.note {
                Some(line) => asked.of_note(line, &self.controls),
                None => asked.of_words(&self.controls),
            }
        })?
    }

    /// Those that are taken: on a terminal each proposal is asked about.
    fn accepted(&self, all: Vec<Taking>) -> Result<Vec<Taking>, Outcome> {
        let asks = !self.dry_run && io::stdin().is_terminal() && io::stderr().is_terminal();
        if !asks || all.iter().all(|taking| taking.was_typed) {
            return Ok(all);
        }
        let mut accepted = Vec::new();
        for taking in all {
            if taking.was_typed {
                accepted.push(taking);
                continue;
            }
            taking.why.iter().for_each(|line| complain_in_words(&format!("{line}\n")));
            let said =
                answer("take it? (Enter: yes, -: leave it)").map_err(|error| machine_failed("the terminal", &error))?;
            match said.as_deref() {
                None => accepted.push(taking),
                Some(LEAVE) => {}
                Some(other) => {
                    let what = format!("`{other}` is neither Enter nor {LEAVE}");
                    return Err(refuse(
                        &what,
                        "nothing was written: run it again; a reading of your own is given as backstay=4",
                    ));
                }
            }
        }
        Ok(accepted)
    }
}
