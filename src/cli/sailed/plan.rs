//! `sailed plan`: the card of the next trial of a question, the one that is named or the one most worth asking.

use std::path::PathBuf;

use clap::Args;
use cockpit_cards::book::{Book, suggest};
use cockpit_cards::cards::trial::{self, Question};
use cockpit_cards::comparing::told;
use cockpit_cards::output::write::write_all;
use cockpit_cards::printing::{self, Options};
use cockpit_cards::season::plan::{NoPlan, Plan as Planned, Wanted, Why, plan, propose};
use cockpit_cards::season::{Comparison, Input, reach_of};
use cockpit_cards::size::NamedSize;
use cockpit_cards::tuning::{Angle, Axis as _, Wind, mark};

use super::super::chosen::Usage;
use super::super::print_flags::PrintFlags;
use super::super::typed;
use super::super::{Outcome, headed, machine_failed, refuse, say_done, usual_folder};
use super::OfBook;
use super::compare::{book_with_notes, sailed, with_comparison};
use super::logs::Logs;

const USAGE: Usage = Usage { before: "sailed plan --book", after: "", has_example: false };

/// Without settings, wind and control it proposes the question most worth asking, and says why.
#[derive(Args)]
pub struct Plan {
    /// The id of the settings
    #[arg(requires_all = ["wind", "control"])]
    settings: Option<String>,
    /// The wind of a row, as the rows have it: 14
    #[arg(value_parser = typed::wind)]
    wind: Option<typed::WindSpeed>,
    /// The control to ask about, by its id
    control: Option<String>,
    /// The true wind angle of the row, where the settings go by angle
    #[arg(long, value_name = "DEGREES", value_parser = typed::degrees)]
    angle: Option<f64>,
    #[command(flatten)]
    of: OfBook,
    #[command(flatten)]
    logs: Logs,
    /// The size of the card: A5, `120 x 250 mm`; the handiest that holds it if none is given
    #[arg(long)]
    size: Option<String>,
    #[command(flatten)]
    print: PrintFlags,
    /// The folder it is written into
    #[arg(short, long, value_name = "DIR", default_value_os_t = usual_folder())]
    out: PathBuf,
}

impl Plan {
    pub fn run(self) -> Result<Outcome, Outcome> {
        let how = self.print.asked()?;
        let wrong = |wrong: cockpit_cards::wrong::Wrong| refuse(&format!("--size: {}", wrong.what), &wrong.instead);
        let size = self.size.as_deref().map(NamedSize::parse).transpose().map_err(wrong)?;
        let (book, name) = book_with_notes(&self.of, USAGE)?;
        let job = how.of_sound_book(&book)?.job;
        let logged = self.logs.read(&sailed(&book)?.clock)?;
        let (card, words) = with_comparison(&book, &logged, |input, comparison| {
            let planned = self.planned(&book, input, comparison)?;
            let asked = Asked::new(&book, input, planned)?;
            let card = trial::card(&book, &asked.question(), size.clone());
            let card = card.ok_or_else(|| refuse("the control is not in the book", "name one of the settings"))?;
            Ok((card, asked.words()))
        })??;
        let (id, title) = (card.id.clone(), card.title.clone());
        let mut problems = Vec::new();
        let options = Options { job, ..Options::default() };
        let Some(files) = printing::print_cards(&book, vec![card], &options, &mut problems) else {
            let words = problems.first().map(|problem| (problem.what.clone(), problem.instead.clone()));
            let (what, instead) = words.unwrap_or_default();
            return Err(refuse(&format!("the card of the trial was not printed: {what}"), &instead));
        };
        let file = format!("{id}.pdf");
        let files = files.of_one_card(&file);
        write_all(&self.out, &files).map_err(|error| machine_failed("nothing was written", &error))?;
        let head = headed(&book, &name);
        Ok(say_done(&format!("{head}{title}\n{words}\nwrote {}\n", self.out.join(file).display())))
    }

    fn planned(&self, book: &Book, input: &Input<'_>, comparison: &Comparison) -> Result<Planned, Outcome> {
        let wind = self.wind.as_ref().map(|wind| wind.of(&book.units)).transpose();
        let wind = wind.map_err(|wrong| refuse(&wrong.what, &wrong.instead))?;
        let planned = match (&self.settings, wind, &self.control) {
            (Some(settings), Some(wind), Some(control)) => {
                plan(input, comparison, &Wanted { settings, wind, angle: self.angle.map(Angle::degrees), control })
            }
            _ => propose(input, comparison),
        };
        planned.map_err(|why| self.no_plan(book, why))
    }

