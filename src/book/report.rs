//! Problems as people and as machines read them. Knows places and words, not books.

use std::cell::OnceCell;
use std::collections::HashMap;

use annotate_snippets::renderer::DecorStyle;
use annotate_snippets::{AnnotationKind, Group, Level as Heading, Origin, Renderer, Snippet};
use serde_json::{Value, json};

use crate::lines::broken;

use super::problem::{Level, Place, Problem, Source};
use super::read::workbook;

/// A line longer than this is shown only around its fault.
const SHOWN_LINE_CHARACTERS: usize = 120;
/// Problems written out for people; nobody reads more before mending some.
const SHOWN_PROBLEMS: usize = 50;
/// What stands before a line of a file: its number, which seldom has more than four digits, and a rule.
const GUTTER: usize = 8;
/// What stands before a remedy, and before where there are more problems like the one told.
const HELP: &str = "help: ";
const NOTE: &str = "note: ";
const BYTE_ORDER_MARK: char = '\u{FEFF}';

/// Warnings alike from this many on are told once, with where the others are.
const FOLDED_FROM: usize = 3;
/// Places of folded warnings that are named before it says that there are more.
const NAMED_PLACES: usize = 12;
/// Characters of what a folded warning is about.
const NAMED_CHARACTERS: usize = 24;
/// Bytes of a source whose characters are counted once.
const BLOCK_BYTES: usize = 1_024;

/// The sources of a book with their lines and characters counted once, however many places are asked for.
pub struct Lookup<'a> {
    files: Vec<File<'a>>,
}

struct File<'a> {
    source: &'a Source,
    /// Where each line starts.
    starts: Vec<usize>,
    /// How many characters stand before each block of bytes, once somebody has asked.
    before: OnceCell<Vec<usize>>,
}

impl File<'_> {
    /// How many characters stand before a place.
    fn characters_before(&self, at: usize) -> usize {
        let count = |bytes: &[u8]| bytes.iter().filter(|byte| !is_within_character(**byte)).count();
        let bytes = self.source.text.as_bytes();
        let before = self.before.get_or_init(|| {
            let sum = |sum: &mut usize, block: &[u8]| {
                let before = *sum;
                *sum += count(block);
                Some(before)
            };
            bytes.chunks(BLOCK_BYTES).scan(0, sum).collect()
        });
        let block = (at / BLOCK_BYTES).min(before.len().saturating_sub(1));
        before.get(block).copied().unwrap_or_default() + bytes.get(block * BLOCK_BYTES..at).map_or(0, count)
    }
}

/// Whether a byte of UTF-8 goes on with a character.
fn is_within_character(byte: u8) -> bool {
    byte & 0b1100_0000 == 0b1000_0000
}

impl<'a> Lookup<'a> {
    /// Counts the lines of some sources.
    pub fn new(sources: &'a [Source]) -> Self {
        let file = |source: &'a Source| {
            // Lines end as on any machine there has been: with a line feed, a carriage return, or both.
            let bytes = source.text.as_bytes();
            let ends = |at: usize| bytes[at] == b'\n' || bytes[at] == b'\r' && bytes.get(at + 1) != Some(&b'\n');
            let after = (0..bytes.len()).filter(|at| ends(*at)).map(|at| at + 1);
            File { source, starts: std::iter::once(0).chain(after).collect(), before: OnceCell::new() }
        };
        Lookup { files: sources.iter().map(file).collect() }
    }

    /// A place as a message names it, `boat.yaml:12:5` or `j1.xlsx#upwind!C4`; `None` if it is in none of the files.
    pub fn words(&self, place: &Place) -> Option<String> {
        let (source, line) = self.find(place)?;
        let name = safe_words(&source.name);
        Some(match source.is_sheet {
            true => format!("{name}!{}", line.cell_of(place.bytes.start)),
            false => format!("{name}:{}:{}", line.number, self.column(place, &line)),
        })
    }

    /// The column of a place in its line, in characters from 1 on.
    fn column(&self, place: &Place, line: &Line<'_>) -> usize {
        let Some(file) = self.files.get(place.source.0) else { return 1 };
        let at = line.start + line.offset_of(place.bytes.start);
        file.characters_before(at) - file.characters_before(line.start) + 1
    }

    /// The file of a place and the line it starts in; a place past the end is in the last line with something on it.
    fn find(&self, place: &Place) -> Option<(&'a Source, Line<'a>)> {
        let File { source, starts, .. } = self.files.get(place.source.0)?;
        let at = place.bytes.start.min(source.text.trim_end().len());
        let number = starts.partition_point(|start| *start <= at);
        let start = number.checked_sub(1).and_then(|index| starts.get(index))?;
        let end = starts.get(number).copied().unwrap_or(source.text.len());
        let text = source.text.get(*start..end)?.trim_end_matches(['\n', '\r']);
        let mark = if text.starts_with(BYTE_ORDER_MARK) { BYTE_ORDER_MARK.len_utf8() } else { 0 };
        Some((source, Line { number, start: start + mark, text: &text[mark..] }))
    }
}

