//! The looks of a card of settings by wind and angle: blocks of one with the other across, both as large as the figures.

use std::cell::LazyCell;

use super::by_angle::AngledSettings;
use super::layout::{adjustment_words, folded, places, setting_cell};
use super::{Cell as Setting, ColumnHead};
use crate::cards::parts::frame::{self, HEAVY_RULE, Surround, good_cap_mm};
use crate::cards::parts::label::Label;
use crate::cards::parts::sided::{NOT_USED_LEGEND, SIDES_LEGEND, UNKNOWN};
use crate::cards::parts::table::{
    Breaks, Cell, Column, Letters, Look, MeasuredCard, Paragraph, Row, RowHeights, Ruled, Under, largest_of,
};
use crate::cards::parts::words::{WITHIN_MAKERS_LIMITS, boxed_limits, ground_legend, ground_sign, reasons};
use crate::drawing::{Drawing, Weight};
use crate::size::NamedSize;
use crate::tuning::Ground;
use crate::wrong::Wrong;

/// The figures are as large as fits, up to this capital height, millimetres.
const CELL_CAP_MOST: f64 = 6.0;
/// Between two columns, and half of it at either edge, in capital heights.
const COLUMN_GAP: f64 = 0.72;
/// Rows spread over the card up to this much air, in capital heights a row.
const AIR_MOST: f64 = 1.0;

const LOOK: Look = Look {
    most_mm: CELL_CAP_MOST,
    gap: COLUMN_GAP,
    outer_gaps: false,
    rows: RowHeights::AsNeeded { air_most: AIR_MOST },
    top_rule: Some(HEAVY_RULE),
    head_rule: None,
    foot_rule: Some(HEAVY_RULE),
    ..Look::WORDS
};

/// How the table is laid out.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Way {
    /// Blocks are bands of angle, with the winds across; else the other way round.
    angles_in_blocks: bool,
    /// A range stands on two lines, and so does a long name.
    folded: bool,
}

const WAYS: [Way; 4] = [
    Way { angles_in_blocks: false, folded: false },
    Way { angles_in_blocks: true, folded: false },
    Way { angles_in_blocks: false, folded: true },
    Way { angles_in_blocks: true, folded: true },
];

/// Draws the card at the size asked for, or at the handiest that holds it, in the way that gives the largest figures; of two
/// alike the first.
pub fn angled_settings(card: &AngledSettings, label: &Label) -> Result<Drawing, Wrong> {
    let tables = WAYS.map(|way| way.table(card));
    // Where there is room nobody asks for the folded ones.
    let measured = tables.each_ref().map(|table| LazyCell::new(|| table.measured()));
    frame::fitted(card.size.as_ref(), label, |size, least| {
        let (level, folded) = measured.split_at(WAYS.len() / 2);
        let largest = |ways| largest_of(forced(ways), label, size, least);
        let plan = match least >= good_cap_mm() {
            // With room to spare the most readable way is best: nothing folded.
            true => largest(level).or_else(|| largest(folded)),
            false => largest(&measured),
        };
        plan.map(|plan| plan.draw(label))
    })
}

/// Tables with their words measured, those that have not been when they are come to.
fn forced<'a, 'b, F: FnOnce() -> MeasuredCard<'b>>(
    ways: &'a [LazyCell<MeasuredCard<'b>, F>],
) -> impl Iterator<Item = &'a MeasuredCard<'b>> {
    ways.iter().map(LazyCell::force)
}

/// Whether a card fits a size in letters that can be read, in whatever way.
pub fn fits(card: &AngledSettings, label: &Label, size: &NamedSize) -> bool {
    // What is folded takes least room; a name that is folded into more lines may take more.
    WAYS.iter().rev().any(|way| way.table(card).measured().fits(label, size, frame::least_cap_mm()))
}

impl Way {
    fn table(self, card: &AngledSettings) -> Ruled {
        let across = match self.angles_in_blocks {
            false => card.blocks.first().map_or(0, |block| block.angles.len()),
            true => card.blocks.len(),
        };
        let names = Column { wraps: self.folded, ..Column::default() };
        let figures = (0..across).map(|_| Column {
            centred: true,
            ruled_off: true,
            share: 1.0,
            wraps: true,
            ..Column::default()
        });
        Ruled {
            size: card.size.clone(),
            surround: surround(card),
            name: format!("{}: {}", card.boat, card.title()),
            description: format!("Settings by wind and angle, {} controls", card.controls.len()),
            columns: std::iter::once(names).chain(figures).collect(),
            rows: self.rows(card),
            look: LOOK,
            ..Ruled::default()
        }
    }

