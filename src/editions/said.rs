//! What a card of each kind says, line by line and in words that a shipmate would use, so that two contents can be held
//! against each other. Knows the fields of each kind's content as data; no card is made or drawn here.

use serde_json::{Map, Value};

use super::changes::short;

type Fields = Map<String, Value>;

/// One thing that a card says.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Line {
    /// Something there is one of: where it stands, and what stands there.
    One { about: String, says: String },
    /// One of several of a kind, which has no name of its own: what they are, and its words.
    Among { about: String, says: String },
    /// A picture or a measure that words would not make clearer: what it is, and what tells it from another.
    Drawn { about: String, says: String },
}

impl Line {
    fn one(about: impl Into<String>, says: impl Into<String>) -> Line {
        Line::One { about: about.into(), says: says.into() }
    }

    fn among(about: impl Into<String>, says: impl Into<String>) -> Line {
        Line::Among { about: about.into(), says: says.into() }
    }

    /// Whether both stand in the same place of the card; what has no place of its own is known by its words.
    fn is_namesake(&self, other: &Line) -> bool {
        match (self, other) {
            (Line::Among { .. }, Line::Among { .. }) => self == other,
            (Line::One { .. }, Line::One { .. }) | (Line::Drawn { .. }, Line::Drawn { .. }) => {
                self.parts().0 == other.parts().0
            }
            _ => false,
        }
    }

    /// Whether it is one of several that are about this.
    fn is_among(&self, about: &str) -> bool {
        matches!(self, Line::Among { .. }) && self.parts().0 == about
    }

    fn parts(&self) -> (&str, &str) {
        match self {
            Line::One { about, says } | Line::Among { about, says } | Line::Drawn { about, says } => (about, says),
        }
    }
}

/// The lines of a card of this kind, in its own order; takes the fields that they stand for out of `content`.
pub fn lines(kind: &str, content: &mut Fields) -> Vec<Line> {
    let mut lines = Vec::new();
    // As a book and an editions file name the kinds.
    match kind {
        "change-points" => of_change_points(content, &mut lines),
        "sail-change" => of_sail_change(content, &mut lines),
        "wardrobe" => of_wardrobe(content, &mut lines),
        "stowage" => of_stowage(content, &mut lines),
        "crew-below" => of_crew_below(content, &mut lines),
        "watch-plan" => of_watch_plan(content, &mut lines),
        "handover" => of_handover(content, &mut lines),
        "readiness" => of_readiness(content, &mut lines),
        "re-mark" => of_re_mark(content, &mut lines),
        "lacing" => of_lacing(content, &mut lines),
        "outboard-lead" => of_outboard_lead(content, &mut lines),
        _ => {}
    }
    lines.extend(optional(content, "part", "part"));
    for (field, about) in [("cautions", "caution"), ("assumptions", "taken for granted"), ("looks", "look")] {
        lines.extend(texts(content, field).into_iter().map(|says| Line::among(about, says)));
    }
    lines
}

/// Every difference between two lists of lines, in the order of the card that is printed now.
pub fn differences(old: &[Line], new: &[Line]) -> Vec<String> {
    let stays = |line: &Line, others: &[Line]| others.iter().any(|other| line.is_namesake(other));
    let mut gone: Vec<&Line> = old.iter().filter(|line| !stays(line, new)).collect();
    let come: Vec<&Line> = new.iter().filter(|line| !stays(line, old)).collect();
    // Where as many of a kind came as went, each has taken the place of one.
    let count = |lines: &[&Line], about: &str| lines.iter().filter(|line| line.is_among(about)).count();
    let even: Vec<&str> = come
        .iter()
        .map(|line| line.parts().0)
        .filter(|about| count(&come, about) > 0 && count(&come, about) == count(&gone, about))
        .collect();
    let mut said = Vec::new();
    for line in new {
        let (about, says) = line.parts();
        let namesake = old.iter().find(|other| line.is_namesake(other));
        let was = namesake.or_else(|| {
            let replaced = gone.iter().position(|other| line.is_among(about) && other.is_among(about))?;
            even.contains(&about).then(|| gone.remove(replaced))
        });
        match (was, line) {
            (Some(was), _) if was.parts().1 == says => {}
            (Some(_), Line::Drawn { .. }) => said.push(format!("{about}: drawn anew")),
            (Some(was), _) => {
                let (says, was) = narrowed(says, was.parts().1);
                said.push(format!("{}; was {was}", whole(about, &says)));
            }
            (None, Line::Drawn { .. }) => said.push(format!("new: {about}")),
            (None, _) => said.push(format!("new: {}", whole(about, says))),
        }
    }
    said.extend(gone.into_iter().map(|line| match line {
        Line::Drawn { about, .. } => format!("no longer: {about}"),
        Line::One { about, says } | Line::Among { about, says } => format!("no longer: {}", whole(about, says)),
    }));
    if said.is_empty() && old != new {
        said.push("the same in another order".to_owned());
    }
    said
}

