//! Two contents of a card as data, field by field: what came, what went, what became what. Knows no kind of card and no
//! field by name but those that name things.

use serde_json::{Map, Value};

use super::stamp::is_nothing;
use crate::tuning::mark;

/// Of a number that the content holds more closely than any card prints it.
const DECIMALS: usize = 3;

/// A content, or a group of its fields.
pub type Fields = Map<String, Value>;

/// Two groups of fields, field by field; `about` is what they are of, or nothing for the card itself.
pub fn fields(about: &str, old: &Fields, new: &Fields, said: &mut Vec<String>) {
    let all = new.keys().chain(old.keys().filter(|name| !new.contains_key(*name)));
    let both = |name| (old.get(name).unwrap_or(&Value::Null), new.get(name).unwrap_or(&Value::Null));
    let before = said.len();
    // A flag is said only where nothing else tells what changed.
    let (flags, rest): (Vec<&String>, Vec<&String>) = all.partition(|name| both(*name).1.is_boolean());
    for name in rest {
        let (was, is) = both(name);
        value(&joined(about, name), unit(name), was, is, said);
    }
    if said.len() == before || about.is_empty() {
        for name in flags {
            let (was, is) = both(name);
            value(&joined(about, name), "", was, is, said);
        }
    }
}

/// One field in both; `about` is where it is, `unit` what stands behind a number.
pub fn value(about: &str, unit: &str, was: &Value, is: &Value, said: &mut Vec<String>) {
    match (was, is) {
        _ if was == is || (is_nothing(was) && is_nothing(is)) => {}
        (Value::Object(old), Value::Object(new)) => fields(about, old, new, said),
        (Value::Array(old), Value::Array(new)) => items(about, old, new, said),
        (Value::Array(old), Value::Null) => items(about, old, &[], said),
        (Value::Null, Value::Array(new)) => items(about, &[], new, said),
        // Two numbers may differ in how YAML wrote them and in nothing else.
        _ if number(Some(was)).is_some() && number(Some(was)) == number(Some(is)) => {}
        _ => {
            let with_unit = |value: &Value| match short(value) {
                text if text.is_empty() => text,
                text => format!("{text}{unit}"),
            };
            let (was, is) = (with_unit(was), with_unit(is));
            said.push(match about.ends_with(" is") && !was.is_empty() && !is.is_empty() {
                true => format!("{about} {is}, was {was}"),
                false => format!("{about} {}", from_to(&was, &is)),
            });
        }
    }
}

/// Two lists: of things with a name, each with its namesake; of anything else, what came and what went.
pub fn items(about: &str, old: &[Value], new: &[Value], said: &mut Vec<String>) {
    let name = |item: &Value| match item {
        Value::Object(fields) => name_of(fields),
        // A pair of a name and what is said of it.
        Value::Array(pair) => pair.first().filter(|_| pair.len() == 2)?.as_str().map(str::to_owned),
        _ => None,
    };
    let singular = about.strip_suffix('s').unwrap_or(about);
    if let (Some(old_names), Some(new_names)) = (distinct(old.iter().map(name)), distinct(new.iter().map(name))) {
        for (item, name) in new.iter().zip(&new_names) {
            match old_names.iter().position(|old| old == name) {
                Some(position) => value(&of_item(about, name), "", &old[position], item, said),
                None => said.push(format!("new {singular} {name}")),
            }
        }
        said.extend(
            old_names
                .iter()
                .filter(|name| !new_names.contains(name))
                .map(|name| format!("{singular} {name} taken out")),
        );
        let all_stay = old_names.len() == new_names.len() && old_names.iter().all(|name| new_names.contains(name));
        if all_stay && old_names != new_names {
            said.push(format!("{about} in another order"));
        }
        return;
    }
    if old.len() == new.len() && old.iter().chain(new).all(|item| item.is_array() || item.is_object()) {
        for (index, (was, is)) in old.iter().zip(new).enumerate() {
            value(&format!("{singular} {}", index + 1), "", was, is, said);
        }
        return;
    }
    let scalar = |item: &Value| !item.is_array() && !item.is_object();
    if old.len() == new.len() && old.iter().chain(new).all(scalar) && old.iter().any(|item| !new.contains(item)) {
        let changed: Vec<_> = old.iter().zip(new).enumerate().filter(|(_, (was, is))| was != is).collect();
        for (index, (was, is)) in &changed {
            let about = if changed.len() == 1 { format!("{about}:") } else { format!("{about} {}:", index + 1) };
            value(&about, "", was, is, said);
        }
        return;
    }
    let before = said.len();
    match (
        old.iter().filter(|item| !new.contains(item)).collect::<Vec<_>>().as_slice(),
        new.iter().filter(|item| !old.contains(item)).collect::<Vec<_>>().as_slice(),
    ) {
        ([was], [is]) => said.push(format!("{about}: {}", from_to(&short(was), &short(is)))),
        (gone, come) => {
            said.extend(come.iter().map(|item| format!("{about}: new “{}”", short(item))));
            said.extend(gone.iter().map(|item| format!("{about}: “{}” taken out", short(item))));
        }
    }
    if said.len() == before {
        said.push(format!("{about} in another order"));
    }
}

