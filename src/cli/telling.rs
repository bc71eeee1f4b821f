//! All that a run tells: words on standard output and standard error, and data for other programs. Nothing in a name, a path or a
//! file may move the cursor of a terminal, change its title or hide what follows. Knows no book.

use std::fmt::Write as _;
use std::io::{self, Write as _};

use cockpit_cards::book::report;
use cockpit_cards::wrong::is_hidden;
use serde_json::Value;

use super::{Outcome, machine_failed};

/// Prints words to standard output.
pub fn say(words: &str) -> Outcome {
    say_data(&report::safe_text(words))
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
    complain_in_report(&report::safe_text(words));
}

/// Prints a report to standard error, whose colours are its own and whose words are safe.
pub fn complain_in_report(report: &str) {
    // Where even standard error is closed there is nobody left to tell.
    let _ = io::stderr().write_all(report.as_bytes());
}

/// Tells what a command line that cannot be run is answered: help that was asked for, or what is wrong with it.
pub fn answer_command_line(answer: &clap::Error) -> Outcome {
    let is_help = !answer.use_stderr();
    let outcome = if is_help { Outcome::Done } else { Outcome::BadBook };
    let has_odd_letters =
        |argument: std::ffi::OsString| report::safe_words(&argument.to_string_lossy()) != argument.to_string_lossy();
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

fn told(written: io::Result<()>) -> Outcome {
    match written {
        Ok(()) => Outcome::Done,
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Outcome::Done,
        Err(error) => machine_failed("standard output", &error),
    }
}
