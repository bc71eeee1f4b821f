//! The looks of every settings card: the sail first, then blocks of controls down and winds or angles across, to find a number
//! in with a red lamp. Knows what is to be printed, not where it comes from.

use std::cell::LazyCell;
use std::ops::Range;
use std::rc::Rc;

use super::{AdjustedControl, AdjustmentRow, Cell as Setting, ColumnHead};
use crate::cards::parts::frame::{
    self, CHANGED_ABOARD, HEAVY_RULE, MUST_CAP, Surround, Title, good_cap_mm, wanted_cap_mm,
};
use crate::cards::parts::label::Label;
use crate::cards::parts::sided::{NOT_USED, NOT_USED_LEGEND, SIDES_LEGEND, UNKNOWN};
use crate::cards::parts::table::{
    Breaks, Cell, Column, Letters, Look, Paragraph, Row, RowHeights, Ruled, Under, largest_of,
};
use crate::cards::parts::words::{
    LimitWords, WITHIN_MAKERS_LIMITS, boxed_limits, ground_legend, ground_sign, grounded, reasons,
};
use crate::drawing::{Drawing, Weight};
use crate::size::NamedSize;
use crate::tuning::{Ground, Side};
use crate::wrong::Wrong;

/// No row and no column that can be read at all is narrower, millimetres: capitals of 2.6 mm with the white around them.
const LEAST_CELL_MM: f64 = 3.0;
/// The numbers of the table are as large as fits, up to this capital height, millimetres.
const CELL_CAP_MOST: f64 = 6.8;
/// Between the bold ends of a range stands a regular `to` of this part of their height.
const TO_SHARE: f64 = 0.74;
/// Rows are spread by this at most, in capital heights a row.
const AIR_MOST: f64 = 0.9;
/// Above and below the words of a row together, in capital heights.
const ROW_PADDING: f64 = 0.55;
/// Between two columns in capital heights.
const COLUMN_GAP: f64 = 0.72;
/// Printed under a figure that no row of its band tells, by its ground.
const BETWEEN: &str = "between";
const BEYOND: &str = "beyond";
const LOOK: Look = Look {
    most_mm: CELL_CAP_MOST,
    title: Title::Modest,
    gap: COLUMN_GAP,
    even: true,
    row_padding: ROW_PADDING,
    rows: RowHeights::AsNeeded { air_most: AIR_MOST },
    top_rule: Some(HEAVY_RULE),
    head_rule: None,
    foot_rule: Some(HEAVY_RULE),
    ..Look::WORDS
};

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

/// How a sheet saves room, the most readable first.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
struct Way {
    /// The heads stand at the left and the controls across.
    across: bool,
    /// What is known stands as large as what must be read.
    roomy: bool,
    /// The `to` of a range is smaller than its ends.
    small_to: bool,
    /// What stands beside the names' column of figures may go on in a next line: for whom below, ends of a scale.
    folded_below: bool,
    /// Names may go on in a next line.
    folded_names: bool,
    /// A range may stand on two lines: `4 to`, `5½`.
    folded: bool,
    /// Small print may go on in a next line too: `● 4`, `at 14`.
    tight: bool,
}

const DOWN: Way = Way {
    across: false,
    roomy: false,
    small_to: false,
    folded_below: false,
    folded_names: false,
    folded: false,
    tight: false,
};
const FOLDED: Way = Way { folded_below: true, folded_names: true, folded: true, ..DOWN };
const WAYS: [Way; 12] = [
    Way { roomy: true, small_to: true, ..DOWN },
    Way { roomy: true, small_to: true, folded_below: true, ..DOWN },
    Way { small_to: true, ..DOWN },
    Way { small_to: true, folded_below: true, ..DOWN },
    Way { small_to: true, folded_below: true, folded_names: true, across: true, ..DOWN },
    DOWN,
    Way { folded_below: true, ..DOWN },
    Way { folded_below: true, folded_names: true, ..DOWN },
    Way { folded_below: true, folded_names: true, across: true, ..DOWN },
    FOLDED,
    Way { across: true, ..FOLDED },
    Way { across: true, tight: true, ..FOLDED },
];
/// So many of them have small print that is read without bending down, and so many nothing that is folded.
const ROOMY: usize = 2;
const LEVEL: usize = 9;
/// Those that save most room: of all others something is larger.
const SAVING: [usize; 7] = [5, 6, 7, 8, 9, 10, 11];

