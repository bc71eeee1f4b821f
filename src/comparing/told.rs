//! What a comparison says, in words, for the terminal and for the page alike. Compares nothing and lays nothing out.

use serde::Serialize;

use crate::book::{Book, Control, WindUnit};
use crate::cards::parts::words::called;
use crate::season::performance::HeldAgainst;
use crate::season::propose::{Answer, Basis, Side};
use crate::season::question::{CHECKPOINTS, Told};
use crate::season::{Asking, Cell, Compared, Comparison, Input, Note, Noted, Verdict, print};
use crate::tuning::{Angle, Wind, mark};

/// Why notes of different days are not held against each other, and what is done instead.
pub const WHY_TRIALS: [&str; 5] = [
    "The day, the helm and the sea move the boat more than a mark on most controls does, so notes of different days cannot tell two settings \
     apart, however many minutes they hold.",
    "So compare inside one hour: a mark below, the card's mark, a mark above and back again, ten minutes each, nothing else touched, the helm \
     not told.",
    "What drifted in that hour drifted under all three; each hour is one vote.",
    "After 4, 8 and 16 votes the program holds the difference against the scatter of the votes and says faster, keep, or not told apart.",
    "\"Not told apart\" is the usual first answer and an honest one.",
];

/// What is said of one reading in the book.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Said {
    /// The settings that it is in: `J1 + Main, upwind`.
    pub settings: String,
    /// `Backstay at 14 kn: the book says 5`.
    pub of: String,
    /// The answer, in capitals: `CHANGE to 6`.
    pub answer: String,
    /// Why, how sure, and what would settle it.
    pub why: Vec<String>,
    /// What was sailed: heads, and then a row a reading.
    pub readings: Vec<[String; 5]>,
    /// The question to sail next.
    pub ask: Option<String>,
}

/// The heads of [`Said::readings`].
pub const HEADS: [&str; 5] = ["set to", "notes", "trials", "minutes", "performance"];

/// What is said of one cell of a comparison.
pub fn said(book: &Book, input: &Input<'_>, comparison: &Comparison, cell: &Cell) -> Option<Said> {
    let settings = book.settings(&cell.settings)?;
    let control = book.control(&cell.control)?;
    let compared = cell.question.and_then(|question| comparison.questions.get(question));
    let telling = Telling { control, input, comparison, cell, compared };
    let in_book =
        cell.book.as_ref().map_or_else(|| "the book says nothing".to_owned(), |book| format!("the book says {book}"));
    let at = at(Wind::knots(cell.wind_kn), cell.angle_deg.map(Angle::degrees), book.units.wind);
    Some(Said {
        settings: called(book, settings),
        of: format!("{} at {at}: {in_book}", control.name),
        answer: telling.answer(),
        why: telling.why(),
        readings: telling.readings(),
        ask: telling.asks().then(|| cell.asking.as_ref().map(|asking| question(control, asking, &at))).flatten(),
    })
}

/// `14 kn`, `14 kn, 80°`.
pub fn at(wind: Wind, angle: Option<Angle>, unit: WindUnit) -> String {
    let angle = angle.map(|angle| format!(", {}", angle.print())).unwrap_or_default();
    format!("{}{angle}", wind.print_with_unit(unit))
}

/// `Backstay 4, 5 or 6 at 14 kn?`.
pub fn question(control: &Control, asking: &Asking, at: &str) -> String {
    let readings: Vec<String> = asking.readings.iter().map(|reading| control.scale.print(*reading)).collect();
    let readings = match readings.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, all)) => format!("{} or {last}", all.join(", ")),
        None => String::new(),
    };
    format!("{} {readings} at {at}?", control.name)
}

/// A percentage with its sign, to a tenth: nothing finer shows.
pub fn percent(percent: f64) -> String {
    let tenths = mark::print_to(percent.abs(), 1);
    let is_zero = tenths.chars().all(|digit| matches!(digit, '0' | '.'));
    match percent {
        _ if is_zero => "0 %".to_owned(),
        percent if percent < 0.0 => format!("−{tenths} %"),
        _ => format!("+{tenths} %"),
    }
}

struct Telling<'a> {
    control: &'a Control,
    input: &'a Input<'a>,
    comparison: &'a Comparison,
    cell: &'a Cell,
    compared: Option<&'a Compared>,
}

