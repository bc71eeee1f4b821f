//! YAML as a tree whose every node knows its place. Refuses what a book may not hold; knows nothing of boats.

use crate::wrong::shown;
use std::collections::HashMap;
use std::ops::Range;

use serde_saphyr::granit_parser as yaml;
use yaml::{Event, Parser, ScalarStyle, Span, StructureStyle};

use super::characters;
use super::problem::{Place, Problem, SourceId};
use super::syntax;
use crate::limits::{MAX_NESTING, MAX_ODD_CHARACTERS, MAX_VALUES, MAX_WRITTEN_BYTES};

/// A node of the file.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Where it stands in the book.
    pub place: Place,
    /// What it is: a text, a list, a map or nothing.
    pub value: Value,
}

/// What a node is.
#[derive(Clone, Debug, PartialEq)]
pub enum Value {
    /// `~`, `null` or nothing at all.
    Null,
    /// A scalar on one line, its escapes resolved, in Unicode's composed form; `plain` if it was not quoted.
    Text {
        /// What it says, without quotes and escapes.
        text: String,
        /// Whether it was written without quotes.
        plain: bool,
    },
    /// Items in the order of the book.
    List(Vec<Node>),
    /// Keys in the order of the file, each a text and each but once.
    Map(Vec<(Node, Node)>),
}

impl Node {
    /// Every text among the values in and below this node.
    pub fn texts(&self) -> Box<dyn Iterator<Item = &str> + '_> {
        match &self.value {
            Value::Null => Box::new(std::iter::empty()),
            Value::Text { text, .. } => Box::new(std::iter::once(text.as_str())),
            Value::List(items) => Box::new(items.iter().flat_map(Node::texts)),
            Value::Map(entries) => Box::new(entries.iter().flat_map(|(_, value)| value.texts())),
        }
    }

    /// The same with other texts where `other` gives one; places and the names of fields stay.
    pub fn with_texts(&self, other: &dyn Fn(&str) -> Option<String>) -> Node {
        let value = match &self.value {
            Value::Null => Value::Null,
            Value::Text { text, plain } => {
                Value::Text { text: other(text).unwrap_or_else(|| text.clone()), plain: *plain }
            }
            Value::List(items) => Value::List(items.iter().map(|item| item.with_texts(other)).collect()),
            Value::Map(entries) => {
                Value::Map(entries.iter().map(|(key, value)| (key.clone(), value.with_texts(other))).collect())
            }
        };
        Node { place: self.place.clone(), value }
    }
}

/// Reads a text as YAML. `None` if there is nothing in it to go on with; a problem then says why. `printable` tells
/// whether a character can be printed.
pub fn parse(source: SourceId, text: &str, printable: fn(char) -> bool, problems: &mut Vec<Problem>) -> Option<Node> {
    let options = yaml::options! {
        flow_nesting_limit: MAX_NESTING,
        block_nesting_limit: MAX_NESTING,
        disallow_directives: true,
        emit_unresolved_aliases: true,
    };
    let mut builder = Builder {
        source,
        text,
        printable,
        problems,
        open: Vec::new(),
        anchors: HashMap::new(),
        line: 0,
        size: 0,
        written: 0,
        root: None,
    };
    for event in Parser::new_from_str_with_options(text, options) {
        let step = match event {
            Ok((event, span)) => builder.take(event, span),
            Err(error) => Err(syntax::problem(source, text, &error, builder.open_bracket())),
        };
        match step {
            Ok(Step::On) => {}
            Ok(Step::Done) => break,
            Err(problem) => {
                builder.problems.push(problem);
                return None;
            }
        }
    }
    let root = builder.root.map(|sized| sized.node).filter(|node| node.value != Value::Null);
    if root.is_none() {
        problems.push(Problem::error(
            Place { source, bytes: 0..0 },
            "the book is empty",
            "start it with `book: 1`, then `boat`, `controls`, `sails` and `settings`",
        ));
    }
    root
}

/// A finished node with what it takes up once its references are written out.
#[derive(Clone)]
struct Sized {
    node: Node,
    values: usize,
    /// Bytes of all its texts.
    bytes: usize,
    height: usize,
}

/// A list or a map whose end has not come yet.
struct Open {
    start: usize,
    flow: bool,
    anchor: usize,
    values: usize,
    bytes: usize,
    height: usize,
    children: Children,
}

enum Children {
    List(Vec<Node>),
    /// `seen` holds the line of each key.
    Map {
        entries: Vec<(Node, Node)>,
        seen: HashMap<String, usize>,
        key: Option<(Node, usize)>,
    },
}

enum Step {
    On,
    Done,
}

struct Builder<'a> {
    source: SourceId,
    text: &'a str,
    printable: fn(char) -> bool,
    problems: &'a mut Vec<Problem>,
    open: Vec<Open>,
    anchors: HashMap<usize, Sized>,
    /// The line of the event at hand.
    line: usize,
    /// Values so far, references written out.
    size: usize,
    /// Bytes of their texts.
    written: usize,
    root: Option<Sized>,
}

