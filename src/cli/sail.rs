//! `sail add`: a new sail into the book, in place, and what that makes due.

use std::io::{self, IsTerminal as _};
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};
use cockpit_cards::book::edit::{add_entry, scalar};
use cockpit_cards::book::{self, Book, Loaded, Problem};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::tuning::{Angle, Span, Wind};

use super::chosen::{Usage, named_or_here};
use super::in_place::{InPlace, answer, report_due, sound};
use super::{Outcome, complain, editions_of, locked, machine_failed, open, refuse, say_done};

const USAGE: Usage = Usage { before: "sail add", after: " --id j3b --kind headsail", has_example: false };

#[derive(Args)]
pub struct Sail {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Put a new sail into the book, and leave the rest of the file as it is
    Add(Add),
}

/// What is not given is asked for, where there is a terminal to ask on.
#[derive(Args)]
struct Add {
    /// The book; the one in this folder if none is named
    book: Option<PathBuf>,
    /// What the book calls it: j3b
    #[arg(long)]
    id: Option<String>,
    /// What the crew calls it: `J3 light`
    #[arg(long)]
    name: Option<String>,
    /// mainsail, headsail, staysail, spinnaker, gennaker, other
    #[arg(long)]
    kind: Option<String>,
    /// The wind it is for: 20..34
    #[arg(long, value_name = "FROM..TO")]
    wind: Option<String>,
    /// The wind angles it is for: 38..80
    #[arg(long, value_name = "FROM..TO")]
    angle: Option<String>,
    /// 13.40 m
    #[arg(long)]
    luff: Option<String>,
    /// The day it came aboard
    #[arg(long, value_name = "YYYY-MM-DD")]
    since: Option<String>,
    /// The id of the sail it replaces, which then leaves the cards
    #[arg(long, value_name = "ID")]
    replaces: Option<String>,
    /// Settings to go on with until it has its own (several may be given); those of the sail it replaces if none are
    #[arg(long, value_name = "SETTINGS", num_args = 1..)]
    start_from: Vec<String>,
    /// Go on with no settings of the sail it replaces
    #[arg(long, conflicts_with = "start_from")]
    own_settings: bool,
    /// The sails that it is set with, one at a time, if it is not set by itself (several may be given)
    #[arg(long, value_name = "ID", num_args = 1..)]
    flies_with: Vec<String>,
    /// How far to move a control of those settings: jib_lead=-½ or jib_halyard=`150 mm` (several may be given)
    #[arg(long, value_name = "CONTROL=DISTANCE", num_args = 1..)]
    offset: Vec<String>,
}

impl Sail {
    pub fn run(self) -> Outcome {
        let Command::Add(add) = self.command;
        add.run().unwrap_or_else(|outcome| outcome)
    }
}

impl Add {
    fn run(mut self) -> Result<Outcome, Outcome> {
        let path = named_or_here(self.book.as_deref(), USAGE)?;
        let opened = open(&path)?;
        let (before, _) = sound(opened.loaded, &opened.name, "the book has to be sound before anything is added")?;
        if io::stdin().is_terminal() && io::stderr().is_terminal() {
            self.ask(&before).map_err(|error| machine_failed("the terminal", &error))?;
        }
        let (Some(id), Some(kind)) = (&self.id, &self.kind) else {
            return Err(refuse(
                "a new sail needs an id and a kind at least",
                "give them: cockpit-cards sail add boat.yaml --id j3b --kind headsail --wind 20..34 --replaces j3",
            ));
        };
        let (id, kind) = (id.clone(), kind.clone());
        self.take_over(&before);
        let value = self.value(&kind)?;

        let _lock = locked(&path)?;
        let (file, text) = InPlace::open_book(&path)?;
        let editions = editions_of(&path)?;
        let refused = |problem: Problem, loaded: &Loaded| {
            complain(&mut [problem], &loaded.sources);
            refuse("nothing was written", "see above")
        };
        let now = read(&path, &text)?;
        let changed = add_entry(&text, "sails", &scalar(&id), &value).map_err(|problem| refused(problem, &now))?;
        let after = read(&path, &changed)?;
        let (after, mut problems) =
            sound(after, &opened.name, "nothing was written: with this sail the book has errors")?;
        let due = report_due(&after, editions.as_ref(), &opened.name, &mut problems)?;
        file.put(&changed).map_err(|error| machine_failed("nothing was written", &error))?;
        Ok(say_done(&format!("added to {}:\n  {id}: {value}\n\n{due}", opened.name)))
    }

