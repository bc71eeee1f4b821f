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
use cockpit_cards::paper::printer::{Feed, Reading};
use cockpit_cards::paper::readings::Readings;

use super::feed::FeedFlag;
use super::{Outcome, Stopped, failed, locked_files, machine_failed, refuse, stopped};

/// What `--printer` is given for no printer in particular.
pub const NO_PRINTER: &str = "none";
const FILE_NAME: &str = "printers.yaml";

/// The printer that a print is for.
#[derive(Args, Clone)]
pub struct MeasuredPrinter {
    /// Make up for the error of this printer, as measured with `printer page`; as the book says if left out; none: of no printer
    #[arg(long, value_name = "NAME")]
    printer: Option<String>,
    #[command(flatten)]
    store: Store,
    /// The edge of the paper that goes in first, if not as when the printer was measured
    #[arg(long, value_enum)]
    feed: Option<FeedFlag>,
}

impl MeasuredPrinter {
    /// The name on the command line.
    pub fn name(&self) -> Option<&str> {
        self.printer.as_deref()
    }

    /// The edge that goes in first, where the command line says it.
    pub fn feed(&self) -> Option<Feed> {
        self.feed.map(Into::into)
    }

    /// The reading of a printer that has to be known; whoever named it, other than the command line, is told of in a refusal.
    pub fn find(&self, name: &str, named_by: Option<&str>) -> Result<Reading, Outcome> {
        self.store.find(name, named_by)
    }

    /// The reading of a printer that another machine may know and this one not.
    pub fn known(&self, name: &str) -> Result<Option<Reading>, Stopped> {
        // Where there is no place for readings there are none.
        if self.store.place().is_err() {
            return Ok(None);
        }
        Ok(self.store.read()?.get(name).cloned())
    }
}

/// Which file holds the readings.
#[derive(Args, Clone)]
pub struct Store {
    /// The file of printer readings; your own configuration directory's if none is named
    #[arg(long, value_name = "FILE")]
    readings: Option<PathBuf>,
}

impl Store {
    pub fn path(&self) -> Result<PathBuf, Outcome> {
        self.place().map_err(Stopped::say)
    }

    fn place(&self) -> Result<PathBuf, Stopped> {
        if let Some(path) = &self.readings {
            return Ok(path.clone());
        }
        // Without HOME, the system's list of users would be asked, on many systems through a socket; this program opens none.
        let is_homeless = cfg!(unix) && std::env::var_os("HOME").is_none_or(|home| home.is_empty());
        let own = || directories::ProjectDirs::from("", "", env!("CARGO_PKG_NAME"));
        match (!is_homeless).then(own).flatten() {
            Some(directories) => Ok(directories.config_dir().join(FILE_NAME)),
            None => Err(Stopped::refused(
                "this system names no home directory, so there is no place for printer readings",
                "name a file: --readings printers.yaml",
            )),
        }
    }

    /// The readings; none where there is no file yet.
    pub fn load(&self) -> Result<Readings, Outcome> {
        self.read().map_err(Stopped::say)
    }

    /// As [`load`](Self::load), and says nothing.
    fn read(&self) -> Result<Readings, Stopped> {
        let path = self.place()?;
        let name = path.display();
        const REMEDY: &str = "correct it, or move it away and measure again; it is left as it is";
        let damaged = |what: &str| Stopped::refused(&format!("{name} is damaged: {what}"), REMEDY);
        let found = open::read(&path, MAX_READINGS_BYTES);
        let bytes = match found.map_err(|error| Stopped::machine("the readings cannot be read", &error))? {
            Found::File(bytes) => bytes,
            Found::Missing => return Ok(Readings::default()),
            Found::NoFile(what) => return Err(stopped(Failure::Bad(what.wrong(&path)), "the readings cannot be read")),
            Found::TooLarge => return Err(damaged("it is larger than 1 MB, far longer than a list of printers")),
        };
        let text = String::from_utf8(bytes).map_err(|_| damaged("it is no text"))?;
        Readings::from_yaml(&text)
            .map_err(|refusal| Stopped::refused(&format!("{name} is damaged: {}", refusal.what), &refusal.instead))
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

    /// The reading of one printer, by name, and who named it.
    fn find(&self, name: &str, named_by: Option<&str>) -> Result<Reading, Outcome> {
        let readings = self.load()?;
        if let Some(reading) = readings.get(name) {
            return Ok(reading.clone());
        }
        let advice = if readings.is_empty() {
            "measure it first: cockpit-cards printer page -o printer.pdf".to_owned()
        } else {
            suggest::advice(name, readings.iter().map(|reading| reading.name.as_str()).collect::<Vec<_>>())
        };
        let named_by = named_by.map(|who| format!("{who}: ")).unwrap_or_default();
        Err(refuse(&format!("{named_by}no printer called `{name}` has been measured"), &advice))
    }
}