/// What differs between two texts of as many parts: of five names, the one that changed.
fn narrowed(says: &str, was: &str) -> (String, String) {
    let [says, was] = [says, was].map(|text| text.trim_end_matches('.'));
    let [now, before] = [says, was].map(|text| text.split(", ").collect::<Vec<_>>());
    if now.len() != before.len() {
        return (says.to_owned(), was.to_owned());
    }
    let (now, before): (Vec<_>, Vec<_>) = now.into_iter().zip(before).filter(|(now, before)| now != before).unzip();
    (now.join(", "), before.join(", "))
}

fn whole(about: &str, says: &str) -> String {
    match (about.is_empty(), says.is_empty()) {
        (true, _) => says.to_owned(),
        (_, true) => about.to_owned(),
        _ => format!("{about}: {says}"),
    }
}

/// `Backstay 4 to 4½, TIGHTER: at 12½ kn`.
fn of_change_points(content: &mut Fields, lines: &mut Vec<Line>) {
    let unit = text(content.get("wind_unit"));
    if let Some(Value::Array(foot)) = content.shift_remove("foot") {
        let wind = foot.first().map(short).unwrap_or_default();
        for pair in foot.get(1).and_then(Value::as_array).into_iter().flatten() {
            lines.push(Line::one(format!("{} at {wind} {unit}", item(pair, 0)), item(pair, 1)));
        }
    }
    for rung in taken(content, "rungs") {
        let wind = text(rung.get("wind"));
        let night = text(rung.get("night"));
        let night = if night.is_empty() { night } else { format!(", at night {night}") };
        for (way, word) in [("building", "building"), ("easing", "easing")] {
            for step in rung.get(way).and_then(Value::as_array).into_iter().flatten() {
                let [control, from, to, direction] =
                    ["control", "from", "to", "direction"].map(|field| text(step.get(field)));
                let direction = if direction.is_empty() { direction } else { format!(", {direction}") };
                let night = if way == "building" { night.as_str() } else { "" };
                let about = format!("{word}, {control} {from} to {to}{direction}");
                lines.push(Line::one(about, format!("at {wind} {unit}{night}")));
            }
        }
    }
    lines.extend(optional(content, "earlier", "act earlier at night"));
}

/// `11 to 14 kn, Jib lead: 4 to 3½, FORWARD`.
fn of_sail_change(content: &mut Fields, lines: &mut Vec<Line>) {
    let unit = text(content.get("wind_unit"));
    let winds = texts(content, "winds");
    for part in taken(content, "parts") {
        let when = text(part.get("name")).to_lowercase();
        for row in part.get("controls").and_then(Value::as_array).into_iter().flatten() {
            let control = text(row.get("control"));
            lines.push(Line::one(format!("when to set {control}"), when.clone()));
            for (wind, cell) in winds.iter().zip(row.get("cells").and_then(Value::as_array).into_iter().flatten()) {
                lines.push(Line::one(format!("{} {unit}, {control}", bare(wind, &unit)), text(cell.get("text"))));
            }
        }
    }
    lines.extend(optional(content, "both", "winds for both sails"));
    lines.extend(optional(content, "luff", "halyard"));
    content.shift_remove("grounds");
}

/// `11 to 14 kn, 38° to 55°: J1, J2 from 13`.
fn of_wardrobe(content: &mut Fields, lines: &mut Vec<Line>) {
    let unit = text(content.get("wind_unit"));
    let angles = texts(content, "angles");
    for row in taken(content, "rows") {
        let wind = text(row.get("wind"));
        for (angle, cell) in angles.iter().zip(row.get("cells").and_then(Value::as_array).into_iter().flatten()) {
            let named = |field: &str| cell.get(field).and_then(Value::as_array).into_iter().flatten().map(short);
            let sails: Vec<String> = named("whole").chain(named("part")).collect();
            let says = if sails.is_empty() { "no sail".to_owned() } else { sails.join(", ") };
            lines.push(Line::one(format!("{} {unit}, {angle}", bare(&wind, &unit)), says));
        }
    }
    lines.extend(texts(content, "gaps").into_iter().map(|gap| Line::among("no sail for", gap)));
    lines.extend(texts(content, "hand_overs").iter().map(|words| before_colon(words)));
    lines.extend(texts(content, "narrowed").iter().map(|words| before_colon(words)));
    lines.extend(texts(content, "without_range").into_iter().map(|sail| Line::among("without winds or angles", sail)));
}

