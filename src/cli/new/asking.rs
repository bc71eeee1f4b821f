//! The questions of `new`: what the boat has, line by line on a terminal. Every answer is looked at and asked for again where it cannot
//! be taken. Writes no file.

use std::io::{self, BufRead, Write};

use cockpit_cards::book::report::safe_text;
use cockpit_cards::book::starter::{Boat, Has, Lengths, MOST_HEADSAILS, USUAL};
use cockpit_cards::drawing::font::has_glyph;
use cockpit_cards::wrong::{Wrong, shown};

/// The longest name that is taken; a longer one leaves no room on a card.
const MOST_NAME_CHARACTERS: usize = 60;
/// What ends a range of numbers, as in a book.
const TO: &str = "..";

/// Somebody who answers.
pub struct Talk<'a> {
    pub input: &'a mut dyn BufRead,
    pub output: &'a mut dyn Write,
}

/// What the boat has; `None` if the answers ended before all was said. A name that is given is not asked for.
pub fn ask(talk: &mut Talk<'_>, name: Option<&str>) -> io::Result<Option<Boat>> {
    talk.say(
        "What the boat has, in five questions. Nothing is written before the last is answered; Ctrl-C leaves.\n\n",
    )?;
    let name = match name {
        Some(name) => name.to_owned(),
        None => match talk.answer("Her name", name_of)? {
            Some(name) => name,
            None => return Ok(None),
        },
    };
    let Some(lengths) = talk.answer("Measured in millimetres or inches? (mm or in)", lengths_of)? else {
        return Ok(None);
    };
    let listed = USUAL.iter().enumerate().map(|(index, usual)| {
        let dock = if usual.is_set_at_the_dock() { ", set at the dock" } else { "" };
        format!("  {:>2}  {}{dock}\n", index + 1, usual.name)
    });
    talk.say(&format!("\nWhat is set on her?\n{}", listed.collect::<String>()))?;
    let question = "Numbers, like 1 3 5..7, or all";
    let some = |text: &str| {
        let chosen = numbers_of(text, USUAL.len())?;
        if chosen.is_empty() { Err(Wrong::new("nothing is chosen", "choose one at least: 1")) } else { Ok(chosen) }
    };
    let Some(chosen) = talk.answer(question, some)? else { return Ok(None) };
    let Some(tapes) = talk.tapes(&chosen)? else { return Ok(None) };
    let question = format!("How many headsails? (0 to {MOST_HEADSAILS})");
    let Some(headsails) = talk.answer(&question, headsails_of)? else { return Ok(None) };
    let controls = USUAL.iter().enumerate().filter(|(index, _)| chosen.contains(&(index + 1)));
    let controls = controls.map(|(index, control)| Has { control, tapes: tapes.contains(&(index + 1)) }).collect();
    Ok(Some(Boat { name, lengths, controls, headsails }))
}

impl Talk<'_> {
    fn say(&mut self, words: &str) -> io::Result<()> {
        write!(self.output, "{}", safe_text(words))?;
        self.output.flush()
    }

    /// An answer that can be taken; `None` if there are no more.
    fn answer<T>(&mut self, question: &str, read: impl Fn(&str) -> Result<T, Wrong>) -> io::Result<Option<T>> {
        loop {
            self.say(&format!("{question}: "))?;
            let mut line = Vec::new();
            if self.input.read_until(b'\n', &mut line)? == 0 {
                self.say("\n")?;
                return Ok(None);
            }
            // What is no text holds no answer that could be taken, and is shown as far as it can be.
            match read(String::from_utf8_lossy(&line).trim()) {
                Ok(value) => return Ok(Some(value)),
                Err(wrong) => self.say(&format!("  {}; {}\n", wrong.what, wrong.instead))?,
            }
        }
    }

    /// Which of the chosen controls have tapes, by their numbers.
    fn tapes(&mut self, chosen: &[usize]) -> io::Result<Option<Vec<usize>>> {
        let can = |number: &usize| {
            number.checked_sub(1).and_then(|index| USUAL.get(index)).is_some_and(|usual| usual.can_have_tapes())
        };
        let could: Vec<usize> = chosen.iter().copied().filter(can).collect();
        if could.is_empty() {
            return Ok(Some(Vec::new()));
        }
        let listed = could.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
        let question = format!(
            "Numbered marks, or coloured tapes? Numbers of those with tapes, of {listed} (Enter: none, or all)"
        );
        self.answer(&question, |text| {
            if text.eq_ignore_ascii_case("all") {
                return Ok(could.clone());
            }
            let tapes = if text.is_empty() || text.eq_ignore_ascii_case("none") {
                Vec::new()
            } else {
                numbers_of(text, USUAL.len())?
            };
            match tapes.iter().find(|number| !could.contains(number)) {
                Some(number) => Err(Wrong::new(
                    format!("{number} cannot have tapes, or was not chosen"),
                    format!("write some of {listed}"),
                )),
                None => Ok(tapes),
            }
        })
    }
}

fn name_of(text: &str) -> Result<String, Wrong> {
    if text.is_empty() {
        return Err(Wrong::new("every card bears her name", "write it, like Pepperwort"));
    }
    if let Some(letter) = text.chars().find(|letter| letter.is_control() || !has_glyph(*letter)) {
        return Err(Wrong::new(
            format!("{} cannot be printed", shown(&letter.to_string())),
            "write it with other letters",
        ));
    }
    if text.chars().count() > MOST_NAME_CHARACTERS {
        return Err(Wrong::new("that is too long for a card", format!("write at most {MOST_NAME_CHARACTERS} letters")));
    }
    Ok(text.to_owned())
}

fn lengths_of(text: &str) -> Result<Lengths, Wrong> {
    match text.to_lowercase().as_str() {
        "mm" | "m" | "cm" | "metric" | "millimetres" => Ok(Lengths::Metric),
        "in" | "inch" | "inches" | "ft" | "\"" => Ok(Lengths::Inches),
        _ => Err(Wrong::new(format!("{} is neither", shown(text)), "write mm or in")),
    }
}

fn headsails_of(text: &str) -> Result<usize, Wrong> {
    let number = text.parse::<usize>().ok().filter(|number| *number <= MOST_HEADSAILS);
    number.ok_or_else(|| {
        Wrong::new(
            format!("{} cannot be taken", shown(text)),
            format!("write a whole number from 0 to {MOST_HEADSAILS}; more can be added to the book"),
        )
    })
}

/// Numbers of a list with gaps or commas between them, and ranges of them; each once, in the order of the list.
fn numbers_of(text: &str, most: usize) -> Result<Vec<usize>, Wrong> {
    if text.eq_ignore_ascii_case("all") {
        return Ok((1..=most).collect());
    }
    let one = |text: &str| {
        let number = text.trim().parse::<usize>().ok().filter(|number| (1..=most).contains(number));
        number.ok_or_else(|| {
            Wrong::new(
                format!("{} is no number of the list", shown(text)),
                format!("write numbers from 1 to {most}, like 1 3 5..7"),
            )
        })
    };
    let mut numbers = Vec::new();
    for word in text.split([' ', ',', ';', '\t']).filter(|word| !word.is_empty()) {
        match word.split_once(TO) {
            None => numbers.push(one(word)?),
            Some((first, last)) => {
                let (first, last) = (one(first)?, one(last)?);
                if first > last {
                    return Err(Wrong::new(
                        format!("{} does not rise", shown(word)),
                        format!("write {last}{TO}{first}"),
                    ));
                }
                numbers.extend(first..=last);
            }
        }
    }
    numbers.sort_unstable();
    numbers.dedup();
    Ok(numbers)
}
