//! Made-up books for the audit: of each only what settings come from, with turns set afloat too, in either unit of wind.

use cockpit_cards::book::WindUnit;

use crate::common::books;

/// What of a made-up book the settings come from.
const SECTIONS: [&str; 10] =
    ["book", "example", "boat", "units", "wind_bands", "wind_source", "controls", "sails", "settings", "adjust"];

/// Only the sections that settings come from, the winds in metres per second if asked.
pub(super) fn made_up(seed: u64, unit: WindUnit) -> books::Book {
    let mut book = books::sound(&books::row(seed));
    let text = book.text.replace("\r\n", "\n");
    let mut kept = false;
    let mut lines: Vec<String> = Vec::new();
    for line in text.trim_start_matches('\u{FEFF}').lines() {
        if let Some(name) = line.split(':').next().filter(|name| !name.is_empty() && !name.starts_with([' ', '#', '-']))
        {
            kept = SECTIONS.contains(&name);
        }
        lines.extend(Some(line.to_owned()).filter(|_| kept));
    }
    with_turns(&mut lines);
    if unit == WindUnit::MetrePerSecond {
        lines.iter_mut().for_each(|line| *line = in_metres_per_second(line));
        let units = lines.iter_mut().find(|line| line.starts_with("units:"));
        match units {
            Some(line) => {
                *line =
                    line.replace(", wind: kn", "").replace('}', ", wind: m/s}").replace(", wind: m/s, wind", ", wind")
            }
            None => lines.push("units: {wind: m/s}".to_owned()),
        }
        if let Some(line) = lines.iter_mut().find(|line| line.matches("wind: m/s").count() > 1) {
            *line = "units: {wind: m/s}".to_owned();
        }
        for (_, table) in &mut book.tables {
            *table = in_metres_per_second(table);
        }
    } else if let Some(line) = lines.iter_mut().find(|line| line.starts_with("units:") && line.contains("m/s")) {
        *line = "units: {wind: kn}".to_owned();
    }
    book.text = lines.join("\n") + "\n";
    book
}

/// Turns of a screw are counted at the dock in a made-up book; here they are set afloat too, in a last column.
fn with_turns(lines: &mut Vec<String>) {
    const TURNS: [&str; 6] = ["0", "\"1/2\"", "\"-1\"", "\"-1\"", "~", "\"1 1/2\""];
    let Some(at) = lines.iter().position(|line| line.starts_with("settings:")) else { return };
    for (number, line) in lines.iter_mut().enumerate().skip(at) {
        if line.starts_with("      ") && line.contains(" kn: {") && line.contains(": [") {
            // A wind with a row for each of its angles.
            *line = line.replace(']', ", 0]");
            continue;
        }
        let is_row = line.starts_with("      ") && line.contains(" kn: [");
        let column = if is_row { TURNS[(number + line.len()) % TURNS.len()] } else { "screw" };
        if let Some(list) = line.strip_suffix(']').filter(|_| is_row || line.starts_with("    controls: [")) {
            *line = format!("{list}, {column}]");
        }
    }
    let screw = "  screw: {scale: {turns: {base: \"gauge 38 on 2027-04-02\"}, halves: true}}".to_owned();
    let at = lines.iter().position(|line| line.starts_with("controls:")).map_or(0, |at| at + 1);
    lines.insert(at, screw);
}

/// Every wind as half its number of metres per second; boat speeds, which have decimals, stay.
fn in_metres_per_second(text: &str) -> String {
    let mut pieces = text.split(" kn").peekable();
    let mut written = String::new();
    while let Some(piece) = pieces.next() {
        if pieces.peek().is_none() {
            written.push_str(piece);
            break;
        }
        let from = piece
            .rfind(|letter: char| !(letter.is_ascii_digit() || letter == '.'))
            .map_or(0, |at| at + piece[at..].chars().next().map_or(1, char::len_utf8));
        let half = |number: &str| number.parse::<f64>().ok().map(|number| (number / 2.0).to_string());
        let numbers = &piece[from..];
        let converted = match numbers.split_once("..") {
            Some((low, high)) => half(low).zip(half(high)).map(|(low, high)| format!("{low}..{high}")),
            None if numbers.contains('.') => None,
            None => half(numbers),
        };
        match converted {
            Some(numbers) => written.push_str(&format!("{}{numbers} m/s", &piece[..from])),
            None => written.push_str(&format!("{piece} kn")),
        }
    }
    written
}