/// `J1 + Main, 11 to 14 kn, 4 below, windward bunks: read the card at 12½ kn`.
fn of_crew_below(content: &mut Fields, lines: &mut Vec<Line>) {
    let unit = text(content.get("wind_unit"));
    let columns = texts(content, "columns");
    for table in taken(content, "tables") {
        let sails = text(table.get("sails"));
        for row in table.get("rows").and_then(Value::as_array).into_iter().flatten() {
            let wind = text(row.get("wind"));
            for (column, read_at) in
                columns.iter().zip(row.get("read_at").and_then(Value::as_array).into_iter().flatten())
            {
                let says = match short(read_at) {
                    wind if wind.is_empty() => "no change".to_owned(),
                    wind => format!("read the card at {} {unit}", bare(&wind, &unit)),
                };
                lines.push(Line::one(format!("{sails}, {} {unit}, {column}", bare(&wind, &unit)), says));
            }
        }
    }
}

/// `Sun 13 June 02:00, on deck: Ada, Bo`.
fn of_watch_plan(content: &mut Fields, lines: &mut Vec<Line>) {
    if let Some(Line::One { about, says }) = optional(content, "race", "race") {
        lines.push(Line::one(about, says.replace(" · ", ", ")));
    }
    let mut day = String::new();
    for row in taken(content, "rows") {
        if let Some(midnight) = row.get("midnight") {
            day = format!("{} ", text(midnight.get("day")));
        }
        let Some(watch) = row.get("watch") else { continue };
        let [from, until, head] = ["from", "until", "head"].map(|field| text(watch.get(field)));
        let about = |what: &str| format!("{day}{from}, {what}");
        lines.push(Line::one(
            about("watch"),
            if head.is_empty() { format!("to {until}") } else { format!("{head}, to {until}") },
        ));
        let on_deck: Vec<String> =
            watch.get("on_deck").and_then(Value::as_array).into_iter().flatten().map(short).collect();
        lines.push(Line::one(about("on deck"), on_deck.join(", ")));
        let Some(weather) = watch.get("weather").filter(|weather| !weather.is_null()) else { continue };
        lines.push(Line::one(about("wind"), text(weather.get("wind"))));
        for plan in weather.get("sails").and_then(Value::as_array).into_iter().flatten() {
            let [sails, read_at] = ["sails", "read_at"].map(|field| text(plan.get(field)));
            let marks: Vec<String> =
                plan.get("marks").and_then(Value::as_array).into_iter().flatten().map(short).collect();
            let read_at = if read_at.is_empty() { read_at } else { format!("read the card at {read_at}") };
            let says: Vec<String> = std::iter::once(read_at).chain(marks).filter(|words| !words.is_empty()).collect();
            lines.push(Line::one(about(&sails), says.join(", ")));
        }
    }
    lines.extend(texts(content, "hours").iter().map(|words| match words.split_once(' ') {
        Some((name, hours)) => Line::one(format!("{name} on deck"), hours),
        None => Line::among("", words.clone()),
    }));
    lines.extend(optional(content, "least_on_deck", "least on deck"));
    lines.extend(texts(content, "clock_changes").into_iter().map(|words| Line::among("", words)));
}

/// `a line for Outhaul: TIGHTER`.
fn of_handover(content: &mut Fields, lines: &mut Vec<Line>) {
    lines.extend(optional(content, "settings", "for"));
    for field in ["conditions", "remarks"] {
        lines.extend(texts(content, field).into_iter().map(|name| Line::among("a line for", name)));
    }
    for control in taken(content, "controls") {
        let higher_is = item(&control, 1);
        let says = if higher_is.is_empty() { String::new() } else { format!("higher is {higher_is}") };
        lines.push(Line::one(format!("a line for {}", item(&control, 0)), says));
    }
}

/// `Ada, by Friday night: Jackstays rigged`.
fn of_readiness(content: &mut Fields, lines: &mut Vec<Line>) {
    for group in taken(content, "groups") {
        let heading = text(group.get("heading"));
        for line in group.get("lines").and_then(Value::as_array).into_iter().flatten() {
            lines.push(Line::among(heading.clone(), short(line)));
        }
    }
}

/// `Backstay, lowest mark: 310 mm from the ram eye`.
fn of_re_mark(content: &mut Fields, lines: &mut Vec<Line>) {
    const FIELDS: [(&str, &str); 5] = [
        ("lowest_mark", "lowest mark"),
        ("span", "length"),
        ("pointer", "read against"),
        ("read_when", "read when"),
        ("sails", "used with"),
    ];
    for row in taken(content, "rows") {
        let control = text(row.get("control"));
        for (field, words) in FIELDS {
            let says = text(row.get(field));
            if !says.is_empty() {
                lines.push(Line::one(format!("{control}, {words}"), says));
            }
        }
    }
}

