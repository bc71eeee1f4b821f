//! The looks of a watch plan: the time of each change first, then who, then what to expect; what changes stands in bold.

use super::{PlanRow, SailPlan, WatchPlan, WatchRow, Weather};
use crate::cards::parts::frame::Surround;
use crate::cards::parts::label::Label;
use crate::cards::parts::table::{Cell, Column, Paragraph, Row, Ruled};
use crate::cards::parts::words::ground_legend;
use crate::drawing::{Drawing, Weight};
use crate::wrong::Wrong;

const NO_PROMISE: &str = "A forecast is no promise: read the wind you have.";

pub fn watch_plan(card: &WatchPlan, label: &Label) -> Result<Drawing, Wrong> {
    table(card).draw(label)
}

/// The card before it has a size.
pub fn table(card: &WatchPlan) -> Ruled {
    let weathers = || card.rows.iter().filter_map(weather_of);
    let has_weather = weathers().next().is_some();
    let mut before = None;
    let rows = card.rows.iter().map(|row| match row {
        PlanRow::Midnight { day } => Row::Across(format!("midnight · {day}")),
        PlanRow::Watch(watch) => {
            let cells = cells(watch, before, has_weather);
            before = watch.weather.as_ref();
            Row::of(cells)
        }
        PlanRow::Finish { at } => {
            let blank = vec![Cell::empty(); if has_weather { 2 } else { 0 }];
            Row::of([Cell::bold(at), Cell::bold("finish")].into_iter().chain(blank))
        }
    });
    let rows = rows.collect();
    let mut columns = vec![Column::narrow("FROM"), Column::wide("ON DECK", 1.0)];
    if has_weather {
        let wind = Column { least_mm: WIND_MM, ..Column::wrapped(format!("WIND {}", card.wind_unit)) };
        columns.extend([wind, Column::wide("SAILS, BANDS", SAILS_SHARE)]);
    }
    Ruled {
        size: card.size.clone(),
        surround: Surround {
            title: vec!["Watches".to_owned()],
            at_right: card.days.clone(),
            kind: card.part.iter().chain([&card.race]).map(String::as_str).collect::<Vec<_>>().join(" · "),
            must: must(card, has_weather),
            foot: foot(card),
            ..Surround::default()
        },
        named: card.teams.iter().map(|(team, people)| (team.clone(), people.join(", "))).collect(),
        name: format!("{}: watches", card.boat),
        description: "Who is on deck when".to_owned(),
        columns,
        rows,
        ..Ruled::default()
    }
}

/// A range of winds stands on one line, millimetres.
const WIND_MM: f64 = 22.0;
/// Sails and bands need more of the room than names.
const SAILS_SHARE: f64 = 3.0;

fn weather_of(row: &PlanRow) -> Option<&Weather> {
    match row {
        PlanRow::Watch(watch) => watch.weather.as_ref(),
        PlanRow::Midnight { .. } | PlanRow::Finish { .. } => None,
    }
}

/// What must be read: what has become of sails and of the clock, and what the bands count.
fn must(card: &WatchPlan, has_weather: bool) -> Vec<String> {
    let narrowed = card.narrowed.iter().map(|words| format!("{words}."));
    let clock = card.clock_changes.iter().map(|words| format!("Caution: {words}."));
    let below = |row: &PlanRow| matches!(row, PlanRow::Watch(watch) if watch.below > 0);
    let plans = || card.rows.iter().filter(|row| below(row)).filter_map(weather_of).flat_map(|weather| &weather.sails);
    let with_bands = || plans().filter(|plan| !plan.bands.is_empty());
    let bands = match (with_bands().any(|plan| plan.counted.is_some()), with_bands().any(|plan| plan.counted.is_none()))
    {
        (false, false) => None,
        (false, true) => Some("Bands are for nobody below."),
        (true, false) => Some("Counted already: add nothing for those below."),
        (true, true) => Some("Bands are for nobody below, unless it says counted already: then add nothing."),
    };
    let last: Vec<&str> = bands.into_iter().chain(has_weather.then_some(NO_PROMISE)).collect();
    let last = (!last.is_empty()).then(|| last.join(" "));
    narrowed.chain(clock).chain(last).collect()
}

