//! `printer`: a page to measure a printer by, its readings, and where they are kept.

use std::collections::BTreeMap;
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use clap::{Args, Subcommand};
use cockpit_cards::book::suggest;
use cockpit_cards::output::pdf;
use cockpit_cards::output::write::write_all;
use cockpit_cards::paper::printer::Distances;
use cockpit_cards::paper::printer_page::printer_page;
use cockpit_cards::paper::{Correction, PaperSize, Reading};
use cockpit_cards::printing::correction_words;
use serde::{Deserialize, Serialize};

use super::{Outcome, machine_failed, refuse, say};

/// The form of the readings file that this release writes.
const FORM: u32 = 1;
const FILE_NAME: &str = "printers.yaml";

#[derive(Args)]
pub struct Printer {
    #[command(subcommand)]
    command: Command,
}

#[derive(Subcommand)]
enum Command {
    /// Write the page to print and measure
    Page {
        /// What is in the printer
        #[arg(long, default_value = "a4")]
        paper: String,
        /// The PDF to write
        #[arg(short, long, value_name = "FILE", default_value = "printer-page.pdf")]
        output: PathBuf,
    },
    /// Keep what was measured on the page
    Set {
        /// What you call this printer: small letters, digits, _ and -
        name: String,
        /// The measured distance across the feed, millimetres
        #[arg(long, value_name = "MM")]
        across: f64,
        /// The measured distance along the feed, millimetres
        #[arg(long, value_name = "MM")]
        along: f64,
        /// What the rule can be read to, millimetres
        #[arg(long, value_name = "MM", default_value_t = 0.5)]
        rule_step: f64,
        /// The paper of the page that was measured
        #[arg(long, default_value = "a4")]
        paper: String,
        /// The day it was measured; today if left out
        #[arg(long, value_name = "YYYY-MM-DD")]
        date: Option<jiff::civil::Date>,
        /// The file to keep it in, instead of the user's configuration
        #[arg(long, value_name = "FILE")]
        readings: Option<PathBuf>,
    },
    /// List the printers that were measured
    List {
        /// The file that holds the readings
        #[arg(long, value_name = "FILE")]
        readings: Option<PathBuf>,
    },
}

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct Store {
    /// The form of the file.
    printers: u32,
    readings: BTreeMap<String, Reading>,
}

impl Printer {
    pub fn run(self) -> Outcome {
        let done = match self.command {
            Command::Page { paper, output } => page(&paper, &output),
            Command::Set { name, across, along, rule_step, paper, date, readings } => {
                parse_paper(&paper).and_then(|paper| {
                    let today = || jiff::ZonedDateTime::now().date();
                    let reading = Reading {
                        paper: paper.name().to_owned(),
                        across_mm: across,
                        along_mm: along,
                        rule_step_mm: rule_step,
                        date: date.unwrap_or_else(today).to_string(),
                    };
                    set(&name, reading, readings.as_deref())
                })
            }
            Command::List { readings } => list(readings.as_deref()),
        };
        done.unwrap_or_else(|outcome| outcome)
    }
}

/// How to print on a printer that was measured.
pub fn correction(name: &str, paper: &PaperSize, readings: Option<&Path>) -> Result<Correction, Outcome> {
    let file = place(readings)?;
    let store = load(&file)?;
    let Some(reading) = store.readings.get(name) else {
        let names: Vec<&str> = store.readings.keys().map(String::as_str).collect();
        let advice = if names.is_empty() {
            "measure it first: cockpit-cards printer page".to_owned()
        } else {
            suggest::advice(name, names)
        };
        return Err(refuse(&format!("no printer `{name}` was measured"), &advice));
    };
    if reading.paper != paper.name() {
        return Err(refuse(
            &format!("`{name}` was measured on {}, not on {}", reading.paper, paper.name()),
            &format!("measure it with that paper too: cockpit-cards printer page --paper {}", paper.name()),
        ));
    }
    reading.correction().map_err(|wrong| refuse(&format!("{}: {}", file.display(), wrong.what), &wrong.instead))
}

fn parse_paper(text: &str) -> Result<PaperSize, Outcome> {
    PaperSize::parse(text).map_err(|error| refuse(&format!("--paper: {}", error.what), &error.instead))
}

