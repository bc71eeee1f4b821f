//! Single words of the book: one of a fixed choice, true or false, an id, a name, a day. Knows no field by name.

use super::date;
use super::model::Spanned;
use super::problem::{Place, Problem};
use super::suggest;
use super::tree::{Node, Value};
use crate::limits::{MAX_ID_CHARACTERS, MAX_SUGGESTIONS};
use crate::wrong::shown;

/// One word of a fixed choice.
pub fn choice<T: Copy>(node: &Node, what: &str, choices: &[(&str, T)], problems: &mut Vec<Problem>) -> Option<T> {
    let text = node.text(what, problems)?;
    let found = choices.iter().find(|(word, _)| *word == text);
    if found.is_none() {
        let instead = suggest::advice(text, choices.iter().map(|(word, _)| *word));
        problems.push(Problem::error(node.place.clone(), format!("{what} cannot be {}", shown(text)), instead));
    }
    found.map(|(_, value)| *value)
}

/// `true` or `false`.
pub fn flag(node: &Node, what: &str, problems: &mut Vec<Problem>) -> Option<bool> {
    choice(node, what, &[("true", true), ("false", false)], problems)
}

/// Words that people see: a name, a reason, where to look.
pub fn words(node: &Node, what: &str, problems: &mut Vec<Problem>) -> Option<Spanned<String>> {
    let text = node.text(what, problems)?;
    Some(Spanned { value: text.to_owned(), place: node.place.clone() })
}

/// An id: small letters, digits, `_` and `-`. It names files, so it cannot hold anything that a disk might mind.
pub fn id(node: &Node, what: &str, problems: &mut Vec<Problem>) -> Option<Spanned<String>> {
    let text = node.text(&format!("the id of {what}"), problems)?;
    let allowed = |character: char| matches!(character, 'a'..='z' | '0'..='9' | '_' | '-');
    let fault = if !text.chars().all(allowed) {
        let better: String = text.to_lowercase().chars().map(|c| if allowed(c) { c } else { '_' }).collect();
        let instead = if better.chars().any(|character| character.is_ascii_alphanumeric()) {
            let start: String = better.chars().take(MAX_ID_CHARACTERS).collect();
            let start = if is_device(&start) { of_its_own(&start) } else { start };
            format!("use small letters a to z, digits, `_` and `-`: `{start}`; what is printed goes into `name`")
        } else {
            "use small letters a to z, digits, `_` and `-`; what is printed goes into `name`".to_owned()
        };
        Some((format!("{} cannot be the id of {what}", shown(text)), instead))
    } else if text.len() > MAX_ID_CHARACTERS {
        Some((
            format!("the id {} is longer than {MAX_ID_CHARACTERS} characters", shown(text)),
            "shorten it; what is printed goes into `name`".to_owned(),
        ))
    } else if is_device(text) {
        Some((
            format!("{} cannot be the id of {what}: on Windows no file can have that name", shown(text)),
            format!("write it another way: `{}`; what is printed goes into `name`", of_its_own(text)),
        ))
    } else {
        None
    };
    match fault {
        Some((what, instead)) => {
            problems.push(Problem::error(node.place.clone(), what, instead));
            None
        }
        None => Some(Spanned { value: text.to_owned(), place: node.place.clone() }),
    }
}

/// Names that Windows keeps for its devices, whatever extension follows (Microsoft, "Naming Files, Paths, and
/// Namespaces"; from memory). A digit follows the last two.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];
const NUMBERED_DEVICES: [&str; 2] = ["com", "lpt"];

/// Whether an id is the name of a device.
fn is_device(id: &str) -> bool {
    let is_digit = |rest: &str| rest.len() == 1 && rest.bytes().all(|byte| byte.is_ascii_digit());
    DEVICES.contains(&id) || NUMBERED_DEVICES.iter().any(|device| id.strip_prefix(device).is_some_and(is_digit))
}

fn of_its_own(device: &str) -> String {
    format!("{device}_1")
}

/// What an id looks like in print when the book gives no name: `jib_halyard` is "Jib halyard".
pub fn name_from_id(id: &str) -> String {
    let spaced = id.replace(['_', '-'], " ");
    let trimmed = spaced.trim();
    match trimmed.chars().next() {
        Some(first) => first.to_uppercase().chain(trimmed.chars().skip(1)).collect(),
        None => id.to_owned(),
    }
}

