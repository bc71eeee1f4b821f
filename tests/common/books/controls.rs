//! Controls with every kind of scale and every option of a strip, and where each mark of theirs belongs.

use std::fmt::Write as _;

use super::{Choices, Known, Settings, words};

/// A control as it was written, and what is known of it.
#[derive(Clone, Debug)]
pub struct Control {
    pub id: String,
    pub kind: Kind,
    /// Readings it can have, from the lowest, within its limits.
    pub readings: Vec<String>,
    pub dock: bool,
    /// There are two of it, one on each side.
    pub has_twin: bool,
    pub has_strip: bool,
    pub has_datum: bool,
    /// Millimetres from the lowest mark to every mark; `None` where a curve decides, or where there are none.
    pub places: Option<Vec<f64>>,
    /// Where the settings that stand beside the marks go into the text, if any are wanted.
    winds: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    Even,
    Centre,
    Measured,
    Holes,
    Around,
    Tapes,
    Turns,
    Gauge,
    Words,
}

const KINDS: [Kind; 9] = [
    Kind::Even,
    Kind::Centre,
    Kind::Measured,
    Kind::Tapes,
    Kind::Holes,
    Kind::Around,
    Kind::Gauge,
    Kind::Words,
    Kind::Turns,
];
const IDS: [&str; 16] = [
    "backstay",
    "jib_lead",
    "halyard",
    "outhaul",
    "traveller",
    "vang",
    "inhauler",
    "checkstay",
    "cunningham",
    "caps",
    "runner",
    "jib_car_2",
    "mast-foot",
    "topping_lift",
    "reef-1",
    "barber",
];
/// Where the lanes of a strip go once the settings are known.
const LANES: &str = "WINDS-BESIDE-";

/// A scale: its text, its readings from the lowest and the places of its marks.
struct Scale {
    text: String,
    readings: Vec<String>,
    places: Option<Vec<f64>>,
    /// Room for numerals at a short reading distance, of the strip's width.
    wants_width: bool,
}

pub fn controls(c: &mut Choices<'_>, known: &mut Known, text: &mut String) {
    text.push_str("controls:\n");
    let count = 1 + c.below(8);
    for index in 0..count {
        let id =
            if c.chance(85) || index >= IDS.len() { IDS[index % IDS.len()].to_owned() } else { format!("c{index}") };
        let control = control(c, id, text);
        known.controls.push(control);
    }
}

