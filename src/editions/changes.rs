//! What differs between two contents of one card, in a shipmate's words. Knows contents as data: settings by wind and
//! strips are summed up here, other kinds line by line; whatever is left over is compared field by field.

use serde_json::{Map, Value};

use super::said::{differences, lines};
use crate::cards::parts::stamp::{canonical, is_nothing};
use crate::cards::{strip, wind_settings};
use crate::tuning::mark;

type Fields = Map<String, Value>;

/// Every change from `old` to `new`, the weightiest first; empty if they say the same.
pub fn changes(kind: &str, old: &Value, new: &Value) -> Vec<String> {
    // What the file leaves out as empty must not look taken out.
    let [old, new] = [old, new].map(|content| canonical(content.clone()));
    let (Value::Object(mut old), Value::Object(mut new)) = (old, new) else { return Vec::new() };
    let mut said = Vec::new();
    if kind == wind_settings::KIND.name {
        settings(&mut old, &mut new, &mut said);
    } else if kind == strip::KIND.name {
        marks(&mut old, &mut new, &mut said);
    }
    said.extend(differences(&lines(kind, &mut old), &lines(kind, &mut new)));
    fields("", &old, &new, &mut said);
    // One change may show in two fields, such as a length in millimetres and in the boat's own units.
    let mut once = Vec::new();
    said.into_iter().for_each(|words| {
        if !once.contains(&words) {
            once.push(words);
        }
    });
    once
}

/// Columns, rows and cells of a settings table; takes out of both what it has compared.
fn settings(old: &mut Fields, new: &mut Fields, said: &mut Vec<String>) {
    let [old_columns, new_columns] = [&*old, &*new].map(|fields| names(fields, "columns", "control"));
    let [old_targets, new_targets] = [&*old, &*new].map(|fields| texts(fields, "targets"));
    for name in new_columns.iter().filter(|name| !old_columns.contains(name)) {
        said.push(format!("new column {name}"));
    }
    for name in old_columns.iter().filter(|name| !new_columns.contains(name)) {
        said.push(format!("column {name} taken out"));
    }
    let unit = text(new.get("wind_unit"));
    let rows = |fields: &mut Fields| list(fields.shift_remove("rows"));
    let (old_rows, new_rows) = (rows(old), rows(new));
    let wind = |row: &Value| format!("{} to {} {unit}", text(row.get("low")), text(row.get("high")));
    for row in &new_rows {
        let Some(before) = old_rows.iter().find(|before| wind(before) == wind(row)) else {
            said.push(format!("new row {}", wind(row)));
            continue;
        };
        let mut moved = Vec::new();
        for (column, name) in new_columns.iter().enumerate() {
            let Some(old_column) = old_columns.iter().position(|old| old == name) else { continue };
            let [was, is] = [(before, old_column), (row, column)].map(|(row, column)| item(row, "cells", column));
            moved.extend(cell(name, was, is));
        }
        for (column, name) in new_targets.iter().enumerate() {
            let was = old_targets.iter().position(|old| old == name).and_then(|old| item(before, "targets", old));
            let [was, is] = [was, item(row, "targets", column)].map(text);
            if was != is {
                moved.push(format!("target {name} {}", from_to(&was, &is)));
            }
        }
        if !moved.is_empty() {
            said.push(format!("{}: {}", wind(row), moved.join(", ")));
        }
    }
    for row in old_rows.iter().filter(|row| new_rows.iter().all(|new| wind(new) != wind(row))) {
        said.push(format!("row {} taken out", wind(row)));
    }
    // Heads of the columns both have; their coming and going has been said, a new order has not.
    let kept = |fields: &mut Fields, other: &[String]| -> Vec<Value> {
        let columns = list(fields.shift_remove("columns"));
        columns.into_iter().filter(|column| other.contains(&text(column.get("control")))).collect()
    };
    let (old_heads, new_heads) = (kept(old, &new_columns), kept(new, &old_columns));
    items("columns", &old_heads, &new_heads, said);
}