    fn no_plan(&self, book: &Book, why: NoPlan) -> Outcome {
        let settings = self.settings.as_deref().unwrap_or_default();
        let control = self.control.as_deref().unwrap_or_default();
        let of_settings = book.settings(settings);
        match why {
            NoPlan::NoSettings => {
                let ids = book.settings.iter().map(|settings| settings.id.value.as_str());
                refuse(&format!("there are no settings {settings}"), &suggest::advice(settings, ids))
            }
            NoPlan::NoControl => {
                let controls = of_settings.into_iter().flat_map(|settings| &settings.controls);
                let ids =
                    controls.filter_map(|index| book.controls.get(*index)).map(|control| control.id.value.as_str());
                refuse(&format!("{settings} has no control {control}"), &suggest::advice(control, ids))
            }
            NoPlan::NoRow => {
                let rows = of_settings.into_iter().flat_map(|settings| settings.all_rows());
                let mut winds: Vec<Wind> = rows.map(|row| row.at.value).collect();
                winds.dedup_by(|one, other| one.is_at(*other));
                let winds: Vec<String> = winds.iter().map(|wind| wind.print(book.units.wind)).collect();
                let angle =
                    if of_settings.is_some_and(|settings| settings.angled.is_some()) { ", with --angle" } else { "" };
                refuse(
                    &format!("{settings} has no row near that wind"),
                    &format!("ask at one of its rows: {}{angle}", winds.join(", ")),
                )
            }
            NoPlan::NoReading => refuse(
                &format!("the book has no reading of {control} there"),
                "write one into the row: a question is asked round what the book says",
            ),
            NoPlan::NoRoom => {
                refuse(&format!("the limits of {control} leave no other mark to try"), "name another control")
            }
            NoPlan::NothingOpen => refuse(
                "nothing that was sailed asks for a trial",
                "name a question: cockpit-cards sailed plan SETTINGS WIND CONTROL",
            ),
        }
    }
}

/// A planned trial with what the book calls things.
struct Asked<'a> {
    book: &'a Book,
    planned: Planned,
    settings: &'a cockpit_cards::book::Settings,
    control: usize,
    row: cockpit_cards::season::Row,
    reach: ((Wind, Wind), Option<(Angle, Angle)>),
    name: String,
}

impl<'a> Asked<'a> {
    fn new(book: &'a Book, input: &Input<'_>, planned: Planned) -> Result<Self, Outcome> {
        let found = || {
            let table = input.tables.get(planned.table)?;
            let settings = book.settings(table.id)?;
            let control = table.controls.get(planned.control)?;
            let index = book.controls.iter().position(|known| known.id.value == control.id)?;
            Some((settings, index, *table.rows.get(planned.row)?, reach_of(&table.rows, *table.rows.get(planned.row)?)))
        };
        let Some((settings, control, row, reach)) = found() else {
            return Err(refuse("the question is not in the book", "name its settings, wind and control"));
        };
        let stem = stem(book, control, row);
        let is_taken = |name: &str| input.notes.iter().any(|note| note.trial.as_deref() == Some(name));
        let name = (1..).map(|nth| format!("{stem}-{nth}")).find(|name| !is_taken(name)).unwrap_or(stem);
        Ok(Asked { book, planned, settings, control, row, reach, name })
    }

    fn question(&self) -> Question<'a> {
        Question {
            settings: self.settings,
            row: (self.row.wind, self.row.angle),
            control: self.control,
            readings: self.planned.asking.readings.clone(),
            legs: self.planned.legs.clone(),
            winds: self.reach.0,
            angles: self.reach.1,
            name: self.name.clone(),
        }
    }

    fn words(&self) -> String {
        let why = match self.planned.why {
            Why::Named => String::new(),
            Why::Disputed => "Why this: what was sailed contradicts itself.\n".to_owned(),
            Why::Begun => {
                format!("Why this: {} of it counted already.\n", told::counted(self.planned.sailed, "trial"))
            }
            Why::MostSailed { minutes, slow, other } => format!(
                "Why this: she sails here most ({} of steady log), and {} of this control say slow, {} another mark than the book's.\n",
                told::counted(minutes.round() as usize, "minute"),
                told::counted(slow, "note"),
                other
            ),
        };
        let expected = self.planned.expected.iter().map(|expected| {
            let width = mark::print_to(expected.half_width, 1);
            format!("{} would know a difference to ± {width} %", told::counted(expected.trials, "trial"))
        });
        let expected: Vec<String> = expected.collect();
        let legs: Vec<String> = self.planned.legs.iter().map(|leg| self.print(*leg)).collect();
        format!(
            "{why}Set in this order, ten minutes each: {}.\n{}.\nIn the notes every leg is a line with the trial {}, what was set, `when` and `until`.\n",
            legs.join(", "),
            expected.join("; "),
            self.name
        )
    }

    fn print(&self, reading: f64) -> String {
        self.book.controls.get(self.control).map(|control| control.scale.print(reading)).unwrap_or_default()
    }
}

/// `backstay-14`, `jib_lead-12-80`: what the names of its trials begin with.
fn stem(book: &Book, control: usize, row: cockpit_cards::season::Row) -> String {
    let id = book.controls.get(control).map(|control| control.id.value.as_str()).unwrap_or_default();
    let wind = row.wind.written_number(book.units.wind);
    let angle = row.angle.map(|angle| format!("-{}", angle.print_number())).unwrap_or_default();
    // It is a part of a file's name.
    format!("{id}-{wind}{angle}").replace('.', "_").replace('½', "_5")
}
