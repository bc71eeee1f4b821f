//! What is printed on, by which printer and turned how: what the book says goes before what is usual, the environment before the book,
//! and the command line before both. Knows of a book nothing but what it says of printing.

use clap::Args;
use cockpit_cards::book::{Book, Loaded, Printing, Problem, Spanned};
use cockpit_cards::paper::printer::Reading;
use cockpit_cards::paper::{Correction, Flip, PaperSize, PrintJob};

use super::chosen::as_typed;
use super::printer::{FlipFlag, parse_paper, parse_paper_of};
use super::readings::{MeasuredPrinter, NO_PRINTER};
use super::{Outcome, Stopped, complain, refuse, stops};

/// What the environment may say. An empty one says nothing.
const PAPER_VARIABLE: &str = "COCKPIT_CARDS_PAPER";
const PRINTER_VARIABLE: &str = "COCKPIT_CARDS_PRINTER";
const FLIP_VARIABLE: &str = "COCKPIT_CARDS_FLIP";

/// What is printed on, and by which printer.
#[derive(Args)]
pub struct PrintFlags {
    /// What is in the printer: a4, a3, a5, letter, legal, tabloid, `297 x 600 mm`, or roll-610mm; as the book says if left out, else
    /// a4
    #[arg(long)]
    paper: Option<String>,
    #[command(flatten)]
    measured: MeasuredPrinter,
}

impl PrintFlags {
    /// What the command line and the environment ask for, of what has one side.
    pub fn asked(&self) -> Result<Asked, Outcome> {
        self.asked_turned(None)
    }

    fn asked_turned(&self, flip: Option<FlipFlag>) -> Result<Asked, Outcome> {
        let flip = match (flip, said_by(FLIP_VARIABLE)) {
            (Some(flag), _) => Some((flag.into(), Who::Flag("--flip"))),
            (None, Some(word)) => Some((flip_of(&word)?, Who::Variable(FLIP_VARIABLE))),
            (None, None) => None,
        };
        let printer = match (self.measured.name(), said_by(PRINTER_VARIABLE)) {
            (Some(name), _) => Some((name.to_owned(), Who::Flag("--printer"))),
            (None, name) => name.map(|name| (name, Who::Variable(PRINTER_VARIABLE))),
        };
        let printer = match printer {
            Some((name, who)) if name == NO_PRINTER => Some((None, who)),
            Some((name, who)) => Some((Some(self.measured.find(&name, who.variable())?), who)),
            None => None,
        };
        Ok(Asked { paper: paper_asked(self.paper.as_deref())?, printer, flip, measured: self.measured.clone() })
    }
}

/// The same, where what is printed may have a back.
#[derive(Args)]
pub struct TwoSidedPrintFlags {
    #[command(flatten)]
    print: PrintFlags,
    /// The edge about which the printer turns the paper for the backs of cards; as the book says if left out, else long
    #[arg(long, value_enum)]
    flip: Option<FlipFlag>,
}

impl TwoSidedPrintFlags {
    /// What the command line and the environment ask for.
    pub fn asked(&self) -> Result<Asked, Outcome> {
        self.print.asked_turned(self.flip)
    }
}

/// The paper where there is no book to say it: of the command line, else of the environment, else the usual one.
pub fn paper_without_book(flag: Option<&str>) -> Result<PaperSize, Outcome> {
    Ok(paper_asked(flag)?.map(|(paper, _)| paper).unwrap_or_default())
}

/// The edge to turn about where there is no book to say it.
pub fn flip_without_book(flag: Option<FlipFlag>) -> Result<Flip, Outcome> {
    match (flag, said_by(FLIP_VARIABLE)) {
        (Some(flag), _) => Ok(flag.into()),
        (None, Some(word)) => flip_of(&word),
        (None, None) => Ok(Flip::default()),
    }
}

fn paper_asked(flag: Option<&str>) -> Result<Option<(PaperSize, Who)>, Outcome> {
    match (flag, said_by(PAPER_VARIABLE)) {
        (Some(paper), _) => Ok(Some((parse_paper(paper)?, Who::Flag("--paper")))),
        (None, Some(paper)) => Ok(Some((parse_paper_of(PAPER_VARIABLE, &paper)?, Who::Variable(PAPER_VARIABLE)))),
        (None, None) => Ok(None),
    }
}

fn said_by(variable: &str) -> Option<String> {
    let said = std::env::var_os(variable)?.to_string_lossy().trim().to_owned();
    Some(said).filter(|said| !said.is_empty())
}

fn flip_of(word: &str) -> Result<Flip, Outcome> {
    match word {
        "long" => Ok(Flip::Long),
        "short" => Ok(Flip::Short),
        _ => {
            let what = format!("{FLIP_VARIABLE}: {} is no edge of the paper", cockpit_cards::wrong::shown(word));
            Err(refuse(&what, "set it to long or short"))
        }
    }
}