/// How a report looks where it is read.
#[derive(Clone, Copy, Debug, Default)]
pub struct Look {
    /// Whether it has the colours of a terminal.
    pub colour: bool,
    /// How many letters a line may have; without it words are not broken into lines.
    pub width: Option<usize>,
}

/// Problems as text for people: where, the line with the place underlined, what is wrong and what would be right.
pub fn for_people(problems: &[Problem], sources: &[Source], colour: bool) -> String {
    for_terminal(problems, sources, Look { colour, width: None })
}

/// As [`for_people`], looking like this.
pub fn for_terminal(problems: &[Problem], sources: &[Source], look: Look) -> String {
    let lookup = Lookup::new(sources);
    let page = Page::new(look);
    let folded = folded(problems);
    let shown = folded.iter().take(SHOWN_PROBLEMS).map(|alike| one_for_people(alike, &lookup, &page));
    let mut report = shown.collect::<Vec<_>>().join("\n\n");
    let more: usize = folded.iter().skip(SHOWN_PROBLEMS).map(Vec::len).sum();
    if more > 0 {
        report.push_str(&format!("\n\nand {more} more"));
    }
    report
}

/// Problems as they are told: each by itself, but warnings alike in one, where the first of them stands. Errors are never
/// folded: each has to be put right.
fn folded(problems: &[Problem]) -> Vec<Vec<&Problem>> {
    let mut alike: HashMap<(String, String), Vec<&Problem>> = HashMap::new();
    let kind = |problem: &Problem| (outline(&problem.what), outline(&problem.instead));
    for problem in problems.iter().filter(|problem| problem.level == Level::Warning) {
        alike.entry(kind(problem)).or_default().push(problem);
    }
    let told = |problem: &Problem| match problem.level {
        Level::Error => None,
        Level::Warning => alike.get(&kind(problem)).filter(|group| group.len() >= FOLDED_FROM),
    };
    let one = |problem| match told(problem) {
        None => Some(vec![problem]),
        Some(group) => group.first().is_some_and(|first| std::ptr::eq(*first, problem)).then(|| group.clone()),
    };
    problems.iter().filter_map(one).collect()
}

/// A message without what is particular in it: names in quotes, and numbers.
fn outline(message: &str) -> String {
    let mut outline = String::new();
    let mut rest = message;
    while let Some(first) = rest.chars().next() {
        let after = &rest[first.len_utf8()..];
        let close = match first {
            '`' | '"' => Some(first),
            '“' => Some('”'),
            _ => None,
        };
        if let Some((_, behind)) = close.and_then(|close| after.split_once(close)) {
            outline.push('#');
            rest = behind;
        } else if is_of_a_number(first) {
            outline.push('#');
            rest = after.trim_start_matches(|next| is_of_a_number(next) || next == '.');
        } else {
            outline.push(first);
            rest = after;
        }
    }
    outline
}

fn is_of_a_number(character: char) -> bool {
    character.is_ascii_digit() || matches!(character, '½' | '¼' | '¾' | '−')
}

/// How many more there are of a warning, and where: the lines of a file, or the cells of a sheet.
fn and_more(others: &[&Problem], lookup: &Lookup<'_>) -> String {
    let in_sheet = |problem: &Problem| Some(lookup.find(problem.place.as_ref()?)?.0.is_sheet);
    let in_sheets = !others.is_empty() && others.iter().all(|problem| in_sheet(problem) == Some(true));
    let named = |problem: &&Problem| {
        let place = problem.place.as_ref()?;
        let (_, line) = lookup.find(place)?;
        if in_sheets {
            return Some(line.cell_of(place.bytes.start));
        }
        let about: String = line.window(place, SHOWN_LINE_CHARACTERS).marked().chars().take(NAMED_CHARACTERS).collect();
        let is_short = about.chars().nth(NAMED_CHARACTERS - 1).is_none() && !about.is_empty();
        Some(if is_short { format!("{} (`{about}`)", line.number) } else { line.number.to_string() })
    };
    let mut places: Vec<String> = others.iter().filter_map(named).collect();
    let all_have_one = places.len() == others.len();
    places.dedup();
    let word = match (in_sheets, places.len()) {
        (true, 1) => "cell",
        (true, _) => "cells",
        (false, 1) => "line",
        (false, _) => "lines",
    };
    if (places.len() > NAMED_PLACES || !all_have_one) && !places.is_empty() {
        places.truncate(NAMED_PLACES);
        places.push("…".to_owned());
    }
    let places = if places.is_empty() { String::new() } else { format!(": {word} {}", places.join(", ")) };
    format!("and {} more like it{places}", others.len())
}