fn page(paper: &str, output: &Path) -> Result<Outcome, Outcome> {
    let paper = parse_paper(paper)?;
    let options =
        pdf::Options { title: "Printer page", subject: "Two distances to measure", ..pdf::Options::default() };
    let bytes = pdf::pdf(&[printer_page(&paper)], &options)
        .map_err(|error| machine_failed("the printer page could not be made", &error))?;
    write_file(output, bytes)?;
    let Distances { across, along } = Distances::on(&paper);
    Ok(say(&format!(
        "wrote {}\nPrint it at actual size, 100 %. Measure both distances between the crosses; true are {across} mm across \
         and {along} mm along. Then:\n  cockpit-cards printer set NAME --across … --along …\n",
        output.display()
    )))
}

fn set(name: &str, reading: Reading, readings: Option<&Path>) -> Result<Outcome, Outcome> {
    let allowed = |character: char| matches!(character, 'a'..='z' | '0'..='9' | '_' | '-');
    if name.is_empty() || !name.chars().all(allowed) {
        return Err(refuse(
            &format!("`{name}` cannot be a printer's name"),
            "use small letters, digits, _ and -: office",
        ));
    }
    let correction = reading.correction().map_err(|wrong| refuse(&wrong.what, &wrong.instead))?;
    let file = place(readings)?;
    let mut store = load(&file)?;
    store.readings.insert(name.to_owned(), reading);
    let text = serde_saphyr::to_string(&store)
        .map_err(|error| machine_failed("the readings could not be written as YAML", &error))?;
    write_file(&file, text.into_bytes())?;
    Ok(say(&format!(
        "kept in {}\n{}\nUse it with: cockpit-cards build --printer {name}\n",
        file.display(),
        correction_words(name, correction)
    )))
}

fn list(readings: Option<&Path>) -> Result<Outcome, Outcome> {
    let file = place(readings)?;
    let store = load(&file)?;
    if store.readings.is_empty() {
        return Ok(say("no printer was measured yet: cockpit-cards printer page\n"));
    }
    let mut text = String::new();
    for (name, reading) in &store.readings {
        let makes = match reading.correction() {
            Ok(Correction { makes, .. }) => {
                format!("{:.2} % across, {:.2} % along", makes.width * 100.0, makes.height * 100.0)
            }
            Err(wrong) => wrong.what,
        };
        text.push_str(&format!("  {name:<16} {:<8} {makes}, measured {}\n", reading.paper, reading.date));
    }
    Ok(say(&text))
}

fn place(readings: Option<&Path>) -> Result<PathBuf, Outcome> {
    match readings {
        Some(file) => Ok(file.to_owned()),
        None => directories::ProjectDirs::from("", "", env!("CARGO_PKG_NAME"))
            .map(|folders| folders.config_dir().join(FILE_NAME))
            .ok_or_else(|| {
                refuse("this user has no folder for configuration", "name a file: --readings printers.yaml")
            }),
    }
}

/// The store as it is; an empty one if there is no file yet. A damaged file is said and left alone.
fn load(file: &Path) -> Result<Store, Outcome> {
    let text = match fs::read_to_string(file) {
        Ok(text) => text,
        Err(error) if error.kind() == io::ErrorKind::NotFound => {
            return Ok(Store { printers: FORM, readings: BTreeMap::new() });
        }
        Err(error) if error.kind() == io::ErrorKind::InvalidData => return Err(damaged(file, "it is no text")),
        Err(error) => return Err(machine_failed(&file.display().to_string(), &error)),
    };
    let store: Store = serde_saphyr::from_str(&text).map_err(|error| damaged(file, &error.to_string()))?;
    if store.printers != FORM {
        return Err(refuse(
            &format!("{} has form {}, and this release knows form {FORM}", file.display(), store.printers),
            "use the release that wrote it, or name another file with --readings",
        ));
    }
    Ok(store)
}

fn damaged(file: &Path, why: &str) -> Outcome {
    refuse(
        &format!("{} is damaged: {why}", file.display()),
        "mend it by hand, or move it away and measure again; it was not touched",
    )
}

fn write_file(file: &Path, bytes: Vec<u8>) -> Result<(), Outcome> {
    let folder = file.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let Some(name) = file.file_name() else {
        return Err(refuse(&format!("{} names no file", file.display()), "name one, like printer-page.pdf"));
    };
    write_all(folder, &[(Path::new(name), bytes)]).map_err(|error| machine_failed("nothing was written", &error))
}
