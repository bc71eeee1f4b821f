//! `printer`: measure a printer once, so that every print after that can make up for its error.

use cockpit_cards::wrong::shown;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand, ValueEnum};
use cockpit_cards::book::quantity::{self, Dimension};
use cockpit_cards::book::{Problem, Units};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::length::Length;
use cockpit_cards::output::pdf;
use cockpit_cards::output::write::write_all;
use cockpit_cards::paper::printer::{BackShift, Flip, Measured, NAME_CHARACTERS, Reading};
use cockpit_cards::paper::readings::Readings;
use cockpit_cards::paper::{Correction, PaperSize, printer_page};

use super::chosen::as_typed;
use super::day::{self, Day};
use super::feed::FeedFlag;
use super::print_flags::{flip_without_book, paper_without_book};
use super::readings::{NO_PRINTER, Store};
use super::{Outcome, complain, machine_failed, refuse, say, say_done};

const PER_CENT: f64 = 100.0;

#[derive(Args)]
pub struct Printer {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Write the page to print and measure: two long distances, and on its back a grid for two-sided cards
    Page(Page),
    /// Keep what the rule showed, under a name
    Set(Set),
    /// List the printers that were measured
    List(Store),
}

#[derive(Args)]
struct Page {
    /// What is in the printer: a4, letter, a3, `297 x 600 mm`, roll-610mm; as COCKPIT_CARDS_PAPER says if left out, else a4
    #[arg(long)]
    paper: Option<String>,
    /// The edge of the paper that goes in first
    #[arg(long, value_enum, default_value_t = FeedFlag::ShortEdge)]
    feed: FeedFlag,
    /// The edge about which the printer turns the sheet for its back; as COCKPIT_CARDS_FLIP says if left out, else long
    #[arg(long, value_enum)]
    flip: Option<FlipFlag>,
    /// The PDF to write
    #[arg(short, long, alias = "out", value_name = "FILE", default_value = "printer-page.pdf")]
    output: PathBuf,
}

#[derive(Args)]
struct Set {
    /// What you call the printer: office, chart-table
    name: String,
    /// From cross to cross across the feed as the rule shows it, in mm
    #[arg(long, value_name = "MM", requires = "along", allow_negative_numbers = true)]
    across: Option<String>,
    /// From cross to cross along the feed as the rule shows it, in mm
    #[arg(long, value_name = "MM", requires = "across", allow_negative_numbers = true)]
    along: Option<String>,
    /// What you can tell apart on the rule, in mm
    #[arg(long, value_name = "MM", default_value = "0.5")]
    rule_step: String,
    /// The paper the page was printed on; as COCKPIT_CARDS_PAPER says if left out, else a4
    #[arg(long)]
    paper: Option<String>,
    /// The edge of the paper that went in first
    #[arg(long, value_enum, default_value_t = FeedFlag::ShortEdge)]
    feed: FeedFlag,
    /// How far the back landed to the right, in mm, as its grid says
    #[arg(long, value_name = "MM", allow_hyphen_values = true)]
    back_shift_x: Option<String>,
    /// How far the back landed down the page, in mm, as its grid says
    #[arg(long, value_name = "MM", allow_hyphen_values = true)]
    back_shift_y: Option<String>,
    /// The edge about which the sheet was turned for its back; as COCKPIT_CARDS_FLIP says if left out, else long
    #[arg(long, value_enum)]
    flip: Option<FlipFlag>,
    /// The day it was measured; today if left out
    #[arg(long, value_name = "YYYY-MM-DD", value_parser = day::typed)]
    date: Option<Day>,
    #[command(flatten)]
    store: Store,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum FlipFlag {
    /// Like the leaf of a book
    Long,
    /// Like the leaf of a wall calendar
    Short,
}

impl From<FlipFlag> for Flip {
    fn from(flag: FlipFlag) -> Self {
        match flag {
            FlipFlag::Long => Flip::Long,
            FlipFlag::Short => Flip::Short,
        }
    }
}

impl Printer {
    pub fn run(self) -> Outcome {
        let done = match self.command {
            Command::Page(page) => page.run(),
            Command::Set(set) => set.run(),
            Command::List(store) => list(&store),
        };
        done.unwrap_or_else(|outcome| outcome)
    }
}

impl Page {
    fn run(self) -> Result<Outcome, Outcome> {
        let paper = paper_without_book(self.paper.as_deref())?;
        let (feed, flip) = (self.feed.into(), flip_without_book(self.flip)?);
        let pages =
            printer_page::pages(&paper, feed, flip).map_err(|refusal| refuse(&refusal.what, &refusal.instead))?;
        let title = format!("Printer page, {}", paper.name());
        let subject = "Two distances to measure a printer by";
        let options = pdf::Options { title: &title, subject, duplex: Some(flip), ..pdf::Options::default() };
        let bytes = pdf::pdf(&pages, &options).map_err(|error| machine_failed("the page could not be made", &error))?;
        let folder = self.output.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        let Some(name) = self.output.file_name() else {
            return Err(refuse("-o names no file", "name one, like -o printer.pdf"));
        };
        write_all(folder, &[(Path::new(name), bytes)])
            .map_err(|error| machine_failed("nothing was written", &error))?;
        Ok(say_done(&format!(
            "wrote {}\nPrint it at 100 % (actual size, no fitting), measure both distances with a steel rule, then\n  \
             cockpit-cards printer set NAME --across MM --along MM\n",
            self.output.display()
        )))
    }
}

impl Set {
    fn run(self) -> Result<Outcome, Outcome> {
        check_name(&self.name)?;
        let today = day::today();
        if let Some(date) = self.date.as_ref().filter(|date| **date > today) {
            let what = format!("{date} is yet to come: today is {today}");
            complain(&mut [Problem::warning(None, what, "give the day on which the page was measured")], &[]);
        }
        // Refused before a folder is made for it; what is kept is found out again once no other run is at it.
        self.reading(&self.store.load()?)?;
        let mut words = String::new();
        let path = self.store.change(|readings| {
            let (reading, correction) = self.reading(readings)?;
            words = correction;
            readings.set(reading);
            Ok(())
        })?;
        let (path, name) = (path.display(), as_typed(&self.name));
        Ok(say_done(&format!("kept in {path}\n{words}\nNext: cockpit-cards build --printer {name}\n")))
    }

