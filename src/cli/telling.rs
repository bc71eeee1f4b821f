//! All that a run tells: words on standard output and standard error, and data for other programs. Whether there is colour, how wide
//! a line may be and how much is told at all is decided here and nowhere else. Nothing in a name, a path or a file may move the cursor
//! of a terminal, change its title or hide what follows. Knows no book.

use std::ffi::OsString;
use std::fmt::Write as _;
use std::io::{self, Write as _};
use std::sync::atomic::{AtomicBool, Ordering};

use anstream::{AutoStream, ColorChoice};
use clap::{Args, ValueEnum};
use cockpit_cards::book::report::{self, Look};
use cockpit_cards::lines::broken;
use cockpit_cards::wrong::is_hidden;
use serde_json::Value;

use super::{Outcome, machine_failed};

/// No words are broken into lines shorter than this: a narrower terminal breaks them itself.
const LEAST_WIDTH: usize = 40;
/// What the environment calls the width of the terminal, as shells do.
const WIDTH_VARIABLE: &str = "COLUMNS";
/// Help is read, not filled: no line of it is longer.
const MOST_HELP_WIDTH: usize = 100;

/// Whether only problems are told, and what was asked for.
static IS_QUIET: AtomicBool = AtomicBool::new(false);

/// How a run tells, in every command.
#[derive(Args)]
#[command(next_help_heading = "In every command")]
pub struct TellingFlags {
    /// Colours in what is told; auto: on a terminal that has them, unless NO_COLOR is set
    #[arg(long, global = true, value_enum, value_name = "WHEN", default_value_t = Colour::Auto)]
    color: Colour,
    /// Tell only what is wrong, and what was asked for
    #[arg(short, long, global = true)]
    quiet: bool,
}

#[derive(Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Colour {
    Auto,
    Always,
    Never,
}

impl From<Colour> for ColorChoice {
    fn from(colour: Colour) -> Self {
        match colour {
            Colour::Auto => ColorChoice::Auto,
            Colour::Always => ColorChoice::Always,
            Colour::Never => ColorChoice::Never,
        }
    }
}

impl TellingFlags {
    /// Holds from here on.
    pub fn set(&self) {
        ColorChoice::from(self.color).write_global();
        IS_QUIET.store(self.quiet, Ordering::Relaxed);
    }
}

/// The colours that a command line asks for, also one that cannot be understood otherwise; they hold from here on.
pub fn prepare(command: clap::Command, line: impl Iterator<Item = OsString>) -> clap::Command {
    let colour = colour_of(line);
    ColorChoice::from(colour).write_global();
    let choice = match colour {
        Colour::Auto if AutoStream::choice(&io::stderr()) == ColorChoice::Never => clap::ColorChoice::Never,
        Colour::Auto => clap::ColorChoice::Auto,
        Colour::Always => clap::ColorChoice::Always,
        Colour::Never => clap::ColorChoice::Never,
    };
    let width = width_of(&io::stdout()).map_or(MOST_HELP_WIDTH, |width| width.min(MOST_HELP_WIDTH));
    command.color(choice).term_width(width)
}

fn colour_of(line: impl Iterator<Item = OsString>) -> Colour {
    let mut words = line.map(|word| word.to_string_lossy().into_owned()).take_while(|word| word != "--");
    let mut colour = Colour::Auto;
    while let Some(word) = words.next() {
        let asked = match word.strip_prefix("--color") {
            Some("") => words.next(),
            Some(rest) => rest.strip_prefix('=').map(ToOwned::to_owned),
            None => None,
        };
        colour = asked.and_then(|asked| Colour::from_str(&asked, false).ok()).unwrap_or(colour);
    }
    colour
}

/// Whether only problems are told, and what was asked for.
pub fn is_quiet() -> bool {
    IS_QUIET.load(Ordering::Relaxed)
}

/// Whether something that moves on the terminal may be drawn: not where the terminal has nothing but lines.
pub fn may_draw() -> bool {
    !is_quiet() && std::env::var_os("TERM").is_none_or(|terminal| terminal != "dumb")
}

