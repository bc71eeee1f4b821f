//! What a card says, line by line and in words that a shipmate would use, so that two contents of it can be held against
//! each other. Knows contents as data; which lines a content has, its kind knows.

use serde_json::Value;

use super::comparing::{Fields, short, text};

/// One thing that a card says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Said {
    /// Something there is one of: where it stands, and what stands there.
    One { about: String, says: String },
    /// One of several of a kind, which has no name of its own: what they are, and its words.
    Among { about: String, says: String },
    /// A picture or a measure that words would not make clearer: what it is, and what tells it from another.
    Drawn { about: String, says: String },
}

impl Said {
    /// Something there is one of.
    pub fn one(about: impl Into<String>, says: impl Into<String>) -> Said {
        Said::One { about: about.into(), says: says.into() }
    }

    /// One of several of a kind.
    pub fn among(about: impl Into<String>, says: impl Into<String>) -> Said {
        Said::Among { about: about.into(), says: says.into() }
    }

    /// Whether both stand in the same place of the card; what has no place of its own is known by its words.
    fn is_namesake(&self, other: &Said) -> bool {
        match (self, other) {
            (Said::Among { .. }, Said::Among { .. }) => self == other,
            (Said::One { .. }, Said::One { .. }) | (Said::Drawn { .. }, Said::Drawn { .. }) => {
                self.parts().0 == other.parts().0
            }
            _ => false,
        }
    }

    /// Whether it is one of several that are about this.
    fn is_among(&self, about: &str) -> bool {
        matches!(self, Said::Among { .. }) && self.parts().0 == about
    }

    fn parts(&self) -> (&str, &str) {
        match self {
            Said::One { about, says } | Said::Among { about, says } | Said::Drawn { about, says } => (about, says),
        }
    }
}

/// What differs between two contents of a kind whose lines are these; takes out of both what it has compared.
///
/// What every kind may say besides is looked for here: its part, cautions, what was taken for granted, looks.
pub fn by_lines(old: &mut Fields, new: &mut Fields, of_kind: fn(&mut Fields, &mut Vec<Said>)) -> Vec<String> {
    let lines = |content: &mut Fields| {
        let mut lines = Vec::new();
        of_kind(content, &mut lines);
        lines.extend(optional(content, "part", "part"));
        lines.extend(optional(content, "title", "title"));
        for (field, about) in [("cautions", "caution"), ("assumptions", "taken for granted"), ("looks", "look")] {
            lines.extend(texts(content, field).into_iter().map(|says| Said::among(about, says)));
        }
        lines.extend(texts(content, "narrowed").iter().map(|words| before_colon(words)));
        lines
    };
    differences(&lines(old), &lines(new))
}

/// Every difference between two lists of lines, in the order of the card that is printed now.
fn differences(old: &[Said], new: &[Said]) -> Vec<String> {
    let stays = |line: &Said, others: &[Said]| others.iter().any(|other| line.is_namesake(other));
    let mut gone: Vec<&Said> = old.iter().filter(|line| !stays(line, new)).collect();
    let come: Vec<&Said> = new.iter().filter(|line| !stays(line, old)).collect();
    // Where as many of a kind came as went, each has taken the place of one.
    let count = |lines: &[&Said], about: &str| lines.iter().filter(|line| line.is_among(about)).count();
    let even: Vec<&str> = come
        .iter()
        .map(|line| line.parts().0)
        .filter(|about| count(&come, about) > 0 && count(&come, about) == count(&gone, about))
        .collect();
    let mut said = Vec::new();
    for line in new {
        let (about, says) = line.parts();
        let namesake = old.iter().find(|other| line.is_namesake(other));
        let was = namesake.or_else(|| {
            let replaced = gone.iter().position(|other| line.is_among(about) && other.is_among(about))?;
            even.contains(&about).then(|| gone.remove(replaced))
        });
        match (was, line) {
            (Some(was), _) if was.parts().1 == says => {}
            (Some(_), Said::Drawn { .. }) => said.push(format!("{about}: drawn anew")),
            (Some(was), _) => {
                let (says, was) = narrowed(says, was.parts().1);
                said.push(format!("{}; was {was}", whole(about, &says)));
            }
            (None, Said::Drawn { .. }) => said.push(format!("new: {about}")),
            (None, _) => said.push(format!("new: {}", whole(about, says))),
        }
    }
    said.extend(gone.into_iter().map(|line| match line {
        Said::Drawn { about, .. } => format!("no longer: {about}"),
        Said::One { about, says } | Said::Among { about, says } => format!("no longer: {}", whole(about, says)),
    }));
    if said.is_empty() && old != new {
        said.push("the same in another order".to_owned());
    }
    said
}

/// What differs between two texts of as many parts: of five names, the one that changed.
fn narrowed(says: &str, was: &str) -> (String, String) {
    let [says, was] = [says, was].map(|text| text.trim_end_matches('.'));
    let [now, before] = [says, was].map(|text| text.split(", ").collect::<Vec<_>>());
    if now.len() != before.len() {
        return (says.to_owned(), was.to_owned());
    }
    let (now, before): (Vec<_>, Vec<_>) = now.into_iter().zip(before).filter(|(now, before)| now != before).unzip();
    (now.join(", "), before.join(", "))
}

fn whole(about: &str, says: &str) -> String {
    match (about.is_empty(), says.is_empty()) {
        (true, _) => says.to_owned(),
        (_, true) => about.to_owned(),
        _ => format!("{about}: {says}"),
    }
}

/// A sentence that begins with what it is about.
pub fn before_colon(words: &str) -> Said {
    match words.split_once(": ") {
        Some((about, says)) => Said::one(about, says),
        None => Said::among("", words),
    }
}

/// Takes fields out that are a picture together.
pub fn drawn(content: &mut Fields, fields: &[&str], about: &str, lines: &mut Vec<Said>) {
    let picture: Vec<Option<Value>> = fields.iter().map(|field| content.shift_remove(*field)).collect();
    if picture.iter().any(Option::is_some) {
        lines.push(Said::Drawn { about: about.to_owned(), says: format!("{picture:?}") });
    }
}

/// Takes a field out that may be left empty.
pub fn optional(content: &mut Fields, field: &str, about: &str) -> Option<Said> {
    let says = text(content.shift_remove(field).as_ref());
    (!says.is_empty()).then(|| Said::one(about, says))
}

/// Takes a list out.
pub fn taken(content: &mut Fields, field: &str) -> Vec<Value> {
    match content.shift_remove(field) {
        Some(Value::Array(items)) => items,
        _ => Vec::new(),
    }
}

/// Takes a list of texts out.
pub fn texts(content: &mut Fields, field: &str) -> Vec<String> {
    taken(content, field).iter().map(short).collect()
}

/// One item of a list in few words.
pub fn item(pair: &Value, index: usize) -> String {
    text(pair.get(index))
}

/// A wind without the unit that some cards write into it.
pub fn bare<'a>(wind: &'a str, unit: &str) -> &'a str {
    wind.strip_suffix(unit).map_or(wind, str::trim_end)
}
