//! One book printed, straight into the folder that was asked for.

use std::path::Path;

use cockpit_cards::cards::Edition;
use cockpit_cards::door::{self, Passed};
use cockpit_cards::output::write::write_all;
use cockpit_cards::paper::Flip;
use cockpit_cards::printing::{Files, Options};

use super::Run;
use crate::cli::chosen::{as_typed, example};
use crate::cli::{Outcome, Stopped, complain, count, editions_of, machine_failed, number_of, open, say_done, stops};

/// Prints a book, or the built-in example, and says what it printed.
pub fn build(book: Option<&Path>, run: Run<'_>) -> Result<Outcome, Outcome> {
    let Run { out, mut options, asked, strict } = run;
    let mut opened = book.map_or_else(|| Ok(example()), open)?;
    let chosen = asked.of_book(&mut opened.loaded).map_err(Stopped::say)?;
    options.job = chosen.job;
    options.editions = book.map_or(Ok(None), editions_of)?.unwrap_or_default();
    options.sources = opened.loaded.sources.clone();
    let Passed { made, mut problems, sources } = door::print(opened.loaded, &options);
    complain(&mut problems, &sources);
    match made {
        Some(files) if !stops(&problems, strict) => {
            write_all(out, &files.files()).map_err(|error| machine_failed(UNCERTAIN, &error))?;
            Ok(say_done(&summary(&files, out, &opened.name, book.is_none(), (&options, &chosen.words))))
        }
        _ => {
            Err(Stopped::refused(&format!("{} in {}; nothing was written", count(&problems), opened.name), REMEDY)
                .say())
        }
    }
}

/// What the disk's error means for the files.
pub const UNCERTAIN: &str = "nothing is certain to be written";

/// What to do about a bad book.
pub const REMEDY: &str = "correct what is listed above and build again";

fn summary(files: &Files, out: &Path, book: &str, is_example: bool, (options, how): (&Options, &str)) -> String {
    let folder = out.display();
    let mut text = format!("{book}\n\n");
    for card in &files.cards {
        let size = format!("{} x {} mm", rounded(card.width_mm), rounded(card.height_mm));
        let marks = card.marks_mm.map(|(span, left)| format!("; marks over {} mm, ± {left} mm", rounded(span)));
        let marks = marks.unwrap_or_default();
        let pieces = if card.pieces > 1 { format!("; in {} pieces", card.pieces) } else { String::new() };
        let label = if card.has_label { "; its label is a sticker of its own" } else { "" };
        let edition = match &card.edition {
            Edition::Released { number, .. } => number.to_string(),
            Edition::Draft | Edition::Loose => "DRAFT".to_owned(),
        };
        let (id, stamp, title) = (&card.id, &card.stamp, &card.title);
        let front = card.back_of.as_ref().map(|front| format!("; on the back of {front}")).unwrap_or_default();
        text.push_str(&format!(
            "  {id:<28} {stamp:<6} {edition:>5} {size:>18}   {title}{front}{pieces}{label}{marks}\n"
        ));
    }
    text.push_str(&left_out_words(&files.left_out));
    text.push_str(&draft_words(files));
    for document in &files.documents {
        let pages = number_of(document.pages, "page");
        let (file, paper) = (document.file, &document.paper);
        text.push_str(&format!("  {folder}/{file}: {pages} of {paper}, {}\n", document.used.words()));
    }
    for (file, watches) in &files.calendars {
        let ending = if *watches == 1 { "" } else { "es" };
        text.push_str(&format!("  {folder}/{file}: {watches} watch{ending}, for the calendar of a telephone\n"));
    }
    text.push_str(&format!("  {folder}/proof.html: to look at before printing\n"));
    for file in files.unused_documents().filter(|file| out.join(file).exists()) {
        text.push_str(&format!("  {folder}/{file} is of an earlier run and was not printed now: do not use it\n"));
    }
    if let Some(correction) = &options.job.correction {
        text.push_str(&format!("\n{} Print it on no other printer.\n", correction.words()));
        for document in files.documents.iter().filter(|document| document.paper != options.job.paper.name()) {
            let (file, paper) = (document.file, &document.paper);
            let typed = as_typed(paper);
            text.push_str(&format!("{file} is for {paper} and not corrected: build it with --paper {typed}.\n"));
        }
    }
    for document in &files.documents {
        if let Some(flip) = document.flip {
            text.push_str(&two_sides(document.file, flip));
        }
    }
    let has_strips = files.documents.iter().any(|document| document.measured);
    let measure = if has_strips { ", then measure the check bars on the pages of strips" } else { "" };
    text.push_str(&format!("\nMade to print {how}.\n"));
    text.push_str(&format!("Print at 100 % (actual size, no fitting){measure}.\n"));
    if is_example {
        text.push_str("This is the built-in example. Start your own book: cockpit-cards new\n");
    }
    text
}

/// What is not printed though nobody listed what is.
pub fn left_out_words(left_out: &[String]) -> String {
    let lines: String = left_out.iter().map(|line| format!("  {line}\n")).collect();
    if lines.is_empty() { lines } else { format!("\nLeft out:\n{lines}") }
}

/// Which cards say something that was not released.
fn draft_words(files: &Files) -> String {
    let fronts = files.cards.iter().filter(|card| card.back_of.is_none()).count();
    let drafts = files.cards.iter().filter(|card| card.edition == Edition::Draft && card.back_of.is_none());
    let drafts: Vec<&str> = drafts.map(|card| card.id.as_str()).collect();
    match drafts.len() {
        0 => "\nAll are as last released.\n\n".to_owned(),
        number if number == fronts => "\nAll are DRAFT: none has been released.\n\n".to_owned(),
        _ => format!("\nDRAFT, not as last released: {}\nRelease them: cockpit-cards reissue\n\n", drafts.join(", ")),
    }
}

/// How to print a file of fronts and backs.
pub fn two_sides(file: &str, flip: Flip) -> String {
    format!(
        "\nPrint {file} on both sides, {}: each front is followed by its back. The crosses of both sides must fall\non each other against the light; if they do not, see printer set --back-shift-x. The other files have one side.\n",
        flip.words()
    )
}

fn rounded(millimetres: f64) -> f64 {
    (millimetres * 10.0).round() / 10.0
}
