//! The logs that what was sailed is compared by, and the numbers that go with them: flags that several commands share. What is wrong with
//! a log is told before anything is said of it.

use std::collections::BTreeMap;
use std::io::BufReader;
use std::path::PathBuf;

use clap::Args;
use cockpit_cards::disk::Failure;
use cockpit_cards::disk::open::{Found, open};
use cockpit_cards::limits;
use cockpit_cards::logs::{self, Level, Read};
use cockpit_cards::season::steady::{Steadiness, Why};
use cockpit_cards::season::{Block, Options};
use cockpit_cards::tuning::mark;
use cockpit_cards::tuning::watches::time_zone;
use jiff::SignedDuration;
use jiff::tz::TimeZone;

use super::super::day::{self, Day};
use super::super::typed;
use super::super::{Outcome, complain_in_words, failed, machine_failed, refuse};

/// No instrument clock is out by more: a day.
const MOST_OFFSET_S: f64 = 86_400.0;
const MILLISECONDS: f64 = 1000.0;
const PERCENT: f64 = 100.0;
/// No turn is wider, and no wind comes from farther around.
const HALF_CIRCLE_DEG: f64 = 180.0;

#[derive(Args)]
pub struct Logs {
    /// Logs of the instruments in order of time: tables (CSV) or NMEA 0183 sentences
    #[arg(long = "log", value_name = "FILE", num_args = 1..)]
    files: Vec<PathBuf>,
    /// Seconds to add to the times of the logs: 10 if the clock of the instruments is ten seconds slow
    #[arg(long, value_name = "SECONDS", value_parser = typed::seconds, allow_hyphen_values = true, default_value_t = 0.0)]
    clock_offset: f64,
    /// The time zone of logs that do not say theirs; that of the notes if none is given
    #[arg(long, value_name = "NAME")]
    log_zone: Option<String>,
    /// The day on which a log begins whose times have none: 2027-06-12
    #[arg(long, value_name = "DAY", value_parser = day::typed)]
    log_day: Option<Day>,
    /// How long a steady block of a log is, seconds
    #[arg(long, value_name = "SECONDS", value_parser = typed::whole_seconds, default_value_t = Steadiness::default().block_seconds)]
    block: u32,
    /// The least share of its records that a block must hold, percent
    #[arg(long, value_name = "PERCENT", value_parser = typed::percent, default_value_t = PERCENT * Steadiness::default().least_share)]
    records: f64,
    /// How far a block must be clear of a tack, a gybe or a turn, seconds
    #[arg(long, value_name = "SECONDS", value_parser = typed::whole_seconds, default_value_t = Steadiness::default().clear_seconds)]
    clear: u32,
    /// A turn is one by more than this
    #[arg(long, value_name = "DEGREES", value_parser = typed::degrees, default_value_t = Steadiness::default().turn_deg)]
    turn: f64,
    /// The scatter of the true wind angle that is still steady (standard deviation)
    #[arg(long, value_name = "DEGREES", value_parser = typed::degrees, default_value_t = Steadiness::default().angle_scatter_deg)]
    angle_within: f64,
    /// The scatter of the true wind speed that is still steady (standard deviation)
    #[arg(long, value_name = "PERCENT", value_parser = typed::percent, default_value_t = PERCENT * Steadiness::default().wind_scatter)]
    wind_within: f64,
    /// A gain under this many percent is not worth a change
    #[arg(long, value_name = "PERCENT", value_parser = typed::percent, default_value_t = Options::default().worth_percent)]
    worth: f64,
}

/// What the logs hold.
pub struct Logged {
    pub blocks: Vec<Block>,
    /// Blocks that were dropped, by reason.
    pub left_out: BTreeMap<String, usize>,
    /// The numbers of the comparison.
    pub options: Options,
    /// Those and the numbers by which the logs were read, in words.
    pub words: String,
}

impl Logs {
    /// Reads them; the zone is that of the notes.
    pub fn read(&self, zone: &TimeZone) -> Result<Logged, Outcome> {
        let options = self.options(zone)?;
        let worth = Options { worth_percent: self.worth, ..Options::default() };
        let mut opened = Vec::new();
        for path in &self.files {
            let file = match open(path).map_err(|error| machine_failed("a log cannot be read", &error))? {
                Found::File(file) => file,
                Found::NoFile(what) => return Err(failed(Failure::Bad(what.wrong(path)), "a log cannot be read")),
                Found::Missing | Found::TooLarge => {
                    return Err(refuse(
                        &format!("there is no log {}", path.display()),
                        "check the path and its spelling",
                    ));
                }
            };
            opened.push((path.display().to_string(), BufReader::new(file)));
        }
        let named = opened.iter_mut().map(|(name, file)| (name.as_str(), file));
        let read = logs::read_all(named, &options);
        tell(&read)?;
        let mut left_out = BTreeMap::new();
        for why in Why::ALL {
            let count = read.dropped_for(why);
            if count > 0 {
                left_out.insert(why.key().to_owned(), count);
            }
        }
        let words = self.words(&options.steadiness, &worth);
        Ok(Logged { blocks: read.blocks, left_out, options: worth, words })
    }

