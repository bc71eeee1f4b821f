//! The ways to set a settings sheet, and what its cells are in each. Decides on none of them.

use super::ColumnHead;
use super::sheet::{Block, Sheet, Told, range_runs, tells_sides};
use crate::cards::parts::frame::{HEAVY_RULE, MUST_CAP, Title};
use crate::cards::parts::sided::{NOT_USED, UNKNOWN};
use crate::cards::parts::table::{Breaks, Cell, Column, Letters, Look, Paragraph, RowHeights};
use crate::cards::parts::words::{ground_sign, grounded};
use crate::drawing::Weight;
use crate::tuning::{Ground, Side};

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

/// How a sheet saves room.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Way {
    /// The heads stand at the left and the controls across.
    pub across: bool,
    /// What is known stands as large as what must be read.
    pub roomy: bool,
    /// What stands at the left of each row.
    pub names: Names,
    /// What stands in the rest of it.
    pub figures: Figures,
}

/// How the names are set, and what stands under and over them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Names {
    /// Each on one line.
    Whole,
    /// What stands with them may go on in a next line: for whom below, ends of a scale.
    FoldedBelow,
    /// They may too.
    Folded,
}

/// How the figures are set, and what stands under and over them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Figures {
    /// On one line, the `to` of a range smaller than its ends.
    SmallTo,
    /// On one line, all of it as large.
    Whole,
    /// A range may stand on two lines: `4 to`, `5½`.
    Folded,
    /// Small print may go on in a next line too: `● 4`, `at 14`.
    Tight,
}

const DOWN: Way = Way { across: false, roomy: false, names: Names::Whole, figures: Figures::Whole };
const FOLDED: Way = Way { names: Names::Folded, figures: Figures::Folded, ..DOWN };
/// The most readable first.
pub const WAYS: [Way; 12] = [
    Way { roomy: true, figures: Figures::SmallTo, ..DOWN },
    Way { roomy: true, figures: Figures::SmallTo, names: Names::FoldedBelow, ..DOWN },
    Way { figures: Figures::SmallTo, ..DOWN },
    Way { figures: Figures::SmallTo, names: Names::FoldedBelow, ..DOWN },
    Way { figures: Figures::SmallTo, names: Names::Folded, across: true, ..DOWN },
    DOWN,
    Way { names: Names::FoldedBelow, ..DOWN },
    Way { names: Names::Folded, ..DOWN },
    Way { names: Names::Folded, across: true, ..DOWN },
    FOLDED,
    Way { across: true, ..FOLDED },
    Way { across: true, figures: Figures::Tight, ..FOLDED },
];
/// So many of them have small print that is read without bending down.
pub const ROOMY: usize = 2;
/// So many of them, with those, have nothing that is folded.
pub const LEVEL: usize = 9;
/// Those that save most room: of all others something is larger.
pub const SAVING: [usize; 7] = [5, 6, 7, 8, 9, 10, 11];

impl Way {
    /// That of the names, and one for each of the figures in a row.
    pub fn columns(self, figures: usize) -> Vec<Column> {
        let names = Column { wraps: self.names != Names::Whole, ..Column::default() };
        let wraps = self.figures.are_folded() || self.across && self.names == Names::Folded;
        let figures = (0..figures).map(|_| Column { ruled_off: true, share: 1.0, wraps, ..Column::default() });
        std::iter::once(names).chain(figures).collect()
    }

    /// What stands over the names of a block.
    pub fn corner(self, block: &Block) -> Cell {
        let breaks = if self.names == Names::Whole { Breaks::Never } else { Breaks::Runs };
        Cell::from(Paragraph { breaks, ..self.figures.unbroken(block.corner.clone()) })
    }

    /// Its white and its rules.
    pub fn look(self) -> Look {
        Look {
            least_mm: if self.figures == Figures::SmallTo { MUST_CAP / TO_SHARE } else { 0.0 },
            small_mm: if self.roomy { MUST_CAP } else { 0.0 },
            ..LOOK
        }
    }
}

impl Names {
    /// What stands at the left of each row of a block but its corner.
    pub fn of_block(self, sheet: &Sheet, block: &Block) -> Vec<Cell> {
        let below = block.below.iter().map(|(who, _)| self.below(who));
        let controls = sheet.controls.iter().zip(&block.settings);
        let controls = controls.map(|(control, _)| self.control(control, sheet.tells_higher));
        let rest = |(name, _): &(String, _)| Paragraph { breaks: self.breaks(), ..must(name, Weight::Bold) };
        let rest = block.rest.iter().map(rest).map(Cell::from);
        below.chain(controls).chain(rest).collect()
    }

