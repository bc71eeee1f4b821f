//! The list of measured printers as a small YAML text. Knows the text's shape; reads and writes no file.

use serde::{Deserialize, Serialize};

use super::printer::Reading;
use crate::own_yaml;
use crate::wrong::Wrong;

/// The shape of the text; a later shape has a higher number.
const FORMAT: u32 = 1;
/// What a person finds who opens the file.
const HEADING: &str = "# Printers as they were measured. `cockpit-cards printer set` writes this file, `build --printer NAME` reads it.\n";

#[derive(Debug, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    readings: u32,
    printers: Vec<Reading>,
}

/// Every measured printer, in the order they were first measured.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Readings(Vec<Reading>);

impl Readings {
    /// # Errors
    /// The text is not such a list, or holds a reading that no printer has.
    pub fn from_yaml(text: &str) -> Result<Readings, Wrong> {
        let damaged = |what: String| Wrong {
            what,
            instead: "correct it, or move it away and measure again; it is left as it is".to_owned(),
        };
        let file: File = own_yaml::read(text).map_err(damaged)?;
        if file.readings != FORMAT {
            return Err(damaged(format!("its shape is number {}, and this program knows {FORMAT}", file.readings)));
        }
        for (index, reading) in file.printers.iter().enumerate() {
            reading.check().map_err(|refusal| damaged(format!("printer {}: {}", reading.name, refusal.what)))?;
            if file.printers[..index].iter().any(|other| other.name == reading.name) {
                return Err(damaged(format!("printer {} is in it twice", reading.name)));
            }
        }
        Ok(Readings(file.printers))
    }

    /// The whole text.
    ///
    /// # Errors
    /// Only if a writer in memory fails.
    pub fn to_yaml(&self) -> Result<String, Wrong> {
        let file = File { readings: FORMAT, printers: self.0.clone() };
        let yaml = serde_saphyr::to_string(&file).map_err(|error| Wrong {
            what: format!("the readings could not be written: {error}"),
            instead: "this is a fault of the program: please report it".to_owned(),
        })?;
        Ok(format!("{HEADING}{yaml}"))
    }

    /// The reading of the printer of this name.
    pub fn get(&self, name: &str) -> Option<&Reading> {
        self.0.iter().find(|reading| reading.name == name)
    }

    /// Adds a reading in place of an earlier one of that name.
    pub fn set(&mut self, reading: Reading) {
        match self.0.iter_mut().find(|known| known.name == reading.name) {
            Some(known) => *known = reading,
            None => self.0.push(reading),
        }
    }

    /// Each reading, in the order the printers were first measured.
    pub fn iter(&self) -> std::slice::Iter<'_, Reading> {
        self.0.iter()
    }

    /// Whether no printer has been measured.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}
