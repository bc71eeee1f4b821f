//! What of a card of settings by wind and angle stands where on its sheet: a block for each band of wind.

use std::collections::BTreeMap;

use super::by_angle::{AngleCells, AngledSettings, Block as OfWind};
use super::layout::{below_legend, target_name, target_words};
use super::sheet::{self, Around, Block, Sheet, Told};
use super::{Cell as Setting, ColumnHead, KnownRow};
use crate::cards::parts::label::Label;
use crate::cards::parts::sided::UNKNOWN;
use crate::cards::parts::words::{ground_sign, more_words};
use crate::drawing::{Drawing, Weight};
use crate::size::NamedSize;
use crate::tuning::Ground;
use crate::wrong::Wrong;

/// Draws the card at the size asked for, or at the handiest that holds it.
pub fn angled_settings(card: &AngledSettings, label: &Label) -> Result<Drawing, Wrong> {
    sheet(card).draw(label)
}

/// Whether a card fits a size in letters that are read without trouble.
pub fn fits(card: &AngledSettings, label: &Label, size: &NamedSize) -> bool {
    sheet(card).fits(label, size)
}

fn sheet(card: &AngledSettings) -> Sheet<'_> {
    let around = Around {
        sails: &card.sails,
        title: card.title.as_deref(),
        course: &card.course,
        part: card.part.as_deref(),
        range: card.range.as_deref(),
        adjustments: &card.adjustments,
        narrowed: &card.narrowed,
        cautions: &card.cautions,
        looks: &card.looks,
    };
    Sheet {
        size: card.size.clone(),
        surround: around.surround(format!("By {}, and true wind angle", card.wind), legend(card)),
        name: format!("{}: {}", card.boat, card.title()),
        controls: &card.controls,
        tells_higher: false,
        blocks: card.blocks.iter().map(|block| of_wind(card, block)).collect(),
    }
}

fn of_wind<'a>(card: &AngledSettings, block: &'a OfWind) -> Block<'a> {
    let sailed: Vec<Sailed> = block.angles.iter().map(Sailed::of).collect();
    let of_control = |position: usize| {
        let columns = block.angles.iter().zip(&sailed);
        columns.map(|(of, sailed)| sailed.told(of.cells.get(position)?.as_ref()?).into()).collect()
    };
    let targets: Vec<Vec<String>> = block.angles.iter().map(|of| vec![targets_of(card, of)]).collect();
    let targets = (!card.targets.is_empty()).then(|| (target_name(&card.targets), targets));
    let sailed_at = sailed.iter().map(|sailed| sailed.lines(&card.wind_unit)).collect();
    let mark = ground_sign(Ground::Sailed).unwrap_or_default();
    Block {
        corner: sheet::range_runs(&block.winds)
            .into_iter()
            .chain([(card.wind_unit.clone(), Weight::Regular)])
            .collect(),
        heads: block.angles.iter().map(|of| of.angles.clone()).collect(),
        below: card.below.as_ref().map(|who| {
            let winds = block.angles.iter().map(|of| of.below.clone().unwrap_or_else(|| UNKNOWN.to_owned()));
            // In which bunks the legend says: each block has this line.
            let who = who.split(',').next().unwrap_or(who).to_uppercase();
            ([who, "use from".to_owned()], winds.collect())
        }),
        settings: (0..card.controls.len()).map(of_control).collect(),
        rest: targets.into_iter().chain([(format!("{mark} SAILED AT"), sailed_at)]).collect(),
    }
}

/// The targets of a cell; a sign where none is known.
fn targets_of(card: &AngledSettings, of: &AngleCells) -> String {
    let words = target_words(&card.targets, &of.targets);
    if words.is_empty() { UNKNOWN.to_owned() } else { words }
}

/// Where most of the controls of a column were sailed: told once.
struct Sailed {
    places: Vec<String>,
    more: usize,
    /// What the figures are if nothing was.
    otherwise: Option<&'static str>,
}

