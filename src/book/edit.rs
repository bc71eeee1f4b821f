//! Changes to a book's text that leave every other byte alone: comments, order, line ends and spacing. Knows YAML's form;
//! what is inserted, the caller knows.
//!
//! Text is inserted at places the parser named, and the result is parsed again: unless it is the old tree with just the
//! new entry in it, the change is refused.

mod row;

use std::ops::Range;

use super::problem::{Place, Problem, SourceId};
use super::tree::{self, Node, Value};

pub use row::{Reading, Readings, Rows, rows_of, with_cells, with_readings};

/// A stretch of the text, which may be empty, and what is to stand there.
type Edit = (Range<usize>, String);

/// Inserts `key: value` as the last entry of a section of the book; makes the section if there is none. `value` is one
/// line of YAML.
///
/// ```
/// use cockpit_cards::book::edit::add_entry;
///
/// let book = "book: 1\nsails:\n  main: {kind: mainsail}   # new in spring\ncontrols: {}\n";
/// let changed = add_entry(book, "sails", "j1", "{kind: headsail}").expect("a plain book");
/// assert_eq!(
///     changed,
///     "book: 1\nsails:\n  main: {kind: mainsail}   # new in spring\n  j1: {kind: headsail}\ncontrols: {}\n"
/// );
/// ```
///
/// # Errors
/// The text is no YAML, has such an entry already, or is written in a form that cannot be changed safely: a section that
/// is a reference or can be referred to.
pub fn add_entry(text: &str, section: &str, key: &str, value: &str) -> Result<String, Problem> {
    let old = parsed(text).ok_or_else(|| {
        Problem::error(start(), "the book cannot be read as it is", "correct what `cockpit-cards check` lists first")
    })?;
    let entry = parsed(&format!("{key}: {value}"))
        .ok_or_else(|| Problem::error(start(), format!("`{key}: {value}` is no entry of a book"), "use plain words"))?;
    let found = entries(&old).and_then(|all| all.iter().find(|(name, _)| is_text(name, section)));
    let (place, candidates) = match found {
        Some((name, map)) => {
            if let Some((twin, _)) = entries(map).and_then(|all| all.iter().find(|(name, _)| is_text(name, key))) {
                let what = format!("there is an entry `{key}` already");
                return Err(Problem::error(twin.place.clone(), what, "use another id"));
            }
            (name.place.clone(), candidates(text, name, map, key, value))
        }
        None => (start(), vec![at_the_end(text, section, key, value)]),
    };
    let wanted = with_entry(&old, section, &entry);
    let fits = |changed: &String| parsed(changed).is_some_and(|new| same(&new, &wanted));
    candidates.iter().filter_map(|edits| edited(text, edits)).find(fits).ok_or_else(|| {
        Problem::error(
            place,
            format!("`{section}` is written in a form that cannot be changed without touching the rest"),
            format!("add this line by hand: `{key}: {value}`"),
        )
    })
}

/// A text as one YAML value: bare where that reads as the same text, in quotes otherwise.
pub fn scalar(text: &str) -> String {
    let harmless = |c: char| c.is_alphanumeric() || matches!(c, ' ' | '_' | '.' | '-' | '½' | '¼' | '¾');
    let is_word = |text: &str| {
        !matches!(text.to_lowercase().as_str(), "true" | "false" | "null" | "yes" | "no" | "on" | "off" | "y" | "n")
    };
    let bare = text.starts_with(char::is_alphanumeric) && !text.ends_with(' ') && text.chars().all(harmless);
    if bare && is_word(text) { text.to_owned() } else { serde_json::Value::String(text.to_owned()).to_string() }
}

/// The ways to insert an entry into a section, the neatest first.
fn candidates(text: &str, name: &Node, map: &Node, key: &str, value: &str) -> Vec<Vec<Edit>> {
    let line = line_break(text, name.place.bytes.end);
    let after_name = name.place.bytes.end..map.place.bytes.start;
    // A reference stands before its name; an anchor between the name and the value.
    let plain = text.get(after_name).is_some_and(|gap| without_comments(gap).trim() == ":");
    let own_column = text[..name.place.bytes.start].chars().rev().take_while(|c| *c == ' ').count();
    match &map.value {
        // `sails:` and nothing behind it.
        Value::Null if map.place.bytes.is_empty() => {
            let indent = " ".repeat(own_column + INDENT);
            vec![vec![insertion(line_end(text, name.place.bytes.end), format!("{line}{indent}{key}: {value}"))]]
        }
        Value::Map(all) if plain => match (text[map.place.bytes.clone()].starts_with('{'), all.last()) {
            (true, None) => vec![vec![insertion(map.place.bytes.start + 1, format!("{key}: {value}"))]],
            (true, Some((last_name, last))) => {
                in_brackets(text, map, last_name, last, &format!("{key}: {value}"), line)
            }
            (false, Some((last_name, last))) => in_block(text, last_name, last, &format!("{key}: {value}"), line),
            (false, None) => Vec::new(),
        },
        _ => Vec::new(),
    }
}

/// Below the last entry of a block, in its column.
fn in_block(text: &str, last_name: &Node, last: &Node, entry: &str, line: &str) -> Vec<Vec<Edit>> {
    let start = line_start(text, last_name.place.bytes.start);
    let indent = &text[start..last_name.place.bytes.start];
    if !indent.chars().all(|c| c == ' ') {
        return Vec::new();
    }
    let new_line = format!("{line}{indent}{entry}");
    // Where a reference is the last thing in the entry its place is elsewhere: then the lines further in tell its end.
    let by_place = line_end(text, last.place.bytes.end.max(last_name.place.bytes.end));
    let mut by_lines = line_end(text, last_name.place.bytes.end);
    let mut at = by_lines;
    while let Some(next) = text[at..].find('\n').map(|newline| at + newline + 1).filter(|next| *next < text.len()) {
        let content = text[next..line_end(text, next)].trim_start_matches(' ');
        let column = line_end(text, next) - next - content.len();
        at = line_end(text, next);
        match content {
            "" => {}
            _ if content.starts_with('#') => {}
            _ if column > indent.len() => by_lines = at,
            _ => break,
        }
    }
    vec![vec![insertion(by_place, new_line.clone())], vec![insertion(by_lines, new_line)]]
}