/// Who said something.
#[derive(Clone, Copy, PartialEq)]
enum Who {
    Flag(&'static str),
    Variable(&'static str),
    Book,
    Nobody,
}

impl Who {
    /// The variable of the environment that says it.
    fn variable(self) -> Option<&'static str> {
        match self {
            Who::Variable(name) => Some(name),
            Who::Flag(_) | Who::Book | Who::Nobody => None,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Who::Flag(name) | Who::Variable(name) => name,
            Who::Book => "the book",
            Who::Nobody => "usual",
        }
    }
}

/// What the command line and the environment ask for; what they do not, each book says.
pub struct Asked {
    paper: Option<(PaperSize, Who)>,
    /// A printer, or none though the book may name one.
    printer: Option<(Option<Reading>, Who)>,
    flip: Option<(Flip, Who)>,
    measured: MeasuredPrinter,
}

/// How a book is printed, and who said so.
#[derive(Clone, Default)]
pub struct Chosen {
    pub job: PrintJob,
    /// For the summary, one line, with what is not as it should be in large words.
    pub words: String,
}

impl Asked {
    /// How a book is printed. What it says itself and cannot be done is told among its problems, at its place: a printer that this
    /// machine does not know is a warning.
    pub fn of_book(&self, loaded: &mut Loaded) -> Result<Chosen, Stopped> {
        let printing = loaded.printing().cloned().unwrap_or_default();
        self.chosen(&printing, &mut loaded.problems)
    }

    /// As [`of_book`](Self::of_book), of a book whose problems have been told.
    pub fn of_sound_book(&self, book: &Book) -> Result<Chosen, Outcome> {
        let mut problems = Vec::new();
        let chosen = self.chosen(&book.printing, &mut problems).map_err(Stopped::say)?;
        let is_wrong = stops(&problems, false);
        complain(&mut problems, &[]);
        if is_wrong { Err(Outcome::BadBook) } else { Ok(chosen) }
    }

    /// How something is printed that is of no book.
    pub fn without_book(&self) -> Result<Chosen, Outcome> {
        self.chosen(&Printing::default(), &mut Vec::new()).map_err(Stopped::say)
    }

    fn chosen(&self, book: &Printing, problems: &mut Vec<Problem>) -> Result<Chosen, Stopped> {
        let (paper, paper_from) = one_of(&self.paper, &book.paper);
        let (flip, flip_from) = one_of(&self.flip, &book.flip);
        let mut words = format!("on {} ({})", paper.name(), paper_from.words());
        let correction = match (&self.printer, &book.printer) {
            (Some((None, who)), _) => {
                words.push_str(&format!(", by no printer in particular ({})", who.words()));
                None
            }
            (Some((Some(reading), who)), _) => {
                words.push_str(&format!(", by printer {} ({})", reading.name, who.words()));
                let made = Correction::new(reading, &paper, self.measured.feed(), flip);
                Some(made.map_err(|refusal| Stopped::refused(&refusal.what, &refusal.instead))?)
            }
            (None, Some(name)) => {
                let made = self.of_books_printer(name, &paper, flip, problems)?;
                words.push_str(&match &made {
                    Some(_) => format!(", by printer {} (the book)", name.value),
                    None => format!(", NOT CORRECTED: PRINTER {} (the book) IS NOT KNOWN HERE", name.value),
                });
                made
            }
            (None, None) if self.measured.feed().is_some() => {
                return Err(Stopped::refused(
                    "--feed says how the paper goes into a printer that nobody named",
                    "name it as well: --printer NAME",
                ));
            }
            (None, None) => None,
        };
        words.push_str(&format!(", {} ({})", flip.words(), flip_from.words()));
        Ok(Chosen { job: PrintJob { paper, correction, flip }, words })
    }

    /// What corrects the printer that the book names; nothing, and a warning, if it was never measured on this machine.
    fn of_books_printer(
        &self,
        name: &Spanned<String>,
        paper: &PaperSize,
        flip: Flip,
        problems: &mut Vec<Problem>,
    ) -> Result<Option<Correction>, Stopped> {
        let place = Some(name.place.clone());
        let Some(reading) = self.measured.known(&name.value)? else {
            let what = format!(
                "STRIPS ARE NOT CORRECTED: the printer `{}` that the book names was never measured on this machine",
                name.value
            );
            let typed = as_typed(&name.value);
            let instead = format!(
                "measure it (cockpit-cards printer page, then printer set {typed}), bring its readings (--readings FILE), or print \
                 without: --printer {NO_PRINTER}"
            );
            problems.push(Problem::warning(place, what, instead));
            return Ok(None);
        };
        match Correction::new(&reading, paper, self.measured.feed(), flip) {
            Ok(correction) => Ok(Some(correction)),
            Err(refusal) => {
                problems.push(Problem::error(place, refusal.what, refusal.instead));
                Ok(None)
            }
        }
    }
}

fn one_of<T: Clone + Default>(asked: &Option<(T, Who)>, book: &Option<Spanned<T>>) -> (T, Who) {
    let of_book = || book.as_ref().map(|said| (said.value.clone(), Who::Book));
    asked.clone().or_else(of_book).unwrap_or_else(|| (T::default(), Who::Nobody))
}