fn control(c: &mut Choices<'_>, id: String, text: &mut String) -> Control {
    let kind = c.one(&KINDS);
    let mut scale = scale(c, kind);
    let dock = kind == Kind::Turns || c.chance(5);
    let _ = writeln!(text, "  {id}:");
    if c.chance(20) {
        let name = words::name(c);
        // Two controls of one name are warned of; a number of its own keeps them apart.
        let _ = writeln!(text, "    name: {}", name_of_its_own(&name, &id));
    }
    if c.chance(60) {
        let _ = writeln!(text, "    higher_is: {}", c.one(&["tighter", "aft", "looser", "further in", "up"]));
    }
    if c.chance(20) {
        let _ = writeln!(text, "    read_when: {}", words::phrase(c));
    }
    if dock {
        text.push_str("    when: dock\n");
    } else if c.chance(5) {
        text.push_str("    when: racing\n");
    }
    if c.chance(5) && !scale.text.contains("purchase") {
        text.push_str("    double_ended: true\n");
    }
    // By the id, so that no choice that follows is another.
    let can_differ = !matches!(kind, Kind::Centre | Kind::Tapes | Kind::Words);
    let has_twin = can_differ && id.bytes().map(usize::from).sum::<usize>().is_multiple_of(3);
    if has_twin {
        scale.text = scale.text.replacen('{', "{difference: {starboard: 0}, ", 1);
    }
    let _ = writeln!(text, "    scale: {}", scale.text);
    let mut limited = Vec::new();
    if scale.readings.len() > 4 && c.chance(25) {
        let above = c.between(scale.readings.len() as i64 - 3, scale.readings.len() as i64 - 2) as usize;
        limited.push(format!("never_above: {}", in_a_list(&scale.readings[above])));
        scale.readings.truncate(above + 1);
    }
    if scale.readings.len() > 4 && c.chance(10) {
        limited.push(format!("never_below: {}", in_a_list(&scale.readings[1])));
        scale.readings.remove(0);
    }
    if !limited.is_empty() {
        if c.chance(50) {
            limited.push(format!("why: {}", words::phrase(c)));
        }
        let _ = writeln!(text, "    limit: {{{}}}", limited.join(", "));
    }
    if kind == Kind::Gauge && limited.is_empty() && c.chance(30) {
        let bore = c.between(30, 60);
        let acts = c.one(&["pull", "push"]);
        let (lever, force) =
            c.one(&[("", "185 kN"), (", lever: 2", "185 kN at the ram"), (", lever: 0.5", "85 kN at rig")]);
        let others = if c.chance(40) { format!(", others: {{hose: 350 bar, tang: {force}}}") } else { String::new() };
        let rod = bore / 2;
        let _ = writeln!(
            text,
            "    ram: {{acts: {acts}, bore: {bore} mm, rod: {rod} mm, max: 400 bar, rig_max: 300 kN{lever}{others}}}"
        );
    }
    let can_have_strip = !matches!(kind, Kind::Turns | Kind::Gauge | Kind::Words);
    let has_strip = can_have_strip && (scale.wants_width || c.chance(90));
    let (mut has_datum, mut winds) = (false, false);
    if has_strip {
        (has_datum, winds) = strip(c, kind, &scale, &id, text);
    }
    Control {
        id,
        kind,
        readings: scale.readings,
        dock,
        has_twin,
        has_strip: can_have_strip,
        has_datum,
        places: scale.places,
        winds,
    }
}

fn name_of_its_own(name: &str, id: &str) -> String {
    match name.chars().last() {
        Some(quote @ ('"' | '\'')) => format!("{} {id}{quote}", &name[..name.len() - 1]),
        _ => format!("{name} {id}"),
    }
}

/// Readings are words to YAML; those with a mark of its grammar in them want quotes.
pub fn in_a_list(reading: &str) -> String {
    let safe = |letter: char| letter.is_alphanumeric() || matches!(letter, ' ' | '.' | '½' | '¼' | '¾' | '/');
    match reading {
        "null" | "true" | "~" => format!("\"{reading}\""),
        _ if reading.chars().all(safe) => reading.to_owned(),
        _ => words::in_double_quotes(reading),
    }
}

/// How finely a scale is read, and how often that is in a whole mark.
fn fineness(c: &mut Choices<'_>) -> (&'static str, i64) {
    c.one(&[("", 1), (", halves: true", 2), (", halves: true", 2), (", quarters: true", 4)])
}

/// A number of marks as people write it.
fn mark(c: &mut Choices<'_>, part: i64, parts: i64) -> String {
    let (sign, size) = if part < 0 { ("-", -part) } else { ("", part) };
    let (whole, quarters) = (size / parts, size % parts * 4 / parts);
    let style = c.below(3);
    let part = match (quarters, style) {
        (0, _) => return format!("{}{whole}", if whole == 0 { "" } else { sign }),
        (quarters, 0) => ["", "¼", "½", "¾"][quarters as usize].to_owned(),
        (quarters, 1) => [".0", ".25", ".5", ".75"][quarters as usize].to_owned(),
        (quarters, _) => ["", " 1/4", " 1/2", " 3/4"][quarters as usize].to_owned(),
    };
    match (whole, style) {
        (0, 0 | 2) => format!("{sign}{}", part.trim_start()),
        (whole, _) => format!("{sign}{whole}{part}"),
    }
}