impl Telling<'_> {
    fn print(&self, reading: f64) -> String {
        self.control.scale.print(reading)
    }

    fn answer(&self) -> String {
        let proposed = self.cell.proposed.as_deref().unwrap_or_default();
        match self.cell.verdict {
            Answer::Change => format!("CHANGE to {proposed}"),
            Answer::Keep => format!("KEEP {proposed}"),
            Answer::NotToldApart => "NOT TOLD APART".to_owned(),
            Answer::TooLittle => "TOO LITTLE".to_owned(),
            Answer::Disputed => "DISPUTED".to_owned(),
        }
    }

    fn why(&self) -> Vec<String> {
        let mut why = Vec::new();
        why.extend(self.reason());
        let shown = self.compared.and_then(|compared| compared.shown.as_ref());
        if let (Some(shown), Some(compared)) = (shown, self.compared) {
            why.extend(shown.pairs.iter().map(|pair| self.pair(pair, compared, shown.half_width, shown.trials)));
            let waiting = compared.question.trials.len().saturating_sub(shown.trials);
            why.extend((waiting > 0).then(|| {
                format!(
                    "{} after that {} until there are {}",
                    counted(waiting, "trial"),
                    if waiting == 1 { "waits" } else { "wait" },
                    self.next()
                )
            }));
        }
        if let Some(settle) = self.compared.and_then(|compared| compared.settle).filter(|_| self.is_open()) {
            why.push(format!(
                "{} more, {} h, would know a difference to ± {} %",
                counted(settle.trials, "trial"),
                mark::print_decimal(settle.hours),
                mark::print_to(settle.half_width, 1)
            ));
        } else if self.cell.verdict == Answer::NotToldApart && self.cell.next_checkpoint.is_none() {
            why.push("after 16 trials: what is left is under what this boat can see".to_owned());
        }
        why.extend(
            self.compared.iter().flat_map(|compared| &compared.warnings).map(|warning| format!("warning: {warning}")),
        );
        why
    }

    fn next(&self) -> usize {
        self.cell.next_checkpoint.unwrap_or(CHECKPOINTS[CHECKPOINTS.len() - 1])
    }

    fn is_open(&self) -> bool {
        matches!(self.cell.verdict, Answer::NotToldApart | Answer::TooLittle)
    }

    /// Whether there is something left to ask.
    fn asks(&self) -> bool {
        match self.cell.verdict {
            Answer::Disputed | Answer::TooLittle => true,
            Answer::NotToldApart => self.cell.next_checkpoint.is_some(),
            Answer::Change | Answer::Keep => false,
        }
    }

    fn reason(&self) -> Option<String> {
        let cell = self.cell;
        match cell.verdict {
            Answer::Change => {
                let proposed = cell.proposed.as_deref()?;
                let rests = match cell.basis? {
                    Basis::Told => format!("{proposed} is told faster than what the book says"),
                    Basis::Leaning => format!(
                        "{proposed} leads, and is told faster than the mark on the other side: right if she has one best mark and is slower the farther from it"
                    ),
                };
                let open = match cell.open {
                    Some(Side::Up) => format!("; higher may be better still: ask the next question round {proposed}"),
                    Some(Side::Down) => format!("; lower may be better still: ask the next question round {proposed}"),
                    None => String::new(),
                };
                Some(rests + &open)
            }
            Answer::Keep => Some(format!(
                "no other mark that was sailed can be faster by {} % or more",
                mark::print_decimal(self.input.options.worth_percent)
            )),
            Answer::NotToldApart => Some("the trials so far do not tell the marks apart".to_owned()),
            Answer::TooLittle => Some(match cell.trials {
                0 => "no trial counts yet, and notes of different days cannot tell marks apart".to_owned(),
                trials => format!("{} of {} count", counted(trials, "trial"), CHECKPOINTS[0]),
            }),
            Answer::Disputed => Some(match &cell.apart {
                Some((one, other)) => {
                    let scale = &self.control.scale;
                    format!(
                        "fast notes say {} and {}, more than a mark apart",
                        print(scale, *one),
                        print(scale, *other)
                    )
                }
                None => "its questions contradict each other".to_owned(),
            }),
        }
    }

    /// `6 over 5: +1.4 % (0.6 to 2.2), 8 trials`.
    fn pair(&self, pair: &Told, compared: &Compared, half_width: f64, trials: usize) -> String {
        let reading =
            |at: usize| compared.question.readings.get(at).map(|reading| self.print(*reading)).unwrap_or_default();
        let difference = &pair.difference;
        // The faster of the two first.
        let (of, over, by) = if difference.by < 0.0 {
            (difference.over, difference.of, -difference.by)
        } else {
            (difference.of, difference.over, difference.by)
        };
        let ends = [by - half_width, by + half_width].map(|end| percent(end).trim_end_matches(" %").to_owned());
        let told = if pair.is_told { "told apart" } else { "not told apart" };
        format!(
            "{} over {}: {} ({} to {}), {}: {told}",
            reading(of),
            reading(over),
            percent(by),
            ends[0],
            ends[1],
            counted(trials, "trial")
        )
    }

    fn readings(&self) -> Vec<[String; 5]> {
        let blank = |count: usize| if count == 0 { String::new() } else { count.to_string() };
        let row = |sailed: &crate::season::Sailed| {
            let performance = sailed.performance.map(percent).unwrap_or_default();
            let error =
                sailed.standard_error.map(|error| format!(" ± {}", mark::print_to(error, 1))).unwrap_or_default();
            let notes = format!("{}{}", sailed.notes, self.verdicts(sailed.noted));
            [sailed.reading.clone(), notes, blank(sailed.trials), blank(sailed.blocks), performance + &error]
        };
        self.cell.readings.iter().map(row).collect()
    }

    /// How the notes of a reading say that it went: `: 2 fast, 1 slow`.
    fn verdicts(&self, noted: Noted) -> String {
        let cell = self.cell;
        let here = self.comparison.sightings.iter().filter(|own| (own.table, own.row) == (cell.table, Some(cell.row)));
        let notes = here.filter_map(|own| self.input.notes.get(own.note));
        let own: Vec<&Note> = notes.filter(|note| note.reading_of(&cell.control) == Some(noted)).collect();
        let counts = [(Verdict::Fast, "fast"), (Verdict::Ok, "ok"), (Verdict::Slow, "slow")].map(|(verdict, word)| {
            let count = own.iter().filter(|note| note.verdict == Some(verdict)).count();
            (count > 0).then(|| format!("{count} {word}"))
        });
        let counts: Vec<String> = counts.into_iter().flatten().collect();
        if counts.is_empty() { String::new() } else { format!(": {}", counts.join(", ")) }
    }
}