/// How a report on standard error looks there.
pub fn look() -> Look {
    let stderr = io::stderr();
    Look { colour: AutoStream::choice(&stderr) != ColorChoice::Never, width: width_of(&stderr) }
}

/// How many letters a line may have: what the environment says, else what the terminal says; `None` where nobody says it.
fn width_of(stream: &impl Stream) -> Option<usize> {
    let said = std::env::var(WIDTH_VARIABLE).ok().and_then(|width| width.trim().parse::<usize>().ok());
    said.filter(|width| *width > 0).or_else(|| stream.width()).map(|width| width.max(LEAST_WIDTH))
}

/// A stream that may be a terminal.
trait Stream {
    fn width(&self) -> Option<usize>;
}

impl Stream for io::Stdout {
    fn width(&self) -> Option<usize> {
        terminal_size::terminal_size_of(self).map(|(width, _)| usize::from(width.0)).filter(|width| *width > 0)
    }
}

impl Stream for io::Stderr {
    fn width(&self) -> Option<usize> {
        terminal_size::terminal_size_of(self).map(|(width, _)| usize::from(width.0)).filter(|width| *width > 0)
    }
}

/// Prints what was asked for to standard output, in words.
pub fn say(words: &str) -> Outcome {
    say_data(&fitted(&report::safe_text(words), &io::stdout()))
}

/// Prints to standard output what a run did; nothing where only problems are told.
pub fn say_done(words: &str) -> Outcome {
    if is_quiet() { Outcome::Done } else { say(words) }
}

/// Prints JSON to standard output. What could upset a terminal is in it as an escape, so that no name is told otherwise than it is.
pub fn say_json(value: &Value) -> Outcome {
    let mut text = String::new();
    for character in format!("{value:#}\n").chars() {
        if character != '\n' && (character.is_control() || is_hidden(character)) {
            // Such characters stand in texts and nowhere else.
            for unit in character.encode_utf16(&mut [0; 2]) {
                let _ = write!(text, "\\u{unit:04x}");
            }
        } else {
            text.push(character);
        }
    }
    say_data(&text)
}

/// Prints a text of our own to standard output as it is. A closed pipe is a reader who has seen enough.
pub fn say_data(text: &str) -> Outcome {
    told(io::stdout().write_all(text.as_bytes()).and_then(|()| io::stdout().flush()))
}

/// Prints words to standard error.
pub fn complain_in_words(words: &str) {
    complain_in_report(&fitted(&report::safe_text(words), &io::stderr()));
}

/// Prints a report to standard error, whose colours are its own and whose words are safe. Consoles that know colours but not the
/// letters for them get them their own way.
pub fn complain_in_report(report: &str) {
    // Where even standard error is closed there is nobody left to tell.
    let _ = AutoStream::auto(io::stderr()).write_all(report.as_bytes());
}

/// Tells what a command line that cannot be run is answered: help that was asked for, or what is wrong with it.
pub fn answer_command_line(answer: &clap::Error) -> Outcome {
    let is_help = !answer.use_stderr();
    let outcome = if is_help { Outcome::Done } else { Outcome::BadBook };
    let has_odd_letters =
        |argument: OsString| report::safe_words(&argument.to_string_lossy()) != argument.to_string_lossy();
    let told = if std::env::args_os().any(has_odd_letters) {
        // The answer repeats them; without its colours it is words like others.
        complain_in_words(&answer.render().to_string());
        Ok(())
    } else {
        answer.print()
    };
    match told {
        Err(error) if is_help => self::told(Err(error)),
        _ => outcome,
    }
}

/// Words in lines that fit where they go.
fn fitted(words: &str, stream: &impl Stream) -> String {
    width_of(stream).map_or_else(|| words.to_owned(), |width| broken(words, width))
}

fn told(written: io::Result<()>) -> Outcome {
    match written {
        Ok(()) => Outcome::Done,
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Outcome::Done,
        Err(error) => machine_failed("standard output", &error),
    }
}