fn purchase(c: &mut Choices<'_>) -> (String, f64) {
    match c.below(10) {
        0..=6 => (String::new(), 1.0),
        7 => (", purchase: 2".to_owned(), 2.0),
        8 => (", purchase: \"3:2\"".to_owned(), 1.5),
        _ => (", purchase: \"4:1\"".to_owned(), 4.0),
    }
}

fn scale(c: &mut Choices<'_>, kind: Kind) -> Scale {
    match kind {
        Kind::Even => even(c),
        Kind::Centre => centre(c),
        Kind::Measured => measured(c),
        Kind::Holes => holes(c),
        Kind::Around => around(c),
        Kind::Tapes => tapes(c),
        Kind::Turns => {
            let (fine, parts) = fineness(c);
            let base = words::in_double_quotes(&format!("gauge {} on {}", c.between(20, 50), words::day(c)));
            let readings = (-2 * parts..=2 * parts).map(|part| mark(c, part, parts)).collect();
            Scale { text: format!("{{turns: {{base: {base}}}{fine}}}"), readings, places: None, wants_width: false }
        }
        Kind::Gauge => gauge(c),
        Kind::Words => {
            let all = ["off", "eased", "snug", "wrinkles out", "hard", "very hard", "ça va", "<tight>"];
            let chosen = c.some(&all, 2, 55);
            let list: Vec<String> = chosen.iter().map(|word| in_a_list(word)).collect();
            Scale {
                text: format!("{{words: [{}]}}", list.join(", ")),
                readings: chosen.iter().map(|word| (*word).to_owned()).collect(),
                places: None,
                wants_width: false,
            }
        }
    }
}

fn even(c: &mut Choices<'_>) -> Scale {
    let (fine, parts) = fineness(c);
    let first = if c.chance(30) { c.between(-6, 6) } else { 0 };
    let last = first + c.between(2, 14);
    let (spacing, mm) = words::length(c, 12, 60);
    let (purchase, times) = purchase(c);
    let readings = (first * parts..=last * parts).map(|part| mark(c, part, parts)).collect();
    let places = (0..=(last - first) * parts).map(|step| step as f64 / parts as f64 * mm * times).collect();
    let text = format!("{{marks: {first}..{last}, spacing: {spacing}{fine}{purchase}}}");
    Scale { text, readings, places: Some(places), wants_width: true }
}

fn centre(c: &mut Choices<'_>) -> Scale {
    let (fine, parts) = fineness(c);
    let count = c.between(1, 8);
    let (spacing, mm) = words::length(c, 14, 50);
    let (purchase, times) = purchase(c);
    let ends = c.one(&[["W", "L"], ["P", "S"], ["up", "down"], ["port", "stbd"]]);
    let mut readings = Vec::new();
    for part in -count * parts..=count * parts {
        readings.push(match part {
            0 => "C".to_owned(),
            part => {
                let end = if part < 0 { ends[0] } else { ends[1] };
                let marks = mark(c, part.abs(), parts);
                if end.len() == 1 { format!("{end}{marks}") } else { format!("{end} {marks}") }
            }
        });
    }
    let places = (0..=2 * count * parts).map(|step| step as f64 / parts as f64 * mm * times).collect();
    let text =
        format!("{{centre: C, marks: {count}, spacing: {spacing}{fine}{purchase}, ends: [{}, {}]}}", ends[0], ends[1]);
    Scale { text, readings, places: Some(places), wants_width: true }
}

/// Pairs so far apart have room for halves and quarters between them, millimetres.
const FINE_FROM_MM: i64 = 40;