/// What was left out, and why, in one line each; nothing if all counts.
pub fn left_out(comparison: &Comparison) -> Vec<String> {
    let dropped = &comparison.dropped;
    let list = |what: &str, reasons: &std::collections::BTreeMap<String, usize>| {
        let total: usize = reasons.values().sum();
        let reasons: Vec<String> =
            reasons.iter().map(|(why, count)| format!("{} {count}", why.replace('-', " "))).collect();
        (total > 0).then(|| format!("{}: {}", counted(total, what), reasons.join(", ")))
    };
    let all = [list("block", &dropped.blocks), list("note", &dropped.notes), list("trial", &dropped.trials)];
    all.into_iter().flatten().collect()
}

/// Every trial, and why it does not count if it does not.
pub fn trials(comparison: &Comparison) -> Vec<String> {
    let told = |trial: &crate::season::trial::Trial| match &trial.outcome {
        Ok(counting) => {
            let sea = counting.sea.as_ref().map(|sea| format!(", {sea}")).unwrap_or_default();
            let helm = if counting.helm_changed { ", the helm changed" } else { "" };
            format!("{}: counts{sea}{helm}", trial.name)
        }
        Err(reasons) => {
            let reasons: Vec<String> = reasons.iter().map(ToString::to_string).collect();
            format!("{}: does not count: {}", trial.name, reasons.join("; "))
        }
    };
    comparison.trials.iter().map(told).collect()
}

/// `Performance in J1 + Main, upwind is held against the book's targets`, a line for each of the tables that something was sailed with.
pub fn held_against(book: &Book, comparison: &Comparison) -> Vec<String> {
    let is_sailed =
        |at: &usize| comparison.sightings.iter().any(|sighting| sighting.table == *at && sighting.mean.is_some());
    let tables = book.settings.iter().zip(&comparison.held_against).enumerate().filter(|(at, _)| is_sailed(at));
    let told = |(_, (settings, against)): (usize, (&crate::book::Settings, &HeldAgainst))| {
        let against = match against {
            HeldAgainst::Targets => "the book's targets",
            HeldAgainst::OwnLine => {
                "her own line through everything sailed with them, since the book has no targets to go by"
            }
        };
        format!("{}: performance is held against {against}", called(book, settings))
    };
    tables.map(told).collect()
}

/// `1 trial`, `8 trials`.
pub fn counted(count: usize, what: &str) -> String {
    if count == 1 { format!("1 {what}") } else { format!("{count} {what}s") }
}