/// A day as the book keeps it, `2027-04-11`.
pub fn day(node: &Node, what: &str, problems: &mut Vec<Problem>) -> Option<Spanned<String>> {
    let text = node.text(what, problems)?;
    match date::check(text) {
        Ok(()) => Some(Spanned { value: text.to_owned(), place: node.place.clone() }),
        Err(wrong) => {
            problems.push(wrong.at(&node.place));
            None
        }
    }
}

/// The ids a section declares and where its good entries ended up. An entry that is declared but broken has had its
/// complaint: a reference to it adds none.
#[derive(Clone, Debug, Default)]
pub struct Names {
    /// Singular: `control`.
    kind: &'static str,
    declared: Vec<(String, Option<usize>)>,
    /// Whether some of what is declared could not even be made out: then any name may be one of those.
    is_broken: bool,
}

/// What a name refers to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reference {
    /// Its index among the entries that could be read.
    To(usize),
    /// Declared, but not readable.
    Broken,
}

impl Names {
    /// The names of a section in which nothing is declared yet; `kind` is what one of its entries is called: `control`.
    pub fn new(kind: &'static str) -> Self {
        Names { kind, ..Names::default() }
    }

    /// The names of a section that could not be made out, which has had its complaint.
    pub fn unreadable(kind: &'static str) -> Self {
        Names { kind, is_broken: true, ..Names::default() }
    }

    /// Notes an entry without a name that others could refer to it by.
    pub fn lose_one(&mut self) {
        self.is_broken = true;
    }

    /// Whether `id` is declared, or may be: a reference to it is then no fault of its own.
    pub fn may_have(&self, id: &str) -> bool {
        self.is_broken || self.has(id)
    }

    /// Whether something is declared, or may be, that could not be read.
    pub fn have_lost_any(&self) -> bool {
        self.is_broken || self.declared.iter().any(|(_, index)| index.is_none())
    }

    /// Notes an id, with the index of its entry if that could be read.
    pub fn declare(&mut self, id: impl Into<String>, index: Option<usize>) {
        self.declared.push((id.into(), index));
    }

    /// Whether `id` is declared.
    pub fn has(&self, id: &str) -> bool {
        self.declared.iter().any(|(declared, _)| declared == id)
    }

    /// As the section of the book is called.
    fn kinds(&self) -> String {
        if self.kind.ends_with('s') { self.kind.to_owned() } else { format!("{}s", self.kind) }
    }

    /// The ids that are declared, as many as an example needs: `main, j1`. Empty if there are none.
    pub fn a_few(&self) -> String {
        const ENOUGH: usize = 2;
        let ids: Vec<&str> = self.declared.iter().take(ENOUGH).map(|(id, _)| id.as_str()).collect();
        ids.join(", ")
    }

    /// How many ids are declared.
    pub fn len(&self) -> usize {
        self.declared.len()
    }

    /// Whether no id is declared.
    pub fn is_empty(&self) -> bool {
        self.declared.is_empty()
    }

    /// What `id`, written at `place`, refers to; says so if there is no such thing.
    pub fn find(&self, id: &str, place: &Place, problems: &mut Vec<Problem>) -> Option<Reference> {
        if let Some((_, index)) = self.declared.iter().find(|(declared, _)| declared == id) {
            return Some(index.map_or(Reference::Broken, Reference::To));
        }
        if self.is_broken {
            return Some(Reference::Broken);
        }
        let instead = if problems.len() > MAX_SUGGESTIONS {
            format!("name one of the {} in the book", self.kinds())
        } else if self.declared.is_empty() {
            format!("describe it under `{}` first", self.kinds())
        } else {
            suggest::advice(id, self.declared.iter().map(|(declared, _)| declared.as_str()))
        };
        problems.push(Problem::error(place.clone(), format!("there is no {} {}", self.kind, shown(id)), instead));
        None
    }
}

/// A whole number, as a count is written.
pub fn whole_number(node: &Node, what: &str, example: &str, problems: &mut Vec<Problem>) -> Option<i32> {
    let text = node.text(what, problems)?;
    let number = text.replace(crate::tuning::mark::MINUS, "-").parse().ok();
    if number.is_none() {
        let message = format!("{what} is {}, not a whole number", shown(text));
        problems.push(Problem::error(node.place.clone(), message, format!("write it like `{example}`")));
    }
    number
}

/// The text of a scalar if it is one, with no complaint if it is not.
pub fn text_of(node: &Node) -> Option<&str> {
    match &node.value {
        Value::Text { text, .. } => Some(text),
        _ => None,
    }
}
