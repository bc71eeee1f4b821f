//! The looks of a wind-settings card: the sail first, then a table to find a number in with a red lamp.

use crate::wrong::Wrong;

use super::{AdjustedControl, AdjustmentRow, BandRow, Cell as Setting, ColumnHead, WindSettings};
use crate::cards::parts::frame::{self, HEAVY_RULE, Surround, good_cap_mm};
use crate::cards::parts::label::Label;
use crate::cards::parts::sided::{NOT_USED, NOT_USED_LEGEND, SIDES_LEGEND, UNKNOWN};
use crate::cards::parts::table::{
    Breaks, Cell, Column, Head, HeadGap, Letters, Look, MeasuredCard, Paragraph, Row, RowHeights, Ruled, largest_of,
};
use crate::cards::parts::words::{WITHIN_MAKERS_LIMITS, boxed_limits, ground_legend, ground_sign, grounded, reasons};
use crate::drawing::{Drawing, Weight};
use crate::tuning::{Ground, Side};

/// The numbers of the table are as large as fits, up to this capital height, millimetres.
const CELL_CAP_MOST: f64 = 7.0;
/// Rows are no higher than this, in capital heights.
const ROW_MOST: f64 = 6.0;
/// Rows that are no higher than they need be are spread by this at most, in capital heights a row.
const AIR_MOST: f64 = 2.0;
/// Between the heads and the rule under them, in capital heights.
const HEAD_GAP: f64 = 0.5;
/// Between two columns, and half of it at either edge, in capital heights.
const COLUMN_GAP: f64 = 0.72;

/// Numbers to find rather than words to read: all rows are alike.
const LOOK: Look = Look {
    most_mm: CELL_CAP_MOST,
    gap: COLUMN_GAP,
    outer_gaps: true,
    under_heads: HeadGap::OfRows(HEAD_GAP),
    rows: RowHeights::Alike { most: ROW_MOST },
    head_rule: Some(HEAVY_RULE),
    foot_rule: Some(HEAVY_RULE),
    ..Look::WORDS
};

/// How the table saves width, the most readable first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Way {
    /// Column heads are read from below.
    turned_heads: bool,
    /// A range stands on two lines: `4 to`, `5½`.
    folded_cells: bool,
    /// Each row is only as high as it needs, and small print may go on in a next line: `● 4`, `at 14`. Else all are alike,
    /// which is quicker to find one's way in.
    tight: bool,
}

const WAYS: [Way; 5] = [
    Way { turned_heads: false, folded_cells: false, tight: false },
    Way { turned_heads: false, folded_cells: true, tight: false },
    Way { turned_heads: true, folded_cells: false, tight: false },
    Way { turned_heads: true, folded_cells: true, tight: false },
    Way { turned_heads: true, folded_cells: true, tight: true },
];

/// Draws the card at the size asked for, or at the handiest that holds it.
pub fn wind_settings(card: &WindSettings, label: &Label) -> Result<Drawing, Wrong> {
    let tables = WAYS.map(|way| way.table(card));
    let measured: Vec<MeasuredCard> = tables.iter().map(Ruled::measured).collect();
    frame::fitted(card.size.as_ref(), label, |size, least| {
        // With room to spare the most readable way is best; without it, whatever gives the largest numbers.
        let plan = match least >= good_cap_mm() {
            true => measured.iter().find_map(|table| table.largest(label, size, least)),
            false => largest_of(&measured, label, size, least),
        };
        plan.map(|plan| plan.draw(label))
    })
}

impl Way {
    /// Wind, controls, targets, wind.
    fn table(self, card: &WindSettings) -> Ruled {
        let wind = || {
            let lines = [("WIND", Weight::Bold), (card.wind_unit.as_str(), Weight::Regular)];
            let lines = lines.map(|(text, weight)| Paragraph::whole(text, weight));
            Head { paragraphs: Vec::from(lines), turned: false }
        };
        let controls = card.columns.iter().map(|head| column(self.control(head)));
        let targets = card.targets.iter().map(|name| column(self.target(name)));
        let winds = || std::iter::once(column(wind()));
        let columns = winds().chain(ruled_off(controls)).chain(ruled_off(targets)).chain(ruled_off(winds()));
        Ruled {
            size: card.size.clone(),
            surround: surround(card),
            name: format!("{}: {}", card.boat, card.title()),
            description: format!("Settings by wind, {} controls", card.columns.len()),
            columns: columns.collect(),
            rows: card.rows.iter().map(|row| Row::of(self.cells(row))).collect(),
            look: self.look(),
            ..Ruled::default()
        }
    }

