//! Where the readings of printers are kept, and getting them from there and back whole.

use std::fs::{self, File};
use std::io::{self, Read as _};
use std::path::{Path, PathBuf};

use clap::Args;
use cockpit_cards::book::suggest;
use cockpit_cards::limits::MAX_READINGS_BYTES;
use cockpit_cards::output::write::write_all;
use cockpit_cards::paper::printer::Reading;
use cockpit_cards::paper::readings::Readings;
use cockpit_cards::paper::{Correction, Flip, PaperSize};

use super::feed::FeedFlag;
use super::{Outcome, machine_failed, refuse};

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
        let text = match read(&path) {
            Ok(text) => text,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(Readings::default()),
            Err(error) if error.kind() == io::ErrorKind::InvalidData => {
                return Err(refuse(
                    &format!("{name} is damaged: {error}"),
                    "correct it, or move it away and measure again; it is left as it is",
                ));
            }
            Err(error) => return Err(machine_failed(&format!("{name} cannot be read"), &error)),
        };
        Readings::from_yaml(&text)
            .map_err(|refusal| refuse(&format!("{name} is damaged: {}", refusal.what), &refusal.instead))
    }

    pub fn save(&self, readings: &Readings) -> Result<PathBuf, Outcome> {
        let path = self.path()?;
        let text = readings.to_yaml().map_err(|refusal| refuse(&refusal.what, &refusal.instead))?;
        // A link stays a link: the file behind it is the one that is replaced.
        let place = path.canonicalize().unwrap_or_else(|_| path.clone());
        let Some(name) = place.file_name() else {
            return Err(refuse(&format!("--readings {}: names no file", path.display()), "name one: printers.yaml"));
        };
        let folder = place.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."));
        match write_all(folder, &[(Path::new(name), text)]) {
            Ok(()) => Ok(path),
            Err(error) => Err(machine_failed("the reading was not kept", &error)),
        }
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

fn read(path: &Path) -> io::Result<String> {
    if fs::metadata(path)?.is_dir() {
        return Err(io::Error::new(io::ErrorKind::IsADirectory, "it is a directory"));
    }
    let mut text = String::new();
    let mut file = File::open(path)?.take(MAX_READINGS_BYTES as u64 + 1);
    file.read_to_string(&mut text)?;
    if text.len() > MAX_READINGS_BYTES {
        return Err(io::Error::new(
            io::ErrorKind::InvalidData,
            "it is larger than 1 MB, far longer than a list of printers",
        ));
    }
    Ok(text)
}