fn measured(c: &mut Choices<'_>) -> Scale {
    let unit = c.one(&[" bar", " psi", " %", "", " mm"]);
    let every = c.one(&[10, 20, 25, 30, 50]);
    let count = c.between(2, 6);
    let (mut quantity, mut place) = (c.between(0, 2) * every, c.between(-40, 40));
    let lowest = quantity;
    let (mut pairs, mut closest) = (Vec::new(), i64::MAX);
    for _ in 0..count {
        pairs.push((quantity, place));
        quantity += every * c.between(1, 3);
        let apart = c.between(14, 60);
        closest = closest.min(apart);
        place += apart;
    }
    let (highest, fine) = (quantity - every, fineness(c).0);
    // The last pair lies at least one step below the quantity that would follow.
    let highest = highest.max(lowest);
    let last = pairs.last().map_or(highest, |(quantity, _)| *quantity);
    let readings = (0..).map(|step| lowest + step * every).take_while(|value| *value <= last);
    let fine = if c.chance(20) { fine } else { "" };
    // Where the curve is flat its marks lie far closer than those of a line between the same pairs.
    let wider = if fine.is_empty() { 1 } else { (FINE_FROM_MM + closest - 1) / closest };
    let pairs: Vec<String> =
        pairs.iter().map(|(quantity, place)| format!("{quantity}{unit}: {} mm", place * wider)).collect();
    Scale {
        readings: readings.map(|value| value.to_string()).collect(),
        text: format!("{{measured: {{{}}}, every: {every}{unit}{fine}}}", pairs.join(", ")),
        places: None,
        wants_width: true,
    }
}

fn holes(c: &mut Choices<'_>) -> Scale {
    let (fine, parts) = if c.chance(20) { fineness(c) } else { ("", 1) };
    let count = c.between(2, 30);
    let pitch = c.between(18, 60);
    let first = c.between(0, 100);
    let last = first + pitch * (count - 1);
    let asked = if c.chance(30) { format!(", pitch: {pitch} mm") } else { String::new() };
    Scale {
        text: format!("{{track_holes: {{first: {first} mm, last: {last} mm, count: {count}{asked}}}{fine}}}"),
        readings: (parts..=count * parts).map(|part| mark(c, part, parts)).collect(),
        places: Some((0..=(count - 1) * parts).map(|part| (part * pitch) as f64 / parts as f64).collect()),
        wants_width: true,
    }
}

fn around(c: &mut Choices<'_>) -> Scale {
    let (fine, parts) = if c.chance(20) { fineness(c) } else { ("", 1) };
    let last = c.between(3, 10);
    let diameter = c.between(60, 200);
    let hundredths = c.between(0, 60);
    let length = std::f64::consts::PI * (diameter as f64 + hundredths as f64 / 100.0);
    Scale {
        text: format!(
            "{{marks: 0..{last}, around: {{diameter: {diameter} mm, thickness: {}.{:02} mm}}{fine}}}",
            hundredths / 100,
            hundredths % 100
        ),
        readings: (0..=last * parts).map(|part| mark(c, part, parts)).collect(),
        places: Some((0..=last * parts).map(|part| length * part as f64 / (last * parts) as f64).collect()),
        wants_width: true,
    }
}

fn tapes(c: &mut Choices<'_>) -> Scale {
    let mut names = c.some(words::colours(), 1, 30);
    names.truncate(5);
    let mut edge = c.between(-30, 30);
    let (mut list, mut places) = (Vec::new(), Vec::new());
    let datum = edge;
    for (index, name) in names.iter().enumerate() {
        if index > 0 && c.chance(40) {
            edge += c.between(1, 20);
        }
        places.push((edge - datum) as f64);
        let from = edge;
        edge += c.between(45, 90);
        let colour = if c.chance(20) { format!(", colour: {}", words::colour(c)) } else { String::new() };
        list.push(format!("{{name: {name}{colour}, from: {from} mm, to: {edge} mm}}"));
    }
    let readings = names.iter().map(|name| (*name).to_owned()).collect();
    Scale { text: format!("{{tapes: [{}]}}", list.join(", ")), readings, places: Some(places), wants_width: true }
}