fn foot(card: &WatchPlan) -> Vec<String> {
    let hours = card.hours.join(" · ");
    let mut foot = vec![format!("On deck in all: {hours}. Never fewer than {} on deck.", card.least_on_deck)];
    foot.extend((!card.outside.is_empty()).then(|| format!("Outside the watches: {}.", card.outside.join(" · "))));
    let legend: Vec<&str> = card.grounds.iter().copied().map(ground_legend).collect();
    let legend = (!legend.is_empty()).then(|| format!("Marks: {}.", legend.join(" · ")));
    // In one: each of them by itself leaves half a line white.
    let small: Vec<&str> = legend.iter().chain(&card.assumptions).map(String::as_str).collect();
    foot.extend((!small.is_empty()).then(|| small.join(" ")));
    foot
}

/// A watch; `before` is what was expected in the one above it on this card.
fn cells(watch: &WatchRow, before: Option<&Weather>, has_weather: bool) -> Vec<Cell> {
    let mut who = Cell::default();
    if !watch.head.is_empty() {
        who.paragraphs.push(Paragraph::of(&watch.head, Weight::Bold));
    }
    if !watch.on_deck.is_empty() {
        let with = if watch.head.is_empty() { "" } else { "with " };
        who.paragraphs.push(Paragraph::of(format!("{with}{}", watch.on_deck.join(", ")), Weight::Regular));
    }
    let mut cells = vec![Cell::bold(&watch.from), who];
    if has_weather {
        cells.extend(expected(watch.weather.as_ref(), before));
    }
    cells
}

/// Wind, and sails with their bands: `as before` where nothing about them changes.
fn expected(weather: Option<&Weather>, before: Option<&Weather>) -> [Cell; 2] {
    let Some(weather) = weather else { return [Cell::empty(), Cell::plain("no forecast")] };
    let mut wind = Cell::plain(&weather.wind);
    wind.paragraphs.extend(weather.gusts.as_ref().map(|gusts| Paragraph::of(format!("gusts {gusts}"), Weight::Bold)));
    let is_same = |before: &Weather| before.sails == weather.sails && before.beyond == weather.beyond;
    if before.is_some_and(is_same) {
        return [wind, Cell::plain("as before")];
    }
    let mut sails = Cell::default();
    sails.paragraphs.extend(weather.beyond.iter().map(|words| Paragraph::of(format!("{words}."), Weight::Bold)));
    let mut set = before.and_then(|before| before.sails.last());
    for plan in &weather.sails {
        sails.paragraphs.extend(of_sails(plan, set));
        set = Some(plan);
    }
    [wind, sails]
}

/// In bold what is not as in the sails that were `set` before.
fn of_sails(plan: &SailPlan, set: Option<&SailPlan>) -> Vec<Paragraph> {
    let set = set.filter(|set| set.sails == plan.sails);
    // Beside new sails all else is new, and their name is what is looked for.
    let of_rest = |is_same: bool| if set.is_none() || is_same { Weight::Regular } else { Weight::Bold };
    let has_same_bands = set.is_some_and(|set| set.bands == plan.bands);
    let counts_the_same = set.is_some_and(|set| set.counted == plan.counted);
    let from = plan.from.as_ref().map(|from| format!("from {from}: ")).unwrap_or_default();
    let name = format!("{from}{}", plan.sails);
    let mut said = vec![Paragraph::of(name, if set.is_some() { Weight::Regular } else { Weight::Bold })];
    said.extend(plan.bands_words().map(|words| Paragraph::of(words, of_rest(has_same_bands))));
    said.extend(plan.counted_words().map(|words| Paragraph::of(words, of_rest(counts_the_same))));
    said.extend(plan.past.iter().map(|words| Paragraph::of(words, Weight::Bold)));
    if let Some(at) = &plan.marks_at {
        let marks: Vec<&str> = plan.marks.iter().map(|mark| mark.text.as_str()).collect();
        said.push(Paragraph::of(format!("at {at}: {}", marks.join(", ")), Weight::Regular));
    }
    said
}