/// What a report is drawn with.
struct Page {
    renderer: Renderer,
    width: Option<usize>,
}

impl Page {
    fn new(look: Look) -> Self {
        let renderer = if look.colour { Renderer::styled() } else { Renderer::plain() }.decor_style(DecorStyle::Ascii);
        Page { renderer, width: look.width }
    }

    /// A message in lines that fit behind what stands before it.
    fn fitted(&self, message: &str, before: usize) -> String {
        let message = safe_words(message);
        match self.width {
            // The renderer sets what follows under the first line.
            Some(width) => {
                let lines = broken(&message, width.saturating_sub(before).max(1));
                lines.split('\n').map(str::trim_start).collect::<Vec<_>>().join("\n")
            }
            None => message,
        }
    }

    /// How much of a line of a file is shown.
    fn shown_characters(&self) -> usize {
        self.width.map_or(SHOWN_LINE_CHARACTERS, |width| width.saturating_sub(GUTTER).clamp(1, SHOWN_LINE_CHARACTERS))
    }
}

fn one_for_people(alike: &[&Problem], lookup: &Lookup<'_>, page: &Page) -> String {
    let Some((problem, others)) = alike.split_first() else { return String::new() };
    let renderer = &page.renderer;
    let more = (!others.is_empty()).then(|| page.fitted(&and_more(others, lookup), GUTTER + NOTE.len()));
    let more = more.as_deref().map(|more| Heading::NOTE.message(more));
    let heading = match problem.level {
        Level::Error => Heading::ERROR,
        Level::Warning => Heading::WARNING,
    };
    // Whoever worded them may have repeated a text of the book as it stands there.
    let level = if problem.level == Level::Error { "error: " } else { "warning: " };
    let (what, instead) = (page.fitted(&problem.what, level.len()), page.fitted(&problem.instead, GUTTER + HELP.len()));
    let title = heading.primary_title(what.as_str());
    let help = Heading::HELP.message(instead.as_str());
    let found = problem.place.as_ref().and_then(|place| Some((place, lookup.find(place)?)));
    let Some((place, (source, line))) = found else {
        return renderer.render(&[Group::with_title(title).element(help).elements(more)]);
    };
    let window = line.window(place, page.shown_characters());
    let name = safe_words(&source.name);
    let snippet =
        Snippet::source(window.text).line_start(line.number).annotation(AnnotationKind::Primary.span(window.span));
    let group = Group::with_title(title);
    let cell = source.is_sheet.then(|| format!("{name}!{}", line.cell_of(place.bytes.start)));
    let group = if let Some(cell) = &cell {
        group.element(snippet.path(cell.as_str()))
    } else if window.from_start {
        group.element(snippet.path(name.as_str()))
    } else {
        // The renderer would count columns from the cut.
        let column = lookup.column(place, &line);
        group.element(Origin::path(name.as_str()).line(line.number).char_column(column)).element(snippet)
    };
    let rendered = renderer.render(&[group.element(help).elements(more)]);
    match cell {
        Some(cell) => without_position(&rendered, &cell),
        None => rendered,
    }
}

/// A report without the line and the column that the renderer puts behind a cell's name, which says both.
fn without_position(rendered: &str, cell: &str) -> String {
    let Some((before, after)) = rendered.split_once(cell) else { return rendered.to_owned() };
    let rest = after.trim_start_matches(|letter: char| letter == ':' || letter.is_ascii_digit());
    format!("{before}{cell}{rest}")
}

/// A place as a message names it, `boat.yaml:12:5` or `j1.xlsx#upwind!C4`; `None` if it is in none of the files.
pub fn place_words(place: &Place, sources: &[Source]) -> Option<String> {
    Lookup::new(sources).words(place)
}