impl Builder<'_> {
    /// Takes one event; an `Err` ends the reading.
    fn take(&mut self, event: Event<'_>, span: Span) -> Result<Step, Problem> {
        let bytes = span.byte_range().unwrap_or(0..0);
        self.line = span.start.line();
        match event {
            Event::DocumentStart(..) if self.root.is_some() => {
                return Err(self.error(
                    bytes,
                    "a second document starts here: one file holds one book",
                    "take the line `---` out, or move what follows into a file of its own",
                ));
            }
            Event::Scalar(text, style, anchor, tag) => {
                self.refuse_tag(tag.is_some(), &span);
                let node = self.scalar(&text, style, bytes);
                let bytes = text_bytes(&node);
                self.put(Sized { node, values: 1, bytes, height: 0 }, anchor)?;
            }
            Event::SequenceStart(style, anchor, tag) => {
                self.refuse_tag(tag.is_some(), &span);
                self.begin(bytes, style, anchor, Children::List(Vec::new()))?;
            }
            Event::MappingStart(style, anchor, tag) => {
                self.refuse_tag(tag.is_some(), &span);
                let map = Children::Map { entries: Vec::new(), seen: HashMap::new(), key: None };
                self.begin(bytes, style, anchor, map)?;
            }
            Event::SequenceEnd | Event::MappingEnd => {
                if let Some(open) = self.open.pop() {
                    let anchor = open.anchor;
                    let sized = self.close(open, bytes);
                    self.put(sized, anchor)?;
                }
            }
            Event::Alias(anchor) => {
                let Some(target) = self.anchors.get(&anchor) else {
                    return Err(self.error(
                        bytes,
                        "this `*` refers to a value that holds it",
                        "write the value out here",
                    ));
                };
                let (values, written, height) = (target.values, target.bytes, target.height);
                self.allow(values, written, height, &bytes)?;
                if let Some(copy) = self.anchors.get(&anchor).cloned() {
                    self.put(copy, 0)?;
                }
            }
            Event::UnresolvedAlias(name) => {
                let what = format!("{} refers to nothing above it", shown(&format!("*{name}")));
                self.problems.push(self.error(bytes.clone(), what, "write the value out, or put it in quotes"));
                self.put(Sized { node: self.node(bytes, Value::Null), values: 1, bytes: 0, height: 0 }, 0)?;
            }
            Event::StreamEnd => return Ok(Step::Done),
            _ => {}
        }
        Ok(Step::On)
    }

    /// Where the innermost bracket stands that is open.
    fn open_bracket(&self) -> Option<usize> {
        self.open.last().filter(|open| open.flow).map(|open| open.start)
    }

    fn begin(
        &mut self,
        bytes: Range<usize>,
        style: StructureStyle,
        anchor: usize,
        children: Children,
    ) -> Result<(), Problem> {
        self.allow(1, 0, 1, &bytes)?;
        let flow = style == StructureStyle::Flow;
        self.open.push(Open { start: bytes.start, flow, anchor, values: 1, bytes: 0, height: 0, children });
        Ok(())
    }

    fn close(&mut self, open: Open, end: Range<usize>) -> Sized {
        let last = match &open.children {
            Children::List(items) => items.last(),
            Children::Map { entries, .. } => entries.last().map(|(_, value)| value),
        };
        // Where a block ends, the parser has already passed the comments that follow it.
        let end = match last.filter(|_| !open.flow) {
            Some(last) => last.place.bytes.end.max(open.start),
            None => end.end.max(open.start),
        };
        let value = match open.children {
            Children::List(items) => Value::List(items),
            Children::Map { entries, .. } => Value::Map(entries),
        };
        Sized { node: self.node(open.start..end, value), values: open.values, bytes: open.bytes, height: open.height }
    }

    /// Gives a finished node to the list or map that is open, or makes it the root.
    fn put(&mut self, sized: Sized, anchor: usize) -> Result<(), Problem> {
        if !matches!(sized.node.value, Value::List(_) | Value::Map(_)) {
            self.allow(1, sized.bytes, 0, &sized.node.place.bytes)?;
        }
        if anchor != 0 {
            self.anchors.insert(anchor, sized.clone());
        }
        let Some(parent) = self.open.last_mut() else {
            self.root = Some(sized);
            return Ok(());
        };
        parent.values = parent.values.saturating_add(sized.values);
        parent.bytes = parent.bytes.saturating_add(sized.bytes);
        parent.height = parent.height.max(sized.height + 1);
        match &mut parent.children {
            Children::List(items) => items.push(sized.node),
            Children::Map { entries, seen, key } => match key.take() {
                None => *key = Some((sized.node, self.line)),
                Some((key, line)) => add(entries, seen, (key, line), sized.node, self.problems),
            },
        }
        Ok(())
    }

    /// Counts values in, and refuses a book that grows out of all measure: a few references to references can stand
    /// for more values than there is memory.
    fn allow(&mut self, values: usize, written: usize, height: usize, bytes: &Range<usize>) -> Result<(), Problem> {
        self.size = self.size.saturating_add(values);
        self.written = self.written.saturating_add(written);
        if self.written > MAX_WRITTEN_BYTES {
            let most = MAX_WRITTEN_BYTES / 1_000_000;
            let what = format!("the texts of the book take more than {most} MB once every `*` is written out");
            return Err(self.error(bytes.clone(), what, "write it without references to long texts"));
        }
        if self.size > MAX_VALUES {
            let what = format!("the book holds more than {MAX_VALUES} values once every `*` is written out");
            return Err(self.error(bytes.clone(), what, "write it without references to references"));
        }
        if self.open.len() + height > MAX_NESTING {
            return Err(syntax::too_deep(Place { source: self.source, bytes: bytes.clone() }));
        }
        Ok(())
    }

    fn scalar(&mut self, text: &str, style: ScalarStyle, bytes: Range<usize>) -> Node {
        let plain = style == ScalarStyle::Plain;
        let empty = plain && matches!(text, "" | "~" | "null" | "Null" | "NULL");
        let mut text = characters::tidy(text);
        let place = Place { source: self.source, bytes };
        if self.problems.len() < MAX_ODD_CHARACTERS {
            let faults = characters::faults(&text, self.printable);
            self.problems.extend(faults.into_iter().map(|fault| fault.at(&place)));
            if let Some(doubt) = characters::runs_otherwise(&text) {
                self.problems.push(Problem::warning(place.clone(), doubt.what, doubt.instead));
            }
        }
        characters::shorten(&mut text);
        if plain && !empty {
            self.warn_of_glued_comment(&text, &place);
        }
        let value = if empty { Value::Null } else { Value::Text { text, plain } };
        Node { place, value }
    }

    /// `name: J1 #2` is a name and a comment to YAML, but hardly to the one who wrote it.
    fn warn_of_glued_comment(&mut self, text: &str, place: &Place) {
        let after = self.text.get(place.bytes.end..).unwrap_or_default();
        // Only what follows at once is looked at: a book may be one long line.
        let rest = after.trim_start_matches([' ', '\t']);
        let glued = rest.strip_prefix('#').and_then(|comment| comment.chars().next());
        if glued.is_none_or(|first| first.is_whitespace() || matches!(first, '#' | '-' | '=' | '!')) {
            return;
        }
        let start = place.bytes.end + (after.len() - rest.len());
        let comment = rest.lines().next().unwrap_or_default().trim_end();
        self.problems.push(Problem::warning(
            Place { source: self.source, bytes: start..start + comment.len() },
            format!("the text ends before the `#`: it reads {}", shown(text)),
            "if the `#` belongs to the text, put it all in quotes; if it starts a comment, put a space after it",
        ));
    }

    fn refuse_tag(&mut self, tagged: bool, span: &Span) {
        if tagged {
            let bytes = span.tag_span().and_then(|tag| tag.byte_range()).or(span.byte_range()).unwrap_or(0..0);
            self.problems.push(syntax::tag(Place { source: self.source, bytes }));
        }
    }

    fn node(&self, bytes: Range<usize>, value: Value) -> Node {
        Node { place: Place { source: self.source, bytes }, value }
    }

    fn error(&self, bytes: Range<usize>, what: impl Into<String>, instead: &str) -> Problem {
        Problem::error(Place { source: self.source, bytes }, what, instead)
    }
}

/// What the text of a node takes up, if it is one.
fn text_bytes(node: &Node) -> usize {
    match &node.value {
        Value::Text { text, .. } => text.len(),
        Value::Null | Value::List(_) | Value::Map(_) => 0,
    }
}

/// Adds an entry to a map, unless its key is none or is there already.
fn add(
    entries: &mut Vec<(Node, Node)>,
    seen: &mut HashMap<String, usize>,
    (key, line): (Node, usize),
    value: Node,
    problems: &mut Vec<Problem>,
) {
    let name = match &key.value {
        Value::Text { text, plain } if !(*plain && text == "<<") => text.clone(),
        Value::Text { .. } => {
            problems.push(Problem::error(
                key.place,
                "`<<` would merge another block in here, and a book does not do that",
                "write the fields out",
            ));
            return;
        }
        _ => {
            problems.push(Problem::error(
                key.place,
                "the name of this field is not a word",
                "write `name: value`, with a word before the colon",
            ));
            return;
        }
    };
    if let Some(first) = seen.get(&name) {
        problems.push(Problem::error(
            key.place,
            format!("{} is written twice: line {first} has it already", shown(&name)),
            "keep one of the two",
        ));
        return;
    }
    seen.insert(name, line);
    entries.push((key, value));
}