    fn rows(self, card: &AngledSettings) -> Vec<Row> {
        let winds: Vec<&str> = card.blocks.iter().map(|block| block.winds.as_str()).collect();
        let angles: Vec<&str> =
            card.blocks.first().into_iter().flat_map(|block| &block.angles).map(|of| of.angles.as_str()).collect();
        let wind = |index: usize| of_wind(winds.get(index).copied().unwrap_or_default(), &card.wind_unit);
        let angle = |index: usize| Paragraph::whole(angles.get(index).copied().unwrap_or_default(), Weight::Bold);
        let (blocks, across) =
            if self.angles_in_blocks { (angles.len(), winds.len()) } else { (winds.len(), angles.len()) };
        let cells = |block: usize, column: usize| {
            let (wind, angle) = if self.angles_in_blocks { (column, block) } else { (block, column) };
            card.blocks.get(wind).and_then(|block| block.angles.get(angle))
        };
        let mut rows = Vec::new();
        for block in 0..blocks {
            let heads = (0..across).map(|column| if self.angles_in_blocks { wind(column) } else { angle(column) });
            let head = if self.angles_in_blocks { angle(block) } else { wind(block) };
            let heads = std::iter::once(head).chain(heads).map(Cell::from).collect();
            rows.push(Row::Cells(heads, Under::HeavyLine));
            for (position, control) in card.controls.iter().enumerate() {
                let figures = (0..across).map(|column| {
                    let setting = cells(block, column).and_then(|of| of.cells.get(position)?.as_ref());
                    setting.map_or_else(|| Cell::plain(UNKNOWN), |setting| self.setting(setting))
                });
                rows.push(Row::of(std::iter::once(self.name(control)).chain(figures)));
            }
            let given = |position: &usize| {
                let mut of_block = (0..across).filter_map(|column| cells(block, column)?.targets.get(*position));
                of_block.any(|target| !target.is_empty())
            };
            for (position, target) in card.targets.iter().enumerate().filter(|(position, _)| given(position)) {
                let figures = (0..across).map(|column| {
                    let text =
                        cells(block, column).and_then(|of| of.targets.get(position)).cloned().unwrap_or_default();
                    Cell::from(Paragraph::whole(text, Weight::Regular))
                });
                let name = Cell::from(Paragraph::whole(format!("Target {target}"), Weight::Regular));
                rows.push(Row::of(std::iter::once(name).chain(figures)));
            }
            if let (true, Some(Row::Cells(_, under))) = (block + 1 < blocks, rows.last_mut()) {
                *under = Under::HeavyLine;
            }
        }
        rows
    }

    fn setting(self, setting: &Setting) -> Cell {
        let pieces = |text: &str| if self.folded { folded(text) } else { vec![text.to_owned()] };
        setting_cell(setting, pieces, |words| places(words, self.folded))
    }

    /// A control's name and what its higher numbers do.
    fn name(self, control: &ColumnHead) -> Cell {
        let name = match self.folded {
            true => Paragraph::of(&control.control, Weight::Bold),
            false => Paragraph::whole(&control.control, Weight::Bold),
        };
        let small = |text: String| Paragraph { letters: Letters::Beneath, ..Paragraph::whole(text, Weight::Regular) };
        let higher = control.higher_is.iter().map(|higher| small(format!("higher is {}", higher.to_uppercase())));
        let ends = control.ends.iter().map(|[one, other]| small(format!("{one}, {other}")));
        Cell { paragraphs: std::iter::once(name).chain(higher).chain(ends).collect(), ..Cell::default() }
    }
}

/// `8 to 12 kn`, the unit lighter.
fn of_wind(winds: &str, unit: &str) -> Paragraph {
    let runs = vec![(winds.to_owned(), Weight::Bold), (unit.to_owned(), Weight::Regular)];
    Paragraph { runs, breaks: Breaks::Runs, ..Paragraph::default() }
}

/// The words around the table.
fn surround(card: &AngledSettings) -> Surround {
    let range = card.range.as_ref().map(|range| format!(" · sails for {range}")).unwrap_or_default();
    let part = card.part.as_ref().map(|part| format!(" · part {part}")).unwrap_or_default();
    let mut must: Vec<String> = card.adjustments.iter().map(adjustment_words).collect();
    must.extend(card.narrowed.iter().map(|words| format!("{words}.")));
    must.extend((!card.cautions.is_empty()).then(|| boxed_limits(&card.cautions, WITHIN_MAKERS_LIMITS)));
    let looks = (!card.looks.is_empty()).then(|| format!("Look: {}", card.looks.join(" · ")));
    let foot = looks.into_iter().chain([legend_words(card)]).chain(reasons(&card.cautions));
    let sails = card.sails.iter().enumerate();
    Surround {
        title: sails
            .map(|(index, sail)| if index == 0 { sail.clone() } else { format!("+ {sail}") })
            .chain(card.title.iter().map(|title| format!("· {title}")))
            .collect(),
        at_right: card.course.clone(),
        kind: format!("SETTINGS{part}{range}"),
        subtitle: format!("By {}, and true wind angle", card.wind),
        must,
        foot: foot.collect(),
        ..Surround::default()
    }
}

/// One line that explains the signs in use.
fn legend_words(card: &AngledSettings) -> String {
    let of_angle = || card.blocks.iter().flat_map(|block| &block.angles);
    let cells = || of_angle().flat_map(|of| of.cells.iter().flatten());
    let used = |ground: &Ground| {
        let sign = ground_sign(*ground).unwrap_or("no sign");
        let of_a_target = of_angle().flat_map(|of| &of.targets).any(|target| target.starts_with(sign));
        of_a_target || cells().any(|cell: &Setting| cell.grounds().any(|of| of == *ground))
    };
    let mut words: Vec<&str> = Vec::new();
    if cells().any(|cell| !cell.rows.is_empty() || !cell.not_used.is_empty()) {
        words.extend(["large: what to set, by the curves", "small: what they pass through, at that wind and angle"]);
    }
    words.extend(Ground::ALL.into_iter().filter(used).map(ground_legend));
    if cells().any(Setting::tells_sides) {
        words.push(SIDES_LEGEND);
    }
    if cells().any(Setting::tells_not_used) {
        words.push(NOT_USED_LEGEND);
    }
    if of_angle().any(|of| of.cells.iter().any(Option::is_none)) || cells().any(Setting::tells_unknown) {
        words.push("? not recorded");
    }
    if card.adjustments.iter().any(|adjustment| !adjustment.moves.is_empty()) {
        words.push("± adjusted from the table, not sailed; a limit stands");
    }
    words.join(" · ")
}
