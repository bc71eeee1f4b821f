//! `sailed compare`: what the notes and the logs say of each reading in the book, and what they cannot say.

use std::path::PathBuf;

use clap::Args;
use cockpit_cards::book::{Book, Sailed, suggest};
use cockpit_cards::comparing::{self, page, told};
use cockpit_cards::output::write::write_all;
use cockpit_cards::season::{self, Cell, Comparison, Input};
use cockpit_cards::tuning::mark;

use super::super::chosen::{Usage, named_or_here};
use super::super::in_place::sound;
use super::super::{Outcome, headed, machine_failed, open, refuse, say, say_json};
use super::OfBook;
use super::logs::{Logged, Logs};

const USAGE: Usage = Usage { before: "sailed compare --book", after: "", has_example: false };
/// The page, in the folder that is named.
const PAGE: &str = "season.html";

#[derive(Args)]
pub struct Compare {
    #[command(flatten)]
    of: OfBook,
    /// Only the settings of this id
    #[arg(long, value_name = "ID")]
    settings: Option<String>,
    #[command(flatten)]
    logs: Logs,
    /// Print it for scripts (JSON)
    #[arg(long)]
    json: bool,
    /// Write a page with pictures into this folder
    #[arg(short, long, value_name = "DIR")]
    out: Option<PathBuf>,
}

impl Compare {
    pub fn run(self) -> Result<Outcome, Outcome> {
        let (book, name) = book_with_notes(&self.of, USAGE)?;
        if let Some(id) = self.settings.as_deref().filter(|id| book.settings(id).is_none()) {
            let ids = book.settings.iter().map(|settings| settings.id.value.as_str());
            return Err(refuse(&format!("there are no settings {id}"), &suggest::advice(id, ids)));
        }
        let logged = self.logs.read(&sailed(&book)?.clock)?;
        with_comparison(&book, &logged, |input, comparison| self.say(&book, &name, &logged, input, comparison))?
    }

    fn say(
        &self,
        book: &Book,
        name: &str,
        logged: &Logged,
        input: &Input<'_>,
        comparison: &Comparison,
    ) -> Result<Outcome, Outcome> {
        let is_asked = |cell: &&Cell| self.settings.as_ref().is_none_or(|id| cell.settings == *id);
        let cells: Vec<&Cell> = comparison.cells.iter().filter(is_asked).collect();
        let mut written = String::new();
        if let Some(folder) = &self.out {
            let page = page::page(book, input, comparison, &cells, &logged.words)
                .map_err(|error| machine_failed("the page", &error))?;
            write_all(folder, &[(PAGE, page)]).map_err(|error| machine_failed("nothing was written", &error))?;
            written = format!("\nwrote {}\n", folder.join(PAGE).display());
        }
        if self.json {
            let json = serde_json::json!({
                "dropped": comparison.dropped,
                "scatter_percent": comparison.scatter_percent,
                "cells": cells,
            });
            return Ok(say_json(&json));
        }
        let words = in_words(book, logged, input, comparison, &cells);
        Ok(say(&format!("{}{words}{written}", headed(book, name))))
    }
}

/// The book, which has notes, and what it is called.
pub fn book_with_notes(of: &OfBook, usage: Usage) -> Result<(Book, String), Outcome> {
    let opened = open(&named_or_here(of.book.as_deref(), usage)?)?;
    let (book, _) = sound(opened.loaded, &opened.name, "the book has to be sound before what was sailed is compared")?;
    sailed(&book)?;
    Ok((book, opened.name))
}

/// The notes of the book.
pub fn sailed(book: &Book) -> Result<&Sailed, Outcome> {
    book.sailed.as_ref().ok_or_else(|| {
        refuse(
            "the book names no notes of what was sailed",
            "write them down with `cockpit-cards sailed add`, which starts the file; or name one: `sailed: {file: sailed.csv}`",
        )
    })
}

/// Does something with the comparison of what was sailed.
pub fn with_comparison<Made>(
    book: &Book,
    logged: &Logged,
    of: impl FnOnce(&Input<'_>, &Comparison) -> Made,
) -> Result<Made, Outcome> {
    let blocks = (logged.blocks.as_slice(), logged.left_out.clone());
    let made = comparing::with_input(book, blocks, logged.options, |input| of(input, &season::compare(input)));
    made.ok_or_else(|| refuse("the book names no notes of what was sailed", "name them: `sailed: {file: sailed.csv}`"))
}

fn in_words(book: &Book, logged: &Logged, input: &Input<'_>, comparison: &Comparison, cells: &[&Cell]) -> String {
    let mut text = told::WHY_TRIALS.join("\n") + "\n\n";
    let mut line = |words: &str| {
        text.push_str(words);
        text.push('\n');
    };
    line(&logged.words);
    told::held_against(book, comparison).iter().for_each(|words| line(&format!("{words}.")));
    if let Some(scatter) = comparison.scatter {
        let (deviation, freedom) = (mark::print_to(scatter.deviation, 2), scatter.freedom);
        line(&format!("Trials of this boat scatter by {deviation} % ({freedom} degrees of freedom)."));
    }
    told::left_out(comparison).iter().for_each(|words| line(&format!("Left out, {words}.")));
    told::trials(comparison).iter().for_each(|words| line(&format!("Trial {words}.")));
    if cells.is_empty() {
        line("\nNothing that was sailed bears on the settings of this book yet.");
    }
    let mut settings = String::new();
    for said in cells.iter().filter_map(|cell| told::said(book, input, comparison, cell)) {
        if said.settings != settings {
            line(&format!("\n{}", said.settings));
            settings.clone_from(&said.settings);
        }
        line(&format!("\n  {}: {}", said.of, said.answer));
        said.why.iter().for_each(|why| line(&format!("    {why}")));
        for row in columns(&said.readings) {
            line(&format!("      {row}"));
        }
        if let Some(ask) = &said.ask {
            line(&format!("    to sail next: {ask}"));
        }
    }
    text
}

/// The table of what was sailed, in columns.
fn columns(rows: &[[String; 5]]) -> Vec<String> {
    let heads = told::HEADS.map(str::to_owned);
    let all = || std::iter::once(&heads).chain(rows);
    let width = |column: usize| all().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..heads.len()).map(width).collect();
    let row = |row: &[String; 5]| {
        let cells = row.iter().zip(&widths).map(|(cell, width)| format!("{cell:<width$}"));
        cells.collect::<Vec<_>>().join("  ").trim_end().to_owned()
    };
    all().map(row).collect()
}
