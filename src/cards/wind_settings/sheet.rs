//! The looks of every settings card: the sail first, then blocks of controls down and winds or angles across, to find a number
//! in with a red lamp. Knows what is to be printed, not where it comes from.

use std::ops::Range;

use super::sharing::{MeasuredParts, Parts};
use super::ways::{LEVEL, ROOMY, SAVING, WAYS, Way};
use super::{AdjustedControl, AdjustmentRow, Cell as Setting, ColumnHead};
use crate::cards::parts::frame::{self, CHANGED_ABOARD, Surround, good_cap_mm, wanted_cap_mm};
use crate::cards::parts::label::Label;
use crate::cards::parts::sided::{NOT_USED_LEGEND, SIDES_LEGEND, UNKNOWN};
use crate::cards::parts::table::largest_of;
use crate::cards::parts::words::{LimitWords, WITHIN_MAKERS_LIMITS, boxed_limits, ground_legend, ground_sign, reasons};
use crate::drawing::{Drawing, Weight};
use crate::size::NamedSize;
use crate::tuning::Ground;
use crate::wrong::Wrong;

/// No row and no column that can be read at all is narrower, millimetres: capitals of 2.6 mm with the white around them.
const LEAST_CELL_MM: f64 = 3.0;
/// Printed under a figure that no row of its band tells, by its ground.
const BETWEEN: &str = "between";
const BEYOND: &str = "beyond";
/// All that a settings card prints.
#[derive(Clone, Debug, Default)]
pub struct Sheet<'a> {
    /// The size asked for.
    pub size: Option<NamedSize>,
    /// The words around the blocks.
    pub surround: Surround,
    /// The title of the file.
    pub name: String,
    /// The rows of every block.
    pub controls: &'a [ColumnHead],
    /// Whether what a higher number does stands with each name; else it is told once, at the foot.
    pub tells_higher: bool,
    /// Each under the other.
    pub blocks: Vec<Block<'a>>,
}

/// Some columns with their heads, and under these a row for each control.
#[derive(Clone, Debug, Default)]
pub struct Block<'a> {
    /// What stands over the names of the controls: a range, or what the heads are.
    pub corner: Vec<(String, Weight)>,
    /// Over the columns: `5 to 8`.
    pub heads: Vec<String>,
    /// For the usual number below: who and what to do, and the winds in which each column is to be read.
    pub below: Option<([String; 2], Vec<String>)>,
    /// What to set, by control and then by column, each with what stands beneath it; `None` where nothing is recorded.
    pub settings: Vec<Vec<Option<Told<'a>>>>,
    /// Under the controls: a name and what it says in each column, in lines.
    pub rest: Vec<(String, Vec<Vec<String>>)>,
}

/// What to set, and the lines beneath it.
pub type Told<'a> = (&'a Setting, Vec<String>);

impl Sheet<'_> {
    /// Draws the card at the size asked for, or at the handiest that holds it.
    ///
    /// # Errors
    /// It does not fit in letters that can be read.
    pub fn draw(&self, label: &Label) -> Result<Drawing, Wrong> {
        let parts = Parts::of(self);
        let measured = MeasuredParts::of(&parts);
        frame::fitted(self.size.as_ref(), label, |size, least| {
            if !self.may_fit(size) {
                return None;
            }
            let largest = |ways: Range<usize>| {
                let ways = ways.filter(|way| self.can_be(WAYS[*way])).map(|way| measured.set(way));
                largest_of(ways, label, size, least)
            };
            // With room to spare the most readable way is best; without it, whatever gives the largest numbers.
            let plan = match least >= good_cap_mm() {
                true => largest(0..ROOMY).or_else(|| largest(ROOMY..LEVEL)).or_else(|| largest(LEVEL..WAYS.len())),
                false => largest(ROOMY..WAYS.len()),
            };
            plan.map(|plan| plan.draw(label))
        })
    }

    /// Whether it fits a size, in whatever way, in letters that are read without trouble.
    pub fn fits(&self, label: &Label, size: &NamedSize) -> bool {
        if !self.may_fit(size) {
            return false;
        }
        let parts = Parts::of(self);
        let measured = MeasuredParts::of(&parts);
        // What is folded takes least room; a name that is folded into more lines may take more.
        let mut ways = SAVING.into_iter().filter(|way| self.can_be(WAYS[*way]));
        ways.any(|way| measured.set(way).fits(label, size, wanted_cap_mm()))
    }

    /// Whether there is room for its rows and columns, standing or lying, be they as narrow as can be. Of a table without, no
    /// word is measured.
    fn may_fit(&self, size: &NamedSize) -> bool {
        let most = (size.size.width.max(size.size.height) / LEAST_CELL_MM) as usize;
        let columns = self.blocks.iter().map(|block| block.heads.len()).max().unwrap_or_default();
        self.blocks.len() * (1 + self.controls.len()) <= most && columns <= most
    }

    /// Heads and controls change places on a card of one block only.
    fn can_be(&self, way: Way) -> bool {
        !way.across || self.blocks.len() == 1
    }
}

/// Bold, but for a `to` in its middle or at one of its ends.
pub fn range_runs(text: &str) -> Vec<(String, Weight)> {
    const TO: &str = "to";
    let bold = |text: &str| (text.to_owned(), Weight::Bold);
    let to = || (TO.to_owned(), Weight::Regular);
    match (text.split_once(" to "), text.strip_suffix(" to"), text.strip_prefix("to ")) {
        (Some((first, last)), ..) => vec![bold(first), to(), bold(last)],
        (None, Some(first), _) => vec![bold(first), to()],
        (None, None, Some(last)) => vec![to(), bold(last)],
        (None, None, None) => vec![bold(text)],
    }
}