impl Sheet<'_> {
    /// Draws the card at the size asked for, or at the handiest that holds it.
    ///
    /// # Errors
    /// It does not fit in letters that can be read.
    pub fn draw(&self, label: &Label) -> Result<Drawing, Wrong> {
        // Nobody asks for a way to save room where there is room.
        let tables = WAYS.map(|way| LazyCell::new(move || way.table(self)));
        let small = Rc::default();
        let measured = tables.each_ref().map(|table| LazyCell::new(|| table.measured_with(&small)));
        frame::fitted(self.size.as_ref(), label, |size, least| {
            if !self.may_fit(size) {
                return None;
            }
            let largest = |ways: Range<usize>| {
                let ways = ways.filter(|way| self.can_be(WAYS[*way])).map(|way| &*measured[way]);
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
        // What is folded takes least room; a name that is folded into more lines may take more.
        let ways = SAVING.into_iter().map(|way| WAYS[way]).filter(|way| self.can_be(*way));
        ways.map(|way| way.table(self)).any(|table| table.measured().fits(label, size, wanted_cap_mm()))
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

impl Way {
    fn table(self, sheet: &Sheet) -> Ruled {
        let mut rows: Vec<(Vec<Cell>, Under)> = Vec::new();
        for (index, block) in sheet.blocks.iter().enumerate() {
            let is_last = index + 1 == sheet.blocks.len();
            rows.extend(self.block(sheet, block));
            if let (false, Some((_, under))) = (is_last, rows.last_mut()) {
                *under = Under::HeavyLine;
            }
        }
        let rows = if self.across { turned(rows) } else { rows };
        let across = rows.first().map_or(0, |(cells, _)| cells.len().saturating_sub(1));
        let names = Column { wraps: self.folded_below, ..Column::default() };
        let figures = (0..across).map(|_| Column {
            ruled_off: true,
            share: 1.0,
            wraps: self.folded || self.across && self.folded_names,
            ..Column::default()
        });
        Ruled {
            size: sheet.size.clone(),
            surround: sheet.surround.clone(),
            name: sheet.name.clone(),
            description: format!("Settings by wind, {} controls", sheet.controls.len()),
            columns: std::iter::once(names).chain(figures).collect(),
            rows: rows.into_iter().map(|(cells, under)| Row::Cells(cells, under)).collect(),
            look: self.look(),
            ..Ruled::default()
        }
    }

    fn look(self) -> Look {
        Look {
            least_mm: if self.small_to { MUST_CAP / TO_SHARE } else { 0.0 },
            small_mm: if self.roomy { MUST_CAP } else { 0.0 },
            ..LOOK
        }
    }

    /// The rows of a block, each with what parts it from the next.
    fn block(self, sheet: &Sheet, block: &Block) -> Vec<(Vec<Cell>, Under)> {
        let regular_share = self.small_to.then_some(TO_SHARE);
        let whole = |runs| Paragraph { runs, breaks: Breaks::Never, regular_share, ..Paragraph::default() };
        let head = |text: &String| Cell::from(whole(range_runs(text)));
        let corner = if self.folded_below { Breaks::Runs } else { Breaks::Never };
        let corner = Paragraph { breaks: corner, ..whole(block.corner.clone()) };
        let heads = std::iter::once(Cell::from(corner)).chain(block.heads.iter().map(head)).collect();
        let mut rows = vec![(heads, Under::HeavyLine)];
        if let Some(([who, to_do], winds)) = &block.below {
            let name = [(format!("{who}:"), Weight::Bold), (to_do.clone(), Weight::Regular)];
            let breaks = if self.folded_below { Breaks::Words } else { Breaks::Never };
            let name = name.map(|(text, weight)| Paragraph { breaks, ..must(&text, weight) });
            let name = Cell { paragraphs: name.to_vec(), ..Cell::default() };
            let winds = winds.iter().map(|winds| Cell::from(must(winds, Weight::Bold)));
            if let Some((_, under)) = rows.last_mut() {
                *under = Under::Nothing;
            }
            rows.push((std::iter::once(name).chain(winds).collect(), Under::HeavyLine));
        }
        for (control, settings) in sheet.controls.iter().zip(&block.settings) {
            let figures = settings.iter().map(|setting| match setting {
                Some(told) => self.setting(control, told),
                None => Cell::plain(UNKNOWN),
            });
            rows.push((std::iter::once(self.name(control, sheet.tells_higher)).chain(figures).collect(), Under::Line));
        }
        for (name, says) in &block.rest {
            let lines = |lines: &Vec<String>| Cell {
                paragraphs: lines.iter().map(|line| must(line, Weight::Regular)).collect(),
                ..Cell::default()
            };
            let name = Cell::from(Paragraph { breaks: self.breaks(), ..must(name, Weight::Bold) });
            rows.push((std::iter::once(name).chain(says.iter().map(lines)).collect(), Under::Line));
        }
        rows
    }

    /// A control's name with its unit, and what its higher numbers do.
    fn name(self, control: &ColumnHead, tells_higher: bool) -> Cell {
        let unit = control.unit.iter().map(|unit| (unit.clone(), Weight::Regular));
        let name = std::iter::once((control.control.clone(), Weight::Bold)).chain(unit).collect();
        let name = Paragraph { runs: name, breaks: self.breaks(), ..Paragraph::default() };
        let small = |runs: Vec<String>| Paragraph {
            runs: runs.into_iter().map(|text| (text, Weight::Regular)).collect(),
            letters: Letters::Beneath,
            breaks: Breaks::Runs,
            ..Paragraph::default()
        };
        let higher = control.higher_is.iter().filter(|_| tells_higher).map(|higher| {
            let words = ["higher:".to_owned(), higher.to_uppercase()];
            small(if self.folded_below { words.to_vec() } else { vec![words.join(" ")] })
        });
        let ends = control.ends.iter().filter(|_| tells_higher).map(|[one, other]| {
            let words = [format!("{one},"), other.clone()];
            small(if self.folded_below { words.to_vec() } else { vec![words.join(" ")] })
        });
        Cell { paragraphs: std::iter::once(name).chain(higher).chain(ends).collect(), ..Cell::default() }
    }

    fn breaks(self) -> Breaks {
        if self.folded_names { Breaks::Words } else { Breaks::Never }
    }

    /// What to set, large, with its sign before it; beneath it, small, what is known.
    fn setting(self, control: &ColumnHead, (setting, beneath): &Told) -> Cell {
        let text = without_unit(&setting.text, control.unit.as_deref());
        let text = setting.ground.map_or_else(|| text.clone(), |ground| grounded(&text, ground));
        let beneath = beneath.iter().map(|words| Paragraph {
            runs: self.small_pieces(words).into_iter().map(|piece| (piece, Weight::Regular)).collect(),
            letters: Letters::Beneath,
            breaks: Breaks::Runs,
            ..Paragraph::default()
        });
        Cell {
            paragraphs: std::iter::once(self.range(&text)).chain(beneath).collect(),
            sign: setting.ground.and_then(ground_sign).map(str::to_owned),
            ..Cell::default()
        }
    }

    /// Words whose ends are bold and the `to` between them is not.
    fn range(self, text: &str) -> Paragraph {
        let pieces = match (self.folded, self.tight) {
            (_, true) => by_words(text),
            (true, false) => folded(text),
            (false, false) => vec![text.to_owned()],
        };
        let runs = pieces.iter().flat_map(|piece| range_runs(piece)).collect();
        let regular_share = self.small_to.then_some(TO_SHARE);
        let breaks = if self.folded { Breaks::Runs } else { Breaks::Never };
        Paragraph { runs, breaks, regular_share, ..Paragraph::default() }
    }

    /// Small print under a figure; only a tight card breaks it.
    fn small_pieces(self, words: &str) -> Vec<String> {
        if self.tight { by_words(words) } else { vec![words.to_owned()] }
    }
}

/// The rows as columns; what was at the left stands on top, over a heavy line.
fn turned(rows: Vec<(Vec<Cell>, Under)>) -> Vec<(Vec<Cell>, Under)> {
    let across = rows.first().map_or(0, |(cells, _)| cells.len());
    let row = |column: usize| rows.iter().map(|(cells, _)| cells.get(column).cloned().unwrap_or_default()).collect();
    let under = |column: usize| if column == 0 { Under::HeavyLine } else { Under::Line };
    (0..across).map(|column| (row(column), under(column))).collect()
}

/// Words as large as what must be read on every card.
fn must(text: &str, weight: Weight) -> Paragraph {
    Paragraph { letters: Letters::Must, breaks: Breaks::Never, ..Paragraph::of(text, weight) }
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

/// A figure without the unit that stands with its control's name.
fn without_unit(text: &str, unit: Option<&str>) -> String {
    let Some(unit) = unit else { return text.to_owned() };
    let bare = |word: &'_ str| match word.strip_suffix(unit) {
        Some("") => None,
        Some(number) if number.ends_with(|last: char| last.is_ascii_digit()) => Some(number.to_owned()),
        _ => Some(word.to_owned()),
    };
    text.split(' ').filter_map(bare).collect::<Vec<_>>().join(" ")
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

/// The two lines that a value may stand on: a side each, `2 P,`, `2½ S`; of a range, its `to` stands on the shorter of them.
fn folded(text: &str) -> Vec<String> {
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
