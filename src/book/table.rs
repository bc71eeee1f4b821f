//! Reads one map of the book field by field and reports what is missing, unknown or of the wrong kind.

use crate::wrong::shown;
use std::ops::RangeInclusive;

use super::problem::{Place, Problem};
use super::suggest;
use super::tree::{Node, Value};
use crate::limits::MAX_SUGGESTIONS;

/// A map being read. Every field asked for is ticked off; [`Table::finish`] reports those nobody asked for.
#[derive(Debug)]
pub struct Table<'a> {
    /// What it is, for messages: `control "backstay"`.
    pub what: String,
    /// Where a missing field is reported: the map, until its reader knows better, such as the key it stands under.
    pub place: Place,
    fields: Vec<Field<'a>>,
    asked: Vec<&'static str>,
}

#[derive(Debug)]
struct Field<'a> {
    name: &'a str,
    key: &'a Node,
    value: &'a Node,
    asked: bool,
}

impl<'a> Table<'a> {
    /// Opens `node` as a map; if it is none, says so and returns `None`. `what` names it in messages.
    pub fn open(node: &'a Node, what: impl Into<String>, problems: &mut Vec<Problem>) -> Option<Self> {
        let what = what.into();
        let entries = node.entries(&what, problems)?;
        let fields = entries.iter().filter_map(|(key, value)| {
            let Value::Text { text, .. } = &key.value else { return None };
            Some(Field { name: text, key, value, asked: false })
        });
        Some(Table { what, place: node.place.clone(), fields: fields.collect(), asked: Vec::new() })
    }