    fn options(&self, zone: &TimeZone) -> Result<logs::Options, Outcome> {
        if !limits::BLOCK_SECONDS.contains(&self.block) {
            let (least, most) = (limits::BLOCK_SECONDS.start(), limits::BLOCK_SECONDS.end());
            return Err(refuse(
                &format!("--block {} is no length for a block", self.block),
                &format!("write {least} to {most}"),
            ));
        }
        if !self.clock_offset.is_finite() || self.clock_offset.abs() > MOST_OFFSET_S {
            return Err(refuse(
                "--clock-offset is more than a day",
                "write the seconds that the clock of the instruments is slow",
            ));
        }
        let numbers = [
            ("--worth", self.worth, PERCENT, "percent, like 1"),
            ("--records", self.records, PERCENT, "percent, like 75"),
            ("--turn", self.turn, HALF_CIRCLE_DEG, "degrees, like 15"),
            ("--angle-within", self.angle_within, HALF_CIRCLE_DEG, "degrees, like 5"),
            ("--wind-within", self.wind_within, PERCENT, "percent, like 15"),
        ];
        for (flag, number, most, example) in numbers {
            if !(number > 0.0 && number <= most) {
                return Err(refuse(&format!("{flag} {number} cannot be"), &format!("write {example}")));
            }
        }
        let zone = match &self.log_zone {
            None => zone.clone(),
            Some(name) => {
                time_zone(name).map_err(|error| refuse(&format!("--log-zone: {}", error.what()), &error.instead()))?
            }
        };
        Ok(logs::Options {
            zone: Some(zone),
            day: self.log_day.as_ref().and_then(|day| day.parse().ok()),
            clock_offset: SignedDuration::from_millis((self.clock_offset * MILLISECONDS).round() as i64),
            steadiness: Steadiness {
                block_seconds: self.block,
                least_share: self.records / PERCENT,
                clear_seconds: self.clear,
                turn_deg: self.turn,
                angle_scatter_deg: self.angle_within,
                wind_scatter: self.wind_within / PERCENT,
            },
        })
    }

    fn words(&self, steadiness: &Steadiness, options: &Options) -> String {
        let logs = match self.files.len() {
            0 => "No log was given, so no note has a performance.".to_owned(),
            1 => "One log was read.".to_owned(),
            count => format!("{count} logs were read."),
        };
        format!(
            "{logs} Steady: blocks of {} s with {} % of their records, {} s clear of tacks, gybes and turns of {}°, wind angle within {}° and wind speed within {} % (standard deviations). A note speaks from {} s after it, for {} h at most. Worth a change: {} %.",
            steadiness.block_seconds,
            mark::print_decimal(steadiness.least_share * PERCENT),
            steadiness.clear_seconds,
            mark::print_decimal(steadiness.turn_deg),
            mark::print_decimal(steadiness.angle_scatter_deg),
            mark::print_decimal(steadiness.wind_scatter * PERCENT),
            mark::print_decimal(options.settling_s),
            mark::print_decimal(options.longest_s / 3600.0),
            mark::print_decimal(options.worth_percent),
        )
    }
}

/// Tells what was wrong with the logs and how they were read; an error is a log of which nothing, or not all, could be read.
fn tell(read: &Read) -> Result<(), Outcome> {
    for (level, word) in [(Level::Warning, "warning"), (Level::Note, "note")] {
        for told in read.told.iter().filter(|told| told.level() == level) {
            complain_in_words(&format!("{word}: {told}\n"));
        }
    }
    let errors: Vec<String> =
        read.told.iter().filter(|told| told.level() == Level::Error).map(ToString::to_string).collect();
    match errors.split_first() {
        None => Ok(()),
        Some((first, rest)) => {
            for error in rest {
                complain_in_words(&format!("error: {error}\n"));
            }
            Err(refuse(first, "nothing was compared: leave that log out, or save it anew"))
        }
    }
}