impl Sailed {
    fn of(column: &AngleCells) -> Self {
        let cells: Vec<&Setting> = column.cells.iter().flatten().filter(|cell| !cell.tells_not_used()).collect();
        let mut counted: BTreeMap<&str, usize> = BTreeMap::new();
        for row in cells.iter().flat_map(|cell| &cell.rows).filter(|row| row.ground == Ground::Sailed) {
            *counted.entry(&row.wind).or_default() += 1;
        }
        // In the order in which the cells tell them.
        let in_order = cells.iter().flat_map(|cell| &cell.rows).map(|row| row.wind.as_str());
        let mut places: Vec<String> = Vec::new();
        for place in in_order.filter(|place| counted.get(place).is_some_and(|count| count * 2 > cells.len())) {
            if !places.iter().any(|other| other == place) {
                places.push(place.to_owned());
            }
        }
        let more = cells.iter().map(|cell| cell.more).min().unwrap_or_default();
        let otherwise = cells.iter().find_map(|cell| sheet::unsailed_word(cell));
        Sailed { places, more, otherwise }
    }

    /// What stands beneath a figure: nothing where the row of all controls tells it.
    fn told<'a>(&self, setting: &'a Setting) -> Told<'a> {
        let is_here = |row: &KnownRow| row.ground == Ground::Sailed && self.places.contains(&row.wind);
        let here = setting.rows.iter().filter(|row| is_here(row)).count();
        if here < self.places.len() || self.places.is_empty() && !setting.rows.is_empty() {
            return (setting, sheet::beneath_words(setting));
        }
        let rows = setting.rows.iter().filter(|row| !is_here(row)).cloned().collect();
        let rest = Setting { rows, more: setting.more.saturating_sub(self.more), ..setting.clone() };
        (setting, rest.beneath())
    }

    /// `21 kn 50°`, or the word for what was not sailed.
    fn lines(&self, unit: &str) -> Vec<String> {
        let places = self.places.iter().map(|place| place.replacen(", ", &format!(" {unit} "), 1));
        let more = more_words(self.more).filter(|_| !self.places.is_empty());
        let otherwise = self.otherwise.filter(|_| self.places.is_empty()).map(str::to_owned);
        places.chain(more).chain(otherwise).collect()
    }
}

/// What the signs and lines in use mean.
fn legend(card: &AngledSettings) -> Vec<String> {
    let of_angle = || card.blocks.iter().flat_map(|block| &block.angles);
    let cells = of_angle().flat_map(|of| of.cells.iter().map(Option::as_ref));
    let mut words: Vec<String> = higher_words(&card.controls).into_iter().collect();
    if cells.clone().flatten().any(|cell| !cell.rows.is_empty() || !cell.not_used.is_empty()) {
        words.push(
            "large: to set, by the curves · SAILED AT: known there of all that says nothing else beneath".to_owned(),
        );
    }
    let targets = of_angle().filter(|_| !card.targets.is_empty()).map(|of| targets_of(card, of));
    let targets: Vec<String> = targets.collect();
    words.extend(sheet::legend(cells, targets.iter().map(String::as_str), &card.adjustments));
    words.extend(card.below.as_ref().map(|who| below_legend(who)));
    if card.below.is_some() && of_angle().any(|of| of.below.is_none()) {
        words.push("below: reckoned upwind alone".to_owned());
    }
    words.extend(card.below_says.clone());
    words
}

/// What higher numbers do, once for all blocks: `higher: Backstay, Vang TIGHTER, Jib lead AFT`.
fn higher_words(controls: &[ColumnHead]) -> Option<String> {
    let mut told: Vec<(String, Vec<&str>)> = Vec::new();
    for (control, higher) in controls.iter().filter_map(|control| Some((control, control.higher_is.as_ref()?))) {
        let higher = higher.to_uppercase();
        match told.iter_mut().find(|(other, _)| *other == higher) {
            Some((_, names)) => names.push(&control.control),
            None => told.push((higher, vec![&control.control])),
        }
    }
    let higher: Vec<String> = told.iter().map(|(higher, names)| format!("{} {higher}", names.join(", "))).collect();
    let higher = (!higher.is_empty()).then(|| format!("higher: {}", higher.join("; ")));
    let ends = controls
        .iter()
        .filter_map(|control| Some(format!("{}: {}", control.control, control.ends.as_ref()?.join(", "))));
    let words: Vec<String> = higher.into_iter().chain(ends).collect();
    (!words.is_empty()).then(|| words.join(" · "))
}
