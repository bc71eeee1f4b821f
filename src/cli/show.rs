//! `show`: the settings at a wind speed, in the terminal.

use std::path::PathBuf;

use clap::Args;
use cockpit_cards::book::{Book, Settings, suggest};
use cockpit_cards::cards::matrix::{columns, shared_range};
use cockpit_cards::cards::words::{
    ground_legend, ground_sign, grounded, point_of_sail, sail_names, wind_number, wind_unit,
};
use cockpit_cards::tuning::{Column, Ground};
use serde_json::json;

use super::{Outcome, complain, count, open, refuse, say, stops};

#[derive(Args)]
pub struct Show {
    /// The book; the built-in example if none is named
    book: Option<PathBuf>,
    /// Wind speed in the book's wind unit
    #[arg(long)]
    wind: f64,
    /// Only these settings, by id
    #[arg(long, value_name = "ID")]
    settings: Option<String>,
    /// A JSON list of {settings, wind_kn, controls} on standard output
    #[arg(long)]
    json: bool,
}

impl Show {
    pub fn run(self) -> Outcome {
        let mut opened = match open(self.book.as_deref()) {
            Ok(opened) => opened,
            Err(outcome) => return outcome,
        };
        let problems = &mut opened.loaded.problems;
        complain(problems, &opened.loaded.sources);
        let book = match opened.loaded.book {
            Some(book) if !stops(problems, false) => book,
            _ => return refuse(&format!("{} in {}", count(problems), opened.name), "mend what is listed above"),
        };
        if !self.wind.is_finite() || self.wind <= 0.0 {
            return refuse(&format!("--wind {}: no wind speed", self.wind), "give a number above 0, such as --wind 13");
        }
        let wind_kn = cockpit_cards::cards::words::wind_kn(self.wind, book.units.wind);
        let chosen: Vec<&Settings> = match &self.settings {
            Some(id) => match book.settings(id) {
                Some(settings) => vec![settings],
                None => {
                    let ids: Vec<&str> = book.settings.iter().map(|settings| settings.id.value.as_str()).collect();
                    return refuse(&format!("there are no settings `{id}`"), &suggest::advice(id, ids));
                }
            },
            None => book.settings.iter().filter(|settings| is_for(&book, settings, wind_kn)).collect(),
        };
        if self.json {
            let list: Vec<_> = chosen.iter().map(|settings| as_json(&book, settings, wind_kn)).collect();
            return say(&format!("{:#}\n", serde_json::Value::Array(list)));
        }
        if chosen.is_empty() {
            return say(&format!(
                "no sails of {} are for {} {}\n",
                book.boat.name.value,
                self.wind,
                wind_unit(book.units.wind)
            ));
        }
        let mut used = Vec::new();
        let tables: Vec<String> = chosen.iter().map(|settings| as_text(&book, settings, wind_kn, &mut used)).collect();
        used.sort_unstable();
        used.dedup();
        let legend: Vec<&str> = used.into_iter().map(ground_legend).collect();
        say(&format!("{}\n{}\n", tables.join("\n"), legend.join("   ")))
    }
}

fn is_for(book: &Book, settings: &Settings, wind_kn: f64) -> bool {
    let (low, high) = shared_range(book, settings);
    (low..=high).contains(&wind_kn)
}

fn controls<'a>(book: &'a Book, settings: &'a Settings) -> impl Iterator<Item = (&'a str, &'a str, Option<Column>)> {
    let names = settings.controls.iter().filter_map(|index| book.controls.get(*index));
    names
        .zip(columns(book, settings))
        .map(|(control, column)| (control.id.value.as_str(), control.name.as_str(), column))
}

fn as_json(book: &Book, settings: &Settings, wind_kn: f64) -> serde_json::Value {
    let list: Vec<_> = controls(book, settings)
        .map(|(id, _, column)| match column.map(|column| (column.at(wind_kn), column)) {
            Some((setting, column)) => json!({
                "id": id,
                "value": setting.exact,
                "mark": column.scale().print(setting.reading),
                "ground": setting.ground,
            }),
            None => json!({"id": id, "value": null, "mark": null, "ground": null}),
        })
        .collect();
    json!({"settings": settings.id.value, "wind_kn": wind_kn, "controls": list})
}

fn as_text(book: &Book, settings: &Settings, wind_kn: f64, used: &mut Vec<Ground>) -> String {
    let unit = book.units.wind;
    let mut text = format!(
        "{}, {} at {} {}  ({})\n",
        sail_names(book, settings).join(" + "),
        point_of_sail(settings.point_of_sail),
        wind_number(wind_kn, unit),
        wind_unit(unit),
        settings.id.value,
    );
    for (_, name, column) in controls(book, settings) {
        let Some(column) = column else {
            text.push_str(&format!("  {name:<20}   not recorded\n"));
            continue;
        };
        let setting = column.at(wind_kn);
        used.push(setting.ground);
        let sign = ground_sign(setting.ground).unwrap_or(" ");
        text.push_str(&format!(
            "  {name:<20} {sign} {}\n",
            grounded(&column.scale().print(setting.reading), setting.ground)
        ));
    }
    text
}