    /// Asks for everything that was not given; an empty answer leaves it out.
    fn ask(&mut self, book: &Book) -> io::Result<()> {
        let ask = |given: &mut Option<String>, question: &str| -> io::Result<()> {
            if given.is_none() {
                *given = answer(question)?;
            }
            Ok(())
        };
        ask(&mut self.id, "id in the book, small letters and digits (j3b)")?;
        ask(&mut self.name, "name on the cards (J3 light)")?;
        ask(&mut self.kind, "kind: mainsail, headsail, staysail, spinnaker, gennaker or other")?;
        ask(&mut self.wind, "wind it is for (20..34)")?;
        ask(&mut self.angle, "wind angles it is for (38..80)")?;
        let aboard = book.sails.iter().map(|sail| sail.id.value.as_str()).filter(|id| book.still_sails(id));
        let aboard = aboard.collect::<Vec<_>>().join(", ");
        ask(&mut self.replaces, &format!("sail it replaces, or nothing ({aboard})"))?;
        if let (Some(old), true) = (&self.replaces, self.start_from.is_empty()) {
            let ids = settings_of(book, old);
            let question = format!("go on with the settings of {old}: {}? (yes or no)", ids.join(", "));
            if !ids.is_empty() && !self.own_settings {
                let says_yes = answer(&question)?.is_some_and(|answer| answer.to_lowercase().starts_with('y'));
                self.own_settings = !says_yes;
            }
        }
        Ok(())
    }

    /// What nobody said otherwise of is as with the sail that it replaces: the winds and angles it is for, and the settings
    /// to go on with. Without them the cards that name the old sail would have nothing to show.
    fn take_over(&mut self, book: &Book) {
        let Some(old) = self.replaces.as_deref().and_then(|id| book.sail(id)) else { return };
        let unit = book.units.wind;
        let wind = |wind: Wind| wind.as_written(unit).trim_end_matches(unit.symbol()).trim_end().to_owned();
        let winds = |span: Span| format!("{}..{}", wind(span.low), wind(span.high));
        let angles = |span: Span<Angle>| format!("{}..{}", span.low.to_degrees(), span.high.to_degrees());
        self.wind = self.wind.take().or_else(|| old.wind.map(winds));
        self.angle = self.angle.take().or_else(|| old.angle.map(angles));
        if self.start_from.is_empty() && !self.own_settings {
            self.start_from = settings_of(book, &old.id.value);
        }
    }

    /// The sail as the book writes it, on one line.
    fn value(&self, kind: &str) -> Result<String, Outcome> {
        let mut fields = vec![format!("kind: {}", scalar(kind))];
        let given = [
            ("name", &self.name),
            ("wind", &self.wind),
            ("angle", &self.angle),
            ("luff", &self.luff),
            ("since", &self.since),
            ("replaces", &self.replaces),
        ];
        fields.extend(given.iter().filter_map(|(name, value)| Some(format!("{name}: {}", scalar(value.as_deref()?)))));
        let listed = |items: &[String]| items.iter().map(|item| scalar(item)).collect::<Vec<_>>().join(", ");
        for (name, items) in [("flies_with", &self.flies_with), ("start_from", &self.start_from)] {
            match items.as_slice() {
                [] => {}
                [one] => fields.push(format!("{name}: {}", scalar(one))),
                several => fields.push(format!("{name}: [{}]", listed(several))),
            }
        }
        let offsets = self.offsets()?;
        if !offsets.is_empty() {
            let offsets = offsets.iter().map(|(control, far)| format!("{}: {}", scalar(control), scalar(far)));
            fields.push(format!("offsets: {{{}}}", offsets.collect::<Vec<_>>().join(", ")));
        }
        Ok(format!("{{{}}}", fields.join(", ")))
    }

    /// How far each control is moved.
    fn offsets(&self) -> Result<Vec<(&str, &str)>, Outcome> {
        let mut offsets: Vec<(&str, &str)> = Vec::new();
        for offset in &self.offset {
            let Some((control, far)) = offset.split_once('=') else {
                let what = format!("--offset {offset}: not a control and a distance");
                return Err(refuse(&what, "write --offset jib_lead=-½"));
            };
            let (control, far) = (control.trim(), far.trim());
            if offsets.iter().any(|(other, _)| *other == control) {
                let what = format!("--offset moves {control} twice");
                return Err(refuse(&what, "give each control once, with all that it is to move"));
            }
            offsets.push((control, far));
        }
        Ok(offsets)
    }
}

/// The ids of the settings that a sail is up in.
fn settings_of(book: &Book, sail: &str) -> Vec<String> {
    let of_it = book.settings.iter().filter(|settings| settings.sails.iter().any(|id| id.value == sail));
    of_it.map(|settings| settings.id.value.clone()).collect()
}

fn read(path: &Path, text: &str) -> Result<Loaded, Outcome> {
    book::from_path_with(path, text, has_glyph).map_err(|error| machine_failed(&path.display().to_string(), &error))
}