/// `Under the sole: anchor 16 kg`.
fn of_stowage(content: &mut Fields, lines: &mut Vec<Line>) {
    let list = |value: Option<&Value>, words: fn(&Value) -> String| {
        value.and_then(Value::as_array).into_iter().flatten().map(words).collect::<Vec<_>>().join(", ")
    };
    for destination in taken(content, "destinations") {
        lines.push(Line::one(text(destination.get("to")), list(destination.get("gear"), short)));
    }
    lines.extend(texts(content, "ashore").into_iter().map(|words| Line::among("ashore", words)));
    for state in taken(content, "states") {
        let figure = |figure: &Value| {
            let parts = ["name", "size", "unit", "way"].map(|part| text(figure.get(part)));
            parts.into_iter().filter(|part| !part.is_empty()).collect::<Vec<_>>().join(" ")
        };
        lines.push(Line::one(text(state.get("stage")), list(state.get("figures"), figure)));
    }
    drawn(content, &["discs", "length_mm", "old_centre", "new_centre"], "the weights in the picture", lines);
}

/// `cut list …`; knots and posts are a picture.
fn of_lacing(content: &mut Fields, lines: &mut Vec<Line>) {
    for (index, run) in taken(content, "runs").into_iter().enumerate() {
        let number = index + 1;
        lines.push(Line::one(format!("line {number}"), text(run.get("cut"))));
        let picture = [run.get("nodes"), run.get("from_mm"), run.get("to_mm"), run.get("foot_line")];
        lines.push(Line::Drawn { about: format!("the run of line {number}"), says: format!("{picture:?}") });
    }
    lines.extend(texts(content, "steps").into_iter().map(|words| Line::among("step", words)));
    lines.extend(texts(content, "facts").iter().map(|words| before_colon(words)));
    drawn(content, &["posts", "heights"], "posts, deck edge and wires", lines);
}

/// `tweaker mark 2: …`; places are a picture.
fn of_outboard_lead(content: &mut Fields, lines: &mut Vec<Line>) {
    let mut rows = taken(content, "tweaker").into_iter();
    let heads: Vec<String> = rows.next().as_ref().and_then(Value::as_array).into_iter().flatten().map(short).collect();
    for row in rows {
        let cells: Vec<String> = row.as_array().into_iter().flatten().map(short).collect();
        let Some((mark, cells)) = cells.split_first() else { continue };
        for (head, cell) in heads.iter().skip(1).zip(cells) {
            lines.push(Line::one(format!("tweaker {mark}, {head}"), cell.clone()));
        }
    }
    lines.extend(texts(content, "steps").into_iter().map(|words| Line::among("step", words)));
    lines.extend(texts(content, "facts").iter().map(|words| before_colon(words)));
    if let Some(Value::Object(places)) = content.shift_remove("places") {
        for (place, at) in places {
            let about = format!("the place of the {}", place.replace('_', " "));
            lines.push(Line::Drawn { about, says: at.to_string() });
        }
    }
}

/// A sentence that begins with what it is about.
fn before_colon(words: &str) -> Line {
    match words.split_once(": ") {
        Some((about, says)) => Line::one(about, says),
        None => Line::among("", words),
    }
}

/// Takes fields out that are a picture together.
fn drawn(content: &mut Fields, fields: &[&str], about: &str, lines: &mut Vec<Line>) {
    let picture: Vec<Option<Value>> = fields.iter().map(|field| content.shift_remove(*field)).collect();
    if picture.iter().any(Option::is_some) {
        lines.push(Line::Drawn { about: about.to_owned(), says: format!("{picture:?}") });
    }
}

/// Takes a field out that may be left empty.
fn optional(content: &mut Fields, field: &str, about: &str) -> Option<Line> {
    let says = text(content.shift_remove(field).as_ref());
    (!says.is_empty()).then(|| Line::one(about, says))
}

/// Takes a list out.
fn taken(content: &mut Fields, field: &str) -> Vec<Value> {
    match content.shift_remove(field) {
        Some(Value::Array(items)) => items,
        _ => Vec::new(),
    }
}

fn texts(content: &mut Fields, field: &str) -> Vec<String> {
    taken(content, field).iter().map(short).collect()
}

fn text(value: Option<&Value>) -> String {
    value.map(short).unwrap_or_default()
}

fn item(pair: &Value, index: usize) -> String {
    text(pair.get(index))
}

/// A wind without the unit that some cards write into it.
fn bare<'a>(wind: &'a str, unit: &str) -> &'a str {
    wind.strip_suffix(unit).map_or(wind, str::trim_end)
}
