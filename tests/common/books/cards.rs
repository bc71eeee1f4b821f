//! The list of cards: every kind that the rest of the book has something to say for, with its options.

use std::fmt::Write as _;

use super::{Choices, Known};

/// What an entry of the list is made of.
struct Entries<'t> {
    text: &'t mut String,
    number: usize,
}

impl Entries<'_> {
    fn add(&mut self, c: &mut Choices<'_>, kind: &str, fields: &[String]) {
        self.number += 1;
        let mut entry = format!("kind: {kind}");
        for field in fields {
            let _ = write!(entry, ", {field}");
        }
        // An id of its own keeps two entries of a kind apart.
        if c.chance(25) {
            let _ = write!(entry, ", id: {kind}-no-{}", self.number);
        }
        let _ = writeln!(self.text, "  - {{{entry}}}");
    }
}

pub fn cards(c: &mut Choices<'_>, known: &Known, text: &mut String) {
    if !c.chance(55) {
        return;
    }
    text.push_str("cards:\n");
    let mut entries = Entries { text, number: 0 };
    let size = |c: &mut Choices<'_>| -> Vec<String> {
        let sizes = ["A5", "A4", "A5 landscape", "Letter", "160 x 230 mm"];
        if c.chance(20) { vec![format!("size: {}", c.one(&sizes))] } else { Vec::new() }
    };
    for settings in known.settings.iter().filter(|settings| settings.aboard) {
        let mut fields = vec![format!("settings: {}", settings.id)];
        fields.extend(size(c));
        entries.add(c, "wind-settings", &fields);
        if c.chance(15) {
            let id = format!("id: turn-{}", settings.id);
            let entry = format!("  - {{kind: handover, settings: {}, {id}}}\n", settings.id);
            entries.text.push_str(&entry);
        }
        if c.chance(10) {
            entries.text.push_str(&format!("  - {{kind: change-points, settings: {}}}\n", settings.id));
        }
    }
    let heads: Vec<_> = known.sails.iter().filter(|sail| sail.kind == "headsail" && sail.aboard).collect();
    // Sails change where both have settings and some wind in common.
    let settled = |sail: &str| known.settings.iter().any(|settings| settings.id == format!("{sail}-upwind"));
    if heads.len() > 1
        && settled(&heads[0].id)
        && settled(&heads[1].id)
        && heads.iter().all(|sail| sail.has_wind)
        && c.chance(30)
    {
        entries.add(c, "sail-change", &[format!("from: {}", heads[0].id), format!("to: {}", heads[1].id)]);
    }
    let upwind = known.settings.iter().any(|settings| settings.aboard && settings.id.ends_with("-upwind"));
    if known.has_crew && known.has_righting && upwind && c.chance(50) {
        let mut fields =
            vec![format!("below: [{}]", c.between(1, 4)), format!("bunks: {}", c.one(&["windward", "centre"]))];
        fields.extend(size(c));
        entries.add(c, "crew-below", &fields);
    }
    if known.has_watches && c.chance(50) {
        entries.add(c, "watch-plan", &[]);
    }
    if c.chance(15) && !known.settings.is_empty() {
        entries.add(c, "handover", &[]);
    }
    if known.has_checks && c.chance(60) {
        entries.add(c, "readiness", &[]);
    }
    for kind in &known.gear {
        if c.chance(70) {
            entries.add(c, kind, &[]);
        }
    }
    if known.has_datum && c.chance(40) {
        entries.add(c, "re-mark", &[]);
    }
    let strips: Vec<_> = known.controls.iter().filter(|control| control.has_strip).collect();
    if strips.is_empty() {
        if entries.number == 0 {
            let empty = entries.text.len() - "cards:\n".len();
            entries.text.truncate(empty);
        }
    } else if c.chance(70) {
        entries.text.push_str("  - {kind: strip}\n");
    } else {
        for control in &strips {
            let id = if c.chance(30) { format!(", id: lay-{}", control.id.replace('_', "-")) } else { String::new() };
            entries.text.push_str(&format!("  - {{kind: strip, control: {}{id}}}\n", control.id));
        }
    }
}