    /// The value of a field that may be left out (or be null).
    pub fn take(&mut self, field: &'static str) -> Option<&'a Node> {
        self.tick(field).map(|(_, value)| value).filter(|value| value.value != Value::Null)
    }

    /// The same, but a field of nearly that name is reported and read in its place: for the sections of a book, since
    /// much else refers to what they hold.
    pub fn take_nearest(&mut self, field: &'static str, problems: &mut Vec<Problem>) -> Option<&'a Node> {
        let found = self.tick(field).or_else(|| self.misspelt(field, problems));
        found.map(|(_, value)| value).filter(|value| value.value != Value::Null)
    }

    /// The value of a field that must be there; says so if it is not. `example` shows how it is written.
    pub fn need(&mut self, field: &'static str, example: &str, problems: &mut Vec<Problem>) -> Option<&'a Node> {
        let found = self.tick(field).or_else(|| self.misspelt(field, problems));
        if let Some((_, value)) = found.filter(|(_, value)| value.value != Value::Null) {
            return Some(value);
        }
        let (what, place) = match found {
            Some((key, _)) => (format!("`{field}` of {} is empty", self.what), key.place.clone()),
            None => (format!("{} has no `{field}`", self.what), self.place.clone()),
        };
        problems.push(Problem::error(place, what, format!("write it like `{example}`")));
        None
    }

    /// Whether a field is there with a value, without asking for it.
    pub fn has(&self, field: &str) -> bool {
        self.fields.iter().any(|given| given.name == field && given.value.value != Value::Null)
    }

    /// Where a field's name stands, or the table if it is not there.
    pub fn place_of(&self, field: &str) -> Place {
        let given = self.fields.iter().find(|given| given.name == field);
        given.map_or_else(|| self.place.clone(), |given| given.key.place.clone())
    }

    /// Reports every field that was not asked for, with the nearest name that was.
    ///
    /// Returns whether there was none: what is missing may be what a field with another name was meant for.
    pub fn finish(self, problems: &mut Vec<Problem>) -> bool {
        let before = problems.len();
        let free: Vec<&str> = self.asked.iter().copied().filter(|asked| !self.has(asked)).collect();
        for (count, field) in self.fields.iter().filter(|field| !field.asked).enumerate() {
            let free = free.iter().copied().filter(|_| count < MAX_SUGGESTIONS);
            let instead = match suggest::nearest(field.name, free) {
                Some(name) => format!("did you mean `{name}`?"),
                None => format!("its fields are {}", listed(&self.asked)),
            };
            let what = format!("{} is no field of {}", shown(field.name), self.what);
            problems.push(Problem::error(field.key.place.clone(), what, instead));
        }
        problems.len() == before
    }

    /// A field that nobody asked for and whose name is close to one that is missing: reported, and read all the same.
    fn misspelt(&mut self, missing: &'static str, problems: &mut Vec<Problem>) -> Option<(&'a Node, &'a Node)> {
        let free: Vec<&str> = self.fields.iter().filter(|field| !field.asked).map(|field| field.name).collect();
        let written = suggest::nearest(missing, free)?;
        let field = self.fields.iter_mut().find(|field| field.name == written)?;
        field.asked = true;
        let what = format!("{} is no field of {}", shown(written), self.what);
        problems.push(Problem::error(field.key.place.clone(), what, format!("did you mean `{missing}`?")));
        Some((field.key, field.value))
    }

    fn tick(&mut self, field: &'static str) -> Option<(&'a Node, &'a Node)> {
        if !self.asked.contains(&field) {
            self.asked.push(field);
        }
        let given = self.fields.iter_mut().find(|given| given.name == field)?;
        given.asked = true;
        Some((given.key, given.value))
    }
}

impl Node {
    /// The text of a scalar; says what was found otherwise. `what` names it in the message.
    pub fn text(&self, what: &str, problems: &mut Vec<Problem>) -> Option<&str> {
        match &self.value {
            Value::Text { text, .. } if !text.is_empty() => Some(text),
            _ => {
                let wrong = self.is_not(what, "a word or a number");
                problems.push(match &self.value {
                    Value::List(_) => {
                        Problem { instead: format!("{}; a text with brackets goes in quotes", wrong.instead), ..wrong }
                    }
                    _ => wrong,
                });
                None
            }
        }
    }

    /// The items of a list; a single scalar is a list of one.
    pub fn items(&self, what: &str, problems: &mut Vec<Problem>) -> Option<&[Node]> {
        match &self.value {
            Value::List(items) => Some(items),
            Value::Text { .. } => Some(std::slice::from_ref(self)),
            Value::Null | Value::Map(_) => {
                problems.push(self.is_not(what, "a list, `[one, two]`"));
                None
            }
        }
    }

    /// The items of a list that has to have so many; says so if there are fewer or more. `example` shows how it is
    /// written.
    pub fn some_items(
        &self,
        what: &str,
        count: RangeInclusive<usize>,
        example: &str,
        problems: &mut Vec<Problem>,
    ) -> Option<&[Node]> {
        let items = self.items(what, problems)?;
        self.has_so_many(items.len(), what, count, example, problems).then_some(items)
    }

    /// The fields of a map that has to have so many, as [`Node::some_items`] the items of a list.
    pub fn some_entries(
        &self,
        what: &str,
        count: RangeInclusive<usize>,
        example: &str,
        problems: &mut Vec<Problem>,
    ) -> Option<&[(Node, Node)]> {
        let entries = self.entries(what, problems)?;
        self.has_so_many(entries.len(), what, count, example, problems).then_some(entries)
    }

    fn has_so_many(
        &self,
        found: usize,
        what: &str,
        count: RangeInclusive<usize>,
        example: &str,
        problems: &mut Vec<Problem>,
    ) -> bool {
        let (complaint, instead) = if count.contains(&found) {
            return true;
        } else if count.start() == count.end() {
            (format!("just {}", count.start()), format!("write it like `{example}`"))
        } else if found < *count.start() {
            (format!("at least {}", count.start()), format!("write it like `{example}`"))
        } else {
            (format!("at most {}", count.end()), "keep those that are used".to_owned())
        };
        let what = format!("{what}: {found} given, {complaint} wanted");
        let start = self.place.bytes.start;
        // A long list is its own fault from its first item on; a short one is seen whole.
        let bytes = if found > *count.end() { start..start } else { self.place.bytes.clone() };
        problems.push(Problem::error(Place { source: self.place.source, bytes }, what, instead));
        false
    }

    /// The fields of a map, in the order of the file; says what was found otherwise.
    pub fn entries(&self, what: &str, problems: &mut Vec<Problem>) -> Option<&[(Node, Node)]> {
        match &self.value {
            Value::Map(entries) => Some(entries),
            _ => {
                problems.push(self.is_not(what, "fields, `name: value`"));
                None
            }
        }
    }

    fn is_not(&self, what: &str, wanted: &str) -> Problem {
        // `what` may be one thing or several, so the verb is not its own.
        let found = match &self.value {
            Value::Null => "nothing is written here".to_owned(),
            Value::Text { text, .. } if text.is_empty() => "nothing is written here".to_owned(),
            Value::Text { text, .. } => format!("there is just {}", shown(text)),
            Value::List(_) => "there is a list".to_owned(),
            Value::Map(_) => "there is a group of fields".to_owned(),
        };
        Problem::error(self.place.clone(), format!("{what}: {found}"), format!("write {wanted}"))
    }
}

fn listed(names: &[&str]) -> String {
    match names {
        [] => "none".to_owned(),
        [only] => format!("`{only}`"),
        [first @ .., last] => {
            let first: Vec<String> = first.iter().map(|name| format!("`{name}`")).collect();
            format!("{} and `{last}`", first.join(", "))
        }
    }
}