    /// The reading as it is to be kept beside those that are known, and its words.
    fn reading(&self, readings: &Readings) -> Result<(Reading, String), Outcome> {
        let shift = self.back_shift()?;
        let mut reading = match (&self.across, &self.along) {
            (Some(across), Some(along)) => self.measured(across, along)?,
            _ => match readings.get(&self.name) {
                Some(known) if shift.is_some() => known.clone(),
                _ => {
                    return Err(refuse(
                        "there is nothing to keep yet",
                        "give what the rule shows on the printer page: --across MM --along MM",
                    ));
                }
            },
        };
        let known_shift =
            readings.get(&self.name).and_then(|known| known.back_shift.filter(|_| known.feed == reading.feed));
        reading.back_shift = shift.or(known_shift);
        reading.check().map_err(|refusal| refuse(&refusal.what, &refusal.instead))?;
        let paper = parse_paper(&reading.paper)?;
        let correction = Correction::new(&reading, &paper, None, Flip::Long)
            .map_err(|refusal| refuse(&refusal.what, &refusal.instead))?;
        Ok((reading, correction.words()))
    }

    fn measured(&self, across: &str, along: &str) -> Result<Reading, Outcome> {
        let paper = paper_without_book(self.paper.as_deref())?;
        let feed = self.feed.into();
        let distances =
            printer_page::distances(&paper, feed).map_err(|refusal| refuse(&refusal.what, &refusal.instead))?;
        Ok(Reading {
            name: self.name.clone(),
            paper: paper.name().to_owned(),
            feed,
            across: Measured { nominal_mm: distances.across_mm, measured_mm: millimetres("--across", across)? },
            along: Measured { nominal_mm: distances.along_mm, measured_mm: millimetres("--along", along)? },
            rule_step_mm: millimetres("--rule-step", &self.rule_step)?,
            back_shift: None,
            date: self.date.clone().unwrap_or_else(day::today),
        })
    }

    fn back_shift(&self) -> Result<Option<BackShift>, Outcome> {
        let read = |flag: &str, value: &Option<String>| match value {
            Some(value) => millimetres(flag, value).map(Some),
            None => Ok(None),
        };
        let x = read("--back-shift-x", &self.back_shift_x)?;
        let y = read("--back-shift-y", &self.back_shift_y)?;
        let flip = flip_without_book(self.flip)?;
        Ok((x.is_some() || y.is_some()).then(|| BackShift {
            x_mm: x.unwrap_or_default(),
            y_mm: y.unwrap_or_default(),
            flip,
        }))
    }
}

fn list(store: &Store) -> Result<Outcome, Outcome> {
    let readings = store.load()?;
    if readings.is_empty() {
        return Ok(say("No printer has been measured. Start with: cockpit-cards printer page -o printer.pdf\n"));
    }
    let mut text = format!(
        "{:<20} {:<10} {:>9} {:>9} {:>10}   {:<14} {}\n",
        "printer", "paper", "across", "along", "rule step", "back shift", "measured"
    );
    for reading in readings.iter() {
        let error = |axis: Measured| format!("{:+.2} %", (axis.scale() - 1.0) * PER_CENT);
        let shift =
            reading.back_shift.map_or("not measured".to_owned(), |shift| format!("{}, {} mm", shift.x_mm, shift.y_mm));
        text.push_str(&format!(
            "{:<20} {:<10} {:>9} {:>9} {:>10}   {:<14} {}\n",
            reading.name,
            reading.paper,
            error(reading.across),
            error(reading.along),
            Length::mm(reading.rule_step_mm).to_string(),
            shift,
            reading.date
        ));
    }
    Ok(say(&text))
}

pub fn parse_paper(text: &str) -> Result<PaperSize, Outcome> {
    parse_paper_of("--paper", text)
}

/// As [`parse_paper`], of a paper that this names.
pub fn parse_paper_of(who: &str, text: &str) -> Result<PaperSize, Outcome> {
    PaperSize::parse(text).map_err(|error| refuse(&format!("{who}: {}", error.what), &error.instead))
}

fn millimetres(flag: &str, text: &str) -> Result<f64, Outcome> {
    quantity::parse(text, Units::default().bare(Dimension::Length))
        .map_err(|wrong| refuse(&format!("{flag}: {}", wrong.what), &wrong.instead))
}

fn check_name(name: &str) -> Result<(), Outcome> {
    let plain = name.trim() == name && name != NO_PRINTER && NAME_CHARACTERS.contains(&name.chars().count());
    if plain && name.chars().all(has_glyph) {
        return Ok(());
    }
    Err(refuse(
        &format!("{} is no name for a printer", shown(name)),
        &format!("use up to {} letters and digits, like `office`", NAME_CHARACTERS.end()),
    ))
}