    fn look(self) -> Look {
        let rows = if self.tight { RowHeights::AsNeeded { air_most: AIR_MOST } } else { LOOK.rows };
        Look { rows, ..LOOK }
    }

    fn control(self, head: &ColumnHead) -> Head {
        let mut paragraphs = self.broken(&head.control, Weight::Bold);
        if let Some(higher) = &head.higher_is {
            paragraphs.push(small("higher is", Letters::Small));
            paragraphs.extend(self.broken(&higher.to_uppercase(), Weight::Regular));
        }
        paragraphs.extend(head.ends.iter().flatten().map(|end| small(end, Letters::Small)));
        Head { paragraphs, turned: self.turned_heads }
    }

    fn target(self, name: &str) -> Head {
        let mut paragraphs = vec![small("target", Letters::Small)];
        paragraphs.extend(self.broken(name, Weight::Regular));
        Head { paragraphs, turned: self.turned_heads }
    }

    /// Level heads break between words; turned ones run on.
    fn broken(self, text: &str, weight: Weight) -> Vec<Paragraph> {
        if self.turned_heads {
            vec![Paragraph::whole(text, weight)]
        } else {
            text.split_whitespace().map(|word| Paragraph::whole(word, weight)).collect()
        }
    }

    fn cells(self, row: &BandRow) -> Vec<Cell> {
        let wind = || Cell::from(Paragraph::whole(format!("{} to {}", row.low, row.high), Weight::Bold));
        let settings = row.cells.iter().map(|cell| match cell {
            Some(setting) => setting_cell(setting, |text| self.pieces(text), |words| self.beneath(words)),
            None => Cell::plain(UNKNOWN),
        });
        let targets = row.targets.iter().map(|text| Cell::from(Paragraph::whole(text, Weight::Regular)));
        std::iter::once(wind()).chain(settings).chain(targets).chain(std::iter::once(wind())).collect()
    }
}

/// What to set, large, with its sign before it; beneath it, small, what is known. Both come in pieces that may stand one under
/// the other.
pub fn setting_cell(
    setting: &Setting,
    pieces: impl Fn(&str) -> Vec<String>,
    beneath: impl Fn(&str) -> Vec<String>,
) -> Cell {
    let text = setting.ground.map_or_else(|| setting.text.clone(), |ground| grounded(&setting.text, ground));
    let runs = pieces(&text).into_iter().map(|piece| (piece, Weight::Bold)).collect();
    let figure = Paragraph { runs, breaks: Breaks::Runs, ..Paragraph::default() };
    let beneath = setting.beneath().into_iter().map(|words| Paragraph {
        runs: beneath(&words).into_iter().map(|piece| (piece, Weight::Regular)).collect(),
        letters: Letters::Beneath,
        breaks: Breaks::Runs,
        ..Paragraph::default()
    });
    Cell {
        paragraphs: std::iter::once(figure).chain(beneath).collect(),
        sign: setting.ground.and_then(ground_sign).map(str::to_owned),
        ..Cell::default()
    }
}

impl Way {
    /// The pieces that the words of a cell may stand in, one under the other.
    fn pieces(self, text: &str) -> Vec<String> {
        match (self.folded_cells, self.tight) {
            (_, true) => by_words(text),
            (true, false) => folded(text),
            (false, false) => vec![text.to_owned()],
        }
    }

    /// Small print under a figure; only a tight card breaks it.
    fn beneath(self, words: &str) -> Vec<String> {
        if self.tight { by_words(words) } else { vec![words.to_owned()] }
    }
}

/// What is known, and on a line of its own where it was.
pub fn places(words: &str, folds: bool) -> Vec<String> {
    match words.rsplit_once(" at ").filter(|_| folds) {
        Some((mark, place)) => vec![mark.to_owned(), format!("at {place}")],
        None => vec![words.to_owned()],
    }
}

/// What to move for a sea or a sky.
pub fn adjustment_words(adjustment: &AdjustmentRow) -> String {
    let one = |control: &AdjustedControl| {
        let held = control.held.iter().map(|held| format!(" ({held})")).collect::<String>();
        format!("{} {}{held}", control.control, control.by_hand)
    };
    let moves: Vec<String> = adjustment.moves.iter().map(one).collect();
    match &adjustment.sailed {
        None => format!("± {}: {}", adjustment.name, moves.join(" · ")),
        Some(card) if moves.is_empty() => format!("{}: sailed, on the card {card}", adjustment.name),
        Some(card) => format!("± {}: {}; the rest was sailed, on the card {card}", adjustment.name, moves.join(" · ")),
    }
}