    /// Who is below, and what to do then.
    fn below(self, [who, to_do]: &[String; 2]) -> Cell {
        let breaks = if self == Names::Whole { Breaks::Never } else { Breaks::Words };
        let name = [(format!("{who}:"), Weight::Bold), (to_do.clone(), Weight::Regular)];
        let name = name.map(|(text, weight)| Paragraph { breaks, ..must(text, weight) });
        Cell { paragraphs: name.to_vec(), ..Cell::default() }
    }

    /// A control's name with its unit, and what its higher numbers do.
    fn control(self, control: &ColumnHead, tells_higher: bool) -> Cell {
        let unit = control.unit.iter().map(|unit| (unit.clone(), Weight::Regular));
        let name = std::iter::once((control.control.clone(), Weight::Bold)).chain(unit).collect();
        let name = Paragraph { runs: name, breaks: self.breaks(), ..Paragraph::default() };
        let small = |words: [String; 2]| {
            let words = if self == Names::Whole { vec![words.join(" ")] } else { words.to_vec() };
            Paragraph {
                runs: words.into_iter().map(|text| (text, Weight::Regular)).collect(),
                letters: Letters::Beneath,
                breaks: Breaks::Runs,
                ..Paragraph::default()
            }
        };
        let higher = control.higher_is.iter().filter(|_| tells_higher);
        let higher = higher.map(|higher| small(["higher:".to_owned(), higher.to_uppercase()]));
        let ends = control.ends.iter().filter(|_| tells_higher);
        let ends = ends.map(|[one, other]| small([format!("{one},"), other.clone()]));
        Cell { paragraphs: std::iter::once(name).chain(higher).chain(ends).collect(), ..Cell::default() }
    }

    fn breaks(self) -> Breaks {
        if self == Names::Folded { Breaks::Words } else { Breaks::Never }
    }
}

impl Figures {
    /// What stands in each row of a block after its name.
    pub fn of_block(self, sheet: &Sheet, block: &Block) -> Vec<Vec<Cell>> {
        let heads = block.heads.iter().map(|text| Cell::from(self.unbroken(range_runs(text)))).collect();
        let bold = |winds: &String| Cell::from(must(winds, Weight::Bold));
        let below = block.below.iter().map(|(_, winds)| winds.iter().map(bold).collect());
        let controls = sheet.controls.iter().zip(&block.settings).map(|(control, settings)| {
            let cell = |told: &Option<Told>| told.as_ref().map(|told| self.setting(control, told));
            settings.iter().map(|told| cell(told).unwrap_or_else(|| Cell::plain(UNKNOWN))).collect()
        });
        let lines = |lines: &Vec<String>| Cell {
            paragraphs: lines.iter().map(|line| must(line, Weight::Regular)).collect(),
            ..Cell::default()
        };
        let rest = block.rest.iter().map(|(_, says)| says.iter().map(lines).collect());
        std::iter::once(heads).chain(below).chain(controls).chain(rest).collect()
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
        let pieces = match self {
            Figures::SmallTo | Figures::Whole => return self.unbroken(range_runs(text)),
            Figures::Folded => folded(text),
            Figures::Tight => by_words(text),
        };
        let runs = pieces.iter().flat_map(|piece| range_runs(piece)).collect();
        Paragraph { runs, breaks: Breaks::Runs, ..Paragraph::default() }
    }

    /// Words on one line.
    fn unbroken(self, runs: Vec<(String, Weight)>) -> Paragraph {
        let regular_share = (self == Figures::SmallTo).then_some(TO_SHARE);
        Paragraph { runs, breaks: Breaks::Never, regular_share, ..Paragraph::default() }
    }

    /// Small print under a figure; only a tight card breaks it.
    fn small_pieces(self, words: &str) -> Vec<String> {
        if self == Figures::Tight { by_words(words) } else { vec![words.to_owned()] }
    }

    fn are_folded(self) -> bool {
        matches!(self, Figures::Folded | Figures::Tight)
    }
}

/// Words as large as what must be read on every card.
fn must(text: impl Into<String>, weight: Weight) -> Paragraph {
    Paragraph { letters: Letters::Must, breaks: Breaks::Never, ..Paragraph::of(text, weight) }
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
