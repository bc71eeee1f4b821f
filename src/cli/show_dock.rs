//! `show --settings` of what is set before leaving: the row for a wind to expect, in the terminal.

use cockpit_cards::book::{Book, DockTune};
use cockpit_cards::cards::dock_tune::mark;
use cockpit_cards::cards::parts::expected::row_ranges;
use cockpit_cards::tuning::{Side, Wind};
use serde_json::{Value, json};

/// The row as lines of text.
pub fn as_text(book: &Book, tune: &DockTune, wind: Wind) -> String {
    let unit = book.units.wind;
    let title = tune.title.as_ref().map(|title| format!(", {title}")).unwrap_or_default();
    let wind_words = wind.as_written(unit);
    let mut text = format!("Dock tune{title}, to expect {wind_words}  ({})\n", tune.id.value);
    let Some((row, range)) = row_for(book, tune, wind) else { return text };
    let sailed = tune.rows[row].at.value.as_written(unit);
    text.push_str(&format!("  row for {}, sailed at {sailed}\n", range.print(unit)));
    for (position, index) in tune.controls.iter().enumerate() {
        let Some(control) = book.controls.get(*index) else { continue };
        let figure = mark(tune, row, position, control).unwrap_or_else(|| "not recorded".to_owned());
        let base = control.scale.base().map(|base| format!("from {base}")).unwrap_or_default();
        text.push_str(format!("  {:<20} {figure:<12} {base}", control.name).trim_end());
        text.push('\n');
    }
    text
}

/// The same as a value of the list that `--json` gives.
pub fn as_json(book: &Book, tune: &DockTune, wind: Wind) -> Value {
    let found = row_for(book, tune, wind);
    let control = |(position, index): (usize, &usize)| {
        let control = book.controls.get(*index)?;
        let recorded = found.and_then(|(row, _)| tune.rows[row].readings.get(position));
        let mark = found.and_then(|(row, _)| mark(tune, row, position, control));
        let on = |side: Side| recorded.and_then(|recorded| recorded.on(side, control));
        let (port, starboard) = (on(Side::Port), on(Side::Starboard));
        let value = port.filter(|_| port == starboard);
        let mut json = json!({"id": control.id.value, "value": value, "mark": mark, "base": control.scale.base()});
        if port != starboard {
            json["port"] = json!(port);
            json["starboard"] = json!(starboard);
        }
        Some(json)
    };
    let controls: Vec<Value> = tune.controls.iter().enumerate().filter_map(control).collect();
    let (row, range) = found.unzip();
    json!({
        "settings": tune.id.value,
        "when": "dock",
        "wind_kn": wind,
        "row_kn": row.map(|row| tune.rows[row].at.value),
        "from_kn": range.and_then(|range| range.from),
        "to_kn": range.and_then(|range| range.to),
        "controls": controls,
    })
}

fn row_for(book: &Book, tune: &DockTune, wind: Wind) -> Option<(usize, cockpit_cards::tuning::dock_ranges::RowRange)> {
    row_ranges(book, tune).into_iter().enumerate().find(|(_, range)| range.holds(wind))
}