/// One control in one band, value, ground and range.
fn cell(name: &str, was: Option<&Value>, is: Option<&Value>) -> Option<String> {
    let field = |cell: Option<&Value>, field: &str| text(cell.and_then(|cell| cell.get(field)));
    let [before, after] = [was, is].map(|cell| field(cell, "text"));
    if before != after {
        return Some(format!("{name} {}", from_to(&before, &after)));
    }
    let [old_ground, new_ground] = [was, is].map(|cell| field(cell, "ground"));
    if old_ground != new_ground {
        return Some(format!("{name} {after} now {}", new_ground.replace('-', " ")));
    }
    let [old_range, new_range] = [was, is].map(|cell| field(cell, "moves"));
    (old_range != new_range).then(|| format!("range of {name} {}", from_to(&old_range, &new_range)))
}

/// The marks of a strip, summed up; takes out of both what it has compared.
fn marks(old: &mut Fields, new: &mut Fields, said: &mut Vec<String>) {
    let [before, after] = [old, new].map(|fields| list(fields.shift_remove("marks")));
    if before == after {
        return;
    }
    let label = |mark: &Value| text(mark.get("label"));
    let at = |mark: &Value| number(mark.get("at_mm")).unwrap_or_default();
    let numbered = |marks: &[Value]| marks.iter().map(label).filter(|label| !label.is_empty()).collect::<Vec<_>>();
    let (old_labels, new_labels) = (numbered(&before), numbered(&after));
    if old_labels != new_labels {
        let ends = |labels: &[String]| {
            format!("{} to {}", labels.first().cloned().unwrap_or_default(), labels.last().cloned().unwrap_or_default())
        };
        let (was, is) = (ends(&old_labels), ends(&new_labels));
        said.push(if was == is { "marks named anew".to_owned() } else { format!("marks were {was}, now {is}") });
    }
    let twin = |mark: &&Value| before.iter().find(|old| !label(mark).is_empty() && label(old) == label(mark));
    let mut moved =
        after.iter().filter_map(|mark| Some((mark, at(twin(&mark)?)))).filter(|(mark, was)| at(mark) != *was);
    if let Some((mark, was)) = moved.next_back() {
        let millimetres = |at: f64| mark::print_decimal(at);
        said.push(format!(
            "mark {} stands {} mm from the first, not {} mm",
            label(mark),
            millimetres(at(mark)),
            millimetres(was)
        ));
    }
    if old_labels == new_labels && before.len() != after.len() {
        said.push(format!("{} marks instead of {}", after.len(), before.len()));
    }
    if said.is_empty() {
        said.push("marks between the numbers".to_owned());
    }
}

/// Two groups of fields, field by field; `about` is what they are of, or nothing for the card itself.
fn fields(about: &str, old: &Fields, new: &Fields, said: &mut Vec<String>) {
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

fn value(about: &str, unit: &str, was: &Value, is: &Value, said: &mut Vec<String>) {
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
fn items(about: &str, old: &[Value], new: &[Value], said: &mut Vec<String>) {
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
fn from_to(was: &str, is: &str) -> String {
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
pub(super) fn short(value: &Value) -> String {
    match value {
        Value::Null | Value::Bool(false) => String::new(),
        Value::Bool(true) => "yes".to_owned(),
        Value::String(text) => text.clone(),
        Value::Number(_) => number(Some(value)).map_or_else(String::new, mark::print_decimal),
        Value::Array(items) => items.iter().map(short).collect::<Vec<_>>().join(", "),
        Value::Object(fields) => name_of(fields).unwrap_or_else(|| {
            fields.values().map(short).filter(|text| !text.is_empty()).collect::<Vec<_>>().join(" ")
        }),
    }
}

fn text(value: Option<&Value>) -> String {
    value.map(short).unwrap_or_default()
}

fn number(value: Option<&Value>) -> Option<f64> {
    value.and_then(Value::as_f64)
}

fn list(value: Option<Value>) -> Vec<Value> {
    match value {
        Some(Value::Array(items)) => items,
        _ => Vec::new(),
    }
}

fn item<'a>(row: &'a Value, field: &str, index: usize) -> Option<&'a Value> {
    row.get(field)?.get(index)
}

fn texts(fields: &Fields, field: &str) -> Vec<String> {
    fields.get(field).and_then(Value::as_array).into_iter().flatten().map(short).collect()
}

fn names(fields: &Fields, field: &str, name: &str) -> Vec<String> {
    fields.get(field).and_then(Value::as_array).into_iter().flatten().map(|item| text(item.get(name))).collect()
}
