//! What differs between two contents of a strip, its marks summed up. Knows the content as data.

use serde_json::Value;

use crate::cards::parts::comparing::{Fields, number, text};
use crate::cards::parts::telling::by_lines;
use crate::tuning::mark;

/// Of a place told in millimetres: no film is cut so fine.
const DECIMALS: usize = 3;

/// Every change from `old` to `new`, the marks first; takes out of both what it has compared.
pub fn changes(old: &mut Fields, new: &mut Fields) -> Vec<String> {
    let mut said = Vec::new();
    marks(old, new, &mut said);
    said.extend(by_lines(old, new, |_, _| {}));
    said
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
        let millimetres = |at: f64| mark::print_to(at, DECIMALS);
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

fn list(value: Option<Value>) -> Vec<Value> {
    match value {
        Some(Value::Array(items)) => items,
        _ => Vec::new(),
    }
}