/// Whether words tell the two sides of a control apart, or one of them: `2 P, 2½ S`, `● 2 P at 14`.
pub(super) fn tells_sides(text: &str) -> bool {
    [" P, ", " P at ", " S at "].iter().any(|words| text.contains(words))
}

/// Words one by one, but for those that would be misread alone: a sign stays with the word after it, `at` with its wind,
/// `to` with the mark before it.
fn by_words(text: &str) -> Vec<String> {
    let signs = Ground::ALL.map(ground_sign);
    let sides = Side::BOTH.map(Side::letter);
    let is_sign = |piece: &str| signs.contains(&Some(piece)) || [NOT_USED, UNKNOWN].contains(&piece);
    let is_side = |word: &str| tells_sides(text) && sides.contains(&word.trim_end_matches([',', ')']));
    let mut pieces: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match pieces.last_mut() {
            Some(last) if word == "to" || is_side(word) || last == "at" || is_sign(last) => {
                last.push(' ');
                last.push_str(word);
            }
            _ => pieces.push(word.to_owned()),
        }
    }
    pieces
}

/// The room that is left over is shared out evenly, so that the table fills the card.
fn column(head: Head) -> Column {
    Column { centred: true, ..Column::wide(head, 1.0) }
}

/// Columns that belong together, parted from those before them.
fn ruled_off(columns: impl Iterator<Item = Column>) -> impl Iterator<Item = Column> {
    columns.enumerate().map(|(index, column)| Column { ruled_off: index == 0, ..column })
}

fn small(text: &str, letters: Letters) -> Paragraph {
    Paragraph { letters, ..Paragraph::whole(text, Weight::Regular) }
}

/// The two lines that a value may stand on: a side each, `2 P,`, `2½ S`; of a range, its `to` stands on the shorter of them.
pub fn folded(text: &str) -> Vec<String> {
    if let Some((port, starboard)) = text.split_once(" P, ").filter(|_| tells_sides(text)) {
        return vec![format!("{port} P,"), starboard.to_owned()];
    }
    match (text.split_once(" to "), text.split_once(' ')) {
        (Some((first, last)), _) if first.chars().count() > last.chars().count() + " to ".len() => {
            vec![first.to_owned(), format!("to {last}")]
        }
        (Some((first, last)), _) => vec![format!("{first} to"), last.to_owned()],
        (None, Some((first, rest))) => vec![first.to_owned(), rest.to_owned()],
        (None, None) => vec![text.to_owned()],
    }
}

/// The words around the table.
fn surround(card: &WindSettings) -> Surround {
    let range = card.range.as_ref().map(|range| format!(" · sails for {range}")).unwrap_or_default();
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
        at_right: card.point_of_sail.to_uppercase(),
        kind: format!("SETTINGS{range}"),
        subtitle: card.wind.clone(),
        must,
        foot: foot.collect(),
        ..Surround::default()
    }
}

/// One line that explains the signs in use.
fn legend_words(card: &WindSettings) -> String {
    let cells = || card.rows.iter().flat_map(|row| row.cells.iter().flatten());
    let used = |ground: &Ground| {
        let sign = ground_sign(*ground).unwrap_or("no sign");
        let of_a_target = card.rows.iter().flat_map(|row| &row.targets).any(|target| target.starts_with(sign));
        of_a_target || cells().any(|cell| cell.grounds().any(|of| of == *ground))
    };
    let mut words: Vec<&str> = Vec::new();
    if cells().any(|cell| !cell.rows.is_empty() || !cell.not_used.is_empty()) {
        words.extend(["large: to set, by the curve", "small: known at that wind"]);
    }
    words.extend(Ground::ALL.into_iter().filter(used).map(ground_legend));
    if cells().any(Setting::tells_sides) {
        words.push(SIDES_LEGEND);
    }
    if cells().any(Setting::tells_not_used) {
        words.push(NOT_USED_LEGEND);
    }
    if card.rows.iter().any(|row| row.cells.iter().any(Option::is_none)) || cells().any(Setting::tells_unknown) {
        words.push("? not recorded");
    }
    if card.adjustments.iter().any(|adjustment| !adjustment.moves.is_empty()) {
        words.push("± adjusted from the table, not sailed; a limit stands");
    }
    words.join(" · ")
}
