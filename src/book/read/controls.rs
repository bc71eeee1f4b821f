//! What a trimmer moves: each control with its scale, its limits and its strip.

use crate::book::model::{Control, Limit, Spanned, Units, When};
use crate::book::problem::Problem;
use crate::book::table::Table;
use crate::book::tree::Node;
use crate::book::words::{self, Names};
use crate::limits::MAX_DECLARED;
use crate::tuning::{Scale, ScaleKind, Side};
use crate::wrong::{Wrong, shown};

/// In place of how a strip lies: there is none.
const NO_STRIP: &str = "none";

pub fn controls(node: &Node, units: &Units, problems: &mut Vec<Problem>) -> (Vec<Control>, Names) {
    let mut controls: Vec<Control> = Vec::new();
    let Some(entries) = declarations(node, "controls", problems) else {
        return (controls, Names::unreadable("control"));
    };
    let mut names = Names::new("control");
    for (key, value) in entries {
        let id = words::id(key, "a control", problems);
        if id.is_none() {
            names.lose_one();
        }
        let control = id.and_then(|id| control(id, key, value, units, problems));
        let index = control.is_some().then_some(controls.len());
        names.declare(words::text_of(key).unwrap_or_default(), index);
        let Some(control) = control else { continue };
        if let Some(twin) = controls.iter().find(|other| other.name == control.name) {
            problems.push(Problem::warning(
                key.place.clone(),
                format!("\"{}\" is also the name of control \"{}\"", control.name, twin.id.value),
                "give one of them a `name` of its own: a crew cannot tell two columns apart",
            ));
        }
        controls.push(control);
    }
    (controls, names)
}

/// The entries of a section that declares things by id; `None` if it is no such section, or there are too many to be meant.
pub fn declarations<'a>(node: &'a Node, what: &str, problems: &mut Vec<Problem>) -> Option<&'a [(Node, Node)]> {
    let entries = node.entries(&format!("`{what}`"), problems)?;
    if entries.len() <= MAX_DECLARED {
        return Some(entries);
    }
    problems.push(Problem::error(
        super::start_of(node),
        format!("the book has {} {what}, more than {MAX_DECLARED}", entries.len()),
        "keep those that are used",
    ));
    None
}

fn control(
    id: Spanned<String>,
    key: &Node,
    value: &Node,
    units: &Units,
    problems: &mut Vec<Problem>,
) -> Option<Control> {
    let what = format!("control \"{}\"", id.value);
    let mut fields = Table::open(value, what.as_str(), problems)?;
    fields.place = key.place.clone();
    let said = |fields: &mut Table<'_>, field: &'static str, problems: &mut Vec<Problem>| {
        let node = fields.take(field)?;
        words::words(node, &format!("`{field}` of {what}"), problems).map(|words| words.value)
    };
    let name = said(&mut fields, "name", problems).unwrap_or_else(|| words::name_from_id(&id.value));
    let higher_is = said(&mut fields, "higher_is", problems);
    let read_when = said(&mut fields, "read_when", problems);
    let times = [("racing", When::Racing), ("dock", When::Dock)];
    let when = fields.take("when");
    let when = when.and_then(|node| words::choice(node, &format!("`when` of {what}"), &times, problems));
    let scale = fields.need("scale", "scale: {marks: 0..8, spacing: 20 mm, halves: true}", problems);
    let scale = scale.and_then(|node| super::scale::scale(node, &what, units, problems));
    let (scale, difference) = scale.unzip();
    if let Some(node) = fields.take("double_ended") {
        check_double_ended(node, scale.as_ref(), &what, problems);
    }
    let limits = fields.take("limit").map(|node| limits(node, scale.as_ref(), &what, problems));
    let [mut never_above, never_below] = limits.unwrap_or_default();
    let strip = fields.take("strip");
    let has_no_strip = strip.and_then(words::text_of) == Some(NO_STRIP);
    let strip = strip.filter(|_| !has_no_strip);
    let strip = strip.and_then(|node| super::strip::strip(node, scale.as_ref(), &what, units, problems));
    let ram = fields.take("ram").and_then(|node| super::ram::ram(node, &what, units, problems));
    if let (Some(ram), Some(scale)) = (&ram, &scale) {
        super::ram::hold(ram, scale, &mut never_above, &what, problems);
    }
    if let (Some(ram), Some(strip)) = (&ram, &strip) {
        super::ram::check_beside(ram, strip, &what, problems);
    }
    fields.finish(problems);
    Some(Control {
        id,
        name,
        higher_is,
        read_when,
        when: when.unwrap_or(When::Racing),
        scale: scale?,
        difference: difference.flatten(),
        never_above,
        never_below,
        strip,
        has_no_strip,
        ram,
        place: super::entry_place(key, value),
    })
}

