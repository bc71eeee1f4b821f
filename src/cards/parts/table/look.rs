//! How a table looks apart from its words: the white in it, the rules around it, how rows share the height. Knows no
//! content.

use super::content::Letters;
use crate::cards::parts::frame::{HEAVY_RULE, LINE_PITCH, MUST_CAP, Title, good_cap_mm};
use crate::cards::parts::label::legend_cap_mm;
use crate::drawing::TypeSize;
use crate::drawing::legibility::{CARD_DISTANCE, LEGEND_DISTANCE};
use crate::length::Length;

/// Large words are as large as fits, up to this capital height, millimetres.
const WORDS_MOST: f64 = 6.5;
/// Between two columns of words, in capital heights.
const WORDS_GAP: f64 = 1.1;
/// Rows of words spread over the card up to this much air, in capital heights a row.
const AIR_MOST: f64 = 1.5;

/// Above and below the words of a row together, in capital heights.
const ROW_PADDING: f64 = 0.9;

/// The white and the rules of a table; widths and heights in capital heights of its large letters unless they say other.
#[derive(Clone, Copy, Debug)]
pub struct Look {
    /// Large letters are no larger than this capital height, millimetres.
    pub most_mm: f64,
    /// Nor smaller than this; 0: as small as can be read.
    pub least_mm: f64,
    /// How much of the card its title takes.
    pub title: Title,
    /// From where large letters are read.
    pub distance: Length,
    /// Capital height of small print in the table, millimetres, where that of a legend is too small.
    pub small_mm: f64,
    /// Above and below the words of a row together.
    pub row_padding: f64,
    /// Between two columns at least.
    pub gap: f64,
    /// The room that columns leave over parts them up to this, and the rest stays white at the right; `None`: the columns
    /// take all of it.
    pub gap_most: Option<f64>,
    /// Columns that take a share of the room are as wide as their shares say, as far as their words let them be.
    pub even: bool,
    /// Half a gap outside the first and the last column too.
    pub outer_gaps: bool,
    /// A head that is wider than what stands under it may reach this far into the gap, a part of it.
    pub head_reach: f64,
    /// Between the heads and the rows.
    pub under_heads: HeadGap,
    /// Over the heads.
    pub over_heads: f64,
    /// Under the last row.
    pub under_rows: f64,
    /// How rows share the height.
    pub rows: RowHeights,
    /// The rule over the heads, millimetres.
    pub top_rule: Option<f64>,
    /// The rule between the heads and the rows, millimetres.
    pub head_rule: Option<f64>,
    /// The rule under the last row, millimetres; a table that is boxed in has that of its last row.
    pub foot_rule: Option<f64>,
}

/// The white between the heads and the rows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum HeadGap {
    /// In capital heights of the heads, which may be smaller than what stands under them.
    OfHeads(f64),
    /// In capital heights of the rows, but no less than where those read well: heads may be larger than what stands under
    /// them, and their tails hang into the gap.
    OfRows(f64),
}

/// How rows share the height that is there.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum RowHeights {
    /// Each as high as it needs, and up to this much air.
    AsNeeded {
        /// In capital heights a row.
        air_most: f64,
    },
    /// All as high as the highest needs, up to this.
    Alike {
        /// In capital heights.
        most: f64,
    },
}

impl Look {
    /// Its letters at this capital height.
    pub fn size(self, cap: f64) -> TypeSize {
        TypeSize { cap, distance: self.distance }
    }

    /// Words to read across: rows as high as what they say.
    pub const WORDS: Look = Look {
        most_mm: WORDS_MOST,
        least_mm: 0.0,
        title: Title::Large,
        small_mm: 0.0,
        row_padding: ROW_PADDING,
        distance: CARD_DISTANCE,
        gap: WORDS_GAP,
        gap_most: None,
        even: false,
        outer_gaps: false,
        head_reach: 0.0,
        under_heads: HeadGap::OfHeads(LINE_PITCH - 1.0),
        over_heads: 0.0,
        under_rows: 0.0,
        rows: RowHeights::AsNeeded { air_most: AIR_MOST },
        top_rule: None,
        head_rule: Some(HEAVY_RULE),
        foot_rule: None,
    };

    /// The size of some letters beside large ones of `cap` millimetres.
    pub(crate) fn size_of(&self, letters: Letters, cap: f64) -> TypeSize {
        match letters {
            Letters::Large => self.size(cap),
            Letters::Must => self.size(cap.min(MUST_CAP)),
            Letters::Small | Letters::Beneath => {
                let distance = if self.small_mm < MUST_CAP { LEGEND_DISTANCE } else { self.distance };
                TypeSize { cap: self.small_mm.max(legend_cap_mm()), distance }
            }
        }
    }
}

impl HeadGap {
    /// Millimetres under heads of `head_cap` over rows of `cap`.
    pub(crate) fn at(self, head_cap: f64, cap: f64) -> f64 {
        match self {
            HeadGap::OfHeads(share) => share * head_cap,
            HeadGap::OfRows(share) => share * cap.max(good_cap_mm()),
        }
    }
}

impl Default for Look {
    fn default() -> Self {
        Look::WORDS
    }
}
