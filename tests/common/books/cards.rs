//! The list of cards: every kind that the rest of the book has something to say for, with its options.

use std::fmt::Write as _;

use super::{Choices, Known, words};

/// An entry of the list.
struct Entry {
    kind: &'static str,
    fields: Vec<String>,
    /// The id of the one card it makes, and whether it has to be written.
    id: Option<String>,
    is_given: bool,
    size: Option<&'static str>,
    back: Back,
}

#[derive(PartialEq)]
enum Back {
    None,
    /// Lines to write on, under this title.
    Lines(String),
    /// The card of this id.
    Card(String),
    /// It stands on another's.
    IsOne,
}

impl Entry {
    /// `usual` is the id of its card if none is given, where the handbook tells it.
    fn new(kind: &'static str, fields: Vec<String>, usual: Option<String>) -> Self {
        Entry { kind, fields, id: usual, is_given: false, size: None, back: Back::None }
    }

    fn of_size(self, c: &mut Choices<'_>) -> Self {
        const SIZES: [&str; 6] = ["A5", "A5 landscape", "half-letter", "160 x 230 mm", "200 x 150 mm", "A4"];
        let size = if c.chance(20) { Some(c.one(&SIZES)) } else { None };
        Entry { size, ..self }
    }

    /// An id of its own keeps two entries of a kind apart.
    fn name(&mut self, number: usize) {
        self.id = Some(format!("{}-no-{number}", self.kind));
        self.is_given = true;
    }

    fn write(&self, text: &mut String) {
        let mut entry = format!("kind: {}", self.kind);
        for field in &self.fields {
            let _ = write!(entry, ", {field}");
        }
        if let Some(size) = self.size {
            let _ = write!(entry, ", size: {size}");
        }
        if let Some(id) = self.id.as_ref().filter(|_| self.is_given) {
            let _ = write!(entry, ", id: {id}");
        }
        match &self.back {
            Back::None | Back::IsOne => {}
            Back::Lines(title) => {
                let _ = write!(entry, ", back: {{lines: {title}}}");
            }
            Back::Card(id) => {
                let _ = write!(entry, ", back: {id}");
            }
        }
        let _ = writeln!(text, "  - {{{entry}}}");
    }
}

pub fn cards(c: &mut Choices<'_>, known: &Known, text: &mut String) {
    if !c.chance(55) {
        return;
    }
    let mut entries = Vec::new();
    let bunks = |c: &mut Choices<'_>| format!("bunks: {}", c.one(&["windward", "centre", "leeward"]));
    for settings in known.settings.iter().filter(|settings| settings.aboard) {
        let id = &settings.id;
        let asked = format!("settings: {}", settings.was.as_ref().filter(|_| c.chance(50)).unwrap_or(id));
        entries.push(Entry::new("wind-settings", vec![asked.clone()], Some(id.clone())).of_size(c));
        if c.chance(15) {
            let handover = Entry::new("handover", vec![asked.clone()], None);
            entries.push(Entry { id: Some(format!("turn-{id}")), is_given: true, ..handover.of_size(c) });
        }
        if c.chance(15) {
            let mut fields = vec![asked];
            fields.extend(settings.by_angle.filter(|_| c.chance(50)).map(|(wind, _)| format!("at_wind: {wind} kn")));
            entries.push(Entry::new("change-points", fields, Some(format!("change-{id}"))).of_size(c));
        }
    }
    entries.extend(sail_change(c, known));
    let upwind = known.settings.iter().any(|settings| settings.aboard && settings.id.ends_with("-upwind"));
    if known.has_crew && known.has_righting && upwind && c.chance(50) {
        let both = c.one(&["[windward, leeward]", "[centre, windward]"]);
        let of_bunks = if c.chance(50) { bunks(c) } else { format!("bunks: {both}") };
        let below = c.one(&["1", "2", "4", "[3]", "[1, 3]"]);
        let fields = vec![format!("below: {below}"), of_bunks];
        entries.push(Entry::new("crew-below", fields, None).of_size(c));
    }
    if known.has_watches && c.chance(50) {
        let mut fields = if c.chance(40) { vec![bunks(c)] } else { Vec::new() };
        if c.chance(40) {
            fields.push(format!("marks: {}", c.one(&["true", "false"])));
        }
        entries.push(Entry::new("watch-plan", fields, None).of_size(c));
    }
    if known.has_dock_tune && c.chance(70) {
        let asked = vec!["settings: rig".to_owned()];
        entries.push(Entry::new("dock-tune", asked, Some("rig".to_owned())).of_size(c));
    }
    if c.chance(15) && !known.settings.is_empty() {
        entries.push(Entry::new("handover", Vec::new(), None).of_size(c));
    }
    if known.has_wardrobe && c.chance(40) {
        entries.push(Entry::new("wardrobe", Vec::new(), Some("wardrobe".to_owned())).of_size(c));
    }
    if known.has_checks && c.chance(60) {
        entries.push(Entry::new("readiness", Vec::new(), None).of_size(c));
    }
    for kind in &known.gear {
        if c.chance(70) {
            entries.push(Entry::new(kind, Vec::new(), None).of_size(c));
        }
    }
    let with_datum: Vec<&str> = known.controls.iter().filter(|one| one.has_datum).map(|one| &one.id[..]).collect();
    if !with_datum.is_empty() && c.chance(40) {
        let only = c.some(&with_datum, 1, 60).join(", ");
        let fields = if c.chance(30) { vec![format!("controls: [{only}]")] } else { Vec::new() };
        entries.push(Entry::new("re-mark", fields, None).of_size(c));
    }
    for (index, entry) in entries.iter_mut().enumerate() {
        if c.chance(25) {
            entry.name(index + 1);
        }
    }
    backs(c, &mut entries);
    // What the card of a sail that no longer sails was called still names the one that took its place.
    for entry in &mut entries {
        let Back::Card(back) = &mut entry.back else { continue };
        for settings in &known.settings {
            let Some(was) = settings.was.as_ref().filter(|_| c.chance(50)) else { continue };
            if let Some(before) = back.strip_suffix(&settings.id) {
                *back = format!("{before}{was}");
            }
        }
    }
    strips(c, known, &mut entries);
    if !entries.is_empty() {
        text.push_str("cards:\n");
        entries.iter().for_each(|entry| entry.write(text));
    } else {
        text.push_str("cards: {all: true, except: [change-points, sail-change, wardrobe], sizes: {wardrobe: A5}}\n");
    }
}