/// A line that is hauled from both ends moves its tail by as much as the other crew member let it.
fn check_double_ended(node: &Node, scale: Option<&Scale>, what: &str, problems: &mut Vec<Problem>) {
    let Some(true) = words::flag(node, &format!("`double_ended` of {what}"), problems) else { return };
    let Some(ScaleKind::Even { purchase, .. } | ScaleKind::Centre { purchase, .. }) = scale.map(|scale| &scale.kind)
    else {
        return;
    };
    if *purchase != 1.0 {
        problems.push(Problem::error(
            node.place.clone(),
            format!("{what} has a purchase and is double-ended: a mark on one tail says nothing about the other"),
            "mark the part that moves, and take `purchase` out",
        ));
    }
}

/// `never_above` and `never_below`, in this order.
fn limits(node: &Node, scale: Option<&Scale>, what: &str, problems: &mut Vec<Problem>) -> [Option<Limit>; 2] {
    let Some(mut fields) = Table::open(node, format!("the limit of {what}"), problems) else { return [None, None] };
    let (above, below) = (fields.take("never_above"), fields.take("never_below"));
    let why = fields
        .take("why")
        .and_then(|node| words::words(node, &format!("the reason for the limit of {what}"), problems));
    let all_known = fields.finish(problems);
    if above.is_none() && below.is_none() && all_known {
        problems.push(Problem::error(
            super::start_of(node),
            format!("the limit of {what} limits nothing"),
            "write `never_above` or `never_below` with a mark",
        ));
    }
    let Some(scale) = scale else { return [None, None] };
    let [above, below] = [above, below].map(|node| {
        let reading = reading(node?, scale, &format!("the limit of {what}"), problems)?;
        Some(Limit { reading, why: why.as_ref().map(|why| why.value.clone()) })
    });
    if let (Some(above), Some(below)) = (&above, &below)
        && above.reading.value <= below.reading.value
    {
        problems.push(Problem::error(
            above.reading.place.clone(),
            format!("the limits of {what} leave no mark between them"),
            "`never_above` must be higher than `never_below`",
        ));
        return [None, None];
    }
    [above, below]
}

/// A reading of a scale; says so if it is none.
pub fn reading(node: &Node, scale: &Scale, what: &str, problems: &mut Vec<Problem>) -> Option<Spanned<f64>> {
    let text = node.text(what, problems)?;
    match scale.parse(text) {
        Ok(value) => Some(Spanned { value, place: node.place.clone() }),
        Err(error) => {
            problems.push(error.about(what).at(&node.place));
            None
        }
    }
}

/// Whether a reading of one side keeps within the control's limits there; what is wrong otherwise.
pub fn within_limits(control: &Control, of: Side, value: f64, text: &str) -> Result<(), Wrong> {
    let past = |limit: &Option<Limit>, side: &str, is_past: fn(f64, f64) -> bool| {
        let limit = limit.as_ref()?;
        let most = control.reading_on(of, limit.reading.value);
        if !is_past(value, most) {
            return None;
        }
        let mark = control.scale.print(most);
        let why = limit.why.as_ref().map_or_else(String::new, |why| format!(" ({why})"));
        Some(Wrong::new(
            format!("{} is {side} the limit of \"{}\", {mark}{why}", shown(text), control.name),
            format!("stay at {mark}, or change the limit if it is wrong"),
        ))
    };
    let above = past(&control.never_above, "above", |value, limit| value > limit);
    match above.or_else(|| past(&control.never_below, "below", |value, limit| value < limit)) {
        Some(wrong) => Err(wrong),
        None => Ok(()),
    }
}