fn gauge(c: &mut Choices<'_>) -> Scale {
    let every = c.one(&[1, 5, 10, 25]);
    let least = c.between(0, 2) * every;
    let most = least + every * c.between(4, 12);
    let unit = c.one(&["bar", "psi", "%", "kgf"]);
    let ends = if c.chance(80) { format!(", least: {least}, most: {most}") } else { String::new() };
    let fine = if c.chance(20) { fineness(c).0 } else { "" };
    let readings = (0..=(most - least) / every).map(|step| (least + step * every).to_string());
    Scale {
        text: format!("{{gauge: {{unit: {}{ends}, every: {every}}}{fine}}}", in_a_list(unit)),
        readings: readings.collect(),
        places: None,
        wants_width: false,
    }
}

/// Writes the strip of a control; whether it has a datum, and whether it wants winds beside its marks.
fn strip(c: &mut Choices<'_>, kind: Kind, scale: &Scale, id: &str, text: &mut String) -> (bool, bool) {
    let mut fields = Vec::new();
    if c.chance(50) {
        fields.push(format!("place: {}", words::phrase(c)));
    }
    let (lie, edges) = lie(c);
    fields.extend(lie);
    fields.push(format!("reading_distance: {}", c.one(&["300 mm", "400 mm", "50 cm", "0.6 m", "0.25 m"])));
    let longest = scale.readings.iter().map(|reading| reading.chars().count()).max().unwrap_or(1);
    let narrow = if longest > 6 || kind == Kind::Tapes { 34 } else { 22 };
    let winds = kind != Kind::Tapes && kind != Kind::Around && c.chance(10);
    let beside = kind == Kind::Even && c.chance(10);
    let width = if winds || beside { c.between(60, 120) } else { c.between(narrow, 60) };
    fields.push(format!("width: {width} mm"));
    if c.chance(60) {
        fields.push(format!("pointer: {}", words::phrase(c)));
    }
    let has_datum = c.chance(50);
    if has_datum {
        let measured = if c.chance(50) { format!(", measured: {}", words::day(c)) } else { String::new() };
        let (distance, _) = words::length(c, 20, 2000);
        fields.push(format!("datum: {{from: {}, distance: {distance}{measured}}}", words::phrase(c)));
        if c.chance(30) {
            let (distance, _) = words::length(c, 20, 2000);
            fields.push(format!("second_datum: {{from: {}, distance: {distance}}}", words::phrase(c)));
        }
    }
    if winds {
        fields.push(format!("{LANES}{id}: 0"));
    }
    if beside && scale.readings.len() > 2 {
        let last = scale.readings.len() - 1;
        let pair = |index: usize| format!("{}: {} bar", in_a_list(&scale.readings[index]), 10 * index);
        fields.push(format!("beside: {{{}, {}}}", pair(0), pair(last)));
    }
    let length = scale.places.as_ref().and_then(|places| places.last().copied()).unwrap_or(300.0);
    if kind != Kind::Around && c.chance(20) {
        let radius = (length * 1.5) as i64 + 400 + c.between(0, 3000);
        let middle = if c.chance(50) { format!(", middle: {}", c.one(edges)) } else { String::new() };
        fields.push(format!("arc: {{radius: {radius} mm{middle}}}"));
    }
    if c.chance(8) {
        fields.push("mirror: true".to_owned());
    }
    let _ = writeln!(text, "    strip: {{{}}}", fields.join(", "));
    (has_datum, winds)
}