/// Sails change where both have settings and some wind in common.
fn sail_change(c: &mut Choices<'_>, known: &Known) -> Option<Entry> {
    let heads: Vec<_> = known.sails.iter().filter(|sail| sail.kind == "headsail" && sail.aboard).collect();
    let [old, new, ..] = heads[..] else { return None };
    let settled = |sail: &str| known.settings.iter().find(|settings| settings.id == format!("{sail}-upwind"));
    let (before, after) = (settled(&old.id)?, settled(&new.id)?);
    if !heads.iter().all(|sail| sail.has_wind) || !c.chance(40) {
        return None;
    }
    let mut fields = vec![format!("from: {}", old.id), format!("to: {}", new.id)];
    let both = before.columns.iter().filter(|column| after.columns.contains(column));
    let both: Vec<&str> = both.map(|column| &known.controls[*column].id[..]).collect();
    for (name, index) in [("before", 0), ("during", 1)] {
        if let Some(control) = both.get(index).filter(|_| c.chance(50)) {
            fields.push(format!("{name}: [{control}]"));
        }
    }
    if let Some(control) = both.last().filter(|_| c.chance(40)) {
        fields.push(format!("halyard: {control}"));
    }
    Some(Entry::new("sail-change", fields, None).of_size(c))
}

/// Puts lines, or other cards of the list, on the backs of some.
fn backs(c: &mut Choices<'_>, entries: &mut [Entry]) {
    for front in 0..entries.len() {
        if entries[front].back != Back::None || !c.chance(45) {
            continue;
        }
        // Hand-overs have a back of their own; two sizes cannot be the sides of one card.
        let can_be = |index: usize| {
            let (one, other) = (&entries[front], &entries[index]);
            let alike = one.size.is_none() || other.size.is_none() || one.size == other.size;
            index != front && other.kind != "handover" && other.back == Back::None && alike
        };
        let others: Vec<usize> = (0..entries.len()).filter(|index| can_be(*index)).collect();
        if others.is_empty() || c.chance(35) {
            entries[front].back = Back::Lines(words::phrase(c));
            continue;
        }
        let other = c.one(&others);
        if entries[other].id.is_none() {
            entries[other].name(other + 1);
        }
        entries[front].back = entries[other].id.clone().map_or(Back::None, Back::Card);
        entries[other].back = Back::IsOne;
    }
}

fn strips(c: &mut Choices<'_>, known: &Known, entries: &mut Vec<Entry>) {
    let strips: Vec<_> = known.controls.iter().filter(|control| control.has_strip).collect();
    if !strips.is_empty() && c.chance(70) {
        entries.push(Entry::new("strip", Vec::new(), None));
        return;
    }
    for control in &strips {
        let id = c.chance(30).then(|| format!("lay-{}", control.id.replace('_', "-")));
        let entry = Entry::new("strip", vec![format!("control: {}", control.id)], id);
        entries.push(Entry { is_given: entry.id.is_some(), ..entry });
    }
}
