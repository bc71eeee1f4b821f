//! A book as an editor with the schema sees it, and which of the schema's fields and words books make use of.
#![allow(dead_code)]

use std::collections::BTreeSet;

use cockpit_cards::book::schema::SCHEMA;
use cockpit_cards::book::{Node, SourceId, Value as Yaml, tree};
use cockpit_cards::drawing::font::has_glyph;
use serde_json::{Value, json};

pub fn schema() -> Value {
    serde_json::from_str(SCHEMA).expect("JSON")
}

/// A book as an editor sees it: plain scalars by the core schema of YAML 1.2, everything else a text.
pub fn as_json(text: &str) -> Value {
    fn json_of(node: &Node) -> Value {
        match &node.value {
            Yaml::Null => Value::Null,
            Yaml::Text { text, plain: true } if matches!(text.as_str(), "true" | "false") => json!(text == "true"),
            Yaml::Text { text, plain: true } => {
                let whole = text.parse::<i64>().map(Value::from);
                whole.or_else(|_| text.parse::<f64>().map(Value::from)).unwrap_or_else(|_| json!(text))
            }
            Yaml::Text { text, .. } => json!(text),
            Yaml::List(items) => items.iter().map(json_of).collect(),
            Yaml::Map(entries) => {
                let name = |node: &Node| match &node.value {
                    Yaml::Text { text, .. } => text.clone(),
                    other => panic!("a field named {other:?}"),
                };
                Value::Object(entries.iter().map(|(key, value)| (name(key), json_of(value))).collect())
            }
        }
    }
    json_of(&tree::parse(SourceId(0), text, has_glyph, &mut Vec::new()).expect("YAML"))
}

/// Fields and words of the schema, each by its place there: `/$defs/strip/properties/mirror`.
#[derive(Default)]
pub struct Used {
    pub places: BTreeSet<String>,
}

impl Used {
    /// All there are.
    pub fn all(schema: &Value) -> BTreeSet<String> {
        fn below(node: &Value, place: &str, all: &mut BTreeSet<String>) {
            let fields = node["properties"].as_object();
            all.extend(
                fields.into_iter().flat_map(|fields| fields.keys()).map(|field| format!("{place}/properties/{field}")),
            );
            let words = node["enum"].as_array().map_or(0, Vec::len);
            all.extend((0..words).map(|index| format!("{place}/enum/{index}")));
            match node {
                Value::Object(parts) => {
                    parts.iter().for_each(|(name, part)| below(part, &format!("{place}/{name}"), all));
                }
                Value::Array(parts) => {
                    parts.iter().enumerate().for_each(|(index, part)| below(part, &format!("{place}/{index}"), all));
                }
                _ => {}
            }
        }
        let mut all = BTreeSet::new();
        below(schema, "", &mut all);
        all
    }

    /// Adds what a book uses.
    pub fn add(&mut self, schema: &Value, book: &Value) {
        self.follow(schema, "", book);
    }

    fn follow(&mut self, schema: &Value, place: &str, value: &Value) {
        let Some(node) = schema.pointer(place) else { return };
        if let Some(other) = node["$ref"].as_str() {
            self.follow(schema, other.trim_start_matches('#'), value);
        }
        for (index, branch) in node["anyOf"].as_array().into_iter().flatten().enumerate() {
            if may_be(schema, branch, value) {
                self.follow(schema, &format!("{place}/anyOf/{index}"), value);
            }
        }
        let words = node["enum"].as_array().into_iter().flatten();
        if let Some(index) = words.into_iter().position(|word| word == value) {
            self.places.insert(format!("{place}/enum/{index}"));
        }
        match value {
            Value::Object(fields) => {
                for (name, value) in fields {
                    let field = format!("{place}/properties/{name}");
                    if node["properties"].get(name).is_some() {
                        self.follow(schema, &field, value);
                        self.places.insert(field);
                    } else {
                        self.follow(schema, &format!("{place}/additionalProperties"), value);
                    }
                }
            }
            Value::Array(items) => items.iter().for_each(|item| self.follow(schema, &format!("{place}/items"), item)),
            // One alone is a list of one.
            alone => self.follow(schema, &format!("{place}/items"), alone),
        }
    }
}

/// Whether a value may be meant for this one of several shapes: closed ones tell by their fields.
fn may_be(schema: &Value, branch: &Value, value: &Value) -> bool {
    let Value::Object(given) = value else { return branch["properties"].is_null() };
    let named = branch["$ref"].as_str().and_then(|other| schema.pointer(other.trim_start_matches('#')));
    let branch = named.unwrap_or(branch);
    let Some(fields) = branch["properties"].as_object() else {
        // An open one holds others by names of the book's own.
        return branch["additionalProperties"].is_object() && given.values().all(Value::is_object);
    };
    let needed = branch["required"].as_array().into_iter().flatten().filter_map(Value::as_str);
    let is_fixed = |name: &String, value: &Value| {
        fields.get(name).is_some_and(|field| field.get("const").is_none_or(|fixed| fixed == value))
    };
    needed.into_iter().all(|name| given.contains_key(name)) && given.iter().all(|(name, value)| is_fixed(name, value))
}
