//! The looks of a watch plan: the time of the next change first, then who, then what to expect.

use super::{PlanRow, WatchPlan, WatchRow};
use crate::cards::parts::frame::Surround;
use crate::cards::parts::label::Label;
use crate::cards::parts::table::{Cell, Column, Paragraph, Row, Ruled};
use crate::cards::parts::words::ground_legend;
use crate::drawing::{Drawing, Weight};
use crate::wrong::Wrong;

pub fn watch_plan(card: &WatchPlan, label: &Label) -> Result<Drawing, Wrong> {
    let with_weather = card.rows.iter().any(|row| matches!(row, PlanRow::Watch(watch) if watch.weather.is_some()));
    let rows = card.rows.iter().map(|row| match row {
        PlanRow::Midnight { day } => Row::Across(format!("midnight · {day}")),
        PlanRow::Watch(watch) => Row::of(cells(watch, with_weather)),
    });
    let mut columns = vec![Column::narrow("from"), Column::narrow("CHANGE AT"), Column::wide("on deck", 1.0)];
    if with_weather {
        columns.push(Column::wide("wind and sails to expect", 2.0));
    }
    let hours = card.hours.join(" · ");
    let words = format!("On deck in all: {hours}. Never fewer than {} on deck.", card.least_on_deck);
    let mut foot = vec![(words, Weight::Regular)];
    if !card.outside.is_empty() {
        foot.push((format!("Outside the watches: {}.", card.outside.join(" · ")), Weight::Regular));
    }
    foot.extend(card.narrowed.iter().map(|words| (format!("{words}."), Weight::Bold)));
    let legend: Vec<&str> = card.grounds.iter().copied().map(ground_legend).collect();
    let legend = (!legend.is_empty()).then(|| format!("Marks: {}.", legend.join(" · ")));
    // In one: each of them by itself leaves half a line white.
    let small: Vec<&str> = legend.iter().chain(&card.assumptions).map(String::as_str).collect();
    foot.extend((!small.is_empty()).then(|| (small.join(" "), Weight::Regular)));
    foot.extend(card.clock_changes.iter().map(|words| (format!("Caution: {words}."), Weight::Bold)));
    Ruled {
        size: card.size.clone(),
        surround: Surround {
            title: vec!["Watches".to_owned()],
            at_right: card.part.clone().unwrap_or_default(),
            subtitle: card.race.clone(),
            foot,
        },
        name: format!("{}: watches", card.boat),
        description: "Who is on deck when".to_owned(),
        columns,
        rows: rows.collect(),
        ..Ruled::default()
    }
    .draw(label)
}

fn cells(watch: &WatchRow, with_weather: bool) -> Vec<Cell> {
    let mut who = Cell::default();
    if !watch.head.is_empty() {
        let head = if watch.continues { format!("{}, still", watch.head) } else { watch.head.clone() };
        who.paragraphs.push(Paragraph::of(head, Weight::Bold));
    }
    // One who is a team alone is not told twice.
    let is_said = matches!(watch.on_deck.as_slice(), [one] if *one == watch.head);
    if !watch.continues && !is_said {
        who.paragraphs.push(Paragraph::of(watch.on_deck.join(", "), Weight::Regular));
    }
    let mut until = Cell::bold(&watch.until);
    if watch.is_finish {
        until.paragraphs.push(Paragraph::of("finish".to_owned(), Weight::Regular));
    }
    let mut cells = vec![Cell::plain(&watch.from), until, who];
    if with_weather {
        let mut expected = Cell::default();
        if let Some(weather) = &watch.weather {
            let beyond = weather.beyond.iter().map(|words| Paragraph::of(format!("{words}."), Weight::Bold));
            expected.paragraphs.extend(beyond);
            expected.paragraphs.push(Paragraph::of(weather.wind.clone(), Weight::Regular));
            for sails in &weather.sails {
                let read = sails.read_at.as_ref().map(|wind| format!(": read at {wind}")).unwrap_or_default();
                expected.paragraphs.push(Paragraph::of(format!("{}{read}", sails.sails), Weight::Bold));
                let marks: Vec<&str> = sails.marks.iter().map(|mark| mark.text.as_str()).collect();
                if !marks.is_empty() {
                    expected.paragraphs.push(Paragraph::of(marks.join(", "), Weight::Regular));
                }
            }
        }
        cells.push(expected);
    }
    cells
}
