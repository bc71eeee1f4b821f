//! What differs between two contents of a settings card, row by row. Knows the content as data.

use serde_json::Value;

use crate::cards::parts::comparing::{Fields, from_to, items, short, text};
use crate::cards::parts::sided;
use crate::cards::parts::telling::{by_lines, optional};
use crate::cards::parts::words::{known_words, more_words};
use crate::tuning::Ground;

/// Columns, rows and cells of a settings table; takes out of both what it has compared.
pub fn changes(old: &mut Fields, new: &mut Fields) -> Vec<String> {
    if old.contains_key("blocks") && new.contains_key("blocks") {
        return super::by_angle::changes(old, new);
    }
    let mut said = Vec::new();
    let mut changes = by_lines(old, new, |content, lines| {
        lines.extend(optional(content, "below", "usual number below"));
        lines.extend(optional(content, "below_says", "usual number below"));
    });
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
        let [was, is] = [before, row].map(|row| text(row.get("below")));
        if was != is {
            moved.push(format!("with the usual number below {}", from_to(&was, &is)));
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
    items("columns", &old_heads, &new_heads, &mut said);
    said.append(&mut changes);
    said
}

/// One control in one band: what to set, its ground, the rows known.
fn cell(name: &str, was: Option<&Value>, is: Option<&Value>) -> Option<String> {
    let field = |cell: Option<&Value>, field: &str| text(cell.and_then(|cell| cell.get(field)));
    let [before, after] = [was, is].map(|cell| field(cell, "text"));
    if before != after {
        return Some(format!("{name} {}", from_to(&before, &after)));
    }
    let [old_known, new_known] = [was, is].map(known);
    if old_known != new_known {
        return Some(format!("{name} {after}, known {}", from_to(&old_known, &new_known)));
    }
    let [old_ground, new_ground] = [was, is].map(|cell| field(cell, "ground"));
    (old_ground != new_ground).then(|| format!("{name} {after} now {}", new_ground.replace('-', " ")))
}

/// The rows known in a band, as the card prints them: `● 4 at 14 and 2 more`; `● 4 at 14, – at 16, ~ 14 to 17`.
pub fn known(cell: Option<&Value>) -> String {
    let rows = cell.and_then(|cell| cell.get("rows")).and_then(Value::as_array);
    let row = |row: &Value| {
        let ground = row.get("ground").and_then(|ground| serde_json::from_value::<Ground>(ground.clone()).ok());
        let [mark, wind] = ["mark", "wind"].map(|field| text(row.get(field)));
        known_words(&mark, &wind, ground.unwrap_or(Ground::Between))
    };
    let more = cell.and_then(|cell| cell.get("more")).and_then(Value::as_u64).unwrap_or_default();
    let more = more_words(usize::try_from(more).unwrap_or_default());
    let told = rows.into_iter().flatten().map(row).collect::<Vec<_>>().join(" and ");
    let told = std::iter::once(told).chain(more).collect::<Vec<_>>().join(" ");
    let places = |field: &str| {
        let places = cell.and_then(|cell| cell.get(field)).and_then(Value::as_array);
        places.into_iter().flatten().map(|place| text(Some(place))).collect::<Vec<String>>().join(", ")
    };
    let signed = [(format!("{} at", sided::NOT_USED), "not_used"), (sided::UNKNOWN.to_owned(), "unknown")];
    let others = signed.into_iter().map(|(sign, field)| (sign, places(field))).filter(|(_, places)| !places.is_empty());
    let others = others.map(|(sign, places)| format!("{sign} {places}"));
    std::iter::once(told).filter(|words| !words.is_empty()).chain(others).collect::<Vec<_>>().join(", ")
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