/// `3½ to 4`; where that could be taken for a range, `was 3 to 4, now 5`.
pub fn from_to(was: &str, is: &str) -> String {
    match (was.is_empty(), is.is_empty()) {
        (true, _) => format!("now {is}"),
        (_, true) => format!("{was} taken out"),
        _ if was.contains(' ') || is.contains(' ') => format!("was {was}, now {is}"),
        _ => format!("{was} to {is}"),
    }
}

/// The first field of a group that tells it from its neighbours.
fn name_of(fields: &Fields) -> Option<String> {
    const NAMES: [&str; 6] = ["id", "name", "control", "title", "label", "item"];
    let named = NAMES.iter().find_map(|name| fields.get(*name));
    named.or_else(|| fields.values().next()).and_then(Value::as_str).filter(|name| !name.is_empty()).map(str::to_owned)
}

/// All names, if there is one for each and no two are alike.
fn distinct(names: impl Iterator<Item = Option<String>>) -> Option<Vec<String>> {
    let names: Vec<String> = names.collect::<Option<_>>()?;
    let twice = names.iter().enumerate().any(|(index, name)| names[..index].contains(name));
    (!twice).then_some(names)
}

/// Where a field is: `strip, pointer`. Fields whose name only says that something stands there go unnamed.
fn joined(about: &str, name: &str) -> String {
    const UNTOLD: [&str; 4] = ["text", "cell", "cells", "value"];
    if UNTOLD.contains(&name) && !about.is_empty() {
        return about.to_owned();
    }
    let name = name.strip_suffix("_mm").unwrap_or(name).replace('_', " ");
    if about.is_empty() { name } else { format!("{about}, {name}") }
}

/// Where a named item of a list is: under its own name, in place of the list's.
fn of_item(about: &str, name: &str) -> String {
    match about.rsplit_once(", ") {
        Some((before, _)) => format!("{before}, {name}"),
        None => name.to_owned(),
    }
}

fn unit(name: &str) -> &'static str {
    if name.ends_with("_mm") { " mm" } else { "" }
}

/// A value in few words; a group by its name.
pub fn short(value: &Value) -> String {
    match value {
        Value::Null | Value::Bool(false) => String::new(),
        Value::Bool(true) => "yes".to_owned(),
        Value::String(text) => text.clone(),
        Value::Number(_) => number(Some(value)).map_or_else(String::new, |number| mark::print_to(number, DECIMALS)),
        Value::Array(items) => items.iter().map(short).collect::<Vec<_>>().join(", "),
        Value::Object(fields) => name_of(fields).unwrap_or_else(|| {
            fields.values().map(short).filter(|text| !text.is_empty()).collect::<Vec<_>>().join(" ")
        }),
    }
}

/// The same of a field that may be missing.
pub fn text(value: Option<&Value>) -> String {
    value.map(short).unwrap_or_default()
}

/// A number, if it is one.
pub fn number(value: Option<&Value>) -> Option<f64> {
    value.and_then(Value::as_f64)
}