/// Problems as JSON: a list of `{level, file, line, column, what, instead}`; lines and columns count from 1, columns in
/// characters, and file, line and column are null for a problem of no file. In a sheet of a workbook, `j1.xlsx#upwind`, they
/// count its rows and columns.
pub fn for_machines(problems: &[Problem], sources: &[Source]) -> Value {
    let lookup = Lookup::new(sources);
    let one = |problem: &Problem| {
        let found = problem.place.as_ref().and_then(|place| Some((place, lookup.find(place)?)));
        json!({
            "level": match problem.level { Level::Error => "error", Level::Warning => "warning" },
            "file": found.as_ref().map(|(_, (source, _))| source.name.as_str()),
            "line": found.as_ref().map(|(_, (_, line))| line.number),
            "column": found.as_ref().map(|(place, (source, line))| match source.is_sheet {
                true => line.sheet_column_of(place.bytes.start) + 1,
                false => lookup.column(place, line),
            }),
            "what": problem.what,
            "instead": problem.instead,
        })
    };
    problems.iter().map(one).collect()
}

/// One line of a source, without its line break and byte-order mark.
struct Line<'a> {
    number: usize,
    start: usize,
    text: &'a str,
}

/// What is shown of a line, and the part of it to underline.
struct Window {
    from_start: bool,
    text: String,
    span: std::ops::Range<usize>,
}

impl Window {
    /// What is underlined.
    fn marked(&self) -> &str {
        self.text.get(self.span.clone()).unwrap_or_default()
    }
}

impl Line<'_> {
    /// The cell of a sheet that a place is in: `C4`.
    fn cell_of(&self, at: usize) -> String {
        format!("{}{}", workbook::column_name(self.sheet_column_of(at)), self.number)
    }

    /// How many cells of the sheet's row stand before a place.
    fn sheet_column_of(&self, at: usize) -> usize {
        let mut is_quoted = false;
        let before = self.text[..self.offset_of(at)].chars().filter(|letter| {
            is_quoted ^= *letter == '"';
            *letter == ',' && !is_quoted
        });
        before.count()
    }

    /// A place of the file as one of the line's text, on a character's boundary.
    fn offset_of(&self, at: usize) -> usize {
        on_boundary(self.text, at.saturating_sub(self.start).min(self.text.len()))
    }

    /// The line, or as much of it around the place as a terminal shows, made safe to print.
    fn window(&self, place: &Place, most: usize) -> Window {
        let clamp = |at: usize| on_boundary(self.text, at.saturating_sub(self.start).min(self.text.len()));
        let (from, to) = (clamp(place.bytes.start), clamp(place.bytes.end));
        let to = from + self.text[from..to.max(from)].trim_end().len();
        // A book may stand in one line of megabytes with a problem at every word: only what is shown is gone through.
        let (before, lead) = (&self.text[..from], most / 2);
        let cut_start = before.chars().rev().nth(lead).is_some() && self.text.chars().nth(most).is_some();
        let first = before.char_indices().rev().take(lead).last().map_or(from, |(at, _)| at);
        let shown = if cut_start { &before[first..] } else { before };
        let mut text = if cut_start { "…".to_owned() } else { String::new() };
        text.extend(shown.chars().map(safe));
        let start = text.len();
        let room = most.saturating_sub(shown.chars().count());
        let marked: String = self.text[from..to].chars().take(room).map(safe).collect();
        let room = room.saturating_sub(marked.chars().count());
        text.push_str(&marked);
        let end = text.len();
        let mut rest = self.text[to..].chars();
        text.extend(rest.by_ref().take(room).map(safe));
        if rest.next().is_some() {
            text.push('…');
        }
        Window { from_start: !cut_start, text, span: start..end }
    }
}

/// Words with nothing in them that could upset a terminal; on one line.
pub fn safe_words(words: &str) -> String {
    words.chars().map(safe).collect()
}

/// As [`safe_words`], of text with several lines.
pub fn safe_text(text: &str) -> String {
    text.chars().map(|character| if character == '\n' { character } else { safe(character) }).collect()
}

/// Nothing in a line may move the cursor or hide what follows.
fn safe(character: char) -> char {
    match character {
        '\t' => ' ',
        other if other.is_control() || crate::wrong::is_hidden(other) => char::REPLACEMENT_CHARACTER,
        other => other,
    }
}

/// The nearest character boundary at or before `at`.
fn on_boundary(text: &str, at: usize) -> usize {
    (0..=at.min(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0)
}
