//! What of a card of settings by wind stands where on its sheet.

use super::sheet::{self, Around, Block, Sheet, Told};
use super::{BandRow, Cell as Setting, WindSettings};
use crate::cards::parts::label::Label;
use crate::cards::parts::sided::UNKNOWN;
use crate::cards::parts::words::ground_sign;
use crate::drawing::{Drawing, Weight};
use crate::size::NamedSize;
use crate::tuning::Ground;
use crate::wrong::Wrong;

/// After a target that was not sailed in its band, in the content.
pub const WORKED_OUT: &str = " between";

/// Draws the card at the size asked for, or at the handiest that holds it.
pub fn wind_settings(card: &WindSettings, label: &Label) -> Result<Drawing, Wrong> {
    sheet(card).draw(label)
}

/// Whether a card fits a size in letters that are read without trouble.
pub fn fits(card: &WindSettings, label: &Label, size: &NamedSize) -> bool {
    sheet(card).fits(label, size)
}

fn sheet(card: &WindSettings) -> Sheet<'_> {
    let of_control = |position: usize| card.rows.iter().map(|row| position_of(row, position)).collect();
    let winds = card.rows.iter().map(|row| format!("{} to {}", row.low, row.high));
    let targets = card.rows.iter().map(|row| target_words(&card.targets, &row.targets));
    let targets: Vec<Vec<String>> = targets.map(|words| vec![words]).collect();
    let legend = legend(card, &targets);
    let target = (!card.targets.is_empty()).then(|| (target_name(&card.targets), targets));
    let block = Block {
        corner: corner(card),
        heads: winds.collect(),
        below: card.below.as_ref().map(|who| {
            let winds = card.rows.iter().map(|row| row.below.clone().unwrap_or_else(|| UNKNOWN.to_owned()));
            ([who.to_uppercase().replace(',', ""), "use column from".to_owned()], winds.collect())
        }),
        settings: (0..card.columns.len()).map(of_control).collect(),
        rest: target.into_iter().collect(),
    };
    let around = Around {
        sails: &card.sails,
        title: card.title.as_deref(),
        course: &card.point_of_sail.to_uppercase(),
        part: card.part.as_deref(),
        range: card.range.as_deref(),
        adjustments: &card.adjustments,
        narrowed: &card.narrowed,
        cautions: &card.cautions,
        looks: &card.looks,
    };
    Sheet {
        size: card.size.clone(),
        surround: around.surround(card.wind.clone(), legend),
        name: format!("{}: {}", card.boat, card.title()),
        controls: &card.columns,
        tells_higher: true,
        blocks: vec![block],
    }
}

fn position_of(row: &BandRow, position: usize) -> Option<Told<'_>> {
    let setting: &Setting = row.cells.get(position)?.as_ref()?;
    Some((setting, sheet::beneath_words(setting)))
}

/// `TRUE WIND kn`.
fn corner(card: &WindSettings) -> Vec<(String, Weight)> {
    let kind = card.wind.split([' ', ',']).take(2).collect::<Vec<_>>().join(" ").to_uppercase();
    vec![(kind, Weight::Bold), (card.wind_unit.clone(), Weight::Regular)]
}

/// `TARGET kn, heel`.
pub fn target_name(targets: &[String]) -> String {
    let short = targets.iter().map(|name| name.trim_start_matches("speed ").trim_end_matches(" °"));
    format!("TARGET {}", short.collect::<Vec<_>>().join(", "))
}

/// The targets of a band on one line: `● 6.6, 18°`, and without a sign where they were worked out; one sign where none is known.
pub fn target_words(names: &[String], targets: &[String]) -> String {
    if targets.iter().all(String::is_empty) {
        return String::new();
    }
    if targets.iter().all(|target| target == UNKNOWN) {
        return UNKNOWN.to_owned();
    }
    let printed = |(name, target): (&String, &String)| {
        let carried = ground_sign(Ground::CarriedOver).unwrap_or_default();
        let bare = target.strip_suffix(WORKED_OUT).unwrap_or(target);
        let (sign, number) = match bare.strip_prefix(carried) {
            Some(number) => (carried, number.trim_start()),
            None if target.is_empty() => ("", UNKNOWN),
            None if bare != target || target == UNKNOWN => ("", bare),
            None => (ground_sign(Ground::Sailed).unwrap_or_default(), bare),
        };
        let unit = if name.ends_with('°') && number != UNKNOWN { "°" } else { "" };
        (sign, format!("{number}{unit}"))
    };
    let printed: Vec<(&str, String)> = names.iter().zip(targets).map(printed).collect();
    let signed = |(sign, words): &(&str, String)| format!("{sign} {words}").trim_start().to_owned();
    let all: Vec<String> = match printed.split_first() {
        Some((first, rest)) if rest.iter().all(|other| other.0 == first.0) => {
            std::iter::once(signed(first)).chain(rest.iter().map(|(_, words)| words.clone())).collect()
        }
        _ => printed.iter().map(signed).collect(),
    };
    all.join(", ")
}

/// What a line for the usual number below is never added to.
pub fn below_legend(who: &str) -> String {
    format!("{}: never on top of a wind that says “counted already”", who.replace(',', ""))
}

/// What the signs and lines in use mean.
fn legend(card: &WindSettings, targets: &[Vec<String>]) -> Vec<String> {
    let cells = card.rows.iter().flat_map(|row| row.cells.iter().map(Option::as_ref));
    let mut words = Vec::new();
    if cells.clone().flatten().any(|cell| !cell.rows.is_empty() || !cell.not_used.is_empty()) {
        words.push("large: to set, by the curve · small: known at that wind".to_owned());
    }
    words.extend(sheet::legend(cells, targets.iter().flatten().map(String::as_str), &card.adjustments));
    let is_worked_out = |target: &String| target.ends_with(WORKED_OUT);
    if card.rows.iter().flat_map(|row| &row.targets).any(is_worked_out) {
        words.push("targets without a sign: worked out".to_owned());
    }
    words.extend(card.below.as_ref().map(|who| below_legend(who)));
    words.extend(card.below_says.clone());
    words
}