/// How a strip lies, and the words for its two edges: only what can be told apart.
fn lie(c: &mut Choices<'_>) -> (Vec<String>, &'static [&'static str]) {
    const ACROSS: &[&str] = &["far", "near"];
    const UPRIGHT: &[&str] = &["left", "right"];
    const ON_A_SIDE: &[&str] = &["left", "right", "inboard", "outboard"];
    const FORE_AND_AFT: &[&str] = &["aft", "forward"];
    // Which sides it may lie on, which ways its numbers grow, and where its reader stands.
    let (sides, grows, stands, edges): (&[&str], &[&str], &[&str], _) = match c.below(7) {
        0 => return (Vec::new(), ACROSS),
        1 => (&[], &["up", "down"], &[], UPRIGHT),
        2 => (&["both", "port", "starboard"], FORE_AND_AFT, &["inboard", "outboard"], ACROSS),
        3 => (&[], &["port", "starboard"], FORE_AND_AFT, ACROSS),
        4 => (&[], FORE_AND_AFT, FORE_AND_AFT, UPRIGHT),
        5 => (&["port", "starboard", "both"], &["outboard", "inboard"], FORE_AND_AFT, ACROSS),
        _ => (&["both", "port", "starboard"], FORE_AND_AFT, FORE_AND_AFT, ON_A_SIDE),
    };
    let given = [("sides", sides), ("grows", grows), ("reader_stands", stands), ("ticks", edges)];
    let given = given.into_iter().filter(|(_, words)| !words.is_empty());
    (given.map(|(name, words)| format!("{name}: {}", c.one(words))).collect(), edges)
}

/// Puts the settings that say something of a control beside its marks, or takes the lane out.
pub fn lanes(c: &mut Choices<'_>, known: &Known, text: &mut String) {
    for (index, control) in known.controls.iter().enumerate().filter(|(_, control)| control.winds) {
        let asked = format!("{LANES}{}: 0", control.id);
        let fit = known.settings.iter().filter(|settings| settings.aboard && settings.columns.contains(&index));
        let name = |settings: &Settings| match settings.by_angle {
            Some((_, angle)) => format!("{{settings: {}, angle: {angle}}}", settings.id),
            None => settings.id.clone(),
        };
        let ids: Vec<String> = fit.take(2).map(name).collect();
        *text = match ids.as_slice() {
            [] => text.replace(&format!(", {asked}"), ""),
            [first, ..] if c.chance(60) => text.replace(&asked, &format!("winds: [{first}]")),
            ids => text.replace(&asked, &format!("winds: [{}]", ids.join(", "))),
        };
    }
}

/// Moves for chop and the like, of controls that have numbers.
pub fn adjust(c: &mut Choices<'_>, known: &Known, text: &mut String) {
    if !c.chance(20) {
        return;
    }
    let numbered =
        known.controls.iter().filter(|control| matches!(control.kind, Kind::Even | Kind::Centre) && !control.dock);
    let numbered: Vec<&Control> = numbered.collect();
    if numbered.is_empty() {
        return;
    }
    text.push_str("adjust:\n");
    for name in c.some(&["chop", "flat", "waves-2"], 1, 40) {
        let moved = c.some(&numbered, 1, 50);
        let moves: Vec<String> =
            moved.iter().map(|control| format!("{}: {}", control.id, c.one(&["1", "-1", "2", "-2"]))).collect();
        let scope = scope(c, known);
        let _ = writeln!(text, "  {name}: {{{scope}{}}}", moves.join(", "));
    }
}

/// Where such a move holds, now and then.
fn scope(c: &mut Choices<'_>, known: &Known) -> String {
    let mut fields = Vec::new();
    if c.chance(25) {
        fields.push(format!(
            "point_of_sail: {}",
            c.one(&["upwind", "[upwind, close-reach]", "[beam-reach, broad-reach]", "downwind"])
        ));
    }
    if c.chance(25) {
        let low = c.between(3, 14);
        fields.push(format!("wind: {low}..{} kn", low + c.between(2, 14)));
    }
    if c.chance(25) {
        let sails: Vec<String> = known.sails.iter().filter(|sail| sail.aboard).map(|sail| sail.id.clone()).collect();
        let sails = c.some(&sails, 1, 30);
        fields.push(format!("sails: [{}]", sails.join(", ")));
    }
    if fields.is_empty() { String::new() } else { format!("for: {{{}}}, ", fields.join(", ")) }
}
