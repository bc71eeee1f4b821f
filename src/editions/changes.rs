//! What differs between two contents of one card, in a shipmate's words: first what its kind tells of itself, then whatever
//! is left over, field by field. Knows no kind.

use serde_json::Value;

use crate::cards::KINDS;
use crate::cards::parts::comparing::fields;
use crate::cards::parts::stamp::canonical;

/// Every change from `old` to `new`, the weightiest first; empty if they say the same.
pub fn changes(kind: &str, old: &Value, new: &Value) -> Vec<String> {
    // What the file leaves out as empty must not look taken out.
    let [old, new] = [old, new].map(|content| canonical(content.clone()));
    let (Value::Object(mut old), Value::Object(mut new)) = (old, new) else { return Vec::new() };
    // A history may name a kind that this release no longer has.
    let told = KINDS.iter().find(|known| known.name == kind);
    let mut said = told.map(|kind| (kind.changes)(&mut old, &mut new)).unwrap_or_default();
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