/// Behind the last entry in brackets: on a line of its own if that entry has one.
fn in_brackets(text: &str, map: &Node, last_name: &Node, last: &Node, entry: &str, line: &str) -> Vec<Vec<Edit>> {
    let close = map.place.bytes.end.saturating_sub(1);
    let end = last.place.bytes.end.max(last_name.place.bytes.end);
    let gap = text.get(end..close).unwrap_or_default();
    let has_comma = without_comments(gap).contains(',');
    let indent = &text[line_start(text, last_name.place.bytes.start)..last_name.place.bytes.start];
    let mut ways = Vec::new();
    if indent.chars().all(|c| c == ' ') {
        let (comma_before, comma_after) = if has_comma { ("", ",") } else { (",", "") };
        // Past a comment on the last entry's line, which stays with that entry.
        let at = line_end(text, end).min(close);
        let new_line = format!("{line}{indent}{entry}{comma_after}");
        ways.push(match at == end {
            true => vec![insertion(end, format!("{comma_before}{new_line}"))],
            false => vec![insertion(end, comma_before.to_owned()), insertion(at, new_line)],
        });
    }
    ways.push(vec![insertion(end, format!(", {entry}"))]);
    let comma = if has_comma { " " } else { ", " };
    ways.push(vec![insertion(end + gap.trim_end().len(), format!("{comma}{entry}"))]);
    ways
}

/// The section as the last lines of the book.
fn at_the_end(text: &str, section: &str, key: &str, value: &str) -> Vec<Edit> {
    let line = line_break(text, 0);
    let first = if text.ends_with('\n') || text.is_empty() { "" } else { line };
    let last = if text.ends_with('\n') { line } else { "" };
    vec![insertion(text.len(), format!("{first}{section}:{line}{}{key}: {value}{last}", " ".repeat(INDENT)))]
}

/// How far in the entries of a section stand where there are none to go by.
const INDENT: usize = 2;

fn insertion(at: usize, text: String) -> Edit {
    (at..at, text)
}

/// The text with some stretches of it changed, given in its order; `None` if they are not.
fn edited(text: &str, edits: &[Edit]) -> Option<String> {
    let mut changed = String::with_capacity(text.len());
    let mut done = 0;
    for (range, new) in edits {
        changed.push_str(text.get(done..range.start)?);
        changed.push_str(new);
        done = range.end.max(range.start);
    }
    changed.push_str(text.get(done..)?);
    Some(changed)
}

/// The old book with the new entry in it.
fn with_entry(old: &Node, section: &str, entry: &Node) -> Node {
    let mut new = old.clone();
    let (Value::Map(sections), Value::Map(added)) = (&mut new.value, &entry.value) else { return new };
    match sections.iter_mut().find(|(name, _)| is_text(name, section)) {
        Some((_, map)) => match &mut map.value {
            Value::Map(all) => all.extend(added.iter().cloned()),
            value => *value = entry.value.clone(),
        },
        None => {
            let name = Node { place: start(), value: Value::Text { text: section.to_owned(), plain: true } };
            sections.push((name, entry.clone()));
        }
    }
    new
}

/// Whether two trees say the same, wherever it stands.
fn same(a: &Node, b: &Node) -> bool {
    match (&a.value, &b.value) {
        (Value::List(a), Value::List(b)) => a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(a, b)),
        (Value::Map(a), Value::Map(b)) => {
            a.len() == b.len() && a.iter().zip(b).all(|(a, b)| same(&a.0, &b.0) && same(&a.1, &b.1))
        }
        (a, b) => a == b,
    }
}

/// The tree of a text without a fault in its form.
fn parsed(text: &str) -> Option<Node> {
    let mut problems = Vec::new();
    let root = tree::parse(SourceId(0), text, |_| true, &mut problems);
    root.filter(|_| problems.iter().all(|problem| problem.level == super::Level::Warning))
}

fn entries(node: &Node) -> Option<&[(Node, Node)]> {
    match &node.value {
        Value::Map(entries) => Some(entries),
        _ => None,
    }
}

fn is_text(node: &Node, wanted: &str) -> bool {
    matches!(&node.value, Value::Text { text, .. } if text == wanted)
}

fn start() -> Place {
    Place { source: SourceId(0), bytes: 0..0 }
}

fn line_start(text: &str, at: usize) -> usize {
    text[..at].rfind('\n').map_or(0, |newline| newline + 1)
}

/// The end of the line that `at` is in, before its line break.
fn line_end(text: &str, at: usize) -> usize {
    let end = text[at..].find('\n').map_or(text.len(), |newline| at + newline);
    if text[at..end].ends_with('\r') { end - 1 } else { end }
}

/// The line break in use from `at` on, or else in the text.
fn line_break(text: &str, at: usize) -> &'static str {
    let line = text[at..].split_inclusive('\n').next().filter(|line| line.ends_with('\n'));
    let line = line.or_else(|| text.split_inclusive('\n').next()).unwrap_or_default();
    if line.ends_with("\r\n") { "\r\n" } else { "\n" }
}

/// A stretch between two values without its comments.
fn without_comments(gap: &str) -> String {
    gap.lines().map(|line| line.split('#').next().unwrap_or_default()).collect::<Vec<_>>().join("\n")
}
