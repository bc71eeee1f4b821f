//! Where the readings of printers are kept, and getting them from there and back whole.

use std::fs;
use std::path::PathBuf;

use clap::Args;
use cockpit_cards::book::suggest;
use cockpit_cards::disk::open::{self, Found};
use cockpit_cards::disk::place::Place;
use cockpit_cards::disk::real::real;
use cockpit_cards::disk::{Failure, folder_of};
use cockpit_cards::limits::MAX_READINGS_BYTES;
use cockpit_cards::paper::printer::Reading;
use cockpit_cards::paper::readings::Readings;
use cockpit_cards::paper::{Correction, Flip, PaperSize};

use super::feed::FeedFlag;
use super::{Outcome, failed, locked_files, machine_failed, refuse};

const FILE_NAME: &str = "printers.yaml";

/// The printer that a print is for.
#[derive(Args)]
pub struct MeasuredPrinter {
    /// Make up for the error of this printer, as measured with `printer page`
    #[arg(long, value_name = "NAME")]
    printer: Option<String>,
    #[command(flatten)]
    store: Store,
    /// The edge of the paper that goes in first, if not as when the printer was measured
    #[arg(long, value_enum, requires = "printer")]
    feed: Option<FeedFlag>,
}

impl MeasuredPrinter {
    /// What makes up for its error on this paper, turned like this for its back; nothing if no printer is named.
    pub fn correction(&self, paper: &PaperSize, flip: Flip) -> Result<Option<Correction>, Outcome> {
        let Some(name) = &self.printer else { return Ok(None) };
        let reading = self.store.find(name)?;
        let correction = Correction::new(&reading, paper, self.feed.map(Into::into), flip);
        correction.map(Some).map_err(|refusal| refuse(&refusal.what, &refusal.instead))
    }
}

/// Which file holds the readings.
#[derive(Args)]
pub struct Store {
    /// The file of printer readings; your own configuration directory's if none is named
    #[arg(long, value_name = "FILE")]
    readings: Option<PathBuf>,
}

impl Store {
    pub fn path(&self) -> Result<PathBuf, Outcome> {
        if let Some(path) = &self.readings {
            return Ok(path.clone());
        }
        // Without HOME, the system's list of users would be asked, on many systems through a socket; this program opens none.
        let is_homeless = cfg!(unix) && std::env::var_os("HOME").is_none_or(|home| home.is_empty());
        let own = || directories::ProjectDirs::from("", "", env!("CARGO_PKG_NAME"));
        match (!is_homeless).then(own).flatten() {
            Some(directories) => Ok(directories.config_dir().join(FILE_NAME)),
            None => Err(refuse(
                "this system names no home directory, so there is no place for printer readings",
                "name a file: --readings printers.yaml",
            )),
        }
    }

    /// The readings; none where there is no file yet.
    pub fn load(&self) -> Result<Readings, Outcome> {
        let path = self.path()?;
        let name = path.display();
        const REMEDY: &str = "correct it, or move it away and measure again; it is left as it is";
        let damaged = |what: &str| refuse(&format!("{name} is damaged: {what}"), REMEDY);
        let found = open::read(&path, MAX_READINGS_BYTES);
        let bytes = match found.map_err(|error| machine_failed("the readings cannot be read", &error))? {
            Found::File(bytes) => bytes,
            Found::Missing => return Ok(Readings::default()),
            Found::NoFile(what) => return Err(failed(Failure::Bad(what.wrong(&path)), "the readings cannot be read")),
            Found::TooLarge => return Err(damaged("it is larger than 1 MB, far longer than a list of printers")),
        };
        let text = String::from_utf8(bytes).map_err(|_| damaged("it is no text"))?;
        Readings::from_yaml(&text)
            .map_err(|refusal| refuse(&format!("{name} is damaged: {}", refusal.what), &refusal.instead))
    }

    /// Changes the readings, with every other run kept off them; where they are kept.
    pub fn change(&self, change: impl FnOnce(&mut Readings) -> Result<(), Outcome>) -> Result<PathBuf, Outcome> {
        const NOT_KEPT: &str = "the reading was not kept";
        let path = self.path()?;
        if path.file_name().is_none() {
            return Err(refuse(&format!("--readings {}: names no file", path.display()), "name one: printers.yaml"));
        }
        let folder = real(&path);
        let folder = folder_of(&folder);
        fs::create_dir_all(folder)
            .map_err(|error| machine_failed(NOT_KEPT, &format!("{}: {error}", path.display())))?;
        let _lock = locked_files(&[&path])?;
        let mut readings = self.load()?;
        let place = Place::of(&path).map_err(|failure| failed(failure, NOT_KEPT))?;
        change(&mut readings)?;
        let text = readings.to_yaml().map_err(|refusal| refuse(&refusal.what, &refusal.instead))?;
        place.put(text.as_bytes()).map_err(|error| machine_failed(NOT_KEPT, &error))?;
        Ok(path)
    }

    /// The reading of one printer, by name.
    pub fn find(&self, name: &str) -> Result<Reading, Outcome> {
        let readings = self.load()?;
        if let Some(reading) = readings.get(name) {
            return Ok(reading.clone());
        }
        let advice = if readings.is_empty() {
            "measure it first: cockpit-cards printer page -o printer.pdf".to_owned()
        } else {
            suggest::advice(name, readings.iter().map(|reading| reading.name.as_str()).collect::<Vec<_>>())
        };
        Err(refuse(&format!("no printer called `{name}` has been measured"), &advice))
    }
}
