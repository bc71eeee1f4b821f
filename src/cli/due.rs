//! `due`: what would be reissued and why, and what a card in the hand is worth.

use std::path::PathBuf;

use clap::Args;
use cockpit_cards::book::Book;
use cockpit_cards::door::{self, Passed};
use cockpit_cards::editions::due::{check_stamp, left_the_book};
use cockpit_cards::editions::{Due as DueCards, Editions, Holding, Release, Why, store};
use cockpit_cards::reissuing;

use super::chosen::{Usage, named_or_here};
use super::{Outcome, complain, editions_of, open, refuse, refused, say};

const USAGE: Usage = Usage { before: "due", after: "", has_example: false };

#[derive(Args)]
pub struct Due {
    /// The book; the one in this folder if none is named
    book: Option<PathBuf>,
    /// Say what the card with this stamp is worth (several may be given)
    #[arg(long, value_name = "STAMP", num_args = 1..)]
    stamp: Vec<String>,
    /// Count strips whose label has an older name of the boat
    #[arg(long)]
    labels: bool,
}

impl Due {
    pub fn run(self) -> Outcome {
        let path = match named_or_here(self.book.as_deref(), USAGE) {
            Ok(path) => path,
            Err(outcome) => return outcome,
        };
        let opened = match open(&path) {
            Ok(opened) => opened,
            Err(outcome) => return outcome,
        };
        let editions = match editions_of(&path) {
            Ok(editions) => editions,
            Err(outcome) => return outcome,
        };
        let released = editions.clone().unwrap_or_default();
        let Passed { made, mut problems, sources } = door::through(opened.loaded, |book, problems| {
            let (cards, due) = reissuing::due(book, &released, &[], self.labels, problems)?;
            Some((former_names(book, &cards, &released), cards, due))
        });
        complain(&mut problems, &sources);
        let Some((former_names, cards, due)) = made else { return refused(&problems, &opened.name) };
        if self.stamp.is_empty() {
            let mut text = report(&due, &opened.name, editions.is_some());
            if !self.labels {
                text.push_str(&former_names);
            }
            return match say(&text) {
                Outcome::Done if !due.is_empty() => Outcome::Due,
                outcome => outcome,
            };
        }
        if editions.is_none() {
            let file = store::path_of(&path);
            return refuse(
                &format!("there is no {}: nothing was released of this book, or the file was lost", file.display()),
                "bring it back from a copy; without it no stamp can be looked up",
            );
        }
        let mut text = String::new();
        let mut all_good = true;
        for stamp in &self.stamp {
            if let Err(character) = check_stamp(stamp) {
                return refuse(
                    &format!("`{stamp}`: no stamp holds `{}`", character.escape_debug()),
                    "a stamp has no 0 or O, 1, I or L, 8 or B: look again",
                );
            }
            for holding in Holding::of(stamp, &cards, &released) {
                all_good &= holding.is_good();
                text.push_str(&holding_words(stamp, &holding));
            }
        }
        match say(&text) {
            Outcome::Done if !all_good => Outcome::Due,
            outcome => outcome,
        }
    }
}

/// What is due, for people.
pub fn report(due: &DueCards, book: &str, was_released: bool) -> String {
    let mut text = match due.items.len() {
        0 => return format!("{book}: nothing is due, every card aboard is current\n"),
        1 => format!("{book}: 1 card is due\n\n"),
        number => format!("{book}: {number} cards are due\n\n"),
    };
    for item in &due.items {
        let (word, details) = match &item.why {
            Why::New => ("new", Vec::new()),
            Why::Changed { old, words, .. } => {
                let bin = format!("replaces {}", release_words(old));
                ("changed", [bin].into_iter().chain(words.iter().cloned()).collect())
            }
            Why::Label { old } => ("label", vec![format!("measures the same; the label says {}", old.boat)]),
            Why::Withdrawn { old, now_on } => {
                ("gone", vec![format!("{}: bin {}", left_the_book(now_on.as_deref()), release_words(old))])
            }
        };
        text.push_str(&format!("  {:<24} {word:<8} {}\n", item.id, item.title));
        details.iter().for_each(|line| text.push_str(&format!("      {line}\n")));
    }
    if !was_released {
        text.push_str(
            "\nNothing was released of this book yet. If something was, bring its editions file back first.\n",
        );
    }
    text
}

/// Strips that were printed under an older name of the boat.
fn former_names(book: &Book, cards: &[cockpit_cards::cards::Card], editions: &Editions) -> String {
    let with_labels = DueCards::of(book, cards, editions, true);
    let labels = with_labels.items.iter().filter(|item| matches!(item.why, Why::Label { .. })).count();
    match labels {
        0 => String::new(),
        1 => "\n1 strip has an older name of the boat on its label and measures the same: --labels counts it.\n"
            .to_owned(),
        _ => format!(
            "\n{labels} strips have an older name of the boat on their labels and measure the same: --labels counts them.\n"
        ),
    }
}

fn release_words(release: &Release) -> String {
    format!("{}, stamp {}", release.words(), release.stamp)
}

fn holding_words(stamp: &str, holding: &Holding) -> String {
    let stamp = stamp.trim().to_uppercase();
    let lines = |words: &[String]| words.iter().map(|words| format!("      {words}\n")).collect::<String>();
    match holding {
        Holding::Current { title, release, due: None, .. } => {
            format!("{stamp}: current. {title}, {}\n", release.words())
        }
        Holding::Current { title, release, due: Some(words), .. } => format!(
            "{stamp}: current, but a new edition is due. {title}, {}; the book has changed since:\n{}",
            release.words(),
            lines(words)
        ),
        Holding::Draft { title, .. } => {
            format!("{stamp}: a draft. {title}; the book says the same, but it was never released\n")
        }
        Holding::Superseded { title, held, by, withdrawn, .. } => {
            let mut text = format!("{stamp}: superseded. {title}, {}\n", held.words());
            for release in by {
                text.push_str(&format!(
                    "    by {}, stamp {}\n{}",
                    release.words(),
                    release.stamp,
                    lines(&release.changed)
                ));
            }
            if let Some(day) = withdrawn {
                text.push_str(&format!("    left the book on {day}: bin it\n"));
            }
            text
        }
        Holding::Unknown => format!("{stamp}: unknown. No edition of this book has it; do not sail on it\n"),
    }
}
