//! Adjustments for the sea: by name, which controls move and by how many marks.

use super::controls::declarations;
use crate::book::model::{Adjustment, Control, Spanned};
use crate::book::problem::Problem;
use crate::book::tree::Node;
use crate::book::words::{self, Names, Reference};
use crate::limits;
use crate::tuning::adjust::Offset;
use crate::tuning::mark;
use crate::wrong::shown;

pub fn adjustments(node: &Node, controls: &[Control], names: &Names, problems: &mut Vec<Problem>) -> Vec<Adjustment> {
    let mut found = Vec::new();
    for (key, value) in declarations(node, "adjust", problems).unwrap_or_default() {
        let Some(id) = words::id(key, "an adjustment", problems) else { continue };
        let what = format!("adjustment \"{}\"", id.value);
        let Some(entries) = value.some_entries(&what, 0..=limits::MAX_ROWS, "{backstay: +1}", problems) else {
            continue;
        };
        if entries.is_empty() {
            problems.push(Problem::error(
                key.place.clone(),
                format!("{what} moves nothing"),
                "write which controls it moves: {backstay: -½}",
            ));
        }
        let read = |(control, marks): &(Node, Node), problems: &mut Vec<Problem>| {
            let called = words::text_of(control)?;
            let Reference::To(index) = names.find(called, &control.place, problems)? else { return None };
            let offset = offset(marks, &controls[index], &what, problems)?;
            Some((index, Spanned { value: offset, place: marks.place.clone() }))
        };
        let mut moves: Vec<_> = entries.iter().filter_map(|entry| read(entry, problems)).collect();
        moves.sort_by_key(|(index, _)| *index);
        found.push(Adjustment { name: words::name_from_id(&id.value), id, moves });
    }
    found
}

fn offset(node: &Node, control: &Control, what: &str, problems: &mut Vec<Problem>) -> Option<Offset> {
    let about = format!("\"{}\" of {what}", control.id.value);
    let text = node.text(&about, problems)?;
    let Some(marks) = mark::parse(text) else {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{about}: {} is no number of marks", shown(text)),
            "write by how many marks to move it, such as ½ or -1",
        ));
        return None;
    };
    match Offset::new(marks, &control.scale) {
        Ok(offset) => Some(offset),
        Err(error) => {
            problems.push(error.about(&about).at(&node.place));
            None
        }
    }
}