/// Everything that is known in a band, or the word for what is not.
pub fn beneath_words(setting: &Setting) -> Vec<String> {
    let unknown = unsailed_word(setting).filter(|_| setting.rows.is_empty());
    unknown.map(str::to_owned).into_iter().chain(setting.beneath()).collect()
}

/// The word for a figure that was not sailed in its band: where it was worked out.
pub fn unsailed_word(setting: &Setting) -> Option<&'static str> {
    match setting.ground {
        Some(Ground::Between) => Some(BETWEEN),
        Some(Ground::Outside) => Some(BEYOND),
        _ => None,
    }
}

/// What to move for a sea or a sky: its name and the moves.
fn adjustment_words(adjustment: &AdjustmentRow) -> (String, String) {
    let one = |control: &AdjustedControl| {
        let held = control.held.iter().map(|held| format!(" ({held})")).collect::<String>();
        format!("{} {}{held}", control.control, control.by_hand)
    };
    let moves = adjustment.moves.iter().map(one).collect::<Vec<String>>().join(" · ");
    // The unit of a wind that it is for is no word to shout.
    let name = match adjustment.name.split_once(", ") {
        Some((name, winds)) => format!("{}, {winds}", name.to_uppercase()),
        None => adjustment.name.to_uppercase(),
    };
    match &adjustment.sailed {
        None => (format!("± {name}"), moves),
        Some(card) if moves.is_empty() => (name, format!("sailed, on the card {card}")),
        Some(card) => (format!("± {name}"), format!("{moves}; the rest was sailed, on the card {card}")),
    }
}

/// Whether words tell the two sides of a control apart, or one of them: `2 P, 2½ S`, `● 2 P at 14`.
pub fn tells_sides(text: &str) -> bool {
    [" P, ", " P at ", " S at "].iter().any(|words| text.contains(words))
}

/// What stands around the blocks of a settings card.
#[derive(Clone, Copy, Debug)]
pub struct Around<'a> {
    pub sails: &'a [String],
    pub title: Option<&'a str>,
    /// As large as the sails, at the right.
    pub course: &'a str,
    pub part: Option<&'a str>,
    pub range: Option<&'a str>,
    pub adjustments: &'a [AdjustmentRow],
    pub narrowed: &'a [String],
    pub cautions: &'a [LimitWords],
    pub looks: &'a [String],
}

impl Around<'_> {
    /// The words around the blocks, with what the winds are and what a legend says.
    pub fn surround(self, winds: String, legend: Vec<String>) -> Surround {
        let part = self.part.map(|part| format!(" {part}")).unwrap_or_default();
        let range = self.range.map(|range| format!(" · sails for {range}")).unwrap_or_default();
        let limits = (!self.cautions.is_empty()).then(|| boxed_limits(self.cautions, WITHIN_MAKERS_LIMITS));
        let looks = (!self.looks.is_empty()).then(|| format!("Look: {}", self.looks.join(" · ")));
        let sail = |(index, sail): (usize, &String)| if index == 0 { sail.clone() } else { format!("+ {sail}") };
        let title = self.title.map(|title| format!("· {title}"));
        Surround {
            title: self.sails.iter().enumerate().map(sail).chain(title).collect(),
            at_right: self.course.to_owned(),
            kind: format!("SETTINGS{part}{range}"),
            subtitle: winds,
            named: self.adjustments.iter().map(adjustment_words).collect(),
            must: self.narrowed.iter().map(|words| format!("{words}.")).chain(limits).collect(),
            to_write: CHANGED_ABOARD.to_vec(),
            foot: looks.into_iter().chain([legend.join(" · ")]).chain(reasons(self.cautions)).collect(),
        }
    }
}

/// What a legend says of some cells and targets, and of the signs in use.
pub fn legend<'a>(
    cells: impl Iterator<Item = Option<&'a Setting>> + Clone,
    targets: impl Iterator<Item = &'a str> + Clone,
    adjustments: &[AdjustmentRow],
) -> Vec<String> {
    let told = || cells.clone().flatten();
    let used = |ground: &Ground| {
        let sign = ground_sign(*ground).unwrap_or("no sign");
        targets.clone().any(|target| target.starts_with(sign))
            || told().any(|cell| cell.grounds().any(|of| of == *ground))
    };
    let words = |ground: Ground| match ground {
        Ground::Between => "between: nothing sailed there, worked out".to_owned(),
        ground => ground_legend(ground).to_owned(),
    };
    let mut legend: Vec<String> = Ground::ALL.into_iter().filter(used).map(words).collect();
    let mut add = |is_used: bool, words: &str| legend.extend(is_used.then(|| words.to_owned()));
    add(told().any(Setting::tells_sides), SIDES_LEGEND);
    add(told().any(Setting::tells_not_used), NOT_USED_LEGEND);
    let is_unknown = cells.clone().any(|cell| cell.is_none_or(Setting::tells_unknown));
    add(is_unknown || targets.clone().any(|target| target == UNKNOWN), &format!("{UNKNOWN} not recorded"));
    let is_moved = adjustments.iter().any(|adjustment| !adjustment.moves.is_empty());
    add(is_moved, "± adjusted from the table, not sailed; a limit stands");
    legend
}
