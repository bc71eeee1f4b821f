//! Adjustments for the sea: by name, which controls move and how far.

use super::controls::declarations;
use crate::book::model::{Adjustment, Control, Spanned, Units};
use crate::book::problem::Problem;
use crate::book::tree::Node;
use crate::book::words::{self, Names, Reference};
use crate::limits;
use crate::tuning::adjust::Offset;

pub fn adjustments(
    node: &Node,
    controls: &[Control],
    names: &Names,
    units: &Units,
    problems: &mut Vec<Problem>,
) -> Vec<Adjustment> {
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
        let read = |(control, far): &(Node, Node), problems: &mut Vec<Problem>| {
            let called = words::text_of(control)?;
            let Reference::To(index) = names.find(called, &control.place, problems)? else { return None };
            let offset = offset(far, &controls[index], &what, units, problems)?;
            Some((index, Spanned { value: offset, place: far.place.clone() }))
        };
        let mut moves: Vec<_> = entries.iter().filter_map(|entry| read(entry, problems)).collect();
        moves.sort_by_key(|(index, _)| *index);
        found.push(Adjustment { name: words::name_from_id(&id.value), id, moves });
    }
    found
}

fn offset(node: &Node, control: &Control, what: &str, units: &Units, problems: &mut Vec<Problem>) -> Option<Offset> {
    let about = format!("\"{}\" of {what}", control.id.value);
    let text = node.text(&about, problems)?;
    let read = super::offset::offset(text, &control.scale, units);
    read.map_err(|wrong| problems.push(wrong.about(&about).at(&node.place))).ok()
}
